/* grip: what a holder keeps from slipping, and what a cut asks of it.
 *
 * Units N, mm, N/mm2. Shops have no figures for how hard they close a holder: all constants are
 * estimates, no source. A collet drawn in by hand presses with about 1 kN in all (1 N m on a
 * drawbar thread of 7 mm and a cone of 20 degrees). Small work takes less before it is marked:
 * steel jaws 200 MPa, brass 100, a third of its yield. Cement holds by sticking. Pure functions, no
 * memory.
 */
#ifndef SW_MECH_GRIP_H
#define SW_MECH_GRIP_H

#include <stdbool.h>

enum sw_grip_kind { SW_GRIP_STEEL, SW_GRIP_BRASS, SW_GRIP_CEMENT };

#define SW_GRIP_PRESS 1000.0 /* N */
#define SW_GRIP_FRICTION 0.15
#define SW_GRIP_MARKS_STEEL 200.0 /* MPa */
#define SW_GRIP_MARKS_BRASS 100.0
#define SW_GRIP_STICKS 2.0
/* Brass yields at three times that pressure, steel jaws leave their bore, cement tears: beyond this
 * many times what is counted on no hand can make it hold. */
#define SW_GRIP_SURELY 3.0

/** Force along the surface of a grip of RADIUS and LENGTH that does not move it yet [N]. */
double sw_grip_keeps(enum sw_grip_kind kind, double radius, double length);

/** What a cut at RADIUS with forces CUTTING along the surface and INWARD along the axis, towards
 * the holder, asks along the surface of a grip of GRIP_RADIUS [N]. RESTS: a shoulder stands on the
 * nose face and takes what pushes inward. */
double sw_grip_needs(double cutting, double inward, double radius, double grip_radius, bool rests);

#endif
