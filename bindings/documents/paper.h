/* paper.h — a page of the manual, written as Markdown or as HTML by the same calls. */
#ifndef IMP_PAPER_H
#define IMP_PAPER_H

#include "output.h"

typedef struct paper {
    output text;
    bool html;
    const char *style; /* of HTML */
    char name[64];     /* of the file */
} paper;

/* NAME.md or NAME.html. */
void paper_open(paper *page, bool html, const char *style, const char *name, const char *title);
/* Write the page into the folder, and free it. */
imp_status paper_close(paper *page, const char *folder, imp_error *error);

/* level 1 is the page's title, which paper_open writes; anchor may be NULL. */
void paper_heading(paper *page, int level, const char *anchor, const char *text);
/* A paragraph, after a label in bold (NULL: none). Line ends in it are kept. */
void paper_paragraph(paper *page, const char *label, const char *text);
/* Lines as they are typed or shown. */
void paper_code(paper *page, const char *text);
/* A line of a list that leads to another page ("" and an anchor: this page). */
void paper_link(paper *page, const char *name, const char *anchor, const char *text, const char *more);

/* A table: heads, then rows of as many cells. Cells that begin with a backquote are shown as code. */
void paper_table(paper *page, const char *caption, const char *const *heads, size_t count);
void paper_row(paper *page, const char *const *cells, size_t count);
void paper_table_end(paper *page);

#endif
