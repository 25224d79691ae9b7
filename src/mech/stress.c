#include "mech/stress.h"

#include <math.h>

#include "mech/mech_int.h"

/* Golden-section steps inside a cone: 0.618^24 narrows it to a hundred-thousandth, and the stress
 * is flat at its peak. */
enum { SECTIONS = 24 };
static const double golden = 0.6180339887498949;
#define SQRT_3 1.7320508075688774
/* A bound below this share of a value is below it, whatever rounding did. */
#define CLEARLY (1 - 1e-9)

double sw_stress_bending(double moment, double diameter)
{
    return 32 * moment / (SW_MECH_PI * diameter * diameter * diameter);
}

double sw_stress_torsion(double torque, double diameter)
{
    return 16 * torque / (SW_MECH_PI * diameter * diameter * diameter);
}

double sw_stress_axial(double force, double diameter)
{
    return 4 * force / (SW_MECH_PI * diameter * diameter);
}

struct sw_stress sw_stress_on(double z, double diameter, const struct sw_bar_forces *f)
{
    const double arm = f->at - z;
    const double radial = f->thrust * arm - f->feed * f->radius, down = f->cutting * arm;
    /* asked a million times for one job; nothing here is near the ends of the doubles */
    const double moment = sqrt(radial * radial + down * down);
    struct sw_stress s = {
        .z = z,
        .diameter = diameter,
        .bending = sw_stress_bending(moment, diameter),
        .axial = fabs(sw_stress_axial(f->feed, diameter)),
        .torsion = fabs(sw_stress_torsion(f->cutting * f->radius, diameter)),
    };
    const double normal = s.bending + s.axial;
    s.equivalent = sqrt(normal * normal + 3 * s.torsion * s.torsion);
    return s;
}

static double diameter_in(const struct sw_bar_piece *p, double z)
{
    return p->d0 + (p->d1 - p->d0) * ((z - p->z0) / (p->z1 - p->z0));
}

struct sw_stress sw_stress_at(const struct sw_bar *bar, double z,
                              const struct sw_bar_forces *forces)
{
    const double d = sw_bar_diameter(bar, z);
    if (z > forces->at)
        return (struct sw_stress){.z = z, .diameter = d};
    double thin = d;
    for (size_t i = 0; i < bar->n; i++)
        if (bar->at[i].z0 == z)
            thin = fmin(thin, bar->at[i].d0);
    return sw_stress_on(z, thin, forces);
}

/* Where the stress is worst so far. */
struct peak {
    double z, diameter;
    double equivalent; /* 0: nowhere yet */
};

static double moment_at(double z, const struct sw_bar_forces *f)
{
    const double arm = f->at - z;
    const double radial = f->thrust * arm - f->feed * f->radius, down = f->cutting * arm;
    return sqrt(radial * radial + down * down);
}

/* The equivalent stress alone: a search asks for it far more often than for its parts. */
static double equivalent_of(double moment, double diameter, const struct sw_bar_forces *f)
{
    const double per = 1 / (SW_MECH_PI * diameter * diameter * diameter);
    const double normal = (32 * moment + 4 * fabs(f->feed) * diameter) * per;
    const double torsion = 16 * f->cutting * f->radius * per;
    return sqrt(normal * normal + 3 * torsion * torsion);
}

static double equivalent_in(const struct sw_bar_piece *p, double z, const struct sw_bar_forces *f)
{
    return equivalent_of(moment_at(z, f), diameter_in(p, z), f);
}

static void climb(struct peak *worst, double z, double diameter, double equivalent)
{
    if (equivalent > worst->equivalent)
        *worst = (struct peak){z, diameter, equivalent};
}

/* Inside a cone that thins towards the tool, arm and section fall together: the stress has one
 * peak, which need not be at an end. */
static void climb_cone(struct peak *worst, const struct sw_bar_piece *p, double z0, double z1,
                       const struct sw_bar_forces *forces)
{
    double low = z0, high = z1;
    double left = high - golden * (high - low), right = low + golden * (high - low);
    double at_left = equivalent_in(p, left, forces), at_right = equivalent_in(p, right, forces);
    for (int i = 0; i < SECTIONS; i++) { /* by the golden ratio one of the two serves again */
        if (at_left >= at_right) {
            high = right;
            right = left;
            at_right = at_left;
            left = high - golden * (high - low);
            at_left = equivalent_in(p, left, forces);
        } else {
            low = left;
            left = right;
            at_left = at_right;
            right = low + golden * (high - low);
            at_right = equivalent_in(p, right, forces);
        }
    }
    const double z = (low + high) / 2;
    climb(worst, z, diameter_in(p, z), equivalent_in(p, z, forces));
}

/* What no place of a piece is stressed more than, times the cube of its thinnest diameter: all
 * moments at the longest arm added up. Without roots, since most pieces stay far below. */
struct crude_bound {
    double by_arm, at_end, by_diameter;
};

static struct crude_bound crude_bound_of(const struct sw_bar_forces *f)
{
    const double torque = fabs(f->cutting * f->radius);
    return (struct crude_bound){32 / SW_MECH_PI * (fabs(f->thrust) + fabs(f->cutting)),
                                (32 * fabs(f->feed * f->radius) + 16 * SQRT_3 * torque) /
                                    SW_MECH_PI,
                                4 / SW_MECH_PI * fabs(f->feed)};
}

static bool is_far_below(const struct crude_bound *bound, const struct sw_bar_piece *p, double at,
                         double worst)
{
    const double thin = p->d0 < p->d1 ? p->d0 : p->d1;
    return bound->by_arm * (at - p->z0) + bound->at_end + bound->by_diameter * thin <
           CLEARLY * worst * thin * thin * thin;
}

/* Raise WORST to the largest stress up to Z, or to any that is more than ENOUGH. */
static void climb_bar(struct peak *worst, const struct sw_bar *bar, double z,
                      const struct sw_bar_forces *forces, double enough)
{
    const struct crude_bound bound = crude_bound_of(forces);
    const double end = fmin(z, forces->at);
    for (size_t i = bar->n; i-- > 0 && !(worst->equivalent > enough);) {
        const struct sw_bar_piece *p = &bar->at[i];
        if (p->z0 >= end || is_far_below(&bound, p, forces->at, worst->equivalent))
            continue;
        const double z1 = p->z1 < end ? p->z1 : end, d1 = diameter_in(p, z1);
        const double inner = moment_at(p->z0, forces), outer = moment_at(z1, forces);
        climb(worst, p->z0, p->d0, equivalent_of(inner, p->d0, forces));
        climb(worst, z1, d1, equivalent_of(outer, d1, forces));
        /* No place in a cone is stressed more than its thinnest section would be under the larger
         * of the moments at its ends: the moment is convex in the arm. Saves most searches. */
        if (d1 < p->d0 &&
            equivalent_of(inner > outer ? inner : outer, d1, forces) > worst->equivalent)
            climb_cone(worst, p, p->z0, z1, forces);
    }
}

struct sw_stress sw_stress_worst_to(const struct sw_bar *bar, double z,
                                    const struct sw_bar_forces *forces)
{
    struct peak worst = {.diameter = bar->at[0].d0};
    climb_bar(&worst, bar, z, forces, HUGE_VAL);
    if (!(worst.equivalent > 0))
        return (struct sw_stress){.z = worst.z, .diameter = worst.diameter};
    return sw_stress_on(worst.z, worst.diameter, forces);
}

bool sw_stress_exceeds(const struct sw_bar *bar, double z, const struct sw_bar_forces *forces,
                       double limit)
{
    const double clearly_above = limit / CLEARLY;
    struct peak worst = {.equivalent = fmax(0, CLEARLY * limit)};
    climb_bar(&worst, bar, z, forces, clearly_above);
    if (worst.equivalent > clearly_above)
        return true;
    if (limit > 0 && worst.equivalent <= CLEARLY * limit)
        return false;
    /* so near that rounding decides: as whoever asks for the stress itself would */
    return sw_stress_worst_to(bar, z, forces).equivalent > limit;
}

struct sw_stress sw_stress_worst(const struct sw_bar *bar, const struct sw_bar_forces *forces)
{
    return sw_stress_worst_to(bar, forces->at, forces);
}

double sw_stress_reach(const struct sw_bar *bar, double a)
{
    for (size_t i = bar->n; i-- > 0;) {
        const struct sw_bar_piece *p = &bar->at[i];
        if (p->z0 >= a)
            continue;
        const double z1 = p->z1 < a ? p->z1 : a;
        if (a - z1 >= diameter_in(p, z1))
            return z1;
        if (a - p->z0 < p->d0)
            continue;
        /* a - z falls and the diameter is straight: they meet inside */
        const double slope = (p->d1 - p->d0) / (p->z1 - p->z0);
        return p->z0 + (a - p->z0 - p->d0) / (1 + slope);
    }
    return -1;
}

double sw_stress_twist(const struct sw_bar *bar, const struct sw_bar_forces *forces)
{
    return forces->cutting * forces->radius * sw_bar_sum_at(bar, forces->at).twist;
}
