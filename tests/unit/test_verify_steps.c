/* One cut in a single move, and the same cut in steps: findings must not depend on how a program
 * divides its way. Every bar is the same rod of 2 mm that stands out 6.1; figures are derived. */
#include <math.h>

#include "support/near.h"
#include "support/peg.h"

static const double nose = 0.05;

/* As long as the nose, as a turn's feed, as SW_WORK_TOUCH allows for slivers, and below it. */
static const double steps[] = {0.05, 0.01, 0.0033, 0.001, 0.0003};
enum { N_STEPS = sizeof steps / sizeof *steps };

struct cut {
    double depth, z, step; /* step 0: one move */
    bool is_standing;      /* the spindle */
};

static void feed_to(struct sw_lathe *lathe, double z0, double z1, double r, double step)
{
    const long n = step > 0 ? lround(fabs(z1 - z0) / step) : 1;
    for (long i = 1; i <= n; i++)
        sw_lathe_cut(lathe, z0 + (z1 - z0) * (double)i / (double)n, r);
}

static void begin(struct sw_lathe *lathe, bool is_standing)
{
    sw_lathe_init(lathe);
    sw_lathe_use(lathe, 1);
    if (!is_standing)
        sw_lathe_spindle(lathe, SW_MOTION_CW, 3000);
    sw_lathe_rapid(lathe, 0.2, 4);
}

static struct sw_verdict *judge_end(struct sw_lathe *lathe, double z)
{
    sw_lathe_rapid(lathe, z, 8);
    sw_lathe_rapid(lathe, 12, 8);
    sw_lathe_end(lathe);
    return sw_peg_judge(lathe, NULL);
}

static struct sw_verdict *judge(struct sw_lathe *lathe, struct cut cut)
{
    const double r = 1 - cut.depth + nose;
    begin(lathe, cut.is_standing);
    sw_lathe_rapid(lathe, 0.2, r);
    feed_to(lathe, 0.2, cut.z, r, cut.step);
    return judge_end(lathe, cut.z);
}

/* Sums over short moves are shared out in places of 2 um, a nose goes 0.05 in: to a hundredth. */
#define ALIKE 0.01

static void a_cut_in_steps_loads_the_work_as_in_one_move(void **state)
{
    (void)state;
    static const double depths[] = {0.05, 0.3};
    for (int d = 0; d < 2; d++) {
        struct sw_lathe lathe;
        const struct sw_verdict *whole = judge(&lathe, (struct cut){depths[d], -0.3, 0, false});
        const double bend = whole->deflection_um.high, stress = whole->stress_mpa.nominal;
        sw_lathe_done(&lathe);
        for (int i = 0; i < N_STEPS; i++) {
            const struct sw_verdict *verdict =
                judge(&lathe, (struct cut){depths[d], -0.3, steps[i], false});
            assert_near(verdict->stress_mpa.nominal, stress, ALIKE * stress);
            assert_near(verdict->deflection_um.high, bend, ALIKE * bend);
            sw_lathe_done(&lathe);
        }
    }
}

/* Feeds and speeds that change from step to step hide nothing: the fastest feed counts. */
static void a_cut_in_unlike_steps_loads_the_work_no_less(void **state)
{
    (void)state;
    struct sw_lathe lathe;
    const struct sw_verdict *whole = judge(&lathe, (struct cut){0.05, -0.3, 0, false});
    const double stress = whole->stress_mpa.nominal;
    sw_lathe_done(&lathe);
    for (int kind = 0; kind < 2; kind++) {
        const double r = 1 - 0.05 + nose;
        begin(&lathe, false);
        sw_lathe_rapid(&lathe, 0.2, r);
        for (int i = 1; i <= 1600; i++) {
            if (kind == 0)
                lathe.state.feed = i % 2 == 0 ? 10 : 9;
            else
                sw_lathe_spindle(&lathe, SW_MOTION_CW, i % 2 == 0 ? 3000 : 3100);
            sw_lathe_cut(&lathe, 0.2 - 0.5 * i / 1600, r);
        }
        assert_near(judge_end(&lathe, -0.3)->stress_mpa.nominal, stress, ALIKE * stress);
        sw_lathe_done(&lathe);
    }
}

/* Down a slope of a fifth, as a line or by treads of 0.3 um; to DEPTH. */
static struct sw_verdict *slope(struct sw_lathe *lathe, double depth, bool is_staircase)
{
    const double r = 1 - depth + 0.1 + nose;
    const int n = is_staircase ? 1600 : 1;
    begin(lathe, false);
    sw_lathe_rapid(lathe, 0.2, r);
    for (int i = 1; i <= n; i++) {
        const double z = 0.2 - 0.5 * i / n;
        if (is_staircase)
            sw_lathe_cut(lathe, z, r - 0.1 * (i - 1) / n);
        sw_lathe_cut(lathe, z, r - 0.1 * i / n);
    }
    return judge_end(lathe, -0.3);
}

/* Treads are seen by their boxes, not further off than the nose: on this slope that is a fifth of
 * it, 0.01. */
static void a_staircase_is_judged_as_the_slope_it_is(void **state)
{
    (void)state;
    struct sw_lathe lathe;
    const double stress = slope(&lathe, 0.15, false)->stress_mpa.nominal;
    sw_lathe_done(&lathe);
    assert_near(slope(&lathe, 0.15, true)->stress_mpa.nominal, stress, 0.01 / 0.15 * stress);
    sw_lathe_done(&lathe);
    for (int is_staircase = 0; is_staircase < 2; is_staircase++) {
        const struct sw_verdict *verdict = slope(&lathe, 0.6, is_staircase);
        const struct sw_finding *finding = sw_peg_finding(verdict, SW_FINDING_DEPTH);
        assert_non_null(finding);
        assert_near(finding->value, 0.59, 0.02);
        sw_lathe_done(&lathe);
        verdict = slope(&lathe, 0.48, is_staircase);
        assert_null(sw_peg_finding(verdict, SW_FINDING_DEPTH));
        sw_lathe_done(&lathe);
    }
}

/* By its hand-worked forces the cut of 0.05 needs 0.987e-3 N m (test_verify_loads.c) and bends the
 * bar by 8.47 MPa at its root. */
static void limits_are_passed_in_steps_as_in_one_move(void **state)
{
    (void)state;
    for (int i = -1; i < N_STEPS; i++) {
        struct sw_lathe lathe;
        judge(&lathe, (struct cut){0.05, -0.3, i < 0 ? 0 : steps[i], false});
        lathe.machine.spindle.torque.value = 0.9e-3;
        lathe.material.yield.value = 8;
        const struct sw_verdict *verdict = sw_peg_judge(&lathe, NULL);
        const struct sw_finding *load = sw_peg_finding(verdict, SW_FINDING_OVERLOAD);
        const struct sw_finding *stress = sw_peg_finding(verdict, SW_FINDING_OVERSTRESS);
        assert_non_null(load);
        assert_int_equal(load->severity, SW_ERROR);
        assert_near(load->value, 0.987e-3, 0.02e-3);
        assert_non_null(stress);
        assert_int_equal(stress->severity, SW_ERROR);
        lathe.machine.spindle.torque.value = 10e-3;
        lathe.material.yield.value = 1500;
        verdict = sw_peg_judge(&lathe, NULL);
        assert_null(sw_peg_finding(verdict, SW_FINDING_OVERLOAD));
        assert_null(sw_peg_finding(verdict, SW_FINDING_OVERSTRESS));
        sw_lathe_done(&lathe);
    }
}

/* The tool stands 0.5. */
static void a_cut_too_deep_is_found_in_steps_too(void **state)
{
    (void)state;
    static const double depths[] = {0.6, 0.5};
    for (int d = 0; d < 2; d++)
        for (int i = -1; i < N_STEPS; i++) {
            struct sw_lathe lathe;
            const struct sw_verdict *verdict =
                judge(&lathe, (struct cut){depths[d], -0.3, i < 0 ? 0 : steps[i], false});
            const struct sw_finding *finding = sw_peg_finding(verdict, SW_FINDING_DEPTH);
            assert_int_equal(finding != NULL, d == 0);
            if (finding != NULL)
                assert_near(finding->value, 0.6, 0.6 * ALIKE);
            sw_lathe_done(&lathe);
        }
}

static void a_standing_spindle_is_found_in_steps_too(void **state)
{
    (void)state;
    for (int i = -1; i < N_STEPS; i++) {
        struct sw_lathe lathe;
        const struct sw_verdict *verdict =
            judge(&lathe, (struct cut){0.05, -0.3, i < 0 ? 0 : steps[i], true});
        assert_non_null(sw_peg_finding(verdict, SW_FINDING_SPINDLE_STOPPED));
        sw_lathe_done(&lathe);
    }
}

/* Faced to the axis; 0.7 is more than the nose allows a short groove, 0.6. */
static struct sw_verdict *face(struct sw_lathe *lathe, struct cut cut)
{
    const double z = 0.1 - cut.depth + nose;
    const long n = cut.step > 0 ? lround(1.12 / cut.step) : 1;
    sw_lathe_init(lathe);
    sw_lathe_use(lathe, 1);
    if (!cut.is_standing)
        sw_lathe_spindle(lathe, SW_MOTION_CW, 3000);
    sw_lathe_rapid(lathe, 12, 8);
    sw_lathe_rapid(lathe, z, 8);
    sw_lathe_rapid(lathe, z, 1.1);
    for (long i = 1; i <= n; i++)
        sw_lathe_cut(lathe, z, 1.1 - 1.12 * (double)i / (double)n);
    sw_lathe_rapid(lathe, z, 8);
    sw_lathe_rapid(lathe, 12, 8);
    sw_lathe_end(lathe);
    return sw_peg_judge(lathe, NULL);
}

static void a_face_in_steps_is_judged_as_in_one_move(void **state)
{
    (void)state;
    struct sw_lathe lathe;
    const struct sw_verdict *whole = face(&lathe, (struct cut){.depth = 0.3});
    const double high = whole->stress_mpa.high;
    sw_lathe_done(&lathe);
    for (int i = 0; i < N_STEPS; i++) {
        const struct sw_verdict *verdict = face(&lathe, (struct cut){0.3, 0, steps[i], false});
        assert_near(verdict->stress_mpa.high, high, 3 * ALIKE * high);
        sw_lathe_done(&lathe);
        verdict = face(&lathe, (struct cut){0.3, 0, steps[i], true});
        assert_non_null(sw_peg_finding(verdict, SW_FINDING_SPINDLE_STOPPED));
        sw_lathe_done(&lathe);
        verdict = face(&lathe, (struct cut){0.7, 0, steps[i], false});
        const struct sw_finding *finding = sw_peg_finding(verdict, SW_FINDING_DEPTH);
        assert_non_null(finding);
        assert_near(finding->value, 0.7, 0.7 * ALIKE);
        sw_lathe_done(&lathe);
    }
}

/* Levels of 0.06 each, fed in 0.012 further along with an upright point of 35 degrees: its flank
 * would be clear of the wall above from 0.019 on, so it grazes all of it by a few micrometres. */
static void a_plunge_that_grazes_its_wall_is_as_short_as_its_way(void **state)
{
    (void)state;
    struct sw_lathe lathe;
    double r = 1 + nose + 0.01;
    begin(&lathe, false);
    lathe.tool[0].most_depth.value = 0.08;
    lathe.tool[0].hand.value = SW_HAND_NEUTRAL;
    sw_lathe_rapid(&lathe, -1, 4);
    for (int level = 0; level < 4; level++) {
        const double z = -1 - 0.012 * level, end = -3 + 0.02 * level;
        sw_lathe_rapid(&lathe, z, r);
        r -= level == 0 ? 0.07 : 0.075;
        sw_lathe_cut(&lathe, z, r);
        sw_lathe_cut(&lathe, end, r);
        sw_lathe_cut(&lathe, end + 0.015, r + 0.015);
        r += 0.015;
    }
    sw_lathe_rapid(&lathe, -2, 8);
    const struct sw_verdict *verdict = judge_end(&lathe, -2);
    assert_null(sw_peg_finding(verdict, SW_FINDING_DEPTH));
    sw_lathe_done(&lathe);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_cut_in_steps_loads_the_work_as_in_one_move),
        cmocka_unit_test(a_cut_in_unlike_steps_loads_the_work_no_less),
        cmocka_unit_test(a_staircase_is_judged_as_the_slope_it_is),
        cmocka_unit_test(limits_are_passed_in_steps_as_in_one_move),
        cmocka_unit_test(a_cut_too_deep_is_found_in_steps_too),
        cmocka_unit_test(a_standing_spindle_is_found_in_steps_too),
        cmocka_unit_test(a_face_in_steps_is_judged_as_in_one_move),
        cmocka_unit_test(a_plunge_that_grazes_its_wall_is_as_short_as_its_way),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
