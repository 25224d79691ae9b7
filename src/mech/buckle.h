/* buckle: the axial load at which a bar held at one end gives way sideways.
 *
 * Load along the axis at the free end, keeping its direction. Exact for steps and cones: within a
 * piece w'' = -P w/(E I) has closed solutions (sine and cosine for a cylinder; x times sine and
 * cosine of mu/x for a cone, I growing with the fourth power of the distance x from its apex); they
 * are carried from the free end to the clamp, where the slope must vanish. For two cylinders this
 * is the equation tan(k1 l1) tan(k2 l2) = k1/k2 of Timoshenko and Gere (Theory of Elastic
 * Stability, from memory). A root that turns and shoulders (beam.h) lower the load. Units N, mm,
 * MPa. Validity: elastic; sw_buckle_is_elastic says when. Pure functions, no memory.
 */
#ifndef SW_MECH_BUCKLE_H
#define SW_MECH_BUCKLE_H

#include "mech/beam.h"

/** Euler's load pi^2 E I/(4 L^2) of a uniform bar [N]. */
double sw_buckle_uniform(double elastic_modulus, double diameter, double length);

/** Least load that makes the bar unstable [N]. */
double sw_buckle_load(const struct sw_bar *bar);

/** The same with the load at A inside the bar [N]. */
double sw_buckle_load_at(const struct sw_bar *bar, double a);

/** True when a uniform bar buckles before it yields: 8 L/d > pi sqrt(E/yield). */
bool sw_buckle_is_elastic(double diameter, double length, double elastic_modulus, double yield);

/** By how much an axial LOAD makes a sideways deflection larger, 1/(1 - load/critical); infinite at
 *  and above the critical load, below 1 for a pull (negative load). */
double sw_buckle_amplification(double load, double critical);

#endif
