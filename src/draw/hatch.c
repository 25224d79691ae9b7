/* Hatching: parallel lines clipped to the inside of rings, worked out here so that every file form
 * shows the same lines and none needs a clip. */
#include "draw/draw.h"

#include <math.h>
#include <stdlib.h>

static const double pi = 3.14159265358979323846;
/* Chord error where arcs and curves end a hatch line [mm]: far below the width of a line. */
static const double chord = 0.02;

typedef SW_VEC(struct sw_draw_pt) points;
typedef SW_VEC(double) numbers;

/* An edge of a ring, turned so that the hatch runs along x. */
struct edge {
    struct sw_draw_pt a, b;
};
typedef SW_VEC(struct edge) edges;

static struct sw_draw_pt turn(struct sw_draw_pt p, double c, double s)
{
    return (struct sw_draw_pt){p.x * c - p.y * s, p.x * s + p.y * c};
}

static bool add_edge(struct sw_arena *arena, edges *out, struct sw_draw_pt a, struct sw_draw_pt b)
{
    const struct edge edge = {a, b};
    return SW_VEC_PUSH(arena, out, edge);
}

static bool add_arc(struct sw_arena *arena, edges *out, struct sw_draw_pt from,
                    const struct sw_draw_step *step)
{
    const double r = hypot(from.x - step->via.x, from.y - step->via.y);
    const double a0 = atan2(from.y - step->via.y, from.x - step->via.x);
    double sweep = atan2(step->to.y - step->via.y, step->to.x - step->via.x) - a0;
    while (step->turn * sweep <= 0)
        sweep += step->turn * 2 * pi;
    const double most = r > chord ? 2 * acos(1 - chord / r) : pi / 2;
    const int n = (int)ceil(fabs(sweep) / most);
    struct sw_draw_pt a = from;
    for (int i = 1; i <= n; i++) {
        const double at = a0 + sweep * i / n;
        const struct sw_draw_pt b = {step->via.x + r * cos(at), step->via.y + r * sin(at)};
        if (!add_edge(arena, out, a, i == n ? step->to : b))
            return false;
        a = b;
    }
    return true;
}

static bool flatten(struct sw_arena *arena, edges *out, const struct sw_draw_path *rings)
{
    struct sw_draw_pt start = {0, 0}, here = {0, 0};
    for (size_t i = 0; i < rings->n; i++) {
        const struct sw_draw_step *step = &rings->at[i];
        bool stands = true;
        if (step->kind == SW_STEP_MOVE)
            start = step->to;
        else if (step->kind == SW_STEP_ARC)
            stands = add_arc(arena, out, here, step);
        else
            stands = add_edge(arena, out, here, step->kind == SW_STEP_CLOSE ? start : step->to);
        if (!stands)
            return false;
        here = step->kind == SW_STEP_CLOSE ? start : step->to;
    }
    return true;
}

static int by_size(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Where the line at height Y enters and leaves, in order. */
static bool crossings(struct sw_arena *arena, numbers *out, const edges *in, double y)
{
    out->n = 0;
    for (size_t i = 0; i < in->n; i++) {
        const struct sw_draw_pt a = in->at[i].a, b = in->at[i].b;
        if ((a.y <= y) == (b.y <= y)) /* half open: a corner counts once */
            continue;
        const double x = a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x);
        if (!SW_VEC_PUSH(arena, out, x))
            return false;
    }
    if (out->n > 1)
        qsort(out->at, out->n, sizeof *out->at, by_size);
    return true;
}

void sw_draw_hatch(struct sw_drawing *drawing, const struct sw_draw_path *rings, double angle,
                   double spacing, struct sw_pen pen)
{
    edges all = {0};
    if (drawing->failed || !flatten(drawing->arena, &all, rings)) {
        drawing->failed = true;
        return;
    }
    /* y points down: a line that rises on the paper by ANGLE is level after turning by +ANGLE. */
    const double c = cos(angle), s = sin(angle);
    double low = HUGE_VAL, high = -HUGE_VAL;
    for (size_t i = 0; i < all.n; i++) {
        all.at[i].a = turn(all.at[i].a, c, s);
        all.at[i].b = turn(all.at[i].b, c, s);
        low = fmin(low, fmin(all.at[i].a.y, all.at[i].b.y));
        high = fmax(high, fmax(all.at[i].a.y, all.at[i].b.y));
    }
    struct sw_draw_path lines = {0};
    numbers at = {0};
    /* Lines lie on a grid of the page, so that neighbouring areas of one angle join up. */
    for (double k = ceil(low / spacing); k * spacing < high; k++) {
        if (!crossings(drawing->arena, &at, &all, k * spacing)) {
            drawing->failed = true;
            return;
        }
        for (size_t i = 0; i + 1 < at.n; i += 2) {
            sw_draw_move(drawing, &lines, turn((struct sw_draw_pt){at.at[i], k * spacing}, c, -s));
            sw_draw_line_to(drawing, &lines,
                            turn((struct sw_draw_pt){at.at[i + 1], k * spacing}, c, -s));
        }
    }
    sw_draw_path(drawing, &lines, pen, (struct sw_paint){0});
}
