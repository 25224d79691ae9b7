/* The chain kernel: convex outlines as corners. */
#include "sim/chain_int.h"

/* A turn smaller than this [rad] is a joint, not a corner: what drawing leaves open. */
#define NO_TURN 1e-9
/* No corner turns further than this [rad], so that each is less than half a circle. */
#define MOST_TURN 2.8

static struct sw_pt unit(double z, double r)
{
    const double length = hypot(z, r);
    return length > 0 ? (struct sw_pt){z / length, r / length} : (struct sw_pt){1, 0};
}

static double turn_between(struct sw_pt t0, struct sw_pt t1)
{
    return atan2(t0.z * t1.r - t0.r * t1.z, t0.z * t1.z + t0.r * t1.r);
}

typedef SW_VEC(struct sw_chain_corner) corner_list;

static bool push(corner_list *list, struct sw_chain_corner corner, double turn,
                 struct sw_arena *arena)
{
    corner.angle0 = list->n > 0 ? list->at[list->n - 1].angle1 : atan2(corner.t0.r, corner.t0.z);
    corner.angle1 = corner.angle0 + fmax(0, turn);
    return SW_VEC_PUSH(arena, list, corner);
}

static struct sw_pt tangent(struct sw_pt centre, struct sw_pt p)
{
    return unit(-(p.r - centre.r), p.z - centre.z);
}

static bool push_arc(corner_list *list, const struct sw_seg *arc, struct sw_arena *arena)
{
    const double sweep = fabs(sw_seg_sweep(arc));
    const int n = (int)ceil(sweep / MOST_TURN);
    for (int i = 0; i < n; i++) {
        struct sw_chain_corner corner = {.c = arc->c, .radius = sw_seg_radius(arc)};
        corner.begin = sw_seg_at(arc, (double)i / n);
        corner.end = sw_seg_at(arc, (double)(i + 1) / n);
        corner.t0 = tangent(arc->c, corner.begin);
        corner.t1 = tangent(arc->c, corner.end);
        if (!push(list, corner, sweep / n, arena))
            return false;
    }
    return true;
}

static bool push_joint(corner_list *list, const struct sw_seg *before, const struct sw_seg *after,
                       struct sw_arena *arena)
{
    const struct sw_pt t0 = sw_seg_direction(before, 1), t1 = sw_seg_direction(after, 0);
    const double turn = turn_between(t0, t1);
    if (turn < NO_TURN)
        return true;
    const struct sw_chain_corner corner = {
        .c = after->a, .begin = after->a, .end = after->a, .t0 = t0, .t1 = t1};
    return push(list, corner, turn, arena);
}

/* Tangents at the ends of a straight side are its own direction, to the last bit on both. */
static void straighten(struct sw_chain_tool *tool)
{
    for (size_t i = 0; i < tool->n; i++) {
        struct sw_chain_corner *from = &tool->at[i], *to = &tool->at[i + 1 < tool->n ? i + 1 : 0];
        if (sw_pt_distance(from->end, to->begin) <= SW_TOL_SNAP)
            to->t0 = from->t1;
        else
            from->t1 = to->t0 = unit(to->begin.z - from->end.z, to->begin.r - from->end.r);
    }
}

static double support(const struct sw_chain_tool *tool, struct sw_pt d)
{
    double most = -HUGE_VAL;
    for (size_t i = 0; i < tool->n; i++)
        most = fmax(most, d.z * tool->at[i].c.z + d.r * tool->at[i].c.r + tool->at[i].radius);
    return most;
}

static bool add_sides(struct sw_chain_tool *tool, struct sw_arena *arena)
{
    tool->box = (struct sw_box){
        -support(tool, (struct sw_pt){-1, 0}), -support(tool, (struct sw_pt){0, -1}),
        support(tool, (struct sw_pt){1, 0}), support(tool, (struct sw_pt){0, 1})};
    tool->n_sides = tool->first_round = tool->end_round = 0;
    for (size_t i = 0; i < tool->n; i++)
        if (tool->at[i].radius > 0) {
            tool->first_round = tool->end_round > 0 ? tool->first_round : i;
            tool->end_round = i + 1;
        }
    tool->side = SW_NEW(arena, struct sw_pt, 2 * tool->n);
    tool->reach = SW_NEW(arena, double, 2 * tool->n);
    if (tool->side == NULL || tool->reach == NULL)
        return false;
    for (size_t i = 0; i < tool->n; i++) {
        const struct sw_chain_corner *corner = &tool->at[i];
        const struct sw_pt side = {corner->t1.r, -corner->t1.z};
        tool->side[tool->n_sides] = side;
        tool->reach[tool->n_sides++] = support(tool, side);
        if (corner->radius > 0) {
            const struct sw_pt middle =
                unit(corner->t0.r + corner->t1.r, -corner->t0.z - corner->t1.z);
            tool->side[tool->n_sides] = middle;
            tool->reach[tool->n_sides++] = support(tool, middle);
        }
    }
    return true;
}

enum sw_status sw_chain_tool_make(struct sw_chain_tool *out, const struct sw_contour *contour,
                                  struct sw_ctx *ctx)
{
    corner_list list = {0};
    for (size_t i = 0; i < contour->n; i++) {
        const struct sw_seg *seg = &contour->at[i];
        const struct sw_seg *before = &contour->at[(i + contour->n - 1) % contour->n];
        if (!push_joint(&list, before, seg, ctx->arena) ||
            (seg->kind == SW_SEG_ARC && !push_arc(&list, seg, ctx->arena)))
            return SW_MEMORY;
    }
    *out = (struct sw_chain_tool){.at = list.at, .n = list.n};
    straighten(out);
    return add_sides(out, ctx->arena) ? SW_OK : SW_MEMORY;
}

static struct sw_pt on_corner(const struct sw_chain_corner *corner, struct sw_pt t)
{
    return (struct sw_pt){corner->c.z + corner->radius * t.r, corner->c.r - corner->radius * t.z};
}

enum sw_status sw_chain_tool_offset(struct sw_chain_tool *out,
                                    const struct sw_chain_outline *outline, double by,
                                    struct sw_ctx *ctx)
{
    if (by < 0) {
        struct sw_contour inner = {0};
        SW_TRY(sw_contour_offset(&inner, outline->contour, -by, ctx));
        return sw_chain_tool_make(out, &inner, ctx);
    }
    struct sw_chain_tool grown = outline->cut;
    grown.at = SW_NEW(ctx->arena, struct sw_chain_corner, grown.n);
    if (grown.at == NULL)
        return SW_MEMORY;
    for (size_t i = 0; i < grown.n; i++) {
        struct sw_chain_corner *corner = &grown.at[i];
        *corner = outline->cut.at[i];
        corner->radius += by;
        corner->begin = on_corner(corner, corner->t0);
        corner->end = on_corner(corner, corner->t1);
    }
    if (!add_sides(&grown, ctx->arena))
        return SW_MEMORY;
    *out = grown;
    return SW_OK;
}
