#include "shape/shape.h"

#include <math.h>

#include "shape/shape_int.h"

/* The break of a relief groove's outer edge takes no more than this share of its depth. */
static const double relief_edge_share = 0.3;

static double take_of(const struct sw_section *section, const struct sw_leave *leave)
{
    if (section->kind == SW_SECTION_CONE || section->kind == SW_SECTION_BACK_SLOPE ||
        section->kind == SW_SECTION_GROOVE)
        return 0; /* a cone's follows from its pivot */
    if (section->take >= 0)
        return section->take;
    if (!leave || section->finish == SW_FINISH_TURNED)
        return 0;
    return section->finish == SW_FINISH_STONED ? leave->stone.value : leave->burnish.value;
}

/* The break of the outer edge between two pieces: the larger of both sections'. Tips are formed by
 * their dome or corner, steps left by unequal allowances go with the hand work. */
static struct shape_corner edge_between(const struct shape_piece *before,
                                        const struct shape_piece *after,
                                        const struct sw_staff *staff)
{
    struct shape_corner corner = {0};
    if (before->is_step || after->is_step ||
        shape_bend(&before->seg, &after->seg) > -SHAPE_LEAST_BEND)
        return corner;
    const struct sw_section *a = &staff->section[before->seg.tag];
    const struct sw_section *b = &staff->section[after->seg.tag];
    const struct sw_section *owner = b->edge > a->edge ? b : a;
    corner.radius = owner->edge;
    corner.tag = (int)owner->index;
    corner.is_optional = before->is_recess_wall || after->is_recess_wall;
    const bool is_lip = before->is_relief || after->is_relief;
    if (is_lip) /* of the groove: part of it stays square to its bottom */
        corner.radius = fmin(corner.radius, relief_edge_share * owner->relief_depth);
    corner.must_fit = owner->edge_is_given && !corner.is_optional && !is_lip;
    return corner;
}

static enum sw_status report_edge(const struct sw_section *section, struct sw_ctx *ctx)
{
    sw_diag_add(ctx->diag, SW_ERROR, "shape.edge", section->at,
                "give a smaller `edge`, or 0 to leave it sharp",
                "an edge break of %.4f mm does not fit %s", section->edge, section->name);
    return SW_CANNOT;
}

/* Joins pieces to a contour and breaks its edges. What the finished contour gets is kept in BROKEN,
 * by the piece before the edge; the turned one gets no more, so that it is nowhere inside. */
static enum sw_status break_edges(struct sw_contour *out, const struct shape_piece *piece, size_t n,
                                  double *broken, bool is_finished, const struct sw_staff *staff,
                                  struct sw_ctx *ctx)
{
    struct sw_contour sharp = {0};
    struct shape_corner *corner = SW_NEW(ctx->arena, struct shape_corner, n);
    if (!corner)
        return SW_MEMORY;
    for (size_t i = 0; i < n; i++) {
        if (!sw_contour_add(ctx->arena, &sharp, piece[i].seg))
            return SW_MEMORY;
        if (i + 1 == n)
            continue;
        corner[i] = edge_between(&piece[i], &piece[i + 1], staff);
        corner[i].must_fit = corner[i].must_fit && is_finished;
        if (!is_finished)
            corner[i].radius = fmin(corner[i].radius, broken[piece[i].id]);
    }
    size_t misfit = 0;
    const enum sw_status status = shape_round(out, &misfit, &sharp, corner, ctx);
    if (status == SW_CANNOT)
        return report_edge(&staff->section[corner[misfit].tag], ctx);
    if (status == SW_OK && is_finished)
        for (size_t i = 0; i + 1 < n; i++)
            broken[piece[i].id] = corner[i].radius;
    return status;
}

static bool is_square(const struct sw_seg *seg)
{
    return seg->kind == SW_SEG_LINE && fabs(seg->b.z - seg->a.z) <= SW_TOL_POINT;
}

/* An inner corner belongs to the section that ends in it, not to the shoulder. */
static struct shape_corner fillet_between(const struct sw_seg *before, const struct sw_seg *after,
                                          const struct sw_staff *staff)
{
    struct shape_corner corner = {0};
    if (shape_bend(before, after) < SHAPE_LEAST_BEND)
        return corner;
    const struct sw_section *a = &staff->section[before->tag], *b = &staff->section[after->tag];
    const struct sw_section *owner = is_square(before)       ? b
                                     : is_square(after)      ? a
                                     : b->corner < a->corner ? b
                                                             : a;
    corner.radius = owner->corner;
    corner.tag = (int)owner->index;
    /* A relief groove's bottom is short: the fillet at the shoulder first. */
    corner.is_optional = owner->has_relief && before->tag == after->tag;
    return corner;
}

static enum sw_status fill_corners(struct sw_contour *out, const struct sw_contour *turned,
                                   const struct sw_staff *staff, struct sw_ctx *ctx)
{
    struct shape_corner *corner = SW_NEW(ctx->arena, struct shape_corner, turned->n);
    if (!corner)
        return SW_MEMORY;
    for (size_t i = 0; i + 1 < turned->n; i++)
        corner[i] = fillet_between(&turned->at[i], &turned->at[i + 1], staff);
    size_t unused = 0;
    return shape_round(out, &unused, turned, corner, ctx);
}

/* Middle of the plain length, where a gauge is put. */
static double measure_at(const struct sw_section *section)
{
    double z0 = section->z0, z1 = section->z1;
    double upper = 0, lower = 0;
    switch (section->kind) {
    case SW_SECTION_PIVOT: {
        const double form =
            section->tip == SW_TIP_FLAT ? section->tip_corner : section->dome_height;
        upper = section->points_down ? 0 : form;
        lower = section->points_down ? form : 0;
        break;
    }
    case SW_SECTION_SEAT:
        upper = section->is_lower_half ? 0 : section->bevel;
        lower = section->is_lower_half ? section->bevel : 0;
        break;
    case SW_SECTION_HUB:
        upper = section->hub_land_is_lower ? z1 - z0 - section->hub_land : 0;
        lower = section->hub_land_is_lower ? 0 : z1 - z0 - section->hub_land;
        break;
    case SW_SECTION_GROOVE:
        upper = (section[-1].r1 - section->r0) * tan(section->groove_flank);
        lower = (section[1].r0 - section->r0) * tan(section->groove_flank);
        break;
    case SW_SECTION_CONE:
    case SW_SECTION_BACK_SLOPE:
    case SW_SECTION_RIVET:
    case SW_SECTION_CYLINDER:
    case SW_SECTION_TAPER:
        break;
    }
    *(section->is_lower_half ? &upper : &lower) += section->relief_width;
    return (z0 + upper + z1 - lower) / 2;
}

static enum sw_status measure(struct sw_shape *shape, const struct shape_allowance *allowance,
                              struct sw_ctx *ctx)
{
    const struct sw_staff *staff = shape->staff;
    shape->section = SW_NEW(ctx->arena, struct sw_shape_section, staff->n);
    if (!shape->section)
        return SW_MEMORY;
    for (size_t i = 0; i < staff->n; i++) {
        const struct sw_section *section = &staff->section[i];
        struct sw_shape_section *to = &shape->section[i];
        double finished = 0, turned = 0;
        to->z0 = section->z0 - (i == 0 ? allowance->upper : 0);
        to->z1 = section->z1 + (i + 1 == staff->n ? allowance->lower : 0);
        to->measure_z = measure_at(section);
        if (!sw_contour_r_at(&finished, &shape->finished, to->measure_z) ||
            !sw_contour_r_at(&turned, &shape->turned, to->measure_z))
            return SW_INTERNAL;
        to->finished_diameter = 2 * finished;
        to->turned_diameter = 2 * turned;
        to->take = to->turned_diameter - to->finished_diameter;
    }
    shape->z_upper = -allowance->upper;
    shape->z_lower = staff->total + allowance->lower;
    return SW_OK;
}

static enum sw_status build_contours(struct sw_shape *shape,
                                     const struct shape_allowance *allowance, struct sw_ctx *ctx)
{
    const struct sw_staff *staff = shape->staff;
    double *none = SW_NEW(ctx->arena, double, staff->n);
    if (!none)
        return SW_MEMORY;
    const struct shape_allowance finished = {none, 0, 0};
    struct shape_piece *piece = NULL;
    size_t n = 0;
    SW_TRY(shape_profile(&piece, &n, staff, &finished, ctx));
    double *broken = SW_NEW(ctx->arena, double, n);
    if (!broken)
        return SW_MEMORY;
    SW_TRY(break_edges(&shape->finished, piece, n, broken, true, staff, ctx));
    SW_TRY(shape_profile(&piece, &n, staff, allowance, ctx));
    SW_TRY(break_edges(&shape->turned, piece, n, broken, false, staff, ctx));
    return fill_corners(&shape->ceiling, &shape->turned, staff, ctx);
}

/* The staff to aim at: each diameter in the middle of its limits, so that an error to either side
 * is equally well borne. Cones and back slopes follow what they join. */
static enum sw_status aim_at_middle(struct sw_staff **out, const struct sw_staff *staff,
                                    struct sw_ctx *ctx)
{
    struct sw_staff *aimed = SW_NEW(ctx->arena, struct sw_staff, 1);
    struct sw_section *section = SW_NEW(ctx->arena, struct sw_section, staff->n);
    if (!aimed || !section)
        return SW_MEMORY;
    *aimed = *staff;
    aimed->section = section;
    for (size_t i = 0; i < staff->n; i++) {
        section[i] = staff->section[i];
        const double shift = sw_section_middle(&section[i]) / 2;
        section[i].r0 += shift;
        section[i].r1 += shift;
    }
    for (size_t i = 0; i < staff->n; i++) {
        if (section[i].kind != SW_SECTION_CONE)
            continue;
        if (section[i].points_down)
            section[i].r1 = section[i + 1].r0;
        else
            section[i].r0 = section[i - 1].r1;
    }
    *out = aimed;
    return SW_OK;
}

enum sw_status sw_shape_build(struct sw_shape **out, const struct sw_staff *staff,
                              const struct sw_leave *leave, const struct sw_shape_extra *extra,
                              struct sw_ctx *ctx)
{
    struct sw_shape *shape = SW_NEW(ctx->arena, struct sw_shape, 1);
    double *take = SW_NEW(ctx->arena, double, staff->n);
    if (!shape || !take)
        return SW_MEMORY;
    struct sw_staff *aimed = NULL;
    SW_TRY(aim_at_middle(&aimed, staff, ctx));
    shape->staff = aimed;
    for (size_t i = 0; i < staff->n; i++)
        take[i] = take_of(&staff->section[i], leave);
    shape->take = take;
    const double tip = leave ? leave->tip.value : 0;
    const struct shape_allowance allowance = {take, tip + (extra ? extra->upper_long : 0),
                                              tip + (extra ? extra->lower_long : 0)};
    SW_TRY(build_contours(shape, &allowance, ctx));
    SW_TRY(measure(shape, &allowance, ctx));
    shape->staff = staff;
    *out = shape;
    return SW_OK;
}

/* Turned radius of a section at one of its ends. */
static double turned_end(const struct sw_section *section, const double *take, bool is_lower_end)
{
    return (is_lower_end ? section->r1 : section->r0) + take[section->index] / 2;
}

/* In the place of a groove: a slope that joins its neighbours, but where the one towards the core
 * rises higher than half the groove's length: that one is a shoulder. */
static void fill_groove(struct sw_section *groove, double *take)
{
    const double above = turned_end(groove - 1, take, true);
    const double below = turned_end(groove + 1, take, false);
    const double outside = groove->is_lower_half ? below : above;
    const double inside = groove->is_lower_half ? above : below;
    groove->kind = SW_SECTION_TAPER;
    const bool is_shoulder = inside - outside > (groove->z1 - groove->z0) / 2;
    groove->r0 = is_shoulder ? outside : above;
    groove->r1 = is_shoulder ? outside : below;
    groove->edge = 0;
    groove->edge_is_given = false;
    groove->corner = groove->z1 - groove->z0;
    take[groove->index] = 0;
}

static bool fill_all(struct sw_staff *staff, double *take)
{
    bool is_any = false;
    for (size_t i = 0; i < staff->n; i++) {
        struct sw_section *section = &staff->section[i];
        if (section->kind == SW_SECTION_GROOVE)
            fill_groove(section, take);
        else if (section->has_relief)
            section->corner = section->relief_width;
        else
            continue;
        section->has_relief = false;
        is_any = true;
    }
    return is_any;
}

enum sw_status sw_shape_plain(const struct sw_shape **out, const struct sw_shape *shape,
                              struct sw_ctx *ctx)
{
    const size_t n = shape->staff->n;
    struct sw_staff *staff = NULL;
    SW_TRY(aim_at_middle(&staff, shape->staff, ctx));
    struct sw_shape *plain = SW_NEW(ctx->arena, struct sw_shape, 1);
    double *take = SW_NEW(ctx->arena, double, n);
    if (!plain || !take)
        return SW_MEMORY;
    for (size_t i = 0; i < n; i++)
        take[i] = shape->take[i];
    if (!fill_all(staff, take)) {
        *out = shape;
        return SW_OK;
    }
    *plain = (struct sw_shape){.staff = staff};
    const struct shape_allowance allowance = {take, -shape->z_upper, shape->z_lower - staff->total};
    SW_TRY(build_contours(plain, &allowance, ctx));
    plain->staff = shape->staff;
    plain->section = shape->section;
    plain->take = shape->take;
    plain->z_upper = shape->z_upper;
    plain->z_lower = shape->z_lower;
    *out = plain;
    return SW_OK;
}
