/* What one tool does of a zone: the levels as they would really be cut, what the work bears, and
 * the schedules over both. Shared by all that rough (rough.c) and by what they are compared with
 * (ties.c). */
#include "plan/rough_int.h"
#include "plan/hang.h"
#include "plan/support.h"

#include <math.h>

#include "geom/tol.h"
#include "mech/speed.h"

/* Spindle speeds rise by this factor while a zone gets thinner. */
static const double speed_step = 1.4;

/* A tool whose nose is larger than its depth would be left nothing in a corner: there it takes this
 * share at least, as in a trough. */
static const double least_corner_share = 0.5;

/* A run that is too much for the holder is slowed down by this factor at a time. */
static const double slower = 0.9;

/* What clearing one corner with the finish tool takes, about [s]. */
static const double corner_s = 4;

/* The spindle goes faster as the work gets thinner, in steps: every change is waited for; unless
 * the control sees to it. */
static double speed_of(void *user, double r)
{
    const struct rule *search = user;
    double speed = search->strength.speed;
    if (search->keeps > 0)
        return sw_speed_clamped(search->surface, 2 * r, 1, search->keeps);
    while (speed * speed_step <= search->most_speed &&
           sw_speed_surface(speed * speed_step, 2 * r) <= search->surface)
        speed *= speed_step;
    return speed;
}

static bool allows(void *user, double r_old, double depth, double feed)
{
    struct rule *search = user;
    return sw_strength_allows(&search->strength, r_old, depth, feed);
}

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

/* What a level at radius R of material is made of. */
static struct sw_level_shape shape_at(struct share *share, double r)
{
    struct sw_level_shape shape = {0};
    const size_t i = (size_t)fmax(0, (share->r_from - r) / share->grain + 0.5);
    if (i < share->n_shapes && share->shape[i].length >= 0)
        return share->shape[i];
    const enum sw_status status =
        sw_plan_level_shape(&shape, &share->reach, &share->how, r + share->how.nose, share->ctx);
    if (status != SW_OK)
        share->search.strength.status = status;
    if (i < share->n_shapes)
        share->shape[i] = shape;
    return shape;
}

double sw_share_length(void *user, double r)
{
    return shape_at(user, r).length;
}

/* From the end of one run to the begin of the next: off at feed, back along Z, down again; what is
 * entered from above at feed. Where a level has several runs, each is left to above everything. */
double sw_share_back(void *user, double r_old, double depth, double feed, double speed)
{
    struct share *share = user;
    const struct sw_level_shape shape = shape_at(share, r_old - depth);
    const int n = shape.n_open + shape.n_closed;
    if (n == 0)
        return 0;
    const double per_s = feed * speed / 60, lift = SW_PLAN_LIFT * sqrt(2.0);
    const struct sw_tool *tool = share->tool.tool;
    const double air_s = 60 / speed *
                         (n * lift / sw_plan_air_feed(tool, feed, speed) +
                          shape.air / sw_plan_air_feed(tool, feed, speed));
    const double over = n > 1 ? share->how.r_clear - r_old : SW_PLAN_LIFT + depth;
    const double back = sw_feed_time(over, &share->rapid_x) +
                        sw_feed_time((shape.length + shape.air) / n, &share->rapid_z) +
                        (n > 1 ? sw_feed_time(over, &share->rapid_x) : 0);
    const bool is_narrow = shape.length < n * SW_PLAN_NARROW && share->r_narrow > 0;
    const double enter = is_narrow ? share->r_narrow - (r_old - depth) : depth;
    return n * back + air_s + shape.n_closed * (enter + SW_PLAN_LIFT / 2) / per_s;
}

static enum sw_status look_at_levels(struct share *share, const struct sw_machine *machine,
                                     double r_from, double r_to, double grain, struct sw_ctx *ctx)
{
    share->rapid_x = (struct sw_axis_limits){machine->rapid.x.value / 60,
                                             machine->acceleration.x.value, HUGE_VAL};
    share->rapid_z = (struct sw_axis_limits){machine->rapid.z.value / 60,
                                             machine->acceleration.z.value, HUGE_VAL};
    share->ctx = ctx;
    share->r_from = r_from;
    share->grain = grain;
    share->n_shapes = (size_t)((r_from - r_to) / grain + 1.5);
    share->shape = SW_NEW(ctx->arena, struct sw_level_shape, share->n_shapes);
    if (!share->shape)
        return SW_MEMORY;
    for (size_t i = 0; i < share->n_shapes; i++)
        share->shape[i].length = -1;
    return SW_OK;
}

/* The corner in which a run down a slope ends, before the wall that levels have left: the run's
 * last place of the nose, seen across its way, with the nose of the last level STEP above it and
 * GAP nearer to the wall. */
struct corner {
    double slope; /* of the run [rad] */
    double nose, gap;
    double lean; /* of the leading edge: how far it falls back a mm of height */
};

/* How far beyond the nose's centre line metal stands ALONG the way ahead of the centre: up to where
 * the nose of the level has been, or to the leading edge. */
static double corner_height(const struct corner *c, double step, double along)
{
    const double sine = sin(c->slope), cosine = cos(c->slope);
    const double falls = sine + c->lean * cosine;
    const double edge =
        falls > 0 ? (c->nose * hypot(1, c->lean) - along * (cosine - c->lean * sine)) / falls
                  : HUGE_VAL;
    const double z = c->gap - along * cosine, r = -step - along * sine;
    const double half = z * sine - r * cosine;
    const double squared = half * half - (z * z + r * r - c->nose * c->nose);
    return squared > 0 ? fmin(edge, half - sqrt(squared)) : edge;
}

enum { CORNER_PLACES = 32 };

static double corner_thickness(const struct corner *c, double step)
{
    double most = 0;
    for (int i = 0; i < CORNER_PLACES; i++) {
        const double along = c->nose * i / CORNER_PLACES;
        const double below = sqrt((c->nose - along) * (c->nose + along));
        most = fmax(most, below + corner_height(c, step, along));
    }
    return most;
}

/* Steps are sought by halving: to a thousandth of what the tool may cut. */
enum { CORNER_HALVINGS = 10 };

/* The run over the steps ends in a corner where a slope comes down to a wall: it takes the last
 * step there, what was too narrow for a level, and the fillet of the nose before it, all at once
 * across its way. That much and no more the tool may cut. */
static double corner_share(const struct share *share, const struct sw_tool *tool)
{
    const struct sw_reach *reach = &share->reach;
    const double nose = tool->nose_radius.value, most = tool->most_depth.value;
    const double z = reach->z_in + reach->stop_short;
    double r = 0, r_out = 0, low, high;
    if (!reach->ends_at_wall || !sw_contour_r_at(&r, &share->locus, z) ||
        !sw_contour_r_at(&r_out, &share->locus, z + SW_LEAST_STRETCH) || r_out < r + SW_TOL_SLIVER)
        return SW_STRENGTH_LEVELS;
    sw_tool_flanks(&low, &high, tool);
    const double rise = r_out - r;
    const struct corner corner = {.slope = atan2(rise, SW_LEAST_STRETCH),
                                  .nose = nose,
                                  .gap = fmin(reach->stop_short, nose),
                                  .lean = 1 / tan(high)};
    double bears = least_corner_share * most, step = SW_STRENGTH_LEVELS * most;
    if (corner_thickness(&corner, step + rise) <= most)
        return SW_STRENGTH_LEVELS;
    for (int i = 0; i < CORNER_HALVINGS; i++) {
        const double middle = (bears + step) / 2;
        if (corner_thickness(&corner, middle + rise) <= most)
            bears = middle;
        else
            step = middle;
    }
    return bears / most;
}

enum sw_status sw_share_begin(struct share *share, struct sw_planner *p, const struct sw_zone *zone,
                              double leave, double r_stock)
{
    const struct sw_tool *tool = share->tool.tool;
    const double nose = tool->nose_radius.value;
    SW_TRY(sw_plan_zone_reach(&share->reach, &share->locus, p, zone, tool, leave, leave));
    share->leave = leave;
    share->r_narrow = p->now->in_bush ? r_stock : 0;
    share->depth_share = corner_share(share, tool);
    if (p->hang.is_on)
        share->depth_share = fmin(share->depth_share, sw_hang_depth_share(tool));
    share->op = sw_plan_op(p, SW_OP_ROUGH, SW_CUT_ROUGH, share->tool, 2 * r_stock, zone->first);
    share->op.what = sw_plan_says(p, "rough", zone);
    share->how =
        (struct sw_levels){.r_stock = r_stock,
                           .z_free = (zone->is_tip ? p->z_tip + leave : share->reach.z_out) + nose +
                                     p->shop->clearance.value,
                           .nose = nose,
                           .r_clear = p->r_clear,
                           .stock = &p->stock};
    return share->op.what ? sw_plan_bottom(&share->bottom, &share->reach, nose, p->ctx) : SW_MEMORY;
}

/* The passes of one tool, as a schedule of their own. */
struct sw_schedule sw_share_passes(const struct sw_schedule *whole, size_t tool)
{
    size_t first = 0;
    while (first < whole->n && whole->pass[first].tool < tool)
        first++;
    size_t n = 0;
    while (first + n < whole->n && whole->pass[first + n].tool == tool)
        n++;
    return (struct sw_schedule){.pass = whole->pass + first, .n = n};
}

void sw_share_speeds(struct share *share, const struct sw_schedule *own)
{
    struct sw_op *op = &share->op;
    op->depth = 0;
    for (size_t i = 0; i < own->n; i++) {
        op->depth = fmax(op->depth, own->pass[i].depth);
        if (op->is_surface_speed)
            own->pass[i].speed = 0; /* the control sees to it */
    }
}

/* What each pass does, and what kept it from more. */
enum sw_status sw_share_reckon(struct share *share, const struct sw_schedule *own,
                               struct sw_ctx *ctx)
{
    const double most = share->depth_share * share->op.tool->most_depth.value;
    struct sw_pass_load *load = SW_NEW(ctx->arena, struct sw_pass_load, own->n);
    double *enter = SW_NEW(ctx->arena, double, own->n);
    if (!load || !enter)
        return SW_MEMORY;
    for (size_t i = 0; i < own->n; i++) {
        const struct sw_schedule_pass *pass = &own->pass[i];
        SW_TRY(sw_strength_pass_load(&load[i], &share->search.strength, pass->r_old, pass->depth,
                                     pass->feed, most));
        SW_TRY(sw_strength_enter_feed(&enter[i], &share->search.strength, pass->r_old, pass->depth,
                                      pass->feed));
    }
    share->how.load = load;
    share->how.enter_feed = enter;
    return SW_OK;
}

/* The run over the steps meets a whole level at once, also where the work is thickest: it is fed no
 * faster than the holder keeps the work from slipping there, but no slower than a last cut: on
 * faces it takes as little as that, and would only rub. */
static enum sw_status steps_feed(double *feed, struct share *share, double r_stock, double depth,
                                 struct sw_planner *p)
{
    const struct sw_op *op = &share->op;
    struct sw_strength *s = &share->search.strength;
    struct sw_plan_load load;
    for (*feed = op->feed;; *feed *= slower) {
        SW_TRY(sw_strength_load(&load, s, r_stock, depth, *feed));
        if (load.grip <= load.most_grip || slower * *feed < op->tool->finish_feed.value)
            break;
    }
    if ((!p->now->in_bush && !p->hang.is_on) || p->bears_all)
        return SW_OK;
    const struct sw_step of = {s->z_in, s->z_out, share->leave, op};
    return sw_support_step_feed(feed, p, &of, depth);
}

static enum sw_status follow_steps(struct share *share, double r_stock, struct sw_planner *p)
{
    struct sw_op *op = &share->op;
    const size_t before = op->n_passes;
    double feed;
    SW_TRY(steps_feed(&feed, share, r_stock, op->depth, p));
    SW_TRY(sw_plan_follow(op, &share->reach, op->depth, p->r_clear, p->ctx));
    for (size_t i = before; feed < op->feed && i < op->n_passes; i++)
        op->pass[i].feed = feed;
    return SW_OK;
}

/* A pivot has no slopes, and on its face there is nothing more to take. */
static bool is_bare_pivot(const struct share *share, const struct sw_planner *p)
{
    return (share->reach.is_tip || share->reach.is_hung) && share->op.section < p->staff->n &&
           p->staff->section[share->op.section].kind == SW_SECTION_PIVOT;
}

enum sw_status sw_share_cut(struct share *share, struct sw_planner *p,
                            const struct sw_schedule *own, bool is_last)
{
    struct sw_op *op = &share->op;
    SW_TRY(sw_share_reckon(share, own, p->ctx));
    share->how.schedule = own;
    share->how.r_stock = own->pass[0].r_old;
    sw_share_speeds(share, own);
    const struct sw_schedule_pass *end = &own->pass[own->n - 1];
    if (!is_last)
        share->how.r_floor = end->r_old - end->depth;
    SW_TRY(sw_plan_levels(op, &share->reach, &share->how, p->ctx));
    /* Steps that levels leave on slopes come off before the fine tool. */
    if (is_last && !is_bare_pivot(share, p))
        SW_TRY(follow_steps(share, own->pass[0].r_old, p));
    return sw_plan_add(p, *op);
}

enum sw_status sw_share_case(struct sw_schedule_case *of, struct share *share, struct sw_planner *p,
                             const struct sw_zone *zone, double leave, double r_from, double r_to,
                             double grain)
{
    struct sw_op *op = &share->op;
    const double r_stock = share->how.r_stock;
    const double speed = op->is_surface_speed
                             ? sw_speed_clamped(op->speed, 2 * r_stock, 1, op->speed_clamp)
                             : op->speed;
    share->search.surface = op->is_surface_speed ? op->speed : sw_speed_surface(speed, 2 * r_stock);
    share->search.keeps = op->is_surface_speed ? op->speed_clamp : 0;
    share->search.most_speed =
        sw_plan_is_by_hand(p) ? speed : p->shop->machine->spindle.most_speed.value;
    SW_TRY(sw_strength_begin(&share->search.strength, p, zone, op->tool, speed, grain, r_to, leave,
                             p->ctx));
    SW_TRY(look_at_levels(share, p->shop->machine, r_from, r_to, grain, p->ctx));
    *of = (struct sw_schedule_case){.r_from = r_from,
                                    .r_to = r_to,
                                    .grain = grain,
                                    .least_depth = share->least_depth,
                                    .most_depth = share->depth_share * op->tool->most_depth.value,
                                    .feed = share->search.strength.feed,
                                    .n_feeds = share->search.strength.n_feeds,
                                    .back = sw_share_back,
                                    .speed = share_speed,
                                    .length = sw_share_length,
                                    .is_allowed = share_allows,
                                    .user = share};
    return SW_OK;
}

/* About how far away tools are changed [mm]. */
static const double change_way_x = 14, change_way_z = 30;

/* What it costs to take up the first of N tools, and the last. The finish tool comes next in any
 * case; beginning with another one costs the change to it, the change back, and the corner its
 * larger nose leaves. */
void sw_share_start(double start_s[MOST_TOOLS], const struct share *share, size_t n,
                    const struct sw_planner *p)
{
    const struct sw_machine *machine = p->shop->machine;
    const struct sw_axis_limits x = {machine->rapid.x.value / 60, machine->acceleration.x.value,
                                     HUGE_VAL};
    const struct sw_axis_limits z = {machine->rapid.z.value / 60, machine->acceleration.z.value,
                                     HUGE_VAL};
    const double change_s = machine->change_time.value + machine->spindle.start_time.value +
                            2 * (sw_feed_time(change_way_x, &x) + sw_feed_time(change_way_z, &z));
    const int now = p->ops.n > 0 ? p->ops.at[p->ops.n - 1].station : 0;
    start_s[0] = now == share[0].tool.station ? 0 : change_s;
    if (n > 1) {
        start_s[0] += change_s + corner_s;
        start_s[1] = now == share[1].tool.station ? 0 : change_s;
    }
}

/* Steps of the grid, at most SW_STRENGTH_GRAIN and as few as that, but so that the deepest cut of
 * each tool is nearly a whole number of them: what a grid cuts off it costs passes. */
static double grain_of(const struct share *share, size_t n_shares, double whole)
{
    const int least = (int)ceil(whole / SW_STRENGTH_GRAIN - SW_TOL_POINT);
    const int most = least + least / 4 + 1;
    double best = 0, best_lost = HUGE_VAL;
    for (int n = least; n <= most; n++) {
        const double grain = whole / n;
        double lost = 0;
        for (size_t i = 0; i < n_shares; i++) {
            const double deepest = share[i].depth_share * share[i].tool.tool->most_depth.value;
            lost += 1 - grain * floor(deepest / grain + SW_TOL_SLIVER) / deepest;
        }
        if (lost < best_lost - SW_TOL_SLIVER) {
            best_lost = lost;
            best = grain;
        }
    }
    return best;
}

enum sw_status sw_share_search(struct sw_schedule *schedule, struct share *share, size_t n,
                               struct sw_planner *p, const struct sw_zone *zone, double leave,
                               double r_stock)
{
    const double r_to = share[n - 1].bottom;
    const double grain = grain_of(share, n, r_stock - r_to);
    struct sw_schedule_case of[MOST_TOOLS];
    double start_s[MOST_TOOLS];
    sw_share_start(start_s, share, n, p);
    for (size_t i = 0; i < n; i++) {
        SW_TRY(sw_share_case(&of[i], &share[i], p, zone, leave, r_stock, r_to, grain));
        of[i].start_s = start_s[i];
    }
    const enum sw_status status = sw_schedule_find(schedule, of, n, 0, p->ctx);
    for (size_t i = 0; i < n; i++)
        SW_TRY(share[i].search.strength.status);
    return status;
}

/* More passes than this many times the best number were never faster: stop looking. */
static const double even_more = 2.5;

/* The fastest equal passes of one tool from R_FROM to R_TO. SW_CANNOT when there are none. */
enum sw_status sw_share_search_even(struct sw_schedule *best, struct share *share,
                                    struct sw_planner *p, const struct sw_zone *zone, double leave,
                                    double r_from, double r_to, bool one_feed)
{
    const double whole = r_from - r_to;
    const double most = share->depth_share * share->op.tool->most_depth.value;
    const int least_n = (int)ceil(whole / most - SW_TOL_POINT);
    const int most_n = (int)fmax(least_n, floor(whole / SW_STRENGTH_GRAIN));
    *best = (struct sw_schedule){0};
    for (int n = least_n; n <= most_n; n++) {
        struct sw_schedule_case of;
        struct sw_schedule now;
        SW_TRY(sw_share_case(&of, share, p, zone, leave, r_from, r_to, whole / n));
        if (best->n > 0 && n > even_more * (double)best->n)
            break;
        const enum sw_status status = sw_schedule_even(&now, &of, one_feed, p->ctx);
        SW_TRY(share->search.strength.status);
        if (status == SW_CANNOT)
            continue;
        SW_TRY(status);
        if (best->n == 0 || now.seconds < best->seconds)
            *best = now;
    }
    return best->n > 0 ? SW_OK : SW_CANNOT;
}

/* A schedule with the run over its steps, which in a bush is fed by how high they stand [s]. */
static enum sw_status seconds_with_steps(double *seconds, const struct sw_schedule *of,
                                         struct share *share, struct sw_planner *p)
{
    double depth = 0, feed;
    *seconds = 0;
    for (size_t i = 0; i < of->n; i++) {
        *seconds += of->pass[i].seconds;
        depth = fmax(depth, of->pass[i].depth);
    }
    if ((!p->now->in_bush && !p->hang.is_on) || is_bare_pivot(share, p))
        return SW_OK;
    const struct sw_schedule_pass *end = &of->pass[of->n - 1];
    const struct sw_strength *s = &share->search.strength;
    SW_TRY(steps_feed(&feed, share, of->pass[0].r_old, depth, p));
    *seconds += sw_speed_time(s->z_out - s->z_in, feed, share_speed(share, end->r_old));
    return SW_OK;
}

/* Equal passes stay unless others are faster by so much: the judge's clock differs from what is
 * reckoned here by about a tenth of a second a zone. */
static const double surely_faster_s = 0.15;

/* The passes of one tool divided equally, where the plan is tied to that, or where others would not
 * surely be faster. */
enum sw_status sw_share_even_out(struct sw_schedule *own, struct share *share, struct sw_planner *p,
                                 const struct sw_zone *zone, double leave)
{
    struct sw_schedule even;
    if (own->n == 0)
        return SW_OK;
    const struct sw_schedule_pass *end = &own->pass[own->n - 1];
    const double r_to = end->r_old - end->depth;
    const bool is_free = p->ties == SW_TIES_NONE;
    const enum sw_status status =
        sw_share_search_even(&even, share, p, zone, leave, own->pass[0].r_old, r_to,
                             !is_free && p->ties != SW_TIES_TWO_LEVEL);
    if (is_free && status == SW_CANNOT)
        return SW_OK;
    SW_TRY(status);
    if (is_free) {
        double even_s, own_s;
        SW_TRY(seconds_with_steps(&even_s, &even, share, p));
        SW_TRY(seconds_with_steps(&own_s, own, share, p));
        if (p->now->in_bush) {
            /* the search counts taking up the tool, equal passes do not */
            double start_s[MOST_TOOLS];
            sw_share_start(start_s, share, 1, p);
            own_s -= start_s[0];
        }
        if (!(even_s < own_s + surely_faster_s))
            return SW_OK;
    }
    for (size_t i = 0; i < even.n; i++)
        even.pass[i].tool = own->pass[0].tool;
    *own = even;
    return SW_OK;
}
