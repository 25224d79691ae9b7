#include "gauge/log.h"

#include <math.h>
#include <string.h>

/* clang-format off */
static const struct sw_field entry_fields[] = {
    {SW_F_TEXT(struct sw_log_entry, set), SW_RANGE(1, 200), SW_REQUIRED,
     SW_MEANS("Which pieces belong together: the job and the file of its readings.")},
    {SW_F_INTEGER(struct sw_log_entry, piece), SW_RANGE(1, 1000000), SW_REQUIRED,
     SW_MEANS("Number of the piece in its set.")},
    {SW_F_INTEGER(struct sw_log_entry, side), SW_RANGE(1, 2), SW_REQUIRED,
     SW_MEANS("Side it was cut on.")},
    {SW_F_INTEGER(struct sw_log_entry, station), SW_RANGE(1, 99), SW_REQUIRED,
     SW_MEANS("Station of the tool that cut it last.")},
    {SW_F_TEXT(struct sw_log_entry, tool), SW_RANGE(1, 200), SW_REQUIRED,
     SW_MEANS("Name of that tool.")},
    {SW_F_TEXT(struct sw_log_entry, section), SW_NAME_RANGE, SW_REQUIRED,
     SW_MEANS("Section that was gauged.")},
    {SW_F_NUMBER(struct sw_log_entry, expected, LENGTH), SW_RANGE(0.01, 20), SW_REQUIRED,
     SW_MEANS("Diameter that the programs leave by calculation.")},
    {SW_F_NUMBER(struct sw_log_entry, found, LENGTH), SW_RANGE(0.01, 20), SW_REQUIRED,
     SW_MEANS("Diameter found.")},
    {SW_F_NUMBER(struct sw_log_entry, added, LENGTH), SW_RANGE(-1, 1), SW_DEFAULT("0"),
     SW_MEANS("What had been added to the tool's X since the first piece of the set, on radius.")},
    {SW_F_NUMBER(struct sw_log_entry, doubt, LENGTH), SW_RANGE(0.00001, 1), SW_REQUIRED,
     SW_MEANS("How far off the reading may be, plus or minus, 95 times of 100.")},
};
static const struct sw_table entry_table = {
    "log entry", "One section of one piece, as it was found.", sizeof(struct sw_log_entry),
    SW_FIELDS(entry_fields)};

static const struct sw_field log_fields[] = {
    {SW_F_TEXT(struct sw_log, shop), SW_RANGE(1, 200), SW_REQUIRED,
     SW_MEANS("Shop whose lathe and tools cut the pieces.")},
    {SW_F_LIST(struct sw_log, entries, &entry_table), SW_RANGE(0, 20000),
     SW_MEANS("What was measured, oldest first; `correct --log` writes new ones below.")},
};
const struct sw_table sw_log_table = {
    "measurements/1", "What was measured on a shop's pieces, over many jobs; forecasts use it.",
    sizeof(struct sw_log), SW_FIELDS(log_fields)};
/* clang-format on */

enum sw_status sw_log_parse(struct sw_log **out, const char *path, const char *text, size_t size,
                            struct sw_ctx *ctx)
{
    struct sw_node *root = NULL;
    SW_TRY(sw_node_parse(&root, path, text, size, ctx));
    SW_TRY(sw_node_check_format(root, sw_log_table.name, ctx));
    struct sw_log *log = SW_NEW(ctx->arena, struct sw_log, 1);
    if (!log)
        return SW_MEMORY;
    SW_TRY(sw_table_read(log, &sw_log_table, root, ctx));
    log->file = path;
    *out = log;
    return SW_OK;
}

/* As it stands in a line of the log: four decimals, as gauges read at best. */
static bool same_size(double a, double b)
{
    static const double half_step = 5e-5;
    return fabs(a - b) < half_step;
}

static bool is_known(const struct sw_log *log, const struct sw_log_news *news, size_t i)
{
    const struct sw_gauge_cut *cut = &news->correction->cut[i];
    const struct sw_log_entry *entry = log ? log->entries.at : NULL;
    for (size_t k = 0; log && k < log->entries.n; k++)
        if (entry[k].piece.value == cut->reading->piece.value &&
            (int)entry[k].side.value == cut->side && (int)entry[k].station.value == cut->station &&
            same_size(entry[k].found.value, sw_gauged_diameter(cut->reading)) &&
            strcmp(entry[k].set.value, news->set) == 0 &&
            strcmp(entry[k].section.value, news->section[i]) == 0)
            return true;
    return false;
}

/* A name as a quoted YAML word. */
static void add_quoted(struct sw_buf *out, const char *text)
{
    sw_buf_add(out, "\"");
    for (; *text; text++) {
        if (*text == '"' || *text == '\\')
            sw_buf_add(out, "\\");
        sw_buf_addn(out, text, 1);
    }
    sw_buf_add(out, "\"");
}

static void add_entry(struct sw_buf *out, const struct sw_log_news *news, size_t i)
{
    const struct sw_gauge_cut *cut = &news->correction->cut[i];
    /* up to this piece = all there was less what came after it */
    const double all =
        sw_measured_added_since(news->correction->measured, cut->side, cut->station, 0);
    sw_buf_add(out, "  - {set: ");
    add_quoted(out, news->set);
    sw_buf_printf(out, ", piece: %.0f, side: %d, station: %d, tool: ", cut->reading->piece.value,
                  cut->side, cut->station);
    add_quoted(out, news->tool[i]);
    sw_buf_add(out, ", section: ");
    add_quoted(out, news->section[i]);
    sw_buf_printf(out, ", expected: %.5f, found: %.4f, added: %.5f, doubt: %.5f}\n", cut->expected,
                  sw_gauged_diameter(cut->reading), all - cut->added,
                  SW_GAUGE_COVERAGE * cut->u_gauge);
}

static enum sw_status refuse(const char *hint, const char *format, const char *path,
                             const char *what, struct sw_ctx *ctx)
{
    sw_diag_add(ctx->diag, SW_ERROR, "log.place", (struct sw_span){0}, hint, format, path, what);
    return SW_INPUT;
}

enum sw_status sw_log_grown(struct sw_buf *out, size_t *n_added, size_t *n_known, const char *path,
                            const char *text, size_t size, const struct sw_log_news *news,
                            struct sw_ctx *ctx)
{
    struct sw_log *before = NULL, *after = NULL;
    *n_added = *n_known = 0;
    if (size)
        SW_TRY(sw_log_parse(&before, path, text, size, ctx));
    if (before && strcmp(before->shop.value, news->shop) != 0)
        return refuse("keep a log for each shop",
                      "%s is the log of another shop than %s; nothing was added", path, news->shop,
                      ctx);
    sw_buf_addn(out, text, size);
    if (size && text[size - 1] != '\n')
        sw_buf_add(out, "\n");
    if (!size) {
        sw_buf_add(out,
                   "# What was measured on the pieces of this shop. `correct --log` adds lines "
                   "below;\n# comments stay. `batch --log` reads it.\nformat: "
                   "measurements/1\nshop: ");
        add_quoted(out, news->shop);
        sw_buf_add(out, "\n");
    }
    if (!before || !before->entries.n)
        sw_buf_add(out, "entries:\n");
    for (size_t i = 0; i < news->correction->n_cuts; i++) {
        const struct sw_gauge_cut *cut = &news->correction->cut[i];
        if (cut->reading->stage.value != SW_STAGE_TURNED || cut->station < 1)
            continue;
        if (is_known(before, news, i)) {
            ++*n_known;
            continue;
        }
        ++*n_added;
        add_entry(out, news, i);
    }
    if (out->failed)
        return SW_MEMORY;
    if (*n_added == 0)
        return SW_OK;
    /* A text that would not read back is never written. */
    struct sw_ctx aside = {ctx->arena, sw_diag_new()};
    if (!aside.diag)
        return SW_MEMORY;
    const enum sw_status status = sw_log_parse(&after, path, sw_buf_text(out), out->n, &aside);
    sw_diag_free(aside.diag);
    if (status == SW_MEMORY)
        return status;
    if (status != SW_OK || after->entries.n != (before ? before->entries.n : 0) + *n_added)
        return refuse("let `entries:` be its last key, one line each, begun by two blanks and a "
                      "dash",
                      "%s cannot be added to at its end%s; nothing was added", path, "", ctx);
    return SW_OK;
}

/* A standard deviation from fewer degrees of freedom says little: from five it is known to a factor
 * of two at 95 of 100 (chi-square). */
enum { LEAST_READINGS = 3, LEAST_FREEDOM = 5 };

/* Sums of one group about its means. */
struct sums {
    double n, x, y, xx, xy, yy;
    double gauge; /* variances of the readings */
};

static bool is_asked(const struct sw_log_entry *entry, const char *const *section, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (strcmp(entry->section.value, section[i]) == 0)
            return true;
    return false;
}

static bool is_of_group(const struct sw_log_entry *a, const struct sw_log_entry *b)
{
    return (int)a->side.value == (int)b->side.value &&
           (int)a->station.value == (int)b->station.value &&
           strcmp(a->set.value, b->set.value) == 0 &&
           strcmp(a->section.value, b->section.value) == 0;
}

static bool is_of_set(const struct sw_log_entry *a, const struct sw_log_entry *b)
{
    return strcmp(a->set.value, b->set.value) == 0;
}

static bool is_of_piece(const struct sw_log_entry *a, const struct sw_log_entry *b)
{
    return (int)a->piece.value == (int)b->piece.value && is_of_set(a, b);
}

/* Of the diameter, as if nothing had been added since the first piece. */
static double error_of(const struct sw_log_entry *entry)
{
    return entry->found.value - entry->expected.value - 2 * entry->added.value;
}

static struct sums sums_of(const struct sw_log *log, const struct sw_log_entry *first)
{
    const struct sw_log_entry *entry = log->entries.at, *end = entry + log->entries.n;
    struct sums is = {0};
    for (const struct sw_log_entry *at = first; at < end; at++) {
        if (!is_of_group(at, first))
            continue;
        is.n++;
        is.x += at->piece.value;
        is.y += error_of(at);
        is.gauge += pow(at->doubt.value / SW_GAUGE_COVERAGE, 2);
    }
    is.x /= is.n;
    is.y /= is.n;
    for (const struct sw_log_entry *at = first; at < end; at++) {
        if (!is_of_group(at, first))
            continue;
        const double x = at->piece.value - is.x, y = error_of(at) - is.y;
        is.xx += x * x;
        is.xy += x * y;
        is.yy += y * y;
    }
    return is;
}

/* No entry before this one is of the same. */
static bool is_first(const struct sw_log *log, const struct sw_log_entry *entry,
                     bool (*is_same)(const struct sw_log_entry *, const struct sw_log_entry *),
                     const char *const *section, size_t n)
{
    for (const struct sw_log_entry *at = log->entries.at; at < entry; at++)
        if (is_asked(at, section, n) && is_same(at, entry))
            return false;
    return true;
}

void sw_log_reckon(struct sw_log_figures *out, const struct sw_log *log, const char *const *section,
                   size_t n)
{
    const struct sw_log_entry *entry = log->entries.at, *end = entry + log->entries.n;
    struct sums all = {0};
    double freedom = -1; /* the slope */
    *out = (struct sw_log_figures){0};
    for (const struct sw_log_entry *at = entry; at < end; at++) {
        if (!is_asked(at, section, n))
            continue;
        out->n_pieces += is_first(log, at, is_of_piece, section, n);
        out->n_sets += is_first(log, at, is_of_set, section, n);
        if (!is_first(log, at, is_of_group, section, n))
            continue;
        const struct sums group = sums_of(log, at);
        if (group.n < LEAST_READINGS)
            continue;
        all.n += group.n;
        all.xx += group.xx;
        all.xy += group.xy;
        all.yy += group.yy;
        all.gauge += group.gauge;
        freedom += group.n - 1;
    }
    out->n_readings = (size_t)all.n;
    out->is_known = freedom >= LEAST_FREEDOM && all.xx > 0;
    if (!out->is_known)
        return;
    /* one slope for all: yy - b xy is what the line leaves (least squares) */
    out->wear = all.xy / all.xx;
    const double variance = fmax(0, all.yy - out->wear * all.xy) / freedom;
    out->u_wear = sqrt(variance / all.xx);
    out->gauge = sqrt(all.gauge / all.n);
    /* of FREEDOM normal values the variance is known to sqrt(2 / FREEDOM) of itself */
    out->shows_repeat = variance > all.gauge / all.n * (1 + SW_GAUGE_COVERAGE * sqrt(2 / freedom));
    out->repeat = sqrt(fmax(0, variance - all.gauge / all.n)) / 2;
}
