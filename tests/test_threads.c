/* Several threads use the library at once, each with its own objects: everyone gets what one thread alone gets, to the last
 * bit. Built with the type Thread (tests/threads.sh) this is also where a data race would be seen. */
#include "support.h"

#include <math.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>

#include "catalogue.h"
#include "document.h"
#include "file.h"
#include "log_summary.h"
#include "quantity.h"
#include "sandbox.h"

enum { THREADS = 4, MOST_RESULTS = 8192 };

typedef struct answers {
    double numbers[MOST_RESULTS];
    size_t count;
    int failures; /* cmocka's assertions are for its own thread only */
} answers;

static void note(answers *all, double number)
{
    if (all->count < MOST_RESULTS)
        all->numbers[all->count++] = number;
    else
        all->failures++;
}

/* Every entry, its numbers two fifths into their ranges; one that refuses them gives its status. */
static void evaluate_entries(answers *all)
{
    const imp_calc *calc;
    for (size_t i = 0; (calc = imp_catalogue_at(i)) != NULL; i++) {
        imp_value in[IMP_MOST_INPUTS], out[IMP_MOST_OUTPUTS];
        imp_error error;
        for (size_t k = 0; k < calc->input_count; k++) {
            const imp_param *row = &calc->inputs[k];
            const double value = row->kind == IMP_NUMBER && isfinite(row->high) ? row->low + 0.4 * (row->high - row->low) : 0.0;
            in[k] = (imp_value){.number = value, .given = row->kind == IMP_NUMBER || row->kind == IMP_CHOICE};
        }
        const imp_status status = imp_calc_evaluate(calc, in, out, NULL, &error);
        note(all, (double)status);
        for (size_t k = 0; status == IMP_OK && k < calc->output_count; k++)
            if (out[k].given && calc->outputs[k].kind == IMP_NUMBER)
                note(all, out[k].number);
    }
}

static void parse_texts(answers *all)
{
    static const char *const texts[] = {"1200 psi", "5/8 in", "68 degF", "3.1 gal/min", "0.2 W/(m K)", "12 kPa", "4 parsecs", "7 inH2O"};
    for (int round = 0; round < 50; round++)
        for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
            imp_quantity quantity = {.si = -1.0};
            imp_unit unit;
            char text[96] = "";
            imp_error error;
            const imp_status status = imp_quantity_parse(texts[i], strlen(texts[i]), &quantity, &unit, &error);
            if (status == IMP_OK && imp_quantity_format(&quantity, &unit, 0, text, sizeof text, &error) != IMP_OK)
                all->failures++;
            note(all, quantity.si);
        }
}

static void read_documents(answers *all)
{
    imp_issues issues;
    imp_node *root = NULL;
    char *text = NULL;
    size_t length = 0;
    imp_issues_init(&issues, NULL);
    if (imp_file_read(IMP_SOURCE_FOLDER "/examples/orchard-store/rig.json", 1 << 20, NULL, &text, &length, NULL) != IMP_OK ||
        imp_document_read(IMP_RIG, "rig.json", text, length, NULL, NULL, &root, &issues) != IMP_OK)
        all->failures++;
    note(all, (double)issues.count);
    imp_node_free(root, NULL);
    imp_issues_free(&issues);
    free(text);
}

static void summarise_log(answers *all)
{
    const char *const paths[] = {IMP_TESTS_FOLDER "/logs/small.csv", IMP_SOURCE_FOLDER "/examples/orchard-store/day.csv"};
    const imp_log_options options = {.threads = 3, .chunk = 4096, .rows = 100};
    imp_log_summary *summaries = calloc(2, sizeof *summaries);
    imp_status statuses[2];
    imp_error errors[2];
    if (summaries == NULL || imp_log_summarise_files(paths, 2, &options, NULL, 2, summaries, statuses, errors) != IMP_OK) {
        all->failures++;
    } else {
        for (int i = 0; i < 2; i++) {
            note(all, statuses[i]);
            note(all, summaries[i].iso_volume.si);
            note(all, summaries[i].ratio.si);
            note(all, summaries[i].logged_time);
        }
    }
    free(summaries);
}

static void run_script(answers *all)
{
    static const char text[] = "local sum = 0\n"
                               "for t = 1, 40 do\n"
                               "  sum = sum + imp.climate.dew_point{ air_temperature = q(t, 'degC'), relative_humidity = q'50 %' }:value 'K'\n"
                               "end\n"
                               "return sum";
    const imp_script_options options = {.budget = imp_default_budget()};
    imp_script *script = NULL;
    imp_error error;
    if (imp_script_open(&options, &script, &error) != IMP_OK ||
        imp_script_run_text(script, text, sizeof text - 1, "sum", 1, &error) != IMP_OK)
        all->failures++;
    else
        note(all, lua_tonumber(imp_script_state(script), -1));
    imp_script_close(script);
}

static void *work(void *context)
{
    answers *all = context;
    for (int round = 0; round < 2; round++) {
        evaluate_entries(all);
        parse_texts(all);
        read_documents(all);
        summarise_log(all);
        run_script(all);
    }
    return NULL;
}

static void threads_do_not_disturb_each_other(void **state)
{
    (void)state;
    static answers alone, together[THREADS];
    pthread_t threads[THREADS];
    for (int i = 0; i < THREADS; i++) /* before anybody has used anything: what is made at first use is made by all at once */
        assert_int_equal(pthread_create(&threads[i], NULL, work, &together[i]), 0);
    for (int i = 0; i < THREADS; i++)
        pthread_join(threads[i], NULL);
    work(&alone);
    assert_int_equal(alone.failures, 0);
    assert_true(alone.count > 400);
    for (int i = 0; i < THREADS; i++) {
        assert_int_equal(together[i].failures, 0);
        assert_int_equal(together[i].count, alone.count);
        assert_memory_equal(together[i].numbers, alone.numbers, alone.count * sizeof alone.numbers[0]);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(threads_do_not_disturb_each_other)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
