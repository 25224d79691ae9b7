/* The polygon of an arc sweep against the union of its hulls, made by GEOS one by one. */
#include <math.h>

#include "geom/region.h"
#include "sim/arc_sweep.h"
#include "support/near.h"

static const double pi = 3.14159265358979323846;

/* xorshift64*, S. Vigna, "An experimental exploration of Marsaglia's xorshift generators", 2016 */
static double random_share(uint64_t *seed)
{
    *seed ^= *seed >> 12;
    *seed ^= *seed << 25;
    *seed ^= *seed >> 27;
    return (double)((*seed * 2685821657736338717ull) >> 11) / 9007199254740992.0;
}

/* A pointed tool: a nose in chords of ANGLE and two flanks that end in a flat. */
static struct sw_convex tool(double nose, double angle, double low, double high, double length,
                             struct sw_arena *arena)
{
    SW_VEC(struct sw_pt) points = {0};
    for (double a = high + pi / 2; a < low + 1.5 * pi; a += angle)
        assert_true(SW_VEC_PUSH(arena, &points, ((struct sw_pt){nose * cos(a), nose * sin(a)})));
    const double flank[2] = {low, high};
    for (int i = 0; i < 2; i++) {
        const double side = flank[i] + (i == 0 ? -pi / 2 : pi / 2);
        const struct sw_pt p = {nose * cos(side) + length * cos(flank[i]),
                                nose * sin(side) + length * sin(flank[i])};
        assert_true(SW_VEC_PUSH(arena, &points, p));
    }
    struct sw_convex hull = {0};
    assert_true(sw_convex_hull(&hull, points.at, points.n, arena));
    return hull;
}

/* The union of the hulls, and what a folded sweep may leave out. */
static struct sw_region *union_of_hulls(const struct sw_convex *outline, const struct sw_pt *q,
                                        size_t n_chords, struct sw_kernel *kernel,
                                        struct sw_arena *arena)
{
    struct sw_region *whole = NULL;
    struct sw_pt *points = SW_NEW(arena, struct sw_pt, sw_convex_sweep_room(outline));
    for (size_t i = 0; i < n_chords; i++) {
        const struct sw_convex hull = sw_convex_sweep(points, outline, q[i], q[i + 1]);
        struct sw_region *one = NULL, *joined = NULL;
        assert_int_equal(sw_region_from_hull(&one, kernel, hull.at, hull.n), SW_OK);
        if (whole == NULL) {
            whole = one;
            continue;
        }
        assert_int_equal(sw_region_either(&joined, whole, one), SW_OK);
        sw_region_free(whole);
        sw_region_free(one);
        whole = joined;
    }
    return whole;
}

static void the_polygon_of_an_arc_is_the_union_of_its_hulls(void **state)
{
    (void)state;
    int n_of[3] = {0, 0, 0};
    for (uint64_t first = 1; first <= 300; first++) {
        uint64_t seed = first * 7919;
        struct sw_ctx ctx = sw_test_ctx();
        struct sw_kernel *kernel = sw_kernel_new(&ctx);
        const double low = 0.2 + 1.2 * random_share(&seed);
        const struct sw_convex outline =
            tool(0.01 + 0.1 * random_share(&seed), 0.05 + 0.2 * random_share(&seed), low,
                 low + 0.3 + 1.2 * random_share(&seed), 0.5, ctx.arena);
        const double radius = 0.005 + 0.3 * random_share(&seed) * random_share(&seed);
        const double begin = 2 * pi * random_share(&seed);
        const double sweep = (0.1 + 0.9 * random_share(&seed)) * pi / 2;
        const double sagitta = 1e-5;
        const size_t n = 1 + (size_t)(sweep / (2 * acos(1 - sagitta / radius)));
        struct sw_pt *q = SW_NEW(ctx.arena, struct sw_pt, n + 1);
        for (size_t i = 0; i <= n; i++) {
            const double a = begin + sweep * (double)i / (double)n;
            q[i] = (struct sw_pt){radius * cos(a), radius * sin(a)};
        }
        struct sw_pt *points = SW_NEW(ctx.arena, struct sw_pt, sw_arc_sweep_room(&outline, n));
        size_t *work = SW_NEW(ctx.arena, size_t, 2 * n), n_points = 0;
        const enum sw_arc_sweep_kind kind =
            sw_arc_sweep(points, &n_points, &outline, q, n, sagitta, work);
        n_of[kind]++;
        if (kind != SW_ARC_UNCLEAR) {
            assert_true(n_points <= sw_arc_sweep_room(&outline, n));
            struct sw_region *made = NULL, *more = NULL, *less = NULL;
            struct sw_region *whole = union_of_hulls(&outline, q, n, kernel, ctx.arena);
            assert_int_equal(sw_region_from_points(&made, kernel, points, n_points), SW_OK);
            assert_int_equal(sw_region_minus(&more, made, whole), SW_OK);
            assert_int_equal(sw_region_minus(&less, whole, made), SW_OK);
            /* the folded one may leave slivers along the inner side */
            const double sliver = kind == SW_ARC_SWEPT ? 1e-11 : sagitta * 2 * radius * sweep;
            if (sw_region_area(more) > 1e-11 || sw_region_area(less) > sliver)
                print_error("seed %d kind %d: more %g less %g\n", (int)first, (int)kind,
                            sw_region_area(more), sw_region_area(less));
            assert_near(sw_region_area(more), 0, 1e-11);
            assert_near(sw_region_area(less), 0, sliver);
            sw_region_free(made);
            sw_region_free(more);
            sw_region_free(less);
            sw_region_free(whole);
        }
        sw_kernel_free(kernel);
        sw_test_ctx_free(&ctx);
    }
    print_message("swept %d, folded %d, unclear %d\n", n_of[0], n_of[1], n_of[2]);
    assert_true(n_of[0] > 50 && n_of[1] > 20);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_polygon_of_an_arc_is_the_union_of_its_hulls),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
