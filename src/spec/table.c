#include "spec/table.h"

#include <math.h>
#include <string.h>

#include "spec/inside.h"

/* The readers below report what is wrong and go on; they return SW_MEMORY or SW_OK, and whether
 * anything was wrong is seen from the number of errors at the end. */

static const char *kind_name(enum sw_node_kind kind)
{
    return kind == SW_NODE_MAP ? "a map" : kind == SW_NODE_LIST ? "a list" : "a single value";
}

bool sw_spec_is_nothing(const struct sw_node *node)
{
    static const char *const words[] = {"", "~", "null", "Null", "NULL"};
    if (node->kind != SW_NODE_SCALAR || node->is_quoted)
        return false;
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (strcmp(node->text, words[i]) == 0)
            return true;
    return false;
}

int sw_spec_truth(const char *text)
{
    static const char *const words[] = {"no", "yes", "false", "true", "off", "on"};
    for (int i = 0; i < 6; i++) {
        size_t n = 0;
        while (words[i][n] && (text[n] | 0x20) == words[i][n])
            n++;
        if (words[i][n] == '\0' && text[n] == '\0')
            return i % 2;
    }
    return -1;
}

bool sw_spec_is_root(const struct sw_table *table)
{
    return strchr(table->name, '/') != NULL;
}

struct sw_node *sw_spec_fallback_node(const char *text, struct sw_span at, struct sw_ctx *ctx)
{
    struct sw_node *node = SW_NEW(ctx->arena, struct sw_node, 1);
    if (!node)
        return NULL;
    const size_t size = strlen(text);
    *node = (struct sw_node){.kind = SW_NODE_SCALAR, .at = at, .text = text};
    if (size < 2 || text[0] != '[' || text[size - 1] != ']')
        return node;
    *node = (struct sw_node){.kind = SW_NODE_LIST, .at = at};
    struct sw_node **next = &node->first;
    const char *end = text + size - 1;
    for (const char *start = text + 1; start < end;) {
        start += strspn(start, " ");
        const size_t n = strcspn(start, ",]");
        struct sw_node *item = SW_NEW(ctx->arena, struct sw_node, 1);
        char *copy = sw_arena_copy(ctx->arena, start, n);
        if (!item || !copy)
            return NULL;
        *item = (struct sw_node){.kind = SW_NODE_SCALAR, .at = at, .text = copy};
        *next = item;
        next = &item->next;
        node->n++;
        start += n + 1;
    }
    return node;
}

/* Where a map is pointed at: the key that names it, or its first character. */
static struct sw_span place_of(const struct sw_node *map)
{
    return map->key && map->key[0] ? map->key_at : map->at;
}

/* How messages name a value: by its key, or as an item of the field that lists it. */
static const char *name_of(const struct sw_node *node, const struct sw_field *field,
                           struct sw_ctx *ctx)
{
    if (node->key)
        return sw_arena_printf(ctx->arena, "`%s`", node->key);
    return field && field->key ? sw_arena_printf(ctx->arena, "an item of `%s`", field->key)
                               : "an item";
}

static const char *joined(const char *lead, const char *const *words, struct sw_ctx *ctx)
{
    struct sw_buf text = {0};
    sw_buf_add(&text, lead);
    for (size_t i = 0; words[i]; i++)
        sw_buf_printf(&text, "%s%s", i ? ", " : "", words[i]);
    return sw_spec_keep(&text, ctx);
}

static enum sw_status report_kind(const struct sw_node *node, const char *what, const char *wanted,
                                  const char *hint, struct sw_ctx *ctx)
{
    if (sw_spec_is_nothing(node))
        sw_diag_add(ctx->diag, SW_ERROR, "spec.no-value", node->key ? node->key_at : node->at, hint,
                    "%s has no value; %s is wanted", what, wanted);
    else
        sw_diag_add(ctx->diag, SW_ERROR, "spec.kind", node->at, hint, "%s is %s; %s is wanted",
                    what, kind_name(node->kind), wanted);
    return SW_OK;
}

static bool is_value(const struct sw_node *node)
{
    return node->kind == SW_NODE_SCALAR && !sw_spec_is_nothing(node);
}

/* Finds TEXT among words; reports it when it is not there. TO becomes the index or -1. */
static enum sw_status read_word(int *to, const char *const *words, const char *what,
                                const char *instead_of, const struct sw_node *node,
                                struct sw_ctx *ctx)
{
    *to = -1;
    for (int i = 0; words[i]; i++) {
        if (strcmp(words[i], node->text) == 0) {
            *to = i;
            return SW_OK;
        }
    }
    const char *near = sw_nearest_word(node->text, words);
    const char *hint = near ? sw_arena_printf(ctx->arena, "did you mean `%s`?", near)
                            : joined("known words: ", words, ctx);
    if (!hint)
        return SW_MEMORY;
    sw_diag_add(ctx->diag, SW_ERROR, "spec.word", node->at, hint, "%s is `%s`, which is %s", what,
                node->text, instead_of);
    return SW_OK;
}

static enum sw_status read_number(struct sw_number *to, const struct sw_field *field,
                                  const struct sw_node *node, bool given, struct sw_ctx *ctx)
{
    const char *what = name_of(node, field, ctx);
    if (!what)
        return SW_MEMORY;
    to->given = given;
    to->at = node->at;
    if (!is_value(node))
        return report_kind(node, what, "a number", NULL, ctx);
    if (field->words) {
        for (int i = 0; field->words[i]; i++) {
            if (strcmp(field->words[i], node->text) == 0) {
                to->word = i + 1;
                return SW_OK;
            }
        }
        const bool looks_like_number = strpbrk(node->text, "0123456789") != NULL;
        int unused;
        if (!looks_like_number)
            return read_word(&unused, field->words, what, "neither a number nor a known word", node,
                             ctx);
    }
    struct sw_spec_value value;
    bool good;
    SW_TRY(sw_spec_read_value(&value, &good, field->quantity, what, node, ctx));
    if (!good)
        return SW_OK;
    if (field->kind == SW_FIELD_INTEGER && floor(value.shown) != value.shown) {
        sw_diag_add(ctx->diag, SW_ERROR, "spec.not-a-number", node->at, NULL,
                    "%s is `%s`; a whole number is wanted", what, node->text);
        return SW_OK;
    }
    to->value = value.stored;
    return sw_spec_check_range(&value, field, what, node, ctx);
}

static enum sw_status read_choice(struct sw_choice *to, const struct sw_field *field,
                                  const struct sw_node *node, bool given, struct sw_ctx *ctx)
{
    const char *what = name_of(node, field, ctx);
    if (!what)
        return SW_MEMORY;
    to->given = given;
    to->at = node->at;
    if (!is_value(node))
        return report_kind(node, what, field->kind == SW_FIELD_TRUTH ? "yes or no" : "a word", NULL,
                           ctx);
    if (field->kind == SW_FIELD_WORD)
        return read_word(&to->value, field->words, what, "not a known word", node, ctx);
    to->value = sw_spec_truth(node->text);
    if (to->value < 0)
        sw_diag_add(ctx->diag, SW_ERROR, "spec.word", node->at, "write yes or no",
                    "%s is `%s`, which is neither yes nor no", what, node->text);
    return SW_OK;
}

/* The file is UTF-8, checked before. */
static size_t n_characters(const char *text)
{
    size_t n = 0;
    for (; *text != '\0'; text++)
        n += ((unsigned char)*text & 0xc0) != 0x80;
    return n;
}

static enum sw_status read_text(struct sw_text *to, const struct sw_field *field,
                                const struct sw_node *node, bool given, struct sw_ctx *ctx)
{
    const char *what = name_of(node, field, ctx);
    if (!what)
        return SW_MEMORY;
    to->given = given;
    to->at = node->at;
    if (!is_value(node))
        return report_kind(
            node, what, "a text",
            sw_spec_is_nothing(node) && node->text[0] ? "put the text in quotes" : NULL, ctx);
    const size_t n = n_characters(node->text);
    if (sw_spec_has_range(field) && ((double)n > field->most || (double)n < field->least)) {
        const char *hint =
            sw_arena_printf(ctx->arena, "%g to %g are possible", field->least, field->most);
        if (!hint)
            return SW_MEMORY;
        sw_diag_add(ctx->diag, SW_ERROR, "spec.range", node->at, hint,
                    "the text of %s has %zu character%s", what, n, n == 1 ? "" : "s");
        return SW_OK;
    }
    to->value = node->text;
    return SW_OK;
}

static enum sw_status read_band_end(double *to, bool *good, const struct sw_field *field,
                                    const char *what, const struct sw_node *node,
                                    struct sw_ctx *ctx)
{
    struct sw_spec_value value;
    SW_TRY(sw_spec_read_value(&value, good, field->quantity, what, node, ctx));
    if (!*good)
        return SW_OK;
    *to = value.stored;
    return sw_spec_check_range(&value, field, what, node, ctx);
}

static enum sw_status read_band(struct sw_band *to, const struct sw_field *field,
                                const struct sw_node *node, bool given, struct sw_ctx *ctx)
{
    const char *what = name_of(node, field, ctx);
    if (!what)
        return SW_MEMORY;
    to->given = given;
    to->at = node->at;
    bool good = false, also_good = false;
    if (is_value(node)) {
        double size = 0;
        SW_TRY(read_band_end(&size, &good, field, what, node, ctx));
        if (good && size < 0) {
            sw_diag_add(ctx->diag, SW_ERROR, "spec.range", node->at,
                        "write [lower, upper] for a band on one side",
                        "%s is `%s`; a single deviation counts both ways and cannot be negative",
                        what, node->text);
            return SW_OK;
        }
        to->lower = good ? -size + 0.0 : 0;
        to->upper = size;
        return SW_OK;
    }
    const bool is_pair = node->kind == SW_NODE_LIST && node->n == 2 && is_value(node->first) &&
                         is_value(node->first->next);
    if (!is_pair && node->kind == SW_NODE_LIST) {
        sw_diag_add(ctx->diag, SW_ERROR, "spec.kind", node->at,
                    "write [lower, upper], such as [-0.005, 0]",
                    "%s is a list of %zu; two numbers are wanted", what, node->n);
        return SW_OK;
    }
    if (!is_pair)
        return report_kind(node, what, "a number or [lower, upper]", NULL, ctx);
    SW_TRY(read_band_end(&to->lower, &good, field, what, node->first, ctx));
    SW_TRY(read_band_end(&to->upper, &also_good, field, what, node->first->next, ctx));
    if (good && also_good && to->lower > to->upper)
        sw_diag_add(ctx->diag, SW_ERROR, "spec.range", node->at, "write the lower one first",
                    "%s goes from %s down to %s", what, node->first->text, node->first->next->text);
    return SW_OK;
}

static enum sw_status check_count(const struct sw_field *field, const struct sw_node *node,
                                  const char *what, struct sw_ctx *ctx)
{
    const double n = (double)node->n;
    if (field->kind == SW_FIELD_NUMBERS || !sw_spec_has_range(field) ||
        (n >= field->least && n <= field->most))
        return SW_OK;
    struct sw_buf text = {0};
    sw_spec_add_range(&text, field->least, field->most, "");
    const char *range = sw_spec_keep(&text, ctx);
    if (!range)
        return SW_MEMORY;
    sw_diag_add(ctx->diag, SW_ERROR, "spec.range", place_of(node), NULL,
                "%s has %zu entries; allowed: %s", what, node->n, range);
    return SW_OK;
}

static enum sw_status fill(char *to, const struct sw_table *table, size_t first_field,
                           const struct sw_node *node, struct sw_ctx *ctx);

/* FIELD lists or holds the map; NULL for the whole of what is read. */
static enum sw_status read_map(char *to, const struct sw_table *table, size_t first_field,
                               const struct sw_field *field, const struct sw_node *node,
                               struct sw_ctx *ctx)
{
    if (node->kind == SW_NODE_MAP)
        return fill(to, table, first_field, node, ctx);
    const char *what = name_of(node, field, ctx);
    char *hint = node->key ? sw_arena_printf(ctx->arena,
                                             "write `%s: {...}`, or its keys one level "
                                             "further in on the next lines",
                                             node->key)
                           : sw_arena_copy(ctx->arena, "write {key: value}", 18);
    return what && hint ? report_kind(node, what, "a map of keys", hint, ctx) : SW_MEMORY;
}

static enum sw_status read_variant(struct sw_variant *to, const struct sw_field *field,
                                   const struct sw_node *item, struct sw_ctx *ctx)
{
    size_t n = 0;
    while (field->variants[n])
        n++;
    const char **names = SW_NEW(ctx->arena, const char *, n + 1);
    if (!names)
        return SW_MEMORY;
    for (size_t i = 0; i < n; i++)
        names[i] = field->variants[i]->name;
    if (item->kind != SW_NODE_MAP || item->n != 1) {
        const char *first = item->kind == SW_NODE_MAP && item->first && item->n > 1
                                ? item->first->key
                            : item->kind == SW_NODE_SCALAR && item->text[0] ? item->text
                                                                            : names[0];
        char *hint = sw_arena_printf(ctx->arena,
                                     "write `- %s: {...}`, or its keys on the next "
                                     "lines two levels further in than the dash",
                                     first);
        if (!hint)
            return SW_MEMORY;
        sw_diag_add(ctx->diag, SW_ERROR, "spec.kind", item->at, hint,
                    "an item of `%s` is one key with a map behind it", field->key);
        return SW_OK;
    }
    const struct sw_node *node = item->first;
    to->at = node->key_at;
    for (size_t i = 0; i < n; i++) {
        if (strcmp(names[i], node->key) != 0)
            continue;
        to->table = field->variants[i];
        to->which = i;
        to->value = sw_arena_alloc(ctx->arena, 1, to->table->size);
        return to->value ? read_map(to->value, to->table, 0, field, node, ctx) : SW_MEMORY;
    }
    const char *near = sw_nearest_word(node->key, names);
    const char *hint = near ? sw_arena_printf(ctx->arena, "did you mean `%s`?", near)
                            : joined("known: ", names, ctx);
    if (!hint)
        return SW_MEMORY;
    sw_diag_add(ctx->diag, SW_ERROR, "spec.unknown-key", node->key_at, hint,
                "`%s` is not one of the things `%s` lists", node->key, field->key);
    return SW_OK;
}

static size_t item_size(const struct sw_field *field)
{
    switch (field->kind) {
    case SW_FIELD_NUMBERS:
        return sizeof(struct sw_number);
    case SW_FIELD_TEXTS:
        return sizeof(struct sw_text);
    case SW_FIELD_VARIANT:
        return sizeof(struct sw_variant);
    default:
        return field->table->size;
    }
}

static enum sw_status read_named(char *to, const struct sw_field *field, const struct sw_node *node,
                                 struct sw_ctx *ctx)
{
    SW_TRY(read_map(to, field->table, 1, field, node, ctx));
    const struct sw_text name = {node->key, true, node->key_at};
    memcpy(to + field->table->field[0].offset, &name, sizeof name);
    return SW_OK;
}

static enum sw_status read_item(char *to, const struct sw_field *field, const struct sw_node *node,
                                bool given, struct sw_ctx *ctx)
{
    switch (field->kind) {
    case SW_FIELD_NUMBERS:
        return read_number((struct sw_number *)(void *)to, field, node, given, ctx);
    case SW_FIELD_TEXTS:
        return read_text((struct sw_text *)(void *)to, field, node, given, ctx);
    case SW_FIELD_VARIANT:
        return read_variant((struct sw_variant *)(void *)to, field, node, ctx);
    case SW_FIELD_NAMED:
        return read_named(to, field, node, ctx);
    default:
        return read_map(to, field->table, 0, field, node, ctx);
    }
}

static enum sw_status read_list(struct sw_list *to, const struct sw_field *field,
                                const struct sw_node *node, bool given, struct sw_ctx *ctx)
{
    const char *what = name_of(node, field, ctx);
    if (!what)
        return SW_MEMORY;
    const bool is_named = field->kind == SW_FIELD_NAMED;
    to->given = given;
    to->span = node->at;
    if (node->kind != (is_named ? SW_NODE_MAP : SW_NODE_LIST))
        return report_kind(
            node, what, is_named ? "a map of names" : "a list",
            is_named ? "write `name: {...}` entries" : "write [a, b], or `- item` lines", ctx);
    SW_TRY(check_count(field, node, what, ctx));
    const size_t size = item_size(field);
    char *at = sw_arena_alloc(ctx->arena, node->n, size);
    if (!at)
        return SW_MEMORY;
    to->at = at;
    to->n = node->n;
    for (const struct sw_node *item = node->first; item; item = item->next, at += size)
        SW_TRY(read_item(at, field, item, given, ctx));
    return SW_OK;
}

static enum sw_status read_field(char *base, const struct sw_field *field,
                                 const struct sw_node *node, bool given, struct sw_ctx *ctx)
{
    void *to = base + field->offset;
    switch (field->kind) {
    case SW_FIELD_NUMBER:
    case SW_FIELD_INTEGER:
        return read_number(to, field, node, given, ctx);
    case SW_FIELD_WORD:
    case SW_FIELD_TRUTH:
        return read_choice(to, field, node, given, ctx);
    case SW_FIELD_TEXT:
        return read_text(to, field, node, given, ctx);
    case SW_FIELD_BAND:
        return read_band(to, field, node, given, ctx);
    case SW_FIELD_MAP:
        return read_map(to, field->table, 0, field, node, ctx);
    case SW_FIELD_NODE:
        *(const struct sw_node **)to = node;
        return SW_OK;
    case SW_FIELD_LIST:
    case SW_FIELD_NAMED:
    case SW_FIELD_NUMBERS:
    case SW_FIELD_TEXTS:
    case SW_FIELD_VARIANT:
        break;
    }
    return read_list(to, field, node, given, ctx);
}

static enum sw_status report_missing(const struct sw_table *table, const struct sw_field *field,
                                     const struct sw_node *map, struct sw_ctx *ctx)
{
    const char *unit = sw_quantity_unit(field->quantity);
    char *hint = sw_arena_printf(ctx->arena, "%s%s%s%s: %s", field->key, unit[0] ? " [" : "", unit,
                                 unit[0] ? "]" : "", field->sentence ? field->sentence : "");
    if (!hint)
        return SW_MEMORY;
    sw_diag_add(ctx->diag, SW_ERROR, "spec.missing-key", place_of(map), hint,
                "the key `%s` of %s is missing", field->key, table->name);
    return SW_OK;
}

/* What stands in for a key that is not there. */
static enum sw_status fill_absent(char *to, const struct sw_field *field, struct sw_span at,
                                  struct sw_ctx *ctx)
{
    if (field->kind == SW_FIELD_WORD || field->kind == SW_FIELD_TRUTH)
        ((struct sw_choice *)(void *)(to + field->offset))->value = -1;
    if (field->fallback) {
        const struct sw_node *node = sw_spec_fallback_node(field->fallback, at, ctx);
        return node ? read_field(to, field, node, false, ctx) : SW_MEMORY;
    }
    if (field->kind != SW_FIELD_MAP)
        return SW_OK;
    const struct sw_table *table = field->table;
    for (size_t i = 0; i < table->n; i++)
        SW_TRY(fill_absent(to + field->offset, &table->field[i], at, ctx));
    return SW_OK;
}

static enum sw_status report_unknown(const struct sw_table *table, size_t first_field,
                                     const struct sw_node *node, struct sw_ctx *ctx)
{
    const char **keys = SW_NEW(ctx->arena, const char *, table->n + 2);
    if (!keys)
        return SW_MEMORY;
    size_t n = 0;
    for (size_t i = first_field; i < table->n; i++)
        keys[n++] = table->field[i].key;
    if (sw_spec_is_root(table))
        keys[n++] = "format";
    const char *near = sw_nearest_word(node->key, keys);
    const char *hint = near ? sw_arena_printf(ctx->arena, "did you mean `%s`?", near)
                       : n  ? joined("known keys: ", keys, ctx)
                            : "it has no keys: write {}";
    if (!hint)
        return SW_MEMORY;
    sw_diag_add(ctx->diag, SW_ERROR, "spec.unknown-key", node->key_at, hint,
                "`%s` is not a key of %s", node->key, table->name);
    return SW_OK;
}

static enum sw_status fill(char *to, const struct sw_table *table, size_t first_field,
                           const struct sw_node *map, struct sw_ctx *ctx)
{
    bool *seen = SW_NEW(ctx->arena, bool, table->n);
    if (!seen)
        return SW_MEMORY;
    for (const struct sw_node *child = map->first; child; child = child->next) {
        size_t i = first_field;
        while (i < table->n && strcmp(table->field[i].key, child->key) != 0)
            i++;
        if (i < table->n) {
            const struct sw_field *field = &table->field[i];
            seen[i] = true;
            if (field->kind == SW_FIELD_WORD || field->kind == SW_FIELD_TRUTH)
                ((struct sw_choice *)(void *)(to + field->offset))->value = -1;
            SW_TRY(read_field(to, field, child, true, ctx));
        } else if (!sw_spec_is_root(table) || strcmp(child->key, "format") != 0) {
            SW_TRY(report_unknown(table, first_field, child, ctx));
        }
    }
    for (size_t i = first_field; i < table->n; i++) {
        const struct sw_field *field = &table->field[i];
        if (seen[i])
            continue;
        if (field->is_required)
            SW_TRY(report_missing(table, field, map, ctx));
        SW_TRY(fill_absent(to, field, map->at, ctx));
    }
    return SW_OK;
}

enum sw_status sw_table_read(void *to, const struct sw_table *table, const struct sw_node *node,
                             struct sw_ctx *ctx)
{
    const size_t errors_before = sw_diag_n_errors(ctx->diag);
    memset(to, 0, table->size);
    if (sw_spec_is_root(table) && node->kind != SW_NODE_MAP)
        SW_TRY(report_kind(node, "the file", "a map of keys", NULL, ctx));
    else
        SW_TRY(read_map(to, table, 0, NULL, node, ctx));
    if (sw_diag_failed(ctx->diag))
        return SW_MEMORY;
    return sw_diag_n_errors(ctx->diag) == errors_before ? SW_OK : SW_INPUT;
}

enum sw_status sw_number_read(struct sw_number *to, enum sw_quantity quantity,
                              const struct sw_node *node, struct sw_ctx *ctx)
{
    const struct sw_field field = {.kind = SW_FIELD_NUMBER, .quantity = quantity};
    const size_t errors_before = sw_diag_n_errors(ctx->diag);
    *to = (struct sw_number){0};
    SW_TRY(read_number(to, &field, node, true, ctx));
    if (sw_diag_failed(ctx->diag))
        return SW_MEMORY;
    return sw_diag_n_errors(ctx->diag) == errors_before ? SW_OK : SW_INPUT;
}
