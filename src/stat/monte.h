/* monte: distributions carried through a model by drawing, where first order is not enough.
 *
 * Every trial draws each source by its spread and asks the model for its value. The same seed gives
 * the same result. Units are the caller's.
 * Ownership: scratch memory is taken from the context's arena.
 * Statuses: SW_MEMORY.
 * Source: JCGM 101:2008, clauses 5.9, 6 and 7.
 */
#ifndef SW_STAT_MONTE_H
#define SW_STAT_MONTE_H

#include <stddef.h>
#include <stdint.h>

#include "base/ctx.h"
#include "stat/gum.h"

struct sw_monte {
    const double *value; /* of each source */
    const struct sw_gum_source *source;
    size_t n;
    double (*model)(const double *x, void *user); /* X: n drawn values */
    void *user;
    size_t trials; /* 100 at least */
    double share;  /* of the values the intervals hold (0..1) */
    uint64_t seed;
};

struct sw_monte_result {
    double mean;
    double u;                           /* standard deviation of the values */
    double low, high;                   /* as much below as above is left out */
    double shortest_low, shortest_high; /* the shortest interval that holds the share */
};

enum sw_status sw_monte_run(struct sw_monte_result *out, const struct sw_monte *monte,
                            struct sw_ctx *ctx) SW_MUST_CHECK;

/** Sort numbers, smallest first, without memory. */
void sw_monte_sort(double *x, size_t n);

#endif
