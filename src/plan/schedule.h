/* schedule: the fastest way from one radius down to another, under limits.
 *
 * A zone is roughed by passes along its length; each takes a depth at a feed and costs its cutting
 * time and the time to come back. What a pass may take is limited by whatever the caller's rule
 * says (deflection, stress, chip, spindle, grip); the rule must be monotone: what it forbids it
 * also forbids with more depth or more feed. Found by dynamic programming over the remaining
 * radius, on a grid of depths; the optimum on that grid is exact.
 * Units: mm on radius, mm per turn, rev/min, s. Ownership: results live in the context.
 */
#ifndef SW_PLAN_SCHEDULE_H
#define SW_PLAN_SCHEDULE_H

#include <stdbool.h>
#include <stddef.h>

#include "base/ctx.h"

struct sw_schedule_case {
    double r_from, r_to; /* material radius before and after, r_from > r_to */
    double grain;        /* step of the grid: depths are multiples of about this */
    double least_depth;  /* a pass takes at least this, except when less is left */
    double most_depth;
    const double *feed; /* feeds to choose from, growing */
    size_t n_feeds;
    double back_s; /* to come back after a pass */
    /** The same where it depends on the pass; NULL: back_s. */
    double (*back)(void *user, double r_old, double depth, double feed, double speed);
    double start_s; /* to begin with this tool */
    /** Speed of the spindle for a pass that starts at radius R [rev/min]. */
    double (*speed)(void *user, double r);
    /** Length of the run at radius R after the cut [mm]. */
    double (*length)(void *user, double r);
    /** Whether a pass from R_OLD taking DEPTH at FEED keeps all limits. */
    bool (*is_allowed)(void *user, double r_old, double depth, double feed);
    void *user;
};

struct sw_schedule_pass {
    double r_old, depth, feed, speed;
    size_t tool;    /* which of the cases */
    double seconds; /* cutting and coming back, with a tool change before it */
};

struct sw_schedule {
    struct sw_schedule_pass *pass; /* from the outside inwards */
    size_t n;
    double seconds;
    size_t n_tried; /* rule evaluations: what the search cost */
};

/** Find it. With N > 1 cases the work may go from one tool to a later one at any radius, once each;
 *  a change in between costs CHANGE_S. All cases share radii and grain. SW_CANNOT without a
 * diagnostic when no schedule keeps the limits: then OUT is the way down to the least radius that
 * can be reached. Ties go to fewer passes, so that results do not depend on rounding. */
enum sw_status sw_schedule_find(struct sw_schedule *out, const struct sw_schedule_case *of,
                                size_t n_cases, double change_s, struct sw_ctx *ctx) SW_MUST_CHECK;

/** Equal passes: as many as the grain of OF says, each with the largest feed the rule allows it, or
 *  all with ONE_FEED that is allowed everywhere. SW_CANNOT without a diagnostic when the rule
 * forbids one of them; OUT is empty then. */
enum sw_status sw_schedule_even(struct sw_schedule *out, const struct sw_schedule_case *of,
                                bool one_feed, struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
