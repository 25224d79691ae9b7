/* Times of moves against the worked examples of Biagiotti and Melchiorri (recalled) and closed
 * forms. */
#include <math.h>

#include "mech/feedtime.h"

#include "support/near.h"

static const double pi = 3.14159265358979323846;

static struct sw_speed_profile profile_of(double length, double v, double a, double j, double v0,
                                          double v1)
{
    struct sw_speed_profile profile = {0};
    const struct sw_axis_limits limits = {v, a, j};
    assert_true(sw_feed_profile(&profile, length, &limits, v0, v1));
    return profile;
}

static void trapezoids_are_those_of_the_book(void **state)
{
    (void)state;
    /* Example (3.44): h 30, v 10, a 10, from 5 to 2. */
    struct sw_speed_profile p = profile_of(30, 10, 10, (double)INFINITY, 5, 2);
    assert_near_relative(p.gain, 0.5, 1e-6);
    assert_near_relative(p.lose, 0.8, 1e-6);
    assert_near_relative(p.total, 3.445, 1e-6);
    p = profile_of(30, 20, 10, (double)INFINITY, 5, 2);
    assert_near_relative(p.peak, 17.734, 1e-4);
    assert_near_relative(p.gain, 1.2734, 1e-4);
    assert_near_relative(p.lose, 1.5734, 1e-4);
    assert_near_relative(p.total, 2.8468, 1e-4);
    /* A forum's data (published), value derived: 10 m at 0.3 m/s2 and 0.5 m/s: 21.6667 s. */
    const struct sw_axis_limits slow = {500, 300, (double)INFINITY};
    assert_near_relative(sw_feed_time(10000, &slow), 21.6667, 1e-5);
    assert_near_relative(sw_feed_time(100, &slow), 2 * sqrt(100.0 / 300), 1e-12);
}

static void double_s_profiles_are_those_of_the_book(void **state)
{
    (void)state;
    /* Section 3.4: h 10, v 5, a 10, j 30, from 1 to rest; then v 10, which is not reached. */
    struct sw_speed_profile p = profile_of(10, 5, 10, 30, 1, 0);
    assert_near_relative(p.gain, 0.7333, 1e-4);
    assert_near_relative(p.cruise, 1.1433, 1e-4);
    assert_near_relative(p.lose, 0.8333, 1e-4);
    assert_near_relative(p.total, 2.71, 1e-4);
    p = profile_of(10, 10, 10, 30, 1, 0);
    assert_near_relative(p.gain, 1.0747, 1e-4);
    assert_near_relative(p.lose, 1.1747, 1e-4);
    assert_near_relative(p.total, 2.2494, 1e-4);
    assert_near(p.cruise, 0, 1e-9);
    /* From rest to rest (derived from the closed cases). */
    const struct sw_axis_limits axis = {50, 500, 20000};
    assert_near_relative(sw_feed_time(20, &axis), 0.525, 1e-5);
    assert_near_relative(sw_feed_time(2, &axis), 0.153938, 1e-5);
    assert_near_relative(sw_feed_time(0.3, &axis), 0.0782974, 1e-5);
    assert_near(sw_feed_time(0, &axis), 0, 1e-9);
}

static void jerk_never_makes_a_move_faster(void **state)
{
    (void)state;
    for (double h = 0.01; h < 100; h *= 2.3)
        for (double j = 100; j < 1e9; j *= 7) {
            const struct sw_axis_limits soft = {40, 800, j}, hard = {40, 800, (double)INFINITY};
            assert_true(sw_feed_time(h, &soft) >= sw_feed_time(h, &hard) * (1 - 1e-12));
        }
    const struct sw_axis_limits stiff = {40, 800, 1e12}, hard = {40, 800, (double)INFINITY};
    assert_near_relative(sw_feed_time(3, &stiff), sw_feed_time(3, &hard), 1e-6);
}

static void a_move_reversed_takes_the_same_time(void **state)
{
    (void)state;
    const double jerks[] = {2000, (double)INFINITY};
    for (size_t i = 0; i < 2; i++)
        for (double h = 2; h < 40; h *= 1.7)
            assert_near_relative(profile_of(h, 12, 60, jerks[i], 3, 8).total,
                                 profile_of(h, 12, 60, jerks[i], 8, 3).total, 1e-11);
}

static void too_short_a_way_is_told(void **state)
{
    (void)state;
    struct sw_speed_profile p = {0};
    const struct sw_axis_limits axis = {10, 10, (double)INFINITY}, soft = {10, 10, 20};
    assert_false(sw_feed_profile(&p, 4.9, &axis, 10, 0)); /* needs v^2/2a = 5 */
    assert_true(sw_feed_profile(&p, 5, &axis, 10, 0));
    assert_false(sw_feed_profile(&p, 5, &soft, 10, 0));
    assert_false(sw_feed_profile(&p, 50, &axis, 11, 0));
    assert_near_relative(sw_feed_reachable(0, 5, 10, (double)INFINITY), 10, 1e-14);
    const double reached = sw_feed_reachable(2, 5, 10, 20);
    assert_true(reached < sw_feed_reachable(2, 5, 10, (double)INFINITY));
    const struct sw_axis_limits fast = {100, 10, 20};
    assert_true(sw_feed_profile(&p, 5, &fast, 2, reached));
    assert_false(sw_feed_profile(&p, 5, &fast, 2, reached * 1.001));
}

static void corners_are_taken_as_worked_out(void **state)
{
    (void)state;
    /* Right angle, 2 um, 500 mm/s2 (derived): rho 0.0048284, v 1.5538. */
    assert_near_relative(sw_feed_corner_radius(pi / 2, 0.002), 0.0048284, 1e-4);
    assert_near_relative(sw_feed_corner_speed(pi / 2, 0.002, 500, 1), 1.5538, 1e-4);
    /* The arc of that radius, tangent to both legs, passes the corner at the deviation. */
    const double angle = 1.9, rho = sw_feed_corner_radius(angle, 0.003);
    assert_near_relative(rho / sin(angle / 2) - rho, 0.003, 1e-12);
    /* A short leg takes less. */
    assert_true(sw_feed_corner_speed(pi / 2, 0.002, 500, 0.004) < 1.5);
    assert_near(sw_feed_corner_speed(0, 0.002, 500, 1), 0, 0);
    assert_true(sw_feed_corner_speed(pi * (1 - 1e-9), 0.002, 500, 1) > 1e3);
    assert_near_relative(sw_feed_corner_jump_speed(pi / 2, 1), 1 / sqrt(2), 1e-14);
    assert_near_relative(sw_feed_arc_speed(2, 50), 10, 1e-15);
    /* sqrt(8 R e) for small e. */
    assert_near_relative(sw_feed_chord(0.4, 1e-5), sqrt(8 * 0.4 * 1e-5), 1e-4);
    assert_near_relative(sw_feed_path_accel(0.6, 0.8, 300, 100), 125, 1e-14);
    assert_near(sw_feed_path_accel(1, 0, 300, 100), 300, 0);
}

static double path_time(const struct sw_leg *legs, size_t n, double jerk, double v0, double v1)
{
    struct sw_ctx ctx = sw_test_ctx();
    double seconds = -1;
    assert_int_equal(sw_feed_path_time(&seconds, legs, n, 100, jerk, v0, v1, &ctx), SW_OK);
    sw_test_ctx_free(&ctx);
    return seconds;
}

static void a_straight_path_is_one_move(void **state)
{
    (void)state;
    struct sw_leg legs[40];
    for (size_t i = 0; i < 40; i++)
        legs[i] = (struct sw_leg){0.5, 30, (double)INFINITY};
    const struct sw_axis_limits axis = {30, 100, (double)INFINITY};
    assert_near_relative(path_time(legs, 40, (double)INFINITY, 0, 0), sw_feed_time(20, &axis),
                         1e-12);
    /* With a full stop at each joint: forty moves. */
    for (size_t i = 0; i < 40; i++)
        legs[i].end_speed = 0;
    assert_near_relative(path_time(legs, 40, (double)INFINITY, 0, 0), 40 * sw_feed_time(0.5, &axis),
                         1e-12);
}

static void looking_ahead_brakes_for_what_comes(void **state)
{
    (void)state;
    /* Three short legs before a stop: braking begins in the first. By hand: along 3 mm from 20 mm/s
     * to rest at 100 mm/s2 needs 2 mm. */
    const struct sw_leg legs[] = {
        {1, 20, (double)INFINITY}, {1, 20, (double)INFINITY}, {1, 20, (double)INFINITY}};
    assert_near_relative(path_time(legs, 3, (double)INFINITY, 20, 0), 1 / 20.0 + 0.2, 1e-12);
    /* A slow arc in the middle. */
    const struct sw_leg slow[] = {
        {3, 20, (double)INFINITY}, {1, 5, (double)INFINITY}, {3, 20, (double)INFINITY}};
    const double ramp = (400.0 - 25) / 200;
    assert_near_relative(path_time(slow, 3, (double)INFINITY, 20, 5),
                         (3 - ramp) / 20 + 0.15 + 0.2 + 2 * (sqrt((25 + 25 + 600) / 2.0) - 5) / 100,
                         1e-12);
}

static void a_path_reversed_takes_the_same_time(void **state)
{
    (void)state;
    const double jerks[] = {3000, (double)INFINITY};
    for (size_t k = 0; k < 2; k++) {
        struct sw_leg there[25], back[25];
        unsigned seed = 12345;
        double corner = (double)INFINITY;
        for (size_t i = 0; i < 25; i++) {
            seed = seed * 1103515245u + 12345u;
            const double length = 0.05 + (seed >> 16) % 100 / 50.0;
            const double speed = 2 + (seed >> 8) % 20;
            back[24 - i] = (struct sw_leg){length, speed, corner};
            corner = i % 3 == 0 ? 1.0 + (seed >> 20) % 5 : (double)INFINITY;
            there[i] = (struct sw_leg){length, speed, corner};
        }
        there[24].end_speed = back[24].end_speed = (double)INFINITY;
        const double forward = path_time(there, 25, jerks[k], 0, 1);
        assert_near_relative(path_time(back, 25, jerks[k], 1, 0), forward, 1e-9);
    }
}

static void what_a_path_cannot_do_is_refused(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_leg leg = {1, 20, (double)INFINITY};
    double seconds = 0;
    assert_int_equal(sw_feed_path_time(&seconds, &leg, 1, 100, (double)INFINITY, 20, 0, &ctx),
                     SW_CANNOT);
    assert_int_equal(sw_feed_path_time(&seconds, &leg, 1, 100, (double)INFINITY, 21, 20, &ctx),
                     SW_CANNOT);
    assert_int_equal(sw_feed_path_time(&seconds, &leg, 1, 100, (double)INFINITY, 0, 20, &ctx),
                     SW_CANNOT);
    assert_int_equal(sw_feed_path_time(&seconds, NULL, 0, 100, (double)INFINITY, 0, 0, &ctx),
                     SW_OK);
    assert_near(seconds, 0, 0);
    const struct sw_axis_limits x = {50, 500, 20000}, z = {80, 300, 20000};
    assert_near(sw_feed_rapid_time(20, &x, 1, &z), sw_feed_time(20, &x), 0);
    sw_test_ctx_free(&ctx);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(trapezoids_are_those_of_the_book),
        cmocka_unit_test(double_s_profiles_are_those_of_the_book),
        cmocka_unit_test(jerk_never_makes_a_move_faster),
        cmocka_unit_test(a_move_reversed_takes_the_same_time),
        cmocka_unit_test(too_short_a_way_is_told),
        cmocka_unit_test(corners_are_taken_as_worked_out),
        cmocka_unit_test(a_straight_path_is_one_move),
        cmocka_unit_test(looking_ahead_brakes_for_what_comes),
        cmocka_unit_test(a_path_reversed_takes_the_same_time),
        cmocka_unit_test(what_a_path_cannot_do_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
