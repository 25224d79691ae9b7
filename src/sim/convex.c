#include "sim/convex.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "geom/tol.h"

/* A polygon with less area than this [mm2] is a line: a sliver's width squared. */
#define NO_AREA (SW_TOL_SLIVER * SW_TOL_SLIVER)
/* Points nearer than this [mm] are one; far below any chord, above the rounding of a clip. */
#define SAME_POINT 1e-12
/* Two neighbouring edges whose directions differ by less than this [rad] are one edge. */
#define SAME_DIRECTION 1e-12

static double cross(struct sw_pt o, struct sw_pt a, struct sw_pt b)
{
    return (a.z - o.z) * (b.r - o.r) - (a.r - o.r) * (b.z - o.z);
}

static int by_place(const void *left, const void *right)
{
    const struct sw_pt *a = left, *b = right;
    if (a->z != b->z)
        return a->z < b->z ? -1 : 1;
    return a->r < b->r ? -1 : a->r > b->r;
}

bool sw_convex_hull(struct sw_convex *out, const struct sw_pt *points, size_t n,
                    struct sw_arena *arena)
{
    struct sw_pt *sorted = SW_NEW(arena, struct sw_pt, n);
    struct sw_pt *hull = SW_NEW(arena, struct sw_pt, 2 * n + 2);
    if (sorted == NULL || hull == NULL)
        return false;
    *out = (struct sw_convex){hull, 0};
    if (n < 3)
        return true;
    memcpy(sorted, points, n * sizeof *points);
    qsort(sorted, n, sizeof *sorted, by_place);
    size_t k = 0;
    for (size_t i = 0; i < n; i++) { /* lower chain */
        while (k >= 2 && cross(hull[k - 2], hull[k - 1], sorted[i]) <= 0)
            k--;
        hull[k++] = sorted[i];
    }
    const size_t lower = k + 1;
    for (size_t i = n - 1; i-- > 0;) { /* upper chain */
        while (k >= lower && cross(hull[k - 2], hull[k - 1], sorted[i]) <= 0)
            k--;
        hull[k++] = sorted[i];
    }
    k--; /* the last repeats the first */
    out->n = k >= 3 ? k : 0;
    return true;
}

static struct sw_pt normal(struct sw_pt a, struct sw_pt b)
{
    const double length = hypot(b.z - a.z, b.r - a.r);
    if (length == 0)
        return (struct sw_pt){0, 0};
    return (struct sw_pt){(b.r - a.r) / length, -(b.z - a.z) / length};
}

/* Keep the part of IN where n.p <= limit. */
static size_t cut(struct sw_pt *to, const struct sw_pt *from, size_t n, struct sw_pt direction,
                  double limit)
{
    size_t k = 0;
    for (size_t i = 0; i < n; i++) {
        const struct sw_pt a = from[i], b = from[i + 1 < n ? i + 1 : 0];
        const double da = direction.z * a.z + direction.r * a.r - limit;
        const double db = direction.z * b.z + direction.r * b.r - limit;
        if (da <= 0)
            to[k++] = a;
        if ((da < 0 && db > 0) || (da > 0 && db < 0)) {
            const double t = da / (da - db);
            to[k++] = (struct sw_pt){a.z + t * (b.z - a.z), a.r + t * (b.r - a.r)};
        }
    }
    return k;
}

static size_t tidy(struct sw_pt *points, size_t n)
{
    size_t k = 0;
    for (size_t i = 0; i < n; i++) {
        const struct sw_pt last = points[k > 0 ? k - 1 : n - 1];
        if (fabs(points[i].z - last.z) > SAME_POINT || fabs(points[i].r - last.r) > SAME_POINT)
            points[k++] = points[i];
    }
    while (k > 1 && fabs(points[k - 1].z - points[0].z) <= SAME_POINT &&
           fabs(points[k - 1].r - points[0].r) <= SAME_POINT)
        k--;
    return k;
}

/* All shifted edges as half planes, one after the other: slow and always right. */
static bool shift_by_cutting(struct sw_convex *out, const struct sw_convex *in, double distance,
                             struct sw_arena *arena)
{
    struct sw_pt *now = SW_NEW(arena, struct sw_pt, 2 * in->n + 4);
    struct sw_pt *next = SW_NEW(arena, struct sw_pt, 2 * in->n + 4);
    if (now == NULL || next == NULL)
        return false;
    memcpy(now, in->at, in->n * sizeof *now);
    size_t n = in->n;
    for (size_t i = 0; i < in->n && n > 0; i++) {
        const struct sw_pt a = in->at[i], b = in->at[(i + 1) % in->n];
        const struct sw_pt out_of = normal(a, b);
        n = cut(next, now, n, out_of, out_of.z * a.z + out_of.r * a.r + distance);
        struct sw_pt *swap = now;
        now = next;
        next = swap;
    }
    n = tidy(now, n);
    *out = (struct sw_convex){now, n >= 3 ? n : 0};
    if (sw_convex_area(out) < NO_AREA)
        out->n = 0;
    return true;
}

bool sw_convex_shift(struct sw_convex *out, const struct sw_convex *in, double distance,
                     struct sw_arena *arena)
{
    struct sw_pt *to = SW_NEW(arena, struct sw_pt, in->n);
    if (to == NULL)
        return false;
    bool holds = true;
    for (size_t i = 0; i < in->n; i++) {
        const struct sw_pt before = in->at[(i + in->n - 1) % in->n];
        const struct sw_pt here = in->at[i], after = in->at[(i + 1) % in->n];
        const struct sw_pt p = normal(before, here), q = normal(here, after);
        const double sine = p.z * q.r - p.r * q.z;
        const double cosine = p.z * q.z + p.r * q.r;
        if (fabs(sine) < SAME_DIRECTION) {
            to[i] = (struct sw_pt){here.z + distance * p.z, here.r + distance * p.r};
            continue;
        }
        /* where both shifted edges meet: here + distance * (p + q) / (1 + p.q) */
        const double by = distance / (1 + cosine);
        to[i] = (struct sw_pt){here.z + by * (p.z + q.z), here.r + by * (p.r + q.r)};
    }
    for (size_t i = 0; i < in->n && holds; i++) {
        const size_t k = (i + 1) % in->n;
        const double along = (to[k].z - to[i].z) * (in->at[k].z - in->at[i].z) +
                             (to[k].r - to[i].r) * (in->at[k].r - in->at[i].r);
        holds = along > 0; /* an edge that turned round has vanished */
    }
    if (!holds)
        return shift_by_cutting(out, in, distance, arena);
    *out = (struct sw_convex){to, in->n};
    return true;
}

size_t sw_convex_sweep_room(const struct sw_convex *in)
{
    return in->n + 2;
}

struct sw_convex sw_convex_sweep(struct sw_pt *points, const struct sw_convex *in, struct sw_pt a,
                                 struct sw_pt b)
{
    const struct sw_pt d = {b.z - a.z, b.r - a.r};
    size_t k = 0;
    for (size_t i = 0; i < in->n; i++) {
        const struct sw_pt before = in->at[i > 0 ? i - 1 : in->n - 1];
        const struct sw_pt here = in->at[i], after = in->at[i + 1 < in->n ? i + 1 : 0];
        /* an edge looks ahead when its outward normal points along the move */
        const bool was_ahead = (here.r - before.r) * d.z - (here.z - before.z) * d.r > 0;
        const bool is_ahead = (after.r - here.r) * d.z - (after.z - here.z) * d.r > 0;
        const struct sw_pt at_a = {here.z + a.z, here.r + a.r};
        const struct sw_pt at_b = {here.z + b.z, here.r + b.r};
        if (was_ahead == is_ahead) {
            points[k++] = is_ahead ? at_b : at_a;
        } else {
            points[k++] = was_ahead ? at_b : at_a;
            points[k++] = is_ahead ? at_b : at_a;
        }
    }
    return (struct sw_convex){points, k};
}

struct sw_convex sw_convex_clip(struct sw_pt *points, struct sw_pt *spare,
                                const struct sw_convex *in, struct sw_box box)
{
    size_t n = cut(points, in->at, in->n, (struct sw_pt){-1, 0}, -box.z0);
    n = cut(spare, points, n, (struct sw_pt){1, 0}, box.z1);
    n = cut(points, spare, n, (struct sw_pt){0, -1}, -box.r0);
    n = cut(spare, points, n, (struct sw_pt){0, 1}, box.r1);
    if (n > 0)
        memcpy(points, spare, n * sizeof *points);
    n = tidy(points, n);
    struct sw_convex out = {points, n >= 3 ? n : 0};
    if (sw_convex_area(&out) < NO_AREA)
        out.n = 0;
    return out;
}

/* The largest gap any edge of A leaves between A and B; negative when every edge is crossed. */
static double gap(const struct sw_convex *a, const struct sw_convex *b)
{
    double widest = -HUGE_VAL;
    for (size_t i = 0; i < a->n; i++) {
        const struct sw_pt p = a->at[i], q = a->at[(i + 1) % a->n];
        const struct sw_pt out_of = normal(p, q);
        if (out_of.z == 0 && out_of.r == 0)
            continue;
        double nearest = HUGE_VAL;
        for (size_t k = 0; k < b->n; k++)
            nearest = fmin(nearest, out_of.z * (b->at[k].z - p.z) + out_of.r * (b->at[k].r - p.r));
        widest = fmax(widest, nearest);
    }
    return widest;
}

bool sw_convex_overlaps(const struct sw_convex *a, const struct sw_convex *b, double epsilon)
{
    if (a->n == 0 || b->n == 0)
        return false;
    return fmax(gap(a, b), gap(b, a)) < -epsilon;
}

struct sw_box sw_convex_box(const struct sw_convex *in)
{
    if (in->n == 0)
        return (struct sw_box){0, 0, 0, 0};
    struct sw_box box = {in->at[0].z, in->at[0].r, in->at[0].z, in->at[0].r};
    for (size_t i = 1; i < in->n; i++) {
        box.z0 = fmin(box.z0, in->at[i].z);
        box.z1 = fmax(box.z1, in->at[i].z);
        box.r0 = fmin(box.r0, in->at[i].r);
        box.r1 = fmax(box.r1, in->at[i].r);
    }
    return box;
}

double sw_convex_area(const struct sw_convex *in)
{
    double twice = 0;
    for (size_t i = 2; i < in->n; i++)
        twice += cross(in->at[0], in->at[i - 1], in->at[i]);
    return twice / 2;
}

/* From P to the nearest point of the segment. */
static struct sw_pt segment_way(struct sw_pt a, struct sw_pt b, struct sw_pt p)
{
    const double dz = b.z - a.z, dr = b.r - a.r, squared = dz * dz + dr * dr;
    double t = squared > 0 ? ((p.z - a.z) * dz + (p.r - a.r) * dr) / squared : 0;
    t = t > 0 ? t < 1 ? t : 1 : 0;
    return (struct sw_pt){p.z - a.z - t * dz, p.r - a.r - t * dr};
}

double sw_convex_distance(const struct sw_convex *in, struct sw_pt p)
{
    struct sw_pt nearest = {HUGE_VAL, HUGE_VAL};
    double least = HUGE_VAL; /* squared */
    bool is_inside = in->n > 0;
    for (size_t i = 0; i < in->n; i++) {
        const struct sw_pt a = in->at[i], b = in->at[i + 1 < in->n ? i + 1 : 0];
        if (cross(a, b, p) < 0)
            is_inside = false;
        const struct sw_pt way = segment_way(a, b, p);
        const double squared = way.z * way.z + way.r * way.r;
        if (squared < least) {
            least = squared;
            nearest = way;
        }
    }
    return is_inside ? 0 : hypot(nearest.z, nearest.r);
}

double sw_convex_box_distance(const struct sw_convex *in, struct sw_box box)
{
    struct sw_pt corner[4] = {
        {box.z0, box.r0}, {box.z1, box.r0}, {box.z1, box.r1}, {box.z0, box.r1}};
    const struct sw_convex other = {corner, 4};
    if (sw_convex_overlaps(in, &other, 0))
        return 0;
    double nearest = HUGE_VAL;
    for (size_t i = 0; i < in->n; i++) {
        const struct sw_pt p = in->at[i];
        const double z = p.z < box.z0 ? box.z0 - p.z : p.z > box.z1 ? p.z - box.z1 : 0;
        const double r = p.r < box.r0 ? box.r0 - p.r : p.r > box.r1 ? p.r - box.r1 : 0;
        nearest = fmin(nearest, hypot(z, r));
    }
    for (size_t i = 0; i < 4; i++)
        nearest = fmin(nearest, sw_convex_distance(in, corner[i]));
    return nearest;
}

bool sw_box_overlaps(struct sw_box a, struct sw_box b)
{
    return a.z0 < b.z1 && b.z0 < a.z1 && a.r0 < b.r1 && b.r0 < a.r1;
}

struct sw_box sw_box_join(struct sw_box a, struct sw_box b)
{
    return (struct sw_box){fmin(a.z0, b.z0), fmin(a.r0, b.r0), fmax(a.z1, b.z1), fmax(a.r1, b.r1)};
}

struct sw_box sw_box_grow(struct sw_box box, double by)
{
    return (struct sw_box){box.z0 - by, box.r0 - by, box.z1 + by, box.r1 + by};
}
