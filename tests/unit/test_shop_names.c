#include "support/near.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "shop/job.h"
#include "shop/shop.h"

/* A tree of small files:
 *   bench/shop.yaml, bench/own.yaml (a tool), bench/twin.yaml (the naming file)
 *   near/tools/{own,slim,plain}.yaml, near/machines/twin.yaml
 *   far/tools/{slim,stout}.yaml */
static char base[] = "/tmp/sw-names-XXXXXX";

static const char *const folders[] = {"",     "/bench",    "/near", "/near/tools", "/near/machines",
                                      "/far", "/far/tools"};
static const char *const files[] = {"/bench/shop.yaml",         "/bench/own.yaml",
                                    "/bench/twin.yaml",         "/near/tools/own.yaml",
                                    "/near/tools/slim.yaml",    "/near/tools/plain",
                                    "/near/machines/twin.yaml", "/far/tools/slim.yaml",
                                    "/far/tools/stout.yaml",    "/bench/job.yaml"};

static const char *path_of(struct sw_ctx *ctx, const char *name)
{
    const char *path = sw_arena_printf(ctx->arena, "%s%s", base, name);
    assert_non_null(path);
    return path;
}

static void write_file(struct sw_ctx *ctx, const char *name, const char *text)
{
    FILE *to = fopen(path_of(ctx, name), "w");
    assert_non_null(to);
    assert_true(fputs(text, to) >= 0);
    assert_int_equal(fclose(to), 0);
}

static enum sw_status find(const char **path, const char *name, const char *kind,
                           const char *near_file, struct sw_ctx *ctx)
{
    const char *const roots[] = {path_of(ctx, "/near"), path_of(ctx, "/far"), NULL};
    const struct sw_search search = {roots};
    return sw_shop_find(path, name, kind, path_of(ctx, near_file), &search, (struct sw_span){0},
                        ctx);
}

static void assert_found(const char *name, const char *kind, const char *near_file,
                         const char *wanted)
{
    struct sw_ctx ctx = sw_test_ctx();
    const char *path = NULL;
    assert_int_equal(find(&path, name, kind, near_file, &ctx), SW_OK);
    assert_string_equal(path, path_of(&ctx, wanted));
    assert_int_equal(sw_diag_n(ctx.diag), 0);
    sw_test_ctx_free(&ctx);
}

static void names_are_looked_for_beside_the_file_then_in_the_roots_in_order(void **state)
{
    (void)state;
    assert_found("own", "tools", "/bench/shop.yaml", "/bench/own.yaml");
    assert_found("own.yaml", "tools", "/bench/shop.yaml", "/bench/own.yaml");
    assert_found("slim", "tools", "/bench/shop.yaml", "/near/tools/slim.yaml");
    assert_found("stout", "tools", "/bench/shop.yaml", "/far/tools/stout.yaml");
    assert_found("stout.yaml", "tools", "/bench/shop.yaml", "/far/tools/stout.yaml");
    assert_found("plain", "tools", "/bench/shop.yaml", "/near/tools/plain");
}

static void a_file_never_answers_for_what_it_names(void **state)
{
    (void)state;
    assert_found("twin", "machines", "/bench/twin.yaml", "/near/machines/twin.yaml");
    assert_found("twin", "machines", "/bench/shop.yaml", "/bench/twin.yaml");
}

static void a_name_with_a_slash_is_a_path_from_the_naming_file(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const char *path = NULL;
    assert_int_equal(find(&path, "../far/tools/slim", "tools", "/bench/shop.yaml", &ctx), SW_OK);
    assert_string_equal(path, path_of(&ctx, "/bench/../far/tools/slim.yaml"));
    assert_int_equal(
        find(&path, path_of(&ctx, "/far/tools/slim.yaml"), "tools", "/bench/shop.yaml", &ctx),
        SW_OK);
    assert_string_equal(path, path_of(&ctx, "/far/tools/slim.yaml"));
    assert_int_equal(find(&path, "../bench/slim", "tools", "/bench/shop.yaml", &ctx),
                     SW_UNREADABLE);
    sw_test_ctx_free(&ctx);
}

static void what_is_not_there_is_told_with_places_and_the_nearest_name(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const char *path = "unchanged";
    assert_int_equal(find(&path, "stoot", "tools", "/bench/shop.yaml", &ctx), SW_UNREADABLE);
    assert_string_equal(path, "unchanged");
    assert_int_equal(sw_diag_n(ctx.diag), 1);
    const struct sw_diag_record *record = sw_diag_at(ctx.diag, 0);
    assert_string_equal(record->code, "shop.not-found");
    assert_string_equal(record->message,
                        "there is no file `stoot` or `stoot.yaml` among the tools");
    assert_string_equal(record->hint,
                        sw_arena_printf(ctx.arena,
                                        "did you mean `stout`? looked in %s/bench, %s/near/tools, "
                                        "%s/far/tools",
                                        base, base, base));
    /* a folder of that name is no file */
    assert_int_equal(find(&path, "tools", "tools", "/near/own.yaml", &ctx), SW_UNREADABLE);
    sw_test_ctx_free(&ctx);
}

static void a_shop_whose_tool_is_missing_is_unreadable(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const char *text = "format: shop/1\nname: trial\nmachine: bench-gang\npost: strict\n"
                       "tools:\n  - {station: 1, tool: hammer}\nholders: [cement-chuck]\n"
                       "stock:\n  - {material: brass, diameter: 2, length: 100}\n";
    write_file(&ctx, "/bench/shop.yaml", text);
    static const char *const roots[] = {SW_SOURCE_DIR "/profiles", NULL};
    const struct sw_search search = {roots};
    struct sw_shop *shop = NULL;
    assert_int_equal(sw_shop_load(&shop, path_of(&ctx, "/bench/shop.yaml"), &search, &ctx),
                     SW_UNREADABLE);
    assert_null(shop);
    assert_int_equal(sw_diag_n_errors(ctx.diag), 1);
    assert_int_equal(sw_diag_at(ctx.diag, 0)->at.line, 6);
    assert_int_equal(sw_diag_at(ctx.diag, 0)->at.column, 24);
    sw_test_ctx_free(&ctx);
}

static void a_job_has_the_defaults_of_the_trade(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    write_file(&ctx, "/bench/job.yaml", "format: job/1\nstaff: fenmoor.yaml\nshop: bench-gang\n");
    struct sw_job *job = NULL;
    assert_int_equal(sw_job_load(&job, path_of(&ctx, "/bench/job.yaml"), &ctx), SW_OK);
    assert_string_equal(job->name.value, "job");
    assert_false(job->name.given);
    assert_string_equal(job->staff.value, path_of(&ctx, "/bench/fenmoor.yaml"));
    assert_string_equal(job->shop.value, "bench-gang");
    assert_string_equal(job->file, path_of(&ctx, "/bench/job.yaml"));
    assert_null(job->post.value);
    assert_int_equal(job->scheme.value, SW_SCHEME_REVERSED);
    assert_int_equal(job->first_side.value, SW_SIDE_UPPER);
    assert_int_equal(job->pivot_order.value, SW_PIVOTS_TIP_FIRST);
    assert_int_equal(job->parting.value, SW_PART_TO_NECK);
    assert_near(job->neck.value, 0.3, 0);
    assert_near(job->leave_long.value, 0, 0);
    assert_int_equal(job->measure.value, 1);
    assert_int_equal(job->try_parts.value, 0);
    assert_null(job->second_grip.value);

    write_file(&ctx, "/bench/job.yaml",
               "format: job/1\nname: spare\nstaff: /a/fenmoor.yaml\nshop: ../shop.yaml\n"
               "parting: through\npivot_order: last\nfirst_side: lower\n");
    assert_int_equal(sw_job_load(&job, path_of(&ctx, "/bench/job.yaml"), &ctx), SW_OK);
    assert_string_equal(job->name.value, "spare");
    assert_string_equal(job->staff.value, "/a/fenmoor.yaml");
    assert_string_equal(job->shop.value, "../shop.yaml");
    assert_int_equal(job->parting.value, SW_PART_THROUGH);
    assert_int_equal(job->pivot_order.value, SW_PIVOTS_LAST);
    assert_int_equal(job->first_side.value, SW_SIDE_LOWER);
    sw_test_ctx_free(&ctx);
}

/* Refuses the n-th allocation and all after it; counts what is held. */
struct refuser {
    long allowed;
    long held;
};

static void *resize(void *user, void *block, size_t old_size, size_t new_size)
{
    struct refuser *refuser = user;
    if (new_size == 0) {
        refuser->held -= old_size > 0;
        free(block);
        return NULL;
    }
    if (refuser->allowed-- <= 0)
        return NULL;
    void *made = realloc(block, new_size);
    assert_non_null(made);
    refuser->held += old_size == 0;
    return made;
}

static enum sw_status load_with(struct refuser *refuser, const char *path)
{
    static const char *const roots[] = {SW_SOURCE_DIR "/profiles", NULL};
    const struct sw_search search = {roots};
    const struct sw_mem_hook hook = {resize, refuser};
    sw_mem_set_hook(&hook);
    struct sw_ctx ctx = {sw_arena_new(), sw_diag_new()};
    enum sw_status status = SW_MEMORY;
    struct sw_shop *shop = NULL;
    if (ctx.arena && ctx.diag)
        status = sw_shop_load(&shop, path, &search, &ctx);
    sw_diag_free(ctx.diag);
    sw_arena_free(ctx.arena);
    sw_mem_set_hook(NULL);
    return status;
}

static void lack_of_memory_at_any_moment_is_told_and_leaks_nothing(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    write_file(&ctx, "/bench/shop.yaml",
               "format: shop/1\nname: trial\nmachine: bench-gang\npost: strict\n"
               "tools:\n  - {station: 1, tool: hammer}\nholders: [cement-chuck]\n"
               "stock:\n  - {material: brass, diameter: 2, length: 100}\n");
    const char *paths[] = {SW_SOURCE_DIR "/profiles/shops/bench-gang.yaml",
                           path_of(&ctx, "/bench/shop.yaml")};
    const enum sw_status wanted[] = {SW_OK, SW_UNREADABLE};
    for (int i = 0; i < 2; i++) {
        long n = 0;
        enum sw_status status = SW_MEMORY;
        for (; status == SW_MEMORY; n++) {
            struct refuser refuser = {n, 0};
            status = load_with(&refuser, paths[i]);
            assert_int_equal(refuser.held, 0);
            assert_true(n < 100000);
        }
        assert_int_equal(status, wanted[i]);
        assert_true(n > 5);
    }
    sw_test_ctx_free(&ctx);
}

static int make_tree(void **state)
{
    (void)state;
    if (!mkdtemp(base))
        return -1;
    struct sw_ctx ctx = sw_test_ctx();
    for (size_t i = 1; i < sizeof folders / sizeof *folders; i++)
        assert_int_equal(mkdir(path_of(&ctx, folders[i]), 0700), 0);
    for (size_t i = 0; i < sizeof files / sizeof *files; i++)
        write_file(&ctx, files[i], "");
    sw_test_ctx_free(&ctx);
    return 0;
}

static int remove_tree(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    for (size_t i = 0; i < sizeof files / sizeof *files; i++)
        unlink(path_of(&ctx, files[i]));
    for (size_t i = sizeof folders / sizeof *folders; i-- > 0;)
        assert_int_equal(rmdir(path_of(&ctx, folders[i])), 0);
    sw_test_ctx_free(&ctx);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(names_are_looked_for_beside_the_file_then_in_the_roots_in_order),
        cmocka_unit_test(a_file_never_answers_for_what_it_names),
        cmocka_unit_test(a_name_with_a_slash_is_a_path_from_the_naming_file),
        cmocka_unit_test(what_is_not_there_is_told_with_places_and_the_nearest_name),
        cmocka_unit_test(a_shop_whose_tool_is_missing_is_unreadable),
        cmocka_unit_test(a_job_has_the_defaults_of_the_trade),
        cmocka_unit_test(lack_of_memory_at_any_moment_is_told_and_leaks_nothing),
    };
    return cmocka_run_group_tests(tests, make_tree, remove_tree);
}
