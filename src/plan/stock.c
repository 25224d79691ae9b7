/* What stands at the lathe at a moment of the plan: an upper bound of its radius along z, kept up
 * to date zone by zone, so that each cut is reckoned with what really bears it. */
#include <math.h>
#include <stdlib.h>

#include "geom/tol.h"
#include "plan/hang.h"
#include "plan/plan_int.h"

double sw_plan_stock_radius(const struct sw_planner *p, double z0, double z1)
{
    double most = 0;
    for (size_t i = 0; i < p->stock.n; i++) {
        const struct sw_box box = sw_seg_box(&p->stock.at[i]);
        if (box.z1 > z0 - SW_TOL_SLIVER && box.z0 < z1 + SW_TOL_SLIVER)
            most = fmax(most, box.r1);
    }
    return most;
}

enum sw_status sw_plan_join(struct sw_planner *p, struct sw_contour *to,
                            const struct sw_contour *more)
{
    for (size_t i = 0; i < more->n; i++) {
        const struct sw_seg seg = more->at[i];
        const struct sw_pt *end = to->n > 0 ? &to->at[to->n - 1].b : NULL;
        if (end && sw_pt_distance(*end, seg.a) > SW_TOL_POINT &&
            !sw_contour_add(p->ctx->arena, to, sw_seg_line(*end, seg.a, SW_TAG_NONE)))
            return SW_MEMORY;
        if (!sw_contour_add(p->ctx->arena, to, seg))
            return SW_MEMORY;
    }
    return SW_OK;
}

/* The face at a zone's inner end stands as roughed, and leans out by as much as the leading edge of
 * its tool leans back. Moves down beside it keep this far off anyway [mm]. */
static const double kept_off = 0.03;

static double stands_out(struct sw_planner *p, const struct sw_zone *zone)
{
    const double half_pi = 1.57079632679489661923;
    if (sw_plan_meets_finished(p, zone))
        return 0;
    const struct sw_tool *rough = sw_plan_rough_tool(p, zone->finish).tool;
    const double back = fmax(rough->cutting_angle.value, zone->finish.tool->cutting_angle.value);
    const double high = sw_plan_stock_radius(p, zone->z_in, zone->z_in);
    double low = high, face = 0;
    if (!sw_contour_r_at(&low, &p->turned, zone->z_in + SW_TOL_SLIVER) ||
        !sw_contour_r_at(&face, &p->turned, zone->z_in - SW_TOL_SLIVER) || face < low + kept_off)
        return 0;
    const double lean = (high - low) * tan(fmin(fmax(back - half_pi, 0), half_pi / 2));
    return fmax(0, sw_plan_roughed_to(p, zone) + lean - kept_off);
}

/* What stands there after a zone is finished: what is cut next is borne by it. */
enum sw_status sw_plan_take_from_stock(struct sw_planner *p, const struct sw_zone *zone)
{
    if (p->hang.is_on)
        return sw_hang_take(p, zone);
    const struct sw_box box = sw_contour_box(&p->stock);
    struct sw_contour form, piece, left = {0};
    SW_TRY(sw_contour_envelope(&form, &p->turned, HUGE_VAL, HUGE_VAL, p->ctx));
    const double tip = sw_contour_box(&form).z1;
    const double z_in = fmin(fmax(zone->z_in + stands_out(p, zone), box.z0), zone->z_out);
    /* With this zone its own face is finished, on which the last one left what stands out. */
    const bool had_face = p->face_out > 0 && fabs(p->face_z - zone->z_out) < SW_TOL_SLIVER;
    const double z_out = fmin(zone->z_out + (had_face ? p->face_out : 0), tip);
    p->face_z = zone->z_in;
    p->face_out = z_in - zone->z_in;
    if (z_in > box.z0 + SW_TOL_SLIVER) {
        SW_TRY(sw_contour_piece(&piece, &p->stock, box.z0, z_in, p->ctx));
        SW_TRY(sw_plan_join(p, &left, &piece));
    }
    if (z_out > z_in + SW_TOL_SLIVER) {
        SW_TRY(sw_contour_piece(&piece, &form, z_in, z_out, p->ctx));
        SW_TRY(sw_plan_join(p, &left, &piece));
    }
    if (z_out < box.z1 - SW_TOL_SLIVER && !zone->is_tip) {
        SW_TRY(sw_contour_piece(&piece, &p->stock, z_out, box.z1, p->ctx));
        SW_TRY(sw_plan_join(p, &left, &piece));
    }
    p->stock = left;
    return SW_OK;
}

enum sw_status sw_plan_stock_is_cylinder(struct sw_planner *p, double z_in, double r)
{
    const struct sw_box box = sw_contour_box(&p->stock);
    struct sw_contour piece, left = {0}, rest = {0};
    SW_TRY(sw_contour_piece(&piece, &p->stock, box.z0, z_in, p->ctx));
    SW_TRY(sw_plan_join(p, &left, &piece));
    if (!sw_contour_add(
            p->ctx->arena, &rest,
            sw_seg_line((struct sw_pt){z_in, r}, (struct sw_pt){box.z1, r}, SW_TAG_NONE)))
        return SW_MEMORY;
    SW_TRY(sw_plan_join(p, &left, &rest));
    p->stock = left;
    return SW_OK;
}

enum sw_status sw_plan_stock_between(struct sw_planner *p, const struct sw_contour *in,
                                     const struct sw_contour *out)
{
    struct sw_contour all = {0};
    SW_TRY(sw_plan_join(p, &all, in));
    SW_TRY(sw_plan_join(p, &all, &p->stock));
    SW_TRY(sw_plan_join(p, &all, out));
    p->stock = all;
    return SW_OK;
}

static int by_z(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* What the lowest level leaves that runs over a place. */
static double left_by(const struct sw_op *op, double z)
{
    double least = HUGE_VAL;
    for (size_t i = 0; i < op->n_passes; i++) {
        const struct sw_box box = sw_contour_box(&op->pass[i].run);
        if (z > box.z0 && z < box.z1)
            least = fmin(least, box.r1 - op->tool->nose_radius.value);
    }
    return least;
}

enum sw_status sw_plan_stock_after(struct sw_planner *p, const struct sw_op *op, double z0,
                                   double z1)
{
    double *at = SW_NEW(p->ctx->arena, double, 2 * op->n_passes + 2);
    struct sw_contour stairs = {0};
    size_t n = 0;
    if (!at)
        return SW_MEMORY;
    at[n++] = z0;
    at[n++] = z1;
    for (size_t i = 0; i < op->n_passes; i++) {
        const struct sw_box box = sw_contour_box(&op->pass[i].run);
        at[n++] = fmin(fmax(box.z0, z0), z1);
        at[n++] = fmin(fmax(box.z1, z0), z1);
    }
    qsort(at, n, sizeof *at, by_z);
    for (size_t i = 0; i + 1 < n; i++) {
        if (at[i + 1] - at[i] < SW_TOL_SLIVER)
            continue;
        const double middle = (at[i] + at[i + 1]) / 2;
        const double r = fmin(left_by(op, middle), sw_plan_stock_radius(p, at[i], at[i + 1]));
        struct sw_contour step = {0};
        if (!sw_contour_add(
                p->ctx->arena, &step,
                sw_seg_line((struct sw_pt){at[i], r}, (struct sw_pt){at[i + 1], r}, SW_TAG_NONE)))
            return SW_MEMORY;
        SW_TRY(sw_plan_join(p, &stairs, &step));
    }
    p->stock = stairs;
    return SW_OK;
}

enum sw_status sw_plan_stock_cut(struct sw_planner *p, const struct sw_op *op)
{
    const struct sw_contour before = p->stock;
    const struct sw_box box = sw_contour_box(&before);
    struct sw_contour in = {0}, out = {0};
    double z0 = box.z1, z1 = box.z0;
    for (size_t i = 0; i < op->n_passes; i++) {
        const struct sw_box run = sw_contour_box(&op->pass[i].run);
        z0 = fmin(z0, run.z0);
        z1 = fmax(z1, run.z1);
    }
    z0 = fmax(z0, box.z0);
    z1 = fmin(z1, box.z1);
    if (z1 < z0 + SW_TOL_SLIVER)
        return SW_OK;
    SW_TRY(sw_plan_stock_after(p, op, z0, z1));
    if (z0 > box.z0 + SW_TOL_SLIVER)
        SW_TRY(sw_contour_piece(&in, &before, box.z0, z0, p->ctx));
    if (z1 < box.z1 - SW_TOL_SLIVER)
        SW_TRY(sw_contour_piece(&out, &before, z1, box.z1, p->ctx));
    return sw_plan_stock_between(p, &in, &out);
}
