/* What happens first on a line, what stays, and what the end puts back. Sections are those of
 * NISTIR 6556. */
#include "test_ncread_program.h"

#include <stdio.h>

#include "ncread/ncread_int.h"

static void words_act_in_the_fixed_order_whatever_their_place(void **state)
{
    (void)state;
    /* 3.8, Table 8, and C.1 line n0020, written T M6 M3 F S: must act F, S, T, M6, M3. All 120
     * orders. */
    static const char *const item[] = {"T1", "M6", "M3", "F20", "S4000"};
    int n_orders = 0;
    for (int code = 0; code < 5 * 5 * 5 * 5 * 5; code++) {
        int order[5], rest = code;
        unsigned seen = 0;
        for (int i = 0; i < 5; i++, rest /= 5)
            seen |= 1u << (order[i] = rest % 5);
        if (seen != 31)
            continue;
        n_orders++;
        char text[128];
        snprintf(text, sizeof text, "%s %s %s %s %s\nM2\n", item[order[0]], item[order[1]],
                 item[order[2]], item[order[3]], item[order[4]]);
        struct program p = program_new();
        program_read_clean(&p, text);
        assert_int_equal(p.motion.n, 3);
        assert_int_equal(p.motion.at[0].kind, SW_MOTION_TOOL);
        assert_int_equal(p.motion.at[0].state.tool, 1);
        assert_int_equal(p.motion.at[0].state.spindle, SW_MOTION_STOPPED);
        assert_int_equal(p.motion.at[1].kind, SW_MOTION_SPINDLE);
        assert_int_equal(p.motion.at[1].state.spindle, SW_MOTION_CW);
        assert_near(p.motion.at[1].state.speed, 4000, 0);
        assert_near(p.motion.at[1].state.feed, 20, 0);
        program_free(&p);
    }
    assert_int_equal(n_orders, 120);
}

static void spindle_and_coolant_stop_before_the_motion_of_their_line(void **state)
{
    (void)state;
    /* Table 8: steps 7 and 8 come before 20 */
    struct program p = program_new();
    program_read_clean(&p, "S1000 M3 M8 F50\nG1 X1 M5 M9\nM2\n");
    assert_int_equal(p.motion.at[0].kind, SW_MOTION_SPINDLE);
    assert_int_equal(p.motion.at[1].kind, SW_MOTION_SPINDLE);
    assert_int_equal(p.motion.at[1].state.spindle, SW_MOTION_STOPPED);
    assert_int_equal(p.motion.at[2].kind, SW_MOTION_LINE);
    assert_int_equal(p.motion.at[2].state.spindle, SW_MOTION_STOPPED);
    assert_false(p.motion.at[2].state.coolant);
    program_free(&p);
}

static void a_tool_change_stops_the_spindle_and_m3_restarts_it(void **state)
{
    (void)state;
    /* 3.6.3, Table 8 */
    struct program p = program_new();
    program_read_clean(&p, "S1000 M3 T1 M6\nT2 M6 M3\nT3 M6\nM2\n");
    static const struct {
        enum sw_motion_kind kind;
        int tool;
        enum sw_motion_spindle spindle;
    } wanted[] = {
        {SW_MOTION_TOOL, 1, SW_MOTION_STOPPED},    {SW_MOTION_SPINDLE, 1, SW_MOTION_CW},
        {SW_MOTION_SPINDLE, 1, SW_MOTION_STOPPED}, {SW_MOTION_TOOL, 2, SW_MOTION_STOPPED},
        {SW_MOTION_SPINDLE, 2, SW_MOTION_CW},      {SW_MOTION_SPINDLE, 2, SW_MOTION_STOPPED},
        {SW_MOTION_TOOL, 3, SW_MOTION_STOPPED},    {SW_MOTION_END, 3, SW_MOTION_STOPPED},
    };
    assert_int_equal(p.motion.n, sizeof wanted / sizeof *wanted);
    for (size_t i = 0; i < p.motion.n; i++) {
        assert_int_equal(p.motion.at[i].kind, wanted[i].kind);
        assert_int_equal(p.motion.at[i].state.tool, wanted[i].tool);
        assert_int_equal(p.motion.at[i].state.spindle, wanted[i].spindle);
    }
    program_free(&p);
}

static void a_tool_word_only_selects(void **state)
{
    (void)state;
    /* 3.7.3 */
    struct program p = program_new();
    program_read_clean(&p, "T3\nG0 X1\nM6\nT0 M6\nM2\n");
    assert_int_equal(program_nth(&p, SW_MOTION_RAPID, 0)->state.tool, 0);
    assert_int_equal(program_nth(&p, SW_MOTION_RAPID, 0)->state.selected_tool, 3);
    assert_int_equal(program_nth(&p, SW_MOTION_TOOL, 0)->state.tool, 3);
    assert_int_equal(program_nth(&p, SW_MOTION_TOOL, 1)->state.tool, 0);
    program_free(&p);
}

static void the_order_of_all_steps_shows_on_one_line(void **state)
{
    (void)state;
    /* Table 8: message, F (still in mm), S, M3, M8, dwell, units, system, G91, motion, stop */
    struct program p = program_new();
    p.start.origin[1] = (struct sw_motion_pt){100, 200};
    program_read_clean(&p, "M0 X1 G1 G4 P2 G20 G55 G90 M8 M3 S500 F30 (msg, go)\nM2\n");
    static const enum sw_motion_kind kind[] = {SW_MOTION_MESSAGE, SW_MOTION_SPINDLE,
                                               SW_MOTION_DWELL,   SW_MOTION_LINE,
                                               SW_MOTION_PAUSE,   SW_MOTION_END};
    assert_int_equal(p.motion.n, 6);
    for (size_t i = 0; i < 6; i++)
        assert_int_equal(p.motion.at[i].kind, kind[i]);
    assert_string_equal(p.motion.at[0].text, " go");
    assert_int_equal(p.motion.at[0].state.spindle, SW_MOTION_STOPPED);
    assert_near(p.motion.at[2].seconds, 2, 0);
    assert_int_equal(p.motion.at[2].state.system, 1);
    assert_near(p.motion.at[3].state.feed, 30, 0);
    assert_near(p.motion.at[3].to.x, 125.4, 1e-12);
    assert_int_equal(p.motion.at[3].state.system, 2);
    assert_int_equal(p.motion.at[3].block, 0);
    assert_int_equal(p.motion.at[5].block, 1);
    assert_int_equal(p.motion.at[5].line, 2);
    assert_int_equal(p.motion.n_blocks, 2);
    program_free(&p);
}

static void pauses_say_whether_they_are_optional(void **state)
{
    (void)state;
    struct program p = program_new();
    program_read_clean(&p, "M0\nM1\nM60\nM30\n");
    assert_false(p.motion.at[0].is_optional);
    assert_true(p.motion.at[1].is_optional);
    assert_false(p.motion.at[2].is_optional);
    assert_int_equal(program_count(&p, SW_MOTION_PAUSE), 3);
    assert_true(p.motion.has_ended);
    program_free(&p);
}

static void only_the_last_comment_counts_and_only_messages_show(void **state)
{
    (void)state;
    /* 3.3.4, 3.3.5 */
    struct program p = program_new();
    program_read_clean(&p, "(MSG,one) (two)\n(one) ( m S g ,two)\n(MSG)\n(no MSG,)\nM2\n");
    assert_int_equal(program_count(&p, SW_MOTION_MESSAGE), 1);
    assert_string_equal(program_nth(&p, SW_MOTION_MESSAGE, 0)->text, "two");
    assert_int_equal(program_nth(&p, SW_MOTION_MESSAGE, 0)->line, 2);
    program_free(&p);
}

static void block_delete_skips_a_line_but_checks_it(void **state)
{
    (void)state;
    static const char text[] = "F10 #1=1\n/#1=2\n/G1 X5\nG1 X#1\n/M2\nX3\nM2\n";
    struct program p = program_new(); /* switch off */
    program_read_clean(&p, text);
    assert_int_equal(program_count(&p, SW_MOTION_LINE), 2);
    assert_near(program_nth(&p, SW_MOTION_LINE, 1)->to.x, 2, 0);
    assert_int_equal(p.motion.n_blocks, 5);
    program_free(&p);
    p = program_new();
    p.start.is_block_delete_on = true;
    program_read_clean(&p, text);
    assert_int_equal(program_count(&p, SW_MOTION_LINE), 2);
    assert_near(program_nth(&p, SW_MOTION_LINE, 0)->to.x, 1, 0); /* D.8.4: not set */
    assert_near(program_nth(&p, SW_MOTION_LINE, 1)->to.x, 3, 0);
    assert_int_equal(p.motion.n_blocks, 4);
    program_free(&p);
    p = program_new(); /* App. A.1: still read and checked */
    p.start.is_block_delete_on = true;
    program_read(&p, "/ G0 G1 X5\n /N5 (fine)\nM2\n");
    assert_int_equal(p.status, SW_FOUND);
    assert_int_equal(sw_diag_n(p.ctx.diag), 1);
    assert_string_equal(sw_diag_at(p.ctx.diag, 0)->code, "block.g-group");
    program_free(&p);
}

static void the_end_puts_back_what_the_report_lists(void **state)
{
    (void)state;
    /* 3.6.1 */
    static const char *const end[] = {"M2", "M30"};
    for (int i = 0; i < 2; i++) {
        struct program p = program_new();
        p.control.feed_per_turn = program_fact(1);
        struct nc_reader *r = SW_NEW(p.ctx.arena, struct nc_reader, 1);
        p.start.origin[0] = (struct sw_motion_pt){5, 6};
        sw_nc_init(r, &p.control, &p.start, &p.ctx);
        static const char *const line[] = {
            "G18 G20 G91 G95 G99 F0.1 S900 T4 M6 M3 M8 M49",
            "G56 G61 G0 X1",
            "G92 X0 Z9",
        };
        for (size_t k = 0; k < sizeof line / sizeof *line; k++)
            assert_int_equal(sw_nc_line(r, line[k], strlen(line[k])), SW_OK);
        assert_int_equal(r->n_faults, 0);
        assert_int_equal(sw_nc_line(r, end[i], strlen(end[i])), SW_OK);
        assert_near(r->now.axis_offset.x, 0, 0);
        assert_near(r->now.axis_offset.z, 0, 0);
        assert_near(sw_nc_parameter_point(r, NC_AXIS_OFFSET).z, -9 * 25.4, 1e-12); /* as G92.2 */
        assert_int_equal(r->now.modal.system, 1);
        assert_near(r->now.origin.x, 5, 0);
        assert_near(r->parameter[5220], 1, 0);
        assert_int_equal(r->now.plane, NC_G17);
        assert_false(r->now.is_incremental);
        assert_int_equal(r->now.modal.feed_mode, SW_MOTION_PER_MINUTE);
        assert_true(r->now.is_override_on);
        assert_int_equal(r->now.modal.spindle, SW_MOTION_STOPPED);
        assert_int_equal(r->now.motion, NC_G1);
        assert_false(r->now.modal.coolant);
        /* not in the list, so they stay */
        assert_near(r->now.unit, 25.4, 0);
        assert_false(r->now.modal.is_continuous);
        assert_int_equal(r->now.cycle_return, NC_G99);
        assert_near(r->now.modal.speed, 900, 0);
        assert_int_equal(r->now.modal.tool, 4);
        assert_int_equal(r->events.at[r->events.n - 1].kind, SW_MOTION_END);
        program_free(&p);
    }
}

/* Table 10 as far as X and Z go: the session carries on behind M2, as typed by hand. Its arc is
 * in test_ncread_arcs. */
static void the_printed_session_comes_out_as_printed(void **state)
{
    (void)state;
    struct program p = program_new();
    p.control.tool_offsets = program_fact(SW_OFFSET_WITH_TOOL);
    p.start.tool_offset[2].z = 1;
    struct nc_reader *r = SW_NEW(p.ctx.arena, struct nc_reader, 1);
    sw_nc_init(r, &p.control, &p.start, &p.ctx);
    static const char *const line[] = {
        "g1 x3 z0.5 f20",
        "(a comment)",
        "t2",
        "m6 g43 h2",
        "m2",
        "x asim[0.5]",
        "x asin[0.5]",
        "g91 g81 x3 z-0.8 r1.5 l2",
    };
    size_t n_at[8];
    for (size_t i = 0; i < 8; i++) {
        r->line_number = (uint32_t)i + 1;
        assert_int_equal(sw_nc_line(r, line[i], strlen(line[i])), SW_OK);
        n_at[i] = r->events.n;
    }
    const struct sw_motion_event *e = r->events.at;
    assert_int_equal(e[0].kind, SW_MOTION_LINE); /* calls 4 and 5: feed before motion */
    assert_near(e[0].state.feed, 20, 0);
    assert_near(e[0].to.x, 3, 0);
    assert_int_equal(n_at[2], 1); /* t2 selects */
    assert_int_equal(e[1].kind, SW_MOTION_TOOL);
    assert_int_equal(e[1].state.tool, 2);
    assert_int_equal(e[2].kind, SW_MOTION_END);
    assert_int_equal(n_at[5], n_at[4]); /* "Unknown word starting with a": nothing emitted */
    assert_int_equal(sw_diag_n(p.ctx.diag), 1);
    assert_string_equal(sw_diag_at(p.ctx.diag, 0)->message, "unknown function ASIM");
    assert_int_equal(sw_diag_at(p.ctx.diag, 0)->at.column, 3);
    assert_int_equal(sw_diag_at(p.ctx.diag, 0)->at.length, 4);
    /* call 14: X to 30, Z reads -0.5, as the offset survived M2: the axis itself stays at 0.5 */
    assert_int_equal(e[3].kind, SW_MOTION_LINE);
    assert_near(e[3].to.x, 30, 1e-13);
    assert_near(e[3].to.z, 0.5, 0);
    assert_near(e[3].to.z - sw_nc_shift(&r->now).z, -0.5, 0);
    /* calls 16, 18..23; Z reads 1, 1, 0.2, 1, 1, 0.2, 1; exact path (17) until 24 */
    static const struct {
        enum sw_motion_kind kind;
        double x, z_reads;
    } call[] = {
        {SW_MOTION_RAPID, 30, 1}, {SW_MOTION_RAPID, 33, 1}, {SW_MOTION_LINE, 33, 0.2},
        {SW_MOTION_RAPID, 33, 1}, {SW_MOTION_RAPID, 36, 1}, {SW_MOTION_LINE, 36, 0.2},
        {SW_MOTION_RAPID, 36, 1},
    };
    assert_int_equal(r->events.n, 4 + 7);
    for (size_t i = 0; i < 7; i++) {
        assert_int_equal(e[4 + i].kind, call[i].kind);
        assert_near(e[4 + i].to.x, call[i].x, 1e-13);
        assert_near(e[4 + i].to.z - 1, call[i].z_reads, 1e-13);
        assert_false(e[4 + i].state.is_continuous);
    }
    assert_true(r->now.modal.is_continuous);
    program_free(&p);
}

static void dwell_and_path_mode_reach_the_events(void **state)
{
    (void)state;
    struct program p = program_new();
    program_read_clean(&p, "F10 G61 G1 X1\nG64 X2\nG61.1 X3\nG4 P0\nG4 P0.25 X4\nM2\n");
    assert_false(program_nth(&p, SW_MOTION_LINE, 0)->state.is_continuous);
    assert_true(program_nth(&p, SW_MOTION_LINE, 1)->state.is_continuous);
    assert_false(program_nth(&p, SW_MOTION_LINE, 2)->state.is_continuous);
    assert_near(program_nth(&p, SW_MOTION_DWELL, 1)->seconds, 0.25, 0);
    /* G4 leaves the axis words to the motion in force, and comes before it (Table 8) */
    assert_near(program_nth(&p, SW_MOTION_DWELL, 1)->from.x, 3, 0);
    assert_near(program_nth(&p, SW_MOTION_LINE, 3)->to.x, 4, 0);
    program_free(&p);
}

static void inverse_time_wants_a_feed_on_each_cutting_line(void **state)
{
    (void)state;
    /* 3.5.19: F2 is half a minute; ignored by G0 */
    struct program p = program_new();
    program_read(&p, "G20 F5\nG93 G1 X1 F2\nG0 X2\nG1 X3\nG1 X4 F3\nG94 X5\nG1 X6 F1\nM2\n");
    assert_int_equal(sw_diag_n_errors(p.ctx.diag), 2);
    assert_string_equal(sw_diag_at(p.ctx.diag, 0)->code, "block.feed-inverse-time");
    assert_int_equal(sw_diag_at(p.ctx.diag, 0)->at.line, 4);
    assert_string_equal(sw_diag_at(p.ctx.diag, 1)->code, "block.feed-missing");
    assert_int_equal(sw_diag_at(p.ctx.diag, 1)->at.line, 6);
    assert_near(program_nth(&p, SW_MOTION_LINE, 0)->state.feed, 2, 0);
    assert_int_equal(program_nth(&p, SW_MOTION_LINE, 0)->state.feed_mode, SW_MOTION_INVERSE_TIME);
    program_free(&p);
}

static void files_are_ended_by_percent_lines_or_m2(void **state)
{
    (void)state;
    /* 3.1 */
    static const char *const good[] = {
        "M2",
        "%\nG0 X1\n%\n",
        "\n \t\n % \nG0 X1\n\t%",
        "%\nG0 X1\nM2\n%\nanything )(",
        "G0 X1\nM30\nanything )(\n%\n",
        "G0 X1\r\nM2\r\n",
        "G0 X1\rM2\r",
        "%\r%\r",
    };
    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        struct program p = program_new();
        program_read_clean(&p, good[i]);
        assert_int_equal(p.motion.has_ended, strchr(good[i], 'M') != NULL);
        program_free(&p);
    }
    static const struct {
        const char *text;
        const char *code;
        uint32_t line, column;
    } bad[] = {
        {"", "block.no-end", 1, 1},
        {"G0 X1\nX2\n", "block.no-end", 2, 1},
        {"\n %\nG0 X1\nM2\n", "block.percent-open", 2, 2},
        {"%\nG0 X1\n", "block.percent-open", 1, 1},
        {"G0 X1\n %\nM2\n", "block.percent-stray", 2, 2},
        {"G0 X1\n% N1\nM2\n", "block.percent-line", 2, 1},
        {"G0 X1 %\nM2\n", "block.percent-place", 1, 7},
        {"G0 X1\rX2 )\rM2\r", "block.comment-end", 2, 4},
        {"G0 X1\nM30\n\n(end)\nM30\nX2\n", "block.behind-end", 5, 1},
        {"%\nG0 X1\nM2\n N5 G0 X2\n%\n", "block.behind-end", 4, 2},
        {"M2 Y1\n", "block.axis-missing", 1, 4}, /* the end is seen, so only this */
    };
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct program p = program_new();
        program_read(&p, bad[i].text);
        assert_int_equal(p.status, SW_FOUND);
        assert_int_equal(sw_diag_n(p.ctx.diag), 1);
        const struct sw_diag_record *record = sw_diag_at(p.ctx.diag, 0);
        assert_string_equal(record->code, bad[i].code);
        assert_int_equal(record->at.line, bad[i].line);
        assert_int_equal(record->at.column, bad[i].column);
        program_free(&p);
    }
}

static void lines_of_nothing_are_grammatical(void **state)
{
    (void)state;
    /* 3.3, E.2: only /, only N, nothing at all */
    struct program p = program_new();
    program_read_clean(&p, "/\nN5\n/ N 1 2\n\n   \nN00000\nN99999 M2\n");
    assert_int_equal(p.motion.n, 1);
    program_free(&p);
}

static void what_is_in_force_may_be_said_again(void **state)
{
    (void)state;
    /* 3.6, 3.7.2: M3, M4, M5, M7 to M9, M48, M49, G40, G49, G6x; S0 is legal, with M3 too */
    struct program p = program_new();
    program_read_clean(&p, "M5 M9 M48 G40 G49 G61\nM5 M9 M48 G40 G49 G61\nM49\nM49\nS0 M3\nM3\n"
                           "M7\nM8\nG90 G17 G54 G94 G21 G98\nM2\n");
    assert_int_equal(program_count(&p, SW_MOTION_SPINDLE), 1);
    program_free(&p);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(words_act_in_the_fixed_order_whatever_their_place),
        cmocka_unit_test(spindle_and_coolant_stop_before_the_motion_of_their_line),
        cmocka_unit_test(a_tool_change_stops_the_spindle_and_m3_restarts_it),
        cmocka_unit_test(a_tool_word_only_selects),
        cmocka_unit_test(the_order_of_all_steps_shows_on_one_line),
        cmocka_unit_test(pauses_say_whether_they_are_optional),
        cmocka_unit_test(only_the_last_comment_counts_and_only_messages_show),
        cmocka_unit_test(block_delete_skips_a_line_but_checks_it),
        cmocka_unit_test(the_end_puts_back_what_the_report_lists),
        cmocka_unit_test(the_printed_session_comes_out_as_printed),
        cmocka_unit_test(dwell_and_path_mode_reach_the_events),
        cmocka_unit_test(inverse_time_wants_a_feed_on_each_cutting_line),
        cmocka_unit_test(files_are_ended_by_percent_lines_or_m2),
        cmocka_unit_test(lines_of_nothing_are_grammatical),
        cmocka_unit_test(what_is_in_force_may_be_said_again),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
