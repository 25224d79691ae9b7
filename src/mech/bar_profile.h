/* bar_profile: the pieces of a bar from the outline of the work.
 *
 * Frame: the outline's (z, r) [mm]; the bar's z runs from the clamped face to the free end, whether
 * that is towards growing or falling z of the outline. Lines are exact. Arcs become cones whose
 * ends lie on the arc; a chord is off it by at most SHARE of the least radius it spans, so that
 * compliance is off by at most 4 SHARE of itself, too stiff only in hollow arcs.
 * Ownership: the pieces live in the context. Statuses: SW_MEMORY; SW_INTERNAL when the outline is
 * not single-valued in growing z, or does not reach from one place to the other.
 */
#ifndef SW_MECH_BAR_PROFILE_H
#define SW_MECH_BAR_PROFILE_H

#include "geom/contour.h"
#include "mech/beam.h"

/* Good for 1 % of compliance, far less than what is known of the forces. */
#define SW_BAR_ARC_SHARE 2.5e-3

/* What is thinner counts as this thick [mm]: the very end of a dome or point, where a force cannot
 * act anyway, must not give way without limit. */
#define SW_BAR_LEAST_DIAMETER 0.01

struct sw_bar_pieces {
    struct sw_bar_piece *at;
    size_t n;
    size_t cap;
};

/** Cut the pieces between the clamped face at Z_CLAMP and the free end at Z_FREE (either way round)
 *  out of an ENVELOPE (as sw_contour_envelope gives it). OUT may hold pieces of an earlier call:
 *  its memory is used again. */
enum sw_status sw_bar_pieces_of(struct sw_bar_pieces *out, const struct sw_contour *envelope,
                                double z_clamp, double z_free, double share,
                                struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
