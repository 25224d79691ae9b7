/* From a job file to programs and a setup record; nothing is judged or written here. */
#include "app/app.h"

#include <string.h>

#include "app/paths.h"

/* The sum of two outcomes: the first fault stands, but what ends the run at once goes before. */
static enum sw_status first_of(enum sw_status a, enum sw_status b)
{
    const bool b_ends_all = b == SW_MEMORY || b == SW_READ || b == SW_INTERNAL;
    return a == SW_OK || b_ends_all ? (b == SW_OK ? a : b) : a;
}

static enum sw_status load_shop(struct sw_work *work, const struct sw_app *app, struct sw_ctx *ctx)
{
    const struct sw_job *job = work->job;
    struct sw_shop *shop = NULL;
    SW_TRY(sw_shop_find(&work->shop_path, job->shop.value, "shops", job->file, &app->search,
                        job->shop.at, ctx));
    SW_TRY(sw_shop_load(&shop, work->shop_path, &app->search, ctx));
    work->shop = shop;
    const struct sw_text *post = job->post.value ? &job->post : &shop->post;
    const char *near_file = job->post.value ? job->file : shop->file;
    SW_TRY(sw_post_load(&work->post, post->value, near_file, &app->search, post->at, ctx));
    return sw_post_check(work->post, shop->machine, ctx);
}

enum sw_status sw_app_load_job(struct sw_work *work, const char *path, const struct sw_app *app,
                               struct sw_ctx *ctx)
{
    return sw_app_load_job_of(work, path, NULL, NULL, 0, ".", app, ctx);
}

enum sw_status sw_app_load_job_of(struct sw_work *work, const char *path, const char *name,
                                  const char *text, size_t size, const char *folder,
                                  const struct sw_app *app, struct sw_ctx *ctx)
{
    *work = (struct sw_work){0};
    struct sw_job *job = NULL;
    SW_TRY(sw_job_load(&job, path, ctx));
    work->job = job;
    struct sw_staff *staff = NULL;
    if (text)
        job->staff.value = name;
    enum sw_status status = text ? sw_staff_parse(&staff, name, text, size, ctx)
                                 : sw_staff_load(&staff, job->staff.value, ctx);
    work->staff = staff;
    if (status == SW_UNREADABLE)
        sw_diag_add(ctx->diag, SW_ERROR, "job.staff", job->staff.at, NULL,
                    "the staff named here cannot be read");
    status = first_of(status, load_shop(work, app, ctx));
    if (status != SW_OK)
        return status;

    const struct sw_shape_extra extra = sw_plan_extra(job);
    struct sw_shape *shape = NULL;
    SW_TRY(sw_shape_build(&shape, staff, &work->shop->leave, &extra, ctx));
    work->shape = shape;
    return sw_app_load_blank(work, folder, app, ctx);
}

enum sw_status sw_app_plan_job(struct sw_work *work, const struct sw_app_asks *asks,
                               const struct sw_app *app, struct sw_ctx *ctx)
{
    struct sw_plan_aids aids = {.gather = sw_app_gather_aids,
                                .user = app,
                                .advise_warnings = asks && asks->advice,
                                .explains = asks && asks->explains};
    struct sw_plan *plan = NULL;
    SW_TRY(work->blank
               ? sw_plan_hardened(&plan, work->job, work->shop, work->shape, work->post,
                                  work->blank, &aids, ctx)
               : sw_plan_build(&plan, work->job, work->shop, work->shape, work->post, &aids, ctx));
    work->plan = plan;
    work->explains = aids.explains;
    return SW_OK;
}

/* A file as the record shall name it: profiles by name, others as seen from the record. */
static enum sw_status name_for(const char **out, const char *path, const char *folder,
                               const struct sw_app *app, struct sw_ctx *ctx)
{
    static const char shops[] = "profiles/shops/", suffix[] = ".yaml";
    const char *part;
    SW_TRY(sw_app_profile_part(&part, path, &app->search, ctx));
    if (!part || strncmp(part, shops, sizeof shops - 1) != 0)
        return sw_app_relative(out, path, folder, ctx);
    const char *name = part + sizeof shops - 1;
    const size_t n = strlen(name), n_suffix = sizeof suffix - 1;
    const bool has_suffix = n > n_suffix && strcmp(name + n - n_suffix, suffix) == 0;
    *out = sw_arena_copy(ctx->arena, name, has_suffix ? n - n_suffix : n);
    return *out ? SW_OK : SW_MEMORY;
}

enum sw_status sw_app_write_job(struct sw_work *work, const char *folder, const struct sw_app *app,
                                struct sw_ctx *ctx)
{
    for (size_t i = 0; i < work->plan->n_chuckings; i++) {
        struct sw_path *path = NULL;
        SW_TRY(sw_moves_build(&path, work->plan, i, ctx));
        SW_TRY(sw_app_digest_note(path, work->post, ctx));
        SW_TRY(sw_post_write(&work->programs[i], work->post, path, work->shop->machine, ctx));
        SW_TRY(sw_app_digest_fill(&work->programs[i], ctx));
    }
    SW_TRY(sw_moves_setup(&work->setup, work->plan, work->programs, work->post, ctx));
    return sw_app_name_setup(work->setup, work, folder, app, ctx);
}

enum sw_status sw_app_name_setup(struct sw_setup *setup, const struct sw_work *work,
                                 const char *folder, const struct sw_app *app, struct sw_ctx *ctx)
{
    SW_TRY(name_for(&setup->staff.value, work->job->staff.value, folder, app, ctx));
    return name_for(&setup->shop.value, work->shop_path, folder, app, ctx);
}

enum sw_status sw_app_program_texts(struct sw_app_text **out, size_t *n, const struct sw_work *work,
                                    struct sw_ctx *ctx)
{
    *n = 0;
    for (size_t i = 0; i < SW_APP_SIDES; i++)
        *n += work->programs[i].n;
    struct sw_app_text *text = SW_NEW(ctx->arena, struct sw_app_text, *n);
    if (!text)
        return SW_MEMORY;
    *out = text;
    for (size_t i = 0; i < SW_APP_SIDES; i++)
        for (size_t k = 0; k < work->programs[i].n; k++) {
            const struct sw_post_program *program = &work->programs[i].at[k];
            *text++ = (struct sw_app_text){program->file, program->text, program->size};
        }
    return SW_OK;
}
