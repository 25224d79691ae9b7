#include "support/near.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

void sw_assert_near(double got, double wanted, double absolute, const char *text,
                    const char *file, int line)
{
    if (fabs(got - wanted) <= absolute)
        return;
    print_error("%s = %.17g, wanted %.17g within %.3g (off by %.3g)\n", text, got, wanted,
                absolute, got - wanted);
    _fail(file, line);
}

struct sw_ctx sw_test_ctx(void)
{
    struct sw_ctx ctx = {sw_arena_new(), sw_diag_new()};
    assert_non_null(ctx.arena);
    assert_non_null(ctx.diag);
    return ctx;
}

void sw_test_ctx_free(struct sw_ctx *ctx)
{
    sw_diag_free(ctx->diag);
    sw_arena_free(ctx->arena);
}

const char *sw_test_diagnostics(struct sw_ctx *ctx)
{
    struct sw_buf text = {0};
    sw_diag_write(ctx->diag, &text);
    assert_false(text.failed);
    const char *copy = sw_arena_copy(ctx->arena, sw_buf_text(&text), text.n);
    assert_non_null(copy);
    sw_buf_done(&text);
    return copy;
}
