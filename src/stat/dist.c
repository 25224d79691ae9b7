#include "stat/dist.h"

#include <math.h>

static const double sqrt2 = 1.41421356237309504880;
/* The series and fractions below gain at least a digit every few terms for what is asked here. */
enum { MOST_TERMS = 500 };
static const double term_ends = 1e-16;
/* Keeps the modified Lentz method off a division by zero. */
static const double lentz_least = 1e-300;
/* Halvings that take any bracket below the last place of a double. */
enum { HALVINGS = 200 };

double sw_normal_below(double x)
{
    return erfc(-x / sqrt2) / 2;
}

/* The x in LOW..HIGH at which a rising function passes WANTED. */
static double solve(double (*rising)(double x, double with), double with, double wanted, double low,
                    double high)
{
    for (int i = 0; i < HALVINGS; i++) {
        const double middle = (low + high) / 2;
        if (middle <= low || middle >= high)
            break;
        if (rising(middle, with) < wanted)
            low = middle;
        else
            high = middle;
    }
    return (low + high) / 2;
}

static double normal_rising(double x, double unused)
{
    (void)unused;
    return sw_normal_below(x);
}

double sw_normal_quantile(double share)
{
    static const double far = 40; /* beyond it a double knows no tail */
    if (!(share > 0 && share < 1))
        return NAN;
    /* By the lower half: near 1 the tail would drown in rounding. */
    return share > 0.5 ? -solve(normal_rising, 0, 1 - share, -far, 0)
                       : solve(normal_rising, 0, share, -far, 0);
}

static double beta_fraction(double a, double b, double x)
{
    double c = 1, d = 1 - (a + b) * x / (a + 1);
    d = 1 / (fabs(d) < lentz_least ? lentz_least : d);
    double h = d;
    for (int m = 1; m < MOST_TERMS; m++) {
        const double even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m));
        d = 1 + even * d;
        d = 1 / (fabs(d) < lentz_least ? lentz_least : d);
        c = 1 + even / c;
        c = fabs(c) < lentz_least ? lentz_least : c;
        h *= d * c;
        const double odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1));
        d = 1 + odd * d;
        d = 1 / (fabs(d) < lentz_least ? lentz_least : d);
        c = 1 + odd / c;
        c = fabs(c) < lentz_least ? lentz_least : c;
        h *= d * c;
        if (fabs(d * c - 1) < term_ends)
            break;
    }
    return h;
}

/* The regularised incomplete beta function. */
static double beta_share(double a, double b, double x)
{
    if (x <= 0)
        return 0;
    if (x >= 1)
        return 1;
    const double front = exp(lgamma(a + b) - lgamma(a) - lgamma(b) + a * log(x) + b * log1p(-x));
    return x < (a + 1) / (a + b + 2) ? front * beta_fraction(a, b, x) / a
                                     : 1 - front * beta_fraction(b, a, 1 - x) / b;
}

double sw_student_below(double x, double dof)
{
    if (!(dof > 0))
        return NAN;
    if (isinf(dof))
        return sw_normal_below(x);
    const double tail = beta_share(dof / 2, 0.5, dof / (dof + x * x)) / 2;
    return x > 0 ? 1 - tail : tail;
}

double sw_student_factor(double share, double dof)
{
    static const double far = 1e9; /* one degree of freedom at any share that is asked for */
    if (!(share > 0 && share < 1) || !(dof > 0))
        return NAN;
    if (isinf(dof))
        return sw_normal_quantile((1 + share) / 2);
    return solve(sw_student_below, dof, (1 + share) / 2, 0, far);
}

/* The regularised upper incomplete gamma function: a series below, a continued fraction above. */
double sw_chi_square_above(double chi_square, double dof)
{
    const double a = dof / 2, x = chi_square / 2;
    if (!(a > 0) || !(x >= 0))
        return NAN;
    if (x <= 0)
        return 1;
    const double front = exp(-x + a * log(x) - lgamma(a));
    if (x < a + 1) {
        double term = 1 / a, sum = term;
        for (int n = 1; n < MOST_TERMS && term > sum * term_ends; n++) {
            term *= x / (a + n);
            sum += term;
        }
        return 1 - sum * front;
    }
    double b = x + 1 - a, c = 1 / lentz_least, d = 1 / b, h = d;
    for (int n = 1; n < MOST_TERMS; n++) {
        const double an = -n * (n - a);
        b += 2;
        d = an * d + b;
        d = 1 / (fabs(d) < lentz_least ? lentz_least : d);
        c = b + an / c;
        c = fabs(c) < lentz_least ? lentz_least : c;
        h *= d * c;
        if (fabs(d * c - 1) < term_ends)
            break;
    }
    return front * h;
}
