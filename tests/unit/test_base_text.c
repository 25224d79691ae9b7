/* Buffers, arenas and diagnostics. */
#include <stdlib.h>
#include <string.h>

#include "base/buf.h"
#include "base/diag.h"
#include "support/near.h"

/* Refuses the n-th allocation and all later ones; counts what is held. */
struct refusal {
    long left;
    long held;
};

static void *resize_or_refuse(void *user, void *block, size_t old_size, size_t new_size)
{
    struct refusal *r = user;
    if (new_size == 0) {
        r->held -= block != NULL;
        free(block);
        return NULL;
    }
    if (r->left-- <= 0)
        return NULL;
    void *more = realloc(block, new_size);
    r->held += old_size == 0 && more;
    return more;
}

static void a_buffer_grows_by_all_its_appends(void **state)
{
    (void)state;
    struct sw_buf buf = {0};
    assert_string_equal(sw_buf_text(&buf), "");
    sw_buf_add(&buf, "a");
    sw_buf_addn(&buf, "bcd", 2);
    sw_buf_printf(&buf, "%d-%s", 5, "x");
    sw_buf_fixed(&buf, -0.00004, 4);
    assert_string_equal(sw_buf_text(&buf), "abc5-x0.0000");
    assert_int_equal(buf.n, strlen(buf.at));
    for (int i = 0; i < 10000; i++)
        sw_buf_add(&buf, "0123456789");
    assert_int_equal(buf.n, 12 + 100000);
    assert_false(buf.failed);
    sw_buf_done(&buf);
    assert_null(buf.at);
    sw_buf_done(&buf); /* twice does no harm */
}

static void a_refused_number_makes_a_buffer_fail_for_good(void **state)
{
    (void)state;
    struct sw_buf buf = {0};
    sw_buf_add(&buf, "X");
    sw_buf_fixed(&buf, 2e9, 3);
    assert_true(buf.failed);
    sw_buf_add(&buf, "more");
    sw_buf_printf(&buf, "%d", 1);
    sw_buf_pad(&buf, 10);
    assert_string_equal(sw_buf_text(&buf), "X");
    assert_true(buf.failed);
    sw_buf_done(&buf);
    assert_false(buf.failed);
}

static void a_refused_allocation_makes_a_buffer_fail_for_good(void **state)
{
    (void)state;
    struct refusal r = {1, 0};
    const struct sw_mem_hook hook = {resize_or_refuse, &r};
    sw_mem_set_hook(&hook);
    struct sw_buf buf = {0};
    for (int i = 0; i < 200; i++)
        sw_buf_add(&buf, "0123456789");
    assert_true(buf.failed);
    const size_t n = buf.n;
    sw_buf_add(&buf, "1");
    assert_int_equal(buf.n, n);
    sw_buf_done(&buf);
    sw_mem_set_hook(NULL);
    assert_int_equal(r.held, 0);
}

static void padding_counts_characters_not_bytes(void **state)
{
    (void)state;
    struct sw_buf buf = {0};
    sw_buf_add(&buf, "first\n\xc3\xa9t\xc3\xa9"); /* three characters, five bytes */
    sw_buf_pad(&buf, 6);
    sw_buf_add(&buf, "|");
    sw_buf_pad(&buf, 3); /* already longer: one space */
    sw_buf_add(&buf, "|");
    assert_string_equal(sw_buf_text(&buf), "first\n\xc3\xa9t\xc3\xa9   | |");
    sw_buf_done(&buf);
}

static void arena_blocks_are_zeroed_aligned_and_apart(void **state)
{
    (void)state;
    struct sw_arena *arena = sw_arena_new();
    assert_non_null(arena);
    unsigned char *before = NULL;
    for (size_t n = 1; n < 3000; n += 7) {
        unsigned char *block = sw_arena_alloc(arena, n, 1);
        assert_non_null(block);
        assert_int_equal((uintptr_t)block % _Alignof(max_align_t), 0);
        for (size_t i = 0; i < n; i++)
            assert_int_equal(block[i], 0);
        memset(block, 0xa5, n);
        assert_true(!before || *before == 0xa5);
        before = block;
    }
    assert_non_null(sw_arena_alloc(arena, 0, 8));
    assert_null(sw_arena_alloc(arena, SIZE_MAX / 2, 4));
    assert_null(sw_arena_alloc(arena, SIZE_MAX, SIZE_MAX));
    assert_string_equal(sw_arena_printf(arena, "%s-%d", "n", 3), "n-3");
    assert_string_equal(sw_arena_copy(arena, "abcdef", 3), "abc");
    sw_arena_free(arena);
    sw_arena_free(NULL);
}

static void a_caret_stands_under_the_character_whatever_bytes_are_before_it(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const char text[] = "one\n\tl\xc3\xa4nge: \xe2\x82\xac"
                        "5\r\nthree\n";
    const uint32_t source = sw_diag_add_source(ctx.diag, "job.yaml", text, sizeof text - 1);
    sw_diag_add(ctx.diag, SW_ERROR, "x.y", (struct sw_span){source, 2, 9, 2}, "write 5", "wrong %s",
                "sum");
    sw_diag_add(ctx.diag, SW_WARNING, "x.y", (struct sw_span){source, 3, 6, 1}, NULL, "at the end");
    sw_diag_add(ctx.diag, SW_NOTE, "x.y", (struct sw_span){0}, NULL, "nowhere");
    sw_diag_add(ctx.diag, SW_ERROR, "x.y", (struct sw_span){source, 0, 0, 0}, NULL, "whole file");
    sw_diag_add(ctx.diag, SW_ERROR, "x.y", (struct sw_span){source, 99, 1, 1}, NULL, "beyond");
    assert_string_equal(sw_test_diagnostics(&ctx), "job.yaml:2:9: error: wrong sum\n"
                                                   "     l\xc3\xa4nge: \xe2\x82\xac"
                                                   "5\n"
                                                   "            ^~\n"
                                                   "    hint: write 5\n"
                                                   "job.yaml:3:6: warning: at the end\n"
                                                   "    three\n"
                                                   "         ^\n"
                                                   "staffwright: note: nowhere\n"
                                                   "job.yaml: error: whole file\n"
                                                   "job.yaml:99:1: error: beyond\n");
    assert_int_equal(sw_diag_n_errors(ctx.diag), 3);
    sw_test_ctx_free(&ctx);
}

static void only_fifty_errors_of_a_source_are_kept_and_the_rest_counted(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const uint32_t source = sw_diag_add_source(ctx.diag, "a.yaml", "x", 1);
    for (int i = 0; i < SW_DIAG_MOST + 7; i++)
        sw_diag_add(ctx.diag, SW_ERROR, "x.y", (struct sw_span){source, 0, 0, 0}, NULL, "e%d", i);
    assert_int_equal(sw_diag_n_errors(ctx.diag), SW_DIAG_MOST + 7);
    assert_int_equal(sw_diag_n(ctx.diag), SW_DIAG_MOST);
    const char *text = sw_test_diagnostics(&ctx);
    assert_non_null(strstr(text, "error: e49\n"));
    assert_null(strstr(text, "error: e50\n"));
    assert_non_null(strstr(text, "a.yaml: note: 7 more errors are not shown\n"));
    sw_test_ctx_free(&ctx);
}

static void a_sink_without_memory_says_so_and_frees_everything(void **state)
{
    (void)state;
    bool was_refused = true;
    for (long n = 0; was_refused; n++) {
        struct refusal r = {n, 0};
        const struct sw_mem_hook hook = {resize_or_refuse, &r};
        sw_mem_set_hook(&hook);
        struct sw_diag *diag = sw_diag_new();
        bool is_complete = false;
        if (diag) {
            const uint32_t source = sw_diag_add_source(diag, "a", "b", 1);
            for (int i = 0; i < 20; i++)
                sw_diag_add(diag, SW_WARNING, "x.y", (struct sw_span){source, 1, 1, 1}, "h", "m");
            is_complete = sw_diag_n(diag) == 20 && source == 1;
            assert_true(is_complete || sw_diag_failed(diag));
        }
        sw_diag_free(diag);
        sw_mem_set_hook(NULL);
        assert_int_equal(r.held, 0);
        was_refused = !is_complete;
        assert_true(n < 1000);
    }
}

static void each_status_has_a_sentence_and_the_exit_code_of_its_family(void **state)
{
    (void)state;
    /* exit codes: design of the program, common practice for 70 (EX_SOFTWARE of sysexits) */
    assert_int_equal(sw_status_exit_code(SW_OK), 0);
    assert_int_equal(sw_status_exit_code(SW_FOUND), 1);
    assert_int_equal(sw_status_exit_code(SW_USAGE), 2);
    assert_int_equal(sw_status_exit_code(SW_INPUT), 3);
    assert_int_equal(sw_status_exit_code(SW_UNREADABLE), 3);
    assert_int_equal(sw_status_exit_code(SW_CANNOT), 4);
    assert_int_equal(sw_status_exit_code(SW_MEMORY), 5);
    assert_int_equal(sw_status_exit_code(SW_READ), 5);
    assert_int_equal(sw_status_exit_code(SW_WRITE), 5);
    assert_int_equal(sw_status_exit_code(SW_INTERNAL), 70);
    assert_string_equal(sw_status_text(SW_MEMORY), "out of memory");
    assert_non_null(sw_status_text((enum sw_status)12345));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_buffer_grows_by_all_its_appends),
        cmocka_unit_test(a_refused_number_makes_a_buffer_fail_for_good),
        cmocka_unit_test(a_refused_allocation_makes_a_buffer_fail_for_good),
        cmocka_unit_test(padding_counts_characters_not_bytes),
        cmocka_unit_test(arena_blocks_are_zeroed_aligned_and_apart),
        cmocka_unit_test(a_caret_stands_under_the_character_whatever_bytes_are_before_it),
        cmocka_unit_test(only_fifty_errors_of_a_source_are_kept_and_the_rest_counted),
        cmocka_unit_test(a_sink_without_memory_says_so_and_frees_everything),
        cmocka_unit_test(each_status_has_a_sentence_and_the_exit_code_of_its_family),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
