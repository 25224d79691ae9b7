/* Unknowns of a node: slope on its root side, deflection, and at a shoulder the slope on its outer
 * side, tied to the other by a spring. An element then couples four unknowns in a row, so stiffness
 * and mass matrices have half-bandwidth 3 and are kept as bands. K = L D L^T once, then inverse
 * iteration, which runs to the lowest mode. */
#include "mech/vibrate.h"

#include <math.h>
#include <string.h>

#include "mech/mech_int.h"

enum { PER_PIECE = 12, BAND = 4, MOST_ITERATIONS = 200 };
/* Relative change of the frequency at which the iteration has settled. */
static const double settled = 1e-13;
/* Waves shorter than so many edge radii are ironed out: estimate, no source. */
static const double ironed = 3.0;

static const double numbers[SW_VIBRATE_MODES] = {1.8751040687119611, 4.6940911329741746,
                                                 7.8547574382376126};

double sw_vibrate_uniform(int mode, double elastic_modulus, double density, double diameter,
                          double length)
{
    if (mode < 0 || mode >= SW_VIBRATE_MODES)
        return 0;
    /* I/A = d^2/16 */
    const double b = numbers[mode] / length;
    return b * b * diameter / 4 * sqrt(elastic_modulus / density) / (2 * SW_MECH_PI);
}

double sw_vibrate_width_limit(double stiffness, double damping, double specific_force)
{
    return 2 * stiffness * damping * (1 + damping) / specific_force;
}

bool sw_vibrate_is_damped(double hertz, double speed, double edge_radius)
{
    return speed < ironed * edge_radius * hertz;
}

/* Lower half of a symmetric band matrix: row I holds columns I - 3 to I. */
typedef double band_row[BAND];

static void add(band_row *m, size_t i, size_t k, double value)
{
    if (i >= k)
        m[i][BAND - 1 - (i - k)] += value;
}

/* Abscissae on [0, 1] and weights of five-point Gauss-Legendre: exact up to degree 9, and the mass
 * of a cone needs 8. */
enum { POINTS = 5 };
static const double gauss[POINTS][2] = {{0.04691007703066802, 0.11846344252809454},
                                        {0.23076534494715845, 0.23931433524968324},
                                        {0.5, 0.28444444444444444},
                                        {0.76923465505284155, 0.23931433524968324},
                                        {0.95308992296933198, 0.11846344252809454}};

/* One element of length H whose diameter goes from P to Q, between four unknowns: deflection and
 * slope of its first node, then of its second. */
static void add_element(band_row *stiff, band_row *mass, const size_t at[4], double h, double p,
                        double q, double e, double rho)
{
    for (size_t g = 0; g < POINTS; g++) {
        const double t = gauss[g][0], weight = gauss[g][1] * h;
        const double d = p + (q - p) * t, area = SW_MECH_PI * d * d / 4;
        const double ei = e * area * d * d / 16 * weight, m = rho * area * weight;
        const double shape[4] = {1 - t * t * (3 - 2 * t), h * t * (1 - t) * (1 - t),
                                 t * t * (3 - 2 * t), h * t * t * (t - 1)};
        const double bend[4] = {(12 * t - 6) / (h * h), (6 * t - 4) / h, (6 - 12 * t) / (h * h),
                                (6 * t - 2) / h};
        for (size_t i = 0; i < 4; i++)
            for (size_t k = 0; k < 4; k++) {
                add(stiff, at[i], at[k], ei * bend[i] * bend[k]);
                add(mass, at[i], at[k], m * shape[i] * shape[k]);
            }
    }
}

static void hold(band_row *stiff, band_row *mass, size_t held, size_t n, double give)
{
    if (give > 0) {
        add(stiff, held, held, 1 / give);
        return;
    }
    for (size_t i = held; i < n && i < held + BAND; i++)
        stiff[i][BAND - 1 - (i - held)] = mass[i][BAND - 1 - (i - held)] = 0;
    for (size_t k = 0; k < held; k++)
        stiff[held][BAND - 1 - (held - k)] = mass[held][BAND - 1 - (held - k)] = 0;
    stiff[held][BAND - 1] = 1;
}

/* Fill both matrices; gives the number of unknowns. */
static size_t fill(band_row *stiff, band_row *mass, const struct sw_bar *bar, double density)
{
    size_t slope = 0, deflection = 1, n = 2;
    for (size_t i = 0; i < bar->n; i++) {
        const struct sw_bar_piece *p = &bar->at[i];
        for (size_t k = 0; k < PER_PIECE; k++) {
            const double d = (p->d1 - p->d0) / PER_PIECE;
            const size_t at[4] = {deflection, slope, n + 1, n};
            add_element(stiff, mass, at, (p->z1 - p->z0) / PER_PIECE, p->d0 + d * (double)k,
                        p->d0 + d * (double)(k + 1), bar->material.elastic_modulus, density);
            slope = n;
            deflection = n + 1;
            n += 2;
        }
        const double corner = bar->sum[i + 1].corner;
        if (corner > 0 && i + 1 < bar->n) {
            const double spring = 1 / corner;
            add(stiff, slope, slope, spring);
            add(stiff, n, n, spring);
            add(stiff, n, slope, -spring);
            slope = n++;
        }
    }
    hold(stiff, mass, 0, n, bar->root.rotation + bar->sum[0].corner);
    hold(stiff, mass, 1, n, bar->root.lateral);
    return n;
}

/* K = L D L^T in place: D on the diagonal. */
static void factor(band_row *m, size_t n)
{
    for (size_t i = 0; i < n; i++)
        for (size_t k = i < BAND - 1 ? 0 : i - (BAND - 1); k <= i; k++) {
            double sum = m[i][BAND - 1 - (i - k)];
            for (size_t j = i < BAND - 1 ? 0 : i - (BAND - 1); j < k; j++)
                if (k - j < BAND)
                    sum -= m[i][BAND - 1 - (i - j)] * m[k][BAND - 1 - (k - j)] * m[j][BAND - 1];
            m[i][BAND - 1 - (i - k)] = k < i ? sum / m[k][BAND - 1] : sum;
        }
}

static void solve(const band_row *m, double *x, size_t n)
{
    for (size_t i = 0; i < n; i++)
        for (size_t k = i < BAND - 1 ? 0 : i - (BAND - 1); k < i; k++)
            x[i] -= m[i][BAND - 1 - (i - k)] * x[k];
    for (size_t i = 0; i < n; i++)
        x[i] /= m[i][BAND - 1];
    for (size_t i = n; i-- > 0;)
        for (size_t k = i < BAND - 1 ? 0 : i - (BAND - 1); k < i; k++)
            x[k] -= m[i][BAND - 1 - (i - k)] * x[i];
}

static void times(const band_row *m, const double *x, double *to, size_t n)
{
    memset(to, 0, n * sizeof *to);
    for (size_t i = 0; i < n; i++)
        for (size_t k = i < BAND - 1 ? 0 : i - (BAND - 1); k <= i; k++) {
            const double v = m[i][BAND - 1 - (i - k)];
            to[i] += v * x[k];
            if (k < i)
                to[k] += v * x[i];
        }
}

static double dot(const double *a, const double *b, size_t n)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += a[i] * b[i];
    return sum;
}

/* Lowest eigenvalue of K x = lambda M x; K factored. */
static double lowest(const band_row *stiff, const band_row *mass, double *x, double *y, size_t n)
{
    for (size_t i = 0; i < n; i++)
        x[i] = (double)(i + 1); /* leans outward, as the first mode does */
    double value = 0;
    for (int i = 0; i < MOST_ITERATIONS; i++) {
        times(mass, x, y, n);
        const double before = value;
        const double scale = 1 / sqrt(dot(x, y, n));
        for (size_t k = 0; k < n; k++)
            x[k] = y[k] *= scale;
        solve(stiff, x, n);
        /* Rayleigh: x = K^-1 M v with v of unit mass, so v' M x estimates 1/lambda. */
        value = 1 / dot(x, y, n);
        if (fabs(value - before) <= settled * value)
            break;
    }
    return value;
}

enum sw_status sw_vibrate_first(double *hertz, const struct sw_bar *bar, double density,
                                struct sw_ctx *ctx)
{
    (void)ctx;
    const size_t most = 2 * (bar->n * PER_PIECE + 1) + bar->n;
    struct sw_arena *const scratch = sw_arena_new();
    if (!scratch)
        return SW_MEMORY;
    enum sw_status status = SW_MEMORY;
    band_row *const stiff = SW_NEW(scratch, band_row, most);
    band_row *const mass = SW_NEW(scratch, band_row, most);
    double *const x = SW_NEW(scratch, double, most);
    double *const y = SW_NEW(scratch, double, most);
    if (!stiff || !mass || !x || !y)
        goto out;
    const size_t n = fill(stiff, mass, bar, density);
    factor(stiff, n);
    *hertz = sqrt(lowest(stiff, mass, x, y, n)) / (2 * SW_MECH_PI);
    status = SW_OK;
out:
    sw_arena_free(scratch);
    return status;
}
