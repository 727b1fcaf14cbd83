/* line_reader.h — lines from a person at a terminal (with history and completion, where the library for it was there at
 * build time; nothing is saved to disk) or from standard input. */
#ifndef IMP_RUNNER_LINE_READER_H
#define IMP_RUNNER_LINE_READER_H

#include <stdbool.h>

#include "completion.h"

typedef struct line_reader {
    bool is_terminal;
    bool edits;  /* through the library; else a plain prompt, as on a terminal that can't move its cursor */
    bool failed; /* the end was not the end of the input */
} line_reader;

/* names: what the Tab key completes; may be NULL, else borrowed until the next call. */
line_reader line_reader_open(const completion *names);
/* The next line without its end, to be freed with free(); NULL at the end. `more`: it goes on with an unfinished one.
 */
char *line_reader_next(line_reader *reader, bool more);

#endif
