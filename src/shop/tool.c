#include "shop/tool.h"

#include <math.h>

#include "geom/tol.h"
#include "shop/read_int.h"

static const char *const kind_words[] = {"point", "blade", "face-point", "stop", NULL};
static const char *const hand_words[] = {"right", "left", "neutral", NULL};
static const char *const point_words[] = {"theoretical-tip", "nose-centre", NULL};
static const char *const touched_words[] = {"headstock-side", "free-side", NULL};

/* clang-format off */
#define BLOCK(member) .offset = offsetof(struct sw_tool_holder_block, member)

static const struct sw_field block_fields[] = {
    {.key = "clear", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_LENGTH, BLOCK(clear),
     .is_required = true, .least = 0.05, .most = 200,
     .sentence = "From the centre of the nose back along the shank to where the holder begins."},
    {.key = "ahead", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_LENGTH, BLOCK(ahead),
     .is_required = true, .least = 0, .most = 200,
     .sentence = "How far the holder reaches past the nose on the headstock side (a face-point: on "
                 "the side of the axis)."},
    {.key = "behind", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_LENGTH, BLOCK(behind),
     .is_required = true, .least = 0, .most = 200,
     .sentence = "How far the holder reaches past the nose on the free side (a face-point: away "
                 "from the axis)."},
};
static const struct sw_table block_table = {
    "tool-holder", "The block that holds the tool; it must touch nothing.",
    sizeof(struct sw_tool_holder_block), block_fields, sizeof block_fields / sizeof *block_fields};

#define TOOL(member) .offset = offsetof(struct sw_tool, member)
#define LENGTH .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_LENGTH
#define ANGLE .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_ANGLE

static const struct sw_field tool_fields[] = {
    {.key = "name", .kind = SW_FIELD_TEXT, TOOL(name), SW_NAME_RANGE, .is_required = true,
     .sentence = "What the workshop calls the tool; the sheet uses this name."},
    {.key = "kind", .kind = SW_FIELD_WORD, TOOL(kind), .is_required = true, .words = kind_words,
     .sentence = "A pointed turning tool, a square blade for parting and grooving, a ground point that "
                 "works along the axis into a face, or a stop that bars are pushed against."},
    {.key = "hand", .kind = SW_FIELD_WORD, TOOL(hand), .words = hand_words, .fallback = "right",
     .sentence = "A right-hand point cuts towards the headstock, a left-hand one away from it, a "
                 "neutral one both ways."},
    {.key = "nose_radius", LENGTH, TOOL(nose_radius), .least = 0.002,
     .most = 2,
     .sentence = "Radius of the nose (a blade: of both corners); no inner corner gets smaller."},
    {.key = "cutting_angle", ANGLE, TOOL(cutting_angle), .least = 30, .most = 150,
     .sentence = "Tool cutting edge angle of a point: between the leading edge and the direction "
                 "of feed along the axis, seen through the tool (93 leaves a shoulder square)."},
    {.key = "point_angle", ANGLE, TOOL(point_angle), .least = 3, .most = 120,
     .sentence = "Angle between the two edges of a point or a face-point."},
    {.key = "clearance", ANGLE, TOOL(clearance), .least = 0.1, .most = 80,
     .sentence = "Of a blade: how far each side leans in from square; of a face-point: the angle "
                 "between its inner flank and the axis."},
    {.key = "width", LENGTH, TOOL(width), .least = 0.05, .most = 10,
     .sentence = "Width of a blade over both corners, or of the face of a stop."},
    {.key = "reach", LENGTH, TOOL(reach), .least = 0.02, .most = 50,
     .sentence = "Usable length of a blade, a face-point or the pin of a stop, from its front."},
    {.key = "edge_length", LENGTH, TOOL(edge_length), .least = 0.05, .most = 30,
     .sentence = "Usable length of each straight edge of a point, from the nose on."},
    {.key = "relief", ANGLE, TOOL(relief), .least = 1, .most = 45,
     .sentence = "Angle under the cutting edge; with heel_height it decides whether the heel of a "
                 "face-point rubs in a recess."},
    {.key = "heel_height", LENGTH, TOOL(heel_height), .least = 0.01, .most = 20,
     .sentence = "How far a face-point's flank reaches below the cutting edge before it is ground "
                 "away."},
    {.key = "edge_radius", LENGTH, TOOL(edge_radius), .least = 0.0002,
     .most = 0.1,
     .sentence = "Rounding of the cutting edge itself: it sets the least chip and much of the "
                 "force."},
    {.key = "point", .kind = SW_FIELD_WORD, TOOL(point), .words = point_words,
     .sentence = "Which point of the tool the program's numbers mean."},
    {.key = "touched", .kind = SW_FIELD_WORD, TOOL(touched), .words = touched_words,
     .fallback = "headstock-side",
     .sentence = "Which side of the nose was touched off in Z: the theoretical tip lies there."},
    {.key = "most_depth", LENGTH, TOOL(most_depth), .least = 0.001, .most = 10,
     .sentence = "Largest depth of cut the tool may be given, on radius."},
    {.key = "rough_depth", LENGTH, TOOL(rough_depth), .least = 0.001, .most = 10,
     .sentence = "Usual depth of a roughing pass, on radius."},
    {.key = "finish_depth", LENGTH, TOOL(finish_depth), .least = 0.0005, .most = 1,
     .sentence = "Depth of the semi-finish and of the finish pass, on radius; both the same, so "
                 "that both spring alike."},
    {.key = "rough_feed", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_FEED_REV,
     TOOL(rough_feed), .least = 0.0001, .most = 1,
     .sentence = "Feed of a roughing pass, or of a plunge."},
    {.key = "finish_feed", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_FEED_REV,
     TOOL(finish_feed), .least = 0.0001, .most = 1,
     .sentence = "Feed of semi-finish and finish passes, or of the end of a plunge."},
    {.key = "surface_speed", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_SURFACE,
     TOOL(surface_speed), .least = 0.5, .most = 1000,
     .sentence = "Most surface speed the tool stands; the material has a limit of its own."},
    {.key = "holder", .kind = SW_FIELD_MAP, TOOL(holder), .is_required = true,
     .table = &block_table, .sentence = "The block that holds the tool; it must touch nothing."},
};
const struct sw_table sw_tool_table = {
    "tool/1",
    "A lathe tool: its shape, what it may be asked to do, and which point its numbers mean.",
    sizeof(struct sw_tool), tool_fields, sizeof tool_fields / sizeof *tool_fields};

/* clang-format on */

/* Angles of a neutral point that are meant to fit may be written rounded: half of a hundredth of a
 * degree, for each side. */
#define NEUTRAL_TOLERANCE_DEGREES 0.01

static const char *kind_text(const struct sw_tool *tool)
{
    static const char *const texts[] = {"a point", "a blade", "a face-point", "a stop"};
    return texts[tool->kind.value];
}

static void check_kind(struct sw_sense *sense, const struct sw_tool *tool)
{
    const bool is_point = tool->kind.value == SW_TOOL_POINT;
    const bool is_blade = tool->kind.value == SW_TOOL_BLADE;
    const bool is_face = tool->kind.value == SW_TOOL_FACE_POINT;
    const bool is_stop = tool->kind.value == SW_TOOL_STOP;
#define MEMBER(key, needed, allowed)                                                               \
    {                                                                                              \
#key, tool->key.given, tool->key.at, needed, allowed                                       \
    }
    const struct sw_shop_member members[] = {
        MEMBER(hand, false, is_point),
        MEMBER(cutting_angle, is_point, is_point),
        MEMBER(point_angle, is_point || is_face, is_point || is_face),
        MEMBER(edge_length, is_point, is_point),
        MEMBER(clearance, is_blade || is_face, is_blade || is_face),
        MEMBER(width, is_blade || is_stop, is_blade || is_stop),
        MEMBER(reach, !is_point, !is_point),
        MEMBER(relief, is_face, !is_stop),
        MEMBER(heel_height, is_face, !is_stop),
        MEMBER(most_depth, is_point, !is_stop),
        MEMBER(rough_depth, is_point, !is_stop),
        MEMBER(finish_depth, is_point, !is_stop),
        MEMBER(nose_radius, !is_stop, !is_stop),
        MEMBER(edge_radius, !is_stop, !is_stop),
        MEMBER(point, !is_stop, !is_stop),
        MEMBER(touched, false, !is_stop),
        MEMBER(rough_feed, !is_stop, !is_stop),
        MEMBER(finish_feed, !is_stop, !is_stop),
        MEMBER(surface_speed, !is_stop, !is_stop),
    };
#undef MEMBER
    sw_shop_check_members(sense, members, sizeof members / sizeof *members, kind_text(tool),
                          tool->kind.at, "tool.needs", "tool.foreign");
}

static void check_point_angles(struct sw_sense *sense, const struct sw_tool *tool)
{
    if (!sw_shop_is_written(&tool->cutting_angle) || !sw_shop_is_written(&tool->point_angle))
        return;
    const double k = sw_shop_degrees(tool->cutting_angle.value);
    const double e = sw_shop_degrees(tool->point_angle.value);
    if (tool->hand.value == SW_HAND_NEUTRAL) {
        if (fabs(e - (180 - 2 * k)) > NEUTRAL_TOLERANCE_DEGREES)
            SW_FAULT(sense, "tool.neutral-angles", tool->cutting_angle.at, NULL,
                     "a neutral point of %g degrees has a cutting angle of %g degrees on both "
                     "sides, not %g",
                     e, (180 - e) / 2, k);
    } else if (k + e >= 180) {
        SW_FAULT(sense, "tool.no-back-clearance", tool->point_angle.at, NULL,
                 "`cutting_angle` %g and `point_angle` %g leave nothing free behind the point: "
                 "their sum must stay under 180 degrees",
                 k, e);
    }
}

/* The theoretical tip is where the tangents of the nose meet. A flank that leans out past a tangent
 * hides the nose from the face that should touch it. */
static void check_touched(struct sw_sense *sense, const struct sw_tool *tool)
{
    const bool is_point = tool->kind.value == SW_TOOL_POINT;
    if (tool->point.value != SW_POINT_THEORETICAL_TIP || tool->kind.value == SW_TOOL_BLADE ||
        tool->kind.value == SW_TOOL_STOP || tool->touched.value < 0 ||
        !sw_shop_is_written(&tool->point_angle) ||
        !sw_shop_is_written(is_point ? &tool->cutting_angle : &tool->clearance))
        return;
    double low, high;
    sw_tool_flanks(&low, &high, tool);
    const bool is_headstock = tool->touched.value == SW_TOUCHED_HEADSTOCK_SIDE;
    const double lean = sw_shop_degrees(is_headstock ? high : low) - 90;
    const double hidden = is_headstock ? lean : -lean;
    if (hidden > NEUTRAL_TOLERANCE_DEGREES)
        SW_ODD(sense, "tool.touched", tool->touched.given ? tool->touched.at : tool->point.at,
               "touch the other side, or write `point: nose-centre`",
               "the %s of the nose cannot touch a face: the flank there stands out by %.1f degrees",
               is_headstock ? "headstock side" : "free side", hidden);
}

static void check_blade(struct sw_sense *sense, const struct sw_tool *tool)
{
    const double nose = tool->nose_radius.value;
    const bool has_width = sw_shop_is_written(&tool->width);
    if (has_width && tool->width.value <= 2 * nose) {
        SW_FAULT(
            sense, "tool.width", tool->width.at, NULL,
            "a blade %g mm wide has no room for two corners of %g mm: it needs more than %g mm",
            tool->width.value, nose, 2 * nose);
        return;
    }
    if (!has_width || !sw_shop_is_written(&tool->reach) || !sw_shop_is_written(&tool->clearance))
        return;
    const double lean = tool->clearance.value;
    const double half = (tool->width.value - 2 * nose) / 2;
    const double rise = tool->reach.value - nose - nose * sin(lean);
    const double top = half + nose * cos(lean) - rise * tan(lean);
    if (top <= SW_TOL_SLIVER)
        SW_FAULT(sense, "tool.clearance", tool->clearance.at, NULL,
                 "sides that lean by %g degrees meet before the reach of %g mm",
                 sw_shop_degrees(lean), tool->reach.value);
}

static void check_face_point(struct sw_sense *sense, const struct sw_tool *tool)
{
    if (!sw_shop_is_written(&tool->clearance) || !sw_shop_is_written(&tool->point_angle))
        return;
    const double lean = sw_shop_degrees(tool->clearance.value);
    const double e = sw_shop_degrees(tool->point_angle.value);
    if (lean + e >= 90)
        SW_FAULT(
            sense, "tool.face-angles", tool->point_angle.at, NULL,
            "`clearance` %g and `point_angle` %g make %g degrees; a face-point needs less than "
            "90",
            lean, e, lean + e);
}

static void check_block(struct sw_sense *sense, const struct sw_tool *tool)
{
    const struct sw_tool_holder_block *holder = &tool->holder;
    if (holder->ahead.given && holder->behind.given &&
        holder->ahead.value + holder->behind.value <= SW_TOL_POINT)
        SW_FAULT(sense, "tool.no-block", holder->ahead.at, NULL,
                 "a holder that reaches 0 mm ahead and 0 mm behind is none");
    if (!sw_shop_is_written(&holder->clear))
        return;
    double end = 0;
    if (tool->kind.value == SW_TOOL_POINT) {
        if (!sw_shop_is_written(&tool->edge_length) || !sw_shop_is_written(&tool->cutting_angle) ||
            !sw_shop_is_written(&tool->point_angle))
            return;
        double low, high;
        sw_tool_flanks(&low, &high, tool);
        const double nose = tool->nose_radius.value, edge = tool->edge_length.value;
        end = fmax(edge * sin(low) - nose * cos(low), edge * sin(high) + nose * cos(high));
    } else {
        if (!sw_shop_is_written(&tool->reach))
            return;
        end = tool->reach.value - tool->nose_radius.value;
    }
    if (holder->clear.value < end - SW_TOL_POINT)
        SW_FAULT(sense, "tool.clear", holder->clear.at, NULL,
                 "the holder begins %g mm behind the nose, but the edges reach %.4g mm",
                 holder->clear.value, end);
}

static void check_not_more(struct sw_sense *sense, const struct sw_number *small,
                           const char *small_key, const struct sw_number *large,
                           const char *large_key)
{
    if (sw_shop_is_written(small) && sw_shop_is_written(large) && small->value > large->value)
        SW_FAULT(sense, "tool.order", small->at, NULL, "`%s` is %g mm, more than `%s`, %g mm",
                 small_key, small->value, large_key, large->value);
}

enum sw_status sw_tool_load(struct sw_tool **out, const char *path, struct sw_ctx *ctx)
{
    struct sw_sense sense = {ctx, false};
    void *thing = NULL;
    SW_TRY(sw_shop_read_root(&thing, &sw_tool_table, path, &sense));
    struct sw_tool *tool = thing;
    if (tool->kind.value >= 0) {
        check_kind(&sense, tool);
        check_touched(&sense, tool);
        check_block(&sense, tool);
    }
    if (tool->kind.value == SW_TOOL_POINT)
        check_point_angles(&sense, tool);
    if (tool->kind.value == SW_TOOL_BLADE)
        check_blade(&sense, tool);
    if (tool->kind.value == SW_TOOL_FACE_POINT)
        check_face_point(&sense, tool);
    check_not_more(&sense, &tool->edge_radius, "edge_radius", &tool->nose_radius, "nose_radius");
    check_not_more(&sense, &tool->rough_depth, "rough_depth", &tool->most_depth, "most_depth");
    check_not_more(&sense, &tool->finish_depth, "finish_depth", &tool->most_depth, "most_depth");
    SW_TRY(sw_shop_finish(&sense));
    *out = tool;
    return SW_OK;
}
