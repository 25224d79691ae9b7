/* Stress along a bar, notch factors, bush. Sources as in test_mech_beam.c. */
#include "mech/bush.h"
#include "mech/notch.h"
#include "mech/stress.h"

#include "mech_bars.h"

static const double pi = 3.14159265358979323846;

static void a_pivot_is_stressed_at_its_root(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    /* 32 F L/(pi d^3): 152.789 MPa for 0.05 N on 0.1 x 0.3 (derived). */
    const struct sw_bar bar = BAR(&ctx, STEEL, SW_BAR_ALL, {1.0, 0.5, 0.5}, {0.3, 0.1, 0.1});
    struct sw_bar_forces forces = {.at = 1.3, .radius = 0.05, .thrust = 0.05};
    struct sw_stress worst = sw_stress_worst(&bar, &forces);
    assert_near(worst.z, 1.0, 1e-12);
    assert_near(worst.diameter, 0.1, 0);
    assert_near_relative(worst.equivalent, 152.789, 1e-5);
    const struct sw_stress at = sw_stress_at(&bar, 1.0, &forces);
    assert_near(at.equivalent, worst.equivalent, 1e-9);
    assert_near(sw_stress_at(&bar, 1.31, &forces).equivalent, 0, 0);
    /* Root stress a newton of pivots three diameters long (derived table). */
    const double table[][2] = {{0.08, 4775}, {0.09, 3773}, {0.10, 3056},
                               {0.12, 2122}, {0.15, 1358}, {0.20, 764}};
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++)
        assert_near(sw_stress_bending(3 * table[i][0], table[i][0]), table[i][1], 0.6);
    /* The main force bends in the other plane and twists: 12 to 1 at three diameters. */
    forces = (struct sw_bar_forces){.at = 1.3, .radius = 0.05, .cutting = 0.05};
    worst = sw_stress_worst(&bar, &forces);
    assert_near_relative(worst.bending / worst.torsion, 12, 1e-9);
    assert_near_relative(worst.equivalent, worst.bending * sqrt(1 + 3.0 / 144), 1e-12);
    sw_test_ctx_free(&ctx);
}

static void in_a_cone_the_worst_place_can_lie_inside(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    /* Bending alone on a cone d = d0 - k s with the load at its end: arm/d^3 is largest where
     * d = 3 k (a - s), at three halves of the end's diameter (derived). */
    const struct sw_bar bar = BAR(&ctx, STEEL, SW_BAR_BENDING, {1.0, 0.5, 0.1});
    const struct sw_bar_forces forces = {.at = 1.0, .thrust = 1};
    const struct sw_stress worst = sw_stress_worst(&bar, &forces);
    assert_near(worst.diameter, 0.15, 1e-4);
    assert_near(worst.z, 0.875, 1e-4);
    for (double z = 0; z <= 1; z += 0.01)
        assert_true(sw_stress_at(&bar, z, &forces).equivalent <= worst.equivalent * (1 + 1e-9));
    sw_test_ctx_free(&ctx);
}

/* One local diameter from the tool the theory ends: where a - z is d(z). */
static void stress_is_known_up_to_a_diameter_from_the_tool(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    /* pieces: length, diameters. A cylinder of 1: 4; the cone d = 1 - 0.2 z: 3.75; a step from 1 to
     * 0.2 at 2: in the thin part 2.3 for 2.5, in the thick 1.1 for 2.1. */
    const struct sw_bar even = BAR(&ctx, STEEL, SW_BAR_ALL, {5, 1, 1});
    assert_near(sw_stress_reach(&even, 5), 4, 1e-12);
    assert_near(sw_stress_reach(&even, 3), 2, 1e-12);
    assert_true(sw_stress_reach(&even, 0.9) < 0);
    const struct sw_bar cone = BAR(&ctx, STEEL, SW_BAR_ALL, {4, 1, 0.2});
    assert_near(sw_stress_reach(&cone, 4), 3.75, 1e-12);
    const struct sw_bar stepped = BAR(&ctx, STEEL, SW_BAR_ALL, {2, 1, 1}, {1, 0.2, 0.2});
    assert_near(sw_stress_reach(&stepped, 2.5), 2.3, 1e-12);
    assert_near(sw_stress_reach(&stepped, 2.1), 1.1, 1e-12);
    const struct sw_bar_forces forces = {.at = 2.5, .thrust = 1};
    assert_near(sw_stress_worst_to(&stepped, 2.3, &forces).z, 2, 1e-12);
    /* short of the step the root is the worst: 32 * 2.5/pi */
    const struct sw_stress root = sw_stress_worst_to(&stepped, 1.9, &forces);
    assert_near(root.z, 0, 1e-12);
    assert_near_relative(root.equivalent, 32 * 2.5 / pi, 1e-12);
    sw_test_ctx_free(&ctx);
}

/* Cones are searched only where a bound says they could be worse: none may be passed over. */
static void nowhere_in_many_cones_is_worse_than_the_worst(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_bar bar = BAR(&ctx, STEEL, SW_BAR_ALL, {0.6, 0.9, 0.5}, {0.5, 0.5, 0.3},
                                  {0.2, 0.3, 0.14}, {0.2, 0.16, 0.2}, {0.3, 0.18, 0.1});
    for (int i = 0; i < 4 * 4 * 4 * 3; i++) {
        const struct sw_bar_forces forces = {.at = 1.8 - 0.3 * (i / 64),
                                             .radius = 0.1 * (i % 4),
                                             .cutting = 0.2 * (i / 4 % 4),
                                             .thrust = 0.1,
                                             .feed = 0.4 * (i / 16 % 4)};
        const double worst = sw_stress_worst(&bar, &forces).equivalent;
        double most = 0;
        for (double z = 0; z < forces.at; z += 0.001)
            most = fmax(most, sw_stress_at(&bar, z, &forces).equivalent);
        assert_true(most > 0);
        assert_true(most <= worst * (1 + 1e-9));
        /* a step is between two samples */
        assert_true(worst <= most * 1.02);
        /* the question alone is answered as the stress itself would, down to its last bit */
        const double near[] = {0, 0.5, 1 - 1e-8, 1 - 1e-12, 1, 1 + 1e-12, 1 + 1e-8, 2};
        for (size_t k = 0; k < sizeof near / sizeof *near; k++) {
            const double limit = near[k] * worst;
            assert_int_equal(sw_stress_exceeds(&bar, forces.at, &forces, limit), worst > limit);
        }
        assert_true(sw_stress_exceeds(&bar, forces.at, &forces, -1));
        assert_false(sw_stress_exceeds(&bar, forces.at, &forces, HUGE_VAL));
        assert_false(sw_stress_exceeds(&bar, forces.at, &forces, nextafter(worst, HUGE_VAL)));
        assert_true(sw_stress_exceeds(&bar, forces.at, &forces, nextafter(worst, 0)));
    }
    sw_test_ctx_free(&ctx);
}

static void stress_grows_with_the_forces(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_bar bar = BAR(&ctx, STEEL, SW_BAR_ALL, {1.0, 0.5, 0.4}, {0.3, 0.1, 0.1});
    struct sw_bar_forces forces = {1.2, 0.05, 0.3, 0.2, 0.1};
    const double once = sw_stress_worst(&bar, &forces).equivalent;
    forces = (struct sw_bar_forces){1.2, 0.05, 0.6, 0.4, 0.2};
    assert_near_relative(sw_stress_worst(&bar, &forces).equivalent, 2 * once, 1e-12);
    /* Twist T L/(G J) of each part. */
    const struct sw_bar rod = BAR(&ctx, STEEL, SW_BAR_ALL, {2.0, 0.5, 0.5});
    const struct sw_bar_forces turn = {.at = 2, .radius = 0.25, .cutting = 4};
    const double gj = 206000 / 2.6 * pi * pow(0.5, 4) / 32;
    assert_near_relative(sw_stress_twist(&rod, &turn), 1.0 * 2 / gj, 1e-13);
    assert_near_relative(sw_stress_axial(3, 0.5), 12 / (pi * 0.25), 1e-15);
    sw_test_ctx_free(&ctx);
}

static void fillets_raise_stress_as_the_charts_say(void **state)
{
    (void)state;
    /* Shigley, example 6-6 (published problem): D 38, d 32, r 3; chart 1.65; fits published. */
    bool is_published = false;
    const double roark =
        sw_notch_factor(SW_NOTCH_BENDING, SW_NOTCH_ROARK, 38, 32, 3, &is_published);
    assert_near_relative(roark, 1.6553, 1e-4);
    assert_true(is_published);
    const double peterson = sw_notch_factor(SW_NOTCH_BENDING, SW_NOTCH_PETERSON, 38, 32, 3, NULL);
    assert_near_relative(peterson, 1.6819, 1e-4);
    assert_near_relative(roark, 1.65, 0.03);
    assert_near_relative(peterson, 1.65, 0.03);
    /* Neuber for 690 MPa: sqrt(a) 0.3131 mm^0.5, Kf 1.55 (recalled answer). */
    const double neuber = sw_notch_neuber(690);
    assert_near(neuber, 0.3131, 1e-3);
    assert_near(sw_notch_fatigue(1.65, neuber, 3), 1.55, 0.01);
}

static void torsion_of_a_stepped_shaft_as_in_the_textbook(void **state)
{
    (void)state;
    /* Gere and Goodno, 3.11-3 (published): D2 1.0 in, D1 0.7, 0.8, 0.9, R = (D2 - D1)/2. */
    const double d[] = {0.7, 0.8, 0.9}, chart[] = {1.20, 1.29, 1.41};
    const double roark[] = {1.2000, 1.2945, 1.4196}, peterson[] = {1.2201, 1.3180, 1.4474};
    const double shear[] = {8900, 6400, 4900}; /* psi for 500 lb in */
    for (size_t i = 0; i < 3; i++) {
        const double r = (1 - d[i]) / 2;
        const double k = sw_notch_factor(SW_NOTCH_TORSION, SW_NOTCH_ROARK, 1, d[i], r, NULL);
        assert_near_relative(k, roark[i], 1e-3);
        assert_near_relative(k, chart[i], 0.01);
        assert_near_relative(sw_notch_factor(SW_NOTCH_TORSION, SW_NOTCH_PETERSON, 1, d[i], r, NULL),
                             peterson[i], 1e-3);
        assert_near_relative(k * sw_stress_torsion(500, d[i]), shear[i], 0.015);
    }
}

static void a_notch_vanishes_with_its_step(void **state)
{
    (void)state;
    const enum sw_notch_load loads[] = {SW_NOTCH_BENDING, SW_NOTCH_TORSION, SW_NOTCH_TENSION};
    const enum sw_notch_fit fits[] = {SW_NOTCH_PETERSON, SW_NOTCH_ROARK};
    for (size_t i = 0; i < 3; i++)
        for (size_t k = 0; k < 2; k++) {
            bool is_published = true;
            assert_near(sw_notch_factor(loads[i], fits[k], 1, 1, 0.1, NULL), 1, 0);
            assert_near(sw_notch_factor(loads[i], fits[k], 1.0002, 1, 0.1, NULL), 1, 0.05);
            const double sharp = sw_notch_factor(loads[i], fits[k], 2, 1, 0, &is_published);
            assert_false(is_published);
            assert_true(sharp > 1.3 && sharp < 6);
        }
    /* The two halves of a fit meet where they change, within a fit's own error. */
    for (double d = 0.3; d < 1; d += 0.1) {
        const double r = (1 - d) / 2 / 2;
        const double below =
            sw_notch_factor(SW_NOTCH_BENDING, SW_NOTCH_PETERSON, 1, d, r * 1.001, NULL);
        const double above =
            sw_notch_factor(SW_NOTCH_BENDING, SW_NOTCH_PETERSON, 1, d, r / 1.001, NULL);
        assert_near_relative(below, above, 0.03);
    }
}

static void a_bush_holds_as_the_formulas_say(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    /* E I = 1, L = 6, c = 2 (derived; pinned case Gere, overhang, recalled). */
    const struct sw_bar_material unit = {1, 0.3};
    const double d = diameter_for(1);
    const struct sw_bar bar = BAR(&ctx, unit, SW_BAR_BENDING, {8, d, d});
    struct sw_bush bush = {.at = 6};
    assert_near_relative(sw_bush_deflection(&bar, &bush, 8, 8, 1), 8.66667, 1e-6);
    bush.is_root_pinned = true;
    assert_near_relative(sw_bush_deflection(&bar, &bush, 8, 8, 1), 10.66667, 1e-6);
    assert_near(sw_bush_deflection(&bar, &bush, 6, 8, 1), 0, 1e-12);
    assert_near_relative(sw_bush_reaction(&bar, &bush, 8, 1), 8.0 / 6, 1e-15);
    /* Without it P (L + c)^3/3EI. */
    assert_near_relative(sw_bar_compliance(&bar, 8, 8), 170.6667, 1e-6);
    sw_test_ctx_free(&ctx);
}

static void a_bush_with_play_holds_only_when_touched(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_bar bar = BAR(&ctx, STEEL, SW_BAR_ALL, {8, 0.8, 0.8});
    const struct sw_bush tight = {.at = 6}, loose = {.at = 6, .play = 0.003};
    const double light = 0.5 * 0.003 / sw_bar_compliance(&bar, 6, 8), heavy = 10 * light;
    assert_near(sw_bush_reaction(&bar, &loose, 8, light), 0, 0);
    assert_near_relative(sw_bush_deflection(&bar, &loose, 8, 8, light),
                         light * sw_bar_compliance(&bar, 8, 8), 1e-15);
    assert_near_relative(sw_bush_deflection(&bar, &loose, 6, 8, heavy), 0.003, 1e-9);
    assert_true(sw_bush_deflection(&bar, &loose, 8, 8, heavy) >
                sw_bush_deflection(&bar, &tight, 8, 8, heavy));
    assert_near_relative(sw_bush_play(&loose, 8), 0.004, 1e-12);
    /* Pinned: the whole bar turns through the play first. */
    const struct sw_bush pinned = {.at = 6, .play = 0.003, .is_root_pinned = true};
    assert_near_relative(sw_bush_deflection(&bar, &pinned, 8, 8, 1e-9), 0.004, 1e-4);
    assert_near_relative(sw_bush_deflection(&bar, &pinned, 6, 8, heavy), 0.003, 1e-9);
    sw_test_ctx_free(&ctx);
}

/* A pivot of 0.10 by 0.30 wants less than about 0.3 N at its tip: at half the yield of blued steel
 * (1500 MPa, the shop's safety of 2) it bears 0.245, and bends by more than two micrometres.
 * Computed, with no published source; as plausibility. */
static void a_pivot_of_a_tenth_bears_less_than_three_tenths_of_a_newton(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_bar bar = BAR(&ctx, STEEL, SW_BAR_ALL, {0.3, 0.1, 0.1});
    double bears = 0;
    for (double force = 0.005; force < 1; force += 0.005) {
        const struct sw_bar_forces forces = {.at = 0.3, .radius = 0.05, .thrust = force};
        if (sw_stress_worst(&bar, &forces).equivalent <= 1500 / 2.0)
            bears = force;
    }
    assert_true(bears > 0.2 && bears < 0.3);
    assert_true(bears * sw_bar_compliance(&bar, 0.3, 0.3) > 0.002);
    sw_test_ctx_free(&ctx);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_pivot_is_stressed_at_its_root),
        cmocka_unit_test(a_pivot_of_a_tenth_bears_less_than_three_tenths_of_a_newton),
        cmocka_unit_test(in_a_cone_the_worst_place_can_lie_inside),
        cmocka_unit_test(stress_is_known_up_to_a_diameter_from_the_tool),
        cmocka_unit_test(nowhere_in_many_cones_is_worse_than_the_worst),
        cmocka_unit_test(stress_grows_with_the_forces),
        cmocka_unit_test(fillets_raise_stress_as_the_charts_say),
        cmocka_unit_test(torsion_of_a_stepped_shaft_as_in_the_textbook),
        cmocka_unit_test(a_notch_vanishes_with_its_step),
        cmocka_unit_test(a_bush_holds_as_the_formulas_say),
        cmocka_unit_test(a_bush_with_play_holds_only_when_touched),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
