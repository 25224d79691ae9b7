/* Drawings of a staff or of a job, as one file or one a page. */
#include "app/app.h"

#include <string.h>

#include "base/num.h"
#include "report/picture.h"
#include "spec/node.h"

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
    SW_TRY(sw_app_plan_job(work, NULL, app, ctx));
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

enum sw_status sw_app_draw(struct sw_buf *says, const struct sw_app_draw *draw,
                           const struct sw_app *app, struct sw_ctx *ctx)
{
    SW_TRY(sw_app_check_picture(draw->output, ctx));
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
        SW_TRY(sw_app_write_picture(says, draw->output, &one, ctx));
    } else {
        SW_TRY(sw_app_write_picture(says, draw->output, drawing, ctx));
    }
    return found;
}
