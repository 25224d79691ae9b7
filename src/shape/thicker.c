/* A piece that came out thicker than it should have. */
#include <math.h>

#include "geom/tol.h"
#include "shape/shape.h"

static bool is_face(const struct sw_seg *seg)
{
    return seg->kind == SW_SEG_LINE && fabs(seg->a.z - seg->b.z) < SW_TOL_POINT;
}

static bool lies_between(double r, const struct sw_seg *face)
{
    return r >= fmin(face->a.r, face->b.r) - SW_TOL_POINT &&
           r <= fmax(face->a.r, face->b.r) + SW_TOL_POINT;
}

/* Append SEG to a chain; a step in between is made by the face before or behind where there is one,
 * so that the chain never runs back on itself. */
static bool join(struct sw_contour *out, struct sw_seg seg, struct sw_arena *arena)
{
    struct sw_seg *last = out->n ? &out->at[out->n - 1] : NULL;
    if (last && sw_pt_distance(last->b, seg.a) > SW_TOL_POINT) {
        if (is_face(&seg) && lies_between(last->b.r, &seg))
            seg.a = last->b;
        else if (is_face(last) && fabs(last->a.z - seg.a.z) < SW_TOL_POINT)
            last->b = seg.a;
        else if (!sw_contour_add(arena, out, sw_seg_line(last->b, seg.a, seg.tag)))
            return false;
    }
    return sw_pt_distance(seg.a, seg.b) < SW_TOL_POINT || sw_contour_add(arena, out, seg);
}

enum sw_status sw_shape_thicker(struct sw_contour *out, const struct sw_shape *shape,
                                const double *over, struct sw_ctx *ctx)
{
    const struct sw_contour *turned = &shape->turned;
    *out = (struct sw_contour){0};
    for (size_t i = 0; i < turned->n; i++) {
        struct sw_seg seg = turned->at[i];
        const bool has_tag = seg.tag >= 0 && (size_t)seg.tag < shape->staff->n;
        const double more = has_tag ? over[seg.tag] : 0;
        seg.a.r += more;
        seg.b.r += more;
        seg.c.r += more;
        /* it begins and ends on the axis all the same */
        const struct sw_pt begin = {seg.a.z, 0}, end = {seg.b.z, 0};
        if (i == 0 && more > 0 &&
            !sw_contour_add(ctx->arena, out, sw_seg_line(begin, seg.a, seg.tag)))
            return SW_MEMORY;
        if (!join(out, seg, ctx->arena))
            return SW_MEMORY;
        if (i + 1 == turned->n && more > 0 &&
            !sw_contour_add(ctx->arena, out, sw_seg_line(seg.b, end, seg.tag)))
            return SW_MEMORY;
    }
    return SW_OK;
}
