#include "gauge/chart.h"

#include <math.h>

/* A moving mean of this many, and the share of the tolerance it may drift. */
enum { MEAN_OF = 3 };
static const double drift_share = 1.0 / 3;

const char *sw_chart_signal_word(enum sw_chart_signal signal)
{
    static const char *const words[] = {
#define X(word, name, says) name,
        SW_CHART_SIGNAL_LIST(X)
#undef X
    };
    return words[signal];
}

const char *sw_chart_signal_says(enum sw_chart_signal signal)
{
    static const char *const sentences[] = {
#define X(word, name, says) says,
        SW_CHART_SIGNAL_LIST(X)
#undef X
    };
    return sentences[signal];
}

/* Do WANTED of the OF values that end at LAST lie beyond BEYOND deviations on the side WAY? The
 * last itself has to be one of them. */
static bool lie(const struct sw_gauge_series *series, size_t last, size_t wanted, size_t of,
                double beyond, double way)
{
    size_t n = 0;
    if (last + 1 < of && last + 1 < wanted)
        return false;
    for (size_t i = 0; i < of && i <= last; i++) {
        const double off = way * (series->at[last - i].error - series->chart.centre);
        const bool is_beyond = off > beyond * series->chart.sigma;
        if (i == 0 && !is_beyond)
            return false;
        n += is_beyond;
    }
    return n >= wanted;
}

static bool runs(const struct sw_gauge_series *series, size_t last, double way)
{
    enum { IN_A_ROW = 6 };
    if (last + 1 < IN_A_ROW)
        return false;
    for (size_t i = 0; i + 1 < IN_A_ROW; i++)
        if (way * (series->at[last - i].error - series->at[last - i - 1].error) <= 0)
            return false;
    return true;
}

static enum sw_chart_signal signal_at(const struct sw_gauge_series *series, size_t last)
{
    static const struct {
        enum sw_chart_signal signal;
        size_t wanted, of;
        double beyond;
    } rules[] = {{SW_CHART_BEYOND, 1, 1, 3},
                 {SW_CHART_TWO_OF_THREE, 2, 3, 2},
                 {SW_CHART_FOUR_OF_FIVE, 4, 5, 1},
                 {SW_CHART_EIGHT, 8, 8, 0}};
    for (size_t r = 0; r < sizeof rules / sizeof *rules; r++)
        for (double way = -1; way <= 1; way += 2)
            if (lie(series, last, rules[r].wanted, rules[r].of, rules[r].beyond, way))
                return rules[r].signal;
    return runs(series, last, 1) || runs(series, last, -1) ? SW_CHART_TREND : SW_CHART_QUIET;
}

static bool is_close(const struct sw_gauge_series *series)
{
    double mean = 0;
    if (series->n < MEAN_OF)
        return false;
    for (size_t i = series->n - MEAN_OF; i < series->n; i++)
        mean += series->at[i].error / MEAN_OF;
    const struct sw_gauge_mark *last = &series->at[series->n - 1];
    return fabs(mean - (last->lower + last->upper) / 2) > drift_share * (last->upper - last->lower);
}

enum sw_status sw_gauge_series(struct sw_gauge_series *series, struct sw_ctx *ctx)
{
    double *value = SW_NEW(ctx->arena, double, series->n);
    if (!value && series->n)
        return SW_MEMORY;
    for (size_t i = 0; i < series->n; i++)
        value[i] = series->at[i].error;
    series->has_limits =
        sw_gauge_chart(&series->chart, value, series->n) && series->chart.sigma > 0;
    for (size_t i = 0; i < series->n; i++)
        series->at[i].signal = series->has_limits ? signal_at(series, i) : SW_CHART_QUIET;
    series->signal = series->n ? series->at[series->n - 1].signal : SW_CHART_QUIET;
    series->is_close = is_close(series);
    return SW_OK;
}
