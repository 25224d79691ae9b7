/* The region kernel: filling, asking and giving away. Cutting is in work_remove.c; the idea and
 * the error bound stand in work_int.h. */
#include <math.h>

#include "sim/work_int.h"

/* Length of a window [mm]: on staffs of 5 mm the time of a cut hardly changes between 0.15 and
 * 0.4. */
#define WINDOW 0.25
/* Work in front of the holder longer than this many windows gets longer windows. */
enum { MOST_WINDOWS = 400 };
/* How far windows reach behind the holder's face [mm]; what is gripped further in is one window.
 * Not a round figure, so that window borders keep away from the shoulders of a part. */
#define BEHIND_FRONT 0.5713

static double resolution(void)
{
    return SW_TOL_CHORD + SW_WORK_GROWTH + SW_WORK_SAGITTA;
}

static enum sw_status make(struct sw_work **out, struct sw_ctx *ctx)
{
    struct sw_work *work = SW_NEW(ctx->arena, struct sw_work, 1);
    if (work == NULL)
        return SW_MEMORY;
    work->ctx = ctx;
    work->kernel = sw_kernel_new(ctx);
    if (work->kernel == NULL)
        return SW_MEMORY;
    *out = work;
    return SW_OK;
}

static void empty(struct sw_work *work)
{
    for (size_t i = 0; i < work->n; i++)
        for (enum sw_work_which which = 0; which < 2; which++) {
            struct sw_window *window = &work->window[i];
            sw_region_free(window->region[which]);
            sw_mem_resize(window->corner[which],
                          window->corner_room[which] * sizeof *window->corner[which], 0);
            sw_silhouette_free(&window->outer[which]);
        }
    for (size_t i = 0; i < work->loose.n; i++) {
        sw_region_free(work->loose.at[i].least);
        sw_region_free(work->loose.at[i].most);
    }
    work->n = 0;
    work->loose.n = 0;
}

static void free_work(struct sw_work *work)
{
    if (work == NULL)
        return;
    empty(work);
    sw_kernel_free(work->kernel);
}

static bool to_convex(struct sw_convex *out, const struct sw_contour *contour, double chord,
                      int side, enum sw_status *status, struct sw_ctx *ctx)
{
    struct sw_pt *points = NULL;
    size_t n = 0;
    *status = sw_contour_flatten(&points, &n, contour, chord, side, ctx);
    if (*status != SW_OK)
        return false;
    if (!sw_convex_hull(out, points, n, ctx->arena)) {
        *status = SW_MEMORY;
        return false;
    }
    return true;
}

enum sw_status sw_outline_draw(struct sw_outline *made, const struct sw_contour *contour,
                               struct sw_ctx *ctx)
{
    /* counter-clockwise: the tool is on the left, so chords on the right contain it */
    enum sw_status status = SW_OK;
    struct sw_convex coarse = {0};
    if (!to_convex(&made->outer, contour, SW_TOL_CHORD, -1, &status, ctx) ||
        !to_convex(&made->inner, contour, SW_TOL_CHORD, 1, &status, ctx) ||
        !to_convex(&coarse, contour, SW_WORK_TOUCH_SAGITTA, 1, &status, ctx))
        return status;
    if (!sw_convex_shift(&made->arc_outer, &made->outer, SW_WORK_GROWTH, ctx->arena) ||
        !sw_convex_shift(&made->arc_inner, &made->inner, -SW_WORK_SAGITTA, ctx->arena) ||
        !sw_convex_shift(&made->touch, &coarse, -SW_WORK_TOUCH, ctx->arena))
        return SW_MEMORY;
    return SW_OK;
}

static enum sw_status outline(struct sw_outline **out, struct sw_work *work,
                              const struct sw_contour *contour)
{
    struct sw_outline *made = SW_NEW(work->ctx->arena, struct sw_outline, 1);
    if (made == NULL)
        return SW_MEMORY;
    SW_TRY(sw_outline_draw(made, contour, work->ctx));
    *out = made;
    return SW_OK;
}

const struct sw_convex *sw_outline_outer(const struct sw_outline *outline_in)
{
    return &outline_in->outer;
}

const struct sw_convex *sw_outline_touch(const struct sw_outline *outline_in)
{
    return &outline_in->touch;
}

void sw_work_find_box(struct sw_work *work)
{
    bool is_first = true;
    work->box = (struct sw_box){0, 0, 0, 0};
    for (size_t i = 0; i < work->n; i++) {
        const struct sw_region *region = work->window[i].region[SW_WORK_MOST];
        if (sw_region_is_empty(region))
            continue;
        const struct sw_box box = sw_region_box(region);
        work->box = is_first ? box : sw_box_join(work->box, box);
        is_first = false;
    }
}

static enum sw_status fill_window(struct sw_work *work, size_t i, double z0, double z1,
                                  const struct sw_region *const *from, double r)
{
    /* a little wider than the work in r: only the borders in z may cut */
    struct sw_window *window = &work->window[i];
    *window = (struct sw_window){.z0 = z0, .z1 = z1};
    struct sw_region *strip = NULL;
    SW_TRY(sw_region_from_box(&strip, work->kernel, (struct sw_box){z0, -1, z1, r + 1}));
    struct sw_region *part[2] = {NULL, NULL};
    enum sw_status status = sw_region_both(&part[0], from[0], strip);
    if (status == SW_OK)
        status = sw_region_both(&part[1], from[1], strip);
    sw_region_free(strip);
    if (status != SW_OK) {
        sw_region_free(part[0]);
        return status;
    }
    work->n = i + 1; /* from here `empty` frees the window */
    status = sw_window_set(window, SW_WORK_LEAST, part[0]);
    const enum sw_status second = sw_window_set(window, SW_WORK_MOST, part[1]);
    return status != SW_OK ? status : second;
}

enum sw_status sw_work_fill(struct sw_work *work, const struct sw_region *least,
                            const struct sw_region *most, double front)
{
    const struct sw_region *const from[2] = {least, most};
    const struct sw_box box = sw_region_box(most);
    empty(work);
    if (sw_region_is_empty(most)) {
        sw_work_find_box(work);
        return SW_OK;
    }
    const double begin = fmin(fmax(box.z0, front - BEHIND_FRONT), box.z1);
    const double length = box.z1 - begin;
    const double wanted = ceil(length / WINDOW);
    const size_t n = wanted < 1 ? 1 : wanted > MOST_WINDOWS ? MOST_WINDOWS : (size_t)wanted;
    work->window = SW_NEW(work->ctx->arena, struct sw_window, n + 1);
    if (work->window == NULL)
        return SW_MEMORY;
    size_t i = 0;
    if (begin > box.z0)
        SW_TRY(fill_window(work, i++, box.z0, begin, from, box.r1));
    double z0 = begin;
    for (size_t k = 1; k <= n && z0 < box.z1; k++) {
        const double z1 = k < n ? begin + length * (double)k / (double)n : box.z1;
        SW_TRY(fill_window(work, i++, z0, z1, from, box.r1));
        z0 = z1;
    }
    sw_work_find_box(work);
    return SW_OK;
}

static enum sw_status fill_rod(struct sw_work *work, double z0, double z1, double r, double front)
{
    struct sw_region *rod = NULL;
    SW_TRY(sw_region_from_box(&rod, work->kernel, (struct sw_box){z0, 0, z1, r}));
    const enum sw_status status = sw_work_fill(work, rod, rod, front);
    sw_region_free(rod);
    return status;
}

static enum sw_status fill_piece(struct sw_work *work, const struct sw_region *least,
                                 const struct sw_region *most, int sign, double shift, double front)
{
    struct sw_region *placed[2] = {NULL, NULL};
    enum sw_status status = sw_region_place(&placed[0], least, sign, shift);
    if (status == SW_OK)
        status = sw_region_place(&placed[1], most, sign, shift);
    if (status == SW_OK)
        status = sw_work_fill(work, placed[0], placed[1], front);
    sw_region_free(placed[0]);
    sw_region_free(placed[1]);
    return status;
}

enum sw_status sw_work_region(struct sw_region **out, struct sw_work *work,
                              enum sw_work_which which)
{
    struct sw_region *whole = NULL;
    SW_TRY(sw_region_from_hull(&whole, work->kernel, NULL, 0));
    for (size_t i = 0; i < work->n; i++) {
        struct sw_region *joined = NULL;
        const enum sw_status status =
            sw_region_either(&joined, whole, work->window[i].region[which]);
        sw_region_free(whole);
        if (status != SW_OK)
            return status;
        whole = joined;
    }
    *out = whole;
    return SW_OK;
}

enum sw_status sw_region_beyond(struct sw_region **out, struct sw_kernel *kernel,
                                const struct sw_region *region, double z)
{
    const struct sw_box box = sw_region_box(region);
    struct sw_region *strip = NULL;
    SW_TRY(sw_region_from_box(&strip, kernel,
                              (struct sw_box){z, -1, fmax(box.z1, z) + 1, box.r1 + 1}));
    const enum sw_status status = sw_region_both(out, region, strip);
    sw_region_free(strip);
    return status;
}

static enum sw_status beyond(struct sw_region **out, struct sw_work *work,
                             const struct sw_region *region, double z)
{
    return sw_region_beyond(out, work->kernel, region, z);
}

static struct sw_box box_of(const struct sw_work *work)
{
    return work->box;
}

static double distance(const struct sw_work *work, const struct sw_outline *outline_in,
                       struct sw_pt at)
{
    double nearest = HUGE_VAL;
    for (size_t i = 0; i < work->n; i++) {
        const struct sw_region *region = work->window[i].region[SW_WORK_MOST];
        if (sw_region_is_empty(region))
            continue;
        struct sw_box box = sw_region_box(region);
        /* the box in the outline's own frame; mirrored at the axis, the work goes all round */
        box.r0 = -box.r1;
        box = (struct sw_box){box.z0 - at.z, box.r0 - at.r, box.z1 - at.z, box.r1 - at.r};
        nearest = fmin(nearest, sw_convex_box_distance(&outline_in->outer, box));
    }
    return nearest;
}

static bool r_range(double *low, double *high, const struct sw_work *work, double z)
{
    for (size_t i = 0; i < work->n; i++) {
        const struct sw_window *window = &work->window[i];
        if (z >= window->z0 && z <= window->z1 &&
            sw_region_r_range(low, high, window->region[SW_WORK_MOST], z))
            return true;
    }
    return false;
}

static const struct sw_cut_profile *profile(const struct sw_work *work)
{
    return &work->profile;
}

static enum sw_status silhouette(struct sw_silhouette *out, struct sw_work *work,
                                 enum sw_work_which which, double z)
{
    out->n = 0;
    for (size_t i = 0; i < work->n; i++) {
        struct sw_window *window = &work->window[i];
        if (window->z1 <= z)
            continue;
        struct sw_silhouette *own = &window->outer[which];
        if (!window->knows_outer[which]) {
            own->n = 0;
            if (!sw_silhouette_add_rings(own, window->corner[which], window->n_corners[which],
                                         window->z0, window->z1))
                return SW_MEMORY;
            window->knows_outer[which] = true;
        }
        for (size_t k = 0; k < own->n; k++)
            if (own->at[k].z1 > z && !sw_silhouette_push(out, own->at[k]))
                return SW_MEMORY;
    }
    return SW_OK;
}

enum sw_status sw_region_volume(double *out, const struct sw_region *region, struct sw_ctx *ctx)
{
    static const double pi = 3.14159265358979323846;
    struct sw_rings rings = {0};
    SW_TRY(sw_region_rings(&rings, region, ctx));
    double volume = 0;
    for (size_t i = 0; i < rings.n; i++) {
        const struct sw_ring *ring = &rings.at[i];
        double sum = 0; /* Pappus on each edge: integral of r over the area, times 6 */
        for (size_t k = 0; k + 1 < ring->n; k++) {
            const struct sw_pt a = ring->at[k], b = ring->at[k + 1];
            sum += (a.z - b.z) * (a.r * a.r + a.r * b.r + b.r * b.r);
        }
        volume += (ring->is_hole ? -1 : 1) * fabs(sum) / 6 * 2 * pi;
    }
    *out = volume;
    return SW_OK;
}

const struct sw_work_class sw_work_regions = {
    .name = "regions",
    .resolution = resolution,
    .make = make,
    .free = free_work,
    .outline = outline,
    .fill_rod = fill_rod,
    .fill_piece = fill_piece,
    .remove = sw_work_remove,
    .touches = sw_work_touches,
    .touches_loose = sw_work_touches_loose,
    .loosen = sw_work_loosen,
    .region = sw_work_region,
    .beyond = beyond,
    .box = box_of,
    .distance = distance,
    .profile = profile,
    .silhouette = silhouette,
    .r_range = r_range,
};
