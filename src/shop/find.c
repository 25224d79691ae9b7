/* Finding files by name. A name is looked for in few places and the diagnostic lists all of them,
 * since a file that is found in the wrong place is worse than one that is not found. */
#include "shop/shop.h"

#include <dirent.h>
#include <errno.h>
#include <string.h>
#include <sys/stat.h>

#include "base/file.h"

static const char suffix[] = ".yaml";

static bool has_suffix(const char *name)
{
    const size_t n = strlen(name), n_suffix = sizeof suffix - 1;
    return n > n_suffix && strcmp(name + n - n_suffix, suffix) == 0;
}

static bool is_file(const char *path)
{
    struct stat about;
    return stat(path, &about) == 0 && !S_ISDIR(about.st_mode);
}

static bool is_same_file(const char *a, const char *b)
{
    struct stat about_a, about_b;
    return stat(a, &about_a) == 0 && stat(b, &about_b) == 0 && about_a.st_dev == about_b.st_dev &&
           about_a.st_ino == about_b.st_ino;
}

typedef SW_VEC(const char *) names;

/* Looks for NAME, then NAME.yaml, in FOLDER. *PATH stays NULL when neither is there. */
static enum sw_status look_in(const char **path, const char *folder, const char *name,
                              const char *near_file, struct sw_ctx *ctx)
{
    char *plain = strcmp(folder, ".") == 0 ? sw_arena_copy(ctx->arena, name, strlen(name))
                                           : sw_path_join(ctx->arena, folder, name);
    char *longer = plain ? sw_arena_printf(ctx->arena, "%s%s", plain, suffix) : NULL;
    if (!longer)
        return SW_MEMORY;
    const char *const tried[] = {plain, has_suffix(name) ? NULL : longer};
    for (size_t i = 0; i < 2 && !*path; i++) {
        if (tried[i] && is_file(tried[i]) && !is_same_file(tried[i], near_file))
            *path = tried[i];
    }
    return SW_OK;
}

/* Puts the names of a folder's YAML files, without suffix, into NAMES in sorted order: the answer
 * must not depend on the order the system lists them in. A folder that is not there has none. */
static enum sw_status list_folder(names *to, const char *folder, struct sw_ctx *ctx)
{
    DIR *dir = opendir(folder);
    if (!dir)
        return SW_OK;
    enum sw_status status = SW_OK;
    const struct dirent *entry;
    while (status == SW_OK && (entry = readdir(dir))) {
        if (!has_suffix(entry->d_name))
            continue;
        const char *name =
            sw_arena_copy(ctx->arena, entry->d_name, strlen(entry->d_name) - (sizeof suffix - 1));
        if (!name || !SW_VEC_PUSH(ctx->arena, to, name)) {
            status = SW_MEMORY;
            continue;
        }
        for (size_t i = to->n - 1; i > 0 && strcmp(to->at[i], to->at[i - 1]) < 0; i--) {
            const char *const swapped = to->at[i];
            to->at[i] = to->at[i - 1];
            to->at[i - 1] = swapped;
        }
    }
    closedir(dir);
    return status;
}

static enum sw_status report(const char *name, const char *kind, const names *folders,
                             struct sw_span at, struct sw_ctx *ctx)
{
    names known = {0};
    for (size_t i = 0; i < folders->n; i++)
        SW_TRY(list_folder(&known, folders->at[i], ctx));
    if (!SW_VEC_PUSH(ctx->arena, &known, NULL))
        return SW_MEMORY;
    const char *near = sw_nearest_word(name, known.at);
    struct sw_buf hint = {0};
    if (near && strcmp(near, name) == 0)
        sw_buf_add(&hint, "the file that names it does not count itself; ");
    else if (near)
        sw_buf_printf(&hint, "did you mean `%s`? ", near);
    sw_buf_add(&hint, "looked in ");
    for (size_t i = 0; i < folders->n; i++)
        sw_buf_printf(&hint, "%s%s", i ? ", " : "", folders->at[i]);
    const bool is_failed = hint.failed;
    if (!is_failed)
        sw_diag_add(ctx->diag, SW_ERROR, "shop.not-found", at, sw_buf_text(&hint),
                    "there is no file `%s` or `%s%s` among the %s", name, name, suffix, kind);
    sw_buf_done(&hint);
    return is_failed || sw_diag_failed(ctx->diag) ? SW_MEMORY : SW_UNREADABLE;
}

enum sw_status sw_shop_find(const char **path, const char *name, const char *kind,
                            const char *near_file, const struct sw_search *search,
                            struct sw_span at, struct sw_ctx *ctx)
{
    names folders = {0};
    const char *beside = sw_path_folder(ctx->arena, near_file);
    if (!beside || !SW_VEC_PUSH(ctx->arena, &folders, beside))
        return SW_MEMORY;
    const bool is_path = strchr(name, '/') != NULL;
    for (const char *const *root = search ? search->roots : NULL; !is_path && root && *root;
         root++) {
        const char *folder = sw_path_join(ctx->arena, *root, kind);
        if (!folder || !SW_VEC_PUSH(ctx->arena, &folders, folder))
            return SW_MEMORY;
    }
    const char *found = NULL;
    for (size_t i = 0; i < folders.n && !found; i++)
        SW_TRY(look_in(&found, folders.at[i], name, near_file, ctx));
    if (!found)
        return report(name, kind, &folders, at, ctx);
    *path = found;
    return SW_OK;
}
