/* force: what a cut pushes with, as a band, because nobody knows it to better than a factor.
 *
 * Units N, mm, N/mm2; speeds m/min. Forces on the work: cutting along the surface, thrust away from
 * the tool square to the axis, feed along the axis in the direction of the feed.
 *
 * Published specific forces (Kienzle: kc = kc1.1 h^-mc) were measured for chips of about 0.05 to
 * 1.4 mm, 100 m/min and more, with ordinary edges. Watch work takes chips of 0.3 to 10 um. Two ways
 * lead down there:
 *   - the edge law: below the published range the specific force stays what it is at 0.05 mm, and
 *     the rest of the size effect is the rounded edge, a force for each mm of engaged edge that
 *     grows with the edge radius (Albrecht 1960; Altintas, Manufacturing Automation). It knows how
 *     sharp the tool is. This one is the NOMINAL law.
 *   - the size law: Kienzle carried on to any thickness, integrated along the nose. The rounded
 * edge hides in its exponent, so it gets no edge term. It goes into the band only. Low is the
 * lesser of the two times 0.7; high is the greatest of the nominal law at its slow speed factor,
 * the nominal law with the upper ends of its edge constants, and the size law doubled. In the
 * published range the edge term counts an edge twice, by less than 3 %. The constants marked
 * "estimate" have no published source for this scale: they are data here (struct
 * sw_force_constants), to be corrected by what a workshop measures. Pure functions, no memory.
 */
#ifndef SW_MECH_FORCE_H
#define SW_MECH_FORCE_H

#include <stdbool.h>

#include "mech/chip.h"

/** Kienzle's specific force kc1.1 h^-mc [N/mm2]. */
double sw_force_specific(double specific_force, double exponent, double thickness);

/** Kienzle's cutting force kc1.1 b h^(1 - mc) of a straight edge [N]. */
double sw_force_kienzle(double specific_force, double exponent, double width, double thickness);

/** The same integrated along a nose [N]. */
double sw_force_kienzle_edge(double specific_force, double exponent, const struct sw_edge *edge,
                             const struct sw_chip *chip);

/** Cutting power at the motor [kW] from specific force, depth, feed, speed [m/min] and efficiency.
 */
double sw_force_power(double specific, double depth, double feed, double speed, double efficiency);

/** Torque of a cutting force at a radius [N m]. */
double sw_force_torque(double cutting, double radius);

/* --- correction factors, each with the range it was published for */

/** Rake: 1.5 % a degree of difference (Koenig and Klocke, from memory) on the cutting force; BASE
 * is the rake the constants were measured with: 6 degrees for steel, 2 for cast iron [rad]. */
double sw_force_rake_factor(double rake, double base);

/** Cutting speed: 2.023/v^0.153 from 20 to 100 m/min, 1.380/v^0.07 above (Dietrich and Tschaetsch,
 *  from memory); carried on below 20. IS_PUBLISHED, if not NULL, tells whether it is in range. */
double sw_force_speed_factor(double speed, bool *is_published);

/* Kind of cut, as published with the constants above: outside turning 1. */
#define SW_FORCE_BORING 1.2
#define SW_FORCE_PARTING 1.3
/* Wear of the edge, and high-speed steel instead of carbide. */
#define SW_FORCE_WORN 1.3
#define SW_FORCE_VERY_WORN 1.5
#define SW_FORCE_HIGH_SPEED_STEEL 1.2

/** All factors but speed, which belongs to the band: 1 where one does not apply. */
struct sw_force_factors {
    double rake;
    double kind;
    double wear;
    double tool;
};

struct sw_force_constants {
    double published_from; /* thickness at which published constants begin [mm] */
    double edge;           /* cutting force of a rounded edge [N/mm per um of edge radius] */
    double edge_high;
    double edge_thrust; /* its normal force as a share of that */
    double edge_thrust_high;
    double chip_thrust; /* normal force of chip forming as a share of its cutting force */
    double chip_thrust_high;
    double blunt_thrust; /* size law: the same share for a chip no thicker than the edge radius */
    double low;          /* the band: factor on the lesser law */
    double high;         /* and on the size law */
};

/** Estimates: published from 0.05; edge 2.0, high 2.5; its thrust 1.75, high 2; chip thrust 0.55,
 *  high 0.6; blunt 1; band 0.7 and 2. */
struct sw_force_constants sw_force_default_constants(void);

/** What is cut with what. */
struct sw_force_case {
    struct sw_edge edge;
    double edge_radius;    /* rounding of the cutting edge [mm] */
    double specific_force; /* kc1.1 of the material in its state [N/mm2] */
    double exponent;       /* mc */
    double least_chip;     /* smallest chip as a share of the edge radius */
    double speed;          /* m/min */
    struct sw_force_factors factors;
    struct sw_force_constants constants;
};

struct sw_force {
    double cutting, thrust, feed; /* N */
};

struct sw_force_band {
    struct sw_force low, nominal, high; /* each component for itself */
    struct sw_chip chip;
    bool is_rubbing;   /* nowhere on the edge a chip: the cut does nothing but push */
    bool is_ploughing; /* the chip is thinner than the edge is round */
};

/** Turning along the axis at a depth (on radius) and a feed a turn. Where the straight edge leans
 *  forward (lead above 90 degrees) and cuts deep, the thrust can turn negative: it pulls. */
struct sw_force_band sw_force_turn(const struct sw_force_case *of, double depth, double feed);

/** The nominal law alone: closed, for planners that ask often. */
struct sw_force sw_force_nominal(const struct sw_force_case *of, const struct sw_chip *chip);

/** Facing: depth along the axis, feed towards the axis with the same point. `thrust` stays radial
 *  and `feed` axial: the two change places. */
struct sw_force_band sw_force_face(const struct sw_force_case *of, double depth, double feed);

/** A parting or grooving blade of WIDTH plunging at FEED: all its normal force is thrust. The kind
 *  factor for parting is put in here. */
struct sw_force_band sw_force_part(const struct sw_force_case *of, double width, double feed);

#endif
