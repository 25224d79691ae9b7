/* A pivot finished over its whole length is its own weakest lever: the last cut at the tip bends
 * what stands behind it, already thin. Cut in slices, each finished before the next further in, the
 * bar close behind the tool is still thick. The fewest slices that bear it are taken. */
#include <math.h>

#include "geom/tol.h"
#include "plan/strength.h"

/* Of the error a diameter may have, bending may take this share; the rest is for the machine's
 * repeatability, wear, centre height and the gauge. Common practice, no source. */
static const double bending_share = 0.6;
enum { MOST_SLICES = 5 };

/* How much thicker the outer end of a zone may come out, at the high end of the band, on the
 * diameter [mm]. */
static enum sw_status thicker(double *error, struct sw_planner *p, const struct sw_zone *zone)
{
    const struct sw_op fine = sw_plan_op(p, SW_OP_FINISH, SW_CUT_FINISH, zone->finish,
                                         2 * p->staff->section[zone->first].r0, zone->first);
    double high = 0, nominal = 0;
    SW_TRY(sw_strength_finish(&high, &nominal, p, zone, zone->finish.tool, fine.speed, fine.depth,
                              fine.feed));
    *error = 2 * high;
    return SW_OK;
}

static struct sw_zone slice_of(const struct sw_zone *zone, int i, int n)
{
    struct sw_zone slice = *zone;
    const double length = zone->z_out - zone->z_in;
    slice.z_out = zone->z_out - length * (i - 1) / n;
    slice.z_in = i == n ? zone->z_in : zone->z_out - length * i / n;
    slice.slice = i;
    slice.n_slices = n;
    slice.is_tip = zone->is_tip && i == 1;
    slice.measured = i == 1 ? zone->measured : SIZE_MAX;
    return slice;
}

/* The fewest slices, all of them within the share; MOST_SLICES when even they are not. */
static enum sw_status count_slices(int *n, struct sw_planner *p, const struct sw_zone *zone)
{
    const struct sw_section *is = &p->staff->section[zone->first];
    const double half_band = (is->diameter_tolerance.upper - is->diameter_tolerance.lower) / 2;
    const double form = is->tip == SW_TIP_FLAT ? is->tip_corner : is->dome_height;
    const double nose = zone->finish.tool->nose_radius.value;
    for (*n = 1; *n < MOST_SLICES; ++*n) {
        const double length = (zone->z_out - zone->z_in) / *n;
        double worst = 0;
        for (int i = 1; i <= *n; i++) {
            const struct sw_zone slice = slice_of(zone, i, *n);
            double error = 0;
            SW_TRY(thicker(&error, p, &slice));
            worst = fmax(worst, error);
        }
        /* The outermost must still show a plain stretch to gauge. */
        const double next = (zone->z_out - zone->z_in) / (*n + 1);
        if (worst <= bending_share * half_band || next < form + 3 * nose || length < 4 * nose)
            break;
    }
    return SW_OK;
}

enum sw_status sw_plan_slices(struct sw_planner *p)
{
    for (size_t i = 0; i < p->zones.n; i++) {
        const struct sw_zone zone = p->zones.at[i];
        int n = 1;
        if (zone.first != zone.last || p->staff->section[zone.first].kind != SW_SECTION_PIVOT)
            continue;
        SW_TRY(count_slices(&n, p, &zone));
        if (n == 1)
            continue;
        for (int k = 1; k < n; k++)
            if (!SW_VEC_PUSH(p->ctx->arena, &p->zones, zone))
                return SW_MEMORY;
        for (size_t k = p->zones.n; k-- > i + (size_t)n;)
            p->zones.at[k] = p->zones.at[k - (size_t)n + 1];
        for (int k = 1; k <= n; k++)
            p->zones.at[i + (size_t)k - 1] = slice_of(&zone, k, n);
        i += (size_t)n - 1;
    }
    return SW_OK;
}
