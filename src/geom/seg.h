/* seg: points, directed line and arc segments in a (z, r) half-plane.
 *
 * Frame: any; z to the right, r up [mm]. Angles [rad] are measured from +z towards +r, so an arc
 * with turn +1 runs counter-clockwise in a picture with z to the right and r up.
 * Pure functions on plain records; no memory, no failure, except where a return value says so.
 */
#ifndef SW_GEOM_SEG_H
#define SW_GEOM_SEG_H

#include <stdbool.h>
#include <stddef.h>

struct sw_pt {
    double z;
    double r;
};

struct sw_box {
    double z0, r0, z1, r1; /* z0 <= z1, r0 <= r1 */
};

enum sw_seg_kind { SW_SEG_LINE, SW_SEG_ARC };

/* Tags at or above 0 are the caller's (the index of a section); negative ones are geom's. */
enum { SW_TAG_NONE = -1, SW_TAG_BRIDGE = -2 /* made by an envelope, no part of the input */ };

struct sw_seg {
    enum sw_seg_kind kind;
    struct sw_pt a;  /* start */
    struct sw_pt b;  /* end; an arc with a == b is a full circle */
    struct sw_pt c;  /* arc: centre */
    int turn;        /* arc: +1 counter-clockwise, -1 clockwise */
    int tag;
};

struct sw_seg sw_seg_line(struct sw_pt a, struct sw_pt b, int tag);
struct sw_seg sw_seg_arc(struct sw_pt a, struct sw_pt b, struct sw_pt c, int turn, int tag);
struct sw_seg sw_seg_reverse(struct sw_seg seg);

double sw_pt_distance(struct sw_pt a, struct sw_pt b);

/** Radius of an arc [mm]: mean of the distances of both ends from the centre; 0 for a line. */
double sw_seg_radius(const struct sw_seg *seg);
/** Swept angle of an arc, signed by its turn, size in (0, 2 pi]; 0 for a line. */
double sw_seg_sweep(const struct sw_seg *seg);
double sw_seg_length(const struct sw_seg *seg);
/** Point at share T [0..1] of the length. */
struct sw_pt sw_seg_at(const struct sw_seg *seg, double t);
/** Unit direction of travel at share T. A segment shorter than SW_TOL_POINT gives (1, 0). */
struct sw_pt sw_seg_direction(const struct sw_seg *seg, double t);
/** Share T of the point of the segment nearest to P; the distance goes to DISTANCE if not NULL. */
double sw_seg_nearest(const struct sw_seg *seg, struct sw_pt p, double *distance);
struct sw_box sw_seg_box(const struct sw_seg *seg);
/** The part from share T0 to share T1 > T0. */
struct sw_seg sw_seg_part(const struct sw_seg *seg, double t0, double t1);

/** Where two segments meet: up to two points, as shares on each, ends included within
 *  SW_TOL_POINT. Overlapping pieces of the same line or circle give the ends of the overlap and
 *  set *OVERLAP. Returns the number of points [0..2]. */
int sw_seg_meet(const struct sw_seg *s, const struct sw_seg *t, double s_share[2],
                double t_share[2], bool *overlap);

#endif
