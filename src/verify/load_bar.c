/* The bar that a cut bends: the work as it stands between the nose of the holder and the tool; and
 * what the forces do to it. */
#include <math.h>

#include "geom/tol.h"
#include "mech/buckle.h"
#include "mech/notch.h"
#include "mech/stress.h"
#include "verify/load.h"

/* The shape in chords this near to its arcs [mm] is good for telling what is left over it. */
#define SHAPE_CHORD (SW_VERIFY_FLOOR / 10)

/* No shoulder raises stress by more than this: the fit's sharpest corner has 5 (mech/notch.h). */
#define MOST_NOTCH 6.0

/* A bush is a support that the bar runs through: the bar may turn in it against its own stiffness
 * back to the collet, held there in place but not in direction, the safe end of what is known. */
static struct sw_bar_root root_in_bush(const struct sw_judge *judge, double modulus)
{
    const double pi = 3.14159265358979323846;
    const struct sw_setup_side *record = judge->sim->side[judge->sim->n_sides - 1].setup;
    const double length = fmax(0, judge->load.root_z - record->nose_z.value);
    const double inertia = pi / 64 * pow(record->rod_diameter.value, 4);
    return (struct sw_bar_root){.lateral = judge->shop->machine->bush.give.value / 1000,
                                .rotation = length / (3 * modulus * inertia)};
}

/* Spindle, holder seat and tool post together, um/N; the grip itself in series with them, which
 * also leans under the moment, urad/(N mm). */
struct sw_bar_root sw_load_root(const struct sw_judge *judge)
{
    const struct sw_holder *holder = judge->sim->side[judge->sim->n_sides - 1].holder;
    const double machine = judge->shop->machine->compliance.value;
    if (holder == NULL)
        return (struct sw_bar_root){.lateral = machine / 1000};
    return (struct sw_bar_root){.lateral = (machine + holder->compliance.value) / 1000,
                                .rotation = holder->tilt.value * 1e-6};
}

/* The bush goes along the work with the tool, always as far behind it; where what it surrounds is
 * turned down already, the bar is held further back. */
static double root_of(const struct sw_load_block *b, const struct sw_load_spot *spot)
{
    const struct sw_judge *judge = b->judge;
    const struct sw_sim_side *side = &judge->sim->side[judge->sim->n_sides - 1];
    if (!side->in_bush)
        return sw_load_nose_z(judge);
    const double behind = b->move->sweep.to.z - sw_sim_bush_z(judge->sim, b->move->event->to.z);
    return sw_judge_bush_holds_to(judge, spot->left.z - b->tool->nose_radius.value - behind);
}

double sw_load_nose_z(const struct sw_judge *judge)
{
    return judge->sim->side[judge->sim->n_sides - 1].setup->nose_z.value;
}

enum sw_status sw_judge_load_begin(struct sw_judge *judge)
{
    struct sw_verdict *verdict = judge->verdict;
    const struct sw_verdict_worst none = {
        .nominal = (double)NAN, .high = (double)NAN, .z = (double)NAN};
    verdict->deflection_um = verdict->stress_mpa = verdict->safety = none;
    if (judge->shape == NULL)
        return SW_OK;
    for (size_t i = 0; i < verdict->n_sections; i++)
        if (verdict->section[i].load.slenderness >
            verdict->section[verdict->slenderest].load.slenderness)
            verdict->slenderest = i;
    judge->load.making = SW_NEW(judge->ctx->arena, struct sw_judge_making, verdict->n_sections);
    if (judge->load.making == NULL)
        return SW_MEMORY;
    struct sw_pt *points = NULL;
    size_t n = 0;
    const struct sw_contour *turned = &judge->shape->turned;
    const struct sw_box box = sw_contour_box(turned);
    SW_TRY(sw_contour_flatten(&points, &n, turned, SHAPE_CHORD, 0, judge->ctx));
    if (!sw_silhouette_add_rings(&judge->load.turned, points, n, box.z0, box.z1))
        return SW_MEMORY;
    return SW_OK;
}

enum sw_status sw_judge_load_side(struct sw_judge *judge)
{
    const struct sw_sim *sim = judge->sim;
    judge->load.bar.n = 0;
    return sim->kernel->silhouette(&judge->load.before, sim->work, SW_WORK_LEAST,
                                   sw_load_nose_z(judge));
}

void sw_judge_load_end(struct sw_judge *judge)
{
    sw_silhouette_free(&judge->load.before);
    sw_silhouette_free(&judge->load.after);
    sw_silhouette_free(&judge->load.turned);
}

static struct sw_judge_stand stand_of(const struct sw_load_block *b,
                                      const struct sw_load_spot *spot)
{
    const struct sw_judge_load *load = &b->judge->load;
    const struct sw_box *box = &b->move->removed.box;
    if (fabs(spot->way.r) <= fabs(spot->way.z))
        return (struct sw_judge_stand){.stock = spot->way.z < 0 ? &load->before : &load->after};
    return (struct sw_judge_stand){.stock = &load->after,
                                   .floor = spot->way.r < 0 ? spot->left.r : 0,
                                   .z0 = box->z0,
                                   .z1 = box->z1};
}

static bool is_same_stand(const struct sw_judge_stand *a, const struct sw_judge_stand *b)
{
    return a->stock == b->stock && a->root_z == b->root_z && a->z == b->z && a->floor == b->floor &&
           (!(a->floor > 0) || (a->z0 == b->z0 && a->z1 == b->z1));
}

/* fmin and fmax are calls, and these loops run over every scallop of every block. */
static double larger(double a, double b)
{
    return a > b ? a : b;
}

static double smaller(double a, double b)
{
    return a < b ? a : b;
}

static enum sw_status push_piece(struct sw_judge *judge, struct sw_stretch s, double floor)
{
    const double least = SW_BAR_LEAST_DIAMETER;
    struct sw_bar_pieces *pieces = &judge->load.pieces;
    const double from = pieces->n > 0 ? pieces->at[pieces->n - 1].z1 : 0;
    const struct sw_bar_piece piece = {.z0 = from,
                                       .z1 = s.z1 - judge->load.root_z,
                                       .d0 = larger(2 * larger(s.r0, floor), least),
                                       .d1 = larger(2 * larger(s.r1, floor), least)};
    if (piece.z1 - piece.z0 > SW_TOL_POINT && !SW_VEC_PUSH(judge->ctx->arena, pieces, piece))
        return SW_MEMORY;
    return SW_OK;
}

static struct sw_stretch part_of(const struct sw_stretch *s, double z0, double z1)
{
    const double slope = (s->r1 - s->r0) / (s->z1 - s->z0);
    const double from = larger(s->z0, z0), to = smaller(s->z1, z1);
    return (struct sw_stretch){from, to, s->r0 + slope * (from - s->z0),
                               s->r0 + slope * (to - s->z0)};
}

/* Pieces of the stock from the nose to Z; none where there is a gap before Z. A face that was cut
 * at Z may lie as far before it as the kernel does not know. */
static enum sw_status pieces_to(struct sw_judge *judge, const struct sw_judge_stand *stand)
{
    const double z = stand->z, unknown = judge->sim->kernel->resolution();
    struct sw_bar_pieces *pieces = &judge->load.pieces;
    const struct sw_silhouette *stock = stand->stock;
    const double border[] = {judge->load.root_z, stand->z0, stand->z1, HUGE_VAL};
    pieces->n = 0;
    for (size_t i = 0; i < stock->n && stock->at[i].z0 < z; i++)
        for (int k = 0; k < (stand->floor > 0 ? 3 : 1); k++) {
            const bool is_cut = k == 1;
            const double from = border[k];
            const double to = stand->floor > 0 ? smaller(border[k + 1], z) : z;
            if (smaller(to, stock->at[i].z1) - larger(from, stock->at[i].z0) <= SW_TOL_POINT)
                continue;
            const struct sw_stretch part = part_of(&stock->at[i], from, to);
            /* also where the block cuts through: what is beyond bears nothing in the end */
            if (!(larger(part.r0, part.r1) > SW_TOL_SLIVER)) {
                if (part.z0 < z - unknown)
                    pieces->n = 0;
                return SW_OK;
            }
            SW_TRY(push_piece(judge, part, is_cut ? stand->floor : 0));
        }
    return SW_OK;
}

static bool is_same(const struct sw_bar *bar, const struct sw_bar_pieces *pieces)
{
    if (bar->n != pieces->n)
        return false;
    for (size_t i = 0; i < pieces->n; i++)
        if (bar->at[i].z1 != pieces->at[i].z1 || bar->at[i].d0 != pieces->at[i].d0 ||
            bar->at[i].d1 != pieces->at[i].d1)
            return false;
    return true;
}

enum sw_status sw_load_bar_to(bool *is_held, double *at, const struct sw_load_block *b,
                              const struct sw_load_spot *spot)
{
    struct sw_judge *judge = b->judge;
    struct sw_judge_load *load = &judge->load;
    struct sw_judge_stand stand = stand_of(b, spot);
    const double root_z = root_of(b, spot);
    if (root_z != load->root_z)
        load->bar.n = 0;
    load->root_z = root_z;
    *at = spot->left.z - root_z;
    /* One bar serves all places of a block along the axis: what is beyond the tool bears nothing.
     */
    stand.root_z = root_z;
    stand.z = stand.floor > 0 ? spot->left.z : b->far_z;
    const bool is_known = is_same_stand(&stand, &load->stand);
    if (!is_known) {
        load->is_built = false;
        SW_TRY(pieces_to(judge, &stand));
    }
    load->stand = stand;
    *is_held = load->pieces.n > 0 && *at > SW_TOL_SLIVER;
    if (!*is_held || load->is_built)
        return SW_OK;
    load->is_built = true;
    if (is_same(&load->bar, &load->pieces))
        return SW_OK;
    const struct sw_bar_material material = {b->material->elastic_modulus.value,
                                             b->material->poisson.value};
    const struct sw_bar_root root = judge->sim->side[judge->sim->n_sides - 1].in_bush
                                        ? root_in_bush(judge, material.elastic_modulus)
                                        : sw_load_root(judge);
    return sw_bar_build(&load->bar, load->pieces.at, load->pieces.n, &material, &root, SW_BAR_ALL,
                        judge->ctx);
}

/* A shoulder is as round as the nose that cut it. */
static double notch_of(const struct sw_load_block *b, double z, double diameter)
{
    const double nose = b->tool->nose_radius.value;
    const double thick = sw_bar_diameter(&b->judge->load.bar, z - 2 * nose);
    if (thick <= diameter)
        return 1;
    return sw_notch_factor(SW_NOTCH_BENDING, SW_NOTCH_PETERSON, thick, diameter, nose, NULL);
}

static double stress_of(struct sw_load_strain *s, const struct sw_load_block *b, double reach,
                        const struct sw_bar_forces *forces)
{
    const struct sw_bar *bar = &b->judge->load.bar;
    const struct sw_stress worst = sw_stress_worst_to(bar, reach, forces);
    double stress = worst.equivalent;
    s->stress_z = b->judge->load.root_z + worst.z;
    s->notch = 1;
    /* Hard material breaks from the corner of a shoulder; tough gives way there and forgets it. */
    if (b->material->state.value != SW_STATE_HARDENED)
        return stress;
    for (size_t i = 0; i < bar->n && bar->at[i].z0 <= reach; i++) {
        const struct sw_bar_piece *p = &bar->at[i];
        const double notch = notch_of(b, p->z0, p->d0);
        const double here = notch * sw_stress_on(p->z0, p->d0, forces).equivalent;
        if (here <= stress)
            continue;
        stress = here;
        s->notch = notch;
        s->stress_z = b->judge->load.root_z + p->z0;
    }
    return stress;
}

/* No section up to REACH bears more than the thinnest would at the arm of the whole bar. */
static double stress_bound(const struct sw_bar *bar, const struct sw_load_spot *spot,
                           const struct sw_load_push *p, double at, double reach)
{
    double thin = HUGE_VAL;
    for (size_t i = 0; i < bar->n && bar->at[i].z0 <= reach; i++)
        thin = smaller(thin,
                       smaller(bar->at[i].d0,
                               sw_bar_piece_diameter(&bar->at[i], smaller(bar->at[i].z1, reach))));
    const double thrust = fmax(fabs(p->away.most), fabs(p->away.least));
    const double axial = fmax(fabs(p->inward.most), fabs(p->inward.least));
    const double moment = hypot(thrust * at + axial * spot->r, p->cutting.most * at);
    const double normal = sw_stress_bending(moment, thin) + sw_stress_axial(axial, thin);
    return hypot(normal, sqrt(3.0) * sw_stress_torsion(p->cutting.most * spot->r, thin));
}

/* Of thrust and axial force neither is known well enough to count on one against the other: both
 * pairs of ends are tried. */
static void strain_stress(struct sw_load_strain *s, const struct sw_load_block *b,
                          const struct sw_load_spot *spot, const struct sw_load_push *p, double at,
                          const struct sw_load_floor *floor)
{
    const struct sw_bar *bar = &b->judge->load.bar;
    const double reach = s->reach = sw_stress_reach(bar, at);
    const double most_notch = b->material->state.value == SW_STATE_HARDENED ? MOST_NOTCH : 1;
    if (reach < 0 || most_notch * stress_bound(bar, spot, p, at, reach) <= floor->bound)
        return;
    const struct sw_bar_forces nominal = {at, spot->r, p->cutting.nominal, p->away.nominal,
                                          p->inward.nominal};
    const struct sw_bar_forces away = {at, spot->r, p->cutting.most, p->away.most, p->inward.least};
    const struct sw_bar_forces towards = {at, spot->r, p->cutting.most, p->away.least,
                                          p->inward.most};
    if (most_notch <= 1 && floor->stress > 0 &&
        !sw_stress_exceeds(bar, reach, &away, floor->stress) &&
        !sw_stress_exceeds(bar, reach, &towards, floor->stress) &&
        !sw_stress_exceeds(bar, reach, &nominal, floor->stress))
        return;
    s->knows_stress = true;
    s->stress.nominal = stress_of(s, b, reach, &nominal);
    struct sw_load_strain other = *s;
    s->stress.most = stress_of(s, b, reach, &away);
    other.stress.most = stress_of(&other, b, reach, &towards);
    if (other.stress.most > s->stress.most)
        *s = other;
}

/* A cut that pushes the bar against the front edge of the bush leaves it on the side where all cuts
 * lay it, the one that found the zero, too; where the axial force, by its radius, pulls harder the
 * other way, with the land as its lever, it is taken across by the play. */
static bool is_taken_across(const struct sw_load_block *b, const struct sw_load_spot *spot,
                            const struct sw_load_push *p, double at)
{
    const double land = b->judge->shop->machine->bush.land.value;
    return p->away.least * (land + at) < p->inward.most * spot->r;
}

struct sw_load_strain sw_load_strain_of(const struct sw_load_block *b,
                                        const struct sw_load_spot *spot,
                                        const struct sw_load_push *p, double at,
                                        const struct sw_load_floor *stress_floor)
{
    const struct sw_bar *bar = &b->judge->load.bar;
    struct sw_load_strain s = {.critical = HUGE_VAL, .notch = 1};
    s.give = sw_bar_compliance(bar, at, at);
    /* what the axial force at its radius turns the end by, towards the tool */
    const double turn = spot->r * sw_bar_rotation(bar, at, at);
    const double square = fabs(spot->into.r);
    s.sway = (struct sw_load_range){p->away.least * s.give - p->inward.most * turn,
                                    p->away.nominal * s.give - p->inward.nominal * turn,
                                    p->away.most * s.give - p->inward.least * turn};
    s.bend = (struct sw_load_range){square * s.sway.least, square * s.sway.nominal,
                                    square * s.sway.most};
    if (b->judge->sim->side[b->move->side].in_bush && is_taken_across(b, spot, p, at))
        s.bend.least -= b->judge->shop->machine->bush.play.value;
    /* The sum of the reciprocals of all critical loads is the rotation by a unit force: what is
     * well below that bound needs no search. */
    const double bound = 1 / sw_bar_sum_at(bar, at).lean;
    if (p->inward.most > SW_LOAD_BUCKLE_SHARE * bound)
        s.critical = sw_buckle_load_at(bar, at);
    strain_stress(&s, b, spot, p, at, stress_floor);
    return s;
}
