/* Numbers to text and back. The grid is decimal by definition, so the expected values are derived.
 */
#include <stdio.h>
#include <string.h>

#include "base/num.h"
#include "support/near.h"

static void assert_written(double value, int decimals, const char *wanted)
{
    char text[SW_NUM_SIZE];
    assert_true(sw_num_format(text, value, decimals));
    assert_string_equal(text, wanted);
}

static void numbers_are_written_with_the_places_asked_for(void **state)
{
    (void)state;
    assert_written(0, 0, "0");
    assert_written(0.11, 4, "0.1100");
    assert_written(-0.005, 3, "-0.005");
    assert_written(1234567.5, 1, "1234567.5");
    assert_written(1e9, 9, "1000000000.000000000");
    assert_written(-1e9, 0, "-1000000000");
}

static void halves_go_away_from_zero(void **state)
{
    (void)state;
    assert_written(0.5, 0, "1");
    assert_written(-0.5, 0, "-1");
    assert_written(2.5, 0, "3");
    assert_written(0.125, 2, "0.13"); /* 0.125 is exact in binary */
    assert_written(-0.125, 2, "-0.13");
    assert_near(sw_num_round(0.125, 2), 0.13, 0);
    assert_near(sw_num_round(-2.5, 0), -3, 0);
}

static void nothing_is_written_as_minus_zero(void **state)
{
    (void)state;
    assert_written(-0.0, 3, "0.000");
    assert_written(-0.0001, 3, "0.000");
    assert_written(-0.4, 0, "0");
    assert_int_equal(memcmp(&(double){sw_num_round(-0.0001, 3)}, &(double){0.0}, sizeof(double)),
                     0);
}

static void numbers_no_machine_may_see_are_refused(void **state)
{
    (void)state;
    char text[SW_NUM_SIZE];
    const double zero = 0;
    assert_false(sw_num_format(text, 1 / zero, 3));
    assert_string_equal(text, "?");
    assert_false(sw_num_format(text, -1 / zero, 3));
    assert_false(sw_num_format(text, zero / zero, 3));
    assert_false(sw_num_format(text, 1.0000001e9, 3));
    assert_false(sw_num_format(text, 1, 10));
    assert_false(sw_num_format(text, 1, -1));
}

static void only_plain_decimals_are_numbers(void **state)
{
    (void)state;
    static const char *const good[] = {
        "0", "+1", "-1", "1.5", "007", ".5", "5.", "-.5", "123456789012345678901234567890"};
    static const char *const bad[] = {"",     "+",   "-",     ".",   "-.",      "1e3",
                                      "0x10", "1_0", "inf",   "nan", "1,5",     " 1",
                                      "1 ",   "--1", "1.2.3", "1-",  "\xd9\xa1"};
    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        double value = -77;
        assert_true(sw_num_parse(&value, good[i], strlen(good[i])));
    }
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        double value = -77;
        assert_false(sw_num_parse(&value, bad[i], strlen(bad[i])));
        assert_near(value, -77, 0); /* left alone */
    }
}

static void a_number_is_read_as_the_nearest_double(void **state)
{
    (void)state;
    double value = 0;
    assert_true(sw_num_parse(&value, "0.1", 3));
    assert_near(value, 0.1, 0); /* the compiler's own reading */
    assert_true(sw_num_parse(&value, "-0.0127", 7));
    assert_near(value, -0.0127, 0);
    assert_true(sw_num_parse(&value, "2.25582906", 10));
    assert_near(value, 2.25582906, 0);
    assert_true(sw_num_parse(&value, "0.1234567890123456789", 21));
    assert_near_relative(value, 0.1234567890123456789, 2.3e-16);
    assert_true(sw_num_parse(&value, "12345678901234567890", 20));
    assert_near_relative(value, 12345678901234567890.0, 2.3e-16);
    /* only SIZE bytes count */
    assert_true(sw_num_parse(&value, "1234", 2));
    assert_near(value, 12, 0);
}

static uint64_t next_random(uint64_t *seed)
{
    *seed ^= *seed << 13;
    *seed ^= *seed >> 7;
    *seed ^= *seed << 17;
    return *seed;
}

static void what_is_written_reads_back_to_the_same_grid_value(void **state)
{
    (void)state;
    static const double scale[] = {1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9};
    uint64_t seed = 20240607;
    for (int i = 0; i < 200000; i++) {
        const int decimals = i % 10;
        /* below 2^50 units of the grid every grid value is a double of its own */
        const int64_t unit = (int64_t)(next_random(&seed) % (1ULL << (i % 50 + 1)));
        const double on_grid = (double)(i & 1 ? -unit : unit) / scale[decimals];
        if (on_grid > 1e9 || on_grid < -1e9)
            continue;
        char text[SW_NUM_SIZE];
        double back = 0;
        assert_true(sw_num_format(text, on_grid, decimals));
        assert_true(sw_num_parse(&back, text, strlen(text)));
        assert_near(back, on_grid, 0);
        assert_near(sw_num_round(on_grid, decimals), on_grid, 0);
        assert_true(text[0] != '-' || strpbrk(text, "123456789") != NULL);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(numbers_are_written_with_the_places_asked_for),
        cmocka_unit_test(halves_go_away_from_zero),
        cmocka_unit_test(nothing_is_written_as_minus_zero),
        cmocka_unit_test(numbers_no_machine_may_see_are_refused),
        cmocka_unit_test(only_plain_decimals_are_numbers),
        cmocka_unit_test(a_number_is_read_as_the_nearest_double),
        cmocka_unit_test(what_is_written_reads_back_to_the_same_grid_value),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
