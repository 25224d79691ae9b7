/* single: both sides of a staff in one grip, and what carries it at the end.
 *
 * The first side is cut as ever. Then the other side is roughed to a core behind the hub and cut
 * zone by zone from the hub outwards (hang.h), pivot last, by tools of the other hand or upright
 * ones. Beyond its tip a neck is turned with the pivot's own tool, cut by cut as a pivot is: a
 * blade would break anything that thin. There the staff is caught and broken off. What is left at
 * that tip is finished in a short second chucking or by hand, as the job says.
 *
 * The neck is the thinnest that bears its own last cut with the shop's safety and carries the staff
 * without whirling; it must break before the pivot bends. Speeds are limited to a share of the
 * first critical one of all that hangs on it.
 * Frames: as said. Ownership: lives in the context. Statuses: SW_CANNOT with diagnostics; those of
 * the planner.
 */
#ifndef SW_PLAN_SINGLE_H
#define SW_PLAN_SINGLE_H

#include "plan/plan_int.h"

/** Whether a job is to be made so. */
bool sw_single_is(const struct sw_planner *p);

/** The other side in the grip of the first; as sw_plan_behind. */
enum sw_status sw_single_behind(struct sw_plan_left *left, struct sw_planner *p) SW_MUST_CHECK;

/** The second tip alone, in a second chucking. */
enum sw_status sw_single_tip(struct sw_planner *p) SW_MUST_CHECK;

/** The shop as seen in a mirror square to the axis: hands change, and what they stand on. */
enum sw_status sw_single_mirror(struct sw_shop *out, const struct sw_shop *shop,
                                struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
