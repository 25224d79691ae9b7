/* One side, from the bare end to the hub: face, then zone by zone roughing, semi-finish, a pause to
 * measure, the last cut, a pause to try the part that goes there.
 *
 * Pivots tip-first: each zone is finished while the bar behind it is still full, so that a pivot
 * is never the lever for a later cut. Pivots last: the tip is only roughed to a stout cylinder
 * first; the seats are cut and tried with the real parts; cone and pivot come at the end. */
#include <math.h>

#include "geom/tol.h"
#include "plan/bound.h"
#include "plan/engage.h"
#include "plan/hang.h"
#include "plan/spring.h"
#include "plan/support.h"
#include "plan/window.h"

/* Left on radius over the ridge where pivots come last [mm]; common practice, no source. */
static const double stout_left = 0.05;
/* And under the outer end of the seat next to it. */
static const double stout_under = 0.005;

/* A slice is drawn in no more than this further than the one before it, whose finished surface its
 * cut begins on: nothing that could be a chip is to be taken off there twice [mm]. */
static const double slice_step = 0.0004;

/* What four decimals of a text round to, and more [mm]. */
static const double written = 2e-4;

/* More runs over the edge of a tip are not made: the last takes what it must. */
enum { MOST_TIP_RUNS = 8 };

enum sw_status sw_plan_add(struct sw_planner *p, struct sw_op op)
{
    const bool is_across = op.kind == SW_OP_FACE || op.kind == SW_OP_PART ||
                           op.kind == SW_OP_GROOVE ||
                           (op.kind == SW_OP_TROUGH && op.tool->kind.value == SW_TOOL_BLADE);
    if (is_across)
        SW_TRY(sw_strength_across(&op, p));
    const bool is_by_blade = op.tool && op.tool->kind.value == SW_TOOL_BLADE;
    const bool is_told = op.kind == SW_OP_FACE || op.kind == SW_OP_PART || op.kind == SW_OP_RECESS;
    if (!is_by_blade && !is_told) /* a recess tells of its own fillet */
        SW_TRY(sw_engage_tell(&op, p, NULL));
    if (p->now->in_bush)
        SW_TRY(sw_support_gap(&op.bush_gap, p->shop->machine, op.tool, p->ctx));
    const bool is_pause = op.kind == SW_OP_MEASURE || op.kind == SW_OP_TRY;
    if (!is_pause && op.n_passes == 0)
        return SW_OK;
    return SW_VEC_PUSH(p->ctx->arena, &p->ops, op) ? SW_OK : SW_MEMORY;
}

struct sw_op sw_plan_op(struct sw_planner *p, enum sw_op_kind kind, enum sw_cut_use use,
                        struct sw_fitted tool, double largest_diameter, size_t section)
{
    const struct sw_cut_case of = {
        .use = use,
        .tool = tool.tool,
        .material = p->now->stock->is,
        .machine = p->shop->machine,
        .largest_diameter = largest_diameter,
        .only_diameter = sw_plan_is_by_hand(p) ? p->now->rod_diameter : 0,
        .may_use_surface_speed = sw_post_has_surface_speed(p->post) &&
                                 p->shop->machine->control.surface_speed.value == 1};
    struct sw_cut cut;
    sw_cut_choose(&cut, &of);
    if (use == SW_CUT_ROUGH || use == SW_CUT_FACE)
        sw_strength_ease(&cut, p, tool.tool, largest_diameter);
    return (struct sw_op){.kind = kind,
                          .section = section,
                          .station = tool.station,
                          .tool = tool.tool,
                          .speed = cut.speed,
                          .is_surface_speed = cut.is_surface_speed,
                          .speed_clamp = cut.speed_clamp,
                          .feed = cut.feed,
                          .depth = cut.depth};
}

static enum sw_status face(struct sw_planner *p, struct sw_fitted tool, double left)
{
    const double r_stock = sw_plan_stock_radius(p, p->z_tip, p->stock_end);
    struct sw_op op =
        sw_plan_op(p, SW_OP_FACE, SW_CUT_FACE, tool, 2 * r_stock, p->zones.at[0].first);
    SW_TRY(sw_strength_ease_face(&op, p, r_stock, p->z_tip));
    return sw_plan_face(p, op, left);
}

enum sw_status sw_plan_face(struct sw_planner *p, struct sw_op op, double left)
{
    const double r_stock = sw_plan_stock_radius(p, p->z_tip, p->stock_end);
    op.what = "face the end";
    const double nose = op.tool->nose_radius.value, target = p->z_tip + left;
    const int n = (int)ceil((p->stock_end - target) / op.depth - SW_TOL_SLIVER);
    const double r_start = r_stock + nose + p->shop->clearance.value;
    for (int k = 1; k <= n; k++) {
        const double z = p->stock_end + (target - p->stock_end) * k / n + nose;
        struct sw_pass pass = {.from = {z, r_start},
                               .lift = {z + SW_PLAN_LIFT, 0},
                               .back_r = k < n ? r_start : p->r_clear};
        /* With the nose centre on the axis its foremost point is there too: no nib. */
        if (!sw_contour_add(p->ctx->arena, &pass.run,
                            sw_seg_line(pass.from, (struct sw_pt){z, 0}, SW_TAG_NONE)))
            return SW_MEMORY;
        SW_TRY(sw_plan_add_pass(&op, pass, p->ctx));
    }
    return sw_plan_add(p, op);
}

const char *sw_plan_says(struct sw_planner *p, const char *verb, const struct sw_zone *zone)
{
    const char *first = p->staff->section[zone->first].name;
    const char *last = p->staff->section[zone->last].name;
    if (zone->is_neck)
        return sw_arena_printf(p->ctx->arena, "%s neck beyond the %s", verb, first);
    if (zone->n_slices > 0)
        return sw_arena_printf(p->ctx->arena, "%s %s, slice %d of %d", verb, first, zone->slice,
                               zone->n_slices);
    if (zone->first == zone->last)
        return sw_arena_printf(p->ctx->arena, "%s %s", verb, first);
    return sw_arena_printf(p->ctx->arena, "%s %s to %s", verb, first, last);
}

/* Outer end of the plain stretch that a zone shows: of its section, or of its slice. */
static double plain_end(const struct sw_planner *p, const struct sw_zone *zone, size_t section)
{
    const struct sw_shape_section *is = &p->shape->section[section];
    const double middle = sw_plan_chucking_z(p->shape, p->now->end, is->measure_z);
    const double a = sw_plan_chucking_z(p->shape, p->now->end, is->z0);
    const double b = sw_plan_chucking_z(p->shape, p->now->end, is->z1);
    /* Where it is gauged is the middle of the finished stretch; a tip stands longer by all that is
     * left on it. */
    const double longer = zone->is_tip ? p->z_tip : 0;
    return fmin(2 * middle - fmin(a, b) + longer, zone->z_out);
}

struct plain {
    double z_in, z_out;
};

/* The plain stretch that a zone shows of SECTION: all of it, or what lies in its slice. */
static struct plain zone_plain(const struct sw_planner *p, const struct sw_zone *zone,
                               size_t section)
{
    const struct sw_shape_section *is = &p->shape->section[section];
    const double middle = sw_plan_chucking_z(p->shape, p->now->end, is->measure_z);
    const double a = sw_plan_chucking_z(p->shape, p->now->end, is->z0);
    const double b = sw_plan_chucking_z(p->shape, p->now->end, is->z1);
    const double half = fmin(fmax(a, b) - middle, middle - fmin(a, b));
    if (zone->n_slices > 0)
        return (struct plain){zone->z_in, plain_end(p, zone, section)};
    return (struct plain){middle - half, middle + half};
}

/* Middle of that stretch; of a whole section where it is gauged. */
static double zone_plain_z(const struct sw_planner *p, const struct sw_zone *zone, size_t section)
{
    const struct plain plain = zone_plain(p, zone, section);
    return (plain.z_in + plain.z_out) / 2;
}

/* Pivots and what is measured get a semi-finish. */
double sw_plan_roughed_to(struct sw_planner *p, const struct sw_zone *zone)
{
    const struct sw_op fine =
        sw_plan_op(p, SW_OP_FINISH, SW_CUT_FINISH, zone->finish, 1.0, zone->first);
    const bool is_critical =
        zone->measured != SIZE_MAX || p->staff->section[zone->first].kind == SW_SECTION_PIVOT;
    const double depth =
        p->ties == SW_TIES_ONE_DEPTH && p->tied_depth > 0 ? p->tied_depth : fine.depth;
    return is_critical ? 2 * depth : depth;
}

enum sw_status sw_plan_zone_reach(struct sw_reach *reach, struct sw_contour *locus,
                                  struct sw_planner *p, const struct sw_zone *zone,
                                  const struct sw_tool *tool, double leave, double roughed_to)
{
    if (p->hang.is_on)
        return sw_hang_reach(reach, locus, p, zone, tool, leave, roughed_to);
    SW_TRY(sw_plan_locus(locus, &p->turned, tool, leave, p->ctx));
    /* Only beside the rod is there anything to run on into; on the second side the land that
     * follows is finished and the nose of the holder close. */
    const bool runs_on = p->now->is_from_rod && zone == &p->zones.at[p->zones.n - 1];
    const double z_in = runs_on ? zone->z_in - SW_PLAN_OVER_RUN : zone->z_in;
    *reach = sw_plan_reach(locus, z_in, zone->z_out, tool->nose_radius.value + leave, zone->is_tip,
                           zone_plain_z(p, zone, zone->first));
    /* A large nose, or a short pivot in front of a shoulder: what is left of it may still do. */
    if (zone->is_tip && reach->z_plain < reach->z_in + SW_TOL_SLIVER)
        reach->z_plain = (reach->z_in + plain_end(p, zone, zone->first)) / 2;
    /* The face at the inner end still stands as roughed; it is the next zone's. */
    reach->stop_short = reach->blend = roughed_to - leave + SW_PLAN_KEEP_OFF;
    /* Pivots last: between the seats, cut first, and the tip stands the stout cylinder. */
    const size_t index = (size_t)(zone - p->zones.at);
    if (index > 0)
        reach->blend =
            fmax(reach->blend, fmin(sw_plan_roughed_to(p, zone - 1) - leave + SW_PLAN_KEEP_OFF,
                                    zone[-1].z_out - zone[-1].z_in));
    if (p->again > 0) {
        reach->starts_at_wall = false;
        reach->stop_short = reach->blend = SW_PLAN_KEEP_OFF;
    }
    const double nose = tool->nose_radius.value;
    /* A face of the blank is whole further out; what was covered of it is run down, no deeper than
     * the rest of it may stand. */
    if (sw_plan_meets_finished(p, zone) && reach->ends_at_wall) {
        reach->z_in += p->unsure;
        reach->r_inner_top = p->r_beside + nose + SW_PLAN_KEEP_OFF;
    }
    if (p->n_tip > 0 && index == p->n_tip)
        reach->r_floor = p->r_beside + nose + SW_PLAN_KEEP_OFF;
    if (p->n_tip > 0 && index + 1 == p->n_tip)
        reach->r_inner_top = p->r_beside + nose + SW_PLAN_KEEP_OFF;
    return SW_OK;
}

/* Where a last cut bends the zone most. A dome has no section of its own that could break: its foot
 * counts. */
static double weakest_z(const struct sw_planner *p, const struct sw_zone *zone)
{
    const struct sw_section *tip = &p->staff->section[zone->first];
    if (p->hang.is_on)
        return zone->z_in + SW_TOL_SLIVER;
    const double dome = !zone->is_tip             ? 0
                        : tip->tip == SW_TIP_FLAT ? tip->tip_corner
                                                  : tip->dome_height;
    return fmax(fmin(zone->z_out, p->z_tip) - dome - SW_TOL_SLIVER, (zone->z_in + zone->z_out) / 2);
}

/* A fit of this zone that is no cylinder; SIZE_MAX: none. Run towards the holder its cut might
 * rise, and the slide's play would stay in its size. */
static size_t tapered_section(const struct sw_planner *p, const struct sw_zone *zone)
{
    const size_t low = zone->first < zone->last ? zone->first : zone->last;
    const size_t high = zone->first < zone->last ? zone->last : zone->first;
    for (size_t i = low; i <= high; i++)
        if (p->staff->section[i].kind == SW_SECTION_SEAT && p->staff->section[i].taper != 0)
            return i;
    return SIZE_MAX;
}

/* Cut at once, the edge of a tip is more than its form leaves to the other runs: so many runs are
 * made over it that the work and the tool bear each. */
static enum sw_status count_tip_runs(int *n, struct sw_planner *p, const struct sw_zone *zone,
                                     const struct sw_op *op, double leave, double whole)
{
    const struct sw_tool *tool = op->tool;
    const double most = p->now->stock->is->yield.value / p->shop->safety.value;
    *n = (int)fmax(1, ceil(whole / (SW_STRENGTH_LEVELS * tool->most_depth.value)));
    for (; *n < MOST_TIP_RUNS; ++*n) {
        const double depth = fmax(whole / *n, op->depth);
        const struct sw_spring_cut cut = {.form = &p->turned,
                                          .z_in = zone->z_in,
                                          .z_out = zone->z_out,
                                          .over = leave + op->depth,
                                          .tool = tool,
                                          .speed = op->speed,
                                          .depth = depth,
                                          .feed = op->feed};
        struct sw_spring spring;
        SW_TRY(sw_spring_begin(&spring, p, &cut));
        if (depth <= op->depth || sw_spring_stress(&spring, weakest_z(p, zone)) <= most)
            return SW_OK;
    }
    return SW_OK;
}

static enum sw_status round_tip(struct sw_op *op, struct sw_planner *p, const struct sw_zone *zone,
                                const struct sw_reach *reach, double leave, double roughed_to)
{
    const double nose = op->tool->nose_radius.value;
    const double r = p->shape->section[zone->first].turned_diameter / 2;
    const struct sw_pt edge = {p->z_tip + roughed_to, r + roughed_to};
    const double whole = sw_plan_tip_depth(reach, nose, edge);
    int n = 1;
    SW_TRY(count_tip_runs(&n, p, zone, op, leave, whole));
    for (int k = n - 1; k > 0; k--) {
        struct sw_contour locus;
        struct sw_reach over;
        SW_TRY(sw_plan_zone_reach(&over, &locus, p, zone, op->tool, leave + whole * k / n,
                                  roughed_to));
        SW_TRY(sw_plan_follow_tip(op, &over, op->depth, p->r_clear, p->ctx));
    }
    return SW_OK;
}

enum sw_status sw_plan_contour_zone(struct sw_planner *p, const struct sw_zone *zone,
                                    struct sw_fitted tool, enum sw_op_kind kind, double leave,
                                    double roughed_to, int correction)
{
    struct sw_contour locus;
    struct sw_reach reach;
    SW_TRY(sw_plan_zone_reach(&reach, &locus, p, zone, tool.tool, leave, roughed_to));
    struct sw_op op =
        sw_plan_op(p, kind, SW_CUT_FINISH, tool, 2 * sw_plan_widest(p, zone), zone->first);
    op.what = sw_plan_says(p, kind == SW_OP_SEMI ? "semi-finish" : "finish", zone);
    op.correction = correction;
    if (!op.what)
        return SW_MEMORY;
    if (p->ties == SW_TIES_ONE_DEPTH) {
        op.depth = p->tied_depth;
        op.feed = p->tied_feed;
    }
    if (p->again > 0)
        op.depth = p->again;
    if (kind == SW_OP_SEMI && zone->is_tip)
        SW_TRY(round_tip(&op, p, zone, &reach, leave, roughed_to));
    SW_TRY(sw_plan_only_rises(&reach.runs_outwards, &reach, tapered_section(p, zone), p->ctx));
    SW_TRY(sw_plan_follow(&op, &reach, op.depth, p->r_clear, p->ctx));
    const double room = sw_spring_room(p, zone);
    const struct sw_spring_cut cut = {
        .form = &p->turned,
        .z_in = zone->z_in,
        .z_out = zone->z_out,
        .over = leave + op.depth,
        .tool = tool.tool,
        .speed = op.speed,
        .depth = op.depth,
        .feed = op.feed,
        .most_in = zone->slice > 1 ? fmin(room, p->slice_drawn_in + slice_step) : room};
    struct sw_spring spring;
    SW_TRY(sw_spring_begin(&spring, p, &cut));
    SW_TRY(sw_plan_draw_in(&op, &spring, p));
    if (kind == SW_OP_FINISH) {
        struct sw_spring_back back = sw_spring_at(&spring, weakest_z(p, zone));
        p->slice_drawn_in = op.drawn_in_least; /* at its inner end */
        op.off_drawn_in = sw_spring_off(&back);
        back.drawn_in = 0;
        op.off_plain = sw_spring_off(&back);
    }
    const struct sw_pass_load load = sw_spring_load(&spring, weakest_z(p, zone));
    for (size_t i = 0; i < op.n_passes; i++)
        op.pass[i].load = load;
    return sw_plan_add(p, op);
}

enum sw_status sw_plan_measure(struct sw_planner *p, const struct sw_zone *zone,
                               struct sw_fitted tool, double leave, int *correction)
{
    const struct sw_section *is = &p->staff->section[zone->measured];
    const struct sw_shape_section *turned = &p->shape->section[zone->measured];
    const struct plain plain = zone_plain(p, zone, zone->measured);
    const char *name = sw_arena_printf(p->ctx->arena, "%s, on radius", is->name);
    const char *what = sw_arena_printf(p->ctx->arena, "measure the %s", is->name);
    if (!name || !what || !SW_VEC_PUSH(p->ctx->arena, &p->corrections, name))
        return SW_MEMORY;
    *correction = (int)p->corrections.n;
    const struct sw_op op = {.kind = SW_OP_MEASURE,
                             .what = what,
                             .section = zone->measured,
                             .station = tool.station,
                             .tool = tool.tool,
                             .correction = *correction,
                             .expected_diameter = turned->turned_diameter + 2 * leave,
                             .target_diameter = turned->turned_diameter,
                             .measure_z = (plain.z_in + plain.z_out) / 2,
                             .plain_in = plain.z_in,
                             .plain_out = plain.z_out};
    return sw_plan_add(p, op);
}

enum sw_status sw_plan_cut_zone(struct sw_planner *p, const struct sw_zone *zone, double r_stock)
{
    if (p->is_survey)
        return sw_plan_take_from_stock(p, zone);
    const struct sw_fitted finish = zone->finish;
    struct sw_op fine = sw_plan_op(p, SW_OP_FINISH, SW_CUT_FINISH, finish, 1.0, zone->first);
    const bool is_critical =
        zone->measured != SIZE_MAX || p->staff->section[zone->first].kind == SW_SECTION_PIVOT;
    if (p->hang.is_on)
        SW_TRY(sw_hang_zone(p, zone));
    const bool is_sized = zone->is_tip && p->sizing > 0; /* measured ahead of the tip already */
    int correction = is_sized ? p->sizing : zone->slice > 1 ? p->slice_correction : 0;
    if (p->ties == SW_TIES_ONE_DEPTH) {
        SW_TRY(sw_plan_one_depth(&p->tied_depth, &p->tied_feed, p, zone, is_critical ? 2 : 1,
                                 r_stock));
        fine.depth = p->tied_depth;
    }
    const double roughed_to = sw_plan_roughed_to(p, zone);
    SW_TRY(sw_plan_rough_zone(p, zone, roughed_to, r_stock));
    if (is_critical)
        SW_TRY(sw_plan_contour_zone(p, zone, finish, SW_OP_SEMI, fine.depth, roughed_to, 0));
    if (zone->measured != SIZE_MAX && !is_sized)
        SW_TRY(sw_plan_measure(p, zone, finish, fine.depth, &correction));
    p->slice_correction = correction;
    SW_TRY(sw_plan_contour_zone(p, zone, finish, SW_OP_FINISH, 0, roughed_to, correction));
    /* Tried before any recess is cut, so that the last cut can be run once more. */
    SW_TRY(sw_plan_try(p, zone, finish, correction));
    SW_TRY(sw_plan_take_from_stock(p, zone));
    return SW_OK;
}

static bool is_pivot_zone(const struct sw_planner *p, const struct sw_zone *zone)
{
    const enum sw_section_kind kind = p->staff->section[zone->first].kind;
    return kind == SW_SECTION_PIVOT || kind == SW_SECTION_CONE || kind == SW_SECTION_BACK_SLOPE;
}

/* Stout, but not stouter than the outer end of the seat that is cut before it: a bevel there would
 * run into it. */
static enum sw_status choose_stout(struct sw_planner *p, double widest)
{
    const struct sw_zone *seat = &p->zones.at[p->n_tip];
    const struct sw_section *is = &p->staff->section[seat->first];
    const double least = widest + 2 * sw_plan_op(p, SW_OP_FINISH, SW_CUT_FINISH,
                                                 p->zones.at[0].finish, 1.0, seat->first)
                                          .depth;
    double r_end = HUGE_VAL;
    if (!sw_contour_r_at(&r_end, &p->turned, seat->z_out - SW_TOL_SLIVER))
        r_end = HUGE_VAL;
    p->r_stout = fmin(widest + stout_left, fmax(least, r_end - stout_under));
    if (p->r_stout <= r_end - stout_under + SW_TOL_SLIVER)
        return SW_OK;
    sw_diag_add(p->ctx->diag, SW_ERROR, "plan.stout-tip", is->at,
                "`pivot_order: tip-first`, or a smaller `bevel`",
                "the outer end of the %s, %.3f mm, lies below the end left stout for pivots that "
                "come last, %.3f mm",
                is->name, 2 * r_end, 2 * p->r_stout);
    return SW_CANNOT;
}

/* The roughing nose's fillet at the foot of the wall at Z_WALL, in front of the seat at Z_IN;
 * levels go through one that is smaller than what they leave of what the tool may take. */
static enum sw_status leave_fillet(struct sw_planner *p, double z_in, double z_wall, double nose)
{
    const struct sw_zone *inner = &p->zones.at[p->n_tip - 1];
    const struct sw_tool *fine = inner->finish.tool;
    const struct sw_pt foot = {z_wall + nose, p->r_stout}, top = {z_wall, p->r_stout + nose},
                       centre = {foot.z, top.r};
    struct sw_contour fillet = {0}, with;
    p->r_beside = p->r_stout;
    if ((sqrt(2) - 1) * nose <= (1 - SW_STRENGTH_LEVELS) * fine->most_depth.value)
        return SW_OK;
    /* A nose that comes down as near to the seat as it may ends on the fillet. */
    const double out = 2 * fine->nose_radius.value + sw_plan_roughed_to(p, inner) - (z_wall - z_in);
    p->r_beside = top.r - sqrt(nose * nose - pow(fmax(0, nose - out), 2));
    if (!sw_contour_add(p->ctx->arena, &fillet, sw_seg_arc(top, foot, centre, 1, SW_TAG_NONE)))
        return SW_MEMORY;
    SW_TRY(sw_contour_upper(&with, &p->stock, &fillet, p->ctx));
    p->stock = with;
    return SW_OK;
}

/* Pivots last: the tip down to a stout cylinder. */
static enum sw_status rough_stout_tip(struct sw_planner *p, struct sw_fitted tool, double r_stock)
{
    const double z_in = p->zones.at[p->n_tip - 1].z_in;
    double widest = 0;
    for (size_t i = 0; i < p->turned.n; i++) {
        const struct sw_box box = sw_seg_box(&p->turned.at[i]);
        if (box.z0 > z_in - SW_TOL_SLIVER)
            widest = fmax(widest, box.z1 - box.z0 > SW_TOL_SLIVER ? box.r1 : 0);
    }
    SW_TRY(choose_stout(p, widest));
    p->r_stout = fmin(p->r_stout, r_stock);
    struct sw_contour profile = {0}, locus;
    /* the last cuts of the seat behind it begin with its face: something is left there for them */
    const double z_wall = z_in + sw_plan_roughed_to(p, &p->zones.at[p->n_tip]);
    const struct sw_pt corner[] = {
        {z_wall, r_stock}, {z_wall, p->r_stout}, {p->z_tip, p->r_stout}, {p->z_tip, 0}};
    for (size_t i = 0; i + 1 < sizeof corner / sizeof *corner; i++)
        if (!sw_contour_add(p->ctx->arena, &profile,
                            sw_seg_line(corner[i], corner[i + 1], SW_TAG_NONE)))
            return SW_MEMORY;
    struct sw_op op =
        sw_plan_op(p, SW_OP_ROUGH, SW_CUT_ROUGH, tool, 2 * r_stock, p->zones.at[0].first);
    op.what = "rough the pivot end, left stout";
    const double nose = tool.tool->nose_radius.value;
    SW_TRY(sw_plan_locus(&locus, &profile, tool.tool, 0, p->ctx));
    struct sw_reach reach =
        sw_plan_reach(&locus, z_wall, p->z_tip, nose, true, (z_wall + p->z_tip) / 2);
    reach.z_plain = fmax(reach.z_plain, (reach.z_in + p->z_tip) / 2);
    const struct sw_levels how = {.r_stock = r_stock,
                                  .depth = op.depth,
                                  .z_free = p->z_tip + nose + p->shop->clearance.value,
                                  .nose = nose,
                                  .r_clear = p->r_clear};
    SW_TRY(sw_plan_levels(&op, &reach, &how, p->ctx));
    SW_TRY(sw_plan_add(p, op));
    SW_TRY(sw_plan_stock_is_cylinder(p, z_in, p->r_stout));
    return leave_fillet(p, z_in, z_wall, nose);
}

static enum sw_status rough_stout(struct sw_planner *p, struct sw_fitted strongest, size_t first,
                                  size_t last)
{
    const struct sw_zone *zone = &p->zones.at[first];
    return sw_plan_rough_span(p, strongest, first, last, zone_plain_z(p, zone, zone->first));
}

/* What stands of a blank over a zone. A layer on the face at its inner end that the contour runs
 * take is none of it. */
static double blank_radius(struct sw_planner *p, const struct sw_zone *zone)
{
    const double z_root = sw_plan_zone_root(p, zone);
    const double off = sw_plan_roughed_to(p, zone) + sw_plan_unsure(p, zone->z_in) + written;
    const double z_off = fmin(zone->z_in + off, zone->z_out);
    return sw_plan_stock_radius(p, fmax(z_root, z_off), zone->z_out);
}

/* What a hardened blank leaves: its ends, tip first, and what follows inwards. */
static enum sw_status cut_blank(struct sw_planner *p, struct sw_fitted strongest)
{
    size_t n_cut = 0;
    while (n_cut < p->zones.n && !p->zones.at[n_cut].is_kept)
        n_cut++;
    const struct sw_zone *last = &p->zones.at[n_cut - 1];
    const double z_root = sw_plan_zone_root(p, last);
    /* As high as the corner there is filled. */
    p->r_beside = sw_plan_stock_radius(p, z_root, last->z_out);
    if (strongest.tool != p->zones.at[0].finish.tool)
        SW_TRY(rough_stout(p, strongest, 0, n_cut - 1));
    SW_TRY(sw_plan_slices(p));
    for (size_t i = 0; i < p->zones.n; i++) {
        const struct sw_zone *zone = &p->zones.at[i];
        if (!zone->is_kept)
            SW_TRY(sw_plan_cut_zone(p, zone, blank_radius(p, zone)));
    }
    for (size_t i = 0; i < p->zones.n; i++)
        if (p->zones.at[i].has_recess)
            SW_TRY(sw_plan_recess(p, &p->zones.at[i], p->zones.at[i].finish.tool));
    return sw_plan_grooves(p);
}

enum sw_status sw_plan_side(struct sw_planner *p)
{
    SW_TRY(sw_plan_finish_tools(p));
    if (p->bound)
        SW_TRY(sw_plan_add_bound(p->bound, p));
    const struct sw_fitted finish = p->zones.at[0].finish;
    const struct sw_fitted rough = sw_plan_rough_tool(p, finish);
    const double left = 2 * sw_plan_op(p, SW_OP_FINISH, SW_CUT_FINISH, finish, 1.0, 0).depth;
    if (p->job->sizing_length.value > 0)
        SW_TRY(sw_plan_sizing(p, rough, finish, sw_plan_stock_radius(p, p->z_tip, p->stock_end),
                              &p->sizing));
    /* A correction found on the sizing length holds for as long as the tool stays in its place. */
    const bool must_stay = p->sizing > 0 && sw_plan_comes_anew(p);
    const struct sw_fitted strongest = must_stay ? finish : sw_plan_strongest(p, finish);
    SW_TRY(face(p, strongest, left));
    if (p->blank)
        return cut_blank(p, strongest);
    /* The second side is small already, unless tools come anew. */
    const bool is_step_turned = p->ties == SW_TIES_ONE_DEPTH || p->ties == SW_TIES_FREE_FINISH;
    /* In a bush what is behind a zone stays whole until the zone is finished. */
    if (strongest.tool != finish.tool && !is_step_turned && !p->now->in_bush)
        SW_TRY(rough_stout(p, strongest, 0, p->zones.n - 1));

    if (p->job->pivot_order.value == SW_PIVOTS_LAST && !p->now->in_bush) {
        while (p->n_tip < p->zones.n && is_pivot_zone(p, &p->zones.at[p->n_tip]))
            p->n_tip++;
        if (p->n_tip == p->zones.n)
            p->n_tip = 0;
    }
    const bool is_tip_first = p->n_tip == 0;
    if (is_tip_first)
        SW_TRY(sw_plan_slices(p));
    if (p->now->in_bush)
        SW_TRY(sw_window_zones(p));
    if (p->n_tip > 0) {
        const double z_in = p->zones.at[p->n_tip - 1].z_in;
        const bool has_room = rough.tool->nose_radius.value < p->z_tip - z_in;
        SW_TRY(rough_stout_tip(p, has_room ? rough : finish,
                               sw_plan_stock_radius(p, z_in, p->stock_end)));
    }
    size_t n_stout = 0; /* zones roughed stout */
    for (size_t i = p->n_tip; i < p->zones.n; i++) {
        const struct sw_zone *zone = &p->zones.at[i];
        if (p->now->in_bush && i == n_stout && !is_step_turned) {
            SW_TRY(sw_window_span(&n_stout, p, i));
            const struct sw_fitted stout = must_stay ? finish : sw_plan_strongest(p, zone->finish);
            if (stout.tool != zone->finish.tool && !p->is_survey)
                SW_TRY(rough_stout(p, stout, i, n_stout - 1));
        }
        /* Further in than a zone roughed stout stands whole bar: that is none of its own. */
        const double z_in = zone->z_in + (i < n_stout ? 2 * SW_TOL_SLIVER : 0);
        SW_TRY(sw_plan_cut_zone(p, zone, sw_plan_stock_radius(p, z_in, zone->z_out)));
        /* Soon it is out of the reach of a bar that must not be drawn back. */
        if (p->now->in_bush && p->zones.at[i].has_recess)
            SW_TRY(sw_plan_recess(p, &p->zones.at[i], p->zones.at[i].finish.tool));
    }
    const size_t n_before = p->zones.n;
    if (!is_tip_first)
        SW_TRY(sw_plan_slices(p));
    p->n_tip += p->zones.n - n_before;
    for (size_t i = 0; i < p->n_tip; i++) {
        const struct sw_zone *zone = &p->zones.at[i];
        const double r_stands =
            sw_plan_stock_radius(p, zone->z_in + 2 * SW_TOL_SLIVER, zone->z_out);
        SW_TRY(sw_plan_cut_zone(p, zone, fmax(p->r_stout, r_stands)));
    }
    /* Recesses when all else is turned: no tool goes out for them and comes back in between. */
    for (size_t i = 0; i < p->zones.n; i++)
        if (p->zones.at[i].has_recess && !p->now->in_bush)
            SW_TRY(sw_plan_recess(p, &p->zones.at[i], p->zones.at[i].finish.tool));
    return sw_plan_grooves(p);
}
