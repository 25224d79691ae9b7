#include "support/near.h"

#include <math.h>
#include <string.h>

#include "geom/region.h"
#include "geom/tol.h"
#include "shop/tool.h"

static const double pi = 3.14159265358979323846;

static double rad(double degrees)
{
    return degrees * pi / 180;
}

static struct sw_number number(double value)
{
    return (struct sw_number){.value = value, .given = true};
}

static struct sw_choice choice(int value)
{
    return (struct sw_choice){.value = value, .given = true};
}

static struct sw_tool point_tool(double k, double e, double nose)
{
    struct sw_tool tool = {.kind = choice(SW_TOOL_POINT), .hand = choice(SW_HAND_RIGHT)};
    tool.cutting_angle = number(rad(k));
    tool.point_angle = number(rad(e));
    tool.nose_radius = number(nose);
    tool.edge_length = number(1.5);
    tool.holder.clear = number(4);
    tool.holder.ahead = number(1);
    tool.holder.behind = number(8);
    return tool;
}

static struct sw_tool blade_tool(double lean)
{
    struct sw_tool tool = {.kind = choice(SW_TOOL_BLADE)};
    tool.nose_radius = number(0.02);
    tool.width = number(0.5);
    tool.reach = number(3);
    tool.clearance = number(rad(lean));
    tool.holder.clear = number(4);
    tool.holder.ahead = number(1);
    tool.holder.behind = number(6);
    return tool;
}

static struct sw_tool face_tool(void)
{
    struct sw_tool tool = {.kind = choice(SW_TOOL_FACE_POINT)};
    tool.nose_radius = number(0.012);
    tool.clearance = number(rad(3));
    tool.point_angle = number(rad(20));
    tool.reach = number(0.5);
    tool.relief = number(rad(7));
    tool.holder.clear = number(6);
    tool.holder.ahead = number(0.2);
    tool.holder.behind = number(1.5);
    return tool;
}

static struct sw_tool stop_tool(void)
{
    struct sw_tool tool = {.kind = choice(SW_TOOL_STOP)};
    tool.width = number(4);
    tool.reach = number(8);
    tool.holder.clear = number(10);
    tool.holder.ahead = number(6);
    tool.holder.behind = number(7);
    return tool;
}

static double angle_of(struct sw_pt d)
{
    return atan2(d.r, d.z);
}

/* The direction of travel turns left only, by one full turn in all. */
static void assert_convex_ccw(const struct sw_contour *outline)
{
    assert_true(outline->n >= 3);
    assert_true(sw_contour_is_closed(outline));
    assert_true(sw_contour_area(outline) > 0);
    double turned = 0;
    for (size_t i = 0; i < outline->n; i++) {
        const struct sw_seg *seg = &outline->at[i], *next = &outline->at[(i + 1) % outline->n];
        if (seg->kind == SW_SEG_ARC)
            assert_true(seg->turn == 1);
        turned += sw_seg_sweep(seg);
        double turn = angle_of(sw_seg_direction(next, 0)) - angle_of(sw_seg_direction(seg, 1));
        turn = remainder(turn, 2 * pi);
        assert_true(turn > -1e-9);
        turned += turn;
    }
    assert_near(turned, 2 * pi, 1e-9);
}

static void flanks_of_93_35_stand_at_52_and_87_degrees(void **state)
{
    (void)state;
    struct sw_tool tool = point_tool(93, 35, 0.02);
    double low, high;
    sw_tool_flanks(&low, &high, &tool);
    assert_near(low, rad(52), 1e-12);
    assert_near(high, rad(87), 1e-12);
    tool.hand = choice(SW_HAND_LEFT);
    sw_tool_flanks(&low, &high, &tool);
    assert_near(low, rad(93), 1e-12);
    assert_near(high, rad(128), 1e-12);
}

static void a_neutral_point_stands_upright(void **state)
{
    (void)state;
    struct sw_tool tool = point_tool(72.5, 35, 0.05);
    tool.hand = choice(SW_HAND_NEUTRAL);
    double low, high;
    sw_tool_flanks(&low, &high, &tool);
    assert_near(low, rad(72.5), 1e-12);
    assert_near(high, rad(107.5), 1e-12);
}

static void a_face_point_leans_away_from_the_axis(void **state)
{
    (void)state;
    const struct sw_tool tool = face_tool();
    double low, high;
    sw_tool_flanks(&low, &high, &tool);
    assert_near(low, rad(3), 1e-12);
    assert_near(high, rad(23), 1e-12);
}

/* Where the two straight edges of a point's outline would meet without a nose. */
static struct sw_pt sharp_corner(const struct sw_tool *tool, struct sw_ctx *ctx)
{
    struct sw_contour outline = {0};
    assert_int_equal(sw_tool_cutting_outline(&outline, tool, ctx), SW_OK);
    assert_int_equal(outline.n, 4);
    const struct sw_seg *low = &outline.at[1], *high = &outline.at[3];
    assert_int_equal(low->kind, SW_SEG_LINE);
    assert_int_equal(high->kind, SW_SEG_LINE);
    const double az = low->b.z - low->a.z, ar = low->b.r - low->a.r;
    const double bz = high->b.z - high->a.z, br = high->b.r - high->a.r;
    const double t =
        ((high->a.z - low->a.z) * br - (high->a.r - low->a.r) * bz) / (az * br - ar * bz);
    return (struct sw_pt){low->a.z + t * az, low->a.r + t * ar};
}

/* Source: a tool maker's published table of corrections when an insert is swapped for one with
 * another nose (Kyocera, turning catalogue 2016, page R32): shift of the theoretical tip in X and Z
 * for 1 mm less nose radius, the sharp corner staying where it is. Columns: point angle, cutting
 * angle, dX, dZ. */
static void nose_swaps_move_the_tip_as_published(void **state)
{
    (void)state;
    static const double row[][4] = {
        {80, 95, 0.100, 0.100}, {60, 91, 0.714, 0.030},    {55, 93, 0.866, 0.099},
        {35, 95, 2.072, 0.273}, {35, 117.5, 1.351, 1.351}, {90, 75, 0.225, -0.293},
    };
    struct sw_ctx ctx = sw_test_ctx();
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        const double radius[2] = {1.2, 0.2};
        struct sw_pt tip[2];
        for (int k = 0; k < 2; k++) {
            struct sw_tool tool = point_tool(row[i][1], row[i][0], radius[k]);
            tool.point = choice(SW_POINT_THEORETICAL_TIP);
            tool.touched = choice(SW_TOUCHED_HEADSTOCK_SIDE);
            const struct sw_pt corner = sharp_corner(&tool, &ctx);
            tip[k] = sw_tool_declared_point(&tool);
            tip[k].z -= corner.z;
            tip[k].r -= corner.r;
        }
        /* the published shifts are corrections: towards the work */
        assert_near(tip[0].r - tip[1].r, row[i][2], 5e-4);
        assert_near(tip[0].z - tip[1].z, row[i][3], 5e-4);
    }
    sw_test_ctx_free(&ctx);
}

static void the_declared_point_is_where_the_tangents_meet(void **state)
{
    (void)state;
    struct sw_tool tool = blade_tool(1);
    tool.point = choice(SW_POINT_THEORETICAL_TIP);
    tool.touched = choice(SW_TOUCHED_HEADSTOCK_SIDE);
    struct sw_pt p = sw_tool_declared_point(&tool);
    assert_near(p.z, -0.02, 0);
    assert_near(p.r, -0.02, 0);
    tool.touched = choice(SW_TOUCHED_FREE_SIDE);
    p = sw_tool_declared_point(&tool);
    assert_near(p.z, 0.48, 1e-15); /* 0.5 wide, from the same corner's centre */
    assert_near(p.r, -0.02, 0);
    tool.point = choice(SW_POINT_NOSE_CENTRE);
    p = sw_tool_declared_point(&tool);
    assert_near(p.z, 0, 0);
    assert_near(p.r, 0, 0);
    assert_near(sw_tool_second_corner(&tool).z, 0.46, 1e-15);

    struct sw_tool point = point_tool(93, 55, 0.1);
    point.point = choice(SW_POINT_THEORETICAL_TIP);
    point.touched = choice(SW_TOUCHED_FREE_SIDE);
    assert_near(sw_tool_declared_point(&point).z, 0.1, 0);
    assert_near(sw_tool_second_corner(&point).z, 0, 0);
}

/* Derived: wedge of angle E with a tangent nose R, edges of length L from the tangent points on:
 * triangle over the sharp corner, less the tip that the nose leaves out. */
static double point_area(double e, double nose, double edge)
{
    const double t = nose / tan(e / 2);
    return (t + edge) * (t + edge) * sin(e) / 2 - nose * t + nose * nose * (pi - e) / 2;
}

static void outlines_of_points_have_the_area_of_a_rounded_wedge(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    static const double angles[][2] = {{93, 35}, {93, 55}, {95, 80}, {75, 90}, {117.5, 35}};
    for (size_t i = 0; i < sizeof angles / sizeof *angles; i++) {
        for (int hand = SW_HAND_RIGHT; hand <= SW_HAND_LEFT; hand++) {
            struct sw_tool tool = point_tool(angles[i][0], angles[i][1], 0.1);
            tool.hand = choice(hand);
            struct sw_contour outline = {0};
            assert_int_equal(sw_tool_cutting_outline(&outline, &tool, &ctx), SW_OK);
            assert_convex_ccw(&outline);
            assert_near_relative(sw_contour_area(&outline), point_area(rad(angles[i][1]), 0.1, 1.5),
                                 1e-12);
            double low, high;
            sw_tool_flanks(&low, &high, &tool);
            assert_near(angle_of(sw_seg_direction(&outline.at[1], 0)), low, 1e-9);
            assert_near(angle_of(sw_seg_direction(&outline.at[3], 1)), high - pi, 1e-9);
        }
    }
    sw_test_ctx_free(&ctx);
}

static void the_left_hand_is_the_mirror_image(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_tool right = point_tool(93, 35, 0.02), left = right;
    left.hand = choice(SW_HAND_LEFT);
    struct sw_contour a = {0}, b = {0};
    assert_int_equal(sw_tool_cutting_outline(&a, &right, &ctx), SW_OK);
    assert_int_equal(sw_tool_cutting_outline(&b, &left, &ctx), SW_OK);
    for (size_t i = 0; i < a.n; i++) {
        const struct sw_pt mirrored = {-a.at[i].a.z, a.at[i].a.r};
        assert_near(sw_contour_distance(&b, mirrored, NULL), 0, 1e-12);
    }
    sw_test_ctx_free(&ctx);
}

static void a_blade_is_widest_at_its_corners_and_narrows_behind(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_contour outline = {0};
    struct sw_tool tool = blade_tool(0);
    assert_int_equal(sw_tool_cutting_outline(&outline, &tool, &ctx), SW_OK);
    assert_convex_ccw(&outline);
    /* derived: a rectangle less two rounded corners */
    assert_near_relative(sw_contour_area(&outline), 0.5 * 3 - 2 * 0.02 * 0.02 * (1 - pi / 4),
                         1e-12);

    tool = blade_tool(1);
    assert_int_equal(sw_tool_cutting_outline(&outline, &tool, &ctx), SW_OK);
    assert_convex_ccw(&outline);
    const struct sw_box box = sw_contour_box(&outline);
    assert_near(box.z0, -0.02, 1e-12);
    assert_near(box.z1, 0.48, 1e-12);
    assert_near(box.r0, -0.02, 1e-12);
    assert_near(box.r1, 2.98, 1e-12);
    /* the -z side stands at 89 degrees and starts tangent to the corner */
    const struct sw_seg *side = &outline.at[outline.n - 1];
    assert_near(angle_of(sw_seg_direction(side, 1)), rad(89) - pi, 1e-9);
    assert_near(sw_pt_distance(side->b, (struct sw_pt){0, 0}), 0.02, 1e-12);
    sw_test_ctx_free(&ctx);
}

static void a_face_point_ends_at_its_reach(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_tool tool = face_tool();
    struct sw_contour outline = {0};
    assert_int_equal(sw_tool_cutting_outline(&outline, &tool, &ctx), SW_OK);
    assert_convex_ccw(&outline);
    const struct sw_box box = sw_contour_box(&outline);
    assert_near(box.z0, -0.012, 1e-12);
    assert_near(box.z1, 0.488, 1e-12);
    assert_near(box.r0, -0.012, 1e-12);
    sw_test_ctx_free(&ctx);
}

/* The bar comes from -z: nothing of a stop stands before its face. */
static void a_stop_is_a_flat_face_and_what_stands_behind_it(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_tool tool = stop_tool();
    struct sw_contour face = {0}, body[SW_TOOL_BODIES] = {{0}};
    size_t n = 0;
    assert_false(sw_tool_cuts(&tool));
    assert_int_equal(sw_tool_cutting_outline(&face, &tool, &ctx), SW_OK);
    assert_convex_ccw(&face);
    assert_near(sw_contour_area(&face), 4 * 8, 1e-12);
    const struct sw_box box = sw_contour_box(&face);
    assert_near(box.z0, 0, 0);
    assert_near(box.z1, 8, 1e-12);
    assert_near(box.r0, -2, 1e-12);
    assert_int_equal(sw_tool_body_outlines(body, &n, &tool, &ctx), SW_OK);
    assert_int_equal(n, 2);
    const struct sw_box pin = sw_contour_box(&body[0]), block = sw_contour_box(&body[1]);
    assert_near(pin.z0, 8, 1e-12);
    assert_near(pin.z1, 10, 1e-12);
    assert_near(block.z0, 10, 1e-12);
    assert_near(block.r0, -6, 1e-12);
    assert_near(block.r1, 7, 1e-12);
    const struct sw_pt point = sw_tool_declared_point(&tool);
    assert_near(hypot(point.z, point.r), 0, 0);
    sw_test_ctx_free(&ctx);
}

/* No part of a body may lie ahead of the edges: both share borders, not area. */
static void assert_apart(const struct sw_contour *a, const struct sw_contour *b, struct sw_ctx *ctx)
{
    struct sw_kernel *kernel = sw_kernel_new(ctx);
    assert_non_null(kernel);
    struct sw_region *region[2] = {NULL, NULL}, *both = NULL;
    const struct sw_contour *contour[2] = {a, b};
    for (int i = 0; i < 2; i++) {
        struct sw_pt *points = NULL;
        size_t n = 0;
        assert_int_equal(sw_contour_flatten(&points, &n, contour[i], SW_TOL_CHORD, 0, ctx), SW_OK);
        assert_int_equal(sw_region_from_points(&region[i], kernel, points, n), SW_OK);
    }
    assert_int_equal(sw_region_both(&both, region[0], region[1]), SW_OK);
    assert_near(sw_region_area(both), 0, 1e-9);
    sw_region_free(both);
    sw_region_free(region[0]);
    sw_region_free(region[1]);
    sw_kernel_free(kernel);
}

static void check_bodies(const struct sw_tool *tool, size_t n_wanted)
{
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_contour edge = {0}, body[SW_TOOL_BODIES] = {{0}};
    size_t n = 0;
    assert_int_equal(sw_tool_cutting_outline(&edge, tool, &ctx), SW_OK);
    assert_int_equal(sw_tool_body_outlines(body, &n, tool, &ctx), SW_OK);
    assert_int_equal(n, n_wanted);
    for (size_t i = 0; i < n; i++) {
        assert_convex_ccw(&body[i]);
        assert_apart(&edge, &body[i], &ctx);
    }
    if (n == 2)
        assert_apart(&body[0], &body[1], &ctx);
    const struct sw_box block = sw_contour_box(&body[n - 1]);
    const double clear = tool->holder.clear.value;
    if (tool->kind.value == SW_TOOL_FACE_POINT || !sw_tool_cuts(tool)) {
        assert_near(block.z0, clear, 1e-12);
        assert_near(block.z1, clear + SW_TOOL_BLOCK_HEIGHT, 1e-12);
        assert_near(block.r0, -tool->holder.ahead.value, 1e-12);
        assert_near(block.r1, tool->holder.behind.value, 1e-12);
    } else {
        assert_near(block.r0, clear, 1e-12);
        assert_near(block.r1, clear + SW_TOOL_BLOCK_HEIGHT, 1e-12);
        assert_near(block.z0, -tool->holder.ahead.value, 1e-12);
        assert_near(block.z1, tool->holder.behind.value, 1e-12);
    }
    sw_test_ctx_free(&ctx);
}

static void bodies_are_convex_and_stay_behind_the_edges(void **state)
{
    (void)state;
    static const double angles[][2] = {{93, 35}, {93, 55}, {95, 80}, {72.5, 35}, {45, 90}};
    for (size_t i = 0; i < sizeof angles / sizeof *angles; i++) {
        for (int hand = SW_HAND_RIGHT; hand <= SW_HAND_LEFT; hand++) {
            struct sw_tool tool = point_tool(angles[i][0], angles[i][1], 0.05);
            tool.hand = choice(hand);
            check_bodies(&tool, 2);
        }
    }
    struct sw_tool blade = blade_tool(1);
    check_bodies(&blade, 2);
    blade.holder.clear = number(2.98); /* the block begins where the edges end */
    check_bodies(&blade, 1);
    const struct sw_tool face = face_tool();
    check_bodies(&face, 2);
    struct sw_tool stop = stop_tool();
    check_bodies(&stop, 2);
    stop.holder.clear = number(8); /* the block begins where the pin ends */
    check_bodies(&stop, 1);
}

static void the_wedge_goes_on_along_the_flanks_up_to_the_block(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_tool tool = point_tool(93, 35, 0.02);
    struct sw_contour body[SW_TOOL_BODIES] = {{0}};
    size_t n = 0;
    assert_int_equal(sw_tool_body_outlines(body, &n, &tool, &ctx), SW_OK);
    assert_int_equal(n, 2);
    const struct sw_box box = sw_contour_box(&body[0]);
    assert_near(box.r1, 4, 1e-12);
    /* derived: the trailing flank is the line at 52 degrees that passes the nose centre at 0.02 */
    assert_near(box.z1, (4 + 0.02 / cos(rad(52))) / tan(rad(52)), 1e-12);
    sw_test_ctx_free(&ctx);
}

static void a_wide_wedge_is_cut_off_at_the_block(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_tool tool = point_tool(95, 80, 0.1); /* trailing flank 5 degrees from the axis */
    struct sw_contour body[SW_TOOL_BODIES] = {{0}};
    size_t n = 0;
    assert_int_equal(sw_tool_body_outlines(body, &n, &tool, &ctx), SW_OK);
    assert_near(sw_contour_box(&body[0]).z1, 8, 1e-12);
    const struct sw_tool face = face_tool();
    assert_int_equal(sw_tool_body_outlines(body, &n, &face, &ctx), SW_OK);
    assert_near(sw_contour_box(&body[0]).r1, 1.5, 1e-12);
    sw_test_ctx_free(&ctx);
}

/* derived: chord of a circle against an inclined flank; worked by hand: radius 0.45, relief 7
 * degrees, wall 25 degrees: about 0.12 below the edge. */
static void the_heel_of_the_worked_example_touches_at_0_12(void **state)
{
    (void)state;
    const struct sw_tool tool = face_tool();
    assert_near(sw_tool_heel_limit(&tool, 0.45, rad(25)), 0.12, 0.005);
    /* by trial: points on a flank that falls back from the edge by tan(relief) a depth, turned
     * round the axis, first come back to the wall there */
    const double y = sw_tool_heel_limit(&tool, 0.45, rad(25));
    const double back = y * tan(rad(7)) / cos(rad(25)); /* along r, from the edge at 0.45 */
    assert_near(hypot(0.45 - back, y), 0.45, 0.001);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(flanks_of_93_35_stand_at_52_and_87_degrees),
        cmocka_unit_test(a_neutral_point_stands_upright),
        cmocka_unit_test(a_face_point_leans_away_from_the_axis),
        cmocka_unit_test(nose_swaps_move_the_tip_as_published),
        cmocka_unit_test(the_declared_point_is_where_the_tangents_meet),
        cmocka_unit_test(outlines_of_points_have_the_area_of_a_rounded_wedge),
        cmocka_unit_test(the_left_hand_is_the_mirror_image),
        cmocka_unit_test(a_blade_is_widest_at_its_corners_and_narrows_behind),
        cmocka_unit_test(a_face_point_ends_at_its_reach),
        cmocka_unit_test(a_stop_is_a_flat_face_and_what_stands_behind_it),
        cmocka_unit_test(bodies_are_convex_and_stay_behind_the_edges),
        cmocka_unit_test(the_wedge_goes_on_along_the_flanks_up_to_the_block),
        cmocka_unit_test(a_wide_wedge_is_cut_off_at_the_block),
        cmocka_unit_test(the_heel_of_the_worked_example_touches_at_0_12),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
