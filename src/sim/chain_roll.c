/* The chain kernel: a move that goes on from the last one.
 *
 * Most moves begin where the last one ended, with the same tool: nothing is left where it stands,
 * so what a straight move takes lies between the work and the front of its sweep, the part of the
 * border that looks along the move. Where that front meets the work's boundary exactly twice, once
 * going in and once coming out, there is nothing to sort: the links from the place where it comes
 * out to the place where it goes in, in the order of the boundary, are what goes, and the front
 * between the two takes their place. No winding is asked for and no place is looked up.
 *
 * The front begins where a tangent of the outline looks along the move. If the outline stood in
 * metal there, an arc of its nose is part of the boundary, and the front leaves that arc at this
 * point: that is where it goes in.
 *
 * All else is left to the general cut (chain_cut.c), and so is all that is not far from being
 * otherwise: meetings near ends, curves that only touch or run along one another, links near by
 * whose way to those that go was not seen. A false answer costs time, never metal.
 */
#include "sim/chain_int.h"

/* Curves that meet under a smaller angle [rad] may as well touch. */
#define LEAST_ANGLE 1e-4
/* A curve this near [mm] to that of the outline where it stands is its trace. */
#define TRACE 1e-10
/* No more links than this are walked along on either side. */
enum { MOST_WALK = 96 };

/* Where the front and the boundary meet. */
struct meeting {
    struct sw_pt at;
    int edge;     /* of the front */
    double along; /* that edge */
    int link;
};

struct touched {
    int link;
    bool is_in_trace;
};

struct roll {
    struct sw_chain_body *body;
    const struct sw_chain_front *front;
    struct sw_box box[SW_CHAIN_MOST_FRONT];
    struct sw_box whole;
    struct sw_pt from; /* where the outline stands */
    struct meeting in, out;
    int n_in, n_out;
    struct touched touched[SW_CHAIN_MOST_NEAR]; /* links whose boxes touch the front's */
    int n_touched;
    bool in_stays, out_stays; /* the link met stays whole: it begins or ends there */
};

static void measure_boxes(struct roll *roll)
{
    const struct sw_chain_edge *edges = roll->front->swept.edges.at;
    for (size_t i = 0; i < roll->front->swept.edges.n; i++) {
        const struct sw_box box = sw_chain_edge_box(&edges[i]);
        roll->box[i] = (struct sw_box){box.z0 - SW_CHAIN_CLEAR, box.r0 - SW_CHAIN_CLEAR,
                                       box.z1 + SW_CHAIN_CLEAR, box.r1 + SW_CHAIN_CLEAR};
        roll->whole = i == 0 ? roll->box[i] : sw_chain_box_join(&roll->whole, &roll->box[i]);
    }
}

/* What an edge holds, or has at its ends, lies in its box, which is grown by SW_CHAIN_CLEAR. */
static inline bool might_touch(const struct sw_box *box, struct sw_pt p)
{
    return p.z >= box->z0 && p.z <= box->z1 && p.r >= box->r0 && p.r <= box->r1;
}

static inline double off_line(const struct sw_chain_edge *line, struct sw_pt p)
{
    return line->u * p.z + line->v * p.r - line->w;
}

static bool is_same_circle(const struct sw_chain_edge *arc, const struct sw_chain_corner *corner,
                           struct sw_pt at)
{
    return fabs(arc->w - corner->radius) <= TRACE && fabs(arc->u - corner->c.z - at.z) <= TRACE &&
           fabs(arc->v - corner->c.r - at.r) <= TRACE;
}

/* Is the link part of the trace that the outline leaves where it stands? Such links the front does
 * not meet, but at its very ends. */
static bool is_trace(const struct roll *roll, const struct sw_chain_edge *link)
{
    const struct sw_chain_tool *tool = roll->front->tool;
    if (link->turn != 0) {
        for (size_t i = tool->first_round; i < tool->end_round; i++)
            if (tool->at[i].radius > 0 && is_same_circle(link, &tool->at[i], roll->from))
                return true;
        return false;
    }
    for (size_t i = 0; i < tool->n; i++) {
        const struct sw_chain_corner *corner = &tool->at[i];
        /* the side from this corner's end; a link runs against it */
        if (fabs(link->u - corner->t1.r) > LEAST_ANGLE ||
            fabs(link->v + corner->t1.z) > LEAST_ANGLE)
            continue;
        const struct sw_chain_corner *next = &tool->at[i + 1 < tool->n ? i + 1 : 0];
        const struct sw_pt a = {corner->end.z + roll->from.z, corner->end.r + roll->from.r};
        const struct sw_pt b = {next->begin.z + roll->from.z, next->begin.r + roll->from.r};
        const double length = sw_chain_size(b.z - a.z, b.r - a.r);
        const struct sw_pt t = corner->t1;
        const double to = t.z * (link->a.z - a.z) + t.r * (link->a.r - a.r);
        const double from = t.z * (link->b.z - a.z) + t.r * (link->b.r - a.r);
        const struct sw_chain_edge side = sw_chain_edge_line_along(a, b, t);
        if (from >= -SW_TOL_SNAP && to <= length + SW_TOL_SNAP &&
            fabs(off_line(&side, link->a)) <= SW_TOL_SNAP &&
            fabs(off_line(&side, link->b)) <= SW_TOL_SNAP)
            return true;
    }
    return false;
}

/* The tangent at a place on the edge. */
static inline struct sw_pt way_at(const struct sw_chain_edge *edge, struct sw_pt at)
{
    if (edge->turn == 0)
        return (struct sw_pt){edge->v, -edge->u};
    const double k = edge->turn / edge->w;
    return (struct sw_pt){-k * (at.r - edge->v), k * (at.z - edge->u)};
}

/* Does the boundary cross from right to left of the front, that is, the front come out there? */
static bool comes_out(const struct sw_chain_edge *front, const struct sw_chain_edge *link,
                      struct sw_pt at, bool *is_clear)
{
    const struct sw_pt t = way_at(front, at), u = way_at(link, at);
    const double sine = t.z * u.r - t.r * u.z;
    *is_clear = fabs(sine) > LEAST_ANGLE;
    return sine > 0;
}

static inline bool is_near_an_end(const struct sw_chain_edge *edge, struct sw_pt p)
{
    return sw_chain_is_near(edge->a, p, SW_CHAIN_CLEAR) ||
           sw_chain_is_near(edge->b, p, SW_CHAIN_CLEAR);
}

/* Lines far enough on one side of one another, or of a circle, do not meet. */
static bool are_apart(const struct sw_chain_edge *line, const struct sw_chain_edge *other)
{
    if (other->turn != 0)
        return fabs(off_line(line, (struct sw_pt){other->u, other->v})) > other->w + SW_CHAIN_CLEAR;
    const double a = off_line(line, other->a), b = off_line(line, other->b);
    return (a > SW_CHAIN_CLEAR && b > SW_CHAIN_CLEAR) ||
           (a < -SW_CHAIN_CLEAR && b < -SW_CHAIN_CLEAR);
}

static bool is_trace_of(const struct roll *roll, int number, const struct sw_chain_corner *corner)
{
    const struct sw_chain_edge *edge = &roll->body->links.at[number].edge;
    return edge->turn != 0 && is_same_circle(edge, corner, roll->from);
}

/* Straight on: the front begins (ends) where a straight link leaves (comes to) the trace, which
 * will tell. */
static bool is_straight_on(const struct roll *roll, int number, int edge)
{
    const struct sw_chain_link *link = &roll->body->links.at[number];
    const struct sw_chain_edge *edges = roll->front->swept.edges.at;
    const int last = (int)roll->front->swept.edges.n - 1;
    if (link->edge.turn != 0 || edges[edge].turn != 0)
        return false;
    return (edge == 0 && sw_chain_is_near(link->edge.a, edges[0].a, SW_TOL_SNAP) &&
            is_trace_of(roll, link->prev, roll->front->first)) ||
           (edge == last && sw_chain_is_near(link->edge.b, edges[last].b, SW_TOL_SNAP) &&
            is_trace_of(roll, link->next, roll->front->last));
}

/* Does P lie on the edge, or so near that it might as well? */
static inline bool touches(const struct sw_chain_edge *edge, const struct sw_box *box,
                           struct sw_pt p)
{
    return might_touch(box, p) && sw_chain_edge_off(edge, p) <= SW_CHAIN_CLEAR;
}

/* False when not all is clear. */
static bool meet(struct roll *roll, int number, const struct sw_box *of_link, int edge)
{
    const struct sw_chain_edge *e = &roll->front->swept.edges.at[edge];
    const struct sw_chain_edge *f = &roll->body->links.at[number].edge;
    if ((e->turn == 0 && are_apart(e, f)) || (f->turn == 0 && are_apart(f, e)))
        return true;
    if (is_straight_on(roll, number, edge))
        return true; /* two lines meet once */
    if (touches(e, &roll->box[edge], f->a) || touches(e, &roll->box[edge], f->b) ||
        touches(f, of_link, e->a) || touches(f, of_link, e->b))
        return false;
    struct sw_pt at[2];
    double touch_reach;
    const int n = sw_chain_edge_cross_curves(at, &touch_reach, e, f);
    for (int i = 0; i < n; i++) {
        bool is_clear;
        /* most crossings of whole circles are far from both edges: boxes first */
        if (!might_touch(&roll->box[edge], at[i]) || !might_touch(of_link, at[i]) ||
            !sw_chain_edge_is_between(e, at[i]) || !sw_chain_edge_is_between(f, at[i]))
            continue;
        if (touch_reach > 0)
            return false;
        const bool is_out = comes_out(e, f, at[i], &is_clear);
        if (!is_clear || is_near_an_end(e, at[i]) || is_near_an_end(f, at[i]))
            return false;
        struct meeting *meeting = is_out ? &roll->out : &roll->in;
        int *count = is_out ? &roll->n_out : &roll->n_in;
        *meeting = (struct meeting){at[i], edge, sw_chain_edge_along(e, at[i]), number};
        if (++*count > 1)
            return false;
    }
    return true;
}

/* Does the front begin (end) on this link of the trace? That is where it goes in (comes out), since
 * the boundary runs against the outline. False when it is not clear. */
static inline bool leave_trace(struct roll *roll, int number, const struct sw_chain_corner *corner,
                               struct sw_pt at, bool is_begin)
{
    const struct sw_chain_link *link = &roll->body->links.at[number];
    const struct sw_chain_edge *edge = &link->edge;
    if (!is_trace_of(roll, number, corner) || !sw_chain_edge_holds(edge, at))
        return !is_near_an_end(edge, at);
    /* from the link towards its kept side: on from where the front begins, back from where it ends
     */
    const struct sw_pt inner = is_begin ? edge->a : edge->b, outer = is_begin ? edge->b : edge->a;
    struct meeting meeting = {at, is_begin ? 0 : (int)roll->front->swept.edges.n - 1, 0, number};
    bool stays = false;
    if (sw_chain_is_near(outer, at, SW_TOL_SNAP)) {
        meeting.link = is_begin ? link->next : link->prev;
        meeting.at = outer;
        stays = true;
        if (is_trace_of(roll, meeting.link, corner))
            return true; /* that one ends there too, and will tell */
    } else if (sw_chain_is_near(inner, at, SW_TOL_SNAP)) {
        if (!is_trace_of(roll, is_begin ? link->prev : link->next, corner))
            return false;
        meeting.at = inner;
        stays = true;
    } else if (is_near_an_end(edge, at)) {
        return false;
    }
    if (is_begin) {
        roll->in = meeting;
        roll->in_stays = stays;
        return ++roll->n_in == 1;
    }
    meeting.along = HUGE_VAL;
    roll->out = meeting;
    roll->out_stays = stays;
    return ++roll->n_out == 1;
}

/* BOX: of the link, which touches the front's. */
static bool look_at_link(struct roll *roll, int number, const struct sw_box *box)
{
    const struct sw_chain_front *front = roll->front;
    const struct sw_chain_edge *edges = front->swept.edges.at;
    const int n = (int)front->swept.edges.n;
    const bool is_in_trace = is_trace(roll, &roll->body->links.at[number].edge);
    roll->touched[roll->n_touched++] = (struct touched){number, is_in_trace};
    if (is_in_trace)
        return (!might_touch(box, edges[0].a) ||
                leave_trace(roll, number, front->first, edges[0].a, true)) &&
               (!might_touch(box, edges[n - 1].b) ||
                leave_trace(roll, number, front->last, edges[n - 1].b, false));
    for (int i = 0; i < n; i++)
        if (sw_chain_boxes_touch(box, &roll->box[i]) && !meet(roll, number, box, i))
            return false;
    return true;
}

static void mark(struct sw_chain_body *body, int link)
{
    body->links.at[link].seen = body->n_rolled;
}

/* Does the front come out and go in on one link, so that its middle goes? */
static bool takes_middle(const struct roll *roll)
{
    const struct sw_chain_edge *edge = &roll->body->links.at[roll->out.link].edge;
    return roll->out.link == roll->in.link && !roll->in_stays && !roll->out_stays &&
           sw_chain_edge_along(edge, roll->out.at) < sw_chain_edge_along(edge, roll->in.at);
}

/* The links between the two that are met, in the order of the boundary; false when there are too
 * many, or all. */
static bool walk_gone(struct roll *roll, struct sw_chain_rolling *out)
{
    struct sw_chain_body *body = roll->body;
    const int first = roll->out.link, last = roll->in.link;
    out->n_gone = 0;
    mark(body, first);
    mark(body, last);
    if (takes_middle(roll))
        return true;
    if (first == last)
        return false;
    for (int at = body->links.at[first].next; at != last; at = body->links.at[at].next) {
        if (out->n_gone == SW_CHAIN_MOST_GONE || at == first)
            return false;
        mark(body, at);
        out->gone[out->n_gone++] = at;
    }
    return true;
}

/* Links that go on from the two that are met lie outside, as far as they are near. */
static void walk_beyond(struct roll *roll)
{
    struct sw_chain_body *body = roll->body;
    int before = body->links.at[roll->out.link].prev, after = body->links.at[roll->in.link].next;
    for (int i = 0; i < MOST_WALK && body->links.at[before].seen != body->n_rolled; i++) {
        if (body->links.at[before].near_at == SW_CHAIN_NONE)
            break;
        mark(body, before);
        before = body->links.at[before].prev;
    }
    for (int i = 0; i < MOST_WALK && body->links.at[after].seen != body->n_rolled; i++) {
        if (body->links.at[after].near_at == SW_CHAIN_NONE)
            break;
        mark(body, after);
        after = body->links.at[after].next;
    }
}

/* A place right of the front's border, and so outside all that is swept. */
static bool is_outside(const struct roll *roll, struct sw_pt p)
{
    const struct sw_chain_edge *edges = roll->front->swept.edges.at;
    for (size_t i = 0; i < roll->front->swept.edges.n; i++) {
        const struct sw_chain_edge *e = &edges[i];
        const double z = p.z - e->a.z, r = p.r - e->a.r;
        const double chord_z = e->b.z - e->a.z, chord_r = e->b.r - e->a.r;
        if (e->turn == 0 ? off_line(e, p) < -SW_CHAIN_CLEAR
                         : chord_z * r - chord_r * z < 0 &&
                               sw_chain_size(p.z - e->u, p.r - e->v) > e->w + SW_CHAIN_CLEAR)
            return true;
    }
    return false;
}

/* What is near and was not met lies on one side of the front: none of it among what goes? */
static bool are_others_outside(struct roll *roll)
{
    const struct sw_chain_body *body = roll->body;
    bool has_walked = roll->n_in == 0;
    for (int i = 0; i < roll->n_touched; i++) {
        const struct sw_chain_link *link = &body->links.at[roll->touched[i].link];
        const bool is_known = link->seen == body->n_rolled ||
                              (!roll->touched[i].is_in_trace && is_outside(roll, link->edge.a));
        if (is_known)
            continue;
        if (has_walked)
            return false;
        walk_beyond(roll);
        has_walked = true;
        if (link->seen != body->n_rolled)
            return false;
    }
    return true;
}

static bool find_meetings(struct roll *roll)
{
    const struct sw_chain_near *near = &roll->body->near;
    measure_boxes(roll);
    for (size_t i = 0; i < near->n; i++)
        if (sw_chain_boxes_touch(&near->box[i], &roll->whole) &&
            !look_at_link(roll, near->link[i], &near->box[i]))
            return false;
    return true;
}

/* Once in and then once out. */
static bool is_crossed_once(const struct roll *roll)
{
    return roll->n_in == 1 && roll->n_out == 1 &&
           (roll->in.edge < roll->out.edge ||
            (roll->in.edge == roll->out.edge && roll->in.along < roll->out.along));
}

void sw_chain_roll_find(struct sw_chain_rolling *out, struct sw_chain_body *body,
                        const struct sw_chain_front *front, struct sw_pt from)
{
    struct roll roll;
    roll.body = body;
    roll.front = front;
    roll.from = from;
    roll.n_in = roll.n_out = roll.n_touched = 0;
    roll.in_stays = roll.out_stays = false;
    body->n_rolled++;
    out->is_clear = out->takes = false;
    if (front->swept.edges.n > SW_CHAIN_MOST_FRONT || !find_meetings(&roll))
        return;
    if (roll.n_in + roll.n_out > 0 && (!is_crossed_once(&roll) || !walk_gone(&roll, out)))
        return;
    out->is_clear = are_others_outside(&roll);
    out->takes = out->is_clear && roll.n_in > 0;
    if (!out->takes)
        return;
    out->front = front;
    out->out_at = roll.out.at;
    out->in_at = roll.in.at;
    out->out_edge = roll.out.edge;
    out->in_edge = roll.in.edge;
    out->out_link = roll.out.link;
    out->in_link = roll.in.link;
    out->is_middle = takes_middle(&roll);
    out->in_stays = roll.in_stays;
    out->out_stays = roll.out_stays;
}

static struct sw_pt front_begin(const struct sw_chain_rolling *rolling, int edge)
{
    return edge == rolling->in_edge ? rolling->in_at : rolling->front->swept.edges.at[edge].a;
}

static struct sw_pt front_end(const struct sw_chain_rolling *rolling, int edge)
{
    return edge == rolling->out_edge ? rolling->out_at : rolling->front->swept.edges.at[edge].b;
}

/* Round what goes: along the front, and back along what was boundary. */
bool sw_chain_roll_measure(struct sw_chain_taken *out, struct sw_cut_edges *seen,
                           const struct sw_chain_rolling *rolling, const struct sw_chain_body *body,
                           const struct sw_cut_edges *frame, struct sw_arena *arena)
{
    const struct sw_chain_link *links = body->links.at;
    const struct sw_chain_edge *first = &links[rolling->out_link].edge;
    const struct sw_chain_edge *last = &links[rolling->in_link].edge;
    const int n = rolling->out_edge - rolling->in_edge + 1 + rolling->n_gone + 2;
    struct sw_chain_measure measure;
    if (!sw_chain_measure_begin(&measure, seen, frame, (size_t)n, arena))
        return false;
    struct sw_chain_part part[SW_CHAIN_MOST_FRONT + SW_CHAIN_MOST_GONE + 2], *end = part;
    for (int i = rolling->in_edge; i <= rolling->out_edge; i++)
        *end++ = (struct sw_chain_part){&rolling->front->swept.edges.at[i], front_begin(rolling, i),
                                        front_end(rolling, i)};
    if (!rolling->out_stays)
        *end++ = (struct sw_chain_part){first, rolling->out_at,
                                        rolling->is_middle ? rolling->in_at : first->b};
    for (int i = 0; i < rolling->n_gone; i++) {
        const struct sw_chain_edge *edge = &links[rolling->gone[i]].edge;
        *end++ = (struct sw_chain_part){edge, edge->a, edge->b};
    }
    if (!rolling->in_stays && !rolling->is_middle)
        *end++ = (struct sw_chain_part){last, last->a, rolling->in_at};
    sw_chain_measure_add_all(&measure, part, (size_t)(end - part));
    sw_chain_measure_end(out, &measure);
    return true;
}

static void connect(struct sw_chain_body *body, int before, int after)
{
    body->links.at[before].next = after;
    body->links.at[after].prev = before;
}

/* An edge of the front as boundary: the other way round. */
static struct sw_chain_edge bordering(const struct sw_chain_rolling *rolling, int number)
{
    struct sw_chain_edge edge = rolling->front->swept.edges.at[number];
    edge.a = front_begin(rolling, number);
    edge.b = front_end(rolling, number);
    return sw_chain_edge_reverse(edge);
}

bool sw_chain_roll_commit(struct sw_chain_body *body, const struct sw_chain_rolling *rolling,
                          struct sw_arena *arena)
{
    const int n = rolling->out_edge - rolling->in_edge + 1;
    struct sw_chain_refits refits;
    refits.n = 0;
    if (!sw_chain_body_reserve(body, (size_t)n + 1, arena))
        return false;
    int at = rolling->out_link, last = rolling->in_link, used = 0;
    if (rolling->is_middle) { /* the link's end becomes one of its own */
        struct sw_chain_edge end = body->links.at[at].edge;
        end.a = rolling->in_at;
        last = sw_chain_body_take(body, &end);
        connect(body, last, body->links.at[at].next);
        sw_chain_body_plant(body, last, at);
    } else if (!rolling->in_stays) {
        body->links.at[last].edge.a = rolling->in_at;
    }
    if (!rolling->out_stays)
        body->links.at[at].edge.b = rolling->out_at;
    for (int i = rolling->out_edge; i >= rolling->in_edge; i--) {
        const struct sw_chain_edge edge = bordering(rolling, i);
        struct sw_chain_link *begin = &body->links.at[at], *end = &body->links.at[last];
        if (i == rolling->in_edge && sw_chain_edge_is_same_curve(&edge, &end->edge)) {
            end->edge.a = edge.a; /* it goes on as it ran */
            continue;
        }
        if (i == rolling->out_edge && sw_chain_edge_is_same_curve(&begin->edge, &edge)) {
            begin->edge.b = edge.b;
            continue;
        }
        int link;
        if (used < rolling->n_gone) {
            link = rolling->gone[used++];
            body->links.at[link].edge = edge;
            sw_chain_body_refit_later(body, link, &refits);
        } else {
            link = sw_chain_body_take(body, &edge);
            sw_chain_body_plant(body, link, at);
        }
        connect(body, at, link);
        at = link;
    }
    connect(body, at, last);
    sw_chain_body_refit_later(body, rolling->out_link, &refits);
    sw_chain_body_refit_later(body, last, &refits);
    /* planting may have turned a node and so changed what stands above a leaf, but not that what
     * holds it stands above it still */
    sw_chain_body_refit_now(body, &refits);
    while (used < rolling->n_gone)
        sw_chain_body_drop(body, rolling->gone[used++]);
    return true;
}
