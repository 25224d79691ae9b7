/* How the machine is driven, what touches what, how the work is held. Each fault is put into a
 * program that passes without it. */
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

static const struct sw_finding *expect(struct bench *bench, enum sw_finding_code code)
{
    const struct sw_verdict *verdict = sw_peg_judge(&bench->lathe, &bench->peg.shape);
    const struct sw_finding *finding = sw_peg_finding(verdict, code);
    if (finding == NULL)
        sw_peg_print(verdict);
    assert_non_null(finding);
    assert_int_equal(verdict->passes, finding->severity != SW_ERROR);
    for (size_t i = 0; i < verdict->findings.n; i++) {
        if (verdict->findings.at[i].code != code)
            sw_peg_print(verdict);
        assert_int_equal(verdict->findings.at[i].code, code); /* and nothing else */
    }
    return finding;
}

/* The event of a line, to be spoiled. */
static struct sw_motion_event *event_at(struct bench *bench, uint32_t line)
{
    struct sw_motion *motion = &bench->lathe.motion[0];
    for (size_t i = 0; i < motion->n; i++)
        if (motion->at[i].line == line)
            return &motion->at[i];
    fail();
    return NULL;
}

static void spoil_states(struct bench *bench, void (*spoil)(struct sw_motion_state *state))
{
    struct sw_motion *motion = &bench->lathe.motion[0];
    for (size_t i = 0; i < motion->n; i++)
        spoil(&motion->at[i].state);
}

static void the_wrong_way(struct sw_motion_state *state)
{
    if (state->spindle == SW_MOTION_CW)
        state->spindle = SW_MOTION_CCW;
}

static void standing(struct sw_motion_state *state)
{
    state->spindle = SW_MOTION_STOPPED;
}

static void without_feed(struct sw_motion_state *state)
{
    state->feed = 0;
}

static void per_turn(struct sw_motion_state *state)
{
    state->feed_mode = SW_MOTION_PER_TURN;
    state->feed = 0.005;
}

static void per_turn_standing(struct sw_motion_state *state)
{
    per_turn(state);
    standing(state);
}

static void too_fast(struct sw_motion_state *state)
{
    state->speed = 12000;
}

static void surface_speed(struct sw_motion_state *state)
{
    state->is_surface_speed = true;
    state->speed = 20;
}

static void surface_speed_clamped(struct sw_motion_state *state)
{
    surface_speed(state);
    state->speed_clamp = 8000;
}

static void a_spindle_that_turns_the_wrong_way_is_found(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    sw_peg_program(&bench.lathe, (struct sw_peg_slips){0});
    spoil_states(&bench, the_wrong_way);
    const struct sw_finding *finding = expect(&bench, SW_FINDING_WRONG_WAY);
    assert_int_equal(finding->line, 5); /* the first cut: facing */
    sw_lathe_done(&bench.lathe);
}

static void a_cut_with_the_spindle_standing_is_found(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    sw_peg_program(&bench.lathe, (struct sw_peg_slips){0});
    spoil_states(&bench, standing);
    expect(&bench, SW_FINDING_SPINDLE_STOPPED);
    sw_lathe_done(&bench.lathe);
}

static void a_feed_move_without_a_feed_is_found(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    sw_peg_program(&bench.lathe, (struct sw_peg_slips){0});
    spoil_states(&bench, without_feed);
    expect(&bench, SW_FINDING_NO_FEED);
    sw_lathe_done(&bench.lathe);
}

static void a_feed_per_turn_is_fine_turning_and_never_moves_standing(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    sw_peg_program(&bench.lathe, (struct sw_peg_slips){0});
    spoil_states(&bench, per_turn);
    const struct sw_verdict *verdict = sw_peg_judge(&bench.lathe, &bench.peg.shape);
    sw_peg_expect_clean(verdict);
    spoil_states(&bench, per_turn_standing);
    verdict = sw_peg_judge(&bench.lathe, &bench.peg.shape);
    assert_non_null(sw_peg_finding(verdict, SW_FINDING_NO_FEED));
    assert_non_null(sw_peg_finding(verdict, SW_FINDING_SPINDLE_STOPPED));
    sw_lathe_done(&bench.lathe);
}

static void a_speed_beyond_the_spindle_is_found(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    sw_peg_program(&bench.lathe, (struct sw_peg_slips){0});
    spoil_states(&bench, too_fast);
    const struct sw_finding *finding = expect(&bench, SW_FINDING_OVERSPEED);
    assert_near(finding->value, 12000, 0);
    assert_near(finding->limit, 10000, 0);
    sw_lathe_done(&bench.lathe);
}

static void a_surface_speed_needs_a_clamp_where_a_face_is_cut_to_the_axis(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    sw_peg_program(&bench.lathe, (struct sw_peg_slips){0});
    spoil_states(&bench, surface_speed);
    expect(&bench, SW_FINDING_OVERSPEED);
    spoil_states(&bench, surface_speed_clamped);
    sw_peg_expect_clean(sw_peg_judge(&bench.lathe, &bench.peg.shape));
    sw_lathe_done(&bench.lathe);
}

static void a_position_beyond_the_travel_is_found(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    sw_peg_program(&bench.lathe, (struct sw_peg_slips){0});
    bench.lathe.travel_z[1].value = 20; /* the program begins at 25 */
    const struct sw_finding *finding = expect(&bench, SW_FINDING_BEYOND_TRAVEL);
    assert_near(finding->value, 25, 1e-9);
    sw_lathe_done(&bench.lathe);
}

static void a_rapid_into_the_work_is_found_at_its_line(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    sw_peg_program(&bench.lathe, (struct sw_peg_slips){0});
    event_at(&bench, 13)->kind = SW_MOTION_RAPID; /* the seat's pass */
    const struct sw_finding *finding = expect(&bench, SW_FINDING_RAPID_INTO_STOCK);
    assert_int_equal(finding->line, 13);
    sw_lathe_done(&bench.lathe);
}

static void a_pause_wants_the_spindle_stopped_and_the_tools_away(void **state)
{
    (void)state;
    for (int i = 0; i < 3; i++) {
        struct bench bench;
        bench_init(&bench);
        sw_peg_turn(&bench.lathe, (struct sw_peg_slips){0});
        if (i != 1)
            sw_lathe_spindle(&bench.lathe, SW_MOTION_STOPPED, 3000);
        if (i == 2)
            sw_lathe_rapid(&bench.lathe, 3, 1.2);
        sw_lathe_pause(&bench.lathe);
        sw_lathe_spindle(&bench.lathe, SW_MOTION_CW, 3000);
        sw_lathe_rapid(&bench.lathe, 12, 8);
        sw_peg_part(&bench.lathe);
        sw_lathe_end(&bench.lathe);
        if (i == 0) {
            sw_peg_expect_clean(sw_peg_judge(&bench.lathe, &bench.peg.shape));
        } else {
            const struct sw_finding *finding = expect(&bench, SW_FINDING_PAUSE_WHILE_TURNING);
            if (i == 2) /* from the corner of the seat, less the nose */
                assert_near(finding->value, hypot(3, 1.2 - 0.5) - 0.05, 1e-3);
        }
        sw_lathe_done(&bench.lathe);
    }
}

static void a_program_without_an_end_is_found(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    sw_peg_turn(&bench.lathe, (struct sw_peg_slips){0});
    sw_peg_part(&bench.lathe);
    const struct sw_verdict *verdict = sw_peg_judge(&bench.lathe, &bench.peg.shape);
    assert_non_null(sw_peg_finding(verdict, SW_FINDING_BLOCK));
    assert_non_null(sw_peg_finding(verdict, SW_FINDING_PAUSE_WHILE_TURNING)); /* left turning */
    sw_lathe_done(&bench.lathe);
}

static void the_system_of_another_tool_is_found(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    sw_peg_program(&bench.lathe, (struct sw_peg_slips){0});
    event_at(&bench, 13)->state.system = 2;
    assert_int_equal(expect(&bench, SW_FINDING_WRONG_TOOL)->line, 13);
    sw_lathe_done(&bench.lathe);
}

static void a_tool_the_record_does_not_have_is_found(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    sw_peg_program(&bench.lathe, (struct sw_peg_slips){0});
    event_at(&bench, 14)->state.tool = 7;
    const struct sw_verdict *verdict = sw_peg_judge(&bench.lathe, &bench.peg.shape);
    const struct sw_finding *finding = sw_peg_finding(verdict, SW_FINDING_WRONG_TOOL);
    assert_non_null(finding);
    assert_int_equal(finding->line, 14);
    sw_lathe_done(&bench.lathe);
}

static void a_neighbour_on_the_slide_that_meets_the_work_is_named(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    /* the blade set up beside the point: 1.0 further out, 1.3 nearer to the free end */
    bench.lathe.record[0][1].zero_z.value = 5.0 - 1.3;
    bench.lathe.record[0][1].zero_x.value = 10.0 + 0.05;
    sw_peg_program(&bench.lathe, (struct sw_peg_slips){0});
    const struct sw_verdict *verdict = sw_peg_judge(&bench.lathe, &bench.peg.shape);
    const struct sw_finding *finding = sw_peg_finding(verdict, SW_FINDING_HOLDER_RUBS);
    assert_non_null(finding);
    assert_non_null(strstr(finding->message, "narrow blade"));
    /* changed by hand there is no neighbour */
    bench.lathe.machine.change.value = SW_CHANGE_BY_HAND;
    verdict = sw_peg_judge(&bench.lathe, &bench.peg.shape);
    assert_null(sw_peg_finding(verdict, SW_FINDING_HOLDER_RUBS));
    sw_lathe_done(&bench.lathe);
}

static void a_holder_block_in_the_work_is_found(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    bench.lathe.tool[1].reach.value = 0.6;
    bench.lathe.tool[1].holder.clear.value = 0.7; /* parts 0.8 deep: the block arrives first */
    sw_peg_program(&bench.lathe, (struct sw_peg_slips){0});
    const struct sw_verdict *verdict = sw_peg_judge(&bench.lathe, &bench.peg.shape);
    const struct sw_finding *finding = sw_peg_finding(verdict, SW_FINDING_HOLDER_RUBS);
    assert_non_null(finding);
    assert_non_null(strstr(finding->message, "narrow blade"));
    sw_lathe_done(&bench.lathe);
}

static void a_tool_in_the_nose_of_the_holder_is_found(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    bench.lathe.side[0].nose_z.value = -3.6; /* the blade's block reaches to -3.58 - 0.2 */
    sw_peg_program(&bench.lathe, (struct sw_peg_slips){0});
    bench.lathe.tool[1].holder.clear.value = 2;
    const struct sw_verdict *verdict = sw_peg_judge(&bench.lathe, &bench.peg.shape);
    assert_null(sw_peg_finding(verdict, SW_FINDING_NOSE_TOUCHES));
    bench.lathe.tool[1].holder.ahead.value = 0.5;
    bench.lathe.tool[1].holder.clear.value = 2.1;
    verdict = sw_peg_judge(&bench.lathe, &bench.peg.shape);
    assert_non_null(sw_peg_finding(verdict, SW_FINDING_NOSE_TOUCHES));
    sw_lathe_done(&bench.lathe);
}

static void a_cut_on_what_has_been_parted_off_is_found(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    sw_lathe_use(&bench.lathe, 1);
    sw_lathe_spindle(&bench.lathe, SW_MOTION_CW, 3000);
    sw_lathe_rapid(&bench.lathe, 12, 8);
    sw_peg_part(&bench.lathe);
    const uint32_t before = sw_lathe_line(&bench.lathe);
    sw_peg_turn(&bench.lathe, (struct sw_peg_slips){0});
    sw_lathe_end(&bench.lathe);
    const struct sw_verdict *verdict = sw_peg_judge(&bench.lathe, &bench.peg.shape);
    const struct sw_finding *finding = sw_peg_finding(verdict, SW_FINDING_WRONG_ORDER);
    assert_non_null(finding);
    assert_true(finding->line > before);
    sw_lathe_done(&bench.lathe);
}

static void a_piece_that_falls_where_a_neck_should_hold_it_is_found(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    sw_peg_program(&bench.lathe, (struct sw_peg_slips){0});
    bench.lathe.side[0].neck_z = (struct sw_number){.value = -3.2, .given = true};
    const struct sw_verdict *verdict = sw_peg_judge(&bench.lathe, &bench.peg.shape);
    assert_non_null(sw_peg_finding(verdict, SW_FINDING_LOST_SUPPORT));
    sw_lathe_done(&bench.lathe);
}

static void a_cut_deeper_than_the_tool_stands_is_found(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    sw_peg_program(&bench.lathe, (struct sw_peg_slips){0});
    bench.lathe.tool[0].most_depth.value = 0.25; /* the seat is cut 0.3 deep in one pass */
    const struct sw_finding *finding = expect(&bench, SW_FINDING_DEPTH);
    assert_near(finding->value, 0.3, 1e-4);
    assert_int_equal(finding->line, 13);
    sw_lathe_done(&bench.lathe);
}

static void a_face_deeper_than_the_tool_stands_is_found(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    bench.lathe.side[0].rod_end_z.value = 0.55; /* faced in one cut; the tool stands 0.5 */
    sw_peg_program(&bench.lathe, (struct sw_peg_slips){0});
    const struct sw_finding *finding = expect(&bench, SW_FINDING_DEPTH);
    assert_near(finding->value, 0.55, 1e-3);
    assert_int_equal(finding->line, 5);
    sw_lathe_done(&bench.lathe);
}

/* Passes whose leading flank slides down one wall take a fraction of a micrometre off it, high up
 * above the cut: that is no depth. */
static void a_flank_that_grazes_a_wall_is_no_deep_cut(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    bench.lathe.tool[0].most_depth.value = 0.12;
    sw_lathe_use(&bench.lathe, 1);
    sw_lathe_spindle(&bench.lathe, SW_MOTION_CW, 3000);
    for (int i = 0; i < 6; i++) {
        const double r = 0.95 - 0.1 * i;
        /* back by what the flank of 87 degrees leans over 0.1, and 0.3 um into the wall each time
         */
        const double end = -2 + i * (0.1 / tan(87 * 3.14159265358979 / 180) - 0.0003);
        sw_lathe_rapid(&bench.lathe, 0.5, 2);
        sw_lathe_rapid(&bench.lathe, 0.5, r);
        sw_lathe_cut(&bench.lathe, end, r);
        sw_lathe_cut(&bench.lathe, end + 0.3, r + 0.1);
        sw_lathe_rapid(&bench.lathe, end + 0.3, 2);
    }
    sw_lathe_rapid(&bench.lathe, 12, 8);
    sw_peg_part(&bench.lathe);
    sw_lathe_end(&bench.lathe);
    sw_peg_expect_clean_without_shape(sw_peg_judge(&bench.lathe, NULL));
    sw_lathe_done(&bench.lathe);
}

/* An arc of a micrometre at the end of a pass 0.09 deep, with the edge leaning ahead by 45 degrees:
 * what it takes lies far ahead of it, from its centre 0.103 high. */
static void a_short_arc_is_as_deep_as_its_chord(void **state)
{
    (void)state;
    static const double stands[] = {0.095, 0.085};
    for (int i = 0; i < 2; i++) {
        struct bench bench;
        bench_init(&bench);
        struct sw_tool *tool = &bench.lathe.tool[0];
        tool->cutting_angle.value = 3.14159265358979 / 4;
        tool->most_depth.value = stands[i];
        const double r = 1 - 0.09 + tool->nose_radius.value;
        sw_lathe_use(&bench.lathe, 1);
        sw_lathe_spindle(&bench.lathe, SW_MOTION_CW, 3000);
        sw_lathe_rapid(&bench.lathe, 0.5, 2);
        sw_lathe_rapid(&bench.lathe, 0.5, r);
        sw_lathe_cut(&bench.lathe, -0.3, r);
        const uint32_t line = sw_lathe_line(&bench.lathe);
        sw_lathe_arc(&bench.lathe, -0.301, r - 2e-5, -0.3, r - 0.025, 1);
        sw_lathe_rapid(&bench.lathe, -0.301, 2);
        sw_lathe_end(&bench.lathe);
        const struct sw_verdict *verdict = sw_peg_judge(&bench.lathe, NULL);
        const struct sw_finding *finding = sw_peg_finding(verdict, SW_FINDING_DEPTH);
        assert_int_equal(finding != NULL, i == 1);
        if (finding != NULL) {
            /* the chord falls by a fiftieth, over 0.11 along the edge */
            assert_near(finding->value, 0.0922, 2e-4);
            assert_in_range(finding->line, line, line + 1);
        }
        sw_lathe_done(&bench.lathe);
    }
}

static void a_skin_thinner_than_the_edge_takes_rubs(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    sw_peg_turn(&bench.lathe, (struct sw_peg_slips){.seat_r = 0.0008});
    bench.lathe.tool[0].edge_radius.value = 0.004; /* least chip 0.3 of it: 1.2 um */
    bench.lathe.material.specific_force.value = 0; /* nothing is known of forces */
    sw_lathe_use(&bench.lathe, 1);
    sw_lathe_rapid(&bench.lathe, 12, 8);
    sw_lathe_rapid(&bench.lathe, 0.5, 8);
    sw_lathe_rapid(&bench.lathe, 0.5, 0.55);
    sw_lathe_cut(&bench.lathe, -1.4, 0.55);
    const uint32_t line = sw_lathe_line(&bench.lathe);
    sw_lathe_cut(&bench.lathe, -1.3, 0.8);
    sw_lathe_rapid(&bench.lathe, -1.3, 8);
    sw_lathe_rapid(&bench.lathe, 12, 8);
    sw_peg_part(&bench.lathe);
    sw_lathe_end(&bench.lathe);
    const struct sw_finding *finding = expect(&bench, SW_FINDING_RUBBING);
    assert_int_equal(finding->severity, SW_WARNING); /* no pivot */
    assert_int_equal(finding->line, line);
    /* 0.8 um on a nose of 50: f sin(acos(1 - 0.016)) = 3.333 * 0.1782 um (derived) */
    assert_near(finding->value, 0.594, 0.02);
    sw_lathe_done(&bench.lathe);
}

/* Roark, Table 16.1, and the workshop figure: a rod of 2.0 free over 100 is critical near 8600. */
static void a_tail_that_whips_at_the_speed_is_found(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    bench.lathe.shop.tail_free.value = 200;
    bench.lathe.side[0].tail.value = 200; /* critical near 2150 */
    sw_peg_program(&bench.lathe, (struct sw_peg_slips){0});
    const struct sw_finding *finding = expect(&bench, SW_FINDING_BAR_WHIP);
    assert_near(finding->limit / 0.8, 2150, 10);
    bench.lathe.side[0].tail.value = 100;
    sw_peg_expect_clean(sw_peg_judge(&bench.lathe, &bench.peg.shape));
    sw_lathe_done(&bench.lathe);
}

static void a_grip_the_holder_cannot_hold_is_found(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    sw_peg_program(&bench.lathe, (struct sw_peg_slips){0});
    bench.lathe.side[0].grip_length.value = 1.5;
    expect(&bench, SW_FINDING_GRIP);
    bench.lathe.side[0].grip_length.value = 10;
    bench.lathe.side[0].grip_diameter.value = 1.8;
    expect(&bench, SW_FINDING_GRIP);
    sw_lathe_done(&bench.lathe);
}

/* 2 R tan(relief) / cos(wall): R 0.45, 7 and 25 degrees give 0.12 (workshop figure). Here R is
 * 0.4 + 0.03 and the wall stands straight: 2 * 0.43 * tan(7 degrees) = 0.1056. */
static void a_heel_below_the_wall_of_a_recess_is_found(void **state)
{
    (void)state;
    for (int i = 0; i < 2; i++) {
        struct bench bench;
        bench_init(&bench);
        bench.lathe.tool[2].heel_height.value = i == 0 ? 0.10 : 0.11;
        sw_peg_turn(&bench.lathe, (struct sw_peg_slips){0});
        sw_lathe_use(&bench.lathe, 3);
        sw_lathe_rapid(&bench.lathe, 12, 8);
        sw_lathe_rapid(&bench.lathe, 12, 0.4);
        sw_lathe_rapid(&bench.lathe, 0.2, 0.4);
        sw_lathe_cut(&bench.lathe, -0.02, 0.4);
        sw_lathe_rapid(&bench.lathe, 12, 0.4);
        sw_lathe_rapid(&bench.lathe, 12, 8);
        sw_peg_part(&bench.lathe);
        sw_lathe_end(&bench.lathe);
        const struct sw_verdict *verdict = sw_peg_judge(&bench.lathe, NULL);
        if (i == 0) {
            sw_peg_expect_clean_without_shape(verdict);
        } else {
            const struct sw_finding *finding = sw_peg_finding(verdict, SW_FINDING_HEEL_RUBS);
            assert_non_null(finding);
            assert_near(finding->limit, 2 * 0.43 * tan(7 * 3.14159265358979 / 180), 1e-9);
        }
        sw_lathe_done(&bench.lathe);
    }
}

static void what_the_reader_found_becomes_findings(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    sw_peg_program(&bench.lathe, (struct sw_peg_slips){0});
    const char *text = "g1 q3\n";
    bench.lathe.motion[0].source =
        sw_diag_add_source(bench.lathe.ctx.diag, "side-1.nc", text, strlen(text));
    sw_diag_add(bench.lathe.ctx.diag, SW_ERROR, "control.word",
                (struct sw_span){bench.lathe.motion[0].source, 1, 4, 1}, NULL, "Q is not known");
    sw_diag_add(bench.lathe.ctx.diag, SW_ERROR, "spec.other", (struct sw_span){0}, NULL,
                "not mine");
    const struct sw_verify_program program = {"side-1.nc", &bench.lathe.motion[0], true};
    struct sw_verdict *verdict = NULL;
    assert_int_equal(sw_verify_run(&verdict, &program, 1, &bench.lathe.setup, &bench.lathe.shop,
                                   &bench.peg.shape, &bench.lathe.ctx),
                     SW_OK);
    assert_int_equal(verdict->findings.n, 1);
    assert_int_equal(verdict->findings.at[0].code, SW_FINDING_CONTROL);
    assert_int_equal(verdict->findings.at[0].column, 4);
    assert_false(verdict->passes);
    sw_lathe_done(&bench.lathe);
}

/* A rapid of 12 mm in Z at 2000 mm/min and 500 mm/s2: 12 / 33.33 + 33.33 / 500 = 0.4267 s, derived;
 * a feed of 5 mm at 10 mm/min: 30 s, and (1/6)/500 s to get going and to stop. */
static void times_come_from_feeds_rapids_and_changes(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    sw_lathe_use(&bench.lathe, 1);
    sw_lathe_rapid(&bench.lathe, 20, 5); /* where it stands already */
    sw_lathe_rapid(&bench.lathe, 8, 5);
    sw_lathe_cut(&bench.lathe, 8, 10);
    sw_lathe_end(&bench.lathe);
    const struct sw_verdict *verdict = sw_peg_judge(&bench.lathe, NULL);
    assert_near(verdict->program[0].seconds, 2 + 0.426667 + 30.000333, 1e-5);
    assert_int_equal(verdict->program[0].n_moves, 3);
    sw_lathe_done(&bench.lathe);
}

/* The peg's program with the record's hands at its spindle: line 0 is before the start. */
static void switch_by_hand(struct bench *bench, struct sw_setup_switch *at, size_t n)
{
    bench->lathe.machine.control.spindle_words.value = 0;
    bench->lathe.program[0].spindle = (struct sw_list){.at = at, .n = n, .given = true};
    spoil_states(bench, standing); /* what the text says of it counts for nothing */
}

static struct sw_setup_switch turning(int turn, double speed)
{
    return (struct sw_setup_switch){.turn = {.value = turn, .given = true},
                                    .speed = {.value = speed, .given = true}};
}

static bool has_error(const struct sw_verdict *verdict, enum sw_finding_code code)
{
    for (size_t i = 0; i < verdict->findings.n; i++)
        if (verdict->findings.at[i].code == code && verdict->findings.at[i].severity == SW_ERROR)
            return true;
    return false;
}

/* FINDING: the only error there is; SW_N_FINDINGS: none. */
static void expect_by_hand(struct sw_setup_switch at, enum sw_finding_code finding)
{
    struct bench bench;
    bench_init(&bench);
    sw_peg_program(&bench.lathe, (struct sw_peg_slips){0});
    switch_by_hand(&bench, &at, 1);
    const struct sw_verdict *verdict = sw_peg_judge(&bench.lathe, &bench.peg.shape);
    assert_non_null(sw_peg_finding(verdict, SW_FINDING_PAUSE_WHILE_TURNING)); /* what is believed */
    for (size_t i = 0; i < verdict->findings.n; i++)
        if (verdict->findings.at[i].severity == SW_ERROR)
            assert_int_equal(verdict->findings.at[i].code, finding);
    assert_int_equal(verdict->passes, finding == SW_N_FINDINGS);
    if (finding != SW_N_FINDINGS)
        assert_true(has_error(verdict, finding));
    sw_lathe_done(&bench.lathe);
}

static void a_spindle_switched_by_hand_turns_as_the_record_says(void **state)
{
    (void)state;
    struct sw_setup_switch nowhere = turning(SW_SETUP_M3, 3000);
    nowhere.line = (struct sw_number){.value = 100000, .given = true};
    expect_by_hand(turning(SW_SETUP_M3, 3000), SW_N_FINDINGS);
    expect_by_hand(turning(SW_SETUP_M4, 3000), SW_FINDING_WRONG_WAY);
    expect_by_hand(turning(SW_SETUP_STOP, 0), SW_FINDING_SPINDLE_STOPPED);
    expect_by_hand(nowhere, SW_FINDING_SPINDLE_STOPPED);
    expect_by_hand(turning(SW_SETUP_M3, 1e5), SW_FINDING_OVERSPEED);
}

static void a_record_silent_about_hands_at_the_spindle_is_refused(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    sw_peg_program(&bench.lathe, (struct sw_peg_slips){0});
    bench.lathe.machine.control.spindle_words.value = 0;
    const struct sw_verify_program program = {"side-1.nc", &bench.lathe.motion[0], false};
    struct sw_verdict *verdict = NULL;
    assert_int_equal(sw_verify_run(&verdict, &program, 1, &bench.lathe.setup, &bench.lathe.shop,
                                   &bench.peg.shape, &bench.lathe.ctx),
                     SW_INPUT);
    assert_null(verdict);
    assert_non_null(strstr(sw_test_diagnostics(&bench.lathe.ctx), "does not say how it turns"));
    sw_lathe_done(&bench.lathe);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_spindle_that_turns_the_wrong_way_is_found),
        cmocka_unit_test(a_cut_with_the_spindle_standing_is_found),
        cmocka_unit_test(a_feed_move_without_a_feed_is_found),
        cmocka_unit_test(a_feed_per_turn_is_fine_turning_and_never_moves_standing),
        cmocka_unit_test(a_speed_beyond_the_spindle_is_found),
        cmocka_unit_test(a_surface_speed_needs_a_clamp_where_a_face_is_cut_to_the_axis),
        cmocka_unit_test(a_position_beyond_the_travel_is_found),
        cmocka_unit_test(a_rapid_into_the_work_is_found_at_its_line),
        cmocka_unit_test(a_pause_wants_the_spindle_stopped_and_the_tools_away),
        cmocka_unit_test(a_program_without_an_end_is_found),
        cmocka_unit_test(the_system_of_another_tool_is_found),
        cmocka_unit_test(a_tool_the_record_does_not_have_is_found),
        cmocka_unit_test(a_neighbour_on_the_slide_that_meets_the_work_is_named),
        cmocka_unit_test(a_holder_block_in_the_work_is_found),
        cmocka_unit_test(a_tool_in_the_nose_of_the_holder_is_found),
        cmocka_unit_test(a_cut_on_what_has_been_parted_off_is_found),
        cmocka_unit_test(a_piece_that_falls_where_a_neck_should_hold_it_is_found),
        cmocka_unit_test(a_cut_deeper_than_the_tool_stands_is_found),
        cmocka_unit_test(a_face_deeper_than_the_tool_stands_is_found),
        cmocka_unit_test(a_flank_that_grazes_a_wall_is_no_deep_cut),
        cmocka_unit_test(a_short_arc_is_as_deep_as_its_chord),
        cmocka_unit_test(a_skin_thinner_than_the_edge_takes_rubs),
        cmocka_unit_test(a_tail_that_whips_at_the_speed_is_found),
        cmocka_unit_test(a_grip_the_holder_cannot_hold_is_found),
        cmocka_unit_test(a_heel_below_the_wall_of_a_recess_is_found),
        cmocka_unit_test(a_spindle_switched_by_hand_turns_as_the_record_says),
        cmocka_unit_test(a_record_silent_about_hands_at_the_spindle_is_refused),
        cmocka_unit_test(what_the_reader_found_becomes_findings),
        cmocka_unit_test(times_come_from_feeds_rapids_and_changes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
