#include "report/sheet_int.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "report/tables.h"
#include "report/text.h"

static const double pi = 3.14159265358979323846;

/* Surface speed at the axis would be endless: a thousandth is closer than any edge comes. */
static const double least_radius_mm = 1e-3;
/* A path drawn in by less is not worth a word: half the finest step controls have. */
static const double least_drawn_in_mm = 5e-5;

static void rod_lines(struct sw_buf *out, const struct sw_plan_chucking *chucking,
                      const struct sw_shop *shop)
{
    sw_text_say(out, 2, "",
                "Rod: %s, diameter %.3f; for this piece at least %.1f long. It stands %.2f out of "
                "the nose face; the program's Z zero is the finished end face, %.3f behind the "
                "end of the rod.",
                chucking->stock->material.value, sw_text_round(chucking->stock->diameter.value, 3),
                sw_text_round(chucking->rod_length, 1), sw_text_round(chucking->stick_out, 2),
                sw_text_round(chucking->rod_end_z, 3));
    sw_text_say(out, 2, "",
                "The dry run reckons with %.0f of bar tail free behind the spindle; more than %.0f "
                "is supported or cut off.",
                sw_text_round(chucking->tail, 0), sw_text_round(shop->tail_free.value, 0));
}

static void turned_round_lines(struct sw_buf *out, const struct sw_plan_chucking *chucking)
{
    sw_text_say(out, 2, "",
                "Turn the piece round: the %s tip now points away from the headstock. Gripped by "
                "the %s, diameter %.3f over %.2f; it stands %.2f out of the nose face.",
                chucking->end == SW_SIDE_UPPER ? "upper" : "lower", chucking->grips,
                sw_text_round(chucking->grip_diameter, 3), sw_text_round(chucking->grip_length, 2),
                sw_text_round(chucking->stick_out, 2));
    sw_text_say(out, 2, "",
                "Clean holder and piece. Seat the shoulder hard on the nose face with a flat "
                "stick against the hub, close gently, turn by hand and look for wobble. Never "
                "push on a pivot.");
}

void sw_sheet_holding(struct sw_buf *out, const struct sw_sheet *sheet, size_t i)
{
    const struct sw_plan_chucking *chucking = &sheet->plan->chucking[i];
    const struct sw_holder *holder = chucking->holder;
    sw_buf_add(out, "\nHolding\n");
    if (chucking->is_from_rod)
        rod_lines(out, chucking, sheet->plan->shop);
    else
        turned_round_lines(out, chucking);
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
    sw_text_say(out, 2, "", "%s.", sw_buf_text(&words));
    out->failed = out->failed || words.failed;
    sw_buf_done(&words);
}

/* Time of cutting and lifting in one operation; surface speed at the mean radius of each pass. */
static double op_seconds(const struct sw_op *op)
{
    double seconds = 0;
    for (size_t i = 0; i < op->n_passes; i++) {
        const struct sw_pass *pass = &op->pass[i];
        if (!pass->run.n || !(op->feed > 0))
            continue;
        const double length =
            sw_contour_length(&pass->run) + sw_pt_distance(pass->from, pass->run.at[0].a);
        double speed = op->speed;
        if (op->is_surface_speed) {
            const struct sw_box box = sw_contour_box(&pass->run);
            const double circumference = 2 * pi * fmax((box.r0 + box.r1) / 2, least_radius_mm);
            speed = op->speed * 1000 / circumference;
            if (op->speed_clamp > 0)
                speed = fmin(speed, op->speed_clamp);
        }
        if (speed > 0)
            seconds += length / (op->feed * speed) * 60;
    }
    return seconds;
}

static void cutting_line(struct sw_buf *out, const struct sw_op *op, const char *lead)
{
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
    sw_buf_add(&words, ", cutting about ");
    sw_text_seconds(&words, op_seconds(op));
    sw_text_say(out, 0, lead, "%s.", sw_buf_text(&words));
    out->failed = out->failed || words.failed;
    sw_buf_done(&words);
}

/* The correction a measuring pause feeds: its own, or that of the next cut of its section. */
static int correction_of(const struct sw_plan_chucking *chucking, size_t i)
{
    for (size_t k = i; k < chucking->n_ops; k++)
        if (chucking->op[k].section == chucking->op[i].section && chucking->op[k].correction > 0)
            return chucking->op[k].correction;
    return 0;
}

static void correction_line(struct sw_buf *out, const struct sw_sheet *sheet, size_t side, size_t i,
                            struct sw_ctx *ctx)
{
    enum { INDENT = 6 };
    const struct sw_plan_chucking *chucking = &sheet->plan->chucking[side];
    const struct sw_op *op = &chucking->op[i];
    const int correction = correction_of(chucking, i);
    const char *name = correction ? sw_post_correction_name(sheet->post, correction, ctx) : NULL;
    if (name) {
        const bool is_named = (size_t)correction <= chucking->n_corrections;
        sw_text_say(out, INDENT, "",
                    "It goes into %s (%s): set %s in the control before going on from this pause, "
                    "or write it into the head of the program and run that from the top, which "
                    "cuts air up to here.   %s = ____________",
                    name, is_named ? chucking->correction[correction - 1] : "on radius", name,
                    name);
        return;
    }
    const struct sw_setup_station *station =
        sw_sheet_station(sw_sheet_setup_side(sheet, side), op->station);
    if (!station)
        return;
    struct sw_buf place = {0};
    sw_sheet_offset_place(&place, sheet, station);
    sw_text_say(
        out, INDENT, "",
        "It is added to the X of %s (twice, where the control keeps that as a diameter) and "
        "holds for all later cuts of this tool.   added ____________",
        sw_buf_text(&place));
    out->failed = out->failed || place.failed;
    sw_buf_done(&place);
}

static void measure_lines(struct sw_buf *out, const struct sw_sheet *sheet, size_t side, size_t i,
                          const char *lead, struct sw_ctx *ctx)
{
    const struct sw_op *op = &sheet->plan->chucking[side].op[i];
    struct sw_buf words = {0};
    sw_buf_printf(&words, "PAUSE: %s", op->what);
    if (isfinite(op->measure_z)) {
        sw_buf_add(&words, ", at Z ");
        sw_text_number(&words, op->measure_z, 3);
    }
    if (op->expected_diameter > 0) {
        sw_buf_add(&words, ": expect ");
        sw_text_number(&words, op->expected_diameter, 4);
    }
    if (op->target_diameter > 0) {
        sw_buf_add(&words, "; after the next cut ");
        sw_text_number(&words, op->target_diameter, 4);
    }
    sw_text_say(out, 0, lead, "%s.   measured ____________", sw_buf_text(&words));
    if (op->advice)
        sw_text_say(out, 6, "", "Result: %s.", op->advice);
    correction_line(out, sheet, side, i, ctx);
    out->failed = out->failed || words.failed;
    sw_buf_done(&words);
}

static void try_lines(struct sw_buf *out, const struct sw_op *op, const char *lead)
{
    sw_text_say(out, 0, lead, "PAUSE: %s.", op->what);
    if (op->advice)
        sw_text_say(out, 6, "", "Right when: %s.", op->advice);
}

static void order_of_work(struct sw_buf *out, const struct sw_sheet *sheet, size_t side,
                          struct sw_ctx *ctx)
{
    const struct sw_plan_chucking *chucking = &sheet->plan->chucking[side];
    const struct sw_setup_side *record = sw_sheet_setup_side(sheet, side);
    struct sw_buf files = {0};
    const struct sw_text *file = record->programs.at;
    for (size_t i = 0; i < record->programs.n; i++)
        sw_buf_printf(&files, "%s%s", i ? ", then " : "", file[i].value);
    sw_text_say(out, 0, "", "\nOrder of work: %s", sw_buf_text(&files));
    out->failed = out->failed || files.failed;
    sw_buf_done(&files);
    for (size_t i = 0; i < chucking->n_ops; i++) {
        const struct sw_op *op = &chucking->op[i];
        char lead[32];
        snprintf(lead, sizeof lead, "%4zu. ", i + 1);
        if (op->kind == SW_OP_MEASURE)
            measure_lines(out, sheet, side, i, lead, ctx);
        else if (op->kind == SW_OP_TRY)
            try_lines(out, op, lead);
        else
            cutting_line(out, op, lead);
    }
    double seconds = 0;
    for (size_t i = 0; i < sheet->verdict->n_programs; i++)
        if (sheet->verdict->program[i].chucking == (int)side + 1)
            seconds += sheet->verdict->program[i].seconds;
    struct sw_buf time = {0};
    sw_text_seconds(&time, seconds);
    sw_text_say(out, 2, "", "In all %s by the dry run, without pauses.", sw_buf_text(&time));
    out->failed = out->failed || time.failed;
    sw_buf_done(&time);
}

static void afterwards(struct sw_buf *out, const struct sw_sheet *sheet, size_t side)
{
    const struct sw_plan_chucking *chucking = &sheet->plan->chucking[side];
    const bool is_last = side + 1 == sheet->plan->n_chuckings;
    sw_buf_add(out, "\nAfterwards\n");
    if (chucking->has_neck)
        sw_text_say(out, 2, "",
                    "Spindle stopped, tools parked. Hold the piece by the hub in fine tweezers "
                    "or a soft holder and break it off at the neck of %.3f at Z %.3f; what "
                    "stands of the neck is faced away on the next side.",
                    sw_text_round(chucking->neck_diameter, 3), sw_text_round(chucking->neck_z, 3));
    else if (!is_last)
        sw_text_say(out, 2, "",
                    "The program parts the piece through: have something soft below the spindle "
                    "to catch it, a staff that falls lands on its pivot.");
    if (is_last)
        sw_text_say(out, 2, "",
                    "Leave the piece in the holder for stone and burnish where the finish asks "
                    "for it, and gauge it before the holder is opened.");
    else
        sw_text_say(out, 2, "",
                    "Gauge the finished side against the table of sizes before going on.");
}

void sw_sheet_side(struct sw_buf *out, const struct sw_sheet *sheet, size_t i, struct sw_ctx *ctx)
{
    const struct sw_plan_chucking *chucking = &sheet->plan->chucking[i];
    struct sw_buf title = {0};
    sw_buf_printf(&title, "%c%s: the %s end",
                  chucking->name[0] >= 'a' && chucking->name[0] <= 'z'
                      ? chucking->name[0] - 'a' + 'A'
                      : chucking->name[0],
                  chucking->name + 1, chucking->end == SW_SIDE_UPPER ? "upper" : "lower");
    sw_text_headline(out, sw_buf_text(&title));
    out->failed = out->failed || title.failed;
    sw_buf_done(&title);
    sw_sheet_holding(out, sheet, i);
    sw_sheet_zeroing(out, sheet, i);
    order_of_work(out, sheet, i, ctx);
    afterwards(out, sheet, i);
}
