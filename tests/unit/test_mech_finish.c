/* Roughness, speeds, tool life and errors of position. Marks as in test_mech_chip.c. */
#include <math.h>

#include "mech/geometry_error.h"
#include "mech/life.h"
#include "mech/rough.h"
#include "mech/speed.h"

#include "support/near.h"

static const double degree = 3.14159265358979323846 / 180;

static void the_feed_leaves_the_known_ridges(void **state)
{
    (void)state;
    /* Groover, example 24.1 (recalled): f 0.25, r 1.2: 1.6276 um with f^2/32r, 2.0 um with the
     * actual ratio 1.25. Here the integral 1/31.18, 2.6 % more. */
    assert_near_relative(sw_rough_peak_parabola(0.25, 1.2) / 4 * 1e3, 1.6276, 1e-4);
    assert_near_relative(1.25 * sw_rough_mean(0.25, 1.2) * 1e3, 2.0, 0.05);
    assert_near_relative(1.25 * sw_rough_peak_parabola(0.25, 1.2) / 4 * 1e3, 2.0, 0.03);
    /* 125 f^2/r (Sandvik, Kyocera, published): 6.25 um for f 0.2, r 0.8. */
    assert_near_relative(sw_rough_peak_parabola(0.2, 0.8) * 1e3, 6.25, 1e-14);
    /* A calculator page (published): Ra 1.603 for it; exact 1.60375. */
    assert_near_relative(sw_rough_mean(0.2, 0.8) * 1e3, 1.603, 1e-3);
    assert_near_relative(sw_rough_mean(0.2, 0.8) * 1e3, 1.60375, 1e-5);
    /* f, r, parabola, exact, Ra, Rq in um (derived). */
    const double rows[][6] = {{0.25, 1.2, 6.5104, 6.5282, 1.6706, 1.9410},
                              {0.2, 0.8, 6.2500, 6.2746, 1.6038, 1.8634},
                              {0.01, 0.1, 0.12500, 0.12508, 0.03208, 0.03727},
                              {0.005, 0.05, 0.06250, 0.06254, 0.01604, 0.01863}};
    for (size_t i = 0; i < 4; i++) {
        const double *row = rows[i];
        assert_near_relative(sw_rough_peak_parabola(row[0], row[1]) * 1e3, row[2], 2e-4);
        assert_near_relative(sw_rough_peak(row[0], row[1]) * 1e3, row[3], 2e-4);
        assert_near_relative(sw_rough_mean(row[0], row[1]) * 1e3, row[4], 3e-4);
        assert_near_relative(sw_rough_rms(row[0], row[1]) * 1e3, row[5], 3e-4);
    }
    assert_true(isinf(sw_rough_peak(0.21, 0.1)));
    /* Straight edges at 45 degrees each: half the feed. */
    assert_near_relative(sw_rough_peak_sharp(0.1, 45 * degree, 45 * degree), 0.05, 1e-14);
}

static void mean_and_rms_follow_from_the_arc(void **state)
{
    (void)state;
    /* Sums over the ridge itself. */
    enum { SLICES = 100000 };
    const double f = 0.02, r = 0.5;
    double mean = 0, absolute = 0, square = 0;
    for (int pass = 0; pass < 2; pass++)
        for (int i = 0; i < SLICES; i++) {
            const double z = f * ((i + 0.5) / SLICES - 0.5);
            const double height = r - sqrt(r * r - z * z);
            if (pass == 0) {
                mean += height / SLICES;
            } else {
                absolute += fabs(height - mean) / SLICES;
                square += (height - mean) * (height - mean) / SLICES;
            }
        }
    assert_near_relative(sw_rough_mean(f, r), absolute, 1e-3);
    assert_near_relative(sw_rough_rms(f, r), sqrt(square), 1e-3);
}

static void a_slower_feed_can_be_rougher(void **state)
{
    (void)state;
    /* Brammertz (recalled): r 0.1, h 0.5 um: best feed 0.010, where the height is h. */
    assert_near_relative(sw_rough_best_feed(0.1, 0.0005), 0.010, 1e-9);
    assert_near_relative(sw_rough_brammertz(0.010, 0.1, 0.0005) * 1e3, 0.5, 1e-9);
    assert_near_relative(sw_rough_brammertz(0.005, 0.1, 0.0005) * 1e3, 0.78125, 1e-9);
    assert_near_relative(sw_rough_brammertz(0.02, 0.1, 0.0005) * 1e3, 0.78125, 1e-9);
    assert_near_relative(sw_rough_brammertz(0.003, 0.1, 0.0005) * 1e3, 1.6501, 1e-4);
    double feed = 0;
    assert_true(sw_rough_feed_for(&feed, 0.78125e-3, 0.1, 0.0005));
    assert_near_relative(feed, 0.02, 1e-9);
    assert_true(sw_rough_feed_for(&feed, 0.0005, 0.1, 0.0005));
    assert_near_relative(feed, 0.01, 1e-9);
    assert_false(sw_rough_feed_for(&feed, 0.00049, 0.1, 0.0005));
    for (double f = 0.001; f < 0.05; f += 0.001)
        assert_true(sw_rough_brammertz(f, 0.1, 0.0005) >= 0.0005 * (1 - 1e-12));
}

static void speeds_are_those_of_the_table(void **state)
{
    (void)state;
    assert_near_relative(sw_speed_turns(20, 0.1), 63661.98, 1e-6);
    assert_near_relative(sw_speed_surface(10000, 0.1), 3.141593, 1e-6);
    assert_near_relative(sw_speed_turns(60, 2.0), 9549, 1e-4);
    assert_near_relative(sw_speed_surface(5000, 1.2), 18.85, 1e-3);
    assert_near(sw_speed_clamped(20, 0.1, 100, 8000), 8000, 0);
    assert_near(sw_speed_clamped(0.1, 10, 100, 8000), 100, 0);
    assert_true(isinf(sw_speed_turns(20, 0)));
}

static void facing_takes_the_known_time(void **state)
{
    (void)state;
    /* D 3 to 0.5, 20 m/min, f 0.01 (derived; unclamped form in a handbook page, published). */
    assert_near_relative(sw_speed_facing_time(3, 0.5, 0.01, 20, 10000), 2.06607, 1e-5);
    assert_near_relative(sw_speed_facing_time(0.5, 3, 0.01, 20, 10000), 2.06607, 1e-5);
    assert_near_relative(sw_speed_facing_time(3, 0.5, 0.01, 20, (double)INFINITY), 2.06167, 1e-5);
    assert_near_relative(sw_speed_clamp_diameter(20, 10000), 0.63662, 1e-5);
    /* All clamped: half the difference of diameters at constant speed. */
    assert_near_relative(sw_speed_facing_time(0.6, 0.1, 0.01, 20, 10000),
                         sw_speed_time(0.25, 0.01, 10000), 1e-14);
    /* The ramp is the slope of n(t): n after a short while. */
    const double n = sw_speed_turns(20, 1), dt = 1e-6;
    const double later = sw_speed_turns(20, 1 - 2 * 0.01 * n / 60 * dt);
    assert_near_relative(sw_speed_facing_ramp(1, 0.01, 20), (later - n) / dt, 1e-4);
}

static void tools_live_as_taylor_says(void **state)
{
    (void)state;
    /* Groover, example 23.1 (recalled): (160, 5), (100, 41): n 0.223, C 229. */
    const struct sw_taylor taylor = sw_taylor_from(160, 5, 100, 41);
    assert_near_relative(taylor.exponent, 0.223, 0.005);
    assert_near_relative(taylor.constant, 229, 0.005);
    assert_near_relative(sw_taylor_minutes(&taylor, 100), 41, 1e-12);
    assert_near_relative(sw_taylor_length(&taylor, 100), 4100, 1e-12);
    /* Half the speed (published): 16 times the life at 0.25, 4 times at 0.5. */
    assert_near_relative(sw_taylor_gain(0.25, 0.5), 16, 1e-14);
    assert_near_relative(sw_taylor_gain(0.5, 0.5), 4, 1e-14);
    /* Spiral length, Sandvik's form (published): 50/30 over 20 at 0.2: 12.5664 m. */
    assert_near_relative(sw_cut_length(50, 30, 20, 0.2), 12.5664, 1e-5);
}

static void a_tool_off_centre_cuts_large(void **state)
{
    (void)state;
    /* R 0.05: e 0.01 gives 1.9804 um on diameter, 0.005 0.50 (derived, Pythagoras). */
    assert_near_relative(2e3 * sw_error_of_height(0.05, 0.01), 1.9804, 1e-4);
    assert_near_relative(2e3 * sw_error_of_height(0.05, -0.005), 0.50, 0.01);
    const double height = sw_height_for_error(0.05, 0.0005);
    assert_near_relative(sw_error_of_height(0.05, height), 0.0005, 1e-12);
    assert_near(sw_nib_of_height(-0.01), 0.02, 0);
    assert_near(sw_error_of_height(0, 0.02), 0.02, 1e-18);
}

static void backlash_counts_when_the_way_changes(void **state)
{
    (void)state;
    assert_near(sw_error_of_backlash(0.004, 1, 1), 0, 0);
    assert_near(sw_error_of_backlash(0.004, -1, -1), 0, 0);
    /* Zeroed coming in, then moved out: the slide has not gone all the way. */
    assert_near(sw_error_of_backlash(0.004, 1, -1), -0.004, 0);
    assert_near(sw_error_of_backlash(0.004, -1, 1), 0.004, 0);
    /* Along a way (by hand): out by less than the play the slide stands still, out by more it stays
     * short by all of it, and any way in takes off that first. */
    assert_near(sw_slide_lag(0, 0.003, 0.004), 0.003, 0);
    assert_near(sw_slide_lag(0.003, 0.010, 0.004), 0.004, 0);
    assert_near(sw_slide_lag(0.004, -0.001, 0.004), 0.003, 0);
    assert_near(sw_slide_lag(0.003, -0.5, 0.004), 0, 0);
}

static void nose_changes_shift_as_in_the_makers_table(void **state)
{
    (void)state;
    /* Kyocera, p. R32 (published): corner, edge angle, shifts for each mm of radius. */
    const double rows[][4] = {{80, 95, 0.100, 0.100},    {60, 91, 0.714, 0.030},
                              {55, 93, 0.866, 0.099},    {35, 95, 2.072, 0.273},
                              {35, 117.5, 1.351, 1.351}, {90, 75, 0.225, -0.293}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const struct sw_nose_shift shift =
            sw_error_of_nose(1, 0, rows[i][0] * degree, rows[i][1] * degree);
        assert_near(shift.x, rows[i][2], 5e-4);
        assert_near(shift.z, rows[i][3], 5e-4);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_feed_leaves_the_known_ridges),
        cmocka_unit_test(mean_and_rms_follow_from_the_arc),
        cmocka_unit_test(a_slower_feed_can_be_rougher),
        cmocka_unit_test(speeds_are_those_of_the_table),
        cmocka_unit_test(facing_takes_the_known_time),
        cmocka_unit_test(tools_live_as_taylor_says),
        cmocka_unit_test(a_tool_off_centre_cuts_large),
        cmocka_unit_test(backlash_counts_when_the_way_changes),
        cmocka_unit_test(nose_changes_shift_as_in_the_makers_table),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
