/* Reading maps by tables: what lands in the structs, and every fault at its place. */
#include "spec_fixture.h"

static void a_full_file_fills_every_field(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct part part;
    const double degree = 3.14159265358979323846 / 180;
    assert_int_equal(read_part(&part, part_text, &ctx), SW_OK);
    assert_int_equal(sw_diag_n(ctx.diag), 0);
    assert_string_equal(part.title.value, "Fenmoor 43");
    assert_true(part.title.given);
    assert_int_equal(part.title.at.line, 2);
    assert_int_equal(part.title.at.column, 8);
    assert_near(part.length.value, 0.10922, 1e-15);
    assert_int_equal(part.length.word, 0);
    assert_near(part.teeth.value, 15, 0);
    assert_near(part.taper.value, 0.01, 0);
    assert_near(part.speed.value, -300, 0);
    assert_int_equal(part.hand.value, 0);
    assert_int_equal(part.polished.value, 1);
    assert_near(part.tolerance.lower, -0.01, 0);
    assert_near(part.tolerance.upper, 0.01, 0);
    assert_true(part.tolerance.given);
    assert_near(part.tilt.lower, -degree, 1e-16);
    assert_near(part.tilt.upper, 0.02, 0);
    assert_near(part.rim.wall.value, 30 * degree, 1e-15);
    assert_int_equal(part.rims.n, 2);
    const struct rim *rim = part.rims.at;
    assert_near(rim[0].height.value, 1, 0);
    assert_near(rim[0].wall.value, 40 * degree, 1e-15);
    assert_false(rim[0].wall.given);
    assert_near(rim[1].wall.value, 90 * degree, 1e-15);
    assert_int_equal(part.holes.n, 2);
    const struct hole *hole = part.holes.at;
    assert_string_equal(hole[0].name.value, "upper");
    assert_string_equal(hole[1].name.value, "lower one");
    assert_int_equal(hole[1].name.at.line, 18);
    assert_near(hole[1].diameter.value, 0.12, 0);
    assert_int_equal(part.steps.n, 3);
    assert_near(((const struct sw_number *)part.steps.at)[1].value, 2.5, 0);
    assert_int_equal(part.notes.n, 2);
    assert_string_equal(((const struct sw_text *)part.notes.at)[1].value, "2");
    assert_int_equal(part.parts.n, 2);
    const struct sw_variant *variant = part.parts.at;
    assert_int_equal(variant[0].which, 0);
    assert_ptr_equal(variant[1].table, &hole_table);
    assert_near(((const struct hole *)variant[1].value)->diameter.value, 2, 0);
    assert_int_equal(variant[1].at.line, 23);
    assert_int_equal(variant[1].at.column, 5);
    assert_string_equal(sw_node_get(part.other, "a")->first->text, "1");
    sw_test_ctx_free(&ctx);
}

static void what_is_left_out_has_its_fallback_and_is_not_given(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct part part;
    memset(&part, 0x5a, sizeof part);
    assert_int_equal(read_part(&part, "format: part/1\ntitle: 43\nlength: same\n", &ctx), SW_OK);
    assert_string_equal(part.title.value, "43");
    assert_int_equal(part.length.word, 2);
    assert_true(part.length.given);
    assert_near(part.teeth.value, 6, 0);
    assert_false(part.teeth.given);
    assert_false(part.taper.given);
    assert_int_equal(part.hand.value, 1);
    assert_false(part.hand.given);
    assert_int_equal(part.polished.value, -1);
    assert_near(part.tolerance.lower, -0.005, 0);
    assert_near(part.tolerance.upper, 0, 0);
    assert_false(part.tolerance.given);
    assert_false(part.rim.height.given);
    assert_near(part.rim.wall.value, 40 * 3.14159265358979323846 / 180, 1e-15);
    assert_null(part.rims.at);
    assert_false(part.rims.given);
    assert_null(part.other);
    sw_test_ctx_free(&ctx);
}

static void truths_are_the_words_of_yaml_in_any_letter_case(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        int value;
    } cases[] = {{"yes", 1}, {"Yes", 1},   {"TRUE", 1}, {"on", 1},
                 {"no", 0},  {"False", 0}, {"off", 0},  {"'no'", 0}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct sw_ctx ctx = sw_test_ctx();
        struct part part;
        const char *text = sw_arena_printf(
            ctx.arena, "{format: part/1, title: no, length: 1, polished: %s}", cases[i].text);
        assert_int_equal(read_part(&part, text, &ctx), SW_OK);
        assert_int_equal(part.polished.value, cases[i].value);
        assert_string_equal(part.title.value, "no"); /* anywhere else it is a text */
        sw_test_ctx_free(&ctx);
    }
}

/* The faults of a file that has the lines LINES after the keys that must be there. */
static void assert_faults(const char *lines, const char *wanted)
{
    struct sw_ctx ctx = sw_test_ctx();
    struct part part;
    const char *text =
        sw_arena_printf(ctx.arena, "{format: part/1, title: t, length: 1,\n%s}", lines);
    assert_non_null(text);
    assert_int_equal(read_part(&part, text, &ctx), SW_INPUT);
    assert_string_equal(sw_test_diagnostics(&ctx), wanted);
    sw_test_ctx_free(&ctx);
}

static void unknown_keys_are_reported_with_the_nearest_or_with_all(void **state)
{
    (void)state;
    assert_faults("taepr: 1", "part.yaml:2:1: error: `taepr` is not a key of part/1\n"
                              "    taepr: 1}\n"
                              "    ^~~~~\n"
                              "    hint: did you mean `taper`?\n");
    assert_faults("rim: {height: 1, zzz: 1}", "part.yaml:2:18: error: `zzz` is not a key of rim\n"
                                              "    rim: {height: 1, zzz: 1}}\n"
                                              "                     ^~~\n"
                                              "    hint: known keys: height, wall\n");
    assert_faults("holes: {a: {name: b, diameter: 1}}",
                  "part.yaml:2:13: error: `name` is not a key of hole\n"
                  "    holes: {a: {name: b, diameter: 1}}}\n"
                  "                ^~~~\n"
                  "    hint: known keys: diameter\n");
    assert_faults("rim: {height: 1, format: x}",
                  "part.yaml:2:18: error: `format` is not a key of rim\n"
                  "    rim: {height: 1, format: x}}\n"
                  "                     ^~~~~~\n"
                  "    hint: known keys: height, wall\n");
}

static void missing_keys_are_reported_at_the_map_that_lacks_them(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct part part;
    assert_int_equal(read_part(&part, "format: part/1\nrim:\n  wall: 3\nrims: [{}]\n", &ctx),
                     SW_INPUT);
    assert_string_equal(sw_test_diagnostics(&ctx),
                        "part.yaml:2:1: error: the key `height` of rim is missing\n"
                        "    rim:\n"
                        "    ^~~\n"
                        "    hint: height [mm]: How high it stands.\n"
                        "part.yaml:4:8: error: the key `height` of rim is missing\n"
                        "    rims: [{}]\n"
                        "           ^\n"
                        "    hint: height [mm]: How high it stands.\n"
                        "part.yaml:1:1: error: the key `title` of part/1 is missing\n"
                        "    format: part/1\n"
                        "    ^\n"
                        "    hint: title: What it is called.\n"
                        "part.yaml:1:1: error: the key `length` of part/1 is missing\n"
                        "    format: part/1\n"
                        "    ^\n"
                        "    hint: length [mm]: Length along the axis.\n");
    sw_test_ctx_free(&ctx);
}

static void numbers_out_of_range_show_value_unit_and_range(void **state)
{
    (void)state;
    assert_faults("rim: {height: 3 in, wall: 91}",
                  "part.yaml:2:15: error: `height` is 3 in = 76.2 mm; allowed: 0.01 to 2 mm\n"
                  "    rim: {height: 3 in, wall: 91}}\n"
                  "                  ^~~~\n"
                  "part.yaml:2:27: error: `wall` is 91 degrees; allowed: 0 to 90 degrees\n"
                  "    rim: {height: 3 in, wall: 91}}\n"
                  "                              ^~\n");
    assert_faults("teeth: 0", "part.yaml:2:8: error: `teeth` is 0; allowed: at least 1\n"
                              "    teeth: 0}\n"
                              "           ^\n");
    assert_faults(
        "speed: 20000.5",
        "part.yaml:2:8: error: `speed` is 20000.5 rev/min; allowed: at most 20000 rev/min\n"
        "    speed: 20000.5}\n"
        "           ^~~~~~~\n");
    assert_faults("teeth: 1.5", "part.yaml:2:8: error: `teeth` is `1.5`; a whole number is wanted\n"
                                "    teeth: 1.5}\n"
                                "           ^~~\n");
    assert_faults("rims: []", "part.yaml:2:1: error: `rims` has 0 entries; allowed: 1 to 3\n"
                              "    rims: []}\n"
                              "    ^~~~\n");
    assert_faults("steps: [9, 9.1]",
                  "part.yaml:2:12: error: an item of `steps` is 9.1 mm; allowed: 0 to 9 mm\n"
                  "    steps: [9, 9.1]}\n"
                  "               ^~~\n");
}

static void the_ends_of_a_range_belong_to_it(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct part part;
    assert_int_equal(read_part(&part,
                               "{format: part/1, title: t, length: 0.02, teeth: 1, speed: 20000, "
                               "tilt: [-5, 5], rim: {height: 2, wall: 0}, steps: [0, 9]}",
                               &ctx),
                     SW_OK);
    sw_test_ctx_free(&ctx);
}

static void unknown_words_are_reported_with_the_nearest_or_with_all(void **state)
{
    (void)state;
    assert_faults("hand: rihgt",
                  "part.yaml:2:7: error: `hand` is `rihgt`, which is not a known word\n"
                  "    hand: rihgt}\n"
                  "          ^~~~~\n"
                  "    hint: did you mean `right`?\n");
    assert_faults("hand: up", "part.yaml:2:7: error: `hand` is `up`, which is not a known word\n"
                              "    hand: up}\n"
                              "          ^~\n"
                              "    hint: known words: left, right, neutral\n");
    assert_faults("polished: 1",
                  "part.yaml:2:11: error: `polished` is `1`, which is neither yes nor no\n"
                  "    polished: 1}\n"
                  "              ^\n"
                  "    hint: write yes or no\n");
    struct sw_ctx ctx = sw_test_ctx();
    struct part part;
    assert_int_equal(read_part(&part, "{format: part/1, title: t, length: fre}", &ctx), SW_INPUT);
    assert_string_equal(sw_test_diagnostics(&ctx),
                        "part.yaml:1:36: error: `length` is `fre`, which is neither a number nor a "
                        "known word\n"
                        "    {format: part/1, title: t, length: fre}\n"
                        "                                       ^~~\n"
                        "    hint: did you mean `free`?\n");
    sw_test_ctx_free(&ctx);
}

static void bands_must_go_up(void **state)
{
    (void)state;
    assert_faults(
        "tolerance: -0.01",
        "part.yaml:2:12: error: `tolerance` is `-0.01`; a single deviation counts both ways "
        "and cannot be negative\n"
        "    tolerance: -0.01}\n"
        "               ^~~~~\n"
        "    hint: write [lower, upper] for a band on one side\n");
    assert_faults("tolerance: [0.01, -0.01]",
                  "part.yaml:2:12: error: `tolerance` goes from 0.01 down to -0.01\n"
                  "    tolerance: [0.01, -0.01]}\n"
                  "               ^\n"
                  "    hint: write the lower one first\n");
    assert_faults("tolerance: [1, 2, 3]",
                  "part.yaml:2:12: error: `tolerance` is a list of 3; two numbers are wanted\n"
                  "    tolerance: [1, 2, 3]}\n"
                  "               ^\n"
                  "    hint: write [lower, upper], such as [-0.005, 0]\n");
    assert_faults("tilt: [-6, x]",
                  "part.yaml:2:8: error: `tilt` is -6 degrees; allowed: -5 to 5 degrees\n"
                  "    tilt: [-6, x]}\n"
                  "           ^~\n"
                  "part.yaml:2:12: error: `tilt` is `x`, which is not a number\n"
                  "    tilt: [-6, x]}\n"
                  "               ^\n"
                  "    hint: write a number in degrees, or a number with one of the units degrees, "
                  "rad\n");
}

static void values_of_the_wrong_kind_are_reported(void **state)
{
    (void)state;
    assert_faults(
        "teeth: [1], hand: {a: b}, notes: x, rim: 3, holes: [1], polished: ~",
        "part.yaml:2:8: error: `teeth` is a list; a number is wanted\n"
        "    teeth: [1], hand: {a: b}, notes: x, rim: 3, holes: [1], polished: ~}\n"
        "           ^\n"
        "part.yaml:2:19: error: `hand` is a map; a word is wanted\n"
        "    teeth: [1], hand: {a: b}, notes: x, rim: 3, holes: [1], polished: ~}\n"
        "                      ^\n"
        "part.yaml:2:34: error: `notes` is a single value; a list is wanted\n"
        "    teeth: [1], hand: {a: b}, notes: x, rim: 3, holes: [1], polished: ~}\n"
        "                                     ^\n"
        "    hint: write [a, b], or `- item` lines\n"
        "part.yaml:2:42: error: `rim` is a single value; a map of keys is wanted\n"
        "    teeth: [1], hand: {a: b}, notes: x, rim: 3, holes: [1], polished: ~}\n"
        "                                             ^\n"
        "    hint: write `rim: {...}`, or its keys one level further in on the next lines\n"
        "part.yaml:2:52: error: `holes` is a list; a map of names is wanted\n"
        "    teeth: [1], hand: {a: b}, notes: x, rim: 3, holes: [1], polished: ~}\n"
        "                                                       ^\n"
        "    hint: write `name: {...}` entries\n"
        "part.yaml:2:57: error: `polished` has no value; yes or no is wanted\n"
        "    teeth: [1], hand: {a: b}, notes: x, rim: 3, holes: [1], polished: ~}\n"
        "                                                            ^~~~~~~~\n");
}

static void items_of_a_list_of_kinds_are_one_key_with_a_map(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct part part;
    assert_int_equal(read_part(&part,
                               "format: part/1\ntitle: t\nlength: 1\nparts:\n"
                               "  - rim:\n"
                               "    height: 1\n"
                               "  - rim\n"
                               "  - rmi: {}\n"
                               "  - axle: {}\n",
                               &ctx),
                     SW_INPUT);
    assert_string_equal(sw_test_diagnostics(&ctx),
                        "part.yaml:5:5: error: an item of `parts` is one key with a map behind it\n"
                        "      - rim:\n"
                        "        ^\n"
                        "    hint: write `- rim: {...}`, or its keys on the next lines two levels "
                        "further in than the "
                        "dash\n"
                        "part.yaml:7:5: error: an item of `parts` is one key with a map behind it\n"
                        "      - rim\n"
                        "        ^~~\n"
                        "    hint: write `- rim: {...}`, or its keys on the next lines two levels "
                        "further in than the "
                        "dash\n"
                        "part.yaml:8:5: error: `rmi` is not one of the things `parts` lists\n"
                        "      - rmi: {}\n"
                        "        ^~~\n"
                        "    hint: did you mean `rim`?\n"
                        "part.yaml:9:5: error: `axle` is not one of the things `parts` lists\n"
                        "      - axle: {}\n"
                        "        ^~~~\n"
                        "    hint: known: rim, hole\n");
    sw_test_ctx_free(&ctx);
}

static void the_fixture_table_is_sound_and_broken_ones_are_found(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    assert_int_equal(sw_table_check(&part_table, &ctx), SW_OK);
    assert_int_equal(sw_diag_n(ctx.diag), 0);
    struct sw_field field[2];
    struct sw_table table = {"broken", "A table.", sizeof(struct rim), field, 2};
    static const char *const faults[] = {"has no key",
                                         "stands twice",
                                         "has no sentence",
                                         "has no table",
                                         "has no words",
                                         "lies outside its struct",
                                         "lies on another field",
                                         "has an empty range",
                                         "is required and has a fallback",
                                         "allowed: 0 to 90"};
    for (size_t i = 0; i < sizeof faults / sizeof *faults; i++) {
        memcpy(field, rim_field, sizeof field);
        switch (i) {
        case 0:
            field[1].key = NULL;
            break;
        case 1:
            field[1].key = "height";
            break;
        case 2:
            field[1].sentence = "";
            break;
        case 3:
            field[1].kind = SW_FIELD_LIST;
            break;
        case 4:
            field[1].kind = SW_FIELD_WORD;
            break;
        case 5:
            field[1].offset = sizeof(struct rim) - 8;
            break;
        case 6:
            field[1].offset = 8;
            break;
        case 7:
            field[1].least = 91;
            break;
        case 8:
            field[1].is_required = true;
            break;
        default:
            field[1].fallback = "95";
            break;
        }
        assert_int_equal(sw_table_check(&table, &ctx), SW_INTERNAL);
        assert_non_null(strstr(sw_test_diagnostics(&ctx), faults[i]));
    }
    sw_test_ctx_free(&ctx);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_full_file_fills_every_field),
        cmocka_unit_test(what_is_left_out_has_its_fallback_and_is_not_given),
        cmocka_unit_test(truths_are_the_words_of_yaml_in_any_letter_case),
        cmocka_unit_test(unknown_keys_are_reported_with_the_nearest_or_with_all),
        cmocka_unit_test(missing_keys_are_reported_at_the_map_that_lacks_them),
        cmocka_unit_test(numbers_out_of_range_show_value_unit_and_range),
        cmocka_unit_test(the_ends_of_a_range_belong_to_it),
        cmocka_unit_test(unknown_words_are_reported_with_the_nearest_or_with_all),
        cmocka_unit_test(bands_must_go_up),
        cmocka_unit_test(values_of_the_wrong_kind_are_reported),
        cmocka_unit_test(items_of_a_list_of_kinds_are_one_key_with_a_map),
        cmocka_unit_test(the_fixture_table_is_sound_and_broken_ones_are_found),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
