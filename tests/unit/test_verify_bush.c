/* A sliding headstock: the bar is fed out of a guide bush, and what bends starts at the bush.
 *
 * The bar of the tests is 2.0 thick, the collet stands 60 behind the finished end face, the bush
 * has a land of 8. The cut is that of test_verify_loads.c: thrust 0.41016 N, feed 0.54439 N. */
#include <math.h>

#include "mech/bush.h"
#include "support/near.h"
#include "support/peg.h"

static const double pi = 3.14159265358979323846;
static const double thrust = 0.41016, feed = 0.54439, nose = 0.05;
static const double collet_z = -60, gap = 0.5, modulus = 206000;

static struct sw_number number(double value)
{
    return (struct sw_number){.value = value, .given = true};
}

/* All tools stand GAP before the face of the bush, the point of station 1 at z = 0.3. */
static void begin(struct sw_lathe *lathe)
{
    sw_lathe_init(lathe);
    lathe->machine.kind.value = SW_MACHINE_SLIDING;
    lathe->machine.change.value = SW_CHANGE_TURRET;
    lathe->machine.bush = (struct sw_machine_bush){.land = number(8),
                                                   .play = number(0.004),
                                                   .give = number(0.5),
                                                   .nose_diameter = number(10),
                                                   .nose_angle = number(0.5),
                                                   .nose_length = number(10)};
    for (int i = 0; i < SW_LATHE_TOOLS; i++)
        lathe->record[0][i].zero_z = number(5);
    lathe->side[0].bush_z = number(5 + gap);
    lathe->side[0].nose_z = number(collet_z);
    lathe->side[0].park_z = number(5.3);
    lathe->at = (struct sw_motion_pt){15, 5.3};
    sw_lathe_use(lathe, 1);
    sw_lathe_spindle(lathe, SW_MOTION_CW, 3000);
}

/* A pass down to R from the end to Z, and the tool drawn away from the axis. */
static void pass(struct sw_lathe *lathe, double r, double z)
{
    sw_lathe_rapid(lathe, 0.3, r + nose);
    sw_lathe_cut(lathe, z, r + nose);
    sw_lathe_rapid(lathe, z, 4);
}

static const struct sw_verdict *judge(struct sw_lathe *lathe)
{
    sw_lathe_end(lathe);
    return sw_peg_judge(lathe, NULL);
}

static void expect_none(const struct sw_verdict *verdict, enum sw_finding_code code)
{
    if (sw_peg_finding(verdict, code) != NULL)
        sw_peg_print(verdict);
    assert_null(sw_peg_finding(verdict, code));
}

static void a_zone_turned_at_the_bush_is_held(void **state)
{
    (void)state;
    struct sw_lathe lathe;
    begin(&lathe);
    pass(&lathe, 0.95, -6);
    sw_lathe_cut(&lathe, -9, 4); /* the bar is fed on, not back */
    const struct sw_verdict *verdict = judge(&lathe);
    expect_none(verdict, SW_FINDING_LOST_SUPPORT);
    expect_none(verdict, SW_FINDING_NOSE_TOUCHES);
    sw_lathe_done(&lathe);
}

/* Turned to z = -3 the bush may come forward over it as far as half the land: its face to z = 1,
 * its point to 1.5. */
static void a_short_zone_may_be_drawn_back_for_its_next_pass(void **state)
{
    (void)state;
    struct sw_lathe lathe;
    begin(&lathe);
    pass(&lathe, 0.95, -3);
    sw_lathe_rapid(&lathe, 0.3, 4);
    pass(&lathe, 0.90, -3);
    expect_none(judge(&lathe), SW_FINDING_LOST_SUPPORT);
    sw_lathe_done(&lathe);
}

static void turned_work_drawn_back_into_the_bush_is_found(void **state)
{
    (void)state;
    struct sw_lathe lathe;
    begin(&lathe);
    pass(&lathe, 0.95, -6);
    sw_lathe_rapid(&lathe, 0.3, 4); /* face of the bush at -0.2: 5.85 of its 8 turned down */
    const uint32_t line = sw_lathe_line(&lathe);
    pass(&lathe, 0.90, -6);
    const struct sw_verdict *verdict = judge(&lathe);
    const struct sw_finding *finding = sw_peg_finding(verdict, SW_FINDING_LOST_SUPPORT);
    assert_non_null(finding);
    assert_false(verdict->passes);
    assert_int_equal(finding->severity, SW_ERROR);
    assert_int_equal(finding->line, line);
    /* the edge leaves its round corner: full size begins behind the centre of the nose */
    assert_near(finding->value, 5.8, 0.06);
    assert_near(finding->limit, 4, 1e-12);
    sw_lathe_done(&lathe);
}

static void a_bar_drawn_out_of_the_bush_is_found(void **state)
{
    (void)state;
    struct sw_lathe lathe;
    begin(&lathe);
    pass(&lathe, 0.95, -1);
    sw_lathe_rapid(&lathe, 12, 4); /* where hands have room on a bench lathe */
    const uint32_t line = sw_lathe_line(&lathe);
    const struct sw_finding *finding = sw_peg_finding(judge(&lathe), SW_FINDING_LOST_SUPPORT);
    assert_non_null(finding);
    assert_int_equal(finding->line, line);
    assert_near(finding->value, 8, 1e-9);
    sw_lathe_done(&lathe);
}

static void what_was_turned_by_less_than_the_play_is_still_held(void **state)
{
    (void)state;
    struct sw_lathe lathe;
    begin(&lathe);
    pass(&lathe, 0.9985, -6);
    sw_lathe_rapid(&lathe, 0.3, 4);
    expect_none(judge(&lathe), SW_FINDING_LOST_SUPPORT);
    sw_lathe_done(&lathe);
}

static void a_record_that_does_not_say_where_the_bush_stands_is_found(void **state)
{
    (void)state;
    struct sw_lathe lathe;
    begin(&lathe);
    lathe.side[0].bush_z.given = false;
    pass(&lathe, 0.95, -1);
    const struct sw_verdict *verdict = judge(&lathe);
    assert_non_null(sw_peg_finding(verdict, SW_FINDING_LOST_SUPPORT));
    assert_false(verdict->passes);
    sw_lathe_done(&lathe);
}

static double second_moment(double d)
{
    return pi * d * d * d * d / 64;
}

/* Overhang C beyond a tight bush, the bar pinned a length L behind it: Gere and Goodno, appendix,
 * overhang case, from memory; with Cowper's shear on the overhang. */
static double give_of(double d, double l, double c)
{
    const double shear = 0.8864 * 79231 * pi * d * d / 4;
    return c * c * (l + c) / (3 * modulus * second_moment(d)) + c / shear;
}

static double lean_of(double d, double l, double c)
{
    return (c * c / 2 + c * l / 3) / (modulus * second_moment(d));
}

static void bending_is_that_of_a_bar_in_a_bush(void **state)
{
    (void)state;
    struct sw_lathe lathe;
    begin(&lathe);
    pass(&lathe, 0.95, -3);
    const struct sw_verdict_worst *worst = &judge(&lathe)->deflection_um;
    /* furthest from the collet where the cut begins: all overhangs are alike */
    const double c = gap + nose, l = 60 + 0.1 - c;
    const double bend =
        thrust * (give_of(2, l, c) + 0.5e-3) - feed * (1 - 0.025) * lean_of(2, l, c);
    assert_near(1000 * worst->nominal, 1e6 * fabs(bend), 0.02 * 1e6 * fabs(bend));
    assert_int_equal(worst->line, 4);
    sw_lathe_done(&lathe);
}

/* The same by the force method of mech/bush.h, which knows nothing of a root that turns. */
static void a_root_that_turns_stands_for_the_bar_behind_the_bush(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const double l = 60, c = 0.55, d = 2;
    const struct sw_bar_material steel = {modulus, 0.3};
    const struct sw_bar_piece whole = {0, l + c, d, d}, front = {0, c, d, d};
    const struct sw_bar_root rigid = {0};
    const struct sw_bar_root turns = {.rotation = l / (3 * modulus * second_moment(d))};
    struct sw_bar in_bush = {0}, from_bush = {0};
    assert_int_equal(sw_bar_build(&in_bush, &whole, 1, &steel, &rigid, SW_BAR_BENDING, &ctx),
                     SW_OK);
    assert_int_equal(sw_bar_build(&from_bush, &front, 1, &steel, &turns, SW_BAR_BENDING, &ctx),
                     SW_OK);
    const struct sw_bush bush = {.at = l, .is_root_pinned = true};
    const double wanted = sw_bush_deflection(&in_bush, &bush, l + c, l + c, 1);
    assert_near(1e6 * sw_bar_compliance(&from_bush, c, c), 1e6 * wanted, 1e-6 * 1e6 * wanted);
    sw_test_ctx_free(&ctx);
}

/* Turned to z = -3 the bar is held no further out than that, though the face of the bush stands at
 * -0.4 when the next pass begins: the overhang is of the turned diameter. */
static void what_is_turned_down_is_not_held_by_the_bush(void **state)
{
    (void)state;
    struct sw_lathe lathe;
    begin(&lathe);
    pass(&lathe, 0.95, -3);
    pass(&lathe, 0.90, -3);
    const struct sw_verdict *verdict = judge(&lathe);
    const struct sw_verdict_worst *worst = &verdict->deflection_um;
    expect_none(verdict, SW_FINDING_LOST_SUPPORT);
    /* the corner of the nose: whole from -3 + 0 to -3 - 0.05 on */
    const double c = 3.05, l = 60 - 3.05;
    const double whole = second_moment(2), thin = second_moment(1.9);
    const double give = c * c * l / (3 * modulus * whole) + c * c * c / (3 * modulus * thin) +
                        c / (0.8864 * 79231 * pi * 1.9 * 1.9 / 4);
    const double lean = c * l / (3 * modulus * whole) + c * c / (2 * modulus * thin);
    const double bend = thrust * (give + 0.5e-3) - feed * (0.95 - 0.025) * lean;
    assert_near(1000 * worst->nominal, 1e6 * fabs(bend), 0.05 * 1e6 * fabs(bend));
    sw_lathe_done(&lathe);
}

static void a_tool_that_reaches_behind_the_face_of_the_bush_is_found(void **state)
{
    (void)state;
    struct sw_lathe lathe;
    begin(&lathe);
    lathe.side[0].bush_z.value = 5; /* the point stands in line with the face */
    pass(&lathe, 0.95, -1);
    const struct sw_verdict *verdict = judge(&lathe);
    assert_non_null(sw_peg_finding(verdict, SW_FINDING_NOSE_TOUCHES));
    assert_false(verdict->passes);
    sw_lathe_done(&lathe);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_zone_turned_at_the_bush_is_held),
        cmocka_unit_test(a_short_zone_may_be_drawn_back_for_its_next_pass),
        cmocka_unit_test(turned_work_drawn_back_into_the_bush_is_found),
        cmocka_unit_test(a_bar_drawn_out_of_the_bush_is_found),
        cmocka_unit_test(what_was_turned_by_less_than_the_play_is_still_held),
        cmocka_unit_test(a_record_that_does_not_say_where_the_bush_stands_is_found),
        cmocka_unit_test(bending_is_that_of_a_bar_in_a_bush),
        cmocka_unit_test(a_root_that_turns_stands_for_the_bar_behind_the_bush),
        cmocka_unit_test(what_is_turned_down_is_not_held_by_the_bush),
        cmocka_unit_test(a_tool_that_reaches_behind_the_face_of_the_bush_is_found),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
