/* Lengths: what was found, and how far each tool stands off along Z. */
#include <math.h>

#include "report/correct_int.h"
#include "report/sheet_int.h"
#include "report/text.h"

enum { INDENT = 2 };

static const char *place_of(const struct sw_gauge_stretch *stretch)
{
    const double size = stretch->reading->length.value;
    const double doubt = SW_GAUGE_COVERAGE * stretch->u_gauge;
    if (!isfinite(stretch->lower))
        return "-";
    if (size < stretch->lower - doubt)
        return "too short";
    if (size > stretch->upper + doubt)
        return "too long";
    if (size < stretch->lower + doubt || size > stretch->upper - doubt)
        return "at the limit";
    return "within";
}

static bool table(struct sw_buf *out, const struct sw_correction *correction)
{
    enum { FROM = 9, TO = 27, EXPECTED = 45, FOUND = 56, LIMITS = 67, WHERE = 86 };
    bool is_clean = true;
    sw_buf_add(out, "  piece  from              to                expected   found      limits then"
                    "        that is\n");
    for (size_t i = 0; i < correction->n_stretches; i++) {
        const struct sw_gauge_stretch *stretch = &correction->stretch[i];
        sw_buf_printf(out, "  %.0f", stretch->reading->piece.value);
        sw_buf_pad(out, FROM);
        sw_buf_add(out, stretch->from.name);
        sw_buf_pad(out, TO);
        sw_buf_add(out, stretch->to.name);
        sw_buf_pad(out, EXPECTED);
        sw_text_number(out, stretch->expected, 4);
        sw_buf_pad(out, FOUND);
        sw_text_number(out, stretch->reading->length.value, 4);
        sw_buf_pad(out, LIMITS);
        sw_text_bounds(out, stretch->lower, stretch->upper, 4);
        sw_buf_pad(out, WHERE);
        sw_buf_printf(out, "%s\n", place_of(stretch));
        const double beyond = fmax(stretch->lower - stretch->reading->length.value,
                                   stretch->reading->length.value - stretch->upper);
        is_clean = is_clean && !(beyond > SW_GAUGE_COVERAGE * stretch->u_gauge);
    }
    return is_clean;
}

/* The face that counts as right, in words. */
static const char *right_face(const struct sw_correction *correction)
{
    return correction->rests.station > 0 ? correction->rests.name : NULL;
}

/* A face of this tool that a reading would join to the one that counts as right. */
static const char *face_of(const struct sw_gauge_axis *axis, const struct sw_verdict *verdict)
{
    for (size_t i = 0; i < verdict->n_faces; i++)
        if (verdict->face[i].made_chucking == axis->side &&
            verdict->face[i].made_station == axis->station)
            return verdict->face[i].name;
    return NULL;
}

static void say_axis(struct sw_buf *out, const struct sw_gauge_axis *axis,
                     const struct sw_correction *correction, const struct sw_sheet *sheet)
{
    const char *right = right_face(correction);
    const struct sw_setup_station *station =
        sw_sheet_station(sw_sheet_setup_side(sheet, (size_t)(axis->side - 1)), axis->station);
    sw_buf_printf(out, "\nside %d, T%d %s along Z, by %zu length%s\n", axis->side, axis->station,
                  sw_correct_tool_name(sheet, axis->side, axis->station), axis->z.n,
                  axis->z.n == 1 ? "" : "s");
    if (axis->is_reference) {
        sw_text_say(out, INDENT, "",
                    "It made the shoulder of the %s, which rests on the nose face on the second "
                    "side, so that its Z counts as right; everything is counted from there.",
                    right);
        return;
    }
    if (!axis->z.is_known) {
        const char *face = face_of(axis, sheet->verdict);
        if (right && face)
            sw_text_say(out, INDENT, "",
                        "How far it is off along Z cannot be told from these lengths; one from "
                        "`%s` to `%s` would.",
                        right, face);
        else
            sw_text_say(out, INDENT, "",
                        "How far it is off along Z cannot be told: no face is known to count "
                        "from.");
        return;
    }
    const double half = SW_GAUGE_COVERAGE * axis->z.offset.u;
    if (!axis->is_sure) {
        sw_text_say(out, INDENT, "",
                    "No change of Z: the tool seems to stand %+.4f off, and that is less than its "
                    "doubt of +-%.4f (95 of 100).",
                    sw_text_round(axis->z.offset.value, 4), half);
        return;
    }
    struct sw_buf place = {0};
    if (station)
        sw_sheet_offset_place(&place, sheet, station);
    sw_text_say(out, INDENT, "",
                "Add %+.4f to the Z of %s; doubt +-%.4f (95 of 100). Its faces come out too far %s "
                "the holder, counted from the shoulder of the %s.%s",
                sw_text_round(-axis->z.offset.value, 4), sw_buf_text(&place), half,
                axis->z.offset.value > 0 ? "from" : "towards", right,
                axis->side > 1 ? " That is certain only as long as the work sits home on the nose "
                                 "face: where all tools of this side are off by the same, look "
                                 "there first."
                               : "");
    out->failed = out->failed || place.failed;
    sw_buf_done(&place);
}

/* Both faces of one tool move alike: what is off between them is no matter of its offset. */
static bool say_unexplained(struct sw_buf *out, const struct sw_correction *correction)
{
    bool is_clean = true;
    for (size_t i = 0; i < correction->n_stretches; i++) {
        const struct sw_gauge_stretch *stretch = &correction->stretch[i];
        const double off = stretch->reading->length.value - stretch->expected;
        if (stretch->from.side != stretch->to.side ||
            stretch->from.station != stretch->to.station ||
            fabs(off) <= SW_GAUGE_COVERAGE * stretch->u)
            continue;
        sw_text_say(out, INDENT, "",
                    "Piece %.0f, %s to %s is %.4f too %s, and one tool made both faces: no offset "
                    "mends that. Gauge it again, then look for play along Z.",
                    stretch->reading->piece.value, stretch->from.name, stretch->to.name, fabs(off),
                    off > 0 ? "long" : "short");
        is_clean = false;
    }
    return is_clean;
}

bool sw_correct_say_lengths(struct sw_buf *out, const struct sw_correction *correction,
                            const struct sw_sheet *sheet)
{
    if (correction->n_stretches == 0)
        return true;
    sw_text_headline(out, "Lengths");
    bool is_clean = table(out, correction);
    if (!say_unexplained(out, correction))
        is_clean = false;
    for (size_t i = 0; i < correction->n_axes; i++) {
        say_axis(out, &correction->axis[i], correction, sheet);
        is_clean = is_clean && !correction->axis[i].is_sure;
    }
    return is_clean;
}
