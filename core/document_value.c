/* Single values of a document: quantities, choices, texts, flags and dates; and how faults are said. */
#include "document_reader.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "number.h"
#include "place_text.h"
#include "quantity.h"

/* ---- faults ---- */

void imp_reader_note(imp_reading *all, imp_status status)
{
    if (all->status == IMP_OK || status == IMP_MEMORY)
        all->status = status;
}

void imp_reader_refuse(imp_reader *r, size_t at, imp_status status, const char *message)
{
    const imp_json_place *place = &r->scan->places[at];
    if (r->all->status == IMP_MEMORY)
        return; /* what is missing then may only not have been read */
    imp_reader_note(
        r->all, imp_issues_add(r->all->issues, status, r->file, place->line, place->column, r->path, "%s", message));
}

enum { SHOWN = 60, SHOWN_SIZE = SHOWN + 24 };

/* What was found, for messages: "12 bar" in quotes, the number 14, true, null, a list, a record. */
static const char *found(const imp_reader *r, size_t at, const cJSON *item, char *text)
{
    const imp_json_place *place = &r->scan->places[at];
    char shown[SHOWN_SIZE];
    if (cJSON_IsString(item))
        snprintf(text, SHOWN_SIZE, "\"%s\"",
                 imp_shown_text(item->valuestring, strlen(item->valuestring), SHOWN, shown));
    else if (cJSON_IsNumber(item))
        snprintf(text, SHOWN_SIZE, "the number %s",
                 imp_shown_text(r->text + place->start, place->end - place->start, SHOWN, shown));
    else if (cJSON_IsNull(item))
        snprintf(text, SHOWN_SIZE, "null");
    else if (cJSON_IsBool(item))
        snprintf(text, SHOWN_SIZE, cJSON_IsTrue(item) ? "true" : "false");
    else
        snprintf(text, SHOWN_SIZE, cJSON_IsArray(item) ? "a list" : "a record");
    return text;
}

void imp_reader_refuse_found(imp_reader *r, size_t at, imp_status status, const char *expected, const cJSON *item,
                             const char *hint)
{
    char message[IMP_MESSAGE_SIZE], got[SHOWN_SIZE];
    snprintf(message, sizeof message, "expected %s, got %s%s", expected, found(r, at, item, got), hint);
    imp_reader_refuse(r, at, status, message);
}

void imp_reader_refuse_kind(imp_reader *r, size_t at, const imp_param *row, const cJSON *item)
{
    char expected[240];
    imp_param_expected(row, expected, sizeof expected);
    imp_reader_refuse_found(r, at, IMP_TYPE, expected, item, cJSON_IsNull(item) ? "; leave out what is not known" : "");
}

/* ---- single values ---- */

bool imp_reader_keep_text(imp_reader *r, imp_node *node, const char *text, size_t length)
{
    node->text = imp_copy_text(r->all->allocator, text, length);
    if (node->text == NULL)
        imp_reader_note(r->all, IMP_MEMORY);
    return node->text != NULL;
}

static void refuse_quantity_text(imp_reader *r, size_t at, const imp_param *row, const cJSON *item,
                                 const imp_error *error)
{
    const char *text = item->valuestring + strspn(item->valuestring, " \t");
    char expected[240], hint[IMP_MESSAGE_SIZE] = "";
    double value;
    size_t used = 0;
    imp_number_read(text, strlen(text), &value, &used);
    const char *message = error->message; /* which may begin with the text in quotes, and so does ours */
    const size_t length = strlen(item->valuestring);
    if (message[0] == '"' && strncmp(message + 1, item->valuestring, length) == 0 &&
        strncmp(message + 1 + length, "\": ", 3) == 0)
        message += length + 4;
    if (used > 0)
        snprintf(hint, sizeof hint, ": %.200s", message);
    imp_param_expected(row, expected, sizeof expected);
    imp_reader_refuse_found(r, at, error->status, expected, item, hint);
}

/* A bare number where a unit is due: the same number with the customary unit shows what is meant. */
static void refuse_bare_number(imp_reader *r, size_t at, const imp_param *row, const cJSON *item, const char *written)
{
    char expected[240], shown[SHOWN_SIZE];
    snprintf(expected, sizeof expected, "%s such as \"%s %s\"", imp_dimension_name(row->dimension),
             imp_shown_text(written, strlen(written), SHOWN, shown), row->unit);
    imp_reader_refuse_found(r, at, IMP_DIMENSION_MISMATCH, expected, item, "");
}

/* A zero where there is none, as the length of a cable: what would do is shown. */
static void refuse_value(imp_reader *r, size_t at, const imp_param *row, const imp_error *error)
{
    char message[IMP_MESSAGE_SIZE], expected[240];
    if (error->status != IMP_RANGE || strstr(error->message, "is not above") == NULL) {
        imp_reader_refuse(r, at, error->status, error->message);
        return;
    }
    imp_param_expected(row, expected, sizeof expected);
    snprintf(message, sizeof message, "%.180s; write %s%s", error->message, expected,
             row->presence == IMP_REQUIRED ? "" : ", or leave it out where it is not known");
    imp_reader_refuse(r, at, IMP_RANGE, message);
}

/* Right kind and in range? Then node->number is written. */
static void accept_quantity(imp_reader *r, size_t at, const imp_param *row, const cJSON *item,
                            const imp_quantity *quantity, imp_node *node)
{
    imp_error error = {.status = IMP_OK};
    char written[SHOWN_SIZE];
    const bool is_same = imp_dimension_same(quantity->dimension, imp_dimension_of(row->dimension));
    if (!is_same && imp_dimension_is_pure(quantity->dimension)) {
        refuse_bare_number(r, at, row, item, node->text);
        return;
    }
    if (imp_param_accept(row, quantity, found(r, at, item, written), &node->number, &error) != IMP_OK)
        refuse_value(r, at, row, &error);
}

static void read_number(imp_reader *r, const imp_param *row, const cJSON *item, size_t at, imp_node *node)
{
    const imp_json_place *place = &r->scan->places[at];
    imp_quantity quantity = {.si = 0.0};
    node->number = (double)NAN;
    if (cJSON_IsNumber(item)) {
        size_t used = 0;
        imp_number_read(r->text + place->start, place->end - place->start, &quantity.si, &used);
        if (!imp_reader_keep_text(r, node, r->text + place->start, place->end - place->start) || !isfinite(quantity.si))
            return; /* the scan has refused a number that is not finite */
        imp_unit_parse("", 0, &node->unit, NULL);
    } else if (cJSON_IsString(item)) {
        imp_error error = {.status = IMP_OK};
        const size_t length = strlen(item->valuestring);
        if (!imp_reader_keep_text(r, node, item->valuestring, length))
            return;
        if (imp_quantity_parse(item->valuestring, length, &quantity, &node->unit, &error) != IMP_OK) {
            refuse_quantity_text(r, at, row, item, &error);
            return;
        }
    } else {
        imp_reader_refuse_kind(r, at, row, item);
        return;
    }
    accept_quantity(r, at, row, item, &quantity, node);
}

static void read_choice(imp_reader *r, const imp_param *row, const cJSON *item, size_t at, imp_node *node)
{
    char number[IMP_NUMBER_TEXT_SIZE];
    int index = -1;
    node->number = (double)NAN;
    if (cJSON_IsString(item))
        index = imp_param_choice(row, item->valuestring);
    else if (cJSON_IsNumber(item)) /* "phases": 3 */
        index = imp_param_choice(row, imp_number_write(item->valuedouble, 0, number, sizeof number));
    if (index >= 0)
        node->number = index;
    else
        imp_reader_refuse_kind(r, at, row, item);
}

static void refuse_long_text(imp_reader *r, size_t at, size_t length)
{
    char message[IMP_MESSAGE_SIZE];
    snprintf(message, sizeof message, "expected a text of at most %d bytes, got one of %zu; shorten it",
             IMP_DOCUMENT_LONGEST_TEXT, length);
    imp_reader_refuse(r, at, IMP_LIMIT, message);
}

static void read_text(imp_reader *r, const imp_param *row, const cJSON *item, size_t at, imp_node *node)
{
    if (!cJSON_IsString(item))
        imp_reader_refuse_kind(r, at, row, item);
    else if (item->valuestring[strspn(item->valuestring, " \t\r\n")] == '\0')
        imp_reader_refuse(r, at, IMP_SYNTAX, "expected a text, got an empty one");
    else if (strlen(item->valuestring) > IMP_DOCUMENT_LONGEST_TEXT)
        refuse_long_text(r, at, strlen(item->valuestring));
    else
        imp_reader_keep_text(r, node, item->valuestring, strlen(item->valuestring));
}

static void read_flag(imp_reader *r, const imp_param *row, const cJSON *item, size_t at, imp_node *node)
{
    if (cJSON_IsBool(item))
        node->number = cJSON_IsTrue(item) ? 1.0 : 0.0;
    else
        imp_reader_refuse_kind(r, at, row, item);
}

/* Days from 1970-01-01 to a date of the proleptic Gregorian calendar (ISO 8601); false when there is no such day. */
static bool days_of_date(const char *text, double *days)
{
    static const int lengths[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    static const char form[] = "dddd-dd-dd";
    if (strlen(text) != sizeof form - 1)
        return false;
    for (size_t i = 0; form[i] != '\0'; i++)
        if (form[i] == 'd' ? text[i] < '0' || text[i] > '9' : text[i] != form[i])
            return false;
    const int year = (text[0] - '0') * 1000 + (text[1] - '0') * 100 + (text[2] - '0') * 10 + (text[3] - '0');
    const int month = (text[5] - '0') * 10 + (text[6] - '0'), day = (text[8] - '0') * 10 + (text[9] - '0');
    const bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    if (year < 1 || month < 1 || month > 12 || day < 1 || day > lengths[month - 1] + (leap && month == 2 ? 1 : 0))
        return false;
    const int before = year - 1;
    int count = before * 365 + before / 4 - before / 100 + before / 400 + day - 1;
    for (int m = 1; m < month; m++)
        count += lengths[m - 1] + (leap && m == 2 ? 1 : 0);
    *days = count - 719162; /* days from 0001-01-01 to 1970-01-01 */
    return true;
}

static void read_date(imp_reader *r, const imp_param *row, const cJSON *item, size_t at, imp_node *node)
{
    node->number = (double)NAN;
    if (cJSON_IsString(item) && days_of_date(item->valuestring, &node->number))
        imp_reader_keep_text(r, node, item->valuestring, strlen(item->valuestring));
    else
        imp_reader_refuse_kind(r, at, row, item);
}

void imp_reader_value(imp_reader *r, const imp_param *row, const cJSON *item, size_t at, imp_node *node)
{
    switch (row->kind) {
    case IMP_NUMBER:
        read_number(r, row, item, at, node);
        break;
    case IMP_CHOICE:
        read_choice(r, row, item, at, node);
        break;
    case IMP_TEXT:
        read_text(r, row, item, at, node);
        break;
    case IMP_FLAG:
        read_flag(r, row, item, at, node);
        break;
    case IMP_DATE:
        read_date(r, row, item, at, node);
        break;
    default:
        break; /* structured values are the caller's */
    }
}
