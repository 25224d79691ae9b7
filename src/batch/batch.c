#include "batch/batch.h"

#include <math.h>
#include <string.h>

#include "base/file.h"

/* clang-format off */
static const struct sw_field vary_field[] = {
    {SW_F_TEXTS(struct sw_vary, sections), SW_REQUIRED, SW_RANGE(1, 20),
     SW_MEANS("What changes, all to the same value: sections by name, heights by name, or `total`.")},
    {SW_F_TEXT(struct sw_vary, key), SW_REQUIRED, SW_NAME_RANGE,
     SW_MEANS("Its key in the staff file: `diameter`, `length`; of a height `at`.")},
    {SW_F_NUMBERS(struct sw_vary, values, LENGTH),
     SW_MEANS("The values it takes in turn; or give `from`, `to` and `step`.")},
    {SW_F_NUMBER(struct sw_vary, from, LENGTH), SW_RANGE(0, 100),
     SW_MEANS("First value of a range.")},
    {SW_F_NUMBER(struct sw_vary, to, LENGTH), SW_RANGE(0, 100),
     SW_MEANS("Its last value, a whole number of steps away; smaller than `from` to go down.")},
    {SW_F_NUMBER(struct sw_vary, step, LENGTH), SW_RANGE(0.0001, 10),
     SW_MEANS("From one value of the range to the next.")},
};
static const struct sw_table vary_table = {
    "vary", "One thing that differs from variant to variant.", sizeof(struct sw_vary),
    SW_FIELDS(vary_field)};

static const struct sw_field bar_field[] = {
    {SW_F_NUMBER(struct sw_batch_bar, length, LENGTH), SW_REQUIRED, SW_RANGE(1, 5000),
     SW_MEANS("Length of the bar.")},
    {SW_F_NUMBER(struct sw_batch_bar, remnant, LENGTH), SW_RANGE(0, 1000), SW_DEFAULT("15"),
     SW_MEANS("What the holder keeps at its end; not given, what the machine says, if it does.")},
    {SW_F_INTEGER(struct sw_batch_bar, count), SW_RANGE(0, 10000), SW_DEFAULT("1"),
     SW_MEANS("How many of them there are.")},
};
static const struct sw_table bar_table = {
    "bar", "Bars of one length.", sizeof(struct sw_batch_bar), SW_FIELDS(bar_field)};

static const struct sw_field forecast_field[] = {
    {SW_F_NUMBER(struct sw_batch_forecast, wear, LENGTH), SW_RANGE(0, 0.1), SW_DEFAULT("0.00005"),
     SW_MEANS("Growth of a diameter from piece to piece by wear of the edge.")},
    {SW_F_NUMBER(struct sw_batch_forecast, height, LENGTH), SW_RANGE(0, 0.5), SW_DEFAULT("0.01"),
     SW_MEANS("Deviation of the tool point from centre height, tool for tool.")},
    {SW_F_NUMBER(struct sw_batch_forecast, runout, LENGTH), SW_RANGE(0, 0.5), SW_DEFAULT("0.005"),
     SW_MEANS("Total runout of the second grip, root mean square.")},
    {SW_F_NUMBER(struct sw_batch_forecast, bending, LENGTH), SW_RANGE(0, 0.1), SW_DEFAULT("0.002"),
     SW_MEANS("What bending adds to a pivot's diameter; its middle is compensated.")},
    {SW_F_NUMBER(struct sw_batch_forecast, force_spread, RATIO), SW_RANGE(0, 1), SW_DEFAULT("0.1"),
     SW_MEANS("Deviation of the cutting force from piece to piece, as a share.")},
    {SW_F_NUMBER(struct sw_batch_forecast, measure, LENGTH), SW_RANGE(0, 0.1),
     SW_DEFAULT("0.0005"), SW_MEANS("Standard deviation of one measured pivot diameter.")},
    {SW_F_NUMBER(struct sw_batch_forecast, hand, LENGTH), SW_RANGE(0, 0.1), SW_DEFAULT("0.0007"),
     SW_MEANS("Standard deviation of what stone and burnisher take off a pivot.")},
    {SW_F_NUMBER(struct sw_batch_forecast, most_runout, LENGTH), SW_RANGE(0, 1),
     SW_DEFAULT("0.02"), SW_MEANS("Total runout a staff may have; 0 for no limit.")},
    {SW_F_INTEGER(struct sw_batch_forecast, staffs), SW_RANGE(1000, 1e7), SW_DEFAULT("100000"),
     SW_MEANS("How many staffs are drawn.")},
    {SW_F_INTEGER(struct sw_batch_forecast, seed), SW_RANGE(0, 1e9), SW_DEFAULT("1"),
     SW_MEANS("Begins the drawing; the same seed gives the same forecast.")},
    {SW_F_NUMBER(struct sw_batch_forecast, bin, LENGTH), SW_RANGE(0.001, 0.1),
     SW_DEFAULT("0.005"), SW_MEANS("Width of the bins that pivots are sorted into.")},
};
static const struct sw_table forecast_table = {
    "forecast", "What makes pieces differ; standard deviations. Defaults are assumptions, no source.",
    sizeof(struct sw_batch_forecast), SW_FIELDS(forecast_field)};

static const struct sw_field batch_field[] = {
    {SW_F_TEXT(struct sw_batch, job), SW_REQUIRED,
     SW_MEANS("The job that all variants share: a file, seen from the folder of the batch.")},
    {SW_F_LIST(struct sw_batch, vary, &vary_table), SW_RANGE(0, 6),
     SW_MEANS("What differs; each value of one line goes with each value of the others.")},
    {SW_F_INTEGER(struct sw_batch, quantity), SW_RANGE(1, 10000), SW_DEFAULT("1"),
     SW_MEANS("Pieces of each variant.")},
    {SW_F_LIST(struct sw_batch, bars, &bar_table), SW_RANGE(0, 20),
     SW_MEANS("The bars there are to cut from.")},
    {SW_F_NUMBER(struct sw_batch, facing, LENGTH), SW_RANGE(0, 10), SW_DEFAULT("0.2"),
     SW_MEANS("Bar lost to facing, a piece.")},
    {SW_F_NUMBER(struct sw_batch, parting, LENGTH), SW_RANGE(0, 10), SW_DEFAULT("0.6"),
     SW_MEANS("Bar lost to parting, a piece.")},
    {SW_F_INTEGER(struct sw_batch, measure_every), SW_RANGE(1, 1000), SW_DEFAULT("5"),
     SW_MEANS("Pivots are measured on the first piece and then every so many.")},
    {SW_F_INTEGER(struct sw_batch, sample_every), SW_RANGE(1, 1000), SW_DEFAULT("20"),
     SW_MEANS("Lengths are measured every so many pieces.")},
    {SW_F_INTEGER(struct sw_batch, tool_life), SW_RANGE(1, 100000), SW_DEFAULT("50"),
     SW_MEANS("Pieces an edge lasts; 20 to 100 in blue steel is common practice, no source.")},
    {SW_F_MAP(struct sw_batch, forecast, &forecast_table),
     SW_MEANS("What the forecast reckons with.")},
};
const struct sw_table sw_batch_table = {
    "batch/1", "Many staffs of one calibre: variants, quantities, bars, forecast.",
    sizeof(struct sw_batch), SW_FIELDS(batch_field)};
/* clang-format on */

size_t sw_batch_n(const struct sw_batch *batch)
{
    const struct sw_vary *vary = batch->vary.at;
    size_t n = 1;
    for (size_t v = 0; v < batch->vary.n; v++)
        n *= n > SW_BATCH_MOST_VARIANTS ? 1 : vary[v].values.n;
    return n;
}

static enum sw_status fault(struct sw_span at, const char *hint, const char *message,
                            const char *what, struct sw_ctx *ctx)
{
    sw_diag_add(ctx->diag, SW_ERROR, "batch.sense", at, hint, message, what);
    return SW_INPUT;
}

/* A range meets its end if it is this near to it, in steps: sizes are written with four decimals. */
static const double near_step = 1e-6;

/* The values of a range, all at the place where it begins. */
static enum sw_status spread_out(struct sw_vary *vary, struct sw_ctx *ctx)
{
    const double span = vary->to.value - vary->from.value;
    const double steps = fabs(span) / vary->step.value, whole = floor(steps + 0.5);
    if (fabs(steps - whole) > near_step)
        return fault(vary->to.at, "end it where a step ends",
                     "the range of %s is no whole number of steps long", vary->key.value, ctx);
    if (whole + 1 > SW_BATCH_MOST_VARIANTS)
        return fault(vary->step.at, "a larger step", "the range of %s has more than 100000 values",
                     vary->key.value, ctx);
    const size_t n = (size_t)whole + 1;
    struct sw_number *value = SW_NEW(ctx->arena, struct sw_number, n);
    if (!value)
        return SW_MEMORY;
    for (size_t i = 0; i < n; i++) {
        value[i] = vary->from;
        value[i].value += whole > 0 ? span * (double)i / whole : 0;
    }
    vary->values = (struct sw_list){.at = value, .n = n, .given = true, .span = vary->from.at};
    return SW_OK;
}

/* Each line names its values, or a range of them. */
static enum sw_status spread_ranges(const struct sw_batch *batch, struct sw_ctx *ctx)
{
    struct sw_vary *vary = batch->vary.at;
    for (size_t v = 0; v < batch->vary.n; v++) {
        const struct sw_number *const end[] = {&vary[v].from, &vary[v].to, &vary[v].step};
        size_t n = 0;
        for (size_t i = 0; i < 3; i++)
            n += end[i]->given;
        for (size_t i = 0; i < 3; i++)
            if (vary[v].values.given && end[i]->given)
                return fault(end[i]->at, "either `values`, or `from`, `to` and `step`",
                             "%s has values and a range", vary[v].key.value, ctx);
        if (!vary[v].values.given && n < 3)
            return fault(vary[v].key.at, "give `values`, or `from`, `to` and `step`",
                         n ? "the range of %s is not whole" : "%s takes no values",
                         vary[v].key.value, ctx);
        if (!vary[v].values.given)
            SW_TRY(spread_out(&vary[v], ctx));
    }
    return SW_OK;
}

/* Two variants of one name would share a folder. */
static enum sw_status check_values(const struct sw_batch *batch, struct sw_ctx *ctx)
{
    const struct sw_vary *vary = batch->vary.at;
    for (size_t v = 0; v < batch->vary.n; v++) {
        const struct sw_number *value = vary[v].values.at;
        if (!vary[v].values.n)
            return fault(vary[v].values.span, NULL, "%s has no values", vary[v].key.value, ctx);
        const size_t n = vary[v].from.given ? 0 : vary[v].values.n; /* steps differ anyway */
        for (size_t i = 0; i < n; i++)
            for (size_t k = 0; k < i; k++)
                if (fabs(value[i].value - value[k].value) < 5e-5)
                    return fault(value[i].at, "name each value once",
                                 "%s has this value twice, to 0.0001 mm", vary[v].key.value, ctx);
    }
    if (sw_batch_n(batch) > SW_BATCH_MOST_VARIANTS)
        return fault((struct sw_span){0}, "100000 at most; write several batches",
                     "%s has too many variants", batch->file, ctx);
    return SW_OK;
}

enum sw_status sw_batch_load(struct sw_batch **out, const char *path, struct sw_ctx *ctx)
{
    struct sw_node *root = NULL;
    struct sw_batch *batch = SW_NEW(ctx->arena, struct sw_batch, 1);
    if (!batch)
        return SW_MEMORY;
    SW_TRY(sw_node_load(&root, path, ctx));
    SW_TRY(sw_node_check_format(root, "batch/1", ctx));
    SW_TRY(sw_table_read(batch, &sw_batch_table, root, ctx));
    batch->file = path;
    SW_TRY(spread_ranges(batch, ctx));
    SW_TRY(check_values(batch, ctx));
    const char *folder = sw_path_folder(ctx->arena, path);
    const char *job = folder ? sw_path_join(ctx->arena, folder, batch->job.value) : NULL;
    if (!job)
        return SW_MEMORY;
    if (strcmp(folder, ".") != 0)
        batch->job.value = job;
    *out = batch;
    return SW_OK;
}

/* The value that line V of `vary` has in variant I. */
static double value_of(const struct sw_batch *batch, size_t v, size_t i)
{
    const struct sw_vary *vary = batch->vary.at;
    for (size_t k = batch->vary.n - 1; k > v; k--)
        i /= vary[k].values.n;
    const struct sw_number *value = vary[v].values.at;
    return value[i % vary[v].values.n].value;
}

enum sw_status sw_batch_name(const char **out, const struct sw_batch *batch, size_t i,
                             struct sw_ctx *ctx)
{
    const struct sw_vary *vary = batch->vary.at;
    const char *name = batch->vary.n ? NULL : "staff";
    for (size_t v = 0; v < batch->vary.n; v++) {
        name = sw_arena_printf(ctx->arena, "%s%s%s-%.4f", name ? name : "", name ? "-" : "",
                               vary[v].key.value, value_of(batch, v, i));
        if (!name)
            return SW_MEMORY;
    }
    *out = name;
    return name ? SW_OK : SW_MEMORY;
}

/* The node of KEY in the section called NAME, else in the height of that name, else in `total`;
 * NULL when there is none. */
static const struct sw_node *find(const struct sw_node *root, const char *name, const char *key)
{
    const struct sw_node *sections =
        root->kind == SW_NODE_MAP ? sw_node_get(root, "sections") : NULL;
    for (const struct sw_node *s = sections ? sections->first : NULL; s; s = s->next) {
        const struct sw_node *body = s->kind == SW_NODE_MAP ? s->first : NULL;
        if (!body || body->kind != SW_NODE_MAP)
            continue;
        const struct sw_node *called = sw_node_get(body, "name");
        if (strcmp(called && called->text ? called->text : body->key, name) == 0)
            return sw_node_get(body, key);
    }
    const struct sw_node *heights = root->kind == SW_NODE_MAP ? sw_node_get(root, "heights") : NULL;
    const struct sw_node *named =
        heights && heights->kind == SW_NODE_MAP ? sw_node_get(heights, name) : NULL;
    if (!named && root->kind == SW_NODE_MAP && strcmp(name, "total") == 0)
        named = sw_node_get(root, name);
    return named && named->kind == SW_NODE_MAP ? sw_node_get(named, key) : NULL;
}

/* Where a place stands in a text: columns count code points. */
static size_t offset_of(const char *text, size_t size, struct sw_span at)
{
    size_t i = 0;
    for (uint32_t line = 1; line < at.line && i < size; i++)
        line += text[i] == '\n';
    for (uint32_t column = 1; column < at.column && i < size; column++)
        for (i++; i < size && ((unsigned char)text[i] & 0xc0) == 0x80; i++)
            ;
    return i;
}

struct splice {
    size_t at, length;
    double value;
};

static enum sw_status gather(struct splice *splice, size_t *n, const struct sw_batch *batch,
                             size_t i, const struct sw_node *root, const char *text, size_t size,
                             struct sw_ctx *ctx)
{
    const struct sw_vary *vary = batch->vary.at;
    for (size_t v = 0; v < batch->vary.n; v++) {
        const struct sw_text *section = vary[v].sections.at;
        for (size_t s = 0; s < vary[v].sections.n; s++) {
            const struct sw_node *node = find(root, section[s].value, vary[v].key.value);
            if (!node || node->kind != SW_NODE_SCALAR)
                return fault(
                    section[s].at, "write the key there in the staff file first",
                    "the staff has no section or height `%s` with this key and a plain value",
                    section[s].value, ctx);
            struct splice one = {offset_of(text, size, node->at), strlen(node->text),
                                 value_of(batch, v, i)};
            size_t to = (*n)++;
            for (; to && splice[to - 1].at > one.at; to--)
                splice[to] = splice[to - 1];
            if (node->is_quoted || (to && splice[to - 1].at == one.at))
                return fault(section[s].at, NULL, "`%s` is changed twice, or quoted in the staff",
                             section[s].value, ctx);
            splice[to] = one;
        }
    }
    return SW_OK;
}

enum sw_status sw_batch_staff(struct sw_buf *out, const struct sw_batch *batch, size_t i,
                              const char *name, const char *text, size_t size, struct sw_ctx *ctx)
{
    struct sw_node *root = NULL;
    SW_TRY(sw_node_parse(&root, name, text, size, ctx));
    const struct sw_vary *vary = batch->vary.at;
    size_t most = 0, n = 0, at = 0;
    for (size_t v = 0; v < batch->vary.n; v++)
        most += vary[v].sections.n;
    struct splice *splice = SW_NEW(ctx->arena, struct splice, most);
    if (!splice)
        return SW_MEMORY;
    SW_TRY(gather(splice, &n, batch, i, root, text, size, ctx));
    for (size_t k = 0; k < n; k++) {
        sw_buf_printf(out, "%.*s%.4f", (int)(splice[k].at - at), text + at, splice[k].value);
        at = splice[k].at + splice[k].length;
    }
    sw_buf_printf(out, "%.*s", (int)(size - at), text + at);
    return out->failed ? SW_MEMORY : SW_OK;
}
