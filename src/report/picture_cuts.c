/* The cuts of one side: every pass, over the metal it takes. */
#include "report/picture_int.h"

#include <math.h>

#include "report/text.h"

static const struct sw_paint no_fill = {0};
static const struct sw_paint metal = {true, SW_PIC_METAL}, taken = {true, SW_PIC_TAKEN};
static const struct sw_pen no_pen = {0};
static const struct sw_pen thin = {SW_PIC_THIN, SW_DASH_CONTINUOUS, SW_PIC_BLACK};

/* Okabe and Ito 2008, without the yellow that white paper swallows; each with a line style of its
 * own, so that nothing hangs on the colour. */
static const struct sw_pen tool_pen[] = {
    {SW_PIC_FINE, SW_DASH_CONTINUOUS, 0x0072b2u},   {SW_PIC_FINE, SW_DASH_DASHED, 0xd55e00u},
    {SW_PIC_FINE, SW_DASH_CLOSE_CHAIN, 0x009e73u},  {SW_PIC_FINE, SW_DASH_SHORT, 0xcc79a7u},
    {SW_PIC_FINE, SW_DASH_DOUBLE_CHAIN, 0x000000u}, {SW_PIC_FINE, SW_DASH_CHAIN, 0xe69f00u},
    {SW_PIC_FINE, SW_DASH_DOTTED, 0x56b4e9u}};
enum { N_TOOL_PENS = sizeof tool_pen / sizeof *tool_pen };

static bool is_listed(const int *station, size_t n, int number)
{
    for (size_t i = 0; i < n; i++)
        if (station[i] == number)
            return true;
    return false;
}

/* Stations in the order in which the plan first cuts with them; at most MOST. */
static size_t stations_of(int *station, size_t most, const struct sw_plan *plan, size_t from,
                          size_t to)
{
    size_t n = 0;
    for (size_t i = from; i < to; i++)
        for (size_t k = 0; k < plan->chucking[i].n_ops; k++) {
            const struct sw_op *op = &plan->chucking[i].op[k];
            if (op->n_passes && n < most && !is_listed(station, n, op->station))
                station[n++] = op->station;
        }
    return n;
}

struct sw_pen sw_pic_tool_pen(const struct sw_plan *plan, int station)
{
    int all[SW_PIC_MOST_TOOLS];
    const size_t n = stations_of(all, SW_PIC_MOST_TOOLS, plan, 0, plan->n_chuckings);
    for (size_t i = 0; i < n; i++)
        if (all[i] == station)
            return tool_pen[i % N_TOOL_PENS];
    return tool_pen[0];
}

size_t sw_pic_side_stations(int station[SW_PIC_MOST_TOOLS], const struct sw_plan *plan,
                            size_t chucking)
{
    return stations_of(station, SW_PIC_MOST_TOOLS, plan, chucking, chucking + 1);
}

static const double around = 0.1; /* shown beyond the cuts [mm] */

/* What the page is drawn from. */
struct cuts {
    size_t chucking;
    const struct sw_plan_chucking *c;
    const struct sw_pic_stock *state; /* before the first operation and after each */
    struct sw_pic_stock start, end;
    struct sw_contour turned; /* chucking frame, inside the window */
    double z0, z1, r;         /* the window */
};

static void widen(struct cuts *cuts, struct sw_box box)
{
    cuts->z0 = fmin(cuts->z0, box.z0);
    cuts->z1 = fmax(cuts->z1, box.z1);
    cuts->r = fmax(cuts->r, box.r1);
}

static enum sw_status prepare(struct cuts *cuts, struct sw_pic *pic, size_t i)
{
    const struct sw_plan *plan = pic->from->plan;
    *cuts = (struct cuts){.chucking = i, .c = &plan->chucking[i], .z0 = 0, .z1 = 0};
    SW_TRY(sw_pic_stock_states(&cuts->state, pic, i));
    cuts->start = cuts->state[0];
    cuts->end = cuts->state[cuts->c->n_ops];
    for (size_t k = 0; k < cuts->c->n_ops; k++) {
        const struct sw_op *op = &cuts->c->op[k];
        for (size_t p = 0; p < op->n_passes; p++)
            if (op->pass[p].run.n)
                widen(cuts, sw_contour_box(&op->pass[p].run));
    }
    for (size_t k = 0; k < cuts->start.n; k++)
        if (cuts->start.r[k] > 0)
            cuts->r = fmax(cuts->r, cuts->start.r[k]);
    cuts->z0 -= around;
    cuts->z1 += around;
    cuts->r += around;
    struct sw_view view = {0};
    sw_pic_chucking_view(&view, plan, i);
    struct sw_contour placed = {0};
    SW_TRY(
        sw_contour_place(&placed, &plan->shape->turned, (int)view.z_sign, view.z_shift, pic->ctx));
    return sw_pic_clip(&cuts->turned, &placed, cuts->z0, cuts->z1, pic->ctx);
}

static double column_z(const struct sw_pic_stock *stock, size_t i)
{
    return stock->z0 + stock->step * (double)i;
}

/* The columns inside the window. */
static void columns(size_t *from, size_t *to, const struct cuts *cuts)
{
    *from = 0;
    while (*from < cuts->start.n && column_z(&cuts->start, *from) < cuts->z0)
        ++*from;
    *to = *from;
    while (*to < cuts->start.n && column_z(&cuts->start, *to) <= cuts->z1)
        ++*to;
}

/* Fills the area between two states of the work, piece by piece. LOW NULL: down to the axis. */
static void fill_between(struct sw_pic *pic, const struct sw_view *view, const struct cuts *cuts,
                         const double *high, const double *low, struct sw_paint fill)
{
    static const double matters = 1e-6;
    const struct sw_pic_stock *s = &cuts->start;
    size_t from, to;
    columns(&from, &to, cuts);
    struct sw_draw_path path = {0};
    for (size_t i = from; i < to; i++) {
        size_t k = i;
        while (k < to && high[k] - (low ? low[k] : 0) > matters)
            k++;
        if (k == i)
            continue;
        sw_draw_move(pic->to, &path, sw_view_pt(view, column_z(s, i), low ? low[i] : 0));
        for (size_t j = i; j < k; j++)
            if (sw_pic_bends_at(high, j, i, k))
                sw_draw_line_to(pic->to, &path, sw_view_pt(view, column_z(s, j), high[j]));
        for (size_t j = k; j-- > i;)
            if (low ? sw_pic_bends_at(low, j, i, k) : j + 1 == k)
                sw_draw_line_to(pic->to, &path, sw_view_pt(view, column_z(s, j), low ? low[j] : 0));
        sw_draw_close(pic->to, &path);
        i = k;
    }
    sw_draw_path(pic->to, &path, no_pen, fill);
}

static void draw_start(struct sw_pic *pic, const struct sw_view *view, const struct cuts *cuts)
{
    size_t from, to;
    columns(&from, &to, cuts);
    struct sw_draw_path path = {0};
    for (size_t i = from; i < to; i++) {
        const struct sw_draw_pt at = sw_view_pt(view, column_z(&cuts->start, i), cuts->start.r[i]);
        if (i == from)
            sw_draw_move(pic->to, &path, at);
        else if (sw_pic_bends_at(cuts->start.r, i, from, to))
            sw_draw_line_to(pic->to, &path, at);
    }
    if (to > from && to == cuts->start.n)
        sw_draw_line_to(pic->to, &path, sw_view_pt(view, column_z(&cuts->start, to - 1), 0));
    sw_draw_path(pic->to, &path, thin, no_fill);
}

/* The passes of one station; -1: of all. */
static void draw_passes(struct sw_pic *pic, const struct sw_view *view, const struct cuts *cuts,
                        int station)
{
    for (size_t i = 0; i < cuts->c->n_ops; i++) {
        const struct sw_op *op = &cuts->c->op[i];
        if (op->n_passes == 0 || (station >= 0 && op->station != station))
            continue;
        struct sw_draw_path path = {0};
        for (size_t k = 0; k < op->n_passes; k++)
            sw_pic_trace(pic, &path, view, &op->pass[k].run, 1);
        sw_draw_path(pic->to, &path, sw_pic_tool_pen(pic->from->plan, op->station), no_fill);
    }
}

/* What turning shall leave, between two z. */
static enum sw_status draw_turned(struct sw_pic *pic, const struct sw_view *view,
                                  const struct cuts *cuts, double z0, double z1, double width)
{
    struct sw_contour part = {0};
    SW_TRY(sw_pic_clip(&part, &cuts->turned, z0, z1, pic->ctx));
    struct sw_draw_path path = {0};
    sw_pic_trace(pic, &path, view, &part, 1);
    sw_draw_path(pic->to, &path, (struct sw_pen){width, SW_DASH_CONTINUOUS, SW_PIC_BLACK}, no_fill);
    return SW_OK;
}

/* The front face of the holder, hatched, where it comes into the window. */
static void draw_nose(struct sw_pic *pic, const struct sw_view *view, const struct cuts *cuts)
{
    const double nose = cuts->c->face_z;
    if (nose <= cuts->z0)
        return;
    const struct sw_draw_pt a = sw_view_pt(view, cuts->z0, cuts->r);
    const struct sw_draw_pt b = sw_view_pt(view, nose, cuts->c->grip_diameter / 2);
    struct sw_draw_path path = {0};
    sw_draw_move(pic->to, &path, a);
    sw_draw_line_to(pic->to, &path, (struct sw_draw_pt){b.x, a.y});
    sw_draw_line_to(pic->to, &path, b);
    sw_draw_line_to(pic->to, &path, (struct sw_draw_pt){a.x, b.y});
    sw_draw_close(pic->to, &path);
    sw_draw_path(pic->to, &path, thin, (struct sw_paint){true, SW_PIC_WHITE});
    sw_draw_hatch(pic->to, &path, acos(-1.0) / 4, 1.6,
                  (struct sw_pen){SW_PIC_FINE, SW_DASH_CONTINUOUS, SW_PIC_BLACK});
}

/* Z below the axis, diameters at the right edge: as the sheet and the sizes name them. */
static void draw_rulers(struct sw_pic *pic, const struct sw_view *view, const struct cuts *cuts)
{
    static const double tick = 1.2, every = 0.5, gap = 2;
    const double y = sw_view_pt(view, 0, 0).y + gap, x = sw_view_pt(view, cuts->z1, 0).x + gap;
    sw_draw_line(pic->to, (struct sw_draw_pt){sw_view_pt(view, cuts->z0, 0).x, y},
                 (struct sw_draw_pt){sw_view_pt(view, cuts->z1, 0).x, y}, thin);
    for (double k = ceil(cuts->z0 / every); k * every <= cuts->z1; k++) {
        const double at = sw_view_pt(view, k * every, 0).x;
        sw_draw_line(pic->to, (struct sw_draw_pt){at, y}, (struct sw_draw_pt){at, y + tick}, thin);
        sw_pic_text(pic, at, y + tick + SW_PIC_SMALL + 0.8, SW_PIC_SMALL, SW_ALIGN_MIDDLE,
                    k == 0 ? "Z 0" : sw_pic_plain(pic, k * every, 1));
    }
    sw_draw_line(pic->to, (struct sw_draw_pt){x, sw_view_pt(view, 0, 0).y},
                 (struct sw_draw_pt){x, sw_view_pt(view, 0, cuts->r).y}, thin);
    for (double k = 0; k * every / 2 <= cuts->r; k++) {
        const double at = sw_view_pt(view, 0, k * every / 2).y;
        sw_draw_line(pic->to, (struct sw_draw_pt){x, at}, (struct sw_draw_pt){x + tick, at}, thin);
        sw_pic_text(pic, x + tick + 0.8, at + SW_PIC_SMALL / 2, SW_PIC_SMALL, SW_ALIGN_START,
                    k == 0 ? "0" : sw_pic_print(pic, "\u2300%s", sw_pic_plain(pic, k * every, 1)));
    }
}

/* "1, 2, 6 to 9" */
static const char *steps_of(struct sw_pic *pic, const struct cuts *cuts, int station,
                            size_t *n_passes)
{
    const char *text = "";
    *n_passes = 0;
    size_t run = 0; /* steps in a row so far */
    size_t number = 0;
    for (size_t i = 0; i <= cuts->c->n_ops; i++) {
        const struct sw_op *op = i < cuts->c->n_ops ? &cuts->c->op[i] : NULL;
        const bool is_its = op && op->n_passes && op->station == station;
        number = i + 1;
        if (is_its) {
            *n_passes += op->n_passes;
            run++;
            continue;
        }
        if (run == 1)
            text = sw_pic_print(pic, "%s%s%zu", text, *text ? ", " : "", number - 1);
        else if (run == 2)
            text =
                sw_pic_print(pic, "%s%s%zu, %zu", text, *text ? ", " : "", number - 2, number - 1);
        else if (run > 2)
            text = sw_pic_print(pic, "%s%s%zu to %zu", text, *text ? ", " : "", number - run,
                                number - 1);
        run = 0;
    }
    return text;
}

/* Where the passes of a station lie. */
static struct sw_box reach_of(const struct cuts *cuts, int station)
{
    struct sw_box all = {HUGE_VAL, HUGE_VAL, -HUGE_VAL, -HUGE_VAL};
    for (size_t i = 0; i < cuts->c->n_ops; i++) {
        const struct sw_op *op = &cuts->c->op[i];
        for (size_t k = 0; op->station == station && k < op->n_passes; k++) {
            if (op->pass[k].run.n == 0)
                continue;
            const struct sw_box box = sw_contour_box(&op->pass[k].run);
            all = (struct sw_box){fmin(all.z0, box.z0), fmin(all.r0, box.r0), fmax(all.z1, box.z1),
                                  fmax(all.r1, box.r1)};
        }
    }
    return all;
}

/* A field for the tool's passes as large as its box allows; the axis is shown when it is near. */
static struct sw_view panel_view(const struct cuts *cuts, int station, struct sw_draw_box field)
{
    static const double room = 0.08; /* at least this much around the passes [mm] */
    const struct sw_box box = reach_of(cuts, station);
    const double r0 = box.r0 < 0.3 * box.r1 ? 0 : fmax(box.r0 - room, 0);
    const double wide = box.z1 - box.z0 + 2 * room, high = box.r1 - r0 + room;
    const double scale = sw_view_scale(wide, high, field.x1 - field.x0, field.y1 - field.y0);
    const double middle = (box.z0 + box.z1) / 2;
    const double spare = (field.y1 - field.y0) / scale - high;
    const double low = r0 > 0 ? fmax(r0 - spare / 2, 0) : 0;
    return (struct sw_view){
        .origin = {(field.x0 + field.x1) / 2 - scale * middle, field.y1 + scale * low},
        .scale = scale,
        .z_sign = 1};
}

/* One tool: its line, its name, what it takes. */
static enum sw_status draw_panel(struct sw_pic *pic, const struct cuts *cuts, int station,
                                 struct sw_draw_box box)
{
    static const double head = 9;
    const struct sw_tool *tool = sw_shop_tool(pic->from->plan->shop, station);
    const struct sw_draw_box field = {box.x0, box.y0 + head, box.x1, box.y1};
    const struct sw_view view = panel_view(cuts, station, field);
    size_t n_passes;
    const char *steps = steps_of(pic, cuts, station, &n_passes);
    const struct sw_pen pen = sw_pic_tool_pen(pic->from->plan, station);
    sw_draw_line(pic->to, (struct sw_draw_pt){box.x0, box.y0 + 1.5},
                 (struct sw_draw_pt){box.x0 + 18, box.y0 + 1.5},
                 (struct sw_pen){2 * pen.width, pen.dash, pen.colour});
    sw_pic_bold(pic, box.x0 + 20, box.y0 + 2.7, SW_PIC_TEXT, SW_ALIGN_START,
                sw_pic_print(pic, "T%d %s", station, tool ? tool->name.value : ""));
    sw_pic_text(pic, box.x0, box.y0 + 7, SW_PIC_SMALL, SW_ALIGN_START,
                sw_pic_print(pic, "%s : 1; %zu pass%s; step %s", sw_pic_plain(pic, view.scale, 1),
                             n_passes, n_passes == 1 ? "" : "es", steps));
    sw_draw_clip(pic->to, &field);
    fill_between(pic, &view, cuts, cuts->end.r, NULL, metal);
    for (size_t i = 0; i < cuts->c->n_ops; i++)
        if (cuts->c->op[i].station == station && cuts->c->op[i].n_passes)
            fill_between(pic, &view, cuts, cuts->state[i].r, cuts->state[i + 1].r, taken);
    const double half = (field.x1 - field.x0) / 2 / view.scale;
    const double middle = ((field.x0 + field.x1) / 2 - view.origin.x) / view.scale;
    SW_TRY(draw_turned(pic, &view, cuts, middle - half, middle + half, 0.35));
    draw_passes(pic, &view, cuts, station);
    sw_draw_line(pic->to, sw_view_pt(&view, cuts->z0, 0), sw_view_pt(&view, cuts->z1, 0),
                 (struct sw_pen){SW_PIC_FINE, SW_DASH_CHAIN, SW_PIC_BLACK});
    sw_draw_clip(pic->to, NULL);
    sw_draw_box(pic->to, field, (struct sw_pen){SW_PIC_FINE, SW_DASH_CONTINUOUS, SW_PIC_BLACK},
                no_fill);
    return SW_OK;
}

enum sw_status sw_pic_cuts(struct sw_pic *pic, size_t i)
{
    static const double margin = 6, ruler = 14, columns_gap = 8;
    struct cuts cuts;
    SW_TRY(prepare(&cuts, pic, i));
    int station[SW_PIC_MOST_TOOLS];
    const size_t n = sw_pic_side_stations(station, pic->from->plan, i);
    const size_t in_row = n < 3 ? n : n == 4 ? 2 : 3, rows = (n + in_row - 1) / in_row;
    const double width = SW_PIC_RIGHT - SW_PIC_LEFT - 2 * margin;
    const double scale =
        sw_view_scale(cuts.z1 - cuts.z0, cuts.r, width - ruler, rows > 1 ? 62 : 90);
    const double top = SW_PIC_TOP + 4, axis = top + scale * cuts.r;
    const struct sw_view view = {.origin = {SW_PIC_LEFT + margin +
                                                (width - ruler - scale * (cuts.z1 - cuts.z0)) / 2 -
                                                scale * cuts.z0,
                                            axis},
                                 .scale = scale,
                                 .z_sign = 1};
    const char *const note[] = {
        "Thick line: what turning shall leave. Grey: metal that is left when the program has run.",
        "Light: metal that is taken; above all of it, below what each tool takes.",
        "Thin lines: way of the centre of each tool's nose while it cuts, by tool as shown below.",
        "Steps count as in the order of work on the sheet. Half of the section is shown.",
        "Drawn from the plan; the dry run judges the program's own text."};
    sw_pic_page(pic, sw_pic_print(pic, "side-%zu-cuts", i + 1),
                sw_pic_print(pic, "%s, cuts", cuts.c->name), scale, note,
                sizeof note / sizeof *note);
    fill_between(pic, &view, &cuts, cuts.start.r, cuts.end.r, taken);
    fill_between(pic, &view, &cuts, cuts.end.r, NULL, metal);
    draw_start(pic, &view, &cuts);
    draw_nose(pic, &view, &cuts);
    SW_TRY(draw_turned(pic, &view, &cuts, cuts.z0, cuts.z1, SW_PIC_THICK));
    draw_passes(pic, &view, &cuts, -1);
    sw_draw_line(pic->to, sw_view_pt(&view, cuts.z0, 0), sw_view_pt(&view, cuts.z1, 0),
                 (struct sw_pen){SW_PIC_THIN, SW_DASH_CHAIN, SW_PIC_BLACK});
    draw_rulers(pic, &view, &cuts);

    const double first = axis + ruler, room = SW_PIC_STRIP - 3 - first;
    const double wide = (width - columns_gap * (double)(in_row - 1)) / (double)in_row;
    for (size_t k = 0; k < n; k++) {
        const double x = SW_PIC_LEFT + margin + (double)(k % in_row) * (wide + columns_gap);
        const double high = room / (double)rows, y = first + (double)(k / in_row) * high;
        SW_TRY(
            draw_panel(pic, &cuts, station[k], (struct sw_draw_box){x, y, x + wide, y + high - 3}));
    }
    return SW_OK;
}
