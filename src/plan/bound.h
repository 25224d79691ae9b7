/* bound: what no plan can beat, to see how far one is from it.
 *
 * A lower bound of the time of turning both sides, in s of cutting and moving; without changes of
 * tools and run-ups of the spindle. It holds for every plan that is made by this planner's rules
 * under the same limits of work, tools and machine, with the same tool for the last cuts. Used by tests/bench, not by the
 * planner.
 *
 * Derivation. A plan roughs each zone of a side to what is left for its last cuts, by passes along
 * the axis, and finishes it before the next zone inwards is touched; before that a stout tool may
 * have gone over the whole side, ROUGH_LEFT away from the form, or over a zone without slopes, as
 * near as the zone is roughed.
 *   1. Metal that the stout tool leaves in going over the whole side (under ROUGH_LEFT, and in the
 *      corners its nose does not fill) is taken when the zone's turn comes: by the fine tool, or by
 *      the stout one in a zone without slopes; brought in for that and taken back, between two last
 *      cuts of the fine tool, it costs four ways to the place for hands. Going over that metal, a
 * pass that ends at radius r cuts at least the length of such metal just above r, less a nose at
 * each end where the form rises. Its feed is at most what the work bears, all that stands behind
 * the zone being there as at first and only a slice of it standing out; the spindle is as fast as
 * the surface speed allows at the end of the pass, without steps.
 *   2. Each such pass is begun at its feed from two hundredths off at least, drawn off by LIFT at
 * the feed through air, taken up and down again along X by LIFT and its depth, and back along Z.
 *   3. A zone that only the fine tool can end is an operation of its own: it is come to from where
 *      nothing is in the way, and left to there. A lever that bears no last cut over its whole
 *      length even with the untouched rod behind it is at least two zones (slices.c).
 *   4. The steps that levels leave come off in a run along the roughed form, bare pivots apart.
 *   5. All other metal takes at least its length over the largest feed that any tool may have there
 *      and its way back at full rapid. Where one pass takes both kinds, its cutting time is the sum
 *      of both, and its way back no shorter: t(a + b) >= t(a) + b/v for a move from rest to rest.
 *   6. Under 1 to 5 the fastest way down is found exactly by dynamic programming over all series of
 *      radii. The grid takes none out: a pass between two radii, both rounded up to the grid, is
 *      reckoned as one grain less deep and over the least metal of the grain it ends in.
 *   7. Last cuts are the same in every plan: their depth, feed and path follow from tool and form.
 *      They are counted as they are cut, with their ways from and to where nothing is in the way.
 *   8. Each tool that turns is brought from the place for hands once a side, and taken back.
 *   9. The trough behind the hub, which one tool reaches, is counted by its own fastest schedule.
 * The simple bound forgets what the work bears and in 1 takes the tools' own feeds.
 *
 * Not counted, though no plan avoids it: ways through air to the begin of a level and past its end;
 * corners and ramps of feeds; levels that meet metal in several places; a bar behind the zone that
 * is thinner than it was; spindle speeds in steps; what is lost between zones that cannot share a
 * level.
 * Statuses: SW_MEMORY, and what strength.h says.
 */
#ifndef SW_PLAN_BOUND_H
#define SW_PLAN_BOUND_H

#include "plan/plan_int.h"

struct sw_plan_bound {
    double simple_s; /* by the tools' own depths and feeds */
    double sharp_s;  /* by what the work bears at best */
    double trough_s; /* behind the hub, where one tool reaches: the fastest schedule itself */
    double ways_s;   /* of tools between the work and the place for hands */
    double way_s;    /* one of them, on the side that was added last */
};

/** Add the side that P is about to cut: zones and tools are chosen, nothing is cut yet. */
enum sw_status sw_plan_add_bound(struct sw_plan_bound *bound, struct sw_planner *p) SW_MUST_CHECK;

/** All ways down from R_FROM to R_TO by passes of at most MOST_DEPTH. */
struct sw_bound_way {
    double r_from, r_to, grain, most_depth;
    /** The least a pass takes [s] that begins in grain I and ends in grain J > I. Grain k holds the
     *  radii from R_TO + (N - k) GRAIN, that one with it, down to the next. */
    double (*least)(void *user, size_t i, size_t j);
    void *user;
    bool may_end_lower; /* the last pass may go on past R_TO, and is not counted */
};

/** Number of grains N of a way. */
size_t sw_bound_grains(const struct sw_bound_way *way);
/** No series of passes down this way takes less than SECONDS. */
enum sw_status sw_bound_way_down(double *seconds, const struct sw_bound_way *way,
                                 struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
