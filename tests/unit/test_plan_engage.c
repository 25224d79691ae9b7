/* What passes are said to take from what really stands, on a plain bar where it is known. */
#include "plan/engage.h"

#include <math.h>
#include <string.h>

#include "mech/force.h"
#include "mech/speed.h"
#include "plan/strength.h"
#include "support/bench.h"

static const double r_bar = 0.5, z_in = -3, z_pass = -0.5, feed = 0.005;

struct stand {
    struct sw_bench bench;
    struct sw_plan_chucking now;
    struct sw_planner p;
    struct sw_op op;
};

/* A planner before a plain bar, and an operation of a pointed tool without passes. */
static void set_up(struct stand *s)
{
    memset(s, 0, sizeof *s);
    sw_bench_load(&s->bench, "fenmoor-43");
    assert_int_equal(sw_bench_plan(&s->bench), SW_OK);
    struct sw_ctx *ctx = &s->bench.ctx;
    s->now = s->bench.plan->chucking[0];
    s->p = (struct sw_planner){.job = s->bench.job,
                               .shop = s->bench.shop,
                               .shape = s->bench.shape,
                               .staff = s->bench.staff,
                               .ctx = ctx,
                               .now = &s->now,
                               .explains = true,
                               .overhang = 2};
    const struct sw_pt a = {z_in, r_bar}, b = {0, r_bar};
    assert_true(sw_contour_add(ctx->arena, &s->p.stock, sw_seg_line(a, b, SW_TAG_NONE)));
    for (size_t i = 0; i < s->now.n_ops && !s->op.tool; i++)
        if (s->now.op[i].kind == SW_OP_SEMI)
            s->op = s->now.op[i];
    assert_non_null(s->op.tool);
    s->op.kind = SW_OP_ROUGH;
    s->op.pass = NULL;
    s->op.n_passes = 0;
    s->op.feed = feed;
}

static void add(struct stand *s, struct sw_pt from, struct sw_pt a, struct sw_pt b, bool in_air)
{
    struct sw_pass pass = {.from = from, .enters_in_air = in_air};
    struct sw_ctx *ctx = &s->bench.ctx;
    pass.load.bend = (double)NAN;
    assert_true(sw_contour_add(ctx->arena, &pass.run, sw_seg_line(a, b, SW_TAG_NONE)));
    assert_int_equal(sw_plan_add_pass(&s->op, pass, ctx), SW_OK);
}

/* Along the axis from the free end, leaving a radius R. Each ends before the fillet that the nose
 * of the one before left. */
static void add_level(struct stand *s, double r)
{
    const double nose = s->op.tool->nose_radius.value;
    const struct sw_pt out = {0.2, r + nose};
    const struct sw_pt in = {z_pass + 0.1 * (double)s->op.n_passes, r + nose};
    add(s, out, out, in, true);
}

static struct sw_force_band turned(const struct stand *s, double r, double depth)
{
    const struct sw_force_case of =
        sw_strength_force(&s->p, s->op.tool, sw_speed_surface(s->op.speed, 2 * r));
    return sw_force_turn(&of, depth, feed);
}

static double whole(const struct sw_force *f)
{
    return sqrt(f->cutting * f->cutting + f->thrust * f->thrust + f->feed * f->feed);
}

static void a_level_takes_what_the_one_before_it_left(void **state)
{
    (void)state;
    static const double r[] = {0.46, 0.45, 0.40};
    struct stand s;
    set_up(&s);
    for (size_t i = 0; i < 3; i++)
        add_level(&s, r[i]);
    assert_int_equal(sw_engage_tell(&s.op, &s.p, NULL), SW_OK);
    double before = r_bar;
    for (size_t i = 0; i < 3; i++) {
        const struct sw_pass_load *load = &s.op.pass[i].load;
        const struct sw_force_band band = turned(&s, r[i], before - r[i]);
        assert_near(load->depth, before - r[i], 0.01 * (before - r[i]));
        assert_near(load->force_nominal, whole(&band.nominal), 0.02 * (whole(&band.nominal)));
        assert_near(load->force_high, whole(&band.high), 0.02 * (whole(&band.high)));
        before = r[i];
    }
    /* More force on less metal bends more. */
    assert_true(s.op.pass[2].load.bend > s.op.pass[1].load.bend);
    assert_true(s.op.pass[2].load.stress > s.op.pass[1].load.stress);
    sw_bench_free(&s.bench);
}

static void a_pass_through_air_pushes_nothing(void **state)
{
    (void)state;
    struct stand s;
    set_up(&s);
    add_level(&s, 0.45);
    add_level(&s, 0.45);
    assert_int_equal(sw_engage_tell(&s.op, &s.p, NULL), SW_OK);
    assert_true(s.op.pass[0].load.force_high > 0);
    assert_true(s.op.pass[1].load.force_high == 0);
    assert_true(s.op.pass[1].load.bend == 0);
    assert_true(s.op.pass[1].load.stress == 0);
    sw_bench_free(&s.bench);
}

/* A nose fed straight into a plain bar stands in metal over its chord, before its flanks do, and on
 * both sides work stands: all of its edge pushes ahead. */
static void a_plunge_pushes_with_all_its_width(void **state)
{
    (void)state;
    struct stand s;
    set_up(&s);
    const double nose = s.op.tool->nose_radius.value;
    const struct sw_pt over = {-1, r_bar + nose}, foot = {-1, r_bar + 0.7 * nose};
    add(&s, over, over, foot, true);
    assert_int_equal(sw_engage_tell(&s.op, &s.p, NULL), SW_OK);
    /* chord of the nose at the surface of the bar, at the last place that is looked at */
    const double deep = 0.3 * nose, most = 2 * sqrt(2 * nose * deep - deep * deep);
    const struct sw_force_case of =
        sw_strength_force(&s.p, s.op.tool, sw_speed_surface(s.op.speed, 2 * (r_bar - deep)));
    const struct sw_force_band band = sw_force_part(&of, most, feed);
    const struct sw_pass_load *load = &s.op.pass[0].load;
    assert_true(load->force_nominal < 1.02 * whole(&band.nominal));
    assert_true(load->force_nominal > 0.85 * whole(&band.nominal));
    sw_bench_free(&s.bench);
}

/* A run along the axis over a stair of two levels takes nothing where the deeper one was, and the
 * whole stair behind it. */
static void a_run_over_a_step_takes_the_step(void **state)
{
    (void)state;
    struct stand s;
    set_up(&s);
    const double nose = s.op.tool->nose_radius.value;
    add_level(&s, 0.45);
    const struct sw_pt out = {0.2, 0.42 + nose}, middle = {-0.4, 0.42 + nose};
    add(&s, out, out, middle, true);
    add(&s, out, out, (struct sw_pt){-0.48, 0.42 + nose}, true);
    assert_int_equal(sw_engage_tell(&s.op, &s.p, NULL), SW_OK);
    assert_near(s.op.pass[2].load.depth, 0.03, 0.01 * 0.03);
    const struct sw_force_band band = turned(&s, 0.42, 0.03);
    assert_near(s.op.pass[2].load.force_high, whole(&band.high), 0.02 * (whole(&band.high)));
    sw_bench_free(&s.bench);
}

static void a_schedules_figures_stay_where_they_are_more(void **state)
{
    (void)state;
    struct stand s;
    set_up(&s);
    add_level(&s, 0.45);
    const struct sw_pass_load more = {0.05, 90, 100, 110, 0.9, 9000, SW_PASS_BY_STRESS};
    s.op.pass[0].load = more;
    assert_int_equal(sw_engage_tell(&s.op, &s.p, NULL), SW_OK);
    assert_memory_equal(&s.op.pass[0].load, &more, sizeof more);
    s.p.explains = false;
    s.op.pass[0].load.bend = (double)NAN;
    assert_int_equal(sw_engage_tell(&s.op, &s.p, NULL), SW_OK);
    assert_true(isnan(s.op.pass[0].load.bend));
    sw_bench_free(&s.bench);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_level_takes_what_the_one_before_it_left),
        cmocka_unit_test(a_pass_through_air_pushes_nothing),
        cmocka_unit_test(a_plunge_pushes_with_all_its_width),
        cmocka_unit_test(a_run_over_a_step_takes_the_step),
        cmocka_unit_test(a_schedules_figures_stay_where_they_are_more)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
