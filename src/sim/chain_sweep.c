/* The chain kernel: the border of a sweep. The idea stands in chain_int.h.
 *
 * Along a line, or at one place, the border is the rear half of the outline at the start, the front
 * half at the end, and a line on either side. Along an arc to the left it is four passes, each by
 * growing or falling tangent: there along the outer side, where radii add; the front half of the
 * outline; back along the inner side, where radii are taken from one another and straight sides
 * count backwards; the rear half.
 */
#include "sim/chain_int.h"

#define PI 3.14159265358979323846
/* A side whose direction is nearer to that of the move than this [rad] runs along it. */
#define SAME_WAY 1e-12
/* An arc with less extent along z than this share of its radius tells by its ends whether it is
 * above its centre, others by the way they run. */
#define FLAT 1e-3

/* No corner of a front makes more edges than these, with the side that leads to it. */
enum { MOST_OF_CORNER = 4 };

struct border {
    struct sw_chain_swept *out;
    struct sw_arena *arena;
    bool has_last, is_short;
    struct sw_pt first, last;
};

static void push(struct border *border, struct sw_chain_edge edge)
{
    if (!SW_CHAIN_PUSH(border->arena, &border->out->edges, edge))
        border->is_short = true;
    border->last = edge.b;
}

/* Go on from P: where the last edge ended, or by a line to there. */
static void go_to(struct border *border, struct sw_pt p)
{
    if (!border->has_last) {
        border->first = border->last = p;
        border->has_last = true;
        return;
    }
    if (!sw_chain_is_near(border->last, p, SW_TOL_SNAP))
        push(border, sw_chain_edge_line(border->last, p));
}

static void line_to(struct border *border, struct sw_pt a, struct sw_pt b)
{
    go_to(border, a);
    go_to(border, b);
}

/* The same with directions known: T of the line that may be needed to get to A, S of that to B. */
static void line_along(struct border *border, struct sw_pt a, struct sw_pt t, struct sw_pt b,
                       struct sw_pt s)
{
    if (border->has_last && !sw_chain_is_near(border->last, a, SW_TOL_SNAP))
        push(border, sw_chain_edge_line_along(border->last, a, t));
    else
        go_to(border, a);
    if (!sw_chain_is_near(border->last, b, SW_TOL_SNAP))
        push(border, sw_chain_edge_line_along(border->last, b, s));
}

/* Is the arc from A to B, which does not turn back in z, above its centre (+1) or below (-1)? */
static inline signed char half_of(struct sw_pt a, struct sw_pt b, struct sw_pt c, double radius,
                                  int turn)
{
    const double z = b.z - a.z, r = a.r + b.r - 2 * c.r;
    const bool is_above = fabs(z) > FLAT * radius ? (z < 0) == (turn > 0) : r > 0;
    return is_above ? 1 : -1;
}

/* Does an arc from A to B of less than half a circle pass P, which lies on the circle? */
static inline bool is_passed(struct sw_pt a, struct sw_pt b, struct sw_pt p, int turn)
{
    return ((b.z - a.z) * (p.r - a.r) - (b.r - a.r) * (p.z - a.z)) * turn < 0;
}

static void push_half(struct border *border, struct sw_pt c, double radius, struct sw_pt b,
                      int turn)
{
    struct sw_chain_edge arc = {
        .a = border->last, .b = b, .u = c.z, .v = c.r, .w = radius, .turn = (signed char)turn};
    if (sw_chain_is_near(arc.a, arc.b, SW_TOL_SNAP))
        return;
    arc.half = half_of(arc.a, b, c, radius, turn);
    push(border, arc);
}

/* An arc of less than half a circle, cut where it would turn back in z. */
static void arc_to(struct border *border, struct sw_pt c, double radius, struct sw_pt a,
                   struct sw_pt b, int turn)
{
    if (radius <= SW_TOL_SNAP) {
        line_to(border, a, b);
        return;
    }
    go_to(border, a);
    const struct sw_pt from = border->last;
    if (sw_chain_is_near(from, b, SW_TOL_SNAP))
        return;
    struct sw_pt cut[2] = {{c.z + radius, c.r}, {c.z - radius, c.r}};
    int n = 0;
    for (int i = 0; i < 2; i++)
        if (is_passed(from, b, cut[i], turn) && !sw_chain_is_near(cut[i], from, SW_TOL_SNAP) &&
            !sw_chain_is_near(cut[i], b, SW_TOL_SNAP))
            cut[n++] = cut[i];
    for (int i = 0; i < n; i++)
        push_half(border, c, radius, cut[i], turn);
    push_half(border, c, radius, b, turn);
}

static void close_up(struct border *border)
{
    struct sw_chain_edge *edges = border->out->edges.at;
    const size_t n = border->out->edges.n;
    if (border->is_short || n == 0)
        return;
    if (sw_chain_is_near(border->last, border->first, SW_TOL_SNAP))
        edges[n - 1].b = edges[0].a;
    else
        push(border, sw_chain_edge_line(border->last, border->first));
}

static struct sw_pt plus(struct sw_pt a, struct sw_pt b)
{
    return (struct sw_pt){a.z + b.z, a.r + b.r};
}

static struct sw_pt beside(struct sw_pt c, double radius, struct sw_pt t)
{
    return (struct sw_pt){c.z + radius * t.r, c.r - radius * t.z};
}

/* +1: a place with this tangent looks along the move, -1: against it. */
static int facing(struct sw_pt d, struct sw_pt t)
{
    const double sine = d.z * t.r - d.r * t.z;
    return sine > SAME_WAY ? 1 : sine < -SAME_WAY ? -1 : 0;
}

static void corner_arc(struct border *border, const struct sw_chain_corner *corner, struct sw_pt at,
                       struct sw_pt a, struct sw_pt b)
{
    if (corner->radius > 0)
        arc_to(border, plus(corner->c, at), corner->radius, plus(a, at), plus(b, at), 1);
}

static void along_line(struct border *border, const struct sw_chain_tool *tool,
                       const struct sw_chain_path *path, struct sw_pt d)
{
    const struct sw_pt end[2] = {path->from, path->to}, back = {-d.z, -d.r};
    for (size_t i = 0; i < tool->n; i++) {
        const struct sw_chain_corner *corner = &tool->at[i];
        const struct sw_chain_corner *next = &tool->at[i + 1 < tool->n ? i + 1 : 0];
        const int f0 = facing(d, corner->t0), f1 = facing(d, corner->t1);
        if (f0 * f1 < 0) { /* the border leaves the outline here, or comes back to it */
            const struct sw_pt t = f1 > 0 ? d : back;
            const struct sw_pt x = beside(corner->c, corner->radius, t);
            corner_arc(border, corner, end[f0 > 0], corner->begin, x);
            corner_arc(border, corner, end[f1 > 0], x, corner->end);
        } else if (f0 + f1 != 0) {
            corner_arc(border, corner, end[f0 + f1 > 0], corner->begin, corner->end);
        }
        if (f1 != 0 && !sw_chain_is_near(corner->end, next->begin, SW_TOL_SNAP))
            line_along(border, plus(corner->end, end[f1 > 0]), f1 > 0 ? d : back,
                       plus(next->begin, end[f1 > 0]), corner->t1);
    }
}

/* The corners at which tangents come to look along the move, and cease to; false when a side runs
 * along it. */
static bool find_turns(const struct sw_chain_corner **first, const struct sw_chain_corner **last,
                       const struct sw_chain_tool *tool, struct sw_pt d)
{
    *first = *last = NULL;
    for (const struct sw_chain_corner *corner = tool->at; corner < tool->at + tool->n; corner++) {
        const int f0 = facing(d, corner->t0), f1 = facing(d, corner->t1);
        if (f0 == 0 || f1 == 0)
            return false;
        if (f0 < f1)
            *first = corner;
        else if (f0 > f1)
            *last = corner;
    }
    return *first != NULL && *last != NULL;
}

/* A front in the making: its edges have room, and each begins where the last one ended. */
struct advance {
    struct sw_chain_edge *end; /* of those there are */
    struct sw_pt last;
};

/* T: its direction. */
static inline void advance_line(struct advance *advance, struct sw_pt b, struct sw_pt t)
{
    const struct sw_pt a = advance->last;
    if (sw_chain_is_near(a, b, SW_TOL_SNAP))
        return;
    *advance->end++ =
        (struct sw_chain_edge){.a = a, .b = b, .u = -t.r, .v = t.z, .w = -t.r * a.z + t.z * a.r};
    advance->last = b;
}

static inline void advance_half(struct advance *advance, struct sw_pt c, double radius,
                                struct sw_pt b)
{
    const struct sw_pt a = advance->last;
    if (sw_chain_is_near(a, b, SW_TOL_SNAP))
        return;
    *advance->end++ = (struct sw_chain_edge){.a = a,
                                             .b = b,
                                             .u = c.z,
                                             .v = c.r,
                                             .w = radius,
                                             .turn = 1,
                                             .half = half_of(a, b, c, radius, 1)};
    advance->last = b;
}

/* The outline's corner standing at AT, up to its place END; as arc_to has it. */
static inline void advance_arc(struct advance *advance, const struct sw_chain_corner *corner,
                               struct sw_pt at, struct sw_pt end)
{
    const struct sw_pt c = plus(corner->c, at), from = advance->last, b = plus(end, at);
    const double radius = corner->radius;
    if (!(radius > 0) || sw_chain_is_near(from, b, SW_TOL_SNAP))
        return;
    if (radius <= SW_TOL_SNAP) {
        *advance->end++ = sw_chain_edge_line(from, b);
        advance->last = b;
        return;
    }
    for (int i = 0; i < 2; i++) {
        const struct sw_pt cut = {c.z + (i == 0 ? radius : -radius), c.r};
        if (is_passed(from, b, cut, 1) && !sw_chain_is_near(cut, b, SW_TOL_SNAP))
            advance_half(advance, c, radius, cut);
    }
    advance_half(advance, c, radius, b);
}

bool sw_chain_sweep_front(struct sw_chain_front *out, const struct sw_chain_tool *tool,
                          const struct sw_chain_path *path, struct sw_arena *arena)
{
    const double z = path->to.z - path->from.z, r = path->to.r - path->from.r;
    const double length = sqrt(z * z + r * r);
    out->swept.edges.n = 0;
    if (!(length > SW_TOL_SNAP))
        return false;
    const struct sw_pt d = {z / length, r / length}, back = {-d.z, -d.r};
    if (!find_turns(&out->first, &out->last, tool, d))
        return false;
    while (out->swept.edges.cap < MOST_OF_CORNER * tool->n + 2) {
        out->swept.edges.n = out->swept.edges.cap;
        if (!sw_vec_room(arena, &out->swept.edges, sizeof *out->swept.edges.at))
            return false;
    }
    const struct sw_chain_corner *corner = out->first;
    const struct sw_pt leaves = beside(corner->c, corner->radius, d), to = path->to;
    struct advance advance = {out->swept.edges.at, plus(leaves, path->from)};
    out->tool = tool;
    advance_line(&advance, plus(leaves, to), d);
    advance_arc(&advance, corner, to, corner->end);
    while (corner != out->last) {
        const struct sw_pt side = corner->t1;
        corner = corner + 1 < tool->at + tool->n ? corner + 1 : tool->at;
        advance_line(&advance, plus(corner->begin, to), side);
        advance_arc(&advance, corner, to,
                    corner == out->last ? beside(corner->c, corner->radius, back) : corner->end);
    }
    advance_line(&advance, plus(beside(corner->c, corner->radius, back), path->from), back);
    out->swept.edges.n = (size_t)(advance.end - out->swept.edges.at);
    return true;
}

static void at_place(struct border *border, const struct sw_chain_tool *tool, struct sw_pt at)
{
    for (size_t i = 0; i < tool->n; i++) {
        const struct sw_chain_corner *corner = &tool->at[i];
        const struct sw_chain_corner *next = &tool->at[i + 1 < tool->n ? i + 1 : 0];
        corner_arc(border, corner, at, corner->begin, corner->end);
        if (!sw_chain_is_near(corner->end, next->begin, SW_TOL_SNAP))
            line_to(border, plus(corner->end, at), plus(next->begin, at));
    }
}

/* A walk round the outline by tangent: corner I of the endless row, tangent ANGLE in it. */
struct walk {
    struct border *border;
    const struct sw_chain_tool *tool;
    const struct sw_chain_path *path;
    long i;
    double angle;
};

static const struct sw_chain_corner *corner_at(const struct walk *walk, long i, double *shift)
{
    const long n = (long)walk->tool->n;
    const long round = i >= 0 ? i / n : -((n - 1 - i) / n);
    *shift = 2 * PI * (double)round;
    return &walk->tool->at[i - round * n];
}

static struct sw_pt direction(double angle)
{
    return (struct sw_pt){cos(angle), sin(angle)};
}

static struct sw_pt path_at(const struct sw_chain_path *path, double tangent)
{
    if (tangent <= path->angle0)
        return path->from;
    if (tangent >= path->angle1)
        return path->to;
    return beside(path->centre, path->radius, direction(tangent));
}

/* The outline's corner from one tangent to another, the path's point with the same tangent (SENSE
 * +1), the opposite one (-1), or standing at AT (0). */
static void corner_part(const struct walk *walk, const struct sw_chain_corner *corner, double from,
                        double to, int sense, struct sw_pt at)
{
    const struct sw_pt t0 = direction(from), t1 = direction(to);
    if (sense == 0) {
        corner_arc(walk->border, corner, at, beside(corner->c, corner->radius, t0),
                   beside(corner->c, corner->radius, t1));
        return;
    }
    const struct sw_pt c = plus(corner->c, walk->path->centre);
    const double radius = corner->radius + sense * walk->path->radius;
    const struct sw_pt a = beside(c, radius, t0), b = beside(c, radius, t1);
    arc_to(walk->border, c, fabs(radius), a, b, to > from ? 1 : -1);
}

static void side_at(const struct walk *walk, const struct sw_chain_corner *from,
                    const struct sw_chain_corner *to, struct sw_pt at)
{
    if (!sw_chain_is_near(from->end, to->begin, SW_TOL_SNAP))
        line_to(walk->border, plus(from->end, at), plus(to->begin, at));
}

/* By growing tangent up to END, or up to corner LAST when it is given. */
static void walk_on(struct walk *walk, double end, const long *last, int sense, struct sw_pt at)
{
    for (;;) {
        double shift, next_shift;
        const struct sw_chain_corner *corner = corner_at(walk, walk->i, &shift);
        const double limit = corner->angle1 + shift;
        const bool is_last = last != NULL ? walk->i >= *last : limit >= end;
        const double to = is_last ? end : limit;
        if (to > walk->angle)
            corner_part(walk, corner, walk->angle, to, sense, at);
        walk->angle = to;
        if (is_last)
            return;
        const struct sw_chain_corner *next = corner_at(walk, walk->i + 1, &next_shift);
        side_at(walk, corner, next, sense == 0 ? at : path_at(walk->path, limit));
        walk->i++;
    }
}

/* By falling tangent down to END, the path half a turn behind. */
static void walk_back(struct walk *walk, double end)
{
    for (;;) {
        double shift, shift_before;
        const struct sw_chain_corner *corner = corner_at(walk, walk->i, &shift);
        const double limit = corner->angle0 + shift;
        const bool is_last = limit < end;
        const double to = is_last ? end : limit;
        if (to < walk->angle)
            corner_part(walk, corner, walk->angle, to, -1, (struct sw_pt){0, 0});
        walk->angle = to;
        if (is_last)
            return;
        const struct sw_chain_corner *before = corner_at(walk, walk->i - 1, &shift_before);
        const struct sw_pt at = path_at(walk->path, limit - PI);
        if (!sw_chain_is_near(corner->begin, before->end, SW_TOL_SNAP))
            line_to(walk->border, plus(corner->begin, at), plus(before->end, at));
        walk->i--;
    }
}

static void along_arc(struct border *border, const struct sw_chain_tool *tool,
                      const struct sw_chain_path *path)
{
    struct walk walk = {border, tool, path, 0, path->angle0};
    /* the first corner that reaches the first tangent */
    double shift;
    while (corner_at(&walk, walk.i, &shift)->angle1 + shift < path->angle0)
        walk.i++;
    while (corner_at(&walk, walk.i - 1, &shift)->angle1 + shift >= path->angle0)
        walk.i--;
    const long last = walk.i + (long)tool->n;
    walk_on(&walk, path->angle1, NULL, 1, path->to);
    walk_on(&walk, path->angle1 + PI, NULL, 0, path->to);
    walk_back(&walk, path->angle0 + PI);
    walk_on(&walk, path->angle0 + 2 * PI, &last, 0, path->from);
}

static double path_extent(const struct sw_chain_path *path, struct sw_pt d)
{
    const double ends =
        fmax(d.z * path->from.z + d.r * path->from.r, d.z * path->to.z + d.r * path->to.r);
    if (!path->is_arc)
        return ends;
    /* the middle of the arc is enough of a bound: the whole circle where it bulges that way */
    const struct sw_pt middle =
        beside(path->centre, 1, direction((path->angle0 + path->angle1) / 2));
    const double cosine = (middle.z - path->centre.z) * d.z + (middle.r - path->centre.r) * d.r;
    const double half = (path->angle1 - path->angle0) / 2;
    if (cosine < cos(fmin(PI, half)))
        return ends;
    return d.z * path->centre.z + d.r * path->centre.r + path->radius;
}

static void add_limit(struct sw_chain_reach *reach, const struct sw_chain_path *path,
                      struct sw_pt d, double own)
{
    if (reach->n == SW_CHAIN_MOST_SIDES)
        return;
    reach->side[reach->n] = d;
    reach->limit[reach->n++] = own + path_extent(path, d) + 2 * SW_TOL_SNAP;
}

static void find_reach(struct sw_chain_reach *reach, const struct sw_chain_tool *tool,
                       const struct sw_chain_path *path)
{
    const double margin = 2 * SW_TOL_SNAP;
    const struct sw_box *own = &tool->box;
    reach->n = 0;
    reach->box = (struct sw_box){own->z0 - path_extent(path, (struct sw_pt){-1, 0}) - margin,
                                 own->r0 - path_extent(path, (struct sw_pt){0, -1}) - margin,
                                 own->z1 + path_extent(path, (struct sw_pt){1, 0}) + margin,
                                 own->r1 + path_extent(path, (struct sw_pt){0, 1}) + margin};
    const double z = path->to.z - path->from.z, r = path->to.r - path->from.r;
    const double length = sqrt(z * z + r * r);
    for (int side = -1; side <= 1 && length > SW_TOL_SNAP; side += 2) {
        const struct sw_pt d = {side * r / length, -side * z / length};
        double most = -HUGE_VAL;
        for (size_t i = 0; i < tool->n; i++) {
            const struct sw_chain_corner *corner = &tool->at[i];
            const double reaches = d.z * corner->c.z + d.r * corner->c.r + corner->radius;
            most = reaches > most ? reaches : most;
        }
        add_limit(reach, path, d, most);
    }
    for (size_t i = 0; i < tool->n_sides; i++)
        add_limit(reach, path, tool->side[i], tool->reach[i]);
}

static void turn_over(struct sw_chain_swept *swept)
{
    struct sw_chain_edge *edges = swept->edges.at;
    for (size_t i = 0, k = swept->edges.n; i < k--; i++) {
        const struct sw_chain_edge swap = edges[i];
        edges[i] = edges[k];
        edges[k] = swap;
    }
    for (size_t i = 0; i < swept->edges.n; i++) {
        struct sw_chain_edge *edge = &edges[i];
        const struct sw_pt a = edge->a;
        edge->a = (struct sw_pt){edge->b.z, -edge->b.r};
        edge->b = (struct sw_pt){a.z, -a.r};
        edge->v = -edge->v; /* of the normal, or of the centre */
        edge->half = (signed char)-edge->half;
    }
    struct sw_chain_reach *reach = &swept->reach;
    const double r0 = reach->box.r0;
    reach->box.r0 = -reach->box.r1;
    reach->box.r1 = -r0;
    for (size_t i = 0; i < reach->n; i++)
        reach->side[i].r = -reach->side[i].r;
}

bool sw_chain_sweep(struct sw_chain_swept *out, const struct sw_chain_tool *tool,
                    const struct sw_chain_path *path, bool mirror, struct sw_arena *arena)
{
    struct border border = {.out = out, .arena = arena};
    out->edges.n = 0;
    out->is_convex = !path->is_arc;
    out->tool = path->is_arc || mirror ? NULL : tool;
    out->from = path->from;
    out->to = path->to;
    if (tool->n == 0)
        return true;
    const double z = path->to.z - path->from.z, r = path->to.r - path->from.r;
    const double length = sqrt(z * z + r * r);
    if (path->is_arc)
        along_arc(&border, tool, path);
    else if (length > SW_TOL_SNAP)
        along_line(&border, tool, path, (struct sw_pt){z / length, r / length});
    else
        at_place(&border, tool, path->to);
    close_up(&border);
    find_reach(&out->reach, tool, path);
    if (mirror)
        turn_over(out);
    return !border.is_short;
}
