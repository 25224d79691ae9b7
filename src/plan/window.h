/* window: how far a bar may be drawn back into its guide bush.
 *
 * Only bar of full size is held. As soon as something is turned down, the face of the bush may
 * stand beyond the end of the whole bar by a part of its land, no further: that is the window in
 * which all ways of the tools lie, there and back, until the next place further in is cut. Zones
 * that are longer are cut in slices, recesses right after their zone; what then still wants a wider
 * window is refused. Frame: chucking [mm].
 * Ownership: in the planner's arena. Statuses: SW_CANNOT with a diagnostic, SW_MEMORY.
 */
#ifndef SW_PLAN_WINDOW_H
#define SW_PLAN_WINDOW_H

#include "plan/plan_int.h"

/* This share of the land stays on whole bar. A bar held by less than half of it tips in its play;
 * a tenth more is for the fillets that a nose leaves where the whole bar ends, and for rounding.
 * Common practice, no source. */
#define SW_WINDOW_HELD 0.6

/** Whether job and machine agree on the scheme. */
enum sw_status sw_window_scheme(const struct sw_job *job, const struct sw_shop *shop,
                                struct sw_ctx *ctx) SW_MUST_CHECK;

/** The furthest out the nose centre of a tool may be, GAP in front of the bush, while the whole bar
 *  ends at Z_WHOLE. */
double sw_window_most_z(double z_whole, double gap, double land);

/** Divide zones into slices that are too long for the window, or whose slopes would not bear to be
 *  roughed as deep as a bush lets them. */
enum sw_status sw_window_zones(struct sw_planner *p) SW_MUST_CHECK;

/** Zones from FIRST to before END that may be roughed together ahead of their last cuts. */
enum sw_status sw_window_span(size_t *end, const struct sw_planner *p, size_t first) SW_MUST_CHECK;

/** Close a chucking in a bush: all ways lie in their windows, or a refusal names the operation;
 * then the collet is placed and the rod's length reckoned. */
enum sw_status sw_window_end(struct sw_planner *p) SW_MUST_CHECK;

#endif
