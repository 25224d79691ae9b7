/* tol: every tolerance of the geometry, each with its reason; no bare small numbers elsewhere.
 *
 * All [mm] unless said. Sizes of a staff lie between 0.005 and 10 mm, so doubles carry about 1e-15
 * of them.
 */
#ifndef SW_GEOM_TOL_H
#define SW_GEOM_TOL_H

/* Two points are one point: 1000 times the rounding of a coordinate, a millionth of what a gauge
 * can see. */
#define SW_TOL_POINT 1e-9

/* Ends that a construction brings together: each may be off its own curve and off the other one by
 * SW_TOL_POINT. */
#define SW_TOL_JOINT 4e-9

/* Corners of a boundary that is cut again and again become one corner when they are nearer than
 * this: ten times SW_TOL_POINT, so that tools drawn with joints within that close, and still a
 * tenth of an atom. Two curves closer than this over their whole length are one curve. */
#define SW_TOL_SNAP 1e-8

/* How much nearer than the distance asked for a point of an offset may come: joints of the input
 * are only tangent to rounding, and the offset swings that error round. */
#define SW_TOL_OFFSET 1e-8

/* A corner lies on the straight line through its neighbours: rounding of slicing, far below
 * SW_TOL_POINT so that many joined pieces cannot add up to it. */
#define SW_TOL_STRAIGHT 1e-12

/* Chord error where arcs must become chords (region kernel, pictures): 0.02 um. */
#define SW_TOL_CHORD 2e-5

/* A region thinner than this is noise of the overlay, not material. */
#define SW_TOL_SLIVER 1e-6

/* Where the search for the deepest point of a region may stop: a tenth of a sliver. */
#define SW_TOL_DEPTH 1e-7

#endif
