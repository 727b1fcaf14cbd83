#include "line_reader.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#ifdef HAVE_READLINE
#include <readline/history.h>
#include <readline/readline.h>
#endif

line_reader line_reader_open(void)
{
    return (line_reader){.is_terminal = isatty(STDIN_FILENO) == 1 && isatty(STDOUT_FILENO) == 1};
}

static char *read_line(line_reader *reader)
{
    char *line = NULL;
    size_t size = 0;
    const ssize_t length = getline(&line, &size, stdin);
    if (length < 0) {
        reader->failed = !feof(stdin);
        free(line);
        return NULL;
    }
    if (length > 0 && line[length - 1] == '\n')
        line[length - 1] = '\0';
    return line;
}

char *line_reader_next(line_reader *reader, bool more)
{
    if (!reader->is_terminal)
        return read_line(reader);
    const char *prompt = more ? "      .. " : "impinge> ";
#ifdef HAVE_READLINE
    char *line = readline(prompt);
    if (line != NULL && line[0] != '\0')
        add_history(line);
    return line;
#else
    fputs(prompt, stdout);
    fflush(stdout);
    return read_line(reader);
#endif
}
