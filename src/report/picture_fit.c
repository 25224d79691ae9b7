/* The staff standing in its jewels, with the heights that the movement asks for. */
#include "report/picture_int.h"

#include <math.h>

#include "draw/lanes.h"

static const struct sw_pen thick = {SW_PIC_THICK, SW_DASH_CONTINUOUS, SW_PIC_BLACK};
static const struct sw_pen thin = {SW_PIC_THIN, SW_DASH_CONTINUOUS, SW_PIC_BLACK};
static const struct sw_pen fine = {SW_PIC_FINE, SW_DASH_CONTINUOUS, SW_PIC_BLACK};
static const struct sw_pen ghost = {SW_PIC_THIN, SW_DASH_DOUBLE_CHAIN, SW_PIC_BLACK};
static const struct sw_paint no_fill = {0}, white = {true, SW_PIC_WHITE};

/* What the staff file does not say is drawn like this and said so in the notes [mm]: the gap
 * between hole jewel and endstone (common practice, no source), and the end shake, as middle of the
 * span of Kleinlein 1920, sec. 25. */
static const double endstone_gap = 0.03;
static const double end_shake = 0.025;
static const double stone_thick = 0.16;
static const double stone_share = 0.42; /* radius of the stones, of the widest of the staff */

enum { MOST_LABELS = 32 };
struct place {
    double z, r;
    const char *main, *under;
};
struct labels {
    struct place at[MOST_LABELS];
    size_t n;
};

static void add(struct labels *labels, double z, double r, const char *main, const char *under)
{
    if (labels->n < MOST_LABELS)
        labels->at[labels->n++] = (struct place){z, r, main, under};
}

/* Between the I-th hole jewel and its endstone; IS_READ: as the staff file's readings have it. */
static double gap_of(bool *is_read, const struct sw_staff *staff, int i)
{
    const enum sw_reading_kind kind = i ? SW_READ_LOWER_GAP : SW_READ_UPPER_GAP;
    *is_read = false;
    for (size_t k = 0; staff->parts && k < staff->parts->n && !*is_read; k++) {
        if (staff->parts->reading[k].kind != kind)
            continue;
        *is_read = true;
        return staff->parts->reading[k].value;
    }
    return endstone_gap;
}

/* What is known of both gaps, for the notes. */
static const char *gaps_text(struct sw_pic *pic, const struct sw_staff *staff)
{
    bool upper_is_read, lower_is_read;
    const double upper = gap_of(&upper_is_read, staff, 0), lower = gap_of(&lower_is_read, staff, 1);
    if (upper_is_read && lower_is_read)
        return sw_pic_print(pic, "and between hole jewel and endstone %s above, %s below, as read.",
                            sw_pic_mm(pic, upper, 3), sw_pic_mm(pic, lower, 3));
    return sw_pic_print(pic,
                        "and %s above, %s below between hole jewel and endstone; measure them.",
                        sw_pic_mm(pic, upper, 3), sw_pic_mm(pic, lower, 3));
}

/* A ring cut open, both halves; a disc (INNER 0) in one. */
static void draw_ring(struct sw_pic *pic, const struct sw_view *view, double z0, double z1,
                      double inner, double outer, double angle, struct sw_pen pen)
{
    for (int side = 1; side >= -1; side -= 2) {
        if (inner <= 0 && side < 0)
            break;
        const struct sw_draw_pt a = sw_view_pt(view, z0, inner > 0 ? side * inner : -outer);
        const struct sw_draw_pt b = sw_view_pt(view, z1, side * outer);
        struct sw_draw_path path = {0};
        sw_draw_move(pic->to, &path, a);
        sw_draw_line_to(pic->to, &path, (struct sw_draw_pt){b.x, a.y});
        sw_draw_line_to(pic->to, &path, b);
        sw_draw_line_to(pic->to, &path, (struct sw_draw_pt){a.x, b.y});
        sw_draw_close(pic->to, &path);
        sw_draw_path(pic->to, &path, pen, pen.dash == SW_DASH_CONTINUOUS ? white : no_fill);
        if (angle != 0)
            sw_draw_hatch(pic->to, &path, angle, 1.8, fine);
    }
}

static void draw_jewels(struct sw_pic *pic, const struct sw_view *view, struct labels *labels)
{
    static const char *const which[] = {"upper", "lower"};
    const double pi = acos(-1.0);
    const struct sw_staff *staff = pic->from->shape->staff;
    const double outer = stone_share * sw_staff_widest(staff) * 2;
    for (int i = 0; i < 2; i++) {
        const struct sw_jewel *jewel = &staff->jewel[i];
        const struct sw_section *pivot = &staff->section[i ? staff->n - 1 : 0];
        if (!jewel->given)
            continue;
        /* From the endstone's face inwards. */
        const double face = i ? staff->total : -end_shake, in = i ? -1 : 1;
        bool is_read;
        const double near = face + in * gap_of(&is_read, staff, i),
                     far = near + in * jewel->thickness;
        draw_ring(pic, view, face - in * stone_thick, face, 0, outer, pi / 4, thick);
        draw_ring(pic, view, near, far, jewel->hole / 2, outer, 3 * pi / 4, thick);
        const double d = 2 * pivot->r0;
        add(labels, face - in * stone_thick / 2, outer, sw_pic_print(pic, "%s endstone", which[i]),
            NULL);
        add(labels, (near + far) / 2, outer,
            sw_pic_print(pic, "hole \u2300%s, %s thick", sw_pic_mm(pic, jewel->hole, 4),
                         sw_pic_mm(pic, jewel->thickness, 3)),
            sw_pic_print(pic, "side shake %s to %s",
                         sw_pic_mm(pic, jewel->hole - d - pivot->diameter_tolerance.upper, 4),
                         sw_pic_mm(pic, jewel->hole - d - pivot->diameter_tolerance.lower, 4)));
    }
}

/* The parts that sit on the staff: only where they are is known. */
static void draw_parts(struct sw_pic *pic, const struct sw_view *view, struct labels *labels)
{
    static const char *const name[] = {[SW_TAKES_COLLET] = "collet",
                                       [SW_TAKES_BALANCE] = "balance",
                                       [SW_TAKES_ROLLER] = "roller",
                                       [SW_TAKES_SAFETY_ROLLER] = "safety roller"};
    const struct sw_staff *staff = pic->from->shape->staff;
    const double widest = sw_staff_widest(staff);
    for (size_t i = 0; i < staff->n; i++) {
        const struct sw_section *s = &staff->section[i];
        if (s->kind != SW_SECTION_SEAT || s->takes == SW_TAKES_NOTHING)
            continue;
        /* Long seats are not filled; the part stands at the end towards the core. */
        static const double most = 0.45; /* mm */
        const double long_is = fmin(s->z1 - s->z0, most);
        const double z0 = s->is_lower_half ? s->z0 : s->z1 - long_is, z1 = z0 + long_is;
        const double r = fmax(s->r0, s->r1);
        const double outer = s->takes == SW_TAKES_BALANCE  ? 1.75 * widest
                             : s->takes == SW_TAKES_COLLET ? r + 0.25 * widest
                                                           : r + 0.75 * widest;
        draw_ring(pic, view, z0, z1, r, outer, 0, ghost);
        add(labels, (z0 + z1) / 2, outer, name[s->takes],
            sw_pic_print(pic, "on \u2300%s %s", sw_pic_mm(pic, 2 * r, 4), s->name));
    }
}

/* Labels left of the staff, pushed apart along the page. */
static enum sw_status draw_labels(struct sw_pic *pic, const struct sw_view *view,
                                  struct labels *labels, double x, double y0, double y1)
{
    static const double high = 9, bent = 6;
    double at[MOST_LABELS], want[MOST_LABELS], width[MOST_LABELS], scratch[2 * MOST_LABELS];
    for (size_t i = 1; i < labels->n; i++)
        for (size_t k = i; k > 0 && labels->at[k].z < labels->at[k - 1].z; k--) {
            const struct place other = labels->at[k];
            labels->at[k] = labels->at[k - 1];
            labels->at[k - 1] = other;
        }
    for (size_t i = 0; i < labels->n; i++) {
        want[i] = sw_view_pt(view, labels->at[i].z, 0).y;
        width[i] = high;
    }
    sw_lanes_spread(at, want, width, labels->n, y0, y1, scratch);
    for (size_t i = 0; i < labels->n; i++) {
        const struct place *p = &labels->at[i];
        const struct sw_draw_pt target = sw_view_pt(view, p->z, -p->r);
        const struct sw_draw_pt end = {x, at[i]}, knee = {x + bent, at[i]};
        static const double long_is = 42;
        sw_draw_line(pic->to, (struct sw_draw_pt){x - long_is, at[i]}, knee, thin);
        sw_draw_line(pic->to, knee, target, thin);
        sw_pic_arrow(pic, target, knee);
        sw_pic_text(pic, end.x, end.y - 0.9, SW_PIC_TEXT, SW_ALIGN_END, p->main);
        if (p->under)
            sw_pic_text(pic, end.x, end.y + 0.9 + SW_PIC_SMALL, SW_PIC_SMALL, SW_ALIGN_END,
                        p->under);
    }
    return SW_OK;
}

enum sw_status sw_pic_fit(struct sw_pic *pic)
{
    static const double margin = 5;
    const struct sw_staff *staff = pic->from->shape->staff;
    const double above = end_shake + stone_thick, all = staff->total + above + stone_thick;
    const double widest = sw_staff_widest(staff);
    const double scale =
        sw_view_scale(3.5 * widest, all, 120, SW_PIC_STRIP - SW_PIC_TOP - 2 * margin);
    const double spare = SW_PIC_STRIP - SW_PIC_TOP - scale * all;
    const struct sw_view view = {.origin = {150, SW_PIC_TOP + spare / 2 + scale * above},
                                 .scale = scale,
                                 .z_sign = 1,
                                 .is_standing = true};
    const char *const note[] = {
        "The staff stands on its lower endstone. Heights count from there, as the movement gives "
        "them.",
        sw_pic_print(
            pic, "Drawn with %s end shake (0.02 to 0.03 is right for a balance, Kleinlein 1920)",
            sw_pic_mm(pic, end_shake, 3)),
        gaps_text(pic, staff),
        "Double-chain lines: the parts on the staff, in their places, not to their sizes."};
    sw_pic_page(pic, "fit", "in its jewels", scale, note, sizeof note / sizeof *note);
    struct labels labels = {.n = 0};
    draw_jewels(pic, &view, &labels);
    draw_parts(pic, &view, &labels);
    struct sw_draw_path body = {0};
    sw_pic_body(pic, &body, &view, &pic->from->shape->finished);
    sw_draw_path(pic->to, &body, (struct sw_pen){0}, (struct sw_paint){true, SW_PIC_METAL});
    sw_pic_outline(pic, &view, &pic->from->shape->finished, thick);
    sw_pic_axis(pic, &view, -above, staff->total + stone_thick);

    struct sw_pic_length *length =
        SW_NEW(pic->ctx->arena, struct sw_pic_length, staff->n_heights + 1);
    if (!length)
        return SW_MEMORY;
    size_t n = 0;
    for (size_t i = 0; i < staff->n_heights; i++) {
        const struct sw_height *h = &staff->height[i];
        double r = 0;
        if (!sw_contour_r_at(&r, &pic->from->shape->finished, h->z))
            r = 0;
        length[n++] = (struct sw_pic_length){
            .z0 = h->z,
            .z1 = staff->total,
            .r0 = r,
            .main = sw_pic_print(pic, "%s %s", h->name, sw_pic_mm(pic, h->from_lower_tip, 3)),
            .limits = sw_pic_limits(pic, &h->tolerance)};
    }
    length[n++] = (struct sw_pic_length){
        .z0 = 0,
        .z1 = staff->total,
        .main = sw_pic_print(pic, "total %s", sw_pic_mm(pic, staff->total, 3)),
        .limits = sw_pic_limits(pic, &staff->total_tolerance)};
    double end;
    SW_TRY(sw_pic_lengths(&end, pic, &view, length, n, scale * 1.75 * widest + 9));
    return draw_labels(pic, &view, &labels, 76, SW_PIC_TOP + margin, SW_PIC_STRIP - margin);
}
