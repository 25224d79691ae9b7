/* bench_forecast: how long a forecast takes. Prints "name: value unit", the median of RUNS.
 *
 * usage: bench_forecast
 */
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "batch/forecast.h"

enum { RUNS = 7, STAFFS = 100000 };

static double seconds(void)
{
    struct timespec now;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static int by_size(const void *left, const void *right)
{
    const double a = *(const double *)left, b = *(const double *)right;
    return a < b ? -1 : a > b;
}

int main(void)
{
    const struct sw_forecast forecast = {
        .figures = {0.0005, 0.00002, 0.02, 0.003, 0.0005, 0.2, 0.0005, 0.0005},
        .pivot = {{0.1085, 0.107, 0.11, 0.13}, {0.1085, 0.107, 0.11, 0.13}},
        .span = 4.55,
        .most_runout = 0.01,
        .every = 5,
        .setup_every = 50,
        .seed = 1};
    const struct sw_forecast_bins bins = sw_forecast_bins_of(&forecast, 0.005);
    struct sw_forecast_sums sums;
    double took[RUNS];
    for (size_t i = 0; i < RUNS; i++) {
        const double begin = seconds();
        sw_forecast_run(&sums, &forecast, &bins, STAFFS);
        took[i] = seconds() - begin;
    }
    qsort(took, RUNS, sizeof *took, by_size);
    printf("forecast.100k_s: %.3f s\n", took[RUNS / 2]);
    printf("forecast.100k_fit: %.1f %%\n", 100 * sw_forecast_share(&sums));
    return 0;
}
