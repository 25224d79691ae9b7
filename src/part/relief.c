/* Relief grooves: whether one has a shoulder to stand at, fits its section, is deep enough to do
 * its work and no deeper than the staff bears. */
#include "part/raw.h"

#include <math.h>

#include "geom/tol.h"

static bool is_over(double a, double b)
{
    return a > b + SW_TOL_POINT;
}

static double length_of(const struct sw_section *section)
{
    return section->z1 - section->z0;
}

/* Rounded down, so that the depth named as possible is possible. */
static struct part_mm mm_down(double value)
{
    return part_mm(floor(value * 1000 + SW_TOL_POINT) / 1000);
}

/* The section it ends at, towards the core, and that section's radius there. */
static const struct sw_section *stop_of(double *r, const struct sw_section *section)
{
    const struct sw_section *stop = section->is_lower_half ? section - 1 : section + 1;
    *r = section->is_lower_half ? stop->r1 : stop->r0;
    return stop;
}

static bool has_shoulder(struct part_build *build, size_t i)
{
    const struct sw_section *section = &build->staff->section[i];
    const struct sw_span at = build->from[i]->relief.width.at;
    if (i == build->staff->core) {
        PART_FAULT(build, "part.relief", at, "give `corner` to the sections beside it",
                   "%s is the widest section: it has no shoulder for a relief groove",
                   section->name);
        return false;
    }
    double r_stop = 0;
    const struct sw_section *stop = stop_of(&r_stop, section);
    if (stop->kind == SW_SECTION_GROOVE || (stop->kind == SW_SECTION_RIVET && stop->has_recess)) {
        PART_FAULT(build, "part.relief", at, "leave `relief` out there",
                   "the relief groove of %s would lie against %s, which is hollow itself",
                   section->name, stop->name);
        return false;
    }
    if (is_over(r_stop, sw_section_foot(section)))
        return true;
    PART_FAULT(build, "part.relief", at,
               "a relief groove stands where a section meets a thicker one towards the hub",
               "%s is %s mm at its foot and %s beside it %s mm: there is no corner to relieve",
               section->name, PART_MM(2 * sw_section_foot(section)), stop->name,
               PART_MM(2 * r_stop));
    return false;
}

/* Floor between shoulder and flank; both corners of it must hold their fillets. */
static void check_width(struct part_build *build, size_t i)
{
    const struct sw_section *section = &build->staff->section[i];
    const struct raw_relief *raw = &build->from[i]->relief;
    const double run = sw_section_relief_run(section);
    const double bend = acos(-1.0) / 2 - section->relief_flank;
    const double least = run + section->corner * (1 + tan(bend / 2));
    if (!is_over(length_of(section), section->relief_width + section->bevel))
        PART_FAULT(
            build, "part.relief", raw->width.at, NULL,
            "the relief groove of %s is %s mm wide; it has to leave some of the %s mm that are "
            "plain",
            section->name, PART_MM(section->relief_width),
            PART_MM(length_of(section) - section->bevel));
    else if (is_over(least, section->relief_width))
        PART_FAULT(build, "part.relief", raw->width.at,
                   "make it wider, less deep, its flank steeper or its `corner` smaller",
                   "the relief groove of %s is %s mm wide; its flank and fillets take %s mm",
                   section->name, PART_MM(section->relief_width),
                   PART_MM(ceil(least * 1000) / 1000));
}

/* Towards the tip: the first place thinner than its foot. A fillet is left out of it on purpose,
 * so nothing but its diameter can make the groove the weakest place. */
static const struct sw_section *thinner_outside(double *r, const struct sw_staff *staff, size_t i)
{
    const struct sw_section *section = &staff->section[i];
    const double foot = sw_section_foot(section);
    for (size_t k = i; section->is_lower_half ? ++k < staff->n : k-- > 0;) {
        const struct sw_section *is = &staff->section[k];
        const double at_end = section->is_lower_half ? is->r0 : is->r1;
        if (is->kind == SW_SECTION_RIVET && is->has_recess)
            continue; /* what stands inside the recess comes next */
        if (is_over(foot, at_end)) {
            *r = at_end;
            return is;
        }
    }
    return NULL;
}

static void check_depth(struct part_build *build, size_t i)
{
    const struct sw_section *section = &build->staff->section[i];
    const struct raw_relief *raw = &build->from[i]->relief;
    const double floor_r = sw_section_relief_floor(section);
    double r = 0;
    const struct sw_section *thin = thinner_outside(&r, build->staff, i);
    if (thin && is_over(r, floor_r))
        PART_FAULT(
            build, "part.relief", raw->depth.at,
            "a groove thinner than what follows it is where the staff breaks",
            "the relief groove of %s goes down to %s mm, but %s is %s mm; at most %s mm deep",
            section->name, PART_MM(fmax(0, 2 * floor_r)), thin->name, PART_MM(2 * r),
            mm_down(sw_section_foot(section) - r).text);
    if (!is_over(section->relief_depth, section->corner))
        PART_FAULT(build, "part.relief", raw->depth.at,
                   "make it deeper, or give a smaller `corner` in it",
                   "the relief groove of %s is %s mm deep; with fillets of up to %s mm in it, it "
                   "has to be deeper than that",
                   section->name, PART_MM(section->relief_depth), PART_MM(section->corner));
}

void part_check_relief(struct part_build *build, size_t i)
{
    const struct sw_section *section = &build->staff->section[i];
    const struct raw_section *raw = build->from[i];
    if (!section->has_relief)
        return;
    if (raw->corner.given)
        PART_FAULT(build, "part.relief", raw->corner.at,
                   "leave `corner` out, or write it inside `relief`",
                   "%s has a relief groove, which leaves no corner to fill", section->name);
    if (!has_shoulder(build, i))
        return;
    check_width(build, i);
    check_depth(build, i);
}

/* What lies over the groove bears on nothing. */
static void check_part(struct part_build *build, size_t i, enum sw_reading_kind thickness,
                       const char *part)
{
    const struct sw_section *seat = &build->staff->section[i];
    const struct sw_parts_read *parts = build->staff->parts;
    for (size_t k = 0; k < parts->n; k++) {
        const struct sw_reading *reading = &parts->reading[k];
        if (reading->kind != thickness || is_over(reading->value, seat->relief_width))
            continue;
        build->is_misfit = true;
        sw_diag_add(build->ctx->diag, SW_ERROR, "part.relief-fit", build->from[i]->relief.width.at,
                    "most of what a part bears on has to lie beside the groove",
                    "the relief groove of %s is %s mm wide, but the %s only %s mm thick: nothing "
                    "would hold it",
                    seat->name, PART_MM(seat->relief_width), part, PART_MM(reading->value));
    }
}

void part_check_relief_fit(struct part_build *build)
{
    for (size_t i = 0; build->staff->parts && i < build->staff->n; i++) {
        if (!build->staff->section[i].has_relief)
            continue;
        switch (build->staff->section[i].takes) {
        case SW_TAKES_COLLET:
            check_part(build, i, SW_READ_COLLET_HEIGHT, "collet");
            break;
        case SW_TAKES_BALANCE:
            check_part(build, i, SW_READ_ARM_THICKNESS, "balance arm");
            break;
        case SW_TAKES_ROLLER:
            check_part(build, i, SW_READ_ROLLER_THICKNESS, "roller");
            break;
        case SW_TAKES_SAFETY_ROLLER:
            check_part(build, i, SW_READ_SAFETY_THICKNESS, "safety roller");
            break;
        case SW_TAKES_NOTHING:
            break;
        }
    }
}
