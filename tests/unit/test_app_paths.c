/* Paths as seen from elsewhere, profile parts, hashes. */
#include <string.h>
#include <unistd.h>

#include "app/app.h"
#include "app/paths.h"
#include "support/near.h"

static void paths_are_seen_from_another_folder(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    static const char *const row[][3] = {
        /* path, folder, wanted */
        {"/a/b/c.yaml", "/a/b", "c.yaml"},
        {"/a/b/c.yaml", "/a/b/out", "../c.yaml"},
        {"/a/b/c.yaml", "/a/bx/out", "../../b/c.yaml"},
        {"/a/b/c.yaml", "/a/b/c.yaml", "."},
        {"/a", "/", "a"},
        {"/", "/a/b", "../.."},
        {"/a/./b//c/../d", "/a", "b/d"},
        {"x.yaml", ".", "x.yaml"},
        {"./x/../y.yaml", "build/demo/z/", "../../../y.yaml"},
        {"/../../a", "/", "a"},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        const char *seen = NULL;
        assert_int_equal(sw_app_relative(&seen, row[i][0], row[i][1], &ctx), SW_OK);
        assert_string_equal(seen, row[i][2]);
    }
    sw_test_ctx_free(&ctx);
}

static void files_of_the_profiles_are_named_without_their_place(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const char *const roots[] = {"/usr/share/sw/profiles", NULL};
    const struct sw_search search = {roots};
    const char *part = NULL;
    assert_int_equal(
        sw_app_profile_part(&part, "/usr/share/sw/profiles/tools/x.yaml", &search, &ctx), SW_OK);
    assert_string_equal(part, "profiles/tools/x.yaml");
    assert_int_equal(sw_app_profile_part(&part, "/usr/share/sw/profiles/../postprocessors/y.yaml",
                                         &search, &ctx),
                     SW_OK);
    assert_string_equal(part, "postprocessors/y.yaml");
    assert_int_equal(sw_app_profile_part(&part, "/usr/share/sw/other/z.yaml", &search, &ctx),
                     SW_OK);
    assert_null(part);
    sw_test_ctx_free(&ctx);
}

static void a_given_profiles_folder_comes_first_and_once(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_search search = {NULL};
    assert_int_equal(sw_app_find_roots(&search, SW_SOURCE_DIR "/profiles", SW_SOURCE_DIR, &ctx),
                     SW_OK);
    assert_string_equal(search.roots[0], SW_SOURCE_DIR "/profiles");
    for (size_t i = 1; search.roots[i]; i++)
        assert_string_not_equal(search.roots[i], search.roots[0]);
    assert_int_equal(sw_app_find_roots(&search, SW_SOURCE_DIR "/nowhere", SW_SOURCE_DIR, &ctx),
                     SW_UNREADABLE);
    sw_test_ctx_free(&ctx);
}

/* FIPS 180-4 gives the algorithm; the value for "abc" is the example NIST publishes with it. */
static void sha_256_is_the_published_one(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const char *digits = NULL;
    assert_int_equal(sw_app_sha256(&digits, "abc", 3, &ctx), SW_OK);
    assert_string_equal(digits, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    sw_test_ctx_free(&ctx);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(paths_are_seen_from_another_folder),
        cmocka_unit_test(files_of_the_profiles_are_named_without_their_place),
        cmocka_unit_test(a_given_profiles_folder_comes_first_and_once),
        cmocka_unit_test(sha_256_is_the_published_one),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
