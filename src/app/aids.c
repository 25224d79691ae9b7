/* Tools and materials that stand in the profiles: what advice may propose to a shop that lacks
 * them. */
#include "app/app.h"
#include "app/paths.h"
#include "base/file.h"

/* All files of one KIND folder, root by root: paths in TO. */
static enum sw_status paths_of(struct sw_app_names *to, const char *kind, const struct sw_app *app,
                               struct sw_ctx *ctx)
{
    for (const char *const *root = app->search.roots; *root; root++) {
        const char *folder = sw_path_join(ctx->arena, *root, kind);
        struct sw_app_names found = {0};
        if (!folder)
            return SW_MEMORY;
        SW_TRY(sw_app_read_folder(&found, folder, ctx));
        for (size_t i = 0; i < found.n; i++) {
            const char *path = sw_arena_printf(ctx->arena, "%s/%s.yaml", folder, found.at[i]);
            if (!path || !SW_VEC_PUSH(ctx->arena, to, path))
                return SW_MEMORY;
        }
    }
    return SW_OK;
}

enum sw_status sw_app_gather_aids(struct sw_plan_aids *aids, struct sw_ctx *ctx)
{
    const struct sw_app *app = aids->user;
    struct sw_app_names tools = {0}, materials = {0};
    SW_TRY(paths_of(&tools, "tools", app, ctx));
    SW_TRY(paths_of(&materials, "materials", app, ctx));
    const struct sw_tool **tool = SW_NEW(ctx->arena, const struct sw_tool *, tools.n);
    const struct sw_material **material =
        SW_NEW(ctx->arena, const struct sw_material *, materials.n);
    if (!tool || !material)
        return SW_MEMORY;
    for (size_t i = 0; i < tools.n; i++) {
        struct sw_tool *is = NULL;
        const enum sw_status status = sw_tool_load(&is, tools.at[i], ctx);
        if (status == SW_MEMORY)
            return status;
        if (status == SW_OK)
            tool[aids->n_tools++] = is;
    }
    for (size_t i = 0; i < materials.n; i++) {
        struct sw_material *is = NULL;
        const enum sw_status status = sw_material_load(&is, materials.at[i], ctx);
        if (status == SW_MEMORY)
            return status;
        if (status == SW_OK)
            material[aids->n_materials++] = is;
    }
    aids->tool = tool;
    aids->material = material;
    return SW_OK;
}
