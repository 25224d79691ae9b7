/* Once more over a piece that came out too thick: contour cuts on the zones that stand over their
 * form, nothing else. The work is thin everywhere now, so no slices help; the path is drawn in by
 * what the last cut bends, and the dry run tells whether that does. */
#include <math.h>

#include "geom/tol.h"
#include "mech/chip.h"
#include "plan/strength.h"

/* The second chucking. */
enum { SECOND = 1 };

static double over_of(const struct sw_zone *zone, const double *over)
{
    const size_t low = zone->first < zone->last ? zone->first : zone->last;
    const size_t high = zone->first < zone->last ? zone->last : zone->first;
    double most = 0;
    for (size_t i = low; i <= high; i++)
        most = fmax(most, over[i]);
    return most;
}

static bool makes_chip(const struct sw_planner *p, const struct sw_zone *zone, double depth,
                       double feed)
{
    const struct sw_force_case of = sw_strength_force(p, zone->finish.tool, 0);
    return sw_chip_of(&of.edge, depth, feed).most >= sw_chip_least(of.least_chip, of.edge_radius);
}

static enum sw_status refuse_rubbing(struct sw_planner *p, const struct sw_zone *zone, double over)
{
    const struct sw_section *is = &p->staff->section[zone->first];
    const char *hint = sw_arena_printf(
        p->ctx->arena, "leave it to stone or burnisher: %.4f more of its diameter", 2 * over);
    if (!hint)
        return SW_MEMORY;
    sw_diag_add(p->ctx->diag, SW_ERROR, "plan.rubs", is->at, hint,
                "the %s stands %.4f too thick: %s would rub over so little and make no chip",
                is->name, 2 * over, zone->finish.tool->name.value);
    return SW_CANNOT;
}

static enum sw_status cut_zone(struct sw_planner *p, const struct sw_zone *zone, double over)
{
    const struct sw_op fine =
        sw_plan_op(p, SW_OP_FINISH, SW_CUT_FINISH, zone->finish, 1.0, zone->first);
    /* Two at least, of equal depth: what the last will bend, the one before has shown the gauge. */
    int n = (int)fmax(2, ceil(over / fine.depth - SW_TOL_SLIVER)), correction = 0;
    if (n == 2 && !makes_chip(p, zone, over / 2, fine.feed))
        n = 1;
    if (!makes_chip(p, zone, over / n, fine.feed))
        return refuse_rubbing(p, zone, over);
    p->again = over / n;
    for (int k = n - 1; k > 0; k--)
        SW_TRY(sw_plan_contour_zone(p, zone, zone->finish, SW_OP_SEMI, k * p->again, 0, 0));
    if (n > 1 && zone->measured != SIZE_MAX)
        SW_TRY(sw_plan_measure(p, zone, zone->finish, p->again, &correction));
    SW_TRY(sw_plan_contour_zone(p, zone, zone->finish, SW_OP_FINISH, 0, 0, correction));
    return sw_plan_take_from_stock(p, zone);
}

static enum sw_status cut_all(struct sw_planner *p, const double *over)
{
    struct sw_contour whole, side;
    SW_TRY(sw_shape_thicker(&whole, p->shape, over, p->ctx));
    SW_TRY(sw_plan_side_of(&side, &whole, p, 1.0));
    SW_TRY(sw_contour_envelope(&p->stock, &side, HUGE_VAL, HUGE_VAL, p->ctx));
    p->stock_end = p->core_end = p->z_tip;
    SW_TRY(sw_plan_finish_tools(p));
    for (size_t i = 0; i < p->zones.n; i++) {
        const double thick = over_of(&p->zones.at[i], over);
        if (thick > 0)
            SW_TRY(cut_zone(p, &p->zones.at[i], thick));
    }
    return SW_OK;
}

enum sw_status sw_plan_again(struct sw_plan **out, const struct sw_plan *plan,
                             const struct sw_plan_over *over, size_t n, const struct sw_post *post,
                             struct sw_ctx *ctx)
{
    struct sw_plan *again = SW_NEW(ctx->arena, struct sw_plan, 1);
    struct sw_plan_found *found = SW_NEW(ctx->arena, struct sw_plan_found, 1);
    double *thick = SW_NEW(ctx->arena, double, plan->shape->staff->n);
    if (!again || !found || !thick)
        return SW_MEMORY;
    *again = *plan;
    for (size_t i = 0; i < n; i++)
        thick[over[i].section] = over[i].over;
    const struct sw_plan_task task = {
        .job = plan->job, .shop = plan->shop, .shape = plan->shape, .post = post};
    const struct sw_plan_chucking *first = &plan->chucking[0];
    struct sw_planner p;
    SW_TRY(sw_plan_begin(&p, again, SECOND, found, &task, ctx));
    p.now->name = "side 2, once more";
    p.now->is_again = true;
    p.now->stock = first->stock;
    p.now->rod_diameter = first->rod_diameter;
    SW_TRY(sw_plan_hold_piece(&p, first->end));
    p.r_clear = first->rod_diameter / 2 + sw_plan_largest_nose(p.shop) + p.shop->clearance.value;
    SW_TRY(cut_all(&p, thick));
    SW_TRY(sw_plan_end(&p));
    *out = again;
    return SW_OK;
}
