/* Comments behind a line: they change nothing of what is read. */
#include "support/near.h"

#include <string.h>

#include "spec/emit.h"
#include "spec/node.h"

static void a_comment_stands_behind_its_line_and_is_not_read(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_buf out = {0};
    struct sw_emit emit = {.out = &out};
    sw_emit_open(&emit, "total");
    sw_emit_number(&emit, "length", 4.55, 3);
    sw_emit_behind(&emit, "4.575 less 0.025: two\nlines, \xc2\x85 too");
    sw_emit_text(&emit, "by", "x # y");
    sw_emit_behind(&emit, "quoted");
    sw_emit_close(&emit);
    assert_false(out.failed);
    assert_string_equal(sw_buf_text(&out), "total:\n"
                                           "  length: 4.55  # 4.575 less 0.025: two lines,   too\n"
                                           "  by: \"x # y\"  # quoted\n");
    struct sw_node *root = NULL;
    assert_int_equal(sw_node_parse(&root, "t", sw_buf_text(&out), out.n, &ctx), SW_OK);
    const struct sw_node *total = sw_node_get(root, "total");
    assert_string_equal(sw_node_get(total, "length")->text, "4.55");
    assert_string_equal(sw_node_get(total, "by")->text, "x # y");
    sw_buf_done(&out);
    sw_test_ctx_free(&ctx);
}

static void nothing_goes_behind_a_line_that_is_not_whole(void **state)
{
    (void)state;
    struct sw_buf out = {0};
    struct sw_emit emit = {.out = &out};
    sw_emit_behind(&emit, "nothing there yet");
    assert_true(out.failed);
    sw_buf_done(&out);
    struct sw_emit open = {.out = &out};
    sw_emit_open(&open, "total");
    sw_emit_behind(&open, "still open");
    assert_true(out.failed);
    sw_buf_done(&out);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_comment_stands_behind_its_line_and_is_not_read),
        cmocka_unit_test(nothing_goes_behind_a_line_that_is_not_whole),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
