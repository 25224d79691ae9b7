#include "mech/bar_profile.h"

#include <math.h>

#include "geom/tol.h"

static bool add_cone(struct sw_bar_pieces *out, struct sw_arena *arena, double z0, double r0,
                     double z1, double r1)
{
    const struct sw_bar_piece piece = {.z0 = z0,
                                       .z1 = z1,
                                       .d0 = fmax(2 * r0, SW_BAR_LEAST_DIAMETER),
                                       .d1 = fmax(2 * r1, SW_BAR_LEAST_DIAMETER)};
    return SW_VEC_PUSH(arena, out, piece);
}

/* Angle about the centre of the place of an arc at Z, 0 at its top or bottom. */
static double lean_at(const struct sw_seg *arc, double radius, double z)
{
    return asin(fmin(1, fmax(-1, (z - arc->c.z) / radius)));
}

static bool add_arc(struct sw_bar_pieces *out, struct sw_arena *arena, const struct sw_seg *arc,
                    double z0, double z1, double share)
{
    const double radius = sw_seg_radius(arc);
    /* With growing z an arc that turns clockwise runs over its top. */
    const double side = arc->turn < 0 ? 1 : -1;
    const double from = lean_at(arc, radius, z0), to = lean_at(arc, radius, z1);
    const double r0 = arc->c.r + side * radius * cos(from);
    const double r1 = arc->c.r + side * radius * cos(to);
    const double least = fmax(fmin(r0, r1), SW_BAR_LEAST_DIAMETER / 2);
    /* Chord error R (1 - cos(step/2)) = share * least. */
    const double step = 2 * acos(fmax(0, 1 - share * least / radius));
    const double n = fmax(1, ceil((to - from) / step));
    double z = z0, r = r0;
    for (double i = 1; i <= n; i++) {
        const double angle = from + (to - from) * (i / n);
        const double z_next = i < n ? arc->c.z + radius * sin(angle) : z1;
        const double r_next = i < n ? arc->c.r + side * radius * cos(angle) : r1;
        if (z_next - z > SW_TOL_POINT && !add_cone(out, arena, z, r, z_next, r_next))
            return false;
        if (z_next - z > SW_TOL_POINT) {
            z = z_next;
            r = r_next;
        }
    }
    return true;
}

/* Pieces in the outline's own z. */
static enum sw_status collect(struct sw_bar_pieces *out, const struct sw_contour *envelope,
                              double low, double high, double share, struct sw_ctx *ctx)
{
    double reached = low;
    for (size_t i = 0; i < envelope->n; i++) {
        const struct sw_seg *seg = &envelope->at[i];
        if (seg->b.z < seg->a.z - SW_TOL_POINT)
            return SW_INTERNAL;
        const double z0 = fmax(seg->a.z, low), z1 = fmin(seg->b.z, high);
        if (z1 - z0 <= SW_TOL_POINT)
            continue;
        if (z0 - reached > SW_TOL_JOINT)
            return SW_INTERNAL;
        if (seg->kind == SW_SEG_ARC) {
            if (!add_arc(out, ctx->arena, seg, z0, z1, share))
                return SW_MEMORY;
        } else {
            const double slope = (seg->b.r - seg->a.r) / (seg->b.z - seg->a.z);
            if (!add_cone(out, ctx->arena, z0, seg->a.r + slope * (z0 - seg->a.z), z1,
                          seg->a.r + slope * (z1 - seg->a.z)))
                return SW_MEMORY;
        }
        reached = z1;
    }
    return out->n > 0 && high - reached <= SW_TOL_JOINT ? SW_OK : SW_INTERNAL;
}

enum sw_status sw_bar_pieces_of(struct sw_bar_pieces *out, const struct sw_contour *envelope,
                                double z_clamp, double z_free, double share, struct sw_ctx *ctx)
{
    out->n = 0;
    SW_TRY(collect(out, envelope, fmin(z_clamp, z_free), fmax(z_clamp, z_free), share, ctx));
    if (z_free < z_clamp) {
        for (size_t i = 0, k = out->n; i < k--; i++) {
            const struct sw_bar_piece a = out->at[i], b = out->at[k];
            out->at[i] = (struct sw_bar_piece){-b.z1, -b.z0, b.d1, b.d0};
            out->at[k] = (struct sw_bar_piece){-a.z1, -a.z0, a.d1, a.d0};
        }
        z_clamp = -z_clamp;
    }
    /* Ends that lie within the tolerance of joints are drawn together. */
    for (size_t i = 0; i < out->n; i++) {
        out->at[i].z0 = i > 0 ? out->at[i - 1].z1 : 0;
        out->at[i].z1 -= z_clamp;
    }
    return SW_OK;
}
