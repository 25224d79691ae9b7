#include "mech/grip.h"

#include <math.h>

static const double pi = 3.14159265358979323846;

double sw_grip_keeps(enum sw_grip_kind kind, double radius, double length)
{
    const double area = 2 * pi * radius * length;
    if (kind == SW_GRIP_CEMENT)
        return SW_GRIP_STICKS * area;
    const double marks = kind == SW_GRIP_BRASS ? SW_GRIP_MARKS_BRASS : SW_GRIP_MARKS_STEEL;
    return SW_GRIP_FRICTION * fmin(SW_GRIP_PRESS, marks * area);
}

double sw_grip_needs(double cutting, double inward, double radius, double grip_radius, bool rests)
{
    const double along = rests ? fmin(0, inward) : inward;
    return hypot(cutting * radius / grip_radius, along);
}
