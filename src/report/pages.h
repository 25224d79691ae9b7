/* pages: sets a document (report/doc.h) on A4 pages, standing, as a display list.
 *
 * Headlines, wide tables and figures run over the whole page; between them paragraphs and narrow
 * tables stand in two columns of equal height, read downwards. Lettering is never smaller than
 * SW_PAGES_TEXT (its body 7.6 pt). Nothing lies on anything else: whatever is too wide for its
 * place is broken into lines. A word of underscores becomes a line to write on, a lead "[ ] " a box
 * to tick.
 * Frame: page, mm, y down. Ownership: the drawing lives in the context. Statuses: SW_MEMORY, and
 * what a figure gives.
 */
#ifndef SW_REPORT_PAGES_H
#define SW_REPORT_PAGES_H

#include "draw/draw.h"
#include "report/doc.h"

/* Height of capitals [mm]. They are 0.7 of the body of a letter in most typefaces: 7.6 pt. */
#define SW_PAGES_TEXT 1.87
#define SW_PAGES_HEAD 2.6

/* The place for blocks; outside it only the running head and foot. */
#define SW_PAGES_WIDTH 210.0
#define SW_PAGES_HEIGHT 297.0
#define SW_PAGES_LEFT 16.0
#define SW_PAGES_RIGHT 201.0
#define SW_PAGES_TOP 14.5
#define SW_PAGES_BOTTOM 287.5

struct sw_pages {
    const char *title; /* of the drawing and of every page */
    const char *about; /* beside it */
    const char *foot;
    /* How high a figure stands, and how it is drawn into its place. */
    double (*figure_height)(const void *user, const struct sw_doc_block *block);
    enum sw_status (*figure)(const void *user, struct sw_drawing *to,
                             const struct sw_doc_block *block, struct sw_draw_box box,
                             struct sw_ctx *ctx);
    const void *user;
};

enum sw_status sw_pages_set(struct sw_drawing **out, const struct sw_doc *doc,
                            const struct sw_pages *pages, struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
