/* The chain kernel: boundaries to polygons and back. */
#include "base/diag.h"
#include "sim/chain_int.h"

/* Chords of boundaries whose links come nearer than a chord's error are drawn finer by this, once
 * or twice, before the overlay is told. */
#define FINER 16
enum { MOST_FINER = 3 };
/* How far inside a boundary its material is asked for [mm]: thinner pieces are slivers. */
#define BESIDE (SW_TOL_SLIVER / 4)

/* Each boundary once: its first link, whether material is inside it, its box. */
struct loop {
    int first;
    size_t n;
    double twice_area;
    struct sw_box box;
};
typedef SW_VEC(struct loop) loop_list;

static enum sw_status list_loops(loop_list *out, const struct sw_chain_body *body,
                                 struct sw_arena *arena)
{
    bool *seen = SW_NEW(arena, bool, body->links.n);
    if (seen == NULL)
        return SW_MEMORY;
    for (size_t i = 0; i < body->links.n; i++) {
        if (seen[i] || body->links.at[i].leaf == SW_CHAIN_NONE)
            continue;
        struct loop loop = {.first = (int)i, .box = sw_chain_edge_box(&body->links.at[i].edge)};
        const struct sw_pt o = body->links.at[i].edge.a;
        int at = (int)i;
        do {
            const struct sw_chain_edge *edge = &body->links.at[at].edge;
            seen[at] = true;
            loop.n++;
            loop.box = sw_box_join(loop.box, sw_chain_edge_box(edge));
            loop.twice_area += sw_chain_edge_twice_area(edge, edge->a, edge->b, o);
            at = body->links.at[at].next;
        } while (at != (int)i);
        if (!SW_VEC_PUSH(arena, out, loop))
            return SW_MEMORY;
    }
    return SW_OK;
}

static bool add_edge(struct sw_contour *to, const struct sw_chain_edge *edge,
                     struct sw_arena *arena)
{
    if (edge->turn == 0 || sw_pt_distance(edge->a, edge->b) <= SW_TOL_JOINT)
        return sw_contour_add(arena, to, sw_seg_line(edge->a, edge->b, SW_TAG_NONE));
    const struct sw_pt c = {edge->u, edge->v};
    return sw_contour_add(arena, to, sw_seg_arc(edge->a, edge->b, c, edge->turn, SW_TAG_NONE));
}

static enum sw_status loop_region(struct sw_region **out, struct sw_chain *chain,
                                  const struct sw_chain_body *body, const struct loop *loop,
                                  int side, struct sw_ctx *scratch)
{
    struct sw_contour contour = {0};
    int at = loop->first;
    do {
        if (!add_edge(&contour, &body->links.at[at].edge, scratch->arena))
            return SW_MEMORY;
        at = body->links.at[at].next;
    } while (at != loop->first);
    /* Where two links leave a corner in one direction, chords on the far side of one cross the
     * other however fine they are; then corners stand on the arcs, the finest chords first. */
    enum sw_status status = SW_INTERNAL;
    double chord = SW_TOL_CHORD;
    for (int i = 0; i < 2 * MOST_FINER && status == SW_INTERNAL; i++) {
        struct sw_pt *points = NULL;
        size_t n = 0;
        SW_TRY(
            sw_contour_flatten(&points, &n, &contour, chord, i < MOST_FINER ? side : 0, scratch));
        /* a snap off the axis would be a sliver all along it, and join what is apart */
        for (size_t k = 0; k < n; k++)
            if (fabs(points[k].r) < SW_WORK_AT_AXIS)
                points[k].r = 0;
        status = sw_region_from_points(out, chain->kernel, points, n);
        chord = i + 1 < MOST_FINER ? chord / FINER : i + 1 == MOST_FINER ? chord : chord * FINER;
    }
    if (status == SW_INTERNAL)
        sw_diag_add(chain->ctx->diag, SW_ERROR, "sim.chain", (struct sw_span){0}, NULL,
                    "the outline of the work from z %.6f to %.6f mm cannot be drawn", loop->box.z0,
                    loop->box.z1);
    return status;
}

static enum sw_status combine(struct sw_region **all, const struct sw_region *one, bool is_hole)
{
    struct sw_region *made = NULL;
    SW_TRY(is_hole ? sw_region_minus(&made, *all, one) : sw_region_either(&made, *all, one));
    sw_region_free(*all);
    *all = made;
    return SW_OK;
}

static enum sw_status gather(struct sw_region **all, struct sw_chain *chain,
                             const struct sw_chain_body *body, int side, struct sw_ctx *scratch)
{
    loop_list loops = {0};
    SW_TRY(list_loops(&loops, body, scratch->arena));
    SW_TRY(sw_region_from_hull(all, chain->kernel, NULL, 0));
    for (int pass = 0; pass < 2; pass++)
        for (size_t i = 0; i < loops.n; i++) {
            const struct loop *loop = &loops.at[i];
            const bool is_hole = loop->twice_area < 0;
            const struct sw_box *box = &loop->box;
            /* an island inside a hole would have to come after it: there is none, since what is
             * cut off inside falls out of the hole's piece as well */
            if (is_hole != (pass == 1) ||
                fabs(loop->twice_area) <= SW_TOL_SLIVER * (box->z1 - box->z0 + box->r1 - box->r0))
                continue;
            struct sw_region *one = NULL;
            SW_TRY(loop_region(&one, chain, body, loop, side, scratch));
            const enum sw_status status = combine(all, one, is_hole);
            sw_region_free(one);
            SW_TRY(status);
        }
    return SW_OK;
}

enum sw_status sw_chain_to_region(struct sw_region **out, struct sw_chain *chain,
                                  const struct sw_chain_body *body, enum sw_work_which which)
{
    struct sw_ctx scratch = {sw_arena_new(), chain->ctx->diag};
    if (scratch.arena == NULL)
        return SW_MEMORY;
    /* material is on the left of a boundary: chords on its right hold all of it */
    struct sw_region *all = NULL;
    const enum sw_status status =
        gather(&all, chain, body, which == SW_WORK_MOST ? -1 : 1, &scratch);
    sw_arena_free(scratch.arena);
    if (status != SW_OK) {
        sw_region_free(all);
        return status;
    }
    *out = all;
    return SW_OK;
}

static double ring_area(const struct sw_ring *ring)
{
    double twice = 0;
    for (size_t i = 0; i + 1 < ring->n; i++)
        twice += (ring->at[i].z - ring->at[0].z) * (ring->at[i + 1].r - ring->at[0].r) -
                 (ring->at[i].r - ring->at[0].r) * (ring->at[i + 1].z - ring->at[0].z);
    return twice / 2;
}

static bool add_ring(struct sw_chain_body *body, const struct sw_ring *ring, int sign, double shift,
                     struct sw_arena *arena, struct sw_arena *scratch)
{
    SW_VEC(struct sw_chain_edge) edges = {0};
    const bool is_positive = ring_area(ring) * sign > 0;
    const bool backwards = is_positive == ring->is_hole;
    struct sw_pt last = {0, 0};
    bool has_last = false;
    for (size_t i = 0; i < ring->n; i++) {
        const struct sw_pt at = ring->at[backwards ? ring->n - 1 - i : i];
        const struct sw_pt p = {sign * at.z + shift, at.r};
        if (has_last && sw_pt_distance(last, p) <= SW_TOL_SNAP && i + 1 < ring->n)
            continue;
        if (has_last && !SW_VEC_PUSH(scratch, &edges, sw_chain_edge_line(last, p)))
            return false;
        last = p;
        has_last = true;
    }
    return edges.n < 3 || sw_chain_body_add_loop(body, edges.at, edges.n, arena);
}

enum sw_status sw_chain_from_region(struct sw_chain_body *body, struct sw_chain *chain,
                                    const struct sw_region *region, int sign, double shift)
{
    struct sw_ctx scratch = {sw_arena_new(), chain->ctx->diag};
    if (scratch.arena == NULL)
        return SW_MEMORY;
    struct sw_rings rings = {0};
    sw_chain_body_clear(body);
    enum sw_status status = sw_region_rings(&rings, region, &scratch);
    for (size_t i = 0; i < rings.n && status == SW_OK; i++)
        if (!add_ring(body, &rings.at[i], sign, shift, chain->arena, scratch.arena))
            status = SW_MEMORY;
    sw_arena_free(scratch.arena);
    return status;
}

static bool is_in_loop(const struct sw_chain_body *body, const struct loop *loop, struct sw_pt p)
{
    int winds = 0, at = loop->first;
    do {
        winds += sw_chain_edge_winds(&body->links.at[at].edge, p);
        at = body->links.at[at].next;
    } while (at != loop->first);
    return winds != 0;
}

static bool is_sliver(const struct loop *loop)
{
    const struct sw_box *box = &loop->box;
    return fabs(loop->twice_area) / 2 <= SW_TOL_SLIVER * (box->z1 - box->z0 + box->r1 - box->r0);
}

/* Is P in the loose body? */
static bool is_in_body(const struct sw_chain_body *body, struct sw_pt p)
{
    return sw_chain_body_winding(body, p) > 0;
}

static bool copy_loop(struct sw_chain_body *to, const struct sw_chain_body *from,
                      const struct loop *loop, struct sw_arena *arena, struct sw_arena *scratch)
{
    SW_VEC(struct sw_chain_edge) edges = {0};
    int at = loop->first;
    do {
        if (!SW_VEC_PUSH(scratch, &edges, from->links.at[at].edge))
            return false;
        at = from->links.at[at].next;
    } while (at != loop->first);
    return sw_chain_body_add_loop(to, edges.at, edges.n, arena);
}

static void drop_loop(struct sw_chain_body *body, const struct loop *loop)
{
    int at = loop->first;
    for (size_t i = 0; i < loop->n; i++) {
        const int next = body->links.at[at].next;
        sw_chain_body_drop(body, at);
        at = next;
    }
}

/* A place in the material, a little beside the longest link. */
static struct sw_pt point_of(const struct sw_chain_body *body, const struct loop *loop)
{
    const struct sw_chain_edge *longest = &body->links.at[loop->first].edge;
    int at = loop->first;
    do {
        const struct sw_chain_edge *edge = &body->links.at[at].edge;
        if (sw_pt_distance(edge->a, edge->b) > sw_pt_distance(longest->a, longest->b))
            longest = edge;
        at = body->links.at[at].next;
    } while (at != loop->first);
    const struct sw_pt m = sw_chain_edge_middle(longest, longest->a, longest->b);
    const struct sw_pt t = sw_chain_edge_tangent(longest, m);
    return (struct sw_pt){m.z - BESIDE * t.r, m.r + BESIDE * t.z};
}

/* A falling piece in the making. */
struct falling {
    struct sw_chain *chain;
    loop_list loops[2]; /* of either work; NONE as `first` when taken */
    bool *goes[2];
    struct sw_ctx ctx; /* memory of this fall */
    double held_z;
    struct sw_loose *loose;
    size_t n_loose;
};

static struct sw_chain_body *body_of(struct sw_chain *chain, enum sw_work_which which)
{
    return &chain->body[chain->differs ? which : SW_WORK_MOST];
}

/* Outline of a piece and the holes in it, into a body of its own. */
static enum sw_status fill_loose(struct sw_chain_body *to, struct falling *f, size_t outer)
{
    const struct sw_chain_body *from = &f->chain->body[SW_WORK_MOST];
    const loop_list *loops = &f->loops[SW_WORK_MOST];
    sw_chain_body_clear(to);
    for (size_t i = 0; i < loops->n; i++) {
        const struct loop *loop = &loops->at[i];
        const bool is_hole = loop->twice_area < 0;
        if (i != outer && (!is_hole || !is_in_loop(from, &loops->at[outer], point_of(from, loop))))
            continue;
        if (!copy_loop(to, from, loop, f->chain->ctx->arena, f->ctx.arena))
            return SW_MEMORY;
        f->goes[SW_WORK_MOST][i] = true;
    }
    return SW_OK;
}

static enum sw_status least_of(struct sw_region **out, struct falling *f,
                               const struct sw_chain_body *most)
{
    struct sw_chain *chain = f->chain;
    if (!chain->differs)
        return sw_chain_to_region(out, chain, most, SW_WORK_LEAST);
    const struct sw_chain_body *from = &chain->body[SW_WORK_LEAST];
    const loop_list *loops = &f->loops[SW_WORK_LEAST];
    struct sw_chain_body least = {0};
    sw_chain_body_clear(&least);
    for (size_t i = 0; i < loops->n; i++) {
        const struct loop *loop = &loops->at[i];
        if (loop->box.z0 < f->held_z || !is_in_body(most, point_of(from, loop)))
            continue;
        if (!copy_loop(&least, from, loop, f->ctx.arena, f->ctx.arena))
            return SW_MEMORY;
        f->goes[SW_WORK_LEAST][i] = true;
    }
    return sw_chain_to_region(out, chain, &least, SW_WORK_LEAST);
}

static enum sw_status add_loose(struct falling *f, size_t outer)
{
    struct sw_chain *chain = f->chain;
    struct sw_chain_loose own = {0};
    SW_TRY(fill_loose(&own.body, f, outer));
    SW_TRY(sw_chain_to_region(&own.most, chain, &own.body, SW_WORK_MOST));
    enum sw_status status = least_of(&own.least, f, &own.body);
    if (status == SW_OK && !SW_VEC_PUSH(chain->ctx->arena, &chain->loose, own))
        status = SW_MEMORY;
    if (status != SW_OK) {
        sw_region_free(own.most);
        sw_region_free(own.least);
        return status;
    }
    struct sw_loose *loose = &f->loose[f->n_loose++];
    *loose = (struct sw_loose){own.least, own.most, sw_chain_body_box(&own.body), 0};
    /* from here the work owns both, so a failing volume leaks nothing */
    return sw_region_volume(&loose->volume, own.most, chain->ctx);
}

static enum sw_status list_both(struct falling *f)
{
    for (enum sw_work_which which = SW_WORK_LEAST; which <= SW_WORK_MOST; which++) {
        SW_TRY(list_loops(&f->loops[which], body_of(f->chain, which), f->ctx.arena));
        f->goes[which] = SW_NEW(f->ctx.arena, bool, f->loops[which].n);
        if (f->goes[which] == NULL)
            return SW_MEMORY;
    }
    f->loose = SW_NEW(f->chain->ctx->arena, struct sw_loose, f->loops[SW_WORK_MOST].n);
    return f->loose != NULL ? SW_OK : SW_MEMORY;
}

static enum sw_status fall(struct falling *f)
{
    SW_TRY(list_both(f));
    const loop_list *loops = &f->loops[SW_WORK_MOST];
    for (size_t i = 0; i < loops->n; i++) {
        const struct loop *loop = &loops->at[i];
        if (is_sliver(loop))
            f->goes[SW_WORK_MOST][i] = true; /* noise, no piece */
        else if (loop->twice_area > 0 && !(loop->box.z0 < f->held_z))
            SW_TRY(add_loose(f, i));
    }
    for (enum sw_work_which which = f->chain->differs ? SW_WORK_LEAST : SW_WORK_MOST;
         which <= SW_WORK_MOST; which++)
        for (size_t i = 0; i < f->loops[which].n; i++)
            if (f->goes[which][i])
                drop_loop(body_of(f->chain, which), &f->loops[which].at[i]);
    sw_chain_forget(f->chain, true, true, -HUGE_VAL, HUGE_VAL);
    return SW_OK;
}

enum sw_status sw_chain_loosen(struct sw_loose **out, size_t *n, struct sw_work *work,
                               double held_z)
{
    struct falling f = {.chain = sw_chain_of(work), .held_z = held_z};
    *out = NULL;
    *n = 0;
    f.ctx = (struct sw_ctx){sw_arena_new(), f.chain->ctx->diag};
    if (f.ctx.arena == NULL)
        return SW_MEMORY;
    const enum sw_status status = fall(&f);
    sw_arena_free(f.ctx.arena);
    if (status == SW_OK && f.n_loose > 0) {
        *out = f.loose;
        *n = f.n_loose;
    }
    return status;
}
