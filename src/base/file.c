#include "base/file.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <string.h>
#include <unistd.h>

#include "base/fileinside.h"

enum { BLOCK = 64 * 1024, MOST_TRIES = 1000 };

enum sw_status sw_file_report(enum sw_status status, const char *code, const char *doing,
                              const char *path, int error, struct sw_ctx *ctx)
{
    char reason[256];
    if (strerror_r(error, reason, sizeof reason) != 0)
        memcpy(reason, "unknown reason", sizeof "unknown reason");
    sw_diag_add(ctx->diag, SW_ERROR, code, (struct sw_span){0}, NULL, "cannot %s %s: %s", doing,
                path, reason);
    return status;
}

static int open_again(const char *path, int flags, mode_t mode)
{
    int fd;
    do
        fd = sw_file_ops_in_force()->open(path, flags, mode);
    while (fd < 0 && errno == EINTR);
    return fd;
}

int sw_file_drain(struct sw_buf *buf, int fd, size_t most)
{
    char *block = sw_mem_resize(NULL, 0, BLOCK);
    int error = block ? 0 : ENOMEM;
    while (error == 0) {
        const ssize_t n = sw_file_ops_in_force()->read(fd, block, BLOCK);
        if (n < 0 && errno == EINTR)
            continue;
        if (n < 0)
            error = errno;
        if (n <= 0)
            break;
        if ((size_t)n > most - buf->n) {
            error = EFBIG;
            break;
        }
        sw_buf_addn(buf, block, (size_t)n);
        if (buf->failed)
            error = ENOMEM;
    }
    if (block)
        sw_mem_resize(block, BLOCK, 0);
    return error;
}

static enum sw_status report_unread(const char *path, int error, size_t most, struct sw_ctx *ctx)
{
    switch (error) {
    case ENOMEM:
        return SW_MEMORY;
    case EFBIG:
        sw_diag_add(ctx->diag, SW_ERROR, "file.too-large", (struct sw_span){0}, NULL,
                    "%s is too large: at most %zu bytes are read", path, most);
        return SW_UNREADABLE;
    case EISDIR:
        sw_diag_add(ctx->diag, SW_ERROR, "file.folder", (struct sw_span){0},
                    "name a file inside it", "%s is a folder", path);
        return SW_UNREADABLE;
    case ENOENT:
    case ENOTDIR:
        sw_diag_add(ctx->diag, SW_ERROR, "file.missing", (struct sw_span){0}, NULL,
                    "there is no file %s", path);
        return SW_UNREADABLE;
    default:
        return sw_file_report(SW_READ, "file.read", "read", path, error, ctx);
    }
}

enum sw_status sw_file_read(const char **text, size_t *size, const char *path, size_t most,
                            struct sw_ctx *ctx)
{
    const bool is_input = strcmp(path, "-") == 0;
    const char *shown = is_input ? "standard input" : path;
    *text = NULL;
    *size = 0;
    const int fd = is_input ? STDIN_FILENO : open_again(path, O_RDONLY, 0);
    if (fd < 0 && (errno == EACCES || errno == ELOOP || errno == ENAMETOOLONG || errno == EPERM))
        return sw_file_report(SW_UNREADABLE, "file.read", "read", path, errno, ctx);
    if (fd < 0)
        return report_unread(shown, errno, most, ctx);
    struct sw_buf buf = {0};
    int error = sw_file_drain(&buf, fd, most);
    if (!is_input)
        sw_file_ops_in_force()->close(fd); /* nothing was written: its answer changes nothing */
    char *copy = error ? NULL : sw_arena_copy(ctx->arena, sw_buf_text(&buf), buf.n);
    *size = copy ? buf.n : 0;
    *text = copy;
    sw_buf_done(&buf);
    if (error)
        return report_unread(shown, error, most, ctx);
    return copy ? SW_OK : SW_MEMORY;
}

static bool write_all(int fd, const char *text, size_t size)
{
    while (size > 0) {
        const ssize_t n = sw_file_ops_in_force()->write(fd, text, size);
        if (n < 0 && errno == EINTR)
            continue;
        if (n < 0)
            return false;
        if (n == 0) {
            errno = EIO; /* no progress and no reason */
            return false;
        }
        text += n;
        size -= (size_t)n;
    }
    return true;
}

bool sw_file_put(const char *path, const char *text, size_t size, bool exclusive)
{
    const struct sw_file_ops *ops = sw_file_ops_in_force();
    const int fd = open_again(path, O_WRONLY | O_CREAT | (exclusive ? O_EXCL : O_TRUNC), 0666);
    if (fd < 0)
        return false;
    int error = 0;
    if (!write_all(fd, text, size) || ops->fsync(fd) != 0)
        error = errno;
    if (ops->close(fd) != 0 && error == 0)
        error = errno;
    if (error) {
        ops->unlink(path);
        errno = error;
    }
    return error == 0;
}

bool sw_file_sync_folder(const char *path)
{
    const struct sw_file_ops *ops = sw_file_ops_in_force();
    const int fd = open_again(path, O_RDONLY | O_DIRECTORY, 0);
    if (fd < 0)
        return false;
    const bool is_good = ops->fsync(fd) == 0 || errno == EINVAL || errno == ENOTSUP;
    const int error = errno;
    ops->close(fd);
    errno = error;
    return is_good;
}

/* What is no plain file is written to as it is: a rename would put a file in place of a device. */
static enum sw_status write_directly(const char *path, const char *text, size_t size,
                                     struct sw_ctx *ctx)
{
    const int fd = open_again(path, O_WRONLY, 0);
    if (fd < 0)
        return sw_file_report(SW_WRITE, "file.write", "write", path, errno, ctx);
    const bool is_written = write_all(fd, text, size);
    const int error = errno;
    if (sw_file_ops_in_force()->close(fd) != 0 && is_written)
        return sw_file_report(SW_WRITE, "file.write", "write", path, errno, ctx);
    return is_written ? SW_OK : sw_file_report(SW_WRITE, "file.write", "write", path, error, ctx);
}

static const char *name_in(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash ? slash + 1 : path;
}

/* The lock of PATH is held: what bears the name of a file being built for it was left by a run that
 * was killed. */
static void sweep(const char *folder, const char *name, struct sw_ctx *ctx)
{
    struct sw_names entries = {0};
    if (sw_file_list(&entries, folder, ctx->arena) != 0)
        return; /* it is in nobody's way */
    for (size_t i = 0; i < entries.n; i++) {
        const char *rest = sw_lock_after_temp_name(entries.at[i], name);
        const char *left =
            rest && !rest[0] ? sw_path_join(ctx->arena, folder, entries.at[i]) : NULL;
        if (left)
            sw_file_ops_in_force()->unlink(left);
    }
}

static enum sw_status write_and_rename(const char *path, const char *folder, const char *text,
                                       size_t size, struct sw_ctx *ctx)
{
    char *temp = NULL;
    int slot = -1;
    for (int i = 0; i < MOST_TRIES; i++) {
        char *name = sw_arena_printf(ctx->arena, ".%s.sw-%ld-%d", name_in(path), (long)getpid(), i);
        temp = name ? sw_path_join(ctx->arena, folder, name) : NULL;
        if (!temp)
            return SW_MEMORY;
        slot = sw_doomed_begin(temp);
        if (sw_file_put(temp, text, size, true))
            break;
        const int error = errno;
        sw_doomed_end(slot);
        errno = error;
        if (errno != EEXIST || i + 1 == MOST_TRIES)
            return sw_file_report(SW_WRITE, "file.write", "write", path, errno, ctx);
    }
    if (sw_file_ops_in_force()->rename(temp, path) != 0) {
        const int error = errno;
        sw_file_ops_in_force()->unlink(temp);
        sw_doomed_end(slot);
        return sw_file_report(SW_WRITE, "file.write", "write", path, error, ctx);
    }
    sw_doomed_end(slot);
    if (!sw_file_sync_folder(folder))
        sw_diag_add(ctx->diag, SW_WARNING, "file.sync", (struct sw_span){0}, NULL,
                    "%s is written, but may not survive a power cut: its folder cannot be synced",
                    path);
    return SW_OK;
}

static enum sw_status write_aside(const char *path, const char *text, size_t size,
                                  struct sw_ctx *ctx)
{
    int fd;
    const char *folder = sw_path_folder(ctx->arena, path);
    const char *lock = folder ? sw_lock_path(ctx->arena, folder, name_in(path)) : NULL;
    if (!lock)
        return SW_MEMORY;
    const int error = sw_lock_take(&fd, lock);
    if (error == EWOULDBLOCK || error == EINTR) {
        sw_diag_add(ctx->diag, SW_ERROR, "file.lock", (struct sw_span){0},
                    "wait for it, or name another file", "another run is writing %s", path);
        return SW_WRITE;
    }
    if (error)
        return sw_file_report(SW_WRITE, "file.write", "write", path, error, ctx);
    const int slot = sw_doomed_begin(lock);
    sweep(folder, name_in(path), ctx);
    const enum sw_status status = write_and_rename(path, folder, text, size, ctx);
    sw_lock_leave(fd, lock);
    sw_doomed_end(slot);
    return status;
}

enum sw_status sw_file_write(const char *path, const char *text, size_t size, struct sw_ctx *ctx)
{
    struct stat info;
    if (!text && size > 0)
        return SW_INTERNAL;
    if (sw_file_ops_in_force()->stat(path, &info) != 0) {
        if (errno != ENOENT)
            return sw_file_report(SW_WRITE, "file.write", "write", path, errno, ctx);
        return write_aside(path, text, size, ctx);
    }
    if (S_ISDIR(info.st_mode)) {
        sw_diag_add(ctx->diag, SW_ERROR, "file.folder", (struct sw_span){0},
                    "name a file inside it", "cannot write %s: it is a folder", path);
        return SW_WRITE;
    }
    if (!S_ISREG(info.st_mode))
        return write_directly(path, text, size, ctx);
    char real[PATH_MAX];
    return write_aside(sw_file_ops_in_force()->realpath(path, real) ? real : path, text, size, ctx);
}

enum sw_status sw_file_write_buf(const char *path, const struct sw_buf *buf, struct sw_ctx *ctx)
{
    if (buf->failed)
        return SW_INTERNAL;
    return sw_file_write(path, sw_buf_text(buf), buf->n, ctx);
}

char *sw_path_join(struct sw_arena *arena, const char *folder, const char *name)
{
    if (name[0] == '/' || folder[0] == '\0')
        return sw_arena_copy(arena, name, strlen(name));
    size_t n = strlen(folder);
    while (n > 0 && folder[n - 1] == '/')
        n--;
    return sw_arena_printf(arena, "%.*s/%s", (int)n, folder, name);
}

char *sw_path_folder(struct sw_arena *arena, const char *path)
{
    size_t n = strlen(path);
    while (n > 1 && path[n - 1] == '/')
        n--;
    while (n > 0 && path[n - 1] != '/')
        n--;
    if (n == 0)
        return sw_arena_copy(arena, ".", 1);
    while (n > 1 && path[n - 1] == '/')
        n--;
    return sw_arena_copy(arena, path, n);
}
