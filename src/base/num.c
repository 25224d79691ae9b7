#include "base/num.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

static const double power_of_ten[] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                      1e8,  1e9,  1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
                                      1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};

double sw_num_round(double value, int decimals)
{
    const double scale = power_of_ten[decimals];
    return (double)llround(value * scale) / scale;
}

bool sw_num_format(char text[SW_NUM_SIZE], double value, int decimals)
{
    if (!isfinite(value) || fabs(value) > 1e9 || decimals < 0 || decimals > 9) {
        memcpy(text, "?", 2);
        return false;
    }
    const long long scaled = llround(value * power_of_ten[decimals]);
    const unsigned long long size =
        scaled < 0 ? 0ULL - (unsigned long long)scaled : (unsigned long long)scaled;
    const unsigned long long one = (unsigned long long)power_of_ten[decimals];
    const char *sign = scaled < 0 ? "-" : "";
    if (decimals == 0)
        snprintf(text, SW_NUM_SIZE, "%s%llu", sign, size);
    else
        snprintf(text, SW_NUM_SIZE, "%s%llu.%0*llu", sign, size / one, decimals, size % one);
    return true;
}

bool sw_num_parse(double *value, const char *text, size_t size)
{
    size_t i = 0;
    bool negative = false;
    if (i < size && (text[i] == '+' || text[i] == '-'))
        negative = text[i++] == '-';
    uint64_t digits = 0;
    int places = 0, dropped = 0, n_digits = 0;
    bool after_point = false;
    for (; i < size; i++) {
        if (text[i] == '.' && !after_point) {
            after_point = true;
            continue;
        }
        if (text[i] < '0' || text[i] > '9')
            return false;
        n_digits++;
        /* 18 digits are kept: more than a double tells apart. */
        if (digits < 100000000000000000ULL) {
            digits = digits * 10 + (uint64_t)(text[i] - '0');
            places += after_point;
        } else {
            dropped += !after_point;
        }
    }
    if (n_digits == 0 || dropped > 290)
        return false;
    /* One correctly rounded operation for all that a person writes (digits below 2^53 and at most
     * 22 places); beyond that long double keeps the error under one unit in the last place. */
    double read;
    if (digits < (1ULL << 53) && places <= 22 && dropped == 0)
        read = (double)digits / power_of_ten[places];
    else
        read = (double)((long double)digits * powl(10.0L, (long double)(dropped - places)));
    *value = negative ? -read : read;
    return true;
}
