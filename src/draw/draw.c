#include "draw/draw.h"

#include <math.h>
#include <string.h>

#include "draw/font.h"

enum sw_status sw_drawing_new(struct sw_drawing **out, const char *title, struct sw_ctx *ctx)
{
    struct sw_drawing *drawing = SW_NEW(ctx->arena, struct sw_drawing, 1);
    if (!drawing)
        return SW_MEMORY;
    drawing->arena = ctx->arena;
    drawing->title = sw_arena_copy(ctx->arena, title, strlen(title));
    if (!drawing->title)
        return SW_MEMORY;
    *out = drawing;
    return SW_OK;
}

enum sw_status sw_drawing_status(const struct sw_drawing *drawing)
{
    if (drawing->failed)
        return SW_MEMORY;
    return drawing->has_no_place ? SW_INTERNAL : SW_OK;
}

void sw_draw_page(struct sw_drawing *drawing, const char *name, double width, double height)
{
    if (drawing->failed)
        return;
    struct sw_draw_page *page = SW_NEW(drawing->arena, struct sw_draw_page, 1);
    const char *copy = sw_arena_copy(drawing->arena, name, strlen(name));
    if (!page || !copy || !SW_VEC_PUSH(drawing->arena, drawing, page)) {
        drawing->failed = true;
        return;
    }
    page->name = copy;
    page->width = width;
    page->height = height;
}

void sw_draw_clip(struct sw_drawing *drawing, const struct sw_draw_box *box)
{
    drawing->is_clipping = box != NULL;
    drawing->clip = box ? *box : (struct sw_draw_box){0, 0, 0, 0};
}

static void add_step(struct sw_drawing *drawing, struct sw_draw_path *path,
                     struct sw_draw_step step)
{
    if (!isfinite(step.to.x + step.to.y + step.via.x + step.via.y))
        drawing->has_no_place = true;
    else if (!drawing->failed && !SW_VEC_PUSH(drawing->arena, path, step))
        drawing->failed = true;
}

void sw_draw_move(struct sw_drawing *drawing, struct sw_draw_path *path, struct sw_draw_pt to)
{
    add_step(drawing, path, (struct sw_draw_step){.kind = SW_STEP_MOVE, .to = to});
}

void sw_draw_line_to(struct sw_drawing *drawing, struct sw_draw_path *path, struct sw_draw_pt to)
{
    add_step(drawing, path, (struct sw_draw_step){.kind = SW_STEP_LINE, .to = to});
}

void sw_draw_arc_to(struct sw_drawing *drawing, struct sw_draw_path *path, struct sw_draw_pt to,
                    struct sw_draw_pt centre, int turn)
{
    add_step(drawing, path,
             (struct sw_draw_step){.kind = SW_STEP_ARC, .to = to, .via = centre, .turn = turn});
}

void sw_draw_curve_to(struct sw_drawing *drawing, struct sw_draw_path *path, struct sw_draw_pt to,
                      struct sw_draw_pt control)
{
    add_step(drawing, path, (struct sw_draw_step){.kind = SW_STEP_CURVE, .to = to, .via = control});
}

void sw_draw_close(struct sw_drawing *drawing, struct sw_draw_path *path)
{
    add_step(drawing, path, (struct sw_draw_step){.kind = SW_STEP_CLOSE});
}

static void add_item(struct sw_drawing *drawing, struct sw_draw_item item)
{
    if (drawing->failed || drawing->n == 0)
        return;
    item.is_clipped = drawing->is_clipping;
    item.clip = drawing->clip;
    if (!SW_VEC_PUSH(drawing->arena, drawing->at[drawing->n - 1], item))
        drawing->failed = true;
}

void sw_draw_path(struct sw_drawing *drawing, const struct sw_draw_path *path, struct sw_pen pen,
                  struct sw_paint fill)
{
    if (path->n == 0)
        return;
    add_item(drawing,
             (struct sw_draw_item){.kind = SW_ITEM_PATH, .path = *path, .pen = pen, .fill = fill});
}

void sw_draw_line(struct sw_drawing *drawing, struct sw_draw_pt from, struct sw_draw_pt to,
                  struct sw_pen pen)
{
    struct sw_draw_path path = {0};
    sw_draw_move(drawing, &path, from);
    sw_draw_line_to(drawing, &path, to);
    sw_draw_path(drawing, &path, pen, (struct sw_paint){0});
}

void sw_draw_box(struct sw_drawing *drawing, struct sw_draw_box box, struct sw_pen pen,
                 struct sw_paint fill)
{
    struct sw_draw_path path = {0};
    sw_draw_move(drawing, &path, (struct sw_draw_pt){box.x0, box.y0});
    sw_draw_line_to(drawing, &path, (struct sw_draw_pt){box.x1, box.y0});
    sw_draw_line_to(drawing, &path, (struct sw_draw_pt){box.x1, box.y1});
    sw_draw_line_to(drawing, &path, (struct sw_draw_pt){box.x0, box.y1});
    sw_draw_close(drawing, &path);
    sw_draw_path(drawing, &path, pen, fill);
}

/* Along and across a line of text, seen from its start on the base line, to the page. */
struct text_frame {
    struct sw_draw_pt start;
    double unit; /* mm a grid unit */
    bool is_upright;
};

static struct sw_draw_pt text_point(const struct text_frame *frame, double along, double up)
{
    const double a = along * frame->unit, u = up * frame->unit;
    if (frame->is_upright)
        return (struct sw_draw_pt){frame->start.x - u, frame->start.y - a};
    return (struct sw_draw_pt){frame->start.x + a, frame->start.y - u};
}

static struct text_frame text_frame(struct sw_draw_pt at, const struct sw_text_style *style,
                                    double width)
{
    struct text_frame frame = {at, style->height / SW_FONT_HEIGHT, style->is_upright};
    const double along = style->along == SW_ALIGN_START    ? 0
                         : style->along == SW_ALIGN_MIDDLE ? width / 2
                                                           : width;
    const double up = style->across == SW_ALIGN_START    ? 0
                      : style->across == SW_ALIGN_MIDDLE ? SW_FONT_HEIGHT / 2.0
                                                         : SW_FONT_HEIGHT;
    frame.start = text_point(&frame, -along, -up);
    return frame;
}

struct sw_draw_box sw_draw_text_box(struct sw_draw_pt at, const struct sw_text_style *style,
                                    const char *text)
{
    const double width = sw_font_width(text);
    const struct text_frame frame = text_frame(at, style, width);
    const struct sw_draw_pt a = text_point(&frame, -SW_FONT_PEN / 2.0, -SW_FONT_DESCENT),
                            b = text_point(&frame, width + SW_FONT_PEN / 2.0,
                                           SW_FONT_HEIGHT + SW_FONT_PEN / 2.0);
    return (struct sw_draw_box){fmin(a.x, b.x), fmin(a.y, b.y), fmax(a.x, b.x), fmax(a.y, b.y)};
}

static void add_strokes(struct sw_drawing *drawing, struct sw_draw_path *path,
                        const struct text_frame *frame, const char *strokes, double x, double y)
{
    struct sw_font_step step;
    bool is_fresh = true;
    while (sw_font_step(&step, &strokes, &is_fresh)) {
        const struct sw_draw_pt to = text_point(frame, x + step.x, y + step.y);
        if (step.is_move)
            sw_draw_move(drawing, path, to);
        else if (step.is_curve)
            sw_draw_curve_to(drawing, path, to, text_point(frame, x + step.cx, y + step.cy));
        else
            sw_draw_line_to(drawing, path, to);
    }
}

void sw_draw_text(struct sw_drawing *drawing, struct sw_draw_pt at,
                  const struct sw_text_style *style, const char *text)
{
    if (drawing->failed || !*text)
        return;
    const char *copy = sw_arena_copy(drawing->arena, text, strlen(text));
    if (!copy) {
        drawing->failed = true;
        return;
    }
    const struct text_frame frame = text_frame(at, style, sw_font_width(text));
    struct sw_draw_item item = {
        .kind = SW_ITEM_TEXT,
        .pen = {frame.unit * SW_FONT_PEN * (style->is_bold ? SW_DRAW_BOLD : 1), SW_DASH_CONTINUOUS,
                style->colour},
        .text = copy,
        .box = sw_draw_text_box(at, style, text),
        .start = frame.start,
        .height = style->height,
        .is_upright = style->is_upright,
        .is_bold = style->is_bold};
    double x = 0;
    while (*text) {
        const struct sw_font_sign sign = sw_font_next(&text);
        add_strokes(drawing, &item.path, &frame, sign.strokes, x, 0);
        add_strokes(drawing, &item.path, &frame, sign.mark, x + sign.mark_x, sign.mark_y);
        x += sign.width + SW_FONT_GAP;
    }
    add_item(drawing, item);
}

bool sw_draw_boxes_meet(const struct sw_draw_box *a, const struct sw_draw_box *b, double slack)
{
    return a->x0 + slack < b->x1 && b->x0 + slack < a->x1 && a->y0 + slack < b->y1 &&
           b->y0 + slack < a->y1;
}

const double *sw_dash_lengths(size_t *n, enum sw_dash dash)
{
    static const double dashed[] = {12, 3}, chain[] = {24, 3, 0.5, 3}, close_chain[] = {6, 2, 1, 2},
                        dotted[] = {0.5, 3}, double_chain[] = {24, 3, 0.5, 3, 0.5, 3},
                        shorter[] = {5, 6};
    static const struct {
        const double *at;
        size_t n;
    } lengths[SW_N_DASHES] = {
        [SW_DASH_CONTINUOUS] = {NULL, 0}, [SW_DASH_DASHED] = {dashed, 2},
        [SW_DASH_CHAIN] = {chain, 4},     [SW_DASH_CLOSE_CHAIN] = {close_chain, 4},
        [SW_DASH_DOTTED] = {dotted, 2},   [SW_DASH_DOUBLE_CHAIN] = {double_chain, 6},
        [SW_DASH_SHORT] = {shorter, 2}};
    *n = lengths[dash].n;
    return lengths[dash].at;
}
