/* explain: one page about a word: a finding, a kind of file, a table, a key; and the schemas.
 *
 * The list of file kinds stands here once; `check`, `explain` and the schemas go by it.
 */
#ifndef SW_REPORT_EXPLAIN_H
#define SW_REPORT_EXPLAIN_H

#include <stdbool.h>

#include "base/buf.h"
#include "base/ctx.h"
#include "spec/table.h"

/** A kind of file by the word before the slash of its format. */
struct sw_report_kind {
    const char *word;             /* "staff" */
    const struct sw_table *table; /* its name is the format: "staff/1" */
};

/** All kinds; the one with a NULL word ends them. */
const struct sw_report_kind *sw_report_kinds(void);

/** The kind called WORD, or whose format is WORD; NULL when there is none. */
const struct sw_report_kind *sw_report_kind(const char *word);

/** Write the page for WORD. FOUND is false, and nothing is written, when nobody knows it; then
 *  *NEAREST gets the most similar known word or NULL. */
enum sw_status sw_report_explain(struct sw_buf *out, bool *found, const char **nearest,
                                 const char *word, struct sw_ctx *ctx) SW_MUST_CHECK;

/** Write the table of finding words and what they mean. */
void sw_report_list_findings(struct sw_buf *out);

#endif
