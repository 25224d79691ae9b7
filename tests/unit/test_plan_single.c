/* Both sides of a staff in one grip: what hangs beyond a cut, the neck it hangs on, and the choice
 * between one grip and two. */
#include <math.h>
#include <string.h>

#include "geom/tol.h"
#include "mech/force.h"
#include "plan/hang.h"
#include "plan/single.h"
#include "plan/ways.h"
#include "support/bench.h"

static const double pi = 3.14159265358979323846;
static const char *const jobs[] = {"job-single.yaml", "job-single-by-hand.yaml"};
enum { N_JOBS = sizeof jobs / sizeof *jobs };

static bool has_code(const struct sw_ctx *ctx, const char *code)
{
    for (size_t i = 0; i < sw_diag_n(ctx->diag); i++)
        if (strcmp(sw_diag_at(ctx->diag, i)->code, code) == 0)
            return true;
    return false;
}

static size_t find_op(const struct sw_plan_chucking *c, const char *what)
{
    for (size_t i = 0; i < c->n_ops; i++)
        if (strstr(c->op[i].what, what) == c->op[i].what)
            return i;
    return SIZE_MAX;
}

/* The nearest the holder that the surface left by an operation goes: its nose centre by a nose. */
static double furthest_in(const struct sw_op *op)
{
    double z = HUGE_VAL;
    for (size_t i = 0; i < op->n_passes; i++)
        z = fmin(z, sw_contour_box(&op->pass[i].run).z0);
    return z;
}

static void behind_the_hub_each_zone_is_finished_before_the_next_nearer_the_holder(void **state)
{
    (void)state;
    for (size_t j = 0; j < N_JOBS; j++) {
        struct sw_bench bench;
        sw_bench_load_job(&bench, "fenmoor-43", jobs[j]);
        assert_int_equal(sw_bench_plan(&bench), SW_OK);
        const struct sw_plan_chucking *c = &bench.plan->chucking[0];
        const size_t trough = find_op(c, "rough the other side behind the hub");
        assert_true(trough < c->n_ops);
        double before = HUGE_VAL;
        size_t n = 0;
        for (size_t i = trough + 1; i < c->n_ops; i++) {
            if (c->op[i].kind != SW_OP_FINISH)
                continue;
            n++;
            assert_true(furthest_in(&c->op[i]) < before + SW_TOL_SLIVER);
            before = furthest_in(&c->op[i]);
            assert_int_equal(c->op[i].tool->hand.value, SW_HAND_LEFT);
        }
        assert_true(n > 8);
        assert_true(strstr(c->op[c->n_ops - 1].what, "finish neck") != NULL);
        sw_bench_free(&bench);
    }
}

static void the_tip_is_formed_in_a_second_chucking_or_by_hand(void **state)
{
    (void)state;
    static const size_t n_chuckings[N_JOBS] = {2, 1};
    for (size_t j = 0; j < N_JOBS; j++) {
        struct sw_bench bench;
        sw_bench_load_job(&bench, "fenmoor-43", jobs[j]);
        assert_int_equal(sw_bench_plan(&bench), SW_OK);
        assert_int_equal(bench.plan->n_chuckings, n_chuckings[j]);
        assert_near(sw_plan_pivot_runout(bench.plan), 0, 0);
        assert_int_equal(sw_plan_runout(bench.plan) > 0, n_chuckings[j] == 2);
        const struct sw_plan_chucking *last = &bench.plan->chucking[n_chuckings[j] - 1];
        if (n_chuckings[j] == 2)
            for (size_t i = 0; i < last->n_ops; i++)
                assert_true(last->op[i].kind == SW_OP_FACE ||
                            strcmp(last->op[i].what, "form the tip of the lower pivot") == 0);
        sw_bench_free(&bench);
    }
}

static void no_pass_strains_the_work_beyond_the_shops_safety(void **state)
{
    (void)state;
    for (size_t j = 0; j < N_JOBS; j++) {
        struct sw_bench bench;
        sw_bench_load_job(&bench, "fenmoor-43", jobs[j]);
        assert_int_equal(sw_bench_plan(&bench), SW_OK);
        const double most =
            bench.plan->chucking[0].stock->is->yield.value / bench.shop->safety.value;
        assert_true(sw_way_of(bench.plan).stress <= most);
        sw_bench_free(&bench);
    }
}

/* The neck's last cut once more by the flexure formula alone: a cantilever as long as the neck, its
 * load at the far end. No less than the planner says may come out, since the slope it hangs on is
 * thicker than the neck, and no more than twice that. */
static void the_neck_bears_its_last_cut_by_the_flexure_formula(void **state)
{
    (void)state;
    struct sw_bench bench;
    sw_bench_load_job(&bench, "fenmoor-43", jobs[0]);
    assert_int_equal(sw_bench_plan(&bench), SW_OK);
    const struct sw_plan_chucking *c = &bench.plan->chucking[0];
    const struct sw_op *op = &c->op[c->n_ops - 1];
    const struct sw_material *is = c->stock->is;
    const struct sw_force_case of = {
        .edge = {op->tool->nose_radius.value, op->tool->cutting_angle.value},
        .edge_radius = op->tool->edge_radius.value,
        .specific_force = is->specific_force.value,
        .exponent = is->force_exponent.value,
        .least_chip = is->least_chip.value,
        .speed = op->speed * pi * c->neck.diameter / 1000,
        .factors = {1, 1, 1, 1},
        .constants = sw_force_default_constants()};
    const struct sw_force force = sw_force_turn(&of, op->depth, op->feed).high;
    const double moment = hypot(force.cutting, force.thrust) * c->neck.length;
    const double stress = 32 * moment / (pi * pow(c->neck.diameter, 3));
    assert_true(stress > 0.7 * c->neck.cut_stress && stress < 2 * c->neck.cut_stress);
    sw_bench_free(&bench);
}

/* Gravity bends the neck by the weight of the staff, whose mass is that of its solid: 16.66 mg
 * (Pappus, as on the sheet), a little more with what is left for stone and burnisher. */
static void what_hangs_on_the_neck_weighs_what_the_staff_weighs(void **state)
{
    (void)state;
    struct sw_bench bench;
    sw_bench_load_job(&bench, "fenmoor-43", jobs[0]);
    assert_int_equal(sw_bench_plan(&bench), SW_OK);
    const struct sw_plan_neck *neck = &bench.plan->chucking[0].neck;
    assert_true(neck->carries_mg > 16.66 && neck->carries_mg < 17.5);
    /* No lever is longer than the staff with its neck. */
    const double arm = bench.staff->total + 0.3;
    const double most =
        32 * neck->carries_mg * 1e-6 * 9.80665 * arm / (pi * pow(neck->diameter, 3));
    assert_true(neck->weight_stress > 0.2 * most && neck->weight_stress < most);
    sw_bench_free(&bench);
}

/* A rigid body of that mass at the end of a thin neck as a spring: omega^2 = 3 E I / (m a^2 l) for
 * a neck of length l much shorter than the arm a to its centre of mass (a bending hinge; rotation
 * of the body about it with its moment of inertia m a^2 at least). */
static void it_whirls_as_a_body_on_a_bending_hinge_does(void **state)
{
    (void)state;
    struct sw_bench bench;
    sw_bench_load_job(&bench, "fenmoor-43", jobs[0]);
    assert_int_equal(sw_bench_plan(&bench), SW_OK);
    const struct sw_plan_chucking *c = &bench.plan->chucking[0];
    const double inertia = pi / 64 * pow(c->neck.diameter, 4);
    const double hinge = c->stock->is->elastic_modulus.value * inertia / c->neck.length;
    const double arm = bench.staff->total / 2, mass = c->neck.carries_mg * 1e-9;
    const double rpm = 60 / (2 * pi) * sqrt(hinge / (mass * arm * arm));
    /* The pivot and the cone beside it give as well, and the hub lies a little off the middle. */
    assert_true(c->neck.critical_speed < rpm && c->neck.critical_speed > 0.3 * rpm);
    assert_true(c->neck.most_speed <= 0.75 * c->neck.critical_speed);
    sw_bench_free(&bench);
}

static void a_neck_is_as_stout_as_asked_within_what_holds_and_breaks(void **state)
{
    (void)state;
    static const struct {
        double neck;
        const char *code; /* NULL: it is made */
    } cases[] = {{0.0885, NULL}, {0.05, "plan.neck-weak"}, {0.11, "plan.neck"}, {2, "plan.neck"}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct sw_bench bench;
        sw_bench_load_job(&bench, "fenmoor-43", jobs[1]);
        bench.job->neck = (struct sw_number){.value = cases[i].neck, .given = true};
        const enum sw_status status = sw_bench_plan(&bench);
        assert_int_equal(status, cases[i].code ? SW_CANNOT : SW_OK);
        if (cases[i].code)
            assert_true(has_code(&bench.ctx, cases[i].code));
        else
            assert_near(bench.plan->chucking[0].neck_diameter, cases[i].neck, 1e-12);
        sw_bench_free(&bench);
    }
}

static void what_no_tool_of_one_grip_reaches_is_refused(void **state)
{
    (void)state;
    struct sw_bench bench;
    sw_bench_load_job(&bench, "fenmoor-43", jobs[0]);
    bench.job->first_side.value = SW_SIDE_LOWER; /* the recess then lies behind the hub */
    assert_int_equal(sw_bench_plan(&bench), SW_CANNOT);
    assert_true(has_code(&bench.ctx, "plan.single-inner"));
    sw_bench_free(&bench);
    sw_bench_load_job(&bench, "fenmoor-43", jobs[0]);
    struct sw_fitted_tool *fitted = bench.shop->tools.at;
    size_t n = 0;
    for (size_t i = 0; i < bench.shop->tools.n; i++)
        if (fitted[i].is->kind.value != SW_TOOL_POINT || fitted[i].is->hand.value == SW_HAND_RIGHT)
            fitted[n++] = fitted[i];
    bench.shop->tools.n = n;
    assert_int_equal(sw_bench_plan(&bench), SW_CANNOT);
    assert_true(has_code(&bench.ctx, "plan.single-tools"));
    sw_bench_free(&bench);
}

static void a_shop_seen_twice_in_a_mirror_is_itself(void **state)
{
    (void)state;
    struct sw_bench bench;
    struct sw_shop once, twice;
    sw_bench_load_job(&bench, "fenmoor-43", jobs[0]);
    assert_int_equal(sw_single_mirror(&once, bench.shop, &bench.ctx), SW_OK);
    assert_int_equal(sw_single_mirror(&twice, &once, &bench.ctx), SW_OK);
    const struct sw_fitted_tool *is = bench.shop->tools.at, *seen = once.tools.at,
                                *back = twice.tools.at;
    for (size_t i = 0; i < bench.shop->tools.n; i++) {
        double low, high, low_seen, high_seen;
        assert_memory_equal(is[i].is, back[i].is, sizeof *is[i].is);
        sw_tool_flanks(&low, &high, is[i].is);
        sw_tool_flanks(&low_seen, &high_seen, seen[i].is);
        if (is[i].is->kind.value != SW_TOOL_POINT)
            continue;
        assert_near(low_seen, pi - high, 1e-12);
        assert_near(high_seen, pi - low, 1e-12);
    }
    sw_bench_free(&bench);
}

static struct sw_plan_way way(enum sw_scheme scheme, double seconds, double runout, double stress)
{
    return (struct sw_plan_way){.scheme = scheme,
                                .is_made = true,
                                .seconds = seconds,
                                .runout = runout,
                                .stress = stress,
                                .n_chuckings = 2};
}

static void of_two_ways_risk_counts_before_true_running_and_that_before_time(void **state)
{
    (void)state;
    struct sw_ctx ctx = {sw_arena_new(), sw_diag_new()};
    const struct {
        struct sw_plan_way way[SW_PLAN_WAYS];
        size_t taken;
        const char *why;
    } cases[] = {
        {{way(SW_SCHEME_REVERSED, 200, 0.003, 700), way(SW_SCHEME_SINGLE, 300, 0, 700)},
         0,
         "100 s"},
        {{way(SW_SCHEME_REVERSED, 300, 0.003, 700), way(SW_SCHEME_SINGLE, 200, 0, 700)},
         1,
         "100 s"},
        {{way(SW_SCHEME_REVERSED, 200, 0.009, 700), way(SW_SCHEME_SINGLE, 300, 0, 700)},
         1,
         "9.0 um"},
        {{way(SW_SCHEME_REVERSED, 200, 0.009, 700), way(SW_SCHEME_SINGLE, 300, 0, 800)},
         0,
         "800 MPa"},
        {{way(SW_SCHEME_REVERSED, 300, 0.003, 800), way(SW_SCHEME_SINGLE, 200, 0, 900)},
         1,
         "100 s"},
        {{way(SW_SCHEME_REVERSED, 200, 0.003, 700), way(SW_SCHEME_SINGLE, 199.5, 0, 700)},
         0,
         "alike"},
        {{{.scheme = SW_SCHEME_REVERSED}, way(SW_SCHEME_SINGLE, 300, 0, 900)}, 1, "cannot be made"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const char *why = NULL;
        assert_int_equal(sw_way_choose(&why, cases[i].way, 750, &ctx), cases[i].taken);
        assert_non_null(why);
        assert_non_null(strstr(why, cases[i].why));
        assert_non_null(strstr(why, cases[i].taken ? "`single`" : "`reversed`"));
    }
    sw_diag_free(ctx.diag);
    sw_arena_free(ctx.arena);
}

static void asked_for_the_better_way_both_are_planned_and_told(void **state)
{
    (void)state;
    struct sw_bench bench;
    sw_bench_load_job(&bench, "fenmoor-43", jobs[1]);
    bench.job->scheme.value = SW_SCHEME_AUTO;
    assert_int_equal(sw_bench_plan(&bench), SW_OK);
    assert_int_equal(bench.plan->n_ways, 2);
    assert_non_null(bench.plan->way_why);
    for (size_t i = 0; i < 2; i++)
        assert_true(bench.plan->way[i].is_made && bench.plan->way[i].seconds > 60);
    assert_near(bench.plan->way[1].runout, 0, 0);
    assert_true(bench.plan->way[0].runout > 0.002);
    assert_int_equal(bench.plan->job->scheme.value, SW_SCHEME_REVERSED);
    sw_bench_free(&bench);
}

/* A brass holder that runs out by 0.009 spoils what is turned round, and nothing of one grip. */
static void where_the_second_grip_runs_out_too_far_one_grip_is_taken(void **state)
{
    (void)state;
    struct sw_bench bench;
    sw_bench_load_job(&bench, "fenmoor-43", jobs[1]);
    bench.job->scheme.value = SW_SCHEME_AUTO;
    struct sw_holder holder[8];
    const struct sw_holder *list[8];
    for (size_t i = 0; i < bench.shop->n_holders; i++) {
        holder[i] = *bench.shop->holders[i];
        holder[i].runout.value += 0.006;
        list[i] = &holder[i];
    }
    bench.shop->holders = list;
    assert_int_equal(sw_bench_plan(&bench), SW_OK);
    assert_int_equal(bench.plan->job->scheme.value, SW_SCHEME_SINGLE);
    assert_int_equal(bench.plan->n_chuckings, 1);
    sw_bench_free(&bench);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(behind_the_hub_each_zone_is_finished_before_the_next_nearer_the_holder),
        cmocka_unit_test(the_tip_is_formed_in_a_second_chucking_or_by_hand),
        cmocka_unit_test(no_pass_strains_the_work_beyond_the_shops_safety),
        cmocka_unit_test(the_neck_bears_its_last_cut_by_the_flexure_formula),
        cmocka_unit_test(what_hangs_on_the_neck_weighs_what_the_staff_weighs),
        cmocka_unit_test(it_whirls_as_a_body_on_a_bending_hinge_does),
        cmocka_unit_test(a_neck_is_as_stout_as_asked_within_what_holds_and_breaks),
        cmocka_unit_test(what_no_tool_of_one_grip_reaches_is_refused),
        cmocka_unit_test(a_shop_seen_twice_in_a_mirror_is_itself),
        cmocka_unit_test(of_two_ways_risk_counts_before_true_running_and_that_before_time),
        cmocka_unit_test(asked_for_the_better_way_both_are_planned_and_told),
        cmocka_unit_test(where_the_second_grip_runs_out_too_far_one_grip_is_taken),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
