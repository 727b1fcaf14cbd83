/* documents.h — what is written from the runner's tables and the catalogue when impinge is built: man pages, the
 * shells' completion, the manual, and stubs for editors of Lua. Nothing in them is typed a second time. */
#ifndef IMP_DOCUMENTS_H
#define IMP_DOCUMENTS_H

#include "catalogue.h"
#include "options.h"
#include "output.h"

/* Each writes into a folder that exists. IMP_MEMORY, IMP_IO. */

/* impinge.1, and impinge-COMMAND.1 for each command. */
imp_status write_man_pages(const char *folder, imp_error *error);

/* impinge.bash, _impinge (zsh), impinge.fish. */
imp_status write_completions(const char *folder, imp_error *error);

typedef struct manual_sources {
    const char *runner;     /* the built command, which runs the examples */
    const char *references; /* folder of published cases, ROOM.json */
    const char *style;      /* a Lua file that returns the pages' style sheet */
    const char *stubs;      /* the module's stubs, for the page about Lua */
} manual_sources;

/* index, one page a room, commands, lua and limits, each as .md and .html. IMP_INTERNAL: an example that does not run. */
imp_status write_manual(const char *folder, const manual_sources *sources, imp_error *error);

/* impinge.lua: the text of the file `functions`, then every calculation of the catalogue. */
imp_status write_stubs(const char *folder, const char *functions, imp_error *error);

/* ---- shared by the writers ---- */

/* Write what was collected as FOLDER/NAME and free it. */
imp_status finish_file(output *text, const char *folder, const char *name, imp_error *error);

/* What was collected so far as a C text, valid until more is collected; "" when memory ran out. */
const char *collected_text(output *text);

/* What completes the first argument of a command, as its usage says it. */
typedef struct argument_kind {
    bool calculation;    /* "ID" */
    bool inputs;         /* "NAME=VALUE" behind it */
    const char *pattern; /* "*.json", "*.lua", "*.csv"; NULL: no file */
} argument_kind;
argument_kind argument_kind_of(const command_row *command);

/* The three shells' files. */
void write_bash(output *out);
void write_zsh(output *out);
void write_fish(output *out);

#endif
