/* Output folders: putting one in place of what was there, and undoing what a crash left half done.
 *
 * Exchange: strangers are linked, not moved, into the new folder before the two are swapped, so
 * that at every moment the target holds all of them, and the temp folder can be thrown away
 * whichever of the two it is. In place: everything replaced waits in ".old" until the new record
 * stands. As long as the record is still in the temp folder the move is unfinished, and all of it
 * can be taken back: what the record lists and the temp folder lacks goes back there, and what
 * waits in ".old" goes back to the target. Each step is a rename, so undoing can itself be
 * interrupted and begun again. */
#include "base/fileinside.h"

#include <errno.h>
#include <string.h>

static bool exists(const char *path)
{
    struct stat info;
    return sw_file_ops_in_force()->stat(path, &info) == 0;
}

/* Renames FROM/NAME to TO/NAME. */
static bool move(const char *from, const char *to, const char *name, struct sw_arena *arena)
{
    const char *source = sw_path_join(arena, from, name);
    const char *goal = sw_path_join(arena, to, name);
    if (!source || !goal) {
        errno = ENOMEM;
        return false;
    }
    return sw_file_ops_in_force()->rename(source, goal) == 0;
}

static bool remove_file(const char *folder, const char *name, struct sw_arena *arena)
{
    const char *path = sw_path_join(arena, folder, name);
    return path && sw_file_ops_in_force()->unlink(path) == 0;
}

bool sw_file_remove_folder(const char *path, struct sw_arena *arena)
{
    struct sw_names entries = {0};
    const int error = sw_file_list(&entries, path, arena);
    if (error)
        return error == ENOENT;
    for (size_t i = 0; i < entries.n; i++)
        remove_file(path, entries.at[i], arena); /* rmdir tells whether all are gone */
    return sw_file_ops_in_force()->rmdir(path) == 0;
}

/* Takes back an unfinished move in place; true when the target is as it was before. */
static bool undo(const struct sw_outdir *dir, const char *temp, const char *aside)
{
    struct sw_arena *arena = dir->arena;
    struct sw_names made = {0}, replaced = {0};
    bool out_of_memory = false;
    const char *record = sw_path_join(arena, temp, dir->record_name);
    if (!record || !sw_record_read(&made, &out_of_memory, record, arena))
        return false;
    for (size_t i = 0; i < made.n; i++) {
        const char *built = sw_path_join(arena, temp, made.at[i]);
        if (!built)
            return false;
        if (!exists(built) && !move(dir->target, temp, made.at[i], arena) && errno != ENOENT)
            return false;
    }
    if (sw_file_list(&replaced, aside, arena) != 0)
        return false;
    for (size_t i = 0; i < replaced.n; i++)
        if (strcmp(replaced.at[i], dir->record_name) != 0 &&
            !move(aside, dir->target, replaced.at[i], arena))
            return false;
    if (sw_names_have(&replaced, dir->record_name) &&
        !move(aside, dir->target, dir->record_name, arena))
        return false;
    sw_file_sync_folder(dir->target);
    return true;
}

/* We hold the lock, so whatever bears the name of a temp folder of this target is left over. */
enum sw_status sw_outdir_sweep(struct sw_outdir *dir)
{
    struct sw_names entries = {0};
    const int error = sw_file_list(&entries, dir->parent, dir->arena);
    if (error == ENOMEM)
        return SW_MEMORY;
    if (error)
        return sw_file_report(SW_WRITE, "file.folder", "list the folder", dir->parent, error,
                              dir->ctx);
    for (size_t i = 0; i < entries.n; i++) {
        const char *rest = sw_lock_after_temp_name(entries.at[i], dir->name);
        if (!rest || strcmp(rest, ".old") != 0)
            continue;
        const char *aside = sw_path_join(dir->arena, dir->parent, entries.at[i]);
        const char *temp = aside ? sw_arena_copy(dir->arena, aside, strlen(aside) - 4) : NULL;
        const char *record = temp ? sw_path_join(dir->arena, temp, dir->record_name) : NULL;
        if (!record)
            return SW_MEMORY;
        if (exists(record) && exists(dir->target) && !undo(dir, temp, aside)) {
            sw_diag_add(dir->ctx->diag, SW_ERROR, "file.folder", (struct sw_span){0},
                        "move its files back by hand, then remove it",
                        "an interrupted run left %s, and it cannot be put back", aside);
            return SW_WRITE;
        }
        sw_file_remove_folder(temp, dir->arena);
        sw_file_remove_folder(aside, dir->arena);
    }
    for (size_t i = 0; i < entries.n; i++) {
        const char *rest = sw_lock_after_temp_name(entries.at[i], dir->name);
        if (!rest || rest[0] != '\0')
            continue;
        const char *temp = sw_path_join(dir->arena, dir->parent, entries.at[i]);
        if (!temp)
            return SW_MEMORY;
        sw_file_remove_folder(temp, dir->arena);
    }
    return SW_OK;
}

/* What stands at the target before. */
struct before {
    struct sw_names ours; /* listed by its record, and the record itself */
    struct sw_names strangers;
    struct sw_names replaced; /* ours and what bears the name of a new file; the record is first */
};

static enum sw_status look_at_target(struct before *to, const struct sw_outdir *dir)
{
    struct sw_arena *arena = dir->arena;
    struct sw_names entries = {0};
    bool out_of_memory = false;
    const char *record = sw_path_join(arena, dir->target, dir->record_name);
    const int error = sw_file_list(&entries, dir->target, arena);
    if (!record || error == ENOMEM)
        return SW_MEMORY;
    if (error)
        return sw_file_report(SW_WRITE, "file.folder", "list the folder", dir->target, error,
                              dir->ctx);
    if (!sw_record_read(&to->ours, &out_of_memory, record, arena))
        to->ours.n = 0;
    else if (!sw_names_push(&to->ours, arena, dir->record_name, strlen(dir->record_name)))
        return SW_MEMORY;
    if (out_of_memory)
        return SW_MEMORY;
    if (sw_names_have(&entries, dir->record_name) &&
        !sw_names_push(&to->replaced, arena, dir->record_name, strlen(dir->record_name)))
        return SW_MEMORY;
    for (size_t i = 0; i < entries.n; i++) {
        const char *name = entries.at[i];
        const bool is_ours = sw_names_have(&to->ours, name);
        const bool is_replaced = is_ours || sw_names_have(&dir->added, name);
        if (!is_ours && !sw_names_push(&to->strangers, arena, name, strlen(name)))
            return SW_MEMORY;
        if (is_replaced && strcmp(name, dir->record_name) != 0 &&
            !sw_names_push(&to->replaced, arena, name, strlen(name)))
            return SW_MEMORY;
    }
    return SW_OK;
}

static enum sw_status refuse_clashes(const struct sw_outdir *dir, const struct before *before)
{
    enum sw_status status = SW_OK;
    for (size_t i = 0; i < before->strangers.n && !dir->force; i++) {
        if (!sw_names_have(&dir->added, before->strangers.at[i]))
            continue;
        sw_diag_add(dir->ctx->diag, SW_ERROR, "file.stranger", (struct sw_span){0},
                    "move it away, name another output folder, or use --force",
                    "%s/%s was not written by an earlier run and would be replaced", dir->target,
                    before->strangers.at[i]);
        status = SW_WRITE;
    }
    return status;
}

/* Links every stranger that stays into the new folder; on failure none. */
static bool link_strangers(const struct sw_outdir *dir, const struct before *before)
{
    size_t i = 0;
    for (; i < before->strangers.n; i++) {
        const char *name = before->strangers.at[i];
        if (sw_names_have(&dir->added, name))
            continue;
        const char *from = sw_path_join(dir->arena, dir->target, name);
        const char *to = sw_path_join(dir->arena, dir->temp, name);
        if (!from || !to || sw_file_ops_in_force()->link(from, to) != 0)
            break;
    }
    return i == before->strangers.n;
}

static void unlink_strangers(const struct sw_outdir *dir, const struct before *before)
{
    for (size_t i = 0; i < before->strangers.n; i++)
        if (!sw_names_have(&dir->added, before->strangers.at[i]))
            remove_file(dir->temp, before->strangers.at[i], dir->arena);
}

/* After the exchange the temp folder is the old one. A stranger that was saved anew in between is a
 * different file from the one we linked: renaming puts the newer one in place, and does nothing to
 * two links of one file. */
static void clear_old(const struct sw_outdir *dir, const struct before *before)
{
    struct sw_names entries = {0};
    if (sw_file_list(&entries, dir->temp, dir->arena) != 0)
        return;
    for (size_t i = 0; i < entries.n; i++) {
        const char *name = entries.at[i];
        const bool is_replaced =
            sw_names_have(&before->ours, name) || sw_names_have(&dir->added, name);
        if (is_replaced || move(dir->temp, dir->target, name, dir->arena))
            remove_file(dir->temp, name, dir->arena);
    }
    sw_file_ops_in_force()->rmdir(dir->temp); /* the next run sweeps what stays */
}

static void warn_unsynced(const struct sw_outdir *dir)
{
    sw_diag_add(dir->ctx->diag, SW_WARNING, "file.sync", (struct sw_span){0}, NULL,
                "%s is written, but may not survive a power cut: its folder cannot be synced",
                dir->target);
}

static bool exchange(struct sw_outdir *dir, const struct before *before)
{
    if (!link_strangers(dir, before) || !sw_file_sync_folder(dir->temp) ||
        sw_file_ops_in_force()->exchange(dir->temp, dir->target) != 0) {
        unlink_strangers(dir, before);
        return false;
    }
    dir->has_temp = false;
    if (!sw_file_sync_folder(dir->parent))
        warn_unsynced(dir);
    clear_old(dir, before);
    return true;
}

static bool move_all(const struct sw_outdir *dir, const struct before *before)
{
    for (size_t i = 0; i < before->replaced.n; i++)
        if (!move(dir->target, dir->aside, before->replaced.at[i], dir->arena))
            return false;
    for (size_t i = 0; i < dir->added.n; i++)
        if (strcmp(dir->added.at[i], dir->record_name) != 0 &&
            !move(dir->temp, dir->target, dir->added.at[i], dir->arena))
            return false;
    return sw_file_sync_folder(dir->target) &&
           move(dir->temp, dir->target, dir->record_name, dir->arena);
}

static enum sw_status place_within(struct sw_outdir *dir, const struct before *before)
{
    const bool has_aside = sw_file_ops_in_force()->mkdir(dir->aside, 0777) == 0;
    if (!has_aside || !move_all(dir, before)) {
        const enum sw_status status =
            errno == ENOMEM ? SW_MEMORY
                            : sw_file_report(SW_WRITE, "file.write", "put the files into",
                                             dir->target, errno, dir->ctx);
        if (has_aside && !undo(dir, dir->temp, dir->aside)) {
            dir->has_temp = false; /* the next run needs it */
            sw_diag_add(dir->ctx->diag, SW_ERROR, "file.folder", (struct sw_span){0},
                        "the next run tries again", "the files moved to %s cannot be put back now",
                        dir->aside);
            return status;
        }
        if (has_aside)
            sw_file_remove_folder(dir->aside, dir->arena);
        return status;
    }
    dir->has_temp = false;
    sw_diag_add(dir->ctx->diag, SW_NOTE, "file.one-by-one", (struct sw_span){0}, NULL,
                "%s could not be exchanged as a whole: its files were replaced one by one",
                dir->target);
    if (!sw_file_sync_folder(dir->target))
        warn_unsynced(dir);
    sw_file_remove_folder(dir->temp, dir->arena);
    sw_file_remove_folder(dir->aside, dir->arena);
    return SW_OK;
}

enum sw_status sw_outdir_place(struct sw_outdir *dir)
{
    struct stat info;
    struct before before = {0};
    if (sw_file_ops_in_force()->stat(dir->target, &info) != 0) {
        if (errno != ENOENT || sw_file_ops_in_force()->rename(dir->temp, dir->target) != 0)
            return sw_file_report(SW_WRITE, "file.write", "make", dir->target, errno, dir->ctx);
        dir->has_temp = false;
        if (!sw_file_sync_folder(dir->parent))
            warn_unsynced(dir);
        return SW_OK;
    }
    SW_TRY(look_at_target(&before, dir));
    SW_TRY(refuse_clashes(dir, &before));
    if (exchange(dir, &before))
        return SW_OK;
    return place_within(dir, &before);
}
