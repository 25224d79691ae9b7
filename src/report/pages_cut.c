/* Blocks into strips: lines of paragraphs, rows of tables, figures. */
#include <math.h>
#include <string.h>

#include "report/pages_int.h"

/* Where text begins in a line [mm]: behind a box to tick, behind a dash, one step further in. */
static const double box_size = 1.9, behind_box = 3.6, behind_dash = 2.2, step = 3.6;
/* Above a paragraph, a smaller headline, a headline; from the top of a line to its base line. */
static const double paragraph_gap = 0.25, sub_gap = 1.0, headline_gap = 1.7, base = 2.1;
static const double rule_pen = 0.35, thin_pen = 0.13, box_pen = 0.2;
/* A row to write in is at least so high. */
static const double blank_high = 4.6;
/* Between the text of a table's cell and its edges; above and below a row. */
static const double cell_side = 0.7, cell_above = 0.33, cell_below = 0.05;

static struct pages_strip *add_strip(struct pages_strips *strips, double gap, double height)
{
    const struct pages_strip strip = {.gap = gap, .height = height};
    strips->failed = strips->failed || !SW_VEC_PUSH(strips->arena, strips, strip);
    return strips->failed ? NULL : &strips->at[strips->n - 1];
}

static void add_mark(struct pages_strips *strips, struct pages_strip *strip, struct pages_mark mark)
{
    strips->failed = strips->failed || !SW_VEC_PUSH(strips->arena, strip, mark);
}

static void add_text(struct pages_strips *strips, struct pages_strip *strip, double x, double y,
                     double height, bool is_bold, const char *text)
{
    add_mark(strips, strip,
             (struct pages_mark){.kind = PAGES_TEXT,
                                 .x = x,
                                 .y = y,
                                 .height = height,
                                 .is_bold = is_bold,
                                 .text = text});
}

static void add_lines(struct pages_strips *strips, struct pages_strip *strip,
                      const struct pages_line *line, double y)
{
    for (size_t i = 0; i < line->n; i++) {
        struct pages_mark mark = line->at[i];
        mark.y += y;
        mark.y1 = mark.y;
        add_mark(strips, strip, mark);
    }
}

/* LEAD without the spaces round it, in the arena. */
static const char *bare(struct pages_strips *strips, const char *lead)
{
    const char *end = lead + strlen(lead);
    while (*lead == ' ')
        lead++;
    while (end > lead && end[-1] == ' ')
        end--;
    const char *copy = sw_arena_copy(strips->arena, lead, (size_t)(end - lead));
    strips->failed = strips->failed || !copy;
    return copy ? copy : "";
}

static void cut_words(struct pages_strips *strips, const struct sw_doc_block *block)
{
    enum { FAR_IN = 5 };
    const char *lead = bare(strips, block->lead);
    const bool is_box = strcmp(lead, "[ ]") == 0, is_dash = strcmp(lead, "-") == 0;
    const double left = block->indent >= FAR_IN ? step : 0;
    double x = left;
    if (is_box)
        x += behind_box;
    else if (is_dash)
        x += behind_dash;
    else if (*lead)
        x += fmax(behind_box, pages_width(lead, SW_PAGES_TEXT) + 1.2);
    struct pages_lines lines = {0};
    const struct pages_words words = {.words = block->words,
                                      .x = x,
                                      .first_x = x,
                                      .width = PAGES_COLUMN - x,
                                      .height = SW_PAGES_TEXT};
    pages_break(strips, &lines, &words);
    for (size_t i = 0; i < lines.n && !strips->failed; i++) {
        struct pages_strip *strip = add_strip(strips, i ? 0 : paragraph_gap, PAGES_PITCH);
        if (!strip)
            return;
        /* No line of a paragraph stands alone. */
        strip->keeps = (i == 0 || i + 2 == lines.n) && i + 1 < lines.n;
        if (i == 0 && is_box)
            add_mark(strips, strip,
                     (struct pages_mark){.kind = PAGES_BOX,
                                         .x = left + 0.2,
                                         .y = base - box_size,
                                         .x1 = left + 0.2 + box_size,
                                         .y1 = base,
                                         .width = box_pen});
        else if (i == 0 && *lead)
            add_text(strips, strip, left, base, SW_PAGES_TEXT, false, is_dash ? "\u2013" : lead);
        add_lines(strips, strip, &lines.at[i], base);
    }
}

static void cut_headline(struct pages_strips *strips, const struct sw_doc_block *block)
{
    struct pages_strip *strip = add_strip(strips, headline_gap, SW_PAGES_HEAD + 2.0);
    if (!strip)
        return;
    strip->keeps = strip->is_wide = true;
    const double y = SW_PAGES_HEAD + 0.3;
    add_text(strips, strip, 0, y, SW_PAGES_HEAD, true, block->words);
    add_mark(strips, strip,
             (struct pages_mark){.kind = PAGES_LINE,
                                 .y = y + 1.1,
                                 .x1 = SW_PAGES_RIGHT - SW_PAGES_LEFT,
                                 .y1 = y + 1.1,
                                 .width = rule_pen});
}

static void cut_sub(struct pages_strips *strips, const struct sw_doc_block *block)
{
    struct pages_lines lines = {0};
    const struct pages_words words = {
        .words = block->words, .width = PAGES_COLUMN, .height = SW_PAGES_TEXT, .is_bold = true};
    pages_break(strips, &lines, &words);
    for (size_t i = 0; i < lines.n && !strips->failed; i++) {
        struct pages_strip *strip = add_strip(strips, i ? 0 : sub_gap, PAGES_PITCH);
        if (!strip)
            return;
        strip->keeps = true;
        strip->is_wide = block->is_wide;
        add_lines(strips, strip, &lines.at[i], base);
    }
}

/* The widest word of a text. */
static double widest_word(struct pages_strips *strips, const char *text)
{
    double widest = 0;
    while (*text && !strips->failed) {
        const size_t n = strcspn(text, " \n");
        const char *word = sw_arena_copy(strips->arena, text, n);
        strips->failed = strips->failed || !word;
        if (word)
            widest = fmax(widest, pages_width(word, SW_PAGES_TEXT));
        text += n;
        text += strspn(text, " \n");
    }
    return widest;
}

/* A cell that ends where its column ends. */
static bool is_single(const struct sw_doc_table *table, size_t i)
{
    const bool is_last = (i + 1) % table->n_columns == 0 || i + 1 >= table->n;
    return table->at[i] && (is_last || table->at[i + 1]);
}

/* Between the width at which no word is broken, and the one at which no line is. */
static void column_widths(struct pages_strips *strips, double *wide,
                          const struct sw_doc_table *table, double width)
{
    const size_t n = table->n_columns;
    double *whole = SW_NEW(strips->arena, double, n);
    if (!whole) {
        strips->failed = true;
        return;
    }
    double least = 0, most = 0;
    size_t n_open = 0; /* columns that may be wider than they need */
    for (size_t k = 0; k < n; k++) {
        const struct sw_doc_column *column = &table->column[k];
        wide[k] = widest_word(strips, column->title) + 2 * cell_side;
        for (size_t i = k; i < table->n; i += n) {
            if (!is_single(table, i))
                continue;
            whole[k] = fmax(whole[k], pages_width(table->at[i], SW_PAGES_TEXT) + 2 * cell_side);
            wide[k] = fmax(wide[k], widest_word(strips, table->at[i]) + 2 * cell_side);
        }
        wide[k] = fmax(column->may_wrap ? wide[k] : fmax(wide[k], whole[k]), column->least);
        whole[k] = fmax(whole[k],
                        fmax(wide[k], pages_width(column->title, SW_PAGES_TEXT) + 2 * cell_side));
        least += wide[k];
        most += whole[k];
        n_open += column->may_wrap || column->is_blank;
    }
    const double share = most > least ? fmin(fmax((width - least) / (most - least), 0), 1) : 0;
    const double shrink = least > width ? width / least : 1;
    const double over = fmax(width - most, 0);
    for (size_t k = 0; k < n; k++) {
        const bool is_open = table->column[k].may_wrap || table->column[k].is_blank;
        wide[k] = shrink * (wide[k] + share * (whole[k] - wide[k]));
        if (n_open == 0)
            wide[k] += over / (double)n;
        else if (is_open)
            wide[k] += over / (double)n_open;
    }
}

struct cells {
    struct pages_lines *lines; /* one a column */
    double *x;                 /* n_columns + 1 */
};

static bool has_blank(const struct sw_doc_table *table, const char *const *text)
{
    for (size_t k = 0; k < table->n_columns; k++)
        if (table->column[k].is_blank && text[k])
            return true;
    return false;
}

static void cut_row(struct pages_strips *strips, const struct sw_doc_table *table,
                    const struct cells *cells, const char *const *text, bool is_head)
{
    size_t most = 1;
    for (size_t k = 0; k < table->n_columns; k++) {
        cells->lines[k] = (struct pages_lines){0};
        if (!text[k])
            continue; /* the cell before runs on over this column */
        size_t end = k + 1;
        while (end < table->n_columns && !text[end])
            end++;
        const double x = cells->x[k] + cell_side;
        const struct pages_words words = {.words = text[k],
                                          .x = x,
                                          .first_x = x,
                                          .width = cells->x[end] - cell_side - x,
                                          .height = SW_PAGES_TEXT,
                                          .is_bold = is_head};
        pages_break(strips, &cells->lines[k], &words);
        if (strips->failed)
            return;
        if (cells->lines[k].n > most)
            most = cells->lines[k].n;
        /* Numbers stand at the right. */
        for (size_t i = 0; table->column[k].is_number && i < cells->lines[k].n; i++) {
            struct pages_line *line = &cells->lines[k].at[i];
            for (size_t m = 0; m < line->n; m++) {
                line->at[m].x += cells->x[end] - cell_side - line->end;
                line->at[m].x1 += cells->x[end] - cell_side - line->end;
            }
        }
    }
    const double text_high = (double)most * PAGES_PITCH + cell_above + cell_below;
    struct pages_strip *strip = add_strip(
        strips, 0, is_head || !has_blank(table, text) ? text_high : fmax(text_high, blank_high));
    if (!strip)
        return;
    strip->is_wide = table->is_wide;
    for (size_t k = 0; k < table->n_columns; k++)
        for (size_t i = 0; i < cells->lines[k].n; i++) {
            /* Titles stand on the rule below them. */
            const size_t at = is_head ? i + most - cells->lines[k].n : i;
            add_lines(strips, strip, &cells->lines[k].at[i],
                      cell_above + (double)at * PAGES_PITCH + base);
        }
    const double right = cells->x[table->n_columns];
    add_mark(strips, strip,
             (struct pages_mark){.kind = PAGES_LINE,
                                 .y = strip->height,
                                 .x1 = right,
                                 .y1 = strip->height,
                                 .width = is_head ? rule_pen : thin_pen});
    for (size_t k = 0; k < table->n_columns && !is_head; k++)
        if (table->column[k].is_blank && text[k])
            for (int side = 0; side < 2; side++)
                add_mark(strips, strip,
                         (struct pages_mark){.kind = PAGES_LINE,
                                             .x = cells->x[k + (size_t)side],
                                             .x1 = cells->x[k + (size_t)side],
                                             .y1 = strip->height,
                                             .width = thin_pen});
}

static void cut_table(struct pages_strips *strips, const struct sw_doc_table *table)
{
    const size_t n = table->n_columns;
    const double width = table->is_wide ? SW_PAGES_RIGHT - SW_PAGES_LEFT : PAGES_COLUMN;
    double *wide = SW_NEW(strips->arena, double, n), *x = SW_NEW(strips->arena, double, n + 1);
    struct pages_lines *lines = SW_NEW(strips->arena, struct pages_lines, n);
    const char **title = SW_NEW(strips->arena, const char *, n);
    if (!wide || !x || !lines || !title) {
        strips->failed = true;
        return;
    }
    column_widths(strips, wide, table, width);
    for (size_t k = 0; k < n; k++) {
        x[k + 1] = x[k] + wide[k];
        title[k] = table->column[k].title;
    }
    const struct cells cells = {lines, x};
    const size_t head = strips->n;
    cut_row(strips, table, &cells, title, true);
    if (strips->failed)
        return;
    strips->at[head].keeps = true;
    strips->at[head].gap = sub_gap;
    for (size_t i = 0; i + n <= table->n && !strips->failed; i += n) {
        cut_row(strips, table, &cells, &table->at[i], false);
        if (!strips->failed) {
            strips->at[strips->n - 1].head = head + 1;
            strips->at[strips->n - 1].n_head = 1;
        }
    }
}

void pages_cut(struct pages_strips *out, const struct sw_doc *doc)
{
    bool breaks = false, is_table = false;
    for (size_t i = 0; i < doc->n && !out->failed; i++) {
        const struct sw_doc_block *block = &doc->at[i];
        const size_t first = out->n;
        if (block->reader == SW_DOC_FOR_TEXT)
            continue;
        switch (block->kind) {
        case SW_DOC_HEADLINE:
            cut_headline(out, block);
            break;
        case SW_DOC_SUB:
            cut_sub(out, block);
            break;
        case SW_DOC_WORDS:
            cut_words(out, block);
            break;
        case SW_DOC_TABLE:
            cut_table(out, block->table);
            break;
        case SW_DOC_FIGURE: {
            struct pages_strip *strip =
                add_strip(out, sub_gap, out->pages->figure_height(out->pages->user, block));
            if (strip) {
                strip->is_wide = true;
                strip->figure = block;
            }
            break;
        }
        case SW_DOC_BREAK:
            breaks = true;
            break;
        case SW_DOC_LINES:
            break;
        }
        if (out->n == first || out->failed)
            continue;
        if (breaks)
            out->at[first].breaks = true;
        breaks = false;
        /* Words do not hang on the last rule of a table. */
        if (block->kind == SW_DOC_WORDS && is_table)
            out->at[first].gap = sub_gap;
        is_table = block->kind == SW_DOC_TABLE;
    }
    out->failed = out->failed || doc->failed;
}
