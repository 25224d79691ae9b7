/* Offset, centre height, drift and control limits from measured sizes. */
#include "support/near.h"

#include <math.h>

#include "gauge/reckon.h"

/* NIST/SEMATECH e-Handbook of Statistical Methods 6.3.2.2 (from memory), flow rate of ten batches:
 * centre 50.81, mean moving range 1.8778, limits 55.8041 and 45.8159. */
static void limits_are_those_of_the_published_chart(void **state)
{
    (void)state;
    static const double flow[] = {49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1};
    struct sw_gauge_chart chart;
    assert_true(sw_gauge_chart(&chart, flow, 10));
    assert_near(chart.centre, 50.81, 1e-9);
    assert_near(chart.range, 1.8778, 1e-4);
    assert_near(chart.upper, 55.8041, 2e-4);
    assert_near(chart.lower, 45.8159, 2e-4);
    assert_int_equal(chart.n_out, 0);
    assert_false(sw_gauge_chart(&chart, flow, 1));
}

/* By hand: weights 1e6 and 0.25e6 give a mean of 2.4 um of diameter. */
static void a_better_reading_counts_for_more(void **state)
{
    (void)state;
    const struct sw_gauge_point point[] = {{1.0, 0.002, 0.001, 1}, {0.5, 0.004, 0.002, 1}};
    struct sw_gauge_value offset;
    assert_true(sw_gauge_offset(&offset, point, 2));
    assert_near(offset.value, 0.0012, 1e-12);
    assert_near(offset.u, sqrt(1 / 1.25e6) / 2, 1e-12);
    assert_false(sw_gauge_offset(&offset, point, 0));
}

static void readings_that_disagree_make_the_offset_less_sure(void **state)
{
    (void)state;
    const struct sw_gauge_point point[] = {{1, -0.003, 0.001, 1}, {1, 0.003, 0.001, 1}};
    struct sw_gauge_value offset;
    assert_true(sw_gauge_offset(&offset, point, 2));
    assert_near(offset.value, 0, 1e-15);
    /* chi-square 18 over 1: sqrt(18) times 0.001 / sqrt 2 / 2 */
    assert_near(offset.u, sqrt(18) * 0.001 / sqrt(2) / 2, 1e-12);
}

/* The four diameters of the trade's centre height table: d 0.10 and h 0.02 give +7.70 um. */
static void a_tool_off_centre_is_told_from_an_offset(void **state)
{
    (void)state;
    static const double d[] = {0.10, 0.5, 0.82, 1.16};
    const double h = 0.02, a = 0.0015;
    struct sw_gauge_point point[4];
    assert_near(sqrt(0.1 * 0.1 + 4 * h * h) - 0.1, 0.0077, 1e-5);
    for (int i = 0; i < 4; i++) {
        const double is = sqrt(pow(d[i] + 2 * a, 2) + 4 * h * h);
        point[i] = (struct sw_gauge_point){d[i], is - d[i], 0.0005, 1};
    }
    struct sw_gauge_value offset, height_2;
    assert_true(sw_gauge_offset_and_height(&offset, &height_2, point, 4));
    assert_near(offset.value, a, 1e-9);
    assert_near(height_2.value, h * h, 1e-9);
    assert_true(height_2.value > 2 * height_2.u);
}

static void one_diameter_cannot_tell_height_from_offset(void **state)
{
    (void)state;
    const struct sw_gauge_point point[] = {{0.8, 0.002, 0.001, 1}, {0.8, 0.003, 0.001, 2}};
    struct sw_gauge_value offset, height_2;
    assert_false(sw_gauge_offset_and_height(&offset, &height_2, point, 2));
    assert_false(sw_gauge_offset_and_height(&offset, &height_2, point, 1));
}

/* Sums by hand: slope 54e-4 / 10; squares left over 72e-9, over 3 degrees of freedom. */
static void drift_is_the_slope_by_piece(void **state)
{
    (void)state;
    const struct sw_gauge_point point[] = {{1, 0.0001, 1, 1},
                                           {1, 0.0004, 1, 2},
                                           {1, 0.0013, 1, 3},
                                           {1, 0.0016, 1, 4},
                                           {1, 0.0022, 1, 5}};
    struct sw_gauge_value drift;
    double scatter;
    assert_true(sw_gauge_drift(&drift, &scatter, point, 5));
    assert_near(drift.value, 0.00054, 1e-12);
    assert_near(drift.u, scatter / sqrt(10), 1e-12);
    assert_near(scatter, 0.000154919333848, 1e-12);
    assert_false(sw_gauge_drift(&drift, &scatter, point, 2));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(limits_are_those_of_the_published_chart),
        cmocka_unit_test(a_better_reading_counts_for_more),
        cmocka_unit_test(readings_that_disagree_make_the_offset_less_sure),
        cmocka_unit_test(a_tool_off_centre_is_told_from_an_offset),
        cmocka_unit_test(one_diameter_cannot_tell_height_from_offset),
        cmocka_unit_test(drift_is_the_slope_by_piece),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
