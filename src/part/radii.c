#include "part/raw.h"

#include <math.h>

static double length_of(const struct sw_section *section)
{
    return section->z1 - section->z0;
}

/* A seat's diameter counts at one end; the other follows from its taper. */
static void set_seat(struct part_build *build, size_t i)
{
    struct sw_section *seat = &build->staff->section[i];
    const struct raw_section *raw = build->from[i];
    const bool is_core = i == build->staff->core;
    if (is_core && raw->taper.value != 0 && (raw->at.value == RAW_HUB || !raw->at.given)) {
        PART_FAULT(build, "part.taper-end", part_place(seat, raw->taper),
                   "say `at: upper` or `at: lower`; it is thicker at that end",
                   "%s is the widest section itself, so `at: hub` names no end of it", seat->name);
        return;
    }
    const bool counts_at_upper =
        raw->at.value == RAW_UPPER || (raw->at.value == RAW_HUB && seat->is_lower_half);
    const bool thick_at_upper = is_core ? raw->at.value == RAW_UPPER : seat->is_lower_half;
    seat->taper = thick_at_upper ? -raw->taper.value : raw->taper.value;
    const double rise = seat->taper / 2 * length_of(seat);
    const double r = raw->diameter.value / 2;
    seat->r0 = counts_at_upper ? r : r - rise;
    seat->r1 = counts_at_upper ? r + rise : r;
}

static void set_hub(struct part_build *build, size_t i)
{
    struct sw_section *hub = &build->staff->section[i];
    const struct raw_section *raw = build->from[i];
    const struct sw_section *section = build->staff->section;
    hub->r0 = hub->r1 = raw->diameter.value / 2;
    hub->hub_land = length_of(hub);
    if (!raw->underside.given)
        return;
    const bool rests_above = section[i - 1].takes == SW_TAKES_BALANCE;
    const bool rests_below = section[i + 1].takes == SW_TAKES_BALANCE;
    hub->hub_land_is_lower =
        raw->land_at.given ? raw->land_at.value == 1 : rests_below && !rests_above;
    hub->hub_land = raw->land.value;
    const double slope = length_of(hub) - hub->hub_land;
    if (slope <= 0) {
        PART_FAULT(build, "part.hub-land", raw->land.at, NULL,
                   "the land of %s is %s mm, but the whole hub is only %s mm long", hub->name,
                   PART_MM(raw->land.value), PART_MM(length_of(hub)));
        return;
    }
    const double thin = raw->diameter.value / 2 - slope * tan(hub->hub_underside);
    *(hub->hub_land_is_lower ? &hub->r0 : &hub->r1) = thin;
}

/* Sections with sizes of their own. */
static void set_own(struct part_build *build, size_t i)
{
    struct sw_section *section = &build->staff->section[i];
    const struct raw_section *raw = build->from[i];
    switch (section->kind) {
    case SW_SECTION_SEAT:
        set_seat(build, i);
        break;
    case SW_SECTION_HUB:
        set_hub(build, i);
        break;
    case SW_SECTION_TAPER:
        section->r0 = raw->upper_diameter.value / 2;
        section->r1 = raw->lower_diameter.value / 2;
        break;
    case SW_SECTION_PIVOT:
    case SW_SECTION_CYLINDER:
        section->r0 = section->r1 = raw->diameter.value / 2;
        break;
    case SW_SECTION_CONE:
    case SW_SECTION_BACK_SLOPE:
    case SW_SECTION_RIVET:
    case SW_SECTION_GROOVE:
        break;
    }
}

/* Sections whose sizes hang on a neighbour's. */
static void set_from_neighbours(struct part_build *build, size_t i)
{
    struct sw_section *section = &build->staff->section[i];
    const struct sw_section *above = section - 1, *below = section + 1;
    const struct raw_section *raw = build->from[i];
    switch (section->kind) {
    case SW_SECTION_CONE:
        section->r0 = section->points_down ? raw->ridge.value / 2 : above->r1;
        section->r1 = section->points_down ? below->r0 : raw->ridge.value / 2;
        break;
    case SW_SECTION_BACK_SLOPE:
        section->r0 =
            section->points_down ? raw->root.value / 2 : build->from[i - 1]->ridge.value / 2;
        section->r1 =
            section->points_down ? build->from[i + 1]->ridge.value / 2 : raw->root.value / 2;
        break;
    case SW_SECTION_RIVET:
        section->r0 = section->r1 = section->points_down ? above->r1 : below->r0;
        break;
    case SW_SECTION_GROOVE:
        section->r0 = section->r1 = fmin(above->r1, below->r0) - section->groove_depth;
        break;
    case SW_SECTION_PIVOT:
    case SW_SECTION_SEAT:
    case SW_SECTION_HUB:
    case SW_SECTION_CYLINDER:
    case SW_SECTION_TAPER:
        break;
    }
}

void part_set_radii(struct part_build *build)
{
    const size_t n = build->staff->n;
    for (size_t i = 0; i < n; i++)
        set_own(build, i);
    for (size_t i = 1; i + 1 < n; i++)
        set_from_neighbours(build, i);
}
