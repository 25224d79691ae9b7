/* Output folders: whatever call fails, and wherever a run is cut off, the folder is the old one or
 * the new one, and the next run leaves nothing beside it. */
#include "outdir_fixture.h"

/* Calls that fail, or end the process, at a given count. */
enum cut { FAIL_ONCE, FAIL_FROM_THEN_ON, END };

static struct {
    long left;
    enum cut cut;
    bool is_reached;
    bool is_cleanup; /* what failed was a call that also tidies up */
    bool no_exchange;
    bool no_links;
} plan;

static bool is_cut(bool is_cleanup)
{
    const long left = plan.left--;
    if (left > 0 || (left < 0 && plan.cut != FAIL_FROM_THEN_ON))
        return false;
    plan.is_reached = true;
    plan.is_cleanup = plan.is_cleanup || is_cleanup;
    if (plan.cut == END)
        _exit(9);
    errno = EIO;
    return true;
}

#define REAL sw_file_default_ops()

static int cut_open(const char *path, int flags, mode_t mode)
{
    return is_cut(false) ? -1 : REAL->open(path, flags, mode);
}
static ssize_t cut_read(int fd, void *to, size_t size)
{
    return is_cut(false) ? -1 : REAL->read(fd, to, size);
}
static ssize_t cut_write(int fd, const void *from, size_t size)
{
    return is_cut(false) ? -1 : REAL->write(fd, from, size > 3 ? 3 : size);
}
static int cut_fsync(int fd)
{
    return is_cut(false) ? -1 : REAL->fsync(fd);
}
static int cut_close(int fd)
{
    REAL->close(fd);
    return is_cut(false) ? -1 : 0;
}
static int cut_rename(const char *from, const char *to)
{
    return is_cut(true) ? -1 : REAL->rename(from, to);
}
static int cut_mkdir(const char *path, mode_t mode)
{
    return is_cut(false) ? -1 : REAL->mkdir(path, mode);
}
static int cut_stat(const char *path, struct stat *to)
{
    return is_cut(false) ? -1 : REAL->stat(path, to);
}
static int cut_link(const char *from, const char *to)
{
    if (plan.no_links) {
        errno = EPERM;
        return -1;
    }
    return is_cut(false) ? -1 : REAL->link(from, to);
}
static int cut_unlink(const char *path)
{
    return is_cut(true) ? -1 : REAL->unlink(path);
}
static int cut_rmdir(const char *path)
{
    return is_cut(true) ? -1 : REAL->rmdir(path);
}
static DIR *cut_opendir(const char *path)
{
    return is_cut(true) ? NULL : REAL->opendir(path);
}
static struct dirent *cut_readdir(DIR *dir)
{
    return is_cut(true) ? NULL : REAL->readdir(dir);
}
static int cut_closedir(DIR *dir)
{
    REAL->closedir(dir);
    return is_cut(true) ? -1 : 0;
}
static char *cut_realpath(const char *path, char *to)
{
    return is_cut(false) ? NULL : REAL->realpath(path, to);
}
static int cut_exchange(const char *a, const char *b)
{
    if (plan.no_exchange) {
        errno = EINVAL;
        return -1;
    }
    return is_cut(false) ? -1 : REAL->exchange(a, b);
}
static int cut_lock(int fd)
{
    return is_cut(true) ? -1 : REAL->lock(fd); /* the lock file may be another's: it stays */
}

static const struct sw_file_ops cut_ops = {
    cut_open,    cut_read,     cut_write,    cut_fsync,    cut_close, cut_rename,
    cut_mkdir,   cut_stat,     cut_link,     cut_unlink,   cut_rmdir, cut_opendir,
    cut_readdir, cut_closedir, cut_realpath, cut_exchange, cut_lock,
};

static void set_plan(long n, enum cut cut, int way)
{
    memset(&plan, 0, sizeof plan);
    plan.left = n;
    plan.cut = cut;
    plan.no_exchange = way == 1;
    plan.no_links = way == 2;
}

enum { WAYS = 3 }; /* exchange; no exchange; no links */

static void whatever_call_fails_the_folder_is_the_old_or_the_new_one(void **state)
{
    (void)state;
    for (int way = 0; way < WAYS; way++) {
        long n = 0;
        for (bool is_done = false; !is_done; n++) {
            struct sw_ctx ctx = sw_test_ctx();
            set_old();
            set_plan(n, FAIL_ONCE, way);
            sw_file_set_ops(&cut_ops);
            const enum sw_status status = run(false, &ctx);
            sw_file_set_ops(NULL);
            is_done = !plan.is_reached;
            assert_true(status == SW_OK ? is_new() : is_old());
            assert_true(status == SW_OK || sw_diag_n_errors(ctx.diag) > 0);
            if (!plan.is_cleanup && !is_alone())
                fail_msg("call %ld, way %d leaves %s", n, way, contents(parent));
            sweep();
            assert_true(status == SW_OK ? is_new() : is_old());
            assert_true(is_alone());
            sw_test_ctx_free(&ctx);
        }
        assert_true(n > 40);
    }
    wipe(target);
}

static void when_the_disk_dies_the_next_run_finds_the_old_or_the_new_folder(void **state)
{
    (void)state;
    for (int way = 0; way < WAYS; way++) {
        for (long n = 0;; n++) {
            struct sw_ctx ctx = sw_test_ctx();
            set_old();
            set_plan(n, FAIL_FROM_THEN_ON, way);
            sw_file_set_ops(&cut_ops);
            const enum sw_status status = run(false, &ctx);
            sw_file_set_ops(NULL);
            sweep();
            assert_true(status == SW_OK ? is_new() : is_old());
            assert_true(is_alone());
            sw_test_ctx_free(&ctx);
            if (!plan.is_reached)
                break;
        }
    }
    wipe(target);
}

static void wherever_a_run_is_killed_the_next_one_finds_the_old_or_the_new_folder(void **state)
{
    (void)state;
    int n_old = 0, n_new = 0;
    for (int way = 0; way < WAYS; way++) {
        int ended = -1;
        for (long n = 0; ended != 0; n++) {
            set_old();
            const pid_t child = fork();
            assert_true(child >= 0);
            if (child == 0) {
                struct sw_ctx ctx = {sw_arena_new(), sw_diag_new()};
                set_plan(n, END, way);
                sw_file_set_ops(&cut_ops);
                _exit(run(false, &ctx) == SW_OK ? 0 : 1);
            }
            assert_int_equal(waitpid(child, &ended, 0), child);
            assert_true(WIFEXITED(ended) && (WEXITSTATUS(ended) == 9 || WEXITSTATUS(ended) == 0));
            if (way == 0) /* in one step: not even the sweep is needed */
                assert_true(is_old() || is_new());
            sweep();
            assert_true(is_old() || is_new());
            assert_true(is_alone());
            n_old += is_old();
            n_new += is_new();
        }
    }
    assert_true(n_old > 50 && n_new > 10);
    wipe(target);
}

static struct {
    long left;
    long held;
} memory;

static void *resize_or_refuse(void *user, void *block, size_t old_size, size_t new_size)
{
    (void)user;
    if (new_size == 0) {
        memory.held -= block != NULL;
        free(block);
        return NULL;
    }
    if (memory.left-- == 0)
        return NULL;
    void *more = realloc(block, new_size);
    memory.held += old_size == 0 && more;
    return more;
}

static void whatever_allocation_fails_the_folder_is_the_old_or_the_new_one(void **state)
{
    (void)state;
    const struct sw_mem_hook hook = {resize_or_refuse, NULL};
    for (int way = 0; way < WAYS; way++) {
        for (long n = 0;; n++) {
            set_old();
            set_plan(-1, FAIL_ONCE, way);
            memory.left = n;
            memory.held = 0;
            enum sw_status status = SW_MEMORY;
            sw_mem_set_hook(&hook);
            struct sw_ctx ctx = {sw_arena_new(), sw_diag_new()};
            if (ctx.arena && ctx.diag) {
                sw_file_set_ops(&cut_ops);
                status = run(false, &ctx);
                sw_file_set_ops(NULL);
            }
            if (ctx.diag)
                sw_diag_free(ctx.diag);
            sw_arena_free(ctx.arena);
            sw_mem_set_hook(NULL);
            assert_int_equal(memory.held, 0);
            assert_true(status == SW_OK || status == SW_MEMORY);
            sweep();
            assert_true(status == SW_OK ? is_new() : is_old());
            assert_true(is_alone());
            if (memory.left >= 0)
                break;
        }
    }
    wipe(target);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(whatever_call_fails_the_folder_is_the_old_or_the_new_one),
        cmocka_unit_test(when_the_disk_dies_the_next_run_finds_the_old_or_the_new_folder),
        cmocka_unit_test(wherever_a_run_is_killed_the_next_one_finds_the_old_or_the_new_folder),
        cmocka_unit_test(whatever_allocation_fails_the_folder_is_the_old_or_the_new_one),
    };
    return cmocka_run_group_tests(tests, make_parent, remove_parent);
}
