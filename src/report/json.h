/* json: what programs read: the verdict (dryrun.json) and the record of what was judged.
 *
 * The only place that knows jansson. Key order is fixed, arrays keep the order of their input,
 * numbers are rounded to a millionth of a millimetre or of their unit.
 *
 * dryrun.json, format staffwright.dryrun/1 (profiles/schemas/dryrun.schema.json): sizes are
 * [least, most] pairs that hold the exact value. Null rules: a value or limit that a finding does
 * not have, a place it does not concern (program, line, column, chucking, section, z), and a size
 * that could not be measured are null; keys are never left out.
 * record.json, format staffwright.record/1: `files` lists every file of the folder, itself too.
 * Statuses: SW_MEMORY.
 */
#ifndef SW_REPORT_JSON_H
#define SW_REPORT_JSON_H

#include "base/buf.h"
#include "base/ctx.h"
#include "verify/verify.h"

/** A file and the SHA-256 of its bytes in hexadecimal (64 digits). */
struct sw_report_hash {
    const char *file;
    const char *sha256;
};

/** Write dryrun.json. HASH[i] belongs to verdict->program[i]. */
enum sw_status sw_report_dryrun_json(struct sw_buf *out, const struct sw_verdict *verdict,
                                     const struct sw_report_hash *hash, const char *version)
    SW_MUST_CHECK;

/** Read back of a run's dryrun.json what a batch says of it: seconds of each program, and of each
 *  piece all but its name and verdict; the rest of OUT is empty. SW_INPUT without a diagnostic when
 *  the text is none. Lives in the context. */
enum sw_status sw_report_run_read(struct sw_verdict **out, const char *text, size_t size,
                                  struct sw_ctx *ctx) SW_MUST_CHECK;

/** One line of a list. */
struct sw_report_item {
    const char *name;
    const char *says; /* NULL: nothing */
};

struct sw_report_items {
    struct sw_report_item *at;
    size_t n;
    size_t cap;
};

/** Write a list of KIND ("tools", "findings"), format staffwright.list/1
 *  (profiles/schemas/list.schema.json). */
enum sw_status sw_report_list_json(struct sw_buf *out, const char *kind,
                                   const struct sw_report_items *items,
                                   const char *version) SW_MUST_CHECK;

struct sw_report_record {
    const char *version;   /* of staffwright */
    bool passes;
    const char *setup;     /* name of the setup record in the folder */
    struct sw_report_hash *file; /* all files of the folder but the record itself */
    size_t n_files;
    struct sw_report_hash *input; /* what they were made from; paths seen from the folder */
    size_t n_inputs;
};

enum sw_status sw_report_record_json(struct sw_buf *out,
                                     const struct sw_report_record *record) SW_MUST_CHECK;

/** Read a record back. SW_INPUT with a diagnostic when it is none. Lives in the context. */
enum sw_status sw_report_record_read(struct sw_report_record **out, const char *name,
                                     const char *text, size_t size,
                                     struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
