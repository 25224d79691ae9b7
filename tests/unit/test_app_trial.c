/* A dialect's trial: the path has every event, what passes and what differs is told apart, and
 * running out of memory on the way is survived. What single faults of a dialect look like stands in
 * tests/cli/faulty_posts.py. */
#include <stdlib.h>
#include <string.h>

#include "app/app.h"
#include "app/trial.h"
#include "support/near.h"

static const char *const roots[] = {SW_SOURCE_DIR "/profiles", NULL};
static const struct sw_app app = {.version = "0", .search = {roots}};

static const struct {
    const char *dialect, *machine;
} shipped[] = {
    {"strict", "bench-gang"},
    {"strict-file-per-tool", "bench-one-tool"},
    {"turning", "bench-turning"},
    {"turning-parameters", "bench-turning-parameters"},
    {"iso-blocks", "bench-iso-blocks"},
    {"minimum", "bench-minimum"},
    {"chords", "bench-chords"},
    {"motion-only", "bench-motion-only"},
    {"turning-one-word", "bench-turning-one-word"},
    {"turning-two-spindles", "sliding-two-spindles"},
};
enum { N_SHIPPED = sizeof shipped / sizeof *shipped };

static enum sw_status try_dialect(struct sw_trial **out, const char *dialect, const char *machine,
                                  struct sw_ctx *ctx)
{
    const struct sw_post *post;
    SW_TRY(sw_post_load(&post, dialect, ".", &app.search, (struct sw_span){0}, ctx));
    return sw_app_try_post(out, post, machine, &app, ctx);
}

static void every_shipped_dialect_passes_on_its_machine(void **state)
{
    (void)state;
    for (size_t i = 0; i < N_SHIPPED; i++) {
        struct sw_ctx ctx = sw_test_ctx();
        struct sw_trial *trial = NULL;
        const enum sw_status status =
            try_dialect(&trial, shipped[i].dialect, shipped[i].machine, &ctx);
        if (status != SW_OK)
            fail_msg("%s: %s", shipped[i].dialect, sw_test_diagnostics(&ctx));
        assert_int_equal(trial->differences.n, 0);
        assert_true(trial->has_second_read);
        assert_true(trial->n_blocks > trial->n_events - 10);
        sw_test_ctx_free(&ctx);
    }
}

/* The dialect that can do everything is asked for every kind of event, and no two moves in a row
 * end at one place, where a fault could hide. */
static void the_path_has_every_event(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_post *post;
    struct sw_machine machine = {.kind = {0}};
    machine.spindle.least_speed.value = 200;
    machine.spindle.most_speed.value = 8000;
    assert_int_equal(
        sw_post_load(&post, "turning-parameters", ".", &app.search, (struct sw_span){0}, &ctx),
        SW_OK);
    struct sw_trial found = {0};
    struct sw_trial_run *run = calloc(1, sizeof *run);
    assert_non_null(run);
    run->post = post;
    run->machine = &machine;
    run->can = sw_post_abilities(post);
    run->can.has_second = true; /* no shipped dialect has this and corrections */
    run->station[0] = 1;
    run->station[1] = 2;
    run->found = &found;
    run->ctx = &ctx;
    assert_int_equal(sw_trial_make_path(run), SW_OK);
    size_t n[SW_PATH_END + 1] = {0};
    bool senses[2][2] = {{false}}, turns[2] = {false};
    struct sw_pt at = {-99, -99};
    for (size_t i = 0; i < run->path.n; i++) {
        const struct sw_path_event *e = &run->path.at[i];
        n[e->kind]++;
        if (e->kind == SW_PATH_SPINDLE)
            senses[e->is_surface_speed][e->is_ccw] = true;
        if (e->kind == SW_PATH_ARC)
            turns[e->turn > 0] = true;
        if (e->kind == SW_PATH_RAPID || e->kind == SW_PATH_LINE || e->kind == SW_PATH_ARC) {
            assert_true(sw_pt_distance(at, e->to) > 0.05);
            at = e->to;
        }
    }
    for (int kind = 0; kind <= SW_PATH_END; kind++)
        assert_true(n[kind] > 0);
    assert_true(senses[0][0] && senses[0][1] && senses[1][0] && senses[1][1]);
    assert_true(turns[0] && turns[1]);
    assert_int_equal(found.unused.n, 0);
    free(run);
    sw_test_ctx_free(&ctx);
}

static void a_control_that_reads_otherwise_is_refused(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_trial *trial = NULL;
    /* Radius on a control that reads diameters: said before anything is written. */
    assert_int_equal(try_dialect(&trial, "strict", "bench-turning", &ctx), SW_CANNOT);
    assert_null(trial);
    sw_test_ctx_free(&ctx);
}

static struct {
    long n, fail, held;
} memory;

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

static enum sw_status try_with(long fail)
{
    static const struct sw_mem_hook hook = {resize, NULL};
    memory.n = memory.held = 0;
    memory.fail = fail;
    sw_mem_set_hook(&hook);
    struct sw_ctx ctx = {sw_arena_new(), sw_diag_new()};
    enum sw_status status = SW_MEMORY;
    struct sw_trial *trial = NULL;
    if (ctx.arena && ctx.diag)
        status = try_dialect(&trial, "turning-parameters", "bench-turning-parameters", &ctx);
    struct sw_buf text = {0};
    if (trial)
        sw_report_trial(&text, trial);
    if (status == SW_OK && (text.failed || sw_diag_failed(ctx.diag)))
        status = SW_MEMORY;
    sw_buf_done(&text);
    sw_diag_free(ctx.diag);
    sw_arena_free(ctx.arena);
    sw_mem_set_hook(NULL);
    assert_int_equal(memory.held, 0);
    return status;
}

static void any_lack_of_memory_is_survived(void **state)
{
    (void)state;
    assert_int_equal(try_with(-1), SW_OK);
    const long n = memory.n;
    const long step = n > 400 ? n / 400 : 1; /* the arena's blocks are few but under sanitizers */
    for (long i = 0; i < n; i += step)
        assert_int_equal(try_with(i), SW_MEMORY);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_shipped_dialect_passes_on_its_machine),
        cmocka_unit_test(the_path_has_every_event),
        cmocka_unit_test(a_control_that_reads_otherwise_is_refused),
        cmocka_unit_test(any_lack_of_memory_is_survived),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
