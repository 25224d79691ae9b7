/* Inside of the batch: what the making of variants hands to the summary.
 *
 * Lengths [mm]. Ownership: results live in the batch's context, `talk` is owned by the run.
 */
#ifndef SW_APP_BATCH_INT_H
#define SW_APP_BATCH_INT_H

#include <pthread.h>

#include "app/app.h"
#include "batch/bars.h"
#include "batch/batch.h"
#include "batch/forecast.h"
#include "gauge/log.h"

/** All that is kept of a variant. */
struct sw_batch_result {
    enum sw_status status;
    bool was_kept;
    double length; /* of the staff */
    struct sw_forecast_pivot pivot[SW_FORECAST_PIVOTS];
    size_t n_pivots;
};

struct sw_batch_run {
    const struct sw_app_batch *what;
    const struct sw_batch *batch;
    const struct sw_app *app;
    const char *staff_name, *staff;
    size_t staff_size;
    size_t n, next, done;
    const struct sw_log *log; /* NULL: none */
    struct sw_batch_result *result;
    struct sw_buf *talk; /* what variants had to say, by variant */
    pthread_mutex_t lock;
};

/** Which pieces come off which bar; no bars named or no variant made: an empty plan. */
struct sw_batch_bars {
    struct sw_bar_kind *kind;
    struct sw_bar_want *want; /* by pitch, longest first */
    size_t n_wants;
    size_t *first;   /* of each want: its first place in `variant` */
    size_t *variant; /* those that were made, by pitch */
    size_t n_variants;
    struct sw_bar_plan plan;
};

/** Plan the bars; SW_CANNOT with a diagnostic when they do not suffice. */
enum sw_status sw_batch_plan_bars(struct sw_batch_bars *out, const struct sw_batch_run *run,
                                  struct sw_ctx *ctx) SW_MUST_CHECK;

/** run-sheet.txt and labels.txt, under the name of the JOB. */
enum sw_status sw_batch_write_sheets(const struct sw_batch_run *run,
                                     const struct sw_batch_bars *bars, const char *job,
                                     struct sw_ctx *ctx) SW_MUST_CHECK;

/** The summary, into OUT and batch.txt; gives the worst of all statuses. */
enum sw_status sw_batch_say(struct sw_buf *out, const struct sw_batch_run *run,
                            const struct sw_work *work, struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
