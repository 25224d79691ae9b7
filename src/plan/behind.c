/* Behind the hub, in the first grip: the other side is roughed to a core as stout as its seats
 * allow, so that the second chucking, short and small, never starts from raw rod; then the piece is
 * parted, to a neck that is broken by hand or right through. */
#include <math.h>

#include "geom/tol.h"
#include "mech/speed.h"
#include "plan/strength.h"

/* The blade stands free of the wall by this much [mm]. */
static const double side_gap = 0.05;
/* A blade parts through when its edge has passed the axis by this much [mm]. */
static const double past_axis = 0.02;
/* Plunges side by side move on by this share of the blade's width. */
static const double plunge_overlap = 0.8;

/* Of what a tool may take, a nose fed straight in shall meet no more than this share. */
static const double plunge_share = 0.85;

/* A point that may be fed in no further than this does not rough behind a hub [mm]. */
static const double least_plunge = 0.01;

/* Each level is entered along the hub's slope. Fed in by D there, a nose of radius R meets, beside
 * its lowest point, a column about sqrt(2 R D) high. */
double sw_plan_deepest_plunge(const struct sw_tool *tool)
{
    const double most = plunge_share * tool->most_depth.value;
    return most * most / (2 * tool->nose_radius.value);
}

/* The tool as walls see it. */
static struct sw_tool with_flank_gap(const struct sw_tool *tool)
{
    struct sw_tool wider = *tool;
    if (tool->kind.value == SW_TOOL_POINT) {
        wider.cutting_angle.value -= SW_PLAN_FLANK_GAP;
        wider.point_angle.value += 2 * SW_PLAN_FLANK_GAP;
    }
    return wider;
}

double sw_plan_core_radius(const struct sw_planner *p)
{
    const struct sw_staff *staff = p->staff;
    const bool is_upper = p->now->end == SW_SIDE_UPPER;
    double core = 0;
    for (size_t k = 0; k < staff->n; k++) {
        const size_t section = is_upper ? staff->n - 1 - k : k; /* from the second tip inwards */
        const struct sw_section *is = &staff->section[section];
        if (section == p->land)
            break;
        core = fmax(core, fmax(is->r0, is->r1) + fmax(0, p->shape->section[section].take / 2));
    }
    return core + SW_PLAN_ROUGH_LEFT;
}

/* From the hub to the middle of the blade's slot at least: within reach of a blade's width on
 * either side of a neck there shall be nothing but the core, so that the core is no neck itself
 * [mm]. */
static const double neck_clear = 1.05;

static enum sw_status no_blade(struct sw_planner *p)
{
    sw_diag_add(p->ctx->diag, SW_ERROR, "plan.no-parting-tool", p->shop->tools.span, "fit a blade",
                "the shop has no parting blade");
    return SW_CANNOT;
}

/* The wall of the rod and the core in front of it. */
static enum sw_status core_profile(struct sw_contour *out, double z_wall, double z_right,
                                   double r_rod, double core, struct sw_ctx *ctx)
{
    const struct sw_pt corner[] = {
        {z_wall - 1.0, r_rod}, {z_wall, r_rod}, {z_wall, core}, {z_right, core}};
    for (size_t i = 0; i + 1 < sizeof corner / sizeof *corner; i++)
        if (!sw_contour_add(ctx->arena, out, sw_seg_line(corner[i], corner[i + 1], SW_TAG_NONE)))
            return SW_MEMORY;
    return SW_OK;
}

/* A blade roughs by plunges side by side, each overlapping the one before. */
static enum sw_status plunge_side_by_side(struct sw_op *op, struct sw_planner *p,
                                          const struct sw_contour *locus, double z_first,
                                          double r_rod)
{
    const struct sw_tool *tool = op->tool;
    const double width = tool->width.value, nose = tool->nose_radius.value;
    /* The last one's right corner stands under the hub's edge. */
    const double z_last = p->z_border - width + nose;
    const int n = (int)ceil((z_last - z_first) / (plunge_overlap * width));
    /* From the hub towards the holder: between the blade and the holder the rod is whole. */
    for (int i = n; i >= 0; i--) {
        const double z = n > 0 ? z_first + (z_last - z_first) * i / n : z_first;
        double r = r_rod;
        if (!sw_contour_r_at(&r, locus, z) || r > r_rod + nose - SW_TOL_SLIVER)
            continue;
        struct sw_pass pass = {.from = {z, r_rod + nose + side_gap},
                               .lift = {z, r_rod + nose + side_gap},
                               .back_r = p->r_clear};
        if (!sw_contour_add(p->ctx->arena, &pass.run,
                            sw_seg_line(pass.from, (struct sw_pt){z, r}, SW_TAG_NONE)))
            return SW_MEMORY;
        SW_TRY(sw_plan_add_pass(op, pass, p->ctx));
    }
    return SW_OK;
}

/* What those plunges leave at most: between two plunges the higher of both. At least the lower. */
static enum sw_status blade_leaves(struct sw_plan_left *left, struct sw_planner *p,
                                   const struct sw_op *op, double z_end, double r_rod)
{
    const double nose = op->tool->nose_radius.value;
    double z = z_end;
    *left = (struct sw_plan_left){0};
    for (size_t i = op->n_passes; i-- > 0;) {
        const struct sw_pt deepest = op->pass[i].run.at[0].b;
        const double right = deepest.z + op->tool->width.value - nose;
        const double r = deepest.r - nose;
        const double next = i > 0 ? op->pass[i - 1].run.at[0].b.r - nose : r;
        if (right <= z)
            continue;
        if (!sw_contour_add(p->ctx->arena, &left->most,
                            sw_seg_line((struct sw_pt){z, fmax(r, next)},
                                        (struct sw_pt){right, fmax(r, next)}, SW_TAG_NONE)) ||
            !sw_contour_add(p->ctx->arena, &left->least,
                            sw_seg_line((struct sw_pt){z, fmin(r, next)},
                                        (struct sw_pt){right, fmin(r, next)}, SW_TAG_NONE)))
            return SW_MEMORY;
        z = right;
    }
    if (z < p->z_border - SW_TOL_SLIVER &&
        !sw_contour_add(
            p->ctx->arena, &left->most,
            sw_seg_line((struct sw_pt){z, r_rod}, (struct sw_pt){p->z_border, r_rod}, SW_TAG_NONE)))
        return SW_MEMORY;
    return SW_OK;
}

/* Between levels steps of up to one DEPTH stand on slopes; on the floor of the last one none do. */
static enum sw_status with_steps(struct sw_contour *most, const struct sw_contour *least,
                                 double depth, struct sw_ctx *ctx)
{
    const double floor = sw_contour_box(least).r0 + SW_TOL_SLIVER;
    *most = (struct sw_contour){0};
    for (size_t i = 0; i < least->n; i++) {
        struct sw_seg seg = least->at[i];
        const bool is_floor = seg.kind == SW_SEG_LINE && fmax(seg.a.r, seg.b.r) < floor;
        const double more = is_floor ? 0 : depth;
        seg.a.r += more;
        seg.b.r += more;
        seg.c.r += more;
        const struct sw_pt *end = most->n > 0 ? &most->at[most->n - 1].b : NULL;
        if (end && sw_pt_distance(*end, seg.a) > SW_TOL_POINT &&
            !sw_contour_add(ctx->arena, most, sw_seg_line(*end, seg.a, SW_TAG_NONE)))
            return SW_MEMORY;
        if (!sw_contour_add(ctx->arena, most, seg))
            return SW_MEMORY;
    }
    return SW_OK;
}

enum sw_status sw_plan_trough(struct sw_plan_left *left, struct sw_planner *p,
                              struct sw_fitted tool, double z_wall, double z_end, double core)
{
    const double nose = tool.tool->nose_radius.value, r_rod = p->now->rod_diameter / 2;
    struct sw_contour whole, profile = {0}, over_staff, over_core, locus;
    const bool is_upper = p->now->end == SW_SIDE_UPPER;
    SW_TRY(sw_contour_place(&whole, &p->plain->turned, is_upper ? -1 : 1,
                            is_upper ? 0 : -p->staff->total, p->ctx));
    const struct sw_tool wider = with_flank_gap(tool.tool);
    SW_TRY(core_profile(&profile, z_wall, p->z_tip, r_rod, core, p->ctx));
    SW_TRY(sw_plan_locus(&over_staff, &whole, &wider, SW_PLAN_ROUGH_LEFT, p->ctx));
    SW_TRY(sw_plan_locus(&over_core, &profile, &wider, 0, p->ctx));
    SW_TRY(sw_contour_upper(&locus, &over_staff, &over_core, p->ctx));
    const bool is_blade = tool.tool->kind.value == SW_TOOL_BLADE;
    struct sw_op op = sw_plan_op(p, SW_OP_TROUGH, is_blade ? SW_CUT_PART : SW_CUT_ROUGH, tool,
                                 2 * r_rod, SIZE_MAX);
    op.what = sw_arena_printf(p->ctx->arena, "rough the other side behind the %s",
                              p->staff->section[p->land].name);
    if (!op.what)
        return SW_MEMORY;
    if (is_blade) {
        SW_TRY(plunge_side_by_side(&op, p, &locus, z_wall + nose + SW_PLAN_KEEP_OFF, r_rod));
        SW_TRY(sw_strength_ease_plunges(&op, p));
        SW_TRY(sw_plan_add(p, op));
        return blade_leaves(left, p, &op, z_end, r_rod);
    }
    op.depth = fmin(op.depth, sw_plan_deepest_plunge(tool.tool));
    const struct sw_reach reach = sw_plan_reach(&locus, z_wall, p->z_border, nose, false, 0);
    const struct sw_levels how = {.r_stock = r_rod,
                                  .depth = sw_plan_deepest_plunge(tool.tool),
                                  .z_free = reach.z_out + nose + p->shop->clearance.value,
                                  .nose = nose,
                                  .r_clear = p->r_clear};
    SW_TRY(sw_plan_rough_trough(&op, p, &reach, &how, z_wall));
    SW_TRY(sw_plan_add(p, op));
    SW_TRY(sw_plan_leaves_at_most(&left->least, &locus, nose, z_end, p->z_border, p->ctx));
    return with_steps(&left->most, &left->least, op.depth, p->ctx);
}

/* A neck breaks before the core beside it bends: the diameter at which it does, and one from which
 * it is none, as shares of the core's. By bending moment, the cubes: 0.42 and 0.73. */
static const double neck_share = 0.75, no_neck_share = 0.9;

/* The thinnest neck that parting leaves standing. Over half the blade's width the force bends it
 * against the wall towards the holder; of a neck thicker than that arm is long, beams say nothing.
 */
enum { neck_rounds = 8 }; /* speed and torque follow from the neck that follows from them */
/* What stands in the corners of the slot and the push along the axis come on top. */
static const double neck_spare = 1.02;

static double thinnest_neck(const struct sw_planner *p, const struct sw_op *op)
{
    const double pi = 3.14159265358979323846;
    const double arm = op->tool->width.value / 2;
    double neck = 2 * arm;
    for (int i = 0; i < neck_rounds; i++) {
        const struct sw_force_case of =
            sw_strength_force(p, op->tool, sw_speed_surface(op->speed, neck));
        const struct sw_force force = sw_force_part(&of, op->tool->width.value, op->feed).nominal;
        const double moment = hypot(force.cutting, force.thrust) * arm;
        const double torque = force.cutting * neck / 2;
        /* Bending and torsion together, by von Mises. */
        const double whole = sqrt(moment * moment + 0.75 * torque * torque);
        neck = cbrt(32 * whole / (pi * p->now->stock->is->yield.value));
    }
    return fmin(arm, neck_spare * neck);
}

static enum sw_status refuse_neck(const struct sw_planner *p, const struct sw_op *op, double asked,
                                  double least, double most)
{
    /* rounded so that what is named as possible is possible */
    const double from = ceil(100 * least) / 100, to = floor(100 * most) / 100;
    const char *hint =
        from <= to ? sw_arena_printf(p->ctx->arena, "`neck: %.2f` to `%.2f`; or a narrower blade",
                                     from, to)
                   : "a narrower blade, or `parting: through`";
    if (!hint)
        return SW_MEMORY;
    sw_diag_add(p->ctx->diag, SW_ERROR, "plan.neck-thin", p->job->neck.at, hint,
                "parting with the blade of %.2f mm would break a neck of %.3f mm before the cut is "
                "done: at least %.3f mm bear it",
                op->tool->width.value, asked, least);
    return SW_CANNOT;
}

/* The neck as the job asks for it; without a word from it, no thicker than breaks by hand. */
static enum sw_status choose_neck(double *diameter, struct sw_planner *p, const struct sw_op *op,
                                  double core)
{
    const struct sw_number *asked = &p->job->neck;
    const double most = 2 * core * neck_share, least = thinnest_neck(p, op);
    *diameter = asked->given ? asked->value : fmin(fmax(asked->value, least), most);
    if (*diameter < least)
        return refuse_neck(p, op, *diameter, least, most);
    if (*diameter <= 2 * core * no_neck_share)
        return SW_OK;
    const char *hint = sw_arena_printf(p->ctx->arena, "`neck: %.2f` or less; or `parting: through`",
                                       floor(100 * most) / 100);
    if (!hint)
        return SW_MEMORY;
    sw_diag_add(p->ctx->diag, SW_ERROR, "plan.neck", asked->at, hint,
                "a neck of %.3f mm does not break by hand without bending the core of %.3f mm "
                "beside it: at most %.3f mm do",
                asked->value, 2 * core, most);
    return SW_CANNOT;
}

static enum sw_status part(struct sw_planner *p, struct sw_fitted blade, double z_end, double core)
{
    const double r_from = core + SW_PLAN_ROUGH_LEFT / 2;
    const struct sw_tool *tool = blade.tool;
    const double nose = tool->nose_radius.value, width = tool->width.value;
    struct sw_plan_chucking *now = p->now;
    now->has_neck = !sw_plan_is_taken_over(p) && p->job->parting.value == SW_PART_TO_NECK;
    struct sw_op op = sw_plan_op(p, SW_OP_PART, SW_CUT_PART, blade, 2 * r_from, SIZE_MAX);
    if (now->has_neck)
        SW_TRY(choose_neck(&now->neck_diameter, p, &op, core));
    now->neck_z = z_end - width / 2;
    if (tool->reach.value < r_from - now->neck_diameter / 2) {
        const char *hint = sw_arena_printf(p->ctx->arena, "a blade with a reach of %.2f mm or more",
                                           r_from - now->neck_diameter / 2);
        if (!hint)
            return SW_MEMORY;
        sw_diag_add(p->ctx->diag, SW_ERROR, "plan.blade-too-short", p->shop->tools.span, hint,
                    "the blade %s (reach %.2f mm) does not part a core of %.2f mm diameter",
                    tool->name.value, tool->reach.value, 2 * r_from);
        return SW_CANNOT;
    }
    op.what = now->has_neck ? "part to a neck" : "part through";
    const double z = z_end - width + nose;
    const double r_last = now->has_neck ? now->neck_diameter / 2 + nose : nose - past_axis;
    struct sw_pass pass = {.from = {z, r_from + nose + side_gap},
                           .lift = {z, r_from + nose + side_gap},
                           .back_r = p->r_clear};
    if (!sw_contour_add(p->ctx->arena, &pass.run,
                        sw_seg_line(pass.from, (struct sw_pt){z, r_last}, SW_TAG_NONE)))
        return SW_MEMORY;
    SW_TRY(sw_plan_add_pass(&op, pass, p->ctx));
    if (sw_plan_is_taken_over(p))
        SW_TRY(sw_plan_take_over(p, tool, (struct sw_pt){z, r_last}));
    return sw_plan_add(p, op);
}

struct sw_fitted sw_plan_trough_tool(const struct sw_planner *p)
{
    const struct sw_fitted tool = sw_plan_tool_of(p->shop, SW_TOOL_POINT, SW_HAND_NEUTRAL);
    if (!tool.tool || sw_plan_comes_anew(p) || p->now->in_bush ||
        sw_plan_deepest_plunge(tool.tool) < least_plunge)
        /* it saves a change; it roughs by plunges, the bar whole right behind them */
        return sw_plan_parting_blade(p->shop);
    return tool;
}

double sw_plan_trough_slope(const struct sw_planner *p, const struct sw_tool *tool, double core)
{
    const double pi = 3.14159265358979323846;
    const struct sw_tool wider = with_flank_gap(tool);
    double low, high;
    sw_tool_flanks(&low, &high, &wider);
    return fmax(0, (p->now->rod_diameter / 2 - core) / tan(pi - high));
}

enum sw_status sw_plan_behind(struct sw_plan_left *left, struct sw_planner *p)
{
    const struct sw_fitted blade = sw_plan_parting_blade(p->shop);
    if (!blade.tool)
        return no_blade(p);
    const struct sw_fitted tool = sw_plan_trough_tool(p);
    const bool is_upper = p->now->end == SW_SIDE_UPPER;
    const double second_tip =
        sw_plan_chucking_z(p->shape, p->now->end, is_upper ? p->shape->z_lower : p->shape->z_upper);
    const struct sw_shape_section *hub = &p->shape->section[p->land];
    const double z_hub = fmin(sw_plan_chucking_z(p->shape, p->now->end, hub->z0),
                              sw_plan_chucking_z(p->shape, p->now->end, hub->z1));
    const double z_end =
        fmin(second_tip - SW_PLAN_SECOND_FACE - p->job->sizing_length.value,
             z_hub - SW_PLAN_ROUGH_LEFT - neck_clear + blade.tool->width.value / 2);
    const double core = sw_plan_core_radius(p);
    /* The tool's flank leaves a slope at the wall; the blade shall come down clear of it. */
    const double slope = sw_plan_trough_slope(p, tool.tool, core);
    const double z_wall = z_end - blade.tool->width.value - side_gap - slope;
    SW_TRY(sw_plan_trough(left, p, tool, z_wall, z_end, core));
    return part(p, blade, z_end, core);
}
