/* Roughing a zone: how deep and at which feed each pass goes is found by the schedule search under
 * what the work bears. */
#include <math.h>

#include "geom/tol.h"
#include "mech/feedtime.h"
#include "mech/speed.h"
#include "plan/strength.h"

/* Spindle speeds rise by this factor while a zone gets thinner. */
static const double speed_step = 1.4;

struct rule {
    struct sw_strength strength;
    double length;     /* of a run [mm] */
    double surface;    /* cutting speed at the outside: none of the steps exceeds it [m/min] */
    double most_speed; /* rev/min */
};

/* The spindle goes faster as the work gets thinner, in steps: every change is waited for. */
static double speed_of(void *user, double r)
{
    const struct rule *search = user;
    double speed = search->strength.speed;
    while (speed * speed_step <= search->most_speed &&
           sw_speed_surface(speed * speed_step, 2 * r) <= search->surface)
        speed *= speed_step;
    return speed;
}

static double length_of(void *user, double r)
{
    const struct rule *search = user;
    (void)r;
    return search->length;
}

static bool allows(void *user, double r_old, double depth, double feed)
{
    struct rule *search = user;
    return sw_strength_allows(&search->strength, r_old, depth, feed);
}

/* Off the wall, up, back along Z and down again, each from rest to rest. */
static double back_seconds(const struct sw_machine *machine, double length)
{
    const struct sw_axis_limits x = {machine->rapid.x.value / 60, machine->acceleration.x.value,
                                     HUGE_VAL};
    const struct sw_axis_limits z = {machine->rapid.z.value / 60, machine->acceleration.z.value,
                                     HUGE_VAL};
    return 2 * sw_feed_time(2 * SW_PLAN_LIFT, &x) + sw_feed_time(length, &z);
}

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

/* A level takes no more than this share of what the tool may: the contour run after it can meet a
 * whole step, and a little of the one before, where a trough grew too narrow for a level. */
static const double level_share = 0.8;

/* Roughing a whole side ends where the strongest tool could only take less than this share of its
 * usual depth. */
static const double whole_least_share = 0.5;

/* What clearing one corner with the finish tool takes, about [s]. */
static const double corner_s = 4;

enum { MOST_TOOLS = 2 };

/* One tool's share of a zone. */
struct share {
    struct sw_fitted tool;
    struct sw_contour locus;
    struct sw_reach reach;
    struct sw_levels how;
    struct sw_op op;
    struct rule search;
    double bottom;      /* material radius it can come down to */
    double least_depth; /* thinner passes are left to the next tool */
};

static bool share_allows(void *user, double r_old, double depth, double feed)
{
    struct share *share = user;
    return r_old - depth >= share->bottom - SW_TOL_SLIVER &&
           allows(&share->search, r_old, depth, feed);
}

static double share_speed(void *user, double r)
{
    return speed_of(&((struct share *)user)->search, r);
}

static double share_length(void *user, double r)
{
    return length_of(&((struct share *)user)->search, r);
}

static enum sw_status begin_share(struct share *share, struct sw_planner *p,
                                  const struct sw_zone *zone, double leave, double r_stock)
{
    const struct sw_tool *tool = share->tool.tool;
    const double nose = tool->nose_radius.value;
    SW_TRY(sw_plan_zone_reach(&share->reach, &share->locus, p, zone, tool, leave, leave));
    share->op = sw_plan_op(p, SW_OP_ROUGH, SW_CUT_ROUGH, share->tool, 2 * r_stock, zone->first);
    share->op.what = sw_plan_says(p, "rough", zone);
    share->how =
        (struct sw_levels){.r_stock = r_stock,
                           .z_free = (zone->is_tip ? p->z_tip + leave : share->reach.z_out) + nose +
                                     p->shop->clearance.value,
                           .nose = nose,
                           .r_clear = p->r_clear,
                           .stock = &p->stock};
    share->search.length = share->how.z_free - share->reach.z_in;
    return share->op.what ? sw_plan_bottom(&share->bottom, &share->reach, nose, p->ctx) : SW_MEMORY;
}

/* The passes of one tool, as a schedule of their own. */
static struct sw_schedule passes_of(const struct sw_schedule *whole, size_t tool)
{
    size_t first = 0;
    while (first < whole->n && whole->pass[first].tool < tool)
        first++;
    size_t n = 0;
    while (first + n < whole->n && whole->pass[first + n].tool == tool)
        n++;
    return (struct sw_schedule){.pass = whole->pass + first, .n = n};
}

/* On slopes and tapers each level ends short of the wall and leaves a step as high as it is deep;
 * so does one that lies below the surface everywhere and cuts nothing. */
static bool leaves_steps(const struct share *share)
{
    size_t n_to_wall = 0;
    for (size_t i = 0; i < share->op.n_passes; i++) {
        const struct sw_contour *run = &share->op.pass[i].run;
        n_to_wall += run->at[run->n - 1].b.z <= share->reach.z_in + SW_TOL_SLIVER;
    }
    return n_to_wall < share->how.schedule->n;
}

/* One tool takes the steps of its own levels off, down to where they end, before a finer one goes
 * on. */
static enum sw_status follow_to_floor(struct share *share, struct sw_planner *p)
{
    const double r_floor = share->how.r_floor + share->tool.tool->nose_radius.value;
    const struct sw_box box = sw_contour_box(&share->locus);
    struct sw_contour floor = {0}, raised;
    struct sw_reach reach = share->reach;
    if (!sw_contour_add(p->ctx->arena, &floor,
                        sw_seg_line((struct sw_pt){box.z0, r_floor},
                                    (struct sw_pt){box.z1, r_floor}, SW_TAG_NONE)))
        return SW_MEMORY;
    SW_TRY(sw_contour_upper(&raised, &share->locus, &floor, p->ctx));
    reach.locus = &raised;
    reach.is_tip = false; /* over the tip it comes in level */
    reach.r_floor = fmax(reach.r_floor, r_floor);
    return sw_plan_follow(&share->op, &reach, share->op.depth, p->r_clear, p->ctx);
}

static enum sw_status cut_share(struct share *share, struct sw_planner *p,
                                const struct sw_schedule *own, bool is_last, bool follows)
{
    struct sw_op *op = &share->op;
    share->how.schedule = own;
    share->how.r_stock = own->pass[0].r_old;
    op->depth = 0;
    for (size_t i = 0; i < own->n; i++) {
        op->depth = fmax(op->depth, own->pass[i].depth);
        if (op->is_surface_speed)
            own->pass[i].speed = 0; /* the control sees to it */
    }
    const struct sw_schedule_pass *end = &own->pass[own->n - 1];
    if (!is_last)
        share->how.r_floor = end->r_old - end->depth;
    SW_TRY(sw_plan_levels(op, &share->reach, &share->how, p->ctx));
    /* Steps that levels leave on slopes come off before the fine tool. A pivot has no slopes, and
     * on its face there is nothing more to take. */
    const bool is_bare_pivot = share->reach.is_tip && op->section < p->staff->n &&
                               p->staff->section[op->section].kind == SW_SECTION_PIVOT;
    if (is_last && !is_bare_pivot)
        SW_TRY(sw_plan_follow(op, &share->reach, op->depth, p->r_clear, p->ctx));
    if (!is_last && follows && leaves_steps(share))
        SW_TRY(follow_to_floor(share, p));
    return sw_plan_add(p, *op);
}

static enum sw_status search(struct sw_schedule *schedule, struct share *share, size_t n,
                             struct sw_planner *p, const struct sw_zone *zone, double leave,
                             double r_stock)
{
    struct sw_ctx *ctx = p->ctx;
    const double r_to = share[n - 1].bottom;
    const double whole = r_stock - r_to;
    const double grain = whole / ceil(whole / SW_STRENGTH_GRAIN - SW_TOL_POINT);
    struct sw_schedule_case of[MOST_TOOLS];
    for (size_t i = 0; i < n; i++) {
        struct sw_op *op = &share[i].op;
        struct sw_strength *strength = &share[i].search.strength;
        const double speed = op->is_surface_speed
                                 ? sw_speed_clamped(op->speed, 2 * r_stock, 1, op->speed_clamp)
                                 : op->speed;
        share[i].search.surface =
            op->is_surface_speed ? op->speed : sw_speed_surface(speed, 2 * r_stock);
        share[i].search.most_speed = p->shop->machine->spindle.most_speed.value;
        SW_TRY(sw_strength_begin(strength, p, zone, op->tool, speed, grain, r_to, leave, ctx));
        of[i] = (struct sw_schedule_case){
            .r_from = r_stock,
            .r_to = r_to,
            .grain = grain,
            .least_depth = share[i].least_depth,
            .most_depth = level_share * op->tool->most_depth.value,
            .feed = strength->feed,
            .n_feeds = strength->n_feeds,
            .back_s = back_seconds(p->shop->machine, share[i].search.length),
            .speed = share_speed,
            .length = share_length,
            .is_allowed = share_allows,
            .user = &share[i]};
    }
    /* The finish tool comes next in any case. Beginning with another one costs the change to it,
     * the change back, and the corner its larger nose leaves. */
    const double change_s = p->shop->machine->change_time.value;
    const int now = p->ops.n > 0 ? p->ops.at[p->ops.n - 1].station : 0;
    of[0].start_s = now == share[0].tool.station ? 0 : change_s;
    if (n > 1) {
        of[0].start_s += change_s + corner_s;
        of[1].start_s = now == share[1].tool.station ? 0 : change_s;
    }
    const enum sw_status status = sw_schedule_find(schedule, of, n, 0, ctx);
    for (size_t i = 0; i < n; i++)
        SW_TRY(share[i].search.strength.status);
    return status;
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
    const enum sw_status status = search(schedule, share, n, p, zone, leave, r_stock);
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
    const struct sw_fitted fine = zone->finish, strong = sw_plan_rough_tool(p, fine);
    struct share *share = SW_NEW(p->ctx->arena, struct share, MOST_TOOLS);
    struct sw_schedule schedule;
    if (!share)
        return SW_MEMORY;
    size_t n = 0;
    if (strong.tool != fine.tool)
        share[n++].tool = strong;
    share[n++].tool = fine;
    for (size_t i = 0; i < n; i++)
        SW_TRY(begin_share(&share[i], p, zone, leave, r_stock));
    if (isinf(share[n - 1].bottom))
        return refuse_too_short(p, zone, fine.tool, leave);
    if (r_stock - share[n - 1].bottom < SW_TOL_SLIVER)
        return SW_OK;
    SW_TRY(find(&schedule, share, n, p, zone, leave, r_stock));
    const size_t last = schedule.pass[schedule.n - 1].tool;
    for (size_t i = 0; i < n; i++) {
        const struct sw_schedule own = passes_of(&schedule, i);
        if (own.n == 0)
            continue;
        SW_TRY(cut_share(&share[i], p, &own, i == last, true));
        if (share[i].tool.tool != fine.tool)
            SW_TRY(sw_plan_clear_corner(p, zone, share[i].tool, &share[i].reach, leave,
                                        share[i].how.r_floor));
    }
    return SW_OK;
}

enum sw_status sw_plan_rough_whole(struct sw_planner *p, struct sw_fitted tool, double z_plain)
{
    struct share *share = SW_NEW(p->ctx->arena, struct share, 1);
    const double nose = tool.tool->nose_radius.value;
    const double r_stock = sw_plan_stock_radius(p, p->z_border, p->stock_end);
    const double z_in = p->now->is_from_rod ? p->z_border - SW_PLAN_OVER_RUN : p->z_border;
    const struct sw_zone side = {
        .first = p->zones.at[0].first, .last = p->land, .z_out = p->z_tip, .z_in = p->z_border};
    struct sw_schedule schedule;
    if (!share)
        return SW_MEMORY;
    share->tool = tool;
    SW_TRY(sw_plan_locus(&share->locus, &p->turned, tool.tool, SW_PLAN_ROUGH_LEFT, p->ctx));
    share->reach =
        sw_plan_reach(&share->locus, z_in, p->z_tip, nose + SW_PLAN_ROUGH_LEFT, true, z_plain);
    share->op = sw_plan_op(p, SW_OP_ROUGH, SW_CUT_ROUGH, tool, 2 * r_stock, side.first);
    share->op.what = "rough the whole side, left stout";
    share->how = (struct sw_levels){.r_stock = r_stock,
                                    .z_free = p->z_tip + SW_PLAN_ROUGH_LEFT + nose +
                                              p->shop->clearance.value,
                                    .nose = nose,
                                    .r_clear = p->r_clear,
                                    .stock = &p->stock};
    share->search.length = share->how.z_free - z_in;
    SW_TRY(sw_plan_bottom(&share->bottom, &share->reach, nose, p->ctx));
    if (r_stock - share->bottom < SW_TOL_SLIVER)
        return SW_OK;
    /* As far down as it goes in good passes: the zones take it from there. */
    share->least_depth = whole_least_share * tool.tool->rough_depth.value;
    const enum sw_status status =
        search(&schedule, share, 1, p, &side, SW_PLAN_ROUGH_LEFT, r_stock);
    if ((status != SW_OK && status != SW_CANNOT) || schedule.n == 0)
        return status == SW_CANNOT ? SW_OK : status;
    SW_TRY(cut_share(share, p, &schedule, false, false));
    return sw_plan_stock_after(p, &share->op, z_in, share->reach.z_out);
}
