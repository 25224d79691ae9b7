/* beam: how far a stepped and tapered round bar, held at one end, gives way to a force.
 *
 * Frame: z from the clamped face towards the free end [mm]; a bar is a list of pieces, each a
 * cylinder or a cone, joined end to end, with or without a step of diameter between two. Units mm,
 * N, MPa, rad; a compliance is mm/N, rad/N, mm/(N mm) or rad/(N mm).
 *
 * What is counted:
 *   - bending by Euler and Bernoulli, exact for cylinders and cones (closed forms);
 *   - shear with Cowper's coefficient for a solid circle, 6 (1 + nu)/(7 + 6 nu) (J. Appl. Mech. 33,
 *     1966), which matters for pieces shorter than about five diameters;
 *   - shoulders: the thick part beside a thin one turns with it. Far inside a very thick part that
 *     is a rigid disc rocking on a half-space, theta = 6 (1 - nu^2) M/(E d^3) (Borowicka 1943;
 *     Johnson, Contact Mechanics, 1985). The same rotation belongs to a cone whose flank
 *     has the tangent k = 64/(36 pi (1 - nu^2)), 32 degrees for steel: material outside such a cone
 * carries nothing, and what the bar loses by it turns at the corner. A square step so gets 6 (1 -
 * nu^2) (1 - 4 u^3 + 3 u^4), u = d/D; rounded corners, thin flanges and undercuts follow by the
 * same rule. A flank of tangent m carries like one of (m^-3 + k^-3)^(-1/3): between a slender cone,
 * which is a beam, and a square step; the exponent was chosen by finite elements for one flare of
 * 30 degrees, the rest derived. tests/witness compares all of it: without shoulders a short pivot
 * comes out 15 to 40 % too stiff, with them within 3 %;
 *   - the root: rotation and sideways give of holder and spindle.
 *
 * An ideal clamp also keeps the root from widening, which no beam theory knows: against one, a load
 * within two diameters of it finds the bar 3 to 4 % stiffer than said here.
 *
 * Validity: small slopes (at deflection/length = 0.07 the linear theory gives 0.4 % too much, at
 * 0.16 2.8 %, at 0.30 10 %; sw_bar_is_slight), elastic, solid round sections.
 *
 * Cost: building is linear in the number of pieces; every question about a built bar takes one
 * search by halves, O(log n), so that a planner may ask hundred thousands of times. A bar that is
 * built again keeps its memory when it has room.
 * Ownership: arrays live in the context's arena. Statuses: SW_MEMORY; SW_INTERNAL for pieces that
 * do not join, have no length or no diameter, or for a material that is none.
 */
#ifndef SW_MECH_BEAM_H
#define SW_MECH_BEAM_H

#include <stdbool.h>
#include <stddef.h>

#include "base/ctx.h"

struct sw_bar_piece {
    double z0, z1; /* z0 < z1 [mm] */
    double d0, d1; /* diameters there, above 0 [mm] */
};

struct sw_bar_material {
    double elastic_modulus; /* MPa */
    double poisson;         /* 0 to 0.5 */
};

/** What the clamped face itself gives; all zero is rigid, which no machine is. */
struct sw_bar_root {
    double lateral;  /* spindle and collet, sideways [mm/N] */
    double rotation; /* holder [rad/(N mm)] */
};

enum sw_bar_terms {
    SW_BAR_BENDING = 0, /* always */
    SW_BAR_SHEAR = 1,
    SW_BAR_SHOULDERS = 2,
    SW_BAR_ALL = SW_BAR_SHEAR | SW_BAR_SHOULDERS
};

/** Flexibility gathered from the root to a place Z, every term positive. */
struct sw_bar_sum {
    double z;
    double turn;    /* rotation at Z by a unit couple there [rad/(N mm)] */
    double lean;    /* rotation at Z by a unit force there [rad/N] */
    double sag;     /* deflection at Z by a unit force there, without shear [mm/N] */
    double shear;   /* and what shear adds, with the root's sideways give [mm/N] */
    double twist;   /* turn about the axis by a unit torque [rad/(N mm)] */
    double stretch; /* change of length by a unit axial force [mm/N] */
    double corner;  /* part of `turn` that a shoulder just at Z has [rad/(N mm)] */
};

struct sw_bar {
    struct sw_bar_material material;
    struct sw_bar_root root;
    unsigned terms; /* enum sw_bar_terms */
    struct sw_bar_piece *at;
    struct sw_bar_sum *sum; /* n + 1: at the root and at the end of each piece */
    struct sw_bar_ray *ray; /* work space of the builder */
    size_t n;
    size_t room; /* pieces there is memory for */
};

/** Build a bar from N >= 1 pieces in growing z, the first from 0. BAR is all zero or a bar built
 *  before (in the same context), whose memory is used again. ROOT may be NULL: rigid. TERMS: or of
 *  enum sw_bar_terms. */
enum sw_status sw_bar_build(struct sw_bar *bar, const struct sw_bar_piece *pieces, size_t n,
                            const struct sw_bar_material *material, const struct sw_bar_root *root,
                            unsigned terms, struct sw_ctx *ctx) SW_MUST_CHECK;

/** Free length [mm]. */
double sw_bar_length(const struct sw_bar *bar);

/** Diameter at Z [mm]; at a step that of the piece on the side of the root. */
double sw_bar_diameter(const struct sw_bar *bar, double z);

/** The same where the piece is known: Z within it. */
static inline double sw_bar_piece_diameter(const struct sw_bar_piece *piece, double z)
{
    return piece->d0 + (piece->d1 - piece->d0) * ((z - piece->z0) / (piece->z1 - piece->z0));
}

/** Everything gathered up to Z. Places outside the bar count as its nearer end, here and below. */
struct sw_bar_sum sw_bar_sum_at(const struct sw_bar *bar, double z);

/** Deflection at X by a unit sideways force at A [mm/N]. The same with X and A exchanged. */
double sw_bar_compliance(const struct sw_bar *bar, double x, double a);

/** Rotation of the section at X by a unit sideways force at A [rad/N]; also the deflection at A by
 *  a unit couple at X [mm/(N mm)]. A couple counts positive when it bends the way the force does.
 *  At a shoulder the value on its outer side. */
double sw_bar_rotation(const struct sw_bar *bar, double x, double a);

/** Rotation at X by a unit couple at A [rad/(N mm)]. */
double sw_bar_couple_rotation(const struct sw_bar *bar, double x, double a);

/** The factor C of a square shoulder from diameter D to d, rotation = C M/(E d^3), as above. RATIO
 *  is D/d; up to 1 there is no shoulder and C is 0. */
double sw_bar_shoulder_factor(double ratio, double poisson);

/** True when the linear theory holds: DEFLECTION at most a tenth of LENGTH. */
bool sw_bar_is_slight(double deflection, double length);

/** A point of a tool on the bar: forces on the work [N]. */
struct sw_bar_forces {
    double at;      /* z of the point [mm] */
    double radius;  /* of the point [mm] */
    double cutting; /* along the surface, the main force */
    double thrust;  /* away from the tool, square to the axis */
    double feed;    /* along the axis towards the root */
};

struct sw_bar_shift {
    double away; /* from the tool [mm]; the feed force at its radius bends the other way */
    double down; /* along the cutting force [mm] */
};

/** How the axis moves at X under the forces of one tool. */
struct sw_bar_shift sw_bar_shift_at(const struct sw_bar *bar, double x,
                                    const struct sw_bar_forces *forces);

/** How far work and tool part at the tool itself, its post giving TOOL_GIVE [mm/N] alike in both
 *  directions: the error the cut makes on the radius, and the sag of the point. */
struct sw_bar_shift sw_bar_gap(const struct sw_bar *bar, const struct sw_bar_forces *forces,
                               double tool_give);

#endif
