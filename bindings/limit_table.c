#include "limit_table.h"

#include <stdio.h>

#include "calculator_lua.h"
#include "columns.h"
#include "document.h"
#include "engine.h"
#include "fluid.h"
#include "hose_run.h"
#include "json_scan.h"
#include "line_currents.h"
#include "log_internal.h"
#include "log_lua.h"
#include "number.h"
#include "rig.h"
#include "sandbox.h"
#include "sandbox_libraries.h"
#include "unit.h"

static const char documents[] = "Documents (jobs, rigs, materials)", calculations[] = "Calculations", logs[] = "Job logs",
                  scripts[] = "Scripts";
static const char refused[] = "refused with its place", left_out[] = "the line is left out and counted",
                  at_option[] = "refused", ends[] = "the script ends with exit code 6";

static const imp_limit rows[] = {
    {"document-bytes", documents, "size of a document, and of a partial result of a log", IMP_JSON_LONGEST, "bytes", refused},
    {"document-depth", documents, "lists and objects inside each other", IMP_JSON_DEEPEST, "levels", refused},
    {"document-values", documents, "values in one document", IMP_JSON_MOST_VALUES, "values", refused},
    {"number-characters", documents, "characters of a number in JSON", IMP_JSON_MOST_NUMBER, "characters", refused},
    {"list-items", documents, "items of one list or table", IMP_DOCUMENT_MOST_ITEMS, "items", refused},
    {"text-bytes", documents, "length of one text", IMP_DOCUMENT_LONGEST_TEXT, "bytes", refused},
    {"faults-listed", documents, "faults of one document that are listed", IMP_MOST_ISSUES, "faults", "the rest is counted"},
    {"unit-bytes", documents, "length of a unit text", IMP_UNIT_TEXT_SIZE - 1, "bytes", refused},

    {"viscosity-points", calculations, "points of a liquid's viscosity", IMP_FLUID_POINTS, "points", refused},
    {"hose-sections", calculations, "sections of one hose", IMP_HOSE_MOST_SECTIONS, "sections", refused},
    {"loads", calculations, "loads on one supply", IMP_MOST_LOADS, "loads", refused},
    {"loads-chosen", calculations, "loads among which is chosen what may run", IMP_MOST_LOADS_TO_CHOOSE, "loads", refused},
    {"transformer-taps", calculations, "taps of a transformer", IMP_RIG_MOST_TAPS, "taps", refused},
    {"solutions", calculations, "solutions shown of one backward solution", IMP_MOST_SOLUTIONS, "solutions", "the first ones are shown"},
    {"sweep-steps", calculations, "values of a sweep", IMP_MOST_SWEEP_STEPS, "values", at_option},
    {"draws", calculations, "draws of a simulated uncertainty", IMP_MOST_DRAWS, "draws", at_option},

    {"log-columns", logs, "columns of a log besides its time", IMP_LOG_MOST_COLUMNS, "columns", refused},
    {"log-name-bytes", logs, "length of a column's name", IMP_LOG_NAME_SIZE - 1, "bytes", refused},
    {"log-line-bytes", logs, "length of a row", IMP_LOG_LONGEST_LINE, "bytes", left_out},
    {"log-quoted-lines", logs, "lines of a quoted cell", IMP_LOG_MOST_QUOTED_LINES, "lines", left_out},
    {"log-threads", logs, "threads (--threads)", IMP_LOG_MOST_THREADS, "threads", at_option},
    {"log-spans", logs, "spans of one event that are kept", IMP_COLUMNS_SPANS_KEPT, "spans", "the rest is counted"},
    {"log-series", logs, "points of one series", IMP_COLUMNS_SERIES_KEPT, "points", refused},
    {"log-rolling-rows", logs, "rows of a rolling window", IMP_ROLLING_ROWS, "rows", refused},
    {"log-expressions", logs, "expressions on one log", IMP_MOST_NODES, "expressions", refused},
    {"log-lasting", logs, "lasting inside lasting", IMP_MOST_LEVELS - 1, "levels", refused},
    {"log-mapping-bytes", logs, "size of a columns document", IMP_LONGEST_MAPPING, "bytes", refused},
    {"logs-open", logs, "logs that a script may have open at once", IMP_MOST_OPEN_LOGS, "logs", refused},

    {"script-bytes", scripts, "size of a script", IMP_LONGEST_SCRIPT, "bytes", refused},
    {"calculators", scripts, "calculators that one script may declare", IMP_MOST_CALCULATORS, "calculators", refused},
    {"script-memory", scripts, "memory, unless --max-memory says otherwise", IMP_SCRIPT_MEMORY, "bytes", ends},
    {"script-steps", scripts, "instructions, unless --max-steps says otherwise", IMP_SCRIPT_STEPS, "instructions", ends},
    {"script-seconds", scripts, "time, unless --max-seconds says otherwise", IMP_SCRIPT_SECONDS, "seconds", ends},
    {"script-output", scripts, "output, unless --max-output says otherwise", IMP_SCRIPT_OUTPUT, "bytes", ends},
    {.key = NULL}};

const imp_limit *imp_program_limits(void)
{
    return rows;
}

char *imp_limit_text(const imp_limit *limit, char *text, unsigned long size)
{
    const long most = (long)limit->most;
    const bool is_bytes = limit->unit[0] == 'b';
    char number[IMP_NUMBER_TEXT_SIZE];
    if (is_bytes && most % 1048576 == 0)
        snprintf(text, size, "%ld MiB", most / 1048576);
    else if (is_bytes && most % 1024 == 0)
        snprintf(text, size, "%ld KiB", most / 1024);
    else if (most >= 1000000 && most % 1000000 == 0)
        snprintf(text, size, "%ld million %s", most / 1000000, limit->unit);
    else
        snprintf(text, size, "%s %s", imp_number_write(limit->most, 0, number, sizeof number), limit->unit);
    return text;
}
