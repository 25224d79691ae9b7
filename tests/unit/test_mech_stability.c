/* Buckling and vibration against published tables and closed forms. */
#include "mech/buckle.h"
#include "mech/vibrate.h"

#include "mech_bars.h"

static const double pi = 3.14159265358979323846;
static const double steel_density = 7.85e-9;

static void a_uniform_column_follows_euler(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const double d[] = {0.08, 0.1, 0.2}, wanted[] = {0.255492, 0.623759, 9.980145}; /* derived */
    for (size_t i = 0; i < 3; i++) {
        assert_near_relative(sw_buckle_uniform(206000, d[i], 2), wanted[i], 1e-5);
        const struct sw_bar bar = BAR(&ctx, STEEL, SW_BAR_BENDING, {2, d[i], d[i]});
        assert_near_relative(sw_buckle_load(&bar), wanted[i], 1e-5);
        const struct sw_bar cut =
            BAR(&ctx, STEEL, SW_BAR_BENDING, {0.7, d[i], d[i]}, {1.3, d[i], d[i]});
        assert_near_relative(sw_buckle_load(&cut), sw_buckle_load(&bar), 1e-12);
    }
    sw_test_ctx_free(&ctx);
}

static void stepped_columns_are_those_of_the_table(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    /* Roark, table 15.1, case 1a with P2 = 0: P' = K1 pi^2 E I1/l^2, the lower part a stiffer
     * (recalled, three digits). */
    const double share[] = {1.0 / 6, 1.0 / 3, 0.5, 2.0 / 3, 5.0 / 6};
    const double table[2][5] = {{0.279, 0.312, 0.342, 0.364, 0.373},
                                {0.296, 0.354, 0.419, 0.471, 0.496}};
    const double ratio[2] = {1.5, 2.0};
    const struct sw_bar_material unit = {1, 0.3};
    const double d1 = diameter_for(1);
    for (size_t k = 0; k < 2; k++)
        for (size_t i = 0; i < 5; i++) {
            const double d2 = diameter_for(ratio[k]);
            const struct sw_bar bar =
                BAR(&ctx, unit, SW_BAR_BENDING, {share[i], d2, d2}, {1 - share[i], d1, d1});
            assert_near(sw_buckle_load(&bar) / (pi * pi), table[k][i], 0.0015);
        }
    /* Two steps of a staff (derived from the two-step equation). */
    const struct sw_bar bar = BAR(&ctx, STEEL, SW_BAR_BENDING, {1.0, 0.3, 0.3}, {0.5, 0.1, 0.1});
    assert_near_relative(sw_buckle_load(&bar), 9.48670, 1e-4);
    sw_test_ctx_free(&ctx);
}

static void a_conical_column_is_the_limit_of_its_steps(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    for (int way = 0; way < 2; way++) {
        const double d0 = way ? 0.1 : 0.3, d1 = way ? 0.3 : 0.1;
        const struct sw_bar cone = BAR(&ctx, STEEL, SW_BAR_BENDING, {2, d0, d1});
        enum { SLICES = 400 };
        struct sw_bar_piece pieces[SLICES];
        for (int i = 0; i < SLICES; i++) {
            const double d = d0 + (d1 - d0) * (i + 0.5) / SLICES;
            pieces[i] = (struct sw_bar_piece){2.0 * i / SLICES, 2.0 * (i + 1) / SLICES, d, d};
        }
        struct sw_bar bar = {0};
        assert_int_equal(sw_bar_build(&bar, pieces, SLICES, &STEEL, NULL, SW_BAR_BENDING, &ctx),
                         SW_OK);
        assert_near_relative(sw_buckle_load(&cone), sw_buckle_load(&bar), 1e-4);
    }
    sw_test_ctx_free(&ctx);
}

static void give_at_the_root_and_shoulders_lower_the_load(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    /* Rigid bar on a rotational spring: P = k/L. */
    const struct sw_bar_piece thick = {0, 1, 5, 5};
    const struct sw_bar_root root = {.rotation = 1e-2};
    struct sw_bar bar = {0};
    assert_int_equal(sw_bar_build(&bar, &thick, 1, &STEEL, &root, SW_BAR_BENDING, &ctx), SW_OK);
    assert_near_relative(sw_buckle_load(&bar), 100, 1e-3);
    const struct part pivot[] = {{0.5, 0.4, 0.4}, {0.3, 0.1, 0.1}, NO_MORE};
    const struct sw_bar bare = bar_of(pivot, STEEL, SW_BAR_BENDING, &ctx);
    const struct sw_bar full = bar_of(pivot, STEEL, SW_BAR_ALL, &ctx);
    assert_true(sw_buckle_load(&full) < sw_buckle_load(&bare));
    assert_true(sw_buckle_load_at(&bare, 0.7) > sw_buckle_load(&bare));
    sw_test_ctx_free(&ctx);
}

static void slender_means_elastic(void **state)
{
    (void)state;
    /* lambda = 8 L/d against 33.6 for 1800 MPa and 90.2 for 250 MPa (derived). */
    assert_true(sw_buckle_is_elastic(1, 33.7 / 8, 206000, 1800));
    assert_false(sw_buckle_is_elastic(1, 33.5 / 8, 206000, 1800));
    assert_true(sw_buckle_is_elastic(1, 90.3 / 8, 206000, 250));
    assert_false(sw_buckle_is_elastic(1, 90.1 / 8, 206000, 250));
    assert_near(sw_buckle_amplification(0.5, 1), 2, 0);
    assert_true(isinf(sw_buckle_amplification(1, 1)));
    assert_true(sw_buckle_amplification(-1, 1) < 1);
}

static double first_of(const struct sw_bar *bar, struct sw_ctx *ctx)
{
    double hertz = 0;
    assert_int_equal(sw_vibrate_first(&hertz, bar, steel_density, ctx), SW_OK);
    return hertz;
}

/* omega L^2 sqrt(rho A/(E I)) of the root's section. */
static double number_of(double hertz, double diameter, double length)
{
    return 2 * pi * hertz * length * length * sqrt(steel_density * 16 / 206000) / diameter;
}

static void a_uniform_cantilever_rings_as_known(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    /* Roark 16.1 prints 3.52, 22.0, 61.7 (recalled); exact roots of cos cosh = -1. */
    const double wanted[] = {3.5160, 22.034, 61.697};
    for (int mode = 0; mode < 3; mode++) {
        const double hertz = sw_vibrate_uniform(mode, 206000, steel_density, 0.3, 2);
        assert_near_relative(number_of(hertz, 0.3, 2), wanted[mode], 1e-4);
    }
    assert_near_relative(sw_vibrate_uniform(0, 206000, steel_density, 1, 8), 11197.72, 1e-5);
    assert_near_relative(sw_vibrate_uniform(0, 206000, steel_density, 0.1, 2), 17916.36, 1e-5);
    const struct sw_bar bar = BAR(&ctx, STEEL, SW_BAR_BENDING, {8, 1, 1});
    assert_near_relative(first_of(&bar, &ctx), 11197.72, 1e-5);
    sw_test_ctx_free(&ctx);
}

static void cones_and_steps_ring_as_known(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    /* Full cone held at its base, 8.719 (Kirchhoff 1879; Blevins, recalled). */
    const struct sw_bar cone = BAR(&ctx, STEEL, SW_BAR_BENDING, {1, 0.4, 1e-5});
    assert_near_relative(number_of(first_of(&cone, &ctx), 0.4, 1), 8.719, 1e-3);
    /* Two halves, tip over root diameter (derived, finite elements elsewhere). */
    const double ratio[] = {0.8, 0.6, 0.5}, wanted[] = {4.1886, 4.9033, 5.0700};
    for (size_t i = 0; i < 3; i++) {
        const struct sw_bar bar = BAR(&ctx, STEEL, SW_BAR_BENDING, {0.5, 0.1, 0.1},
                                      {0.5, 0.1 * ratio[i], 0.1 * ratio[i]});
        assert_near_relative(number_of(first_of(&bar, &ctx), 0.1, 1), wanted[i], 1e-3);
    }
    sw_test_ctx_free(&ctx);
}

static void give_at_the_root_lowers_the_pitch(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    /* A stiff bar on a rotational spring: omega^2 = k/(m L^2/3); on a sideways one as well it is
     * lower still. */
    const struct sw_bar_piece thick = {0, 10, 5, 5};
    struct sw_bar_root root = {.rotation = 1e-4};
    struct sw_bar bar = {0};
    assert_int_equal(sw_bar_build(&bar, &thick, 1, &STEEL, &root, SW_BAR_BENDING, &ctx), SW_OK);
    const double mass = steel_density * pi * 25 / 4 * 10;
    const double wanted = sqrt(1e4 / (mass * 100 / 3)) / (2 * pi);
    assert_near_relative(first_of(&bar, &ctx), wanted, 1e-2);
    root.lateral = 1e-3;
    assert_int_equal(sw_bar_build(&bar, &thick, 1, &STEEL, &root, SW_BAR_BENDING, &ctx), SW_OK);
    assert_true(first_of(&bar, &ctx) < 0.9 * wanted);
    /* A shoulder is such a spring between two parts: the same bar, once with shoulders. */
    const struct part pivot[] = {{0.5, 0.4, 0.4}, {0.3, 0.1, 0.1}, NO_MORE};
    const struct sw_bar bare = bar_of(pivot, STEEL, SW_BAR_BENDING, &ctx);
    const struct sw_bar full = bar_of(pivot, STEEL, SW_BAR_SHOULDERS, &ctx);
    /* Almost all mass that moves sits on the pivot: the pitch falls about as the root of the
     * compliance rises (Rayleigh). */
    const double softer = sw_bar_compliance(&full, 0.8, 0.8) / sw_bar_compliance(&bare, 0.8, 0.8);
    assert_near_relative(first_of(&full, &ctx), first_of(&bare, &ctx) / sqrt(softer), 0.02);
    sw_test_ctx_free(&ctx);
}

static void chatter_has_its_known_limit(void **state)
{
    (void)state;
    /* Insperger and Stepan (recalled): zeta 0.05 gives p_min = 2 zeta (1 + zeta) = 0.105. */
    assert_near_relative(sw_vibrate_width_limit(1000, 0.05, 2000), 0.105 * 1000 / 2000, 1e-15);
    assert_true(sw_vibrate_is_damped(796e3, 52, 0.002));
    assert_false(sw_vibrate_is_damped(2e3, 52, 0.002));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_uniform_column_follows_euler),
        cmocka_unit_test(stepped_columns_are_those_of_the_table),
        cmocka_unit_test(a_conical_column_is_the_limit_of_its_steps),
        cmocka_unit_test(give_at_the_root_and_shoulders_lower_the_load),
        cmocka_unit_test(slender_means_elastic),
        cmocka_unit_test(a_uniform_cantilever_rings_as_known),
        cmocka_unit_test(cones_and_steps_ring_as_known),
        cmocka_unit_test(give_at_the_root_lowers_the_pitch),
        cmocka_unit_test(chatter_has_its_known_limit),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
