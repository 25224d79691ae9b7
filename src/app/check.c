/* Checking one file of any kind: shape and sense by its loader, then whether it can be made. */
#include "app/app.h"

#include <string.h>

#include "app/paths.h"
#include "base/file.h"
#include "batch/batch.h"
#include "gauge/log.h"
#include "report/explain.h"
#include "report/size.h"
#include "report/tables.h"

/* The fits of a staff that knows its jewels or parts. SW_FOUND when it cannot work. */
static enum sw_status check_fit(struct sw_buf *text, const struct sw_staff *staff,
                                struct sw_ctx *ctx)
{
    struct sw_fit *fit = NULL;
    const enum sw_status status = sw_fit_check(&fit, staff, ctx);
    if (fit) {
        sw_buf_add(text, "\n");
        sw_report_fit(text, fit);
        sw_report_clashes(text, fit->know);
    }
    return status;
}

static enum sw_status check_staff(struct sw_buf *text, const char *path, struct sw_ctx *ctx)
{
    struct sw_staff *staff = NULL;
    const enum sw_status status = sw_staff_load(&staff, path, ctx);
    if (status != SW_OK && status != SW_FOUND)
        return status;
    sw_report_sections(text, staff, NULL);
    const enum sw_status fits = check_fit(text, staff, ctx);
    return status == SW_OK || fits == SW_MEMORY ? fits : status;
}

/* What was measured says nothing wrong by itself; what it leads to is for `size`. */
static enum sw_status check_survey(struct sw_buf *text, const char *path, struct sw_ctx *ctx)
{
    struct sw_survey *survey = NULL;
    SW_TRY(sw_survey_load(&survey, path, ctx));
    sw_buf_printf(text, "%s: sound (survey/1), %zu readings; size works out the staff\n", path,
                  survey->parts.n);
    return SW_OK;
}

static enum sw_status check_job(struct sw_buf *text, const char *path, const struct sw_app *app,
                                struct sw_ctx *ctx)
{
    struct sw_work *work = SW_NEW(ctx->arena, struct sw_work, 1);
    if (!work)
        return SW_MEMORY;
    SW_TRY(sw_app_load_job(work, path, app, ctx));
    sw_report_sections(text, work->staff, work->shape);
    const enum sw_status fits = check_fit(text, work->staff, ctx);
    if (fits != SW_OK && fits != SW_FOUND)
        return fits;
    SW_TRY(sw_app_plan_job(work, &(struct sw_app_asks){.advice = true}, app, ctx));
    if (work->hardening)
        SW_TRY(sw_app_try_hardened(work, ".", app, ctx));
    sw_buf_add(text, "\n");
    sw_report_plan(text, work->plan);
    return fits;
}

/* MACHINE is NULL, or the one the dialect is tried on. */
static enum sw_status check_post(struct sw_buf *text, const struct sw_trial **trial,
                                 const char *path, const char *machine, const struct sw_app *app,
                                 struct sw_ctx *ctx)
{
    const struct sw_post *post;
    struct sw_trial *found = NULL;
    /* A path with a slash is that very file and nothing else. */
    const char *near_file = sw_arena_printf(ctx->arena, "%s.near", path);
    if (!near_file)
        return SW_MEMORY;
    SW_TRY(sw_post_load(&post, sw_app_base_name(path), near_file, &app->search, (struct sw_span){0},
                        ctx));
    if (!machine)
        return SW_OK;
    const enum sw_status status = sw_app_try_post(&found, post, machine, app, ctx);
    if (found)
        sw_report_trial(text, found);
    *trial = found;
    return status;
}

/* With its dialect: a shop whose control cannot read what its dialect writes makes nothing. */
static enum sw_status check_shop(const char *path, const struct sw_app *app, struct sw_ctx *ctx)
{
    struct sw_shop *shop = NULL;
    const struct sw_post *post = NULL;
    SW_TRY(sw_shop_load(&shop, path, &app->search, ctx));
    SW_TRY(sw_post_load(&post, shop->post.value, shop->file, &app->search, shop->post.at, ctx));
    return sw_post_check(post, shop->machine, ctx);
}

static enum sw_status check_by_kind(struct sw_buf *text, const char *word, const char *path,
                                    const char *machine, const struct sw_trial **trial,
                                    const struct sw_app *app, struct sw_ctx *ctx)
{
    union {
        struct sw_machine *machine;
        struct sw_tool *tool;
        struct sw_holder *holder;
        struct sw_material *material;
        struct sw_setup *setup;
        struct sw_measured *measured;
        struct sw_log *log;
        struct sw_batch *batch;
    } to;
    if (strcmp(word, "staff") == 0)
        return check_staff(text, path, ctx);
    if (strcmp(word, "survey") == 0)
        return check_survey(text, path, ctx);
    if (strcmp(word, "job") == 0)
        return check_job(text, path, app, ctx);
    if (strcmp(word, "shop") == 0)
        return check_shop(path, app, ctx);
    if (strcmp(word, "machine") == 0)
        return sw_machine_load(&to.machine, path, ctx);
    if (strcmp(word, "tool") == 0)
        return sw_tool_load(&to.tool, path, ctx);
    if (strcmp(word, "holder") == 0)
        return sw_holder_load(&to.holder, path, ctx);
    if (strcmp(word, "material") == 0)
        return sw_material_load(&to.material, path, ctx);
    if (strcmp(word, "setup") == 0)
        return sw_setup_load(&to.setup, path, ctx);
    if (strcmp(word, "measured") == 0)
        return sw_measured_load(&to.measured, path, ctx);
    if (strcmp(word, "batch") == 0)
        return sw_batch_load(&to.batch, path, ctx);
    if (strcmp(word, "measurements") == 0) {
        const char *bytes;
        size_t size;
        SW_TRY(sw_file_read(&bytes, &size, path, SW_FILE_MOST_INPUT, ctx));
        return sw_log_parse(&to.log, path, bytes, size, ctx);
    }
    return check_post(text, trial, path, machine, app, ctx);
}

/* "staff/1" -> "staff". NULL with a diagnostic when the file does not say, or nobody knows it. */
static enum sw_status kind_of(const struct sw_report_kind **out, const struct sw_node *root,
                              struct sw_ctx *ctx)
{
    const struct sw_node *format = root->kind == SW_NODE_MAP ? sw_node_get(root, "format") : NULL;
    const char *known =
        "staff/1, survey/1, job/1, shop/1, machine/1, tool/1, holder/1, material/1, "
        "post/1, setup/1, measured/1, measurements/1 or batch/1";
    if (!format || !format->text) {
        sw_diag_add(ctx->diag, SW_ERROR, "check.format", root->at, known,
                    "the file does not say what it is: it lacks a `format`");
        return SW_INPUT;
    }
    const char *word = sw_arena_copy(ctx->arena, format->text, strcspn(format->text, "/"));
    if (!word)
        return SW_MEMORY;
    *out = sw_report_kind(word);
    if (!*out) {
        sw_diag_add(ctx->diag, SW_ERROR, "check.format", format->at, known,
                    "`%s` is no format of staffwright", format->text);
        return SW_INPUT;
    }
    return SW_OK;
}

/* Where only a dialect can be tried, a machine beside another file is a slip of the hand. */
static enum sw_status refuse_machine(const char *kind, struct sw_ctx *ctx)
{
    sw_diag_add(ctx->diag, SW_ERROR, "cli.usage", (struct sw_span){0},
                "give a post file, or leave --machine out",
                "--machine tries a dialect, and this file is a %s", kind);
    return SW_USAGE;
}

static const char *verdict_of(enum sw_status status)
{
    switch (sw_status_exit_code(status)) {
    case 0:
        return "sound";
    case 1:
        return "unfit";
    case 4:
        return "cannot";
    default:
        return "faulty";
    }
}

enum sw_status sw_app_check(struct sw_report_checked *out, struct sw_buf *text, const char *path,
                            const char *machine, const struct sw_app *app, struct sw_ctx *ctx)
{
    *out = (struct sw_report_checked){
        .file = path, .verdict = verdict_of(SW_INPUT), .first_record = sw_diag_n(ctx->diag)};
    struct sw_node *root = NULL;
    const struct sw_report_kind *kind = NULL;
    enum sw_status status = sw_node_load(&root, path, ctx);
    if (status == SW_OK)
        status = kind_of(&kind, root, ctx);
    if (status == SW_OK) {
        out->kind = kind->word;
        status = machine && strcmp(kind->word, "post") != 0
                     ? refuse_machine(kind->word, ctx)
                     : check_by_kind(text, kind->word, path, machine, &out->trial, app, ctx);
    }
    out->verdict = verdict_of(status);
    out->end_record = sw_diag_n(ctx->diag);
    if (status == SW_OK && strcmp(kind->word, "staff") != 0 && strcmp(kind->word, "job") != 0 &&
        strcmp(kind->word, "survey") != 0)
        sw_buf_printf(text, "%s: sound (%s)\n", path, kind->table->name);
    return status;
}
