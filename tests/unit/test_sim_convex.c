/* Small convex polygons: areas and distances against elementary geometry. */
#include <math.h>

#include "sim/convex.h"
#include "support/near.h"

static struct sw_convex square(struct sw_arena *arena, double side)
{
    const struct sw_pt points[] = {
        {0, 0}, {side, side}, {side, 0}, {0, side}, {side / 2, side / 3}};
    struct sw_convex hull = {0};
    assert_true(sw_convex_hull(&hull, points, 5, arena));
    return hull;
}

static void a_hull_drops_what_lies_inside(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_convex hull = square(ctx.arena, 2);
    assert_int_equal(hull.n, 4);
    assert_near(sw_convex_area(&hull), 4, 1e-15);
    sw_test_ctx_free(&ctx);
}

static void a_shift_moves_every_edge(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_convex hull = square(ctx.arena, 2);
    struct sw_convex shifted = {0};
    assert_true(sw_convex_shift(&shifted, &hull, 0.25, ctx.arena));
    assert_near(sw_convex_area(&shifted), 2.5 * 2.5, 1e-12);
    assert_true(sw_convex_shift(&shifted, &hull, -0.25, ctx.arena));
    assert_near(sw_convex_area(&shifted), 1.5 * 1.5, 1e-12);
    assert_true(sw_convex_shift(&shifted, &hull, -1.1, ctx.arena));
    assert_int_equal(shifted.n, 0);
    sw_test_ctx_free(&ctx);
}

static void an_edge_that_an_inward_shift_swallows_is_gone(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    /* a square of 1 with one corner cut by an edge of 0.1 sqrt 2: shrunk by 0.4 it is a square of
     * 0.2 again, since the cut edge moves out of it */
    const struct sw_pt points[] = {{0, 0}, {1, 0}, {1, 0.9}, {0.9, 1}, {0, 1}};
    struct sw_convex hull = {0}, shifted = {0};
    assert_true(sw_convex_hull(&hull, points, 5, ctx.arena));
    assert_true(sw_convex_shift(&shifted, &hull, -0.4, ctx.arena));
    assert_near(sw_convex_area(&shifted), 0.04, 1e-12);
    sw_test_ctx_free(&ctx);
}

static void a_sweep_adds_the_width_across_the_move(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_convex hull = square(ctx.arena, 1);
    struct sw_pt points[8];
    /* along the diagonal the width is sqrt 2 */
    const struct sw_pt a = {1, 1}, b = {4, 4}, c = {1, 5};
    struct sw_convex swept = sw_convex_sweep(points, &hull, a, b);
    assert_near(sw_convex_area(&swept), 1 + sqrt(2) * 3 * sqrt(2), 1e-12);
    swept = sw_convex_sweep(points, &hull, a, c);
    assert_near(sw_convex_area(&swept), 5, 1e-12);
    swept = sw_convex_sweep(points, &hull, a, a);
    assert_near(sw_convex_area(&swept), 1, 1e-12);
    sw_test_ctx_free(&ctx);
}

static void a_clip_keeps_what_is_in_the_box(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_convex hull = square(ctx.arena, 2);
    struct sw_pt points[12], spare[12];
    const struct sw_box inside = {1, -1, 5, 1}, outside = {2, 0, 3, 1};
    const struct sw_convex part = sw_convex_clip(points, spare, &hull, inside);
    assert_near(sw_convex_area(&part), 1, 1e-15);
    const struct sw_convex none = sw_convex_clip(points, spare, &hull, outside);
    assert_int_equal(none.n, 0);
    sw_test_ctx_free(&ctx);
}

static void distances_are_zero_inside_and_straight_outside(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_convex hull = square(ctx.arena, 1);
    const struct sw_pt inside = {0.2, 0.7}, beyond = {4, 5}, above = {0.5, 3};
    assert_near(sw_convex_distance(&hull, inside), 0, 0);
    assert_near(sw_convex_distance(&hull, beyond), 5, 1e-12);
    assert_near(sw_convex_distance(&hull, above), 2, 1e-12);
    const struct sw_box far = {4, 5, 6, 6}, across = {-1, 0.4, 3, 0.6};
    assert_near(sw_convex_box_distance(&hull, far), 5, 1e-12);
    assert_near(sw_convex_box_distance(&hull, across), 0, 0);
    sw_test_ctx_free(&ctx);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_hull_drops_what_lies_inside),
        cmocka_unit_test(a_shift_moves_every_edge),
        cmocka_unit_test(an_edge_that_an_inward_shift_swallows_is_gone),
        cmocka_unit_test(a_sweep_adds_the_width_across_the_move),
        cmocka_unit_test(a_clip_keeps_what_is_in_the_box),
        cmocka_unit_test(distances_are_zero_inside_and_straight_outside),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
