/* stress: what the forces of one tool do to the skin of a bar.
 *
 * Units and frame as in beam.h. Nominal stresses of solid round bars: bending 32 M/(pi d^3), with M
 * from thrust, cutting force and the couple of the feed force at its radius; torsion 16 T/(pi d^3);
 * axial 4 F/(pi d^2); put together after von Mises. No notch factor is in them (notch.h): whether
 * one is used depends on the state of the material and is the caller's choice.
 * Pure functions, no memory.
 */
#ifndef SW_MECH_STRESS_H
#define SW_MECH_STRESS_H

#include "mech/beam.h"

struct sw_stress {
    double z;        /* where [mm] */
    double diameter; /* there [mm] */
    double bending;  /* MPa, all not negative */
    double axial;
    double torsion;
    double equivalent; /* sqrt((bending + axial)^2 + 3 torsion^2) */
};

/** Bending 32 F L/(pi d^3) [MPa]. */
double sw_stress_bending(double moment, double diameter);
/** Torsion 16 T/(pi d^3) [MPa]. */
double sw_stress_torsion(double torque, double diameter);
/** Pull or push 4 F/(pi d^2) [MPa]. */
double sw_stress_axial(double force, double diameter);

/** Stress in a section of DIAMETER at Z before the tool, whatever bar it belongs to. */
struct sw_stress sw_stress_on(double z, double diameter, const struct sw_bar_forces *forces);

/** Stress at Z; beyond the tool there is none. At a step the thinner side counts. */
struct sw_stress sw_stress_at(const struct sw_bar *bar, double z,
                              const struct sw_bar_forces *forces);

/** The place between root and tool with the largest equivalent stress, linear in the pieces. */
struct sw_stress sw_stress_worst(const struct sw_bar *bar, const struct sw_bar_forces *forces);

/** The same no further out than Z; at the root when Z lies before it. */
struct sw_stress sw_stress_worst_to(const struct sw_bar *bar, double z,
                                    const struct sw_bar_forces *forces);

/** Whether that stress is more than LIMIT [MPa]. Most bars are far from it one way or the other,
 * and then this asks fewer places. */
bool sw_stress_exceeds(const struct sw_bar *bar, double z, const struct sw_bar_forces *forces,
                       double limit);

/** How far out the beam theory says anything about the stress by a force at A: one local diameter
 *  from it (Saint-Venant; common practice, no source for the number). Below 0 when the whole bar is
 *  nearer. Nearer to the tool the material is being cut away. */
double sw_stress_reach(const struct sw_bar *bar, double a);

/** Angle of twist at the tool by its cutting force at its radius [rad]. */
double sw_stress_twist(const struct sw_bar *bar, const struct sw_bar_forces *forces);

#endif
