/* A pivot finished over its whole length is its own weakest lever: the last cut at the tip bends
 * what stands behind it, already thin. A cone is one too, with all its length behind its thin end.
 * Cut in slices, each finished before the next further in, the bar close behind the tool is still
 * thick. The fewest slices that bear it are taken. */
#include <math.h>

#include "geom/tol.h"
#include "plan/hang.h"
#include "plan/spring.h"
#include "plan/support.h"

enum { MOST_SLICES = 5 };

/* No narrower tolerance is held against what is only reckoned [mm on the diameter]. */
static const double least_half_band = 0.001;

/* What the last cut does at the outer end of a zone. */
struct last_cut {
    double off;     /* of its size on the diameter at most, either way, its path drawn in [mm] */
    double surely;  /* the same by the nominal force alone */
    double in_bush; /* the first in a guide bush, 0 where none can stand */
    double stress;  /* at the high end of the force [MPa] */
};

static enum sw_status look_at(struct last_cut *last, struct sw_planner *p,
                              const struct sw_zone *zone, double depth, double feed)
{
    const struct sw_op fine = sw_plan_op(p, SW_OP_FINISH, SW_CUT_FINISH, zone->finish,
                                         2 * sw_plan_widest(p, zone), zone->first);
    if (p->hang.is_on)
        SW_TRY(sw_hang_zone(p, zone));
    const struct sw_spring_cut cut = {.form = &p->turned,
                                      .z_in = zone->z_in,
                                      .z_out = zone->z_out,
                                      .over = depth,
                                      .tool = zone->finish.tool,
                                      .speed = fine.speed,
                                      .depth = depth,
                                      .feed = feed,
                                      .most_in = sw_spring_room(p, zone)};
    struct sw_spring spring;
    SW_TRY(sw_spring_begin(&spring, p, &cut));
    const bool hangs = p->hang.is_on;
    const double z_far = hangs ? zone->z_in : zone->z_out;
    const struct sw_spring_back back = sw_spring_at(&spring, z_far);
    last->off = sw_spring_off(&back);
    /* A tip has no diameter to keep as far in as its form goes. */
    const struct sw_section *is = &p->staff->section[zone->first];
    const double form = !zone->is_tip            ? 0
                        : is->tip == SW_TIP_FLAT ? is->tip_corner
                                                 : is->dome_height;
    const struct sw_spring_back foot =
        sw_spring_at(&spring, hangs ? z_far : fmax(fmin(zone->z_out, p->z_tip) - form, zone->z_in));
    last->surely = 2 * (foot.nominal - foot.drawn_in);
    last->in_bush = last->off * sw_strength_bush_share(p, &spring.bar, zone->z_in);
    last->stress = sw_spring_stress(&spring, z_far);
    return SW_OK;
}

double sw_plan_bending_share(const struct sw_planner *p, const struct sw_zone *zone)
{
    const struct sw_band *band = &p->staff->section[zone->first].diameter_tolerance;
    return SW_SPRING_SHARE * (band->upper - band->lower) / 2;
}

enum sw_status sw_plan_off_size(double *error, struct sw_planner *p, const struct sw_zone *zone,
                                double depth, double feed)
{
    struct last_cut last;
    SW_TRY(look_at(&last, p, zone, depth, feed));
    *error = last.off;
    return SW_OK;
}

/* The I-th from outside. Where the work hangs beyond the cut the innermost comes first, and is
 * called so. */
static struct sw_zone slice_of(const struct sw_planner *p, const struct sw_zone *zone, int i, int n)
{
    struct sw_zone slice = *zone;
    const int nth = p->hang.is_on ? n - i + 1 : i;
    const double length = zone->z_out - zone->z_in;
    slice.z_out = zone->z_out - length * (i - 1) / n;
    slice.z_in = i == n ? zone->z_in : zone->z_out - length * i / n;
    slice.slice = nth;
    slice.n_slices = n;
    slice.is_tip = zone->is_tip && i == 1;
    slice.measured = nth == 1 ? zone->measured : SIZE_MAX;
    slice.tried = i == n ? zone->tried : SIZE_MAX;
    slice.has_recess = zone->has_recess && i == 1; /* in the face at its outer end */
    return slice;
}

enum sw_status sw_plan_divide_zone(struct sw_planner *p, size_t i, int n)
{
    const struct sw_zone zone = p->zones.at[i];
    if (n == 1)
        return SW_OK;
    for (int k = 1; k < n; k++)
        if (!SW_VEC_PUSH(p->ctx->arena, &p->zones, zone))
            return SW_MEMORY;
    for (size_t k = p->zones.n; k-- > i + (size_t)n;)
        p->zones.at[k] = p->zones.at[k - (size_t)n + 1];
    for (int k = 1; k <= n; k++)
        p->zones.at[i + (size_t)k - 1] = slice_of(p, &zone, k, n);
    return SW_OK;
}

/* The fewest slices, all of them within the share; MOST_SLICES when even they are not. WORST is
 * the most of each figure then. */
static enum sw_status count_slices(int *n, struct last_cut *worst, struct sw_planner *p,
                                   const struct sw_zone *zone)
{
    const struct sw_section *is = &p->staff->section[zone->first];
    const double half_band = (is->diameter_tolerance.upper - is->diameter_tolerance.lower) / 2;
    const double form = is->tip == SW_TIP_FLAT ? is->tip_corner : is->dome_height;
    const double nose = zone->finish.tool->nose_radius.value;
    const struct sw_op fine =
        sw_plan_op(p, SW_OP_FINISH, SW_CUT_FINISH, zone->finish, 1.0, zone->first);
    for (*n = 1;; ++*n) {
        const double length = (zone->z_out - zone->z_in) / *n;
        *worst = (struct last_cut){0, 0, 0, 0};
        bool bears_steps = true;
        for (int i = 1; i <= *n; i++) {
            const struct sw_zone slice = slice_of(p, zone, i, *n);
            struct last_cut last;
            SW_TRY(look_at(&last, p, &slice, fine.depth, fine.feed));
            worst->off = fmax(worst->off, last.off);
            worst->surely = fmax(worst->surely, last.surely);
            worst->in_bush = fmax(worst->in_bush, last.in_bush);
            worst->stress = fmax(worst->stress, last.stress);
            /* Held by its thin end a slope also has to bear the run over its steps. */
            if (bears_steps && p->hang.is_on && is->kind == SW_SECTION_CONE && !p->bears_all)
                SW_TRY(sw_support_bears_steps(&bears_steps, p, &slice));
        }
        /* The outermost must still show a plain stretch to gauge. */
        const double next = (zone->z_out - zone->z_in) / (*n + 1);
        if (p->bears_all || *n == MOST_SLICES ||
            (bears_steps && worst->off <= SW_SPRING_SHARE * half_band) || next < form + 3 * nose ||
            length < 4 * nose)
            return SW_OK;
    }
}

/* Zones whose outer end is a size of its own: pivots, and cones with the slope behind them. */
static bool is_lever(const struct sw_planner *p, const struct sw_zone *zone)
{
    const enum sw_section_kind kind = p->staff->section[zone->first].kind;
    if (zone->is_neck)
        return false;
    return (kind == SW_SECTION_PIVOT && zone->first == zone->last) || kind == SW_SECTION_CONE;
}

enum sw_status sw_plan_least_slices(int *n, struct sw_planner *p, const struct sw_zone *zone)
{
    struct last_cut worst;
    *n = 1;
    if (!is_lever(p, zone))
        return SW_OK;
    SW_TRY(count_slices(n, &worst, p, zone));
    *n = *n > 1 ? 2 : 1;
    return SW_OK;
}

static enum sw_status refuse(const struct sw_planner *p, const struct sw_section *is,
                             const struct sw_zone *zone, double stress)
{
    const char *hint =
        p->job->leave_long.value > 0 && zone->is_tip
            ? "a smaller `leave_long`: its length counts in full while the tip is cut"
            : "a shorter or thicker section, or a tool with a sharper edge";
    sw_diag_add(p->ctx->diag, SW_ERROR, "plan.too-slender", is->at, hint,
                "the %s, %.2f mm long as it is cut, is too slender: even the last cut of one slice "
                "may strain it by %.0f MPa, and it yields at %.0f",
                is->name, zone->z_out - zone->z_in, stress, p->now->stock->is->yield.value);
    return SW_CANNOT;
}

/* Where nobody gauges it before its last cut, what even the nominal force does would stay. */
static enum sw_status refuse_off_size(const struct sw_planner *p, const struct sw_section *is,
                                      double off, double half_band)
{
    sw_diag_add(p->ctx->diag, SW_ERROR, "plan.off-size", is->at,
                p->job->measure.value && is->kind == SW_SECTION_PIVOT
                    ? "a wider tolerance, a shorter section, a sharper tool or a stiffer machine"
                    : "`measure: true` in the job where it can be gauged before its last cut, a "
                      "wider tolerance, a sharper tool or a stiffer machine",
                "the %s comes out %.2f um off its size by the nominal force alone, because the "
                "last cut bends it; its tolerance is %.2f um to each side",
                is->name, 1000 * off, 1000 * half_band);
    return SW_CANNOT;
}

enum sw_status sw_plan_slices(struct sw_planner *p)
{
    for (size_t i = 0; i < p->zones.n; i++) {
        const struct sw_zone zone = p->zones.at[i];
        const struct sw_section *is = &p->staff->section[zone.first];
        const double half_band = (is->diameter_tolerance.upper - is->diameter_tolerance.lower) / 2;
        int n = 1;
        struct last_cut worst;
        if (!is_lever(p, &zone))
            continue;
        SW_TRY(count_slices(&n, &worst, p, &zone));
        if (!p->bears_all && worst.stress > p->now->stock->is->yield.value)
            return refuse(p, is, &zone, worst.stress);
        const bool is_gauged = zone.measured != SIZE_MAX && !(zone.is_tip && p->sizing > 0);
        if (!p->bears_all && !p->is_survey && !is_gauged &&
            worst.surely > fmax(half_band, least_half_band))
            return refuse_off_size(p, is, worst.surely, half_band);
        const double share = SW_SPRING_SHARE * half_band;
        const struct sw_plan_lever lever = {.section = zone.first,
                                            .chucking = p->index,
                                            .tool = zone.finish.tool,
                                            .n_slices = n,
                                            .off = worst.off,
                                            .share = share,
                                            .half_band = half_band,
                                            .off_in_bush = worst.in_bush};
        const struct sw_plan_bend bend = {zone.first, worst.off, share};
        if (!SW_VEC_PUSH(p->ctx->arena, &p->found->levers, lever) ||
            (worst.off > share && is->kind == SW_SECTION_PIVOT &&
             !SW_VEC_PUSH(p->ctx->arena, &p->bends, bend)))
            return SW_MEMORY;
        SW_TRY(sw_plan_divide_zone(p, i, n));
        i += (size_t)n - 1;
    }
    return SW_OK;
}
