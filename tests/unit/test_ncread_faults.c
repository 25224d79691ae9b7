/* Every fault the report demands of a two-axis lathe, with code, place and exact message; and that
 * a faulty line changes nothing. Sections are those of NISTIR 6556. */
#include "test_ncread_program.h"
#include "test_ncread_fault_table.h"

#include <stdio.h>

static void each_fault_has_its_own_words_and_place(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof fault / sizeof *fault; i++) {
        struct program p = program_new();
        char text[256];
        snprintf(text, sizeof text, "G18 G21 F100 S100 G0 X5 Z5\n%s\nM2\n", fault[i].line);
        program_read(&p, text);
        if (sw_diag_n(p.ctx.diag) != 1)
            print_error("%s\n%s", fault[i].line, sw_test_diagnostics(&p.ctx));
        assert_int_equal(p.status, SW_FOUND);
        assert_int_equal(sw_diag_n(p.ctx.diag), 1);
        const struct sw_diag_record *record = sw_diag_at(p.ctx.diag, 0);
        assert_string_equal(record->message, fault[i].message);
        assert_string_equal(record->code, fault[i].code);
        assert_int_equal(record->severity, SW_ERROR);
        assert_int_equal(record->at.source, p.motion.source);
        assert_int_equal(record->at.line, 2);
        assert_int_equal(record->at.column, fault[i].column);
        assert_int_equal(record->at.length, fault[i].length);
        program_free(&p);
    }
}

/* 1.3.1, D.8.4: the line behind a faulty one finds what the line before it left. */
static void a_faulty_line_changes_nothing(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof fault / sizeof *fault; i++) {
        struct program p = program_new();
        char text[256];
        snprintf(text, sizeof text, "G18 G21 F100 S100 G0 X5 Z5\n%s\nX[#5211+#5221+6] Z#5220\nM2\n",
                 fault[i].line);
        program_read(&p, text);
        assert_int_equal(p.motion.n, 4);
        assert_int_equal(p.motion.n_blocks, 3);
        assert_true(p.motion.has_ended);
        const struct sw_motion_event *rapid = &p.motion.at[2];
        assert_int_equal(rapid->kind, SW_MOTION_RAPID);
        assert_int_equal(rapid->block, 1);
        assert_near(rapid->from.x, 5, 0);
        assert_near(rapid->from.z, 5, 0);
        assert_near(rapid->to.x, 6, 0);
        assert_near(rapid->to.z, 1, 0);
        assert_int_equal(rapid->state.spindle, SW_MOTION_STOPPED);
        assert_int_equal(rapid->state.tool, 0);
        assert_int_equal(rapid->state.selected_tool, 0);
        assert_int_equal(rapid->state.system, 1);
        assert_int_equal(rapid->state.feed_mode, SW_MOTION_PER_MINUTE);
        assert_near(rapid->state.feed, 100, 0);
        assert_near(rapid->state.speed, 100, 0);
        program_free(&p);
    }
}

static void messages_differ_wherever_the_codes_do(void **state)
{
    (void)state;
    const size_t n = sizeof fault / sizeof *fault;
    for (size_t i = 0; i < n; i++)
        for (size_t k = i + 1; k < n; k++)
            if (strcmp(fault[i].code, fault[k].code) != 0)
                assert_string_not_equal(fault[i].message, fault[k].message);
}

/* Faults that need a line before them, or a control with offsets. */
static void faults_of_state_are_found(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        uint32_t line, column, length;
        const char *code;
        const char *message;
    } late[] = {
        {"G1 X1\nM2\n", 1, 1, 2, "block.feed-missing",
         "G1 has no feed: no F above zero since the feed mode was chosen"},
        {"Z2 X1\nM2\n", 1, 1, 2, "block.feed-missing",
         "G1 has no feed: no F above zero since the feed mode was chosen"},
        {"G80\nF1 X1\nM2\n", 2, 4, 2, "block.axis-unused",
         "axis words while G80 is in force and no code that uses them"},
        {"G80\nG53 X1\nM2\n", 2, 1, 3, "block.g53-motion", "G53 goes with G0 or G1, not with G80"},
        {"G43\nM2\n", 1, 1, 3, "block.offset-missing",
         "G43 needs the number of an offset as an H word"},
        {"G43 H1.5\nM2\n", 1, 5, 4, "block.offset-whole",
         "the number of an offset is whole, 1.5 is not"},
        {"G43 H-1\nM2\n", 1, 5, 3, "block.offset-negative",
         "the number of an offset is zero or more, not -1"},
        {"G43 H21\nM2\n", 1, 5, 3, "block.offset-range",
         "offset 21 does not exist; the largest number here is 20"},
        {"G50\nM2\n", 1, 1, 3, "block.clamp-speed", "G50 needs the speed limit as an S word"},
        {"G50 S0\nM2\n", 1, 5, 2, "block.clamp-zero", "a spindle speed limit is above zero"},
        {"G0 X1 U1\nM2\n", 1, 7, 2, "block.axis-twice",
         "X and U both move X; a line has one of them"},
        {"G0 W1 Z1\nM2\n", 1, 4, 2, "block.axis-twice",
         "Z and W both move Z; a line has one of them"},
        {"G10 L2 P1 U1\nM2\n", 1, 11, 2, "block.word-unused",
         "U has no use on this line; G0 to G3, G28 or G30 would use it"},
    };
    for (size_t i = 0; i < sizeof late / sizeof *late; i++) {
        struct program p = program_new();
        p.control.tool_offsets = program_fact(SW_OFFSET_WITH_TOOL);
        p.control.speed_clamp = program_fact(SW_CLAMP_G50);
        p.control.incremental_u_w = program_fact(1);
        program_read(&p, late[i].text);
        assert_int_equal(p.status, SW_FOUND);
        assert_int_equal(sw_diag_n(p.ctx.diag), 1);
        const struct sw_diag_record *record = sw_diag_at(p.ctx.diag, 0);
        assert_string_equal(record->message, late[i].message);
        assert_string_equal(record->code, late[i].code);
        assert_int_equal(record->at.line, late[i].line);
        assert_int_equal(record->at.column, late[i].column);
        assert_int_equal(record->at.length, late[i].length);
        program_free(&p);
    }
    struct program p = program_new();
    p.control.speed_clamp = program_fact(SW_CLAMP_G92);
    program_read(&p, "G92 S100 X1\nM2\n");
    assert_string_equal(sw_diag_at(p.ctx.diag, 0)->code, "block.g92-double");
    program_free(&p);
}

static void a_line_has_at_most_256_characters(void **state)
{
    (void)state;
    /* 3.3; its end is not counted */
    char line[300];
    for (int n = 256; n <= 257; n++) {
        memset(line, ' ', sizeof line);
        memcpy(line, "G0X1", 4);
        memcpy(line + n - 2, "Z2\r\nM2\n", 8);
        line[n + 5] = '\0';
        struct program p = program_new();
        program_read(&p, line);
        assert_int_equal(sw_diag_n(p.ctx.diag), n - 256);
        assert_int_equal(program_count(&p, SW_MOTION_RAPID), 257 - n);
        if (n == 257) {
            assert_string_equal(sw_diag_at(p.ctx.diag, 0)->code, "block.line-length");
            assert_int_equal(sw_diag_at(p.ctx.diag, 0)->at.column, 257);
        }
        program_free(&p);
    }
}

static void brackets_and_parameters_nest_to_a_limit(void **state)
{
    (void)state;
    enum { MOST = 32 };
    for (int n = MOST; n <= MOST + 1; n++) {
        char line[200] = "G0 X";
        for (int i = 0; i < n; i++)
            strcat(line, "[");
        strcat(line, "1");
        for (int i = 0; i < n; i++)
            strcat(line, "]");
        strcat(line, "\nM2\n");
        struct program p = program_new();
        program_read(&p, line);
        assert_int_equal(sw_diag_n(p.ctx.diag), n - MOST);
        if (n > MOST) {
            assert_string_equal(sw_diag_at(p.ctx.diag, 0)->code, "block.nesting");
            assert_int_equal(sw_diag_at(p.ctx.diag, 0)->at.column, 4 + n);
        }
        program_free(&p);
    }
}

static void a_long_line_sets_no_more_parameters_than_there_is_room_for(void **state)
{
    (void)state;
    /* only where a control takes lines beyond the report's 256 characters */
    enum { MOST = 64 };
    for (int n = MOST; n <= MOST + 1; n++) {
        struct sw_buf text = {0};
        for (int i = 1; i <= n; i++)
            sw_buf_printf(&text, "#%d=%d ", i, i);
        sw_buf_printf(&text, "\nG0 X#%d\nM2\n", MOST);
        assert_false(text.failed);
        struct program p = program_new();
        p.control.line_length = (struct sw_number){.value = 1000, .given = true};
        program_read(&p, sw_buf_text(&text));
        sw_buf_done(&text);
        assert_int_equal(sw_diag_n(p.ctx.diag), n - MOST);
        if (n > MOST)
            assert_string_equal(sw_diag_at(p.ctx.diag, 0)->code, "block.settings-most");
        else
            assert_near(program_nth(&p, SW_MOTION_RAPID, 0)->to.x, MOST, 0);
        program_free(&p);
    }
}

static void all_faults_of_a_text_are_found_and_columns_count_characters(void **state)
{
    (void)state;
    struct program p = program_new();
    program_read(&p, "G0 X1 Y2\n(caf\xc3\xa9) G0\nG1\n G0 X1 (ok) Q1\nM2\n");
    assert_int_equal(sw_diag_n(p.ctx.diag), 4);
    static const uint32_t column[] = {7, 5, 1, 13};
    for (size_t i = 0; i < 4; i++) {
        assert_int_equal(sw_diag_at(p.ctx.diag, i)->at.line, i + 1);
        assert_int_equal(sw_diag_at(p.ctx.diag, i)->at.column, column[i]);
    }
    program_free(&p);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_fault_has_its_own_words_and_place),
        cmocka_unit_test(a_faulty_line_changes_nothing),
        cmocka_unit_test(messages_differ_wherever_the_codes_do),
        cmocka_unit_test(faults_of_state_are_found),
        cmocka_unit_test(a_line_has_at_most_256_characters),
        cmocka_unit_test(brackets_and_parameters_nest_to_a_limit),
        cmocka_unit_test(a_long_line_sets_no_more_parameters_than_there_is_room_for),
        cmocka_unit_test(all_faults_of_a_text_are_found_and_columns_count_characters),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
