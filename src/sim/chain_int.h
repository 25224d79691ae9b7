/* Inside of the chain kernel: the workpiece as closed boundaries of lines and arcs.
 *
 * The idea. What is left of the work is held as its boundary: links of lines and arcs, each joined
 * to the next, material on the left; a hole runs the other way round. A move touches the few links
 * near the border of its sweep. They are found by a tree of boxes that keeps its balance
 * (chain_tree.c); all others are never looked at, so time is linear in moves.
 *
 * The sweep (chain_sweep.c). The border of where a convex outline goes along a line or an arc is
 * made of parts of the outline at both ends, of lines, and of arcs about the centre of the path
 * moved by a corner of the outline, with radii that are sums or differences. Going round once by
 * equal tangents gives a closed curve that winds round each point as often as the path has separate
 * pieces from which the outline covers that point (Guibas, Ramshaw, Stolfi, "A kinetic framework
 * for computational geometry", 1983). It may cross itself; where it winds at least once is the
 * sweep, and no special case is left. An arc of more than a right angle is cut into shorter ones,
 * since that rule needs a path that does not close.
 *
 * The cut (chain_cut.c). Links near the sweep and the sweep's own edges are split where they meet;
 * each piece is asked whether it lies in the other area; what stays is joined up at the places of
 * meeting. Nothing depends on the order in which near-equal things compare: meetings nearer than
 * SW_TOL_SNAP are one place, pieces between the same two places that stay that near are one curve,
 * and all else is decided in the middle of a piece, where rounding is far below the distances that
 * count. If as many pieces do not leave each place as come to it, the answers contradict each
 * other: the sweep is then moved by a hair (SW_CHAIN_NUDGE) and the cut done afresh. Curves never
 * drift: a piece keeps the line or circle it came from; only its ends are snapped.
 *
 * Where a straight move goes on from the last one, nothing but the front of its sweep can meet the
 * work, mostly twice; then the links between the two meetings are replaced by that front and none
 * of this is asked (chain_roll.c).
 *
 * One workpiece serves as `least` and `most`. Two are kept only when the work cannot be said
 * better: from the first arc on whose ends disagree by more than SW_CHAIN_SAME, and for a piece
 * that comes as polygons from another chucking. Then `least` is cut along the mean radius with the
 * outline grown by half the disagreement, `most` with the outline shrunk by as much.
 *
 * Rejected: one convex piece of sweep after the other (seams inside the sweep become real edges);
 * exact arithmetic on a grid (circles through rounded points are no grid circles); a height over z
 * (a staff has undercuts); cells along z (a face has all its links at one z).
 */
#ifndef SW_SIM_CHAIN_INT_H
#define SW_SIM_CHAIN_INT_H

#include <math.h>

#include "geom/tol.h"
#include "sim/work_int.h"

/* By how much a contradicted cut is moved [mm]: a hundred snaps, a tenth of the resolution
 * stated. */
#define SW_CHAIN_NUDGE 1e-6
/* No cut is moved further than this [mm]. */
#define SW_CHAIN_MOST_NUDGE (13 * SW_CHAIN_NUDGE / 4)
/* What a move that rolls on decides is never nearer to being otherwise than this [mm]. */
#define SW_CHAIN_CLEAR (8 * SW_TOL_SNAP)
/* Both readings of an arc nearer than this [mm] are one reading. */
#define SW_CHAIN_SAME 1e-7

/* SW_VEC_PUSH without a call while there is room; one of these is in every innermost loop. */
#define SW_CHAIN_PUSH(arena, vec, value)                                                           \
    (((vec)->n < (vec)->cap || sw_vec_room((arena), (vec), sizeof *(vec)->at))                     \
         ? ((vec)->at[(vec)->n++] = (value), 1)                                                    \
         : 0)

/* fmin and fmax are calls; no place here is NAN. */
static inline double sw_chain_min(double a, double b)
{
    return a < b ? a : b;
}

static inline double sw_chain_max(double a, double b)
{
    return a > b ? a : b;
}

/* hypot is a call too; no size here is near the ends of the doubles. */
static inline double sw_chain_size(double z, double r)
{
    return sqrt(z * z + r * r);
}

static inline double sw_chain_distance(struct sw_pt a, struct sw_pt b)
{
    return sw_chain_size(b.z - a.z, b.r - a.r);
}

static inline bool sw_chain_is_near(struct sw_pt a, struct sw_pt b, double by)
{
    const double z = b.z - a.z, r = b.r - a.r;
    return z * z + r * r <= by * by;
}

static inline bool sw_chain_boxes_touch(const struct sw_box *a, const struct sw_box *b)
{
    return a->z0 <= b->z1 && b->z0 <= a->z1 && a->r0 <= b->r1 && b->r0 <= a->r1;
}

static inline struct sw_box sw_chain_box_join(const struct sw_box *a, const struct sw_box *b)
{
    return (struct sw_box){sw_chain_min(a->z0, b->z0), sw_chain_min(a->r0, b->r0),
                           sw_chain_max(a->z1, b->z1), sw_chain_max(a->r1, b->r1)};
}

/** An edge of a boundary, what it bounds on its left; arcs do not turn back in z. */
struct sw_chain_edge {
    struct sw_pt a, b;
    double u, v, w;   /* line: left of it u z + v r > w, (u, v) of length 1; arc: centre, radius */
    signed char turn; /* 0: a line; else as in struct sw_seg */
    signed char half; /* arc: +1 above its centre, -1 below */
};

/** A corner of a convex outline: an arc about C, of radius 0 where the outline is sharp. From its
 *  end a straight side (perhaps of length 0) leads to the next corner's begin. */
struct sw_chain_corner {
    struct sw_pt c, begin, end;
    struct sw_pt t0, t1; /* unit tangents at begin and end */
    double radius;
    double angle0, angle1; /* of the tangents; growing round the outline [rad] */
};

struct sw_chain_tool {
    struct sw_chain_corner *at; /* counter-clockwise; none: nothing is swept */
    size_t n;
    size_t first_round, end_round; /* none but those between have a radius */
    struct sw_box box;
    /* half planes that hold the outline: direction and largest extent */
    struct sw_pt *side;
    double *reach;
    size_t n_sides;
};

/* What `outline` gives out; the convex polygons serve those who ask for them (work.h). */
struct sw_chain_outline {
    struct sw_outline convex; /* first, so that a pointer to it is one to this */
    const struct sw_contour *contour;
    struct sw_chain_tool cut, touch; /* as drawn; shrunk by SW_WORK_TOUCH */
};

/* One edge of a boundary that stands. */
struct sw_chain_link {
    struct sw_chain_edge edge;
    int next, prev;
    int leaf;      /* in the tree; SW_CHAIN_NONE in a free link */
    int near_at;   /* in the list of those near by; SW_CHAIN_NONE else */
    int local;     /* its number in the cut at hand; SW_CHAIN_NONE else */
    unsigned seen; /* by the last rolling cut that walked past it (chain_roll.c) */
};

enum { SW_CHAIN_NONE = -1 };

/* A leaf holds one link, any other node two nodes. Children keep the order of the boundary as far
 * as cuts allow, so that boxes stay small. */
struct sw_chain_node {
    struct sw_box box;
    int parent, left, right;
    int height; /* 0: a leaf */
    int link;
};

/* Links near a stretch of path (chain_near.c). */
enum { SW_CHAIN_MOST_NEAR = 96 };
struct sw_chain_near {
    const struct sw_chain_tool *tool; /* whose path; NULL: nothing is known */
    struct sw_pt at;                  /* moves within `radius` of it find all they need here */
    double radius;
    int link[SW_CHAIN_MOST_NEAR];
    struct sw_box box[SW_CHAIN_MOST_NEAR]; /* theirs, grown by SW_CHAIN_CLEAR: all of them are
 looked at by every move */
    size_t n;
    const struct sw_chain_tool *last_tool; /* where the last move ended, and whose it was */
    struct sw_pt last;
};

/** Boundaries of one workpiece or loose piece. */
struct sw_chain_body {
    SW_VEC(struct sw_chain_link) links;
    SW_VEC(struct sw_chain_node) nodes;
    int free_link, free_node; /* lists through `next` and `parent` */
    size_t n_free_links, n_free_nodes;
    size_t n_links; /* standing */
    int root;
    struct sw_chain_near near;
    unsigned n_rolled; /* cuts looked for by rolling on */
};

/** Half planes round a sweep: links outside any of them are not its business. */
enum { SW_CHAIN_MOST_SIDES = 24 };
struct sw_chain_reach {
    struct sw_box box;
    struct sw_pt side[SW_CHAIN_MOST_SIDES];
    double limit[SW_CHAIN_MOST_SIDES];
    size_t n;
};

/** The border of a sweep, closed, counter-clockwise where it matters. */
struct sw_chain_swept {
    SW_VEC(struct sw_chain_edge) edges;
    struct sw_chain_reach reach;
    bool is_convex;
    const struct sw_chain_tool *tool; /* along a line as it is; NULL: an arc, or turned over */
    struct sw_pt from, to;
};

/** The part of a sweep's border that looks along a straight move, counter-clockwise. */
struct sw_chain_front {
    struct sw_chain_swept swept; /* its edges only */
    const struct sw_chain_tool *tool;
    const struct sw_chain_corner *first,
        *last; /* it begins and ends on these, where the move does */
};

/** What a cut that rolls on replaces (chain_roll.c). */
enum { SW_CHAIN_MOST_FRONT = 24, SW_CHAIN_MOST_GONE = 64 };
struct sw_chain_rolling {
    bool is_clear; /* all else holds only then */
    bool takes;    /* and all that follows only then */
    const struct sw_chain_front *front;
    struct sw_pt out_at, in_at; /* where the front comes out of the work and goes into it */
    int out_edge, in_edge;      /* of the front */
    int out_link, in_link;
    bool is_middle;           /* both on one link, whose middle goes */
    bool in_stays, out_stays; /* the link begins, ends there and stays whole */
    int gone[SW_CHAIN_MOST_GONE];
    int n_gone;
};

/** Along a line, at a place (from == to), or along an arc to the left of at most a right angle. */
struct sw_chain_path {
    struct sw_pt from, to, centre;
    double radius, angle0, angle1; /* arc: of its tangents */
    bool is_arc;
};

/* Where edges meet. */
struct sw_chain_place {
    struct sw_pt at;
    int same_as;     /* another place it has become one with; itself else */
    int rank;        /* 2: end of a link, 1: of an edge of the sweep, 0: a crossing */
    bool has_link;   /* a link passes or ends there */
    int comes, goes; /* first kept piece that ends, begins here */
};

/* A place inside an edge. */
struct sw_chain_mark {
    int owner; /* local number */
    int place;
    double along; /* grows along the edge */
};

/* An edge near by: those of the sweep first, in their order, then links. */
struct sw_chain_local {
    struct sw_chain_edge edge;
    struct sw_box box;
    int link;       /* SW_CHAIN_NONE: of the sweep */
    int begin, end; /* places at its ends, SW_CHAIN_NONE */
    int piece, n_pieces;
};

/* What lies between two neighbouring places of an edge. */
struct sw_chain_piece {
    int local;
    int from, to; /* places; SW_CHAIN_NONE at an end of the edge that is none */
    struct sw_pt a, b;
    bool is_kept;   /* of a link: stays; of the sweep: becomes border, the other way round */
    bool has_twin;  /* of the sweep: a link runs along it */
    int after;      /* kept: the piece that follows in the new boundary */
    int next;       /* in the place's list of those that begin there */
    int next_comer; /* of those that end there */
    int link;       /* what it became */
};

/** Memory of one cut; it lasts, so that a cut allocates nothing once it has grown. */
struct sw_chain_cut {
    struct sw_arena *arena;
    struct sw_chain_body *body;
    const struct sw_chain_swept *swept;
    SW_VEC(struct sw_chain_local) local;
    SW_VEC(struct sw_chain_place) place;
    SW_VEC(struct sw_chain_mark) mark;
    SW_VEC(struct sw_chain_piece) piece;
    struct sw_cut_edges seen; /* what a straight move takes, in its frame */
    SW_VEC(int) found;        /* links near by */
    SW_VEC(int) spare;        /* links that go */
    int n_swept;              /* locals of the sweep */
    int n_swept_pieces;       /* pieces of the sweep */
    bool takes;               /* something of the work lies in the sweep */
    bool parts;               /* boundaries fall apart or join */
    bool is_short;            /* of memory */
};

struct sw_chain_loose {
    struct sw_chain_body body;
    struct sw_region *least, *most;
};

/* A stretch along z whose outer radius is remembered until something is cut there. */
struct sw_chain_window {
    double z0, z1;
    struct sw_silhouette outer[2];
    bool knows_outer[2];
};

struct sw_chain {
    struct sw_ctx *ctx;
    struct sw_kernel *kernel;
    struct sw_ctx quiet;    /* of that kernel: what it cannot draw is tried otherwise */
    struct sw_arena *arena; /* of bodies and cuts */
    struct sw_chain_body
        body[2]; /* by enum sw_work_which; only the second is used until they differ */
    bool differs;
    struct sw_chain_cut cut, thin_cut;
    struct sw_chain_swept swept, thin_swept;
    struct sw_chain_front front;
    struct sw_chain_rolling rolling;
    SW_VEC(struct sw_chain_loose) loose;
    struct sw_sweep move; /* the last one */
    const struct sw_outline
        *cleared_by; /* nothing is left where this stands at cleared_at; or NULL */
    struct sw_pt cleared_at;
    struct sw_cut_edges removed;   /* by the last move; its list lasts */
    struct sw_cut_profile profile; /* of that, made when asked for */
    SW_VEC(struct sw_chain_window) windows;
    size_t lately_forgotten; /* window */
    SW_VEC(struct sw_pt) corners;
    size_t n_nudged;  /* cuts that had to be moved; for tests */
    size_t n_rolled;  /* cuts done by rolling on; for tests */
    bool never_rolls; /* all cuts the general way; for tests */
};

/* chain_edge.c: one edge. */

struct sw_chain_edge sw_chain_edge_line(struct sw_pt a, struct sw_pt b);
/** The same with its direction known: the unit vector T. */
struct sw_chain_edge sw_chain_edge_line_along(struct sw_pt a, struct sw_pt b, struct sw_pt t);
struct sw_chain_edge sw_chain_edge_reverse(struct sw_chain_edge edge);
/** Does P lie on the edge, within SW_TOL_SNAP? */
bool sw_chain_edge_holds(const struct sw_chain_edge *edge, struct sw_pt p);
/** Grows along the edge. */
double sw_chain_edge_along(const struct sw_chain_edge *edge, struct sw_pt p);
/** Crossings of both lines or circles that lie on both edges. TOUCH_REACH gets how far from a
 *  point where they only touch they stay within SW_TOL_SNAP; 0 for a crossing. */
int sw_chain_edge_cross(struct sw_pt at[2], double *touch_reach, const struct sw_chain_edge *e,
                        const struct sw_chain_edge *f);
/** Twice the area between the part from A to B and the point O. */
double sw_chain_edge_twice_area(const struct sw_chain_edge *edge, struct sw_pt a, struct sw_pt b,
                                struct sw_pt o);
/** The same of the whole lines or circles: asked edge by edge with sw_chain_edge_is_between. */
int sw_chain_edge_cross_curves(struct sw_pt at[2], double *touch_reach,
                               const struct sw_chain_edge *e, const struct sw_chain_edge *f);
/** P lies on the line or circle: between the ends, within SW_TOL_SNAP? */
bool sw_chain_edge_is_between(const struct sw_chain_edge *edge, struct sw_pt p);
struct sw_pt sw_chain_edge_tangent(const struct sw_chain_edge *edge, struct sw_pt at);
bool sw_chain_edge_is_same_curve(const struct sw_chain_edge *e, const struct sw_chain_edge *f);

/** Box of the part of the edge from A to B. */
static inline struct sw_box sw_chain_edge_part_box(const struct sw_chain_edge *edge, struct sw_pt a,
                                                   struct sw_pt b)
{
    struct sw_box box = {sw_chain_min(a.z, b.z), sw_chain_min(a.r, b.r), sw_chain_max(a.z, b.z),
                         sw_chain_max(a.r, b.r)};
    if (edge->turn != 0 && box.z0 < edge->u && edge->u < box.z1) {
        if (edge->half > 0)
            box.r1 = sw_chain_max(box.r1, edge->v + edge->w);
        else
            box.r0 = sw_chain_min(box.r0, edge->v - edge->w);
    }
    return box;
}

static inline struct sw_box sw_chain_edge_box(const struct sw_chain_edge *edge)
{
    return sw_chain_edge_part_box(edge, edge->a, edge->b);
}

/** The middle of the part of the edge from A to B, on its line or circle. */
static inline struct sw_pt sw_chain_edge_middle(const struct sw_chain_edge *edge, struct sw_pt a,
                                                struct sw_pt b)
{
    if (edge->turn == 0) {
        const struct sw_pt m = {(a.z + b.z) / 2, (a.r + b.r) / 2};
        const double off = edge->u * m.z + edge->v * m.r - edge->w;
        return (struct sw_pt){m.z - off * edge->u, m.r - off * edge->v};
    }
    /* from the centre through the middle of the chord, unless that is near the centre */
    const double mz = (a.z + b.z) / 2 - edge->u, mr = (a.r + b.r) / 2 - edge->v;
    const double reach = sw_chain_size(mz, mr);
    if (reach > edge->w / 2)
        return (struct sw_pt){edge->u + edge->w * mz / reach, edge->v + edge->w * mr / reach};
    const double z = b.z - a.z, r = b.r - a.r, k = edge->turn * edge->w / sw_chain_size(z, r);
    return (struct sw_pt){edge->u + k * r, edge->v - k * z};
}

/** Distance from the line or the circle, ends not looked at. */
static inline double sw_chain_edge_off(const struct sw_chain_edge *edge, struct sw_pt p)
{
    if (edge->turn == 0)
        return fabs(edge->u * p.z + edge->v * p.r - edge->w);
    return fabs(sw_chain_size(p.z - edge->u, p.r - edge->v) - edge->w);
}

/** What the edge adds to the winding round P: crossings of the way from P towards +r. */
static inline int sw_chain_edge_winds(const struct sw_chain_edge *edge, struct sw_pt p)
{
    const bool is_right = edge->a.z <= p.z && p.z < edge->b.z;
    const bool is_left = edge->b.z <= p.z && p.z < edge->a.z;
    if (is_right == is_left)
        return 0;
    bool is_above;
    if (edge->turn == 0) {
        const double side = edge->u * p.z + edge->v * p.r - edge->w;
        const double low = edge->a.r < edge->b.r ? edge->a.r : edge->b.r;
        const double high = edge->a.r < edge->b.r ? edge->b.r : edge->a.r;
        /* the ends first: rounding leaves a side square to the axis no sides to ask for */
        is_above = p.r < low || (p.r < high && (is_right ? side < 0 : side > 0));
    } else {
        const double z = p.z - edge->u, r = p.r - edge->v;
        const bool is_outside = z * z + r * r > edge->w * edge->w;
        is_above = edge->half > 0 ? r < 0 || !is_outside : r < 0 && is_outside;
    }
    return is_above ? (is_left ? 1 : -1) : 0;
}

/* chain_tree.c: links and their tree. */

void sw_chain_body_clear(struct sw_chain_body *body);
/** Make sure that N links can be added without memory; false when there is none. */
bool sw_chain_body_reserve(struct sw_chain_body *body, size_t n, struct sw_arena *arena);
/** Take a reserved link; it has no leaf yet. */
int sw_chain_body_take(struct sw_chain_body *body, const struct sw_chain_edge *edge);
/** Put a link into the tree behind another one's leaf (SW_CHAIN_NONE: anywhere). */
void sw_chain_body_plant(struct sw_chain_body *body, int link, int behind);
/** Give the leaf of a link to another one. */
void sw_chain_body_replant(struct sw_chain_body *body, int from, int to);
/** The edge of a link has changed. */
void sw_chain_body_refit(struct sw_chain_body *body, int link);
/** The edges of links have changed, one after the other; then what holds them is renewed once, the
 *  lowest first. */
enum { SW_CHAIN_MOST_REFITS = 96 };
struct sw_chain_refits {
    int node[SW_CHAIN_MOST_REFITS]; /* to be renewed */
    int n;
};
void sw_chain_body_refit_later(struct sw_chain_body *body, int link,
                               struct sw_chain_refits *refits);
void sw_chain_body_refit_now(struct sw_chain_body *body, struct sw_chain_refits *refits);
void sw_chain_body_drop(struct sw_chain_body *body, int link);
/** Add a closed boundary of N edges. */
bool sw_chain_body_add_loop(struct sw_chain_body *body, const struct sw_chain_edge *edges, size_t n,
                            struct sw_arena *arena);
bool sw_chain_body_copy(struct sw_chain_body *to, const struct sw_chain_body *from,
                        struct sw_arena *arena);
bool sw_chain_body_find(const struct sw_chain_body *body, const struct sw_chain_reach *reach,
                        int *found, size_t room, size_t *n);
/** Does all that a node stands for lie outside one of the sides? LATELY: the one that answered
 *  last, 0 at first; most boxes that one after the other are left out lie beyond the same. */
bool sw_chain_is_beside(const struct sw_chain_reach *reach, const struct sw_chain_node *node,
                        size_t *lately);
int sw_chain_body_winding(const struct sw_chain_body *body, struct sw_pt p);
struct sw_box sw_chain_body_box(const struct sw_chain_body *body);
double sw_chain_body_distance(const struct sw_chain_body *body, const struct sw_convex *outline,
                              struct sw_pt at);
bool sw_chain_body_r_range(double *low, double *high, const struct sw_chain_body *body, double z);

/* chain_near.c: links near by, carried from move to move. */

/** Are all links near a straight move in the list? */
bool sw_chain_near_is_ready(struct sw_chain_body *body, const struct sw_chain_tool *tool,
                            struct sw_pt from, struct sw_pt to);

/** What the tree would find, in another order; false: ask the tree. */
bool sw_chain_near_find(struct sw_chain_body *body, const struct sw_chain_swept *swept, int *found,
                        size_t room, size_t *n);
/** A link has come or changed; BOX is its own now. */
void sw_chain_near_add(struct sw_chain_body *body, int link, const struct sw_box *box);
void sw_chain_near_drop(struct sw_chain_body *body, int link);
void sw_chain_near_forget(struct sw_chain_body *body);

/* chain_tool.c: outlines. */

enum sw_status sw_chain_tool_make(struct sw_chain_tool *out, const struct sw_contour *contour,
                                  struct sw_ctx *ctx);
/** The outline grown by BY (shrunk when negative). */
enum sw_status sw_chain_tool_offset(struct sw_chain_tool *out,
                                    const struct sw_chain_outline *outline, double by,
                                    struct sw_ctx *ctx);

/* chain_sweep.c: sweeps. */

/** False when out of memory. MIRROR: the sweep turned over the axis. */
bool sw_chain_sweep(struct sw_chain_swept *out, const struct sw_chain_tool *tool,
                    const struct sw_chain_path *path, bool mirror, struct sw_arena *arena);

/** The front of a straight move's sweep; false when out of memory, or when a side of the outline
 *  runs along the move. */
bool sw_chain_sweep_front(struct sw_chain_front *out, const struct sw_chain_tool *tool,
                          const struct sw_chain_path *path, struct sw_arena *arena);

/* chain_cut.c: how a sweep lies to a body. chain_join.c: the new boundary. */

/** Split and sort all that is near; false when out of memory. The body is not changed. When true,
 *  end with sw_chain_cut_done. */
bool sw_chain_cut_find(struct sw_chain_cut *cut, struct sw_chain_body *body,
                       const struct sw_chain_swept *swept);
/** The links in reach, into the cut's list; false when out of memory. */
bool sw_chain_cut_links(struct sw_chain_cut *cut, const struct sw_chain_body *body,
                        const struct sw_chain_reach *reach, size_t *n);
void sw_chain_cut_done(struct sw_chain_cut *cut);
/** The same for a sweep inside that of OUTER, whose links it takes over; OUTER is as before when
 *  this one is done. */
bool sw_chain_cut_find_within(struct sw_chain_cut *cut, struct sw_chain_cut *outer,
                              const struct sw_chain_swept *swept);
void sw_chain_cut_done_within(struct sw_chain_cut *cut, struct sw_chain_cut *outer);
int sw_chain_cut_place(const struct sw_chain_cut *cut, int place);
/** Find what follows what; false when the answers contradict each other. */
bool sw_chain_cut_match(struct sw_chain_cut *cut);
/** Make the new boundary; false when out of memory, the body then unchanged. */
bool sw_chain_cut_commit(struct sw_chain_cut *cut);

/* chain_depth.c: what a cut takes. */

/** Places in the frame of a move: `across` along the normal of a line or from the centre of an arc,
 *  `along` the other way [mm]. */
struct sw_chain_spread {
    double low, high; /* across */
    double back, front;
};

struct sw_chain_taken {
    double area;
    struct sw_box box;
    struct sw_chain_spread spread;
    double thickest; /* square to a straight move along the axis */
};

/** What a cut takes, edge by edge: N at most, then the sum. SEEN: memory that lasts; gets
 *  what a straight move takes, in its frame. False when out of memory. */
struct sw_chain_measure {
    struct sw_chain_taken taken;
    struct sw_cut_edges *seen;
    double twice;       /* the area */
    struct sw_pt begin; /* of the first edge */
    bool is_empty;
};
bool sw_chain_measure_begin(struct sw_chain_measure *measure, struct sw_cut_edges *seen,
                            const struct sw_cut_edges *frame, size_t n, struct sw_arena *arena);
/** The part of an edge from A to B bounds what is taken. */
struct sw_chain_part {
    const struct sw_chain_edge *edge;
    struct sw_pt a, b;
};
void sw_chain_measure_add(struct sw_chain_measure *measure, struct sw_chain_part part);
/** N parts, at least one, of what a straight move takes, once round. */
void sw_chain_measure_add_all(struct sw_chain_measure *measure, const struct sw_chain_part *part,
                              size_t n);
void sw_chain_measure_end(struct sw_chain_taken *out, struct sw_chain_measure *measure);

/** What the cut at hand would take. FRAME: of the move. False when out of memory. */
bool sw_chain_cut_measure(struct sw_chain_taken *out, struct sw_chain_cut *cut,
                          const struct sw_cut_edges *frame);
bool sw_sweep_is_along_axis(const struct sw_sweep *sweep);

/* chain_roll.c: moves that go on from the last one. */

/** What such a move will replace. FROM: where it begins. The body is not changed. */
void sw_chain_roll_find(struct sw_chain_rolling *out, struct sw_chain_body *body,
                        const struct sw_chain_front *front, struct sw_pt from);
/** What that takes; false when out of memory. */
bool sw_chain_roll_measure(struct sw_chain_taken *out, struct sw_cut_edges *seen,
                           const struct sw_chain_rolling *rolling, const struct sw_chain_body *body,
                           const struct sw_cut_edges *frame, struct sw_arena *arena);
/** Make the new boundary; false when out of memory, the body then unchanged. */
bool sw_chain_roll_commit(struct sw_chain_body *body, const struct sw_chain_rolling *rolling,
                          struct sw_arena *arena);

/* chain_outer.c: what loads are worked out from. */

/** Note what a straight move takes, or what the cut at hand takes; false when out of memory. The
 *  list of what was SEEN may be gone after that. */
bool sw_chain_note_straight(struct sw_chain *chain, struct sw_cut_edges *seen);
bool sw_chain_note_removed(struct sw_chain *chain, struct sw_chain_cut *cut);
/** Divide what was filled in along z; false when out of memory. */
bool sw_chain_divide(struct sw_chain *chain, double front);
/** Forget the outer radius of `least`, of `most`, between Z0 and Z1. */
void sw_chain_forget(struct sw_chain *chain, bool of_least, bool of_most, double z0, double z1);
void sw_chain_free_windows(struct sw_chain *chain);
const struct sw_cut_profile *sw_chain_profile(const struct sw_work *work);
enum sw_status sw_chain_silhouette(struct sw_silhouette *out, struct sw_work *work,
                                   enum sw_work_which which, double z);

/* chain_remove.c: moves. */

enum sw_status sw_chain_remove(struct sw_removed *out, struct sw_work *work,
                               const struct sw_outline *outline, const struct sw_sweep *sweep);
enum sw_status sw_chain_meets(bool *out, struct sw_pt *place, struct sw_chain *chain,
                              struct sw_chain_body *body, const struct sw_outline *outline,
                              const struct sw_sweep *sweep);

/* chain_give.c: from and to regions. chain_loose.c: pieces that fall. */

enum sw_status sw_chain_to_region(struct sw_region **out, struct sw_chain *chain,
                                  const struct sw_chain_body *body, enum sw_work_which which);
enum sw_status sw_chain_from_region(struct sw_chain_body *body, struct sw_chain *chain,
                                    const struct sw_region *region, int sign, double shift);
enum sw_status sw_chain_loosen(struct sw_loose **out, size_t *n, struct sw_work *work,
                               double held_z);

static inline struct sw_chain *sw_chain_of(struct sw_work *work)
{
    return (struct sw_chain *)(void *)work;
}

#endif
