#include "plan/hang.h"

#include <math.h>

#include "geom/tol.h"

/* In front of the slope a contour run comes down clear of what levels left on it by this [mm]. */
static const double foot_spare = 0.01;
/* The edge at a zone's end is run on down beyond it by this share of the nose, whose fillet would
 * else stand on it: more than tan 22.5 degrees. */
static const double run_under = 0.6;
/* The slope goes on this far over the rod, so that no level ends in nothing [mm]. */
static const double over_rod = 1.0;

double sw_hang_slope(const struct sw_tool *tool)
{
    double low, high;
    sw_tool_flanks(&low, &high, tool);
    return tan(low - SW_PLAN_FLANK_GAP);
}

double sw_hang_foot(struct sw_planner *p, const struct sw_zone *zone)
{
    const double nose = zone->finish.tool->nose_radius.value;
    return SW_PLAN_LEAD + nose + sw_plan_roughed_to(p, zone) + foot_spare;
}

double sw_hang_depth_share(const struct sw_tool *tool)
{
    return fmin(SW_PLAN_TROUGH_SHARE, sw_plan_deepest_plunge(tool) / tool->most_depth.value);
}

/* From AT down beyond the edge there, flat, then up the slope to over the rod, and on there to
 * Z_END. */
static enum sw_status slope_from(struct sw_contour *out, const struct sw_planner *p,
                                 struct sw_pt at, double z_end)
{
    const struct sw_hang *hang = &p->hang;
    const double r_end = p->now->rod_diameter / 2 + over_rod;
    const struct sw_pt foot = {hang->z_foot, hang->r_foot},
                       end = {foot.z + (r_end - foot.r) / hang->slope, r_end},
                       last = {fmax(z_end, end.z + over_rod), r_end},
                       under = {at.z + at.r - foot.r, foot.r};
    if (!sw_contour_add(p->ctx->arena, out, sw_seg_line(at, under, SW_TAG_NONE)) ||
        !sw_contour_add(p->ctx->arena, out, sw_seg_line(under, foot, SW_TAG_NONE)) ||
        !sw_contour_add(p->ctx->arena, out, sw_seg_line(foot, end, SW_TAG_NONE)) ||
        !sw_contour_add(p->ctx->arena, out, sw_seg_line(end, last, SW_TAG_NONE)))
        return SW_MEMORY;
    return SW_OK;
}

/* Whether the last of a zone falls towards its outer end, as the broken edge of a seat does. */
static bool ends_with_edge(const struct sw_contour *own)
{
    const struct sw_seg *last = &own->at[own->n - 1];
    return sw_seg_direction(last, 1).r < -SW_TOL_SLIVER;
}

enum sw_status sw_hang_zone(struct sw_planner *p, const struct sw_zone *zone)
{
    struct sw_hang *hang = &p->hang;
    struct sw_contour whole, beyond = {0}, own = {0};
    SW_TRY(sw_contour_envelope(&whole, &p->turned, HUGE_VAL, HUGE_VAL, p->ctx));
    const double z0 = sw_contour_box(&whole).z0;
    SW_TRY(sw_contour_piece(&own, &whole, z0, zone->z_out, p->ctx));
    if (own.n == 0)
        return SW_INTERNAL;
    const struct sw_pt end = own.at[own.n - 1].b;
    hang->slope = sw_hang_slope(zone->finish.tool);
    const double nose = zone->finish.tool->nose_radius.value;
    const double drop = ends_with_edge(&own) ? fmin(run_under * nose, end.r / 2) : 0;
    /* The nose has passed an edge when its centre has. */
    hang->z_run = end.z + (drop > 0 ? drop + nose : 0);
    hang->z_foot = hang->z_run + sw_hang_foot(p, zone);
    hang->r_foot = end.r - drop;
    hang->r_top =
        fmax(sw_plan_stock_radius(p, end.z, fmax(end.z, hang->z_end)), end.r + SW_TOL_SLIVER);
    hang->z_top = hang->z_foot + (hang->r_top - hang->r_foot) / hang->slope;
    SW_TRY(slope_from(&beyond, p, end, sw_contour_box(&whole).z1));
    SW_TRY(sw_plan_join(p, &own, &beyond));
    /* What stands higher further out is not to be cut into. */
    return sw_contour_upper(&hang->form, &own, &whole, p->ctx);
}

enum sw_status sw_hang_reach(struct sw_reach *reach, struct sw_contour *locus, struct sw_planner *p,
                             const struct sw_zone *zone, const struct sw_tool *tool, double leave,
                             double roughed_to)
{
    SW_TRY(sw_plan_locus(locus, &p->hang.form, tool, leave, p->ctx));
    const double z_end = sw_contour_box(locus).z1;
    *reach = sw_plan_reach(locus, zone->z_in, z_end, tool->nose_radius.value + leave, false, z_end);
    reach->starts_at_wall = false;
    reach->z_out = reach->z_plain = z_end;
    reach->is_hung = true;
    reach->z_run = p->hang.z_run;
    reach->stop_short = roughed_to - leave + SW_PLAN_KEEP_OFF;
    /* The shoulder beside what is finished nearer the hub is this zone's own, all of it. */
    if (reach->ends_at_wall)
        reach->r_inner_top = reach->r_inner + SW_PLAN_KEEP_OFF;
    return SW_OK;
}

enum sw_status sw_hang_take(struct sw_planner *p, const struct sw_zone *zone)
{
    const struct sw_box box = sw_contour_box(&p->stock);
    struct sw_contour piece, left = {0};
    SW_TRY(sw_hang_zone(p, zone));
    const double z_in = fmax(zone->z_in, box.z0), z_top = fmin(p->hang.z_top, box.z1);
    if (z_in > box.z0 + SW_TOL_SLIVER) {
        SW_TRY(sw_contour_piece(&piece, &p->stock, box.z0, z_in, p->ctx));
        SW_TRY(sw_plan_join(p, &left, &piece));
    }
    SW_TRY(sw_contour_piece(&piece, &p->hang.form, z_in, z_top, p->ctx));
    SW_TRY(sw_plan_join(p, &left, &piece));
    if (z_top < box.z1 - SW_TOL_SLIVER) {
        SW_TRY(sw_contour_piece(&piece, &p->stock, z_top, box.z1, p->ctx));
        SW_TRY(sw_plan_join(p, &left, &piece));
    }
    p->stock = left;
    return SW_OK;
}
