/* What passes do to the work that no schedule chose: those fed across the axis, and those that go
 * into a groove. They are shallow by their tool's file; here it is only told, pass by
 * pass, what they do at the place they reach. */
#include <math.h>

#include "mech/speed.h"
#include "mech/stress.h"
#include "plan/plan_int.h"
#include "plan/strength.h"

static struct sw_force_band forces_of(const struct sw_force_case *of, const struct sw_op *op)
{
    if (op->tool->kind.value == SW_TOOL_BLADE)
        return sw_force_part(of, op->tool->width.value, op->feed);
    return op->kind == SW_OP_FACE ? sw_force_face(of, op->depth, op->feed)
                                  : sw_force_turn(of, op->depth, op->feed);
}

/* The bar that bears a pass: what stands between the nose face and the furthest place it reaches,
 * by its corner nearest the holder. */
static enum sw_status bend(struct sw_pass_load *load, const struct sw_force *high,
                           const struct sw_op *op, const struct sw_pass *pass, double r,
                           const struct sw_planner *p)
{
    struct sw_bar_pieces pieces;
    struct sw_bar bar = {0};
    const double z = sw_contour_box(&pass->run).z0 - op->tool->nose_radius.value;
    SW_TRY(sw_strength_behind(&pieces, p, z, p->ctx));
    if (pieces.n == 0)
        return SW_OK; /* at the nose face itself: nothing stands out that could bend */
    SW_TRY(sw_strength_bar(&bar, p, &pieces, p->ctx));
    const double length = sw_bar_length(&bar), reach = sw_stress_reach(&bar, length);
    const struct sw_bar_forces forces = {.at = length,
                                         .radius = r,
                                         .cutting = high->cutting,
                                         .thrust = high->thrust,
                                         .feed = high->feed};
    load->bend = fmax(fabs(high->thrust * sw_bar_compliance(&bar, length, length)),
                      fabs(high->feed * r * sw_bar_rotation(&bar, length, length)));
    if (reach > 0)
        load->stress = sw_stress_worst_to(&bar, reach, &forces).equivalent;
    return SW_OK;
}

enum sw_status sw_strength_across(struct sw_op *op, const struct sw_planner *p)
{
    const double widest = p->now->rod_diameter;
    const double surface = op->is_surface_speed ? op->speed : sw_speed_surface(op->speed, widest);
    const struct sw_force_case of = sw_strength_force(p, op->tool, surface);
    const struct sw_force_band band = forces_of(&of, op);
    const bool is_blade = op->tool->kind.value == SW_TOOL_BLADE;
    const double depth = is_blade ? op->tool->width.value : op->depth;
    for (size_t i = 0; i < op->n_passes; i++) {
        struct sw_pass *pass = &op->pass[i];
        const double r = fmin(sw_contour_box(&pass->run).r1, widest / 2);
        pass->load = sw_strength_pass_force(&band, depth);
        SW_TRY(bend(&pass->load, &band.high, op, pass, r, p));
    }
    return SW_OK;
}
