/* Times the operating point of the three invented rigs of tests/independent: "rig<TAB>nanoseconds<TAB>steps of a hose".
 *   point_bench tests/independent/operating_point.json */
#include <cjson/cJSON.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "argument.h"
#include "rig.h"
#include "rig_entry.h"

enum { ROUNDS = 5, TURNS = 400 };

static double now(void)
{
    struct timespec time;
    clock_gettime(CLOCK_MONOTONIC, &time);
    return (double)time.tv_sec * 1e9 + (double)time.tv_nsec;
}

static cJSON *read_rigs(const char *path)
{
    static char text[1 << 20];
    FILE *file = fopen(path, "rb");
    if (file == NULL)
        return NULL;
    const size_t length = fread(text, 1, sizeof text - 1, file);
    fclose(file);
    text[length] = '\0';
    return cJSON_Parse(text);
}

static imp_status read_inputs(const cJSON *inputs, imp_arena *arena, imp_value *in, imp_error *error)
{
    const char *names[IMP_MOST_INPUTS];
    char *texts[IMP_MOST_INPUTS];
    size_t count = 0;
    for (const cJSON *input = inputs->child; input != NULL; input = input->next, count++) {
        names[count] = input->string;
        texts[count] = cJSON_IsString(input) ? imp_copy_text(NULL, input->valuestring, strlen(input->valuestring))
                                             : cJSON_PrintUnformatted(input);
    }
    const imp_calc *calc = imp_catalogue_find("rig.operating_point");
    const imp_status status = imp_arguments_read(calc, count, names, (const char *const *)texts, arena, in, error);
    for (size_t i = 0; i < count; i++)
        free(texts[i]);
    return status;
}

/* Best round: the least disturbed one. Every turn has another set pressure, so nothing can be kept from the last. */
static imp_status time_rig(const char *name, imp_rig *rig, imp_error *error)
{
    imp_rig_result result;
    imp_status status = IMP_OK;
    const double pressure = rig->set_pressure;
    double best = 1e300;
    for (int round = 0; round < ROUNDS && status == IMP_OK; round++) {
        const double start = now();
        for (int turn = 0; turn < TURNS && status == IMP_OK; turn++) {
            rig->set_pressure = pressure * (1.0 - 1e-5 * turn);
            status = imp_rig_operating_point(rig, NULL, &result, error);
        }
        const double spent = (now() - start) / TURNS;
        best = spent < best ? spent : best;
    }
    if (status == IMP_OK)
        printf("operating point, %s\t%.0f\t%zu\n", name, best, result.side[IMP_ISO].run.steps);
    return status;
}

int main(int count, char *arguments[])
{
    cJSON *document = count == 2 ? read_rigs(arguments[1]) : NULL;
    const cJSON *entry = NULL;
    imp_error error = {.message = "usage: point_bench RIGS.json"};
    imp_status status = document != NULL ? IMP_OK : IMP_IO;
    cJSON_ArrayForEach(entry, cJSON_GetObjectItemCaseSensitive(document, "rigs"))
    {
        imp_arena arena;
        imp_value in[IMP_MOST_INPUTS];
        imp_rig rig;
        imp_arena_init(&arena, NULL);
        status = read_inputs(cJSON_GetObjectItemCaseSensitive(entry, "inputs"), &arena, in, &error);
        const imp_call call = {.in = in, .arena = &arena, .error = &error};
        if (status == IMP_OK)
            status = imp_rig_from_call(&call, &rig);
        if (status == IMP_OK)
            status = time_rig(cJSON_GetObjectItemCaseSensitive(entry, "name")->valuestring, &rig, &error);
        imp_arena_free(&arena);
        if (status != IMP_OK)
            break;
    }
    if (status != IMP_OK)
        fprintf(stderr, "point_bench: %s: %s\n", error.place, error.message);
    cJSON_Delete(document);
    return status == IMP_OK ? 0 : 1;
}
