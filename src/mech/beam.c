/* Two ideas carry this file.
 *
 * One: with m the lesser of load place and reading place, and both distances written from m, the
 * unit-load integral falls into three sums that depend on m alone:
 *
 *   y = Int_0^m (a - s)(x - s)/(E I) ds = sag(m) + |a - x| lean(m)
 *
 * (one of a - m, x - m is 0). The sums at the ends of the pieces are kept; carrying one over a
 * length h only adds positive terms, so nothing cancels even for a pivot of a tenth of a
 * millimetre on a bar of eight:
 *
 *   turn' = turn + t, lean' = lean + h turn + l, sag' = sag + 2 h lean + h^2 turn + s
 *
 * Two: a shoulder is a spot where the bar turns without length, so it adds to turn alone.
 */
#include "mech/beam.h"

#include <math.h>

#include "geom/tol.h"
#include "mech/mech_int.h"

/* Up to this deflection per length the linear theory gives at most about 1 % too much (Bisshopp and
 * Drucker 1945; Mattiasson 1981, from memory). */
static const double slight = 0.1;

/* Tangent of the half-angle of the cone that turns as a disc on a half-space does. */
static double spread_tangent(double poisson)
{
    return 64.0 / (36.0 * SW_MECH_PI * (1 - poisson * poisson));
}

/* How steeply a flank of tangent M carries; below the lesser of M and SPREAD. */
static double carrying_tangent(double m, double spread)
{
    if (m <= 0)
        return 0;
    const double q = m / spread;
    return m / cbrt(1 + q * q * q);
}

double sw_bar_shoulder_factor(double ratio, double poisson)
{
    if (ratio <= 1)
        return 0;
    const double u = 1 / ratio;
    return 6 * (1 - poisson * poisson) * (1 - u * u * u * (4 - 3 * u));
}

bool sw_bar_is_slight(double deflection, double length)
{
    return fabs(deflection) <= slight * length;
}

static double diameter_in(const struct sw_bar_piece *p, double z)
{
    return p->d0 + (p->d1 - p->d0) * ((z - p->z0) / (p->z1 - p->z0));
}

/* Carry a sum on to Z inside a piece that begins where the sum stands. */
static struct sw_bar_sum carried(const struct sw_bar *bar, const struct sw_bar_sum *from,
                                 const struct sw_bar_piece *piece, double z)
{
    const double e = bar->material.elastic_modulus, nu = bar->material.poisson;
    const double g = e / (2 * (1 + nu)), kappa = 6 * (1 + nu) / (7 + 6 * nu);
    const double h = z - from->z;
    const struct sw_mech_piece add = sw_mech_piece_of(h, piece->d0, diameter_in(piece, z));
    struct sw_bar_sum to = *from;
    to.z = z;
    to.corner = 0;
    to.sag += 2 * h * from->lean + h * h * from->turn + add.sag / e;
    to.lean += h * from->turn + add.lean / e;
    to.turn += add.turn / e;
    if (bar->terms & SW_BAR_SHEAR)
        to.shear += add.spread / (kappa * g);
    to.twist += add.turn / (2 * g); /* J = 2 I */
    to.stretch += add.spread / e;
    return to;
}

/* The edge of the cone in which load spreads from a corner into thicker material, within one
 * piece. */
struct sw_bar_ray {
    double z, r;     /* a point of it */
    double slope;    /* mm of radius for each mm away from there; 0: there is no ray */
    size_t corner;   /* which sum it adds to */
    double from, to; /* where it lies inside the material, FROM on the side of the corner */
};

/* A ray can come out on a flank, and the flank then starts one of its own. */
enum { RAYS = 2 };

static double ray_at(const struct sw_bar_ray *ray, double z)
{
    return ray->r + ray->slope * fabs(z - ray->z);
}

/* One end of a piece. */
struct rim {
    double z, r;
};

/* Follow the ray COMING (no slope: none) through one piece, from its NEAR to its FAR rim. BEFORE is
 * the radius just before the piece, CORNER the sum that stands there. A ray begins, or turns
 * steeper, where the material rises faster than it; it never turns shallower until it has come out.
 * Gives the ray that goes on beyond the piece. */
static struct sw_bar_ray follow(struct sw_bar_ray rays[RAYS], const struct sw_bar_ray *coming,
                                double spread, struct rim near, struct rim far, double before,
                                size_t corner)
{
    const struct sw_bar_ray none = {0};
    struct sw_bar_ray first = *coming;
    if (first.slope <= 0 || ray_at(&first, near.z) >= near.r)
        first = (struct sw_bar_ray){.z = near.z, .r = fmin(before, near.r)};
    const bool is_step = near.r > before * (1 + SW_MECH_SAME);
    const double own = carrying_tangent((far.r - near.r) / fabs(far.z - near.z), spread);
    const double rise = is_step ? spread : own;
    if (rise > first.slope * (1 + SW_MECH_SAME)) {
        first.r = ray_at(&first, near.z);
        first.z = near.z;
        first.slope = rise;
        first.corner = corner;
    }
    rays[0] = rays[1] = none;
    if (first.slope <= 0)
        return none;
    first.from = near.z;
    first.to = far.z;
    const double below_near = fmax(0, near.r - ray_at(&first, near.z));
    const double above_far = ray_at(&first, far.z) - far.r;
    if (above_far < 0) {
        rays[0] = first;
        return first;
    }
    const double share = below_near > 0 ? below_near / (below_near + above_far) : 0;
    first.to = near.z + (far.z - near.z) * share;
    rays[0] = first;
    if (own <= 0 || share >= 1)
        return none;
    rays[1] = (struct sw_bar_ray){.z = first.to,
                                  .r = near.r + (far.r - near.r) * share,
                                  .slope = own,
                                  .corner = corner,
                                  .from = first.to,
                                  .to = far.z};
    return rays[1];
}

/* Where rays from both sides cut the same material off, each counts where it is the lower one. */
static void share_out(struct sw_bar_ray *in, struct sw_bar_ray *out)
{
    if (in->slope <= 0 || out->slope <= 0 || in->to >= out->to || out->from >= in->from)
        return;
    const double meet =
        (in->r - out->r + in->slope * in->z + out->slope * out->z) / (in->slope + out->slope);
    const double out_to = out->to;
    if (meet < in->from)
        out->to = fmin(out_to, fmax(meet, in->to));
    in->to = fmax(in->to, fmin(meet, out_to));
}

/* Put what the material outside a ray was counted for to its corner [rad/(N mm)]. */
static void add_lost_turn(struct sw_bar *bar, const struct sw_bar_piece *piece,
                          const struct sw_bar_ray *ray, double z0, double z1)
{
    if (ray->slope <= 0 || z1 <= z0)
        return;
    const struct sw_mech_piece thin =
        sw_mech_piece_of(z1 - z0, 2 * ray_at(ray, z0), 2 * ray_at(ray, z1));
    const struct sw_mech_piece full =
        sw_mech_piece_of(z1 - z0, diameter_in(piece, z0), diameter_in(piece, z1));
    bar->sum[ray->corner].corner +=
        fmax(0, (thin.turn - full.turn) / bar->material.elastic_modulus);
}

/* Put the turn of every shoulder into the sum, empty so far, at its corner. */
static void add_shoulders(struct sw_bar *bar)
{
    const double spread = spread_tangent(bar->material.poisson);
    struct sw_bar_ray going = {0};
    for (size_t i = bar->n; i-- > 0;) {
        const struct sw_bar_piece *p = &bar->at[i];
        const double before = i + 1 < bar->n ? p[1].d0 / 2 : p->d1 / 2;
        going = follow(&bar->ray[RAYS * i], &going, spread, (struct rim){p->z1, p->d1 / 2},
                       (struct rim){p->z0, p->d0 / 2}, before, i + 1);
    }
    going = (struct sw_bar_ray){0};
    for (size_t i = 0; i < bar->n; i++) {
        const struct sw_bar_piece *p = &bar->at[i];
        const double before = i > 0 ? p[-1].d1 / 2 : p->d0 / 2;
        struct sw_bar_ray *in = &bar->ray[RAYS * i], out[RAYS];
        going = follow(out, &going, spread, (struct rim){p->z0, p->d0 / 2},
                       (struct rim){p->z1, p->d1 / 2}, before, i);
        for (size_t k = 0; k < RAYS; k++)
            for (size_t j = 0; j < RAYS; j++)
                share_out(&in[k], &out[j]);
        for (size_t k = 0; k < RAYS; k++) {
            add_lost_turn(bar, p, &in[k], in[k].to, in[k].from);
            add_lost_turn(bar, p, &out[k], out[k].from, out[k].to);
        }
    }
}

static bool are_good(const struct sw_bar_piece *pieces, size_t n,
                     const struct sw_bar_material *material)
{
    if (n == 0 || !(material->elastic_modulus > 0) || !(material->poisson >= 0) ||
        material->poisson > 0.5)
        return false;
    double z = 0;
    for (size_t i = 0; i < n; i++) {
        const struct sw_bar_piece *p = &pieces[i];
        if (fabs(p->z0 - z) > SW_TOL_POINT || !(p->z1 > p->z0) || !(p->d0 > 0) || !(p->d1 > 0) ||
            !isfinite(p->z1) || !isfinite(p->d0) || !isfinite(p->d1))
            return false;
        z = p->z1;
    }
    return true;
}

static enum sw_status make_room(struct sw_bar *bar, size_t n, struct sw_ctx *ctx)
{
    if (bar->room >= n)
        return SW_OK;
    struct sw_bar_piece *const at = SW_NEW(ctx->arena, struct sw_bar_piece, n);
    struct sw_bar_sum *const sum = SW_NEW(ctx->arena, struct sw_bar_sum, n + 1);
    struct sw_bar_ray *const ray = SW_NEW(ctx->arena, struct sw_bar_ray, RAYS * n);
    if (!at || !sum || !ray)
        return SW_MEMORY;
    bar->at = at;
    bar->sum = sum;
    bar->ray = ray;
    bar->room = n;
    return SW_OK;
}

enum sw_status sw_bar_build(struct sw_bar *bar, const struct sw_bar_piece *pieces, size_t n,
                            const struct sw_bar_material *material, const struct sw_bar_root *root,
                            unsigned terms, struct sw_ctx *ctx)
{
    if (!are_good(pieces, n, material))
        return SW_INTERNAL;
    SW_TRY(make_room(bar, n, ctx));
    bar->material = *material;
    bar->root = root ? *root : (struct sw_bar_root){0};
    bar->terms = terms;
    bar->n = n;
    for (size_t i = 0; i < n; i++) {
        bar->at[i] = pieces[i];
        bar->at[i].z0 = i > 0 ? pieces[i - 1].z1 : 0;
    }
    for (size_t i = 0; i <= n; i++)
        bar->sum[i] = (struct sw_bar_sum){0};
    if (terms & SW_BAR_SHOULDERS)
        add_shoulders(bar);
    bar->sum[0].turn = bar->root.rotation + bar->sum[0].corner;
    bar->sum[0].shear = bar->root.lateral;
    for (size_t i = 0; i < n; i++) {
        const double corner = bar->sum[i + 1].corner;
        bar->sum[i + 1] = carried(bar, &bar->sum[i], &bar->at[i], bar->at[i].z1);
        bar->sum[i + 1].turn += corner;
        bar->sum[i + 1].corner = corner;
    }
    return SW_OK;
}

double sw_bar_length(const struct sw_bar *bar)
{
    return bar->at[bar->n - 1].z1;
}

/* The piece with z0 < Z <= z1; the first one for what lies before it. */
static size_t piece_of(const struct sw_bar *bar, double z)
{
    size_t low = 0, high = bar->n - 1;
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        if (z <= bar->at[middle].z1)
            high = middle;
        else
            low = middle + 1;
    }
    return low;
}

static double kept_inside(const struct sw_bar *bar, double z)
{
    return fmin(fmax(z, 0), sw_bar_length(bar));
}

double sw_bar_diameter(const struct sw_bar *bar, double z)
{
    const double inside = kept_inside(bar, z);
    return diameter_in(&bar->at[piece_of(bar, inside)], inside);
}

struct sw_bar_sum sw_bar_sum_at(const struct sw_bar *bar, double z)
{
    const double inside = kept_inside(bar, z);
    const size_t i = piece_of(bar, inside);
    if (inside >= bar->at[i].z1)
        return bar->sum[i + 1];
    if (inside <= 0)
        return bar->sum[0];
    return carried(bar, &bar->sum[i], &bar->at[i], inside);
}

double sw_bar_compliance(const struct sw_bar *bar, double x, double a)
{
    const double read = kept_inside(bar, x), load = kept_inside(bar, a);
    const struct sw_bar_sum sum = sw_bar_sum_at(bar, fmin(read, load));
    return sum.sag + fabs(load - read) * sum.lean + sum.shear;
}

double sw_bar_rotation(const struct sw_bar *bar, double x, double a)
{
    const double read = kept_inside(bar, x), load = kept_inside(bar, a);
    const struct sw_bar_sum sum = sw_bar_sum_at(bar, fmin(read, load));
    return sum.lean + fmax(0, load - read) * sum.turn;
}

double sw_bar_couple_rotation(const struct sw_bar *bar, double x, double a)
{
    return sw_bar_sum_at(bar, fmin(x, a)).turn;
}

struct sw_bar_shift sw_bar_shift_at(const struct sw_bar *bar, double x,
                                    const struct sw_bar_forces *forces)
{
    const double give = sw_bar_compliance(bar, x, forces->at);
    const double couple = forces->feed * forces->radius;
    return (struct sw_bar_shift){.away = forces->thrust * give -
                                         couple * sw_bar_rotation(bar, forces->at, x),
                                 .down = forces->cutting * give};
}

struct sw_bar_shift sw_bar_gap(const struct sw_bar *bar, const struct sw_bar_forces *forces,
                               double tool_give)
{
    struct sw_bar_shift gap = sw_bar_shift_at(bar, forces->at, forces);
    gap.away += forces->thrust * tool_give;
    gap.down += forces->cutting * tool_give;
    return gap;
}
