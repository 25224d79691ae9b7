/* Control charts: what gives warning. The rules are those of NIST/SEMATECH 6.3.2; the values are
 * made by hand around a mean of 0 and checked against the limits they give. */
#include "support/near.h"

#include "gauge/chart.h"

enum { MOST = 16 };

static void chart(struct sw_gauge_series *to, struct sw_gauge_mark *mark, const double *value,
                  size_t n, struct sw_ctx *ctx)
{
    for (size_t i = 0; i < n; i++)
        mark[i] = (struct sw_gauge_mark){
            .piece = (double)(i + 1), .error = value[i], .lower = -0.03, .upper = 0.03};
    *to = (struct sw_gauge_series){.at = mark, .n = n};
    assert_int_equal(sw_gauge_series(to, ctx), SW_OK);
}

#define CHART(series, mark, ctx, ...)                                                              \
    do {                                                                                           \
        const double values[] = {__VA_ARGS__};                                                     \
        chart(series, mark, values, sizeof values / sizeof *values, ctx);                          \
    } while (0)

static void chance_is_quiet(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_gauge_series series;
    struct sw_gauge_mark mark[MOST];
    CHART(&series, mark, &ctx, 0.001, -0.001, 0.001, -0.001);
    assert_true(series.has_limits);
    /* mean moving range 0.002, sigma 0.002 / 1.128, limits three of them */
    assert_near(series.chart.upper, 3 * 0.002 / 1.128, 1e-12);
    assert_int_equal(series.signal, SW_CHART_QUIET);
    assert_false(series.is_close);
    sw_test_ctx_free(&ctx);
}

static void one_value_beyond_its_limit_is_the_gravest(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_gauge_series series;
    struct sw_gauge_mark mark[MOST];
    CHART(&series, mark, &ctx, 0, 0.001, 0, 0.001, 0, 0.001, 0, 0.001, 0, 0.001, 0, 0.02);
    assert_int_equal(series.signal, SW_CHART_BEYOND);
    assert_int_equal(mark[6].signal, SW_CHART_QUIET);
    sw_test_ctx_free(&ctx);
}

static void two_of_three_beyond_two_deviations_give_warning_before_the_limit(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_gauge_series series;
    struct sw_gauge_mark mark[MOST];
    /* mean 0.00085, mean moving range 0.00223, so two deviations end at 0.0048, three at 0.0068 */
    CHART(&series, mark, &ctx, -0.001, 0.001, -0.001, 0.001, -0.001, 0.001, -0.001, 0.001, -0.001,
          0.0052, 0.0051);
    assert_true(mark[10].error < series.chart.upper);
    assert_true(mark[10].error > series.chart.centre + 2 * series.chart.sigma);
    assert_int_equal(mark[9].signal, SW_CHART_QUIET);
    assert_int_equal(mark[10].signal, SW_CHART_TWO_OF_THREE);
    sw_test_ctx_free(&ctx);
}

static void eight_on_one_side_and_six_that_rise_are_told(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_gauge_series series;
    struct sw_gauge_mark mark[MOST];
    CHART(&series, mark, &ctx, -0.004, 0.001, 0.0005, 0.001, 0.0005, 0.001, 0.0005, 0.001, 0.0005);
    assert_int_equal(mark[7].signal, SW_CHART_QUIET);
    assert_int_equal(mark[8].signal, SW_CHART_EIGHT);
    CHART(&series, mark, &ctx, 0.0009, -0.0009, -0.0006, -0.0003, 0, 0.0003, 0.0006);
    assert_int_equal(mark[5].signal, SW_CHART_QUIET);
    assert_int_equal(mark[6].signal, SW_CHART_TREND);
    sw_test_ctx_free(&ctx);
}

static void a_third_of_the_tolerance_is_close(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_gauge_series series;
    struct sw_gauge_mark mark[MOST];
    /* a third of 0.06 is 0.02: the mean of the last three just below and just above */
    CHART(&series, mark, &ctx, 0, 0.0189, 0.0199, 0.0209);
    assert_false(series.is_close);
    CHART(&series, mark, &ctx, 0, 0.0191, 0.0201, 0.0211);
    assert_true(series.is_close);
    sw_test_ctx_free(&ctx);
}

static void readings_all_alike_have_no_limits(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_gauge_series series;
    struct sw_gauge_mark mark[MOST];
    CHART(&series, mark, &ctx, 0.001, 0.001, 0.001);
    assert_false(series.has_limits);
    assert_int_equal(series.signal, SW_CHART_QUIET);
    sw_test_ctx_free(&ctx);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(chance_is_quiet),
        cmocka_unit_test(one_value_beyond_its_limit_is_the_gravest),
        cmocka_unit_test(two_of_three_beyond_two_deviations_give_warning_before_the_limit),
        cmocka_unit_test(eight_on_one_side_and_six_that_rise_are_told),
        cmocka_unit_test(a_third_of_the_tolerance_is_close),
        cmocka_unit_test(readings_all_alike_have_no_limits),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
