/* A staff's sections as a chain of lines and arcs, with what hand work will take put on.
 *
 * The chain is first drawn at its finished sizes; every line knows how far it moves outwards.
 * Then each corner is put where the moved lines meet: a square shoulder does not move, so its
 * corners move radially only, and heights stay true. Where equal finished radii get unequal
 * allowances a small square step joins them. Pivot ends and cones are drawn where they shall be,
 * for they do not move as a whole. */
#include "shape/shape_int.h"

#include <math.h>

/* Two moved lines meet within this many allowances of their corner, or get a step: lines that turn
 * by less than 15 degrees with unequal allowances would meet far away. */
static const double farthest_meeting = 4;

typedef SW_VEC(struct shape_piece) piece_vec;

struct pen {
    const struct sw_staff *staff;
    const struct shape_allowance *allowance;
    piece_vec pieces;
    struct sw_pt at; /* finished end of the last line */
    struct sw_ctx *ctx;
    bool is_full; /* out of memory */
};

static void add_piece(struct pen *pen, struct shape_piece piece)
{
    piece.id = pen->pieces.n;
    if (!SW_VEC_PUSH(pen->ctx->arena, &pen->pieces, piece))
        pen->is_full = true;
}

static void draw_line(struct pen *pen, double z, double r, double allowance, int tag)
{
    const struct sw_pt to = {z, r};
    if (sw_pt_distance(pen->at, to) <= SW_TOL_POINT)
        return;
    add_piece(pen,
              (struct shape_piece){.seg = sw_seg_line(pen->at, to, tag), .allowance = allowance});
    pen->at = to;
}

static struct shape_piece *last_piece(struct pen *pen)
{
    return pen->is_full || pen->pieces.n == 0 ? NULL : &pen->pieces.at[pen->pieces.n - 1];
}

/* The square line where one section ends and the next begins; it belongs to the thicker one. */
static void draw_shoulder(struct pen *pen, double z, double r, int before, int after)
{
    const size_t n = pen->pieces.n;
    draw_line(pen, z, r, 0, r > pen->at.r ? after : before);
    struct shape_piece *piece = last_piece(pen);
    if (piece && pen->pieces.n > n)
        piece->is_shoulder = true;
}

static double half_take(const struct pen *pen, size_t i)
{
    return pen->allowance->take[i] / 2;
}

/* Pivots and cones are drawn with their tip end on the left, in their own length u, then placed. */
static struct sw_seg placed(const struct sw_section *section, struct sw_seg seg)
{
    if (!section->points_down) {
        seg.a.z += section->z0;
        seg.b.z += section->z0;
        seg.c.z += section->z0;
        return seg;
    }
    /* Mirrored and reversed: an arc keeps its turn. */
    const struct sw_pt a = {section->z1 - seg.b.z, seg.b.r}, b = {section->z1 - seg.a.z, seg.a.r};
    seg.c.z = section->z1 - seg.c.z;
    seg.a = a;
    seg.b = b;
    return seg;
}

static void draw_pivot(struct pen *pen, size_t i)
{
    const struct sw_section *pivot = &pen->staff->section[i];
    const double a = half_take(pen, i), r = pivot->r0 + a;
    const double tip = -(pivot->points_down ? pen->allowance->lower : pen->allowance->upper);
    const double length = pivot->z1 - pivot->z0;
    const int tag = (int)i;
    struct shape_piece piece[3];
    int n = 0;
    double form;
    if (pivot->tip == SW_TIP_FLAT) {
        form = pivot->tip_corner;
        const struct sw_pt corner = {tip, r - form}, centre = {tip + form, r - form};
        piece[n++] = (struct shape_piece){.seg = sw_seg_line((struct sw_pt){tip, 0}, corner, tag),
                                          .is_fixed = true};
        piece[n++] = (struct shape_piece){
            .seg = sw_seg_arc(corner, (struct sw_pt){tip + form, r}, centre, -1, tag),
            .is_fixed = true};
    } else {
        form = pivot->dome_height;
        const double radius = (r * r + form * form) / (2 * form);
        piece[n++] = (struct shape_piece){
            .seg = sw_seg_arc((struct sw_pt){tip, 0}, (struct sw_pt){tip + form, r},
                              (struct sw_pt){tip + radius, 0}, -1, tag),
            .is_fixed = true};
    }
    piece[n++] = (struct shape_piece){
        .seg = sw_seg_line((struct sw_pt){form, pivot->r0}, (struct sw_pt){length, pivot->r0}, tag),
        .allowance = a};
    for (int k = 0; k < n; k++) {
        struct shape_piece next = piece[pivot->points_down ? n - 1 - k : k];
        next.seg = placed(pivot, next.seg);
        add_piece(pen, next);
    }
    pen->at = (struct sw_pt){pivot->z1, pivot->points_down ? 0 : pivot->r0};
}

/* The line or arc of a cone from the pivot (0, THIN) to the ridge (LENGTH, RIDGE). FINISHED is the
 * pivot's finished radius. */
static struct sw_seg cone_seg(const struct sw_section *cone, double thin, double ridge,
                              double finished, int tag)
{
    const double length = cone->z1 - cone->z0;
    const struct sw_pt a = {0, thin}, b = {length, ridge};
    /* Start slope of the finished arc: 0 where it is tangent to the pivot. A given radius is kept
     * as its start slope, so that the arc over a thicker pivot still leaves it outwards. */
    double start = 0;
    if (cone->cone == SW_CONE_RADIUS) {
        const double chord = hypot(length, ridge - finished);
        start = atan2(ridge - finished, length) - asin(fmin(chord / 2 / cone->cone_radius, 1));
    }
    const double chord = hypot(length, ridge - thin);
    const double bend = atan2(ridge - thin, length) - start;
    if (cone->cone == SW_CONE_STRAIGHT || chord * bend <= SW_TOL_POINT)
        return sw_seg_line(a, b, tag);
    const double radius = chord / 2 / sin(bend);
    const struct sw_pt centre = {-radius * sin(start), thin + radius * cos(start)};
    return sw_seg_arc(a, b, centre, 1, tag);
}

static enum sw_status draw_cone(struct pen *pen, size_t i)
{
    const struct sw_section *cone = &pen->staff->section[i];
    const size_t pivot = cone->points_down ? i + 1 : i - 1;
    const double finished = pen->staff->section[pivot].r0;
    const double thin = finished + half_take(pen, pivot);
    const double ridge = cone->points_down ? cone->r0 : cone->r1;
    if (thin >= ridge - SW_TOL_POINT) {
        sw_diag_add(pen->ctx->diag, SW_ERROR, "shape.cone", cone->at,
                    "leave less for the burnisher, or make the ridge wider",
                    "%s ends at %.4f mm, but its pivot is turned to %.4f mm", cone->name, 2 * ridge,
                    2 * thin);
        return SW_CANNOT;
    }
    add_piece(pen, (struct shape_piece){
                       .seg = placed(cone, cone_seg(cone, thin, ridge, finished, (int)i)),
                       .is_fixed = true});
    pen->at = (struct sw_pt){cone->z1, cone->r1};
    return SW_OK;
}

static void draw_relief_line(struct pen *pen, double z, double r, int tag)
{
    const size_t n = pen->pieces.n;
    draw_line(pen, z, r, 0, tag);
    struct shape_piece *piece = last_piece(pen);
    if (piece && pen->pieces.n > n)
        piece->is_relief = true;
}

static double surface_at(const struct sw_section *section, double z)
{
    const double share = (z - section->z0) / (section->z1 - section->z0);
    return section->r0 + share * (section->r1 - section->r0);
}

/* Lower half: its relief groove, from the shoulder to where the surface begins. */
static void draw_relief_first(struct pen *pen, size_t i)
{
    const struct sw_section *section = &pen->staff->section[i];
    if (!section->has_relief || !section->is_lower_half)
        return;
    const double floor_r = sw_section_relief_floor(section);
    const double z = section->z0 + section->relief_width;
    draw_relief_line(pen, z - sw_section_relief_run(section), floor_r, (int)i);
    draw_relief_line(pen, z, surface_at(section, z), (int)i);
}

/* The surface to its end: in the upper half to the relief groove, and that to the shoulder. */
static void draw_to_end(struct pen *pen, size_t i)
{
    const struct sw_section *section = &pen->staff->section[i];
    const double a = half_take(pen, i);
    if (!section->has_relief || section->is_lower_half) {
        draw_line(pen, section->z1, section->r1, a, (int)i);
        return;
    }
    const double floor_r = sw_section_relief_floor(section);
    const double z = section->z1 - section->relief_width;
    draw_line(pen, z, surface_at(section, z), a, (int)i);
    draw_relief_line(pen, z + sw_section_relief_run(section), floor_r, (int)i);
    draw_relief_line(pen, section->z1, floor_r, (int)i);
}

static void draw_seat(struct pen *pen, size_t i)
{
    const struct sw_section *seat = &pen->staff->section[i];
    const double a = half_take(pen, i), bevel = seat->bevel, fall = seat->taper / 2 * bevel;
    const bool is_below = seat->is_lower_half;
    draw_relief_first(pen, i);
    if (bevel > 0 && !is_below)
        draw_line(pen, seat->z0 + bevel, seat->r0 + fall, a, (int)i);
    if (bevel > 0 && is_below)
        draw_line(pen, seat->z1 - bevel, seat->r1 - fall, a, (int)i);
    else
        draw_to_end(pen, i);
    if (bevel > 0 && is_below)
        draw_line(pen, seat->z1, seat->r1 - fall - bevel, a, (int)i);
}

static void draw_hub(struct pen *pen, size_t i)
{
    const struct sw_section *hub = &pen->staff->section[i];
    const double a = half_take(pen, i), r = fmax(hub->r0, hub->r1);
    if (hub->hub_underside > 0 && hub->hub_land_is_lower)
        draw_line(pen, hub->z1 - hub->hub_land, r, a, (int)i);
    else
        draw_line(pen, hub->z0 + hub->hub_land, r, a, (int)i);
    draw_line(pen, hub->z1, hub->r1, a, (int)i);
}

static void draw_recess_wall(struct pen *pen, double z, double r, int tag)
{
    draw_line(pen, z, r, 0, tag);
    struct shape_piece *piece = last_piece(pen);
    if (piece)
        piece->is_recess_wall = true;
}

static void draw_rivet(struct pen *pen, size_t i)
{
    const struct sw_section *rivet = &pen->staff->section[i];
    const struct sw_section *open = rivet->points_down ? rivet + 1 : rivet - 1;
    const double a = half_take(pen, i), a_open = half_take(pen, open->index), r = rivet->r0;
    const double lip = r - rivet->recess_lip;
    const double bottom = lip - rivet->recess_depth * tan(rivet->recess_wall);
    const double inside = rivet->points_down ? open->r0 : open->r1;
    const int tag = (int)i;
    if (!rivet->has_recess) {
        draw_line(pen, rivet->z1, r, a, tag);
    } else if (rivet->points_down) {
        draw_line(pen, rivet->z1, r, a, tag);
        draw_line(pen, rivet->z1, lip, 0, tag);
        draw_recess_wall(pen, rivet->z1 - rivet->recess_depth, bottom, tag);
        draw_line(pen, rivet->z1 - rivet->recess_depth, inside, 0, tag);
        draw_line(pen, rivet->z1, inside, a_open, tag);
    } else {
        draw_line(pen, rivet->z0 + rivet->recess_depth, inside, a_open, tag);
        draw_line(pen, rivet->z0 + rivet->recess_depth, bottom, 0, tag);
        draw_recess_wall(pen, rivet->z0, lip, tag);
        draw_line(pen, rivet->z0, r, 0, tag);
        draw_line(pen, rivet->z1, r, a, tag);
    }
}

static void draw_groove(struct pen *pen, size_t i)
{
    const struct sw_section *groove = &pen->staff->section[i];
    const double above = groove[-1].r1, below = groove[1].r0, bottom = groove->r0;
    const double slant = tan(groove->groove_flank);
    draw_line(pen, groove->z0 + (above - bottom) * slant, bottom, 0, (int)i);
    draw_line(pen, groove->z1 - (below - bottom) * slant, bottom, 0, (int)i);
    draw_line(pen, groove->z1, below, 0, (int)i);
}

/* Finished radius at which a section's own lines begin. */
static double start_radius(const struct sw_section *section)
{
    const struct sw_section *above = section - 1;
    if (section->has_relief && section->is_lower_half)
        return sw_section_relief_floor(section);
    switch (section->kind) {
    case SW_SECTION_GROOVE:
        return above->r1;
    case SW_SECTION_RIVET:
        return section->has_recess && !section->points_down ? above->r1 : section->r0;
    case SW_SECTION_SEAT:
        return section->bevel > 0 && !section->is_lower_half
                   ? section->r0 + section->taper / 2 * section->bevel - section->bevel
                   : section->r0;
    case SW_SECTION_PIVOT:
    case SW_SECTION_CONE:
    case SW_SECTION_BACK_SLOPE:
    case SW_SECTION_HUB:
    case SW_SECTION_CYLINDER:
    case SW_SECTION_TAPER:
        break;
    }
    return section->r0;
}

static enum sw_status draw_section(struct pen *pen, size_t i)
{
    const struct sw_section *section = &pen->staff->section[i];
    if (i > 0)
        draw_shoulder(pen, section->z0, start_radius(section), (int)i - 1, (int)i);
    switch (section->kind) {
    case SW_SECTION_PIVOT:
        draw_pivot(pen, i);
        break;
    case SW_SECTION_CONE:
        return draw_cone(pen, i);
    case SW_SECTION_SEAT:
        draw_seat(pen, i);
        break;
    case SW_SECTION_RIVET:
        draw_rivet(pen, i);
        break;
    case SW_SECTION_HUB:
        draw_hub(pen, i);
        break;
    case SW_SECTION_GROOVE:
        draw_groove(pen, i);
        break;
    case SW_SECTION_BACK_SLOPE:
    case SW_SECTION_CYLINDER:
    case SW_SECTION_TAPER:
        draw_relief_first(pen, i);
        draw_to_end(pen, i);
        break;
    }
    return SW_OK;
}

struct moved {
    struct sw_pt from, along; /* a point of the moved line, and its unit direction */
};

static struct moved move_line(const struct shape_piece *piece, struct sw_pt corner)
{
    const struct sw_pt u = sw_seg_direction(&piece->seg, 0);
    return (struct moved){{corner.z - u.r * piece->allowance, corner.r + u.z * piece->allowance},
                          u};
}

/* Puts the corner between two lines where they meet after moving; a step joins them where that is
 * nowhere near. Returns whether a step is needed. */
static bool join_lines(struct shape_piece *before, struct shape_piece *after, struct sw_pt corner,
                       struct sw_pt *end, struct sw_pt *start)
{
    const struct moved p = move_line(before, corner), q = move_line(after, corner);
    const double cross = p.along.z * q.along.r - p.along.r * q.along.z;
    const double most = fmax(before->allowance, after->allowance);
    *end = p.from;
    *start = q.from;
    if (sw_pt_distance(p.from, q.from) <= SW_TOL_POINT) {
        *start = *end;
        return false;
    }
    const double share =
        ((q.from.z - p.from.z) * q.along.r - (q.from.r - p.from.r) * q.along.z) / cross;
    const struct sw_pt meet = {p.from.z + share * p.along.z, p.from.r + share * p.along.r};
    if (!isfinite(share) || sw_pt_distance(meet, corner) > farthest_meeting * most)
        return true;
    *end = *start = meet;
    return false;
}

static enum sw_status report_lost(const struct shape_piece *piece, const struct sw_staff *staff,
                                  struct sw_ctx *ctx)
{
    const struct sw_section *section = &staff->section[piece->seg.tag];
    sw_diag_add(ctx->diag, SW_ERROR, "shape.allowance", section->at,
                "leave less for hand work, or make its details larger",
                "what is left for hand work does not fit %s: one of its lines disappears",
                section->name);
    return SW_CANNOT;
}

static enum sw_status check_lines(const piece_vec *old, const piece_vec *now,
                                  const struct sw_staff *staff, struct sw_ctx *ctx)
{
    for (size_t i = 0, k = 0; i < old->n; i++, k++) {
        while (now->at[k].is_step)
            k++;
        const struct sw_seg *was = &old->at[i].seg, *is = &now->at[k].seg;
        const double along = (was->b.z - was->a.z) * (is->b.z - is->a.z) +
                             (was->b.r - was->a.r) * (is->b.r - is->a.r);
        if (was->kind == SW_SEG_LINE && !old->at[i].is_shoulder && along <= 0)
            return report_lost(&old->at[i], staff, ctx);
    }
    return SW_OK;
}

/* Moves all lines and joins them again. */
static enum sw_status move_all(piece_vec *out, const piece_vec *in, const struct sw_staff *staff,
                               struct sw_ctx *ctx)
{
    struct shape_piece now = in->at[0];
    for (size_t i = 0; i + 1 < in->n; i++) {
        struct shape_piece next = in->at[i + 1];
        struct shape_piece before = in->at[i];
        struct sw_pt end, start;
        bool needs_step = false;
        if (now.is_fixed || next.is_fixed) {
            end = start = now.is_fixed ? now.seg.b : next.seg.a;
        } else {
            needs_step = join_lines(&before, &next, before.seg.b, &end, &start);
        }
        now.seg.b = end;
        next.seg.a = start;
        if (!SW_VEC_PUSH(ctx->arena, out, now))
            return SW_MEMORY;
        const struct shape_piece step = {
            .seg = sw_seg_line(end, start, end.r > start.r ? now.seg.tag : next.seg.tag),
            .is_step = true};
        if (needs_step && !SW_VEC_PUSH(ctx->arena, out, step))
            return SW_MEMORY;
        now = next;
    }
    if (!SW_VEC_PUSH(ctx->arena, out, now))
        return SW_MEMORY;
    return check_lines(in, out, staff, ctx);
}

enum sw_status shape_profile(struct shape_piece **piece, size_t *n, const struct sw_staff *staff,
                             const struct shape_allowance *allowance, struct sw_ctx *ctx)
{
    struct pen pen = {.staff = staff, .allowance = allowance, .ctx = ctx};
    for (size_t i = 0; i < staff->n; i++)
        SW_TRY(draw_section(&pen, i));
    if (pen.is_full)
        return SW_MEMORY;
    piece_vec moved = {0};
    SW_TRY(move_all(&moved, &pen.pieces, staff, ctx));
    /* A shoulder may have closed up; nothing else can. */
    size_t kept = 0;
    for (size_t i = 0; i < moved.n; i++)
        if (sw_seg_length(&moved.at[i].seg) > SW_TOL_POINT)
            moved.at[kept++] = moved.at[i];
    for (size_t i = 1; i < kept; i++)
        moved.at[i].seg.a = moved.at[i - 1].seg.b;
    *piece = moved.at;
    *n = kept;
    return SW_OK;
}
