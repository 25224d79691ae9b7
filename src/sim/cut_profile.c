#include "sim/cut_profile.h"

#include <math.h>

#include "geom/tol.h"
#include "sim/work.h"

static const double pi = 3.14159265358979323846;

/* No place is shorter than this [mm]: about a turn's feed of a fine tool, below which thickness has
 * no meaning. */
#define LEAST_PLACE 2e-3
/* A straight edge seen from the centre of an arc is bent: it is split so that no part spans more
 * than this [rad], and then strays by less than 2e-4 of its distance. */
#define MOST_SPAN 0.04
#define MOST_PARTS 200.0

static double arc_radius(const struct sw_sweep *move)
{
    return (move->radius_from + move->radius_to) / 2;
}

static double turned(double from, double to)
{
    return remainder(to - from, 2 * pi);
}

/* Angles are counted from the middle of an arc, so that its own half turn either way is whole. */
static double middle_angle(const struct sw_sweep *move)
{
    const double begin = atan2(move->from.r - move->centre.r, move->from.z - move->centre.z);
    return begin + sw_sweep_angle(move) / 2;
}

static struct sw_pt line_way(const struct sw_sweep *move, double length)
{
    if (!(length > 0))
        return (struct sw_pt){1, 0};
    return (struct sw_pt){(move->to.z - move->from.z) / length,
                          (move->to.r - move->from.r) / length};
}

struct sw_cut_edges sw_cut_edges_begin(const struct sw_sweep *move)
{
    struct sw_cut_edges edges = {.move = move, .length = sw_sweep_length(move)};
    if (move->is_arc) {
        edges.radius = arc_radius(move);
        edges.angle = middle_angle(move);
    } else {
        edges.way = line_way(move, edges.length);
    }
    return edges;
}

static struct sw_pt seen_from_line(const struct sw_cut_edges *edges, struct sw_pt p)
{
    const double z = p.z - edges->move->from.z, r = p.r - edges->move->from.r;
    const struct sw_pt way = edges->way;
    return (struct sw_pt){way.z * z + way.r * r, way.z * r - way.r * z};
}

/* ANGLE is that of P from the middle of the arc. */
static struct sw_pt seen_from_arc(const struct sw_cut_edges *edges, struct sw_pt p, double angle)
{
    const struct sw_sweep *move = edges->move;
    const double z = p.z - move->centre.z, r = p.r - move->centre.r;
    return (struct sw_pt){edges->length / 2 + edges->radius * move->turn * angle,
                          move->turn * (edges->radius - sqrt(z * z + r * r))};
}

static double angle_of(const struct sw_cut_edges *edges, struct sw_pt p)
{
    const struct sw_pt centre = edges->move->centre;
    return turned(edges->angle, atan2(p.r - centre.r, p.z - centre.z));
}

static bool push(struct sw_cut_edges *edges, struct sw_pt a, struct sw_pt b, struct sw_ctx *ctx)
{
    const struct sw_cut_edge edge = {a.z, a.r, b.z, b.r};
    return SW_VEC_PUSH(ctx->arena, &edges->list, edge);
}

static bool add_straight(struct sw_cut_edges *edges, const struct sw_ring *ring, struct sw_ctx *ctx)
{
    struct sw_pt from = seen_from_line(edges, ring->at[0]);
    for (size_t k = 1; k < ring->n; k++) {
        const struct sw_pt to = seen_from_line(edges, ring->at[k]);
        if (!push(edges, from, to, ctx))
            return false;
        from = to;
    }
    return true;
}

static bool add_round(struct sw_cut_edges *edges, const struct sw_ring *ring, struct sw_ctx *ctx)
{
    double angle = angle_of(edges, ring->at[0]);
    struct sw_pt from = seen_from_arc(edges, ring->at[0], angle);
    for (size_t k = 1; k < ring->n; k++) {
        const struct sw_pt a = ring->at[k - 1], b = ring->at[k];
        const double next = angle_of(edges, b);
        const double parts = fmin(fmax(1, ceil(fabs(next - angle) / MOST_SPAN)), MOST_PARTS);
        for (double i = 1; i < parts; i++) {
            const struct sw_pt p = {a.z + i / parts * (b.z - a.z), a.r + i / parts * (b.r - a.r)};
            const struct sw_pt to = seen_from_arc(edges, p, angle_of(edges, p));
            if (!push(edges, from, to, ctx))
                return false;
            from = to;
        }
        const struct sw_pt to = seen_from_arc(edges, b, next);
        if (!push(edges, from, to, ctx))
            return false;
        from = to;
        angle = next;
    }
    return true;
}

enum sw_status sw_cut_edges_add(struct sw_cut_edges *edges, const struct sw_rings *rings,
                                struct sw_ctx *ctx)
{
    for (size_t i = 0; i < rings->n; i++)
        if (rings->at[i].n > 1 && !(edges->move->is_arc ? add_round(edges, &rings->at[i], ctx)
                                                        : add_straight(edges, &rings->at[i], ctx)))
            return SW_MEMORY;
    return SW_OK;
}

/* fmin, fmax and floor are calls, and every chord of every cut comes through here. */
static double smaller(double a, double b)
{
    return a < b ? a : b;
}

static double larger(double a, double b)
{
    return a > b ? a : b;
}

/* Area between an edge and the way, place by place; an edge back takes off again what lies on the
 * other side of the ring. */
static void share_out(struct sw_cut_profile *out, const struct sw_cut_edge *e, double places_per_mm)
{
    const double from = smaller(e->along0, e->along1), to = larger(e->along0, e->along1);
    if (!(to > from))
        return;
    const double sign = e->along1 > e->along0 ? 1 : -1;
    const double slope = (e->left1 - e->left0) / (e->along1 - e->along0);
    const double last = (double)(out->n - 1);
    /* a hair too early is of no harm */
    const double reached = (from - out->back) * places_per_mm - SW_TOL_SLIVER;
    const size_t first = (size_t)smaller(larger(0, reached), last);
    for (size_t i = first; i < out->n; i++) {
        const double begin = larger(from, out->back + out->width * (double)i);
        const double end =
            i + 1 < out->n ? smaller(to, out->back + out->width * (double)(i + 1)) : to;
        if (end <= begin && i > first)
            return;
        const double middle = e->left0 + slope * ((begin + end) / 2 - e->along0);
        out->thick[i] += sign * middle * larger(0, end - begin);
    }
}

struct sw_cut_profile sw_cut_profile_of(const struct sw_cut_edges *edges)
{
    struct sw_cut_profile out = {.low = HUGE_VAL, .high = -HUGE_VAL, .back = HUGE_VAL};
    double front = -HUGE_VAL;
    for (size_t i = 0; i < edges->list.n; i++) {
        const struct sw_cut_edge *e = &edges->list.at[i];
        out.back = smaller(out.back, e->along0);
        front = larger(front, e->along0);
        out.low = smaller(out.low, e->left0);
        out.high = larger(out.high, e->left0);
    }
    if (!(front - out.back > SW_TOL_SLIVER))
        return (struct sw_cut_profile){0};
    const double places = (front - out.back) / LEAST_PLACE;
    out.n = (size_t)smaller(larger(1, places), SW_CUT_PLACES);
    out.width = (front - out.back) / (double)out.n;
    const double places_per_mm = 1 / out.width;
    for (size_t i = 0; i < edges->list.n; i++)
        share_out(&out, &edges->list.at[i], places_per_mm);
    for (size_t i = 0; i < out.n; i++)
        out.thick[i] = fabs(out.thick[i]) / out.width;
    return out;
}

struct sw_pt sw_cut_place(const struct sw_sweep *move, double along, struct sw_pt *way)
{
    const double length = sw_sweep_length(move);
    const double t = length > 0 ? fmin(fmax(along / length, 0), 1) : 0;
    if (move->is_arc) {
        const double turn = sw_sweep_angle(move), radius = arc_radius(move);
        const double angle = middle_angle(move) + turn * (t - 0.5);
        const int sign = turn < 0 ? -1 : 1;
        *way = (struct sw_pt){-sign * sin(angle), sign * cos(angle)};
        return (struct sw_pt){move->centre.z + radius * cos(angle),
                              move->centre.r + radius * sin(angle)};
    }
    *way = line_way(move, length);
    return (struct sw_pt){move->from.z + t * (move->to.z - move->from.z),
                          move->from.r + t * (move->to.r - move->from.r)};
}
