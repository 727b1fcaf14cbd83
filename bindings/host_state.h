/* host_state.h — what the files of the host share. Private to them. */
#ifndef IMP_HOST_STATE_H
#define IMP_HOST_STATE_H

#include <lauxlib.h>

#include "host.h"
#include "host_rules.h"

struct imp_host {
    imp_script *engine;
    imp_host_settings settings;
    imp_rule_file *files;
    struct imp_own_job *own_jobs; /* of host.use_job */
    imp_recording recording; /* of the last call */
    bool ran_short;          /* the machine had no memory for a call: what the engine makes of it is not to be shown */
};

/* A function of a rule file, as the engine holds it. */
typedef struct imp_remote_function {
    imp_rule_file *file;
    lua_Integer number;
} imp_remote_function;

/* The host of the running function, from its second upvalue. */
imp_host *imp_host_here(lua_State *L);
/* The remote function at index; raises when it is none. */
const imp_remote_function *imp_host_check_remote(lua_State *L, int index);
/* Push nil (or false), the sentence, and { limit=, status= }; returns 3. */
int imp_host_push_failure(lua_State *L, bool as_false, imp_status status, const imp_error *error);
/* Push all that is on the stack of another state as a list with n. */
imp_status imp_host_push_results(lua_State *L, lua_State *from, imp_error *error);
/* Push { sheets = { ... }, reads = { ... } } of the last call. */
void imp_host_push_recording(lua_State *L, const imp_host *host);
void imp_host_clear_recording(imp_recording *recording);

/* host_log.c: the functions about job logs. */
extern const luaL_Reg imp_host_log_functions[];

#endif
