/* How each tool finds its zero, in the words of the control at hand.
 *
 * A tool's numbers mean one point of it (shop/tool.h). What a person can touch is the nose: its
 * axis side on a measured diameter, its headstock side on a face. The number to type in is
 * therefore the touched place plus the way from the touched side to the declared point.
 * What is touched must stand when the tool comes in, and must not be spoilt by it: where each
 * program has its own tool, that is told program by program (sheet_stands.c).
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

bool sw_sheet_cuts_in(const struct sw_plan_chucking *chucking, size_t first, size_t end,
                      int station)
{
    for (size_t i = first; i < end; i++)
        if (chucking->op[i].n_passes && chucking->op[i].station == station)
            return true;
    return false;
}

/* The record lists all tools on the slide; a person zeroes those that cut on this side. */
static bool is_used(const struct sw_plan_chucking *chucking, int station)
{
    return sw_sheet_cuts_in(chucking, 0, chucking->n_ops, station);
}

static bool is_by_hand(const struct sw_sheet *sheet)
{
    return sheet->plan->shop->machine->change.value == SW_CHANGE_BY_HAND;
}

double sw_sheet_shown_x(const struct sw_sheet *sheet, double radius)
{
    return sheet->plan->shop->machine->control.x.value == SW_X_DIAMETER ? 2 * radius : radius;
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
        sw_buf_printf(out, "the offset of T%d", (int)station->station.value);
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

static void add_z(struct sw_buf *out, double z)
{
    sw_buf_add(out, "Z ");
    sw_text_number(out, z, 2);
}

static void add_stretch(struct sw_buf *out, const struct sw_sheet_place *place)
{
    sw_buf_add(out, "between ");
    add_z(out, place->z_in);
    sw_buf_add(out, " and ");
    add_z(out, place->z_out);
}

/* Where the tool is taken to for X, and how; false: it is laid against, a feeler between. */
static bool add_x_way(struct sw_buf *out, const struct sw_sheet *sheet, size_t side, size_t n_ops,
                      const struct sw_tool *tool)
{
    if (n_ops == 0 && sheet->plan->chucking[side].in_bush) {
        /* Ground, and held where it is touched: it needs no skim, after which nothing could be
         * drawn away along Z to measure it. */
        sw_buf_add(out,
                   "with the spindle stopped measure the diameter D of the bar beside the bush "
                   "and bring the tool's axis side against it there, a feeler between");
        return false;
    }
    if (n_ops == 0 && sheet->plan->chucking[side].is_from_rod) {
        if (tool->kind.value == SW_TOOL_POINT) {
            sw_buf_add(out, "skim the end of the rod by hand, 0.02 deep and 1 mm long. Draw away "
                            "in Z alone, stop the spindle, measure the skimmed diameter D");
            return true;
        }
        sw_buf_add(out, "with the spindle stopped bring its axis side against a skimmed and "
                        "measured diameter D of the rod, a feeler between");
        return false;
    }
    const struct sw_sheet_place place = sw_sheet_x_place(sheet, side, n_ops, tool);
    if (place.may_skim) {
        sw_buf_add(out, "skim by hand what stands ");
        add_stretch(out, &place);
        sw_buf_add(out, ", about ");
        sw_text_number(out, 2 * place.radius, 2);
        sw_buf_add(out, " across, at most 0.02 deep: it is cut away later. Draw away in Z alone, "
                        "stop the spindle, measure the skimmed diameter D");
        return true;
    }
    sw_buf_printf(out, "%swith the spindle stopped measure the diameter D of the %s ",
                  place.name ? "skim nothing, this is finished; " : "",
                  place.name ? place.name : sw_sheet_work_word(sheet));
    add_stretch(out, &place);
    sw_buf_add(out, " (about ");
    sw_text_number(out, 2 * place.radius, 3);
    sw_buf_add(out, ") and bring the tool's axis side against it, a feeler between, without force");
    return false;
}

void sw_sheet_zero_done(struct sw_doc *out, struct sw_sheet_zero *zero)
{
    out->failed = out->failed || zero->way.failed || zero->place.failed || zero->typed.failed;
    sw_buf_done(&zero->way);
    sw_buf_done(&zero->place);
    sw_buf_done(&zero->typed);
}

void sw_sheet_zero_x(struct sw_sheet_zero *zero, const struct sw_sheet *sheet, size_t side,
                     size_t n_ops, const struct sw_setup_station *station)
{
    const struct sw_tool *tool = sw_shop_tool(sheet->plan->shop, (int)station->station.value);
    const bool is_diameter = sheet->plan->shop->machine->control.x.value == SW_X_DIAMETER;
    *zero = (struct sw_sheet_zero){0};
    const bool skims = add_x_way(&zero->way, sheet, side, n_ops, tool);
    sw_sheet_offset_place(&zero->place, sheet, station);
    sw_buf_add(&zero->typed, is_diameter ? "D" : "half of D");
    add_plus(&zero->typed, sw_sheet_shown_x(sheet, touched_to_declared(tool).r));
    if (!skims)
        sw_buf_add(&zero->typed, is_diameter ? " plus twice the thickness of the feeler"
                                             : " plus the thickness of the feeler");
}

static void zero_x(struct sw_doc *out, const struct sw_sheet *sheet, size_t side, size_t n_ops,
                   const struct sw_setup_station *station)
{
    struct sw_sheet_zero zero;
    sw_sheet_zero_x(&zero, sheet, side, n_ops, station);
    sw_doc_say(out, 6, "X: ",
               "%s. With X where it is, set %s so that X reads %s.\n"
               "D = ____________   X set to ____________",
               sw_buf_text(&zero.way), sw_buf_text(&zero.place), sw_buf_text(&zero.typed));
    sw_sheet_zero_done(out, &zero);
}

/* Where the tool is taken to for Z; *FACE gets its Z. False: no feeler comes between. */
static bool add_z_way(struct sw_buf *out, double *z, const struct sw_sheet *sheet, size_t side,
                      size_t n_ops)
{
    const struct sw_setup_side *record = sw_sheet_setup_side(sheet, side);
    struct sw_sheet_face face;
    if (!sheet->plan->chucking[side].is_from_rod) {
        *z = record->nose_z.value;
        sw_buf_add(out, "with the holder closed on the piece and the spindle stopped, bring its "
                        "headstock side against the nose face of the holder, beside the piece, a "
                        "feeler between");
        return true;
    }
    *z = record->rod_end_z.value;
    if (n_ops == 0) {
        sw_buf_add(out, "bring its headstock side against the end of the rod, faced clean");
        return false;
    }
    sw_buf_add(out, "with the spindle stopped bring its headstock side against ");
    if (!sw_sheet_z_face(&face, sheet, side, n_ops)) {
        *z = sw_sheet_end_z(sheet, side, n_ops);
        sw_buf_add(out,
                   "the very end as it stands, a feeler between, only until that is just held");
        return true;
    }
    *z = face.z;
    const char *name = sw_sheet_face_of(sheet, side, face.z);
    if (face.is_end)
        sw_buf_printf(out, "the end, which T%d has faced", face.station);
    else if (name)
        sw_buf_printf(out, "the outer face of the %s", name);
    else
        sw_buf_printf(out, "the face that T%d has left at Z ", face.station);
    if (!face.is_end && !name)
        sw_text_number(out, face.z, 3);
    sw_buf_add(out, ", at about X ");
    sw_text_number(out, sw_sheet_shown_x(sheet, (face.low + face.high) / 2), 2);
    sw_buf_add(out, ", a feeler between, without force");
    return true;
}

void sw_sheet_zero_z(struct sw_sheet_zero *zero, const struct sw_sheet *sheet, size_t side,
                     size_t n_ops, const struct sw_setup_station *station)
{
    const struct sw_tool *tool = sw_shop_tool(sheet->plan->shop, (int)station->station.value);
    double face;
    *zero = (struct sw_sheet_zero){0};
    const bool has_feeler = add_z_way(&zero->way, &face, sheet, side, n_ops);
    sw_sheet_offset_place(&zero->place, sheet, station);
    sw_text_number(&zero->typed, face + touched_to_declared(tool).z, 4);
    if (has_feeler)
        sw_buf_add(&zero->typed, " plus the thickness of the feeler");
}

static void zero_z(struct sw_doc *out, const struct sw_sheet *sheet, size_t side, size_t n_ops,
                   const struct sw_setup_station *station)
{
    struct sw_sheet_zero zero;
    sw_sheet_zero_z(&zero, sheet, side, n_ops, station);
    sw_doc_say(out, 6,
               "Z: ", "%s. With Z where it is, set %s so that Z reads %s.\nZ set to ____________",
               sw_buf_text(&zero.way), sw_buf_text(&zero.place), sw_buf_text(&zero.typed));
    sw_sheet_zero_done(out, &zero);
}

void sw_sheet_tool_words(struct sw_buf *what, const struct sw_tool *tool)
{
    static const char *const hand[] = {"right hand", "left hand", "neutral"};
    static const char *const kind[] = {"pointed tool", "blade", "face point"};
    sw_buf_add(what, kind[tool->kind.value]);
    if (tool->kind.value == SW_TOOL_POINT)
        sw_buf_printf(what, ", %s", hand[tool->hand.value]);
    if (tool->kind.value == SW_TOOL_BLADE) {
        sw_buf_add(what, ", width ");
        sw_text_number(what, tool->width.value, 3);
    }
    sw_buf_add(what, ", nose radius ");
    sw_text_number(what, tool->nose_radius.value, 3);
}

static void tool_line(struct sw_doc *out, const struct sw_sheet *sheet,
                      const struct sw_setup_station *station, const struct sw_tool *tool)
{
    const struct sw_station *at =
        sw_machine_station(sheet->plan->shop->machine, (int)station->station.value);
    struct sw_buf what = {0};
    sw_sheet_tool_words(&what, tool);
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
    sw_doc_say(out, 0, lead, "%s: %s.", tool->name.value, sw_buf_text(&what));
    out->failed = out->failed || what.failed;
    sw_buf_done(&what);
}

/* X on the second side of a machine whose tools stay where they are. */
static void kept_x(struct sw_doc *out, const struct sw_sheet *sheet,
                   const struct sw_setup_station *station)
{
    if (!is_used(&sheet->plan->chucking[0], (int)station->station.value)) {
        sw_doc_say(out, 6, "X: ", "was found on the %s before side 1 (see there).",
                   sw_sheet_work_word(sheet));
        return;
    }
    struct sw_buf place = {0};
    sw_sheet_offset_place(&place, sheet, station);
    sw_doc_say(out, 6, "X: ", "keeps the zero found on side 1 in %s; do not set it again.",
               sw_buf_text(&place));
    out->failed = out->failed || place.failed;
    sw_buf_done(&place);
}

bool sw_sheet_is_early(const struct sw_sheet *sheet, size_t side, int station)
{
    return sw_shop_tool(sheet->plan->shop, station) &&
           is_used(&sheet->plan->chucking[side], station) &&
           !is_used(&sheet->plan->chucking[0], station);
}

/* Tools of later sides find X on the rod, while there is one. */
static void early_x(struct sw_doc *out, const struct sw_sheet *sheet)
{
    for (size_t k = 1; k < sheet->plan->n_chuckings; k++) {
        const struct sw_setup_side *side = sw_sheet_setup_side(sheet, k);
        const struct sw_setup_station *station = side->stations.at;
        for (size_t i = 0; i < side->stations.n; i++) {
            const int number = (int)station[i].station.value;
            if (!sw_sheet_is_early(sheet, k, number))
                continue;
            const struct sw_tool *tool = sw_shop_tool(sheet->plan->shop, number);
            sw_doc_say(out, 2, "", "Used on %s only; its X is found now, while there is a %s:",
                       side->name.value, sw_sheet_work_word(sheet));
            tool_line(out, sheet, &station[i], tool);
            zero_x(out, sheet, 0, 0, &station[i]);
        }
    }
}

/* All tools of a gang plate move along with the one that cuts. */
static void neighbours(struct sw_doc *out, const struct sw_sheet *sheet, size_t side)
{
    const struct sw_setup_side *record = sw_sheet_setup_side(sheet, side);
    const struct sw_setup_station *station = record->stations.at;
    struct sw_buf idle = {0}, apart = {0};
    size_t n_idle = 0;
    for (size_t i = 0; i < record->stations.n; i++) {
        const int number = (int)station[i].station.value;
        /* Where a tip stands when the other's stands at zero. */
        if (i > 0)
            sw_buf_printf(&apart, "%sT%d X %+.1f Z %+.1f", i > 1 ? ", " : "", number,
                          station[0].zero_x.value - station[i].zero_x.value,
                          station[0].zero_z.value - station[i].zero_z.value);
        if (!is_used(&sheet->plan->chucking[side], number))
            sw_buf_printf(&idle, "%sT%d (%s)", n_idle++ ? ", " : "", number,
                          sw_shop_tool(sheet->plan->shop, number)->name.value);
    }
    if (n_idle)
        sw_doc_say(out, 2, "",
                   "Not used on this side: %s. Leave %s on the plate as the shop file has it, or "
                   "take it off; put nothing else there.",
                   sw_buf_text(&idle), n_idle == 1 ? "it" : "each");
    if (side == 0 && record->stations.n > 1)
        sw_doc_say(
            out, 2, "",
            "The dry run moved all tools of the plate along. Seen from the tip of T%d it has "
            "theirs at %s (X outwards, Z away from the headstock). If they stand more than "
            "a few tenths off that, put the true figures into the machine file and make "
            "the programs again: a neighbour could touch.",
            (int)station[0].station.value, sw_buf_text(&apart));
    out->failed = out->failed || idle.failed || apart.failed;
    sw_buf_done(&idle);
    sw_buf_done(&apart);
}

int sw_sheet_start_place(struct sw_buf *out, const struct sw_sheet *sheet, size_t side,
                         const struct sw_sheet_file *file)
{
    const struct sw_plan_chucking *chucking = &sheet->plan->chucking[side];
    const struct sw_setup_side *record = sw_sheet_setup_side(sheet, side);
    const struct sw_setup_station *first = sw_sheet_station(record, chucking->op[0].station);
    size_t op = file->first;
    while (op < file->end && !chucking->op[op].n_passes)
        op++;
    if (!first || op == file->end)
        return 0;
    const struct sw_pt one = sw_tool_declared_point(chucking->op[0].tool);
    const struct sw_pt other = sw_tool_declared_point(chucking->op[op].tool);
    const double x = record->park_x.value - first->zero_x.value - one.r + other.r;
    const double z = record->park_z.value - first->zero_z.value - one.z + other.z;
    sw_buf_add(out, "X ");
    sw_text_number(out, sw_sheet_shown_x(sheet, x), 2);
    sw_buf_add(out, " Z ");
    sw_text_number(out, z, 2);
    return chucking->op[op].station;
}

static void start_place(struct sw_doc *out, const struct sw_sheet *sheet, size_t side,
                        const struct sw_sheet_file *file)
{
    struct sw_buf words = {0};
    const int station = sw_sheet_start_place(&words, sheet, side, file);
    if (station)
        sw_doc_say(out, 2, "",
                   "Before the start draw the slide out to about %s in the numbers of T%d: the "
                   "first move of the program goes there in rapid.",
                   sw_buf_text(&words), station);
    out->failed = out->failed || words.failed;
    sw_buf_done(&words);
}

bool sw_sheet_finds_x(const struct sw_sheet *sheet, size_t side)
{
    return sheet->plan->chucking[side].is_from_rod || (side == 0 && sw_sheet_is_hardened(sheet)) ||
           is_by_hand(sheet) || sw_post_is_file_per_tool(sheet->post);
}

void sw_sheet_zeroing(struct sw_doc *out, const struct sw_sheet *sheet, size_t side, size_t index,
                      struct sw_doc_table *order)
{
    const struct sw_plan_chucking *chucking = &sheet->plan->chucking[side];
    const struct sw_setup_side *record = sw_sheet_setup_side(sheet, side);
    const struct sw_setup_station *station = record->stations.at;
    const struct sw_sheet_file file = sw_sheet_file(sheet, side, index);
    const bool is_file_per_tool = sw_post_is_file_per_tool(sheet->post);
    const enum sw_change_kind change =
        (enum sw_change_kind)sheet->plan->shop->machine->change.value;
    out->reader = order ? SW_DOC_FOR_TEXT : SW_DOC_FOR_BOTH;
    sw_doc_sub(out, "Tools and their zero: before %s", file.program->file);
    bool is_told = order;
    if (order)
        sw_sheet_zero_row(out, order, sheet, side, index);
    else
        is_told = sw_sheet_zero_table(out, sheet, side, &file);
    out->reader = is_told ? SW_DOC_FOR_TEXT : SW_DOC_FOR_BOTH;
    for (size_t k = 0; k < record->stations.n; k++) {
        const int number = (int)station[k].station.value;
        const struct sw_tool *tool = sw_shop_tool(sheet->plan->shop, number);
        if (!tool || !sw_sheet_cuts_in(chucking, file.first, file.end, number))
            continue;
        tool_line(out, sheet, &station[k], tool);
        zero_z(out, sheet, side, file.first, &station[k]);
        if (sw_sheet_finds_x(sheet, side))
            zero_x(out, sheet, side, file.first, &station[k]);
        else
            kept_x(out, sheet, &station[k]);
    }
    if (side == 0 && !is_by_hand(sheet) && !is_file_per_tool)
        early_x(out, sheet);
    out->reader = order ? SW_DOC_FOR_TEXT : SW_DOC_FOR_BOTH;
    if (change == SW_CHANGE_BY_HAND && !is_file_per_tool)
        sw_doc_say(out, 2, "",
                   "Each tool is put in to find its zero, and again where the program calls for "
                   "it; it comes back within %.4f. What that does to a diameter the pauses find.",
                   sw_text_round(sheet->plan->shop->machine->change_repeat.value, 4));
    if (change == SW_CHANGE_GANG)
        neighbours(out, sheet, side);
    start_place(out, sheet, side, &file);
    out->reader = SW_DOC_FOR_BOTH;
}
