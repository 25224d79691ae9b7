/* From a survey to a file: whole or not at all. */
#include "test_part_fixture.h"

#include <sys/stat.h>
#include <unistd.h>

#include "app/app.h"
#include "base/file.h"

static const char survey[] = SW_SOURCE_DIR "/samples/fenmoor-43/survey.yaml";
static const char contradictory[] = SW_SOURCE_DIR "/samples/surveys/contradictory.yaml";
static const char incomplete[] = SW_SOURCE_DIR "/samples/surveys/incomplete.yaml";

static void a_name_in_the_folder(char path[64])
{
    snprintf(path, 64, "/tmp/staffwright-size-%ld.yaml", (long)getpid());
    unlink(path);
}

static void a_sized_staff_is_written_loads_and_fits(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    char path[64];
    a_name_in_the_folder(path);
    struct sw_app_size size;
    struct sw_buf text = {0};
    assert_int_equal(sw_app_size(&size, &text, survey, path, &ctx), SW_OK);
    assert_int_equal(text.n, 0);
    assert_string_equal(size.written, path);
    struct sw_staff *staff = NULL;
    assert_int_equal(sw_staff_load(&staff, path, &ctx), SW_OK);
    assert_non_null(staff->parts);
    struct sw_fit *again = NULL;
    assert_int_equal(sw_fit_check(&again, staff, &ctx), SW_OK);
    assert_near(again->chance_all, size.fit->chance_all, 0);
    unlink(path);
    sw_test_ctx_free(&ctx);
}

static void the_screen_gets_the_same_bytes_as_the_file(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    char path[64];
    a_name_in_the_folder(path);
    struct sw_app_size size;
    struct sw_buf text = {0};
    assert_int_equal(sw_app_size(&size, &text, survey, path, &ctx), SW_OK);
    assert_int_equal(sw_app_size(&size, &text, survey, "-", &ctx), SW_OK);
    const char *file = NULL;
    size_t n = 0;
    assert_int_equal(sw_file_read(&file, &n, path, SW_FILE_MOST_INPUT, &ctx), SW_OK);
    assert_int_equal(n, text.n);
    assert_memory_equal(file, sw_buf_text(&text), n);
    sw_buf_done(&text);
    unlink(path);
    sw_test_ctx_free(&ctx);
}

static void nothing_is_written_for_contradictory_or_missing_readings(void **state)
{
    (void)state;
    const char *const from[] = {contradictory, incomplete};
    for (size_t i = 0; i < 2; i++) {
        struct sw_ctx ctx = sw_test_ctx();
        char path[64];
        struct stat info;
        a_name_in_the_folder(path);
        struct sw_app_size size;
        struct sw_buf text = {0};
        assert_int_equal(sw_app_size(&size, &text, from[i], path, &ctx), SW_FOUND);
        assert_non_null(size.sizing);
        assert_null(size.written);
        assert_int_not_equal(stat(path, &info), 0);
        sw_test_ctx_free(&ctx);
    }
}

static enum sw_status size_once(struct sw_ctx *ctx)
{
    struct sw_app_size size;
    struct sw_buf text = {0};
    const enum sw_status status = sw_app_size(&size, &text, survey, "-", ctx);
    const bool failed = text.failed || sw_diag_failed(ctx->diag);
    sw_buf_done(&text);
    return failed ? SW_MEMORY : status;
}

static void sizing_a_file_survives_every_failed_allocation(void **state)
{
    (void)state;
    assert_survives_failures(size_once);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_sized_staff_is_written_loads_and_fits),
        cmocka_unit_test(the_screen_gets_the_same_bytes_as_the_file),
        cmocka_unit_test(nothing_is_written_for_contradictory_or_missing_readings),
        cmocka_unit_test(sizing_a_file_survives_every_failed_allocation),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
