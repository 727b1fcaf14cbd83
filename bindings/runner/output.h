/* output.h — the results of a command: collected, then written to stdout or, whole or not at all, to a file. */
#ifndef IMP_RUNNER_OUTPUT_H
#define IMP_RUNNER_OUTPUT_H

#include <stdbool.h>
#include <stddef.h>

#include "status.h"

typedef struct output {
    char *text;
    size_t length, capacity;
    bool out_of_memory; /* something was lost: output_finish refuses */
    bool passes_on;     /* to stdout: each line leaves at once, for scripts that run a while */
    bool reader_gone;   /* the pipe's other end was closed: the rest is dropped */
    int write_failure;  /* errno of a failed write, or 0 */
    bool color;         /* headings may be coloured */
    int digits;         /* significant digits of values; 0: as each deserves */
} output;

/* path NULL: stdout. color: "auto", "always" or "never"; auto colours a terminal unless NO_COLOR is set and not empty.
 */
void output_init(output *out, const char *path, const char *color);
void output_free(output *out);

void output_bytes(output *out, const char *text, size_t length);
void output_text(output *out, const char *text);
/* As printf. Never for a quantity's number: those go through number.h. */
#if defined(__GNUC__)
__attribute__((format(printf, 2, 3)))
#endif
void output_format(output *out, const char *format, ...);
/* A heading, bold where colour is on. */
void output_heading(output *out, const char *text);
/* Text broken at blanks to lines of at most `width` columns, the first after `first` and the others after `rest`. */
void output_wrapped(output *out, const char *first, const char *rest, const char *text, size_t width);

/* Let everything leave for stdout now. For a command that talks with a person. */
void output_flush(output *out);

/* Write what was collected: to stdout (path NULL) or to the file at path. A reader that went away is no failure.
 * IMP_MEMORY, IMP_IO. */
imp_status output_finish(output *out, const char *path, imp_error *error);

/* Columns that UTF-8 text takes, counting one a character. */
size_t text_width(const char *text);

#endif
