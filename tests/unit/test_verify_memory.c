/* Whatever allocation fails, judging ends with "out of memory" and leaks nothing. */
#include <stdlib.h>

#include "support/near.h"
#include "support/peg.h"

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

static enum sw_status judge(struct sw_lathe *lathe, const struct sw_peg *peg, struct sw_ctx *ctx)
{
    const struct sw_verify_program program = {"side-1.nc", &lathe->motion[0], false};
    struct sw_verdict *verdict = NULL;
    return sw_verify_run(&verdict, &program, 1, &lathe->setup, &lathe->shop, &peg->shape, ctx);
}

static void every_failing_allocation_ends_in_order(void **state)
{
    (void)state;
    struct sw_lathe lathe;
    struct sw_peg peg;
    sw_lathe_init(&lathe);
    sw_peg_init(&peg, &lathe.ctx);
    sw_peg_program(&lathe, (struct sw_peg_slips){.seat_r = -0.01}); /* findings are made too */
    struct teller teller = {0};
    const struct sw_mem_hook hook = {resize, &teller};
    size_t n_all = 0, n_failed = 0;
    for (size_t fail = 0; fail <= n_all; fail += fail < 60 ? 1 : 1 + fail / 25) {
        teller = (struct teller){.fail = 0};
        sw_mem_set_hook(&hook);
        struct sw_ctx ctx = {sw_arena_new(), sw_diag_new()};
        assert_true(ctx.arena != NULL && ctx.diag != NULL);
        teller.n = 0;
        teller.fail = fail;
        const enum sw_status status = judge(&lathe, &peg, &ctx);
        if (fail == 0)
            n_all = teller.n;
        const bool has_failed = fail > 0 && teller.n >= fail;
        sw_diag_free(ctx.diag);
        sw_arena_free(ctx.arena);
        sw_mem_set_hook(NULL);
        if ((status != (has_failed ? SW_MEMORY : SW_OK)) || teller.held != 0)
            print_error("allocation %zu of %zu: status %d, %ld bytes kept\n", fail, n_all,
                        (int)status, teller.held);
        assert_int_equal(status, has_failed ? SW_MEMORY : SW_OK);
        assert_int_equal(teller.held, 0);
        n_failed += has_failed;
    }
    print_message("%zu allocations, %zu of them failed one by one\n", n_all, n_failed);
    assert_true(n_failed > 60);
    sw_lathe_done(&lathe);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_failing_allocation_ends_in_order),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
