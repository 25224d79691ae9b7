#include "geom/contour.h"

#include <math.h>

#include "geom/geom_int.h"

bool sw_contour_add(struct sw_arena *arena, struct sw_contour *contour, struct sw_seg seg)
{
    return SW_VEC_PUSH(arena, contour, seg);
}

bool sw_contour_is_joined(const struct sw_contour *contour)
{
    for (size_t i = 1; i < contour->n; i++)
        if (sw_pt_distance(contour->at[i - 1].b, contour->at[i].a) > SW_TOL_POINT)
            return false;
    return true;
}

bool sw_contour_is_closed(const struct sw_contour *contour)
{
    return contour->n > 0 && sw_contour_is_joined(contour) &&
           sw_pt_distance(contour->at[contour->n - 1].b, contour->at[0].a) <= SW_TOL_POINT;
}

double sw_contour_length(const struct sw_contour *contour)
{
    double length = 0;
    for (size_t i = 0; i < contour->n; i++)
        length += sw_seg_length(&contour->at[i]);
    return length;
}

struct sw_box sw_contour_box(const struct sw_contour *contour)
{
    struct sw_box all = {0};
    for (size_t i = 0; i < contour->n; i++) {
        const struct sw_box box = sw_seg_box(&contour->at[i]);
        if (i == 0) {
            all = box;
            continue;
        }
        all.z0 = fmin(all.z0, box.z0);
        all.r0 = fmin(all.r0, box.r0);
        all.z1 = fmax(all.z1, box.z1);
        all.r1 = fmax(all.r1, box.r1);
    }
    return all;
}

double sw_contour_area(const struct sw_contour *contour)
{
    if (contour->n == 0)
        return 0;
    /* Measured from a point of the contour: the products stay of the size of the area. */
    const struct sw_pt from = contour->at[0].a;
    double area = 0;
    for (size_t i = 0; i < contour->n; i++) {
        const struct sw_seg *seg = &contour->at[i];
        area += sw_geom_cross(sw_geom_less(seg->a, from), sw_geom_less(seg->b, from)) / 2;
        if (seg->kind == SW_SEG_ARC) {
            const double sweep = sw_seg_sweep(seg), radius = sw_seg_radius(seg);
            area += radius * radius / 2 * (sweep - sin(sweep));
        }
    }
    return area;
}

double sw_contour_distance(const struct sw_contour *contour, struct sw_pt p, size_t *seg)
{
    double least = HUGE_VAL;
    for (size_t i = 0; i < contour->n; i++) {
        double distance;
        sw_seg_nearest(&contour->at[i], p, &distance);
        if (distance < least) {
            least = distance;
            if (seg)
                *seg = i;
        }
    }
    return least;
}

/* Mirrors and swaps turn the sense of an arc, and running the chain backwards turns it again: the
 * sense stays and the ends change places. */
enum sw_status sw_contour_place(struct sw_contour *out, const struct sw_contour *in, int sign,
                                double shift, struct sw_ctx *ctx)
{
    if ((sign != 1 && sign != -1) || !isfinite(shift))
        return SW_INTERNAL;
    struct sw_contour placed = {0};
    for (size_t i = 0; i < in->n; i++) {
        struct sw_seg seg = in->at[sign > 0 ? i : in->n - 1 - i];
        seg.a.z = sign * seg.a.z + shift;
        seg.b.z = sign * seg.b.z + shift;
        seg.c.z = seg.kind == SW_SEG_ARC ? sign * seg.c.z + shift : 0;
        if (sign < 0) {
            const struct sw_pt a = seg.a;
            seg.a = seg.b;
            seg.b = a;
        }
        if (!sw_contour_add(ctx->arena, &placed, seg))
            return SW_MEMORY;
    }
    *out = placed;
    return SW_OK;
}

static struct sw_pt swapped(struct sw_pt p)
{
    return (struct sw_pt){p.r, p.z};
}

enum sw_status sw_contour_swap(struct sw_contour *out, const struct sw_contour *in,
                               struct sw_ctx *ctx)
{
    struct sw_contour view = {0};
    for (size_t i = 0; i < in->n; i++) {
        const struct sw_seg *from = &in->at[in->n - 1 - i];
        struct sw_seg seg = *from;
        seg.a = swapped(from->b);
        seg.b = swapped(from->a);
        seg.c = swapped(from->c);
        if (!sw_contour_add(ctx->arena, &view, seg))
            return SW_MEMORY;
    }
    *out = view;
    return SW_OK;
}

static void raise(double *high, bool *is_hit, double r)
{
    *high = *is_hit ? fmax(*high, r) : r;
    *is_hit = true;
}

/* An arc of less than half a circle lies in the circle over its chord; most of a contour's are told
 * by that to be elsewhere, without roots. */
static bool is_far_from(const struct sw_seg *arc, double z)
{
    const struct sw_pt u = sw_geom_less(arc->a, arc->c), w = sw_geom_less(arc->b, arc->c);
    const double reach = fabs(arc->b.z - arc->a.z) + fabs(arc->b.r - arc->a.r) + SW_TOL_POINT;
    return fabs(2 * z - arc->a.z - arc->b.z) > 2 * reach && arc->turn * sw_geom_cross(u, w) > 0;
}

/* What one segment has at Z. */
static void raise_by(double *high, bool *is_hit, const struct sw_seg *seg, double z)
{
    if (fabs(seg->a.z - z) <= SW_TOL_POINT)
        raise(high, is_hit, seg->a.r);
    if (fabs(seg->b.z - z) <= SW_TOL_POINT)
        raise(high, is_hit, seg->b.r);
    if (seg->kind == SW_SEG_LINE) {
        const double dz = seg->b.z - seg->a.z, t = dz != 0 ? (z - seg->a.z) / dz : -1;
        if (t >= 0 && t <= 1)
            raise(high, is_hit, seg->a.r + t * (seg->b.r - seg->a.r));
        return;
    }
    if (is_far_from(seg, z))
        return;
    const double radius = sw_seg_radius(seg), dz = z - seg->c.z;
    if (fabs(dz) > radius)
        return;
    const double height = sqrt((radius - dz) * (radius + dz));
    for (int side = -1; side <= 1; side += 2) {
        const struct sw_pt p = {z, seg->c.r + side * height};
        double share;
        if (sw_geom_arc_passes(seg, p, &share))
            raise(high, is_hit, p.r);
    }
}

bool sw_contour_r_at(double *r, const struct sw_contour *contour, double z)
{
    double high = 0;
    bool is_hit = false;
    for (size_t i = 0; i < contour->n; i++)
        raise_by(&high, &is_hit, &contour->at[i], z);
    if (is_hit)
        *r = high;
    return is_hit;
}

/* The first of N places, STEP apart from Z on, that is not before AT. */
static size_t place_from(double at, double z, double step, size_t n)
{
    const double place = ceil((at - z) / step);
    return !(place > 0) ? 0 : place < (double)n ? (size_t)place : n;
}

void sw_contour_sample(double *r, const struct sw_contour *contour, double z, double step, size_t n)
{
    const double margin = 4 * SW_TOL_POINT;
    for (size_t k = 0; k < n; k++)
        r[k] = (double)NAN;
    for (size_t i = 0; i < contour->n; i++) {
        const struct sw_box box = sw_seg_box(&contour->at[i]);
        const size_t end = place_from(box.z1 + margin, z, step, n);
        for (size_t k = place_from(box.z0 - margin, z, step, n); k < end; k++) {
            double high = r[k];
            bool is_hit = !isnan(high);
            raise_by(&high, &is_hit, &contour->at[i], z + (double)k * step);
            if (is_hit)
                r[k] = high;
        }
    }
}
