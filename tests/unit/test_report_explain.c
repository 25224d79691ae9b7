/* Pages about words. */
#include <string.h>

#include "part/staff.h"
#include "report/explain.h"
#include "support/near.h"
#include "verify/verify.h"

static const char *page(struct sw_ctx *ctx, bool *found, const char **nearest, const char *word)
{
    struct sw_buf out = {0};
    assert_int_equal(sw_report_explain(&out, found, nearest, word, ctx), SW_OK);
    const char *copy = sw_arena_copy(ctx->arena, sw_buf_text(&out), out.n);
    sw_buf_done(&out);
    assert_non_null(copy);
    return copy;
}

static void every_finding_and_every_key_of_every_file_has_a_page(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    bool found;
    const char *nearest;
    for (int code = 0; code < SW_N_FINDINGS; code++) {
        const char *word = sw_finding_word((enum sw_finding_code)code);
        const char *sentence = sw_finding_sentence((enum sw_finding_code)code);
        const char *first = sw_arena_copy(ctx.arena, sentence, strcspn(sentence, " "));
        assert_non_null(first);
        const char *text = page(&ctx, &found, &nearest, word);
        assert_true(found);
        assert_memory_equal(text, word, strlen(word));
        assert_non_null(strstr(text, first));
    }
    for (const struct sw_report_kind *kind = sw_report_kinds(); kind->word; kind++) {
        assert_ptr_equal(sw_report_kind(kind->table->name), kind);
        for (size_t i = 0; i < kind->table->n; i++) {
            const char *key = kind->table->field[i].key;
            assert_non_null(strstr(page(&ctx, &found, &nearest, key), key));
            assert_true(found);
        }
    }
    sw_test_ctx_free(&ctx);
}

static void keys_deep_inside_and_words_of_a_choice_are_found(void **state)
{
    (void)state;
    static const char *const word[] = {"dome_height", "pivot",    "back_slope", "tip-first",
                                       "burnished",   "nose-centre", "staff/1", "tool_offsets"};
    struct sw_ctx ctx = sw_test_ctx();
    for (size_t i = 0; i < sizeof word / sizeof *word; i++) {
        bool found = false;
        const char *nearest;
        assert_true(strlen(page(&ctx, &found, &nearest, word[i])) > 20);
        assert_true(found);
    }
    sw_test_ctx_free(&ctx);
}

static void an_unknown_word_gets_its_nearest_neighbour_and_no_page(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    bool found = true;
    const char *nearest = NULL;
    assert_string_equal(page(&ctx, &found, &nearest, "dome_heigth"), "");
    assert_false(found);
    assert_string_equal(nearest, "dome_height");
    page(&ctx, &found, &nearest, "qqqqqqqqqqqq");
    assert_false(found);
    assert_null(nearest);
    sw_test_ctx_free(&ctx);
}

static void all_tables_of_all_files_hold_together(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    for (const struct sw_report_kind *kind = sw_report_kinds(); kind->word; kind++)
        assert_int_equal(sw_table_check(kind->table, &ctx), SW_OK);
    sw_test_ctx_free(&ctx);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_finding_and_every_key_of_every_file_has_a_page),
        cmocka_unit_test(keys_deep_inside_and_words_of_a_choice_are_found),
        cmocka_unit_test(an_unknown_word_gets_its_nearest_neighbour_and_no_page),
        cmocka_unit_test(all_tables_of_all_files_hold_together),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
