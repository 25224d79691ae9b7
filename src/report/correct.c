#include "report/correct.h"

#include <math.h>

#include "fit/laws.h"
#include "report/correct_int.h"
#include "report/sheet_int.h"
#include "report/text.h"

enum { INDENT = 2 };

/* Beyond a limit, and how surely. */
static const char *place_of(const struct sw_gauge_cut *cut)
{
    const double size = sw_gauged_diameter(cut->reading), doubt = SW_GAUGE_COVERAGE * cut->u_gauge;
    if (size < cut->lower - doubt)
        return "too thin";
    if (size > cut->upper + doubt)
        return "too thick";
    if (size < cut->lower + doubt || size > cut->upper - doubt)
        return "at the limit";
    return "within";
}

const char *sw_correct_tool_name(const struct sw_sheet *sheet, int side, int station)
{
    const struct sw_setup_station *found =
        sw_sheet_station(sw_sheet_setup_side(sheet, (size_t)(side - 1)), station);
    return found ? found->tool.value : "";
}

static void table(struct sw_buf *out, const struct sw_correction *correction,
                  const struct sw_sheet *sheet)
{
    static const char *const stages[] = {"turned", "stoned", "burnished"};
    enum { SECTION = 9, STAGE = 31, EXPECTED = 43, FOUND = 54, LIMITS = 65, WHERE = 85 };
    sw_buf_add(out, "  piece  section               stage       expected   found      limits then"
                    "         that is\n");
    for (size_t i = 0; i < correction->n_cuts; i++) {
        const struct sw_gauge_cut *cut = &correction->cut[i];
        const bool is_turned = cut->reading->stage.value == SW_STAGE_TURNED;
        sw_buf_printf(out, "  %.0f", cut->reading->piece.value);
        sw_buf_pad(out, SECTION);
        sw_buf_add(out, sheet->plan->shape->staff->section[cut->section].name);
        sw_buf_pad(out, STAGE);
        sw_buf_add(out, stages[cut->reading->stage.value]);
        sw_buf_pad(out, EXPECTED);
        sw_text_number(out, is_turned ? cut->expected : (double)NAN, 4);
        sw_buf_pad(out, FOUND);
        sw_text_number(out, sw_gauged_diameter(cut->reading), 4);
        sw_buf_pad(out, LIMITS);
        sw_text_bounds(out, cut->lower, cut->upper, 4);
        sw_buf_pad(out, WHERE);
        sw_buf_add(out, place_of(cut));
        if (cut->variant)
            sw_buf_printf(out, " (%s)", cut->variant);
        sw_buf_add(out, "\n");
    }
}

/* Sections that read their size from a number of the program: these numbers add to the offset. */
static enum sw_status named_numbers(struct sw_buf *out, const struct sw_gauge_tool *tool,
                                    const struct sw_sheet *sheet, struct sw_ctx *ctx)
{
    const struct sw_plan_chucking *chucking = &sheet->plan->chucking[tool->side - 1];
    int last = 0;
    if (!sw_post_has_corrections(sheet->post))
        return SW_OK;
    for (size_t i = 0; i < chucking->n_ops; i++) {
        const struct sw_op *op = &chucking->op[i];
        if (op->station != tool->station || op->correction <= last || op->section == SIZE_MAX)
            continue;
        last = op->correction;
        const char *name = sw_post_correction_name(sheet->post, last, ctx);
        if (!name)
            return SW_MEMORY;
        sw_text_say(out, INDENT + 4, "",
                    "(For %s alone, the same number on radius could be added to %s instead; never "
                    "to both.)",
                    sheet->plan->shape->staff->section[op->section].name, name);
    }
    return SW_OK;
}

static enum sw_status say_offset(struct sw_buf *out, const struct sw_gauge_tool *tool,
                                 const struct sw_sheet *sheet, struct sw_ctx *ctx)
{
    const double half = SW_GAUGE_COVERAGE * tool->offset.u;
    if (!tool->is_sure) {
        sw_text_say(out, INDENT, "",
                    "No change of X: the tool seems to stand %.4f off on radius, and that is less "
                    "than its doubt of +-%.4f (95 of 100). More readings would tell.",
                    sw_text_round(tool->offset.value, 4), half);
        return SW_OK;
    }
    struct sw_buf place = {0};
    const struct sw_setup_station *station =
        sw_sheet_station(sw_sheet_setup_side(sheet, (size_t)(tool->side - 1)), tool->station);
    if (station)
        sw_sheet_offset_place(&place, sheet, station);
    sw_text_say(out, INDENT, "",
                "Add %+.4f, on radius, to the X of %s (%+.4f where the control keeps it as a "
                "diameter); doubt +-%.4f on radius (95 of 100). The pieces come out too %s, so the "
                "tool goes %s the axis.",
                sw_text_round(-tool->offset.value, 4), sw_buf_text(&place),
                sw_text_round(-2 * tool->offset.value, 4), half,
                tool->offset.value > 0 ? "thick" : "thin",
                tool->offset.value > 0 ? "towards" : "away from");
    out->failed = out->failed || place.failed;
    sw_buf_done(&place);
    return named_numbers(out, tool, sheet, ctx);
}

/* The thinnest and the thickest section this tool finishes are the two to gauge. */
static void say_where_to_gauge(struct sw_buf *out, const struct sw_gauge_tool *tool,
                               const struct sw_sheet *sheet)
{
    const struct sw_section_verdict *thin = NULL, *thick = NULL;
    for (size_t i = 0; i < sheet->verdict->n_sections; i++) {
        const struct sw_section_verdict *section = &sheet->verdict->section[i];
        if (section->made_chucking != tool->side || section->made_station != tool->station)
            continue;
        thin = !thin || section->turned_mm < thin->turned_mm ? section : thin;
        thick = !thick || section->turned_mm > thick->turned_mm ? section : thick;
    }
    if (!thin || thin == thick)
        sw_text_say(out, INDENT, "",
                    "Its height cannot be told from its offset: it finishes one diameter only.");
    else
        sw_text_say(out, INDENT, "",
                    "Its height cannot be told from its offset: gauge %s and %s of one piece, the "
                    "thinnest and the thickest it finishes.",
                    thin->name, thick->name);
}

static void say_height(struct sw_buf *out, const struct sw_gauge_tool *tool,
                       const struct sw_sheet *sheet)
{
    if (!tool->knows_height) {
        say_where_to_gauge(out, tool, sheet);
        return;
    }
    if (!tool->has_height) {
        const double most =
            sqrt(fmax(0, tool->height_2.value) + SW_GAUGE_COVERAGE * tool->height_2.u);
        sw_text_say(out, INDENT, "",
                    "No error of its height shows; it stands within %.3f of the axis (95 of 100).",
                    most);
        return;
    }
    sw_text_say(out, INDENT, "",
                "It cuts %.3f above or below the axis: thin diameters come out thicker by more "
                "than thick ones, which no offset mends. The sizes cannot tell which way; face a "
                "rod and look at the nib. Set its height, zero it anew and gauge again.",
                sqrt(tool->height_2.value));
}

static void say_drift(struct sw_buf *out, const struct sw_gauge_tool *tool,
                      const struct sw_sheet *sheet)
{
    if (!tool->knows_drift)
        return;
    const double half = SW_GAUGE_COVERAGE * tool->drift.u;
    if (!tool->drifts) {
        sw_text_say(out, INDENT, "",
                    "No drift shows: %+.5f of the diameter a piece, doubt +-%.5f; sizes scatter "
                    "by %.4f.",
                    sw_text_round(tool->drift.value, 5), half, tool->scatter);
        return;
    }
    const char *section = sheet->plan->shape->staff->section[tool->limit_section].name;
    sw_text_say(out, INDENT, "",
                "Diameters drift by %+.5f a piece, doubt +-%.5f, scatter %.4f; the offset above is "
                "reckoned for piece %.0f, the next.",
                tool->drift.value, half, tool->scatter, tool->last_piece + 1);
    if (tool->limit_piece <= tool->last_piece)
        sw_text_say(out, INDENT, "", "%s is past its limit by now: correct before the next piece.",
                    section);
    else
        sw_text_say(out, INDENT, "",
                    "If nothing is changed, %s leaves its limits after about piece %.0f.", section,
                    floor(tool->limit_piece));
}

/* Which jewel hole a pivot too thin for its own would still suit: by Kleinlein's shakes, finished
 * as it is now, or once as much is burnished off as was planned. */
static void say_hole(struct sw_buf *out, const struct sw_gauge_cut *cut,
                     const struct sw_section *section)
{
    if (section->kind != SW_SECTION_PIVOT)
        return;
    const double size = sw_gauged_diameter(cut->reading);
    const bool is_turned = cut->reading->stage.value == SW_STAGE_TURNED;
    const double take = is_turned ? cut->lower - cut->finished_lower : 0;
    if (is_turned)
        sw_text_say(out, INDENT, "",
                    "Burnished by %.4f as planned it would suit a jewel hole of %.4f to %.4f (side "
                    "shake %.4f to %.4f, Kleinlein 1920); each 0.001 less burnished, one 0.001 "
                    "larger.",
                    take, size - take + SW_LEAST_SIDE_SHAKE, size - take + SW_MOST_SIDE_SHAKE,
                    SW_LEAST_SIDE_SHAKE, SW_MOST_SIDE_SHAKE);
    else
        sw_text_say(out, INDENT, "",
                    "It would still suit a jewel hole of %.4f to %.4f (side shake %.4f to %.4f, "
                    "Kleinlein 1920).",
                    size + SW_LEAST_SIDE_SHAKE, size + SW_MOST_SIDE_SHAKE, SW_LEAST_SIDE_SHAKE,
                    SW_MOST_SIDE_SHAKE);
}

/* Tapers, and what no lathe can mend. True: there was something. */
static bool say_pieces(struct sw_buf *out, const struct sw_correction *correction,
                       const struct sw_sheet *sheet)
{
    bool is_any = false;
    for (size_t i = 0; i < correction->n_cuts; i++) {
        const struct sw_gauge_cut *cut = &correction->cut[i];
        const char *name = sheet->plan->shape->staff->section[cut->section].name;
        const double size = sw_gauged_diameter(cut->reading),
                     doubt = SW_GAUGE_COVERAGE * cut->u_gauge;
        struct sw_gauge_value taper;
        if (sw_gauge_taper(&taper, cut)) {
            sw_text_say(out, INDENT, "",
                        "Piece %.0f, %s: %s towards the hub by %.4f of diameter a mm more than "
                        "drawn (doubt +-%.4f). %s.",
                        cut->reading->piece.value, name, taper.value > 0 ? "thicker" : "thinner",
                        fabs(taper.value), SW_GAUGE_COVERAGE * taper.u,
                        taper.value > 0
                            ? "The headstock is out of line, or the tool went deeper at the tip"
                            : "The work gave way towards its tip, or the headstock is out of line");
            is_any = true;
        }
        if (size < cut->finished_lower - doubt) {
            sw_text_say(out, INDENT, "",
                        "Piece %.0f, %s: %.4f is below its finished lower limit %.4f; metal cannot "
                        "be put back.",
                        cut->reading->piece.value, name, size, cut->finished_lower);
            say_hole(out, cut, &sheet->plan->shape->staff->section[cut->section]);
            is_any = true;
        } else if (size < cut->lower - doubt) {
            sw_text_say(out, INDENT, "",
                        "Piece %.0f, %s: %.4f can still be finished, but leaves less than was "
                        "planned for the stone or burnisher.",
                        cut->reading->piece.value, name, size);
            is_any = true;
        } else if (size > cut->upper + doubt) {
            sw_text_say(out, INDENT, "",
                        "Piece %.0f, %s: %.4f is %.4f over its upper limit; that much is still to "
                        "come off.",
                        cut->reading->piece.value, name, size, size - cut->upper);
            is_any = true;
        }
    }
    return is_any;
}

enum sw_status sw_report_correction(struct sw_buf *out, bool *is_clean,
                                    const struct sw_correction *correction,
                                    const struct sw_sheet *sheet, struct sw_ctx *ctx)
{
    *is_clean = true;
    if (correction->n_cuts) {
        sw_text_headline(out, "What was found");
        table(out, correction, sheet);
    }
    for (size_t i = 0; i < correction->n_tools; i++) {
        const struct sw_gauge_tool *tool = &correction->tool[i];
        sw_buf_printf(out, "\nside %d, T%d %s, by %zu reading%s\n", tool->side, tool->station,
                      sw_correct_tool_name(sheet, tool->side, tool->station), tool->n,
                      tool->n == 1 ? "" : "s");
        SW_TRY(say_offset(out, tool, sheet, ctx));
        say_height(out, tool, sheet);
        say_drift(out, tool, sheet);
        *is_clean = *is_clean && !tool->is_sure && !tool->has_height && !tool->drifts;
    }
    if (!sw_correct_say_charts(out, correction, sheet))
        *is_clean = false;
    if (!sw_correct_say_lengths(out, correction, sheet))
        *is_clean = false;
    struct sw_buf pieces = {0};
    if (say_pieces(&pieces, correction, sheet)) {
        *is_clean = false;
        sw_text_headline(out, "Pieces");
        sw_buf_add(out, sw_buf_text(&pieces));
    }
    out->failed = out->failed || pieces.failed;
    sw_buf_done(&pieces);
    return out->failed ? SW_MEMORY : SW_OK;
}
