/* advice: what would make possible what was refused, each with its computed effect.
 *
 * Where the work is too weak for the lightest cut, or the last cut bends a zone beyond its share,
 * the job is planned again with one thing changed, for every change that makes a difference, and
 * the outcomes are ranked: those that hold first, the smallest change before the larger, then those
 * that only help, the most effective first. Each line of the hint is such a plan; nothing is said
 * of changes that do not help.
 * Ownership: diagnostics are copied by their sink. Statuses: SW_MEMORY.
 */
#ifndef SW_PLAN_ADVICE_H
#define SW_PLAN_ADVICE_H

#include "plan/trial.h"

/** Say why it was refused, and what would help. AIDS may be NULL. */
enum sw_status sw_advice_on_refusal(const struct sw_plan_found *found,
                                    const struct sw_plan_task *task, struct sw_plan_aids *aids,
                                    struct sw_ctx *ctx) SW_MUST_CHECK;

/** Warn of zones that bend beyond their share; with AIDS that ask for it also what would bend them
 *  less. */
enum sw_status sw_advice_on_bending(const struct sw_plan_found *found,
                                    const struct sw_plan_task *task, struct sw_plan_aids *aids,
                                    struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
