/* The standard rules and the check engine: every case of rules/cases.lua, on the job of jobs/base.json with what the
 * case changes in it. All in one process. */
#include <cjson/cJSON.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "document.h"
#include "host.h"
#include "sandbox.h"

#include "support.h"
#include <lauxlib.h>
#include <lualib.h>

enum { MOST_FAILURES_SHOWN = 40 };

static char *read_text(const char *path)
{
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    fseek(file, 0, SEEK_END);
    const long size = ftell(file);
    rewind(file);
    char *text = malloc((size_t)size + 1);
    assert_non_null(text);
    assert_int_equal((int)fread(text, 1, (size_t)size, file), (int)size);
    text[size] = '\0';
    fclose(file);
    return text;
}

static bool is_number(const char *word)
{
    return word[0] >= '0' && word[0] <= '9';
}

/* The place of a dotted path; records that are not there are made. *name receives the last word. */
static cJSON *parent_of(cJSON *root, const char *path, char *name, size_t size)
{
    cJSON *at = root;
    for (const char *dot; (dot = strchr(path, '.')) != NULL; path = dot + 1) {
        snprintf(name, size, "%.*s", (int)(dot - path), path);
        cJSON *next = is_number(name) ? cJSON_GetArrayItem(at, atoi(name) - 1) : cJSON_GetObjectItemCaseSensitive(at, name);
        at = next != NULL ? next : cJSON_AddObjectToObject(at, name);
    }
    snprintf(name, size, "%s", path);
    return at;
}

/* text is JSON, or NULL to take the value away. */
static void change(cJSON *root, const char *path, const char *text)
{
    char name[64];
    cJSON *parent = parent_of(root, path, name, sizeof name);
    assert_non_null(parent);
    if (is_number(name)) {
        cJSON_DeleteItemFromArray(parent, atoi(name) - 1);
        return;
    }
    cJSON_DeleteItemFromObjectCaseSensitive(parent, name);
    if (text != NULL) {
        cJSON *value = cJSON_Parse(text);
        assert_non_null(value);
        cJSON_AddItemToObject(parent, name, value);
    }
}

static void print_issues(const imp_issues *issues)
{
    for (size_t i = 0; i < issues->count; i++) {
        char text[1024];
        print_error("%s\n", imp_issue_text(&issues->items[i], text, sizeof text));
    }
}

static imp_node *read_job(const char *text)
{
    imp_issues issues;
    imp_issues_init(&issues, NULL);
    imp_node *job = NULL;
    if (imp_document_read(IMP_JOB, "case.json", text, strlen(text), NULL, NULL, &job, &issues) != IMP_OK)
        print_issues(&issues);
    imp_issues_free(&issues);
    return job;
}

static void to_stderr(void *context, const char *text, size_t length)
{
    (void)context;
    fwrite(text, 1, length, stderr);
}

/* Run the driver on one case. Returns whether it is as it should be, else writes what is wrong. */
static bool case_holds(imp_node *job, lua_Integer number, const char *stage, const char *const *rules, size_t rule_count,
                       char *wrong, size_t size)
{
    const char *const folders[] = {IMP_SCRIPTS_FOLDER, IMP_TESTS_FOLDER};
    const imp_script_options engine = {
        .budget = imp_default_budget(), .folders = folders, .folder_count = 2, .trusted = true, .write = to_stderr};
    const imp_host_option options[] = {
        {.name = "stage", .kind = IMP_HOST_TEXT, .text = stage},
        {.name = "rules", .kind = IMP_HOST_TEXTS, .texts = rules, .count = rule_count},
    };
    const imp_host_settings settings = {
        .job = job, .rows = imp_document_rows(IMP_JOB), .options = options, .option_count = 2, .date = "2031-05-14",
        .rule = {.budget = imp_default_budget(), .folders = folders, .folder_count = 1, .write = to_stderr},
        .write = to_stderr};
    imp_script *script = NULL;
    imp_host *host = NULL;
    imp_error error = {0};
    imp_status status = imp_script_open(&engine, &script, &error);
    if (status == IMP_OK)
        status = imp_host_open(script, &settings, &host, &error);
    const char *const text = "return require 'rules.driver'";
    if (status == IMP_OK)
        status = imp_script_run_text(script, text, strlen(text), "case", 1, &error);
    if (status == IMP_OK) {
        lua_pushinteger(imp_script_state(script), number);
        status = imp_script_call(script, 1, 1, &error);
    }
    bool holds = false;
    if (status != IMP_OK)
        imp_error_text(&error, wrong, size);
    else if (lua_isnoneornil(imp_script_state(script), -1))
        holds = true;
    else
        snprintf(wrong, size, "%s", lua_tostring(imp_script_state(script), -1));
    imp_script_close(script);
    imp_host_close(host);
    return holds;
}

/* case.set: { {path, JSON text or false}, ... } */
static void apply_changes(lua_State *L, cJSON *root)
{
    lua_getfield(L, -1, "changes");
    for (lua_Integer i = 1; lua_geti(L, -1, i) == LUA_TTABLE; i++) {
        lua_geti(L, -1, 1);
        lua_geti(L, -2, 2);
        change(root, lua_tostring(L, -2), lua_tostring(L, -1));
        lua_pop(L, 3);
    }
    lua_pop(L, 2);
}

static const char *text_field(lua_State *L, const char *name)
{
    lua_getfield(L, -1, name);
    const char *text = lua_tostring(L, -1); /* stays in the case */
    lua_pop(L, 1);
    return text;
}

/* A case's company rules go into a file of their own. */
static bool write_company_rules(const char *text, char *path, size_t size)
{
    snprintf(path, size, "/tmp/impinge-company-XXXXXX");
    const int descriptor = mkstemp(path);
    assert_true(descriptor >= 0);
    FILE *file = fdopen(descriptor, "w");
    assert_non_null(file);
    fputs(text, file);
    return fclose(file) == 0;
}

static bool run_case(lua_State *L, lua_Integer number, const cJSON *base, char *wrong, size_t size)
{
    cJSON *root = cJSON_Duplicate(base, true);
    assert_non_null(root);
    apply_changes(L, root);
    char *text = cJSON_Print(root);
    cJSON_Delete(root);
    imp_node *job = read_job(text);
    cJSON_free(text);
    if (job == NULL) {
        snprintf(wrong, size, "the case's job is not readable");
        return false;
    }
    char path[64];
    const char *const company = text_field(L, "company");
    const char *rules[] = {path};
    if (company != NULL)
        assert_true(write_company_rules(company, path, sizeof path));
    const bool holds = case_holds(job, number, text_field(L, "stage"), rules, company != NULL, wrong, size);
    if (company != NULL)
        remove(path);
    imp_node_free(job, NULL);
    return holds;
}

static lua_State *open_cases(void)
{
    lua_State *L = luaL_newstate();
    assert_non_null(L);
    luaL_openlibs(L);
    lua_pushliteral(L, IMP_TESTS_FOLDER);
    lua_setglobal(L, "folder");
    if (luaL_dostring(L, "package.path = folder .. '/?.lua'; return (require 'rules.cases')") != LUA_OK)
        fail_msg("%s", lua_tostring(L, -1));
    return L;
}

static void every_case_gives_its_verdict(void **state)
{
    (void)state;
    lua_State *L = open_cases();
    char *base_text = read_text(IMP_TESTS_FOLDER "/jobs/base.json");
    cJSON *base = cJSON_Parse(base_text);
    assert_non_null(base);
    const lua_Integer count = luaL_len(L, -1);
    assert_true(count > 0);
    int failures = 0;
    for (lua_Integer i = 1; i <= count; i++) {
        char wrong[1024] = "";
        lua_geti(L, -1, i);
        if (!run_case(L, i, base, wrong, sizeof wrong) && failures++ < MOST_FAILURES_SHOWN) {
            const char *rule = text_field(L, "rule");
            print_error("%s: %s: %s\n", rule != NULL ? rule : "all rules", text_field(L, "name"), wrong);
        }
        lua_pop(L, 1);
    }
    cJSON_Delete(base);
    free(base_text);
    lua_close(L);
    assert_int_equal(failures, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_case_gives_its_verdict),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
