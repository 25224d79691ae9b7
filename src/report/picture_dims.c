/* Sizes on a drawing: rows of labels pushed apart, lengths on lanes. */
#include "report/picture_int.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "draw/lanes.h"

static const struct sw_pen thin = {SW_PIC_THIN, SW_DASH_CONTINUOUS, SW_PIC_BLACK};

/* Limits stand behind the size, smaller, one above the other [mm]. */
static const double limit_height = SW_PIC_SMALL;
static const double limit_pitch = 2.6;
static const double text_gap = 0.9;   /* between a line and its text */
static const double between = 1.2;    /* between size and limits, and between labels */
static const double knee = 7;         /* height of the slanted part of a label's line */
static const double inside = 9;       /* least span with arrows inside */
static const double arrow_tail = 4.5; /* line behind an arrow from outside */
static const double lane_pitch = 7;
static const double ext_gap = 0.8, ext_beyond = 1.2;

static struct sw_text_style style(double height, enum sw_align along, bool is_upright)
{
    return (struct sw_text_style){
        .height = height, .along = along, .is_upright = is_upright, .colour = SW_PIC_BLACK};
}

static double width_of(const char *text, double height)
{
    const struct sw_text_style s = style(height, SW_ALIGN_START, false);
    const struct sw_draw_box box = sw_draw_text_box((struct sw_draw_pt){0, 0}, &s, text);
    return box.x1 - box.x0;
}

static double limits_width(const struct sw_pic_limits *limits)
{
    if (!limits->upper)
        return 0;
    const double upper = width_of(limits->upper, limits->lower ? limit_height : SW_PIC_TEXT);
    return between + (limits->lower ? fmax(upper, width_of(limits->lower, limit_height)) : upper);
}

static double size_width(const char *main, const struct sw_pic_limits *limits)
{
    return width_of(main, SW_PIC_TEXT) + limits_width(limits);
}

/* A place ALONG and UP from AT, for text that is upright or not. */
static struct sw_draw_pt beside(struct sw_draw_pt at, double along, double up, bool is_upright)
{
    if (is_upright)
        return (struct sw_draw_pt){at.x - up, at.y - along};
    return (struct sw_draw_pt){at.x + along, at.y - up};
}

/* A size with its limits, beginning at AT on the base line. */
static void draw_size(struct sw_pic *pic, struct sw_draw_pt at, const char *main,
                      const struct sw_pic_limits *limits, bool is_upright)
{
    const struct sw_text_style text = style(SW_PIC_TEXT, SW_ALIGN_START, is_upright);
    const struct sw_text_style small = style(limit_height, SW_ALIGN_START, is_upright);
    sw_draw_text(pic->to, at, &text, main);
    if (!limits->upper)
        return;
    const double along = width_of(main, SW_PIC_TEXT) + between;
    if (!limits->lower) {
        sw_draw_text(pic->to, beside(at, along, 0, is_upright), &text, limits->upper);
        return;
    }
    sw_draw_text(pic->to, beside(at, along, limit_pitch - 0.1, is_upright), &small, limits->upper);
    sw_draw_text(pic->to, beside(at, along, -0.1, is_upright), &small, limits->lower);
}

/* What lies on either side of a label's line. */
static double left_of(const struct sw_pic_label *label)
{
    return text_gap + (label->limits.lower ? limit_pitch + limit_height : SW_PIC_TEXT) +
           between / 2;
}

static double right_of(const struct sw_pic_label *label)
{
    const double tail = 0.3 * SW_PIC_SMALL; /* descenders of the text under the line */
    return label->under ? text_gap + SW_PIC_SMALL + tail + between / 2 : between;
}

static double length_of(const struct sw_pic_label *label)
{
    const double under = label->under ? width_of(label->under, SW_PIC_SMALL) : 0;
    return fmax(size_width(label->main, &label->limits), under);
}

double sw_pic_label_height(const struct sw_pic_label *label, size_t n)
{
    double most = 0;
    for (size_t i = 0; i < n; i++)
        most = fmax(most, length_of(&label[i]));
    return most + knee;
}

/* The arrow of a label at its target, and through the part for a diameter. */
static void draw_target(struct sw_pic *pic, const struct sw_view *view,
                        const struct sw_pic_label *label, struct sw_draw_pt from)
{
    const struct sw_draw_pt top = sw_view_pt(view, label->z, label->r);
    const struct sw_draw_pt low = sw_view_pt(view, label->z, -label->r);
    sw_draw_line(pic->to, from, top, thin);
    if (!label->is_diameter) {
        sw_pic_arrow(pic, top, from);
        return;
    }
    sw_draw_line(pic->to, top, low, thin);
    if (low.y - top.y >= inside) {
        sw_pic_arrow(pic, top, low);
        sw_pic_arrow(pic, low, top);
        return;
    }
    const struct sw_draw_pt tail = {low.x, low.y + arrow_tail};
    sw_draw_line(pic->to, tail, low, thin);
    sw_pic_arrow(pic, top, from);
    sw_pic_arrow(pic, low, tail);
}

static void draw_label(struct sw_pic *pic, const struct sw_view *view,
                       const struct sw_pic_label *label, double x, double y)
{
    const struct sw_draw_pt foot = {x, y};
    const struct sw_draw_pt bent = {sw_view_pt(view, label->z, 0).x, y + knee};
    sw_draw_line(pic->to, (struct sw_draw_pt){x, y - length_of(label)}, foot, thin);
    sw_draw_line(pic->to, foot, bent, thin);
    draw_target(pic, view, label, bent);
    draw_size(pic, (struct sw_draw_pt){x - text_gap, y}, label->main, &label->limits, true);
    if (label->under) {
        const struct sw_text_style small = style(SW_PIC_SMALL, SW_ALIGN_START, true);
        sw_draw_text(pic->to, (struct sw_draw_pt){x + text_gap + SW_PIC_SMALL, y}, &small,
                     label->under);
    }
}

enum sw_status sw_pic_label_row(struct sw_pic *pic, const struct sw_view *view,
                                struct sw_pic_label *label, size_t n, double y, double x0,
                                double x1)
{
    enum { ROWS = 5 };
    if (n == 0)
        return SW_OK;
    double *number = SW_NEW(pic->ctx->arena, double, ROWS *n);
    if (!number)
        return SW_MEMORY;
    double *at = number, *want = number + n, *width = number + 2 * n, *scratch = number + 3 * n;
    for (size_t i = 1; i < n; i++) /* few, and nearly in order */
        for (size_t k = i;
             k > 0 && sw_view_pt(view, label[k].z, 0).x < sw_view_pt(view, label[k - 1].z, 0).x;
             k--) {
            const struct sw_pic_label other = label[k];
            label[k] = label[k - 1];
            label[k - 1] = other;
        }
    for (size_t i = 0; i < n; i++) {
        const double left = left_of(&label[i]), right = right_of(&label[i]);
        width[i] = left + right;
        want[i] = sw_view_pt(view, label[i].z, 0).x + (right - left) / 2;
    }
    sw_lanes_spread(at, want, width, n, x0, x1, scratch);
    for (size_t i = 0; i < n; i++)
        draw_label(pic, view, &label[i], at[i] - (right_of(&label[i]) - left_of(&label[i])) / 2, y);
    return SW_OK;
}

/* Along the axis and away from it, on the page. Lengths of a lying view stand below it, those of a
 * standing one to the right of it; both are then read along their line. */
static struct sw_draw_pt length_pt(const struct sw_view *view, double along, double off)
{
    if (view->is_standing)
        return (struct sw_draw_pt){view->origin.x + off, along};
    return (struct sw_draw_pt){along, view->origin.y + off};
}

static double along_of(const struct sw_view *view, double z)
{
    const struct sw_draw_pt at = sw_view_pt(view, z, 0);
    return view->is_standing ? at.y : at.x;
}

/* How a length is shown: arrows inside or outside, its text between its ends or behind them. */
struct fitting {
    double low, high; /* along the page, low < high */
    bool is_inside;
    double tail; /* line beyond HIGH; beyond LOW it is arrow_tail */
    double text_from, text_to;
};

static struct fitting fitting_of(const struct sw_view *view, const struct sw_pic_length *length)
{
    const double a = along_of(view, length->z0), b = along_of(view, length->z1);
    struct fitting f = {.low = fmin(a, b), .high = fmax(a, b)};
    const double text = size_width(length->main, &length->limits), span = f.high - f.low;
    f.is_inside = span >= inside;
    f.tail = f.is_inside ? 0 : arrow_tail;
    const bool fits = text + 2 * text_gap <= span;
    f.text_from = fits ? (f.low + f.high - text) / 2 : f.high + text_gap + arrow_tail / 2;
    f.text_to = f.text_from + text;
    if (!fits)
        f.tail = f.text_to - f.high;
    return f;
}

static struct sw_lane_span room_of(const struct sw_view *view, const struct sw_pic_length *length)
{
    const struct fitting f = fitting_of(view, length);
    return (struct sw_lane_span){f.low - (f.is_inside ? 0 : arrow_tail), f.high + f.tail};
}

static void draw_extension(struct sw_pic *pic, const struct sw_view *view, double z, double r,
                           double off)
{
    const double along = along_of(view, z), from = r * view->scale + ext_gap;
    sw_draw_line(pic->to, length_pt(view, along, from), length_pt(view, along, off + ext_beyond),
                 thin);
}

static void draw_length(struct sw_pic *pic, const struct sw_view *view,
                        const struct sw_pic_length *length, double off)
{
    const struct fitting f = fitting_of(view, length);
    const struct sw_draw_pt low = length_pt(view, f.low, off), high = length_pt(view, f.high, off);
    const struct sw_draw_pt before = f.is_inside ? high : length_pt(view, f.low - arrow_tail, off);
    const struct sw_draw_pt after =
        f.is_inside ? low : length_pt(view, f.high + fmax(f.tail, arrow_tail), off);
    sw_draw_line(pic->to, before, after, thin);
    if (f.is_inside && f.tail > 0)
        sw_draw_line(pic->to, high, length_pt(view, f.high + f.tail, off), thin);
    sw_pic_arrow(pic, low, before);
    sw_pic_arrow(pic, high, after);
    /* The text hides the extension lines of others that pass below it. */
    const bool is_upright = view->is_standing;
    const double rises = length->limits.lower ? limit_pitch + limit_height : SW_PIC_TEXT;
    const struct sw_draw_pt at =
        length_pt(view, is_upright ? f.text_to : f.text_from, off - text_gap);
    const struct sw_draw_pt end = beside(at, f.text_to - f.text_from, rises, is_upright);
    static const double rim = 0.3;
    const struct sw_draw_box ground = {fmin(at.x, end.x) - rim, fmin(at.y, end.y) - rim,
                                       fmax(at.x, end.x) + rim, fmax(at.y, end.y) + rim};
    sw_draw_box(pic->to, ground, (struct sw_pen){0}, (struct sw_paint){true, SW_PIC_WHITE});
    draw_size(pic, at, length->main, &length->limits, is_upright);
}

enum sw_status sw_pic_lengths(double *end, struct sw_pic *pic, const struct sw_view *view,
                              const struct sw_pic_length *length, size_t n, double distance)
{
    *end = distance;
    if (n == 0)
        return SW_OK;
    struct sw_lane_span *room = SW_NEW(pic->ctx->arena, struct sw_lane_span, n);
    size_t *lane = SW_NEW(pic->ctx->arena, size_t, n);
    if (!room || !lane)
        return SW_MEMORY;
    for (size_t i = 0; i < n; i++)
        room[i] = room_of(view, &length[i]);
    /* Chained lengths share their ends and one lane; texts must not touch. */
    static const double overlap = -0.01;
    const size_t n_lanes = sw_lanes_assign(lane, room, n, overlap);
    for (size_t i = 0; i < n; i++) {
        const double off = distance + (double)lane[i] * lane_pitch;
        draw_extension(pic, view, length[i].z0, length[i].r0, off);
        draw_extension(pic, view, length[i].z1, length[i].r1, off);
    }
    for (size_t i = 0; i < n; i++)
        draw_length(pic, view, &length[i], distance + (double)lane[i] * lane_pitch);
    *end = distance + (double)(n_lanes - 1) * lane_pitch + ext_beyond;
    return SW_OK;
}
