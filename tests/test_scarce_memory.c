/* Whole commands in one process, in which one allocation fails: the n-th, for one n after the other. Linked with
 * --wrap=malloc and --wrap=realloc, so that what core and bindings ask for passes here (not what Lua's or cJSON's own
 * libraries ask for by themselves; Lua's memory is asked for by the sandbox, and passes). The sanitizers look for leaks. */
#include "shell.h"

#include <errno.h>
#include <fcntl.h>
#include <sys/stat.h>

#include "commands.h"
#include "exit_code.h"
#include "options.h"

void *__real_malloc(size_t size);
void *__real_realloc(void *block, size_t size);
void *__wrap_malloc(size_t size);
void *__wrap_realloc(void *block, size_t size);

static unsigned long seen, failing; /* allocations of the running command; the one that fails, 0: none */
static bool spares_lua;             /* the sandbox asks by malloc for what is new, the core by realloc */

static bool fails_now(void)
{
    return ++seen == failing;
}

void *__wrap_malloc(size_t size)
{
    return !spares_lua && fails_now() ? NULL : __real_malloc(size);
}

void *__wrap_realloc(void *block, size_t size)
{
    return (!spares_lua || block == NULL) && fails_now() ? NULL : __real_realloc(block, size);
}

/* As main does. */
static int run(char **words, const char *path)
{
    options given;
    output out;
    imp_error error;
    int count = 0;
    while (words[count] != NULL)
        count++;
    const imp_status status = options_parse(count, words, &given, &error);
    if (status != IMP_OK)
        return complain(&error, exit_code_of_argument(status));
    output_init(&out, path, "never");
    int code = given.command->run(&given, &out);
    if (code < EXIT_USAGE && output_finish(&out, path, &error) != IMP_OK)
        code = complain(&error, EXIT_INTERNAL);
    output_free(&out);
    options_free(&given);
    return code;
}

typedef struct attempt {
    int code;
    char *text;     /* what stands in the file; NULL: there is none */
    off_t complaint; /* bytes on stderr */
} attempt;

/* One run with stderr in a file, the n-th allocation failing. */
static attempt try_with(char **words, unsigned long n)
{
    char path[PATH_SIZE], errors[PATH_SIZE];
    struct stat of_errors;
    attempt made;
    in_folder("result", path);
    unlink(path);
    fflush(stderr);
    const int before = dup(2), file = open(in_folder("errors", errors), O_RDWR | O_CREAT | O_TRUNC, 0600);
    assert_true(before >= 0 && file >= 0 && dup2(file, 2) == 2);
    seen = 0;
    failing = n;
    made.code = run(words, path);
    failing = 0;
    fflush(stderr);
    assert_int_equal(fstat(file, &of_errors), 0);
    dup2(before, 2);
    close(before);
    close(file);
    made.complaint = of_errors.st_size;
    made.text = read_file(path);
    return made;
}

/* All of the first 150 allocations (not where the core's alone count), and about `most` of the later ones, evenly. */
static unsigned long next_of(unsigned long n, unsigned long total, unsigned long most)
{
    const unsigned long stride = total > most ? total / most : 1;
    return (n < 150 && !spares_lua) || stride < 2 ? n + 1 : n + stride;
}

static void never_worse_than_a_sentence(char **words, unsigned long most)
{
    attempt whole = try_with(words, 0);
    const unsigned long total = seen;
    assert_true(whole.code < EXIT_USAGE);
    assert_non_null(whole.text);
    assert_true(total > 1);
    for (unsigned long n = 1; n <= total; n = next_of(n, total, most)) {
        attempt scarce = try_with(words, n);
        const bool same = scarce.code == whole.code && scarce.text != NULL && strcmp(scarce.text, whole.text) == 0;
        const bool refused = scarce.code >= EXIT_USAGE && scarce.code <= EXIT_INTERNAL && scarce.text == NULL && scarce.complaint > 0;
        if (!same && !refused)
            fail_msg("%s %s, allocation %lu of %lu: exit code %d, %s, %ld bytes on stderr", words[1], words[2], n, total, scarce.code,
                     scarce.text == NULL ? "no result" : "another result than undisturbed", (long)scarce.complaint);
        free(scarce.text);
    }
    free(whole.text);
}

#define EXAMPLE IMP_SOURCE_FOLDER "/examples/orchard-store"
#define COMMAND(...) ((char *[]){"impinge", __VA_ARGS__, NULL})
#define DROP                                                                                                           \
    "calc", "hose.pressure_drop", "flow=3 L/min", "length=60 m", "density=1100 kg/m^3", "viscosity=180 cP"

static void a_calculation_survives_any_failed_allocation(void **state)
{
    (void)state;
    never_worse_than_a_sentence(COMMAND(DROP, "bore=10 mm", "--sheet"), 100);
    never_worse_than_a_sentence(COMMAND(DROP, "bore=10 mm", "--format", "json", "--sheet"), 100);
}

static void solving_sweeping_and_uncertainty_survive_any_failed_allocation(void **state)
{
    (void)state;
    never_worse_than_a_sentence(COMMAND(DROP, "--solve-for", "bore", "--target", "pressure_drop=20 bar"), 100);
    never_worse_than_a_sentence(COMMAND(DROP, "--sweep", "bore=6 mm..12 mm/4"), 100);
    never_worse_than_a_sentence(COMMAND(DROP, "--sweep", "bore=6 mm..12 mm/4", "--format", "csv"), 100);
    never_worse_than_a_sentence(COMMAND(DROP, "--sweep", "bore=6 mm..12 mm/4", "--format", "json"), 100);
    never_worse_than_a_sentence(COMMAND(DROP, "bore=10 mm", "--uncertainty", "bore=0.1 mm"), 40);
}

static void explanations_and_lists_survive_any_failed_allocation(void **state)
{
    (void)state;
    never_worse_than_a_sentence(COMMAND("explain", "hose.pressure_drop"), 80);
    never_worse_than_a_sentence(COMMAND("explain", "rig.operating_point", "--format", "json"), 80);
    never_worse_than_a_sentence(COMMAND("list", "pressure"), 80);
    never_worse_than_a_sentence(COMMAND("list", "--format", "json"), 80);
}

static void scripts_survive_any_failed_allocation(void **state)
{
    (void)state;
    never_worse_than_a_sentence(COMMAND("eval", "imp.yield.foam{ area = q'10 m^2', thickness = q'50 mm', in_place_density = q'35 kg/m^3' }.mass"), 80);
    never_worse_than_a_sentence(COMMAND("eval", "imp.stats.mean{ values = { 1, 2, 4 } }"), 80);
    never_worse_than_a_sentence(COMMAND("calc", IMP_SCRIPTS_FOLDER "/calculators/foam_estimate.lua", "area=200 m^2", "thickness=80 mm",
                                        "in_place_density=38 kg/m^3", "iso_density=1.2 kg/L", "resin_density=1.1 kg/L", "maximum_lift=40 mm", "mass_flow=6 kg/min"), 80);
}

static void checks_and_logs_survive_any_failed_allocation(void **state)
{
    (void)state;
    never_worse_than_a_sentence(COMMAND("check", EXAMPLE "/job.json", "--format", "json"), 40);
    never_worse_than_a_sentence(COMMAND("log", EXAMPLE "/day.csv", "--job", EXAMPLE "/job.json"), 25);
    never_worse_than_a_sentence(COMMAND("log", EXAMPLE "/day.csv", "--partial"), 40);
}

static void columns_of_scripts_survive_any_failed_allocation(void **state)
{
    (void)state;
    never_worse_than_a_sentence(COMMAND("run", IMP_TESTS_FOLDER "/lua/scarce.lua", EXAMPLE "/day.csv"), 60);
}

/* As above with the core's own new blocks alone, of which there are few: each of them, or about `most`. */
static void never_worse_where_the_core_lacks_memory(char **words, unsigned long most)
{
    spares_lua = true;
    never_worse_than_a_sentence(words, most);
    spares_lua = false;
}

static void the_core_lacks_any_block_of_a_command(void **state)
{
    (void)state;
    char units[PATH_SIZE];
    write_file("units.json", "{\"base\": \"us\", \"show\": {\"psi\": \"kPa\", \"in\": \"cm\"}}");
    in_folder("units.json", units);
    never_worse_where_the_core_lacks_memory(COMMAND(DROP, "bore=10 mm", "--units", units, "--sheet"), 200);
    never_worse_where_the_core_lacks_memory(COMMAND(DROP, "bore=10 mm", "--sensitivity", "--sheet"), 200);
    never_worse_where_the_core_lacks_memory(COMMAND(DROP, "--sweep", "bore=6 mm..12 mm/4", "--format", "svg"), 200);
    never_worse_where_the_core_lacks_memory(COMMAND("log", EXAMPLE "/day.csv", "--job", EXAMPLE "/job.json"), 25);
    never_worse_where_the_core_lacks_memory(COMMAND("check", EXAMPLE "/job.json"), 25);
    write_file("tiny.csv", "time [s],trigger,iso_flow [L/min],iso_pressure [bar]\n0,0,0,10\n1,1,6,90\n2,1,6,91\n3,0,0,12\n");
    write_file("tiny.lua", "local day = imp.log.open(arg[1])\n"
                           "local flow, on = day.iso_flow, day.trigger:equals(1)\n"
                           "for span in on:spans(flow) do assert(flow:mean(span) == flow:quantile(0.5, span) and flow:sum(span) == q '12 L/min') end\n"
                           "assert(flow:resample(q '2 s', on).mean[1] == q '6 L/min' and flow:rolling(q '2 s'):later():max():get() == q '6 L/min')\n"
                           "assert(day:summary().spraying_time == q '2 s')\n"
                           "local c = imp.column({ 1, 2, 4 }, 'bar')\n"
                           "assert(c:above(q '1 bar'):count() == 2 and (c + c):mean(c:below(q '3 bar')) == q '3 bar' and c:quantile(0.5) == q '2 bar')\n");
    char log[PATH_SIZE], script[PATH_SIZE];
    never_worse_where_the_core_lacks_memory(COMMAND("run", in_folder("tiny.lua", script), in_folder("tiny.csv", log)), 200);
}

static void merging_and_other_formats_survive_any_failed_allocation(void **state)
{
    (void)state;
    char partial[PATH_SIZE];
    attempt made = try_with(COMMAND("log", EXAMPLE "/day.csv", "--job", EXAMPLE "/job.json", "--partial"), 0);
    assert_int_equal(made.code, 0);
    write_file("partial", made.text);
    free(made.text);
    never_worse_than_a_sentence(COMMAND("log", "--merge", in_folder("partial", partial), "--job", EXAMPLE "/job.json", "--format", "json"), 20);
    never_worse_than_a_sentence(COMMAND("test", IMP_SCRIPTS_FOLDER "/calculators/foam_estimate.lua"), 20);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_calculation_survives_any_failed_allocation),
        cmocka_unit_test(solving_sweeping_and_uncertainty_survive_any_failed_allocation),
        cmocka_unit_test(explanations_and_lists_survive_any_failed_allocation),
        cmocka_unit_test(scripts_survive_any_failed_allocation),
        cmocka_unit_test(checks_and_logs_survive_any_failed_allocation),
        cmocka_unit_test(columns_of_scripts_survive_any_failed_allocation),
        cmocka_unit_test(the_core_lacks_any_block_of_a_command),
        cmocka_unit_test(merging_and_other_formats_survive_any_failed_allocation),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
