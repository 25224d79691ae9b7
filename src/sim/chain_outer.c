/* The chain kernel: thickness along a move, and the outer radius over z.
 *
 * The outer radius is given as straight parts, as its users want it, arcs drawn in chords of
 * SW_TOL_CHORD, and so is what an arc took; of a straight move arcs stay what they are. The outer
 * radius is kept in windows along z, so that it costs a move only the windows it has cut.
 */
#include "sim/chain_int.h"

/* Length of a window [mm], how many at most, and how far they reach behind the holder's face: as
 * the region kernel has them. */
#define WINDOW 0.25
enum { MOST_WINDOWS = 400 };
#define BEHIND_FRONT 0.5713
/* Chords of one edge at most. */
enum { MOST_CHORDS = 256 };

static size_t n_chords(const struct sw_chain_edge *edge, struct sw_pt a, struct sw_pt b)
{
    if (edge->turn == 0)
        return 1;
    /* a chord of length l strays l^2 / 8 R; an arc is at most pi / 2 of its chord */
    const double length = 1.5707963267948966 * sw_pt_distance(a, b);
    const double n = ceil(length / sqrt(8 * edge->w * SW_TOL_CHORD));
    return n < 1 ? 1 : n > MOST_CHORDS ? MOST_CHORDS : (size_t)n;
}

/* The angle an arc turns through from A to B [rad]. */
static double turned_by(const struct sw_chain_edge *edge, struct sw_pt a, struct sw_pt b)
{
    const struct sw_pt u = {a.z - edge->u, a.r - edge->v}, w = {b.z - edge->u, b.r - edge->v};
    const double angle = atan2(u.z * w.r - u.r * w.z, u.z * w.z + u.r * w.r);
    return angle * edge->turn < 0 ? edge->turn * (6.283185307179586 - fabs(angle)) : angle;
}

/* Corner I of N chords from A to B, by equal angles. */
static struct sw_pt chord_corner(const struct sw_chain_edge *edge, struct sw_pt a, struct sw_pt b,
                                 size_t i, size_t n)
{
    if (i == 0 || i == n)
        return i == 0 ? a : b;
    const struct sw_pt u = {a.z - edge->u, a.r - edge->v};
    const double t = turned_by(edge, a, b) * (double)i / (double)n, c = cos(t), s = sin(t);
    return (struct sw_pt){edge->u + c * u.z - s * u.r, edge->v + s * u.z + c * u.r};
}

static bool draw(struct sw_chain *chain, const struct sw_chain_edge *edge)
{
    struct sw_ctx memory = {chain->arena, chain->ctx->diag};
    struct sw_pt points[MOST_CHORDS + 1];
    const size_t n = n_chords(edge, edge->a, edge->b);
    for (size_t k = 0; k <= n; k++)
        points[k] = chord_corner(edge, edge->a, edge->b, k, n);
    struct sw_ring ring = {points, n + 1, false};
    const struct sw_rings one = {&ring, 1, 1};
    return sw_cut_edges_add(&chain->removed, &one, &memory) == SW_OK;
}

bool sw_chain_note_straight(struct sw_chain *chain, struct sw_cut_edges *seen)
{
    struct sw_cut_edges *removed = &chain->removed;
    removed->back = sw_chain_min(removed->back, seen->back);
    removed->front = sw_chain_max(removed->front, seen->front);
    removed->low = sw_chain_min(removed->low, seen->low);
    removed->high = sw_chain_max(removed->high, seen->high);
    if (removed->list.n == 0) { /* the first part of the move: the lists change places */
        struct sw_cut_edge *at = removed->list.at;
        const size_t cap = removed->list.cap;
        removed->list.at = seen->list.at;
        removed->list.cap = seen->list.cap;
        removed->list.n = seen->list.n;
        seen->list.at = at;
        seen->list.cap = cap;
        seen->list.n = 0;
        return true;
    }
    for (size_t i = 0; i < seen->list.n; i++)
        if (!SW_CHAIN_PUSH(chain->arena, &removed->list, seen->list.at[i]))
            return false;
    return true;
}

bool sw_chain_note_removed(struct sw_chain *chain, struct sw_chain_cut *cut)
{
    if (!chain->removed.move->is_arc)
        return sw_chain_note_straight(chain, &cut->seen);
    for (size_t i = 0; i < cut->piece.n; i++) {
        const struct sw_chain_piece *piece = &cut->piece.at[i];
        if ((i < (size_t)cut->n_swept_pieces) != piece->is_kept)
            continue;
        struct sw_chain_edge edge = cut->local.at[piece->local].edge;
        edge.a = piece->a;
        edge.b = piece->b;
        if (!draw(chain, &edge))
            return false;
    }
    return true;
}

const struct sw_cut_profile *sw_chain_profile(const struct sw_work *work)
{
    struct sw_chain *chain = sw_chain_of((struct sw_work *)work);
    sw_cut_profile_of(&chain->profile, &chain->removed);
    return &chain->profile;
}

void sw_chain_free_windows(struct sw_chain *chain)
{
    for (size_t i = 0; i < chain->windows.n; i++)
        for (int which = 0; which < 2; which++)
            sw_silhouette_free(&chain->windows.at[i].outer[which]);
    chain->windows.n = 0;
}

static bool add_window(struct sw_chain *chain, double z0, double z1)
{
    const struct sw_chain_window window = {.z0 = z0, .z1 = z1};
    return !(z1 > z0) || SW_VEC_PUSH(chain->arena, &chain->windows, window);
}

bool sw_chain_divide(struct sw_chain *chain, double front)
{
    const struct sw_box box = sw_chain_body_box(&chain->body[SW_WORK_MOST]);
    sw_chain_free_windows(chain);
    const double begin = fmin(fmax(box.z0, front - BEHIND_FRONT), box.z1);
    const double length = box.z1 - begin;
    const size_t n = (size_t)fmin(fmax(1, ceil(length / WINDOW)), MOST_WINDOWS);
    if (!add_window(chain, box.z0, begin))
        return false;
    for (size_t k = 0; k < n; k++)
        if (!add_window(chain, begin + length * (double)k / (double)n,
                        k + 1 < n ? begin + length * (double)(k + 1) / (double)n : box.z1))
            return false;
    return true;
}

/* The first window that reaches up to Z. */
static size_t first_window(const struct sw_chain *chain, double z)
{
    const struct sw_chain_window *windows = chain->windows.at;
    size_t low = 0, high = chain->windows.n;
    while (low < high) {
        const size_t middle = (low + high) / 2;
        if (windows[middle].z1 < z)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

void sw_chain_forget(struct sw_chain *chain, bool of_least, bool of_most, double z0, double z1)
{
    struct sw_chain_window *windows = chain->windows.at;
    const size_t n = chain->windows.n;
    size_t i = chain->lately_forgotten; /* mostly once more */
    if (i >= n || windows[i].z1 < z0 || windows[i].z0 >= z0)
        i = first_window(chain, z0);
    chain->lately_forgotten = i;
    for (; i < n && windows[i].z0 <= z1; i++) {
        if (of_least)
            windows[i].knows_outer[SW_WORK_LEAST] = false;
        if (of_most)
            windows[i].knows_outer[SW_WORK_MOST] = false;
    }
}

/* Chord by chord, both ends of each. */
static bool add_chords(struct sw_chain *chain, const struct sw_chain_edge *edge)
{
    const size_t n = n_chords(edge, edge->a, edge->b);
    struct sw_pt from = edge->a;
    for (size_t i = 1; i <= n; i++) {
        const struct sw_pt to = chord_corner(edge, edge->a, edge->b, i, n);
        if (!SW_CHAIN_PUSH(chain->arena, &chain->corners, from) ||
            !SW_CHAIN_PUSH(chain->arena, &chain->corners, to))
            return false;
        from = to;
    }
    return true;
}

static bool look_at(struct sw_chain *chain, struct sw_chain_window *window,
                    enum sw_work_which which)
{
    const struct sw_chain_body *body = &chain->body[chain->differs ? which : SW_WORK_MOST];
    const struct sw_chain_reach reach = {.box = {window->z0, -HUGE_VAL, window->z1, HUGE_VAL}};
    size_t n = 0;
    if (!sw_chain_cut_links(&chain->cut, body, &reach, &n))
        return false;
    chain->corners.n = 0;
    for (size_t i = 0; i < n; i++) {
        const struct sw_chain_edge *edge = &body->links.at[chain->cut.found.at[i]].edge;
        if (edge->a.z != edge->b.z && !add_chords(chain, edge))
            return false;
    }
    struct sw_silhouette *outer = &window->outer[which];
    outer->n = 0;
    window->knows_outer[which] = sw_silhouette_add_edges(
        outer, chain->corners.at, chain->corners.n / 2, window->z0, window->z1);
    return window->knows_outer[which];
}

enum sw_status sw_chain_silhouette(struct sw_silhouette *out, struct sw_work *work,
                                   enum sw_work_which which, double z)
{
    struct sw_chain *chain = sw_chain_of(work);
    out->n = 0;
    for (size_t i = 0; i < chain->windows.n; i++) {
        struct sw_chain_window *window = &chain->windows.at[i];
        if (window->z1 <= z)
            continue;
        if (!window->knows_outer[which] && !look_at(chain, window, which))
            return SW_MEMORY;
        const struct sw_silhouette *own = &window->outer[which];
        for (size_t k = 0; k < own->n; k++)
            if (own->at[k].z1 > z && !sw_silhouette_push(out, own->at[k]))
                return SW_MEMORY;
    }
    return SW_OK;
}
