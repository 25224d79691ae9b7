/* support: a bar that is held by a guide bush close behind the tool.
 *
 * The bush stands still and the bar slides in it, so that on the work it goes along with the tools,
 * always as far behind them. What bends is the bar between its face and the tool: as long as the
 * bar there is whole (window.h), a stump as short as the tools allow, however far the collet is.
 * Its play is taken up by the cut, which always pushes the same way: the bar then lies against the
 * bush, and the play is in the zero that is found by measuring. It is no part of bending.
 * Frame: chucking [mm]; compliances mm/N and rad/(N mm). Ownership: nothing is kept. Statuses:
 * SW_MEMORY, SW_GEOMETRY of a tool's outline.
 * Source of the root: mech/bush.h.
 */
#ifndef SW_PLAN_SUPPORT_H
#define SW_PLAN_SUPPORT_H

#include "mech/beam.h"
#include "plan/plan_int.h"

/** From the nose centre of a tool back to the face of the bush, so that nothing of it touches the
 *  bush even with the nose on the axis. */
enum sw_status sw_support_gap(double *gap, const struct sw_machine *machine,
                              const struct sw_tool *tool, struct sw_ctx *ctx) SW_MUST_CHECK;

/** Prepare a chucking whose rod is held: the bush, where the machine has one. */
enum sw_status sw_support_begin(struct sw_planner *p) SW_MUST_CHECK;

/** The face of the bush while the innermost place of a cut is at Z. */
double sw_support_root(const struct sw_planner *p, double z);

/** The bush as the root of a bar: its give, and that the bar turns in it against its own stiffness
 *  back to the collet, which holds it in place but not in direction. */
struct sw_bar_root sw_support_bush(const struct sw_planner *p);

/** The run of OP's tool over steps that levels left on the slopes of a zone, LEAVE over its form.
 */
struct sw_step {
    double z_in, z_out, leave;
    const struct sw_op *op;
};

/** Make FEED less until that run strains the work no more than it may where a STEP stands [mm per
 *  turn, mm]; no less than a last cut's. */
enum sw_status sw_support_step_feed(double *feed, struct sw_planner *p, const struct sw_step *of,
                                    double step) SW_MUST_CHECK;

/** How high steps may stand for it to be so at the least feed. */
enum sw_status sw_support_most_step(double *step, struct sw_planner *p,
                                    const struct sw_step *of) SW_MUST_CHECK;

/** Whether such a run over the highest steps that its tool may leave is borne all over a zone. */
enum sw_status sw_support_bears_steps(bool *bears, struct sw_planner *p,
                                      const struct sw_zone *zone) SW_MUST_CHECK;

/** Slices of a zone with slopes, so few that each bears such runs over the highest steps its tool
 *  may leave: what is further in is whole while they are made. */
enum sw_status sw_support_slices(int *n, struct sw_planner *p,
                                 const struct sw_zone *zone) SW_MUST_CHECK;

#endif
