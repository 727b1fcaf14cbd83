#include "columns_values.h"

#include <string.h>

#include "columns_internal.h"

static imp_status evaluate(imp_engine *engine, imp_column column, double *values, size_t count, imp_error *error)
{
    const imp_columns *columns = engine->columns;
    imp_frame *frame = engine->filling;
    imp_status status = IMP_OK;
    for (size_t first = 0; first < count && status == IMP_OK; first += IMP_FRAME_ROWS) {
        frame->rows = count - first < IMP_FRAME_ROWS ? count - first : IMP_FRAME_ROWS;
        imp_frame_prepare(engine, frame);
        for (size_t i = 0; i < columns->node_count; i++)
            if (engine->needed[i] && columns->nodes[i].operation == IMP_COLUMN_MEMORY)
                frame->values[i] = columns->nodes[i].memory + first;
        status = imp_node_need(engine, column, frame, error);
        if (status == IMP_OK)
            memcpy(values + first, frame->values[column], frame->rows * sizeof *values);
    }
    return status;
}

imp_status imp_columns_values(imp_columns *columns, imp_column column, double *values, size_t count, imp_error *error)
{
    const imp_column_kind kind = imp_columns_kind(columns, column);
    if (kind.is_streamed || kind.length != count)
        return imp_fail(error, IMP_TYPE, NULL, "expected a column in memory of %zu rows", count);
    if (count == 0)
        return IMP_OK;
    imp_reduction asked; /* what is asked for is what an engine evaluates */
    imp_status status = imp_columns_reduce(columns, IMP_REDUCE_COUNT, column, IMP_NO_COLUMN, 0.0, &asked, error);
    imp_engine *engine = NULL;
    if (status == IMP_OK)
        status = imp_engine_create(columns, count, false, &engine, error);
    if (status == IMP_OK)
        status = evaluate(engine, column, values, count, error);
    imp_engine_free(engine);
    return status;
}
