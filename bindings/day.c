#include "day.h"

#include <string.h>

#include "memory.h"

imp_day *imp_day_create(const char *name)
{
    imp_day *day = imp_allocate(NULL, 1, sizeof *day);
    if (day == NULL)
        return NULL;
    day->references = 1;
    day->spraying = IMP_NO_COLUMN;
    day->name = imp_copy_text(NULL, name, strlen(name));
    if (day->name == NULL) {
        imp_release(NULL, day);
        return NULL;
    }
    return day;
}

imp_status imp_day_bind(imp_day *day, const imp_log_header *header, imp_error *error)
{
    imp_status status = imp_columns_create(NULL, &day->columns, error);
    if (status == IMP_OK)
        status = imp_columns_bind(day->columns, header, error);
    return status;
}

imp_status imp_day_open(imp_day *day, const imp_log_options *options, imp_error *error)
{
    const imp_status status = imp_log_open(day->name, options, &day->log, error);
    return status == IMP_OK ? imp_day_bind(day, imp_log_header_of(day->log), error) : status;
}

void imp_day_close(imp_day *day)
{
    imp_columns_free(day->columns);
    day->columns = NULL;
    imp_log_close(day->log);
    day->log = NULL;
    imp_release(NULL, day->partial);
    day->partial = NULL;
    imp_release(NULL, day->answers);
    day->answers = NULL;
    day->answer_count = day->answer_capacity = 0;
    if (day->has_mapping)
        imp_log_mapping_free(&day->mapping);
    day->has_mapping = false;
}

void imp_day_release(imp_day *day)
{
    if (day == NULL || --day->references > 0)
        return;
    imp_day_close(day);
    imp_release(NULL, day->name);
    imp_release(NULL, day);
}

imp_status imp_day_check(const imp_day *day, imp_error *error)
{
    return day->columns != NULL ? IMP_OK : imp_fail(error, IMP_NOT_APPLICABLE, day->name, "the log is closed");
}

imp_status imp_day_ask(imp_day *day, const imp_answer *answer, size_t *index, imp_error *error)
{
    if (day->answer_count == day->answer_capacity) {
        const size_t capacity = day->answer_capacity > 0 ? 2 * day->answer_capacity : 16;
        imp_answer *answers = imp_resize(NULL, day->answers, capacity, sizeof *answers);
        if (answers == NULL)
            return imp_fail(error, IMP_MEMORY, NULL, "out of memory");
        day->answers = answers;
        day->answer_capacity = capacity;
    }
    day->answers[day->answer_count] = *answer;
    *index = day->answer_count++;
    return IMP_OK;
}

imp_status imp_day_ask_summary(imp_day *day, const imp_log_summary_options *options, imp_error *error)
{
    if (day->has_asked_summary)
        return IMP_OK;
    const imp_status status = imp_log_summary_ask(day->columns, options, &day->plan, &day->spraying, error);
    day->has_asked_summary = status == IMP_OK;
    return status;
}

imp_status imp_day_run(imp_day *day, imp_error *error)
{
    if (day->wants_partial)
        day->status = imp_columns_run_partial(day->columns, day->log, &day->partial, &day->partial_length, &day->error);
    else
        day->status = imp_columns_run(day->columns, day->log, &day->error);
    day->is_ran = true;
    if (day->status != IMP_OK && error != NULL)
        *error = day->error;
    return day->status;
}
