/* Finding dialects, building one on another, and what each setting does to the text. */
#include "test_post_sample.h"

#include <dirent.h>
#include <sys/stat.h>

#include "spec/table.h"

static const char *written(const struct sw_post *post, const struct sw_path *path,
                           struct sw_ctx *ctx)
{
    const struct sw_machine machine = sample_machine();
    struct sw_post_programs out = {0};
    if (sw_post_write(&out, post, path, &machine, ctx) != SW_OK)
        fail_msg("%s", sw_test_diagnostics(ctx));
    assert_int_equal(out.n, 1);
    return out.at[0].text;
}

static void assert_holds(const char *text, const char *wanted)
{
    if (!strstr(text, wanted))
        fail_msg("\"%s\" is not in:\n%s", wanted, text);
}

static void assert_lacks(const char *text, const char *unwanted)
{
    if (strstr(text, unwanted))
        fail_msg("\"%s\" is in:\n%s", unwanted, text);
}

static size_t count(const char *text, const char *what)
{
    size_t n = 0;
    for (; (text = strstr(text, what)); text += strlen(what))
        n++;
    return n;
}

static void the_table_is_sound(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    if (sw_table_check(&sw_post_table, &ctx) != SW_OK)
        fail_msg("%s", sw_test_diagnostics(&ctx));
    sw_test_ctx_free(&ctx);
}

static void every_shipped_dialect_loads_and_has_a_golden_text(void **state)
{
    (void)state;
    DIR *folder = opendir(SW_SOURCE_DIR "/postprocessors");
    assert_non_null(folder);
    int n = 0;
    for (const struct dirent *entry; (entry = readdir(folder));) {
        const char *end = strstr(entry->d_name, ".yaml");
        if (!end)
            continue;
        struct sw_ctx ctx = sw_test_ctx();
        const char *name = sw_arena_copy(ctx.arena, entry->d_name, (size_t)(end - entry->d_name));
        const struct sw_post *post = sample_dialect(name, &ctx);
        assert_string_equal(sw_post_name(post), name);
        assert_true(sw_post_says(post)[0] != '\0');
        assert_string_equal(sw_post_suffix(post), ".nc");
        DIR *golden = opendir(SW_SOURCE_DIR "/tests/golden/post");
        assert_non_null(golden);
        bool has_golden = false;
        const char *lead = sw_arena_printf(ctx.arena, "%s.", name);
        for (const struct dirent *text; (text = readdir(golden));)
            has_golden = has_golden || strncmp(text->d_name, lead, strlen(lead)) == 0;
        closedir(golden);
        if (!has_golden)
            fail_msg("no golden text for the dialect %s", name);
        sw_test_ctx_free(&ctx);
        n++;
    }
    closedir(folder);
    assert_true(n >= 3);
}

static void every_shipped_shop_names_a_dialect_its_control_can_read(void **state)
{
    (void)state;
    static const char *const roots[] = {SW_SOURCE_DIR "/profiles", NULL};
    const struct sw_search search = {roots};
    DIR *folder = opendir(SW_SOURCE_DIR "/profiles/shops");
    assert_non_null(folder);
    int n = 0;
    for (const struct dirent *entry; (entry = readdir(folder));) {
        if (!strstr(entry->d_name, ".yaml"))
            continue;
        struct sw_ctx ctx = sw_test_ctx();
        const char *path =
            sw_arena_printf(ctx.arena, SW_SOURCE_DIR "/profiles/shops/%s", entry->d_name);
        struct sw_shop *shop = NULL;
        const struct sw_post *post = NULL;
        if (sw_shop_load(&shop, path, &search, &ctx) != SW_OK ||
            sw_post_load(&post, shop->post.value, path, &search, shop->post.at, &ctx) != SW_OK ||
            sw_post_check(post, shop->machine, &ctx) != SW_OK)
            fail_msg("%s", sw_test_diagnostics(&ctx));
        sw_test_ctx_free(&ctx);
        n++;
    }
    closedir(folder);
    assert_true(n > 0);
}

static void the_shipped_dialects_say_what_they_can(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_post *strict = sample_dialect("strict", &ctx);
    const struct sw_post *turning = sample_dialect("turning", &ctx);
    const struct sw_post *alone = sample_dialect("strict-file-per-tool", &ctx);
    assert_false(sw_post_has_surface_speed(strict));
    assert_true(sw_post_has_surface_speed(turning));
    assert_true(sw_post_has_corrections(strict));
    assert_false(sw_post_has_corrections(turning));
    assert_false(sw_post_is_file_per_tool(strict));
    assert_true(sw_post_is_file_per_tool(alone));
    assert_string_equal(sw_post_correction_name(strict, 1, &ctx), "#101");
    assert_string_equal(sw_post_correction_name(strict, 3, &ctx), "#103");
    sw_test_ctx_free(&ctx);
}

static void a_file_dropped_beside_a_job_is_a_dialect(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    mkdir("post-job", 0777);
    /* Clamp by G92, inch words of the older list, arcs by radius, numbers, every word repeated. */
    sample_file("post-job/mine.yaml",
                "format: post/1\n"
                "says: our own control\n"
                "extends: turning-parameters\n"
                "suffix: .txt\n"
                "units: G71\n"
                "arcs: radius\n"
                "sweep: 60\n"
                "repeat_words: yes\n"
                "line_numbers: {from: 100, step: 5}\n"
                "needs: [g70-g71, g94-g95, clamp-g92, spindle-words, tool-words, parameters,"
                " dwell-p-milliseconds]\n"
                "words: {rapid: G00, line: G01, arc_cw: G02, arc_ccw: G03}\n"
                "lines:\n"
                "  dwell: [\"G4 P{milliseconds}\"]\n"
                "  surface_cw: [\"G92 S{clamp}\", \"G96 S{surface} M3\"]\n");
    const struct sw_post *post = NULL;
    if (sample_load(&post, "mine", "post-job/job.yaml", &ctx) != SW_OK)
        fail_msg("%s", sw_test_diagnostics(&ctx));
    assert_string_equal(sw_post_suffix(post), ".txt");
    struct sw_machine machine = sample_turning_machine();
    machine.control.speed_clamp.value = SW_CLAMP_G92;
    machine.control.units.value = SW_UNITS_G70_G71;
    machine.control.dwell.value = SW_DWELL_P_MILLISECONDS;
    if (sw_post_check(post, &machine, &ctx) != SW_OK)
        fail_msg("%s", sw_test_diagnostics(&ctx));
    struct sw_path path = sample_path(&ctx);
    struct sw_path surface = {.stem = "surface"};
    sample_tool(&surface, &ctx, 1);
    sample_surface(&surface, &ctx, 30, 5000);
    sample_add(&surface, &ctx, SW_PATH_END);
    assert_holds(written(post, &surface, &ctx), "N115 G92 S5000\nN120 G96 S30 M3\n");
    const char *text = written(post, &path, &ctx);
    assert_holds(text, "N100 #101=0.0000\nN105 G71 G18 G40 G90 G95 G97 G61 G54\n");
    assert_holds(text, "G00 X2.4000 Z5.0000\n");
    /* 150 degrees in three arcs of radius 0.3, to the digit that keeps their middles nearest. */
    assert_int_equal(count(text, "G03 "), 3);
    assert_int_equal(count(text, " R0.3000 F0.0020\n") + count(text, " R0.2999 F0.0020\n"), 3);
    assert_lacks(text, " I");
    assert_holds(text, "G4 P300\n");
    sw_test_ctx_free(&ctx);
}

static void a_dialect_may_have_the_name_of_the_one_it_extends(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    mkdir("post-job-2", 0777);
    sample_file("post-job-2/strict.yaml", "format: post/1\n"
                                          "says: strict, with another suffix\n"
                                          "extends: strict\n"
                                          "suffix: .cut\n");
    const struct sw_post *post = NULL;
    if (sample_load(&post, "strict", "post-job-2/job.yaml", &ctx) != SW_OK)
        fail_msg("%s", sw_test_diagnostics(&ctx));
    assert_string_equal(sw_post_suffix(post), ".cut");
    sw_test_ctx_free(&ctx);
}

static void maps_are_merged_and_lists_replaced(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    sample_file("merge.yaml", "format: post/1\n"
                              "says: one line of one map\n"
                              "extends: strict\n"
                              "decimals: {z: 5}\n"
                              "lines: {tail: [\"M30\"]}\n");
    const struct sw_post *post = sample_dialect("merge", &ctx);
    struct sw_path path = sample_path(&ctx);
    const char *text = written(post, &path, &ctx);
    assert_holds(text, "G0 X1.2000 Z5.00000\n");
    assert_holds(text, "G0 X5.0000\nM30\n");
    assert_lacks(text, "M2\n");
    assert_holds(text, "S6000 M3\n");
    sw_test_ctx_free(&ctx);
}

static void a_faulty_base_is_reported_in_its_own_file(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    sample_file("base-bad.yaml", "format: post/1\n"
                                 "says: a slip\n"
                                 "extends: strict\n"
                                 "x: diametre\n");
    sample_file("on-bad.yaml", "format: post/1\n"
                               "says: on top of it\n"
                               "extends: base-bad\n");
    const struct sw_post *post = NULL;
    assert_int_equal(sample_load(&post, "on-bad", ".", &ctx), SW_INPUT);
    const struct sw_span at = sw_diag_at(ctx.diag, 0)->at;
    assert_string_equal(sw_diag_source_name(ctx.diag, at.source), "base-bad.yaml");
    assert_int_equal(at.line, 4);
    sw_test_ctx_free(&ctx);
}

static void moves_too_small_for_the_grid_add_up(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_path path = {.stem = "small"};
    sample_tool(&path, &ctx, 1);
    sample_spindle(&path, &ctx, 1000, false);
    sample_rapid(&path, &ctx, 0, 1);
    for (int i = 1; i <= 100; i++)
        sample_line(&path, &ctx, -0.00003 * i, 1, 0.01);
    sample_add(&path, &ctx, SW_PATH_END);
    const char *text = written(sample_dialect("strict", &ctx), &path, &ctx);
    /* 0.003 mm in steps of 0.0001. */
    assert_int_equal(count(text, "G1 Z"), 30);
    assert_holds(text, "G1 Z-0.0030\nM5\n");
    sw_test_ctx_free(&ctx);
}

static void comments_hold_nothing_a_control_could_trip_over(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_path path = {.stem = "words"};
    sample_tool(&path, &ctx, 1);
    sample_text(&path, &ctx, SW_PATH_COMMENT,
                "45\xC2\xB0 (\xC2\xB1 0.01)\n\xE2\x80\x94 \xE4\xB8\xAD");
    sample_text(&path, &ctx, SW_PATH_COMMENT, " m s g , not a message");
    sample_text(&path, &ctx, SW_PATH_COMMENT, "");
    sample_text(&path, &ctx, SW_PATH_COMMENT,
                "aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa"
                "bbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbb cc");
    sample_add(&path, &ctx, SW_PATH_END);
    const char *text = written(sample_dialect("strict", &ctx), &path, &ctx);
    assert_holds(text, "(45 deg [+/- 0.01] - ?)\n(- m s g , not a message)\n(aaaa");
    assert_holds(text, "bb)\n(bb");
    assert_holds(text, "bb cc)\n");
    assert_lacks(text, "()");
    for (const char *line = text; *line; line = strchr(line, '\n') + 1)
        assert_true(strcspn(line, "\n") <= 100);
    sw_test_ctx_free(&ctx);
}

static void without_comments_only_blocks_are_written(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    sample_file("mute.yaml", "format: post/1\n"
                             "says: no comments\n"
                             "extends: strict\n"
                             "comments: {open: \"\", close: \"\"}\n");
    struct sw_path path = sample_path(&ctx);
    const char *text = written(sample_dialect("mute", &ctx), &path, &ctx);
    assert_lacks(text, "(");
    assert_holds(text, "M5\nM0\nS6000 M3\n");
    sw_test_ctx_free(&ctx);
}

static void line_numbers_begin_again_after_five_digits(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    sample_file("numbered.yaml", "format: post/1\n"
                                 "says: numbers at their end\n"
                                 "extends: strict\n"
                                 "line_numbers: {from: 99990, step: 5}\n");
    struct sw_path path = sample_path(&ctx);
    const char *text = written(sample_dialect("numbered", &ctx), &path, &ctx);
    assert_holds(text, "N99990 #101=0.0000\nN99995 G21 G18 G40 G49 G90 G94 G61 G54\nN99990 G92.1");
    assert_holds(text, "\n(MSG, Measure");
    assert_lacks(text, "N(");
    assert_lacks(text, "N100000");
    sw_test_ctx_free(&ctx);
}

static void corrections_may_overlap(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    static const struct sw_path_correction corrections[] = {{"all"}, {"never used"}, {"seat"}};
    struct sw_path path = {.stem = "two", .correction = corrections, .n_corrections = 3};
    sample_tool(&path, &ctx, 1);
    sample_correct(&path, &ctx, 1, true);
    sample_rapid(&path, &ctx, 0, 1);
    sample_correct(&path, &ctx, 3, true);
    sample_rapid(&path, &ctx, 0, 1);
    sample_correct(&path, &ctx, 1, false);
    sample_rapid(&path, &ctx, 0, -1);
    sample_correct(&path, &ctx, 3, false);
    sample_rapid(&path, &ctx, 0, 1);
    sample_add(&path, &ctx, SW_PATH_END);
    const char *text = written(sample_dialect("strict", &ctx), &path, &ctx);
    assert_holds(text, "G0 X[1.0000+#101] Z0.0000\n");
    assert_holds(text, "G0 X[[1.0000+#101]+#103] Z0.0000\n");
    assert_holds(text, "G0 X[-1.0000+#103] Z0.0000\n");
    assert_holds(text, "(Correction #103 out)\nG0 X1.0000 Z0.0000\n");
    assert_lacks(text, "#102");
    sw_test_ctx_free(&ctx);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_table_is_sound),
        cmocka_unit_test(every_shipped_dialect_loads_and_has_a_golden_text),
        cmocka_unit_test(every_shipped_shop_names_a_dialect_its_control_can_read),
        cmocka_unit_test(the_shipped_dialects_say_what_they_can),
        cmocka_unit_test(a_file_dropped_beside_a_job_is_a_dialect),
        cmocka_unit_test(a_dialect_may_have_the_name_of_the_one_it_extends),
        cmocka_unit_test(maps_are_merged_and_lists_replaced),
        cmocka_unit_test(a_faulty_base_is_reported_in_its_own_file),
        cmocka_unit_test(moves_too_small_for_the_grid_add_up),
        cmocka_unit_test(comments_hold_nothing_a_control_could_trip_over),
        cmocka_unit_test(without_comments_only_blocks_are_written),
        cmocka_unit_test(line_numbers_begin_again_after_five_digits),
        cmocka_unit_test(corrections_may_overlap),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
