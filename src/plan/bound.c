/* What no schedule of this planner's kind can beat: a lower bound of the time of roughing one side.
 *
 * Derivation. Whatever its slices, tools and schedules, a plan brings each zone of a side down from
 * what stands to what is left for its last cuts by passes along the axis; a zone is finished before
 * the next is touched, but for what a stout tool takes off the whole side first, 0.1 mm away from
 * the form.
 *   1. A pass over a zone at radius r, d deep, cuts at least the length of metal that stands
 * between r and r - d there, less one nose radius (the nose need not come nearer to the wall). Its
 * feed is at most what the work bears when everything behind the zone is still there as it stood at
 *      first and only the slice itself stands out, at radius r: in truth less stands behind it. The
 *      spindle is as fast as the surface speed at r - d allows, without steps. Any tool of the shop
 *      may take it, with no time to change tools; within 0.1 mm of the form only the fine one (the
 *      steps of the other are more than the fine one may run over).
 *   2. Each slice of it is come back from: off the work and down again along X, and along Z. A pass
 *      further than 0.1 mm from the form may serve several zones, then X is paid once; along Z two
 *      lengths together are no faster than their sum at full rapid. So the way along X of those is
 *      counted in one zone only, the one where that counts most, and in the others the length over
 *      the rapid speed. Nearer passes serve one zone.
 *   3. Under 1 and 2 the fastest way down is found exactly by dynamic programming, over depths and
 *      over the number of slices of every single pass; depths are multiples of the grain, the
 *      largest rounded up.
 * The simple bound forgets what the work bears: fewest passes by the tools' own depths and feeds.
 * Corners, steps left on slopes, run-ups and the last cuts are not in it. */
#include "plan/bound.h"

#include <math.h>

#include "geom/tol.h"
#include "mech/feedtime.h"
#include "mech/speed.h"
#include "plan/strength.h"

enum { MOST_SLICES = 6, MOST_KINDS = 4 };

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
    struct kind *kind;
    size_t n_kinds;
    struct sw_contour form, stood;
    double r_from, r_form;
    size_t n; /* grains down to what is left for the last cuts */
    double leave;
    struct sw_axis_limits x, z;
    bool bears_all;
};

/* Length of metal at a radius of material between the zone's ends. */
static enum sw_status metal(double *length, const struct bound *b, double r)
{
    struct sw_intervals form = {0}, stood = {0};
    *length = 0;
    SW_TRY(sw_contour_below(&form, &b->form, r - b->leave, b->p->ctx));
    SW_TRY(sw_contour_below(&stood, &b->stood, r, b->p->ctx));
    for (size_t i = 0; i < form.n; i++)
        *length +=
            fmax(0, fmin(form.at[i].z1, b->zone->z_out) - fmax(form.at[i].z0, b->zone->z_in));
    for (size_t i = 0; i < stood.n; i++)
        *length -=
            fmax(0, fmin(stood.at[i].z1, b->zone->z_out) - fmax(stood.at[i].z0, b->zone->z_in));
    *length = fmax(0, *length);
    return SW_OK;
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

static double largest_feed(const struct bound *b, struct kind *kind, size_t m, double r_old,
                           size_t d)
{
    struct sw_strength *s = &kind->strength[m];
    if (b->bears_all)
        return s->feed[s->n_feeds - 1];
    /* Roughing a whole side leaves more, and may bend it more. */
    const double most_bend = s->most_bend;
    if (r_old - s->grain * (double)d >= s->r_last + SW_PLAN_ROUGH_LEFT)
        s->most_bend = fmax(most_bend, SW_STRENGTH_SHARE * SW_PLAN_ROUGH_LEFT);
    const double feed = bearable_feed(s, r_old, d);
    s->most_bend = most_bend;
    return feed;
}

/* The least time of one pass, by whatever tool in however many slices. */
static double pass_seconds(const struct bound *b, double r_old, size_t d, double length,
                           bool counts_x)
{
    const double grain = SW_STRENGTH_GRAIN, depth = grain * (double)d;
    const bool is_near = r_old - depth < b->r_form + SW_PLAN_ROUGH_LEFT - SW_TOL_SLIVER;
    double best = HUGE_VAL;
    for (size_t i = 0; i < b->n_kinds; i++) {
        struct kind *kind = &b->kind[i];
        if (d > kind->most_depth || (is_near && kind->tool != b->zone->finish.tool))
            continue;
        const double turns = sw_speed_clamped(kind->surface, 2 * fmax(r_old - depth, grain), 1,
                                              b->p->shop->machine->spindle.most_speed.value);
        for (size_t m = 0; m < kind->n_slices; m++) {
            const double slices = (double)(m + 1);
            const double feed = largest_feed(b, kind, m, r_old, d);
            const double cut = fmax(0, length - kind->tool->nose_radius.value);
            const double back = counts_x || is_near
                                    ? slices * (sw_feed_time(SW_PLAN_LIFT, &b->x) +
                                                sw_feed_time(length / slices, &b->z))
                                    : length / b->z.speed;
            if (feed > 0)
                best = fmin(best, sw_speed_time(cut, feed, turns) + back);
            if (feed >= kind->strength[m].feed[kind->strength[m].n_feeds - 1])
                break; /* more slices bring nothing */
        }
    }
    return best;
}

static enum sw_status way_down(double *seconds, const struct bound *b, bool counts_x)
{
    double *best = SW_NEW(b->p->ctx->arena, double, b->n + 1);
    double *length = SW_NEW(b->p->ctx->arena, double, b->n + 1);
    size_t most = 1;
    if (!best || !length)
        return SW_MEMORY;
    for (size_t i = 0; i < b->n_kinds; i++)
        most = b->kind[i].most_depth > most ? b->kind[i].most_depth : most;
    for (size_t i = 0; i <= b->n; i++) {
        best[i] = i == 0 ? 0 : HUGE_VAL;
        SW_TRY(metal(&length[i], b, b->r_from - SW_STRENGTH_GRAIN * (double)i));
    }
    for (size_t i = 0; i < b->n; i++)
        for (size_t d = 1; d <= most && i + d <= b->n; d++)
            best[i + d] = fmin(best[i + d],
                               best[i] + pass_seconds(b, b->r_from - SW_STRENGTH_GRAIN * (double)i,
                                                      d, length[i + d], counts_x));
    *seconds = best[b->n];
    return SW_OK;
}

static enum sw_status add_kind(struct bound *b, const struct sw_tool *tool, double r_to)
{
    struct kind *kind = &b->kind[b->n_kinds++];
    const struct sw_material *material = b->p->now->stock->is;
    const struct sw_op op = sw_plan_op(b->p, SW_OP_ROUGH, SW_CUT_ROUGH, (struct sw_fitted){0, tool},
                                       2 * b->r_from, b->zone->first);
    kind->tool = tool;
    kind->surface = tool->surface_speed.given
                        ? fmin(material->surface_speed.value, tool->surface_speed.value)
                        : material->surface_speed.value;
    kind->most_depth = (size_t)ceil(
        SW_STRENGTH_LEVELS * tool->most_depth.value / SW_STRENGTH_GRAIN - SW_TOL_POINT);
    const bool has_slices = b->p->staff->section[b->zone->first].kind == SW_SECTION_PIVOT ||
                            b->p->staff->section[b->zone->first].kind == SW_SECTION_CONE;
    kind->n_slices = has_slices ? MOST_SLICES : 2;
    const double speed = op.is_surface_speed
                             ? sw_speed_clamped(op.speed, 2 * b->r_from, 1, op.speed_clamp)
                             : op.speed;
    for (size_t m = 0; m < kind->n_slices; m++) {
        struct sw_zone slice = *b->zone;
        slice.z_out = slice.z_in + (slice.z_out - slice.z_in) / (double)(m + 1);
        SW_TRY(sw_strength_begin(&kind->strength[m], b->p, &slice, tool, speed, SW_STRENGTH_GRAIN,
                                 r_to, b->leave, b->p->ctx));
    }
    return SW_OK;
}

static enum sw_status zone_bounds(double *shared, double *alone, struct bound *b,
                                  const struct sw_zone *zone)
{
    struct sw_planner *p = b->p;
    const struct sw_op fine =
        sw_plan_op(p, SW_OP_FINISH, SW_CUT_FINISH, zone->finish, 1.0, zone->first);
    const bool is_critical =
        zone->measured != SIZE_MAX || p->staff->section[zone->first].kind == SW_SECTION_PIVOT;
    const struct sw_fitted strong = sw_plan_strongest(p, zone->finish);
    struct sw_contour piece = {0};
    *shared = *alone = 0;
    b->zone = zone;
    b->leave = (is_critical ? 2 : 1) * fine.depth;
    b->r_from = sw_plan_stock_radius(p, zone->z_in, zone->z_out);
    /* A tip falls to the axis: its plain part counts. */
    const double z_plain = zone->is_tip
                               ? (zone->z_in + fmin(zone->z_out, sw_contour_box(&b->form).z1)) / 2
                               : zone->z_out;
    SW_TRY(sw_contour_piece(&piece, &b->form, zone->z_in, z_plain, p->ctx));
    b->r_form = sw_contour_box(&piece).r0;
    const double r_to = b->r_form + b->leave;
    b->n = (size_t)fmax(0, floor((b->r_from - r_to) / SW_STRENGTH_GRAIN));
    b->n_kinds = 0;
    SW_TRY(add_kind(b, zone->finish.tool, r_to));
    if (strong.tool != zone->finish.tool)
        SW_TRY(add_kind(b, strong.tool, r_to));
    SW_TRY(way_down(shared, b, false));
    SW_TRY(way_down(alone, b, true));
    for (size_t i = 0; i < b->n_kinds; i++)
        for (size_t m = 0; m < b->kind[i].n_slices; m++)
            SW_TRY(b->kind[i].strength[m].status);
    return SW_OK;
}

static enum sw_status side_bound(double *seconds, struct sw_planner *p, bool bears_all)
{
    const struct sw_machine *machine = p->shop->machine;
    struct bound b = {.p = p,
                      .stood = p->stock,
                      .bears_all = bears_all,
                      .x = {machine->rapid.x.value / 60, machine->acceleration.x.value, HUGE_VAL},
                      .z = {machine->rapid.z.value / 60, machine->acceleration.z.value, HUGE_VAL}};
    b.kind = SW_NEW(p->ctx->arena, struct kind, MOST_KINDS);
    if (!b.kind)
        return SW_MEMORY;
    SW_TRY(sw_contour_envelope(&b.form, &p->turned, HUGE_VAL, HUGE_VAL, p->ctx));
    double more = 0;
    for (size_t i = 0; i < p->zones.n; i++) {
        double shared = 0, alone = 0;
        SW_TRY(zone_bounds(&shared, &alone, &b, &p->zones.at[i]));
        *seconds += shared;
        more = fmax(more, alone - shared);
    }
    *seconds += more;
    return SW_OK;
}

enum sw_status sw_plan_add_bound(struct sw_plan_bound *bound, struct sw_planner *p)
{
    SW_TRY(side_bound(&bound->simple_s, p, true));
    return side_bound(&bound->sharp_s, p, false);
}
