/* Where each diameter may move: by which causes, and what is left of them after measuring. */
#include <math.h>

#include "report/sheet_int.h"
#include "report/tables.h"
#include "report/text.h"

enum { AT_NAME = 2, AT_SUM = 75, AT_PLAIN = 84 };
static const size_t at[SW_N_MOVERS] = {22, 32, 41, 48, 55, 62, 68};

/* Shorter than the words of findings. */
static const char *const head[SW_N_MOVERS] = {"bending", "backlash", "height", "change",
                                              "repeat",  "step",     "gauge"};

static void signed_number(struct sw_buf *out, double value)
{
    sw_buf_add(out, sw_text_round(value, 1) > 0 ? "+" : "");
    sw_text_number(out, value, 1);
}

/* "+-2.0", "-0.2 +0.4", "0" */
static void move(struct sw_buf *out, struct sw_move move)
{
    const double down = sw_text_round(move.down, 1), up = sw_text_round(move.up, 1);
    if (!isfinite(down) || !isfinite(up)) {
        sw_buf_add(out, "-");
    } else if (down == 0 && up == 0) {
        sw_buf_add(out, "0");
    } else if (down + up == 0) {
        sw_buf_add(out, "+-");
        sw_text_number(out, up, 1);
    } else {
        if (down < 0)
            signed_number(out, down);
        sw_buf_add(out, down < 0 && up > 0 ? " " : "");
        if (up > 0)
            signed_number(out, up);
    }
}

static bool is_known(const struct sw_section_verdict *section)
{
    return isfinite(section->moves.plain_sum.up);
}

static void row(struct sw_buf *out, const char *name, const struct sw_move *cause,
                struct sw_move sum)
{
    sw_buf_pad(out, AT_NAME);
    sw_buf_add(out, name);
    for (size_t i = 0; i < SW_N_MOVERS; i++) {
        sw_buf_pad(out, at[i]);
        move(out, cause[i]);
    }
    sw_buf_pad(out, AT_SUM);
    move(out, sum);
}

static void heads(struct sw_buf *out)
{
    sw_buf_pad(out, AT_NAME);
    sw_buf_add(out, "may move by, um");
    for (size_t i = 0; i < SW_N_MOVERS; i++) {
        sw_buf_pad(out, at[i]);
        sw_buf_add(out, head[i]);
    }
    sw_buf_pad(out, AT_SUM);
    sw_buf_add(out, "in all");
}

void sw_report_moves(struct sw_buf *out, const struct sw_verdict *verdict)
{
    if (verdict->n_sections == 0)
        return;
    heads(out);
    sw_buf_add(out, "\n");
    for (size_t i = 0; i < verdict->n_sections; i++) {
        const struct sw_section_verdict *section = &verdict->section[i];
        if (!is_known(section))
            continue;
        row(out, section->name, section->moves.plain, section->moves.plain_sum);
        sw_buf_add(out, "\n");
        if (!section->moves.is_gauged)
            continue;
        row(out, "  at its pause", section->moves.gauged, section->moves.gauged_sum);
        sw_buf_add(out, "\n");
    }
    sw_buf_add(out, "\n");
}

static const struct sw_doc_column column[] = {
    {.title = "diameter of"},
    {.title = "bending", .is_number = true},
    {.title = "backlash", .is_number = true},
    {.title = "height", .is_number = true},
    {.title = "change", .is_number = true},
    {.title = "repeat", .is_number = true},
    {.title = "step", .is_number = true},
    {.title = "gauge", .is_number = true},
    {.title = "in all", .is_number = true},
    {.title = "not measured", .is_number = true},
};

static void add_cell(struct sw_doc *out, struct sw_doc_table *table, struct sw_move is)
{
    struct sw_buf words = {0};
    move(&words, is);
    sw_doc_cell(out, table, "%s", sw_buf_text(&words));
    out->failed = out->failed || words.failed;
    sw_buf_done(&words);
}

static void add_row(struct sw_doc *out, struct sw_doc_table *table,
                    const struct sw_section_verdict *section)
{
    const struct sw_section_moves *m = &section->moves;
    sw_doc_cell(out, table, "%s", section->name);
    for (size_t i = 0; i < SW_N_MOVERS; i++)
        add_cell(out, table, m->is_gauged ? m->gauged[i] : m->plain[i]);
    add_cell(out, table, *sw_section_moves_of(m));
    add_cell(out, table, m->plain_sum);
}

void sw_sheet_moves(struct sw_doc *out, const struct sw_sheet *sheet)
{
    const struct sw_verdict *verdict = sheet->verdict;
    struct sw_buf lines = {0};
    sw_doc_sub(out, "How far a diameter may come out from that [um]");
    struct sw_doc_table *table = sw_doc_table(out, column, sizeof column / sizeof *column, true);
    heads(&lines);
    sw_buf_pad(&lines, AT_PLAIN);
    sw_buf_add(&lines, "not measured\n");
    for (size_t i = 0; i < verdict->n_sections; i++) {
        const struct sw_section_verdict *section = &verdict->section[i];
        if (!is_known(section) || !sw_sheet_is_gauged(&sheet->plan->shape->staff->section[i]))
            continue;
        const struct sw_section_moves *m = &section->moves;
        add_row(out, table, section);
        row(&lines, section->name, m->is_gauged ? m->gauged : m->plain, *sw_section_moves_of(m));
        sw_buf_pad(&lines, AT_PLAIN);
        move(&lines, m->plain_sum);
        sw_buf_add(&lines, "\n");
    }
    sw_buf_add(&lines, "\n");
    sw_doc_lines(out, &lines);
    sw_doc_say(out, 2, "",
               "Bending: of another force than the usual, which the paths make up for. Points "
               "stand within %.4f of the axis; what a pause shows is corrected.",
               sw_text_round(sheet->plan->shop->centre_height.value, 4));
}
