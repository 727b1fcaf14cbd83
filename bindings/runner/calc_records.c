/* Filling the records that a calculation asks for from a job: --job JOB.json. */
#include <string.h>

#include "calc_job.h"
#include "record_value.h"

static const imp_node *record_of(const imp_node *document, const imp_param *row)
{
    for (size_t i = 0; i < document->count; i++) {
        const imp_node *node = &document->children[i];
        const bool is_record = node->kind == IMP_RECORD || node->kind == IMP_FILE_OR_RECORD;
        if (is_record && strcmp(node->row->name, row->name) == 0)
            return node;
    }
    return NULL;
}

/* A required record that the job lacks is taken as an empty one: the calculation then names the fields it needs. */
static imp_status take_record(calc_job *job, const imp_node *node, const imp_param *row, imp_value *value, imp_error *error)
{
    char currency[4] = "";
    size_t count = 0;
    if (!node->given && row->presence != IMP_REQUIRED)
        return IMP_OK;
    while (row->rows[count].name != NULL)
        count++;
    imp_value *fields = imp_arena_allocate(&job->arena, count + 1, sizeof *fields);
    if (fields == NULL)
        return imp_fail(error, IMP_MEMORY, NULL, "out of memory");
    const imp_status status = imp_record_fields(node, row->rows, &job->arena, fields, currency, error);
    if (status != IMP_OK) {
        imp_error_prefix(error, row->name, ".");
        return status;
    }
    *value = (imp_value){.items = fields, .count = count, .given = true};
    memcpy(value->currency, currency, sizeof value->currency);
    return IMP_OK;
}

imp_status calc_take_job(calc_job *job, imp_error *error)
{
    bool takes_records = false;
    if (job->document == NULL)
        return IMP_OK;
    for (size_t i = 0; i < job->calc->input_count; i++) {
        const imp_param *row = &job->calc->inputs[i];
        const imp_node *node = row->kind == IMP_RECORD ? record_of(job->document, row) : NULL;
        if (node == NULL)
            continue;
        takes_records = true;
        const imp_status status = job->in[i].given ? IMP_OK : take_record(job, node, row, &job->in[i], error);
        if (status != IMP_OK)
            return status;
    }
    if (!takes_records)
        return imp_fail(error, IMP_NOT_APPLICABLE, "--job", "%s asks for no record of a job", job->calc->id);
    return IMP_OK;
}
