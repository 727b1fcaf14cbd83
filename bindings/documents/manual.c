/* The manual: an index, one page a room of the catalogue, the commands, and the Lua module. */
#include <cjson/cJSON.h>
#include <lauxlib.h>
#include <lua.h>
#include <stdio.h>
#include <string.h>
#include <sys/wait.h>

#include "calculation.h"
#include "documents.h"
#include "file.h"
#include "limit_table.h"
#include "paper.h"
#include "published_cases.h"
#include "rooms.h"

enum { PATH_SIZE = 256, CELL_SIZE = 512, INNER_SIZE = PATH_SIZE + 4, LARGEST_STUBS = 1024 * 1024 };

static const struct {
    const char *name, *title;
} rooms[] = {
#define IMP_ROOM(name_, title_) {#name_, title_},
#include "rooms.def"
#undef IMP_ROOM
};

typedef struct manual {
    const char *folder;
    const manual_sources *sources;
    char *style; /* released with imp_release */
    bool html;
} manual;

/* ---- rows ---- */

/* Records that a page has described already, each with its entry: they are not described again. */
enum { MOST_DESCRIBED = 64 };
typedef struct described {
    const imp_param *rows[MOST_DESCRIBED];
    const char *entries[MOST_DESCRIBED];
    size_t count;
} described;

/* The entry that has described these rows; NULL when they are new, and noted as this entry's. */
static const char *described_by(described *known, const imp_param *rows, const char *entry)
{
    for (size_t i = 0; i < known->count; i++)
        if (known->rows[i] == rows)
            return known->entries[i];
    if (known->count < MOST_DESCRIBED) {
        known->rows[known->count] = rows;
        known->entries[known->count++] = entry;
    }
    return NULL;
}

/* "sections[].bore" of the row within `parent`. */
static void path_of(const char *parent, const imp_param *row, char *path, size_t size)
{
    snprintf(path, size, "%s%s%s", parent, parent[0] != '\0' ? "." : "", row->name);
}

static const char *default_of(const imp_param *row, char *text, size_t size)
{
    if (row->presence == IMP_REQUIRED)
        return "required";
    if (row->presence == IMP_OPTIONAL)
        return "optional";
    if (row->kind == IMP_FLAG)
        return row->fallback != 0.0 ? "yes" : "no";
    if (row->kind != IMP_NUMBER && row->kind != IMP_CHOICE)
        return "optional";
    return imp_param_format(row, row->fallback, 6, text, size);
}

static const char *text_or(const char *text, const char *other)
{
    return text != NULL ? text : other;
}

static void row_cells(paper *page, described *known, const char *entry, const char *parent, const imp_param *row,
                      bool input)
{
    char help[CELL_SIZE];
    const char *other = row->rows != NULL ? described_by(known, row->rows, entry) : NULL;
    snprintf(help, sizeof help, "%s%s%s", text_or(row->help, ""), other != NULL ? "; its fields as for " : "",
             text_or(other, ""));
    char path[PATH_SIZE + 1] = "`", symbol[PATH_SIZE], allowed[CELL_SIZE], fallback[CELL_SIZE], inner[INNER_SIZE];
    path_of(parent, row, path + 1, sizeof path - 1);
    snprintf(symbol, sizeof symbol, "%s%s", row->symbol != NULL ? "`" : "", text_or(row->symbol, ""));
    if (input) {
        const char *cells[] = {path, symbol, allowed_text(row, allowed, sizeof allowed),
                               default_of(row, fallback, sizeof fallback), help};
        paper_row(page, cells, sizeof cells / sizeof cells[0]);
    } else {
        imp_param free_row = *row; /* what it is, without its range */
        free_row.low = free_row.high = 0.0;
        const char *unit =
            row->kind == IMP_NUMBER ? text_or(row->unit, "1") : allowed_text(&free_row, allowed, sizeof allowed);
        const char *cells[] = {path, symbol, unit, help};
        paper_row(page, cells, sizeof cells / sizeof cells[0]);
    }
    snprintf(inner, sizeof inner, "%s%s", path + 1, row->kind == IMP_TABLE ? "[]" : "");
    for (const imp_param *each = other == NULL ? row->rows : NULL; each != NULL && each->name != NULL; each++)
        row_cells(page, known, entry, inner, each, input);
}

static void write_rows(paper *page, described *known, const imp_calc *calc)
{
    static const char *const input_heads[] = {"Input", "Symbol", "Allowed", "Default", "What it is"};
    static const char *const output_heads[] = {"Result", "Symbol", "Unit", "What it is"};
    paper_table(page, "Inputs", input_heads, sizeof input_heads / sizeof input_heads[0]);
    for (size_t i = 0; i < calc->input_count; i++)
        row_cells(page, known, calc->id, "", &calc->inputs[i], true);
    paper_table_end(page);
    paper_table(page, "Results", output_heads, sizeof output_heads / sizeof output_heads[0]);
    for (size_t i = 0; i < calc->output_count; i++)
        row_cells(page, known, calc->id, "", &calc->outputs[i], false);
    paper_table_end(page);
}

/* ---- examples ---- */

/* Run a command line of impinge with the built runner and collect what it writes. */
static imp_status run_example(const char *runner, const char *command, output *result, imp_error *error)
{
    char part[4096];
    size_t length;
    output line;
    output_init(&line, "", "never");
    output_format(&line, "'%s' ", runner);
    output_text(&line, command + strlen("impinge "));
    const char *words = collected_text(&line);
    if (line.out_of_memory) {
        output_free(&line);
        return imp_fail(error, IMP_MEMORY, NULL, "out of memory");
    }
    FILE *pipe = popen(words, "r"); /* NOLINT(cert-env33-c): our own command, and text of our own manual */
    output_free(&line);
    if (pipe == NULL)
        return imp_fail(error, IMP_IO, NULL, "cannot run: %s", command);
    while ((length = fread(part, 1, sizeof part, pipe)) > 0)
        output_bytes(result, part, length);
    const int code = pclose(pipe);
    if (code != 0)
        return imp_fail(error, IMP_INTERNAL, NULL, "example ends with code %d: %s", WIFEXITED(code) ? WEXITSTATUS(code) : code, command);
    if (result->out_of_memory)
        return imp_fail(error, IMP_MEMORY, NULL, "out of memory");
    return IMP_OK;
}

/* An invented example; where values that go together are not found, a published case. */
static imp_status write_example(const manual *book, paper *page, const imp_calc *calc, const cJSON *cases,
                                imp_error *error)
{
    imp_arena arena;
    output shown;
    const char *command = NULL, *origin = "(invented values)";
    imp_arena_init(&arena, NULL);
    output_init(&shown, "", "never");
    imp_status status = example_command(calc, calc->id, &arena, &command);
    if (status == IMP_NO_SOLUTION) {
        origin = "(from a published case)";
        command = case_command(cases, calc, &arena);
        status = IMP_OK;
    }
    if (status != IMP_OK) {
        imp_fail(error, status, calc->id, "no example could be written");
    } else if (command != NULL) {
        output_text(&shown, "$ ");
        output_text(&shown, command);
        output_text(&shown, "\n");
        status = run_example(book->sources->runner, command, &shown, error);
    }
    if (status == IMP_OK && command != NULL) {
        paper_paragraph(page, "Example", origin);
        paper_code(page, collected_text(&shown));
    }
    output_free(&shown);
    imp_arena_free(&arena);
    return status;
}

/* ---- pages ---- */

static bool in_room(const imp_calc *calc, const char *room)
{
    const size_t length = strlen(room);
    return strncmp(calc->id, room, length) == 0 && calc->id[length] == '.';
}

static imp_status write_entry(const manual *book, paper *page, described *known, const imp_calc *calc,
                              const cJSON *cases, imp_error *error)
{
    char name[PATH_SIZE];
    snprintf(name, sizeof name, "impinge calc %s, in Lua imp.%s", calc->id, calc->id);
    paper_heading(page, 2, calc->id, calc->title);
    paper_paragraph(page, "Name", name);
    paper_paragraph(page, "Formula", "");
    paper_code(page, calc->formula);
    write_rows(page, known, calc);
    const imp_status status = write_example(book, page, calc, cases, error);
    if (status != IMP_OK)
        return status;
    paper_paragraph(page, "Source", calc->source);
    paper_paragraph(page, "Validity", calc->validity);
    return write_cases(page, cases, calc, error);
}

static imp_status write_room(const manual *book, const char *room, const char *title, imp_error *error)
{
    paper page;
    cJSON *cases = NULL;
    const imp_calc *calc;
    described known = {.count = 0};
    imp_status status = read_cases(book->sources->references, room, &cases, error);
    if (status != IMP_OK)
        return status;
    paper_open(&page, book->html, book->style, room, title);
    paper_link(&page, "index", NULL, "All pages", "");
    for (size_t i = 0; (calc = imp_catalogue_at(i)) != NULL; i++)
        if (in_room(calc, room))
            paper_link(&page, "", calc->id, calc->title, "");
    output_text(&page.text, "\n");
    for (size_t i = 0; (calc = imp_catalogue_at(i)) != NULL && status == IMP_OK; i++)
        if (in_room(calc, room))
            status = write_entry(book, &page, &known, calc, cases, error);
    cJSON_Delete(cases);
    if (status == IMP_OK)
        return paper_close(&page, book->folder, error);
    output_free(&page.text);
    return status;
}

static imp_status write_index(const manual *book, imp_error *error)
{
    paper page;
    const imp_calc *calc;
    paper_open(&page, book->html, book->style, "index", "Manual of impinge");
    paper_paragraph(&page, NULL, program_purpose());
    paper_link(&page, "commands", NULL, "Commands", "and their options");
    paper_link(&page, "lua", NULL, "Lua", "what scripts can call");
    paper_link(&page, "limits", NULL, "Limits", "sizes, counts and budgets");
    for (size_t r = 0; r < sizeof rooms / sizeof rooms[0]; r++) {
        output_text(&page.text, "\n");
        paper_heading(&page, 2, rooms[r].name, rooms[r].title);
        for (size_t i = 0; (calc = imp_catalogue_at(i)) != NULL; i++)
            if (in_room(calc, rooms[r].name))
                paper_link(&page, rooms[r].name, calc->id, calc->title, calc->id);
    }
    output_text(&page.text, "\n");
    return paper_close(&page, book->folder, error);
}

static void write_help(paper *page, const command_row *command)
{
    output help;
    output_init(&help, "", "never");
    options_help(command, &help);
    paper_code(page, collected_text(&help));
    page->text.out_of_memory = page->text.out_of_memory || help.out_of_memory;
    output_free(&help);
}

static imp_status write_commands(const manual *book, imp_error *error)
{
    paper page;
    paper_open(&page, book->html, book->style, "commands", "Commands");
    paper_link(&page, "index", NULL, "All pages", "");
    output_text(&page.text, "\n");
    write_help(&page, NULL);
    for (const command_row *row = command_rows(); row->name != NULL; row++) {
        char title[PATH_SIZE];
        snprintf(title, sizeof title, "impinge %s: %s", row->name, row->summary);
        paper_heading(&page, 2, row->name, title);
        write_help(&page, row);
    }
    return paper_close(&page, book->folder, error);
}

static imp_status write_limits(const manual *book, imp_error *error)
{
    static const char *const heads[] = {"what", "most", "beyond"};
    paper page;
    const char *group = NULL;
    paper_open(&page, book->html, book->style, "limits", "Limits");
    paper_link(&page, "index", NULL, "All pages", "");
    output_text(&page.text, "\n");
    for (const imp_limit *row = imp_program_limits(); row->key != NULL; row++) {
        char most[64];
        if (row->group != group) {
            if (group != NULL)
                paper_table_end(&page);
            group = row->group;
            paper_table(&page, group, heads, sizeof heads / sizeof heads[0]);
        }
        const char *const cells[] = {row->what, imp_limit_text(row, most, sizeof most), row->beyond};
        paper_row(&page, cells, sizeof cells / sizeof cells[0]);
    }
    paper_table_end(&page);
    return paper_close(&page, book->folder, error);
}

static imp_status write_lua(const manual *book, imp_error *error)
{
    paper page;
    char *text = NULL;
    size_t length = 0;
    const imp_status status = imp_file_read(book->sources->stubs, LARGEST_STUBS, NULL, &text, &length, error);
    if (status != IMP_OK)
        return status;
    paper_open(&page, book->html, book->style, "lua", "What scripts can call");
    paper_link(&page, "index", NULL, "All pages", "");
    output_text(&page.text, "\n");
    paper_paragraph(
        &page, NULL,
        "Every calculation of the catalogue is a function as well: imp.climate.dew_point{ air_temperature = "
        "q\"20 degC\", relative_humidity = q\"50 %\" }. Inputs and results are those of its page; a single "
        "result comes back bare, several as a table.");
    paper_paragraph(&page, NULL, "The rest of the module, as an editor is told it:");
    paper_code(&page, text);
    imp_release(NULL, text);
    return paper_close(&page, book->folder, error);
}

/* The style sheet that a Lua file returns. */
static imp_status read_style(const char *path, char **style, imp_error *error)
{
    lua_State *L = luaL_newstate();
    imp_status status = IMP_OK;
    if (L == NULL)
        return imp_fail(error, IMP_MEMORY, NULL, "out of memory");
    if (luaL_loadfilex(L, path, "t") != LUA_OK || lua_pcall(L, 0, 1, 0) != LUA_OK || lua_type(L, -1) != LUA_TSTRING) {
        status = imp_fail(error, IMP_SCRIPT, path, "returns no text");
    } else {
        *style = imp_copy_text(NULL, lua_tostring(L, -1), lua_rawlen(L, -1));
        if (*style == NULL)
            status = imp_fail(error, IMP_MEMORY, NULL, "out of memory");
    }
    lua_close(L);
    return status;
}

imp_status write_manual(const char *folder, const manual_sources *sources, imp_error *error)
{
    manual book = {.folder = folder, .sources = sources};
    imp_status status = read_style(sources->style, &book.style, error);
    for (int form = 0; form < 2 && status == IMP_OK; form++) {
        book.html = form == 1;
        status = write_index(&book, error);
        if (status == IMP_OK)
            status = write_commands(&book, error);
        if (status == IMP_OK)
            status = write_lua(&book, error);
        if (status == IMP_OK)
            status = write_limits(&book, error);
        for (size_t r = 0; r < sizeof rooms / sizeof rooms[0] && status == IMP_OK; r++)
            status = write_room(&book, rooms[r].name, rooms[r].title, error);
    }
    imp_release(NULL, book.style);
    return status;
}
