/* The region kernel: cutting. */
#include <math.h>

#include "sim/arc_sweep.h"
#include "sim/work_int.h"

/* No piece of an arc is swept over more than this [rad]: a right angle, so that its sides stay
 * simple. */
#define MOST_TURN 1.5707963267948966

/* A removed region that fills this share of its spread along and across the move is a plain cut;
 * the round end of a pass and its slopes make up the rest. */
#define FILLED 0.8

/* Places in the frame of the move: `across` along the normal of a line or from the centre of an
 * arc, `along` the other way [mm]. */
struct spread {
    double low, high; /* across */
    double back, front;
};

/* The tool of one move, `least` and `most`, with room for its sweeps. */
struct cutter {
    struct sw_convex tool[2]; /* by enum sw_work_which */
    struct sw_work *work;
    struct sw_work_scratch scratch;
    struct sw_pt *sweep; /* of an arc */
    size_t *index;
    const struct sw_sweep *move;
    struct sw_pt direction;        /* of a line */
    const struct sw_convex *touch; /* the tool for contacts */
    struct sw_ctx ctx;             /* memory of this move */
    struct sw_removed *removed;
    struct spread spread; /* of what was removed */
    double thickest;      /* across a move along the axis, at its deepest place */
    struct sw_cut_edges edges;
};

/* What was swept at once: a convex hull, and for an arc the polygon itself as a region. */
struct swept {
    struct sw_convex hull;
    struct sw_box box;
    struct sw_region *exact; /* NULL: the hull is it */
};

static enum sw_status init_cutter(struct cutter *cutter, const struct sw_outline *outline,
                                  const struct sw_sweep *sweep)
{
    struct sw_arena *arena = cutter->ctx.arena;
    cutter->tool[SW_WORK_LEAST] = outline->outer;
    cutter->tool[SW_WORK_MOST] = outline->inner;
    if (sweep->is_arc) {
        const double half_band = fabs(sweep->radius_from - sweep->radius_to) / 2;
        cutter->tool[SW_WORK_LEAST] = outline->arc_outer;
        cutter->tool[SW_WORK_MOST] = outline->arc_inner;
        if (half_band > SW_TOL_POINT &&
            (!sw_convex_shift(&cutter->tool[SW_WORK_LEAST], &outline->outer,
                              SW_WORK_GROWTH + half_band, arena) ||
             !sw_convex_shift(&cutter->tool[SW_WORK_MOST], &outline->inner,
                              -SW_WORK_SAGITTA - half_band, arena)))
            return SW_MEMORY;
    }
    return SW_OK;
}

static const struct spread no_spread = {HUGE_VAL, -HUGE_VAL, HUGE_VAL, -HUGE_VAL};

/* Unit direction of a line; along z for a move without length. */
static struct sw_pt direction_of(const struct sw_sweep *move)
{
    const double length = sw_pt_distance(move->from, move->to);
    if (move->is_arc || !(length > 0))
        return (struct sw_pt){1, 0};
    return (struct sw_pt){(move->to.z - move->from.z) / length,
                          (move->to.r - move->from.r) / length};
}

static void spread_over(struct spread *spread, const struct cutter *cutter, struct sw_pt p)
{
    const struct sw_pt u = cutter->direction;
    double across = u.r * p.z - u.z * p.r, along = u.z * p.z + u.r * p.r;
    if (cutter->move->is_arc) {
        const double z = p.z - cutter->move->centre.z, r = p.r - cutter->move->centre.r;
        across = sqrt(z * z + r * r);
        along = across * atan2(r, z);
    }
    spread->low = fmin(spread->low, across);
    spread->high = fmax(spread->high, across);
    spread->back = fmin(spread->back, along);
    spread->front = fmax(spread->front, along);
}

static void spread_of_rings(struct spread *spread, const struct cutter *cutter,
                            const struct sw_rings *rings)
{
    for (size_t i = 0; i < rings->n; i++)
        for (size_t k = 0; k < rings->at[i].n; k++)
            spread_over(spread, cutter, rings->at[i].at[k]);
}

static enum sw_status spread_of(struct spread *spread, struct cutter *cutter,
                                const struct sw_region *region)
{
    struct sw_rings rings = {0};
    SW_TRY(sw_region_rings(&rings, region, &cutter->ctx));
    spread_of_rings(spread, cutter, &rings);
    return SW_OK;
}

/* The spread of what a tool thinner by SW_WORK_TOUCH would have removed. */
static enum sw_status spread_without_slivers(struct spread *spread, struct cutter *cutter,
                                             const struct sw_region *removed)
{
    const struct sw_convex *tool = cutter->touch;
    const size_t n = sw_sweep_n_chords(cutter->move, SW_WORK_TOUCH);
    struct sw_work_scratch scratch;
    if (!sw_work_scratch_init(&scratch, sw_convex_sweep_room(tool), cutter->ctx.arena))
        return SW_MEMORY;
    for (size_t i = 0; i < n && tool->n > 0; i++) {
        const struct sw_convex swept =
            sw_convex_sweep(scratch.sweep, tool, sw_sweep_at(cutter->move, i, n),
                            sw_sweep_at(cutter->move, i + 1, n));
        const struct sw_convex part =
            sw_work_clip(&scratch, &swept, sw_convex_box(&swept), sw_region_box(removed));
        if (part.n == 0)
            continue;
        struct sw_region *thin = NULL, *common = NULL;
        SW_TRY(sw_region_from_hull(&thin, cutter->work->kernel, part.at, part.n));
        enum sw_status status = sw_region_both(&common, removed, thin);
        sw_region_free(thin);
        SW_TRY(status);
        status = spread_of(spread, cutter, common);
        sw_region_free(common);
        SW_TRY(status);
    }
    return SW_OK;
}

/* A move along the axis: windows lie one behind the other on its way, so that the deepest place in
 * any of them counts. */
static bool goes_along_axis(const struct cutter *cutter)
{
    return !cutter->move->is_arc && fabs(cutter->direction.z) > fabs(cutter->direction.r);
}

/* Length inside the rings of the line square to the move at ALONG. */
static double thickness_at(const struct sw_rings *rings, struct sw_pt u, double along)
{
    double inside = 0;
    for (size_t i = 0; i < rings->n; i++)
        for (size_t k = 0; k + 1 < rings->at[i].n; k++) {
            const struct sw_pt a = rings->at[i].at[k], b = rings->at[i].at[k + 1];
            const double ta = u.z * a.z + u.r * a.r, tb = u.z * b.z + u.r * b.r;
            if ((ta > along) == (tb > along))
                continue;
            /* Each crossing adds or takes its place across, by the side it crosses from. */
            const double t = (along - ta) / (tb - ta);
            const double across = (u.r * a.z - u.z * a.r) * (1 - t) + (u.r * b.z - u.z * b.r) * t;
            inside += tb > ta ? across : -across;
        }
    return fabs(inside);
}

/* Deepest place of a removed region along a straight move. Rings have their corners where the
 * thickness has its kinks; between two neighbours it is straight. */
static enum sw_status deepest(double *depth, struct cutter *cutter, const struct sw_region *removed)
{
    struct sw_rings rings = {0};
    const struct sw_pt u = cutter->direction;
    SW_TRY(sw_region_rings(&rings, removed, &cutter->ctx));
    for (size_t i = 0; i < rings.n; i++)
        for (size_t k = 0; k + 1 < rings.at[i].n; k++) {
            const struct sw_pt p = rings.at[i].at[k];
            const double along = u.z * p.z + u.r * p.r;
            for (int side = -1; side <= 1; side += 2)
                *depth = fmax(*depth, thickness_at(&rings, u, along + side * SW_TOL_SLIVER));
        }
    return SW_OK;
}

/* How deep was it? A flank that grazes a wall takes slivers off it, far up: when the removed region
 * fills little of its own spread, they are left out. */
static enum sw_status widen(struct cutter *cutter, const struct sw_region *removed, double area)
{
    struct spread spread = no_spread;
    struct sw_rings rings = {0};
    SW_TRY(sw_region_rings(&rings, removed, &cutter->ctx));
    SW_TRY(sw_cut_edges_add(&cutter->edges, &rings, &cutter->ctx));
    spread_of_rings(&spread, cutter, &rings);
    const double filled = area / ((spread.high - spread.low) * (spread.front - spread.back));
    if (spread.high - spread.low > SW_WORK_TOUCH && filled < FILLED) {
        spread = no_spread;
        SW_TRY(spread_without_slivers(&spread, cutter, removed));
        spread.high += SW_WORK_TOUCH; /* what the thinner tool left below */
    }
    double thick = spread.high - spread.low;
    if (goes_along_axis(cutter) && filled < 1 - SW_TOL_SLIVER) {
        thick = 0;
        SW_TRY(deepest(&thick, cutter, removed));
    }
    cutter->thickest = fmax(cutter->thickest, thick);
    struct spread *all = &cutter->spread;
    all->low = fmin(all->low, spread.low);
    all->high = fmax(all->high, spread.high);
    all->back = fmin(all->back, spread.back);
    all->front = fmax(all->front, spread.front);
    return SW_OK;
}

static enum sw_status take_from(struct sw_window *window, enum sw_work_which which,
                                const struct sw_region *tool)
{
    struct sw_region *left = NULL;
    SW_TRY(sw_region_minus(&left, window->region[which], tool));
    return sw_window_set(window, which, left);
}

static enum sw_status remove_most(struct cutter *cutter, struct sw_window *window,
                                  const struct sw_region *tool)
{
    struct sw_removed *out = cutter->removed;
    struct sw_region *removed = NULL;
    SW_TRY(sw_region_both(&removed, window->region[SW_WORK_MOST], tool));
    enum sw_status status = SW_OK;
    const double area = sw_region_area(removed);
    if (area > 0) {
        const struct sw_box box = sw_region_box(removed);
        const size_t n_before = window->n_pieces;
        out->box = out->area_most > 0 ? sw_box_join(out->box, box) : box;
        out->area_most += area;
        status = widen(cutter, removed, area);
        if (status == SW_OK)
            status = take_from(window, SW_WORK_MOST, tool);
        if (box.r0 < SW_WORK_AT_AXIS || window->n_pieces > n_before)
            out->may_part = true;
    }
    sw_region_free(removed);
    return status;
}

static enum sw_status remove_least(struct cutter *cutter, struct sw_window *window,
                                   const struct sw_region *tool)
{
    const double before = window->area[SW_WORK_LEAST];
    SW_TRY(take_from(window, SW_WORK_LEAST, tool));
    cutter->removed->area_least += before - window->area[SW_WORK_LEAST];
    return SW_OK;
}

static enum sw_status take_swept(struct cutter *cutter, enum sw_work_which which,
                                 const struct swept *swept)
{
    struct sw_work *work = cutter->work;
    for (size_t i = 0; i < work->n; i++) {
        struct sw_window *window = &work->window[i];
        if (swept->box.z1 <= window->z0 || swept->box.z0 >= window->z1)
            continue;
        const struct sw_convex part =
            sw_work_reach(&cutter->scratch, &swept->hull, swept->box, window, which);
        if (part.n == 0)
            continue;
        struct sw_region *own = NULL;
        if (swept->exact == NULL)
            SW_TRY(sw_region_from_hull(&own, work->kernel, part.at, part.n));
        const struct sw_region *tool = own != NULL ? own : swept->exact;
        const enum sw_status status = which == SW_WORK_MOST ? remove_most(cutter, window, tool)
                                                            : remove_least(cutter, window, tool);
        sw_region_free(own);
        SW_TRY(status);
    }
    return SW_OK;
}

static enum sw_status take_chord(struct cutter *cutter, enum sw_work_which which, struct sw_pt a,
                                 struct sw_pt b)
{
    struct swept swept = {.hull =
                              sw_convex_sweep(cutter->scratch.sweep, &cutter->tool[which], a, b)};
    swept.box = sw_convex_box(&swept.hull);
    return take_swept(cutter, which, &swept);
}

/* Does anything of the work come near the box of these positions? */
static bool is_near(const struct cutter *cutter, enum sw_work_which which, const struct sw_pt *q,
                    size_t n_chords)
{
    struct sw_box box = {q[0].z, q[0].r, q[0].z, q[0].r};
    for (size_t i = 1; i <= n_chords; i++)
        box = sw_box_join(box, (struct sw_box){q[i].z, q[i].r, q[i].z, q[i].r});
    const struct sw_box own = sw_convex_box(&cutter->tool[which]);
    box = (struct sw_box){box.z0 + own.z0, box.r0 + own.r0, box.z1 + own.z1, box.r1 + own.r1};
    return sw_box_overlaps(cutter->work->box, box);
}

static enum sw_status take_polygon(struct cutter *cutter, enum sw_work_which which, size_t n)
{
    struct swept swept = {{NULL, 0}, {0, 0, 0, 0}, NULL};
    if (!sw_convex_hull(&swept.hull, cutter->sweep, n, cutter->ctx.arena))
        return SW_MEMORY;
    swept.box = sw_convex_box(&swept.hull);
    SW_TRY(sw_region_from_points(&swept.exact, cutter->work->kernel, cutter->sweep, n));
    const enum sw_status status = take_swept(cutter, which, &swept);
    sw_region_free(swept.exact);
    return status;
}

/* Positions Q[0..N] turn to the left by at most a right angle. What cannot be swept at once is
 * halved; DEPTH ends at single chords. */
static enum sw_status take_arc(struct cutter *cutter, enum sw_work_which which,
                               const struct sw_pt *q, size_t n_chords)
{
    if (!is_near(cutter, which, q, n_chords))
        return SW_OK;
    if (n_chords == 1)
        return take_chord(cutter, which, q[0], q[1]);
    size_t n = 0;
    if (sw_arc_sweep(cutter->sweep, &n, &cutter->tool[which], q, n_chords, SW_WORK_SAGITTA,
                     cutter->index) != SW_ARC_UNCLEAR)
        return take_polygon(cutter, which, n);
    SW_TRY(take_arc(cutter, which, q, n_chords / 2));
    return take_arc(cutter, which, q + n_chords / 2, n_chords - n_chords / 2);
}

static const struct sw_convex *wider_tool(const struct cutter *cutter)
{
    return &cutter->tool[cutter->tool[1].n > cutter->tool[0].n];
}

static enum sw_status remove_arc(struct cutter *cutter, const struct sw_sweep *sweep)
{
    const size_t n_chords = sw_sweep_n_chords(sweep, SW_WORK_SAGITTA);
    const double turn = fabs(sw_sweep_angle(sweep));
    const double pieces = ceil(turn / MOST_TURN);
    const size_t n_pieces = pieces > 1 ? (size_t)pieces : 1;
    struct sw_pt *q = SW_NEW(cutter->ctx.arena, struct sw_pt, n_chords + 1);
    const size_t room = sw_arc_sweep_room(wider_tool(cutter), n_chords);
    cutter->sweep = SW_NEW(cutter->ctx.arena, struct sw_pt, room);
    cutter->index = SW_NEW(cutter->ctx.arena, size_t, 2 * n_chords);
    if (q == NULL || cutter->sweep == NULL || cutter->index == NULL ||
        !sw_work_scratch_init(&cutter->scratch, room, cutter->ctx.arena))
        return SW_MEMORY;
    /* an arc to the right is the same places in the other order */
    for (size_t i = 0; i <= n_chords; i++)
        q[i] = sw_sweep_at(sweep, sweep->turn > 0 ? i : n_chords - i, n_chords);
    for (size_t i = 0; i < n_pieces; i++) {
        const size_t from = n_chords * i / n_pieces, to = n_chords * (i + 1) / n_pieces;
        for (enum sw_work_which which = 0; which < 2 && to > from; which++)
            if (cutter->tool[which].n > 0)
                SW_TRY(take_arc(cutter, which, q + from, to - from));
    }
    return SW_OK;
}

static enum sw_status remove_line(struct cutter *cutter, const struct sw_sweep *sweep)
{
    if (!sw_work_scratch_init(&cutter->scratch, sw_convex_sweep_room(wider_tool(cutter)),
                              cutter->ctx.arena))
        return SW_MEMORY;
    for (enum sw_work_which which = 0; which < 2; which++)
        if (cutter->tool[which].n > 0)
            SW_TRY(take_chord(cutter, which, sweep->from, sweep->to));
    return SW_OK;
}

static enum sw_status remove_along(struct cutter *cutter, const struct sw_outline *outline,
                                   const struct sw_sweep *sweep)
{
    SW_TRY(init_cutter(cutter, outline, sweep));
    SW_TRY(sweep->is_arc ? remove_arc(cutter, sweep) : remove_line(cutter, sweep));
    cutter->removed->depth = goes_along_axis(cutter)
                                 ? cutter->thickest
                                 : fmax(0, cutter->spread.high - cutter->spread.low);
    cutter->removed->along = fmax(0, cutter->spread.front - cutter->spread.back);
    sw_cut_profile_of(&cutter->work->profile, &cutter->edges);
    if (cutter->removed->area_most > 0)
        sw_work_find_box(cutter->work);
    return SW_OK;
}

enum sw_status sw_work_remove(struct sw_removed *out, struct sw_work *work,
                              const struct sw_outline *outline, const struct sw_sweep *sweep)
{
    *out = (struct sw_removed){0};
    work->profile.n = 0;
    if (sw_work_is_far(work, sweep, &outline->outer))
        return SW_OK;
    struct cutter cutter = {.work = work,
                            .move = sweep,
                            .direction = direction_of(sweep),
                            .touch = &outline->touch,
                            .ctx = {sw_arena_new(), work->ctx->diag},
                            .removed = out,
                            .spread = no_spread,
                            .edges = sw_cut_edges_begin(sweep)};
    if (cutter.ctx.arena == NULL)
        return SW_MEMORY;
    const enum sw_status status = remove_along(&cutter, outline, sweep);
    sw_arena_free(cutter.ctx.arena);
    return status;
}
