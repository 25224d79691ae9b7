/* What a move took off, place by place, and the outer radius of the work: against closed forms. */
#include <math.h>

#include "geom/tol.h"
#include "sim/work.h"
#include "support/cuts.h"
#include "support/near.h"

static const double pi = 3.14159265358979323846;

struct bench {
    struct sw_ctx ctx;
    struct sw_work *work;
};

static const struct sw_work_class *const kernel = &sw_work_regions;

/* A rod of radius 1 from -10 to 0, held at -6. */
static void bench_init(struct bench *bench)
{
    bench->ctx = sw_test_ctx();
    assert_int_equal(kernel->make(&bench->work, &bench->ctx), SW_OK);
    assert_int_equal(kernel->fill_rod(bench->work, -10, 0, 1, -6), SW_OK);
}

static void bench_done(struct bench *bench)
{
    kernel->free(bench->work);
    sw_test_ctx_free(&bench->ctx);
}

static const struct sw_cut_profile *cut(struct bench *bench, const struct sw_pt *corner, size_t n,
                                        struct sw_sweep sweep)
{
    struct sw_contour contour = {0};
    for (size_t i = 0; i < n; i++)
        assert_true(sw_contour_add(bench->ctx.arena, &contour,
                                   sw_seg_line(corner[i], corner[(i + 1) % n], 0)));
    struct sw_outline *outline = NULL;
    struct sw_removed removed = {0};
    assert_int_equal(kernel->outline(&outline, bench->work, &contour), SW_OK);
    assert_int_equal(kernel->remove(&removed, bench->work, outline, &sweep), SW_OK);
    return kernel->profile(bench->work);
}

/* Square to the axis on its -z side, so that a place of its way is a place of the work. */
static const struct sw_pt square[] = {{0, 0}, {0.5, 0}, {0.5, 3}, {0, 3}};
static const struct sw_pt tall[] = {{-0.25, 0}, {0.25, 0}, {0.25, 3}, {-0.25, 3}};

static struct sw_sweep line(double z0, double r0, double z1, double r1)
{
    return (struct sw_sweep){.from = {z0, r0}, .to = {z1, r1}};
}

static double area_of(const struct sw_cut_profile *profile)
{
    double area = 0;
    for (size_t i = 0; i < profile->n; i++)
        area += profile->thick[i] * profile->width;
    return area;
}

static void an_even_pass_is_as_thick_everywhere(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    const struct sw_cut_profile *profile = cut(&bench, square, 4, line(1, 0.7, -3, 0.7));
    assert_int_equal(profile->n, SW_CUT_PLACES);
    assert_near(profile->back, 1, 1e-9); /* the rod begins 1 mm on its way */
    assert_near(profile->width * SW_CUT_PLACES, 3, 1e-9);
    for (size_t i = 0; i < profile->n; i++)
        assert_near(profile->thick[i], 0.3, 1e-9);
    /* fed towards -z, the axis lies to the left: from -0.3 up to its own way */
    assert_near(profile->low, -0.3, 1e-9);
    assert_near(profile->high, 0, 1e-9);
    bench_done(&bench);
}

/* 0.2 deep over the first millimetre and 0.5 further on, where an earlier pass ended. */
static void a_step_in_the_stock_shows_where_it_is(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    cut(&bench, square, 4, line(1, 0.7, -1, 0.7));
    const struct sw_cut_profile *profile = cut(&bench, square, 4, line(1, 0.5, -3, 0.5));
    for (size_t i = 0; i < profile->n; i++) {
        const double begin = profile->back + profile->width * (double)i - 1;
        if (begin + profile->width < 1)
            assert_near(profile->thick[i], 0.2, 1e-9);
        else if (begin > 1)
            assert_near(profile->thick[i], 0.5, 1e-9);
    }
    assert_near(area_of(profile), 0.2 + 0.5 * 2, 1e-9);
    bench_done(&bench);
}

/* Across: a face of 0.1 taken in, from the outside to the axis. */
static void facing_is_measured_along_the_axis(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    const struct sw_cut_profile *profile = cut(&bench, square, 4, line(-0.1, 1.5, -0.1, 0));
    assert_near(profile->back, 0.5, 1e-9);
    for (size_t i = 0; i < profile->n; i++)
        assert_near(profile->thick[i], 0.1, 1e-9);
    bench_done(&bench);
}

/* A quarter circle of radius 1 about (-1, 0), by a tool that lies below and behind its corner:
 * nothing sticks out of the sphere, so what is left is a dome; what goes is 1 - pi/4. Seen from the
 * centre the rod's corner is sqrt(2) away: sqrt(2) - 1 thick there, nothing at both ends. */
static void a_dome_is_thickest_where_the_corner_was(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    static const struct sw_pt up[] = {{0, 0}, {3, 0}, {3, 3}, {0, 3}};
    const struct sw_sweep arc = {.is_arc = true,
                                 .from = {0, 0},
                                 .to = {-1, 1},
                                 .centre = {-1, 0},
                                 .radius_from = 1,
                                 .radius_to = 1,
                                 .turn = 1};
    const struct sw_cut_profile *profile = cut(&bench, up, 4, arc);
    assert_int_equal(profile->n, SW_CUT_PLACES);
    double thickest = 0;
    size_t at = 0;
    for (size_t i = 0; i < profile->n; i++)
        if (profile->thick[i] > thickest) {
            thickest = profile->thick[i];
            at = i;
        }
    assert_near((profile->back + profile->width * ((double)at + 0.5)) / (pi / 4), 1, 0.05);
    /* the corner stands between two places: each has the mean of 1/cos - 1 beside it (derived) */
    const double w = pi / 2 / SW_CUT_PLACES, a = pi / 4 - w, b = pi / 4;
    const double mean = (log(1 / cos(b) + tan(b)) - log(1 / cos(a) + tan(a))) / w - 1;
    assert_near(thickest, mean, 1e-3);
    /* Int over the quarter of 1/max(cos, sin) - 1 = 2 ln(1 + sqrt 2) - pi/2 (derived); the rod's
     * edge is seen in chords of 0.04 rad, 2e-4 off on the way of 1.57 */
    assert_near(area_of(profile), 2 * log(1 + sqrt(2)) - pi / 2, 4e-4);
    bench_done(&bench);
}

/* Up along a wall, 0.4 high, that stands 1 um too far out: a sliver by its height, next to nothing
 * by its area. */
static void a_sliver_off_a_wall_counts_by_its_area(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    cut(&bench, tall, 4, line(1, 0.6, -1, 0.6));
    const struct sw_cut_profile *profile = cut(&bench, tall, 4, line(0.5, 0.6, -1.001, 0.6));
    assert_near(area_of(profile), 0.4e-3, 1e-6);
    assert_near(profile->thick[0], 0.4, 1e-3); /* 0.4 thick, 0.001 long */
    assert_near(profile->width, 0.001, 1e-6);
    bench_done(&bench);
}

static void a_move_through_air_leaves_no_profile(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    assert_int_equal(cut(&bench, square, 4, line(1, 0.7, -3, 0.7))->n, SW_CUT_PLACES);
    assert_int_equal(cut(&bench, square, 4, line(1, 5, -3, 5))->n, 0);
    assert_int_equal(cut(&bench, square, 4, line(1, 0.7, -2.9, 0.7))->n, 0); /* nothing is left */
    bench_done(&bench);
}

enum { N_CHORDS = 4000 };

static struct sw_pt on(struct sw_pt c, double radius, double angle)
{
    return (struct sw_pt){c.z + radius * cos(angle), c.r + radius * sin(angle)};
}

/* Segments of circles, seen from moves of all directions: as their chords are, and R^2 (t - sin t)
 * / 2 together. Four thousand chords of up to half a circle stray by 8e-8 of its radius. */
static void a_bow_is_shared_out_as_its_chords_are(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    uint64_t seed = 7;
    for (int i = 0; i < 600; i++) { /* the smallest fit in one place */
        const double radius = 0.0005 * pow(2000, sw_cuts_share(&seed));
        const double turn = (0.02 + 0.97 * sw_cuts_share(&seed)) * pi;
        const double begin = 2 * pi * sw_cuts_share(&seed), way = 2 * pi * sw_cuts_share(&seed);
        const struct sw_pt c = {-2 * sw_cuts_share(&seed), sw_cuts_share(&seed)};
        const struct sw_sweep move = line(c.z, c.r, c.z + cos(way), c.r + sin(way));
        const int sign = i % 2 == 0 ? 1 : -1;
        const struct sw_pt a = on(c, radius, begin), b = on(c, radius, begin + sign * turn);
        struct sw_pt chord[N_CHORDS + 2];
        for (int k = 0; k <= N_CHORDS; k++)
            chord[k] = on(c, radius, begin + sign * turn * k / N_CHORDS);
        chord[0] = chord[N_CHORDS + 1] = a;
        struct sw_ring ring = {chord, N_CHORDS + 2, false};
        const struct sw_rings rings = {&ring, 1, 1};
        struct sw_cut_edge place[2 * SW_CUT_BOWS];
        struct sw_cut_edges bow = sw_cut_edges_begin(&move), chords = sw_cut_edges_begin(&move);
        bow.list.at = place;
        bow.list.cap = sizeof place / sizeof *place;
        const struct sw_pt from = sw_cut_seen(&bow, a), to = sw_cut_seen(&bow, b);
        sw_cut_edges_put_arc(&bow, from, to, sw_cut_seen(&bow, c), radius, sign);
        sw_cut_edges_put_line(&bow, to, from);
        assert_int_equal(sw_cut_edges_add(&chords, &rings, &ctx), SW_OK);
        struct sw_cut_profile one, other;
        sw_cut_profile_of(&one, &bow);
        sw_cut_profile_of(&other, &chords);
        assert_int_equal(one.n, other.n);
        if (one.n == 0) {
            assert_true(bow.front - bow.back < 2 * SW_TOL_SLIVER); /* no length along the move */
            continue;
        }
        assert_near(one.low, other.low, 1e-7 * radius);
        assert_near(one.high, other.high, 1e-7 * radius);
        for (size_t k = 0; k < one.n; k++)
            assert_near(one.thick[k], other.thick[k], 1e-6 * radius);
        assert_near(area_of(&one), radius * radius / 2 * (turn - sin(turn)),
                    1e-7 * radius * radius);
    }
    sw_test_ctx_free(&ctx);
}

static void the_outer_radius_follows_the_steps(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    cut(&bench, square, 4, line(1, 0.7, -3, 0.7));
    cut(&bench, square, 4, line(1, 0.2, -1.2, 0.2));
    struct sw_silhouette s = {0};
    for (enum sw_work_which which = SW_WORK_LEAST; which <= SW_WORK_MOST; which++) {
        assert_int_equal(kernel->silhouette(&s, bench.work, which, -6), SW_OK);
        assert_int_equal(s.n, 3); /* windows are not seen in it */
        assert_near(sw_silhouette_r(&s, -0.5, NULL), 0.2, 1e-9);
        assert_near(sw_silhouette_r(&s, -2, NULL), 0.7, 1e-9);
        assert_near(sw_silhouette_r(&s, -5, NULL), 1, 1e-9);
        assert_near(sw_silhouette_r(&s, 0.1, NULL), 0, 1e-9);
        assert_near(s.at[0].z1, -3, 1e-9);
        assert_near(s.at[1].z1, -1.2, 1e-9);
    }
    sw_silhouette_free(&s);
    bench_done(&bench);
}

/* A cone and what it overhangs: the highest edge counts. */
static void an_undercut_does_not_show_from_outside(void **state)
{
    (void)state;
    static const struct sw_pt ring[] = {{0, 0}, {4, 0}, {4, 1}, {1, 2}, {2, 0.5}, {0, 0.5}, {0, 0}};
    struct sw_silhouette s = {0};
    assert_true(sw_silhouette_add_rings(&s, ring, sizeof ring / sizeof *ring, 0, 5));
    double slope = 0;
    assert_near(sw_silhouette_r(&s, 0.5, NULL), 0.5, 1e-12);
    assert_near(sw_silhouette_r(&s, 1.5, &slope), 2 - 0.5 / 3, 1e-12);
    assert_near(slope, -1.0 / 3, 1e-12);
    assert_near(sw_silhouette_r(&s, 4.5, NULL), 0, 1e-12); /* a gap */
    /* by its edges, in another order and either way */
    static const struct sw_pt edge[] = {{2, 0.5}, {1, 2}, {0, 0.5}, {2, 0.5}, {4, 1},
                                        {1, 2},   {4, 1}, {4, 0},   {0, 0},   {4, 0}};
    struct sw_silhouette other = {0};
    assert_true(sw_silhouette_add_edges(&other, edge, sizeof edge / sizeof *edge / 2, 0, 5));
    assert_int_equal(other.n, s.n);
    for (size_t i = 0; i < s.n; i++) {
        assert_near(other.at[i].z0, s.at[i].z0, 0);
        assert_near(other.at[i].z1, s.at[i].z1, 0);
        assert_near(other.at[i].r0, s.at[i].r0, 0);
        assert_near(other.at[i].r1, s.at[i].r1, 0);
    }
    sw_silhouette_free(&other);
    sw_silhouette_free(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_even_pass_is_as_thick_everywhere),
        cmocka_unit_test(a_step_in_the_stock_shows_where_it_is),
        cmocka_unit_test(facing_is_measured_along_the_axis),
        cmocka_unit_test(a_dome_is_thickest_where_the_corner_was),
        cmocka_unit_test(a_sliver_off_a_wall_counts_by_its_area),
        cmocka_unit_test(a_move_through_air_leaves_no_profile),
        cmocka_unit_test(a_bow_is_shared_out_as_its_chords_are),
        cmocka_unit_test(the_outer_radius_follows_the_steps),
        cmocka_unit_test(an_undercut_does_not_show_from_outside),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
