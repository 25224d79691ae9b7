#include "support/bench.h"

static const char *const roots[] = {SW_SOURCE_DIR "/profiles", NULL};
static const struct sw_search search = {roots};

void sw_bench_load(struct sw_bench *bench, const char *name)
{
    sw_bench_load_job(bench, name, "job.yaml");
}

void sw_bench_load_job(struct sw_bench *bench, const char *name, const char *file)
{
    *bench = (struct sw_bench){.ctx = sw_test_ctx()};
    struct sw_ctx *ctx = &bench->ctx;
    const char *path = sw_arena_printf(ctx->arena, "%s/samples/%s/%s", SW_SOURCE_DIR, name, file);
    const char *shop_path = NULL;
    assert_int_equal(sw_job_load(&bench->job, path, ctx), SW_OK);
    assert_int_equal(sw_staff_load(&bench->staff, bench->job->staff.value, ctx), SW_OK);
    assert_int_equal(sw_shop_find(&shop_path, bench->job->shop.value, "shops", path, &search,
                                  bench->job->shop.at, ctx),
                     SW_OK);
    assert_int_equal(sw_shop_load(&bench->shop, shop_path, &search, ctx), SW_OK);
    assert_int_equal(sw_post_load(&bench->post, bench->shop->post.value, path, &search,
                                  bench->shop->post.at, ctx),
                     SW_OK);
}

enum sw_status sw_bench_plan(struct sw_bench *bench)
{
    struct sw_ctx *ctx = &bench->ctx;
    const struct sw_shape_extra extra = sw_plan_extra(bench->job);
    SW_TRY(sw_shape_build(&bench->shape, bench->staff, &bench->shop->leave, &extra, ctx));
    return sw_plan_build(&bench->plan, bench->job, bench->shop, bench->shape, bench->post, NULL,
                         ctx);
}

void sw_bench_free(struct sw_bench *bench)
{
    sw_test_ctx_free(&bench->ctx);
}
