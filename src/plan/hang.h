/* hang: zones of work that hangs beyond the cut, held by what is further out.
 *
 * In scheme `single` the side behind the hub is planned in its own frame, turned round: z = 0 at
 * its finished end face, + away from the hub, as if it were a second chucking. But the bar is held
 * beyond the tip, and what is nearer the hub hangs free. So zones are cut from the hub outwards,
 * each finished while the bar between it and the holder is still a stout core; the tool comes down
 * into the core beside each zone along a slope a little flatter than its flank, and the next zone
 * takes that slope away. Tools are the shop's, seen in a mirror: one of the left hand turns towards
 * the hub.
 * Frame: that one [mm]. Ownership: contours live in the context. Statuses: SW_MEMORY, those of
 * geom.
 */
#ifndef SW_PLAN_HANG_H
#define SW_PLAN_HANG_H

#include "plan/plan_int.h"

/** How far a contour run may begin beyond its zone: the flat in front of the slope. */
double sw_hang_foot(struct sw_planner *p, const struct sw_zone *zone);

/** Tangent of the slope that the tool of a zone leaves beside it. */
double sw_hang_slope(const struct sw_tool *tool);

/** Make ZONE the one that is cut: its form with the slope beside it. */
enum sw_status sw_hang_zone(struct sw_planner *p, const struct sw_zone *zone) SW_MUST_CHECK;

/** sw_plan_zone_reach for such a zone. */
enum sw_status sw_hang_reach(struct sw_reach *reach, struct sw_contour *locus, struct sw_planner *p,
                             const struct sw_zone *zone, const struct sw_tool *tool, double leave,
                             double roughed_to) SW_MUST_CHECK;

/** sw_plan_take_from_stock for such a zone: its form, and the slope up to what stands there. */
enum sw_status sw_hang_take(struct sw_planner *p, const struct sw_zone *zone) SW_MUST_CHECK;

/** Levels are entered by a plunge beside the slope: the share of its depth that a tool may take. */
double sw_hang_depth_share(const struct sw_tool *tool);

#endif
