/* mech_int: what the files of mech share among themselves; not for other modules. */
#ifndef SW_MECH_MECH_INT_H
#define SW_MECH_MECH_INT_H

#include <stddef.h>

#define SW_MECH_PI 3.14159265358979323846

/* Halvings of a bracket until it is as narrow as doubles allow, with some to spare. */
enum { SW_MECH_HALVINGS = 80 };

/* Two diameters whose ratio differs from 1 by less are one: what follows from their difference
 * would be rounding. */
#define SW_MECH_SAME 1e-9

/** Integrals over a piece of a round bar of length H whose diameter goes from P to Q, t from the
 *  end P, without the moduli: multiply the first three by 1/E, the last by 1/E or 1/G as said. */
struct sw_mech_piece {
    double turn;   /* Int 1/I dt [mm-3] */
    double lean;   /* Int (H - t)/I dt [mm-2] */
    double sag;    /* Int (H - t)^2/I dt [mm-1] */
    double spread; /* Int 1/A dt [mm-1], for shear (1/(kappa G)) and stretch (1/E) */
};

static inline struct sw_mech_piece sw_mech_piece_of(double h, double p, double q)
{
    /* 1/I = 64/(pi d^4); with d linear in t every integral is rational in P and Q. */
    const double c = 64.0 / SW_MECH_PI, p3 = p * p * p, q2 = q * q;
    return (struct sw_mech_piece){.turn = c * h * (p * p + p * q + q2) / (3 * p3 * q2 * q),
                                  .lean = c * h * h * (p + 2 * q) / (6 * p3 * q2),
                                  .sag = c * h * h * h / (3 * p3 * q),
                                  .spread = 4 * h / (SW_MECH_PI * p * q)};
}

#endif
