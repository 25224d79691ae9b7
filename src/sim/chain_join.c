/* The chain kernel: from kept pieces to the new boundary. */
#include "sim/chain_int.h"

/* How far along two pieces that leave a place in one direction their order is looked at [mm]. */
#define LOOK 1e-5

static bool is_swept(const struct sw_chain_cut *cut, int piece)
{
    return piece < cut->n_swept_pieces;
}

/* Ends as they will be run through: pieces of the sweep the other way round. */
static int from_of(const struct sw_chain_cut *cut, int piece)
{
    const struct sw_chain_piece *p = &cut->piece.at[piece];
    return is_swept(cut, piece) ? p->to : p->from;
}

static int to_of(const struct sw_chain_cut *cut, int piece)
{
    const struct sw_chain_piece *p = &cut->piece.at[piece];
    return is_swept(cut, piece) ? p->from : p->to;
}

static struct sw_chain_edge edge_of(const struct sw_chain_cut *cut, int piece)
{
    const struct sw_chain_piece *p = &cut->piece.at[piece];
    struct sw_chain_edge edge = cut->local.at[p->local].edge;
    edge.a = p->a;
    edge.b = p->b;
    return is_swept(cut, piece) ? sw_chain_edge_reverse(edge) : edge;
}

/* The piece that follows on the old boundary, or in the sweep; SW_CHAIN_NONE when it is not near.
 */
static int follower(const struct sw_chain_cut *cut, int piece)
{
    const struct sw_chain_piece *p = &cut->piece.at[piece];
    int local = p->local;
    if (is_swept(cut, piece))
        return (piece + 1) % cut->n_swept_pieces;
    if (piece + 1 < cut->local.at[local].piece + cut->local.at[local].n_pieces)
        return piece + 1;
    do {
        const int next = cut->body->links.at[cut->local.at[local].link].next;
        local = cut->body->links.at[next].local;
    } while (local != SW_CHAIN_NONE && cut->local.at[local].n_pieces == 0 && local != p->local);
    return local == SW_CHAIN_NONE || cut->local.at[local].n_pieces == 0
               ? SW_CHAIN_NONE
               : cut->local.at[local].piece;
}

/* Where nothing was found at an end, the next piece must have the same answer. */
static bool fits_follower(struct sw_chain_cut *cut, int piece)
{
    struct sw_chain_piece *p = &cut->piece.at[piece];
    if (p->to != SW_CHAIN_NONE)
        return true;
    const int next = follower(cut, piece);
    if (next == SW_CHAIN_NONE)
        return p->is_kept;
    struct sw_chain_piece *q = &cut->piece.at[next];
    if (q->from != SW_CHAIN_NONE || q->is_kept != p->is_kept)
        return false;
    if (p->is_kept && is_swept(cut, piece))
        q->after = piece;
    else if (p->is_kept)
        p->after = next;
    return true;
}

static bool fits_leader(const struct sw_chain_cut *cut, int piece)
{
    const struct sw_chain_piece *p = &cut->piece.at[piece];
    if (p->from != SW_CHAIN_NONE || is_swept(cut, piece))
        return true;
    const int prev = cut->body->links.at[cut->local.at[p->local].link].prev;
    return p->is_kept || cut->body->links.at[prev].local != SW_CHAIN_NONE;
}

/* Direction of a kept piece a little way from its beginning (or, backwards, from its end). */
static struct sw_pt look(const struct sw_chain_cut *cut, int piece, bool at_end)
{
    const struct sw_chain_edge edge = edge_of(cut, piece);
    const struct sw_pt at = at_end ? edge.b : edge.a;
    struct sw_pt t = sw_chain_edge_tangent(&edge, at);
    if (at_end)
        t = (struct sw_pt){-t.z, -t.r};
    if (edge.turn == 0)
        return t;
    /* the way bends to the left by LOOK / 2 R, seen backwards to the right */
    const double bend = (at_end ? -edge.turn : edge.turn) * LOOK / (2 * edge.w);
    return (struct sw_pt){t.z - bend * t.r, t.r + bend * t.z};
}

static double clockwise(struct sw_pt from, struct sw_pt to)
{
    const double angle = -atan2(from.z * to.r - from.r * to.z, from.z * to.z + from.r * to.r);
    return angle <= 0 ? angle + 6.283185307179586 : angle;
}

/* Material is on the left: it fills the corner from the way back, clockwise, to the next piece. */
static int choose(const struct sw_chain_cut *cut, int comer, int first)
{
    int best = SW_CHAIN_NONE;
    double least = HUGE_VAL;
    if (first != SW_CHAIN_NONE && cut->piece.at[first].next == SW_CHAIN_NONE)
        return first;
    const struct sw_pt back = look(cut, comer, true);
    for (int i = first; i != SW_CHAIN_NONE; i = cut->piece.at[i].next) {
        const double angle = clockwise(back, look(cut, i, false));
        if (angle < least) {
            least = angle;
            best = i;
        }
    }
    return best;
}

static void take_out(struct sw_chain_cut *cut, struct sw_chain_place *place, int piece)
{
    int *at = &place->goes;
    while (*at != piece)
        at = &cut->piece.at[*at].next;
    *at = cut->piece.at[piece].next;
}

static void list_at_places(struct sw_chain_cut *cut)
{
    for (int i = 0; i < (int)cut->piece.n; i++) {
        struct sw_chain_piece *p = &cut->piece.at[i];
        if (!p->is_kept)
            continue;
        const int from = from_of(cut, i), to = to_of(cut, i);
        if (from != SW_CHAIN_NONE) {
            p->next = cut->place.at[from].goes;
            cut->place.at[from].goes = i;
        }
        if (to != SW_CHAIN_NONE) {
            p->next_comer = cut->place.at[to].comes;
            cut->place.at[to].comes = i;
        }
    }
}

/* Does each old piece still lead to the one it led to? Else boundaries part or join. */
static bool leads_elsewhere(const struct sw_chain_cut *cut, int piece)
{
    int old = follower(cut, piece), now = cut->piece.at[piece].after;
    for (size_t i = 0; old != SW_CHAIN_NONE && !cut->piece.at[old].is_kept; i++) {
        if (i > cut->piece.n)
            return true;
        old = follower(cut, old);
    }
    while (now != SW_CHAIN_NONE && is_swept(cut, now))
        now = cut->piece.at[now].after;
    return old != now;
}

bool sw_chain_cut_match(struct sw_chain_cut *cut)
{
    const int n = (int)cut->piece.n;
    for (int i = 0; i < n; i++)
        if (!fits_follower(cut, i) || !fits_leader(cut, i))
            return false;
    list_at_places(cut);
    for (size_t i = 0; i < cut->place.n; i++) {
        struct sw_chain_place *place = &cut->place.at[i];
        for (int comer = place->comes; comer != SW_CHAIN_NONE;
             comer = cut->piece.at[comer].next_comer) {
            const int goer = choose(cut, comer, place->goes);
            if (goer == SW_CHAIN_NONE)
                return false;
            cut->piece.at[comer].after = goer;
            take_out(cut, place, goer);
        }
        if (place->goes != SW_CHAIN_NONE)
            return false;
    }
    for (int i = cut->n_swept_pieces; i < n && !cut->parts; i++)
        if (cut->piece.at[i].is_kept && cut->piece.at[i].to != SW_CHAIN_NONE)
            cut->parts = leads_elsewhere(cut, i);
    return true;
}

static void connect(struct sw_chain_body *body, int before, int after)
{
    body->links.at[before].next = after;
    body->links.at[after].prev = before;
}

/* Links that are still there take their first kept piece, new ones the others. */
static void place_links(struct sw_chain_cut *cut)
{
    struct sw_chain_body *body = cut->body;
    for (int i = cut->n_swept; i < (int)cut->local.n; i++) {
        const struct sw_chain_local *local = &cut->local.at[i];
        int last = SW_CHAIN_NONE;
        const int old_next = body->links.at[local->link].next;
        for (int k = local->piece; k < local->piece + local->n_pieces; k++) {
            struct sw_chain_piece *p = &cut->piece.at[k];
            if (!p->is_kept)
                continue;
            const struct sw_chain_edge edge = edge_of(cut, k);
            if (last == SW_CHAIN_NONE) {
                p->link = local->link;
                body->links.at[p->link].edge = edge;
            } else {
                p->link = sw_chain_body_take(body, &edge);
            }
            last = p->link;
            if (p->to == SW_CHAIN_NONE && p->link != local->link)
                connect(body, p->link, old_next);
        }
    }
}

static bool is_gone(const struct sw_chain_cut *cut, const struct sw_chain_local *local)
{
    for (int k = local->piece; k < local->piece + local->n_pieces; k++)
        if (cut->piece.at[k].is_kept)
            return false;
    return true;
}

static int after_in_tree(struct sw_chain_cut *cut, int link, int anchor)
{
    if (cut->spare.n > 0)
        sw_chain_body_replant(cut->body, cut->spare.at[--cut->spare.n], link);
    else
        sw_chain_body_plant(cut->body, link, anchor);
    return link;
}

/* Give every new link a leaf, neighbours side by side; leaves of links that go are used first. */
static void plant(struct sw_chain_cut *cut)
{
    struct sw_chain_body *body = cut->body;
    int anchor = SW_CHAIN_NONE;
    for (int i = cut->n_swept; i < (int)cut->local.n; i++) {
        const struct sw_chain_local *local = &cut->local.at[i];
        if (is_gone(cut, local))
            continue;
        anchor = local->link;
        if (local->begin != SW_CHAIN_NONE || local->end != SW_CHAIN_NONE || local->n_pieces > 1)
            sw_chain_body_refit(body, local->link);
        int behind = local->link;
        for (int k = local->piece; k < local->piece + local->n_pieces; k++)
            if (cut->piece.at[k].is_kept && body->links.at[cut->piece.at[k].link].leaf < 0)
                behind = after_in_tree(cut, cut->piece.at[k].link, behind);
    }
    for (int i = cut->n_swept_pieces; i < (int)cut->piece.n; i++) {
        const struct sw_chain_piece *p = &cut->piece.at[i];
        if (!p->is_kept)
            continue;
        int behind = p->link;
        for (int k = p->after; k != SW_CHAIN_NONE && is_swept(cut, k) &&
                               body->links.at[cut->piece.at[k].link].leaf < 0;
             k = cut->piece.at[k].after)
            behind = after_in_tree(cut, cut->piece.at[k].link, behind);
    }
    for (int i = 0; i < cut->n_swept_pieces; i++) /* holes */
        if (cut->piece.at[i].is_kept && body->links.at[cut->piece.at[i].link].leaf < 0)
            anchor = after_in_tree(cut, cut->piece.at[i].link, anchor);
}

/* Pieces of one curve that follow one another become one link. */
static void merge(struct sw_chain_cut *cut, int piece)
{
    struct sw_chain_body *body = cut->body;
    const int link = cut->piece.at[piece].link, next = body->links.at[link].next;
    struct sw_chain_link *one = &body->links.at[link], *other = &body->links.at[next];
    if (next == link || other->next == link ||
        !sw_chain_edge_is_same_curve(&one->edge, &other->edge))
        return;
    one->edge.b = other->edge.b;
    connect(body, link, other->next);
    for (size_t i = 0; i < cut->piece.n; i++)
        if (cut->piece.at[i].link == next)
            cut->piece.at[i].link = link;
    for (int i = cut->n_swept; i < (int)cut->local.n; i++)
        if (cut->local.at[i].link == next)
            cut->local.at[i].link = link; /* so that its local number is wiped where it stands */
    sw_chain_body_drop(body, next);
    sw_chain_body_refit(body, link);
}

bool sw_chain_cut_commit(struct sw_chain_cut *cut)
{
    struct sw_chain_body *body = cut->body;
    if (!sw_chain_body_reserve(body, cut->piece.n, cut->arena))
        return false;
    cut->spare.n = 0;
    for (int i = cut->n_swept; i < (int)cut->local.n; i++)
        if (is_gone(cut, &cut->local.at[i]) &&
            !SW_VEC_PUSH(cut->arena, &cut->spare, cut->local.at[i].link))
            return false;
    place_links(cut);
    for (int i = 0; i < cut->n_swept_pieces; i++)
        if (cut->piece.at[i].is_kept) {
            const struct sw_chain_edge edge = edge_of(cut, i);
            cut->piece.at[i].link = sw_chain_body_take(body, &edge);
        }
    for (size_t i = 0; i < cut->piece.n; i++)
        if (cut->piece.at[i].is_kept && cut->piece.at[i].after != SW_CHAIN_NONE)
            connect(body, cut->piece.at[i].link, cut->piece.at[cut->piece.at[i].after].link);
    plant(cut);
    for (int i = cut->n_swept; i < (int)cut->local.n; i++) {
        struct sw_chain_local *local = &cut->local.at[i];
        if (is_gone(cut, local)) {
            sw_chain_body_drop(body, local->link);
            local->n_pieces = 0;
            local->link = SW_CHAIN_NONE;
        }
    }
    for (size_t i = 0; i < cut->piece.n; i++)
        if (cut->piece.at[i].is_kept && to_of(cut, (int)i) != SW_CHAIN_NONE)
            merge(cut, (int)i);
    return true;
}
