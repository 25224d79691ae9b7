/* Rounding a corner: the centre of the arc is where both neighbours, shifted by the radius to the
 * inner side of the corner, meet. */
#include <math.h>
#include <string.h>

#include "geom/geom_int.h"

/* The arc that fits; false when there is none. */
static bool find_arc(struct sw_seg *arc, const struct sw_seg *before, const struct sw_seg *after,
                     double radius, int tag)
{
    const struct sw_pt u = sw_seg_direction(before, 1), v = sw_seg_direction(after, 0);
    const double bend = atan2(sw_geom_cross(u, v), sw_geom_dot(u, v));
    /* Smooth, or so nearly that the arc would be shorter than a point is wide. */
    if (fabs(bend) * radius <= SW_TOL_POINT)
        return false;
    const int turn = bend > 0 ? 1 : -1;
    struct sw_seg s, t;
    struct sw_geom_meeting found[SW_GEOM_MEETINGS];
    if (!sw_geom_shift(&s, before, turn * radius) || !sw_geom_shift(&t, after, turn * radius))
        return false;
    const int n = sw_geom_meet_all(&s, &t, found);
    double nearest = HUGE_VAL;
    for (int i = 0; i < n; i++) {
        /* Shifting keeps the shares, so they are those of the tangent points too. */
        const double left = (1 - found[i].s) * sw_seg_length(before);
        const double right = found[i].t * sw_seg_length(after);
        if (left > sw_seg_length(before) / 2 + SW_TOL_POINT ||
            right > sw_seg_length(after) / 2 + SW_TOL_POINT || left + right >= nearest)
            continue;
        nearest = left + right;
        *arc = sw_seg_arc(sw_seg_at(before, found[i].s), sw_seg_at(after, found[i].t),
                          sw_seg_at(&s, found[i].s), turn, tag);
    }
    return isfinite(nearest) && sw_pt_distance(arc->a, arc->b) > SW_TOL_POINT;
}

enum sw_status sw_contour_round(struct sw_contour *contour, size_t i, double radius, int tag,
                                struct sw_ctx *ctx)
{
    if (i + 1 >= contour->n || !(radius > 0) || !isfinite(radius))
        return SW_INTERNAL;
    struct sw_seg before = contour->at[i], after = contour->at[i + 1], arc;
    if (radius <= SW_TOL_POINT || !find_arc(&arc, &before, &after, radius, tag))
        return SW_CANNOT;
    if (!sw_contour_add(ctx->arena, contour, after))
        return SW_MEMORY;
    before.b = arc.a;
    after.a = arc.b;
    memmove(&contour->at[i + 2], &contour->at[i + 1], (contour->n - i - 2) * sizeof contour->at[0]);
    contour->at[i] = before;
    contour->at[i + 1] = arc;
    contour->at[i + 2] = after;
    return SW_OK;
}
