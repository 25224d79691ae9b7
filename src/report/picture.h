/* picture: the drawings of a staff and of a job, as pages of a display list (draw/draw.h).
 *
 * Pages, in this order, A4 lying:
 *   staff       the finished staff with diameters, lengths, tolerances, finishes, notes
 *   details     its ends and what is too small to read there, larger
 *   fit         the staff standing in its jewels, when any are given
 *   side N set-up   how chucking N is held, and each tool where it reaches deepest
 *   side N cuts     every pass of its program over the metal it takes, tool by tool
 * Without a plan only the first pages are made. Lines keep to ISO 128 (thick for edges, thin for
 * dimensions, chains for axes), sizes to ISO 129 (arrows outside where there is no room, figures
 * read from below and from the right); the layout is our own. Tools are told apart by line style
 * first and by colour second.
 * Statuses: SW_MEMORY; what geom gives.
 * Sources: Okabe and Ito, "Color Universal Design" (2008), for the palette.
 */
#ifndef SW_REPORT_PICTURE_H
#define SW_REPORT_PICTURE_H

#include "draw/draw.h"
#include "plan/plan.h"
#include "shape/shape.h"

/** What is drawn; all borrowed. */
struct sw_picture {
    const struct sw_shape *shape; /* with a plan: the plan's own */
    const struct sw_plan *plan;   /* NULL: the staff alone */
    const char *version;
};

enum sw_status sw_report_pictures(struct sw_drawing **out, const struct sw_picture *picture,
                                  struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
