/* stack: how deviations of many sizes add up in one.
 *
 * Deviations are half-widths of symmetric tolerances, slopes how fast the result follows each.
 * Units are the caller's. No statuses.
 * Sources: K. W. Chase, Basic Tools for Tolerance Analysis of Mechanical Assemblies (Brigham Young
 * University), ch. 7; F. Scholz, Tolerance Stack Analysis Methods, Boeing ISSTECH-95-030, 1995.
 */
#ifndef SW_STAT_STACK_H
#define SW_STAT_STACK_H

#include <stddef.h>

/** Sum of |slope| * half: nothing can be worse. */
double sw_stack_worst(const double *slope, const double *half, size_t n);

/** Root of the sum of squares: as far as it goes in 99.73 % of normal, centred, independent work
 *  whose tolerances are three deviations. */
double sw_stack_rss(const double *slope, const double *half, size_t n);

/** The same widened by the factor for spreads that are even (sqrt 3) between their limits: three
 *  deviations of the sum of even spreads. */
double sw_stack_rss_even(const double *slope, const double *half, size_t n);

/** Mean shifts: SHIFT (0..1) of each tolerance may be a steady error and adds plainly, the rest by
 *  squares. */
double sw_stack_shifted(const double *slope, const double *half, size_t n, double shift);

#endif
