/* log_lua.h — job logs in scripts.
 *
 *   local day = imp.log.open("day.csv" [, { columns = "logger.json", gap = q"10 s" }])
 *   day.iso_flow, day:column "iso_flow"   a column (column_lua.h); day.time the time of each row
 *   day:has "iso_flow"   day:columns()    what there is: { { name=, unit=, known= } }
 *   day:spraying()                        mask of the rows while spraying (log_summary.h), or nil
 *   day:rows({ columns }, function(time, a, b) ... end)  every row, numbers in the columns' own units, nil where
 * missing; return false to stop day:summary()                         times, volumes, ratio (log_summary.h)
 *   day:faults()                          what is wrong with the file
 *   day:clock()                           true where time is a date and time of day, and its zone's distance from UTC
 *   day:period(q"5 min")                  the same, or the longer time that a point of a series stands for in a long
 * log day:close()
 *
 * A sandboxed script opens only files that were granted to it: those named on the command line. */
#ifndef IMP_LOG_LUA_H
#define IMP_LOG_LUA_H

#include "day.h"
#include "state.h"

/* Bytes of a columns document; logs that a script may have open at once. */
enum { IMP_LONGEST_MAPPING = 1 << 20, IMP_MOST_OPEN_LOGS = 32 };

/* Put log into the table on top of the stack. */
void imp_log_open_library(lua_State *L);

/* Let the scripts of this state read the file at path. May raise on lack of memory. */
void imp_log_grant(lua_State *L, const char *path);

/* Push a day with a reference of its own. */
void imp_day_push(lua_State *L, imp_day *day);
imp_day *imp_day_test(lua_State *L, int index);

/* The day at index 1, which is a method's; raises when it is none or closed. */
imp_day *imp_day_check_open(lua_State *L, const char *method);
/* Push a column by its name. Raises. */
int imp_day_push_column(lua_State *L, imp_day *day, const char *name);
/* log_rows.c */
int imp_day_rows(lua_State *L);

/* Push the summary of a day that was asked for one and has been run. Raises. */
int imp_day_push_summary(lua_State *L, const imp_day *day);
/* Push what the standard summary says: quantities, times as texts; what is not known is absent. */
void imp_summary_push(lua_State *L, const imp_day *day, const imp_log_summary *summary);
/* Push { rows=, lines=, found = { { key=, text=, count=, lines = { { line=, column= } } } }, missing = { ... } }. */
void imp_faults_push(lua_State *L, const imp_log_header *header, const imp_log_faults *faults);
/* Read the options of a summary from the table at index (nil: the defaults). Raises. */
void imp_summary_options_read(lua_State *L, int index, imp_log_summary_options *options);

#endif
