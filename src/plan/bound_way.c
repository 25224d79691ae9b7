#include <math.h>

#include "geom/tol.h"
#include "plan/bound.h"

size_t sw_bound_grains(const struct sw_bound_way *way)
{
    return (size_t)fmax(0, ceil((way->r_from - way->r_to) / way->grain - SW_TOL_POINT));
}

/* A pass of depth d passes at most floor(d / grain) + 1 borders of grains: so many at the most. */
enum sw_status sw_bound_way_down(double *seconds, const struct sw_bound_way *way,
                                 struct sw_ctx *ctx)
{
    const size_t n = sw_bound_grains(way);
    const size_t most = (size_t)floor(way->most_depth / way->grain + SW_TOL_SLIVER) + 1;
    double *best = SW_NEW(ctx->arena, double, n + 1);
    if (!best)
        return SW_MEMORY;
    for (size_t i = 0; i <= n; i++)
        best[i] = i == 0 ? 0 : HUGE_VAL;
    for (size_t i = 0; i < n; i++)
        for (size_t j = i + 1; j <= n && j - i <= most; j++)
            best[j] = fmin(best[j], best[i] + way->least(way->user, i, j));
    *seconds = best[n];
    for (size_t i = n; way->may_end_lower && i-- > 0 && n - i <= most;)
        *seconds = fmin(*seconds, best[i]);
    return SW_OK;
}
