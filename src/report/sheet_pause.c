/* Pauses: what to gauge or to try, what the result means, where it goes, and from which line of
 * which program work may go on. A program is never run again from its top: that would rub along
 * what is finished. */
#include "report/sheet_int.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "mech/chip.h"
#include "report/text.h"

enum { INDENT = 6 };

/* Two readings of a gauge want this much room between them [mm]; common practice, no source. */
static const double least_apart = 0.12;

/* The correction a pause feeds: its own, or that of the next cut of its section. */
static int correction_of(const struct sw_plan_chucking *chucking, size_t i)
{
    for (size_t k = i; k < chucking->n_ops; k++)
        if (chucking->op[k].section == chucking->op[i].section && chucking->op[k].correction > 0)
            return chucking->op[k].correction;
    return 0;
}

const struct sw_plan_bend *sw_sheet_bend(const struct sw_plan_chucking *chucking, size_t section)
{
    for (size_t i = 0; i < chucking->n_bends; i++)
        if (chucking->bend[i].section == section)
            return &chucking->bend[i];
    return NULL;
}

/* "#101", or the place of the tool's X offset. True: it is a number of the program's own. */
static bool add_target(struct sw_buf *out, const struct sw_sheet *sheet, size_t side, size_t i,
                       struct sw_ctx *ctx)
{
    const struct sw_plan_chucking *chucking = &sheet->plan->chucking[side];
    const struct sw_op *op = &chucking->op[i];
    const int correction = correction_of(chucking, i);
    if (correction && sw_post_has_corrections(sheet->post)) {
        const char *name = sw_post_correction_name(sheet->post, correction, ctx);
        out->failed = out->failed || !name;
        sw_buf_add(out, name ? name : "");
        return true;
    }
    const struct sw_setup_station *station =
        sw_sheet_station(sw_sheet_setup_side(sheet, side), op->station);
    sw_buf_add(out, "the X of ");
    if (station)
        sw_sheet_offset_place(out, sheet, station);
    return false;
}

static const char *file_of(const struct sw_sheet *sheet, size_t side, size_t op)
{
    for (size_t k = 0; k < sheet->programs[side].n; k++) {
        const struct sw_sheet_file file = sw_sheet_file(sheet, side, k);
        if (op >= file.first && op < file.end)
            return file.program->file;
    }
    return "the program";
}

/* "line 119 of side-1.nc (finish upper pivot, slice 1 of 3)" */
static void add_line(struct sw_buf *out, const struct sw_sheet *sheet, size_t side, size_t op)
{
    sw_buf_printf(out, "line %zu of %s (%s)", sw_sheet_line(sheet, side, op),
                  file_of(sheet, side, op), sheet->plan->chucking[side].op[op].what);
}

void sw_sheet_pauses(struct sw_doc *out, const struct sw_sheet *sheet, size_t side)
{
    const struct sw_plan_chucking *chucking = &sheet->plan->chucking[side];
    bool has_pause = false;
    for (size_t i = 0; i < chucking->n_ops; i++)
        has_pause = has_pause || !chucking->op[i].n_passes;
    if (!has_pause)
        return;
    if (!sw_sheet_is_first(sheet, side)) {
        out->reader = SW_DOC_FOR_PAGES;
        sw_doc_say(out, 2, "",
                   "Pauses as on side 1: no program is started from its top again on this piece.");
        out->reader = SW_DOC_FOR_TEXT;
    }
    sw_doc_say(out, 2, "",
               "At a PAUSE %s A control that takes no number while a program waits: stop the "
               "program there, set the number%s, and start at the line told with the pause; from "
               "there all modes are stated anew. Never start a program from its top again on this "
               "piece: it would rub along what is finished.",
               sw_sheet_is_by_hand(sheet)
                   ? "the tools are drawn away and the program waits: first switch the spindle off "
                     "by hand. Go on with cycle start; the program waits once more, for the "
                     "spindle to be switched on again."
                   : "the spindle stands and the tools are drawn away; go on with cycle start.",
               sw_post_is_file_per_tool(sheet->post) ? "" : ", call the tool told there");
    out->reader = SW_DOC_FOR_BOTH;
}

static void result_lines(struct sw_doc *out, const struct sw_sheet *sheet, size_t side, size_t i,
                         struct sw_ctx *ctx)
{
    const struct sw_plan_chucking *chucking = &sheet->plan->chucking[side];
    const struct sw_op *op = &chucking->op[i];
    const bool is_before_cut = op->expected_diameter - op->target_diameter > 1e-6;
    struct sw_buf target = {0}, line = {0};
    const bool is_number = add_target(&target, sheet, side, i, ctx);
    size_t next = i + 1;
    while (next < chucking->n_ops && !chucking->op[next].n_passes)
        next++;
    const bool is_same_file =
        next < chucking->n_ops && file_of(sheet, side, next) == file_of(sheet, side, i);
    if (is_same_file)
        add_line(&line, sheet, side, next);
    if (is_number)
        sw_doc_say(out, INDENT, "",
                   "Half of (expected less measured) goes into %s, now, before going on; thicker "
                   "than expected gives a negative number.%s   %s = ____________",
                   sw_buf_text(&target),
                   is_before_cut ? "" : " The last cut of the pivot takes it up.",
                   sw_buf_text(&target));
    else
        sw_doc_say(out, INDENT, "",
                   "Add half of (expected less measured) to %s, now, before going on (all of it "
                   "where the control keeps that as a diameter); thicker than expected makes it "
                   "less. It holds for all later cuts of T%d.   added ____________",
                   sw_buf_text(&target), op->station);
    if (is_same_file)
        sw_doc_say(out, INDENT, "", "Goes on at %s with T%d.", sw_buf_text(&line),
                   chucking->op[next].station);
    out->failed = out->failed || target.failed || line.failed;
    sw_buf_done(&target);
    sw_buf_done(&line);
}

/* A pivot is thickest near its tip where it gave way; two readings tell, if there is room. */
static void bend_lines(struct sw_doc *out, const struct sw_op *op, const struct sw_plan_bend *bend)
{
    sw_doc_say(out, INDENT, "",
               "Under the last cut this pivot bends and may come out up to %.2f um off its size "
               "near its tip; of its tolerance bending should take no more than %.2f.",
               sw_text_round(1000 * bend->most, 2), sw_text_round(1000 * bend->share, 2));
    if (op->plain_out - op->plain_in < least_apart)
        sw_doc_say(out, INDENT, "",
                   "What stands now is too short for two readings; the finished pivot is gauged "
                   "near its tip and near its root afterwards.");
    else
        sw_doc_say(out, INDENT, "",
                   "Gauge it near its tip, Z %.3f, and near its root, Z %.3f, and reckon with the "
                   "middle of both.   tip ____________   root ____________",
                   sw_text_round(op->plain_out, 3), sw_text_round(op->plain_in, 3));
}

void sw_sheet_measure(struct sw_doc *out, const struct sw_sheet *sheet, size_t side, size_t i,
                      const char *lead, struct sw_ctx *ctx)
{
    const struct sw_plan_chucking *chucking = &sheet->plan->chucking[side];
    const struct sw_op *op = &chucking->op[i];
    const bool is_before_cut = op->expected_diameter - op->target_diameter > 1e-6;
    struct sw_buf words = {0};
    sw_buf_printf(&words, "PAUSE: %s at Z ", op->what);
    sw_text_number(&words, op->measure_z, 3);
    sw_buf_add(&words, ": expect ");
    sw_text_number(&words, op->expected_diameter, 4);
    if (is_before_cut) {
        sw_buf_add(&words, "; after the next cut ");
        sw_text_number(&words, op->target_diameter, 4);
    }
    sw_doc_say(out, 0, lead, "%s.   measured ____________", sw_buf_text(&words));
    out->failed = out->failed || words.failed;
    sw_buf_done(&words);
    const struct sw_plan_bend *bend =
        sw_sheet_bend(chucking, is_before_cut ? op->section : SIZE_MAX);
    if (bend && is_before_cut)
        bend_lines(out, op, bend);
    else if (bend)
        sw_doc_say(out, INDENT, "",
                   "It may stand up to %.2f um off the path of the tool, bent by the cut; of the "
                   "pivot's tolerance bending should take no more than %.2f.",
                   sw_text_round(1000 * bend->most, 2), sw_text_round(1000 * bend->share, 2));
    result_lines(out, sheet, side, i, ctx);
}

/* The cut that gave a tried seat its size. */
static size_t last_cut(const struct sw_plan_chucking *chucking, size_t i)
{
    const struct sw_op *try = &chucking->op[i];
    const bool is_upper = chucking->end == SW_SIDE_UPPER;
    for (size_t k = i; k-- > 0;) {
        const struct sw_op *op = &chucking->op[k];
        /* A zone is known by its outermost section. */
        const bool is_outside =
            is_upper ? op->section <= try->section : op->section >= try->section;
        if (op->kind == SW_OP_FINISH && op->section != SIZE_MAX &&
            (try->correction > 0 ? op->correction == try->correction : is_outside))
            return k;
    }
    return i;
}

/* The next operation that cuts in the same program; I when there is none. */
static size_t next_cut(const struct sw_sheet *sheet, size_t side, size_t i)
{
    const struct sw_plan_chucking *chucking = &sheet->plan->chucking[side];
    for (size_t k = i + 1; k < chucking->n_ops; k++)
        if (chucking->op[k].n_passes)
            return file_of(sheet, side, k) == file_of(sheet, side, i) ? k : i;
    return i;
}

/* Where a cut that is run once more ends, and what then. */
static void add_way_back(struct sw_buf *out, const struct sw_sheet *sheet, size_t side, size_t cut,
                         size_t i)
{
    const size_t next = next_cut(sheet, side, cut), on = next_cut(sheet, side, i);
    if (next > i || next == cut) {
        sw_buf_add(out, "it takes that off and comes back to this pause");
        return;
    }
    sw_buf_add(out, "it takes that off. Stop it before ");
    add_line(out, sheet, side, next);
    sw_buf_add(out, ", try again");
    if (on > i) {
        sw_buf_add(out, ", and go on at ");
        add_line(out, sheet, side, on);
    } else {
        sw_buf_add(out, "; nothing more is to be cut in this program then");
    }
}

/* The last cut of the seat once more, a little deeper. */
static void cut_again(struct sw_doc *out, const struct sw_sheet *sheet, size_t side, size_t i,
                      const char *when, struct sw_ctx *ctx)
{
    const struct sw_plan_chucking *chucking = &sheet->plan->chucking[side];
    const size_t cut = last_cut(chucking, i);
    if (cut == i)
        return;
    const struct sw_op *again = &chucking->op[cut];
    const struct sw_material *material = chucking->stock->is;
    const double least =
        2 * sw_chip_least(material->least_chip.value, again->tool->edge_radius.value);
    struct sw_buf target = {0}, line = {0}, change = {0}, back = {0};
    const bool is_number = add_target(&target, sheet, side, i, ctx);
    add_line(&line, sheet, side, cut);
    add_way_back(&back, sheet, side, cut, i);
    if (is_number)
        sw_buf_printf(&change, "Make %s less by half of what the seat is too thick",
                      sw_buf_text(&target));
    else
        sw_buf_printf(&change,
                      "Take half of what the seat is too thick from %s (all of it where the "
                      "control keeps that as a diameter)",
                      sw_buf_text(&target));
    sw_doc_say(out, INDENT, "",
               "%s: do not push. %s, stop the program, and start at %s with T%d in single block: "
               "%s. Less than %.3f on the diameter only rubs.   %s ____________",
               when, sw_buf_text(&change), sw_buf_text(&line), again->station, sw_buf_text(&back),
               sw_text_round(least + 5e-4, 3), is_number ? sw_buf_text(&target) : "taken");
    out->failed = out->failed || target.failed || line.failed || change.failed || back.failed;
    sw_buf_done(&target);
    sw_buf_done(&line);
    sw_buf_done(&change);
    sw_buf_done(&back);
}

void sw_sheet_try(struct sw_doc *out, const struct sw_sheet *sheet, size_t side, size_t i,
                  const char *lead, struct sw_ctx *ctx)
{
    const struct sw_op *op = &sheet->plan->chucking[side].op[i];
    const double over = op->expected_diameter - op->target_diameter;
    sw_doc_say(out, 0, lead, "PAUSE: %s, turned to %.4f at Z %.3f.   measured ____________",
               op->what, sw_text_round(op->expected_diameter, 4), sw_text_round(op->measure_z, 3));
    struct sw_buf when = {0};
    if (sw_text_round(over, 4) > 0) {
        const struct sw_band *band =
            &sheet->plan->shape->staff->section[op->section].diameter_tolerance;
        sw_doc_say(
            out, INDENT, "",
            "The seat stands %.4f over its finished size for the stone. Right when %s. If it "
            "goes on now as it should in the end, the seat is too thin for the stone "
            "already: only polish it.",
            sw_text_round(over, 4), op->advice);
        sw_buf_add(&when, "Thicker than ");
        sw_text_number(&when, op->expected_diameter + (band->upper - band->lower) / 2, 4);
    } else {
        sw_doc_say(out, INDENT, "", "Right when %s.", op->advice);
        sw_doc_say(out, INDENT, "",
                   "Loose: nothing puts it back. Begin a new piece, and let the pause before the "
                   "last cut leave it thicker by the shake.");
        sw_buf_add(&when, "Too tight");
    }
    cut_again(out, sheet, side, i, sw_buf_text(&when), ctx);
    out->failed = out->failed || when.failed;
    sw_buf_done(&when);
}
