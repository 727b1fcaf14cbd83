/* job_lua.h — job records as scripts read them: views over the document's tree, read-only, that know every field.
 *
 * job.site.air_temperature is a quantity, or nil when it isn't given; job.sitte is an error that names the nearest. */
#ifndef IMP_JOB_LUA_H
#define IMP_JOB_LUA_H

#include "state.h"

/* Prepare the views, and put path into the table on top of the stack. */
void imp_job_open(lua_State *L);

/* Push a view of a document. root must outlive the state. */
void imp_view_push(lua_State *L, const imp_node *root);

/* The record that the value at index views, or NULL. */
const imp_node *imp_view_test(lua_State *L, const imp_lua *lua, int index);

/* Say that the whole of a record was read at once, where somebody records. */
void imp_record_read(const imp_lua *lua, const imp_node *node);

/* Push a node's value: a quantity shown in the unit as written, a text, a boolean, a view, an array; nil when there is
 * none. Items and records below are views of the same document. Reading a value is recorded, where somebody records. */
void imp_node_push(lua_State *L, const imp_lua *lua, const imp_node *node);

/* Write the dotted path of a node below root ("loads[2].power"); "" for the root and for strangers. Returns text. */
char *imp_node_path(const imp_node *root, const imp_node *node, char *text, size_t size);

#endif
