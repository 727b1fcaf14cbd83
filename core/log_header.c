#include "log_header.h"

#include <stdio.h>
#include <string.h>

#include "log_internal.h"
#include "number.h"

static const imp_log_known known[] = {
    {"trigger", IMP_PURE, "1 while the trigger is pulled, else 0"},
    {"iso_temperature", IMP_TEMPERATURE, "iso behind the primary heater"},
    {"resin_temperature", IMP_TEMPERATURE, "resin behind the primary heater"},
    {"hose_temperature", IMP_TEMPERATURE, "hose, where both sides share one sensor"},
    {"iso_hose_temperature", IMP_TEMPERATURE, "iso in the hose"},
    {"resin_hose_temperature", IMP_TEMPERATURE, "resin in the hose"},
    {"iso_pressure", IMP_PRESSURE, "gauge pressure at the iso pump"},
    {"resin_pressure", IMP_PRESSURE, "gauge pressure at the resin pump"},
    {"iso_gun_pressure", IMP_PRESSURE, "iso gauge pressure at the gun"},
    {"resin_gun_pressure", IMP_PRESSURE, "resin gauge pressure at the gun"},
    {"iso_flow", IMP_FLOW, "iso volume flow"},
    {"resin_flow", IMP_FLOW, "resin volume flow"},
    {"iso_cycles", IMP_PURE, "running count of the iso pump's cycles"},
    {"resin_cycles", IMP_PURE, "running count of the resin pump's cycles"},
    {"hose_current", IMP_CURRENT, "current of the hose heating"},
    {"air_pressure", IMP_PRESSURE, "gauge pressure of the compressed air"},
    {"air_temperature", IMP_TEMPERATURE, "air where the work is"},
    {"relative_humidity", IMP_PURE, "of the air where the work is"},
    {"surface_temperature", IMP_TEMPERATURE, "surface that is sprayed"},
    {"wind_speed", IMP_VELOCITY, "where the work is"},
};

enum { KNOWN = sizeof known / sizeof known[0], CELL_SIZE = 256 };

size_t imp_log_known_count(void)
{
    return KNOWN;
}

const imp_log_known *imp_log_known_at(size_t index)
{
    return index < KNOWN ? &known[index] : NULL;
}

const imp_log_known *imp_log_known_find(const char *name)
{
    for (size_t i = 0; i < KNOWN; i++)
        if (strcmp(known[i].name, name) == 0)
            return &known[i];
    return NULL;
}

int imp_log_header_find(const imp_log_header *header, const char *name)
{
    for (size_t i = 0; i < header->count; i++)
        if (strcmp(header->columns[i].name, name) == 0)
            return (int)i;
    return -1;
}

const char *imp_log_header_nearest(const imp_log_header *header, const char *name)
{
    const char *nearest = NULL;
    int best = 4;
    for (size_t i = 0; i < header->count; i++) {
        const int distance = imp_name_distance(name, header->columns[i].name, best - 1);
        if (distance < best) {
            best = distance;
            nearest = header->columns[i].name;
        }
    }
    return nearest;
}

/* "iso_pressure [bar]" in two. False where a bracket opens and does not close. */
static bool split_cell(const char *text, size_t length, char *name, char *unit)
{
    const char *bracket = memchr(text, '[', length);
    size_t name_length = bracket != NULL ? (size_t)(bracket - text) : length;
    while (name_length > 0 && text[name_length - 1] == ' ')
        name_length--;
    snprintf(name, CELL_SIZE, "%.*s", (int)name_length, text);
    unit[0] = '\0';
    if (bracket == NULL)
        return true;
    if (text[length - 1] != ']')
        return false;
    snprintf(unit, CELL_SIZE, "%.*s", (int)(text + length - 1 - (bracket + 1)), bracket + 1);
    return true;
}

static const imp_log_mapping_row *mapped(const imp_log_mapping *mapping, const char *header)
{
    for (size_t i = 0; mapping != NULL && i < mapping->count; i++)
        if (strcmp(mapping->rows[i].header, header) == 0)
            return &mapping->rows[i];
    return NULL;
}

static const char *article_free(imp_named_dimension dimension)
{
    const char *name = imp_dimension_name(dimension), *blank = strchr(name, ' ');
    return blank != NULL ? blank + 1 : name;
}

static const char *usual_unit(imp_named_dimension dimension)
{
    switch (dimension) {
    case IMP_TEMPERATURE: return "degC";
    case IMP_PRESSURE: return "bar";
    case IMP_FLOW: return "L/min";
    case IMP_CURRENT: return "A";
    case IMP_VELOCITY: return "m/s";
    default: return "1";
    }
}

static imp_status set_unit(imp_log_column *column, const char *unit, bool has_unit, imp_error *error)
{
    const imp_log_known *is = imp_log_known_find(column->name);
    imp_error inner;
    column->is_known = is != NULL;
    if (imp_unit_parse(unit, strlen(unit), &column->unit, &inner) != IMP_OK) {
        if (is != NULL)
            return imp_fail(error, inner.status, column->name, "%s", inner.message);
        imp_unit_parse("", 0, &column->unit, NULL); /* a logger's own mark: bare numbers */
    }
    column->dimension = column->unit.dimension;
    column->is_reading = column->unit.is_reading;
    if (is == NULL)
        return IMP_OK;
    const imp_dimension wanted = imp_dimension_of(is->dimension);
    if (!has_unit && !imp_dimension_is_pure(wanted))
        return imp_fail(error, IMP_MISSING, column->name, "has no unit; write it behind the name, such as \"%s [%s]\"",
                        column->name, usual_unit(is->dimension));
    if (!imp_dimension_same(column->dimension, wanted))
        return imp_fail(error, IMP_DIMENSION_MISMATCH, column->name,
                        "expected the unit of a %s, such as [%s], got [%s]", article_free(is->dimension),
                        usual_unit(is->dimension), unit);
    if (is->dimension == IMP_TEMPERATURE) {
        if (!column->is_reading && !column->unit.is_absolute)
            return imp_fail(error, IMP_DIMENSION_MISMATCH, column->name,
                            "expected a temperature's unit, such as [degC], got [%s], which is a difference", unit);
        column->is_reading = true;
    }
    return IMP_OK;
}

static imp_status add_column(imp_log_header *header, const char *name, const char *unit, bool has_unit, imp_error *error)
{
    if (strlen(name) >= IMP_LOG_NAME_SIZE)
        return imp_fail(error, IMP_LIMIT, NULL, "the column name \"%.30s...\" is longer than %d bytes", name,
                        IMP_LOG_NAME_SIZE - 1);
    if (header->count == IMP_LOG_MOST_COLUMNS)
        return imp_fail(error, IMP_LIMIT, NULL, "there are more than %d columns", IMP_LOG_MOST_COLUMNS);
    if (imp_log_header_find(header, name) >= 0)
        return imp_fail(error, IMP_SYNTAX, name, "there are two columns of this name");
    imp_log_column *column = &header->columns[header->count];
    memset(column, 0, sizeof *column);
    memcpy(column->name, name, strlen(name) + 1); /* its length was checked */
    const imp_status status = set_unit(column, unit, has_unit, error);
    if (status == IMP_OK)
        header->count++;
    return status;
}

static imp_status take_cell(imp_log_header *header, const char *text, size_t length, size_t place,
                            const imp_log_mapping *mapping, bool *has_time, imp_error *error)
{
    char name[CELL_SIZE], unit[CELL_SIZE];
    if (length >= CELL_SIZE)
        return imp_fail(error, IMP_LIMIT, NULL, "the header of column %zu is longer than %d bytes", place + 1, CELL_SIZE - 1);
    if (!split_cell(text, length, name, unit))
        return imp_fail(error, IMP_SYNTAX, name, "expected \"name [unit]\", got \"%.*s\"", (int)length, text);
    const imp_log_mapping_row *row = mapped(mapping, name);
    if (row != NULL) {
        snprintf(name, sizeof name, "%s", row->name);
        if (row->unit != NULL)
            snprintf(unit, sizeof unit, "%s", row->unit);
    }
    if (strcmp(name, "time") == 0) {
        if (*has_time)
            return imp_fail(error, IMP_SYNTAX, "time", "there are two columns of this name");
        if (unit[0] != '\0' && strcmp(unit, "s") != 0)
            return imp_fail(error, IMP_DIMENSION_MISMATCH, "time", "expected ISO 8601 or seconds [s], got [%s]", unit);
        *has_time = true;
        header->time_at = place;
        return IMP_OK;
    }
    if (name[0] == '\0')
        snprintf(name, sizeof name, "column_%zu", place + 1);
    return add_column(header, name, unit, unit[0] != '\0' || (row != NULL && row->unit != NULL), error);
}

imp_status imp_log_header_read(const char *text, const char *end, char separator, const imp_log_mapping *mapping,
                               const imp_allocator *allocator, imp_log_header *header, imp_error *error)
{
    char buffer[CELL_SIZE];
    bool has_time = false;
    size_t place = 0;
    (void)allocator;
    memset(header, 0, sizeof *header);
    for (const char *at = text;; at++, place++) {
        imp_log_cell cell;
        at = imp_log_cell_read(at, end, separator, buffer, sizeof buffer, &cell);
        if (at == end && cell.length == 0 && place > 0)
            break; /* a separator at the end of the header */
        for (size_t i = 0; i < cell.length; i++)
            if ((unsigned char)cell.text[i] < ' ')
                return imp_fail(error, IMP_SYNTAX, NULL, "the first line is no header: it has bytes that are no text");
        const imp_status status = take_cell(header, cell.text, cell.length, place, mapping, &has_time, error);
        if (status != IMP_OK)
            return status;
        if (at == end)
            break;
    }
    if (!has_time)
        return imp_fail(error, IMP_MISSING, "time",
                        "the header has no column \"time\"; name it there or in a columns document (first column: \"%s\")",
                        header->columns[0].name);
    if (header->count == 0)
        return imp_fail(error, IMP_MISSING, NULL, "the header has no column besides time");
    return IMP_OK;
}
