#include "paper.h"

#include <stdio.h>
#include <string.h>

#include "documents.h"

/* For text between tags and in attributes. */
static void write_html(output *out, const char *text)
{
    for (const char *at = text; *at != '\0'; at++) {
        if (*at == '&')
            output_text(out, "&amp;");
        else if (*at == '<')
            output_text(out, "&lt;");
        else if (*at == '>')
            output_text(out, "&gt;");
        else if (*at == '"')
            output_text(out, "&quot;");
        else
            output_bytes(out, at, 1);
    }
}

/* Every mark that means something in Markdown is written with a backslash. */
static void write_markdown(output *out, const char *text)
{
    for (const char *at = text; *at != '\0'; at++) {
        if (strchr("\\`*_{}[]<>#|~", *at) != NULL)
            output_text(out, "\\");
        output_bytes(out, at, 1);
    }
}

static void write_text(paper *page, const char *text)
{
    if (page->html)
        write_html(&page->text, text);
    else
        write_markdown(&page->text, text);
}

/* Additions to the style of the reports. */
static const char manual_style[] =
    "h1 { font-size: 1.7rem; font-weight: bold; color: var(--ink); }\n"
    "h2 { margin-top: 3rem; } h3 { margin: 1.2rem 0 .3rem; }\n"
    "pre { background: var(--tint); padding: .5rem .75rem; overflow-x: auto; white-space: pre-wrap;"
    " font: .875rem/1.4 \"DejaVu Sans Mono\", monospace; }\n"
    "caption { padding-top: .8rem; } a { color: inherit; }\n"
    ".wide td, .wide th { overflow-wrap: break-word; } .wide td:last-child { min-width: 12rem; }\n";

void paper_open(paper *page, bool html, const char *style, const char *name, const char *title)
{
    *page = (paper){.html = html, .style = style};
    snprintf(page->name, sizeof page->name, "%s.%s", name, html ? "html" : "md");
    output_init(&page->text, page->name, "never");
    if (html) {
        output_text(&page->text, "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
                                 "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>");
        write_html(&page->text, title);
        output_format(&page->text, " - impinge</title>\n<style>\n%s%s</style>\n</head>\n<body>\n", style, manual_style);
    }
    paper_heading(page, 1, NULL, title);
}

imp_status paper_close(paper *page, const char *folder, imp_error *error)
{
    paper_paragraph(page, NULL,
                    "impinge " IMP_VERSION
                    ". This page is written from the program's own tables. The figures support and "
                    "never replace the supplier's data sheets, local codes and licensed practice.");
    if (page->html)
        output_text(&page->text, "</body>\n</html>\n");
    return finish_file(&page->text, folder, page->name, error);
}

void paper_heading(paper *page, int level, const char *anchor, const char *text)
{
    output *out = &page->text;
    if (page->html) {
        output_format(out, "<h%d", level);
        if (anchor != NULL)
            output_format(out, " id=\"%s\"", anchor);
        output_text(out, ">");
        write_html(out, text);
        output_format(out, "</h%d>\n", level);
        return;
    }
    if (anchor != NULL)
        output_format(out, "<a id=\"%s\"></a>\n", anchor);
    output_format(out, "%.*s ", level, "######");
    write_markdown(out, text);
    output_text(out, "\n\n");
}

void paper_paragraph(paper *page, const char *label, const char *text)
{
    output *out = &page->text;
    if (page->html)
        output_text(out, "<p>");
    if (label != NULL)
        output_format(out, page->html ? "<strong>%s</strong> " : "**%s** ", label);
    for (const char *at = text; *at != '\0';) {
        char line[2048];
        const size_t length = strcspn(at, "\n");
        snprintf(line, sizeof line, "%.*s", (int)length, at);
        write_text(page, line);
        at += length;
        if (*at == '\n') {
            output_text(out, page->html ? "<br>\n" : "  \n");
            at++;
        }
    }
    output_text(out, page->html ? "</p>\n" : "\n\n");
}

void paper_code(paper *page, const char *text)
{
    output *out = &page->text;
    const size_t length = strlen(text);
    const char *end = length > 0 && text[length - 1] == '\n' ? "" : "\n";
    if (page->html) {
        output_text(out, "<pre>");
        write_html(out, text);
        output_text(out, "</pre>\n");
    } else {
        output_format(out, "```text\n%s%s```\n\n", text, end);
    }
}

void paper_link(paper *page, const char *name, const char *anchor, const char *text, const char *more)
{
    output *out = &page->text;
    const char *extension = name[0] == '\0' ? "" : page->html ? ".html" : ".md";
    const char *mark = anchor != NULL ? "#" : "", *place = anchor != NULL ? anchor : "";
    if (page->html) {
        output_format(out, "<p><a href=\"%s%s%s%s\">", name, extension, mark, place);
        write_html(out, text);
        output_text(out, "</a> ");
        write_html(out, more);
        output_text(out, "</p>\n");
    } else {
        output_text(out, "- [");
        write_markdown(out, text);
        output_format(out, "](%s%s%s%s) ", name, extension, mark, place);
        write_markdown(out, more);
        output_text(out, "\n");
    }
}

void paper_table(paper *page, const char *caption, const char *const *heads, size_t count)
{
    output *out = &page->text;
    if (page->html) {
        output_format(out, "<div class=\"wide\"><table><caption>%s</caption><thead><tr>", caption);
        for (size_t i = 0; i < count; i++)
            output_format(out, "<th scope=\"col\">%s</th>", heads[i]);
        output_text(out, "</tr></thead><tbody>\n");
        return;
    }
    output_format(out, "**%s**\n\n|", caption);
    for (size_t i = 0; i < count; i++)
        output_format(out, " %s |", heads[i]);
    output_text(out, "\n|");
    for (size_t i = 0; i < count; i++)
        output_text(out, "---|");
    output_text(out, "\n");
}

void paper_row(paper *page, const char *const *cells, size_t count)
{
    output *out = &page->text;
    output_text(out, page->html ? "<tr>" : "|");
    for (size_t i = 0; i < count; i++) {
        const bool code = cells[i][0] == '`';
        output_text(out, page->html ? (code ? "<td><code>" : "<td>") : (code ? " `" : " "));
        if (code && !page->html) {
            for (const char *at = cells[i] + 1; *at != '\0'; at++)
                output_format(out, *at == '|' ? "\\%c" : "%c", *at);
        } else {
            write_text(page, cells[i] + (code ? 1 : 0));
        }
        output_text(out, page->html ? (code ? "</code></td>" : "</td>") : (code ? "` |" : " |"));
    }
    output_text(out, page->html ? "</tr>\n" : "\n");
}

void paper_table_end(paper *page)
{
    output_text(&page->text, page->html ? "</tbody></table></div>\n" : "\n");
}
