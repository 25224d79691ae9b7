/* fit_int: what the files of fit share; nobody else includes it. */
#ifndef SW_FIT_FIT_INT_H
#define SW_FIT_FIT_INT_H

#include "base/num.h"
#include "fit/size.h"

/** A size as shown to people: up to four places, trailing zeros cut. */
struct fit_mm {
    char text[SW_NUM_SIZE];
};
struct fit_mm fit_mm(double value);
#define FIT_MM(value) (fit_mm(value).text)

/** A sizing being worked out. */
struct fit_work {
    struct sw_sizing *sizing;
    const struct sw_survey *survey;
    struct sw_knowledge *know;
    struct sw_ctx *ctx;
    bool failed; /* out of memory */
};

/** How a size is bound: doubt and tolerance together stay within HALF. */
struct fit_band {
    double half;
    double least, most; /* tolerance that the making needs, and that is never exceeded */
    int decimals;       /* the grid the size is written on */
    const char *says;
};

/** Set a size: its origin, value with doubt, band and reason (a printf text). */
void fit_set(struct fit_work *work, enum sw_size_id id, enum sw_origin origin,
             const struct sw_gum *is, const struct fit_band *band, const char *why, ...)
    SW_PRINTF(6, 7);

/** What is known of a reading; never NULL. */
const struct sw_known *fit_known(const struct fit_work *work, enum sw_reading_kind kind);
bool fit_has(const struct fit_work *work, enum sw_reading_kind kind);

/** The value that will be written; the size must be there. */
double fit_value(const struct fit_work *work, enum sw_size_id id);

/** Let common practice stand in for a reading that is missing: VALUE, surely within HALF. */
const struct sw_known *fit_propose(struct fit_work *work, enum sw_reading_kind kind, double value,
                                   double half);

/** Note that a size is not to be had, and by what readings it would be. */
void fit_miss(struct fit_work *work, enum sw_size_id id, const char *needs);

/** Note that the sizes leave no staff. */
void fit_refuse(struct fit_work *work, const char *format, ...) SW_PRINTF(2, 3);

/** size_axis.c: pivots, total, heights. size_body.c: seats, hub, rivet, cones. */
void fit_size_pivots(struct fit_work *work);
void fit_size_total(struct fit_work *work);
void fit_size_straights(struct fit_work *work);
void fit_size_heights(struct fit_work *work);
void fit_size_seats(struct fit_work *work);
void fit_size_cones(struct fit_work *work);
void fit_size_lengths(struct fit_work *work);
void fit_size_roller(struct fit_work *work);

#endif
