/* Output folders: what becomes of what was there. */
#include "outdir_fixture.h"

static void a_new_folder_appears_with_its_parents_and_nothing_beside_it(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_outdir *dir = NULL;
    char deep[200], middle[200];
    snprintf(middle, sizeof middle, "%s/a", parent);
    snprintf(deep, sizeof deep, "%s/a/b/out///", parent);
    assert_int_equal(sw_outdir_begin(&dir, deep, "record.json", false, &ctx), SW_OK);
    assert_int_equal(add_new(dir), SW_OK);
    assert_string_equal(contents(deep), "");
    assert_int_equal(sw_outdir_commit(dir), SW_OK);
    assert_non_null(strstr(contents(deep), "side-1.nc=new 1;"));
    snprintf(deep, sizeof deep, "%s/a/b", parent);
    assert_string_equal(contents(deep), "out=;");
    wipe(path_of(deep, "out"));
    wipe(deep);
    wipe(middle);
    assert_int_equal(sw_diag_n(ctx.diag), 0);
    sw_test_ctx_free(&ctx);
}

static void a_folder_of_ours_is_replaced_and_a_stranger_in_it_kept(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    set_old();
    assert_int_equal(run(false, &ctx), SW_OK);
    assert_true(is_new());
    assert_true(is_alone());
    assert_int_equal(run(false, &ctx), SW_OK); /* and again over its own */
    assert_true(is_new());
    wipe(target);
    sw_test_ctx_free(&ctx);
}

static void a_link_to_a_folder_is_followed(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    char link_path[200];
    struct sw_outdir *dir = NULL;
    struct stat info;
    set_old();
    snprintf(link_path, sizeof link_path, "%s/link", parent);
    assert_int_equal(symlink("out", link_path), 0);
    assert_int_equal(sw_outdir_begin(&dir, link_path, "record.json", false, &ctx), SW_OK);
    assert_int_equal(add_new(dir), SW_OK);
    assert_int_equal(sw_outdir_commit(dir), SW_OK);
    assert_true(is_new());
    assert_int_equal(lstat(link_path, &info), 0);
    assert_true(S_ISLNK(info.st_mode));
    unlink(link_path);
    wipe(target);
    sw_test_ctx_free(&ctx);
}

static void an_aborted_run_leaves_the_old_folder_or_none(void **state)
{
    (void)state;
    set_old();
    sweep();
    assert_true(is_old());
    assert_true(is_alone());
    wipe(target);
    sweep();
    assert_string_equal(contents(parent), "");
    sw_outdir_abort(NULL);
}

static void a_stranger_is_not_overwritten_unless_forced(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    char wanted[500];
    set_old();
    put("sheet.txt", "my own notes");
    assert_int_equal(run(false, &ctx), SW_WRITE);
    snprintf(wanted, sizeof wanted,
             "staffwright: error: %s/sheet.txt was not written by an earlier run and would be "
             "replaced\n    hint: move it away, name another output folder, or use --force\n",
             target);
    assert_string_equal(sw_test_diagnostics(&ctx), wanted);
    assert_non_null(strstr(contents(target), "sheet.txt=my own notes;side-1.nc=old 1;"));
    assert_true(is_alone());
    assert_int_equal(run(true, &ctx), SW_OK);
    assert_true(is_new());
    assert_true(is_alone());
    wipe(target);
    sw_test_ctx_free(&ctx);
}

static void without_a_record_everything_in_a_folder_is_a_stranger(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    set_old();
    put("record.json", "{\"files\": 3}");
    assert_int_equal(run(false, &ctx), SW_WRITE);
    assert_int_equal(sw_diag_n_errors(ctx.diag), 2); /* side-1.nc and the record */
    unlink(path_of(target, "record.json"));
    unlink(path_of(target, "side-1.nc"));
    assert_int_equal(run(false, &ctx), SW_OK);
    assert_non_null(strstr(contents(target), "side-2.nc=old 2;"));
    wipe(target);
    sw_test_ctx_free(&ctx);
}

static void a_folder_inside_is_kept_by_replacing_files_one_by_one(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    char inner[200], wanted[300];
    set_old();
    snprintf(inner, sizeof inner, "%s/photos", target);
    assert_int_equal(mkdir(inner, 0777), 0);
    assert_int_equal(run(false, &ctx), SW_OK);
    snprintf(wanted, sizeof wanted,
             "staffwright: note: %s could not be exchanged as a whole: its files were replaced one "
             "by one\n",
             target);
    assert_string_equal(sw_test_diagnostics(&ctx), wanted);
    assert_int_equal(rmdir(inner), 0);
    assert_true(is_new());
    assert_true(is_alone());
    wipe(target);
    sw_test_ctx_free(&ctx);
}

static void what_cannot_be_an_output_folder_is_refused(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_outdir *dir = NULL;
    static const char *const bad[] = {"/", "", "/nowhere/../.."};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        assert_int_equal(sw_outdir_begin(&dir, bad[i], "record.json", false, &ctx), SW_WRITE);
        assert_null(dir);
    }
    FILE *file = fopen(target, "w");
    assert_non_null(file);
    fclose(file);
    assert_int_equal(run(false, &ctx), SW_WRITE);
    char below[200];
    snprintf(below, sizeof below, "%s/x", target);
    assert_int_equal(sw_outdir_begin(&dir, below, "record.json", false, &ctx), SW_WRITE);
    assert_int_equal(sw_diag_n_errors(ctx.diag), 5);
    unlink(target);
    assert_string_equal(contents(parent), "");
    sw_test_ctx_free(&ctx);
}

static void a_second_run_on_one_target_has_to_wait(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_outdir *first = NULL, *second = NULL;
    char wanted[300];
    assert_int_equal(sw_outdir_begin(&first, target, "record.json", false, &ctx), SW_OK);
    assert_int_equal(sw_outdir_begin(&second, target, "record.json", false, &ctx), SW_WRITE);
    assert_null(second);
    snprintf(wanted, sizeof wanted,
             "staffwright: error: another run is writing to %s\n"
             "    hint: wait for it, or name another output folder\n",
             target);
    assert_string_equal(sw_test_diagnostics(&ctx), wanted);
    assert_int_equal(add_new(first), SW_OK); /* the second did not sweep the first away */
    assert_int_equal(sw_outdir_commit(first), SW_OK);
    assert_int_equal(sw_outdir_begin(&second, target, "record.json", false, &ctx), SW_OK);
    sw_outdir_abort(second);
    wipe(target);
    assert_string_equal(contents(parent), "");
    sw_test_ctx_free(&ctx);
}

static void what_a_killed_run_left_is_cleared_without_a_new_one(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_outdir *dir = NULL;
    assert_int_equal(sw_outdir_clear(target, "record.json", &ctx), SW_OK); /* nothing there */
    assert_string_equal(contents(parent), "");
    set_old();
    const pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        if (sw_outdir_begin(&dir, target, "record.json", false, &ctx) == SW_OK)
            (void)!add_new(dir);
        _exit(0);
    }
    assert_int_equal(waitpid(child, NULL, 0), child);
    assert_false(is_alone());
    assert_int_equal(sw_outdir_clear(target, "record.json", &ctx), SW_OK);
    assert_true(is_old());
    assert_true(is_alone());

    assert_int_equal(sw_outdir_begin(&dir, target, "record.json", false, &ctx), SW_OK);
    assert_int_equal(sw_outdir_clear(target, "record.json", &ctx), SW_OK); /* another is at it */
    assert_int_equal(add_new(dir), SW_OK);
    assert_int_equal(sw_outdir_commit(dir), SW_OK);
    assert_true(is_alone());
    assert_string_equal(sw_test_diagnostics(&ctx), "");
    wipe(target);
    sw_test_ctx_free(&ctx);
}

static void names_with_a_slash_and_names_given_twice_are_refused(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_outdir *dir = NULL;
    static const char *const bad[] = {"", ".", "..", "a/b", "/etc/x", "good"};
    assert_int_equal(sw_outdir_begin(&dir, target, "record.json", false, &ctx), SW_OK);
    assert_int_equal(sw_outdir_add(dir, "good", "", 0), SW_OK);
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        assert_int_equal(sw_outdir_add(dir, bad[i], "x", 1), SW_INTERNAL);
    struct sw_buf buf = {0};
    sw_buf_fixed(&buf, 1e30, 1);
    assert_int_equal(sw_outdir_add_buf(dir, "b", &buf), SW_INTERNAL);
    sw_buf_done(&buf);
    sw_outdir_abort(dir);
    assert_string_equal(contents(parent), "");
    sw_test_ctx_free(&ctx);
}

static void a_record_that_does_not_list_every_file_is_refused(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_outdir *dir = NULL;
    set_old();
    assert_int_equal(sw_outdir_begin(&dir, target, "record.json", false, &ctx), SW_OK);
    assert_int_equal(add_new(dir), SW_OK);
    assert_int_equal(sw_outdir_add(dir, "extra.txt", "x", 1), SW_OK);
    assert_int_equal(sw_outdir_commit(dir), SW_INTERNAL);
    assert_int_equal(sw_outdir_begin(&dir, target, "record.json", false, &ctx), SW_OK);
    assert_int_equal(sw_outdir_add(dir, "side-1.nc", "x", 1), SW_OK);
    assert_int_equal(sw_outdir_commit(dir), SW_INTERNAL); /* no record at all */
    assert_true(is_old());
    assert_true(is_alone());
    wipe(target);
    sw_test_ctx_free(&ctx);
}

static void assert_listed(const char *record, const char *wanted)
{
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_names names = {0};
    bool out_of_memory = false;
    char got[200] = "";
    if (!sw_record_scan(&names, &out_of_memory, record, strlen(record), ctx.arena))
        snprintf(got, sizeof got, "none");
    else
        for (size_t i = 0; i < names.n; i++)
            snprintf(got + strlen(got), sizeof got - strlen(got), "%s;", names.at[i]);
    assert_false(out_of_memory);
    assert_string_equal(got, wanted);
    sw_test_ctx_free(&ctx);
}

static void a_record_lists_what_stands_in_its_files_array_at_the_top(void **state)
{
    (void)state;
    assert_listed("{\"files\":[]}", "");
    assert_listed("{\"files\":[\"a\"]}", "a;");
    assert_listed("{ \"files\" : [ \"a.nc\" ,\n \"b c\" ] }", "a.nc;b c;");
    assert_listed("{\"x\": {\"files\": [\"no\"]}, \"files\": [\"yes\"]}", "yes;");
    assert_listed("{\"x\": \"\\\"files\\\": [\\\"no\\\"]\", \"files\": [\"yes\"]}", "yes;");
    assert_listed("{\"x\": \"files\", \"files\": [\"yes\"]}", "yes;");
    assert_listed("{}", "none");
    assert_listed("", "none");
    assert_listed("{\"files\": [\"a\"", "none");
    assert_listed("{\"files\": [\"a\", 3]}", "none");
    assert_listed("{\"files\": [\"a\", ]}", "none");
    assert_listed("{\"files\": [\"a/../b\"]}", "none");
    assert_listed("{\"files\": [\"..\"]}", "none");
    assert_listed("{\"files\": [\"a\\u002f\"]}", "none");
    assert_listed("{\"files\": \"a\"}", "none");
    assert_listed("{\"files\": [\"a", "none");
    assert_listed("{\"files\": [\"a\\", "none");
}

static void a_signal_removes_what_is_being_built(void **state)
{
    (void)state;
    set_old();
    const pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        struct sw_ctx ctx = sw_test_ctx();
        struct sw_outdir *dir = NULL;
        if (sw_outdir_begin(&dir, target, "record.json", false, &ctx) != SW_OK ||
            add_new(dir) != SW_OK)
            _exit(1);
        sw_outdir_abort_all_from_signal();
        sw_outdir_abort_all_from_signal();
        _exit(0);
    }
    int ended = -1;
    assert_int_equal(waitpid(child, &ended, 0), child);
    assert_int_equal(ended, 0);
    assert_true(is_old());
    assert_string_equal(contents(parent), ".out.sw-lock=;out=;");
    sweep();
    assert_true(is_alone());
    wipe(target);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_new_folder_appears_with_its_parents_and_nothing_beside_it),
        cmocka_unit_test(a_folder_of_ours_is_replaced_and_a_stranger_in_it_kept),
        cmocka_unit_test(a_link_to_a_folder_is_followed),
        cmocka_unit_test(an_aborted_run_leaves_the_old_folder_or_none),
        cmocka_unit_test(a_stranger_is_not_overwritten_unless_forced),
        cmocka_unit_test(without_a_record_everything_in_a_folder_is_a_stranger),
        cmocka_unit_test(a_folder_inside_is_kept_by_replacing_files_one_by_one),
        cmocka_unit_test(what_cannot_be_an_output_folder_is_refused),
        cmocka_unit_test(a_second_run_on_one_target_has_to_wait),
        cmocka_unit_test(what_a_killed_run_left_is_cleared_without_a_new_one),
        cmocka_unit_test(names_with_a_slash_and_names_given_twice_are_refused),
        cmocka_unit_test(a_record_that_does_not_list_every_file_is_refused),
        cmocka_unit_test(a_record_lists_what_stands_in_its_files_array_at_the_top),
        cmocka_unit_test(a_signal_removes_what_is_being_built),
    };
    return cmocka_run_group_tests(tests, make_parent, remove_parent);
}
