/* Checks of the tables themselves, for tests: a table is a program that nobody compiles. */
#include <string.h>

#include "spec/inside.h"

static size_t room(const struct sw_field *field)
{
    switch (field->kind) {
    case SW_FIELD_NUMBER:
    case SW_FIELD_INTEGER:
        return sizeof(struct sw_number);
    case SW_FIELD_WORD:
    case SW_FIELD_TRUTH:
        return sizeof(struct sw_choice);
    case SW_FIELD_TEXT:
        return sizeof(struct sw_text);
    case SW_FIELD_BAND:
        return sizeof(struct sw_band);
    case SW_FIELD_MAP:
        return field->table ? field->table->size : 0;
    case SW_FIELD_NODE:
        return sizeof(struct sw_node *);
    case SW_FIELD_LIST:
    case SW_FIELD_NAMED:
    case SW_FIELD_NUMBERS:
    case SW_FIELD_TEXTS:
    case SW_FIELD_VARIANT:
        break;
    }
    return sizeof(struct sw_list);
}

static const char *fault_of(const struct sw_table *table, size_t i)
{
    const struct sw_field *field = &table->field[i];
    const bool needs_table = field->kind == SW_FIELD_MAP || field->kind == SW_FIELD_LIST ||
                             field->kind == SW_FIELD_NAMED;
    if (!field->key || !field->key[0])
        return "has no key";
    for (size_t j = 0; j < i; j++)
        if (strcmp(table->field[j].key, field->key) == 0)
            return "stands twice";
    if (!field->sentence || !field->sentence[0])
        return "has no sentence";
    if (needs_table && !field->table)
        return "has no table";
    if (field->kind == SW_FIELD_VARIANT && !field->variants)
        return "has no variants";
    if (field->kind == SW_FIELD_WORD && !field->words)
        return "has no words";
    if (field->kind == SW_FIELD_NAMED &&
        (field->table->n == 0 || field->table->field[0].kind != SW_FIELD_TEXT))
        return "needs a table whose first field takes the name";
    if (field->offset + room(field) > table->size)
        return "lies outside its struct";
    for (size_t j = 0; j < i; j++)
        if (field->offset < table->field[j].offset + room(&table->field[j]) &&
            table->field[j].offset < field->offset + room(field))
            return "lies on another field";
    if (field->least > field->most)
        return "has an empty range";
    if (field->is_required && field->fallback)
        return "is required and has a fallback";
    return NULL;
}

static enum sw_status check_fallback(const struct sw_table *table, const struct sw_field *field,
                                     struct sw_ctx *ctx)
{
    char *room_for_it = sw_arena_alloc(ctx->arena, 1, table->size);
    struct sw_node *map = SW_NEW(ctx->arena, struct sw_node, 1);
    struct sw_node *node = sw_spec_fallback_node(field->fallback, (struct sw_span){0}, ctx);
    if (!room_for_it || !map || !node)
        return SW_MEMORY;
    struct sw_field alone = *field;
    const struct sw_table one = {table->name, table->sentence, table->size, &alone, 1};
    node->key = field->key;
    *map = (struct sw_node){.kind = SW_NODE_MAP, .first = node, .n = 1};
    return sw_table_read(room_for_it, &one, map, ctx);
}

/* The way down, so that a table inside itself ends the walk. */
struct above {
    const struct sw_table *table;
    const struct above *next;
};

static enum sw_status check(const struct sw_table *table, const struct above *above,
                            struct sw_ctx *ctx)
{
    const struct above here = {table, above};
    enum sw_status worst = SW_OK;
    for (const struct above *a = above; a; a = a->next)
        if (a->table == table)
            return SW_OK;
    for (size_t i = 0; i < table->n; i++) {
        const struct sw_field *field = &table->field[i];
        const char *fault = fault_of(table, i);
        if (fault) {
            sw_diag_add(ctx->diag, SW_ERROR, "spec.table", (struct sw_span){0}, NULL,
                        "table %s: `%s` %s", table->name, field->key ? field->key : "", fault);
            worst = SW_INTERNAL;
            continue;
        }
        enum sw_status status = field->fallback ? check_fallback(table, field, ctx) : SW_OK;
        if (status == SW_OK && field->table)
            status = check(field->table, &here, ctx);
        for (size_t j = 0; status == SW_OK && field->variants && field->variants[j]; j++)
            status = check(field->variants[j], &here, ctx);
        if (status == SW_MEMORY)
            return SW_MEMORY;
        if (status != SW_OK)
            worst = SW_INTERNAL;
    }
    return worst;
}

enum sw_status sw_table_check(const struct sw_table *table, struct sw_ctx *ctx)
{
    return check(table, NULL, ctx);
}
