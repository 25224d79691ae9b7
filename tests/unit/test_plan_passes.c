/* What every plan keeps, whatever the staff: no nose nearer to the staff than its radius, last cuts
 * that touch it, critical sizes measured before their last cut. */
#include "plan/plan_int.h"
#include "support/bench.h"

#include <math.h>

static const char *const samples[] = {"fenmoor-43", "wren-8", "tollgate", "millrace", "harrow-2p"};
enum { N_SAMPLES = sizeof samples / sizeof *samples, STEPS = 40 };

/* The whole turned piece in the frame of a chucking. */
static struct sw_contour whole(struct sw_bench *bench, const struct sw_plan_chucking *c)
{
    struct sw_contour out;
    const bool is_upper = c->end == SW_SIDE_UPPER;
    assert_int_equal(sw_contour_place(&out, &bench->shape->turned, is_upper ? -1 : 1,
                                      is_upper ? 0 : -bench->staff->total, &bench->ctx),
                     SW_OK);
    return out;
}

static double nearest_on(const struct sw_pass *pass, const struct sw_contour *turned)
{
    double nearest = HUGE_VAL;
    for (size_t i = 0; i < pass->run.n; i++)
        for (int k = 0; k <= STEPS; k++) {
            const struct sw_pt p = sw_seg_at(&pass->run.at[i], (double)k / STEPS);
            nearest = fmin(nearest, sw_contour_distance(turned, p, NULL));
        }
    return nearest;
}

static void no_nose_comes_nearer_than_its_radius(void **state)
{
    (void)state;
    for (size_t s = 0; s < N_SAMPLES; s++) {
        struct sw_bench bench;
        sw_bench_load(&bench, samples[s]);
        assert_int_equal(sw_bench_plan(&bench), SW_OK);
        for (size_t i = 0; i < 2; i++) {
            const struct sw_plan_chucking *c = &bench.plan->chucking[i];
            const struct sw_contour turned = whole(&bench, c);
            for (size_t k = 0; k < c->n_ops; k++)
                for (size_t n = 0; n < c->op[k].n_passes; n++) {
                    /* a contour is drawn in by what the work gives way */
                    const double nose = c->op[k].tool->nose_radius.value - c->op[k].drawn_in_most;
                    const double nearest = nearest_on(&c->op[k].pass[n], &turned);
                    if (nearest < nose - 1e-6)
                        print_error("%s, %s, %s, pass %zu\n", samples[s], c->name, c->op[k].what,
                                    n);
                    assert_true(nearest >= nose - 1e-6);
                }
        }
        sw_bench_free(&bench);
    }
}

static void finish_passes_touch_the_staff(void **state)
{
    (void)state;
    for (size_t s = 0; s < N_SAMPLES; s++) {
        struct sw_bench bench;
        sw_bench_load(&bench, samples[s]);
        assert_int_equal(sw_bench_plan(&bench), SW_OK);
        for (size_t i = 0; i < 2; i++) {
            const struct sw_plan_chucking *c = &bench.plan->chucking[i];
            const struct sw_contour turned = whole(&bench, c);
            for (size_t k = 0; k < c->n_ops; k++) {
                const struct sw_op *op = &c->op[k];
                const double leave = op->kind == SW_OP_SEMI ? op->depth : 0;
                if (op->kind != SW_OP_FINISH && op->kind != SW_OP_SEMI)
                    continue;
                double nearest = HUGE_VAL;
                for (size_t n = 0; n < op->n_passes; n++)
                    nearest = fmin(nearest, nearest_on(&op->pass[n], &turned));
                const double form = op->tool->nose_radius.value + leave;
                assert_true(nearest >= form - op->drawn_in_most - 1e-6);
                assert_true(nearest <= form - op->drawn_in_least + 1e-6);
                assert_true(op->drawn_in_most < 0.001);
            }
        }
        sw_bench_free(&bench);
    }
}

/* Fed straight in between two sides the whole edge pushes; sloping in, a few microns of it do. */
static void a_tip_is_entered_along_a_slope(void **state)
{
    (void)state;
    for (size_t s = 0; s < N_SAMPLES; s++) {
        struct sw_bench bench;
        sw_bench_load(&bench, samples[s]);
        assert_int_equal(sw_bench_plan(&bench), SW_OK);
        size_t n_tips = 0;
        for (size_t i = 0; i < 2; i++) {
            const struct sw_plan_chucking *c = &bench.plan->chucking[i];
            for (size_t k = 0; k < c->n_ops; k++)
                for (size_t n = 0; n < c->op[k].n_passes; n++) {
                    const struct sw_contour *run = &c->op[k].pass[n].run;
                    const bool is_contour =
                        c->op[k].kind == SW_OP_SEMI || c->op[k].kind == SW_OP_FINISH;
                    if (!is_contour || run->at[run->n - 1].b.r > 1e-6)
                        continue;
                    const struct sw_pt a = run->at[0].a, b = run->at[0].b;
                    assert_true(b.z - a.z > 2 * (a.r - b.r));
                    n_tips++;
                }
        }
        assert_true(n_tips >= 4); /* two tips, each semi-finished and finished */
        sw_bench_free(&bench);
    }
}

/* A quarter of a circle of radius R in the end of a bar whose edge stands E beyond it on both
 * sides: from the middle of the arc to the edge it is (R + E) sqrt 2 - R (elementary). */
static void a_run_over_a_tip_takes_most_where_the_edge_of_the_bar_stands(void **state)
{
    (void)state;
    struct sw_ctx ctx = {sw_arena_new(), sw_diag_new()};
    const double r = 0.1, nose = 0.02, e = 0.01;
    const struct sw_pt centre = {-r, 0};
    struct sw_contour locus = {0};
    assert_true(sw_contour_add(
        ctx.arena, &locus,
        sw_seg_line((struct sw_pt){-0.5, r + nose}, (struct sw_pt){-r, r + nose}, SW_TAG_NONE)));
    assert_true(sw_contour_add(ctx.arena, &locus,
                               sw_seg_arc((struct sw_pt){-r, r + nose}, (struct sw_pt){nose, 0},
                                          centre, -1, SW_TAG_NONE)));
    const struct sw_reach reach = {.locus = &locus, .z_in = -0.5, .z_out = nose, .is_tip = true};
    assert_near(sw_plan_tip_depth(&reach, nose, (struct sw_pt){e, r + e}), (r + e) * sqrt(2) - r,
                1e-9);
    sw_diag_free(ctx.diag);
    sw_arena_free(ctx.arena);
}

static void a_critical_size_is_measured_one_depth_before_its_last_cut(void **state)
{
    (void)state;
    for (size_t s = 0; s < N_SAMPLES; s++) {
        struct sw_bench bench;
        sw_bench_load(&bench, samples[s]);
        assert_int_equal(sw_bench_plan(&bench), SW_OK);
        size_t n_pivots = 0;
        for (size_t i = 0; i < 2; i++) {
            const struct sw_plan_chucking *c = &bench.plan->chucking[i];
            for (size_t k = 0; k < c->n_ops; k++) {
                const struct sw_op *op = &c->op[k];
                if (op->kind != SW_OP_MEASURE)
                    continue;
                assert_true(k > 0 && k + 1 < c->n_ops);
                assert_int_equal(op[-1].kind, SW_OP_SEMI);
                assert_int_equal(op[1].kind, SW_OP_FINISH);
                assert_int_equal(op[1].correction, op->correction);
                /* equal depth and feed: equal spring */
                assert_near(op[-1].depth, op[1].depth, 0);
                assert_near(op[-1].feed, op[1].feed, 0);
                assert_near(op[-1].speed, op[1].speed, 0);
                assert_ptr_equal(op[-1].tool, op[1].tool);
                assert_near(op->expected_diameter - op->target_diameter, 2 * op[1].depth, 1e-12);
                n_pivots += bench.staff->section[op->section].kind == SW_SECTION_PIVOT;
            }
        }
        assert_int_equal(n_pivots, 2);
        sw_bench_free(&bench);
    }
}

static void cuts_across_tell_what_they_do_and_keep_the_safety(void **state)
{
    (void)state;
    for (size_t s = 0; s < N_SAMPLES; s++) {
        struct sw_bench bench;
        sw_bench_load(&bench, samples[s]);
        assert_int_equal(sw_bench_plan(&bench), SW_OK);
        const double safety = bench.shop->safety.value;
        size_t n_told = 0;
        for (size_t i = 0; i < 2; i++) {
            const struct sw_plan_chucking *c = &bench.plan->chucking[i];
            for (size_t k = 0; k < c->n_ops; k++) {
                const struct sw_op *op = &c->op[k];
                if (op->kind != SW_OP_FACE && op->kind != SW_OP_GROOVE)
                    continue;
                for (size_t n = 0; n < op->n_passes; n++) {
                    const struct sw_pass_load *load = &op->pass[n].load;
                    assert_true(load->force_high > load->force_low);
                    assert_true(load->bend > 0);
                    assert_true(load->stress > 0);
                    assert_true(load->stress <= c->stock->is->yield.value / safety);
                    n_told++;
                }
            }
        }
        assert_true(n_told >= 6);
        sw_bench_free(&bench);
    }
}

static void pivots_come_last_when_the_job_says_so(void **state)
{
    (void)state;
    struct sw_bench bench;
    sw_bench_load(&bench, "fenmoor-43");
    bench.job->pivot_order.value = SW_PIVOTS_LAST;
    bench.job->pivot_order.given = true;
    assert_int_equal(sw_bench_plan(&bench), SW_OK);
    for (size_t i = 0; i < 2; i++) {
        const struct sw_plan_chucking *c = &bench.plan->chucking[i];
        size_t last_seat = 0, pivot = 0;
        for (size_t k = 0; k < c->n_ops; k++) {
            if (c->op[k].kind != SW_OP_FINISH)
                continue;
            const struct sw_section *is = &bench.staff->section[c->op[k].section];
            if (is->kind == SW_SECTION_PIVOT)
                pivot = k;
            if (is->kind == SW_SECTION_SEAT || is->kind == SW_SECTION_HUB)
                last_seat = k;
        }
        assert_true(pivot > last_seat);
    }
    sw_bench_free(&bench);
}

static void either_side_may_come_first(void **state)
{
    (void)state;
    struct sw_bench bench;
    sw_bench_load(&bench, "fenmoor-43");
    bench.job->first_side.value = SW_SIDE_LOWER;
    assert_int_equal(sw_bench_plan(&bench), SW_OK);
    assert_int_equal(bench.plan->chucking[0].end, SW_SIDE_LOWER);
    assert_string_equal(bench.plan->chucking[1].grips, "roller seat");
    sw_bench_free(&bench);
}

static void a_sizing_length_is_measured_and_faced_away(void **state)
{
    (void)state;
    struct sw_bench bench;
    sw_bench_load(&bench, "fenmoor-43");
    bench.job->sizing_length.value = 0.4;
    assert_int_equal(sw_bench_plan(&bench), SW_OK);
    const struct sw_plan_chucking *c = &bench.plan->chucking[0];
    size_t measured = 0, faced = 0, pivot = 0;
    for (size_t k = 0; k < c->n_ops; k++) {
        if (c->op[k].kind == SW_OP_MEASURE && measured == 0)
            measured = k;
        if (c->op[k].kind == SW_OP_FACE)
            faced = k;
        if (c->op[k].kind == SW_OP_FINISH && c->op[k].section == 0)
            pivot = k;
    }
    assert_true(0 < measured && measured < faced && faced < pivot);
    assert_true(c->op[measured].measure_z > bench.shape->z_lower - bench.staff->total);
    assert_int_equal(c->op[pivot].correction, c->op[measured].correction);
    sw_bench_free(&bench);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_nose_comes_nearer_than_its_radius),
        cmocka_unit_test(finish_passes_touch_the_staff),
        cmocka_unit_test(a_tip_is_entered_along_a_slope),
        cmocka_unit_test(a_run_over_a_tip_takes_most_where_the_edge_of_the_bar_stands),
        cmocka_unit_test(a_critical_size_is_measured_one_depth_before_its_last_cut),
        cmocka_unit_test(cuts_across_tell_what_they_do_and_keep_the_safety),
        cmocka_unit_test(pivots_come_last_when_the_job_says_so),
        cmocka_unit_test(either_side_may_come_first),
        cmocka_unit_test(a_sizing_length_is_measured_and_faced_away),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
