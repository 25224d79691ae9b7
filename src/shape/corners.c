/* Rounding all corners of a profile at once. sw_contour_round lets an arc use half of each
 * neighbour, so that two corners never quarrel about the line between them; where the other end of
 * a line stays sharp, the whole line may be used. Optional corners come last. */
#include "shape/shape_int.h"

#include <math.h>

double shape_bend(const struct sw_seg *before, const struct sw_seg *after)
{
    const struct sw_pt u = sw_seg_direction(before, 1), v = sw_seg_direction(after, 0);
    return atan2(u.z * v.r - u.r * v.z, u.z * v.z + u.r * v.r);
}

struct neighbours {
    struct sw_seg before, after;
};

/* A line twice as long, away from the corner: half of it is the whole line. */
static void lengthen(struct neighbours *pair, bool before, bool after)
{
    struct sw_seg *b = &pair->before, *a = &pair->after;
    if (before && b->kind == SW_SEG_LINE)
        b->a = (struct sw_pt){2 * b->a.z - b->b.z, 2 * b->a.r - b->b.r};
    if (after && a->kind == SW_SEG_LINE)
        a->b = (struct sw_pt){2 * a->b.z - a->a.z, 2 * a->b.r - a->a.r};
}

static enum sw_status try_radius(struct sw_seg *arc, const struct neighbours *pair, double radius,
                                 int tag, struct sw_ctx *ctx)
{
    struct sw_contour two = {0};
    if (!sw_contour_add(ctx->arena, &two, pair->before) ||
        !sw_contour_add(ctx->arena, &two, pair->after))
        return SW_MEMORY;
    SW_TRY(sw_contour_round(&two, 0, radius, tag, ctx));
    *arc = two.at[1];
    return SW_OK;
}

/* The largest radius up to RADIUS that fits; SW_CANNOT when none does. */
static enum sw_status fit_radius(struct sw_seg *arc, const struct neighbours *pair, double radius,
                                 int tag, struct sw_ctx *ctx)
{
    if (pair->before.kind == SW_SEG_LINE && pair->after.kind == SW_SEG_LINE) {
        const double room = fmin(sw_seg_length(&pair->before), sw_seg_length(&pair->after)) / 2;
        const double bend = fabs(shape_bend(&pair->before, &pair->after));
        return try_radius(arc, pair, fmin(radius, room / tan(bend / 2)), tag, ctx);
    }
    enum { HALVINGS = 24 }; /* 0.03 mm down to 2e-9 mm */
    double fits = 0, not = radius;
    enum sw_status status = SW_CANNOT;
    for (int i = 0; i < HALVINGS; i++) {
        const double middle = (fits + not ) / 2;
        struct sw_seg found;
        const enum sw_status tried = try_radius(&found, pair, middle, tag, ctx);
        if (tried != SW_OK && tried != SW_CANNOT)
            return tried;
        *(tried == SW_OK ? &fits : &not ) = middle;
        if (tried == SW_OK) {
            *arc = found;
            status = SW_OK;
        }
    }
    return status;
}

static bool is_contested(const struct sw_contour *in, const struct shape_corner *corner, size_t i)
{
    return i + 1 < in->n && corner[i].radius > 0 && !corner[i].is_optional;
}

/* A corner that counts: it may use all of a line whose other end stays sharp, half otherwise. */
static enum sw_status round_wanted(struct sw_seg *arc, const struct sw_contour *in, size_t i,
                                   const struct shape_corner *corner, struct sw_ctx *ctx)
{
    struct neighbours pair = {in->at[i], in->at[i + 1]};
    lengthen(&pair, i == 0 || !is_contested(in, corner, i - 1), !is_contested(in, corner, i + 1));
    const enum sw_status status = try_radius(arc, &pair, corner[i].radius, corner[i].tag, ctx);
    if (status != SW_CANNOT || corner[i].must_fit)
        return status;
    return fit_radius(arc, &pair, corner[i].radius, corner[i].tag, ctx);
}

/* An optional corner may use what the others have left. */
static enum sw_status round_optional(struct sw_seg *arc, const struct sw_contour *in, size_t i,
                                     const struct sw_seg *arcs, const bool *has_arc,
                                     const struct shape_corner *corner, struct sw_ctx *ctx)
{
    struct neighbours pair = {in->at[i], in->at[i + 1]};
    if (i > 0 && has_arc[i - 1])
        pair.before.a = arcs[i - 1].b;
    if (i + 2 < in->n && has_arc[i + 1])
        pair.after.b = arcs[i + 1].a;
    if (sw_seg_length(&pair.before) <= SW_TOL_POINT || sw_seg_length(&pair.after) <= SW_TOL_POINT)
        return SW_CANNOT;
    lengthen(&pair, true, true);
    return try_radius(arc, &pair, corner[i].radius, corner[i].tag, ctx);
}

static enum sw_status add_long(struct sw_contour *out, struct sw_seg seg, struct sw_ctx *ctx)
{
    if (seg.kind == SW_SEG_LINE && sw_seg_length(&seg) <= SW_TOL_POINT)
        return SW_OK;
    return sw_contour_add(ctx->arena, out, seg) ? SW_OK : SW_MEMORY;
}

static enum sw_status find_arcs(struct sw_seg *arc, bool *has_arc, size_t *misfit,
                                const struct sw_contour *in, struct shape_corner *corner,
                                struct sw_ctx *ctx)
{
    for (size_t i = 0; i + 1 < in->n; i++) {
        if (!is_contested(in, corner, i))
            continue;
        const enum sw_status status = round_wanted(&arc[i], in, i, corner, ctx);
        has_arc[i] = status == SW_OK;
        *misfit = i;
        if (status != SW_OK && (status != SW_CANNOT || corner[i].must_fit))
            return status;
    }
    for (size_t i = 0; i + 1 < in->n; i++) {
        if (corner[i].radius <= 0 || !corner[i].is_optional)
            continue;
        const enum sw_status status = round_optional(&arc[i], in, i, arc, has_arc, corner, ctx);
        if (status != SW_OK && status != SW_CANNOT)
            return status;
        has_arc[i] = status == SW_OK;
    }
    for (size_t i = 0; i + 1 < in->n; i++)
        if (corner[i].radius > 0)
            corner[i].radius = has_arc[i] ? sw_seg_radius(&arc[i]) : 0;
    return SW_OK;
}

enum sw_status shape_round(struct sw_contour *out, size_t *misfit, const struct sw_contour *in,
                           struct shape_corner *corner, struct sw_ctx *ctx)
{
    struct sw_seg *arc = SW_NEW(ctx->arena, struct sw_seg, in->n);
    bool *has_arc = SW_NEW(ctx->arena, bool, in->n);
    if (!arc || !has_arc)
        return SW_MEMORY;
    SW_TRY(find_arcs(arc, has_arc, misfit, in, corner, ctx));
    *out = (struct sw_contour){0};
    for (size_t i = 0; i < in->n; i++) {
        struct sw_seg seg = in->at[i];
        if (i > 0 && has_arc[i - 1])
            seg.a = arc[i - 1].b;
        if (has_arc[i])
            seg.b = arc[i].a;
        SW_TRY(add_long(out, seg, ctx));
        if (has_arc[i])
            SW_TRY(add_long(out, arc[i], ctx));
    }
    return SW_OK;
}
