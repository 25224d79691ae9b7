/* Whole programs, compared with committed texts. A failing case leaves what it got beside the test
 * program as NAME.got; read the difference, then copy it over the committed file by hand. */
#include "test_post_sample.h"

#include "base/file.h"

static void compare(const char *dialect, const struct sw_post_program *program, struct sw_ctx *ctx)
{
    const char *path = sw_arena_printf(ctx->arena, SW_SOURCE_DIR "/tests/golden/post/%s.%s",
                                       dialect, program->file);
    const char *wanted = "";
    size_t size = 0;
    assert_non_null(path);
    const enum sw_status status = sw_file_read(&wanted, &size, path, SW_FILE_MOST_INPUT, ctx);
    if (status == SW_OK && size == program->size && memcmp(wanted, program->text, size) == 0)
        return;
    const char *got = sw_arena_printf(ctx->arena, "%s.%s.got", dialect, program->file);
    sample_file(got, program->text);
    fail_msg("%s differs from what is written; see %s", path, got);
}

static void write_and_compare(const char *dialect, const struct sw_machine *machine,
                              const struct sw_path *path, size_t n_files, struct sw_ctx *ctx)
{
    const struct sw_post *post = sample_dialect(dialect, ctx);
    if (sw_post_check(post, machine, ctx) != SW_OK)
        fail_msg("%s", sw_test_diagnostics(ctx));
    struct sw_post_programs first = {0}, second = {0};
    if (sw_post_write(&first, post, path, machine, ctx) != SW_OK)
        fail_msg("%s", sw_test_diagnostics(ctx));
    assert_int_equal(sw_post_write(&second, post, path, machine, ctx), SW_OK);
    assert_int_equal(first.n, n_files);
    assert_int_equal(second.n, n_files);
    for (size_t i = 0; i < n_files; i++) {
        assert_string_equal(first.at[i].file, second.at[i].file);
        assert_string_equal(first.at[i].text, second.at[i].text);
        assert_int_equal(strlen(first.at[i].text), first.at[i].size);
        assert_null(strstr(first.at[i].text, "-0.0000"));
        compare(dialect, &first.at[i], ctx);
    }
}

static void strict_writes_one_program_with_a_system_a_tool(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_machine machine = sample_machine();
    const struct sw_path path = sample_path(&ctx);
    write_and_compare("strict", &machine, &path, 1, &ctx);
    sw_test_ctx_free(&ctx);
}

static void file_per_tool_splits_before_the_lines_that_announce_the_tool(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_machine machine = sample_machine();
    machine.control.tool_offsets.value = SW_OFFSET_NONE;
    machine.control.tool_words.value = 0;
    const struct sw_path path = sample_path(&ctx);
    write_and_compare("strict-file-per-tool", &machine, &path, 2, &ctx);
    sw_test_ctx_free(&ctx);
}

static void motion_only_stops_where_hands_are_wanted(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_machine machine = sample_machine();
    machine.control.tool_offsets.value = SW_OFFSET_NONE;
    machine.control.tool_words.value = machine.control.spindle_words.value = 0;
    const struct sw_path path = sample_path(&ctx);
    write_and_compare("motion-only", &machine, &path, 2, &ctx);
    sw_test_ctx_free(&ctx);
}

static void turning_writes_diameters_and_feeds_per_turn(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_machine machine = sample_turning_machine();
    machine.control.parameters.value = 0;
    machine.control.line_length.value = 80;
    const struct sw_path path = sample_plain_path(&ctx);
    write_and_compare("turning", &machine, &path, 1, &ctx);
    sw_test_ctx_free(&ctx);
}

static void a_second_spindle_takes_before_the_cut_and_leaves_after_it(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_machine machine = sample_turning_machine();
    machine.control.parameters.value = 0;
    machine.control.line_length.value = 80;
    machine.control.second_takes = (struct sw_number){.value = 10, .given = true};
    machine.control.second_leaves = (struct sw_number){.value = 11, .given = true};
    struct sw_path path = {.stem = "second"};
    sample_text(&path, &ctx, SW_PATH_SECTION, "part through");
    sample_tool(&path, &ctx, 3);
    sample_spindle(&path, &ctx, 3000, false);
    sample_rapid(&path, &ctx, -5, 2);
    sample_add(&path, &ctx, SW_PATH_SECOND)->is_on = true;
    sample_line(&path, &ctx, -5, -0.02, 0.004);
    sample_rapid(&path, &ctx, -5, 2);
    sample_add(&path, &ctx, SW_PATH_SECOND);
    sample_add(&path, &ctx, SW_PATH_STOP);
    sample_add(&path, &ctx, SW_PATH_END);
    write_and_compare("turning-two-spindles", &machine, &path, 1, &ctx);
    sw_test_ctx_free(&ctx);
}

static void turning_corrects_diameters_by_twice_the_number_on_radius(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_machine machine = sample_turning_machine();
    const struct sw_path path = sample_path(&ctx);
    write_and_compare("turning-parameters", &machine, &path, 1, &ctx);
    sw_test_ctx_free(&ctx);
}

static void turning_clamps_a_surface_speed(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_machine machine = sample_turning_machine();
    struct sw_path path = {.stem = "surface"};
    sample_text(&path, &ctx, SW_PATH_SECTION, "Face");
    sample_tool(&path, &ctx, 3);
    sample_surface(&path, &ctx, 30, 5000);
    sample_rapid(&path, &ctx, 0, 2);
    sample_line(&path, &ctx, 0, -0.02, 0.01);
    sample_rapid(&path, &ctx, 1, 2);
    sample_add(&path, &ctx, SW_PATH_STOP);
    sample_add(&path, &ctx, SW_PATH_END);
    write_and_compare("turning", &machine, &path, 1, &ctx);
    sw_test_ctx_free(&ctx);
}

static void numbered_blocks_stand_between_percent_signs(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_machine machine = sample_turning_machine();
    machine.control.parameters.value = 0;
    machine.control.line_length.value = 80;
    machine.control.units.value = SW_UNITS_G70_G71;
    machine.control.speed_clamp.value = SW_CLAMP_G92;
    machine.control.dwell.value = SW_DWELL_X_SECONDS;
    machine.control.tool_call.value = SW_CALL_THEN_D;
    const struct sw_path path = sample_plain_path(&ctx);
    write_and_compare("iso-blocks", &machine, &path, 1, &ctx);
    sw_test_ctx_free(&ctx);
}

static void one_word_calls_a_tool_with_its_offset(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_machine machine = sample_turning_machine();
    machine.control.feed_words.value = SW_FEED_G98_G99;
    machine.control.dwell.value = SW_DWELL_U_SECONDS;
    machine.control.tool_call.value = SW_CALL_WITH_OFFSET;
    const struct sw_path path = sample_plain_path(&ctx);
    write_and_compare("turning-one-word", &machine, &path, 1, &ctx);
    sw_test_ctx_free(&ctx);
}

static void the_minimum_has_neither_comments_nor_parameters(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_machine machine = sample_machine();
    machine.control.comments.value = machine.control.parameters.value = 0;
    const struct sw_path path = sample_plain_path(&ctx);
    write_and_compare("minimum", &machine, &path, 1, &ctx);
    sw_test_ctx_free(&ctx);
}

static void chords_stand_for_arcs(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_machine machine = sample_machine();
    machine.control.arcs.value = 0;
    const struct sw_path path = sample_path(&ctx);
    write_and_compare("chords", &machine, &path, 1, &ctx);
    sw_test_ctx_free(&ctx);
}

static void a_tool_that_comes_back_gets_another_file(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_machine machine = sample_machine();
    struct sw_path path = {.stem = "side-2"};
    for (int i = 0; i < 5; i++) {
        static const int stations[5] = {1, 2, 2, 1, 1};
        sample_tool(&path, &ctx, stations[i]);
        sample_spindle(&path, &ctx, 1000, false);
        sample_rapid(&path, &ctx, i, 2);
        sample_add(&path, &ctx, SW_PATH_STOP);
    }
    sample_add(&path, &ctx, SW_PATH_END);
    struct sw_post_programs out = {0};
    const struct sw_post *post = sample_dialect("strict-file-per-tool", &ctx);
    assert_int_equal(sw_post_write(&out, post, &path, &machine, &ctx), SW_OK);
    assert_int_equal(out.n, 3);
    assert_string_equal(out.at[0].file, "side-2-t1.nc");
    assert_string_equal(out.at[1].file, "side-2-t2.nc");
    assert_string_equal(out.at[2].file, "side-2-t1-2.nc");
    sw_test_ctx_free(&ctx);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(strict_writes_one_program_with_a_system_a_tool),
        cmocka_unit_test(file_per_tool_splits_before_the_lines_that_announce_the_tool),
        cmocka_unit_test(motion_only_stops_where_hands_are_wanted),
        cmocka_unit_test(turning_writes_diameters_and_feeds_per_turn),
        cmocka_unit_test(a_second_spindle_takes_before_the_cut_and_leaves_after_it),
        cmocka_unit_test(turning_corrects_diameters_by_twice_the_number_on_radius),
        cmocka_unit_test(turning_clamps_a_surface_speed),
        cmocka_unit_test(numbered_blocks_stand_between_percent_signs),
        cmocka_unit_test(one_word_calls_a_tool_with_its_offset),
        cmocka_unit_test(the_minimum_has_neither_comments_nor_parameters),
        cmocka_unit_test(chords_stand_for_arcs),
        cmocka_unit_test(a_tool_that_comes_back_gets_another_file),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
