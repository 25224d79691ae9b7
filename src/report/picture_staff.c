/* The staff with its sizes. */
#include "report/picture_int.h"

#include <math.h>
#include <string.h>

#include "report/tables.h"

/* Most labels a section can have here. */
enum { LABELS_EACH = 2, N_NOTES = 5 };

static const double room_for_lengths = 44; /* below the part [mm] */

/* The band that most sections have, and which the notes say once. */
static struct sw_band common_length_band(const struct sw_staff *staff)
{
    struct sw_band best = {0};
    size_t most = 0;
    for (size_t i = 0; i < staff->n; i++) {
        size_t n = 0;
        for (size_t k = 0; k < staff->n; k++)
            n += !staff->section[k].is_free &&
                 staff->section[k].length_tolerance.lower ==
                     staff->section[i].length_tolerance.lower &&
                 staff->section[k].length_tolerance.upper ==
                     staff->section[i].length_tolerance.upper;
        if (!staff->section[i].is_free && n > most) {
            most = n;
            best = staff->section[i].length_tolerance;
        }
    }
    return best;
}

static double outline_r(const struct sw_pic *pic, double z)
{
    double r = 0;
    return sw_contour_r_at(&r, &pic->from->shape->finished, z) ? r : 0;
}

static const char *about(struct sw_pic *pic, const struct sw_section *section)
{
    if (section->kind == SW_SECTION_SEAT && section->taper != 0)
        return sw_pic_print(pic, "%s, taper 1:%s, %s", section->name,
                            sw_pic_plain(pic, 1 / fabs(section->taper), 1),
                            sw_report_finish(section->finish));
    return sw_pic_print(pic, "%s, %s", section->name, sw_report_finish(section->finish));
}

/* Where a diameter is shown: a taper at its thick end, a cone at its ridge, a back slope at its
 * root, the rest in the middle. */
static bool place_of(double *z, double *r, const struct sw_staff *staff, size_t i)
{
    const struct sw_section *section = &staff->section[i];
    static const double from_end = 0.12; /* of the length: clear of the edge */
    const double length = section->z1 - section->z0;
    const bool is_thick_first = section->r0 > section->r1;
    const struct sw_section *next = i + 1 < staff->n ? section + 1 : section - 1;
    switch (section->kind) {
    case SW_SECTION_CONE:
        *z = section->points_down ? section->z0 : section->z1;
        *r = fmax(section->r0, section->r1);
        return true;
    case SW_SECTION_BACK_SLOPE:
        *z = section->points_down ? section->z0 : section->z1;
        *r = fmin(section->r0, section->r1);
        return true;
    case SW_SECTION_RIVET: /* has the size of the seat behind it */
        next = section->points_down ? section - 1 : section + 1;
        *z = (section->z0 + section->z1) / 2;
        *r = section->r0;
        return next->r0 != section->r0;
    case SW_SECTION_HUB:
        *z = section->hub_underside <= 0  ? (section->z0 + section->z1) / 2
             : section->hub_land_is_lower ? section->z1 - section->hub_land / 2
                                          : section->z0 + section->hub_land / 2;
        *r = fmax(section->r0, section->r1);
        return true;
    case SW_SECTION_TAPER:
    case SW_SECTION_SEAT:
        if (section->r0 != section->r1) {
            *z = is_thick_first ? section->z0 + from_end * length : section->z1 - from_end * length;
            *r = is_thick_first ? section->r0 : section->r1;
            return true;
        }
        break;
    case SW_SECTION_PIVOT:
    case SW_SECTION_CYLINDER:
    case SW_SECTION_GROOVE:
        break;
    }
    *z = (section->z0 + section->z1) / 2;
    *r = section->r0;
    return true;
}

static size_t fill_labels(struct sw_pic *pic, struct sw_pic_label *label)
{
    const struct sw_staff *staff = pic->from->shape->staff;
    size_t n = 0;
    for (size_t i = 0; i < staff->n; i++) {
        const struct sw_section *section = &staff->section[i];
        double z, r;
        if (!place_of(&z, &r, staff, i))
            continue;
        label[n++] =
            (struct sw_pic_label){.z = z,
                                  .r = r,
                                  .is_diameter = true,
                                  .main = sw_pic_diameter(pic, 2 * r, 4),
                                  .limits = sw_pic_limits(pic, &section->diameter_tolerance),
                                  .under = about(pic, section)};
    }
    return n;
}

static size_t fill_lengths(struct sw_pic *pic, struct sw_pic_length *length)
{
    const struct sw_staff *staff = pic->from->shape->staff;
    const struct sw_band common = common_length_band(staff);
    size_t n = 0;
    for (size_t i = 0; i < staff->n; i++) {
        const struct sw_section *section = &staff->section[i];
        const struct sw_band *band = &section->length_tolerance;
        const bool is_common = band->lower == common.lower && band->upper == common.upper;
        const char *size = sw_pic_mm(pic, section->z1 - section->z0, 3);
        length[n++] = (struct sw_pic_length){
            .z0 = section->z0,
            .z1 = section->z1,
            .r0 = outline_r(pic, section->z0),
            .r1 = outline_r(pic, section->z1),
            .main = section->is_free ? sw_pic_print(pic, "(%s)", size) : size,
            .limits = section->is_free || is_common ? (struct sw_pic_limits){0}
                                                    : sw_pic_limits(pic, band)};
    }
    for (size_t i = 0; i < staff->n_heights; i++) {
        const struct sw_height *height = &staff->height[i];
        length[n++] = (struct sw_pic_length){.z0 = height->z,
                                             .z1 = staff->total,
                                             .r0 = outline_r(pic, height->z),
                                             .main = sw_pic_mm(pic, height->from_lower_tip, 3),
                                             .limits = sw_pic_limits(pic, &height->tolerance)};
    }
    length[n++] = (struct sw_pic_length){.z0 = 0,
                                         .z1 = staff->total,
                                         .main = sw_pic_mm(pic, staff->total, 3),
                                         .limits = sw_pic_limits(pic, &staff->total_tolerance)};
    return n;
}

/* ISO 128: a thick chain line beside a surface says that it is treated. */
static void mark_finishes(struct sw_pic *pic, const struct sw_view *view)
{
    static const struct sw_pen chain = {SW_PIC_THICK, SW_DASH_CLOSE_CHAIN, SW_PIC_BLACK};
    static const double beside = 1.1; /* mm on the page */
    const struct sw_staff *staff = pic->from->shape->staff;
    for (size_t i = 0; i < staff->n; i++) {
        const struct sw_section *section = &staff->section[i];
        const double off = beside / view->scale;
        if (section->finish != SW_FINISH_TURNED)
            sw_draw_line(pic->to, sw_view_pt(view, section->z0, -section->r0 - off),
                         sw_view_pt(view, section->z1, -section->r1 - off), chain);
    }
}

const char *sw_pic_relief(struct sw_pic *pic, const struct sw_section *section)
{
    return sw_pic_print(pic, "%s \u00d7 %s deep", sw_pic_mm(pic, section->relief_width, 3),
                        sw_pic_mm(pic, section->relief_depth, 3));
}

/* "R 0.02 (balance seat, roller seat), elsewhere R 0.03" */
static const char *corner_note(struct sw_pic *pic)
{
    const struct sw_staff *staff = pic->from->shape->staff;
    double usual = 0;
    size_t most = 0;
    for (size_t i = 0; i < staff->n; i++) {
        size_t n = 0;
        for (size_t k = 0; k < staff->n && !staff->section[i].has_relief; k++)
            n += !staff->section[k].has_relief &&
                 staff->section[k].corner == staff->section[i].corner;
        usual = n > most ? staff->section[i].corner : usual;
        most = n > most ? n : most;
    }
    const char *text =
        sw_pic_print(pic, "Inner corners: fillet R %s at most", sw_pic_mm(pic, usual, 3));
    bool is_first = true;
    for (size_t i = 0; i < staff->n; i++) {
        const struct sw_section *section = &staff->section[i];
        if (section->corner == usual || section->has_relief)
            continue;
        text = sw_pic_print(pic, "%s%s R %s at %s", text, is_first ? ";" : ",",
                            sw_pic_mm(pic, section->corner, 3), section->name);
        is_first = false;
    }
    for (size_t i = 0; i < staff->n; i++) {
        const struct sw_section *section = &staff->section[i];
        if (section->has_relief)
            text = sw_pic_print(pic, "%s; relief groove %s at %s", text,
                                sw_pic_relief(pic, section), section->name);
    }
    return sw_pic_print(pic, "%s.", text);
}

static const char *edge_note(struct sw_pic *pic)
{
    const struct sw_staff *staff = pic->from->shape->staff;
    double least = HUGE_VAL, most = 0;
    for (size_t i = 0; i < staff->n; i++) {
        const enum sw_section_kind kind = staff->section[i].kind;
        if (kind == SW_SECTION_PIVOT || kind == SW_SECTION_CONE || kind == SW_SECTION_BACK_SLOPE ||
            kind == SW_SECTION_GROOVE)
            continue; /* their edges have forms of their own */
        least = fmin(least, staff->section[i].edge);
        most = fmax(most, staff->section[i].edge);
    }
    if (most <= 0 || !isfinite(least))
        return "Outer edges sharp, without burr.";
    return least == most
               ? sw_pic_print(pic, "Outer edges broken, R %s at most.", sw_pic_mm(pic, most, 3))
               : sw_pic_print(pic, "Outer edges broken, R %s to %s at most.",
                              sw_pic_mm(pic, least, 3), sw_pic_mm(pic, most, 3));
}

enum sw_status sw_pic_staff(struct sw_pic *pic)
{
    const struct sw_staff *staff = pic->from->shape->staff;
    struct sw_pic_label *label =
        SW_NEW(pic->ctx->arena, struct sw_pic_label, LABELS_EACH * staff->n);
    struct sw_pic_length *length =
        SW_NEW(pic->ctx->arena, struct sw_pic_length, staff->n + staff->n_heights + 1);
    if (!label || !length)
        return SW_MEMORY;
    const size_t n_labels = fill_labels(pic, label), n_lengths = fill_lengths(pic, length);

    static const double margin = 3, over_part = 4, beside = 14;
    const double top = SW_PIC_TOP + margin + sw_pic_label_height(label, n_labels) + over_part;
    const double widest = 2 * sw_staff_widest(staff);
    const double scale =
        sw_view_scale(staff->total, widest, SW_PIC_RIGHT - SW_PIC_LEFT - 2 * beside,
                      SW_PIC_STRIP - margin - room_for_lengths - top);
    const struct sw_view view = {.origin = {(SW_PIC_LEFT + SW_PIC_RIGHT - scale * staff->total) / 2,
                                            top + scale * widest / 2},
                                 .scale = scale,
                                 .z_sign = 1};

    const struct sw_band common = common_length_band(staff);
    const struct sw_pic_limits limits = sw_pic_limits(pic, &common);
    const char *note[N_NOTES] = {
        limits.lower
            ? sw_pic_print(pic, "Lengths without limits: %s / %s. In brackets: closes its chain.",
                           limits.upper, limits.lower)
            : sw_pic_print(pic, "Lengths without limits: %s. In brackets: closes its chain.",
                           limits.upper ? limits.upper : "exact"),
        corner_note(pic), edge_note(pic),
        "Thick chain line: surface stoned or burnished, as its label says; sizes are finished "
        "sizes.",
        "Heights count from the lower tip. Upper tip on the left, lower tip on the right."};
    sw_pic_page(pic, "staff", "balance staff", scale, note, N_NOTES);
    sw_pic_outline(pic, &view, &pic->from->shape->finished,
                   (struct sw_pen){SW_PIC_THICK, SW_DASH_CONTINUOUS, SW_PIC_BLACK});
    sw_pic_axis(pic, &view, 0, staff->total);
    mark_finishes(pic, &view);
    SW_TRY(sw_pic_label_row(pic, &view, label, n_labels,
                            SW_PIC_TOP + margin + sw_pic_label_height(label, n_labels) - 7,
                            SW_PIC_LEFT + 2, SW_PIC_RIGHT - 2));
    double end;
    return sw_pic_lengths(&end, pic, &view, length, n_lengths, scale * widest / 2 + 8);
}
