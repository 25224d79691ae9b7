/* The command line as GNU programs read it. */
#include "cli/options.h"
#include "support/near.h"

enum { MOST_WORDS = 8 };

struct line {
    const char *word[MOST_WORDS];
    unsigned commands;
};

static enum sw_status read_line(struct sw_args *args, const struct line *line, struct sw_ctx *ctx)
{
    char *argv[MOST_WORDS];
    int argc = 0;
    for (; argc < MOST_WORDS && line->word[argc]; argc++)
        argv[argc] = (char *)(size_t)line->word[argc];
    return sw_args_read(args, argc, argv, line->commands, ctx);
}

static void options_may_stand_anywhere(void **state)
{
    (void)state;
    static const struct line line[] = {
        {{"job.yaml", "-n", "-o", "out"}, SW_FOR_MAKE},
        {{"-n", "-oout", "job.yaml"}, SW_FOR_MAKE},
        {{"-noout", "job.yaml"}, SW_FOR_MAKE},
        {{"--output=out", "job.yaml", "--no-write"}, SW_FOR_MAKE},
        {{"--output", "out", "--no-write", "--", "job.yaml"}, SW_FOR_MAKE},
        {{"-o", "in", "job.yaml", "--output", "out", "-n"}, SW_FOR_MAKE}, /* the last counts */
    };
    for (size_t i = 0; i < sizeof line / sizeof *line; i++) {
        struct sw_ctx ctx = sw_test_ctx();
        struct sw_args args;
        assert_int_equal(read_line(&args, &line[i], &ctx), SW_OK);
        assert_string_equal(args.value[SW_OPTION_OUTPUT], "out");
        assert_non_null(args.value[SW_OPTION_NO_WRITE]);
        assert_null(args.value[SW_OPTION_FORCE]);
        assert_int_equal(args.n, 1);
        assert_string_equal(args.operand[0], "job.yaml");
        sw_test_ctx_free(&ctx);
    }
}

static void after_two_dashes_and_for_one_there_are_only_operands(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_args args;
    const struct line line = {{"-", "--", "--force", "-n", "--"}, SW_FOR_MAKE};
    assert_int_equal(read_line(&args, &line, &ctx), SW_OK);
    assert_int_equal(args.n, 4);
    assert_string_equal(args.operand[0], "-");
    assert_string_equal(args.operand[3], "--");
    assert_null(args.value[SW_OPTION_FORCE]);
    sw_test_ctx_free(&ctx);
}

static void what_is_wrong_is_refused_with_one_sentence(void **state)
{
    (void)state;
    static const struct line line[] = {
        {{"--outputs=x"}, SW_FOR_MAKE}, {{"--out=x"}, SW_FOR_MAKE},  {{"--force=1"}, SW_FOR_MAKE},
        {{"-x"}, SW_FOR_MAKE},          {{"-nx"}, SW_FOR_MAKE},      {{"-o"}, SW_FOR_MAKE},
        {{"--output"}, SW_FOR_MAKE},    {{"--force"}, SW_FOR_CHECK}, {{"-o", "x"}, SW_FOR_DRYRUN},
        {{"--=x"}, SW_FOR_MAKE},        {{"--json"}, SW_FOR_DRAW},   {{"---"}, SW_FOR_MAKE},
    };
    for (size_t i = 0; i < sizeof line / sizeof *line; i++) {
        struct sw_ctx ctx = sw_test_ctx();
        struct sw_args args;
        assert_int_equal(read_line(&args, &line[i], &ctx), SW_USAGE);
        assert_int_equal(sw_diag_n_errors(ctx.diag), 1);
        sw_test_ctx_free(&ctx);
    }
}

static void an_empty_value_is_a_value(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_args args;
    const struct line line = {{"--job=", "--setup", ""}, SW_FOR_DRYRUN};
    assert_int_equal(read_line(&args, &line, &ctx), SW_OK);
    assert_string_equal(args.value[SW_OPTION_JOB], "");
    assert_string_equal(args.value[SW_OPTION_SETUP], "");
    sw_test_ctx_free(&ctx);
}

static void no_two_options_share_a_name_or_letter(void **state)
{
    (void)state;
    for (int i = 0; i < SW_N_OPTIONS; i++) {
        assert_non_null(sw_options[i].name);
        assert_non_null(sw_options[i].says);
        for (int k = 0; k < i; k++) {
            assert_string_not_equal(sw_options[i].name, sw_options[k].name);
            assert_false(sw_options[i].letter && sw_options[i].letter == sw_options[k].letter);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(options_may_stand_anywhere),
        cmocka_unit_test(after_two_dashes_and_for_one_there_are_only_operands),
        cmocka_unit_test(what_is_wrong_is_refused_with_one_sentence),
        cmocka_unit_test(an_empty_value_is_a_value),
        cmocka_unit_test(no_two_options_share_a_name_or_letter),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
