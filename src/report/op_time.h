/* op_time: what an operation of the plan takes, by the judge's clock, and what its passes do to the
 * work, by the judge's reckoning.
 *
 * The plan knows its operations and passes, the dialect's writer where each begins in the text, the
 * judge how long the machine needs for which lines and what they do; here they meet. Times in s,
 * forces in N, bending in um, stress in MPa. Pure, no memory.
 */
#ifndef SW_REPORT_OP_TIME_H
#define SW_REPORT_OP_TIME_H

#include "plan/plan.h"
#include "verify/verify.h"

/** Time of operation OP of chucking SIDE, from its first line to where the next begins; all 0 for a
 *  pause. A change to the next tool comes at the end of it. PROGRAMS: one list a chucking. */
struct sw_times sw_report_op_times(const struct sw_plan *plan,
                                   const struct sw_post_programs *programs,
                                   const struct sw_verdict *verdict, size_t side, size_t op);

/** What the judge found of a pass. */
struct sw_pass_found {
    const char *program; /* file the pass stands in; NULL: in none */
    struct sw_line_load load;
};

/** The worst that pass PASS of operation OP does. Between the last cut of a pass and the first line
 *  of the next nothing is cut, so that also the next operation's way up to it changes nothing. */
struct sw_pass_found sw_report_pass_load(const struct sw_plan *plan,
                                         const struct sw_post_programs *programs,
                                         const struct sw_verdict *verdict, size_t side, size_t op,
                                         size_t pass);

/** Time of all programs of a chucking. */
struct sw_times sw_report_side_times(const struct sw_verdict *verdict, size_t side);

/** "4 min 38 s cutting, 40 s moving, 10 s changing tools, 56 s waiting for the spindle" */
void sw_report_times(struct sw_buf *out, const struct sw_times *times);

#endif
