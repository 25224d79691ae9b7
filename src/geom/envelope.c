/* Envelopes: the least function of z above a chain that a wedge-shaped tool can follow.
 *
 * First the chain becomes a function: between neighbouring breakpoints (ends, square tangents,
 * crossings) the highest piece counts. Then each flank gets one pass. A flank of slope m on the +z
 * side asks for f(z) = max over z0 >= z of g(z0) - m (z0 - z); with h(z) = g(z) - m z that is
 * m z + (running maximum of h from the right), so one sweep from right to left does it: where the
 * piece under the sweep is below the ray through the place of the last maximum, the ray is the
 * path; elsewhere the piece is, and the ray starts anew at its end. Every piece is cut where its
 * tangent has the slope m, so h is monotone on what is left and meets the ray at most once. The
 * other flank is the same pass on the mirrored function; the passes do not disturb each other,
 * since both are maxima over the same heights.
 * Comparing all rays from all vertices would do as well, but in cubic time.
 */
#include <math.h>
#include <stdlib.h>

#include "geom/geom_int.h"

/* A function of z: pieces with growing z, each starting where the one before ends (within
 * SW_TOL_POINT), and at every breakpoint the highest value there: top[i] belongs to the start of
 * piece i, top[n] to the end. */
struct func {
    struct sw_seg *piece;
    double *top;
    size_t n;
};

struct build {
    struct sw_arena *scratch;
    SW_VEC(struct sw_seg) pieces; /* single-valued, growing z */
    SW_VEC(struct sw_pt) points;  /* every end: it counts even where no piece does */
    SW_VEC(double) breaks;
};

static enum sw_status add_chain(struct build *build, const struct sw_contour *in)
{
    for (size_t i = 0; i < in->n; i++) {
        struct sw_seg piece[3];
        const int n = sw_geom_cut_at_z_extremes(&in->at[i], piece);
        for (int k = 0; k < n; k++) {
            if (!SW_VEC_PUSH(build->scratch, &build->points, piece[k].a) ||
                !SW_VEC_PUSH(build->scratch, &build->points, piece[k].b))
                return SW_MEMORY;
            if (sw_geom_is_square(&piece[k]))
                continue;
            if (piece[k].b.z < piece[k].a.z)
                piece[k] = sw_seg_reverse(piece[k]);
            if (!SW_VEC_PUSH(build->scratch, &build->pieces, piece[k]))
                return SW_MEMORY;
        }
    }
    return SW_OK;
}

static int compare_doubles(const void *a, const void *b)
{
    const double p = *(const double *)a, q = *(const double *)b;
    return p < q ? -1 : p > q;
}

static enum sw_status find_breaks(struct build *build)
{
    for (size_t i = 0; i < build->points.n; i++)
        if (!SW_VEC_PUSH(build->scratch, &build->breaks, build->points.at[i].z))
            return SW_MEMORY;
    struct sw_box *box = SW_NEW(build->scratch, struct sw_box, build->pieces.n);
    if (!box)
        return SW_MEMORY;
    for (size_t i = 0; i < build->pieces.n; i++)
        box[i] = sw_seg_box(&build->pieces.at[i]);
    for (size_t i = 0; i < build->pieces.n; i++)
        for (size_t k = i + 1; k < build->pieces.n; k++) {
            if (!sw_geom_boxes_touch(&box[i], &box[k]))
                continue;
            struct sw_geom_meeting found[SW_GEOM_MEETINGS];
            const struct sw_seg *s = &build->pieces.at[i];
            const int n = sw_geom_meet_all(s, &build->pieces.at[k], found);
            for (int m = 0; m < n; m++)
                if (!SW_VEC_PUSH(build->scratch, &build->breaks, sw_seg_at(s, found[m].s).z))
                    return SW_MEMORY;
        }
    if (build->breaks.n == 0)
        return SW_OK;
    qsort(build->breaks.at, build->breaks.n, sizeof build->breaks.at[0], compare_doubles);
    size_t n = 1;
    for (size_t i = 1; i < build->breaks.n; i++)
        if (build->breaks.at[i] - build->breaks.at[n - 1] > SW_TOL_POINT)
            build->breaks.at[n++] = build->breaks.at[i];
    build->breaks.n = n;
    return SW_OK;
}

/* The breakpoint that stands for Z: the last one not beyond it. */
static size_t break_of(const struct build *build, double z)
{
    size_t low = 0, high = build->breaks.n;
    while (high - low > 1) {
        const size_t mid = low + (high - low) / 2;
        if (build->breaks.at[mid] <= z)
            low = mid;
        else
            high = mid;
    }
    return low;
}

/* The piece that is highest between Z0 and Z1; the one in hand, KEEP, unless another is really
 * higher. NULL where there is none. */
static const struct sw_seg *highest_piece(const struct build *build, double z0, double z1,
                                          const struct sw_seg *keep)
{
    const struct sw_seg *best = NULL;
    double high = 0;
    const double mid = z0 + (z1 - z0) / 2;
    for (size_t i = 0; i < build->pieces.n; i++) {
        const struct sw_seg *piece = &build->pieces.at[i];
        if (piece->a.z > z0 + SW_TOL_POINT || piece->b.z < z1 - SW_TOL_POINT)
            continue;
        const double r = sw_geom_r_on(piece, mid);
        if (!best || r > high + SW_TOL_STRAIGHT || (piece == keep && r > high - SW_TOL_STRAIGHT)) {
            best = piece;
            high = r;
        }
    }
    return best;
}

/* Makes the function; ranges without any piece are an inner error unless they come from a chain of
 * near-square segments, IS_JOINED, where a straight line stands for them. */
static enum sw_status make_func(struct func *func, struct build *build, bool is_joined)
{
    SW_TRY(find_breaks(build));
    func->n = 0;
    if (build->breaks.n < 2)
        return SW_OK;
    const size_t n = build->breaks.n - 1;
    const double *z = build->breaks.at;
    func->piece = SW_NEW(build->scratch, struct sw_seg, n);
    func->top = SW_NEW(build->scratch, double, n + 1);
    if (!func->piece || !func->top)
        return SW_MEMORY;
    for (size_t i = 0; i <= n; i++)
        func->top[i] = -HUGE_VAL;
    for (size_t i = 0; i < build->points.n; i++) {
        double *top = &func->top[break_of(build, build->points.at[i].z)];
        *top = fmax(*top, build->points.at[i].r);
    }
    const struct sw_seg *keep = NULL;
    for (size_t i = 0; i < n; i++) {
        keep = highest_piece(build, z[i], z[i + 1], keep);
        if (!keep && !is_joined)
            return SW_INTERNAL;
        func->piece[i] =
            keep ? sw_geom_slice(keep, z[i], z[i + 1])
                 : sw_seg_line((struct sw_pt){z[i], func->top[i]},
                               (struct sw_pt){z[i + 1], func->top[i + 1]}, SW_TAG_BRIDGE);
        func->top[i] = fmax(func->top[i], func->piece[i].a.r);
        func->top[i + 1] = fmax(func->top[i + 1], func->piece[i].b.r);
    }
    func->n = n;
    return SW_OK;
}

static struct sw_seg mirrored(struct sw_seg seg)
{
    const struct sw_pt a = seg.a;
    seg.a = (struct sw_pt){-seg.b.z, seg.b.r};
    seg.b = (struct sw_pt){-a.z, a.r};
    seg.c.z = -seg.c.z;
    return seg; /* mirrored and run backwards: an arc keeps its sense */
}

static void mirror_func(struct func *func)
{
    for (size_t i = 0, k = func->n; i < k; i++) {
        k--;
        const struct sw_seg first = mirrored(func->piece[i]), last = mirrored(func->piece[k]);
        func->piece[i] = last;
        func->piece[k] = first;
    }
    for (size_t i = 0, k = func->n; i < k; i++, k--) {
        const double swap = func->top[i];
        func->top[i] = func->top[k];
        func->top[k] = swap;
    }
}

struct pass {
    struct sw_arena *scratch;
    double slope;
    struct sw_pt from;            /* the ray goes left and down from here */
    SW_VEC(struct sw_seg) pieces; /* from right to left */
    SW_VEC(double) tops;
};

static double ray_at(const struct pass *pass, double z)
{
    return pass->from.r - pass->slope * (pass->from.z - z);
}

static enum sw_status pass_emit(struct pass *pass, struct sw_seg seg)
{
    if (!SW_VEC_PUSH(pass->scratch, &pass->pieces, seg) ||
        !SW_VEC_PUSH(pass->scratch, &pass->tops, seg.a.r))
        return SW_MEMORY;
    return SW_OK;
}

static enum sw_status pass_bridge(struct pass *pass, double z0, double z1)
{
    const struct sw_pt a = {z0, ray_at(pass, z0)}, b = {z1, ray_at(pass, z1)};
    return pass_emit(pass, sw_seg_line(a, b, SW_TAG_BRIDGE));
}

/* Where the ray meets PART, whose start lies above the ray and whose end below it. */
static struct sw_pt ray_meets(const struct pass *pass, const struct sw_seg *part)
{
    if (part->kind == SW_SEG_LINE) {
        const double above = part->a.r - ray_at(pass, part->a.z);
        const double below = ray_at(pass, part->b.z) - part->b.r;
        const double z = part->a.z + (part->b.z - part->a.z) * (above / (above + below));
        return (struct sw_pt){z, ray_at(pass, z)};
    }
    const double size = hypot(1, pass->slope), radius = sw_seg_radius(part);
    const struct sw_pt way = {1 / size, pass->slope / size};
    const double along = sw_geom_dot(sw_geom_less(part->c, pass->from), way);
    const struct sw_pt foot = sw_geom_plus(pass->from, sw_geom_times(way, along));
    const double height = fmin(sw_pt_distance(foot, part->c), radius);
    const double half = sqrt((radius - height) * (radius + height));
    struct sw_pt best = part->a;
    double least = HUGE_VAL;
    for (int side = -1; side <= 1; side += 2) {
        const struct sw_pt p = sw_geom_plus(foot, sw_geom_times(way, side * half));
        double off;
        sw_seg_nearest(part, p, &off);
        if (off < least) {
            least = off;
            best = p;
        }
    }
    best.z = sw_geom_clamp(best.z, part->a.z, part->b.z);
    return best;
}

/* One part on which the height above the ray's direction is monotone. */
static enum sw_status pass_part(struct pass *pass, struct sw_seg part)
{
    const double over_a = part.a.r - ray_at(pass, part.a.z);
    const double over_b = part.b.r - ray_at(pass, part.b.z);
    if (over_a <= SW_TOL_POINT) {
        if (over_a >= -SW_TOL_POINT && over_b >= -SW_TOL_POINT)
            return pass_emit(pass, part); /* runs along the ray: it is still the part */
        return pass_bridge(pass, part.a.z, part.b.z);
    }
    if (over_b < -SW_TOL_POINT) {
        const struct sw_pt meet = ray_meets(pass, &part);
        if (meet.z < part.b.z - SW_TOL_POINT) {
            SW_TRY(pass_bridge(pass, meet.z, part.b.z));
            if (sw_pt_distance(part.a, meet) <= SW_TOL_POINT)
                part = sw_seg_line(part.a, meet, part.tag);
            part.b = meet;
        }
    }
    SW_TRY(pass_emit(pass, part));
    pass->from = part.a;
    return SW_OK;
}

static enum sw_status pass_piece(struct pass *pass, const struct sw_seg *piece)
{
    if (piece->kind == SW_SEG_ARC) {
        const double scale = sw_seg_radius(piece) / hypot(1, pass->slope) * piece->turn;
        const struct sw_pt level = {piece->c.z + pass->slope * scale, piece->c.r - scale};
        if (level.z > piece->a.z + SW_TOL_POINT && level.z < piece->b.z - SW_TOL_POINT) {
            struct sw_seg left = *piece, right = *piece;
            left.b = level;
            right.a = level;
            SW_TRY(pass_part(pass, right));
            return pass_part(pass, left);
        }
    }
    return pass_part(pass, *piece);
}

/* Limits the slope of FUNC to SLOPE: the flank on the +z side. */
static enum sw_status limit_slope(struct func *func, double slope, struct sw_arena *scratch)
{
    if (func->n == 0 || isinf(slope))
        return SW_OK;
    struct pass pass = {.scratch = scratch, .slope = slope};
    pass.from = (struct sw_pt){func->piece[func->n - 1].b.z, func->top[func->n]};
    if (!SW_VEC_PUSH(scratch, &pass.tops, func->top[func->n]))
        return SW_MEMORY;
    for (size_t i = func->n; i-- > 0;) {
        const struct sw_seg *piece = &func->piece[i];
        SW_TRY(pass_piece(&pass, piece));
        const double ray = ray_at(&pass, piece->a.z), top = func->top[i];
        if (top > ray)
            pass.from = (struct sw_pt){piece->a.z, top};
        pass.tops.at[pass.tops.n - 1] = fmax(top, ray);
    }
    const size_t n = pass.pieces.n;
    for (size_t i = 0; i < n - 1 - i; i++) {
        const struct sw_seg swap = pass.pieces.at[i];
        pass.pieces.at[i] = pass.pieces.at[n - 1 - i];
        pass.pieces.at[n - 1 - i] = swap;
    }
    for (size_t i = 0; i < n - i; i++) {
        const double swap = pass.tops.at[i];
        pass.tops.at[i] = pass.tops.at[n - i];
        pass.tops.at[n - i] = swap;
    }
    *func = (struct func){pass.pieces.at, pass.tops.at, n};
    return SW_OK;
}

static bool add_jump(struct sw_arena *arena, struct sw_contour *out, double z, double from,
                     double to, int tag)
{
    if (fabs(to - from) <= SW_TOL_POINT)
        return true;
    return sw_geom_append(arena, out,
                          sw_seg_line((struct sw_pt){z, from}, (struct sw_pt){z, to}, tag));
}

static enum sw_status write_func(struct sw_contour *out, const struct func *func,
                                 struct sw_arena *arena)
{
    struct sw_contour made = {0};
    for (size_t i = 0; i <= func->n && func->n > 0; i++) {
        const struct sw_seg *before = i > 0 ? &func->piece[i - 1] : NULL;
        const struct sw_seg *after = i < func->n ? &func->piece[i] : NULL;
        const struct sw_seg *high = !before || (after && after->a.r > before->b.r) ? after : before;
        const double z = made.n ? made.at[made.n - 1].b.z : after ? after->a.z : 0;
        const double low0 = before ? before->b.r : func->top[i];
        const double low1 = after ? after->a.r : func->top[i];
        const double top = fmax(fmax(func->top[i], low0), low1);
        if (!add_jump(arena, &made, z, low0, top, high->tag) ||
            !add_jump(arena, &made, z, top, low1, high->tag))
            return SW_MEMORY;
        if (after && !sw_geom_append(arena, &made, *after))
            return SW_MEMORY;
    }
    *out = made;
    return SW_OK;
}

static enum sw_status envelope_in(struct sw_contour *out, const struct sw_contour *in,
                                  double tan_right, double tan_left, struct sw_arena *scratch,
                                  struct sw_arena *arena)
{
    struct build build = {.scratch = scratch};
    struct func func = {0};
    SW_TRY(add_chain(&build, in));
    SW_TRY(make_func(&func, &build, true));
    SW_TRY(limit_slope(&func, tan_right, scratch));
    if (!isinf(tan_left)) {
        mirror_func(&func);
        SW_TRY(limit_slope(&func, tan_left, scratch));
        mirror_func(&func);
    }
    return write_func(out, &func, arena);
}

enum sw_status sw_contour_envelope(struct sw_contour *out, const struct sw_contour *in,
                                   double tan_right, double tan_left, struct sw_ctx *ctx)
{
    if (!(tan_right >= 0) || !(tan_left >= 0) || !sw_contour_is_joined(in))
        return SW_INTERNAL;
    struct sw_arena *scratch = sw_arena_new();
    if (!scratch)
        return SW_MEMORY;
    const enum sw_status status = envelope_in(out, in, tan_right, tan_left, scratch, ctx->arena);
    sw_arena_free(scratch);
    return status;
}

static enum sw_status upper_in(struct sw_contour *out, const struct sw_contour *a,
                               const struct sw_contour *b, struct sw_arena *scratch,
                               struct sw_arena *arena)
{
    struct build build = {.scratch = scratch};
    struct func func = {0};
    SW_TRY(add_chain(&build, a));
    SW_TRY(add_chain(&build, b));
    SW_TRY(make_func(&func, &build, false));
    return write_func(out, &func, arena);
}

enum sw_status sw_contour_upper(struct sw_contour *out, const struct sw_contour *a,
                                const struct sw_contour *b, struct sw_ctx *ctx)
{
    struct sw_arena *scratch = sw_arena_new();
    if (!scratch)
        return SW_MEMORY;
    const enum sw_status status = upper_in(out, a, b, scratch, ctx->arena);
    sw_arena_free(scratch);
    return status;
}
