#include "part/survey.h"

#include <math.h>
#include <string.h>

#include "part/raw.h"
#include "part/survey_raw.h"

static const double sqrt3 = 1.73205080756887729353;
/* How far a bought pin may be off its name [mm]: common practice, no source. */
static const double pin_half = 0.001;

#define FAULT(ctx, ...) sw_diag_add((ctx)->diag, SW_ERROR, __VA_ARGS__)

/* Standard uncertainty of what the instrument does, readings alike. */
static double instrument_u(const struct raw_reading *raw, double assumed_half)
{
    if (raw->uncertainty.given)
        return raw->uncertainty.value;
    return (raw->plus_minus.given ? raw->plus_minus.value : assumed_half) / sqrt3;
}

/* Mean and scatter of repeated readings (JCGM 100, 4.2), with the instrument's own doubt. */
static void read_repeats(struct sw_reading *to, const struct raw_reading *raw, double assumed_half)
{
    const struct sw_number *x = raw->repeats.at;
    const size_t n = raw->repeats.n;
    double sum = 0, square = 0;
    for (size_t i = 0; i < n; i++)
        sum += x[i].value;
    to->value = sum / (double)n;
    for (size_t i = 0; i < n; i++)
        square += (x[i].value - to->value) * (x[i].value - to->value);
    const double of_mean = square / (double)(n - 1) / (double)n; /* variance */
    const double own = instrument_u(raw, assumed_half);
    const double all = of_mean + own * own;
    to->source.u = sqrt(all);
    to->source.spread = SW_SPREAD_STUDENT;
    to->source.dof =
        of_mean > 0 ? all * all / (of_mean * of_mean) * (double)(n - 1) : (double)INFINITY;
    if (isinf(to->source.dof))
        to->source.spread = raw->uncertainty.given ? SW_SPREAD_NORMAL : SW_SPREAD_EVEN;
}

/* Between two pins anything is as likely as anything else; the pins are off by something too. */
static void read_pins(struct sw_reading *to, const struct raw_reading *raw)
{
    to->is_pins = true;
    to->is_assumed = false;
    to->goes = raw->goes.value;
    to->stops = raw->stops.value;
    to->value = (to->goes + to->stops) / 2;
    const double half = (to->stops - to->goes) / 2;
    to->source = (struct sw_gum_source){hypot(half / sqrt3, instrument_u(raw, pin_half)),
                                        (double)INFINITY, SW_SPREAD_EVEN};
}

static bool is_sound(const struct sw_reading *to, const struct raw_reading *raw, struct sw_ctx *ctx)
{
    const char *key = sw_reading_info[to->kind].key;
    const size_t before = sw_diag_n_errors(ctx->diag);
    const bool has_pins = raw->goes.given || raw->stops.given;
    if (raw->reads.given + raw->repeats.given + has_pins != 1)
        FAULT(ctx, "survey.reads", to->at,
              "a hole may be given by `goes` and `stops` instead, anything by `repeats`",
              "%s needs exactly one of `reads`, `repeats` or a pair of pins", key);
    if (raw->goes.given != raw->stops.given)
        FAULT(ctx, "survey.pins", raw->goes.given ? raw->goes.at : raw->stops.at,
              "`goes`: the thickest pin that goes in; `stops`: the thinnest that does not",
              "%s is held by one pin only; two bracket it", key);
    else if (has_pins && raw->stops.value <= raw->goes.value)
        FAULT(ctx, "survey.pins", raw->stops.at, "the pin that stops is the thicker one",
              "%s: a pin of %s mm goes in, but one of %s mm does not", key,
              PART_MM(raw->goes.value), PART_MM(raw->stops.value));
    if (raw->repeats.given && raw->repeats.n < 2)
        FAULT(ctx, "survey.repeats", raw->repeats.span, "write a single reading as `reads`",
              "%s has fewer than two repeated readings; two at least show a spread", key);
    if (raw->plus_minus.given && raw->uncertainty.given)
        FAULT(ctx, "survey.doubt", raw->uncertainty.at,
              "`plus_minus` are limits; `uncertainty` is a standard deviation",
              "%s has both `plus_minus` and `uncertainty`; one of them counts", key);
    return sw_diag_n_errors(ctx->diag) == before;
}

/* False when a fault was reported. */
static bool resolve(struct sw_reading *to, const struct sw_variant *variant, struct sw_ctx *ctx)
{
    const struct raw_reading *raw = variant->value;
    const double assumed = sw_reading_info[variant->which].half;
    *to = (struct sw_reading){
        .kind = (enum sw_reading_kind)variant->which,
        .at = variant->at,
        .plus_minus = raw->plus_minus.value,
        .uncertainty = raw->uncertainty.value,
        .is_repeated = raw->repeats.given,
        .is_assumed = !raw->plus_minus.given && !raw->uncertainty.given,
        .is_olive = raw->shape.value == 1,
        .by = raw->by.value,
    };
    if (!is_sound(to, raw, ctx))
        return false;
    if (raw->goes.given) {
        read_pins(to, raw);
    } else if (raw->repeats.given) {
        read_repeats(to, raw, assumed);
    } else {
        to->value = raw->reads.value;
        to->source =
            (struct sw_gum_source){instrument_u(raw, assumed), (double)INFINITY,
                                   raw->uncertainty.given ? SW_SPREAD_NORMAL : SW_SPREAD_EVEN};
    }
    return true;
}

enum sw_status sw_parts_read(struct sw_parts_read *out, const struct sw_parts_raw *raw,
                             struct sw_ctx *ctx)
{
    const struct sw_variant *variant = raw->readings.at;
    struct sw_reading *reading = SW_NEW(ctx->arena, struct sw_reading, raw->readings.n);
    if (!reading)
        return SW_MEMORY;
    bool good = true;
    for (size_t i = 0; i < raw->readings.n; i++)
        good = resolve(&reading[i], &variant[i], ctx) && good;
    *out = (struct sw_parts_read){(enum sw_fixing)raw->fixing.value,
                                  (enum sw_part_metal)raw->roller_metal.value, reading,
                                  raw->readings.n};
    if (sw_diag_failed(ctx->diag))
        return SW_MEMORY;
    return good ? SW_OK : SW_INPUT;
}

static enum sw_status build(struct sw_survey **out, const char *file, const struct sw_node *root,
                            struct sw_ctx *ctx)
{
    SW_TRY(sw_node_check_format(root, "survey/1", ctx));
    struct raw_survey *raw = SW_NEW(ctx->arena, struct raw_survey, 1);
    struct sw_survey *survey = SW_NEW(ctx->arena, struct sw_survey, 1);
    char *file_copy = sw_arena_copy(ctx->arena, file, strlen(file));
    if (!raw || !survey || !file_copy)
        return SW_MEMORY;
    SW_TRY(sw_table_read(raw, &sw_survey_table, root, ctx));
    *survey = (struct sw_survey){
        .file = file_copy,
        .name = raw->name.value,
        .material = raw->material.value,
        .material_is_given = raw->material.given,
        .layout = (enum sw_layout)raw->layout.value,
        .has_flat_ends = raw->pivot_ends.value == 1,
        .end_shake = raw->end_shake.value,
    };
    SW_TRY(sw_parts_read(&survey->parts, &raw->parts, ctx));
    *out = survey;
    return SW_OK;
}

enum sw_status sw_survey_load(struct sw_survey **out, const char *path, struct sw_ctx *ctx)
{
    struct sw_node *root = NULL;
    SW_TRY(sw_node_load(&root, path, ctx));
    return build(out, path, root, ctx);
}

enum sw_status sw_survey_parse(struct sw_survey **out, const char *name, const char *text,
                               size_t size, struct sw_ctx *ctx)
{
    struct sw_node *root = NULL;
    SW_TRY(sw_node_parse(&root, name, text, size, ctx));
    return build(out, name, root, ctx);
}
