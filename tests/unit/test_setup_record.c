/* The setup record: written, read back, and refused where it does not hold together. */
#include <string.h>

#include "support/lathe.h"
#include "support/near.h"

static struct sw_setup *parse(struct sw_ctx *ctx, const char *text)
{
    struct sw_setup *setup = NULL;
    assert_int_equal(sw_setup_parse(&setup, "setup.yaml", text, strlen(text), ctx), SW_OK);
    return setup;
}

static void what_is_written_is_read_back(void **state)
{
    (void)state;
    struct sw_lathe lathe;
    sw_lathe_init(&lathe);
    lathe.setup.sides.n = 2;
    lathe.setup.stone = (struct sw_number){.value = 0.004, .given = true};
    lathe.side[0].neck_z = (struct sw_number){.value = -4.7512, .given = true};
    lathe.side[1].second =
        (struct sw_setup_second){.section = {.value = "roller seat", .given = true},
                                 .diameter = {.value = 0.54125, .given = true},
                                 .length = {.value = 0.61, .given = true},
                                 .nose_z = {.value = -1.47, .given = true}};
    lathe.record[1][2].zero_x.value = -3.12345;
    struct sw_buf text = {0};
    sw_setup_write(&lathe.setup, &text);
    assert_false(text.failed);
    const struct sw_setup *setup = parse(&lathe.ctx, sw_buf_text(&text));
    assert_string_equal(setup->staff.value, "staff.yaml");
    assert_near(setup->stone.value, 0.004, 0);
    assert_int_equal(setup->sides.n, 2);
    const struct sw_setup_side *side = setup->sides.at;
    assert_near(side[0].neck_z.value, -4.7512, 0);
    assert_true(side[0].rod_diameter.given && !side[1].rod_diameter.given);
    assert_false(side[1].neck_z.given);
    assert_false(side[0].second.section.given);
    assert_string_equal(side[1].second.section.value, "roller seat");
    assert_near(side[1].second.diameter.value, 0.54125, 0);
    assert_near(side[1].second.length.value, 0.61, 0);
    assert_near(side[1].second.nose_z.value, -1.47, 0);
    assert_int_equal(side[0].end.value, 0);
    assert_int_equal(side[1].end.value, 1);
    const struct sw_setup_program *program = side[1].programs.at;
    assert_int_equal(side[1].programs.n, 1);
    assert_string_equal(program[0].file.value, "side-2.nc");
    const struct sw_setup_station *station = side[1].stations.at;
    assert_int_equal(side[1].stations.n, SW_LATHE_TOOLS);
    assert_string_equal(station[2].tool.value, "face point");
    assert_near(station[2].zero_x.value, -3.12345, 0);
    assert_near(station[2].system.value, 3, 0);
    /* and once more, to the byte */
    struct sw_buf again = {0};
    sw_setup_write(setup, &again);
    assert_string_equal(sw_buf_text(&again), sw_buf_text(&text));
    sw_buf_done(&again);
    sw_buf_done(&text);
    sw_lathe_done(&lathe);
}

static void a_blank_is_written_and_read_back(void **state)
{
    (void)state;
    struct sw_lathe lathe;
    sw_lathe_init(&lathe);
    lathe.side[0].rod_diameter.given = lathe.side[0].rod_end_z.given = false;
    lathe.setup.blank =
        (struct sw_setup_blank){.staff = {.value = "blank.yaml", .given = true},
                                .material = {.value = "carbon-steel-blue", .given = true},
                                .grown_least = {.value = -0.0001, .given = true},
                                .grown_most = {.value = 0.00125, .given = true}};
    struct sw_buf text = {0};
    sw_setup_write(&lathe.setup, &text);
    assert_non_null(strstr(sw_buf_text(&text), "The work is the hardened blank."));
    const struct sw_setup *setup = parse(&lathe.ctx, sw_buf_text(&text));
    assert_true(sw_setup_has_blank(setup));
    assert_string_equal(setup->blank.staff.value, "blank.yaml");
    assert_string_equal(setup->blank.material.value, "carbon-steel-blue");
    assert_near(setup->blank.grown_least.value, -0.0001, 0);
    assert_near(setup->blank.grown_most.value, 0.00125, 0);
    /* what is read of its files is the reader's business */
    assert_null(setup->blank.is);
    assert_int_equal(setup->blank.n, 0);
    sw_buf_done(&text);
    sw_lathe_done(&lathe);
}

static void refuse(const char *text, const char *because)
{
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_setup *setup = NULL;
    assert_int_equal(sw_setup_parse(&setup, "setup.yaml", text, strlen(text), &ctx), SW_INPUT);
    const char *said = sw_test_diagnostics(&ctx);
    if (strstr(said, because) == NULL)
        print_error("said:\n%s\nwanted: %s\n", said, because);
    assert_non_null(strstr(said, because));
    sw_test_ctx_free(&ctx);
}

#define HEAD "format: setup/1\nstaff: a.yaml\nshop: b.yaml\nsides:\n"
#define SIDE                                                                                       \
    "  - name: side 1\n    programs:\n      - file: a.nc\n    holder: c\n    grips: rod\n"         \
    "    grip_diameter: 2\n    grip_length: 10\n    nose_z: -6\n    end: upper\n"                  \
    "    park_x: 10\n    park_z: 10\n"
#define ROD "    rod_diameter: 2\n    rod_end_z: 0.1\n"
#define STATIONS "    stations:\n      - {station: 1, tool: t, zero_x: 1, zero_z: 2, system: 1}\n"

static void a_record_that_does_not_hold_together_is_refused(void **state)
{
    (void)state;
    refuse(HEAD SIDE STATIONS, "no rod");
    refuse(HEAD SIDE "    rod_diameter: 2\n" STATIONS, "not where the rod ends");
    refuse(HEAD SIDE "    rod_diameter: 2\n    rod_end_z: -7\n" STATIONS, "inside the holder");
    refuse(HEAD SIDE ROD "    neck_z: -6.5\n" STATIONS, "neck lies inside the holder");
    refuse(HEAD SIDE ROD STATIONS "      - {station: 1, tool: u, zero_x: 1, zero_z: 2}\n", "twice");
    refuse(HEAD SIDE ROD STATIONS
           "      - {station: 2, tool: u, zero_x: 1, zero_z: 3, system: 1}\n",
           "share this coordinate system");
    refuse(HEAD SIDE ROD STATIONS "    speed: 3\n", "speed");
    refuse(HEAD SIDE ROD "    neck_z: -5\n    second: {section: s, diameter: 1, length: 1, nose_z: "
                         "-2}\n" STATIONS,
           "not broken off at a neck");
}

#define PROGRAM "      - file: a.nc\n"
#define BY_HAND(switches)                                                                          \
    HEAD "  - name: side 1\n    programs:\n" PROGRAM switches                                      \
         "    holder: c\n    grips: rod\n    grip_diameter: 2\n    grip_length: 10\n"              \
         "    nose_z: -6\n    end: upper\n    park_x: 10\n    park_z: 10\n" ROD STATIONS

static void hands_at_the_spindle_are_written_and_read_back(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_setup *setup =
        parse(&ctx, BY_HAND("        tool: 1\n        spindle:\n"
                            "          - {line: 20, turn: M4, speed: 2500}\n"
                            "          - {line: 31, turn: stop}\n"));
    struct sw_buf text = {0}, again = {0};
    sw_setup_write(setup, &text);
    const struct sw_setup *copy = parse(&ctx, sw_buf_text(&text));
    const struct sw_setup_side *side = copy->sides.at;
    const struct sw_setup_program *program = side->programs.at;
    const struct sw_setup_switch *at = program->spindle.at;
    assert_near(program->tool.value, 1, 0);
    assert_int_equal(program->spindle.n, 2);
    assert_near(at[0].line.value, 20, 0);
    assert_int_equal(at[0].turn.value, SW_SETUP_M4);
    assert_near(at[0].speed.value, 2500, 0);
    assert_int_equal(at[1].turn.value, SW_SETUP_STOP);
    assert_false(at[1].speed.given);
    sw_setup_write(copy, &again);
    assert_string_equal(sw_buf_text(&again), sw_buf_text(&text));
    sw_buf_done(&again);
    sw_buf_done(&text);
    sw_test_ctx_free(&ctx);
}

static void hands_that_make_no_sense_are_refused(void **state)
{
    (void)state;
    refuse(BY_HAND("        spindle: [{turn: M3}]\n"), "nothing says how fast");
    refuse(BY_HAND("        spindle: [{line: 5, turn: stop, speed: 100}]\n"), "has no speed");
    refuse(BY_HAND("        spindle: [{turn: M3, speed: 100}, {turn: M4, speed: 100}]\n"),
           "switched twice at one stop");
    refuse(BY_HAND("        tool: 2\n"), "no such station");
}

static void two_tools_at_one_zero_may_share_a_system(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_setup *setup =
        parse(&ctx, HEAD SIDE ROD STATIONS
              "      - {station: 2, tool: u, zero_x: 1, zero_z: 2, system: 1}\n");
    assert_int_equal(setup->sides.n, 1);
    sw_test_ctx_free(&ctx);
}

#define RUN                                                                                        \
    "    run:\n      stop: 1\n      closing_loses: 0.03\n      bar_length: 55.5\n"                 \
    "      pieces:\n        - {setup: ../a/setup.yaml}\n        - {setup: ../b/setup.yaml, "       \
    "at_z: 0.25}\n"

static void a_run_is_written_and_read_back(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_setup *setup = parse(&ctx, HEAD SIDE ROD RUN STATIONS);
    struct sw_buf text = {0};
    sw_setup_write(setup, &text);
    assert_false(text.failed);
    const struct sw_setup *again = parse(&ctx, sw_buf_text(&text));
    const struct sw_setup_run *run = &((const struct sw_setup_side *)again->sides.at)->run;
    const struct sw_setup_piece *piece = run->pieces.at;
    assert_near(run->stop.value, 1, 0);
    assert_near(run->closing_loses.value, 0.03, 0);
    assert_near(run->bar_length.value, 55.5, 0);
    assert_int_equal(run->pieces.n, 2);
    assert_string_equal(piece[0].setup.value, "../a/setup.yaml");
    assert_near(piece[0].at_z.value, 0, 0);
    assert_string_equal(piece[1].setup.value, "../b/setup.yaml");
    assert_near(piece[1].at_z.value, 0.25, 0);
    sw_buf_done(&text);
    sw_test_ctx_free(&ctx);
}

static void a_run_is_one_side_from_a_bar_parted_through(void **state)
{
    (void)state;
    refuse(HEAD SIDE ROD RUN "    neck_z: -5\n" STATIONS, "a run is one side cut from a bar");
    refuse(HEAD SIDE RUN STATIONS, "a run is one side cut from a bar");
    refuse(HEAD SIDE ROD RUN STATIONS SIDE STATIONS, "a run is one side cut from a bar");
    refuse(HEAD SIDE ROD
           "    run: {stop: 1, closing_loses: 0, bar_length: 50, pieces: []}\n" STATIONS,
           "pieces");
    refuse(HEAD SIDE ROD "    run: {stop: 1, bar_length: 50, pieces: [{setup: a}]}\n" STATIONS,
           "closing_loses");
    refuse(
        "format: setup/1\nstaff: a.yaml\nshop: b.yaml\nsides:\n"
        "  - name: side 1\n    programs:\n      - {file: a.nc, spindle: [{turn: M3, speed: 900}]}\n"
        "    holder: c\n    grips: rod\n    grip_diameter: 2\n    grip_length: 10\n"
        "    nose_z: -6\n    end: upper\n    park_x: 10\n    park_z: 10\n" ROD RUN STATIONS,
        "switch the spindle themselves");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_written_is_read_back),
        cmocka_unit_test(a_blank_is_written_and_read_back),
        cmocka_unit_test(a_record_that_does_not_hold_together_is_refused),
        cmocka_unit_test(hands_at_the_spindle_are_written_and_read_back),
        cmocka_unit_test(hands_that_make_no_sense_are_refused),
        cmocka_unit_test(two_tools_at_one_zero_may_share_a_system),
        cmocka_unit_test(a_run_is_written_and_read_back),
        cmocka_unit_test(a_run_is_one_side_from_a_bar_parted_through),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
