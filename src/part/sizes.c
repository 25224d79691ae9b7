#include "part/raw.h"

#include <math.h>

#include "geom/tol.h"

static double length_of(const struct sw_section *section)
{
    return section->z1 - section->z0;
}

static bool is_over(double a, double b)
{
    return a > b + SW_TOL_POINT;
}

static void check_pivot(struct part_build *build, size_t i)
{
    const struct sw_section *pivot = &build->staff->section[i];
    const struct raw_section *raw = build->from[i];
    const bool is_dome = pivot->tip == SW_TIP_DOME;
    const double form = is_dome ? pivot->dome_height : pivot->tip_corner;
    const struct sw_span at = part_place(pivot, is_dome ? raw->dome_height : raw->tip_corner);
    const char *what = is_dome ? "dome height" : "tip corner";
    if (is_over(form, pivot->r0) || (!is_dome && !is_over(pivot->r0, form)))
        PART_FAULT(build, "part.tip", at, NULL, "the %s of %s is %s mm; %s %s mm, its radius", what,
                   pivot->name, PART_MM(form), is_dome ? "at most" : "it must be less than",
                   PART_MM(pivot->r0));
    else if (!is_over(length_of(pivot), form))
        PART_FAULT(build, "part.tip", at, NULL,
                   "the %s of %s is %s mm, but the whole pivot is only %s mm long", what,
                   pivot->name, PART_MM(form), PART_MM(length_of(pivot)));
}

static void check_cone(struct part_build *build, size_t i)
{
    const struct sw_section *cone = &build->staff->section[i];
    const struct raw_section *raw = build->from[i];
    const double thin = cone->points_down ? cone->r1 : cone->r0;
    const double ridge = raw->ridge.value / 2;
    const double rise = ridge - thin;
    const double length = length_of(cone);
    if (!is_over(ridge, thin)) {
        PART_FAULT(build, "part.pivot-over-ridge", raw->ridge.at, NULL,
                   "the ridge of %s is %s mm, but its pivot is %s mm thick; a ridge is thicker",
                   cone->name, PART_MM(2 * ridge), PART_MM(2 * thin));
        return;
    }
    const double tangent_radius = (length * length + rise * rise) / (2 * rise);
    if (cone->cone == SW_CONE_TANGENT_ARC && is_over(rise, length))
        PART_FAULT(build, "part.cone-short", part_place(cone, raw->length),
                   "make it longer, or its ridge thinner",
                   "%s is %s mm long; an arc tangent to the pivot that rises %s mm needs as much",
                   cone->name, PART_MM(length), PART_MM(rise));
    if (cone->cone == SW_CONE_RADIUS && is_over(tangent_radius, cone->cone_radius))
        PART_FAULT(build, "part.cone-radius", raw->radius.at, "a larger radius makes it straighter",
                   "an arc of %s mm would cut into the pivot; the tangent one has %s mm",
                   PART_MM(cone->cone_radius), PART_MM(tangent_radius));
}

static void check_back_slope(struct part_build *build, size_t i)
{
    const struct sw_section *slope = &build->staff->section[i];
    const struct raw_section *raw = build->from[i];
    const double root = raw->root.value / 2;
    const double ridge = slope->points_down ? slope->r1 : slope->r0;
    const struct sw_section *beside = slope->points_down ? slope - 1 : slope + 1;
    const double shoulder = slope->points_down ? beside->r1 : beside->r0;
    if (!is_over(ridge, root))
        PART_FAULT(build, "part.root-over-ridge", raw->root.at, "a back slope falls from the ridge",
                   "the root of %s is %s mm, but its ridge is only %s mm", slope->name,
                   PART_MM(2 * root), PART_MM(2 * ridge));
    if (is_over(root, shoulder) && is_over(shoulder, 0))
        PART_FAULT(build, "part.root-over-shoulder", raw->root.at, NULL,
                   "the root of %s is %s mm, but %s beside it is only %s mm", slope->name,
                   PART_MM(2 * root), beside->name, PART_MM(2 * shoulder));
}

/* What sits on a seat must find a shoulder towards the core. */
static void check_shoulder(struct part_build *build, size_t i)
{
    const struct sw_section *section = build->staff->section;
    const struct sw_section *seat = &section[i];
    const struct raw_section *raw = build->from[i];
    const bool sits = seat->takes == SW_TAKES_BALANCE || seat->takes == SW_TAKES_ROLLER;
    if (!sits || i == build->staff->core)
        return;
    const struct sw_section *stop = seat->is_lower_half ? seat - 1 : seat + 1;
    const double at_stop = seat->is_lower_half ? stop->r1 : stop->r0;
    const double at_seat = seat->is_lower_half ? seat->r0 : seat->r1;
    /* an underside that falls to nothing is reported at the hub */
    if (at_stop > 0 && !is_over(at_stop, at_seat))
        PART_FAULT(build, "part.no-shoulder", part_place(seat, raw->diameter), NULL,
                   "nothing for the %s to sit down on: %s is %s mm, %s beside it %s mm",
                   seat->takes == SW_TAKES_BALANCE ? "balance" : "roller", seat->name,
                   PART_MM(2 * at_seat), stop->name, PART_MM(2 * at_stop));
}

static void check_seat(struct part_build *build, size_t i)
{
    const struct sw_section *seat = &build->staff->section[i];
    const struct raw_section *raw = build->from[i];
    if (!is_over(fmin(seat->r0, seat->r1), 0)) {
        PART_FAULT(build, "part.taper", part_place(seat, raw->taper), NULL,
                   "%s tapers to nothing over its %s mm", seat->name, PART_MM(length_of(seat)));
        return;
    }
    check_shoulder(build, i);
    if (seat->bevel <= 0)
        return;
    const struct sw_section *beside = seat->is_lower_half ? seat + 1 : seat - 1;
    const double outside = seat->is_lower_half ? beside->r0 : beside->r1;
    const double at_end = seat->is_lower_half ? seat->r1 : seat->r0;
    if (!is_over(length_of(seat), seat->bevel))
        PART_FAULT(build, "part.bevel", raw->bevel.at, NULL,
                   "the bevel of %s is %s mm wide, but the seat is only %s mm long", seat->name,
                   PART_MM(seat->bevel), PART_MM(length_of(seat)));
    else if (is_over(outside, at_end - seat->bevel))
        PART_FAULT(build, "part.bevel", raw->bevel.at, NULL,
                   "the bevel of %s goes down to %s mm, below %s beside it at %s mm", seat->name,
                   PART_MM(2 * (at_end - seat->bevel)), beside->name, PART_MM(2 * outside));
}

static void check_recess(struct part_build *build, size_t i)
{
    const struct sw_section *rivet = &build->staff->section[i];
    const struct raw_recess *raw = &build->from[i]->recess;
    const struct sw_section *seat = rivet->points_down ? rivet - 1 : rivet + 1;
    const struct sw_section *open = rivet->points_down ? rivet + 1 : rivet - 1;
    const double inside = rivet->points_down ? open->r0 : open->r1;
    const double wall = rivet->r0 - inside;
    if (!is_over(wall, 0)) {
        PART_FAULT(build, "part.rivet-thin", rivet->at, NULL,
                   "%s is %s mm, not thicker than %s on its open side at %s mm; there is no room "
                   "for a recess",
                   rivet->name, PART_MM(2 * rivet->r0), open->name, PART_MM(2 * inside));
        return;
    }
    if (!is_over(wall, rivet->recess_lip)) {
        PART_FAULT(build, "part.lip", raw->lip.at, "the recess lies between seat and lip",
                   "the lip is %s mm thick, but the whole face of %s is only %s mm wide",
                   PART_MM(rivet->recess_lip), rivet->name, PART_MM(wall));
        return;
    }
    const double room = length_of(rivet) + length_of(seat);
    if (!is_over(room, rivet->recess_depth))
        PART_FAULT(build, "part.recess-deep", raw->depth.at, NULL,
                   "the recess is %s mm deep, but %s and %s together are only %s mm long",
                   PART_MM(rivet->recess_depth), rivet->name, seat->name, PART_MM(room));
    const double width = wall - rivet->recess_lip;
    const double lost = rivet->recess_depth * tan(rivet->recess_wall);
    if (is_over(width, lost))
        return;
    /* Rounded down, so that the depth named as possible is possible. */
    const double deepest = floor(width / tan(rivet->recess_wall) * 1000) / 1000;
    PART_FAULT(build, "part.recess-wall", part_place(rivet, raw->wall),
               "make it steeper, the lip thinner or the recess less deep",
               "the recess wall meets %s at %s mm depth; it is to be %s mm deep", open->name,
               PART_MM(deepest), PART_MM(rivet->recess_depth));
}

static void check_hub(struct part_build *build, size_t i)
{
    const struct sw_section *hub = &build->staff->section[i];
    if (hub->hub_underside <= 0)
        return;
    const struct sw_section *beside = hub->hub_land_is_lower ? hub - 1 : hub + 1;
    const double thin = hub->hub_land_is_lower ? hub->r0 : hub->r1;
    const double outside = hub->hub_land_is_lower ? beside->r1 : beside->r0;
    if (is_over(outside, thin))
        PART_FAULT(build, "part.underside", build->from[i]->underside.at,
                   "a smaller angle or a longer land leaves more",
                   "the underside of %s falls to %s mm, below %s beside it at %s mm", hub->name,
                   PART_MM(fmax(2 * thin, 0)), beside->name, PART_MM(2 * outside));
}

static void check_groove(struct part_build *build, size_t i)
{
    const struct sw_section *groove = &build->staff->section[i];
    const struct raw_section *raw = build->from[i];
    const struct sw_section *above = groove - 1, *below = groove + 1;
    if (groove->r0 <= 0) {
        PART_FAULT(build, "part.groove", raw->depth.at, NULL,
                   "%s is %s mm deep, but its neighbours have a radius of only %s mm", groove->name,
                   PART_MM(groove->groove_depth), PART_MM(groove->r0 + groove->groove_depth));
        return;
    }
    const double flanks = (above->r1 + below->r0 - 2 * groove->r0) * tan(groove->groove_flank);
    if (!is_over(length_of(groove), flanks))
        PART_FAULT(build, "part.groove", part_place(groove, raw->flank), NULL,
                   "the flanks of %s take %s mm, but the groove is only %s mm long", groove->name,
                   PART_MM(flanks), PART_MM(length_of(groove)));
}

/* Part of every section: its smallest size is still a size. */
static void check_tolerance(struct part_build *build, size_t i)
{
    const struct sw_section *section = &build->staff->section[i];
    const struct raw_section *raw = build->from[i];
    const double thin = 2 * fmin(section->r0, section->r1);
    if (!is_over(thin, 0) || is_over(thin + section->diameter_tolerance.lower, 0))
        return;
    const struct sw_span at = raw->tolerance.given ? raw->tolerance.at : section->at;
    PART_FAULT(build, "part.tolerance", at, NULL,
               "the tolerance of %s lets its %s mm shrink to nothing", section->name,
               PART_MM(thin));
}

void part_check_sizes(struct part_build *build)
{
    if (build->is_wrong)
        return;
    for (size_t i = 0; i < build->staff->n; i++) {
        switch (build->staff->section[i].kind) {
        case SW_SECTION_PIVOT:
            check_pivot(build, i);
            break;
        case SW_SECTION_CONE:
            check_cone(build, i);
            break;
        case SW_SECTION_BACK_SLOPE:
            check_back_slope(build, i);
            break;
        case SW_SECTION_SEAT:
            check_seat(build, i);
            break;
        case SW_SECTION_RIVET:
            if (build->staff->section[i].has_recess)
                check_recess(build, i);
            break;
        case SW_SECTION_HUB:
            check_hub(build, i);
            break;
        case SW_SECTION_GROOVE:
            check_groove(build, i);
            break;
        case SW_SECTION_CYLINDER:
        case SW_SECTION_TAPER:
            break;
        }
        check_tolerance(build, i);
        part_check_relief(build, i);
    }
}
