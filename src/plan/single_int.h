/* Internals of single: what its files share. Q is the planner of the side behind the hub, in its
 * own frame, which sees the shop in a mirror (hang.h). */
#ifndef SW_PLAN_SINGLE_INT_H
#define SW_PLAN_SINGLE_INT_H

#include "plan/plan_int.h"

/* Of the first critical speed of what hangs on the neck. Common practice, no source. */
#define SW_SINGLE_WHIRL_SHARE 0.75

/** The neck beyond the tip. */
struct sw_single_neck {
    double z_in, z_out; /* its plain length */
    double r;
};

/** The contours of the staff's side, before a neck is added. */
struct sw_single_outlines {
    struct sw_contour turned, ceiling, grooved, grooved_ceiling;
};

/* single_mirror.c */
/** Operations, corrections and bends of Q into P, and the tools of what was found as P's shop has
 *  them. */
enum sw_status sw_single_take_over(struct sw_planner *p, const struct sw_planner *q) SW_MUST_CHECK;
void sw_single_take_over_found(struct sw_planner *p, const struct sw_planner *q);

/* single_neck.c */
/** The contours of Q with the pivot run on to a neck and the neck to the rod. */
enum sw_status sw_single_with_neck(struct sw_planner *q, const struct sw_single_outlines *staff,
                                   const struct sw_single_neck *neck) SW_MUST_CHECK;
/** The thinnest that holds and lets the spindle turn as fast as it can; what the job asks for where
 *  that holds and is not too stout. IS gets what it bears. */
enum sw_status sw_single_choose_neck(struct sw_plan_neck *is, struct sw_single_neck *neck,
                                     struct sw_planner *q,
                                     const struct sw_single_outlines *staff) SW_MUST_CHECK;

#endif
