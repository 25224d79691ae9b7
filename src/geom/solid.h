/* solid: what a profile becomes when it turns: volume, surface, mass, centroid, inertia.
 *
 * Closed forms for frusta; for arcs exact integrals of r^2, r^4, z r^2, z^2 r^2 over z.
 * Frame: the profile's; axis r = 0. Sources: Pappus; frustum and arc integrals, derived.
 */
#ifndef SW_GEOM_SOLID_H
#define SW_GEOM_SOLID_H

#include "geom/contour.h"

struct sw_solid {
    double volume_mm3;
    double surface_mm2;       /* of the turned profile, end faces included where it has them */
    double centroid_z_mm;     /* in the profile's frame */
    double polar_mm5;         /* integral of (distance from the axis)^2 over the volume */
    double transverse_mm5;    /* about a line through the centroid, square to the axis */
};

/** Work out the solid under a profile (material on the right of travel); it need not be single-
 *  valued in z, and is closed along the axis if its ends are off it. Mass moments are these times
 *  the density [g/mm3]. */
void sw_solid_of(struct sw_solid *out, const struct sw_contour *profile);

#endif
