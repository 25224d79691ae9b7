/* capable: how well work keeps within its limits.
 *
 * Mean, deviation and limits in one unit of the caller's; the deviation is greater than 0. No
 * statuses. Source: NIST/SEMATECH e-Handbook of Statistical Methods, 6.1.6.
 */
#ifndef SW_STAT_CAPABLE_H
#define SW_STAT_CAPABLE_H

struct sw_capable {
    double cp;  /* width of the limits over six deviations */
    double cpk; /* the nearer limit's distance over three deviations */
    double cpm; /* as cp, the distance from the target counted as deviation too */
    double out; /* share of normal work outside the limits (0..1) */
};

struct sw_capable sw_capable_of(double mean, double deviation, double least, double most,
                                double target);

#endif
