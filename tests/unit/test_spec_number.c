/* Quantities and units. Conversions are checked against published definitions, not against ours. */
#include <stdio.h>

#include "spec_fixture.h"

static double read_one(const char *text, enum sw_quantity quantity)
{
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_node node = {.kind = SW_NODE_SCALAR, .text = text, .key = "x"};
    struct sw_number number;
    if (sw_number_read(&number, quantity, &node, &ctx) != SW_OK)
        fail_msg("%s: %s", text, sw_test_diagnostics(&ctx));
    assert_true(number.given);
    sw_test_ctx_free(&ctx);
    return number.value;
}

static void assert_refused(const char *text, enum sw_quantity quantity, const char *code,
                           const char *wanted)
{
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_node node = {.kind = SW_NODE_SCALAR, .text = text, .key = "x"};
    struct sw_number number;
    if (sw_number_read(&number, quantity, &node, &ctx) != SW_INPUT)
        fail_msg("%s was read as %g", text, number.value);
    assert_int_equal(sw_diag_n(ctx.diag), 1);
    assert_string_equal(sw_diag_at(ctx.diag, 0)->code, code);
    assert_string_equal(sw_test_diagnostics(&ctx), wanted);
    sw_test_ctx_free(&ctx);
}

#define LENGTH SW_QUANTITY_LENGTH

static void lengths_may_be_written_in_the_units_of_the_trade(void **state)
{
    (void)state;
    assert_near(read_one("0.11", LENGTH), 0.11, 0);
    assert_near(read_one("0.11 mm", LENGTH), 0.11, 0);
    assert_near(read_one("+0.11mm", LENGTH), 0.11, 0);
    assert_near(read_one("-5 um", LENGTH), -0.005, 0);
    assert_near(read_one("5 \xc2\xb5m", LENGTH), 0.005, 0);
    assert_near(read_one("5 \xce\xbcm", LENGTH), 0.005, 0);
    assert_near(read_one("2 m", LENGTH), 2000, 0);
    /* 1 in = 25.4 mm: international yard and pound agreement of 1959 */
    assert_near(read_one("1 in", LENGTH), 25.4, 0);
    assert_near(read_one("1/8 in", LENGTH), 3.175, 1e-15);
    assert_near(read_one("-3/16in", LENGTH), -4.7625, 1e-15);
    assert_near(read_one("4.3 thou", LENGTH), 0.10922, 1e-16);
    /* gauges of the trade are read in hundredths of a millimetre: "12" is 0.12 mm */
    assert_near(read_one("12 hundredths", LENGTH), 0.12, 0);
    assert_near(read_one("1 hundredth", LENGTH), 0.01, 0);
    /* 1000 mm are 443.296 lignes (France, 1799; from memory); the trade rounds to 2.256 and 0.188
     */
    assert_near(read_one("443.296 ligne", LENGTH), 1000, 1e-12);
    assert_near(read_one("12 lignes", LENGTH), 27.069949, 1e-6);
    assert_near(read_one("1 ligne", LENGTH), 2.2558291, 5e-8);
    assert_near(read_one("12 douzieme", LENGTH), 2.2558291, 5e-8);
    assert_near(read_one("0.6 douzi\xc3\xa8mes", LENGTH), 0.6 * 0.188, 1e-5);
}

static void every_hundredth_lies_exactly_on_the_decimal_grid(void **state)
{
    (void)state;
    for (int i = 1; i <= 2000; i++) {
        char text[40];
        snprintf(text, sizeof text, "%d hundredths", i);
        assert_near(read_one(text, LENGTH), i / 100.0, 0);
        snprintf(text, sizeof text, "%d um", i);
        assert_near(read_one(text, LENGTH), i / 1000.0, 0);
    }
}

static void angles_are_kept_in_radians(void **state)
{
    (void)state;
    const double pi = 3.14159265358979323846;
    assert_near(read_one("180", SW_QUANTITY_ANGLE), pi, 1e-15);
    assert_near(read_one("17.5 degrees", SW_QUANTITY_ANGLE), 17.5 / 180 * pi, 1e-16);
    assert_near(read_one("90\xc2\xb0", SW_QUANTITY_ANGLE), pi / 2, 1e-15);
    assert_near(read_one("1 deg", SW_QUANTITY_ANGLE), pi / 180, 1e-17);
    assert_near(read_one("0.5 rad", SW_QUANTITY_ANGLE), 0.5, 0);
}

static void other_quantities_have_their_units(void **state)
{
    (void)state;
    assert_near(read_one("250 mN", SW_QUANTITY_FORCE), 0.25, 0);
    /* standard gravity 9.80665 m/s2: third CGPM, 1901 */
    assert_near(read_one("1 kgf", SW_QUANTITY_FORCE), 9.80665, 0);
    assert_near(read_one("210 GPa", SW_QUANTITY_STRESS), 210000, 0);
    assert_near(read_one("900 N/mm2", SW_QUANTITY_STRESS), 900, 0);
    assert_near(read_one("8000 rpm", SW_QUANTITY_SPEED), 8000, 0);
    assert_near(read_one("2 mm/s", SW_QUANTITY_FEED), 120, 0);
    assert_near(read_one("1 in/min", SW_QUANTITY_FEED), 25.4, 0);
    assert_near(read_one("4 um/rev", SW_QUANTITY_FEED_REV), 0.004, 0);
    assert_near(read_one("30 m/min", SW_QUANTITY_SURFACE), 30, 0);
    assert_near(read_one("0.5 m/s2", SW_QUANTITY_ACCELERATION), 500, 0);
    assert_near(read_one("250 ms", SW_QUANTITY_TIME), 0.25, 0);
    assert_near(read_one("2 min", SW_QUANTITY_TIME), 120, 0);
    assert_near(read_one("7.85 g/cm3", SW_QUANTITY_DENSITY), 7.85, 0);
    assert_near(read_one("1.5 um/N", SW_QUANTITY_COMPLIANCE), 1.5, 0);
    assert_near(read_one("0.2 kW", SW_QUANTITY_POWER), 200, 0);
    assert_near(read_one("60 mN m", SW_QUANTITY_TORQUE), 0.06, 0);
    assert_near(read_one("1/100", SW_QUANTITY_RATIO), 0.01, 0);
    assert_near(read_one("0.35", SW_QUANTITY_RATIO), 0.35, 0);
    assert_near(read_one("35 %", SW_QUANTITY_RATIO), 0.35, 0);
    assert_near(read_one("3", SW_QUANTITY_NONE), 3, 0);
}

static void minus_zero_is_read_as_zero(void **state)
{
    (void)state;
    assert_false(signbit(read_one("-0", LENGTH)));
    assert_false(signbit(read_one("-0.0 deg", SW_QUANTITY_ANGLE)));
}

static void other_notations_of_numbers_are_refused_with_the_right_one(void **state)
{
    (void)state;
    static const struct {
        const char *text, *hint;
    } cases[] = {
        {"1e3", "write the number out, without an exponent: 1000, 0.001"},
        {"1.5E-3 mm", "write the number out, without an exponent: 1000, 0.001"},
        {"0x10", "write the number in decimal digits"},
        {"0o17", "write the number in decimal digits"},
        {"0b1", "write the number in decimal digits"},
        {"1_000", "leave the underscores out"},
        {"0,11", "the decimal mark is a point: 0.11"},
        {"1:100", "write a ratio with a stroke: 1/100"},
        {".5", "write a digit before the point: 0.5"},
        {"-.5", "write a digit before the point: 0.5"},
        {"5.", "write a digit after the point, or leave the point out"},
        {"5. mm", "write a digit after the point, or leave the point out"},
        {"\xc2\xb1"
         "0.005",
         "a deviation counts both ways: write it without the sign"},
        {"+/-0.005", "a deviation counts both ways: write it without the sign"},
        {"1/0", "nothing can be divided by 0"},
        {".inf", "write a plain number such as 3 or 0.25"},
        {".nan", "write a plain number such as 3 or 0.25"},
        {"-", "write a plain number such as 3 or 0.25"},
        {"1.2.3", "write a plain number such as 3 or 0.25"},
        {"yes", "write a plain number such as 3 or 0.25"},
        {"two", "write a plain number such as 3 or 0.25"},
        {"1/2", "write it as a decimal number"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char wanted[300];
        snprintf(wanted, sizeof wanted,
                 "staffwright: error: `x` is `%s`, which is not a number\n    hint: %s\n",
                 cases[i].text, cases[i].hint);
        assert_refused(cases[i].text, SW_QUANTITY_NONE, "spec.not-a-number", wanted);
    }
    assert_refused(
        "abc", LENGTH, "spec.not-a-number",
        "staffwright: error: `x` is `abc`, which is not a number\n"
        "    hint: write a number in mm, or a number with one of the units mm, um, m, in, "
        "thou, hundredths, ligne, douzieme\n");
    assert_refused("abc", SW_QUANTITY_RATIO, "spec.not-a-number",
                   "staffwright: error: `x` is `abc`, which is not a number\n"
                   "    hint: write a number such as 0.01, or 1/100, or 1%\n");
}

static void wrong_units_are_refused_with_the_right_ones(void **state)
{
    (void)state;
    assert_refused(
        "3 thuo", LENGTH, "spec.unit",
        "staffwright: error: `x` is `3 thuo`: `thuo` is not a unit of length\n"
        "    hint: did you mean `thou`? units of length: mm, um, m, in, thou, hundredths, "
        "ligne, douzieme\n");
    assert_refused("3 N", LENGTH, "spec.unit",
                   "staffwright: error: `x` is `3 N`: a unit of force, where a length is wanted\n"
                   "    hint: units of length: mm, um, m, in, thou, hundredths, ligne, douzieme\n");
    assert_refused("3 mm", SW_QUANTITY_NONE, "spec.unit",
                   "staffwright: error: `x` is `3 mm`, and takes no unit\n"
                   "    hint: write the number alone\n");
    assert_refused("1/8", LENGTH, "spec.unit",
                   "staffwright: error: `x` is `1/8`, a fraction without a unit\n"
                   "    hint: write `1/8 in`, or millimetres as a decimal number\n");
    assert_refused("3 MM", LENGTH, "spec.unit",
                   "staffwright: error: `x` is `3 MM`: `MM` is not a unit of length\n"
                   "    hint: did you mean `mm`? units of length: mm, um, m, in, thou, hundredths, "
                   "ligne, douzieme\n");
}

static void numbers_beyond_all_sense_are_refused(void **state)
{
    (void)state;
    assert_near(read_one("1000000000", SW_QUANTITY_NONE), 1e9, 0);
    assert_refused("1000000000.5", SW_QUANTITY_NONE, "spec.range",
                   "staffwright: error: `x` is `1000000000.5`; no number here may be larger than "
                   "1000000000\n");
    assert_refused("2000000 m", LENGTH, "spec.range",
                   "staffwright: error: `x` is `2000000 m`; no number here may be larger than "
                   "1000000000\n");
}

static void every_quantity_names_its_base_unit(void **state)
{
    (void)state;
    assert_string_equal(sw_quantity_unit(SW_QUANTITY_NONE), "");
    assert_string_equal(sw_quantity_unit(LENGTH), "mm");
    assert_string_equal(sw_quantity_unit(SW_QUANTITY_ANGLE), "degrees");
    assert_string_equal(sw_quantity_unit(SW_QUANTITY_TORQUE), "N m");
    assert_string_equal(sw_quantity_unit(SW_QUANTITY_RATIO), "");
    for (int q = SW_QUANTITY_NONE; q <= SW_QUANTITY_RATIO; q++) {
        char text[40];
        const enum sw_quantity quantity = (enum sw_quantity)q;
        snprintf(text, sizeof text, "2 %s", sw_quantity_unit(quantity));
        if (quantity != SW_QUANTITY_ANGLE) /* a base unit changes nothing */
            assert_near(read_one(text, quantity), 2, 0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lengths_may_be_written_in_the_units_of_the_trade),
        cmocka_unit_test(every_hundredth_lies_exactly_on_the_decimal_grid),
        cmocka_unit_test(angles_are_kept_in_radians),
        cmocka_unit_test(other_quantities_have_their_units),
        cmocka_unit_test(minus_zero_is_read_as_zero),
        cmocka_unit_test(other_notations_of_numbers_are_refused_with_the_right_one),
        cmocka_unit_test(wrong_units_are_refused_with_the_right_ones),
        cmocka_unit_test(numbers_beyond_all_sense_are_refused),
        cmocka_unit_test(every_quantity_names_its_base_unit),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
