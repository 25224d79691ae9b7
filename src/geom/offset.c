/* Offsets of chains of lines and arcs.
 *
 * Every segment is shifted, outer corners are rolled round with arcs, and all that is cut at every
 * place where two of the pieces meet. A cut piece is then either wholly good or wholly nearer to
 * the input than the distance, so its middle decides. What is left is a graph whose edges join
 * end to start; the offset is a way through it. Looking for a way instead of walking from piece to
 * piece makes noise harmless: pieces that survive by less than the tolerance run beside good ones
 * or into dead ends.
 * Sweeping with event queues would be faster for thousands of segments, but a staff has a hundred,
 * and the plain way has no special cases for tangent and coincident pieces.
 */
#include <math.h>
#include <stdlib.h>

#include "geom/geom_int.h"

struct raw {
    struct sw_seg seg;
    struct sw_box box;
    bool is_cutter; /* only cuts others; never part of the result */
};

struct split {
    size_t raw;
    double share;
};

struct edge {
    struct sw_seg seg;
    size_t raw;
    double t0, t1;
    size_t from, to; /* nodes */
    size_t next_out; /* next edge out of the same node, or NONE */
    size_t before;   /* on the way found so far, or NONE */
    bool is_seen;
    bool is_used;
};

#define NONE SIZE_MAX

struct work {
    const struct sw_contour *in; /* offset to the left, distance > 0 */
    const struct sw_box *in_box;
    double distance;
    bool is_closed;
    bool is_reversed; /* in runs against the caller's contour: "before" is "after" */
    struct sw_arena *scratch;
    SW_VEC(struct raw) raw;
    SW_VEC(struct split) splits;
    SW_VEC(struct edge) edges;
    size_t *first_out; /* by node */
    size_t n_nodes;
    size_t *way; /* edges of the best way */
    size_t n_way;
};

static bool add_raw(struct work *work, struct sw_seg seg, bool is_cutter)
{
    const struct raw raw = {seg, sw_seg_box(&seg), is_cutter};
    return SW_VEC_PUSH(work->scratch, &work->raw, raw);
}

static bool add_corner(struct work *work, const struct sw_seg *before, const struct sw_seg *after)
{
    const struct sw_pt u = sw_seg_direction(before, 1), v = sw_seg_direction(after, 0);
    const double turn = atan2(sw_geom_cross(u, v), sw_geom_dot(u, v));
    /* A chain that turns straight back, to within a point's width at the offset, is rolled round
     * like an outer corner: rounding alone decides the sign of such a turn. */
    const bool is_outer = turn < 0 || (SW_GEOM_PI - turn) * work->distance <= SW_TOL_POINT;
    if (!is_outer || fabs(turn) * work->distance <= SW_TOL_POINT)
        return true;
    const struct sw_pt corner = after->a;
    const struct sw_pt a = sw_geom_plus(corner, sw_geom_times(sw_geom_left(u), work->distance));
    const struct sw_pt b = sw_geom_plus(corner, sw_geom_times(sw_geom_left(v), work->distance));
    const int first = work->is_reversed ? after->tag : before->tag;
    const int second = work->is_reversed ? before->tag : after->tag;
    return add_raw(work, sw_seg_arc(a, b, corner, -1, first != SW_TAG_NONE ? first : second),
                   false);
}

/* Of a simple chain the pieces above part good from bad by themselves, except beyond an open end.
 * The other curves on which a nearest point can change, circles about the corners and the offset
 * to the other side, make that hold for chains that touch or cross themselves too. */
static enum sw_status add_cutters(struct work *work)
{
    const struct sw_contour *in = work->in;
    for (size_t i = 0; i <= in->n; i++) {
        const struct sw_pt c = i < in->n ? in->at[i].a : in->at[i - 1].b;
        const struct sw_pt p = {c.z + work->distance, c.r};
        struct sw_seg other;
        if (!add_raw(work, sw_seg_arc(p, p, c, 1, SW_TAG_NONE), true))
            return SW_MEMORY;
        if (i < in->n && sw_geom_shift(&other, &in->at[i], -work->distance) &&
            !add_raw(work, other, true))
            return SW_MEMORY;
    }
    return SW_OK;
}

static enum sw_status make_raw(struct work *work)
{
    const struct sw_contour *in = work->in;
    for (size_t i = 0; i < in->n; i++) {
        const struct sw_seg *seg = &in->at[i];
        struct sw_seg shifted;
        /* An inner arc smaller than the distance has no offset: each point of it would be nearer
         * to another point of the same arc. */
        if (sw_geom_shift(&shifted, seg, work->distance) && !add_raw(work, shifted, false))
            return SW_MEMORY;
        const bool is_last = i + 1 == in->n;
        if (is_last && !work->is_closed)
            break;
        if (!add_corner(work, seg, &in->at[is_last ? 0 : i + 1]))
            return SW_MEMORY;
    }
    return add_cutters(work);
}

static int compare_splits(const void *a, const void *b)
{
    const struct split *p = a, *q = b;
    if (p->raw != q->raw)
        return p->raw < q->raw ? -1 : 1;
    return p->share < q->share ? -1 : p->share > q->share;
}

static enum sw_status find_splits(struct work *work)
{
    for (size_t i = 0; i < work->raw.n; i++) {
        const struct raw *p = &work->raw.at[i];
        for (size_t k = i + 1; k < work->raw.n; k++) {
            const struct raw *q = &work->raw.at[k];
            if ((p->is_cutter && q->is_cutter) || !sw_geom_boxes_touch(&p->box, &q->box))
                continue;
            struct sw_geom_meeting found[SW_GEOM_MEETINGS];
            const int n = sw_geom_meet_all(&p->seg, &q->seg, found);
            for (int m = 0; m < n; m++) {
                const struct split on_p = {i, found[m].s}, on_q = {k, found[m].t};
                if (!SW_VEC_PUSH(work->scratch, &work->splits, on_p) ||
                    !SW_VEC_PUSH(work->scratch, &work->splits, on_q))
                    return SW_MEMORY;
            }
        }
    }
    if (work->splits.n)
        qsort(work->splits.at, work->splits.n, sizeof work->splits.at[0], compare_splits);
    return SW_OK;
}

static double box_distance(const struct sw_box *box, struct sw_pt p)
{
    const double dz = fmax(fmax(box->z0 - p.z, p.z - box->z1), 0);
    const double dr = fmax(fmax(box->r0 - p.r, p.r - box->r1), 0);
    return hypot(dz, dr);
}

static bool is_clear(const struct work *work, struct sw_pt p)
{
    const double least = work->distance - SW_TOL_OFFSET;
    for (size_t i = 0; i < work->in->n; i++) {
        if (box_distance(&work->in_box[i], p) >= least)
            continue;
        double distance;
        sw_seg_nearest(&work->in->at[i], p, &distance);
        if (distance < least)
            return false;
    }
    return true;
}

static bool add_edge(struct work *work, size_t raw, double t0, double t1)
{
    const struct sw_seg seg = sw_seg_part(&work->raw.at[raw].seg, t0, t1);
    if (!is_clear(work, sw_seg_at(&seg, 0.5)))
        return true;
    const struct edge edge = {
        .seg = seg, .raw = raw, .t0 = t0, .t1 = t1, .next_out = NONE, .before = NONE};
    return SW_VEC_PUSH(work->scratch, &work->edges, edge);
}

static enum sw_status cut_and_sift(struct work *work)
{
    size_t s = 0;
    for (size_t i = 0; i < work->raw.n; i++) {
        const double length = sw_seg_length(&work->raw.at[i].seg);
        double t0 = 0;
        for (; s < work->splits.n && work->splits.at[s].raw == i; s++) {
            const double t1 = work->splits.at[s].share;
            if ((t1 - t0) * length <= SW_TOL_POINT || (1 - t1) * length <= SW_TOL_POINT)
                continue;
            if (!work->raw.at[i].is_cutter && !add_edge(work, i, t0, t1))
                return SW_MEMORY;
            t0 = t1;
        }
        if (!work->raw.at[i].is_cutter && length > SW_TOL_POINT && !add_edge(work, i, t0, 1))
            return SW_MEMORY;
    }
    return SW_OK;
}

/* One end of an edge, to be told apart from or put together with others. */
struct stop {
    struct sw_pt at;
    size_t edge;
    size_t node;
    bool is_end;
};

static int compare_stops(const void *a, const void *b)
{
    const struct stop *p = a, *q = b;
    if (p->at.z != q->at.z)
        return p->at.z < q->at.z ? -1 : 1;
    if (p->at.r != q->at.r)
        return p->at.r < q->at.r ? -1 : 1;
    if (p->edge != q->edge)
        return p->edge < q->edge ? -1 : 1;
    return (int)p->is_end - (int)q->is_end;
}

static enum sw_status join_ends(struct work *work)
{
    const size_t n = 2 * work->edges.n;
    struct stop *stops = SW_NEW(work->scratch, struct stop, n);
    work->first_out = SW_NEW(work->scratch, size_t, n);
    work->way = SW_NEW(work->scratch, size_t, work->edges.n);
    if (!stops || !work->first_out || !work->way)
        return SW_MEMORY;
    for (size_t i = 0; i < work->edges.n; i++) {
        stops[2 * i] = (struct stop){work->edges.at[i].seg.a, i, NONE, false};
        stops[2 * i + 1] = (struct stop){work->edges.at[i].seg.b, i, NONE, true};
    }
    if (n)
        qsort(stops, n, sizeof stops[0], compare_stops);
    for (size_t i = 0; i < n; i++) {
        for (size_t k = i; k-- > 0 && stops[i].at.z - stops[k].at.z <= SW_TOL_JOINT;)
            if (sw_pt_distance(stops[i].at, stops[k].at) <= SW_TOL_JOINT) {
                stops[i].node = stops[k].node;
                break;
            }
        if (stops[i].node == NONE) {
            stops[i].node = work->n_nodes++;
            work->first_out[stops[i].node] = NONE;
        }
        struct edge *edge = &work->edges.at[stops[i].edge];
        *(stops[i].is_end ? &edge->to : &edge->from) = stops[i].node;
    }
    for (size_t i = work->edges.n; i-- > 0;) {
        struct edge *edge = &work->edges.at[i];
        edge->next_out = work->first_out[edge->from];
        work->first_out[edge->from] = i;
    }
    return SW_OK;
}

/* Breadth first over edges that are free, from edge START or, with START NONE, from all edges out
 * of NODE. Stops when GOAL, a node, is reached: the edge that reaches it; with GOAL NONE the
 * reachable edge that lies farthest along the input. NONE when there is none. */
static size_t find_way(struct work *work, size_t start, size_t node, size_t goal, size_t *queue)
{
    size_t n = 0, farthest = NONE;
    for (size_t i = 0; i < work->edges.n; i++) {
        work->edges.at[i].is_seen = work->edges.at[i].is_used;
        work->edges.at[i].before = NONE;
    }
    for (size_t i = start != NONE ? start : work->first_out[node]; i != NONE;
         i = start != NONE ? NONE : work->edges.at[i].next_out) {
        if (work->edges.at[i].is_seen)
            continue;
        work->edges.at[i].is_seen = true;
        queue[n++] = i;
    }
    for (size_t head = 0; head < n; head++) {
        const size_t here = queue[head];
        const struct edge *edge = &work->edges.at[here];
        if (edge->to == goal)
            return here;
        if (goal == NONE && (farthest == NONE || here > farthest))
            farthest = here;
        for (size_t i = work->first_out[edge->to]; i != NONE; i = work->edges.at[i].next_out) {
            if (work->edges.at[i].is_seen)
                continue;
            work->edges.at[i].is_seen = true;
            work->edges.at[i].before = here;
            queue[n++] = i;
        }
    }
    return farthest;
}

/* Writes the way that ends with edge LAST to QUEUE; its number of edges. */
static size_t trace_way(const struct work *work, size_t last, size_t *queue)
{
    size_t n = 0;
    for (size_t i = last; i != NONE; i = work->edges.at[i].before)
        n++;
    size_t k = n;
    for (size_t i = last; i != NONE; i = work->edges.at[i].before)
        queue[--k] = i;
    return n;
}

static void keep_way(struct work *work, const size_t *queue, size_t n)
{
    for (size_t i = 0; i < n; i++)
        work->way[i] = queue[i];
    work->n_way = n;
}

/* The way of an open chain leaves from the offset of its start; should that be too near to another
 * part of the chain, the longest way counts. */
static void choose_open_way(struct work *work, size_t *queue, bool *has_entry)
{
    double longest = 0;
    for (size_t i = 0; i < work->edges.n; i++)
        has_entry[work->edges.at[i].to] = true;
    for (size_t i = 0; i < work->edges.n; i++) {
        const struct edge *edge = &work->edges.at[i];
        const bool is_start =
            edge->t0 <= 0 &&
            sw_pt_distance(edge->seg.a, work->in->at[0].a) <= work->distance + SW_TOL_OFFSET &&
            edge->raw == 0;
        if (!is_start && has_entry[edge->from])
            continue;
        const size_t last = find_way(work, NONE, edge->from, NONE, queue);
        if (last == NONE)
            continue;
        const size_t n = trace_way(work, last, queue);
        double length = 0;
        for (size_t k = 0; k < n; k++)
            length += sw_seg_length(&work->edges.at[queue[k]].seg);
        if (is_start || length > longest) {
            longest = length;
            keep_way(work, queue, n);
        }
        if (is_start)
            break;
    }
}

static double loop_area(const struct work *work, const size_t *queue, size_t n)
{
    double area = 0;
    const struct sw_pt from = work->edges.at[queue[0]].seg.a;
    for (size_t i = 0; i < n; i++) {
        const struct sw_seg *seg = &work->edges.at[queue[i]].seg;
        const double sweep = sw_seg_sweep(seg), radius = sw_seg_radius(seg);
        area += sw_geom_cross(sw_geom_less(seg->a, from), sw_geom_less(seg->b, from)) / 2 +
                radius * radius / 2 * (sweep - sin(sweep));
    }
    return fabs(area);
}

static void choose_loop(struct work *work, size_t *queue)
{
    double largest = 0;
    for (size_t i = 0; i < work->edges.n; i++) {
        if (work->edges.at[i].is_used)
            continue;
        const size_t last = find_way(work, i, NONE, work->edges.at[i].from, queue);
        work->edges.at[i].is_used = true;
        if (last == NONE)
            continue;
        const size_t n = trace_way(work, last, queue);
        for (size_t k = 0; k < n; k++)
            work->edges.at[queue[k]].is_used = true;
        const double area = loop_area(work, queue, n);
        if (area > largest) {
            largest = area;
            keep_way(work, queue, n);
        }
    }
}

static enum sw_status write_way(struct sw_contour *out, const struct work *work,
                                struct sw_arena *arena)
{
    size_t first = 0;
    if (work->is_closed)
        while (first < work->n_way && work->edges.at[work->way[first]].t0 > 0)
            first++;
    if (first == work->n_way)
        first = 0;
    for (size_t i = 0; i < work->n_way; i++) {
        const size_t k = work->way[(first + i) % work->n_way];
        if (!sw_geom_append(arena, out, work->edges.at[k].seg))
            return SW_MEMORY;
    }
    if (work->is_closed && out->n)
        out->at[out->n - 1].b = out->at[0].a;
    return SW_OK;
}

static enum sw_status offset_left(struct sw_contour *out, struct work *work, struct sw_arena *arena)
{
    struct sw_box *boxes = SW_NEW(work->scratch, struct sw_box, work->in->n);
    if (!boxes)
        return SW_MEMORY;
    for (size_t i = 0; i < work->in->n; i++)
        boxes[i] = sw_seg_box(&work->in->at[i]);
    work->in_box = boxes;
    SW_TRY(make_raw(work));
    SW_TRY(find_splits(work));
    SW_TRY(cut_and_sift(work));
    SW_TRY(join_ends(work));
    size_t *queue = SW_NEW(work->scratch, size_t, work->edges.n);
    bool *has_entry = SW_NEW(work->scratch, bool, work->n_nodes);
    if (!queue || !has_entry)
        return SW_MEMORY;
    if (work->is_closed)
        choose_loop(work, queue);
    else
        choose_open_way(work, queue, has_entry);
    return write_way(out, work, arena);
}

static enum sw_status copy_chain(struct sw_contour *out, const struct sw_contour *in,
                                 bool is_reversed, struct sw_arena *arena)
{
    for (size_t i = 0; i < in->n; i++) {
        const struct sw_seg seg = is_reversed ? sw_seg_reverse(in->at[in->n - 1 - i]) : in->at[i];
        /* A segment without length has no direction and would make a corner that is none. */
        if (seg.kind == SW_SEG_LINE && sw_seg_length(&seg) <= SW_TOL_POINT)
            continue;
        if (!sw_contour_add(arena, out, seg))
            return SW_MEMORY;
    }
    return SW_OK;
}

static enum sw_status offset_in(struct sw_contour *out, const struct sw_contour *in,
                                double distance, struct sw_arena *scratch, struct sw_arena *arena)
{
    const bool is_reversed = distance < 0;
    struct sw_contour forward = {0}, made = {0}, done = {0};
    SW_TRY(copy_chain(&forward, in, is_reversed, scratch));
    if (forward.n == 0) {
        *out = done;
        return SW_OK;
    }
    if (fabs(distance) <= SW_TOL_POINT) {
        made = forward;
    } else {
        struct work work = {.in = &forward,
                            .distance = fabs(distance),
                            .is_closed = sw_contour_is_closed(in),
                            .is_reversed = is_reversed,
                            .scratch = scratch};
        SW_TRY(offset_left(&made, &work, scratch));
    }
    SW_TRY(copy_chain(&done, &made, is_reversed, arena));
    *out = done;
    return SW_OK;
}

enum sw_status sw_contour_offset(struct sw_contour *out, const struct sw_contour *in,
                                 double distance, struct sw_ctx *ctx)
{
    if (!isfinite(distance) || !sw_contour_is_joined(in))
        return SW_INTERNAL;
    struct sw_arena *scratch = sw_arena_new();
    if (!scratch)
        return SW_MEMORY;
    const enum sw_status status = offset_in(out, in, distance, scratch, ctx->arena);
    sw_arena_free(scratch);
    return status;
}
