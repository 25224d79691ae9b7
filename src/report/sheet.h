/* sheet: the page that takes a person from a bare rod to a finished staff.
 *
 * It must be enough on its own: how each side is held, how every tool is zeroed in the words of
 * this control, what the programs do, what to measure at each pause and where a correction goes,
 * sizes off the machine against sizes after stone and burnish, hand work, what comes after it, and
 * the cautions. Sizes that come out are the judge's, never the planner's. As plain text of at most
 * 96 columns and as A4 pages, from one document (report/doc.h). Lengths in mm.
 * Statuses: SW_MEMORY.
 */
#ifndef SW_REPORT_SHEET_H
#define SW_REPORT_SHEET_H

#include "base/buf.h"
#include "draw/draw.h"
#include "plan/plan.h"
#include "setup/setup.h"
#include "verify/verify.h"

/** What a sheet is written from; all borrowed. */
struct sw_sheet {
    const char *version;
    const struct sw_plan *plan;
    const struct sw_post *post;
    const struct sw_setup *setup;
    const struct sw_verdict *verdict;
    const struct sw_staff *becomes; /* of a blank: what it is finished to; else NULL */
    const struct sw_post_programs *programs; /* one a chucking: the texts that were judged */
};

enum sw_status sw_report_sheet(struct sw_buf *out, const struct sw_sheet *sheet,
                               struct sw_ctx *ctx) SW_MUST_CHECK;

/** The same on A4 pages, with drawings; its tables and lists say all that the text says. */
enum sw_status sw_report_sheet_pages(struct sw_drawing **out, const struct sw_sheet *sheet,
                                     struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
