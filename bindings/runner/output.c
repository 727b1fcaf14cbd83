#include "output.h"

#include <errno.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "file.h"
#include "memory.h"

static bool wants_color(const char *path, const char *color)
{
    if (strcmp(color, "auto") != 0)
        return strcmp(color, "always") == 0;
    const char *refused = getenv("NO_COLOR"); /* https://no-color.org: any text that is not empty */
    if (refused != NULL && refused[0] != '\0')
        return false;
    return path == NULL && isatty(STDOUT_FILENO) == 1;
}

void output_init(output *out, const char *path, const char *color)
{
    memset(out, 0, sizeof *out);
    out->color = wants_color(path, color);
}

void output_free(output *out)
{
    imp_release(NULL, out->text);
    out->text = NULL;
    out->length = out->capacity = 0;
}

static bool make_room(output *out, size_t more)
{
    if (more <= out->capacity - out->length)
        return true;
    size_t capacity = out->capacity > 0 ? out->capacity : 4096;
    while (capacity - out->length < more) {
        if (capacity > (size_t)-1 / 2)
            return false;
        capacity *= 2;
    }
    char *text = imp_resize(NULL, out->text, capacity, 1);
    if (text == NULL)
        return false;
    out->text = text;
    out->capacity = capacity;
    return true;
}

/* Everything to stdout; remembers why that was not possible. */
static void pass_on(output *out, const char *text, size_t length)
{
    while (length > 0 && !out->reader_gone && out->write_failure == 0) {
        const ssize_t written = write(STDOUT_FILENO, text, length);
        if (written >= 0) {
            text += written;
            length -= (size_t)written;
        } else if (errno == EPIPE) {
            out->reader_gone = true;
        } else if (errno != EINTR) {
            out->write_failure = errno;
        }
    }
}

void output_flush(output *out)
{
    pass_on(out, out->text, out->length);
    out->length = 0;
}

void output_bytes(output *out, const char *text, size_t length)
{
    if (length == 0 || out->out_of_memory)
        return;
    if (!make_room(out, length)) {
        out->out_of_memory = true;
        return;
    }
    memcpy(out->text + out->length, text, length);
    out->length += length;
    if (out->passes_on && (out->length > 65536 || memchr(text, '\n', length) != NULL))
        output_flush(out);
}

void output_text(output *out, const char *text)
{
    output_bytes(out, text, strlen(text));
}

void output_format(output *out, const char *format, ...)
{
    char text[1024];
    va_list arguments;
    va_start(arguments, format);
    const int length = vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    if (length >= 0 && (size_t)length < sizeof text) {
        output_bytes(out, text, (size_t)length);
        return;
    }
    if (length < 0 || out->out_of_memory || !make_room(out, (size_t)length + 1)) {
        out->out_of_memory = true;
        return;
    }
    va_start(arguments, format);
    vsnprintf(out->text + out->length, (size_t)length + 1, format, arguments);
    va_end(arguments);
    out->length += (size_t)length;
    if (out->passes_on)
        output_flush(out);
}

void output_heading(output *out, const char *text)
{
    output_text(out, out->color ? "\033[1m" : "");
    output_text(out, text);
    output_text(out, out->color ? "\033[0m\n" : "\n");
}

size_t text_width(const char *text)
{
    size_t width = 0;
    for (; *text != '\0'; text++)
        width += ((unsigned char)*text & 0xC0u) != 0x80u;
    return width;
}

static void wrap_line(output *out, const char *lead, const char **text, size_t width)
{
    output_text(out, lead);
    size_t used = text_width(lead);
    for (bool first = true; **text != '\0' && **text != '\n'; first = false) {
        *text += strspn(*text, " ");
        const size_t bytes = strcspn(*text, " \n");
        size_t columns = 0;
        for (size_t i = 0; i < bytes; i++)
            columns += ((unsigned char)(*text)[i] & 0xC0u) != 0x80u;
        if (bytes == 0 || (!first && used + 1 + columns > width))
            break;
        output_text(out, first ? "" : " ");
        output_bytes(out, *text, bytes);
        used += columns + (first ? 0 : 1);
        *text += bytes;
    }
    output_text(out, "\n");
}

void output_wrapped(output *out, const char *first, const char *rest, const char *text, size_t width)
{
    const char *lead = first;
    do {
        wrap_line(out, lead, &text, width);
        text += strspn(text, " ");
        if (*text == '\n')
            text++;
        lead = rest;
    } while (*text != '\0');
}

imp_status output_finish(output *out, const char *path, imp_error *error)
{
    if (out->out_of_memory)
        return imp_fail(error, IMP_MEMORY, NULL, "out of memory; close other programs or work on less at once");
    if (path != NULL)
        return imp_file_write_atomic(path, out->text != NULL ? out->text : "", out->length, error);
    output_flush(out);
    if (out->write_failure != 0)
        return imp_fail(error, IMP_IO, NULL, "the output could not be written: %s", strerror(out->write_failure));
    return IMP_OK;
}
