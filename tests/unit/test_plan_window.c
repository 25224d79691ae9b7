/* A guide bush in planning: how far a bar may be drawn back, and what holds it. */
#include <math.h>
#include <string.h>

#include "plan/support.h"
#include "plan/window.h"
#include "support/bench.h"

static const double pi = 3.14159265358979323846;
static const char *const samples[] = {"fenmoor-43", "tollgate"};
enum { N_SAMPLES = sizeof samples / sizeof *samples };

static void four_tenths_of_the_land_may_be_drawn_back(void **state)
{
    (void)state;
    assert_near(sw_window_most_z(-3, 0, 5), -3 + 0.4 * 5, 1e-12);
    assert_near(sw_window_most_z(-3, 0.7, 5), -3 + 0.7 + 0.4 * 5, 1e-12);
}

/* The job with a bush whose land is LAND. */
static void load(struct sw_bench *bench, struct sw_machine *machine, const char *name, double land)
{
    sw_bench_load_job(bench, name, "job-bush.yaml");
    *machine = *bench->shop->machine;
    machine->bush.land.value = land;
    bench->shop->machine = machine;
}

/* Half of the land on whole bar is what the dry run asks for; reckoned here from the passes alone.
 */
static void the_bush_is_never_left_with_less_than_half_its_land(void **state)
{
    (void)state;
    static const double lands[] = {1, 2, 4, 8};
    for (size_t i = 0; i < N_SAMPLES; i++)
        for (size_t l = 0; l < sizeof lands / sizeof *lands; l++) {
            struct sw_bench bench;
            struct sw_machine machine;
            load(&bench, &machine, samples[i], lands[l]);
            assert_int_equal(sw_bench_plan(&bench), SW_OK);
            const struct sw_plan_chucking *c = &bench.plan->chucking[0];
            double whole = c->rod_end_z, least = HUGE_VAL;
            assert_true(c->in_bush);
            for (size_t k = 0; k < c->n_ops; k++)
                for (size_t n = 0; n < c->op[k].n_passes; n++) {
                    const struct sw_pass *pass = &c->op[k].pass[n];
                    const struct sw_box run = sw_contour_box(&pass->run);
                    const double out = fmax(fmax(pass->from.z, pass->lift.z), run.z1);
                    const double back = out - c->op[k].bush_gap - lands[l];
                    least = fmin(least, (whole - back) / lands[l]);
                    whole = fmin(whole, run.z0 - c->op[k].tool->nose_radius.value);
                }
            assert_true(least >= 0.5);
            assert_true(c->nose_z < c->face_z - lands[l]);
            sw_bench_free(&bench);
        }
}

static size_t n_slices(const struct sw_plan *plan, const char *what)
{
    size_t n = 0;
    for (size_t k = 0; k < plan->chucking[0].n_ops; k++) {
        const struct sw_op *op = &plan->chucking[0].op[k];
        n += op->kind == SW_OP_FINISH && strstr(op->what, what) != NULL;
    }
    return n;
}

static void a_zone_longer_than_the_window_is_cut_in_slices(void **state)
{
    (void)state;
    static const double lands[] = {8, 1};
    size_t n[2];
    for (size_t l = 0; l < 2; l++) {
        struct sw_bench bench;
        struct sw_machine machine;
        load(&bench, &machine, "tollgate", lands[l]);
        assert_int_equal(sw_bench_plan(&bench), SW_OK);
        n[l] = n_slices(bench.plan, "finish roller seat");
        sw_bench_free(&bench);
    }
    assert_int_equal(n[0], 1);
    assert_true(n[1] > 1);
}

/* How much further in than a zone's last cut its roughing may run on. */
static const double runs_on = 0.03;

/* The furthest in that finish cuts on SECTION come. */
static double inner_end(const struct sw_plan_chucking *c, size_t section)
{
    double z = HUGE_VAL;
    for (size_t k = 0; k < c->n_ops; k++)
        for (size_t n = 0; n < c->op[k].n_passes; n++)
            if (c->op[k].kind == SW_OP_FINISH && c->op[k].section == section)
                z = fmin(z, sw_contour_box(&c->op[k].pass[n].run).z0);
    return z;
}

/* Nothing further in has been touched when a pivot or cone is finished, but by the round of the
 * nose that brought its own zone down. */
static void pivots_and_cones_are_finished_on_whole_bar(void **state)
{
    (void)state;
    for (size_t i = 0; i < N_SAMPLES; i++) {
        struct sw_bench bench;
        struct sw_machine machine;
        size_t n_weak = 0;
        load(&bench, &machine, samples[i], 4);
        assert_int_equal(sw_bench_plan(&bench), SW_OK);
        const struct sw_plan_chucking *c = &bench.plan->chucking[0];
        double lowest = HUGE_VAL;
        for (size_t k = 0; k < c->n_ops; k++) {
            const struct sw_op *op = &c->op[k];
            for (size_t n = 0; n < op->n_passes; n++)
                lowest = fmin(lowest, sw_contour_box(&op->pass[n].run).z0);
            if (op->kind != SW_OP_FINISH)
                continue;
            const enum sw_section_kind kind = bench.staff->section[op->section].kind;
            if (kind != SW_SECTION_PIVOT && kind != SW_SECTION_CONE)
                continue;
            n_weak++;
            assert_true(lowest > inner_end(c, op->section) - runs_on);
        }
        assert_true(n_weak >= 2);
        sw_bench_free(&bench);
    }
}

static void a_recess_is_cut_before_the_bar_is_fed_on(void **state)
{
    (void)state;
    struct sw_bench bench;
    struct sw_machine machine;
    load(&bench, &machine, "fenmoor-43", 4);
    assert_int_equal(sw_bench_plan(&bench), SW_OK);
    const struct sw_plan_chucking *c = &bench.plan->chucking[0];
    size_t recess = 0, hub = 0;
    for (size_t k = 0; k < c->n_ops; k++) {
        if (c->op[k].kind == SW_OP_RECESS)
            recess = k;
        if (c->op[k].kind == SW_OP_FINISH && strstr(c->op[k].what, "hub"))
            hub = k;
    }
    assert_true(recess > 0 && recess < hub);
    sw_bench_free(&bench);
}

/* Row 22 of the handbook: EI = 1, bush at L = 6, overhang c = 2, bush and collet as pins:
 * c^2 (L + c)/(3 EI) = 10.66667 (Gere and Goodno, appendix, overhang case, from memory; the same
 * integral by hand). */
static void the_root_in_a_bush_is_that_of_a_bar_on_two_pins(void **state)
{
    (void)state;
    struct sw_bench bench;
    struct sw_machine machine;
    load(&bench, &machine, "fenmoor-43", 1);
    const double d = 2, modulus = 206000, inertia = pi / 64 * d * d * d * d;
    machine.bush.collet_gap.value = 1;
    machine.bush.give.value = 0;
    struct sw_material material = {.elastic_modulus = {.value = modulus}};
    const struct sw_stock stock = {.is = &material};
    const struct sw_staff staff = {.total = 3};
    struct sw_plan_chucking now = {.stock = &stock, .rod_diameter = d, .in_bush = true};
    const struct sw_planner p = {
        .shop = bench.shop, .staff = &staff, .now = &now, .overhang = 1, .bush_gap = 0.4};
    const struct sw_bar_root root = sw_support_bush(&p);
    const struct sw_bar_material steel = {modulus, 0.3};
    const struct sw_bar_piece front = {0, 2, d, d};
    struct sw_bar bar = {0};
    assert_int_equal(sw_bar_build(&bar, &front, 1, &steel, &root, SW_BAR_BENDING, &bench.ctx),
                     SW_OK);
    assert_near(sw_bar_compliance(&bar, 2, 2) * modulus * inertia, 10.66667, 1e-5);
    assert_near(sw_support_root(&p, -1.5), -1.9, 1e-12);
    sw_bench_free(&bench);
}

static void no_tool_stands_nearer_to_the_bush_than_it_is_wide(void **state)
{
    (void)state;
    struct sw_bench bench;
    struct sw_machine machine;
    load(&bench, &machine, "fenmoor-43", 4);
    const struct sw_fitted_tool *fitted = bench.shop->tools.at;
    for (size_t i = 0; i < bench.shop->tools.n; i++) {
        double gap = 0;
        assert_int_equal(sw_support_gap(&gap, &machine, fitted[i].is, &bench.ctx), SW_OK);
        assert_true(gap >= fitted[i].is->nose_radius.value + SW_PLAN_NOSE_GAP - 1e-9);
    }
    sw_bench_free(&bench);
}

static void refused(struct sw_bench *bench, const char *code)
{
    assert_int_equal(sw_bench_plan(bench), SW_CANNOT);
    const struct sw_diag_record *record =
        sw_diag_at(bench->ctx.diag, sw_diag_n(bench->ctx.diag) - 1);
    assert_string_equal(record->code, code);
    assert_non_null(record->hint);
    sw_bench_free(bench);
}

static void scheme_and_machine_have_to_agree(void **state)
{
    (void)state;
    struct sw_bench bench;
    struct sw_machine machine;
    sw_bench_load(&bench, "fenmoor-43");
    bench.job->scheme = (struct sw_choice){.value = SW_SCHEME_BUSH, .given = true};
    refused(&bench, "plan.no-bush");
    load(&bench, &machine, "fenmoor-43", 4);
    bench.job->scheme = (struct sw_choice){.value = SW_SCHEME_REVERSED, .given = true};
    refused(&bench, "plan.bush");
    load(&bench, &machine, "fenmoor-43", 4);
    bench.job->pivot_order = (struct sw_choice){.value = SW_PIVOTS_LAST, .given = true};
    refused(&bench, "plan.bush-order");
    load(&bench, &machine, "fenmoor-43", 4);
    machine.bush.comes_out.value = 0;
    refused(&bench, "plan.bush-stays");
    load(&bench, &machine, "fenmoor-43", 0.1);
    refused(&bench, "plan.window");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(four_tenths_of_the_land_may_be_drawn_back),
        cmocka_unit_test(the_bush_is_never_left_with_less_than_half_its_land),
        cmocka_unit_test(a_zone_longer_than_the_window_is_cut_in_slices),
        cmocka_unit_test(pivots_and_cones_are_finished_on_whole_bar),
        cmocka_unit_test(a_recess_is_cut_before_the_bar_is_fed_on),
        cmocka_unit_test(the_root_in_a_bush_is_that_of_a_bar_on_two_pins),
        cmocka_unit_test(no_tool_stands_nearer_to_the_bush_than_it_is_wide),
        cmocka_unit_test(scheme_and_machine_have_to_agree),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
