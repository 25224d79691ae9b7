/* The corner at the inner end of a zone. A stout roughing nose leaves its own large fillet there;
 * the finish tool takes it away in levels, so that its last cuts meet the same depth everywhere. */
#include <math.h>

#include "geom/tol.h"
#include "plan/plan_int.h"

enum sw_status sw_plan_clear_corner(struct sw_planner *p, const struct sw_zone *zone,
                                    struct sw_fitted rough, const struct sw_reach *roughed,
                                    double leave, double r_floor)
{
    const struct sw_tool *fine = zone->finish.tool;
    const double nose = fine->nose_radius.value, large = rough.tool->nose_radius.value;
    struct sw_contour locus;
    struct sw_reach reach;
    if (large <= nose)
        return SW_OK;
    SW_TRY(sw_plan_zone_reach(&reach, &locus, p, zone, fine, leave, leave));
    if (!reach.ends_at_wall)
        return SW_OK;
    struct sw_op op = sw_plan_op(p, SW_OP_ROUGH, SW_CUT_ROUGH, zone->finish, 2 * large, zone->last);
    op.what = sw_plan_says(p, "clear the corner of", zone);
    if (!op.what)
        return SW_MEMORY;
    /* The fillet begins where the large nose's centre stood. */
    reach.z_out = fmin(reach.z_out, reach.z_in + large - nose);
    reach.z_plain =
        reach.z_out + 2 * SW_TOL_SLIVER; /* entered from above: a slope may rise outside */
    reach.starts_at_wall = false;
    double r_surface = 0, r_centre = 0;
    if (!sw_contour_r_at(&r_surface, &locus, reach.z_out) ||
        !sw_contour_r_at(&r_centre, roughed->locus, roughed->z_in + SW_TOL_SLIVER))
        return SW_OK;
    r_surface = fmax(r_surface - nose, r_floor);
    /* The fillet is as high as that centre. */
    r_centre = fmax(r_centre, r_floor + large);
    op.speed =
        sw_plan_op(p, SW_OP_ROUGH, SW_CUT_FINISH, zone->finish, 2 * r_surface, zone->last).speed;
    op.is_surface_speed = false;
    const struct sw_levels how = {.r_stock = r_centre - nose,
                                  .depth = op.depth,
                                  .z_free = reach.z_out + SW_PLAN_LIFT,
                                  .nose = nose,
                                  .r_floor = r_surface,
                                  .r_clear = p->r_clear};
    SW_TRY(sw_plan_levels(&op, &reach, &how, p->ctx));
    return sw_plan_add(p, op);
}
