/* Jobs that harden: the blank that is turned from soft rod, and what is cut of it afterwards. */
#include "app/app.h"

#include <string.h>

#include "app/make_int.h"
#include "base/file.h"
#include "part/blank.h"

static enum sw_status no_hardening(const struct sw_work *work, struct sw_ctx *ctx)
{
    sw_diag_add(ctx->diag, SW_ERROR, "app.no-harden", work->job->staff.at,
                "write `harden: {rod: ..., growth: [..., ...]}`, or leave --hardened out",
                "the job %s turns its staff from hard rod: it has no `harden`, and nothing is "
                "finished after hardening",
                work->job->name.value);
    return SW_INPUT;
}

/* A bar fed out of a bush leaves no blank that could be held to be finished in it. */
static enum sw_status refuse_bush(const struct sw_work *work, struct sw_ctx *ctx)
{
    if (work->shop->machine->kind.value != SW_MACHINE_SLIDING)
        return SW_OK;
    sw_diag_add(ctx->diag, SW_ERROR, "app.harden-in-bush", work->job->shop.at,
                "a bench lathe, or hard bar and no `harden`",
                "a blank to be hardened is turned on a bench lathe, and %s has a guide bush",
                work->shop->machine->name.value);
    return SW_CANNOT;
}

static enum sw_status check_rod(const struct sw_work *work, struct sw_ctx *ctx)
{
    const struct sw_stock *stock = work->shop->stock.at;
    const struct sw_text *rod = &work->job->harden.rod;
    for (size_t i = 0; i < work->shop->stock.n; i++)
        if (strcmp(stock[i].material.value, rod->value) == 0)
            return SW_OK;
    sw_diag_add(ctx->diag, SW_ERROR, "plan.no-material", rod->at,
                "add such a rod to the shop's stock, or name a material it has",
                "the shop has no rod of %s", rod->value);
    return SW_CANNOT;
}

static struct sw_blank_how how_of(const struct sw_job *job)
{
    const struct sw_job_growth growth = sw_job_growth(job);
    const struct sw_shape_extra extra = sw_plan_extra(job);
    return (struct sw_blank_how){.material = job->harden.rod.value,
                                 .grown_least = growth.least,
                                 .grown_most = growth.most,
                                 .allowance = job->harden.allowance.value,
                                 .upper_long = extra.upper_long,
                                 .lower_long = extra.lower_long,
                                 .at = job->harden.growth.span};
}

/* The blank as a stranger would read it. */
static enum sw_status write_blank(struct sw_app_hardening *to, struct sw_staff **blank,
                                  const struct sw_staff *staff, const struct sw_blank_form *form,
                                  const struct sw_blank_how *how, const char *folder,
                                  struct sw_ctx *ctx)
{
    const char *path = sw_path_join(ctx->arena, folder, SW_APP_BLANK_FILE);
    struct sw_buf buf = {0};
    enum sw_status status = path ? sw_blank_write(&buf, staff, form, how, ctx) : SW_MEMORY;
    const char *text = status == SW_OK ? sw_arena_copy(ctx->arena, sw_buf_text(&buf), buf.n) : NULL;
    to->text = (struct sw_app_text){SW_APP_BLANK_FILE, text, buf.n};
    sw_buf_done(&buf);
    SW_TRY(status);
    if (!text)
        return SW_MEMORY;
    status = sw_staff_parse(blank, path, text, to->text.size, ctx);
    /* What is written must be read: sizes that do not hold together were not foreseen. */
    return status == SW_INPUT || status == SW_FOUND ? SW_INTERNAL : status;
}

static enum sw_status material_of(const struct sw_material **out, const char *name,
                                  const char *near_file, struct sw_span at,
                                  const struct sw_app *app, struct sw_ctx *ctx)
{
    const char *path;
    struct sw_material *material;
    SW_TRY(sw_shop_find(&path, name, "materials", near_file, &app->search, at, ctx));
    SW_TRY(sw_material_load(&material, path, ctx));
    *out = material;
    return SW_OK;
}

/* What the finish begins with. */
static enum sw_status harden(struct sw_plan_blank *to, const struct sw_work *work,
                             const struct sw_shape *shape, const struct sw_app *app,
                             struct sw_ctx *ctx)
{
    to->shape = shape;
    SW_TRY(material_of(&to->material, work->staff->material, work->staff->file,
                       work->staff->material_at, app, ctx));
    return sw_shape_grown(to->least, to->most, shape, work->staff, to->how.grown_least,
                          to->how.grown_most, ctx);
}

/* What a section that is held is called of the blank: what stands in its place. */
static const char *grip_of(const struct sw_work *work, const char *name)
{
    const struct sw_blank_form *form = &work->hardening->blank->form;
    const struct sw_section *is = name ? sw_staff_section(work->staff, name) : NULL;
    if (is && is->index < form->n_upper)
        return SW_BLANK_UPPER_END;
    return is && is->index >= work->staff->n - form->n_lower ? SW_BLANK_LOWER_END : name;
}

/* The blank in the place of the staff: its own file, and nothing of what the finish is about. */
static enum sw_status work_on_blank(struct sw_work *work, const struct sw_staff *blank,
                                    const struct sw_shape *shape, struct sw_ctx *ctx)
{
    struct sw_job *job = SW_NEW(ctx->arena, struct sw_job, 1);
    if (!job)
        return SW_MEMORY;
    *job = *work->job;
    job->staff.value = blank->file;
    job->leave_long.value = 0;
    job->try_parts.value = 0;
    /* Its ends are stout as they are. */
    job->pivot_order = (struct sw_choice){.value = SW_PIVOTS_TIP_FIRST, .given = true};
    job->second_grip.value = grip_of(work, job->second_grip.value);
    work->job = job;
    work->staff = blank;
    work->shape = shape;
    return SW_OK;
}

enum sw_status sw_app_load_blank(struct sw_work *work, const char *folder, const struct sw_app *app,
                                 struct sw_ctx *ctx)
{
    if (!sw_job_hardens(work->job))
        return app->hardened ? no_hardening(work, ctx) : SW_OK;
    SW_TRY(refuse_bush(work, ctx));
    SW_TRY(check_rod(work, ctx));
    struct sw_app_hardening *to = SW_NEW(ctx->arena, struct sw_app_hardening, 1);
    struct sw_plan_blank *blank = SW_NEW(ctx->arena, struct sw_plan_blank, 1);
    if (!to || !blank)
        return SW_MEMORY;
    to->job = work->job;
    to->staff = work->staff;
    to->shape = work->shape;
    to->blank = blank;
    blank->how = how_of(work->job);
    SW_TRY(sw_blank_form(&blank->form, work->staff, &blank->how, ctx));
    SW_TRY(sw_blank_check(work->staff, &blank->form, &blank->how, ctx));
    struct sw_staff *staff = NULL;
    struct sw_shape *shape = NULL;
    SW_TRY(write_blank(to, &staff, work->staff, &blank->form, &blank->how, folder, ctx));
    SW_TRY(sw_shape_build(&shape, staff, &work->shop->leave, NULL, ctx));
    SW_TRY(harden(blank, work, shape, app, ctx));
    work->hardening = to;
    if (!app->hardened)
        return work_on_blank(work, staff, shape, ctx);
    work->blank = blank;
    return SW_OK;
}

enum sw_status sw_app_resolve_blank(struct sw_setup *setup, const struct sw_app_text *text,
                                    const char *folder, const struct sw_staff *staff,
                                    const struct sw_app *app, struct sw_ctx *ctx)
{
    struct sw_setup_blank *blank = &setup->blank;
    struct sw_staff *soft = NULL;
    struct sw_shape *shape = NULL;
    struct sw_contour *least = SW_NEW(ctx->arena, struct sw_contour, SW_SHAPE_GROWN_WAYS);
    struct sw_contour *most = SW_NEW(ctx->arena, struct sw_contour, SW_SHAPE_GROWN_WAYS);
    const char *path = sw_path_join(ctx->arena, folder, blank->staff.value);
    if (!path || !least || !most)
        return SW_MEMORY;
    enum sw_status status = text ? sw_staff_parse(&soft, text->name, text->text, text->size, ctx)
                                 : sw_staff_load(&soft, path, ctx);
    if (status == SW_UNREADABLE)
        sw_diag_add(ctx->diag, SW_ERROR, "app.blank", blank->staff.at,
                    "was the folder moved, or the blank's staff taken away?",
                    "the blank named here, as seen from this record, cannot be read");
    SW_TRY(status);
    const struct sw_leave leave = {setup->stone, setup->burnish, setup->tip};
    SW_TRY(sw_shape_build(&shape, soft, &leave, NULL, ctx));
    SW_TRY(material_of(&blank->is, blank->material.value, path, blank->material.at, app, ctx));
    SW_TRY(sw_shape_grown(least, most, shape, staff, blank->grown_least.value,
                          blank->grown_most.value, ctx));
    blank->least = least;
    blank->most = most;
    blank->n = SW_SHAPE_GROWN_WAYS;
    return SW_OK;
}

/* What the finish was said to be wrong with, as of this job. */
static enum sw_status hand_on(const struct sw_diag *aside, struct sw_ctx *ctx)
{
    if (sw_diag_failed(aside))
        return SW_MEMORY;
    for (size_t i = 0; i < sw_diag_n(aside); i++) {
        const struct sw_diag_record *it = sw_diag_at(aside, i);
        if (it->severity == SW_ERROR)
            sw_diag_add(ctx->diag, it->severity, it->code, it->at, it->hint,
                        "the hardened blank cannot be finished: %s", it->message);
    }
    return SW_OK;
}

static enum sw_status judge_finish(struct sw_work *work, const char *folder,
                                   const struct sw_app *app, struct sw_ctx *ctx)
{
    struct sw_app_text *text;
    struct sw_setup *setup = NULL;
    size_t n;
    SW_TRY(sw_app_write_job(work, folder, app, ctx));
    SW_TRY(sw_app_program_texts(&text, &n, work, ctx));
    struct sw_buf record = {0};
    sw_setup_write(work->setup, &record);
    const char *written =
        record.failed ? NULL : sw_arena_copy(ctx->arena, sw_buf_text(&record), record.n);
    const size_t size = record.n;
    sw_buf_done(&record);
    if (!written)
        return SW_MEMORY;
    SW_TRY(sw_setup_parse(&setup, sw_make_setup_file, written, size, ctx));
    SW_TRY(sw_app_resolve_blank(setup, &work->hardening->text, ".", work->staff, app, ctx));
    SW_TRY(
        sw_app_judge(&work->verdict, text, n, setup, work->shop, work->shape, SW_APP_JUDGE, ctx));
    for (size_t i = 0; !work->verdict->passes && i < work->verdict->findings.n; i++) {
        const struct sw_finding *it = &work->verdict->findings.at[i];
        if (it->severity != SW_ERROR)
            continue;
        sw_diag_add(ctx->diag, SW_ERROR, "app.own-dryrun", (struct sw_span){0},
                    "please report it together with the job's files",
                    "its programs fail their own dry run (%s: %s)", sw_finding_word(it->code),
                    it->message);
        return SW_INTERNAL;
    }
    return SW_OK;
}

enum sw_status sw_app_try_hardened(const struct sw_work *work, const char *folder,
                                   const struct sw_app *app, struct sw_ctx *ctx)
{
    struct sw_work *finish = SW_NEW(ctx->arena, struct sw_work, 1);
    struct sw_ctx aside = {ctx->arena, sw_diag_new()};
    enum sw_status status = finish && aside.diag ? SW_OK : SW_MEMORY;
    if (status == SW_OK) {
        *finish = *work;
        finish->job = work->hardening->job;
        finish->staff = work->hardening->staff;
        finish->shape = work->hardening->shape;
        finish->blank = work->hardening->blank;
        status = sw_app_plan_job(finish, NULL, app, &aside);
    }
    if (status == SW_OK)
        status = judge_finish(finish, folder, app, &aside);
    const enum sw_status said = aside.diag && status != SW_OK ? hand_on(aside.diag, ctx) : SW_OK;
    sw_diag_free(aside.diag);
    return said != SW_OK ? said : status;
}

enum sw_status sw_app_refuse_blanks(const char *path, struct sw_ctx *ctx)
{
    struct sw_job *job = NULL;
    SW_TRY(sw_job_load(&job, path, ctx));
    if (!sw_job_hardens(job))
        return SW_OK;
    sw_diag_add(
        ctx->diag, SW_ERROR, "batch.harden", job->harden.rod.at,
        "make each job by itself, or take `harden` out",
        "a batch makes no blanks to be hardened: how much a blank grows is measured on each "
        "lot, and its finish is a job of its own");
    return SW_INPUT;
}
