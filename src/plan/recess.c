/* The recess in front of the rivet: an undercut along the axis, cut by a ground point that stands
 * parallel to it. Seen with z and r swapped it is an ordinary trough between the collet seat and
 * the lip, so the same levels and the same contour run serve; the passes are swapped back.
 *
 * In order: plunges through the fillet that the turning tool left between seat and face, the last
 * one on down beside the seat; levels down the trough; plunges along the seat, the last of them on
 * the seat's own contour; one run down the lip's wall and over the floor. The seat's side always
 * comes first: a point fed across would meet what stands there over its whole height at once. */
#include <math.h>

#include "geom/tol.h"
#include "plan/engage.h"

static const double half_pi = 1.57079632679489661923;
/* Drawn out this far in front of what stands on the face before moving across [mm]. */
static const double in_front = 0.05;
/* and this far off the seat [mm]. */
static const double off_seat = 0.004;
/* Levels and the floor's run end this far from where a plunge has been: the cusp between the two
 * noses is lower than a hundredth of a micrometre [mm]. */
static const double open_gap = 0.001;
/* Drawing out leans off the seat no more than this against the axis: the lip's wall, which may be
 * as close as the nose is wide, leans more, since the point's outer flank does [tangent]. */
static const double least_lean = 0.35;
/* Within this of the face, rounding decides on which side of it a nose centre stands [mm]. */
static const double near_face = 0.001;

/* What four decimals of a text round to, and more [mm]. */
static const double written = 2e-4;
/* Places looked at over one nose radius. */
static const int corner_samples = 24;

struct recess {
    struct sw_planner *p;
    const struct sw_section *is;
    const struct sw_tool *tool;
    double nose, leave;
    double z_face, z_bottom, z_rivet; /* z_rivet: inner end of the section */
    double z_over;                    /* nothing but the seat stands in front of here */
    double z_back;                    /* nose centre place for moving across */
    double r_lip, r_bottom;           /* of the lip's wall at face and floor */
    double r_in;                      /* of the cylinder that the recess leaves */
    double r_wall;                    /* largest on the way in, beside the tip of the point */
    size_t cylinder;                  /* segment of the turned contour */
    struct sw_contour front[2];       /* what stands in front: the turned form, and an upper bound
                                         of what is not cut yet */
    struct sw_contour seat;           /* of the nose centre, from the floor out along the seat */
};

static struct sw_pt swap(struct sw_pt p)
{
    return (struct sw_pt){p.r, p.z};
}

static void swap_back(struct sw_pass *pass)
{
    pass->from = swap(pass->from);
    for (size_t i = 0; i < pass->run.n; i++) {
        struct sw_seg *seg = &pass->run.at[i];
        seg->a = swap(seg->a);
        seg->b = swap(seg->b);
        seg->c = swap(seg->c);
        seg->turn = -seg->turn;
    }
}

static enum sw_status refuse(struct sw_planner *p, const struct sw_section *is, const char *reason,
                             const char *hint)
{
    if (!reason)
        return SW_MEMORY;
    sw_diag_add(p->ctx->diag, SW_ERROR, "plan.recess", is->at, hint,
                "the recess of %s cannot be cut: %s", is->name, reason);
    return SW_CANNOT;
}

double sw_plan_recess_face(const struct sw_planner *p, const struct sw_zone *zone)
{
    const struct sw_section *is = &p->staff->section[zone->recess];
    return sw_plan_chucking_z(p->shape, p->now->end,
                              p->now->end == SW_SIDE_UPPER ? is->z0 : is->z1);
}

/* ---- where it is ---- */

/* The cylinder inside the recess: the innermost line of the section that reaches the floor. */
static enum sw_status find_cylinder(struct recess *of, size_t section)
{
    const struct sw_contour *turned = &of->p->turned;
    of->r_in = HUGE_VAL;
    for (size_t i = 0; i < turned->n; i++) {
        const struct sw_seg *seg = &turned->at[i];
        if (seg->tag != (int)section || fabs(seg->a.z - of->z_bottom) > SW_TOL_SLIVER ||
            seg->b.z < seg->a.z + SW_TOL_SLIVER || seg->a.r > of->r_in)
            continue;
        of->cylinder = i;
        of->r_in = seg->a.r;
    }
    return isfinite(of->r_in) ? SW_OK : SW_INTERNAL;
}

static enum sw_status find_front(struct recess *of)
{
    struct sw_planner *p = of->p;
    struct sw_contour form = {0};
    for (size_t i = of->cylinder; i < p->turned.n; i++)
        if (!sw_contour_add(p->ctx->arena, &form, p->turned.at[i]))
            return SW_MEMORY;
    SW_TRY(sw_contour_envelope(&of->front[0], &form, HUGE_VAL, HUGE_VAL, p->ctx));
    const double end = p->stock.n > 0 ? sw_contour_box(&p->stock).z1 : of->z_face;
    /* A blank's stock has the fillet there, which the plunges take. */
    const double from = p->blank ? of->z_over : of->z_face + near_face;
    if (end <= from)
        return SW_OK;
    return sw_contour_piece(&of->front[1], &p->stock, from, end, p->ctx);
}

/* The largest radius that stands beside the point on its way in. */
static enum sw_status find_wall(struct recess *of)
{
    of->r_wall = of->r_in;
    for (int i = 0; i < 2; i++) {
        struct sw_contour piece;
        SW_TRY(sw_contour_piece(&piece, &of->front[i], of->z_bottom,
                                of->z_back + of->p->shop->clearance.value, of->p->ctx));
        if (piece.n > 0)
            of->r_wall = fmax(of->r_wall, sw_contour_box(&piece).r1);
    }
    return SW_OK;
}

/* The part of a segment between two places along the axis it grows along. */
static struct sw_seg between(struct sw_seg seg, double z0, double z1)
{
    enum { HALVINGS = 40 }; /* a millimetre down to rounding */
    double share[2] = {0, 1};
    const double z[2] = {z0, z1};
    for (int end = 0; end < 2; end++) {
        if (end == 0 ? seg.a.z >= z[0] : seg.b.z <= z[1])
            continue;
        double low = 0, high = 1;
        for (int i = 0; i < HALVINGS; i++) {
            const double middle = (low + high) / 2;
            *(sw_seg_at(&seg, middle).z < z[end] ? &low : &high) = middle;
        }
        share[end] = (low + high) / 2;
    }
    return sw_seg_part(&seg, share[0], share[1]);
}

/* Corners next to the face are moved inside it. What that is off the contour is below a step of a
 * text with four decimals, for a seat leans less than the point's inner flank. */
static void clear_of_face(struct sw_pt *at, double z_face)
{
    if (fabs(at->z - z_face) < near_face)
        at->z = z_face - near_face;
}

/* The path of the nose centre along the cylinder and the seat, as far out as the fillet reached. */
static enum sw_status find_seat(struct recess *of)
{
    struct sw_ctx *ctx = of->p->ctx;
    const double z_top = of->z_over + of->nose;
    struct sw_contour form = {0}, offset;
    for (size_t i = of->cylinder; i < of->p->turned.n; i++) {
        if (!sw_contour_add(ctx->arena, &form, of->p->turned.at[i]))
            return SW_MEMORY;
        if (of->p->turned.at[i].b.z > z_top + of->nose)
            break;
    }
    SW_TRY(sw_contour_offset(&offset, &form, of->nose, ctx));
    for (size_t i = 0; i < offset.n; i++) {
        struct sw_seg seg = offset.at[i];
        if (seg.b.z < of->z_bottom + of->nose + SW_TOL_SLIVER)
            continue;
        if (seg.b.z < seg.a.z + SW_TOL_POINT || seg.a.z > z_top - SW_TOL_SLIVER)
            break; /* the end of a short seat */
        seg = between(seg, of->z_bottom + of->nose, z_top);
        if (seg.kind == SW_SEG_ARC && sw_seg_length(&seg) < near_face)
            seg = sw_seg_line(seg.a, seg.b, seg.tag); /* where a slow taper begins */
        struct sw_seg *last = of->seat.n > 0 ? &of->seat.at[of->seat.n - 1] : NULL;
        if (seg.kind == SW_SEG_LINE) {
            clear_of_face(&seg.b, of->z_face);
            seg.a = last ? last->b : seg.a;
        }
        const bool goes_on = last && last->kind == SW_SEG_LINE && seg.kind == SW_SEG_LINE &&
                             fabs(last->a.r - seg.b.r) < SW_TOL_POINT;
        if (goes_on)
            last->b = seg.b;
        else if (sw_pt_distance(seg.a, seg.b) > SW_TOL_POINT &&
                 !sw_contour_add(ctx->arena, &of->seat, seg))
            return SW_MEMORY;
    }
    return of->seat.n > 0 ? SW_OK : SW_INTERNAL;
}

static enum sw_status find_recess(struct recess *of, const struct sw_zone *zone,
                                  const struct sw_tool *turned_by)
{
    struct sw_planner *p = of->p;
    const bool is_upper = p->now->end == SW_SIDE_UPPER;
    of->z_face = sw_plan_recess_face(p, zone);
    of->z_bottom = of->z_face - of->is->recess_depth;
    of->z_rivet = of->z_face - (of->is->z1 - of->is->z0);
    SW_TRY(find_cylinder(of, zone->recess));
    /* Aimed at the middle of its limits, as the contour is. */
    const double shift = sw_section_middle(of->is) / 2;
    of->r_lip = (is_upper ? of->is->r0 : of->is->r1) + shift - of->is->recess_lip;
    of->r_bottom = of->r_lip - of->is->recess_depth * tan(of->is->recess_wall);
    /* The tool of this zone ran down the face; that of the one in front may have left more. */
    double fillet = turned_by->nose_radius.value;
    if (zone > p->zones.at && zone[-1].finish.tool)
        fillet = fmax(fillet, zone[-1].finish.tool->nose_radius.value);
    /* Of a blank the tools were those of its own turning, and left what its corner may keep. */
    if (zone->is_kept)
        fillet = fmax(fillet,
                      sw_blank_corner(p->staff, &of->is[p->now->end == SW_SIDE_UPPER ? -1 : 1])) +
                 p->unsure;
    of->z_over = of->z_face + fillet;
    of->z_back = of->z_over + of->nose + in_front;
    SW_TRY(find_front(of));
    SW_TRY(find_wall(of));
    return find_seat(of);
}

/* The form up to its segment LAST, swapped; the cylinder goes on in place of the seat. */
static enum sw_status swapped_form(struct sw_contour *out, const struct recess *of,
                                   const struct sw_contour *form, size_t last)
{
    struct sw_ctx *ctx = of->p->ctx;
    struct sw_contour cut = {0};
    for (size_t i = 0; i <= last; i++)
        if (!sw_contour_add(ctx->arena, &cut, form->at[i]))
            return SW_MEMORY;
    const struct sw_seg on =
        sw_seg_line(form->at[last].b, (struct sw_pt){of->z_back + of->nose, of->r_in}, SW_TAG_NONE);
    if (!sw_contour_add(ctx->arena, &cut, on))
        return SW_MEMORY;
    return sw_contour_swap(out, &cut, ctx);
}

/* Swapped locus of the nose over the recess. */
static enum sw_status recess_locus(struct sw_contour *out, const struct recess *of, double leave)
{
    struct sw_ctx *ctx = of->p->ctx;
    double low, high;
    sw_tool_flanks(&low, &high, of->tool);
    struct sw_contour swapped, offset;
    SW_TRY(swapped_form(&swapped, of, &of->p->turned, of->cylinder));
    SW_TRY(sw_contour_offset(&offset, &swapped, of->nose + leave, ctx));
    return sw_contour_envelope(out, &offset, tan(half_pi - high), HUGE_VAL, ctx);
}

/* ---- whether the point gets there ---- */

static enum sw_status check_form(const struct recess *of, const struct sw_contour *locus)
{
    struct sw_planner *p = of->p;
    struct sw_contour piece = {0};
    const double r_first = of->r_in + of->nose;
    if (r_first < of->r_lip - SW_TOL_SLIVER)
        SW_TRY(sw_contour_piece(&piece, locus, r_first, of->r_lip, p->ctx));
    const double reached = piece.n > 0 ? sw_contour_box(&piece).r0 - of->nose : of->z_face;
    if (reached > of->z_bottom + SW_TOL_CHORD)
        return refuse(p, of->is,
                      sw_arena_printf(p->ctx->arena,
                                      "%s (nose radius %.3f mm) stops %.3f mm above its bottom",
                                      of->tool->name.value, of->nose, reached - of->z_bottom),
                      "a narrower point, a wider recess, or a thinner lip");
    for (size_t i = 0; i < piece.n; i++) {
        const struct sw_seg *seg = &piece.at[i];
        if (seg->tag == SW_TAG_BRIDGE && sw_seg_length(seg) > SW_TOL_CHORD)
            return refuse(p, of->is, "the outer flank of the point touches the lip's wall first",
                          "a point with a smaller included angle, or a wall that leans further "
                          "from the axis");
    }
    return SW_OK;
}

/* How far what the nose leaves stands off the ceiling. */
static double left_in_corners(const struct recess *of, const struct sw_contour *locus,
                              const struct sw_contour *ceiling)
{
    double most = 0;
    const double step = of->nose / corner_samples;
    for (double r = of->r_in + step / 2; r < of->r_lip; r += step) {
        double left, top;
        if (!sw_plan_left_at(&left, locus, of->nose, r) || !sw_contour_r_at(&top, ceiling, r) ||
            left <= top)
            continue;
        most = fmax(most, sw_contour_distance(ceiling, (struct sw_pt){r, left}, NULL));
    }
    return most;
}

/* The least of what rivet and seat may be thicker than they shall be, on radius, less what four
 * decimals round to. */
static double may_keep(const struct recess *of)
{
    const struct sw_section *seat = of->is + (of->p->now->end == SW_SIDE_UPPER ? -1 : 1);
    const double rivet = of->is->diameter_tolerance.upper - sw_section_middle(of->is);
    const double other = seat->diameter_tolerance.upper - sw_section_middle(seat);
    return fmax(written, fmin(rivet, other) / 2 - written);
}

/* What the nose leaves in the corners, against what they may keep. */
static enum sw_status check_corners(const struct recess *of, const struct sw_contour *locus)
{
    struct sw_planner *p = of->p;
    const struct sw_contour *form = &p->ceiling;
    size_t last = form->n;
    while (last > 0 && form->at[last - 1].tag != (int)of->is->index)
        last--;
    if (last == 0)
        return SW_INTERNAL;
    struct sw_contour swapped, ceiling;
    SW_TRY(swapped_form(&swapped, of, form, last - 1));
    SW_TRY(sw_contour_envelope(&ceiling, &swapped, HUGE_VAL, HUGE_VAL, p->ctx));
    const double left = left_in_corners(of, locus, &ceiling), allowed = may_keep(of);
    if (left <= allowed)
        return SW_OK;
    return refuse(p, of->is,
                  sw_arena_printf(p->ctx->arena,
                                  "the nose of %s (radius %.3f mm) leaves %.1f um more in its "
                                  "corners than fits; at most %.1f um",
                                  of->tool->name.value, of->nose, 1000 * left, 1000 * allowed),
                  "a point with a smaller nose radius, or a wider or deeper recess");
}

/* Lowest place of an outline over Z; false beside it. */
static bool lowest_at(double *r, const struct sw_pt *outline, size_t n, double z)
{
    bool is_there = false;
    *r = HUGE_VAL;
    for (size_t i = 0; i + 1 < n; i++) {
        const struct sw_pt a = outline[i], b = outline[i + 1];
        if (fmin(a.z, b.z) > z || fmax(a.z, b.z) < z)
            continue;
        const double across = b.z - a.z;
        const double here =
            fabs(across) > SW_TOL_POINT ? a.r + (z - a.z) / across * (b.r - a.r) : fmin(a.r, b.r);
        *r = fmin(*r, here);
        is_there = true;
    }
    return is_there;
}

/* How far what stands in front reaches into an outline whose nose centre is AT; both are straight
 * between their points, so that these tell. */
static enum sw_status reaches_into(double *most, const struct recess *of,
                                   const struct sw_contour *front, const struct sw_contour *outline,
                                   struct sw_pt at)
{
    struct sw_ctx *ctx = of->p->ctx;
    struct sw_pt *tool, *work;
    size_t n_tool, n_work;
    SW_TRY(sw_contour_flatten(&tool, &n_tool, outline, SW_TOL_CHORD, 0, ctx));
    SW_TRY(sw_contour_flatten(&work, &n_work, front, SW_TOL_CHORD, 0, ctx));
    for (size_t i = 0; i < n_work; i++) {
        double r;
        if (work[i].z > of->z_face && lowest_at(&r, tool, n_tool, work[i].z - at.z))
            *most = fmax(*most, work[i].r - (r + at.r));
    }
    for (size_t i = 0; i < n_tool; i++) {
        double r;
        if (tool[i].z + at.z > of->z_face && sw_contour_r_at(&r, front, tool[i].z + at.z))
            *most = fmax(*most, r - (tool[i].r + at.r));
    }
    return SW_OK;
}

/* A blank may have grown more than the middle of what it may, on radius; the contour is that. */
static double grown_more(const struct recess *of)
{
    const struct sw_plan_blank *blank = of->p->blank;
    return blank ? (blank->how.grown_most - blank->how.grown_least) / 2 * of->r_wall : 0;
}

/* The point beside the seat, and its holder over what stands further out. */
static enum sw_status check_front(const struct recess *of)
{
    struct sw_planner *p = of->p;
    struct sw_contour outline[1 + SW_TOOL_BODIES];
    size_t n = 0;
    SW_TRY(sw_tool_cutting_outline(&outline[0], of->tool, p->ctx));
    SW_TRY(sw_tool_body_outlines(outline + 1, &n, of->tool, p->ctx));
    const struct sw_pt out = {of->z_back + p->shop->clearance.value,
                              of->r_wall + of->nose + off_seat};
    double most = 0;
    for (size_t k = 0; k < 2 * (1 + n); k++) {
        const struct sw_contour *front = &of->front[k % 2], *tool = &outline[k / 2];
        SW_TRY(reaches_into(&most, of, front, tool, of->seat.at[0].a));
        for (size_t i = 0; i < of->seat.n; i++)
            SW_TRY(reaches_into(&most, of, front, tool, of->seat.at[i].b));
        SW_TRY(reaches_into(&most, of, front, tool, out));
    }
    if (most <= SW_TOL_CHORD + grown_more(of))
        return SW_OK;
    return refuse(p, of->is,
                  sw_arena_printf(p->ctx->arena,
                                  "at its bottom %s or its holder would reach %.3f mm into what "
                                  "stands in front of the face",
                                  of->tool->name.value, most),
                  "a point with more clearance on its inner flank, a holder further back from its "
                  "nose, or a seat that grows less towards the tip");
}

/* Least height below the edge at which the heel touches the lip's wall, by the rule that counts
 * every move which has the lip outside its edge. */
static double heel_limit(const struct recess *of, const struct sw_op *op)
{
    double least = HUGE_VAL;
    for (size_t i = 0; i < op->n_passes; i++)
        for (size_t k = 0; k < op->pass[i].run.n; k++) {
            const struct sw_seg *seg = &op->pass[i].run.at[k];
            const struct sw_box box = sw_seg_box(seg);
            if (box.z0 > of->z_face + near_face)
                continue;
            const bool is_beside =
                seg->b.z < of->z_face - near_face / 2 && seg->b.z > of->z_rivet + near_face;
            least = fmin(least, sw_tool_heel_limit(of->tool, box.r1 + of->nose,
                                                   is_beside ? of->is->recess_wall : 0));
        }
    return least;
}

static enum sw_status check_heel(const struct recess *of, const struct sw_op *op)
{
    const double limit = heel_limit(of, op), heel = of->tool->heel_height.value;
    if (heel <= limit - SW_TOL_CHORD)
        return SW_OK;
    return refuse(of->p, of->is,
                  sw_arena_printf(of->p->ctx->arena,
                                  "the tool's heel (%.3f mm below the edge) rubs on the lip's wall "
                                  "from %.3f mm on",
                                  heel, limit),
                  "more relief below the edge, or a lower heel");
}

/* ---- passes ---- */

static enum sw_status add_plunge(struct sw_op *op, const struct recess *of, struct sw_contour run)
{
    const struct sw_pass pass = {
        .run = run,
        .from = {of->z_over + of->nose + SW_PLAN_LIFT / 2, of->r_wall + of->nose + off_seat}};
    return sw_plan_add_pass(op, pass, of->p->ctx);
}

/* Where the lip's wall lets a plunge at R end. */
static double lowest_beside(const struct recess *of, const struct sw_contour *locus, double r)
{
    double z = 0;
    return sw_contour_r_at(&z, locus, r + open_gap) ? z : of->z_face + of->nose;
}

/* What the turning tool left between seat and face, in steps from outside; the last plunge goes on
 * to the floor, so that levels end in the open: a nose that ran a level into a wall would meet the
 * corner that it left in the level before. */
static enum sw_status plunge_beside_seat(struct sw_op *op, const struct recess *of,
                                         const struct sw_contour *rough)
{
    const double fillet = of->z_over - of->z_face;
    const double r_first = of->r_in + fillet + of->nose, r_last = of->r_wall + of->nose + of->leave;
    const int n = (int)fmax(1, ceil((r_first - r_last) / op->depth - SW_TOL_SLIVER));
    for (int k = 1; k <= n; k++) {
        const double r = k < n ? r_first + (r_last - r_first) * k / n : r_last;
        const double z_face = of->z_face + of->nose;
        const double z = k < n ? z_face : fmin(z_face, lowest_beside(of, rough, r));
        const struct sw_pt top = {of->z_over + of->nose, r}, foot = {z, r};
        struct sw_contour run = {0};
        if (!sw_contour_add(of->p->ctx->arena, &run, sw_seg_line(top, foot, SW_TAG_NONE)))
            return SW_MEMORY;
        SW_TRY(add_plunge(op, of, run));
    }
    return SW_OK;
}

/* Along the seat OVER off its contour, as far down as ROUGH lets it. */
static enum sw_status plunge_along_seat(struct sw_op *op, const struct recess *of,
                                        const struct sw_contour *rough, double over)
{
    struct sw_contour run = {0};
    const double z_least =
        rough ? lowest_beside(of, rough, of->seat.at[0].a.r + over) : of->z_bottom + of->nose;
    for (size_t i = of->seat.n; i-- > 0;) {
        if (of->seat.at[i].b.z < z_least + SW_TOL_SLIVER)
            break;
        struct sw_seg seg = sw_seg_reverse(between(of->seat.at[i], z_least, of->z_over + of->nose));
        seg.a.r += over;
        seg.b.r += over;
        seg.c.r += over;
        if (!sw_contour_add(of->p->ctx->arena, &run, seg))
            return SW_MEMORY;
    }
    return run.n > 0 ? add_plunge(op, of, run) : SW_OK;
}

static enum sw_status cut_levels(struct sw_op *op, const struct recess *of,
                                 const struct sw_contour *rough)
{
    /* Swapped: "z" is the radius, "r" the place along the axis. Nothing is open from outside. */
    const struct sw_reach reach = {.locus = rough,
                                   .z_in = of->r_wall + of->nose + of->leave + open_gap,
                                   .z_out = of->r_lip,
                                   .z_plain = of->r_lip + 2 * SW_TOL_SLIVER};
    const struct sw_levels how = {.r_stock = of->z_face,
                                  .r_over = of->z_over + of->nose,
                                  .depth = op->depth,
                                  .z_free = of->r_lip,
                                  .nose = of->nose,
                                  .r_clear = of->z_back};
    const size_t first = op->n_passes;
    if (reach.z_in < reach.z_out - SW_TOL_SLIVER)
        SW_TRY(sw_plan_levels(op, &reach, &how, of->p->ctx));
    for (size_t i = first; i < op->n_passes; i++)
        swap_back(&op->pass[i]);
    return SW_OK;
}

static enum sw_status cut_wall_and_floor(struct sw_op *op, const struct recess *of,
                                         const struct sw_contour *locus)
{
    const struct sw_reach reach = {
        .locus = locus, .z_in = of->r_in + of->nose + open_gap, .z_out = of->r_lip};
    const size_t first = op->n_passes;
    SW_TRY(sw_plan_follow(op, &reach, op->depth, of->z_back, of->p->ctx));
    for (size_t i = first; i < op->n_passes; i++)
        swap_back(&op->pass[i]);
    return SW_OK;
}

/* Every pass comes along the axis, is drawn off the seat, and goes out in front of the face, where
 * the point only crosses to the next. */
static void draw_out(struct sw_op *op, const struct recess *of)
{
    for (size_t i = 0; i < op->n_passes; i++) {
        struct sw_pass *pass = &op->pass[i];
        const struct sw_pt end = pass->run.at[pass->run.n - 1].b;
        const double r = fmax(end.r, of->r_wall + of->nose) + off_seat;
        pass->lift = (struct sw_pt){end.z + fmax(SW_PLAN_LIFT, (r - end.r) / least_lean), r};
        pass->comes_axially = true;
        pass->leaves_axially = true;
        pass->back_z = fmax(of->z_back, pass->lift.z);
        pass->back_r = i + 1 < op->n_passes ? op->pass[i + 1].from.r : of->p->r_clear;
    }
}

/* What stands before it: the stock, and the fillet of the turning tool between seat and face. */
static enum sw_status stock_with_fillet(struct sw_contour *out, const struct recess *of)
{
    struct sw_ctx *ctx = of->p->ctx;
    const struct sw_contour *stock = &of->p->stock;
    const struct sw_box box = sw_contour_box(stock);
    const double r_top = of->r_wall + (of->z_over - of->z_face);
    struct sw_contour fillet = {0};
    if (box.z1 < of->z_over + SW_TOL_SLIVER) {
        *out = *stock;
        return SW_OK;
    }
    const struct sw_pt foot = {of->z_over, of->r_wall}, top = {of->z_face, r_top},
                       centre = {of->z_over, r_top};
    if (!sw_contour_add(ctx->arena, &fillet, sw_seg_arc(top, foot, centre, 1, SW_TAG_NONE)))
        return SW_MEMORY;
    return sw_contour_upper(out, stock, &fillet, ctx);
}

enum sw_status sw_plan_recess(struct sw_planner *p, const struct sw_zone *zone,
                              const struct sw_tool *turned_by)
{
    const struct sw_section *is = &p->staff->section[zone->recess];
    const struct sw_fitted tool = sw_plan_tool_of(p->shop, SW_TOOL_FACE_POINT, -1);
    if (!tool.tool)
        return refuse(p, is, "the shop has no point that works along the axis",
                      "fit a face-point tool");
    struct recess of = {.p = p, .is = is, .tool = tool.tool};
    struct sw_contour locus, rough, before;
    of.nose = tool.tool->nose_radius.value;
    SW_TRY(find_recess(&of, zone, turned_by));
    SW_TRY(recess_locus(&locus, &of, 0));
    SW_TRY(check_form(&of, &locus));
    SW_TRY(check_corners(&of, &locus));
    SW_TRY(check_front(&of));

    struct sw_op op = sw_plan_op(p, SW_OP_RECESS, SW_CUT_RECESS, tool, 2 * of.r_lip, zone->recess);
    op.what = sw_arena_printf(p->ctx->arena, "cut the recess of the %s", is->name);
    if (!op.what)
        return SW_MEMORY;
    const double most = tool.tool->most_depth.value;
    of.leave =
        fmin(sw_plan_op(p, SW_OP_RECESS, SW_CUT_FINISH, tool, 2 * of.r_lip, zone->recess).depth,
             most / 2);
    /* The last run takes a level's step and what was left together. */
    op.depth = fmin(op.depth, most - of.leave);
    SW_TRY(recess_locus(&rough, &of, of.leave));
    SW_TRY(plunge_beside_seat(&op, &of, &rough));
    SW_TRY(cut_levels(&op, &of, &rough));
    const double beside = of.r_wall - of.r_in;
    const int n = (int)ceil(beside / op.depth - SW_TOL_SLIVER);
    for (int k = 1; k <= n; k++)
        SW_TRY(plunge_along_seat(&op, &of, &rough, of.leave + beside * (n - k) / n));
    SW_TRY(plunge_along_seat(&op, &of, NULL, 0));
    SW_TRY(cut_wall_and_floor(&op, &of, &locus));
    SW_TRY(check_heel(&of, &op));
    draw_out(&op, &of);
    SW_TRY(stock_with_fillet(&before, &of));
    SW_TRY(sw_engage_tell(&op, p, &before));
    return sw_plan_add(p, op);
}
