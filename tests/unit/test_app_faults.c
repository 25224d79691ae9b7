/* Whatever allocation fails, and whatever call on a file: check, make, dryrun, size and batch end
 * with exit 5 and a word about it, leak nothing, and leave the old output or the new one.
 *
 * Of runs with few steps each one fails; of longer ones as many as ROUNDS, spread by a step that is
 * drawn anew for each kind, so that not the same ones are tried everywhere. With an argument all
 * fail, which takes hours of a long run. */
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "app/app.h"
#include "base/file.h"
#include "support/near.h"

#ifdef SW_ARENA_PASSTHROUGH /* slow, as a rule under sanitizers too */
enum { ROUNDS = 12, ROUNDS_LONG = 4 };
#else
enum { ROUNDS = 24, ROUNDS_LONG = 8 };
#endif

static bool is_all;
static char parent[] = "/tmp/sw-test-XXXXXX";
static char out[100], file[100];

static const char *const roots[] = {SW_SOURCE_DIR "/profiles", NULL};
static const struct sw_app app = {.version = "0", .search = {roots}};
#define JOB SW_SOURCE_DIR "/samples/wren-8/job.yaml"

/* What fails: an allocation, or a call. */
static struct {
    long n;
    long fail; /* -1: none */
    bool is_once;
    long held;       /* blocks */
    int error;       /* errno of a call */
    bool is_cleanup; /* what failed also tidies up, and may fail unseen */
} plan;

static bool is_hit(void)
{
    const long at = plan.n++;
    return plan.fail >= 0 && (plan.is_once ? at == plan.fail : at >= plan.fail);
}

static void *resize(void *user, void *block, size_t old_size, size_t new_size)
{
    (void)user;
    if (new_size == 0) {
        plan.held -= block != NULL;
        free(block);
        return NULL;
    }
    if (is_hit())
        return NULL;
    void *more = realloc(block, new_size);
    plan.held += old_size == 0 && more;
    return more;
}

static bool is_bad(bool is_cleanup)
{
    if (!is_hit())
        return false;
    plan.is_cleanup = plan.is_cleanup || is_cleanup;
    errno = plan.error;
    return true;
}

#define REAL sw_file_default_ops()
static ssize_t bad_read(int fd, void *to, size_t size)
{
    return is_bad(false) ? -1 : REAL->read(fd, to, size);
}
static ssize_t bad_write(int fd, const void *from, size_t size)
{
    return is_bad(false) ? -1 : REAL->write(fd, from, size);
}
static int bad_fsync(int fd)
{
    return is_bad(false) ? -1 : REAL->fsync(fd);
}
/* The answer to closing what was only read changes nothing. */
static int bad_close(int fd)
{
    REAL->close(fd);
    return is_bad(true) ? -1 : 0;
}
static int bad_rename(const char *from, const char *to)
{
    return is_bad(true) ? -1 : REAL->rename(from, to);
}
static int bad_exchange(const char *a, const char *b)
{
    return is_bad(true) ? -1 : REAL->exchange(a, b);
}

/* The commands. Each gets an output of its own or none. */
typedef enum sw_status command(struct sw_ctx *ctx);

static enum sw_status check(const char *path, struct sw_ctx *ctx)
{
    struct sw_buf text = {0};
    struct sw_report_checked checked = {0};
    enum sw_status status = sw_app_check(&checked, &text, path, NULL, &app, ctx);
    if (status == SW_OK && text.failed)
        status = SW_MEMORY;
    sw_buf_done(&text);
    return status;
}

static enum sw_status check_staff(struct sw_ctx *ctx)
{
    return check(SW_SOURCE_DIR "/samples/wren-8/staff.yaml", ctx);
}

static enum sw_status check_job(struct sw_ctx *ctx)
{
    return check(JOB, ctx);
}

static enum sw_status make(struct sw_ctx *ctx)
{
    const struct sw_app_make what = {.job = JOB, .folder = out, .writes = true, .no_pdf = true};
    struct sw_work *work = SW_NEW(ctx->arena, struct sw_work, 1);
    return work ? sw_app_make(work, &what, &app, ctx) : SW_MEMORY;
}

static enum sw_status judge(const struct sw_app_dryrun *what, struct sw_ctx *ctx)
{
    struct sw_verdict *verdict = NULL;
    struct sw_buf json = {0};
    enum sw_status status = sw_app_dryrun(&verdict, &json, what, &app, ctx);
    if (status == SW_OK && json.failed)
        status = SW_MEMORY;
    sw_buf_done(&json);
    return status;
}

static enum sw_status dryrun(struct sw_ctx *ctx)
{
    const char *const path = out;
    return judge(&(struct sw_app_dryrun){.path = &path, .n = 1}, ctx);
}

static enum sw_status dryrun_bare(struct sw_ctx *ctx)
{
    static const char *const path =
        SW_SOURCE_DIR "/tests/cli/dryrun-of-a-bare-program-as-json/in/typed.nc";
    return judge(&(struct sw_app_dryrun){.path = &path,
                                         .n = 1,
                                         .shop = "bench-gang",
                                         .stock = "2,12",
                                         .holder = "collet-8mm-set"},
                 ctx);
}

static enum sw_status size(struct sw_ctx *ctx)
{
    struct sw_app_size found;
    struct sw_buf text = {0};
    enum sw_status status =
        sw_app_size(&found, &text, SW_SOURCE_DIR "/samples/fenmoor-43/survey.yaml", file, ctx);
    if (status == SW_OK && text.failed)
        status = SW_MEMORY;
    sw_buf_done(&text);
    return status;
}

static enum sw_status make_batch(const char *path, struct sw_ctx *ctx)
{
    const struct sw_app_batch what = {.file = path, .folder = out, .jobs = 1};
    struct sw_buf text = {0};
    enum sw_status status = sw_app_batch(&text, &what, &app, ctx);
    if (status == SW_OK && text.failed)
        status = SW_MEMORY;
    sw_buf_done(&text);
    return status;
}

static enum sw_status batch(struct sw_ctx *ctx)
{
    return make_batch(SW_SOURCE_DIR "/samples/fenmoor-43-grades/batch.yaml", ctx);
}

static enum sw_status batch_of_runs(struct sw_ctx *ctx)
{
    return make_batch(SW_SOURCE_DIR "/samples/fenmoor-43-bars/batch.yaml", ctx);
}

static void remove_all(void)
{
    char line[300];
    snprintf(line, sizeof line, "rm -rf '%s'/* '%s'/.[!.]*", parent, parent);
    assert_int_equal(system(line), 0);
}

/* What a batch says of its variants: which of them failed is told there. */
#define SUMMARIES "! -name batch.txt ! -name run-sheet.txt ! -name labels.txt"

/* Bytes of everything in the output but what LEAVES out, as one number that cksum gives. */
static void sum_without(char text[200], const char *leaves)
{
    char line[400];
    snprintf(line, sizeof line,
             "cd '%s' && find . -type f ! -path '*/.*' %s -exec cksum {} + | sort | cksum", parent,
             leaves);
    FILE *pipe = popen(line, "r");
    assert_non_null(pipe);
    assert_non_null(fgets(text, 200, pipe));
    assert_int_equal(pclose(pipe), 0);
}

static void sum(char text[200])
{
    sum_without(text, SUMMARIES);
}

static enum sw_status run(command *what, bool *is_said)
{
    struct sw_ctx ctx = {sw_arena_new(), sw_diag_new()};
    enum sw_status status = SW_MEMORY;
    *is_said = true; /* of memory the program itself speaks */
    if (ctx.arena && ctx.diag) {
        status = what(&ctx);
        if (sw_diag_failed(ctx.diag))
            status = SW_MEMORY;
        else
            *is_said = sw_diag_n_errors(ctx.diag) > 0;
    }
    sw_diag_free(ctx.diag);
    sw_arena_free(ctx.arena);
    return status;
}

static enum sw_status run_short_of_memory(command *what, long fail, bool is_once)
{
    static const struct sw_mem_hook hook = {resize, NULL};
    bool is_said;
    memset(&plan, 0, sizeof plan);
    plan.fail = fail;
    plan.is_once = is_once;
    sw_mem_set_hook(&hook);
    const enum sw_status status = run(what, &is_said);
    sw_mem_set_hook(NULL);
    assert_int_equal(plan.held, 0);
    return status;
}

static enum sw_status run_with_bad_files(command *what, long fail, bool is_once, int error,
                                         bool *is_said)
{
    static struct sw_file_ops ops;
    ops = *REAL;
    ops.read = bad_read;
    ops.write = bad_write;
    ops.fsync = bad_fsync;
    ops.close = bad_close;
    ops.rename = bad_rename;
    ops.exchange = bad_exchange;
    memset(&plan, 0, sizeof plan);
    plan.fail = fail;
    plan.is_once = is_once;
    plan.error = error;
    sw_file_set_ops(&ops);
    const enum sw_status status = run(what, is_said);
    sw_file_set_ops(NULL);
    return status;
}

static long step_of(long n, long rounds)
{
    return is_all || n <= rounds ? 1 : n / rounds;
}

static void run_out(command *what, long rounds)
{
    char old[200], now[200];
    enum sw_status wanted = run_short_of_memory(what, -1, false);
    if (wanted == SW_OK) /* over what is there it takes another way */
        wanted = run_short_of_memory(what, -1, false);
    const long n = plan.n;
    assert_int_equal(wanted, SW_OK);
    sum(old);
    const long step = step_of(n, rounds);
    for (long i = n % step; i < n; i += step)
        for (int once = 0; once < 2; once++) {
            const enum sw_status status = run_short_of_memory(what, i, once);
            /* What is not proved for lack of memory is made again. */
            if (status == SW_OK && once && (what == batch || what == batch_of_runs))
                continue;
            if (status != SW_MEMORY)
                print_error("allocation %ld of %ld%s\n", i, n, once ? ", only it" : "");
            assert_int_equal(status, SW_MEMORY);
            sum(now);
            assert_string_equal(now, old);
        }
}

static void fail_files(command *what, long rounds, int error)
{
    char old[200], now[200];
    bool is_said;
    for (int i = 0; i < 2; i++) /* over what is there it takes another way */
        assert_int_equal(run_with_bad_files(what, -1, false, error, &is_said), SW_OK);
    const long n = plan.n;
    sum(old);
    const long step = step_of(n, rounds);
    for (long i = n % step; i < n; i += step)
        for (int once = 0; once < 2; once++) {
            const enum sw_status status = run_with_bad_files(what, i, once, error, &is_said);
            const bool is_good = sw_status_exit_code(status) == 5 && is_said;
            /* What fails once may be made good, and what tidies up may fail unseen. */
            if (!is_good && !(status == SW_OK && (once || plan.is_cleanup))) {
                print_error("call %ld of %ld%s: %s\n", i, n, once ? ", only it" : "",
                            sw_status_text(status));
                fail();
            }
            sum(now);
            assert_string_equal(now, old); /* the new one has the same bytes */
        }
}

static void checking_a_staff_survives_any_failing_allocation(void **state)
{
    (void)state;
    run_out(check_staff, ROUNDS);
}

static void checking_a_job_survives_any_failing_allocation(void **state)
{
    (void)state;
    run_out(check_job, ROUNDS_LONG);
}

static void making_survives_any_failing_allocation(void **state)
{
    (void)state;
    run_out(make, ROUNDS_LONG);
}

static void dry_runs_survive_any_failing_allocation(void **state)
{
    (void)state;
    run_out(dryrun_bare, ROUNDS);
    run_out(make, 1);
    run_out(dryrun, ROUNDS_LONG);
}

static void sizing_survives_any_failing_allocation(void **state)
{
    (void)state;
    remove_all();
    run_out(size, ROUNDS);
}

static void whatever_call_fails_while_making_the_folder_is_whole_and_it_is_said(void **state)
{
    (void)state;
    remove_all();
    fail_files(make, ROUNDS, EIO);
}

static void a_full_disk_leaves_the_old_folder(void **state)
{
    (void)state;
    fail_files(make, ROUNDS_LONG, ENOSPC);
}

static void whatever_call_fails_dry_runs_and_checks_say_so(void **state)
{
    (void)state;
    fail_files(check_staff, ROUNDS, EIO);
    fail_files(dryrun, ROUNDS_LONG, EIO);
    fail_files(dryrun_bare, ROUNDS_LONG, EIO);
}

static void whatever_call_fails_a_sized_staff_is_whole(void **state)
{
    (void)state;
    remove_all();
    fail_files(size, ROUNDS, EIO);
}

/* Variants that are proved are kept: nothing of them is made again. */
static void a_batch_survives_failing_calls(void **state)
{
    (void)state;
    char old[200], now[200];
    bool is_said;
    remove_all();
    assert_int_equal(run(batch, &is_said), SW_OK);
    sum_without(old, "");
    run_out(batch, ROUNDS_LONG);
    fail_files(batch, ROUNDS_LONG, EIO);
    assert_int_equal(run(batch, &is_said), SW_OK);
    sum_without(now, "");
    assert_string_equal(now, old);
}

static void a_batch_of_runs_survives_failing_calls(void **state)
{
    (void)state;
    char old[200], now[200];
    bool is_said;
    remove_all();
    assert_int_equal(run(batch_of_runs, &is_said), SW_OK);
    sum_without(old, "");
    run_out(batch_of_runs, ROUNDS_LONG);
    fail_files(batch_of_runs, ROUNDS_LONG, EIO);
    assert_int_equal(run(batch_of_runs, &is_said), SW_OK);
    sum_without(now, "");
    assert_string_equal(now, old);
}

static int make_parent(void **state)
{
    (void)state;
    if (!mkdtemp(parent))
        return -1;
    snprintf(out, sizeof out, "%s/out", parent);
    snprintf(file, sizeof file, "%s/staff.yaml", parent);
    return 0;
}

static int remove_parent(void **state)
{
    (void)state;
    remove_all();
    return rmdir(parent);
}

int main(int n, char **argument)
{
    (void)argument;
    is_all = n > 1;
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(checking_a_staff_survives_any_failing_allocation),
        cmocka_unit_test(checking_a_job_survives_any_failing_allocation),
        cmocka_unit_test(making_survives_any_failing_allocation),
        cmocka_unit_test(dry_runs_survive_any_failing_allocation),
        cmocka_unit_test(sizing_survives_any_failing_allocation),
        cmocka_unit_test(whatever_call_fails_while_making_the_folder_is_whole_and_it_is_said),
        cmocka_unit_test(a_full_disk_leaves_the_old_folder),
        cmocka_unit_test(whatever_call_fails_dry_runs_and_checks_say_so),
        cmocka_unit_test(whatever_call_fails_a_sized_staff_is_whole),
        cmocka_unit_test(a_batch_survives_failing_calls),
        cmocka_unit_test(a_batch_of_runs_survives_failing_calls),
    };
    return cmocka_run_group_tests(tests, make_parent, remove_parent);
}
