/* place_text.h — places and found text in messages about files; private to the document room. */
#ifndef IMP_PLACE_TEXT_H
#define IMP_PLACE_TEXT_H

#include <stddef.h>

/* Append a key to the dotted path in `path` (IMP_PLACE_SIZE bytes), or a list item's number, counted from 1. A key that
 * is not a plain word is quoted and cut. */
void imp_path_append_key(char *path, const char *key, size_t length);
void imp_path_append_item(char *path, size_t number);

/* Copy text for a message: control characters as spaces, at most `most` bytes and "..." behind when it is cut, at a
 * whole character. size > most + 3. Returns shown. */
char *imp_shown_text(const char *text, size_t length, size_t most, char *shown);

#endif
