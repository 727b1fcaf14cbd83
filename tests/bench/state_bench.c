/* What a script costs before its first line: a sandboxed state beside a plain one with all libraries, and the command beside
 * the stock interpreter. Least of many, taken turn by turn so that a busy machine is as busy for both.
 *   state_bench IMPINGE LUA */
#define _GNU_SOURCE
#include <fcntl.h>
#include <lauxlib.h>
#include <lualib.h>
#include <math.h>
#include <spawn.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "sandbox.h"

extern char **environ;

static double now(void)
{
    struct timespec time;
    clock_gettime(CLOCK_MONOTONIC, &time);
    return (double)time.tv_sec * 1e9 + (double)time.tv_nsec;
}

static void plain_state(void *context)
{
    (void)context;
    lua_State *L = luaL_newstate();
    luaL_openlibs(L);
    lua_close(L);
}

static void sandboxed_state(void *context)
{
    const imp_script_options options = {.budget = imp_default_budget()};
    imp_script *script = NULL;
    imp_error error;
    (void)context;
    if (imp_script_open(&options, &script, &error) != IMP_OK)
        abort();
    imp_script_close(script);
}

static void run(void *context)
{
    char *const *words = context;
    pid_t child;
    int status;
    posix_spawn_file_actions_t actions;
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_addopen(&actions, 1, "/dev/null", O_WRONLY, 0);
    if (posix_spawn(&child, words[0], &actions, NULL, words, environ) != 0 || waitpid(child, &status, 0) != child || status != 0)
        abort();
    posix_spawn_file_actions_destroy(&actions);
}

static void compare(const char *name, void (*ours)(void *), void *our_context, const char *peer, void (*theirs)(void *), void *their_context, int turns)
{
    double least[2] = {(double)INFINITY, (double)INFINITY};
    for (int i = 0; i < turns; i++) {
        const double start = now();
        ours(our_context);
        const double middle = now();
        theirs(their_context);
        const double end = now();
        least[0] = fmin(least[0], middle - start);
        least[1] = fmin(least[1], end - middle);
    }
    printf("%s\t%.1f\n%s\t%.1f\n%s, times the peer\t%.2f\n", name, least[0], peer, least[1], name, least[0] / least[1]);
}

int main(int count, char **words)
{
    if (count != 3)
        return 1;
    char *ours[] = {words[1], "eval", "1", NULL}, *theirs[] = {words[2], "-e", "", NULL};
    compare("sandboxed state, made and closed", sandboxed_state, NULL, "plain Lua state with all libraries", plain_state, NULL, 20000);
    compare("impinge eval 1", run, ours, "lua5.4 -e ''", run, theirs, 400);
    return 0;
}
