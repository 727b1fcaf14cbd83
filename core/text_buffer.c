#include "text_buffer.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "number.h"

void imp_text_init(imp_text *text, const imp_allocator *allocator)
{
    memset(text, 0, sizeof *text);
    text->allocator = allocator;
}

void imp_text_free(imp_text *text)
{
    imp_release(text->allocator, text->text);
    imp_text_init(text, text->allocator);
}

static bool make_room(imp_text *text, size_t more)
{
    if (text->failed)
        return false;
    if (text->length + more + 1 <= text->capacity)
        return true;
    size_t capacity = text->capacity > 0 ? text->capacity : 1024;
    while (capacity < text->length + more + 1)
        capacity *= 2;
    char *grown = imp_resize(text->allocator, text->text, capacity, 1);
    if (grown == NULL) {
        text->failed = true;
        return false;
    }
    text->text = grown;
    text->capacity = capacity;
    return true;
}

static void add_bytes(imp_text *text, const char *bytes, size_t count)
{
    if (!make_room(text, count))
        return;
    memcpy(text->text + text->length, bytes, count);
    text->length += count;
    text->text[text->length] = '\0';
}

void imp_text_add(imp_text *text, const char *piece)
{
    add_bytes(text, piece, strlen(piece));
}

void imp_text_format(imp_text *text, const char *format, ...)
{
    char piece[512];
    va_list arguments;
    va_start(arguments, format);
    const int length = vsnprintf(piece, sizeof piece, format, arguments);
    va_end(arguments);
    if (length < 0 || (size_t)length >= sizeof piece)
        text->failed = true;
    else
        add_bytes(text, piece, (size_t)length);
}

void imp_text_number(imp_text *text, double value)
{
    char number[IMP_NUMBER_TEXT_SIZE];
    imp_text_add(text, isfinite(value) ? imp_number_write(value, 0, number, sizeof number) : "null");
}

void imp_text_string(imp_text *text, const char *string)
{
    imp_text_add(text, "\"");
    for (; *string != '\0'; string++) {
        if (*string == '"' || *string == '\\')
            imp_text_format(text, "\\%c", *string);
        else if ((unsigned char)*string < ' ')
            imp_text_format(text, "\\u%04x", (unsigned)(unsigned char)*string);
        else
            add_bytes(text, string, 1);
    }
    imp_text_add(text, "\"");
}
