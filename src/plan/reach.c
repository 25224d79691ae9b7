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
    return from_z >= half_pi - 1e-9 ? HUGE_VAL : tan(from_z);
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

bool sw_plan_left_at(double *left, const struct sw_contour *locus, double nose, double z)
{
    const double step = nose / NOSE_SAMPLES;
    double r[2 * NOSE_SAMPLES + 1];
    *left = HUGE_VAL;
    sw_contour_sample(r, locus, z - nose, step, 2 * NOSE_SAMPLES + 1);
    for (int k = -NOSE_SAMPLES; k <= NOSE_SAMPLES; k++) {
        const double away = (double)k * step;
        if (!isnan(r[k + NOSE_SAMPLES]))
            *left = fmin(*left, r[k + NOSE_SAMPLES] - sqrt(fmax(0, nose * nose - away * away)));
    }
    return isfinite(*left);
}

static enum sw_status sample(double **out, const struct sw_contour *contour, double z, double step,
                             size_t n, struct sw_ctx *ctx)
{
    double *r = SW_NEW(ctx->arena, double, n);
    if (!r)
        return SW_MEMORY;
    sw_contour_sample(r, contour, z, step, n);
    *out = r;
    return SW_OK;
}

enum sw_status sw_plan_left_over(double *worst, double *z_worst, const struct sw_contour *locus,
                                 const struct sw_contour *ceiling, double nose, double z0,
                                 double z1, struct sw_ctx *ctx)
{
    const double step = nose / NOSE_SAMPLES;
    const size_t n = (size_t)fmax(0, (z1 - z0) / step);
    double *centre, *top, drop[2 * NOSE_SAMPLES + 1];
    *worst = 0;
    *z_worst = z0;
    SW_TRY(sample(&centre, locus, z0 - nose, step, n + 2 * NOSE_SAMPLES + 1, ctx));
    SW_TRY(sample(&top, ceiling, z0, step, n + 1, ctx));
    for (int k = -NOSE_SAMPLES; k <= NOSE_SAMPLES; k++) {
        const double away = (double)k * step;
        drop[k + NOSE_SAMPLES] = sqrt(fmax(0, nose * nose - away * away));
    }
    for (size_t i = 1; i < n; i++) {
        double left = HUGE_VAL;
        for (size_t k = 0; k <= 2 * NOSE_SAMPLES; k++) {
            const double at = centre[i + k] - drop[k];
            left = at < left ? at : left; /* passes over what is not a number, as fmax below */
        }
        if (!(left < HUGE_VAL) || isnan(top[i]))
            continue;
        /* Beside a wall a sample may fall on its other side: the highest of near neighbours. */
        const double highest = fmax(top[i], fmax(top[i - 1], top[i + 1]));
        if (left - highest > *worst) {
            *worst = left - highest;
            *z_worst = z0 + (double)i * step;
        }
    }
    return SW_OK;
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

struct sw_fitted sw_plan_parting_blade(const struct sw_shop *shop)
{
    const struct sw_fitted_tool *fitted = shop->tools.at;
    struct sw_fitted best = {0, NULL};
    for (size_t i = 0; i < shop->tools.n; i++) {
        const struct sw_tool *tool = fitted[i].is;
        if (tool->kind.value == SW_TOOL_BLADE &&
            (!best.tool || tool->reach.value > best.tool->reach.value))
            best = (struct sw_fitted){(int)fitted[i].station.value, tool};
    }
    return best;
}

/* The worst left-over of a tool in a zone. In front of a recess the fillet of the nose is no
 * left-over: the point that cuts the recess takes it along. */
static enum sw_status zone_left_over(double *worst, double *z_worst, const struct sw_planner *p,
                                     const struct sw_zone *zone, const struct sw_contour *locus,
                                     double nose)
{
    double from = zone->z_in;
    for (size_t i = 0; i < p->zones.n; i++) {
        const struct sw_zone *inner = &p->zones.at[i];
        if (inner->has_recess && fabs(sw_plan_recess_face(p, inner) - from) < SW_TOL_SLIVER)
            from += nose;
    }
    return sw_plan_left_over(worst, z_worst, locus, &p->ceiling, nose, from, zone->z_out, p->ctx);
}

bool sw_plan_turns_inwards(const struct sw_tool *tool)
{
    return tool->kind.value == SW_TOOL_POINT && tool->hand.value != SW_HAND_LEFT;
}

/* Its last cut down to the foot of a shoulder takes what is left there and has its nose in the
 * corner: no less it must be able to stand in. Behind the hub the nose of the levels, which end on
 * slopes, was in that corner as well, and left its own fillet. */
static double least_most_depth(const struct sw_planner *p, const struct sw_tool *tool)
{
    const double nose = tool->nose_radius.value;
    return nose + tool->finish_depth.value + (p->hang.is_on ? nose : 0);
}

static bool may_finish(const struct sw_planner *p, const struct sw_tool *tool)
{
    const double most = tool->most_depth.value;
    return sw_plan_turns_inwards(tool) && most > least_most_depth(p, tool) - SW_TOL_SLIVER;
}

static enum sw_status refuse_shallow(struct sw_planner *p, const struct sw_tool *tool)
{
    const char *hint = sw_arena_printf(
        p->ctx->arena,
        p->hang.is_on
            ? "a point of the left hand with a `most_depth` of %.3f mm, or with a smaller nose; or "
              "`scheme: reversed`"
            : "a tool of the same form with a `most_depth` of %.3f mm, or a smaller nose",
        least_most_depth(p, tool));
    if (!hint)
        return SW_MEMORY;
    sw_diag_add(
        p->ctx->diag, SW_ERROR, "plan.shallow-tool", tool->most_depth.at, hint,
        "%s finishes no corner%s: it cuts at most %.3f mm deep, and its nose of %.3f mm with "
        "a last cut of %.3f mm takes more there",
        tool->name.value, p->hang.is_on ? " in the grip of the other side" : "",
        tool->most_depth.value, tool->nose_radius.value, tool->finish_depth.value);
    return SW_CANNOT;
}

static enum sw_status refuse(struct sw_planner *p, const struct sw_zone *zone,
                             const struct sw_tool *nearest, double left, double z)
{
    const struct sw_fitted_tool *fitted = p->shop->tools.at;
    /* One with a finer nose was passed over: it may well have reached it. */
    for (size_t i = 0; i < p->shop->tools.n; i++) {
        const struct sw_tool *tool = fitted[i].is;
        if (sw_plan_turns_inwards(tool) && !may_finish(p, tool) &&
            (!nearest || tool->nose_radius.value < nearest->nose_radius.value))
            return refuse_shallow(p, tool);
    }
    if (!nearest) {
        sw_diag_add(p->ctx->diag, SW_ERROR, "plan.no-turning-tool", p->shop->tools.span,
                    "fit a pointed tool of the right hand or a neutral one",
                    "the shop has no pointed tool that turns towards the headstock");
        return SW_CANNOT;
    }
    const struct sw_section *is = &p->staff->section[sw_plan_section_at(p, zone, z)];
    const char *hint = sw_arena_printf(
        p->ctx->arena,
        p->hang.is_on
            ? "a point of the left hand with a nose radius of %.3f mm or less, a larger `corner` "
              "where "
              "the part that sits there allows it, or `scheme: reversed`"
            : "a nose radius of %.3f mm or less with flanks that clear the slopes beside it, or a "
              "larger `corner` where the part that sits there allows it",
        is->corner);
    if (!hint)
        return SW_MEMORY;
    sw_diag_add(
        p->ctx->diag, SW_ERROR, "plan.out-of-reach", is->at, hint,
        "no turning tool of the shop reaches all of %s%s: the best, %s (nose radius %.3f mm), "
        "leaves %.1f um more than its corners may keep, %.3f mm from the end of that side",
        is->name, p->hang.is_on ? " in the grip of the other side" : "", nearest->name.value,
        nearest->nose_radius.value, 1000 * left, p->z_tip - z);
    return SW_CANNOT;
}

size_t sw_plan_section_at(const struct sw_planner *p, const struct sw_zone *zone, double z)
{
    const size_t low = zone->first < zone->last ? zone->first : zone->last;
    const size_t high = zone->first < zone->last ? zone->last : zone->first;
    for (size_t s = low; s <= high; s++) {
        const struct sw_shape_section *is = &p->shape->section[s];
        const double a = sw_plan_chucking_z(p->shape, p->now->end, is->z0);
        const double b = sw_plan_chucking_z(p->shape, p->now->end, is->z1);
        if (z >= fmin(a, b) && z <= fmax(a, b))
            return s;
    }
    return zone->first;
}

static bool is_preferred(const struct sw_tool *a, const struct sw_tool *than,
                         const struct sw_tool *wanted)
{
    if (a == wanted || than == wanted)
        return a == wanted;
    return a->nose_radius.value > than->nose_radius.value;
}

/* What reaches as many zones as the favourite could do its work. */
static enum sw_status tell_equals(struct sw_planner *p, const size_t *reached, size_t favourite)
{
    const struct sw_fitted_tool *fitted = p->shop->tools.at;
    struct sw_plan_equals *equals = &p->found->equals[p->index];
    equals->n = 0;
    for (size_t t = 0; t < p->shop->tools.n; t++)
        if (t != favourite && may_finish(p, fitted[t].is) && reached[t] == reached[favourite] &&
            !SW_VEC_PUSH(p->ctx->arena, equals, fitted[t].is))
            return SW_MEMORY;
    return SW_OK;
}

/* For each zone the tools that reach it; first the favourite: it reaches most zones of the side,
 * and of equals it is the one wanted, else has the largest nose. One tool for all critical
 * diameters wants no re-touch. */
enum sw_status sw_plan_finish_tools(struct sw_planner *p)
{
    const struct sw_fitted_tool *fitted = p->shop->tools.at;
    const size_t n_tools = p->shop->tools.n, n_zones = p->zones.n;
    double *left = SW_NEW(p->ctx->arena, double, n_tools *n_zones);
    double *place = SW_NEW(p->ctx->arena, double, n_tools *n_zones);
    size_t *reached = SW_NEW(p->ctx->arena, size_t, n_tools);
    if (!left || !place || !reached)
        return SW_MEMORY;
    size_t favourite = n_tools;
    for (size_t t = 0; t < n_tools; t++) {
        const struct sw_tool *tool = fitted[t].is;
        if (!may_finish(p, tool))
            continue;
        struct sw_contour locus;
        SW_TRY(sw_plan_locus(&locus, &p->turned, tool, 0, p->ctx));
        for (size_t i = 0; i < n_zones; i++) {
            const size_t k = t * n_zones + i;
            SW_TRY(zone_left_over(&left[k], &place[k], p, &p->zones.at[i], &locus,
                                  tool->nose_radius.value));
            reached[t] += left[k] <= reach_tolerance;
        }
        if (favourite == n_tools || reached[t] > reached[favourite] ||
            (reached[t] == reached[favourite] &&
             is_preferred(tool, fitted[favourite].is, p->favourite)))
            favourite = t;
    }
    if (favourite < n_tools)
        SW_TRY(tell_equals(p, reached, favourite));
    for (size_t i = 0; i < n_zones; i++) {
        size_t best = favourite;
        for (size_t t = 0; t < n_tools; t++)
            if (may_finish(p, fitted[t].is) && left[best * n_zones + i] > reach_tolerance &&
                left[t * n_zones + i] < left[best * n_zones + i])
                best = t;
        struct sw_zone *zone = &p->zones.at[i];
        const double remains = favourite < n_tools ? left[best * n_zones + i] : HUGE_VAL;
        if (remains > reach_tolerance && !(zone->is_kept && favourite < n_tools))
            return refuse(p, zone, favourite < n_tools ? fitted[best].is : NULL, remains,
                          favourite < n_tools ? place[best * n_zones + i] : 0);
        zone->finish = (struct sw_fitted){(int)fitted[best].station.value, fitted[best].is};
    }
    return SW_OK;
}

struct sw_fitted sw_plan_strongest(const struct sw_planner *p, struct sw_fitted finish)
{
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

bool sw_plan_comes_anew(const struct sw_planner *p)
{
    return p->shop->machine->change.value == SW_CHANGE_BY_HAND || sw_post_is_file_per_tool(p->post);
}

struct sw_fitted sw_plan_rough_tool(const struct sw_planner *p, struct sw_fitted finish)
{
    /* Where tools come anew the strongest has roughed the whole side before; the finish
     * tool does the rest, so that the critical diameters of one side come from one tool. */
    return sw_plan_comes_anew(p) ? finish : sw_plan_strongest(p, finish);
}

const char *sw_plan_section_name(const struct sw_planner *p, size_t section)
{
    return section < p->staff->n ? p->staff->section[section].name : "the staff";
}
