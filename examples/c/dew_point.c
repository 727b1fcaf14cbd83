/* A program in C on the installed core: one calculation as a function, one looked up in the catalogue by its name, and
 * one solved backwards. Build it with cc dew_point.c $(pkg-config --cflags --libs impinge) -o dew_point or with the
 * CMakeLists.txt beside it. The values are invented. */
#include <impinge/impinge.h>
#include <stdio.h>

/* One function, typed: SI units in and out. */
static imp_status show_dew_point(imp_error *error)
{
    double dew_point;
    const imp_status status =
        imp_climate_dew_point(IMP_CELSIUS(20.0), IMP_PERCENT(50.0), IMP_OVER_BRANCH, &dew_point, error);
    if (status != IMP_OK)
        return status;
    printf("dew point at 20 degC and 50 %%: %.2f degC\n", dew_point - 273.15);
    return IMP_OK;
}

/* The inputs of a catalogue entry from texts, as a person types them; the results as a person reads them. */
static imp_status show_pressure_drop(imp_error *error)
{
    static const char *const names[] = {"flow", "length", "bore", "density", "viscosity"};
    static const char *const texts[] = {"3 L/min", "60 m", "3/8 in", "1.1 kg/L", "180 mPa s"};
    const imp_calc *calc = imp_catalogue_find("hose.pressure_drop");
    imp_value in[IMP_MOST_INPUTS], out[IMP_MOST_OUTPUTS];
    imp_arena arena; /* holds lists and tables among the inputs; there are none here */
    if (calc == NULL)
        return imp_fail(error, IMP_UNKNOWN, "hose.pressure_drop", "not in this version's catalogue");
    imp_arena_init(&arena, NULL);
    imp_status status = imp_arguments_read(calc, sizeof names / sizeof names[0], names, texts, &arena, in, error);
    if (status == IMP_OK)
        status = imp_calc_evaluate(calc, in, out, NULL, error);
    for (size_t i = 0; status == IMP_OK && i < calc->output_count; i++) {
        char text[96];
        printf("%s: %s\n", calc->outputs[i].name,
               imp_param_format(&calc->outputs[i], out[i].number, 0, text, sizeof text));
    }
    imp_arena_free(&arena);
    return status;
}

/* Which humidity gives a dew point of 12 degC? */
static imp_status show_humidity(imp_error *error)
{
    const imp_calc *calc = imp_catalogue_find("climate.dew_point");
    size_t air = 0, humidity = 0, dew_point = 0;
    imp_value in[IMP_MOST_INPUTS] = {{.given = false}};
    imp_solution found;
    if (calc == NULL || imp_calc_input(calc, "air_temperature", &air) == NULL ||
        imp_calc_input(calc, "relative_humidity", &humidity) == NULL ||
        imp_calc_output(calc, "dew_point", &dew_point) == NULL)
        return imp_fail(error, IMP_UNKNOWN, "climate.dew_point", "not in this version's catalogue as expected");
    in[air] = (imp_value){.number = IMP_CELSIUS(20.0), .given = true};
    const imp_status status = imp_calc_solve(calc, in, humidity, dew_point, IMP_CELSIUS(12.0), &found, error);
    if (status == IMP_OK)
        printf("humidity for a dew point of 12 degC: %.1f %%\n", 100.0 * found.values[0]);
    return status;
}

int main(void)
{
    imp_error error;
    char text[640];
    if (show_dew_point(&error) == IMP_OK && show_pressure_drop(&error) == IMP_OK && show_humidity(&error) == IMP_OK)
        return 0;
    fprintf(stderr, "%s\n", imp_error_text(&error, text, sizeof text));
    return 1;
}
