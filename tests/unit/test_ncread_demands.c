/* All demands of the report on a reader (test_ncread_demand_list.h): each is either met by a fault
 * with words and a place of its own, or cannot arise on a lathe of two axes, and then why. */
#include "test_ncread_program.h"
#include "test_ncread_demand_list.h"
#include "test_ncread_fault_table.h"

#define BLANKS_50 "                                                  "

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
    {4, "G0 X1" BLANKS_50 BLANKS_50 BLANKS_50 BLANKS_50 BLANKS_50 "Z2\nM2\n", 1, 1, 257,
     "block.line-length", "the line has 257 characters; at most 256 are allowed"},
    {21, "#5220=0\nM2\n", 1, 1, 1, "block.system-index",
     "#5220 is the coordinate system in force, a whole number 1 to 9"},
    /* a motion carried over needs what a written one needs */
    {31, "F1 G1 X1\nG1\nM2\n", 1, 2, 1, "block.motion-axis", "G1 needs at least one axis word"},
    {36, "G80\nF1 X1\nM2\n", 1, 2, 4, "block.axis-unused",
     "axis words while G80 is in force and no code that uses them"},
    {37, "G80\nG53 X1\nM2\n", 1, 2, 1, "block.g53-motion", "G53 goes with G0 or G1, not with G80"},
    {44, "G93 G1 X1 F1\nX2\nM2\n", 1, 2, 1, "block.feed-inverse-time",
     "G1 under G93 needs an F word on its own line"},
    {44, "G18 G93 G1 X5 Z5 F1\nG3 X6 Z4 K-1\nM2\n", 1, 2, 1, "block.feed-inverse-time",
     "G3 under G93 needs an F word on its own line"},
    {35, "G18 G20 F1 G0 X1 Z1\nG3 X1 Z0.5 K-0.2503\nM2\n", 1, 2, 1, "block.arc-radii",
     "the arc's radius is 6.3576 mm at its start and 6.3424 mm at its end; at most 0.0002 inch may "
     "lie between"},
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

/* A row that names a demand names one of the list, and each reason is of some. */
static void nothing_is_shown_that_is_not_asked(void **state)
{
    (void)state;
    assert_int_equal(N_DEMANDS, 93);
    for (size_t i = 0; i < sizeof fault / sizeof *fault; i++)
        assert_in_range(fault[i].demand, 0, N_DEMANDS);
    for (size_t i = 0; i < sizeof of_text / sizeof *of_text; i++)
        assert_in_range(of_text[i].demand, 1, N_DEMANDS);
    for (size_t i = 0; i < sizeof elsewhere / sizeof *elsewhere; i++)
        assert_true(1 <= elsewhere[i].first && elsewhere[i].first <= elsewhere[i].last &&
                    elsewhere[i].last <= N_DEMANDS);
}

static void every_demand_is_met_or_cannot_arise(void **state)
{
    (void)state;
    for (int demand = 1; demand <= N_DEMANDS; demand++) {
        assert_true(demand_of[demand].section[0] != '\0' && demand_of[demand].asks[0] != '\0');
        if (is_in_table(demand) == (reason_of(demand) != NULL))
            print_error("demand %d, %s: %s\n", demand, demand_of[demand].section,
                        demand_of[demand].asks);
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
        cmocka_unit_test(nothing_is_shown_that_is_not_asked),
        cmocka_unit_test(every_demand_is_met_or_cannot_arise),
        cmocka_unit_test(each_fault_of_a_text_has_its_own_words_and_place),
        cmocka_unit_test(compensation_that_was_refused_is_not_on),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
