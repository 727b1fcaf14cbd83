/* Job logs. The first line, where it begins with "{", is a columns document. The answers may not depend on threads, on how
 * much is read at a time, or on where the log was cut into two pieces. */
#define _GNU_SOURCE
#include "fuzz_log.h"

const char *const fuzz_words[] = {"time", "trigger", "iso_flow [L/min]", "resin_flow [L/min]", "iso_cycles", "resin_cycles",
                                  "hose_temperature [degC]", "2031-05-14T07:00:0", "+02:00", "Z", ",", ";", "\t", "\r\n", "\n", "\"",
                                  "\"\"", "1e308", "-0", "1e-310", ".5", "12,5", "nan", "\xef\xbb\xbf", "\0", "0\n1,", "3600,",
                                  "{\"impinge\":1,\"columns\":[{\"header\":\"P\",\"name\":\"iso_pressure\",\"unit\":\"bar\"}]}\n",
                                  "\"time_format\":\"DD.MM.YYYY hh:mm:ss\"", "\"decimal\":\"comma\"", NULL};

/* The whole log read in another way. */
static bool same_run(const char *path, const imp_log_mapping *mapping, int threads, size_t chunk, size_t rows, uint64_t expected,
                     uint64_t all_bytes)
{
    const imp_log_options options = {.threads = threads, .mapping = mapping, .chunk = chunk, .rows = rows};
    uint64_t answers = 0, bytes = 0;
    imp_error error;
    return run_log(path, &options, &answers, &bytes, &error) && answers == expected && bytes == all_bytes;
}

/* The first time that is read says what times are: a log that mixes kinds is another log when it is cut. */
static bool same_clock(const imp_log_header *a, const imp_log_header *b)
{
    return a->is_calendar == b->is_calendar && a->has_zone == b->has_zone && a->zone_offset == b->zone_offset;
}

/* The answers of the log cut behind the line end before `cut`. Quotes may hold line ends, where no piece ends. */
static void compare_pieces(const char *text, size_t length, size_t cut, const imp_log_mapping *mapping, uint64_t expected)
{
    const imp_log_options options = {.mapping = mapping};
    const char *head = memchr(text, '\n', length);
    if (head == NULL || memchr(text, '"', length) != NULL)
        return;
    const size_t header = (size_t)(head + 1 - text);
    while (cut > header && text[cut - 1] != '\n')
        cut--;
    if (cut <= header || cut >= length)
        return;
    char *second = malloc(header + length - cut), *partials[2] = {NULL, NULL};
    size_t lengths[2];
    if (second == NULL)
        return;
    memcpy(second, text, header);
    memcpy(second + header, text + cut, length - cut);
    partials[0] = partial_of(file_of(1, text, cut), &options, &lengths[0]);
    partials[1] = partial_of(file_of(1, second, header + length - cut), &options, &lengths[1]);
    free(second);
    imp_log_header found, other;
    imp_columns *columns = NULL;
    questions all;
    if (partials[0] != NULL && partials[1] != NULL &&
        imp_columns_partial_header(partials[0], lengths[0], &found, NULL) == IMP_OK &&
        imp_columns_partial_header(partials[1], lengths[1], &other, NULL) == IMP_OK && same_clock(&found, &other) &&
        imp_columns_create(NULL, &columns, NULL) == IMP_OK && imp_columns_bind(columns, &found, NULL) == IMP_OK &&
        ask_questions(columns, &all, NULL) == IMP_OK) {
        imp_error error;
        imp_status status = imp_columns_merge(columns, partials[0], lengths[0], &error);
        if (status == IMP_OK)
            status = imp_columns_merge(columns, partials[1], lengths[1], &error);
        if (status == IMP_OK)
            status = imp_columns_merge_finish(columns, &error);
        if (status != IMP_OK)
            require_error(status, &error);
        else
            require(answers_of(columns, &all) == expected, "pieces merge to the same answers");
    }
    imp_columns_free(columns);
    free(partials[0]);
    free(partials[1]);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    fuzz_supply supply = {data, size};
    imp_log_mapping mapping;
    const imp_log_mapping *used = NULL;
    const char *line;
    size_t length;
    imp_error error;
    const size_t shift = size > 2 ? (size_t)(data[size / 2] * 256 + data[size - 1]) : 0;
    if (size > 0 && data[0] == '{' && take_line(&supply, &line, &length)) {
        const imp_status status = imp_log_mapping_read(line, length, NULL, &mapping, &error);
        if (status != IMP_OK) {
            require_error(status, &error);
            return 0;
        }
        used = &mapping;
    }
    const char *text = (const char *)supply.at, *path = file_of(0, text, supply.left);
    const imp_log_options plain = {.mapping = used};
    uint64_t answers = 0, bytes = 0;
    if (!run_log(path, &plain, &answers, &bytes, &error)) {
        require_error(error.status, &error);
    } else {
        require(same_run(path, used, 1, 1 + shift % 300, 1 + shift % 7, answers, bytes), "answers do not depend on how much is read at a time");
        if (shift % 8 == 0)
            require(same_run(path, used, 3, 100, 64, answers, bytes), "answers do not depend on threads");
        if (supply.left > 0)
            compare_pieces(text, supply.left, shift % supply.left, used, answers);
    }
    if (used != NULL)
        imp_log_mapping_free(&mapping);
    return 0;
}
