#include "gauge/measured.h"

#include <string.h>

#include "gauge/reckon.h"

static const char *const stage_words[] = {"turned", "stoned", "burnished", NULL};

static const struct sw_field reading_fields[] = {
    {SW_F_TEXT(struct sw_gauged, section), SW_NAME_RANGE, SW_REQUIRED,
     SW_MEANS("Name of the section that was gauged, as in the staff.")},
    {SW_F_NUMBER(struct sw_gauged, diameter, LENGTH), SW_RANGE(0.01, 20), SW_REQUIRED,
     SW_MEANS("Diameter found; at the middle of its straight length, or near its tip when "
              "`root_diameter` is given.")},
    {SW_F_NUMBER(struct sw_gauged, root_diameter, LENGTH), SW_RANGE(0.01, 20),
     SW_MEANS("Diameter of the same section found nearer the hub, to tell a taper.")},
    {SW_F_NUMBER(struct sw_gauged, apart, LENGTH), SW_RANGE(0.02, 20),
     SW_MEANS("How far apart along the axis the two diameters were gauged.")},
    {SW_F_NUMBER(struct sw_gauged, uncertainty, LENGTH), SW_RANGE(0.00001, 1),
     SW_MEANS("How far off this reading may be, in place of what holds for the file.")},
    {SW_F_INTEGER(struct sw_gauged, piece), SW_RANGE(1, 1000000), SW_DEFAULT("1"),
     SW_MEANS("Number of the piece, in the order they were cut.")},
    {SW_F_WORD(struct sw_gauged, stage, stage_words), SW_DEFAULT("turned"),
     SW_MEANS("When it was gauged: as it came off the lathe, stoned, or burnished; only what is "
              "turned tells of the tool.")},
};
static const struct sw_table reading_table = {
    .name = "reading",
    .sentence = "One section of one piece, gauged.",
    .size = sizeof(struct sw_gauged),
    SW_FIELDS(reading_fields),
};

static const struct sw_field measured_fields[] = {
    {SW_F_NUMBER(struct sw_measured, uncertainty, LENGTH), SW_RANGE(0.00001, 1),
     SW_DEFAULT("0.002"),
     SW_MEANS("How far off a reading of the gauge may be, plus or minus, 95 times of 100.")},
    {SW_F_LIST(struct sw_measured, readings, &reading_table), SW_RANGE(1, 10000), SW_REQUIRED,
     SW_MEANS("What was gauged.")},
};
const struct sw_table sw_measured_table = {
    .name = "measured/1",
    .sentence = "What a gauge found on pieces that a job cut; `correct` says what follows.",
    .size = sizeof(struct sw_measured),
    SW_FIELDS(measured_fields),
};

static bool check_pair(const struct sw_gauged *reading, struct sw_ctx *ctx)
{
    if (reading->root_diameter.given == reading->apart.given)
        return true;
    const bool has_apart = reading->apart.given;
    sw_diag_add(ctx->diag, SW_ERROR, "measured.pair",
                has_apart ? reading->apart.at : reading->root_diameter.at,
                has_apart ? "add `root_diameter`, or take `apart` out"
                          : "add `apart`, the distance between both along the axis",
                "a taper needs both `root_diameter` and `apart`");
    return false;
}

enum sw_status sw_measured_load(struct sw_measured **out, const char *path, struct sw_ctx *ctx)
{
    struct sw_node *root = NULL;
    SW_TRY(sw_node_load(&root, path, ctx));
    SW_TRY(sw_node_check_format(root, sw_measured_table.name, ctx));
    struct sw_measured *measured = SW_NEW(ctx->arena, struct sw_measured, 1);
    const char *file = sw_arena_copy(ctx->arena, path, strlen(path));
    if (!measured || !file)
        return SW_MEMORY;
    enum sw_status status = sw_table_read(measured, &sw_measured_table, root, ctx);
    if (status != SW_OK && status != SW_INPUT)
        return status;
    measured->file = file;
    const struct sw_gauged *reading = measured->readings.at;
    for (size_t i = 0; i < measured->readings.n; i++)
        if (!check_pair(&reading[i], ctx))
            status = SW_INPUT;
    *out = measured;
    return sw_diag_failed(ctx->diag) ? SW_MEMORY : status;
}

double sw_gauged_diameter(const struct sw_gauged *reading)
{
    return reading->root_diameter.given
               ? (reading->diameter.value + reading->root_diameter.value) / 2
               : reading->diameter.value;
}

double sw_measured_u(const struct sw_measured *measured, const struct sw_gauged *reading)
{
    const struct sw_number *written =
        reading->uncertainty.given ? &reading->uncertainty : &measured->uncertainty;
    return written->value / SW_GAUGE_COVERAGE;
}
