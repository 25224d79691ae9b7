/* The chain kernel: moves. */
#include "base/diag.h"
#include "sim/chain_int.h"

/* No piece of an arc is swept over more than this [rad]: a right angle. */
#define MOST_TURN 1.5707963267948966
#define HALF_PI 1.5707963267948966
/* What is on the mean thinner than this [mm] is rounding of coincident curves, not a cut. */
#define NOTHING (4 * SW_TOL_SNAP)
/* A removed region that fills this share of its spread along and across the move is a plain cut. */
#define FILLED 0.8
/* A move at least this much [mm] shorter than SW_WORK_TOUCH is short: room for cuts that were moved
 * by a hair. */
#define HAIR (4 * SW_CHAIN_MOST_NUDGE)
/* How often a contradicted cut is moved by a hair and done afresh, each time further. */
enum { MOST_NUDGES = 12 };

/* The straight or circular parts a move is swept in. */
struct parts {
    struct sw_chain_path path; /* the part at hand */
    size_t n;
    double begin, turn; /* arc to the left: angle of the first point, angle turned through */
    double radius;
    const struct sw_sweep *sweep;
};

static struct parts parts_of(const struct sw_sweep *sweep)
{
    struct parts parts = {.n = 1, .sweep = sweep};
    parts.path = (struct sw_chain_path){.from = sweep->from, .to = sweep->to};
    if (!sweep->is_arc)
        return parts;
    parts.radius = (sweep->radius_from + sweep->radius_to) / 2;
    if (!(parts.radius > SW_TOL_SNAP))
        return parts;
    parts.turn = fabs(sw_sweep_angle(sweep));
    const double at = atan2(sweep->from.r - sweep->centre.r, sweep->from.z - sweep->centre.z);
    /* an arc to the right covers the same places the other way round */
    parts.begin = sweep->turn > 0 ? at : at - parts.turn;
    const double pieces = ceil(parts.turn / MOST_TURN - SW_TOL_STRAIGHT);
    parts.n = pieces > 1 ? (size_t)pieces : 1;
    parts.path.is_arc = true;
    parts.path.centre = sweep->centre;
    parts.path.radius = parts.radius;
    return parts;
}

static struct sw_pt on_arc(const struct parts *parts, double angle, struct sw_pt end)
{
    const struct sw_pt c = parts->sweep->centre;
    const struct sw_pt p = {c.z + parts->radius * cos(angle), c.r + parts->radius * sin(angle)};
    return sw_chain_distance(p, end) <= SW_TOL_SNAP ? end : p;
}

static const struct sw_chain_path *part(struct parts *parts, size_t i)
{
    if (!parts->path.is_arc)
        return &parts->path;
    const bool is_left = parts->sweep->turn > 0;
    const struct sw_pt first = is_left ? parts->sweep->from : parts->sweep->to;
    const struct sw_pt last = is_left ? parts->sweep->to : parts->sweep->from;
    const double from = parts->begin + parts->turn * (double)i / (double)parts->n;
    const double to = parts->begin + parts->turn * (double)(i + 1) / (double)parts->n;
    parts->path.from = on_arc(parts, from, first);
    parts->path.to = on_arc(parts, to, last);
    parts->path.angle0 = from + HALF_PI;
    parts->path.angle1 = to + HALF_PI;
    return &parts->path;
}

static struct sw_box path_box(const struct sw_sweep *sweep, const struct sw_chain_tool *tool)
{
    const struct sw_box path = sw_sweep_box(sweep), own = tool->box;
    return (struct sw_box){path.z0 + own.z0, path.r0 + own.r0, path.z1 + own.z1, path.r1 + own.r1};
}

static struct sw_pt on_circle(const struct sw_chain_path *path, double angle)
{
    return (struct sw_pt){path->centre.z + path->radius * cos(angle),
                          path->centre.r + path->radius * sin(angle)};
}

static struct sw_chain_path nudged(const struct sw_chain_path *path, int by)
{
    /* directions a golden angle apart; each turn a little further */
    const double angle = 2.399963229728653 * by, length = SW_CHAIN_NUDGE * (1 + by) / 4;
    const double z = length * cos(angle), r = length * sin(angle);
    struct sw_chain_path moved = *path;
    moved.from = (struct sw_pt){path->from.z + z, path->from.r + r};
    moved.to = (struct sw_pt){path->to.z + z, path->to.r + r};
    moved.centre = (struct sw_pt){path->centre.z + z, path->centre.r + r};
    if (path->is_arc) {
        /* a little longer too: a border that touches itself must change, not only move */
        moved.angle0 -= length / path->radius;
        moved.angle1 += length / path->radius;
        moved.from = on_circle(&moved, moved.angle0 - HALF_PI);
        moved.to = on_circle(&moved, moved.angle1 - HALF_PI);
    }
    return moved;
}

static const struct sw_chain_outline *outline_of(const struct sw_outline *outline)
{
    return (const struct sw_chain_outline *)(const void *)outline;
}

static bool is_nothing(const struct sw_chain_taken *taken, double thin)
{
    return taken->area <= thin * (taken->box.z1 - taken->box.z0 + taken->box.r1 - taken->box.r0);
}

/* One cut: a body, a tool, a part of the path of a move. */
struct job {
    struct sw_chain *chain;
    struct sw_chain_body *body;
    const struct sw_chain_tool *tool;
    const struct sw_chain_tool *thin; /* for contacts; NULL: depth is not asked for */
    const struct sw_sweep *sweep;
    struct sw_chain_taken taken;
    struct sw_chain_spread spread; /* of all parts */
    double thickest, area;
    struct sw_box box;
    bool may_part;
    bool goes_on;  /* straight on from where the same outline stood */
    bool is_short; /* so, and by less than SW_WORK_TOUCH */
};

static enum sw_status find(const struct job *job, const struct sw_chain_tool *tool,
                           const struct sw_chain_path *path)
{
    struct sw_chain *chain = job->chain;
    if (!sw_chain_sweep(&chain->swept, tool, path, false, chain->arena) ||
        !sw_chain_cut_find(&chain->cut, job->body, &chain->swept))
        return SW_MEMORY;
    return SW_OK;
}

/* A flank that grazes a wall takes slivers off it, far up: when what is taken fills little of its
 * own spread, only what a tool thinner by SW_WORK_TOUCH would take counts. */
static bool has_slivers(const struct sw_chain_taken *taken)
{
    const struct sw_chain_spread *s = &taken->spread;
    const double across = s->high - s->low;
    return across > SW_WORK_TOUCH && taken->area < FILLED * across * (s->front - s->back);
}

static enum sw_status leave_slivers_out(struct job *job, const struct sw_chain_path *path)
{
    struct sw_chain *chain = job->chain;
    struct sw_chain_taken thin;
    if (job->is_short) { /* the thinner tool stays within what the last move has cleared */
        job->taken.spread = (struct sw_chain_spread){HUGE_VAL, -HUGE_VAL, HUGE_VAL, -HUGE_VAL};
        return SW_OK;
    }
    const bool has_memory =
        sw_chain_sweep(&chain->thin_swept, job->thin, path, false, chain->arena) &&
        sw_chain_cut_find_within(&chain->thin_cut, &chain->cut, &chain->thin_swept) &&
        sw_chain_cut_measure(&thin, &chain->thin_cut, &chain->removed);
    sw_chain_cut_done_within(&chain->thin_cut, &chain->cut);
    if (!has_memory)
        return SW_MEMORY;
    if (is_nothing(&thin, SW_TOL_SLIVER))
        thin.spread = (struct sw_chain_spread){HUGE_VAL, -HUGE_VAL, HUGE_VAL, -HUGE_VAL};
    thin.spread.high += SW_WORK_TOUCH; /* what the thinner tool left below */
    job->taken.spread = thin.spread;
    return SW_OK;
}

static void add_taken(struct job *job)
{
    const struct sw_chain_taken *taken = &job->taken;
    struct sw_chain_spread *all = &job->spread;
    const bool is_least = job->body == &job->chain->body[SW_WORK_LEAST];
    sw_chain_forget(job->chain, is_least || !job->chain->differs, !is_least || !job->chain->differs,
                    taken->box.z0, taken->box.z1);
    job->box = job->area > 0 ? sw_box_join(job->box, taken->box) : taken->box;
    job->area += taken->area;
    job->thickest = sw_chain_max(job->thickest, taken->thickest);
    all->low = sw_chain_min(all->low, taken->spread.low);
    all->high = sw_chain_max(all->high, taken->spread.high);
    all->back = sw_chain_min(all->back, taken->spread.back);
    all->front = sw_chain_max(all->front, taken->spread.front);
}

/* *IS_DONE is false when the answers contradicted each other and nothing was done. */
static enum sw_status try_once(bool *is_done, struct job *job, const struct sw_chain_path *path)
{
    struct sw_chain_cut *cut = &job->chain->cut;
    *is_done = true;
    SW_TRY(find(job, job->tool, path));
    if (!cut->takes) {
        sw_chain_cut_done(cut);
        return SW_OK;
    }
    bool has_memory = sw_chain_cut_measure(&job->taken, cut, &job->chain->removed);
    if (has_memory && is_nothing(&job->taken, NOTHING)) {
        sw_chain_cut_done(cut);
        return SW_OK;
    }
    has_memory = has_memory && (job->thin == NULL || !has_slivers(&job->taken) ||
                                leave_slivers_out(job, path) == SW_OK);
    *is_done = !has_memory || sw_chain_cut_match(cut);
    if (has_memory && *is_done && job->thin != NULL)
        has_memory = sw_chain_note_removed(job->chain, cut);
    has_memory = has_memory && (!*is_done || sw_chain_cut_commit(cut));
    if (*is_done && has_memory) {
        job->may_part = job->may_part || cut->parts;
        add_taken(job);
    }
    sw_chain_cut_done(cut);
    return has_memory ? SW_OK : SW_MEMORY;
}

/* *IS_DONE is false when this is not a move that rolls on from the last one; nothing was done then.
 */
static enum sw_status roll_on(bool *is_done, struct job *job, const struct sw_chain_path *path)
{
    struct sw_chain *chain = job->chain;
    *is_done = false;
    if (!sw_chain_near_is_ready(job->body, job->tool, path->from, path->to))
        return SW_OK;
    *is_done = job->body->near.n == 0;
    if (*is_done || !sw_chain_sweep_front(&chain->front, job->tool, path, chain->arena))
        return SW_OK;
    struct sw_chain_rolling *rolling = &chain->rolling;
    sw_chain_roll_find(rolling, job->body, &chain->front, path->from);
    *is_done = rolling->is_clear;
    if (!rolling->takes)
        return SW_OK;
    if (!sw_chain_roll_measure(&job->taken, &chain->cut.seen, rolling, job->body, &chain->removed,
                               chain->arena))
        return SW_MEMORY;
    if (is_nothing(&job->taken, NOTHING))
        return SW_OK;
    if (has_slivers(&job->taken)) {
        *is_done = job->is_short;
        if (!job->is_short)
            return SW_OK;
        SW_TRY(leave_slivers_out(job, path));
    }
    chain->n_rolled++;
    if (!sw_chain_note_straight(chain, &chain->cut.seen) ||
        !sw_chain_roll_commit(job->body, rolling, chain->arena))
        return SW_MEMORY;
    add_taken(job);
    return SW_OK;
}

static enum sw_status take_part(struct job *job, const struct sw_chain_path *path)
{
    bool is_done;
    SW_TRY(try_once(&is_done, job, path));
    for (int by = 1; by <= MOST_NUDGES && !is_done; by++) {
        const struct sw_chain_path moved = nudged(path, by);
        job->chain->n_nudged++;
        SW_TRY(try_once(&is_done, job, &moved));
    }
    if (is_done)
        return SW_OK;
    sw_diag_add(job->chain->ctx->diag, SW_ERROR, "sim.chain", (struct sw_span){0}, NULL,
                "the cut from z %.6f r %.6f to z %.6f r %.6f mm cannot be worked out", path->from.z,
                path->from.r, path->to.z, path->to.r);
    return SW_INTERNAL;
}

static enum sw_status take(struct job *job)
{
    job->spread = (struct sw_chain_spread){HUGE_VAL, -HUGE_VAL, HUGE_VAL, -HUGE_VAL};
    if (job->tool->n == 0 || job->body->root == SW_CHAIN_NONE)
        return SW_OK;
    if (job->goes_on && !job->chain->never_rolls) {
        const struct sw_chain_path path = {.from = job->sweep->from, .to = job->sweep->to};
        bool is_done;
        SW_TRY(roll_on(&is_done, job, &path));
        if (is_done)
            return SW_OK;
    }
    if (!sw_box_overlaps(sw_chain_body_box(job->body), path_box(job->sweep, job->tool)))
        return SW_OK;
    struct parts parts = parts_of(job->sweep);
    for (size_t i = 0; i < parts.n; i++)
        SW_TRY(take_part(job, part(&parts, i)));
    return SW_OK;
}

static void report(struct sw_removed *out, const struct job *most, const struct job *least)
{
    out->area_most = most->area;
    out->area_least = least->area;
    out->box = most->box;
    out->may_part = most->may_part;
    if (!(most->area > 0))
        return;
    out->depth = sw_sweep_is_along_axis(most->sweep)
                     ? most->thickest
                     : sw_chain_max(0, most->spread.high - most->spread.low);
    out->along = sw_chain_max(0, most->spread.front - most->spread.back);
}

/* Both works with their own tools: the two readings of an arc whose ends disagree. */
static enum sw_status take_both(struct sw_removed *out, struct sw_chain *chain,
                                const struct sw_chain_outline *outline,
                                const struct sw_sweep *sweep, double half_band)
{
    struct sw_chain_tool tool[2] = {outline->cut, outline->cut};
    struct sw_ctx scratch = {sw_arena_new(), chain->ctx->diag};
    enum sw_status status = scratch.arena != NULL ? SW_OK : SW_MEMORY;
    if (status == SW_OK && half_band > 0)
        status = sw_chain_tool_offset(&tool[SW_WORK_LEAST], outline, half_band, &scratch);
    if (status == SW_OK && half_band > 0)
        status = sw_chain_tool_offset(&tool[SW_WORK_MOST], outline, -half_band, &scratch);
    struct job job[2] = {{.chain = chain, .sweep = sweep}, {.chain = chain, .sweep = sweep}};
    job[SW_WORK_MOST].thin = &outline->touch;
    for (int which = 0; which < 2 && status == SW_OK; which++) {
        job[which].body = &chain->body[which];
        job[which].tool = &tool[which];
        status = take(&job[which]);
    }
    if (status == SW_OK)
        report(out, &job[SW_WORK_MOST], &job[SW_WORK_LEAST]);
    sw_arena_free(scratch.arena);
    return status;
}

static void note_move(struct sw_chain *chain, const struct sw_sweep *sweep)
{
    chain->move = *sweep;
    sw_cut_edges_begin_on(&chain->removed, &chain->move);
}

enum sw_status sw_chain_remove(struct sw_removed *out, struct sw_work *work,
                               const struct sw_outline *outline_in, const struct sw_sweep *sweep)
{
    struct sw_chain *chain = sw_chain_of(work);
    const struct sw_chain_outline *outline = outline_of(outline_in);
    const double half_band = sweep->is_arc ? fabs(sweep->radius_from - sweep->radius_to) / 2 : 0;
    const bool disagrees = half_band > SW_CHAIN_SAME / 2;
    *out = (struct sw_removed){0};
    note_move(chain, sweep);
    const bool goes_on = chain->cleared_by == outline_in &&
                         sw_chain_distance(chain->cleared_at, sweep->from) <= SW_TOL_SNAP;
    chain->cleared_by = NULL;
    struct job job = {.chain = chain,
                      .body = &chain->body[SW_WORK_MOST],
                      .tool = &outline->cut,
                      .thin = &outline->touch,
                      .sweep = sweep};
    struct sw_chain_body *least = &chain->body[SW_WORK_LEAST];
    if (disagrees && !chain->differs) {
        const struct sw_box reach = sw_box_grow(path_box(sweep, &outline->cut), half_band);
        if (!sw_box_overlaps(sw_chain_body_box(job.body), reach))
            return SW_OK;
        if (!sw_chain_body_copy(least, job.body, chain->arena))
            return SW_MEMORY;
        chain->differs = true;
    }
    if (chain->differs)
        return take_both(out, chain, outline, sweep, disagrees ? half_band : 0);
    job.goes_on = goes_on && !sweep->is_arc;
    job.is_short = job.goes_on && sw_chain_distance(sweep->from, sweep->to) <= SW_WORK_TOUCH - HAIR;
    SW_TRY(take(&job));
    report(out, &job, &job);
    chain->cleared_by = outline_in;
    chain->cleared_at = sweep->to;
    return SW_OK;
}

/* Contacts deeper than SW_WORK_TOUCH: a tool thinner by that much would take something. */
static enum sw_status try_contact(bool *out, struct sw_pt *place, struct sw_chain *chain,
                                  struct sw_chain_body *body,
                                  const struct sw_chain_outline *outline,
                                  const struct sw_sweep *sweep, const struct sw_chain_path *path,
                                  bool mirror)
{
    struct sw_chain_taken taken;
    if (!sw_chain_sweep(&chain->swept, &outline->touch, path, mirror, chain->arena))
        return SW_MEMORY;
    if (!sw_box_overlaps(sw_chain_body_box(body), chain->swept.reach.box))
        return SW_OK;
    if (!sw_chain_cut_find(&chain->cut, body, &chain->swept))
        return SW_MEMORY;
    bool has_memory = true;
    if (chain->cut.takes) {
        const struct sw_cut_edges frame = sw_cut_edges_begin(sweep);
        has_memory = sw_chain_cut_measure(&taken, &chain->cut, &frame);
        *out = has_memory && !is_nothing(&taken, SW_TOL_SLIVER);
        if (*out && place != NULL)
            *place = (struct sw_pt){(taken.box.z0 + taken.box.z1) / 2,
                                    (taken.box.r0 + taken.box.r1) / 2};
    }
    sw_chain_cut_done(&chain->cut);
    return has_memory ? SW_OK : SW_MEMORY;
}

enum sw_status sw_chain_meets(bool *out, struct sw_pt *place, struct sw_chain *chain,
                              struct sw_chain_body *body, const struct sw_outline *outline_in,
                              const struct sw_sweep *sweep)
{
    const struct sw_chain_outline *outline = outline_of(outline_in);
    *out = false;
    if (outline->touch.n == 0 || body->root == SW_CHAIN_NONE)
        return SW_OK;
    const struct sw_box reach = path_box(sweep, &outline->touch);
    struct sw_box all_round = sw_chain_body_box(body);
    all_round.r0 = -all_round.r1;
    if (!sw_box_overlaps(all_round, reach))
        return SW_OK;
    struct parts parts = parts_of(sweep);
    for (size_t i = 0; i < parts.n && !*out; i++) {
        const struct sw_chain_path *path = part(&parts, i);
        SW_TRY(try_contact(out, place, chain, body, outline, sweep, path, false));
        /* what reaches below r = 0 stands in the work's far half */
        if (!*out && reach.r0 < 0)
            SW_TRY(try_contact(out, place, chain, body, outline, sweep, path, true));
    }
    return SW_OK;
}
