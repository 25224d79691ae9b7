/* Drawing: the examples of JCGM 101:2008, clause 9, and the closed case of a stack. */
#include "support/near.h"

#include <math.h>

#include "stat/chance.h"
#include "stat/monte.h"
#include "stat/stack.h"

/* The shortest interval settles slowly: it has four times the trials. */
enum { TRIALS = 1000000, MANY_TRIALS = 4 * TRIALS };

static double sum(const double *x, void *user)
{
    const size_t *n = user;
    double all = 0;
    for (size_t i = 0; i < *n; i++)
        all += x[i];
    return all;
}

static struct sw_monte_result run(double (*model)(const double *, void *), void *user,
                                  const double *value, const struct sw_gum_source *source, size_t n,
                                  size_t trials, struct sw_ctx *ctx)
{
    const struct sw_monte monte = {value, source, n, model, user, trials, 0.95, 1};
    struct sw_monte_result result;
    assert_int_equal(sw_monte_run(&result, &monte, ctx), SW_OK);
    return result;
}

static void check_sum(const struct sw_gum_source *source, double u, double half, double within)
{
    struct sw_ctx ctx = sw_test_ctx();
    const double value[4] = {0};
    size_t n = 4;
    const struct sw_monte_result result = run(sum, &n, value, source, 4, TRIALS, &ctx);
    assert_near(result.mean, 0, 5 * u / 1000);
    assert_near(result.u, u, 0.05);
    assert_near((result.high - result.low) / 2, half, within);
    assert_near((result.high + result.low) / 2, 0, 2 * within);
    sw_test_ctx_free(&ctx);
}

#define N(u)                                                                                       \
    {                                                                                              \
        (u), (double)INFINITY, SW_SPREAD_NORMAL                                                    \
    }
#define E(u)                                                                                       \
    {                                                                                              \
        (u), (double)INFINITY, SW_SPREAD_EVEN                                                      \
    }

/* 9.2.2 */
static void four_normal_sources_add_to_3_92(void **state)
{
    (void)state;
    const struct sw_gum_source source[] = {N(1), N(1), N(1), N(1)};
    check_sum(source, 2.0, 3.92, 0.01);
}

/* 9.2.3; the closed form is 2 sqrt 3 (2 - 0.6^(1/4)). */
static void four_even_sources_add_to_3_88(void **state)
{
    (void)state;
    const struct sw_gum_source source[] = {E(1), E(1), E(1), E(1)};
    check_sum(source, 2.0, 2 * sqrt(3) * (2 - pow(0.6, 0.25)), 0.01);
}

/* 9.2.4: where first order says 19.9. */
static void one_large_even_source_gives_17_0(void **state)
{
    (void)state;
    const struct sw_gum_source source[] = {E(1), E(1), E(1), E(10)};
    check_sum(source, sqrt(103), 17.0, 0.05); /* printed as 10.1 */
    const struct sw_gum_source first[] = {E(1), E(1), E(1), E(10)};
    struct sw_gum form = sw_gum_exact(0);
    for (size_t i = 0; i < 4; i++) {
        const struct sw_gum one = sw_gum_of(0, i);
        form = sw_gum_sum(&form, 1, &one, 1);
    }
    assert_near(sw_gum_expanded(&form, first, 4, 0.95), 19.9, 0.05);
}

/* 9.3: a mass calibration, air buoyancy in the model. Masses in mg. */
static double mass(const double *x, void *user)
{
    (void)user;
    const double nominal = 100000, air = 1.2;
    return (x[0] + x[1]) * (1 + (x[2] - air) * (1 / x[3] - 1 / x[4])) - nominal;
}

static void the_mass_of_the_guide_comes_out(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const double root3 = sqrt(3);
    const double value[] = {100000, 1.234, 1.20, 8000, 8000};
    const struct sw_gum_source source[] = {N(0.05), N(0.02), E(0.1 / root3), E(1000 / root3),
                                           E(50 / root3)};
    const struct sw_monte_result result = run(mass, NULL, value, source, 5, MANY_TRIALS, &ctx);
    assert_near(result.mean, 1.2340, 0.001);
    assert_near(result.u, 0.0754, 0.0003);
    assert_near(result.shortest_low, 1.0834, 0.002);
    assert_near(result.shortest_high, 1.3825, 0.002);
    sw_test_ctx_free(&ctx);
}

/* Normal sizes whose tolerances are three deviations: the sum's spread is the root of squares. */
static void drawing_meets_the_closed_stack(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const double half[] = {0.0015, 0.008, 0.0025, 0.002, 0.006, 0.002, 0.0025};
    const double slope[] = {1, 1, 1, 1, 1, 1, 1};
    const double value[7] = {0};
    struct sw_gum_source source[7];
    for (size_t i = 0; i < 7; i++)
        source[i] = (struct sw_gum_source)N(half[i] / 3);
    size_t n = 7;
    const struct sw_monte_result result = run(sum, &n, value, source, 7, 200000, &ctx);
    assert_near_relative(3 * result.u, sw_stack_rss(slope, half, 7), 0.006);
    sw_test_ctx_free(&ctx);
}

/* A mean of five readings: a t with four degrees of freedom has the variance dof / (dof - 2). */
static void repeated_readings_are_drawn_wider_than_normal(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const double value[] = {0};
    const struct sw_gum_source source[] = {{1, 4, SW_SPREAD_STUDENT}};
    size_t n = 1;
    const struct sw_monte_result result = run(sum, &n, value, source, 1, 400000, &ctx);
    assert_near(result.high, 2.776, 0.03); /* t of 95 %, JCGM 100 table G.2: 2.78 */
    assert_near(result.u, sqrt(2), 0.03);
    sw_test_ctx_free(&ctx);
}

/* The generator's authors' own example: state 1, 2, 3, 4 (from memory, re-run with theirs). */
static void the_generator_gives_its_authors_numbers(void **state)
{
    (void)state;
    struct sw_chance chance = {{1, 2, 3, 4}, 0, false};
    const uint64_t wanted[] = {11520u, 0u, 1509978240u, 1215971899390074240u};
    for (size_t i = 0; i < 4; i++)
        assert_int_equal(sw_chance_bits(&chance), wanted[i]);
}

static void the_same_seed_gives_the_same_result(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const double value[] = {1, 2};
    const struct sw_gum_source source[] = {N(1), E(1)};
    size_t n = 2;
    const struct sw_monte_result a = run(sum, &n, value, source, 2, 1000, &ctx);
    const struct sw_monte_result b = run(sum, &n, value, source, 2, 1000, &ctx);
    assert_near(a.low, b.low, 0);
    assert_near(a.u, b.u, 0);
    struct sw_chance one = sw_chance_from(1), two = sw_chance_from(2);
    assert_int_not_equal(sw_chance_bits(&one), sw_chance_bits(&two));
    sw_test_ctx_free(&ctx);
}

static void sorting_sorts(void **state)
{
    (void)state;
    struct sw_chance chance = sw_chance_from(7);
    double x[257], before = 0, after = 0;
    for (size_t n = 0; n <= 257; n += n < 5 ? 1 : 63) {
        before = after = 0;
        for (size_t i = 0; i < n; i++)
            before += x[i] = floor(20 * sw_chance_even(&chance)); /* many equal ones */
        sw_monte_sort(x, n);
        for (size_t i = 0; i < n; i++)
            after += x[i];
        for (size_t i = 1; i < n; i++)
            assert_true(x[i - 1] <= x[i]);
        assert_near(after, before, 0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(four_normal_sources_add_to_3_92),
        cmocka_unit_test(four_even_sources_add_to_3_88),
        cmocka_unit_test(one_large_even_source_gives_17_0),
        cmocka_unit_test(the_mass_of_the_guide_comes_out),
        cmocka_unit_test(drawing_meets_the_closed_stack),
        cmocka_unit_test(repeated_readings_are_drawn_wider_than_normal),
        cmocka_unit_test(the_generator_gives_its_authors_numbers),
        cmocka_unit_test(the_same_seed_gives_the_same_result),
        cmocka_unit_test(sorting_sorts),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
