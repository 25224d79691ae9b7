/* geom_int: what the files of geom share among themselves; not for other modules.
 *
 * Units and frame as in seg.h. Plain records and pure functions; the only ones that allocate take
 * an arena and say so.
 */
#ifndef SW_GEOM_GEOM_INT_H
#define SW_GEOM_GEOM_INT_H

#include <math.h>

#include "base/mem.h"
#include "geom/contour.h"
#include "geom/tol.h"

#define SW_GEOM_PI 3.14159265358979323846

static inline struct sw_pt sw_geom_plus(struct sw_pt a, struct sw_pt b)
{
    return (struct sw_pt){a.z + b.z, a.r + b.r};
}

static inline struct sw_pt sw_geom_less(struct sw_pt a, struct sw_pt b)
{
    return (struct sw_pt){a.z - b.z, a.r - b.r};
}

static inline struct sw_pt sw_geom_times(struct sw_pt a, double k)
{
    return (struct sw_pt){a.z * k, a.r * k};
}

static inline double sw_geom_dot(struct sw_pt a, struct sw_pt b)
{
    return a.z * b.z + a.r * b.r;
}

/** Positive when B points to the left of A. */
static inline double sw_geom_cross(struct sw_pt a, struct sw_pt b)
{
    return a.z * b.r - a.r * b.z;
}

/** A quarter turn to the left. */
static inline struct sw_pt sw_geom_left(struct sw_pt a)
{
    return (struct sw_pt){-a.r, a.z};
}

/** No size here is near the ends of the doubles, and hypot is a call. */
static inline double sw_geom_size(struct sw_pt a)
{
    return sqrt(a.z * a.z + a.r * a.r);
}

static inline double sw_geom_clamp(double x, double low, double high)
{
    return x < low ? low : x > high ? high : x;
}

static inline bool sw_geom_boxes_touch(const struct sw_box *a, const struct sw_box *b)
{
    return a->z0 <= b->z1 + SW_TOL_POINT && b->z0 <= a->z1 + SW_TOL_POINT &&
           a->r0 <= b->r1 + SW_TOL_POINT && b->r0 <= a->r1 + SW_TOL_POINT;
}

/** Whether the arc passes the direction of P from its centre, ends included within SW_TOL_POINT;
 *  the share goes to SHARE. */
bool sw_geom_arc_passes(const struct sw_seg *arc, struct sw_pt p, double *share);

/** One place where two segments meet, as a share of each. */
struct sw_geom_meeting {
    double s;
    double t;
};
enum { SW_GEOM_MEETINGS = 6 }; /* four ends and two crossings */

/** All places where two segments meet, ends lying on the other segment among them, no place twice.
 *  In the order of S. */
int sw_geom_meet_all(const struct sw_seg *s, const struct sw_seg *t,
                     struct sw_geom_meeting found[SW_GEOM_MEETINGS]);

/** The curve of SEG shifted to the left of travel by DISTANCE; false when an arc vanishes. */
bool sw_geom_shift(struct sw_seg *out, const struct sw_seg *seg, double distance);

/** Append SEG to a chain that is being built: its start is snapped to the end of the chain, a
 *  piece that continues the last segment is joined with it, one shorter than SW_TOL_POINT is left
 *  out. False when out of memory. */
bool sw_geom_append(struct sw_arena *arena, struct sw_contour *chain, struct sw_seg seg);

/** R of a segment that runs with growing z and is single-valued in z; beyond an end the end's. */
double sw_geom_r_on(const struct sw_seg *seg, double z);

/** The piece of such a segment from Z0 to Z1; an end within SW_TOL_POINT of the segment's own end
 *  is that end. */
struct sw_seg sw_geom_slice(const struct sw_seg *seg, double z0, double z1);

/** Cut a segment where its tangent is square to the axis: at most three pieces, each single-valued
 *  in z or square to the axis. Returns their number. */
int sw_geom_cut_at_z_extremes(const struct sw_seg *seg, struct sw_seg piece[3]);

static inline bool sw_geom_is_square(const struct sw_seg *seg)
{
    return fabs(seg->b.z - seg->a.z) <= SW_TOL_POINT;
}

/** The largest distance from CHAIN of a point of the line from A to B, to within SW_TOL_DEPTH,
 *  unless it is below BEST: then BEST. */
double sw_geom_line_depth(const struct sw_contour *chain, struct sw_pt a, struct sw_pt b,
                          double best);

/** Convex hull of N points: counter-clockwise without repetition, in HULL with room for 2 N.
 *  ORDER is room for N. Returns the number of corners; less than 3: the points have no area. */
size_t sw_geom_hull(struct sw_pt *hull, struct sw_pt *order, const struct sw_pt *points, size_t n);

#endif
