/* field_table.h — how the documents' field tables are written down; private to the document room. */
#ifndef IMP_FIELD_TABLE_H
#define IMP_FIELD_TABLE_H

#include "param.h"

/* clang-format off */
#define IMP_FIELD_QUANTITY(name_, dimension_, unit_, low_, high_, ends_, help_) \
    { .name = (name_), .kind = IMP_NUMBER, .dimension = (dimension_), .unit = (unit_), .presence = IMP_OPTIONAL, \
      .low = (low_), .high = (high_), .ends = (ends_), .help = (help_) }
#define IMP_FIELD_REQUIRED_QUANTITY(name_, dimension_, unit_, low_, high_, ends_, help_) \
    { .name = (name_), .kind = IMP_NUMBER, .dimension = (dimension_), .unit = (unit_), .presence = IMP_REQUIRED, \
      .low = (low_), .high = (high_), .ends = (ends_), .help = (help_) }
#define IMP_FIELD_DEFAULT_QUANTITY(name_, dimension_, unit_, low_, high_, ends_, fallback_, help_) \
    { .name = (name_), .kind = IMP_NUMBER, .dimension = (dimension_), .unit = (unit_), .presence = IMP_DEFAULT, \
      .low = (low_), .high = (high_), .ends = (ends_), .fallback = (fallback_), .help = (help_) }
#define IMP_FIELD_LIST(name_, dimension_, unit_, low_, high_, ends_, help_) \
    { .name = (name_), .kind = IMP_LIST, .dimension = (dimension_), .unit = (unit_), .presence = IMP_OPTIONAL, \
      .low = (low_), .high = (high_), .ends = (ends_), .help = (help_) }
#define IMP_FIELD_CHOICE(name_, choices_, help_) \
    { .name = (name_), .kind = IMP_CHOICE, .presence = IMP_OPTIONAL, .choices = (choices_), .help = (help_) }
#define IMP_FIELD_DEFAULT_CHOICE(name_, choices_, fallback_, help_) \
    { .name = (name_), .kind = IMP_CHOICE, .presence = IMP_DEFAULT, .choices = (choices_), .fallback = (fallback_), .help = (help_) }
#define IMP_FIELD_RECORD(name_, rows_, help_) \
    { .name = (name_), .kind = IMP_RECORD, .presence = IMP_OPTIONAL, .rows = (rows_), .help = (help_) }
#define IMP_FIELD_TABLE(name_, rows_, help_) \
    { .name = (name_), .kind = IMP_TABLE, .presence = IMP_OPTIONAL, .rows = (rows_), .help = (help_) }
#define IMP_FIELD_DOCUMENT(name_, rows_, help_) \
    { .name = (name_), .kind = IMP_FILE_OR_RECORD, .presence = IMP_REQUIRED, .rows = (rows_), .help = (help_) }
#define IMP_FIELD_TEXT(name_, presence_, help_) \
    { .name = (name_), .kind = IMP_TEXT, .presence = (presence_), .help = (help_) }
#define IMP_FIELD_FLAG(name_, help_) \
    { .name = (name_), .kind = IMP_FLAG, .presence = IMP_OPTIONAL, .help = (help_) }
#define IMP_FIELD_DATE(name_, help_) \
    { .name = (name_), .kind = IMP_DATE, .presence = IMP_OPTIONAL, .help = (help_) }
#define IMP_FIELD_END { .name = NULL }

/* A count: whole_number in document_check.c refuses fractions. */
#define IMP_FIELD_COUNT(name_, low_, high_, help_) \
    IMP_FIELD_QUANTITY(name_, IMP_PURE, "1", low_, high_, IMP_CLOSED, help_)

/* Rows of a window {min, max}; either may be absent. */
#define IMP_FIELD_WINDOW(stem, dimension_, unit_, low_, high_) \
    static const imp_param stem[] = { \
        IMP_FIELD_QUANTITY("min", dimension_, unit_, low_, high_, IMP_CLOSED, "Lowest allowed value"), \
        IMP_FIELD_QUANTITY("max", dimension_, unit_, low_, high_, IMP_CLOSED, "Highest allowed value"), \
        IMP_FIELD_END }

/* The keys with which every document begins. */
#define IMP_FIELD_HEAD(kinds_) \
    { .name = "$schema", .kind = IMP_TEXT, .presence = IMP_OPTIONAL, \
      .help = "Where an editor finds the JSON Schema of this document; not used by the program" }, \
    { .name = "impinge", .kind = IMP_NUMBER, .dimension = IMP_PURE, .unit = "1", .presence = IMP_DEFAULT, \
      .low = 1, .high = 1, .ends = IMP_CLOSED, .fallback = 1, .help = "Version of the document format: 1" }, \
    { .name = "kind", .kind = IMP_CHOICE, .presence = IMP_OPTIONAL, .choices = (kinds_), .help = "What this document describes" }, \
    IMP_FIELD_TEXT("name", IMP_REQUIRED, "Name by which people know it; say so when it is invented"), \
    IMP_FIELD_TEXT("note", IMP_OPTIONAL, "Anything a reader should know; JSON itself has no comments")
/* clang-format on */

/* The three documents, and what they share. */
extern const imp_param imp_material_rows[], imp_rig_rows[], imp_job_rows[];
extern const imp_param imp_window_rows[]; /* processing windows: the material's, and the job's own */
extern const imp_param imp_liquid_rows[]; /* one side of the material */
extern const imp_param imp_site_rows[], imp_supply_rows[], imp_hoses_rows[], imp_settings_rows[], imp_stock_rows[]; /* the job's */
extern const imp_param imp_limit_rows[];  /* limits of the pre-job rules: the job's, the material's, the rig's */

#endif
