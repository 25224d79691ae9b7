/* cuts: random programs of cuts from a seed, for removal kernels: tools of five shapes, lines and
 * arcs, and in every second program everything on a coarse grid, so that curves touch, coincide,
 * close to full circles and cross the axis all the time.
 *
 * Frame: chucking [mm]; a rod of radius 1 from z = -6 to 0. Pure but for the arena of the outline.
 */
#ifndef SW_TESTS_SUPPORT_CUTS_H
#define SW_TESTS_SUPPORT_CUTS_H

#include "sim/work.h"

enum { SW_CUTS_MOST = 100 };

#define SW_CUTS_ROD_LENGTH 6.0
#define SW_CUTS_ROD_RADIUS 1.0

struct sw_cuts {
    uint64_t seed;
    struct sw_contour tool;
    const char *tool_name;
    struct sw_sweep sweep[SW_CUTS_MOST];
    size_t n;
    bool is_on_grid;
};

/** The program of a seed; false when out of memory. */
bool sw_cuts_make(struct sw_cuts *out, uint64_t seed, size_t n, struct sw_arena *arena);
/** One of short moves that go on from one another, up to 0.02 mm long, after a few cuts; in every
 *  second program their ends are rounded to four decimals, as in a text. */
bool sw_cuts_make_short(struct sw_cuts *out, uint64_t seed, size_t n, struct sw_arena *arena);
/** A number in [0, 1): xorshift64*, S. Vigna, "An experimental exploration of Marsaglia's xorshift
 *  generators", 2016. */
double sw_cuts_share(uint64_t *state);
void sw_cuts_print(const struct sw_cuts *cuts);

#endif
