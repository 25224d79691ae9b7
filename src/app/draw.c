/* Drawings of a staff or of a job, as one file or one a page. */
#include "app/app.h"

#include <string.h>

#include "base/file.h"
#include "base/num.h"
#include "draw/write.h"
#include "report/picture.h"
#include "spec/node.h"

enum form { FORM_PDF, FORM_SVG, FORM_PNG, N_FORMS };
static const char *const suffixes[N_FORMS] = {".pdf", ".svg", ".png"};

static enum sw_status form_of(enum form *form, const char *path, struct sw_ctx *ctx)
{
    const size_t n = strlen(path);
    for (int i = 0; i < N_FORMS; i++) {
        const size_t k = strlen(suffixes[i]);
        if (n > k && strcmp(path + n - k, suffixes[i]) == 0) {
            *form = (enum form)i;
            return SW_OK;
        }
    }
    sw_diag_add(ctx->diag, SW_ERROR, "draw.form", (struct sw_span){0},
                "end its name in .pdf, .svg or .png", "%s has no suffix of a drawing", path);
    return SW_USAGE;
}

/* A staff that does not fit its parts is drawn all the same: SW_FOUND comes back with it. */
static enum sw_status load_staff(struct sw_picture *picture, const char *path, struct sw_ctx *ctx)
{
    struct sw_staff *staff = NULL;
    struct sw_shape *shape = NULL;
    const enum sw_status status = sw_staff_load(&staff, path, ctx);
    if (status != SW_OK && status != SW_FOUND)
        return status;
    SW_TRY(sw_shape_build(&shape, staff, NULL, NULL, ctx));
    picture->shape = shape;
    return status;
}

static enum sw_status load_job(struct sw_picture *picture, const char *path,
                               const struct sw_app *app, struct sw_ctx *ctx)
{
    struct sw_work *work = SW_NEW(ctx->arena, struct sw_work, 1);
    if (!work)
        return SW_MEMORY;
    SW_TRY(sw_app_load_job(work, path, app, ctx));
    SW_TRY(sw_app_plan_job(work, false, app, ctx));
    picture->shape = work->plan->shape;
    picture->plan = work->plan;
    return SW_OK;
}

static enum sw_status load_any(struct sw_picture *picture, const char *path,
                               const struct sw_app *app, struct sw_ctx *ctx)
{
    struct sw_node *root = NULL;
    SW_TRY(sw_node_load(&root, path, ctx));
    const struct sw_node *format = root->kind == SW_NODE_MAP ? sw_node_get(root, "format") : NULL;
    const char *text = format && format->text ? format->text : "";
    if (strncmp(text, "staff/", 6) == 0)
        return load_staff(picture, path, ctx);
    if (strncmp(text, "job/", 4) == 0)
        return load_job(picture, path, app, ctx);
    sw_diag_add(ctx->diag, SW_ERROR, "draw.kind", format ? format->at : root->at,
                "give a file with `format: staff/1` or `format: job/1`",
                "only a staff or a job can be drawn");
    return SW_INPUT;
}

/* The page asked for by number or name. */
static enum sw_status find_page(size_t *page, const struct sw_drawing *drawing, const char *wanted,
                                struct sw_ctx *ctx)
{
    double number;
    if (sw_num_parse(&number, wanted, strlen(wanted)) && number >= 1 &&
        number <= (double)drawing->n && number == (double)(size_t)number) {
        *page = (size_t)number - 1;
        return SW_OK;
    }
    struct sw_buf names = {0};
    for (size_t i = 0; i < drawing->n; i++) {
        if (strcmp(drawing->at[i]->name, wanted) == 0) {
            *page = i;
            sw_buf_done(&names);
            return SW_OK;
        }
        sw_buf_printf(&names, "%s%s", i ? ", " : "", drawing->at[i]->name);
    }
    sw_diag_add(ctx->diag, SW_ERROR, "draw.page", (struct sw_span){0}, sw_buf_text(&names),
                "there is no page `%s`: 1 to %zu, or one of these names", wanted, drawing->n);
    const bool failed = names.failed;
    sw_buf_done(&names);
    return failed ? SW_MEMORY : SW_USAGE;
}

/* A drawing of one page only, borrowed from another. */
static struct sw_drawing only_page(const struct sw_drawing *drawing, size_t page)
{
    struct sw_drawing one = *drawing;
    one.at = drawing->at + page;
    one.n = 1;
    one.cap = 1;
    return one;
}

static enum sw_status write_one(const char *path, enum form form, const struct sw_drawing *drawing,
                                size_t page, struct sw_ctx *ctx)
{
    struct sw_buf bytes = {0};
    enum sw_status status = form == FORM_PDF   ? sw_draw_write_pdf(&bytes, drawing, ctx)
                            : form == FORM_SVG ? sw_draw_write_svg(&bytes, drawing, page, ctx)
                                               : sw_draw_write_png(&bytes, drawing, page, ctx);
    if (status == SW_OK)
        status = sw_file_write_buf(path, &bytes, ctx);
    sw_buf_done(&bytes);
    return status;
}

static enum sw_status write_all(struct sw_buf *says, const struct sw_app_draw *draw, enum form form,
                                const struct sw_drawing *drawing, struct sw_ctx *ctx)
{
    if (form == FORM_PDF || drawing->n == 1) {
        SW_TRY(write_one(draw->output, form, drawing, 0, ctx));
        sw_buf_printf(says, "written to %s:", draw->output);
        for (size_t i = 0; i < drawing->n; i++)
            sw_buf_printf(says, "%s %s", i ? "," : "", drawing->at[i]->name);
        sw_buf_add(says, "\n");
        return SW_OK;
    }
    const char *stem =
        sw_arena_copy(ctx->arena, draw->output, strlen(draw->output) - strlen(suffixes[form]));
    if (!stem)
        return SW_MEMORY;
    for (size_t i = 0; i < drawing->n; i++) {
        const char *path = sw_arena_printf(ctx->arena, "%s-%zu%s", stem, i + 1, suffixes[form]);
        if (!path)
            return SW_MEMORY;
        SW_TRY(write_one(path, form, drawing, i, ctx));
        sw_buf_printf(says, "written to %s: %s\n", path, drawing->at[i]->name);
    }
    return SW_OK;
}

enum sw_status sw_app_draw(struct sw_buf *says, const struct sw_app_draw *draw,
                           const struct sw_app *app, struct sw_ctx *ctx)
{
    enum form form;
    SW_TRY(form_of(&form, draw->output, ctx));
    struct sw_picture picture = {.version = app->version};
    const enum sw_status found = load_any(&picture, draw->path, app, ctx);
    if (found != SW_OK && found != SW_FOUND)
        return found;
    struct sw_drawing *drawing = NULL;
    SW_TRY(sw_report_pictures(&drawing, &picture, ctx));
    if (draw->page) {
        size_t page;
        SW_TRY(find_page(&page, drawing, draw->page, ctx));
        const struct sw_drawing one = only_page(drawing, page);
        SW_TRY(write_all(says, draw, form, &one, ctx));
    } else {
        SW_TRY(write_all(says, draw, form, drawing, ctx));
    }
    return found;
}
