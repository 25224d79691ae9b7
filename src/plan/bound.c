/* The derivation stands in bound.h; its numbers are named in the comments here. */
#include "plan/bound.h"

#include <math.h>

#include "geom/tol.h"
#include "mech/feedtime.h"
#include "mech/speed.h"
#include "plan/strength.h"

enum { MOST_SLICES = 5, MOST_KINDS = 2 };
/* Places of a zone at which its metal is looked at. */
enum { PLACES = 256 };

/* A pass comes to its metal at its feed over this at least: beside a wall it starts half a lift
 * above the level before, from outside feed_in of passes.c away [mm]. */
static const double enter = 0.02;
/* What sampling may have missed of the lowest that a nose can leave [mm]. */
static const double sampled = 0.001;

struct kind {
    const struct sw_tool *tool;
    struct sw_strength strength[MOST_SLICES]; /* in 1, 2... slices */
    size_t n_slices;
    size_t most_depth; /* in grains */
    double surface;
};

struct bound {
    struct sw_planner *p;
    const struct sw_zone *zone;
    struct kind *kind;      /* the fine tool first */
    size_t n_kinds, n_near; /* that may take any metal, and what stands near the form */
    struct sw_axis_limits x, z;
    bool bears_all;
    double way_s;        /* of a tool to or from the place for hands */
    double leave, z_end; /* of the zone's plain part */
    /* By place, outwards: roughed form, what stands, and what the stout tool must leave of it. */
    double floor[PLACES], stood[PLACES], left[PLACES];
    double cell;
    /* The way that is being looked for. */
    double r_to;
    size_t n;
    double *length; /* by grain */
    bool is_fine, is_split;
};

/* ---- metal ---- */

static enum sw_status look(struct bound *b, const struct sw_tool *stout)
{
    struct sw_planner *p = b->p;
    struct sw_contour offset, form, locus = {0};
    const double nose = stout->nose_radius.value;
    SW_TRY(sw_contour_offset(&offset, &p->turned, b->leave, p->ctx));
    SW_TRY(sw_contour_envelope(&form, &offset, HUGE_VAL, HUGE_VAL, p->ctx));
    /* Pivots last: what is left stout for them comes nearer to the form. */
    const bool is_last = p->job->pivot_order.value == SW_PIVOTS_LAST;
    SW_TRY(
        sw_plan_locus(&locus, &p->turned, stout, is_last ? b->leave : SW_PLAN_ROUGH_LEFT, p->ctx));
    b->cell = (b->zone->z_out - b->zone->z_in) / PLACES;
    for (size_t k = 0; k < PLACES; k++) {
        const double z = b->zone->z_in + b->cell * ((double)k + 0.5);
        if (!sw_contour_r_at(&b->floor[k], &form, z))
            b->floor[k] = HUGE_VAL; /* nothing known: no metal */
        if (!sw_contour_r_at(&b->stood[k], &p->stock, z))
            b->stood[k] = 0;
        if (stout == b->zone->finish.tool)
            b->left[k] = HUGE_VAL;
        else if (sw_plan_left_at(&b->left[k], &locus, nose, z))
            b->left[k] -= sampled;
        else
            b->left[k] = 0;
    }
    return SW_OK;
}

/* What is reckoned with at a place: metal of the fine tool alone, or all above it. */
static double bottom_at(const struct bound *b, size_t k)
{
    return b->is_fine ? b->floor[k] : fmax(b->floor[k], b->left[k]);
}

static double top_at(const struct bound *b, size_t k)
{
    return b->is_fine ? fmin(b->stood[k], b->left[k]) : b->stood[k];
}

static bool is_metal(const struct bound *b, size_t k, double r_low, double r_high)
{
    return bottom_at(b, k) <= r_low + SW_TOL_SLIVER && top_at(b, k) >= r_high + SW_TOL_SLIVER;
}

/* 1 and 5: all stretches at a grain, less a nose at each end where something rises. */
static double metal(const struct bound *b, double r_low, double r_high, double nose)
{
    double sum = 0;
    for (size_t k = 0; k < PLACES;) {
        size_t end = k;
        while (end < PLACES && is_metal(b, end, r_low, r_high))
            end++;
        if (end > k) {
            const bool in_rises = k == 0 || bottom_at(b, k - 1) > r_low + SW_TOL_SLIVER;
            const bool out_rises = end < PLACES && bottom_at(b, end) > r_low + SW_TOL_SLIVER;
            /* A place at each end may be cut off by its middle. */
            const double length = b->cell * (double)(end - k - 1) - nose * (in_rises + out_rises);
            sum += length > SW_LEAST_STRETCH ? length : 0;
        }
        k = end + 1;
    }
    return sum;
}

/* ---- one pass ---- */

static double grain_radius(const struct bound *b, size_t i)
{
    return b->r_to + SW_STRENGTH_GRAIN * (double)(b->n - i);
}

static double bearable_feed(struct sw_strength *s, double r_old, size_t d)
{
    size_t low = 0, high = s->n_feeds;
    if (sw_strength_allows(s, r_old, s->grain * (double)d, s->feed[high - 1]))
        return s->feed[high - 1];
    while (low < high) {
        const size_t middle = (low + high) / 2;
        if (sw_strength_allows(s, r_old, s->grain * (double)d, s->feed[middle]))
            low = middle + 1;
        else
            high = middle;
    }
    return low > 0 ? s->feed[low - 1] : 0;
}

/* 6: one grain less than the grid says. */
static double largest_feed(const struct bound *b, struct kind *kind, size_t m, double r_old,
                           size_t d)
{
    struct sw_strength *s = &kind->strength[m];
    if (b->bears_all || d == 0)
        return s->feed[s->n_feeds - 1];
    const double most_bend = s->most_bend;
    /* Roughing a whole side leaves more, and may bend it more. */
    if (r_old - s->grain * (double)d >= s->r_last + SW_PLAN_ROUGH_LEFT)
        s->most_bend = fmax(most_bend, SW_STRENGTH_SHARE * SW_PLAN_ROUGH_LEFT);
    const double feed = bearable_feed(s, r_old, d);
    s->most_bend = most_bend;
    return feed;
}

/* 2: what a pass of the fine tool takes besides its metal, DEPTH deep at least. */
static double besides(const struct bound *b, const struct sw_tool *tool, double feed, double turns,
                      double depth, double length)
{
    return sw_speed_time(enter, feed, turns) +
           sw_speed_time(sqrt(2.0) * SW_PLAN_LIFT, sw_plan_air_feed(tool, feed, turns), turns) +
           sw_feed_time(SW_PLAN_LIFT + depth, &b->x) + sw_feed_time(length, &b->z);
}

/* In M slices of the same depths, or all in as many as are thought of and counted once. */
static double kind_seconds(struct bound *b, struct kind *kind, size_t i, size_t j, double length)
{
    const double r_old = grain_radius(b, i), r_new = grain_radius(b, j + (j < b->n));
    const size_t d = j - i - 1;
    const double turns = sw_speed_clamped(kind->surface, 2 * fmax(r_new, SW_STRENGTH_GRAIN), 1,
                                          b->p->shop->machine->spindle.most_speed.value);
    double best = HUGE_VAL;
    for (size_t m = b->is_split || !b->is_fine ? kind->n_slices - 1 : 0; m < kind->n_slices; m++) {
        const double slices = b->is_split || !b->is_fine ? 1 : (double)(m + 1);
        const double feed = largest_feed(b, kind, m, r_old, d);
        if (!(feed > 0))
            continue;
        const double back = b->is_fine
                                ? slices * besides(b, kind->tool, feed, turns,
                                                   SW_STRENGTH_GRAIN * (double)d, length / slices)
                                : length / b->z.speed;
        best = fmin(best, sw_speed_time(length, feed, turns) + back);
        if (feed >= kind->strength[m].feed[kind->strength[m].n_feeds - 1])
            break; /* more slices bring nothing */
    }
    return best;
}

static double least(void *user, size_t i, size_t j)
{
    struct bound *b = user;
    double best = HUGE_VAL;
    if (!(b->length[j] > 0))
        return 0;
    for (size_t k = 0; k < (b->is_fine ? b->n_near : b->n_kinds); k++)
        if (j - i <= b->kind[k].most_depth + 1)
            best = fmin(best, kind_seconds(b, &b->kind[k], i, j, b->length[j]));
    return best;
}

/* ---- one zone ---- */

static enum sw_status add_kind(struct bound *b, const struct sw_tool *tool, double r_from,
                               double r_to)
{
    struct kind *kind = &b->kind[b->n_kinds++];
    const struct sw_material *material = b->p->now->stock->is;
    const struct sw_op op = sw_plan_op(b->p, SW_OP_ROUGH, SW_CUT_ROUGH, (struct sw_fitted){0, tool},
                                       2 * r_from, b->zone->first);
    kind->tool = tool;
    kind->surface = tool->surface_speed.given
                        ? fmin(material->surface_speed.value, tool->surface_speed.value)
                        : material->surface_speed.value;
    kind->most_depth = (size_t)floor(
        SW_STRENGTH_LEVELS * tool->most_depth.value / SW_STRENGTH_GRAIN + SW_TOL_SLIVER);
    const enum sw_section_kind is = b->p->staff->section[b->zone->first].kind;
    const bool has_slices = is == SW_SECTION_PIVOT || is == SW_SECTION_CONE;
    kind->n_slices = has_slices ? MOST_SLICES : 2;
    const double speed =
        op.is_surface_speed ? sw_speed_clamped(op.speed, 2 * r_from, 1, op.speed_clamp) : op.speed;
    for (size_t m = 0; m < kind->n_slices; m++) {
        struct sw_zone slice = *b->zone;
        slice.z_out = slice.z_in + (slice.z_out - slice.z_in) / (double)(m + 1);
        SW_TRY(sw_strength_begin(&kind->strength[m], b->p, &slice, tool, speed, SW_STRENGTH_GRAIN,
                                 r_to, b->leave, b->p->ctx));
    }
    return SW_OK;
}

/* The way over one sort of metal; 0 when there is none. */
static enum sw_status way_down(double *seconds, struct bound *b, double r_to, bool is_fine,
                               bool is_split)
{
    double r_from = 0, r_low = HUGE_VAL;
    *seconds = 0;
    b->is_fine = is_fine;
    b->is_split = is_split;
    for (size_t k = 0; k < PLACES; k++) {
        if (top_at(b, k) <= bottom_at(b, k))
            continue;
        r_from = fmax(r_from, top_at(b, k));
        r_low = fmin(r_low, bottom_at(b, k));
    }
    b->r_to = is_fine ? r_to : fmax(r_low, r_to);
    if (!(r_from > b->r_to + SW_TOL_SLIVER))
        return SW_OK;
    size_t most = 0;
    for (size_t k = 0; k < (is_fine ? b->n_near : b->n_kinds); k++)
        most = b->kind[k].most_depth > most ? b->kind[k].most_depth : most;
    const struct sw_bound_way way = {.r_from = r_from,
                                     .r_to = b->r_to,
                                     .grain = SW_STRENGTH_GRAIN,
                                     .most_depth = SW_STRENGTH_GRAIN * (double)most,
                                     .least = least,
                                     .user = b,
                                     .may_end_lower = !is_fine};
    b->n = sw_bound_grains(&way);
    b->length = SW_NEW(b->p->ctx->arena, double, b->n + 1);
    if (!b->length)
        return SW_MEMORY;
    const double nose = b->kind[is_fine ? 0 : b->n_kinds - 1].tool->nose_radius.value;
    for (size_t j = 0; j <= b->n; j++)
        b->length[j] = metal(b, grain_radius(b, j + (j < b->n)), grain_radius(b, j), nose);
    return sw_bound_way_down(seconds, &way, b->p->ctx);
}

/* 3: fewest passes of the fine tool over the least that it has to take anywhere in the plain part,
 * and the ways of an operation to them. */
static double one_more_slice(const struct bound *b, double ways)
{
    const struct sw_tool *tool = b->zone->finish.tool;
    double height = HUGE_VAL;
    for (size_t k = 0; k < PLACES; k++)
        if (b->zone->z_in + b->cell * (double)(k + 1) <= b->z_end)
            height = fmin(height, fmin(b->stood[k], b->left[k]) - b->floor[k]);
    if (!(height > 0) || isinf(height))
        return 0;
    const double n = ceil(height / (SW_STRENGTH_LEVELS * tool->most_depth.value) - SW_TOL_SLIVER);
    return n * besides(b, tool, tool->rough_feed.value,
                       b->p->shop->machine->spindle.most_speed.value, 0, 0) +
           ways;
}

/* 4: the run along the roughed form, by the fine tool at its own feed. How far off it begins
 * depends on the levels before it. */
static enum sw_status run_along(double *seconds, const struct bound *b, double r_to)
{
    struct sw_planner *p = b->p;
    const struct sw_tool *tool = b->zone->finish.tool;
    const double feed = tool->rough_feed.value;
    const double turns = sw_speed_clamped(b->kind[0].surface, 2 * fmax(r_to, SW_STRENGTH_GRAIN), 1,
                                          p->shop->machine->spindle.most_speed.value);
    const double air = sw_plan_air_feed(tool, feed, turns);
    struct sw_contour locus;
    struct sw_reach reach;
    struct sw_op op = {.tool = tool};
    *seconds = 0;
    if (b->zone->is_tip && p->staff->section[b->zone->first].kind == SW_SECTION_PIVOT)
        return SW_OK;
    SW_TRY(sw_plan_zone_reach(&reach, &locus, p, b->zone, tool, b->leave, b->leave));
    SW_TRY(sw_plan_follow(&op, &reach, 0, p->r_clear, p->ctx));
    for (size_t i = 0; i < op.n_passes; i++) {
        const struct sw_pass *pass = &op.pass[i];
        const struct sw_pt begin = pass->run.at[0].a, end = pass->run.at[pass->run.n - 1].b;
        const double off = tool->most_depth.value;
        *seconds +=
            sw_speed_time(sw_contour_length(&pass->run), feed, turns) +
            sw_speed_time(sw_pt_distance(pass->from, begin) + sw_pt_distance(end, pass->lift), air,
                          turns) +
            sw_feed_time(fmax(0, pass->back_r - pass->from.r - off), &b->x) +
            sw_feed_time(fmax(0, pass->back_r - pass->lift.r), &b->x);
    }
    return SW_OK;
}

/* 1: by the fine tool, or by either where the stout one may rough the zone, brought in for it and
 * taken back in CHANGED_S. */
static enum sw_status near_way(double *seconds, struct bound *b, double r_to, bool is_split,
                               bool may_be_stout, double changed_s)
{
    double either_s = 0;
    b->n_near = 1;
    double run_s = 0;
    SW_TRY(way_down(seconds, b, r_to, true, is_split));
    if (*seconds > 0)
        SW_TRY(run_along(&run_s, b, r_to));
    *seconds += run_s;
    if (!may_be_stout)
        return SW_OK;
    b->n_near = b->n_kinds;
    SW_TRY(way_down(&either_s, b, r_to, true, is_split));
    *seconds = fmin(*seconds, either_s + changed_s);
    return SW_OK;
}

static enum sw_status zone_bound(double *seconds, struct bound *b, const struct sw_zone *zone,
                                 const struct sw_tool *stout)
{
    struct sw_planner *p = b->p;
    const struct sw_tool *fine = zone->finish.tool;
    const enum sw_section_kind first = p->staff->section[zone->first].kind;
    const bool has_slopes =
        first == SW_SECTION_CONE || p->staff->section[zone->last].kind == SW_SECTION_BACK_SLOPE;
    const bool may_be_stout =
        !has_slopes && sw_plan_rough_tool(p, zone->finish).tool == stout && stout != fine;
    const double changed_s = zone == &p->zones.at[0] ? 0 : 4 * b->way_s;
    struct sw_contour form, piece = {0};
    double r_from = 0, split_s = 0, far_s = 0;
    int n_slices = 1;
    *seconds = 0;
    b->zone = zone;
    b->leave = sw_plan_roughed_to(p, zone);
    /* A tip falls to the axis: its plain part counts. */
    b->z_end = zone->is_tip ? (zone->z_in + fmin(zone->z_out, sw_contour_box(&p->turned).z1)) / 2
                            : zone->z_out;
    SW_TRY(sw_contour_envelope(&form, &p->turned, HUGE_VAL, HUGE_VAL, p->ctx));
    SW_TRY(sw_contour_piece(&piece, &form, zone->z_in, b->z_end, p->ctx));
    const double r_to = sw_contour_box(&piece).r0 + b->leave;
    SW_TRY(look(b, stout));
    for (size_t k = 0; k < PLACES; k++)
        r_from = fmax(r_from, b->stood[k]);
    if (!(r_from > r_to))
        return SW_OK;
    b->n_kinds = 0;
    SW_TRY(add_kind(b, fine, r_from, r_to));
    if (stout != fine)
        SW_TRY(add_kind(b, stout, r_from, r_to));
    SW_TRY(way_down(&far_s, b, r_to, false, false));
    SW_TRY(near_way(seconds, b, r_to, false, may_be_stout, changed_s));
    if (*seconds > 0) {
        const double nose = fine->nose_radius.value;
        const double deepest = SW_STRENGTH_LEVELS * fine->most_depth.value;
        const double up = sw_feed_time(fmax(0, p->r_clear - r_to - nose - SW_PLAN_LIFT), &b->x);
        const double down = sw_feed_time(fmax(0, p->r_clear - r_from - nose), &b->x) -
                            sw_feed_time(SW_PLAN_LIFT + deepest, &b->x);
        const double ways = up + fmax(0, down);
        SW_TRY(sw_plan_least_slices(&n_slices, p, zone));
        if (n_slices > 1 && !b->bears_all) {
            SW_TRY(near_way(&split_s, b, r_to, true, may_be_stout, changed_s));
            *seconds = fmax(*seconds, split_s + one_more_slice(b, ways));
        }
        *seconds += ways;
    }
    *seconds += far_s;
    for (size_t i = 0; i < b->n_kinds; i++)
        for (size_t m = 0; m < b->kind[i].n_slices; m++)
            SW_TRY(b->kind[i].strength[m].status);
    return SW_OK;
}

/* ---- one side ---- */

static enum sw_status side_bound(double *seconds, struct sw_planner *p, double way_s,
                                 bool bears_all)
{
    const struct sw_machine *machine = p->shop->machine;
    struct bound *b = SW_NEW(p->ctx->arena, struct bound, 1);
    if (!b)
        return SW_MEMORY;
    *b =
        (struct bound){.p = p,
                       .bears_all = bears_all,
                       .way_s = way_s,
                       .x = {machine->rapid.x.value / 60, machine->acceleration.x.value, HUGE_VAL},
                       .z = {machine->rapid.z.value / 60, machine->acceleration.z.value, HUGE_VAL}};
    b->kind = SW_NEW(p->ctx->arena, struct kind, MOST_KINDS);
    if (!b->kind)
        return SW_MEMORY;
    for (size_t i = 0; i < p->zones.n; i++) {
        const struct sw_zone *zone = &p->zones.at[i];
        double alone = 0;
        SW_TRY(zone_bound(&alone, b, zone, sw_plan_strongest(p, zone->finish).tool));
        *seconds += alone;
    }
    return SW_OK;
}

/* 8: the first zone's tool, which faces the end too when there is no stouter one. */
static void add_ways(struct sw_plan_bound *bound, double *way_s, const struct sw_planner *p)
{
    const struct sw_machine *machine = p->shop->machine;
    const struct sw_axis_limits x = {machine->rapid.x.value / 60, machine->acceleration.x.value,
                                     HUGE_VAL};
    const struct sw_axis_limits z = {machine->rapid.z.value / 60, machine->acceleration.z.value,
                                     HUGE_VAL};
    const struct sw_fitted fine = p->zones.at[0].finish;
    const struct sw_tool *stout = sw_plan_strongest(p, fine).tool;
    const double z_clear = p->stock_end + fine.tool->nose_radius.value + stout->nose_radius.value +
                           p->shop->clearance.value;
    *way_s =
        sw_feed_time(SW_PLAN_HAND_R - p->r_clear, &x) + sw_feed_time(SW_PLAN_HAND_Z - z_clear, &z);
    bound->ways_s += (stout == fine.tool ? 1 : 2) * *way_s;
}

enum sw_status sw_plan_add_bound(struct sw_plan_bound *bound, struct sw_planner *p)
{
    double way_s;
    add_ways(bound, &way_s, p);
    bound->way_s = way_s;
    SW_TRY(side_bound(&bound->simple_s, p, way_s, true));
    return side_bound(&bound->sharp_s, p, way_s, false);
}
