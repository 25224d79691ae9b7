#include "stat/capable.h"

#include <math.h>

#include "stat/dist.h"

struct sw_capable sw_capable_of(double mean, double deviation, double least, double most,
                                double target)
{
    const double off = mean - target;
    return (struct sw_capable){
        .cp = (most - least) / (6 * deviation),
        .cpk = fmin(most - mean, mean - least) / (3 * deviation),
        .cpm = (most - least) / (6 * sqrt(deviation * deviation + off * off)),
        .out = sw_normal_below((least - mean) / deviation) +
               sw_normal_below((mean - most) / deviation),
    };
}
