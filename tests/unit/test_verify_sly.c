/* Faults that hide: behind an allowance, inside a single move, in a control's freedom. Each stands
 * beside a program that differs as little as possible and passes. Limits are derived from the
 * figures of support/peg.h unless said otherwise. */
#include <math.h>
#include <string.h>

#include "support/near.h"
#include "support/peg.h"

struct bench {
    struct sw_lathe lathe;
    struct sw_peg peg;
};

static void bench_init(struct bench *bench)
{
    sw_lathe_init(&bench->lathe);
    sw_peg_init(&bench->peg, &bench->lathe.ctx);
}

/* Judge, and give the finding of a code if there is one; without it the program must be clean. */
static const struct sw_finding *judge(struct bench *bench, enum sw_finding_code code)
{
    const struct sw_verdict *verdict = sw_peg_judge(&bench->lathe, &bench->peg.shape);
    const struct sw_finding *finding = sw_peg_finding(verdict, code);
    if (finding == NULL)
        sw_peg_expect_clean(verdict);
    else
        assert_int_equal(verdict->passes, finding->severity != SW_ERROR);
    return finding;
}

/* Without a shape, of which less than half is left where these programs end. */
static const struct sw_finding *judge_moves(struct bench *bench, enum sw_finding_code code)
{
    return sw_peg_finding(sw_peg_judge(&bench->lathe, NULL), code);
}

/* The blade beside the point in use, LEAD further in, in the slab that is faced off: after the move
 * nothing is left there to tell of it. */
static void a_neighbour_that_meets_what_the_edge_then_takes_away_is_found(void **state)
{
    (void)state;
    for (int i = 0; i < 2; i++) {
        struct bench bench;
        bench_init(&bench);
        const double lead = i == 0 ? 0.3 : -0.3;
        bench.lathe.record[0][1].zero_x.value = bench.lathe.record[0][0].zero_x.value + lead;
        bench.lathe.record[0][1].zero_z.value = bench.lathe.record[0][0].zero_z.value + 0.01;
        sw_lathe_use(&bench.lathe, 1);
        sw_lathe_spindle(&bench.lathe, SW_MOTION_CW, 3000);
        sw_lathe_rapid(&bench.lathe, 12, 8);
        sw_lathe_rapid(&bench.lathe, 0.05, 8);
        sw_lathe_rapid(&bench.lathe, 0.05, 1.5);
        sw_lathe_cut(&bench.lathe, 0.05, -0.02);
        const uint32_t line = sw_lathe_line(&bench.lathe);
        sw_lathe_rapid(&bench.lathe, 12, -0.02);
        sw_lathe_rapid(&bench.lathe, 12, 8);
        sw_lathe_end(&bench.lathe);
        const struct sw_finding *finding = judge_moves(&bench, SW_FINDING_HOLDER_RUBS);
        if (i == 0) {
            assert_non_null(finding);
            assert_int_equal(finding->line, line);
            assert_non_null(strstr(finding->message, "narrow blade"));
        } else {
            assert_null(finding);
        }
        sw_lathe_done(&bench.lathe);
    }
}

static void a_rapid_whose_z_may_arrive_first_into_the_work_is_an_error(void **state)
{
    (void)state;
    for (int i = 0; i < 2; i++) {
        struct bench bench;
        bench_init(&bench);
        sw_peg_turn(&bench.lathe, (struct sw_peg_slips){0});
        sw_lathe_rapid(&bench.lathe, 3, 8);
        sw_lathe_rapid(&bench.lathe, 3, 0.6);
        if (i == 1)
            sw_lathe_rapid(&bench.lathe, 3, 8);
        /* straight it passes the end face 4 away */
        sw_lathe_rapid(&bench.lathe, -3, 8);
        const uint32_t line = sw_lathe_line(&bench.lathe);
        sw_lathe_rapid(&bench.lathe, 12, 8);
        sw_peg_part(&bench.lathe);
        sw_lathe_end(&bench.lathe);
        const struct sw_finding *finding = judge(&bench, SW_FINDING_RAPID_INTO_STOCK);
        assert_int_equal(finding != NULL, i == 0);
        if (finding != NULL) {
            assert_int_equal(finding->line, line);
            assert_int_equal(finding->severity, SW_ERROR);
        }
        sw_lathe_done(&bench.lathe);
    }
}

static void a_neighbour_is_tried_at_the_speeds_of_the_axes(void **state)
{
    (void)state;
    for (int i = 0; i < 2; i++) {
        struct bench bench;
        bench_init(&bench);
        /* the face point stands 3 nearer to the free end and 9 further in than the tool in use */
        bench.lathe.record[0][2].zero_x.value = bench.lathe.record[0][0].zero_x.value + 9;
        bench.lathe.record[0][2].zero_z.value = bench.lathe.record[0][0].zero_z.value - 3;
        bench.lathe.machine.rapid.x.value = i == 0 ? 10 : 4000;
        sw_lathe_use(&bench.lathe, 1);
        sw_lathe_rapid(&bench.lathe, 6, 5);
        /* its own way is from (9, -4) to (-3, 6), past the free end; slow in X it comes beside the
         * rod first and then goes through it */
        sw_lathe_rapid(&bench.lathe, -6, 15);
        const uint32_t line = sw_lathe_line(&bench.lathe);
        sw_lathe_rapid(&bench.lathe, 12, 15);
        sw_lathe_end(&bench.lathe);
        const struct sw_finding *finding = judge_moves(&bench, SW_FINDING_RAPID_INTO_STOCK);
        assert_int_equal(finding != NULL, i == 0);
        if (finding != NULL)
            assert_int_equal(finding->line, line);
        sw_lathe_done(&bench.lathe);
    }
}

static void let_blend(struct bench *bench, double blend, bool is_continuous)
{
    bench->lathe.machine.control.blend.value = blend;
    bench->lathe.state.is_continuous = is_continuous;
}

static void a_control_that_may_leave_the_path_further_than_allowed_is_found(void **state)
{
    (void)state;
    static const struct {
        double blend;
        bool is_continuous, is_found;
    } item[] = {{0.01, true, true}, {0.01, false, false}, {0.002, true, false}, {0, true, false}};
    for (size_t i = 0; i < sizeof item / sizeof *item; i++) {
        struct bench bench;
        bench_init(&bench);
        let_blend(&bench, item[i].blend, item[i].is_continuous);
        sw_peg_program(&bench.lathe, (struct sw_peg_slips){0});
        const struct sw_finding *finding = judge(&bench, SW_FINDING_CONTROL);
        assert_int_equal(finding != NULL, item[i].is_found);
        if (finding != NULL) {
            assert_near(finding->value, 10, 1e-9);
            assert_near(finding->limit, 2.5, 1e-9); /* half of 0.005 */
            assert_non_null(strstr(finding->message, "G61"));
        }
        sw_lathe_done(&bench.lathe);
    }
}

/* The nose of 0.05 leaves a fillet of 0.05; what stands above a smaller one is (sqrt 2 - 1) times
 * the difference thick: 3.3 um above 0.042, 2.1 above 0.045. The limit on the radius is 2.5 um, the
 * one along the axis 10. */
static void a_fillet_is_judged_by_the_limit_on_the_radius(void **state)
{
    (void)state;
    for (int i = 0; i < 2; i++) {
        struct bench bench;
        bench_init(&bench);
        sw_peg_program(&bench.lathe, (struct sw_peg_slips){0});
        struct sw_contour ceiling = {0};
        for (size_t k = 0; k < bench.peg.shape.turned.n; k++)
            assert_true(
                sw_contour_add(bench.lathe.ctx.arena, &ceiling, bench.peg.shape.turned.at[k]));
        assert_int_equal(sw_contour_round(&ceiling, 1, i == 0 ? 0.042 : 0.045, 0, &bench.lathe.ctx),
                         SW_OK);
        bench.peg.shape.ceiling = ceiling;
        const struct sw_finding *finding = judge(&bench, SW_FINDING_UNCUT);
        assert_int_equal(finding != NULL, i == 0);
        if (finding != NULL)
            assert_true(finding->value > 2.5 && finding->value < 3.5);
        sw_lathe_done(&bench.lathe);
    }
}

static void a_shoulder_off_its_place_as_a_whole_takes_its_corner_along(void **state)
{
    (void)state;
    for (int i = 0; i < 2; i++) {
        struct bench bench;
        bench_init(&bench);
        bench.peg.height.tolerance = (struct sw_band){-0.02, 0.02, true, {0}};
        sw_peg_program(&bench.lathe, (struct sw_peg_slips){.shoulder_z = i == 0 ? 0.008 : 0.012});
        const struct sw_finding *finding = judge(&bench, SW_FINDING_UNCUT);
        assert_int_equal(finding != NULL, i == 1); /* the length may be off by 10 um */
        sw_lathe_done(&bench.lathe);
    }
}

/* Faced 0.55 deep where the tool stands 0.5; the nose of 0.05 allows a short groove 0.6. */
static void face(struct bench *bench, int n_blocks, double to)
{
    bench_init(bench);
    bench->lathe.side[0].rod_end_z.value = 0.55;
    sw_lathe_use(&bench->lathe, 1);
    sw_lathe_spindle(&bench->lathe, SW_MOTION_CW, 3000);
    sw_lathe_rapid(&bench->lathe, 12, 8);
    sw_lathe_rapid(&bench->lathe, 0.05, 8);
    sw_lathe_rapid(&bench->lathe, 0.05, 1.5);
    for (int i = 1; i <= n_blocks; i++) {
        const double r = 1.5 + (to - 1.5) * i / n_blocks;
        sw_lathe_cut(&bench->lathe, 0.05, r);
        if (i % 3 == 0) {
            /* a twitch aside, back and out must not begin it anew */
            sw_lathe_cut(&bench->lathe, 0.06, r);
            sw_lathe_cut(&bench->lathe, 0.05, r);
            sw_lathe_rapid(&bench->lathe, 0.05, 1.5);
            sw_lathe_cut(&bench->lathe, 0.05, r);
        }
    }
    sw_lathe_rapid(&bench->lathe, 0.05, 8);
    sw_lathe_rapid(&bench->lathe, 12, 8);
    sw_lathe_end(&bench->lathe);
}

static void a_face_too_deep_stays_too_deep_in_short_blocks(void **state)
{
    (void)state;
    for (int n_blocks = 1; n_blocks <= 24; n_blocks *= 2) {
        struct bench bench;
        face(&bench, n_blocks, -0.02);
        const struct sw_finding *finding = judge_moves(&bench, SW_FINDING_DEPTH);
        assert_non_null(finding);
        assert_true(finding->value > 0.549); /* round the nose a short block looks deeper */
        sw_lathe_done(&bench.lathe);
    }
    struct bench bench;
    face(&bench, 2, 0.6); /* a groove of 0.4 beside the edge: short of what the tool stands */
    assert_null(judge_moves(&bench, SW_FINDING_DEPTH));
    sw_lathe_done(&bench.lathe);
}

/* The blade stops at R; the blade is 0.4 wide and its sides stand at -3 and -3.4. */
static void part_to(struct sw_lathe *lathe, double r)
{
    const double edge = -3.0 - 0.38;
    lathe->side[0].neck_z = (struct sw_number){.value = -3.2, .given = true};
    sw_lathe_use(lathe, 2);
    sw_lathe_rapid(lathe, 12, 8);
    sw_lathe_rapid(lathe, edge, 8);
    sw_lathe_rapid(lathe, edge, 1.5);
    sw_lathe_cut(lathe, edge, r + 0.02);
    sw_lathe_rapid(lathe, edge, 8);
    sw_lathe_rapid(lathe, 12, 8);
}

static void a_neck_too_thick_to_be_broken_is_uncut(void **state)
{
    (void)state;
    for (int i = 0; i < 2; i++) {
        struct bench bench;
        bench_init(&bench);
        sw_peg_turn(&bench.lathe, (struct sw_peg_slips){0});
        part_to(&bench.lathe, i == 0 ? 0.75 : 0.2);
        sw_lathe_end(&bench.lathe);
        const struct sw_verdict *verdict = sw_peg_judge(&bench.lathe, &bench.peg.shape);
        bool is_found = false;
        for (size_t k = 0; k < verdict->findings.n; k++)
            is_found = is_found || strstr(verdict->findings.at[k].message, "neck") != NULL;
        assert_int_equal(is_found, i == 0);
        sw_lathe_done(&bench.lathe);
    }
}

static void a_cut_on_what_hangs_on_its_neck_is_in_the_wrong_order(void **state)
{
    (void)state;
    for (int i = 0; i < 2; i++) {
        struct bench bench;
        bench_init(&bench);
        if (i == 0) {
            sw_lathe_use(&bench.lathe, 1);
            sw_lathe_spindle(&bench.lathe, SW_MOTION_CW, 3000);
            part_to(&bench.lathe, 0.2);
        }
        const uint32_t parted = sw_lathe_line(&bench.lathe);
        sw_peg_turn(&bench.lathe, (struct sw_peg_slips){0});
        if (i == 1)
            part_to(&bench.lathe, 0.2);
        sw_lathe_end(&bench.lathe);
        const struct sw_verdict *verdict = sw_peg_judge(&bench.lathe, &bench.peg.shape);
        const struct sw_finding *finding = sw_peg_finding(verdict, SW_FINDING_WRONG_ORDER);
        assert_int_equal(finding != NULL, i == 0);
        if (finding != NULL)
            assert_true(finding->line > parted);
        sw_lathe_done(&bench.lathe);
    }
}

static void a_tool_changed_by_hand_near_the_work_is_found(void **state)
{
    (void)state;
    for (int i = 0; i < 2; i++) {
        struct bench bench;
        bench_init(&bench);
        bench.lathe.machine.change.value = SW_CHANGE_BY_HAND;
        sw_peg_turn(&bench.lathe, (struct sw_peg_slips){0});
        sw_lathe_rapid(&bench.lathe, i == 0 ? 3 : 12, 8);
        if (i == 0)
            sw_lathe_rapid(&bench.lathe, 3, 2);
        /* the blade comes to stand as much further in and back as its zero is */
        bench.lathe.record[0][1].zero_x = bench.lathe.record[0][0].zero_x;
        bench.lathe.record[0][1].zero_z = bench.lathe.record[0][0].zero_z;
        sw_lathe_use(&bench.lathe, 2);
        const uint32_t line = sw_lathe_line(&bench.lathe);
        sw_lathe_rapid(&bench.lathe, i == 0 ? 3 : 12, 8);
        sw_peg_part(&bench.lathe);
        sw_lathe_end(&bench.lathe);
        const struct sw_finding *finding = judge(&bench, SW_FINDING_PAUSE_WHILE_TURNING);
        assert_int_equal(finding != NULL, i == 0);
        if (finding != NULL)
            assert_int_equal(finding->line, line);
        sw_lathe_done(&bench.lathe);
    }
}

/* From standstill to 10000 rev/min in 20 s: 6 s to 3000. The rapids before the first cut take less
 * than a second. */
static void a_cut_before_the_spindle_has_come_up_is_a_warning(void **state)
{
    (void)state;
    for (int i = 0; i < 2; i++) {
        struct bench bench;
        bench_init(&bench);
        bench.lathe.machine.spindle.start_time.value = i == 0 ? 20 : 0.2;
        sw_peg_program(&bench.lathe, (struct sw_peg_slips){0});
        const struct sw_finding *finding = judge(&bench, SW_FINDING_SPINDLE_STOPPED);
        assert_int_equal(finding != NULL, i == 0);
        if (finding != NULL) {
            assert_int_equal(finding->severity, SW_WARNING);
            assert_near(finding->limit, 6, 1e-9);
            assert_true(finding->value < 1);
        }
        sw_lathe_done(&bench.lathe);
    }
}

/* 10 mm/min at 3000 rev/min are 0.0033 mm a turn. */
static void a_feed_far_beyond_the_tools_own_is_found(void **state)
{
    (void)state;
    for (int i = 0; i < 2; i++) {
        struct bench bench;
        bench_init(&bench);
        sw_peg_program(&bench.lathe, (struct sw_peg_slips){0});
        for (int k = 0; k < SW_LATHE_TOOLS; k++)
            bench.lathe.tool[k].rough_feed.value = i == 0 ? 0.0016 : 0.0017;
        const struct sw_finding *finding = judge(&bench, SW_FINDING_OVERFEED);
        assert_int_equal(finding != NULL, i == 0);
        if (finding != NULL)
            assert_near(finding->value, 10.0 / 3000, 1e-12);
        sw_lathe_done(&bench.lathe);
    }
}

/* A wall grazed in passing by less than is held against any size: nothing breaks by that. */
static void a_graze_fed_fast_is_no_slip(void **state)
{
    (void)state;
    static const double depth[] = {0.0008, 0.0004};
    for (int i = 0; i < 2; i++) {
        struct bench bench;
        bench_init(&bench);
        struct sw_tool *tool = &bench.lathe.tool[0];
        tool->rough_feed.value = 0.0016;
        const double r = 1 - depth[i] + tool->nose_radius.value;
        sw_lathe_use(&bench.lathe, 1);
        sw_lathe_spindle(&bench.lathe, SW_MOTION_CW, 3000);
        sw_lathe_rapid(&bench.lathe, 0.5, 2);
        sw_lathe_rapid(&bench.lathe, 0.5, r);
        sw_lathe_cut(&bench.lathe, -0.5, r);
        sw_lathe_cut(&bench.lathe, -0.5, 1.2);
        sw_lathe_rapid(&bench.lathe, 12, 8);
        sw_lathe_end(&bench.lathe);
        assert_int_equal(judge_moves(&bench, SW_FINDING_OVERFEED) != NULL, i == 0);
        sw_lathe_done(&bench.lathe);
    }
}

static void a_system_nobody_has_set_is_found_where_tools_bring_their_offset(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    sw_peg_program(&bench.lathe, (struct sw_peg_slips){0});
    for (int k = 0; k < SW_LATHE_TOOLS; k++)
        bench.lathe.record[0][k].system.value = 0;
    const struct sw_finding *finding = judge(&bench, SW_FINDING_WRONG_TOOL); /* the blade's G55 */
    assert_non_null(finding);
    assert_non_null(strstr(finding->message, "narrow blade"));
    sw_lathe_done(&bench.lathe);
}

static void a_piece_of_which_nothing_is_left_still_names_its_sections(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    bench.lathe.side[0].neck_z = (struct sw_number){.value = 1, .given = true};
    sw_peg_program(&bench.lathe, (struct sw_peg_slips){0});
    const struct sw_verdict *verdict = sw_peg_judge(&bench.lathe, &bench.peg.shape);
    assert_false(verdict->passes);
    assert_string_equal(verdict->section[1].name, "hub");
    assert_near(verdict->section[1].left_limit_um, 2.5, 1e-9);
    sw_lathe_done(&bench.lathe);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_neighbour_that_meets_what_the_edge_then_takes_away_is_found),
        cmocka_unit_test(a_rapid_whose_z_may_arrive_first_into_the_work_is_an_error),
        cmocka_unit_test(a_neighbour_is_tried_at_the_speeds_of_the_axes),
        cmocka_unit_test(a_control_that_may_leave_the_path_further_than_allowed_is_found),
        cmocka_unit_test(a_fillet_is_judged_by_the_limit_on_the_radius),
        cmocka_unit_test(a_shoulder_off_its_place_as_a_whole_takes_its_corner_along),
        cmocka_unit_test(a_face_too_deep_stays_too_deep_in_short_blocks),
        cmocka_unit_test(a_neck_too_thick_to_be_broken_is_uncut),
        cmocka_unit_test(a_cut_on_what_hangs_on_its_neck_is_in_the_wrong_order),
        cmocka_unit_test(a_tool_changed_by_hand_near_the_work_is_found),
        cmocka_unit_test(a_cut_before_the_spindle_has_come_up_is_a_warning),
        cmocka_unit_test(a_feed_far_beyond_the_tools_own_is_found),
        cmocka_unit_test(a_graze_fed_fast_is_no_slip),
        cmocka_unit_test(a_system_nobody_has_set_is_found_where_tools_bring_their_offset),
        cmocka_unit_test(a_piece_of_which_nothing_is_left_still_names_its_sections),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
