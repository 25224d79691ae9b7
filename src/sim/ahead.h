/* ahead: does a part of the slide meet material before the edge has made room for it?
 *
 * After a move one sees what a body stands in, but not what it went through and the edge took away
 * later in the same move. Along a straight move that happens where the body leads: on lines along
 * the move that pass through both, where its front lies before the edge's. Everything between the
 * two fronts, carried along the move, is tried against the work as it stood before. Along an arc
 * the body is tried chord by chord against the work less what the edge took up to and with that
 * chord.
 * Frame: chucking [mm]. Statuses: SW_MEMORY; SW_INTERNAL from the overlay.
 */
#ifndef SW_SIM_AHEAD_H
#define SW_SIM_AHEAD_H

#include "sim/work.h"

/** BEFORE: the work as it stood before the move. Both sweeps are of the same move. PLACE gets a
 *  point when *OUT is true. */
enum sw_status sw_sim_ahead(bool *out, struct sw_pt *place, const struct sw_region *before,
                            const struct sw_convex *edge, const struct sw_sweep *edge_sweep,
                            const struct sw_convex *body, const struct sw_sweep *body_sweep,
                            struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
