#include "plan/support.h"

#include <math.h>

#include "plan/spring.h"
#include "plan/strength.h"

/* How far back over the cone of the bush's nose a body may reach whose underside is at R. */
static double over_cone(const struct sw_machine_bush *bush, double r)
{
    const double spare = r - bush->nose_diameter.value / 2 - SW_PLAN_NOSE_GAP;
    const double slope = tan(bush->nose_angle.value);
    if (spare <= 0)
        return 0;
    return slope > 0 ? fmin(spare / slope, bush->nose_length.value) : bush->nose_length.value;
}

enum sw_status sw_support_gap(double *gap, const struct sw_machine *machine,
                              const struct sw_tool *tool, struct sw_ctx *ctx)
{
    struct sw_contour cutting, body[SW_TOOL_BODIES];
    size_t n = 0;
    SW_TRY(sw_tool_cutting_outline(&cutting, tool, ctx));
    SW_TRY(sw_tool_body_outlines(body, &n, tool, ctx));
    double lowest = sw_contour_box(&cutting).z0;
    for (size_t i = 0; i < n; i++) {
        const struct sw_box box = sw_contour_box(&body[i]);
        lowest = fmin(lowest, box.z0 + over_cone(&machine->bush, box.r0));
    }
    *gap = SW_PLAN_NOSE_GAP - lowest;
    return SW_OK;
}

enum sw_status sw_support_begin(struct sw_planner *p)
{
    const struct sw_fitted_tool *fitted = p->shop->tools.at;
    if (!p->now->in_bush)
        return SW_OK;
    p->now->land = p->shop->machine->bush.land.value;
    for (size_t i = 0; i < p->shop->tools.n; i++) {
        double gap;
        SW_TRY(sw_support_gap(&gap, p->shop->machine, fitted[i].is, p->ctx));
        p->bush_gap = fmax(p->bush_gap, gap);
    }
    return SW_OK;
}

double sw_support_root(const struct sw_planner *p, double z)
{
    return z - p->bush_gap;
}

struct sw_bar_root sw_support_bush(const struct sw_planner *p)
{
    const double pi = 3.14159265358979323846;
    const struct sw_machine_bush *bush = &p->shop->machine->bush;
    /* Longest while the tip is cut: the headstock then is as far back as it goes. */
    const double length = p->staff->total + p->overhang + bush->land.value + bush->collet_gap.value;
    const double inertia = pi / 64 * pow(p->now->rod_diameter, 4);
    const double modulus = p->now->stock->is->elastic_modulus.value;
    return (struct sw_bar_root){.lateral = bush->give.value / 1000,
                                .rotation = length / (3 * modulus * inertia)};
}

/* Feeds and steps are made less by this factor at a time; stress is looked at in so many places of
 * a zone. */
static const double lower = 0.9;
enum { STEP_PLACES = 16, MOST_SLICES = 5 };
/* No slice is shorter than this many noses: shorter, it would be all fillet. */
static const double least_noses = 4;

static enum sw_status step_stress(double *stress, struct sw_planner *p, const struct sw_step *of,
                                  double step, double feed)
{
    const struct sw_op *op = of->op;
    const struct sw_spring_cut cut = {.form = &p->turned,
                                      .z_in = of->z_in,
                                      .z_out = of->z_out,
                                      .over = of->leave, /* beside a step nothing more stands */
                                      .tool = op->tool,
                                      .speed = op->is_surface_speed ? op->speed_clamp : op->speed,
                                      .depth = step,
                                      .feed = feed};
    struct sw_spring spring;
    SW_TRY(sw_spring_begin(&spring, p, &cut));
    *stress = 0;
    for (int i = 0; i < STEP_PLACES; i++) {
        const double z = of->z_in + (of->z_out - of->z_in) * (i + 1) / STEP_PLACES;
        *stress = fmax(*stress, sw_spring_stress(&spring, z));
    }
    return SW_OK;
}

static double most_stress(const struct sw_planner *p)
{
    return p->now->stock->is->yield.value / p->shop->safety.value;
}

enum sw_status sw_support_step_feed(double *feed, struct sw_planner *p, const struct sw_step *of,
                                    double step)
{
    for (;; *feed *= lower) {
        double stress;
        SW_TRY(step_stress(&stress, p, of, step, *feed));
        if (stress <= most_stress(p) || lower * *feed < of->op->tool->finish_feed.value)
            return SW_OK;
    }
}

enum sw_status sw_support_most_step(double *step, struct sw_planner *p, const struct sw_step *of)
{
    *step = SW_STRENGTH_LEVELS * of->op->tool->most_depth.value;
    for (;; *step *= lower) {
        double stress;
        SW_TRY(step_stress(&stress, p, of, *step, of->op->tool->finish_feed.value));
        if (stress <= most_stress(p) || lower * *step < SW_STRENGTH_GRAIN)
            return SW_OK;
    }
}

enum sw_status sw_support_bears_steps(bool *bears, struct sw_planner *p, const struct sw_zone *zone)
{
    const struct sw_op op = sw_plan_op(p, SW_OP_ROUGH, SW_CUT_ROUGH, zone->finish,
                                       2 * sw_plan_widest(p, zone), zone->first);
    const struct sw_step of = {zone->z_in, zone->z_out, sw_plan_roughed_to(p, zone), &op};
    double stress;
    SW_TRY(step_stress(&stress, p, &of, op.tool->rough_depth.value, op.tool->finish_feed.value));
    *bears = stress <= most_stress(p);
    return SW_OK;
}

enum sw_status sw_support_slices(int *n, struct sw_planner *p, const struct sw_zone *zone)
{
    const double length = zone->z_out - zone->z_in, leave = sw_plan_roughed_to(p, zone);
    const struct sw_tool *tool = zone->finish.tool;
    const struct sw_op op = sw_plan_op(p, SW_OP_ROUGH, SW_CUT_ROUGH, zone->finish,
                                       2 * sw_plan_widest(p, zone), zone->first);
    for (*n = 1; *n < MOST_SLICES; ++*n) {
        double worst = 0;
        for (int i = 0; i < *n; i++) {
            const struct sw_step of = {zone->z_out - length * (i + 1) / *n,
                                       zone->z_out - length * i / *n, leave, &op};
            double stress;
            SW_TRY(step_stress(&stress, p, &of, SW_STRENGTH_LEVELS * tool->most_depth.value,
                               tool->finish_feed.value));
            worst = fmax(worst, stress);
        }
        if (worst <= most_stress(p) || length / (*n + 1) < least_noses * tool->nose_radius.value)
            break;
    }
    return SW_OK;
}
