#include "mech/notch.h"

#include <math.h>
#include <stddef.h>

struct fit {
    enum sw_notch_load load;
    enum sw_notch_fit fit;
    double from, to; /* of h/r */
    double c[4][3];  /* A, B, C of C1 to C4 */
};

/* clang-format off */
static const struct fit fits[] = {
    {SW_NOTCH_BENDING, SW_NOTCH_PETERSON, 0.1, 2,
     {{0.947, 1.206, -0.131}, {0.022, -3.405, 0.915},
      {0.869, 1.777, -0.555}, {-0.810, 0.422, -0.260}}},
    {SW_NOTCH_BENDING, SW_NOTCH_PETERSON, 2, 20,
     {{1.232, 0.832, -0.008}, {-3.813, 0.968, -0.260},
      {7.423, -4.868, 0.869}, {-3.839, 3.070, -0.600}}},
    {SW_NOTCH_BENDING, SW_NOTCH_ROARK, 0.25, 2,
     {{0.927, 1.149, -0.086}, {0.015, -3.281, 0.837},
      {0.847, 1.716, -0.506}, {-0.790, 0.417, -0.246}}},
    {SW_NOTCH_BENDING, SW_NOTCH_ROARK, 2, 20,
     {{1.225, 0.831, -0.010}, {-3.790, 0.958, -0.257},
      {7.374, -4.834, 0.862}, {-3.809, 3.046, -0.595}}},
    {SW_NOTCH_TORSION, SW_NOTCH_PETERSON, 0.25, 4,
     {{0.905, 0.783, -0.075}, {-0.437, -1.969, 0.553},
      {1.557, 1.073, -0.578}, {-1.061, 0.171, 0.086}}},
    {SW_NOTCH_TORSION, SW_NOTCH_ROARK, 0.25, 4,
     {{0.953, 0.680, -0.053}, {-0.493, -1.820, 0.517},
      {1.621, 0.908, -0.529}, {-1.081, 0.232, 0.065}}},
    {SW_NOTCH_TENSION, SW_NOTCH_PETERSON, 0.1, 2,
     {{0.926, 1.157, -0.099}, {0.012, -3.036, 0.961},
      {-0.302, 3.977, -1.744}, {0.365, -2.098, 0.878}}},
    {SW_NOTCH_TENSION, SW_NOTCH_PETERSON, 2, 20,
     {{1.200, 0.860, -0.022}, {-1.805, -0.346, -0.038},
      {2.198, -0.486, 0.165}, {-0.593, -0.028, -0.106}}},
};
/* clang-format on */
enum { FITS = sizeof fits / sizeof fits[0] };

/* The row for a sharpness: the last that begins below it, or the first there is. */
static const struct fit *find(enum sw_notch_load load, enum sw_notch_fit fit, double sharpness)
{
    const struct fit *found = NULL;
    for (size_t i = 0; i < FITS; i++)
        if (fits[i].load == load && fits[i].fit == fit && (!found || fits[i].from < sharpness))
            found = &fits[i];
    return found;
}

double sw_notch_factor(enum sw_notch_load load, enum sw_notch_fit fit, double thick, double thin,
                       double radius, bool *is_published)
{
    if (is_published)
        *is_published = true;
    const double h = (thick - thin) / 2;
    if (h <= 0)
        return 1;
    const double sharpness = radius > 0 ? h / radius : (double)INFINITY;
    const struct fit *const row =
        find(load, load == SW_NOTCH_TENSION ? SW_NOTCH_PETERSON : fit, sharpness);
    const double q = fmin(row->to, fmax(row->from, sharpness)), x = 2 * h / thick;
    if (is_published)
        *is_published = q == sharpness;
    double factor = 0, power = 1;
    for (size_t i = 0; i < 4; i++) {
        factor += (row->c[i][0] + row->c[i][1] * sqrt(q) + row->c[i][2] * q) * power;
        power *= x;
    }
    /* Below the range the excess dies away as that of any shallow notch, with the root of its
     * depth. */
    const double shallow = sharpness < row->from ? sqrt(sharpness / row->from) : 1;
    return 1 + fmax(0, factor - 1) * shallow;
}

double sw_notch_neuber(double tensile)
{
    const double mpa_in_kpsi = 6.894757293168361;
    const double s = tensile / mpa_in_kpsi;
    const double inch = 0.245799 + s * (-0.307794e-2 + s * (0.150874e-4 - s * 0.266978e-7));
    return inch * sqrt(25.4);
}

double sw_notch_fatigue(double factor, double neuber, double radius)
{
    return 1 + (factor - 1) / (1 + neuber / sqrt(radius));
}
