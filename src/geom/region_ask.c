/* What may be asked of an area. Its making stands in region.c. */

#include "geom/region.h"

#include <math.h>
#include <stdlib.h>

#include "geom/geom_int.h"
#include "geom/region_int.h"

double sw_region_area(const struct sw_region *region)
{
    double area = 0;
    if (!region->is_empty && !GEOSArea_r(region->kernel->geos, region->shape, &area))
        (void)sw_region_failed(region->kernel, "to measure an area");
    return area;
}

/* Calls VISIT for every ring of the region; stops at false. False also when GEOS fails. */
typedef bool visit_ring(void *user, GEOSContextHandle_t geos, const GEOSCoordSequence *points,
                        unsigned n, bool is_hole);

static bool each_ring(const struct sw_region *region, visit_ring *visit, void *user)
{
    GEOSContextHandle_t geos = region->kernel->geos;
    const int n_parts = region->is_empty ? 0 : GEOSGetNumGeometries_r(geos, region->shape);
    for (int i = 0; i < n_parts; i++) {
        const GEOSGeometry *part = GEOSGetGeometryN_r(geos, region->shape, i);
        const int n_holes = part ? GEOSGetNumInteriorRings_r(geos, part) : -1;
        if (n_holes < 0)
            return false;
        for (int k = -1; k < n_holes; k++) {
            const GEOSGeometry *ring =
                k < 0 ? GEOSGetExteriorRing_r(geos, part) : GEOSGetInteriorRingN_r(geos, part, k);
            const GEOSCoordSequence *points = ring ? GEOSGeom_getCoordSeq_r(geos, ring) : NULL;
            unsigned n;
            if (!points || !GEOSCoordSeq_getSize_r(geos, points, &n) ||
                !visit(user, geos, points, n, k >= 0))
                return false;
        }
    }
    return true;
}

static struct sw_pt point_at(GEOSContextHandle_t geos, const GEOSCoordSequence *points, unsigned i)
{
    struct sw_pt p = {0, 0};
    (void)GEOSCoordSeq_getXY_r(geos, points, i, &p.z, &p.r); /* fails beyond the end only */
    return p;
}

struct depth_search {
    const struct sw_contour *contour;
    double best;
};

static bool depth_of_ring(void *user, GEOSContextHandle_t geos, const GEOSCoordSequence *points,
                          unsigned n, bool is_hole)
{
    struct depth_search *search = user;
    (void)is_hole;
    for (unsigned i = 0; i + 1 < n; i++)
        search->best = sw_geom_line_depth(search->contour, point_at(geos, points, i),
                                          point_at(geos, points, i + 1), search->best);
    return true;
}

/* The middle of the largest circle that fits into each piece: where the contour closes round a
 * piece, the deepest point is inside and not on a ring. */
static bool depth_inside(struct depth_search *search, const struct sw_region *region)
{
    enum { STEPS = 16 }; /* finer than this the boundary decides */
    GEOSContextHandle_t geos = region->kernel->geos;
    const double step = fmax(search->best / STEPS, SW_TOL_SLIVER);
    const int n = GEOSGetNumGeometries_r(geos, region->shape);
    for (int i = 0; i < n; i++) {
        const GEOSGeometry *part = GEOSGetGeometryN_r(geos, region->shape, i);
        double area;
        if (!part || !GEOSArea_r(geos, part, &area))
            return false;
        /* No circle in the piece is larger than its area allows. */
        if (sqrt(area / SW_GEOM_PI) <= step)
            continue;
        GEOSGeometry *line = GEOSMaximumInscribedCircle_r(geos, part, step);
        const GEOSCoordSequence *points = line ? GEOSGeom_getCoordSeq_r(geos, line) : NULL;
        if (points)
            search->best = fmax(search->best, sw_contour_distance(search->contour,
                                                                  point_at(geos, points, 0), NULL));
        GEOSGeom_destroy_r(geos, line);
        if (!points)
            return false;
    }
    return true;
}

double sw_region_depth(const struct sw_region *region, const struct sw_contour *contour)
{
    struct depth_search search = {contour, 0};
    if (region->is_empty || contour->n == 0)
        return 0;
    if (!each_ring(region, depth_of_ring, &search) || !depth_inside(&search, region))
        (void)sw_region_failed(region->kernel, "to measure a depth");
    return search.best;
}

struct crossing {
    double z, low, high;
    bool is_hit;
};

static bool cross_ring(void *user, GEOSContextHandle_t geos, const GEOSCoordSequence *points,
                       unsigned n, bool is_hole)
{
    struct crossing *crossing = user;
    if (is_hole)
        return true; /* never lower or higher than the ring around it */
    struct sw_pt a = point_at(geos, points, 0);
    for (unsigned i = 1; i < n; i++) {
        const struct sw_pt b = point_at(geos, points, i);
        const double z = crossing->z;
        if (fmin(a.z, b.z) <= z && z <= fmax(a.z, b.z)) {
            const double share = b.z != a.z ? (z - a.z) / (b.z - a.z) : 0;
            const double r = a.r + share * (b.r - a.r), s = b.z != a.z ? r : b.r;
            const double low = fmin(r, s), high = fmax(r, s);
            crossing->low = crossing->is_hit ? fmin(crossing->low, low) : low;
            crossing->high = crossing->is_hit ? fmax(crossing->high, high) : high;
            crossing->is_hit = true;
        }
        a = b;
    }
    return true;
}

bool sw_region_r_range(double *low, double *high, const struct sw_region *region, double z)
{
    struct crossing crossing = {z, 0, 0, false};
    if (region->is_empty || z < region->box.z0 || z > region->box.z1)
        return false;
    if (!each_ring(region, cross_ring, &crossing))
        (void)sw_region_failed(region->kernel, "to read an outline");
    if (!crossing.is_hit)
        return false;
    *low = crossing.low;
    *high = crossing.high;
    return true;
}

size_t sw_region_n_pieces(const struct sw_region *region)
{
    if (region->is_empty)
        return 0;
    const int n = GEOSGetNumGeometries_r(region->kernel->geos, region->shape);
    return n > 0 ? (size_t)n : 0;
}

/* Where a piece stands in the order: its least z, then its least r, then as GEOS keeps them. */
struct place {
    double z, r;
    int index;
};

static int compare_places(const void *a, const void *b)
{
    const struct place *p = a, *q = b;
    if (p->z != q->z)
        return p->z < q->z ? -1 : 1;
    if (p->r != q->r)
        return p->r < q->r ? -1 : 1;
    return p->index - q->index;
}

enum sw_status sw_region_piece(struct sw_region **out, const struct sw_region *region, size_t i)
{
    GEOSContextHandle_t geos = region->kernel->geos;
    const size_t n = sw_region_n_pieces(region);
    if (i >= n)
        return SW_INTERNAL;
    struct place *places = sw_mem_resize(NULL, 0, n * sizeof *places);
    if (!places)
        return SW_MEMORY;
    GEOSGeometry *shape = NULL;
    bool is_measured = true;
    for (size_t k = 0; k < n; k++) {
        const GEOSGeometry *part = GEOSGetGeometryN_r(geos, region->shape, (int)k);
        places[k].index = (int)k;
        is_measured = is_measured && part && GEOSGeom_getXMin_r(geos, part, &places[k].z) &&
                      GEOSGeom_getYMin_r(geos, part, &places[k].r);
    }
    if (is_measured) {
        qsort(places, n, sizeof *places, compare_places);
        shape = GEOSGeom_clone_r(geos, GEOSGetGeometryN_r(geos, region->shape, places[i].index));
    }
    sw_mem_resize(places, n * sizeof *places, 0);
    return shape ? sw_region_wrap(out, region->kernel, shape)
                 : sw_region_failed(region->kernel, "to take a piece of an area");
}

struct ring_list {
    struct sw_rings rings;
    struct sw_ctx *ctx;
    bool is_short; /* of memory */
};

static bool list_ring(void *user, GEOSContextHandle_t geos, const GEOSCoordSequence *points,
                      unsigned n, bool is_hole)
{
    struct ring_list *list = user;
    const struct sw_ring ring = {SW_NEW(list->ctx->arena, struct sw_pt, n), n, is_hole};
    list->is_short = !ring.at || !SW_VEC_PUSH(list->ctx->arena, &list->rings, ring);
    if (list->is_short)
        return false;
    for (unsigned i = 0; i < n; i++)
        ring.at[i] = point_at(geos, points, i);
    return true;
}

enum sw_status sw_region_rings(struct sw_rings *out, const struct sw_region *region,
                               struct sw_ctx *ctx)
{
    struct ring_list list = {.ctx = ctx};
    if (!each_ring(region, list_ring, &list))
        return list.is_short ? SW_MEMORY : sw_region_failed(region->kernel, "to read an outline");
    *out = list.rings;
    return SW_OK;
}
