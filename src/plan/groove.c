/* Grooves and relief grooves. Everything else of a side is turned as if they were full; they are
 * cut last, so that no tool has to be changed in between and no slender place stands behind
 * another cut: by a pointed tool that reaches all of one (one of the side's own first), else by the
 * widest blade that goes in. The lip towards the shoulder and that towards the free end are each
 * run down from above, so that neither flank of the tool is ever laid against a wall, and the floor
 * is followed from the one to the other. */
#include <math.h>

#include "geom/tol.h"
#include "plan/groove.h"

/* A pointed tool may leave so much above the ceiling: as everywhere (reach.c). */
static const double reach_tolerance = 3e-4;
/* A blade may be wider than the floor by this [mm]: a fifth of what a judge can see. */
static const double width_slack = 1e-4;
/* A rise less than this is no shoulder: what is left on a taper stands a trace higher than what is
 * left beside it [mm]. */
static const double least_wall = SW_PLAN_KEEP_OFF;
/* Left on floor and walls by plunges, for the last run to take [mm]; common practice, no source. */
static const double plunge_left = 0.005;

static enum sw_status groove_of(struct sw_groove *groove, bool *is_here, const struct sw_planner *p,
                                size_t section)
{
    const struct sw_section *is = &p->staff->section[section];
    double z0 = is->z0, z1 = is->z1, f0, f1;
    if (is->kind == SW_SECTION_GROOVE) {
        f0 = z0 + (is[-1].r1 - is->r0) * tan(is->groove_flank);
        f1 = z1 - (is[1].r0 - is->r0) * tan(is->groove_flank);
    } else {
        const double run = sw_section_relief_run(is);
        if (is->is_lower_half)
            z1 = z0 + is->relief_width;
        else
            z0 = z1 - is->relief_width;
        f0 = is->is_lower_half ? z0 : z0 + run;
        f1 = is->is_lower_half ? z1 - run : z1;
    }
    const bool is_upper = p->now->end == SW_SIDE_UPPER;
    *groove =
        (struct sw_groove){.section = section,
                           .is = is,
                           .z_in = sw_plan_chucking_z(p->shape, p->now->end, is_upper ? z1 : z0),
                           .z_out = sw_plan_chucking_z(p->shape, p->now->end, is_upper ? z0 : z1),
                           .floor = f1 - f0};
    *is_here = (groove->z_in + groove->z_out) / 2 > p->z_border;
    if (!*is_here)
        return SW_OK;
    /* What stood over it, and the shoulder behind it if there is one. */
    struct sw_contour over, within;
    SW_TRY(sw_contour_envelope(&over, &p->turned, HUGE_VAL, HUGE_VAL, p->ctx));
    SW_TRY(sw_contour_piece(&within, &over, groove->z_in + SW_TOL_SLIVER,
                            groove->z_out - SW_TOL_SLIVER, p->ctx));
    groove->r_over = sw_contour_box(&within).r1;
    double r = 0;
    groove->r_wall =
        sw_contour_r_at(&r, &over, groove->z_in - SW_TOL_SLIVER) && r > groove->r_over + least_wall
            ? r
            : 0;
    /* The breaks of its lips reach a little further. */
    groove->lip_in = groove->z_in;
    groove->lip_out = groove->z_out;
    for (size_t i = 0; i < p->grooved.n; i++) {
        const struct sw_box box = sw_seg_box(&p->grooved.at[i]);
        if (p->grooved.at[i].kind != SW_SEG_ARC)
            continue;
        if (box.z0 < groove->z_in && box.z1 > groove->z_in - SW_TOL_SLIVER && groove->r_wall == 0)
            groove->lip_in = box.z0;
        if (box.z1 > groove->z_out && box.z0 < groove->z_out + SW_TOL_SLIVER)
            groove->lip_out = box.z1;
    }
    return SW_OK;
}

/* What a pointed tool leaves in it above its ceiling. */
static enum sw_status left_over(double *left, struct sw_planner *p, const struct sw_groove *groove,
                                const struct sw_tool *tool)
{
    struct sw_contour locus;
    double place;
    SW_TRY(sw_plan_locus(&locus, &p->grooved, tool, 0, p->ctx));
    return sw_plan_left_over(left, &place, &locus, &p->grooved_ceiling, tool->nose_radius.value,
                             groove->z_in, groove->z_out, p->ctx);
}

static bool is_used(const struct sw_planner *p, const struct sw_tool *tool)
{
    for (size_t i = 0; i < p->zones.n; i++)
        if (p->zones.at[i].finish.tool == tool)
            return true;
    return false;
}

static enum sw_status choose_point(struct sw_fitted *out, double *least, struct sw_planner *p,
                                   const struct sw_groove *groove)
{
    const struct sw_fitted_tool *fitted = p->shop->tools.at;
    *out = (struct sw_fitted){0, NULL};
    *least = HUGE_VAL;
    for (size_t i = 0; i < p->shop->tools.n; i++) {
        const struct sw_tool *tool = fitted[i].is;
        double left;
        if (!sw_plan_turns_inwards(tool))
            continue;
        SW_TRY(left_over(&left, p, groove, tool));
        *least = fmin(*least, left);
        if (left <= reach_tolerance && (!out->tool || is_used(p, tool)) &&
            !(out->tool && is_used(p, out->tool)))
            *out = (struct sw_fitted){(int)fitted[i].station.value, tool};
    }
    return SW_OK;
}

static double highest(const struct sw_groove *groove)
{
    return fmax(groove->r_over, groove->r_wall);
}

static double floor_radius(const struct sw_groove *groove)
{
    return groove->is->kind == SW_SECTION_GROOVE ? groove->is->r0
                                                 : sw_section_relief_floor(groove->is);
}

static bool goes_in(const struct sw_groove *groove, const struct sw_tool *blade)
{
    return blade->width.value <= groove->floor + width_slack &&
           blade->nose_radius.value <= groove->is->corner + SW_TOL_POINT &&
           blade->reach.value >= highest(groove) - floor_radius(groove);
}

/* The widest that goes in and is narrower than BELOW. */
static struct sw_fitted choose_blade(const struct sw_planner *p, const struct sw_groove *groove,
                                     double below)
{
    const struct sw_fitted_tool *fitted = p->shop->tools.at;
    struct sw_fitted best = {0, NULL};
    for (size_t i = 0; i < p->shop->tools.n; i++) {
        const struct sw_tool *tool = fitted[i].is;
        if (tool->kind.value == SW_TOOL_BLADE && goes_in(groove, tool) &&
            tool->width.value < below - width_slack &&
            (!best.tool || tool->width.value > best.tool->width.value))
            best = (struct sw_fitted){(int)fitted[i].station.value, tool};
    }
    return best;
}

static const struct sw_tool *narrowest_blade(const struct sw_planner *p)
{
    const struct sw_fitted_tool *fitted = p->shop->tools.at;
    const struct sw_tool *best = NULL;
    for (size_t i = 0; i < p->shop->tools.n; i++)
        if (fitted[i].is->kind.value == SW_TOOL_BLADE &&
            (!best || fitted[i].is->width.value < best->width.value))
            best = fitted[i].is;
    return best;
}

const char *sw_plan_groove_name(const struct sw_planner *p, const struct sw_groove *groove)
{
    return groove->is->kind == SW_SECTION_GROOVE
               ? sw_arena_printf(p->ctx->arena, "the groove %s", groove->is->name)
               : sw_arena_printf(p->ctx->arena, "the relief groove of %s", groove->is->name);
}

/* Why the narrowest blade does not do it. */
static const char *blade_fault(const struct sw_planner *p, const struct sw_groove *groove)
{
    const struct sw_tool *blade = narrowest_blade(p);
    struct sw_arena *arena = p->ctx->arena;
    if (!blade)
        return sw_arena_printf(arena, "the shop has no blade");
    if (blade->width.value > groove->floor + width_slack)
        return sw_arena_printf(arena,
                               "its bottom is %.3f mm wide and the narrowest blade, %s, "
                               "%.3f mm",
                               groove->floor, blade->name.value, blade->width.value);
    if (blade->nose_radius.value > groove->is->corner + SW_TOL_POINT)
        return sw_arena_printf(arena,
                               "the corners of the blade %s (radius %.3f mm) are rounder "
                               "than its own may be (%.3f mm)",
                               blade->name.value, blade->nose_radius.value, groove->is->corner);
    return sw_arena_printf(arena, "the blade %s reaches %.2f mm and would have to reach %.2f mm",
                           blade->name.value, blade->reach.value,
                           highest(groove) - floor_radius(groove));
}

static enum sw_status refuse(struct sw_planner *p, const struct sw_groove *groove, double left)
{
    struct sw_arena *arena = p->ctx->arena;
    const char *fault = blade_fault(p, groove), *name = sw_plan_groove_name(p, groove);
    const char *point =
        isfinite(left)
            ? sw_arena_printf(arena, "the best pointed tool leaves %.1f um in it", 1000 * left)
            : "no pointed tool turns towards the headstock";
    const char *hint = sw_arena_printf(
        arena,
        "a blade of %.3f mm or less with corners of %.3f mm or less, or a `flank` that a "
        "pointed tool can follow down",
        groove->floor, groove->is->corner);
    if (!fault || !name || !point || !hint)
        return SW_MEMORY;
    sw_diag_add(p->ctx->diag, SW_ERROR, "plan.groove", groove->is->at, hint,
                "no tool of the shop reaches all of %s: %s, and %s", name, fault, point);
    return SW_CANNOT;
}

/* A blade that fills the floor is counted a trace narrower, so that there is a way down. */
static struct sw_tool slim(const struct sw_tool *tool, const struct sw_groove *groove)
{
    struct sw_tool copy = *tool;
    if (tool->kind.value == SW_TOOL_BLADE)
        copy.width.value = fmin(tool->width.value, groove->floor - width_slack);
    return copy;
}

static enum sw_status begin(struct sw_groove_cut *cut, struct sw_planner *p,
                            const struct sw_groove *groove, struct sw_fitted tool)
{
    const bool is_blade = tool.tool->kind.value == SW_TOOL_BLADE;
    *cut = (struct sw_groove_cut){
        .p = p, .groove = groove, .tool = slim(tool.tool, groove), .is_blade = is_blade};
    const double widest = 2 * highest(groove);
    cut->op = sw_plan_op(p, SW_OP_GROOVE, is_blade ? SW_CUT_PART : SW_CUT_ROUGH, tool, widest,
                         groove->section);
    const struct sw_op fine =
        sw_plan_op(p, SW_OP_GROOVE, SW_CUT_FINISH, tool, widest, groove->section);
    cut->op.speed = fine.speed; /* one speed for all of it */
    cut->op.is_surface_speed = false;
    cut->fine_feed = fine.feed;
    cut->leave = is_blade ? fmax(plunge_left, fine.depth) : fine.depth;
    const double room = (groove->floor - tool.tool->width.value) / 2 - width_slack;
    if (is_blade && room < cut->leave)
        cut->leave = room < fine.depth ? 0 : room;
    const char *name = sw_plan_groove_name(p, groove);
    cut->op.what = name ? sw_arena_printf(p->ctx->arena, "cut %s", name) : NULL;
    if (!cut->op.what)
        return SW_MEMORY;
    const double nose = tool.tool->nose_radius.value;
    /* Over the fillet that the turning tools left in front of the shoulder. */
    double fillet = 0;
    for (size_t i = 0; i < p->zones.n && groove->r_wall > 0; i++)
        fillet = fmax(fillet, p->zones.at[i].finish.tool->nose_radius.value);
    cut->r_top = groove->r_over + nose;
    cut->r_start = fmin(cut->r_top + fillet, fmax(groove->r_wall + nose, cut->r_top));
    SW_TRY(sw_plan_locus(&cut->locus, &p->grooved, &cut->tool, 0, p->ctx));
    return sw_plan_locus(&cut->rough, &p->grooved, &cut->tool, cut->leave, p->ctx);
}

/* The tool that cuts it, and how hard it may push. */
static enum sw_status choose(struct sw_groove_cut *cut, struct sw_planner *p,
                             const struct sw_groove *groove)
{
    double left;
    bool bears = false;
    struct sw_fitted tool;
    SW_TRY(choose_point(&tool, &left, p, groove));
    if (!tool.tool)
        tool = choose_blade(p, groove, HUGE_VAL);
    if (!tool.tool)
        return refuse(p, groove, left);
    for (;;) {
        const struct sw_fitted next = choose_blade(
            p, groove, tool.tool->kind.value == SW_TOOL_BLADE ? tool.tool->width.value : HUGE_VAL);
        SW_TRY(begin(cut, p, groove, tool));
        SW_TRY(sw_plan_groove_load(&bears, cut, next.tool == NULL));
        if (bears)
            return SW_OK;
        tool = next;
    }
}

enum sw_status sw_plan_grooves(struct sw_planner *p)
{
    for (size_t i = 0; i < p->staff->n; i++) {
        const struct sw_section *is = &p->staff->section[i];
        struct sw_groove groove;
        struct sw_groove_cut cut;
        bool is_here = false;
        const bool is_blanks = p->blank && !p->blank->form.leaves[i]; /* cut before hardening */
        if ((is->kind != SW_SECTION_GROOVE && !is->has_relief) || is_blanks)
            continue;
        SW_TRY(groove_of(&groove, &is_here, p, i));
        if (!is_here)
            continue;
        SW_TRY(choose(&cut, p, &groove));
        SW_TRY(sw_plan_groove_passes(&cut));
        SW_TRY(sw_plan_add(p, cut.op));
    }
    return SW_OK;
}
