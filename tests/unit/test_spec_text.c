/* What tables write: hints, pages and schemas; and YAML that reads back. */
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

#include "spec/emit.h"
#include "spec_fixture.h"

static void the_nearest_word_is_found_within_two_edits_or_by_its_stem(void **state)
{
    (void)state;
    static const char *const words[] = {"diameter", "dome_height", "length", "roller shoulder",
                                        "tool",     "at",          NULL};
    static const struct {
        const char *text, *wanted;
    } cases[] = {
        {"diameter", "diameter"},
        {"diametre", "diameter"}, /* neighbours swapped: one edit */
        {"daimeter", "diameter"},
        {"Diameter", "diameter"},
        {"dimeter", "diameter"},
        {"diameterrr", "diameter"},
        {"dome-height", "dome_height"},
        {"dome height", "dome_height"},
        {"dia", "diameter"},
        {"lenght", "length"},
        {"len", "length"},
        {"tol", "tool"},
        {"roller", "roller shoulder"},
        {"ta", "at"},
        {"to", NULL},
        {"le", NULL},
        {"zzz", NULL},
        {"", NULL},
        {"damtr", NULL},
        {"this text is far too long to be a misspelt key of any table", NULL},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const char *got = sw_nearest_word(cases[i].text, words);
        if (!cases[i].wanted ? got != NULL : !got || strcmp(got, cases[i].wanted) != 0)
            fail_msg("`%s` gives `%s`", cases[i].text, got ? got : "nothing");
    }
    static const char *const none[] = {NULL};
    assert_null(sw_nearest_word("a", none));
}

static void a_page_shows_keys_kinds_units_ranges_and_fallbacks(void **state)
{
    (void)state;
    struct sw_buf page = {0};
    sw_table_explain(&part_table, &page);
    assert_false(page.failed);
    assert_string_equal(
        sw_buf_text(&page),
        "part/1\n"
        "  A part.\n"
        "\n"
        "  format (required)\n"
        "      part/1\n"
        "  title (required)\n"
        "      a text\n"
        "      What it is called.\n"
        "  length (required)\n"
        "      a length in mm, 0.02 to 300, or free or same\n"
        "      Length along the axis.\n"
        "  teeth\n"
        "      a whole number, at least 1; 6 when left out\n"
        "      Number of teeth.\n"
        "  taper\n"
        "      a ratio\n"
        "      Taper on diameter.\n"
        "  speed\n"
        "      a turning speed in rev/min, at most 20000\n"
        "      Speed.\n"
        "  hand\n"
        "      left, right or neutral; right when left out\n"
        "      Hand.\n"
        "  polished\n"
        "      yes or no\n"
        "      Polished or not.\n"
        "  tolerance\n"
        "      a length in mm that counts both ways, or [lower, upper]; [-0.005, 0]\n"
        "      when left out\n"
        "      Allowed deviation.\n"
        "  tilt\n"
        "      an angle in degrees that counts both ways, or [lower, upper], -5 to 5\n"
        "      Allowed tilt.\n"
        "  rim\n"
        "      a map: see rim\n"
        "      The rim.\n"
        "  rims\n"
        "      a list: see rim, 1 to 3 entries\n"
        "      More rims.\n"
        "  holes\n"
        "      a map of names, each with a map: see hole\n"
        "      Holes by name.\n"
        "  steps\n"
        "      a list, each a length in mm, 0 to 9\n"
        "      Steps.\n"
        "  notes\n"
        "      a list of texts\n"
        "      Notes.\n"
        "  parts\n"
        "      a list, each one of: rim, hole\n"
        "      Rims and holes in order.\n"
        "  other\n"
        "      described with what it belongs to\n"
        "      Anything.\n"
        "\n"
        "A unit may be written behind a number:\n"
        "  length: mm, um, m, in, thou, hundredths, ligne, douzieme\n"
        "  angle: degrees, rad\n"
        "  turning speed: rev/min, rpm\n"
        "  ratio: %, or a fraction such as 1/100\n");
    sw_buf_done(&page);
}

static void a_schema_is_the_same_bytes_every_time(void **state)
{
    (void)state;
    struct sw_buf one = {0}, two = {0};
    sw_table_schema(&part_table, &one);
    sw_table_schema(&part_table, &two);
    assert_false(one.failed);
    assert_string_equal(sw_buf_text(&one), sw_buf_text(&two));
    assert_non_null(strstr(sw_buf_text(&one), "\"title\": {\n"
                                              "      \"description\": \"What it is called.\",\n"));
    assert_non_null(strstr(sw_buf_text(&one), "\"additionalProperties\": false"));
    sw_buf_done(&one);
    sw_buf_done(&two);
}

/* The outside witness is Python's jsonschema: the schema is one of its draft, the full file passes,
 * and each fault below is found. */
static void a_schema_accepts_what_we_read_and_refuses_what_we_refuse(void **state)
{
    (void)state;
    static const char script[] =
        "import json, sys, yaml, jsonschema\n"
        "schema = json.load(open(sys.argv[1]))\n"
        "V = jsonschema.Draft202012Validator\n"
        "V.check_schema(schema)\n"
        "good = yaml.safe_load(open(sys.argv[2]))\n"
        "faults = [e.message for e in V(schema).iter_errors(good)]\n"
        "assert not faults, faults\n"
        "least = {'format': 'part/1', 'title': 43, 'length': 'free'}\n"
        "assert V(schema).is_valid(least)\n"
        "for key, value in [('length', 'fre'), ('length', 301), ('length', 0), ('length', '1/8'),\n"
        "    ('length', '3 kg'), ('teeth', 0), ('teeth', 1.5), ('taper', '1:100'), ('speed', "
        "30000),\n"
        "    ('hand', 'up'), ('polished', 1), ('tolerance', -1), ('tolerance', [1]),\n"
        "    ('tilt', [-6, 0]), ('rim', {}), ('rim', 3), ('rim', {'height': 1, 'x': 1}),\n"
        "    ('rims', []), ('rims', [{'height': 1}] * 4), ('holes', {'a': {}}), ('holes', []),\n"
        "    ('holes', {'a': {'name': 'x', 'diameter': 1}}), ('steps', [10]), ('steps', 1),\n"
        "    ('notes', 'x'), ('notes', [None]), ('parts', [{'axle': {}}]), ('parts', ['rim']),\n"
        "    ('parts', [{'rim': {'height': 1}, 'hole': {'diameter': 1}}]), ('format', 'part/2'),\n"
        "    ('title', None), ('taepr', 1)]:\n"
        "    assert not V(schema).is_valid({**least, key: value}), (key, value)\n"
        "for key, value in [('length', '4.3 thou'), ('length', '1/8 in'), ('length', '0.6 "
        "douzieme'),\n"
        "    ('length', '3mm'), ('taper', '1/100'), ('taper', '3 %'), ('tolerance', '5 um'),\n"
        "    ('tilt', [-1, '0.01 rad']), ('polished', False), ('polished', 'off'), ('other', "
        "None)]:\n"
        "    assert V(schema).is_valid({**least, key: value}), (key, value)\n"
        "del least['title']\n"
        "assert not V(schema).is_valid(least)\n";
    if (system(
            "python3 -c 'import yaml, jsonschema; jsonschema.Draft202012Validator' 2>/dev/null")) {
        print_message("skipped: python3 with yaml and jsonschema is not here\n");
        skip();
    }
    char folder[] = "/tmp/sw-test-XXXXXX", path[3][60], command[300];
    static const char *const name[] = {"schema.json", "part.yaml", "check.py"};
    struct sw_buf schema = {0};
    sw_table_schema(&part_table, &schema);
    const char *const text[] = {sw_buf_text(&schema), part_text, script};
    assert_non_null(mkdtemp(folder));
    for (int i = 0; i < 3; i++) {
        snprintf(path[i], sizeof path[i], "%s/%s", folder, name[i]);
        FILE *file = fopen(path[i], "w");
        assert_non_null(file);
        assert_true(fputs(text[i], file) >= 0);
        assert_int_equal(fclose(file), 0);
    }
    snprintf(command, sizeof command, "python3 %s %s %s", path[2], path[0], path[1]);
    const int ended = system(command);
    for (int i = 0; i < 3; i++)
        unlink(path[i]);
    rmdir(folder);
    sw_buf_done(&schema);
    assert_int_equal(ended, 0);
}

static void yaml_is_written_line_by_line_with_comments(void **state)
{
    (void)state;
    struct sw_buf out = {0};
    struct sw_emit emit = {.out = &out};
    sw_emit_comment(&emit, "two lines\n\nof comment");
    sw_emit_text(&emit, "format", "staff/1");
    sw_emit_text(&emit, "name", "Fenmoor 43");
    sw_emit_open(&emit, "total");
    sw_emit_number(&emit, "length", 4.55, 4);
    sw_emit_number(&emit, "count", 1200, 0);
    sw_emit_number(&emit, "small", -0.00001, 4);
    sw_emit_close(&emit);
    sw_emit_open(&emit, "sections");
    sw_emit_item(&emit);
    sw_emit_comment(&emit, "above the item");
    sw_emit_open(&emit, "pivot");
    sw_emit_number(&emit, "diameter", 0.11, 6);
    sw_emit_comment(&emit, "within");
    sw_emit_text(&emit, "length", "1/8 in");
    sw_emit_close(&emit);
    sw_emit_close(&emit);
    sw_emit_item(&emit);
    sw_emit_text(&emit, "a", "b");
    sw_emit_text(&emit, "c", "d");
    sw_emit_close(&emit);
    sw_emit_item(&emit);
    sw_emit_close(&emit);
    sw_emit_close(&emit);
    sw_emit_open(&emit, "none");
    sw_emit_close(&emit);
    assert_false(out.failed);
    assert_int_equal(emit.depth, 0);
    assert_string_equal(sw_buf_text(&out), "# two lines\n"
                                           "#\n"
                                           "# of comment\n"
                                           "format: staff/1\n"
                                           "name: Fenmoor 43\n"
                                           "total:\n"
                                           "  length: 4.55\n"
                                           "  count: 1200\n"
                                           "  small: 0\n"
                                           "sections:\n"
                                           "  # above the item\n"
                                           "  - pivot:\n"
                                           "      diameter: 0.11\n"
                                           "      # within\n"
                                           "      length: 1/8 in\n"
                                           "  - a: b\n"
                                           "    c: d\n"
                                           "  - {}\n"
                                           "none: {}\n");
    sw_buf_done(&out);
}

static void pairs_and_truths_are_read_back_as_lists_and_truths(void **state)
{
    (void)state;
    struct sw_buf out = {0};
    struct sw_emit emit = {.out = &out};
    sw_emit_truth(&emit, "yes", true);
    sw_emit_open(&emit, "b");
    sw_emit_pair(&emit, "tolerance", -0.003, 0, 4);
    sw_emit_truth(&emit, "no_more", false);
    sw_emit_close(&emit);
    assert_false(out.failed);
    assert_string_equal(sw_buf_text(&out), "\"yes\": yes\n"
                                           "b:\n"
                                           "  tolerance: [-0.003, 0]\n"
                                           "  no_more: no\n");
    sw_emit_pair(&emit, "c", 1, (double)NAN, 3);
    assert_true(out.failed);
    sw_buf_done(&out);
}

static void a_number_no_file_may_hold_makes_the_text_fail(void **state)
{
    (void)state;
    struct sw_buf out = {0};
    struct sw_emit emit = {.out = &out};
    sw_emit_number(&emit, "a", (double)NAN, 3);
    sw_emit_text(&emit, "b", "c");
    assert_true(out.failed);
    assert_string_equal(sw_buf_text(&out), "");
    sw_buf_done(&out);
}

static void what_is_written_reads_back_as_the_same_texts(void **state)
{
    (void)state;
    static const char *const texts[] = {
        "plain",
        "two words",
        "",
        " ",
        " lead",
        "trail ",
        "yes",
        "No",
        "ON",
        "true",
        "null",
        "~",
        "y",
        "12",
        "1.5",
        "-3",
        "+3",
        "1e3",
        "0x1F",
        "1_000",
        ".5",
        ".inf",
        ".nan",
        "2001-12-14",
        "1:30",
        "4.3 thou",
        "1/8 in",
        "1/100",
        "12 hundredths",
        "a: b",
        "a:",
        ":a",
        "a #b",
        "#a",
        "- a",
        "-",
        "? a",
        "[a]",
        "{a}",
        "a, b",
        "a]",
        "*a",
        "&a",
        "!a",
        "|",
        ">",
        "%a",
        "@a",
        "`a`",
        "'a'",
        "it's",
        "\"a\"",
        "a\"b\\c",
        "line\nbreak",
        "tab\there",
        "---",
        "...",
        "<<",
        "=",
        "caf\xc3\xa9",
        "\xc2\x85next",
        "\xe2\x80\xa8sep",
        "\xe2\x80\xa9par",
        "\xef\xbb\xbf(bom)",
        "\xf0\x9f\x95\xb0",
        "staff/1",
        "5 %",
        "100%",
        "key with: colon and # sign",
        "a\n  b\n\n c",
        "\n",
        "0",
        "1 2-3 x",
    };
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_buf out = {0};
    struct sw_emit emit = {.out = &out};
    const size_t n = sizeof texts / sizeof *texts;
    for (size_t i = 0; i < n; i++) {
        sw_emit_comment(&emit, texts[i]);
        sw_emit_item(&emit);
        sw_emit_text(&emit, texts[i][0] && !strpbrk(texts[i], "\n\t") ? texts[i] : "key", texts[i]);
        sw_emit_close(&emit);
    }
    assert_false(out.failed);
    struct sw_node *root = NULL;
    if (sw_node_parse(&root, "out.yaml", sw_buf_text(&out), out.n, &ctx) != SW_OK)
        fail_msg("%s", sw_test_diagnostics(&ctx));
    assert_int_equal(root->n, n);
    const struct sw_node *item = root->first;
    for (size_t i = 0; i < n; i++, item = item->next) {
        assert_int_equal(item->n, 1);
        assert_string_equal(item->first->text, texts[i]);
        if (texts[i][0] && !strpbrk(texts[i], "\n\t"))
            assert_string_equal(item->first->key, texts[i]);
    }
    sw_buf_done(&out);
    sw_test_ctx_free(&ctx);
}

static void words_yaml_would_read_otherwise_stand_in_quotes(void **state)
{
    (void)state;
    static const char *const quoted[] = {"yes", "Off",   "NULL", "12",   "1.5",        "-1",
                                         "1e3", "1_000", "0x1F", "1:30", "2001-12-14", "y",
                                         "",    " a",    "#a",   "a: b"};
    static const char *const plain[] = {"carbon-steel-blue", "staff/1", "4.3 thou", "1/100",
                                        "Fenmoor 43 (old)",  "nominal", "one, two"};
    struct sw_buf out = {0};
    struct sw_emit emit = {.out = &out};
    for (size_t i = 0; i < sizeof quoted / sizeof *quoted; i++) {
        sw_emit_text(&emit, "k", quoted[i]);
        assert_string_equal(strchr(sw_buf_text(&out), '"') ? "quoted" : quoted[i], "quoted");
        sw_buf_done(&out);
    }
    for (size_t i = 0; i < sizeof plain / sizeof *plain; i++) {
        sw_emit_text(&emit, "k", plain[i]);
        assert_null(strchr(sw_buf_text(&out), '"'));
        sw_buf_done(&out);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_nearest_word_is_found_within_two_edits_or_by_its_stem),
        cmocka_unit_test(a_page_shows_keys_kinds_units_ranges_and_fallbacks),
        cmocka_unit_test(a_schema_is_the_same_bytes_every_time),
        cmocka_unit_test(a_schema_accepts_what_we_read_and_refuses_what_we_refuse),
        cmocka_unit_test(yaml_is_written_line_by_line_with_comments),
        cmocka_unit_test(pairs_and_truths_are_read_back_as_lists_and_truths),
        cmocka_unit_test(a_number_no_file_may_hold_makes_the_text_fail),
        cmocka_unit_test(what_is_written_reads_back_as_the_same_texts),
        cmocka_unit_test(words_yaml_would_read_otherwise_stand_in_quotes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
