/* Convex hull by the monotone chain: sort by z, then build the lower and the upper side. */
#include <stdlib.h>

#include "geom/geom_int.h"

static int compare_points(const void *a, const void *b)
{
    const struct sw_pt *p = a, *q = b;
    if (p->z != q->z)
        return p->z < q->z ? -1 : 1;
    return p->r < q->r ? -1 : p->r > q->r;
}

static bool turns_left(struct sw_pt a, struct sw_pt b, struct sw_pt c)
{
    return sw_geom_cross(sw_geom_less(b, a), sw_geom_less(c, a)) > 0;
}

size_t sw_geom_hull(struct sw_pt *hull, struct sw_pt *order, const struct sw_pt *points, size_t n)
{
    for (size_t i = 0; i < n; i++)
        order[i] = points[i];
    qsort(order, n, sizeof order[0], compare_points);
    size_t m = 0;
    for (size_t i = 0; i < n; i++) {
        while (m >= 2 && !turns_left(hull[m - 2], hull[m - 1], order[i]))
            m--;
        hull[m++] = order[i];
    }
    const size_t lower = m + 1;
    for (size_t i = n; i-- > 1;) {
        while (m >= lower && !turns_left(hull[m - 2], hull[m - 1], order[i - 1]))
            m--;
        hull[m++] = order[i - 1];
    }
    return m > 1 ? m - 1 : m; /* the last is the first again */
}
