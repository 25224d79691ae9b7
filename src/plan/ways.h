/* ways: a job planned by several schemes, and one of them taken.
 *
 * On a bench lathe a staff may be turned round or cut in one grip; neither is always better. Both
 * are planned to their end and compared by risk, by how true the pivots run to each other, and by
 * time, in this order: a way that strains the work beyond the shop's safety goes behind one that
 * does not; one whose pivots may run out by more than pivots want behind one whose do not; else the
 * one sooner done is taken, and of equals `reversed`, whose work can be measured and tried on more
 * freely.
 * Ownership: lives in the context. Statuses: as sw_plan_build.
 */
#ifndef SW_PLAN_WAYS_H
#define SW_PLAN_WAYS_H

#include "plan/plan.h"

/** What PLAN is like, for comparing. */
struct sw_plan_way sw_way_of(const struct sw_plan *plan);

/** Which of two ways is the better, and why: *WHY is a sentence. The first where they are alike. */
size_t sw_way_choose(const char **why, const struct sw_plan_way way[SW_PLAN_WAYS],
                     double most_stress, struct sw_ctx *ctx);

/** What sw_plan_build is asked. */
struct sw_plan_question {
    const struct sw_job *job;
    const struct sw_shop *shop;
    const struct sw_shape *shape;
    const struct sw_post *post;
    struct sw_plan_aids *aids;
};

/** Plan by either scheme and keep the better plan, with both ways told in it. Where neither can be
 *  made, what is said of `reversed`. */
enum sw_status sw_plan_best_way(struct sw_plan **out, const struct sw_plan_question *of,
                                struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
