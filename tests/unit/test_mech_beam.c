/* Bars against published worked examples, closed forms and finite elements. "recalled": published,
 * number from memory and recomputed here; "derived": closed form worked out for this check. */
#include <math.h>

#include "mech_bars.h"

static void a_bar_of_two_halves_gives_way_as_in_the_textbook(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    /* Gere and Goodno, Mechanics of Materials, 7th ed., section 9.7 (recalled): E I = 1 at the tip,
     * 2 at the root, P = L = 1: deflection 3/16, slope 5/16. */
    const double d1 = diameter_for(1), d2 = diameter_for(2);
    const struct sw_bar_material unit = {1, 0.3};
    struct sw_bar bar = BAR(&ctx, unit, SW_BAR_BENDING, {0.5, d2, d2}, {0.5, d1, d1});
    assert_near_relative(sw_bar_compliance(&bar, 1, 1), 3.0 / 16, 1e-14);
    assert_near_relative(sw_bar_rotation(&bar, 1, 1), 5.0 / 16, 1e-14);
    /* Problem 9.7-1 (recalled): ratio to the uniform bar, (1 + 7/k)/8. */
    const double ratio[] = {1, 0.5625, 0.4167, 0.3438, 0.3};
    for (int k = 1; k <= 5; k++) {
        const double dk = diameter_for(k);
        bar = BAR(&ctx, unit, SW_BAR_BENDING, {0.5, dk, dk}, {0.5, d1, d1});
        assert_near(3 * sw_bar_compliance(&bar, 1, 1), ratio[k - 1], 1e-4);
    }
    sw_test_ctx_free(&ctx);
}

/* Integral over the load's place of the deflection at X: three Gauss points a half are exact. */
static double under_uniform_load(const struct sw_bar *bar, double x)
{
    const double at[] = {0.1127016653792583, 0.5, 0.8872983346207417};
    const double weight[] = {5.0 / 18, 8.0 / 18, 5.0 / 18};
    double sum = 0;
    for (int half = 0; half < 2; half++)
        for (int i = 0; i < 3; i++)
            sum += weight[i] / 2 * sw_bar_compliance(bar, x, (half + at[i]) / 2);
    return sum;
}

static void a_uniform_load_adds_up_from_single_ones(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    /* Gere and Goodno, solution 9.7-2 (published): ratios 1.00, 0.53, 0.38, 0.30, 0.25 to the
     * uniform bar's q L^4/(8 E I1); in the middle 17 q L^4/(384 E I2). */
    const double ratio[] = {1.00, 0.53, 0.38, 0.30, 0.25};
    const struct sw_bar_material unit = {1, 0.3};
    const double d1 = diameter_for(1);
    for (int k = 1; k <= 5; k++) {
        const double dk = diameter_for(k);
        const struct sw_bar bar = BAR(&ctx, unit, SW_BAR_BENDING, {0.5, dk, dk}, {0.5, d1, d1});
        const double end = under_uniform_load(&bar, 1);
        assert_near(8 * end, ratio[k - 1], 0.005 + 1e-12);
        assert_near_relative(8 * end, (1 + 15.0 / k) / 16, 1e-13);
        assert_near_relative(under_uniform_load(&bar, 0.5), 17.0 / 384 / k, 1e-13);
    }
    sw_test_ctx_free(&ctx);
}

static void half_a_simple_beam_is_a_bar_held_at_its_middle(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    /* Gere and Goodno, example of a beam with the middle half twice as stiff (recalled): 3 P
     * L^3/(256 E I) at the middle. By symmetry half of it is held there and bears P/2 at its end.
     */
    const double d1 = diameter_for(1), d2 = diameter_for(2);
    const struct sw_bar_material unit = {1, 0.3};
    const struct sw_bar bar = BAR(&ctx, unit, SW_BAR_BENDING, {0.25, d2, d2}, {0.25, d1, d1});
    assert_near_relative(sw_bar_compliance(&bar, 0.5, 0.5) / 2, 3.0 / 256, 1e-14);
    sw_test_ctx_free(&ctx);
}

static void a_tapered_plate_is_met_by_round_slices_of_its_stiffness(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    /* Harris 1959, p. 114, problem 61 (published): width from 3 in to a point, 0.5 thick, 20 long,
     * E 30e6 psi, 10 lb: 0.04267 in. Second moment linear in z; slices of its middle value. */
    enum { SLICES = 400 };
    struct sw_bar_piece pieces[SLICES];
    for (int i = 0; i < SLICES; i++) {
        const double share = 1 - (i + 0.5) / SLICES;
        const double d = diameter_for(3 * share * 0.125 / 12);
        pieces[i] = (struct sw_bar_piece){20.0 * i / SLICES, 20.0 * (i + 1) / SLICES, d, d};
    }
    const struct sw_bar_material material = {30e6, 0.3};
    struct sw_bar bar = {0};
    assert_int_equal(sw_bar_build(&bar, pieces, SLICES, &material, NULL, SW_BAR_BENDING, &ctx),
                     SW_OK);
    assert_near_relative(10 * sw_bar_compliance(&bar, 20, 20), 0.04267, 5e-4);
    sw_test_ctx_free(&ctx);
}

static void the_benchmark_cantilever_comes_out(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    /* MacNeal and Harder 1985 (recalled): 6 x 0.2 x 0.1, E 1e7, unit load: 0.1081 in the stiff
     * plane, shear included, 0.4321 in the other. Its section is a rectangle: bending by the second
     * moment, shear added by hand with the rectangle's area and 5/6. */
    const struct sw_bar_material material = {1e7, 0.3};
    const double shear = 6 / (5.0 / 6 * 1e7 / 2.6 * 0.02);
    const double stiff = diameter_for(0.1 * 0.008 / 12), soft = diameter_for(0.2 * 0.001 / 12);
    struct sw_bar bar = BAR(&ctx, material, SW_BAR_BENDING, {6, stiff, stiff});
    assert_near_relative(sw_bar_compliance(&bar, 6, 6) + shear, 0.1081, 5e-4);
    bar = BAR(&ctx, material, SW_BAR_BENDING, {6, soft, soft});
    assert_near_relative(sw_bar_compliance(&bar, 6, 6) + shear, 0.4321, 5e-4);
    sw_test_ctx_free(&ctx);
}

static void a_cone_has_its_closed_form(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    /* Derived; the type of formula of McCutcheon 1983. P = 0.05 N, um. */
    const struct sw_bar bar = BAR(&ctx, STEEL, SW_BAR_BENDING, {0.5, 0.3, 0.1});
    assert_near_relative(0.05e3 * sw_bar_compliance(&bar, 0.5, 0.5), 0.07630586, 1e-6);
    assert_near_relative(0.05 * sw_bar_rotation(&bar, 0.5, 0.5), 3.815293e-4, 1e-6);
    sw_test_ctx_free(&ctx);
}

static void a_cone_is_the_limit_of_its_steps(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_bar cone = BAR(&ctx, STEEL, SW_BAR_SHEAR, {0.5, 0.3, 0.1});
    const double wanted = sw_bar_compliance(&cone, 0.5, 0.5);
    double before = INFINITY;
    for (size_t n = 4; n <= 256; n *= 4) {
        struct sw_bar_piece pieces[256];
        for (size_t i = 0; i < n; i++) {
            const double d = 0.3 - 0.2 * ((double)i + 0.5) / (double)n;
            pieces[i] = (struct sw_bar_piece){0.5 * (double)i / (double)n,
                                              0.5 * (double)(i + 1) / (double)n, d, d};
        }
        struct sw_bar bar = {0};
        assert_int_equal(sw_bar_build(&bar, pieces, n, &STEEL, NULL, SW_BAR_SHEAR, &ctx), SW_OK);
        const double off = fabs(sw_bar_compliance(&bar, 0.5, 0.5) / wanted - 1);
        /* Derived: with bending alone 7.3 % at 4, 0.44 % at 16, 0.027 % at 64: a sixteenth. */
        assert_true(off < before / 12);
        before = off;
    }
    assert_true(before < 2e-5);
    sw_test_ctx_free(&ctx);
}

static void a_uniform_pivot_has_the_book_values(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    /* P L^3/3EI and P L^2/2EI, shear with Cowper's coefficient (derived numbers). */
    struct sw_bar bar = BAR(&ctx, STEEL, SW_BAR_BENDING, {0.3, 0.1, 0.1});
    const double bend = 0.05e3 * sw_bar_compliance(&bar, 0.3, 0.3);
    assert_near_relative(bend, 0.445016, 1e-5);
    assert_near_relative(0.05 * sw_bar_rotation(&bar, 0.3, 0.3), 2.22508e-3, 1e-5);
    bar = BAR(&ctx, STEEL, SW_BAR_SHEAR, {0.3, 0.1, 0.1});
    const double shear = 0.05 * 0.3 / (7.8 / 8.8 * 206000 / 2.6 * 3.14159265358979323846 * 0.0025);
    assert_near(shear, 2.7196e-5, 1e-9);
    assert_near_relative(0.05e3 * sw_bar_compliance(&bar, 0.3, 0.3) - bend, 1e3 * shear, 1e-10);
    sw_test_ctx_free(&ctx);
}

static void a_stepped_bar_agrees_with_three_independent_integrations(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    /* Closed form, a quadrature program and a symbolic one gave the same (derived). */
    const struct sw_bar bar = BAR(&ctx, STEEL, SW_BAR_BENDING, {1.0, 0.3, 0.3}, {0.5, 0.1, 0.1});
    assert_near_relative(0.05e3 * sw_bar_compliance(&bar, 1.5, 1.5), 2.721575598, 1e-8);
    assert_near_relative(0.05 * sw_bar_rotation(&bar, 1.5, 1.5), 6.791221352e-3, 1e-8);
    sw_test_ctx_free(&ctx);
}

static void load_and_reading_may_change_places(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct part staff[] = {
        {1.5, 1.2, 1.2}, {0.8, 0.6, 0.6}, {0.4, 0.3, 0.3}, {0.3, 0.1, 0.1}, NO_MORE};
    struct sw_bar bar = bar_of(staff, STEEL, SW_BAR_BENDING, &ctx);
    assert_near_relative(0.05e3 * sw_bar_compliance(&bar, 3.0, 2.7), 0.0725251, 1e-6);
    assert_near_relative(0.05e3 * sw_bar_compliance(&bar, 2.7, 3.0), 0.0725251, 1e-6);
    bar = bar_of(staff, STEEL, SW_BAR_ALL, &ctx);
    for (double x = 0; x <= 3; x += 0.37)
        for (double a = 0; a <= 3; a += 0.23) {
            assert_near(sw_bar_compliance(&bar, x, a), sw_bar_compliance(&bar, a, x), 0);
            assert_near(sw_bar_couple_rotation(&bar, x, a), sw_bar_couple_rotation(&bar, a, x), 0);
        }
    sw_test_ctx_free(&ctx);
}

/* The unit-load integral of a bar summed by midpoints, for reading at X and load at A. */
static double by_midpoints(const struct sw_bar *bar, double x, double a)
{
    const double end = fmin(x, a);
    enum { SLICES = 100000 };
    double sum = 0;
    for (int i = 0; i < SLICES; i++) {
        const double s = end * (i + 0.5) / SLICES, d = sw_bar_diameter(bar, s);
        sum += (a - s) * (x - s) * 64 / (3.14159265358979323846 * d * d * d * d);
    }
    return sum * end / SLICES / bar->material.elastic_modulus;
}

static void any_place_of_a_mixed_bar_agrees_with_a_plain_sum(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_bar bar = BAR(&ctx, STEEL, SW_BAR_BENDING, {1, 0.8, 0.8}, {0.5, 0.8, 0.4},
                                  {0.25, 0.25, 0.25}, {0.25, 0.25, 0.5}, {0.5, 0.12, 0.1});
    for (double x = 0.3; x <= 2.5; x += 0.71)
        for (double a = 0.2; a <= 2.5; a += 0.59)
            assert_near_relative(sw_bar_compliance(&bar, x, a), by_midpoints(&bar, x, a), 2e-4);
    /* Slope and deflection belong together: the difference quotient of one is the other. */
    const double h = 1e-6;
    for (double x = 0.1; x < 2.4; x += 0.17) {
        const double rise =
            sw_bar_compliance(&bar, x + h, 2.2) - sw_bar_compliance(&bar, x - h, 2.2);
        assert_near_relative(sw_bar_rotation(&bar, x, 2.2), rise / (2 * h), 1e-4);
    }
    sw_test_ctx_free(&ctx);
}

static void a_cut_through_a_piece_changes_nothing(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_bar whole =
        BAR(&ctx, STEEL, SW_BAR_ALL, {1, 0.8, 0.8}, {0.5, 0.6, 0.2}, {0.4, 0.1, 0.1});
    const struct sw_bar cut =
        BAR(&ctx, STEEL, SW_BAR_ALL, {0.7, 0.8, 0.8}, {0.3, 0.8, 0.8}, {0.25, 0.6, 0.4},
            {0.25, 0.4, 0.2}, {0.1, 0.1, 0.1}, {0.3, 0.1, 0.1});
    for (double x = 0.05; x < 1.9; x += 0.1)
        assert_near_relative(sw_bar_compliance(&cut, x, 1.9), sw_bar_compliance(&whole, x, 1.9),
                             2e-13);
    sw_test_ctx_free(&ctx);
}

static void a_thicker_bar_never_gives_way_more(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const double base[] = {0.8, 0.5, 0.3, 0.6, 0.12};
    double before = 0; /* of the bar as it is */
    for (int grown = -1; grown < 5; grown++) {
        struct part parts[6] = {{0}};
        for (int i = 0; i < 5; i++) {
            const double d = base[i] * (i == grown ? 1.05 : 1);
            parts[i] = (struct part){0.4, d, d};
        }
        const struct sw_bar bar = bar_of(parts, STEEL, SW_BAR_BENDING | SW_BAR_SHEAR, &ctx);
        const double now = sw_bar_compliance(&bar, 2, 2);
        if (grown < 0)
            before = now;
        else
            assert_true(now < before);
    }
    sw_test_ctx_free(&ctx);
}

static void a_shoulder_follows_the_finite_elements(void **state)
{
    (void)state;
    /* Second-order tetrahedra, D/d and C (derived, good to about 0.2; limit 5.46 published by
     * Borowicka and Johnson, recalled). tests/witness repeats it for other bars. */
    const double table[][2] = {{1.5, 2.5}, {2, 4.0}, {3, 4.9}, {4, 5.2}, {6, 5.3}};
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++)
        assert_near(sw_bar_shoulder_factor(table[i][0], 0.3), table[i][1], 0.3);
    assert_near(sw_bar_shoulder_factor(1e6, 0.3), 5.46, 1e-4);
    assert_near(sw_bar_shoulder_factor(1, 0.3), 0, 0);
    assert_near(sw_bar_shoulder_factor(0.5, 0.3), 0, 0);
}

static void a_square_step_turns_by_its_factor(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct part pivot[] = {{0.6, 0.4, 0.4}, {0.3, 0.1, 0.1}, NO_MORE};
    const struct sw_bar plain = bar_of(pivot, STEEL, SW_BAR_SHEAR, &ctx);
    const struct sw_bar bar = bar_of(pivot, STEEL, SW_BAR_ALL, &ctx);
    const double turn = sw_bar_shoulder_factor(4, 0.3) / (206000 * 0.001);
    assert_near_relative(sw_bar_compliance(&bar, 0.9, 0.9),
                         sw_bar_compliance(&plain, 0.9, 0.9) + turn * 0.09, 1e-13);
    /* Inside the thick part nothing is different. */
    assert_near(sw_bar_compliance(&bar, 0.6, 0.6), sw_bar_compliance(&plain, 0.6, 0.6), 1e-18);
    sw_test_ctx_free(&ctx);
}

static void pivots_on_a_shoulder_agree_with_finite_elements(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    /* CalculiX (derived), P = 0.05 N: 0.599 um; plain bending 0.4654. */
    struct sw_bar bar = BAR(&ctx, STEEL, SW_BAR_ALL, {0.4, 0.4, 0.4}, {0.3, 0.1, 0.1});
    assert_near_relative(0.05e3 * sw_bar_compliance(&bar, 0.7, 0.7), 0.599, 0.03);
    bar = BAR(&ctx, STEEL, SW_BAR_BENDING, {0.4, 0.4, 0.4}, {0.3, 0.1, 0.1});
    assert_near_relative(0.05e3 * sw_bar_compliance(&bar, 0.7, 0.7), 0.4654, 1e-4);
    /* Three steps: 0.696 um. */
    bar = BAR(&ctx, STEEL, SW_BAR_ALL, {0.8, 0.6, 0.6}, {0.4, 0.3, 0.3}, {0.3, 0.1, 0.1});
    assert_near_relative(0.05e3 * sw_bar_compliance(&bar, 1.5, 1.5), 0.696, 0.03);
    sw_test_ctx_free(&ctx);
}

static void flanks_stand_between_a_cone_and_a_step(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    double before = 0;
    for (double length = 0.4; length > 1e-7; length /= 2) {
        const struct sw_bar bar = BAR(&ctx, STEEL, SW_BAR_ALL, {0.6 - length, 0.4, 0.4},
                                      {length, 0.4, 0.1}, {0.3, 0.1, 0.1});
        const struct sw_bar plain = BAR(&ctx, STEEL, SW_BAR_BENDING, {0.6 - length, 0.4, 0.4},
                                        {length, 0.4, 0.1}, {0.3, 0.1, 0.1});
        const double more = sw_bar_compliance(&bar, 0.9, 0.9) / sw_bar_compliance(&plain, 0.9, 0.9);
        assert_true(more > before);
        before = more;
    }
    const struct sw_bar step = BAR(&ctx, STEEL, SW_BAR_ALL, {0.6, 0.4, 0.4}, {0.3, 0.1, 0.1});
    const struct sw_bar bare = BAR(&ctx, STEEL, SW_BAR_BENDING, {0.6, 0.4, 0.4}, {0.3, 0.1, 0.1});
    assert_near_relative(
        before, sw_bar_compliance(&step, 0.9, 0.9) / sw_bar_compliance(&bare, 0.9, 0.9), 1e-4);
    /* A taper of a seat, 1 in 100, is a beam. */
    const struct sw_bar taper = BAR(&ctx, STEEL, SW_BAR_ALL, {1, 0.51, 0.5});
    const struct sw_bar beam = BAR(&ctx, STEEL, SW_BAR_SHEAR, {1, 0.51, 0.5});
    assert_near_relative(sw_bar_compliance(&taper, 1, 1), sw_bar_compliance(&beam, 1, 1), 1e-7);
    sw_test_ctx_free(&ctx);
}

static void a_thin_collar_does_not_stiffen_a_stem(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_bar stem = BAR(&ctx, STEEL, SW_BAR_ALL, {2, 0.3, 0.3});
    const struct sw_bar collar =
        BAR(&ctx, STEEL, SW_BAR_ALL, {1, 0.3, 0.3}, {1e-4, 1.2, 1.2}, {0.9999, 0.3, 0.3});
    assert_near_relative(sw_bar_compliance(&collar, 2, 2), sw_bar_compliance(&stem, 2, 2), 1e-3);
    sw_test_ctx_free(&ctx);
}

static void the_root_adds_in_series(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_bar_piece piece = {0, 2, 0.5, 0.5};
    const struct sw_bar_root root = {.lateral = 1e-5, .rotation = 2e-5};
    struct sw_bar bar = {0}, rigid = {0};
    assert_int_equal(sw_bar_build(&bar, &piece, 1, &STEEL, &root, SW_BAR_ALL, &ctx), SW_OK);
    assert_int_equal(sw_bar_build(&rigid, &piece, 1, &STEEL, NULL, SW_BAR_ALL, &ctx), SW_OK);
    /* y = y_part + P/k + P a x/k_phi */
    assert_near_relative(sw_bar_compliance(&bar, 1.5, 2),
                         sw_bar_compliance(&rigid, 1.5, 2) + 1e-5 + 2e-5 * 1.5 * 2, 1e-14);
    assert_near_relative(sw_bar_couple_rotation(&bar, 2, 2),
                         sw_bar_couple_rotation(&rigid, 2, 2) + 2e-5, 1e-14);
    sw_test_ctx_free(&ctx);
}

static void the_feed_force_bends_the_end_towards_the_tool(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_bar bar = BAR(&ctx, STEEL, SW_BAR_BENDING, {2, 0.5, 0.5});
    struct sw_bar_forces forces = {.at = 2, .radius = 0.25, .cutting = 3, .thrust = 1};
    const struct sw_bar_shift thrust = sw_bar_shift_at(&bar, 2, &forces);
    assert_near_relative(thrust.down, 3 * thrust.away, 1e-14);
    /* The tool's post gives as well. */
    const struct sw_bar_shift gap = sw_bar_gap(&bar, &forces, 2e-5);
    assert_near_relative(gap.away, thrust.away + 2e-5, 1e-14);
    assert_near_relative(gap.down, thrust.down + 6e-5, 1e-14);
    /* A couple M at the end: M L^2/(2 E I). */
    forces = (struct sw_bar_forces){.at = 2, .radius = 0.25, .feed = 2};
    const double ei = 206000 * 3.14159265358979323846 * pow(0.5, 4) / 64;
    assert_near_relative(sw_bar_shift_at(&bar, 2, &forces).away, -0.5 * 4 / (2 * ei), 1e-13);
    /* Read at half: M x^2/(2 E I). */
    assert_near_relative(sw_bar_shift_at(&bar, 1, &forces).away, -0.5 * 1 / (2 * ei), 1e-13);
    sw_test_ctx_free(&ctx);
}

static void large_deflections_are_told_apart(void **state)
{
    (void)state;
    /* Elastica, P L^2/E I = 1: w/L = 0.30172 where the linear theory says 1/3 (Mattiasson 1981,
     * recalled): too much by a tenth. */
    assert_near(1.0 / 3 / 0.30172, 1.105, 1e-3);
    assert_false(sw_bar_is_slight(1.0 / 3, 1));
    assert_true(sw_bar_is_slight(0.066, 1)); /* 0.4 % off */
}

static void a_bar_is_built_again_in_its_own_memory(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_bar bar = BAR(&ctx, STEEL, SW_BAR_ALL, {1, 0.8, 0.8}, {0.5, 0.3, 0.3});
    const struct sw_bar_piece *const at = bar.at;
    const struct sw_bar_piece piece = {0, 2, 0.5, 0.5};
    assert_int_equal(sw_bar_build(&bar, &piece, 1, &STEEL, NULL, SW_BAR_ALL, &ctx), SW_OK);
    assert_ptr_equal(bar.at, at);
    const struct sw_bar fresh = BAR(&ctx, STEEL, SW_BAR_ALL, {2, 0.5, 0.5});
    assert_near(sw_bar_compliance(&bar, 2, 2), sw_bar_compliance(&fresh, 2, 2), 0);
    sw_test_ctx_free(&ctx);
}

static void pieces_that_are_none_are_refused(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_bar_piece gap[] = {{0, 1, 1, 1}, {1.1, 2, 1, 1}}, late = {0.5, 1, 1, 1};
    const struct sw_bar_piece flat = {0, 0, 1, 1}, thin = {0, 1, 1, 0}, odd = {0, NAN, 1, 1};
    const struct sw_bar_piece good = {0, 1, 1, 1};
    const struct sw_bar_material soft = {0, 0.3}, rubber = {1, 0.6};
    struct sw_bar bar = {0};
    assert_int_equal(sw_bar_build(&bar, gap, 2, &STEEL, NULL, SW_BAR_ALL, &ctx), SW_INTERNAL);
    assert_int_equal(sw_bar_build(&bar, &late, 1, &STEEL, NULL, SW_BAR_ALL, &ctx), SW_INTERNAL);
    assert_int_equal(sw_bar_build(&bar, &flat, 1, &STEEL, NULL, SW_BAR_ALL, &ctx), SW_INTERNAL);
    assert_int_equal(sw_bar_build(&bar, &thin, 1, &STEEL, NULL, SW_BAR_ALL, &ctx), SW_INTERNAL);
    assert_int_equal(sw_bar_build(&bar, &odd, 1, &STEEL, NULL, SW_BAR_ALL, &ctx), SW_INTERNAL);
    assert_int_equal(sw_bar_build(&bar, &good, 0, &STEEL, NULL, SW_BAR_ALL, &ctx), SW_INTERNAL);
    assert_int_equal(sw_bar_build(&bar, &good, 1, &soft, NULL, SW_BAR_ALL, &ctx), SW_INTERNAL);
    assert_int_equal(sw_bar_build(&bar, &good, 1, &rubber, NULL, SW_BAR_ALL, &ctx), SW_INTERNAL);
    sw_test_ctx_free(&ctx);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_bar_of_two_halves_gives_way_as_in_the_textbook),
        cmocka_unit_test(a_uniform_load_adds_up_from_single_ones),
        cmocka_unit_test(half_a_simple_beam_is_a_bar_held_at_its_middle),
        cmocka_unit_test(a_tapered_plate_is_met_by_round_slices_of_its_stiffness),
        cmocka_unit_test(the_benchmark_cantilever_comes_out),
        cmocka_unit_test(a_cone_has_its_closed_form),
        cmocka_unit_test(a_cone_is_the_limit_of_its_steps),
        cmocka_unit_test(a_uniform_pivot_has_the_book_values),
        cmocka_unit_test(a_stepped_bar_agrees_with_three_independent_integrations),
        cmocka_unit_test(load_and_reading_may_change_places),
        cmocka_unit_test(any_place_of_a_mixed_bar_agrees_with_a_plain_sum),
        cmocka_unit_test(a_cut_through_a_piece_changes_nothing),
        cmocka_unit_test(a_thicker_bar_never_gives_way_more),
        cmocka_unit_test(a_shoulder_follows_the_finite_elements),
        cmocka_unit_test(a_square_step_turns_by_its_factor),
        cmocka_unit_test(pivots_on_a_shoulder_agree_with_finite_elements),
        cmocka_unit_test(flanks_stand_between_a_cone_and_a_step),
        cmocka_unit_test(a_thin_collar_does_not_stiffen_a_stem),
        cmocka_unit_test(the_root_adds_in_series),
        cmocka_unit_test(the_feed_force_bends_the_end_towards_the_tool),
        cmocka_unit_test(large_deflections_are_told_apart),
        cmocka_unit_test(a_bar_is_built_again_in_its_own_memory),
        cmocka_unit_test(pieces_that_are_none_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
