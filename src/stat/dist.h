/* dist: the distributions that statements about measurements need: normal, Student, chi-square.
 *
 * Arguments are plain numbers. Precision: about 1e-12 in the middle, 1e-9 in the tails, far beyond
 * what a workshop's readings carry. No statuses: outside its domain a function gives NAN.
 * Source: continued fractions and series of the incomplete gamma and beta functions as in
 * Abramowitz and Stegun, Handbook of Mathematical Functions, 6.5 and 26.5.
 */
#ifndef SW_STAT_DIST_H
#define SW_STAT_DIST_H

/** Share of a normal distribution (mean 0, deviation 1) below X. */
double sw_normal_below(double x);

/** The x below which a SHARE (0..1) of the normal distribution lies. */
double sw_normal_quantile(double share);

/** Share of Student's t with DOF (> 0, may be infinite) degrees of freedom below X. */
double sw_student_below(double x, double dof);

/** The k with a SHARE (0..1) of Student's t within -k to k: a coverage factor. */
double sw_student_factor(double share, double dof);

/** Share of chi-square with DOF (> 0) degrees of freedom above X (>= 0). */
double sw_chi_square_above(double x, double dof);

#endif
