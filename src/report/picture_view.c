/* From contours to the page: views, outlines, arrow heads. */
#include "report/picture_int.h"

#include <math.h>

#include "geom/tol.h"

static const struct sw_paint no_fill = {0};
/* A corner of the outline is seen as an edge when the surface turns by more than this [rad]. */
static const double seen_bend = 0.09;
/* An axis reaches this much beyond the part [mm on the page]. */
static const double axis_beyond = 4;

struct sw_draw_pt sw_view_pt(const struct sw_view *view, double z, double r)
{
    const double along = view->scale * (view->z_sign * z + view->z_shift), off = view->scale * r;
    if (view->is_standing)
        return (struct sw_draw_pt){view->origin.x + off, view->origin.y + along};
    return (struct sw_draw_pt){view->origin.x + along, view->origin.y - off};
}

double sw_view_scale(double z, double r, double width, double height)
{
    static const double step[] = {1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10};
    enum { N = sizeof step / sizeof *step };
    /* Names that fill a page leave no room: then the part is drawn small, and over them [mm]. */
    static const double least_room = 10;
    const double most = fmin(fmax(width, least_room) / fmax(z, SW_TOL_POINT),
                             fmax(height, least_room) / fmax(r, SW_TOL_POINT));
    const double tens = pow(10, floor(log10(most)));
    for (size_t i = N; i-- > 0;)
        if (step[i] * tens <= most)
            return step[i] * tens;
    return tens;
}

static int turn_on_page(const struct sw_view *view, int turn, int side)
{
    /* A view with z to the right and r up shows angles as they are; y points down. */
    return -turn * side * (view->z_sign > 0 ? 1 : -1);
}

static void trace_seg(struct sw_pic *pic, struct sw_draw_path *path, const struct sw_view *view,
                      const struct sw_seg *seg, int side)
{
    const struct sw_draw_pt to = sw_view_pt(view, seg->b.z, side * seg->b.r);
    if (seg->kind == SW_SEG_LINE)
        sw_draw_line_to(pic->to, path, to);
    else
        sw_draw_arc_to(pic->to, path, to, sw_view_pt(view, seg->c.z, side * seg->c.r),
                       turn_on_page(view, seg->turn, side));
}

void sw_pic_trace(struct sw_pic *pic, struct sw_draw_path *path, const struct sw_view *view,
                  const struct sw_contour *contour, int side)
{
    if (contour->n == 0)
        return;
    sw_draw_move(pic->to, path, sw_view_pt(view, contour->at[0].a.z, side * contour->at[0].a.r));
    for (size_t i = 0; i < contour->n; i++)
        trace_seg(pic, path, view, &contour->at[i], side);
}

void sw_pic_body(struct sw_pic *pic, struct sw_draw_path *path, const struct sw_view *view,
                 const struct sw_contour *contour)
{
    if (contour->n == 0)
        return;
    const struct sw_pt first = contour->at[0].a, last = contour->at[contour->n - 1].b;
    for (int side = 1; side >= -1; side -= 2) {
        sw_draw_move(pic->to, path, sw_view_pt(view, first.z, 0));
        sw_draw_line_to(pic->to, path, sw_view_pt(view, first.z, side * first.r));
        for (size_t i = 0; i < contour->n; i++)
            trace_seg(pic, path, view, &contour->at[i], side);
        sw_draw_line_to(pic->to, path, sw_view_pt(view, last.z, 0));
        sw_draw_close(pic->to, path);
    }
}

static double bend(const struct sw_seg *before, const struct sw_seg *after)
{
    const struct sw_pt u = sw_seg_direction(before, 1), v = sw_seg_direction(after, 0);
    return fabs(atan2(u.z * v.r - u.r * v.z, u.z * v.z + u.r * v.r));
}

/* Edges run across the part wherever the outline has a corner or a shoulder that is not hidden in a
 * recess. */
static void draw_edges(struct sw_pic *pic, const struct sw_view *view,
                       const struct sw_contour *contour, struct sw_pen pen)
{
    for (size_t i = 0; i + 1 < contour->n; i++) {
        const struct sw_seg *seg = &contour->at[i];
        const bool is_shoulder = fabs(seg->a.z - seg->b.z) <= SW_TOL_JOINT;
        const double r = is_shoulder ? fmax(seg->a.r, seg->b.r) : seg->b.r;
        double top;
        if ((!is_shoulder && bend(seg, &contour->at[i + 1]) < seen_bend) || r <= SW_TOL_POINT)
            continue;
        /* Of what meets at one z the highest draws the line for all. */
        if (!sw_contour_r_at(&top, contour, seg->b.z) || r < top - SW_TOL_JOINT)
            continue;
        sw_draw_line(pic->to, sw_view_pt(view, seg->b.z, r), sw_view_pt(view, seg->b.z, -r), pen);
    }
}

/* Pieces of the outline that lie below its highest radius: the inside of a recess. */
static bool is_hidden(const struct sw_contour *contour, const struct sw_seg *seg)
{
    const struct sw_pt middle = sw_seg_at(seg, 0.5);
    double top;
    if (fabs(seg->a.z - seg->b.z) <= SW_TOL_JOINT)
        return false; /* a shoulder: at one z all of it counts */
    return sw_contour_r_at(&top, contour, middle.z) && middle.r < top - SW_TOL_JOINT;
}

void sw_pic_outline(struct sw_pic *pic, const struct sw_view *view,
                    const struct sw_contour *contour, struct sw_pen pen)
{
    const struct sw_pen dashed = {SW_PIC_THIN, SW_DASH_DASHED, pen.colour};
    for (int side = 1; side >= -1; side -= 2) {
        struct sw_draw_path seen = {0}, hidden = {0};
        bool is_down = false;
        for (size_t i = 0; i < contour->n; i++) {
            const struct sw_seg *seg = &contour->at[i];
            /* The floor of a recess is a shoulder between two hidden pieces. */
            const bool hides = is_hidden(contour, seg) ||
                               (fabs(seg->a.z - seg->b.z) <= SW_TOL_JOINT && i > 0 &&
                                i + 1 < contour->n && is_hidden(contour, &contour->at[i - 1]) &&
                                is_hidden(contour, &contour->at[i + 1]));
            struct sw_draw_path *path = hides ? &hidden : &seen;
            if (hides || !is_down)
                sw_draw_move(pic->to, path, sw_view_pt(view, seg->a.z, side * seg->a.r));
            trace_seg(pic, path, view, seg, side);
            is_down = !hides;
        }
        sw_draw_path(pic->to, &seen, pen, no_fill);
        sw_draw_path(pic->to, &hidden, dashed, no_fill);
    }
    draw_edges(pic, view, contour, pen);
}

void sw_pic_axis(struct sw_pic *pic, const struct sw_view *view, double z0, double z1)
{
    const struct sw_pen pen = {SW_PIC_THIN, SW_DASH_CHAIN, SW_PIC_BLACK};
    const double beyond = axis_beyond / view->scale;
    sw_draw_line(pic->to, sw_view_pt(view, fmin(z0, z1) - beyond, 0),
                 sw_view_pt(view, fmax(z0, z1) + beyond, 0), pen);
}

void sw_pic_break(struct sw_pic *pic, const struct sw_view *view, double z, double r)
{
    const struct sw_pen pen = {SW_PIC_THIN, SW_DASH_CONTINUOUS, SW_PIC_BLACK};
    const double swing = 0.8 / view->scale, beyond = 1.5 / view->scale;
    struct sw_draw_path path = {0};
    sw_draw_move(pic->to, &path, sw_view_pt(view, z, r + beyond));
    sw_draw_curve_to(pic->to, &path, sw_view_pt(view, z, 0),
                     sw_view_pt(view, z + 2 * swing, r / 2));
    sw_draw_curve_to(pic->to, &path, sw_view_pt(view, z, -r - beyond),
                     sw_view_pt(view, z - 2 * swing, -r / 2));
    sw_draw_path(pic->to, &path, pen, no_fill);
}

/* The shares of a segment between two z; false when it lies outside. Segments run one way in z,
 * but for arcs that a break does not meet. */
static bool shares_between(double *t0, double *t1, const struct sw_seg *seg, double z0, double z1)
{
    enum { HALVINGS = 40 };
    const double low = fmin(seg->a.z, seg->b.z), high = fmax(seg->a.z, seg->b.z);
    *t0 = 0;
    *t1 = 1;
    if (high < z0 - SW_TOL_POINT || low > z1 + SW_TOL_POINT)
        return false;
    const double limit[2] = {z0, z1};
    for (int k = 0; k < 2; k++) {
        if (limit[k] <= low || limit[k] >= high)
            continue;
        const bool rises = seg->b.z > seg->a.z;
        double a = 0, b = 1;
        for (int i = 0; i < HALVINGS; i++) {
            const double t = (a + b) / 2;
            *((sw_seg_at(seg, t).z < limit[k]) == rises ? &a : &b) = t;
        }
        *((k == 0) == rises ? t0 : t1) = (a + b) / 2;
    }
    return true;
}

enum sw_status sw_pic_clip(struct sw_contour *out, const struct sw_contour *in, double z0,
                           double z1, struct sw_ctx *ctx)
{
    *out = (struct sw_contour){0};
    for (size_t i = 0; i < in->n; i++) {
        double t0, t1;
        if (!shares_between(&t0, &t1, &in->at[i], z0, z1) || t1 - t0 <= SW_TOL_POINT)
            continue;
        const bool is_whole = t0 <= 0 && t1 >= 1;
        const struct sw_seg part = is_whole ? in->at[i] : sw_seg_part(&in->at[i], t0, t1);
        if (!sw_contour_add(ctx->arena, out, part))
            return SW_MEMORY;
    }
    return SW_OK;
}

void sw_pic_arrow(struct sw_pic *pic, struct sw_draw_pt tip, struct sw_draw_pt from)
{
    static const double length = 2.5, half_width = 0.42;
    const double d = hypot(tip.x - from.x, tip.y - from.y);
    if (d <= 0)
        return;
    const double ux = (tip.x - from.x) / d, uy = (tip.y - from.y) / d;
    struct sw_draw_path path = {0};
    sw_draw_move(pic->to, &path, tip);
    sw_draw_line_to(pic->to, &path,
                    (struct sw_draw_pt){tip.x - ux * length - uy * half_width,
                                        tip.y - uy * length + ux * half_width});
    sw_draw_line_to(pic->to, &path,
                    (struct sw_draw_pt){tip.x - ux * length + uy * half_width,
                                        tip.y - uy * length - ux * half_width});
    sw_draw_close(pic->to, &path);
    sw_draw_path(pic->to, &path, (struct sw_pen){0}, (struct sw_paint){true, SW_PIC_BLACK});
}
