/* correct: what measured pieces ask for, for people.
 *
 * Lengths in mm; texts go to a sticky buffer. Statuses: SW_MEMORY.
 */
#ifndef SW_REPORT_CORRECT_H
#define SW_REPORT_CORRECT_H

#include "draw/draw.h"
#include "gauge/correct.h"
#include "report/sheet.h"

/** Readings beside what was expected, then each tool: offset, height, drift; then tapers and pieces
 *  that are too thin. *IS_CLEAN: nothing is to be changed and no piece is out of limits. */
enum sw_status sw_report_correction(struct sw_buf *out, bool *is_clean,
                                    const struct sw_correction *correction,
                                    const struct sw_sheet *sheet, struct sw_ctx *ctx) SW_MUST_CHECK;

/** The same as JSON, format staffwright.correct/1 (profiles/schemas/correct.schema.json). Null: a
 *  number that is not known. */
enum sw_status sw_report_correction_json(struct sw_buf *out, const struct sw_correction *correction,
                                         const struct sw_sheet *sheet, bool is_clean) SW_MUST_CHECK;

/** Control charts as pages, two a page: each tool and section that was gauged on two pieces or
 *  more. SW_FOUND, with a diagnostic, when there is none. */
enum sw_status sw_report_charts(struct sw_drawing **out, const struct sw_correction *correction,
                                const struct sw_sheet *sheet, struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
