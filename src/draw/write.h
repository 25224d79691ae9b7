/* write: a display list as PDF, SVG or PNG; the only place that knows cairo.
 *
 * The bytes depend on the drawing (and the version of cairo) alone: no clock, no locale, no fonts,
 * no counters of the process. Nothing here touches a file: everything is appended to a buffer.
 * Statuses: SW_MEMORY, also when the buffer could not grow; SW_INTERNAL, with a diagnostic, when
 * cairo refuses.
 */
#ifndef SW_DRAW_WRITE_H
#define SW_DRAW_WRITE_H

#include "base/buf.h"
#include "draw/draw.h"

/* Resolution of a PNG [dots per inch]: a line of 0.25 mm is two dots wide. */
enum { SW_DRAW_DPI = 200 };

/** All pages, one PDF. */
enum sw_status sw_draw_write_pdf(struct sw_buf *out, const struct sw_drawing *drawing,
                                 struct sw_ctx *ctx) SW_MUST_CHECK;

/** One page, as SVG in mm. */
enum sw_status sw_draw_write_svg(struct sw_buf *out, const struct sw_drawing *drawing, size_t page,
                                 struct sw_ctx *ctx) SW_MUST_CHECK;

/** One page, white ground, SW_DRAW_DPI. */
enum sw_status sw_draw_write_png(struct sw_buf *out, const struct sw_drawing *drawing, size_t page,
                                 struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
