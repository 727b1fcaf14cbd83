/* reference.c — the yardstick of the bench: a program for one fixed layout (that of generate.c) that parses every number and
 * does the same summary, but checks nothing. reference FILE prints the summary's main results. */
#include <fcntl.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

enum { COLUMNS = 12, BUFFER = 1 << 16 };
enum { TRIGGER, ISO_TEMPERATURE, RESIN_TEMPERATURE, HOSE_TEMPERATURE, ISO_PRESSURE, RESIN_PRESSURE, ISO_FLOW, RESIN_FLOW,
       ISO_CYCLES, RESIN_CYCLES, HOSE_CURRENT, AIR_TEMPERATURE };

static const double scales[COLUMNS] = {1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.001, 0.001, 1, 1, 0.1, 0.01};

/* Unbroken rows in which something holds. */
typedef struct run {
    double since, reach; /* since < 0: none is open */
    long events;         /* those that lasted */
} run;

typedef struct totals {
    double least[COLUMNS], greatest[COLUMNS], sum[COLUMNS];
    double spraying_sum[COLUMNS], spraying_least[COLUMNS], spraying_greatest[COLUMNS];
    double logged, spraying, recirculating, idle, iso_volume, resin_volume, iso_pumped, resin_pumped;
    double imbalance_sum, imbalance_least, imbalance_greatest, below, inside, above;
    run off_ratio, off_balance, cold;
    long rows, spraying_rows, sprays;
    int was_spraying;
} totals;

static long digits(const char **at)
{
    const char *p = *at;
    long value = 0;
    for (;; p++) {
        const unsigned digit = (unsigned)(*p - '0');
        if (digit <= 9)
            value = value * 10 + (long)digit;
        else if (*p != '.')
            break;
    }
    *at = p + 1;
    return value;
}

/* A row that it holds in goes on with the run; any other row, and a gap in time, ends it. */
static void event(int is_on, double time, double duration, double lasting, run *open)
{
    if (is_on) {
        if (open->since < 0)
            open->since = time;
        open->reach = time + duration;
        if (duration > 0)
            return;
    }
    open->events += open->since >= 0 && open->reach - open->since >= lasting;
    open->since = -1;
}

static void account(totals *all, double time, double next_time, const double *value)
{
    const double held = next_time - time, duration = held > 0 && held <= 10 ? held : 0;
    const int spraying = value[TRIGGER] != 0.0;
    all->rows++;
    for (int i = 0; i < COLUMNS; i++) {
        all->sum[i] += value[i];
        if (value[i] < all->least[i])
            all->least[i] = value[i];
        if (value[i] > all->greatest[i])
            all->greatest[i] = value[i];
    }
    all->logged += duration;
    all->iso_pumped += value[ISO_FLOW] * duration;
    all->resin_pumped += value[RESIN_FLOW] * duration;
    const double imbalance = (value[ISO_PRESSURE] - value[RESIN_PRESSURE]) / value[RESIN_PRESSURE];
    if (spraying) {
        all->spraying_rows++;
        all->sprays += !all->was_spraying;
        all->spraying += duration;
        all->iso_volume += value[ISO_FLOW] * duration;
        all->resin_volume += value[RESIN_FLOW] * duration;
        for (int i = 0; i < COLUMNS; i++) {
            all->spraying_sum[i] += value[i];
            if (value[i] < all->spraying_least[i])
                all->spraying_least[i] = value[i];
            if (value[i] > all->spraying_greatest[i])
                all->spraying_greatest[i] = value[i];
        }
        all->imbalance_sum += imbalance;
        all->imbalance_least = fmin(all->imbalance_least, imbalance);
        all->imbalance_greatest = fmax(all->imbalance_greatest, imbalance);
        if (value[HOSE_TEMPERATURE] < 45)
            all->below += duration;
        else if (value[HOSE_TEMPERATURE] > 60)
            all->above += duration;
        else
            all->inside += duration;
    } else if (value[ISO_FLOW] > 0.05 || value[RESIN_FLOW] > 0.05) {
        all->recirculating += duration;
    } else {
        all->idle += duration;
    }
    const double ratio = value[ISO_FLOW] / value[RESIN_FLOW];
    event(spraying && fabs(ratio - 1) > 0.05, time, duration, 5, &all->off_ratio);
    event(spraying && fabs(imbalance) > 0.1, time, duration, 5, &all->off_balance);
    event(value[HOSE_TEMPERATURE] < 45, time, duration, 60, &all->cold);
    all->was_spraying = spraying && duration > 0;
}

static double days(long year, long month, long day)
{
    const long y = month <= 2 ? year - 1 : year, era = y / 400, of_era = y - era * 400;
    return (double)(era * 146097 + of_era * 365 + of_era / 4 - of_era / 100 + (153 * (month + (month > 2 ? -3 : 9)) + 2) / 5 +
                    day - 1 - 719468);
}

static long two(const char *p)
{
    return (p[0] - '0') * 10 + (p[1] - '0');
}

int main(int count, char **arguments)
{
    static char buffer[BUFFER + 1];
    static totals all = {.off_ratio.since = -1, .off_balance.since = -1, .cold.since = -1, .imbalance_least = INFINITY,
                         .imbalance_greatest = -INFINITY};
    const int file = open(count > 1 ? arguments[1] : "/dev/stdin", O_RDONLY);
    double value[COLUMNS], last[COLUMNS], last_time = -1, day_start = 0;
    char day[10] = "";
    long left = 0, got;
    int is_header = 1;
    for (int i = 0; i < COLUMNS; i++) {
        all.least[i] = all.spraying_least[i] = INFINITY;
        all.greatest[i] = all.spraying_greatest[i] = -INFINITY;
    }
    while ((got = read(file, buffer + left, (size_t)(BUFFER - left))) > 0) {
        const char *p = buffer, *end = buffer + left + got;
        while (end > buffer && end[-1] != '\n')
            end--;
        if (is_header) {
            p = (const char *)memchr(p, '\n', (size_t)(end - p)) + 1;
            is_header = 0;
        }
        while (p < end) {
            if (memcmp(p, day, 10) != 0) {
                memcpy(day, p, 10);
                day_start = 86400 * days(two(p) * 100 + two(p + 2), two(p + 5), two(p + 8));
            }
            const double time = day_start + (double)(two(p + 11) * 3600 + two(p + 14) * 60 + two(p + 17));
            p += 21;
            for (int i = 0; i < COLUMNS; i++)
                value[i] = (double)digits(&p) * scales[i];
            if (last_time >= 0)
                account(&all, last_time, time, last);
            last_time = time;
            memcpy(last, value, sizeof last);
        }
        left = buffer + left + got - end;
        memmove(buffer, end, (size_t)left);
    }
    account(&all, last_time, last_time, last);
    printf("rows %ld\nsprays %ld\nspraying_time %.0f\nrecirculating_time %.0f\nidle_time %.0f\niso_volume %.6f\n"
           "resin_volume %.6f\nratio %.9f\nimbalance_mean %.9f\nhose_below %.0f\noff_ratio_events %ld\n"
           "off_balance_events %ld\ncold_events %ld\n",
           all.rows, all.sprays, all.spraying, all.recirculating, all.idle, all.iso_volume / 60, all.resin_volume / 60,
           all.iso_volume / all.resin_volume, all.imbalance_sum / (double)all.spraying_rows, all.below,
           all.off_ratio.events, all.off_balance.events, all.cold.events);
    printf("mean %.6f %.6f %.6f\n", all.sum[ISO_PRESSURE] / (double)all.rows, all.sum[ISO_TEMPERATURE] / (double)all.rows,
           all.spraying_sum[ISO_PRESSURE] / (double)all.spraying_rows);
    return 0;
}
