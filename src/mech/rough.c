#include "mech/rough.h"

#include <math.h>

double sw_rough_peak(double feed, double nose)
{
    const double half = feed / 2;
    if (half > nose)
        return (double)INFINITY;
    /* r - sqrt(r^2 - a^2) without the difference of near numbers */
    return half * half / (nose + sqrt(nose * nose - half * half));
}

double sw_rough_peak_parabola(double feed, double nose)
{
    return feed * feed / (8 * nose);
}

double sw_rough_mean(double feed, double nose)
{
    return feed * feed / (18 * sqrt(3) * nose);
}

double sw_rough_rms(double feed, double nose)
{
    return feed * feed / (sqrt(720) * nose);
}

double sw_rough_peak_sharp(double feed, double lead, double trail)
{
    return feed / (1 / tan(lead) + 1 / tan(trail));
}

double sw_rough_brammertz(double feed, double nose, double least)
{
    return sw_rough_peak_parabola(feed, nose) + least / 2 * (1 + nose * least / (feed * feed));
}

double sw_rough_best_feed(double nose, double least)
{
    return sqrt(2 * nose * least);
}

bool sw_rough_feed_for(double *feed, double peak, double nose, double least)
{
    if (peak < least)
        return false;
    /* Brammertz as a quadratic in f^2; the larger root. */
    *feed = sqrt(4 * nose * (peak - least / 2 + sqrt(peak * (peak - least))));
    return true;
}
