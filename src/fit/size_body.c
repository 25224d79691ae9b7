/* Sizes across the axis and what closes the chains: seats, rivet, hub, cones, lengths. */
#include <math.h>

#include "fit/fit_int.h"
#include "fit/laws.h"

/* Interferences and clearances on diameter [mm]; common practice, no source:
 * riveted seat 0 to 0.005 clearance, driven and friction 0.005 to 0.015 interference, collet 0.02
 * to 0.05 smaller than its seat before it springs open. */
static const double rivet_clearance = 0.0025;
static const double drive_interference = 0.010;
static const double collet_spread = 0.035;

static const struct fit_band riveted_band = {0.0025, 0.001, 0.002, 4, "clearance 0 to 0.005"};
static const struct fit_band driven_band = {0.005, 0.002, 0.003, 4, "interference 0.005 to 0.015"};
static const struct fit_band collet_band = {0.015, 0.003, 0.005, 3, "spread 0.02 to 0.05"};
static const struct fit_band arm_band = {0.02, 0.005, 0.01, 2, "rivet at the arm's upper face"};
static const struct fit_band none = {0, 0, 0, 2, NULL};
static const struct fit_band none_fine = {0, 0, 0, 3, NULL};

/* A balance arm that nobody measured [mm]: from the slim to the stout (common practice). */
static const double usual_arm = 0.25, usual_arm_half = 0.10;

/* Rivet: 0.05 to 0.15 above the arm, growing with the staff (common practice). */
static const double rivet_at_none = 0.03, rivet_by_length = 0.0172;
static const double least_rivet = 0.05, most_rivet = 0.15;
/* Lip 0.04 to 0.10, recess 0.05 to 0.15 deep; 0.8 of the rivet leaves a bottom above the arm. The
 * wall is flatter than the usual 25 degrees, so that the heel of a ground recess tool clears it
 * (all common practice). */
static const double usual_lip = 0.05;
static const double recess_share = 0.8, least_recess = 0.04;
static const double recess_wall = 40 * 3.14159265358979323846 / 180;
/* Width of the recess's floor, for the tip of its tool (common practice). */
static const double recess_floor = 0.03;

/* Hub over balance seat: 1.4 to 1.6 in Hall's figure 15; and enough for the arm to rest on. */
static const double hub_by_seat = 1.43, least_rest = 0.15;
/* Hub: cylinder over thickness, half-angle of its underside (Hall 1910, fig. 15, measured). */
static const double land_share = 0.3;
static const double underside = 17.5 * 3.14159265358979323846 / 180;
/* A spring-below staff: hub over total length, shank over hub (common practice). */
static const double hub_by_total = 0.12, shank_by_hub = 0.41;

/* In pivot diameters, measured from Hall's engravings (1910, figures 5 and 15; 5 to 10 %). */
static const double ridge_by_pivot = 3.3, cone_by_pivot = 3.5;
static const double root_by_pivot = 2.35, slope_by_pivot = 1.6;
/* The thinner of what goes over the ridge keeps this share of room [diameter]. */
static const double ridge_by_bore = 0.8, root_by_ridge = 0.8;

/* Roller: slow taper 1:100 to 1:50 (common practice); stops by hand at three quarters (Hall 1910,
 * ch. VII), 0.55 to 0.95 accepted. */
static const double usual_taper = 0.01, hand_stop = 0.75, stop_room = 0.20;
/* A safety roller's seat is longer than the roller by this (common practice). */
static const double safety_over = 0.05;
/* A section shorter than this is no seat [mm]. */
static const double least_length = 0.1;
static const double hundredth = 100;

static double round_hundredth(double value)
{
    return floor(value * hundredth + 0.5) / hundredth;
}

/* A seat by the bore of its part, or as the old one. FROM: added to the bore. */
static void size_seat(struct fit_work *work, enum sw_size_id id, enum sw_reading_kind bore_kind,
                      double from, const struct fit_band *band, enum sw_reading_kind old_kind,
                      const char *rule)
{
    const struct sw_known *bore = fit_known(work, bore_kind), *old = fit_known(work, old_kind);
    if (bore->origin != SW_ORIGIN_NONE) {
        const struct sw_gum exact = sw_gum_exact(from);
        const struct sw_gum is = sw_gum_sum(&bore->is, 1, &exact, 1);
        fit_set(work, id, bore->origin, &is, band, "bore %s %s %s: %s", FIT_MM(bore->is.value),
                from < 0 ? "less" : "and", FIT_MM(fabs(from)), rule);
    } else if (old->origin != SW_ORIGIN_NONE) {
        fit_set(work, id, SW_ORIGIN_OLD, &old->is, band,
                "as the old seat; gauge the bore, not the old seat (Hall 1910, ch. IV)");
    } else {
        fit_miss(work, id, sw_reading_info[bore_kind].key);
    }
}

static void size_rivet(struct fit_work *work)
{
    const struct sw_size *size = work->sizing->size;
    if (fit_has(work, SW_READ_OLD_RIVET)) {
        fit_set(work, SW_SIZE_RIVET, SW_ORIGIN_OLD, &fit_known(work, SW_READ_OLD_RIVET)->is, &none,
                "as the old rivet");
    } else {
        const double total = size[SW_SIZE_TOTAL].is_there ? size[SW_SIZE_TOTAL].value : 4;
        const struct sw_gum is = sw_gum_exact(
            fmin(fmax(rivet_at_none + rivet_by_length * total, least_rivet), most_rivet));
        fit_set(work, SW_SIZE_RIVET, SW_ORIGIN_PROPOSED, &is, &none,
                "0.05 to 0.15 above the arm by the staff's size (common practice)");
    }
    if (!size[SW_SIZE_BALANCE_SEAT].is_there || !size[SW_SIZE_COLLET_SEAT].is_there)
        return;
    const double width = (size[SW_SIZE_BALANCE_SEAT].value - size[SW_SIZE_COLLET_SEAT].value) / 2;
    const double room = (width - usual_lip - recess_floor) / tan(recess_wall);
    const double depth =
        floor(fmin(recess_share * size[SW_SIZE_RIVET].value, room) * hundredth) / hundredth;
    if (width < recess_floor) {
        fit_refuse(work, "the balance seat of %s leaves no rivet beside a collet seat of %s",
                   FIT_MM(size[SW_SIZE_BALANCE_SEAT].value),
                   FIT_MM(size[SW_SIZE_COLLET_SEAT].value));
        return;
    }
    if (depth < least_recess)
        return; /* a solid rivet: too little room for a lip */
    const struct sw_gum lip = sw_gum_exact(usual_lip), recess = sw_gum_exact(depth);
    fit_set(work, SW_SIZE_LIP, SW_ORIGIN_PROPOSED, &lip, &none,
            "the thin edge that is folded over (common practice)");
    fit_set(work, SW_SIZE_RECESS, SW_ORIGIN_PROPOSED, &recess, &none,
            "0.8 of the rivet, as far as lip and collet seat leave room (common practice)");
}

static void size_hub(struct fit_work *work, double seat)
{
    if (fit_has(work, SW_READ_OLD_HUB)) {
        fit_set(work, SW_SIZE_HUB, SW_ORIGIN_OLD, &fit_known(work, SW_READ_OLD_HUB)->is, &none,
                "as the old hub");
        return;
    }
    const struct sw_gum is =
        sw_gum_exact(round_hundredth(fmax(hub_by_seat * seat, seat + 2 * least_rest)));
    fit_set(work, SW_SIZE_HUB, SW_ORIGIN_PROPOSED, &is, &none,
            "1.43 balance seats, as Hall's figure 15 has it (1910, measured from the engraving)");
}

void fit_size_seats(struct fit_work *work)
{
    const enum sw_fixing fixing = work->survey->parts.fixing;
    const struct sw_size *size = work->sizing->size;
    size_seat(work, SW_SIZE_COLLET_SEAT, SW_READ_COLLET_BORE, collet_spread, &collet_band,
              SW_READ_OLD_COLLET_SEAT, "springs the collet open 0.02 to 0.05 (common practice)");
    if (fixing == SW_FIX_FRICTION) {
        size_seat(work, SW_SIZE_FRICTION_SEAT, SW_READ_HUB_BORE, drive_interference, &driven_band,
                  SW_READ_OLD_BALANCE_SEAT, "friction, 0.005 to 0.015 (common practice)");
        return;
    }
    if (fixing == SW_FIX_DRIVEN)
        size_seat(work, SW_SIZE_BALANCE_SEAT, SW_READ_BALANCE_BORE, drive_interference,
                  &driven_band, SW_READ_OLD_BALANCE_SEAT,
                  "driven on without a rivet, 0.005 to 0.015 (Hall 1910, ch. VII; amount: common "
                  "practice)");
    else
        size_seat(work, SW_SIZE_BALANCE_SEAT, SW_READ_BALANCE_BORE, -rivet_clearance, &riveted_band,
                  SW_READ_OLD_BALANCE_SEAT,
                  "the arm goes on with a light push, 0 to 0.005 (common practice)");
    if (!fit_has(work, SW_READ_ARM_THICKNESS))
        fit_propose(work, SW_READ_ARM_THICKNESS, usual_arm, usual_arm_half);
    const struct sw_known *arm = fit_known(work, SW_READ_ARM_THICKNESS);
    fit_set(work, SW_SIZE_BALANCE_LENGTH, arm->origin, &arm->is, &arm_band,
            "as thick as the balance arm");
    if (fixing == SW_FIX_RIVETED)
        size_rivet(work);
    if (size[SW_SIZE_BALANCE_SEAT].is_there)
        size_hub(work, size[SW_SIZE_BALANCE_SEAT].value);
}

/* One size of a cone or back slope: the old one, or a proportion, never more than MOST. */
static void size_proportion(struct fit_work *work, enum sw_size_id id, enum sw_reading_kind old,
                            double value, double most, const char *rule)
{
    if (fit_has(work, old)) {
        fit_set(work, id, SW_ORIGIN_OLD, &fit_known(work, old)->is, &none, "as the old staff");
        return;
    }
    const struct sw_gum is = sw_gum_exact(fmin(value, most));
    if (value > most)
        fit_set(work, id, SW_ORIGIN_PROPOSED, &is, &none,
                "as much as what goes over it leaves room for");
    else
        fit_set(work, id, SW_ORIGIN_PROPOSED, &is, &none,
                "%s (Hall 1910, measured from the engravings)", rule);
}

/* The diameter of the seat that a cone's back slope falls to. */
static double shoulder_of(const struct fit_work *work, int end)
{
    const struct sw_size *size = work->sizing->size;
    if (end == 0 && work->survey->layout == SW_SPRING_ABOVE)
        return size[SW_SIZE_COLLET_SEAT].is_there ? size[SW_SIZE_COLLET_SEAT].value
                                                  : (double)INFINITY;
    if (end == 0)
        return (double)INFINITY; /* a shank follows the ridge, not the other way round */
    const enum sw_reading_kind bore = fit_has(work, SW_READ_SAFETY_BORE) ? SW_READ_SAFETY_BORE
                                      : fit_has(work, SW_READ_ROLLER_BORE)
                                          ? SW_READ_ROLLER_BORE
                                          : SW_READ_OLD_ROLLER_SEAT;
    return fit_has(work, bore) ? fit_known(work, bore)->is.value : (double)INFINITY;
}

void fit_size_cones(struct fit_work *work)
{
    for (int end = 0; end < 2; end++) {
        const enum sw_size_id pivot = end ? SW_SIZE_LOWER_PIVOT : SW_SIZE_UPPER_PIVOT;
        if (!work->sizing->size[pivot].is_there)
            continue;
        const double d = fit_value(work, pivot);
        const double most = floor(ridge_by_bore * shoulder_of(work, end) * hundredth) / hundredth;
        const enum sw_size_id ridge = end ? SW_SIZE_LOWER_RIDGE : SW_SIZE_UPPER_RIDGE;
        size_proportion(work, ridge, SW_READ_OLD_RIDGE, ridge_by_pivot * d, most,
                        "3.3 pivot diameters");
        size_proportion(work, end ? SW_SIZE_LOWER_CONE : SW_SIZE_UPPER_CONE, SW_READ_OLD_CONE,
                        cone_by_pivot * d, (double)INFINITY, "3.5 pivot diameters");
        const double most_root =
            floor(root_by_ridge * fit_value(work, ridge) * hundredth) / hundredth;
        size_proportion(work, end ? SW_SIZE_LOWER_ROOT : SW_SIZE_UPPER_ROOT, SW_READ_OLD_ROOT,
                        root_by_pivot * d, most_root, "2.35 pivot diameters");
        size_proportion(work, end ? SW_SIZE_LOWER_SLOPE : SW_SIZE_UPPER_SLOPE, SW_READ_OLD_SLOPE,
                        slope_by_pivot * d, (double)INFINITY, "1.6 pivot diameters");
    }
}

/* Tip to shoulder of one end; 0 when a part of it is not known. */
static double end_length(const struct fit_work *work, int end)
{
    static const enum sw_size_id part[2][3] = {
        {SW_SIZE_UPPER_STRAIGHT, SW_SIZE_UPPER_CONE, SW_SIZE_UPPER_SLOPE},
        {SW_SIZE_LOWER_STRAIGHT, SW_SIZE_LOWER_CONE, SW_SIZE_LOWER_SLOPE},
    };
    double sum = 0;
    for (int i = 0; i < 3; i++) {
        if (!work->sizing->size[part[end][i]].is_there)
            return 0;
        sum += work->sizing->size[part[end][i]].value;
    }
    return sum;
}

/* Thick end of a tapered seat; the bore stops at three quarters of LENGTH. */
static void size_taper(struct fit_work *work, enum sw_size_id id, enum sw_reading_kind bore_kind,
                       double taper, double length)
{
    const struct sw_known *bore = fit_known(work, bore_kind);
    const struct sw_gum exact = sw_gum_exact(taper * length * (1 - hand_stop));
    const struct sw_gum is = sw_gum_sum(&bore->is, 1, &exact, 1);
    const struct fit_band band = {taper * length * stop_room, 0.001, 0.002, 4,
                                  "the roller stops by hand at 0.55 to 0.95 of the way"};
    fit_set(work, id, bore->origin, &is, &band,
            "bore %s and a quarter of %s at taper 1:%s, so that it stops three quarters home by "
            "hand (Hall 1910, ch. VII)",
            FIT_MM(bore->is.value), FIT_MM(length), FIT_MM(floor(1 / taper + 0.5)));
}

static void size_safety(struct fit_work *work, double taper)
{
    if (!fit_has(work, SW_READ_SAFETY_BORE))
        return;
    if (!fit_has(work, SW_READ_SAFETY_THICKNESS)) {
        fit_miss(work, SW_SIZE_SAFETY_LENGTH, "safety_thickness");
        return;
    }
    const struct sw_gum over = sw_gum_exact(safety_over);
    const struct sw_gum length =
        sw_gum_sum(&fit_known(work, SW_READ_SAFETY_THICKNESS)->is, 1, &over, 1);
    fit_set(work, SW_SIZE_SAFETY_LENGTH, SW_ORIGIN_MEASURED, &length, &none,
            "safety roller %s and 0.05 (common practice)",
            FIT_MM(fit_known(work, SW_READ_SAFETY_THICKNESS)->is.value));
    size_taper(work, SW_SIZE_SAFETY_SEAT, SW_READ_SAFETY_BORE, taper,
               fit_value(work, SW_SIZE_SAFETY_LENGTH));
}

void fit_size_roller(struct fit_work *work)
{
    const struct sw_size *size = work->sizing->size;
    const bool has_taper = fit_has(work, SW_READ_OLD_ROLLER_TAPER);
    const struct sw_gum taper =
        has_taper ? fit_known(work, SW_READ_OLD_ROLLER_TAPER)->is : sw_gum_exact(usual_taper);
    fit_set(work, SW_SIZE_ROLLER_TAPER, has_taper ? SW_ORIGIN_OLD : SW_ORIGIN_PROPOSED, &taper,
            &(struct fit_band){0, 0, 0, 4, NULL},
            has_taper ? "as the old seat" : "1:100 on diameter (common practice)");
    size_safety(work, taper.value);
    if (!fit_has(work, SW_READ_ROLLER_BORE) && !fit_has(work, SW_READ_OLD_ROLLER_SEAT))
        fit_miss(work, SW_SIZE_ROLLER_SEAT, "roller_bore");
    if (!size[SW_SIZE_ROLLER_SHOULDER].is_there || end_length(work, 1) <= 0)
        return;
    const double safety =
        size[SW_SIZE_SAFETY_LENGTH].is_there ? size[SW_SIZE_SAFETY_LENGTH].value : 0;
    const double length = size[SW_SIZE_ROLLER_SHOULDER].value - end_length(work, 1) - safety;
    const double roller = fit_has(work, SW_READ_ROLLER_THICKNESS)
                              ? fit_known(work, SW_READ_ROLLER_THICKNESS)->is.value
                              : least_length;
    if (length < roller) {
        fit_refuse(work,
                   "the roller shoulder at %s leaves %s for the roller seat above pivot, cone and "
                   "back slope, less than the roller needs (%s)",
                   FIT_MM(size[SW_SIZE_ROLLER_SHOULDER].value), FIT_MM(length), FIT_MM(roller));
        return;
    }
    const struct sw_gum is = sw_gum_exact(length);
    fit_set(work, SW_SIZE_ROLLER_LENGTH, SW_ORIGIN_CHOSEN, &is, &none_fine,
            "closes the chain from the lower tip to the roller shoulder");
    if (fit_has(work, SW_READ_ROLLER_BORE)) {
        size_taper(work, SW_SIZE_ROLLER_SEAT, SW_READ_ROLLER_BORE, taper.value, length);
    } else if (fit_has(work, SW_READ_OLD_ROLLER_SEAT)) {
        const struct fit_band band = {taper.value * length * stop_room, 0.001, 0.002, 4,
                                      "the roller stops by hand at 0.55 to 0.95 of the way"};
        fit_set(work, SW_SIZE_ROLLER_SEAT, SW_ORIGIN_OLD,
                &fit_known(work, SW_READ_OLD_ROLLER_SEAT)->is, &band,
                "as the old seat; gauge the bore, not the old seat (Hall 1910, ch. IV)");
    }
}

/* The hub between the two heights, or of usual thickness where the spring lies below. */
static void size_hub_length(struct fit_work *work)
{
    const struct sw_size *size = work->sizing->size;
    if (!size[SW_SIZE_HUB].is_there || !size[SW_SIZE_HUB_FACE].is_there ||
        !size[SW_SIZE_ROLLER_SHOULDER].is_there || !size[SW_SIZE_TOTAL].is_there)
        return;
    if (work->survey->layout == SW_SPRING_BELOW) {
        const bool has_old = fit_has(work, SW_READ_OLD_HUB_THICKNESS);
        const struct sw_gum is = has_old ? fit_known(work, SW_READ_OLD_HUB_THICKNESS)->is
                                         : sw_gum_exact(hub_by_total * size[SW_SIZE_TOTAL].value);
        fit_set(work, SW_SIZE_HUB_LENGTH, has_old ? SW_ORIGIN_OLD : SW_ORIGIN_PROPOSED, &is, &none,
                has_old ? "as the old hub" : "0.12 of the length (common practice)");
    } else {
        const struct sw_gum is =
            sw_gum_sum(&size[SW_SIZE_HUB_FACE].is, 1, &size[SW_SIZE_ROLLER_SHOULDER].is, -1);
        if (is.value < least_length) {
            fit_refuse(work, "hub face at %s and roller shoulder at %s leave no hub",
                       FIT_MM(size[SW_SIZE_HUB_FACE].value),
                       FIT_MM(size[SW_SIZE_ROLLER_SHOULDER].value));
            return;
        }
        const enum sw_origin a = size[SW_SIZE_HUB_FACE].origin;
        const enum sw_origin b = size[SW_SIZE_ROLLER_SHOULDER].origin;
        fit_set(work, SW_SIZE_HUB_LENGTH, a > b ? a : b, &is, &none_fine,
                "hub face %s less roller shoulder %s", FIT_MM(size[SW_SIZE_HUB_FACE].value),
                FIT_MM(size[SW_SIZE_ROLLER_SHOULDER].value));
    }
    const double length = size[SW_SIZE_HUB_LENGTH].value;
    const double land = round_hundredth(land_share * length);
    const double thin = size[SW_SIZE_HUB].value / 2 - (length - land) * tan(underside);
    const double beside = size[SW_SIZE_ROLLER_SEAT].is_there ? size[SW_SIZE_ROLLER_SEAT].value : 0;
    if (2 * thin < beside + least_length)
        return; /* a plain cylinder */
    const struct sw_gum is = sw_gum_exact(land);
    fit_set(work, SW_SIZE_LAND, SW_ORIGIN_PROPOSED, &is, &none,
            "0.3 of the hub, the rest a cone of 17.5 degrees (Hall 1910, fig. 15, measured)");
}

static void size_shank(struct fit_work *work)
{
    const struct sw_size *size = work->sizing->size;
    if (!size[SW_SIZE_HUB].is_there || !size[SW_SIZE_UPPER_RIDGE].is_there)
        return;
    const struct sw_gum is =
        sw_gum_exact(fmax(shank_by_hub * size[SW_SIZE_HUB].value, size[SW_SIZE_UPPER_RIDGE].value));
    fit_set(work, SW_SIZE_SHANK, SW_ORIGIN_CHOSEN, &is, &none, "nothing fits on it");
}

static void size_collet_length(struct fit_work *work)
{
    const struct sw_size *size = work->sizing->size;
    const bool is_friction = work->survey->parts.fixing == SW_FIX_FRICTION;
    const enum sw_size_id from = is_friction ? SW_SIZE_FRICTION_TOP : SW_SIZE_HUB_FACE;
    if (!size[SW_SIZE_TOTAL].is_there || !size[from].is_there || end_length(work, 0) <= 0)
        return;
    double arm = is_friction ? 0 : size[SW_SIZE_BALANCE_LENGTH].value;
    if (size[SW_SIZE_RIVET].is_there)
        arm += size[SW_SIZE_RIVET].value;
    const bool is_below = work->survey->layout == SW_SPRING_BELOW;
    const double length =
        is_below ? size[from].value - arm - size[SW_SIZE_ROLLER_SHOULDER].value
                 : size[SW_SIZE_TOTAL].value - end_length(work, 0) - size[from].value - arm;
    if (length < least_length) {
        fit_refuse(work, "nothing is left for the collet seat (%s) between the balance and the %s",
                   FIT_MM(length), is_below ? "roller" : "upper back slope");
        return;
    }
    const struct sw_gum is = sw_gum_exact(length);
    fit_set(work, SW_SIZE_COLLET_LENGTH, SW_ORIGIN_CHOSEN, &is, &none_fine,
            is_below ? "closes the chain from the roller shoulder to the rivet"
                     : "closes the chain from the balance to the upper tip");
}

void fit_size_lengths(struct fit_work *work)
{
    size_hub_length(work);
    if (work->survey->layout == SW_SPRING_BELOW)
        size_shank(work);
    size_collet_length(work);
}
