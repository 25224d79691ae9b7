/* bound: what no schedule can beat, to see how far a plan is from it.
 *
 * Of roughing from outside, both sides together, in s of cutting and moving; without changes of
 * tools, waiting and the last cuts. Derived in bound.c. Used by tests/bench, not by the planner.
 * Statuses: SW_MEMORY, and what strength.h says.
 */
#ifndef SW_PLAN_BOUND_H
#define SW_PLAN_BOUND_H

#include "plan/plan_int.h"

struct sw_plan_bound {
    double simple_s; /* fewest passes by the tools' own depths and feeds */
    double sharp_s;  /* by what the work bears at best, each pass in any number of slices */
    double trough_s; /* behind the hub, where one tool reaches: the fastest schedule itself */
};

/** Add the side that P is about to cut: zones and tools are chosen, nothing is cut yet. */
enum sw_status sw_plan_add_bound(struct sw_plan_bound *bound, struct sw_planner *p) SW_MUST_CHECK;

#endif
