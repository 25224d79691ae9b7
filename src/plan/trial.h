/* trial: a job planned aside, and what was found about the strength of the work on the way.
 *
 * The planner writes down where the work is too weak or bends too far instead of speaking; who
 * asked for the plan says it, with advice (advice.h). A trial may also be given a section to watch:
 * the worst pass planned there, or what the lightest cut does at the radius where it was refused
 * before, tells one change of the job from another.
 * Units: mm, N, MPa, N m, W; thicknesses on the diameter where said.
 * Ownership: lives in the context; tools point into the shop. Statuses: as sw_plan_build.
 */
#ifndef SW_PLAN_TRIAL_H
#define SW_PLAN_TRIAL_H

#include "plan/plan.h"

/** A roughing pass from one radius of one section, and what may be. */
struct sw_plan_load {
    const struct sw_tool *tool;
    double r, depth, feed;
    double force; /* thrust, high end [N] */
    double bend, most_bend;
    double stress, most_stress;
    double grip, most_grip; /* at the holder [N] */
    double torque, most_torque;
    double power, most_power;
    double bend_in_bush; /* with a guide bush close behind the zone; 0: none can stand there */
};

/** Bending of the last cut of a zone. */
struct sw_plan_lever {
    size_t section;
    size_t chucking;
    const struct sw_tool *tool;
    int n_slices;
    double off;   /* how far the diameter may come out from its size, either way */
    double share; /* how far it may: a share of half the tolerance band */
    double half_band;
    double off_in_bush; /* with a guide bush close behind; 0: none can stand there */
};

enum { SW_PLAN_SIDES = 2 };

/** Tools that reach as much of a side as the one that takes its last cuts. */
struct sw_plan_equals {
    const struct sw_tool **at;
    size_t n;
    size_t cap;
};

struct sw_plan_found {
    bool is_refused; /* for want of strength: `refused` tells why */
    size_t refused_section, refused_chucking;
    struct sw_plan_load refused;
    bool watches; /* set by the asker, with the next two */
    size_t watched_section;
    double watched_r;
    bool has_watched;
    struct sw_plan_load watched;         /* the worst where a pivot is cut in slices */
    double overhang;                     /* that the first side was planned with */
    double rod;                          /* diameter taken */
    const char *grip;                    /* section gripped second, once that is known */
    const struct sw_tool *sets_nose;     /* the tool that decides how far the rod stands out */
    SW_VEC(struct sw_plan_lever) levers; /* of all zones with a diameter of their own */
    struct sw_plan_equals equals[SW_PLAN_SIDES]; /* by chucking */
};

/** Plainer ways of working than this planner's own, under the same limits: what its schedules are
 *  compared with (tests/bench). Each takes its own best parameters by search. */
enum sw_plan_ties {
    SW_TIES_NONE,
    /* Each zone from the rod to its size with one depth and one feed, the last cuts too. */
    SW_TIES_ONE_DEPTH,
    /* The same, but the last cuts have their own depth and feed, and roughing may change tools. */
    SW_TIES_FREE_FINISH,
    /* The planner's own zones, tools and levels between them, each roughed in equal depths. */
    SW_TIES_TWO_LEVEL
};

struct sw_plan_bound; /* bound.h */

struct sw_plan_task {
    const struct sw_job *job;
    const struct sw_shop *shop;
    const struct sw_shape *shape;
    const struct sw_post *post;
    const struct sw_plan_blank *blank; /* hardened, to be finished; NULL: from the rod */
    double overhang; /* how much further than the staff is long the rod stands out, where that is
                        known; 0: it is not */
    bool explains;   /* every pass is followed through what stands at its moment */
    bool is_survey;  /* only as far as the bending of the last cuts: no zone is roughed */
    const struct sw_tool *favourite[SW_PLAN_SIDES]; /* for the last cuts of a chucking; NULL: of
                                                       those that reach most the largest nose */
    enum sw_plan_ties ties;
    struct sw_plan_bound *bound; /* gets what no schedule can beat; NULL: not asked for */
};

/** How near a load is to the first limit it meets: 1 at the limit. */
double sw_plan_load_share(const struct sw_plan_load *load);

/** Plan. FOUND is what the asker has set in it. */
enum sw_status sw_plan_trial(struct sw_plan **out, struct sw_plan_found *found,
                             const struct sw_plan_task *task, struct sw_ctx *ctx) SW_MUST_CHECK;

/** Plan, and choose what the job leaves open by the same cost (choose.c). TASK becomes the one that
 *  was taken; FOUND what was found for it. */
enum sw_status sw_plan_choose(struct sw_plan **out, struct sw_plan_found *found,
                              struct sw_plan_task *task, struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
