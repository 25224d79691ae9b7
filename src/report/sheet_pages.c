/* The sheet as pages: the same document as the text, with drawings and with tables in place of
 * lists. */
#include "report/pages.h"
#include "report/picture_int.h"
#include "report/sheet_int.h"

/* How high the pictures stand [mm]. */
/* A side cut from the rod has more lengths below it. */
static const double staff_high = 48, rod_high = 51, turned_high = 41;

static double figure_height(const void *user, const struct sw_doc_block *block)
{
    const struct sw_sheet *sheet = user;
    if (block->figure == SW_DOC_STAFF)
        return staff_high;
    return sheet->plan->chucking[block->index].is_from_rod ? rod_high : turned_high;
}

static enum sw_status figure(const void *user, struct sw_drawing *to,
                             const struct sw_doc_block *block, struct sw_draw_box box,
                             struct sw_ctx *ctx)
{
    const struct sw_sheet *sheet = user;
    const struct sw_picture picture = {sheet->plan->shape, sheet->plan, sheet->version};
    struct sw_pic pic = {.from = &picture, .to = to, .ctx = ctx};
    return block->figure == SW_DOC_STAFF ? sw_pic_staff_figure(&pic, box)
                                         : sw_pic_side_figure(&pic, block->index, box);
}

enum sw_status sw_report_sheet_pages(struct sw_drawing **out, const struct sw_sheet *sheet,
                                     struct sw_ctx *ctx)
{
    struct sw_doc doc = {.arena = ctx->arena};
    sw_sheet_say_all(&doc, sheet, ctx);
    const struct sw_plan *plan = sheet->plan;
    const char *title = sw_arena_printf(ctx->arena, "%s: sheet", plan->shape->staff->name);
    const char *about =
        sw_arena_printf(ctx->arena, "job %s, %s", plan->job->name.value, plan->shop->name.value);
    const char *foot = sw_arena_printf(
        ctx->arena, "staffwright %s; judged by calculation, not run on a machine", sheet->version);
    if (doc.failed || !title || !about || !foot)
        return SW_MEMORY;
    const struct sw_pages pages = {.title = title,
                                   .about = about,
                                   .foot = foot,
                                   .figure_height = figure_height,
                                   .figure = figure,
                                   .user = sheet};
    return sw_pages_set(out, &doc, &pages, ctx);
}
