/* doc: what a sheet says, block by block, before it is set as text or as pages.
 *
 * A block is a headline, a paragraph with its lead ("[ ] ", "5. "), ready-made lines, a table or a
 * figure. Most blocks are for both readers; lines set by columns of characters are for the text
 * alone, tables and figures for the pages alone, and each of these has its counterpart there.
 * Failure sticks, as in a text buffer: ask once, when it is written.
 * Ownership: all lives in the context's arena; texts are copied. Statuses: SW_MEMORY.
 */
#ifndef SW_REPORT_DOC_H
#define SW_REPORT_DOC_H

#include <stdbool.h>

#include "base/buf.h"
#include "base/ctx.h"

enum sw_doc_for { SW_DOC_FOR_BOTH, SW_DOC_FOR_TEXT, SW_DOC_FOR_PAGES };

enum sw_doc_kind {
    SW_DOC_HEADLINE,
    SW_DOC_SUB,    /* a smaller headline */
    SW_DOC_WORDS,  /* a paragraph */
    SW_DOC_LINES,  /* text only: as they are */
    SW_DOC_TABLE,  /* pages only */
    SW_DOC_FIGURE, /* pages only */
    SW_DOC_BREAK   /* pages only: what follows begins a page */
};

enum sw_doc_figure { SW_DOC_STAFF, SW_DOC_SIDE };

struct sw_doc_column {
    const char *title;
    double least;   /* width [mm] */
    bool is_number; /* set from the right */
    bool is_blank;  /* to be filled in: ruled on both sides */
    bool may_wrap;  /* gives way when the table is too wide */
};

struct sw_doc_table {
    const char **at; /* cells, row by row; first, so that SW_VEC_PUSH takes a table */
    size_t n;
    size_t cap;
    const struct sw_doc_column *column;
    size_t n_columns;
    bool is_wide; /* over the whole page */
};

struct sw_doc_block {
    enum sw_doc_kind kind;
    enum sw_doc_for reader;
    size_t indent, hang;
    const char *lead;
    const char *words;
    bool is_wide; /* a smaller headline over a wide table */
    struct sw_doc_table *table;
    enum sw_doc_figure figure;
    size_t index; /* of the figure's side */
};

struct sw_doc {
    struct sw_doc_block *at;
    size_t n;
    size_t cap;
    struct sw_arena *arena;
    enum sw_doc_for reader;   /* of the blocks that are added from now on */
    struct sw_doc_table *row; /* sw_doc_row */
    size_t row_cell;          /* 1 + its cell of words; 0: not begun */
    bool failed;
};

/** A paragraph: its first line starts with LEAD (at column INDENT), the others HANG columns further
 *  in. A newline inside WORDS begins a new line. */
void sw_doc_words(struct sw_doc *doc, size_t indent, const char *lead, size_t hang,
                  const char *words);

/** sw_doc_words of a printf text, hanging by the width of its lead. */
void sw_doc_say(struct sw_doc *doc, size_t indent, const char *lead, const char *format, ...)
    SW_PRINTF(4, 5);

void sw_doc_headline(struct sw_doc *doc, const char *text);
void sw_doc_sub(struct sw_doc *doc, const char *format, ...) SW_PRINTF(2, 3);

/** Take over LINES for the text as they are; the buffer is freed. */
void sw_doc_lines(struct sw_doc *doc, struct sw_buf *lines);

/** Begin a table for the pages. COLUMN must outlive the document. */
struct sw_doc_table *sw_doc_table(struct sw_doc *doc, const struct sw_doc_column *column, size_t n,
                                  bool is_wide);
/** The next cell; rows follow from the number of columns. FORMAT NULL: the cell before runs on over
 *  this column. TABLE may be NULL after a failure. */
void sw_doc_cell(struct sw_doc *doc, struct sw_doc_table *table, const char *format, ...)
    SW_PRINTF(3, 4);

/** The paragraphs that follow are for the text alone; on the pages they are one row of TABLE: the
 *  first lead in its first cell, all words in the second, over all other columns. NULL ends it. */
void sw_doc_row(struct sw_doc *doc, struct sw_doc_table *table);

/** What was just said runs over the whole page: a smaller headline over a wide table. */
void sw_doc_widen(struct sw_doc *doc);

void sw_doc_figure(struct sw_doc *doc, enum sw_doc_figure figure, size_t index);
void sw_doc_break(struct sw_doc *doc);

/** Set everything that is for a text, at most SW_TEXT_WIDTH columns wide. */
void sw_doc_write_text(struct sw_buf *out, const struct sw_doc *doc);

#endif
