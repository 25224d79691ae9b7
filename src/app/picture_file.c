/* A drawing as one file, or one a page, by what its name ends in. */
#include <string.h>

#include "app/app.h"
#include "base/file.h"
#include "draw/write.h"

enum form { FORM_PDF, FORM_SVG, FORM_PNG, N_FORMS };
static const char *const suffixes[N_FORMS] = {".pdf", ".svg", ".png"};

static enum sw_status form_of(enum form *form, const char *path, struct sw_ctx *ctx)
{
    const size_t n = strlen(path);
    for (int i = 0; i < N_FORMS; i++) {
        const size_t k = strlen(suffixes[i]);
        if (n > k && strcmp(path + n - k, suffixes[i]) == 0) {
            *form = (enum form)i;
            return SW_OK;
        }
    }
    sw_diag_add(ctx->diag, SW_ERROR, "draw.form", (struct sw_span){0},
                "end its name in .pdf, .svg or .png", "%s has no suffix of a drawing", path);
    return SW_USAGE;
}

enum sw_status sw_app_check_picture(const char *path, struct sw_ctx *ctx)
{
    enum form form;
    return form_of(&form, path, ctx);
}

static enum sw_status write_one(const char *path, enum form form, const struct sw_drawing *drawing,
                                size_t page, struct sw_ctx *ctx)
{
    struct sw_buf bytes = {0};
    enum sw_status status = form == FORM_PDF   ? sw_draw_write_pdf(&bytes, drawing, ctx)
                            : form == FORM_SVG ? sw_draw_write_svg(&bytes, drawing, page, ctx)
                                               : sw_draw_write_png(&bytes, drawing, page, ctx);
    if (status == SW_OK)
        status = sw_file_write_buf(path, &bytes, ctx);
    sw_buf_done(&bytes);
    return status;
}

enum sw_status sw_app_write_picture(struct sw_buf *says, const char *path,
                                    const struct sw_drawing *drawing, struct sw_ctx *ctx)
{
    enum form form;
    SW_TRY(form_of(&form, path, ctx));
    if (form == FORM_PDF || drawing->n == 1) {
        SW_TRY(write_one(path, form, drawing, 0, ctx));
        sw_buf_printf(says, "written to %s:", path);
        for (size_t i = 0; i < drawing->n; i++)
            sw_buf_printf(says, "%s %s", i ? "," : "", drawing->at[i]->name);
        sw_buf_add(says, "\n");
        return SW_OK;
    }
    const char *stem = sw_arena_copy(ctx->arena, path, strlen(path) - strlen(suffixes[form]));
    if (!stem)
        return SW_MEMORY;
    for (size_t i = 0; i < drawing->n; i++) {
        const char *page = sw_arena_printf(ctx->arena, "%s-%zu%s", stem, i + 1, suffixes[form]);
        if (!page)
            return SW_MEMORY;
        SW_TRY(write_one(page, form, drawing, i, ctx));
        sw_buf_printf(says, "written to %s: %s\n", page, drawing->at[i]->name);
    }
    return SW_OK;
}
