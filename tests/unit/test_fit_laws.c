/* The formulas of fits, against the trade's figures and textbook examples. */
#include "support/near.h"

#include <math.h>

#include "fit/laws.h"

static const double degree = 3.14159265358979323846 / 180;

/* Figures worked out by hand from d / cos a + t tan a = D (derived). */
static void leans_are_those_of_the_table(void **state)
{
    (void)state;
    assert_near(sw_lean(0.110, 0.10, 0.10) / degree, 5.45, 0.005);
    assert_near(sw_lean(0.110, 0.10, 0.12) / degree, 4.61, 0.01);
    assert_near(sw_lean(0.1325, 0.12, 0.15) / degree, 4.62, 0.005);
    assert_near(sw_lean(0.1, 0.1, 0.1), 0, 0);
    assert_near(sw_lean(0.1, 0.11, 0.1), 0, 0);
}

static void a_leaning_pivot_touches_both_lips(void **state)
{
    (void)state;
    for (double d = 0.06; d < 0.16; d += 0.013)
        for (double t = 0.05; t < 0.25; t += 0.03) {
            const double a = sw_lean(d + 0.01, d, t);
            assert_near(d / cos(a) + t * tan(a), d + 0.01, 1e-12);
        }
}

/* Kleinlein 1920, sec. 25: 0.0075 to 0.0125, small watches at the lower end. */
static void side_shake_grows_with_the_hole_within_kleinleins_limits(void **state)
{
    (void)state;
    double last = 0;
    for (double hole = 0.05; hole < 0.25; hole += 0.005) {
        const double shake = sw_side_shake_wanted(hole);
        assert_true(shake >= last);
        assert_true(shake > SW_LEAST_SIDE_SHAKE && shake < SW_MOST_SIDE_SHAKE);
        last = shake;
    }
    /* Hall 1910, ch. IV: 1/2500 in, rule in general use for pocket watches of about 0.12. */
    assert_near(sw_side_shake_wanted(0.12), 25.4 / 2500, 0.0005);
}

/* Roller hole 0.400, seat 0.70 long, 1:100, by hand to three quarters (Hall 1910, ch. VII; sizes
 * worked out by hand). */
static void a_roller_stops_three_quarters_home(void **state)
{
    (void)state;
    assert_near(sw_taper_thick(0.4, 0.01, 0.7, 0.75), 0.40175, 1e-9);
    assert_near(sw_taper_stop(0.4, 0.40175, 0.01, 0.7), 0.75, 1e-9);
    assert_near(sw_taper_thick(0.4, 0.02, 0.7, 0.75) - 0.4, 0.0035, 1e-9);
    /* 0.01 on diameter moves the stop by 1.0 along a taper of 1:100, by 0.5 at 1:50. */
    assert_near((sw_taper_stop(0.41, 0.40175, 0.01, 0.7) - 0.75) * 0.7, 1.0, 1e-9);
    assert_near((sw_taper_stop(0.41, 0.4035, 0.02, 0.7) - 0.75) * 0.7, 0.5, 1e-9);
}

/* Timoshenko, Strength of Materials II: built-up cylinders, radii 4, 6, 8 in, 0.005 in on the
 * radius, E 30e6 psi: 4050 psi. */
static void timoshenkos_cylinders_press_with_4050_psi(void **state)
{
    (void)state;
    const struct sw_metal steel = {30e6, 0.3, 0};
    const struct sw_press press = sw_press_fit(0.010, 12, 16, 8, &steel, &steel, 1, 0.1);
    assert_near_relative(press.pressure, 4050, 0.001);
}

/* A published calculator's example: 50 in 80, 0.04, E 200 GPa, 40 long, friction 0.15. */
static void a_hub_of_80_on_a_shaft_of_50_presses_with_48_75_mpa(void **state)
{
    (void)state;
    const struct sw_metal steel = {200e3, 0.3, 0};
    const struct sw_press press = sw_press_fit(0.04, 50, 80, 0, &steel, &steel, 40, 0.15);
    assert_near_relative(press.pressure, 48.75, 1e-3);
    assert_near_relative(press.hoop, 111.3, 1e-3);
    assert_near_relative(press.force, 45950, 1e-3);
    assert_near_relative(press.torque / 1000, 1149, 1e-3);
    assert_near(sw_press_fit(-0.01, 50, 80, 0, &steel, &steel, 40, 0.15).force, 0, 0);
}

/* A steel staff of 1.2 in a brass ring of 2.4, 0.3 long (derived from Lame's formula). */
static void brass_on_a_staff_is_near_its_yield_at_four_micrometres(void **state)
{
    (void)state;
    const struct sw_metal brass = {110e3, 0.35, 300}, steel = {206e3, 0.3, 1500};
    const double interference[] = {0.002, 0.004, 0.006};
    const double pressure[] = {76.7, 153.4, 230.1}, hoop[] = {127.8, 255.6, 383.5};
    const double force[] = {10.4, 20.8, 31.2};
    for (size_t i = 0; i < 3; i++) {
        const struct sw_press press =
            sw_press_fit(interference[i], 1.2, 2.4, 0, &brass, &steel, 0.3, 0.12);
        assert_near(press.pressure, pressure[i], 0.06);
        assert_near(press.hoop, hoop[i], 0.11);
        assert_near(press.force, force[i], 0.06);
    }
}

/* Rings summed slice by slice (derived). */
static void volumes_are_those_of_their_slices(void **state)
{
    (void)state;
    enum { SLICES = 20000 };
    const double pi = 3.14159265358979323846, r = 0.58, lip = 0.05, depth = 0.09;
    const double wall[] = {0, 25 * degree, 40 * degree};
    for (size_t k = 0; k < 3; k++) {
        double sum = 0;
        for (int i = 0; i < SLICES; i++) {
            const double y = depth * (i + 0.5) / SLICES;
            const double inside = r - lip - y * tan(wall[k]);
            sum += pi * (r * r - inside * inside) * depth / SLICES;
        }
        assert_near_relative(sw_lip_volume(r, lip, depth, wall[k]), sum, 1e-7);
    }
    double sum = 0;
    const double width = 0.04;
    for (int i = 0; i < SLICES; i++) {
        const double outside = r + width * (i + 0.5) / SLICES;
        sum += pi * (outside * outside - r * r) * width / SLICES;
    }
    assert_near_relative(sw_bevel_volume(r, width, r, 0.3), sum, 1e-7);
    assert_near_relative(sw_bevel_volume(r, 0, r - 0.01, 0.3),
                         pi * 0.3 * (r * r - (r - 0.01) * (r - 0.01)), 1e-12);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(leans_are_those_of_the_table),
        cmocka_unit_test(a_leaning_pivot_touches_both_lips),
        cmocka_unit_test(side_shake_grows_with_the_hole_within_kleinleins_limits),
        cmocka_unit_test(a_roller_stops_three_quarters_home),
        cmocka_unit_test(timoshenkos_cylinders_press_with_4050_psi),
        cmocka_unit_test(a_hub_of_80_on_a_shaft_of_50_presses_with_48_75_mpa),
        cmocka_unit_test(brass_on_a_staff_is_near_its_yield_at_four_micrometres),
        cmocka_unit_test(volumes_are_those_of_their_slices),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
