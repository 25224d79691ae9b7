/* correct_int: what the files of a correction's report share; nobody else includes it. Lengths mm. */
#ifndef SW_REPORT_CORRECT_INT_H
#define SW_REPORT_CORRECT_INT_H

#include "report/correct.h"

/** "T2 copy-point-35"; the tool's name is "" when the record does not know it. */
const char *sw_correct_tool_name(const struct sw_sheet *sheet, int side, int station);

/** Charts in words: one line a tool and section that was gauged on two pieces or more. False: one
 *  gives warning. */
bool sw_correct_say_charts(struct sw_buf *out, const struct sw_correction *correction,
                           const struct sw_sheet *sheet);

/** Lengths beside what was expected, then each tool along Z. False: something is to be changed. */
bool sw_correct_say_lengths(struct sw_buf *out, const struct sw_correction *correction,
                            const struct sw_sheet *sheet);

#endif
