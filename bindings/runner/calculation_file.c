#include "calculation_file.h"

#include <dirent.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "budget_options.h"
#include "calculation.h"
#include "calculator_lua.h"
#include "engine_script.h"
#include "exit_code.h"
#include "memory.h"
#include "number.h"
#include "scripts_folder.h"

enum { MOST_STOCK = 200, STOCK_PATH_SIZE = FOLDER_SIZE + 96 };

static bool ends_in_lua(const char *word)
{
    const size_t length = strlen(word);
    return length > 4 && strcmp(word + length - 4, ".lua") == 0;
}

/* Run a file in `script` and check that it declared a calculator. EXIT_OK, or complains. */
static int run_calculator_file(imp_script *script, const char *path)
{
    imp_error error;
    const imp_status status = imp_script_run_file(script, path, 0, &error);
    if (status != IMP_OK)
        return complain(&error, exit_code_of_script(status));
    if (imp_calculator_count(imp_script_state(script)) > 0)
        return EXIT_OK;
    imp_fail(&error, IMP_MISSING, path, "declares no calculator; \"impinge new calculator NAME\" writes one to begin with");
    return complain(&error, EXIT_INPUT);
}

/* The calculator that a file declares last: those it requires are declared before it. */
static int open_file(const options *given, const char *path, calculation *opened)
{
    char folder[FOLDER_SIZE];
    imp_error error;
    imp_status status = find_scripts_folder(folder, sizeof folder, &error);
    const char *const folders[] = {folder};
    const bool has_budget = options_number(given, OPTION_MAX_SECONDS) > 0.0; /* not every command that looks has options */
    const imp_script_options wanted = {
        .budget = has_budget ? budget_of(given) : imp_default_budget(),
        .folders = folders,
        .folder_count = 1,
        .trusted = options_has(given, OPTION_TRUST),
        .write = engine_script_write_aside,
    };
    if (status == IMP_OK)
        status = imp_script_open(&wanted, &opened->script, &error);
    if (status != IMP_OK)
        return complain(&error, status == IMP_IO ? EXIT_INTERNAL : exit_code_of_script(status));
    const int code = run_calculator_file(opened->script, path);
    if (code != EXIT_OK) {
        calculation_close(opened);
        return code;
    }
    lua_State *L = imp_script_state(opened->script);
    opened->calc = imp_calculator_at(L, imp_calculator_count(L) - 1);
    return EXIT_OK;
}

static bool stock_path(const char *id, char *path)
{
    char folder[FOLDER_SIZE];
    if (strlen(id) > 60 || strchr(id, '/') != NULL || find_scripts_folder(folder, sizeof folder, NULL) != IMP_OK)
        return false;
    snprintf(path, STOCK_PATH_SIZE, "%s/calculators/%s.lua", folder, id);
    return access(path, R_OK) == 0;
}

static int compare_names(const void *a, const void *b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

/* The ids of the stock calculators, which are their files' names, sorted. False: memory ran short, some are not there. */
static bool stock_names(char *names[MOST_STOCK], size_t *found)
{
    char folder[FOLDER_SIZE], path[STOCK_PATH_SIZE];
    size_t count = 0;
    bool complete = true;
    *found = 0;
    if (find_scripts_folder(folder, sizeof folder, NULL) != IMP_OK)
        return true;
    snprintf(path, sizeof path, "%s/calculators", folder);
    errno = 0;
    DIR *directory = opendir(path);
    if (directory == NULL)
        complete = errno != ENOMEM;
    for (struct dirent *entry; directory != NULL && complete && count < MOST_STOCK && (entry = readdir(directory)) != NULL;) {
        if (!ends_in_lua(entry->d_name) || entry->d_name[0] == '.' || strlen(entry->d_name) > 60)
            continue;
        names[count] = imp_copy_text(NULL, entry->d_name, strlen(entry->d_name) - 4);
        complete = names[count] != NULL;
        count += complete;
    }
    if (directory != NULL)
        closedir(directory);
    qsort(names, count, sizeof *names, compare_names);
    *found = count;
    return complete;
}

static void free_names(char *names[], size_t count)
{
    for (size_t i = 0; i < count; i++)
        imp_release(NULL, names[i]);
}

/* No calculation has this id: name the nearest of the catalogue or of the stock. */
static int refuse_id(const char *id)
{
    imp_error error;
    char *names[MOST_STOCK];
    size_t count;
    stock_names(names, &count); /* for a hint, what is there will do */
    int least = (int)(strlen(id) / 3) + 2;
    const char *nearest = NULL;
    for (size_t i = 0; i < count; i++) {
        const int distance = imp_name_distance(names[i], id, least);
        nearest = distance < least ? names[i] : nearest;
        least = distance < least ? distance : least;
    }
    const char *entry = imp_catalogue_nearest(id);
    if (entry != NULL && (nearest == NULL || imp_name_distance(entry, id, least) < least))
        nearest = entry;
    if (nearest != NULL)
        imp_fail(&error, IMP_UNKNOWN, id, "unknown calculation; did you mean \"%s\"?", nearest);
    else
        imp_fail(&error, IMP_UNKNOWN, id, "unknown calculation; \"impinge list\" shows them all");
    free_names(names, count);
    return complain(&error, EXIT_USAGE);
}

int calculation_open(const options *given, const char *word, calculation *opened)
{
    char path[STOCK_PATH_SIZE];
    memset(opened, 0, sizeof *opened);
    opened->word = word;
    opened->calc = imp_catalogue_find(word);
    if (opened->calc != NULL)
        return EXIT_OK;
    if (ends_in_lua(word) || access(word, F_OK) == 0)
        return open_file(given, word, opened);
    return stock_path(word, path) ? open_file(given, path, opened) : refuse_id(word);
}

void calculation_close(calculation *opened)
{
    imp_script_close(opened->script);
    opened->script = NULL;
    opened->calc = NULL;
}

int calculation_exit_code(const calculation *opened, imp_status status)
{
    if (opened->script != NULL && (status == IMP_SCRIPT || status == IMP_LIMIT))
        return exit_code_of_script(status);
    return exit_code_of_argument(status);
}

int stock_calculations(const options *given, calculation **list, size_t *count)
{
    char *names[MOST_STOCK];
    size_t found;
    const bool complete = stock_names(names, &found);
    calculation *made = complete ? imp_allocate(NULL, found + 1, sizeof *made) : NULL;
    if (made == NULL) {
        free_names(names, found);
        return complain_memory();
    }
    int code = EXIT_OK;
    size_t opened = 0;
    for (; code == EXIT_OK && opened < found; opened++) {
        code = calculation_open(given, names[opened], &made[opened]);
        snprintf(made[opened].file, sizeof made[opened].file, "%s", names[opened]);
        made[opened].word = made[opened].file;
    }
    free_names(names, found);
    if (code != EXIT_OK) {
        stock_calculations_free(made, opened);
        return code;
    }
    *list = made;
    *count = found;
    return EXIT_OK;
}

void stock_calculations_free(calculation *list, size_t count)
{
    for (size_t i = 0; list != NULL && i < count; i++)
        calculation_close(&list[i]);
    imp_release(NULL, list);
}
