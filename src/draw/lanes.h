/* lanes: where labels and dimension lines go so that none lies on another.
 *
 * Pure reckoning on intervals of one axis, in any unit. No memory but what is given.
 */
#ifndef SW_DRAW_LANES_H
#define SW_DRAW_LANES_H

#include <stddef.h>

struct sw_lane_span {
    double from, to; /* from <= to */
};

/** Give each of N spans a lane [0..]: two spans of one lane are at least GAP apart. Short spans
 *  come first and take the lowest lane that is free, so that a span never lies under a shorter one
 *  that it covers. Returns the number of lanes. */
size_t sw_lanes_assign(size_t *lane, const struct sw_lane_span *span, size_t n, double gap);

/** Move N labels, in the order of their wishes, apart: label I of width WIDTH[I] wants its middle
 * at WANT[I] (growing with I) and gets AT[I]; neighbours do not overlap, the sum of the squared
 *  shifts is the least there is, and all lie between LOW and HIGH if they have room there (too many
 *  begin at LOW and run over HIGH). SCRATCH holds 2 N numbers. */
void sw_lanes_spread(double *at, const double *want, const double *width, size_t n, double low,
                     double high, double *scratch);

#endif
