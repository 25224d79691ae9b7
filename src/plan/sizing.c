/* The sizing length: a cylinder of the pivot's diameter turned ahead of the tip with the same tool
 * and cuts, measured where nothing can be spoilt, and faced away before the pivot is cut. */
#include "plan/plan_int.h"

static enum sw_status straight_run(struct sw_planner *p, struct sw_fitted tool,
                                   enum sw_op_kind kind, const char *what, double r_material,
                                   double z_in, double z_free)
{
    struct sw_op op = sw_plan_op(p, kind, SW_CUT_FINISH, tool, 2 * r_material, SIZE_MAX);
    const double r = r_material + tool.tool->nose_radius.value;
    struct sw_pass pass = {
        .from = {z_free, r}, .lift = {z_in + SW_PLAN_LIFT, r + SW_PLAN_LIFT}, .back_r = p->r_clear};
    op.what = what;
    if (!sw_contour_add(p->ctx->arena, &pass.run,
                        sw_seg_line(pass.from, (struct sw_pt){z_in, r}, SW_TAG_NONE)))
        return SW_MEMORY;
    SW_TRY(sw_plan_add_pass(&op, pass, p->ctx));
    return sw_plan_add(p, op);
}

enum sw_status sw_plan_sizing(struct sw_planner *p, struct sw_fitted rough, struct sw_fitted finish,
                              double r_stock, int *correction)
{
    const struct sw_zone *tip = &p->zones.at[0];
    const struct sw_shape_section *pivot = &p->shape->section[tip->first];
    const double r = pivot->turned_diameter / 2, nose = rough.tool->nose_radius.value;
    const double depth = sw_plan_op(p, SW_OP_FINISH, SW_CUT_FINISH, finish, 2 * r, SIZE_MAX).depth;
    /* It ends where facing will begin, so that its shoulder is faced away too. */
    const double z_in = p->stock_end - p->job->sizing_length.value - SW_PLAN_SECOND_FACE;
    const struct sw_pt corner[] = {
        {z_in, r_stock}, {z_in, r}, {p->stock_end, r}, {p->stock_end, 0}};
    struct sw_contour profile = {0}, locus;
    for (size_t i = 0; i + 1 < sizeof corner / sizeof *corner; i++)
        if (!sw_contour_add(p->ctx->arena, &profile,
                            sw_seg_line(corner[i], corner[i + 1], SW_TAG_NONE)))
            return SW_MEMORY;
    struct sw_op op = sw_plan_op(p, SW_OP_ROUGH, SW_CUT_ROUGH, rough, 2 * r_stock, SIZE_MAX);
    op.what = "rough the sizing length";
    SW_TRY(sw_plan_locus(&locus, &profile, rough.tool, 2 * depth, p->ctx));
    const struct sw_reach reach = sw_plan_reach(&locus, z_in, p->stock_end, nose + 2 * depth, true,
                                                (z_in + p->stock_end) / 2);
    const struct sw_levels how = {.r_stock = r_stock,
                                  .depth = op.depth,
                                  .z_free = p->stock_end + nose + p->shop->clearance.value,
                                  .nose = nose,
                                  .r_clear = p->r_clear};
    SW_TRY(sw_plan_levels(&op, &reach, &how, p->ctx));
    SW_TRY(sw_plan_add(p, op));
    const double fine_in = z_in + finish.tool->nose_radius.value + 2 * depth;
    SW_TRY(straight_run(p, finish, SW_OP_SEMI, "semi-finish the sizing length", r + depth, fine_in,
                        how.z_free));
    SW_TRY(
        straight_run(p, finish, SW_OP_FINISH, "finish the sizing length", r, fine_in, how.z_free));
    const struct sw_section *is = &p->staff->section[tip->first];
    const char *name = sw_arena_printf(p->ctx->arena, "%s, on radius", is->name);
    if (!name || !SW_VEC_PUSH(p->ctx->arena, &p->corrections, name))
        return SW_MEMORY;
    *correction = (int)p->corrections.n;
    const struct sw_op measure = {
        .kind = SW_OP_MEASURE,
        .what = "measure the sizing length",
        .section = tip->first,
        .station = finish.station,
        .tool = finish.tool,
        .correction = *correction,
        .expected_diameter = pivot->turned_diameter,
        .target_diameter = pivot->turned_diameter,
        .measure_z = (z_in + p->stock_end) / 2,
        .advice = "half of (expected less measured) is the correction: thicker than expected gives "
                  "a negative one; it goes into the pivot's last cut"};
    return sw_plan_add(p, measure);
}
