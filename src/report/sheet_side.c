#include "report/sheet_int.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "mech/geometry_error.h"
#include "report/op_time.h"
#include "report/tables.h"
#include "report/text.h"

/* A path drawn in by less is not worth a word: half the finest step controls have. */
static const double least_drawn_in_mm = 5e-5;

static void rod_lines(struct sw_doc *out, const struct sw_plan_chucking *chucking)
{
    sw_doc_say(out, 2, "",
               "Rod: %s, diameter %.3f; for this piece at least %.1f long. It stands %.2f out of "
               "the nose face; the program's Z zero is the finished end face, %.3f behind the "
               "end of the rod.",
               chucking->stock->material.value, sw_text_round(chucking->stock->diameter.value, 3),
               sw_text_round(chucking->rod_length, 1), sw_text_round(chucking->stick_out, 2),
               sw_text_round(chucking->rod_end_z, 3));
    sw_doc_say(out, 2, "",
               "The dry run reckons with %.0f of bar tail free behind the spindle; more than %.0f "
               "is supported or cut off.",
               sw_text_round(chucking->tail, 0), sw_text_round(chucking->tail_most, 0));
}

/* Each tool once, with its distance from the bush. */
static void add_gaps(struct sw_buf *out, const struct sw_plan_chucking *chucking)
{
    for (size_t i = 0, n = 0; i < chucking->n_ops; i++) {
        const struct sw_op *op = &chucking->op[i];
        bool is_new = op->n_passes > 0;
        for (size_t k = 0; k < i; k++)
            is_new = is_new && chucking->op[k].station != op->station;
        if (!is_new)
            continue;
        sw_buf_printf(out, "%sT%d ", n++ > 0 ? ", " : "", op->station);
        /* by what its numbers mean, which is what is touched */
        sw_text_number(out, op->bush_gap + sw_tool_declared_point(op->tool).z, 2);
    }
}

static void bar_lines(struct sw_doc *out, const struct sw_sheet *sheet, size_t i)
{
    const struct sw_plan_chucking *chucking = &sheet->plan->chucking[i];
    const struct sw_machine_bush *bush = &sheet->plan->shop->machine->bush;
    const struct sw_setup_side *record = sw_sheet_setup_side(sheet, i);
    struct sw_buf gaps = {0};
    add_gaps(&gaps, chucking);
    sw_doc_say(
        out, 2, "",
        "Bar: %s, ground to diameter %.3f, nowhere more than %.3f thinner, straight within %.2f a "
        "metre: what it is out of round shows in the work, and so bent it leaves the bush aslant "
        "by up to %.2f um a millimetre. At least %.1f long; its last %.1f remain, because the "
        "collet comes no nearer.",
        chucking->stock->material.value, sw_text_round(chucking->stock->diameter.value, 3),
        sw_text_round(chucking->stock->under.value, 3),
        sw_text_round(chucking->stock->straightness.value, 2),
        sw_text_round(1000 * sw_plan_bar_lean(chucking), 2), sw_text_round(chucking->rod_length, 1),
        sw_text_round(chucking->rod_length - (chucking->rod_end_z - chucking->face_z), 1));
    sw_doc_say(out, 2, "",
               "Guide bush: one for this bar, land %.2f, play %.3f on the diameter: set it so that "
               "the bar slides without shake. The collet's nose stands %.2f behind the end of the "
               "bar; the program's Z zero is the finished end face, %.3f behind that end.",
               sw_text_round(bush->land.value, 2), sw_text_round(bush->play.value, 3),
               sw_text_round(chucking->stick_out, 2), sw_text_round(chucking->rod_end_z, 3));
    sw_doc_say(
        out, 2, "",
        "In front of the bush the tools stand by: %s; nearer something of them touches it. The "
        "setup record says at which machine Z (%.3f) the finished end face is flush with "
        "its face: where yours differs, change it there and run the dry run again.",
        sw_buf_text(&gaps), sw_text_round(record->bush_z.value, 3));
    const char *falls = chucking->second.section ? ""
                        : bush->catcher.value
                            ? " Set the catcher below the blade before the program parts."
                            : " Nothing catches the piece: take hold of it by hand, the "
                              "spindle stopped, or hang something soft below.";
    sw_doc_say(out, 2, "", "By hand too never draw back into the bush what is turned down.%s",
               falls);
    sw_doc_say(out, 2, "",
               "The dry run reckons with %.0f of bar tail free behind the spindle; more than %.0f "
               "is supported or cut off.",
               sw_text_round(chucking->tail, 0), sw_text_round(chucking->tail_most, 0));
    out->failed = out->failed || gaps.failed;
    sw_buf_done(&gaps);
}

static void turned_round_lines(struct sw_doc *out, const struct sw_sheet *sheet, size_t i,
                               const char *land)
{
    const struct sw_plan_chucking *chucking = &sheet->plan->chucking[i];
    sw_doc_say(out, 2, "",
               "%s: the %s tip points away from the headstock. Gripped by the %s, diameter %.4f "
               "over %.2f; it stands %.2f out of the nose face.",
               chucking->is_again ? "Leave the piece as it is held, or hold it anew as for side 2"
               : i == 0           ? "Take the hardened blank"
                                  : "Turn the piece round",
               chucking->end == SW_SIDE_UPPER ? "upper" : "lower", chucking->grips,
               sw_text_round(chucking->grip_diameter, 4), sw_text_round(chucking->grip_length, 2),
               sw_text_round(chucking->stick_out, 2));
    sw_doc_say(out, 2, "",
               "%s holder and piece. Push the shoulder of the %s hard on the nose face with a "
               "flat stick against the %s, close gently, turn by hand and look for wobble. Never "
               "push on a pivot.",
               chucking->is_again ? "If anew: clean" : "Clean", chucking->rests, land);
}

static void second_lines(struct sw_doc *out, const struct sw_plan_second *second)
{
    if (!second->section)
        return;
    sw_doc_say(out, 2, "",
               "Second spindle: it takes the piece by the %s, diameter %.3f over %.2f, before the "
               "blade parts it, and carries it away. Put in the collet for that diameter, and set "
               "the end of its way so that its front face then stands at Z %.3f.",
               second->section, sw_text_round(second->diameter, 3),
               sw_text_round(second->length, 2), sw_text_round(second->nose_z, 3));
    sw_doc_say(out, 2, "",
               "Try its words alone first, as the machine's manual has them: it must turn with the "
               "first spindle before it closes, and close without pushing. Keep hands away from "
               "between the two.");
}

/* What a point off centre height does to the thinnest place of this side, and how near it has to
 * stand for a tenth of the tolerance. */
static void height_line(struct sw_doc *out, const struct sw_sheet *sheet, size_t i)
{
    const double off = 0.01; /* mm: what a common height gauge reads */
    const struct sw_plan *plan = sheet->plan;
    const struct sw_staff *staff = plan->shape->staff;
    const bool is_upper = plan->chucking[i].end == SW_SIDE_UPPER;
    const size_t tip = is_upper ? 0 : staff->n - 1;
    const struct sw_section *is = &staff->section[tip];
    const double r = plan->shape->section[tip].turned_diameter / 2;
    const double band = is->diameter_tolerance.upper - is->diameter_tolerance.lower;
    if (is->kind != SW_SECTION_PIVOT)
        return;
    sw_doc_say(out, 2, "",
               "Height of the point: %.2f above or below the axis makes the %s %.1f um thicker "
               "and leaves a nib of %.2f on the face; within %.4f it takes no more than a tenth "
               "of the tolerance.",
               off, is->name, sw_text_round(2000 * sw_error_of_height(r, off), 1),
               sw_nib_of_height(off), sw_text_round(sw_height_for_error(r, band / 20), 4));
}

static void holding(struct sw_doc *out, const struct sw_sheet *sheet, size_t i)
{
    const struct sw_plan_chucking *chucking = &sheet->plan->chucking[i];
    const struct sw_holder *holder = chucking->holder;
    sw_doc_sub(out, "Holding");
    if (chucking->in_bush)
        bar_lines(out, sheet, i);
    else if (chucking->is_from_rod)
        rod_lines(out, chucking);
    else {
        if (sheet->plan->chucking[0].in_bush)
            sw_doc_say(out, 2, "",
                       "Take the bush out; the holder goes into the spindle, whose axis may stand "
                       "beside that of the bush, on which X was found: the first diameter measured "
                       "shows it, for all tools.");
        turned_round_lines(out, sheet, i,
                           sheet->plan->shape->staff->section[sheet->plan->land].name);
    }
    second_lines(out, &chucking->second);
    struct sw_buf words = {0};
    sw_buf_printf(&words, "Holder: %s", holder->name.value);
    if (chucking->holder_size > 0) {
        sw_buf_add(&words, ", size ");
        sw_text_number(&words, chucking->holder_size, 2);
    }
    if (holder->kind.value == SW_HOLDER_BORED_IN_PLACE)
        sw_buf_add(&words, ", bored in place to a close sliding fit on what it grips");
    if (holder->runout.given) {
        sw_buf_add(&words, "; runout at the nose at most ");
        sw_text_number(&words, holder->runout.value, 4);
    }
    if (holder->is_draw_in.value == 1)
        sw_buf_add(&words, ". Closing it draws the work back: find Z only after closing");
    sw_doc_say(out, 2, "", "%s.", sw_buf_text(&words));
    if (!chucking->is_from_rod && sheet->plan->chucking[0].neck.diameter > 0)
        sw_doc_say(out, 2, "",
                   "The tip alone is cut here, and may stand %.1f um out of the middle of its "
                   "pivot: half of what holder and spindle say. All else was cut in one grip.",
                   sw_text_round(500 * sw_plan_runout(sheet->plan), 1));
    else if (sw_sheet_is_hardened(sheet))
        sw_doc_say(out, 2, "",
                   "What is cut here may run out %.1f um against what the blank is held by: what "
                   "its holder%s says; one pivot %.1f um against the other, and what the blank was "
                   "turned and warped out of true.",
                   sw_text_round(1000 * sw_plan_chucking_runout(sheet->plan, i), 1),
                   holder->kind.value == SW_HOLDER_BORED_IN_PLACE ? "" : " and the spindle",
                   sw_text_round(1000 * sw_plan_pivot_runout(sheet->plan), 1));
    else if (!chucking->is_from_rod)
        sw_doc_say(out, 2, "",
                   "This side may run out %.1f um against the first: what its holder%s says.",
                   sw_text_round(1000 * sw_plan_runout(sheet->plan), 1),
                   holder->kind.value == SW_HOLDER_BORED_IN_PLACE ? "" : " and the spindle");
    height_line(out, sheet, i);
    out->failed = out->failed || words.failed;
    sw_buf_done(&words);
}

static const char catch_it[] = "Have something soft below the spindle to catch the piece: a staff "
                               "that falls lands on its pivot.";

static bool falls(const struct sw_plan_chucking *chucking, const struct sw_op *op)
{
    return op->kind == SW_OP_PART && !chucking->has_neck && !chucking->second.section;
}

static void cutting_line(struct sw_doc *out, const struct sw_sheet *sheet, size_t side, size_t i,
                         const char *lead)
{
    const struct sw_op *op = &sheet->plan->chucking[side].op[i];
    const struct sw_times times =
        sw_report_op_times(sheet->plan, sheet->programs, sheet->verdict, side, i);
    struct sw_buf words = {0};
    sw_buf_printf(&words, "%s with T%d: %zu pass%s", op->what, op->station, op->n_passes,
                  op->n_passes == 1 ? "" : "es");
    if (op->depth > 0) {
        sw_buf_add(&words, ", depth ");
        sw_text_number(&words, op->depth, 4);
    }
    sw_buf_add(&words, ", feed ");
    sw_text_number(&words, op->feed, 4);
    sw_buf_add(&words, " a turn, ");
    sw_text_number(&words, op->speed, 0);
    sw_buf_add(&words, op->is_surface_speed ? " m/min up to " : " rev/min");
    if (op->is_surface_speed) {
        sw_text_number(&words, op->speed_clamp, 0);
        sw_buf_add(&words, " rev/min");
    }
    if (op->drawn_in_most > least_drawn_in_mm) {
        sw_buf_add(&words, ", path drawn in on radius by ");
        sw_text_number(&words, 1000 * op->drawn_in_least, 2);
        if (op->drawn_in_most > op->drawn_in_least + least_drawn_in_mm) {
            sw_buf_add(&words, " to ");
            sw_text_number(&words, 1000 * op->drawn_in_most, 2);
        }
        sw_buf_add(&words, " um, as the usual force bends the work away");
    }
    sw_buf_add(&words, "; ");
    sw_text_seconds(&words, times.cutting + times.moving + times.waiting);
    sw_buf_add(&words, ", of it ");
    sw_text_seconds(&words, times.cutting);
    sw_buf_add(&words, " cutting");
    out->reader = SW_DOC_FOR_TEXT;
    sw_doc_say(out, 0, lead, "%s.", sw_buf_text(&words));
    if (falls(&sheet->plan->chucking[side], op))
        sw_doc_say(out, 6, "", "%s", catch_it);
    out->reader = SW_DOC_FOR_BOTH;
    out->failed = out->failed || words.failed;
    sw_buf_done(&words);
}

static const struct sw_doc_column order_column[] = {
    {.title = "step", .is_number = true},
    {.title = "what", .may_wrap = true},
    {.title = "tool"},
    {.title = "passes", .is_number = true},
    {.title = "depth", .is_number = true},
    {.title = "feed a turn", .is_number = true},
    {.title = "speed", .is_number = true},
    {.title = "drawn in, um", .is_number = true},
    {.title = "time", .is_number = true},
    {.title = "cutting", .is_number = true},
};

static void cutting_row(struct sw_doc *out, struct sw_doc_table *table,
                        const struct sw_sheet *sheet, size_t side, size_t i)
{
    const struct sw_op *op = &sheet->plan->chucking[side].op[i];
    const struct sw_times times =
        sw_report_op_times(sheet->plan, sheet->programs, sheet->verdict, side, i);
    struct sw_buf time = {0}, cutting = {0}, drawn = {0};
    sw_doc_cell(out, table, "%zu.", i + 1);
    const bool is_caught = !falls(&sheet->plan->chucking[side], op);
    sw_doc_cell(out, table, "%s%s%s", op->what, is_caught ? "" : ". ", is_caught ? "" : catch_it);
    sw_doc_cell(out, table, "T%d", op->station);
    sw_doc_cell(out, table, "%zu", op->n_passes);
    if (op->depth > 0)
        sw_doc_cell(out, table, "%.4f", sw_text_round(op->depth, 4));
    else
        sw_doc_cell(out, table, "%s", "");
    sw_doc_cell(out, table, "%.4f", sw_text_round(op->feed, 4));
    if (op->is_surface_speed)
        sw_doc_cell(out, table, "%.0f m/min, %.0f", sw_text_round(op->speed, 0),
                    sw_text_round(op->speed_clamp, 0));
    else
        sw_doc_cell(out, table, "%.0f", sw_text_round(op->speed, 0));
    if (op->drawn_in_most > least_drawn_in_mm)
        sw_text_bounds(&drawn, 1000 * op->drawn_in_least, 1000 * op->drawn_in_most, 2);
    sw_text_seconds(&time, times.cutting + times.moving + times.waiting);
    sw_text_seconds(&cutting, times.cutting);
    sw_doc_cell(out, table, "%s", sw_buf_text(&drawn));
    sw_doc_cell(out, table, "%s", sw_buf_text(&time));
    sw_doc_cell(out, table, "%s", sw_buf_text(&cutting));
    out->failed = out->failed || drawn.failed || time.failed || cutting.failed;
    sw_buf_done(&drawn);
    sw_buf_done(&time);
    sw_buf_done(&cutting);
}

static struct sw_doc_table *order_table(struct sw_doc *out)
{
    sw_doc_widen(out);
    return sw_doc_table(out, order_column, sizeof order_column / sizeof *order_column, true);
}

static void order_of_work(struct sw_doc *out, const struct sw_sheet *sheet, size_t side,
                          const struct sw_sheet_file *file, struct sw_doc_table *table,
                          struct sw_ctx *ctx)
{
    const struct sw_plan_chucking *chucking = &sheet->plan->chucking[side];
    for (size_t i = file->first; i < file->end; i++) {
        const struct sw_op *op = &chucking->op[i];
        char lead[32];
        snprintf(lead, sizeof lead, "%4zu. ", i + 1);
        sw_doc_row(out, op->n_passes ? NULL : table);
        if (op->kind == SW_OP_MEASURE)
            sw_sheet_measure(out, sheet, side, i, lead, ctx);
        else if (op->kind == SW_OP_TRY)
            sw_sheet_try(out, sheet, side, i, lead, ctx);
        else
            cutting_line(out, sheet, side, i, lead);
        if (op->n_passes)
            cutting_row(out, table, sheet, side, i);
    }
    sw_doc_row(out, NULL);
}

static void about_order(struct sw_doc *out)
{
    out->reader = SW_DOC_FOR_PAGES;
    sw_doc_say(out, 2, "",
               "Depth on radius; speed in rev/min, or in m/min up to rev/min. Drawn in: how far "
               "the path lies nearer to the axis, as the usual force bends the work away. Time "
               "without pauses, of it cutting.");
    out->reader = SW_DOC_FOR_BOTH;
}

static void time_of_side(struct sw_doc *out, const struct sw_sheet *sheet, size_t side)
{
    const struct sw_times times = sw_report_side_times(sheet->verdict, side);
    struct sw_buf time = {0};
    sw_text_seconds(&time, sw_times_sum(&times));
    sw_buf_add(&time, " by the dry run, without pauses: ");
    sw_report_times(&time, &times);
    sw_doc_say(out, 2, "", "In all %s.", sw_buf_text(&time));
    out->failed = out->failed || time.failed;
    sw_buf_done(&time);
}

/* All of the staff hangs on a neck. */
static void catch_off(struct sw_doc *out, const struct sw_sheet *sheet,
                      const struct sw_plan_chucking *chucking)
{
    const struct sw_plan *plan = sheet->plan;
    const struct sw_plan_neck *neck = &chucking->neck;
    sw_doc_say(
        out, 2, "",
        "All of the staff hangs on the neck at Z %.3f now, diameter %.4f: neither gauge nor "
        "touch it, and start the spindle no more. Calculated: the last cut strained the neck "
        "by up to %.0f MPa and the %.1f mg on it by %.0f, of %.0f at which it yields; it "
        "whirls at %.0f rev/min, and the spindle turned no faster than %.0f.",
        sw_text_round(chucking->neck_z, 3), sw_text_round(neck->diameter, 4),
        sw_text_round(neck->cut_stress, 0), sw_text_round(neck->carries_mg, 1),
        sw_text_round(neck->weight_stress, 0), sw_text_round(chucking->stock->is->yield.value, 0),
        1000 * floor(neck->critical_speed / 1000), sw_text_round(neck->most_speed, 0));
    sw_doc_say(
        out, 2, "",
        "Catch it, do not drop it: a soft cup close under it, the %s held in fine tweezers or "
        "a soft holder; then bend it off at the neck, to and fro by little. %s",
        plan->shape->staff->section[plan->land].name,
        plan->n_chuckings > 1 ? "What stands of the neck is faced away on the next side."
                              : "What stands of the neck is taken off by hand.");
    sw_doc_say(out, 2, "",
               "Gauge both ends then, against the tables of sizes, columns \"off the machine\", "
               "with a light hand.");
}

static void break_off(struct sw_doc *out, const struct sw_sheet *sheet,
                      const struct sw_plan_chucking *chucking)
{
    const char *land = sheet->plan->shape->staff->section[sheet->plan->land].name;
    if (chucking->has_neck)
        sw_doc_say(out, 2, "",
                   "Hold the piece by the %s in fine tweezers or a soft holder and break it off "
                   "at the neck of %.3f at Z %.3f; what stands of the neck is faced away on the "
                   "next side.",
                   land, sw_text_round(chucking->neck_diameter, 3),
                   sw_text_round(chucking->neck_z, 3));
    else if (chucking->second.section)
        sw_doc_say(out, 2, "",
                   "The program has parted the piece through, and the second spindle holds it by "
                   "the %s: when it stands still, open it and take the piece up by the %s.",
                   chucking->second.section, land);
    else
        sw_doc_say(out, 2, "", "The program has parted the piece through: take it up by the %s.",
                   land);
}

static void afterwards(struct sw_doc *out, const struct sw_sheet *sheet, size_t side)
{
    const struct sw_plan_chucking *chucking = &sheet->plan->chucking[side];
    const char *end = chucking->end == SW_SIDE_UPPER ? "upper" : "lower";
    sw_doc_sub(out, "Afterwards");
    const bool hangs = chucking->neck.diameter > 0;
    if (hangs)
        catch_off(out, sheet, chucking);
    else
        sw_doc_say(out, 2, "",
                   "Spindle stopped, tools parked. Gauge the %s end against the tables of sizes, "
                   "columns \"off the machine\", with a light hand.",
                   end);
    for (size_t i = 0; i < chucking->n_bends; i++) {
        const struct sw_plan_bend *bend = &chucking->bend[i];
        if (bend->section == SIZE_MAX)
            continue;
        const struct sw_shape_section *is = &sheet->plan->shape->section[bend->section];
        const double middle = sw_plan_chucking_z(sheet->plan->shape, chucking->end, is->measure_z);
        const double half = fmin(is->measure_z - is->z0, is->z1 - is->measure_z);
        sw_doc_say(out, 2, "",
                   "The last cut bends the %s: gauge it near its tip, Z %.3f, and near its root, "
                   "Z %.3f. It may stand up to %.2f um off its size near its tip; burnish it "
                   "parallel.   tip ________   root ________",
                   sheet->plan->shape->staff->section[bend->section].name,
                   sw_text_round(middle + half, 3), sw_text_round(middle - half, 3),
                   sw_text_round(1000 * bend->most, 2));
    }
    const bool is_blank = sw_sheet_is_blank(sheet);
    if (side + 1 < sheet->plan->n_chuckings && is_blank) {
        break_off(out, sheet, chucking);
    } else if (side + 1 < sheet->plan->n_chuckings) {
        if (!hangs && !sw_sheet_is_hardened(sheet))
            break_off(out, sheet, chucking);
        sw_doc_say(out, 2, "",
                   "Stone and burnish nothing yet: that comes after side 2 (see \"Stone and "
                   "burnish\").");
    } else if (is_blank) {
        sw_doc_say(out, 2, "", "Take the piece out and go on with \"Hardening and tempering\".");
    } else if (hangs) {
        sw_doc_say(out, 2, "", "Go on with \"Stone and burnish\".");
    } else {
        sw_doc_say(out, 2, "",
                   "Leave the piece in the holder and go on with \"Stone and burnish\".");
    }
}

struct sw_sheet_file sw_sheet_file(const struct sw_sheet *sheet, size_t side, size_t index)
{
    const struct sw_plan_chucking *chucking = &sheet->plan->chucking[side];
    const struct sw_post_programs *programs = &sheet->programs[side];
    struct sw_sheet_file file = {.program = &programs->at[index]};
    /* Each operation that cuts is one section; a pause waits in the file of the cut before it. */
    size_t n_before = 0;
    for (size_t k = 0; k < index; k++)
        n_before += programs->at[k].n_sections;
    const size_t n_after = n_before + programs->at[index].n_sections;
    size_t n = 0;
    for (size_t i = 0; i < chucking->n_ops; i++) {
        const bool is_cut = chucking->op[i].n_passes > 0;
        if (is_cut && n == n_before && index > 0)
            file.first = i;
        n += is_cut;
        if (n <= n_after)
            file.end = i + 1;
    }
    return file;
}

size_t sw_sheet_line(const struct sw_sheet *sheet, size_t side, size_t op)
{
    const struct sw_plan_chucking *chucking = &sheet->plan->chucking[side];
    const struct sw_post_programs *programs = &sheet->programs[side];
    size_t n = 0;
    for (size_t i = 0; i < op; i++)
        n += chucking->op[i].n_passes > 0;
    for (size_t k = 0; k < programs->n; k++) {
        if (n < programs->at[k].n_sections)
            return programs->at[k].section_line[n];
        n -= programs->at[k].n_sections;
    }
    return 0;
}

static void spindle_by_hand(struct sw_doc *out, const struct sw_sheet *sheet, size_t side,
                            size_t index)
{
    struct sw_buf words = {0};
    if (sw_sheet_by_hand(&words, sheet, side, index))
        sw_doc_say(out, 2, "", "%s", sw_buf_text(&words));
    out->failed = out->failed || words.failed;
    sw_buf_done(&words);
}

bool sw_sheet_is_first(const struct sw_sheet *sheet, size_t side)
{
    return side == 0 || sheet->plan->chucking[side].is_again;
}

void sw_sheet_side(struct sw_doc *out, const struct sw_sheet *sheet, size_t i, struct sw_ctx *ctx)
{
    const struct sw_plan_chucking *chucking = &sheet->plan->chucking[i];
    struct sw_buf title = {0};
    sw_buf_printf(&title, "%c%s: the %s end",
                  chucking->name[0] >= 'a' && chucking->name[0] <= 'z'
                      ? chucking->name[0] - 'a' + 'A'
                      : chucking->name[0],
                  chucking->name + 1, chucking->end == SW_SIDE_UPPER ? "upper" : "lower");
    if (chucking->neck.diameter > 0)
        sw_buf_printf(&title, ", and the %s behind the %s",
                      chucking->end == SW_SIDE_UPPER ? "lower" : "upper",
                      sheet->plan->shape->staff->section[sheet->plan->land].name);
    else if (i > 0 && sheet->plan->chucking[0].neck.diameter > 0)
        sw_buf_add(&title, ", its tip alone");
    sw_doc_headline(out, sw_buf_text(&title));
    out->failed = out->failed || title.failed;
    sw_buf_done(&title);
    sw_doc_figure(out, SW_DOC_SIDE, i);
    holding(out, sheet, i);
    const struct sw_post_programs *programs = &sheet->programs[i];
    if (programs->n > 1)
        sw_doc_say(out, 2, "",
                   "%zu programs, each with one tool and in this order. All tools use the same "
                   "work zero: put the tool in and find its zero before each program, as told "
                   "there, and run none with the zero of another.",
                   programs->n);
    sw_sheet_pauses(out, sheet, i);
    if (sw_sheet_is_first(sheet, i))
        sw_sheet_by_hand_rules(out, sheet, i);
    /* On the pages several programs share one table, in which each begins with its tool's zero. */
    struct sw_doc_table *all = NULL;
    if (programs->n > 1) {
        out->reader = SW_DOC_FOR_PAGES;
        if (sw_sheet_is_first(sheet, i))
            sw_sheet_zero_rows(out, sheet, i);
        sw_doc_sub(out, "Order of work, program by program");
        all = order_table(out);
        out->reader = SW_DOC_FOR_BOTH;
    }
    for (size_t k = 0; k < programs->n; k++) {
        const struct sw_sheet_file file = sw_sheet_file(sheet, i, k);
        sw_sheet_zeroing(out, sheet, i, k, all);
        out->reader = all ? SW_DOC_FOR_TEXT : SW_DOC_FOR_BOTH;
        spindle_by_hand(out, sheet, i, k);
        sw_doc_sub(out, "Order of work: %s", file.program->file);
        out->reader = SW_DOC_FOR_BOTH;
        order_of_work(out, sheet, i, &file, all ? all : order_table(out), ctx);
    }
    if (sw_sheet_is_first(sheet, i))
        about_order(out);
    time_of_side(out, sheet, i);
    afterwards(out, sheet, i);
}
