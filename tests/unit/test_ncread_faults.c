/* Every fault the report demands of a two-axis lathe, with code, place and exact message; and that
 * a faulty line changes nothing. Sections are those of NISTIR 6556. */
#include "test_ncread_program.h"

#include <stdio.h>

/* `demand` numbers the report's demands as they were collected: 1-3 file (3.1), 4-16 line and
 * expressions (3.3, App. E), 17-21 parameters (3.2.1, 3.3.3), 22-29 repeats and groups (3.3.5,
 * 3.4, 3.5), 30-38 motion (3.5.1 to 3.5.3, 3.5.12, 3.5.15), 39-43 dwell, origin, offsets (3.5.4,
 * 3.5.5, 3.5.11, 3.5.18), 44-47 feed, speed, tool (3.5.19, 3.7), 53-63 cycles (3.5.16), 67-78
 * radius compensation (3.5.10, App. B.5), 93 missing axes (5.2); 0: not in its text, from memory
 * of its interpreter or derived from two axes. */
struct fault {
    int demand;
    const char *line;
    uint32_t column, length;
    const char *code;
    const char *message;
};

/* clang-format off */
static const struct fault fault[] = {
    {5, "G0 X1 ; Z2", 7, 1, "block.semicolon",
     "a semicolon: the standard has no such comments"},
    {5, "G0 X1 \"", 7, 1, "block.character",
     "\" does not belong here"},
    {5, "5 X1", 1, 1, "block.number-alone",
     "a number needs the letter of its word in front"},
    {5, "G0 X1 = 2", 7, 1, "block.character",
     "= does not belong here"},
    {5, "G0 X1 ö", 7, 1, "block.character",
     "a character with code 0xc3 does not belong in a program"},
    {5, "X1 )", 4, 1, "block.comment-end",
     ") ends a comment that was never opened"},
    {6, "G0 / X1", 4, 1, "block.slash-place",
     "/ marks a line for block delete only as its first character"},
    {6, "G0 N5 X1", 4, 1, "block.line-number-place",
     "N stands before all words of a line, once"},
    {6, "N5 N6 X1", 4, 1, "block.line-number-place",
     "N stands before all words of a line, once"},
    {7, "N-5 G0 X1", 1, 2, "block.line-number-sign",
     "a line number has no sign"},
    {7, "N5.5 G0 X1", 1, 3, "block.line-number-whole",
     "a line number is a whole number without a point"},
    {7, "N000009", 1, 7, "block.line-number-digits",
     "a line number has at most five digits, here are 6"},
    {7, "N#1", 1, 1, "block.line-number-missing",
     "N needs a line number of up to five plain digits"},
    {8, "G0 X", 4, 1, "block.word-value",
     "X has no value"},
    {8, "G0 X Z1", 4, 1, "block.word-value",
     "X has no value"},
    {8, "G0 X (five) 5", 4, 1, "block.word-value",
     "X has no value"},
    {8, "G0 E1", 4, 1, "block.letter",
     "E is no letter of the standard"},
    {8, "O1234", 1, 1, "block.letter",
     "O numbers programs on some controls; it is no letter of the standard"},
    {8, "G0 V1", 4, 1, "block.letter",
     "V is no letter of the standard"},
    {9, "G0 X-", 5, 1, "block.number-digits",
     "a number needs at least one digit"},
    {9, "G0 X .", 6, 1, "block.number-digits",
     "a number needs at least one digit"},
    {9, "G0 X-#3", 5, 1, "block.sign-place",
     "a sign belongs to a plain number, not to a parameter, an expression or a function"},
    {9, "G0 X-[2]", 5, 1, "block.sign-place",
     "a sign belongs to a plain number, not to a parameter, an expression or a function"},
    {9, "G0 X-SIN[30]", 5, 1, "block.sign-place",
     "a sign belongs to a plain number, not to a parameter, an expression or a function"},
    {9, "G0 X+ [2]", 5, 1, "block.sign-place",
     "a sign belongs to a plain number, not to a parameter, an expression or a function"},
    {10, "G0 x asim[0.5]", 6, 4, "block.function-unknown",
     "unknown function ASIM"},
    {11, "G1.25 X1", 1, 5, "block.g-whole",
     "a G code has at most one decimal, 1.25 has more"},
    {11, "M3.5", 1, 4, "block.m-whole",
     "an M code is a whole number, 3.5 is not"},
    {11, "T1.5", 1, 4, "block.tool-whole",
     "a tool number is whole, 1.5 is not"},
    {12, "G0 X1 (never closed", 7, 1, "block.comment-open",
     "the comment is not closed on its line"},
    {13, "G0 X1 (a (b))", 10, 1, "block.comment-nested",
     "a comment cannot hold another ("},
    {5, "G0 X1 (µm)", 8, 1, "block.comment-character",
     "a comment holds printable ASCII only, not code 0xc2"},
    {14, "G0 X[1+2", 5, 1, "block.bracket-open",
     "the bracket is not closed on its line"},
    {14, "G0 X[1+]", 8, 1, "block.operand-missing",
     "a value is missing here in the expression"},
    {14, "G0 X[1+", 8, 0, "block.operand-missing",
     "a value is missing here in the expression"},
    {14, "G0 X[]", 6, 1, "block.operand-missing",
     "a value is missing here in the expression"},
    {14, "G0 X[[1] [2]]", 10, 1, "block.operator-missing",
     "[ stands where an operator or ] should be"},
    {14, "G0 X[1 POW 2]", 8, 3, "block.operator-unknown",
     "POW is no operator"},
    {15, "G0 X ATAN[1]", 6, 7, "block.atan-second",
     "ATAN needs two arguments: ATAN[y]/[x]"},
    {15, "G0 X ATAN[1]/2", 6, 8, "block.atan-second",
     "ATAN needs its second argument in brackets: ATAN[y]/[x]"},
    {16, "G0 X SIN 30", 6, 3, "block.function-bracket",
     "SIN needs its argument in brackets"},
    {17, "G0 X#0", 5, 2, "block.parameter-range",
     "parameters are numbered 1 to 5399, not 0"},
    {17, "G0 X#5400", 5, 5, "block.parameter-range",
     "parameters are numbered 1 to 5399, not 5400"},
    {17, "#1.5=2", 1, 4, "block.parameter-whole",
     "the number of a parameter is whole, 1.5 is not"},
    {17, "G0 X#", 5, 1, "block.parameter-number",
     "# needs the number of a parameter"},
    {18, "#3 X1", 1, 2, "block.setting-equals",
     "a parameter that starts a word is being set and needs = and a value"},
    {18, "#3=", 1, 1, "block.setting-value",
     "the parameter is given no value"},
    {21, "#5220=2.5", 1, 9, "block.system-index",
     "#5220 is the coordinate system in force, a whole number 1 to 9"},
    {21, "#5220=10", 1, 8, "block.system-index",
     "#5220 is the coordinate system in force, a whole number 1 to 9"},
    {22, "G0 G1 X1", 4, 2, "block.g-group",
     "G0 and G1 both choose the motion; a line has one of them"},
    {22, "G4 P1 G53 X1", 7, 3, "block.g-group",
     "G4 and G53 both choose what this one line does; a line has one of them"},
    {22, "G17 G17", 5, 3, "block.g-twice",
     "G17 stands twice on the line"},
    {23, "M3 M8 M48 M0 M6", 14, 2, "block.m-most",
     "a line has at most 4 M words"},
    {24, "M3 M4", 4, 2, "block.m-group",
     "M3 and M4 both choose the spindle's turning; a line has one of them"},
    {24, "M7 M8", 4, 2, "block.m-group",
     "M7 and M8 both choose the coolant; a line has one of them"},
    {24, "M8 M8", 4, 2, "block.m-twice",
     "M8 stands twice on the line"},
    {25, "G0 X1 X2", 7, 2, "block.word-twice",
     "X stands twice on the line"},
    {25, "F1 S1 F1", 7, 2, "block.word-twice",
     "F stands twice on the line"},
    {26, "G0 G28 X1", 4, 3, "block.axis-claim",
     "G0 and G28 both use the axis words of the line"},
    {26, "G92 G1 X1", 1, 3, "block.axis-claim",
     "G1 and G92 both use the axis words of the line"},
    {27, "G10 P1 X1", 1, 3, "block.g10-l",
     "G10 needs L2, the only use of it in the standard"},
    {27, "G10 L3 P1 X1", 5, 2, "block.g10-l",
     "G10 needs L2, the only use of it in the standard"},
    {27, "G53", 1, 3, "block.g53-axis",
     "G53 needs an axis word: it moves in machine coordinates"},
    {28, "G100", 1, 4, "block.g-range",
     "G codes run from G0 to G99.9, not 100"},
    {28, "G-1", 1, 3, "block.g-range",
     "G codes run from G0 to G99.9, not -1"},
    {28, "G12", 1, 3, "block.g-unknown",
     "G12 is no code of the standard"},
    {28, "G99.9", 1, 5, "block.g-unknown",
     "G99.9 is no code of the standard"},
    {28, "M100", 1, 4, "block.m-range",
     "M codes run from M0 to M99, not 100"},
    {28, "M-1", 1, 3, "block.m-range",
     "M codes run from M0 to M99, not -1"},
    {28, "M20", 1, 3, "block.m-unknown",
     "M20 is no code of the standard"},
    {29, "G1 X1 R2", 7, 2, "block.word-unused",
     "R has no use on this line; an arc or a drilling cycle would use it"},
    {29, "G0 X1 I2", 7, 2, "block.word-unused",
     "I has no use on this line; an arc (G2, G3) would use it"},
    {29, "P3", 1, 2, "block.word-unused",
     "P has no use on this line; G4, G10 or a drilling cycle with dwell would use it"},
    {29, "G0 X1 H1", 7, 2, "block.word-unused",
     "H has no use on this line; G43 would use it"},
    {29, "G4 P1 Q2", 7, 2, "block.word-unused",
     "Q has no use on this line; G83 would use it"},
    {29, "L1 X3", 1, 2, "block.word-unused",
     "L has no use on this line; G10 or a drilling cycle would use it"},
    {30, "G0", 1, 2, "block.motion-axis",
     "G0 needs at least one axis word"},
    {31, "F1 G1", 4, 2, "block.motion-axis",
     "G1 needs at least one axis word"},
    {32, "G2 R1", 1, 2, "block.motion-axis",
     "G2 needs at least one axis word"},
    {33, "G2 X5 Z5 R1", 10, 2, "block.arc-same-end",
     "an arc by R cannot end where it starts"},
    {34, "G2 X1 Z1", 1, 2, "block.arc-centre",
     "G2 needs I or K, or R"},
    {35, "G2 X5 Z3 K-1.1", 1, 2, "block.arc-radii",
     "the arc's radius is 1.1000 mm at its start and 0.9000 mm at its end; at most 0.002 mm "
     "may lie between"},
    {36, "G80 X1", 5, 2, "block.g80-axis",
     "G80 is no motion: nothing on the line uses its axis words"},
    {37, "G2 G53 X1 I1", 4, 3, "block.g53-motion",
     "G53 goes with G0 or G1, not with G2"},
    {39, "G4", 1, 2, "block.dwell-time",
     "G4 needs its time, a P word"},
    {39, "G4 P-1", 4, 3, "block.dwell-negative",
     "a dwell lasts zero seconds or more, not -1"},
    {40, "G10 L2 P0", 8, 2, "block.g10-p",
     "P of G10 L2 is a coordinate system, a whole number 1 to 9, not 0"},
    {40, "G10 L2 P1.5", 8, 4, "block.g10-p",
     "P of G10 L2 is a coordinate system, a whole number 1 to 9, not 1.5"},
    {40, "G10 L2 P10", 8, 3, "block.g10-p",
     "P of G10 L2 is a coordinate system, a whole number 1 to 9, not 10"},
    {40, "G10 L2 X1", 1, 3, "block.g10-p",
     "G10 L2 needs P1 to P9, the coordinate system"},
    {42, "G92", 1, 3, "block.g92-axis",
     "G92 needs at least one axis word"},
    {45, "S-1", 1, 3, "block.speed-negative",
     "a speed is zero or more, not -1"},
    {46, "T-1", 1, 3, "block.tool-negative",
     "a tool number is zero or more, not -1"},
    {47, "T21", 1, 3, "block.tool-range",
     "tool 21 does not exist; the largest number here is 20"},
    {58, "G41 D1", 1, 3, "block.comp-plane",
     "G41 works in the XY plane only, not in the XZ plane (G18)"},
    {71, "G42", 1, 3, "block.comp-plane",
     "G42 works in the XY plane only, not in the XZ plane (G18)"},
    {72, "G19 G41", 5, 3, "block.comp-plane",
     "G41 works in the XY plane only, not in the YZ plane (G19)"},
    {67, "G17 G41", 5, 3, "block.comp-axis",
     "G41 works in X and Y, and this machine has no Y"},
    {75, "D1 X1", 1, 2, "block.word-unused",
     "D has no use on this line; G41 or G42 would use it"},
    {76, "G41 D1 D2", 8, 2, "block.word-twice",
     "D stands twice on the line"},
    {93, "G0 Y1", 4, 1, "block.axis-missing",
     "Y moves an axis this machine does not have; it has X and Z"},
    {93, "G0 A1", 4, 1, "block.axis-missing",
     "A turns an axis this machine does not have; it has X and Z"},
    {93, "G2 X1 Z1 J1", 10, 1, "block.axis-missing",
     "J is a centre along Y, an axis this machine does not have"},
    {0, "F-1", 1, 3, "block.feed-negative",
     "a feed is zero or more, not -1"},
    {0, "G1 X1 F0", 7, 2, "block.feed-zero",
     "G1 cannot move at a feed of zero"},
    {0, "G0 X[1/0]", 8, 1, "block.divide-zero",
     "1 is divided by zero"},
    {0, "G0 X[1 MOD 0]", 12, 1, "block.divide-zero",
     "1 MOD zero has no value"},
    {0, "G0 X[0**-1]", 9, 2, "block.divide-zero",
     "0 to the power of -1 divides by zero"},
    {0, "G0 X SQRT[-1]", 6, 8, "block.root-domain",
     "SQRT takes no negative number, not -1"},
    {0, "G0 X ASIN[1.1]", 6, 9, "block.arc-function-domain",
     "ASIN takes -1 to 1, not 1.1"},
    {0, "G0 X ACOS[-2]", 6, 8, "block.arc-function-domain",
     "ACOS takes -1 to 1, not -2"},
    {0, "G0 X LN[0]", 6, 5, "block.logarithm-domain",
     "LN takes numbers above zero, not 0"},
    {0, "G0 X[[0-8]**0.5]", 13, 3, "block.power-domain",
     "-8 to the power of 0.5 has no real value"},
    {0, "G0 X EXP[1000]", 6, 9, "block.too-large",
     "the result is too large"},
    {0, "G0 X99999999999", 4, 12, "block.too-large",
     "X is beyond 1000000000 in size"},
    {0, "G2 X1 Z1 R0.5", 10, 4, "block.arc-radius-small",
     "a radius of 0.5000 mm does not span the 5.6569 mm from start to end"},
    {0, "G2 X1 Z1 R1 I1", 10, 2, "block.arc-forms",
     "an arc has R or a centre (I, K), not both"},
    {0, "G2 X5 Z5 I0", 1, 2, "block.arc-zero",
     "the arc's centre is its start: it has no radius"},
    {0, "G17 G2 X1 Z1 R9", 5, 2, "block.arc-plane",
     "G2 in G17 turns along Y, an axis this machine does not have"},
    {0, "G92 U1", 5, 1, "control.incremental-u-w",
     "U is an incremental X on some controls; this control does not declare it (control: "
     "incremental_u_w)"},
    {59, "G17 G81 X1 R1", 5, 3, "block.cycle-word",
     "G81 needs its depth (Z) on its first line"},
    {27, "G17 G81 X1 Z1", 5, 3, "block.cycle-word",
     "G81 needs its clear level (R) on its first line"},
    {54, "G17 G82 X1 Z1 R2 P-1", 18, 3, "block.dwell-negative",
     "a dwell lasts zero seconds or more, not -1"},
    {54, "G17 G82 X1 Z1 R2", 5, 3, "block.cycle-word",
     "G82 needs its dwell (P) on its first line"},
    {53, "G17 G81", 5, 3, "block.motion-axis",
     "G81 needs at least one axis word"},
    {55, "G17 G81 X1 Z1 R2 L0", 18, 2, "block.cycle-repeats",
     "L of a cycle is a whole number above zero, not 0"},
    {57, "G17 G93 G81 X1 Z1 R2 F1", 9, 3, "block.cycle-inverse-time",
     "G81 cannot go by inverse time feed (G93)"},
    {60, "G17 G81 X1 Z1 R0", 5, 3, "block.cycle-levels",
     "the R level of G81 lies below its depth"},
    {61, "G17 G83 X1 Z1 R2 Q0", 18, 2, "block.peck",
     "a peck is deeper than zero, not 0"},
    {63, "G17 G86 X1 Z1 R2 P1", 5, 3, "block.cycle-spindle",
     "G86 needs a turning spindle: it stops and restarts it"},
    {0, "G18 G81 X1 Z1 R2", 5, 3, "block.cycle-plane",
     "G81 in G18 drills along Y, an axis this machine does not have"},
    {0, "G19 G81 X1 Z1 R2", 5, 3, "block.cycle-plane",
     "G81 in G19 drills along X across a plane of Y and Z; this machine has no Y"},
    {44, "G93 G1 X1", 5, 2, "block.feed-inverse-time",
     "G1 under G93 needs an F word on its own line"},
    {0, "#5161=2000000000", 1, 16, "block.too-large",
     "#5161 holds a place of the machine and cannot be beyond 1000000000"},
    {61, "G17 G83 X1 Z1 R2", 5, 3, "block.cycle-word",
     "G83 needs its peck (Q) on its first line"},
    {0, "G0 X[10**300*10**300]", 18, 3, "block.too-large",
     "the result is too large"},
    {5, "G0 X[1 ö]", 8, 1, "block.character",
     "a character with code 0xc3 does not belong in a program"},
};
/* clang-format on */

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
