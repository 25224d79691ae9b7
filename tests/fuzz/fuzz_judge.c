/* Any bytes as a program nobody planned, judged on a rod: a verdict whatever it does, with numbers
 * that are numbers. The first byte says which shop, the next two the rod. Long texts are left to
 * fuzz_program. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "app/app.h"
#include "app/bare.h"
#include "fuzz.h"
#include "report/json.h"

static const char *const names[] = {"bench-gang", "bench-turning", "bench-by-hand",
                                    "bench-one-tool"};
enum { SHOPS = sizeof names / sizeof *names, MOST_BYTES = 1500 };

/* Read once: they live to the end of the process. */
static const struct sw_shop *shop_of(size_t which)
{
    static struct sw_ctx ctx;
    static struct sw_shop *shop[SHOPS];
    if (!ctx.arena)
        ctx = sw_fuzz_begin();
    if (!shop[which]) {
        const char *path = NULL;
        if (sw_shop_find(&path, names[which], "shops", "./-", &sw_fuzz_search, (struct sw_span){0},
                         &ctx) != SW_OK ||
            sw_shop_load(&shop[which], path, &sw_fuzz_search, &ctx) != SW_OK)
            sw_fuzz_fail(&ctx, "the shop is there", __FILE__, __LINE__);
    }
    return shop[which];
}

static void check(const struct sw_verdict *verdict, const struct sw_ctx *ctx)
{
    bool has_error = false;
    for (size_t i = 0; i < verdict->findings.n; i++) {
        const struct sw_finding *finding = &verdict->findings.at[i];
        has_error = has_error || finding->severity == SW_ERROR;
        sw_demand(ctx, finding->message && finding->message[0]);
        sw_demand(ctx, !isinf(finding->value) && !isinf(finding->limit) && !isinf(finding->z));
    }
    sw_demand(ctx, verdict->passes == !has_error);
    for (size_t i = 0; i < verdict->n_programs; i++) {
        const struct sw_program_verdict *program = &verdict->program[i];
        sw_demand(ctx, isfinite(program->seconds) && program->seconds >= 0);
        sw_demand(ctx, isfinite(program->removed_mm3) && program->removed_mm3 > -1e-6);
    }
}

static enum sw_status judge(const uint8_t *data, size_t size, struct sw_ctx *ctx)
{
    struct sw_fuzz_bytes bytes = {data, size};
    const struct sw_shop *shop = shop_of(sw_fuzz_byte(&bytes) % SHOPS);
    char stock[40];
    snprintf(stock, sizeof stock, "%.1f,%.1f", 0.5 + 0.1 * (sw_fuzz_byte(&bytes) % 40),
             2 + 0.2 * sw_fuzz_byte(&bytes));
    const char *const path = "x.nc";
    const struct sw_app app = {.version = "0", .search = sw_fuzz_search};
    const struct sw_app_dryrun dryrun = {.path = &path, .n = 1, .shop = "shop", .stock = stock};
    struct sw_setup *setup = NULL;
    struct sw_verdict *verdict = NULL;
    SW_TRY(sw_app_bare_setup(&setup, &dryrun, shop, &app, ctx));
    const char *text = sw_arena_copy(ctx->arena, (const char *)bytes.at, bytes.n);
    sw_demand(ctx, text);
    const struct sw_app_text program = {path, text, bytes.n};
    SW_TRY(sw_app_judge(&verdict, &program, 1, setup, shop, NULL, false, ctx));
    check(verdict, ctx);
    struct sw_report_hash *hash;
    SW_TRY(sw_app_hash_texts(&hash, &program, 1, ctx));
    struct sw_buf json = {0};
    const enum sw_status status = sw_report_dryrun_json(&json, verdict, hash, "0");
    sw_buf_done(&json);
    SW_TRY(status);
    /* Faults of the text stand in the diagnostics, others in the verdict alone. */
    return verdict->passes ? SW_OK : SW_FOUND;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (size > MOST_BYTES)
        return 0;
    struct sw_ctx ctx = sw_fuzz_begin();
    sw_fuzz_end(&ctx, judge(data, size, &ctx));
    return 0;
}
