/* The chain kernel: how much a cut takes, and how deep it is. */
#include "sim/chain_int.h"

/* A place where the thickness jumps is looked at this far [mm] on either side of it. */
#define ASIDE SW_TOL_SLIVER
/* A line this near [rad] to square to the move makes a jump. */
#define SQUARE 1e-3
/* With more edges than this the thickest place is not looked for. */
enum { MOST_LOOKS = 64, MOST_PLACES = 2 * MOST_LOOKS };

bool sw_sweep_is_along_axis(const struct sw_sweep *sweep)
{
    return !sweep->is_arc && fabs(sweep->to.z - sweep->from.z) > fabs(sweep->to.r - sweep->from.r);
}

static bool is_taken(const struct sw_chain_cut *cut, size_t piece)
{
    return (piece < (size_t)cut->n_swept_pieces) == cut->piece.at[piece].is_kept;
}

/* Does a point of the circle lie on the part from A to B? */
static bool passes(const struct sw_chain_edge *arc, struct sw_pt a, struct sw_pt b, struct sw_pt p)
{
    const double side = (b.z - a.z) * (p.r - a.r) - (b.r - a.r) * (p.z - a.z);
    return side * arc->turn < 0;
}

static void widen(struct sw_chain_spread *spread, double across, double along)
{
    spread->low = sw_chain_min(spread->low, across);
    spread->high = sw_chain_max(spread->high, across);
    spread->back = sw_chain_min(spread->back, along);
    spread->front = sw_chain_max(spread->front, along);
}

static void widen_round(struct sw_chain_spread *spread, struct sw_pt centre, struct sw_pt p)
{
    const double z = p.z - centre.z, r = p.r - centre.r, across = sqrt(z * z + r * r);
    widen(spread, across, across * atan2(r, z));
}

/* Seen from the centre of a round move. */
static void widen_by_bulge(struct sw_chain_spread *spread, struct sw_pt centre,
                           const struct sw_chain_edge *arc, struct sw_pt a, struct sw_pt b)
{
    const double z = arc->u - centre.z, r = arc->v - centre.r, d = sqrt(z * z + r * r);
    for (int side = -1; side <= 1 && d > 0; side += 2) {
        const struct sw_pt p = {arc->u + side * arc->w * z / d, arc->v + side * arc->w * r / d};
        if (passes(arc, a, b, p))
            widen_round(spread, centre, p);
    }
}

/* Places along a move at which its thickness is asked for, and the thickness there. */
struct looks {
    double along[MOST_PLACES], inside[MOST_PLACES];
    int n;
};

static void look(struct looks *looks, double along)
{
    looks->along[looks->n] = along;
    looks->inside[looks->n++] = 0;
}

/* Thickness has its kinks where edges meet and jumps at those that stand square; on arcs the
 * middle is looked at too. */
static void find_places(struct looks *looks, const struct sw_cut_edges *seen)
{
    looks->n = 0;
    for (size_t i = 0; i < seen->list.n; i++) {
        const struct sw_cut_edge *e = &seen->list.at[i];
        const double along = e->along1 - e->along0, left = e->left1 - e->left0;
        look(looks, e->along0 + ASIDE);
        if (e->radius > 0) {
            const double z = e->along0 + along / 2 - e->along, r = e->left0 + left / 2 - e->left;
            const double reach = sw_chain_size(z, r);
            if (reach > 0)
                look(looks, e->along + e->radius * z / reach);
        } else if (fabs(along) < SQUARE * fabs(left)) {
            look(looks, e->along0 - ASIDE);
        }
    }
}

/* All edges begin where others end, to the last bit: those that pass a place are even in number. */
static void add_edge(struct looks *looks, const struct sw_cut_edge *e)
{
    const bool is_on = e->along1 > e->along0;
    const double from = is_on ? e->along0 : e->along1, to = is_on ? e->along1 : e->along0;
    const double sign = is_on ? 1 : -1;
    const int n = looks->n;
    if (!(to > from))
        return;
    if (e->radius > 0) {
        const double centre = e->along, radius = e->radius, level = sign * e->left;
        const double by = sign * e->side;
        for (int i = 0; i < n; i++) {
            const double along = looks->along[i], off = along - centre;
            if (along >= from && along < to)
                looks->inside[i] +=
                    level + by * sqrt(sw_chain_max(0, (radius - off) * (radius + off)));
        }
        return;
    }
    const double slope = (e->left1 - e->left0) / (e->along1 - e->along0);
    for (int i = 0; i < n; i++) {
        const double along = looks->along[i];
        if (along >= from && along < to)
            looks->inside[i] += sign * (e->left0 + slope * (along - e->along0));
    }
}

/* WHOLE is what it cannot be more than: the answer where there are more edges than places to look
 * at. */
static inline double thickest(const struct sw_cut_edges *seen, double whole)
{
    struct looks looks;
    double most = 0;
    if (seen->list.n > MOST_LOOKS)
        return whole;
    find_places(&looks, seen);
    for (size_t i = 0; i < seen->list.n; i++)
        add_edge(&looks, &seen->list.at[i]);
    for (int i = 0; i < looks.n; i++)
        most = sw_chain_max(most, fabs(looks.inside[i]));
    return most;
}

bool sw_chain_measure_begin(struct sw_chain_measure *measure, struct sw_cut_edges *seen,
                            const struct sw_cut_edges *frame, size_t n, struct sw_arena *arena)
{
    while (seen->list.cap < SW_CUT_BOWS * n) {
        seen->list.n = seen->list.cap;
        if (!sw_vec_room(arena, &seen->list, sizeof *seen->list.at))
            return false;
    }
    sw_cut_edges_begin_as(seen, frame);
    *measure = (struct sw_chain_measure){.seen = seen, .is_empty = true};
    measure->taken.spread = (struct sw_chain_spread){HUGE_VAL, -HUGE_VAL, HUGE_VAL, -HUGE_VAL};
    return true;
}

static void see_round(struct sw_chain_spread *spread, const struct sw_chain_edge *edge,
                      struct sw_pt a, struct sw_pt b, struct sw_pt centre)
{
    widen_round(spread, centre, a);
    widen_round(spread, centre, b);
    if (edge->turn != 0)
        widen_by_bulge(spread, centre, edge, a, b);
}

static inline void put(struct sw_cut_edges *seen, const struct sw_chain_edge *edge,
                       struct sw_pt from, struct sw_pt to)
{
    if (edge->turn == 0)
        sw_cut_edges_put_line(seen, from, to);
    else
        sw_cut_edges_put_arc(seen, from, to, sw_cut_seen(seen, (struct sw_pt){edge->u, edge->v}),
                             edge->w, edge->turn);
}

void sw_chain_measure_add(struct sw_chain_measure *measure, struct sw_chain_part part)
{
    struct sw_chain_taken *taken = &measure->taken;
    struct sw_cut_edges *seen = measure->seen;
    const struct sw_box box = sw_chain_edge_part_box(part.edge, part.a, part.b);
    if (measure->is_empty)
        measure->begin = part.a;
    taken->box = measure->is_empty ? box : sw_chain_box_join(&taken->box, &box);
    measure->is_empty = false;
    measure->twice += sw_chain_edge_twice_area(part.edge, part.a, part.b, measure->begin);
    if (seen->move->is_arc)
        see_round(&taken->spread, part.edge, part.a, part.b, seen->move->centre);
    else
        put(seen, part.edge, sw_cut_seen(seen, part.a), sw_cut_seen(seen, part.b));
}

void sw_chain_measure_add_all(struct sw_chain_measure *measure, const struct sw_chain_part *part,
                              size_t n)
{
    struct sw_cut_edges *seen = measure->seen;
    const struct sw_pt begin = part[0].a;
    struct sw_box box = sw_chain_edge_part_box(part[0].edge, begin, part[0].b);
    struct sw_pt from = sw_cut_seen(seen, begin);
    double twice = 0;
    for (size_t i = 0; i < n; i++) {
        const struct sw_chain_edge *edge = part[i].edge;
        const struct sw_pt a = part[i].a, b = part[i].b, to = sw_cut_seen(seen, b);
        const struct sw_box own = sw_chain_edge_part_box(edge, a, b);
        box = sw_chain_box_join(&box, &own);
        twice += sw_chain_edge_twice_area(edge, a, b, begin);
        put(seen, edge, from, to);
        from = to;
    }
    measure->taken.box = box;
    measure->twice = twice;
    measure->is_empty = false;
}

void sw_chain_measure_end(struct sw_chain_taken *out, struct sw_chain_measure *measure)
{
    struct sw_chain_spread *spread = &measure->taken.spread;
    const struct sw_sweep *move = measure->seen->move;
    measure->taken.area = sw_chain_max(0, measure->twice / 2);
    if (!move->is_arc)
        *spread = (struct sw_chain_spread){measure->seen->low, measure->seen->high,
                                           measure->seen->back, measure->seen->front};
    if (!measure->is_empty) {
        const double across = spread->high - spread->low;
        const double filled = measure->taken.area / (across * (spread->front - spread->back));
        measure->taken.thickest = sw_sweep_is_along_axis(move) && filled < 1 - SW_TOL_SLIVER
                                      ? thickest(measure->seen, across)
                                      : across;
    }
    *out = measure->taken;
}

bool sw_chain_cut_measure(struct sw_chain_taken *out, struct sw_chain_cut *cut,
                          const struct sw_cut_edges *frame)
{
    struct sw_chain_measure measure;
    if (!sw_chain_measure_begin(&measure, &cut->seen, frame, cut->piece.n, cut->arena))
        return false;
    for (size_t i = 0; i < cut->piece.n; i++) {
        const struct sw_chain_piece *piece = &cut->piece.at[i];
        if (is_taken(cut, i))
            sw_chain_measure_add(&measure, (struct sw_chain_part){&cut->local.at[piece->local].edge,
                                                                  piece->a, piece->b});
    }
    sw_chain_measure_end(out, &measure);
    return true;
}
