#include "part/staff.h"

#include <math.h>
#include <string.h>

#include "part/raw.h"

/* Largest fillets where a part sits down, and where nothing does: common practice, no source. */
static const double corner_under_part = 0.02;
static const double corner_elsewhere = 0.03;
/* Tip forms: within the 0.1 to 0.3 diameters of common practice; a flat end only loses its corner.
 */
static const double dome_share = 0.2;
static const double tip_corner_share = 0.1;

struct part_mm part_mm(double value)
{
    enum { PLACES = 6 };
    struct part_mm mm;
    sw_num_format(mm.text, value, PLACES);
    if (!strchr(mm.text, '.'))
        return mm;
    size_t n = strlen(mm.text);
    while (n > 0 && mm.text[n - 1] == '0')
        mm.text[--n] = '\0';
    if (n > 0 && mm.text[n - 1] == '.')
        mm.text[--n] = '\0';
    return mm;
}

struct sw_span part_place(const struct sw_section *section, struct sw_number number)
{
    return number.given ? number.at : section->at;
}

static char lower_case(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

static bool has_word(const char *text, const char *word)
{
    for (; *text; text++) {
        size_t n = 0;
        while (word[n] && lower_case(text[n]) == word[n])
            n++;
        if (!word[n])
            return true;
    }
    return false;
}

static enum sw_takes guess_takes(const char *name)
{
    if (!name)
        return SW_TAKES_NOTHING;
    if (has_word(name, "collet") || has_word(name, "hairspring"))
        return SW_TAKES_COLLET;
    if (has_word(name, "balance"))
        return SW_TAKES_BALANCE;
    if (has_word(name, "safety"))
        return SW_TAKES_SAFETY_ROLLER;
    return has_word(name, "roller") ? SW_TAKES_ROLLER : SW_TAKES_NOTHING;
}

static bool has_finish(enum sw_section_kind kind)
{
    return kind != SW_SECTION_CONE && kind != SW_SECTION_BACK_SLOPE && kind != SW_SECTION_GROOVE;
}

static void set_pivot(struct sw_section *section, const struct raw_section *raw,
                      struct part_build *build)
{
    const double diameter = raw->diameter.value;
    section->tip = raw->tip.value == 1 ? SW_TIP_FLAT : SW_TIP_DOME;
    if (section->tip == SW_TIP_DOME) {
        section->dome_height =
            raw->dome_height.given ? raw->dome_height.value : dome_share * diameter;
        if (raw->tip_corner.given)
            PART_FAULT(build, "part.tip", raw->tip_corner.at, "`tip_corner` goes with `tip: flat`",
                       "%s has a dome; it has no corner to round", section->name);
    } else {
        section->tip_corner =
            raw->tip_corner.given ? raw->tip_corner.value : tip_corner_share * diameter;
        if (raw->dome_height.given)
            PART_FAULT(build, "part.tip", raw->dome_height.at,
                       "`dome_height` goes with `tip: dome`", "%s has a flat end; it has no dome",
                       section->name);
    }
}

static void set_cone(struct sw_section *section, const struct raw_section *raw,
                     struct part_build *build)
{
    section->cone = (enum sw_cone_form)raw->form.value;
    section->cone_radius = raw->radius.value;
    if (section->cone == SW_CONE_RADIUS && !raw->radius.given)
        PART_FAULT(build, "part.cone-radius", raw->form.at, NULL,
                   "%s is an arc of a given radius; its `radius` is missing", section->name);
    if (section->cone != SW_CONE_RADIUS && raw->radius.given)
        PART_FAULT(build, "part.cone-radius", raw->radius.at, "`radius` goes with `form: radius`",
                   "the form of %s leaves no choice of radius", section->name);
}

static void set_hub(struct sw_section *section, const struct raw_section *raw,
                    struct part_build *build)
{
    section->hub_underside = raw->underside.value;
    if (raw->land.given != raw->underside.given)
        PART_FAULT(build, "part.hub-land", section->at,
                   raw->land.given ? "give `underside` too, or leave `land` out"
                                   : "give `land` too, the length of its cylinder",
                   raw->land.given ? "%s has a `land` but no `underside`: a plain hub is all land"
                                   : "%s has an `underside` but no `land`",
                   section->name);
}

/* What does not depend on the neighbours. */
static void set_section(struct sw_section *section, const struct raw_section *raw,
                        struct part_build *build)
{
    const struct raw_staff *staff = build->raw;
    section->diameter_tolerance = raw->tolerance.given ? raw->tolerance : staff->tolerance.diameter;
    section->length_tolerance =
        raw->length_tolerance.given ? raw->length_tolerance : staff->tolerance.length;
    const int finish = raw->finish.given ? raw->finish.value : staff->finish.value;
    section->finish = has_finish(section->kind) ? (enum sw_finish)finish : SW_FINISH_TURNED;
    section->take = raw->take.given ? raw->take.value : -1;
    const bool sits = section->takes == SW_TAKES_BALANCE || section->takes == SW_TAKES_ROLLER ||
                      section->takes == SW_TAKES_SAFETY_ROLLER;
    section->corner = raw->corner.given ? raw->corner.value
                      : sits            ? corner_under_part
                                        : corner_elsewhere;
    section->has_relief = raw->relief.width.given;
    section->relief_width = raw->relief.width.value;
    section->relief_depth = raw->relief.depth.value;
    section->relief_flank = section->has_relief ? raw->relief.flank.value : 0;
    if (section->has_relief)
        section->corner = raw->relief.corner.value;
    section->edge = raw->edge.value;
    section->edge_is_given = raw->edge.given;
    section->is_free = raw->length.word == 1;
    if (section->kind == SW_SECTION_PIVOT)
        set_pivot(section, raw, build);
    else if (section->kind == SW_SECTION_CONE)
        set_cone(section, raw, build);
    else if (section->kind == SW_SECTION_HUB)
        set_hub(section, raw, build);
    section->bevel = raw->bevel.value;
    section->has_recess = raw->recess.lip.given;
    section->recess_lip = raw->recess.lip.value;
    section->recess_depth = raw->recess.depth.value;
    section->recess_wall = section->has_recess ? raw->recess.wall.value : 0;
    section->groove_depth = raw->depth.value;
    section->groove_flank = raw->flank.value;
}

static double nominal_diameter(const struct sw_section *section, const struct raw_section *raw)
{
    if (section->kind == SW_SECTION_CONE)
        return raw->ridge.value;
    if (section->kind == SW_SECTION_TAPER)
        return fmax(raw->upper_diameter.value, raw->lower_diameter.value);
    return raw->diameter.value; /* 0 for a kind without one: never the core */
}

static void find_core(struct part_build *build)
{
    struct sw_staff *staff = build->staff;
    staff->hub = staff->n;
    staff->core = 0;
    for (size_t i = 0; i < staff->n; i++) {
        struct sw_section *section = &staff->section[i];
        if (nominal_diameter(section, build->from[i]) >
            nominal_diameter(&staff->section[staff->core], build->from[staff->core]))
            staff->core = i;
        if (section->kind != SW_SECTION_HUB)
            continue;
        if (staff->hub < staff->n)
            PART_FAULT(build, "part.two-hubs", section->at,
                       "make the other one a cylinder or a taper",
                       "a staff has one hub; this is the second");
        else
            staff->hub = i;
    }
    if (staff->hub < staff->n)
        staff->core = staff->hub;
    for (size_t i = 0; i < staff->n; i++)
        staff->section[i].is_lower_half = i > staff->core;
}

static enum sw_status build_sections(struct part_build *build)
{
    struct sw_staff *staff = build->staff;
    const struct sw_list *list = &build->raw->sections;
    const struct sw_variant *variant = list->at;
    staff->n = list->n;
    staff->section = SW_NEW(build->ctx->arena, struct sw_section, staff->n);
    const struct raw_section **from =
        SW_NEW(build->ctx->arena, const struct raw_section *, staff->n);
    if (!staff->section || !from)
        return SW_MEMORY;
    for (size_t i = 0; i < staff->n; i++) {
        from[i] = variant[i].value;
        struct sw_section *section = &staff->section[i];
        section->kind = (enum sw_section_kind)variant[i].which;
        section->at = variant[i].at;
        section->index = i;
        section->takes = from[i]->takes.given               ? (enum sw_takes)from[i]->takes.value
                         : section->kind == SW_SECTION_SEAT ? guess_takes(from[i]->name.value)
                                                            : SW_TAKES_NOTHING;
    }
    build->from = from;
    find_core(build);
    SW_TRY(part_name_sections(build));
    for (size_t i = 0; i < staff->n; i++)
        set_section(&staff->section[i], from[i], build);
    return SW_OK;
}

static void set_jewels(struct sw_staff *staff, const struct raw_staff *raw)
{
    const struct raw_jewel *jewel[] = {&raw->jewels.upper, &raw->jewels.lower};
    for (int i = 0; i < 2; i++)
        staff->jewel[i] = (struct sw_jewel){jewel[i]->hole.given, jewel[i]->hole.value,
                                            jewel[i]->thickness.value};
    staff->between_endstones = raw->jewels.between_endstones.value;
}

static enum sw_status read_parts(struct sw_staff *staff, const struct raw_staff *raw,
                                 struct sw_ctx *ctx)
{
    if (!raw->parts.readings.given)
        return SW_OK;
    struct sw_parts_read *parts = SW_NEW(ctx->arena, struct sw_parts_read, 1);
    if (!parts)
        return SW_MEMORY;
    staff->parts = parts;
    return sw_parts_read(parts, &raw->parts, ctx);
}

static enum sw_status resolve(struct part_build *build)
{
    struct sw_staff *staff = build->staff;
    const struct raw_staff *raw = build->raw;
    staff->name = raw->name.value;
    staff->material = raw->material.value;
    staff->material_at = raw->material.at;
    staff->is_blank = raw->blank.value == 1;
    staff->total = raw->total.length.value;
    staff->total_tolerance = raw->total.tolerance;
    set_jewels(staff, raw);
    SW_TRY(build_sections(build));
    part_check_order(build);
    const bool is_ordered = !build->is_wrong;
    SW_TRY(part_close_chains(build));
    if (is_ordered && !build->is_wrong) {
        part_set_radii(build);
        part_check_sizes(build);
    }
    if (!build->is_wrong) {
        part_check_fit(build);
        if (!staff->is_blank)
            part_check_usual(build);
    }
    return SW_OK;
}

static enum sw_status build_staff(struct sw_staff **out, const char *file,
                                  const struct sw_node *root, struct sw_ctx *ctx)
{
    SW_TRY(sw_node_check_format(root, "staff/1", ctx));
    struct raw_staff *raw = SW_NEW(ctx->arena, struct raw_staff, 1);
    struct sw_staff *staff = SW_NEW(ctx->arena, struct sw_staff, 1);
    char *file_copy = sw_arena_copy(ctx->arena, file, strlen(file));
    if (!raw || !staff || !file_copy)
        return SW_MEMORY;
    SW_TRY(sw_table_read(raw, &sw_staff_table, root, ctx));
    staff->file = file_copy;
    struct part_build build = {.staff = staff, .raw = raw, .ctx = ctx};
    SW_TRY(read_parts(staff, raw, ctx));
    SW_TRY(resolve(&build));
    if (sw_diag_failed(ctx->diag))
        return SW_MEMORY;
    if (build.is_wrong)
        return SW_INPUT;
    *out = staff;
    return build.is_misfit ? SW_FOUND : SW_OK;
}

enum sw_status sw_staff_load(struct sw_staff **out, const char *path, struct sw_ctx *ctx)
{
    struct sw_node *root = NULL;
    SW_TRY(sw_node_load(&root, path, ctx));
    return build_staff(out, path, root, ctx);
}

enum sw_status sw_staff_parse(struct sw_staff **out, const char *name, const char *text,
                              size_t size, struct sw_ctx *ctx)
{
    struct sw_node *root = NULL;
    SW_TRY(sw_node_parse(&root, name, text, size, ctx));
    return build_staff(out, name, root, ctx);
}

const struct sw_section *sw_staff_section(const struct sw_staff *staff, const char *name)
{
    for (size_t i = 0; i < staff->n; i++)
        if (strcmp(staff->section[i].name, name) == 0)
            return &staff->section[i];
    return NULL;
}

double sw_staff_widest(const struct sw_staff *staff)
{
    double widest = 0;
    for (size_t i = 0; i < staff->n; i++)
        widest = fmax(widest, fmax(staff->section[i].r0, staff->section[i].r1));
    return widest;
}

double sw_section_foot(const struct sw_section *section)
{
    return section->is_lower_half ? section->r0 : section->r1;
}

double sw_section_relief_floor(const struct sw_section *section)
{
    return sw_section_foot(section) - section->relief_depth;
}

double sw_section_relief_run(const struct sw_section *section)
{
    /* The surface where the groove begins, on a tapered section, lies elsewhere than at its foot.
     */
    const double rise = (section->r1 - section->r0) / (section->z1 - section->z0);
    const double surface =
        sw_section_foot(section) + (section->is_lower_half ? rise : -rise) * section->relief_width;
    return (surface - sw_section_relief_floor(section)) * tan(section->relief_flank);
}

double sw_section_middle(const struct sw_section *section)
{
    if (section->kind == SW_SECTION_CONE || section->kind == SW_SECTION_BACK_SLOPE ||
        section->kind == SW_SECTION_GROOVE)
        return 0;
    return (section->diameter_tolerance.lower + section->diameter_tolerance.upper) / 2;
}
