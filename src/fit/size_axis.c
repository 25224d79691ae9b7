/* Sizes along the axis: pivots, total length, straight parts, heights. */
#include <math.h>

#include "fit/fit_int.h"
#include "fit/laws.h"

/* The old staff may have been wrong: how far it is believed [mm], common practice, no source. */
static const double old_diameter_half = 0.005;
static const double old_height_half = 0.03;

/* An endstone's stand-off when nobody measured it: between touching and twice the usual (cp). */
static const double usual_gap = 0.03, usual_gap_half = 0.02;
/* Hole length over hole diameter: 1.0 to 1.5 (common practice). */
static const double usual_jewel = 1.25, usual_jewel_half = 0.25;
/* What is left between the jewel's inner lip and the cone: 0.02 to 0.05 (common practice); 0.04 is
 * aimed at, 0.02 must remain. */
static const double cone_margin = 0.04, least_cone_margin = 0.02;
/* The straight part in pivot diameters: Hall's engravings show 1.1 to 1.7, later practice 1.5 to
 * 2.5. */
static const double least_straight = 1.5;
/* Room between the fork and the roller above it when it is not measured (common practice). */
static const double fork_room = 0.05, fork_room_half = 0.03;

static const struct fit_band pivot_band = {0.0025, 0.001, 0.0015, 4, "side shake 0.0075 to 0.0125"};
static const struct fit_band end_shake_band = {0.005, 0.002, 0.005, 3, "end shake 0.02 to 0.03"};
static const struct fit_band straight_band = {0.02, 0.005, 0.01, 2,
                                              "0.02 at least between cone and jewel"};
/* An error of 0.05 in a slim movement stops it or drags: half of it may be used up. */
static const struct fit_band height_band = {0.025, 0.005, 0.01, 3,
                                            "heights to 0.025, half of what is fatal"};

/* A value off the old staff, with the doubt that comes with any old staff. */
static struct sw_gum believed(struct fit_work *work, enum sw_reading_kind kind, double half)
{
    const struct sw_gum doubt = sw_know_source(
        work->know, 0, (struct sw_gum_source){half / sqrt(3), (double)INFINITY, SW_SPREAD_EVEN},
        &(struct sw_doubt){"the old staff may have been wrong", NULL, kind, 0, 0, false});
    return sw_gum_sum(&fit_known(work, kind)->is, 1, &doubt, 1);
}

static void note_old_pivot(struct fit_work *work, const struct sw_known *hole,
                           const struct sw_known *old, enum sw_reading_kind kind)
{
    static const double clearly = 2; /* standard uncertainties */
    if (hole->origin == SW_ORIGIN_NONE || old->origin == SW_ORIGIN_NONE)
        return;
    const struct sw_gum over = sw_gum_sum(&old->is, 1, &hole->is, -1);
    const double u = sw_know_u(work->know, &over);
    if (over.value < clearly * u)
        return;
    const struct sw_clash clash = {.what = sw_reading_info[kind].says,
                                   .a = "its jewel's hole",
                                   .b = sw_reading_info[kind].key,
                                   .value_a = hole->is.value,
                                   .value_b = old->is.value,
                                   .u_a = sw_know_u(work->know, &hole->is),
                                   .u_b = sw_know_u(work->know, &old->is),
                                   .normalised = over.value / u,
                                   .chi_square = over.value * over.value / (u * u),
                                   .dof = 1,
                                   .chance = erfc(over.value / u / sqrt(2)),
                                   .is_sure = true,
                                   .is_old = true};
    if (!SW_VEC_PUSH(work->ctx->arena, &work->know->clash, clash))
        work->failed = true;
}

static void size_pivot(struct fit_work *work, int end)
{
    const enum sw_reading_kind hole_kind =
        (enum sw_reading_kind)(SW_READ_UPPER_HOLE + (end ? 1 : 0));
    const enum sw_reading_kind old_kind =
        (enum sw_reading_kind)(SW_READ_OLD_UPPER_PIVOT + (end ? 1 : 0));
    const enum sw_size_id id = end ? SW_SIZE_LOWER_PIVOT : SW_SIZE_UPPER_PIVOT;
    const struct sw_known *hole = fit_known(work, hole_kind), *old = fit_known(work, old_kind);
    note_old_pivot(work, hole, old, old_kind);
    if (hole->origin != SW_ORIGIN_NONE) {
        const double shake = sw_side_shake_wanted(hole->is.value);
        const struct sw_gum exact = sw_gum_exact(shake);
        const struct sw_gum is = sw_gum_sum(&hole->is, 1, &exact, -1);
        struct fit_band band = pivot_band;
        band.half = fmin(shake - SW_LEAST_SIDE_SHAKE, SW_MOST_SIDE_SHAKE - shake);
        fit_set(work, id, hole->origin, &is, &band,
                "hole %s less %s side shake (0.0075 to 0.0125 by size: Kleinlein 1920, sec. 25)",
                FIT_MM(hole->is.value), FIT_MM(shake));
    } else if (old->origin != SW_ORIGIN_NONE) {
        const struct sw_gum is = believed(work, old_kind, old_diameter_half);
        fit_set(work, id, SW_ORIGIN_OLD, &is, &pivot_band,
                "as the old pivot; gauge the hole, not the old staff (Hall 1910, ch. IV)");
    } else {
        fit_miss(work, id, sw_reading_info[hole_kind].key);
    }
}

void fit_size_pivots(struct fit_work *work)
{
    size_pivot(work, 0);
    size_pivot(work, 1);
}

/* A stand-off that nobody measured: what is left of the whole, or the usual. */
static void complete_gap(struct fit_work *work, enum sw_reading_kind gap,
                         enum sw_reading_kind other)
{
    const struct sw_knowledge *know = work->know;
    if (fit_has(work, gap))
        return;
    if (fit_has(work, SW_READ_BETWEEN_ENDSTONES) && fit_has(work, SW_READ_OVER_JEWELS) &&
        fit_has(work, other)) {
        struct sw_known *to = &work->know->of[gap];
        to->origin = SW_ORIGIN_MEASURED;
        to->is = sw_gum_sum(&know->of[SW_READ_BETWEEN_ENDSTONES].is, 1,
                            &know->of[SW_READ_OVER_JEWELS].is, -1);
        to->is = sw_gum_sum(&to->is, 1, &know->of[other].is, -1);
        return;
    }
    fit_propose(work, gap, usual_gap, usual_gap_half);
}

void fit_size_total(struct fit_work *work)
{
    struct sw_knowledge *know = work->know;
    complete_gap(work, SW_READ_UPPER_GAP, SW_READ_LOWER_GAP);
    complete_gap(work, SW_READ_LOWER_GAP, SW_READ_UPPER_GAP);
    if (know->endstones.origin == SW_ORIGIN_NONE && fit_has(work, SW_READ_OVER_JEWELS)) {
        know->endstones.origin = SW_ORIGIN_PROPOSED;
        know->endstones.is =
            sw_gum_sum(&know->of[SW_READ_OVER_JEWELS].is, 1, &know->of[SW_READ_UPPER_GAP].is, 1);
        know->endstones.is = sw_gum_sum(&know->endstones.is, 1, &know->of[SW_READ_LOWER_GAP].is, 1);
    }
    const double shake = work->survey->end_shake;
    const struct sw_gum exact = sw_gum_exact(shake);
    if (know->endstones.origin != SW_ORIGIN_NONE) {
        const struct sw_gum is = sw_gum_sum(&know->endstones.is, 1, &exact, -1);
        struct fit_band band = end_shake_band;
        /* Another end shake than the usual was asked for: the band is as wide, about it. */
        if (shake < SW_LEAST_END_SHAKE || shake > SW_MOST_END_SHAKE)
            band.says = "end shake wanted, to 0.005";
        else
            band.half = fmax(fmin(shake - SW_LEAST_END_SHAKE, SW_MOST_END_SHAKE - shake), 0.001);
        fit_set(
            work, SW_SIZE_TOTAL, know->endstones.origin, &is, &band,
            "%s between the endstones less %s end shake (0.02 to 0.03: Kleinlein 1920, sec. 25)",
            FIT_MM(know->endstones.is.value), FIT_MM(shake));
    } else if (fit_has(work, SW_READ_OLD_TOTAL)) {
        const struct sw_gum is = believed(work, SW_READ_OLD_TOTAL, old_height_half);
        fit_set(work, SW_SIZE_TOTAL, SW_ORIGIN_OLD, &is, &end_shake_band,
                "as the old staff; measure the frame, not the old staff (Hall 1910, ch. V)");
    } else {
        fit_miss(work, SW_SIZE_TOTAL,
                 "over_jewels (with upper_gap and lower_gap), or between_endstones");
    }
}

static void size_straight(struct fit_work *work, int end)
{
    const enum sw_size_id pivot = end ? SW_SIZE_LOWER_PIVOT : SW_SIZE_UPPER_PIVOT;
    const enum sw_size_id id = end ? SW_SIZE_LOWER_STRAIGHT : SW_SIZE_UPPER_STRAIGHT;
    const enum sw_reading_kind gap = end ? SW_READ_LOWER_GAP : SW_READ_UPPER_GAP;
    const enum sw_reading_kind jewel = end ? SW_READ_LOWER_JEWEL : SW_READ_UPPER_JEWEL;
    if (!work->sizing->size[pivot].is_there)
        return;
    const double d = fit_value(work, pivot);
    const struct sw_known *t = fit_known(work, jewel);
    if (t->origin == SW_ORIGIN_NONE)
        t = fit_propose(work, jewel, usual_jewel * d, usual_jewel_half * d);
    const struct sw_known *g = fit_known(work, gap);
    const struct sw_gum margin = sw_gum_exact(cone_margin);
    struct sw_gum is = sw_gum_sum(&t->is, 1, &g->is, 1);
    is = sw_gum_sum(&is, 1, &margin, 1);
    const enum sw_origin origin = t->origin > g->origin ? t->origin : g->origin;
    const double least = least_straight * d;
    struct fit_band band = straight_band;
    band.half = cone_margin - least_cone_margin;
    const double hundredth = 100;
    if (is.value >= least) {
        is.value = ceil(is.value * hundredth - 1e-6) / hundredth;
        fit_set(work, id, origin, &is, &band,
                "stand-off %s + jewel %s + margin %s, so that the cone never touches (margin: "
                "common practice)",
                FIT_MM(g->is.value), FIT_MM(t->is.value), FIT_MM(cone_margin));
        return;
    }
    is.value = ceil(least * hundredth - 1e-6) / hundredth;
    band.half += is.value - (g->is.value + t->is.value + cone_margin);
    fit_set(work, id, origin, &is, &band,
            "%s diameters, more than stand-off %s + jewel %s + margin %s (common practice)",
            FIT_MM(least_straight), FIT_MM(g->is.value), FIT_MM(t->is.value), FIT_MM(cone_margin));
}

void fit_size_straights(struct fit_work *work)
{
    size_straight(work, 0);
    size_straight(work, 1);
}

static void size_roller_shoulder(struct fit_work *work)
{
    const struct sw_known *direct = fit_known(work, SW_READ_ROLLER_HEIGHT);
    struct sw_known by_fork = {0};
    if (fit_has(work, SW_READ_FORK_TOP) && fit_has(work, SW_READ_ROLLER_THICKNESS)) {
        const struct sw_gum room = sw_know_source(
            work->know, fork_room,
            (struct sw_gum_source){fork_room_half / sqrt(3), (double)INFINITY, SW_SPREAD_EVEN},
            &(struct sw_doubt){"room between fork and roller (common practice)", NULL,
                               SW_READ_ROLLER_HEIGHT, 0, 0, true});
        by_fork.origin = SW_ORIGIN_PROPOSED;
        by_fork.is = sw_gum_sum(&fit_known(work, SW_READ_FORK_TOP)->is, 1,
                                &fit_known(work, SW_READ_ROLLER_THICKNESS)->is, 1);
        by_fork.is = sw_gum_sum(&by_fork.is, 1, &room, 1);
    }
    struct sw_span at = {0};
    for (size_t i = 0; i < work->know->parts->n; i++)
        if (work->know->parts->reading[i].kind == SW_READ_FORK_TOP)
            at = work->know->parts->reading[i].at;
    const struct sw_known is = sw_know_join(
        work->know, sw_reading_info[SW_READ_ROLLER_HEIGHT].says, SW_READ_ROLLER_HEIGHT,
        "roller_height", direct, "fork_top + room + roller_thickness", &by_fork, at, work->ctx);
    if (direct->origin != SW_ORIGIN_NONE)
        fit_set(work, SW_SIZE_ROLLER_SHOULDER, is.origin, &is.is, &height_band,
                "where the roller's upper face stands when its pin is right in the fork (Hall "
                "1910, ch. III)");
    else if (is.origin != SW_ORIGIN_NONE)
        fit_set(work, SW_SIZE_ROLLER_SHOULDER, is.origin, &is.is, &height_band,
                "fork %s + room %s + roller %s (room: common practice)",
                FIT_MM(fit_known(work, SW_READ_FORK_TOP)->is.value), FIT_MM(fork_room),
                FIT_MM(fit_known(work, SW_READ_ROLLER_THICKNESS)->is.value));
    else if (fit_has(work, SW_READ_OLD_ROLLER_SHOULDER)) {
        const struct sw_gum old = believed(work, SW_READ_OLD_ROLLER_SHOULDER, old_height_half);
        fit_set(work, SW_SIZE_ROLLER_SHOULDER, SW_ORIGIN_OLD, &old, &height_band,
                "as the old staff, which may itself have been wrong (Hall 1910, ch. III)");
    }
}

/* Half way between what the balance passes over and under, its end shake counted. */
static bool centred(struct fit_work *work, struct sw_gum *is)
{
    if (!fit_has(work, SW_READ_BRIDGE_TOP) || !fit_has(work, SW_READ_CEILING) ||
        !fit_has(work, SW_READ_RIM_ABOVE) || !fit_has(work, SW_READ_RIM_BELOW))
        return false;
    const struct sw_gum low = sw_gum_sum(&fit_known(work, SW_READ_BRIDGE_TOP)->is, 0.5,
                                         &fit_known(work, SW_READ_RIM_BELOW)->is, 0.5);
    const struct sw_gum high = sw_gum_sum(&fit_known(work, SW_READ_CEILING)->is, 0.5,
                                          &fit_known(work, SW_READ_RIM_ABOVE)->is, -0.5);
    const struct sw_gum shake = sw_gum_exact(work->survey->end_shake);
    *is = sw_gum_sum(&low, 1, &high, 1);
    *is = sw_gum_sum(is, 1, &shake, -0.5);
    return true;
}

static void size_hub_face(struct fit_work *work)
{
    struct sw_gum is;
    if (fit_has(work, SW_READ_ARM_HEIGHT)) {
        fit_set(work, SW_SIZE_HUB_FACE, SW_ORIGIN_MEASURED,
                &fit_known(work, SW_READ_ARM_HEIGHT)->is, &height_band,
                "where the arm lies when the balance is right, from the lower endstone (Hall 1910, "
                "ch. III)");
    } else if (centred(work, &is)) {
        fit_set(work, SW_SIZE_HUB_FACE, SW_ORIGIN_MEASURED, &is, &height_band,
                "puts the rim half way between bridge %s and what is above at %s",
                FIT_MM(fit_known(work, SW_READ_BRIDGE_TOP)->is.value),
                FIT_MM(fit_known(work, SW_READ_CEILING)->is.value));
    } else if (fit_has(work, SW_READ_OLD_HUB_FACE)) {
        is = believed(work, SW_READ_OLD_HUB_FACE, old_height_half);
        fit_set(work, SW_SIZE_HUB_FACE, SW_ORIGIN_OLD, &is, &height_band,
                "as the old staff, which may itself have been wrong (Hall 1910, ch. III)");
    }
}

/* The old hub's thickness stands in for one of the two heights. */
static void use_old_thickness(struct fit_work *work)
{
    const struct sw_size *size = work->sizing->size;
    const bool has_face = size[SW_SIZE_HUB_FACE].is_there;
    if (work->survey->layout == SW_SPRING_BELOW || !fit_has(work, SW_READ_OLD_HUB_THICKNESS) ||
        has_face == size[SW_SIZE_ROLLER_SHOULDER].is_there)
        return;
    const struct sw_gum thick = believed(work, SW_READ_OLD_HUB_THICKNESS, old_height_half);
    const enum sw_size_id known = has_face ? SW_SIZE_HUB_FACE : SW_SIZE_ROLLER_SHOULDER;
    const enum sw_size_id wanted = has_face ? SW_SIZE_ROLLER_SHOULDER : SW_SIZE_HUB_FACE;
    const struct sw_gum is = sw_gum_sum(&size[known].is, 1, &thick, has_face ? -1 : 1);
    fit_set(work, wanted, SW_ORIGIN_OLD, &is, &height_band,
            "%s %s %s the old hub's thickness %s, which may itself have been wrong",
            sw_size_says(known), FIT_MM(size[known].value), has_face ? "less" : "and",
            FIT_MM(fit_known(work, SW_READ_OLD_HUB_THICKNESS)->is.value));
}

void fit_size_heights(struct fit_work *work)
{
    const bool is_friction = work->survey->parts.fixing == SW_FIX_FRICTION;
    size_roller_shoulder(work);
    if (!is_friction)
        size_hub_face(work);
    if (!is_friction)
        use_old_thickness(work);
    const struct sw_size *size = work->sizing->size;
    if (!size[SW_SIZE_ROLLER_SHOULDER].is_there)
        fit_miss(work, SW_SIZE_ROLLER_SHOULDER,
                 "roller_height, or fork_top with roller_thickness, or old_roller_shoulder");
    if (!is_friction && !size[SW_SIZE_HUB_FACE].is_there)
        fit_miss(work, SW_SIZE_HUB_FACE,
                 "arm_height, or bridge_top, ceiling, rim_above and rim_below, or old_hub_face");
    if (!is_friction)
        return;
    if (!fit_has(work, SW_READ_HUB_HEIGHT)) {
        fit_miss(work, SW_SIZE_FRICTION_TOP, "hub_height");
    } else if (size[SW_SIZE_ROLLER_SHOULDER].is_there) {
        const struct sw_gum top = sw_gum_sum(&size[SW_SIZE_ROLLER_SHOULDER].is, 1,
                                             &fit_known(work, SW_READ_HUB_HEIGHT)->is, 1);
        fit_set(work, SW_SIZE_FRICTION_TOP, size[SW_SIZE_ROLLER_SHOULDER].origin, &top,
                &height_band, "roller shoulder %s + the balance hub's height %s",
                FIT_MM(size[SW_SIZE_ROLLER_SHOULDER].value),
                FIT_MM(fit_known(work, SW_READ_HUB_HEIGHT)->is.value));
    }
}
