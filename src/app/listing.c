/* What the profiles hold: files of one kind, sorted by name, first root first. */
#include <dirent.h>
#include <stdlib.h>
#include <string.h>

#include "app/app.h"
#include "app/paths.h"
#include "base/file.h"
#include "spec/node.h"

static const char suffix[] = ".yaml";

static int by_alphabet(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

void sw_app_sort_names(struct sw_app_names *names)
{
    if (names->n > 1)
        qsort(names->at, names->n, sizeof *names->at, by_alphabet);
}

enum sw_status sw_app_read_folder(struct sw_app_names *to, const char *folder, struct sw_ctx *ctx)
{
    DIR *dir = opendir(folder);
    if (!dir)
        return SW_OK; /* a root need not hold every kind */
    enum sw_status status = SW_OK;
    const struct dirent *entry;
    while (status == SW_OK && (entry = readdir(dir)) != NULL) {
        const size_t n = strlen(entry->d_name), n_suffix = sizeof suffix - 1;
        if (n <= n_suffix || strcmp(entry->d_name + n - n_suffix, suffix) != 0)
            continue;
        const char *name = sw_arena_copy(ctx->arena, entry->d_name, n - n_suffix);
        if (!name || !SW_VEC_PUSH(ctx->arena, to, name))
            status = SW_MEMORY;
    }
    closedir(dir);
    /* The system's order is its own affair; ours is the alphabet. */
    sw_app_sort_names(to);
    return status;
}

enum sw_status sw_app_read_subfolders(struct sw_app_names *to, const char *folder,
                                      const char *holding, struct sw_ctx *ctx)
{
    DIR *dir = opendir(folder);
    if (!dir)
        return SW_OK;
    enum sw_status status = SW_OK;
    const struct dirent *entry;
    while (status == SW_OK && (entry = readdir(dir)) != NULL) {
        const char *file = sw_arena_printf(ctx->arena, "%s/%s/%s", folder, entry->d_name, holding);
        struct stat is;
        if (!file)
            status = SW_MEMORY;
        else if (entry->d_name[0] != '.' && stat(file, &is) == 0) {
            const char *name = sw_arena_copy(ctx->arena, entry->d_name, strlen(entry->d_name));
            if (!name || !SW_VEC_PUSH(ctx->arena, to, name))
                status = SW_MEMORY;
        }
    }
    closedir(dir);
    sw_app_sort_names(to);
    return status;
}

/* Name and the file's own line about itself. */
static enum sw_status list_file(struct sw_report_items *out, const char *folder, const char *name,
                                struct sw_ctx *ctx)
{
    const char *file = sw_arena_printf(ctx->arena, "%s%s", name, suffix);
    const char *path = file ? sw_path_join(ctx->arena, folder, file) : NULL;
    if (!path)
        return SW_MEMORY;
    struct sw_node *root = NULL;
    SW_TRY(sw_node_load(&root, path, ctx));
    const struct sw_node *says = root->kind == SW_NODE_MAP ? sw_node_get(root, "says") : NULL;
    if (!says && root->kind == SW_NODE_MAP)
        says = sw_node_get(root, "name");
    const struct sw_report_item item = {name, says ? says->text : NULL};
    return SW_VEC_PUSH(ctx->arena, out, item) ? SW_OK : SW_MEMORY;
}

static enum sw_status list_folder(struct sw_report_items *out, const char *folder,
                                  struct sw_ctx *ctx)
{
    struct sw_app_names found = {0};
    enum sw_status first = SW_OK;
    SW_TRY(sw_app_read_folder(&found, folder, ctx));
    for (size_t i = 0; i < found.n; i++) {
        const enum sw_status status = list_file(out, folder, found.at[i], ctx);
        if (status != SW_OK && status != SW_INPUT && status != SW_UNREADABLE)
            return status;
        if (first == SW_OK)
            first = status;
    }
    return first;
}

enum sw_status sw_app_list(struct sw_report_items *out, const char *kind, const struct sw_app *app,
                           struct sw_ctx *ctx)
{
    enum sw_status first = SW_OK;
    for (const char *const *root = app->search.roots; *root; root++) {
        const bool is_posts = strcmp(kind, "posts") == 0;
        const char *const folder[] = {
            sw_path_join(ctx->arena, *root, is_posts ? "postprocessors" : kind),
            is_posts ? sw_path_join(ctx->arena, *root, "../postprocessors") : NULL,
        };
        if (!folder[0] || (is_posts && !folder[1]))
            return SW_MEMORY;
        for (size_t i = 0; i < 2 && folder[i]; i++) {
            const enum sw_status status = list_folder(out, folder[i], ctx);
            if (status == SW_MEMORY || status == SW_READ)
                return status;
            if (first == SW_OK)
                first = status;
        }
    }
    return first;
}
