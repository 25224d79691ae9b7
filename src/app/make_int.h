/* Inside of making: a folder of judged programs, file by file in memory, written at the end.
 *
 * Ownership: texts live in the context. Statuses: SW_MEMORY; what files give.
 */
#ifndef SW_APP_MAKE_INT_H
#define SW_APP_MAKE_INT_H

#include "app/app.h"

#define sw_make_setup_file "setup.yaml"
#define sw_make_sheet_file "sheet.txt"
#define sw_make_pages_file "sheet.pdf"
#define sw_make_verdict_file "dryrun.json"
#define sw_make_record_file "record.json"

struct sw_make_texts {
    struct sw_app_text *at;
    size_t n;
    size_t cap;
};

/** Move a buffer's text into the context as a file of the output. The buffer is freed. */
enum sw_status sw_make_keep(struct sw_make_texts *files, const char *name, struct sw_buf *buf,
                            struct sw_ctx *ctx) SW_MUST_CHECK;

/** A drawing as a PDF of the output. */
enum sw_status sw_make_keep_pdf(struct sw_make_texts *files, const char *name,
                                const struct sw_drawing *drawing,
                                struct sw_ctx *ctx) SW_MUST_CHECK;

/** Every file read so far, by its name as seen from FOLDER: what the programs come from. */
enum sw_status sw_make_inputs(struct sw_make_texts *inputs, const char *folder,
                              const struct sw_app *app, struct sw_ctx *ctx) SW_MUST_CHECK;

/** dryrun.json, HASH one a program. */
enum sw_status sw_make_verdict(struct sw_make_texts *files, const struct sw_verdict *verdict,
                               const struct sw_report_hash *hash, const struct sw_app *app,
                               struct sw_ctx *ctx) SW_MUST_CHECK;

/** record.json: of all FILES so far and what they came from. */
enum sw_status sw_make_record(struct sw_make_texts *files, const struct sw_make_texts *inputs,
                              const struct sw_app *app, struct sw_ctx *ctx) SW_MUST_CHECK;

/** Write the folder whole, or leave what was there. */
enum sw_status sw_make_folder(const struct sw_make_texts *files, const char *folder, bool force,
                              struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
