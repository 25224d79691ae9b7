/* Which move was it: sweeping a side's moves again, over one point. */
#include <math.h>

#include "sim/sim.h"

/* Chords for finding a block, not for measuring [mm]. */
#define LOOK_SAGITTA 1e-4

/* Distance of P from what the edge swept; *IS_SHORT when memory is. */
static double sweep_distance(const struct sw_sim *sim, const struct sw_sim_move *move,
                             struct sw_pt p, double beat, struct sw_arena *scratch, bool *is_short)
{
    const struct sw_convex *edge = sw_outline_outer(sim->side[move->side].tool[move->tool].edge);
    const struct sw_box path = sw_sweep_box(&move->sweep), own = sw_convex_box(edge);
    const struct sw_box reach = {path.z0 + own.z0, path.r0 + own.r0, path.z1 + own.z1,
                                 path.r1 + own.r1};
    const double dz = fmax(0, fmax(reach.z0 - p.z, p.z - reach.z1));
    const double dr = fmax(0, fmax(reach.r0 - p.r, p.r - reach.r1));
    if (hypot(dz, dr) >= beat)
        return HUGE_VAL;
    struct sw_pt *points = SW_NEW(scratch, struct sw_pt, sw_convex_sweep_room(edge));
    if (points == NULL) {
        *is_short = true;
        return HUGE_VAL;
    }
    const size_t n = sw_sweep_n_chords(&move->sweep, LOOK_SAGITTA);
    double nearest = HUGE_VAL;
    for (size_t i = 0; i < n && nearest > 0; i++) {
        const struct sw_convex swept = sw_convex_sweep(
            points, edge, sw_sweep_at(&move->sweep, i, n), sw_sweep_at(&move->sweep, i + 1, n));
        nearest = fmin(nearest, sw_convex_distance(&swept, p));
    }
    return nearest;
}

size_t sw_sim_nearest_to(const struct sw_sim *sim, size_t side, struct sw_pt p, double *distance,
                         struct sw_arena *scratch, bool *is_short_of_memory)
{
    const struct sw_sim_side *s = &sim->side[side];
    size_t found = SW_SIM_NO_TOOL;
    double nearest = HUGE_VAL;
    for (size_t i = s->first_move; i < s->first_move + s->n_moves && nearest > 0; i++) {
        const struct sw_sim_move *move = &sim->moves.at[i];
        if (!move->is_cut)
            continue;
        const double d = sweep_distance(sim, move, p, nearest, scratch, is_short_of_memory);
        if (d < nearest) {
            nearest = d;
            found = i;
        }
    }
    if (distance != NULL)
        *distance = nearest;
    return found;
}

size_t sw_sim_first_over(const struct sw_sim *sim, size_t side, struct sw_pt p,
                         struct sw_arena *scratch, bool *is_short_of_memory)
{
    double distance = HUGE_VAL;
    const size_t found = sw_sim_nearest_to(sim, side, p, &distance, scratch, is_short_of_memory);
    return distance == 0 ? found : SW_SIM_NO_TOOL;
}
