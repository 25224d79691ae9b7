/* contour: chains of lines and arcs, exact; offsets, envelopes, corners.
 *
 * A contour is a chain whose segments join end to start. A profile runs with the material on its
 * right-hand side (z growing, material below). Closed contours end where they start.
 * Everything is exact on lines and arcs (to SW_TOL_POINT); nothing is flattened here. A chain has
 * some hundred segments: the work grows with the square of their number.
 * Ownership: results live in the context's arena. Statuses: SW_MEMORY; SW_INTERNAL when the input
 * breaks a stated rule; others where said.
 */
#ifndef SW_GEOM_CONTOUR_H
#define SW_GEOM_CONTOUR_H

#include "base/ctx.h"
#include "geom/seg.h"

struct sw_contour {
    struct sw_seg *at;
    size_t n;
    size_t cap;
};

/** Append a segment (SW_VEC rules); false when out of memory. */
bool sw_contour_add(struct sw_arena *arena, struct sw_contour *contour, struct sw_seg seg);

bool sw_contour_is_joined(const struct sw_contour *contour);
bool sw_contour_is_closed(const struct sw_contour *contour);
double sw_contour_length(const struct sw_contour *contour);
struct sw_box sw_contour_box(const struct sw_contour *contour);
/** Signed area of a closed contour, counter-clockwise positive [mm2]. */
double sw_contour_area(const struct sw_contour *contour);
/** Distance of P from the chain [mm]; *SEG gets the nearest segment's index if not NULL. */
double sw_contour_distance(const struct sw_contour *contour, struct sw_pt p, size_t *seg);

/** Mirror and move along z: z' = SIGN * z + SHIFT, SIGN +1 or -1. With -1 the chain is also
 *  reversed, so that a profile stays a profile (material on the right of growing z). */
enum sw_status sw_contour_place(struct sw_contour *out, const struct sw_contour *in, int sign,
                                double shift, struct sw_ctx *ctx) SW_MUST_CHECK;

/** Swap z and r (and reverse): an axial view for tools that work along the axis. */
enum sw_status sw_contour_swap(struct sw_contour *out, const struct sw_contour *in,
                               struct sw_ctx *ctx) SW_MUST_CHECK;

/** Offset to the left of travel by DISTANCE [mm] (away from the material of a profile when
 *  positive), corners rolled round with arcs that keep the tag of the segment before the corner
 *  (SW_TAG_NONE never), all self-crossings removed: every point of the result is DISTANCE from the
 *  input and none is nearer (SW_TOL_OFFSET). Works on open chains (their ends offset square) and
 *  closed ones. Of an open chain the way from the offset of its start to that of its end is given,
 *  so pockets that a disc of that radius cannot enter are left out; of a closed one that falls
 *  into several loops, the loop with the largest area. An offset that vanishes gives an empty
 *  contour. DISTANCE 0 copies. A chain that touches or crosses itself keeps the rule of distance;
 *  which side of a crossing is followed is then not defined. */
enum sw_status sw_contour_offset(struct sw_contour *out, const struct sw_contour *in,
                                 double distance, struct sw_ctx *ctx) SW_MUST_CHECK;

/** The lowest path a wedge-shaped tool can follow: the least function of z that is nowhere below
 *  any point of IN and nowhere falls faster than the tool's flanks allow.
 *
 *  TAN_RIGHT: tangent of the angle between +z and the flank on the +z side of the tool; a place
 *  left of material that drops to the left more steeply than this is bridged by a straight line.
 *  TAN_LEFT: the same for the -z side. INFINITY: that flank is square to the axis or undercut, no
 *  limit. The result runs with growing z from the least to the largest z of IN; pieces of IN keep
 *  their tag, added lines carry SW_TAG_BRIDGE, jumps become lines square to the axis with the tag
 *  of the higher side's neighbour. Overhangs (several r at one z) give their highest r. A chain
 *  without extent along z gives an empty contour. SW_INTERNAL for a negative tangent. */
enum sw_status sw_contour_envelope(struct sw_contour *out, const struct sw_contour *in,
                                   double tan_right, double tan_left,
                                   struct sw_ctx *ctx) SW_MUST_CHECK;

/** Least function of z nowhere below A or B (both as given by sw_contour_envelope); outside the
 *  range of one the other counts. SW_INTERNAL when the ranges do not touch. */
enum sw_status sw_contour_upper(struct sw_contour *out, const struct sw_contour *a,
                                const struct sw_contour *b, struct sw_ctx *ctx) SW_MUST_CHECK;

/** Largest r of the chain at Z; false when Z is outside. */
bool sw_contour_r_at(double *r, const struct sw_contour *contour, double z);
/** The same at N places, the first at Z and then STEP > 0 apart; NAN where the chain is not. */
void sw_contour_sample(double *r, const struct sw_contour *contour, double z, double step,
                       size_t n);

struct sw_interval {
    double z0, z1; /* z0 < z1 */
};
struct sw_intervals {
    struct sw_interval *at;
    size_t n;
    size_t cap;
};

/** The stretches of z over which an envelope lies below level R, growing z, touching ones merged;
 *  stretches shorter than SW_TOL_POINT are dropped. */
enum sw_status sw_contour_below(struct sw_intervals *out, const struct sw_contour *envelope,
                                double r, struct sw_ctx *ctx) SW_MUST_CHECK;

/** The piece of an envelope between Z0 and Z1 > Z0 (jumps at the ends left out). */
enum sw_status sw_contour_piece(struct sw_contour *out, const struct sw_contour *envelope,
                                double z0, double z1, struct sw_ctx *ctx) SW_MUST_CHECK;

/** Round the corner between segments I and I+1 with an arc of RADIUS tangent to both (line or arc
 *  on either side), tagged TAG. SW_CANNOT, contour unchanged, when the arc does not fit into half
 *  of either neighbour's length or the corner is already smooth (no diagnostic: the caller knows
 *  what the corner is called). */
enum sw_status sw_contour_round(struct sw_contour *contour, size_t i, double radius, int tag,
                                struct sw_ctx *ctx) SW_MUST_CHECK;

/** Chords instead of arcs.
 *  SIDE +1: the polyline stays on the left of the contour or on it (circumscribed about material
 *  on the right), -1: on the right or on it (inscribed), 0: vertices on the arc. Deviation at most
 *  CHORD [mm]. N points are written, the last equal to the first for a closed contour. */
enum sw_status sw_contour_flatten(struct sw_pt **points, size_t *n, const struct sw_contour *in,
                                  double chord, int side, struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
