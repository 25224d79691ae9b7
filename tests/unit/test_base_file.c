/* Single files: reading within limits, writing so that nothing is half written. */
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "base/file.h"
#include "support/near.h"

static char folder[] = "/tmp/sw-test-XXXXXX";

static int make_folder(void **state)
{
    (void)state;
    return mkdtemp(folder) ? 0 : -1;
}

static int remove_folder(void **state)
{
    (void)state;
    return rmdir(folder); /* fails when a test left anything behind */
}

static const char *in_folder(const char *name)
{
    static char path[2][200];
    static int which;
    which = !which;
    snprintf(path[which], sizeof path[which], "%s/%s", folder, name);
    return path[which];
}

static void put(const char *path, const char *text)
{
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    assert_true(fputs(text, file) >= 0);
    assert_int_equal(fclose(file), 0);
}

static void assert_holds(const char *path, const char *wanted)
{
    char text[200] = "";
    FILE *file = fopen(path, "r");
    assert_non_null(file);
    text[fread(text, 1, sizeof text - 1, file)] = '\0';
    fclose(file);
    assert_string_equal(text, wanted);
}

static size_t count_entries(void)
{
    size_t n = 0;
    DIR *dir = opendir(folder);
    assert_non_null(dir);
    while (readdir(dir))
        n++;
    closedir(dir);
    return n - 2;
}

static void a_file_is_read_whole_and_ended_with_nul(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const char *path = in_folder("a");
    const char *text = NULL;
    size_t size = 0;
    put(path, "0123456789");
    assert_int_equal(sw_file_read(&text, &size, path, 10, &ctx), SW_OK);
    assert_int_equal(size, 10);
    assert_string_equal(text, "0123456789");
    put(path, "");
    assert_int_equal(sw_file_read(&text, &size, path, 10, &ctx), SW_OK);
    assert_int_equal(size, 0);
    assert_string_equal(text, "");
    unlink(path);
    sw_test_ctx_free(&ctx);
}

static void one_byte_too_many_a_folder_and_a_missing_file_are_unreadable(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const char *path = in_folder("a");
    const char *text = NULL;
    char wanted[1000];
    size_t size = 0;
    put(path, "0123456789");
    assert_int_equal(sw_file_read(&text, &size, path, 9, &ctx), SW_UNREADABLE);
    assert_null(text);
    unlink(path);
    assert_int_equal(sw_file_read(&text, &size, path, 9, &ctx), SW_UNREADABLE);
    assert_int_equal(sw_file_read(&text, &size, folder, 9, &ctx), SW_UNREADABLE);
    snprintf(wanted, sizeof wanted,
             "staffwright: error: %s is too large: at most 9 bytes are read\n"
             "staffwright: error: there is no file %s\n"
             "staffwright: error: %s is a folder\n"
             "    hint: name a file inside it\n",
             path, path, folder);
    assert_string_equal(sw_test_diagnostics(&ctx), wanted);
    sw_test_ctx_free(&ctx);
}

static size_t bytes_read;

static ssize_t count_read(int fd, void *to, size_t size)
{
    const ssize_t n = sw_file_default_ops()->read(fd, to, size);
    bytes_read += n > 0 ? (size_t)n : 0;
    return n;
}

static void a_huge_file_is_refused_after_its_limit_is_read(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_file_ops ops = *sw_file_default_ops();
    const char *path = in_folder("huge");
    const char *text = NULL;
    size_t size = 0;
    put(path, "");
    assert_int_equal(truncate(path, 100L * 1000 * 1000), 0);
    ops.read = count_read;
    bytes_read = 0;
    sw_file_set_ops(&ops);
    assert_int_equal(sw_file_read(&text, &size, path, SW_FILE_MOST_INPUT, &ctx), SW_UNREADABLE);
    sw_file_set_ops(NULL);
    assert_true(bytes_read <= SW_FILE_MOST_INPUT + 128 * 1024);
    unlink(path);
    sw_test_ctx_free(&ctx);
}

static ssize_t read_fails(int fd, void *to, size_t size)
{
    (void)fd;
    (void)to;
    (void)size;
    errno = EIO;
    return -1;
}

static int interruptions;

static ssize_t read_is_interrupted(int fd, void *to, size_t size)
{
    if (interruptions++ % 2 == 0) {
        errno = EINTR;
        return -1;
    }
    return sw_file_default_ops()->read(fd, to, size > 3 ? 3 : size);
}

static void a_failing_read_is_a_system_error_and_an_interrupted_one_goes_on(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_file_ops ops = *sw_file_default_ops();
    const char *path = in_folder("a");
    const char *text = NULL;
    size_t size = 0;
    put(path, "0123456789");
    ops.read = read_fails;
    sw_file_set_ops(&ops);
    assert_int_equal(sw_file_read(&text, &size, path, 99, &ctx), SW_READ);
    ops.read = read_is_interrupted;
    interruptions = 0;
    assert_int_equal(sw_file_read(&text, &size, path, 99, &ctx), SW_OK);
    sw_file_set_ops(NULL);
    assert_string_equal(text, "0123456789");
    unlink(path);
    sw_test_ctx_free(&ctx);
}

static void a_file_is_replaced_as_a_whole(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const char *path = in_folder("staff.yaml");
    assert_int_equal(sw_file_write(path, "one", 3, &ctx), SW_OK);
    assert_holds(path, "one");
    assert_int_equal(sw_file_write(path, "second", 6, &ctx), SW_OK);
    assert_holds(path, "second");
    assert_int_equal(count_entries(), 1);
    unlink(path);
    sw_test_ctx_free(&ctx);
}

/* A run that was killed leaves what it was building, and its lock; the next one takes both away,
 * and nothing that only looks like it. */
static void what_a_killed_run_left_is_swept_by_the_next(void **state)
{
    (void)state;
    static const char *const left[] = {".staff.yaml.sw-4711-0", ".staff.yaml.sw-1-12",
                                       ".staff.yaml.sw-lock"};
    static const char *const others[] = {".staff.yaml.sw-4711", ".staff.yaml.sw-a-0",
                                         ".other.yaml.sw-4711-0", "staff.yaml.sw-4711-0"};
    struct sw_ctx ctx = sw_test_ctx();
    for (size_t i = 0; i < sizeof left / sizeof *left; i++)
        put(in_folder(left[i]), "half");
    for (size_t i = 0; i < sizeof others / sizeof *others; i++)
        put(in_folder(others[i]), "mine");
    assert_int_equal(sw_file_write(in_folder("staff.yaml"), "new", 3, &ctx), SW_OK);
    assert_holds(in_folder("staff.yaml"), "new");
    for (size_t i = 0; i < sizeof left / sizeof *left; i++)
        assert_int_equal(access(in_folder(left[i]), F_OK), -1);
    for (size_t i = 0; i < sizeof others / sizeof *others; i++)
        assert_int_equal(unlink(in_folder(others[i])), 0);
    assert_int_equal(unlink(in_folder("staff.yaml")), 0);
    assert_int_equal(count_entries(), 0);
    sw_test_ctx_free(&ctx);
}

static void a_file_that_another_run_is_writing_is_left_alone(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const char *lock = in_folder(".staff.yaml.sw-lock");
    const int fd = sw_file_default_ops()->open(lock, O_RDWR | O_CREAT, 0666);
    assert_int_equal(sw_file_default_ops()->lock(fd), 0);
    assert_int_equal(sw_file_write(in_folder("staff.yaml"), "new", 3, &ctx), SW_WRITE);
    assert_int_equal(sw_diag_n(ctx.diag), 1);
    assert_string_equal(sw_diag_at(ctx.diag, 0)->code, "file.lock");
    assert_int_equal(count_entries(), 1);
    close(fd);
    assert_int_equal(sw_file_write(in_folder("staff.yaml"), "new", 3, &ctx), SW_OK);
    assert_int_equal(count_entries(), 1);
    unlink(in_folder("staff.yaml"));
    sw_test_ctx_free(&ctx);
}

static void a_link_is_followed_and_a_folder_refused(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    char path[200], link_path[200];
    snprintf(path, sizeof path, "%s/real", folder);
    snprintf(link_path, sizeof link_path, "%s/link", folder);
    put(path, "old");
    assert_int_equal(symlink("real", link_path), 0);
    assert_int_equal(sw_file_write(link_path, "new", 3, &ctx), SW_OK);
    assert_holds(path, "new");
    struct stat info;
    assert_int_equal(lstat(link_path, &info), 0);
    assert_true(S_ISLNK(info.st_mode));
    assert_int_equal(sw_file_write(folder, "new", 3, &ctx), SW_WRITE);
    assert_int_equal(sw_file_write("/dev/null", "new", 3, &ctx), SW_OK);
    assert_int_equal(stat("/dev/null", &info), 0);
    assert_true(S_ISCHR(info.st_mode));
    unlink(link_path);
    unlink(path);
    sw_test_ctx_free(&ctx);
}

static void a_failed_buffer_reaches_no_file(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_buf buf = {0};
    const char *path = in_folder("a.nc");
    sw_buf_add(&buf, "X1");
    assert_int_equal(sw_file_write_buf(path, &buf, &ctx), SW_OK);
    assert_holds(path, "X1");
    sw_buf_fixed(&buf, 1e30, 3);
    assert_int_equal(sw_file_write_buf(path, &buf, &ctx), SW_INTERNAL);
    assert_holds(path, "X1");
    sw_buf_done(&buf);
    unlink(path);
    sw_test_ctx_free(&ctx);
}

/* The n-th call of any kind fails once. */
static long calls_left;

static bool is_due(void)
{
    return calls_left-- == 0;
}

static int open_due(const char *path, int flags, mode_t mode)
{
    if (is_due()) {
        errno = EACCES;
        return -1;
    }
    return sw_file_default_ops()->open(path, flags, mode);
}

static ssize_t write_due(int fd, const void *from, size_t size)
{
    if (is_due()) {
        errno = ENOSPC;
        return -1;
    }
    return sw_file_default_ops()->write(fd, from, size > 2 ? 2 : size); /* short writes, too */
}

static int fsync_due(int fd)
{
    if (is_due()) {
        errno = EIO;
        return -1;
    }
    return sw_file_default_ops()->fsync(fd);
}

static int close_due(int fd)
{
    sw_file_default_ops()->close(fd);
    if (is_due()) {
        errno = EIO;
        return -1;
    }
    return 0;
}

static int rename_due(const char *from, const char *to)
{
    if (is_due()) {
        errno = EACCES;
        return -1;
    }
    return sw_file_default_ops()->rename(from, to);
}

static void whatever_call_fails_a_file_is_old_or_new_and_nothing_is_left_beside_it(void **state)
{
    (void)state;
    struct sw_file_ops ops = *sw_file_default_ops();
    ops.open = open_due;
    ops.write = write_due;
    ops.fsync = fsync_due;
    ops.close = close_due;
    ops.rename = rename_due;
    const char *path = in_folder("staff.yaml");
    long n = 0;
    for (bool is_done = false; !is_done; n++) {
        struct sw_ctx ctx = sw_test_ctx();
        put(path, "the old one");
        calls_left = n;
        sw_file_set_ops(&ops);
        const enum sw_status status = sw_file_write(path, "new", 3, &ctx);
        sw_file_set_ops(NULL);
        is_done = calls_left >= 0; /* nothing failed any more */
        if (status == SW_OK) {
            assert_holds(path, "new");
        } else {
            assert_int_equal(status, SW_WRITE);
            assert_int_equal(sw_diag_n_errors(ctx.diag), 1);
            assert_holds(path, "the old one");
        }
        assert_int_equal(count_entries(), 1);
        sw_test_ctx_free(&ctx);
    }
    assert_true(n > 6);
    unlink(path);
}

static int end_by_signal(const char *from, const char *to)
{
    (void)from;
    (void)to;
    sw_outdir_abort_all_from_signal();
    _exit(0);
}

static void a_signal_during_writing_leaves_no_temp_file(void **state)
{
    (void)state;
    const char *path = in_folder("staff.yaml");
    put(path, "old");
    const pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        struct sw_ctx ctx = sw_test_ctx();
        struct sw_file_ops ops = *sw_file_default_ops();
        ops.rename = end_by_signal;
        sw_file_set_ops(&ops);
        _exit(sw_file_write(path, "new", 3, &ctx) == SW_OK ? 1 : 2);
    }
    int ended = -1;
    assert_int_equal(waitpid(child, &ended, 0), child);
    assert_int_equal(ended, 0);
    assert_holds(path, "old");
    assert_int_equal(count_entries(), 1);
    unlink(path);
}

static void paths_are_joined_and_split_with_one_slash(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    assert_string_equal(sw_path_join(ctx.arena, "a/b", "c"), "a/b/c");
    assert_string_equal(sw_path_join(ctx.arena, "a/b//", "c"), "a/b/c");
    assert_string_equal(sw_path_join(ctx.arena, "/", "c"), "/c");
    assert_string_equal(sw_path_join(ctx.arena, "", "c"), "c");
    assert_string_equal(sw_path_join(ctx.arena, "a", "/c"), "/c");
    assert_string_equal(sw_path_folder(ctx.arena, "a/b/c.yaml"), "a/b");
    assert_string_equal(sw_path_folder(ctx.arena, "c.yaml"), ".");
    assert_string_equal(sw_path_folder(ctx.arena, "/c.yaml"), "/");
    assert_string_equal(sw_path_folder(ctx.arena, "a//c"), "a");
    assert_string_equal(sw_path_folder(ctx.arena, "a/b/"), "a");
    assert_string_equal(sw_path_folder(ctx.arena, ""), ".");
    sw_test_ctx_free(&ctx);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_file_is_read_whole_and_ended_with_nul),
        cmocka_unit_test(one_byte_too_many_a_folder_and_a_missing_file_are_unreadable),
        cmocka_unit_test(a_huge_file_is_refused_after_its_limit_is_read),
        cmocka_unit_test(a_failing_read_is_a_system_error_and_an_interrupted_one_goes_on),
        cmocka_unit_test(a_file_is_replaced_as_a_whole),
        cmocka_unit_test(what_a_killed_run_left_is_swept_by_the_next),
        cmocka_unit_test(a_file_that_another_run_is_writing_is_left_alone),
        cmocka_unit_test(a_link_is_followed_and_a_folder_refused),
        cmocka_unit_test(a_failed_buffer_reaches_no_file),
        cmocka_unit_test(whatever_call_fails_a_file_is_old_or_new_and_nothing_is_left_beside_it),
        cmocka_unit_test(a_signal_during_writing_leaves_no_temp_file),
        cmocka_unit_test(paths_are_joined_and_split_with_one_slash),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
