/* Whatever allocation fails on the way from a job to its verdict: it says so and leaks nothing.
 *
 * All of them would take long; SAMPLES are tried, spread evenly over the run. jansson and GEOS have
 * memory of their own. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/app.h"
#include "app/paths.h"
#include "report/correct.h"
#include "support/near.h"

enum { SAMPLES = 24 };

static struct {
    long n;    /* allocations so far */
    long fail; /* from this one on all fail; -1: none */
    long held;
} memory;

static char folder[] = "/tmp/staffwright-memory-XXXXXX";

static void *resize(void *user, void *block, size_t old_size, size_t new_size)
{
    (void)user;
    if (new_size == 0) {
        memory.held -= block != NULL;
        free(block);
        return NULL;
    }
    if (memory.fail >= 0 && memory.n >= memory.fail)
        return NULL;
    memory.n++;
    void *more = realloc(block, new_size);
    memory.held += old_size == 0 && more;
    return more;
}

/* Charts, and a finishing program into a folder that is left empty when anything fails. */
static enum sw_status finish(const struct sw_app_correct *found, const struct sw_app *app,
                             struct sw_ctx *ctx)
{
    const struct sw_sheet sheet = {.version = "0",
                                   .plan = found->work.plan,
                                   .post = found->work.post,
                                   .programs = found->work.programs,
                                   .setup = found->work.setup,
                                   .verdict = found->work.verdict};
    struct sw_buf text = {0};
    bool is_clean, is_written;
    enum sw_status status = sw_report_correction(&text, &is_clean, &found->correction, &sheet, ctx);
    if (status == SW_OK)
        status = sw_app_again(&text, &is_written, found, folder, true, app, ctx);
    sw_buf_done(&text);
    return status;
}

static enum sw_status correct(const char *job, const char *measured, const struct sw_app *app,
                              struct sw_ctx *ctx)
{
    struct sw_app_correct *found = SW_NEW(ctx->arena, struct sw_app_correct, 1);
    if (!found)
        return SW_MEMORY;
    SW_TRY(sw_app_correct(found, job, measured, app, ctx));
    return strstr(measured, "thick") ? finish(found, app, ctx) : SW_OK;
}

static enum sw_status make_once(const char *job, const char *measured, long fail)
{
    static const struct sw_mem_hook hook = {resize, NULL};
    memory.n = 0;
    memory.fail = fail;
    memory.held = 0;
    sw_mem_set_hook(&hook);
    struct sw_ctx ctx = {sw_arena_new(), sw_diag_new()};
    enum sw_status status = SW_MEMORY;
    if (ctx.arena && ctx.diag) {
        const char *const roots[] = {SW_SOURCE_DIR "/profiles", NULL};
        const struct sw_app app = {"0", {roots}, false, false};
        const struct sw_app_make make = {.job = job, .folder = "."};
        struct sw_work *work = SW_NEW(ctx.arena, struct sw_work, 1);
        if (work)
            status = measured ? correct(job, measured, &app, &ctx)
                              : sw_app_make(work, &make, &app, &ctx);
        if (sw_diag_failed(ctx.diag))
            status = SW_MEMORY;
    }
    sw_diag_free(ctx.diag);
    sw_arena_free(ctx.arena);
    sw_mem_set_hook(NULL);
    assert_int_equal(memory.held, 0);
    return status;
}

static void run_out(const char *job, const char *measured, enum sw_status wanted)
{
    assert_int_equal(make_once(job, measured, -1), wanted);
    const long n = memory.n;
    assert_true(n > SAMPLES);
    for (long i = 0; i < SAMPLES; i++)
        assert_int_equal(make_once(job, measured, i * n / SAMPLES), SW_MEMORY);
}

static void every_stage_survives_running_out_of_memory(void **state)
{
    (void)state;
    run_out(SW_SOURCE_DIR "/samples/wren-8/job.yaml", NULL, SW_OK);
}

/* Making a blank makes its finish in memory, too. */
static void hardening_survives_running_out_of_memory(void **state)
{
    (void)state;
    run_out(SW_SOURCE_DIR "/samples/fenmoor-43/job-harden.yaml", NULL, SW_OK);
}

static void advice_survives_running_out_of_memory(void **state)
{
    (void)state;
    run_out(SW_SOURCE_DIR "/tests/cli/make-refused-too-weak-of-soft-stock/in/job.yaml", NULL,
            SW_CANNOT);
}

static void correcting_survives_running_out_of_memory(void **state)
{
    (void)state;
    run_out(SW_SOURCE_DIR "/samples/fenmoor-43/job.yaml",
            SW_SOURCE_DIR "/samples/fenmoor-43/measured.yaml", SW_OK);
}

static void finishing_survives_running_out_of_memory(void **state)
{
    (void)state;
    assert_non_null(mkdtemp(folder));
    run_out(SW_SOURCE_DIR "/samples/fenmoor-43/job.yaml",
            SW_SOURCE_DIR "/tests/cli/correct-finishes-a-thick-piece/in/measured.yaml", SW_OK);
    char line[128];
    snprintf(line, sizeof line, "rm -rf %s", folder);
    assert_int_equal(system(line), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_stage_survives_running_out_of_memory),
        cmocka_unit_test(hardening_survives_running_out_of_memory),
        cmocka_unit_test(correcting_survives_running_out_of_memory),
        cmocka_unit_test(finishing_survives_running_out_of_memory),
        cmocka_unit_test(advice_survives_running_out_of_memory),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
