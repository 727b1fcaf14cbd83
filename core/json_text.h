/* json_text.h — UTF-8, and the strings of JSON; private to the document room. */
#ifndef IMP_JSON_TEXT_H
#define IMP_JSON_TEXT_H

#include <stddef.h>

/* Bytes from the start that are well-formed UTF-8 (RFC 3629: no overlong forms, no surrogates): length when all are. */
size_t imp_utf8_prefix(const unsigned char *text, size_t length);

/* Read the string whose opening quote stands at *at, and move *at behind its closing quote. Decoded text goes to `to`
 * where that is not NULL: never more bytes than were read, not terminated; *written receives how many.
 * NULL, or what is wrong (a static text) with *at on the fault. The text must be UTF-8. */
const char *imp_json_string(const unsigned char *text, size_t length, size_t *at, char *to, size_t *written);

#endif
