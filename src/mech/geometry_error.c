#include "mech/geometry_error.h"

#include <math.h>

#include "mech/mech_int.h"

double sw_error_of_height(double radius, double height)
{
    return height * height / (hypot(radius, height) + radius);
}

double sw_height_for_error(double radius, double growth)
{
    return sqrt(growth * (2 * radius + growth));
}

double sw_nib_of_height(double height)
{
    return 2 * fabs(height);
}

double sw_error_of_backlash(double backlash, int direction, int taken_up)
{
    if (direction == taken_up)
        return 0;
    return direction > 0 ? -backlash : backlash;
}

double sw_slide_lag(double lag, double move, double backlash)
{
    return fmin(fmax(0, lag + move), backlash);
}

struct sw_nose_shift sw_error_of_nose(double old, double now, double corner, double lead)
{
    const double lean = corner / 2 + lead - SW_MECH_PI / 2, s = sin(corner / 2);
    return (struct sw_nose_shift){.x = (old - now) * (cos(lean) / s - 1),
                                  .z = (old - now) * (sin(lean) / s - 1)};
}
