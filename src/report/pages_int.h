/* pages_int: from blocks to strips; for pages*.c alone. */
#ifndef SW_REPORT_PAGES_INT_H
#define SW_REPORT_PAGES_INT_H

#include "report/pages.h"

/* What is drawn, from the upper left corner of its strip [mm]. */
enum pages_mark_kind { PAGES_TEXT, PAGES_LINE, PAGES_BOX };

struct pages_mark {
    enum pages_mark_kind kind;
    double x, y, x1, y1; /* text: its beginning on the base line; others: from, to */
    double height;       /* text */
    double width;        /* of the pen; 0: text */
    bool is_bold;
    const char *text;
};

/* A band over a column or the page, never broken. */
struct pages_strip {
    struct pages_mark *at; /* first, so that SW_VEC_PUSH takes a strip */
    size_t n;
    size_t cap;
    double gap; /* above it, but not at the top of a column [mm] */
    double height;
    bool is_wide;
    bool keeps;  /* together with the next one */
    bool breaks; /* begins a page */
    size_t head; /* 1 + the first strip of the table's head it belongs to; 0: none */
    size_t n_head;
    const struct sw_doc_block *figure;
};

struct pages_strips {
    struct pages_strip *at;
    size_t n;
    size_t cap;
    struct sw_arena *arena;
    const struct sw_pages *pages;
    bool failed;
};

#define PAGES_GUTTER 5.0
#define PAGES_COLUMN ((SW_PAGES_RIGHT - SW_PAGES_LEFT - PAGES_GUTTER) / 2)
#define PAGES_PITCH 2.7

/* All blocks for the pages, as strips. */
void pages_cut(struct pages_strips *out, const struct sw_doc *doc);

/* A paragraph WIDTH wide in its lines; each is a new strip. */
struct pages_words {
    const char *words;
    double x, width; /* of the lines after the first */
    double first_x;  /* of the first line */
    double height;
    bool is_bold;
};

/* Break words into lines, each a mark list. */
struct pages_line {
    struct pages_mark *at;
    size_t n;
    size_t cap;
    double end; /* how far it reaches */
};
struct pages_lines {
    struct pages_line *at;
    size_t n;
    size_t cap;
};
void pages_break(struct pages_strips *strips, struct pages_lines *out,
                 const struct pages_words *words);

/* Width of a text [mm]. */
double pages_width(const char *text, double height);

#endif
