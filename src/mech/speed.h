/* speed: spindle speed and cutting speed, and the time a facing cut takes.
 *
 * Diameters and feeds a turn in mm, spindle speed in rev/min, cutting speed in m/min, times in s.
 * Pure functions, no memory.
 */
#ifndef SW_MECH_SPEED_H
#define SW_MECH_SPEED_H

/** 1000 v/(pi d) [rev/min]; infinite at the axis. */
double sw_speed_turns(double surface, double diameter);
/** pi d n/1000 [m/min]. */
double sw_speed_surface(double turns, double diameter);
/** The same as sw_speed_turns, between LEAST and MOST. */
double sw_speed_clamped(double surface, double diameter, double least, double most);
/** Diameter below which a clamp of MOST keeps the spindle from going faster [mm]. */
double sw_speed_clamp_diameter(double surface, double most);
/** Time of a cut of LENGTH at constant spindle speed [s]. */
double sw_speed_time(double length, double feed, double turns);
/** Time to face from diameter D1 to D2 (either may be larger) at constant cutting speed with the
 *  spindle clamped at MOST [s]. Without a clamp (INFINITY) the axis takes no time to reach: the sum
 *  stays finite, the spindle would not. */
double sw_speed_facing_time(double d1, double d2, double feed, double surface, double most);
/** How fast the spindle must gain speed while facing inwards at diameter D [rev/min per s]. */
double sw_speed_facing_ramp(double diameter, double feed, double surface);

#endif
