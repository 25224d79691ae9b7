/* reckon: what measured sizes say about the lathe: offset, centre height, drift, control limits.
 *
 * Plain numbers in, plain numbers out; no allocation, no statuses: a function that cannot tell says
 * so by false. Lengths mm; U is a standard uncertainty; errors are of the diameter, measured less
 * expected; offsets are of the tool on radius, > 0: it stands too far from the axis.
 * Sources: weighted least squares, variance of its results and the widening by chi-square over its
 * degrees of freedom: JCGM 100:2008 (GUM) 5.1, and Draper and Smith, Applied Regression Analysis,
 * 2.; individuals and moving ranges: NIST/SEMATECH e-Handbook of Statistical Methods 6.3.2.2;
 * centre height: derived, actual diameter = sqrt((expected + 2 offset)^2 + 4 height^2).
 */
#ifndef SW_GAUGE_RECKON_H
#define SW_GAUGE_RECKON_H

#include <stdbool.h>
#include <stddef.h>

/* A thing is told from nothing beyond this many standard uncertainties (95 of 100). */
#define SW_GAUGE_COVERAGE 2.0
/* Of moving ranges of two, NIST/SEMATECH 6.3.2.2: 3 / d2 with d2 = 1.128, and D4. */
#define SW_GAUGE_D2 1.128
#define SW_GAUGE_D4 3.267

/** One diameter cut by a tool. */
struct sw_gauge_point {
    double expected; /* diameter */
    double error;    /* of the diameter */
    double u;        /* of the error, > 0 */
    double piece;    /* its number in the order they were cut */
};

struct sw_gauge_value {
    double value, u;
};

/** Offset alone: weighted mean. False: N is 0. Where readings scatter more than their U allows,
 *  the result's U grows with the scatter. */
bool sw_gauge_offset(struct sw_gauge_value *offset, const struct sw_gauge_point *point, size_t n);

/** Offset and the square of the height off centre [mm2], which cannot be below 0 but by chance.
 *  False: the diameters are not different enough to tell one from the other. */
bool sw_gauge_offset_and_height(struct sw_gauge_value *offset, struct sw_gauge_value *height_2,
                                const struct sw_gauge_point *point, size_t n);

/** Change of the error a piece (straight line, least squares), with its scatter about the line.
 *  False: fewer than three different pieces. */
bool sw_gauge_drift(struct sw_gauge_value *per_piece, double *scatter,
                    const struct sw_gauge_point *point, size_t n);

/** Chart of individuals and moving ranges. */
struct sw_gauge_chart {
    double centre, lower, upper; /* of the values */
    double range, range_upper;   /* mean moving range and its limit */
    double sigma;                /* range / d2 */
    size_t n_out;                /* values beyond their limits */
};

/** False: fewer than two values. */
bool sw_gauge_chart(struct sw_gauge_chart *chart, const double *value, size_t n);

#endif
