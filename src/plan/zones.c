/* A side falls into zones, cut from the tip inwards (or pivots last). A zone is what is finished
 * before the next further in is touched: a pivot; its cone with the back slope; each seat with the
 * rivet or groove in front of it; the hub. */
#include <math.h>

#include "plan/plan_int.h"

static bool joins_next(enum sw_section_kind kind)
{
    return kind == SW_SECTION_RIVET || kind == SW_SECTION_GROOVE || kind == SW_SECTION_CONE;
}

static void take_in(struct sw_planner *p, struct sw_zone *zone, size_t section)
{
    const struct sw_section *is = &p->staff->section[section];
    const struct sw_shape_section *turned = &p->shape->section[section];
    const double a = sw_plan_chucking_z(p->shape, p->now->end, turned->z0);
    const double b = sw_plan_chucking_z(p->shape, p->now->end, turned->z1);
    zone->last = section;
    zone->z_in = fmin(a, b);
    zone->z_out = fmax(zone->z_out, fmax(a, b));
    /* What is brought to size by hand is a fit, whatever goes on it. */
    const bool is_fitted = is->kind == SW_SECTION_PIVOT || is->takes != SW_TAKES_NOTHING ||
                           is->finish != SW_FINISH_TURNED;
    /* Of what both sides share, the second cuts the face and its edge alone. */
    const bool is_cut_here =
        sw_plan_chucking_z(p->shape, p->now->end, turned->measure_z) > p->z_border;
    if (is_fitted && is_cut_here && p->job->measure.value)
        zone->measured = section;
    if (is->takes != SW_TAKES_NOTHING && is_cut_here && p->job->try_parts.value)
        zone->tried = section;
    if (is->has_recess) {
        zone->has_recess = true;
        zone->recess = section;
    }
}

double sw_plan_widest(const struct sw_planner *p, const struct sw_zone *zone)
{
    const size_t low = zone->first < zone->last ? zone->first : zone->last;
    const size_t high = zone->first < zone->last ? zone->last : zone->first;
    double widest = 0;
    for (size_t s = low; s <= high; s++)
        widest = fmax(widest, fmax(p->staff->section[s].r0, p->staff->section[s].r1));
    return widest;
}

enum sw_status sw_plan_zones(struct sw_planner *p)
{
    const struct sw_staff *staff = p->staff;
    const bool is_upper = p->now->end == SW_SIDE_UPPER;
    bool is_open = false;
    for (size_t k = 0; k < staff->n; k++) {
        const size_t section = is_upper ? k : staff->n - 1 - k;
        const struct sw_section *is = &staff->section[section];
        const bool joins = is_open || (is->kind == SW_SECTION_BACK_SLOPE && p->zones.n > 0);
        if (!joins) {
            const struct sw_zone zone = {.first = section,
                                         .z_out = -HUGE_VAL,
                                         .is_tip = k == 0,
                                         .measured = SIZE_MAX,
                                         .tried = SIZE_MAX};
            if (!SW_VEC_PUSH(p->ctx->arena, &p->zones, zone))
                return SW_MEMORY;
        }
        take_in(p, &p->zones.at[p->zones.n - 1], section);
        is_open =
            joins_next(is->kind) &&
            !(is->kind == SW_SECTION_CONE && k + 1 < staff->n &&
              staff->section[is_upper ? section + 1 : section - 1].kind != SW_SECTION_BACK_SLOPE);
        /* Also where nothing of it is left but its face: that ends the seat before it. */
        if (section == p->land)
            break;
    }
    p->zones.at[p->zones.n - 1].z_in = p->z_border;
    return SW_OK;
}
