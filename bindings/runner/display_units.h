/* display_units.h — units to show results in: "si", "us", or a file of one's own,
 * {"impinge": 1, "kind": "units", "base": "us", "show": {"psi": "kPa"}}: what the base shows in psi is shown in kPa. */
#ifndef IMP_RUNNER_DISPLAY_UNITS_H
#define IMP_RUNNER_DISPLAY_UNITS_H

#include <stddef.h>

#include "document.h"

typedef struct display_units {
    const char *base;   /* "si", "us", or NULL: as nobody asked for anything */
    const char **pairs; /* unit that the base shows, unit to show instead, and so on */
    size_t count;       /* of both together */
    char *text;         /* holds the pairs */
} display_units;

/* Units as `given` on the command line, else as the job (which may be NULL) asks for; a file that the job names lies beside it.
 * Returns the exit code; anything wrong has been told. display_units_free is due in every case. */
int display_units_find(const char *given, const char *job_path, const imp_node *job, display_units *units);
void display_units_free(display_units *units);

#endif
