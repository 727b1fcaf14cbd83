/* impinge list: the calculations by room; as JSON the whole interface, commands included. */
#include <ctype.h>
#include <stdio.h>
#include <string.h>

#include "calculation.h"
#include "calculation_file.h"
#include "commands.h"
#include "exit_code.h"
#include "module.h"
#include "rooms.h"

static const char stock_title[] = "Calculators made of these";

/* The calculators that come with the program. */
typedef struct stock {
    calculation *list;
    size_t count;
} stock;

static bool same_letter(char a, char b)
{
    return tolower((unsigned char)a) == tolower((unsigned char)b);
}

/* Whether a text has a word in it, small or capital letters alike. */
static bool mentions_word(const char *text, const char *word)
{
    for (; text != NULL && *text != '\0'; text++) {
        size_t i = 0;
        while (word[i] != '\0' && same_letter(text[i], word[i]))
            i++;
        if (word[i] == '\0')
            return true;
    }
    return false;
}

static bool rows_mention(const imp_param *rows, size_t count, const char *word)
{
    for (size_t i = 0; i < count; i++)
        if (mentions_word(rows[i].name, word) || mentions_word(rows[i].help, word))
            return true;
    return false;
}

static bool mentions(const imp_calc *calc, const options *given)
{
    for (size_t i = 0; i < given->positional_count; i++) {
        const char *word = given->positional[i];
        if (word[0] != '\0' && !mentions_word(calc->id, word) && !mentions_word(calc->title, word) &&
            !mentions_word(imp_room_title(calc->id) != NULL ? imp_room_title(calc->id) : stock_title, word) && !rows_mention(calc->inputs, calc->input_count, word) &&
            !rows_mention(calc->outputs, calc->output_count, word))
            return false;
    }
    return true;
}

/* Column in which the titles stand. */
static int title_column(const options *given, const stock *own)
{
    size_t width = 0;
    const imp_calc *calc;
    for (size_t i = 0; (calc = imp_catalogue_at(i)) != NULL; i++)
        if (mentions(calc, given) && strlen(calc->id) > width)
            width = strlen(calc->id);
    for (size_t i = 0; i < own->count; i++)
        if (mentions(own->list[i].calc, given) && strlen(own->list[i].word) > width)
            width = strlen(own->list[i].word);
    return (int)width + 2;
}

static bool same_room(const imp_calc *a, const imp_calc *b)
{
    const int length = room_length(a->id);
    return length == room_length(b->id) && memcmp(a->id, b->id, (size_t)length) == 0;
}

/* Returns whether any is mentioned. */
static bool write_stock(const options *given, const stock *own, output *out, int column, bool first)
{
    bool any = false;
    for (size_t i = 0; i < own->count; i++) {
        if (!mentions(own->list[i].calc, given))
            continue;
        if (!any) {
            output_text(out, first ? "" : "\n");
            output_heading(out, stock_title);
        }
        output_format(out, "  %-*s%s\n", column, own->list[i].word, own->list[i].calc->title);
        any = true;
    }
    return any;
}

static void write_text(const options *given, const stock *own, output *out)
{
    const int column = title_column(given, own);
    const imp_calc *calc, *before = NULL;
    for (size_t i = 0; (calc = imp_catalogue_at(i)) != NULL; i++) {
        if (!mentions(calc, given))
            continue;
        if (before == NULL || !same_room(before, calc)) {
            output_text(out, before != NULL ? "\n" : "");
            output_heading(out, imp_room_title(calc->id));
        }
        output_format(out, "  %-*s%s\n", column, calc->id, calc->title);
        before = calc;
    }
    if (!write_stock(given, own, out, column, before == NULL) && before == NULL)
        fputs("impinge: no calculation mentions all of that; \"impinge list\" shows them all\n", stderr);
}

/* ---- JSON ---- */

static void option_json(json_writer *json, const option_row *row)
{
    static const char *const kinds[] = {
        [OPTION_FLAG] = "flag", [OPTION_CHOICE] = "choice", [OPTION_NUMBER] = "number",
        [OPTION_FILE] = "file", [OPTION_TEXT] = "text"};
    const char letter[2] = {row->letter, '\0'};
    json_open_object_inline(json);
    json_member_text(json, "name", row->name);
    if (row->letter != 0)
        json_member_text(json, "letter", letter);
    json_member_text(json, "kind", kinds[row->kind]);
    if (row->value != NULL)
        json_member_text(json, "value", row->value);
    if (row->choices != NULL) {
        json_key(json, "choices");
        json_open_array(json);
        for (size_t i = 0; row->choices[i] != NULL; i++)
            json_text(json, row->choices[i]);
        json_close_array(json);
    }
    if (row->choices != NULL && !row->no_default)
        json_member_text(json, "default", row->choices[0]);
    if (row->fallback != NULL) {
        json_key(json, "default");
        json_number(json, row->fallback());
    }
    json_key(json, "repeats");
    json_flag(json, row->repeats);
    json_member_text(json, "help", row->help);
    json_close_object(json);
}

static void options_json(json_writer *json, unsigned bit)
{
    json_key(json, "options");
    json_open_array(json);
    for (const option_row *row = option_rows(); row->name != NULL; row++)
        if ((row->commands & bit) != 0)
            option_json(json, row);
    json_close_array(json);
}

static void commands_json(json_writer *json)
{
    json_key(json, "commands");
    json_open_array(json);
    for (const command_row *row = command_rows(); row->name != NULL; row++) {
        json_open_object(json);
        json_member_text(json, "name", row->name);
        json_member_text(json, "arguments", row->arguments);
        json_member_text(json, "summary", row->summary);
        json_member_text(json, "description", row->description);
        json_member_text(json, "examples", row->examples);
        options_json(json, row->bit);
        json_close_object(json);
    }
    json_close_array(json);
    options_json(json, IN_PROGRAM);
}

static void write_json(const options *given, const stock *own, output *out)
{
    json_writer json;
    const imp_calc *calc;
    json_init(&json, out);
    json_open_object(&json);
    json_key(&json, "impinge");
    json_raw(&json, "1");
    json_member_text(&json, "version", IMP_VERSION);
    json_key(&json, "api_level");
    json_number(&json, IMP_API_LEVEL);
    if (given->positional_count == 0)
        commands_json(&json);
    json_key(&json, "calculations");
    json_open_array(&json);
    for (size_t i = 0; (calc = imp_catalogue_at(i)) != NULL; i++)
        if (mentions(calc, given))
            calculation_json(&json, calc, NULL);
    json_close_array(&json);
    json_key(&json, "calculators");
    json_open_array(&json);
    for (size_t i = 0; i < own->count; i++)
        if (mentions(own->list[i].calc, given))
            calculation_json(&json, own->list[i].calc, NULL);
    json_close_array(&json);
    json_close_object(&json);
}

int command_list(const options *given, output *out)
{
    stock own = {NULL, 0};
    const int code = stock_calculations(given, &own.list, &own.count);
    if (code != EXIT_OK)
        return code;
    if (strcmp(options_text(given, OPTION_FORMAT), "json") == 0)
        write_json(given, &own, out);
    else
        write_text(given, &own, out);
    stock_calculations_free(own.list, own.count);
    return EXIT_OK;
}
