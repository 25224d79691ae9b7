/* gum: uncertainty of measurement, carried along with every value.
 *
 * A result knows how fast it changes with each independent source of doubt (a reading, a proposed
 * value). Sums, products and quotients carry these slopes to first order, so that the combined
 * uncertainty, each source's share of it and the effect of readings used twice come out of one
 * calculation. Units are the caller's; u is a standard uncertainty.
 * Ownership: plain values, copied. No statuses.
 * Source: JCGM 100:2008 (GUM) 4.3.7 (limits), 5.1.2 (combination), 5.2 (correlation by common
 * sources), G.4 (degrees of freedom).
 */
#ifndef SW_STAT_GUM_H
#define SW_STAT_GUM_H

#include <stddef.h>

enum { SW_GUM_MOST = 160 }; /* sources in one calculation */

/** How the possible values of a source are spread. */
enum sw_spread {
    SW_SPREAD_NORMAL,
    SW_SPREAD_EVEN,   /* equally likely between two limits: u = half the distance / sqrt 3 */
    SW_SPREAD_STUDENT /* a mean of few repeated readings: scaled t with `dof` */
};

struct sw_gum_source {
    double u;   /* standard uncertainty; STUDENT: s / sqrt n */
    double dof; /* degrees of freedom, INFINITY when it is known */
    enum sw_spread spread;
};

struct sw_gum {
    double value;
    double slope[SW_GUM_MOST]; /* d value / d source */
};

/** A number without doubt. */
struct sw_gum sw_gum_exact(double value);

/** A value that is source I [0..SW_GUM_MOST) itself. */
struct sw_gum sw_gum_of(double value, size_t i);

/** A * KA + B * KB. */
struct sw_gum sw_gum_sum(const struct sw_gum *a, double ka, const struct sw_gum *b, double kb);

/** A * B; A / B. */
struct sw_gum sw_gum_product(const struct sw_gum *a, const struct sw_gum *b);
struct sw_gum sw_gum_quotient(const struct sw_gum *a, const struct sw_gum *b);

/** Combined standard uncertainty. */
double sw_gum_u(const struct sw_gum *a, const struct sw_gum_source *source, size_t n);

/** The part [0..1] of the variance that source I brings; 0 when there is no variance. */
double sw_gum_share(const struct sw_gum *a, const struct sw_gum_source *source, size_t n, size_t i);

/** Effective degrees of freedom by Welch and Satterthwaite; INFINITY when all are known. */
double sw_gum_dof(const struct sw_gum *a, const struct sw_gum_source *source, size_t n);

/** Half-width of the interval that holds a SHARE (0..1) of what the value may be. */
double sw_gum_expanded(const struct sw_gum *a, const struct sw_gum_source *source, size_t n,
                       double share);

/** How large the standard uncertainty of source I may be so that the combined one is WANTED, all
 *  others staying as they are; 0 when the others alone are more than that. */
double sw_gum_needed(const struct sw_gum *a, const struct sw_gum_source *source, size_t n, size_t i,
                     double wanted);

#endif
