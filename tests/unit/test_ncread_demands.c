/* All 93 demands of the report on a reader, by number: each is either met by a fault with words and
 * a place of its own, or cannot arise on a lathe of two axes, and then why. Sections are those of
 * NISTIR 6556; the numbers are those of test_ncread_fault_table.h. */
#include "test_ncread_program.h"
#include "test_ncread_fault_table.h"

enum { N_DEMANDS = 93 };

/* Faults of a whole text. N: how many diagnostics there are in all; the first is looked at. */
static const struct {
    int demand;
    const char *text;
    size_t n;
    uint32_t line, column;
    const char *code, *message;
} of_text[] = {
    {1, "%\nG0 X1\n", 1, 1, 1, "block.percent-open",
     "the file begins with a % line and has none to close it"},
    {2, "G0 X1\n%\nM2\n", 1, 2, 1, "block.percent-stray",
     "a % line closes a file only when its first line was one too"},
    {3, "G0 X1\nX2\n", 1, 2, 1, "block.no-end", "the program has no end"},
    {41, "G43 H1.5\nM2\n", 1, 1, 5, "block.offset-whole",
     "the number of an offset is whole, 1.5 is not"},
    {41, "G43 H-1\nM2\n", 1, 1, 5, "block.offset-negative",
     "the number of an offset is zero or more, not -1"},
    {41, "G43 H21\nM2\n", 1, 1, 5, "block.offset-range",
     "offset 21 does not exist; the largest number here is 20"},
    /* The probe is refused as a whole, with whatever else is wrong about it. */
    {48, "G38.2 X0 F1\nM2\n", 1, 1, 1, "control.probe",
     "G38.2 is a straight probe, and this reader has no probe to follow"},
    {49, "G93\nG38.2 X5 F1\nM2\n", 1, 2, 1, "control.probe",
     "G38.2 is a straight probe, and this reader has no probe to follow"},
    {50, "A1 G38.2 F1\nM2\n", 1, 1, 1, "block.axis-missing",
     "A turns an axis this machine does not have; it has X and Z"},
    {51, "G38.2 F1\nM2\n", 1, 1, 1, "control.probe",
     "G38.2 is a straight probe, and this reader has no probe to follow"},
    {56, "G17 F1 G81 Z-1 R2 A1\nM2\n", 1, 1, 19, "block.axis-missing",
     "A turns an axis this machine does not have; it has X and Z"},
    {62, "G17 F1 M4 S9 G84 Z-1 R2\nM2\n", 1, 1, 14, "control.cycle",
     "G84 is a tapping cycle, which ties feed to spindle; no such drive is known here"},
    /* What may not be done under compensation: it is refused where it is turned on, and what
     * follows is then sound. */
    {38, "G17 G41\nG53 G0 X1\nM2\n", 1, 1, 5, "block.comp-axis",
     "G41 works in X and Y, and this machine has no Y"},
    {43, "G17 G41\nG55\nM2\n", 1, 1, 5, "block.comp-axis",
     "G41 works in X and Y, and this machine has no Y"},
    {64, "G17 G42\nG92 X1\nM2\n", 1, 1, 5, "block.comp-axis",
     "G42 works in X and Y, and this machine has no Y"},
    {65, "G17 G42\nG20\nM2\n", 1, 1, 5, "block.comp-axis",
     "G42 works in X and Y, and this machine has no Y"},
    {66, "G17 G41\nG38.2 X1\nM2\n", 2, 1, 5, "block.comp-axis",
     "G41 works in X and Y, and this machine has no Y"},
    {68, "G17 G41\nG41\nM2\n", 2, 1, 5, "block.comp-axis",
     "G41 works in X and Y, and this machine has no Y"},
    {69, "G17 G41\nG28\nM2\n", 1, 1, 5, "block.comp-axis",
     "G41 works in X and Y, and this machine has no Y"},
    {70, "G17 G41\nG0 G53 X1\nM2\n", 1, 1, 5, "block.comp-axis",
     "G41 works in X and Y, and this machine has no Y"},
    {83, "G18 F1 G0 X5 Z5\nG3 X5 Z3 K-1.1\nM2\n", 1, 2, 1, "block.arc-radii",
     "the arc's radius is 1.1000 mm at its start and 0.9000 mm at its end; at most 0.002 mm may "
     "lie between"},
    {86, "T99 M6\nM2\n", 1, 1, 1, "block.tool-range",
     "tool 99 does not exist; the largest number here is 20"},
    {88, "F-2\nM2\n", 1, 1, 1, "block.feed-negative", "a feed is zero or more, not -2"},
    {92, "G18 F1 G0 X5 Z5\nG2 X6 Z5 I0 K0\nM2\n", 1, 2, 1, "block.arc-radii",
     "the arc's radius is 0.0000 mm at its start and 1.0000 mm at its end; at most 0.002 mm may "
     "lie between"},
};

/* What no text can bring about here, and why. */
static const struct {
    int first, last;
    const char *reason;
} elsewhere[] = {
    {4, 4, "a_line_has_at_most_256_characters in test_ncread_faults.c"},
    {19, 20,
     "there is no file of parameters: all begin at 0, systems and homes come from the "
     "setup record, and the schema of that record has its own faults"},
    {52, 52, "the probe is refused before it could trip"},
    {73, 74, "compensation is refused in every plane: no corner and no gouge of it"},
    {80, 81, "compensation is refused in every plane: no arc of it"},
    {82, 82, "a call with wrong arguments is no matter of a text; the compiler refuses it"},
    {84, 85, "speeds are machine data, judged while the program runs: finding `overspeed`"},
    {87, 87, "no fact of a machine says that it lacks coolant; a coolant word moves nothing"},
    {89, 89, "offsets come from the setup record, where a place of either sign is sound"},
    {90, 90, "no axis of two can be clamped"},
    {91, 91, "the probe is refused before its state matters"},
};

static bool is_in_table(int demand)
{
    for (size_t i = 0; i < sizeof fault / sizeof *fault; i++)
        if (fault[i].demand == demand)
            return true;
    for (size_t i = 0; i < sizeof of_text / sizeof *of_text; i++)
        if (of_text[i].demand == demand)
            return true;
    return false;
}

static const char *reason_of(int demand)
{
    for (size_t i = 0; i < sizeof elsewhere / sizeof *elsewhere; i++)
        if (demand >= elsewhere[i].first && demand <= elsewhere[i].last)
            return elsewhere[i].reason;
    return NULL;
}

static void every_demand_is_met_or_cannot_arise(void **state)
{
    (void)state;
    for (int demand = 1; demand <= N_DEMANDS; demand++) {
        if (is_in_table(demand) == (reason_of(demand) != NULL))
            print_error("demand %d\n", demand);
        assert_true(is_in_table(demand) != (reason_of(demand) != NULL));
    }
}

static void each_fault_of_a_text_has_its_own_words_and_place(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof of_text / sizeof *of_text; i++) {
        struct program p = program_new();
        p.control.tool_offsets = program_fact(SW_OFFSET_WITH_TOOL);
        program_read(&p, of_text[i].text);
        if (sw_diag_n(p.ctx.diag) != of_text[i].n)
            print_error("%s\n%s", of_text[i].text, sw_test_diagnostics(&p.ctx));
        assert_int_equal(p.status, SW_FOUND);
        assert_int_equal(sw_diag_n(p.ctx.diag), of_text[i].n);
        const struct sw_diag_record *record = sw_diag_at(p.ctx.diag, 0);
        assert_string_equal(record->message, of_text[i].message);
        assert_string_equal(record->code, of_text[i].code);
        assert_int_equal(record->at.line, of_text[i].line);
        assert_int_equal(record->at.column, of_text[i].column);
        program_free(&p);
    }
}

/* 3.5.10: what forbids a line is that compensation is on; it never is. */
static void compensation_that_was_refused_is_not_on(void **state)
{
    (void)state;
    struct program p = program_new();
    program_read(&p, "G17 G41\nG53 G0 X3\nG55 G20 G0 X1\nM2\n");
    assert_int_equal(sw_diag_n(p.ctx.diag), 1);
    assert_near(program_nth(&p, SW_MOTION_RAPID, 0)->to.x, 3, 0);
    assert_near(program_nth(&p, SW_MOTION_RAPID, 1)->to.x, 25.4, 1e-12);
    assert_int_equal(program_nth(&p, SW_MOTION_RAPID, 1)->state.system, 2);
    program_free(&p);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_demand_is_met_or_cannot_arise),
        cmocka_unit_test(each_fault_of_a_text_has_its_own_words_and_place),
        cmocka_unit_test(compensation_that_was_refused_is_not_on),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
