/* fuzz.h — what the fuzz targets share. A target is one function, LLVMFuzzerTestOneInput, that aborts when a promise is
 * broken. libFuzzer drives it for long (run.sh); driver.c replays the corpus and changes it a little in every test run. */
#ifndef IMP_FUZZ_H
#define IMP_FUZZ_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "status.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* Words that driver.c weaves into its inputs, ended by NULL; libFuzzer finds its own. */
extern const char *const fuzz_words[];

/* The input as a supply of bytes, zeros behind its end. */
typedef struct fuzz_supply {
    const uint8_t *at;
    size_t left;
} fuzz_supply;

static inline uint8_t take_byte(fuzz_supply *supply)
{
    if (supply->left == 0)
        return 0;
    supply->left--;
    return *supply->at++;
}

static inline void take_bytes(fuzz_supply *supply, void *to, size_t count)
{
    uint8_t *bytes = to;
    for (size_t i = 0; i < count; i++)
        bytes[i] = take_byte(supply);
}

static inline double take_double(fuzz_supply *supply)
{
    double value;
    take_bytes(supply, &value, sizeof value);
    return value;
}

/* Up to the next line end; *length may be 0. False when nothing is left. */
static inline bool take_line(fuzz_supply *supply, const char **line, size_t *length)
{
    if (supply->left == 0)
        return false;
    const uint8_t *end = memchr(supply->at, '\n', supply->left);
    *line = (const char *)supply->at;
    *length = end != NULL ? (size_t)(end - supply->at) : supply->left;
    supply->at += *length;
    supply->left -= *length;
    if (end != NULL) {
        supply->at++;
        supply->left--;
    }
    return true;
}

/* To the descriptor: a target may have silenced stderr. */
#define require(condition, sentence)                                                                                   \
    do {                                                                                                               \
        static const char broken_[] = "\nbroken promise: " sentence "\n";                                              \
        if (!(condition)) {                                                                                            \
            if (write(2, broken_, sizeof broken_ - 1) > 0)                                                             \
                abort();                                                                                               \
            abort();                                                                                                   \
        }                                                                                                              \
    } while (0)

/* A failure says why, in whole UTF-8 characters and within its place. */
static inline void require_error(imp_status status, const imp_error *error)
{
    require(error->status == status, "the error has the status that was returned");
    require(memchr(error->message, '\0', sizeof error->message) != NULL && error->message[0] != '\0',
            "a failure comes with a sentence");
    require(memchr(error->place, '\0', sizeof error->place) != NULL, "the place of an error ends");
    require(status != IMP_INTERNAL, "no input leads to an internal error");
}

#endif
