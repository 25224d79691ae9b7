/* convex: small convex polygons in the (z, r) plane: a tool in chords, and where it has been.
 *
 * Counter-clockwise, no point repeated, at least three points unless empty (n = 0).
 * Frame: any one, as the caller says [mm]. Results live in the arena given; NULL points with a
 * count of 0 are valid. Functions that allocate give false when out of memory.
 */
#ifndef SW_SIM_CONVEX_H
#define SW_SIM_CONVEX_H

#include "geom/contour.h"

struct sw_convex {
    struct sw_pt *at;
    size_t n;
};

/** The convex hull of N points in any order. */
bool sw_convex_hull(struct sw_convex *out, const struct sw_pt *points, size_t n,
                    struct sw_arena *arena);

/** Move every edge outwards by DISTANCE (inwards when negative). An inward shift that swallows the
 *  polygon gives an empty one. Corners are mitred, so the outward result contains the rounded
 *  one. */
bool sw_convex_shift(struct sw_convex *out, const struct sw_convex *in, double distance,
                     struct sw_arena *arena);

/** The hull of IN at A and at B, into POINTS with room for sw_convex_sweep_room(IN). */
size_t sw_convex_sweep_room(const struct sw_convex *in);
struct sw_convex sw_convex_sweep(struct sw_pt *points, const struct sw_convex *in, struct sw_pt a,
                                 struct sw_pt b);

/** The part of IN inside BOX, into POINTS with room for IN->n + 4, by way of SPARE of the same
 *  room. Empty when the overlap is no area. */
struct sw_convex sw_convex_clip(struct sw_pt *points, struct sw_pt *spare,
                                const struct sw_convex *in, struct sw_box box);

/** True when the interiors overlap by more than EPSILON [mm]. */
bool sw_convex_overlaps(const struct sw_convex *a, const struct sw_convex *b, double epsilon);

struct sw_box sw_convex_box(const struct sw_convex *in);
double sw_convex_area(const struct sw_convex *in);
/** Distance of P from the polygon, 0 inside. */
double sw_convex_distance(const struct sw_convex *in, struct sw_pt p);
/** Least distance between the polygon and a box, 0 when they overlap. */
double sw_convex_box_distance(const struct sw_convex *in, struct sw_box box);

bool sw_box_overlaps(struct sw_box a, struct sw_box b);
struct sw_box sw_box_join(struct sw_box a, struct sw_box b);
struct sw_box sw_box_grow(struct sw_box box, double by);

#endif
