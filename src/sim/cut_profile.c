#include "sim/cut_profile.h"

#include <math.h>

#include "geom/tol.h"
#include "sim/work.h"

/* Where the square of a bow's height is this many times its radius and the width of a place, it is
 * flat. */
#define FLAT_BOW 6

static const double pi = 3.14159265358979323846;

/* No place is shorter than this [mm]: about a turn's feed of a fine tool, below which thickness has
 * no meaning. */
#define LEAST_PLACE 2e-3
/* A straight edge seen from the centre of an arc is bent: it is split so that no part spans more
 * than this [rad], and then strays by less than 2e-4 of its distance. */
#define MOST_SPAN 0.04
#define MOST_PARTS 200.0

/* fmin, fmax and floor are calls, and every chord of every cut comes through here. */
static double smaller(double a, double b)
{
    return a < b ? a : b;
}

static double larger(double a, double b)
{
    return a > b ? a : b;
}

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

static void empty(struct sw_cut_edges *edges)
{
    edges->back = edges->low = HUGE_VAL;
    edges->front = edges->high = -HUGE_VAL;
    edges->list.n = 0;
}

void sw_cut_edges_begin_on(struct sw_cut_edges *edges, const struct sw_sweep *move)
{
    edges->move = move;
    if (move->is_arc) {
        edges->length = sw_sweep_length(move);
        edges->radius = arc_radius(move);
        edges->angle = middle_angle(move);
    } else { /* hypot is a call, and no move is near the ends of the doubles */
        const double z = move->to.z - move->from.z, r = move->to.r - move->from.r;
        edges->length = sqrt(z * z + r * r);
        edges->way = line_way(move, edges->length);
    }
    empty(edges);
}

struct sw_cut_edges sw_cut_edges_begin(const struct sw_sweep *move)
{
    struct sw_cut_edges edges = {0};
    sw_cut_edges_begin_on(&edges, move);
    return edges;
}

void sw_cut_edges_begin_as(struct sw_cut_edges *edges, const struct sw_cut_edges *frame)
{
    edges->move = frame->move;
    edges->length = frame->length;
    edges->radius = frame->radius;
    edges->angle = frame->angle;
    edges->way = frame->way;
    empty(edges);
}

/* All edges join up, so that each need only say where it begins. */
static void reach(struct sw_cut_edges *edges, double along, double left)
{
    edges->back = smaller(edges->back, along);
    edges->front = larger(edges->front, along);
    edges->low = smaller(edges->low, left);
    edges->high = larger(edges->high, left);
}

struct sw_pt sw_cut_seen(const struct sw_cut_edges *edges, struct sw_pt p)
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

static bool push_chord(struct sw_cut_edges *edges, struct sw_pt a, struct sw_pt b,
                       struct sw_ctx *ctx)
{
    const struct sw_cut_edge edge = {.along0 = a.z, .left0 = a.r, .along1 = b.z, .left1 = b.r};
    reach(edges, a.z, a.r);
    return SW_VEC_PUSH(ctx->arena, &edges->list, edge);
}

void sw_cut_edges_put_line(struct sw_cut_edges *edges, struct sw_pt from, struct sw_pt to)
{
    reach(edges, from.z, from.r);
    edges->list.at[edges->list.n++] =
        (struct sw_cut_edge){.along0 = from.z, .left0 = from.r, .along1 = to.z, .left1 = to.r};
}

/* An arc seen from the move is cut where it turns back along the move: at the ends of that diameter
 * of its circle. Up to half a circle passes one of them at most, or, when it begins and ends there,
 * none; rounding may let it pass both. */
static inline void put_bow(struct sw_cut_edges *edges, struct sw_pt from, struct sw_pt to,
                           struct sw_pt c, double radius, int turn)
{
    reach(edges, from.z, from.r);
    /* a left turn runs back along the move where it is left of its centre */
    const int side = (from.z > to.z) == (turn > 0) ? 1 : -1;
    if ((from.z < c.z) != (to.z < c.z))
        reach(edges, c.z, c.r + side * radius); /* furthest over its centre */
    edges->list.at[edges->list.n++] = (struct sw_cut_edge){.along0 = from.z,
                                                           .left0 = from.r,
                                                           .along1 = to.z,
                                                           .left1 = to.r,
                                                           .along = c.z,
                                                           .left = c.r,
                                                           .radius = radius,
                                                           .side = side};
}

void sw_cut_edges_put_arc(struct sw_cut_edges *edges, struct sw_pt from, struct sw_pt to,
                          struct sw_pt c, double radius, int turn)
{
    /* up to half a circle whose ends are on one side of that diameter does not cross it */
    const bool crosses = (from.r < c.r) != (to.r < c.r);
    /* the end that is come to first: from below to the right a left turn comes by the front */
    const int first = (from.r < c.r) == (turn > 0) ? 1 : -1;
    const struct sw_pt begin = from;
    for (int i = 0; i < 2 && crosses; i++) {
        const struct sw_pt end = {c.z + (i == 0 ? first : -first) * radius, c.r};
        const double side =
            (to.z - begin.z) * (end.r - begin.r) - (to.r - begin.r) * (end.z - begin.z);
        if (side * turn < 0) {
            put_bow(edges, from, end, c, radius, turn);
            from = end;
        }
    }
    put_bow(edges, from, to, c, radius, turn);
}

static bool add_straight(struct sw_cut_edges *edges, const struct sw_ring *ring, struct sw_ctx *ctx)
{
    struct sw_pt from = sw_cut_seen(edges, ring->at[0]);
    for (size_t k = 1; k < ring->n; k++) {
        const struct sw_pt to = sw_cut_seen(edges, ring->at[k]);
        if (!push_chord(edges, from, to, ctx))
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
            if (!push_chord(edges, from, to, ctx))
                return false;
            from = to;
        }
        const struct sw_pt to = seen_from_arc(edges, b, next);
        if (!push_chord(edges, from, to, ctx))
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

/* Area between a bow of radius 1 and its centre's line from one place A to another B, by the
 * heights there. */
static inline double bow_area(double a, double up, double b, double down)
{
    /* the angle between the two by its sine or its cosine */
    const double sine = b * up - a * down, cosine = a * b + up * down;
    const double angle = !(cosine > 0.5)                ? acos(larger(-1, cosine))
                         : sine * sine < SW_ANGLE_SMALL ? sw_angle_of_small(sine)
                                                        : asin(sine);
    return (b * down - a * up + angle) / 2;
}

static inline double bow_height(double a)
{
    return sqrt((1 - a) * (1 + a));
}

/* The same of a narrow place, by the height h in its middle x and how that bends there: the second
 * derivative is -R^2 / h^3, the fourth -3 R^2 (R^2 + 4 x^2) / h^7, so that the mean over a width w
 * is h (1 - a / h^4 + b (4 / h^6 - 5 R^2 / h^8)). Where the square of h is FLAT_BOW widths times R,
 * the next term is below 6e-8 of h. */
struct narrow {
    double radius, a, b4, b5;
};

static inline struct narrow narrow_of(double radius, double width)
{
    const double w2 = width * width, r2 = radius * radius, a = r2 * w2 * (1. / 24);
    const double b = a * w2 * (3. / 80);
    return (struct narrow){radius, a, 4 * b, 5 * b * r2};
}

static inline double narrow_height(const struct narrow *n, double x)
{
    const double h2 = (n->radius - x) * (n->radius + x), u = 1 / h2;
    return sqrt(h2) * (1 - u * u * (n->a - u * (n->b4 - n->b5 * u)));
}

/* Area between a bow and the way, from one place along it to another. */
static inline double area_under(const struct sw_cut_edge *e, double begin, double end)
{
    const double width = end - begin, radius = e->radius;
    const double from = begin - e->along, to = end - e->along, most = larger(-from, to);
    double under;
    if ((radius - most) * (radius + most) >= FLAT_BOW * width * radius) {
        const struct narrow narrow = narrow_of(radius, width);
        under = width * narrow_height(&narrow, (from + to) / 2);
    } else {
        const double a = larger(-1, from / radius), b = smaller(1, to / radius);
        under = radius * radius * bow_area(a, bow_height(a), b, bow_height(b));
    }
    return e->left * width + e->side * under;
}

/* A profile in the making. */
struct sharing {
    struct sw_cut_profile *out;
    double per_width;     /* 1 / width */
    struct narrow narrow; /* of the bows of the last radius: most are of one */
    double half;          /* so far either way from their centre a whole place is narrow */
};

/* The place a point along the way lies in. */
static inline int place_of(const struct sharing *sharing, double along)
{
    const struct sw_cut_profile *out = sharing->out;
    /* a hair too early is of no harm */
    const double reached = (along - out->back) * sharing->per_width - SW_TOL_SLIVER;
    const int place = reached > 0 ? (int)reached : 0, last = (int)out->n - 1;
    return place < last ? place : last;
}

static inline double begin_of(const struct sw_cut_profile *out, int place)
{
    return out->back + out->width * place;
}

/* A straight edge, place by place. */
static void share_line(const struct sharing *sharing, const struct sw_cut_edge *e, double sign,
                       double from, double to)
{
    struct sw_cut_profile *out = sharing->out;
    int i = place_of(sharing, from);
    const int last = place_of(sharing, to);
    if (i == last) {
        out->thick[i] += sign * (to - from) * (e->left0 + e->left1) / 2;
        return;
    }
    const double slope = (e->left1 - e->left0) / (e->along1 - e->along0);
    const double level = e->left0 - slope * e->along0;
    for (; i < last; i++) {
        const double end = begin_of(out, i + 1);
        if (end > from) {
            out->thick[i] += sign * (level + slope * ((from + end) / 2)) * (end - from);
            from = end;
        }
    }
    out->thick[last] += sign * (level + slope * ((from + to) / 2)) * (to - from);
}

static void know_radius(struct sharing *sharing, double radius)
{
    const double width = sharing->out->width, squared = radius * (radius - FLAT_BOW * width);
    sharing->narrow = narrow_of(radius, width);
    sharing->half = squared > 0 ? sqrt(squared) : -HUGE_VAL;
}

/* Whole narrow places under a bow from FIRST up to END. */
static void share_places(const struct sharing *sharing, const struct sw_cut_edge *e, double sign,
                         int first, int end)
{
    const struct narrow narrow = sharing->narrow;
    struct sw_cut_profile *out = sharing->out;
    const double width = out->width, level = sign * width * e->left, by = sign * width * e->side;
    const double begin = out->back + width / 2 - e->along;
    double *thick = out->thick;
    for (int i = first; i < end; i++)
        thick[i] += level + by * narrow_height(&narrow, begin + width * i);
}

/* Steep places under a bow from where FROM lies on, up to place LAST and there up to TO. */
static inline void share_steep(const struct sharing *sharing, const struct sw_cut_edge *e,
                               double sign, int first, int last, double from, double to)
{
    struct sw_cut_profile *out = sharing->out;
    const double per_radius = 1 / e->radius, squared = sign * e->side * e->radius * e->radius;
    const double level = sign * e->left;
    double a = larger(-1, (from - e->along) * per_radius), up = bow_height(a);
    for (int i = first; i <= last; i++) {
        const double end = i < last ? begin_of(out, i + 1) : to;
        const double b = smaller(1, (end - e->along) * per_radius), down = bow_height(b);
        out->thick[i] += level * (end - from) + squared * bow_area(a, up, b, down);
        from = end;
        a = b;
        up = down;
    }
}

/* A bow, place by place. */
static inline void share_bow(struct sharing *sharing, const struct sw_cut_edge *e, double sign,
                             double from, double to)
{
    struct sw_cut_profile *out = sharing->out;
    int i = place_of(sharing, from);
    const int last = place_of(sharing, to);
    if (e->radius != sharing->narrow.radius)
        know_radius(sharing, e->radius);
    if (i < last) { /* the first is perhaps no whole one */
        const double end = begin_of(out, i + 1);
        if (end > from) {
            out->thick[i] += sign * area_under(e, from, end);
            from = end;
        }
        i++;
    }
    int narrow = i; /* the first one */
    while (narrow < last && begin_of(out, narrow) < e->along - sharing->half)
        narrow++;
    if (i < narrow) {
        share_steep(sharing, e, sign, i, narrow - 1, from, begin_of(out, narrow));
        i = narrow;
        from = begin_of(out, i);
    }
    int end_narrow = last;
    while (end_narrow > i && begin_of(out, end_narrow) > e->along + sharing->half)
        end_narrow--;
    if (i < end_narrow) {
        share_places(sharing, e, sign, i, end_narrow);
        i = end_narrow;
        from = begin_of(out, i);
    }
    if (i < last)
        share_steep(sharing, e, sign, i, last, from, to);
    else
        out->thick[last] += sign * area_under(e, from, to);
}

/* Area between an edge and the way, place by place; an edge back takes off again what lies on the
 * other side of the ring. */
static void share_out(struct sharing *sharing, const struct sw_cut_edge *e)
{
    const bool is_on = e->along1 > e->along0;
    const double from = is_on ? e->along0 : e->along1, to = is_on ? e->along1 : e->along0;
    if (!(to > from))
        return;
    if (e->radius > 0)
        share_bow(sharing, e, is_on ? 1 : -1, from, to);
    else
        share_line(sharing, e, is_on ? 1 : -1, from, to);
}

void sw_cut_profile_of(struct sw_cut_profile *out, const struct sw_cut_edges *edges)
{
    const double length = edges->front - edges->back;
    out->n = 0;
    out->back = out->width = out->low = out->high = 0;
    if (!(length > SW_TOL_SLIVER))
        return;
    out->low = edges->low;
    out->high = edges->high;
    out->back = edges->back;
    out->n = (size_t)smaller(larger(1, length / LEAST_PLACE), SW_CUT_PLACES);
    out->width = length / (double)out->n;
    struct sharing sharing = {.out = out, .per_width = 1 / out->width};
    for (size_t i = 0; i < out->n; i++)
        out->thick[i] = 0;
    for (size_t i = 0; i < edges->list.n; i++)
        share_out(&sharing, &edges->list.at[i]);
    for (size_t i = 0; i < out->n; i++)
        out->thick[i] = fabs(out->thick[i]) * sharing.per_width;
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
