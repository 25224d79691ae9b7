/* Inside of the batch: what the making of variants hands to the summary.
 *
 * Lengths [mm]. Ownership: results live in the batch's context, `talk` is owned by the run.
 */
#ifndef SW_APP_BATCH_INT_H
#define SW_APP_BATCH_INT_H

#include <pthread.h>

#include "app/app.h"
#include "batch/batch.h"
#include "batch/forecast.h"

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
    struct sw_batch_result *result;
    struct sw_buf *talk; /* what variants had to say, by variant */
    pthread_mutex_t lock;
};

/** The summary, into OUT and batch.txt; gives the worst of all statuses. */
enum sw_status sw_batch_say(struct sw_buf *out, const struct sw_batch_run *run,
                            const struct sw_work *work, struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
