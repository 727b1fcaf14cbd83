#include "issue.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

void imp_issues_init(imp_issues *issues, const imp_allocator *allocator)
{
    *issues = (imp_issues){.allocator = allocator};
}

static void free_issue(const imp_issues *issues, imp_issue *issue)
{
    imp_release(issues->allocator, issue->file);
    imp_release(issues->allocator, issue->place);
    imp_release(issues->allocator, issue->message);
}

void imp_issues_free(imp_issues *issues)
{
    for (size_t i = 0; i < issues->count; i++)
        free_issue(issues, &issues->items[i]);
    imp_release(issues->allocator, issues->items);
    imp_issues_init(issues, issues->allocator);
}

static imp_status keep(imp_issues *issues, imp_status status, const char *file, unsigned line, unsigned column,
                       const imp_error *error)
{
    if (issues->count == issues->capacity) {
        const size_t capacity = issues->capacity > 0 ? 2 * issues->capacity : 8;
        imp_issue *items = imp_resize(issues->allocator, issues->items, capacity, sizeof *items);
        if (items == NULL)
            return IMP_MEMORY;
        issues->items = items;
        issues->capacity = capacity;
    }
    imp_issue *issue = &issues->items[issues->count];
    issue->status = status;
    issue->line = line;
    issue->column = column;
    issue->file = imp_copy_text(issues->allocator, file, strlen(file));
    issue->place = imp_copy_text(issues->allocator, error->place, strlen(error->place));
    issue->message = imp_copy_text(issues->allocator, error->message, strlen(error->message));
    if (issue->file == NULL || issue->place == NULL || issue->message == NULL) {
        free_issue(issues, issue);
        return IMP_MEMORY;
    }
    issues->count++;
    return status;
}

imp_status imp_issues_add(imp_issues *issues, imp_status status, const char *file, unsigned line, unsigned column,
                          const char *place, const char *format, ...)
{
    if (issues->count >= IMP_MOST_ISSUES) {
        issues->left_out++;
        return status;
    }
    char message[IMP_MESSAGE_SIZE];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(message, sizeof message, format, arguments);
    va_end(arguments);
    imp_error error;
    imp_fail(&error, status, place, "%s", message); /* cuts place and message at whole characters */
    return keep(issues, status, file, line, column, &error);
}

imp_status imp_issues_close(imp_issues *issues, const char *file)
{
    if (issues->left_out == 0)
        return IMP_OK;
    imp_error error;
    imp_fail(&error, IMP_LIMIT, NULL, "%zu more faults are not listed", issues->left_out);
    return keep(issues, IMP_LIMIT, file, 0, 0, &error) == IMP_MEMORY ? IMP_MEMORY : IMP_OK;
}

char *imp_issue_text(const imp_issue *issue, char *text, size_t size)
{
    if (issue->place[0] == '\0' && issue->line > 0)
        return imp_issue_located_text(issue, text, size);
    snprintf(text, size, "%s: %s%s%s", issue->file, issue->place, issue->place[0] != '\0' ? ": " : "", issue->message);
    return text;
}

char *imp_issue_located_text(const imp_issue *issue, char *text, size_t size)
{
    char at[32] = "";
    if (issue->line > 0)
        snprintf(at, sizeof at, ":%u:%u", issue->line, issue->column);
    snprintf(text, size, "%s%s: %s%s%s", issue->file, at, issue->place, issue->place[0] != '\0' ? ": " : "",
             issue->message);
    return text;
}
