/* published_cases.h — the published values that the tests reproduce, as the manual shows them. */
#ifndef IMP_PUBLISHED_CASES_H
#define IMP_PUBLISHED_CASES_H

#include "catalogue.h"
#include "paper.h"

struct cJSON;

/* The cases of a room, or NULL where there is no file ROOM.json; released with cJSON_Delete. IMP_IO, IMP_SYNTAX. */
imp_status read_cases(const char *folder, const char *room, struct cJSON **cases, imp_error *error);

/* A command line from the first of the entry's cases, in the arena; NULL where there is none, or memory ran out. */
const char *case_command(const struct cJSON *cases, const imp_calc *calc, imp_arena *arena);

/* The entry's cases as a table: inputs, the published value, what impinge gives, the tolerance, the source. */
imp_status write_cases(paper *page, const struct cJSON *cases, const imp_calc *calc, imp_error *error);

#endif
