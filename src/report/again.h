/* again: the short sheet of a finishing program for a piece that came out too thick.
 *
 * Lengths mm, diameters full. Text goes to a sticky buffer; pages live in the context. Statuses:
 * SW_MEMORY.
 */
#ifndef SW_REPORT_AGAIN_H
#define SW_REPORT_AGAIN_H

#include "draw/draw.h"
#include "report/sheet.h"

/** A section cut once more. */
struct sw_report_again_section {
    size_t section;
    double found;   /* diameter it stands at */
    bool is_gauged; /* else as much over as the section it was cut with */
};

struct sw_report_again {
    double piece; /* its number */
    const struct sw_report_again_section *at;
    size_t n;
};

/** SHEET: plan and setup of both sides, the second one the finishing program's, and the verdict on
 *  that. */
enum sw_status sw_report_again_sheet(struct sw_buf *out, const struct sw_sheet *sheet,
                                     const struct sw_report_again *what,
                                     struct sw_ctx *ctx) SW_MUST_CHECK;

/** The same as pages. */
enum sw_status sw_report_again_pages(struct sw_drawing **out, const struct sw_sheet *sheet,
                                     const struct sw_report_again *what,
                                     struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
