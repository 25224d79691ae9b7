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

/* The highest edge over all of [Z0, Z1], which has no corner inside. */
static struct sw_stretch highest(const struct sw_pt *corner, size_t n, double z0, double z1)
{
    struct sw_stretch best = {z0, z1, 0, 0};
    const double middle = (z0 + z1) / 2;
    for (size_t i = 0, first = 0; i + 1 < n; i++) {
        const struct sw_pt a = corner[i], b = corner[i + 1];
        if (i > first && a.z == corner[first].z && a.r == corner[first].r) {
            first = i + 1; /* the joint between two rings is no edge */
            continue;
        }
        if (fmin(a.z, b.z) > middle || fmax(a.z, b.z) < middle || a.z == b.z)
            continue;
        const struct sw_stretch edge = {a.z, b.z, a.r, b.r};
        if (on(&edge, middle) > (best.r0 + best.r1) / 2)
            best = (struct sw_stretch){z0, z1, fmax(0, on(&edge, z0)), fmax(0, on(&edge, z1))};
    }
    return best;
}

bool sw_silhouette_add_rings(struct sw_silhouette *s, const struct sw_pt *corner, size_t n,
                             double z0, double z1)
{
    const size_t size = (n + 2) * sizeof(double);
    double *cut = sw_mem_resize(NULL, 0, size);
    if (cut == NULL)
        return false;
    size_t n_cuts = 0;
    cut[n_cuts++] = z0;
    for (size_t i = 0; i < n; i++)
        if (corner[i].z > z0 && corner[i].z < z1)
            cut[n_cuts++] = corner[i].z;
    cut[n_cuts++] = z1;
    qsort(cut, n_cuts, sizeof *cut, by_size);
    bool good = true;
    double from = z0;
    for (size_t i = 1; i < n_cuts && good; i++) {
        /* what is thinner than a sliver goes to its neighbour */
        if (cut[i] - from < SW_TOL_SLIVER && i + 1 < n_cuts)
            continue;
        if (!(cut[i] > from))
            continue;
        struct sw_stretch stretch =
            highest(corner, n, fmax(from, fmin(cut[i - 1], cut[i])), cut[i]);
        stretch.z0 = from;
        good = sw_silhouette_push(s, stretch);
        from = cut[i];
    }
    sw_mem_resize(cut, size, 0);
    return good;
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
