#include "mech/buckle.h"

#include <math.h>

#include "mech/mech_int.h"

/* Nearer to a cylinder than this the cone's solution loses digits to its far apex, and a cylinder
 * of the geometric mean diameter is off by less than the square of it. */
static const double nearly_cylinder = 1e-6;

double sw_buckle_uniform(double elastic_modulus, double diameter, double length)
{
    const double d2 = diameter * diameter;
    return SW_MECH_PI * SW_MECH_PI * SW_MECH_PI * elastic_modulus * d2 * d2 /
           (64 * 4 * length * length);
}

bool sw_buckle_is_elastic(double diameter, double length, double elastic_modulus, double yield)
{
    return 8 * length / diameter > SW_MECH_PI * sqrt(elastic_modulus / yield);
}

double sw_buckle_amplification(double load, double critical)
{
    return load < critical ? 1 / (1 - load / critical) : (double)INFINITY;
}

/* Distance from the line of the load, and slope, going from the free end inward. */
struct curve {
    double w, slope;
};

/* Carry the curve over a length H whose diameter goes from P to Q (inward); ROOT is sqrt(load/E).
 * False when the piece alone holds half a wave: no bar that ends in it is stable. */
static bool carry(struct curve *c, double h, double p, double q, double root)
{
    const double wave = root * sqrt(64 / SW_MECH_PI); /* k d^2 */
    const double phase = wave * h / (p * q);
    if (phase >= SW_MECH_PI)
        return false;
    const double sine = sin(phase), cosine = cos(phase);
    const double w = c->w, slope = c->slope;
    if (fabs(q - p) <= nearly_cylinder * p) {
        const double k = wave / (p * q);
        c->w = w * cosine + slope / k * sine;
        c->slope = slope * cosine - w * k * sine;
        return true;
    }
    /* x from the apex, negative where the bar thins inward; g = w/x is harmonic in 1/x. */
    const double rate = (q - p) / h, x = p / rate, x_to = q / rate;
    const double mu = wave / (rate * rate);
    const double turned = w - x * slope; /* dg/d(1/x) */
    const double g = w / x;
    /* 1/x falls by h/(x x_to): the sign of the phase. */
    const double g_to = g * cosine - turned / mu * sine;
    const double turned_to = turned * cosine + g * mu * sine;
    c->w = x_to * g_to;
    c->slope = g_to - turned_to / x_to;
    return true;
}

static bool is_stable(const struct sw_bar *bar, double a, double load)
{
    const double root = sqrt(load / bar->material.elastic_modulus);
    struct curve c = {.w = 0, .slope = 1};
    for (size_t i = bar->n; i-- > 0;) {
        const struct sw_bar_piece *p = &bar->at[i];
        if (p->z0 >= a)
            continue;
        if (p->z1 < a)
            c.slope -= load * c.w * bar->sum[i + 1].corner;
        const double z1 = fmin(a, p->z1);
        const double d1 = p->d0 + (p->d1 - p->d0) * ((z1 - p->z0) / (p->z1 - p->z0));
        if (!carry(&c, z1 - p->z0, d1, p->d0, root) || c.slope <= 0 || c.w <= 0)
            return false;
    }
    return c.slope > load * c.w * (bar->root.rotation + bar->sum[0].corner);
}

double sw_buckle_load_at(const struct sw_bar *bar, double a)
{
    /* A uniform bar of the largest diameter bears more. */
    double thick = 0;
    for (size_t i = 0; i < bar->n && bar->at[i].z0 < a; i++)
        thick = fmax(thick, fmax(bar->at[i].d0, bar->at[i].d1));
    double low = 0, high = 1.01 * sw_buckle_uniform(bar->material.elastic_modulus, thick, a);
    for (int i = 0; i < SW_MECH_HALVINGS; i++) {
        const double middle = (low + high) / 2;
        if (is_stable(bar, a, middle))
            low = middle;
        else
            high = middle;
    }
    return (low + high) / 2;
}

double sw_buckle_load(const struct sw_bar *bar)
{
    return sw_buckle_load_at(bar, sw_bar_length(bar));
}
