/* Offsets along Z from gauged lengths. Expected values worked by hand beside each check. */
#include "support/near.h"

#include <math.h>

#include "gauge/lengths.h"

/* Tool 0 counts as right and cuts the first side (way -1); 1 is its neighbour there; 2 and 3 cut
 * the second side (way 1). */
enum { RIGHT, BESIDE, SECOND, OTHER, N_TOOLS };

static void a_length_across_both_sides_tells_of_the_tool_of_the_second(void **state)
{
    (void)state;
    /* the lower tip stands 0.012 too far from the shoulder at rest: the tool is 0.012 off away from
     * the headstock, with the doubt of the one reading */
    const struct sw_gauge_span span = {RIGHT, SECOND, -1, 1, 0.012, 0.001};
    struct sw_gauge_z tool[N_TOOLS];
    sw_gauge_z(tool, N_TOOLS, RIGHT, &span, 1);
    assert_true(tool[SECOND].is_known);
    assert_near(tool[SECOND].offset.value, 0.012, 1e-12);
    assert_near(tool[SECOND].offset.u, 0.001, 1e-12);
    assert_false(tool[BESIDE].is_known);
    assert_false(tool[OTHER].is_known);
}

static void on_the_first_side_a_face_nearer_the_upper_tip_stands_further_out(void **state)
{
    (void)state;
    /* z of the part grows towards the headstock there: a tool 0.005 off away from it makes the
     * piece longer by 0.005 from its face to the one at rest, which lies below it */
    const struct sw_gauge_span span = {BESIDE, RIGHT, -1, -1, 0.005, 0.001};
    struct sw_gauge_z tool[N_TOOLS];
    sw_gauge_z(tool, N_TOOLS, RIGHT, &span, 1);
    assert_near(tool[BESIDE].offset.value, 0.005, 1e-12);
}

static void readings_are_joined_in_chains(void **state)
{
    (void)state;
    /* 0 to 2: +0.010, 2 to 3: -0.004; so 3 is off by 0.006, its doubt sqrt(1 + 1) um, and 2 by the
     * one reading alone */
    const struct sw_gauge_span span[] = {{RIGHT, SECOND, -1, 1, 0.010, 0.001},
                                         {SECOND, OTHER, 1, 1, -0.004, 0.001}};
    struct sw_gauge_z tool[N_TOOLS];
    sw_gauge_z(tool, N_TOOLS, RIGHT, span, 2);
    assert_near(tool[SECOND].offset.value, 0.010, 1e-12);
    assert_near(tool[OTHER].offset.value, 0.006, 1e-12);
    assert_near(tool[OTHER].offset.u, 0.001 * sqrt(2), 1e-12);
}

static void what_hangs_together_but_not_with_the_face_at_rest_is_not_guessed(void **state)
{
    (void)state;
    const struct sw_gauge_span span[] = {{SECOND, OTHER, 1, 1, -0.004, 0.001},
                                         {BESIDE, BESIDE, -1, -1, 0.001, 0.001}};
    struct sw_gauge_z tool[N_TOOLS];
    sw_gauge_z(tool, N_TOOLS, RIGHT, span, 2);
    assert_false(tool[SECOND].is_known);
    assert_false(tool[OTHER].is_known);
    assert_false(tool[BESIDE].is_known);
    assert_int_equal(tool[BESIDE].n, 1);
    assert_int_equal(tool[OTHER].n, 1);
}

static void a_better_reading_weighs_more_and_contradiction_widens_the_doubt(void **state)
{
    (void)state;
    /* weights 1 / 1 and 1 / 4: mean (10 + 20 / 4) / 1.25 = 12; chi-square 4 / 1 + 64 / 4 = 20 over
     * one degree of freedom; u = sqrt(20 / 1.25) = 4, all in um */
    const struct sw_gauge_span span[] = {{RIGHT, SECOND, -1, 1, 0.010, 0.001},
                                         {RIGHT, SECOND, -1, 1, 0.020, 0.002}};
    struct sw_gauge_z tool[N_TOOLS];
    sw_gauge_z(tool, N_TOOLS, RIGHT, span, 2);
    assert_near(tool[SECOND].offset.value, 0.012, 1e-12);
    assert_near(tool[SECOND].offset.u, 0.004, 1e-12);
}

static void both_faces_of_one_tool_tell_nothing_and_widen_nothing(void **state)
{
    (void)state;
    const struct sw_gauge_span span[] = {{RIGHT, SECOND, -1, 1, 0.010, 0.001},
                                         {SECOND, SECOND, 1, 1, 0.5, 0.001}};
    struct sw_gauge_z tool[N_TOOLS];
    sw_gauge_z(tool, N_TOOLS, RIGHT, span, 2);
    assert_near(tool[SECOND].offset.value, 0.010, 1e-12);
    assert_near(tool[SECOND].offset.u, 0.001, 1e-12);
}

static void without_a_face_at_rest_nothing_is_told(void **state)
{
    (void)state;
    const struct sw_gauge_span span = {RIGHT, SECOND, -1, 1, 0.012, 0.001};
    struct sw_gauge_z tool[N_TOOLS];
    sw_gauge_z(tool, N_TOOLS, (size_t)-1, &span, 1);
    for (size_t i = 0; i < N_TOOLS; i++)
        assert_false(tool[i].is_known);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_length_across_both_sides_tells_of_the_tool_of_the_second),
        cmocka_unit_test(on_the_first_side_a_face_nearer_the_upper_tip_stands_further_out),
        cmocka_unit_test(readings_are_joined_in_chains),
        cmocka_unit_test(what_hangs_together_but_not_with_the_face_at_rest_is_not_guessed),
        cmocka_unit_test(a_better_reading_weighs_more_and_contradiction_widens_the_doubt),
        cmocka_unit_test(both_faces_of_one_tool_tell_nothing_and_widen_nothing),
        cmocka_unit_test(without_a_face_at_rest_nothing_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
