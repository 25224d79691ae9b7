/* Passes over a reach: levels for roughing, one run for a contour. A locus is single-valued in z,
 * so the places a level can be cut are plain stretches of z; a stretch open towards the free end
 * is entered from outside, one behind a ridge from above. */
#include <math.h>

#include "geom/tol.h"
#include "plan/plan_int.h"

/* A run down a wall stops this far above the finished surface at its foot: two steps of a text
 * with four decimals, so that it neither rubs nor cuts there [mm]. */
static const double foot_gap = 0.0002;
/* What stands less than this above a level is left to the next: it would only be rubbed [mm]. */
static const double graze = 0.001;
/* A tip is looked at in so many places of each of its arcs: none is longer than a quarter turn. */
enum { TIP_LOOKS = 16 };
/* Rapid moves end this far above where a feed begins [mm]. */
static const double set_down = 0.05;
/* Of that way the last stretch is fed as the cut is: walls of the next zone stand forward by what
 * is left on them for their own last cuts [mm]. */
static const double feed_in = 0.02;

/* The wall (square to the axis, rising inwards) of a locus within [z, z + offset]. */
static const struct sw_seg *wall_near(const struct sw_contour *locus, double z, double offset)
{
    const struct sw_seg *best = NULL;
    for (size_t i = 0; i < locus->n; i++) {
        const struct sw_seg *seg = &locus->at[i];
        const bool is_wall = seg->kind == SW_SEG_LINE && fabs(seg->a.z - seg->b.z) < SW_TOL_POINT &&
                             seg->a.r > seg->b.r + SW_TOL_SLIVER;
        if (is_wall && seg->a.z > z - SW_TOL_SLIVER && seg->a.z < z + offset + SW_TOL_SLIVER &&
            (!best || seg->a.r - seg->b.r > best->a.r - best->b.r))
            best = seg;
    }
    return best;
}

struct sw_reach sw_plan_reach(const struct sw_contour *locus, double z_in, double z_out,
                              double offset, bool is_tip, double z_plain)
{
    const struct sw_box box = sw_contour_box(locus);
    struct sw_reach reach = {.locus = locus, .z_in = z_in, .z_out = z_out, .is_tip = is_tip};
    const struct sw_seg *inner = wall_near(locus, z_in, offset);
    if (inner)
        reach.z_in = inner->a.z;
    reach.r_inner = inner ? inner->a.r : 0;
    reach.ends_at_wall = inner != NULL;
    if (is_tip) {
        reach.z_out = box.z1;
        reach.z_plain = z_plain;
        return reach;
    }
    const struct sw_seg *outer = wall_near(locus, z_out, offset);
    if (outer) {
        reach.z_out = outer->a.z;
        reach.starts_at_wall = true;
        reach.r_foot = outer->b.r;
        reach.r_top = outer->a.r;
    }
    /* Round the edge of a wall the locus falls off; what counts ends at the edge. */
    reach.z_plain = outer && z_out > reach.z_in + SW_TOL_SLIVER ? z_out : reach.z_out;
    return reach;
}

static struct sw_pass_load unknown_load(double depth)
{
    const double nan = (double)NAN;
    return (struct sw_pass_load){depth, nan, nan, nan, nan, nan, SW_PASS_AS_USUAL};
}

enum sw_status sw_plan_add_pass(struct sw_op *op, struct sw_pass pass, struct sw_ctx *ctx)
{
    /* Operations hold tens of passes: room grows by doubling, counted by the passes in it. */
    const size_t n = op->n_passes;
    if ((n & (n + 1)) == 0) {
        struct sw_pass *more = SW_NEW(ctx->arena, struct sw_pass, 2 * n + 1);
        if (!more)
            return SW_MEMORY;
        for (size_t i = 0; i < n; i++)
            more[i] = op->pass[i];
        op->pass = more;
    }
    if (!(pass.load.depth > 0))
        pass.load = unknown_load(op->depth);
    op->pass[op->n_passes++] = pass;
    return SW_OK;
}

/* HUGE_VAL where the nose finds no room between the walls: there it has nothing to do. */
static enum sw_status lowest(double *r, const struct sw_reach *reach, struct sw_ctx *ctx)
{
    struct sw_contour piece = {0};
    *r = HUGE_VAL;
    if (reach->z_plain < reach->z_in + SW_TOL_SLIVER)
        return SW_OK;
    SW_TRY(sw_contour_piece(&piece, reach->locus, reach->z_in, reach->z_plain, ctx));
    *r = piece.n > 0 ? sw_contour_box(&piece).r0 : 0;
    return SW_OK;
}

enum sw_status sw_plan_bottom(double *r, const struct sw_reach *reach, double nose,
                              struct sw_ctx *ctx)
{
    SW_TRY(lowest(r, reach, ctx));
    *r -= nose;
    return SW_OK;
}

/* Where a level meets material first that stands OVER it, coming from outside: everything further
 * out lies lower. */
static enum sw_status first_contact(double *z, const struct sw_levels *how, double r, double over,
                                    struct sw_ctx *ctx)
{
    struct sw_intervals below = {0};
    *z = how->z_free;
    if (!how->stock || how->stock->n == 0)
        return SW_OK;
    SW_TRY(sw_contour_below(&below, how->stock, r - how->nose + over, ctx));
    /* what the stock's end is asked for last: most stretches reach up to there or end far before */
    for (size_t i = 0; i < below.n; i++) {
        const double begin = below.at[i].z0 + how->nose + set_down, end = below.at[i].z1;
        if (begin < *z && (end >= how->z_free - SW_TOL_SLIVER ||
                           end >= sw_contour_box(how->stock).z1 - SW_TOL_SLIVER))
            *z = begin;
    }
    return SW_OK;
}

/* Whether a stretch lies within the one the last pass cut, so that nothing stands higher on the way
 * from its end. */
static bool lies_within_last(const struct sw_op *op, double z0, double z1)
{
    const struct sw_pass *last = &op->pass[op->n_passes - 1];
    return z0 >= last->run.at[last->run.n - 1].b.z - SW_TOL_SLIVER &&
           z1 <= last->from.z + SW_TOL_SLIVER;
}

/* One stretch of a level. False when there is nothing to cut in it. */
struct stretch {
    double z0, z1;
    double z_near; /* between z1 and here nothing stands: z1 where that is not known */
    bool is_open;
};

static enum sw_status stretch_of(struct stretch *out, bool *is_there, const struct sw_reach *reach,
                                 const struct sw_levels *how, const struct sw_interval *below,
                                 double r, struct sw_ctx *ctx)
{
    *is_there = false;
    out->z0 = fmax(below->z0, reach->z_in);
    out->z1 = fmin(below->z1, reach->z_out);
    if (out->z1 - out->z0 < SW_TOL_SLIVER)
        return SW_OK;
    out->is_open = out->z1 >= reach->z_plain - SW_TOL_SLIVER;
    if (!out->is_open && out->z1 - out->z0 < SW_LEAST_STRETCH)
        return SW_OK;
    double z_chip = out->z1;
    out->z_near = out->z1;
    if (out->is_open) {
        const double z_end = out->z1;
        SW_TRY(first_contact(&z_chip, how, r, graze, ctx));
        SW_TRY(first_contact(&out->z1, how, r, 0, ctx));
        /* A ridge further out, finished by now, stands in the way: in from above. */
        if (out->z1 > below->z1 + SW_TOL_SLIVER &&
            below->z1 < sw_contour_box(reach->locus).z1 - SW_TOL_SLIVER) {
            out->is_open = false;
            out->z1 = z_end;
        }
        const bool is_met = out->is_open && out->z1 < how->z_free - SW_TOL_SLIVER;
        out->z_near = is_met ? fmax(out->z1 - (set_down - feed_in), out->z0) : out->z1;
    }
    *is_there = z_chip > out->z0; /* else nothing but air, or dust */
    return SW_OK;
}

enum sw_status sw_plan_level_shape(struct sw_level_shape *shape, const struct sw_reach *reach,
                                   const struct sw_levels *how, double r, struct sw_ctx *ctx)
{
    struct sw_intervals below = {0};
    *shape = (struct sw_level_shape){0};
    SW_TRY(sw_contour_below(&below, reach->locus, r + SW_TOL_SLIVER, ctx));
    for (size_t i = 0; i < below.n; i++) {
        struct stretch stretch;
        bool is_there;
        SW_TRY(stretch_of(&stretch, &is_there, reach, how, &below.at[i], r, ctx));
        if (!is_there)
            continue;
        shape->length += stretch.z_near - stretch.z0;
        shape->air += stretch.z1 - stretch.z_near;
        shape->n_open += stretch.is_open;
        shape->n_closed += !stretch.is_open;
    }
    return SW_OK;
}

/* What a schedule says of one level; nothing for even steps. */
struct level_by {
    const struct sw_schedule_pass *pass;
    const struct sw_pass_load *load;
    double enter_feed;
};

static enum sw_status cut_level(struct sw_op *op, const struct sw_reach *reach,
                                const struct sw_levels *how, double r, double r_before,
                                struct level_by by, struct sw_ctx *ctx)
{
    struct sw_intervals below = {0};
    SW_TRY(sw_contour_below(&below, reach->locus, r + SW_TOL_SLIVER, ctx));
    for (size_t i = below.n; i-- > 0;) {
        struct sw_pass pass = {.feed = by.pass ? by.pass->feed : 0,
                               .speed = by.pass ? by.pass->speed : 0};
        pass.load = by.load ? *by.load : unknown_load(r_before - r);
        struct stretch stretch;
        bool is_there;
        SW_TRY(stretch_of(&stretch, &is_there, reach, how, &below.at[i], r, ctx));
        if (!is_there)
            continue;
        const double z0 = stretch.z0, z1 = stretch.z1;
        const bool is_open = stretch.is_open;
        const struct sw_pt start = {z1, r}, near = {stretch.z_near, r}, end = {z0, r};
        double r_over = fmax(r_before, how->r_over);
        if (z1 - z0 < SW_PLAN_NARROW)
            r_over = fmax(r_over, how->r_stock + how->nose);
        pass.from = is_open ? start : (struct sw_pt){z1, r_over + SW_PLAN_LIFT / 2};
        pass.enter_feed = is_open ? 0 : by.enter_feed;
        if (!sw_contour_add(ctx->arena, &pass.run, sw_seg_line(near, end, SW_TAG_NONE)))
            return SW_MEMORY;
        pass.enters_in_air = is_open;
        pass.lifts_into_air = true;
        pass.lift = (struct sw_pt){z0 + SW_PLAN_LIFT, r + SW_PLAN_LIFT};
        pass.back_r = pass.lift.r;
        if (op->n_passes > 0) {
            double *back_r = &op->pass[op->n_passes - 1].back_r;
            *back_r = lies_within_last(op, z0, z1) ? fmax(*back_r, pass.from.r) : how->r_clear;
        }
        SW_TRY(sw_plan_add_pass(op, pass, ctx));
    }
    return SW_OK;
}

static enum sw_status even_levels(struct sw_op *op, const struct sw_reach *reach,
                                  const struct sw_levels *how, double top, double bottom,
                                  struct sw_ctx *ctx)
{
    const int n = (int)ceil((top - bottom) / how->depth - SW_TOL_SLIVER);
    const double step = (top - bottom) / n;
    for (int k = 1; k <= n; k++) {
        const double r = k == n ? bottom : top - k * step;
        SW_TRY(cut_level(op, reach, how, r, top - (k - 1) * step, (struct level_by){0}, ctx));
    }
    return SW_OK;
}

enum sw_status sw_plan_levels(struct sw_op *op, const struct sw_reach *reach,
                              const struct sw_levels *how, struct sw_ctx *ctx)
{
    double bottom = 0;
    SW_TRY(lowest(&bottom, reach, ctx));
    if (how->r_floor > 0)
        bottom = fmax(bottom, how->r_floor + how->nose);
    const double top = how->r_stock + how->nose;
    if (top - bottom <= 0)
        return SW_OK;
    if (!how->schedule)
        SW_TRY(even_levels(op, reach, how, top, bottom, ctx));
    for (size_t i = 0; how->schedule && i < how->schedule->n; i++) {
        const struct sw_schedule_pass *pass = &how->schedule->pass[i];
        const double before = pass->r_old + how->nose;
        const bool is_last = i + 1 == how->schedule->n;
        const struct level_by by = {pass, how->load ? &how->load[i] : NULL,
                                    how->enter_feed ? how->enter_feed[i] : 0};
        SW_TRY(cut_level(op, reach, how, is_last ? bottom : before - pass->depth, before, by, ctx));
    }
    if (op->n_passes > 0)
        op->pass[op->n_passes - 1].back_r = how->r_clear;
    return SW_OK;
}

/* Down a wall square to the axis, from outside to its foot. Going in, only the nose is engaged;
 * running into a wall along the axis would lay the whole flank against it. */
static enum sw_status run_down_wall(struct sw_op *op, const struct sw_reach *reach, double z,
                                    double r_over, double r_end, double blend, double r_clear,
                                    struct sw_ctx *ctx)
{
    if (r_over - r_end < SW_TOL_SLIVER)
        return SW_OK;
    const struct sw_pt start = {z, r_over}, end = {z, r_end};
    struct sw_contour out = {0};
    /* What lies beside the wall may not be cut yet, and stand in the way out. */
    struct sw_pass pass = {
        .from = {z, r_over + set_down}, .back_r = r_clear, .enters_in_air = true};
    if (!sw_contour_add(ctx->arena, &pass.run, sw_seg_line(start, end, SW_TAG_NONE)))
        return SW_MEMORY;
    /* Out along the finished surface as far as its own run stopped short of the wall: the cusp
     * between the two noses goes, nothing else is touched. */
    if (blend > 0)
        SW_TRY(sw_contour_piece(&out, reach->locus, z, z + blend, ctx));
    for (size_t i = 0; i < out.n; i++) {
        struct sw_seg seg = out.at[i];
        seg.a.r += foot_gap;
        seg.b.r += foot_gap;
        seg.c.r += foot_gap;
        /* A slope that ends in the wall begins a trace above its foot. */
        if (i == 0 && seg.kind == SW_SEG_LINE)
            seg.a = end;
        if (!sw_contour_add(ctx->arena, &pass.run, seg))
            return SW_MEMORY;
    }
    const struct sw_pt last = pass.run.at[pass.run.n - 1].b;
    pass.lift = (struct sw_pt){last.z + SW_PLAN_LIFT, last.r + SW_PLAN_LIFT};
    return sw_plan_add_pass(op, pass, ctx);
}

/* The wall at the outer end; what is not cut yet below its floor is left alone. */
static enum sw_status run_down_outer(struct sw_op *op, const struct sw_reach *reach, double r_over,
                                     double r_clear, struct sw_ctx *ctx)
{
    const double r_foot = reach->r_foot + foot_gap;
    const bool has_floor = reach->r_floor > r_foot;
    return run_down_wall(op, reach, reach->z_out, r_over, has_floor ? reach->r_floor : r_foot,
                         has_floor ? 0 : reach->blend, r_clear, ctx);
}

/* The rest of the next zone's wall, where that zone was cut first. */
static enum sw_status run_down_inner(struct sw_op *op, const struct sw_reach *reach,
                                     double lead_depth, double r_clear, struct sw_ctx *ctx)
{
    double r_foot = 0;
    if (!sw_contour_r_at(&r_foot, reach->locus, reach->z_in + SW_TOL_SLIVER))
        return SW_OK;
    return run_down_wall(op, reach, reach->z_in, reach->r_inner_top + lead_depth, r_foot + foot_gap,
                         reach->stop_short, r_clear, ctx);
}

/* Over the tip to the axis, going in, for the same reason; what is left in PIECE is the rest. */
static enum sw_status run_in_over_tip(struct sw_op *op, const struct sw_reach *reach,
                                      struct sw_contour *piece, double lead_depth, double r_clear,
                                      struct sw_ctx *ctx)
{
    /* The tip is what lies outside the outermost stretch along the axis. */
    size_t n_rest = piece->n;
    while (n_rest > 0 &&
           !(piece->at[n_rest - 1].kind == SW_SEG_LINE &&
             fabs(piece->at[n_rest - 1].a.r - piece->at[n_rest - 1].b.r) < SW_TOL_SLIVER))
        n_rest--;
    if (n_rest == 0)
        return SW_OK;
    /* Off the axis the nose still takes what stood beside its foremost point. */
    struct sw_pass pass = {.back_r = r_clear, .enters_in_air = true};
    const struct sw_pt first = piece->at[n_rest - 1].b;
    /* Sloping in along the surface that the next run takes: fed straight in, both sides of the nose
     * would stand, and a few microns push as hard as a roughing cut. */
    const double z_low = reach->z_in + reach->stop_short + SW_PLAN_LEAD; /* clear of the face */
    const struct sw_pt start = {fmin(fmax(first.z - SW_PLAN_LEAD, z_low), first.z),
                                first.r + lead_depth};
    pass.from = (struct sw_pt){start.z, start.r + set_down};
    if (!sw_contour_add(ctx->arena, &pass.run, sw_seg_line(start, first, SW_TAG_NONE)))
        return SW_MEMORY;
    for (size_t i = n_rest; i < piece->n; i++)
        if (!sw_contour_add(ctx->arena, &pass.run, piece->at[i]))
            return SW_MEMORY;
    const struct sw_pt last = pass.run.at[pass.run.n - 1].b, axis = {reach->z_out, 0};
    if (sw_pt_distance(last, axis) > SW_TOL_POINT &&
        !sw_contour_add(ctx->arena, &pass.run, sw_seg_line(last, axis, SW_TAG_NONE)))
        return SW_MEMORY;
    pass.lift = (struct sw_pt){axis.z + SW_PLAN_LIFT, 0};
    piece->n = n_rest;
    return sw_plan_add_pass(op, pass, ctx);
}

enum sw_status sw_plan_follow_tip(struct sw_op *op, const struct sw_reach *reach, double lead_depth,
                                  double r_clear, struct sw_ctx *ctx)
{
    struct sw_contour piece = {0};
    SW_TRY(sw_contour_piece(&piece, reach->locus, reach->z_in, reach->z_out, ctx));
    return run_in_over_tip(op, reach, &piece, lead_depth, r_clear, ctx);
}

/* How far it is from S along N to the edge of a bar that ends square at AT. */
static double under_edge(struct sw_pt s, struct sw_pt n, struct sw_pt at)
{
    const double up = n.r > SW_TOL_SLIVER ? (at.r - s.r) / n.r : HUGE_VAL;
    const double out = n.z > SW_TOL_SLIVER ? (at.z - s.z) / n.z : HUGE_VAL;
    return fmin(up, out);
}

double sw_plan_tip_depth(const struct sw_reach *reach, double nose, struct sw_pt edge)
{
    double most = 0;
    for (size_t i = 0; i < reach->locus->n; i++) {
        const struct sw_seg *seg = &reach->locus->at[i];
        /* nor the wall at its inner end, which is the next zone's */
        if (seg->b.z < reach->z_in + SW_TOL_SLIVER || seg->a.r < SW_TOL_SLIVER)
            continue;
        for (int k = 0; k <= TIP_LOOKS; k++) {
            const double t = (double)k / TIP_LOOKS;
            const struct sw_pt at = sw_seg_at(seg, t), d = sw_seg_direction(seg, t);
            const struct sw_pt normal = {-d.r, d.z};
            const struct sw_pt s = {at.z - nose * normal.z, at.r - nose * normal.r};
            if (s.r > 0)
                most = fmax(most, under_edge(s, normal, edge));
        }
    }
    return most;
}

enum sw_status sw_plan_only_rises(bool *rises, const struct sw_reach *reach, size_t section,
                                  struct sw_ctx *ctx)
{
    const double z_end = reach->z_in + reach->stop_short;
    struct sw_contour piece = {0};
    *rises = false;
    const double z_out = reach->is_hung ? reach->z_run : reach->z_out;
    if (!reach->ends_at_wall || reach->is_tip || (reach->r_inner_top > 0 && !reach->is_hung) ||
        z_out - z_end < 2 * SW_PLAN_LEAD)
        return SW_OK;
    SW_TRY(sw_contour_piece(&piece, reach->locus, z_end, z_out, ctx));
    for (size_t i = 0; i < piece.n; i++) {
        const struct sw_seg *seg = &piece.at[i];
        const double top = fmax(seg->a.r, seg->b.r);
        if (seg->b.r > seg->a.r + SW_TOL_SLIVER || sw_seg_box(seg).r1 > top + SW_TOL_SLIVER) {
            *rises = false;
            return SW_OK;
        }
        *rises = *rises || (seg->tag == (int)section && seg->a.r > seg->b.r + SW_TOL_SLIVER &&
                            seg->b.z - seg->a.z > SW_TOL_SLIVER);
    }
    return SW_OK;
}

/* From the wall at the inner end to the free end, X going in all the way: the piece of the locus,
 * and off it where a run inwards comes to it. */
static enum sw_status follow_outwards(struct sw_op *op, const struct sw_contour *piece,
                                      struct sw_pt off, double lead_depth, double r_clear,
                                      struct sw_ctx *ctx)
{
    const struct sw_pt first = piece->at[0].a;
    const double r_over = first.r + lead_depth + SW_PLAN_KEEP_OFF;
    const struct sw_pt down = {first.z + SW_PLAN_LEAD, r_over + SW_PLAN_LEAD},
                       beside = {first.z, r_over};
    struct sw_pass pass = {.from = {down.z, r_over + set_down},
                           .back_r = r_clear,
                           .enters_in_air = true,
                           .lifts_into_air = true};
    if (!sw_contour_add(ctx->arena, &pass.run, sw_seg_line(down, beside, SW_TAG_NONE)) ||
        !sw_contour_add(ctx->arena, &pass.run, sw_seg_line(beside, first, SW_TAG_NONE)))
        return SW_MEMORY;
    for (size_t i = 0; i < piece->n; i++)
        if (!sw_contour_add(ctx->arena, &pass.run, piece->at[i]))
            return SW_MEMORY;
    const struct sw_pt last = piece->at[piece->n - 1].b;
    if (!sw_contour_add(ctx->arena, &pass.run, sw_seg_line(last, off, SW_TAG_NONE)))
        return SW_MEMORY;
    pass.lift = (struct sw_pt){off.z + SW_PLAN_LIFT, off.r + SW_PLAN_LIFT};
    return sw_plan_add_pass(op, pass, ctx);
}

enum sw_status sw_plan_follow(struct sw_op *op, const struct sw_reach *reach, double lead_depth,
                              double r_clear, struct sw_ctx *ctx)
{
    const double z_end = reach->ends_at_wall ? reach->z_in + reach->stop_short : reach->z_in;
    const double z_out = reach->is_hung ? reach->z_run : reach->z_out;
    const bool runs_down_inner = reach->ends_at_wall && reach->r_inner_top > 0;
    struct sw_contour piece = {0};
    if (z_end < z_out - SW_TOL_SLIVER)
        SW_TRY(sw_contour_piece(&piece, reach->locus, z_end, z_out, ctx));
    if (reach->starts_at_wall) {
        const double r_top = piece.n > 0 ? sw_contour_box(&piece).r1 : reach->r_top;
        SW_TRY(run_down_outer(op, reach, r_top + lead_depth, r_clear, ctx));
    }
    if (piece.n == 0)
        return SW_OK;
    if (reach->is_tip)
        SW_TRY(run_in_over_tip(op, reach, &piece, lead_depth, r_clear, ctx));
    if (piece.n == 0)
        return SW_OK;
    struct sw_pass pass = {.back_r = r_clear, .enters_in_air = true, .lifts_into_air = true};
    const struct sw_pt top = piece.at[piece.n - 1].b;
    /* From outside, sloping in over what is finished. */
    double r = top.r;
    if (!reach->starts_at_wall && sw_contour_r_at(&r, reach->locus, top.z + SW_PLAN_LEAD))
        r = fmax(r, top.r);
    const struct sw_pt start = {top.z + SW_PLAN_LEAD, r + lead_depth};
    if (reach->runs_outwards) {
        SW_TRY(follow_outwards(op, &piece, start, lead_depth, r_clear, ctx));
        return runs_down_inner ? run_down_inner(op, reach, lead_depth, r_clear, ctx) : SW_OK;
    }
    pass.from = (struct sw_pt){start.z, start.r + set_down};
    if (!sw_contour_add(ctx->arena, &pass.run, sw_seg_line(start, top, SW_TAG_NONE)))
        return SW_MEMORY;
    for (size_t i = piece.n; i-- > 0;)
        if (!sw_contour_add(ctx->arena, &pass.run, sw_seg_reverse(piece.at[i])))
            return SW_MEMORY;
    const struct sw_pt end = pass.run.at[pass.run.n - 1].b;
    pass.lift = (struct sw_pt){end.z + SW_PLAN_LIFT, end.r + SW_PLAN_LIFT};
    SW_TRY(sw_plan_add_pass(op, pass, ctx));
    if (runs_down_inner)
        SW_TRY(run_down_inner(op, reach, lead_depth, r_clear, ctx));
    return SW_OK;
}

enum sw_status sw_plan_leaves_at_most(struct sw_contour *out, const struct sw_contour *locus,
                                      double lower, double z0, double z1, struct sw_ctx *ctx)
{
    *out = (struct sw_contour){0};
    SW_TRY(sw_contour_piece(out, locus, z0, z1, ctx));
    for (size_t i = 0; i < out->n; i++) {
        out->at[i].a.r -= lower;
        out->at[i].b.r -= lower;
        out->at[i].c.r -= lower;
    }
    return SW_OK;
}
