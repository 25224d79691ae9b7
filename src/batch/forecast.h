/* forecast: what a batch will come out as, by drawing whole staffs.
 *
 * Each staff has one pivot a side. Its size departs from what is aimed at by causes that are drawn
 * one by one; a pivot fits when it keeps within its limits and the staff runs true enough. Figures
 * are standard deviations [mm] unless said otherwise; a log of measurements can give them.
 * Every number is drawn from seed, staff and cause alone, and staffs are added up in chunks of
 * fixed size, so that the result does not depend on how many threads share the chunks. Ownership:
 * plain values. No statuses. Source: JCGM 101:2008, 5.9 and 7 (drawing); the model of causes is
 * derived, see forecast.c.
 */
#ifndef SW_BATCH_FORECAST_H
#define SW_BATCH_FORECAST_H

#include <stddef.h>
#include <stdint.h>

/* cause, what people read */
#define SW_CAUSE_LIST(X)                                                                           \
    X(REPEAT, "repeatability of the slides")                                                       \
    X(WEAR, "wear between two measurements")                                                       \
    X(HEIGHT, "centre height of the tool")                                                         \
    X(RUNOUT, "runout of the second grip")                                                         \
    X(FORCE, "spread of the material")                                                             \
    X(MEASURE, "error of measuring")                                                               \
    X(HAND, "hand finishing")

enum sw_cause {
#define X(word, says) SW_CAUSE_##word,
    SW_CAUSE_LIST(X)
#undef X
        SW_N_CAUSES
};

/** What people read for a cause. */
const char *sw_cause_says(enum sw_cause cause);

/** Figures of machine, tools and hands. */
struct sw_forecast_figures {
    double repeat;       /* of the radius, each piece */
    double wear;         /* growth of the diameter a piece [mm], not a deviation */
    double height;       /* of the tool point above or below the axis, each set-up */
    double runout;       /* total, of the second grip, each piece: sizes are Rayleigh spread */
    double bending;      /* growth of the diameter by bending [mm], not a deviation */
    double force_spread; /* of the cutting force, as a share */
    double measure;      /* of one measured diameter */
    double hand;         /* of what stone and burnisher take off the diameter */
};

struct sw_forecast_pivot {
    double diameter;    /* aimed at [mm] */
    double least, most; /* its limits [mm] */
    double thickness;   /* of its jewel hole [mm]; 0: leaning is left out */
};

enum { SW_FORECAST_PIVOTS = 2 };

struct sw_forecast {
    struct sw_forecast_figures figures;
    struct sw_forecast_pivot pivot[SW_FORECAST_PIVOTS];
    double span;        /* between the pivots [mm] */
    double most_runout; /* total, of the balance seat against the pivots [mm]; 0: no limit */
    size_t every;       /* pieces from one measured pivot to the next, 1 at least */
    size_t setup_every; /* pieces a tool stands before it is set anew, 1 at least */
    uint64_t seed;
};

enum { SW_FORECAST_CHUNK = 1000, SW_FORECAST_BINS = 64 };

/** Sums over some staffs; add with sw_forecast_add in the order of chunks. */
struct sw_forecast_sums {
    size_t n, fit;
    size_t fit_without[SW_N_CAUSES]; /* had this cause not been */
    size_t fit_closer;               /* measured twice as often */
    size_t fit_truer;                /* second grip running out half as much */
    double sum, square;              /* departure of both pivots [mm] */
    double part_sum[SW_N_CAUSES], part_square[SW_N_CAUSES];
    size_t untrue;                /* staffs that do not run true enough */
    size_t bin[SW_FORECAST_BINS]; /* pivots by size, bin 0 from `bins_from` */
};

/** Smallest diameter and width of the bins: BIN 0.005 or 0.010 as the trade has them [mm]. */
struct sw_forecast_bins {
    double from, width;
};

struct sw_forecast_bins sw_forecast_bins_of(const struct sw_forecast *forecast, double width);

/** Staffs FIRST .. FIRST + N - 1, added to nothing. */
void sw_forecast_draw(struct sw_forecast_sums *out, const struct sw_forecast *forecast,
                      const struct sw_forecast_bins *bins, size_t first, size_t n);

void sw_forecast_add(struct sw_forecast_sums *to, const struct sw_forecast_sums *more);

/** N staffs, chunk by chunk. */
void sw_forecast_run(struct sw_forecast_sums *out, const struct sw_forecast *forecast,
                     const struct sw_forecast_bins *bins, size_t n);

/** Of all staffs, the share that fits; standard deviation [mm]; a cause's part of the variance. */
double sw_forecast_share(const struct sw_forecast_sums *sums);
double sw_forecast_deviation(const struct sw_forecast_sums *sums);
double sw_forecast_mean(const struct sw_forecast_sums *sums);
double sw_forecast_part(const struct sw_forecast_sums *sums, enum sw_cause cause);

#endif
