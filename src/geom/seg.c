#include "geom/seg.h"

#include <math.h>

#include "geom/geom_int.h"

/* Sine of an angle [rad] that rounding does not touch. */
#define CLEAR 1e-9

struct sw_seg sw_seg_line(struct sw_pt a, struct sw_pt b, int tag)
{
    return (struct sw_seg){.kind = SW_SEG_LINE, .a = a, .b = b, .tag = tag};
}

struct sw_seg sw_seg_arc(struct sw_pt a, struct sw_pt b, struct sw_pt c, int turn, int tag)
{
    return (struct sw_seg){
        .kind = SW_SEG_ARC, .a = a, .b = b, .c = c, .turn = turn >= 0 ? 1 : -1, .tag = tag};
}

struct sw_seg sw_seg_reverse(struct sw_seg seg)
{
    const struct sw_pt a = seg.a;
    seg.a = seg.b;
    seg.b = a;
    seg.turn = -seg.turn;
    return seg;
}

double sw_pt_distance(struct sw_pt a, struct sw_pt b)
{
    return sw_geom_size((struct sw_pt){b.z - a.z, b.r - a.r});
}

double sw_seg_radius(const struct sw_seg *seg)
{
    if (seg->kind != SW_SEG_ARC)
        return 0;
    return (sw_pt_distance(seg->a, seg->c) + sw_pt_distance(seg->b, seg->c)) / 2;
}

/* Angle from direction U to direction W in the sense TURN, [0, 2 pi). */
static double turned_angle(struct sw_pt u, struct sw_pt w, int turn)
{
    const double angle = turn * atan2(sw_geom_cross(u, w), sw_geom_dot(u, w));
    return angle < 0 ? angle + 2 * SW_GEOM_PI : angle;
}

/* Size of the swept angle, (0, 2 pi]. */
static double swept(const struct sw_seg *arc)
{
    if (sw_pt_distance(arc->a, arc->b) <= SW_TOL_POINT)
        return 2 * SW_GEOM_PI;
    return turned_angle(sw_geom_less(arc->a, arc->c), sw_geom_less(arc->b, arc->c), arc->turn);
}

double sw_seg_sweep(const struct sw_seg *seg)
{
    return seg->kind == SW_SEG_ARC ? seg->turn * swept(seg) : 0;
}

double sw_seg_length(const struct sw_seg *seg)
{
    if (seg->kind == SW_SEG_ARC)
        return sw_seg_radius(seg) * swept(seg);
    return sw_pt_distance(seg->a, seg->b);
}

static struct sw_pt turned(struct sw_pt u, double angle)
{
    const double c = cos(angle), s = sin(angle);
    return (struct sw_pt){u.z * c - u.r * s, u.z * s + u.r * c};
}

/* The radius runs evenly from that of the start to that of the end: an arc read from a rounded
 * text then still joins its neighbours. */
static struct sw_pt arc_at(const struct sw_seg *arc, double t, double sweep)
{
    const struct sw_pt u = sw_geom_less(arc->a, arc->c);
    const double ra = sw_geom_size(u), rb = sw_pt_distance(arc->b, arc->c);
    if (ra <= 0)
        return arc->a;
    const double scale = 1 + (rb - ra) / ra * t;
    return sw_geom_plus(arc->c, sw_geom_times(turned(u, arc->turn * t * sweep), scale));
}

struct sw_pt sw_seg_at(const struct sw_seg *seg, double t)
{
    if (t <= 0)
        return seg->a;
    if (t >= 1)
        return seg->b;
    if (seg->kind == SW_SEG_ARC)
        return arc_at(seg, t, swept(seg));
    return sw_geom_plus(seg->a, sw_geom_times(sw_geom_less(seg->b, seg->a), t));
}

struct sw_pt sw_seg_direction(const struct sw_seg *seg, double t)
{
    const struct sw_pt none = {1, 0};
    struct sw_pt along;
    if (seg->kind == SW_SEG_ARC) {
        const struct sw_pt out = sw_geom_less(sw_seg_at(seg, t), seg->c);
        along = sw_geom_times(sw_geom_left(out), seg->turn);
    } else {
        along = sw_geom_less(seg->b, seg->a);
    }
    const double size = sw_geom_size(along);
    return size > SW_TOL_POINT ? sw_geom_times(along, 1 / size) : none;
}

double sw_seg_nearest(const struct sw_seg *seg, struct sw_pt p, double *distance)
{
    double t = 0;
    struct sw_pt q = seg->a;
    if (seg->kind == SW_SEG_ARC) {
        const struct sw_pt u = sw_geom_less(seg->a, seg->c), w = sw_geom_less(p, seg->c);
        const double sweep = swept(seg), angle = turned_angle(u, w, seg->turn);
        if (sw_geom_size(w) <= SW_TOL_POINT)
            t = 0; /* the centre is equally far from all of the arc */
        else if (angle <= sweep)
            t = angle / sweep;
        else
            t = sw_pt_distance(p, seg->a) <= sw_pt_distance(p, seg->b) ? 0 : 1;
        q = t <= 0 ? seg->a : t >= 1 ? seg->b : arc_at(seg, t, sweep);
    } else {
        const struct sw_pt d = sw_geom_less(seg->b, seg->a);
        const double size2 = sw_geom_dot(d, d);
        if (size2 > 0)
            t = sw_geom_clamp(sw_geom_dot(sw_geom_less(p, seg->a), d) / size2, 0, 1);
        q = sw_seg_at(seg, t);
    }
    if (distance)
        *distance = sw_pt_distance(p, q);
    return t;
}

bool sw_geom_arc_passes(const struct sw_seg *arc, struct sw_pt p, double *share)
{
    const double sweep = swept(arc), radius = sw_seg_radius(arc);
    const double slack = radius > SW_TOL_POINT ? SW_TOL_POINT / radius : 1;
    const double angle =
        turned_angle(sw_geom_less(arc->a, arc->c), sw_geom_less(p, arc->c), arc->turn);
    if (angle <= sweep)
        *share = angle / sweep;
    else if (angle <= sweep + slack)
        *share = 1;
    else if (angle >= 2 * SW_GEOM_PI - slack)
        *share = 0;
    else
        return false;
    return true;
}

struct sw_box sw_seg_box(const struct sw_seg *seg)
{
    struct sw_box box = {fmin(seg->a.z, seg->b.z), fmin(seg->a.r, seg->b.r),
                         fmax(seg->a.z, seg->b.z), fmax(seg->a.r, seg->b.r)};
    if (seg->kind != SW_SEG_ARC)
        return box;
    static const struct sw_pt way[] = {{1, 0}, {0, 1}, {-1, 0}, {0, -1}};
    const double radius = sw_seg_radius(seg);
    const struct sw_pt u = sw_geom_less(seg->a, seg->c), w = sw_geom_less(seg->b, seg->c);
    const double clear = CLEAR * radius * radius;
    const bool is_less_than_half = seg->turn * sw_geom_cross(u, w) > clear;
    for (size_t i = 0; i < sizeof way / sizeof way[0]; i++) {
        const struct sw_pt d = sw_geom_times(way[i], radius), p = sw_geom_plus(seg->c, d);
        double share;
        /* most arcs are short: no angles where a point is plainly inside the box or off the arc */
        if (p.z >= box.z0 && p.z <= box.z1 && p.r >= box.r0 && p.r <= box.r1)
            continue;
        if (is_less_than_half &&
            (seg->turn * sw_geom_cross(u, d) < -clear || seg->turn * sw_geom_cross(d, w) < -clear))
            continue;
        if (!sw_geom_arc_passes(seg, p, &share) || share <= 0 || share >= 1)
            continue;
        box.z0 = fmin(box.z0, p.z);
        box.z1 = fmax(box.z1, p.z);
        box.r0 = fmin(box.r0, p.r);
        box.r1 = fmax(box.r1, p.r);
    }
    return box;
}

struct sw_seg sw_seg_part(const struct sw_seg *seg, double t0, double t1)
{
    if (t0 <= 0 && t1 >= 1)
        return *seg;
    struct sw_seg part = *seg;
    part.a = sw_seg_at(seg, t0);
    part.b = sw_seg_at(seg, t1);
    /* An arc with one point for both ends would be read as a full circle. */
    if (part.kind == SW_SEG_ARC && t1 - t0 < 0.5 && sw_pt_distance(part.a, part.b) <= SW_TOL_POINT)
        part = sw_seg_line(part.a, part.b, part.tag);
    return part;
}
