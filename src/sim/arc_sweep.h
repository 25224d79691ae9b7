/* arc_sweep: where a convex outline has been along the chords of an arc, as one polygon.
 *
 * The union of the hulls of neighbouring positions is the same as cutting chord by chord, but costs
 * one overlay in place of one a chord.
 */
#ifndef SW_SIM_ARC_SWEEP_H
#define SW_SIM_ARC_SWEEP_H

#include "sim/convex.h"

enum sw_arc_sweep_kind {
    SW_ARC_SWEPT,  /* exact union of the hulls */
    SW_ARC_FOLDED, /* the outline is rounder than the arc on its inner side: union without the
                      slivers between neighbouring positions, thinner than SLIVER */
    SW_ARC_UNCLEAR /* neither: cut chord by chord */
};

/** Room POINTS must have. */
size_t sw_arc_sweep_room(const struct sw_convex *outline, size_t n_chords);

/** Sweep OUTLINE along Q[0..N_CHORDS], points on an arc that turns to the left by at most a right
 *  angle. *N points of a simple counter-clockwise polygon. WORK: room for 2 N_CHORDS indices. */
enum sw_arc_sweep_kind sw_arc_sweep(struct sw_pt *points, size_t *n,
                                    const struct sw_convex *outline, const struct sw_pt *q,
                                    size_t n_chords, double sliver, size_t *work);

#endif
