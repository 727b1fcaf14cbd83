/* param.h — rows: one row describes one input, output or document field, and everything that is known of it is said
 * there once. Calculations, the documents' field tables, messages, help, the manual and the schemas all read rows. */
#ifndef IMP_PARAM_H
#define IMP_PARAM_H

#include <stdbool.h>
#include <stddef.h>

#include "dimension.h"
#include "quantity.h"

typedef enum imp_kind {
    IMP_NUMBER,    /* a quantity or pure number */
    IMP_CHOICE,    /* one of `choices`; its value is the index */
    IMP_LIST,      /* a list of numbers, all within the row's range */
    IMP_TABLE,     /* a list of records, each described by `rows` */
    IMP_RECORD,    /* one record, described by `rows` */
    IMP_TEXT,      /* free text */
    IMP_FLAG,      /* true or false */
    IMP_DATE,      /* an ISO 8601 calendar date, "2031-05-14" */
    IMP_FILE_OR_RECORD /* a record, or the name of a file beside this one that holds it */
} imp_kind;

typedef enum imp_presence {
    IMP_REQUIRED,
    IMP_OPTIONAL, /* may be absent, and then is not given (no default) */
    IMP_DEFAULT   /* may be absent, and then is `fallback` */
} imp_presence;

typedef enum imp_ends { IMP_CLOSED, IMP_OPEN_LOW, IMP_OPEN_HIGH, IMP_OPEN } imp_ends;

typedef struct imp_param {
    const char *name;   /* snake_case, public vocabulary */
    const char *symbol; /* as in the entry's formula; NULL where there is none */
    imp_kind kind;
    imp_named_dimension dimension;
    const char *unit; /* customary unit for display; NULL or "1" for pure numbers */
    imp_presence presence;
    double low, high; /* allowed range, SI (use the macros below); both 0 = any finite number */
    imp_ends ends;
    double fallback; /* default, SI; for a choice the index */
    const char *const *choices;   /* NULL-terminated */
    const struct imp_param *rows; /* record and table fields, ended by a row without name */
    const char *trend;            /* outputs of an entry: one of "+-0?" for each input, in order: how this output moves with it */
    int digits;                   /* outputs: significant digits worth showing; 0 = default (4; temperatures to 0.1) */
    const char *help;             /* one line */
} imp_param;

/* SI values of customary ones, for rows. Exact by definition. */
#define IMP_CELSIUS(t) ((t) + 273.15)
#define IMP_PERCENT(x) ((x) / 100.0)
#define IMP_BAR(x) ((x)*1e5)
#define IMP_KILOPASCAL(x) ((x)*1e3)
#define IMP_MILLIMETRE(x) ((x)*1e-3)
#define IMP_SQUARE_MILLIMETRE(x) ((x)*1e-6)
#define IMP_CUBIC_CENTIMETRE(x) ((x)*1e-6)
#define IMP_LITRE(x) ((x)*1e-3)
#define IMP_LITRE_PER_MINUTE(x) ((x)*1e-3 / 60.0)
#define IMP_PER_MINUTE(x) ((x) / 60.0)
#define IMP_PER_HOUR(x) ((x) / 3600.0)
#define IMP_MINUTE(x) ((x)*60.0)
#define IMP_HOUR(x) ((x)*3600.0)
#define IMP_DAY(x) ((x)*86400.0)
#define IMP_KILOWATT(x) ((x)*1e3)
#define IMP_MILLIPASCAL_SECOND(x) ((x)*1e-3)
#define IMP_SQUARE_MILLIMETRE_PER_SECOND(x) ((x)*1e-6)
#define IMP_KILOJOULE_PER_KILOGRAM_KELVIN(x) ((x)*1e3)

/* True where the row limits the value (low and high not both 0). */
bool imp_param_has_range(const imp_param *row);

/* Check one SI number against its row: finite and inside. Inputs without a range must still be finite.
 * IMP_RANGE, place = the row's name, in the customary unit: "1.4 is above 1", "-3 mm is not above 0 mm",
 * "120 degC is outside -60 degC to 80 degC", "not a finite number". */
imp_status imp_check(const imp_param *row, double value, imp_error *error);

/* Take a quantity for a number row: right dimension, reading or difference, and within the range. *si is written on
 * success. `written` is how the caller wrote it, for messages: `expected a length such as "20 mm", got "3 bar"`. */
imp_status imp_param_accept(const imp_param *row, const imp_quantity *quantity, const char *written, double *si,
                            imp_error *error);

/* Index of a choice's text, or -1. */
int imp_param_choice(const imp_param *row, const char *text);

/* Row with this name, or NULL; rows end without name (or after `count` rows when count > 0). */
const imp_param *imp_param_find(const imp_param *rows, const char *name);
/* Name nearest to a mistyped one, or NULL when nothing is near. */
const char *imp_param_nearest(const imp_param *rows, const char *name);

/* Write a value as a person reads it: number with its unit in `digits` significant digits (0 = the row's own, -1 = all
 * digits), or the choice's text. Returns text; size >= 96 is enough. */
char *imp_param_format(const imp_param *row, double value, int digits, char *text, size_t size);

/* The same for an amount of money or a price, with its currency's code in the place of "money". */
char *imp_param_format_money(const imp_param *row, double value, const char *currency, int digits, char *text, size_t size);

/* The row's customary unit, with a currency's code ("EUR"; may be empty) in the place of "money". Returns text. */
char *imp_param_unit_text(const imp_param *row, const char *currency, char *text, size_t size);

/* Expected kind for messages: "a pressure such as \"5 bar\"", "one of B1, B2, C, E", "a list of voltages". */
char *imp_param_expected(const imp_param *row, char *text, size_t size);

#endif
