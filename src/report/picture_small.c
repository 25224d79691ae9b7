/* The staff small, its sections numbered as the tables of the sheet number them. */
#include <math.h>

#include "draw/lanes.h"
#include "report/picture_int.h"

static const struct sw_pen thick = {SW_PIC_THICK, SW_DASH_CONTINUOUS, SW_PIC_BLACK};
static const struct sw_pen fine = {SW_PIC_FINE, SW_DASH_CONTINUOUS, SW_PIC_BLACK};

/* Room for the numbers above the part, and for the part itself [mm]; from a number to the foot of
 * its line. */
static const double above = 10, part_high = 14, knee = 3.5, number_width = 5.5;

static enum sw_status draw_numbers(struct sw_pic *pic, const struct sw_view *view,
                                   struct sw_draw_box box)
{
    enum { ROWS = 5 };
    const struct sw_staff *staff = pic->from->shape->staff;
    const size_t n = staff->n;
    double *number = SW_NEW(pic->ctx->arena, double, ROWS *n);
    if (!number)
        return SW_MEMORY;
    double *at = number, *want = number + n, *width = number + 2 * n, *scratch = number + 3 * n;
    for (size_t i = 0; i < n; i++) {
        const struct sw_section *section = &staff->section[i];
        want[i] = sw_view_pt(view, (section->z0 + section->z1) / 2, 0).x;
        width[i] = number_width;
    }
    sw_lanes_spread(at, want, width, n, box.x0, box.x1, scratch);
    for (size_t i = 0; i < n; i++) {
        const double z = (staff->section[i].z0 + staff->section[i].z1) / 2;
        double r = 0;
        if (!sw_contour_r_at(&r, &pic->from->shape->finished, z))
            r = 0;
        const struct sw_draw_pt foot = {at[i], box.y0 + SW_PIC_TEXT + 1.2};
        const struct sw_draw_pt bent = {want[i], foot.y + knee};
        sw_pic_text(pic, at[i], box.y0 + SW_PIC_TEXT, SW_PIC_TEXT, SW_ALIGN_MIDDLE,
                    sw_pic_print(pic, "%zu", i + 1));
        sw_draw_line(pic->to, foot, bent, fine);
        sw_draw_line(pic->to, bent, sw_view_pt(view, z, r), fine);
    }
    return SW_OK;
}

enum sw_status sw_pic_staff_figure(double *high, struct sw_pic *pic, struct sw_draw_box box)
{
    const struct sw_staff *staff = pic->from->shape->staff;
    const double widest = 2 * sw_staff_widest(staff), beside = 12;
    const double scale =
        sw_view_scale(staff->total, widest, box.x1 - box.x0 - 2 * beside, part_high);
    const struct sw_view view = {.origin = {(box.x0 + box.x1 - scale * staff->total) / 2,
                                            box.y0 + above + scale * widest / 2},
                                 .scale = scale,
                                 .z_sign = 1};
    sw_pic_outline(pic, &view, &pic->from->shape->finished, thick);
    sw_pic_axis(pic, &view, 0, staff->total);
    SW_TRY(draw_numbers(pic, &view, box));
    sw_pic_text(pic, box.x0, box.y0 + SW_PIC_SMALL + 0.7, SW_PIC_SMALL, SW_ALIGN_START,
                sw_pic_print(pic, "%s : 1", sw_pic_plain(pic, scale, 2)));
    sw_pic_text(pic, box.x1, box.y0 + SW_PIC_SMALL + 0.7, SW_PIC_SMALL, SW_ALIGN_END,
                "numbers as in the tables of sizes");
    struct sw_pic_length *length =
        SW_NEW(pic->ctx->arena, struct sw_pic_length, staff->n_heights + 1);
    if (!length)
        return SW_MEMORY;
    size_t n = 0;
    for (; n < staff->n_heights; n++) {
        double r = 0;
        if (!sw_contour_r_at(&r, &pic->from->shape->finished, staff->height[n].z))
            r = 0;
        length[n] =
            (struct sw_pic_length){.z0 = staff->height[n].z,
                                   .z1 = staff->total,
                                   .r0 = r,
                                   .main = sw_pic_mm(pic, staff->height[n].from_lower_tip, 3),
                                   .limits = sw_pic_limits(pic, &staff->height[n].tolerance)};
    }
    length[n++] = (struct sw_pic_length){.z1 = staff->total,
                                         .main = sw_pic_mm(pic, staff->total, 3),
                                         .limits = sw_pic_limits(pic, &staff->total_tolerance)};
    double end;
    SW_TRY(sw_pic_lengths(&end, pic, &view, length, n, scale * widest / 2 + 5));
    *high = view.origin.y + end - box.y0;
    return SW_OK;
}
