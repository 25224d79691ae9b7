/* Locks of what is written: a file beside the target, held by one process at a time. */
#include "base/fileinside.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>

char *sw_lock_path(struct sw_arena *arena, const char *parent, const char *name)
{
    char *lock = sw_arena_printf(arena, ".%s.sw-lock", name);
    return lock ? sw_path_join(arena, parent, lock) : NULL;
}

/* The lock file may be removed by its holder between our open and our lock: then what we locked is
 * no longer what the next run will find, and we try again. */
int sw_lock_take(int *fd, const char *path)
{
    enum { TRIES = 10 };
    const struct sw_file_ops *ops = sw_file_ops_in_force();
    for (int i = 0; i < TRIES; i++) {
        *fd = ops->open(path, O_RDWR | O_CREAT, 0666);
        if (*fd < 0)
            return errno;
        if (ops->lock(*fd) != 0) {
            const int error = errno;
            ops->close(*fd);
            return error;
        }
        struct stat ours, found;
        if (fstat(*fd, &ours) == 0 && ops->stat(path, &found) == 0 && ours.st_ino == found.st_ino &&
            ours.st_dev == found.st_dev)
            return 0;
        ops->close(*fd);
    }
    return EINTR;
}

/* The lock file goes first, while the lock is held. */
void sw_lock_leave(int fd, const char *path)
{
    sw_file_ops_in_force()->unlink(path);
    sw_file_ops_in_force()->close(fd);
}

const char *sw_lock_after_temp_name(const char *entry, const char *name)
{
    static const char mark[] = ".sw-";
    const size_t n = strlen(name);
    if (entry[0] != '.' || strncmp(entry + 1, name, n) != 0 ||
        strncmp(entry + 1 + n, mark, sizeof mark - 1) != 0)
        return NULL;
    const char *at = entry + 1 + n + sizeof mark - 1;
    const size_t n_pid = strspn(at, "0123456789");
    if (n_pid == 0 || at[n_pid] != '-')
        return NULL;
    at += n_pid + 1;
    const size_t n_count = strspn(at, "0123456789");
    return n_count > 0 ? at + n_count : NULL;
}
