/* file: reading whole files within limits, and writing so that nothing is ever half written.
 *
 * Single files: write aside in the same folder, sync, rename. Folders of results: an "output
 * folder" is built as a temp sibling ".NAME.sw-PID-N", synced, and put in place in one step; an
 * interrupted or failed run leaves the old folder or none.
 *   - new target: rename;
 *   - target is there: strangers inside (a user's measured.yaml) are linked into the new folder,
 *     then the two are exchanged where the file system can;
 *   - otherwise (no exchange, no links, a folder inside): what will be replaced is moved aside to
 *     ".NAME.sw-PID-N.old", record first, the new files are moved in, record last. A failure moves
 *     everything back; after a crash the next run does, told by the record not yet in place.
 *
 * A stranger with the name of a file to be written is refused unless `force`.
 *
 * What is ours in a folder is told by its record file, a JSON text with an array "files" of names
 * at its top level. This module reads no JSON: it scans for that array, and a text where it finds
 * none (or one that holds anything but plain names) makes every file in the folder a stranger.
 *
 * Leftover temp siblings of earlier runs are swept. A lock on ".NAME.sw-lock" keeps two runs off
 * one target. All system calls go through struct sw_file_ops so that tests can make each of them
 * fail.
 */
#ifndef SW_BASE_FILE_H
#define SW_BASE_FILE_H

#include <dirent.h>
#include <stdbool.h>
#include <stddef.h>
#include <sys/stat.h>
#include <sys/types.h>

#include "base/ctx.h"

/** The system calls in use; every pointer set. Replaceable for tests, which copy the default ones
 *  and change some. All but `exchange` and `lock` are the POSIX calls of the same name. */
struct sw_file_ops {
    int (*open)(const char *path, int flags, mode_t mode);
    ssize_t (*read)(int fd, void *to, size_t size);
    ssize_t (*write)(int fd, const void *from, size_t size);
    int (*fsync)(int fd);
    int (*close)(int fd);
    int (*rename)(const char *from, const char *to);
    int (*mkdir)(const char *path, mode_t mode);
    int (*stat)(const char *path, struct stat *to);
    int (*link)(const char *from, const char *to);
    int (*unlink)(const char *path);
    int (*rmdir)(const char *path);
    DIR *(*opendir)(const char *path);
    struct dirent *(*readdir)(DIR *dir);
    int (*closedir)(DIR *dir);
    char *(*realpath)(const char *path, char *to); /* TO has PATH_MAX bytes */
    /** Swap two paths in one step; fails with ENOSYS or EINVAL where the system cannot. */
    int (*exchange)(const char *a, const char *b);
    /** Take an exclusive lock on an open file without waiting; EWOULDBLOCK when another has it. The
     *  system drops it when the process ends, however it ends. */
    int (*lock)(int fd);
};

/** Replace the system calls; NULL brings the real ones back. */
void sw_file_set_ops(const struct sw_file_ops *ops);
const struct sw_file_ops *sw_file_default_ops(void);

enum { SW_FILE_MOST_INPUT = 1 << 20 };    /* YAML and the like [bytes] */
enum { SW_FILE_MOST_PROGRAM = 64 << 20 }; /* program texts [bytes] */

/** Read PATH whole; "-" is standard input. TEXT is NUL-ended, lives in the context. More than MOST
 *  bytes, a folder, a missing file: SW_UNREADABLE with a diagnostic; a failing read: SW_READ. */
enum sw_status sw_file_read(const char **text, size_t *size, const char *path, size_t most,
                            struct sw_ctx *ctx) SW_MUST_CHECK;

/** Write SIZE bytes to PATH by way of a temp sibling, sync and rename, holding a lock beside it;
 * what killed runs left of it is swept. SW_WRITE while another run is writing it. A link is
 * followed; what is no plain file (/dev/null, a pipe) is written to directly. */
enum sw_status sw_file_write(const char *path, const char *text, size_t size,
                             struct sw_ctx *ctx) SW_MUST_CHECK;

/** The same for a buffer; a failed one is refused with SW_INTERNAL. */
enum sw_status sw_file_write_buf(const char *path, const struct sw_buf *buf,
                                 struct sw_ctx *ctx) SW_MUST_CHECK;

/** Make the folder PATH and those above it; one that is there is left as it is. SW_WRITE with a
 *  diagnostic when it cannot. */
enum sw_status sw_file_make_folder(const char *path, struct sw_ctx *ctx) SW_MUST_CHECK;

struct sw_outdir;

/** Begin an output folder for TARGET (its parent must exist or be makeable). Sweeps leftovers and
 *  takes the lock; SW_WRITE with a diagnostic when it cannot. RECORD_NAME is the file inside that
 *  lists what is ours ("record.json"). Owned: end it with commit or abort. */
enum sw_status sw_outdir_begin(struct sw_outdir **out, const char *target, const char *record_name,
                               bool force, struct sw_ctx *ctx) SW_MUST_CHECK;

/** Put right what a killed run left beside TARGET, as the next run that writes there would do, and
 *  take its lock file away. Where no lock file stands nothing is left and nothing is touched; a
 *  folder another run is writing to is left to it, and that is no error. */
enum sw_status sw_outdir_clear(const char *target, const char *record_name,
                               struct sw_ctx *ctx) SW_MUST_CHECK;

/** Write one file into the folder being built. NAME has no slash. */
enum sw_status sw_outdir_add(struct sw_outdir *dir, const char *name, const char *text,
                             size_t size) SW_MUST_CHECK;

/** The same for a buffer; a failed one is refused with SW_INTERNAL. */
enum sw_status sw_outdir_add_buf(struct sw_outdir *dir, const char *name,
                                 const struct sw_buf *buf) SW_MUST_CHECK;

/** Put the folder in place. Frees DIR whatever happens. The record must have been added and must
 *  list every other file added, otherwise SW_INTERNAL. */
enum sw_status sw_outdir_commit(struct sw_outdir *dir) SW_MUST_CHECK;

/** Throw away what was built. Frees DIR; NULL is allowed. */
void sw_outdir_abort(struct sw_outdir *dir);

/** Remove every temp folder of this process that is still open; async-signal-safe enough to be
 *  called from a handler for SIGINT and SIGTERM just before the signal is raised again. */
void sw_outdir_abort_all_from_signal(void);

/** Join a folder and a name with one slash; NAME alone when it is absolute. Lives in ARENA, NULL
 *  when out of memory. */
char *sw_path_join(struct sw_arena *arena, const char *folder, const char *name);

/** Give the folder of a path ("." when it has none). Lives in ARENA. */
char *sw_path_folder(struct sw_arena *arena, const char *path);

#endif
