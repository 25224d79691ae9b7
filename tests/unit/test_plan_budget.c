/* What machine and holders leave in the sizes is said before a chip is cut. */
#include "support/bench.h"

#include <math.h>
#include <string.h>

static const char *const samples[] = {"fenmoor-43", "wren-8", "tollgate", "millrace", "harrow-2p"};
enum { N_SAMPLES = sizeof samples / sizeof *samples };

static const struct sw_diag_record *warning(const struct sw_bench *bench, const char *code)
{
    for (size_t i = 0; i < sw_diag_n(bench->ctx.diag); i++) {
        const struct sw_diag_record *record = sw_diag_at(bench->ctx.diag, i);
        if (record->severity == SW_WARNING && strcmp(record->code, code) == 0)
            return record;
    }
    return NULL;
}

static struct sw_machine *machine_of(struct sw_bench *bench)
{
    return (struct sw_machine *)bench->shop->machine;
}

static void plan(struct sw_bench *bench)
{
    if (sw_bench_plan(bench) != SW_OK)
        fail_msg("%s", sw_test_diagnostics(&bench->ctx));
}

/* Pivots of wren-8 may differ by 2 um: half of that is one step of 0.5 um on radius. */
static void a_step_of_more_than_half_a_band_is_warned_of(void **state)
{
    (void)state;
    struct sw_bench bench;
    sw_bench_load(&bench, "wren-8");
    machine_of(&bench)->step.x.value = 0.0005;
    plan(&bench);
    assert_null(warning(&bench, "plan.step"));
    sw_bench_free(&bench);
    sw_bench_load(&bench, "wren-8");
    machine_of(&bench)->step.x.value = 0.00051;
    plan(&bench);
    const struct sw_diag_record *record = warning(&bench, "plan.step");
    assert_non_null(record);
    assert_non_null(strstr(record->message, "1.02 um on the diameter"));
    assert_non_null(strstr(record->message, "2.00 um between the limits of the upper pivot"));
    assert_non_null(strstr(record->message, "2 sections are so"));
    sw_bench_free(&bench);
}

/* First bending frequency of a uniform cantilever, f =
 * 0.13990 (d/L^2) sqrt(E/rho) (Roark, table 16.1): a rod of 2 mm free over 100 mm is critical near
 * 8600 rev/min (computed, the trade's own example). */
static void a_tail_that_would_whip_is_planned_shorter(void **state)
{
    (void)state;
    struct sw_bench bench;
    sw_bench_load(&bench, "fenmoor-43");
    struct sw_stock *stock = bench.shop->stock.at;
    for (size_t i = 0; i < bench.shop->stock.n; i++)
        stock[i].length.value = 400;
    plan(&bench);
    assert_null(warning(&bench, "plan.whip"));
    assert_near(bench.plan->chucking[0].tail, 60, 1e-9);
    sw_bench_free(&bench);
    sw_bench_load(&bench, "fenmoor-43");
    stock = bench.shop->stock.at;
    for (size_t i = 0; i < bench.shop->stock.n; i++)
        stock[i].length.value = 400;
    bench.shop->tail_free.value = 200;
    plan(&bench);
    const struct sw_plan_chucking *c = &bench.plan->chucking[0];
    const struct sw_diag_record *record = warning(&bench, "plan.whip");
    assert_non_null(record);
    assert_non_null(strstr(record->message, "at 8000 rev/min no more than 89 mm"));
    const double critical = 60 * 0.13990 * 2.0 / (c->tail * c->tail) * sqrt(206000 / 7.85e-9);
    assert_true(8000 <= 0.75 * critical);
    const double longer = (c->tail + 1) * (c->tail + 1);
    assert_true(8000 > 0.75 * 60 * 0.13990 * 2.0 / longer * sqrt(206000 / 7.85e-9));
    assert_near(c->tail_most, c->tail, 1e-12);
    sw_bench_free(&bench);
}

/* How often the slide turns round to go outwards on its way over a section in finish cuts, and
 * whether it was cut at all. */
static int turns_outwards(const struct sw_bench *bench, int section, bool *is_cut)
{
    int n = 0;
    for (size_t i = 0; i < bench->plan->n_chuckings; i++)
        for (size_t k = 0; k < bench->plan->chucking[i].n_ops; k++) {
            const struct sw_op *op = &bench->plan->chucking[i].op[k];
            for (size_t m = 0; op->kind == SW_OP_FINISH && m < op->n_passes; m++) {
                const struct sw_contour *run = &op->pass[m].run;
                for (size_t at = 0; at < run->n; at++) {
                    const struct sw_seg *seg = &run->at[at];
                    if (seg->tag != section || fabs(seg->b.z - seg->a.z) < 1e-6)
                        continue;
                    *is_cut = true;
                    n += seg->b.r > seg->a.r + 1e-7;
                }
            }
        }
    return n;
}

/* The roller seats of the samples rise 6.5 um and less on radius over their length, and may be off
 * by 2 or 3: run inwards they would lose a backlash of 3 um twice. */
static void a_tapered_seat_is_cut_so_that_the_slide_never_turns_round(void **state)
{
    (void)state;
    for (size_t s = 0; s < N_SAMPLES; s++) {
        struct sw_bench bench;
        bool is_cut = false;
        sw_bench_load(&bench, samples[s]);
        machine_of(&bench)->backlash.x.value = 0.003;
        bench.job->pivot_order.given = true; /* last, seats and their bevels are cut otherwise */
        plan(&bench);
        const struct sw_staff *staff = bench.plan->shape->staff;
        const struct sw_section *seat = sw_staff_section(staff, "roller seat");
        assert_non_null(seat);
        assert_true(seat->taper != 0);
        assert_int_equal(turns_outwards(&bench, (int)(seat - staff->section), &is_cut), 0);
        assert_true(is_cut);
        assert_null(warning(&bench, "plan.backlash"));
        sw_bench_free(&bench);
    }
}

/* Cones rise towards the holder and are cut towards it; they may be off by 10 um. */
static void backlash_is_warned_of_where_a_cut_turns_outwards(void **state)
{
    (void)state;
    struct sw_bench bench;
    sw_bench_load(&bench, "fenmoor-43");
    machine_of(&bench)->backlash.x.value = 0.0049;
    plan(&bench);
    assert_null(warning(&bench, "plan.backlash"));
    sw_bench_free(&bench);
    sw_bench_load(&bench, "fenmoor-43");
    machine_of(&bench)->backlash.x.value = 0.0051;
    plan(&bench);
    const struct sw_diag_record *record = warning(&bench, "plan.backlash");
    assert_non_null(record);
    assert_non_null(strstr(record->message, "cone"));
    assert_non_null(strstr(record->message, "up to 10.2 um"));
    sw_bench_free(&bench);
}

static void a_holder_that_runs_out_is_warned_of_with_both_shares(void **state)
{
    (void)state;
    struct sw_bench bench;
    sw_bench_load(&bench, "fenmoor-43");
    plan(&bench);
    assert_null(warning(&bench, "plan.runout")); /* bored in place: 3 um */
    assert_near(sw_plan_runout(bench.plan), 0.003, 1e-12);
    sw_bench_free(&bench);
    sw_bench_load(&bench, "fenmoor-43");
    bench.job->holder_second.value = "cement chuck";
    plan(&bench);
    assert_near(sw_plan_runout(bench.plan), 0.006, 1e-12); /* 4 um and the spindle's 2 */
    const struct sw_diag_record *record = warning(&bench, "plan.runout");
    assert_non_null(record);
    assert_non_null(strstr(record->message, "6.0 um against the first"));
    sw_bench_free(&bench);
}

/* Play of the slide then is the same for every diameter, and in the zero. */
static void every_contour_cut_is_come_to_from_outside(void **state)
{
    (void)state;
    size_t n_seen = 0;
    for (size_t s = 0; s < N_SAMPLES; s++) {
        struct sw_bench bench;
        sw_bench_load(&bench, samples[s]);
        plan(&bench);
        for (size_t i = 0; i < bench.plan->n_chuckings; i++)
            for (size_t k = 0; k < bench.plan->chucking[i].n_ops; k++) {
                const struct sw_op *op = &bench.plan->chucking[i].op[k];
                if (op->kind != SW_OP_SEMI && op->kind != SW_OP_FINISH)
                    continue;
                for (size_t m = 0; m < op->n_passes; m++) {
                    const struct sw_pass *pass = &op->pass[m];
                    const struct sw_seg *first = &pass->run.at[0];
                    if (pass->comes_axially)
                        continue;
                    n_seen++;
                    assert_true(pass->from.r > first->a.r);
                    assert_near(pass->from.z, first->a.z, 1e-9);
                    assert_true(first->b.r < first->a.r);
                }
            }
        sw_bench_free(&bench);
    }
    assert_true(n_seen > 20 * N_SAMPLES);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_step_of_more_than_half_a_band_is_warned_of),
        cmocka_unit_test(a_tail_that_would_whip_is_planned_shorter),
        cmocka_unit_test(a_tapered_seat_is_cut_so_that_the_slide_never_turns_round),
        cmocka_unit_test(backlash_is_warned_of_where_a_cut_turns_outwards),
        cmocka_unit_test(a_holder_that_runs_out_is_warned_of_with_both_shares),
        cmocka_unit_test(every_contour_cut_is_come_to_from_outside),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
