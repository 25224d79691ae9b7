/* YAML to a tree: what is read, and the exact words for what is not. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "base/file.h"
#include "spec/node.h"
#include "support/near.h"

static struct sw_node *parse(const char *text, struct sw_ctx *ctx)
{
    struct sw_node *root = NULL;
    assert_int_equal(sw_node_parse(&root, "a.yaml", text, strlen(text), ctx), SW_OK);
    assert_non_null(root);
    return root;
}

static void assert_refused_n(const char *text, size_t size, const char *wanted)
{
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_node *root = NULL;
    assert_int_equal(sw_node_parse(&root, "a.yaml", text, size, &ctx), SW_INPUT);
    assert_null(root);
    assert_string_equal(sw_test_diagnostics(&ctx), wanted);
    sw_test_ctx_free(&ctx);
}

static void assert_refused(const char *text, const char *wanted)
{
    assert_refused_n(text, strlen(text), wanted);
}

static void assert_at(struct sw_span at, uint32_t line, uint32_t column, uint32_t length)
{
    assert_int_equal(at.line, line);
    assert_int_equal(at.column, column);
    assert_int_equal(at.length, length);
}

static void everything_in_the_tree_knows_its_place(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_node *root = parse("a: 12\n"
                                       "\xc3\xa4\xc3\xb6: {b: 'x y', c: [1, 22]}\n"
                                       "d:\n"
                                       "  - e\n"
                                       "  - f: g\n",
                                       &ctx);
    assert_int_equal(root->kind, SW_NODE_MAP);
    assert_int_equal(root->n, 3);
    const struct sw_node *a = root->first;
    assert_string_equal(a->key, "a");
    assert_string_equal(a->text, "12");
    assert_false(a->is_quoted);
    assert_at(a->key_at, 1, 1, 1);
    assert_at(a->at, 1, 4, 2);
    const struct sw_node *map = a->next;
    assert_string_equal(map->key, "\xc3\xa4\xc3\xb6");
    assert_at(map->key_at, 2, 1, 2);
    assert_at(map->at, 2, 5, 1);
    assert_int_equal(map->n, 2);
    const struct sw_node *b = sw_node_get(map, "b"), *c = sw_node_get(map, "c");
    assert_string_equal(b->text, "x y");
    assert_true(b->is_quoted);
    assert_at(b->at, 2, 9, 5);
    assert_int_equal(c->kind, SW_NODE_LIST);
    assert_at(c->first->next->at, 2, 23, 2);
    assert_null(c->first->key);
    const struct sw_node *d = sw_node_get(root, "d");
    assert_int_equal(d->n, 2);
    assert_at(d->first->at, 4, 5, 1);
    assert_at(sw_node_get(d->first->next, "f")->at, 5, 8, 1);
    assert_null(sw_node_get(root, "none"));
    assert_null(sw_node_get(a, "a"));
    assert_null(d->next);
    sw_test_ctx_free(&ctx);
}

static void places_hold_with_other_line_ends_and_a_byte_order_mark(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    /* YAML ends lines at CR, NEL and LS too; a diagnostic shows lines that end with LF. */
    const struct sw_node *root = parse("\xef\xbb\xbf"
                                       "a: 1\r\nb: 2\r\n# x \xe2\x80\xa8# y\nc: 3\n",
                                       &ctx);
    assert_at(sw_node_get(root, "a")->at, 1, 4, 1);
    assert_at(sw_node_get(root, "b")->at, 2, 4, 1);
    assert_at(sw_node_get(root, "c")->at, 4, 4, 1);
    sw_test_ctx_free(&ctx);
}

static void block_texts_and_escapes_are_read_as_yaml_says(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_node *root = parse("%YAML 1.1\n---\na: |\n  x\n  y\nb: >\n  x\n  y\n"
                                       "c: \"t\\tq\\\"\\u00e9\"\nd:\ne: ''\n...\n",
                                       &ctx);
    assert_string_equal(sw_node_get(root, "a")->text, "x\ny\n");
    assert_true(sw_node_get(root, "a")->is_quoted);
    assert_string_equal(sw_node_get(root, "b")->text, "x y\n");
    assert_string_equal(sw_node_get(root, "c")->text, "t\tq\"\xc3\xa9");
    assert_string_equal(sw_node_get(root, "d")->text, "");
    assert_false(sw_node_get(root, "d")->is_quoted);
    assert_true(sw_node_get(root, "e")->is_quoted);
    sw_test_ctx_free(&ctx);
}

static void a_repeated_key_is_refused_with_the_line_of_the_first(void **state)
{
    (void)state;
    assert_refused("r: 1\nx: {a: 1, b: 2, a: 3}\nr: 2\n",
                   "a.yaml:2:17: error: the key `a` is given twice\n"
                   "    x: {a: 1, b: 2, a: 3}\n"
                   "                    ^\n"
                   "    hint: it stands first on line 2\n"
                   "a.yaml:3:1: error: the key `r` is given twice\n"
                   "    r: 2\n"
                   "    ^\n"
                   "    hint: it stands first on line 1\n");
}

static void what_yaml_can_do_and_we_do_not_read_is_refused_in_plain_words(void **state)
{
    (void)state;
    assert_refused("a: &x 1\nb: *x\n", "a.yaml:1:4: error: anchors (&name) are not read\n"
                                       "    a: &x 1\n"
                                       "       ^~~~\n"
                                       "    hint: write the value out where it is needed\n"
                                       "a.yaml:2:4: error: aliases (*name) are not read\n"
                                       "    b: *x\n"
                                       "       ^~\n"
                                       "    hint: write the value out where it is needed\n");
    assert_refused("a: !!str 1\nb: !x {c: 1}\n",
                   "a.yaml:1:4: error: tags (!name) are not read\n"
                   "    a: !!str 1\n"
                   "       ^~~~~~~\n"
                   "    hint: leave the tag out; the key says what kind of value it is\n"
                   "a.yaml:2:4: error: tags (!name) are not read\n"
                   "    b: !x {c: 1}\n"
                   "       ^~~~\n"
                   "    hint: leave the tag out; the key says what kind of value it is\n");
    assert_refused("a: 1\n---\nb: 2\n",
                   "a.yaml:2:1: error: a second document begins here\n"
                   "    ---\n"
                   "    ^~~\n"
                   "    hint: keep one document a file: remove the line `---`\n");
    assert_refused("%TAG ! tag:x,2000:\n---\na: 1\n",
                   "a.yaml:1:1: error: tags (%TAG) are not read\n"
                   "    %TAG ! tag:x,2000:\n"
                   "    ^\n"
                   "    hint: remove the line\n");
    assert_refused(
        "? [a, {b: c}]\n: 3\nc: 4\n? \"x\\ny\"\n: 5\n",
        "a.yaml:1:3: error: a key must be a short plain text on one line\n"
        "    ? [a, {b: c}]\n"
        "      ^\n"
        "    hint: write `key: value`; a text with a colon, brace or bracket goes in quotes\n"
        "a.yaml:4:3: error: a key must be a short plain text on one line\n"
        "    ? \"x\\ny\"\n"
        "      ^~~~~~\n"
        "    hint: write `key: value`; a text with a colon, brace or bracket goes in quotes\n");
}

static void a_text_that_is_no_yaml_is_refused_at_its_place(void **state)
{
    (void)state;
    assert_refused(
        "a:\n\tb: 1\n",
        "a.yaml:2:1: error: this is not YAML: found character that cannot start any token\n"
        "     b: 1\n"
        "    ^\n"
        "    hint: indent with spaces, not tabs; put texts that begin with a sign in quotes\n");
    assert_refused(
        "a: b: c\n",
        "a.yaml:1:5: error: this is not YAML: mapping values are not allowed in this context\n"
        "    a: b: c\n"
        "        ^\n"
        "    hint: put a text with a colon in quotes; indent keys of one map alike\n");
    assert_refused("x: 1\na: [1, 2\n",
                   "a.yaml:3:1: error: this is not YAML: did not find expected ',' or ']'\n"
                   "    hint: while parsing a flow sequence that begins on line 2, column 4\n");
}

static void an_empty_file_is_refused(void **state)
{
    (void)state;
    assert_refused("", "a.yaml: error: the file is empty\n");
    assert_refused("# only this\n\n", "a.yaml: error: the file is empty\n");
    assert_refused("---\n", "a.yaml: error: the file is empty\n");
    assert_refused("\xef\xbb\xbf", "a.yaml: error: the file is empty\n");
}

static void bytes_that_are_no_utf8_text_are_refused_at_their_place(void **state)
{
    (void)state;
    static const char *const bad[] = {
        "\xff",             /* never occurs */
        "\x80",             /* goes on without a beginning */
        "\xc3",             /* cut off at the end of the line */
        "\xc0\xaf",         /* a long form of '/' */
        "\xe0\x80\xaf",     /* a longer one */
        "\xed\xa0\x80",     /* a surrogate */
        "\xf4\x90\x80\x80", /* beyond U+10FFFF */
        "\xf8\x88\x80\x80\x80",
    };
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        char text[40], wanted[200];
        struct sw_ctx ctx = sw_test_ctx();
        struct sw_node *root = NULL;
        snprintf(text, sizeof text, "a: 1\n\xc3\xa4: %s\n", bad[i]);
        assert_int_equal(sw_node_parse(&root, "a.yaml", text, strlen(text), &ctx), SW_INPUT);
        snprintf(wanted, sizeof wanted, "a.yaml:2:4: error: the byte 0x%02x is not UTF-8 text\n",
                 (unsigned)(unsigned char)bad[i][0]);
        assert_non_null(strstr(sw_test_diagnostics(&ctx), wanted));
        sw_test_ctx_free(&ctx);
    }
    assert_refused_n("a: b\0c\n", 7,
                     "a.yaml:1:5: error: the control character U+0000 is not allowed\n"
                     "    a: b?c\n"
                     "        ^\n"
                     "    hint: remove it; the file must be plain text\n");
    assert_refused("a: \"x\\e[0m\"\n",
                   "a.yaml:1:4: error: the text holds the control character U+001B\n"
                   "    a: \"x\\e[0m\"\n"
                   "       ^~~~~~~~\n"
                   "    hint: remove the escape\n");
}

static void depth_and_number_of_values_have_limits(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    parse("[[[[[[[[[[[[[[[[1]]]]]]]]]]]]]]]]", &ctx); /* sixteen */
    sw_test_ctx_free(&ctx);
    assert_refused("[[[[[[[[[[[[[[[[[1]]]]]]]]]]]]]]]]]",
                   "a.yaml:1:17: error: lists and maps are nested more than 16 deep\n"
                   "    [[[[[[[[[[[[[[[[[1]]]]]]]]]]]]]]]]]\n"
                   "                    ^\n");
    struct sw_buf text = {0};
    for (int i = 0; i < 100000; i++)
        sw_buf_add(&text, "[");
    ctx = sw_test_ctx();
    struct sw_node *root = NULL;
    assert_int_equal(sw_node_parse(&root, "a", sw_buf_text(&text), text.n, &ctx), SW_INPUT);
    sw_test_ctx_free(&ctx);
    sw_buf_done(&text);

    for (int i = 0; i < SW_SPEC_MOST_NODES - 1; i++)
        sw_buf_add(&text, "- 1\n");
    ctx = sw_test_ctx();
    assert_int_equal(sw_node_parse(&root, "a", sw_buf_text(&text), text.n, &ctx), SW_OK);
    assert_int_equal(root->n, SW_SPEC_MOST_NODES - 1);
    sw_test_ctx_free(&ctx);
    sw_buf_add(&text, "- 1\n");
    ctx = sw_test_ctx();
    assert_int_equal(sw_node_parse(&root, "a", sw_buf_text(&text), text.n, &ctx), SW_INPUT);
    assert_string_equal(sw_test_diagnostics(&ctx),
                        "a:20000:3: error: more than 20000 values in one file\n"
                        "    - 1\n"
                        "      ^\n"
                        "    hint: split the file\n");
    sw_test_ctx_free(&ctx);
    sw_buf_done(&text);
}

/* Random bytes and random pieces of YAML: nothing but an answer is asked for. */
static void junk_always_gets_an_answer(void **state)
{
    (void)state;
    static const char *const piece[] = {
        "a",  ": ", "- ",  "\n",    "  ",  "[",       "]",   "{",        "}",    ", ",  "\"",
        "'",  "|",  ">",   "#",     "&x ", "*x",      "!t ", "? ",       "%",    "---", "\t",
        "\r", "~",  "0.5", "\\x41", "<<",  "\n---\n", "@",   "\xc3\xa4", "...\n"};
    uint64_t seed = 88172645463325252ULL;
    for (int i = 0; i < 20000; i++) {
        struct sw_buf text = {0};
        struct sw_ctx ctx = sw_test_ctx();
        struct sw_node *root = NULL;
        for (int j = 0; j < i % 40; j++) {
            seed ^= seed << 13;
            seed ^= seed >> 7;
            seed ^= seed << 17;
            const char byte = (char)(seed >> 40);
            if (i % 4 == 0)
                sw_buf_addn(&text, &byte, 1);
            else
                sw_buf_add(&text, piece[seed % (sizeof piece / sizeof *piece)]);
        }
        const enum sw_status status = sw_node_parse(&root, "a", sw_buf_text(&text), text.n, &ctx);
        assert_true(status == SW_OK ? root != NULL && sw_diag_n_errors(ctx.diag) == 0
                                    : status == SW_INPUT && sw_diag_n_errors(ctx.diag) > 0);
        sw_test_ctx_free(&ctx);
        sw_buf_done(&text);
    }
}

static void a_file_of_a_hundred_megabytes_is_refused_at_once(void **state)
{
    (void)state;
    char path[] = "/tmp/sw-test-XXXXXX", wanted[200];
    const int fd = mkstemp(path);
    assert_true(fd >= 0);
    assert_int_equal(ftruncate(fd, 100L * 1000 * 1000), 0);
    close(fd);
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_node *root = NULL;
    const clock_t start = clock();
    assert_int_equal(sw_node_load(&root, path, &ctx), SW_UNREADABLE);
    assert_true(clock() - start < CLOCKS_PER_SEC / 2);
    snprintf(wanted, sizeof wanted,
             "staffwright: error: %s is too large: at most 1048576 bytes are read\n", path);
    assert_string_equal(sw_test_diagnostics(&ctx), wanted);
    unlink(path);
    sw_test_ctx_free(&ctx);
}

static void a_file_is_loaded_under_its_own_name(void **state)
{
    (void)state;
    char path[] = "/tmp/sw-test-XXXXXX";
    const int fd = mkstemp(path);
    assert_true(fd >= 0);
    assert_int_equal(write(fd, "a: 1\n", 5), 5);
    close(fd);
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_node *root = NULL;
    assert_int_equal(sw_node_load(&root, path, &ctx), SW_OK);
    assert_string_equal(sw_diag_source_name(ctx.diag, root->at.source), path);
    unlink(path);
    assert_int_equal(sw_node_load(&root, path, &ctx), SW_UNREADABLE);
    assert_null(root);
    sw_test_ctx_free(&ctx);
}

static void assert_format(const char *text, const char *wanted)
{
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_node *root = parse(text, &ctx);
    const enum sw_status status = sw_node_check_format(root, "staff/1", &ctx);
    assert_int_equal(status, wanted[0] ? SW_INPUT : SW_OK);
    assert_string_equal(sw_test_diagnostics(&ctx), wanted);
    sw_test_ctx_free(&ctx);
}

static void kind_and_version_of_a_file_are_checked_in_words_of_their_own(void **state)
{
    (void)state;
    assert_format("format: staff/1\n", "");
    assert_format("a: 1\nformat: staff/1.0\n", "");
    assert_format("a: 1\n", "a.yaml:1:1: error: the key `format` is missing\n"
                            "    a: 1\n"
                            "    ^\n"
                            "    hint: begin the file with `format: staff/1`\n");
    assert_format("[1]\n",
                  "a.yaml:1:1: error: a file of the kind `staff` is a map of keys and values\n"
                  "    [1]\n"
                  "    ^\n"
                  "    hint: begin the file with `format: staff/1`\n");
    assert_format(
        "format: shop/1\n",
        "a.yaml:1:9: error: this is a file of the kind `shop`; one of the kind `staff` is "
        "wanted here\n"
        "    format: shop/1\n"
        "            ^~~~~~\n");
    assert_format("format: staff/2\n",
                  "a.yaml:1:9: error: version 2 of `staff` files is not known; version 1 is read\n"
                  "    format: staff/2\n"
                  "            ^~~~~~~\n");
    assert_format(
        "format: staff/1.2\n",
        "a.yaml:1:9: error: the file has the newer form 1.2 of `staff`; forms up to 1.0 are "
        "read\n"
        "    format: staff/1.2\n"
        "            ^~~~~~~~~\n"
        "    hint: a newer staffwright reads it\n");
    static const char *const odd[] = {
        "staff", "staff/", "/1", "staff/x", "staff/1.", "staff/1x", "staff/1234567", "[staff/1]"};
    for (size_t i = 0; i < sizeof odd / sizeof *odd; i++) {
        char text[60];
        struct sw_ctx ctx = sw_test_ctx();
        snprintf(text, sizeof text, "format: %s\n", odd[i]);
        assert_int_equal(sw_node_check_format(parse(text, &ctx), "staff/1", &ctx), SW_INPUT);
        assert_non_null(strstr(sw_test_diagnostics(&ctx),
                               "`format` must be a kind and a version, such as `staff/1`"));
        sw_test_ctx_free(&ctx);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(everything_in_the_tree_knows_its_place),
        cmocka_unit_test(places_hold_with_other_line_ends_and_a_byte_order_mark),
        cmocka_unit_test(block_texts_and_escapes_are_read_as_yaml_says),
        cmocka_unit_test(a_repeated_key_is_refused_with_the_line_of_the_first),
        cmocka_unit_test(what_yaml_can_do_and_we_do_not_read_is_refused_in_plain_words),
        cmocka_unit_test(a_text_that_is_no_yaml_is_refused_at_its_place),
        cmocka_unit_test(an_empty_file_is_refused),
        cmocka_unit_test(bytes_that_are_no_utf8_text_are_refused_at_their_place),
        cmocka_unit_test(depth_and_number_of_values_have_limits),
        cmocka_unit_test(junk_always_gets_an_answer),
        cmocka_unit_test(a_file_of_a_hundred_megabytes_is_refused_at_once),
        cmocka_unit_test(a_file_is_loaded_under_its_own_name),
        cmocka_unit_test(kind_and_version_of_a_file_are_checked_in_words_of_their_own),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
