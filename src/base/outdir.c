/* Output folders: building one beside its target. outplace.c puts it in place. */
#include "base/file.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <signal.h>
#include <string.h>
#include <unistd.h>

#include "base/fileinside.h"

enum { MOST_TRIES = 1000 }; /* names tried for a temp folder */

static enum sw_status refuse(const char *code, const char *hint, const char *message,
                             const char *path, struct sw_ctx *ctx)
{
    sw_diag_add(ctx->diag, SW_ERROR, code, (struct sw_span){0}, hint, "%s %s", message, path);
    return SW_WRITE;
}

enum sw_status sw_file_make_folder(const char *whole, struct sw_ctx *ctx)
{
    char *path = sw_arena_copy(ctx->arena, whole, strlen(whole));
    if (!path)
        return SW_MEMORY;
    for (char *at = path + 1;; at++) {
        if (*at != '/' && *at != '\0')
            continue;
        const char kept = *at;
        struct stat info;
        *at = '\0';
        if (sw_file_ops_in_force()->mkdir(path, 0777) != 0 && errno != EEXIST) {
            const int error = errno;
            /* A folder that is there may answer with another error (read-only, automounted). */
            if (sw_file_ops_in_force()->stat(path, &info) != 0 || !S_ISDIR(info.st_mode))
                return sw_file_report(SW_WRITE, "file.folder", "make the folder", path, error, ctx);
        }
        *at = kept;
        if (kept == '\0')
            return SW_OK;
    }
}

/* Finds out where the folder will stand: links followed, no slash at the end. */
static enum sw_status settle_target(struct sw_outdir *dir, const char *target)
{
    size_t n = strlen(target);
    while (n > 1 && target[n - 1] == '/')
        n--;
    char *path = sw_arena_copy(dir->arena, target, n);
    if (!path)
        return SW_MEMORY;
    struct stat info;
    char real[PATH_MAX];
    if (sw_file_ops_in_force()->stat(path, &info) == 0) {
        if (!S_ISDIR(info.st_mode))
            return refuse("file.folder", "name another output folder", "there is a file at", path,
                          dir->ctx);
        if (sw_file_ops_in_force()->realpath(path, real))
            path = sw_arena_copy(dir->arena, real, strlen(real));
    } else if (errno != ENOENT) {
        return sw_file_report(SW_WRITE, "file.folder", "use the output folder", path, errno,
                              dir->ctx);
    }
    if (!path)
        return SW_MEMORY;
    const char *slash = strrchr(path, '/');
    const char *name = slash ? slash + 1 : path;
    if (!name[0] || strcmp(name, ".") == 0 || strcmp(name, "..") == 0)
        return refuse("file.folder", "name a folder of its own for the output",
                      "cannot be an output folder:", target, dir->ctx);
    dir->target = path;
    dir->name = name;
    dir->parent = sw_path_folder(dir->arena, path);
    return dir->parent ? SW_OK : SW_MEMORY;
}

static enum sw_status take_lock(struct sw_outdir *dir)
{
    int fd;
    const int error = sw_lock_take(&fd, dir->lock_path);
    if (error == EINTR)
        return refuse("file.lock", "try again", "cannot lock", dir->target, dir->ctx);
    if (error == EWOULDBLOCK)
        return refuse("file.lock", "wait for it, or name another output folder",
                      "another run is writing to", dir->target, dir->ctx);
    if (error)
        return sw_file_report(SW_WRITE, "file.lock", "lock", dir->lock_path, error, dir->ctx);
    dir->lock_fd = fd;
    return SW_OK;
}

/* Signals that would end the process wait while a folder changes hands. A kill leaves things as
 * they are: the next run puts them right. */
static void hold_signals(sigset_t *before)
{
    sigset_t ending;
    sigemptyset(&ending);
    sigaddset(&ending, SIGINT);
    sigaddset(&ending, SIGTERM);
    sigaddset(&ending, SIGHUP);
    pthread_sigmask(SIG_BLOCK, &ending, before);
}

static void release_signals(const sigset_t *before)
{
    pthread_sigmask(SIG_SETMASK, before, NULL);
}

static enum sw_status make_temp(struct sw_outdir *dir)
{
    for (int i = 0; i < MOST_TRIES; i++) {
        char *name = sw_arena_printf(dir->arena, ".%s.sw-%ld-%d", dir->name, (long)getpid(), i);
        char *temp = name ? sw_path_join(dir->arena, dir->parent, name) : NULL;
        char *aside = temp ? sw_arena_printf(dir->arena, "%s.old", temp) : NULL;
        if (!aside)
            return SW_MEMORY;
        sigset_t before;
        hold_signals(&before);
        const bool is_made = sw_file_ops_in_force()->mkdir(temp, 0777) == 0;
        const int error = errno;
        if (is_made) {
            dir->temp = temp;
            dir->aside = aside;
            dir->has_temp = true;
            dir->slot = sw_doomed_begin(temp);
        }
        release_signals(&before);
        if (is_made)
            return SW_OK;
        errno = error;
        if (errno != EEXIST)
            break;
    }
    return sw_file_report(SW_WRITE, "file.folder", "make a folder beside", dir->target, errno,
                          dir->ctx);
}

/* Lets go of the lock and of the memory. */
static void end(struct sw_outdir *dir)
{
    const bool is_ours = sw_doomed_end(dir->slot);
    if (dir->lock_fd >= 0) {
        sw_lock_leave(dir->lock_fd, dir->lock_path);
    }
    if (is_ours)
        sw_arena_free(dir->arena); /* DIR itself lives there */
}

static enum sw_status settle(struct sw_outdir *dir, const char *target, const char *record_name)
{
    dir->record_name = sw_arena_copy(dir->arena, record_name, strlen(record_name));
    if (!dir->record_name)
        return SW_MEMORY;
    SW_TRY(settle_target(dir, target));
    dir->lock_path = sw_lock_path(dir->arena, dir->parent, dir->name);
    return dir->lock_path ? SW_OK : SW_MEMORY;
}

static enum sw_status begin(struct sw_outdir *dir, const char *target, const char *record_name)
{
    SW_TRY(settle(dir, target, record_name));
    SW_TRY(sw_file_make_folder(dir->parent, dir->ctx));
    SW_TRY(take_lock(dir));
    SW_TRY(sw_outdir_sweep(dir));
    return make_temp(dir);
}

static struct sw_outdir *new_dir(bool force, struct sw_ctx *ctx)
{
    struct sw_arena *arena = sw_arena_new();
    struct sw_outdir *dir = arena ? SW_NEW(arena, struct sw_outdir, 1) : NULL;
    if (!dir) {
        sw_arena_free(arena);
        return NULL;
    }
    *dir =
        (struct sw_outdir){.arena = arena, .ctx = ctx, .lock_fd = -1, .slot = -1, .force = force};
    return dir;
}

enum sw_status sw_outdir_begin(struct sw_outdir **out, const char *target, const char *record_name,
                               bool force, struct sw_ctx *ctx)
{
    *out = NULL;
    struct sw_outdir *dir = new_dir(force, ctx);
    if (!dir)
        return SW_MEMORY;
    const enum sw_status status = begin(dir, target, record_name);
    if (status != SW_OK) {
        sw_outdir_abort(dir);
        return status;
    }
    *out = dir;
    return SW_OK;
}

/* The lock file is made first and removed last: without one nothing else can be left. */
enum sw_status sw_outdir_clear(const char *target, const char *record_name, struct sw_ctx *ctx)
{
    struct sw_ctx unsaid = {ctx->arena, sw_diag_new()}; /* what another run holds is no fault */
    struct sw_outdir *dir = unsaid.diag ? new_dir(false, ctx) : NULL;
    enum sw_status status = dir ? settle(dir, target, record_name) : SW_MEMORY;
    struct stat info;
    if (status == SW_OK && sw_file_ops_in_force()->stat(dir->lock_path, &info) == 0) {
        dir->ctx = &unsaid;
        const bool is_ours = take_lock(dir) == SW_OK;
        dir->ctx = ctx;
        status = is_ours ? sw_outdir_sweep(dir) : SW_OK;
    }
    sw_outdir_abort(dir);
    sw_diag_free(unsaid.diag);
    return status;
}

enum sw_status sw_outdir_add(struct sw_outdir *dir, const char *name, const char *text, size_t size)
{
    if (!name[0] || strchr(name, '/') || strcmp(name, ".") == 0 || strcmp(name, "..") == 0 ||
        sw_names_have(&dir->added, name) || (!text && size > 0)) {
        sw_diag_add(dir->ctx->diag, SW_ERROR, "file.name", (struct sw_span){0}, NULL,
                    "`%s` cannot be a file of the output folder, or is added twice", name);
        return SW_INTERNAL;
    }
    char *path = sw_path_join(dir->arena, dir->temp, name);
    if (!path || !sw_names_push(&dir->added, dir->arena, name, strlen(name)) ||
        !sw_doomed_add(dir->slot, path, dir->arena))
        return SW_MEMORY;
    if (!sw_file_put(path, text ? text : "", size, true))
        return sw_file_report(SW_WRITE, "file.write", "write", path, errno, dir->ctx);
    return SW_OK;
}

enum sw_status sw_outdir_add_buf(struct sw_outdir *dir, const char *name, const struct sw_buf *buf)
{
    if (buf->failed)
        return SW_INTERNAL;
    return sw_outdir_add(dir, name, sw_buf_text(buf), buf->n);
}

/* What a run does not list it could not replace the next time. */
static enum sw_status check_record(struct sw_outdir *dir)
{
    struct sw_names listed = {0};
    bool out_of_memory = false;
    const char *path = sw_path_join(dir->arena, dir->temp, dir->record_name);
    if (!path)
        return SW_MEMORY;
    const bool is_read = sw_names_have(&dir->added, dir->record_name) &&
                         sw_record_read(&listed, &out_of_memory, path, dir->arena);
    const int error = errno;
    if (out_of_memory)
        return SW_MEMORY;
    if (!is_read && error != 0 && sw_names_have(&dir->added, dir->record_name))
        return sw_file_report(SW_READ, "file.read", "read", path, error, dir->ctx);
    for (size_t i = 0; i < dir->added.n; i++) {
        const char *name = dir->added.at[i];
        if (is_read && (strcmp(name, dir->record_name) == 0 || sw_names_have(&listed, name)))
            continue;
        sw_diag_add(dir->ctx->diag, SW_ERROR, "file.record", (struct sw_span){0}, NULL,
                    "%s does not list %s", dir->record_name, name);
        return SW_INTERNAL;
    }
    return SW_OK;
}

static enum sw_status commit(struct sw_outdir *dir)
{
    enum sw_status status = check_record(dir);
    if (status == SW_OK && !sw_file_sync_folder(dir->temp))
        status = sw_file_report(SW_WRITE, "file.sync", "sync", dir->temp, errno, dir->ctx);
    if (status == SW_OK && !sw_doomed_end(dir->slot))
        return SW_WRITE; /* a signal is ending the process; its handler holds on to DIR */
    if (status != SW_OK) {
        sw_outdir_abort(dir);
        return status;
    }
    dir->slot = -1;
    status = sw_outdir_place(dir);
    if (status != SW_OK) {
        sw_outdir_abort(dir);
        return status;
    }
    end(dir);
    return SW_OK;
}

enum sw_status sw_outdir_commit(struct sw_outdir *dir)
{
    sigset_t before;
    hold_signals(&before);
    const enum sw_status status = commit(dir);
    release_signals(&before);
    return status;
}

void sw_outdir_abort(struct sw_outdir *dir)
{
    if (!dir)
        return;
    if (dir->has_temp)
        sw_file_remove_folder(dir->temp, dir->arena); /* the next run sweeps what stays */
    end(dir);
}
