/* budget: what machine and holders leave in the sizes beside the bending of the work, and what is
 * said of it before a chip is cut.
 *
 * Warnings, each with its number and what would be right: a step of the control coarser than half
 * of a band (plan.step), backlash where a cut turns outwards (plan.backlash), the run of the second
 * side against the first (plan.runout), a bowed bar that leaves a guide bush aslant
 * (plan.bar-bent). The free tail of the rod is cut to what does not whip at the fastest speed
 * planned (plan.whip); nothing is refused for it, since a rod can be sawn off. Lengths mm. Nothing
 * is allocated.
 */
#ifndef SW_PLAN_BUDGET_H
#define SW_PLAN_BUDGET_H

#include "plan/plan.h"

/** Work it out for a plan that stands, and warn. Sets tail and tail_most of the first chucking. */
void sw_budget(struct sw_plan *plan, struct sw_ctx *ctx);

#endif
