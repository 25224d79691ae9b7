#include "plan/strength.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

#include "geom/tol.h"
#include "mech/grip.h"
#include "mech/bush.h"
#include "mech/speed.h"
#include "plan/support.h"

/* Feeds are tried in steps of this factor from the least that cuts to the tool's: fine enough that
 * nothing near is gained between two of them. */
static const double feed_factor = 1.08;
/* A cut that is too much for the holder is made less by this factor at a time. */
static const double ease = 0.9;

double sw_strength_root(const struct sw_planner *p, double z)
{
    if (p->hang.is_on)
        return p->hang.z_root;
    if (p->now->in_bush)
        return sw_support_root(p, z);
    return p->now->is_from_rod ? -p->staff->total - p->overhang : p->now->nose_z;
}

struct sw_force_case sw_strength_force(const struct sw_planner *p, const struct sw_tool *tool,
                                       double surface)
{
    const struct sw_material *material = p->now->stock->is;
    return (struct sw_force_case){.edge = {tool->nose_radius.value, tool->cutting_angle.value},
                                  .edge_radius = tool->edge_radius.value,
                                  .specific_force = material->specific_force.value,
                                  .exponent = material->force_exponent.value,
                                  .least_chip = material->least_chip.value,
                                  .speed = surface,
                                  .factors = {1, 1, 1, 1},
                                  .constants = sw_force_default_constants()};
}

static void choose_feeds(struct sw_strength *s, const struct sw_force_case *force)
{
    const double least = sw_chip_least(force->least_chip, force->edge_radius);
    const double most = s->tool->rough_feed.value;
    double feed = fmin(sw_chip_least_feed(&force->edge, s->grain, least), most);
    while (s->n_feeds < SW_STRENGTH_FEEDS - 1 && feed < most / feed_factor) {
        s->feed[s->n_feeds++] = feed;
        feed *= feed_factor;
    }
    s->feed[s->n_feeds++] = most;
}

static const struct sw_force *force_of(struct sw_strength *s, size_t i, size_t k)
{
    if (!s->has_force[i - 1][k]) {
        s->force[i - 1][k] = sw_force_turn(&s->cut, s->grain * (double)i, s->feed[k]).high;
        s->has_force[i - 1][k] = true;
    }
    return &s->force[i - 1][k];
}

/* A bar is reckoned as thin as it may be, where all else takes the stock at its thickest. */
static double least_diameter(const struct sw_planner *p, double z, double diameter)
{
    double r = 0;
    if (p->slim.n == 0 || !sw_contour_r_at(&r, &p->slim, z))
        return diameter;
    return fmax(fmin(diameter, 2 * r), SW_BAR_LEAST_DIAMETER);
}

static enum sw_status pieces_between(struct sw_bar_pieces *out, const struct sw_planner *p,
                                     double z_root, double z, struct sw_ctx *ctx)
{
    const double way = z > z_root ? 1 : -1;
    SW_TRY(sw_bar_pieces_of(out, &p->stock, z_root, z, SW_BAR_ARC_SHARE, ctx));
    for (size_t i = 0; i < out->n; i++) {
        struct sw_bar_piece *is = &out->at[i];
        is->d0 = least_diameter(p, z_root + way * (is->z0 + SW_TOL_SLIVER), is->d0);
        is->d1 = least_diameter(p, z_root + way * (is->z1 - SW_TOL_SLIVER), is->d1);
    }
    return SW_OK;
}

/* The stock record begins where the planner's interest does; nearer the holder it is the rod, or
 * what is gripped. */
enum sw_status sw_strength_behind(struct sw_bar_pieces *out, const struct sw_planner *p, double z,
                                  struct sw_ctx *ctx)
{
    const struct sw_box box = sw_contour_box(&p->stock);
    const double z_clamp = sw_strength_root(p, z);
    *out = (struct sw_bar_pieces){0};
    if (p->hang.is_on) /* its stock goes as far as the root */
        return z > z_clamp - SW_TOL_SLIVER ? SW_OK : pieces_between(out, p, z_clamp, z, ctx);
    if (z < z_clamp + SW_TOL_SLIVER)
        return SW_OK; /* cut from the nose face itself on */
    if (box.z0 <= z_clamp + SW_TOL_SLIVER)
        return pieces_between(out, p, z_clamp, z, ctx);
    const double d = p->now->is_from_rod ? p->now->rod_diameter : 2 * p->r_border;
    const double z_end = fmin(box.z0, z);
    const struct sw_bar_piece piece = {0, z_end - z_clamp, d, d};
    if (!SW_VEC_PUSH(ctx->arena, out, piece))
        return SW_MEMORY;
    if (z < box.z0 + SW_TOL_SLIVER)
        return SW_OK;
    struct sw_bar_pieces rest = {0};
    SW_TRY(pieces_between(&rest, p, box.z0, z, ctx));
    for (size_t i = 0; i < rest.n; i++) {
        rest.at[i].z0 += z_end - z_clamp;
        rest.at[i].z1 += z_end - z_clamp;
        if (!SW_VEC_PUSH(ctx->arena, out, rest.at[i]))
            return SW_MEMORY;
    }
    return SW_OK;
}

enum sw_status sw_strength_bar(struct sw_bar *bar, const struct sw_planner *p,
                               const struct sw_bar_pieces *pieces, struct sw_ctx *ctx)
{
    const struct sw_material *is = p->now->stock->is;
    const struct sw_bar_material material = {is->elastic_modulus.value, is->poisson.value};
    /* The machine's compliance is spindle, holder seat and tool post together, um/N; what the grip
     * itself gives stands in series with it, and leans [urad/(N mm)]. */
    const struct sw_holder *holder = p->now->holder;
    struct sw_bar_root root = {
        .lateral = (p->shop->machine->compliance.value + holder->compliance.value) / 1000,
        .rotation = holder->tilt.value / 1e6};
    if (p->now->in_bush)
        root = sw_support_bush(p);
    return sw_bar_build(bar, pieces->at, pieces->n, &material, &root, SW_BAR_ALL, ctx);
}

double sw_strength_grip(const struct sw_planner *p)
{
    const int kind = p->now->holder->kind.value;
    return sw_grip_keeps(kind == SW_HOLDER_CEMENT           ? SW_GRIP_CEMENT
                         : kind == SW_HOLDER_BORED_IN_PLACE ? SW_GRIP_BRASS
                                                            : SW_GRIP_STEEL,
                         p->now->grip_diameter / 2, p->now->grip_length);
}

double sw_strength_grip_needs(const struct sw_planner *p, const struct sw_force *force, double r)
{
    const double grip_r = p->now->grip_diameter / 2;
    return sw_grip_needs(force->cutting, force->feed, r, grip_r, !p->now->is_from_rod);
}

void sw_strength_ease(struct sw_cut *cut, const struct sw_planner *p, const struct sw_tool *tool,
                      double diameter)
{
    const double keeps = sw_strength_grip(p);
    const double surface =
        cut->is_surface_speed ? cut->speed : sw_speed_surface(cut->speed, diameter);
    const struct sw_force_case of = sw_strength_force(p, tool, surface);
    const double least_depth = fmin(cut->depth, tool->finish_depth.value);
    const double least = sw_chip_least(of.least_chip, of.edge_radius);
    for (;;) {
        const struct sw_force high = sw_force_turn(&of, cut->depth, cut->feed).high;
        if (sw_strength_grip_needs(p, &high, diameter / 2) <= keeps)
            return;
        const double least_feed = sw_chip_least_feed(&of.edge, cut->depth, least);
        if (ease * cut->depth >= least_depth)
            cut->depth *= ease;
        else if (ease * cut->feed >= least_feed)
            cut->feed *= ease;
        else
            return;
    }
}

/* At the axis, where the surface hardly moves, the speed factor of the force is at its end. */
static const double face_speed = 0.05; /* m/min */

enum sw_status sw_strength_ease_face(struct sw_op *op, struct sw_planner *p, double r, double z_end)
{
    struct sw_bar_pieces pieces;
    struct sw_bar bar = {0};
    SW_TRY(sw_strength_behind(&pieces, p, z_end, p->ctx));
    if (pieces.n == 0)
        return SW_OK; /* at the nose face itself */
    SW_TRY(sw_strength_bar(&bar, p, &pieces, p->ctx));
    const double most = p->now->stock->is->yield.value / p->shop->safety.value;
    const double length = sw_bar_length(&bar), reach = sw_stress_reach(&bar, length);
    const struct sw_force_case of = sw_strength_force(p, op->tool, face_speed);
    for (; ease * op->depth >= op->tool->finish_depth.value; op->depth *= ease) {
        const struct sw_force high = sw_force_face(&of, op->depth, op->feed).high;
        const struct sw_bar_forces forces = {.at = length,
                                             .radius = r,
                                             .cutting = high.cutting,
                                             .thrust = high.thrust,
                                             .feed = high.feed};
        if (reach <= 0 || sw_stress_worst_to(&bar, reach, &forces).equivalent <= most)
            break;
    }
    return SW_OK;
}

enum sw_status sw_strength_begin(struct sw_strength *s, const struct sw_planner *p,
                                 const struct sw_zone *zone, const struct sw_tool *tool,
                                 double speed, double grain, double r_to, double leave,
                                 struct sw_ctx *ctx)
{
    const struct sw_material *material = p->now->stock->is;
    const struct sw_machine_spindle *spindle = &p->shop->machine->spindle;
    memset(s, 0, offsetof(struct sw_strength, force)); /* forces are known by has_force */
    s->p = p;
    s->tool = tool;
    s->z_in = zone->z_in;
    s->z_out = zone->z_out;
    s->z_clamp = sw_strength_root(p, zone->z_in);
    s->speed = speed;
    s->grain = grain;
    s->most_bend = SW_STRENGTH_SHARE * leave;
    s->r_last = r_to - leave;
    s->most_stress = material->yield.value / p->shop->safety.value;
    s->most_torque = spindle->torque.value;
    s->most_power = spindle->power.value;
    s->most_grip = sw_strength_grip(p);
    s->ctx = ctx;
    if (p->bears_all)
        s->most_bend = s->most_stress = s->most_torque = s->most_power = s->most_grip = HUGE_VAL;
    s->n_depths = (size_t)fmax(1, floor(tool->most_depth.value / grain + SW_TOL_SLIVER));
    s->n_depths = s->n_depths < SW_STRENGTH_DEPTHS ? s->n_depths : SW_STRENGTH_DEPTHS;
    /* Forces grow as cutting slows down: the slowest surface of the zone counts. */
    s->cut =
        sw_strength_force(p, tool, sw_speed_surface(speed, 2 * fmax(r_to, SW_BAR_LEAST_DIAMETER)));
    choose_feeds(s, &s->cut);
    return sw_strength_behind(&s->pieces, p, p->hang.is_on ? p->hang.z_top : s->z_in, ctx);
}

/* Where the work hangs beyond the cut a slope leads from what bears it down to the zone. */
static bool add_slope(struct sw_strength *s, double *z0, double r)
{
    const struct sw_hang *hang = &s->p->hang;
    const double z = *z0 + fmax(0, hang->r_top - r) / hang->slope;
    const struct sw_bar_piece slope = {*z0, z, 2 * fmax(hang->r_top, r), 2 * r};
    if (z < *z0 + SW_TOL_SLIVER)
        return true;
    *z0 = z;
    return SW_VEC_PUSH(s->ctx->arena, &s->pieces, slope);
}

static void build_bar(struct sw_strength *s, double r)
{
    const size_t n = s->pieces.n;
    const bool hangs = s->p->hang.is_on;
    double z0 = n > 0 ? s->pieces.at[n - 1].z1 : 0;
    if (s->status != SW_OK)
        return;
    const bool is_added = !hangs || add_slope(s, &z0, r);
    const double z1 = hangs ? s->z_clamp - s->z_in : s->z_out - s->z_clamp;
    const struct sw_bar_piece zone = {z0, fmax(z1, z0 + SW_TOL_SLIVER), 2 * r, 2 * r};
    if (!is_added || !SW_VEC_PUSH(s->ctx->arena, &s->pieces, zone)) {
        s->status = SW_MEMORY;
        return;
    }
    s->status = sw_strength_bar(&s->bar, s->p, &s->pieces, s->ctx);
    s->pieces.n = n;
    s->bar_radius = r;
    if (s->status != SW_OK)
        return;
    const double end = sw_bar_length(&s->bar);
    s->give = sw_bar_compliance(&s->bar, end, end);
    s->turn = sw_bar_rotation(&s->bar, end, end);
}

/* Between a cut and what bears it stands what was there before, if the tool goes towards the
 * holder; if it goes away from it, what it leaves. */
static void bear(struct sw_strength *s, double r_old, double depth)
{
    const double r = s->p->hang.is_on ? fmax(r_old - depth, SW_BAR_LEAST_DIAMETER / 2) : r_old;
    if (s->bar_radius != r)
        build_bar(s, r);
}

static struct sw_bar_forces forces_of(const struct sw_strength *s, double r_old,
                                      const struct sw_force *force)
{
    return (struct sw_bar_forces){.at = sw_bar_length(&s->bar),
                                  .radius = r_old,
                                  .cutting = force->cutting,
                                  .thrust = force->thrust,
                                  .feed = force->feed};
}

/* All but the stress. */
static struct sw_strain strain_without_stress(struct sw_strength *s, double r_old,
                                              const struct sw_force *force)
{
    struct sw_strain strain = {0};
    /* Thrust bends the work away, the feed force at its radius towards the tool. Neither is known
     * well enough to count on one against the other. */
    strain.bend = fmax(fabs(force->thrust * s->give), fabs(force->feed * r_old * s->turn));
    strain.torque = sw_force_torque(force->cutting, r_old);
    strain.power = strain.torque * s->speed * 2 * 3.14159265358979323846 / 60;
    strain.grip = sw_strength_grip_needs(s->p, force, r_old);
    return strain;
}

static struct sw_strain strain_of(struct sw_strength *s, double r_old, const struct sw_force *force)
{
    const struct sw_bar_forces forces = forces_of(s, r_old, force);
    struct sw_strain strain = strain_without_stress(s, r_old, force);
    strain.stress = sw_stress_worst(&s->bar, &forces).equivalent;
    return strain;
}

double sw_strength_bush_share(const struct sw_planner *p, const struct sw_bar *bar, double z)
{
    /* What is known of the bush's own give is that it stands on the same machine. */
    const struct sw_bush bush = {.at = z - sw_strength_root(p, z),
                                 .give = p->shop->machine->compliance.value / 1000};
    const double end = sw_bar_length(bar);
    if (!p->now->is_from_rod || p->now->in_bush || p->hang.is_on || !(bush.at > 0))
        return 0;
    return sw_bush_deflection(bar, &bush, end, end, 1) / sw_bar_compliance(bar, end, end);
}

/* Depth by its grid line, feed by its place in the list. */
static void find_cut(size_t *i, size_t *k, const struct sw_strength *s, double depth, double feed)
{
    *i = (size_t)llround(depth / s->grain);
    *k = 0;
    while (*k + 1 < s->n_feeds && s->feed[*k] < feed - SW_TOL_POINT)
        ++*k;
}

struct sw_strain sw_strength_of(struct sw_strength *s, double r_old, size_t i, size_t k)
{
    struct sw_strain strain = {HUGE_VAL, HUGE_VAL, HUGE_VAL, HUGE_VAL, HUGE_VAL};
    bear(s, r_old, s->grain * (double)i);
    if (s->status != SW_OK)
        return strain;
    return strain_of(s, r_old, force_of(s, i, k));
}

double sw_strength_most_bend(const struct sw_strength *s, double r_new)
{
    const double deeper = (1 - SW_STRENGTH_LEVELS) * s->tool->most_depth.value;
    return fmax(s->most_bend, fmin(SW_STRENGTH_SHARE * (r_new - s->r_last), deeper));
}

enum sw_status sw_strength_load(struct sw_plan_load *load, struct sw_strength *s, double r_old,
                                double depth, double feed)
{
    const struct sw_force force = sw_force_turn(&s->cut, depth, feed).high;
    bear(s, r_old, depth);
    if (s->status != SW_OK)
        return s->status;
    const struct sw_strain strain = strain_of(s, r_old, &force);
    *load = (struct sw_plan_load){.tool = s->tool,
                                  .r = r_old,
                                  .depth = depth,
                                  .feed = feed,
                                  .force = force.thrust,
                                  .bend = strain.bend,
                                  .most_bend = sw_strength_most_bend(s, r_old - depth),
                                  .stress = strain.stress,
                                  .most_stress = s->most_stress,
                                  .torque = strain.torque,
                                  .most_torque = s->most_torque,
                                  .power = strain.power,
                                  .most_power = s->most_power,
                                  .grip = strain.grip,
                                  .most_grip = s->most_grip,
                                  .bend_in_bush =
                                      strain.bend * sw_strength_bush_share(s->p, &s->bar, s->z_in)};
    return SW_OK;
}

double sw_plan_load_share(const struct sw_plan_load *load)
{
    const double machine =
        fmax(fmax(load->torque / load->most_torque, load->power / load->most_power),
             load->grip / load->most_grip);
    return fmax(fmax(load->bend / load->most_bend, load->stress / load->most_stress), machine);
}

bool sw_strength_allows(void *user, double r_old, double depth, double feed)
{
    struct sw_strength *s = user;
    size_t i, k;
    find_cut(&i, &k, s, depth, feed);
    if (i < 1 || i > s->n_depths)
        return false;
    bear(s, r_old, s->grain * (double)i);
    if (s->status != SW_OK)
        return false;
    const struct sw_force *force = force_of(s, i, k);
    const struct sw_strain strain = strain_without_stress(s, r_old, force);
    const struct sw_bar_forces forces = forces_of(s, r_old, force);
    /* the stress last: it takes a search */
    return strain.bend <= sw_strength_most_bend(s, r_old - depth) &&
           strain.torque <= s->most_torque && strain.power <= s->most_power &&
           strain.grip <= s->most_grip &&
           !sw_stress_exceeds(&s->bar, forces.at, &forces, s->most_stress);
}

static double whole_force(const struct sw_force *force)
{
    return sqrt(force->cutting * force->cutting + force->thrust * force->thrust +
                force->feed * force->feed);
}

struct sw_pass_load sw_strength_pass_force(const struct sw_force_band *band, double depth)
{
    return (struct sw_pass_load){.depth = depth,
                                 .force_low = whole_force(&band->low),
                                 .force_nominal = whole_force(&band->nominal),
                                 .force_high = whole_force(&band->high),
                                 .bend = (double)NAN,
                                 .stress = (double)NAN};
}

/* The limit that a cut does not keep; AS_USUAL when it keeps all. */
static enum sw_pass_limit broken_limit(struct sw_strength *s, double r_old, double depth,
                                       double feed)
{
    const struct sw_force force = sw_force_turn(&s->cut, depth, feed).high;
    const struct sw_strain strain = strain_of(s, r_old, &force);
    if (strain.bend > sw_strength_most_bend(s, r_old - depth))
        return SW_PASS_BY_BEND;
    if (strain.stress > s->most_stress)
        return SW_PASS_BY_STRESS;
    if (strain.torque > s->most_torque)
        return SW_PASS_BY_TORQUE;
    if (strain.power > s->most_power)
        return SW_PASS_BY_POWER;
    return strain.grip > s->most_grip ? SW_PASS_BY_GRIP : SW_PASS_AS_USUAL;
}

enum sw_status sw_strength_pass_load(struct sw_pass_load *load, struct sw_strength *s, double r_old,
                                     double depth, double feed, double most_depth)
{
    const struct sw_force_band band = sw_force_turn(&s->cut, depth, feed);
    bear(s, r_old, depth);
    if (s->status != SW_OK)
        return s->status;
    const struct sw_strain strain = strain_of(s, r_old, &band.high);
    *load = sw_strength_pass_force(&band, depth);
    load->bend = strain.bend;
    load->stress = strain.stress;
    const double faster = feed * feed_factor;
    const bool is_fastest = feed > s->tool->rough_feed.value - SW_TOL_POINT;
    if (!is_fastest)
        load->limit = broken_limit(s, r_old, depth, fmin(faster, s->tool->rough_feed.value));
    if (load->limit == SW_PASS_AS_USUAL && depth + SW_STRENGTH_GRAIN <= most_depth)
        load->limit = broken_limit(s, r_old, depth + SW_STRENGTH_GRAIN, feed);
    if (load->limit == SW_PASS_AS_USUAL)
        load->limit = is_fastest && depth + SW_STRENGTH_GRAIN > most_depth ? SW_PASS_BY_TOOL
                                                                           : SW_PASS_BY_REST;
    return s->status;
}

enum sw_status sw_strength_enter_feed(double *enter, struct sw_strength *s, double r_old,
                                      double depth, double feed)
{
    const double nose = s->tool->nose_radius.value, in = fmin(depth, nose);
    const double width = 2 * sqrt(2 * nose * in - in * in);
    const double least = fmin(feed, sw_chip_least(s->cut.least_chip, s->cut.edge_radius));
    *enter = feed;
    bear(s, r_old, depth);
    if (s->status != SW_OK)
        return s->status;
    while (ease * *enter >= least) {
        const struct sw_force force = sw_force_part(&s->cut, width, *enter).high;
        const struct sw_strain strain = strain_of(s, r_old, &force);
        if (strain.stress <= s->most_stress && strain.torque <= s->most_torque &&
            strain.grip <= s->most_grip)
            break;
        *enter *= ease;
    }
    return SW_OK;
}
