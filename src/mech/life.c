#include "mech/life.h"

#include <math.h>

#include "mech/mech_int.h"

struct sw_taylor sw_taylor_from(double speed1, double minutes1, double speed2, double minutes2)
{
    const double n = log(speed1 / speed2) / log(minutes2 / minutes1);
    return (struct sw_taylor){.exponent = n, .constant = speed1 * pow(minutes1, n)};
}

double sw_taylor_minutes(const struct sw_taylor *taylor, double speed)
{
    return pow(taylor->constant / speed, 1 / taylor->exponent);
}

double sw_taylor_length(const struct sw_taylor *taylor, double speed)
{
    return speed * sw_taylor_minutes(taylor, speed);
}

double sw_taylor_gain(double exponent, double ratio)
{
    return pow(ratio, -1 / exponent);
}

double sw_cut_length(double d1, double d2, double length, double feed)
{
    return SW_MECH_PI * (d1 + d2) / 2 * length / (feed * 1000);
}
