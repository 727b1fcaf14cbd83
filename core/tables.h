/* tables.h — published tables as data: conductors, current-carrying capacities, factors and ratings.
 *
 * Every table says which standard, table and edition it quotes and how the figures were obtained. Its figures are in
 * the units of the standard; the look-ups below take and give SI. What a table does not give is refused, never
 * extrapolated. The standards are the authority, and local codes and a licensed electrician decide on site. */
#ifndef IMP_TABLES_H
#define IMP_TABLES_H

#include <stdbool.h>
#include <stddef.h>

#include "status.h"

typedef enum imp_table_id {
    IMP_TABLE_CONDUCTOR,
    IMP_TABLE_PVC_2,
    IMP_TABLE_XLPE_2,
    IMP_TABLE_PVC_3,
    IMP_TABLE_XLPE_3,
    IMP_TABLE_PVC_AIR,
    IMP_TABLE_XLPE_AIR,
    IMP_TABLE_RUBBER,
    IMP_TABLE_AMBIENT,
    IMP_TABLE_RUBBER_AMBIENT,
    IMP_TABLE_GROUPING,
    IMP_TABLE_DRUM,
    IMP_TABLE_IEC_BREAKER,
    IMP_TABLE_PLUG_SERIES_I,
    IMP_TABLE_PLUG_SERIES_II,
    IMP_TABLE_NEC_AMPACITY,
    IMP_TABLE_NEC_CORD,
    IMP_TABLE_NEC_AMBIENT,
    IMP_TABLE_NEC_ADJUSTMENT,
    IMP_TABLE_NEC_RESISTANCE,
    IMP_TABLE_NEC_BREAKER,
    IMP_TABLE_NEC_MOTOR,
    IMP_TABLE_COUNT
} imp_table_id;

typedef struct imp_table {
    const char *title;
    const char *standard; /* "IEC 60228" */
    const char *number;   /* table or clause */
    const char *edition;
    const char *how_obtained;
    const char *const *columns; /* name and unit of each column; the first is the key, rising or falling throughout */
    size_t column_count;
    const double *rows; /* row after row; 0 = the table gives none */
    size_t row_count;
} imp_table;

extern const imp_table imp_tables[IMP_TABLE_COUNT];

/* One figure; 0 where the table gives none, or beyond its end. */
double imp_table_value(imp_table_id id, size_t row, size_t column);
/* Row whose key is `key` to 1e-6 of its value. */
bool imp_table_row(imp_table_id id, double key, size_t *row);
/* Least rating [A] of a table of ratings that is not below current. False when there is none. */
bool imp_table_rating(imp_table_id id, double current, double *rating);

/* How a cable is laid, and what insulates it: the order of the rows' choices. */
typedef enum imp_cable_method { IMP_METHOD_B1, IMP_METHOD_B2, IMP_METHOD_C, IMP_METHOD_E } imp_cable_method;
typedef enum imp_insulation { IMP_INSULATION_PVC, IMP_INSULATION_XLPE, IMP_INSULATION_RUBBER } imp_insulation;
typedef enum imp_conductor { IMP_COPPER_CLASS_2 = 1, IMP_COPPER_CLASS_5 = 2, IMP_ALUMINIUM_CLASS_2 = 3 } imp_conductor;

/* Greatest resistance per length [ohm/m] at 20 degC of a section [m^2], IEC 60228.
 * IMP_NOT_APPLICABLE (place "section") where the standard has no such conductor; the message names the neighbours. */
imp_status imp_table_resistance(double section, imp_conductor conductor, double *resistance, imp_error *error);

/* Tabulated current-carrying capacity [A] in row `row` of IEC 60364-5-52 (row 0 is 1.5 mm^2), `loaded` = 2 or 3; of
 * rubber that of BS 7671 4F1A and 4F3A, whose rows begin alike. 0 where the table gives none. */
double imp_table_capacity(imp_cable_method method, imp_insulation insulation, int loaded, size_t row);

/* Factor for the air's temperature [K], IEC 60364-5-52 B.52.14, of rubber BS 7671 4F3A: linear between rows (which lies below the curve), the
 * first row below that. IMP_NOT_APPLICABLE above the last row. */
imp_status imp_table_ambient(imp_insulation insulation, double temperature, double *factor, imp_error *error);

/* Factor for `circuits` circuits together, B.52.17: enclosed for B1 and B2, a layer on a wall for C, on a tray for E;
 * between rows the next row. IMP_NOT_APPLICABLE beyond 20. */
imp_status imp_table_grouping(imp_cable_method method, int circuits, double *factor, imp_error *error);

/* Factor for a cable used while `layers` layers of it are on a ventilated drum; 0 layers: 1.
 * IMP_NOT_APPLICABLE beyond the published four. */
imp_status imp_table_drum(int layers, double *factor, imp_error *error);

/* Columns of the NEC tables by the temperature of the conductor. */
typedef enum imp_nec_column { IMP_NEC_60 = 1, IMP_NEC_75 = 2, IMP_NEC_90 = 3 } imp_nec_column;

/* Factor for the air's temperature [K], NEC 310.15(B)(1)(1), in steps. IMP_NOT_APPLICABLE above the last row. */
imp_status imp_table_nec_ambient(imp_nec_column column, double temperature, double *factor, imp_error *error);
/* Adjustment for a number of current-carrying conductors together, NEC 310.15(C)(1). */
double imp_table_nec_adjustment(int conductors);
/* Area [m^2] and resistance per length [ohm/m] at 75 degC in a row of the NEC tables (row 0 is 14 AWG). */
double imp_table_nec_area(size_t row);
double imp_table_nec_resistance(size_t row);
/* Row whose area is within 1 % of section [m^2]. IMP_NOT_APPLICABLE (place "section") names the sizes near it. */
imp_status imp_table_nec_row(double section, size_t *row, imp_error *error);
/* "6 AWG", "1/0 AWG", "250 kcmil" for a size of the NEC tables, into text (16 bytes are enough). Returns text. */
char *imp_table_nec_size(size_t row, char *text, size_t size);

/* Diameter [m] and area [m^2] of a solid wire of an American wire gauge; 0, -1, -2, -3 are 1/0 to 4/0.
 * Source: ASTM B258: d = 0.005 in x 92^((36 - n)/39). */
double imp_awg_diameter(int gauge);
double imp_awg_area(int gauge);

#endif
