/* The digest in a program's head: what it is of, and what an edit does to it. The wanted digests
 * are those of grep and sha256sum (tests/cli/jobs.py holds every sample against both). */
#include <string.h>

#include "app/app.h"
#include "support/near.h"

/* printf 'M5\nM2\n' | sha256sum */
#define DIGEST "e6ca78363e2f6fe8f12c9bd21867690abb9558ae0dbe24ff1bbaa0ab969daa91"

static bool differs(const char *text)
{
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_app_text it = {"x.nc", text, strlen(text)};
    bool out = true;
    assert_int_equal(sw_app_digest_differs(&out, &it, &ctx), SW_OK);
    sw_test_ctx_free(&ctx);
    return out;
}

static void a_text_without_digest_is_nobodys(void **state)
{
    (void)state;
    assert_false(differs(""));
    assert_false(differs("M2"));
    assert_false(differs("(sha256 of nothing)\nM2\n"));
    assert_false(differs("(sha256 0123)\nM2\n"));
}

static void a_digest_is_of_all_but_its_own_line_wherever_that_stands(void **state)
{
    (void)state;
    assert_false(differs("(sha256 " DIGEST ")\nM5\nM2\n"));
    assert_false(differs("M5\n;sha256 " DIGEST "\nM2\n"));
    assert_false(differs("M5\nM2\n(sha256 " DIGEST ")"));
}

static void every_edit_is_noticed(void **state)
{
    (void)state;
    assert_true(differs("(sha256 " DIGEST ")\nM5\nM2"));
    assert_true(differs("(sha256 " DIGEST ")\nM5\nM3\n"));
    assert_true(differs("(sha256 " DIGEST ")\nM5\n\nM2\n"));
    /* A block behind the bracket makes it a line as any other. */
    assert_true(differs("(sha256 " DIGEST ") G0 X0\nM5\nM2\n(sha256 " DIGEST ")\n"));
    assert_true(differs("(sha256 " DIGEST ")\n(sha256 " DIGEST ")\nM5\nM2\n"));
    assert_true(differs("(sha256 " DIGEST ")\r\nM5\r\nM2\r\n"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_digest_is_of_all_but_its_own_line_wherever_that_stands),
        cmocka_unit_test(every_edit_is_noticed),
        cmocka_unit_test(a_text_without_digest_is_nobodys),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
