/* Questions to an envelope: where it lies below a level, and a piece of it. */
#include <math.h>

#include "geom/geom_int.h"

static enum sw_status add_below(struct sw_intervals *out, double z0, double z1, bool is_walled,
                                struct sw_arena *arena)
{
    struct sw_interval *last = out->n ? &out->at[out->n - 1] : NULL;
    if (last && !is_walled && z0 - last->z1 <= SW_TOL_POINT) {
        last->z1 = z1;
        return SW_OK;
    }
    const struct sw_interval interval = {z0, z1};
    return SW_VEC_PUSH(arena, out, interval) ? SW_OK : SW_MEMORY;
}

/* Places where SEG crosses the level R, cut to its range of z, in order; COUNT of them. */
static int level_crossings(const struct sw_seg *seg, double r, double z[2])
{
    int n = 0;
    if (seg->kind == SW_SEG_LINE) {
        const double dr = seg->b.r - seg->a.r, t = dr != 0 ? (r - seg->a.r) / dr : -1;
        if (t > 0 && t < 1)
            z[n++] = seg->a.z + t * (seg->b.z - seg->a.z);
        return n;
    }
    const double radius = sw_seg_radius(seg), dr = r - seg->c.r;
    if (fabs(dr) >= radius)
        return 0;
    const double half = sqrt((radius - dr) * (radius + dr));
    for (int side = -1; side <= 1; side += 2) {
        const double at = seg->c.z + side * half;
        if (at > seg->a.z && at < seg->b.z)
            z[n++] = at;
    }
    return n;
}

enum sw_status sw_contour_below(struct sw_intervals *out, const struct sw_contour *envelope,
                                double r, struct sw_ctx *ctx)
{
    struct sw_intervals all = {0};
    bool is_walled = false; /* a wall without width reaches the level since the last stretch */
    for (size_t i = 0; i < envelope->n; i++) {
        const struct sw_seg *seg = &envelope->at[i];
        if (sw_geom_is_square(seg)) {
            is_walled = is_walled || fmax(seg->a.r, seg->b.r) > r + SW_TOL_POINT;
            continue;
        }
        if (seg->b.z < seg->a.z)
            return SW_INTERNAL;
        double z[4] = {seg->a.z};
        const int n = 1 + level_crossings(seg, r, z + 1);
        z[n] = seg->b.z;
        for (int k = 0; k < n; k++) {
            if (sw_geom_r_on(seg, z[k] + (z[k + 1] - z[k]) / 2) >= r - SW_TOL_POINT)
                continue;
            SW_TRY(add_below(&all, z[k], z[k + 1], is_walled, ctx->arena));
            is_walled = false;
        }
    }
    size_t n = 0;
    for (size_t i = 0; i < all.n; i++)
        if (all.at[i].z1 - all.at[i].z0 > SW_TOL_POINT)
            all.at[n++] = all.at[i];
    all.n = n;
    *out = all;
    return SW_OK;
}

enum sw_status sw_contour_piece(struct sw_contour *out, const struct sw_contour *envelope,
                                double z0, double z1, struct sw_ctx *ctx)
{
    if (!(z0 < z1))
        return SW_INTERNAL;
    struct sw_contour piece = {0};
    for (size_t i = 0; i < envelope->n; i++) {
        struct sw_seg seg = envelope->at[i];
        if (sw_geom_is_square(&seg)) {
            if (seg.a.z <= z0 + SW_TOL_POINT || seg.a.z >= z1 - SW_TOL_POINT)
                continue;
        } else {
            if (seg.b.z < seg.a.z)
                return SW_INTERNAL;
            if (seg.b.z <= z0 + SW_TOL_POINT || seg.a.z >= z1 - SW_TOL_POINT)
                continue;
            seg = sw_geom_slice(&seg, z0, z1);
        }
        if (!sw_geom_append(ctx->arena, &piece, seg))
            return SW_MEMORY;
    }
    *out = piece;
    return SW_OK;
}
