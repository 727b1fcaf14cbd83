/* stats_lua.h — control charts of columns in memory.
 *
 *   imp.stats.individuals(c)  { centre=, lower=, upper=, moving_range=, moving_range_upper=, signals = { places } }
 *   imp.stats.ewma(c, { weight = 0.3, width = 3, target=, sd= })  { averages=, lower=, upper= (columns), target=, sd=,
 * signals = ... } imp.stats.cusum(c, { k = 0.5, h = 5, target=, sd= })  { high=, low= (columns), target=, sd=, k=, h=,
 * first= place or nil, signals = ... }
 *
 * target: the mean of the values unless given; sd: from the mean moving range, as in the individuals chart, unless
 * given. k and h are numbers of standard deviations. Missing values are passed over; places are those of the column. */
#ifndef IMP_STATS_LUA_H
#define IMP_STATS_LUA_H

#include "state.h"

/* Put these into stats, beside the catalogue's, in the table on top of the stack. */
void imp_stats_open(lua_State *L);

#endif
