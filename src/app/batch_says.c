/* What a batch has to say: bars, run, forecast, variants. */
#include "app/batch_int.h"

#include <math.h>
#include <string.h>

#include "app/paths.h"
#include "base/file.h"
#include "fit/laws.h"
#include "geom/tol.h"

static void say_bars(struct sw_buf *out, const struct sw_batch_bars *bars)
{
    const struct sw_bar_plan *plan = &bars->plan;
    if (!plan->n)
        return;
    sw_buf_printf(out, "Bars: %zu, %.1f mm taken into use, %s\n", plan->n, plan->taken,
                  plan->is_least ? "and no plan takes less" : "not proved to be the least");
    for (size_t b = 0; b < plan->n; b++) {
        sw_buf_printf(out, "  bar %zu of %.1f mm:", b + 1, bars->kind[plan->bar[b].kind].length);
        for (size_t w = 0; w < bars->n_wants; w++)
            if (plan->bar[b].n[w])
                sw_buf_printf(out, " %zu piece%s at %.3f mm,", plan->bar[b].n[w],
                              plan->bar[b].n[w] == 1 ? "" : "s", bars->want[w].pitch);
        sw_buf_printf(out, " %.2f mm left\n", plan->bar[b].left);
    }
}

static void say_run(struct sw_buf *out, const struct sw_batch_run *run)
{
    const struct sw_batch *batch = run->batch;
    sw_buf_printf(out,
                  "Run: %.0f pieces of each variant. Measure the first piece in full, pivots every "
                  "%.0f pieces, lengths every %.0f; a new edge after %.0f pieces.\n",
                  batch->quantity.value, batch->measure_every.value, batch->sample_every.value,
                  batch->tool_life.value);
}

static bool is_same_pivot(const struct sw_forecast_pivot *a, const struct sw_forecast_pivot *b)
{
    return memcmp(a, b, sizeof *a) == 0;
}

/* The first variant whose pivots are those of variant I. */
static size_t first_alike(const struct sw_batch_run *run, size_t i)
{
    const struct sw_batch_result *result = run->result;
    for (size_t k = 0; k < i; k++)
        if (result[k].status == SW_OK && result[k].n_pivots == SW_FORECAST_PIVOTS &&
            is_same_pivot(&result[k].pivot[0], &result[i].pivot[0]) &&
            is_same_pivot(&result[k].pivot[1], &result[i].pivot[1]))
            return k;
    return i;
}

/* What the log says of the pivots of this staff; false: too little. */
static bool figures_of(struct sw_log_figures *out, const struct sw_batch_run *run,
                       const struct sw_work *work)
{
    enum { MOST = 8 };
    const char *name[MOST];
    size_t n = 0;
    *out = (struct sw_log_figures){0};
    for (size_t i = 0; i < work->staff->n && n < MOST; i++)
        if (work->staff->section[i].kind == SW_SECTION_PIVOT)
            name[n++] = work->staff->section[i].name;
    if (run->log)
        sw_log_reckon(out, run->log, name, n);
    return out->is_known;
}

/* Told from nothing, or known to be less than what is assumed. */
static bool knows_wear(const struct sw_log_figures *log, const struct sw_batch_forecast *is)
{
    const double half = SW_GAUGE_COVERAGE * log->u_wear;
    return log->wear > half || log->wear + half < is->wear.value;
}

/* Pieces scatter by slides and material alike: the log cannot tell them apart, and either counts
 * once. */
static void take_figures(struct sw_forecast_figures *to, const struct sw_log_figures *log,
                         const struct sw_batch_forecast *is)
{
    if (log->shows_repeat) {
        to->repeat = log->repeat;
        to->force_spread = 0;
    }
    to->measure = log->gauge;
    if (knows_wear(log, is))
        to->wear = fmax(0, log->wear);
}

static struct sw_forecast forecast_of(const struct sw_batch_run *run, const struct sw_work *work,
                                      const struct sw_batch_result *variant)
{
    const struct sw_batch_forecast *is = &run->batch->forecast;
    /* A machine's repeatability is taken as four deviations wide, as ISO 230-2 has it (from
     * memory). */
    const double repeat = work->shop->machine->repeatability.value / 4;
    struct sw_forecast forecast = {
        .figures = {repeat, is->wear.value, is->height.value, is->runout.value, is->bending.value,
                    is->force_spread.value, is->measure.value, is->hand.value},
        .pivot = {variant->pivot[0], variant->pivot[1]},
        .span = variant->length,
        .most_runout = is->most_runout.value,
        .every = (size_t)run->batch->measure_every.value,
        .setup_every = (size_t)run->batch->tool_life.value,
        .seed = (uint64_t)is->seed.value};
    struct sw_log_figures log;
    if (figures_of(&log, run, work))
        take_figures(&forecast.figures, &log, is);
    return forecast;
}

/* Which figures are the shop's own. */
static void say_log(struct sw_buf *out, const struct sw_batch_run *run, const struct sw_work *work)
{
    struct sw_log_figures log;
    if (!run->log)
        return;
    if (!figures_of(&log, run, work)) {
        sw_buf_printf(
            out,
            "  %s says too little of these pivots (%zu readings of %zu pieces that can be "
            "used): the figures of machine and batch are taken.\n",
            run->log->file, log.n_readings, log.n_pieces);
        return;
    }
    const struct sw_batch_forecast *is = &run->batch->forecast;
    const double machine = 1000 * work->shop->machine->repeatability.value / 4;
    sw_buf_printf(out, "  From %s, by %zu readings of %zu pieces in %zu set%s:\n", run->log->file,
                  log.n_readings, log.n_pieces, log.n_sets, log.n_sets == 1 ? "" : "s");
    if (log.shows_repeat)
        sw_buf_printf(out,
                      "    repeatability %.2f um of the radius, the spread of the material with "
                      "it, in place of %.2f um by\n    the machine and %.0f %% of the force;\n",
                      1000 * log.repeat, machine, 100 * is->force_spread.value);
    else
        sw_buf_printf(out,
                      "    repeatability does not show beyond the doubt of the gauge: %.2f um of "
                      "the radius by the machine is taken;\n",
                      machine);
    sw_buf_printf(out, "    error of measuring %.2f um, in place of %.2f um;\n", 1000 * log.gauge,
                  1000 * is->measure.value);
    if (knows_wear(&log, is))
        sw_buf_printf(out, "    wear %.3f um of the diameter a piece, in place of %.3f um.\n",
                      1000 * fmax(0, log.wear), 1000 * is->wear.value);
    else
        sw_buf_printf(out,
                      "    wear is not told from nothing there (%+.3f um a piece, doubt +-%.3f): "
                      "%.3f um is taken.\n",
                      1000 * log.wear, 1000 * SW_GAUGE_COVERAGE * log.u_wear,
                      1000 * is->wear.value);
}

/* Which cause loses most, and what would gain. */
static void say_causes(struct sw_buf *out, const struct sw_forecast_sums *sums)
{
    const double percent = 100 / (double)sums->n;
    sw_buf_printf(out, "    deviation %.2f um, of it by\n", 1000 * sw_forecast_deviation(sums));
    for (size_t c = 0; c < SW_N_CAUSES; c++)
        sw_buf_printf(out, "      %-32s %5.1f %% of the variance; without it %.1f %% fit\n",
                      sw_cause_says((enum sw_cause)c),
                      100 * sw_forecast_part(sums, (enum sw_cause)c),
                      percent * (double)sums->fit_without[c]);
    sw_buf_printf(out,
                  "    a second grip twice as true: %.1f %%; measured twice as often: %.1f %%\n",
                  percent * (double)sums->fit_truer, percent * (double)sums->fit_closer);
}

/* Bins with a pivot in a thousand and more, each with the hole that suits it whole: no closer than
 * Kleinlein's least shake to its thickest, no wider than his most to its thinnest. */
static void say_bins(struct sw_buf *out, const struct sw_forecast_sums *sums,
                     const struct sw_forecast_bins *bins)
{
    const double pivots = (double)(SW_FORECAST_PIVOTS * sums->n);
    for (size_t b = 0; b < SW_FORECAST_BINS; b++) {
        const double thin = bins->from + bins->width * (double)b, thick = thin + bins->width;
        const double least = thick + SW_LEAST_SIDE_SHAKE, most = thin + SW_MOST_SIDE_SHAKE;
        if ((double)sums->bin[b] < pivots / 1000)
            continue;
        sw_buf_printf(out, "    pivots of %.4f to %.4f: %5.1f %%", thin, thick,
                      100 / pivots * (double)sums->bin[b]);
        if (least <= most + SW_TOL_POINT)
            sw_buf_printf(out, ", for holes of %.4f%s", least,
                          most - least > SW_TOL_SLIVER ? "" : "\n");
        else
            sw_buf_add(out, ", no one hole suits them all\n");
        if (most - least > SW_TOL_SLIVER)
            sw_buf_printf(out, " to %.4f\n", most);
    }
}

/* A grade: a pair of pivots that differs from those before. */
struct grade {
    size_t staffs;
    struct sw_forecast is;
    struct sw_forecast_bins bins;
    struct sw_forecast_sums sums;
};

static void draw_grade(void *user, size_t i, struct sw_ctx *ctx)
{
    struct grade *grade = (struct grade *)user + i;
    (void)ctx;
    sw_forecast_run(&grade->sums, &grade->is, &grade->bins, grade->staffs);
}

static enum sw_status say_forecasts(struct sw_buf *out, const struct sw_batch_run *run,
                                    const struct sw_work *work, struct sw_ctx *ctx)
{
    const struct sw_batch_forecast *is = &run->batch->forecast;
    struct sw_app_batch silent = *run->what;
    SW_VEC(struct grade) grades = {0};
    for (size_t i = 0; i < run->n; i++) {
        const struct sw_batch_result *variant = &run->result[i];
        if (variant->status != SW_OK || variant->n_pivots != SW_FORECAST_PIVOTS ||
            first_alike(run, i) != i)
            continue;
        struct grade grade = {.staffs = (size_t)is->staffs.value,
                              .is = forecast_of(run, work, variant)};
        grade.bins = sw_forecast_bins_of(&grade.is, is->bin.value);
        if (!SW_VEC_PUSH(ctx->arena, &grades, grade))
            return SW_MEMORY;
    }
    if (grades.n == 0)
        return SW_OK;
    silent.progress = NULL;
    SW_TRY(sw_batch_each(&silent, grades.n, "forecasts", draw_grade, grades.at));
    sw_buf_printf(out,
                  "Forecast, %zu staffs drawn a grade. Assumed figures give assumed "
                  "shares.\n",
                  grades.at[0].sums.n);
    say_log(out, run, work);
    for (size_t i = 0; i < grades.n; i++) {
        const struct grade *grade = &grades.at[i];
        const struct sw_forecast_pivot *pivot = grade->is.pivot;
        sw_buf_printf(out, "  upper pivot %.4f to %.4f, lower %.4f to %.4f: %.1f %% fit\n",
                      pivot[0].least, pivot[0].most, pivot[1].least, pivot[1].most,
                      100 * sw_forecast_share(&grade->sums));
        say_causes(out, &grade->sums);
        say_bins(out, &grade->sums, &grade->bins);
    }
    return SW_OK;
}

enum sw_status sw_batch_worse(enum sw_status a, enum sw_status b)
{
    static const int order[] = {0, 1, 4, 3, 5, 70};
    size_t at_a = 0, at_b = 0;
    for (size_t i = 0; i < sizeof order / sizeof *order; i++) {
        at_a = sw_status_exit_code(a) == order[i] ? i : at_a;
        at_b = sw_status_exit_code(b) == order[i] ? i : at_b;
    }
    return at_b > at_a ? b : a;
}

/* Folders of variants that were made once and are in the batch no more. */
static enum sw_status say_left_over(struct sw_buf *out, const struct sw_batch_run *run,
                                    const struct sw_app_names *names, struct sw_ctx *ctx)
{
    struct sw_app_names folders = {0};
    SW_TRY(sw_app_read_subfolders(&folders, run->what->folder, "record.json", ctx));
    for (size_t i = 0, k = 0; i < folders.n; i++) {
        while (k < names->n && strcmp(names->at[k], folders.at[i]) < 0)
            k++;
        if (k == names->n || strcmp(names->at[k], folders.at[i]) != 0)
            sw_buf_printf(out, "  %-40s stands there from before and is not in the batch\n",
                          folders.at[i]);
    }
    return SW_OK;
}

static enum sw_status say_variants(enum sw_status *worst, struct sw_buf *out,
                                   const struct sw_batch_run *run, const struct sw_batch_bars *bars,
                                   struct sw_ctx *ctx)
{
    struct sw_app_names names = {0};
    size_t made = 0;
    for (size_t i = 0; i < run->n; i++) {
        const char *name;
        SW_TRY(sw_batch_name(&name, run->batch, i, ctx));
        if (!SW_VEC_PUSH(ctx->arena, &names, name))
            return SW_MEMORY;
        made += run->result[i].status == SW_OK;
        sw_buf_printf(out, "  %-40s %s\n", name, sw_status_text(run->result[i].status));
        sw_buf_add(out, sw_buf_text(&run->talk[i]));
        sw_buf_done(&run->talk[i]); /* of thousands that fail once is enough */
        *worst = sw_batch_worse(*worst, run->result[i].status);
    }
    for (size_t b = 0; bars->begin && b < bars->plan.n; b++) {
        const char *name = sw_arena_printf(ctx->arena, SW_BATCH_BAR_FOLDER, b + 1);
        if (!name || !SW_VEC_PUSH(ctx->arena, &names, name))
            return SW_MEMORY;
    }
    sw_app_sort_names(&names);
    SW_TRY(say_left_over(out, run, &names, ctx));
    sw_buf_printf(out, "%zu variant%s, %zu made, %zu failed\n", run->n, run->n == 1 ? "" : "s",
                  made, run->n - made);
    return SW_OK;
}

enum sw_status sw_batch_say(struct sw_buf *out, const struct sw_batch_run *run,
                            const struct sw_work *work, struct sw_ctx *ctx)
{
    enum sw_status worst = SW_OK;
    struct sw_batch_bars bars;
    const enum sw_status planned = sw_batch_plan_bars(&bars, run, work->shop->machine, ctx);
    say_bars(out, &bars);
    if (planned == SW_OK)
        worst = sw_batch_make_runs(out, &bars, run, work, ctx);
    say_run(out, run);
    SW_TRY(say_forecasts(out, run, work, ctx));
    SW_TRY(say_variants(&worst, out, run, &bars, ctx));
    worst = sw_batch_worse(worst, planned);
    if (planned != SW_MEMORY && bars.n_variants)
        worst =
            sw_batch_worse(worst, sw_batch_write_sheets(run, &bars, work->job->name.value, ctx));
    if (out->failed)
        return SW_MEMORY;
    const char *path = sw_path_join(ctx->arena, run->what->folder, "batch.txt");
    if (!path)
        return SW_MEMORY;
    return sw_batch_worse(worst, sw_file_write_buf(path, out, ctx));
}
