/* Inside of the batch: what the making of variants hands to the summary.
 *
 * Lengths [mm]. Ownership: results live in the batch's context, `talk` is owned by the run.
 */
#ifndef SW_APP_BATCH_INT_H
#define SW_APP_BATCH_INT_H

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
    size_t n;
    const struct sw_log *log; /* NULL: none */
    struct sw_batch_result *result;
    struct sw_buf *talk; /* what variants had to say, by variant */
};

/** Item I of a work that several threads share, in a context of its own; NULL: there was no memory
 *  for it. */
typedef void sw_batch_work(void *user, size_t i, struct sw_ctx *ctx);

/** Do N items in `jobs` threads; those that cannot be had are done without. SW_MEMORY: nothing was
 *  done. */
enum sw_status sw_batch_each(const struct sw_app_batch *what, size_t n, const char *of,
                             sw_batch_work *work, void *user) SW_MUST_CHECK;

/** Does the folder's record prove that the same files led to what stands there? STAFF: the text of
 *  its staff.yaml, which need not be there yet; NULL: there is none. */
bool sw_batch_is_proved(const struct sw_batch_run *run, const char *folder,
                        const struct sw_buf *staff, struct sw_ctx *ctx);

/** Which pieces come off which bar; no bars named or no variant made: an empty plan. */
struct sw_batch_bars {
    struct sw_bar_kind *kind;
    struct sw_bar_want *want; /* by pitch, longest first */
    size_t n_wants;
    size_t *first;   /* of each want: its first place in `variant` */
    size_t *variant; /* those that were made, by pitch */
    size_t n_variants;
    struct sw_bar_plan plan;
    /* Programs of the runs, by piece in the order of work; NULL: there are none. */
    struct sw_batch_begin {
        const char *program; /* seen from the batch's folder; NULL: this bar has none */
        size_t line;
    } * begin;
};

/** Goes through the pieces as they are cut: bar by bar, on each the longest pitch first. Without
 *  bars all of a pitch follow each other. */
struct sw_batch_walk {
    const struct sw_batch_run *run;
    const struct sw_batch_bars *bars;
    size_t bar, want, of_want; /* pieces of this want cut from this bar */
    size_t *cut;               /* of each want, from all bars */
    size_t piece;              /* all that are cut */
    size_t of_bar;             /* from this bar */
};

struct sw_batch_piece {
    size_t number, variant, bar;
    size_t of_variant; /* from 0 */
    bool is_new_edge, is_new_bar;
};

enum sw_status sw_batch_walk_begin(struct sw_batch_walk *walk, const struct sw_batch_run *run,
                                   const struct sw_batch_bars *bars,
                                   struct sw_ctx *ctx) SW_MUST_CHECK;
bool sw_batch_walk_next(struct sw_batch_piece *is, struct sw_batch_walk *walk);

/** What the folder of bar 1, 2, ... is called. */
#define SW_BATCH_BAR_FOLDER "bar-%zu"

/** Where the shop has a stop and bars are planned: a folder a bar with a program for all its pieces,
 *  judged; one that is proved is kept. BARS gets where each piece begins, OUT what is to be said. */
enum sw_status sw_batch_make_runs(struct sw_buf *out, struct sw_batch_bars *bars,
                                  const struct sw_batch_run *run, const struct sw_work *work,
                                  struct sw_ctx *ctx) SW_MUST_CHECK;

/** Plan the bars; SW_CANNOT with a diagnostic when they do not suffice. A bar whose remnant is not
 *  given has that of the MACHINE, if it says one. */
enum sw_status sw_batch_plan_bars(struct sw_batch_bars *out, const struct sw_batch_run *run,
                                  const struct sw_machine *machine,
                                  struct sw_ctx *ctx) SW_MUST_CHECK;

/** run-sheet.txt and labels.txt, under the name of the JOB. */
enum sw_status sw_batch_write_sheets(const struct sw_batch_run *run,
                                     const struct sw_batch_bars *bars, const char *job,
                                     struct sw_ctx *ctx) SW_MUST_CHECK;

/** The worse of two outcomes, in the order in which a batch ends: 70, 5, 3, 4, 1, 0. */
enum sw_status sw_batch_worse(enum sw_status a, enum sw_status b);

/** The summary, into OUT and batch.txt; gives the worst of all statuses. */
enum sw_status sw_batch_say(struct sw_buf *out, const struct sw_batch_run *run,
                            const struct sw_work *work, struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
