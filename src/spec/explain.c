#include <string.h>

#include "spec/inside.h"

enum { WIDTH = 78, KEY_COLUMN = 2, TEXT_COLUMN = 6 };

/* Appends words with line breaks; every line but a first one already begun stands at COLUMN. */
static void add_wrapped(struct sw_buf *out, const char *text, size_t column)
{
    size_t at = 0;
    for (const char *word = text; *word;) {
        const size_t n = strcspn(word, " ");
        if (at > 0 && at + 1 + n > WIDTH) {
            sw_buf_add(out, "\n");
            at = 0;
        }
        if (at == 0) {
            sw_buf_pad(out, column);
            at = column;
        } else {
            sw_buf_add(out, " ");
            at++;
        }
        sw_buf_addn(out, word, n);
        at += n;
        word += n + strspn(word + n, " ");
    }
    sw_buf_add(out, "\n");
}

static void add_words(struct sw_buf *out, const char *const *words)
{
    for (size_t i = 0; words[i]; i++)
        sw_buf_printf(out, "%s%s", i == 0 ? "" : words[i + 1] ? ", " : " or ", words[i]);
}

static const char *article(const char *noun)
{
    return strchr("aeiou", noun[0]) ? "an" : "a";
}

static void add_quantity(struct sw_buf *out, enum sw_quantity quantity)
{
    const char *name = sw_spec_quantity_name(quantity), *unit = sw_quantity_unit(quantity);
    sw_buf_printf(out, "%s %s", article(name), name);
    if (unit[0])
        sw_buf_printf(out, " in %s", unit);
}

static void add_limits(struct sw_buf *out, const struct sw_field *field, const char *unit)
{
    if (!sw_spec_has_range(field))
        return;
    sw_buf_add(out, ", ");
    sw_spec_add_range(out, field->least, field->most, unit);
}

/* What may stand behind the key. */
static void add_kind(struct sw_buf *out, const struct sw_field *field)
{
    switch (field->kind) {
    case SW_FIELD_NUMBER:
        add_quantity(out, field->quantity);
        add_limits(out, field, "");
        if (field->words) {
            sw_buf_add(out, ", or ");
            add_words(out, field->words);
        }
        return;
    case SW_FIELD_INTEGER:
        sw_buf_add(out, "a whole number");
        add_limits(out, field, "");
        if (field->words) {
            sw_buf_add(out, ", or ");
            add_words(out, field->words);
        }
        return;
    case SW_FIELD_WORD:
        add_words(out, field->words);
        return;
    case SW_FIELD_TRUTH:
        sw_buf_add(out, "yes or no");
        return;
    case SW_FIELD_TEXT:
        sw_buf_add(out, "a text");
        return;
    case SW_FIELD_BAND:
        add_quantity(out, field->quantity);
        sw_buf_add(out, " that counts both ways, or [lower, upper]");
        add_limits(out, field, "");
        return;
    case SW_FIELD_MAP:
        sw_buf_printf(out, "a map: see %s", field->table->name);
        return;
    case SW_FIELD_LIST:
        sw_buf_printf(out, "a list: see %s", field->table->name);
        add_limits(out, field, "entries");
        return;
    case SW_FIELD_NAMED:
        sw_buf_printf(out, "a map of names, each with a map: see %s", field->table->name);
        add_limits(out, field, "entries");
        return;
    case SW_FIELD_NUMBERS:
        sw_buf_add(out, "a list, each ");
        add_quantity(out, field->quantity);
        add_limits(out, field, "");
        return;
    case SW_FIELD_TEXTS:
        sw_buf_add(out, "a list of texts");
        add_limits(out, field, "entries");
        return;
    case SW_FIELD_VARIANT:
        sw_buf_add(out, "a list, each one of: ");
        for (size_t i = 0; field->variants[i]; i++)
            sw_buf_printf(out, "%s%s", i ? ", " : "", field->variants[i]->name);
        add_limits(out, field, "entries");
        return;
    case SW_FIELD_NODE:
        sw_buf_add(out, "described with what it belongs to");
        return;
    }
}

static void explain_field(struct sw_buf *out, const struct sw_field *field)
{
    struct sw_buf kind = {0};
    sw_buf_pad(out, KEY_COLUMN);
    sw_buf_printf(out, "%s%s\n", field->key, field->is_required ? " (required)" : "");
    add_kind(&kind, field);
    if (field->fallback)
        sw_buf_printf(&kind, "; %s when left out", field->fallback);
    if (kind.failed)
        out->failed = true;
    else
        add_wrapped(out, sw_buf_text(&kind), TEXT_COLUMN);
    sw_buf_done(&kind);
    if (field->sentence)
        add_wrapped(out, field->sentence, TEXT_COLUMN);
}

/* One line for each quantity the table uses that has more than its base unit. */
static void explain_units(struct sw_buf *out, const struct sw_table *table)
{
    bool is_begun = false;
    for (int q = SW_QUANTITY_NONE + 1; q <= SW_QUANTITY_RATIO; q++) {
        const enum sw_quantity quantity = (enum sw_quantity)q;
        bool is_used = false;
        for (size_t i = 0; i < table->n; i++)
            is_used = is_used || table->field[i].quantity == quantity;
        if (!is_used)
            continue;
        if (!is_begun)
            sw_buf_add(out, "\nA unit may be written behind a number:\n");
        is_begun = true;
        sw_buf_pad(out, KEY_COLUMN);
        sw_buf_printf(out, "%s: ", sw_spec_quantity_name(quantity));
        sw_spec_add_units(out, quantity);
        if (quantity == SW_QUANTITY_RATIO)
            sw_buf_add(out, ", or a fraction such as 1/100");
        sw_buf_add(out, "\n");
    }
}

void sw_table_explain(const struct sw_table *table, struct sw_buf *out)
{
    sw_buf_printf(out, "%s\n", table->name);
    if (table->sentence)
        add_wrapped(out, table->sentence, KEY_COLUMN);
    sw_buf_add(out, "\n");
    if (sw_spec_is_root(table)) {
        sw_buf_pad(out, KEY_COLUMN);
        sw_buf_printf(out, "format (required)\n");
        sw_buf_pad(out, TEXT_COLUMN);
        sw_buf_printf(out, "%s\n", table->name);
    }
    for (size_t i = 0; i < table->n; i++)
        explain_field(out, &table->field[i]);
    explain_units(out, table);
}
