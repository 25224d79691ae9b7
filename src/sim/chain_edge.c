/* The chain kernel: one edge, and where two of them meet. */
#include "sim/chain_int.h"

/* Lines whose directions differ by less than this [rad] are parallel: over the length of any work
 * they part by less than a snap. */
#define PARALLEL 1e-12
/* Two curves whose places differ by less than this [mm] are the same text read twice. */
#define SAME_CURVE 1e-10

static double size_of(double z, double r)
{
    return sqrt(z * z + r * r);
}

struct sw_chain_edge sw_chain_edge_line(struct sw_pt a, struct sw_pt b)
{
    const double z = b.z - a.z, r = b.r - a.r, length = size_of(z, r);
    struct sw_chain_edge edge = {.a = a, .b = b, .u = 0, .v = 1};
    if (length > 0) {
        edge.u = -r / length;
        edge.v = z / length;
    }
    edge.w = edge.u * a.z + edge.v * a.r;
    return edge;
}

struct sw_chain_edge sw_chain_edge_line_along(struct sw_pt a, struct sw_pt b, struct sw_pt t)
{
    return (struct sw_chain_edge){.a = a, .b = b, .u = -t.r, .v = t.z, .w = -t.r * a.z + t.z * a.r};
}

struct sw_chain_edge sw_chain_edge_reverse(struct sw_chain_edge edge)
{
    const struct sw_pt a = edge.a;
    edge.a = edge.b;
    edge.b = a;
    edge.turn = (signed char)-edge.turn;
    if (edge.turn == 0) {
        edge.u = -edge.u;
        edge.v = -edge.v;
        edge.w = -edge.w;
    }
    return edge;
}

bool sw_chain_edge_is_between(const struct sw_chain_edge *edge, struct sw_pt p)
{
    const struct sw_pt a = edge->a, b = edge->b;
    if (edge->turn == 0) {
        const double length = (b.z - a.z) * edge->v - (b.r - a.r) * edge->u;
        const double along = (p.z - a.z) * edge->v - (p.r - a.r) * edge->u;
        return along >= -SW_TOL_SNAP && along <= length + SW_TOL_SNAP;
    }
    const double z = b.z - a.z, r = b.r - a.r, squared = z * z + r * r;
    if (squared < edge->w * edge->w) {
        /* A short arc, flatter perhaps than its ends are sure: by the way along the chord, on its
         * side of the centre. */
        const double along = (p.z - a.z) * z + (p.r - a.r) * r;
        const double slack = SW_TOL_SNAP * sqrt(squared);
        const double mz = (a.z + b.z) / 2 - edge->u, mr = (a.r + b.r) / 2 - edge->v;
        return along >= -slack && along <= squared + slack &&
               (p.z - edge->u) * mz + (p.r - edge->v) * mr > 0;
    }
    /* an arc of at most half a circle lies on one side of its chord */
    const double side = z * (p.r - a.r) - r * (p.z - a.z);
    return side * edge->turn <= 0 || sw_chain_is_near(p, a, SW_TOL_SNAP) ||
           sw_chain_is_near(p, b, SW_TOL_SNAP);
}

bool sw_chain_edge_holds(const struct sw_chain_edge *edge, struct sw_pt p)
{
    return sw_chain_edge_off(edge, p) <= SW_TOL_SNAP && sw_chain_edge_is_between(edge, p);
}

double sw_chain_edge_along(const struct sw_chain_edge *edge, struct sw_pt p)
{
    return (p.z - edge->a.z) * (edge->b.z - edge->a.z) +
           (p.r - edge->a.r) * (edge->b.r - edge->a.r);
}

static int keep_between(struct sw_pt at[2], int n, const struct sw_chain_edge *e,
                        const struct sw_chain_edge *f)
{
    int kept = 0;
    for (int i = 0; i < n; i++)
        if (sw_chain_edge_is_between(e, at[i]) && sw_chain_edge_is_between(f, at[i]))
            at[kept++] = at[i];
    return kept;
}

static inline int cross_lines(struct sw_pt at[2], const struct sw_chain_edge *e,
                              const struct sw_chain_edge *f)
{
    const double sine = e->u * f->v - e->v * f->u;
    if (fabs(sine) <= PARALLEL)
        return 0;
    /* from a point of E, so that large coordinates do not cost places */
    const double off = f->u * e->a.z + f->v * e->a.r - f->w;
    /* along E: (v, -u); f of it: f.u v - f.v u = -sine */
    const double along = off / sine;
    at[0] = (struct sw_pt){e->a.z + along * e->v, e->a.r - along * e->u};
    return 1;
}

/* How far from a touch of curves that bend apart by BEND [1/mm] they stay within a snap. */
static double touch_reach_of(double bend)
{
    return 2 * sqrt(4 * SW_TOL_SNAP / sw_chain_max(bend, SW_TOL_SNAP)) + SW_TOL_SNAP;
}

static inline int cross_line_arc(struct sw_pt at[2], double *touch_reach,
                                 const struct sw_chain_edge *line, const struct sw_chain_edge *arc)
{
    const double height = line->u * arc->u + line->v * arc->v - line->w;
    const double radius = arc->w;
    if (fabs(height) > radius + SW_TOL_SNAP)
        return 0;
    const struct sw_pt foot = {arc->u - height * line->u, arc->v - height * line->v};
    at[0] = foot;
    if (fabs(height) >= radius - SW_TOL_SNAP) {
        *touch_reach = touch_reach_of(1 / radius);
        return 1;
    }
    const double half = sqrt((radius - height) * (radius + height));
    at[0] = (struct sw_pt){foot.z - half * line->v, foot.r + half * line->u};
    at[1] = (struct sw_pt){foot.z + half * line->v, foot.r - half * line->u};
    return 2;
}

static inline int cross_arcs(struct sw_pt at[2], double *touch_reach, const struct sw_chain_edge *e,
                             const struct sw_chain_edge *f)
{
    const double z = f->u - e->u, r = f->v - e->v, d = size_of(z, r);
    const double more = e->w + f->w, less = fabs(e->w - f->w);
    if (d + less <= SW_TOL_SNAP || d > more + SW_TOL_SNAP || d < less - SW_TOL_SNAP)
        return 0;
    const struct sw_pt way = {z / d, r / d};
    const bool is_outside = d >= more - SW_TOL_SNAP;
    if (is_outside || d <= less + SW_TOL_SNAP) {
        const double bend = is_outside ? 1 / e->w + 1 / f->w : fabs(1 / e->w - 1 / f->w);
        const double by = is_outside || e->w > f->w ? e->w : -e->w;
        *touch_reach = touch_reach_of(bend);
        at[0] = (struct sw_pt){e->u + by * way.z, e->v + by * way.r};
        return 1;
    }
    const double along = (d * d + (e->w - f->w) * (e->w + f->w)) / (2 * d);
    const double product = (more + d) * (more - d) * (d + (e->w - f->w)) * (d - (e->w - f->w));
    const double half = sqrt(sw_chain_max(product, 0)) / (2 * d);
    const struct sw_pt foot = {e->u + along * way.z, e->v + along * way.r};
    at[0] = (struct sw_pt){foot.z + half * way.r, foot.r - half * way.z};
    at[1] = (struct sw_pt){foot.z - half * way.r, foot.r + half * way.z};
    return 2;
}

int sw_chain_edge_cross_curves(struct sw_pt at[2], double *touch_reach,
                               const struct sw_chain_edge *e, const struct sw_chain_edge *f)
{
    *touch_reach = 0;
    if (e->turn == 0)
        return f->turn == 0 ? cross_lines(at, e, f) : cross_line_arc(at, touch_reach, e, f);
    return f->turn == 0 ? cross_line_arc(at, touch_reach, f, e) : cross_arcs(at, touch_reach, e, f);
}

int sw_chain_edge_cross(struct sw_pt at[2], double *touch_reach, const struct sw_chain_edge *e,
                        const struct sw_chain_edge *f)
{
    const int n = sw_chain_edge_cross_curves(at, touch_reach, e, f);
    return keep_between(at, n, e, f);
}

/* The angle of SINE, up to a right one, whose COSINE is known: by that of its half when it is not
 * small. */
static double angle_by_sine(double sine, double cosine)
{
    if (sine * sine < SW_ANGLE_SMALL)
        return sw_angle_of_small(sine);
    const double half = sine / sqrt(2 * (1 + cosine));
    return 2 * (half * half < SW_ANGLE_SMALL ? sw_angle_of_small(half) : asin(half));
}

double sw_chain_edge_twice_area(const struct sw_chain_edge *edge, struct sw_pt a, struct sw_pt b,
                                struct sw_pt o)
{
    const double twice = (a.z - o.z) * (b.r - o.r) - (a.r - o.r) * (b.z - o.z);
    if (edge->turn == 0)
        return twice;
    /* the segment between chord and arc: R^2 (t - sin t) with sin(t / 2) = chord / 2 R */
    const double half = sw_chain_min(1, size_of(b.z - a.z, b.r - a.r) / (2 * edge->w));
    if (half < 1e-3) /* t - sin t = t^3 / 6 - ...: the next term is below rounding of the sum */
        return twice + edge->turn * edge->w * edge->w * half * half * half * 4 / 3 *
                           (1 + 0.3 * half * half);
    if (half < 0.9) {
        const double cosine = sqrt((1 - half) * (1 + half));
        return twice +
               edge->turn * edge->w * edge->w * 2 * (angle_by_sine(half, cosine) - half * cosine);
    }
    /* near half a circle the chord says little of the angle */
    const double t =
        fabs(atan2((a.z - edge->u) * (b.r - edge->v) - (a.r - edge->v) * (b.z - edge->u),
                   (a.z - edge->u) * (b.z - edge->u) + (a.r - edge->v) * (b.r - edge->v)));
    return twice + edge->turn * edge->w * edge->w * (t - sin(t));
}

struct sw_pt sw_chain_edge_tangent(const struct sw_chain_edge *edge, struct sw_pt at)
{
    if (edge->turn == 0)
        return (struct sw_pt){edge->v, -edge->u};
    const double z = at.z - edge->u, r = at.r - edge->v, radius = size_of(z, r);
    const double k = radius > 0 ? edge->turn / radius : 0;
    return (struct sw_pt){-k * r, k * z};
}

bool sw_chain_edge_is_same_curve(const struct sw_chain_edge *e, const struct sw_chain_edge *f)
{
    if (e->turn != f->turn)
        return false;
    if (e->turn == 0)
        return e->u * f->u + e->v * f->v > 0 && sw_chain_edge_off(e, f->a) <= SAME_CURVE &&
               sw_chain_edge_off(e, f->b) <= SAME_CURVE &&
               fabs(e->u * f->v - e->v * f->u) <= SAME_CURVE;
    return e->half == f->half && fabs(e->u - f->u) <= SAME_CURVE &&
           fabs(e->v - f->v) <= SAME_CURVE && fabs(e->w - f->w) <= SAME_CURVE;
}
