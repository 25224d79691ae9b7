/* How each tool finds its zero, in the words of the control at hand.
 *
 * A tool's numbers mean one point of it (shop/tool.h). What a person can touch is the nose: its
 * axis side on a skimmed diameter, its headstock side on a face. The number to type in is
 * therefore the touched place plus the way from the touched side to the declared point.
 */
#include "report/sheet_int.h"

#include <math.h>
#include <stdio.h>

#include "report/tables.h"
#include "report/text.h"

const struct sw_setup_station *sw_sheet_station(const struct sw_setup_side *side, int number)
{
    const struct sw_setup_station *station = side->stations.at;
    for (size_t i = 0; i < side->stations.n; i++)
        if ((int)station[i].station.value == number)
            return &station[i];
    return NULL;
}

/* The record lists all tools on the slide; a person zeroes those that cut on this side. */
static bool is_used(const struct sw_plan_chucking *chucking, int station)
{
    for (size_t i = 0; i < chucking->n_ops; i++)
        if (chucking->op[i].n_passes && chucking->op[i].station == station)
            return true;
    return false;
}

/* "G54" to "G59.3" */
static void add_system(struct sw_buf *out, int system)
{
    enum { FIRST = 54, PLAIN = 6 };
    if (system <= PLAIN)
        sw_buf_printf(out, "G%d", FIRST - 1 + system);
    else
        sw_buf_printf(out, "G59.%d", system - PLAIN);
}

void sw_sheet_offset_place(struct sw_buf *out, const struct sw_sheet *sheet,
                           const struct sw_setup_station *station)
{
    const struct sw_control *control = &sheet->plan->shop->machine->control;
    if (station->system.given && station->system.value > 0) {
        sw_buf_add(out, "coordinate system ");
        add_system(out, (int)station->system.value);
    } else if (control->tool_offsets.value == SW_OFFSET_WITH_TOOL) {
        sw_buf_printf(out, "the offset of tool %d", (int)station->station.value);
    } else {
        sw_buf_add(out, "the work zero (coordinate system G54)");
    }
}

/* From the touched sides of the nose to the point the numbers mean; X on radius. */
static struct sw_pt touched_to_declared(const struct sw_tool *tool)
{
    const struct sw_pt point = sw_tool_declared_point(tool);
    const double nose = tool->nose_radius.value;
    return (struct sw_pt){nose + point.z, nose + point.r};
}

static void add_plus(struct sw_buf *out, double value)
{
    if (sw_text_round(value, 4) == 0)
        return;
    sw_buf_add(out, value > 0 ? " plus " : " less ");
    sw_text_number(out, fabs(value), 4);
}

/* A pointed tool skims the rod itself; a blade or a face point is only laid against it. */
static void zero_x(struct sw_buf *out, const struct sw_sheet *sheet,
                   const struct sw_setup_station *station, const struct sw_tool *tool)
{
    const bool is_diameter = sheet->plan->shop->machine->control.x.value == SW_X_DIAMETER;
    const bool skims = tool->kind.value == SW_TOOL_POINT;
    struct sw_buf place = {0}, typed = {0};
    sw_sheet_offset_place(&place, sheet, station);
    sw_buf_add(&typed, is_diameter ? "D" : "half of D");
    const double on_radius = touched_to_declared(tool).r;
    add_plus(&typed, is_diameter ? 2 * on_radius : on_radius);
    if (!skims)
        sw_buf_add(&typed, is_diameter ? " plus twice the thickness of the feeler"
                                       : " plus the thickness of the feeler");
    sw_text_say(out, 6, "X: ",
                "%s. With X where it is, set %s so that X reads %s.\n"
                "D = ____________   X set to ____________",
                skims ? "skim the rod by hand, some hundredths deep and 1 mm long. Draw away in Z "
                        "alone, stop the spindle, measure the skimmed diameter D"
                      : "with the spindle stopped bring its axis side against a skimmed and "
                        "measured diameter D of the rod, a feeler between",
                sw_buf_text(&place), sw_buf_text(&typed));
    out->failed = out->failed || place.failed || typed.failed;
    sw_buf_done(&place);
    sw_buf_done(&typed);
}

static void zero_z(struct sw_buf *out, const struct sw_sheet *sheet, size_t i,
                   const struct sw_setup_station *station, const struct sw_tool *tool)
{
    const struct sw_setup_side *side = sw_sheet_setup_side(sheet, i);
    const bool is_rod = sheet->plan->chucking[i].is_from_rod;
    const double face = is_rod ? side->rod_end_z.value : side->nose_z.value;
    struct sw_buf place = {0}, typed = {0};
    sw_sheet_offset_place(&place, sheet, station);
    sw_text_number(&typed, face + touched_to_declared(tool).z, 4);
    sw_text_say(out, 6, "Z: ",
                "%s. With Z where it is, set %s so that Z reads %s%s.\nZ set to ____________",
                is_rod ? "bring its headstock side against the end of the rod, faced clean"
                       : "with the holder closed on the piece and the spindle stopped, bring its "
                         "headstock side against the nose face of the holder, beside the "
                         "piece, a feeler between",
                sw_buf_text(&place), sw_buf_text(&typed),
                is_rod ? "" : " plus the thickness of the feeler");
    out->failed = out->failed || place.failed || typed.failed;
    sw_buf_done(&place);
    sw_buf_done(&typed);
}

static void tool_line(struct sw_buf *out, const struct sw_sheet *sheet,
                      const struct sw_setup_station *station, const struct sw_tool *tool)
{
    static const char *const hand[] = {"right hand", "left hand", "neutral"};
    static const char *const kind[] = {"pointed tool", "blade", "face point"};
    const struct sw_station *at =
        sw_machine_station(sheet->plan->shop->machine, (int)station->station.value);
    struct sw_buf what = {0};
    sw_buf_add(&what, kind[tool->kind.value]);
    if (tool->kind.value == SW_TOOL_POINT)
        sw_buf_printf(&what, ", %s", hand[tool->hand.value]);
    if (tool->kind.value == SW_TOOL_BLADE) {
        sw_buf_add(&what, ", width ");
        sw_text_number(&what, tool->width.value, 3);
    }
    sw_buf_add(&what, ", nose radius ");
    sw_text_number(&what, tool->nose_radius.value, 3);
    if (tool->point.value == SW_POINT_NOSE_CENTRE)
        sw_buf_add(&what, ". Its numbers mean the centre of the nose");
    else
        sw_buf_printf(&what,
                      ". Its numbers mean the theoretical tip: X on the axis side of the nose, Z "
                      "on its %s side",
                      tool->touched.value == SW_TOUCHED_FREE_SIDE ? "free" : "headstock");
    if (at)
        sw_buf_printf(&what, ". It cuts with the spindle turning %s",
                      at->spindle.value == SW_SENSE_CCW ? "counter-clockwise (M4)"
                                                        : "clockwise (M3)");
    char lead[24];
    snprintf(lead, sizeof lead, "T%-3d ", (int)station->station.value);
    sw_text_say(out, 0, lead, "%s: %s.", tool->name.value, sw_buf_text(&what));
    out->failed = out->failed || what.failed;
    sw_buf_done(&what);
}

static void later_x(struct sw_buf *out, const struct sw_sheet *sheet,
                    const struct sw_setup_station *station)
{
    const struct sw_machine *machine = sheet->plan->shop->machine;
    if (machine->change.value == SW_CHANGE_BY_HAND) {
        sw_text_say(out, 6, "X: ",
                    "comes back within %.4f when it is set in its holder again; find it anew on "
                    "a gauge pin in the spindle or on a diameter that is still to be cut, as on "
                    "side 1.\nX set to ____________",
                    sw_text_round(machine->change_repeat.value, 4));
        return;
    }
    if (is_used(&sheet->plan->chucking[0], (int)station->station.value)) {
        struct sw_buf place = {0};
        sw_sheet_offset_place(&place, sheet, station);
        sw_text_say(out, 6, "X: ", "keeps the zero found on side 1 in %s; do not set it again.",
                    sw_buf_text(&place));
        out->failed = out->failed || place.failed;
        sw_buf_done(&place);
        return;
    }
    sw_text_say(out, 6, "X: ", "was found on the rod before side 1 (see there).");
}

/* Tools of later sides find X on the rod, while there is one. */
static void early_x(struct sw_buf *out, const struct sw_sheet *sheet)
{
    if (sheet->plan->shop->machine->change.value == SW_CHANGE_BY_HAND)
        return;
    for (size_t k = 1; k < sheet->plan->n_chuckings; k++) {
        const struct sw_setup_side *side = sw_sheet_setup_side(sheet, k);
        const struct sw_setup_station *station = side->stations.at;
        for (size_t i = 0; i < side->stations.n; i++) {
            const int number = (int)station[i].station.value;
            const struct sw_tool *tool = sw_shop_tool(sheet->plan->shop, number);
            if (!tool || !is_used(&sheet->plan->chucking[k], number) ||
                is_used(&sheet->plan->chucking[0], number))
                continue;
            sw_buf_printf(out, "  Used on %s only; its X is found now, while there is a rod:\n",
                          side->name.value);
            tool_line(out, sheet, &station[i], tool);
            zero_x(out, sheet, &station[i], tool);
        }
    }
}

void sw_sheet_zeroing(struct sw_buf *out, const struct sw_sheet *sheet, size_t i)
{
    const struct sw_setup_side *side = sw_sheet_setup_side(sheet, i);
    const struct sw_setup_station *station = side->stations.at;
    sw_buf_add(out, "\nTools and their zero\n");
    for (size_t k = 0; k < side->stations.n; k++) {
        const int number = (int)station[k].station.value;
        const struct sw_tool *tool = sw_shop_tool(sheet->plan->shop, number);
        if (!tool || !is_used(&sheet->plan->chucking[i], number))
            continue;
        tool_line(out, sheet, &station[k], tool);
        if (sheet->plan->chucking[i].is_from_rod)
            zero_x(out, sheet, &station[k], tool);
        else
            later_x(out, sheet, &station[k]);
        zero_z(out, sheet, i, &station[k], tool);
    }
    if (i == 0)
        early_x(out, sheet);
    sw_text_say(out, 2, "",
                "Before the start the slide stands at machine X %.3f (radius), Z %.3f in the "
                "reckoning of the dry run, that is clear of rod, holder and nose; the zero of "
                "each tool in machine positions stands in the setup record.",
                sw_text_round(side->park_x.value, 3), sw_text_round(side->park_z.value, 3));
}
