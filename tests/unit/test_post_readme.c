/* The reference tables in postprocessors/README.md are made from the field table and the list of
 * placeholders. When they are out of date, the fresh text is left as post-README.md.got. */
#include "test_post_sample.h"

#include "base/file.h"
#include "spec/table.h"

static void add_value(struct sw_buf *out, const struct sw_field *field)
{
    static const char *const kinds[] = {
        [SW_FIELD_NUMBER] = "number",       [SW_FIELD_INTEGER] = "whole number",
        [SW_FIELD_TRUTH] = "yes, no",       [SW_FIELD_TEXT] = "text",
        [SW_FIELD_TEXTS] = "list of texts",
    };
    if (field->kind == SW_FIELD_WORD)
        for (size_t i = 0; field->words[i]; i++)
            sw_buf_printf(out, "%s%s", i ? ", " : "", field->words[i]);
    else
        sw_buf_add(out, kinds[field->kind]);
    if (field->most > field->least && field->kind != SW_FIELD_TEXTS)
        sw_buf_printf(out, ", %g to %g%s%s", field->least, field->most, field->quantity ? " " : "",
                      sw_quantity_unit(field->quantity));
}

static void add_keys(struct sw_buf *out, const struct sw_table *table, const char *lead)
{
    for (size_t i = 0; i < table->n; i++) {
        const struct sw_field *field = &table->field[i];
        if (field->kind == SW_FIELD_MAP) {
            char longer[60];
            snprintf(longer, sizeof longer, "%s%s.", lead, field->key);
            add_keys(out, field->table, longer);
            continue;
        }
        sw_buf_printf(out, "| `%s%s` | ", lead, field->key);
        add_value(out, field);
        sw_buf_printf(out, " | %s%s%s | %s |\n",
                      field->fallback      ? "`"
                      : field->is_required ? "must be given"
                                           : "",
                      field->fallback ? field->fallback : "", field->fallback ? "`" : "",
                      field->sentence);
    }
}

static void add_places(struct sw_buf *out, unsigned places)
{
    static const char *const names[] = {"head",
                                        "tool_change",
                                        "section",
                                        "spindle_*",
                                        "surface_*",
                                        "stop",
                                        "dwell",
                                        "pause",
                                        "tail",
                                        "corrections.head, on, off",
                                        "corrections.x, called"};
    if (places == SW_POST_AT_LINES) {
        sw_buf_add(out, "all lines");
        return;
    }
    const char *lead = "";
    for (unsigned i = 0; i < sizeof names / sizeof *names; i++) {
        if (!(places & 1U << i))
            continue;
        sw_buf_printf(out, "%s%s", lead, names[i]);
        lead = ", ";
    }
}

static void add_reference(struct sw_buf *out)
{
    sw_buf_add(out, "| key | value | default | meaning |\n|---|---|---|---|\n");
    add_keys(out, &sw_post_table, "");
    sw_buf_add(out, "\n| placeholder | where | meaning |\n|---|---|---|\n");
    for (const struct sw_post_placeholder *p = sw_post_placeholders; p->name; p++) {
        sw_buf_printf(out, "| `{%s}` | ", p->name);
        add_places(out, p->places);
        sw_buf_printf(out, " | %s |\n", p->sentence);
    }
}

static void the_reference_tables_are_fresh(void **state)
{
    (void)state;
    static const char begin[] = "<!-- reference -->\n", end[] = "<!-- end of reference -->\n";
    struct sw_ctx ctx = sw_test_ctx();
    const char *text;
    size_t size;
    assert_int_equal(sw_file_read(&text, &size, SW_SOURCE_DIR "/postprocessors/README.md",
                                  SW_FILE_MOST_INPUT, &ctx),
                     SW_OK);
    const char *from = strstr(text, begin), *to = strstr(text, end);
    assert_non_null(from);
    assert_non_null(to);
    struct sw_buf fresh = {0};
    sw_buf_addn(&fresh, text, (size_t)(from - text) + strlen(begin));
    add_reference(&fresh);
    sw_buf_add(&fresh, to);
    const bool is_fresh = strcmp(sw_buf_text(&fresh), text) == 0;
    if (!is_fresh)
        sample_file("post-README.md.got", sw_buf_text(&fresh));
    sw_buf_done(&fresh);
    sw_test_ctx_free(&ctx);
    assert_true(is_fresh);
}

static void the_example_in_it_is_a_dialect(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const char *text;
    size_t size;
    assert_int_equal(sw_file_read(&text, &size, SW_SOURCE_DIR "/postprocessors/README.md",
                                  SW_FILE_MOST_INPUT, &ctx),
                     SW_OK);
    const char *from = strstr(text, "```yaml\n");
    assert_non_null(from);
    from += strlen("```yaml\n");
    const char *to = strstr(from, "```");
    assert_non_null(to);
    sample_file("readme-example.yaml", sw_arena_copy(ctx.arena, from, (size_t)(to - from)));
    const struct sw_post *post = sample_dialect("readme-example", &ctx);
    struct sw_machine machine = sample_turning_machine();
    machine.control.speed_clamp.value = SW_CLAMP_G92;
    if (sw_post_check(post, &machine, &ctx) != SW_OK)
        fail_msg("%s", sw_test_diagnostics(&ctx));
    sw_test_ctx_free(&ctx);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(the_reference_tables_are_fresh),
                                       cmocka_unit_test(the_example_in_it_is_a_dialect)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
