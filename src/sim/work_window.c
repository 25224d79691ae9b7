/* The region kernel: one window, and whether a sweep can reach into it at all. */
#include <math.h>
#include <string.h>

#include "sim/work_int.h"

/* A box is grown by this [mm] before a sweep is clipped to it, so that clipping never makes an
 * edge that coincides with one of the work. */
#define CLIP_MARGIN 0.0137

static enum sw_status keep_corners(struct sw_window *window, enum sw_work_which which,
                                   struct sw_ctx *scratch)
{
    struct sw_rings rings = {0};
    SW_TRY(sw_region_rings(&rings, window->region[which], scratch));
    size_t n = 0;
    for (size_t i = 0; i < rings.n; i++)
        n += rings.at[i].n;
    if (n > window->corner_room[which]) {
        const size_t size = sizeof *window->corner[which], room = 2 * n;
        struct sw_pt *more =
            sw_mem_resize(window->corner[which], window->corner_room[which] * size, room * size);
        if (more == NULL)
            return SW_MEMORY;
        window->corner[which] = more;
        window->corner_room[which] = room;
    }
    window->n_corners[which] = n;
    struct sw_pt *to = window->corner[which];
    for (size_t i = 0; i < rings.n; i++) {
        memcpy(to, rings.at[i].at, rings.at[i].n * sizeof *to);
        to += rings.at[i].n;
    }
    return SW_OK;
}

enum sw_status sw_window_set(struct sw_window *window, enum sw_work_which which,
                             struct sw_region *region)
{
    sw_region_free(window->region[which]);
    window->region[which] = region;
    window->area[which] = sw_region_area(region);
    window->knows_outer[which] = false;
    if (which == SW_WORK_MOST)
        window->n_pieces = sw_region_n_pieces(region);
    struct sw_ctx scratch = {sw_arena_new(), NULL};
    if (scratch.arena == NULL)
        return SW_MEMORY;
    const enum sw_status status = keep_corners(window, which, &scratch);
    sw_arena_free(scratch.arena);
    return status;
}

bool sw_work_scratch_init(struct sw_work_scratch *scratch, size_t n_corners, struct sw_arena *arena)
{
    /* each of the four sides of a box adds a corner at most; twice that, to be at ease */
    const size_t room = n_corners + 8;
    scratch->sweep = SW_NEW(arena, struct sw_pt, n_corners);
    scratch->clip = SW_NEW(arena, struct sw_pt, room);
    scratch->spare = SW_NEW(arena, struct sw_pt, room);
    return scratch->sweep != NULL && scratch->clip != NULL && scratch->spare != NULL;
}

struct sw_convex sw_work_clip(const struct sw_work_scratch *scratch, const struct sw_convex *swept,
                              struct sw_box swept_box, struct sw_box box)
{
    const struct sw_convex nothing = {NULL, 0};
    if (!sw_box_overlaps(box, swept_box))
        return nothing;
    const struct sw_convex part =
        sw_convex_clip(scratch->clip, scratch->spare, swept, sw_box_grow(box, CLIP_MARGIN));
    if (part.n < 3 || !sw_box_overlaps(box, sw_convex_box(&part)))
        return nothing;
    return part;
}

/* Does the segment from A to B pass through the inside of a convex polygon? Cyrus and Beck, 1978:
 * the part of it that is inside all edges. */
static bool passes_inside(const struct sw_convex *polygon, struct sw_pt a, struct sw_pt b)
{
    double t0 = 0, t1 = 1;
    for (size_t i = 0; i < polygon->n; i++) {
        const struct sw_pt p = polygon->at[i], q = polygon->at[i + 1 < polygon->n ? i + 1 : 0];
        const double da = (q.z - p.z) * (a.r - p.r) - (q.r - p.r) * (a.z - p.z);
        const double db = (q.z - p.z) * (b.r - p.r) - (q.r - p.r) * (b.z - p.z);
        if (da <= 0 && db <= 0)
            return false;
        if (da < 0)
            t0 = fmax(t0, da / (da - db));
        else if (db < 0)
            t1 = fmin(t1, da / (da - db));
        if (t0 >= t1)
            return false;
    }
    return true;
}

/* Is P inside the region whose rings' corners are given? Crossings of the ray to +r; rings are
 * closed, so the joint between two rings is no edge. */
static bool is_inside(const struct sw_pt *corner, size_t n, struct sw_pt p)
{
    bool inside = false;
    for (size_t i = 0, first = 0; i + 1 < n; i++) {
        const struct sw_pt a = corner[i], b = corner[i + 1];
        const bool is_ring_end = i > first && a.z == corner[first].z && a.r == corner[first].r;
        if (is_ring_end) {
            first = i + 1;
            continue;
        }
        if ((a.z > p.z) != (b.z > p.z) && p.r < a.r + (p.z - a.z) / (b.z - a.z) * (b.r - a.r))
            inside = !inside;
    }
    return inside;
}

/* No edge passes through the sweep: then it is wholly inside or wholly outside. */
static bool may_overlap(const struct sw_convex *part, const struct sw_pt *corner, size_t n)
{
    for (size_t i = 0, first = 0; i + 1 < n; i++) {
        const struct sw_pt a = corner[i], b = corner[i + 1];
        const bool is_ring_end = i > first && a.z == corner[first].z && a.r == corner[first].r;
        if (is_ring_end) {
            first = i + 1;
            continue;
        }
        if (passes_inside(part, a, b))
            return true;
    }
    struct sw_pt middle = {0, 0};
    for (size_t i = 0; i < part->n; i++) {
        middle.z += part->at[i].z / (double)part->n;
        middle.r += part->at[i].r / (double)part->n;
    }
    return is_inside(corner, n, middle);
}

struct sw_convex sw_work_reach(const struct sw_work_scratch *scratch, const struct sw_convex *swept,
                               struct sw_box swept_box, const struct sw_window *window,
                               enum sw_work_which which)
{
    const struct sw_convex nothing = {NULL, 0};
    const struct sw_region *region = window->region[which];
    if (sw_region_is_empty(region))
        return nothing;
    const struct sw_convex part = sw_work_clip(scratch, swept, swept_box, sw_region_box(region));
    if (part.n == 0 || !may_overlap(&part, window->corner[which], window->n_corners[which]))
        return nothing;
    return part;
}

struct sw_box sw_work_path_box(const struct sw_sweep *sweep, const struct sw_convex *tool)
{
    const struct sw_box path = sw_sweep_box(sweep), own = sw_convex_box(tool);
    return sw_box_grow(
        (struct sw_box){path.z0 + own.z0, path.r0 + own.r0, path.z1 + own.z1, path.r1 + own.r1},
        SW_WORK_TOUCH);
}

bool sw_work_is_far(const struct sw_work *work, const struct sw_sweep *sweep,
                    const struct sw_convex *tool)
{
    struct sw_box all_round = work->box;
    all_round.r0 = -all_round.r1;
    return work->n == 0 || !sw_box_overlaps(all_round, sw_work_path_box(sweep, tool));
}
