#include "sim/silhouette.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "geom/tol.h"

/* A joint that lies off the straight line by less [mm] is none: a hundredth of what the kernels
 * leave open. */
#define STRAIGHT 1e-6
enum { FIRST_ROOM = 16 };

void sw_silhouette_free(struct sw_silhouette *s)
{
    sw_mem_resize(s->at, s->room * sizeof *s->at, 0);
    *s = (struct sw_silhouette){0};
}

static double on(const struct sw_stretch *stretch, double z)
{
    const double t = (z - stretch->z0) / (stretch->z1 - stretch->z0);
    return stretch->r0 + t * (stretch->r1 - stretch->r0);
}

bool sw_silhouette_push(struct sw_silhouette *s, struct sw_stretch stretch)
{
    if (s->n > 0) {
        struct sw_stretch *last = &s->at[s->n - 1];
        stretch.z0 = last->z1;
        if (!(stretch.z1 > stretch.z0))
            return true;
        const struct sw_stretch whole = {last->z0, stretch.z1, last->r0, stretch.r1};
        if (fabs(last->r1 - stretch.r0) < STRAIGHT &&
            fabs(on(&whole, last->z1) - last->r1) < STRAIGHT) {
            *last = whole;
            return true;
        }
    }
    if (s->n == s->room) {
        const size_t room = s->room > 0 ? 2 * s->room : FIRST_ROOM;
        struct sw_stretch *more =
            sw_mem_resize(s->at, s->room * sizeof *s->at, room * sizeof *s->at);
        if (more == NULL)
            return false;
        s->at = more;
        s->room = room;
    }
    s->at[s->n++] = stretch;
    return true;
}

static int by_size(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* An edge between two corners, by where it lies along z. */
struct reach {
    double low, high;
    size_t corner; /* the first of the two */
};

static int by_low(const void *a, const void *b)
{
    const struct reach *x = a, *y = b;
    if (x->low != y->low)
        return x->low < y->low ? -1 : 1;
    return (x->corner > y->corner) - (x->corner < y->corner);
}

static double smaller(double a, double b)
{
    return a < b ? a : b;
}

static double larger(double a, double b)
{
    return a > b ? a : b;
}

/* All edges of rings that reach along z; the joint between two rings is none. */
static size_t edges_of_rings(struct reach *edge, const struct sw_pt *corner, size_t n)
{
    size_t n_edges = 0;
    for (size_t i = 0, first = 0; i + 1 < n; i++) {
        const struct sw_pt a = corner[i], b = corner[i + 1];
        if (i > first && a.z == corner[first].z && a.r == corner[first].r)
            first = i + 1;
        else if (a.z != b.z)
            edge[n_edges++] = (struct reach){smaller(a.z, b.z), larger(a.z, b.z), i};
    }
    return n_edges;
}

static size_t edges_of_pairs(struct reach *edge, const struct sw_pt *corner, size_t n)
{
    size_t n_edges = 0;
    for (size_t i = 0; i + 1 < n; i += 2) {
        const double a = corner[i].z, b = corner[i + 1].z;
        if (a != b)
            edge[n_edges++] = (struct reach){smaller(a, b), larger(a, b), i};
    }
    return n_edges;
}

/* The edges over one place after the other, by growing z: each joins and leaves once. */
struct sweep_on {
    const struct sw_pt *corner;
    const struct reach *edge;
    size_t n, next;
    struct reach *over; /* room for all edges; in the order of their corners */
    size_t n_over;
};

static void move_on(struct sweep_on *on_way, double z)
{
    size_t kept = 0;
    for (size_t i = 0; i < on_way->n_over; i++)
        if (on_way->over[i].high >= z)
            on_way->over[kept++] = on_way->over[i];
    on_way->n_over = kept;
    for (; on_way->next < on_way->n && on_way->edge[on_way->next].low <= z; on_way->next++) {
        const struct reach one = on_way->edge[on_way->next];
        if (one.high < z)
            continue;
        size_t k = on_way->n_over++;
        for (; k > 0 && on_way->over[k - 1].corner > one.corner; k--)
            on_way->over[k] = on_way->over[k - 1];
        on_way->over[k] = one;
    }
}

/* The highest edge over all of [Z0, Z1], which has no corner inside. */
static struct sw_stretch highest(struct sweep_on *on_way, double z0, double z1)
{
    struct sw_stretch best = {z0, z1, 0, 0};
    const double middle = (z0 + z1) / 2;
    move_on(on_way, middle);
    for (size_t i = 0; i < on_way->n_over; i++) {
        const struct sw_pt *a = &on_way->corner[on_way->over[i].corner], *b = a + 1;
        const struct sw_stretch edge = {a->z, b->z, a->r, b->r};
        if (on(&edge, middle) > (best.r0 + best.r1) / 2)
            best = (struct sw_stretch){z0, z1, larger(0, on(&edge, z0)), larger(0, on(&edge, z1))};
    }
    return best;
}

/* Where the envelope may bend: CUT has room for N + 2. */
static size_t find_cuts(double *cut, const struct sw_pt *corner, size_t n, double z0, double z1)
{
    size_t n_cuts = 0;
    cut[n_cuts++] = z0;
    for (size_t i = 0; i < n; i++)
        if (corner[i].z > z0 && corner[i].z < z1)
            cut[n_cuts++] = corner[i].z;
    cut[n_cuts++] = z1;
    qsort(cut, n_cuts, sizeof *cut, by_size);
    return n_cuts;
}

static bool add_between(struct sw_silhouette *s, struct sweep_on *on_way, const double *cut,
                        size_t n_cuts)
{
    double from = cut[0];
    for (size_t i = 1; i < n_cuts; i++) {
        /* what is thinner than a sliver goes to its neighbour */
        if (cut[i] - from < SW_TOL_SLIVER && i + 1 < n_cuts)
            continue;
        if (!(cut[i] > from))
            continue;
        struct sw_stretch stretch =
            highest(on_way, larger(from, smaller(cut[i - 1], cut[i])), cut[i]);
        stretch.z0 = from;
        if (!sw_silhouette_push(s, stretch))
            return false;
        from = cut[i];
    }
    return true;
}

static bool add(struct sw_silhouette *s, const struct sw_pt *corner, size_t n, double z0, double z1,
                size_t (*find_edges)(struct reach *edge, const struct sw_pt *corner, size_t n))
{
    const size_t size = (n + 2) * sizeof(double), edges_size = 2 * (n + 1) * sizeof(struct reach);
    double *cut = sw_mem_resize(NULL, 0, size);
    struct reach *edge = cut != NULL ? sw_mem_resize(NULL, 0, edges_size) : NULL;
    bool good = edge != NULL;
    if (good) {
        struct sweep_on on_way = {.corner = corner, .edge = edge, .over = edge + n + 1};
        on_way.n = find_edges(edge, corner, n);
        qsort(edge, on_way.n, sizeof *edge, by_low);
        good = add_between(s, &on_way, cut, find_cuts(cut, corner, n, z0, z1));
        sw_mem_resize(edge, edges_size, 0);
    }
    if (cut != NULL)
        sw_mem_resize(cut, size, 0);
    return good;
}

bool sw_silhouette_add_rings(struct sw_silhouette *s, const struct sw_pt *corner, size_t n,
                             double z0, double z1)
{
    return add(s, corner, n, z0, z1, edges_of_rings);
}

bool sw_silhouette_add_edges(struct sw_silhouette *s, const struct sw_pt *corner, size_t n,
                             double z0, double z1)
{
    return add(s, corner, 2 * n, z0, z1, edges_of_pairs);
}

size_t sw_silhouette_find(const struct sw_silhouette *s, double z)
{
    size_t low = 0, high = s->n - 1;
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        if (z <= s->at[middle].z1)
            high = middle;
        else
            low = middle + 1;
    }
    return low;
}

double sw_silhouette_r(const struct sw_silhouette *s, double z, double *slope)
{
    if (slope != NULL)
        *slope = 0;
    if (s->n == 0 || z < s->at[0].z0 || z > s->at[s->n - 1].z1)
        return 0;
    const struct sw_stretch *stretch = &s->at[sw_silhouette_find(s, z)];
    if (slope != NULL)
        *slope = (stretch->r1 - stretch->r0) / (stretch->z1 - stretch->z0);
    return on(stretch, z);
}
