#include "json_text.h"

#include <stdbool.h>
#include <string.h>

/* Bytes of the character at the start, or 0 when it is not well formed. */
static size_t character_length(const unsigned char *text, size_t length)
{
    const unsigned char lead = text[0];
    if (lead < 0x80)
        return 1;
    const size_t wanted = lead >= 0xF0 ? 4 : lead >= 0xE0 ? 3 : 2;
    if (lead < 0xC2 || lead > 0xF4 || wanted > length)
        return 0;
    for (size_t i = 1; i < wanted; i++)
        if ((text[i] & 0xC0u) != 0x80u)
            return 0;
    const unsigned char second = text[1];
    if ((lead == 0xE0 && second < 0xA0) || (lead == 0xED && second > 0x9F) || (lead == 0xF0 && second < 0x90) ||
        (lead == 0xF4 && second > 0x8F))
        return 0;
    return wanted;
}

size_t imp_utf8_prefix(const unsigned char *text, size_t length)
{
    size_t at = 0;
    while (at < length) {
        const size_t more = character_length(text + at, length - at);
        if (more == 0)
            break;
        at += more;
    }
    return at;
}

static size_t encode(unsigned code, char *to)
{
    if (code < 0x80) {
        to[0] = (char)code;
        return 1;
    }
    const size_t length = code < 0x800 ? 2 : code < 0x10000 ? 3 : 4;
    static const unsigned leads[] = {0, 0, 0xC0u, 0xE0u, 0xF0u};
    for (size_t i = length - 1; i > 0; i--, code >>= 6)
        to[i] = (char)(0x80u | (code & 0x3Fu));
    to[0] = (char)(leads[length] | code);
    return length;
}

/* A string being read. */
typedef struct reader {
    const unsigned char *text;
    size_t length, at;
} reader;

static bool read_hex(const reader *r, size_t at, unsigned *code)
{
    *code = 0;
    if (at > r->length || r->length - at < 4)
        return false;
    for (size_t i = 0; i < 4; i++) {
        static const char digits[] = "0123456789abcdef0123456789ABCDEF";
        const char *digit = r->text[at + i] != '\0' ? strchr(digits, r->text[at + i]) : NULL;
        if (digit == NULL)
            return false;
        *code = *code * 16 + (unsigned)((digit - digits) % 16);
    }
    return true;
}

/* \uXXXX, r->at on its backslash; a pair of surrogates is one character. NULL or what is wrong. */
static const char *read_code(reader *r, unsigned *code)
{
    unsigned low = 0;
    if (!read_hex(r, r->at + 2, code))
        return "expected four hexadecimal digits behind \\u";
    if (*code == 0)
        return "\\u0000 is not allowed in a text";
    if (*code < 0xD800 || *code > 0xDFFF) {
        r->at += 6;
        return NULL;
    }
    const size_t next = r->at + 6;
    const bool escape_follows = r->length - next >= 6 && r->text[next] == '\\' && r->text[next + 1] == 'u';
    if (*code > 0xDBFF || !escape_follows || !read_hex(r, next + 2, &low) || low < 0xDC00 || low > 0xDFFF)
        return "half a surrogate pair; a \\uD83D needs its \\uDE00 behind it";
    *code = 0x10000u + ((*code - 0xD800u) << 10) + (low - 0xDC00u);
    r->at += 12;
    return NULL;
}

/* The escape at r->at; what it stands for goes to `to`. NULL or what is wrong. */
static const char *read_escape(reader *r, char *to, size_t *written)
{
    static const char letters[] = "\"\\/bfnrt", meanings[] = "\"\\/\b\f\n\r\t";
    const unsigned char kind = r->at + 1 < r->length ? r->text[r->at + 1] : '\0';
    if (kind == 'u') {
        unsigned code = 0;
        const char *message = read_code(r, &code);
        if (message == NULL)
            *written = encode(code, to);
        return message;
    }
    const char *letter = kind != '\0' ? strchr(letters, kind) : NULL;
    if (letter == NULL)
        return "a backslash in a text must begin one of \\\" \\\\ \\/ \\b \\f \\n \\r \\t \\u";
    to[0] = meanings[letter - letters];
    *written = 1;
    r->at += 2;
    return NULL;
}

static const char *refuse_control(unsigned char c)
{
    return c == '\n' || c == '\r' ? "the line ends inside a text; close it with a quote, or write \\n"
                                  : "a control character in a text; write it as \\t or \\u00XX";
}

const char *imp_json_string(const unsigned char *text, size_t length, size_t *at, char *to, size_t *written)
{
    reader r = {text, length, *at + 1};
    *written = 0;
    while (r.at < length && text[r.at] != '"') {
        char decoded[4];
        size_t more = 1;
        const char *message = NULL;
        if (text[r.at] < 0x20)
            message = refuse_control(text[r.at]);
        else if (text[r.at] == '\\')
            message = read_escape(&r, decoded, &more);
        else
            decoded[0] = (char)text[r.at++];
        if (message != NULL) {
            *at = r.at;
            return message;
        }
        if (to != NULL)
            memcpy(to + *written, decoded, more);
        *written += more;
    }
    if (r.at >= length)
        return "the file ends inside the text that begins here";
    *at = r.at + 1;
    return NULL;
}
