#include "plan/window.h"

#include <math.h>

#include "geom/tol.h"
#include "plan/support.h"

/* Of a zone in slices none is shorter than this many noses: shorter, it would be all fillet. */
static const double least_noses = 4;

enum sw_status sw_window_scheme(const struct sw_job *job, const struct sw_shop *shop,
                                struct sw_ctx *ctx)
{
    const struct sw_machine *machine = shop->machine;
    const bool is_sliding = machine->kind.value == SW_MACHINE_SLIDING;
    const bool wants_bush = job->scheme.value == SW_SCHEME_BUSH;
    if (!is_sliding && wants_bush) {
        sw_diag_add(ctx->diag, SW_ERROR, "plan.no-bush", job->scheme.at,
                    "a machine of `kind: sliding`, or `scheme: reversed`",
                    "the %s has no guide bush to feed the bar out of", machine->name.value);
        return SW_CANNOT;
    }
    const bool is_free = !job->scheme.given || job->scheme.value == SW_SCHEME_AUTO;
    if (is_sliding && !is_free && !wants_bush) {
        sw_diag_add(ctx->diag, SW_ERROR, "plan.bush", job->scheme.at, "`scheme: bush`",
                    "the headstock of the %s slides: its bar is fed out of a guide bush",
                    machine->name.value);
        return SW_CANNOT;
    }
    if (is_sliding && job->pivot_order.given && job->pivot_order.value == SW_PIVOTS_LAST) {
        sw_diag_add(
            ctx->diag, SW_ERROR, "plan.bush-order", job->pivot_order.at, "`pivot_order: tip-first`",
            "in a guide bush pivots cannot come last: what is turned down is not drawn back "
            "into the bush");
        return SW_CANNOT;
    }
    if (is_sliding && !machine->bush.comes_out.value) {
        sw_diag_add(
            ctx->diag, SW_ERROR, "plan.bush-stays", machine->bush.comes_out.at,
            "a bush that comes out, or a bench lathe",
            "the bush of the %s cannot be taken out, and nothing else on it holds the piece "
            "for its second side",
            machine->name.value);
        return SW_CANNOT;
    }
    return SW_OK;
}

double sw_window_most_z(double z_whole, double gap, double land)
{
    return z_whole + gap + (1 - SW_WINDOW_HELD) * land;
}

/* The furthest out a pass takes the nose centre. */
static double outermost(const struct sw_planner *p, const struct sw_pass *pass)
{
    double z = fmax(sw_contour_box(&pass->run).z1, fmax(pass->from.z, pass->lift.z));
    if (pass->comes_axially)
        z = fmax(z, pass->from.z + p->shop->clearance.value);
    return pass->leaves_axially ? fmax(z, pass->back_z) : z;
}

static enum sw_status refuse(const struct sw_planner *p, const struct sw_op *op, double over)
{
    const size_t section = op->section < p->staff->n ? op->section : p->land;
    const char *hint =
        sw_arena_printf(p->ctx->arena, "a bush with a land of %.1f mm or more",
                        ceil(10 * (p->now->land + over / (1 - SW_WINDOW_HELD))) / 10);
    if (!hint)
        return SW_MEMORY;
    sw_diag_add(
        p->ctx->diag, SW_ERROR, "plan.window", p->staff->section[section].at, hint,
        "to %s, what is turned down would be drawn back into the guide bush by %.2f mm more "
        "than the %.2f mm that its land of %.2f mm allows",
        op->what, over, (1 - SW_WINDOW_HELD) * p->now->land, p->now->land);
    return SW_CANNOT;
}

/* How long a zone may be for all ways of its tools to lie in the window: they begin and are lifted
 * outside it, and noses cut ahead of their centres. */
static enum sw_status longest_zone(double *length, const struct sw_planner *p,
                                   const struct sw_zone *zone)
{
    const struct sw_tool *fine = zone->finish.tool,
                         *strong = sw_plan_rough_tool(p, zone->finish).tool;
    const double nose = fmax(fine->nose_radius.value, strong->nose_radius.value);
    double gap, other;
    SW_TRY(sw_support_gap(&gap, p->shop->machine, fine, p->ctx));
    SW_TRY(sw_support_gap(&other, p->shop->machine, strong, p->ctx));
    const double room = sw_window_most_z(0, fmin(gap, other), p->now->land);
    *length = room - 2 * nose - p->shop->clearance.value - SW_PLAN_LEAD - SW_PLAN_OVER_RUN;
    return SW_OK;
}

enum sw_status sw_window_zones(struct sw_planner *p)
{
    for (size_t i = 0; i < p->zones.n; i++) {
        const struct sw_zone zone = p->zones.at[i];
        const double length = zone.z_out - zone.z_in;
        const double least = least_noses * zone.finish.tool->nose_radius.value;
        double most;
        SW_TRY(longest_zone(&most, p, &zone));
        /* What slices do not help is found when all ways are known. */
        int n = 1, borne = 1;
        if (zone.n_slices > 0)
            continue;
        if (length > most && most > least)
            n = (int)ceil(length / most - SW_TOL_SLIVER);
        if (p->staff->section[zone.first].kind == SW_SECTION_CONE && !p->bears_all)
            SW_TRY(sw_support_slices(&borne, p, &zone));
        n = n > borne ? n : borne;
        SW_TRY(sw_plan_divide_zone(p, i, n));
        i += (size_t)n - 1;
    }
    return SW_OK;
}

/* The bar right behind it stays whole until it is finished. */
static bool is_weak(const struct sw_planner *p, const struct sw_zone *zone)
{
    const enum sw_section_kind kind = p->staff->section[zone->first].kind;
    return kind == SW_SECTION_PIVOT || kind == SW_SECTION_CONE || kind == SW_SECTION_BACK_SLOPE;
}

enum sw_status sw_window_span(size_t *end, const struct sw_planner *p, size_t first)
{
    const struct sw_zone *outer = &p->zones.at[first];
    double most;
    SW_TRY(longest_zone(&most, p, outer));
    for (*end = first + 1; *end < p->zones.n; ++*end) {
        const struct sw_zone *next = &p->zones.at[*end];
        const bool is_slice = next->first == outer->first;
        if ((is_weak(p, outer) && !is_slice) || outer->z_out - next->z_in > most)
            break;
    }
    return SW_OK;
}

enum sw_status sw_window_end(struct sw_planner *p)
{
    struct sw_plan_chucking *now = p->now;
    double z_whole = now->rod_end_z, lowest = HUGE_VAL;
    const struct sw_op *worst = NULL;
    double over = SW_TOL_SLIVER;
    for (size_t i = 0; i < p->ops.n; i++) {
        const struct sw_op *op = &p->ops.at[i];
        for (size_t k = 0; k < op->n_passes; k++) {
            const struct sw_pass *pass = &op->pass[k];
            const double z = outermost(p, pass);
            const double most = sw_window_most_z(z_whole, op->bush_gap, now->land);
            if (z - most > over) {
                over = z - most;
                worst = op;
            }
            const struct sw_box box = sw_contour_box(&pass->run);
            z_whole = fmin(z_whole, box.z0 - op->tool->nose_radius.value);
            lowest = fmin(lowest, box.z0 - op->bush_gap);
            /* it is lifted back over what it has just cut */
            const double after = sw_window_most_z(z_whole, op->bush_gap, now->land);
            if (pass->leaves_axially && pass->back_z - after > over) {
                over = pass->back_z - after;
                worst = op;
            }
        }
    }
    if (worst)
        return refuse(p, worst, over);
    now->face_z = lowest;
    now->nose_z = lowest - now->land - p->shop->machine->bush.collet_gap.value;
    return sw_plan_rod_length(p);
}
