/* Cutting forces against published tables, and what the band promises. Marks as in
 * test_mech_chip.c. */
#include <math.h>

#include "mech/force.h"

#include "support/near.h"

static const double degree = 3.14159265358979323846 / 180;

static void power_is_the_makers_example(void **state)
{
    (void)state;
    /* Mitsubishi (published): ap 3, f 0.2, vc 120, kc 3100, efficiency 0.8: 4.65 kW. */
    assert_near_relative(sw_force_power(3100, 3, 0.2, 120, 0.8), 4.65, 1e-6);
    assert_near_relative(sw_force_torque(10, 0.5), 0.005, 1e-15);
}

static void kienzle_meets_the_chuck_makers_table(void **state)
{
    (void)state;
    /* Roehm RN-1391, p. 43 (published): specific force in N/mm2 at 45 degrees for six feeds. kc1.1
     * and mc of the steels are those of German handbooks (recalled). */
    const double feed[] = {0.16, 0.25, 0.4, 0.63, 1.0, 1.6};
    const struct {
        double kc, mc, within, table[6];
    } steels[] = {
        {1990, 0.26, 0.015, {3500, 3100, 2750, 2450, 2150, 1950}}, /* E295 */
        {2110, 0.17, 0.02, {3050, 2800, 2600, 2400, 2200, 2050}},  /* E335 */
        {2260, 0.30, 0.012, {4350, 3800, 3300, 2900, 2500, 2200}}, /* E360 */
    };
    for (size_t i = 0; i < 3; i++)
        for (size_t k = 0; k < 6; k++)
            assert_near_relative(
                sw_force_specific(steels[i].kc, steels[i].mc, feed[k] * sin(45 * degree)),
                steels[i].table[k], steels[i].within);
    /* Brass: Iscar's constants give Hainbuch's table (both published). */
    assert_near_relative(sw_force_specific(700, 0.27, 0.1), 1300, 0.01);
    assert_near_relative(sw_force_specific(700, 0.27, 0.5), 850, 0.01);
    assert_near_relative(sw_force_specific(700, 0.27, 1.0), 700, 0.01);
}

static void kienzle_gives_the_worked_forces(void **state)
{
    (void)state;
    /* E295, ap 2, f 0.25 and E335, ap 3, f 0.32 (derived). */
    const double s = sin(45 * degree), t = sin(70 * degree);
    assert_near_relative(sw_force_kienzle(1990, 0.26, 2 / s, 0.25 * s), 1561.32, 1e-5);
    assert_near_relative(sw_force_kienzle(2110, 0.17, 3 / t, 0.32 * t), 2484.7, 1e-5);
    /* On a nose: ap 0.02, r 0.1, f 0.005 in C60, integral and mean thickness (derived). */
    const struct sw_edge edge = {.nose = 0.1, .lead = 95 * degree};
    const struct sw_chip chip = sw_chip_of(&edge, 0.02, 0.005);
    assert_near_relative(sw_force_kienzle_edge(2130, 0.18, &edge, &chip), 0.662623, 1e-5);
    assert_near_relative(sw_force_kienzle(2130, 0.18, chip.length, chip.mean), 0.682211, 1e-5);
    /* Others, same cut, and ap 0.005, r 0.05, f 0.003. */
    const double rows[][4] = {{2130, 0.18, 0.663, 0.116},
                              {1310, 0.18, 0.408, 0.071},
                              {2220, 0.26, 1.147, 0.214},
                              {780, 0.18, 0.243, 0.042},
                              {4600, 0.25, 2.23, 0.413}};
    const struct sw_edge fine = {.nose = 0.05, .lead = 95 * degree};
    const struct sw_chip small = sw_chip_of(&fine, 0.005, 0.003);
    for (size_t i = 0; i < 5; i++) {
        assert_near_relative(sw_force_kienzle_edge(rows[i][0], rows[i][1], &edge, &chip),
                             rows[i][2], 3e-3);
        assert_near(sw_force_kienzle_edge(rows[i][0], rows[i][1], &fine, &small), rows[i][3], 6e-4);
    }
}

static void factors_are_those_of_the_handbooks(void **state)
{
    (void)state;
    bool is_published = false;
    assert_near_relative(sw_force_speed_factor(20, &is_published), 1.2792, 1e-4);
    assert_true(is_published);
    assert_near_relative(sw_force_speed_factor(50, NULL), 1.1119, 1e-4);
    assert_near_relative(sw_force_speed_factor(100, NULL), 1.0000, 1e-4);
    assert_near_relative(sw_force_speed_factor(100.0001, NULL), 1.0000, 1e-3);
    assert_near(sw_force_speed_factor(3, &is_published), 1.71, 5e-3);
    assert_false(is_published);
    assert_near(sw_force_rake_factor(16 * degree, 6 * degree), 0.85, 1e-12);
    assert_near(sw_force_rake_factor(6 * degree, 6 * degree), 1, 0);
}

static struct sw_force_case blue_steel(double nose)
{
    return (struct sw_force_case){.edge = {.nose = nose, .lead = 95 * degree},
                                  .edge_radius = 0.002,
                                  .specific_force = 2500,
                                  .exponent = 0.24,
                                  .least_chip = 0.3,
                                  .speed = 3,
                                  .factors = {1, 1, 1, 1},
                                  .constants = sw_force_default_constants()};
}

static void a_least_chip_pushes_as_the_model_study_found(void **state)
{
    (void)state;
    /* Depth 5 um, edge radius 2 um, least feed that makes a chip: thrust 0.14, 0.17, 0.24 N for
     * noses of 0.03, 0.05, 0.10, high 0.24 to 0.42; 0.03 to 0.05 (chip alone) without the edge. A
     * model study of the same kind, no measurement; the share of thrust on the edge (1.75, within
     * the estimate of 1.5 to 2) was chosen by it, so this keeps the constants and proves no more. */
    const double nose[] = {0.03, 0.05, 0.10}, thrust[] = {0.14, 0.17, 0.24};
    for (size_t i = 0; i < 3; i++) {
        struct sw_force_case of = blue_steel(nose[i]);
        const double feed = sw_chip_least_feed(&of.edge, 0.005, 0.0006 * (1 + 1e-9));
        const struct sw_force_band band = sw_force_turn(&of, 0.005, feed);
        assert_near_relative(band.nominal.thrust, thrust[i], 0.1);
        assert_true(band.high.thrust > 0.22 && band.high.thrust < 0.45);
        assert_false(band.is_rubbing);
        assert_true(band.is_ploughing);
        of.edge_radius = 0;
        assert_true(sw_force_nominal(&of, &band.chip).thrust < 0.05);
    }
}

static void the_band_holds_its_middle(void **state)
{
    (void)state;
    for (double depth = 0.001; depth < 2; depth *= 1.7)
        for (double feed = 0.0005; feed < 0.2; feed *= 1.9) {
            const struct sw_force_case of = blue_steel(0.05);
            const struct sw_force_band band = sw_force_turn(&of, depth, feed);
            assert_true(band.low.cutting <= band.nominal.cutting);
            assert_true(band.nominal.cutting <= band.high.cutting);
            assert_true(band.low.thrust <= band.nominal.thrust);
            assert_true(band.nominal.thrust <= band.high.thrust);
            assert_true(band.low.feed <= band.nominal.feed);
            assert_true(band.nominal.feed <= band.high.feed);
            /* Kienzle carried on lies inside it. */
            const double kienzle =
                sw_force_kienzle_edge(of.specific_force, of.exponent, &of.edge, &band.chip);
            assert_true(band.low.cutting <= kienzle && kienzle <= band.high.cutting);
        }
}

static void in_the_published_range_the_nominal_law_is_kienzle(void **state)
{
    (void)state;
    const struct sw_force_case of = blue_steel(0);
    const struct sw_force_band band = sw_force_turn(&of, 2, 0.1);
    const double kienzle = sw_force_kienzle(2500, 0.24, band.chip.length, band.chip.mean);
    assert_near_relative(band.nominal.cutting, kienzle, 0.03);
    assert_true(band.nominal.cutting > kienzle);
}

static void forces_grow_with_depth_feed_and_wear(void **state)
{
    (void)state;
    struct sw_force_case of = blue_steel(0.05);
    struct sw_force before = {0};
    for (double depth = 0.002; depth < 0.05; depth += 0.002) {
        const struct sw_force now = sw_force_turn(&of, depth, 0.003).nominal;
        assert_true(now.cutting > before.cutting && now.thrust > before.thrust);
        before = now;
    }
    const struct sw_force slow = sw_force_turn(&of, 0.01, 0.003).nominal;
    assert_true(sw_force_turn(&of, 0.01, 0.004).nominal.cutting > slow.cutting);
    of.factors.wear = SW_FORCE_WORN;
    assert_near_relative(sw_force_turn(&of, 0.01, 0.003).nominal.cutting, 1.3 * slow.cutting,
                         1e-12);
    of = blue_steel(0.05);
    of.edge_radius = 0.006;
    assert_true(sw_force_turn(&of, 0.01, 0.003).nominal.thrust > 1.5 * slow.thrust);
}

static void rubbing_is_told(void **state)
{
    (void)state;
    const struct sw_force_case of = blue_steel(0.05);
    assert_true(sw_force_turn(&of, 0.0005, 0.001).is_rubbing);
    assert_false(sw_force_turn(&of, 0.02, 0.005).is_rubbing);
    assert_false(sw_force_turn(&of, 0.5, 0.02).is_ploughing);
    const struct sw_force_band none = sw_force_turn(&of, 0, 0.01);
    assert_near(none.high.cutting, 0, 0);
    assert_near(none.low.thrust, 0, 0);
}

static void a_leaning_edge_pulls_in_deep_cuts(void **state)
{
    (void)state;
    struct sw_force_case of = blue_steel(0.03);
    const struct sw_force_band deep = sw_force_turn(&of, 2, 0.02);
    assert_true(deep.low.thrust < deep.nominal.thrust && deep.nominal.thrust < 0);
    of.edge.lead = 90 * degree;
    assert_true(sw_force_turn(&of, 2, 0.02).nominal.thrust > 0);
}

static void facing_turns_the_components_round(void **state)
{
    (void)state;
    const struct sw_force_case of = blue_steel(0.05);
    const struct sw_force_band turn = sw_force_turn(&of, 0.02, 0.005);
    const struct sw_force_band face = sw_force_face(&of, 0.02, 0.005);
    assert_near(face.nominal.thrust, turn.nominal.feed, 0);
    assert_near(face.high.feed, turn.high.thrust, 0);
    assert_near(face.low.cutting, turn.low.cutting, 0);
}

static void a_blade_only_pushes_inward(void **state)
{
    (void)state;
    const struct sw_force_case of = blue_steel(0.02);
    const struct sw_force_band band = sw_force_part(&of, 0.5, 0.003);
    assert_near(band.high.feed, 0, 0);
    const double kienzle = SW_FORCE_PARTING * sw_force_kienzle(2500, 0.24, 0.5, 0.003);
    assert_true(band.low.cutting <= kienzle && kienzle <= band.high.cutting);
    /* Twice as wide, twice the force. */
    assert_near_relative(sw_force_part(&of, 1.0, 0.003).nominal.thrust, 2 * band.nominal.thrust,
                         1e-12);
    assert_near(sw_force_part(&of, 0, 0.003).high.cutting, 0, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(power_is_the_makers_example),
        cmocka_unit_test(kienzle_meets_the_chuck_makers_table),
        cmocka_unit_test(kienzle_gives_the_worked_forces),
        cmocka_unit_test(factors_are_those_of_the_handbooks),
        cmocka_unit_test(a_least_chip_pushes_as_the_model_study_found),
        cmocka_unit_test(the_band_holds_its_middle),
        cmocka_unit_test(in_the_published_range_the_nominal_law_is_kienzle),
        cmocka_unit_test(forces_grow_with_depth_feed_and_wear),
        cmocka_unit_test(rubbing_is_told),
        cmocka_unit_test(a_leaning_edge_pulls_in_deep_cuts),
        cmocka_unit_test(facing_turns_the_components_round),
        cmocka_unit_test(a_blade_only_pushes_inward),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
