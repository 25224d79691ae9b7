/* JSON Schema, draft 2020-12 (json-schema.org): every table becomes a definition, so that tables
 * may be shared. What a schema cannot say (two numbers in order, a range behind a unit) the reader
 * still checks. */
#include <math.h>
#include <string.h>

#include "base/num.h"
#include "spec/inside.h"

enum { MOST_TABLES = 200 };

/* A table's first field is the name in a SW_FIELD_NAMED map and stands outside its own map there.
 */
struct definition {
    const struct sw_table *table;
    bool is_named;
};

struct writer {
    struct sw_buf *out;
    int depth;
    bool needs_comma;
    struct definition definition[MOST_TABLES];
    size_t n;
};

static void new_line(struct writer *w)
{
    sw_buf_add(w->out, w->needs_comma ? ",\n" : "\n");
    for (int i = 0; i < w->depth; i++)
        sw_buf_add(w->out, "  ");
    w->needs_comma = true;
}

static void add_text(struct writer *w, const char *text)
{
    sw_buf_add(w->out, "\"");
    for (const char *c = text; *c; c++) {
        if (*c == '"' || *c == '\\')
            sw_buf_printf(w->out, "\\%c", *c);
        else if ((unsigned char)*c < 0x20)
            sw_buf_printf(w->out, "\\u%04x", (unsigned)(unsigned char)*c);
        else
            sw_buf_addn(w->out, c, 1);
    }
    sw_buf_add(w->out, "\"");
}

static void key(struct writer *w, const char *name)
{
    new_line(w);
    add_text(w, name);
    sw_buf_add(w->out, ": ");
}

static void open(struct writer *w, const char *name, const char *bracket)
{
    if (name)
        key(w, name);
    else
        new_line(w);
    sw_buf_add(w->out, bracket);
    w->depth++;
    w->needs_comma = false;
}

static void close(struct writer *w, const char *bracket)
{
    w->depth--;
    w->needs_comma = false;
    new_line(w);
    sw_buf_add(w->out, bracket);
}

static void text(struct writer *w, const char *name, const char *value)
{
    key(w, name);
    add_text(w, value);
}

static void raw(struct writer *w, const char *name, const char *value)
{
    key(w, name);
    sw_buf_add(w->out, value);
}

static void number(struct writer *w, const char *name, double value)
{
    if (!isfinite(value))
        return;
    key(w, name);
    sw_spec_add_number(w->out, value);
}

static void add_pattern_units(struct sw_buf *out, enum sw_quantity quantity)
{
    const char *between = "";
    for (const struct sw_spec_unit *unit = sw_spec_units; unit->name; unit++) {
        if (unit->quantity != quantity)
            continue;
        sw_buf_add(out, between);
        sw_buf_add(out, unit->name); /* no unit has a character that patterns treat apart */
        between = "|";
    }
}

/* {"type": "string", "pattern": ...}: a number, with a unit or without. */
static void number_text(struct writer *w, enum sw_quantity quantity, bool may_be_negative)
{
    struct sw_buf pattern = {0};
    const char *sign = may_be_negative ? "[+-]?" : "[+]?";
    open(w, NULL, "{");
    text(w, "type", "string");
    sw_buf_printf(&pattern, "^ *%s[0-9]+([.][0-9]+)?", sign);
    if (quantity != SW_QUANTITY_NONE) {
        sw_buf_add(&pattern, " *(");
        add_pattern_units(&pattern, quantity);
        sw_buf_add(&pattern, ")?");
    }
    sw_buf_add(&pattern, " *$");
    if (sw_spec_takes_fractions(quantity)) {
        sw_buf_printf(&pattern, "|^ *%s[0-9]+([.][0-9]+)?/[0-9]+ *(", sign);
        add_pattern_units(&pattern, quantity);
        sw_buf_add(&pattern, quantity == SW_QUANTITY_LENGTH ? ") *$" : ")? *$");
    }
    if (pattern.failed)
        w->out->failed = true;
    text(w, "pattern", sw_buf_text(&pattern));
    sw_buf_done(&pattern);
    close(w, "}");
}

static void words(struct writer *w, const char *const *list)
{
    open(w, "enum", "[");
    for (size_t i = 0; list[i]; i++) {
        new_line(w);
        add_text(w, list[i]);
    }
    close(w, "]");
}

/* The alternatives for one number, inside an open object. */
static void number_choices(struct writer *w, const struct sw_field *field, bool may_be_negative)
{
    open(w, "anyOf", "[");
    open(w, NULL, "{");
    text(w, "type", field->kind == SW_FIELD_INTEGER ? "integer" : "number");
    if (sw_spec_has_range(field)) {
        number(w, "minimum", may_be_negative ? field->least : fmax(field->least, 0));
        number(w, "maximum", field->most);
    } else if (!may_be_negative) {
        number(w, "minimum", 0);
    }
    close(w, "}");
    number_text(w, field->quantity, may_be_negative);
    if (field->words) {
        open(w, NULL, "{");
        words(w, field->words);
        close(w, "}");
    }
}

static void band(struct writer *w, const struct sw_field *field)
{
    number_choices(w, field, false);
    open(w, NULL, "{");
    text(w, "type", "array");
    raw(w, "minItems", "2");
    raw(w, "maxItems", "2");
    open(w, "items", "{");
    number_choices(w, field, true);
    close(w, "]");
    close(w, "}");
    close(w, "}");
    close(w, "]");
}

/* Gives the name of a table's definition; two tables of one name are told apart by a number. */
static void add_definition_name(struct writer *w, struct sw_buf *out, const struct sw_table *table,
                                bool is_named)
{
    size_t i = 0, same = 0;
    for (; i < w->n; i++) {
        if (w->definition[i].table == table && w->definition[i].is_named == is_named)
            break;
        same += strcmp(w->definition[i].table->name, table->name) == 0;
    }
    if (i == w->n) {
        if (w->n == MOST_TABLES) {
            out->failed = true;
            return;
        }
        w->definition[w->n++] = (struct definition){table, is_named};
    }
    for (const char *c = table->name; *c; c++)
        sw_buf_addn(out, *c == '/' || *c == ' ' ? "-" : c, 1);
    if (same)
        sw_buf_printf(out, "-%zu", same + 1);
}

static void reference(struct writer *w, const struct sw_table *table, bool is_named)
{
    key(w, "$ref");
    sw_buf_add(w->out, "\"#/$defs/");
    add_definition_name(w, w->out, table, is_named);
    sw_buf_add(w->out, "\"");
}

static void counts(struct writer *w, const struct sw_field *field, const char *least,
                   const char *most)
{
    if (!sw_spec_has_range(field))
        return;
    number(w, least, fmax(field->least, 0));
    number(w, most, field->most);
}

static void variants(struct writer *w, const struct sw_field *field)
{
    open(w, "items", "{");
    open(w, "oneOf", "[");
    for (size_t i = 0; field->variants[i]; i++) {
        const char *name = field->variants[i]->name;
        open(w, NULL, "{");
        text(w, "type", "object");
        open(w, "properties", "{");
        open(w, name, "{");
        reference(w, field->variants[i], false);
        close(w, "}");
        close(w, "}");
        open(w, "required", "[");
        new_line(w);
        add_text(w, name);
        close(w, "]");
        raw(w, "additionalProperties", "false");
        close(w, "}");
    }
    close(w, "]");
    close(w, "}");
}

static void any_text(struct writer *w)
{
    /* A name such as 43 is read as the text it is, whatever YAML takes it for. */
    raw(w, "type", "[\"string\", \"number\", \"boolean\"]");
}

static void value(struct writer *w, const struct sw_field *field)
{
    switch (field->kind) {
    case SW_FIELD_NUMBER:
    case SW_FIELD_INTEGER:
        number_choices(w, field, true);
        close(w, "]");
        return;
    case SW_FIELD_WORD:
        words(w, field->words);
        return;
    case SW_FIELD_TRUTH:
        raw(w, "enum", "[true, false, \"yes\", \"no\", \"on\", \"off\"]");
        return;
    case SW_FIELD_TEXT:
        any_text(w);
        counts(w, field, "minLength", "maxLength");
        return;
    case SW_FIELD_BAND:
        band(w, field);
        return;
    case SW_FIELD_MAP:
        reference(w, field->table, false);
        return;
    case SW_FIELD_NAMED:
        text(w, "type", "object");
        counts(w, field, "minProperties", "maxProperties");
        open(w, "additionalProperties", "{");
        reference(w, field->table, true);
        close(w, "}");
        return;
    case SW_FIELD_NODE:
        return;
    case SW_FIELD_LIST:
    case SW_FIELD_NUMBERS:
    case SW_FIELD_TEXTS:
    case SW_FIELD_VARIANT:
        break;
    }
    text(w, "type", "array");
    if (field->kind != SW_FIELD_NUMBERS)
        counts(w, field, "minItems", "maxItems");
    if (field->kind == SW_FIELD_VARIANT) {
        variants(w, field);
        return;
    }
    open(w, "items", "{");
    if (field->kind == SW_FIELD_LIST) {
        reference(w, field->table, false);
    } else if (field->kind == SW_FIELD_TEXTS) {
        any_text(w);
    } else {
        number_choices(w, field, true);
        close(w, "]");
    }
    close(w, "}");
}

/* A fallback as JSON: a bare number or truth as such, a list of them, anything else as text. */
static void add_default_item(struct writer *w, const struct sw_field *field, const char *at,
                             size_t n)
{
    double unused;
    char item[64];
    if (field->kind != SW_FIELD_TEXT && field->kind != SW_FIELD_TEXTS &&
        sw_num_parse(&unused, at, n)) {
        sw_spec_add_number(w->out, unused);
        return;
    }
    if (n >= sizeof item) {
        w->out->failed = true;
        return;
    }
    memcpy(item, at, n);
    item[n] = '\0';
    if (field->kind == SW_FIELD_TRUTH)
        sw_buf_add(w->out, sw_spec_truth(item) == 1 ? "true" : "false");
    else
        add_text(w, item);
}

static void add_default(struct writer *w, const struct sw_field *field)
{
    const char *at = field->fallback;
    const size_t size = strlen(at);
    key(w, "default");
    if (at[0] != '[') {
        add_default_item(w, field, at, size);
        return;
    }
    sw_buf_add(w->out, "[");
    const char *end = at + size - 1;
    for (at++; at < end;) {
        at += strspn(at, " ");
        const size_t n = strcspn(at, ",]");
        add_default_item(w, field, at, n);
        at += n + 1;
        if (at < end)
            sw_buf_add(w->out, ", ");
    }
    sw_buf_add(w->out, "]");
}

static void object(struct writer *w, const struct sw_table *table, bool is_named)
{
    const size_t first = is_named ? 1 : 0;
    size_t n_required = sw_spec_is_root(table) ? 1 : 0;
    if (table->sentence)
        text(w, "description", table->sentence);
    text(w, "type", "object");
    open(w, "properties", "{");
    if (sw_spec_is_root(table)) {
        open(w, "format", "{");
        text(w, "description", "Kind and version of the file.");
        text(w, "const", table->name);
        close(w, "}");
    }
    for (size_t i = first; i < table->n; i++) {
        const struct sw_field *field = &table->field[i];
        n_required += field->is_required;
        open(w, field->key, "{");
        if (field->sentence)
            text(w, "description", field->sentence);
        if (field->fallback)
            add_default(w, field);
        value(w, field);
        close(w, "}");
    }
    close(w, "}");
    if (n_required) {
        open(w, "required", "[");
        if (sw_spec_is_root(table)) {
            new_line(w);
            add_text(w, "format");
        }
        for (size_t i = first; i < table->n; i++) {
            if (!table->field[i].is_required)
                continue;
            new_line(w);
            add_text(w, table->field[i].key);
        }
        close(w, "]");
    }
    raw(w, "additionalProperties", "false");
}

void sw_table_schema(const struct sw_table *table, struct sw_buf *out)
{
    struct writer w = {.out = out};
    sw_buf_add(out, "{");
    w.depth = 1;
    text(&w, "$schema", "https://json-schema.org/draft/2020-12/schema");
    text(&w, "title", table->name);
    object(&w, table, false);
    if (w.n) {
        open(&w, "$defs", "{");
        /* Writing a definition may name further ones, which then follow. */
        for (size_t i = 0; i < w.n; i++) {
            const struct definition d = w.definition[i];
            new_line(&w);
            sw_buf_add(out, "\"");
            add_definition_name(&w, out, d.table, d.is_named);
            sw_buf_add(out, "\": {");
            w.depth++;
            w.needs_comma = false;
            object(&w, d.table, d.is_named);
            close(&w, "}");
        }
        close(&w, "}");
    }
    close(&w, "}");
    sw_buf_add(out, "\n");
}
