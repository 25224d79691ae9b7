/* Chips and forces against makers' tables and closed forms. "published": seen in the named source;
 * "recalled": from memory, recomputed; "derived": worked out for this check. */
#include <math.h>

#include "mech/force.h"

#include "support/near.h"

static const double pi = 3.14159265358979323846;
static const double degree = 3.14159265358979323846 / 180;

static const struct sw_edge round_edge = {.nose = 0.1, .lead = 3.14159265358979323846 * 95 / 180};

static void the_engaged_nose_has_its_known_angles(void **state)
{
    (void)state;
    /* depth, nose, feed; engaged angle, edge, mean and largest thickness in um, effective angle by
     * chord and by area (derived; h_max as the round-insert form of a tool maker, published). */
    const double rows[][9] = {{0.005, 0.1, 0.003, 18.195, 0.03176, 0.472, 0.937, 8.69, 12.11},
                              {0.02, 0.1, 0.005, 36.870, 0.06435, 1.554, 3.000, 17.74, 24.43},
                              {0.05, 0.1, 0.005, 60.000, 0.10472, 2.387, 4.330, 29.30, 39.31},
                              {0.1, 0.1, 0.005, 90.000, 0.15708, 3.183, 5.000, 44.29, 57.52},
                              {0.5, 0.8, 0.2, 67.976, 0.94912, 105.4, 185.4, 30.71, 44.30}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const double *row = rows[i];
        const struct sw_edge edge = {.nose = row[1], .lead = 95 * degree};
        const struct sw_chip chip = sw_chip_of(&edge, row[0], row[2]);
        assert_near(chip.nose_angle / degree, row[3], 6e-4);
        assert_near(chip.length, row[4], 6e-6);
        assert_near_relative(chip.mean * 1e3, row[5], 1.1e-3);
        assert_near_relative(chip.most * 1e3, row[6], 1.1e-3);
        assert_near(sw_chip_lead_chord(&edge, &chip) / degree, row[7], 6e-3);
        assert_near(sw_chip_lead_area(&chip) / degree, row[8], 6e-3);
    }
    const struct sw_chip chip = sw_chip_of(&round_edge, 0.02, 0.005);
    assert_near_relative(chip.nose_angle / degree, 36.8699, 1e-5);
    assert_near_relative(chip.length, 0.0643501, 1e-5);
    assert_near_relative(chip.most, 0.003, 1e-5);
    assert_near_relative(sw_chip_lead_chord(&round_edge, &chip) / degree, 17.7447, 1e-4);
    assert_near_relative(sw_chip_lead_area(&chip) / degree, 24.4261, 1e-4);
    /* Thrust over feed force: 3.13 and 2.20. */
    assert_near(1 / tan(sw_chip_lead_chord(&round_edge, &chip)), 3.13, 6e-3);
    assert_near(1 / tan(sw_chip_lead_area(&chip)), 2.20, 6e-3);
}

static void a_round_insert_has_the_makers_chip(void **state)
{
    (void)state;
    /* Sandvik's form (published): iC 12, ap 2, f 0.3: 0.223607. */
    const struct sw_edge edge = {.nose = 6, .lead = 90 * degree};
    assert_near_relative(sw_chip_of(&edge, 2, 0.3).most, 0.223607, 1e-5);
    /* Cross-sections t 4, s 0.63 and t 8, s 1.25 (Roehm, table 1, published). */
    const struct sw_edge point = {.nose = 0, .lead = 45 * degree};
    assert_near(sw_chip_of(&point, 4, 0.63).area, 2.52, 1e-14);
    assert_near(sw_chip_of(&point, 8, 1.25).area, 10.0, 1e-14);
}

static void a_straight_edge_has_the_book_chip(void **state)
{
    (void)state;
    const struct sw_edge edge = {.nose = 0, .lead = 45 * degree};
    const struct sw_chip chip = sw_chip_of(&edge, 2, 0.25);
    assert_near_relative(chip.mean, 0.25 * sin(pi / 4), 1e-14);
    assert_near_relative(chip.length, 2 / sin(pi / 4), 1e-14);
    assert_near(sw_chip_lead_area(&chip), pi / 4, 1e-14);
    assert_near(sw_chip_lead_chord(&edge, &chip), pi / 4, 1e-14);
    assert_near(sw_chip_lead_size(&edge, &chip, 0.25), pi / 4, 1e-14);
}

static void nose_and_straight_edge_join_without_a_jump(void **state)
{
    (void)state;
    for (double lead = 30 * degree; lead < 110 * degree; lead += 13 * degree) {
        const struct sw_edge edge = {.nose = 0.08, .lead = lead};
        const double at = sw_chip_nose_depth(&edge);
        const struct sw_chip below = sw_chip_of(&edge, at * (1 - 1e-9), 0.004);
        const struct sw_chip above = sw_chip_of(&edge, at * (1 + 1e-9), 0.004);
        assert_near(below.length, above.length, 1e-6);
        assert_near_relative(below.most, above.most, 1e-6);
        assert_near_relative(below.area_radial, above.area_radial, 1e-6);
        assert_near_relative(below.area_axial, above.area_axial, 1e-6);
        /* Always: axial shadow of the edge is the depth. */
        const struct sw_chip deep = sw_chip_of(&edge, 0.5, 0.004);
        assert_near_relative(deep.edge_axial, 0.5, 1e-13);
        assert_near_relative(deep.mean * deep.length, 0.5 * 0.004, 1e-13);
    }
    /* An edge that leans forward pulls in deep cuts. */
    const struct sw_chip deep = sw_chip_of(&round_edge, 3, 0.005);
    assert_true(deep.area_radial < 0);
    assert_near(deep.most, 0.005, 0);
}

static void integrals_agree_with_plain_sums(void **state)
{
    (void)state;
    const double exponents[] = {0, 0.14, 0.25, 0.3, 0.6};
    const double depths[] = {0.002, 0.02, 0.09, 0.3};
    for (size_t e = 0; e < 5; e++)
        for (size_t k = 0; k < 4; k++) {
            const struct sw_chip chip = sw_chip_of(&round_edge, depths[k], 0.005);
            const struct sw_chip_sums got = sw_chip_sums_of(&round_edge, &chip, exponents[e]);
            enum { SLICES = 200000 };
            double all = 0, radial = 0, axial = 0;
            for (int i = 0; i < SLICES; i++) {
                const double phi = chip.nose_angle * (i + 0.5) / SLICES;
                const double part =
                    pow(0.005 * sin(phi), 1 - exponents[e]) * chip.nose_length / SLICES;
                all += part;
                radial += part * cos(phi);
                axial += part * sin(phi);
            }
            if (chip.straight_length > 0) {
                const double phi = round_edge.lead;
                const double part = pow(0.005 * sin(phi), 1 - exponents[e]) * chip.straight_length;
                all += part;
                radial += part * cos(phi);
                axial += part * sin(phi);
            }
            assert_near_relative(got.all, all, 1e-6);
            assert_near(got.radial, radial, 1e-6 * all);
            assert_near_relative(got.axial, axial, 1e-6);
            if (exponents[e] == 0) {
                assert_near_relative(got.all, chip.length * chip.mean, 1e-7);
                assert_near(got.radial, chip.area_radial, 1e-7 * got.all);
                assert_near_relative(got.axial, chip.area_axial, 1e-7);
            }
        }
}

static void the_section_misses_what_the_nose_leaves(void **state)
{
    (void)state;
    /* The ridge left a turn has the area under the arc; for small feeds f^3/(24 r) by the parabola
     * of height f^2/(8 r): a third of base times height. */
    const double full = 0.02 * 0.005;
    const double left = full - sw_chip_section(&round_edge, 0.02, 0.005);
    assert_near_relative(left, 0.005 * 0.005 * 0.005 / (24 * 0.1), 1e-3);
    assert_near(sw_chip_section(&round_edge, 0, 0.005), 0, 0);
}

static void the_least_feed_makes_just_a_chip(void **state)
{
    (void)state;
    const double least = sw_chip_least(0.3, 0.002);
    assert_near(least, 0.0006, 1e-18);
    const double feed = sw_chip_least_feed(&round_edge, 0.005, least);
    assert_near_relative(sw_chip_of(&round_edge, 0.005, feed).most, least, 1e-13);
    assert_near(sw_chip_of(&round_edge, 0, 0.1).length, 0, 0);
    assert_near(sw_chip_of(&round_edge, 0.1, 0).area, 0, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_engaged_nose_has_its_known_angles),
        cmocka_unit_test(a_round_insert_has_the_makers_chip),
        cmocka_unit_test(a_straight_edge_has_the_book_chip),
        cmocka_unit_test(nose_and_straight_edge_join_without_a_jump),
        cmocka_unit_test(integrals_agree_with_plain_sums),
        cmocka_unit_test(the_section_misses_what_the_nose_leaves),
        cmocka_unit_test(the_least_feed_makes_just_a_chip),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
