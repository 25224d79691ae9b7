#include "stat/stack.h"

#include <math.h>

double sw_stack_worst(const double *slope, const double *half, size_t n)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += fabs(slope[i]) * half[i];
    return sum;
}

double sw_stack_rss(const double *slope, const double *half, size_t n)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += slope[i] * half[i] * slope[i] * half[i];
    return sqrt(sum);
}

double sw_stack_rss_even(const double *slope, const double *half, size_t n)
{
    return sqrt(3) * sw_stack_rss(slope, half, n);
}

double sw_stack_shifted(const double *slope, const double *half, size_t n, double shift)
{
    return shift * sw_stack_worst(slope, half, n) + (1 - shift) * sw_stack_rss(slope, half, n);
}
