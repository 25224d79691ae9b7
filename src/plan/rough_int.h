/* Internals of roughing: one tool's share of a zone. Frame: chucking; radii of material [mm]. */
#ifndef SW_PLAN_ROUGH_INT_H
#define SW_PLAN_ROUGH_INT_H

#include "mech/feedtime.h"
#include "plan/plan_int.h"
#include "plan/strength.h"

struct rule {
    struct sw_strength strength;
    double surface;    /* cutting speed at the outside: none of the steps exceeds it [m/min] */
    double most_speed; /* rev/min */
    double keeps;      /* rev/min at most, where the control keeps the surface speed; else 0 */
};

enum { MOST_TOOLS = 2 };

/* One tool's share of a zone. */
/* Zones that are roughed together, and how far in. */
struct sw_zone_span {
    size_t first, last;
    double z_in;
};

struct share {
    struct sw_fitted tool;
    struct sw_contour locus;
    struct sw_reach reach;
    struct sw_levels how;
    struct sw_op op;
    struct rule search;
    double depth_share; /* a level takes at most this share of what the tool may */
    struct sw_axis_limits rapid_x, rapid_z;
    struct sw_ctx *ctx;
    /* Levels looked at, by their number on the grid of the search; length below 0: not yet. */
    struct sw_level_shape *shape;
    size_t n_shapes;
    double r_from, grain;
    double leave;       /* kept over the turned form */
    double r_narrow;    /* > 0: narrow stretches are entered from this far out, the bar still whole
                           beside them */
    double bottom;      /* material radius it can come down to */
    double least_depth; /* thinner passes are left to the next tool */
};

/* share.c */
/** Where a share's tool may go in a zone, and how low. LEAVE is kept over the turned form. */
enum sw_status sw_share_begin(struct share *share, struct sw_planner *p, const struct sw_zone *zone,
                              double leave, double r_stock) SW_MUST_CHECK;
/** Length of the runs of a level, and the time to come back from it, for struct sw_schedule_case.
 */
double sw_share_length(void *user, double r);
double sw_share_back(void *user, double r_old, double depth, double feed, double speed);
/** The case a schedule is searched for: from R_FROM to R_TO on a grid of GRAIN. */
enum sw_status sw_share_case(struct sw_schedule_case *of, struct share *share, struct sw_planner *p,
                             const struct sw_zone *zone, double leave, double r_from, double r_to,
                             double grain) SW_MUST_CHECK;
/** What it costs to take up the first of N tools, and the last [s]. */
void sw_share_start(double start_s[MOST_TOOLS], const struct share *share, size_t n,
                    const struct sw_planner *p);
/** The fastest schedule of N shares down to the bottom of the last. */
enum sw_status sw_share_search(struct sw_schedule *schedule, struct share *share, size_t n,
                               struct sw_planner *p, const struct sw_zone *zone, double leave,
                               double r_stock) SW_MUST_CHECK;
/** The fastest equal passes of one share from R_FROM to R_TO. SW_CANNOT when there are none. */
enum sw_status sw_share_search_even(struct sw_schedule *best, struct share *share,
                                    struct sw_planner *p, const struct sw_zone *zone, double leave,
                                    double r_from, double r_to, bool one_feed) SW_MUST_CHECK;
/** A share's passes divided equally, where the plan is tied to that or where it is faster. */
enum sw_status sw_share_even_out(struct sw_schedule *own, struct share *share, struct sw_planner *p,
                                 const struct sw_zone *zone, double leave) SW_MUST_CHECK;
/** The passes of one tool, as a schedule of their own. */
struct sw_schedule sw_share_passes(const struct sw_schedule *whole, size_t tool);
/** Deepest pass into the operation; no speeds where the control keeps the surface speed. */
void sw_share_speeds(struct share *share, const struct sw_schedule *own);
/** What each pass does, and what kept it from more. */
enum sw_status sw_share_reckon(struct share *share, const struct sw_schedule *own,
                               struct sw_ctx *ctx) SW_MUST_CHECK;
/** The levels of a zone; the last share runs over its steps unless the zone is a bare pivot. */
enum sw_status sw_share_cut(struct share *share, struct sw_planner *p,
                            const struct sw_schedule *own, bool is_last) SW_MUST_CHECK;

/* ties.c */
enum sw_status sw_ties_find_plain(struct sw_schedule *schedule, struct share *share, size_t n,
                                  struct sw_planner *p, const struct sw_zone *zone, double leave,
                                  double r_stock) SW_MUST_CHECK;
enum sw_status sw_ties_rough_with_one_depth(struct share *share, struct sw_planner *p,
                                            const struct sw_zone *zone, double leave,
                                            double r_stock) SW_MUST_CHECK;

#endif
