/* Command lines, a word a line. They are parsed as main() does it; what only calculates is carried out as well. */
#include "catalogue.h"
#include "fuzz.h"
#include "options.h"

const char *const fuzz_words[] = {"\n", "calc", "check", "log", "eval", "explain", "list", "--format", "json", "=", "--digits", "17", "--solve-for",
                                  "--sweep", "..", "/7", "--target", "--uncertainty", "--draws\n50", "--sheet", "-o", "--", "-", "--help",
                                  "--version", "climate.dew_point", "air_temperature=20 degC", "relative_humidity=50 %", "--max-steps",
                                  "hose.pressure_drop", "flow=3 L/min", "mix.dip_ratio", "--sensitivity", "--color", NULL};

enum { MOST_WORDS = 40, MOST_DRAWS = 1000 };

static void silence(void)
{
    static bool is_silent;
    if (is_silent)
        return;
    FILE *nowhere = fopen("/dev/null", "w");
    if (nowhere == NULL || freopen("/dev/null", "r", stdin) == NULL)
        abort();
    stderr = nowhere; /* the sanitizers write to the descriptor */
    is_silent = true;
}

/* Commands that read and write nothing but what they are asked, and end soon. */
static bool may_run(const options *given)
{
    const unsigned bit = given->command->bit;
    if ((bit & (IN_CALC | IN_EXPLAIN | IN_LIST)) == 0 || options_has(given, OPTION_JOB) || options_has(given, OPTION_RULES))
        return false;
    if ((bit & IN_LIST) == 0 && imp_catalogue_find(given->positional[0]) == NULL)
        return false; /* a calculator's file */
    const bool many = options_has(given, OPTION_SWEEP) || options_has(given, OPTION_SOLVE_FOR) ||
                      options_has(given, OPTION_SENSITIVITY) || options_has(given, OPTION_UNCERTAINTY);
    const bool slow = given->positional_count > 0 && (strncmp(given->positional[0], "rig.", 4) == 0 || strncmp(given->positional[0], "hose.", 5) == 0);
    return !(many && slow) && !(options_has(given, OPTION_UNCERTAINTY) && options_number(given, OPTION_DRAWS) > MOST_DRAWS);
}

static void carry_out(const options *given)
{
    output out;
    output_init(&out, "", "never"); /* collected */
    if (options_has(given, OPTION_HELP)) {
        options_help(given->command, &out);
    } else if (given->command != NULL && !options_has(given, OPTION_VERSION) && may_run(given)) {
        const int code = given->command->run(given, &out);
        require(code >= 0 && code < 7, "a command ends with one of its exit codes, and never with an internal fault");
    }
    require(!out.out_of_memory, "there is memory enough for what a command writes");
    output_free(&out);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char *words[MOST_WORDS + 1] = {NULL};
    char program[] = "impinge", *text = malloc(size + 1);
    int count = 0;
    options given;
    imp_error error;
    silence();
    if (text == NULL)
        return 0;
    memcpy(text, data, size);
    text[size] = '\0';
    words[count++] = program;
    for (char *at = text; at != NULL && count < MOST_WORDS; count++) {
        words[count] = at;
        at = strchr(at, '\n');
        if (at != NULL)
            *at++ = '\0';
    }
    const imp_status status = options_parse(count, words, &given, &error);
    if (status != IMP_OK) {
        require_error(status, &error);
    } else {
        require(given.positional_count < (size_t)count && given.given_count < (size_t)count, "no more is given than was typed");
        carry_out(&given);
        options_free(&given);
    }
    free(text);
    return 0;
}
