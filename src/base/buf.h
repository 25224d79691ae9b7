/* buf: a growing text whose failure sticks, so that a run of appends needs one check at its end.
 *
 * After a failed allocation or a refused number all later appends do nothing and `failed` stays
 * set; a failed buffer must never reach a file (sw_file_write refuses it).
 * Ownership: init needs no memory; done frees. One thread a buffer.
 */
#ifndef SW_BASE_BUF_H
#define SW_BASE_BUF_H

#include <stdbool.h>
#include <stddef.h>

#include "base/status.h"

struct sw_buf {
    char *at;     /* NUL-ended once anything was added; NULL before */
    size_t n;     /* bytes without the NUL */
    size_t cap;
    bool failed;
};

/** Free the text and make the buffer empty and unfailed again. */
void sw_buf_done(struct sw_buf *buf);

/** Append SIZE bytes. */
void sw_buf_addn(struct sw_buf *buf, const char *text, size_t size);

/** Append a NUL-ended text. */
void sw_buf_add(struct sw_buf *buf, const char *text);

/** Append by a printf format. Numbers that reach a machine or a data file go through
 *  sw_buf_fixed instead. */
void sw_buf_printf(struct sw_buf *buf, const char *format, ...) SW_PRINTF(2, 3);

/** Append VALUE with DECIMALS [0..9] places, by the rules of sw_num_format. */
void sw_buf_fixed(struct sw_buf *buf, double value, int decimals);

/** Append spaces until the last line is COLUMN characters long; one space at least unless the
 *  line is empty. Counts UTF-8 code points, not bytes. */
void sw_buf_pad(struct sw_buf *buf, size_t column);

/** Give the text, "" when empty; borrowed until the next append. */
const char *sw_buf_text(const struct sw_buf *buf);

#endif
