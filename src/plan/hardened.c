/* The finish of a hardened blank: both sides are held as a piece, like the second side of any
 * staff, and from what stands there what was left thick is cut by the same zones and passes.
 *
 * The first side is held by what the blank has on the other; for the second the first is finished.
 * What the blank has at its size is not cut, and what it covers of a finished face is run down as
 * where pivots come last. */
#include <math.h>

#include "geom/tol.h"
#include "plan/plan_int.h"

bool sw_plan_meets_finished(const struct sw_planner *p, const struct sw_zone *zone)
{
    const size_t i = (size_t)(zone - p->zones.at);
    return p->blank && i + 1 < p->zones.n && !zone->is_kept && zone[1].is_kept;
}

double sw_plan_zone_root(const struct sw_planner *p, const struct sw_zone *zone)
{
    const bool meets = sw_plan_meets_finished(p, zone);
    return zone->z_in + (meets ? p->unsure + 2 * SW_TOL_SLIVER : 0);
}

/* The side of the core that is cut, or the other. */
static bool is_datum_side(const struct sw_planner *p)
{
    return (p->now->end == SW_SIDE_LOWER) == p->blank->form.datum_is_lower;
}

double sw_plan_unsure(const struct sw_planner *p, double z)
{
    const double place = p->now->end == SW_SIDE_UPPER ? -z : z + p->staff->total;
    const double datum = sw_blank_datum(p->staff, p->blank->form.datum_is_lower);
    return sw_blank_unsure(p->staff, &p->blank->how, place - datum);
}

void sw_plan_keep_zones(struct sw_planner *p)
{
    const struct sw_blank_form *form = &p->blank->form;
    for (size_t i = 0; i < p->zones.n; i++) {
        struct sw_zone *zone = &p->zones.at[i];
        const bool has_core = zone->last == p->land;
        const bool is_cut = has_core ? form->core_is_cut && !is_datum_side(p)
                                     : form->leaves[zone->first] || form->leaves[zone->last];
        zone->is_kept = !is_cut;
        if (i > 0 && sw_plan_meets_finished(p, zone - 1))
            p->unsure = sw_plan_unsure(p, zone[-1].z_in);
    }
}

/* Radius of what stands of a section when it is held: of a side that is finished its own. */
static double stands(const struct sw_planner *p, size_t section)
{
    const struct sw_section *is = &p->staff->section[section];
    return p->blank && p->index == 0 && p->blank->form.leaves[section]
               ? p->blank->form.diameter[section] / 2
               : fmax(is->r0, is->r1);
}

void sw_plan_held(struct sw_plan_held *held, const struct sw_planner *p,
                  const struct sw_section *grip)
{
    const bool is_upper = p->now->end == SW_SIDE_LOWER;
    *held = (struct sw_plan_held){.diameter = p->shape->section[grip->index].turned_diameter,
                                  .z_shoulder = is_upper ? grip->z1 : grip->z0,
                                  .rests = is_upper ? grip->index + 1 : grip->index - 1};
    for (size_t i = 0; i < p->staff->n; i++)
        if (is_upper ? i < grip->index : i > grip->index)
            held->r_behind = fmax(held->r_behind, stands(p, i));
    if (!p->blank || p->index > 0)
        return;
    const struct sw_blank_form *form = &p->blank->form;
    if (form->leaves[grip->index]) {
        held->diameter = form->diameter[grip->index];
        /* what is left as thick further in is no shoulder */
        while (form->leaves[held->rests] && form->diameter[held->rests] == held->diameter)
            held->rests = is_upper ? held->rests + 1 : held->rests - 1;
    }
    held->z_shoulder = form->z[is_upper ? held->rests : held->rests + 1];
}

/* Of all ways in which it may stand, the largest radius at each place; chucking frame. */
static enum sw_status largest(struct sw_contour *out, const struct sw_planner *p)
{
    const bool is_upper = p->now->end == SW_SIDE_UPPER;
    const int sign = is_upper ? -1 : 1;
    const double shift = is_upper ? 0 : -p->staff->total;
    for (size_t i = 0; i < SW_SHAPE_GROWN_WAYS; i++) {
        struct sw_contour placed, envelope, both;
        SW_TRY(sw_contour_place(&placed, &p->blank->most[i], sign, shift, p->ctx));
        SW_TRY(sw_contour_envelope(&envelope, &placed, HUGE_VAL, HUGE_VAL, p->ctx));
        if (i > 0)
            SW_TRY(sw_contour_upper(&both, out, &envelope, p->ctx));
        *out = i > 0 ? both : envelope;
    }
    return SW_OK;
}

static enum sw_status begin_stock(struct sw_planner *p)
{
    const bool is_upper = p->now->end == SW_SIDE_UPPER;
    struct sw_contour all, slim;
    SW_TRY(largest(&all, p));
    const double end = sw_contour_box(&all).z1;
    SW_TRY(sw_contour_piece(&p->stock, &all, p->now->nose_z, end, p->ctx));
    SW_TRY(sw_contour_place(&slim, &p->blank->least[0], is_upper ? -1 : 1,
                            is_upper ? 0 : -p->staff->total, p->ctx));
    SW_TRY(sw_contour_envelope(&p->slim, &slim, HUGE_VAL, HUGE_VAL, p->ctx));
    p->stock_end = p->core_end = end;
    return SW_OK;
}

static double widest(const struct sw_plan_blank *blank)
{
    double most = 0;
    for (size_t i = 0; i < SW_SHAPE_GROWN_WAYS; i++)
        most = fmax(most, sw_contour_box(&blank->most[i]).r1);
    return 2 * most;
}

static enum sw_status finish_side(struct sw_plan *plan, size_t i, const struct sw_stock *stock,
                                  struct sw_plan_found *found, const struct sw_plan_task *task,
                                  struct sw_ctx *ctx)
{
    struct sw_planner p;
    SW_TRY(sw_plan_begin(&p, plan, i, found, task, ctx));
    struct sw_plan_chucking *now = p.now;
    now->stock = stock;
    now->rod_diameter = stock->diameter.value;
    SW_TRY(sw_plan_hold_piece(&p, now->end == SW_SIDE_UPPER ? SW_SIDE_LOWER : SW_SIDE_UPPER));
    SW_TRY(begin_stock(&p));
    p.r_clear = now->rod_diameter / 2 + sw_plan_largest_nose(p.shop) + p.shop->clearance.value;
    SW_TRY(sw_plan_side(&p));
    return sw_plan_end(&p);
}

enum sw_status sw_plan_hardened_trial(struct sw_plan *plan, struct sw_plan_found *found,
                                      const struct sw_plan_task *task, struct sw_ctx *ctx)
{
    struct sw_stock *stock = SW_NEW(ctx->arena, struct sw_stock, 1);
    if (!stock)
        return SW_MEMORY;
    const struct sw_plan_blank *blank = task->blank;
    *stock = (struct sw_stock){.material = {.value = blank->material->name.value, .given = true},
                               .diameter = {.value = widest(blank), .given = true},
                               .is = blank->material};
    found->is_refused = found->has_watched = false;
    found->levers.n = 0;
    found->rod = stock->diameter.value;
    for (size_t i = 0; i < SW_PLAN_SIDES; i++)
        found->equals[i].n = 0;
    for (size_t i = 0; i < SW_PLAN_SIDES; i++)
        SW_TRY(finish_side(plan, i, stock, found, task, ctx));
    return SW_OK;
}

double sw_plan_blank_radius(const struct sw_plan_blank *blank, double z)
{
    double most = 0;
    for (size_t i = 0; i < SW_SHAPE_GROWN_WAYS; i++) {
        double r = 0;
        if (sw_contour_r_at(&r, &blank->most[i], z))
            most = fmax(most, r);
    }
    return most;
}
