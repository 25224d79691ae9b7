/* A run's programs to a verdict: besides them the judge needs what each piece would be alone. */
#include "app/app.h"

#include <string.h>

#include "app/paths.h"
#include "base/file.h"

/* A path seen from FOLDER, which need not be there yet: "../" goes up in its name. */
static const char *seen_from(const char *folder, const char *name, struct sw_ctx *ctx)
{
    while (folder && strncmp(name, "../", 3) == 0) {
        const char *last = sw_app_base_name(folder);
        if (strcmp(last, ".") == 0 || strcmp(last, "..") == 0 || strcmp(last, "") == 0)
            break;
        folder = sw_path_folder(ctx->arena, folder);
        name += 3;
    }
    return folder ? sw_path_join(ctx->arena, folder, name) : NULL;
}

/* Staff, shape and later programs of the piece whose record is called NAME. */
static enum sw_status load_piece(struct sw_verify_piece *out, const struct sw_text *name,
                                 const char *folder, const struct sw_shop *shop, struct sw_ctx *ctx)
{
    const char *path = seen_from(folder, name->value, ctx);
    const char *beside = path ? sw_path_folder(ctx->arena, path) : NULL;
    const char *seen = sw_path_folder(ctx->arena, name->value);
    struct sw_setup *setup = NULL;
    struct sw_staff *staff = NULL;
    struct sw_shape *shape = NULL;
    if (!beside || !seen)
        return SW_MEMORY;
    SW_TRY(sw_setup_load(&setup, path, ctx));
    const char *staff_path = sw_path_join(ctx->arena, beside, setup->staff.value);
    if (!staff_path)
        return SW_MEMORY;
    SW_TRY(sw_staff_load(&staff, staff_path, ctx));
    const struct sw_leave leave = {setup->stone, setup->burnish, setup->tip};
    const struct sw_shape_extra extra = {setup->upper_long.value, setup->lower_long.value};
    SW_TRY(sw_shape_build(&shape, staff, &leave, &extra, ctx));
    const struct sw_setup_side *side = setup->sides.at;
    size_t n = 0;
    for (size_t i = 1; i < setup->sides.n; i++)
        n += side[i].programs.n;
    struct sw_verify_program *later = SW_NEW(ctx->arena, struct sw_verify_program, n);
    if (!later)
        return SW_MEMORY;
    size_t at = 0;
    for (size_t i = 1; i < setup->sides.n; i++) {
        const struct sw_setup_program *program = side[i].programs.at;
        for (size_t k = 0; k < side[i].programs.n; k++, at++) {
            const char *file = program[k].file.value;
            const char *at_file = sw_path_join(ctx->arena, beside, file);
            struct sw_app_text text = {.name = sw_path_join(ctx->arena, seen, file)};
            if (!at_file || !text.name)
                return SW_MEMORY;
            SW_TRY(sw_file_read(&text.text, &text.size, at_file, SW_FILE_MOST_PROGRAM, ctx));
            SW_TRY(
                sw_app_read_program(&later[at], &text, side[0].programs.n + at, setup, shop, ctx));
        }
    }
    *out = (struct sw_verify_piece){setup, shape, later, n};
    return SW_OK;
}

enum sw_status sw_app_judge_run(struct sw_verdict **out, const struct sw_app_text *text, size_t n,
                                const struct sw_setup *setup, const char *folder,
                                const struct sw_shop *shop, bool by_referee, struct sw_ctx *ctx)
{
    const struct sw_setup_side *side = setup->sides.at;
    const struct sw_setup_piece *piece = side->run.pieces.at;
    const size_t n_pieces = side->run.pieces.n;
    struct sw_verify_program *program = SW_NEW(ctx->arena, struct sw_verify_program, n);
    struct sw_verify_piece *is = SW_NEW(ctx->arena, struct sw_verify_piece, n_pieces);
    if (!program || !is)
        return SW_MEMORY;
    for (size_t i = 0; i < n; i++)
        SW_TRY(sw_app_read_program(&program[i], &text[i], i, setup, shop, ctx));
    for (size_t i = 0; i < n_pieces; i++) {
        size_t k = 0;
        while (k < i && strcmp(piece[k].setup.value, piece[i].setup.value) != 0)
            k++;
        is[i] = is[k];
        if (k == i)
            SW_TRY(load_piece(&is[i], &piece[i].setup, folder, shop, ctx));
    }
    return sw_verify_bar(out, program, n, is, setup, shop, by_referee, ctx);
}
