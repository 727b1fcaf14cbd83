#include "log_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "number.h"

enum { PREFIX = 16 }; /* characters before ":ss" */

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* `count` digits at *at. */
static bool take_digits(const char **at, const char *end, int count, int *value)
{
    int found = 0;
    if (end - *at < count)
        return false;
    for (int i = 0; i < count; i++) {
        if (!is_digit((*at)[i]))
            return false;
        found = found * 10 + ((*at)[i] - '0');
    }
    *at += count;
    *value = found;
    return true;
}

static bool take_char(const char **at, const char *end, char c)
{
    if (*at == end || **at != c)
        return false;
    ++*at;
    return true;
}

/* Days since 1970-01-01 in the proleptic Gregorian calendar; years counted from March. */
static long days_since_1970(int year, int month, int day)
{
    const long y = month <= 2 ? year - 1 : year, era = (y >= 0 ? y : y - 399) / 400;
    const long of_era = y - era * 400, of_year = (153L * (month + (month > 2 ? -3 : 9)) + 2) / 5 + day - 1;
    return era * 146097 + of_era * 365 + of_era / 4 - of_era / 100 + of_year - 719468;
}

static int days_in_month(int year, int month)
{
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    const bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    return month == 2 && leap ? 29 : days[month - 1];
}

typedef struct moment {
    int year, month, day, hour, minute, second;
    double fraction;
} moment;

static bool is_possible(const moment *m)
{
    return m->month >= 1 && m->month <= 12 && m->day >= 1 && m->day <= days_in_month(m->year, m->month) &&
           m->hour <= 23 && m->minute <= 59 && m->second <= 60;
}

/* ".25": digits behind the point or comma at *at, at most 9 of them count. */
static bool take_fraction(const char **at, const char *end, double *fraction)
{
    static const double powers[] = {1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9};
    long digits = 0;
    int count = 0;
    for (++*at; *at < end && is_digit(**at); ++*at)
        if (count < 9) {
            digits = digits * 10 + (**at - '0');
            count++;
        }
    *fraction = (double)digits / powers[count];
    return count > 0;
}

/* "Z", "+02:00", "+0200", "+02"; *at is not at the end. */
static bool take_zone(const char **at, const char *end, double *offset)
{
    if (take_char(at, end, 'Z') || take_char(at, end, 'z')) {
        *offset = 0.0;
        return true;
    }
    if (**at != '+' && **at != '-')
        return false;
    const double sign = **at == '-' ? -1.0 : 1.0;
    ++*at;
    int hours, minutes = 0;
    if (!take_digits(at, end, 2, &hours))
        return false;
    const bool colon = take_char(at, end, ':');
    if (!take_digits(at, end, 2, &minutes) && colon)
        return false;
    *offset = sign * (hours * 3600.0 + minutes * 60.0);
    return hours <= 18 && minutes <= 59;
}

static bool read_iso(const char *at, const char *end, moment *m, bool *has_zone, double *offset)
{
    if (!take_digits(&at, end, 4, &m->year) || !take_char(&at, end, '-') || !take_digits(&at, end, 2, &m->month) ||
        !take_char(&at, end, '-') || !take_digits(&at, end, 2, &m->day))
        return false;
    if (!take_char(&at, end, 'T') && !take_char(&at, end, ' '))
        return false;
    if (!take_digits(&at, end, 2, &m->hour) || !take_char(&at, end, ':') || !take_digits(&at, end, 2, &m->minute))
        return false;
    if (take_char(&at, end, ':')) {
        if (!take_digits(&at, end, 2, &m->second))
            return false;
        if (at < end && (*at == '.' || *at == ',') && !take_fraction(&at, end, &m->fraction))
            return false;
    }
    if (at < end && *at == ' ')
        at++;
    *has_zone = at < end;
    return at == end || (take_zone(&at, end, offset) && at == end);
}

/* A pattern's run of one letter is a number of that many digits; all else stands for itself. */
static bool read_pattern(const char *pattern, const char *at, const char *end, moment *m)
{
    while (*pattern != '\0') {
        int length = 1;
        while (pattern[length] == pattern[0])
            length++;
        int *to = NULL;
        switch (pattern[0]) {
        case 'Y': to = &m->year; break;
        case 'M': to = &m->month; break;
        case 'D': to = &m->day; break;
        case 'h': to = &m->hour; break;
        case 'm': to = &m->minute; break;
        case 's': to = &m->second; break;
        default: length = 1; break;
        }
        if (to == NULL ? !take_char(&at, end, *pattern) : !take_digits(&at, end, length, to))
            return false;
        if (to == &m->second && at < end && (*at == '.' || *at == ',') && !take_fraction(&at, end, &m->fraction))
            return false;
        if (to == &m->year && length == 2)
            m->year += 2000;
        pattern += length;
    }
    return at == end;
}

/* The next text is likely to have the same minute and zone. */
static void remember(imp_log_clock *clock, const char *text, size_t length, const imp_log_time *time, const moment *m)
{
    clock->is_set = false;
    if (length < PREFIX + 3 || text[PREFIX] != ':' || !is_digit(text[PREFIX + 1]) || !is_digit(text[PREFIX + 2]))
        return;
    if (clock->format != NULL && (strlen(clock->format) != PREFIX + 3 || strcmp(clock->format + PREFIX, ":ss") != 0))
        return;
    size_t at = PREFIX + 3;
    if (at < length && (text[at] == '.' || text[at] == ','))
        for (at++; at < length && is_digit(text[at]);)
            at++;
    if (length - at >= sizeof clock->suffix)
        return;
    memcpy(clock->prefix, text, PREFIX);
    clock->suffix_length = length - at;
    memcpy(clock->suffix, text + at, clock->suffix_length);
    clock->minute = (double)days_since_1970(m->year, m->month, m->day) * 86400.0 + m->hour * 3600.0 + m->minute * 60.0 -
                    time->zone_offset;
    clock->is_set = true;
}

bool imp_log_time_read(const char *text, size_t length, imp_log_clock *clock, imp_log_time *time)
{
    moment m = {1970, 1, 1, 0, 0, 0, 0.0};
    imp_log_time found = {0.0, false, false, clock->zone_offset};
    const char *end = text + length;
    if (clock->format != NULL) {
        if (!read_pattern(clock->format, text, end, &m))
            return false;
    } else if (!read_iso(text, end, &m, &found.has_zone, &found.zone_offset)) {
        char copy[64];
        size_t used = 0;
        if (length == 0 || length >= sizeof copy)
            return false;
        for (size_t i = 0; i < length; i++)
            copy[i] = clock->decimal == ',' && text[i] == ',' ? '.' : text[i];
        imp_number_read(copy, length, &found.seconds, &used);
        if (used != length || !(fabs(found.seconds) < 1e15))
            return false;
        *time = found;
        return true;
    }
    if (!is_possible(&m))
        return false;
    found.is_calendar = true;
    found.seconds = (double)days_since_1970(m.year, m.month, m.day) * 86400.0 + m.hour * 3600.0 + m.minute * 60.0 -
                    found.zone_offset + (m.second + m.fraction);
    remember(clock, text, length, &found, &m);
    *time = found;
    return true;
}

static void civil_of_days(long days, int *year, int *month, int *day)
{
    const long z = days + 719468, era = (z >= 0 ? z : z - 146096) / 146097, of_era = z - era * 146097;
    const long of_years = (of_era - of_era / 1460 + of_era / 36524 - of_era / 146096) / 365;
    const long of_year = of_era - (365 * of_years + of_years / 4 - of_years / 100), shifted = (5 * of_year + 2) / 153;
    *day = (int)(of_year - (153 * shifted + 2) / 5 + 1);
    *month = (int)(shifted < 10 ? shifted + 3 : shifted - 9);
    *year = (int)(of_years + era * 400 + (*month <= 2));
}

char *imp_log_time_text(const imp_log_header *header, double time, char *text, size_t size)
{
    if (!header->is_calendar || !(fabs(time) < 2e11)) {
        char number[IMP_NUMBER_TEXT_SIZE];
        snprintf(text, size, "%s s", imp_number_write(time, 0, number, sizeof number));
        return text;
    }
    const double local = floor((time + header->zone_offset) * 1000.0 + 0.5) / 1000.0, day_start = floor(local / 86400.0);
    int year, month, day;
    civil_of_days((long)day_start, &year, &month, &day);
    const double of_day = local - day_start * 86400.0;
    const int second = (int)of_day, thousandths = (int)((of_day - second) * 1000.0 + 0.5);
    int used = snprintf(text, size, "%04d-%02d-%02dT%02d:%02d:%02d", year, month, day, second / 3600, second / 60 % 60,
                        second % 60);
    if (thousandths > 0 && thousandths < 1000 && used > 0 && (size_t)used < size)
        used += snprintf(text + used, size - (size_t)used, ".%03d", thousandths);
    if (header->has_zone && used > 0 && (size_t)used < size) {
        const int minutes = (int)(fabs(header->zone_offset) / 60.0);
        if (minutes == 0)
            snprintf(text + used, size - (size_t)used, "Z");
        else
            snprintf(text + used, size - (size_t)used, "%c%02d:%02d", header->zone_offset < 0 ? '-' : '+', minutes / 60 % 100,
                     minutes % 60);
    }
    return text;
}
