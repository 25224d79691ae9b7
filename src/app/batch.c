/* A batch: every variant in a context of its own, given back when it is done. */
#include "app/app.h"

#include <pthread.h>
#include <string.h>

#include "app/batch_int.h"
#include "app/make_int.h"
#include "app/paths.h"
#include "base/file.h"

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

bool sw_batch_is_proved(const struct sw_batch_run *run, const char *folder,
                        const struct sw_buf *staff, struct sw_ctx *ctx)
{
    static const char drawing[] = "drawing.pdf", staff_name[] = "staff.yaml";
    const char *path = sw_path_join(ctx->arena, folder, "record.json"), *text;
    const char *hash = NULL;
    size_t size;
    struct sw_report_record *record = NULL;
    struct stat is;
    if (!path || sw_file_default_ops()->stat(path, &is) != 0 ||
        sw_file_read(&text, &size, path, SW_FILE_MOST_PROGRAM, ctx) != SW_OK ||
        sw_report_record_read(&record, path, text, size, ctx) != SW_OK ||
        strcmp(record->version, run->app->version) != 0 || !record->passes)
        return false;
    if (staff && sw_app_sha256(&hash, sw_buf_text(staff), staff->n, ctx) != SW_OK)
        return false;
    bool has_staff = !staff, has_drawing = staff ? false : run->what->draws;
    for (size_t i = 0; i < record->n_inputs; i++) {
        const struct sw_report_hash *it = &record->input[i];
        if (staff && strcmp(it->file, staff_name) == 0) {
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

static struct sw_forecast_pivot pivot_of(const struct sw_section *is, const struct sw_jewel *jewel)
{
    const double nominal = 2 * is->r0;
    return (struct sw_forecast_pivot){.diameter = nominal + sw_section_middle(is),
                                      .least = nominal + is->diameter_tolerance.lower,
                                      .most = nominal + is->diameter_tolerance.upper,
                                      .thickness = jewel->thickness};
}

/* What the summary wants of a staff whose context is given back. */
static void keep_of_staff(struct sw_batch_result *result, const struct sw_staff *staff)
{
    result->length = staff->total;
    for (size_t i = 0; i < staff->n; i++) {
        if (staff->section[i].kind != SW_SECTION_PIVOT)
            continue;
        const size_t at = result->n_pivots < SW_FORECAST_PIVOTS ? result->n_pivots++ : 1;
        result->pivot[at] = pivot_of(&staff->section[i], &staff->jewel[at]);
    }
}

static enum sw_status make_staff(struct sw_batch_result *result, struct sw_batch_run *run,
                                 const char *folder, const struct sw_buf *staff, struct sw_ctx *ctx)
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
                                     .no_pdf = !run->what->draws};
    const enum sw_status status = sw_app_make(work, &make, run->app, ctx);
    if (work->staff)
        keep_of_staff(result, work->staff);
    return status;
}

static enum sw_status make_variant(struct sw_batch_result *result, struct sw_batch_run *run,
                                   size_t i, struct sw_ctx *ctx)
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
    /* What is proved is not written again, and would keep a killed run's lock. */
    if (status == SW_OK)
        status = sw_outdir_clear(folder, sw_make_record_file, ctx);
    if (status == SW_OK && sw_batch_is_proved(run, folder, &staff, &aside)) {
        struct sw_staff *read = NULL;
        result->was_kept = true;
        status = sw_staff_parse(&read, "staff.yaml", sw_buf_text(&staff), staff.n, &aside);
        if (status == SW_OK)
            keep_of_staff(result, read);
    } else if (status == SW_OK)
        status = make_staff(result, run, folder, &staff, ctx);
    sw_buf_done(&staff);
    sw_diag_free(aside.diag);
    return status;
}

static void make_one(void *user, size_t i, struct sw_ctx *ctx)
{
    struct sw_batch_run *run = user;
    struct sw_batch_result *result = &run->result[i];
    result->status = ctx ? make_variant(result, run, i, ctx) : SW_MEMORY;
    if (ctx && result->status != SW_OK)
        sw_diag_write(ctx->diag, &run->talk[i]);
}

/* Work that several threads take from, item by item. */
struct queue {
    const struct sw_app_batch *what;
    const char *of;
    sw_batch_work *work;
    void *user;
    size_t n, next, done;
    pthread_mutex_t lock;
};

static void *work_through(void *user)
{
    struct queue *queue = user;
    pthread_mutex_lock(&queue->lock);
    while (queue->next < queue->n) {
        const size_t i = queue->next++;
        pthread_mutex_unlock(&queue->lock);
        struct sw_ctx ctx = {sw_arena_new(), sw_diag_new()};
        queue->work(queue->user, i, ctx.arena && ctx.diag ? &ctx : NULL);
        sw_diag_free(ctx.diag);
        sw_arena_free(ctx.arena);
        pthread_mutex_lock(&queue->lock);
        queue->done++;
        if (queue->what->progress)
            queue->what->progress(queue->done, queue->n, queue->of, queue->what->user);
    }
    pthread_mutex_unlock(&queue->lock);
    return NULL;
}

enum sw_status sw_batch_each(const struct sw_app_batch *what, size_t n, const char *of,
                             sw_batch_work *work, void *user)
{
    enum { MOST = 32 };
    struct queue queue = {.what = what, .of = of, .work = work, .user = user, .n = n};
    pthread_t thread[MOST];
    size_t more = 0;
    if (pthread_mutex_init(&queue.lock, NULL) != 0)
        return SW_MEMORY;
    while (more + 1 < what->jobs && more + 1 < n && more < MOST &&
           pthread_create(&thread[more], NULL, work_through, &queue) == 0)
        more++;
    work_through(&queue);
    while (more)
        pthread_join(thread[--more], NULL);
    pthread_mutex_destroy(&queue.lock);
    return SW_OK;
}

static enum sw_status load_log(const struct sw_log **out, const char *path, struct sw_ctx *ctx)
{
    struct sw_log *log = NULL;
    const char *text;
    size_t size;
    if (!path)
        return SW_OK;
    SW_TRY(sw_file_read(&text, &size, path, SW_FILE_MOST_INPUT, ctx));
    SW_TRY(sw_log_parse(&log, path, text, size, ctx));
    *out = log;
    return SW_OK;
}

enum sw_status sw_app_batch(struct sw_buf *text, const struct sw_app_batch *what,
                            const struct sw_app *app, struct sw_ctx *ctx)
{
    struct sw_batch *batch = NULL;
    struct sw_work *work = SW_NEW(ctx->arena, struct sw_work, 1);
    if (!work)
        return SW_MEMORY;
    SW_TRY(sw_batch_load(&batch, what->file, ctx));
    SW_TRY(sw_app_refuse_blanks(batch->job.value, ctx));
    SW_TRY(sw_app_load_job(work, batch->job.value, app, ctx));
    struct sw_batch_run run = {.what = what, .batch = batch, .app = app, .n = sw_batch_n(batch)};
    SW_TRY(load_log(&run.log, what->log, ctx));
    run.staff_name = work->job->staff.value;
    SW_TRY(sw_file_read(&run.staff, &run.staff_size, run.staff_name, SW_FILE_MOST_INPUT, ctx));
    run.result = SW_NEW(ctx->arena, struct sw_batch_result, run.n);
    run.talk = SW_NEW(ctx->arena, struct sw_buf, run.n);
    if (!run.result || !run.talk)
        return SW_MEMORY;
    enum sw_status status = sw_file_make_folder(what->folder, ctx);
    if (status == SW_OK)
        status = sw_batch_each(what, run.n, "variants", make_one, &run);
    if (status == SW_OK)
        status = sw_batch_say(text, &run, work, ctx);
    for (size_t i = 0; i < run.n; i++)
        sw_buf_done(&run.talk[i]);
    return status;
}
