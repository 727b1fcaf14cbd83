/* catalogue.h — the table of calculations, and what can be done with every one of them.
 *
 * An entry is declared at the foot of its room with IMP_CALC and nowhere else; rooms.def lists the rooms. */
#ifndef IMP_CATALOGUE_H
#define IMP_CATALOGUE_H

#include "memory.h"
#include "param.h"
#include "sheet.h"
#include "status.h"

/* One argument or result. number: SI value, or a choice's index. A list or table has `count` items: a list's items are
 * values with `number`; a table's items are count x (number of rows) values, record after record. A record's items are
 * one value a row. `text` serves rows of kind text. */
typedef struct imp_value {
    double number;
    const struct imp_value *items;
    size_t count;
    const char *text;
    char currency[4]; /* of an amount of money or a price: ISO 4217; empty fits any */
    bool given;       /* false: optional and absent */
} imp_value;

typedef struct imp_call {
    const imp_value *in; /* one a row, defaults filled in, each checked against its row */
    imp_value *out;      /* one a row */
    imp_sheet *sheet;    /* may be NULL */
    imp_error *error;    /* may be NULL */
    void *context;       /* the entry's own */
    imp_arena *arena;    /* where results that are tables keep their items; NULL: no tables, they are left not given */
} imp_call;

typedef imp_status (*imp_evaluate)(const imp_call *call);

typedef struct imp_calc {
    const char *id;       /* "climate.dew_point" */
    const char *title;    /* "Dew point of humid air" */
    const char *formula;  /* in the rows' symbols */
    const char *source;   /* standard or paper, edition, equation; or "common practice, no source" */
    const char *validity; /* range of validity in words */
    const imp_param *inputs;
    size_t input_count;
    const imp_param *outputs;
    size_t output_count;
    imp_evaluate evaluate;
    void *context;       /* NULL for the core's own; a declared calculator's state */
    const char *example; /* arguments as a person types them, where records cannot be made up from rows; else NULL */
} imp_calc;

/* One line in a room's array. `stem` names stem_in, stem_out and stem_evaluate. The second form brings an example. */
#define IMP_CALC(stem, id_, title_, formula_, source_, validity_)                                                      \
    IMP_CALC_EXAMPLE(stem, id_, title_, formula_, source_, validity_, NULL)
#define IMP_CALC_EXAMPLE(stem, id_, title_, formula_, source_, validity_, example_)                                    \
    {                                                                                                                  \
        .id = (id_), .title = (title_), .formula = (formula_), .source = (source_), .validity = (validity_),           \
        .inputs = stem##_in, .input_count = sizeof stem##_in / sizeof stem##_in[0], .outputs = stem##_out,             \
        .output_count = sizeof stem##_out / sizeof stem##_out[0], .evaluate = stem##_evaluate, .context = NULL,        \
        .example = (example_)                                                                                          \
    }
#define IMP_CALC_END { .id = NULL }

enum { IMP_MOST_INPUTS = 32, IMP_MOST_OUTPUTS = 64 };

/* Entries 0 .. imp_catalogue_count() - 1 in the order of rooms.def; NULL beyond. */
size_t imp_catalogue_count(void);
const imp_calc *imp_catalogue_at(size_t index);
/* Entry with this id, or NULL. */
const imp_calc *imp_catalogue_find(const char *id);
/* Id nearest to a mistyped one, or NULL. */
const char *imp_catalogue_nearest(const char *id);

/* Row of an input or output by name, or NULL; *index (may be NULL) receives its place. */
const imp_param *imp_calc_input(const imp_calc *calc, const char *name, size_t *index);
const imp_param *imp_calc_output(const imp_calc *calc, const char *name, size_t *index);
const char *imp_calc_nearest_input(const imp_calc *calc, const char *name);

/* Evaluate: refuse missing required inputs (all of them named at once), fill defaults, check every value against its
 * row, call the function, refuse a result that is not finite (IMP_INTERNAL).
 * in[input_count]: values as given; absent ones have given == false. out[output_count] is written only on success.
 * Errors carry the place "climate.dew_point: relative_humidity". Results that are tables are not given. */
imp_status imp_calc_evaluate(const imp_calc *calc, const imp_value *in, imp_value *out, imp_sheet *sheet, imp_error *error);

/* The same, with results that are tables: their items live in the arena. IMP_MEMORY when it cannot hold them. */
imp_status imp_calc_evaluate_in(const imp_calc *calc, const imp_value *in, imp_value *out, imp_sheet *sheet,
                                imp_arena *arena, imp_error *error);

/* Record inputs (as given or by default) and results with the formula and its numbers; used by imp_calc_evaluate. */
void imp_sheet_inputs(imp_sheet *sheet, const imp_calc *calc, const imp_value *in);
void imp_sheet_results(imp_sheet *sheet, const imp_calc *calc, const imp_value *in, const imp_value *out);

/* Convenience for entries whose inputs and outputs are all numbers or choices: plain doubles; not-a-number = not given. */
imp_status imp_calc_numbers(const imp_calc *calc, const double *in, double *out, imp_error *error);

#endif
