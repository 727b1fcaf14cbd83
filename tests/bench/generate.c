/* generate.c — an invented log of any length for the bench: generate ROWS [SEED] > log.csv
 * One row a second, 13 columns: spraying and pauses, recirculation in the morning, off-ratio stretches, a cold hose, gaps. */
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

static uint64_t state;

/* splitmix64 */
static double uniform(void)
{
    uint64_t z = (state += UINT64_C(0x9e3779b97f4a7c15));
    z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
    return (double)((z ^ (z >> 31)) >> 11) * 0x1p-53;
}

static double noise(double size)
{
    return size * (uniform() + uniform() + uniform() - 1.5);
}

static void put_time(long second)
{
    /* from 2031-05-01 on, month after month of 28 days: enough for a bench */
    const long day = second / 86400, s = second % 86400, month = day / 28;
    printf("%04ld-%02ld-%02ldT%02ld:%02ld:%02ldZ", 2031 + month / 12, month % 12 + 1, day % 28 + 1, s / 3600, s / 60 % 60,
           s % 60);
}

int main(int count, char **arguments)
{
    const long rows = count > 1 ? atol(arguments[1]) : 10000;
    state = count > 2 ? strtoull(arguments[2], NULL, 10) : 1;
    long second = 0, iso_cycles = 0, resin_cycles = 0, left = 0, off_ratio = 0, cold = 0;
    double iso_part = 0.0, resin_part = 0.0;
    int spraying = 0;
    puts("time,trigger,iso_temperature [degC],resin_temperature [degC],hose_temperature [degC],iso_pressure [bar],"
         "resin_pressure [bar],iso_flow [L/min],resin_flow [L/min],iso_cycles,resin_cycles,hose_current [A],"
         "air_temperature [degC]");
    for (long row = 0; row < rows; row++, second++) {
        if (left-- <= 0) {
            spraying = !spraying;
            left = spraying ? 5 + (long)(40.0 * uniform()) : 3 + (long)(25.0 * uniform());
            if (uniform() < 0.01)
                second += 600; /* a pause with the logger off */
        }
        if (off_ratio > 0)
            off_ratio--;
        else if (uniform() < 2e-4)
            off_ratio = 20;
        if (cold > 0)
            cold--;
        else if (uniform() < 5e-5)
            cold = 300;
        const int recirculating = !spraying && row % 20000 < 600;
        const double flow = spraying ? 2.4 : recirculating ? 1.1 : 0.0;
        const double iso_flow = flow > 0.0 ? flow * (off_ratio > 0 ? 0.85 : 1.0) + noise(0.05) : 0.0;
        const double resin_flow = flow > 0.0 ? flow + noise(0.05) : 0.0;
        iso_part += iso_flow / 60.0 / 0.12;
        resin_part += resin_flow / 60.0 / 0.12;
        iso_cycles += (long)iso_part;
        resin_cycles += (long)resin_part;
        iso_part -= floor(iso_part);
        resin_part -= floor(resin_part);
        const double pressure = spraying ? 78.0 : 92.0;
        put_time(second);
        printf(",%d,%.1f,%.1f,%.1f,%.1f,%.1f,%.3f,%.3f,%ld,%ld,%.1f,%.2f\n", spraying, 52.0 + noise(1.0), 53.0 + noise(1.0),
               cold > 0 ? 38.0 + noise(1.0) : 51.0 + noise(0.6), pressure + noise(4.0),
               pressure * (off_ratio > 0 ? 1.15 : 1.0) + noise(4.0), iso_flow, resin_flow, iso_cycles, resin_cycles,
               42.0 + noise(6.0), 17.0 + 4.0 * sin((double)second / 14000.0) + noise(0.2));
    }
    return ferror(stdout) != 0;
}
