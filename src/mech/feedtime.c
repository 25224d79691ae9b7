#include "mech/feedtime.h"

#include <math.h>

#include "mech/mech_int.h"

/* Speeds that agree to this share are one: end speeds found by halves are handed on as they are. */
static const double same_speed = 1e-9;

/* Time to change speed by CHANGE. */
static double ramp_time(double change, double accel, double jerk)
{
    if (change <= 0)
        return 0;
    if (change * jerk < accel * accel)
        return 2 * sqrt(change / jerk);
    return change / accel + accel / jerk;
}

/* And the way it takes; the ramp of speed is symmetric about its middle. */
static double ramp_length(double from, double to, double accel, double jerk)
{
    return (from + to) / 2 * ramp_time(fabs(to - from), accel, jerk);
}

static double both_ramps(double peak, double v0, double v1, const struct sw_axis_limits *limits)
{
    return ramp_length(v0, peak, limits->accel, limits->jerk) +
           ramp_length(v1, peak, limits->accel, limits->jerk);
}

bool sw_feed_profile(struct sw_speed_profile *profile, double length,
                     const struct sw_axis_limits *limits, double v0, double v1)
{
    const double least = fmax(v0, v1);
    if (least > limits->speed * (1 + same_speed) ||
        both_ramps(least, v0, v1, limits) > length * (1 + same_speed))
        return false;
    double peak = fmax(limits->speed, least);
    if (both_ramps(peak, v0, v1, limits) > length) {
        double low = least, high = peak;
        if (isinf(limits->jerk)) {
            low = high = fmax(least, sqrt(limits->accel * length + (v0 * v0 + v1 * v1) / 2));
        }
        for (int i = 0; i < SW_MECH_HALVINGS && low < high; i++) {
            const double middle = (low + high) / 2;
            if (both_ramps(middle, v0, v1, limits) <= length)
                low = middle;
            else
                high = middle;
        }
        peak = (low + high) / 2;
    }
    const double gain = ramp_time(peak - v0, limits->accel, limits->jerk);
    const double lose = ramp_time(peak - v1, limits->accel, limits->jerk);
    const double rest = length - both_ramps(peak, v0, v1, limits);
    const double cruise = peak > 0 ? fmax(0, rest) / peak : 0;
    *profile = (struct sw_speed_profile){
        .gain = gain, .cruise = cruise, .lose = lose, .total = gain + cruise + lose, .peak = peak};
    return true;
}

double sw_feed_time(double length, const struct sw_axis_limits *limits)
{
    struct sw_speed_profile profile = {0};
    /* From rest to rest there always is one. */
    return sw_feed_profile(&profile, length, limits, 0, 0) ? profile.total : 0;
}

double sw_feed_rapid_time(double length_x, const struct sw_axis_limits *x, double length_z,
                          const struct sw_axis_limits *z)
{
    return fmax(sw_feed_time(length_x, x), sw_feed_time(length_z, z));
}

double sw_feed_reachable(double v0, double length, double accel, double jerk)
{
    double high = sqrt(v0 * v0 + 2 * accel * length), low = v0;
    if (isinf(jerk))
        return high;
    for (int i = 0; i < SW_MECH_HALVINGS; i++) {
        const double middle = (low + high) / 2;
        if (ramp_length(v0, middle, accel, jerk) <= length)
            low = middle;
        else
            high = middle;
    }
    return low;
}

double sw_feed_path_accel(double x, double z, double accel_x, double accel_z)
{
    const double by_x = x != 0 ? accel_x / fabs(x) : (double)INFINITY;
    const double by_z = z != 0 ? accel_z / fabs(z) : (double)INFINITY;
    return fmin(by_x, by_z);
}

double sw_feed_corner_radius(double angle, double deviation)
{
    const double s = sin(angle / 2);
    return s < 1 ? deviation * s / (1 - s) : (double)INFINITY;
}

double sw_feed_corner_speed(double angle, double deviation, double accel, double shorter)
{
    /* tangent length = radius / tan(angle/2) */
    const double by_legs = shorter / 2 * tan(angle / 2);
    const double radius = fmin(sw_feed_corner_radius(angle, deviation), by_legs);
    return sqrt(accel * fmax(0, radius));
}

double sw_feed_corner_jump_speed(double angle, double jump)
{
    const double c = cos(angle / 2);
    return c > 0 ? jump / (2 * c) : (double)INFINITY;
}

double sw_feed_arc_speed(double radius, double accel)
{
    return sqrt(accel * radius);
}

double sw_feed_chord(double radius, double error)
{
    /* 2 R sin(t/2) with R (1 - cos(t/2)) = error */
    return error < radius ? 2 * sqrt(error * (2 * radius - error)) : 2 * radius;
}

enum sw_status sw_feed_path_time(double *seconds, const struct sw_leg *legs, size_t n, double accel,
                                 double jerk, double v0, double v1, struct sw_ctx *ctx)
{
    (void)ctx;
    struct sw_arena *const scratch = sw_arena_new();
    double *const speed = scratch ? SW_NEW(scratch, double, n + 1) : NULL;
    enum sw_status status = SW_MEMORY;
    if (!speed)
        goto out;
    status = SW_CANNOT;
    speed[0] = v0;
    for (size_t i = 0; i < n; i++) {
        const double next = i + 1 < n ? legs[i + 1].speed : (double)INFINITY;
        speed[i + 1] = fmin(legs[i].end_speed, fmin(legs[i].speed, next));
    }
    if (v1 > speed[n] || (n > 0 && v0 > legs[0].speed))
        goto out;
    speed[n] = v1;
    for (size_t i = n; i-- > 1;)
        speed[i] = fmin(speed[i], sw_feed_reachable(speed[i + 1], legs[i].length, accel, jerk));
    for (size_t i = 0; i + 1 < n; i++)
        speed[i + 1] = fmin(speed[i + 1], sw_feed_reachable(speed[i], legs[i].length, accel, jerk));
    double sum = 0;
    for (size_t i = 0; i < n; i++) {
        const struct sw_axis_limits limits = {legs[i].speed, accel, jerk};
        struct sw_speed_profile profile = {0};
        if (legs[i].length > 0 &&
            !sw_feed_profile(&profile, legs[i].length, &limits, speed[i], speed[i + 1]))
            goto out;
        sum += profile.total;
    }
    *seconds = sum;
    status = SW_OK;
out:
    sw_arena_free(scratch);
    return status;
}
