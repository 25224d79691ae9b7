/* Every allocation of loading and writing is made to fail once: the answer is SW_MEMORY, nothing
 * leaks and no program comes out. */
#include "test_post_sample.h"

struct failing {
    long left;     /* allocations before the one that fails; negative: none fails */
    long n_blocks; /* held now */
};

static void *resize(void *user, void *block, size_t old_size, size_t new_size)
{
    struct failing *f = user;
    (void)old_size;
    if (new_size == 0) {
        f->n_blocks -= block != NULL;
        free(block);
        return NULL;
    }
    if (f->left == 0)
        return NULL;
    f->left--;
    void *fresh = realloc(block, new_size);
    f->n_blocks += fresh && !block;
    return fresh;
}

static enum sw_status load_and_write(size_t *n_programs)
{
    struct sw_ctx ctx = {sw_arena_new(), sw_diag_new()};
    enum sw_status status = ctx.arena && ctx.diag ? SW_OK : SW_MEMORY;
    struct sw_post_programs out = {0};
    if (status == SW_OK) {
        /* A path of its own memory, so that only post is tried. */
        struct sw_path_event events[] = {
            {.kind = SW_PATH_SECTION, .text = "a section with a name that is not short at all"},
            {.kind = SW_PATH_TOOL, .station = 1, .text = "point"},
            {.kind = SW_PATH_SPINDLE, .speed = 3000},
            {.kind = SW_PATH_RAPID, .to = {0, 1}},
            {.kind = SW_PATH_CORRECT, .correction = 1, .is_on = true},
            {.kind = SW_PATH_LINE, .to = {-1, 1}, .feed = 0.01},
            {.kind = SW_PATH_ARC, .to = {-2, 2}, .centre = {-1, 2}, .turn = -1, .feed = 0.01},
            {.kind = SW_PATH_CORRECT, .correction = 1},
            {.kind = SW_PATH_END},
        };
        static const struct sw_path_correction corrections[] = {{"upper pivot"}};
        const struct sw_path path = {.at = events,
                                     .n = sizeof events / sizeof *events,
                                     .stem = "side-1",
                                     .correction = corrections,
                                     .n_corrections = 1};
        const struct sw_machine machine = sample_machine();
        const struct sw_post *post = NULL;
        status = sample_load(&post, "strict-file-per-tool", ".", &ctx);
        if (status == SW_OK)
            status = sw_post_write(&out, post, &path, &machine, &ctx);
    }
    *n_programs = out.n;
    sw_diag_free(ctx.diag);
    sw_arena_free(ctx.arena);
    return status;
}

static void each_failing_allocation_ends_in_order(void **state)
{
    (void)state;
    struct failing f = {.left = -1};
    const struct sw_mem_hook hook = {resize, &f};
    size_t n_programs = 0;
    enum sw_status status = SW_MEMORY;
    long n = 0;
    sw_mem_set_hook(&hook);
    for (; status != SW_OK && n < 100000; n++) {
        f.left = n;
        status = load_and_write(&n_programs);
        if (status != SW_OK && status != SW_MEMORY)
            break;
        if ((status == SW_MEMORY && n_programs != 0) || f.n_blocks != 0)
            break;
    }
    sw_mem_set_hook(NULL);
    assert_int_equal(f.n_blocks, 0);
    assert_int_equal(status, SW_OK);
    assert_int_equal(n_programs, 1);
    assert_true(n > 5);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(each_failing_allocation_ends_in_order)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
