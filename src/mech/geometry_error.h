/* geometry_error: errors of size that look like deflection but are where the tool stands.
 *
 * Lengths mm, angles rad. Exact geometry, pure functions.
 */
#ifndef SW_MECH_GEOMETRY_ERROR_H
#define SW_MECH_GEOMETRY_ERROR_H

/** Growth of the radius of a cut when the point stands HEIGHT above or below the axis, or the work
 *  sags by it: sqrt(R^2 + h^2) - R, R being the radius the numbers say. */
double sw_error_of_height(double radius, double height);
/** Greatest height for a growth of the radius of at most GROWTH: sqrt(g (2 R + g)). */
double sw_height_for_error(double radius, double growth);
/** Diameter of the nib that facing leaves. */
double sw_nib_of_height(double height);

/** Error of the radius where a move ends, with BACKLASH in the cross slide: the way a position is
 *  come to decides. DIRECTION +1 outwards, -1 inwards; TAKEN_UP is the direction in which the zero
 *  was set. 0 when they agree, else the backlash, with the sign of the radius (coming outwards
 *  leaves the tool short: the radius too small). */
double sw_error_of_backlash(double backlash, int direction, int taken_up);

/** The same along a whole way: how far the slide stays short of where it is sent outwards, after it
 *  was sent further by MOVE (+ outwards) having stayed short by LAG before; 0 to BACKLASH, 0 after
 *  any way inwards that is long enough, since the zero was come to inwards (derived). */
double sw_slide_lag(double lag, double move, double backlash);

struct sw_nose_shift {
    double x, z;
};
/** How far the sharp point of an insert moves when a nose OLD is replaced by NOW, the insert's
 *  corner CORNER and the cutting edge angle LEAD kept (published in tool makers' tables). x away
 *  from the axis, z towards the feed, both positive for a smaller new nose in most inserts. */
struct sw_nose_shift sw_error_of_nose(double old, double now, double corner, double lead);

#endif
