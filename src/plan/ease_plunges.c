/* Plunges of a blade behind the hub: slow enough for what they stand on. */
#include <math.h>

#include "base/diag.h"
#include "mech/speed.h"
#include "mech/stress.h"
#include "plan/cutdata.h"
#include "plan/strength.h"

/* Feeds are lowered by this factor until the work bears the cut. */
static const double gentler = 0.7;

/* What the blade bends is the bar behind it and the core under its own half width. */
static enum sw_status bar_under(struct sw_bar *bar, const struct sw_planner *p,
                                const struct sw_op *op, struct sw_pt deepest)
{
    const double nose = op->tool->nose_radius.value, core = 2 * (deepest.r - nose);
    struct sw_bar_pieces pieces;
    *bar = (struct sw_bar){0};
    SW_TRY(sw_strength_behind(&pieces, p, deepest.z - nose, p->ctx));
    if (pieces.n == 0)
        return SW_OK; /* at the nose face itself */
    const double from = pieces.at[pieces.n - 1].z1;
    const struct sw_bar_piece under = {from, from + op->tool->width.value / 2, core, core};
    if (!SW_VEC_PUSH(p->ctx->arena, &pieces, under))
        return SW_MEMORY;
    return sw_strength_bar(bar, p, &pieces, p->ctx);
}

static double stress_of(const struct sw_bar *bar, const struct sw_planner *p,
                        const struct sw_op *op, double r, double feed)
{
    const double at = sw_bar_length(bar), reach = sw_stress_reach(bar, at);
    const struct sw_force_case of =
        sw_strength_force(p, op->tool, sw_speed_surface(op->speed, 2 * r));
    const struct sw_force force = sw_force_part(&of, op->tool->width.value, feed).nominal;
    const struct sw_bar_forces forces = {
        .at = at, .radius = r, .cutting = force.cutting, .thrust = force.thrust};
    return reach > 0 ? sw_stress_worst_to(bar, reach, &forces).equivalent : 0;
}

static enum sw_status too_weak(const struct sw_planner *p, const struct sw_op *op, double stress,
                               double yield)
{
    const char *hint = sw_arena_printf(p->ctx->arena,
                                       "a blade narrower than %.3f mm, or with a "
                                       "sharper edge",
                                       op->tool->width.value);
    if (!hint)
        return SW_MEMORY;
    sw_diag_add(p->ctx->diag, SW_ERROR, "plan.plunge-too-weak", p->shop->tools.span, hint,
                "the other side cannot be roughed with %s: even its lightest plunge strains the "
                "work by %.0f MPa (calculated); from %.0f MPa on it stays bent or breaks",
                op->tool->name.value, stress, yield);
    return SW_CANNOT;
}

enum sw_status sw_strength_ease_plunges(struct sw_op *op, const struct sw_planner *p)
{
    const struct sw_material *material = p->now->stock->is;
    const double yield = material->yield.value, least = sw_cut_least_chip(op->tool, material);
    for (size_t i = 0; i < op->n_passes && !p->bears_all; i++) {
        const struct sw_pt deepest = op->pass[i].run.at[0].b;
        const double r = deepest.r - op->tool->nose_radius.value;
        struct sw_bar bar;
        SW_TRY(bar_under(&bar, p, op, deepest));
        if (bar.n == 0)
            continue;
        double stress = stress_of(&bar, p, op, r, op->feed);
        while (stress > yield / p->shop->safety.value && gentler * op->feed >= least) {
            op->feed *= gentler;
            stress = stress_of(&bar, p, op, r, op->feed);
        }
        if (stress > yield)
            return too_weak(p, op, stress, yield);
    }
    return SW_OK;
}
