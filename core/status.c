#include "status.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

static const char *const status_texts[] = {
#define X(name, text) text,
    IMP_STATUS_LIST(X)
#undef X
};

const char *imp_status_text(imp_status status)
{
    const size_t index = (size_t)status;
    return index < sizeof status_texts / sizeof status_texts[0] ? status_texts[index] : "unknown status";
}

/* Remove a UTF-8 character that the end of a full buffer has cut in two. */
static void trim_partial_character(char *text)
{
    const size_t length = strlen(text);
    size_t start = length;
    while (start > 0 && length - start < 4 && ((unsigned char)text[start - 1] & 0xC0u) == 0x80u)
        start--;
    if (start == 0)
        return;
    const unsigned char lead = (unsigned char)text[start - 1];
    const size_t wanted = lead >= 0xF0u ? 4 : lead >= 0xE0u ? 3 : lead >= 0xC0u ? 2 : 1;
    if (wanted > length - start + 1)
        text[start - 1] = '\0';
}

imp_status imp_fail(imp_error *error, imp_status status, const char *place, const char *format, ...)
{
    if (error == NULL)
        return status;
    char message[IMP_MESSAGE_SIZE]; /* built apart: an argument may be the old message */
    char where[IMP_PLACE_SIZE];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(message, sizeof message, format, arguments);
    va_end(arguments);
    snprintf(where, sizeof where, "%s", place != NULL ? place : "");
    trim_partial_character(message);
    trim_partial_character(where);
    error->status = status;
    memcpy(error->message, message, sizeof message);
    memcpy(error->place, where, sizeof where);
    return status;
}

void imp_error_prefix(imp_error *error, const char *prefix, const char *separator)
{
    if (error == NULL)
        return;
    char place[IMP_PLACE_SIZE];
    const char *between = error->place[0] != '\0' ? separator : "";
    const int written = snprintf(place, sizeof place, "%s%s%s", prefix, between, error->place);
    if (written >= (int)sizeof place)
        trim_partial_character(place);
    memcpy(error->place, place, sizeof place);
}

char *imp_error_text(const imp_error *error, char *text, unsigned long size)
{
    const char *separator = error->place[0] != '\0' ? ": " : "";
    const int written = snprintf(text, size, "%s%s%s", error->place, separator, error->message);
    if (size > 0 && written >= (int)size)
        trim_partial_character(text);
    return text;
}
