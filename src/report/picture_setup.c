/* How one side is held, and where each tool reaches. */
#include "report/picture_int.h"

#include <math.h>

static const struct sw_paint no_fill = {0};
static const struct sw_paint metal = {true, SW_PIC_METAL}, white = {true, SW_PIC_WHITE};
static const struct sw_pen thick = {SW_PIC_THICK, SW_DASH_CONTINUOUS, SW_PIC_BLACK};
static const struct sw_pen medium = {0.35, SW_DASH_CONTINUOUS, SW_PIC_BLACK};
static const struct sw_pen thin = {SW_PIC_THIN, SW_DASH_CONTINUOUS, SW_PIC_BLACK};
static const struct sw_pen fine = {SW_PIC_FINE, SW_DASH_CONTINUOUS, SW_PIC_BLACK};
static const struct sw_pen dashed = {SW_PIC_THIN, SW_DASH_DASHED, SW_PIC_BLACK};

/* The upper part of the page shows the work in its holder, the lower part the tools. */
static const double work_top = 16, work_high = 64; /* mm on the page */
static const double holder_shown = 2.6;            /* of the holder behind its face [mm] */

struct side {
    size_t i;
    const struct sw_plan_chucking *c;
    struct sw_contour turned;         /* chucking frame */
    const struct sw_pic_stock *state; /* before the first operation and after each */
};

static enum sw_status prepare(struct side *side, struct sw_pic *pic, size_t i)
{
    const struct sw_plan *plan = pic->from->plan;
    *side = (struct side){.i = i, .c = &plan->chucking[i]};
    struct sw_view view = {0};
    sw_pic_chucking_view(&view, plan, i);
    SW_TRY(sw_contour_place(&side->turned, &plan->shape->turned, (int)view.z_sign, view.z_shift,
                            pic->ctx));
    return sw_pic_stock_states(&side->state, pic, i);
}

/* Both halves of the work as columns, from Z0 on. */
static void draw_stock(struct sw_pic *pic, const struct sw_view *view,
                       const struct sw_pic_stock *stock, double z0, struct sw_pen pen)
{
    struct sw_draw_path path = {0};
    size_t from = 0;
    while (from + 1 < stock->n &&
           (stock->z0 + stock->step * (double)from < z0 || stock->r[from] <= 0))
        from++;
    z0 = stock->z0 + stock->step * (double)from;
    size_t to = stock->n;
    while (to > from + 1 && stock->r[to - 1] <= 0)
        to--;
    const double end = stock->z0 + stock->step * (double)(to - 1);
    sw_draw_move(pic->to, &path, sw_view_pt(view, z0, stock->r[from]));
    for (size_t i = from; i < to; i++)
        if (sw_pic_bends_at(stock->r, i, from, to))
            sw_draw_line_to(pic->to, &path,
                            sw_view_pt(view, stock->z0 + stock->step * (double)i, stock->r[i]));
    sw_draw_line_to(pic->to, &path, sw_view_pt(view, end, -stock->r[to - 1]));
    for (size_t i = to; i-- > from;)
        if (sw_pic_bends_at(stock->r, i, from, to))
            sw_draw_line_to(pic->to, &path,
                            sw_view_pt(view, stock->z0 + stock->step * (double)i, -stock->r[i]));
    sw_draw_line_to(pic->to, &path, sw_view_pt(view, z0, -stock->r[from]));
    sw_draw_path(pic->to, &path, pen, metal);
}

/* A holder, or a guide bush, in section. */
struct front {
    double face, cone, angle;  /* radius of its face, length and half-angle of the cone behind it */
    double bore, grip, behind; /* radius and length of what holds, radius behind that */
};

static struct front front_of(const struct sw_pic *pic, const struct sw_plan_chucking *c)
{
    const struct sw_holder *holder = c->holder;
    const struct sw_machine_bush *bush = &pic->from->plan->shop->machine->bush;
    if (c->in_bush)
        return (struct front){
            bush->nose_diameter.value / 2, bush->nose_length.value, bush->nose_angle.value,
            c->rod_diameter / 2,           bush->land.value,        c->rod_diameter};
    return (struct front){holder->nose_diameter.value / 2,
                          holder->nose_length.value,
                          holder->nose_angle.value,
                          c->grip_diameter / 2,
                          c->grip_length,
                          holder->bore_behind.value / 2};
}

/* Its face, the cone behind it, its bore. */
static void draw_holder(struct sw_pic *pic, const struct sw_view *view, const struct side *side)
{
    const struct front is = front_of(pic, side->c);
    const double nose = side->c->face_z, back = nose - holder_shown;
    const double grip = nose - fmin(is.grip, holder_shown), cone = fmin(is.cone, holder_shown);
    const double wide = is.face + cone * tan(is.angle);
    for (int k = 1; k >= -1; k -= 2) {
        struct sw_draw_path path = {0};
        sw_draw_move(pic->to, &path, sw_view_pt(view, nose, k * is.bore));
        sw_draw_line_to(pic->to, &path, sw_view_pt(view, nose, k * is.face));
        sw_draw_line_to(pic->to, &path, sw_view_pt(view, nose - cone, k * wide));
        sw_draw_line_to(pic->to, &path, sw_view_pt(view, back, k * wide));
        const double inside = grip > back ? fmax(is.behind, is.bore) : is.bore;
        sw_draw_line_to(pic->to, &path, sw_view_pt(view, back, k * inside));
        sw_draw_line_to(pic->to, &path, sw_view_pt(view, grip, k * inside));
        sw_draw_line_to(pic->to, &path, sw_view_pt(view, grip, k * is.bore));
        sw_draw_close(pic->to, &path);
        sw_draw_path(pic->to, &path, thick, white);
        sw_draw_hatch(pic->to, &path, acos(-1.0) / 4, 2.2, fine);
    }
}

/* The second spindle where it takes the piece: its face, the cone behind it, its bore. */
static void draw_second(struct sw_pic *pic, const struct sw_view *view,
                        const struct sw_plan_second *second)
{
    const struct sw_machine_second *is = &pic->from->plan->shop->machine->second_spindle;
    const double face = is->nose_diameter.value / 2, nose = second->nose_z;
    const double cone = fmin(is->nose_length.value, holder_shown);
    const double wide = face + cone * tan(is->nose_angle.value), r = second->diameter / 2;
    for (int k = 1; k >= -1 && second->section; k -= 2) {
        struct sw_draw_path path = {0};
        sw_draw_move(pic->to, &path, sw_view_pt(view, nose + cone, k * wide));
        sw_draw_line_to(pic->to, &path, sw_view_pt(view, nose, k * face));
        sw_draw_line_to(pic->to, &path, sw_view_pt(view, nose, k * r));
        sw_draw_line_to(pic->to, &path, sw_view_pt(view, nose + second->length, k * r));
        sw_draw_path(pic->to, &path, dashed, no_fill);
    }
}

static enum sw_status draw_work(double *reach, struct sw_pic *pic, const struct side *side,
                                const struct sw_view *view, struct sw_draw_box field)
{
    const struct sw_plan_chucking *c = side->c;
    const double back = c->face_z - holder_shown;
    const double end = c->is_from_rod ? c->rod_end_z : c->nose_z + c->stick_out;
    sw_draw_clip(pic->to, &field);
    draw_holder(pic, view, side);
    if (c->is_from_rod) {
        const struct sw_draw_pt a = sw_view_pt(view, back, c->rod_diameter / 2);
        const struct sw_draw_pt b = sw_view_pt(view, end, -c->rod_diameter / 2);
        sw_draw_box(pic->to, (struct sw_draw_box){a.x, a.y, b.x, b.y}, thick, metal);
    } else {
        draw_stock(pic, view, side->state, fmax(back, side->state->z0), medium);
    }
    for (int k = 1; k >= -1; k -= 2) {
        struct sw_draw_path path = {0};
        sw_pic_trace(pic, &path, view, &side->turned, k);
        sw_draw_path(pic->to, &path, dashed, no_fill);
    }
    draw_second(pic, view, &c->second);
    sw_draw_clip(pic->to, NULL);
    sw_pic_axis(pic, view, back, end);
    const double tallest = (field.y1 - field.y0) / 2 / view->scale;
    sw_draw_line(pic->to, sw_view_pt(view, 0, 0), sw_view_pt(view, 0, tallest), thin);
    const struct sw_draw_pt flag = sw_view_pt(view, 0, tallest);
    sw_pic_text(pic, flag.x, flag.y - 1, SW_PIC_TEXT, SW_ALIGN_MIDDLE, "Z 0");

    enum { MOST = 5 };
    struct sw_pic_length length[MOST];
    size_t n = 0;
    const double r = side->state->r[side->state->n / 2];
    length[n++] = (struct sw_pic_length){
        .z0 = c->face_z, .z1 = end, .r0 = r, .main = sw_pic_mm(pic, end - c->face_z, 3)};
    if (c->is_from_rod)
        length[n++] =
            (struct sw_pic_length){.z0 = 0, .z1 = end, .r1 = r, .main = sw_pic_mm(pic, end, 3)};
    length[n++] = (struct sw_pic_length){
        .z0 = c->face_z, .z1 = 0, .r0 = r, .main = sw_pic_mm(pic, -c->face_z, 3)};
    if (c->has_neck)
        length[n++] = (struct sw_pic_length){
            .z0 = c->neck_z, .z1 = 0, .r0 = r, .main = sw_pic_mm(pic, -c->neck_z, 3)};
    if (c->second.section)
        length[n++] = (struct sw_pic_length){
            .z0 = c->second.nose_z, .z1 = 0, .r0 = r, .main = sw_pic_mm(pic, -c->second.nose_z, 3)};
    return sw_pic_lengths(reach, pic, view, length, n, (field.y1 - field.y0) / 2 + 5);
}

/* Where a tool reaches deepest behind what stands between it and the free end; where nothing does,
 * nearest to the axis. Faces come last, for there every tool is at the axis. */
struct deepest {
    const struct sw_op *op;
    size_t step;
    struct sw_pt nose;
    double behind;
};

static double stands_in_front(const struct sw_contour *turned, double z)
{
    double r = 0;
    for (size_t i = 0; i < turned->n; i++) {
        const struct sw_box box = sw_seg_box(&turned->at[i]);
        r = box.z0 > z ? fmax(r, box.r1) : r;
    }
    return r;
}

static bool find_deepest(struct deepest *out, const struct side *side, int station)
{
    static const double same = 1e-6;
    const struct sw_plan_chucking *c = side->c;
    *out = (struct deepest){0};
    for (int takes_faces = 0; takes_faces < 2 && !out->op; takes_faces++)
        for (size_t i = 0; i < c->n_ops; i++) {
            const struct sw_op *op = &c->op[i];
            if (op->station != station || (op->kind == SW_OP_FACE && !takes_faces))
                continue;
            for (size_t k = 0; k < op->n_passes; k++)
                for (size_t j = 0; j < op->pass[k].run.n; j++) {
                    const struct sw_pt at = op->pass[k].run.at[j].b;
                    const double front = stands_in_front(&side->turned, at.z);
                    const double behind = fmax(front - at.r, 0);
                    const bool is_nearer =
                        at.r < out->nose.r - same ||
                        (at.r < out->nose.r + same && at.z < out->nose.z); /* the last face */
                    if (!out->op || behind > out->behind + same ||
                        (behind > out->behind - same && is_nearer))
                        *out = (struct deepest){op, i + 1, at, behind};
                }
        }
    return out->op != NULL;
}

static void draw_outline(struct sw_pic *pic, const struct sw_view *view,
                         const struct sw_contour *outline, struct sw_pt nose, struct sw_pen pen)
{
    struct sw_view moved = *view;
    moved.origin = sw_view_pt(view, nose.z, nose.r);
    struct sw_draw_path path = {0};
    sw_pic_trace(pic, &path, &moved, outline, 1);
    sw_draw_path(pic->to, &path, pen, white);
}

/* A cross in a circle where the point stands that the program's numbers mean. */
static void mark_point(struct sw_pic *pic, struct sw_draw_pt at)
{
    static const double arm = 2.2, radius = 0.9;
    struct sw_draw_path path = {0};
    const struct sw_draw_pt right = {at.x + radius, at.y};
    sw_draw_move(pic->to, &path, right);
    sw_draw_arc_to(pic->to, &path, right, at, 1);
    sw_draw_path(pic->to, &path, thin, no_fill);
    sw_draw_line(pic->to, (struct sw_draw_pt){at.x - arm, at.y},
                 (struct sw_draw_pt){at.x + arm, at.y}, thin);
    sw_draw_line(pic->to, (struct sw_draw_pt){at.x, at.y - arm},
                 (struct sw_draw_pt){at.x, at.y + arm}, thin);
}

/* A tool at its deepest pass, in FIELD. */
static enum sw_status draw_reach(struct sw_pic *pic, const struct side *side,
                                 const struct deepest *deep, struct sw_draw_box field)
{
    static const double shown = 1.5; /* mm of the work's radius in a panel */
    const struct sw_tool *tool = deep->op->tool;
    const struct sw_pic_stock *work = &side->state[deep->step];
    const double high = field.y1 - field.y0;
    const double scale = sw_view_scale(shown, shown, field.x1 - field.x0, high);
    const double nose_up = 0.42 * high; /* room below the nose for the work */
    const struct sw_view view = {.origin = {(field.x0 + field.x1) / 2 - scale * deep->nose.z,
                                            field.y1 - nose_up + scale * deep->nose.r},
                                 .scale = scale,
                                 .z_sign = 1};
    sw_draw_clip(pic->to, &field);
    draw_stock(pic, &view, work, work->z0, fine);
    for (int k = 1; k >= -1; k -= 2) {
        struct sw_draw_path path = {0};
        sw_pic_trace(pic, &path, &view, &side->turned, k);
        sw_draw_path(pic->to, &path, medium, no_fill);
    }
    struct sw_contour body[SW_TOOL_BODIES], edge = {0};
    size_t n;
    SW_TRY(sw_tool_body_outlines(body, &n, tool, pic->ctx));
    SW_TRY(sw_tool_cutting_outline(&edge, tool, pic->ctx));
    for (size_t i = 0; i < n; i++)
        draw_outline(pic, &view, &body[i], deep->nose, medium);
    draw_outline(pic, &view, &edge, deep->nose, thick);
    sw_pic_axis(pic, &view, work->z0, 1);
    const struct sw_pt point = sw_tool_declared_point(tool);
    mark_point(pic, sw_view_pt(&view, deep->nose.z + point.z, deep->nose.r + point.r));
    sw_draw_clip(pic->to, NULL);
    sw_draw_box(pic->to, field, fine, no_fill);
    return SW_OK;
}

static enum sw_status draw_tool(struct sw_pic *pic, const struct side *side, int station,
                                struct sw_draw_box box)
{
    static const double head = 13;
    const struct sw_plan *plan = pic->from->plan;
    const struct sw_station *place = sw_machine_station(plan->shop->machine, station);
    const double width = box.x1 - box.x0;
    struct deepest deep;
    if (!find_deepest(&deep, side, station))
        return SW_OK;
    const struct sw_tool *tool = deep.op->tool;
    const char *const name = sw_pic_print(pic, "T%d %s", station, tool->name.value);
    sw_pic_bold(pic, box.x0, box.y0 + 2.5, SW_PIC_TEXT - 0.2, SW_ALIGN_START,
                sw_pic_fitted(pic, name, SW_PIC_TEXT - 0.2, width));
    const char *const line[] = {
        sw_pic_print(pic, "nose R %s, spindle %s", sw_pic_mm(pic, tool->nose_radius.value, 3),
                     place && place->spindle.value == SW_SENSE_CCW ? "M4" : "M3"),
        sw_pic_print(pic, "step %zu, nose at Z %s", deep.step, sw_pic_mm(pic, deep.nose.z, 3))};
    for (int i = 0; i < 2; i++)
        sw_pic_text(pic, box.x0, box.y0 + 6.6 + 3.6 * i, SW_PIC_SMALL, SW_ALIGN_START,
                    sw_pic_fitted(pic, line[i], SW_PIC_SMALL, width));
    return draw_reach(pic, side, &deep,
                      (struct sw_draw_box){box.x0, box.y0 + head, box.x1, box.y1});
}

static const char *how_held(struct sw_pic *pic, const struct sw_plan_chucking *c)
{
    if (c->in_bush)
        return sw_pic_print(
            pic,
            "Bar \u2300%s, %s or longer, in the guide bush; in the end %s are fed out "
            "of it%s",
            sw_pic_plain(pic, c->stock->diameter.value, 3), sw_pic_plain(pic, c->rod_length, 0),
            sw_pic_mm(pic, c->rod_end_z - c->face_z, 2),
            c->tail > 0 ? "; support its tail or cut it short." : ".");
    if (c->is_from_rod)
        return sw_pic_print(pic, "Rod \u2300%s, %s or longer, stands %s out of the nose face%s",
                            sw_pic_plain(pic, c->stock->diameter.value, 3),
                            sw_pic_plain(pic, c->rod_length, 0), sw_pic_mm(pic, c->stick_out, 2),
                            c->tail > 0 ? "; support its tail or cut it short." : ".");
    return sw_pic_print(
        pic, "Gripped by the %s, \u2300%s over %s, its shoulder hard on the nose face.", c->grips,
        sw_pic_mm(pic, c->grip_diameter, 4), sw_pic_mm(pic, c->grip_length, 2));
}

static const double beside_work = 6; /* kept free on either side of it [mm on the page] */

/* What is shown of the work and its holder, along the axis. */
static void held_span(double *z0, double *z1, const struct sw_plan_chucking *c)
{
    *z0 = c->face_z - holder_shown;
    *z1 = fmax(c->is_from_rod ? c->rod_end_z : c->nose_z + c->stick_out, 0);
}

static double held_scale(const struct side *side, struct sw_draw_box field)
{
    double z0, z1, widest = 0;
    held_span(&z0, &z1, side->c);
    for (size_t k = 0; k < side->state->n; k++)
        widest = fmax(widest, side->state->r[k]);
    return sw_view_scale(z1 - z0, 2.6 * widest, field.x1 - field.x0 - 2 * beside_work,
                         field.y1 - field.y0);
}

/* The work of SIDE in its holder, as large as it goes into FIELD; *REACH: how far its lengths go
 * below the axis. */
static enum sw_status draw_held(double *reach, struct sw_pic *pic, const struct side *side,
                                struct sw_draw_box field)
{
    double z0, z1;
    held_span(&z0, &z1, side->c);
    const double scale = held_scale(side, field);
    const double wide = scale * (z1 - z0), x = (field.x0 + field.x1 - wide) / 2;
    const struct sw_view view = {
        .origin = {x - scale * z0, (field.y0 + field.y1) / 2}, .scale = scale, .z_sign = 1};
    return draw_work(reach, pic, side, &view,
                     (struct sw_draw_box){x, field.y0, x + wide + beside_work, field.y1});
}

enum sw_status sw_pic_side_figure(double *high, struct sw_pic *pic, size_t i,
                                  struct sw_draw_box box)
{
    static const double share = 0.55, above = 5, work = 18, gap = 3, head = 4, pitch = 1.4,
                        panels_high = 34;
    enum { IN_ROW = 3 };
    struct side side;
    SW_TRY(prepare(&side, pic, i));
    const double left = box.x0 + share * (box.x1 - box.x0);
    const struct sw_draw_box field = {box.x0, box.y0 + above, left, box.y0 + above + work};
    const double scale = held_scale(&side, field);
    double reach;
    SW_TRY(draw_held(&reach, pic, &side, field));
    *high = fmax(above + work / 2 + reach, panels_high);
    sw_pic_text(pic, box.x0, box.y0 + pitch * SW_PIC_SMALL, SW_PIC_SMALL, SW_ALIGN_START,
                sw_pic_print(pic, "%s : 1", sw_pic_plain(pic, scale, 2)));
    int station[SW_PIC_MOST_TOOLS];
    const size_t n = sw_pic_side_stations(station, pic->from->plan, i);
    const size_t rows = n > IN_ROW ? (n + IN_ROW - 1) / IN_ROW : 1;
    const double wide = (box.x1 - left - IN_ROW * gap) / IN_ROW;
    const double row_high = (box.y1 - box.y0) / (double)rows;
    for (size_t k = 0; k < n; k++) {
        struct deepest deep;
        if (!find_deepest(&deep, &side, station[k]))
            continue;
        const double x = left + gap + (double)(k % IN_ROW) * (wide + gap);
        const double y = box.y0 + (double)(k / IN_ROW) * row_high;
        sw_pic_text(pic, x, y + pitch * SW_PIC_SMALL, SW_PIC_SMALL, SW_ALIGN_START,
                    sw_pic_fitted(pic, sw_pic_print(pic, "T%d, step %zu", station[k], deep.step),
                                  SW_PIC_SMALL, wide));
        SW_TRY(draw_reach(pic, &side, &deep,
                          (struct sw_draw_box){x, y + head, x + wide, y + row_high - 1}));
    }
    return SW_OK;
}

enum sw_status sw_pic_setup(struct sw_pic *pic, size_t i)
{
    static const double margin = 6, gap = 5, tools_top = 113;
    struct side side;
    SW_TRY(prepare(&side, pic, i));
    const struct sw_plan_chucking *c = side.c;
    const double width = SW_PIC_RIGHT - SW_PIC_LEFT - 2 * margin;
    const char *const note[] = {
        sw_pic_print(pic, "Holder: %s%s%s.", c->holder->name.value,
                     c->holder_size > 0 ? ", size " : "",
                     c->holder_size > 0 ? sw_pic_mm(pic, c->holder_size, 3) : ""),
        how_held(pic, c),
        sw_pic_print(pic,
                     "Z 0 is the finished end of the %s tip, + to the right. Dashed: the staff as "
                     "it will be turned.",
                     c->end == SW_SIDE_UPPER ? "upper" : "lower"),
        c->has_neck
            ? sw_pic_print(pic, "Afterwards it is broken off at a neck of \u2300%s, Z %s.",
                           sw_pic_mm(pic, c->neck_diameter, 2), sw_pic_mm(pic, c->neck_z, 3))
        : c->second.section
            ? sw_pic_print(pic,
                           "Dashed too: the second spindle where it takes the piece by the %s, its "
                           "face at Z %s.",
                           c->second.section, sw_pic_mm(pic, c->second.nose_z, 3))
            : "Push on a shoulder, never on a pivot, and on no rivet's lip.",
        "Below: each tool at its deepest pass; the circled cross is the point its numbers mean."};
    const struct sw_draw_box field = {SW_PIC_LEFT + margin, work_top, SW_PIC_LEFT + margin + width,
                                      work_top + work_high};
    sw_pic_page(pic, sw_pic_print(pic, "side-%zu-setup", i + 1),
                sw_pic_print(pic, "%s, set-up", c->name), held_scale(&side, field), note,
                sizeof note / sizeof *note);
    double reach;
    SW_TRY(draw_held(&reach, pic, &side, field));

    int station[SW_PIC_MOST_TOOLS];
    const size_t n = sw_pic_side_stations(station, pic->from->plan, i);
    enum { LEAST_SLOTS = 4, MOST_IN_ROW = 7 };
    const size_t in_row = n < LEAST_SLOTS ? LEAST_SLOTS : n < MOST_IN_ROW ? n : MOST_IN_ROW;
    const size_t rows = (n + in_row - 1) / in_row;
    const double wide = (width - gap * (double)(in_row - 1)) / (double)in_row;
    const double high = (SW_PIC_STRIP - 3 - tools_top) / (double)rows;
    for (size_t k = 0; k < n; k++) {
        const double at = SW_PIC_LEFT + margin + (double)(k % in_row) * (wide + gap);
        const double y = tools_top + (double)(k / in_row) * high;
        SW_TRY(draw_tool(pic, &side, station[k],
                         (struct sw_draw_box){at, y, at + wide, y + high - 2}));
    }
    return SW_OK;
}
