#include "line_reader.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#ifdef HAVE_EDITLINE
#include <dlfcn.h>
#include <editline/readline.h>

/* The library, opened when a person sits at the prompt: linking it would make every other command start later. */
static struct {
    __typeof__(readline) *readline;
    __typeof__(add_history) *add_history;
    __typeof__(rl_completion_matches) *completion_matches;
    __typeof__(rl_attempted_completion_function) *attempted_completion;
    __typeof__(rl_completer_word_break_characters) *word_break_characters;
    int *completion_append_character, *attempted_completion_over;
} library;

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
    *library.attempted_completion_over = 1; /* never names of files */
    return library.completion_matches(text, next_match);
}

static bool find(void *handle, const char *name, void *place)
{
    void *found = dlsym(handle, name);
    memcpy(place, &found, sizeof found); /* POSIX: a function's address fits a data pointer */
    return found != NULL;
}

/* Open the library for the rest of the process; false where it is not installed. */
static bool open_library(void)
{
    void *handle = dlopen(HAVE_EDITLINE, RTLD_NOW | RTLD_LOCAL);
    return handle != NULL && find(handle, "readline", &library.readline) && find(handle, "add_history", &library.add_history) &&
           find(handle, "rl_completion_matches", &library.completion_matches) &&
           find(handle, "rl_attempted_completion_function", &library.attempted_completion) &&
           find(handle, "rl_completer_word_break_characters", &library.word_break_characters) &&
           find(handle, "rl_completion_append_character", &library.completion_append_character) &&
           find(handle, "rl_attempted_completion_over", &library.attempted_completion_over);
}

static bool prepare(const completion *names)
{
    static char word_ends[] = " \t\n\"'(){}[]=,+-*/<>~#;:^%";
    if (!open_library())
        return false;
    offered = names;
    *library.attempted_completion = matches;
    *library.word_break_characters = word_ends;
    *library.completion_append_character = '\0';
    return true;
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
    reader.edits = reader.is_terminal && can_edit() && prepare(names);
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
        char *line = library.readline(prompt);
        if (line != NULL && line[0] != '\0')
            library.add_history(line);
        return line;
    }
#endif
    fputs(prompt, stdout);
    fflush(stdout);
    return read_line(reader);
}
