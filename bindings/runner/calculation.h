/* calculation.h — an entry of the catalogue as help: found by its id, described as JSON, with an example that works. */
#ifndef IMP_RUNNER_CALCULATION_H
#define IMP_RUNNER_CALCULATION_H

#include "catalogue.h"
#include "json.h"

/* Length of the room's part of an id: "climate" of "climate.dew_point". */
int room_length(const char *id);

/* "from -60 degC to 80 degC", "above 0 mm, up to 50 mm", "one of B1, B2", "any volume flow". size >= 256. Returns text.
 */
char *allowed_text(const imp_param *row, char *text, size_t size);

/* The whole entry as an object: id, title, formula, source, validity, inputs and outputs with all that their rows say.
 */
void calculation_json(json_writer *json, const imp_calc *calc, const char *example);

/* A command line that works, in which the calculation is called `word`: the required inputs with values inside their ranges, and as many optional ones as it
 * takes. The text lives in the arena. IMP_MEMORY; IMP_NO_SOLUTION when no values were found that go together. */
imp_status example_command(const imp_calc *calc, const char *word, imp_arena *arena, const char **command);

#endif
