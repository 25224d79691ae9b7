/* What is too small to read on the whole staff: its ends, rivet and hub. */
#include "report/picture_int.h"

#include <math.h>

#include "geom/tol.h"

static const struct sw_pen thick = {SW_PIC_THICK, SW_DASH_CONTINUOUS, SW_PIC_BLACK};
static const struct sw_pen fine = {SW_PIC_FINE, SW_DASH_CONTINUOUS, SW_PIC_BLACK};
static const struct sw_paint no_fill = {0};

/* One enlarged piece of the staff and what is written beside it. */
enum { MOST_LABELS = 24, MOST_LENGTHS = 24 };
struct detail {
    const char *title;
    size_t first, last; /* sections */
    double z0, z1;      /* shown */
    bool breaks_0, breaks_1;
    bool is_section; /* cut open and hatched */
    struct sw_pic_label label[MOST_LABELS];
    size_t n_labels;
    struct sw_pic_length length[MOST_LENGTHS];
    size_t n_lengths;
};

static void add_label(struct detail *d, double z, double r, const char *main, const char *under)
{
    if (d->n_labels < MOST_LABELS && z > d->z0 - SW_TOL_POINT && z < d->z1 + SW_TOL_POINT)
        d->label[d->n_labels++] =
            (struct sw_pic_label){.z = z, .r = r, .main = main, .under = under};
}

static void add_length(struct detail *d, double z0, double z1, double r0, double r1,
                       const char *main)
{
    if (d->n_lengths < MOST_LENGTHS)
        d->length[d->n_lengths++] =
            (struct sw_pic_length){.z0 = z0, .z1 = z1, .r0 = r0, .r1 = r1, .main = main};
}

static const struct sw_seg *arc_of(const struct sw_contour *contour, size_t section)
{
    const struct sw_seg *best = NULL;
    for (size_t i = 0; i < contour->n; i++)
        if (contour->at[i].tag == (int)section && contour->at[i].kind == SW_SEG_ARC &&
            (!best || sw_seg_length(&contour->at[i]) > sw_seg_length(best)))
            best = &contour->at[i];
    return best;
}

/* The form of a pivot's end. */
static void add_tip(struct detail *d, struct sw_pic *pic, const struct sw_section *pivot)
{
    const double tip = pivot->points_down ? pivot->z1 : pivot->z0;
    const double in = pivot->points_down ? -1 : 1, r = pivot->r0;
    if (pivot->tip == SW_TIP_DOME) {
        const double h = pivot->dome_height, radius = (r * r + h * h) / (2 * h);
        static const double up = 0.6; /* where on the dome the arrow ends, of the radius */
        const double z = radius - sqrt(fmax(radius * radius - up * up * r * r, 0));
        add_label(d, tip + in * z, up * r, sw_pic_print(pic, "dome %s", sw_pic_mm(pic, h, 3)),
                  sw_pic_print(pic, "R %s", sw_pic_mm(pic, radius, 3)));
    } else if (pivot->tip == SW_TIP_FLAT) {
        const double c = pivot->tip_corner, at = c * (1 - sqrt(0.5));
        add_label(d, tip + in * at, r - at, sw_pic_print(pic, "R %s", sw_pic_mm(pic, c, 3)),
                  "end flat");
    }
}

static void add_end_section(struct detail *d, struct sw_pic *pic, const struct sw_section *s)
{
    const struct sw_contour *contour = &pic->from->shape->finished;
    const double middle = (s->z0 + s->z1) / 2;
    double r = 0;
    if (s->kind == SW_SECTION_PIVOT) {
        add_tip(d, pic, s);
        d->label[d->n_labels++] =
            (struct sw_pic_label){.z = middle,
                                  .r = s->r0,
                                  .is_diameter = true,
                                  .main = sw_pic_diameter(pic, 2 * s->r0, 4),
                                  .limits = sw_pic_limits(pic, &s->diameter_tolerance),
                                  .under = s->name};
    } else if (s->kind == SW_SECTION_CONE) {
        const struct sw_seg *arc = arc_of(contour, s->index);
        if (!sw_contour_r_at(&r, contour, middle))
            return;
        add_label(d, middle, r,
                  arc ? sw_pic_print(pic, "R %s", sw_pic_mm(pic, sw_seg_radius(arc), 3))
                      : "straight",
                  s->cone == SW_CONE_TANGENT_ARC ? "tangent to the pivot" : s->name);
        add_label(d, s->points_down ? s->z0 : s->z1, fmax(s->r0, s->r1),
                  sw_pic_diameter(pic, 2 * fmax(s->r0, s->r1), 3), "ridge, holds the oil back");
    } else if (s->kind == SW_SECTION_BACK_SLOPE) {
        add_label(d, s->points_down ? s->z0 : s->z1, fmin(s->r0, s->r1),
                  sw_pic_print(pic, "R %s at most", sw_pic_mm(pic, s->corner, 3)), "root");
    }
    add_length(d, s->z0, s->z1, s->r0, s->r1, sw_pic_mm(pic, s->z1 - s->z0, 3));
}

/* The sections from a tip to the first shoulder. */
static bool fill_end(struct detail *d, struct sw_pic *pic, bool is_lower)
{
    static const double shown = 0.16; /* of what comes behind, as a share of the end's length */
    const struct sw_staff *staff = pic->from->shape->staff;
    size_t n = 0;
    while (n < staff->n) {
        const struct sw_section *s = &staff->section[is_lower ? staff->n - 1 - n : n];
        if (s->kind != SW_SECTION_PIVOT && s->kind != SW_SECTION_CONE &&
            s->kind != SW_SECTION_BACK_SLOPE)
            break;
        n++;
    }
    if (n == 0 || n == staff->n)
        return false;
    *d = (struct detail){.title = is_lower ? "lower end" : "upper end",
                         .first = is_lower ? staff->n - n : 0,
                         .last = is_lower ? staff->n - 1 : n - 1};
    d->z0 = staff->section[d->first].z0;
    d->z1 = staff->section[d->last].z1;
    const double more = shown * (d->z1 - d->z0);
    d->breaks_0 = is_lower;
    d->breaks_1 = !is_lower;
    d->z0 -= is_lower ? more : 0;
    d->z1 += is_lower ? 0 : more;
    for (size_t i = d->first; i <= d->last; i++)
        add_end_section(d, pic, &staff->section[i]);
    return true;
}

static void add_rivet(struct detail *d, struct sw_pic *pic, const struct sw_section *s)
{
    if (!s->has_recess)
        return;
    const double face = s->points_down ? s->z1 : s->z0, in = s->points_down ? -1 : 1;
    const double lip = s->r0 - s->recess_lip, deep = s->recess_depth;
    add_label(d, face, s->r0 - s->recess_lip / 2,
              sw_pic_print(pic, "lip %s", sw_pic_mm(pic, s->recess_lip, 3)), "for riveting over");
    add_label(
        d, face + in * deep / 2, lip - deep / 2 * tan(s->recess_wall),
        sw_pic_print(pic, "wall %s\u00b0", sw_pic_plain(pic, s->recess_wall * 180 / acos(-1.0), 1)),
        "from the axis");
    add_length(d, face, face + in * deep, lip, lip, sw_pic_mm(pic, deep, 3));
}

static void add_core_section(struct detail *d, struct sw_pic *pic, const struct sw_section *s)
{
    const double pi = acos(-1.0);
    if (s->kind == SW_SECTION_RIVET)
        add_rivet(d, pic, s);
    if (s->kind == SW_SECTION_SEAT && s->bevel > 0) {
        const double z = s->is_lower_half ? s->z1 - s->bevel / 2 : s->z0 + s->bevel / 2;
        add_label(d, z, (s->is_lower_half ? s->r1 : s->r0) - s->bevel / 2,
                  sw_pic_print(pic, "%s \u00d7 45\u00b0", sw_pic_mm(pic, s->bevel, 3)), "bevel");
    }
    if (s->kind == SW_SECTION_HUB && s->hub_underside > 0) {
        const double land = s->hub_land_is_lower ? s->z1 - s->hub_land : s->z0 + s->hub_land;
        const double far = s->hub_land_is_lower ? s->z0 : s->z1;
        add_label(d, (land + far) / 2, (s->r0 + s->r1) / 2,
                  sw_pic_print(pic, "%s\u00b0", sw_pic_plain(pic, s->hub_underside * 180 / pi, 2)),
                  "to the axis");
        add_length(d, s->hub_land_is_lower ? s->z1 : s->z0, land, fmax(s->r0, s->r1),
                   fmax(s->r0, s->r1), sw_pic_mm(pic, s->hub_land, 3));
    }
    if (s->kind == SW_SECTION_GROOVE)
        add_label(
            d, s->z0 + s->groove_depth * tan(s->groove_flank) / 2, s->r0 + s->groove_depth / 2,
            sw_pic_print(pic, "flanks %s\u00b0", sw_pic_plain(pic, s->groove_flank * 180 / pi, 1)),
            sw_pic_print(pic, "%s deep", sw_pic_mm(pic, s->groove_depth, 3)));
}

/* Inner corners of the core: where a section meets a thicker one. */
static void add_corners(struct detail *d, struct sw_pic *pic)
{
    const struct sw_staff *staff = pic->from->shape->staff;
    for (size_t i = d->first; i < d->last; i++) {
        const struct sw_section *a = &staff->section[i], *b = a + 1;
        if (fabs(a->r1 - b->r0) <= SW_TOL_JOINT || a->kind == SW_SECTION_GROOVE ||
            b->kind == SW_SECTION_GROOVE || (a->kind == SW_SECTION_RIVET && a->has_recess) ||
            (b->kind == SW_SECTION_RIVET && b->has_recess))
            continue;
        const struct sw_section *thin = a->r1 < b->r0 ? a : b;
        if (thin->has_relief) {
            const double in = thin->is_lower_half ? 0.5 : -0.5;
            add_label(d, a->z1 + in * thin->relief_width, sw_section_relief_floor(thin),
                      sw_pic_print(pic, "relief %s", sw_pic_relief(pic, thin)), thin->name);
            continue;
        }
        add_label(d, a->z1, fmin(a->r1, b->r0),
                  sw_pic_print(pic, "R %s at most", sw_pic_mm(pic, thin->corner, 3)), thin->name);
    }
}

/* What lies round rivet, hub, groove and bevels. */
static bool fill_core(struct detail *d, struct sw_pic *pic)
{
    const struct sw_staff *staff = pic->from->shape->staff;
    *d = (struct detail){.title = "rivet and hub",
                         .first = staff->n,
                         .breaks_0 = true,
                         .breaks_1 = true,
                         .is_section = true};
    for (size_t i = 0; i < staff->n; i++) {
        const enum sw_section_kind kind = staff->section[i].kind;
        if (kind != SW_SECTION_RIVET && kind != SW_SECTION_HUB && kind != SW_SECTION_GROOVE)
            continue;
        d->first = d->first < staff->n ? d->first : i;
        d->last = i;
    }
    if (d->first == staff->n || d->first == 0 || d->last + 1 == staff->n)
        return false;
    if (d->first == d->last && staff->section[d->first].kind == SW_SECTION_GROOVE)
        d->title = "groove";
    static const double least = 0.08, share = 0.25; /* shown beside them: mm, of their length */
    d->z0 = staff->section[d->first].z0;
    d->z1 = staff->section[d->last].z1;
    const double more = fmax(least, share * (d->z1 - d->z0));
    const struct sw_section *before = &staff->section[d->first - 1];
    const struct sw_section *after = &staff->section[d->last + 1];
    d->z0 -= fmin(more, 0.8 * (before->z1 - before->z0));
    d->z1 += fmin(more, 0.8 * (after->z1 - after->z0));
    d->first--;
    d->last++;
    for (size_t i = d->first; i <= d->last; i++) {
        const struct sw_section *s = &staff->section[i];
        add_core_section(d, pic, s);
        if (i > d->first && i < d->last)
            add_length(d, s->z0, s->z1, s->r0, s->r1, sw_pic_mm(pic, s->z1 - s->z0, 3));
    }
    add_corners(d, pic);
    return true;
}

static double widest_of(const struct detail *d, const struct sw_pic *pic)
{
    const struct sw_contour *contour = &pic->from->shape->finished;
    enum { SAMPLES = 200 };
    double most = 0, r;
    for (int i = 0; i <= SAMPLES; i++)
        if (sw_contour_r_at(&r, contour, d->z0 + (d->z1 - d->z0) * i / SAMPLES))
            most = fmax(most, r);
    return most;
}

static enum sw_status draw_detail(struct sw_pic *pic, struct detail *d, struct sw_draw_box box)
{
    static const double title_high = 7, over_part = 3, below = 34;
    const double widest = widest_of(d, pic);
    const double row = sw_pic_label_height(d->label, d->n_labels);
    const double top = box.y0 + title_high + row + over_part;
    const double scale =
        sw_view_scale(d->z1 - d->z0, 2 * widest, box.x1 - box.x0 - 14, box.y1 - below - top);
    const struct sw_view view = {
        .origin = {(box.x0 + box.x1) / 2 - scale * (d->z0 + d->z1) / 2, top + scale * widest},
        .scale = scale,
        .z_sign = 1};
    sw_pic_bold(pic, box.x0, box.y0 + 3.5, SW_PIC_HEAD, SW_ALIGN_START,
                sw_pic_print(pic, "%s, %s : 1", d->title, sw_pic_plain(pic, scale, 1)));
    struct sw_contour part = {0};
    SW_TRY(sw_pic_clip(&part, &pic->from->shape->finished, d->z0, d->z1, pic->ctx));
    if (d->is_section) {
        struct sw_draw_path body = {0}, edge = {0};
        sw_pic_body(pic, &body, &view, &part);
        sw_draw_hatch(pic->to, &body, acos(-1.0) / 4, 2.5, fine);
        for (int side = 1; side >= -1; side -= 2)
            sw_pic_trace(pic, &edge, &view, &part, side);
        sw_draw_path(pic->to, &edge, thick, no_fill);
    } else {
        sw_pic_outline(pic, &view, &part, thick);
    }
    const double r0 = part.n ? part.at[0].a.r : 0, r1 = part.n ? part.at[part.n - 1].b.r : 0;
    if (d->breaks_0)
        sw_pic_break(pic, &view, d->z0, r0);
    if (d->breaks_1)
        sw_pic_break(pic, &view, d->z1, r1);
    sw_pic_axis(pic, &view, d->z0, d->z1);
    SW_TRY(
        sw_pic_label_row(pic, &view, d->label, d->n_labels, top - over_part - 7, box.x0, box.x1));
    double end;
    return sw_pic_lengths(&end, pic, &view, d->length, d->n_lengths, scale * widest + 7);
}

enum sw_status sw_pic_details(struct sw_pic *pic)
{
    static const double margin = 4, gap = 6;
    enum { MOST = 3 };
    struct detail *detail = SW_NEW(pic->ctx->arena, struct detail, MOST);
    if (!detail)
        return SW_MEMORY;
    size_t n = 0;
    n += fill_end(&detail[n], pic, false);
    n += fill_core(&detail[n], pic);
    n += fill_end(&detail[n], pic, true);
    const char *const note[] = {
        "Enlarged from the staff; scales differ. Sizes and limits of the whole staff hold.",
        "Hatched: cut open along the axis.",
        "\"At most\": the largest fillet an inner corner may keep, so that parts sit down."};
    sw_pic_page(pic, "details", "details", 0, note, sizeof note / sizeof *note);
    const double width = SW_PIC_RIGHT - SW_PIC_LEFT - 2 * margin;
    const double wide = (width - gap * (MOST - 1)) / MOST;
    for (size_t i = 0; i < n; i++) {
        const double x = SW_PIC_LEFT + margin + (double)i * (wide + gap);
        SW_TRY(draw_detail(pic, &detail[i],
                           (struct sw_draw_box){x, SW_PIC_TOP + margin, x + wide, SW_PIC_STRIP}));
    }
    return SW_OK;
}
