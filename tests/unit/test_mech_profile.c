/* Bars cut out of an outline. */
#include "mech/bar_profile.h"

#include "mech_bars.h"

static const double pi = 3.14159265358979323846;

static void add(struct sw_ctx *ctx, struct sw_contour *c, struct sw_seg seg)
{
    assert_true(sw_contour_add(ctx->arena, c, seg));
}

static struct sw_seg line(double z0, double r0, double z1, double r1)
{
    return sw_seg_line((struct sw_pt){z0, r0}, (struct sw_pt){z1, r1}, 0);
}

/* A pivot of 0.06 that grows along a hollow arc of radius 0.4 to 0.3, a face to 0.5, a cone to 0.4:
 * seen from the tip, z growing towards the headstock. */
static struct sw_contour staff(struct sw_ctx *ctx)
{
    struct sw_contour c = {0};
    const double reach = 0.4 * sin(acos(1 - 0.24 / 0.4));
    add(ctx, &c, line(0, 0.06, 0.25, 0.06));
    add(ctx, &c,
        sw_seg_arc((struct sw_pt){0.25, 0.06}, (struct sw_pt){0.25 + reach, 0.3},
                   (struct sw_pt){0.25, 0.46}, 1, 0));
    add(ctx, &c, line(0.25 + reach, 0.3, 0.25 + reach, 0.5));
    add(ctx, &c, line(0.25 + reach, 0.5, 2, 0.4));
    return c;
}

static void lines_are_taken_as_they_are(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_contour c = {0};
    add(&ctx, &c, line(-3, 0.8, -2, 0.8));
    add(&ctx, &c, line(-2, 0.8, -2, 0.3));
    add(&ctx, &c, line(-2, 0.3, 0, 0.1));
    struct sw_bar_pieces pieces = {0};
    assert_int_equal(sw_bar_pieces_of(&pieces, &c, -2.5, 0, SW_BAR_ARC_SHARE, &ctx), SW_OK);
    assert_int_equal(pieces.n, 2);
    assert_near(pieces.at[0].z1, 0.5, 1e-15);
    assert_near(pieces.at[0].d0, 1.6, 0);
    assert_near(pieces.at[1].d0, 0.6, 1e-15);
    assert_near(pieces.at[1].z1, 2.5, 1e-15);
    assert_near(pieces.at[1].d1, 0.2, 1e-15);
    /* The other way round: held at the thin end, cut off inside the cone. */
    assert_int_equal(sw_bar_pieces_of(&pieces, &c, -1, -3, SW_BAR_ARC_SHARE, &ctx), SW_OK);
    assert_int_equal(pieces.n, 2);
    assert_near(pieces.at[0].d0, 0.4, 1e-15);
    assert_near(pieces.at[0].d1, 0.6, 1e-15);
    assert_near(pieces.at[1].d1, 1.6, 1e-15);
    sw_test_ctx_free(&ctx);
}

static void a_bar_and_its_mirror_are_the_same(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_contour c = staff(&ctx);
    struct sw_contour m = {0};
    assert_int_equal(sw_contour_place(&m, &c, -1, 0, &ctx), SW_OK);
    struct sw_bar_pieces a = {0}, b = {0};
    assert_int_equal(sw_bar_pieces_of(&a, &c, 1.8, 0, SW_BAR_ARC_SHARE, &ctx), SW_OK);
    assert_int_equal(sw_bar_pieces_of(&b, &m, -1.8, 0, SW_BAR_ARC_SHARE, &ctx), SW_OK);
    struct sw_bar bar = {0}, mirrored = {0};
    assert_int_equal(sw_bar_build(&bar, a.at, a.n, &STEEL, NULL, SW_BAR_ALL, &ctx), SW_OK);
    assert_int_equal(sw_bar_build(&mirrored, b.at, b.n, &STEEL, NULL, SW_BAR_ALL, &ctx), SW_OK);
    assert_near_relative(sw_bar_length(&bar), 1.8, 1e-15);
    for (double x = 0.1; x < 1.8; x += 0.2)
        assert_near_relative(sw_bar_compliance(&mirrored, x, 1.8), sw_bar_compliance(&bar, x, 1.8),
                             1e-11);
    sw_test_ctx_free(&ctx);
}

/* Bending of the outline by midpoints, clamp at z 1.8, load at the tip. */
static double by_midpoints(const struct sw_contour *c)
{
    enum { SLICES = 100000 };
    double sum = 0;
    for (int i = 0; i < SLICES; i++) {
        const double z = 1.8 * (i + 0.5) / SLICES;
        double r = 0;
        assert_true(sw_contour_r_at(&r, c, z));
        sum += z * z * 4 / (pi * r * r * r * r);
    }
    return sum * 1.8 / SLICES / STEEL.elastic_modulus;
}

static void arcs_are_met_within_the_stated_error(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_contour c = staff(&ctx);
    const double wanted = by_midpoints(&c);
    for (double share = 0.04; share > 1e-5; share /= 4) {
        struct sw_bar_pieces pieces = {0};
        assert_int_equal(sw_bar_pieces_of(&pieces, &c, 1.8, 0, share, &ctx), SW_OK);
        struct sw_bar bar = {0};
        assert_int_equal(
            sw_bar_build(&bar, pieces.at, pieces.n, &STEEL, NULL, SW_BAR_BENDING, &ctx), SW_OK);
        /* A hollow arc: chords are outside, the bar too stiff. */
        const double got = sw_bar_compliance(&bar, 1.8, 1.8);
        assert_true(got < wanted * (1 + 1e-6));
        assert_near_relative(got, wanted, 4 * share + 1e-6);
    }
    sw_test_ctx_free(&ctx);
}

static void a_dome_ends_the_bar_without_giving_way_for_ever(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_contour c = {0};
    add(&ctx, &c, line(-1, 0.05, -0.05, 0.05));
    add(&ctx, &c,
        sw_seg_arc((struct sw_pt){-0.05, 0.05}, (struct sw_pt){0, 0}, (struct sw_pt){-0.05, 0}, -1,
                   0));
    struct sw_bar_pieces pieces = {0};
    assert_int_equal(sw_bar_pieces_of(&pieces, &c, -1, 0, SW_BAR_ARC_SHARE, &ctx), SW_OK);
    struct sw_bar bar = {0};
    assert_int_equal(sw_bar_build(&bar, pieces.at, pieces.n, &STEEL, NULL, SW_BAR_ALL, &ctx),
                     SW_OK);
    /* A plain rod of the same length gives 33 um/N; the dome may add little. */
    assert_near_relative(sw_bar_compliance(&bar, 1, 1), 0.331, 0.02);
    sw_test_ctx_free(&ctx);
}

static void an_outline_that_does_not_reach_is_refused(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_contour c = {0};
    struct sw_bar_pieces pieces = {0};
    assert_int_equal(sw_bar_pieces_of(&pieces, &c, 0, 1, SW_BAR_ARC_SHARE, &ctx), SW_INTERNAL);
    add(&ctx, &c, line(0, 1, 2, 1));
    assert_int_equal(sw_bar_pieces_of(&pieces, &c, -1, 1, SW_BAR_ARC_SHARE, &ctx), SW_INTERNAL);
    assert_int_equal(sw_bar_pieces_of(&pieces, &c, 1, 2.5, SW_BAR_ARC_SHARE, &ctx), SW_INTERNAL);
    assert_int_equal(sw_bar_pieces_of(&pieces, &c, 1, 2, SW_BAR_ARC_SHARE, &ctx), SW_OK);
    add(&ctx, &c, line(2, 1, 1, 0.5));
    assert_int_equal(sw_bar_pieces_of(&pieces, &c, 1, 2, SW_BAR_ARC_SHARE, &ctx), SW_INTERNAL);
    sw_test_ctx_free(&ctx);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lines_are_taken_as_they_are),
        cmocka_unit_test(a_bar_and_its_mirror_are_the_same),
        cmocka_unit_test(arcs_are_met_within_the_stated_error),
        cmocka_unit_test(a_dome_ends_the_bar_without_giving_way_for_ever),
        cmocka_unit_test(an_outline_that_does_not_reach_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
