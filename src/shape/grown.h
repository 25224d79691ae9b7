/* grown: a blank as it stands after hardening, in the frame of the staff it becomes.
 *
 * Ownership: results live in the context. Statuses: SW_MEMORY.
 */
#ifndef SW_SHAPE_GROWN_H
#define SW_SHAPE_GROWN_H

#include "shape/shape.h"

/** Ways in which a blank may stand: grown least or most, held by either face of its core. */
enum { SW_SHAPE_GROWN_WAYS = 4 };

/** The outlines of BLANK, a shape as it was turned soft, larger by a share of each size between
 *  LEAST and MOST, in the part frame of STAFF: WAYS of what is there at least (its turned contour)
 * and at most (its ceiling). The piece lies in what all of the first have in common at least, and
 * in what one of the second takes in at most. */
enum sw_status sw_shape_grown(struct sw_contour least[SW_SHAPE_GROWN_WAYS],
                              struct sw_contour most[SW_SHAPE_GROWN_WAYS],
                              const struct sw_shape *blank, const struct sw_staff *staff,
                              double grown_least, double grown_most,
                              struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
