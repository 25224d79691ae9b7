#include "stat/gum.h"

#include <math.h>

#include "stat/dist.h"

struct sw_gum sw_gum_exact(double value)
{
    return (struct sw_gum){.value = value};
}

struct sw_gum sw_gum_of(double value, size_t i)
{
    struct sw_gum a = {.value = value};
    a.slope[i] = 1;
    return a;
}

/* VALUE with the slopes A * KA + B * KB: all operations are this. */
static struct sw_gum combine(double value, const struct sw_gum *a, double ka,
                             const struct sw_gum *b, double kb)
{
    struct sw_gum to = {.value = value};
    for (size_t i = 0; i < SW_GUM_MOST; i++)
        to.slope[i] = ka * a->slope[i] + kb * b->slope[i];
    return to;
}

struct sw_gum sw_gum_sum(const struct sw_gum *a, double ka, const struct sw_gum *b, double kb)
{
    return combine(ka * a->value + kb * b->value, a, ka, b, kb);
}

struct sw_gum sw_gum_product(const struct sw_gum *a, const struct sw_gum *b)
{
    return combine(a->value * b->value, a, b->value, b, a->value);
}

struct sw_gum sw_gum_quotient(const struct sw_gum *a, const struct sw_gum *b)
{
    const double value = a->value / b->value;
    return combine(value, a, 1 / b->value, b, -value / b->value);
}

static double variance_of(const struct sw_gum *a, const struct sw_gum_source *source, size_t i)
{
    const double part = a->slope[i] * source[i].u;
    return part * part;
}

static double variance(const struct sw_gum *a, const struct sw_gum_source *source, size_t n)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += variance_of(a, source, i);
    return sum;
}

double sw_gum_u(const struct sw_gum *a, const struct sw_gum_source *source, size_t n)
{
    return sqrt(variance(a, source, n));
}

double sw_gum_share(const struct sw_gum *a, const struct sw_gum_source *source, size_t n, size_t i)
{
    const double all = variance(a, source, n);
    return all > 0 ? variance_of(a, source, i) / all : 0;
}

double sw_gum_dof(const struct sw_gum *a, const struct sw_gum_source *source, size_t n)
{
    const double all = variance(a, source, n);
    double sum = 0;
    for (size_t i = 0; i < n; i++) {
        const double part = variance_of(a, source, i);
        if (!isinf(source[i].dof))
            sum += part * part / source[i].dof;
    }
    return sum > 0 ? all * all / sum : (double)INFINITY;
}

double sw_gum_expanded(const struct sw_gum *a, const struct sw_gum_source *source, size_t n,
                       double share)
{
    const double dof = sw_gum_dof(a, source, n);
    /* GUM G.4.1: a fraction of a degree of freedom is cut off. */
    return sw_student_factor(share, dof > 1 && !isinf(dof) ? floor(dof) : dof) *
           sw_gum_u(a, source, n);
}

double sw_gum_needed(const struct sw_gum *a, const struct sw_gum_source *source, size_t n, size_t i,
                     double wanted)
{
    const double others = variance(a, source, n) - variance_of(a, source, i);
    const double left = wanted * wanted - others;
    if (left <= 0 || a->slope[i] == 0)
        return 0;
    return sqrt(left) / fabs(a->slope[i]);
}
