#include "part/raw.h"

#include <math.h>

#include "geom/tol.h"

/* Side shake of balance pivots in fine watches [mm]: Kleinlein 1920, sec. 25. */
static const double least_shake = 0.0075;
static const double most_shake = 0.0125;
/* End shake of a balance staff in fine watches [mm]: the same. */
static const double least_end_shake = 0.02;
static const double most_end_shake = 0.03;
/* The straight part of a pivot should pass through its hole and this much further before the cone
 * begins [mm]: common practice, no source. */
static const double cone_margin = 0.02;

static void check_shake(struct part_build *build, const struct sw_section *pivot,
                        const struct raw_jewel *jewel)
{
    const double diameter = 2 * pivot->r0;
    const double shake = jewel->hole.value - diameter;
    if (shake < SW_TOL_POINT) {
        build->is_misfit = true;
        sw_diag_add(build->ctx->diag, SW_ERROR, "part.pivot-hole", jewel->hole.at,
                    "a pivot is 0.0075 to 0.0125 mm smaller than its hole",
                    "%s is %s mm and does not run in a hole of %s mm", pivot->name,
                    PART_MM(diameter), PART_MM(jewel->hole.value));
    } else if (shake < least_shake - SW_TOL_POINT || shake > most_shake + SW_TOL_POINT) {
        sw_diag_add(build->ctx->diag, SW_WARNING, "part.side-shake", jewel->hole.at, NULL,
                    "%s has %s mm side shake in its hole; 0.0075 to 0.0125 mm is right for a "
                    "balance (Kleinlein 1920, sec. 25)",
                    pivot->name, PART_MM(shake));
    }
}

static void check_cone(struct part_build *build, const struct sw_section *pivot,
                       const struct sw_section *beside, const struct raw_jewel *jewel)
{
    const double straight = pivot->z1 - pivot->z0;
    const double thickness = jewel->thickness.value;
    if (beside->kind != SW_SECTION_CONE)
        return;
    if (straight < thickness - SW_TOL_POINT) {
        build->is_misfit = true;
        sw_diag_add(build->ctx->diag, SW_ERROR, "part.cone-touches-jewel", jewel->thickness.at,
                    "the pivot is measured from its tip to where the cone begins",
                    "%s is %s mm long, but its jewel is %s mm thick: the cone touches the jewel",
                    pivot->name, PART_MM(straight), PART_MM(thickness));
    } else if (straight < thickness + cone_margin - SW_TOL_POINT) {
        sw_diag_add(build->ctx->diag, SW_WARNING, "part.cone-near-jewel", jewel->thickness.at,
                    "0.02 mm and the endstone's distance from the hole should remain",
                    "%s is only %s mm longer than its jewel is thick", pivot->name,
                    PART_MM(straight - thickness));
    }
}

static void check_end_shake(struct part_build *build, const struct sw_number *between)
{
    const double shake = between->value - build->staff->total;
    if (shake < SW_TOL_POINT) {
        build->is_misfit = true;
        sw_diag_add(build->ctx->diag, SW_ERROR, "part.no-end-shake", between->at,
                    "a staff is 0.02 to 0.03 mm shorter than the distance of its endstones",
                    "the staff is %s mm long and does not go between endstones %s mm apart",
                    PART_MM(build->staff->total), PART_MM(between->value));
    } else if (shake < least_end_shake - SW_TOL_POINT || shake > most_end_shake + SW_TOL_POINT) {
        sw_diag_add(build->ctx->diag, SW_WARNING, "part.end-shake", between->at, NULL,
                    "the staff has %s mm end shake; 0.02 to 0.03 mm is right for a balance "
                    "(Kleinlein 1920, sec. 25)",
                    PART_MM(shake));
    }
}

void part_check_fit(struct part_build *build)
{
    const struct sw_staff *staff = build->staff;
    const struct raw_jewel *jewel[2] = {&build->raw->jewels.upper, &build->raw->jewels.lower};
    const size_t pivot[2] = {0, staff->n - 1};
    const size_t beside[2] = {1, staff->n - 2};
    for (int i = 0; i < 2; i++) {
        if (!staff->jewel[i].given)
            continue;
        check_shake(build, &staff->section[pivot[i]], jewel[i]);
        check_cone(build, &staff->section[pivot[i]], &staff->section[beside[i]], jewel[i]);
    }
    if (build->raw->jewels.between_endstones.given)
        check_end_shake(build, &build->raw->jewels.between_endstones);
    part_check_relief_fit(build);
}

enum size_kind { TOTAL, PIVOT, STRAIGHT, CONE, COLLET, BALANCE, HUB, ROLLER, HUB_LENGTH, N_SIZES };

/* Sizes that would not surprise a bench hand, by kind of watch [mm]. Common practice, no source. */
struct usual {
    double least[N_SIZES];
    double most[N_SIZES];
};

static const struct usual usual_sizes[] = {
    /* small wrist watch */
    {{2.0, 0.06, 0.13, 0.15, 0.40, 0.55, 0.90, 0.28, 0.25},
     {3.2, 0.08, 0.20, 0.30, 0.60, 0.80, 1.20, 0.40, 0.45}},
    /* large wrist watch */
    {{2.8, 0.08, 0.18, 0.20, 0.55, 0.75, 1.10, 0.36, 0.35},
     {4.2, 0.11, 0.28, 0.40, 0.85, 1.10, 1.60, 0.52, 0.60}},
    /* pocket watches, small to large */
    {{4.0, 0.10, 0.20, 0.30, 0.70, 0.95, 1.50, 0.45, 0.50},
     {5.2, 0.12, 0.30, 0.45, 0.95, 1.25, 1.90, 0.60, 0.80}},
    {{4.5, 0.11, 0.22, 0.30, 0.75, 1.00, 1.50, 0.48, 0.50},
     {6.2, 0.13, 0.32, 0.50, 1.05, 1.35, 2.00, 0.65, 0.80}},
    {{5.5, 0.12, 0.25, 0.35, 0.85, 1.15, 1.70, 0.55, 0.60},
     {8.0, 0.16, 0.40, 0.60, 1.20, 1.50, 2.30, 0.75, 1.00}},
    /* carriage clock platform */
    {{6.0, 0.12, 0.30, 0.40, 1.00, 1.30, 2.00, 0.70, 0.70},
     {10., 0.22, 0.50, 0.80, 1.50, 2.00, 3.00, 1.10, 1.20}},
};

enum { N_USUAL = sizeof usual_sizes / sizeof *usual_sizes };

/* The span of a size over all kinds of watch with such a total length; false when there is none. */
static bool usual_span(double *least, double *most, enum size_kind kind, double total)
{
    bool found = false;
    for (int i = 0; i < N_USUAL; i++) {
        const struct usual *usual = &usual_sizes[i];
        if (total < usual->least[TOTAL] || total > usual->most[TOTAL])
            continue;
        *least = found ? fmin(*least, usual->least[kind]) : usual->least[kind];
        *most = found ? fmax(*most, usual->most[kind]) : usual->most[kind];
        found = true;
    }
    return found;
}

static void check_one(struct part_build *build, enum size_kind kind, const char *name,
                      const char *what, double size, struct sw_span at)
{
    const double total = build->staff->total;
    double least = 0, most = 0;
    if (!usual_span(&least, &most, kind, total) ||
        (size >= least - SW_TOL_POINT && size <= most + SW_TOL_POINT))
        return;
    sw_diag_add(build->ctx->diag, SW_WARNING, "part.unusual", at, NULL,
                "%s %s of %s mm is unusual in the trade for a staff of %s mm: %s to %s mm (common "
                "practice, no source)",
                name, what, PART_MM(size), PART_MM(total), PART_MM(least), PART_MM(most));
}

static void check_seat(struct part_build *build, size_t i)
{
    const struct sw_section *seat = &build->staff->section[i];
    const struct sw_span at = build->from[i]->diameter.at;
    const double thick = 2 * fmax(seat->r0, seat->r1);
    if (seat->takes == SW_TAKES_COLLET)
        check_one(build, COLLET, seat->name, "diameter", thick, at);
    else if (seat->takes == SW_TAKES_BALANCE)
        check_one(build, BALANCE, seat->name, "diameter", thick, at);
    else if (seat->takes == SW_TAKES_ROLLER)
        check_one(build, ROLLER, seat->name, "diameter", thick, at);
}

void part_check_usual(struct part_build *build)
{
    const struct sw_staff *staff = build->staff;
    double least = usual_sizes[0].least[TOTAL], most = usual_sizes[N_USUAL - 1].most[TOTAL];
    if (staff->total < least || staff->total > most)
        sw_diag_add(build->ctx->diag, SW_WARNING, "part.unusual", build->raw->total.length.at, NULL,
                    "a total length of %s mm is unusual in the trade: %s to %s mm (common "
                    "practice, no source)",
                    PART_MM(staff->total), PART_MM(least), PART_MM(most));
    for (size_t i = 0; i < staff->n; i++) {
        const struct sw_section *section = &staff->section[i];
        const struct raw_section *raw = build->from[i];
        const struct sw_span length_at = part_place(section, raw->length);
        const double length = section->z1 - section->z0;
        if (section->kind == SW_SECTION_PIVOT) {
            check_one(build, PIVOT, section->name, "diameter", 2 * section->r0, raw->diameter.at);
            check_one(build, STRAIGHT, section->name, "length", length, length_at);
        } else if (section->kind == SW_SECTION_CONE) {
            check_one(build, CONE, section->name, "length", length, length_at);
        } else if (section->kind == SW_SECTION_HUB) {
            check_one(build, HUB, section->name, "diameter", raw->diameter.value, raw->diameter.at);
            check_one(build, HUB_LENGTH, section->name, "length", length, length_at);
        } else if (section->kind == SW_SECTION_SEAT) {
            check_seat(build, i);
        }
    }
}
