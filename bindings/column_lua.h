/* column_lua.h — columns as Lua values: lazy expressions over a log's columns, and columns of numbers in memory.
 *
 *   + - * / and - of columns, quantities and numbers; ^ 2, ^ 0.5; & | ~ of masks; #c and c[i] of a column in memory
 *   c:abs() c:sqrt() c:rate() c:change() c:duration() c:rolling(q"60 s") c:lesser(x) c:greater(x) c:or_else(x)
 *   masks:  c:above(x) c:at_least(x) c:below(x) c:at_most(x) c:equals(x) c:differs(x) c:between(low, high)
 *           c:outside(low, high) c:present() c:missing() c:unchanged(q"5 min")
 *           m:both(n) m:either(n) m:opposite() m:lasting(q"5 s")
 *   c:where(m) keeps what the mask lets through, and is missing elsewhere
 *   answers: c:count() sum mean sd min max first last quantile(p) time integral trapezoid time_mean increase, each with
 *           an optional last argument, a mask or a span: only those rows. nil where no row counts; count is a
 *           whole number
 *           c:resample(q"1 min") gives { time=, count=, mean=, min=, max= }, columns in memory
 *           for span in m:spans(c, d) do span.from, span.to (texts), span.start, span.finish, span.duration, span.rows
 * end; c:mean(span), c:min(span), c:max(span) come without another pass for the columns that spans() was given
 *           c:later() is the same column, whose answers come when the next pass has been made: answer:get(). Of spans
 *           the first 1000 come so, with their count, longest and total
 *
 * A column of a log is only an expression: each answer that is not there yet needs one pass over the file, which
 * answers all that was asked for with later() too. In a log rule the pass is not the rule's: answers there are always
 * later. */
#ifndef IMP_COLUMN_LUA_H
#define IMP_COLUMN_LUA_H

#include "day.h"
#include "quantity_lua.h"

/* A column of a day, or, where day is NULL, of `count` values in memory (SI; not-a-number is missing). */
typedef struct imp_column_box {
    const void *mark;
    imp_day *day; /* a reference of its own */
    imp_column column;
    imp_column_kind kind;
    const imp_unit *unit; /* of the state's unit cache; NULL: coherent SI */
    bool is_later;
    size_t count;
    double values[];
} imp_column_box;

/* Put column into the table on top of the stack. */
void imp_column_open(lua_State *L);

imp_column_box *imp_column_test(lua_State *L, int index);
/* Push a column of a day; unit may be NULL. */
void imp_column_push(lua_State *L, imp_day *day, imp_column column, const imp_unit *unit);
/* Push a column of count values, to be filled in; counts against the script's memory. */
imp_column_box *imp_column_push_memory(lua_State *L, size_t count, imp_dimension dimension, bool is_reading,
                                       const imp_unit *unit);

/* The column at index, which is a method's; raises when it is none. */
imp_column_box *imp_column_check(lua_State *L, const char *method, int index);
/* Raises when the day is closed. */
void imp_column_check_open(lua_State *L, imp_day *day);

/* column_operators.c */
extern const luaL_Reg imp_column_operators[], imp_column_operator_methods[];

/* column_values.c — columns in memory: every result is another column in memory. */

/* What a set of columns answers about the column in memory at index. */
imp_status imp_column_in_set(imp_columns *set, const imp_column_box *box, imp_column *column, imp_error *error);
/* Push the values of an expression of a set as a column in memory. Frees the set in every case. */
void imp_column_push_from_set(lua_State *L, imp_columns *set, imp_column column, size_t count, const imp_unit *unit);

/* column_answers.c */
extern const luaL_Reg imp_column_answer_methods[];
void imp_column_answers_open(lua_State *L);
/* Ask for the spans of a mask (a column of a day) with the values in a list; returns the answer's number. Raises. */
size_t imp_column_ask_spans(lua_State *L, const imp_column_box *mask, const imp_column_box *const *values,
                            size_t count);
/* Push the answer with this number: a quantity or nil, a list of at most `most` spans, a series. `values`: a series is
 * lists of numbers with their unit, for another state. Raises when it is not there. */
void imp_day_push_answer(lua_State *L, imp_day *day, size_t number, bool values, size_t most);
/* The day and number of the answer at index; NULL where it is none. */
imp_day *imp_answer_test(lua_State *L, int index, size_t *number);

/* Seconds of a time at index: a quantity of time. Raises. */
double imp_check_seconds(lua_State *L, const char *method, int index);

#endif
