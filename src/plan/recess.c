/* The recess in front of the rivet: an undercut along the axis, cut by a ground point that stands
 * parallel to it. Seen with z and r swapped it is an ordinary trough between the collet seat and
 * the lip, so the same levels and the same contour run serve; the passes are swapped back. */
#include <math.h>

#include "geom/tol.h"
#include "plan/plan_int.h"

static const double half_pi = 1.57079632679489661923;
/* Drawn out this far in front of the rivet's face before moving across [mm]. */
static const double in_front = 0.05;
/* and this far off the seat [mm]. */
static const double off_seat = 0.004;

static struct sw_pt swap(struct sw_pt p)
{
    return (struct sw_pt){p.r, p.z};
}

static void swap_back(struct sw_pass *pass, double z_face, double nose, double r_clear)
{
    pass->from = swap(pass->from);
    for (size_t i = 0; i < pass->run.n; i++) {
        struct sw_seg *seg = &pass->run.at[i];
        seg->a = swap(seg->a);
        seg->b = swap(seg->b);
        seg->c = swap(seg->c);
        seg->turn = -seg->turn;
    }
    const struct sw_pt end = pass->run.at[pass->run.n - 1].b;
    /* Off the wall of the seat while drawing out. */
    pass->lift = (struct sw_pt){end.z + SW_PLAN_LIFT, end.r + off_seat};
    pass->comes_axially = true;
    pass->leaves_axially = true;
    pass->back_z = z_face + nose + in_front;
    pass->back_r = r_clear;
}

static enum sw_status refuse(struct sw_planner *p, const struct sw_section *is, const char *reason,
                             const char *hint)
{
    sw_diag_add(p->ctx->diag, SW_ERROR, "plan.recess", is->at, hint,
                "the recess of %s cannot be cut: %s", is->name, reason);
    return SW_CANNOT;
}

double sw_plan_recess_face(const struct sw_planner *p, const struct sw_zone *zone)
{
    const struct sw_section *is = &p->staff->section[zone->recess];
    return sw_plan_chucking_z(p->shape, p->now->end,
                              p->now->end == SW_SIDE_UPPER ? is->z0 : is->z1);
}

/* Swapped locus of the nose over the recess. */
static enum sw_status recess_locus(struct sw_contour *out, struct sw_planner *p,
                                   const struct sw_tool *tool, double leave)
{
    double low, high;
    sw_tool_flanks(&low, &high, tool);
    struct sw_contour swapped, offset;
    SW_TRY(sw_contour_swap(&swapped, &p->turned, p->ctx));
    SW_TRY(sw_contour_offset(&offset, &swapped, tool->nose_radius.value + leave, p->ctx));
    return sw_contour_envelope(out, &offset, tan(half_pi - high), HUGE_VAL, p->ctx);
}

static enum sw_status check_reach(struct sw_planner *p, const struct sw_section *is,
                                  const struct sw_tool *tool, const struct sw_contour *locus,
                                  double z_bottom, double r_seat, double r_lip)
{
    struct sw_contour piece;
    SW_TRY(sw_contour_piece(&piece, locus, r_seat, r_lip, p->ctx));
    const double nose = tool->nose_radius.value;
    const double reached = sw_contour_box(&piece).r0 - nose;
    if (reached > z_bottom + SW_TOL_CHORD) {
        const char *reason = sw_arena_printf(
            p->ctx->arena, "%s (nose radius %.3f mm) stops %.3f mm above its bottom",
            tool->name.value, nose, reached - z_bottom);
        return reason ? refuse(p, is, reason, "a narrower point, a wider recess, or a thinner lip")
                      : SW_MEMORY;
    }
    for (size_t i = 0; i < piece.n; i++) {
        const struct sw_seg *seg = &piece.at[i];
        if (seg->tag == SW_TAG_BRIDGE && sw_seg_length(seg) > SW_TOL_CHORD)
            return refuse(p, is, "the outer flank of the point touches the lip's wall first",
                          "a point with a smaller included angle, or a wall that leans further "
                          "from the axis");
    }
    if (is->corner + SW_TOL_POINT < nose)
        return refuse(p, is, "the point's nose is rounder than its corners may be",
                      "a point with a smaller nose radius");
    /* The wall is narrowest, and the heel nearest, at its bottom. */
    const double r_bottom = r_lip - is->recess_depth * tan(is->recess_wall);
    const double heel = sw_tool_heel_limit(tool, fmax(r_bottom, r_seat), is->recess_wall);
    if (tool->heel_height.value > heel) {
        const char *reason =
            sw_arena_printf(p->ctx->arena,
                            "the tool's heel (%.3f mm below the edge) rubs on the lip's wall from "
                            "%.3f mm on",
                            tool->heel_height.value, heel);
        return reason ? refuse(p, is, reason, "more relief below the edge, or a lower heel")
                      : SW_MEMORY;
    }
    return SW_OK;
}

enum sw_status sw_plan_recess(struct sw_planner *p, const struct sw_zone *zone,
                              const struct sw_tool *turned_by)
{
    const struct sw_section *is = &p->staff->section[zone->recess];
    const struct sw_fitted tool = sw_plan_tool_of(p->shop, SW_TOOL_FACE_POINT, -1);
    if (!tool.tool)
        return refuse(p, is, "the shop has no point that works along the axis",
                      "fit a face-point tool");
    const bool is_upper = p->now->end == SW_SIDE_UPPER;
    const double z_face = sw_plan_recess_face(p, zone);
    const double r_lip = (is_upper ? is->r0 : is->r1) - is->recess_lip;
    const double z_bottom = z_face - is->recess_depth;
    /* The seat in front, as turned. */
    const size_t before = is_upper ? zone->recess - 1 : zone->recess + 1;
    const double r_seat = p->shape->section[before].turned_diameter / 2;
    const double nose = tool.tool->nose_radius.value;

    struct sw_contour locus, rough_locus;
    SW_TRY(recess_locus(&locus, p, tool.tool, 0));
    SW_TRY(check_reach(p, is, tool.tool, &locus, z_bottom, r_seat + nose, r_lip));

    struct sw_op op = sw_plan_op(p, SW_OP_RECESS, SW_CUT_RECESS, tool, 2 * r_lip, zone->recess);
    op.what = sw_arena_printf(p->ctx->arena, "cut the recess of the %s", is->name);
    if (!op.what)
        return SW_MEMORY;
    const double leave =
        sw_plan_op(p, SW_OP_RECESS, SW_CUT_FINISH, tool, 2 * r_lip, zone->recess).depth;
    SW_TRY(recess_locus(&rough_locus, p, tool.tool, leave));
    /* Swapped: "z" is the radius, "r" the place along the axis. Nothing is open from outside. */
    struct sw_reach reach = {.locus = &rough_locus,
                             .z_in = r_seat + nose + leave,
                             .z_out = r_lip,
                             .z_plain = r_lip + 2 * SW_TOL_SLIVER};
    /* The turning tool left its nose's fillet between seat and face; the point takes it along. */
    const double z_over = z_face + turned_by->nose_radius.value;
    const struct sw_levels how = {.r_stock = z_face,
                                  .r_over = z_over + nose,
                                  .depth = op.depth,
                                  .z_free = r_lip,
                                  .nose = nose,
                                  .r_clear = z_face + nose + in_front};
    SW_TRY(sw_plan_levels(&op, &reach, &how, p->ctx));
    reach.locus = &locus;
    reach.z_in = r_seat + nose;
    SW_TRY(sw_plan_follow(&op, &reach, op.depth, z_face + nose + in_front, p->ctx));
    /* The last run goes on out along the seat, as far as the fillet reached. */
    struct sw_pass *last = &op.pass[op.n_passes - 1];
    const struct sw_pt end = last->run.at[last->run.n - 1].b;
    if (!sw_contour_add(p->ctx->arena, &last->run,
                        sw_seg_line(end, (struct sw_pt){end.z, z_over + nose}, SW_TAG_NONE)))
        return SW_MEMORY;
    for (size_t i = 0; i < op.n_passes; i++)
        swap_back(&op.pass[i], z_over, nose, p->r_clear);
    /* Between its passes the point only crosses in front of the face. */
    for (size_t i = 0; i + 1 < op.n_passes; i++)
        op.pass[i].back_r = op.pass[i + 1].from.r;
    return sw_plan_add(p, op);
}
