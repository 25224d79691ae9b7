/* chart: one section of one tool, piece after piece: control limits, and what gives warning.
 *
 * Errors of the diameter, measured less expected, as they would be with the offsets as they are
 * now [mm]. Control limits tell what the lathe does by chance; the limits of the size are the
 * drawing's. Statuses: SW_MEMORY.
 * Sources: limits of individuals by moving ranges of two, d2 = 1.128 and D4 = 3.267: NIST/SEMATECH
 * e-Handbook of Statistical Methods 6.3.2.2; the four rules and the trend of six: the same, 6.3.2
 * (Western Electric rules). A third of the tolerance as the moment to correct, and three pieces as
 * a moving mean: common practice, no source.
 */
#ifndef SW_GAUGE_CHART_H
#define SW_GAUGE_CHART_H

#include "base/ctx.h"
#include "gauge/reckon.h"

/* word, what people read */
#define SW_CHART_SIGNAL_LIST(X)                                                                    \
    X(QUIET, "quiet", "nothing but chance shows")                                                  \
    X(TREND, "trend", "six in a row rise or fall")                                                 \
    X(EIGHT, "eight-on-one-side", "eight in a row lie on one side of the mean")                    \
    X(FOUR_OF_FIVE, "four-of-five", "four of five lie beyond one deviation on one side")           \
    X(TWO_OF_THREE, "two-of-three", "two of three lie beyond two deviations on one side")          \
    X(BEYOND, "beyond", "one lies beyond its control limit")

enum sw_chart_signal {
#define X(word, name, says) SW_CHART_##word,
    SW_CHART_SIGNAL_LIST(X)
#undef X
        SW_N_CHART_SIGNALS
};

const char *sw_chart_signal_word(enum sw_chart_signal signal);
const char *sw_chart_signal_says(enum sw_chart_signal signal);

/* Limits from fewer values are good for a beginning only (common practice, no source). */
enum { SW_CHART_ENOUGH = 20 };

struct sw_gauge_mark {
    double piece, error;
    double lower, upper;         /* limits of its size, likewise as an error */
    enum sw_chart_signal signal; /* the gravest rule that this value completes */
};

struct sw_gauge_series {
    int side, station;
    size_t section;
    struct sw_gauge_mark *at; /* by piece */
    size_t n;
    bool has_limits; /* two values at least that are not all alike */
    struct sw_gauge_chart chart;
    enum sw_chart_signal signal; /* of the last value */
    bool is_close; /* the last three have drifted a third of the tolerance off its middle */
};

/** Fill chart and signals of a series whose values stand in order. */
enum sw_status sw_gauge_series(struct sw_gauge_series *series, struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
