#include "plan/spring.h"

#include <math.h>

#include "geom/tol.h"
#include "mech/speed.h"

/* A drawn-in path may stray from what is wanted between its points by this [mm]: a fifth of the
 * finest step that controls have. */
static const double stray = 2e-5;
/* Segments are halved at most so often: a hundredth of a pivot is straight enough for anything. */
enum { MOST_HALVINGS = 7 };
/* What the rounding of a text and the small lift at the feet of walls may add to a path drawn in,
 * in steps of that text. */
static const double rounding = 2;
/* Rounds of correcting a path; of what it leaves each takes away all but a few hundredths. */
enum { MOST_ROUNDS = 8, FOLLOWS = 6, HALVINGS = 40 };
/* Arcs longer than this [rad] are halved first, so that the short way between two points is meant.
 */
static const double long_arc = 1.5;

enum sw_status sw_spring_begin(struct sw_spring *s, struct sw_planner *p,
                               const struct sw_spring_cut *cut)
{
    struct sw_contour form;
    struct sw_bar_pieces pieces, own = {0};
    const bool hangs = p->hang.is_on;
    *s = (struct sw_spring){.z_clamp = sw_strength_root(p, cut->z_in),
                            .hangs = hangs,
                            .z_in = cut->z_in,
                            .z_out = cut->z_out,
                            .speed = cut->speed,
                            .depth = cut->depth,
                            .feed = cut->feed,
                            .most_in = cut->most_in};
    SW_TRY(sw_strength_behind(&pieces, p, hangs ? p->hang.z_top : cut->z_in, p->ctx));
    SW_TRY(
        sw_contour_envelope(&form, hangs ? &p->hang.form : cut->form, HUGE_VAL, HUGE_VAL, p->ctx));
    const double z_end =
        hangs ? p->hang.z_top : fmin(cut->z_out, sw_contour_box(&form).z1 - SW_TOL_SLIVER);
    /* A zone may be nothing but a face. */
    if (z_end > cut->z_in + SW_TOL_SLIVER)
        SW_TRY(sw_bar_pieces_of(&own, &form, hangs ? z_end : cut->z_in, hangs ? cut->z_in : z_end,
                                SW_BAR_ARC_SHARE, p->ctx));
    /* Going away from what bears it, a cut has thinned already what stands between. */
    const double over = hangs ? fmax(0, cut->over - cut->depth) : cut->over;
    const double start = pieces.n > 0 ? pieces.at[pieces.n - 1].z1 : 0;
    for (size_t i = 0; i < own.n; i++) {
        const struct sw_bar_piece piece = {own.at[i].z0 + start, own.at[i].z1 + start,
                                           own.at[i].d0 + 2 * over, own.at[i].d1 + 2 * over};
        if (!SW_VEC_PUSH(p->ctx->arena, &pieces, piece))
            return SW_MEMORY;
    }
    s->force = sw_strength_force(p, cut->tool, 0);
    return sw_strength_bar(&s->bar, p, &pieces, p->ctx);
}

/* The I-th place of a cut. */
static double place(const struct sw_spring *s, int i)
{
    return s->z_in + (s->z_out - s->z_in) * i / (SW_SPRING_PLACES - 1);
}

/* Of a place from the root, along the bar. */
static double along_bar(const struct sw_spring *s, double z, double least)
{
    const double at = s->hangs ? s->z_clamp - z : z - s->z_clamp;
    return fmin(fmax(at, least), sw_bar_length(&s->bar));
}

static double more_at(const struct sw_spring *s, double z)
{
    if (s->z_out - s->z_in < SW_TOL_SLIVER)
        return s->more[0];
    const double t = (z - s->z_in) / (s->z_out - s->z_in) * (SW_SPRING_PLACES - 1);
    const int i = t <= 0 ? 0 : (int)fmin(t, SW_SPRING_PLACES - 2);
    const double share = fmin(fmax(t - i, 0), 1);
    return s->more[i] + share * (s->more[i + 1] - s->more[i]);
}

/* How far the work gives way at Z under a cut DEPTH deep. */
static struct sw_spring_back bent(const struct sw_spring *s, double z, double depth)
{
    const double at = along_bar(s, z, 0);
    const double diameter = sw_bar_diameter(&s->bar, at);
    struct sw_force_case of = s->force;
    of.speed = sw_speed_surface(s->speed, diameter);
    const struct sw_force_band band = sw_force_turn(&of, depth, s->feed);
    /* The feed force at its radius bends towards the tool. Against it: in the high case it is not
     * counted on, in the low case it is at its most. */
    const struct sw_bar_forces forces[] = {
        {.at = at, .radius = diameter / 2, .thrust = band.low.thrust, .feed = band.high.feed},
        {.at = at,
         .radius = diameter / 2,
         .thrust = band.nominal.thrust,
         .feed = band.nominal.feed},
        {.at = at, .radius = diameter / 2, .thrust = band.high.thrust}};
    return (struct sw_spring_back){sw_bar_shift_at(&s->bar, at, &forces[0]).away,
                                   sw_bar_shift_at(&s->bar, at, &forces[1]).away,
                                   sw_bar_shift_at(&s->bar, at, &forces[2]).away, 0};
}

struct sw_spring_back sw_spring_at(const struct sw_spring *s, double z)
{
    struct sw_spring_back back = bent(s, z, s->depth);
    back.drawn_in = fmin(back.nominal + more_at(s, z), s->most_in);
    return back;
}

double sw_spring_leaves(const struct sw_spring *s, double z, double in)
{
    /* The less it gives way the more it takes, the more it takes the more it gives way: usually by
     * a hundredth of that, and following it settles at once. */
    double next = in;
    for (int i = 0; i < FOLLOWS; i++) {
        const double give = next;
        next = bent(s, z, s->depth + in - give).nominal;
        if (fabs(next - give) < SW_TOL_POINT)
            return next - in;
    }
    double low = 0, high = fmax(0, s->depth + in);
    for (int i = 0; i < HALVINGS; i++) {
        const double give = (low + high) / 2;
        const double depth = s->depth + in - give;
        *(bent(s, z, depth).nominal > give ? &low : &high) = give;
    }
    return (low + high) / 2 - in;
}

bool sw_spring_settle(struct sw_spring *s, double within, int *rounds)
{
    for (int round = 0; round < MOST_ROUNDS; round++) {
        double worst = 0;
        for (int i = 0; i < SW_SPRING_PLACES; i++) {
            const double in = sw_spring_at(s, place(s, i)).drawn_in;
            const double left = sw_spring_leaves(s, place(s, i), in);
            if (left > 0 && in > s->most_in - SW_TOL_POINT)
                continue; /* no further: were the work stiffer it would come out under size */
            worst = fmax(worst, fabs(left));
            s->more[i] += left;
        }
        if (rounds)
            *rounds = round + 1;
        if (worst <= within)
            return true;
    }
    return false;
}

struct sw_pass_load sw_spring_load(const struct sw_spring *s, double z)
{
    const double at = along_bar(s, z, SW_TOL_SLIVER);
    const double diameter = sw_bar_diameter(&s->bar, at);
    struct sw_force_case of = s->force;
    of.speed = sw_speed_surface(s->speed, diameter);
    const struct sw_force_band band = sw_force_turn(&of, s->depth, s->feed);
    const struct sw_bar_forces all = {.at = at,
                                      .radius = diameter / 2,
                                      .cutting = band.high.cutting,
                                      .thrust = band.high.thrust,
                                      .feed = band.high.feed};
    const struct sw_spring_back back = sw_spring_at(s, z);
    struct sw_pass_load load = sw_strength_pass_force(&band, s->depth);
    /* Neither force is counted on against the other. */
    const struct sw_bar_forces towards = {.at = at, .radius = diameter / 2, .feed = band.high.feed};
    load.bend = fmax(fabs(back.high), fabs(sw_bar_shift_at(&s->bar, at, &towards).away));
    load.stress = sw_stress_worst(&s->bar, &all).equivalent;
    load.limit = SW_PASS_BY_FINISH;
    return load;
}

double sw_spring_room(const struct sw_planner *p, const struct sw_zone *zone)
{
    const bool is_upper = p->now->end == SW_SIDE_UPPER;
    /* Its cut begins on what lies further out, finished by then; of work that hangs beyond it on
     * what is not cut yet, but down at the same radius. There the last slice lies outermost. */
    const bool is_end = zone->first == (is_upper ? 0 : p->staff->n - 1);
    const bool is_inner = p->hang.is_on ? zone->slice < zone->n_slices : zone->slice > 1;
    const size_t outermost = zone->is_tip || is_end || is_inner ? zone->first
                             : is_upper                         ? zone->first - 1
                                                                : zone->first + 1;
    const size_t low = outermost < zone->last ? outermost : zone->last;
    const size_t high = outermost < zone->last ? zone->last : outermost;
    const double grid = sw_post_step(p->post);
    double room = HUGE_VAL;
    for (size_t i = low; i <= high; i++) {
        const struct sw_section *is = &p->staff->section[i];
        room = fmin(room, (sw_section_middle(is) - is->diameter_tolerance.lower) / 2);
    }
    return fmax(0, room - rounding * grid);
}

double sw_spring_stress(const struct sw_spring *s, double z)
{
    const double at = along_bar(s, z, 0);
    const double diameter = sw_bar_diameter(&s->bar, at), reach = sw_stress_reach(&s->bar, at);
    struct sw_force_case of = s->force;
    of.speed = sw_speed_surface(s->speed, diameter);
    const struct sw_force high = sw_force_turn(&of, s->depth, s->feed).high;
    const struct sw_bar_forces forces = {.at = at,
                                         .radius = diameter / 2,
                                         .cutting = high.cutting,
                                         .thrust = high.thrust,
                                         .feed = high.feed};
    return reach > 0 ? sw_stress_worst_to(&s->bar, reach, &forces).equivalent : 0;
}

double sw_spring_off(const struct sw_spring_back *back)
{
    return 2 * fmax(back->high - back->drawn_in, back->drawn_in - back->low);
}

struct drawing {
    const struct sw_spring *spring;
    double nose;
    struct sw_op *op;
    struct sw_ctx *ctx;
};

/* Share of the thrust across the axis where a nose runs along a segment. */
static double across(const struct sw_seg *seg, double t)
{
    return fabs(sw_seg_direction(seg, t).z);
}

/* How far the path is to be drawn in at a place, with SHARE of the thrust across the axis. */
static double wanted(const struct drawing *d, const struct sw_seg *seg, double t, double share)
{
    const struct sw_pt at = sw_seg_at(seg, t), along = sw_seg_direction(seg, t);
    /* The nose touches where the surface looks at its centre, and the work lies below. */
    const double z_normal = along.z > 0 ? -along.r : along.r;
    const double z_contact = at.z - d->nose * z_normal;
    return fmin(share * sw_spring_at(d->spring, z_contact).drawn_in, at.r);
}

static struct sw_seg between(const struct sw_seg *seg, struct sw_pt a, struct sw_pt b)
{
    if (seg->kind == SW_SEG_LINE)
        return sw_seg_line(a, b, seg->tag);
    const double chord = sw_pt_distance(a, b);
    const double radius = fmax(sw_seg_radius(seg), chord / 2);
    const double height = sqrt(radius * radius - chord * chord / 4) * seg->turn;
    const struct sw_pt centre = {(a.z + b.z) / 2 - height * (b.r - a.r) / chord,
                                 (a.r + b.r) / 2 + height * (b.z - a.z) / chord};
    return sw_seg_arc(a, b, centre, seg->turn, seg->tag);
}

/* Draw in one segment, its ends by IN_A and IN_B. */
static enum sw_status draw_in(struct sw_contour *out, const struct drawing *d,
                              const struct sw_seg *seg, double in_a, double in_b, int halvings)
{
    const double share = across(seg, 0.5), middle = wanted(d, seg, 0.5, share);
    const bool is_long = seg->kind == SW_SEG_ARC && fabs(sw_seg_sweep(seg)) > long_arc;
    if (halvings < MOST_HALVINGS && (is_long || share * fabs(middle - (in_a + in_b) / 2) > stray)) {
        const struct sw_seg first = sw_seg_part(seg, 0, 0.5), second = sw_seg_part(seg, 0.5, 1);
        SW_TRY(draw_in(out, d, &first, in_a, middle, halvings + 1));
        return draw_in(out, d, &second, middle, in_b, halvings + 1);
    }
    const struct sw_pt b = {seg->b.z, seg->b.r - in_b};
    struct sw_pt a = {seg->a.z, seg->a.r - in_a};
    /* What was too short before it left no gap. */
    if (out->n > 0 && sw_pt_distance(out->at[out->n - 1].b, a) < 2 * SW_TOL_POINT)
        a = out->at[out->n - 1].b;
    if (share > 0.5) {
        d->op->drawn_in_least = fmin(d->op->drawn_in_least, fmin(in_a, in_b));
        d->op->drawn_in_most = fmax(d->op->drawn_in_most, fmax(in_a, in_b));
    }
    if (sw_pt_distance(a, b) < SW_TOL_POINT)
        return SW_OK;
    return sw_contour_add(d->ctx->arena, out, between(seg, a, b)) ? SW_OK : SW_MEMORY;
}

/* A joint takes the larger share of both its segments: a wall goes as deep as the floor it meets,
 * also where the floor belongs to another pass. */
static double joint_share(const struct sw_contour *run, size_t i)
{
    double share = 0;
    if (i > 0)
        share = fmax(share, across(&run->at[i - 1], 1));
    if (i < run->n)
        share = fmax(share, across(&run->at[i], 0));
    const bool ends_going_in = i == run->n && run->at[i - 1].b.r < run->at[i - 1].a.r;
    return ends_going_in ? 1 : share;
}

enum sw_status sw_spring_draw_in(struct sw_op *op, const struct sw_spring *s, struct sw_ctx *ctx)
{
    const struct drawing d = {s, op->tool->nose_radius.value, op, ctx};
    op->drawn_in_least = HUGE_VAL;
    op->drawn_in_most = 0;
    for (size_t k = 0; k < op->n_passes; k++) {
        struct sw_contour run = {0};
        const struct sw_contour *old = &op->pass[k].run;
        double in_a = wanted(&d, &old->at[0], 0, joint_share(old, 0));
        op->pass[k].from.r -= in_a;
        for (size_t i = 0; i < old->n; i++) {
            const double share = joint_share(old, i + 1);
            const double in_b = wanted(&d, &old->at[i], 1, share);
            if (share > 0.5) /* the foot of a wall goes with its floor, and counts */
                op->drawn_in_most = fmax(op->drawn_in_most, in_b);
            SW_TRY(draw_in(&run, &d, &old->at[i], in_a, in_b, 0));
            in_a = in_b;
        }
        op->drawn_in_most = fmax(op->drawn_in_most, in_a); /* at the foot of a wall, too */
        op->pass[k].run = run;
    }
    op->drawn_in_least = fmin(op->drawn_in_least, op->drawn_in_most);
    return SW_OK;
}

enum sw_status sw_plan_draw_in(struct sw_op *op, struct sw_spring *s, struct sw_planner *p)
{
    const double within = sw_post_step(p->post) / 2;
    if (!sw_spring_settle(s, within, NULL)) {
        const struct sw_section *is =
            op->section < p->staff->n ? &p->staff->section[op->section] : NULL;
        sw_diag_add(p->ctx->diag, SW_WARNING, "plan.bends", is ? is->at : (struct sw_span){0},
                    "gauge it at the pause; a shallower last cut, or more support",
                    "the path of \"%s\" cannot be corrected for bending: the work gives way by as "
                    "much as is cut",
                    op->what);
    }
    return sw_spring_draw_in(op, s, p->ctx);
}
