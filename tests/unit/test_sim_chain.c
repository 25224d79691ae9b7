/* The chain kernel alone, against closed forms. */
#include <math.h>

#include "sim/chain_int.h"
#include "support/near.h"

static const double pi = 3.14159265358979323846;

/* Rounding of coordinates of some millimetres, summed over a few edges. */
#define EXACT 1e-13

struct bench {
    struct sw_ctx ctx;
    struct sw_work *work;
};

static const struct sw_work_class *const kernel = &sw_work_chain;

static void bench_init(struct bench *bench, double radius)
{
    bench->ctx = sw_test_ctx();
    assert_int_equal(kernel->make(&bench->work, &bench->ctx), SW_OK);
    assert_int_equal(kernel->fill_rod(bench->work, -10, 0, radius, -9), SW_OK);
}

static void bench_done(struct bench *bench)
{
    kernel->free(bench->work);
    sw_test_ctx_free(&bench->ctx);
}

static struct sw_outline *disc(struct bench *bench, double radius)
{
    struct sw_contour contour = {0};
    const struct sw_pt left = {-radius, 0}, right = {radius, 0}, centre = {0, 0};
    assert_true(sw_contour_add(bench->ctx.arena, &contour, sw_seg_arc(left, right, centre, 1, 0)));
    assert_true(sw_contour_add(bench->ctx.arena, &contour, sw_seg_arc(right, left, centre, 1, 0)));
    struct sw_outline *outline = NULL;
    assert_int_equal(kernel->outline(&outline, bench->work, &contour), SW_OK);
    return outline;
}

static struct sw_outline *box(struct bench *bench, double z, double r)
{
    struct sw_contour contour = {0};
    const struct sw_pt p[] = {{0, 0}, {z, 0}, {z, r}, {0, r}};
    for (size_t i = 0; i < 4; i++)
        assert_true(
            sw_contour_add(bench->ctx.arena, &contour, sw_seg_line(p[i], p[(i + 1) % 4], 0)));
    struct sw_outline *outline = NULL;
    assert_int_equal(kernel->outline(&outline, bench->work, &contour), SW_OK);
    return outline;
}

static struct sw_removed take(struct bench *bench, const struct sw_outline *tool,
                              struct sw_sweep sweep)
{
    struct sw_removed removed = {0};
    assert_int_equal(kernel->remove(&removed, bench->work, tool, &sweep), SW_OK);
    assert_near(removed.area_least, removed.area_most, 0);
    return removed;
}

static struct sw_sweep line(double z0, double r0, double z1, double r1)
{
    return (struct sw_sweep){.from = {z0, r0}, .to = {z1, r1}};
}

/* About (CZ, CR), from and to by angle. */
static struct sw_sweep arc(double cz, double cr, double radius, double from, double to)
{
    return (struct sw_sweep){.is_arc = true,
                             .from = {cz + radius * cos(from), cr + radius * sin(from)},
                             .to = {cz + radius * cos(to), cr + radius * sin(to)},
                             .centre = {cz, cr},
                             .radius_from = radius,
                             .radius_to = radius,
                             .turn = to > from ? 1 : -1,
                             .is_full_turn = fabs(to - from) > 6.28};
}

/* Circle segment of height h: R^2 acos(1 - h/R) - (R - h) sqrt(2 R h - h^2), elementary. */
static double segment(double radius, double h)
{
    return radius * radius * acos(1 - h / radius) - (radius - h) * sqrt(2 * radius * h - h * h);
}

static void a_round_plunge_takes_the_exact_segment(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench, 1);
    const struct sw_removed removed = take(&bench, disc(&bench, 0.3), line(-2, 1.5, -2, 1.2));
    assert_near(removed.area_most, segment(0.3, 0.1), EXACT);
    assert_near(removed.box.r0, 0.9, EXACT);
    assert_near(removed.box.z1 - removed.box.z0, 2 * sqrt(0.09 - 0.04), EXACT);
    bench_done(&bench);
}

/* A disc of radius t along an arc of radius R: a band 2 t wide and two half discs (Pappus). */
static void arcs_either_way_take_the_exact_band(void **state)
{
    (void)state;
    for (int turn = -1; turn <= 1; turn += 2) {
        struct bench bench;
        bench_init(&bench, 5);
        const double t = 0.05, radius = 0.9;
        const struct sw_removed removed =
            take(&bench, disc(&bench, t), arc(-4, 2, radius, -turn, turn));
        assert_near(removed.area_most, 2 * t * radius * 2 + pi * t * t, EXACT);
        bench_done(&bench);
    }
}

static void a_full_circle_leaves_its_core_loose(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench, 5);
    const struct sw_removed removed = take(&bench, disc(&bench, 0.05), arc(-4, 2, 0.9, 0, 2 * pi));
    assert_near(removed.area_most, pi * (0.95 * 0.95 - 0.85 * 0.85), 10 * EXACT);
    assert_true(removed.may_part);
    struct sw_loose *loose = NULL;
    size_t n = 0;
    assert_int_equal(kernel->loosen(&loose, &n, bench.work, -9), SW_OK);
    assert_int_equal(n, 1);
    assert_near(loose[0].box.z1 - loose[0].box.z0, 2 * 0.85, EXACT);
    /* the core goes round the axis at r = 2 (Pappus); drawn in chords of 0.02 um */
    assert_near_relative(loose[0].volume, pi * 0.85 * 0.85 * 2 * pi * 2, 1e-4);
    bench_done(&bench);
}

/* A disc rounder than its path: the circle of radius R swept by a disc t > R has no hole. */
static void a_disc_larger_than_its_circle_leaves_no_hole(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench, 5);
    const struct sw_removed removed = take(&bench, disc(&bench, 0.4), arc(-4, 2, 0.1, 0, 2 * pi));
    assert_near(removed.area_most, pi * 0.25, EXACT);
    bench_done(&bench);
}

static void an_undercut_is_cut_from_the_side(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench, 1);
    const struct sw_outline *tool = box(&bench, 1, 0.2);
    /* a recess into the end face, 0.5 deep from r = 0.4 to 0.6 */
    const struct sw_removed removed = take(&bench, tool, line(0.5, 0.4, -0.5, 0.4));
    assert_near(removed.area_most, 0.1, EXACT);
    assert_false(removed.may_part);
    double low = 0, high = 0;
    assert_true(kernel->r_range(&low, &high, bench.work, -0.25));
    assert_near(low, 0, 0);
    assert_near(high, 1, 0);
    bench_done(&bench);
}

static void steps_of_a_move_take_what_the_move_takes(void **state)
{
    (void)state;
    struct bench whole, steps;
    bench_init(&whole, 1);
    bench_init(&steps, 1);
    const double all = take(&whole, disc(&whole, 0.1), line(0.2, 1.05, -3, 0.7)).area_most;
    const struct sw_outline *tool = disc(&steps, 0.1);
    double sum = 0;
    const int n = 1000;
    struct sw_pt at = {0.2, 1.05};
    for (int i = 1; i <= n; i++) {
        const struct sw_pt to = {0.2 - 3.2 * i / n, 1.05 - 0.35 * i / n};
        sum += take(&steps, tool, line(at.z, at.r, to.z, to.r)).area_most;
        at = to;
    }
    assert_near(sum, all, 1e-8);
    /* and pieces of one line are one link again */
    const struct sw_chain_body *body = &sw_chain_of(steps.work)->body[SW_WORK_MOST];
    assert_true(body->n_links < 20);
    bench_done(&whole);
    bench_done(&steps);
}

static void the_far_half_counts_for_contacts(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench, 1);
    const struct sw_outline *tool = disc(&bench, 0.1);
    bool touches = true;
    struct sw_sweep sweep = line(-2, -1.2, -3, -1.2);
    assert_int_equal(kernel->touches(&touches, NULL, bench.work, tool, &sweep), SW_OK);
    assert_false(touches);
    sweep = line(-2, -1.09, -3, -1.09);
    assert_int_equal(kernel->touches(&touches, NULL, bench.work, tool, &sweep), SW_OK);
    assert_true(touches);
    bench_done(&bench);
}

static void the_distance_is_that_of_the_boundary(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench, 1);
    const struct sw_outline *tool = disc(&bench, 0.1);
    const double width = 4 * SW_TOL_CHORD;
    assert_near(kernel->distance(bench.work, tool, (struct sw_pt){-3, 1.6}), 0.5, width);
    assert_near(kernel->distance(bench.work, tool, (struct sw_pt){1, 0.5}), 0.9, width);
    assert_near(kernel->distance(bench.work, tool, (struct sw_pt){-3, 0.5}), 0, 0);
    bench_done(&bench);
}

static void an_arc_that_goes_over_the_top_backwards_has_its_top_in_its_box(void **state)
{
    (void)state;
    /* from 209 degrees clockwise to 52: counted from below -180, the top is at -270 */
    const struct sw_sweep sweep = arc(0, 0, 1, -151 * pi / 180, -308 * pi / 180);
    assert_near(sw_sweep_box(&sweep).r1, 1, EXACT);
    assert_near(sw_sweep_box(&sweep).z0, -1, EXACT);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_round_plunge_takes_the_exact_segment),
        cmocka_unit_test(arcs_either_way_take_the_exact_band),
        cmocka_unit_test(a_full_circle_leaves_its_core_loose),
        cmocka_unit_test(a_disc_larger_than_its_circle_leaves_no_hole),
        cmocka_unit_test(an_undercut_is_cut_from_the_side),
        cmocka_unit_test(steps_of_a_move_take_what_the_move_takes),
        cmocka_unit_test(the_far_half_counts_for_contacts),
        cmocka_unit_test(the_distance_is_that_of_the_boundary),
        cmocka_unit_test(an_arc_that_goes_over_the_top_backwards_has_its_top_in_its_box),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
