#include "shop/read_int.h"

#include <string.h>

enum sw_status sw_shop_read_root(void **out, const struct sw_table *table, const char *path,
                                 struct sw_sense *sense)
{
    struct sw_ctx *ctx = sense->ctx;
    struct sw_node *root = NULL;
    SW_TRY(sw_node_load(&root, path, ctx));
    SW_TRY(sw_node_check_format(root, table->name, ctx));
    void *thing = sw_arena_alloc(ctx->arena, 1, table->size);
    const char *file = sw_arena_copy(ctx->arena, path, strlen(path));
    if (!thing || !file)
        return SW_MEMORY;
    const enum sw_status status = sw_table_read(thing, table, root, ctx);
    if (status == SW_INPUT)
        sense->is_faulty = true;
    else if (status != SW_OK)
        return status;
    memcpy(thing, &file, sizeof file);
    *out = thing;
    return SW_OK;
}

enum sw_status sw_shop_finish(const struct sw_sense *sense)
{
    if (sw_diag_failed(sense->ctx->diag))
        return SW_MEMORY;
    return sense->is_faulty ? SW_INPUT : SW_OK;
}

bool sw_shop_is_written(const struct sw_number *number)
{
    return number->given && number->word == 0 && number->value != 0;
}

double sw_shop_degrees(double radians)
{
    return radians * (180.0 / 3.14159265358979323846);
}

const struct sw_number *sw_shop_number(const struct sw_list *list, size_t i)
{
    return &((const struct sw_number *)list->at)[i];
}

const struct sw_text *sw_shop_text(const struct sw_list *list, size_t i)
{
    return &((const struct sw_text *)list->at)[i];
}

void sw_shop_check_members(struct sw_sense *sense, const struct sw_shop_member *member, size_t n,
                           const char *kind, struct sw_span kind_at, const char *code_needs,
                           const char *code_foreign)
{
    for (size_t i = 0; i < n; i++) {
        if (member[i].is_needed && !member[i].is_given)
            SW_FAULT(sense, code_needs, kind_at, NULL, "%s needs `%s`", kind, member[i].key);
        if (!member[i].is_allowed && member[i].is_given)
            SW_FAULT(sense, code_foreign, member[i].at, "take the line out", "%s has no `%s`", kind,
                     member[i].key);
    }
}
