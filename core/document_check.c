#include "document_check.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "line_currents.h"
#include "place_text.h"

/* One document being checked. */
typedef struct check {
    const imp_node *root;
    const char *file, *prefix;
    imp_issues *issues;
    imp_status *status;
} check;

static void refuse(const check *c, const imp_node *node, const char *path, const char *message)
{
    char place[IMP_PLACE_SIZE];
    snprintf(place, sizeof place, "%s%s%s", c->prefix, c->prefix[0] != '\0' && path[0] != '\0' ? "." : "", path);
    const imp_status status =
        imp_issues_add(c->issues, IMP_RANGE, c->file, node->line, node->column, place, "%s", message);
    if (*c->status == IMP_OK || status == IMP_MEMORY)
        *c->status = status;
}

/* A number that was given and read without fault, or NULL. */
static const imp_node *number_at(const check *c, const char *path)
{
    const imp_node *node = imp_node_find(c->root, path, NULL);
    return node != NULL && node->given && node->text != NULL && isfinite(node->number) ? node : NULL;
}

static const imp_node *text_at(const check *c, const char *path)
{
    const imp_node *node = imp_node_find(c->root, path, NULL);
    return node != NULL && node->given && node->text != NULL ? node : NULL;
}

/* ---- windows ---- */

static void check_window(const check *c, const imp_node *record, const char *path)
{
    const imp_node *low = &record->children[0], *high = &record->children[1];
    const bool both = low->given && high->given && low->text != NULL && high->text != NULL;
    if (!both || !(low->number > high->number))
        return;
    char message[200];
    snprintf(message, sizeof message, "min, \"%.60s\", is above max, \"%.60s\"", low->text, high->text);
    refuse(c, record, path, message);
}

/* Every record {min, max} below node, other documents left to their own check. */
static void check_windows(const check *c, const imp_node *node, const char *path)
{
    if (node->kind != IMP_RECORD || (node != c->root && node->row->kind == IMP_FILE_OR_RECORD))
        return;
    if (node->count == 2 && strcmp(node->row->rows[0].name, "min") == 0 && strcmp(node->row->rows[1].name, "max") == 0)
        check_window(c, node, path);
    for (size_t i = 0; i < node->count; i++) {
        char below[IMP_PLACE_SIZE];
        snprintf(below, sizeof below, "%.90s%s%.60s", path, path[0] != '\0' ? "." : "", node->children[i].row->name);
        check_windows(c, &node->children[i], below);
    }
}

/* ---- pairs ---- */

typedef enum relation { BELOW, NOT_ABOVE } relation;

/* `first` must stand below, or not above, `second`. */
static const struct {
    imp_document_kind kind;
    const char *first;
    relation relation;
    const char *second;
} pairs[] = {
    {IMP_MATERIAL, "foam.minimum_lift", NOT_ABOVE, "foam.maximum_lift"},
    {IMP_RIG, "hose.insulation.inner_diameter", BELOW, "hose.insulation.outer_diameter"},
    {IMP_RIG, "compressor.cut_in", BELOW, "compressor.cut_out"},
};

/* Of the limits that every document may have: caution comes before stop. */
static const struct {
    const char *first, *second;
} cautions[] = {
    {"limits.voltage_drop_caution", "limits.voltage_drop"},
    {"limits.air_duty_caution", "limits.air_duty"},
    {"limits.balance_caution", "limits.balance"},
    {"limits.inlet_pressure", "limits.inlet_pressure_caution"},
    {"limits.dew_point_spread", "limits.dew_point_spread_caution"},
};

static void check_pair(const check *c, const char *first, relation wanted, const char *second)
{
    const imp_node *a = number_at(c, first), *b = number_at(c, second);
    if (a == NULL || b == NULL || a->number < b->number || (wanted == NOT_ABOVE && a->number <= b->number))
        return;
    char message[240];
    snprintf(message, sizeof message, "\"%.60s\" is %s %s, \"%.60s\"", a->text, wanted == BELOW ? "not below" : "above",
             b->row->name, b->text);
    refuse(c, a, first, message);
}

/* ---- whole numbers ---- */

static const struct {
    imp_document_kind kind;
    const char *path;
} counts[] = {
    {IMP_RIG, "hose.most_sections"},
    {IMP_RIG, "gun.iso_count"},
    {IMP_RIG, "gun.resin_count"},
    {IMP_JOB, "supply.cable.layers_on_drum"},
    {IMP_JOB, "supply.cable.grouped"},
    {IMP_JOB, "hoses.sections"},
    {IMP_JOB, "work.coats"},
    {IMP_JOB, "measured.counters.iso_cycles"},
    {IMP_JOB, "measured.counters.resin_cycles"},
    {IMP_JOB, "crew"},
};

static void check_count(const check *c, const char *path)
{
    const imp_node *node = number_at(c, path);
    if (node == NULL || node->number == floor(node->number))
        return;
    char message[120];
    snprintf(message, sizeof message, "expected a whole number, got %.60s", node->text);
    refuse(c, node, path, message);
}

/* ---- viscosity points ---- */

static void check_viscosity(const check *c, const char *path)
{
    const imp_node *table = imp_node_find(c->root, path, NULL);
    for (size_t i = 1; table != NULL && i < table->count; i++)
        for (size_t j = 0; j < i; j++) {
            const imp_node *a = &table->children[i].children[0], *b = &table->children[j].children[0];
            if (a->text == NULL || b->text == NULL || a->number != b->number)
                continue;
            char place[IMP_PLACE_SIZE], message[120];
            snprintf(place, sizeof place, "%s[%zu].temperature", path, i + 1);
            snprintf(message, sizeof message, "the same temperature as in [%zu]; a point needs its own", j + 1);
            refuse(c, a, place, message);
            break;
        }
}

/* ---- loads ---- */

static const imp_node *field_of(const imp_node *record, const char *name)
{
    for (size_t i = 0; i < record->count; i++)
        if (strcmp(record->children[i].row->name, name) == 0)
            return &record->children[i];
    return NULL;
}

/* A motor needs what electrical.line_currents needs of it. */
static void check_loads(const check *c)
{
    static const char *const plate[] = {"power_factor", "efficiency"};
    const imp_node *table = imp_node_find(c->root, "loads", NULL);
    for (size_t i = 0; table != NULL && i < table->count; i++) {
        const imp_node *load = &table->children[i], *kind = field_of(load, "kind");
        if (kind == NULL || !kind->given || kind->number != (double)IMP_LOAD_MOTOR)
            continue;
        for (size_t j = 0; j < 2; j++) {
            const imp_node *field = field_of(load, plate[j]);
            char place[IMP_PLACE_SIZE];
            if (field == NULL || field->given)
                continue;
            snprintf(place, sizeof place, "loads[%zu].%s", i + 1, plate[j]);
            refuse(c, load, place, IMP_LOAD_PLATE_MISSING);
        }
    }
}

/* ---- the job's own ---- */

bool imp_is_file_beside(const char *name)
{
    if (name[0] == '\0' || strlen(name) > 255)
        return false;
    for (const char *part = name; part != NULL;) {
        const size_t length = strcspn(part, "/");
        const bool dots = (length == 1 && part[0] == '.') || (length == 2 && part[0] == '.' && part[1] == '.');
        if (length == 0 || dots)
            return false;
        part = part[length] == '/' ? part + length + 1 : NULL;
    }
    for (const char *at = name; *at != '\0'; at++)
        if ((unsigned char)*at < 0x20 || *at == 0x7f || *at == '\\' || *at == ':')
            return false;
    return true;
}

static void check_display_units(const check *c)
{
    const imp_node *node = text_at(c, "display_units");
    if (node != NULL && !imp_is_file_beside(node->text))
        refuse(c, node, "display_units",
               "expected \"si\", \"us\" or the name of a file beside this one, without \"..\"");
}

static bool is_currency(const char *text)
{
    const imp_unit_row *row = strlen(text) == 3 ? imp_unit_find(text, 3) : NULL;
    return row != NULL && strcmp(row->dimension.currency, text) == 0;
}

static void check_currency(const check *c)
{
    static const char *const prices[] = {"prices.labour_rate", "prices.energy_price", "prices.fuel_price",
                                         "prices.material_price", "material.unit_price"};
    const imp_node *currency = text_at(c, "currency");
    char message[240];
    if (currency == NULL)
        return;
    if (!is_currency(currency->text)) {
        snprintf(message, sizeof message, "expected an ISO 4217 code such as \"EUR\", got \"%.60s\"", currency->text);
        refuse(c, currency, "currency", message);
        return;
    }
    for (size_t i = 0; i < sizeof prices / sizeof prices[0]; i++) {
        const imp_node *price = number_at(c, prices[i]);
        if (price == NULL || strcmp(price->unit.dimension.currency, currency->text) == 0)
            continue;
        snprintf(message, sizeof message, "\"%.60s\" is not in the job's currency, %s", price->text, currency->text);
        refuse(c, price, prices[i], message);
    }
}

/* "1/0" to "4/0", or a whole number up to 40; behind it "AWG" may stand, as on a cable's jacket */
static bool is_gauge(const char *text)
{
    const size_t digits = strspn(text, "0123456789"), written = strcspn(text, " Aa");
    const char *suffix = text + written + strspn(text + written, " ");
    const bool named = strcmp(suffix, "AWG") == 0 || strcmp(suffix, "awg") == 0;
    const size_t length = named ? written : strlen(text);
    if (digits == 1 && length == 3)
        return text[0] >= '1' && text[0] <= '4' && text[1] == '/' && text[2] == '0';
    const int number = digits == 1 ? text[0] - '0' : digits == 2 ? (text[0] - '0') * 10 + (text[1] - '0') : 0;
    return digits == length && text[0] != '0' && number >= 1 && number <= 40;
}

static void check_cable(const check *c)
{
    const imp_node *gauge = text_at(c, "supply.cable.gauge");
    if (gauge != NULL && !is_gauge(gauge->text)) {
        enum { SHOWN = 60 };
        char message[IMP_MESSAGE_SIZE], shown[SHOWN + 8];
        snprintf(message, sizeof message,
                 "expected an American wire gauge from \"4/0\" to \"40\", such as \"6\" or \"6 AWG\", got \"%s\"",
                 imp_shown_text(gauge->text, strlen(gauge->text), SHOWN, shown));
        refuse(c, gauge, "supply.cable.gauge", message);
    }
    if (gauge != NULL && number_at(c, "supply.cable.section") != NULL)
        refuse(c, gauge, "supply.cable.gauge", "expected section or gauge, got both");
}

void imp_document_check(imp_document_kind kind, const imp_node *root, const char *file, const char *prefix,
                        imp_issues *issues, imp_status *status)
{
    const check c = {root, file, prefix, issues, status};
    check_windows(&c, root, "");
    for (size_t i = 0; i < sizeof pairs / sizeof pairs[0]; i++)
        if (pairs[i].kind == kind)
            check_pair(&c, pairs[i].first, pairs[i].relation, pairs[i].second);
    for (size_t i = 0; i < sizeof cautions / sizeof cautions[0]; i++)
        check_pair(&c, cautions[i].first, NOT_ABOVE, cautions[i].second);
    for (size_t i = 0; i < sizeof counts / sizeof counts[0]; i++)
        if (counts[i].kind == kind)
            check_count(&c, counts[i].path);
    if (kind == IMP_MATERIAL) {
        check_viscosity(&c, "iso.viscosity");
        check_viscosity(&c, "resin.viscosity");
    }
    if (kind == IMP_RIG)
        check_loads(&c);
    if (kind == IMP_JOB) {
        check_display_units(&c);
        check_currency(&c);
        check_cable(&c);
    }
}
