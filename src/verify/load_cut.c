/* Engagement and forces: what one place of a block takes, and what it pushes with. */
#include <math.h>

#include "geom/tol.h"
#include "mech/force.h"
#include "verify/load.h"

static const double pi = 3.14159265358979323846;

/* A side of a groove stands when the work just beyond it is at least this much higher [mm]. */
#define STANDS SW_VERIFY_CUT
/* Just beyond a side [mm]: more than the kernels leave open. */
#define BESIDE 1e-3
/* What is left of a face nearer to the axis than this [mm] comes off by itself, at hardly any
 * speed; nothing is known of such cuts. */
#define LAST_THREAD 0.02
/* An edge that would lie along its way or against it counts as this far from it [rad]. */
#define LEAST_LEAD 0.05

static double rpm_at(const struct sw_judge *judge, const struct sw_sim_move *move, double r)
{
    const double most = judge->shop->machine->spindle.most_speed.value;
    const double asked = sw_judge_speed(judge, &move->event->state, r);
    return most > 0 ? fmin(asked, most) : asked;
}

static bool goes_across(struct sw_pt way)
{
    return fabs(way.r) > fabs(way.z);
}

/* Fed in between two standing sides, or by an edge that is made for it. */
static bool is_plunge(const struct sw_load_block *b, struct sw_pt way)
{
    const struct sw_box *box = &b->move->removed.box;
    const struct sw_silhouette *after = &b->judge->load.after;
    if (b->tool->kind.value == SW_TOOL_FACE_POINT && !goes_across(way))
        return way.z < 0;
    if (!goes_across(way) || way.r > 0)
        return false;
    if (b->tool->kind.value == SW_TOOL_BLADE)
        return true;
    const double floor = box->r0 + STANDS;
    return sw_silhouette_r(after, box->z0 - BESIDE, NULL) > floor &&
           sw_silhouette_r(after, box->z1 + BESIDE, NULL) > floor;
}

/* Does work stand just beyond the nose, seen from its centre along INTO? */
static bool stands(const struct sw_load_block *b, struct sw_pt centre, struct sw_pt into)
{
    const double beyond = b->tool->nose_radius.value + BESIDE;
    return sw_silhouette_r(&b->judge->load.after, centre.z + beyond * into.z, NULL) >
           centre.r + beyond * into.r;
}

/* On which side is the surface it leaves? Where work stands; in a groove or past all of it, where
 * what it took ends at the nose. */
static bool leaves_left(const struct sw_load_block *b, struct sw_pt centre, struct sw_pt way)
{
    const bool left = stands(b, centre, (struct sw_pt){-way.r, way.z});
    const bool right = stands(b, centre, (struct sw_pt){way.r, -way.z});
    const double nose = b->tool->nose_radius.value;
    if (left != right)
        return left;
    return fabs(b->profile->high - nose) <= fabs(b->profile->low + nose);
}

bool sw_load_block_of(struct sw_load_block *b, struct sw_judge *judge,
                      const struct sw_sim_move *move, const struct sw_cut_profile *profile)
{
    const struct sw_sim *sim = judge->sim;
    *b = (struct sw_load_block){.judge = judge,
                                .move = move,
                                .tool = sim->side[move->side].tool[move->tool].tool,
                                .material = sw_judge_material(judge),
                                .profile = profile};
    if (b->material == NULL || b->tool == NULL || b->profile->n == 0 ||
        move->removed.depth <= SW_VERIFY_CUT)
        return false;
    struct sw_pt way;
    const struct sw_pt centre = sw_cut_place(
        &move->sweep, b->profile->back + b->profile->width * (double)b->profile->n / 2, &way);
    b->is_left_side = leaves_left(b, centre, way);
    b->is_plunge = is_plunge(b, way);
    return true;
}

/* Thickness from place I on, over a turn's feed at least: what is gone within a part of a turn
 * loads the edge by its area only. */
static double depth_at(const struct sw_cut_profile *profile, size_t i, double feed)
{
    if (profile->width >= feed)
        return profile->thick[i];
    double area = 0, length = 0;
    for (size_t k = i; k < profile->n && length < feed; k++) {
        const double part = fmin(profile->width, feed - length);
        area += profile->thick[k] * part;
        length += part;
    }
    return area / feed;
}

bool sw_load_spot_of(struct sw_load_spot *spot, const struct sw_load_block *b, size_t i)
{
    const struct sw_cut_profile *profile = b->profile;
    const double nose = b->tool->nose_radius.value;
    const double along = profile->back + profile->width * ((double)i + 0.5);
    struct sw_pt way;
    const struct sw_pt centre = sw_cut_place(&b->move->sweep, along, &way);
    *spot = (struct sw_load_spot){.way = way};
    spot->into = b->is_left_side ? (struct sw_pt){-way.r, way.z} : (struct sw_pt){way.r, -way.z};
    if (b->is_plunge)
        spot->into = way;
    spot->left = (struct sw_pt){centre.z + nose * spot->into.z, centre.r + nose * spot->into.r};
    /* a blade's nose centre is that of one corner: it pushes in the middle of what it takes */
    if (b->is_plunge && goes_across(way) && b->tool->kind.value == SW_TOOL_BLADE)
        spot->left.z = (b->move->removed.box.z0 + b->move->removed.box.z1) / 2;
    if (b->is_plunge && !goes_across(way))
        spot->left.r = (b->move->removed.box.r0 + b->move->removed.box.r1) / 2;
    if (spot->left.r < (goes_across(way) ? LAST_THREAD : SW_TOL_SLIVER))
        return false;
    spot->feed = sw_judge_feed(b->judge, b->move, spot->left.r);
    spot->rpm = rpm_at(b->judge, b->move, spot->left.r);
    if (!(spot->feed > 0) || !(spot->rpm > 0))
        return false;
    spot->depth = depth_at(profile, i, spot->feed);
    spot->r = spot->left.r - (b->is_plunge ? 0 : spot->into.r * spot->depth / 2);
    return spot->depth > SW_VERIFY_CUT;
}

/* Angle of the edge against the feed, counted from the surface left: how far it is from there over
 * the nose to the flank that goes ahead. */
static double lead_of(const struct sw_load_block *b, const struct sw_load_spot *spot)
{
    double low = 0, high = 0;
    if (b->tool->kind.value == SW_TOOL_BLADE || b->is_plunge)
        return pi / 2;
    sw_tool_flanks(&low, &high, b->tool);
    const double from = atan2(spot->into.r, spot->into.z);
    const int sense = b->is_left_side ? -1 : 1; /* from the surface to the way */
    const double normal = sense > 0 ? low - pi / 2 : high + pi / 2;
    const double lead = remainder(sense * (normal - from), 2 * pi);
    return fmin(fmax(lead, LEAST_LEAD), pi - LEAST_LEAD);
}

static struct sw_load_range scaled(double least, double nominal, double most, double by)
{
    return by >= 0 ? (struct sw_load_range){least * by, nominal * by, most * by}
                   : (struct sw_load_range){most * by, nominal * by, least * by};
}

static struct sw_load_range sum(struct sw_load_range a, struct sw_load_range b)
{
    return (struct sw_load_range){a.least + b.least, a.nominal + b.nominal, a.most + b.most};
}

/* The thickest chip of the nose. A flank that lies along the surface shaves less than the edge can
 * take each turn, but it does not pass: what it leaves adds up until it comes off. */
static double nose_chip(const struct sw_load_block *b, const struct sw_load_spot *spot)
{
    const struct sw_edge square = {b->tool->nose_radius.value, pi / 2};
    return b->is_plunge ? spot->feed : sw_chip_of(&square, spot->depth, spot->feed).most;
}

struct sw_load_push sw_load_push_of(const struct sw_load_block *b, const struct sw_load_spot *spot)
{
    const struct sw_force_case of = {.edge = {b->tool->nose_radius.value, lead_of(b, spot)},
                                     .edge_radius = b->tool->edge_radius.value,
                                     .specific_force = b->material->specific_force.value,
                                     .exponent = b->material->force_exponent.value,
                                     .least_chip = b->material->least_chip.value,
                                     .speed = 2 * pi * spot->r * spot->rpm / 1000,
                                     .factors = {1, 1, 1, 1},
                                     .constants = sw_force_default_constants()};
    const struct sw_force_band band = b->is_plunge ? sw_force_part(&of, spot->depth, spot->feed)
                                                   : sw_force_turn(&of, spot->depth, spot->feed);
    /* `thrust` goes into the surface, `feed` along the way; a plunge's thrust goes along the way */
    const struct sw_pt into = spot->into, way = spot->way;
    struct sw_load_push push = {
        .away = sum(scaled(band.low.thrust, band.nominal.thrust, band.high.thrust, -into.r),
                    scaled(band.low.feed, band.nominal.feed, band.high.feed, -way.r)),
        .inward = sum(scaled(band.low.thrust, band.nominal.thrust, band.high.thrust, -into.z),
                      scaled(band.low.feed, band.nominal.feed, band.high.feed, -way.z)),
        .cutting = {band.low.cutting, band.nominal.cutting, band.high.cutting},
        .chip = nose_chip(b, spot),
        .least_chip = sw_chip_least(of.least_chip, of.edge_radius)};
    return push;
}
