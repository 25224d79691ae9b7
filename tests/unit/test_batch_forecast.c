/* Forecasts: shares by the closed normal cases, variances by sums of squares. */
#include "support/near.h"

#include <math.h>
#include <string.h>

#include "batch/forecast.h"

enum { MANY = 400000 };

static struct sw_forecast plain(void)
{
    const struct sw_forecast_pivot pivot = {.diameter = 0.1, .least = 0.097, .most = 0.103};
    return (struct sw_forecast){.pivot = {pivot, pivot}, .every = 1, .setup_every = 1, .seed = 7};
}

static struct sw_forecast_sums run(const struct sw_forecast *f, size_t n)
{
    const struct sw_forecast_bins bins = sw_forecast_bins_of(f, 0.005);
    struct sw_forecast_sums sums;
    sw_forecast_run(&sums, f, &bins, n);
    return sums;
}

/* NIST/SEMATECH 6.1.6: centred, Cp 1 leaves 2699.8 of a million out, 4/3 63.34. A staff has two
 * pivots, both of which must fit. */
static void hand_work_of_one_cp_loses_what_the_table_says(void **state)
{
    (void)state;
    static const struct {
        double cp, ppm;
    } row[] = {{1, 2699.8}, {4.0 / 3, 63.34}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        struct sw_forecast f = plain();
        f.figures.hand = 0.006 / 6 / row[i].cp;
        const struct sw_forecast_sums sums = run(&f, MANY);
        const double want = 1 - pow(1 - row[i].ppm * 1e-6, 2);
        const double deviation = sqrt(want / MANY);
        assert_near(1 - sw_forecast_share(&sums), want, 4 * deviation);
    }
}

/* The first pivot's limits lie wide, the second's at one Cp: only the second loses. */
static void each_pivot_is_held_to_its_own_limits(void **state)
{
    (void)state;
    struct sw_forecast f = plain();
    f.pivot[0].least = 0.09;
    f.pivot[0].most = 0.11;
    f.pivot[1] = (struct sw_forecast_pivot){.diameter = 0.2, .least = 0.197, .most = 0.203};
    f.figures.hand = 0.001;
    const struct sw_forecast_sums sums = run(&f, MANY);
    const double want = 2699.8e-6;
    assert_near(1 - sw_forecast_share(&sums), want, 4 * sqrt(want / MANY));
}

/* JCGM 101:2008, 9.2.2: four normal sources of 1 add to 2.0, each a quarter of the variance. */
static void independent_causes_add_by_squares(void **state)
{
    (void)state;
    struct sw_forecast f = plain();
    f.figures.hand = 0.001;
    f.figures.measure = 0.001;
    f.figures.bending = 0.01;
    f.figures.force_spread = 0.1;
    f.figures.repeat = 0.001 / sqrt(8.0); /* both ways, this piece and the one measured */
    const struct sw_forecast_sums sums = run(&f, MANY);
    assert_near(sw_forecast_deviation(&sums), 0.002, 0.002 * 0.005);
    assert_near(sw_forecast_part(&sums, SW_CAUSE_HAND), 0.25, 0.005);
    assert_near(sw_forecast_part(&sums, SW_CAUSE_MEASURE), 0.25, 0.005);
    assert_near(sw_forecast_part(&sums, SW_CAUSE_FORCE), 0.25, 0.005);
    assert_near(sw_forecast_part(&sums, SW_CAUSE_REPEAT), 0.25, 0.005);
}

/* Derived: growing by w a piece over n pieces is spread evenly, w^2 (n^2 - 1) / 12. */
static void wear_between_measurements_is_an_even_spread(void **state)
{
    (void)state;
    struct sw_forecast f = plain();
    f.figures.wear = 0.0001;
    f.every = 10;
    const struct sw_forecast_sums sums = run(&f, 100000);
    assert_near(sw_forecast_deviation(&sums), 0.0001 * sqrt(99.0 / 12), 1e-8);
    assert_near(sw_forecast_mean(&sums), 0.00045, 1e-9);
}

static void a_closer_measuring_plan_and_a_truer_grip_gain(void **state)
{
    (void)state;
    struct sw_forecast f = plain();
    f.figures.wear = 0.0004;
    f.figures.runout = 0.01;
    f.most_runout = 0.02;
    f.every = 10;
    const struct sw_forecast_sums sums = run(&f, 100000);
    assert_true(sums.fit_closer > sums.fit);
    assert_true(sums.fit_truer > sums.fit);
    /* Derived: a Rayleigh length passes twice its root mean square with the chance exp(-4). */
    assert_near((double)sums.untrue / 100000, exp(-4.0), 0.002);
    /* Derived: of ten pieces those grown by 0.0032 and more, numbers 8 and 9, are out. */
    assert_near((double)sums.fit_without[SW_CAUSE_RUNOUT] / 100000, 0.8, 1e-9);
}

static void chunks_in_any_hands_give_the_same_bytes(void **state)
{
    (void)state;
    struct sw_forecast f = plain();
    f.figures = (struct sw_forecast_figures){0.0005, 0.0001, 0.01, 0.01, 0.002, 0.2, 0.0005, 0.001};
    f.every = 7;
    const struct sw_forecast_bins bins = sw_forecast_bins_of(&f, 0.005);
    const struct sw_forecast_sums whole = run(&f, 3 * SW_FORECAST_CHUNK);
    struct sw_forecast_sums part[3], sum;
    for (size_t i = 3; i-- > 0;)
        sw_forecast_draw(&part[i], &f, &bins, i * SW_FORECAST_CHUNK, SW_FORECAST_CHUNK);
    memset(&sum, 0, sizeof sum);
    for (size_t i = 0; i < 3; i++)
        sw_forecast_add(&sum, &part[i]);
    assert_memory_equal(&sum, &whole, sizeof sum);
    size_t pivots = 0;
    for (size_t b = 0; b < SW_FORECAST_BINS; b++)
        pivots += whole.bin[b];
    assert_int_equal(pivots, 2 * whole.n);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(hand_work_of_one_cp_loses_what_the_table_says),
        cmocka_unit_test(each_pivot_is_held_to_its_own_limits),
        cmocka_unit_test(independent_causes_add_by_squares),
        cmocka_unit_test(wear_between_measurements_is_an_even_spread),
        cmocka_unit_test(a_closer_measuring_plan_and_a_truer_grip_gain),
        cmocka_unit_test(chunks_in_any_hands_give_the_same_bytes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
