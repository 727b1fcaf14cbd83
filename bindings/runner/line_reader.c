#include "line_reader.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#ifdef HAVE_EDITLINE
#include <editline/readline.h>

/* The library takes plain functions without a context, so what they need stands here. */
static const completion *offered;

static char *next_match(const char *text, int state)
{
    static size_t at;
    if (state == 0)
        at = 0;
    const char *name = offered != NULL ? completion_next(offered, text, &at) : NULL;
    return name != NULL ? strdup(name) : NULL;
}

static char **matches(const char *text, int start, int end)
{
    (void)start;
    (void)end;
    rl_attempted_completion_over = 1; /* never names of files */
    return rl_completion_matches(text, next_match);
}

static void prepare(const completion *names)
{
    static char word_ends[] = " \t\n\"'(){}[]=,+-*/<>~#;:^%";
    offered = names;
    rl_attempted_completion_function = matches;
    rl_completer_word_break_characters = word_ends;
    rl_completion_append_character = '\0';
}

/* A terminal that can't move its cursor gets a plain prompt. */
static bool can_edit(void)
{
    const char *terminal = getenv("TERM");
    return terminal != NULL && terminal[0] != '\0' && strcmp(terminal, "dumb") != 0;
}
#endif

line_reader line_reader_open(const completion *names)
{
    line_reader reader = {.is_terminal = isatty(STDIN_FILENO) == 1 && isatty(STDOUT_FILENO) == 1};
#ifdef HAVE_EDITLINE
    reader.edits = reader.is_terminal && can_edit();
    if (reader.edits)
        prepare(names);
#else
    (void)names;
#endif
    return reader;
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
#ifdef HAVE_EDITLINE
    if (reader->edits) {
        char *line = readline(prompt);
        if (line != NULL && line[0] != '\0')
            add_history(line);
        return line;
    }
#endif
    fputs(prompt, stdout);
    fflush(stdout);
    return read_line(reader);
}
