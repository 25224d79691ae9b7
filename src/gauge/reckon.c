#include "gauge/reckon.h"

#include <math.h>

enum { STEPS = 40 };
/* Steps this small [mm, mm2] are the end of the search: far below any gauge. */
static const double least_step = 1e-12;
/* Below this share of the product of its diagonal a determinant is noise: one cannot be told from
 * the other. */
static const double least_determinant = 1e-9;

/* Scatter beyond what U allows, as a factor >= 1 on the variances. */
static double widening(double chi_square, size_t n, size_t n_unknowns)
{
    return n > n_unknowns ? fmax(1, chi_square / (double)(n - n_unknowns)) : 1;
}

bool sw_gauge_offset(struct sw_gauge_value *offset, const struct sw_gauge_point *point, size_t n)
{
    double weights = 0, sum = 0, chi_square = 0;
    for (size_t i = 0; i < n; i++) {
        const double weight = 1 / (point[i].u * point[i].u);
        weights += weight;
        sum += weight * point[i].error;
    }
    if (n == 0)
        return false;
    const double mean = sum / weights;
    for (size_t i = 0; i < n; i++)
        chi_square += pow((point[i].error - mean) / point[i].u, 2);
    /* the diameter errs by twice the offset */
    offset->value = mean / 2;
    offset->u = sqrt(widening(chi_square, n, 1) / weights) / 2;
    return true;
}

/* Normal equations of the two unknowns at (a, q), Gauss and Newton. */
struct normal {
    double aa, aq, qq, ra, rq, chi_square;
};

static bool normal_at(struct normal *to, double a, double q, const struct sw_gauge_point *point,
                      size_t n)
{
    *to = (struct normal){0};
    for (size_t i = 0; i < n; i++) {
        const double over_axis = point[i].expected + 2 * a;
        const double square = over_axis * over_axis + 4 * q;
        if (!(square > 0))
            return false;
        const double is = sqrt(square), weight = 1 / (point[i].u * point[i].u);
        const double by_a = 2 * over_axis / is, by_q = 2 / is;
        const double rest = point[i].expected + point[i].error - is;
        to->aa += weight * by_a * by_a;
        to->aq += weight * by_a * by_q;
        to->qq += weight * by_q * by_q;
        to->ra += weight * by_a * rest;
        to->rq += weight * by_q * rest;
        to->chi_square += weight * rest * rest;
    }
    return to->aa * to->qq - to->aq * to->aq > least_determinant * to->aa * to->qq;
}

bool sw_gauge_offset_and_height(struct sw_gauge_value *offset, struct sw_gauge_value *height_2,
                                const struct sw_gauge_point *point, size_t n)
{
    double a = 0, q = 0;
    struct normal at;
    bool is_found = false;
    for (int step = 0; n > 1 && step < STEPS && !is_found; step++) {
        if (!normal_at(&at, a, q, point, n))
            return false;
        const double det = at.aa * at.qq - at.aq * at.aq;
        const double da = (at.ra * at.qq - at.rq * at.aq) / det;
        const double dq = (at.rq * at.aa - at.ra * at.aq) / det;
        a += da;
        q += dq;
        is_found = fabs(da) < least_step && fabs(dq) < least_step;
    }
    if (!is_found || !normal_at(&at, a, q, point, n))
        return false;
    const double scale = widening(at.chi_square, n, 2) / (at.aa * at.qq - at.aq * at.aq);
    *offset = (struct sw_gauge_value){a, sqrt(at.qq * scale)};
    *height_2 = (struct sw_gauge_value){q, sqrt(at.aa * scale)};
    return true;
}

/* Different piece numbers, up to three. */
static size_t n_pieces(const struct sw_gauge_point *point, size_t n)
{
    size_t found = 0;
    for (size_t i = 0; i < n && found < 3; i++) {
        bool is_new = true;
        for (size_t k = 0; k < i; k++)
            is_new = is_new && point[k].piece != point[i].piece;
        found += is_new;
    }
    return found;
}

bool sw_gauge_drift(struct sw_gauge_value *per_piece, double *scatter,
                    const struct sw_gauge_point *point, size_t n)
{
    if (n_pieces(point, n) < 3)
        return false;
    double x = 0, y = 0, xx = 0, xy = 0, rest = 0;
    for (size_t i = 0; i < n; i++) {
        x += point[i].piece / (double)n;
        y += point[i].error / (double)n;
    }
    for (size_t i = 0; i < n; i++) {
        xx += pow(point[i].piece - x, 2);
        xy += (point[i].piece - x) * (point[i].error - y);
    }
    per_piece->value = xy / xx;
    for (size_t i = 0; i < n; i++)
        rest += pow(point[i].error - y - per_piece->value * (point[i].piece - x), 2);
    *scatter = sqrt(rest / (double)(n - 2));
    per_piece->u = *scatter / sqrt(xx);
    return true;
}

bool sw_gauge_chart(struct sw_gauge_chart *chart, const double *value, size_t n)
{
    *chart = (struct sw_gauge_chart){0};
    if (n < 2)
        return false;
    for (size_t i = 0; i < n; i++) {
        chart->centre += value[i] / (double)n;
        if (i > 0)
            chart->range += fabs(value[i] - value[i - 1]) / (double)(n - 1);
    }
    chart->sigma = chart->range / SW_GAUGE_D2;
    chart->lower = chart->centre - 3 * chart->sigma;
    chart->upper = chart->centre + 3 * chart->sigma;
    chart->range_upper = SW_GAUGE_D4 * chart->range;
    for (size_t i = 0; i < n; i++)
        chart->n_out += value[i] < chart->lower || value[i] > chart->upper;
    return true;
}
