/* life: how long an edge lasts.
 *
 * Taylor: v T^n = C, v in m/min, T in minutes. n about 0.1 to 0.15 for high-speed steel, 0.2 to 0.3
 * carbide, 0.4 to 0.6 ceramic (common values, from memory). At watch sizes life is counted in
 * metres cut, not minutes. Pure functions, no memory.
 */
#ifndef SW_MECH_LIFE_H
#define SW_MECH_LIFE_H

struct sw_taylor {
    double exponent; /* n */
    double constant; /* C: cutting speed for a life of one minute [m/min] */
};

/** From two tests at different speeds. */
struct sw_taylor sw_taylor_from(double speed1, double minutes1, double speed2, double minutes2);
/** Life at a cutting speed [min]. */
double sw_taylor_minutes(const struct sw_taylor *taylor, double speed);
/** Length cut in that life [m]. */
double sw_taylor_length(const struct sw_taylor *taylor, double speed);
/** By what factor life grows when the speed is multiplied by RATIO. */
double sw_taylor_gain(double exponent, double ratio);
/** Length of the spiral an edge cuts from diameter D1 to D2 over LENGTH at FEED [m]; facing has the
 *  difference of radii as its length. */
double sw_cut_length(double d1, double d2, double length, double feed);

#endif
