/* Corners of the path under G64: a control that blends them may leave the path there by up to the
 * figure its owner gives (machine `control.blend`). It rounds either to the inside of the corner,
 * which leaves material standing where the tool turns back in a corner of the work, or cuts away
 * material where it goes round an edge. Where the tool at a corner touches the turned surface, the
 * largest deviation must stay within the limit of the section there. */
#include <math.h>

#include "verify/judge.h"

/* Directions that differ by less than this [rad] are no corner: rounding by 10 um over it moves
 * the path by less than a hundredth of a micrometre. */
#define STRAIGHT 2e-3

/* Direction of travel at the end or the begin of a move. */
static struct sw_pt direction(const struct sw_sweep *sweep, bool at_end)
{
    const struct sw_pt p = at_end ? sweep->to : sweep->from;
    if (sweep->is_arc)
        return (struct sw_pt){-sweep->turn * (p.r - sweep->centre.r),
                              sweep->turn * (p.z - sweep->centre.z)};
    return (struct sw_pt){sweep->to.z - sweep->from.z, sweep->to.r - sweep->from.r};
}

/* Angle the path turns through between two moves [rad], 0 to pi. */
static double corner_angle(const struct sw_sweep *before, const struct sw_sweep *after)
{
    const struct sw_pt a = direction(before, true), b = direction(after, false);
    return fabs(atan2(a.z * b.r - a.r * b.z, a.z * b.z + a.r * b.r));
}

/* Rounding between points half a move from the corner, at most, cannot reach further than this. */
static double most_deviation(const struct sw_sim_move *before, const struct sw_sim_move *move,
                             double angle, double blend)
{
    const double reach = fmin(before->length, move->length) / 2;
    return fmin(blend, reach * sin(angle / 2));
}

/* Least distance of a tool's edge from the surface that turning leaves, and the section there. */
static enum sw_status nearest_surface(double *distance, int *tag, struct sw_pt *at,
                                      struct sw_judge *judge, const struct sw_sim_move *move,
                                      struct sw_pt corner)
{
    const struct sw_convex *edge =
        sw_outline_outer(judge->sim->side[move->side].tool[move->tool].edge);
    struct sw_arena *scratch = sw_arena_new();
    struct sw_pt *points = scratch != NULL ? SW_NEW(scratch, struct sw_pt, edge->n) : NULL;
    if (points == NULL) {
        sw_arena_free(scratch);
        return SW_MEMORY;
    }
    for (size_t i = 0; i < edge->n; i++)
        points[i] = (struct sw_pt){sw_judge_part_z(judge, move->side, edge->at[i].z + corner.z),
                                   edge->at[i].r + corner.r};
    *distance = HUGE_VAL;
    for (size_t i = 0; i < edge->n; i++) {
        size_t seg = 0;
        const double d = sw_contour_distance(&judge->shape->turned, points[i], &seg);
        if (d < *distance) {
            *distance = d;
            *tag = judge->shape->turned.at[seg].tag;
            *at = points[i];
        }
    }
    sw_arena_free(scratch);
    return SW_OK;
}

enum sw_status sw_judge_blend(struct sw_judge *judge, const struct sw_sim_move *before,
                              const struct sw_sim_move *move)
{
    const double blend = judge->shop->machine->control.blend.value;
    if (!(blend > 0) || !move->event->state.is_continuous || judge->shape == NULL ||
        move->tool == SW_SIM_NO_TOOL || before->tool != move->tool || before->side != move->side ||
        (before->event->kind == SW_MOTION_RAPID && move->event->kind == SW_MOTION_RAPID))
        return SW_OK;
    const double angle = corner_angle(&before->sweep, &move->sweep);
    if (angle < STRAIGHT)
        return SW_OK;
    const double deviation = most_deviation(before, move, angle, blend);
    double distance = HUGE_VAL;
    int tag = -1;
    struct sw_pt at = {0, 0};
    SW_TRY(nearest_surface(&distance, &tag, &at, judge, move, move->sweep.from));
    if (distance > deviation + SW_VERIFY_FLOOR || tag < 0 || (size_t)tag >= judge->shape->staff->n)
        return SW_OK;
    const struct sw_section *section = &judge->shape->staff->section[tag];
    const double limit =
        fmin(sw_judge_radial_limit(section, true), sw_judge_radial_limit(section, false));
    if (deviation <= limit)
        return SW_OK;
    struct sw_finding finding = sw_judge_at(judge, SW_FINDING_CONTROL, SW_ERROR, move->event);
    finding.value = deviation * 1000;
    finding.limit = limit * 1000;
    finding.unit = "um";
    finding.section = section->name;
    finding.z = at.z;
    return sw_judge_add(judge, finding, -2,
                        "in G64 this control may leave the path by %.2f um at the corner before "
                        "this line, on %s; %.2f um are allowed: write G61",
                        finding.value, section->name, finding.limit);
}
