/* sheet_int: what the files of the sheet share; nobody else includes it. */
#ifndef SW_REPORT_SHEET_INT_H
#define SW_REPORT_SHEET_INT_H

#include "report/sheet.h"

/** Everything about chucking I: holding, tools and zeroing, order of work, pauses, afterwards. */
void sw_sheet_side(struct sw_buf *out, const struct sw_sheet *sheet, size_t i, struct sw_ctx *ctx);

/** How to hold chucking I. */
void sw_sheet_holding(struct sw_buf *out, const struct sw_sheet *sheet, size_t i);

/** How to zero the tools of chucking I, with blanks to fill in. */
void sw_sheet_zeroing(struct sw_buf *out, const struct sw_sheet *sheet, size_t i);

/** Where the X offset of a station lives: "coordinate system G54", "the offset of tool 3"... */
void sw_sheet_offset_place(struct sw_buf *out, const struct sw_sheet *sheet,
                           const struct sw_setup_station *station);

const struct sw_setup_side *sw_sheet_setup_side(const struct sw_sheet *sheet, size_t i);

/** The station NUMBER of a side, or NULL. */
const struct sw_setup_station *sw_sheet_station(const struct sw_setup_side *side, int number);

#endif
