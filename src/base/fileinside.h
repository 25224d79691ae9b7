/* fileinside: what the files behind base/file.h share; nobody else includes it. */
#ifndef SW_BASE_FILEINSIDE_H
#define SW_BASE_FILEINSIDE_H

#include "base/file.h"

const struct sw_file_ops *sw_file_ops_in_force(void);

/** Report "cannot DO PATH: reason of ERROR" and give STATUS. */
enum sw_status sw_file_report(enum sw_status status, const char *code, const char *doing,
                              const char *path, int error, struct sw_ctx *ctx);

/** Write all of TEXT to a new file at PATH, sync and close; errno is kept. Nothing is left behind
 *  on failure. EXCLUSIVE: fail when PATH exists. */
bool sw_file_put(const char *path, const char *text, size_t size, bool exclusive);

/** Sync a folder, so that the names in it are on the disk. File systems that cannot are content. */
bool sw_file_sync_folder(const char *path);

/** Read at most MOST bytes of an open file into BUF. 0, or the error number; EFBIG when there is
 *  more, ENOMEM when the buffer failed. */
int sw_file_drain(struct sw_buf *buf, int fd, size_t most);

/** Let a signal remove PATH, a file or a folder that is being built, and the files put under it by
 *  sw_doomed_add. Gives a slot, -1 when all are in use (the next run sweeps then). */
int sw_doomed_begin(const char *path);
bool sw_doomed_add(int slot, const char *path, struct sw_arena *arena);
/** End it; false when a signal handler is already at work on what the slot points at. */
bool sw_doomed_end(int slot);

/** The names a record lists, or the entries of a folder; all live in an arena. */
struct sw_names {
    const char **at;
    size_t n;
    size_t cap;
};

bool sw_names_have(const struct sw_names *names, const char *name);
bool sw_names_push(struct sw_names *names, struct sw_arena *arena, const char *name, size_t size);

/** List the entries of a folder but "." and "..". 0, or the error number. */
int sw_file_list(struct sw_names *to, const char *folder, struct sw_arena *arena);

/** Read the names in the array "files" at the top level of a JSON text. False when there is no such
 *  array, or when it holds anything but plain names; OUT_OF_MEMORY is set apart. */
bool sw_record_scan(struct sw_names *to, bool *out_of_memory, const char *text, size_t size,
                    struct sw_arena *arena);

/** Read the record file at PATH; false when there is none or it cannot be used. After
 *  false errno tells why it could not be read; 0: it could, and holds no list. */
bool sw_record_read(struct sw_names *to, bool *out_of_memory, const char *path,
                    struct sw_arena *arena);

/** A folder being built. Lives in its own arena, so that it can be freed at any moment. */
struct sw_outdir {
    struct sw_arena *arena;
    struct sw_ctx *ctx;
    const char *target; /* without a slash at its end, links followed */
    const char *parent;
    const char *name; /* last part of the target */
    const char *record_name;
    const char *temp;  /* where the files are built */
    const char *aside; /* where replaced files wait in the fallback */
    const char *lock_path;
    int lock_fd;
    int slot; /* in the table of open folders; -1 for none */
    bool force;
    bool has_temp;
    struct sw_names added;
};

/** Sweep what earlier runs left beside the target; half-done moves are undone first. */
enum sw_status sw_outdir_sweep(struct sw_outdir *dir);

/** Put DIR->temp in place. On failure the target is as before. */
enum sw_status sw_outdir_place(struct sw_outdir *dir);

/** The lock file of NAME in the folder PARENT; NULL when out of memory. */
char *sw_lock_path(struct sw_arena *arena, const char *parent, const char *name);

/** Take the lock: 0, EWOULDBLOCK while somebody else holds it, EINTR when it changed hands too
 * often, or another error number. */
int sw_lock_take(int *fd, const char *path);
void sw_lock_leave(int fd, const char *path);

/** What is built for NAME is called ".NAME.sw-PID-N": gives what follows N, or NULL for any other
 *  entry. While the lock is held such a thing is left over from a run that was killed. */
const char *sw_lock_after_temp_name(const char *entry, const char *name);

/** Remove a folder and the files in it; true when it is gone. */
bool sw_file_remove_folder(const char *path, struct sw_arena *arena);

#endif
