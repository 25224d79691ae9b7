/* silhouette: the outer radius of the work over z, as straight stretches.
 *
 * The upper envelope of rings of corners: undercuts do not show in it, a gap has radius 0. It is
 * what bends: beams are built from it, and the difference of two is how deep a cut was.
 * Frame: that of the corners [mm]. Stretches join without gaps by growing z; a step is two radii at
 * one z. Ownership: owned, freed with sw_silhouette_free; all zero is empty. Functions that
 * allocate give false when out of memory.
 */
#ifndef SW_SIM_SILHOUETTE_H
#define SW_SIM_SILHOUETTE_H

#include <stdbool.h>
#include <stddef.h>

#include "geom/seg.h"

struct sw_stretch {
    double z0, z1, r0, r1;
};

struct sw_silhouette {
    struct sw_stretch *at;
    size_t n;
    size_t room;
};

void sw_silhouette_free(struct sw_silhouette *s);

/** Append a stretch that begins where the last one ends; one that goes on straight lengthens it. */
bool sw_silhouette_push(struct sw_silhouette *s, struct sw_stretch stretch);

/** Append the envelope of closed rings between Z0 and Z1 > Z0: N corners, one ring after the other,
 *  each ending with its first corner. */
bool sw_silhouette_add_rings(struct sw_silhouette *s, const struct sw_pt *corner, size_t n,
                             double z0, double z1);

/** The same of N edges from one corner to the next, two corners each. */
bool sw_silhouette_add_edges(struct sw_silhouette *s, const struct sw_pt *corner, size_t n,
                             double z0, double z1);

/** Index of the stretch at Z: of two that meet there the first; the nearer end beyond the ends. The
 *  silhouette must not be empty. */
size_t sw_silhouette_find(const struct sw_silhouette *s, double z);
/** Radius at Z; 0 beyond the ends and for an empty one. SLOPE (or NULL) gets dr/dz there. */
double sw_silhouette_r(const struct sw_silhouette *s, double z, double *slope);

#endif
