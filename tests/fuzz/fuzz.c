#include "fuzz.h"

#include <stdio.h>
#include <stdlib.h>

static const char *const roots[] = {SW_SOURCE_DIR "/profiles", NULL};
const struct sw_search sw_fuzz_search = {roots};

_Noreturn void sw_fuzz_fail(const struct sw_ctx *ctx, const char *what, const char *file, int line)
{
    struct sw_buf text = {0};
    sw_diag_write(ctx->diag, &text);
    fprintf(stderr, "%s%s:%d: does not hold: %s\n", sw_buf_text(&text), file, line, what);
    abort();
}

struct sw_ctx sw_fuzz_begin(void)
{
    struct sw_ctx ctx = {sw_arena_new(), sw_diag_new()};
    if (!ctx.arena || !ctx.diag)
        abort();
    return ctx;
}

static size_t n_good;

size_t sw_fuzz_n_good(void)
{
    return n_good;
}

void sw_fuzz_end(struct sw_ctx *ctx, enum sw_status status)
{
    n_good += status == SW_OK;
    struct sw_buf text = {0};
    sw_diag_write(ctx->diag, &text);
    sw_demand(ctx, !text.failed && !sw_diag_failed(ctx->diag));
    sw_demand(ctx, status != SW_INTERNAL && status != SW_MEMORY);
    sw_demand(ctx, status == SW_FOUND || (status != SW_OK) == (sw_diag_n_errors(ctx->diag) > 0));
    for (size_t i = 0; i < sw_diag_n(ctx->diag); i++)
        sw_demand(ctx, sw_diag_at(ctx->diag, i)->message[0] != '\0');
    sw_buf_done(&text);
    sw_diag_free(ctx->diag);
    sw_arena_free(ctx->arena);
}

unsigned sw_fuzz_byte(struct sw_fuzz_bytes *bytes)
{
    if (bytes->n == 0)
        return 0;
    bytes->n--;
    return *bytes->at++;
}
