/* Grip: areas and Coulomb's law by hand (derived, no published source). */
#include "mech/grip.h"
#include "support/near.h"

static void small_work_is_held_by_what_it_bears_before_it_is_marked(void **state)
{
    (void)state;
    /* 2 pi 0.57875 x 0.28 = 1.01819 mm2; 100 MPa on it are 101.8 N, of which 0.15 keep. */
    assert_near(sw_grip_keeps(SW_GRIP_BRASS, 0.57875, 0.28), 15.2728, 1e-4);
    assert_near(sw_grip_keeps(SW_GRIP_STEEL, 0.57875, 0.28), 2 * 15.2728, 2e-4);
    assert_near(sw_grip_keeps(SW_GRIP_CEMENT, 0.57875, 0.28), 2.03638, 1e-5);
}

static void a_rod_is_held_by_what_the_hand_draws_in(void **state)
{
    (void)state;
    assert_near(sw_grip_keeps(SW_GRIP_STEEL, 1, 12), 150, 1e-9);
    assert_near(sw_grip_keeps(SW_GRIP_STEEL, 1, 24), 150, 1e-9);
}

static void a_cut_further_out_asks_for_more(void **state)
{
    (void)state;
    assert_near(sw_grip_needs(4, 0, 1.0, 0.5, false), 8, 1e-12);
    assert_near(sw_grip_needs(3, 8, 0.5, 1.0 / 4, false), 10, 1e-12); /* 6 and 8 */
}

static void a_shoulder_on_the_nose_takes_what_pushes_inward_and_no_pull(void **state)
{
    (void)state;
    assert_near(sw_grip_needs(3, 8, 0.5, 0.25, true), 6, 1e-12);
    assert_near(sw_grip_needs(3, -8, 0.5, 0.25, true), 10, 1e-12);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(small_work_is_held_by_what_it_bears_before_it_is_marked),
        cmocka_unit_test(a_rod_is_held_by_what_the_hand_draws_in),
        cmocka_unit_test(a_cut_further_out_asks_for_more),
        cmocka_unit_test(a_shoulder_on_the_nose_takes_what_pushes_inward_and_no_pull),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
