/* The sheet as pages: the same document as the text, with drawings and with tables in place of
 * lists. */
#include "report/pages.h"
#include "report/picture_int.h"
#include "report/sheet_int.h"

/* Room for the pictures [mm]; they take no more of it than they need. A side cut from the rod has
 * more lengths below it. */
static const double staff_high = 48, rod_high = 51, turned_high = 41;

enum {
    MOST_SIDES = sizeof((struct sw_plan *)0)->chucking / sizeof *((struct sw_plan *)0)->chucking
};

/* What the figures are of, and how high they stand. */
struct figures {
    struct sw_picture of;
    double staff_high, side_high[MOST_SIDES];
};

static struct sw_draw_box room(double high)
{
    return (struct sw_draw_box){SW_PAGES_LEFT, 0, SW_PAGES_RIGHT, high};
}

/* The figures once beside the paper, to see how high they are. */
static enum sw_status find_heights(struct figures *figures, struct sw_ctx *ctx)
{
    struct sw_drawing *aside = NULL;
    SW_TRY(sw_drawing_new(&aside, "aside", ctx));
    sw_draw_page(aside, "aside", SW_PAGES_WIDTH, SW_PAGES_HEIGHT);
    struct sw_pic pic = {.from = &figures->of, .to = aside, .ctx = ctx};
    SW_TRY(sw_pic_staff_figure(&figures->staff_high, &pic, room(staff_high)));
    const struct sw_plan *plan = figures->of.plan;
    for (size_t i = 0; i < plan->n_chuckings; i++)
        SW_TRY(sw_pic_side_figure(&figures->side_high[i], &pic, i,
                                  room(plan->chucking[i].is_from_rod ? rod_high : turned_high)));
    return sw_drawing_status(aside);
}

static double figure_height(const void *user, const struct sw_doc_block *block)
{
    const struct figures *figures = user;
    return block->figure == SW_DOC_STAFF ? figures->staff_high : figures->side_high[block->index];
}

static enum sw_status figure(const void *user, struct sw_drawing *to,
                             const struct sw_doc_block *block, struct sw_draw_box box,
                             struct sw_ctx *ctx)
{
    const struct figures *figures = user;
    struct sw_pic pic = {.from = &figures->of, .to = to, .ctx = ctx};
    double high;
    return block->figure == SW_DOC_STAFF ? sw_pic_staff_figure(&high, &pic, box)
                                         : sw_pic_side_figure(&high, &pic, block->index, box);
}

enum sw_status sw_sheet_set_pages(struct sw_drawing **out, const struct sw_doc *doc,
                                  const char *what, const struct sw_sheet *sheet,
                                  struct sw_ctx *ctx)
{
    const struct sw_plan *plan = sheet->plan;
    const char *title = sw_arena_printf(ctx->arena, "%s: %s", plan->shape->staff->name, what);
    const char *about =
        sw_arena_printf(ctx->arena, "job %s, %s", plan->job->name.value, plan->shop->name.value);
    const char *foot = sw_arena_printf(
        ctx->arena, "staffwright %s; judged by calculation, not run on a machine", sheet->version);
    if (doc->failed || !title || !about || !foot)
        return SW_MEMORY;
    struct figures figures = {.of = {plan->shape, plan, sheet->version}};
    SW_TRY(find_heights(&figures, ctx));
    const struct sw_pages pages = {.title = title,
                                   .about = about,
                                   .foot = foot,
                                   .figure_height = figure_height,
                                   .figure = figure,
                                   .user = &figures};
    return sw_pages_set(out, doc, &pages, ctx);
}

enum sw_status sw_report_sheet_pages(struct sw_drawing **out, const struct sw_sheet *sheet,
                                     struct sw_ctx *ctx)
{
    struct sw_doc doc = {.arena = ctx->arena};
    sw_sheet_say_all(&doc, sheet, ctx);
    return sw_sheet_set_pages(out, &doc, "sheet", sheet, ctx);
}
