/* Building column expressions. Over 500 lines: one function for each operation, all alike short. */
#include "columns.h"

#include <float.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "columns_internal.h"
#include "number.h"

imp_status imp_columns_out_of_memory(imp_error *error)
{
    return imp_fail(error, IMP_MEMORY, NULL, "out of memory");
}

imp_status imp_columns_create(const imp_allocator *allocator, imp_columns **columns, imp_error *error)
{
    imp_columns *made = imp_allocate(allocator, 1, sizeof *made);
    if (made == NULL)
        return imp_columns_out_of_memory(error);
    made->allocator = allocator;
    made->gap = 10.0;
    *columns = made;
    return IMP_OK;
}

void imp_columns_free(imp_columns *columns)
{
    if (columns == NULL)
        return;
    const imp_allocator *allocator = columns->allocator;
    imp_engine_free(columns->merging);
    for (size_t i = 0; i < columns->tally_count; i++) {
        imp_tally_free(columns, columns->tallies[i]);
        imp_release(allocator, columns->tallies[i]);
    }
    for (size_t i = 0; i < columns->node_count; i++)
        imp_release(allocator, columns->nodes[i].memory);
    imp_release(allocator, columns->tallies);
    imp_release(allocator, columns->nodes);
    imp_release(allocator, columns->asked);
    imp_release(allocator, columns->plan);
    imp_release(allocator, columns);
}

imp_status imp_columns_bind(imp_columns *columns, const imp_log_header *header, imp_error *error)
{
    if (columns->is_bound)
        return imp_fail(error, IMP_INTERNAL, NULL, "these columns belong to a log already");
    columns->header = *header;
    columns->is_bound = true;
    return IMP_OK;
}

const imp_log_header *imp_columns_header(const imp_columns *columns)
{
    return &columns->header;
}

imp_status imp_columns_set_gap(imp_columns *columns, double seconds, imp_error *error)
{
    if (!(seconds > 0.0) || !isfinite(seconds))
        return imp_fail(error, IMP_RANGE, "gap", "expected a time above 0 s");
    columns->gap = seconds;
    return IMP_OK;
}

const imp_log_faults *imp_columns_faults(const imp_columns *columns)
{
    return &columns->faults;
}

/* --- nodes --- */

static bool same_bits(double a, double b)
{
    uint64_t bits_a, bits_b;
    memcpy(&bits_a, &a, sizeof a);
    memcpy(&bits_b, &b, sizeof b);
    return bits_a == bits_b;
}

static bool same_node(const imp_node *a, const imp_node *b)
{
    return a->operation == b->operation && a->a == b->a && a->b == b->b && same_bits(a->parameter, b->parameter) &&
           a->source == b->source && a->memory == NULL && b->memory == NULL &&
           imp_dimension_same(a->kind.dimension, b->kind.dimension) && a->kind.is_reading == b->kind.is_reading;
}

static imp_status add_node(imp_columns *columns, const imp_node *node, imp_column *column, imp_error *error)
{
    for (size_t i = 0; i < columns->node_count; i++)
        if (same_node(&columns->nodes[i], node)) {
            *column = (imp_column)i;
            return IMP_OK;
        }
    if (columns->node_count == IMP_MOST_NODES)
        return imp_fail(error, IMP_LIMIT, NULL, "there are more than %d column expressions", IMP_MOST_NODES);
    if (columns->node_count == columns->node_capacity) {
        const size_t capacity = columns->node_capacity > 0 ? 2 * columns->node_capacity : 32;
        imp_node *nodes = imp_resize(columns->allocator, columns->nodes, capacity, sizeof *nodes);
        if (nodes == NULL)
            return imp_columns_out_of_memory(error);
        columns->nodes = nodes;
        columns->node_capacity = capacity;
    }
    columns->nodes[columns->node_count] = *node;
    *column = (imp_column)columns->node_count++;
    return IMP_OK;
}

static imp_node blank_node(imp_column_operation operation)
{
    imp_node node;
    memset(&node, 0, sizeof node);
    node.operation = operation;
    node.a = node.b = IMP_NO_COLUMN;
    node.source = -1;
    return node;
}

imp_status imp_columns_source(imp_columns *columns, const char *name, imp_column *column, imp_error *error)
{
    imp_node node = blank_node(IMP_COLUMN_SOURCE);
    node.kind.is_streamed = true;
    if (strcmp(name, "time") == 0) {
        node.operation = IMP_COLUMN_TIME;
        node.kind.dimension = imp_dimension_of(IMP_TIME);
        return add_node(columns, &node, column, error);
    }
    node.source = imp_log_header_find(&columns->header, name);
    if (node.source < 0) {
        const char *nearest = imp_log_header_nearest(&columns->header, name);
        return nearest != NULL ? imp_fail(error, IMP_UNKNOWN, name, "the log has no such column; did you mean \"%s\"?", nearest)
                               : imp_fail(error, IMP_UNKNOWN, name, "the log has no such column");
    }
    const imp_log_column *from = &columns->header.columns[node.source];
    node.kind.dimension = from->dimension;
    node.kind.is_reading = from->is_reading;
    return add_node(columns, &node, column, error);
}

imp_status imp_columns_memory(imp_columns *columns, const double *si, size_t count, imp_dimension dimension,
                              bool is_reading, imp_column *column, imp_error *error)
{
    for (size_t i = 0; i < count; i++)
        if (isinf(si[i]))
            return imp_fail(error, IMP_RANGE, NULL, "value %zu is not finite", i + 1);
    imp_node node = blank_node(IMP_COLUMN_MEMORY);
    node.kind.dimension = dimension;
    node.kind.is_reading = is_reading;
    node.kind.length = count;
    node.memory = imp_allocate(columns->allocator, count + IMP_KERNEL_ROUND, sizeof *si);
    if (node.memory == NULL)
        return imp_columns_out_of_memory(error);
    if (count > 0)
        memcpy(node.memory, si, count * sizeof *si);
    const imp_status status = add_node(columns, &node, column, error);
    if (status != IMP_OK)
        imp_release(columns->allocator, node.memory);
    return status;
}

imp_status imp_columns_constant(imp_columns *columns, const imp_quantity *value, imp_column *column, imp_error *error)
{
    if (!isfinite(value->si))
        return imp_fail(error, IMP_RANGE, NULL, "a constant must be finite");
    imp_node node = blank_node(IMP_COLUMN_CONSTANT);
    node.parameter = value->si;
    node.kind.dimension = value->dimension;
    node.kind.is_reading = value->is_reading;
    return add_node(columns, &node, column, error);
}

imp_column_kind imp_columns_kind(const imp_columns *columns, imp_column column)
{
    const imp_column_kind none = {.length = 0};
    return column >= 0 && (size_t)column < columns->node_count ? columns->nodes[column].kind : none;
}

static bool is_constant(const imp_node *node)
{
    return node->operation == IMP_COLUMN_CONSTANT;
}

static imp_status check_column(const imp_columns *columns, imp_column column, imp_error *error)
{
    return column >= 0 && (size_t)column < columns->node_count
               ? IMP_OK
               : imp_fail(error, IMP_INTERNAL, NULL, "column %d is not of this set", column);
}

static imp_quantity sample_of(const imp_node *node)
{
    const imp_quantity sample = {.si = 1.0, .dimension = node->kind.dimension, .is_reading = node->kind.is_reading};
    return sample;
}

static void inherit(imp_node *node, const imp_node *a)
{
    node->level = a->level > node->level ? a->level : node->level;
    node->back = fmax(node->back, a->back);
    node->ahead = fmax(node->ahead, a->ahead);
    node->rows_back = a->rows_back > node->rows_back ? a->rows_back : node->rows_back;
    node->kind.is_streamed = node->kind.is_streamed || a->kind.is_streamed;
    if (!is_constant(a))
        node->kind.length = a->kind.length;
}

static imp_status want_mask(const imp_node *node, imp_error *error)
{
    char text[96];
    if (node->kind.is_mask)
        return IMP_OK;
    return imp_fail(error, IMP_TYPE, NULL, "expected a mask (a comparison), got %s",
                    imp_dimension_text(node->kind.dimension, node->kind.is_reading, text, sizeof text));
}

imp_status imp_columns_unary(imp_columns *columns, imp_column_operation operation, imp_column a, imp_column *column,
                             imp_error *error)
{
    imp_status status = check_column(columns, a, error);
    if (status != IMP_OK)
        return status;
    const imp_node *from = &columns->nodes[a];
    imp_node node = blank_node(operation);
    node.a = a;
    node.kind.dimension = from->kind.dimension;
    inherit(&node, from);
    const imp_quantity sample = sample_of(from), second = {.si = 1.0, .dimension = imp_dimension_of(IMP_TIME)};
    imp_quantity result = sample;
    switch (operation) {
    case IMP_COLUMN_NEGATE:
    case IMP_COLUMN_ABS:
        if (from->kind.is_reading)
            return imp_fail(error, IMP_DIMENSION_MISMATCH, NULL, "a temperature reading has no sign; take a difference first");
        break;
    case IMP_COLUMN_SQRT: status = imp_quantity_power(&sample, 0.5, &result, error); break;
    case IMP_COLUMN_NOT: status = want_mask(from, error); /* fall through */
    case IMP_COLUMN_PRESENT:
        node.kind.is_mask = true;
        result.dimension = imp_dimension_of(IMP_PURE);
        result.is_reading = false;
        break;
    case IMP_COLUMN_CHANGE:
    case IMP_COLUMN_RATE:
        status = imp_quantity_subtract(&sample, &sample, &result, error);
        if (status == IMP_OK && operation == IMP_COLUMN_RATE)
            status = imp_quantity_divide(&result, &second, &result, error);
        node.rows_back++;
        break;
    case IMP_COLUMN_DURATION: result = second; break;
    default: return imp_fail(error, IMP_INTERNAL, NULL, "this operation does not take one column");
    }
    if (status == IMP_OK && !from->kind.is_streamed &&
        (operation == IMP_COLUMN_RATE || operation == IMP_COLUMN_DURATION || operation == IMP_COLUMN_CHANGE))
        return imp_fail(error, IMP_TYPE, NULL, "a column in memory has no time");
    if (status != IMP_OK)
        return status;
    node.kind.dimension = result.dimension;
    node.kind.is_reading = result.is_reading;
    return add_node(columns, &node, column, error);
}

imp_status imp_columns_over_time(imp_columns *columns, imp_column_operation operation, imp_column a, double seconds,
                                 imp_column *column, imp_error *error)
{
    imp_status status = check_column(columns, a, error);
    if (status != IMP_OK)
        return status;
    const imp_node *from = &columns->nodes[a];
    if (!(seconds > 0.0) || !isfinite(seconds))
        return imp_fail(error, IMP_RANGE, NULL, "expected a time above 0 s");
    if (!from->kind.is_streamed)
        return imp_fail(error, IMP_TYPE, NULL, "a column in memory has no time");
    imp_node node = blank_node(operation);
    node.a = a;
    node.parameter = seconds;
    node.kind = from->kind;
    inherit(&node, from);
    node.back += seconds;
    switch (operation) {
    case IMP_COLUMN_LASTING:
        status = want_mask(from, error);
        node.ahead += seconds;
        node.level++;
        if (status == IMP_OK && node.level >= IMP_MOST_LEVELS)
            return imp_fail(error, IMP_LIMIT, NULL, "lasting is nested more than %d deep", IMP_MOST_LEVELS - 1);
        break;
    case IMP_COLUMN_ROLLING:
        if (from->kind.is_mask)
            node.kind.is_mask = false; /* the share of rows where it is 1 */
        break;
    case IMP_COLUMN_UNCHANGED:
        node.kind.is_mask = true;
        node.kind.is_reading = false;
        node.kind.dimension = imp_dimension_of(IMP_PURE);
        node.rows_back++;
        break;
    default: return imp_fail(error, IMP_INTERNAL, NULL, "this operation does not take a column and a time");
    }
    return status == IMP_OK ? add_node(columns, &node, column, error) : status;
}

/* Dimension of the result, by the rules for quantities. */
static imp_status combine_kinds(const imp_node *x, const imp_node *y, imp_node *node, imp_error *error)
{
    const imp_quantity a = sample_of(x), b = sample_of(y);
    imp_quantity result = a;
    imp_status status = IMP_OK;
    int order;
    node->kind.is_mask = false;
    switch (node->operation) {
    case IMP_COLUMN_ADD: status = imp_quantity_add(&a, &b, &result, error); break;
    case IMP_COLUMN_SUBTRACT: status = imp_quantity_subtract(&a, &b, &result, error); break;
    case IMP_COLUMN_MULTIPLY: status = imp_quantity_multiply(&a, &b, &result, error); break;
    case IMP_COLUMN_DIVIDE: status = imp_quantity_divide(&a, &b, &result, error); break;
    case IMP_COLUMN_MINIMUM:
    case IMP_COLUMN_MAXIMUM:
    case IMP_COLUMN_OR_ELSE:
        status = imp_quantity_compare(&a, &b, &order, error);
        node->kind.is_mask = x->kind.is_mask && y->kind.is_mask;
        break;
    case IMP_COLUMN_AND:
    case IMP_COLUMN_OR:
        status = want_mask(x, error);
        if (status == IMP_OK)
            status = want_mask(y, error);
        node->kind.is_mask = true;
        break;
    case IMP_COLUMN_WHERE:
        status = want_mask(y, error);
        node->kind.is_mask = x->kind.is_mask;
        break;
    case IMP_COLUMN_ABOVE:
    case IMP_COLUMN_AT_LEAST:
    case IMP_COLUMN_BELOW:
    case IMP_COLUMN_AT_MOST:
    case IMP_COLUMN_EQUALS:
    case IMP_COLUMN_DIFFERS:
        status = imp_quantity_compare(&a, &b, &order, error);
        node->kind.is_mask = true;
        result.dimension = imp_dimension_of(IMP_PURE);
        result.is_reading = false;
        break;
    default: return imp_fail(error, IMP_INTERNAL, NULL, "this operation does not take two columns");
    }
    node->kind.dimension = result.dimension;
    node->kind.is_reading = result.is_reading;
    return status;
}

imp_status imp_columns_binary(imp_columns *columns, imp_column_operation operation, imp_column a, imp_column b,
                              imp_column *column, imp_error *error)
{
    imp_status status = check_column(columns, a, error);
    if (status == IMP_OK)
        status = check_column(columns, b, error);
    if (status != IMP_OK)
        return status;
    const imp_node *x = &columns->nodes[a], *y = &columns->nodes[b];
    imp_node node = blank_node(operation);
    node.a = a;
    node.b = b;
    if (!is_constant(x) && !is_constant(y) &&
        (x->kind.is_streamed != y->kind.is_streamed || x->kind.length != y->kind.length))
        return x->kind.is_streamed != y->kind.is_streamed
                   ? imp_fail(error, IMP_TYPE, NULL, "a column of a log and a column in memory have different rows")
                   : imp_fail(error, IMP_TYPE, NULL, "the columns differ in length: %zu and %zu", x->kind.length, y->kind.length);
    inherit(&node, y);
    inherit(&node, x);
    status = combine_kinds(x, y, &node, error);
    return status == IMP_OK ? add_node(columns, &node, column, error) : status;
}

/* --- reductions --- */

static imp_status add_tally(imp_columns *columns, const imp_tally *wanted, int *index, imp_error *error)
{
    for (size_t i = 0; i < columns->tally_count; i++) {
        imp_tally *old = columns->tallies[i];
        const bool same = old->kind == wanted->kind && old->value == wanted->value && old->mask == wanted->mask &&
                          same_bits(old->parameter, wanted->parameter) && wanted->kind != IMP_TALLY_SPANS;
        if (same && (!old->is_answered || (old->wants & wanted->wants) == wanted->wants)) {
            old->wants |= wanted->wants;
            *index = (int)i;
            return IMP_OK;
        }
    }
    if (columns->tally_count == columns->tally_capacity) {
        const size_t capacity = columns->tally_capacity > 0 ? 2 * columns->tally_capacity : 16;
        imp_tally **tallies = imp_resize(columns->allocator, columns->tallies, capacity, sizeof *tallies);
        if (tallies == NULL)
            return imp_columns_out_of_memory(error);
        columns->tallies = tallies;
        columns->tally_capacity = capacity;
    }
    imp_tally *tally = imp_allocate(columns->allocator, 1, sizeof *tally);
    if (tally == NULL)
        return imp_columns_out_of_memory(error);
    *tally = *wanted;
    imp_sketch_init(&tally->sketch, columns->allocator);
    if (imp_stretch_init(columns, &tally->open, tally->value_count) != IMP_OK ||
        imp_stretch_init(columns, &tally->first_stretch, tally->value_count) != IMP_OK) {
        imp_tally_free(columns, tally);
        imp_release(columns->allocator, tally);
        return imp_columns_out_of_memory(error);
    }
    imp_tally_reset(tally);
    columns->tallies[columns->tally_count] = tally;
    *index = (int)columns->tally_count++;
    return IMP_OK;
}

static imp_status add_asked(imp_columns *columns, const imp_asked *asked, imp_reduction *reduction, imp_error *error)
{
    if (columns->asked_count == columns->asked_capacity) {
        const size_t capacity = columns->asked_capacity > 0 ? 2 * columns->asked_capacity : 32;
        imp_asked *list = imp_resize(columns->allocator, columns->asked, capacity, sizeof *list);
        if (list == NULL)
            return imp_columns_out_of_memory(error);
        columns->asked = list;
        columns->asked_capacity = capacity;
    }
    columns->asked[columns->asked_count] = *asked;
    *reduction = (imp_reduction)columns->asked_count++;
    return IMP_OK;
}

static imp_status check_mask(const imp_columns *columns, imp_column value, imp_column mask, imp_error *error)
{
    imp_status status = check_column(columns, value, error);
    if (status != IMP_OK || mask == IMP_NO_COLUMN)
        return status;
    status = check_column(columns, mask, error);
    if (status == IMP_OK)
        status = want_mask(&columns->nodes[mask], error);
    const imp_node *x = &columns->nodes[value], *y = &columns->nodes[mask];
    if (status == IMP_OK && !is_constant(x) && !is_constant(y) &&
        (x->kind.is_streamed != y->kind.is_streamed || x->kind.length != y->kind.length))
        return imp_fail(error, IMP_TYPE, NULL, "the column and its mask have different rows");
    return status;
}

static bool takes_time(imp_reduction_kind kind)
{
    return kind == IMP_REDUCE_TIME || kind == IMP_REDUCE_INTEGRAL || kind == IMP_REDUCE_INTEGRAL_TRAPEZOID ||
           kind == IMP_REDUCE_TIME_MEAN || kind == IMP_REDUCE_INCREASE;
}

imp_status imp_columns_reduce(imp_columns *columns, imp_reduction_kind kind, imp_column value, imp_column mask,
                              double parameter, imp_reduction *reduction, imp_error *error)
{
    imp_status status = check_mask(columns, value, mask, error);
    if (status != IMP_OK)
        return status;
    const imp_node *node = &columns->nodes[value];
    const imp_quantity sample = sample_of(node), second = {.si = 1.0, .dimension = imp_dimension_of(IMP_TIME)};
    imp_quantity result = sample;
    imp_tally tally;
    memset(&tally, 0, sizeof tally);
    tally.value = value;
    tally.mask = mask;
    if (takes_time(kind) && !node->kind.is_streamed)
        return imp_fail(error, IMP_TYPE, NULL, "a column in memory has no time");
    if (node->kind.is_reading && (kind == IMP_REDUCE_SUM || kind == IMP_REDUCE_INTEGRAL ||
                                  kind == IMP_REDUCE_INTEGRAL_TRAPEZOID || kind == IMP_REDUCE_INCREASE))
        return imp_fail(error, IMP_TYPE, NULL, "temperature readings do not add up; take a mean or a difference");
    switch (kind) {
    case IMP_REDUCE_COUNT:
        result.dimension = imp_dimension_of(IMP_PURE);
        result.is_reading = false;
        if (node->kind.is_mask && mask == IMP_NO_COLUMN)
            tally.mask = value;
        else if (node->kind.is_mask)
            status = imp_columns_binary(columns, IMP_COLUMN_AND, value, mask, &tally.mask, error);
        break;
    case IMP_REDUCE_MEAN:
    case IMP_REDUCE_SUM: tally.wants = IMP_WANT_SUM; break;
    case IMP_REDUCE_SD:
        tally.wants = IMP_WANT_SUM | IMP_WANT_SQUARES;
        status = imp_quantity_subtract(&sample, &sample, &result, error);
        break;
    case IMP_REDUCE_MIN:
    case IMP_REDUCE_MAX:
    case IMP_REDUCE_FIRST:
    case IMP_REDUCE_LAST: break;
    case IMP_REDUCE_QUANTILE:
        if (!(parameter >= 0.0 && parameter <= 1.0))
            return imp_fail(error, IMP_RANGE, "p", "expected a share from 0 to 1");
        tally.kind = IMP_TALLY_SKETCH;
        break;
    case IMP_REDUCE_TIME:
        tally.kind = IMP_TALLY_TIME;
        result = second;
        break;
    case IMP_REDUCE_INTEGRAL:
        tally.wants = IMP_WANT_INTEGRAL;
        tally.kind = IMP_TALLY_TIME;
        status = imp_quantity_multiply(&sample, &second, &result, error);
        break;
    case IMP_REDUCE_TIME_MEAN:
        tally.wants = IMP_WANT_INTEGRAL;
        tally.kind = IMP_TALLY_TIME;
        break;
    case IMP_REDUCE_INTEGRAL_TRAPEZOID:
        tally.kind = IMP_TALLY_TRAPEZOID;
        status = imp_quantity_multiply(&sample, &second, &result, error);
        break;
    case IMP_REDUCE_INCREASE: tally.kind = IMP_TALLY_INCREASE; break;
    default: return imp_fail(error, IMP_INTERNAL, NULL, "no such reduction");
    }
    imp_asked asked = {.kind = kind, .parameter = parameter, .dimension = result.dimension, .is_reading = result.is_reading};
    if (status == IMP_OK)
        status = add_tally(columns, &tally, &asked.tally, error);
    return status == IMP_OK ? add_asked(columns, &asked, reduction, error) : status;
}

imp_status imp_columns_spans(imp_columns *columns, imp_column mask, const imp_column *values, size_t value_count,
                             imp_reduction *reduction, imp_error *error)
{
    imp_status status = check_mask(columns, mask, mask, error);
    if (status == IMP_OK && value_count > IMP_SPAN_VALUES)
        return imp_fail(error, IMP_LIMIT, NULL, "spans carry at most %d columns", IMP_SPAN_VALUES);
    for (size_t i = 0; i < value_count && status == IMP_OK; i++)
        status = check_mask(columns, values[i], mask, error);
    if (status != IMP_OK)
        return status;
    if (!columns->nodes[mask].kind.is_streamed)
        return imp_fail(error, IMP_TYPE, NULL, "a column in memory has no time");
    imp_tally tally;
    memset(&tally, 0, sizeof tally);
    tally.kind = IMP_TALLY_SPANS;
    tally.value = tally.mask = mask;
    tally.value_count = value_count;
    for (size_t i = 0; i < value_count; i++)
        tally.values[i] = values[i];
    imp_asked asked = {.kind = IMP_REDUCE_COUNT, .dimension = imp_dimension_of(IMP_PURE)};
    status = add_tally(columns, &tally, &asked.tally, error);
    return status == IMP_OK ? add_asked(columns, &asked, reduction, error) : status;
}

imp_status imp_columns_stuck(imp_columns *columns, imp_column value, imp_column mask, double seconds,
                             imp_reduction *reduction, imp_error *error)
{
    imp_status status = check_mask(columns, value, mask, error);
    if (status != IMP_OK)
        return status;
    if (!(seconds > 0.0) || !isfinite(seconds))
        return imp_fail(error, IMP_RANGE, NULL, "expected a time above 0 s");
    if (!columns->nodes[value].kind.is_streamed)
        return imp_fail(error, IMP_TYPE, NULL, "a column in memory has no time");
    imp_tally tally;
    memset(&tally, 0, sizeof tally);
    tally.kind = IMP_TALLY_STUCK;
    tally.value = value;
    tally.mask = mask;
    tally.parameter = seconds;
    imp_asked asked = {.kind = IMP_REDUCE_COUNT, .dimension = imp_dimension_of(IMP_PURE)};
    status = add_tally(columns, &tally, &asked.tally, error);
    return status == IMP_OK ? add_asked(columns, &asked, reduction, error) : status;
}

imp_status imp_columns_resample(imp_columns *columns, imp_column value, imp_column mask, double period,
                                imp_reduction *reduction, imp_error *error)
{
    imp_status status = check_mask(columns, value, mask, error);
    if (status != IMP_OK)
        return status;
    if (!(period > 0.0) || !isfinite(period))
        return imp_fail(error, IMP_RANGE, "period", "expected a time above 0 s");
    if (!columns->nodes[value].kind.is_streamed)
        return imp_fail(error, IMP_TYPE, NULL, "a column in memory has no time");
    imp_tally tally;
    memset(&tally, 0, sizeof tally);
    tally.kind = IMP_TALLY_SERIES;
    tally.value = value;
    tally.mask = mask;
    tally.parameter = period;
    tally.value_count = 1;
    imp_asked asked = {.kind = IMP_REDUCE_MEAN, .dimension = columns->nodes[value].kind.dimension,
                       .is_reading = columns->nodes[value].kind.is_reading};
    status = add_tally(columns, &tally, &asked.tally, error);
    return status == IMP_OK ? add_asked(columns, &asked, reduction, error) : status;
}

imp_status imp_columns_each(imp_columns *columns, const imp_column *wanted, size_t count, imp_columns_rows call,
                            void *context, imp_error *error)
{
    if (count > IMP_MOST_TAPS)
        return imp_fail(error, IMP_LIMIT, NULL, "at most %d columns can be handed out by row", IMP_MOST_TAPS);
    for (size_t i = 0; i < count; i++) {
        const imp_status status = check_column(columns, wanted[i], error);
        if (status != IMP_OK)
            return status;
        if (!columns->nodes[wanted[i]].kind.is_streamed && !is_constant(&columns->nodes[wanted[i]]))
            return imp_fail(error, IMP_TYPE, NULL, "a column in memory is not read by row of a log");
        columns->taps[i] = wanted[i];
    }
    columns->tap_count = count;
    columns->tap = call;
    columns->tap_context = context;
    return IMP_OK;
}
