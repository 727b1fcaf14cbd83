/* status.h — how the core says that something went wrong.
 *
 * Every function that can fail returns an imp_status, writes its results last, and leaves them untouched on
 * failure. The error it fills, if the caller passed one, is one sentence for a person: the place (an input's
 * name or a dotted path) and the reason. Nothing is printed, no global is set, errno is not used. */
#ifndef IMP_STATUS_H
#define IMP_STATUS_H

#define IMP_STATUS_LIST(X)                                                                                             \
    X(IMP_OK, "ok")                                                                                                    \
    X(IMP_RANGE, "out of range")                                                                                       \
    X(IMP_MISSING, "missing input")                                                                                    \
    X(IMP_UNKNOWN, "unknown name")                                                                                     \
    X(IMP_DIMENSION_MISMATCH, "wrong kind of quantity")                                                                \
    X(IMP_SYNTAX, "not readable")                                                                                      \
    X(IMP_TYPE, "wrong type")                                                                                          \
    X(IMP_NO_SOLUTION, "no solution")                                                                                  \
    X(IMP_NOT_APPLICABLE, "does not apply")                                                                            \
    X(IMP_MEMORY, "out of memory")                                                                                     \
    X(IMP_IO, "input or output failed")                                                                                \
    X(IMP_LIMIT, "a limit of this program was reached")                                                                \
    X(IMP_SCRIPT, "script error")                                                                                      \
    X(IMP_INTERNAL, "internal error")

typedef enum imp_status {
#define X(name, text) name,
    IMP_STATUS_LIST(X)
#undef X
} imp_status;

enum { IMP_PLACE_SIZE = 160, IMP_MESSAGE_SIZE = 480 };

typedef struct imp_error {
    imp_status status;
    char place[IMP_PLACE_SIZE];     /* input name or dotted path; empty when the whole call is meant */
    char message[IMP_MESSAGE_SIZE]; /* the reason, without the place, no full stop */
} imp_error;

/* The text of a status, for logs; a static string, never NULL. */
const char *imp_status_text(imp_status status);

/* Fill error (may be NULL) and return status, so that a check reads `return imp_fail(error, IMP_RANGE, ...)`.
 * Over-long text is cut at a whole UTF-8 character. place may be NULL. */
#if defined(__GNUC__)
__attribute__((format(printf, 4, 5)))
#endif
imp_status imp_fail(imp_error *error, imp_status status, const char *place, const char *format, ...);

/* Put `prefix` and `separator` before the error's place: "relative_humidity" becomes "climate.dew_point: relative_humidity". */
void imp_error_prefix(imp_error *error, const char *prefix, const char *separator);

/* "place: message" (or the message alone) into text, always terminated. Returns text. */
char *imp_error_text(const imp_error *error, char *text, unsigned long size);

#endif
