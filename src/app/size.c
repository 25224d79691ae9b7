/* From a survey to a staff file: worked out, written as text, read back as any staff is, held
 * against its parts; only then does the file appear. */
#include <string.h>

#include "app/app.h"
#include "base/file.h"

static enum sw_status read_back(struct sw_app_size *out, const struct sw_buf *text,
                                const char *name, struct sw_ctx *ctx)
{
    const enum sw_status status =
        sw_staff_parse(&out->staff, name, sw_buf_text(text), text->n, ctx);
    /* The readings asked for a shape that is none: their fault, seen in the text made of them. */
    if (status == SW_INPUT) {
        sw_diag_add(ctx->diag, SW_NOTE, "size.no-staff", (struct sw_span){0}, NULL,
                    "the sizes worked out from the readings give no sound staff; nothing was "
                    "written");
        return SW_FOUND;
    }
    if (status != SW_OK && status != SW_FOUND)
        return status;
    const enum sw_status fits = sw_fit_check(&out->fit, out->staff, ctx);
    return fits == SW_OK ? status : fits;
}

enum sw_status sw_app_size(struct sw_app_size *out, struct sw_buf *text, const char *survey,
                           const char *file, struct sw_ctx *ctx)
{
    *out = (struct sw_app_size){0};
    struct sw_survey *read = NULL;
    SW_TRY(sw_survey_load(&read, survey, ctx));
    SW_TRY(sw_size_work_out(&out->sizing, read, ctx));
    struct sw_buf staff = {0};
    sw_size_write_staff(&staff, out->sizing);
    const bool is_plain = file && strcmp(file, "-") != 0;
    enum sw_status status =
        staff.failed ? SW_MEMORY : read_back(out, &staff, is_plain ? file : "staff.yaml", ctx);
    if (status == SW_OK && is_plain) {
        status = sw_file_write_buf(file, &staff, ctx);
        out->written = status == SW_OK ? file : NULL;
    } else if (status == SW_OK && file) {
        sw_buf_add(text, sw_buf_text(&staff));
        out->written = file;
    }
    sw_buf_done(&staff);
    return status;
}
