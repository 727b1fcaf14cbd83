/* impinge at a terminal: what it asks for, and its prompt, typed at through a pseudo-terminal. */
#include "shell.h"
#include "support.h"

#include <poll.h>
#include <pty.h>
#include <termios.h>

typedef struct key_press {
    const char *after; /* typed when this has been shown */
    const char *keys;
} key_press;

enum { SCREEN_SIZE = 65536, PATIENCE = 10000 /* ms */ };

/* Read until `awaited` (NULL: the end) has been shown after *from, which moves behind it; false when it never is. */
static bool read_until(int terminal, char *screen, size_t *length, const char *awaited, size_t *from)
{
    const char *found = NULL;
    while (awaited == NULL || (found = strstr(screen + *from, awaited)) == NULL) {
        struct pollfd wait_for = {.fd = terminal, .events = POLLIN};
        if (*length + 1 >= SCREEN_SIZE || poll(&wait_for, 1, PATIENCE) <= 0)
            return false;
        const ssize_t count = read(terminal, screen + *length, SCREEN_SIZE - 1 - *length);
        if (count <= 0)
            return awaited == NULL;
        *length += (size_t)count;
        screen[*length] = '\0';
    }
    *from = (size_t)(found - screen) + strlen(awaited);
    return true;
}

/* The line editor shows its prompt before it takes the terminal over, and a key pressed in between means what it means
 * to a terminal's own lines: Ctrl-D is then lost. So wait, as a person does, until it has. */
static bool wait_for_editor(int terminal)
{
    for (int waited = 0; waited < PATIENCE; waited++) {
        struct termios now;
        if (tcgetattr(terminal, &now) == 0 && (now.c_lflag & ICANON) == 0)
            return true;
        poll(NULL, 0, 1);
    }
    return false;
}

typedef struct terminal_kind {
    const char *name;
    bool edits; /* lines are edited there */
} terminal_kind;

#ifdef HAVE_EDITLINE
static const terminal_kind editing = {"xterm", true};
#else
static const terminal_kind editing = {"xterm", false};
#endif
static const terminal_kind plain = {"dumb", false}; /* it has no cursor to move */

/* Run impinge at a terminal and type at it; its exit code. screen: all that was shown. */
static int at_terminal(terminal_kind kind, char *const arguments[], const key_press *presses, char *screen)
{
    int terminal = -1, status = 0;
    size_t length = 0, from = 0;
    const pid_t child = forkpty(&terminal, NULL, NULL, NULL);
    assert_true(child >= 0);
    if (child == 0) {
        setenv("TERM", kind.name, 1);
        if (chdir(folder) == 0)
            execv(IMPINGE_BINARY, arguments);
        _exit(127);
    }
    screen[0] = '\0';
    bool shown = true;
    for (; shown && presses->after != NULL; presses++) {
        shown = read_until(terminal, screen, &length, presses->after, &from);
        if (shown && kind.edits && presses->keys[0] != '\0')
            shown = wait_for_editor(terminal);
        const ssize_t written = write(terminal, presses->keys, strlen(presses->keys));
        shown = shown && written == (ssize_t)strlen(presses->keys);
    }
    shown = shown && read_until(terminal, screen, &length, NULL, &from);
    close(terminal);
    assert_int_equal(waitpid(child, &status, 0), child);
    if (!shown)
        fail_msg("not shown: \"%s\" in:\n%s", presses->after != NULL ? presses->after : "the end", screen);
    assert_true(WIFEXITED(status));
    return WEXITSTATUS(status);
}

static void missing_inputs_are_asked_for_at_a_terminal(void **state)
{
    (void)state;
    static char screen[SCREEN_SIZE];
    char *const arguments[] = {"impinge", "calc", "dew_point_plan", "air_temperature=20 degC", NULL};
    static const key_press presses[] = {
        {"relative_humidity = ", "50 m\n"},      {"got \"50 m\"", ""}, {"relative_humidity = ", "50 %\n"},
        {"surface_temperature = ", "14 degC\n"}, {NULL, NULL},
    };
    assert_int_equal(at_terminal(plain, arguments, presses, screen), 0);
    assert_contains(screen, "relative_humidity: 5 % to 100 %");
    assert_contains(screen, "(the coldest place)");
    assert_contains(screen, "dew_point         9.3 degC");
    static const key_press gives_up[] = {{"relative_humidity = ", "\x04"}, {NULL, NULL}};
    assert_int_equal(at_terminal(plain, arguments, gives_up, screen), 3);
    assert_contains(screen, "dew_point_plan: missing relative_humidity");
}

static void prompt_takes_unfinished_lines_plainly_and_edited(void **state)
{
    (void)state;
    static char screen[SCREEN_SIZE];
    char *const arguments[] = {"impinge", "eval", NULL};
    static const key_press presses[] = {
        {"impinge> ", "(40 +\n"}, {"      .. ", "2)\n"}, {"42", ""},   {"impinge> ", "q'3 bar' + q'2 m'\n"},
        {"cannot add", ""},       {"impinge> ", "\x04"}, {NULL, NULL},
    };
    assert_int_equal(at_terminal(plain, arguments, presses, screen), 0);
    assert_int_equal(at_terminal(editing, arguments, presses, screen), 0);
}

/* A budget that is used up ends the state and not the talk, also at a terminal that does not say what it is. */
static void a_used_up_budget_at_the_prompt_starts_afresh(void **state)
{
    (void)state;
    static const terminal_kind unnamed = {"", false};
    static char screen[SCREEN_SIZE];
    char *const arguments[] = {"impinge", "eval", "--max-steps", "100000", NULL};
    static const key_press presses[] = {
        {"impinge> ", "x = 5\n"}, {"impinge> ", "while true do end\n"}, {"used up its budget of", ""}, {"starting afresh; what was assigned is gone", ""},
        {"impinge> ", "6 * 7\n"}, {"42", ""}, {"impinge> ", "x\n"}, {"\"x\"", ""}, {"impinge> ", "\x04"}, {NULL, NULL},
    };
    assert_int_equal(at_terminal(unnamed, arguments, presses, screen), 0);
}

static void an_empty_line_gives_an_unfinished_one_up(void **state)
{
    (void)state;
    static char screen[SCREEN_SIZE];
    char *const arguments[] = {"impinge", "eval", NULL};
    static const key_press presses[] = {
        {"impinge> ", "(40 +\n"}, {"      .. ", "\n"}, {"near <eof>", ""}, {"impinge> ", "41\n"}, {"41", ""}, {"impinge> ", "\x04"}, {NULL, NULL},
    };
    assert_int_equal(at_terminal(plain, arguments, presses, screen), 0);
}

static void tab_completes_the_names_in_imp(void **state)
{
    (void)state;
#ifndef HAVE_EDITLINE
    skip();
#endif
    static char screen[SCREEN_SIZE];
    char *const arguments[] = {"impinge", "eval", NULL};
    static const key_press presses[] = {
        {"impinge> ", "imp.climate.dew_p\t{ air_temperature = \"20 degC\", relative_humidity = \"50 %\" }\n"},
        {"9.27239", ""},
        {"impinge> ", "\x04"},
        {NULL, NULL},
    };
    assert_int_equal(at_terminal(editing, arguments, presses, screen), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(missing_inputs_are_asked_for_at_a_terminal),
        cmocka_unit_test(prompt_takes_unfinished_lines_plainly_and_edited),
        cmocka_unit_test(a_used_up_budget_at_the_prompt_starts_afresh),
        cmocka_unit_test(an_empty_line_gives_an_unfinished_one_up),
        cmocka_unit_test(tab_completes_the_names_in_imp),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
