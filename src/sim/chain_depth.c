/* The chain kernel: how much a cut takes, and how deep it is. */
#include "sim/chain_int.h"

/* A place where the thickness jumps is looked at this far [mm] on either side of it. */
#define ASIDE SW_TOL_SLIVER
/* A line this near [rad] to square to the move makes a jump. */
#define SQUARE 1e-3
/* With more pieces than this the thickest place is not looked for. */
enum { MOST_LOOKS = 64 };

struct frame {
    const struct sw_sweep *sweep;
    struct sw_pt u; /* of a line */
};

static struct frame frame_of(const struct sw_sweep *sweep)
{
    struct frame frame = {sweep, {1, 0}};
    const double length = sw_pt_distance(sweep->from, sweep->to);
    if (!sweep->is_arc && length > 0)
        frame.u = (struct sw_pt){(sweep->to.z - sweep->from.z) / length,
                                 (sweep->to.r - sweep->from.r) / length};
    return frame;
}

bool sw_sweep_is_along_axis(const struct sw_sweep *sweep)
{
    return !sweep->is_arc && fabs(sweep->to.z - sweep->from.z) > fabs(sweep->to.r - sweep->from.r);
}

static void widen(struct sw_chain_spread *spread, const struct frame *frame, struct sw_pt p)
{
    const struct sw_pt u = frame->u;
    double across = u.r * p.z - u.z * p.r, along = u.z * p.z + u.r * p.r;
    if (frame->sweep->is_arc) {
        const double z = p.z - frame->sweep->centre.z, r = p.r - frame->sweep->centre.r;
        across = sqrt(z * z + r * r);
        along = across * atan2(r, z);
    }
    spread->low = sw_chain_min(spread->low, across);
    spread->high = sw_chain_max(spread->high, across);
    spread->back = sw_chain_min(spread->back, along);
    spread->front = sw_chain_max(spread->front, along);
}

static bool is_taken(const struct sw_chain_cut *cut, size_t piece)
{
    return (piece < (size_t)cut->n_swept_pieces) == cut->piece.at[piece].is_kept;
}

/* Does the circle's point in a direction lie on the piece? */
static bool passes(const struct sw_chain_edge *arc, const struct sw_chain_piece *piece,
                   struct sw_pt p)
{
    const double side = (piece->b.z - piece->a.z) * (p.r - piece->a.r) -
                        (piece->b.r - piece->a.r) * (p.z - piece->a.z);
    return side * arc->turn < 0;
}

static void widen_by_bulge(struct sw_chain_spread *spread, const struct frame *frame,
                           const struct sw_chain_edge *arc, const struct sw_chain_piece *piece)
{
    struct sw_pt way[4] = {{frame->u.z, frame->u.r},
                           {-frame->u.z, -frame->u.r},
                           {-frame->u.r, frame->u.z},
                           {frame->u.r, -frame->u.z}};
    int n = 4;
    if (frame->sweep->is_arc) {
        const double z = arc->u - frame->sweep->centre.z, r = arc->v - frame->sweep->centre.r;
        const double d = sqrt(z * z + r * r);
        if (!(d > 0))
            return;
        way[0] = (struct sw_pt){z / d, r / d};
        way[1] = (struct sw_pt){-z / d, -r / d};
        n = 2;
    }
    for (int i = 0; i < n; i++) {
        const struct sw_pt p = {arc->u + arc->w * way[i].z, arc->v + arc->w * way[i].r};
        if (passes(arc, piece, p))
            widen(spread, frame, p);
    }
}

static struct sw_box join(struct sw_box a, struct sw_box b)
{
    return (struct sw_box){sw_chain_min(a.z0, b.z0), sw_chain_min(a.r0, b.r0),
                           sw_chain_max(a.z1, b.z1), sw_chain_max(a.r1, b.r1)};
}

/* A piece that is taken, and from where to where it reaches along the move. */
struct span {
    const struct sw_chain_edge *edge;
    const struct sw_chain_piece *piece;
    double ta, tb, low, high;
};

static struct span span_of(const struct sw_chain_edge *edge, const struct sw_chain_piece *piece,
                           struct sw_pt u)
{
    struct span span = {
        edge, piece, u.z * piece->a.z + u.r * piece->a.r, u.z * piece->b.z + u.r * piece->b.r,
        0,    0};
    span.low = sw_chain_min(span.ta, span.tb);
    span.high = sw_chain_max(span.ta, span.tb);
    if (edge->turn == 0)
        return span;
    const double middle = u.z * edge->u + u.r * edge->v;
    for (int side = -1; side <= 1; side += 2) {
        const struct sw_pt p = {edge->u + side * edge->w * u.z, edge->v + side * edge->w * u.r};
        if (!passes(edge, piece, p))
            continue;
        span.low = sw_chain_min(span.low, middle + side * edge->w);
        span.high = sw_chain_max(span.high, middle + side * edge->w);
    }
    return span;
}

/* What the piece adds to the length inside, on the line square to the move at ALONG. */
static double crosses(const struct span *span, struct sw_pt u, double along)
{
    const struct sw_chain_edge *edge = span->edge;
    const struct sw_chain_piece *piece = span->piece;
    const double ta = span->ta, tb = span->tb;
    if (along < span->low || along > span->high)
        return 0;
    if (edge->turn == 0) {
        if ((ta > along) == (tb > along))
            return 0;
        const double t = (along - ta) / (tb - ta);
        const double across = (u.r * piece->a.z - u.z * piece->a.r) * (1 - t) +
                              (u.r * piece->b.z - u.z * piece->b.r) * t;
        return tb > ta ? across : -across;
    }
    const double off = along - (u.z * edge->u + u.r * edge->v);
    const double half = sqrt(sw_chain_max(0, (edge->w - off) * (edge->w + off)));
    const bool goes_over = (ta > along) != (tb > along);
    double sum = 0;
    int n = 0;
    for (int side = -1; side <= 1; side += 2) {
        const struct sw_pt p = {edge->u + off * u.z - side * half * u.r,
                                edge->v + off * u.r + side * half * u.z};
        /* left of the centre's line a counter-clockwise arc runs back */
        const bool runs_back = side * edge->turn > 0;
        if (goes_over ? runs_back != (tb < ta) : !passes(edge, piece, p))
            continue;
        const double across = u.r * p.z - u.z * p.r;
        sum += runs_back ? -across : across;
        n++;
    }
    /* Its ends tell whether it crosses once; otherwise it does so twice or not at all. On which
     * side of a chord a place near its end lies is a matter of rounding: counted by that alone a
     * crossing might stand without the one that ends the stretch. */
    return goes_over || (n == 2 && fabs(off) < edge->w) ? sum : 0;
}

static double thickness_at(const struct span *span, size_t n, struct sw_pt u, double along)
{
    double inside = 0;
    for (size_t i = 0; i < n; i++)
        inside += crosses(&span[i], u, along);
    return fabs(inside);
}

/* Thickness has its kinks where pieces meet and jumps at those that stand square; on arcs the
 * middle is looked at too. WHOLE is what it cannot be more than: the answer where there are more
 * pieces than places to look at. */
static double thickest(const struct sw_chain_cut *cut, struct sw_pt u, double whole)
{
    struct span span[MOST_LOOKS];
    size_t n = 0;
    double most = 0;
    for (size_t i = 0; i < cut->piece.n; i++) {
        if (!is_taken(cut, i))
            continue;
        if (n == MOST_LOOKS)
            return whole;
        const struct sw_chain_piece *piece = &cut->piece.at[i];
        span[n++] = span_of(&cut->local.at[piece->local].edge, piece, u);
    }
    for (size_t i = 0; i < n; i++) {
        const struct sw_chain_edge *edge = span[i].edge;
        most = sw_chain_max(most, thickness_at(span, n, u, span[i].ta + ASIDE));
        if (edge->turn == 0 && fabs(u.z * edge->v - u.r * edge->u) < SQUARE)
            most = sw_chain_max(most, thickness_at(span, n, u, span[i].ta - ASIDE));
        if (edge->turn == 0)
            continue;
        const struct sw_pt m = sw_chain_edge_middle(edge, span[i].piece->a, span[i].piece->b);
        most = sw_chain_max(most, thickness_at(span, n, u, u.z * m.z + u.r * m.r));
    }
    return most;
}

void sw_chain_cut_measure(struct sw_chain_taken *out, const struct sw_chain_cut *cut,
                          const struct sw_sweep *sweep)
{
    const struct frame frame = frame_of(sweep);
    struct sw_pt o = {0, 0};
    bool is_first = true;
    double twice = 0;
    *out = (struct sw_chain_taken){.spread = {HUGE_VAL, -HUGE_VAL, HUGE_VAL, -HUGE_VAL}};
    for (size_t i = 0; i < cut->piece.n; i++) {
        if (!is_taken(cut, i))
            continue;
        const struct sw_chain_piece *piece = &cut->piece.at[i];
        struct sw_chain_edge edge = cut->local.at[piece->local].edge;
        edge.a = piece->a;
        edge.b = piece->b;
        const struct sw_box box = sw_chain_edge_box(&edge);
        if (is_first)
            o = piece->a;
        out->box = is_first ? box : join(out->box, box);
        is_first = false;
        twice += sw_chain_edge_twice_area(&edge, piece->a, piece->b, o);
        widen(&out->spread, &frame, piece->a);
        widen(&out->spread, &frame, piece->b);
        if (edge.turn != 0)
            widen_by_bulge(&out->spread, &frame, &edge, piece);
    }
    out->area = sw_chain_max(0, twice / 2);
    if (is_first)
        return;
    const double across = out->spread.high - out->spread.low;
    const double filled = out->area / (across * (out->spread.front - out->spread.back));
    out->thickest = across;
    if (sw_sweep_is_along_axis(sweep) && filled < 1 - SW_TOL_SLIVER)
        out->thickest = thickest(cut, frame.u, across);
}
