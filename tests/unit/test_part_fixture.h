/* fixture: the sample staffs, small staffs as text, and an allocator that fails when told. */
#ifndef SW_TESTS_PART_FIXTURE_H
#define SW_TESTS_PART_FIXTURE_H

#include "support/near.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "part/staff.h"

static const char *const sample_staffs[] = {"fenmoor-43", "wren-8", "tollgate", "millrace",
                                            "harrow-2p"};
enum { N_SAMPLE_STAFFS = sizeof sample_staffs / sizeof *sample_staffs };

/* The whole of a file of the repo, in the context's arena. */
static inline const char *read_repo_file(const char *folder, const char *name, const char *suffix,
                                         struct sw_ctx *ctx)
{
    char path[1024];
    const int size = snprintf(path, sizeof path, "%s/%s/%s%s", SW_SOURCE_DIR, folder, name, suffix);
    assert_true(size > 0 && (size_t)size < sizeof path);
    FILE *file = fopen(path, "rb");
    if (!file)
        fail_msg("cannot open %s", path);
    static const size_t most = 1 << 16;
    char *text = sw_arena_alloc(ctx->arena, most + 1, 1);
    assert_non_null(text);
    const size_t n = fread(text, 1, most, file);
    assert_true(n < most);
    assert_int_equal(ferror(file), 0);
    fclose(file);
    return text;
}

static inline struct sw_staff *load_sample(const char *name, struct sw_ctx *ctx)
{
    char path[1024];
    snprintf(path, sizeof path, "%s/samples/%s/staff.yaml", SW_SOURCE_DIR, name);
    struct sw_staff *staff = NULL;
    const enum sw_status status = sw_staff_load(&staff, path, ctx);
    if (status != SW_OK)
        fail_msg("%s", sw_test_diagnostics(ctx));
    return staff;
}

static inline enum sw_status parse_text(struct sw_staff **staff, const char *text,
                                        struct sw_ctx *ctx)
{
    *staff = NULL;
    return sw_staff_parse(staff, "staff.yaml", text, strlen(text), ctx);
}

/* A plain staff of total 3.0, about as small as one can be; its middle is given. */
static inline struct sw_staff *parse_around(const char *middle, struct sw_ctx *ctx)
{
    char text[2048];
    const int n = snprintf(text, sizeof text,
                           "format: staff/1\n"
                           "name: Bramble 8\n"
                           "material: carbon-steel-blue\n"
                           "total: {length: 3.0}\n"
                           "sections:\n"
                           "  - pivot: {diameter: 0.1, length: 0.2}\n"
                           "%s"
                           "  - pivot: {diameter: 0.1, length: 0.2}\n",
                           middle);
    assert_true(n > 0 && (size_t)n < sizeof text);
    struct sw_staff *staff = NULL;
    if (parse_text(&staff, text, ctx) != SW_OK)
        fail_msg("%s", sw_test_diagnostics(ctx));
    return staff;
}

/* An allocator that counts its blocks and refuses the n-th request for more. */
struct failing {
    size_t n_live;
    size_t n_asked;
    size_t fail_at; /* 0: never */
};

static inline void *failing_resize(void *user, void *block, size_t old_size, size_t new_size)
{
    struct failing *failing = user;
    if (new_size == 0) {
        failing->n_live -= block != NULL;
        free(block);
        return NULL;
    }
    if (new_size > old_size && ++failing->n_asked == failing->fail_at)
        return NULL;
    void *more = realloc(block, new_size);
    failing->n_live += more && !block;
    return more;
}

/* Runs WORK once for each of its allocations, that one failing: it must report SW_MEMORY (or
 * finish), and give everything back. */
static inline void assert_survives_failures(enum sw_status (*work)(struct sw_ctx *ctx))
{
    enum { MOST = 100000 };
    for (size_t i = 1; i < MOST; i++) {
        struct failing failing = {0, 0, i};
        const struct sw_mem_hook hook = {failing_resize, &failing};
        sw_mem_set_hook(&hook);
        struct sw_ctx ctx = {sw_arena_new(), sw_diag_new()};
        enum sw_status status = SW_MEMORY;
        if (ctx.arena && ctx.diag)
            status = work(&ctx);
        sw_diag_free(ctx.diag);
        sw_arena_free(ctx.arena);
        sw_mem_set_hook(NULL);
        assert_int_equal(failing.n_live, 0);
        const bool was_refused = failing.n_asked >= i;
        if (!was_refused) {
            assert_int_equal(status, SW_OK);
            return;
        }
        if (status != SW_MEMORY)
            fail_msg("allocation %zu failed, but the status is %d", i, (int)status);
    }
    fail_msg("more than %d allocations", (int)MOST);
}

#endif
