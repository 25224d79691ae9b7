/* Pages for people: widths, numbers, bands. */
#include <math.h>
#include <string.h>

#include "report/text.h"
#include "support/near.h"

static void a_long_paragraph_keeps_to_96_columns_and_hangs(void **state)
{
    (void)state;
    struct sw_buf out = {0};
    char words[600] = "";
    for (int i = 0; i < 60; i++)
        memcpy(words + strlen(words), "staff sw", 9 - (size_t)(i % 3)); /* 8, 7 or 6 letters */
    for (int i = 7; i < 400; i += 8)
        words[i] = ' ';
    sw_text_wrap(&out, 4, "- ", 2, words);
    size_t n_lines = 0;
    for (const char *line = sw_buf_text(&out); *line; n_lines++) {
        const size_t n = strcspn(line, "\n");
        assert_true(n <= SW_TEXT_WIDTH);
        assert_memory_equal(line, n_lines == 0 ? "    - " : "      ", 6);
        assert_true(line[n - 1] != ' ');
        line += n + 1;
    }
    assert_true(n_lines > 3);
    sw_buf_done(&out);
}

static void a_word_longer_than_a_line_is_not_broken(void **state)
{
    (void)state;
    struct sw_buf out = {0};
    char word[121];
    memset(word, 'x', 120);
    word[120] = '\0';
    sw_text_say(&out, 0, "", "a %s b", word);
    char wanted[128];
    memcpy(wanted, "a\n", 2);
    memcpy(wanted + 2, word, 120);
    memcpy(wanted + 122, "\nb\n", 4);
    assert_string_equal(sw_buf_text(&out), wanted);
    sw_buf_done(&out);
}

static void a_line_may_be_exactly_full(void **state)
{
    (void)state;
    struct sw_buf out = {0};
    char words[98];
    memset(words, 'x', 97);
    words[94] = ' '; /* 94 + 1 + 1 = 96 */
    words[96] = '\0';
    sw_text_wrap(&out, 0, "", 0, words);
    assert_int_equal(strcspn(sw_buf_text(&out), "\n"), 96);
    sw_buf_done(&out);
}

static void code_points_count_not_bytes(void **state)
{
    (void)state;
    struct sw_buf out = {0};
    sw_buf_add(&out, "");
    char words[400] = "";
    for (int i = 0; i < 24; i++)
        memcpy(words + strlen(words), "\xc3\xa9\xc3\xa9\xc3\xa9 ", 8); /* three letters, six bytes */
    sw_text_wrap(&out, 0, "", 0, words);
    assert_int_equal(strcspn(sw_buf_text(&out), "\n"), 24 * 6 + 23); /* 24 * 4 - 1 = 95 columns */
    sw_buf_done(&out);
}

static const char *band(struct sw_buf *out, double lower, double upper)
{
    const struct sw_band tolerance = {.lower = lower, .upper = upper, .given = true};
    sw_buf_done(out);
    sw_text_band(out, &tolerance);
    return sw_buf_text(out);
}

static void bands_read_as_a_drawing_has_them(void **state)
{
    (void)state;
    struct sw_buf out = {0};
    assert_string_equal(band(&out, -0.005, 0.005), "+-0.005");
    assert_string_equal(band(&out, -0.003, 0), "+0 -0.003");
    assert_string_equal(band(&out, 0, 0.003), "+0.003 -0");
    assert_string_equal(band(&out, 0.004, 0.008), "+0.008 +0.004");
    assert_string_equal(band(&out, -0.008, -0.004), "-0.004 -0.008");
    assert_string_equal(band(&out, 0, 0), "");
    sw_buf_done(&out);
}

static void what_is_no_number_is_a_dash_and_zero_has_no_sign(void **state)
{
    (void)state;
    struct sw_buf out = {0};
    sw_text_number(&out, NAN, 3);
    sw_text_number(&out, -0.0001, 3);
    sw_text_bounds(&out, NAN, NAN, 3);
    sw_text_bounds(&out, 0.12201, 0.12204, 4);
    sw_buf_add(&out, "/");
    sw_text_bounds(&out, 0.1220, 0.1222, 4);
    assert_false(out.failed);
    assert_string_equal(sw_buf_text(&out), "-0.000-0.1220/0.1220 to 0.1222");
    assert_false(signbit(sw_text_round(-0.0001, 3)));
    sw_buf_done(&out);
}

static void times_are_rounded_up_to_seconds(void **state)
{
    (void)state;
    struct sw_buf out = {0};
    sw_text_seconds(&out, 47.2);
    sw_buf_add(&out, "; ");
    sw_text_seconds(&out, 184.5);
    assert_string_equal(sw_buf_text(&out), "48 s; 3 min 05 s");
    sw_buf_done(&out);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_long_paragraph_keeps_to_96_columns_and_hangs),
        cmocka_unit_test(a_word_longer_than_a_line_is_not_broken),
        cmocka_unit_test(a_line_may_be_exactly_full),
        cmocka_unit_test(code_points_count_not_bytes),
        cmocka_unit_test(bands_read_as_a_drawing_has_them),
        cmocka_unit_test(what_is_no_number_is_a_dash_and_zero_has_no_sign),
        cmocka_unit_test(times_are_rounded_up_to_seconds),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
