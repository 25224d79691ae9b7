#include "mech/speed.h"

#include <math.h>

#include "mech/mech_int.h"

static const double mm_in_m = 1000;
static const double seconds_in_minute = 60;

double sw_speed_turns(double surface, double diameter)
{
    return mm_in_m * surface / (SW_MECH_PI * diameter);
}

double sw_speed_surface(double turns, double diameter)
{
    return SW_MECH_PI * diameter * turns / mm_in_m;
}

double sw_speed_clamped(double surface, double diameter, double least, double most)
{
    return fmin(most, fmax(least, sw_speed_turns(surface, diameter)));
}

double sw_speed_clamp_diameter(double surface, double most)
{
    return sw_speed_turns(surface, most);
}

double sw_speed_time(double length, double feed, double turns)
{
    return seconds_in_minute * length / (feed * turns);
}

double sw_speed_facing_time(double d1, double d2, double feed, double surface, double most)
{
    const double outer = fmax(d1, d2), inner = fmin(d1, d2);
    const double clamp = fmin(outer, fmax(inner, sw_speed_clamp_diameter(surface, most)));
    /* Int pi D/(1000 v) dD/(2 f) above the clamp, constant speed below. */
    const double free =
        SW_MECH_PI * (outer * outer - clamp * clamp) / (4 * mm_in_m * surface * feed);
    const double clamped = clamp > inner ? (clamp - inner) / (2 * feed * most) : 0;
    return seconds_in_minute * (free + clamped);
}

double sw_speed_facing_ramp(double diameter, double feed, double surface)
{
    /* dn/dt = -1000 v/(pi d^2) dd/dt, dd/dt = -2 f n */
    const double turns = sw_speed_turns(surface, diameter);
    return turns / diameter * 2 * feed * turns / seconds_in_minute;
}
