/* Holes of stake and punches, worked out again by hand from the sample staffs. That a hole clears
 * by 0.02 is common practice, no source; the rest is geometry. */
#include <math.h>

#include "fit/staking.h"
#include "support/near.h"
#include "test_part_fixture.h"

static void a_riveted_staff_stands_on_its_hub_and_is_opened_from_its_recess(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_staking staking = sw_staking_of(load_sample("fenmoor-43", &ctx));
    assert_int_equal(staking.fixing, SW_FIX_RIVETED);
    assert_false(staking.points_down);
    /* Through the stake: the roller seat, 0.54 + 0.002. The hub of 1.66 loses tan 17.5 degrees to
     * each side over 0.52 - 0.15. */
    const double face = 1.66 - 2 * 0.37 * tan(17.5 * acos(-1.0) / 180);
    assert_near(staking.stake.least, 0.562, 1e-9);
    assert_near(staking.stake.most, (0.542 + face) / 2, 1e-9);
    assert_near(staking.stake.depth, 2.12 + 0.2, 1e-9);
    /* Over the collet seat, 0.82 + 0.005, into the recess: 1.16 less two lips of 0.05. */
    assert_near(staking.punch.least, 0.845, 1e-9);
    assert_near(staking.punch.most, 1.06, 1e-9);
    assert_near(staking.punch.depth, 0.26 + 0.38 + 0.18 + 0.70 + 0.2, 1e-9);
    assert_true(staking.has_roller);
    assert_near(staking.roller.least, 0.562, 1e-9);
    sw_test_ctx_free(&ctx);
}

static void with_the_spring_below_everything_is_upside_down(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_staking staking = sw_staking_of(load_sample("millrace", &ctx));
    assert_true(staking.points_down);
    /* Through the stake: the upper shank, 0.62 + 0.010; over the collet seat, 0.72 + 0.005. */
    assert_near(staking.stake.least, 0.65, 1e-9);
    assert_near(staking.punch.least, 0.745, 1e-9);
    assert_near(staking.punch.most, 0.90, 1e-9);
    sw_test_ctx_free(&ctx);
}

static void a_friction_staff_is_pushed_on_the_shoulder_behind_its_slope(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_staff *staff = load_sample("harrow-2p", &ctx);
    const struct sw_staking staking = sw_staking_of(staff);
    assert_int_equal(staking.fixing, SW_FIX_FRICTION);
    assert_int_equal(staking.rivet, staff->n);
    assert_true(staking.points_down);
    /* The friction seat, 0.90 + 0.008, goes through; the ridge of 0.36 into the punch, which bears
     * on the shank of 0.54 + 0.010. */
    assert_near(staking.stake.least, 0.928, 1e-9);
    assert_true(staking.punch.least >= 0.38 && staking.punch.least <= 0.391);
    assert_true(staking.punch.most > staking.punch.least && staking.punch.most < 0.55);
    sw_test_ctx_free(&ctx);
}

static void a_driven_balance_is_pushed_home_beside_its_seat(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_staff *staff =
        parse_around("  - seat: {name: collet seat, diameter: 0.8, length: 0.7}\n"
                     "  - seat: {name: balance seat, diameter: 1.1, length: 0.3}\n"
                     "  - hub: {diameter: 1.6, length: 0.5}\n"
                     "  - seat: {name: roller seat, diameter: 0.5, length: free}\n",
                     &ctx);
    const struct sw_staking staking = sw_staking_of(staff);
    assert_int_equal(staking.fixing, SW_FIX_DRIVEN);
    assert_false(staking.points_down);
    const double upper = staff->section[staking.seat].diameter_tolerance.upper;
    assert_near(staking.punch.least, 1.1 + upper + 0.02, 1e-9);
    assert_true(staking.punch.most > staking.punch.least);
    /* The hub stands on the stake, the roller seat goes through. */
    assert_true(staking.stake.least > 0.5 && staking.stake.most < 1.6);
    sw_test_ctx_free(&ctx);
}

static void every_sample_leaves_room_for_its_holes(void **state)
{
    (void)state;
    for (size_t i = 0; i < N_SAMPLE_STAFFS; i++) {
        struct sw_ctx ctx = sw_test_ctx();
        const struct sw_staking staking = sw_staking_of(load_sample(sample_staffs[i], &ctx));
        assert_true(staking.stake.most > staking.stake.least);
        assert_true(staking.punch.most > staking.punch.least);
        assert_true(staking.roller.most > staking.roller.least);
        sw_test_ctx_free(&ctx);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_riveted_staff_stands_on_its_hub_and_is_opened_from_its_recess),
        cmocka_unit_test(with_the_spring_below_everything_is_upside_down),
        cmocka_unit_test(a_friction_staff_is_pushed_on_the_shoulder_behind_its_slope),
        cmocka_unit_test(a_driven_balance_is_pushed_home_beside_its_seat),
        cmocka_unit_test(every_sample_leaves_room_for_its_holes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
