/* passes: the plan explained pass by pass.
 *
 * For every operation its time by the judge, and for every pass its depth, feed, spindle speed, the
 * band of its force, how far it bends the work, the stress, and what kept it from doing more;
 * beside that what the judge found in the text. Depths, feeds and bending in um, forces in N (all
 * components together; high end), stress in MPa.
 */
#ifndef SW_REPORT_PASSES_H
#define SW_REPORT_PASSES_H

#include "plan/plan.h"
#include "verify/verify.h"

/** PROGRAMS: one list a chucking. */
void sw_report_passes(struct sw_buf *out, const struct sw_plan *plan,
                      const struct sw_post_programs *programs, const struct sw_verdict *verdict);

/** The same for programs, format staffwright.passes/1 (profiles/schemas/passes.schema.json); what
 * is not known is null. SW_MEMORY. */
enum sw_status sw_report_passes_json(struct sw_buf *out, const struct sw_plan *plan,
                                     const struct sw_post_programs *programs,
                                     const struct sw_verdict *verdict,
                                     const char *version) SW_MUST_CHECK;

/** "bending", "the tool", ... */
const char *sw_report_limit(enum sw_pass_limit limit);

/** Spindle speed of a pass [rev/min]; at surface speed by the thinnest place of it: there the
 *  spindle is fastest. */
double sw_report_pass_turns(const struct sw_op *op, const struct sw_pass *pass);

#endif
