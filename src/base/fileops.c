/* The real system calls. Three of them are not in the base of POSIX 2008; the feature macro for
 * them stays in this file. */
#define _GNU_SOURCE

#include "base/fileinside.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/file.h>
#include <unistd.h>

static int real_open(const char *path, int flags, mode_t mode)
{
    return open(path, flags | O_CLOEXEC, mode);
}

static int real_exchange(const char *a, const char *b)
{
#ifdef RENAME_EXCHANGE
    return renameat2(AT_FDCWD, a, AT_FDCWD, b, RENAME_EXCHANGE);
#else
    (void)a;
    (void)b;
    errno = ENOSYS;
    return -1;
#endif
}

static int real_lock(int fd)
{
    return flock(fd, LOCK_EX | LOCK_NB);
}

static const struct sw_file_ops real_ops = {
    .open = real_open,
    .read = read,
    .write = write,
    .fsync = fsync,
    .close = close,
    .rename = rename,
    .mkdir = mkdir,
    .stat = stat,
    .link = link,
    .unlink = unlink,
    .rmdir = rmdir,
    .opendir = opendir,
    .readdir = readdir,
    .closedir = closedir,
    .realpath = realpath,
    .exchange = real_exchange,
    .lock = real_lock,
};

static const struct sw_file_ops *ops_in_force = &real_ops;

void sw_file_set_ops(const struct sw_file_ops *ops)
{
    ops_in_force = ops ? ops : &real_ops;
}

const struct sw_file_ops *sw_file_default_ops(void)
{
    return &real_ops;
}

const struct sw_file_ops *sw_file_ops_in_force(void)
{
    return ops_in_force;
}
