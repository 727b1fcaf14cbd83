/* Runs checks, calculations and logs over and over in one process, as main() runs them, and looks at what a long life would
 * show: memory that grows, results that drift.
 *   soak SOURCE_FOLDER SECONDS [LOCALE]
 * Ends with one line; the number at its end is the same for the same results, whatever the locale, time zone or length. */
#include <locale.h>
#include <malloc.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "options.h"

enum { MOST_WORDS = 24, LINE_SIZE = 2048, WARM_ROUNDS = 5 };
/* MiB, from the end of the warm-up on. What is in use must stay the same; what is resident also moves with how the heap
 * happens to be cut, by 1 to 2 MiB up and down from round to round. */
static const double MOST_GROWTH_IN_USE = 0.125, MOST_GROWTH_RESIDENT = 4.0;

/* Words are parted by "|"; FILES/ is the source folder. Reports are written by scripts, and Lua writes numbers and sorts by the locale:
 * the command itself never sets one. Those begin with "|" and get what they have there; all else is
 * ours, and is run with the locale's own. */
static const char *const commands[] = {
    "|check|FILES/examples/orchard-store/job.json|--format|json",
    "|check|FILES/examples/orchard-store/bad-day.json|--format|html",
    "|check|FILES/examples/hilltop-tank/job.json|--stage|plan",
    "calc|climate.dew_point|air_temperature=20 degC|relative_humidity=50 %|--format|json",
    "calc|rig.operating_point|--job|FILES/examples/orchard-store/job.json|--format|json",
    "calc|hose.pressure_drop|flow=3 L/min|length=60 m|density=1100 kg/m^3|viscosity=180 cP|--solve-for|bore|--target|pressure_drop=20 bar",
    "calc|mix.dip_ratio|iso_diameter=571 mm|iso_drop=148 mm|resin_diameter=571 mm|resin_drop=147 mm|--uncertainty|iso_drop=2 mm|--draws|2000",
    "|calc|climate.dew_point|relative_humidity=50 %|--sweep|air_temperature=0 degC..30 degC/31|--format|csv",
    "eval|return imp.yield.foam{ area = q'10 m^2', thickness = q'50 mm', in_place_density = q'35 kg/m^3' }.mass",
    "|log|FILES/examples/orchard-store/day.csv|--job|FILES/examples/orchard-store/job.json|--format|json",
    "|log|FILES/examples/orchard-store/day.csv|FILES/tests/logs/small.csv|--format|csv|--threads|2",
    "explain|rig.operating_point|--format|json",
    "check|FILES/tests/documents/bad/job-everything-wrong.json",
};
enum { COMMANDS = sizeof commands / sizeof commands[0] };

/* FNV-1a */
static void mix(uint64_t *hash, const void *bytes, size_t count)
{
    const unsigned char *at = bytes;
    for (size_t i = 0; i < count; i++)
        *hash = (*hash ^ at[i]) * UINT64_C(1099511628211);
}

static void replace_files(const char *command, const char *files, char *line)
{
    size_t used = 0;
    while (*command != '\0' && used + 1 < LINE_SIZE) {
        if (strncmp(command, "FILES", 5) == 0) {
            used += (size_t)snprintf(line + used, LINE_SIZE - used, "%s", files);
            command += 5;
        } else {
            line[used++] = *command++;
        }
    }
    line[used < LINE_SIZE ? used : LINE_SIZE - 1] = '\0';
}

static uint64_t answer_of(const char *command, const char *files, const char *locale)
{
    char line[LINE_SIZE], program[] = "impinge", *words[MOST_WORDS] = {program};
    int count = 1;
    options given;
    output out;
    imp_error error;
    uint64_t hash = UINT64_C(14695981039346656037);
    const bool is_scripted = command[0] == '|';
    setlocale(LC_ALL, is_scripted ? "C" : locale);
    replace_files(command + is_scripted, files, line);
    for (char *at = line; at != NULL && count < MOST_WORDS - 1;) {
        words[count++] = at;
        at = strchr(at, '|');
        if (at != NULL)
            *at++ = '\0';
    }
    if (options_parse(count, words, &given, &error) != IMP_OK) {
        fprintf(stderr, "soak: %s: %s\n", command, error.message);
        exit(1);
    }
    output_init(&out, "", "never"); /* collected */
    const int code = given.command->run(&given, &out);
    mix(&hash, &code, sizeof code);
    for (const char *at = out.text, *end = out.text + out.length; at < end;) { /* the place of the sources is no result */
        if ((size_t)(end - at) >= strlen(files) && memcmp(at, files, strlen(files)) == 0)
            at += strlen(files);
        else
            mix(&hash, at++, 1);
    }
    if (out.length == 0 && code < 3) {
        fprintf(stderr, "soak: %s: no output\n", command);
        exit(1);
    }
    output_free(&out);
    options_free(&given);
    return hash;
}

/* What the main heap holds; under a sanitizer, which brings its own heap, nothing. */
static double mebibytes_in_use(void)
{
    const struct mallinfo2 heap = mallinfo2();
    return (double)(heap.uordblks + heap.hblkhd) / 1048576.0;
}

static double resident_mebibytes(void)
{
    long pages = 0;
    FILE *file = fopen("/proc/self/statm", "r");
    if (file == NULL || fscanf(file, "%*d %ld", &pages) != 1)
        pages = 0;
    if (file != NULL)
        fclose(file);
    return (double)pages * (double)sysconf(_SC_PAGESIZE) / 1048576.0;
}

static double now(void)
{
    struct timespec time;
    clock_gettime(CLOCK_MONOTONIC, &time);
    return (double)time.tv_sec + (double)time.tv_nsec * 1e-9;
}

int main(int argc, char **argv)
{
    uint64_t first[COMMANDS] = {0}, all = UINT64_C(14695981039346656037);
    const double seconds = argc > 2 ? atof(argv[2]) : 10.0, begun = now();
    const char *wanted = argc > 3 ? argv[3] : "C";
    const bool is_there = setlocale(LC_ALL, wanted) != NULL;
    double warm = 0.0, warm_in_use = 0.0;
    long rounds = 0, drifts = 0;
    if (argc < 3 || !is_there || freopen("/dev/null", "w", stderr) == NULL) {
        printf("soak: expected a folder, seconds and a locale that is here\n");
        return 1;
    }
    for (; rounds < 2 || now() - begun < seconds; rounds++) {
        for (size_t i = 0; i < COMMANDS; i++) {
            const uint64_t answer = answer_of(commands[i], argv[1], wanted);
            if (rounds == 0) {
                first[i] = answer;
                mix(&all, &answer, sizeof answer);
            } else if (answer != first[i]) {
                drifts++;
            }
        }
        if (rounds < WARM_ROUNDS) {
            warm = resident_mebibytes();
            warm_in_use = mebibytes_in_use();
        }
    }
    const double end = resident_mebibytes(), grown = mebibytes_in_use() - warm_in_use;
    setlocale(LC_ALL, "C");
    printf("soak: %ld commands in %.0f s in one process, %ld drifts, %.1f MiB resident after warming up, %.1f MiB at the end, %.3f MiB more in use, locale %s, results %016llx\n",
           rounds * COMMANDS, now() - begun, drifts, warm, end, grown, wanted, (unsigned long long)all);
    return drifts == 0 && grown <= MOST_GROWTH_IN_USE && end - warm <= MOST_GROWTH_RESIDENT ? 0 : 1;
}
