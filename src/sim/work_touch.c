/* The region kernel: contacts, and pieces that come loose. */
#include <math.h>

#include "sim/work_int.h"

/* Does the swept polygon overlap a region? PLACE gets the middle of the overlap's box. */
static enum sw_status meets(bool *out, struct sw_pt *place, struct sw_work *work,
                            const struct sw_convex *part, const struct sw_region *region)
{
    struct sw_region *tool = NULL, *common = NULL;
    *out = false;
    SW_TRY(sw_region_from_hull(&tool, work->kernel, part->at, part->n));
    const enum sw_status status = sw_region_both(&common, region, tool);
    sw_region_free(tool);
    SW_TRY(status);
    if (!sw_region_is_empty(common)) {
        const struct sw_box box = sw_region_box(common);
        *out = true;
        if (place != NULL)
            *place = (struct sw_pt){(box.z0 + box.z1) / 2, (box.r0 + box.r1) / 2};
    }
    sw_region_free(common);
    return SW_OK;
}

/* The half plane is one of all the half planes through the axis: what reaches below r = 0 stands
 * in the work's far half. Turn the points over the axis, keeping the sense. */
static void mirror(struct sw_convex *polygon)
{
    for (size_t i = 0, k = polygon->n; i < k--; i++) {
        const struct sw_pt a = polygon->at[i], b = polygon->at[k];
        polygon->at[i] = (struct sw_pt){b.z, -b.r};
        polygon->at[k] = (struct sw_pt){a.z, -a.r};
    }
}

/* Try one convex sweep against the work, or against a loose piece. */
static enum sw_status meets_any(bool *out, struct sw_pt *place, struct sw_work *work,
                                const struct sw_work_scratch *scratch,
                                const struct sw_convex *swept, const struct sw_loose *piece)
{
    const struct sw_box box = sw_convex_box(swept);
    if (piece != NULL) {
        const struct sw_convex part = sw_work_clip(scratch, swept, box, piece->box);
        return part.n == 0 ? SW_OK : meets(out, place, work, &part, piece->most);
    }
    for (size_t i = 0; i < work->n && !*out; i++) {
        const struct sw_window *window = &work->window[i];
        if (box.z1 <= window->z0 || box.z0 >= window->z1)
            continue;
        const struct sw_convex part = sw_work_reach(scratch, swept, box, window, SW_WORK_MOST);
        if (part.n > 0)
            SW_TRY(meets(out, place, work, &part, window->region[SW_WORK_MOST]));
    }
    return SW_OK;
}

static enum sw_status meets_along(bool *out, struct sw_pt *place, struct sw_work *work,
                                  const struct sw_outline *outline, const struct sw_sweep *sweep,
                                  const struct sw_loose *piece, struct sw_arena *arena)
{
    struct sw_work_scratch scratch;
    if (!sw_work_scratch_init(&scratch, sw_convex_sweep_room(&outline->touch), arena))
        return SW_MEMORY;
    const size_t n_chords = sw_sweep_n_chords(sweep, SW_WORK_TOUCH_SAGITTA);
    for (size_t i = 0; i < n_chords && !*out; i++) {
        struct sw_convex swept =
            sw_convex_sweep(scratch.sweep, &outline->touch, sw_sweep_at(sweep, i, n_chords),
                            sw_sweep_at(sweep, i + 1, n_chords));
        SW_TRY(meets_any(out, place, work, &scratch, &swept, piece));
        if (*out || sw_convex_box(&swept).r0 >= 0)
            continue;
        mirror(&swept);
        SW_TRY(meets_any(out, place, work, &scratch, &swept, piece));
    }
    return SW_OK;
}

static enum sw_status touches(bool *out, struct sw_pt *place, struct sw_work *work,
                              const struct sw_outline *outline, const struct sw_sweep *sweep,
                              const struct sw_loose *piece)
{
    struct sw_arena *arena = sw_arena_new();
    if (arena == NULL)
        return SW_MEMORY;
    const enum sw_status status = meets_along(out, place, work, outline, sweep, piece, arena);
    sw_arena_free(arena);
    return status;
}

enum sw_status sw_work_touches(bool *out, struct sw_pt *place, struct sw_work *work,
                               const struct sw_outline *outline, const struct sw_sweep *sweep)
{
    *out = false;
    if (outline->touch.n == 0 || sw_work_is_far(work, sweep, &outline->touch))
        return SW_OK;
    return touches(out, place, work, outline, sweep, NULL);
}

enum sw_status sw_work_touches_loose(bool *out, struct sw_work *work, const struct sw_loose *piece,
                                     const struct sw_outline *outline, const struct sw_sweep *sweep)
{
    *out = false;
    struct sw_box all_round = piece->box;
    all_round.r0 = -all_round.r1;
    if (outline->touch.n == 0 ||
        !sw_box_overlaps(all_round, sw_work_path_box(sweep, &outline->touch)))
        return SW_OK;
    return touches(out, NULL, work, outline, sweep, piece);
}

/* Surely in one piece? True when every window holds one piece and neighbours meet at the border;
 * false only asks for the slow look. */
static bool is_surely_whole(const struct sw_work *work)
{
    size_t last = work->n;
    while (last > 0 && sw_region_is_empty(work->window[last - 1].region[SW_WORK_MOST]))
        last--;
    for (size_t i = 0; i < last; i++) {
        if (work->window[i].n_pieces != 1)
            return false;
        double low[2], high[2];
        if (i > 0 &&
            (!sw_region_r_range(&low[0], &high[0], work->window[i - 1].region[SW_WORK_MOST],
                                work->window[i].z0) ||
             !sw_region_r_range(&low[1], &high[1], work->window[i].region[SW_WORK_MOST],
                                work->window[i].z0) ||
             low[0] > SW_WORK_AT_AXIS || low[1] > SW_WORK_AT_AXIS))
            return false;
    }
    return true;
}

/* Keep of every window what lies in HELD. */
static enum sw_status keep_held(struct sw_work *work, const struct sw_region *held)
{
    for (size_t i = 0; i < work->n; i++)
        for (enum sw_work_which which = 0; which < 2; which++) {
            struct sw_region *kept = NULL;
            SW_TRY(sw_region_both(&kept, work->window[i].region[which], held));
            SW_TRY(sw_window_set(&work->window[i], which, kept));
        }
    sw_work_find_box(work);
    return SW_OK;
}

static enum sw_status add_loose(struct sw_loose *out, struct sw_work *work,
                                const struct sw_region *least, struct sw_region *most)
{
    struct sw_loose_own own = {NULL, most};
    SW_TRY(sw_region_both(&own.least, least, most));
    if (!SW_VEC_PUSH(work->ctx->arena, &work->loose, own)) {
        sw_region_free(own.least);
        return SW_MEMORY;
    }
    *out = (struct sw_loose){own.least, most, sw_region_box(most), 0};
    /* from here the work owns both, so a failing volume leaks nothing */
    return sw_region_volume(&out->volume, most, work->ctx);
}

struct sorting {
    struct sw_region *least, *most, *held;
    struct sw_loose *loose;
    size_t n_loose;
};

static enum sw_status join_held(struct sorting *s, struct sw_region *piece)
{
    struct sw_region *joined = NULL;
    const enum sw_status status = sw_region_either(&joined, s->held, piece);
    sw_region_free(piece);
    SW_TRY(status);
    sw_region_free(s->held);
    s->held = joined;
    return SW_OK;
}

static enum sw_status sort_pieces(struct sorting *s, struct sw_work *work, double held_z)
{
    SW_TRY(sw_work_region(&s->most, work, SW_WORK_MOST));
    const size_t n = sw_region_n_pieces(s->most);
    if (n <= 1 && sw_region_box(s->most).z0 < held_z)
        return SW_OK;
    SW_TRY(sw_work_region(&s->least, work, SW_WORK_LEAST));
    SW_TRY(sw_region_from_hull(&s->held, work->kernel, NULL, 0));
    s->loose = SW_NEW(work->ctx->arena, struct sw_loose, n);
    if (s->loose == NULL)
        return SW_MEMORY;
    for (size_t i = 0; i < n; i++) {
        struct sw_region *piece = NULL;
        SW_TRY(sw_region_piece(&piece, s->most, i));
        if (sw_region_box(piece).z0 < held_z) {
            SW_TRY(join_held(s, piece));
            continue;
        }
        const size_t n_before = work->loose.n;
        const enum sw_status status = add_loose(&s->loose[s->n_loose], work, s->least, piece);
        if (status != SW_OK && work->loose.n == n_before)
            sw_region_free(piece);
        SW_TRY(status);
        s->n_loose++;
    }
    return s->n_loose > 0 ? keep_held(work, s->held) : SW_OK;
}

enum sw_status sw_work_loosen(struct sw_loose **out, size_t *n, struct sw_work *work, double held_z)
{
    *out = NULL;
    *n = 0;
    if (work->n == 0 || (is_surely_whole(work) && work->box.z0 < held_z))
        return SW_OK;
    struct sorting s = {0};
    const enum sw_status status = sort_pieces(&s, work, held_z);
    sw_region_free(s.least);
    sw_region_free(s.most);
    sw_region_free(s.held);
    if (status == SW_OK) {
        *out = s.loose;
        *n = s.n_loose;
    }
    return status;
}
