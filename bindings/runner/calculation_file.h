/* calculation_file.h — the calculation that a word of the command line means: an entry of the catalogue, a calculator in
 * a file of one's own, or one of those that come with the program. */
#ifndef IMP_RUNNER_CALCULATION_FILE_H
#define IMP_RUNNER_CALCULATION_FILE_H

#include "catalogue.h"
#include "options.h"
#include "sandbox.h"

typedef struct calculation {
    const imp_calc *calc;
    imp_script *script; /* of a declared one, with its budget; NULL for the catalogue's */
    const char *word;   /* as it is called on the command line */
    char file[64];      /* of a stock calculator: "foam_estimate"; word points to it */
} calculation;

/* Open what `word` means: a file when it ends in .lua or exists, else an id. Returns EXIT_OK, or complains and returns
 * the exit code. What the file prints goes to stderr. */
int calculation_open(const options *given, const char *word, calculation *opened);
void calculation_close(calculation *opened);

/* Exit code of a failure while it was evaluated. */
int calculation_exit_code(const calculation *opened, imp_status status);

/* All calculators that come with the program, sorted by id; to be closed one by one and then freed. EXIT_OK, or complains
 * and returns the exit code. */
int stock_calculations(const options *given, calculation **list, size_t *count);
void stock_calculations_free(calculation *list, size_t count);

#endif
