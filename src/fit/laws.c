#include "fit/laws.h"

#include <math.h>

static const double pi = 3.14159265358979323846;
/* Holes at which the scale of side shakes begins and ends. */
static const double small_hole = 0.08;
static const double large_hole = 0.16;
/* What doubt of the hole and making of the pivot together need between the aim and Kleinlein's
 * limits [mm]: 0.001 each. */
static const double room = 0.002;

double sw_side_shake_wanted(double hole)
{
    const double at = (hole - small_hole) / (large_hole - small_hole);
    const double least = SW_LEAST_SIDE_SHAKE + room, most = SW_MOST_SIDE_SHAKE - room;
    return least + (most - least) * fmin(fmax(at, 0), 1);
}

/* D cos a - t sin a = d is the cosine of (a + phase) with the amplitude of the hole's diagonal. */
double sw_lean(double hole, double d, double t)
{
    const double diagonal = hypot(hole, t);
    if (d >= hole)
        return 0;
    return acos(d / diagonal) - atan2(t, hole);
}

double sw_taper_stop(double bore, double thick, double taper, double length)
{
    return 1 - (thick - bore) / (taper * length);
}

double sw_taper_thick(double bore, double taper, double length, double share)
{
    return bore + taper * length * (1 - share);
}

struct sw_press sw_press_fit(double interference, double d, double outside, double inside,
                             const struct sw_metal *ring, const struct sw_metal *shaft,
                             double length, double friction)
{
    if (!(interference > 0))
        return (struct sw_press){0, 0, 0, 0};
    const double d2 = d * d, o2 = outside * outside, i2 = inside * inside;
    const double of_ring = ((o2 + d2) / (o2 - d2) + ring->poisson) / ring->elastic_modulus;
    const double of_shaft = ((d2 + i2) / (d2 - i2) - shaft->poisson) / shaft->elastic_modulus;
    struct sw_press press;
    press.pressure = interference / (d * (of_ring + of_shaft));
    press.hoop = press.pressure * (o2 + d2) / (o2 - d2);
    press.force = pi * d * length * friction * press.pressure;
    press.torque = press.force * d / 2;
    return press;
}

/* The integral of pi (r^2 - (r - lip - y tan w)^2) over the depth. */
double sw_lip_volume(double r, double lip, double depth, double wall)
{
    const double slope = tan(wall);
    const double top = r - lip;
    const double inner =
        slope > 0 ? (pow(top, 3) - pow(top - depth * slope, 3)) / (3 * slope) : top * top * depth;
    return pi * (r * r * depth - inner);
}

double sw_bevel_volume(double r, double width, double seat_r, double length)
{
    const double bevel = pi * width * width * (r + width / 3);
    return bevel + pi * fmax(r * r - seat_r * seat_r, 0) * length;
}
