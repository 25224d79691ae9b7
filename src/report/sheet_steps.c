/* One section's hand work, step by step: from what came off the machine to what it shall be, what
 * to try it with on the way, and when to stop. Beds and gauges come from the shop's bench. */
#include <math.h>

#include "fit/laws.h"
#include "fit/staking.h"
#include "report/sheet_int.h"
#include "report/text.h"

enum { INDENT = 6 };

/* Stone and burnisher take no more than this off a diameter before its form goes; a bed lets the
 * thinnest pivot stand proud by at least LEAST_PROUD; sizes go by hundredths. Common practice, no
 * source. */
const double sw_sheet_most_by_hand = 0.020;
static const double least_proud = 0.005, hundredth = 0.01;
/* Fine plates go by half hundredths. */
static const double fine = 0.005;

double sw_sheet_turned(const struct sw_sheet *sheet, size_t i)
{
    const double judged = sw_sheet_off_machine(&sheet->verdict->section[i]).most;
    return isfinite(judged) ? judged : sheet->plan->shape->section[i].turned_diameter;
}

struct sw_sheet_bed sw_sheet_bed(const struct sw_sheet *sheet, size_t i)
{
    const struct sw_shop_bench *bench = &sheet->plan->shop->bench;
    const double finished = sheet->plan->shape->section[i].finished_diameter;
    const struct sw_bed_window window = sw_bed_window(finished);
    struct sw_sheet_bed bed = {.window = window,
                               .size = sw_bench_largest(&bench->beds, window.least, window.most)};
    bed.is_owned = bed.size > 0;
    if (!bed.is_owned)
        bed.size = floor(window.most / hundredth + 1e-6) * hundredth;
    const double before =
        sw_bench_largest(&bench->beds, bed.size, sw_sheet_turned(sheet, i) - least_proud);
    bed.before = before > bed.size ? before : 0;
    return bed;
}

/* Gauges as the shop has them, by hundredths where it names none. */
static double hole_above(const struct sw_shop_bench *bench, double size)
{
    const double owned = sw_gauge_above(&bench->jewels, size);
    return owned > 0 ? owned : (floor(size / hundredth + 1e-6) + 1) * hundredth;
}

static double hole_below(const struct sw_shop_bench *bench, double size)
{
    const double owned = sw_gauge_below(&bench->jewels, size);
    return owned > 0 ? owned : floor(size / hundredth + 1e-6) * hundredth;
}

struct sw_sheet_holes sw_sheet_holes(const struct sw_sheet *sheet, size_t i)
{
    const struct sw_shop_bench *bench = &sheet->plan->shop->bench;
    const double turned = sw_sheet_turned(sheet, i);
    const double finished = sheet->plan->shape->section[i].finished_diameter;
    const double upper = sw_sheet_drawn_diameter(sheet->plan->shape, i) +
                         sheet->plan->shape->staff->section[i].diameter_tolerance.upper;
    struct sw_sheet_holes holes = {.turned_goes = hole_above(bench, turned),
                                   .turned_stops = hole_below(bench, turned),
                                   .goes = hole_above(bench, finished),
                                   .stops = hole_below(bench, finished),
                                   .wanted = ceil(upper / fine - 1e-6) * fine};
    holes.is_coarse = holes.goes > holes.wanted + 1e-6;
    return holes;
}

/* The step itself: "Burnish the upper pivot in a bed of 0.10 from 0.1202 to ...". */
static void step_line(struct sw_doc *out, const struct sw_sheet *sheet, size_t i)
{
    const struct sw_section *section = &sheet->plan->shape->staff->section[i];
    const double off = sw_sheet_turned(sheet, i);
    const double finished = sheet->plan->shape->section[i].finished_diameter;
    const double drawn = sw_sheet_drawn_diameter(sheet->plan->shape, i);
    const bool is_stoned = section->finish == SW_FINISH_STONED;
    struct sw_buf words = {0};
    sw_buf_printf(&words, "%s the %s", is_stoned ? "Stone" : "Burnish", section->name);
    if (!is_stoned && section->kind == SW_SECTION_PIVOT) {
        sw_buf_add(&words, " in a bed of ");
        sw_text_gauge(&words, sw_sheet_bed(sheet, i).size);
    }
    sw_buf_add(&words, " from ");
    sw_text_number(&words, off, 4);
    sw_buf_add(&words, " to ");
    sw_text_number(&words, finished, 4);
    sw_buf_add(&words, " (");
    sw_text_size(&words, drawn + section->diameter_tolerance.lower);
    sw_buf_add(&words, " to ");
    sw_text_size(&words, drawn + section->diameter_tolerance.upper);
    sw_buf_add(&words, "): ");
    sw_text_number(&words, off - finished, 4);
    sw_doc_say(out, 0, "  [ ] ", "%s off the diameter.   after: ________", sw_buf_text(&words));
    out->failed = out->failed || words.failed;
    sw_buf_done(&words);
}

/* How it lies in its bed, and the holes that tell how far it has come. */
static void stages(struct sw_doc *out, const struct sw_sheet *sheet, size_t i)
{
    const struct sw_shop_bench *bench = &sheet->plan->shop->bench;
    const double off = sw_sheet_turned(sheet, i);
    const double finished = sheet->plan->shape->section[i].finished_diameter;
    const struct sw_sheet_bed bed = sw_sheet_bed(sheet, i);
    const struct sw_sheet_holes holes = sw_sheet_holes(sheet, i);
    struct sw_buf words = {0};
    sw_buf_add(&words, "It stands ");
    sw_text_number(&words, off - bed.size, 4);
    sw_buf_add(&words, " proud of that bed as turned, ");
    sw_text_number(&words, finished - bed.size, 4);
    sw_buf_add(&words, " finished");
    if (bed.before > 0) {
        sw_buf_add(&words, "; if it rocks, begin in ");
        sw_text_gauge(&words, bed.before);
    }
    sw_buf_add(&words, ". Try it in jewel holes: as turned it goes into ");
    sw_text_gauge(&words, holes.turned_goes);
    sw_buf_add(&words, ", not into ");
    sw_text_gauge(&words, holes.turned_stops);
    for (double hole = holes.turned_stops; hole > holes.goes + 1e-6;) {
        sw_buf_add(&words, "; when ");
        sw_text_gauge(&words, hole);
        sw_buf_add(&words, " takes it, no more than ");
        sw_text_number(&words, hole - finished, 4);
        sw_buf_add(&words, " is left");
        const double next = hole_below(bench, hole - 1e-4);
        hole = next < hole ? next : 0;
    }
    if (holes.is_coarse) {
        sw_buf_add(&words, "; the last by the pivot gauge, for ");
        sw_text_gauge(&words, holes.goes);
        sw_buf_add(&words, " lets too thick ones pass (");
        sw_text_gauge(&words, holes.wanted);
        sw_buf_add(&words, " would not); it must not go into ");
    } else {
        sw_buf_add(&words, "; stop when it goes into ");
        sw_text_gauge(&words, holes.goes);
        sw_buf_add(&words, " and still not into ");
    }
    sw_text_gauge(&words, holes.stops);
    sw_doc_say(out, INDENT, "", "%s.", sw_buf_text(&words));
    out->failed = out->failed || words.failed;
    sw_buf_done(&words);
}

static void add_range(struct sw_buf *out, double hole)
{
    sw_text_size(out, hole - SW_MOST_SIDE_SHAKE);
    sw_buf_add(out, " to ");
    sw_text_size(out, hole - SW_LEAST_SIDE_SHAKE);
    sw_buf_add(out, " for a jewel of ");
    sw_text_gauge(out, hole);
}

/* Which jewel it becomes, and what to do when it came out off. */
static void jewel_line(struct sw_doc *out, const struct sw_sheet *sheet, size_t i)
{
    const struct sw_staff *staff = sheet->plan->shape->staff;
    const struct sw_section *section = &staff->section[i];
    const struct sw_jewel *jewel = &staff->jewel[section->index == 0 ? 0 : 1];
    const double finished = sheet->plan->shape->section[i].finished_diameter;
    const double lower =
        sw_sheet_drawn_diameter(sheet->plan->shape, i) + section->diameter_tolerance.lower;
    const double hole = jewel->given
                            ? jewel->hole
                            : hole_above(&sheet->plan->shop->bench, finished + SW_LEAST_SIDE_SHAKE);
    struct sw_buf words = {0};
    sw_buf_add(&words, jewel->given ? "Its jewel: hole " : "No jewel is given; hole ");
    sw_text_gauge(&words, hole);
    sw_buf_add(&words, ", side shake ");
    sw_text_number(&words, hole - finished, 4);
    sw_buf_add(&words, ". Over ");
    sw_text_number(&words, finished + sw_sheet_most_by_hand, 4);
    sw_buf_add(&words, " as turned: too thick for the burnisher. Under ");
    sw_text_number(&words, lower, 4);
    sw_buf_add(&words, ": too thin for this hole. By what it becomes: ");
    add_range(&words, hole);
    sw_buf_add(&words, ", ");
    add_range(&words, hole - hundredth);
    sw_doc_say(out, INDENT, "", "%s.", sw_buf_text(&words));
    out->failed = out->failed || words.failed;
    sw_buf_done(&words);
}

static double reading_of(const struct sw_staff *staff, enum sw_reading_kind kind)
{
    for (size_t i = 0; staff->parts && i < staff->parts->n; i++)
        if (staff->parts->reading[i].kind == kind)
            return staff->parts->reading[i].value;
    return 0;
}

/* Roller and taper: the place where the roller stops by hand tells the size better than a gauge. */
static void add_roller(struct sw_buf *words, const struct sw_sheet *sheet, size_t i)
{
    const struct sw_staff *staff = sheet->plan->shape->staff;
    const struct sw_section *seat = &staff->section[i];
    const double bore = reading_of(staff, seat->takes == SW_TAKES_ROLLER ? SW_READ_ROLLER_BORE
                                                                         : SW_READ_SAFETY_BORE);
    const double length = seat->z1 - seat->z0, taper = fabs(seat->taper);
    sw_buf_add(words, "Right when the roller slides by hand three quarters of the way up, ");
    sw_text_number(words, 0.75 * length, 2);
    sw_buf_add(words, " of ");
    sw_text_number(words, length, 2);
    if (taper > 0) {
        sw_buf_add(words, "; 0.01 of the diameter moves that by ");
        sw_text_number(words, hundredth / taper, 2);
    }
    if (bore > 0 && taper > 0) {
        const double thick = 2 * fmax(seat->r0, seat->r1);
        sw_buf_add(words, ". With its bore of ");
        sw_text_size(words, bore);
        sw_buf_add(words, " it should stop ");
        sw_text_number(words, length * fmin(fmax(sw_taper_stop(bore, thick, taper, length), 0), 1),
                       2);
        sw_buf_add(words, " up");
    }
    sw_buf_add(words, ". Too thin, it falls off: begin a new piece");
}

static void seat_line(struct sw_doc *out, const struct sw_sheet *sheet, size_t i)
{
    const struct sw_section *section = &sheet->plan->shape->staff->section[i];
    const double finished = sheet->plan->shape->section[i].finished_diameter;
    struct sw_buf words = {0};
    switch (section->takes) {
    case SW_TAKES_ROLLER:
    case SW_TAKES_SAFETY_ROLLER:
        add_roller(&words, sheet, i);
        break;
    case SW_TAKES_COLLET: {
        const double bore = reading_of(sheet->plan->shape->staff, SW_READ_COLLET_BORE);
        sw_buf_add(&words, "Right when its collet turns on with a light hand and holds");
        if (bore > 0) {
            sw_buf_add(&words, ": its bore is ");
            sw_text_size(&words, bore);
            sw_buf_add(&words, ", so that it springs open by ");
            sw_text_number(&words, finished - bore, 3);
        }
        break;
    }
    case SW_TAKES_BALANCE:
        sw_buf_add(&words, "Right when the balance goes on with a light push and has no shake");
        break;
    case SW_TAKES_NOTHING:
        sw_buf_add(&words, "Gauge it in two places and all round");
        break;
    }
    sw_buf_add(&words, ". Over ");
    sw_text_number(&words, finished + sw_sheet_most_by_hand, 4);
    sw_buf_add(&words, " as turned: too thick for the stone");
    sw_doc_say(out, INDENT, "", "%s.", sw_buf_text(&words));
    out->failed = out->failed || words.failed;
    sw_buf_done(&words);
}

void sw_sheet_step(struct sw_doc *out, const struct sw_sheet *sheet, size_t i)
{
    const struct sw_section *section = &sheet->plan->shape->staff->section[i];
    step_line(out, sheet, i);
    if (section->kind == SW_SECTION_PIVOT) {
        stages(out, sheet, i);
        jewel_line(out, sheet, i);
    } else if (section->finish == SW_FINISH_STONED) {
        seat_line(out, sheet, i);
    }
}

void sw_sheet_hand_rules(struct sw_doc *out)
{
    sw_doc_sub(out, "When a size came out off, and when to stop");
    sw_doc_say(out, 0, "  - ",
               "Too thick as turned: while the piece is still in its holder run the last cut again "
               "as told with its pause. A stone or burnisher takes %.3f off a diameter at most "
               "before its form goes: what is more, grind off first with soft iron and oilstone "
               "powder, gauge, then finish.",
               sw_sheet_most_by_hand);
    sw_doc_say(out, 0, "  - ",
               "Too thin as turned: only polish it, and fit the jewel to the pivot. Side shake "
               "%.4f to %.4f, small watches at the lower end; a jewel too close stops a watch "
               "sooner than one too loose (Kleinlein 1920, sec. 25). A seat too thin: begin a new "
               "piece.",
               SW_LEAST_SIDE_SHAKE, SW_MOST_SIDE_SHAKE);
    sw_doc_say(out, 0, "  - ",
               "Stop at the gauge, not at the shine; at once when the pivot chatters, when it is "
               "0.002 thicker at one end than at the other (turn it about in the bed), or when the "
               "strokes leave a ring. What the burnisher has not taken off when the lower limit "
               "is near stays on.");
    sw_doc_say(out, 0, "  - ",
               "Last the tips: both ends alike, domed or flat with a broken corner, bright under a "
               "strong glass; no burr, no ring, no grit (Kleinlein 1920, sec. 46 to 53).");
}
