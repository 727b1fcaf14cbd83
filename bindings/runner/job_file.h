/* job_file.h — a job with the rig and material it names, read from the files. */
#ifndef IMP_RUNNER_JOB_FILE_H
#define IMP_RUNNER_JOB_FILE_H

#include "document.h"

/* Read the job at path; what it names is read beside it. Writes every fault to stderr, a line each.
 * Returns EXIT_OK with *job, to be freed with imp_node_free(job, NULL); or EXIT_INPUT or EXIT_INTERNAL. */
int job_file_read(const char *path, imp_node **job);

#endif
