/* A batch: every variant in a context of its own, given back when it is done. */
#include "app/app.h"

#include <pthread.h>
#include <string.h>

#include "app/paths.h"
#include "base/file.h"
#include "batch/bars.h"
#include "batch/batch.h"
#include "batch/forecast.h"

struct result {
    enum sw_status status;
    bool was_kept;
    double length; /* of the staff [mm] */
};

struct run {
    const struct sw_app_batch *what;
    const struct sw_batch *batch;
    const struct sw_app *app;
    const char *staff_name, *staff;
    size_t staff_size;
    size_t n, next, done;
    struct result *result;
    struct sw_buf *talk; /* what variants had to say, by variant */
    pthread_mutex_t lock;
};

/* The file an input of a record stands for. */
static enum sw_status input_path(const char **out, const char *name, const char *folder,
                                 const struct sw_app *app, struct sw_ctx *ctx)
{
    const bool is_profile =
        strncmp(name, "profiles/", 9) == 0 || strncmp(name, "postprocessors/", 15) == 0;
    for (const char *const *root = app->search.roots; is_profile && root && *root; root++) {
        *out = sw_arena_printf(ctx->arena, "%s/../%s", *root, name);
        struct stat is;
        if (!*out)
            return SW_MEMORY;
        if (sw_file_default_ops()->stat(*out, &is) == 0)
            return SW_OK;
    }
    *out = sw_path_join(ctx->arena, folder, name);
    return *out ? SW_OK : SW_MEMORY;
}

/* False when the file is not there or has another hash. */
static bool is_same(const char *path, const char *sha256, struct sw_ctx *ctx)
{
    const char *text, *now;
    size_t size;
    return sw_file_read(&text, &size, path, SW_FILE_MOST_PROGRAM, ctx) == SW_OK &&
           sw_app_sha256(&now, text, size, ctx) == SW_OK && strcmp(now, sha256) == 0;
}

/* Does the folder's record prove that STAFF led to what stands there? */
static bool is_proved(const struct run *run, const char *folder, const struct sw_buf *staff,
                      struct sw_ctx *ctx)
{
    static const char drawing[] = "drawing.pdf", staff_name[] = "staff.yaml";
    const char *path = sw_path_join(ctx->arena, folder, "record.json"), *text, *hash;
    size_t size;
    struct sw_report_record *record = NULL;
    struct stat is;
    if (!path || sw_file_default_ops()->stat(path, &is) != 0 ||
        sw_file_read(&text, &size, path, SW_FILE_MOST_PROGRAM, ctx) != SW_OK ||
        sw_report_record_read(&record, path, text, size, ctx) != SW_OK ||
        strcmp(record->version, run->app->version) != 0 || !record->passes)
        return false;
    if (sw_app_sha256(&hash, sw_buf_text(staff), staff->n, ctx) != SW_OK)
        return false;
    bool has_staff = false, has_drawing = false;
    for (size_t i = 0; i < record->n_inputs; i++) {
        const struct sw_report_hash *it = &record->input[i];
        if (strcmp(it->file, staff_name) == 0) {
            has_staff = true;
            if (strcmp(it->sha256, hash) != 0)
                return false;
        } else if (input_path(&path, it->file, folder, run->app, ctx) != SW_OK ||
                   !is_same(path, it->sha256, ctx))
            return false;
    }
    for (size_t i = 0; i < record->n_files; i++) {
        const struct sw_report_hash *it = &record->file[i];
        path = sw_path_join(ctx->arena, folder, it->file);
        has_drawing = has_drawing || strcmp(it->file, drawing) == 0;
        if (!path || !is_same(path, it->sha256, ctx))
            return false;
    }
    return has_staff && has_drawing == run->what->draws;
}

static enum sw_status make_staff(struct result *result, struct run *run, const char *folder,
                                 const struct sw_buf *staff, struct sw_ctx *ctx)
{
    struct sw_work *work = SW_NEW(ctx->arena, struct sw_work, 1);
    if (!work)
        return SW_MEMORY;
    const struct sw_app_make make = {.job = run->batch->job.value,
                                     .folder = folder,
                                     .writes = true,
                                     .force = run->what->force,
                                     .staff = sw_buf_text(staff),
                                     .staff_size = staff->n,
                                     .no_drawing = !run->what->draws};
    const enum sw_status status = sw_app_make(work, &make, run->app, ctx);
    if (work->staff)
        result->length = work->staff->total;
    return status;
}

static enum sw_status make_variant(struct result *result, struct run *run, size_t i,
                                   struct sw_ctx *ctx)
{
    const char *name;
    SW_TRY(sw_batch_name(&name, run->batch, i, ctx));
    const char *folder = sw_path_join(ctx->arena, run->what->folder, name);
    if (!folder)
        return SW_MEMORY;
    struct sw_buf staff = {0};
    /* Proving reads what making reads again: its sources must not count twice. */
    struct sw_ctx aside = {ctx->arena, sw_diag_new()};
    enum sw_status status = aside.diag ? sw_batch_staff(&staff, run->batch, i, run->staff_name,
                                                        run->staff, run->staff_size, &aside)
                                       : SW_MEMORY;
    if (status == SW_INPUT) /* once more, so that it is said */
        status = sw_batch_staff(&staff, run->batch, i, run->staff_name, run->staff, run->staff_size,
                                ctx);
    if (status == SW_OK && is_proved(run, folder, &staff, &aside)) {
        struct sw_staff *read = NULL;
        result->was_kept = true;
        status = sw_staff_parse(&read, "staff.yaml", sw_buf_text(&staff), staff.n, &aside);
        result->length = status == SW_OK ? read->total : 0;
    } else if (status == SW_OK)
        status = make_staff(result, run, folder, &staff, ctx);
    sw_buf_done(&staff);
    sw_diag_free(aside.diag);
    return status;
}

static void *work_through(void *user)
{
    struct run *run = user;
    pthread_mutex_lock(&run->lock);
    while (run->next < run->n) {
        const size_t i = run->next++;
        pthread_mutex_unlock(&run->lock);
        struct sw_ctx ctx = {sw_arena_new(), sw_diag_new()};
        struct result *result = &run->result[i];
        result->status = ctx.arena && ctx.diag ? make_variant(result, run, i, &ctx) : SW_MEMORY;
        if (ctx.diag && result->status != SW_OK)
            sw_diag_write(ctx.diag, &run->talk[i]);
        sw_diag_free(ctx.diag);
        sw_arena_free(ctx.arena);
        pthread_mutex_lock(&run->lock);
        run->done++;
        if (run->what->progress)
            run->what->progress(run->done, run->n, run->what->user);
    }
    pthread_mutex_unlock(&run->lock);
    return NULL;
}

/* Threads that cannot be had are done without. */
static void make_all(struct run *run)
{
    enum { MOST = 32 };
    pthread_t thread[MOST];
    size_t n = 0;
    while (n + 1 < run->what->jobs && n < MOST &&
           pthread_create(&thread[n], NULL, work_through, run) == 0)
        n++;
    work_through(run);
    while (n)
        pthread_join(thread[--n], NULL);
}

static enum sw_status say_bars(struct sw_buf *out, const struct run *run, struct sw_ctx *ctx)
{
    const struct sw_batch *batch = run->batch;
    const struct sw_batch_bar *bar = batch->bars.at;
    struct sw_bar_kind *kind = SW_NEW(ctx->arena, struct sw_bar_kind, batch->bars.n);
    struct sw_bar_want *want = SW_NEW(ctx->arena, struct sw_bar_want, run->n);
    size_t n = 0;
    if (!kind || !want)
        return SW_MEMORY;
    for (size_t k = 0; k < batch->bars.n; k++)
        kind[k] = (struct sw_bar_kind){bar[k].length.value, bar[k].remnant.value,
                                       (size_t)bar[k].count.value};
    for (size_t i = 0; i < run->n; i++) {
        if (run->result[i].status != SW_OK)
            continue;
        const double pitch = run->result[i].length + batch->facing.value + batch->parting.value;
        size_t at = 0;
        while (at < n && (want[at].pitch < pitch || want[at].pitch > pitch))
            at++;
        want[at].pitch = pitch;
        want[at].n += (size_t)batch->quantity.value;
        n = at == n ? n + 1 : n;
    }
    if (!n || !batch->bars.n)
        return SW_OK;
    struct sw_bar_plan plan;
    SW_TRY(sw_bar_plan(&plan, kind, batch->bars.n, want, n, ctx));
    sw_buf_printf(out, "Bars: %zu, %.1f mm taken into use, %s\n", plan.n, plan.taken,
                  plan.is_least ? "and no plan takes less" : "not proved to be the least");
    for (size_t b = 0; b < plan.n; b++) {
        sw_buf_printf(out, "  bar %zu of %.1f mm:", b + 1, kind[plan.bar[b].kind].length);
        for (size_t w = 0; w < n; w++)
            if (plan.bar[b].n[w])
                sw_buf_printf(out, " %zu pieces at %.3f mm,", plan.bar[b].n[w], want[w].pitch);
        sw_buf_printf(out, " %.2f mm left\n", plan.bar[b].left);
    }
    return SW_OK;
}

static void say_run(struct sw_buf *out, const struct run *run)
{
    const struct sw_batch *batch = run->batch;
    sw_buf_printf(out,
                  "Run: %.0f pieces of each variant. Measure the first piece in full, pivots every "
                  "%.0f pieces, lengths every %.0f; a new edge after %.0f pieces.\n",
                  batch->quantity.value, batch->measure_every.value, batch->sample_every.value,
                  batch->tool_life.value);
}

static void say_forecast(struct sw_buf *out, const struct run *run, const struct sw_work *work)
{
    const struct sw_batch_forecast *is = &run->batch->forecast;
    const struct sw_staff *staff = work->staff;
    const struct sw_section *pivot = NULL;
    for (size_t i = 0; i < staff->n && !pivot; i++)
        if (staff->section[i].kind == SW_SECTION_PIVOT)
            pivot = &staff->section[i];
    if (!pivot)
        return;
    /* A machine's repeatability is taken as four deviations wide, as ISO 230-2 has it (from
     * memory). */
    const double repeat = work->shop->machine->repeatability.value / 4;
    const double nominal = 2 * pivot->r0;
    const struct sw_forecast f = {
        .figures = {repeat, is->wear.value, is->height.value, is->runout.value, is->bending.value,
                    is->force_spread.value, is->measure.value, is->hand.value},
        .diameter = nominal + sw_section_middle(pivot),
        .least = nominal + pivot->diameter_tolerance.lower,
        .most = nominal + pivot->diameter_tolerance.upper,
        .thickness = staff->jewel[0].thickness,
        .span = staff->total,
        .most_runout = is->most_runout.value,
        .every = (size_t)run->batch->measure_every.value,
        .setup_every = (size_t)run->batch->tool_life.value,
        .seed = (uint64_t)is->seed.value};
    const struct sw_forecast_bins bins = sw_forecast_bins_of(&f, is->bin.value);
    struct sw_forecast_sums sums;
    sw_forecast_run(&sums, &f, &bins, (size_t)is->staffs.value);
    const double all = (double)sums.n, percent = 100 / all;
    sw_buf_printf(out,
                  "Forecast, %zu staffs drawn, pivots of %.4f to %.4f mm: %.1f %% fit; deviation "
                  "%.2f um. Assumed figures give assumed shares.\n",
                  sums.n, f.least, f.most, 100 * sw_forecast_share(&sums),
                  1000 * sw_forecast_deviation(&sums));
    for (size_t c = 0; c < SW_N_CAUSES; c++)
        sw_buf_printf(out, "  %-32s %5.1f %% of the variance; without it %.1f %% fit\n",
                      sw_cause_says((enum sw_cause)c),
                      100 * sw_forecast_part(&sums, (enum sw_cause)c),
                      percent * (double)sums.fit_without[c]);
    sw_buf_printf(out, "  a second grip twice as true: %.1f %%; measured twice as often: %.1f %%\n",
                  percent * (double)sums.fit_truer, percent * (double)sums.fit_closer);
    for (size_t b = 0; b < SW_FORECAST_BINS; b++)
        if (sums.bin[b])
            sw_buf_printf(
                out, "  pivots of %.4f to %.4f mm: %5.1f %%\n", bins.from + bins.width * (double)b,
                bins.from + bins.width * (double)(b + 1), percent / 2 * (double)sums.bin[b]);
}

static enum sw_status worse(enum sw_status a, enum sw_status b)
{
    static const int order[] = {0, 1, 4, 3, 5, 70};
    size_t at_a = 0, at_b = 0;
    for (size_t i = 0; i < sizeof order / sizeof *order; i++) {
        at_a = sw_status_exit_code(a) == order[i] ? i : at_a;
        at_b = sw_status_exit_code(b) == order[i] ? i : at_b;
    }
    return at_b > at_a ? b : a;
}

static enum sw_status say_variants(enum sw_status *worst, struct sw_buf *out, const struct run *run,
                                   struct sw_ctx *ctx)
{
    size_t made = 0;
    for (size_t i = 0; i < run->n; i++) {
        const char *name;
        SW_TRY(sw_batch_name(&name, run->batch, i, ctx));
        made += run->result[i].status == SW_OK;
        sw_buf_printf(out, "  %-40s %s\n", name, sw_status_text(run->result[i].status));
        sw_buf_add(out, sw_buf_text(&run->talk[i]));
        *worst = worse(*worst, run->result[i].status);
    }
    sw_buf_printf(out, "%zu variants, %zu made, %zu failed\n", run->n, made, run->n - made);
    return SW_OK;
}

static enum sw_status say_all(struct sw_buf *out, const struct run *run, const struct sw_work *work,
                              struct sw_ctx *ctx)
{
    enum sw_status worst = SW_OK;
    const enum sw_status bars = say_bars(out, run, ctx);
    say_run(out, run);
    say_forecast(out, run, work);
    SW_TRY(say_variants(&worst, out, run, ctx));
    worst = worse(worst, bars);
    if (out->failed)
        return SW_MEMORY;
    const char *path = sw_path_join(ctx->arena, run->what->folder, "batch.txt");
    if (!path)
        return SW_MEMORY;
    return worse(worst, sw_file_write_buf(path, out, ctx));
}

enum sw_status sw_app_batch(struct sw_buf *text, const struct sw_app_batch *what,
                            const struct sw_app *app, struct sw_ctx *ctx)
{
    struct sw_batch *batch = NULL;
    struct sw_work *work = SW_NEW(ctx->arena, struct sw_work, 1);
    if (!work)
        return SW_MEMORY;
    SW_TRY(sw_batch_load(&batch, what->file, ctx));
    SW_TRY(sw_app_load_job(work, batch->job.value, app, ctx));
    struct run run = {.what = what, .batch = batch, .app = app, .n = sw_batch_n(batch)};
    run.staff_name = work->job->staff.value;
    SW_TRY(sw_file_read(&run.staff, &run.staff_size, run.staff_name, SW_FILE_MOST_INPUT, ctx));
    run.result = SW_NEW(ctx->arena, struct result, run.n);
    run.talk = SW_NEW(ctx->arena, struct sw_buf, run.n);
    if (!run.result || !run.talk || pthread_mutex_init(&run.lock, NULL) != 0)
        return SW_MEMORY;
    make_all(&run);
    pthread_mutex_destroy(&run.lock);
    const enum sw_status status = say_all(text, &run, work, ctx);
    for (size_t i = 0; i < run.n; i++)
        sw_buf_done(&run.talk[i]);
    return status;
}
