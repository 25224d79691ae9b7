/* Where two segments meet.
 *
 * An end that lies on the other segment is always a meeting, whatever the crossing formulas say:
 * chains touch at ends most of the time, and there the formulas are at their worst. The crossing
 * of the underlying curves then adds what the ends do not already cover. Overlapping pieces need
 * no case of their own: the ends of an overlap are ends of a segment.
 */
#include <math.h>

#include "geom/geom_int.h"

struct search {
    const struct sw_seg *s, *t;
    struct sw_geom_meeting *found;
    int n;
};

/* Add a meeting unless one stands within REACH of it. */
static void note(struct search *search, double s, double t, double reach)
{
    const struct sw_pt p = sw_seg_at(search->s, s);
    for (int i = 0; i < search->n; i++)
        if (sw_pt_distance(p, sw_seg_at(search->s, search->found[i].s)) <= reach)
            return;
    if (search->n < SW_GEOM_MEETINGS)
        search->found[search->n++] = (struct sw_geom_meeting){s, t};
}

static void note_ends(struct search *search)
{
    double distance;
    for (int end = 0; end <= 1; end++) {
        const double share =
            sw_seg_nearest(search->s, end ? search->t->b : search->t->a, &distance);
        if (distance <= SW_TOL_POINT)
            note(search, share, end, SW_TOL_POINT);
    }
    for (int end = 0; end <= 1; end++) {
        const double share =
            sw_seg_nearest(search->t, end ? search->s->b : search->s->a, &distance);
        if (distance <= SW_TOL_POINT)
            note(search, end, share, SW_TOL_POINT);
    }
}

/* Share of P, a point of the underlying curve; false when it is beyond the segment's ends. */
static bool share_of(const struct sw_seg *seg, struct sw_pt p, double *share)
{
    if (seg->kind == SW_SEG_ARC)
        return sw_geom_arc_passes(seg, p, share);
    const struct sw_pt d = sw_geom_less(seg->b, seg->a);
    const double length = sw_geom_size(d);
    if (length <= 0)
        return false;
    const double along = sw_geom_dot(sw_geom_less(p, seg->a), d) / length;
    *share = sw_geom_clamp(along / length, 0, 1);
    return along >= -SW_TOL_POINT && along <= length + SW_TOL_POINT;
}

static void note_crossing(struct search *search, struct sw_pt p, double reach)
{
    double s, t;
    if (share_of(search->s, p, &s) && share_of(search->t, p, &t))
        note(search, s, t, reach);
}

static void cross_lines(struct search *search)
{
    const struct sw_seg *s = search->s, *t = search->t;
    const struct sw_pt d = sw_geom_less(s->b, s->a), e = sw_geom_less(t->b, t->a);
    const double sine = sw_geom_cross(d, e);
    /* Nearer to parallel than this, lines of our size part by less than SW_TOL_POINT. */
    if (fabs(sine) <= SW_TOL_STRAIGHT * sw_geom_size(d) * sw_geom_size(e))
        return;
    /* Two straight lines with an end of one on the other meet there and nowhere else. */
    if (search->n > 0)
        return;
    const double share = sw_geom_cross(sw_geom_less(t->a, s->a), e) / sine;
    note_crossing(search, sw_geom_plus(s->a, sw_geom_times(d, share)), SW_TOL_POINT);
}

/* Half the length over which two curves that touch stay within two SW_TOL_POINT of each other;
 * BEND is the difference of their curvatures [1/mm]. */
static double touch_reach(double bend)
{
    return 2 * sqrt(2 * SW_TOL_POINT / fmax(bend, SW_TOL_POINT)) + SW_TOL_POINT;
}

static void cross_line_arc(struct search *search, const struct sw_seg *line,
                           const struct sw_seg *arc)
{
    const struct sw_pt d = sw_seg_direction(line, 0);
    const double radius = sw_seg_radius(arc);
    const double along = sw_geom_dot(sw_geom_less(arc->c, line->a), d);
    const struct sw_pt foot = sw_geom_plus(line->a, sw_geom_times(d, along));
    const double height = sw_pt_distance(foot, arc->c);
    if (sw_seg_length(line) <= SW_TOL_POINT || radius <= SW_TOL_POINT ||
        height > radius + SW_TOL_POINT)
        return;
    if (height >= radius - SW_TOL_POINT) {
        note_crossing(search, foot, touch_reach(1 / radius));
        return;
    }
    const struct sw_pt half = sw_geom_times(d, sqrt((radius - height) * (radius + height)));
    note_crossing(search, sw_geom_less(foot, half), SW_TOL_POINT);
    note_crossing(search, sw_geom_plus(foot, half), SW_TOL_POINT);
}

static void cross_arcs(struct search *search)
{
    const struct sw_seg *s = search->s, *t = search->t;
    const double rs = sw_seg_radius(s), rt = sw_seg_radius(t);
    const struct sw_pt between = sw_geom_less(t->c, s->c);
    const double d = sw_geom_size(between);
    if (rs <= SW_TOL_POINT || rt <= SW_TOL_POINT)
        return;
    if (d <= SW_TOL_POINT) /* one circle, or two that never meet: the ends tell */
        return;
    if (d > rs + rt + SW_TOL_POINT || d < fabs(rs - rt) - SW_TOL_POINT)
        return;
    const struct sw_pt way = sw_geom_times(between, 1 / d);
    if (d >= rs + rt - SW_TOL_POINT || d <= fabs(rs - rt) + SW_TOL_POINT) {
        const bool is_outside = d >= rs + rt - SW_TOL_POINT;
        const double bend = is_outside ? 1 / rs + 1 / rt : fabs(1 / rs - 1 / rt);
        const double sign = is_outside || rs > rt ? 1 : -1;
        note_crossing(search, sw_geom_plus(s->c, sw_geom_times(way, sign * rs)), touch_reach(bend));
        return;
    }
    const double along = (d * d + (rs - rt) * (rs + rt)) / (2 * d);
    const double product = (rs + rt + d) * (rs + rt - d) * (d + rs - rt) * (d - rs + rt);
    const struct sw_pt foot = sw_geom_plus(s->c, sw_geom_times(way, along));
    const struct sw_pt half = sw_geom_times(sw_geom_left(way), sqrt(fmax(product, 0)) / (2 * d));
    note_crossing(search, sw_geom_less(foot, half), SW_TOL_POINT);
    note_crossing(search, sw_geom_plus(foot, half), SW_TOL_POINT);
}

int sw_geom_meet_all(const struct sw_seg *s, const struct sw_seg *t,
                     struct sw_geom_meeting found[SW_GEOM_MEETINGS])
{
    struct search search = {s, t, found, 0};
    note_ends(&search);
    if (s->kind == SW_SEG_LINE && t->kind == SW_SEG_LINE)
        cross_lines(&search);
    else if (s->kind == SW_SEG_ARC && t->kind == SW_SEG_ARC)
        cross_arcs(&search);
    else
        cross_line_arc(&search, s->kind == SW_SEG_LINE ? s : t, s->kind == SW_SEG_ARC ? s : t);
    for (int i = 1; i < search.n; i++)
        for (int k = i; k > 0 && found[k].s < found[k - 1].s; k--) {
            const struct sw_geom_meeting swap = found[k];
            found[k] = found[k - 1];
            found[k - 1] = swap;
        }
    return search.n;
}

/* Whether S runs along T between the shares S0 and S1 of it. */
static bool runs_along(const struct sw_seg *s, const struct sw_seg *t, double s0, double s1)
{
    double distance;
    sw_seg_nearest(t, sw_seg_at(s, (s0 + s1) / 2), &distance);
    return distance <= SW_TOL_POINT && (s1 - s0) * sw_seg_length(s) > SW_TOL_POINT;
}

int sw_seg_meet(const struct sw_seg *s, const struct sw_seg *t, double s_share[2],
                double t_share[2], bool *overlap)
{
    struct sw_geom_meeting found[SW_GEOM_MEETINGS];
    const int n = sw_geom_meet_all(s, t, found);
    int first = 0, last = n - 1;
    *overlap = false;
    for (int i = 0; i + 1 < n && !*overlap; i++)
        if (runs_along(s, t, found[i].s, found[i + 1].s)) {
            *overlap = true;
            first = i;
            last = i + 1;
            while (last + 1 < n && runs_along(s, t, found[last].s, found[last + 1].s))
                last++;
        }
    /* A full circle that meets another piece of the same circle in its own seam only. */
    if (n == 1 && !*overlap)
        *overlap = runs_along(s, t, 0, 1) && s->kind == SW_SEG_ARC && t->kind == SW_SEG_ARC &&
                   sw_pt_distance(s->a, s->b) <= SW_TOL_POINT;
    if (n == 0)
        return 0;
    s_share[0] = found[first].s;
    t_share[0] = found[first].t;
    if (first == last)
        return 1;
    s_share[1] = found[last].s;
    t_share[1] = found[last].t;
    return 2;
}
