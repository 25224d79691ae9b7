/* What a signal handler removes before the process ends: the only state of the project that is
 * shared by all threads, because a handler can be given nothing. Entries are pushed at the head and
 * never change, so that the handler sees a whole list at any moment. */
#include "base/fileinside.h"

#include <errno.h>
#include <stdatomic.h>
#include <unistd.h>

enum { MOST_OPEN = 64 }; /* files and folders in the making at once */

struct entry {
    const char *path;
    struct entry *next;
};

struct slot {
    atomic_int is_taken;
    _Atomic(struct entry *) files;
    _Atomic(const char *) path;
};

static struct slot slots[MOST_OPEN];

int sw_doomed_begin(const char *path)
{
    for (int i = 0; i < MOST_OPEN; i++) {
        int nobody = 0;
        if (!atomic_compare_exchange_strong(&slots[i].is_taken, &nobody, 1))
            continue;
        atomic_store(&slots[i].path, path);
        return i;
    }
    return -1;
}

bool sw_doomed_add(int slot, const char *path, struct sw_arena *arena)
{
    if (slot < 0)
        return true;
    struct entry *entry = SW_NEW(arena, struct entry, 1);
    if (!entry)
        return false;
    entry->path = path;
    entry->next = atomic_load(&slots[slot].files);
    atomic_store(&slots[slot].files, entry);
    return true;
}

bool sw_doomed_end(int slot)
{
    if (slot < 0)
        return true;
    if (!atomic_exchange(&slots[slot].path, NULL))
        return false;
    atomic_store(&slots[slot].files, NULL);
    atomic_store(&slots[slot].is_taken, 0);
    return true;
}

void sw_outdir_abort_all_from_signal(void)
{
    const int error = errno;
    for (int i = 0; i < MOST_OPEN; i++) {
        const char *path = atomic_exchange(&slots[i].path, NULL);
        if (!path)
            continue;
        for (const struct entry *e = atomic_load(&slots[i].files); e; e = e->next)
            unlink(e->path);
        if (rmdir(path) != 0 && errno == ENOTDIR)
            unlink(path);
    }
    errno = error;
}
