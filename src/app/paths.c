#include "app/paths.h"

#include <errno.h>
#include <limits.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/file.h"

bool sw_app_is_folder(const char *path)
{
    struct stat info;
    return stat(path, &info) == 0 && S_ISDIR(info.st_mode);
}

static bool is_same(const char *a, const char *b)
{
    struct stat info_a, info_b;
    return stat(a, &info_a) == 0 && stat(b, &info_b) == 0 && info_a.st_dev == info_b.st_dev &&
           info_a.st_ino == info_b.st_ino;
}

const char *sw_app_base_name(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash ? slash + 1 : path;
}

/* Appends the parts of PATH to an absolute path in TO: "." and empty parts vanish, ".." takes one
 * part back. Links are not followed: what the user wrote is what is shown. */
static void walk(struct sw_buf *to, const char *path)
{
    while (*path) {
        const size_t n = strcspn(path, "/");
        if (n == 2 && strncmp(path, "..", 2) == 0) {
            while (to->n > 0 && to->at[to->n - 1] != '/')
                to->n--;
            if (to->n > 0)
                to->n--;
        } else if (n > 0 && !(n == 1 && *path == '.')) {
            sw_buf_add(to, "/");
            sw_buf_addn(to, path, n);
        }
        path += n;
        path += *path == '/';
    }
}

/* An absolute path without "." and ".."; "" is the root. Lives in the context. */
static enum sw_status absolute(const char **out, const char *path, struct sw_ctx *ctx)
{
    struct sw_buf buf = {0};
    if (*path != '/') {
        char here[PATH_MAX];
        if (!getcwd(here, sizeof here)) {
            sw_diag_add(ctx->diag, SW_ERROR, "app.folder", (struct sw_span){0}, NULL,
                        "the working folder cannot be read: %s", strerror(errno));
            return SW_READ;
        }
        walk(&buf, here);
    }
    walk(&buf, path);
    *out = buf.failed ? NULL : sw_arena_copy(ctx->arena, sw_buf_text(&buf), buf.n);
    sw_buf_done(&buf);
    return *out ? SW_OK : SW_MEMORY;
}

enum sw_status sw_app_relative(const char **out, const char *path, const char *folder,
                               struct sw_ctx *ctx)
{
    const char *to, *from;
    SW_TRY(absolute(&to, path, ctx));
    SW_TRY(absolute(&from, folder, ctx));
    size_t same = 0; /* bytes of the common parts */
    for (size_t i = 0;; i++) {
        const bool ends = (to[i] == '/' || !to[i]) && (from[i] == '/' || !from[i]);
        if (ends)
            same = i;
        if (to[i] != from[i] || !to[i])
            break;
    }
    struct sw_buf buf = {0};
    for (const char *c = from + same; *c; c++)
        if (*c == '/')
            sw_buf_add(&buf, "../");
    sw_buf_add(&buf, to[same] == '/' ? to + same + 1 : to + same);
    if (buf.n > 1 && buf.at[buf.n - 1] == '/')
        buf.at[--buf.n] = '\0';
    *out = buf.failed
               ? NULL
               : sw_arena_copy(ctx->arena, buf.n ? sw_buf_text(&buf) : ".", buf.n ? buf.n : 1);
    sw_buf_done(&buf);
    return *out ? SW_OK : SW_MEMORY;
}

/* The shortest honest spelling: below the working folder without its path. */
static enum sw_status as_shown(const char **out, const char *path, struct sw_ctx *ctx)
{
    const char *relative;
    SW_TRY(sw_app_relative(&relative, path, ".", ctx));
    if (strncmp(relative, "../", 3) != 0 && strcmp(relative, "..") != 0) {
        *out = relative;
        return SW_OK;
    }
    return absolute(out, path, ctx);
}

static enum sw_status beside_program(const char **out, struct sw_ctx *ctx)
{
    char program[PATH_MAX];
    const ssize_t n = readlink("/proc/self/exe", program, sizeof program);
    *out = NULL;
    if (n <= 0 || (size_t)n >= sizeof program)
        return SW_OK; /* no such file system: the compiled-in folder is left */
    const char *path = sw_arena_copy(ctx->arena, program, (size_t)n);
    *out = path ? sw_path_folder(ctx->arena, path) : NULL;
    return *out ? SW_OK : SW_MEMORY;
}

enum sw_status sw_app_find_roots(struct sw_search *out, const char *given, const char *data_dir,
                                 struct sw_ctx *ctx)
{
    SW_VEC(const char *) roots = {0};
    if (given && !sw_app_is_folder(given)) {
        sw_diag_add(ctx->diag, SW_ERROR, "app.profiles", (struct sw_span){0},
                    "--profiles names a folder with machines/, tools/, holders/, materials/ and "
                    "shops/ in it",
                    "%s is no folder", given);
        return SW_UNREADABLE;
    }
    if (given && !SW_VEC_PUSH(ctx->arena, &roots, given))
        return SW_MEMORY;

    static const char *const beside[] = {"../profiles", "../share/staffwright/profiles",
                                         "../../profiles"};
    const char *folder;
    SW_TRY(beside_program(&folder, ctx));
    const char *found = NULL;
    for (size_t i = 0; folder && !found && i < sizeof beside / sizeof *beside; i++) {
        const char *path = sw_path_join(ctx->arena, folder, beside[i]);
        if (!path)
            return SW_MEMORY;
        if (sw_app_is_folder(path))
            found = path;
    }
    if (!found) {
        found = sw_path_join(ctx->arena, data_dir, "profiles");
        if (!found)
            return SW_MEMORY;
    }
    SW_TRY(as_shown(&found, found, ctx));
    if (!(given && is_same(given, found)) && !SW_VEC_PUSH(ctx->arena, &roots, found))
        return SW_MEMORY;
    if (!SW_VEC_PUSH(ctx->arena, &roots, NULL))
        return SW_MEMORY;
    out->roots = roots.at;
    return SW_OK;
}

enum sw_status sw_app_profile_part(const char **out, const char *path,
                                   const struct sw_search *search, struct sw_ctx *ctx)
{
    static const char *const part[] = {"profiles/", "postprocessors/"};
    *out = NULL;
    for (const char *const *root = search->roots; *root; root++) {
        const char *inside;
        SW_TRY(sw_app_relative(&inside, path, *root, ctx));
        if (strncmp(inside, "../", 3) != 0) {
            *out = sw_arena_printf(ctx->arena, "%s%s", part[0], inside);
            return *out ? SW_OK : SW_MEMORY;
        }
        /* Dialects stand in a folder beside the root. */
        if (strncmp(inside + 3, part[1], strlen(part[1])) == 0) {
            *out = inside + 3;
            return SW_OK;
        }
    }
    return SW_OK;
}
