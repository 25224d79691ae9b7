#include "geom/region.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "geom/geom_int.h"
#include "geom/region_int.h"

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

enum sw_status sw_region_failed(struct sw_kernel *kernel, const char *what)
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

enum sw_status sw_region_wrap(struct sw_region **out, struct sw_kernel *kernel, GEOSGeometry *shape)
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
        return sw_region_failed(kernel, "to measure an area");
    }
    *out = region;
    return SW_OK;
}

static enum sw_status make_empty(struct sw_region **out, struct sw_kernel *kernel)
{
    GEOSGeometry *shape = GEOSGeom_createEmptyPolygon_r(kernel->geos);
    return shape ? sw_region_wrap(out, kernel, shape)
                 : sw_region_failed(kernel, "to make an empty area");
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
    return shape ? sw_region_wrap(out, region->kernel, shape)
                 : sw_region_failed(region->kernel, "to copy an area");
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
            status = sw_region_failed(kernel, "to measure a piece");
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
        status = sw_region_failed(kernel, "to sort out pieces");
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
    return sw_region_wrap(out, kernel, shape);
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
        return sw_region_failed(kernel, "to mend an outline");
    if (fabs(area - fabs(twice_area(ring, n)) / 2) <= SW_TOL_SLIVER * around)
        return SW_OK;
    keep_message("the outline crosses itself", kernel);
    return sw_region_failed(kernel, "to make an area");
}

static enum sw_status from_ring(struct sw_region **out, struct sw_kernel *kernel,
                                const struct sw_pt *ring, size_t n)
{
    GEOSGeometry *shape = make_polygon(kernel, ring, n);
    if (!shape)
        return sw_region_failed(kernel, "to make an area");
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
        status = sw_region_failed(kernel, "to make an area");
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
    return shape ? keep_and_wrap(out, kernel, shape) : sw_region_failed(kernel, "to make a box");
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
        status = sw_region_failed(kernel, "to make a sweep");
    } else if (m < 3) {
        status = make_empty(out, kernel);
    } else {
        hull[m] = hull[0];
        GEOSGeometry *shape = make_polygon(kernel, hull, m);
        status = shape ? sw_region_wrap(out, kernel, shape)
                       : sw_region_failed(kernel, "to make a sweep");
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
                 : sw_region_failed(a->kernel, "to take one area from another");
}

enum sw_status sw_region_both(struct sw_region **out, const struct sw_region *a,
                              const struct sw_region *b)
{
    if (boxes_apart(a, b))
        return make_empty(out, a->kernel);
    GEOSGeometry *shape = GEOSIntersection_r(a->kernel->geos, a->shape, b->shape);
    return shape ? keep_and_wrap(out, a->kernel, shape)
                 : sw_region_failed(a->kernel, "to find the common part of two areas");
}

enum sw_status sw_region_either(struct sw_region **out, const struct sw_region *a,
                                const struct sw_region *b)
{
    if (a->is_empty || b->is_empty)
        return sw_region_copy(out, a->is_empty ? b : a);
    GEOSGeometry *shape = GEOSUnion_r(a->kernel->geos, a->shape, b->shape);
    return shape ? keep_and_wrap(out, a->kernel, shape)
                 : sw_region_failed(a->kernel, "to join two areas");
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
    return shape ? sw_region_wrap(out, region->kernel, shape)
                 : sw_region_failed(region->kernel, "to move an area");
}

bool sw_region_is_empty(const struct sw_region *region)
{
    return region->is_empty;
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
