/* Plans against the habits of the trade. */
#include "support/bench.h"

#include <string.h>

static const char *const samples[] = {"fenmoor-43", "wren-8", "tollgate", "millrace", "harrow-2p"};
enum { N_SAMPLES = sizeof samples / sizeof *samples };

static double pivot_of(const char *name)
{
    struct sw_bench bench;
    sw_bench_load(&bench, name);
    const double diameter = 2 * bench.staff->section[0].r0;
    sw_bench_free(&bench);
    return diameter;
}

/* Hall 1910, ch. IV: pivots are gauged in 1/2500 in = 0.01016 mm; his samples are 12 and 16 such.
 */
static void pivots_may_be_given_in_hall_s_degrees(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        double mm;
    } cases[] = {{"12/2500 in", 0.12192}, {"16/2500 in", 0.16256}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct sw_ctx ctx = sw_test_ctx();
        const char *text =
            sw_arena_printf(ctx.arena,
                            "format: staff/1\nname: n\nmaterial: m\ntotal: {length: 5}\nsections:\n"
                            "  - pivot: {diameter: %s, length: 0.3}\n"
                            "  - hub: {diameter: 1.5, length: free}\n"
                            "  - pivot: {diameter: %s, length: 0.3}\n",
                            cases[i].text, cases[i].text);
        struct sw_staff *staff = NULL;
        assert_non_null(text);
        assert_int_equal(sw_staff_parse(&staff, "hall", text, strlen(text), &ctx), SW_OK);
        assert_near(2 * staff->section[0].r0, cases[i].mm, 1e-12);
        sw_test_ctx_free(&ctx);
    }
}

/* Common practice, no source: pivots of small watches near 0.09, of carriage clocks thicker by some
 * hundredths. */
static void sample_pivots_are_of_the_trade_s_size(void **state)
{
    (void)state;
    const double wrist = pivot_of("wren-8"), pocket = pivot_of("fenmoor-43");
    const double platform = pivot_of("tollgate");
    assert_true(wrist > 0.06 && wrist < 0.10);
    assert_true(pocket > wrist && pocket < 0.13);
    assert_true(platform - 0.09 >= 0.02 && platform <= 0.22);
}

/* Common practice, no source: a rod about as thick as the widest section; one to two centimetres of
 * it are enough. */
static void a_piece_of_rod_little_thicker_and_two_centimetres_long_is_enough(void **state)
{
    (void)state;
    for (size_t i = 0; i < N_SAMPLES; i++) {
        struct sw_bench bench;
        sw_bench_load(&bench, samples[i]);
        assert_int_equal(sw_bench_plan(&bench), SW_OK);
        const struct sw_plan_chucking *c = &bench.plan->chucking[0];
        const double widest = 2 * sw_staff_widest(bench.staff);
        assert_true(c->rod_diameter > widest && c->rod_diameter < widest + 0.65);
        assert_true(c->rod_length >= 10 && c->rod_length <= 25);
        /* overall length and about 2 to 4 mm for parting and tools */
        assert_true(c->stick_out > bench.staff->total + 1 &&
                    c->stick_out < bench.staff->total + 4.5);
        sw_bench_free(&bench);
    }
}

/* Common practice, no source: 0.010 to 0.020 left on a pivot for the burnisher, 0.005 to 0.010 on a
 * seat for the stone. */
static void what_is_left_for_hand_work_is_what_the_trade_leaves(void **state)
{
    (void)state;
    struct sw_bench bench;
    sw_bench_load(&bench, "fenmoor-43");
    assert_int_equal(sw_bench_plan(&bench), SW_OK);
    for (size_t i = 0; i < bench.staff->n; i++) {
        const double take = bench.shape->section[i].take;
        if (bench.staff->section[i].finish == SW_FINISH_BURNISHED)
            assert_true(take >= 0.010 && take <= 0.020);
        if (bench.staff->section[i].finish == SW_FINISH_STONED)
            assert_true(take >= 0.005 && take <= 0.010);
    }
    sw_bench_free(&bench);
}

/* Common practice, no source: what is stoned or burnished, or has a part put on, is gauged before
 * its last cut, once and where it is cut. */
static void every_fit_is_measured_once_before_its_last_cut(void **state)
{
    (void)state;
    for (size_t s = 0; s < N_SAMPLES; s++) {
        struct sw_bench bench;
        sw_bench_load(&bench, samples[s]);
        assert_int_equal(sw_bench_plan(&bench), SW_OK);
        for (size_t i = 0; i < bench.staff->n; i++) {
            const struct sw_section *is = &bench.staff->section[i];
            const bool is_fit = is->finish != SW_FINISH_TURNED || is->takes != SW_TAKES_NOTHING;
            size_t n = 0;
            for (size_t c = 0; c < bench.plan->n_chuckings; c++)
                for (size_t k = 0; k < bench.plan->chucking[c].n_ops; k++) {
                    const struct sw_op *op = &bench.plan->chucking[c].op[k];
                    n += op->kind == SW_OP_MEASURE && op->section == i;
                }
            if (n != is_fit)
                fail_msg("%s: %s is measured %zu times", samples[s], is->name, n);
        }
        sw_bench_free(&bench);
    }
}

static size_t op_named(const struct sw_plan_chucking *chucking, const char *what)
{
    for (size_t k = 0; k < chucking->n_ops; k++)
        if (strcmp(chucking->op[k].what, what) == 0)
            return k;
    fail_msg("no operation \"%s\"", what);
    return 0;
}

/* The arm must sit flat: only a finished face tells. */
static void the_balance_is_tried_when_the_face_it_rests_on_is_finished(void **state)
{
    (void)state;
    struct sw_bench bench;
    sw_bench_load(&bench, "tollgate");
    assert_int_equal(sw_bench_plan(&bench), SW_OK);
    const struct sw_plan_chucking *c = &bench.plan->chucking[1];
    assert_true(op_named(c, "try the balance on its seat") > op_named(c, "finish hub"));
    sw_bench_free(&bench);
}

/* Statics of a taper: with 0.008 left on a taper of 1/100 a part stops 0.8 mm early. Tollgate's
 * roller seat is 1.49 long: 0.75 of it is 1.12, less 0.80 makes 0.32. Its safety roller seat of
 * 0.45 leaves no way at all. */
static void a_trial_before_stoning_says_how_far_the_part_goes_then(void **state)
{
    (void)state;
    struct sw_bench bench;
    sw_bench_load(&bench, "tollgate");
    assert_int_equal(sw_bench_plan(&bench), SW_OK);
    const struct sw_plan_chucking *c = &bench.plan->chucking[0];
    const char *roller = c->op[op_named(c, "try the roller on its seat")].advice;
    const char *safety = c->op[op_named(c, "try the safety roller on its seat")].advice;
    assert_non_null(strstr(roller, "about 0.32 mm"));
    assert_non_null(strstr(safety, "does not go on yet"));
    sw_bench_free(&bench);
}

/* Common practice, no source: what a tool put back by hand cuts next is no longer what was
 * measured. */
static void tools_changed_by_hand_stay_from_the_sizing_length_to_the_pivot(void **state)
{
    (void)state;
    struct sw_bench bench;
    sw_bench_load(&bench, "fenmoor-43");
    ((struct sw_machine *)bench.shop->machine)->change.value = SW_CHANGE_BY_HAND;
    bench.job->sizing_length.value = 0.25;
    assert_int_equal(sw_bench_plan(&bench), SW_OK);
    for (size_t i = 0; i < 2; i++) {
        const struct sw_plan_chucking *c = &bench.plan->chucking[i];
        const size_t sized = op_named(c, "finish the sizing length");
        size_t last = sized;
        for (size_t k = sized; k < c->n_ops; k++)
            if (c->op[k].kind == SW_OP_FINISH && c->op[k].section < bench.staff->n &&
                bench.staff->section[c->op[k].section].kind == SW_SECTION_PIVOT)
                last = k;
        assert_true(last > sized);
        for (size_t k = sized; k <= last; k++)
            assert_ptr_equal(c->op[k].tool, c->op[sized].tool);
    }
    sw_bench_free(&bench);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pivots_may_be_given_in_hall_s_degrees),
        cmocka_unit_test(sample_pivots_are_of_the_trade_s_size),
        cmocka_unit_test(a_piece_of_rod_little_thicker_and_two_centimetres_long_is_enough),
        cmocka_unit_test(every_fit_is_measured_once_before_its_last_cut),
        cmocka_unit_test(the_balance_is_tried_when_the_face_it_rests_on_is_finished),
        cmocka_unit_test(a_trial_before_stoning_says_how_far_the_part_goes_then),
        cmocka_unit_test(tools_changed_by_hand_stay_from_the_sizing_length_to_the_pivot),
        cmocka_unit_test(what_is_left_for_hand_work_is_what_the_trade_leaves),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
