#define GEOS_USE_ONLY_R_API
#include <geos_c.h>

#include "geom/region.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "geom/geom_int.h"

enum { MESSAGE_SIZE = 256 };

struct sw_kernel {
    struct sw_ctx *ctx;
    GEOSContextHandle_t geos;
    char message[MESSAGE_SIZE]; /* last complaint of GEOS */
};

struct sw_region {
    struct sw_kernel *kernel;
    GEOSGeometry *shape; /* a polygon or several, possibly empty */
    struct sw_box box;   /* all zero when empty */
    bool is_empty;
};

static void keep_message(const char *message, void *user)
{
    struct sw_kernel *kernel = user;
    snprintf(kernel->message, sizeof kernel->message, "%s", message);
}

/* Notices are remarks on how, not faults. */
static void drop_message(const char *message, void *user)
{
    (void)message;
    (void)user;
}

struct sw_kernel *sw_kernel_new(struct sw_ctx *ctx)
{
    struct sw_kernel *kernel = sw_mem_resize(NULL, 0, sizeof *kernel);
    if (!kernel)
        return NULL;
    *kernel = (struct sw_kernel){.ctx = ctx, .geos = GEOS_init_r()};
    if (!kernel->geos) {
        sw_mem_resize(kernel, sizeof *kernel, 0);
        return NULL;
    }
    GEOSContext_setErrorMessageHandler_r(kernel->geos, keep_message, kernel);
    GEOSContext_setNoticeMessageHandler_r(kernel->geos, drop_message, kernel);
    return kernel;
}

void sw_kernel_free(struct sw_kernel *kernel)
{
    if (!kernel)
        return;
    GEOS_finish_r(kernel->geos);
    sw_mem_resize(kernel, sizeof *kernel, 0);
}

/* GEOS gave up on WHAT. It reports a lack of memory by the name of a C++ exception. */
static enum sw_status failed(struct sw_kernel *kernel, const char *what)
{
    const bool is_memory = strstr(kernel->message, "bad_alloc") != NULL;
    if (!is_memory) {
        for (char *c = kernel->message; *c; c++)
            if (*c == '\n' || *c == '\r')
                *c = ' ';
        sw_diag_add(kernel->ctx->diag, SW_ERROR, "geom.region", (struct sw_span){0}, NULL,
                    "the area kernel failed %s: %s", what,
                    kernel->message[0] ? kernel->message : "no reason given");
    }
    kernel->message[0] = '\0';
    return is_memory ? SW_MEMORY : SW_INTERNAL;
}

/* Takes SHAPE over, whatever happens. */
static enum sw_status wrap(struct sw_region **out, struct sw_kernel *kernel, GEOSGeometry *shape)
{
    GEOSContextHandle_t geos = kernel->geos;
    struct sw_region *region = sw_mem_resize(NULL, 0, sizeof *region);
    if (!region) {
        GEOSGeom_destroy_r(geos, shape);
        return SW_MEMORY;
    }
    *region = (struct sw_region){.kernel = kernel, .shape = shape};
    region->is_empty = GEOSisEmpty_r(geos, shape) != 0;
    struct sw_box *box = &region->box;
    if (!region->is_empty &&
        (!GEOSGeom_getXMin_r(geos, shape, &box->z0) || !GEOSGeom_getYMin_r(geos, shape, &box->r0) ||
         !GEOSGeom_getXMax_r(geos, shape, &box->z1) ||
         !GEOSGeom_getYMax_r(geos, shape, &box->r1))) {
        sw_region_free(region);
        return failed(kernel, "to measure an area");
    }
    *out = region;
    return SW_OK;
}

static enum sw_status make_empty(struct sw_region **out, struct sw_kernel *kernel)
{
    GEOSGeometry *shape = GEOSGeom_createEmptyPolygon_r(kernel->geos);
    return shape ? wrap(out, kernel, shape) : failed(kernel, "to make an empty area");
}

void sw_region_free(struct sw_region *region)
{
    if (!region)
        return;
    GEOSGeom_destroy_r(region->kernel->geos, region->shape);
    sw_mem_resize(region, sizeof *region, 0);
}

enum sw_status sw_region_copy(struct sw_region **out, const struct sw_region *region)
{
    GEOSGeometry *shape = GEOSGeom_clone_r(region->kernel->geos, region->shape);
    return shape ? wrap(out, region->kernel, shape) : failed(region->kernel, "to copy an area");
}

/* A polygon from N + 1 points, the last equal to the first; NULL when GEOS fails. */
static GEOSGeometry *make_polygon(struct sw_kernel *kernel, const struct sw_pt *ring, size_t n)
{
    _Static_assert(sizeof(struct sw_pt) == 2 * sizeof(double), "points are pairs without gaps");
    GEOSCoordSequence *points =
        GEOSCoordSeq_copyFromBuffer_r(kernel->geos, &ring[0].z, (unsigned)(n + 1), 0, 0);
    /* Both makers take their argument over, even when they fail. */
    GEOSGeometry *shell = points ? GEOSGeom_createLinearRing_r(kernel->geos, points) : NULL;
    return shell ? GEOSGeom_createPolygon_r(kernel->geos, shell, NULL, 0) : NULL;
}

/* Whether a polygon is wider than SW_TOL_SLIVER: a strip of width w has area / perimeter = w / 2.
 * 1 yes, 0 no, -1 when GEOS fails. */
static int is_thick(struct sw_kernel *kernel, const GEOSGeometry *polygon)
{
    double area, around;
    if (!GEOSArea_r(kernel->geos, polygon, &area) || !GEOSLength_r(kernel->geos, polygon, &around))
        return -1;
    return 2 * area > SW_TOL_SLIVER * around;
}

/* Keeps the areas of *SHAPE that are no slivers; takes it over and may replace it. */
static enum sw_status keep_areas(GEOSGeometry **shape, struct sw_kernel *kernel)
{
    GEOSContextHandle_t geos = kernel->geos;
    const int n = GEOSGetNumGeometries_r(geos, *shape);
    GEOSGeometry **kept = NULL;
    const size_t room = (size_t)(n > 0 ? n : 1) * sizeof(GEOSGeometry *);
    enum sw_status status = SW_OK;
    unsigned n_kept = 0;
    bool is_all = true;
    if (n > 0 && !(kept = sw_mem_resize(NULL, 0, room))) {
        status = SW_MEMORY;
        goto out;
    }
    for (int i = 0; i < n; i++) {
        /* An overlay gives no nested collections. */
        const GEOSGeometry *part = GEOSGetGeometryN_r(geos, *shape, i);
        int keep = part && GEOSGeomTypeId_r(geos, part) == GEOS_POLYGON;
        if (keep)
            keep = GEOSisEmpty_r(geos, part) ? 0 : is_thick(kernel, part);
        if (keep < 0) {
            status = failed(kernel, "to measure a piece");
            goto out;
        }
        if (keep)
            kept[n_kept++] = (GEOSGeometry *)part; /* still owned by the whole */
        else
            is_all = false;
    }
    if (is_all)
        goto out;
    GEOSGeometry *less = NULL;
    unsigned n_copies = 0;
    while (n_copies < n_kept) {
        GEOSGeometry *copy = GEOSGeom_clone_r(geos, kept[n_copies]);
        if (!copy)
            break;
        kept[n_copies++] = copy;
    }
    if (n_copies == n_kept)
        less = n_kept == 0   ? GEOSGeom_createEmptyPolygon_r(geos)
               : n_kept == 1 ? kept[0]
                             : GEOSGeom_createCollection_r(geos, GEOS_MULTIPOLYGON, kept, n_kept);
    else
        for (unsigned i = 0; i < n_copies; i++)
            GEOSGeom_destroy_r(geos, kept[i]);
    GEOSGeom_destroy_r(geos, *shape);
    *shape = less;
    if (!less)
        status = failed(kernel, "to sort out pieces");
out:
    if (kept)
        sw_mem_resize(kept, room, 0);
    if (status != SW_OK && *shape) {
        GEOSGeom_destroy_r(geos, *shape);
        *shape = NULL;
    }
    return status;
}

static enum sw_status keep_and_wrap(struct sw_region **out, struct sw_kernel *kernel,
                                    GEOSGeometry *shape)
{
    SW_TRY(keep_areas(&shape, kernel));
    return wrap(out, kernel, shape);
}

/* Twice the area of a closed ring, of either sign. */
static double twice_area(const struct sw_pt *ring, size_t n)
{
    double sum = 0;
    for (size_t i = 1; i + 1 < n; i++)
        sum += sw_geom_cross(sw_geom_less(ring[i], ring[0]), sw_geom_less(ring[i + 1], ring[0]));
    return sum;
}

/* A ring that touches or crosses itself by rounding only is still simple to us: what is mended
 * must have the area of the ring to within slivers. */
static enum sw_status mend(GEOSGeometry **shape, struct sw_kernel *kernel, const struct sw_pt *ring,
                           size_t n)
{
    GEOSGeometry *mended = GEOSMakeValid_r(kernel->geos, *shape);
    double area = 0, around = 0;
    const bool is_measured = mended && GEOSArea_r(kernel->geos, mended, &area) &&
                             GEOSLength_r(kernel->geos, *shape, &around);
    GEOSGeom_destroy_r(kernel->geos, *shape);
    *shape = mended;
    if (!is_measured)
        return failed(kernel, "to mend an outline");
    if (fabs(area - fabs(twice_area(ring, n)) / 2) <= SW_TOL_SLIVER * around)
        return SW_OK;
    keep_message("the outline crosses itself", kernel);
    return failed(kernel, "to make an area");
}

static enum sw_status from_ring(struct sw_region **out, struct sw_kernel *kernel,
                                const struct sw_pt *ring, size_t n)
{
    GEOSGeometry *shape = make_polygon(kernel, ring, n);
    if (!shape)
        return failed(kernel, "to make an area");
    enum sw_status status = SW_OK;
    const char is_valid = GEOSisValid_r(kernel->geos, shape);
    kernel->message[0] = '\0'; /* an invalid ring is noted there with its place */
    if (is_valid != 1)
        status = mend(&shape, kernel, ring, n);
    if (status != SW_OK) {
        if (shape)
            GEOSGeom_destroy_r(kernel->geos, shape);
        return status;
    }
    return keep_and_wrap(out, kernel, shape);
}

enum sw_status sw_region_from_points(struct sw_region **out, struct sw_kernel *kernel,
                                     const struct sw_pt *points, size_t n)
{
    const size_t room = (n + 1) * sizeof points[0];
    struct sw_pt *ring = n < UINT32_MAX ? sw_mem_resize(NULL, 0, room) : NULL;
    if (!ring)
        return SW_MEMORY;
    size_t m = 0;
    bool is_finite = true;
    for (size_t i = 0; i < n; i++) {
        is_finite = is_finite && isfinite(points[i].z) && isfinite(points[i].r);
        if (m == 0 || points[i].z != ring[m - 1].z || points[i].r != ring[m - 1].r)
            ring[m++] = points[i];
    }
    while (m > 1 && ring[m - 1].z == ring[0].z && ring[m - 1].r == ring[0].r)
        m--;
    enum sw_status status;
    if (m < 3 || !is_finite) {
        keep_message("an outline needs three points, all of them finite", kernel);
        status = failed(kernel, "to make an area");
    } else {
        ring[m] = ring[0];
        status = from_ring(out, kernel, ring, m);
    }
    sw_mem_resize(ring, room, 0);
    return status;
}

enum sw_status sw_region_from_box(struct sw_region **out, struct sw_kernel *kernel,
                                  struct sw_box box)
{
    const struct sw_pt ring[] = {
        {box.z0, box.r0}, {box.z1, box.r0}, {box.z1, box.r1}, {box.z0, box.r1}, {box.z0, box.r0}};
    GEOSGeometry *shape = make_polygon(kernel, ring, 4);
    return shape ? keep_and_wrap(out, kernel, shape) : failed(kernel, "to make a box");
}

enum sw_status sw_region_from_hull(struct sw_region **out, struct sw_kernel *kernel,
                                   const struct sw_pt *points, size_t n)
{
    enum { ON_STACK = 128 }; /* enough for the sweep of a finely flattened nose */
    struct sw_pt local[3 * ON_STACK + 1];
    const size_t room = (3 * n + 1) * sizeof local[0];
    struct sw_pt *work = n <= ON_STACK ? local : sw_mem_resize(NULL, 0, room);
    if (!work)
        return SW_MEMORY;
    bool is_finite = true;
    for (size_t i = 0; i < n; i++)
        is_finite = is_finite && isfinite(points[i].z) && isfinite(points[i].r);
    struct sw_pt *hull = work, *order = work + 2 * n + 1;
    const size_t m = is_finite ? sw_geom_hull(hull, order, points, n) : 0;
    enum sw_status status;
    if (!is_finite) {
        keep_message("a point is not finite", kernel);
        status = failed(kernel, "to make a sweep");
    } else if (m < 3) {
        status = make_empty(out, kernel);
    } else {
        hull[m] = hull[0];
        GEOSGeometry *shape = make_polygon(kernel, hull, m);
        status = shape ? wrap(out, kernel, shape) : failed(kernel, "to make a sweep");
    }
    if (work != local)
        sw_mem_resize(work, room, 0);
    return status;
}

static bool boxes_apart(const struct sw_region *a, const struct sw_region *b)
{
    return a->is_empty || b->is_empty || a->box.z1 <= b->box.z0 || b->box.z1 <= a->box.z0 ||
           a->box.r1 <= b->box.r0 || b->box.r1 <= a->box.r0;
}

enum sw_status sw_region_minus(struct sw_region **out, const struct sw_region *a,
                               const struct sw_region *b)
{
    if (boxes_apart(a, b))
        return sw_region_copy(out, a);
    GEOSGeometry *shape = GEOSDifference_r(a->kernel->geos, a->shape, b->shape);
    return shape ? keep_and_wrap(out, a->kernel, shape)
                 : failed(a->kernel, "to take one area from another");
}

enum sw_status sw_region_both(struct sw_region **out, const struct sw_region *a,
                              const struct sw_region *b)
{
    if (boxes_apart(a, b))
        return make_empty(out, a->kernel);
    GEOSGeometry *shape = GEOSIntersection_r(a->kernel->geos, a->shape, b->shape);
    return shape ? keep_and_wrap(out, a->kernel, shape)
                 : failed(a->kernel, "to find the common part of two areas");
}

enum sw_status sw_region_either(struct sw_region **out, const struct sw_region *a,
                                const struct sw_region *b)
{
    if (a->is_empty || b->is_empty)
        return sw_region_copy(out, a->is_empty ? b : a);
    GEOSGeometry *shape = GEOSUnion_r(a->kernel->geos, a->shape, b->shape);
    return shape ? keep_and_wrap(out, a->kernel, shape) : failed(a->kernel, "to join two areas");
}

struct placing {
    double sign, shift;
};

static int place_point(double *x, double *y, void *user)
{
    const struct placing *placing = user;
    (void)y;
    *x = placing->sign * *x + placing->shift;
    return 1;
}

enum sw_status sw_region_place(struct sw_region **out, const struct sw_region *region, int sign,
                               double shift)
{
    if ((sign != 1 && sign != -1) || !isfinite(shift))
        return SW_INTERNAL;
    if (region->is_empty)
        return sw_region_copy(out, region);
    struct placing placing = {sign, shift};
    GEOSGeometry *shape =
        GEOSGeom_transformXY_r(region->kernel->geos, region->shape, place_point, &placing);
    return shape ? wrap(out, region->kernel, shape) : failed(region->kernel, "to move an area");
}

bool sw_region_is_empty(const struct sw_region *region)
{
    return region->is_empty;
}

double sw_region_area(const struct sw_region *region)
{
    double area = 0;
    if (!region->is_empty && !GEOSArea_r(region->kernel->geos, region->shape, &area))
        (void)failed(region->kernel, "to measure an area");
    return area;
}

struct sw_box sw_region_box(const struct sw_region *region)
{
    return region->box;
}

bool sw_region_overlaps(const struct sw_region *a, const struct sw_region *b)
{
    if (boxes_apart(a, b))
        return false;
    struct sw_region *both;
    if (sw_region_both(&both, a, b) != SW_OK)
        return true; /* the safe answer; the fault is in the diagnostics */
    const bool is_overlapping = !both->is_empty;
    sw_region_free(both);
    return is_overlapping;
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
        (void)failed(region->kernel, "to measure a depth");
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
        (void)failed(region->kernel, "to read an outline");
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
    return shape ? wrap(out, region->kernel, shape)
                 : failed(region->kernel, "to take a piece of an area");
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
        return list.is_short ? SW_MEMORY : failed(region->kernel, "to read an outline");
    *out = list.rings;
    return SW_OK;
}
