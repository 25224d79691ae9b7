/* region: areas in the (z, r) half-plane with holes and several pieces: the bridge to GEOS.
 *
 * The only file that knows GEOS (reentrant API only). Regions are polygonal: whoever makes one
 * from arcs chooses the side and error of the chords (sw_contour_flatten).
 * A kernel belongs to one thread. Failures of GEOS come back as SW_INTERNAL with a diagnostic,
 * lack of memory as SW_MEMORY; out-parameters are then unchanged.
 * Ownership: regions are owned by the caller, freed with sw_region_free, and must not outlive
 * their kernel.
 */
#ifndef SW_GEOM_REGION_H
#define SW_GEOM_REGION_H

#include "geom/contour.h"

struct sw_kernel;
struct sw_region;

/** Start GEOS for one thread; owned, free with sw_kernel_free. NULL when out of memory. */
struct sw_kernel *sw_kernel_new(struct sw_ctx *ctx);
void sw_kernel_free(struct sw_kernel *kernel);

/** Make a region from one simple ring of N >= 3 points, either sense; the last point may repeat
 *  the first. A ring that touches itself within slivers (SW_TOL_SLIVER) is mended, one that
 *  crosses itself is SW_INTERNAL. */
enum sw_status sw_region_from_points(struct sw_region **out, struct sw_kernel *kernel,
                                     const struct sw_pt *points, size_t n) SW_MUST_CHECK;
enum sw_status sw_region_from_box(struct sw_region **out, struct sw_kernel *kernel,
                                  struct sw_box box) SW_MUST_CHECK;
/** The convex hull of N points: the sweep of a convex tool along a straight line. Points without
 *  area between them give an empty region. */
enum sw_status sw_region_from_hull(struct sw_region **out, struct sw_kernel *kernel,
                                   const struct sw_pt *points, size_t n) SW_MUST_CHECK;
enum sw_status sw_region_copy(struct sw_region **out, const struct sw_region *region) SW_MUST_CHECK;
void sw_region_free(struct sw_region *region);

/** Set operations; results drop pieces that are not areas (lines, points) and whole pieces
 *  thinner than SW_TOL_SLIVER. */
enum sw_status sw_region_minus(struct sw_region **out, const struct sw_region *a,
                               const struct sw_region *b) SW_MUST_CHECK;
enum sw_status sw_region_both(struct sw_region **out, const struct sw_region *a,
                              const struct sw_region *b) SW_MUST_CHECK;
enum sw_status sw_region_either(struct sw_region **out, const struct sw_region *a,
                                const struct sw_region *b) SW_MUST_CHECK;
/** z' = SIGN * z + SHIFT. */
enum sw_status sw_region_place(struct sw_region **out, const struct sw_region *region, int sign,
                               double shift) SW_MUST_CHECK;

bool sw_region_is_empty(const struct sw_region *region);
double sw_region_area(const struct sw_region *region);
/** All zero when empty. */
struct sw_box sw_region_box(const struct sw_region *region);
/** True when the interiors overlap by more than a sliver (touching is not overlapping). True also
 *  when GEOS fails, with a diagnostic: the safe answer. */
bool sw_region_overlaps(const struct sw_region *a, const struct sw_region *b);
/** Largest distance of a point of REGION from the nearest point of the contour's curve [mm]:
 *  how deep a gouge is or how thick what was left. Over the rings it is exact up to the chords of
 *  the region (SW_TOL_DEPTH); inside, where a point is the deepest only if the contour closes
 *  round it, the middle of the largest circle in each piece is measured. 0 when empty. */
double sw_region_depth(const struct sw_region *region, const struct sw_contour *contour);

/** Pieces: connected parts, in the order of their least z, then r. */
size_t sw_region_n_pieces(const struct sw_region *region);
enum sw_status sw_region_piece(struct sw_region **out, const struct sw_region *region,
                               size_t i) SW_MUST_CHECK;
/** Rings of the region as points (outer and holes alike), in the context's arena: for pictures,
 *  JSON and measuring. */
struct sw_ring {
    struct sw_pt *at; /* the last equals the first */
    size_t n;
    bool is_hole;
};
struct sw_rings {
    struct sw_ring *at;
    size_t n;
    size_t cap;
};
enum sw_status sw_region_rings(struct sw_rings *out, const struct sw_region *region,
                               struct sw_ctx *ctx) SW_MUST_CHECK;

/** Lowest and highest r of the region on the line z = Z; false when the line misses it. */
bool sw_region_r_range(double *low, double *high, const struct sw_region *region, double z);

#endif
