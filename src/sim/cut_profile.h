/* cut_profile: how thick what a move took off was, place by place along its way.
 *
 * The thickness is measured square to the way of the nose centre, averaged over each place: what a
 * flank takes off a wall in passing, a tall sliver that is gone within a fraction of a turn, counts
 * for the area it has and not for its height.
 * Frame: of the move. `along` from its begin, arcs by the way of the nose centre [mm]; `left` to
 * the left of the way when z points right and r up, 0 on the way itself. Ownership: edges in the
 * arena of the context given. Statuses: SW_MEMORY.
 */
#ifndef SW_SIM_CUT_PROFILE_H
#define SW_SIM_CUT_PROFILE_H

#include "geom/region.h"

enum { SW_CUT_PLACES = 32 };

struct sw_cut_profile {
    size_t n;     /* places, of equal width; 0: nothing was taken off */
    double back;  /* begin of the first; may lie before the move's own begin */
    double width; /* of each [mm] */
    double thick[SW_CUT_PLACES];
    double low, high; /* how far it reaches, as `left` */
};

/** The angle of a sine [rad] whose square is less than SW_ANGLE_SMALL: asin is a call, and every
 * arc of every cut has its angle asked for. The first term left out is below 1e-13 of the angle. */
#define SW_ANGLE_SMALL 0.1
static inline double sw_angle_of_small(double sine)
{
    /* in pairs, so that no term waits for all others */
    const double x = sine * sine, x2 = x * x, x4 = x2 * x2;
    const double low = (1 + x * (1. / 6)) + x2 * (3. / 40 + x * (5. / 112));
    const double middle =
        (35. / 1152 + x * (63. / 2816)) + x2 * (231. / 13312 + x * (143. / 10240));
    const double high = (6435. / 557056 + x * (12155. / 1245184)) + x2 * (46189. / 5505024);
    return sine * (low + x4 * (middle + x4 * high));
}

struct sw_sweep;

/** Edges of what was removed, in the frame of the move, which sw_cut_edges_begin sets. */
struct sw_cut_edge {
    double along0, left0, along1, left1;
    double along, left, radius; /* a bow: centre and radius; radius 0: straight */
    int side;                   /* a bow: +1 left of its centre, -1 right of it */
};
struct sw_cut_edges {
    const struct sw_sweep *move;
    double length, radius; /* of the move */
    double angle;          /* of its middle, seen from the centre of an arc */
    struct sw_pt way;      /* of a line */
    double back, front;    /* how far the edges reach along the move; back > front: none */
    double low, high;      /* and to its left */
    SW_VEC(struct sw_cut_edge) list;
};

struct sw_cut_edges sw_cut_edges_begin(const struct sw_sweep *move);
/** Begin anew, in the memory of the last list: in the frame of a move, or in that of other edges
 *  (its own, too). */
void sw_cut_edges_begin_on(struct sw_cut_edges *edges, const struct sw_sweep *move);
void sw_cut_edges_begin_as(struct sw_cut_edges *edges, const struct sw_cut_edges *frame);

/** Take the edges of rings of what was removed. */
enum sw_status sw_cut_edges_add(struct sw_cut_edges *edges, const struct sw_rings *rings,
                                struct sw_ctx *ctx) SW_MUST_CHECK;

/** P as seen from a straight move: along it as z, left of it as r. */
struct sw_pt sw_cut_seen(const struct sw_cut_edges *edges, struct sw_pt p);

/** An edge of what a straight move removed, its places as seen from there: a line, or an arc of at
 *  most half a circle, to the left (TURN +1) or right (-1). The list must have room for SW_CUT_BOWS
 *  more. All edges join up in the end: none says more than where it begins. */
enum { SW_CUT_BOWS = 3 };
void sw_cut_edges_put_line(struct sw_cut_edges *edges, struct sw_pt from, struct sw_pt to);
void sw_cut_edges_put_arc(struct sw_cut_edges *edges, struct sw_pt from, struct sw_pt to,
                          struct sw_pt centre, double radius, int turn);

/** Share the area between the edges out over the places. */
void sw_cut_profile_of(struct sw_cut_profile *out, const struct sw_cut_edges *edges);

/** The nose centre ALONG a move, kept between its ends, and the way it goes there. */
struct sw_pt sw_cut_place(const struct sw_sweep *move, double along, struct sw_pt *way);

#endif
