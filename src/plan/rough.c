/* Roughing a zone: how deep and at which feed each pass goes is found by the schedule search under
 * what the work bears. */
#include "plan/rough_int.h"

#include <math.h>

#include "geom/tol.h"
#include "mech/feedtime.h"
#include "mech/speed.h"
#include "plan/bound.h"
#include "plan/strength.h"
#include "plan/support.h"

/* Written down for advice.h, which says it. */
static enum sw_status refuse(struct rule *search, struct sw_planner *p, const struct sw_zone *zone,
                             double r)
{
    struct sw_plan_found *found = p->found;
    struct sw_strength *s = &search->strength;
    SW_TRY(sw_strength_load(&found->refused, s, r, s->grain, s->feed[0]));
    found->is_refused = true;
    found->refused_section = zone->first < p->staff->n ? zone->first : p->land;
    found->refused_chucking = p->index;
    return SW_CANNOT;
}

static void keep_worst(struct sw_plan_found *found, const struct sw_plan_load *load)
{
    if (!found->has_watched || sw_plan_load_share(load) > sw_plan_load_share(&found->watched))
        found->watched = *load;
    found->has_watched = true;
}

/* At so many places of a zone it is seen what stands over its form. */
enum { REST_PLACES = 24 };

/* Roughing a whole side ends where the strongest tool could only take less than this share of its
 * usual depth. */
static const double whole_least_share = 0.5;

/* One of the two tools does all of it and runs over the steps its levels left on slopes, bevels and
 * where allowances blend: those of the strong one are more than the fine one may run over. */
static enum sw_status search_either(struct sw_schedule *schedule, struct share *share,
                                    struct sw_planner *p, const struct sw_zone *zone, double leave,
                                    double r_stock)
{
    struct sw_schedule strong;
    double start_s[MOST_TOOLS];
    sw_share_start(start_s, share, MOST_TOOLS, p);
    const enum sw_status status = sw_share_search(schedule, &share[1], 1, p, zone, leave, r_stock);
    if (status != SW_OK && status != SW_CANNOT)
        return status;
    for (size_t i = 0; i < schedule->n; i++)
        schedule->pass[i].tool = 1;
    if (share[0].bottom > share[1].bottom + SW_TOL_POINT)
        return status;
    const enum sw_status other = sw_share_search(&strong, &share[0], 1, p, zone, leave, r_stock);
    if (other != SW_OK)
        return other == SW_CANNOT ? status : other;
    /* Without what search thought of taking up one tool alone. */
    double alone_s[2][MOST_TOOLS];
    sw_share_start(alone_s[0], &share[0], 1, p);
    sw_share_start(alone_s[1], &share[1], 1, p);
    if (status == SW_OK && schedule->seconds - alone_s[1][0] + start_s[1] <=
                               strong.seconds - alone_s[0][0] + start_s[0])
        return SW_OK;
    *schedule = strong;
    return SW_OK;
}

/* What the asker of this plan wants to know of a section: the worst pass planned, or what the
 * lightest cut does where it was refused before. */
static enum sw_status watch(struct share *share, size_t n, const struct sw_schedule *schedule,
                            bool is_found, struct sw_planner *p, const struct sw_zone *zone)
{
    struct sw_plan_found *found = p->found;
    struct sw_plan_load load;
    if (!found->watches || found->watched_section != zone->first || p->bears_all)
        return SW_OK;
    for (size_t i = 0; is_found && i < schedule->n; i++) {
        const struct sw_schedule_pass *pass = &schedule->pass[i];
        SW_TRY(sw_strength_load(&load, &share[pass->tool].search.strength, pass->r_old, pass->depth,
                                pass->feed));
        keep_worst(found, &load);
    }
    if (is_found)
        return SW_OK;
    struct sw_strength *last = &share[n - 1].search.strength;
    SW_TRY(sw_strength_load(&load, last, fmax(found->watched_r, share[n - 1].bottom + last->grain),
                            last->grain, last->feed[0]));
    keep_worst(found, &load);
    return SW_OK;
}

static enum sw_status find(struct sw_schedule *schedule, struct share *share, size_t n,
                           struct sw_planner *p, const struct sw_zone *zone, double leave,
                           double r_stock)
{
    const enum sw_status status =
        n == MOST_TOOLS ? search_either(schedule, share, p, zone, leave, r_stock)
                        : sw_share_search(schedule, share, n, p, zone, leave, r_stock);
    if (status != SW_OK && status != SW_CANNOT)
        return status;
    SW_TRY(watch(share, n, schedule, status == SW_OK, p, zone));
    if (status == SW_OK)
        return SW_OK;
    double r = r_stock;
    for (size_t i = 0; i < schedule->n; i++)
        r = schedule->pass[i].r_old - schedule->pass[i].depth;
    return refuse(&share[n - 1].search, p, zone, r);
}

/* Between the shoulders at its ends, or its shoulder and its tip, the nose has no room. */
static enum sw_status refuse_too_short(struct sw_planner *p, const struct sw_zone *zone,
                                       const struct sw_tool *tool, double leave)
{
    const struct sw_section *is =
        &p->staff->section[zone->first < p->staff->n ? zone->first : p->land];
    const double need = tool->nose_radius.value + leave;
    const char *hint = sw_arena_printf(
        p->ctx->arena, "more than %.3f mm of plain length, or a smaller nose", need);
    if (!hint)
        return SW_MEMORY;
    sw_diag_add(p->ctx->diag, SW_ERROR, "plan.too-short", is->at, hint,
                "%s cannot be roughed: its %.3f mm have no room for the nose of %s, which keeps "
                "%.3f mm off the shoulder",
                is->name, zone->z_out - zone->z_in, tool->name.value, need);
    return SW_CANNOT;
}

enum sw_status sw_plan_rough_zone(struct sw_planner *p, const struct sw_zone *zone, double leave,
                                  double r_stock)
{
    const struct sw_fitted fine = zone->finish,
                           strong = p->hang.is_on ? fine : sw_plan_rough_tool(p, fine);
    /* Nothing but a face: the levels of the zone before it ended there. */
    if (zone->z_out - zone->z_in < SW_TOL_SLIVER)
        return SW_OK;
    struct share *share = SW_NEW(p->ctx->arena, struct share, MOST_TOOLS);
    struct sw_schedule schedule;
    if (!share)
        return SW_MEMORY;
    /* The fine tool's share stands last, where the other one finds room before it. */
    share += MOST_TOOLS - 1;
    share->tool = fine;
    SW_TRY(sw_share_begin(share, p, zone, leave, r_stock));
    /* The fillet of a large nose, where no wall shows where to clear it, is more than the fine
     * tool's run over it may take; so are its steps where a cone falls again behind its ridge. */
    const bool has_slopes = p->staff->section[zone->first].kind == SW_SECTION_CONE ||
                            p->staff->section[zone->last].kind == SW_SECTION_BACK_SLOPE;
    /* Held as close as in a bush a slope is roughed in levels so deep that running over their steps
     * would be the hardest cut of all. */
    if ((p->now->in_bush || p->hang.is_on) && has_slopes && !p->bears_all) {
        double step;
        const struct sw_step of = {zone->z_in, zone->z_out, leave, &share->op};
        SW_TRY(sw_support_most_step(&step, p, &of));
        share->depth_share = fmin(share->depth_share, step / fine.tool->most_depth.value);
    }
    const bool is_clear = share->reach.ends_at_wall || zone == &p->zones.at[p->zones.n - 1];
    size_t n = 1;
    if (strong.tool != fine.tool && !has_slopes && is_clear) {
        n++;
        share--;
        share->tool = strong;
        SW_TRY(sw_share_begin(share, p, zone, leave, r_stock));
    }
    if (isinf(share[n - 1].bottom))
        return refuse_too_short(p, zone, fine.tool, leave);
    if (r_stock - share[n - 1].bottom < SW_TOL_SLIVER)
        return SW_OK;
    if (p->ties == SW_TIES_ONE_DEPTH)
        return sw_ties_rough_with_one_depth(&share[n - 1], p, zone, leave, r_stock);
    if (p->ties == SW_TIES_FREE_FINISH)
        SW_TRY(sw_ties_find_plain(&schedule, share, n, p, zone, leave, r_stock));
    else
        SW_TRY(find(&schedule, share, n, p, zone, leave, r_stock));
    const size_t last = schedule.pass[schedule.n - 1].tool;
    for (size_t i = 0; i < n; i++) {
        struct sw_schedule own = sw_share_passes(&schedule, i);
        if (own.n == 0)
            continue;
        SW_TRY(sw_share_even_out(&own, &share[i], p, zone, leave));
        SW_TRY(sw_share_cut(&share[i], p, &own, i == last));
        if (share[i].tool.tool != fine.tool)
            SW_TRY(sw_plan_clear_corner(p, zone, share[i].tool, &share[i].reach, leave,
                                        share[i].how.r_floor));
    }
    return SW_OK;
}

/* What the zones will about need after the whole side is roughed [s]: the area over the form at
 * what the zone's own tool takes a second, and the ways back of as many passes as its highest place
 * asks for. A level that just misses a zone leaves it a whole step. */
static enum sw_status rest_seconds(double *seconds, const struct sw_planner *p,
                                   const struct sw_zone_span *span)
{
    const struct sw_machine *machine = p->shop->machine;
    const struct sw_axis_limits x = {machine->rapid.x.value / 60, machine->acceleration.x.value,
                                     HUGE_VAL};
    const struct sw_axis_limits z = {machine->rapid.z.value / 60, machine->acceleration.z.value,
                                     HUGE_VAL};
    struct sw_contour form;
    SW_TRY(sw_contour_envelope(&form, &p->turned, HUGE_VAL, HUGE_VAL, p->ctx));
    *seconds = 0;
    for (size_t i = span->first; i <= span->last; i++) {
        const struct sw_zone *zone = &p->zones.at[i];
        const struct sw_tool *tool = zone->finish.tool;
        const double depth = SW_STRENGTH_LEVELS * tool->most_depth.value;
        const double length = zone->z_out - zone->z_in;
        const double r_stock = sw_plan_stock_radius(p, zone->z_in, zone->z_out);
        const double turns = sw_speed_clamped(p->now->stock->is->surface_speed.value, 2 * r_stock,
                                              1, machine->spindle.most_speed.value);
        double area = 0, r_least = r_stock;
        for (int k = 0; k < REST_PLACES; k++) {
            const double at = zone->z_in + length * (k + 0.5) / REST_PLACES;
            double r = 0;
            if (!sw_contour_r_at(&r, &form, at))
                continue;
            area += fmax(0, sw_plan_stock_radius(p, at, at) - r) * length / REST_PLACES;
            r_least = fmin(r_least, r);
        }
        *seconds += sw_speed_time(area / depth, tool->rough_feed.value, turns) +
                    ceil((r_stock - r_least) / depth) *
                        (sw_feed_time(SW_PLAN_LIFT + depth, &x) + sw_feed_time(length, &z));
    }
    return SW_OK;
}

static double seconds_of(const struct sw_schedule *schedule)
{
    double seconds = 0;
    for (size_t i = 0; i < schedule->n; i++)
        seconds += schedule->pass[i].seconds;
    return seconds;
}

/* What a schedule of the whole side takes, with what it leaves to the zones. */
static enum sw_status whole_seconds(double *seconds, const struct sw_schedule *schedule,
                                    const struct share *share, const struct sw_planner *p,
                                    const struct sw_zone_span *span)
{
    struct sw_planner then = *p;
    struct sw_op op = share->op;
    struct sw_levels how = share->how;
    const struct sw_schedule_pass *end = &schedule->pass[schedule->n - 1];
    how.schedule = schedule;
    how.r_stock = schedule->pass[0].r_old;
    how.r_floor = end->r_old - end->depth;
    how.stock = &then.stock;
    SW_TRY(sw_plan_levels(&op, &share->reach, &how, p->ctx));
    SW_TRY(sw_plan_stock_after(&then, &op, span->z_in, share->reach.z_out));
    SW_TRY(rest_seconds(seconds, &then, span));
    *seconds += seconds_of(schedule);
    return SW_OK;
}

/* Equal passes in the place of the fastest schedule where it pays for the zones after it. */
static enum sw_status choose_whole(struct sw_schedule *schedule, struct share *share,
                                   struct sw_planner *p, const struct sw_zone *side,
                                   const struct sw_zone_span *span)
{
    struct sw_schedule even;
    double own_s = 0, even_s = 0;
    if (p->ties != SW_TIES_NONE)
        return sw_share_even_out(schedule, share, p, side, SW_PLAN_ROUGH_LEFT);
    const struct sw_schedule_pass *end = &schedule->pass[schedule->n - 1];
    const enum sw_status status =
        sw_share_search_even(&even, share, p, side, SW_PLAN_ROUGH_LEFT, schedule->pass[0].r_old,
                             end->r_old - end->depth, false);
    if (status != SW_OK)
        return status == SW_CANNOT ? SW_OK : status;
    SW_TRY(whole_seconds(&own_s, schedule, share, p, span));
    SW_TRY(whole_seconds(&even_s, &even, share, p, span));
    if (even_s < own_s - SW_TOL_SLIVER)
        *schedule = even;
    return SW_OK;
}

/* Whether it is sooner done with all of it roughed first than zone by zone alone. */
static enum sw_status span_pays(bool *pays, const struct sw_schedule *schedule,
                                const struct share *share, const struct sw_planner *p,
                                const struct sw_zone_span *span)
{
    double with_s = 0, without_s = 0, start_s[MOST_TOOLS];
    SW_TRY(whole_seconds(&with_s, schedule, share, p, span));
    SW_TRY(rest_seconds(&without_s, p, span));
    if (p->now->in_bush) {
        /* There and back, and the zone's own tool is the one it is left for. */
        struct share both[MOST_TOOLS] = {{.tool = share->tool},
                                         {.tool = p->zones.at[span->first].finish}};
        sw_share_start(start_s, both, MOST_TOOLS, p);
        with_s += start_s[0] - start_s[1];
    } else {
        /* An operation more is begun with a run-up of the spindle. */
        with_s += p->shop->machine->spindle.start_time.value;
    }
    *pays = with_s < without_s;
    return SW_OK;
}

/* The stairs of OP over SPAN; what stands beside it stays. */
static enum sw_status stock_after_span(struct sw_planner *p, const struct sw_op *op,
                                       const struct sw_zone_span *span, double z_out)
{
    const struct sw_contour before = p->stock;
    const struct sw_box box = sw_contour_box(&before);
    struct sw_contour in = {0}, out = {0};
    SW_TRY(sw_plan_stock_after(p, op, span->z_in, z_out));
    if (!p->now->in_bush && !p->blank)
        return SW_OK; /* the whole side: nothing else counts */
    if (span->z_in > box.z0 + SW_TOL_SLIVER)
        SW_TRY(sw_contour_piece(&in, &before, box.z0, span->z_in, p->ctx));
    if (z_out < box.z1 - SW_TOL_SLIVER)
        SW_TRY(sw_contour_piece(&out, &before, z_out, box.z1, p->ctx));
    return sw_plan_stock_between(p, &in, &out);
}

enum sw_status sw_plan_rough_span(struct sw_planner *p, struct sw_fitted tool, size_t first,
                                  size_t last, double z_plain)
{
    const struct sw_zone *outer = &p->zones.at[first], *inner = &p->zones.at[last];
    const bool is_whole = first == 0 && last + 1 == p->zones.n;
    /* The second side is small already; where tools come anew it is brought down all the same, so
     * that one of them does all that is left. In a bush there may be many spans, each a change. */
    const bool is_asked = p->now->in_bush || (!p->now->is_from_rod && !sw_plan_comes_anew(p));
    struct share *share = SW_NEW(p->ctx->arena, struct share, 1);
    const double nose = tool.tool->nose_radius.value;
    const double z_out = outer->is_tip ? p->z_tip : outer->z_out;
    const bool runs_on = p->now->is_from_rod && last + 1 == p->zones.n;
    const double z_root = sw_plan_zone_root(p, inner);
    const struct sw_zone_span span = {first, last, z_root - (runs_on ? SW_PLAN_OVER_RUN : 0)};
    const double r_stock = sw_plan_stock_radius(p, z_root, outer->is_tip ? p->stock_end : z_out);
    const struct sw_zone side = {
        .first = outer->first, .last = inner->last, .z_out = z_out, .z_in = inner->z_in};
    struct sw_schedule schedule;
    if (!share)
        return SW_MEMORY;
    share->tool = tool;
    share->depth_share = SW_STRENGTH_LEVELS;
    SW_TRY(sw_plan_locus(&share->locus, &p->turned, tool.tool, SW_PLAN_ROUGH_LEFT, p->ctx));
    share->reach = sw_plan_reach(&share->locus, span.z_in, z_out, nose + SW_PLAN_ROUGH_LEFT,
                                 outer->is_tip, z_plain);
    share->op = sw_plan_op(p, SW_OP_ROUGH, SW_CUT_ROUGH, tool, 2 * r_stock, side.first);
    share->op.what = is_whole ? "rough the whole side, left stout"
                              : sw_arena_printf(p->ctx->arena, "%s, left stout",
                                                sw_plan_says(p, "rough", &side));
    if (!share->op.what)
        return SW_MEMORY;
    share->how = (struct sw_levels){
        .r_stock = r_stock,
        .z_free = (outer->is_tip ? p->z_tip + SW_PLAN_ROUGH_LEFT : share->reach.z_out) + nose +
                  p->shop->clearance.value,
        .nose = nose,
        .r_clear = p->r_clear,
        .stock = &p->stock};
    SW_TRY(sw_plan_bottom(&share->bottom, &share->reach, nose, p->ctx));
    if (r_stock - share->bottom < SW_TOL_SLIVER)
        return SW_OK;
    /* As far down as it goes in good passes: the zones take it from there. */
    share->least_depth = whole_least_share * tool.tool->rough_depth.value;
    const enum sw_status status =
        sw_share_search(&schedule, share, 1, p, &side, SW_PLAN_ROUGH_LEFT, r_stock);
    if ((status != SW_OK && status != SW_CANNOT) || schedule.n == 0)
        return status == SW_CANNOT ? SW_OK : status;
    SW_TRY(choose_whole(&schedule, share, p, &side, &span));
    bool pays = true;
    if (is_asked)
        SW_TRY(span_pays(&pays, &schedule, share, p, &span));
    if (!pays)
        return SW_OK;
    SW_TRY(sw_share_cut(share, p, &schedule, false));
    return stock_after_span(p, &share->op, &span, share->reach.z_out);
}

enum sw_status sw_plan_rough_trough(struct sw_op *op, struct sw_planner *p,
                                    const struct sw_reach *reach, const struct sw_levels *how,
                                    double z_in)
{
    struct share *share = SW_NEW(p->ctx->arena, struct share, 1);
    const struct sw_zone between = {
        .first = p->land, .last = p->land, .z_out = p->z_border, .z_in = z_in};
    struct sw_schedule schedule;
    if (!share)
        return SW_MEMORY;
    share->tool = (struct sw_fitted){op->station, op->tool};
    share->depth_share = fmin(SW_PLAN_TROUGH_SHARE, how->depth / op->tool->most_depth.value);
    share->reach = *reach;
    share->how = *how;
    share->op = *op;
    SW_TRY(sw_plan_bottom(&share->bottom, reach, how->nose, p->ctx));
    if (how->r_stock - share->bottom < SW_TOL_SLIVER)
        return SW_OK;
    SW_TRY(find(&schedule, share, 1, p, &between, SW_PLAN_ROUGH_LEFT, how->r_stock));
    SW_TRY(sw_share_even_out(&schedule, share, p, &between, SW_PLAN_ROUGH_LEFT));
    if (p->bound) {
        p->bound->ways_s += 2 * p->bound->way_s;
        for (size_t i = 0; i < schedule.n; i++)
            p->bound->trough_s += schedule.pass[i].seconds;
    }
    SW_TRY(sw_share_reckon(share, &schedule, p->ctx));
    sw_share_speeds(share, &schedule);
    share->how.schedule = &schedule;
    SW_TRY(sw_plan_levels(&share->op, reach, &share->how, p->ctx));
    *op = share->op;
    return SW_OK;
}
