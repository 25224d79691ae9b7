/* What post refuses, and in which words. Each case writes the whole diagnostic down. */
#include "test_post_sample.h"

static void assert_diagnostics(struct sw_ctx *ctx, const char *wanted)
{
    assert_string_equal(sw_test_diagnostics(ctx), wanted);
}

/* A dialect on top of another, written into the current folder. */
static const struct sw_post *dialect_of(const char *file, const char *text, struct sw_ctx *ctx)
{
    sample_file(file, text);
    return sample_dialect(file, ctx);
}

static void load_and_expect(const char *file, const char *text, const char *wanted)
{
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_post *post = NULL;
    sample_file(file, text);
    assert_int_equal(sample_load(&post, file, ".", &ctx), SW_INPUT);
    assert_diagnostics(&ctx, wanted);
    assert_null(post);
    sw_test_ctx_free(&ctx);
}

/* Write a path in a dialect and expect one diagnostic (the first line of it) and no program. */
static void write_and_expect(const struct sw_post *post, const struct sw_path *path,
                             enum sw_status status, const char *message, struct sw_ctx *ctx)
{
    const struct sw_machine machine = sample_machine();
    struct sw_post_programs out = {0};
    assert_int_equal(sw_post_write(&out, post, path, &machine, ctx), status);
    assert_int_equal(out.n, 0);
    assert_int_equal(sw_diag_n(ctx->diag), 1);
    assert_string_equal(sw_diag_at(ctx->diag, 0)->message, message);
}

static struct sw_path begun(struct sw_ctx *ctx)
{
    struct sw_path path = {.stem = "side-1"};
    sample_text(&path, ctx, SW_PATH_SECTION, "Turn the cone");
    sample_tool(&path, ctx, 1);
    sample_spindle(&path, ctx, 3000, false);
    sample_rapid(&path, ctx, 0, 1);
    return path;
}

static void end(struct sw_path *path, struct sw_ctx *ctx)
{
    sample_add(path, ctx, SW_PATH_END);
}

static void a_surface_speed_is_refused_where_only_turns_are_known(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_path path = begun(&ctx);
    sample_surface(&path, &ctx, 30, 5000);
    end(&path, &ctx);
    const struct sw_post *post = sample_dialect("strict", &ctx);
    const struct sw_machine machine = sample_machine();
    struct sw_post_programs out = {0};
    assert_int_equal(sw_post_write(&out, post, &path, &machine, &ctx), SW_CANNOT);
    assert_int_equal(out.n, 0);
    assert_diagnostics(
        &ctx, SW_SOURCE_DIR
        "/postprocessors/strict.yaml:11:16: error: a surface speed is asked for, and the dialect "
        "strict knows rev/min only, in: Turn the cone\n"
        "    surface_speed: no\n"
        "                   ^~\n"
        "    hint: use constant speeds, or a dialect with surface_speed: yes\n");
    sw_test_ctx_free(&ctx);
}

static void an_arc_is_refused_where_none_are_known(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_path path = begun(&ctx);
    sample_arc(&path, &ctx, -0.5, 1, 90, 0.01);
    end(&path, &ctx);
    const struct sw_post *post = dialect_of("no-arcs.yaml",
                                            "format: post/1\n"
                                            "says: lines only\n"
                                            "extends: strict\n"
                                            "arcs: none\n",
                                            &ctx);
    const struct sw_machine machine = sample_machine();
    struct sw_post_programs out = {0};
    assert_int_equal(sw_post_write(&out, post, &path, &machine, &ctx), SW_CANNOT);
    assert_diagnostics(&ctx,
                       "no-arcs.yaml:4:7: error: an arc is asked for, and the dialect no-arcs "
                       "knows none, in: Turn the cone\n"
                       "    arcs: none\n"
                       "          ^~~~\n"
                       "    hint: use a dialect with arcs, or one that states a chord_error\n");
    sw_test_ctx_free(&ctx);
}

static void an_arc_that_rounding_would_spoil_is_refused(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_path path = begun(&ctx);
    sample_rapid(&path, &ctx, 0.1234, 0.7777);
    sample_arc(&path, &ctx, 0, 0.7, 60, 0.01);
    end(&path, &ctx);
    const struct sw_post *post = dialect_of("coarse.yaml",
                                            "format: post/1\n"
                                            "says: two decimals\n"
                                            "extends: strict\n"
                                            "decimals: {x: 2, z: 2, centre: 2}\n",
                                            &ctx);
    write_and_expect(post, &path, SW_CANNOT,
                     "an arc of radius 0.1458 mm to X 0.8457 Z -0.0056 (radius) cannot be written "
                     "in the dialect coarse to 0.2 um, in: Turn the cone",
                     &ctx);
    sw_test_ctx_free(&ctx);
}

static void a_feed_that_rounds_to_nothing_is_refused(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_path path = begun(&ctx);
    sample_line(&path, &ctx, -1, 1, 0.00001);
    end(&path, &ctx);
    write_and_expect(sample_dialect("strict", &ctx), &path, SW_CANNOT,
                     "a feed of 0.03 mm/min rounds to nothing in the dialect strict, in: Turn the "
                     "cone",
                     &ctx);
    sw_test_ctx_free(&ctx);
}

static void a_correction_is_refused_where_there_are_none(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    static const struct sw_path_correction corrections[] = {{"upper pivot"}};
    struct sw_path path = begun(&ctx);
    path.correction = corrections;
    path.n_corrections = 1;
    sample_correct(&path, &ctx, 1, true);
    sample_correct(&path, &ctx, 1, false);
    end(&path, &ctx);
    const struct sw_post *post = dialect_of("by-offset.yaml",
                                            "format: post/1\n"
                                            "says: corrections by the tool's offset\n"
                                            "extends: strict\n"
                                            "corrections: {called: \"\"}\n",
                                            &ctx);
    assert_false(sw_post_has_corrections(post));
    assert_null(sw_post_correction_name(post, 1, &ctx));
    write_and_expect(post, &path, SW_CANNOT,
                     "a correction is asked for, and the dialect by-offset has none, in: Turn the "
                     "cone",
                     &ctx);
    sw_test_ctx_free(&ctx);
}

static void a_second_spindle_is_refused_without_a_word_for_it(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_post *post = sample_dialect("strict", &ctx);
    struct sw_path path = {.stem = "second"};
    sample_tool(&path, &ctx, 1);
    sample_add(&path, &ctx, SW_PATH_SECOND)->is_on = true;
    end(&path, &ctx);
    write_and_expect(
        post, &path, SW_CANNOT,
        "a second spindle is to take the piece, and the dialect strict has no word for "
        "it",
        &ctx);
    sw_test_ctx_free(&ctx);
    load_and_expect("half.yaml",
                    "format: post/1\nsays: half\nextends: strict\nneeds: [parameters]\n"
                    "lines: {second_takes: [M10]}\n",
                    "half.yaml:5:23: error: a second spindle needs the lines second_takes and "
                    "second_leaves\n"
                    "    lines: {second_takes: [M10]}\n"
                    "                          ^\n"
                    "half.yaml:5:23: error: the dialect moves a second spindle and does not say "
                    "that it needs one\n"
                    "    lines: {second_takes: [M10]}\n"
                    "                          ^\n"
                    "    hint: add second-spindle to `needs`\n");
}

static void a_station_beyond_the_systems_is_refused(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_post *post = sample_dialect("strict", &ctx);
    int system = 0;
    assert_int_equal(sw_post_system_of(&system, post, 9, &ctx), SW_OK);
    assert_int_equal(system, 9);
    assert_int_equal(sw_post_system_of(&system, post, 10, &ctx), SW_CANNOT);
    assert_string_equal(sw_diag_at(ctx.diag, 0)->message,
                        "the dialect strict has 9 coordinate systems, none for station 10");
    assert_int_equal(sw_post_system_of(&system, sample_dialect("turning", &ctx), 10, &ctx), SW_OK);
    assert_int_equal(system, 0);
    sw_test_ctx_free(&ctx);
}

static void a_line_that_is_too_long_is_refused(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_path path = begun(&ctx);
    end(&path, &ctx);
    const struct sw_post *post =
        dialect_of("long.yaml",
                   "format: post/1\n"
                   "says: a head that is too long\n"
                   "extends: strict\n"
                   "line_length: 40\n"
                   "lines: {head: [\"{units} G18 G40 G49 G90 G94 G61 {system} M9 M5 M48\"]}\n",
                   &ctx);
    write_and_expect(post, &path, SW_CANNOT,
                     "a line of 41 characters is longer than the 40 of the dialect long: G21 G18 "
                     "G40 G49 G90 G94 G61 G54 M9 M5 M48",
                     &ctx);
    sw_test_ctx_free(&ctx);
}

static void a_path_that_breaks_its_rules_is_an_internal_error(void **state)
{
    (void)state;
    enum { N = 9 };
    static const char *const messages[N] = {
        "the path goes to no position, in: Turn the cone",
        "the path asks for a feed that is no feed, in: Turn the cone",
        "the path pauses while the spindle turns, in: Turn the cone",
        "the path changes tools while the spindle turns, in: Turn the cone",
        "the path feeds while the spindle stands, in: Turn the cone",
        "the path holds an arc whose ends are not on one circle, in: Turn the cone",
        "the path begins an arc where the control does not know the position, in: Turn the cone",
        "the path asks for a speed that is no speed, in: Turn the cone",
        "the path uses a correction that it does not name, in: Turn the cone"};
    for (int i = 0; i < N; i++) {
        struct sw_ctx ctx = sw_test_ctx();
        struct sw_path path = begun(&ctx);
        switch (i) {
        case 0:
            sample_rapid(&path, &ctx, nan(""), 1);
            break;
        case 1:
            sample_line(&path, &ctx, 0, 2, 0);
            break;
        case 2:
            sample_text(&path, &ctx, SW_PATH_PAUSE, "measure");
            break;
        case 3:
            sample_tool(&path, &ctx, 2);
            break;
        case 4:
            sample_add(&path, &ctx, SW_PATH_STOP);
            sample_line(&path, &ctx, 0, 2, 0.01);
            break;
        case 5:
            sample_arc(&path, &ctx, 0, 0.5, 60, 0.01);
            path.at[path.n - 1].to.r += 0.001;
            break;
        case 6:
            sample_add(&path, &ctx, SW_PATH_STOP);
            sample_tool(&path, &ctx, 2);
            sample_spindle(&path, &ctx, 3000, false);
            sample_arc(&path, &ctx, 0, 0.5, 60, 0.01);
            break;
        case 7:
            sample_spindle(&path, &ctx, -5, false);
            break;
        default:
            sample_correct(&path, &ctx, 1, true);
            break;
        }
        end(&path, &ctx);
        write_and_expect(sample_dialect("strict", &ctx), &path, SW_INTERNAL, messages[i], &ctx);
        sw_test_ctx_free(&ctx);
    }
}

static void an_unknown_placeholder_is_shown_with_the_known_ones(void **state)
{
    (void)state;
    load_and_expect("typo.yaml",
                    "format: post/1\n"
                    "says: a slip\n"
                    "extends: strict\n"
                    "lines:\n"
                    "  dwell:\n"
                    "    - \"G4 P{secnds}\"\n"
                    "    - G4 X{speed}\n",
                    "typo.yaml:6:12: error: `{secnds}` is no placeholder\n"
                    "        - \"G4 P{secnds}\"\n"
                    "               ^~~~~~~~\n"
                    "    hint: known here: {comment}, {message}, {name}, {units}, {tool}, "
                    "{tool_call}, {system}, "
                    "{system_index}, {origin_parameter}, {seconds}, {milliseconds}\n"
                    "typo.yaml:7:11: error: `{speed}` is not known in this place\n"
                    "        - G4 X{speed}\n"
                    "              ^~~~~~~\n"
                    "    hint: known here: {comment}, {message}, {name}, {units}, {tool}, "
                    "{tool_call}, {system}, "
                    "{system_index}, {origin_parameter}, {seconds}, {milliseconds}\n");
}

static void words_of_people_stay_in_comments(void **state)
{
    (void)state;
    load_and_expect("free.yaml",
                    "format: post/1\n"
                    "says: free words in a block\n"
                    "extends: strict\n"
                    "lines: {pause: [\"M0 {text}\"], stop: [\"M5 {comment} off\", \"M5}\"]}\n",
                    "free.yaml:4:42: error: this placeholder must begin its line\n"
                    "    lines: {pause: [\"M0 {text}\"], stop: [\"M5 {comment} off\", \"M5}\"]}\n"
                    "                                             ^~~~~~~~~\n"
                    "free.yaml:4:61: error: this brace closes nothing\n"
                    "    lines: {pause: [\"M0 {text}\"], stop: [\"M5 {comment} off\", \"M5}\"]}\n"
                    "                                                                ^\n"
                    "free.yaml:4:21: error: words written by people may stand in comments and "
                    "messages only\n"
                    "    lines: {pause: [\"M0 {text}\"], stop: [\"M5 {comment} off\", \"M5}\"]}\n"
                    "                        ^~~~~~\n"
                    "    hint: begin the line with {comment} or {message}\n");
}

static void extends_in_a_circle_is_refused(void **state)
{
    (void)state;
    sample_file("ring-b.yaml", "format: post/1\nsays: b\nextends: ring-a\n");
    load_and_expect("ring-a.yaml", "format: post/1\nsays: a\nextends: ring-b\n",
                    "ring-b.yaml:3:10: error: `extends` comes back to a file that is being read: "
                    "ring-a.yaml -> ring-b.yaml -> ring-a.yaml\n"
                    "    extends: ring-a\n"
                    "             ^~~~~~\n");
}

static void extends_too_deep_is_refused(void **state)
{
    (void)state;
    for (int i = 1; i < 12; i++) {
        char name[40], text[80];
        snprintf(name, sizeof name, "deep-%d.yaml", i);
        snprintf(text, sizeof text, "format: post/1\nsays: deep\nextends: deep-%d\n", i + 1);
        sample_file(name, text);
    }
    load_and_expect("deep-0.yaml", "format: post/1\nsays: deep\nextends: deep-1\n",
                    "deep-8.yaml:3:10: error: more than 8 dialects extend each other\n"
                    "    extends: deep-9\n"
                    "             ^~~~~~\n");
}

static void settings_that_contradict_each_other_are_refused(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_post *post = NULL;
    sample_file("wrong.yaml", "format: post/1\n"
                              "says: all wrong\n"
                              "extends: strict\n"
                              "suffix: nc\n"
                              "surface_speed: yes\n"
                              "arcs: radius\n"
                              "sweep: 170\n"
                              "systems: [G54, G54.1]\n"
                              "needs: [g20-g21, spindle-word]\n"
                              "comments: {open: \"/*\"}\n"
                              "words: {rapid: \"G0 X5\"}\n"
                              "lines: {tool_change: []}\n");
    assert_int_equal(sample_load(&post, "wrong", ".", &ctx), SW_INPUT);
    static const char *const wanted[] = {
        "the dialect writes parameters or expressions and does not say that it needs them",
        "a suffix is a point and up to 7 letters or digits",
        "a word is 1 to 8 capital letters, digits and points",
        "`G54.1` is no word for `systems`",
        "`spindle-word` is no word for `needs`",
        "comments are \"(\" and \")\", \";\" and \"\", or \"\" and \"\" for none",
        "a feed per minute cannot follow a surface speed",
        "a surface speed needs the lines surface_cw and surface_ccw",
        "arcs by radius are unsound beyond 165 degrees",
        "several tools in a program need the lines tool_change",
    };
    assert_int_equal(sw_diag_n(ctx.diag), sizeof wanted / sizeof *wanted);
    for (size_t i = 0; i < sizeof wanted / sizeof *wanted; i++)
        assert_string_equal(sw_diag_at(ctx.diag, i)->message, wanted[i]);
    sw_test_ctx_free(&ctx);
}

static void a_dialect_is_held_against_what_the_control_knows(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_machine machine = sample_machine();
    const struct sw_post *strict = sample_dialect("strict", &ctx);
    const struct sw_post *turning = sample_dialect("turning", &ctx);
    assert_int_equal(sw_post_check(strict, &machine, &ctx), SW_OK);
    assert_int_equal(sw_post_check(turning, &machine, &ctx), SW_INPUT);
    machine.control.x.value = SW_X_DIAMETER;
    machine.control.i.value = SW_X_DIAMETER;
    machine.control.tool_offsets.value = SW_OFFSET_WITH_TOOL;
    machine.control.decimals.value = 3;
    machine.control.parameters.value = 0;
    machine.control.arcs.value = 0;
    machine.control.comments.value = 0;
    machine.control.line_length.value = 80;
    assert_int_equal(sw_post_check(strict, &machine, &ctx), SW_INPUT);
    static const char *const wanted[] = {
        "the dialect turning writes X as diameter, and this control reads it as radius (machine "
        "bench lathe)",
        "the dialect turning writes feeds per turn, and this control knows none (machine bench "
        "lathe)",
        "the dialect turning writes surface speeds, and this control knows none (machine bench "
        "lathe)",
        "the dialect turning leaves tool offsets to the tool change, and this control brings none "
        "(machine bench lathe)",
        "the dialect turning needs clamp-g50, and this control does not have it (machine bench "
        "lathe)",
        "the dialect strict writes X as radius, and this control reads it as diameter (machine "
        "bench lathe)",
        "the dialect strict writes I on radius, and this control reads it on diameter (machine "
        "bench lathe)",
        "the dialect strict writes arcs, and this control knows none (machine bench lathe)",
        "the dialect strict writes comments, and this control knows none (machine bench lathe)",
        "the dialect strict writes 4 decimals, and this control reads 3 at most (machine bench "
        "lathe)",
        "the dialect strict writes 4 decimals, and this control reads 3 at most (machine bench "
        "lathe)",
        "the dialect strict writes 4 decimals, and this control reads 3 at most (machine bench "
        "lathe)",
        "the dialect strict writes lines of 100 characters, and this control reads 80 at most "
        "(machine bench lathe)",
        "the dialect strict gives each tool a coordinate system, and this control brings an "
        "offset with each tool besides (machine bench lathe)",
        "the dialect strict needs parameters, and this control does not have it (machine bench "
        "lathe)",
    };
    assert_int_equal(sw_diag_n(ctx.diag), sizeof wanted / sizeof *wanted);
    for (size_t i = 0; i < sizeof wanted / sizeof *wanted; i++)
        assert_string_equal(sw_diag_at(ctx.diag, i)->message, wanted[i]);
    sw_test_ctx_free(&ctx);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_surface_speed_is_refused_where_only_turns_are_known),
        cmocka_unit_test(an_arc_is_refused_where_none_are_known),
        cmocka_unit_test(an_arc_that_rounding_would_spoil_is_refused),
        cmocka_unit_test(a_feed_that_rounds_to_nothing_is_refused),
        cmocka_unit_test(a_correction_is_refused_where_there_are_none),
        cmocka_unit_test(a_second_spindle_is_refused_without_a_word_for_it),
        cmocka_unit_test(a_station_beyond_the_systems_is_refused),
        cmocka_unit_test(a_line_that_is_too_long_is_refused),
        cmocka_unit_test(a_path_that_breaks_its_rules_is_an_internal_error),
        cmocka_unit_test(an_unknown_placeholder_is_shown_with_the_known_ones),
        cmocka_unit_test(words_of_people_stay_in_comments),
        cmocka_unit_test(extends_in_a_circle_is_refused),
        cmocka_unit_test(extends_too_deep_is_refused),
        cmocka_unit_test(settings_that_contradict_each_other_are_refused),
        cmocka_unit_test(a_dialect_is_held_against_what_the_control_knows),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
