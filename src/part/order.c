#include "part/raw.h"

#include <string.h>

static const char *kind_name(enum sw_section_kind kind)
{
    static const char *const names[] = {"pivot", "cone",     "back slope", "seat",  "rivet",
                                        "hub",   "cylinder", "taper",      "groove"};
    return names[kind];
}

static const char *base_name(const struct sw_section *section)
{
    switch (section->takes) {
    case SW_TAKES_COLLET:
        return "collet seat";
    case SW_TAKES_BALANCE:
        return "balance seat";
    case SW_TAKES_ROLLER:
        return "roller seat";
    case SW_TAKES_SAFETY_ROLLER:
        return "safety roller seat";
    case SW_TAKES_NOTHING:
        break;
    }
    return kind_name(section->kind);
}

static bool has_given_name(const struct part_build *build, size_t i)
{
    return build->from[i]->name.value != NULL;
}

static bool shares_base(const struct part_build *build, size_t i, size_t k)
{
    return !has_given_name(build, k) &&
           strcmp(base_name(&build->staff->section[i]), base_name(&build->staff->section[k])) == 0;
}

/* "hub", "upper cone", "upper cylinder 2": no more than tells it apart. Pivots, cones and back
 * slopes always say their half: a staff with one of them unnamed still has two. */
static const char *made_name(const struct part_build *build, size_t i)
{
    const struct sw_section *section = &build->staff->section[i];
    size_t n_all = 0, n_half = 0, n_before = 0;
    for (size_t k = 0; k < build->staff->n; k++) {
        const bool same = shares_base(build, i, k);
        const bool half = same && build->staff->section[k].is_lower_half == section->is_lower_half;
        n_all += same;
        n_half += half;
        n_before += half && k < i;
    }
    const char *base = base_name(section);
    const char *half = section->is_lower_half ? "lower " : "upper ";
    if (n_all == 1 && section->kind > SW_SECTION_BACK_SLOPE)
        half = "";
    return n_half == 1 ? sw_arena_printf(build->ctx->arena, "%s%s", half, base)
                       : sw_arena_printf(build->ctx->arena, "%s%s %zu", half, base, n_before + 1);
}

enum sw_status part_name_sections(struct part_build *build)
{
    struct sw_section *section = build->staff->section;
    for (size_t i = 0; i < build->staff->n; i++) {
        const char *given = build->from[i]->name.value;
        section[i].name = given ? given : made_name(build, i);
        if (!section[i].name)
            return SW_MEMORY;
        for (size_t k = 0; k < i; k++) {
            if (strcmp(section[i].name, section[k].name) != 0)
                continue;
            const struct sw_text *name = &build->from[i]->name;
            PART_FAULT(build, "part.same-name", name->given ? name->at : section[i].at,
                       "give each section a name of its own", "two sections are called `%s`",
                       section[i].name);
            break;
        }
    }
    return SW_OK;
}

static void check_pivots(struct part_build *build)
{
    const struct sw_section *section = build->staff->section;
    const size_t last = build->staff->n - 1;
    if (section[0].kind != SW_SECTION_PIVOT)
        PART_FAULT(build, "part.no-pivot", section[0].at, "begin the list with `- pivot: {...}`",
                   "the first section is a %s; a staff begins with its upper pivot",
                   kind_name(section[0].kind));
    if (section[last].kind != SW_SECTION_PIVOT)
        PART_FAULT(build, "part.no-pivot", section[last].at, "end the list with `- pivot: {...}`",
                   "the last section is a %s; a staff ends with its lower pivot",
                   kind_name(section[last].kind));
    for (size_t i = 1; i < last; i++)
        if (section[i].kind == SW_SECTION_PIVOT)
            PART_FAULT(build, "part.pivot-inside", section[i].at,
                       "a thin cylinder inside a staff is a `cylinder`",
                       "%s stands inside the staff; only the first and the last section are pivots",
                       section[i].name);
}

static void check_cone(struct part_build *build, size_t i)
{
    const struct sw_section *section = build->staff->section;
    const size_t n = build->staff->n;
    if (i != 1 && i != n - 2)
        PART_FAULT(build, "part.cone-alone", section[i].at, "a cone inside a staff is a `taper`",
                   "%s is not beside a pivot; a cone joins a pivot to its ridge", section[i].name);
    else if (n == 3)
        PART_FAULT(build, "part.no-body", section[i].at, NULL,
                   "%s has a pivot on both sides; a staff has a body between its cones",
                   section[i].name);
}

static void check_back_slope(struct part_build *build, size_t i)
{
    const struct sw_section *section = build->staff->section;
    const size_t n = build->staff->n;
    const bool after_upper = i == 2 && section[1].kind == SW_SECTION_CONE;
    const bool before_lower = i + 3 == n && section[n - 2].kind == SW_SECTION_CONE;
    if (!after_upper && !before_lower)
        PART_FAULT(build, "part.slope-alone", section[i].at, "a slope elsewhere is a `taper`",
                   "%s is not beside a cone; a back slope falls from a cone's ridge",
                   section[i].name);
    else if ((after_upper && before_lower) ||
             section[after_upper ? i + 1 : i - 1].kind == SW_SECTION_BACK_SLOPE)
        PART_FAULT(build, "part.no-body", section[i].at, NULL,
                   "%s has no shoulder to fall to; a staff has a body between its back slopes",
                   section[i].name);
}

/* The seat a rivet is the end of: the one that takes the balance, otherwise the one towards the
 * core; n when there is none. */
static size_t rivet_seat(const struct sw_staff *staff, size_t i)
{
    const struct sw_section *section = staff->section;
    const size_t beside[2] = {i > staff->core ? i - 1 : i + 1, i > staff->core ? i + 1 : i - 1};
    size_t found = staff->n;
    for (int k = 0; k < 2; k++) {
        if (beside[k] >= staff->n || section[beside[k]].kind != SW_SECTION_SEAT)
            continue;
        if (section[beside[k]].takes == SW_TAKES_BALANCE)
            return beside[k];
        if (found == staff->n)
            found = beside[k];
    }
    return found;
}

/* Takes over from its seat what a rivet does not say itself. */
static void set_rivet(struct part_build *build, size_t i)
{
    struct sw_section *rivet = &build->staff->section[i];
    const struct raw_section *raw = build->from[i];
    const size_t at = rivet_seat(build->staff, i);
    if (at == build->staff->n) {
        PART_FAULT(build, "part.rivet-alone", rivet->at,
                   "put it beside the seat that takes the balance",
                   "%s is not beside a seat; a rivet is the end of the balance seat", rivet->name);
        return;
    }
    const struct sw_section *seat = &build->staff->section[at];
    rivet->points_down = at < i;
    if (!raw->tolerance.given)
        rivet->diameter_tolerance = seat->diameter_tolerance;
    if (!raw->finish.given && !raw->take.given) {
        rivet->finish = seat->finish;
        rivet->take = seat->take;
    }
}

static void check_groove(struct part_build *build, size_t i)
{
    const struct sw_section *section = build->staff->section;
    for (size_t k = i - 1; k <= i + 1; k += 2)
        if (section[k].kind == SW_SECTION_GROOVE || section[k].kind == SW_SECTION_CONE ||
            section[k].kind == SW_SECTION_BACK_SLOPE || section[k].kind == SW_SECTION_RIVET) {
            PART_FAULT(build, "part.groove-beside", section[i].at,
                       "put it inside a seat, a cylinder, a taper or beside the hub",
                       "%s cannot stand beside a %s", section[i].name, kind_name(section[k].kind));
            return;
        }
}

void part_check_order(struct part_build *build)
{
    struct sw_section *section = build->staff->section;
    const size_t n = build->staff->n;
    check_pivots(build);
    section[n - 1].points_down = true;
    for (size_t i = 1; i + 1 < n; i++) {
        switch (section[i].kind) {
        case SW_SECTION_CONE:
            check_cone(build, i);
            section[i].points_down = i == n - 2;
            break;
        case SW_SECTION_BACK_SLOPE:
            check_back_slope(build, i);
            section[i].points_down = i + 3 == n;
            break;
        case SW_SECTION_RIVET:
            set_rivet(build, i);
            break;
        case SW_SECTION_GROOVE:
            check_groove(build, i);
            break;
        case SW_SECTION_PIVOT:
        case SW_SECTION_SEAT:
        case SW_SECTION_HUB:
        case SW_SECTION_CYLINDER:
        case SW_SECTION_TAPER:
            break;
        }
    }
}
