/* column_answers.h — what the files about answers of columns share. Private to them. */
#ifndef IMP_COLUMN_ANSWERS_H
#define IMP_COLUMN_ANSWERS_H

#include "column_lua.h"

enum { IMP_MOST_SPANS_LATER = 1000 /* of an answer that comes later: each is a table */ };

typedef struct imp_answer_box {
    const void *mark;
    imp_day *day; /* a reference of its own */
    size_t number;
} imp_answer_box;

/* A span stays usable after the list of spans is gone: it knows its times, and which spans it came from. */
typedef struct imp_span_box {
    const void *mark;
    imp_day *day; /* a reference of its own */
    size_t answer, index;
    imp_span span;
} imp_span_box;

/* The userdata at index with this mark and size, or NULL. */
void *imp_marked_test(lua_State *L, int index, const void *mark, size_t size);
/* A metatable in the registry under key, with these metamethods. */
void imp_marked_metatable(lua_State *L, const void *key, const char *name, const luaL_Reg *metamethods);

void imp_answers_check_open(lua_State *L, const imp_day *day);
/* Make the pass that answers everything asked for so far. */
void imp_answers_run(lua_State *L, imp_day *day);
bool imp_answers_has(const imp_day *day, const imp_answer *answer);
const imp_unit *imp_answers_unit(lua_State *L, const imp_unit *unit, bool has_unit);
void imp_answer_push(lua_State *L, imp_day *day, size_t number);
int imp_answer_push_number(lua_State *L, const imp_day *day, const imp_answer *answer);
imp_column_box *imp_column_self(lua_State *L, const char *method);
imp_column_box *imp_column_mask_argument(lua_State *L, const char *method, int index);

/* column_spans.c */
extern const luaL_Reg imp_column_span_methods[];
void imp_column_spans_open(lua_State *L);
const imp_span_box *imp_span_test(lua_State *L, int index);
/* { { from=, to=, start=, finish=, duration=, rows=, values = { { mean=, min=, max= } } }, count=, longest=, total= }
 */
void imp_span_list_push(lua_State *L, imp_day *day, const imp_answer *answer, size_t most);

/* column_reduce.c */
extern const luaL_Reg imp_column_reduction_methods[];

#endif
