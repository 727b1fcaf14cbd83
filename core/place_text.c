#include "place_text.h"

#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#include "status.h"

char *imp_shown_text(const char *text, size_t length, size_t most, char *shown)
{
    size_t kept = length;
    if (kept > most)
        for (kept = most; kept > 0 && ((unsigned char)text[kept] & 0xC0u) == 0x80u; kept--)
            continue;
    for (size_t i = 0; i < kept; i++)
        shown[i] = (unsigned char)text[i] < 0x20 || text[i] == 0x7f ? ' ' : text[i];
    snprintf(shown + kept, 4, "%s", kept < length ? "..." : "");
    return shown;
}

static bool is_word(const char *key, size_t length)
{
    for (size_t i = 0; i < length; i++) {
        const char c = key[i];
        if (!((c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' || c == '$' ||
              c == '-'))
            return false;
    }
    return length > 0 && length <= 40;
}

void imp_path_append_key(char *path, const char *key, size_t length)
{
    char shown[48];
    const size_t used = strlen(path);
    const char *dot = used > 0 ? "." : "", *quote = is_word(key, length) ? "" : "\"";
    snprintf(path + used, IMP_PLACE_SIZE - used, "%s%s%s%s", dot, quote, imp_shown_text(key, length, 40, shown), quote);
}

void imp_path_append_item(char *path, size_t number)
{
    const size_t used = strlen(path);
    snprintf(path + used, IMP_PLACE_SIZE - used, "[%zu]", number);
}
