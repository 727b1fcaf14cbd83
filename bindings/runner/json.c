#include "json.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "number.h"

void json_init(json_writer *json, output *out)
{
    memset(json, 0, sizeof *json);
    json->out = out;
}

static bool is_inline(const json_writer *json)
{
    return json->inline_depth > 0 && json->depth >= json->inline_depth;
}

static void new_line(json_writer *json)
{
    output_text(json->out, "\n");
    for (int i = 0; i < json->depth; i++)
        output_text(json->out, "  ");
}

/* What stands before a value or a key. */
static void separate(json_writer *json)
{
    if (json->after_key) {
        json->after_key = false;
        return;
    }
    if (json->depth == 0)
        return;
    if (json->has_member[json->depth])
        output_text(json->out, is_inline(json) ? ", " : ",");
    json->has_member[json->depth] = true;
    if (!is_inline(json))
        new_line(json);
}

static void open_bracket(json_writer *json, const char *bracket, bool one_line)
{
    separate(json);
    output_text(json->out, bracket);
    if (json->depth + 1 < JSON_DEPTH) /* our documents are far shallower */
        json->depth++;
    json->has_member[json->depth] = false;
    if (one_line && json->inline_depth == 0)
        json->inline_depth = json->depth;
}

static void close_bracket(json_writer *json, const char *bracket)
{
    const bool one_line = is_inline(json) || !json->has_member[json->depth];
    if (json->inline_depth == json->depth)
        json->inline_depth = 0;
    json->depth--;
    if (!one_line)
        new_line(json);
    output_text(json->out, bracket);
    if (json->depth == 0)
        output_text(json->out, "\n");
}

void json_open_object(json_writer *json)
{
    open_bracket(json, "{", false);
}

void json_open_object_inline(json_writer *json)
{
    open_bracket(json, "{", true);
}

void json_open_array(json_writer *json)
{
    open_bracket(json, "[", false);
}

void json_open_array_inline(json_writer *json)
{
    open_bracket(json, "[", true);
}

void json_close_object(json_writer *json)
{
    close_bracket(json, "}");
}

void json_close_array(json_writer *json)
{
    close_bracket(json, "]");
}

/* Bytes of the well-formed UTF-8 character at text, or 0 (Unicode 15, table 3-7). */
static size_t character_length(const unsigned char *text)
{
    static const struct {
        unsigned char lead_low, lead_high, second_low, second_high;
        size_t length;
    } forms[] = {
        {0x00, 0x7F, 0x00, 0xFF, 1}, {0xC2, 0xDF, 0x80, 0xBF, 2}, {0xE0, 0xE0, 0xA0, 0xBF, 3},
        {0xE1, 0xEC, 0x80, 0xBF, 3}, {0xED, 0xED, 0x80, 0x9F, 3}, {0xEE, 0xEF, 0x80, 0xBF, 3},
        {0xF0, 0xF0, 0x90, 0xBF, 4}, {0xF1, 0xF3, 0x80, 0xBF, 4}, {0xF4, 0xF4, 0x80, 0x8F, 4},
    };
    for (size_t form = 0; form < sizeof forms / sizeof forms[0]; form++) {
        if (text[0] < forms[form].lead_low || text[0] > forms[form].lead_high)
            continue;
        if (forms[form].length == 1)
            return 1;
        if (text[1] < forms[form].second_low || text[1] > forms[form].second_high)
            return 0;
        for (size_t i = 2; i < forms[form].length; i++)
            if ((text[i] & 0xC0u) != 0x80u)
                return 0;
        return forms[form].length;
    }
    return 0;
}

static void write_text(output *out, const char *text)
{
    output_text(out, "\"");
    while (*text != '\0') {
        const unsigned char byte = (unsigned char)*text;
        const size_t length = character_length((const unsigned char *)text);
        if (length == 0)
            output_text(out, "\\ufffd");
        else if (byte == '"' || byte == '\\')
            output_format(out, "\\%c", byte);
        else if (byte == '\n')
            output_text(out, "\\n");
        else if (byte == '\t')
            output_text(out, "\\t");
        else if (byte < 0x20 || byte == 0x7F)
            output_format(out, "\\u%04x", byte);
        else
            output_bytes(out, text, length);
        text += length > 0 ? length : 1;
    }
    output_text(out, "\"");
}

void json_key(json_writer *json, const char *key)
{
    separate(json);
    write_text(json->out, key);
    output_text(json->out, ": ");
    json->after_key = true;
}

void json_text(json_writer *json, const char *text)
{
    separate(json);
    if (text == NULL)
        output_text(json->out, "null");
    else
        write_text(json->out, text);
}

void json_flag(json_writer *json, bool flag)
{
    separate(json);
    output_text(json->out, flag ? "true" : "false");
}

void json_raw(json_writer *json, const char *text)
{
    separate(json);
    output_text(json->out, text);
}

void json_number(json_writer *json, double number)
{
    char text[IMP_NUMBER_TEXT_SIZE];
    json_raw(json, isfinite(number) ? imp_number_write(number, 0, text, sizeof text) : "null");
}

void json_member_text(json_writer *json, const char *key, const char *text)
{
    json_key(json, key);
    json_text(json, text);
}
