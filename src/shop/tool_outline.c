/* The outlines of tools, all built from one thing: a nose circle rolled between two flanks.
 *
 * With flank directions LOW and HIGH the nose arc runs counter-clockwise from where it leaves the
 * high flank (at HIGH + 90 degrees, seen from its centre) to where it meets the low one (at
 * LOW - 90): the tool lies on the left of both edges when one goes round it that way.
 */
#include "shop/tool.h"

#include <math.h>

#include "geom/tol.h"

static const double pi = 3.14159265358979323846;

static struct sw_pt polar(struct sw_pt from, double radius, double angle)
{
    return (struct sw_pt){from.z + radius * cos(angle), from.r + radius * sin(angle)};
}

bool sw_tool_cuts(const struct sw_tool *tool)
{
    return tool->kind.value != SW_TOOL_STOP;
}

void sw_tool_flanks(double *low, double *high, const struct sw_tool *tool)
{
    if (tool->kind.value == SW_TOOL_BLADE) {
        *low = *high = pi / 2;
        return;
    }
    if (tool->kind.value == SW_TOOL_FACE_POINT) {
        *low = tool->clearance.value;
        *high = tool->clearance.value + tool->point_angle.value;
        return;
    }
    const double k = tool->cutting_angle.value, e = tool->point_angle.value;
    switch (tool->hand.value) {
    case SW_HAND_LEFT:
        *low = k;
        *high = k + e;
        return;
    case SW_HAND_NEUTRAL: /* the angles may be rounded: the point counts, upright */
        *low = (pi - e) / 2;
        *high = (pi + e) / 2;
        return;
    default:
        *low = pi - k - e;
        *high = pi - k;
        return;
    }
}

struct sw_pt sw_tool_second_corner(const struct sw_tool *tool)
{
    const bool is_blade = tool->kind.value == SW_TOOL_BLADE;
    return (struct sw_pt){is_blade ? tool->width.value - 2 * tool->nose_radius.value : 0, 0};
}

struct sw_pt sw_tool_declared_point(const struct sw_tool *tool)
{
    if (tool->point.value == SW_POINT_NOSE_CENTRE || !sw_tool_cuts(tool))
        return (struct sw_pt){0, 0};
    const double nose = tool->nose_radius.value;
    const bool is_free_side = tool->touched.value == SW_TOUCHED_FREE_SIDE;
    return (struct sw_pt){is_free_side ? sw_tool_second_corner(tool).z + nose : -nose, -nose};
}

double sw_tool_heel_limit(const struct sw_tool *tool, double r, double wall)
{
    return 2 * r * tan(tool->relief.value) / cos(wall);
}

/* What the outlines are drawn from. */
struct frame {
    double low, high;                   /* directions of the straight sides */
    struct sw_pt first, second;         /* corner centres on the high and on the low side */
    struct sw_pt high_start, low_start; /* where the nose ends and the sides begin */
    struct sw_pt high_end, low_end;     /* where the sides end */
};

/* Along DIRECTION from START to where z or r has the value given. */
static struct sw_pt to_z(struct sw_pt start, double direction, double z)
{
    return (struct sw_pt){z, start.r + (z - start.z) * tan(direction)};
}

static struct sw_pt to_r(struct sw_pt start, double direction, double r)
{
    return (struct sw_pt){start.z + (r - start.r) * cos(direction) / sin(direction), r};
}

static struct frame frame_of(const struct sw_tool *tool)
{
    struct frame f = {.second = sw_tool_second_corner(tool)};
    const double nose = tool->nose_radius.value;
    sw_tool_flanks(&f.low, &f.high, tool);
    if (tool->kind.value == SW_TOOL_BLADE) {
        f.low += tool->clearance.value; /* each side leans in */
        f.high -= tool->clearance.value;
    }
    f.high_start = polar(f.first, nose, f.high + pi / 2);
    f.low_start = polar(f.second, nose, f.low - pi / 2);
    const double front = tool->reach.value - nose;
    switch (tool->kind.value) {
    case SW_TOOL_BLADE:
        f.high_end = to_r(f.high_start, f.high, front);
        f.low_end = to_r(f.low_start, f.low, front);
        break;
    case SW_TOOL_FACE_POINT:
        f.high_end = to_z(f.high_start, f.high, front);
        f.low_end = to_z(f.low_start, f.low, front);
        break;
    default:
        f.high_end = polar(f.high_start, tool->edge_length.value, f.high);
        f.low_end = polar(f.low_start, tool->edge_length.value, f.low);
        break;
    }
    return f;
}

static enum sw_status add(struct sw_contour *to, struct sw_seg seg, struct sw_ctx *ctx)
{
    if (sw_pt_distance(seg.a, seg.b) <= SW_TOL_POINT)
        return SW_OK;
    return sw_contour_add(ctx->arena, to, seg) ? SW_OK : SW_MEMORY;
}

static enum sw_status add_line(struct sw_contour *to, struct sw_pt a, struct sw_pt b,
                               struct sw_ctx *ctx)
{
    return add(to, sw_seg_line(a, b, SW_TAG_NONE), ctx);
}

/* A rectangle along z as high as the face of a stop. */
static enum sw_status stop_outline(struct sw_contour *out, const struct sw_tool *tool, double from,
                                   double to, struct sw_ctx *ctx)
{
    const double r = tool->width.value / 2;
    const struct sw_pt at[] = {{from, -r}, {to, -r}, {to, r}, {from, r}};
    for (size_t i = 0; i < 4 && to - from > SW_TOL_POINT; i++)
        SW_TRY(add_line(out, at[i], at[(i + 1) % 4], ctx));
    return SW_OK;
}

enum sw_status sw_tool_cutting_outline(struct sw_contour *out, const struct sw_tool *tool,
                                       struct sw_ctx *ctx)
{
    if (!sw_tool_cuts(tool)) {
        *out = (struct sw_contour){0};
        return stop_outline(out, tool, 0, tool->reach.value, ctx);
    }
    const struct frame f = frame_of(tool);
    struct sw_contour outline = {0};
    if (tool->kind.value == SW_TOOL_BLADE) {
        const double nose = tool->nose_radius.value;
        const struct sw_pt left = {f.first.z, f.first.r - nose};
        const struct sw_pt right = {f.second.z, f.second.r - nose};
        SW_TRY(add(&outline, sw_seg_arc(f.high_start, left, f.first, 1, SW_TAG_NONE), ctx));
        SW_TRY(add_line(&outline, left, right, ctx));
        SW_TRY(add(&outline, sw_seg_arc(right, f.low_start, f.second, 1, SW_TAG_NONE), ctx));
    } else {
        SW_TRY(add(&outline, sw_seg_arc(f.high_start, f.low_start, f.first, 1, SW_TAG_NONE), ctx));
    }
    SW_TRY(add_line(&outline, f.low_start, f.low_end, ctx));
    SW_TRY(add_line(&outline, f.low_end, f.high_end, ctx));
    SW_TRY(add_line(&outline, f.high_end, f.high_start, ctx));
    *out = outline;
    return SW_OK;
}

enum { MOST_CORNERS = 8 }; /* a quadrilateral cut off on two sides has six */

struct polygon {
    struct sw_pt at[MOST_CORNERS];
    size_t n;
};

static double coordinate(struct sw_pt p, bool is_r)
{
    return is_r ? p.r : p.z;
}

/* Keeps the part of a convex polygon in which SIGN times the coordinate is at most LIMIT. */
static void cut_off(struct polygon *polygon, bool is_r, double sign, double limit)
{
    struct polygon kept = {.n = 0};
    for (size_t i = 0; i < polygon->n; i++) {
        const struct sw_pt a = polygon->at[i], b = polygon->at[(i + 1) % polygon->n];
        const double da = sign * coordinate(a, is_r) - limit;
        const double db = sign * coordinate(b, is_r) - limit;
        if (da <= 0)
            kept.at[kept.n++] = a;
        if ((da < 0 && db > 0) || (da > 0 && db < 0)) {
            const double t = da / (da - db);
            kept.at[kept.n++] = (struct sw_pt){a.z + t * (b.z - a.z), a.r + t * (b.r - a.r)};
        }
    }
    *polygon = kept;
}

/* Adds a closed polygon; corners that fall together are one. */
static enum sw_status add_polygon(struct sw_contour *to, const struct polygon *polygon,
                                  struct sw_ctx *ctx)
{
    struct polygon kept = {.n = 0};
    for (size_t i = 0; i < polygon->n; i++) {
        if (kept.n == 0 || sw_pt_distance(kept.at[kept.n - 1], polygon->at[i]) > SW_TOL_POINT)
            kept.at[kept.n++] = polygon->at[i];
    }
    while (kept.n > 1 && sw_pt_distance(kept.at[0], kept.at[kept.n - 1]) <= SW_TOL_POINT)
        kept.n--;
    for (size_t i = 0; kept.n > 2 && i < kept.n; i++)
        SW_TRY(add_line(to, kept.at[i], kept.at[(i + 1) % kept.n], ctx));
    return SW_OK;
}

/* The wedge from the ends of a point's edges on to the block, no wider in z than the block or the
 * edges themselves. */
static enum sw_status point_wedge(struct sw_contour *to, const struct sw_tool *tool,
                                  const struct frame *f, struct sw_ctx *ctx)
{
    const double clear = tool->holder.clear.value;
    const double z_least = fmin(-tool->holder.ahead.value, fmin(f->high_end.z, f->low_end.z));
    const double z_most = fmax(tool->holder.behind.value, fmax(f->high_end.z, f->low_end.z));
    struct polygon wedge = {{f->low_end, to_r(f->low_end, f->low, clear),
                             to_r(f->high_end, f->high, clear), f->high_end},
                            4};
    cut_off(&wedge, false, -1, -z_least);
    cut_off(&wedge, false, 1, z_most);
    return add_polygon(to, &wedge, ctx);
}

/* The same for a face-point: the block lies along z, the wedge grows away from the axis. */
static enum sw_status face_wedge(struct sw_contour *to, const struct sw_tool *tool,
                                 const struct frame *f, struct sw_ctx *ctx)
{
    const double clear = tool->holder.clear.value;
    const double r_most = fmax(tool->holder.behind.value, f->high_end.r);
    struct polygon wedge = {{f->low_end, to_z(f->low_end, f->low, clear),
                             to_z(f->high_end, f->high, clear), f->high_end},
                            4};
    cut_off(&wedge, true, 1, r_most);
    return add_polygon(to, &wedge, ctx);
}

/* Behind its narrowed reach a blade goes on at the width it has there. */
static enum sw_status blade_shank(struct sw_contour *to, const struct sw_tool *tool,
                                  const struct frame *f, struct sw_ctx *ctx)
{
    const double clear = tool->holder.clear.value;
    if (clear - f->low_end.r <= SW_TOL_POINT)
        return SW_OK;
    const struct polygon shank = {
        {f->low_end, {f->low_end.z, clear}, {f->high_end.z, clear}, f->high_end}, 4};
    return add_polygon(to, &shank, ctx);
}

static enum sw_status block_outline(struct sw_contour *to, const struct sw_tool *tool,
                                    struct sw_ctx *ctx)
{
    const double near = tool->holder.clear.value, far = near + SW_TOOL_BLOCK_HEIGHT;
    const double ahead = -tool->holder.ahead.value, behind = tool->holder.behind.value;
    const bool is_along_z = tool->kind.value == SW_TOOL_FACE_POINT || !sw_tool_cuts(tool);
    const struct polygon along_z = {{{near, ahead}, {far, ahead}, {far, behind}, {near, behind}},
                                    4};
    const struct polygon along_r = {{{ahead, near}, {behind, near}, {behind, far}, {ahead, far}},
                                    4};
    return add_polygon(to, is_along_z ? &along_z : &along_r, ctx);
}

enum sw_status sw_tool_body_outlines(struct sw_contour body[SW_TOOL_BODIES], size_t *n,
                                     const struct sw_tool *tool, struct sw_ctx *ctx)
{
    struct sw_contour made[SW_TOOL_BODIES] = {0};
    struct frame f = {0};
    if (sw_tool_cuts(tool))
        f = frame_of(tool);
    if (!sw_tool_cuts(tool))
        SW_TRY(stop_outline(&made[0], tool, tool->reach.value, tool->holder.clear.value, ctx));
    else if (tool->kind.value == SW_TOOL_BLADE)
        SW_TRY(blade_shank(&made[0], tool, &f, ctx));
    else if (tool->kind.value == SW_TOOL_FACE_POINT)
        SW_TRY(face_wedge(&made[0], tool, &f, ctx));
    else
        SW_TRY(point_wedge(&made[0], tool, &f, ctx));
    SW_TRY(block_outline(&made[1], tool, ctx));
    *n = 0;
    for (size_t i = 0; i < SW_TOOL_BODIES; i++) {
        if (made[i].n > 0)
            body[(*n)++] = made[i];
    }
    return SW_OK;
}
