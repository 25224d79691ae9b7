/* diag: what went wrong, where in which text, and what would be right.
 *
 * A sink collects records; a stage adds all it can find (at most SW_DIAG_MOST errors a source are
 * kept, the rest is counted), then returns its first failing status. The sink keeps the texts of
 * all sources so that the line and a caret can be shown.
 * Messages: one line, impersonal, with value, unit and what would be right; no function names.
 * Ownership: everything given is copied into the sink's arena.
 */
#ifndef SW_BASE_DIAG_H
#define SW_BASE_DIAG_H

#include <stddef.h>
#include <stdint.h>

#include "base/buf.h"
#include "base/status.h"

enum { SW_DIAG_MOST = 50 };

/** A place in a source. Line and column count from 1, the column in code points; 0 = unknown. */
struct sw_span {
    uint32_t source; /* from sw_diag_add_source; 0 = no source */
    uint32_t line;
    uint32_t column;
    uint32_t length; /* code points to underline, 0 or 1 = one caret */
};

enum sw_severity { SW_NOTE, SW_WARNING, SW_ERROR };

struct sw_diag_record {
    enum sw_severity severity;
    const char *code; /* stable, "module.what" */
    struct sw_span at;
    const char *message;
    const char *hint; /* NULL when there is none; one line an advice */
};

struct sw_diag;

/** Make an empty sink; owned, free with sw_diag_free. NULL when out of memory. */
struct sw_diag *sw_diag_new(void);
void sw_diag_free(struct sw_diag *diag);

/** Keep a copy of a text under NAME; gives its number, or 0 when out of memory. */
uint32_t sw_diag_add_source(struct sw_diag *diag, const char *name, const char *text, size_t size);

/** Name and text of a source; the text is NUL-ended. NULL for an unknown number. */
const char *sw_diag_source_name(const struct sw_diag *diag, uint32_t source);
const char *sw_diag_source_text(const struct sw_diag *diag, uint32_t source, size_t *size);

/** Add one record. HINT may be NULL. Out of memory is remembered (sw_diag_failed). */
void sw_diag_add(struct sw_diag *diag, enum sw_severity severity, const char *code,
                 struct sw_span at, const char *hint, const char *format, ...) SW_PRINTF(6, 7);

size_t sw_diag_n_errors(const struct sw_diag *diag);
size_t sw_diag_n(const struct sw_diag *diag);
const struct sw_diag_record *sw_diag_at(const struct sw_diag *diag, size_t i);
bool sw_diag_failed(const struct sw_diag *diag);

/** Write all records: `file:line:column: error: message`, the source line, a caret, the hint. */
void sw_diag_write(const struct sw_diag *diag, struct sw_buf *out);

#endif
