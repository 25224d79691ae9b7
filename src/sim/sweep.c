#include <math.h>

#include "sim/work.h"

/* A limit of chords for one arc, so that no text can ask for unbounded work: an arc of 10 m radius
 * at 0.01 um needs 140,000. */
enum { MOST_CHORDS = 200000 };

static const double full_turn = 6.283185307179586;

static double sweep_radius(const struct sw_sweep *sweep)
{
    return (sweep->radius_from + sweep->radius_to) / 2;
}

static double start_angle(const struct sw_sweep *sweep)
{
    return atan2(sweep->from.r - sweep->centre.r, sweep->from.z - sweep->centre.z);
}

double sw_sweep_angle(const struct sw_sweep *sweep)
{
    if (!sweep->is_arc)
        return 0;
    if (sweep->is_full_turn)
        return sweep->turn * full_turn;
    const double end = atan2(sweep->to.r - sweep->centre.r, sweep->to.z - sweep->centre.z);
    double angle = sweep->turn * (end - start_angle(sweep));
    while (angle <= 0)
        angle += full_turn;
    while (angle > full_turn)
        angle -= full_turn;
    return sweep->turn * angle;
}

size_t sw_sweep_n_chords(const struct sw_sweep *sweep, double sagitta)
{
    if (!sweep->is_arc)
        return 1;
    const double radius = sweep_radius(sweep);
    if (!(radius > sagitta))
        return 4; /* smaller than the error itself; four chords keep the box right */
    const double step = 2 * acos(1 - sagitta / radius);
    const double n = ceil(fabs(sw_sweep_angle(sweep)) / step);
    return n < 1 ? 1 : n > MOST_CHORDS ? MOST_CHORDS : (size_t)n;
}

struct sw_pt sw_sweep_at(const struct sw_sweep *sweep, size_t i, size_t n)
{
    if (!sweep->is_arc && (i == 0 || i >= n))
        return i == 0 ? sweep->from : sweep->to;
    const double t = (double)i / (double)n;
    if (!sweep->is_arc)
        return (struct sw_pt){sweep->from.z + t * (sweep->to.z - sweep->from.z),
                              sweep->from.r + t * (sweep->to.r - sweep->from.r)};
    const double angle = start_angle(sweep) + t * sw_sweep_angle(sweep);
    const double radius = sweep_radius(sweep);
    return (struct sw_pt){sweep->centre.z + radius * cos(angle),
                          sweep->centre.r + radius * sin(angle)};
}

double sw_sweep_length(const struct sw_sweep *sweep)
{
    if (sweep->is_arc)
        return sweep_radius(sweep) * fabs(sw_sweep_angle(sweep));
    return sw_pt_distance(sweep->from, sweep->to);
}

struct sw_box sw_sweep_box(const struct sw_sweep *sweep)
{
    struct sw_box box = {fmin(sweep->from.z, sweep->to.z), fmin(sweep->from.r, sweep->to.r),
                         fmax(sweep->from.z, sweep->to.z), fmax(sweep->from.r, sweep->to.r)};
    if (!sweep->is_arc)
        return box;
    const double radius = fmax(sweep->radius_from, sweep->radius_to);
    const double from = start_angle(sweep), angle = sw_sweep_angle(sweep);
    const double low = angle > 0 ? from : from + angle, high = low + fabs(angle);
    /* every quarter direction the arc passes: it begins within half a turn of 0 and goes on for a
     * turn at most either way */
    for (int quarter = -6; quarter <= 6; quarter++) {
        const double at = quarter * full_turn / 4;
        if (at < low || at > high)
            continue;
        const double z = sweep->centre.z + radius * cos(at), r = sweep->centre.r + radius * sin(at);
        box = sw_box_join(box, (struct sw_box){z, r, z, r});
    }
    return box;
}
