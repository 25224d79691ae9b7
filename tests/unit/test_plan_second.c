/* A second spindle in planning: what it takes the piece by, and what is refused. */
#include <math.h>
#include <string.h>

#include "support/bench.h"

static struct sw_machine *machine_of(struct sw_bench *bench)
{
    return (struct sw_machine *)bench->shop->machine;
}

static void load(struct sw_bench *bench)
{
    sw_bench_load_job(bench, "fenmoor-43", "job-two-spindles.yaml");
}

static void plan(struct sw_bench *bench)
{
    if (sw_bench_plan(bench) != SW_OK)
        fail_msg("%s", sw_test_diagnostics(&bench->ctx));
}

/* The hub's land of 0.15 and the balance seat of 0.28 are shorter than the 0.3 it holds by; the
 * collet seat of 0.65 loses its bevel of 0.04 at its outer end and 0.05 at the inner. */
static void it_takes_the_stoutest_cylinder_that_is_long_enough(void **state)
{
    (void)state;
    struct sw_bench bench;
    load(&bench);
    plan(&bench);
    const struct sw_plan_chucking *c = &bench.plan->chucking[0];
    assert_false(c->has_neck);
    assert_non_null(c->second.section);
    assert_string_equal(c->second.section, "collet seat");
    const struct sw_section *seat = sw_staff_section(bench.plan->shape->staff, "collet seat");
    const struct sw_shape_section *turned = &bench.plan->shape->section[seat->index];
    assert_near(c->second.diameter, turned->turned_diameter, 1e-12);
    assert_near(c->second.nose_z, -turned->z1 + 0.05, 1e-9);
    assert_near(c->second.length, turned->z1 - turned->z0 - 0.04 - 0.05, 1e-9);
    assert_null(bench.plan->chucking[1].second.section);
    sw_bench_free(&bench);
    load(&bench);
    machine_of(&bench)->second_spindle.grip.value = 0.2;
    plan(&bench);
    assert_string_equal(bench.plan->chucking[0].second.section, "balance seat");
    sw_bench_free(&bench);
}

static void a_job_that_asks_for_a_neck_gets_one(void **state)
{
    (void)state;
    struct sw_bench bench;
    load(&bench);
    bench.job->parting = (struct sw_choice){.value = SW_PART_TO_NECK, .given = true};
    plan(&bench);
    assert_true(bench.plan->chucking[0].has_neck);
    assert_null(bench.plan->chucking[0].second.section);
    sw_bench_free(&bench);
    load(&bench);
    bench.job->neck = (struct sw_number){.value = 0.3, .given = true};
    plan(&bench);
    assert_true(bench.plan->chucking[0].has_neck);
    sw_bench_free(&bench);
}

static void refused(struct sw_bench *bench, const char *because)
{
    assert_int_equal(sw_bench_plan(bench), SW_CANNOT);
    const struct sw_diag_record *record =
        sw_diag_at(bench->ctx.diag, sw_diag_n(bench->ctx.diag) - 1);
    assert_string_equal(record->code, "plan.second-spindle");
    assert_non_null(strstr(record->hint, "parting: to-neck"));
    if (strstr(record->message, because) == NULL)
        fail_msg("%s", record->message);
    sw_bench_free(bench);
}

static void each_reason_is_said(void **state)
{
    (void)state;
    struct sw_bench bench;
    load(&bench);
    machine_of(&bench)->second_spindle.grip.value = 0.7;
    refused(&bench, "collet seat (0.61 mm long, less than the 0.70 it holds by)");
    load(&bench);
    machine_of(&bench)->second_spindle.most.value = 0.8;
    refused(&bench, "collet seat (0.828 mm thick, and it takes 0.40 to 0.80)");
    load(&bench);
    machine_of(&bench)->second_spindle.depth.value = 1;
    refused(&bench, "would reach into it, and 1.00 may)");
    load(&bench);
    machine_of(&bench)->second_spindle.nose_diameter.value = 8;
    refused(&bench, "collet seat (the blade, at its deepest, would come to its nose)");
}

/* A bow of s over a metre is a curve of radius 1 / (8 s) m2: 0.5 mm make 250 m. Over D between two
 * points the chord meets its end at D / 2 R. */
static void a_bowed_bar_leaves_the_bush_aslant(void **state)
{
    (void)state;
    struct sw_bench bench;
    load(&bench);
    plan(&bench);
    const struct sw_plan_chucking *c = &bench.plan->chucking[0];
    assert_near(sw_plan_bar_lean(c), (c->face_z - c->nose_z) / 2 / 250e3, 1e-12);
    assert_near(sw_plan_bar_lean(&bench.plan->chucking[1]), 0, 0);
    for (size_t i = 0; i < sw_diag_n(bench.ctx.diag); i++)
        assert_string_not_equal(sw_diag_at(bench.ctx.diag, i)->code, "plan.bar-bent");
    sw_bench_free(&bench);
    load(&bench);
    struct sw_stock *stock = bench.shop->stock.at;
    for (size_t i = 0; i < bench.shop->stock.n; i++)
        stock[i].straightness.value = 50;
    plan(&bench);
    bool is_said = false;
    for (size_t i = 0; i < sw_diag_n(bench.ctx.diag); i++)
        is_said = is_said || strcmp(sw_diag_at(bench.ctx.diag, i)->code, "plan.bar-bent") == 0;
    assert_true(is_said);
    sw_bench_free(&bench);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(it_takes_the_stoutest_cylinder_that_is_long_enough),
        cmocka_unit_test(a_job_that_asks_for_a_neck_gets_one),
        cmocka_unit_test(each_reason_is_said),
        cmocka_unit_test(a_bowed_bar_leaves_the_bush_aslant),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
