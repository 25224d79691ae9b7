/* Helpers with which contours are taken apart and put together again. */
#include <math.h>

#include "geom/geom_int.h"

bool sw_geom_shift(struct sw_seg *out, const struct sw_seg *seg, double distance)
{
    const struct sw_pt na = sw_geom_left(sw_seg_direction(seg, 0));
    const struct sw_pt nb = sw_geom_left(sw_seg_direction(seg, 1));
    if (seg->kind == SW_SEG_ARC && sw_seg_radius(seg) - seg->turn * distance <= SW_TOL_POINT)
        return false;
    *out = *seg;
    out->a = sw_geom_plus(seg->a, sw_geom_times(na, distance));
    out->b = sw_geom_plus(seg->b, sw_geom_times(nb, distance));
    return true;
}

static bool continues(const struct sw_seg *last, const struct sw_seg *next)
{
    if (last->kind != next->kind || last->tag != next->tag)
        return false;
    if (last->kind == SW_SEG_ARC) {
        if (last->turn != next->turn || last->c.z != next->c.z || last->c.r != next->c.r)
            return false;
        const double all = fabs(sw_seg_sweep(last)) + fabs(sw_seg_sweep(next));
        const bool is_closing = sw_pt_distance(last->a, next->b) <= SW_TOL_POINT;
        return is_closing ? all < 3 * SW_GEOM_PI : all < 2 * SW_GEOM_PI;
    }
    const struct sw_pt before = sw_seg_direction(last, 0), after = sw_seg_direction(next, 0);
    if (sw_geom_dot(before, after) <= 0)
        return false;
    const struct sw_seg whole = sw_seg_line(last->a, next->b, last->tag);
    double deviation;
    sw_seg_nearest(&whole, last->b, &deviation);
    return deviation <= SW_TOL_STRAIGHT;
}

bool sw_geom_append(struct sw_arena *arena, struct sw_contour *chain, struct sw_seg seg)
{
    struct sw_seg *last = chain->n ? &chain->at[chain->n - 1] : NULL;
    const bool was_circle = sw_pt_distance(seg.a, seg.b) <= SW_TOL_POINT;
    if (was_circle && seg.kind == SW_SEG_LINE)
        return true;
    if (last && sw_pt_distance(last->b, seg.a) <= SW_TOL_JOINT) {
        seg.a = last->b;
        /* A very short arc must not turn into a full circle by being snapped. */
        if (!was_circle && sw_pt_distance(seg.a, seg.b) <= SW_TOL_POINT)
            return true;
        if (continues(last, &seg)) {
            last->b = seg.b;
            return true;
        }
    }
    return sw_contour_add(arena, chain, seg);
}

double sw_geom_r_on(const struct sw_seg *seg, double z)
{
    if (z <= seg->a.z)
        return seg->a.r;
    if (z >= seg->b.z)
        return seg->b.r;
    if (seg->kind == SW_SEG_LINE)
        return seg->a.r + (seg->b.r - seg->a.r) * ((z - seg->a.z) / (seg->b.z - seg->a.z));
    const double radius = sw_seg_radius(seg), dz = z - seg->c.z;
    const double height = sqrt(fmax((radius - dz) * (radius + dz), 0));
    return seg->c.r - seg->turn * height; /* growing z: clockwise on the upper half */
}

struct sw_seg sw_geom_slice(const struct sw_seg *seg, double z0, double z1)
{
    struct sw_seg slice = *seg;
    if (z0 > seg->a.z + SW_TOL_POINT)
        slice.a = (struct sw_pt){z0, sw_geom_r_on(seg, z0)};
    if (z1 < seg->b.z - SW_TOL_POINT)
        slice.b = (struct sw_pt){z1, sw_geom_r_on(seg, z1)};
    if (slice.kind == SW_SEG_ARC && sw_pt_distance(slice.a, slice.b) <= SW_TOL_POINT)
        slice = sw_seg_line(slice.a, slice.b, slice.tag);
    return slice;
}

int sw_geom_cut_at_z_extremes(const struct sw_seg *seg, struct sw_seg piece[3])
{
    double cut[4] = {0};
    int n = 1;
    if (seg->kind == SW_SEG_ARC) {
        const double radius = sw_seg_radius(seg), length = sw_seg_length(seg);
        for (int side = -1; side <= 1; side += 2) {
            const struct sw_pt p = {seg->c.z + side * radius, seg->c.r};
            double share;
            if (sw_geom_arc_passes(seg, p, &share) && share * length > SW_TOL_POINT &&
                (1 - share) * length > SW_TOL_POINT)
                cut[n++] = share;
        }
    }
    if (n == 3 && cut[1] > cut[2]) {
        const double swap = cut[1];
        cut[1] = cut[2];
        cut[2] = swap;
    }
    cut[n] = 1;
    for (int i = 0; i < n; i++)
        piece[i] = sw_seg_part(seg, cut[i], cut[i + 1]);
    return n;
}
