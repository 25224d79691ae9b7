/* The removal kernel alone: areas against closed forms. */
#include <math.h>

#include "geom/tol.h"
#include "sim/work.h"
#include "support/near.h"

static const double pi = 3.14159265358979323846;

struct bench {
    struct sw_ctx ctx;
    struct sw_work *work;
    const struct sw_work_class *kernel;
};

static void bench_init(struct bench *bench)
{
    bench->ctx = sw_test_ctx();
    bench->kernel = &sw_work_regions;
    assert_int_equal(bench->kernel->make(&bench->work, &bench->ctx), SW_OK);
}

static void bench_done(struct bench *bench)
{
    bench->kernel->free(bench->work);
    sw_test_ctx_free(&bench->ctx);
}

/* A round tool: a full disc of the radius. */
static struct sw_outline *disc(struct bench *bench, double radius)
{
    struct sw_contour contour = {0};
    const struct sw_pt left = {-radius, 0}, right = {radius, 0}, centre = {0, 0};
    assert_true(sw_contour_add(bench->ctx.arena, &contour, sw_seg_arc(left, right, centre, 1, 0)));
    assert_true(sw_contour_add(bench->ctx.arena, &contour, sw_seg_arc(right, left, centre, 1, 0)));
    struct sw_outline *outline = NULL;
    assert_int_equal(bench->kernel->outline(&outline, bench->work, &contour), SW_OK);
    return outline;
}

static struct sw_outline *square(struct bench *bench, double z, double r)
{
    struct sw_contour contour = {0};
    const struct sw_pt p[] = {{0, 0}, {z, 0}, {z, r}, {0, r}};
    for (size_t i = 0; i < 4; i++)
        assert_true(
            sw_contour_add(bench->ctx.arena, &contour, sw_seg_line(p[i], p[(i + 1) % 4], 0)));
    struct sw_outline *outline = NULL;
    assert_int_equal(bench->kernel->outline(&outline, bench->work, &contour), SW_OK);
    return outline;
}

static double area(struct bench *bench, enum sw_work_which which)
{
    struct sw_region *region = NULL;
    assert_int_equal(bench->kernel->region(&region, bench->work, which), SW_OK);
    const double found = sw_region_area(region);
    sw_region_free(region);
    return found;
}

static struct sw_removed take(struct bench *bench, const struct sw_outline *tool,
                              struct sw_sweep sweep)
{
    struct sw_removed removed = {0};
    assert_int_equal(bench->kernel->remove(&removed, bench->work, tool, &sweep), SW_OK);
    return removed;
}

static struct sw_sweep line(double z0, double r0, double z1, double r1)
{
    return (struct sw_sweep){.from = {z0, r0}, .to = {z1, r1}};
}

static void a_square_tool_turns_a_step_of_the_exact_area(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    assert_int_equal(bench.kernel->fill_rod(bench.work, -10, 0, 1, -6), SW_OK);
    assert_near(area(&bench, SW_WORK_LEAST), 10, 1e-9);
    const struct sw_outline *tool = square(&bench, 0.5, 3);
    const struct sw_removed removed = take(&bench, tool, line(1, 0.7, -3, 0.7));
    assert_near(removed.area_least, 0.9, 1e-9); /* 3 long, 0.3 deep */
    assert_near(removed.area_most, 0.9, 1e-9);
    assert_near(removed.depth, 0.3, 1e-9);
    assert_false(removed.may_part);
    struct sw_region *left = NULL;
    double volume = 0;
    assert_int_equal(bench.kernel->region(&left, bench.work, SW_WORK_MOST), SW_OK);
    assert_int_equal(sw_region_volume(&volume, left, &bench.ctx), SW_OK);
    assert_near(volume, pi * (7 + 0.49 * 3), 1e-9);
    sw_region_free(left);
    bench_done(&bench);
}

/* Circle segment of height h: R^2 acos(1 - h/R) - (R - h) sqrt(2 R h - h^2), elementary. */
static double segment(double radius, double h)
{
    return radius * radius * acos(1 - h / radius) - (radius - h) * sqrt(2 * radius * h - h * h);
}

static void a_round_plunge_leaves_the_exact_segment_between_both_bounds(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    assert_int_equal(bench.kernel->fill_rod(bench.work, -10, 0, 1, -6), SW_OK);
    const struct sw_outline *tool = disc(&bench, 0.3);
    const struct sw_removed removed = take(&bench, tool, line(-2, 1.5, -2, 1.2));
    const double exact = segment(0.3, 0.1);
    assert_true(removed.area_least >= exact && removed.area_most <= exact);
    /* both within the stated width along the segment's arc */
    const double width = bench.kernel->resolution() * 0.3 * 2 * acos(1 - 0.1 / 0.3);
    assert_near(removed.area_least, exact, width);
    assert_near(removed.area_most, exact, width);
    /* chord of the groove, measured with a tool thinner by SW_WORK_TOUCH all round */
    assert_near(removed.depth, 2 * sqrt(2 * 0.3 * 0.1 - 0.01), 4 * SW_WORK_TOUCH);
    bench_done(&bench);
}

/* A disc of radius t swept along an arc of radius R < 1 about a point on the rod's axis line, far
 * inside: a band of width 2 t and two half discs; area 2 t R a + pi t^2 (Pappus). */
static void an_arc_sweep_has_the_exact_area_between_both_bounds(void **state)
{
    (void)state;
    for (int turn = -1; turn <= 1; turn += 2) {
        struct bench bench;
        bench_init(&bench);
        assert_int_equal(bench.kernel->fill_rod(bench.work, -10, 0, 5, -9), SW_OK);
        const double t = 0.05, radius = 0.9, half = 1.0;
        const struct sw_outline *tool = disc(&bench, t);
        const struct sw_pt centre = {-4, 2};
        const struct sw_pt low = {-4 + radius * cos(-half), 2 + radius * sin(-half)};
        const struct sw_pt high = {-4 + radius * cos(half), 2 + radius * sin(half)};
        const struct sw_sweep arc = {.is_arc = true,
                                     .from = turn > 0 ? low : high,
                                     .to = turn > 0 ? high : low,
                                     .centre = centre,
                                     .radius_from = radius,
                                     .radius_to = radius,
                                     .turn = turn};
        const struct sw_removed removed = take(&bench, tool, arc);
        const double exact = 2 * t * radius * 2 * half + pi * t * t;
        const double around = 2 * radius * 2 * half + 2 * pi * t;
        assert_true(removed.area_least >= exact && removed.area_most <= exact);
        assert_near(removed.area_least, exact, bench.kernel->resolution() * around);
        assert_near(removed.area_most, exact, bench.kernel->resolution() * around);
        bench_done(&bench);
    }
}

static void an_arc_whose_ends_disagree_holds_both_readings(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    assert_int_equal(bench.kernel->fill_rod(bench.work, -10, 0, 5, -9), SW_OK);
    const double t = 0.05, band = 0.002;
    const struct sw_outline *tool = disc(&bench, t);
    const struct sw_sweep arc = {.is_arc = true,
                                 .from = {-3, 2},
                                 .to = {-4, 3 + band},
                                 .centre = {-4, 2},
                                 .radius_from = 1,
                                 .radius_to = 1 + band,
                                 .turn = 1};
    take(&bench, tool, arc);
    struct sw_region *least = NULL, *most = NULL;
    assert_int_equal(bench.kernel->region(&least, bench.work, SW_WORK_LEAST), SW_OK);
    assert_int_equal(bench.kernel->region(&most, bench.work, SW_WORK_MOST), SW_OK);
    /* along 45 degrees: the outer reading reaches 1 + band + t, the inner one 1 + t; at least
     * what the outer takes is gone from `least`, at most what both take from `most` */
    const struct sw_pt u = {sqrt(0.5), sqrt(0.5)};
    const double gone_by_outer = 1 + band + t - 1e-5, left_by_inner = 1 + t + 1e-5;
    double low, high;
    assert_true(sw_region_r_range(&low, &high, least, -4));
    struct sw_region *probe = NULL, *common = NULL;
    struct sw_kernel *kernel = sw_kernel_new(&bench.ctx);
    const double places[2] = {gone_by_outer, left_by_inner};
    for (int i = 0; i < 2; i++) {
        const struct sw_pt p = {-4 + places[i] * u.z, 2 + places[i] * u.r};
        const struct sw_box box = {p.z - 2e-6, p.r - 2e-6, p.z + 2e-6, p.r + 2e-6};
        assert_int_equal(sw_region_from_box(&probe, kernel, box), SW_OK);
        assert_int_equal(sw_region_both(&common, i == 0 ? least : most, probe), SW_OK);
        const double covered = sw_region_area(common) / sw_region_area(probe);
        assert_near(covered, i == 0 ? 0 : 1, 1e-3);
        sw_region_free(common);
        sw_region_free(probe);
    }
    sw_kernel_free(kernel);
    sw_region_free(least);
    sw_region_free(most);
    bench_done(&bench);
}

static void what_is_past_the_centre_line_removes_nothing_on_the_far_side(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    assert_int_equal(bench.kernel->fill_rod(bench.work, -10, 0, 1, -6), SW_OK);
    const struct sw_outline *tool = square(&bench, 0.5, 0.3);
    const struct sw_removed removed = take(&bench, tool, line(-2, -0.5, -3, -0.5));
    assert_near(removed.area_least, 0, 0);
    assert_near(area(&bench, SW_WORK_MOST), 10, 1e-12);
    bench_done(&bench);
}

static void a_cut_to_the_axis_parts_the_work(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    assert_int_equal(bench.kernel->fill_rod(bench.work, -10, 0, 1, -6), SW_OK);
    const struct sw_outline *tool = square(&bench, 0.5, 3);
    struct sw_loose *loose = NULL;
    size_t n = 9;
    struct sw_removed removed = take(&bench, tool, line(-3, 2, -3, 0.1));
    assert_int_equal(bench.kernel->loosen(&loose, &n, bench.work, -6), SW_OK);
    assert_int_equal(n, 0);
    removed = take(&bench, tool, line(-3, 0.1, -3, -0.1));
    assert_true(removed.may_part);
    assert_int_equal(bench.kernel->loosen(&loose, &n, bench.work, -6), SW_OK);
    assert_int_equal(n, 1);
    assert_near(loose[0].box.z0, -2.5, 1e-9);
    assert_near(loose[0].volume, pi * 2.5, 1e-9);
    assert_near(bench.kernel->box(bench.work).z1, -3, 1e-9);
    assert_near(area(&bench, SW_WORK_LEAST), 7, 1e-9);
    bench_done(&bench);
}

static void a_graze_of_the_cut_face_is_no_contact_and_a_micrometre_is(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    assert_int_equal(bench.kernel->fill_rod(bench.work, -10, 0, 1, -6), SW_OK);
    const struct sw_outline *tool = disc(&bench, 0.05);
    take(&bench, tool, line(0.5, 0.9, -3, 0.9));
    bool touches = true;
    const struct sw_sweep back = line(-3, 0.9, 0.5, 0.9);
    assert_int_equal(bench.kernel->touches(&touches, NULL, bench.work, tool, &back), SW_OK);
    assert_false(touches);
    const struct sw_sweep deep = line(-3, 0.899, 0.5, 0.899);
    assert_int_equal(bench.kernel->touches(&touches, NULL, bench.work, tool, &deep), SW_OK);
    assert_true(touches);
    bench_done(&bench);
}

/* xorshift64*, S. Vigna, "An experimental exploration of Marsaglia's xorshift generators", 2016 */
static double random_share(uint64_t *seed)
{
    *seed ^= *seed >> 12;
    *seed ^= *seed << 25;
    *seed ^= *seed >> 27;
    return (double)((*seed * 2685821657736338717ull) >> 11) / 9007199254740992.0;
}

static void the_least_is_always_inside_the_most(void **state)
{
    (void)state;
    for (uint64_t first = 1; first <= 12; first++) {
        uint64_t seed = first;
        struct bench bench;
        bench_init(&bench);
        assert_int_equal(bench.kernel->fill_rod(bench.work, -6, 0, 1, -5), SW_OK);
        const struct sw_outline *tool = disc(&bench, 0.05 + 0.1 * random_share(&seed));
        struct sw_pt at = {0.3, 1.3};
        for (int i = 0; i < 25; i++) {
            const struct sw_pt to = {-3.5 * random_share(&seed), 0.3 + random_share(&seed)};
            struct sw_sweep sweep = {.from = at, .to = to};
            if (i % 3 == 2) {
                /* a centre on the bisector, off by a share of the chord */
                const double k = 0.3 + random_share(&seed);
                const struct sw_pt centre = {(at.z + to.z) / 2 + k * (to.r - at.r),
                                             (at.r + to.r) / 2 - k * (to.z - at.z)};
                sweep.is_arc = true;
                sweep.centre = centre;
                sweep.turn = random_share(&seed) < 0.5 ? 1 : -1;
                sweep.radius_from = sw_pt_distance(at, centre);
                sweep.radius_to = sw_pt_distance(to, centre) + 1e-4 * random_share(&seed);
            }
            const struct sw_removed removed = take(&bench, tool, sweep);
            (void)removed;
            at = to;
        }
        struct sw_region *least = NULL, *most = NULL, *outside = NULL;
        assert_int_equal(bench.kernel->region(&least, bench.work, SW_WORK_LEAST), SW_OK);
        assert_int_equal(bench.kernel->region(&most, bench.work, SW_WORK_MOST), SW_OK);
        assert_int_equal(sw_region_minus(&outside, least, most), SW_OK);
        if (sw_region_area(outside) > 1e-12)
            print_error("seed %d\n", (int)first);
        assert_near(sw_region_area(outside), 0, 1e-12);
        assert_true(sw_region_area(least) > 0 && sw_region_area(least) < sw_region_area(most));
        sw_region_free(least);
        sw_region_free(most);
        sw_region_free(outside);
        bench_done(&bench);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_square_tool_turns_a_step_of_the_exact_area),
        cmocka_unit_test(a_round_plunge_leaves_the_exact_segment_between_both_bounds),
        cmocka_unit_test(an_arc_sweep_has_the_exact_area_between_both_bounds),
        cmocka_unit_test(an_arc_whose_ends_disagree_holds_both_readings),
        cmocka_unit_test(what_is_past_the_centre_line_removes_nothing_on_the_far_side),
        cmocka_unit_test(a_cut_to_the_axis_parts_the_work),
        cmocka_unit_test(a_graze_of_the_cut_face_is_no_contact_and_a_micrometre_is),
        cmocka_unit_test(the_least_is_always_inside_the_most),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
