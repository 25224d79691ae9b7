/* The second tip of a staff cut in one grip, in a short second chucking. */
#include <math.h>

#include "geom/tol.h"
#include "mech/speed.h"
#include "plan/single.h"
#include "plan/strength.h"

/* A tip that gives way further under such a run is pushed, not cut [mm]. Common practice, no
 * source.
 */
static const double most_bend = 0.02;
/* Runs over the edge of a tip take this share of a last cut's depth: the pivot behind it is
 * finished. The last, whose nose rolls about the sharp edge itself, with all of it at once, takes
 * less. */
static const double run_share = 0.8, last_share = 0.35;

static enum sw_status round_tip(struct sw_op *op, struct sw_planner *p, const struct sw_zone *zone,
                                double leave, double edge_over)
{
    struct sw_contour locus;
    struct sw_reach reach;
    SW_TRY(sw_plan_zone_reach(&reach, &locus, p, zone, op->tool, leave, edge_over));
    return sw_plan_follow_tip(op, &reach, op->depth, p->r_clear, p->ctx);
}

/* So near the end of a finished pivot the lightest cut is the right one. */
static const struct sw_tool *finest(const struct sw_planner *p)
{
    const struct sw_fitted_tool *fitted = p->shop->tools.at;
    const struct sw_tool *best = NULL;
    for (size_t i = 0; i < p->shop->tools.n; i++)
        if (sw_plan_turns_inwards(fitted[i].is) &&
            (!best || fitted[i].is->finish_depth.value < best->finish_depth.value))
            best = fitted[i].is;
    return best;
}

/* The finished pivot bears the cuts at its own tip now. */
static enum sw_status check_tip(struct sw_pass_load *load, struct sw_planner *p,
                                const struct sw_op *op, double r)
{
    const struct sw_section *is = &p->staff->section[p->zones.at[0].first];
    const double yield = p->now->stock->is->yield.value;
    const struct sw_force_case of =
        sw_strength_force(p, op->tool, sw_speed_surface(op->speed, 2 * r));
    const struct sw_force_band band = sw_force_turn(&of, op->depth, op->feed);
    const struct sw_force high = band.high;
    struct sw_bar_pieces pieces;
    struct sw_bar bar = {0};
    SW_TRY(sw_strength_behind(&pieces, p, p->z_tip, p->ctx));
    SW_TRY(sw_strength_bar(&bar, p, &pieces, p->ctx));
    const double length = sw_bar_length(&bar), reach = sw_stress_reach(&bar, length);
    const struct sw_bar_forces forces = {.at = length,
                                         .radius = r,
                                         .cutting = high.cutting,
                                         .thrust = high.thrust,
                                         .feed = high.feed};
    const double stress = reach > 0 ? sw_stress_worst_to(&bar, reach, &forces).equivalent : 0;
    *load = sw_strength_pass_force(&band, op->depth);
    load->bend = fabs(high.thrust * sw_bar_compliance(&bar, length, length));
    load->stress = stress;
    load->limit = SW_PASS_BY_FINISH;
    if (p->bears_all || (stress <= yield && load->bend <= most_bend))
        return SW_OK;
    sw_diag_add(
        p->ctx->diag, SW_ERROR, "plan.tip-weak", is->at,
        "`last_tip: by-hand`, or a tool with a sharper edge",
        "the %s is too slender to have its tip formed in a second chucking: a cut of %.3f mm "
        "by %s may strain it by %.0f MPa, of %.0f at which it yields, and bend it by %.1f um, of "
        "%.0f at which it is pushed rather than cut",
        is->name, op->depth, op->tool->name.value, stress, yield, 1000 * load->bend,
        1000 * most_bend);
    return SW_CANNOT;
}

enum sw_status sw_single_tip(struct sw_planner *p)
{
    p->zones.n = 1;
    p->favourite = finest(p);
    SW_TRY(sw_plan_finish_tools(p));
    p->found->equals[p->index].n = 0;
    const struct sw_zone *zone = &p->zones.at[0];
    const struct sw_fitted finish = zone->finish;
    const double r = p->shape->section[zone->first].turned_diameter / 2;
    struct sw_op op = sw_plan_op(p, SW_OP_FINISH, SW_CUT_FINISH, finish, 2 * r, zone->first);
    const double left = 2 * op.depth;
    /* As light as a last cut: a finished pivot bears it. */
    struct sw_op face = op;
    face.kind = SW_OP_FACE;
    SW_TRY(sw_plan_face(p, face, left));
    op.what = sw_arena_printf(p->ctx->arena, "form the tip of the %s",
                              p->staff->section[zone->first].name);
    if (!op.what)
        return SW_MEMORY;
    struct sw_pass_load load;
    SW_TRY(check_tip(&load, p, &op, r));
    struct sw_contour locus;
    struct sw_reach reach;
    SW_TRY(sw_plan_zone_reach(&reach, &locus, p, zone, finish.tool, 0, left));
    const double whole = sw_plan_tip_depth(&reach, finish.tool->nose_radius.value,
                                           (struct sw_pt){p->z_tip + left, r});
    const double last = last_share * op.depth, rest = fmax(whole - last, 0);
    const int n = (int)fmax(1, ceil(rest / (run_share * op.depth)));
    for (int k = n - 1; k >= 0; k--)
        SW_TRY(round_tip(&op, p, zone, last + rest * k / n, left));
    SW_TRY(round_tip(&op, p, zone, 0, left));
    for (size_t i = 0; i < op.n_passes; i++)
        op.pass[i].load = load;
    return sw_plan_add(p, op);
}
