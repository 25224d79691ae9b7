/* Coordinate systems, offsets, home, units, drilling cycles. Sections are those of NISTIR 6556. */
#include "test_ncread_program.h"

#include <stdio.h>

#include "ncread/ncread_int.h"

static void g92_has_the_reports_figures(void **state)
{
    (void)state;
    /* 3.5.18: at X4, offset 0, G92 X7 gives offset -3, #5211 = -3, X reads 7; G92 X9 then -5 */
    struct program p = program_new();
    program_read_clean(&p, "G0 X4\nG92 X7\n#1=#5211\nG92 X9\n#2=#5211\nX9\nF10 G1 X#1 Z#2\nM2\n");
    assert_near(program_nth(&p, SW_MOTION_RAPID, 1)->to.x, 4, 0); /* X reads 9 there */
    /* words -3 and -5, under an offset of X-5 */
    assert_near(program_nth(&p, SW_MOTION_LINE, 0)->to.x, -3 - 5, 0);
    assert_near(program_nth(&p, SW_MOTION_LINE, 0)->to.z, -5, 0);
    program_free(&p);
}

static void the_kin_of_g92_zero_keep_and_restore(void **state)
{
    (void)state;
    struct program p = program_new();
    program_read_clean(&p, "G0 X4\nG92 X7\nG92.2\nG0 X1\nX#5211\nG92.3\nX0\nG92.1\nX0 Z#5211\n"
                           "G92.3\nX0\nM2\n");
    static const double x[] = {4, 1, -3, -3, 0, 0};
    for (size_t i = 0; i < 6; i++)
        assert_near(program_nth(&p, SW_MOTION_RAPID, i)->to.x, x[i], 0);
    assert_near(program_nth(&p, SW_MOTION_RAPID, 4)->to.z, 0, 0);
    program_free(&p);
}

static void g92_holds_in_all_systems_and_ignores_g91(void **state)
{
    (void)state;
    struct program p = program_new();
    p.start.origin[1] = (struct sw_motion_pt){100, 50};
    program_read_clean(&p, "G0 X4\nG91 G92 X7\nG90 G55 G0 X0 Z0\nM2\n");
    assert_near(program_nth(&p, SW_MOTION_RAPID, 1)->to.x, 97, 0);
    assert_near(program_nth(&p, SW_MOTION_RAPID, 1)->to.z, 50, 0);
    program_free(&p);
}

static void each_system_has_its_origin(void **state)
{
    (void)state;
    static const char *const word[] = {"G54", "G55",   "G56",   "G57",  "G58",
                                       "G59", "G59.1", "G59.2", "G59.3"};
    for (int i = 0; i < 9; i++) {
        struct program p = program_new();
        for (int k = 0; k < 9; k++)
            p.start.origin[k] = (struct sw_motion_pt){k + 1, 10 * k};
        char text[128];
        snprintf(text, sizeof text, "%s\nG0 X0.5 Z0.25\nX[#[5201+20*#5220]+#5220]\nM2\n", word[i]);
        program_read_clean(&p, text);
        const struct sw_motion_event *rapid = program_nth(&p, SW_MOTION_RAPID, 0);
        assert_near(rapid->to.x, i + 1 + 0.5, 0);
        assert_near(rapid->to.z, 10 * i + 0.25, 0);
        assert_int_equal(rapid->state.system, i + 1);
        /* #5220 is the system in force, its X origin stands at 5201 + 20 * #5220 (3.2.1) */
        assert_near(program_nth(&p, SW_MOTION_RAPID, 1)->to.x, 3.0 * (i + 1), 0);
        program_free(&p);
    }
}

static void g10_sets_only_the_axes_named(void **state)
{
    (void)state;
    /* 3.5.5: active or not; absolute, whatever G91; G92 stays in force */
    struct program p = program_new();
    p.start.origin[0] = (struct sw_motion_pt){1, 2};
    program_read_clean(&p, "G0 X0 Z0\nG92 X10\nG91 G10 L2 P1 X5\nG90 G0 X0 Z0\n"
                           "G10 L2 P2 Z7\nG55 X0 Z0\nM2\n");
    const struct sw_motion_event *rapid = program_nth(&p, SW_MOTION_RAPID, 1);
    assert_near(rapid->to.x, 5 - 10, 0);
    assert_near(rapid->to.z, 2, 0);
    rapid = program_nth(&p, SW_MOTION_RAPID, 2);
    assert_near(rapid->to.x, -10, 0);
    assert_near(rapid->to.z, 7, 0);
    program_free(&p);
}

static void g53_moves_in_machine_coordinates_for_one_line(void **state)
{
    (void)state;
    /* 3.5.12; absolute in G91 too */
    struct program p = program_new();
    p.start.origin[0] = (struct sw_motion_pt){100, 100};
    program_read_clean(&p, "G0 X1 Z1\nG53 X3\nX1\nG91 G53 G0 Z5\nZ1\nM2\n");
    static const double x[] = {101, 3, 101, 101, 101}, z[] = {101, 101, 101, 5, 6};
    for (size_t i = 0; i < 5; i++) {
        assert_near(program_nth(&p, SW_MOTION_RAPID, i)->to.x, x[i], 0);
        assert_near(program_nth(&p, SW_MOTION_RAPID, i)->to.z, z[i], 0);
    }
    program_free(&p);
}

static void home_is_reached_by_way_of_the_point_given(void **state)
{
    (void)state;
    /* 3.5.6: without axis words one move */
    struct program p = program_new();
    p.start.at = (struct sw_motion_pt){1, 1};
    p.start.origin[0] = (struct sw_motion_pt){10, 10};
    p.start.home[0] = (struct sw_motion_pt){50, 60};
    p.start.home[1] = (struct sw_motion_pt){70, 80};
    program_read_clean(&p, "F5 G1 X0\nG28 Z2\nG30\n#5161=5\nG91 G28 X-1\nX1\nM2\n");
    static const double x[] = {10, 50, 70, 69, 5}, z[] = {12, 60, 80, 80, 60};
    assert_int_equal(program_count(&p, SW_MOTION_RAPID), 5);
    for (size_t i = 0; i < 5; i++) {
        assert_near(program_nth(&p, SW_MOTION_RAPID, i)->to.x, x[i], 0);
        assert_near(program_nth(&p, SW_MOTION_RAPID, i)->to.z, z[i], 0);
    }
    /* the motion in force was only suspended (3.4) */
    assert_int_equal(program_last(&p)->kind, SW_MOTION_END);
    assert_near(program_nth(&p, SW_MOTION_LINE, 1)->to.x, 6, 0);
    program_free(&p);
}

static void incremental_words_add_up(void **state)
{
    (void)state;
    struct program p = program_new();
    program_read_clean(&p, "G0 X1 Z1\nG91 X0.5 Z-2\nX0.5\nG90 X1\nM2\n");
    assert_near(program_nth(&p, SW_MOTION_RAPID, 2)->to.x, 2, 0);
    assert_near(program_nth(&p, SW_MOTION_RAPID, 2)->to.z, -1, 0);
    assert_near(program_nth(&p, SW_MOTION_RAPID, 3)->to.x, 1, 0);
    program_free(&p);
}

static void inches_change_numbers_and_not_places(void **state)
{
    (void)state;
    /* 2.1.2.10; F is taken before the units of its line (Table 8), the axis words after */
    struct program p = program_new();
    program_read_clean(&p, "G0 X25.4\nG20 G91 G1 X1 F2\nF2 X1\nG21 X1\n"
                           "G20 #1=#5221\nG10 L2 P1 X1\nG21 #1=#5221\nG90 X#1\nM2\n");
    assert_near(program_nth(&p, SW_MOTION_LINE, 0)->to.x, 50.8, 1e-12);
    assert_near(program_nth(&p, SW_MOTION_LINE, 0)->state.feed, 2, 0);
    assert_near(program_nth(&p, SW_MOTION_LINE, 1)->to.x, 76.2, 1e-12);
    assert_near(program_nth(&p, SW_MOTION_LINE, 1)->state.feed, 50.8, 1e-12);
    assert_near(program_nth(&p, SW_MOTION_LINE, 2)->to.x, 77.2, 1e-12);
    /* assumed: #5221 reads as an X word would, so 1 inch read on an inch line... is read before
     * its G21 takes effect */
    assert_near(program_nth(&p, SW_MOTION_LINE, 3)->to.x, 25.4 + 1, 1e-12);
    program_free(&p);
}

static void a_diameter_reading_halves_x_everywhere(void **state)
{
    (void)state;
    struct program p = program_new();
    p.control.x = program_fact(SW_X_DIAMETER);
    p.start.home[0] = (struct sw_motion_pt){30, 40};
    program_read_clean(&p, "G0 X10 Z3\nG91 X2\nG90 G92 X20\nX18\nG10 L2 P1 X4\nG92.1\nX0\n"
                           "X[#5221+#5161]\nM2\n");
    static const double x[] = {5, 6, 5, 2, 34};
    for (size_t i = 0; i < 5; i++)
        assert_near(program_nth(&p, SW_MOTION_RAPID, i)->to.x, x[i], 1e-12);
    assert_near(program_nth(&p, SW_MOTION_RAPID, 0)->to.z, 3, 0);
    program_free(&p);
}

static void offsets_come_with_the_tool_where_the_control_says_so(void **state)
{
    (void)state;
    struct program p = program_new();
    p.start.is_tool_loaded = true;
    p.start.tool = 1;
    p.start.tool_offset[1] = (struct sw_motion_pt){1, 10};
    p.start.tool_offset[2] = (struct sw_motion_pt){2, 20};
    static const char text[] = "G0 X0 Z0\nT2 M6\nX0 Z0\nG43 H1 Z0\nG49 Z0\nT0 M6\nX0 Z0\nM2\n";
    p.control.tool_offsets = program_fact(SW_OFFSET_WITH_TOOL);
    program_read_clean(&p, text);
    static const double x[] = {1, 2, 2, 2, 0}, z[] = {10, 20, 10, 0, 0};
    for (size_t i = 0; i < 5; i++) {
        assert_near(program_nth(&p, SW_MOTION_RAPID, i)->to.x, x[i], 0);
        assert_near(program_nth(&p, SW_MOTION_RAPID, i)->to.z, z[i], 0);
    }
    assert_int_equal(program_nth(&p, SW_MOTION_RAPID, 0)->state.tool, 1);
    program_free(&p);
}

struct step {
    int kind; /* enum sw_motion_kind */
    double x, z;
};

static void check_steps(const char *text, const struct step *step, size_t n)
{
    struct program p = program_new();
    p.start.at = (struct sw_motion_pt){1, 3};
    program_read_clean(&p, text);
    size_t k = 0;
    while (p.motion.at[k].kind == SW_MOTION_SPINDLE)
        k++;
    assert_int_equal(p.motion.n, k + n + 1);
    for (size_t i = 0; i < n; i++, k++) {
        assert_int_equal(p.motion.at[k].kind, step[i].kind);
        assert_near(p.motion.at[k].to.x, step[i].x, 1e-12);
        assert_near(p.motion.at[k].to.z, step[i].z, 1e-12);
    }
    program_free(&p);
}

#define CHECK_STEPS(text, ...)                                                                     \
    do {                                                                                           \
        static const struct step wanted[] = {__VA_ARGS__};                                         \
        check_steps((text), wanted, sizeof wanted / sizeof *wanted);                               \
    } while (0)

static void drilling_cycles_follow_the_printed_examples(void **state)
{
    (void)state;
    enum { R = SW_MOTION_RAPID, L = SW_MOTION_LINE, D = SW_MOTION_DWELL, S = SW_MOTION_SPINDLE };
    /* 3.5.16.2, example 1, without Y: from (1, 3) */
    CHECK_STEPS("F10 G90 G81 G98 X4 Z1.5 R2.8\nM2", {R, 4, 3}, {R, 4, 2.8}, {L, 4, 1.5}, {R, 4, 3});
    /* example 2: G91, L3 */
    CHECK_STEPS("F10 G91 G81 G98 X4 Z-0.6 R1.8 L3\nM2", {R, 1, 4.8}, {R, 5, 4.8}, {L, 5, 4.2},
                {R, 5, 4.8}, {R, 9, 4.8}, {L, 9, 4.2}, {R, 9, 4.8}, {R, 13, 4.8}, {L, 13, 4.2},
                {R, 13, 4.8});
    /* derived from 3.5.16: G99 returns to R; words stick; the dwell of G82 */
    CHECK_STEPS("F10 G82 G99 X4 Z1.5 R2.8 P1\nX5\nM2", {R, 4, 3}, {R, 4, 2.8}, {L, 4, 1.5},
                {D, 4, 1.5}, {R, 4, 2.8}, {R, 5, 2.8}, {L, 5, 1.5}, {D, 5, 1.5}, {R, 5, 2.8});
    /* 3.5.16.4: pecks of 1, back 0.254 off the bottom */
    CHECK_STEPS("F10 G83 X4 Z0.5 R3 Q1\nM2", {R, 4, 3}, {L, 4, 2}, {R, 4, 3}, {R, 4, 2.254},
                {L, 4, 1}, {R, 4, 3}, {R, 4, 1.254}, {L, 4, 0.5}, {R, 4, 3});
    CHECK_STEPS("F10 G85 X4 Z1 R2\nM2", {R, 4, 3}, {R, 4, 2}, {L, 4, 1}, {L, 4, 3});
    CHECK_STEPS("F10 G89 X4 Z1 R2 P1\nM2", {R, 4, 3}, {R, 4, 2}, {L, 4, 1}, {D, 4, 1}, {L, 4, 3});
    CHECK_STEPS("F10 M3 S9 G86 X4 Z1 R2 P1\nM2", {R, 4, 3}, {R, 4, 2}, {L, 4, 1}, {D, 4, 1},
                {S, 4, 1}, {R, 4, 3}, {S, 4, 3});
}

static void words_of_a_cycle_do_not_outlive_it(void **state)
{
    (void)state;
    struct program p = program_new();
    program_read(&p, "F10 G81 X1 Z-1 R1\nG80\nG81 X2\nM2\n");
    assert_int_equal(sw_diag_n(p.ctx.diag), 1);
    assert_string_equal(sw_diag_at(p.ctx.diag, 0)->code, "block.cycle-word");
    assert_int_equal(sw_diag_at(p.ctx.diag, 0)->at.line, 3);
    program_free(&p);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(g92_has_the_reports_figures),
        cmocka_unit_test(the_kin_of_g92_zero_keep_and_restore),
        cmocka_unit_test(g92_holds_in_all_systems_and_ignores_g91),
        cmocka_unit_test(each_system_has_its_origin),
        cmocka_unit_test(g10_sets_only_the_axes_named),
        cmocka_unit_test(g53_moves_in_machine_coordinates_for_one_line),
        cmocka_unit_test(home_is_reached_by_way_of_the_point_given),
        cmocka_unit_test(incremental_words_add_up),
        cmocka_unit_test(inches_change_numbers_and_not_places),
        cmocka_unit_test(a_diameter_reading_halves_x_everywhere),
        cmocka_unit_test(offsets_come_with_the_tool_where_the_control_says_so),
        cmocka_unit_test(drilling_cycles_follow_the_printed_examples),
        cmocka_unit_test(words_of_a_cycle_do_not_outlive_it),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
