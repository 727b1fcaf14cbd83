/* Runs over a log on any number of threads, also where the system gives fewer than asked for: rows are handed on in order, by
 * one thread at a time, each once. Linked with --wrap=pthread_create, so that threads can be refused. */
#include "log_support.h"

#include <errno.h>
#include <pthread.h>
#include <stdatomic.h>
#include <time.h>

enum { ROWS = 15000 }; /* much more text than is read with the header, which is the first chunk */
static const int thread_counts[] = {1, 2, 3, 17, IMP_LOG_MOST_THREADS, 1000};
enum { COUNTS = sizeof thread_counts / sizeof thread_counts[0] };

static int threads_left = -1; /* that the system still gives; below 0: any number */

int __real_pthread_create(pthread_t *thread, const pthread_attr_t *how, void *(*start)(void *), void *context);
int __wrap_pthread_create(pthread_t *thread, const pthread_attr_t *how, void *(*start)(void *), void *context);
int __wrap_pthread_create(pthread_t *thread, const pthread_attr_t *how, void *(*start)(void *), void *context)
{
    if (threads_left == 0)
        return EAGAIN;
    threads_left -= threads_left > 0;
    return __real_pthread_create(thread, how, start, context);
}

/* What was handed on; cmocka's assertions are for its own thread only. */
typedef struct taken {
    atomic_int inside;
    size_t rows, blocks, refused_block; /* 0: none */
    int faults;
} taken;

static imp_status take(void *context, imp_log_block *block, imp_error *error)
{
    taken *all = context;
    const struct timespec while_others_read_ahead = {.tv_nsec = 100000};
    all->faults += atomic_fetch_add(&all->inside, 1) != 0;
    if (all->blocks % 64 == 0)
        nanosleep(&while_others_read_ahead, NULL);
    for (size_t i = 0; i < block->rows; i++, all->rows++)
        all->faults += block->time[i] != (double)all->rows || block->line[i] != all->rows + 2;
    atomic_fetch_sub(&all->inside, 1);
    return ++all->blocks == all->refused_block ? imp_fail(error, IMP_RANGE, "here", "no more") : IMP_OK;
}

static const char *made_log(void)
{
    static char text[ROWS * 16];
    size_t length = (size_t)sprintf(text, "time,a\n");
    for (int i = 0; i < ROWS; i++)
        length += (size_t)sprintf(text + length, "%d,%d\n", i, i % 7);
    return file_of(text, length);
}

static imp_status run(const char *path, int threads, taken *all, imp_error *error)
{
    const imp_log_options options = {.threads = threads, .chunk = 1000, .rows = 50};
    imp_log *log = NULL;
    assert_int_equal(imp_log_open(path, &options, &log, error), IMP_OK);
    const imp_status status = imp_log_run(log, take, all, error);
    imp_log_close(log);
    return status;
}

static void every_row_comes_once_and_in_order_on_any_number_of_threads(void **state)
{
    (void)state;
    const char *path = made_log();
    for (int given = -1; given < 3; given++) /* any number, none, 1, 2 */
        for (size_t i = 0; i < COUNTS; i++) {
            taken all = {.rows = 0};
            imp_error error = {.status = IMP_OK};
            threads_left = given;
            const imp_status status = run(path, thread_counts[i], &all, &error);
            threads_left = -1;
            assert_int_equal(status, IMP_OK);
            assert_int_equal(all.rows, ROWS);
            assert_int_equal(all.faults, 0);
        }
}

static void a_refusal_ends_the_run_and_nothing_is_handed_on_behind_it(void **state)
{
    (void)state;
    static const size_t refused[] = {1, 200, 250};
    const char *path = made_log();
    for (size_t i = 0; i < COUNTS; i++)
        for (size_t k = 0; k < sizeof refused / sizeof refused[0]; k++) {
            taken all = {.refused_block = refused[k]};
            imp_error error = {.status = IMP_OK};
            assert_int_equal(run(path, thread_counts[i], &all, &error), IMP_RANGE);
            assert_string_equal(error.message, "no more");
            assert_int_equal(all.blocks, refused[k]);
            assert_int_equal(all.faults, 0);
        }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_row_comes_once_and_in_order_on_any_number_of_threads),
        cmocka_unit_test(a_refusal_ends_the_run_and_nothing_is_handed_on_behind_it),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
