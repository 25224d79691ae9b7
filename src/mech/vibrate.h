/* vibrate: first natural frequency of a bar held at one end, and the width of cut that chatters.
 *
 * Bending, shoulders and root; no shear, no rotatory inertia: a short pivot comes out a few per
 * cent high, harmless where pivots ring at hundreds of kilohertz. Density in t/mm3, so that N, mm
 * and s agree: 7.85e-9 for steel. Stepped and tapered bars by Hermite beam elements with consistent
 * mass. Sources: frequency numbers 1.875104^2, 4.694091^2, 7.854757^2 of the uniform cantilever
 * (standard; Roark table 16.1, from memory); regenerative limit of one mode, b = 2 k zeta (1 +
 * zeta)/Kf (Tlusty; Altintas, Manufacturing Automation, from memory).
 */
#ifndef SW_MECH_VIBRATE_H
#define SW_MECH_VIBRATE_H

#include "mech/beam.h"

enum { SW_VIBRATE_MODES = 3 };

/** Frequency of mode MODE [0..2] of a uniform cantilever [Hz]; 0 for another mode. */
double sw_vibrate_uniform(int mode, double elastic_modulus, double density, double diameter,
                          double length);

/** First frequency of a bar with its root's give [Hz]. Statuses: SW_MEMORY. */
enum sw_status sw_vibrate_first(double *hertz, const struct sw_bar *bar, double density,
                                struct sw_ctx *ctx) SW_MUST_CHECK;

/** Greatest width of cut without regenerative chatter at any speed [mm]: STIFFNESS of the mode
 *  [N/mm], DAMPING as a share of critical, SPECIFIC_FORCE along the mode [N/mm2]. Linear, one mode,
 *  no process damping. */
double sw_vibrate_width_limit(double stiffness, double damping, double specific_force);

/** True when waves left by a vibration of HERTZ at cutting SPEED [mm/s] are shorter than three edge
 *  radii (estimate): the edge irons them out and the limit above does not apply. */
bool sw_vibrate_is_damped(double hertz, double speed, double edge_radius);

#endif
