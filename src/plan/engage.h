/* engage: what passes really take, place by place along their ways, and what that does to the work.
 *
 * A schedule reckons its levels as cuts along a cylinder. Other passes take what happens to stand
 * before them: steps that levels left, the edge of a tip, fillets beside a wall, the metal between
 * seat and lip. Here each is followed through what stands at its moment: the stock, less what the
 * passes before it took away. At each place the front of the tool, nose and flanks, is looked at:
 * how much of it stands in metal square to the way is the depth, and on which side work is left is
 * the surface it pushes into. Forces are mech's, along and across that way; the bar is the stock in
 * its stairs. Told, not limited.
 * Frame: chucking [mm]; forces N, stress MPa. Ownership: nothing is kept. Statuses: SW_MEMORY.
 */
#ifndef SW_PLAN_ENGAGE_H
#define SW_PLAN_ENGAGE_H

#include "plan/plan_int.h"

/** Fill in the loads of OP's passes, which come after the operations of P that its stock does not
 *  know of yet. What a schedule or a last cut was reckoned with stays where it is more. BEFORE is
 *  what stood before them all; NULL: the stock of P. */
enum sw_status sw_engage_tell(struct sw_op *op, const struct sw_planner *p,
                              const struct sw_contour *before) SW_MUST_CHECK;

#endif
