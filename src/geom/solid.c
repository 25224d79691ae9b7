/* Solids of revolution by Green's theorem: an integral over the half section becomes one along the
 * profile, so overhangs and recesses count with their sign and need no thought.
 *
 *   volume = pi Int r^2 dz             first moment = pi Int z r^2 dz
 *   polar  = pi/2 Int r^4 dz           second moment along z = pi Int z^2 r^2 dz
 *
 * Lines: powers of r in closed form (frusta). Arcs: with r and z as sine and cosine of the angle
 * about the centre every integrand is a sum of harmonics, integrated one by one. For an arc of
 * small sweep these harmonics cancel each other almost wholly (a dome of large radius on a thin
 * pivot), and a Gauss-Legendre sum of ten points, exact to rounding there, is taken instead.
 */
#include "geom/solid.h"

#include <math.h>

#include "geom/geom_int.h"

/* Up to this sweep [rad] ten Gauss points are exact to rounding: the integrand is a trigonometric
 * polynomial of degree 5, its 20th-order remainder (5 * 0.25)^20 / 20! is below 1e-16. */
#define SWEEP_BY_GAUSS 0.5

struct moments {
    double r2;   /* Int r^2 dz */
    double r4;   /* Int r^4 dz */
    double zr2;  /* Int z r^2 dz */
    double z2r2; /* Int z^2 r^2 dz */
};

static struct moments line_moments(struct sw_pt a, struct sw_pt b)
{
    const double h = b.z - a.z, p = a.r, q = b.r;
    const double m0 = (p * p + p * q + q * q) / 3;          /* Int r^2 dt over [0, 1] */
    const double m1 = (p * p + 2 * p * q + 3 * q * q) / 12; /* Int t r^2 dt */
    const double m2 = (p * p + 3 * p * q + 6 * q * q) / 30; /* Int t^2 r^2 dt */
    const double p2 = p * p, q2 = q * q;
    return (struct moments){.r2 = h * m0,
                            .r4 = h / 5 * (p2 * p2 + p2 * p * q + p2 * q2 + p * q * q2 + q2 * q2),
                            .zr2 = h * (a.z * m0 + h * m1),
                            .z2r2 = h * (a.z * a.z * m0 + 2 * a.z * h * m1 + h * h * m2)};
}

/* Abscissae and weights of ten-point Gauss-Legendre on [-1, 1] (Abramowitz and Stegun, table 25.4),
 * the positive half. */
static const double gauss[][2] = {{0.148874338981631211, 0.295524224714752870},
                                  {0.433395394129247191, 0.269266719309996355},
                                  {0.679409568299024406, 0.219086362515982044},
                                  {0.865063366688984511, 0.149451349150580593},
                                  {0.973906528517171720, 0.066671344308688138}};

static struct moments arc_moments_by_gauss(const struct sw_seg *arc)
{
    const double sweep = sw_seg_sweep(arc);
    struct moments sum = {0};
    for (size_t i = 0; i < sizeof gauss / sizeof gauss[0]; i++)
        for (int side = -1; side <= 1; side += 2) {
            const struct sw_pt p = sw_seg_at(arc, (1 + side * gauss[i][0]) / 2);
            const double dz = -(p.r - arc->c.r) * sweep * gauss[i][1] / 2, r2 = p.r * p.r;
            sum.r2 += r2 * dz;
            sum.r4 += r2 * r2 * dz;
            sum.zr2 += p.z * r2 * dz;
            sum.z2r2 += p.z * p.z * r2 * dz;
        }
    return sum;
}

enum { DEGREE = 5 };

/* Sum of cosine[k] cos(k x) + sine[k] sin(k x). */
struct wave {
    double cosine[DEGREE + 1];
    double sine[DEGREE + 1];
};

static void wave_add(struct wave *wave, int k, double cosine, double sine)
{
    const int n = k < 0 ? -k : k;
    if (n > DEGREE)
        return; /* no product here goes beyond it */
    wave->cosine[n] += cosine;
    wave->sine[n] += k < 0 ? -sine : sine;
}

static struct wave wave_times(const struct wave *a, const struct wave *b)
{
    struct wave product = {0};
    for (int i = 0; i <= DEGREE; i++)
        for (int k = 0; k <= DEGREE; k++) {
            const double cc = a->cosine[i] * b->cosine[k] / 2, ss = a->sine[i] * b->sine[k] / 2;
            const double cs = a->cosine[i] * b->sine[k] / 2, sc = a->sine[i] * b->cosine[k] / 2;
            wave_add(&product, i + k, cc - ss, cs + sc);
            wave_add(&product, i - k, cc + ss, sc - cs);
        }
    return product;
}

/* Integral from MIDDLE - HALF to MIDDLE + HALF. */
static double wave_integral(const struct wave *wave, double middle, double half)
{
    double sum = 2 * half * wave->cosine[0];
    for (int k = 1; k <= DEGREE; k++)
        sum += 2 * sin(k * half) / k *
               (wave->cosine[k] * cos(k * middle) + wave->sine[k] * sin(k * middle));
    return sum;
}

static double middle_angle(const struct sw_seg *arc)
{
    const struct sw_pt from = sw_geom_less(arc->a, arc->c);
    return atan2(from.r, from.z) + sw_seg_sweep(arc) / 2;
}

static struct moments arc_moments(const struct sw_seg *arc)
{
    const double sweep = sw_seg_sweep(arc), radius = sw_seg_radius(arc);
    if (fabs(sweep) <= SWEEP_BY_GAUSS)
        return arc_moments_by_gauss(arc);
    struct wave z = {.cosine = {arc->c.z, radius}}, r = {.cosine = {arc->c.r}}, dz = {0};
    r.sine[1] = radius;
    dz.sine[1] = -radius;
    const struct wave r2 = wave_times(&r, &r), r4 = wave_times(&r2, &r2);
    const struct wave r2dz = wave_times(&r2, &dz), zr2dz = wave_times(&z, &r2dz);
    const struct wave z2r2dz = wave_times(&z, &zr2dz), r4dz = wave_times(&r4, &dz);
    const double middle = middle_angle(arc), half = sweep / 2;
    return (struct moments){.r2 = wave_integral(&r2dz, middle, half),
                            .r4 = wave_integral(&r4dz, middle, half),
                            .zr2 = wave_integral(&zr2dz, middle, half),
                            .z2r2 = wave_integral(&z2r2dz, middle, half)};
}

/* Moments with z counted from Z0. */
static struct moments all_moments(const struct sw_contour *profile, double z0)
{
    struct moments sum = {0};
    for (size_t i = 0; i < profile->n; i++) {
        struct sw_seg seg = profile->at[i];
        seg.a.z -= z0;
        seg.b.z -= z0;
        seg.c.z -= z0;
        const struct moments one =
            seg.kind == SW_SEG_ARC ? arc_moments(&seg) : line_moments(seg.a, seg.b);
        sum.r2 += one.r2;
        sum.r4 += one.r4;
        sum.zr2 += one.zr2;
        sum.z2r2 += one.z2r2;
    }
    return sum;
}

/* Pappus: way of the line's centroid times its length. */
static double surface_of(const struct sw_seg *seg)
{
    if (seg->kind == SW_SEG_LINE)
        return SW_GEOM_PI * (seg->a.r + seg->b.r) * sw_seg_length(seg);
    const double half = fabs(sw_seg_sweep(seg)) / 2, radius = sw_seg_radius(seg);
    const double centroid = seg->c.r + radius * sin(middle_angle(seg)) * sin(half) / half;
    return 2 * SW_GEOM_PI * centroid * 2 * half * radius;
}

void sw_solid_of(struct sw_solid *out, const struct sw_contour *profile)
{
    *out = (struct sw_solid){0};
    if (profile->n == 0)
        return;
    /* First about the middle, then about the centroid: the moment asked for is not left over from
     * a difference of larger ones. */
    const struct sw_box box = sw_contour_box(profile);
    const double middle = (box.z0 + box.z1) / 2;
    const struct moments first = all_moments(profile, middle);
    out->volume_mm3 = SW_GEOM_PI * first.r2;
    out->centroid_z_mm = first.r2 != 0 ? middle + first.zr2 / first.r2 : middle;
    const struct moments second = all_moments(profile, out->centroid_z_mm);
    out->polar_mm5 = SW_GEOM_PI / 2 * second.r4;
    out->transverse_mm5 = SW_GEOM_PI * (second.r4 / 4 + second.z2r2);
    for (size_t i = 0; i < profile->n; i++)
        out->surface_mm2 += surface_of(&profile->at[i]);
    if (!sw_contour_is_closed(profile)) {
        const double ra = profile->at[0].a.r, rb = profile->at[profile->n - 1].b.r;
        out->surface_mm2 += SW_GEOM_PI * (ra * ra + rb * rb);
    }
}
