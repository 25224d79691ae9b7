/* Counter-clockwise round the swept polygon of a path that turns left: the rear of the outline at
 * the first point; the right side forwards, where the sum of two convex chains simply merges their
 * edges by direction; the front of the outline at the last point; the left side backwards. There
 * every chord leaves a line that touches the outline on its left; what stays uncovered is left of
 * all these lines, so the border is the border of an intersection of half planes whose directions
 * turn steadily: a stack finds it. When the outline is rounder than the arc the first and the last
 * position cover all between, and their two borders cross once.
 */
#include "sim/arc_sweep.h"

#include <math.h>

struct builder {
    struct sw_pt *at;
    size_t n;
};

static struct sw_pt plus(struct sw_pt a, struct sw_pt b)
{
    return (struct sw_pt){a.z + b.z, a.r + b.r};
}

static struct sw_pt minus(struct sw_pt a, struct sw_pt b)
{
    return (struct sw_pt){a.z - b.z, a.r - b.r};
}

static double dot(struct sw_pt a, struct sw_pt b)
{
    return a.z * b.z + a.r * b.r;
}

static double cross(struct sw_pt a, struct sw_pt b)
{
    return a.z * b.r - a.r * b.z;
}

static size_t after(const struct sw_convex *outline, size_t i)
{
    return i + 1 < outline->n ? i + 1 : 0;
}

/* The corner furthest to the left (SIGN 1) or right (-1) of DIRECTION, walking on from START. */
static size_t support(const struct sw_convex *outline, struct sw_pt direction, int sign,
                      size_t start)
{
    size_t i = start;
    for (size_t steps = 0; steps < outline->n; steps++) {
        const size_t k = after(outline, i);
        /* a counter-clockwise edge still climbs while it points to that side */
        if (sign * cross(direction, minus(outline->at[k], outline->at[i])) <= 0)
            break;
        i = k;
    }
    return i;
}

static size_t support_anywhere(const struct sw_convex *outline, struct sw_pt direction, int sign)
{
    size_t best = 0;
    for (size_t i = 1; i < outline->n; i++)
        if (sign * cross(direction, minus(outline->at[i], outline->at[best])) > 0)
            best = i;
    return best;
}

static void push(struct builder *builder, struct sw_pt p)
{
    builder->at[builder->n++] = p;
}

/* Corners FROM to TO, both included, of the outline standing at Q. */
static void push_corners(struct builder *builder, const struct sw_convex *outline, struct sw_pt q,
                         size_t from, size_t to)
{
    push(builder, plus(outline->at[from], q));
    for (size_t i = from; i != to;) {
        i = after(outline, i);
        push(builder, plus(outline->at[i], q));
    }
}

/* Where the touching lines of chords I and K cross. */
static struct sw_pt lines_cross(const struct sw_convex *outline, const struct sw_pt *q,
                                const size_t *left, size_t i, size_t k)
{
    const struct sw_pt a = plus(outline->at[left[i]], q[i + 1]), da = minus(q[i + 1], q[i]);
    const struct sw_pt b = plus(outline->at[left[k]], q[k]), db = minus(q[k + 1], q[k]);
    if (k == i + 1 && left[i] == left[k])
        return a; /* one corner draws both */
    const double t = cross(minus(b, a), db) / cross(da, db);
    return (struct sw_pt){a.z + t * da.z, a.r + t * da.r};
}

/* Is B ahead of A along chord I? */
static bool is_ahead(const struct sw_pt *q, size_t i, struct sw_pt a, struct sw_pt b)
{
    return dot(minus(b, a), minus(q[i + 1], q[i])) > 0;
}

/* The left side backwards, from the front's last corner to the rear's first. The points beyond
 * BUILDER->n hold where each stacked line begins; STACK has room for all chords. */
static bool push_left(struct builder *builder, const struct sw_convex *outline,
                      const struct sw_pt *q, size_t n_chords, const size_t *left, size_t *stack)
{
    const struct sw_pt begin = plus(outline->at[left[0]], q[0]);
    const struct sw_pt end = plus(outline->at[left[n_chords - 1]], q[n_chords]);
    struct sw_pt *start = builder->at + builder->n; /* start[m]: where stacked line m begins */
    size_t m = 1;
    stack[0] = 0;
    start[0] = begin;
    for (size_t i = 1; i < n_chords; i++) {
        struct sw_pt x = lines_cross(outline, q, left, stack[m - 1], i);
        while (!is_ahead(q, stack[m - 1], start[m - 1], x)) {
            if (--m == 0)
                return false;
            x = lines_cross(outline, q, left, stack[m - 1], i);
        }
        stack[m] = i;
        start[m++] = x;
    }
    if (!is_ahead(q, n_chords - 1, start[m - 1], end))
        return false;
    /* backwards, without the very first, which the rear begins with */
    for (size_t i = 1, k = m - 1; i < k; i++, k--) {
        const struct sw_pt swap = start[i];
        start[i] = start[k];
        start[k] = swap;
    }
    for (size_t i = 1; i < m; i++)
        start[i - 1] = start[i];
    builder->n += m - 1;
    return true;
}

/* Edges A of the outline at the end and B at the begin that cross on the left. */
static bool borders_cross(struct sw_pt *out, size_t *a_out, size_t *b_out,
                          const struct sw_convex *outline, struct sw_pt begin, struct sw_pt end)
{
    const struct sw_pt v = minus(end, begin);
    for (size_t a = 0; a < outline->n; a++) {
        const struct sw_pt a0 = plus(outline->at[a], end);
        const struct sw_pt da = minus(outline->at[after(outline, a)], outline->at[a]);
        if (dot(v, da) >= 0)
            continue; /* edges on the left run against the move */
        for (size_t b = 0; b < outline->n; b++) {
            const struct sw_pt b0 = plus(outline->at[b], begin);
            const struct sw_pt db = minus(outline->at[after(outline, b)], outline->at[b]);
            const double parallel = cross(da, db);
            if (dot(v, db) >= 0 || parallel == 0)
                continue;
            const double s = cross(minus(b0, a0), db) / parallel;
            const double t = cross(minus(b0, a0), da) / parallel;
            if (s < 0 || s > 1 || t < 0 || t > 1)
                continue;
            *out = (struct sw_pt){a0.z + s * da.z, a0.r + s * da.r};
            *a_out = a;
            *b_out = b;
            return true;
        }
    }
    return false;
}

/* Does what the first and the last position cover hold every point that was furthest left, but for
 * slivers? A long straight flank that the path runs along fails here. */
static bool ends_cover(const struct sw_convex *outline, const struct sw_pt *q, size_t n_chords,
                       const size_t *left, double sliver)
{
    for (size_t i = 0; i <= n_chords; i++)
        for (size_t k = i > 0 ? i - 1 : 0; k <= i && k < n_chords; k++) {
            const struct sw_pt p = plus(outline->at[left[k]], q[i]);
            if (sw_convex_distance(outline, minus(p, q[0])) > sliver &&
                sw_convex_distance(outline, minus(p, q[n_chords])) > sliver)
                return false;
        }
    return true;
}

size_t sw_arc_sweep_room(const struct sw_convex *outline, size_t n_chords)
{
    return 3 * outline->n + 3 * n_chords + 8;
}

enum sw_arc_sweep_kind sw_arc_sweep(struct sw_pt *points, size_t *n,
                                    const struct sw_convex *outline, const struct sw_pt *q,
                                    size_t n_chords, double sliver, size_t *work)
{
    struct builder builder = {points, 0};
    size_t *left = work, *stack = work + n_chords;
    const struct sw_pt first = minus(q[1], q[0]);
    size_t right = support_anywhere(outline, first, -1);
    left[0] = support_anywhere(outline, first, 1);
    for (size_t i = 1; i < n_chords; i++)
        left[i] = support(outline, minus(q[i + 1], q[i]), 1, left[i - 1]);

    const size_t rear_right = right;
    push_corners(&builder, outline, q[0], left[0], rear_right);
    for (size_t i = 0; i < n_chords; i++) {
        const size_t now = support(outline, minus(q[i + 1], q[i]), -1, right);
        if (now != right)
            push_corners(&builder, outline, q[i], after(outline, right), now);
        right = now;
        push(&builder, plus(outline->at[right], q[i + 1]));
    }
    const size_t before_front = builder.n - 1; /* the front begins with the corner just pushed */
    builder.n = before_front;
    push_corners(&builder, outline, q[n_chords], right, left[n_chords - 1]);
    if (push_left(&builder, outline, q, n_chords, left, stack)) {
        *n = builder.n;
        return SW_ARC_SWEPT;
    }

    /* folded: the front goes on to the crossing, the rear begins there */
    struct sw_pt x;
    size_t a, b;
    if (!ends_cover(outline, q, n_chords, left, sliver) ||
        !borders_cross(&x, &a, &b, outline, q[0], q[n_chords]))
        return SW_ARC_UNCLEAR;
    struct builder folded = {points, before_front};
    push_corners(&folded, outline, q[n_chords], right, a);
    push(&folded, x);
    /* drop the rear as built and put it at the end */
    size_t n_rear = 1;
    for (size_t i = left[0]; i != rear_right; i = after(outline, i))
        n_rear++;
    for (size_t i = n_rear; i < folded.n; i++)
        points[i - n_rear] = points[i];
    folded.n -= n_rear;
    push_corners(&folded, outline, q[0], after(outline, b), rear_right);
    *n = folded.n;
    return SW_ARC_FOLDED;
}
