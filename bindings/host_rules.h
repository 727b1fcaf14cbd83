/* host_rules.h — one rule file in a state of its own: what it declares, and calling its functions. Private to the host.
 */
#ifndef IMP_HOST_RULES_H
#define IMP_HOST_RULES_H

#include "sandbox.h"
#include "state.h"

typedef struct imp_rule_file {
    imp_script *script; /* NULL when it could not be opened */
    bool is_loading;
    const char *const *words; /* what the file may declare, ended by NULL; NULL: rule, tighten, silence, replace, case */
    struct imp_rule_file *next;
} imp_rule_file;

/* Open the state, with the file's words as globals, and run the file. */
imp_status imp_rule_file_load(imp_rule_file *file, const imp_script_options *options, const char *path,
                              imp_error *error);

/* How many declarations the file has made. */
size_t imp_rule_file_count(imp_rule_file *file);

/* Leave the list of declarations on top of the file's own stack, emptied before. Never raises. */
void imp_rule_file_declarations(imp_rule_file *file);

/* Number of the function at index of the file's state, under which imp_rule_file_call finds it; 0 when it isn't part of
 * a declaration. Never raises. */
lua_Integer imp_rule_function_number(lua_State *L, int index);

/* Call a function with a view of the job (nil when NULL). Its results are all there is on the file's stack afterwards.
 * recording may be NULL. */
imp_status imp_rule_file_call(imp_rule_file *file, lua_Integer function, const imp_node *job, imp_recording *recording,
                              imp_error *error);

/* The same with arguments and results of any kind. Both run in the file's state, protected: `push` pushes the arguments and
 * returns how many; `take` may change the results, which are all there is on the stack, before they are left as above.
 * recording may be NULL. */
typedef int (*imp_push_arguments)(lua_State *L, void *context);
typedef void (*imp_take_results)(lua_State *L, void *context);
imp_status imp_rule_file_invoke(imp_rule_file *file, lua_Integer function, imp_push_arguments push, imp_take_results take,
                                void *context, imp_recording *recording, imp_error *error);

#endif
