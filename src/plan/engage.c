#include "plan/engage_int.h"

#include <math.h>

#include "geom/tol.h"
#include "mech/force.h"
#include "mech/speed.h"
#include "mech/stress.h"

static const double pi = 3.14159265358979323846;
/* A way is looked at in so many places of each of its segments, more on long ones. */
enum { LEAST_PLACES = 4, MOST_PLACES = 40 };
static const double place_every = 0.3; /* nose radii */
/* Less than this is what rounding and the looks' steps leave, not metal [mm]. */
static const double dust = 0.0005;
/* Just beyond the nose [mm]. */
static const double beside = 0.001;
/* An edge that would lie along its way or against it counts as this far from it [rad]. */
static const double least_lead = 0.05;

static enum sw_status add_past(struct sw_engage *e, const struct sw_op *op, size_t n, double z0,
                               double z1)
{
    for (size_t k = 0; k < n; k++)
        for (size_t i = 0; i < op->pass[k].run.n; i++) {
            const struct sw_seg *seg = &op->pass[k].run.at[i];
            const struct sw_past past = {op->tool, *seg, sw_seg_box(seg)};
            if (past.box.z1 >= z0 && past.box.z0 <= z1 &&
                !SW_VEC_PUSH(e->p->ctx->arena, &e->past, past))
                return SW_MEMORY;
        }
    return SW_OK;
}

static bool is_pause(const struct sw_op *op)
{
    return op->kind == SW_OP_MEASURE || op->kind == SW_OP_TRY;
}

/* All that could have cut near the K-th pass before it. */
static enum sw_status find_past(struct sw_engage *e, size_t k)
{
    const struct sw_pass *pass = &e->op->pass[k];
    const struct sw_box box = sw_contour_box(&pass->run);
    const double far = e->op->tool->nose_radius.value + e->op->tool->most_depth.value;
    e->past.n = 0;
    for (size_t i = 0; i < e->p->ops.n; i++) {
        const struct sw_op *op = &e->p->ops.at[i];
        if (is_pause(op))
            continue;
        const double wide = far + op->tool->nose_radius.value;
        SW_TRY(add_past(e, op, op->n_passes, box.z0 - wide, fmax(box.z1, pass->from.z) + wide));
    }
    return add_past(e, e->op, k, box.z0 - 2 * far, fmax(box.z1, pass->from.z) + 2 * far);
}

/* ---- forces ---- */

static bool goes_across(struct sw_pt way)
{
    return fabs(way.r) > fabs(way.z);
}

/* On which side a way leaves its surface. */
enum side { LEFT, RIGHT, AHEAD /* a plunge: work stands on both sides */ };

static struct sw_pt towards(enum side side, struct sw_pt way)
{
    return side == LEFT    ? (struct sw_pt){-way.r, way.z}
           : side == RIGHT ? (struct sw_pt){way.r, -way.z}
                           : way;
}

/* Just beyond the nose on a side, AHEAD of its centre. */
static bool stands_beyond(const struct sw_engage *e, const struct sw_place *at, enum side side,
                          double ahead)
{
    const double far = e->op->tool->nose_radius.value + beside;
    const struct sw_pt to = towards(side, at->way);
    return sw_engage_stands(e, (struct sw_pt){at->centre.z + far * to.z + ahead * at->way.z,
                                              at->centre.r + far * to.r + ahead * at->way.r});
}

static enum side side_of(const struct sw_engage *e, const struct sw_place *at,
                         const struct sw_taken *taken)
{
    const double nose = e->op->tool->nose_radius.value;
    const bool on_left = stands_beyond(e, at, LEFT, 0), on_right = stands_beyond(e, at, RIGHT, 0);
    const bool along_axis = e->op->tool->kind.value == SW_TOOL_FACE_POINT && !goes_across(at->way);
    if (along_axis && at->way.z < 0)
        return AHEAD;
    /* What stands on both sides of its foremost point stands in its way. */
    if (goes_across(at->way) && at->way.r < 0 && stands_beyond(e, at, LEFT, nose - beside) &&
        stands_beyond(e, at, RIGHT, nose - beside))
        return AHEAD;
    if (on_left != on_right)
        return on_left ? LEFT : RIGHT;
    return fabs(taken->to - nose) <= fabs(taken->from + nose) ? LEFT : RIGHT;
}

/* Angle of the edge that goes ahead against the way, counted from the surface INTO. */
static double lead_of(const struct sw_engage *e, const struct sw_place *at, struct sw_pt into)
{
    const bool is_left = -at->way.r * into.z + at->way.z * into.r > 0;
    const int sense = is_left ? -1 : 1;
    const double normal = sense > 0 ? e->low - pi / 2 : e->high + pi / 2;
    const double lead = remainder(sense * (normal - atan2(into.r, into.z)), 2 * pi);
    return fmin(fmax(lead, least_lead), pi - least_lead);
}

/* Into and out of the work, of a force that may lie between two values, along WAYS. */
struct both_ways {
    double plus, minus; /* neither negative */
};

static struct both_ways along(double thrust, double into, double feed, double way)
{
    return (struct both_ways){thrust * fmax(0, into) + feed * fmax(0, way),
                              thrust * fmax(0, -into) + feed * fmax(0, -way)};
}

/* The stock where its record does not reach as far as OP does. */
static enum sw_status go_on_inwards(struct sw_planner *then, const struct sw_engage *e,
                                    const struct sw_op *op)
{
    const struct sw_pt end = {e->z_record, e->r_behind};
    struct sw_contour in = {0};
    double z = e->z_record;
    for (size_t i = 0; i < op->n_passes; i++)
        z = fmin(z, sw_contour_box(&op->pass[i].run).z0);
    if (z > e->z_record - SW_TOL_SLIVER)
        return SW_OK;
    if (!sw_contour_add(e->p->ctx->arena, &in,
                        sw_seg_line((struct sw_pt){z, end.r}, end, SW_TAG_NONE)))
        return SW_MEMORY;
    return sw_plan_stock_between(then, &in, &(struct sw_contour){0});
}

/* What stands before the K-th pass, in stairs: the levels since the last contour was finished
 * lowered it. A recess leaves the bar as stout as it was. */
static enum sw_status find_left(struct sw_engage *e, size_t k)
{
    struct sw_planner then = *e->p;
    struct sw_op own = *e->op;
    size_t first = e->p->ops.n;
    own.n_passes = k;
    SW_TRY(go_on_inwards(&then, e, &own));
    while (first > 0 && e->p->ops.at[first - 1].kind != SW_OP_FINISH)
        first--;
    for (size_t i = first; i <= e->p->ops.n; i++) {
        const struct sw_op *op = i < e->p->ops.n ? &e->p->ops.at[i] : &own;
        if ((op->kind == SW_OP_ROUGH || op->kind == SW_OP_TROUGH) && op->n_passes > 0)
            SW_TRY(sw_plan_stock_cut(&then, op));
    }
    e->left = then.stock;
    return SW_OK;
}

/* The bar that bears a cut at Z; in a bush each place has its own. */
static void find_bar(struct sw_engage *e, double z)
{
    struct sw_planner then = *e->p;
    struct sw_bar_pieces pieces;
    if (e->status != SW_OK || (e->has_bar && !e->p->now->in_bush))
        return;
    then.stock = e->left;
    e->z_root = sw_strength_root(e->p, z);
    e->status = sw_strength_behind(&pieces, &then, z, e->p->ctx);
    e->has_bar = e->status == SW_OK && pieces.n > 0;
    if (e->has_bar)
        e->status = sw_strength_bar(&e->bar, e->p, &pieces, e->p->ctx);
}

static void bend(struct sw_pass_load *load, struct sw_engage *e, double z, double r, double cutting,
                 struct both_ways away, struct both_ways inward)
{
    if (e->p->now->in_bush)
        find_bar(e, z);
    if (e->status != SW_OK || !e->has_bar)
        return; /* at the nose face itself nothing stands out that could bend */
    const double from_root = e->p->hang.is_on ? e->z_root - z : z - e->z_root;
    const double a = fmin(fmax(from_root, SW_TOL_SLIVER), sw_bar_length(&e->bar));
    const double give = sw_bar_compliance(&e->bar, a, a), turn = r * sw_bar_rotation(&e->bar, a, a);
    /* What pushes along the axis at its radius bends towards the tool. Neither is counted on
     * against the other, and both where they bend alike. */
    load->bend =
        fmax(away.plus * give + inward.minus * turn, away.minus * give + inward.plus * turn);
    const double reach = sw_stress_reach(&e->bar, a);
    if (reach <= 0)
        return;
    const double thrust[] = {away.plus, -away.minus}, feed[] = {inward.plus, -inward.minus};
    for (int i = 0; i < 4; i++) {
        const struct sw_bar_forces forces = {
            .at = a, .radius = r, .cutting = cutting, .thrust = thrust[i / 2], .feed = feed[i % 2]};
        load->stress = fmax(load->stress, sw_stress_worst_to(&e->bar, reach, &forces).equivalent);
    }
}

static struct sw_pass_load load_at(struct sw_engage *e, const struct sw_place *at, enum side side,
                                   double depth)
{
    const double nose = e->op->tool->nose_radius.value;
    const struct sw_pt into = towards(side, at->way);
    const struct sw_pt left = {at->centre.z + nose * into.z, fmax(0, at->centre.r + nose * into.r)};
    const double at_turns = sw_speed_surface(at->turns, 2 * left.r);
    const double surface = e->op->is_surface_speed ? fmin(e->op->speed, at_turns) : at_turns;
    struct sw_force_case of = sw_strength_force(e->p, e->op->tool, surface);
    of.edge.lead = side == AHEAD ? pi / 2 : lead_of(e, at, into);
    const struct sw_force_band band =
        side == AHEAD ? sw_force_part(&of, depth, at->feed) : sw_force_turn(&of, depth, at->feed);
    struct sw_pass_load load = sw_strength_pass_force(&band, depth);
    load.bend = load.stress = 0;
    /* thrust goes into the surface, the feed force along the way */
    const double thrust = fmax(band.high.thrust, -band.low.thrust);
    const double feed = fmax(band.high.feed, -band.low.feed);
    bend(&load, e, left.z, left.r, band.high.cutting, along(thrust, -into.r, feed, -at->way.r),
         along(thrust, -into.z, feed, -at->way.z));
    return load;
}

/* ---- along a way ---- */

static void keep_most(struct sw_pass_load *most, const struct sw_pass_load *load)
{
    if (load->force_high > most->force_high) {
        most->depth = load->depth;
        most->force_low = load->force_low;
        most->force_nominal = load->force_nominal;
        most->force_high = load->force_high;
    }
    most->bend = fmax(most->bend, load->bend);
    most->stress = fmax(most->stress, load->stress);
}

static void follow(struct sw_pass_load *most, struct sw_engage *e, const struct sw_seg *seg,
                   double feed, double turns)
{
    const int wanted =
        (int)ceil(sw_seg_length(seg) / (place_every * e->op->tool->nose_radius.value));
    const int n = wanted < LEAST_PLACES  ? LEAST_PLACES
                  : wanted > MOST_PLACES ? MOST_PLACES
                                         : wanted;
    struct sw_taken taken[MOST_PLACES];
    struct sw_place at[MOST_PLACES];
    int most_i = 0;
    for (int i = 0; i < n; i++) {
        const double t = (i + 0.5) / n;
        at[i] = (struct sw_place){sw_seg_at(seg, t), sw_seg_direction(seg, t), feed, turns};
        taken[i] = sw_engage_taken(e, &at[i]);
        if (taken[i].depth > taken[most_i].depth)
            most_i = i;
    }
    /* One side for all of it, as it is where most is taken: at its ends other work is near. */
    const enum side side = side_of(e, &at[most_i], &taken[most_i]);
    for (int i = 0; i < n; i++) {
        if (taken[i].depth < dust)
            continue;
        const struct sw_pass_load load = load_at(e, &at[i], side, taken[i].depth);
        keep_most(most, &load);
    }
}

static enum sw_status of_pass(struct sw_pass_load *most, struct sw_engage *e, size_t k)
{
    const struct sw_op *op = e->op;
    const struct sw_pass *pass = &op->pass[k];
    const double feed = pass->feed > 0 ? pass->feed : op->feed;
    const double turns = op->is_surface_speed ? op->speed_clamp
                         : pass->speed > 0    ? pass->speed
                                              : op->speed;
    const struct sw_pt start = pass->run.at[0].a;
    *most = (struct sw_pass_load){0};
    SW_TRY(find_past(e, k));
    SW_TRY(find_left(e, k));
    e->has_bar = false;
    const struct sw_box run = sw_contour_box(&pass->run), stands = sw_contour_box(&e->left);
    /* As far as the pass goes from what bears it. */
    find_bar(e, e->p->hang.is_on ? fmax(run.z0, stands.z0) : fmin(run.z1, stands.z1));
    if (!pass->enters_in_air && sw_pt_distance(pass->from, start) > SW_TOL_POINT) {
        const struct sw_seg in = sw_seg_line(pass->from, start, SW_TAG_NONE);
        follow(most, e, &in, pass->enter_feed > 0 ? pass->enter_feed : feed, turns);
    }
    for (size_t i = 0; i < pass->run.n; i++) {
        const struct sw_seg *seg = &pass->run.at[i];
        const struct sw_past past = {op->tool, *seg, sw_seg_box(seg)};
        follow(most, e, seg, feed, turns);
        if (!SW_VEC_PUSH(e->p->ctx->arena, &e->past, past))
            return SW_MEMORY;
    }
    return e->status;
}

/* Where nothing is taken nothing pushes. */
static void say(struct sw_pass_load *load, const struct sw_pass_load *most)
{
    const enum sw_pass_limit limit = load->limit;
    const bool is_told = isfinite(load->bend);
    const double planned = load->depth;
    if (!is_told || most->force_high > load->force_high) {
        const double bend = load->bend, stress = load->stress;
        *load = *most;
        load->limit = limit;
        if (is_told) {
            load->depth = planned;
            load->bend = fmax(bend, most->bend);
            load->stress = isfinite(stress) ? fmax(stress, most->stress) : most->stress;
        }
        return;
    }
    load->bend = fmax(load->bend, most->bend);
    load->stress = isfinite(load->stress) ? fmax(load->stress, most->stress) : most->stress;
}

enum sw_status sw_engage_tell(struct sw_op *op, const struct sw_planner *p,
                              const struct sw_contour *before)
{
    struct sw_engage e = {.p = p, .op = op, .before = before ? before : &p->stock};
    if (op->n_passes == 0 || !p->explains)
        return SW_OK;
    sw_tool_flanks(&e.low, &e.high, op->tool);
    e.z_record = sw_contour_box(e.before).z0;
    e.r_behind = p->now->is_from_rod ? p->now->rod_diameter / 2 : p->r_border;
    for (size_t k = 0; k < op->n_passes; k++) {
        struct sw_pass *pass = &op->pass[k];
        struct sw_pass_load most;
        SW_TRY(of_pass(&most, &e, k));
        say(&pass->load, &most);
    }
    return SW_OK;
}
