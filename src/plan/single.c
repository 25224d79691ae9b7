#include "plan/single.h"

#include <math.h>

#include "geom/tol.h"
#include "plan/hang.h"
#include "plan/single_int.h"

/* Plain length of the neck beyond what a nose and the face beside it take [mm]. Common practice, no
 * source. */
static const double neck_plain = 0.02;
/* Tools are looked for before its radius is known [mm]. */
static const double guess = 0.015;
/* Left in front of the tip for a second chucking to face away [mm]; common practice, no source. */
static const double tip_face = 0.03;
/* Between the slope beside the neck and the wall of the rod [mm]. */
static const double wall_gap = 0.05;

bool sw_single_is(const struct sw_planner *p)
{
    return p->job->scheme.value == SW_SCHEME_SINGLE;
}

static enum sw_status refuse_inner(struct sw_planner *p, const struct sw_section *is,
                                   const char *what)
{
    const bool is_upper = p->now->end == SW_SIDE_UPPER;
    const char *hint = sw_arena_printf(
        p->ctx->arena, "`first_side: %s` if the other side has none; or `scheme: reversed`",
        is_upper ? "lower" : "upper");
    if (!hint)
        return SW_MEMORY;
    sw_diag_add(p->ctx->diag, SW_ERROR, "plan.single-inner", is->at, hint,
                "%s of the %s lies behind the hub, where no tool of a single grip reaches it", what,
                is->name);
    return SW_CANNOT;
}

/* What faces the holder, or is let in, is not cut behind the hub. */
static enum sw_status check_sections(struct sw_planner *p)
{
    const bool is_upper = p->now->end == SW_SIDE_UPPER;
    for (size_t i = 0; i < p->staff->n; i++) {
        const struct sw_section *is = &p->staff->section[i];
        if (is_upper ? i <= p->land : i >= p->land)
            continue;
        if (is->has_recess)
            return refuse_inner(p, is, "the recess");
        if (is->kind == SW_SECTION_GROOVE)
            return refuse_inner(p, is, "the groove");
        if (is->has_relief)
            return refuse_inner(p, is, "the relief groove");
    }
    return SW_OK;
}

static enum sw_status refuse_tools(struct sw_planner *p)
{
    sw_diag_add(
        p->ctx->diag, SW_ERROR, "plan.single-tools", p->shop->tools.span,
        "fit a fine pointed tool of the left hand, or an upright one; or `scheme: reversed`",
        "no tool of the shop turns away from the headstock: the side behind the %s cannot be "
        "cut in the grip of the first",
        p->staff->section[p->land].name);
    return SW_CANNOT;
}

static bool has_tool(const struct sw_planner *q)
{
    const struct sw_fitted_tool *fitted = q->shop->tools.at;
    for (size_t i = 0; i < q->shop->tools.n; i++)
        if (sw_plan_turns_inwards(fitted[i].is))
            return true;
    return false;
}

/* The planner of the other side: its own frame, the first one's grip. */
static enum sw_status begin(struct sw_planner *q, struct sw_planner *p, struct sw_plan *plan,
                            struct sw_plan_chucking *now)
{
    struct sw_shop *seen = SW_NEW(p->ctx->arena, struct sw_shop, 1);
    struct sw_zone neck = {0};
    if (!seen)
        return SW_MEMORY;
    const struct sw_plan_task task = {
        .post = p->post, .explains = p->explains, .is_survey = p->is_survey, .ties = p->ties};
    SW_TRY(sw_plan_begin(q, plan, 1, p->found, &task, p->ctx));
    SW_TRY(sw_single_mirror(seen, p->shop, p->ctx));
    *now = *p->now;
    now->end = q->now->end;
    plan->chucking[1] = (struct sw_plan_chucking){0};
    q->now = now;
    q->shop = seen;
    q->overhang = p->overhang;
    q->bears_all = p->bears_all;
    q->r_clear = p->r_clear;
    q->hang = (struct sw_hang){.is_on = true, .z_root = p->overhang};
    for (size_t i = 0; i < q->zones.n; i++)
        q->zones.at[i].tried = SIZE_MAX; /* the rod is in the way of anything to be put on */
    const double spare = p->job->last_tip.value == SW_LAST_TIP_BY_HAND ? 0 : tip_face;
    struct sw_zone *tip = &q->zones.at[0];
    tip->is_tip = false;
    tip->z_out = q->z_tip + spare;
    neck = (struct sw_zone){.first = tip->first,
                            .last = tip->first,
                            .z_in = tip->z_out,
                            .z_out = tip->z_out + neck_plain,
                            .measured = SIZE_MAX,
                            .tried = SIZE_MAX,
                            .is_neck = true};
    if (!SW_VEC_PUSH(p->ctx->arena, &q->zones, neck))
        return SW_MEMORY;
    for (size_t i = q->zones.n - 1; i > 0; i--)
        q->zones.at[i] = q->zones.at[i - 1];
    q->zones.at[0] = neck;
    return SW_OK;
}

static enum sw_status stock_of(struct sw_planner *q, const struct sw_plan_left *left, double z_wall)
{
    const double r_rod = q->now->rod_diameter / 2, total = q->staff->total;
    SW_TRY(sw_contour_place(&q->stock, &left->most, -1, -total, q->ctx));
    SW_TRY(sw_contour_place(&q->slim, &left->least, -1, -total, q->ctx));
    const struct sw_pt end = q->stock.at[q->stock.n - 1].b, wall = {fmax(z_wall, end.z), r_rod};
    const struct sw_pt root = {fmax(q->hang.z_root, wall.z + SW_PLAN_NOSE_GAP), r_rod};
    q->hang.z_root = root.z;
    if ((sw_pt_distance(end, wall) > SW_TOL_POINT &&
         !sw_contour_add(q->ctx->arena, &q->stock, sw_seg_line(end, wall, SW_TAG_NONE))) ||
        !sw_contour_add(q->ctx->arena, &q->stock, sw_seg_line(wall, root, SW_TAG_NONE)))
        return SW_MEMORY;
    return SW_OK;
}

/* Where the core has to end so that every zone's tool comes down to it beside the rod. */
static double core_end(struct sw_planner *q, const struct sw_single_neck *neck)
{
    const double r_rod = q->now->rod_diameter / 2;
    double end = neck->z_out;
    for (size_t i = 0; i < q->zones.n; i++) {
        const struct sw_zone *zone = &q->zones.at[i];
        const double nose = zone->finish.tool->nose_radius.value; /* past an edge */
        end = fmax(end, zone->z_out + 2 * nose + sw_hang_foot(q, zone) +
                            r_rod / sw_hang_slope(zone->finish.tool));
    }
    return end + wall_gap;
}

static enum sw_status cut_zones(struct sw_planner *q)
{
    SW_TRY(sw_plan_slices(q));
    for (size_t i = q->zones.n; i-- > 0;) {
        const struct sw_zone zone = q->zones.at[i];
        SW_TRY(sw_hang_zone(q, &zone));
        const double r = sw_plan_stock_radius(q, zone.z_in + 2 * SW_TOL_SLIVER,
                                              fmin(q->hang.z_top, q->hang.z_end));
        SW_TRY(sw_plan_cut_zone(q, &q->zones.at[i], r));
    }
    return SW_OK;
}

/* What a second chucking finds: all of the staff, as far as the pivot runs on. */
static enum sw_status left_of(struct sw_plan_left *left, struct sw_planner *q, double z_end)
{
    const bool is_upper = q->now->end == SW_SIDE_UPPER;
    struct sw_contour placed, staff, own, side, piece, all = {0};
    SW_TRY(sw_contour_place(&placed, &q->shape->turned, is_upper ? -1 : 1,
                            is_upper ? 0 : -q->staff->total, q->ctx));
    SW_TRY(sw_contour_envelope(&staff, &placed, HUGE_VAL, HUGE_VAL, q->ctx));
    SW_TRY(sw_contour_envelope(&side, &q->turned, HUGE_VAL, HUGE_VAL, q->ctx));
    SW_TRY(sw_contour_piece(&piece, &staff, sw_contour_box(&staff).z0, q->z_border, q->ctx));
    SW_TRY(sw_contour_piece(&own, &side, q->z_border, z_end, q->ctx));
    SW_TRY(sw_plan_join(q, &all, &piece));
    SW_TRY(sw_plan_join(q, &all, &own));
    SW_TRY(sw_contour_place(&left->most, &all, -1, -q->staff->total, q->ctx));
    left->least = left->most;
    return SW_OK;
}

static enum sw_status cut_behind(struct sw_plan_left *left, struct sw_planner *p,
                                 struct sw_planner *q, struct sw_fitted trough)
{
    const struct sw_single_outlines staff = {q->turned, q->ceiling, q->grooved, q->grooved_ceiling};
    const double total = p->staff->total;
    struct sw_single_neck neck = {.z_in = q->zones.at[0].z_in, .z_out = q->zones.at[0].z_out};
    neck.r = guess;
    SW_TRY(sw_single_with_neck(q, &staff, &neck));
    /* Nobody asks how sharp the corners of a neck are. */
    const struct sw_zones all = q->zones;
    q->zones = (struct sw_zones){.at = all.at + 1, .n = all.n - 1};
    SW_TRY(sw_plan_finish_tools(q));
    q->zones = all;
    q->zones.at[0].finish = q->zones.at[1].finish; /* no change of tools for the neck */
    const double core = sw_plan_core_radius(p);
    struct sw_zone *own = &q->zones.at[0];
    own->z_out = neck.z_out = neck.z_in + own->finish.tool->nose_radius.value +
                              sw_plan_roughed_to(q, own) + SW_PLAN_KEEP_OFF + neck_plain;
    const double z_core = core_end(q, &neck);
    const double z_wall = z_core + sw_plan_trough_slope(p, trough.tool, core);
    q->hang.z_end = z_core - wall_gap;
    SW_TRY(sw_plan_trough(left, p, trough, -total - z_wall, -total - z_core, core));
    SW_TRY(stock_of(q, left, z_wall));
    struct sw_machine *machine = SW_NEW(p->ctx->arena, struct sw_machine, 1);
    if (!machine)
        return SW_MEMORY;
    SW_TRY(sw_single_choose_neck(&p->now->neck, &neck, q, &staff));
    *machine = *q->shop->machine;
    machine->spindle.most_speed.value = fmin(machine->spindle.most_speed.value,
                                             SW_SINGLE_WHIRL_SHARE * p->now->neck.critical_speed);
    p->now->neck.most_speed = machine->spindle.most_speed.value;
    struct sw_shop *slower = SW_NEW(p->ctx->arena, struct sw_shop, 1);
    if (!slower)
        return SW_MEMORY;
    *slower = *q->shop;
    slower->machine = machine;
    q->shop = slower;
    SW_TRY(cut_zones(q));
    p->now->has_neck = true;
    p->now->neck_diameter = 2 * neck.r;
    p->now->neck_z = -total - neck.z_out; /* further on its last cut slopes in */
    SW_TRY(left_of(left, q, neck.z_in));
    return sw_single_take_over(p, q);
}

/* A blade takes the trough out soonest, if it reaches down to the core. */
static struct sw_fitted trough_tool(const struct sw_planner *p)
{
    const struct sw_fitted blade = sw_plan_parting_blade(p->shop);
    const double depth = p->now->rod_diameter / 2 - sw_plan_core_radius(p);
    return blade.tool && blade.tool->reach.value > depth ? blade : sw_plan_trough_tool(p);
}

enum sw_status sw_single_behind(struct sw_plan_left *left, struct sw_planner *p)
{
    const struct sw_fitted trough = trough_tool(p);
    struct sw_plan *plan = SW_NEW(p->ctx->arena, struct sw_plan, 1);
    struct sw_plan_chucking now;
    struct sw_planner q;
    if (!plan)
        return SW_MEMORY;
    SW_TRY(check_sections(p));
    *plan = (struct sw_plan){.job = p->job, .shop = p->shop, .shape = p->shape};
    SW_TRY(begin(&q, p, plan, &now));
    if (!has_tool(&q))
        return refuse_tools(p);
    if (!trough.tool) {
        sw_diag_add(p->ctx->diag, SW_ERROR, "plan.no-parting-tool", p->shop->tools.span,
                    "fit a blade, or an upright point",
                    "the shop has neither a blade nor an upright point that roughs behind the %s",
                    p->staff->section[p->land].name);
        return SW_CANNOT;
    }
    const enum sw_status status = cut_behind(left, p, &q, trough);
    sw_single_take_over_found(p, &q);
    return status;
}
