/* json.h — writes JSON to the output: commas, indentation, escapes; numbers the same in every locale. */
#ifndef IMP_RUNNER_JSON_H
#define IMP_RUNNER_JSON_H

#include "output.h"

enum { JSON_DEPTH = 32 };

typedef struct json_writer {
    output *out;
    int depth;
    int inline_depth; /* from this depth on everything stays on one line; 0 = none */
    bool has_member[JSON_DEPTH];
    bool after_key;
} json_writer;

void json_init(json_writer *json, output *out);

/* Objects and arrays, on lines of their own; the _inline ones and all inside them on one line. */
void json_open_object(json_writer *json);
void json_open_object_inline(json_writer *json);
void json_open_array(json_writer *json);
void json_open_array_inline(json_writer *json);
void json_close_object(json_writer *json);
void json_close_array(json_writer *json);

void json_key(json_writer *json, const char *key);
void json_text(json_writer *json, const char *text); /* NULL: null; bytes that are not UTF-8 become U+FFFD */
void json_flag(json_writer *json, bool flag);
/* Shortest text that reads back the same double; null when it is not finite. */
void json_number(json_writer *json, double number);
/* A number that is a text already. */
void json_raw(json_writer *json, const char *text);

/* key and value at once */
void json_member_text(json_writer *json, const char *key, const char *text);

#endif
