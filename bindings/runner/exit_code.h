/* exit_code.h — what `impinge` tells the shell. The same for every command. */
#ifndef IMP_RUNNER_EXIT_CODE_H
#define IMP_RUNNER_EXIT_CODE_H

#include "status.h"

enum {
    EXIT_OK = 0,      /* done; a check's verdict is go */
    EXIT_CAUTION = 1, /* the verdict is caution */
    EXIT_STOP = 2,    /* the verdict is stop or not known; a declared case failed */
    EXIT_USAGE = 3,   /* something on the command line is wrong */
    EXIT_INPUT = 4,   /* a file is missing or has faults */
    EXIT_SCRIPT = 5,  /* a script failed */
    EXIT_LIMIT = 6,   /* a script used up its budget */
    EXIT_INTERNAL = 7 /* out of memory, output not writable, or a fault of ours */
};

/* Exit code of a failure while a script runs. */
int exit_code_of_script(imp_status status);
/* Exit code of a failure in what was typed. */
int exit_code_of_argument(imp_status status);

/* Write "place: message" (or "impinge: message" without a place) as one line to stderr; returns `code`. */
int complain(const imp_error *error, int code);
/* The same for lack of memory; returns EXIT_INTERNAL. */
int complain_memory(void);

#endif
