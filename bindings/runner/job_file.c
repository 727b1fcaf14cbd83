#include "job_file.h"

#include <stdio.h>
#include <string.h>

#include "exit_code.h"
#include "file.h"
#include "json_scan.h"
#include "scripts_folder.h"

enum { MOST_BYTES = IMP_JSON_LONGEST };

/* Reads a file beside the job: context is the job's path. */
static imp_status load_beside(void *context, const char *name, const imp_allocator *allocator, char **text,
                              size_t *length, imp_error *error)
{
    const char *job_path = context;
    const char *slash = strrchr(job_path, '/');
    char path[FOLDER_SIZE];
    const int folder_length = slash != NULL ? (int)(slash - job_path) + 1 : 0;
    const int written = snprintf(path, sizeof path, "%.*s%s", folder_length, job_path, name);
    if (written < 0 || (size_t)written >= sizeof path)
        return imp_fail(error, IMP_LIMIT, NULL, "the file's name is too long");
    return imp_file_read(path, MOST_BYTES, allocator, text, length, error);
}

static int show_issues(imp_issues *issues, const char *path, imp_status status)
{
    imp_issues_close(issues, path);
    for (size_t i = 0; i < issues->count; i++) {
        char text[2048];
        fprintf(stderr, "%s\n", imp_issue_located_text(&issues->items[i], text, sizeof text));
    }
    return status == IMP_MEMORY || status == IMP_INTERNAL ? complain_memory() : EXIT_INPUT;
}

int job_file_read(const char *path, imp_node **job)
{
    imp_error error;
    char *text = NULL;
    size_t length = 0;
    imp_status status = imp_file_read(path, MOST_BYTES, NULL, &text, &length, &error);
    if (status != IMP_OK)
        return complain(&error, status == IMP_MEMORY ? EXIT_INTERNAL : EXIT_INPUT);
    imp_issues issues;
    char *own_path = imp_copy_text(NULL, path, strlen(path)); /* the loader's context is not const */
    const imp_document_loader loader = {.load = load_beside, .context = own_path};
    imp_issues_init(&issues, NULL);
    status =
        own_path == NULL ? IMP_MEMORY : imp_document_read(IMP_JOB, path, text, length, &loader, NULL, job, &issues);
    const int code = status == IMP_OK ? EXIT_OK : show_issues(&issues, path, status);
    imp_issues_free(&issues);
    imp_release(NULL, own_path);
    imp_release(NULL, text);
    return code;
}
