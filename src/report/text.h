/* text: pages for people: paragraphs wrapped at 96 columns, numbers that are never "-0.000".
 *
 * Everything goes into a sticky buffer (base/buf.h); widths count code points. A paragraph is
 * collected in a buffer of its own, then written and emptied.
 */
#ifndef SW_REPORT_TEXT_H
#define SW_REPORT_TEXT_H

#include <stdbool.h>
#include <stddef.h>

#include "base/buf.h"
#include "spec/table.h"

enum { SW_TEXT_WIDTH = 96 };

/** Round for showing, without a negative zero. */
double sw_text_round(double value, int decimals);

/** Append VALUE with DECIMALS places, "-" when it is not finite. */
void sw_text_number(struct sw_buf *out, double value, int decimals);

/** Append a size of the drawing: three places, or four when it has a fourth. */
void sw_text_size(struct sw_buf *out, double value);

/** Append the size of a gauge: two places, or as many as it has, up to four. */
void sw_text_gauge(struct sw_buf *out, double value);

/** Append "LEAST to MOST", or one number when both read the same; "-" when not finite. */
void sw_text_bounds(struct sw_buf *out, double least, double most, int decimals);

/** Append "+-0.005", "+0 -0.003" or "" for no band. */
void sw_text_band(struct sw_buf *out, const struct sw_band *band);

/** Append "48 s" or "3 min 05 s". */
void sw_text_seconds(struct sw_buf *out, double seconds);

/** Write WORDS wrapped: the first line starts with LEAD (at column INDENT), the others HANG
 *  columns further in. A newline inside WORDS begins a new line. */
void sw_text_wrap(struct sw_buf *out, size_t indent, const char *lead, size_t hang,
                  const char *words);

/** sw_text_wrap of a printf text. */
void sw_text_say(struct sw_buf *out, size_t indent, const char *lead, const char *format, ...)
    SW_PRINTF(4, 5);

/** Write a headline, underlined. */
void sw_text_headline(struct sw_buf *out, const char *text);

#endif
