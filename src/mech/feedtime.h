/* feedtime: how long moves take on an axis that needs time to get going.
 *
 * Lengths mm, speeds mm/s, accelerations mm/s2, jerks mm/s3 (INFINITY: the acceleration is there at
 * once, a trapezoid of speed), times s, angles rad.
 * Sources: trapezoid and double S with any end speeds, Biagiotti and Melchiorri, Trajectory
 * Planning for Automatic Machines and Robots (Springer 2008), sections 3.2 and 3.4; where the full
 * speed is not reached the peak is searched for by halves, so that jerk and acceleration stay at
 * their limits. Corners by a tangent arc within a permitted deviation (open literature; for example
 * Sencer, Ishizaki and Shamoto, IJAMT 2014). Look-ahead as a backward and a forward pass.
 */
#ifndef SW_MECH_FEEDTIME_H
#define SW_MECH_FEEDTIME_H

#include <stdbool.h>
#include <stddef.h>

#include "base/ctx.h"

struct sw_axis_limits {
    double speed;
    double accel;
    double jerk; /* INFINITY for none */
};

struct sw_speed_profile {
    double gain;   /* time to gain speed [s] */
    double cruise; /* at the peak */
    double lose;   /* to lose it */
    double total;
    double peak; /* mm/s */
};

/** Shortest profile over LENGTH from speed V0 to V1 within LIMITS. False, nothing written, when the
 *  length is too short for the change of speed, or an end speed above the limit. */
bool sw_feed_profile(struct sw_speed_profile *profile, double length,
                     const struct sw_axis_limits *limits, double v0, double v1);

/** The same from rest to rest: seconds. */
double sw_feed_time(double length, const struct sw_axis_limits *limits);

/** Two axes that start and stop together in a rapid, each as fast as it can: the longer time. */
double sw_feed_rapid_time(double length_x, const struct sw_axis_limits *x, double length_z,
                          const struct sw_axis_limits *z);

/** Greatest speed at the end of LENGTH begun at V0, without regard to a speed limit. */
double sw_feed_reachable(double v0, double length, double accel, double jerk);

/** Acceleration along a path whose direction has the shares X and Z (of 1), none of the two axes
 *  beyond its own. */
double sw_feed_path_accel(double x, double z, double accel_x, double accel_z);

/** Radius of the arc that is tangent to two legs and passes their corner within DEVIATION. ANGLE is
 *  the one between the legs: pi for straight on (infinite), 0 for back the same way (0). */
double sw_feed_corner_radius(double angle, double deviation);
/** Speed through that corner, the arc taking at most half of the SHORTER leg. */
double sw_feed_corner_speed(double angle, double deviation, double accel, double shorter);
/** Speed through a corner where the speed may jump by at most JUMP. */
double sw_feed_corner_jump_speed(double angle, double jump);
/** Speed on an arc: sqrt(a R). */
double sw_feed_arc_speed(double radius, double accel);
/** Length of a chord that leaves an arc by at most ERROR. */
double sw_feed_chord(double radius, double error);

struct sw_leg {
    double length;
    double speed;     /* asked for, and allowed on an arc */
    double end_speed; /* most at its end: 0 for a full stop, INFINITY for straight on */
};

/** Time of a path of N legs in one go, looking ahead over all of it: no corner is met faster than
 *  allowed, from V0 to V1. Legs without length take no time. Statuses: SW_MEMORY; SW_CANNOT when V0
 *  or V1 cannot be had on this path. */
enum sw_status sw_feed_path_time(double *seconds, const struct sw_leg *legs, size_t n, double accel,
                                 double jerk, double v0, double v1,
                                 struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
