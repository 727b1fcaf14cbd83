#include "tables.h"

#include <math.h>
#include <stdio.h>

#include "number.h"

static const double PI = 3.14159265358979323846;

double imp_table_value(imp_table_id id, size_t row, size_t column)
{
    const imp_table *table = &imp_tables[id];
    return row < table->row_count && column < table->column_count ? table->rows[row * table->column_count + column]
                                                                  : 0.0;
}

bool imp_table_row(imp_table_id id, double key, size_t *row)
{
    for (size_t i = 0; i < imp_tables[id].row_count; i++) {
        const double own = imp_table_value(id, i, 0);
        if (fabs(own - key) <= 1e-6 * fabs(own)) {
            *row = i;
            return true;
        }
    }
    return false;
}

bool imp_table_rating(imp_table_id id, double current, double *rating)
{
    for (size_t i = 0; i < imp_tables[id].row_count; i++) {
        const double own = imp_table_value(id, i, 0);
        if (own * (1.0 + 1e-9) >= current) { /* 32 A stays 32 A after a conversion of units */
            *rating = own;
            return true;
        }
    }
    return false;
}

/* "the nearest are 6 mm^2 and 10 mm^2" for a section [mm^2] that is missing from a column. */
static void name_neighbours(double section, size_t column, char *text, size_t size)
{
    double below = 0.0, above = 0.0;
    for (size_t i = 0; i < imp_tables[IMP_TABLE_CONDUCTOR].row_count; i++) {
        const double own = imp_table_value(IMP_TABLE_CONDUCTOR, i, 0);
        if (imp_table_value(IMP_TABLE_CONDUCTOR, i, column) <= 0.0)
            continue;
        if (own < section)
            below = own;
        else if (above <= 0.0)
            above = own;
    }
    char low[IMP_NUMBER_TEXT_SIZE], high[IMP_NUMBER_TEXT_SIZE];
    imp_number_write(below > 0.0 ? below : above, 4, low, sizeof low);
    imp_number_write(above, 4, high, sizeof high);
    if (below > 0.0 && above > 0.0)
        snprintf(text, size, "the nearest are %s mm^2 and %s mm^2", low, high);
    else
        snprintf(text, size, "the nearest is %s mm^2", low);
}

imp_status imp_table_resistance(double section, imp_conductor conductor, double *resistance, imp_error *error)
{
    const size_t column = (size_t)conductor;
    size_t row = 0;
    const double square_millimetres = section * 1e6;
    if (imp_table_row(IMP_TABLE_CONDUCTOR, square_millimetres, &row)) {
        const double per_kilometre = imp_table_value(IMP_TABLE_CONDUCTOR, row, column);
        if (per_kilometre > 0.0) {
            *resistance = per_kilometre * 1e-3;
            return IMP_OK;
        }
    }
    static const char *const kinds[] = {"", "class 2 copper", "class 5 copper", "class 2 aluminium"};
    char nearest[128], wanted[IMP_NUMBER_TEXT_SIZE];
    name_neighbours(square_millimetres, column, nearest, sizeof nearest);
    return imp_fail(error, IMP_NOT_APPLICABLE, "section", "IEC 60228 has no %s conductor of %s mm^2; %s", kinds[column],
                    imp_number_write(square_millimetres, 4, wanted, sizeof wanted), nearest);
}

double imp_table_capacity(imp_cable_method method, imp_insulation insulation, int loaded, size_t row)
{
    if (insulation == IMP_INSULATION_RUBBER)
        return imp_table_value(IMP_TABLE_RUBBER, row, loaded == 2 ? 1 : 2);
    if (method == IMP_METHOD_E)
        return imp_table_value(insulation == IMP_INSULATION_PVC ? IMP_TABLE_PVC_AIR : IMP_TABLE_XLPE_AIR, row,
                               loaded == 2 ? 1 : 2);
    static const imp_table_id ids[2][2] = {{IMP_TABLE_PVC_2, IMP_TABLE_PVC_3}, {IMP_TABLE_XLPE_2, IMP_TABLE_XLPE_3}};
    return imp_table_value(ids[insulation][loaded == 2 ? 0 : 1], row, (size_t)method + 1);
}

imp_status imp_table_ambient(imp_insulation insulation, double temperature, double *factor, imp_error *error)
{
    const bool is_rubber = insulation == IMP_INSULATION_RUBBER;
    const imp_table_id id = is_rubber ? IMP_TABLE_RUBBER_AMBIENT : IMP_TABLE_AMBIENT;
    const size_t column = insulation == IMP_INSULATION_XLPE ? 2 : 1;
    const double celsius = temperature - 273.15;
    double colder = 0.0, colder_factor = 0.0;
    for (size_t row = 0; row < imp_tables[id].row_count; row++) {
        const double warmer = imp_table_value(id, row, 0);
        const double warmer_factor = imp_table_value(id, row, column);
        if (warmer_factor <= 0.0)
            break;
        if (celsius <= warmer + 1e-9) {
            const double share = row == 0 ? 1.0 : (celsius - colder) / (warmer - colder);
            *factor = row == 0 ? warmer_factor : colder_factor + share * (warmer_factor - colder_factor);
            return IMP_OK;
        }
        colder = warmer;
        colder_factor = warmer_factor;
    }
    return imp_fail(error, IMP_NOT_APPLICABLE, "ambient_temperature",
                    "%s gives no factor for %s above %.0f degC; lead the cable where it is cooler",
                    is_rubber ? "BS 7671" : "IEC 60364-5-52",
                    is_rubber                           ? "rubber of 60 degC"
                    : insulation == IMP_INSULATION_XLPE ? "XLPE"
                                                        : "PVC",
                    colder);
}

imp_status imp_table_grouping(imp_cable_method method, int circuits, double *factor, imp_error *error)
{
    const size_t column = method == IMP_METHOD_C ? 2 : method == IMP_METHOD_E ? 3 : 1;
    double least = 1.0; /* a single layer has no further reduction beyond its last row */
    for (size_t row = 0; row < imp_tables[IMP_TABLE_GROUPING].row_count; row++) {
        const double own = imp_table_value(IMP_TABLE_GROUPING, row, column);
        if (own > 0.0)
            least = own;
        if (circuits <= (int)imp_table_value(IMP_TABLE_GROUPING, row, 0)) {
            *factor = least;
            return IMP_OK;
        }
    }
    return imp_fail(error, IMP_NOT_APPLICABLE, "grouped",
                    "IEC 60364-5-52 gives no factor for more than 20 circuits together; spread them out");
}

imp_status imp_table_drum(int layers, double *factor, imp_error *error)
{
    size_t row = 0;
    if (layers == 0) {
        *factor = 1.0;
        return IMP_OK;
    }
    if (!imp_table_row(IMP_TABLE_DRUM, layers, &row))
        return imp_fail(error, IMP_NOT_APPLICABLE, "layers_on_drum",
                        "no factor is published for %d layers on a drum, 4 at most; unwind the cable", layers);
    *factor = imp_table_value(IMP_TABLE_DRUM, row, 1);
    return IMP_OK;
}

imp_status imp_table_nec_ambient(imp_nec_column column, double temperature, double *factor, imp_error *error)
{
    const double celsius = temperature - 273.15;
    double hottest = 0.0;
    for (size_t row = 0; row < imp_tables[IMP_TABLE_NEC_AMBIENT].row_count; row++) {
        const double top = imp_table_value(IMP_TABLE_NEC_AMBIENT, row, 0);
        const double own = imp_table_value(IMP_TABLE_NEC_AMBIENT, row, (size_t)column);
        if (own <= 0.0)
            break;
        if (celsius <= top + 1e-9) {
            *factor = own;
            return IMP_OK;
        }
        hottest = top;
    }
    return imp_fail(error, IMP_NOT_APPLICABLE, "ambient_temperature",
                    "NEC table 310.15(B)(1)(1) gives no factor for a %d degC conductor above %.0f degC; "
                    "lead the cable where it is cooler",
                    45 + 15 * (int)column, hottest);
}

double imp_table_nec_adjustment(int conductors)
{
    double factor = 1.0;
    for (size_t row = 0; row < imp_tables[IMP_TABLE_NEC_ADJUSTMENT].row_count; row++)
        if (conductors >= (int)imp_table_value(IMP_TABLE_NEC_ADJUSTMENT, row, 0))
            factor = imp_table_value(IMP_TABLE_NEC_ADJUSTMENT, row, 1);
    return factor;
}

enum { LEAST_KCMIL = 250 }; /* larger than any AWG number */

double imp_table_nec_area(size_t row)
{
    const double key = imp_table_value(IMP_TABLE_NEC_RESISTANCE, row, 0);
    if (key < LEAST_KCMIL)
        return imp_awg_area((int)key);
    const double mil = 25.4e-6;
    return PI / 4.0 * mil * mil * key * 1e3;
}

double imp_table_nec_resistance(size_t row)
{
    const double thousand_feet = 304.8;
    return imp_table_value(IMP_TABLE_NEC_RESISTANCE, row, 2) / thousand_feet;
}

char *imp_table_nec_size(size_t row, char *text, size_t size)
{
    const int key = (int)imp_table_value(IMP_TABLE_NEC_RESISTANCE, row, 0);
    if (key >= LEAST_KCMIL)
        snprintf(text, size, "%d kcmil", key);
    else if (key > 0)
        snprintf(text, size, "%d AWG", key);
    else
        snprintf(text, size, "%d/0 AWG", 1 - key);
    return text;
}

imp_status imp_table_nec_row(double section, size_t *row, imp_error *error)
{
    const size_t count = imp_tables[IMP_TABLE_NEC_RESISTANCE].row_count;
    size_t above = 0;
    for (; above < count; above++) {
        const double area = imp_table_nec_area(above);
        if (fabs(area - section) <= 0.01 * area) {
            *row = above;
            return IMP_OK;
        }
        if (area > section)
            break;
    }
    const size_t near[2] = {above > 0 ? above - 1 : 0, above < count ? above : count - 1};
    char names[2][16], areas[3][IMP_NUMBER_TEXT_SIZE];
    for (size_t i = 0; i < 2; i++) {
        imp_table_nec_size(near[i], names[i], sizeof names[i]);
        imp_number_write(imp_table_nec_area(near[i]) * 1e6, 4, areas[i], sizeof areas[i]);
    }
    return imp_fail(error, IMP_NOT_APPLICABLE, "section",
                    "%s mm^2 is not a size of the NEC tables; near it are %s (%s mm^2) and %s (%s mm^2)",
                    imp_number_write(section * 1e6, 4, areas[2], sizeof areas[2]), names[0], areas[0], names[1],
                    areas[1]);
}

double imp_awg_diameter(int gauge)
{
    const double thousandth_inch = 25.4e-6;
    return 5.0 * thousandth_inch * pow(92.0, (36.0 - gauge) / 39.0);
}

double imp_awg_area(int gauge)
{
    const double diameter = imp_awg_diameter(gauge);
    return PI / 4.0 * diameter * diameter;
}
