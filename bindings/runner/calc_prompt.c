/* Asking for the inputs that were not given on the command line. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "argument.h"
#include "calc_job.h"
#include "calculation.h"

/* "area: above 0 m^2, up to 10000 m^2 (the wall to be sprayed)" */
static void write_question(const imp_param *row)
{
    char allowed[1024];
    fprintf(stderr, "%s: %s%s%s%s\n  %s = ", row->name, allowed_text(row, allowed, sizeof allowed), row->help != NULL ? " (" : "",
            row->help != NULL ? row->help : "", row->help != NULL ? ")" : "", row->name);
    fflush(stderr);
}

/* Ask until the answer can be read. IMP_MISSING at the end of the input. */
static imp_status ask(calc_job *job, const imp_param *row, imp_value *value, imp_error *error)
{
    char *line = NULL;
    size_t size = 0;
    imp_status status = IMP_MISSING;
    while (status != IMP_OK) {
        write_question(row);
        const ssize_t length = getline(&line, &size, stdin);
        if (length < 0) {
            fputc('\n', stderr);
            status = imp_fail(error, IMP_MISSING, job->calc->id, "missing %s", row->name);
            break;
        }
        line[strcspn(line, "\r\n")] = '\0';
        status = imp_argument_read(row, line, &job->arena, value, error);
        if (status == IMP_OK)
            break;
        char text[IMP_PLACE_SIZE + IMP_MESSAGE_SIZE + 4];
        fprintf(stderr, "  %s\n", imp_error_text(error, text, sizeof text));
    }
    free(line);
    return status;
}

imp_status calc_prompt(calc_job *job, imp_error *error)
{
    if (isatty(STDIN_FILENO) != 1 || isatty(STDERR_FILENO) != 1)
        return IMP_OK;
    for (size_t i = 0; i < job->calc->input_count; i++) {
        const imp_param *row = &job->calc->inputs[i];
        if (job->in[i].given || row->presence != IMP_REQUIRED || i == job->unknown)
            continue;
        const imp_status status = ask(job, row, &job->in[i], error);
        if (status != IMP_OK)
            return status;
    }
    return IMP_OK;
}
