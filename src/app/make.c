/* Make: write, judge what was written, and put it on the disk only when it passed. */
#include "app/app.h"

#include <string.h>

#include "app/make_int.h"
#include "app/paths.h"
#include "base/file.h"
#include "draw/write.h"
#include "report/picture.h"
#include "report/sheet.h"

static const char drawing_name[] = "drawing.pdf";

/* Moves a buffer's text into the context as a file of the output. The buffer is freed. */
enum sw_status sw_make_keep(struct sw_make_texts *files, const char *name, struct sw_buf *buf,
                            struct sw_ctx *ctx)
{
    const char *text = buf->failed ? NULL : sw_arena_copy(ctx->arena, sw_buf_text(buf), buf->n);
    const struct sw_app_text file = {name, text, buf->n};
    const bool stands = text && SW_VEC_PUSH(ctx->arena, files, file);
    sw_buf_done(buf);
    return stands ? SW_OK : SW_MEMORY;
}

/* Every file read so far, by name as seen from the output folder: what the programs come from. */
enum sw_status sw_make_inputs(struct sw_make_texts *inputs, const char *folder,
                              const struct sw_app *app, struct sw_ctx *ctx)
{
    const char *path;
    for (uint32_t i = 1; (path = sw_diag_source_name(ctx->diag, i)) != NULL; i++) {
        size_t size;
        const char *text = sw_diag_source_text(ctx->diag, i, &size);
        const char *name;
        SW_TRY(sw_app_profile_part(&name, path, &app->search, ctx));
        if (!name)
            SW_TRY(sw_app_relative(&name, path, folder, ctx));
        bool is_known = false;
        for (size_t k = 0; k < inputs->n; k++)
            is_known = is_known || strcmp(inputs->at[k].name, name) == 0;
        if (is_known)
            continue;
        const struct sw_app_text input = {name, text, size};
        if (!SW_VEC_PUSH(ctx->arena, inputs, input))
            return SW_MEMORY;
    }
    return SW_OK;
}

/* Line LINE of a program, without its end; NULL when out of memory. */
static const char *line_of(const struct sw_make_texts *programs, const char *name, uint32_t line,
                           struct sw_ctx *ctx)
{
    const char *at = "", *end = at;
    for (size_t i = 0; i < programs->n; i++)
        if (name && strcmp(programs->at[i].name, name) == 0) {
            at = programs->at[i].text;
            end = at + programs->at[i].size;
        }
    for (uint32_t n = 1; n < line && at < end; n++) {
        const char *next = memchr(at, '\n', (size_t)(end - at));
        at = next ? next + 1 : end;
    }
    const char *stop = memchr(at, '\n', (size_t)(end - at));
    return sw_arena_copy(ctx->arena, at, (size_t)((stop ? stop : end) - at));
}

/* The first fault of a failed dry run, as its report has it; NULL when out of memory. */
static const char *first_error(const struct sw_verdict *verdict, struct sw_ctx *ctx)
{
    const struct sw_finding *found = NULL;
    for (size_t i = 0; i < verdict->findings.n && !found; i++)
        if (verdict->findings.at[i].severity == SW_ERROR)
            found = &verdict->findings.at[i];
    struct sw_buf buf = {0};
    if (found && found->program && found->line > 0)
        sw_buf_printf(&buf, "%s:%u: ", found->program, (unsigned)found->line);
    else if (found && found->program)
        sw_buf_printf(&buf, "%s: ", found->program);
    if (found)
        sw_buf_printf(&buf, "%s: %s", sw_finding_word(found->code), found->message);
    const char *text = buf.failed ? NULL : sw_arena_copy(ctx->arena, sw_buf_text(&buf), buf.n);
    sw_buf_done(&buf);
    return text;
}

/* A text that its own control cannot read was put so by the dialect, which is a file of the user's;
 * so may be whatever else goes wrong with a dialect that did not come along. Everything else is a
 * fault of ours. */
static enum sw_status own_dryrun_failed(const struct sw_work *work,
                                        const struct sw_make_texts *programs,
                                        const struct sw_app *app, struct sw_ctx *ctx)
{
    const struct sw_verdict *verdict = work->verdict;
    const char *dialect = sw_post_file(work->post), *came_along;
    const struct sw_finding *unread = NULL;
    for (size_t i = 0; i < verdict->findings.n && !unread; i++) {
        const struct sw_finding *it = &verdict->findings.at[i];
        const bool is_text = it->code == SW_FINDING_BLOCK || it->code == SW_FINDING_CONTROL;
        if (it->severity == SW_ERROR && is_text && it->column > 0)
            unread = it;
    }
    SW_TRY(sw_app_profile_part(&came_along, dialect, &app->search, ctx));
    if (unread) {
        const char *line = line_of(programs, unread->program, unread->line, ctx);
        if (!line)
            return SW_MEMORY;
        sw_diag_add(
            ctx->diag, SW_ERROR, "app.dialect", (struct sw_span){0},
            "change that line of the dialect, or what the machine's `control:` says it knows",
            "the dialect %s writes \"%s\" (%s, line %u), which this control does not read: "
            "%s",
            dialect, line, unread->program, unread->line, unread->message);
        return SW_CANNOT;
    }
    const char *why = first_error(verdict, ctx);
    if (!why)
        return SW_MEMORY;
    if (!came_along) {
        sw_diag_add(ctx->diag, SW_ERROR, "app.dialect", (struct sw_span){0},
                    "`staffwright check` on the dialect, with `--machine`, names the key that is "
                    "likely wrong; with `post: strict` the job shows whether it is the dialect",
                    "the programs of %s, written by the dialect %s, fail their dry run (%s); "
                    "nothing was written",
                    work->job->name.value, dialect, why);
        return SW_CANNOT;
    }
    sw_diag_add(ctx->diag, SW_ERROR, "app.own-dryrun", (struct sw_span){0},
                "please report it together with the job's files",
                "the programs of %s fail their own dry run (%s); nothing was written",
                work->job->name.value, why);
    return SW_INTERNAL;
}

static enum sw_status judge(struct sw_work *work, const struct sw_make_texts *programs,
                            const char *setup_text, size_t setup_size, const struct sw_app *app,
                            struct sw_ctx *ctx)
{
    struct sw_setup *setup = NULL;
    /* The judge gets the record as a stranger would: from its text. */
    SW_TRY(sw_setup_parse(&setup, sw_make_setup_file, setup_text, setup_size, ctx));
    if (work->blank)
        SW_TRY(sw_app_resolve_blank(setup, &work->hardening->text, ".", work->staff, app, ctx));
    work->setup = setup;
    SW_TRY(sw_app_judge(&work->verdict, programs->at, programs->n, setup, work->shop, work->shape,
                        work->explains ? SW_APP_JUDGE_BY_LINE : SW_APP_JUDGE, ctx));
    return work->verdict->passes ? SW_OK : own_dryrun_failed(work, programs, app, ctx);
}

enum sw_status sw_make_keep_pdf(struct sw_make_texts *files, const char *name,
                                const struct sw_drawing *drawing, struct sw_ctx *ctx)
{
    struct sw_buf buf = {0};
    const enum sw_status status = sw_draw_write_pdf(&buf, drawing, ctx);
    if (status != SW_OK) {
        sw_buf_done(&buf);
        return status;
    }
    return sw_make_keep(files, name, &buf, ctx);
}

static enum sw_status add_sheet(struct sw_make_texts *files, const struct sw_work *work,
                                bool no_pdf, const struct sw_app *app, struct sw_ctx *ctx)
{
    const struct sw_sheet sheet = {.version = app->version,
                                   .plan = work->plan,
                                   .post = work->post,
                                   .programs = work->programs,
                                   .setup = work->setup,
                                   .verdict = work->verdict,
                                   .becomes = work->hardening ? work->hardening->staff : NULL};
    struct sw_buf buf = {0};
    enum sw_status status = sw_report_sheet(&buf, &sheet, ctx);
    if (status != SW_OK) {
        sw_buf_done(&buf);
        return status;
    }
    SW_TRY(sw_make_keep(files, sw_make_sheet_file, &buf, ctx));
    if (no_pdf)
        return SW_OK;
    struct sw_drawing *pages = NULL;
    SW_TRY(sw_report_sheet_pages(&pages, &sheet, ctx));
    return sw_make_keep_pdf(files, sw_make_pages_file, pages, ctx);
}

static enum sw_status add_drawing(struct sw_make_texts *files, const struct sw_work *work,
                                  const struct sw_app *app, struct sw_ctx *ctx)
{
    const struct sw_picture picture = {work->shape, work->plan, app->version};
    struct sw_drawing *drawing = NULL;
    SW_TRY(sw_report_pictures(&drawing, &picture, ctx));
    return sw_make_keep_pdf(files, drawing_name, drawing, ctx);
}

enum sw_status sw_make_verdict(struct sw_make_texts *files, const struct sw_verdict *verdict,
                               const struct sw_report_hash *hash, const struct sw_app *app,
                               struct sw_ctx *ctx)
{
    struct sw_buf buf = {0};
    const enum sw_status status = sw_report_dryrun_json(&buf, verdict, hash, app->version);
    if (status != SW_OK) {
        sw_buf_done(&buf);
        return status;
    }
    return sw_make_keep(files, sw_make_verdict_file, &buf, ctx);
}

enum sw_status sw_make_record(struct sw_make_texts *files, const struct sw_make_texts *inputs,
                              const struct sw_app *app, struct sw_ctx *ctx)
{
    struct sw_report_record record = {.version = app->version,
                                      .passes = true,
                                      .setup = sw_make_setup_file,
                                      .n_files = files->n,
                                      .n_inputs = inputs->n};
    SW_TRY(sw_app_hash_texts(&record.file, files->at, files->n, ctx));
    SW_TRY(sw_app_hash_texts(&record.input, inputs->at, inputs->n, ctx));
    struct sw_buf buf = {0};
    const enum sw_status status = sw_report_record_json(&buf, &record);
    if (status != SW_OK) {
        sw_buf_done(&buf);
        return status;
    }
    return sw_make_keep(files, sw_make_record_file, &buf, ctx);
}

enum sw_status sw_make_folder(const struct sw_make_texts *files, const char *folder, bool force,
                              struct sw_ctx *ctx)
{
    struct sw_outdir *dir = NULL;
    SW_TRY(sw_outdir_begin(&dir, folder, sw_make_record_file, force, ctx));
    for (size_t i = 0; i < files->n; i++) {
        const enum sw_status status =
            sw_outdir_add(dir, files->at[i].name, files->at[i].text, files->at[i].size);
        if (status != SW_OK) {
            sw_outdir_abort(dir);
            return status;
        }
    }
    return sw_outdir_commit(dir);
}

enum sw_status sw_app_make(struct sw_work *work, const struct sw_app_make *make,
                           const struct sw_app *app, struct sw_ctx *ctx)
{
    static const char staff_name[] = "staff.yaml";
    const char *staff_path = sw_path_join(ctx->arena, make->folder, staff_name);
    if (!staff_path)
        return SW_MEMORY;
    SW_TRY(sw_app_load_job_of(work, make->job, staff_path, make->staff, make->staff_size,
                              make->folder, app, ctx));
    const struct sw_app_asks asks = {.explains = make->explains};
    SW_TRY(sw_app_plan_job(work, &asks, app, ctx));
    if (work->hardening && !work->blank)
        SW_TRY(sw_app_try_hardened(work, make->folder, app, ctx));
    SW_TRY(sw_app_write_job(work, make->folder, app, ctx));

    struct sw_make_texts files = {0}, inputs = {0};
    struct sw_app_text *text;
    size_t n;
    SW_TRY(sw_app_program_texts(&text, &n, work, ctx));
    for (size_t i = 0; i < n; i++)
        if (!SW_VEC_PUSH(ctx->arena, &files, text[i]))
            return SW_MEMORY;
    SW_TRY(sw_make_inputs(&inputs, make->folder, app, ctx));

    struct sw_buf setup = {0};
    sw_setup_write(work->setup, &setup);
    const struct sw_make_texts programs = files;
    SW_TRY(sw_make_keep(&files, sw_make_setup_file, &setup, ctx));
    const struct sw_app_text *record = &files.at[files.n - 1];
    SW_TRY(judge(work, &programs, record->text, record->size, app, ctx));

    struct sw_report_hash *hash;
    SW_TRY(sw_app_hash_texts(&hash, programs.at, programs.n, ctx));
    SW_TRY(add_sheet(&files, work, make->no_pdf, app, ctx));
    if (!make->no_pdf)
        SW_TRY(add_drawing(&files, work, app, ctx));
    if (work->hardening && !SW_VEC_PUSH(ctx->arena, &files, work->hardening->text))
        return SW_MEMORY;
    const struct sw_app_text staff = {staff_name, make->staff, make->staff_size};
    if (make->staff && !SW_VEC_PUSH(ctx->arena, &files, staff))
        return SW_MEMORY;
    SW_TRY(sw_make_verdict(&files, work->verdict, hash, app, ctx));
    SW_TRY(sw_make_record(&files, &inputs, app, ctx));
    return make->writes ? sw_make_folder(&files, make->folder, make->force, ctx) : SW_OK;
}
