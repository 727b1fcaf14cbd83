/* host_rules.h — one rule file in a state of its own: what it declares, and calling its functions. Private to the host.
 */
#ifndef IMP_HOST_RULES_H
#define IMP_HOST_RULES_H

#include "sandbox.h"
#include "state.h"

typedef struct imp_rule_file {
    imp_script *script; /* NULL when it could not be opened */
    bool is_loading;
    struct imp_rule_file *next;
} imp_rule_file;

/* Open the state, with the globals rule, tighten, silence and replace, and run the file. */
imp_status imp_rule_file_load(imp_rule_file *file, const imp_script_options *options, const char *path,
                              imp_error *error);

/* Leave the list of declarations on top of the file's own stack, emptied before. Never raises. */
void imp_rule_file_declarations(imp_rule_file *file);

/* Number of the function at index of the file's state, under which imp_rule_file_call finds it; 0 when it isn't part of
 * a declaration. Never raises. */
lua_Integer imp_rule_function_number(lua_State *L, int index);

/* Call a function with a view of the job (nil when NULL). Its results are all there is on the file's stack afterwards.
 * recording may be NULL. */
imp_status imp_rule_file_call(imp_rule_file *file, lua_Integer function, const imp_node *job, imp_recording *recording,
                              imp_error *error);

#endif
