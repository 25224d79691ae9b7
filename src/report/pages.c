/* Strips onto pages. */
#include "report/pages.h"

#include <math.h>

#include "report/pages_int.h"

/* A section does not begin with less room than this below it [mm]. */
static const double least_room = 14;

struct placed {
    size_t strip;
    size_t page;
    double x, y;
};

struct flow {
    struct placed *at;
    size_t n;
    size_t cap;
    struct pages_strips *strips;
    size_t page;
    double y;
};

static void place(struct flow *flow, size_t strip, double x, double y)
{
    const struct placed placed = {strip, flow->page, x, y};
    flow->strips->failed = flow->strips->failed || !SW_VEC_PUSH(flow->strips->arena, flow, placed);
}

static void next_page(struct flow *flow)
{
    flow->page++;
    flow->y = SW_PAGES_TOP;
}

static double room(const struct flow *flow)
{
    return SW_PAGES_BOTTOM - flow->y;
}

/* Height of the strips FIRST to END - 1 in a column. */
static double height_of(const struct pages_strips *strips, size_t first, size_t end)
{
    double height = 0;
    for (size_t i = first; i < end; i++)
        height += strips->at[i].height + (i > first ? strips->at[i].gap : 0);
    return height;
}

/* A column may end before strip K. */
static bool may_end(const struct pages_strips *strips, size_t first, size_t k)
{
    return k == first || !strips->at[k - 1].keeps;
}

/* The last place up to END at which a column of the strips from FIRST on, HEIGHT high, may end. */
static size_t fill(const struct pages_strips *strips, size_t first, size_t end, double height)
{
    size_t best = first;
    for (size_t k = first + 1; k <= end && height_of(strips, first, k) <= height; k++)
        if (k == end || may_end(strips, first, k))
            best = k;
    return best;
}

static void place_column(struct flow *flow, size_t first, size_t end, double x, double y)
{
    for (size_t i = first; i < end; i++) {
        y += i > first ? flow->strips->at[i].gap : 0;
        place(flow, i, x, y);
        y += flow->strips->at[i].height;
    }
}

/* Two columns of the strips FIRST to END - 1, as equal as can be, over as many pages as it takes.
 */
static void place_columns(struct flow *flow, size_t first, size_t end)
{
    const struct pages_strips *strips = flow->strips;
    const double second_x = SW_PAGES_LEFT + PAGES_COLUMN + PAGES_GUTTER;
    while (first < end && !strips->failed) {
        size_t split = end;
        double best = HUGE_VAL;
        for (size_t k = first + 1; k <= end; k++) {
            const double high = fmax(height_of(strips, first, k), height_of(strips, k, end));
            if ((k == end || may_end(strips, first, k)) && high < best) {
                best = high;
                split = k;
            }
        }
        if (best <= room(flow)) {
            place_column(flow, first, split, SW_PAGES_LEFT, flow->y);
            place_column(flow, split, end, second_x, flow->y);
            flow->y += best;
            return;
        }
        /* More than this page holds: both columns to its foot. */
        size_t one = fill(strips, first, end, room(flow));
        size_t two = fill(strips, one, end, room(flow));
        if (one == first && flow->y > SW_PAGES_TOP) {
            next_page(flow);
            continue;
        }
        if (one == first) /* higher than a page: it runs over rather than never end */
            one = two = first + 1;
        place_column(flow, first, one, SW_PAGES_LEFT, flow->y);
        place_column(flow, one, two, second_x, flow->y);
        first = two;
        if (first < end)
            next_page(flow);
        else
            flow->y = SW_PAGES_BOTTOM;
    }
}

/* How much a wide strip needs: what it keeps together with, and the beginning of what follows. */
static double needs(const struct pages_strips *strips, size_t i)
{
    double height = strips->at[i].height;
    while (strips->at[i].keeps && i + 1 < strips->n) {
        i++;
        if (!strips->at[i].is_wide)
            return height + least_room;
        height += strips->at[i].gap + strips->at[i].height;
    }
    return height;
}

static void place_wide(struct flow *flow, size_t i)
{
    const struct pages_strip *strip = &flow->strips->at[i];
    if (flow->y > SW_PAGES_TOP)
        flow->y += strip->gap;
    if (needs(flow->strips, i) > room(flow) && flow->y > SW_PAGES_TOP) {
        next_page(flow);
        for (size_t k = 0; k < strip->n_head; k++) { /* a table's head once more */
            place(flow, strip->head - 1 + k, SW_PAGES_LEFT, flow->y);
            flow->y += flow->strips->at[strip->head - 1 + k].height;
        }
    }
    place(flow, i, SW_PAGES_LEFT, flow->y);
    flow->y += strip->height;
}

static void flow_all(struct flow *flow)
{
    const struct pages_strips *strips = flow->strips;
    for (size_t i = 0; i < strips->n && !strips->failed;) {
        if (strips->at[i].breaks && flow->y > SW_PAGES_TOP)
            next_page(flow);
        if (strips->at[i].is_wide) {
            place_wide(flow, i++);
            continue;
        }
        size_t end = i + 1;
        while (end < strips->n && !strips->at[end].is_wide && !strips->at[end].breaks)
            end++;
        if (flow->y > SW_PAGES_TOP)
            flow->y += strips->at[i].gap;
        place_columns(flow, i, end);
        i = end;
    }
}

static struct sw_pen pen_of(double width)
{
    return (struct sw_pen){width, SW_DASH_CONTINUOUS, 0x000000u};
}

static enum sw_status draw_strip(struct sw_drawing *to, const struct pages_strip *strip,
                                 const struct placed *at, const struct sw_pages *pages,
                                 struct sw_ctx *ctx)
{
    for (size_t i = 0; i < strip->n; i++) {
        const struct pages_mark *mark = &strip->at[i];
        const struct sw_draw_pt from = {at->x + mark->x, at->y + mark->y};
        const struct sw_draw_pt end = {at->x + mark->x1, at->y + mark->y1};
        const struct sw_text_style style = {.height = mark->height, .is_bold = mark->is_bold};
        switch (mark->kind) {
        case PAGES_TEXT:
            sw_draw_text(to, from, &style, mark->text);
            break;
        case PAGES_LINE:
            sw_draw_line(to, from, end, pen_of(mark->width));
            break;
        case PAGES_BOX:
            sw_draw_box(to, (struct sw_draw_box){from.x, from.y, end.x, end.y}, pen_of(mark->width),
                        (struct sw_paint){0});
            break;
        }
    }
    if (!strip->figure)
        return SW_OK;
    const struct sw_draw_box box = {at->x, at->y, SW_PAGES_RIGHT, at->y + strip->height};
    return pages->figure(pages->user, to, strip->figure, box, ctx);
}

/* The running head and foot of page I of N. */
static void draw_frame(struct sw_drawing *to, const struct sw_pages *pages, size_t i, size_t n,
                       struct sw_ctx *ctx)
{
    static const double head = 10, foot = 292;
    const char *name = sw_arena_printf(ctx->arena, "sheet-%zu", i + 1);
    const char *number = sw_arena_printf(ctx->arena, "page %zu of %zu", i + 1, n);
    if (!name || !number) {
        to->failed = true;
        return;
    }
    sw_draw_page(to, name, SW_PAGES_WIDTH, SW_PAGES_HEIGHT);
    struct sw_text_style style = {.height = SW_PAGES_HEAD, .is_bold = true};
    sw_draw_text(to, (struct sw_draw_pt){SW_PAGES_LEFT, head}, &style, pages->title);
    style = (struct sw_text_style){.height = SW_PAGES_TEXT, .along = SW_ALIGN_END};
    sw_draw_text(to, (struct sw_draw_pt){SW_PAGES_RIGHT, head}, &style, pages->about);
    sw_draw_line(to, (struct sw_draw_pt){SW_PAGES_LEFT, head + 1.8},
                 (struct sw_draw_pt){SW_PAGES_RIGHT, head + 1.8}, pen_of(0.5));
    style.along = SW_ALIGN_START;
    sw_draw_text(to, (struct sw_draw_pt){SW_PAGES_LEFT, foot}, &style, pages->foot);
    style.along = SW_ALIGN_END;
    sw_draw_text(to, (struct sw_draw_pt){SW_PAGES_RIGHT, foot}, &style, number);
}

enum sw_status sw_pages_set(struct sw_drawing **out, const struct sw_doc *doc,
                            const struct sw_pages *pages, struct sw_ctx *ctx)
{
    struct pages_strips strips = {.arena = ctx->arena, .pages = pages};
    struct flow flow = {.strips = &strips, .y = SW_PAGES_TOP};
    struct sw_drawing *to = NULL;
    SW_TRY(sw_drawing_new(&to, pages->title, ctx));
    pages_cut(&strips, doc);
    flow_all(&flow);
    if (strips.failed)
        return SW_MEMORY;
    for (size_t page = 0; page <= flow.page; page++) {
        draw_frame(to, pages, page, flow.page + 1, ctx);
        for (size_t i = 0; i < flow.n; i++)
            if (flow.at[i].page == page)
                SW_TRY(draw_strip(to, &strips.at[flow.at[i].strip], &flow.at[i], pages, ctx));
    }
    SW_TRY(sw_drawing_status(to));
    *out = to;
    return SW_OK;
}
