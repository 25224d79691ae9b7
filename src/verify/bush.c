/* The guide bush: what of the bar it still has, move by move.
 *
 * The bush stands still and the bar slides in it, so that on the work it goes along with the tools:
 * towards the headstock as the bar is fed out, away from it as the bar is drawn back. What has been
 * turned down and is drawn back into it is held no more. */
#include <math.h>

#include "geom/tol.h"
#include "sim/silhouette.h"
#include "verify/judge.h"

/* This share of the land must have bar of full size: more may not be drawn back (common practice,
 * no source). */
#define LEAST_SHARE 0.5

static const struct sw_sim_side *side_now(const struct sw_judge *judge)
{
    return &judge->sim->side[judge->sim->n_sides - 1];
}

/* How far from Z on the work has at least the radius R. */
static double full_to(const struct sw_silhouette *work, double z, double r)
{
    double end = z;
    for (size_t i = work->n > 0 ? sw_silhouette_find(work, z) : 0; i < work->n; i++) {
        const struct sw_stretch *s = &work->at[i];
        if (s->z1 <= end)
            continue;
        if (s->z0 > end + SW_TOL_SLIVER || s->r0 < r || s->r1 < r)
            break;
        end = s->z1;
    }
    return end;
}

/* Smaller by the play, the bar still fits. */
static double whole_r(const struct sw_judge *judge)
{
    const struct sw_machine_bush *bush = &judge->shop->machine->bush;
    return (side_now(judge)->setup->rod_diameter.value - bush->play.value) / 2 - SW_VERIFY_FLOOR;
}

double sw_judge_bush_holds_to(const struct sw_judge *judge, double face)
{
    const double back = face - judge->shop->machine->bush.land.value;
    const double end = full_to(&judge->load.before, back, whole_r(judge));
    return end > back ? fmin(end, face) : face; /* held by nothing: found as lost support */
}

enum sw_status sw_judge_bush(struct sw_judge *judge, const struct sw_motion_event *event)
{
    const struct sw_sim_side *side = side_now(judge);
    const struct sw_machine_bush *bush = &judge->shop->machine->bush;
    if (!side->in_bush)
        return SW_OK;
    const double face = sw_sim_bush_z(judge->sim, event->to.z), back = face - bush->land.value;
    const double held = fmin(full_to(&judge->load.before, back, whole_r(judge)), face) - back;
    if (held >= LEAST_SHARE * bush->land.value)
        return SW_OK;
    struct sw_finding finding = sw_judge_at(judge, SW_FINDING_LOST_SUPPORT, SW_ERROR, event);
    finding.value = bush->land.value - held;
    finding.limit = (1 - LEAST_SHARE) * bush->land.value;
    finding.unit = "mm";
    finding.z = sw_judge_part_z(judge, judge->sim->n_sides - 1, back + held);
    return sw_judge_add(judge, finding, 4,
                        "%.3f mm that are turned down, or where the bar ends, are drawn back into "
                        "the guide bush, whose land is %.2f mm; %.3f mm leave it enough to hold",
                        finding.value, bush->land.value, finding.limit);
}
