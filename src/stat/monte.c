#include "stat/monte.h"

#include <math.h>

#include "stat/chance.h"

static void sift(double *x, size_t at, size_t n)
{
    const double value = x[at];
    for (size_t child = 2 * at + 1; child < n; child = 2 * at + 1) {
        if (child + 1 < n && x[child + 1] > x[child])
            child++;
        if (x[child] <= value)
            break;
        x[at] = x[child];
        at = child;
    }
    x[at] = value;
}

/* Heap sort: the C library's may ask for memory behind our back. */
void sw_monte_sort(double *x, size_t n)
{
    for (size_t i = n / 2; i > 0; i--)
        sift(x, i - 1, n);
    for (size_t end = n; end > 1; end--) {
        const double largest = x[0];
        x[0] = x[end - 1];
        x[end - 1] = largest;
        sift(x, 0, end - 1);
    }
}

/* Mean and deviation about the first value, so that sums stay small. */
static void moments(struct sw_monte_result *out, const double *y, size_t n)
{
    double sum = 0, square = 0;
    for (size_t i = 0; i < n; i++) {
        const double d = y[i] - y[0];
        sum += d;
        square += d * d;
    }
    const double mean = sum / (double)n;
    out->mean = y[0] + mean;
    out->u = sqrt(fmax(square - sum * mean, 0) / (double)(n - 1));
}

/* JCGM 101, 7.7: intervals between ordered values. */
static void intervals(struct sw_monte_result *out, const double *y, size_t n, double share)
{
    size_t held = (size_t)(share * (double)n + 0.5);
    if (held >= n)
        held = n - 1;
    const size_t low = (n - held) / 2;
    out->low = y[low];
    out->high = y[low + held];
    size_t best = 0;
    for (size_t i = 0; i + held < n; i++)
        if (y[i + held] - y[i] < y[best + held] - y[best])
            best = i;
    out->shortest_low = y[best];
    out->shortest_high = y[best + held];
}

enum sw_status sw_monte_run(struct sw_monte_result *out, const struct sw_monte *monte,
                            struct sw_ctx *ctx)
{
    double *y = SW_NEW(ctx->arena, double, monte->trials);
    double *x = SW_NEW(ctx->arena, double, monte->n);
    if (!x || !y)
        return SW_MEMORY;
    struct sw_chance chance = sw_chance_from(monte->seed);
    for (size_t t = 0; t < monte->trials; t++) {
        for (size_t i = 0; i < monte->n; i++)
            x[i] = monte->value[i] + sw_chance_deviation(&chance, &monte->source[i]);
        y[t] = monte->model(x, monte->user);
    }
    moments(out, y, monte->trials);
    sw_monte_sort(y, monte->trials);
    intervals(out, y, monte->trials, monte->share);
    return SW_OK;
}
