/* The sizing length: a cylinder of the pivot's diameter turned ahead of the tip with the same tool
 * and cuts, measured where nothing can be spoilt, and faced away before the pivot is cut. */
#include <math.h>

#include "geom/tol.h"
#include "plan/spring.h"

/* A shorter sizing length has no room for an anvil or a gauge hole [mm]; common practice, no
 * source. */
static const double least_length = 0.1;
/* Lengths are proposed in steps of this [mm]. */
static const double length_step = 0.05;

struct sizing {
    struct sw_contour form; /* the bare cylinder and its shoulder */
    double r, z_in, z_end, z_free;
};

/* It ends where facing will begin, so that its shoulder is faced away too. */
static enum sw_status sizing_of(struct sizing *is, struct sw_planner *p, double length)
{
    const double r = p->shape->section[p->zones.at[0].first].turned_diameter / 2;
    const double r_stock = sw_plan_stock_radius(p, p->z_tip, p->stock_end);
    /* less would be left standing for a shorter one */
    const double z_end = p->core_end - (p->job->sizing_length.value - length);
    *is = (struct sizing){.r = r, .z_in = z_end - length - SW_PLAN_SECOND_FACE, .z_end = z_end};
    const struct sw_pt corner[] = {{is->z_in, r_stock}, {is->z_in, r}, {z_end, r}, {z_end, 0}};
    for (size_t i = 0; i + 1 < sizeof corner / sizeof *corner; i++)
        if (!sw_contour_add(p->ctx->arena, &is->form,
                            sw_seg_line(corner[i], corner[i + 1], SW_TAG_NONE)))
            return SW_MEMORY;
    return SW_OK;
}

static enum sw_status spring_of(struct sw_spring *spring, struct sw_planner *p,
                                const struct sizing *is, const struct sw_op *op, double leave)
{
    const struct sw_spring_cut cut = {.form = &is->form,
                                      .z_in = is->z_in,
                                      .z_out = is->z_end,
                                      .over = leave + op->depth,
                                      .tool = op->tool,
                                      .speed = op->speed,
                                      .depth = op->depth,
                                      .feed = op->feed,
                                      .most_in = sw_spring_room(p, &p->zones.at[0])};
    return sw_spring_begin(spring, p, &cut);
}

static double measured_at(const struct sizing *is)
{
    return (is->z_in + is->z_end) / 2;
}

/* How far bending may falsify what is measured on a sizing length [mm]. */
static enum sw_status off_when_measured(double *off, struct sw_planner *p, struct sw_fitted tool,
                                        double length)
{
    struct sizing is;
    struct sw_spring spring;
    SW_TRY(sizing_of(&is, p, length));
    const struct sw_op op = sw_plan_op(p, SW_OP_FINISH, SW_CUT_FINISH, tool, 2 * is.r, SIZE_MAX);
    SW_TRY(spring_of(&spring, p, &is, &op, 0));
    const struct sw_spring_back back = sw_spring_at(&spring, measured_at(&is));
    *off = sw_spring_off(&back);
    return SW_OK;
}

/* A length that bends says more about its bending than about the pivot's size. */
static enum sw_status warn_of_bending(struct sw_planner *p, struct sw_fitted tool)
{
    const struct sw_section *pivot = &p->staff->section[p->zones.at[0].first];
    const struct sw_band *band = &pivot->diameter_tolerance;
    const double allowed = SW_SPRING_SHARE * (band->upper - band->lower) / 2;
    const double length = p->job->sizing_length.value;
    double off = 0, shorter_off = HUGE_VAL;
    SW_TRY(off_when_measured(&off, p, tool, length));
    if (off <= allowed)
        return SW_OK;
    double shorter = length_step * ceil(length / length_step);
    while (shorter_off > allowed && shorter - length_step > least_length - SW_TOL_SLIVER) {
        shorter -= length_step;
        SW_TRY(off_when_measured(&shorter_off, p, tool, shorter));
    }
    const char *hint =
        shorter_off <= allowed
            ? sw_arena_printf(p->ctx->arena, "sizing_length: %.2f is short enough", shorter)
            : sw_arena_printf(p->ctx->arena,
                              "at %.2f it would still be %.2f um; measure at the pause before the "
                              "last cut of the pivot instead",
                              shorter, 1000 * shorter_off);
    if (!hint)
        return SW_MEMORY;
    sw_diag_add(p->ctx->diag, SW_WARNING, "plan.bends", pivot->at, hint,
                "the sizing length of %.2f mm may be %.2f um off where it is measured, because "
                "nobody knows how far the cut bends it; for the %s bending should take %.2f",
                length, 1000 * off, pivot->name, 1000 * allowed);
    const struct sw_plan_bend bend = {SIZE_MAX, off, allowed};
    return SW_VEC_PUSH(p->ctx->arena, &p->bends, bend) ? SW_OK : SW_MEMORY;
}

static enum sw_status straight_run(struct sw_planner *p, const struct sizing *is,
                                   struct sw_fitted tool, enum sw_op_kind kind, const char *what,
                                   double leave, double rough_nose)
{
    struct sw_op op = sw_plan_op(p, kind, SW_CUT_FINISH, tool, 2 * (is->r + leave), SIZE_MAX);
    const double r = is->r + leave + tool.tool->nose_radius.value;
    const double own = tool.tool->nose_radius.value, half = tool.tool->most_depth.value / 2;
    /* Not further into the fillet of the roughing nose than half of what the tool may take. */
    const double into =
        half < rough_nose ? sqrt(rough_nose * rough_nose - pow(rough_nose - half, 2)) : rough_nose;
    const double z_in = is->z_in + 2 * op.depth + fmax(own, rough_nose - into);
    struct sw_pass pass = {.from = {is->z_free, r},
                           .lift = {z_in + SW_PLAN_LIFT, r + SW_PLAN_LIFT},
                           .back_r = p->r_clear};
    op.what = what;
    if (!sw_contour_add(p->ctx->arena, &pass.run,
                        sw_seg_line(pass.from, (struct sw_pt){z_in, r}, SW_TAG_NONE)))
        return SW_MEMORY;
    SW_TRY(sw_plan_add_pass(&op, pass, p->ctx));
    /* Measured here, the correction holds for the pivot only if bending is in neither. */
    struct sw_spring spring;
    SW_TRY(spring_of(&spring, p, is, &op, leave));
    SW_TRY(sw_plan_draw_in(&op, &spring, p));
    return sw_plan_add(p, op);
}

static enum sw_status refuse_short(struct sw_planner *p)
{
    const char *hint =
        sw_arena_printf(p->ctx->arena, "%.2f mm or more, or 0 for none", least_length);
    if (!hint)
        return SW_MEMORY;
    sw_diag_add(p->ctx->diag, SW_ERROR, "plan.sizing-too-short", p->job->sizing_length.at, hint,
                "a sizing_length of %.3f mm has no room for an anvil or a gauge hole",
                p->job->sizing_length.value);
    return SW_CANNOT;
}

enum sw_status sw_plan_sizing(struct sw_planner *p, struct sw_fitted rough, struct sw_fitted finish,
                              double r_stock, int *correction)
{
    const struct sw_zone *tip = &p->zones.at[0];
    const struct sw_shape_section *pivot = &p->shape->section[tip->first];
    const double nose = rough.tool->nose_radius.value;
    struct sizing sizing;
    struct sw_contour locus;
    if (p->job->sizing_length.value < least_length - SW_TOL_SLIVER)
        return refuse_short(p);
    SW_TRY(sizing_of(&sizing, p, p->job->sizing_length.value));
    SW_TRY(warn_of_bending(p, finish));
    const double depth =
        sw_plan_op(p, SW_OP_FINISH, SW_CUT_FINISH, finish, 2 * sizing.r, SIZE_MAX).depth;
    struct sw_op op = sw_plan_op(p, SW_OP_ROUGH, SW_CUT_ROUGH, rough, 2 * r_stock, SIZE_MAX);
    op.what = "rough the sizing length";
    SW_TRY(sw_plan_locus(&locus, &sizing.form, rough.tool, 2 * depth, p->ctx));
    struct sw_reach reach = sw_plan_reach(&locus, sizing.z_in, p->stock_end, nose + 2 * depth, true,
                                          measured_at(&sizing));
    /* A large nose reaches less of it. */
    if (reach.z_plain < reach.z_in + SW_TOL_SLIVER)
        reach.z_plain = (reach.z_in + sizing.z_end) / 2;
    const struct sw_levels how = {.r_stock = r_stock,
                                  .depth = op.depth,
                                  .z_free = p->stock_end + nose + p->shop->clearance.value,
                                  .nose = nose,
                                  .r_clear = p->r_clear};
    SW_TRY(sw_plan_levels(&op, &reach, &how, p->ctx));
    SW_TRY(sw_plan_add(p, op));
    sizing.z_free = how.z_free;
    SW_TRY(
        straight_run(p, &sizing, finish, SW_OP_SEMI, "semi-finish the sizing length", depth, nose));
    SW_TRY(straight_run(p, &sizing, finish, SW_OP_FINISH, "finish the sizing length", 0, nose));
    const struct sw_section *is = &p->staff->section[tip->first];
    const char *name = sw_arena_printf(p->ctx->arena, "%s, on radius", is->name);
    if (!name || !SW_VEC_PUSH(p->ctx->arena, &p->corrections, name))
        return SW_MEMORY;
    *correction = (int)p->corrections.n;
    const struct sw_op measure = {.kind = SW_OP_MEASURE,
                                  .what = "measure the sizing length",
                                  .section = tip->first,
                                  .station = finish.station,
                                  .tool = finish.tool,
                                  .correction = *correction,
                                  .expected_diameter = pivot->turned_diameter,
                                  .target_diameter = pivot->turned_diameter,
                                  .measure_z = measured_at(&sizing)};
    return sw_plan_add(p, measure);
}
