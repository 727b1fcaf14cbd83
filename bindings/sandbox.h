/* sandbox.h — one Lua state for one script, with budgets that a script can't catch its way past.
 *
 * A script sees base (reduced), string, table, math and utf8, its own require, and `imp`. It reaches no file, no
 * process, no environment. A budget that is used up ends the script with IMP_LIMIT: pcall raises the error again, and
 * so does everything else the script tries afterwards. Trusted scripts get Lua's standard libraries and no budgets. */
#ifndef IMP_SANDBOX_H
#define IMP_SANDBOX_H

#include <lua.h>
#include <stdbool.h>
#include <stddef.h>

#include "status.h"

typedef struct imp_budget {
    size_t memory;            /* bytes the state may hold at once */
    unsigned long long steps; /* virtual-machine instructions, and the work of the functions written in C */
    double seconds;           /* wall clock spent inside the script, all its calls together */
    size_t output;            /* bytes printed */
} imp_budget;

/* What a script gets unless it is told otherwise: bytes, steps, seconds, bytes. */
enum {
    IMP_SCRIPT_MEMORY = 64 * 1024 * 1024,
    IMP_SCRIPT_STEPS = 200000000,
    IMP_SCRIPT_SECONDS = 10,
    IMP_SCRIPT_OUTPUT = 1024 * 1024
};
imp_budget imp_default_budget(void);

/* Receives what print() writes; text is not terminated. */
typedef void (*imp_write)(void *context, const char *text, size_t length);

typedef struct imp_script_options {
    imp_budget budget;
    const char *const *folders; /* where require looks after the script's own folder, in order; copied */
    size_t folder_count;
    bool trusted;
    imp_write write; /* NULL: print() is discarded */
    void *write_context;
} imp_script_options;

typedef struct imp_script imp_script;

/* A fresh state: allowed libraries, require, and the globals imp and q. IMP_MEMORY; IMP_LIMIT when the memory budget
 * is too small even for the libraries. */
imp_status imp_script_open(const imp_script_options *options, imp_script **script, imp_error *error);

/* Frees the state and all that belongs to it. NULL is allowed. */
void imp_script_close(imp_script *script);

lua_State *imp_script_state(imp_script *script);

/* Load a text and run it; `results` values (or LUA_MULTRET) stay on the state's stack on success, none on failure.
 * run_file takes text only, adds the file's folder as the first place where require looks, and names the script by its
 * path as given. run_text names it `name`.
 * IMP_IO: the file can't be read. IMP_SCRIPT: place "file:line", message the reason. IMP_LIMIT: "used up its budget of
 * ...". */
imp_status imp_script_run_file(imp_script *script, const char *path, int results, imp_error *error);
imp_status imp_script_run_text(imp_script *script, const char *text, size_t length, const char *name, int results,
                               imp_error *error);

/* Call the function that lies below its `arguments` on the state's stack: protected and within the budget. Both are
 * taken off the stack; results are left as above. Same errors. */
imp_status imp_script_call(imp_script *script, int arguments, int results, imp_error *error);

/* Run a C function of the host with `context` as its one argument (a light userdata), protected but outside the
 * budget of steps and time: for setting up globals or reading results, which can raise. Same errors. */
imp_status imp_script_protect(imp_script *script, lua_CFunction function, void *context, int results, imp_error *error);

/* Set the global `arg` to a list of texts. */
imp_status imp_script_set_arguments(imp_script *script, size_t count, const char *const texts[], imp_error *error);

/* The sentence for an error value at `index`, without ever running a script's code: a string as it is; a table's raw
 * field `message`; else "error object is a table value". Returns text. */
char *imp_script_error_text(lua_State *L, int index, char *text, size_t size);

/* What a script has used so far. */
imp_budget imp_script_used(const imp_script *script);
/* Whether it has asked for more memory than its budget holds: lack of memory is then its own, not the machine's. */
bool imp_script_was_refused_memory(const imp_script *script);

#endif
