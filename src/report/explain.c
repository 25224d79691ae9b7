#include "report/explain.h"

#include <string.h>

#include "gauge/log.h"
#include "batch/batch.h"
#include "part/staff.h"
#include "post/post.h"
#include "report/text.h"
#include "setup/setup.h"
#include "shop/job.h"
#include "shop/shop.h"
#include "verify/verify.h"

const struct sw_report_kind *sw_report_kinds(void)
{
    static const struct sw_report_kind kind[] = {
        {"staff", &sw_staff_table},
        {"job", &sw_job_table},
        {"shop", &sw_shop_table},
        {"machine", &sw_machine_table},
        {"tool", &sw_tool_table},
        {"holder", &sw_holder_table},
        {"material", &sw_material_table},
        {"post", &sw_post_table},
        {"setup", &sw_setup_table},
        {"survey", &sw_survey_table},
        {"measured", &sw_measured_table},
        {"measurements", &sw_log_table},
        {"batch", &sw_batch_table},
        {NULL, NULL},
    };
    return kind;
}

const struct sw_report_kind *sw_report_kind(const char *word)
{
    for (const struct sw_report_kind *kind = sw_report_kinds(); kind->word; kind++)
        if (strcmp(kind->word, word) == 0 || strcmp(kind->table->name, word) == 0)
            return kind;
    return NULL;
}

void sw_report_list_findings(struct sw_buf *out)
{
    for (int code = 0; code < SW_N_FINDINGS; code++) {
        const char *word = sw_finding_word((enum sw_finding_code)code);
        sw_buf_add(out, word);
        sw_buf_pad(out, 22);
        sw_buf_printf(out, "%s\n", sw_finding_sentence((enum sw_finding_code)code));
    }
}

/* All tables below the roots, each once, in the order of the keys. */
struct tables {
    SW_VEC(const struct sw_table *) list;
    bool failed;
};

static void gather(struct tables *tables, const struct sw_table *table, struct sw_ctx *ctx)
{
    for (size_t i = 0; i < tables->list.n; i++)
        if (tables->list.at[i] == table)
            return;
    if (!SW_VEC_PUSH(ctx->arena, &tables->list, table))
        tables->failed = true;
}

/* Breadth first: the list is its own queue, so that nothing recurses. */
static void gather_all(struct tables *tables, struct sw_ctx *ctx)
{
    for (const struct sw_report_kind *kind = sw_report_kinds(); kind->word; kind++)
        gather(tables, kind->table, ctx);
    for (size_t i = 0; i < tables->list.n; i++) {
        const struct sw_table *table = tables->list.at[i];
        for (size_t k = 0; k < table->n; k++) {
            const struct sw_field *field = &table->field[k];
            if (field->table)
                gather(tables, field->table, ctx);
            for (const struct sw_table *const *v = field->variants; v && *v; v++)
                gather(tables, *v, ctx);
        }
    }
}

static bool is_word_of(const struct sw_field *field, const char *word)
{
    for (const char *const *w = field->words; w && *w; w++)
        if (strcmp(*w, word) == 0)
            return true;
    return false;
}

/* One key as a page of its own: a table that has this field alone. */
static void explain_key(struct sw_buf *out, const struct sw_table *table,
                        const struct sw_field *field)
{
    const struct sw_table alone = {table->name, table->sentence, table->size, field, 1};
    sw_table_explain(&alone, out);
}

static const char *near_table(const struct sw_table *table, const char *word)
{
    const char *const names[] = {table->name, NULL};
    return sw_nearest_word(word, names);
}

static const char *nearest_of(const struct tables *tables, const char *word)
{
    for (int code = 0; code < SW_N_FINDINGS; code++) {
        const char *const names[] = {sw_finding_word((enum sw_finding_code)code), NULL};
        const char *nearest = sw_nearest_word(word, names);
        if (nearest)
            return nearest;
    }
    for (size_t i = 0; i < tables->list.n; i++) {
        const struct sw_table *table = tables->list.at[i];
        const char *nearest = near_table(table, word);
        for (size_t k = 0; !nearest && k < table->n; k++) {
            const char *const names[] = {table->field[k].key, NULL};
            nearest = sw_nearest_word(word, names);
        }
        if (nearest)
            return nearest;
    }
    return NULL;
}

enum sw_status sw_report_explain(struct sw_buf *out, bool *found, const char **nearest,
                                 const char *word, struct sw_ctx *ctx)
{
    struct tables tables = {0};
    gather_all(&tables, ctx);
    if (tables.failed)
        return SW_MEMORY;
    *nearest = NULL;
    size_t n_pages = 0;
    for (int code = 0; code < SW_N_FINDINGS; code++) {
        if (strcmp(sw_finding_word((enum sw_finding_code)code), word) != 0)
            continue;
        sw_text_say(out, 0, "", "%s: a finding of the dry run: %s.", word,
                    sw_finding_sentence((enum sw_finding_code)code));
        n_pages++;
    }
    const struct sw_report_kind *kind = sw_report_kind(word);
    for (size_t i = 0; i < tables.list.n; i++) {
        const struct sw_table *table = tables.list.at[i];
        if (strcmp(table->name, word) != 0 && !(kind && kind->table == table))
            continue;
        sw_buf_add(out, n_pages++ ? "\n" : "");
        sw_table_explain(table, out);
    }
    for (size_t i = 0; i < tables.list.n; i++) {
        const struct sw_table *table = tables.list.at[i];
        for (size_t k = 0; k < table->n; k++) {
            const struct sw_field *field = &table->field[k];
            if (strcmp(field->key, word) != 0 && !is_word_of(field, word))
                continue;
            sw_buf_add(out, n_pages++ ? "\n" : "");
            explain_key(out, table, field);
        }
    }
    *found = n_pages > 0;
    if (!*found)
        *nearest = nearest_of(&tables, word);
    return out->failed ? SW_MEMORY : SW_OK;
}
