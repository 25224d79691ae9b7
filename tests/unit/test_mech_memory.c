/* Whatever allocation fails, mech ends with "out of memory" and leaks nothing. */
#include <stdlib.h>

#include "mech/bar_profile.h"
#include "mech/feedtime.h"
#include "mech/vibrate.h"

#include "support/near.h"

struct teller {
    size_t n;    /* allocations so far */
    size_t fail; /* the one that fails, 0: none */
    long held;   /* bytes not yet given back */
};

static void *resize(void *user, void *block, size_t old_size, size_t new_size)
{
    struct teller *teller = user;
    if (new_size == 0) {
        free(block);
        teller->held -= (long)old_size;
        return NULL;
    }
    if (++teller->n == teller->fail)
        return NULL;
    void *made = realloc(block, new_size);
    if (made != NULL)
        teller->held += (long)new_size - (long)old_size;
    return made;
}

/* A trumpet of many cones, built, rung and driven along. */
static enum sw_status work(const struct sw_contour *outline, struct sw_ctx *ctx)
{
    static const struct sw_bar_material steel = {206000, 0.3};
    struct sw_leg legs[50];
    for (size_t i = 0; i < 50; i++)
        legs[i] = (struct sw_leg){1, 20, 5};
    struct sw_bar_pieces pieces = {0};
    struct sw_bar bar = {0};
    double hertz = 0, seconds = 0;
    SW_TRY(sw_bar_pieces_of(&pieces, outline, 0.5, 0, 1e-5, ctx));
    SW_TRY(sw_bar_build(&bar, pieces.at, pieces.n, &steel, NULL, SW_BAR_ALL, ctx));
    SW_TRY(sw_vibrate_first(&hertz, &bar, 7.85e-9, ctx));
    return sw_feed_path_time(&seconds, legs, 50, 100, 1000, 0, 0, ctx);
}

static void every_failing_allocation_ends_in_order(void **state)
{
    (void)state;
    struct sw_ctx own = sw_test_ctx();
    struct sw_contour outline = {0};
    assert_true(sw_contour_add(own.arena, &outline,
                               sw_seg_arc((struct sw_pt){0, 0.05}, (struct sw_pt){0.5, 0.55},
                                          (struct sw_pt){0, 0.55}, 1, 0)));
    struct teller teller = {0};
    const struct sw_mem_hook hook = {resize, &teller};
    size_t n_all = 0, n_failed = 0;
    for (size_t fail = 0; fail <= n_all; fail++) {
        teller = (struct teller){.fail = 0};
        sw_mem_set_hook(&hook);
        struct sw_ctx ctx = {sw_arena_new(), sw_diag_new()};
        assert_true(ctx.arena != NULL && ctx.diag != NULL);
        teller.n = 0;
        teller.fail = fail;
        const enum sw_status status = work(&outline, &ctx);
        if (fail == 0)
            n_all = teller.n;
        sw_diag_free(ctx.diag);
        sw_arena_free(ctx.arena);
        sw_mem_set_hook(NULL);
        assert_int_equal(status, fail > 0 ? SW_MEMORY : SW_OK);
        assert_int_equal(teller.held, 0);
        n_failed += fail > 0;
    }
    print_message("%zu allocations, each of them failed once\n", n_failed);
    assert_true(n_failed >= 8);
    sw_test_ctx_free(&own);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_failing_allocation_ends_in_order),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
