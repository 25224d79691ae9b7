/* Metal as columns across the axis: each holds intervals of radius. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "referee.h"

/* Bodies are no finer than this many columns. */
enum { GLANCE_STRIDE = 4 };

static int by_z(const void *a, const void *b)
{
    const struct pt *p = a, *q = b;
    if (p->z != q->z)
        return p->z < q->z ? -1 : 1;
    return (p->r > q->r) - (p->r < q->r);
}

static double turn(struct pt o, struct pt a, struct pt b)
{
    return (a.z - o.z) * (b.r - o.r) - (a.r - o.r) * (b.z - o.z);
}

void sweep(struct poly *out, const struct poly *poly, struct pt a, struct pt b)
{
    struct pt all[2 * MOST_CORNERS], hull[4 * MOST_CORNERS];
    size_t m = 0, n = 0;
    for (size_t i = 0; i < poly->n; i++) {
        all[m++] = (struct pt){poly->at[i].z + a.z, poly->at[i].r + a.r};
        if (a.z != b.z || a.r != b.r)
            all[m++] = (struct pt){poly->at[i].z + b.z, poly->at[i].r + b.r};
    }
    qsort(all, m, sizeof *all, by_z);
    for (size_t i = 0; i < m; i++) {
        while (n >= 2 && turn(hull[n - 2], hull[n - 1], all[i]) <= 0)
            n--;
        hull[n++] = all[i];
    }
    for (size_t i = m - 1, low = n + 1; i-- > 0;) {
        while (n >= low && turn(hull[n - 2], hull[n - 1], all[i]) <= 0)
            n--;
        hull[n++] = all[i];
    }
    if (n > 1)
        n--;
    out->n = n < MOST_CORNERS ? n : MOST_CORNERS;
    memcpy(out->at, hull, out->n * sizeof *hull);
}

static void note(struct taken *t, double z, double r, struct pt way)
{
    const double along = way.z * z + way.r * r, across = way.z * r - way.r * z;
    t->low = fmin(t->low, across);
    t->high = fmax(t->high, across);
    t->back = fmin(t->back, along);
    t->front = fmax(t->front, along);
}

/* Keep LO to HI of a column. */
static void keep(struct column *left, double lo, double hi, bool *is_full)
{
    if (left->n == MOST_PARTS) {
        *is_full = true;
        return;
    }
    left->lo[left->n] = lo;
    left->hi[left->n++] = hi;
}

/* Take LO to HI out of a column; how much was there. */
static double subtract(struct column *c, double lo, double hi, bool takes, struct taken *t,
                       double z, struct pt way)
{
    struct column left = {0};
    double found = 0;
    bool is_full = false;
    for (int i = 0; i < c->n; i++) {
        const double a = fmax(c->lo[i], lo), b = fmin(c->hi[i], hi);
        if (b - a <= 1e-9) {
            keep(&left, c->lo[i], c->hi[i], &is_full);
            continue;
        }
        found += b - a;
        note(t, z, a, way);
        note(t, z, b, way);
        t->r += (b - a) * (a + b) / 2;
        if (a - c->lo[i] > 1e-7)
            keep(&left, c->lo[i], a, &is_full);
        if (c->hi[i] - b > 1e-7)
            keep(&left, b, c->hi[i], &is_full);
    }
    if (takes && found > 0) {
        *c = left;
        t->is_full |= is_full;
    }
    return found;
}

struct taken meet(struct work *work, const struct poly *hull, enum look look, struct pt way)
{
    struct taken t = {.low = HUGE_VAL, .high = -HUGE_VAL, .back = HUGE_VAL, .front = -HUGE_VAL};
    double z0 = HUGE_VAL, z1 = -HUGE_VAL, r0 = HUGE_VAL;
    for (size_t i = 0; i < hull->n; i++) {
        z0 = fmin(z0, hull->at[i].z);
        z1 = fmax(z1, hull->at[i].z);
        r0 = fmin(r0, hull->at[i].r);
    }
    const double first = fmax(0, ceil((z0 - work->z0) / STEP - 0.5));
    const double end = fmin((double)work->n, floor((z1 - work->z0) / STEP + 0.5));
    if (hull->n < 3 || first >= end || r0 > 10)
        return t;
    /* the hull runs counter-clockwise from its leftmost corner: lower side first */
    size_t low = 0, high = hull->n;
    double thick = 0, sum = 0, z_first = 0, z_last = 0, r_low = HUGE_VAL, r_high = 0;
    size_t met = 0;
    const size_t stride = look == GLANCE ? GLANCE_STRIDE : 1;
    for (size_t k = (size_t)first; k < (size_t)end; k += stride) {
        struct column *column = &work->at[k];
        if (column->n == 0)
            continue;
        const double z = work->z0 + ((double)k + 0.5) * STEP;
        while (low + 1 < hull->n && hull->at[low + 1].z < z)
            low++;
        while (high > 1 && hull->at[high - 1].z < z)
            high--;
        const struct pt a = hull->at[low], b = hull->at[(low + 1) % hull->n];
        const struct pt c = hull->at[high % hull->n], d = hull->at[high - 1];
        double lo = b.z > a.z ? a.r + (b.r - a.r) * (z - a.z) / (b.z - a.z) : fmin(a.r, b.r);
        const double hi = d.z > c.z ? c.r + (d.r - c.r) * (z - c.z) / (d.z - c.z) : fmax(c.r, d.r);
        if (hi <= 0)
            continue;
        lo = fmax(lo, 0);
        if (lo >= column->hi[column->n - 1])
            continue;
        const double most = column->hi[column->n - 1];
        const double found = subtract(column, lo, hi, look == TAKE, &t, z, way);
        if (found <= 0)
            continue;
        t.empties |= look == TAKE && work->at[k].n == 0;
        z_first = met == 0 ? z : z_first;
        z_last = z;
        r_low = fmin(r_low, fmax(lo, 0));
        r_high = fmax(r_high, fmin(hi, most));
        met++;
        thick = fmax(thick, found);
        sum += found;
        t.z += found * z;
    }
    t.area = sum * STEP * (double)stride;
    t.thick = thick;
    t.depth = fmin(thick, (double)(met * stride) * STEP);
    /* a strip that leans is as thick as it is square to itself; a triangle twice its mean */
    if (met > 0)
        t.depth = fmin(t.depth, 2 * t.area / hypot(z_last - z_first + STEP, r_high - r_low));
    if (sum > 0) {
        t.z /= sum;
        t.r /= sum;
    }
    return t;
}

/* What of a convex polygon lies at least D within its border. */
static void inset(struct poly *out, const struct poly *poly, double d)
{
    struct pt now[4 * MOST_CORNERS], next[4 * MOST_CORNERS];
    size_t n = poly->n;
    memcpy(now, poly->at, n * sizeof *now);
    for (size_t i = 0; i < poly->n && n > 0; i++) {
        const struct pt a = poly->at[i], b = poly->at[(i + 1) % poly->n];
        const double length = hypot(b.z - a.z, b.r - a.r);
        size_t m = 0;
        if (length < 1e-9)
            continue;
        const struct pt in = {(a.r - b.r) / length, (b.z - a.z) / length};
        for (size_t k = 0; k < n; k++) {
            const struct pt p = now[k], q = now[(k + 1) % n];
            const double at_p = (p.z - a.z) * in.z + (p.r - a.r) * in.r - d;
            const double at_q = (q.z - a.z) * in.z + (q.r - a.r) * in.r - d;
            const double share = at_p / (at_p - at_q);
            if (at_p >= 0)
                next[m++] = p;
            if ((at_p < 0) != (at_q < 0))
                next[m++] = (struct pt){p.z + share * (q.z - p.z), p.r + share * (q.r - p.r)};
        }
        n = m;
        memcpy(now, next, n * sizeof *now);
    }
    /* as a hull: in the order that `meet` wants */
    struct poly in = {.n = n < MOST_CORNERS ? n : MOST_CORNERS};
    memcpy(in.at, now, in.n * sizeof *now);
    out->n = 0;
    if (in.n >= 3)
        sweep(out, &in, (struct pt){0, 0}, (struct pt){0, 0});
}

double reach_into(struct work *work, const struct poly *hull)
{
    enum { STEPS = 6 };
    const struct pt way = {1, 0};
    double low = 0, high = MOST_REACH;
    if (meet(work, hull, LOOK, way).area <= 0)
        return 0;
    for (int i = 0; i <= STEPS; i++) {
        const double d = i == 0 ? high : (low + high) / 2;
        struct poly thinner;
        inset(&thinner, hull, d);
        if (meet(work, &thinner, LOOK, way).area > 0)
            low = d;
        else
            high = d;
        if (i == 0 && low > 0)
            break;
    }
    return low;
}

static void project(double *lo, double *hi, const struct poly *p, struct pt axis)
{
    *lo = HUGE_VAL;
    *hi = -HUGE_VAL;
    for (size_t i = 0; i < p->n; i++) {
        const double d = p->at[i].z * axis.z + p->at[i].r * axis.r;
        *lo = fmin(*lo, d);
        *hi = fmax(*hi, d);
    }
}

double overlap(const struct poly *a, const struct poly *b)
{
    double least = HUGE_VAL;
    for (int which = 0; which < 2; which++) {
        const struct poly *p = which ? b : a;
        for (size_t i = 0; i < p->n; i++) {
            const struct pt s = p->at[i], e = p->at[(i + 1) % p->n];
            const double length = hypot(e.z - s.z, e.r - s.r);
            if (length < 1e-9)
                continue;
            const struct pt normal = {(e.r - s.r) / length, (s.z - e.z) / length};
            double a0, a1, b0, b1;
            project(&a0, &a1, a, normal);
            project(&b0, &b1, b, normal);
            least = fmin(least, fmin(a1 - b0, b1 - a0));
            if (least <= 0)
                return 0;
        }
    }
    return least;
}

double outer(const struct work *work, double z)
{
    const double k = floor((z - work->z0) / STEP);
    if (k < 0 || k >= (double)work->n || work->at[(size_t)k].n == 0)
        return 0;
    const struct column *c = &work->at[(size_t)k];
    double most = 0;
    for (int i = 0; i < c->n; i++)
        most = fmax(most, c->hi[i]);
    return most;
}

double clearance(const struct work *work, const struct poly *poly, struct pt place)
{
    double least = HUGE_VAL;
    for (size_t k = 0; k < work->n; k += 100) {
        const struct pt p = {work->z0 + ((double)k + 0.5) * STEP,
                             outer(work, work->z0 + ((double)k + 0.5) * STEP)};
        if (work->at[k].n == 0)
            continue;
        for (size_t i = 0; i < poly->n; i++) {
            const struct pt a = {poly->at[i].z + place.z, poly->at[i].r + place.r};
            const struct pt e = poly->at[(i + 1) % poly->n];
            const struct pt d = {e.z + place.z - a.z, e.r + place.r - a.r};
            const double l = d.z * d.z + d.r * d.r;
            double s = l > 0 ? ((p.z - a.z) * d.z + (p.r - a.r) * d.r) / l : 0;
            s = fmin(1, fmax(0, s));
            double dr = a.r + s * d.r - p.r;
            if (dr < 0 && a.r + s * d.r > -p.r)
                dr = 0; /* beside the work, at one of its own heights */
            least = fmin(least, hypot(a.z + s * d.z - p.z, dr));
        }
    }
    return least;
}

double let_fall(struct work *work, double z)
{
    const double start = fmax(0, floor((z - work->z0) / STEP));
    bool is_open = false;
    double fell = 0;
    for (size_t k = (size_t)start; k < work->n; k++) {
        struct column *c = &work->at[k];
        is_open |= c->n == 0;
        if (!is_open)
            continue;
        for (int i = 0; i < c->n && work->z0 + STEP * (double)k < 0; i++)
            fell += STEP * (c->hi[i] - c->lo[i]);
        c->n = 0;
    }
    return fell;
}
