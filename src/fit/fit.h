/* fit: whether a finished staff fits its jewels and parts, and how surely.
 *
 * Each item is one thing that must be right: a shake, a clearance, an interference, a stress. It is
 * worked out for the nominal staff and the parts as measured; at the worst corner of all doubts and
 * tolerances; by root-sum-square; and by Monte Carlo, in which the doubts of the readings and the
 * sizes of the staff (anywhere within their tolerances) are drawn together, so that readings used
 * twice count once.
 * Units: mm, degrees, MPa, N as each item says.
 * Ownership: lives in the context. Statuses: SW_FOUND when an item that no staff can do without
 * fails at the nominal sizes, or readings surely contradict each other (OUT is given all the same),
 * SW_MEMORY.
 * Sources: fit/laws.h; limits with each item. JCGM 101:2008 for the drawing.
 */
#ifndef SW_FIT_FIT_H
#define SW_FIT_FIT_H

#include <stdint.h>

#include "base/ctx.h"
#include "fit/known.h"
#include "part/staff.h"

enum { SW_FIT_TRIALS = 20000 };
#define SW_FIT_SEED UINT64_C(43)

enum sw_fit_verdict {
    SW_FIT_GOOD,
    SW_FIT_OUTSIDE,
    SW_FIT_FAILS,
    SW_FIT_FOR_INFORMATION /* its limits, if it has any, do not count for the chances */
};

struct sw_fit_item {
    const char *name;
    const char *unit;
    int decimals;
    double value;                   /* nominal staff, parts as measured */
    double least, most;             /* as the trade wants it; infinite: no limit */
    double never_under, never_over; /* beyond it the staff is of no use; infinite: no limit */
    const char *rule;               /* where the limits come from */
    double worst_low, worst_high;
    double rss;       /* root-sum-square about the value */
    double low, high; /* 95 % of the trials */
    double chance;    /* of being within the trade's limits (0..1) */
    enum sw_fit_verdict verdict;
    const char *most_doubt; /* what brings most of its spread, or NULL */
};

struct sw_fit {
    struct sw_fit_item *item;
    size_t n;
    size_t trials;
    uint64_t seed;
    double chance_all;               /* all items within the trade's limits */
    double chance_together;          /* none beyond the limits that no staff can do without */
    const struct sw_knowledge *know; /* the parts, and where their readings contradict each other */
    bool gap_is_assumed;             /* an endstone's stand-off was not measured */
};

/** Hold STAFF against its jewels and parts. OUT is NULL when it has none. */
enum sw_status sw_fit_check(struct sw_fit **out, const struct sw_staff *staff,
                            struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
