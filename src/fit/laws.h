/* laws: the geometry and mechanics of the fits of a staff, formula by formula.
 *
 * Lengths in mm, angles in rad, stresses in MPa, forces in N. Diameters are full diameters. No
 * statuses and no memory: each function gives a number.
 */
#ifndef SW_FIT_LAWS_H
#define SW_FIT_LAWS_H

/* Side shake of balance pivots and end shake of a balance staff in fine watches: W. J. Kleinlein,
 * Rules and Practice for Adjusting Watches, 1920, sec. 25. */
#define SW_LEAST_SIDE_SHAKE 0.0075
#define SW_MOST_SIDE_SHAKE 0.0125
#define SW_LEAST_END_SHAKE 0.02
#define SW_MOST_END_SHAKE 0.03

/** Side shake aimed at for a pivot in a HOLE: small holes at the lower end, large ones at the
 * upper, in between in proportion, so far inside Kleinlein's limits (0.0095 to 0.0105) that the
 * making has room. The ends of the scale (holes of 0.08 and 0.16) are common practice, no source.
 */
double sw_side_shake_wanted(double hole);

/** Angle by which a pivot of diameter D leans in a HOLE of working length T, the solution of
 *  d / cos a + t tan a = D (derived). 0 when the pivot fills the hole. */
double sw_lean(double hole, double d, double t);

/** Share (0..1 and beyond) of a tapered seat's LENGTH that a hole slides up by hand: where the seat
 *  is as thick as the BORE. THICK is its diameter at the shoulder, TAPER diameter by length. */
double sw_taper_stop(double bore, double thick, double taper, double length);

/** The thick end at which a BORE stops at a SHARE of the LENGTH. */
double sw_taper_thick(double bore, double taper, double length, double share);

struct sw_metal {
    double elastic_modulus; /* MPa */
    double poisson;
    double yield; /* MPa */
};

struct sw_press {
    double pressure; /* between the parts */
    double hoop;     /* tension round the outer part's bore */
    double force;    /* to push it home, over its whole length */
    double torque;   /* N mm that it holds */
};

/** Lamé's thick ring pressed on a shaft: INTERFERENCE on diameter D, ring of outer diameter
 *  OUTSIDE, shaft with a bore INSIDE (0: solid), over LENGTH, with FRICTION. Plane stress, elastic,
 *  equal lengths. No interference, no pressure. Source: S. Timoshenko, Strength of Materials II. */
struct sw_press sw_press_fit(double interference, double d, double outside, double inside,
                             const struct sw_metal *ring, const struct sw_metal *shaft,
                             double length, double friction);

/** Volume of a rivet's lip: a ring of outer radius R, LIP thick at its face, thicker by the
 *  recess WALL's slope down to DEPTH (derived). */
double sw_lip_volume(double r, double lip, double depth, double wall);

/** Volume of a 45 degree bevel WIDTH wide round a bore of radius R, plus what a seat thinner than
 *  the bore leaves open beside it over LENGTH (derived). */
double sw_bevel_volume(double r, double width, double seat_r, double length);

#endif
