#include "options.h"

#include <stdio.h>
#include <string.h>

#include "memory.h"
#include "number.h"

enum { PLACE_SIZE = 64 };

typedef struct parser {
    int argc;
    char **argv;
    int at;
    unsigned bit;           /* of the command, or IN_PROGRAM */
    char place[PLACE_SIZE]; /* "impinge calc" */
    options *parsed;
    imp_error *error;
} parser;

static imp_status refuse_command(parser *parse, const char *name)
{
    const char *nearest = NULL;
    int least = (int)(strlen(name) / 3) + 2;
    for (const command_row *row = command_rows(); row->name != NULL; row++) {
        const int distance = imp_name_distance(row->name, name, least);
        if (distance < least) {
            least = distance;
            nearest = row->name;
        }
    }
    if (nearest != NULL)
        return imp_fail(parse->error, IMP_UNKNOWN, parse->place, "unknown command \"%s\"; did you mean \"%s\"?", name,
                        nearest);
    return imp_fail(parse->error, IMP_UNKNOWN, parse->place, "unknown command \"%s\"; \"impinge --help\" lists them",
                    name);
}

static imp_status refuse_option(parser *parse, const char *name)
{
    const char *nearest = NULL;
    int least = (int)(strlen(name) / 3) + 1;
    for (const option_row *row = option_rows(); row->name != NULL; row++) {
        if ((row->commands & parse->bit) == 0)
            continue;
        const int distance = imp_name_distance(row->name, name, least);
        if (distance < least) {
            least = distance;
            nearest = row->name;
        }
    }
    if (nearest != NULL)
        return imp_fail(parse->error, IMP_UNKNOWN, parse->place, "unknown option \"%s\"; did you mean \"%s\"?", name,
                        nearest);
    return imp_fail(parse->error, IMP_UNKNOWN, parse->place, "unknown option \"%s\"; \"%s --help\" lists them", name,
                    parse->place);
}

/* The row of "--name", "--name=text", "-x" or "-xtext"; *text is what follows the name in the same word, or NULL. */
static const option_row *find_option(const parser *parse, const char *word, const char **text)
{
    const size_t length = strcspn(word, "=");
    for (const option_row *row = option_rows(); row->name != NULL; row++) {
        if ((row->commands & parse->bit) == 0)
            continue;
        if (strlen(row->name) == length && memcmp(row->name, word, length) == 0) {
            *text = word[length] == '=' ? word + length + 1 : NULL;
            return row;
        }
        if (row->letter != 0 && word[1] == row->letter) {
            *text = word[2] != '\0' ? word + 2 : NULL;
            return row;
        }
    }
    return NULL;
}

static imp_status check_choice(const parser *parse, const option_row *row, const char *text)
{
    char choices[128] = "";
    const char *nearest = NULL;
    size_t used = 0;
    int least = (int)(strlen(text) / 3) + 1;
    for (size_t i = 0; row->choices[i] != NULL && used < sizeof choices; i++) {
        if (strcmp(row->choices[i], text) == 0)
            return IMP_OK;
        used += (size_t)snprintf(choices + used, sizeof choices - used, "%s%s", i > 0 ? ", " : "", row->choices[i]);
        const int distance = imp_name_distance(row->choices[i], text, least);
        if (distance < least) {
            least = distance;
            nearest = row->choices[i];
        }
    }
    if (nearest != NULL)
        return imp_fail(parse->error, IMP_UNKNOWN, parse->place, "%s: expected one of %s, got \"%s\"; did you mean \"%s\"?",
                        row->name, choices, text, nearest);
    return imp_fail(parse->error, IMP_UNKNOWN, parse->place, "%s: expected one of %s, got \"%s\"", row->name, choices,
                    text);
}

static imp_status read_number(const parser *parse, const option_row *row, const char *text, double *number)
{
    size_t used = 0;
    imp_number_read(text, strlen(text), number, &used);
    if (used > 0 && text[used] == '\0' && *number >= row->low && *number <= row->high)
        return IMP_OK;
    char low[IMP_NUMBER_TEXT_SIZE], high[IMP_NUMBER_TEXT_SIZE];
    return imp_fail(parse->error, IMP_RANGE, parse->place, "%s: expected a number from %s to %s, got \"%s\"", row->name,
                    imp_number_write(row->low, 0, low, sizeof low), imp_number_write(row->high, 0, high, sizeof high),
                    text);
}

static imp_status take_option(parser *parse, const char *word)
{
    const char *text = NULL;
    const option_row *row = find_option(parse, word, &text);
    if (row == NULL)
        return refuse_option(parse, word);
    if (row->kind == OPTION_FLAG && text != NULL)
        return imp_fail(parse->error, IMP_SYNTAX, parse->place, "%s takes no value, got \"%s\"", row->name, text);
    if (row->kind != OPTION_FLAG && text == NULL) {
        if (parse->at + 1 >= parse->argc)
            return imp_fail(parse->error, IMP_MISSING, parse->place, "%s: expected %s, got nothing", row->name,
                            row->value);
        text = parse->argv[++parse->at];
    }
    if (!row->repeats && options_has(parse->parsed, row->id))
        return imp_fail(parse->error, IMP_SYNTAX, parse->place, "%s is given twice", row->name);
    given_option *given = &parse->parsed->given[parse->parsed->given_count];
    *given = (given_option){.row = row, .text = text};
    imp_status status = IMP_OK;
    if (row->kind == OPTION_CHOICE)
        status = check_choice(parse, row, text);
    else if (row->kind == OPTION_NUMBER)
        status = read_number(parse, row, text, &given->number);
    else if (text != NULL && row->kind != OPTION_FLAG && text[0] == '\0')
        status = imp_fail(parse->error, IMP_MISSING, parse->place, "%s: expected %s, got an empty text", row->name,
                          row->value);
    if (status == IMP_OK)
        parse->parsed->given_count++;
    return status;
}

static imp_status take_command(parser *parse, const char *name)
{
    for (const command_row *row = command_rows(); row->name != NULL; row++) {
        if (strcmp(row->name, name) != 0)
            continue;
        parse->parsed->command = row;
        parse->bit = row->bit;
        snprintf(parse->place, sizeof parse->place, "impinge %s", name);
        return IMP_OK;
    }
    return refuse_command(parse, name);
}

static bool rest_is_passed(const options *parsed)
{
    return parsed->command != NULL && parsed->command->passes_rest && parsed->positional_count > 0;
}

static imp_status take_words(parser *parse)
{
    options *parsed = parse->parsed;
    bool options_end = false;
    imp_status status = IMP_OK;
    for (; status == IMP_OK && parse->at < parse->argc; parse->at++) {
        const char *word = parse->argv[parse->at];
        if (options_end || rest_is_passed(parsed))
            parsed->positional[parsed->positional_count++] = word;
        else if (parsed->command != NULL && strcmp(word, "--") == 0)
            options_end = true;
        else if (word[0] == '-' && word[1] != '\0')
            status = take_option(parse, word);
        else if (parsed->command == NULL)
            status = take_command(parse, word);
        else
            parsed->positional[parsed->positional_count++] = word;
    }
    return status;
}

static imp_status check_count(const parser *parse)
{
    const options *parsed = parse->parsed;
    if (options_has(parsed, OPTION_HELP) || options_has(parsed, OPTION_VERSION))
        return IMP_OK;
    const command_row *command = parsed->command;
    if (command == NULL)
        return imp_fail(parse->error, IMP_MISSING, parse->place, "expected a command; \"impinge --help\" lists them");
    if (parsed->positional_count < command->least)
        return imp_fail(parse->error, IMP_MISSING, parse->place, "expected %s; \"%s --help\" says more",
                        command->arguments, parse->place);
    if (parsed->positional_count > command->most)
        return imp_fail(parse->error, IMP_SYNTAX, parse->place, "expected %s only, got \"%s\" too", command->arguments,
                        parsed->positional[command->most]);
    return IMP_OK;
}

imp_status options_parse(int argc, char **argv, options *parsed, imp_error *error)
{
    parser parse = {
        .argc = argc, .argv = argv, .at = 1, .bit = IN_PROGRAM, .place = "impinge", .parsed = parsed, .error = error};
    const size_t words = argc > 0 ? (size_t)argc : 1;
    memset(parsed, 0, sizeof *parsed);
    parsed->given = imp_allocate(NULL, words, sizeof *parsed->given);
    parsed->positional = imp_allocate(NULL, words, sizeof *parsed->positional);
    imp_status status = IMP_OK;
    if (parsed->given == NULL || parsed->positional == NULL)
        status = imp_fail(error, IMP_MEMORY, NULL, "out of memory");
    if (status == IMP_OK)
        status = take_words(&parse);
    if (status == IMP_OK)
        status = check_count(&parse);
    if (status != IMP_OK)
        options_free(parsed);
    return status;
}

void options_free(options *parsed)
{
    imp_release(NULL, parsed->given);
    imp_release(NULL, (void *)parsed->positional);
    memset(parsed, 0, sizeof *parsed);
}

static const given_option *find_given(const options *parsed, option_id id)
{
    for (size_t i = 0; i < parsed->given_count; i++)
        if (parsed->given[i].row->id == id)
            return &parsed->given[i];
    return NULL;
}

/* The row that a command (or the program) has for an option, or NULL. */
static const option_row *row_of(const options *parsed, option_id id)
{
    const unsigned bit = parsed->command != NULL ? parsed->command->bit : (unsigned)IN_PROGRAM;
    for (const option_row *row = option_rows(); row->name != NULL; row++)
        if (row->id == id && (row->commands & bit) != 0)
            return row;
    return NULL;
}

bool options_has(const options *parsed, option_id id)
{
    return find_given(parsed, id) != NULL;
}

const char *options_text(const options *parsed, option_id id)
{
    const given_option *given = find_given(parsed, id);
    if (given != NULL)
        return given->text;
    const option_row *row = row_of(parsed, id);
    return row != NULL && row->kind == OPTION_CHOICE && !row->no_default ? row->choices[0] : NULL;
}

double options_number(const options *parsed, option_id id)
{
    const given_option *given = find_given(parsed, id);
    if (given != NULL)
        return given->number;
    const option_row *row = row_of(parsed, id);
    return row != NULL && row->fallback != NULL ? row->fallback() : 0.0;
}

const char *options_next(const options *parsed, option_id id, size_t *at)
{
    while (*at < parsed->given_count) {
        const given_option *given = &parsed->given[(*at)++];
        if (given->row->id == id)
            return given->text;
    }
    return NULL;
}
