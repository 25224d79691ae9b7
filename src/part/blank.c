/* What a blank keeps and leaves. */
#include "part/blank.h"

#include <math.h>

/* A stout end is thinner than what stands behind it by this on radius at least, so that a face is
 * left for the finish to come down on [mm]; common practice, no source. */
static const double least_step = 0.035;
/* A stout end without a cone, over the pivot that it becomes, as a share of what stands behind it:
 * thin ends warp in the fire; common practice, no source. */
static const double stout_share = 0.6;
/* What is left thick has no smaller steps on the diameter: a tool would have no room for its nose
 * in their corners [mm]. */
static const double least_rise = 0.1;
/* Growth that nobody can foretell may take this share of a tolerance; turning needs the rest. */
static const double growth_share = 0.5;

bool sw_blank_datum_is_lower(const struct sw_staff *staff)
{
    const struct sw_section *core = &staff->section[staff->core];
    if (core->kind == SW_SECTION_HUB && core->hub_underside > 0)
        return core->hub_land_is_lower;
    const bool rests_above = staff->core > 0 && core[-1].takes == SW_TAKES_BALANCE;
    const bool rests_below = staff->core + 1 < staff->n && core[1].takes == SW_TAKES_BALANCE;
    return rests_below && !rests_above;
}

double sw_blank_datum(const struct sw_staff *staff, bool is_lower)
{
    const struct sw_section *core = &staff->section[staff->core];
    return is_lower ? core->z1 : core->z0;
}

double sw_blank_corner(const struct sw_staff *staff, const struct sw_section *section)
{
    const size_t beside = section->is_lower_half ? section->index - 1 : section->index + 1;
    const bool has_recess =
        section->index != staff->core && beside < staff->n && staff->section[beside].has_recess;
    return has_recess ? SW_BLANK_CORNER : fmin(section->corner, SW_BLANK_CORNER);
}

double sw_blank_unsure(const struct sw_staff *staff, const struct sw_blank_how *how,
                       double distance)
{
    const struct sw_section *core = &staff->section[staff->core];
    return (how->grown_most - how->grown_least) / 2 * (fabs(distance) + core->z1 - core->z0);
}

static double widest(const struct sw_section *is)
{
    return 2 * fmax(is->r0, is->r1);
}

/* The radius at which the outer end of a section leaves a face: its bevel or edge is off it. */
static double end_radius(const struct sw_section *is)
{
    const double r = is->is_lower_half ? is->r1 : is->r0;
    return r - fmax(is->bevel, is->edge);
}

static bool is_end(enum sw_section_kind kind)
{
    return kind == SW_SECTION_PIVOT || kind == SW_SECTION_CONE || kind == SW_SECTION_BACK_SLOPE;
}

static bool is_roller(const struct sw_section *is)
{
    return is->takes == SW_TAKES_ROLLER || is->takes == SW_TAKES_SAFETY_ROLLER;
}

/* One side, its sections counted from the tip. */
struct side {
    const struct sw_staff *staff;
    const struct sw_blank_how *how;
    struct sw_blank_form *form;
    bool is_lower;
    const struct sw_section
        *unknown;  /* left thick because growth is known too badly for its face */
    double unsure; /* [mm] */
    size_t n;      /* sections between tip and core */
    size_t n_end;  /* of them the end */
};

static size_t nth(const struct side *side, size_t k)
{
    return side->is_lower ? side->staff->n - 1 - k : k;
}

static const struct sw_section *section_of(const struct side *side, size_t k)
{
    return &side->staff->section[nth(side, k)];
}

static bool is_cut_side(const struct side *side)
{
    return side->is_lower != side->form->datum_is_lower;
}

/* How many sections from the tip on are left thick by what they are. */
static size_t count_by_kind(const struct side *side)
{
    const struct sw_section *core = &side->staff->section[side->staff->core];
    if (is_cut_side(side) && core->hub_underside > 0)
        return side->n;
    size_t n = side->n_end;
    for (size_t k = 0; k < side->n; k++)
        if (is_roller(section_of(side, k)))
            n = k + 1;
    return n;
}

static double thickness(const struct side *side, size_t k)
{
    return widest(section_of(side, k)) + side->how->allowance;
}

/* Of the end; INNER: what stands behind it. */
static double end_thickness(const struct side *side, const struct sw_section *inner)
{
    double most = 0;
    for (size_t k = 0; k < side->n_end; k++)
        most = fmax(most, thickness(side, k));
    return side->n_end > 1 ? most : fmax(most, stout_share * 2 * end_radius(inner));
}

/* The narrower half of a section's band on radius [mm]. */
static double radial_room(const struct sw_section *is)
{
    return (is->diameter_tolerance.upper - is->diameter_tolerance.lower) / 4;
}

/* Whether the outer face of a section that is kept is known as well as its radius has to be: the
 * finish comes down on it at its own place, while the rest of it stands where growth has put it. */
static bool is_known(double *unsure, const struct side *side, const struct sw_section *inner)
{
    const double z = side->is_lower ? inner->z1 : inner->z0;
    const double datum = sw_blank_datum(side->staff, side->form->datum_is_lower);
    *unsure = sw_blank_unsure(side->staff, side->how, z - datum);
    return *unsure <= growth_share * radial_room(inner);
}

/* A rivet or groove and the section it belongs to are cut in one. */
static bool joins_inwards(const struct sw_section *is)
{
    return is->kind == SW_SECTION_RIVET || is->kind == SW_SECTION_GROOVE;
}

static enum sw_status refuse_end(const struct sw_section *inner, double diameter,
                                 struct sw_ctx *ctx)
{
    sw_diag_add(ctx->diag, SW_ERROR, "blank.no-face", inner->at,
                "a smaller `allowance`, or hard rod and no `harden`",
                "the %s cannot be finished before hardening: what is left thick in front of it, "
                "%.3f mm, leaves no face of it to come down on",
                inner->name, diameter);
    return SW_CANNOT;
}

static enum sw_status refuse_growth(const struct sw_section *is, const struct sw_blank_how *how,
                                    const char *what, double unsure, double room,
                                    struct sw_ctx *ctx)
{
    const double now = how->grown_most - how->grown_least;
    const char *hint = sw_arena_printf(
        ctx->arena,
        "measure a hardened blank and narrow `growth`: %.3f %% between least and most would do",
        floor(1e5 * now * room / unsure) / 1e3);
    if (!hint)
        return SW_MEMORY;
    sw_diag_add(
        ctx->diag, SW_ERROR, "blank.growth", how->at, hint,
        "growth is known no better than %.3f %%: the %s of the %s may come out %.2f um off, "
        "and not all of it is cut after hardening; %.2f um of its tolerance are there for it",
        100 * now, what, is->name, 1000 * unsure, 1000 * room);
    return SW_CANNOT;
}

/* Whether section K stays as it is behind what is left thick, DIAMETER. REFUSAL: it cannot, and
 * cannot be left thick itself. */
static bool stays(enum sw_status *refusal, struct side *side, size_t k, double diameter,
                  struct sw_ctx *ctx)
{
    const bool is_core = k == side->n;
    const struct sw_section *inner = section_of(side, k);
    double unsure = 0;
    const bool has_face = diameter / 2 < end_radius(inner) - least_step;
    /* The core's cut face is cut whole: it need not be known. */
    const bool known = (is_core && is_cut_side(side)) || is_known(&unsure, side, inner);
    const bool joins = k > side->n_end && joins_inwards(section_of(side, k - 1));
    const bool must =
        is_core || inner->takes == SW_TAKES_BALANCE || inner->kind == SW_SECTION_RIVET;
    if (has_face && known && !joins)
        return true;
    if (has_face && !known && !side->unknown) {
        side->unknown = inner;
        side->unsure = unsure;
    }
    if (must && side->unknown)
        *refusal = refuse_growth(side->unknown, side->how, "outer face", side->unsure,
                                 growth_share * radial_room(side->unknown), ctx);
    else if (must)
        *refusal = refuse_end(inner, diameter, ctx);
    return false;
}

/* Section K is left thick, too; of what is left further out, DIAMETER, it is no little step. */
static double take_in(const struct side *side, size_t k, double diameter)
{
    const double own = thickness(side, k), rises = own - diameter;
    for (size_t i = 0; i < k && rises > 0 && rises < least_rise; i++)
        if (side->form->diameter[nth(side, i)] == diameter)
            side->form->diameter[nth(side, i)] = own;
    side->form->diameter[nth(side, k)] = fmax(own, diameter);
    return fmax(own, diameter);
}

static enum sw_status form_side(struct side *side, struct sw_ctx *ctx)
{
    struct sw_blank_form *form = side->form;
    while (side->n_end < side->n && is_end(section_of(side, side->n_end)->kind))
        side->n_end++;
    size_t n = count_by_kind(side);
    double diameter = end_thickness(side, section_of(side, side->n_end));
    for (size_t k = 0; k < side->n_end; k++)
        form->diameter[nth(side, k)] = diameter;
    for (size_t k = side->n_end; k <= side->n; k++) {
        enum sw_status refusal = SW_OK;
        const bool is_kept = k >= n && stays(&refusal, side, k, diameter, ctx);
        SW_TRY(refusal);
        if (is_kept)
            break;
        diameter = take_in(side, k, diameter);
        n = k + 1 > n ? k + 1 : n;
    }
    for (size_t k = 0; k < n; k++)
        form->leaves[nth(side, k)] = true;
    if (is_cut_side(side) && n == side->n)
        form->core_is_cut = true;
    *(side->is_lower ? &form->n_lower : &form->n_upper) = side->n_end;
    return SW_OK;
}

/* Radius of what stands for a section at one of its ends. */
static double stands(const struct sw_staff *staff, const struct sw_blank_form *form, size_t i,
                     bool is_lower_end)
{
    const struct sw_section *is = &staff->section[i];
    if (form->leaves[i])
        return form->diameter[i] / 2;
    /* the core's land runs through */
    return i == staff->core ? fmax(is->r0, is->r1) : is_lower_end ? is->r1 : is->r0;
}

/* A border moves away from the thicker section where its face is cut once more: a share of the
 * allowance stays on it, or half of what a short neighbour has. What ends what is finished stays.
 */
static void place_borders(struct sw_blank_form *form, const struct sw_staff *staff,
                          const struct sw_blank_how *how)
{
    const struct sw_section *section = staff->section;
    const size_t n = staff->n;
    form->z[0] = section[0].z0 - how->allowance - how->upper_long;
    form->z[n] = section[n - 1].z1 + how->allowance + how->lower_long;
    for (size_t k = 1; k < n; k++) {
        const double above = stands(staff, form, k - 1, true);
        const double below = stands(staff, form, k, false);
        const bool is_above_thicker = above > below;
        const size_t thicker = is_above_thicker ? k - 1 : k, thinner = is_above_thicker ? k : k - 1;
        const bool is_cut_core =
            thicker == staff->core && form->core_is_cut && is_above_thicker != form->datum_is_lower;
        const double most = (section[thinner].z1 - section[thinner].z0) / 2;
        const double face = above == below || !(form->leaves[thicker] || is_cut_core)
                                ? 0
                                : fmin(SW_BLANK_FACE_SHARE * how->allowance, most);
        form->z[k] = section[k].z0 + (is_above_thicker ? face : -face);
    }
}

enum sw_status sw_blank_form(struct sw_blank_form *out, const struct sw_staff *staff,
                             const struct sw_blank_how *how, struct sw_ctx *ctx)
{
    *out = (struct sw_blank_form){.leaves = SW_NEW(ctx->arena, bool, staff->n),
                                  .diameter = SW_NEW(ctx->arena, double, staff->n),
                                  .z = SW_NEW(ctx->arena, double, staff->n + 1),
                                  .datum_is_lower = sw_blank_datum_is_lower(staff)};
    if (!out->leaves || !out->diameter || !out->z)
        return SW_MEMORY;
    struct side upper = {
        .staff = staff, .how = how, .form = out, .is_lower = false, .n = staff->core};
    struct side lower = {
        .staff = staff, .how = how, .form = out, .is_lower = true, .n = staff->n - 1 - staff->core};
    SW_TRY(form_side(&upper, ctx));
    SW_TRY(form_side(&lower, ctx));
    place_borders(out, staff, how);
    return SW_OK;
}

enum sw_status sw_blank_check(const struct sw_staff *staff, const struct sw_blank_form *form,
                              const struct sw_blank_how *how, struct sw_ctx *ctx)
{
    const double half = (how->grown_most - how->grown_least) / 2;
    const double datum = sw_blank_datum(staff, form->datum_is_lower);
    enum sw_status status = SW_OK;
    for (size_t i = 0; i < staff->n; i++) {
        const struct sw_section *is = &staff->section[i];
        if (form->leaves[i])
            continue;
        const double off = half * widest(is) / 2, room = growth_share * radial_room(is);
        if (off > room) {
            SW_TRY(refuse_growth(is, how, "radius", off, room, ctx) == SW_MEMORY ? SW_MEMORY
                                                                                 : SW_OK);
            status = SW_CANNOT;
        }
        const double far = fmax(fabs(is->z0 - datum), fabs(is->z1 - datum));
        const double along = sw_blank_unsure(staff, how, far);
        const double length =
            growth_share * (is->length_tolerance.upper - is->length_tolerance.lower) / 2;
        if (along > length) {
            SW_TRY(refuse_growth(is, how, "place", along, length, ctx) == SW_MEMORY ? SW_MEMORY
                                                                                    : SW_OK);
            status = SW_CANNOT;
        }
    }
    return status;
}
