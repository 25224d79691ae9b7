/* The declared extension and the refused rest: what a control's facts change. No public standard
 * fixes these; each case says what the fact in shop/machine.h means. */
#include "test_ncread_program.h"

#include <stddef.h>
#include <stdio.h>

static void per_turn_feed_is_known_when_declared(void **state)
{
    (void)state;
    struct program p = program_new();
    p.control.feed_per_turn = program_fact(1);
    program_read_clean(&p, "G95 F0.02 G1 X1\nG20 F0.001 X2\nF0.001 X3\nG94 F1 X4\nM2\n");
    assert_int_equal(program_nth(&p, SW_MOTION_LINE, 0)->state.feed_mode, SW_MOTION_PER_TURN);
    assert_near(program_nth(&p, SW_MOTION_LINE, 0)->state.feed, 0.02, 0);
    assert_near(program_nth(&p, SW_MOTION_LINE, 2)->state.feed, 0.0254, 1e-15);
    assert_int_equal(program_nth(&p, SW_MOTION_LINE, 3)->state.feed_mode, SW_MOTION_PER_MINUTE);
    program_free(&p);
}

static void g98_and_g99_may_be_feed_words(void **state)
{
    (void)state;
    struct program p = program_new();
    p.control.feed_words = program_fact(SW_FEED_G98_G99);
    p.control.feed_per_turn = program_fact(1);
    program_read_clean(&p, "G99 F0.02 G1 X1\nG98 F30 X2\nM2\n");
    assert_int_equal(program_nth(&p, SW_MOTION_LINE, 0)->state.feed_mode, SW_MOTION_PER_TURN);
    assert_int_equal(program_nth(&p, SW_MOTION_LINE, 1)->state.feed_mode, SW_MOTION_PER_MINUTE);
    program_free(&p);
}

static void a_feed_does_not_outlive_its_mode(void **state)
{
    (void)state;
    struct program p = program_new();
    p.control.feed_per_turn = program_fact(1);
    program_read(&p, "F100 G1 X1\nG95 X2\nM2\n");
    assert_int_equal(sw_diag_n(p.ctx.diag), 1);
    assert_string_equal(sw_diag_at(p.ctx.diag, 0)->code, "block.feed-missing");
    program_free(&p);
}

static void surface_speed_is_known_when_declared(void **state)
{
    (void)state;
    struct program p = program_new();
    p.control.surface_speed = program_fact(1);
    p.control.speed_clamp = program_fact(SW_CLAMP_G50);
    program_read_clean(&p, "G50 S3000\nG96 S40 M3\nG97 S1200\nG20\nG96 S100\nM2\n");
    const struct sw_motion_event *e = program_nth(&p, SW_MOTION_SPINDLE, 0);
    assert_near(e->state.speed_clamp, 3000, 0);
    assert_near(e->state.speed, 0, 0);
    e = program_nth(&p, SW_MOTION_SPINDLE, 1);
    assert_true(e->state.is_surface_speed);
    assert_near(e->state.speed, 40, 0);
    e = program_nth(&p, SW_MOTION_SPINDLE, 2);
    assert_false(e->state.is_surface_speed);
    assert_near(e->state.speed, 1200, 0);
    e = program_nth(&p, SW_MOTION_SPINDLE, 3); /* ft/min */
    assert_near(e->state.speed, 30.48, 1e-12);
    program_free(&p);
}

static void g92_may_limit_the_speed(void **state)
{
    (void)state;
    struct program p = program_new();
    p.control.speed_clamp = program_fact(SW_CLAMP_G92);
    program_read_clean(&p, "S100 M3\nG92 S2500\nG92 X5\nG0 X0\nM2\n");
    assert_near(program_nth(&p, SW_MOTION_SPINDLE, 1)->state.speed_clamp, 2500, 0);
    assert_near(program_nth(&p, SW_MOTION_SPINDLE, 1)->state.speed, 100, 0);
    assert_near(program_nth(&p, SW_MOTION_RAPID, 0)->to.x, -5, 0);
    program_free(&p);
}

static void u_and_w_are_increments_when_declared(void **state)
{
    (void)state;
    struct program p = program_new();
    p.control.incremental_u_w = program_fact(1);
    p.control.x = program_fact(SW_X_DIAMETER);
    p.start.home[0] = (struct sw_motion_pt){50, 60};
    program_read_clean(&p, "G0 X10 Z5\nU-2 W1\nX4 W1\nG28 U0 W0\nM2\n");
    static const double x[] = {5, 4, 2, 2, 50}, z[] = {5, 6, 7, 7, 60};
    for (size_t i = 0; i < 5; i++) {
        assert_near(program_nth(&p, SW_MOTION_RAPID, i)->to.x, x[i], 0);
        assert_near(program_nth(&p, SW_MOTION_RAPID, i)->to.z, z[i], 0);
    }
    program_free(&p);
}

static void a_thread_follows_the_spindle_when_declared(void **state)
{
    (void)state;
    struct program p = program_new();
    p.control.threading = program_fact(1);
    p.control.x = program_fact(SW_X_DIAMETER);
    /* lead 0.25; on a cone of 3 : 4 the way is 5/4 as long as its part along Z; then in inches, and
     * G1 goes on by its own feed */
    program_read_clean(&p, "G21 S500 M3 F40 G0 X10 Z0\nG33 Z-4 K0.25\nX16 Z-8 K0.25\nG20 "
                           "Z0 K0.01\nG21 G1 Z0\nM2\n");
    const struct sw_motion_event *line[4];
    for (size_t i = 0; i < 4; i++)
        line[i] = program_nth(&p, SW_MOTION_LINE, i);
    static const double feed[] = {0.25, 0.25 * 5 / 4, 0.254};
    for (size_t i = 0; i < 3; i++) {
        assert_true(line[i]->is_thread);
        assert_int_equal(line[i]->state.feed_mode, SW_MOTION_PER_TURN);
        assert_near(line[i]->state.feed, feed[i], 1e-12);
    }
    assert_near(line[1]->to.x, 8, 0);
    assert_false(line[3]->is_thread);
    assert_int_equal(line[3]->state.feed_mode, SW_MOTION_PER_MINUTE);
    assert_near(line[3]->state.feed, 40, 0);
    program_free(&p);
}

static void words_of_a_second_spindle_are_read_as_declared(void **state)
{
    (void)state;
    struct program p = program_new();
    p.control.second_takes = (struct sw_number){.value = 10, .given = true};
    p.control.second_leaves = (struct sw_number){.value = 71, .given = true};
    program_read_clean(&p, "M10\nG0 X1 M71\nM2\n");
    assert_true(program_nth(&p, SW_MOTION_SECOND, 0)->is_taken);
    const struct sw_motion_event *leaves = program_nth(&p, SW_MOTION_SECOND, 1);
    assert_false(leaves->is_taken);
    assert_int_equal(leaves->line, 2);
    assert_near(leaves->to.x, 0, 0); /* before the line moves */
    program_free(&p);
    p = program_new();
    p.control.second_takes = (struct sw_number){.value = 10, .given = true};
    p.control.second_leaves = (struct sw_number){.value = 71, .given = true};
    program_read(&p, "M71 M10\nM2\n");
    assert_int_equal(sw_diag_n(p.ctx.diag), 1);
    assert_string_equal(sw_diag_at(p.ctx.diag, 0)->message,
                        "M71 and M10 both choose what the second spindle does; a line has one of "
                        "them");
    program_free(&p);
}

static void units_may_be_g70_and_g71(void **state)
{
    (void)state;
    struct program p = program_new();
    p.control.units = program_fact(SW_UNITS_G70_G71);
    program_read_clean(&p, "G70 G0 X1\nG71 X1\nM2\n");
    assert_near(program_nth(&p, SW_MOTION_RAPID, 0)->to.x, 25.4, 0);
    assert_near(program_nth(&p, SW_MOTION_RAPID, 1)->to.x, 1, 0);
    program_free(&p);
}

static void a_dwell_is_written_as_declared(void **state)
{
    (void)state;
    struct program p = program_new();
    p.control.dwell = program_fact(SW_DWELL_P_MILLISECONDS);
    program_read_clean(&p, "G4 P250\nF1 G82 X1 Z-1 R1 P500\nM2\n");
    assert_near(program_nth(&p, SW_MOTION_DWELL, 0)->seconds, 0.25, 0);
    assert_near(program_nth(&p, SW_MOTION_DWELL, 1)->seconds, 0.5, 0);
    program_free(&p);
    p = program_new();
    p.control.dwell = program_fact(SW_DWELL_X_SECONDS);
    program_read_clean(&p, "G0 X7\nG4 X1.5\nM2\n");
    assert_near(program_nth(&p, SW_MOTION_DWELL, 0)->seconds, 1.5, 0);
    assert_int_equal(program_count(&p, SW_MOTION_RAPID), 1); /* X is time, not a place */
    program_free(&p);
    p = program_new();
    p.control.dwell = program_fact(SW_DWELL_U_SECONDS);
    program_read_clean(&p, "G0 X7\nG4 U1.5\nM2\n");
    assert_near(program_nth(&p, SW_MOTION_DWELL, 0)->seconds, 1.5, 0);
    assert_int_equal(program_count(&p, SW_MOTION_RAPID), 1);
    program_free(&p);
    p = program_new();
    p.control.dwell = program_fact(SW_DWELL_F_SECONDS);
    program_read_clean(&p, "F30 G1 X7\nG4 F0.5\nX8\nM2\n");
    assert_near(program_nth(&p, SW_MOTION_DWELL, 0)->seconds, 0.5, 0);
    assert_near(program_nth(&p, SW_MOTION_LINE, 1)->state.feed, 30, 0); /* F is time, no feed */
    program_free(&p);
}

/* Common practice, no source: two digits of tool, two of its offset, at once and without M6. */
static void a_tool_word_brings_its_offset_as_declared(void **state)
{
    (void)state;
    struct program p = program_new();
    p.control.tool_offsets = program_fact(SW_OFFSET_WITH_TOOL);
    p.control.tool_call = program_fact(SW_CALL_WITH_OFFSET);
    p.start.tool_offset[1] = (struct sw_motion_pt){10, 20};
    p.start.tool_offset[2] = (struct sw_motion_pt){30, 40};
    program_read_clean(&p, "M3 S100 T0102\nG0 X1 Z2\nT0101 G0 X1 Z2\nT100 G0 X1 Z2\nM2\n");
    assert_int_equal(program_count(&p, SW_MOTION_TOOL), 3);
    assert_int_equal(program_nth(&p, SW_MOTION_TOOL, 0)->state.tool, 1);
    assert_near(program_nth(&p, SW_MOTION_RAPID, 0)->to.x, 31, 1e-12);
    assert_near(program_nth(&p, SW_MOTION_RAPID, 0)->to.z, 42, 1e-12);
    assert_near(program_nth(&p, SW_MOTION_RAPID, 1)->to.x, 11, 1e-12);
    assert_near(program_nth(&p, SW_MOTION_RAPID, 2)->to.x, 1, 1e-12); /* offset 0: none */
    assert_int_equal(program_nth(&p, SW_MOTION_RAPID, 2)->state.spindle, SW_MOTION_CW);
    program_free(&p);
}

/* Common practice, no source: D names the offset, M6 takes the one in force out. */
static void a_d_word_brings_the_offset_as_declared(void **state)
{
    (void)state;
    struct program p = program_new();
    p.control.tool_offsets = program_fact(SW_OFFSET_WITH_TOOL);
    p.control.tool_call = program_fact(SW_CALL_THEN_D);
    p.start.tool_offset[1] = (struct sw_motion_pt){10, 20};
    p.start.tool_offset[2] = (struct sw_motion_pt){30, 40};
    program_read_clean(&p, "D2 T1 M6\nG0 X1 Z2\nT2 M6\nX1 Z2\nD1 X1 Z2\nD0 X1 Z2\nD[1+1] X1\nM2\n");
    static const double x[] = {31, 1, 11, 1, 31}, z[] = {42, 2, 22, 2, 2};
    assert_int_equal(program_count(&p, SW_MOTION_TOOL), 2);
    assert_int_equal(program_nth(&p, SW_MOTION_TOOL, 1)->state.tool, 2);
    for (size_t i = 0; i < sizeof x / sizeof *x; i++) {
        assert_near(program_nth(&p, SW_MOTION_RAPID, i)->to.x, x[i], 1e-12);
        assert_near(program_nth(&p, SW_MOTION_RAPID, i)->to.z, z[i], 1e-12);
    }
    program_free(&p);
}

/* Each refused word with its fact set against it, its place, and the whole message. OFFSET is of
 * the fact in struct sw_control; VALUE -1 leaves the standard's. */
static void undeclared_words_are_refused_by_name(void **state)
{
    (void)state;
#define AT(member) offsetof(struct sw_control, member)
    static const struct {
        size_t offset;
        int value;
        const char *line;
        uint32_t column, length;
        const char *code;
        const char *message;
    } fault[] = {
        {AT(surface_speed), -1, "G96 S40", 1, 3, "control.surface-speed",
         "G96 is surface speed; this control does not declare it (control: surface_speed)"},
        {AT(surface_speed), -1, "S40 G97", 5, 3, "control.surface-speed",
         "G97 is spindle speed in rev/min; this control does not declare it (control: "
         "surface_speed)"},
        {AT(speed_clamp), -1, "G50 S40", 1, 3, "control.speed-clamp",
         "G50 is a spindle speed limit; this control does not declare it (control: speed_clamp)"},
        {AT(speed_clamp), SW_CLAMP_G50, "G92 S40", 1, 3, "control.speed-clamp",
         "G92 S is a spindle speed limit on some controls; this control does not declare it "
         "(control: speed_clamp)"},
        {AT(feed_per_turn), -1, "G95", 1, 3, "control.feed-per-turn",
         "G95 is feed per turn; this control does not declare it (control: feed_per_turn, "
         "feed_words)"},
        {AT(feed_words), SW_FEED_G98_G99, "G94", 1, 3, "control.feed-words",
         "G94 is feed per minute; this control does not declare it (control: feed_words)"},
        {AT(feed_words), SW_FEED_G98_G99, "G99", 1, 3, "control.feed-per-turn",
         "G99 is feed per turn; this control does not declare it (control: feed_per_turn, "
         "feed_words)"},
        {AT(units), -1, "G71", 1, 3, "control.units",
         "G71 is millimetres; this control does not declare it (control: units)"},
        {AT(units), SW_UNITS_G70_G71, "G20", 1, 3, "control.units",
         "G20 is inches; this control does not declare it (control: units)"},
        {AT(arcs), 0, "G18 G2 X1 Z1 R1", 5, 2, "control.arcs",
         "G2 is a clockwise arc; this control does not declare it (control: arcs)"},
        {AT(spindle_words), 0, "M3", 1, 2, "control.spindle-words",
         "M3 is spindle on, clockwise; this control does not declare it (control: spindle_words)"
         "; it is switched by hand: write a stop (M0), and what is done there under `programs:` "
         "`spindle:` of the setup record"},
        {AT(spindle_words), 0, "X1 S100", 4, 4, "control.spindle-words",
         "S is a spindle speed; this control does not declare it (control: spindle_words)"
         "; it is switched by hand: write a stop (M0), and what is done there under `programs:` "
         "`spindle:` of the setup record"},
        {AT(tool_words), 0, "T1", 1, 2, "control.tool-words",
         "T selects a tool; this control does not declare it (control: tool_words)"
         "; write one program a tool, and which one under `programs:` `tool:` of the setup record"},
        {AT(tool_words), 0, "M6", 1, 2, "control.tool-words",
         "M6 is a tool change; this control does not declare it (control: tool_words)"
         "; write one program a tool, and which one under `programs:` `tool:` of the setup record"},
        {AT(incremental_u_w), -1, "G0 U1", 4, 1, "control.incremental-u-w",
         "U is an incremental X on some controls; this control does not declare it (control: "
         "incremental_u_w)"},
        {AT(incremental_u_w), -1, "G0 W1", 4, 1, "control.incremental-u-w",
         "W is an incremental Z on some controls; this control does not declare it (control: "
         "incremental_u_w)"},
        {AT(comments), 0, "G0 (hello)", 4, 1, "control.comments",
         "this control knows no ( ) comments (control: comments)"},
        {AT(parameters), 0, "G0 X#1", 5, 1, "control.parameters",
         "this control knows no parameters and expressions (control: parameters)"},
        {AT(parameters), 0, "#1=2", 1, 1, "control.parameters",
         "this control knows no parameters and expressions (control: parameters)"},
        {AT(parameters), 0, "G0 X[1+2]", 5, 1, "control.parameters",
         "this control knows no parameters and expressions (control: parameters)"},
        {AT(parameters), 0, "G0 X SIN[1]", 6, 3, "control.parameters",
         "this control knows no parameters and expressions (control: parameters)"},
        {AT(tool_offsets), -1, "G43 H1", 1, 3, "control.length-offset",
         "G43 uses a length offset; this control has none (control: tool_offsets)"},
        {AT(dwell), SW_DWELL_X_SECONDS, "G4 P1", 1, 2, "block.dwell-time",
         "G4 needs its time, an X word"},
        {AT(dwell), SW_DWELL_U_SECONDS, "G4 P1", 1, 2, "block.dwell-time",
         "G4 needs its time, a U word"},
        {AT(dwell), SW_DWELL_U_SECONDS, "G0 U1", 4, 2, "control.incremental-u-w",
         "U is a time beside G4 alone; as an incremental X this control does not declare it "
         "(control: incremental_u_w)"},
        {AT(dwell), SW_DWELL_F_SECONDS, "G4 P1", 1, 2, "block.dwell-time",
         "G4 needs its time, an F word"},
        {AT(tool_call), SW_CALL_WITH_OFFSET, "T1", 1, 2, "control.tool-call",
         "T1 names no tool; this control reads T as tool and two digits of offset (control: "
         "tool_call)"},
        {AT(tool_call), SW_CALL_WITH_OFFSET, "M6", 1, 2, "control.tool-call",
         "M6 is a tool change; on this control T alone brings tool and offset (control: "
         "tool_call)"},
        {AT(tool_call), SW_CALL_THEN_D, "D1.5", 1, 4, "block.offset-whole",
         "the number of an offset is whole, 1.5 is not"},
        {AT(tool_call), SW_CALL_THEN_D, "T1 D-1 M6", 4, 3, "block.offset-negative",
         "the number of an offset is zero or more, not -1"},
        {AT(tool_call), SW_CALL_THEN_D, "T1 M6 D21", 7, 3, "block.offset-range",
         "offset 21 does not exist; the largest number here is 20"},
        {AT(tool_call), -1, "T1 D1 M6", 4, 2, "block.word-unused",
         "D has no use on this line; G41 or G42 would use it"},
        {AT(arcs), -1, "G38.2 X1", 1, 5, "control.probe",
         "G38.2 is a straight probe, and this reader has no probe to follow"},
        {AT(arcs), -1, "G84 X1 Z1 R2", 1, 3, "control.cycle",
         "G84 is a tapping cycle, which ties feed to spindle; no such drive is known here"},
        {AT(threading), -1, "G33 Z-1 K1", 1, 3, "control.threading",
         "G33 is a thread of constant lead; this control does not declare it (control: "
         "threading)"},
        {AT(threading), 1, "S100 M3 G33 Z-1", 9, 3, "block.thread-lead",
         "G33 needs its lead along Z, a K word above zero"},
        {AT(threading), 1, "S100 M3 G33 Z-1 K0", 17, 2, "block.thread-lead",
         "G33 needs its lead along Z, a K word above zero"},
        {AT(threading), 1, "S100 M3 G33 X1 K1", 9, 3, "block.thread-way",
         "G33 has its lead along Z, and this line does not move along it"},
        {AT(threading), 1, "G33 Z-1 K1", 1, 3, "block.thread-spindle",
         "G33 needs a turning spindle: its feed follows it"},
        {AT(threading), 1, "S100 M3 G33 Z-1 K1 I1", 20, 2, "block.word-unused",
         "I has no use on this line; an arc (G2, G3) would use it"},
        {AT(arcs), -1, "M98 P1", 1, 3, "control.code-elsewhere",
         "M98 is a subprogram call in some dialects; the standard has no subprograms"},
    };
#undef AT
    for (size_t i = 0; i < sizeof fault / sizeof *fault; i++) {
        struct program p = program_new();
        const struct sw_choice fact = {.value = fault[i].value, .given = fault[i].value >= 0};
        memcpy((char *)&p.control + fault[i].offset, &fact, sizeof fact);
        char text[128];
        snprintf(text, sizeof text, "%s\nM2\n", fault[i].line);
        program_read(&p, text);
        assert_int_equal(p.status, SW_FOUND);
        assert_int_equal(sw_diag_n(p.ctx.diag), 1);
        const struct sw_diag_record *record = sw_diag_at(p.ctx.diag, 0);
        assert_string_equal(record->message, fault[i].message);
        assert_string_equal(record->code, fault[i].code);
        assert_int_equal(record->at.line, 1);
        assert_int_equal(record->at.column, fault[i].column);
        assert_int_equal(record->at.length, fault[i].length);
        assert_int_equal(p.motion.n, 1);
        program_free(&p);
    }
}

static void a_short_line_and_few_decimals_are_held(void **state)
{
    (void)state;
    struct program p = program_new();
    p.control.line_length = (struct sw_number){.value = 10, .given = true};
    p.control.decimals = (struct sw_number){.value = 3, .given = true};
    program_read(&p, "G0 X1.1234\nG0 X1.123  Z1\nF1.12345\nX[1/3]\nX1.100\nM2\n");
    assert_int_equal(sw_diag_n(p.ctx.diag), 2);
    const struct sw_diag_record *record = sw_diag_at(p.ctx.diag, 0);
    assert_string_equal(record->message,
                        "X has 4 decimals; this control takes at most 3 (control: decimals)");
    assert_int_equal(record->at.column, 4);
    assert_int_equal(record->at.length, 7);
    record = sw_diag_at(p.ctx.diag, 1);
    assert_string_equal(record->code, "control.line-length");
    assert_string_equal(record->message, "the line has 13 characters; at most 10 are allowed");
    assert_int_equal(record->at.column, 11);
    assert_int_equal(program_count(&p, SW_MOTION_RAPID), 0);
    program_free(&p);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(per_turn_feed_is_known_when_declared),
        cmocka_unit_test(g98_and_g99_may_be_feed_words),
        cmocka_unit_test(a_feed_does_not_outlive_its_mode),
        cmocka_unit_test(surface_speed_is_known_when_declared),
        cmocka_unit_test(g92_may_limit_the_speed),
        cmocka_unit_test(u_and_w_are_increments_when_declared),
        cmocka_unit_test(a_thread_follows_the_spindle_when_declared),
        cmocka_unit_test(words_of_a_second_spindle_are_read_as_declared),
        cmocka_unit_test(units_may_be_g70_and_g71),
        cmocka_unit_test(a_dwell_is_written_as_declared),
        cmocka_unit_test(a_tool_word_brings_its_offset_as_declared),
        cmocka_unit_test(a_d_word_brings_the_offset_as_declared),
        cmocka_unit_test(undeclared_words_are_refused_by_name),
        cmocka_unit_test(a_short_line_and_few_decimals_are_held),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
