/* Envelopes and what is asked of them. Witness: the definition itself, as a maximum over densely
 * sampled points of the input. */
#include "geom/contour.h"

#include "test_geom_shapes.h"

static struct sw_contour envelope_of(struct sw_ctx *ctx, const struct sw_contour *in, double right,
                                     double left)
{
    struct sw_contour env = {0};
    assert_int_equal(sw_contour_envelope(&env, in, right, left, ctx), SW_OK);
    assert_true(sw_contour_is_joined(&env));
    const struct sw_box box = sw_contour_box(in);
    assert_near(env.at[0].a.z, box.z0, 1e-9);
    assert_near(env.at[env.n - 1].b.z, box.z1, 1e-9);
    return env;
}

static void a_groove_is_bridged_by_both_flanks(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_contour in = {0};
    add_start(&ctx, &in, pt(0, 1), pt(1, 1), 0);
    add_line(&ctx, &in, 1, 0, 1);
    add_line(&ctx, &in, 5, 0, 2);
    add_line(&ctx, &in, 5, 1, 3);
    add_line(&ctx, &in, 6, 1, 4);
    const struct sw_contour env = envelope_of(&ctx, &in, 1, 0.5);
    /* level, falling at 1/2, floor, rising at 1, level */
    assert_int_equal(env.n, 5);
    assert_int_equal(env.at[1].tag, SW_TAG_BRIDGE);
    assert_near(sw_pt_distance(env.at[1].b, pt(3, 0)), 0, 1e-12);
    assert_int_equal(env.at[2].tag, 2);
    assert_near(sw_pt_distance(env.at[3].a, pt(4, 0)), 0, 1e-12);
    assert_int_equal(env.at[3].tag, SW_TAG_BRIDGE);
    /* flanks that meet before the floor */
    const struct sw_contour high = envelope_of(&ctx, &in, 0.25, 0.25);
    assert_int_equal(high.n, 4);
    assert_near(sw_pt_distance(high.at[1].b, pt(3, 0.5)), 0, 1e-12);
    /* no limit: the groove itself, with jumps */
    const struct sw_contour all = envelope_of(&ctx, &in, HUGE_VAL, HUGE_VAL);
    assert_int_equal(all.n, 5);
    assert_near(sw_contour_length(&all), sw_contour_length(&in), 1e-12);
    assert_int_equal(all.at[1].tag, 0);
    assert_int_equal(all.at[3].tag, 4);
    /* a flank along the axis: never below what comes later */
    const struct sw_contour flat = envelope_of(&ctx, &in, 0, HUGE_VAL);
    assert_near(sw_contour_length(&flat), 6, 1e-12);
    sw_test_ctx_free(&ctx);
}

static void a_bridge_leaves_an_arc_along_its_tangent(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_contour in = {0};
    add_start(&ctx, &in, pt(-3, 0), pt(-1, 0), 0);
    add_arc(&ctx, &in, 1, 0, 0, 0, -1, 1); /* upper half circle of radius 1 */
    add_line(&ctx, &in, 3, 0, 2);
    const double slope = 0.75; /* the tangent point is (-3/5, 4/5): the 3-4-5 triangle */
    const struct sw_contour env = envelope_of(&ctx, &in, slope, HUGE_VAL);
    assert_int_equal(env.n, 4);
    assert_int_equal(env.at[1].tag, SW_TAG_BRIDGE);
    assert_near(sw_pt_distance(env.at[1].b, pt(-0.6, 0.8)), 0, 1e-12);
    assert_near(sw_pt_distance(env.at[1].a, pt(-0.6 - 0.8 / 0.75, 0)), 0, 1e-12);
    assert_int_equal(env.at[2].kind, SW_SEG_ARC);
    assert_near(env.at[3].a.z, 1, 1e-12);
    const struct sw_contour both = envelope_of(&ctx, &in, slope, slope);
    assert_int_equal(both.n, 5);
    assert_near(sw_pt_distance(both.at[3].a, pt(0.6, 0.8)), 0, 1e-12);
    assert_near(sw_pt_distance(both.at[3].b, pt(0.6 + 0.8 / 0.75, 0)), 0, 1e-12);
    sw_test_ctx_free(&ctx);
}

static void an_overhang_gives_its_highest_r(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_contour in = demo_staff(&ctx, true);
    const struct sw_contour env = envelope_of(&ctx, &in, HUGE_VAL, HUGE_VAL);
    double r;
    assert_true(sw_contour_r_at(&r, &env, 1.45)); /* inside the recess: the wall above it */
    assert_near(r, 0.58, 1e-12);
    assert_true(sw_contour_r_at(&r, &env, 1.40));
    assert_near(r, 0.41, 1e-12);
    for (size_t i = 0; i < env.n; i++)
        assert_true(env.at[i].b.z >= env.at[i].a.z);
    sw_test_ctx_free(&ctx);
}

static void a_wall_at_the_end_counts_with_its_top(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_contour in = {0};
    add_start(&ctx, &in, pt(0, 0.2), pt(2, 0.2), 0);
    add_line(&ctx, &in, 2, 1.2, 1);
    const struct sw_contour env = envelope_of(&ctx, &in, 1, HUGE_VAL);
    assert_int_equal(env.n, 2);
    assert_near(sw_pt_distance(env.at[1].a, pt(1, 0.2)), 0, 1e-12);
    assert_near(sw_pt_distance(env.at[1].b, pt(2, 1.2)), 0, 1e-12);
    const struct sw_contour wall = envelope_of(&ctx, &in, HUGE_VAL, HUGE_VAL);
    assert_near(wall.at[wall.n - 1].b.r, 1.2, 1e-12);
    sw_test_ctx_free(&ctx);
}

static void bad_flanks_are_refused(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_contour in = demo_staff(&ctx, true);
    struct sw_contour env;
    assert_int_equal(sw_contour_envelope(&env, &in, -1, 1, &ctx), SW_INTERNAL);
    assert_int_equal(sw_contour_envelope(&env, &in, 1, (double)NAN, &ctx), SW_INTERNAL);
    struct sw_contour none = {0};
    assert_int_equal(sw_contour_envelope(&env, &none, 1, 1, &ctx), SW_OK);
    assert_int_equal(env.n, 0);
    sw_test_ctx_free(&ctx);
}

enum { SAMPLES = 300 };

/* Least and largest value the definition allows at Z: from points of IN alone, and from points
 * plus what can lie between two of them. */
static double by_definition(const struct sw_contour *in, double z, double right, double left)
{
    double high = -HUGE_VAL;
    for (size_t i = 0; i < in->n; i++)
        for (int k = 0; k <= SAMPLES; k++) {
            const struct sw_pt p = sw_seg_at(&in->at[i], (double)k / SAMPLES);
            const double dz = p.z - z;
            const double flank = dz > 0 ? right : left;
            if (fabs(dz) <= 1e-12)
                high = fmax(high, p.r);
            else if (!isinf(flank))
                high = fmax(high, p.r - flank * fabs(dz));
        }
    double r;
    if (sw_contour_r_at(&r, in, z))
        high = fmax(high, r);
    return high;
}

static void assert_is_envelope(const struct sw_contour *env, const struct sw_contour *in,
                               double right, double left)
{
    /* Between samples an arc rises above its chord by at most l^2 / 8 R. */
    double band = 0;
    for (size_t i = 0; i < in->n; i++)
        if (in->at[i].kind == SW_SEG_ARC) {
            const double step = sw_seg_length(&in->at[i]) / SAMPLES;
            band = fmax(band, step * step / sw_seg_radius(&in->at[i]));
        }
    enum { PLACES = 160 };
    const struct sw_box box = sw_contour_box(in);
    double z_before = 0, r_before = 0;
    for (int k = 1; k < PLACES; k++) {
        const double z = box.z0 + (box.z1 - box.z0) * k / PLACES;
        double r;
        assert_true(sw_contour_r_at(&r, env, z));
        const double wanted = by_definition(in, z, right, left);
        const double slope = fmax(isinf(right) ? 0 : right, isinf(left) ? 0 : left);
        assert_true(r >= wanted - 1e-8);
        assert_true(r <= wanted + 1e-8 + band * hypot(1, slope));
        if (k > 1) {
            const double rise = (r - r_before) / (z - z_before);
            assert_true(rise <= right + 1e-6);
            assert_true(rise >= -left - 1e-6);
        }
        z_before = z;
        r_before = r;
    }
}

static void the_envelope_is_what_its_definition_says(void **state)
{
    (void)state;
    static const double slopes[] = {HUGE_VAL, 0, 0.1, 0.57735, 1, 2.75, 20};
    uint64_t seed = 90210;
    print_message("seed %llu\n", (unsigned long long)seed);
    for (int round = 0; round < 70; round++) {
        struct sw_ctx ctx = sw_test_ctx();
        const struct sw_contour in =
            round < 20 ? demo_staff(&ctx, round % 2) : random_profile(&ctx, &seed);
        const double right = slopes[random_below(&seed, 7)], left = slopes[random_below(&seed, 7)];
        const struct sw_contour env = envelope_of(&ctx, &in, right, left);
        assert_is_envelope(&env, &in, right, left);
        /* Once is enough. */
        const struct sw_contour again = envelope_of(&ctx, &env, right, left);
        assert_near(sw_contour_length(&again), sw_contour_length(&env), 1e-7);
        sw_test_ctx_free(&ctx);
    }
}

static void offsets_have_envelopes_too(void **state)
{
    (void)state;
    uint64_t seed = 31337;
    print_message("seed %llu\n", (unsigned long long)seed);
    for (int round = 0; round < 30; round++) {
        struct sw_ctx ctx = sw_test_ctx();
        const struct sw_contour in =
            round < 10 ? demo_staff(&ctx, true) : random_profile(&ctx, &seed);
        struct sw_contour off;
        assert_int_equal(sw_contour_offset(&off, &in, random_between(&seed, 0.01, 0.2), &ctx),
                         SW_OK);
        const struct sw_contour env = envelope_of(&ctx, &off, 3.7, 0.6);
        assert_is_envelope(&env, &off, 3.7, 0.6);
        sw_test_ctx_free(&ctx);
    }
}

static void mirrored_flanks_give_the_mirrored_envelope(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_contour in = demo_staff(&ctx, true);
    struct sw_contour turned, back;
    assert_int_equal(sw_contour_place(&turned, &in, -1, 4.32, &ctx), SW_OK);
    const struct sw_contour env = envelope_of(&ctx, &in, 2, 0.5);
    const struct sw_contour other = envelope_of(&ctx, &turned, 0.5, 2);
    assert_int_equal(sw_contour_place(&back, &other, -1, 4.32, &ctx), SW_OK);
    assert_int_equal(back.n, env.n);
    for (size_t i = 0; i < env.n; i++) {
        assert_near(sw_pt_distance(back.at[i].a, env.at[i].a), 0, 1e-9);
        assert_int_equal(back.at[i].tag, env.at[i].tag);
    }
    sw_test_ctx_free(&ctx);
}

static void the_upper_of_two_is_never_below_either(void **state)
{
    (void)state;
    uint64_t seed = 4711;
    print_message("seed %llu\n", (unsigned long long)seed);
    for (int round = 0; round < 30; round++) {
        struct sw_ctx ctx = sw_test_ctx();
        const struct sw_contour p = random_profile(&ctx, &seed), q = random_profile(&ctx, &seed);
        const struct sw_contour a = envelope_of(&ctx, &p, 1, 1);
        const struct sw_contour b = envelope_of(&ctx, &q, HUGE_VAL, 0.3);
        struct sw_contour up;
        assert_int_equal(sw_contour_upper(&up, &a, &b, &ctx), SW_OK);
        const struct sw_box box = sw_contour_box(&up);
        for (int k = 1; k < 200; k++) {
            const double z = box.z0 + (box.z1 - box.z0) * k / 200;
            double r, ra = -1, rb = -1;
            assert_true(sw_contour_r_at(&r, &up, z));
            (void)sw_contour_r_at(&ra, &a, z);
            (void)sw_contour_r_at(&rb, &b, z);
            assert_near(r, fmax(ra, rb), 1e-8);
        }
        struct sw_contour far;
        assert_int_equal(sw_contour_place(&far, &b, 1, 100, &ctx), SW_OK);
        assert_int_equal(sw_contour_upper(&up, &a, &far, &ctx), SW_INTERNAL);
        sw_test_ctx_free(&ctx);
    }
}

static void stretches_below_a_level_are_found(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_contour env = {0};
    add_start(&ctx, &env, pt(0, 1), pt(1, 0), 0);
    add_line(&ctx, &env, 2, 0, 1);
    add_line(&ctx, &env, 2, 0.8, 2);
    add_line(&ctx, &env, 3, 0.8, 3);
    add_arc(&ctx, &env, 4.6, 0.8, 3.8, 0.8 + 0.6, 1, 4); /* dips by 0.4 below 0.8 */
    struct sw_intervals below;
    assert_int_equal(sw_contour_below(&below, &env, 0.5, &ctx), SW_OK);
    assert_int_equal(below.n, 2);
    assert_near(below.at[0].z0, 0.5, 1e-12);
    assert_near(below.at[0].z1, 2, 1e-12);
    const double half = sqrt(1 - 0.81); /* circle of radius 1 about (3.8, 1.4) at r = 0.5 */
    assert_near(below.at[1].z0, 3.8 - half, 1e-12);
    assert_near(below.at[1].z1, 3.8 + half, 1e-12);
    assert_int_equal(sw_contour_below(&below, &env, 0.8, &ctx), SW_OK);
    assert_int_equal(below.n, 2); /* level with it is not below it */
    assert_near(below.at[1].z0, 3, 1e-12);
    assert_int_equal(sw_contour_below(&below, &env, 2, &ctx), SW_OK);
    assert_int_equal(below.n, 1);
    assert_near(below.at[0].z1, 4.6, 1e-12);
    assert_int_equal(sw_contour_below(&below, &env, 0, &ctx), SW_OK);
    assert_int_equal(below.n, 0);
    sw_test_ctx_free(&ctx);
}

static void a_wall_without_width_parts_two_stretches(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_contour env = {0};
    add_start(&ctx, &env, pt(0, 0.2), pt(1, 0.2), 0);
    add_line(&ctx, &env, 1, 0.6, 1);
    add_line(&ctx, &env, 1, 0.3, 1);
    add_line(&ctx, &env, 2, 0.3, 2);
    struct sw_intervals below;
    assert_int_equal(sw_contour_below(&below, &env, 0.5, &ctx), SW_OK);
    assert_int_equal(below.n, 2);
    assert_int_equal(sw_contour_below(&below, &env, 0.7, &ctx), SW_OK);
    assert_int_equal(below.n, 1);
    sw_test_ctx_free(&ctx);
}

static void a_slight_corner_is_kept(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_contour in = {0};
    add_start(&ctx, &in, pt(0, 1), pt(1, 1), 0);
    add_line(&ctx, &in, 2, 1.0005, 0); /* half a micrometre */
    add_line(&ctx, &in, 3, 1.0010, 0); /* straight on */
    const struct sw_contour env = envelope_of(&ctx, &in, 1, 1);
    assert_int_equal(env.n, 2);
    assert_near(env.at[1].a.z, 1, 1e-12);
    sw_test_ctx_free(&ctx);
}

static void a_piece_leaves_out_jumps_at_its_ends(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_contour env = {0}, piece;
    add_start(&ctx, &env, pt(0, 1), pt(1, 1), 0);
    add_line(&ctx, &env, 1, 0.5, 1);
    add_line(&ctx, &env, 2, 0.5, 2);
    add_line(&ctx, &env, 2, 1, 3);
    add_line(&ctx, &env, 3, 1, 4);
    assert_int_equal(sw_contour_piece(&piece, &env, 1, 2, &ctx), SW_OK);
    assert_int_equal(piece.n, 1);
    assert_int_equal(sw_contour_piece(&piece, &env, 0.5, 1.5, &ctx), SW_OK);
    assert_int_equal(piece.n, 3);
    assert_near(sw_pt_distance(piece.at[0].a, pt(0.5, 1)), 0, 1e-15);
    assert_near(sw_pt_distance(piece.at[2].b, pt(1.5, 0.5)), 0, 1e-15);
    assert_int_equal(sw_contour_piece(&piece, &env, 7, 8, &ctx), SW_OK);
    assert_int_equal(piece.n, 0);
    assert_int_equal(sw_contour_piece(&piece, &env, 2, 2, &ctx), SW_INTERNAL);
    sw_test_ctx_free(&ctx);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_groove_is_bridged_by_both_flanks),
        cmocka_unit_test(a_bridge_leaves_an_arc_along_its_tangent),
        cmocka_unit_test(an_overhang_gives_its_highest_r),
        cmocka_unit_test(a_wall_at_the_end_counts_with_its_top),
        cmocka_unit_test(bad_flanks_are_refused),
        cmocka_unit_test(the_envelope_is_what_its_definition_says),
        cmocka_unit_test(offsets_have_envelopes_too),
        cmocka_unit_test(mirrored_flanks_give_the_mirrored_envelope),
        cmocka_unit_test(the_upper_of_two_is_never_below_either),
        cmocka_unit_test(stretches_below_a_level_are_found),
        cmocka_unit_test(a_wall_without_width_parts_two_stretches),
        cmocka_unit_test(a_slight_corner_is_kept),
        cmocka_unit_test(a_piece_leaves_out_jumps_at_its_ends),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
