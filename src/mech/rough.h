/* rough: the finish that feed and nose leave, and the floor under it.
 *
 * Feed a turn and radii in mm; heights in mm. Theory: the nose as a circle, f at most 2 r, only the
 * nose touching (f <= 2 r sin of the trailing edge's angle). Real surfaces are rougher: about 1.25
 * times for ductile steel at 100 m/min, twice and more below 30 (Groover, Fundamentals of Modern
 * Manufacturing, from memory).
 * Pure functions, no memory.
 */
#ifndef SW_MECH_ROUGH_H
#define SW_MECH_ROUGH_H

#include <stdbool.h>

/** Peak to valley, exact: r - sqrt(r^2 - f^2/4); infinite for a feed above 2 r. */
double sw_rough_peak(double feed, double nose);
/** The usual parabola f^2/(8 r): 125 f^2/r in um. Off by at most 1.6 % up to f = r/2. */
double sw_rough_peak_parabola(double feed, double nose);
/** Arithmetic mean of the parabola, f^2/(18 sqrt(3) r). */
double sw_rough_mean(double feed, double nose);
/** Root mean square of the parabola, f^2/(sqrt(720) r). */
double sw_rough_rms(double feed, double nose);
/** Peak to valley of straight edges without a nose: f/(cot K + cot K'), both angles [rad]. */
double sw_rough_peak_sharp(double feed, double lead, double trail);

/** Peak to valley with the smallest chip LEAST the edge can take (Brammertz, Industrie-Anzeiger 83,
 *  1961, from memory): f^2/(8 r) + (h/2)(1 + r h/f^2). It never falls below h: a slower feed than
 *  sw_rough_best_feed makes the surface worse. For feeds above about h. */
double sw_rough_brammertz(double feed, double nose, double least);
/** The feed of the smoothest surface: sqrt(2 r h). */
double sw_rough_best_feed(double nose, double least);
/** Greatest feed whose height by Brammertz is at most PEAK; false when PEAK is below the floor. */
bool sw_rough_feed_for(double *feed, double peak, double nose, double least);

#endif
