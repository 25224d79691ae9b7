#include "report/doc.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "report/text.h"

/* The new block; NULL when out of memory. */
static struct sw_doc_block *add(struct sw_doc *doc, enum sw_doc_kind kind)
{
    const struct sw_doc_block block = {
        .kind = kind, .reader = doc->reader, .lead = "", .words = ""};
    doc->failed = doc->failed || !SW_VEC_PUSH(doc->arena, doc, block);
    return doc->failed ? NULL : &doc->at[doc->n - 1];
}

static const char *kept(struct sw_doc *doc, const char *text, size_t n)
{
    const char *copy = doc->failed ? NULL : sw_arena_copy(doc->arena, text, n);
    doc->failed = doc->failed || !copy;
    return copy ? copy : "";
}

/* ARGS printed into the arena, "" when out of memory. */
static const char *printed(struct sw_doc *doc, const char *format, va_list args)
    __attribute__((format(printf, 2, 0)));
static const char *printed(struct sw_doc *doc, const char *format, va_list args)
{
    va_list again;
    va_copy(again, args);
    const int size = vsnprintf(NULL, 0, format, args);
    char *text = doc->failed || size < 0 ? NULL : SW_NEW(doc->arena, char, (size_t)size + 1);
    if (text)
        vsnprintf(text, (size_t)size + 1, format, again);
    else
        doc->failed = true;
    va_end(again);
    return text ? text : "";
}

void sw_doc_words(struct sw_doc *doc, size_t indent, const char *lead, size_t hang,
                  const char *words)
{
    struct sw_doc_block *block = add(doc, SW_DOC_WORDS);
    if (!block)
        return;
    block->indent = indent;
    block->hang = hang;
    block->lead = kept(doc, lead, strlen(lead));
    block->words = kept(doc, words, strlen(words));
    if (!doc->row)
        return;
    block->reader = SW_DOC_FOR_TEXT;
    if (doc->row_cell) {
        const char **cell = &doc->row->at[doc->row_cell - 1];
        const char *both = sw_arena_printf(doc->arena, "%s\n%s", *cell, words);
        doc->failed = doc->failed || !both;
        *cell = both ? both : "";
    } else {
        while (*lead == ' ')
            lead++;
        sw_doc_cell(doc, doc->row, "%s", lead);
        sw_doc_cell(doc, doc->row, "%s", words);
        doc->row_cell = doc->row->n;
    }
}

void sw_doc_say(struct sw_doc *doc, size_t indent, const char *lead, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    const char *words = printed(doc, format, args);
    va_end(args);
    sw_doc_words(doc, indent, lead, strlen(lead), words);
}

void sw_doc_headline(struct sw_doc *doc, const char *text)
{
    struct sw_doc_block *block = add(doc, SW_DOC_HEADLINE);
    if (block)
        block->words = kept(doc, text, strlen(text));
}

void sw_doc_sub(struct sw_doc *doc, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    const char *words = printed(doc, format, args);
    va_end(args);
    struct sw_doc_block *block = add(doc, SW_DOC_SUB);
    if (block)
        block->words = words;
}

void sw_doc_lines(struct sw_doc *doc, struct sw_buf *lines)
{
    struct sw_doc_block *block = add(doc, SW_DOC_LINES);
    if (block) {
        block->reader = SW_DOC_FOR_TEXT;
        block->words = kept(doc, sw_buf_text(lines), lines->n);
    }
    doc->failed = doc->failed || lines->failed;
    sw_buf_done(lines);
}

struct sw_doc_table *sw_doc_table(struct sw_doc *doc, const struct sw_doc_column *column, size_t n,
                                  bool is_wide)
{
    struct sw_doc_table *table = doc->failed ? NULL : SW_NEW(doc->arena, struct sw_doc_table, 1);
    doc->failed = doc->failed || !table;
    struct sw_doc_block *block = add(doc, SW_DOC_TABLE);
    if (!block)
        return NULL;
    table->column = column;
    table->n_columns = n;
    table->is_wide = is_wide;
    block->reader = SW_DOC_FOR_PAGES;
    block->table = table;
    return table;
}

void sw_doc_cell(struct sw_doc *doc, struct sw_doc_table *table, const char *format, ...)
{
    const char *text = NULL;
    if (format) {
        va_list args;
        va_start(args, format);
        text = printed(doc, format, args);
        va_end(args);
    }
    if (table && !doc->failed)
        doc->failed = !SW_VEC_PUSH(doc->arena, table, text);
}

void sw_doc_row(struct sw_doc *doc, struct sw_doc_table *table)
{
    while (doc->row && doc->row->n % doc->row->n_columns && !doc->failed)
        sw_doc_cell(doc, doc->row, NULL);
    doc->row = table;
    doc->row_cell = 0;
}

void sw_doc_widen(struct sw_doc *doc)
{
    if (doc->n && !doc->failed)
        doc->at[doc->n - 1].is_wide = true;
}

void sw_doc_figure(struct sw_doc *doc, enum sw_doc_figure figure, size_t index)
{
    struct sw_doc_block *block = add(doc, SW_DOC_FIGURE);
    if (!block)
        return;
    block->reader = SW_DOC_FOR_PAGES;
    block->figure = figure;
    block->index = index;
}

void sw_doc_break(struct sw_doc *doc)
{
    struct sw_doc_block *block = add(doc, SW_DOC_BREAK);
    if (block)
        block->reader = SW_DOC_FOR_PAGES;
}

void sw_doc_write_text(struct sw_buf *out, const struct sw_doc *doc)
{
    for (size_t i = 0; i < doc->n; i++) {
        const struct sw_doc_block *block = &doc->at[i];
        if (block->reader == SW_DOC_FOR_PAGES)
            continue;
        if (block->kind == SW_DOC_HEADLINE) {
            sw_text_headline(out, block->words);
        } else if (block->kind == SW_DOC_SUB) {
            sw_buf_add(out, "\n");
            sw_text_wrap(out, 0, "", 0, block->words);
        } else if (block->kind == SW_DOC_WORDS) {
            sw_text_wrap(out, block->indent, block->lead, block->hang, block->words);
        } else if (block->kind == SW_DOC_LINES) {
            sw_buf_add(out, block->words);
        }
    }
    out->failed = out->failed || doc->failed;
}
