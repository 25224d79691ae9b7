/* Distributions, uncertainty, stacks, capability, grades: against published tables. */
#include "support/near.h"

#include <math.h>

#include "stat/capable.h"
#include "stat/dist.h"
#include "stat/grades.h"
#include "stat/gum.h"
#include "stat/stack.h"

/* JCGM 100:2008, table G.2. */
static void coverage_factors_are_those_of_the_guide(void **state)
{
    (void)state;
    assert_near(sw_student_factor(0.95, 1), 12.71, 0.005);
    assert_near(sw_student_factor(0.95, 10), 2.23, 0.005);
    assert_near(sw_student_factor(0.99, 16), 2.92, 0.005);
    assert_near(sw_student_factor(0.9973, 5), 5.51, 0.005);
    assert_near(sw_student_factor(0.95, (double)INFINITY), 1.960, 0.0005);
    assert_near(sw_student_factor(0.9545, (double)INFINITY), 2.000, 0.0005);
}

/* NIST/SEMATECH e-Handbook, 1.3.6.7.4: upper critical values of chi-square. */
static void chi_square_tails_are_those_of_the_handbook(void **state)
{
    (void)state;
    assert_near(sw_chi_square_above(3.841, 1), 0.05, 1e-4);
    assert_near(sw_chi_square_above(18.307, 10), 0.05, 1e-4);
    assert_near(sw_chi_square_above(23.209, 10), 0.01, 1e-4);
    assert_near(sw_chi_square_above(9.210, 2), 0.01, 1e-4);
    assert_near(sw_chi_square_above(0, 4), 1, 0);
}

/* One and two degrees of freedom have closed forms (derived). */
static void chi_square_meets_its_closed_forms(void **state)
{
    (void)state;
    for (double x = 0.01; x < 60; x *= 1.7) {
        assert_near(sw_chi_square_above(x, 2), exp(-x / 2), 1e-12);
        assert_near(sw_chi_square_above(x, 1), erfc(sqrt(x / 2)), 1e-12);
    }
}

static void quantiles_undo_shares(void **state)
{
    (void)state;
    for (double share = 0.001; share < 1; share += 0.0567) {
        assert_near(sw_normal_below(sw_normal_quantile(share)), share, 1e-13);
        const double k = sw_student_factor(share, 7);
        assert_near(sw_student_below(k, 7) - sw_student_below(-k, 7), share, 1e-12);
    }
    assert_true(isnan(sw_normal_quantile(0)));
    assert_true(isnan(sw_student_factor(1, 3)));
}

/* JCGM 100:2008, H.1: an end gauge. Contributions in nm, degrees of freedom as given there. */
static void the_end_gauge_of_the_guide_comes_out(void **state)
{
    (void)state;
    const struct sw_gum_source source[] = {{25, 18, SW_SPREAD_NORMAL},
                                           {9.7, 25.6, SW_SPREAD_NORMAL},
                                           {2.9, 50, SW_SPREAD_NORMAL},
                                           {16.6, 2, SW_SPREAD_NORMAL}};
    struct sw_gum length = sw_gum_exact(0);
    const double value[] = {50000623, 215, 0, 0}; /* nm: standard, difference, temperature */
    for (size_t i = 0; i < 4; i++) {
        const struct sw_gum part = sw_gum_of(value[i], i);
        length = sw_gum_sum(&length, 1, &part, 1);
    }
    assert_near(length.value / 1e6, 50.000838, 1e-9);
    assert_near(sw_gum_u(&length, source, 4), 32, 0.5);
    assert_near(sw_gum_expanded(&length, source, 4, 0.99), 93, 1);
}

/* JCGM 100:2008, 5.1.6: a product's relative variances add (first order). */
static void products_and_quotients_carry_their_slopes(void **state)
{
    (void)state;
    const struct sw_gum_source source[] = {{0.1, (double)INFINITY, SW_SPREAD_NORMAL},
                                           {0.06, (double)INFINITY, SW_SPREAD_EVEN}};
    const struct sw_gum a = sw_gum_of(5, 0), b = sw_gum_of(2, 1);
    const struct sw_gum product = sw_gum_product(&a, &b), quotient = sw_gum_quotient(&a, &b);
    const double relative = hypot(0.1 / 5, 0.06 / 2);
    assert_near(sw_gum_u(&product, source, 2), 10 * relative, 1e-12);
    assert_near(sw_gum_u(&quotient, source, 2), 2.5 * relative, 1e-12);
    assert_near(sw_gum_share(&product, source, 2, 0) + sw_gum_share(&product, source, 2, 1), 1,
                1e-12);
    const struct sw_gum nothing = sw_gum_sum(&a, 1, &a, -1); /* one reading used twice */
    assert_near(sw_gum_u(&nothing, source, 2), 0, 0);
}

static void what_one_reading_must_come_to_brings_the_wanted_uncertainty(void **state)
{
    (void)state;
    struct sw_gum_source source[] = {{0.003, (double)INFINITY, SW_SPREAD_EVEN},
                                     {0.001, (double)INFINITY, SW_SPREAD_EVEN}};
    const struct sw_gum a = sw_gum_of(1, 0), b = sw_gum_of(1, 1);
    const struct sw_gum sum = sw_gum_sum(&a, 2, &b, 1);
    source[0].u = sw_gum_needed(&sum, source, 2, 0, 0.002);
    assert_near(sw_gum_u(&sum, source, 2), 0.002, 1e-12);
    assert_near(sw_gum_needed(&sum, source, 2, 0, 0.0009), 0, 0); /* not by it alone */
}

/* Chase, Basic Tools for Tolerance Analysis, ch. 7: seven parts of a shaft and housing [in]. */
static void chases_stack_comes_out(void **state)
{
    (void)state;
    const double half[] = {0.0015, 0.008, 0.0025, 0.002, 0.006, 0.002, 0.0025};
    const double slope[] = {-1, 1, -1, 1, -1, 1, -1};
    assert_near(sw_stack_worst(slope, half, 7), 0.0245, 1e-10);
    assert_near(sw_stack_rss(slope, half, 7), 0.01108, 5e-6);
    assert_near(sw_stack_rss_even(slope, half, 7), 0.01108 * sqrt(3), 1e-5);
    assert_near(sw_stack_shifted(slope, half, 7, 0), sw_stack_rss(slope, half, 7), 1e-12);
    assert_near(sw_stack_shifted(slope, half, 7, 1), 0.0245, 1e-10);
}

/* NIST/SEMATECH e-Handbook, 6.1.6. */
static void capability_is_that_of_the_handbook(void **state)
{
    (void)state;
    const struct sw_capable capable = sw_capable_of(16, 2, 8, 20, 14);
    assert_near(capable.cp, 1.0, 1e-4);
    assert_near(capable.cpk, 0.6667, 1e-4);
    assert_near(capable.cpm, 0.7071, 1e-4);
    /* Centred: 2699.8 parts in a million outside three deviations (standard table). */
    assert_near(sw_capable_of(0, 1, -3, 3, 0).out * 1e6, 2699.8, 0.1);
    assert_near(sw_capable_of(0, 1, -4, 4, 0).out * 1e6, 63.34, 0.01);
}

/* ISO 286-1, table 1, and the formula of its annex A. */
static void grades_are_those_of_the_standard(void **state)
{
    (void)state;
    const double small[] = {3, 4, 6, 10, 14, 25, 40, 60, 100};
    for (int grade = 4; grade <= 12; grade++)
        assert_near(sw_grade_um(1.16, grade), small[grade - 4], 0);
    assert_near(sw_grade_um(10, 14), 360, 0);
    assert_near(sw_grade_um(100, 14), 870, 0);
    assert_near(sw_grade_factor(sw_grade_mean(2)), 0.54215, 1e-4);
    assert_near(sw_grade_factor(sw_grade_mean(4)), 0.73273, 1e-4);
    assert_near(sw_grade_factor(sw_grade_mean(8)), 0.89812, 1e-4);
    assert_true(isnan(sw_grade_um(0, 5)) && isnan(sw_grade_um(121, 5)));
    assert_true(isnan(sw_grade_um(1, 15)));
    assert_int_equal(sw_grade_for(0.1, 4), 5);
    assert_int_equal(sw_grade_for(0.1, 0.1), SW_GRADE_01 - 1);
}

/* Above 3 mm the table is the formula, rounded: IT6 = 10 i and so on (ISO 286-1, annex A). */
static void grades_above_three_millimetres_follow_the_formula(void **state)
{
    (void)state;
    const double factor[] = {7, 10, 16, 25, 40, 64, 100, 160, 250, 400};
    const double size[] = {5, 8, 14, 24, 40, 65, 100};
    for (size_t k = 0; k < sizeof size / sizeof *size; k++)
        for (int grade = 5; grade <= SW_GRADE_MOST; grade++) {
            const double exact = factor[grade - 5] * sw_grade_factor(sw_grade_mean(size[k]));
            assert_near(sw_grade_um(size[k], grade), exact, 0.05 * exact + 0.5);
        }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(coverage_factors_are_those_of_the_guide),
        cmocka_unit_test(chi_square_tails_are_those_of_the_handbook),
        cmocka_unit_test(chi_square_meets_its_closed_forms),
        cmocka_unit_test(quantiles_undo_shares),
        cmocka_unit_test(the_end_gauge_of_the_guide_comes_out),
        cmocka_unit_test(products_and_quotients_carry_their_slopes),
        cmocka_unit_test(what_one_reading_must_come_to_brings_the_wanted_uncertainty),
        cmocka_unit_test(chases_stack_comes_out),
        cmocka_unit_test(capability_is_that_of_the_handbook),
        cmocka_unit_test(grades_are_those_of_the_standard),
        cmocka_unit_test(grades_above_three_millimetres_follow_the_formula),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
