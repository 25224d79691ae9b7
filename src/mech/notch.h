/* notch: how much a rounded shoulder raises the nominal stress of the thin side.
 *
 * A round bar, diameter D to d, fillet radius r. Kt = C1 + C2 x + C3 x^2 + C4 x^3 with h = (D -
 * d)/2, x = 2 h/D and Ci = A + B sqrt(h/r) + C h/r. Two published fits to the same charts, which
 * differ by 1 to 2 %; charts themselves are good for 3 %. Nominal stress on d.
 *   - Peterson's Stress Concentration Factors (Pilkey), charts 3.4, 3.10, 3.12
 *   - Roark's Formulas for Stress and Strain, table 17.1 (torsion from memory)
 * While turning, Kt is a flag for brittle (hardened) material, never part of a deflection.
 * Pure functions, no memory.
 */
#ifndef SW_MECH_NOTCH_H
#define SW_MECH_NOTCH_H

#include <stdbool.h>

enum sw_notch_load { SW_NOTCH_BENDING, SW_NOTCH_TORSION, SW_NOTCH_TENSION };
enum sw_notch_fit { SW_NOTCH_PETERSON, SW_NOTCH_ROARK };

/** Kt, at least 1. IS_PUBLISHED, if not NULL, tells whether h/r is in the range of the fit (bending
 *  and tension 0.1 or 0.25 to 20; torsion 0.25 to 4). Beyond it the end of the range is given, for
 * a sharp corner (radius 0) as well; below it the excess over 1 falls with the root of h/r. Of
 * tension only Peterson's fit is held here. */
double sw_notch_factor(enum sw_notch_load load, enum sw_notch_fit fit, double thick, double thin,
                       double radius, bool *is_published);

/** Neuber's constant sqrt(a) of a steel in bending [mm^0.5] for its tensile strength [MPa]
 * (Shigley, equation 6-35; 340 to 1700 MPa). */
double sw_notch_neuber(double tensile);

/** Fatigue factor Kf = 1 + (Kt - 1)/(1 + sqrt(a/r)). */
double sw_notch_fatigue(double factor, double neuber, double radius);

#endif
