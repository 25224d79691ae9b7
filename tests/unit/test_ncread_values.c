/* Characters, numbers, parameters and expressions. Sections are those of NISTIR 6556. */
#include "test_ncread_program.h"

#include <math.h>
#include <stdio.h>

/* Read one line before M2 and give where X ends. */
static double x_of(const char *line)
{
    struct program p = program_new();
    char text[1024];
    snprintf(text, sizeof text, "G21 G18 G94 F100\n%s\nM2\n", line);
    program_read_clean(&p, text);
    const double x = program_last(&p)->to.x;
    program_free(&p);
    return x;
}

static void blanks_and_case_mean_nothing(void **state)
{
    (void)state;
    struct program p = program_new();
    /* 3.3: `g0x +0. 12 34y 7` is g0 x+0.1234 y7; here with z for y */
    program_read_clean(&p, "g0x +0. 12 34z 7\nM 0 2\n");
    assert_near(program_nth(&p, SW_MOTION_RAPID, 0)->to.x, 0.1234, 0);
    assert_near(program_nth(&p, SW_MOTION_RAPID, 0)->to.z, 7, 0);
    program_free(&p);
    assert_near(x_of("\tG1 X\t1 2. 3 4 \t"), 12.34, 0);
    assert_near(x_of("g1 x s i n [ 3 0 ]"), 0.5, 1e-15);
    assert_near(x_of("g1 x[7 m o d 4]"), 3, 0);
    assert_near(x_of("g1 x[2* *3]"), 8, 0);
}

static void numbers_are_read_to_the_nearest_double(void **state)
{
    (void)state;
    /* 3.3.2.1: each form is legal */
    assert_near(x_of("G1 X5."), 5, 0);
    assert_near(x_of("G1 X.5"), 0.5, 0);
    assert_near(x_of("G1 X-.5"), -0.5, 0);
    assert_near(x_of("G1 X+007"), 7, 0);
    assert_near(x_of("G1 X0.1"), 0.1, 0);
    assert_near(x_of("G1 X123.456789"), 123.456789, 0);
    assert_near(x_of("G1 X0.12345678901234567890"), 0.12345678901234567890, 1e-17);
    assert_near(x_of("G1 X00000000000000000000000001.5"), 1.5, 0);
    assert_near(x_of("G1 X0.000000000000000000000001"), 1e-24, 1e-38);
    assert_near(x_of("G1 X1.00000000000000000000000"), 1, 0);
}

static void expressions_follow_the_three_ranks(void **state)
{
    (void)state;
    /* 3.3.2.3 */
    assert_near(x_of("G1 X[2.0 / 3 * 1.5 - 5.5 / 11.0]"), 0.5, 1e-15);
    /* derived: left-associative inside a rank, powers too */
    assert_near(x_of("G1 X[2 ** 3 ** 2]"), 64, 0);
    assert_near(x_of("G1 X[20 - 5 - 3]"), 12, 0);
    assert_near(x_of("G1 X[1 + 2 * 3 ** 2]"), 19, 0);
    assert_near(x_of("G1 X[2 * 3 ** 2 + 1]"), 19, 0);
    assert_near(x_of("G1 X[1 - 1 AND 0]"), 0, 0);
    assert_near(x_of("G1 X[1 OR 1 - 1]"), 0, 0);
    assert_near(x_of("G1 X[[1 + 2] * [3 + 4]]"), 21, 0);
    assert_near(x_of("G1 X[1 ORSIN[0]]"), 1, 0);
    assert_near(x_of("G1 X[-5 MOD 3]"), 1, 0); /* from memory: never negative */
}

static void fix_and_fup_go_down_and_up(void **state)
{
    (void)state;
    /* 3.3.2.4 */
    assert_near(x_of("G1 X FIX[2.8]"), 2, 0);
    assert_near(x_of("G1 X FIX[-2.8]"), -3, 0);
    assert_near(x_of("G1 X FUP[2.8]"), 3, 0);
    assert_near(x_of("G1 X FUP[-2.8]"), -2, 0);
}

/* Appendix C.2, expected X line by line; values of n180.. to the four decimals of its comments
 * unless exact; n460 has no value in the report (derived). */
static void the_expression_program_gives_its_commented_values(void **state)
{
    (void)state;
    static const struct {
        const char *line;
        double x;
        double within;
    } step[] = {
        {"n10 g21 g1 x3 f20", 3, 0},
        {"n20 x[1+2]", 3, 0},
        {"n30 x[1-2]", -1, 0},
        {"n40 x[1 --3]", 4, 0},
        {"n50 x[2/5]", 0.4, 0},
        {"n60 x[3.0*5]", 15, 0},
        {"n70 x[0 OR 0]", 0, 0},
        {"n80 x[0 OR 1]", 1, 0},
        {"n90 x[2 or 2]", 1, 0},
        {"n100 x[0 AND 0]", 0, 0},
        {"n110 x[0 AND 1]", 0, 0},
        {"n120 x[2 and 2]", 1, 0},
        {"n130 x[0 XOR 0]", 0, 0},
        {"n140 x[0 XOR 1]", 1, 0},
        {"n150 x[2 xor 2]", 0, 0},
        {"n160 x[15 MOD 4.0]", 3, 0},
        {"n170 x[1+2*3-4/5]", 6.2, 1e-15},
        {"n180 x sin[30]", 0.5, 1e-15},
        {"n190 x cos[0.0]", 1, 0},
        {"n200 x tan[60.0]", 1.7321, 5e-5},
        {"n210 x sqrt[3]", 1.7321, 5e-5},
        {"n220 x atan[1.7321]/[1.0]", 60.0007, 5e-5},
        {"n230 x asin[1.0]", 90, 1e-13},
        {"n240 x acos[0.707107]", 45.0000, 5e-5},
        {"n250 x abs[20.0]", 20, 0},
        {"n260 x abs[-1.23]", 1.23, 0},
        {"n270 x round[-0.499]", 0, 0},
        {"n280 x round[-0.5001]", -1, 0},
        {"n290 x round[2.444]", 2, 0},
        {"n300 x round[9.975]", 10, 0},
        {"n310 x fix[-0.499]", -1, 0},
        {"n320 x fix[-0.5001]", -1, 0},
        {"n330 x fix[2.444]", 2, 0},
        {"n340 x fix[9.975]", 9, 0},
        {"n350 x fup[-0.499]", 0, 0},
        {"n360 x fup[-0.5001]", 0, 0},
        {"n370 x fup[2.444]", 3, 0},
        {"n380 x fup[9.975]", 10, 0},
        {"n390 x exp[2.3026]", 10.00015, 5e-6},
        {"n400 x ln[10.0]", 2.3026, 5e-5},
        {"n410 x [2**3.0] #1=2.0", 8, 0},
        {"n420 ##1=0.375 (sets #2, as #1 is 2)", 8, 0},
        {"n430 x#2 (here is a comment) #3=7.0", 0.375, 0},
        {"n440 #3=5.0 x#3", 7, 0},
        {"n450 x#3 #3=1.1", 5, 0},
        {"n460 x[2 + asin[1/2.1+-0.345] / [atan[fix[4.4]*2.1*sqrt[16.8]]/[-18]]**2]", 2.000545,
         5e-7},
        {"n470 x sqrt[3**2+4**2]", 5, 0},
    };
    struct sw_buf text = {0};
    const size_t n = sizeof step / sizeof *step;
    for (size_t i = 0; i < n; i++)
        sw_buf_printf(&text, "%s\n", step[i].line);
    sw_buf_add(&text, "n480 m2\n");
    assert_false(text.failed);
    struct program p = program_new();
    program_read_clean(&p, sw_buf_text(&text));
    sw_buf_done(&text);
    size_t k = 0;
    for (size_t i = 0; i < n; i++) {
        if (i == 41) /* n420 moves nothing */
            continue;
        const struct sw_motion_event *line = program_nth(&p, SW_MOTION_LINE, k++);
        assert_int_equal(line->line, i + 1);
        sw_assert_near(line->to.x, step[i].x, step[i].within, step[i].line, __FILE__, __LINE__);
    }
    assert_int_equal(program_count(&p, SW_MOTION_LINE), k);
    assert_int_equal(program_last(&p)->kind, SW_MOTION_END);
    program_free(&p);
}

static void parameters_are_set_in_parallel(void **state)
{
    (void)state;
    /* 3.3.3: with #3 = 15, `#3=6 G1 x#3` moves to 15, and #3 is 6 afterwards */
    struct program p = program_new();
    program_read_clean(&p, "F10 #3=15\n#3=6 G1 x#3\nx#3\nM2\n");
    assert_near(program_nth(&p, SW_MOTION_LINE, 0)->to.x, 15, 0);
    assert_near(program_nth(&p, SW_MOTION_LINE, 1)->to.x, 6, 0);
    program_free(&p);
    /* the last setting of one parameter wins */
    assert_near(x_of("#3=15 #3=6\nG1 X#3"), 6, 0);
    /* the old #1 picks what is set */
    assert_near(x_of("#1=7\n#1=8 ##1=3\nG1 X[#7 + #8]"), 3, 0);
}

static void the_sign_of_a_parameter_number_binds_tightest(void **state)
{
    (void)state;
    /* 3.3.2.2 */
    assert_near(x_of("#1=10 #3=77\nG1 X[#1+2]"), 12, 0);
    assert_near(x_of("#1=10 #3=77\nG1 X#[1+2]"), 77, 0);
    assert_near(x_of("#1=3 #3=77\nG1 X##1"), 77, 0);
    assert_near(x_of("#5399=4\nG1 X#5399.00005"), 4, 0); /* whole within 0.0001 */
}

static void all_orders_of_a_line_mean_the_same(void **state)
{
    (void)state;
    /* 3.3.6: `g40 g1 #3=15 (foo) #4=-7.0` has five items, 120 orders */
    static const char *const item[] = {"g40", "g1", "#3=15", "(foo)", "#4=-7.0"};
    int n_orders = 0;
    for (int code = 0; code < 5 * 5 * 5 * 5 * 5; code++) {
        int order[5], rest = code;
        unsigned seen = 0;
        for (int i = 0; i < 5; i++, rest /= 5)
            seen |= 1u << (order[i] = rest % 5);
        if (seen != 31)
            continue;
        n_orders++;
        char text[256];
        /* X makes the g1 a motion, as it needs an axis word */
        snprintf(text, sizeof text, "#3=1 #4=2 F10 G18\n%s %s %s %s %s x[#3+#4]\nX#3 Z#4\nM2\n",
                 item[order[0]], item[order[1]], item[order[2]], item[order[3]], item[order[4]]);
        struct program p = program_new();
        program_read_clean(&p, text);
        assert_int_equal(p.motion.n, 3);
        assert_near(p.motion.at[0].to.x, 3, 0);
        assert_near(p.motion.at[1].to.x, 15, 0);
        assert_near(p.motion.at[1].to.z, -7, 0);
        program_free(&p);
    }
    assert_int_equal(n_orders, 120);
}

static void codes_may_be_worked_out(void **state)
{
    (void)state;
    /* 3.5: G[2*5] L[1+1] is G10 L2 */
    struct program p = program_new();
    program_read_clean(&p, "G[2*5] L[1+1] P1 X5\nG0 X1\nM2\n");
    assert_near(program_nth(&p, SW_MOTION_RAPID, 0)->to.x, 6, 0);
    program_free(&p);
    /* 3.3.2.1: within 0.0001 of ten times the code */
    p = program_new();
    program_read_clean(&p, "G59.10000001\nM2.00005\n");
    assert_int_equal(program_last(&p)->kind, SW_MOTION_END);
    program_free(&p);
}

static void a_refused_line_sets_no_parameter(void **state)
{
    (void)state;
    struct program p = program_new();
    program_read(&p, "#3=15 F10\n#3=6 G1 x#3 Y2\n#3=7 X1 G2\nG1 X#3\nM2\n");
    assert_int_equal(p.status, SW_FOUND);
    assert_int_equal(sw_diag_n_errors(p.ctx.diag), 2);
    assert_int_equal(program_count(&p, SW_MOTION_LINE), 1);
    assert_near(program_nth(&p, SW_MOTION_LINE, 0)->to.x, 15, 0);
    program_free(&p);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(blanks_and_case_mean_nothing),
        cmocka_unit_test(numbers_are_read_to_the_nearest_double),
        cmocka_unit_test(expressions_follow_the_three_ranks),
        cmocka_unit_test(fix_and_fup_go_down_and_up),
        cmocka_unit_test(the_expression_program_gives_its_commented_values),
        cmocka_unit_test(parameters_are_set_in_parallel),
        cmocka_unit_test(the_sign_of_a_parameter_number_binds_tightest),
        cmocka_unit_test(all_orders_of_a_line_mean_the_same),
        cmocka_unit_test(codes_may_be_worked_out),
        cmocka_unit_test(a_refused_line_sets_no_parameter),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
