/* Grooves and relief grooves: their form, what stands over them before, which tool cuts them, and
 * that no cutting edge goes below the form. Sizes follow from the numbers given (derived). */
#include "support/bench.h"

#include <math.h>
#include <string.h>

#include "geom/tol.h"

enum { ROLLER = 7, STEPS = 60 }; /* of fenmoor-43: the roller seat */
static const double pi = 3.14159265358979323846;

static void give_relief(struct sw_bench *bench, double width, double depth, double flank)
{
    struct sw_section *seat = &bench->staff->section[ROLLER];
    assert_string_equal(seat->name, "roller seat");
    seat->has_relief = true;
    seat->relief_width = width;
    seat->relief_depth = depth;
    seat->relief_flank = flank;
    seat->corner = 0.02;
}

static struct sw_tool *blade_of(struct sw_bench *bench)
{
    struct sw_fitted_tool *tools = bench->shop->tools.at;
    for (size_t i = 0; i < bench->shop->tools.n; i++)
        if (tools[i].is->kind.value == SW_TOOL_BLADE)
            return (struct sw_tool *)tools[i].is;
    return NULL;
}

static const struct sw_op *groove_op(const struct sw_plan_chucking *c)
{
    for (size_t k = 0; k < c->n_ops; k++)
        if (c->op[k].kind == SW_OP_GROOVE)
            return &c->op[k];
    return NULL;
}

static double r_at(const struct sw_contour *contour, double z)
{
    double r = 0;
    assert_true(sw_contour_r_at(&r, contour, z));
    return r;
}

static void a_relief_lies_below_the_seat_and_takes_no_allowance(void **state)
{
    (void)state;
    struct sw_bench bench;
    sw_bench_load(&bench, "fenmoor-43");
    give_relief(&bench, 0.10, 0.04, pi / 4);
    assert_int_equal(sw_bench_plan(&bench), SW_OK);
    const struct sw_section *seat = &bench.staff->section[ROLLER];
    const struct sw_shape *shape = bench.shape;
    /* 0.04 below the foot, on both contours, up to the shoulder */
    assert_near(r_at(&shape->finished, seat->z0 + 0.01), seat->r0 - 0.04, 1e-9);
    assert_near(r_at(&shape->turned, seat->z0 + 0.01), seat->r0 - 0.04, 1e-9);
    /* behind its lip the seat, with half of what the stone takes (and 1/100 of taper) */
    const double z = seat->z0 + 0.15, r = seat->r0 - 0.15 / 200;
    assert_near(r_at(&shape->finished, z), r, 1e-9);
    assert_near(r_at(&shape->turned, z), r + bench.shop->leave.stone.value / 2, 1e-6);
    /* its fillet stays in it: half-way up the wall nothing stands */
    assert_near(r_at(&shape->ceiling, seat->z0 + 0.0201), seat->r0 - 0.04, 1e-9);
    assert_true(r_at(&shape->ceiling, seat->z0 + 0.005) > seat->r0 - 0.04 + 0.001);
    /* before it is cut the seat goes on to the shoulder */
    const struct sw_shape *plain = NULL;
    assert_int_equal(sw_shape_plain(&plain, shape, &bench.ctx), SW_OK);
    assert_ptr_not_equal(plain, shape);
    assert_near(r_at(&plain->turned, seat->z0 + 0.01),
                seat->r0 - 0.01 / 200 + bench.shop->leave.stone.value / 2, 1e-6);
    assert_near(r_at(&plain->turned, z), r_at(&shape->turned, z), 1e-9);
    sw_bench_free(&bench);
}

static void a_staff_without_grooves_is_plain_itself(void **state)
{
    (void)state;
    struct sw_bench bench;
    const struct sw_shape *plain = NULL;
    sw_bench_load(&bench, "fenmoor-43");
    assert_int_equal(sw_bench_plan(&bench), SW_OK);
    assert_int_equal(sw_shape_plain(&plain, bench.shape, &bench.ctx), SW_OK);
    assert_ptr_equal(plain, bench.shape);
    assert_null(groove_op(&bench.plan->chucking[0]));
    assert_null(groove_op(&bench.plan->chucking[1]));
    sw_bench_free(&bench);
}

/* Both corner circles of the tool stay their radius off the turned form. */
static double nearest_of(struct sw_bench *bench, const struct sw_plan_chucking *c,
                         const struct sw_op *op)
{
    struct sw_contour turned;
    const bool is_upper = c->end == SW_SIDE_UPPER;
    const double second = sw_tool_second_corner(op->tool).z;
    double nearest = HUGE_VAL;
    assert_int_equal(sw_contour_place(&turned, &bench->shape->turned, is_upper ? -1 : 1,
                                      is_upper ? 0 : -bench->staff->total, &bench->ctx),
                     SW_OK);
    for (size_t n = 0; n < op->n_passes; n++)
        for (size_t i = 0; i < op->pass[n].run.n; i++)
            for (int k = 0; k <= STEPS; k++) {
                struct sw_pt p = sw_seg_at(&op->pass[n].run.at[i], (double)k / STEPS);
                nearest = fmin(nearest, sw_contour_distance(&turned, p, NULL));
                p.z += second;
                nearest = fmin(nearest, sw_contour_distance(&turned, p, NULL));
            }
    return nearest;
}

static void a_sloped_relief_is_cut_last_by_a_point(void **state)
{
    (void)state;
    struct sw_bench bench;
    sw_bench_load(&bench, "fenmoor-43");
    give_relief(&bench, 0.15, 0.06, pi / 4);
    assert_int_equal(sw_bench_plan(&bench), SW_OK);
    const struct sw_plan_chucking *c = &bench.plan->chucking[1];
    const struct sw_op *op = groove_op(c);
    assert_non_null(op);
    assert_ptr_equal(op, &c->op[c->n_ops - 1]);
    assert_string_equal(op->what, "cut the relief groove of roller seat");
    assert_int_equal(op->tool->kind.value, SW_TOOL_POINT);
    assert_true(op->depth <= op->tool->most_depth.value);
    assert_near(nearest_of(&bench, c, op), op->tool->nose_radius.value, 1e-6);
    sw_bench_free(&bench);
}

static void a_square_relief_is_cut_by_plunges_of_a_blade(void **state)
{
    (void)state;
    struct sw_bench bench;
    sw_bench_load(&bench, "fenmoor-43");
    give_relief(&bench, 0.30, 0.05, 0);
    blade_of(&bench)->width.value = 0.12;
    assert_int_equal(sw_bench_plan(&bench), SW_OK);
    const struct sw_plan_chucking *c = &bench.plan->chucking[1];
    const struct sw_op *op = groove_op(c);
    assert_non_null(op);
    assert_int_equal(op->tool->kind.value, SW_TOOL_BLADE);
    /* 0.30 by plunges that overlap: three at least, then two runs */
    assert_true(op->n_passes >= 5);
    assert_near(nearest_of(&bench, c, op), op->tool->nose_radius.value, 1e-6);
    sw_bench_free(&bench);
}

static void refused(double width, double flank, double blade_width, double blade_nose,
                    const char *words)
{
    struct sw_bench bench;
    sw_bench_load(&bench, "fenmoor-43");
    give_relief(&bench, width, 0.05, flank);
    blade_of(&bench)->width.value = blade_width;
    blade_of(&bench)->nose_radius.value = blade_nose;
    assert_int_equal(sw_bench_plan(&bench), SW_CANNOT);
    const struct sw_diag_record *record = sw_diag_at(bench.ctx.diag, sw_diag_n(bench.ctx.diag) - 1);
    if (!strstr(record->message, words))
        print_error("%s\n", record->message);
    assert_non_null(strstr(record->message, words));
    assert_non_null(strstr(record->message, "the relief groove of roller seat"));
    assert_non_null(strstr(record->hint, "a blade"));
    assert_int_equal(record->at.line, bench.staff->section[ROLLER].at.line);
    sw_bench_free(&bench);
}

static void a_blade_too_wide_too_round_or_too_strong_is_refused_with_its_number(void **state)
{
    (void)state;
    refused(0.30, 0, 0.5, 0.02, "its bottom is 0.300 mm wide and the narrowest blade");
    refused(0.30, 0, 0.2, 0.025, "(radius 0.025 mm) are rounder than its own may be (0.020 mm)");
    refused(0.60, 0, 0.5, 0.02, "even its lightest cut bends the work");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_relief_lies_below_the_seat_and_takes_no_allowance),
        cmocka_unit_test(a_staff_without_grooves_is_plain_itself),
        cmocka_unit_test(a_sloped_relief_is_cut_last_by_a_point),
        cmocka_unit_test(a_square_relief_is_cut_by_plunges_of_a_blade),
        cmocka_unit_test(a_blade_too_wide_too_round_or_too_strong_is_refused_with_its_number),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
