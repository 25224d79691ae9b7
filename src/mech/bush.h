/* bush: a bar that also runs in a guide bush.
 *
 * The bush is a simple support at one place, with play and give of its own; what it takes off the
 * bar follows from the condition that the bar touches it (force method). Units and frame as in
 * beam.h. For a uniform bar with a tight bush at L and an overhang c this gives
 * P c^2 (4 c + 3 L)/(12 E I) with a clamped root and P c^2 (L + c)/(3 E I) with a pinned one (Gere
 * and Goodno, appendix, overhang case, from memory; both also from the integrals).
 * Pure functions, no memory.
 */
#ifndef SW_MECH_BUSH_H
#define SW_MECH_BUSH_H

#include "mech/beam.h"

struct sw_bush {
    double at;           /* z of the support, above 0 [mm] */
    double play;         /* on radius: how far the bar may move before it touches [mm] */
    double give;         /* of the bush itself [mm/N] */
    bool is_root_pinned; /* the collet holds in place but does not keep the direction */
};

/** Force of the bush on the bar, against FORCE at A [N]; 0 while the bar does not touch. */
double sw_bush_reaction(const struct sw_bar *bar, const struct sw_bush *bush, double a,
                        double force);

/** Deflection at X by a sideways FORCE [N, not negative] at A, play included [mm]. */
double sw_bush_deflection(const struct sw_bar *bar, const struct sw_bush *bush, double x, double a,
                          double force);

/** How far X can move either way by the play alone, the bar turning about its root [mm]. */
double sw_bush_play(const struct sw_bush *bush, double x);

#endif
