/* Shapes for the tests of geom: an invented staff with every feature, and random profiles.
 *
 * The random ones come from a seed that each failing test prints; a profile starts and ends on the
 * axis, is a function of z but for its square shoulders, and mixes lines, arcs of both senses,
 * tangent joints and corners.
 */
#ifndef SW_TESTS_UNIT_TEST_GEOM_SHAPES_H
#define SW_TESTS_UNIT_TEST_GEOM_SHAPES_H

#include <math.h>

#include "geom/contour.h"
#include "geom/tol.h"
#include "support/near.h"

static inline struct sw_pt pt(double z, double r)
{
    return (struct sw_pt){z, r};
}

static inline void add_line(struct sw_ctx *ctx, struct sw_contour *c, double z, double r, int tag)
{
    const struct sw_pt from = c->n ? c->at[c->n - 1].b : pt(0, 0);
    assert_true(sw_contour_add(ctx->arena, c, sw_seg_line(from, pt(z, r), tag)));
}

/* Arc from the end of the chain to (Z, R) with centre (CZ, CR). */
static inline void add_arc(struct sw_ctx *ctx, struct sw_contour *c, double z, double r, double cz,
                           double cr, int turn, int tag)
{
    const struct sw_pt from = c->n ? c->at[c->n - 1].b : pt(0, 0);
    assert_true(sw_contour_add(ctx->arena, c, sw_seg_arc(from, pt(z, r), pt(cz, cr), turn, tag)));
}

static inline void add_start(struct sw_ctx *ctx, struct sw_contour *c, struct sw_pt a,
                             struct sw_pt b, int tag)
{
    assert_true(sw_contour_add(ctx->arena, c, sw_seg_line(a, b, tag)));
}

/* Dome, pivot, cone, back slope, shoulder, seat with bevel, recess that overhangs, rivet, hub with
 * underside, seat, back slope, cone, pivot, dome. With IS_OVERHUNG false the recess is left out. */
static inline struct sw_contour demo_staff(struct sw_ctx *ctx, bool is_overhung)
{
    struct sw_contour c = {0};
    const double dome = 0.085625; /* (0.055^2 + 0.02^2) / 0.04 */
    const double cone = (0.38 * 0.38 + 0.125 * 0.125) / (2 * 0.125);
    add_arc(ctx, &c, 0.02, 0.055, dome, 0, -1, 0);
    add_line(ctx, &c, 0.26, 0.055, 1);
    add_arc(ctx, &c, 0.64, 0.18, 0.26, 0.055 + cone, 1, 2);
    add_line(ctx, &c, 0.82, 0.13, 3);
    add_line(ctx, &c, 0.82, 0.37, 4);
    add_line(ctx, &c, 0.86, 0.41, 5);
    if (is_overhung) {
        add_line(ctx, &c, 1.50, 0.41, 6);
        add_line(ctx, &c, 1.41, 0.53, 7);
        add_line(ctx, &c, 1.41, 0.58, 8);
    } else {
        add_line(ctx, &c, 1.41, 0.41, 6);
        add_line(ctx, &c, 1.41, 0.58, 8);
    }
    add_line(ctx, &c, 1.80, 0.58, 9);
    add_line(ctx, &c, 1.80, 0.83, 10);
    add_line(ctx, &c, 1.95, 0.83, 11);
    add_line(ctx, &c, 2.30, 0.27, 12);
    add_line(ctx, &c, 3.50, 0.265, 13);
    add_line(ctx, &c, 3.50, 0.13, 14);
    add_line(ctx, &c, 3.68, 0.18, 15);
    add_arc(ctx, &c, 4.06, 0.055, 4.06, 0.055 + cone, 1, 16);
    add_line(ctx, &c, 4.30, 0.055, 17);
    add_arc(ctx, &c, 4.32, 0, 4.32 - dome, 0, -1, 18);
    return c;
}

static inline uint64_t random_bits(uint64_t *state)
{
    uint64_t x = (*state += UINT64_C(0x9e3779b97f4a7c15)); /* SplitMix64, public domain */
    x = (x ^ (x >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
    x = (x ^ (x >> 27)) * UINT64_C(0x94d049bb133111eb);
    return x ^ (x >> 31);
}

static inline double random_between(uint64_t *state, double low, double high)
{
    return low + (high - low) * (double)(random_bits(state) >> 11) / 9007199254740992.0;
}

static inline int random_below(uint64_t *state, int n)
{
    return (int)(random_bits(state) % (uint64_t)n);
}

/* An arc from A to B of RADIUS, the short way round; a line when it does not reach. */
static inline struct sw_seg arc_by_radius(struct sw_pt a, struct sw_pt b, double radius, int turn,
                                          int tag)
{
    const double d = sw_pt_distance(a, b), h2 = radius * radius - d * d / 4;
    if (h2 <= 0 || d <= 0)
        return sw_seg_line(a, b, tag);
    const double k = turn * sqrt(h2) / d;
    const struct sw_pt c = {(a.z + b.z) / 2 - k * (b.r - a.r), (a.r + b.r) / 2 + k * (b.z - a.z)};
    return sw_seg_arc(a, b, c, turn, tag);
}

static inline struct sw_contour random_profile(struct sw_ctx *ctx, uint64_t *state)
{
    struct sw_contour c = {0};
    const int n = 2 + random_below(state, 12);
    struct sw_pt at = {0, random_between(state, 0.05, 0.4)};
    bool is_square = true; /* two square lines in a row could double back */
    add_line(ctx, &c, at.z, at.r, 0);
    for (int i = 1; i <= n; i++) {
        const int kind = random_below(state, 6);
        struct sw_pt to = {at.z + random_between(state, 0.01, 0.5),
                           random_between(state, 0.05, 0.9)};
        if (kind == 0 && !is_square && i < n)
            to.z = at.z;
        if (kind == 1)
            to.r = at.r;
        struct sw_seg seg = sw_seg_line(at, to, i);
        if (kind >= 4) {
            /* At least so large that the arc stays a function of z. */
            const double d = sw_pt_distance(at, to), dz = to.z - at.z;
            const double least = d * d / (2 * dz);
            const double radius =
                least * (random_below(state, 3) ? random_between(state, 1, 3) : 1);
            seg = arc_by_radius(at, to, radius, kind == 4 ? 1 : -1, i);
        }
        const struct sw_box box = sw_seg_box(&seg);
        if (box.r0 < 0.02 || box.z0 < at.z - 1e-9 || box.z1 > to.z + 1e-9)
            seg = sw_seg_line(at, to, i);
        if (sw_pt_distance(at, to) < 1e-3)
            continue;
        assert_true(sw_contour_add(ctx->arena, &c, seg));
        is_square = to.z == at.z;
        at = to;
    }
    add_line(ctx, &c, at.z, 0, n + 1);
    assert_true(sw_contour_is_joined(&c));
    return c;
}

#endif
