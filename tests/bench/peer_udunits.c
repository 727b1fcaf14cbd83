/* The same conversion with UDUNITS-2: parse two unit texts and convert; and the cached converter. */
#include <stdio.h>
#include <time.h>
#include <udunits2.h>

static double now(void)
{
    struct timespec time;
    clock_gettime(CLOCK_MONOTONIC, &time);
    return (double)time.tv_sec * 1e9 + (double)time.tv_nsec;
}

static volatile double sink;

int main(void)
{
    ut_set_error_message_handler(ut_ignore);
    ut_system *system = ut_read_xml(NULL);
    double best_parsed = 1e300, best_cached = 1e300;
    const int turns = 50000;
    ut_unit *from = ut_parse(system, "lb/ft^3", UT_ASCII), *to = ut_parse(system, "kg/m^3", UT_ASCII);
    cv_converter *cached = ut_get_converter(from, to);
    for (int round = 0; round < 5; round++) {
        double start = now();
        for (int i = 0; i < turns; i++) {
            ut_unit *a = ut_parse(system, "lb/ft^3", UT_ASCII), *b = ut_parse(system, "kg/m^3", UT_ASCII);
            cv_converter *converter = ut_get_converter(a, b);
            sink = cv_convert_double(converter, (double)i);
            cv_free(converter);
            ut_free(a);
            ut_free(b);
        }
        const double parsed = (now() - start) / turns;
        start = now();
        for (int i = 0; i < turns * 20; i++)
            sink = cv_convert_double(cached, (double)i);
        const double convert = (now() - start) / (turns * 20.0);
        best_parsed = parsed < best_parsed ? parsed : best_parsed;
        best_cached = convert < best_cached ? convert : best_cached;
    }
    printf("parse two unit texts and convert\t%.1f\nconvert between cached units\t%.1f\n", best_parsed, best_cached);
    return 0;
}
