/* The standard summary of a log, and what is wrong with its file, as tables. See log_lua.h. */
#include <math.h>
#include <string.h>

#include "log_lua.h"
#include "quantity_lua.h"

static void push_quantity(lua_State *L, double si, imp_dimension dimension, bool is_reading, const char *unit)
{
    const imp_quantity quantity = {si, dimension, is_reading};
    imp_quantity_push(L, &quantity, unit != NULL ? imp_unit_cached(L, unit, strlen(unit), NULL) : NULL);
}

static void set_value(lua_State *L, const char *name, imp_log_value value, imp_named_dimension dimension,
                      const char *unit)
{
    if (!value.known)
        return;
    push_quantity(L, value.si, imp_dimension_of(dimension), false, unit);
    lua_setfield(L, -2, name);
}

static void set_time(lua_State *L, const imp_day *day, const char *name, imp_log_value value)
{
    char text[64];
    if (!value.known)
        return;
    lua_pushstring(L, imp_log_time_text(imp_columns_header(day->columns), value.si, text, sizeof text));
    lua_setfield(L, -2, name);
}

static void set_of_column(lua_State *L, const char *name, imp_log_value value, const imp_log_column_summary *column)
{
    if (!value.known)
        return;
    push_quantity(L, value.si, column->dimension, column->is_reading, column->unit);
    lua_setfield(L, -2, name);
}

static void push_column_summary(lua_State *L, const imp_log_column_summary *column)
{
    lua_createtable(L, 0, 10);
    lua_pushstring(L, column->name);
    lua_setfield(L, -2, "name");
    lua_pushstring(L, column->unit);
    lua_setfield(L, -2, "unit");
    lua_pushinteger(L, (lua_Integer)column->count);
    lua_setfield(L, -2, "count");
    lua_pushinteger(L, (lua_Integer)column->missing);
    lua_setfield(L, -2, "missing");
    set_of_column(L, "min", column->least, column);
    set_of_column(L, "max", column->greatest, column);
    set_of_column(L, "mean", column->mean, column);
    set_of_column(L, "spraying_min", column->spraying_least, column);
    set_of_column(L, "spraying_max", column->spraying_greatest, column);
    set_of_column(L, "spraying_mean", column->spraying_mean, column);
}

static void push_window(lua_State *L, const imp_log_summary *summary, const imp_log_window_summary *found)
{
    const imp_log_value times[] = {{true, found->below}, {true, found->inside}, {true, found->above}};
    const char *const names[] = {"below", "inside", "above"};
    lua_createtable(L, 0, 6);
    lua_pushstring(L, found->window.column);
    lua_setfield(L, -2, "column");
    for (int i = 0; i < 3; i++)
        set_value(L, names[i], times[i], IMP_TIME, "s");
    for (size_t i = 0; i < summary->column_count; i++) {
        const imp_log_column_summary *column = &summary->columns[i];
        if (strcmp(column->name, found->window.column) != 0)
            continue;
        set_of_column(L, "low", (imp_log_value){!isnan(found->window.low), found->window.low}, column);
        set_of_column(L, "high", (imp_log_value){!isnan(found->window.high), found->window.high}, column);
    }
}

void imp_summary_push(lua_State *L, const imp_day *day, const imp_log_summary *summary)
{
    lua_createtable(L, 0, 40);
    lua_pushinteger(L, (lua_Integer)summary->rows);
    lua_setfield(L, -2, "rows");
    set_time(L, day, "first_time", summary->first_time);
    set_time(L, day, "last_time", summary->last_time);
    set_value(L, "logged_time", (imp_log_value){true, summary->logged_time}, IMP_TIME, "s");
    set_value(L, "spraying_time", summary->spraying_time, IMP_TIME, "s");
    set_value(L, "recirculating_time", summary->recirculating_time, IMP_TIME, "s");
    set_value(L, "idle_time", summary->idle_time, IMP_TIME, "s");
    lua_pushinteger(L, (lua_Integer)summary->sprays);
    lua_setfield(L, -2, "sprays");
    set_value(L, "longest_spray", summary->longest_spray, IMP_TIME, "s");
    set_value(L, "iso_volume", summary->iso_volume, IMP_VOLUME, "L");
    set_value(L, "resin_volume", summary->resin_volume, IMP_VOLUME, "L");
    set_value(L, "iso_pumped", summary->iso_pumped, IMP_VOLUME, "L");
    set_value(L, "resin_pumped", summary->resin_pumped, IMP_VOLUME, "L");
    set_value(L, "iso_mass", summary->iso_mass, IMP_MASS, "kg");
    set_value(L, "resin_mass", summary->resin_mass, IMP_MASS, "kg");
    lua_pushstring(L, summary->volume_by);
    lua_setfield(L, -2, "volume_by");
    set_value(L, "ratio", summary->ratio, IMP_PURE, "1");
    set_value(L, "ratio_uncertainty", summary->ratio_uncertainty, IMP_PURE, "1");
    set_value(L, "rolling_least", summary->rolling_least, IMP_PURE, "1");
    set_value(L, "rolling_greatest", summary->rolling_greatest, IMP_PURE, "1");
    set_value(L, "off_ratio_time", summary->off_ratio_time, IMP_TIME, "s");
    set_value(L, "imbalance_mean", summary->imbalance_mean, IMP_PURE, "%");
    set_value(L, "imbalance_least", summary->imbalance_least, IMP_PURE, "%");
    set_value(L, "imbalance_greatest", summary->imbalance_greatest, IMP_PURE, "%");
    lua_createtable(L, (int)summary->column_count, 0);
    for (size_t i = 0; i < summary->column_count; i++) {
        push_column_summary(L, &summary->columns[i]);
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
    lua_setfield(L, -2, "columns");
    lua_createtable(L, (int)summary->window_count, 0);
    for (size_t i = 0; i < summary->window_count; i++) {
        push_window(L, summary, &summary->windows[i]);
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
    lua_setfield(L, -2, "windows");
    imp_faults_push(L, imp_columns_header(day->columns), &summary->faults);
    lua_setfield(L, -2, "faults");
}

static void push_fault(lua_State *L, const imp_log_header *header, const imp_log_fault_count *count, imp_log_fault kind)
{
    lua_createtable(L, 0, 4);
    lua_pushstring(L, imp_log_fault_key(kind));
    lua_setfield(L, -2, "key");
    lua_pushstring(L, imp_log_fault_text(kind));
    lua_setfield(L, -2, "text");
    lua_pushinteger(L, (lua_Integer)count->count);
    lua_setfield(L, -2, "count");
    lua_createtable(L, (int)count->kept, 0);
    for (unsigned i = 0; i < count->kept; i++) {
        const int column = count->column[i];
        lua_createtable(L, 0, 2);
        lua_pushinteger(L, (lua_Integer)count->line[i]);
        lua_setfield(L, -2, "line");
        if (column >= 0 && (size_t)column < header->count) {
            lua_pushstring(L, header->columns[column].name);
            lua_setfield(L, -2, "column");
        }
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
    lua_setfield(L, -2, "lines");
}

void imp_faults_push(lua_State *L, const imp_log_header *header, const imp_log_faults *faults)
{
    lua_Integer found = 0;
    lua_createtable(L, 0, 6);
    lua_pushinteger(L, (lua_Integer)faults->rows);
    lua_setfield(L, -2, "rows");
    lua_pushinteger(L, (lua_Integer)faults->lines);
    lua_setfield(L, -2, "lines");
    if (faults->sample[0] != '\0') {
        lua_pushstring(L, faults->sample);
        lua_setfield(L, -2, "sample");
    }
    lua_newtable(L);
    for (int kind = 0; kind < (int)IMP_LOG_FAULT_COUNT; kind++)
        if (faults->kind[kind].count > 0) {
            push_fault(L, header, &faults->kind[kind], (imp_log_fault)kind);
            lua_rawseti(L, -2, ++found);
        }
    lua_setfield(L, -2, "found");
    lua_newtable(L);
    for (size_t i = 0; i < header->count; i++)
        if (faults->missing[i] > 0) {
            lua_pushinteger(L, (lua_Integer)faults->missing[i]);
            lua_setfield(L, -2, header->columns[i].name);
        }
    lua_setfield(L, -2, "missing");
}
