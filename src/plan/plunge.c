/* The passes of a groove: plunges side by side for a blade, levels for a point, then the runs that
 * leave its form. */
#include <math.h>

#include "geom/tol.h"
#include "mech/speed.h"
#include "mech/stress.h"
#include "plan/groove.h"
#include "plan/strength.h"

/* Feeds begin this far above what is to be cut [mm]. */
static const double set_down = 0.05;
/* Rapid moves beside a shoulder keep this far from it [mm]. */
static const double off_wall = 0.02;
/* Runs down a wall stop this far above its foot (passes.c) [mm]. */
static const double foot_gap = 0.0002;
/* Plunges side by side move on by this share of the blade's straight edge. */
static const double plunge_step = 0.8;
/* A pass of a point takes no more than this share of what the tool may (rough.c). */
static const double level_share = 0.8;
/* Plunges that a run along the floor follows may bend the work by this [mm]: the run takes it. */
static const double plunge_bend = 0.04;
/* Feeds and depths are lowered by this factor until the work bears the cut. */
static const double gentler = 0.7;

/* The stretch of a locus that lies lowest: where the tool stands on the floor. */
struct stretch {
    double z0, z1, r;
};

/* A blade stands over the groove from one corner to the other, and its straight edge would go
 * through a narrow land beside it: places of the first corner end where the second comes to the
 * outer lip. */
static double outermost(const struct sw_groove_cut *cut, double z)
{
    return z - sw_tool_second_corner(&cut->tool).z;
}

static enum sw_status floor_of(struct stretch *out, const struct sw_groove_cut *cut,
                               const struct sw_contour *locus)
{
    struct sw_contour piece;
    struct sw_intervals below = {0};
    SW_TRY(sw_contour_piece(&piece, locus, cut->groove->z_in, outermost(cut, cut->groove->z_out),
                            cut->p->ctx));
    out->r = piece.n > 0 ? sw_contour_box(&piece).r0 : cut->r_top;
    out->z0 = out->z1 = (cut->groove->z_in + cut->groove->z_out) / 2;
    if (piece.n > 0)
        SW_TRY(sw_contour_below(&below, &piece, out->r + SW_TOL_SLIVER, cut->p->ctx));
    if (below.n > 0) {
        out->z0 = below.at[0].z0;
        out->z1 = below.at[below.n - 1].z1;
    }
    return SW_OK;
}

/* Room to stand off a shoulder while moving in rapid; 0: the tool fills the floor. */
static double room(const struct sw_groove_cut *cut, double z, double z_most)
{
    return cut->groove->r_wall > 0 && z_most - z >= off_wall ? off_wall : 0;
}

/* A pass that begins at START, beside the shoulder if there is one there. */
static struct sw_pass pass_from(const struct sw_groove_cut *cut, struct sw_pt start, double shift)
{
    const double nose = cut->tool.nose_radius.value;
    const bool is_beside =
        cut->groove->r_wall > 0 && shift == 0 && start.z < cut->groove->z_in + nose + off_wall;
    const double r_free = is_beside ? cut->groove->r_wall + nose : start.r;
    return (struct sw_pass){.from = {start.z + shift, fmax(r_free, start.r) + set_down},
                            .back_r = cut->p->r_clear};
}

static enum sw_status add_run(struct sw_groove_cut *cut, struct sw_pass *pass,
                              const struct sw_contour *run, double shift)
{
    const struct sw_pt end = run->at[run->n - 1].b;
    pass->run = *run;
    pass->lift = (struct sw_pt){end.z + shift, fmax(cut->r_start, end.r) + SW_PLAN_LIFT};
    return sw_plan_add_pass(&cut->op, *pass, cut->p->ctx);
}

static enum sw_status line_run(struct sw_contour *run, struct sw_pt a, struct sw_pt b,
                               struct sw_ctx *ctx)
{
    if (sw_pt_distance(a, b) <= SW_TOL_POINT)
        return SW_OK;
    return sw_contour_add(ctx->arena, run, sw_seg_line(a, b, SW_TAG_NONE)) ? SW_OK : SW_MEMORY;
}

/* ---- what the work bears ---- */

struct load {
    double bend, stress; /* mm, MPa */
};

static enum sw_status load_of(struct load *load, const struct sw_groove_cut *cut, double depth,
                              double feed, bool is_nominal)
{
    const struct sw_planner *p = cut->p;
    const double r = cut->groove->r_over;
    struct sw_bar_pieces pieces;
    struct sw_bar bar = {0};
    *load = (struct load){0, 0};
    SW_TRY(sw_strength_behind(&pieces, p, cut->groove->z_out, p->ctx));
    if (pieces.n == 0)
        return SW_OK; /* at the nose face itself */
    SW_TRY(sw_strength_bar(&bar, p, &pieces, p->ctx));
    const struct sw_force_case of =
        sw_strength_force(p, cut->op.tool, sw_speed_surface(cut->op.speed, 2 * r));
    const struct sw_force_band band =
        cut->is_blade ? sw_force_part(&of, depth, feed) : sw_force_turn(&of, depth, feed);
    const struct sw_force *force = is_nominal ? &band.nominal : &band.high;
    const struct sw_bar_forces forces = {
        .at = sw_bar_length(&bar), .radius = r, .cutting = force->cutting, .thrust = force->thrust};
    load->bend = fabs(sw_bar_shift_at(&bar, forces.at, &forces).away);
    load->stress = sw_stress_worst(&bar, &forces).equivalent;
    return SW_OK;
}

static enum sw_status too_weak(const struct sw_groove_cut *cut, const struct load *load,
                               double most_bend, double most_stress)
{
    const char *name = sw_plan_groove_name(cut->p, cut->groove);
    const char *hint =
        cut->is_blade ? sw_arena_printf(cut->p->ctx->arena,
                                        "a blade narrower than %.3f mm with a sharper edge, or a "
                                        "wider tolerance",
                                        cut->op.tool->width.value)
                      : "a sharper edge or a smaller nose, or a groove further from the tip";
    if (!name || !hint)
        return SW_MEMORY;
    sw_diag_add(cut->p->ctx->diag, SW_ERROR, "plan.groove-too-weak", cut->groove->is->at, hint,
                "%s cannot be cut with %s: even its lightest cut bends the work %.1f um (at most "
                "%.1f) and stresses it %.0f MPa (at most %.0f)",
                name, cut->op.tool->name.value, 1000 * load->bend, 1000 * most_bend, load->stress,
                most_stress);
    return SW_CANNOT;
}

enum sw_status sw_plan_groove_load(bool *bears, struct sw_groove_cut *cut, bool is_last)
{
    const struct sw_planner *p = cut->p;
    const struct sw_material *material = p->now->stock->is;
    const double chip = sw_cut_least_chip(cut->op.tool, material);
    const double most_stress = material->yield.value / p->shop->safety.value;
    const struct sw_band *band = &cut->groove->is->diameter_tolerance;
    /* Where nothing comes after the plunge, its floor stays as the bent work left it. */
    const double most_bend = cut->leave > 0 ? plunge_bend : (band->upper - band->lower) / 4;
    double depth = cut->op.depth, feed = cut->is_blade ? cut->op.feed : cut->fine_feed;
    for (;;) {
        struct load load;
        SW_TRY(load_of(&load, cut, depth, feed, cut->leave == 0));
        if (load.bend <= most_bend && load.stress <= most_stress)
            break;
        double *less = cut->is_blade ? &feed : &depth;
        *bears = *less * gentler >= chip;
        if (!*bears)
            return is_last ? too_weak(cut, &load, most_bend, most_stress) : SW_OK;
        *less *= gentler;
    }
    *bears = true;
    cut->op.depth = depth;
    cut->op.feed = feed;
    return SW_OK;
}

/* ---- roughing ---- */

static enum sw_status plunge(struct sw_groove_cut *cut, double z, double z_most)
{
    double r;
    struct sw_contour run = {0};
    if (!sw_contour_r_at(&r, &cut->rough, z + SW_TOL_SLIVER) || r > cut->r_top - SW_TOL_SLIVER)
        return SW_OK;
    const struct sw_pt start = {z, cut->r_start};
    const double shift = room(cut, z, z_most);
    struct sw_pass pass = pass_from(cut, start, shift);
    SW_TRY(line_run(&run, start, (struct sw_pt){z, r}, cut->p->ctx));
    return add_run(cut, &pass, &run, shift);
}

/* Side by side over the floor, outermost first, then down over long flanks. */
static enum sw_status plunges(struct sw_groove_cut *cut)
{
    struct stretch floor;
    SW_TRY(floor_of(&floor, cut, &cut->rough));
    const double edge = cut->tool.width.value - 2 * cut->tool.nose_radius.value;
    const double step = plunge_step * fmax(edge, cut->tool.nose_radius.value);
    const int n = (int)ceil((floor.z1 - floor.z0) / step - SW_TOL_SLIVER);
    for (double z = floor.z1 + step; z < outermost(cut, cut->groove->z_out); z += step)
        SW_TRY(plunge(cut, z, floor.z1));
    for (int i = 0; i <= n; i++)
        SW_TRY(plunge(cut, n > 0 ? floor.z1 + (floor.z0 - floor.z1) * i / n : floor.z0, floor.z1));
    for (double z = floor.z0 - step; z > cut->groove->z_in; z -= step)
        SW_TRY(plunge(cut, z, floor.z1));
    return SW_OK;
}

/* One level of a point: down at its outer end, along, and straight out. */
static enum sw_status level(struct sw_groove_cut *cut, double r)
{
    struct sw_intervals below = {0};
    struct sw_ctx *ctx = cut->p->ctx;
    SW_TRY(sw_contour_below(&below, &cut->rough, r + SW_TOL_SLIVER, ctx));
    for (size_t i = below.n; i-- > 0;) {
        const double z0 = fmax(below.at[i].z0, cut->groove->z_in);
        const double z1 = fmin(below.at[i].z1, cut->groove->z_out);
        struct sw_contour run = {0};
        if (z1 - z0 < SW_TOL_SLIVER)
            continue;
        const struct sw_pt start = {z1, cut->r_start};
        const double shift = room(cut, z0, z1);
        struct sw_pass pass = pass_from(cut, start, 0);
        SW_TRY(line_run(&run, start, (struct sw_pt){z1, r}, ctx));
        SW_TRY(line_run(&run, (struct sw_pt){z1, r}, (struct sw_pt){z0, r}, ctx));
        if (run.n > 0)
            SW_TRY(add_run(cut, &pass, &run, shift));
    }
    return SW_OK;
}

static enum sw_status levels(struct sw_groove_cut *cut)
{
    struct stretch floor;
    SW_TRY(floor_of(&floor, cut, &cut->rough));
    const double most = cut->op.tool->most_depth.value, nose = cut->tool.nose_radius.value;
    const double whole = cut->r_start - floor.r;
    double depth = fmin(cut->op.depth, level_share * most);
    /* Each level is entered straight in beside the flank. On a steep one that is always about the
     * same place: what the nose takes there across its way is all that the tool may take. */
    if (whole > most && depth * tan(cut->groove->is->groove_flank) <= nose)
        depth = fmin(depth, most * most / (8 * nose));
    const int n = (int)ceil(whole / depth - SW_TOL_SLIVER);
    for (int i = 1; i <= n; i++)
        SW_TRY(level(cut, cut->r_start - whole * i / n));
    return SW_OK;
}

/* ---- the form ---- */

/* Down the shoulder to its foot; exact, for nothing else is cut there any more. */
static enum sw_status down_shoulder(struct sw_groove_cut *cut, const struct stretch *floor)
{
    struct sw_contour run = {0};
    const struct sw_pt start = {floor->z0, cut->r_start + foot_gap};
    const double shift = room(cut, floor->z0, floor->z1);
    struct sw_pass pass = pass_from(cut, start, shift);
    pass.feed = cut->fine_feed;
    SW_TRY(line_run(&run, start, (struct sw_pt){floor->z0, floor->r + foot_gap}, cut->p->ctx));
    return add_run(cut, &pass, &run, fmin(shift, floor->z1 - floor->z0));
}

/* Over the inner lip and down its wall: what only the blade's other corner reaches. */
static enum sw_status down_inner_lip(struct sw_groove_cut *cut, const struct stretch *floor)
{
    struct sw_contour run = {0}, piece;
    struct sw_ctx *ctx = cut->p->ctx;
    const double nose = cut->tool.nose_radius.value;
    const double z_end = floor->z0 + fmin(SW_PLAN_KEEP_OFF, (floor->z1 - floor->z0) / 2);
    SW_TRY(sw_contour_piece(&piece, &cut->locus, cut->groove->lip_in, z_end, ctx));
    if (piece.n == 0)
        return SW_OK;
    const struct sw_pt first = piece.at[0].a;
    const struct sw_pt start = {first.z, first.r + nose};
    struct sw_pass pass = pass_from(cut, start, 0);
    pass.feed = cut->fine_feed;
    SW_TRY(line_run(&run, start, first, ctx));
    for (size_t i = 0; i < piece.n; i++)
        if (!sw_contour_add(ctx->arena, &run, piece.at[i]))
            return SW_MEMORY;
    return add_run(cut, &pass, &run, 0);
}

/* Over the outer lip, down, and along the floor; a point goes on up an inner flank. */
static enum sw_status down_and_along(struct sw_groove_cut *cut, const struct stretch *floor)
{
    struct sw_contour run = {0}, piece;
    struct sw_ctx *ctx = cut->p->ctx;
    const double nose = cut->tool.nose_radius.value;
    const bool ends_on_floor = cut->is_blade || cut->groove->r_wall > 0;
    const double z_end = ends_on_floor ? floor->z0 : cut->groove->lip_in;
    SW_TRY(sw_contour_piece(&piece, &cut->locus, z_end, outermost(cut, cut->groove->lip_out), ctx));
    if (piece.n == 0)
        return SW_OK;
    const struct sw_pt top = piece.at[piece.n - 1].b;
    const struct sw_pt start = {top.z, top.r + nose};
    struct sw_pass pass = pass_from(cut, start, 0);
    pass.feed = cut->fine_feed;
    SW_TRY(line_run(&run, start, top, ctx));
    for (size_t i = piece.n; i-- > 0;)
        if (!sw_contour_add(ctx->arena, &run, sw_seg_reverse(piece.at[i])))
            return SW_MEMORY;
    return add_run(cut, &pass, &run, ends_on_floor ? fmin(off_wall, floor->z1 - floor->z0) : 0);
}

enum sw_status sw_plan_groove_passes(struct sw_groove_cut *cut)
{
    struct stretch floor;
    SW_TRY(cut->is_blade ? plunges(cut) : levels(cut));
    SW_TRY(floor_of(&floor, cut, &cut->locus));
    if (cut->groove->r_wall > 0)
        SW_TRY(down_shoulder(cut, &floor));
    else if (cut->is_blade)
        SW_TRY(down_inner_lip(cut, &floor));
    return down_and_along(cut, &floor);
}
