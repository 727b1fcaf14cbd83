#include "log_reader.h"

#include <string.h>

const char *imp_log_fault_key(imp_log_fault fault)
{
    static const char *const keys[] = {
#define X(identifier, key, text) key,
        IMP_LOG_FAULT_LIST(X)
#undef X
    };
    return (unsigned)fault < IMP_LOG_FAULT_COUNT ? keys[fault] : "";
}

const char *imp_log_fault_text(imp_log_fault fault)
{
    static const char *const texts[] = {
#define X(identifier, key, text) text,
        IMP_LOG_FAULT_LIST(X)
#undef X
    };
    return (unsigned)fault < IMP_LOG_FAULT_COUNT ? texts[fault] : "";
}

void imp_log_fault_add(imp_log_faults *faults, imp_log_fault fault, uint64_t line, int column)
{
    imp_log_fault_count *kind = &faults->kind[fault];
    kind->count++;
    if (kind->kept == IMP_LOG_LINES_KEPT)
        return;
    kind->line[kind->kept] = line;
    kind->column[kind->kept++] = column;
}

void imp_log_faults_append(imp_log_faults *faults, const imp_log_faults *next, uint64_t lines_before)
{
    for (int i = 0; i < IMP_LOG_FAULT_COUNT; i++) {
        imp_log_fault_count *to = &faults->kind[i];
        const imp_log_fault_count *from = &next->kind[i];
        if (from->count == 0)
            continue;
        to->count += from->count;
        for (unsigned k = 0; k < from->kept && to->kept < IMP_LOG_LINES_KEPT; k++) {
            to->line[to->kept] = from->line[k] + lines_before;
            to->column[to->kept++] = from->column[k];
        }
    }
    for (int i = 0; i < IMP_LOG_MOST_COLUMNS; i++) {
        faults->missing[i] += next->missing[i];
        faults->unreadable[i] += next->unreadable[i];
    }
    if (faults->sample[0] == '\0' && next->sample[0] != '\0') {
        memcpy(faults->sample, next->sample, sizeof faults->sample);
        faults->sample_column = next->sample_column;
    }
    faults->lines += next->lines;
    faults->rows += next->rows;
    faults->bytes += next->bytes;
}
