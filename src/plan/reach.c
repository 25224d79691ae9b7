/* Which tool gets where. The set of places a nose centre may be in is the offset of the profile by
 * the nose radius, raised where a flank would touch before the nose does (an envelope). What the
 * nose then leaves is compared with the ceiling: nothing may stand above it. */
#include <math.h>

#include "geom/tol.h"
#include "plan/plan_int.h"

/* Material above the ceiling that counts as out of reach: below what four decimals round to. */
static const double reach_tolerance = 3e-4;
/* Samples of the nose for measuring what it leaves. */
enum { NOSE_SAMPLES = 24 };
static const double half_pi = 1.57079632679489661923;

static double flank_tan(double from_z)
{
    return from_z >= half_pi - 1e-9 ? INFINITY : tan(from_z);
}

enum sw_status sw_plan_locus(struct sw_contour *out, const struct sw_contour *profile,
                             const struct sw_tool *tool, double leave, struct sw_ctx *ctx)
{
    double low, high;
    sw_tool_flanks(&low, &high, tool);
    struct sw_contour offset, one, other, moved;
    SW_TRY(sw_contour_offset(&offset, profile, tool->nose_radius.value + leave, ctx));
    const double tan_right = flank_tan(low), tan_left = flank_tan(2 * half_pi - high);
    SW_TRY(sw_contour_envelope(&one, &offset, tan_right, tan_left, ctx));
    const struct sw_pt second = sw_tool_second_corner(tool);
    if (second.z <= 0) {
        *out = one;
        return SW_OK;
    }
    /* A blade: its second corner must clear too; seen from the first it stands second.z further
     * out. */
    SW_TRY(sw_contour_place(&moved, &offset, 1, -second.z, ctx));
    SW_TRY(sw_contour_envelope(&other, &moved, tan_right, tan_left, ctx));
    return sw_contour_upper(out, &one, &other, ctx);
}

double sw_plan_left_over(double *z_worst, const struct sw_contour *locus,
                         const struct sw_contour *ceiling, double nose, double z0, double z1)
{
    double worst = 0;
    *z_worst = z0;
    const double step = nose / NOSE_SAMPLES;
    const size_t n = (size_t)((z1 - z0) / step);
    for (size_t i = 1; i < n; i++) {
        const double z = z0 + (double)i * step;
        double left = INFINITY, top;
        for (int k = -NOSE_SAMPLES; k <= NOSE_SAMPLES; k++) {
            const double away = (double)k * step;
            double r;
            if (sw_contour_r_at(&r, locus, z + away))
                left = fmin(left, r - sqrt(fmax(0, nose * nose - away * away)));
        }
        if (!isfinite(left) || !sw_contour_r_at(&top, ceiling, z))
            continue;
        /* Beside a wall a sample may fall on its other side: the highest of near neighbours. */
        for (int k = -1; k <= 1; k += 2) {
            double near_top;
            if (sw_contour_r_at(&near_top, ceiling, z + (double)k * step))
                top = fmax(top, near_top);
        }
        if (left - top > worst) {
            worst = left - top;
            *z_worst = z;
        }
    }
    return worst;
}

struct sw_fitted sw_plan_tool_of(const struct sw_shop *shop, enum sw_tool_kind kind, int hand)
{
    const struct sw_fitted_tool *fitted = shop->tools.at;
    for (size_t i = 0; i < shop->tools.n; i++) {
        const struct sw_tool *tool = fitted[i].is;
        if (tool->kind.value == (int)kind && (hand < 0 || tool->hand.value == hand))
            return (struct sw_fitted){(int)fitted[i].station.value, tool};
    }
    return (struct sw_fitted){0, NULL};
}

static size_t section_at(const struct sw_planner *p, double z)
{
    for (size_t i = 0; i < p->zones.n; i++) {
        const struct sw_zone *zone = &p->zones.at[i];
        if (z > zone->z_out || z < zone->z_in)
            continue;
        const size_t low = zone->first < zone->last ? zone->first : zone->last;
        const size_t high = zone->first < zone->last ? zone->last : zone->first;
        for (size_t s = low; s <= high; s++) {
            const struct sw_shape_section *is = &p->shape->section[s];
            const double a = sw_plan_chucking_z(p->shape, p->now->end, is->z0);
            const double b = sw_plan_chucking_z(p->shape, p->now->end, is->z1);
            if (z >= fmin(a, b) && z <= fmax(a, b))
                return s;
        }
    }
    return p->zones.at[0].first;
}

enum sw_status sw_plan_finish_tool(struct sw_fitted *out, struct sw_planner *p)
{
    const struct sw_fitted_tool *fitted = p->shop->tools.at;
    const double z0 = p->z_border, z1 = p->z_tip;
    double least_left = INFINITY, place = 0;
    struct sw_fitted best = {0, NULL}, nearest = {0, NULL};
    for (size_t i = 0; i < p->shop->tools.n; i++) {
        const struct sw_tool *tool = fitted[i].is;
        if (tool->kind.value != SW_TOOL_POINT || tool->hand.value == SW_HAND_LEFT)
            continue;
        struct sw_contour locus;
        SW_TRY(sw_plan_locus(&locus, &p->turned, tool, 0, p->ctx));
        double z = 0;
        const double left =
            sw_plan_left_over(&z, &locus, &p->ceiling, tool->nose_radius.value, z0, z1);
        const struct sw_fitted it = {(int)fitted[i].station.value, tool};
        if (left < least_left) {
            least_left = left;
            place = z;
            nearest = it;
        }
        if (left <= reach_tolerance &&
            (!best.tool || tool->nose_radius.value > best.tool->nose_radius.value))
            best = it;
    }
    *out = best;
    if (best.tool)
        return SW_OK;
    if (!nearest.tool) {
        sw_diag_add(p->ctx->diag, SW_ERROR, "plan.no-turning-tool", p->shop->tools.span,
                    "fit a pointed tool of the right hand or a neutral one",
                    "the shop has no pointed tool that turns towards the headstock");
        return SW_CANNOT;
    }
    const size_t section = section_at(p, place);
    const struct sw_section *is = &p->staff->section[section];
    const char *hint = sw_arena_printf(
        p->ctx->arena,
        "a nose radius of %.3f mm or less, and flanks that clear the slopes beside it; or a larger "
        "`corner` where the part that sits there allows it",
        is->corner);
    if (!hint)
        return SW_MEMORY;
    sw_diag_add(p->ctx->diag, SW_ERROR, "plan.out-of-reach", is->at, hint,
                "no turning tool of the shop reaches all of %s: the best, %s (nose radius %.3f mm), "
                "leaves %.1f um more than its corners may keep, %.3f mm from the end of that side",
                is->name, nearest.tool->name.value, nearest.tool->nose_radius.value,
                1000 * least_left, z1 - place);
    return SW_CANNOT;
}

struct sw_fitted sw_plan_rough_tool(struct sw_planner *p, struct sw_fitted finish)
{
    /* Where tools are changed by hand the finish tool roughs as well: every change costs a new
     * zero, and the critical diameters of one side shall come from one tool. */
    if (p->shop->machine->change.value == SW_CHANGE_BY_HAND)
        return finish;
    const struct sw_fitted_tool *fitted = p->shop->tools.at;
    struct sw_fitted best = finish;
    for (size_t i = 0; i < p->shop->tools.n; i++) {
        const struct sw_tool *tool = fitted[i].is;
        if (tool->kind.value == SW_TOOL_POINT && tool->hand.value == SW_HAND_RIGHT &&
            tool->rough_depth.value > best.tool->rough_depth.value)
            best = (struct sw_fitted){(int)fitted[i].station.value, tool};
    }
    return best;
}

const char *sw_plan_section_name(const struct sw_planner *p, size_t section)
{
    return section < p->staff->n ? p->staff->section[section].name : "the staff";
}
