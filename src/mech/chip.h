/* chip: what a turning edge takes: how much of it is engaged, how thick the chip is, where the
 * force across it points.
 *
 * The edge: a nose of radius r, then a straight edge that makes the cutting edge angle K with the
 * axis (90 degrees: square to it; above: it leans forward and pulls). Angles phi along the nose are
 * counted from the finished surface; the normal of the edge there lies phi from the radial
 * direction, and the chip is h = f sin(phi) thick. Lengths [mm], angles [rad].
 * Validity: feed well below the nose radius (0.5 r: thickness off by some per cent of f).
 * Sources: engaged angle and h as in the round-insert form h = f sqrt(4 ap/iC - (2 ap/iC)^2) of
 * tool makers; chord by Colwell; area and size-effect weighting as compared by Delfino (ME590
 * report, University of Michigan, 1997; method names published, formulas derived). Pure functions,
 * no memory.
 */
#ifndef SW_MECH_CHIP_H
#define SW_MECH_CHIP_H

struct sw_edge {
    double nose; /* radius, 0 for a sharp point [mm] */
    double lead; /* cutting edge angle K of the straight edge, above 0, below pi [rad] */
};

struct sw_chip {
    double depth, feed;     /* as asked */
    double nose_angle;      /* engaged part of the nose, phi1 [rad] */
    double nose_length;     /* and of the edge [mm] */
    double straight_length; /* of the straight edge [mm] */
    double length;          /* both */
    double area;            /* depth times feed [mm2] */
    double mean;            /* area over length [mm] */
    double most;            /* largest thickness [mm] */
    double edge_radial;     /* Int cos(phi) along the edge [mm] */
    double edge_axial;      /* Int sin(phi) along the edge: the depth [mm] */
    double area_radial;     /* Int h cos(phi) [mm2] */
    double area_axial;      /* Int h sin(phi) [mm2] */
};

/** Depth up to which the nose alone cuts [mm]: r (1 - cos K). */
double sw_chip_nose_depth(const struct sw_edge *edge);

/** Depth and feed not negative; a depth or feed of 0 gives no chip, all zero. */
struct sw_chip sw_chip_of(const struct sw_edge *edge, double depth, double feed);

/** Cross-section really taken each turn: what stays between two passes of the nose is not [mm2]. */
double sw_chip_section(const struct sw_edge *edge, double depth, double feed);

/** Effective cutting edge angle: of the normal force, from the radial direction [rad]; force feed
 *  over thrust is its tangent. By Colwell's chord from end to end of the engaged edge; by area; and
 *  weighted with h^(1 - mc). */
double sw_chip_lead_chord(const struct sw_edge *edge, const struct sw_chip *chip);
double sw_chip_lead_area(const struct sw_chip *chip);
double sw_chip_lead_size(const struct sw_edge *edge, const struct sw_chip *chip, double exponent);

/** Integrals along the edge of h^(1 - mc), times 1, cos(phi) and sin(phi) [mm^(2 - mc)]. */
struct sw_chip_sums {
    double all, radial, axial;
};
struct sw_chip_sums sw_chip_sums_of(const struct sw_edge *edge, const struct sw_chip *chip,
                                    double exponent);

/** Least feed at which the thickest place of the chip is LEAST thick [mm]. */
double sw_chip_least_feed(const struct sw_edge *edge, double depth, double least);

/** Least chip thickness of an edge: SHARE (0.14 to 0.43 for common metals; Cheng and others, IJAMT
 *  97, 2018) of its EDGE_RADIUS. Thinner is rubbed, not cut. */
double sw_chip_least(double share, double edge_radius);

#endif
