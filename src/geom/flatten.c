/* Chords instead of arcs, on a chosen side: vertices on the arc, or on a circle just outside it so
 * that the edges touch the arc. */
#include <math.h>

#include "geom/geom_int.h"

typedef SW_VEC(struct sw_pt) points;

/* No chord spans more than a right angle, however large the error allowed. */
#define LARGEST_HALF_STEP (SW_GEOM_PI / 4)

/* An arc that asks for more chords than this has a wrong size or chord error. */
#define MOST_CHORDS 1e7

static enum sw_status add_arc(struct sw_arena *arena, points *out, const struct sw_seg *arc,
                              double chord, int side)
{
    const double radius = sw_seg_radius(arc), sweep = fabs(sw_seg_sweep(arc));
    /* The left of an arc that turns left is its inside. */
    const bool is_outside = side * arc->turn < 0;
    /* sin^2(h/2) = (1 - cos h) / 2, with cos h = 1 - chord / radius for chords inside and
     * radius / (radius + chord) outside: no cancellation for small errors. */
    const double versine = chord / (is_outside ? radius + chord : radius);
    const double half = 2 * asin(sqrt(fmin(versine / 2, 1)));
    const double wanted = ceil(sweep / (2 * fmin(half, LARGEST_HALF_STEP)));
    if (!(wanted <= MOST_CHORDS))
        return SW_INTERNAL;
    const size_t n = wanted < 1 ? 1 : (size_t)wanted;
    const double stretch = 1 / cos(sweep / (double)n / 2);
    for (size_t i = is_outside ? 0 : 1; i < n; i++) {
        const double t = ((double)i + (is_outside ? 0.5 : 0)) / (double)n;
        struct sw_pt p = sw_seg_at(arc, t);
        if (is_outside)
            p = sw_geom_plus(arc->c, sw_geom_times(sw_geom_less(p, arc->c), stretch));
        if (!SW_VEC_PUSH(arena, out, p))
            return SW_MEMORY;
    }
    return SW_OK;
}

enum sw_status sw_contour_flatten(struct sw_pt **out, size_t *n, const struct sw_contour *in,
                                  double chord, int side, struct sw_ctx *ctx)
{
    if (!(chord > 0) || side < -1 || side > 1)
        return SW_INTERNAL;
    points made = {0};
    for (size_t i = 0; i < in->n; i++) {
        const struct sw_seg *seg = &in->at[i];
        if (i == 0 && !SW_VEC_PUSH(ctx->arena, &made, seg->a))
            return SW_MEMORY;
        if (seg->kind == SW_SEG_ARC && sw_seg_radius(seg) > SW_TOL_POINT)
            SW_TRY(add_arc(ctx->arena, &made, seg, chord, side));
        if (!SW_VEC_PUSH(ctx->arena, &made, seg->b))
            return SW_MEMORY;
    }
    if (made.n && sw_contour_is_closed(in))
        made.at[made.n - 1] = made.at[0];
    *out = made.at;
    *n = made.n;
    return SW_OK;
}
