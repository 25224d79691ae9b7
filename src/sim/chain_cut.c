/* The chain kernel: how a sweep lies to the boundary near it. The idea stands in chain_int.h. */
#include <stdlib.h>

#include "sim/chain_int.h"

/* Two pieces between the same two places, in their middles nearer than this [mm], are one curve. */
#define TWIN (2 * SW_TOL_SNAP)
/* A crossing this near [mm] to a meeting already known is that meeting. */
#define KNOWN (2 * SW_TOL_SNAP)
/* More marks than this are sorted by the library. */
enum { FEW_MARKS = 24 };

int sw_chain_cut_place(const struct sw_chain_cut *cut, int place)
{
    while (place != SW_CHAIN_NONE && cut->place.at[place].same_as != place)
        place = cut->place.at[place].same_as;
    return place;
}

static void add_local(struct sw_chain_cut *cut, const struct sw_chain_edge *edge, int link)
{
    struct sw_chain_local local = {.edge = *edge,
                                   .box = sw_chain_edge_box(edge),
                                   .link = link,
                                   .begin = SW_CHAIN_NONE,
                                   .end = SW_CHAIN_NONE};
    local.box = (struct sw_box){local.box.z0 - SW_TOL_SNAP, local.box.r0 - SW_TOL_SNAP,
                                local.box.z1 + SW_TOL_SNAP, local.box.r1 + SW_TOL_SNAP};
    if (!SW_CHAIN_PUSH(cut->arena, &cut->local, local)) {
        cut->is_short = true;
        return;
    }
    if (link != SW_CHAIN_NONE)
        cut->body->links.at[link].local = (int)cut->local.n - 1;
}

static int local_of(struct sw_chain_cut *cut, int link)
{
    if (cut->body->links.at[link].local == SW_CHAIN_NONE)
        add_local(cut, &cut->body->links.at[link].edge, link);
    return cut->body->links.at[link].local; /* SW_CHAIN_NONE when out of memory */
}

/* A place at P: one that stands there, or a new one. */
static int place_at(struct sw_chain_cut *cut, struct sw_pt p, int rank)
{
    for (size_t i = 0; i < cut->place.n; i++) {
        struct sw_chain_place *place = &cut->place.at[i];
        if (place->same_as != (int)i || !sw_chain_is_near(place->at, p, SW_TOL_SNAP))
            continue;
        if (rank > place->rank) {
            place->rank = rank;
            place->at = p;
        }
        return (int)i;
    }
    const int number = (int)cut->place.n;
    const struct sw_chain_place place = {
        .at = p, .same_as = number, .rank = rank, .comes = SW_CHAIN_NONE, .goes = SW_CHAIN_NONE};
    if (!SW_CHAIN_PUSH(cut->arena, &cut->place, place)) {
        cut->is_short = true;
        return SW_CHAIN_NONE;
    }
    return number;
}

static void unite(struct sw_chain_cut *cut, int a, int b)
{
    a = sw_chain_cut_place(cut, a);
    b = sw_chain_cut_place(cut, b);
    if (a == b || a == SW_CHAIN_NONE || b == SW_CHAIN_NONE)
        return;
    struct sw_chain_place *place = cut->place.at;
    const bool first_stays = place[a].rank >= place[b].rank;
    const int stays = first_stays ? a : b, goes = first_stays ? b : a;
    place[goes].same_as = stays;
    place[stays].has_link = place[stays].has_link || place[goes].has_link;
}

/* The place at an end of an edge; its neighbour gets it too. */
static int place_of_end(struct sw_chain_cut *cut, int number, bool is_begin)
{
    const struct sw_chain_local *local = &cut->local.at[number];
    const int known = is_begin ? local->begin : local->end;
    if (known != SW_CHAIN_NONE)
        return sw_chain_cut_place(cut, known);
    const bool is_link = local->link != SW_CHAIN_NONE;
    const int place = place_at(cut, is_begin ? local->edge.a : local->edge.b, is_link ? 2 : 1);
    if (place == SW_CHAIN_NONE)
        return place;
    int other;
    if (is_link) {
        const struct sw_chain_link *link = &cut->body->links.at[local->link];
        other = local_of(cut, is_begin ? link->prev : link->next);
        if (other == SW_CHAIN_NONE)
            return SW_CHAIN_NONE;
        cut->place.at[place].has_link = true;
    } else {
        const int n = cut->n_swept;
        other = is_begin ? (number + n - 1) % n : (number + 1) % n;
    }
    if (is_begin) {
        cut->local.at[number].begin = place;
        cut->local.at[other].end = place;
    } else {
        cut->local.at[number].end = place;
        cut->local.at[other].begin = place;
    }
    return place;
}

/* The place at P if that is an end of the edge. */
static int place_if_end(struct sw_chain_cut *cut, int number, struct sw_pt p)
{
    const struct sw_chain_edge *edge = &cut->local.at[number].edge;
    if (sw_chain_is_near(edge->a, p, SW_TOL_SNAP))
        return place_of_end(cut, number, true);
    if (sw_chain_is_near(edge->b, p, SW_TOL_SNAP))
        return place_of_end(cut, number, false);
    return SW_CHAIN_NONE;
}

static void add_mark(struct sw_chain_cut *cut, int number, int place)
{
    if (place == SW_CHAIN_NONE)
        return;
    const struct sw_chain_local *local = &cut->local.at[number];
    const struct sw_chain_mark mark = {number, place,
                                       sw_chain_edge_along(&local->edge, cut->place.at[place].at)};
    if (local->link != SW_CHAIN_NONE)
        cut->place.at[place].has_link = true;
    if (!SW_CHAIN_PUSH(cut->arena, &cut->mark, mark))
        cut->is_short = true;
}

static void note(struct sw_chain_cut *cut, int x, int y, struct sw_pt p)
{
    const int of_x = place_if_end(cut, x, p), of_y = place_if_end(cut, y, p);
    if (of_x != SW_CHAIN_NONE && of_y != SW_CHAIN_NONE) {
        unite(cut, of_x, of_y);
        return;
    }
    int place = of_x != SW_CHAIN_NONE ? of_x : of_y;
    if (place == SW_CHAIN_NONE)
        place = place_at(cut, p, 0);
    if (of_x == SW_CHAIN_NONE)
        add_mark(cut, x, place);
    if (of_y == SW_CHAIN_NONE)
        add_mark(cut, y, place);
}

/* The box of a local is grown by a snap; what an edge holds may stand a little beyond its corner.
 */
static bool is_in_box(const struct sw_box *box, struct sw_pt p)
{
    return p.z >= box->z0 - SW_TOL_SNAP && p.z <= box->z1 + SW_TOL_SNAP &&
           p.r >= box->r0 - SW_TOL_SNAP && p.r <= box->r1 + SW_TOL_SNAP;
}

/* Ends first: chains touch at ends most of the time, and there crossing formulas are at their
 * worst. */
static void meet(struct sw_chain_cut *cut, int x, int y)
{
    const struct sw_chain_edge e = cut->local.at[x].edge, f = cut->local.at[y].edge;
    const struct sw_pt ends[4] = {e.a, e.b, f.a, f.b};
    struct sw_pt known[4];
    int n_known = 0;
    for (int i = 0; i < 4; i++) {
        if (!is_in_box(&cut->local.at[i < 2 ? y : x].box, ends[i]) ||
            !sw_chain_edge_holds(i < 2 ? &f : &e, ends[i]))
            continue;
        bool is_new = true;
        for (int k = 0; k < n_known && is_new; k++)
            is_new = !sw_chain_is_near(known[k], ends[i], SW_TOL_SNAP);
        known[n_known++] = ends[i];
        if (is_new)
            note(cut, x, y, ends[i]);
    }
    if (n_known > 0 && e.turn == 0 && f.turn == 0)
        return; /* two straight lines meet once */
    struct sw_pt at[2];
    double touch_reach;
    const int n = sw_chain_edge_cross(at, &touch_reach, &e, &f);
    for (int i = 0; i < n; i++) {
        bool is_new = true;
        for (int k = 0; k < n_known && is_new; k++)
            is_new = !sw_chain_is_near(known[k], at[i], sw_chain_max(KNOWN, touch_reach));
        if (is_new)
            note(cut, x, y, at[i]);
    }
}

/* Neighbours in the sweep have one end in common, which is no news. */
static void meet_own(struct sw_chain_cut *cut, int x, int y)
{
    const struct sw_chain_edge e = cut->local.at[x].edge, f = cut->local.at[y].edge;
    const bool follows = (x + 1) % cut->n_swept == y, leads = (y + 1) % cut->n_swept == x;
    struct sw_pt at[2];
    double touch_reach;
    if (!follows && !leads) {
        meet(cut, x, y);
        return;
    }
    const struct sw_pt common = follows ? e.b : e.a;
    const struct sw_pt ends[2] = {follows ? e.a : e.b, follows ? f.b : f.a};
    const struct sw_pt t = sw_chain_edge_tangent(&e, common), u = sw_chain_edge_tangent(&f, common);
    if (t.z * u.z + t.r * u.r < 0)
        note(cut, x, y, common); /* the border turns back: the two may run along one another */
    for (int i = 0; i < 2; i++)
        if (!sw_chain_is_near(ends[i], common, KNOWN) &&
            sw_chain_edge_holds(i == 0 ? &f : &e, ends[i])) {
            note(cut, x, y, ends[i]);
            note(cut, x, y, common);
        }
    const int n = sw_chain_edge_cross(at, &touch_reach, &e, &f);
    for (int i = 0; i < n && (e.turn != 0 || f.turn != 0); i++)
        if (!sw_chain_is_near(at[i], common, sw_chain_max(KNOWN, touch_reach)) &&
            !sw_chain_is_near(at[i], ends[0], KNOWN) && !sw_chain_is_near(at[i], ends[1], KNOWN))
            note(cut, x, y, at[i]);
}

static void meet_all(struct sw_chain_cut *cut)
{
    /* links may be added on the way: neighbours of those that end in a place */
    for (int x = cut->n_swept; x < (int)cut->local.n && !cut->is_short; x++)
        for (int y = 0; y < cut->n_swept; y++)
            if (sw_chain_boxes_touch(&cut->local.at[x].box, &cut->local.at[y].box))
                meet(cut, x, y);
    if (cut->swept->is_convex)
        return;
    for (int x = 0; x < cut->n_swept && !cut->is_short; x++)
        for (int y = x + 1; y < cut->n_swept; y++)
            if (sw_chain_boxes_touch(&cut->local.at[x].box, &cut->local.at[y].box))
                meet_own(cut, x, y);
}

static int by_place(const void *left, const void *right)
{
    const struct sw_chain_mark *a = left, *b = right;
    if (a->owner != b->owner)
        return a->owner < b->owner ? -1 : 1;
    return a->along < b->along ? -1 : a->along > b->along;
}

static void sort_marks(struct sw_chain_cut *cut)
{
    struct sw_chain_mark *mark = cut->mark.at;
    const size_t n = cut->mark.n;
    if (n > FEW_MARKS) {
        qsort(mark, n, sizeof *mark, by_place);
        return;
    }
    for (size_t i = 1; i < n; i++) {
        const struct sw_chain_mark one = mark[i];
        size_t k = i;
        for (; k > 0 && by_place(&mark[k - 1], &one) > 0; k--)
            mark[k] = mark[k - 1];
        mark[k] = one;
    }
}

static void add_piece(struct sw_chain_cut *cut, int number, int from, int to)
{
    if (from != SW_CHAIN_NONE && from == to)
        return; /* shorter than a snap */
    const struct sw_chain_edge *edge = &cut->local.at[number].edge;
    struct sw_chain_piece piece = {.local = number,
                                   .from = from,
                                   .to = to,
                                   .a = from != SW_CHAIN_NONE ? cut->place.at[from].at : edge->a,
                                   .b = to != SW_CHAIN_NONE ? cut->place.at[to].at : edge->b,
                                   .after = SW_CHAIN_NONE,
                                   .next = SW_CHAIN_NONE,
                                   .next_comer = SW_CHAIN_NONE,
                                   .link = SW_CHAIN_NONE};
    if (!SW_CHAIN_PUSH(cut->arena, &cut->piece, piece))
        cut->is_short = true;
}

static void split(struct sw_chain_cut *cut)
{
    size_t m = 0;
    sort_marks(cut);
    for (int i = 0; i < (int)cut->local.n; i++) {
        struct sw_chain_local *local = &cut->local.at[i];
        const int end = sw_chain_cut_place(cut, local->end);
        int from = sw_chain_cut_place(cut, local->begin);
        local->piece = (int)cut->piece.n;
        for (; m < cut->mark.n && cut->mark.at[m].owner == i; m++) {
            const int place = sw_chain_cut_place(cut, cut->mark.at[m].place);
            add_piece(cut, i, from, place);
            from = place;
        }
        add_piece(cut, i, from, end);
        local->n_pieces = (int)cut->piece.n - local->piece;
        if (i + 1 == cut->n_swept)
            cut->n_swept_pieces = (int)cut->piece.n;
    }
}

static struct sw_pt middle_of(const struct sw_chain_cut *cut, const struct sw_chain_piece *piece)
{
    return sw_chain_edge_middle(&cut->local.at[piece->local].edge, piece->a, piece->b);
}

/* Does F run along E? +1 with it, -1 against it, 0 no. */
static int twin(const struct sw_chain_cut *cut, const struct sw_chain_piece *e,
                const struct sw_chain_piece *f)
{
    if (e->from == SW_CHAIN_NONE || e->to == SW_CHAIN_NONE)
        return 0;
    const bool is_with = e->from == f->from && e->to == f->to;
    const bool is_against = e->from == f->to && e->to == f->from;
    if ((!is_with && !is_against) || !sw_chain_is_near(middle_of(cut, e), middle_of(cut, f), TWIN))
        return 0;
    return is_with ? 1 : -1;
}

/* How often the sweep winds round the places just right and just left of a piece. */
struct winding {
    int right, left;
};

/* What a part of an edge between two levels of r adds to the winding round P: crossings of the way
 * from P towards +z. */
static int winds_across(struct sw_pt a, struct sw_pt b, bool is_right, struct sw_pt p)
{
    if (a.r <= p.r && p.r < b.r)
        return is_right ? 1 : 0;
    if (b.r <= p.r && p.r < a.r)
        return is_right ? -1 : 0;
    return 0;
}

/* The same of an edge; with IS_LEFT_OUT not what runs past P itself: all of a line,
 * the half of an arc, before or behind its centre, on whose side P lies. */
static int edge_winds_across(const struct sw_chain_edge *edge, struct sw_pt p, bool is_left_out)
{
    const struct sw_pt a = edge->a, b = edge->b;
    if (edge->turn == 0) {
        if (is_left_out)
            return 0;
        const double side = edge->u * p.z + edge->v * p.r - edge->w;
        const bool is_right = p.z < sw_chain_min(a.z, b.z) ||
                              (p.z < sw_chain_max(a.z, b.z) && (b.r > a.r ? side > 0 : side < 0));
        return winds_across(a, b, is_right, p);
    }
    const double z = p.z - edge->u, r = p.r - edge->v;
    const bool is_outside = z * z + r * r > edge->w * edge->w;
    const bool before = z < 0 && is_outside; /* the half of smaller z lies towards +z of P */
    const bool behind = z < 0 || !is_outside;
    const bool a_before = a.z < edge->u, b_before = b.z < edge->u;
    if (a_before == b_before)
        return is_left_out && (z < 0) == a_before
                   ? 0
                   : winds_across(a, b, a_before ? before : behind, p);
    const struct sw_pt top = {edge->u, edge->v + edge->half * edge->w};
    int winds = 0;
    if (!is_left_out || (z < 0) != a_before)
        winds += winds_across(a, top, a_before ? before : behind, p);
    if (!is_left_out || (z < 0) != b_before)
        winds += winds_across(top, b, b_before ? before : behind, p);
    return winds;
}

/* What runs along the piece is left out of the count, which so is that of the place above it; or,
 * where it is steep, of the place towards +z. */
static struct winding winding_beside(const struct sw_chain_cut *cut,
                                     const struct sw_chain_piece *piece)
{
    const struct sw_chain_edge *own = &cut->local.at[piece->local].edge;
    const struct sw_pt m = middle_of(cut, piece);
    double z = piece->b.z - piece->a.z, r = piece->b.r - piece->a.r;
    if (own->turn == 0) { /* its own direction: ends may be snapped */
        const double length = z * own->v - r * own->u;
        z = length * own->v;
        r = -length * own->u;
    }
    const bool is_steep = fabs(r) > fabs(z);
    const bool counts_left = is_steep ? r < 0 : z > 0;
    int winds = 0, along = 0;
    for (int i = 0; i < cut->n_swept; i++) {
        const struct sw_chain_local *local = &cut->local.at[i];
        int runs = i == piece->local ? 1 : 0;
        for (int k = 0; k < local->n_pieces && runs == 0 && piece->from != SW_CHAIN_NONE; k++)
            runs = twin(cut, piece, &cut->piece.at[local->piece + k]);
        if (is_steep)
            winds += edge_winds_across(&local->edge, m, runs != 0);
        else if (runs == 0)
            winds += sw_chain_edge_winds(&local->edge, m);
        along += runs;
    }
    return counts_left ? (struct winding){winds - along, winds}
                       : (struct winding){winds, winds + along};
}

static void sort_links(struct sw_chain_cut *cut)
{
    for (int i = cut->n_swept_pieces; i < (int)cut->piece.n; i++) {
        struct sw_chain_piece *piece = &cut->piece.at[i];
        piece->is_kept = winding_beside(cut, piece).left <= 0;
        if (!piece->is_kept)
            cut->takes = true;
        if (piece->from == SW_CHAIN_NONE || piece->to == SW_CHAIN_NONE)
            continue;
        for (int k = 0; k < cut->n_swept_pieces; k++)
            if (twin(cut, piece, &cut->piece.at[k]) != 0)
                cut->piece.at[k].has_twin = true;
    }
}

/* Is a piece of the sweep border of all that is swept, and the first of those that run there? */
static bool is_border(const struct sw_chain_cut *cut, int number)
{
    const struct sw_chain_piece *piece = &cut->piece.at[number];
    if (cut->swept->is_convex)
        return true;
    const struct winding winding = winding_beside(cut, piece);
    if (winding.right > 0 || winding.left < 1)
        return false;
    for (int i = 0; i < number; i++)
        if (twin(cut, piece, &cut->piece.at[i]) > 0)
            return false;
    return true;
}

static bool begins_at_link(const struct sw_chain_cut *cut, int piece)
{
    const int place = cut->piece.at[piece].from;
    return place != SW_CHAIN_NONE && cut->place.at[place].has_link;
}

/* Between two places with links all of the sweep's border lies on one side of the work's. */
static void sort_run(struct sw_chain_cut *cut, int first, int n)
{
    const int n_pieces = cut->n_swept_pieces;
    int widest = SW_CHAIN_NONE;
    double most = -1;
    for (int i = 0; i < n; i++) {
        const int number = (first + i) % n_pieces;
        struct sw_chain_piece *piece = &cut->piece.at[number];
        piece->is_kept = !piece->has_twin && is_border(cut, number);
        const double z = piece->b.z - piece->a.z, r = piece->b.r - piece->a.r;
        if (piece->is_kept && z * z + r * r > most) {
            most = z * z + r * r;
            widest = number;
        }
    }
    if (widest == SW_CHAIN_NONE)
        return;
    const bool is_inside =
        sw_chain_body_winding(cut->body, middle_of(cut, &cut->piece.at[widest])) > 0;
    if (is_inside) {
        cut->takes = true;
        return;
    }
    for (int i = 0; i < n; i++)
        cut->piece.at[(first + i) % n_pieces].is_kept = false;
}

static void sort_swept(struct sw_chain_cut *cut)
{
    const int n = cut->n_swept_pieces;
    int first = 0;
    while (first < n && !begins_at_link(cut, first))
        first++;
    if (first == n) {
        sort_run(cut, 0, n);
        return;
    }
    for (int done = 0; done < n;) {
        int length = 1;
        while (done + length < n && !begins_at_link(cut, (first + done + length) % n))
            length++;
        sort_run(cut, (first + done) % n, length);
        done += length;
    }
}

bool sw_chain_cut_links(struct sw_chain_cut *cut, const struct sw_chain_body *body,
                        const struct sw_chain_reach *reach, size_t *n)
{
    cut->found.n = 0;
    while (cut->found.cap == 0 ||
           !sw_chain_body_find(body, reach, cut->found.at, cut->found.cap, n)) {
        cut->found.n = cut->found.cap;
        if (!SW_VEC_PUSH(cut->arena, &cut->found, 0))
            return false;
    }
    cut->found.n = *n;
    return true;
}

void sw_chain_cut_done(struct sw_chain_cut *cut)
{
    for (size_t i = (size_t)cut->n_swept; i < cut->local.n; i++)
        if (cut->local.at[i].link != SW_CHAIN_NONE)
            cut->body->links.at[cut->local.at[i].link].local = SW_CHAIN_NONE;
    cut->local.n = 0;
    cut->n_swept = 0;
}

static bool sort_out(struct sw_chain_cut *cut, const int *found, size_t n)
{
    const struct sw_chain_swept *swept = cut->swept;
    for (size_t i = 0; i < swept->edges.n; i++)
        add_local(cut, &swept->edges.at[i], SW_CHAIN_NONE);
    cut->n_swept = (int)swept->edges.n;
    for (size_t i = 0; i < n; i++)
        local_of(cut, found[i]);
    if (!cut->is_short)
        meet_all(cut);
    if (!cut->is_short)
        split(cut);
    if (cut->is_short) {
        sw_chain_cut_done(cut);
        return false;
    }
    sort_links(cut);
    sort_swept(cut);
    return true;
}

static void begin(struct sw_chain_cut *cut, struct sw_chain_body *body,
                  const struct sw_chain_swept *swept)
{
    cut->body = body;
    cut->swept = swept;
    cut->local.n = cut->place.n = cut->mark.n = cut->piece.n = 0;
    cut->n_swept = cut->n_swept_pieces = 0;
    cut->takes = cut->parts = cut->is_short = false;
}

bool sw_chain_cut_find(struct sw_chain_cut *cut, struct sw_chain_body *body,
                       const struct sw_chain_swept *swept)
{
    begin(cut, body, swept);
    if (swept->edges.n == 0)
        return true;
    size_t n = 0;
    if (sw_chain_near_find(body, swept, cut->found.at, cut->found.cap, &n))
        cut->found.n = n;
    else if (!sw_chain_cut_links(cut, body, &swept->reach, &n))
        return false;
    return sort_out(cut, cut->found.at, cut->found.n);
}

bool sw_chain_cut_find_within(struct sw_chain_cut *cut, struct sw_chain_cut *outer,
                              const struct sw_chain_swept *swept)
{
    begin(cut, outer->body, swept);
    for (size_t i = (size_t)outer->n_swept; i < outer->local.n; i++)
        outer->body->links.at[outer->local.at[i].link].local = SW_CHAIN_NONE;
    return swept->edges.n == 0 || sort_out(cut, outer->found.at, outer->found.n);
}

void sw_chain_cut_done_within(struct sw_chain_cut *cut, struct sw_chain_cut *outer)
{
    sw_chain_cut_done(cut);
    for (size_t i = (size_t)outer->n_swept; i < outer->local.n; i++)
        outer->body->links.at[outer->local.at[i].link].local = (int)i;
}
