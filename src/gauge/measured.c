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
    {SW_F_TEXT(struct sw_gauged, variant), SW_NAME_RANGE,
     SW_MEANS("Which variant of a batch the piece is: the name of its folder.")},
};
static const struct sw_table reading_table = {
    .name = "reading",
    .sentence = "One section of one piece, gauged.",
    .size = sizeof(struct sw_gauged),
    SW_FIELDS(reading_fields),
};

static const struct sw_field length_fields[] = {
    {SW_F_TEXT(struct sw_gauged_length, from), SW_NAME_RANGE, SW_DEFAULT("lower tip"),
     SW_MEANS("Face it is gauged from: `upper tip`, `lower tip`, a height of the staff, or a "
              "section, whose shoulder at its end towards the hub is meant.")},
    {SW_F_TEXT(struct sw_gauged_length, to), SW_NAME_RANGE, SW_REQUIRED,
     SW_MEANS("Face it is gauged to, named likewise.")},
    {SW_F_NUMBER(struct sw_gauged_length, length, LENGTH), SW_RANGE(0.01, 100), SW_REQUIRED,
     SW_MEANS("Distance found along the axis, as the piece came off the lathe.")},
    {SW_F_NUMBER(struct sw_gauged_length, uncertainty, LENGTH), SW_RANGE(0.00001, 1),
     SW_MEANS("How far off this reading may be, in place of what holds for the file.")},
    {SW_F_INTEGER(struct sw_gauged_length, piece), SW_RANGE(1, 1000000), SW_DEFAULT("1"),
     SW_MEANS("Number of the piece, in the order they were cut.")},
    {SW_F_TEXT(struct sw_gauged_length, variant), SW_NAME_RANGE,
     SW_MEANS("Which variant of a batch the piece is: the name of its folder.")},
};
static const struct sw_table length_table = {
    .name = "gauged length",
    .sentence = "A distance along the axis on one piece, gauged.",
    .size = sizeof(struct sw_gauged_length),
    SW_FIELDS(length_fields),
};

static const struct sw_field change_fields[] = {
    {SW_F_INTEGER(struct sw_gauge_change, side), SW_RANGE(1, 2), SW_REQUIRED,
     SW_MEANS("Side whose tool was corrected.")},
    {SW_F_INTEGER(struct sw_gauge_change, station), SW_RANGE(1, 99), SW_REQUIRED,
     SW_MEANS("Station of the tool.")},
    {SW_F_NUMBER(struct sw_gauge_change, x, LENGTH), SW_RANGE(-1, 1), SW_REQUIRED,
     SW_MEANS("What was added to its X, on radius.")},
    {SW_F_INTEGER(struct sw_gauge_change, after), SW_RANGE(0, 1000000), SW_REQUIRED,
     SW_MEANS("Number of the last piece that was cut without it.")},
};
static const struct sw_table change_table = {
    .name = "change",
    .sentence =
        "A correction made between two pieces, so that readings from before it still count.",
    .size = sizeof(struct sw_gauge_change),
    SW_FIELDS(change_fields),
};

static const struct sw_field measured_fields[] = {
    {SW_F_NUMBER(struct sw_measured, uncertainty, LENGTH), SW_RANGE(0.00001, 1),
     SW_DEFAULT("0.002"),
     SW_MEANS("How far off a reading of the gauge may be, plus or minus, 95 times of 100.")},
    {SW_F_LIST(struct sw_measured, readings, &reading_table), SW_RANGE(1, 10000),
     SW_MEANS("Diameters that were gauged.")},
    {SW_F_LIST(struct sw_measured, lengths, &length_table), SW_RANGE(1, 10000),
     SW_MEANS("Lengths that were gauged.")},
    {SW_F_LIST(struct sw_measured, changes, &change_table), SW_RANGE(1, 1000),
     SW_MEANS("Corrections made to tools between these pieces.")},
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
    if (status == SW_OK && measured->readings.n + measured->lengths.n == 0) {
        sw_diag_add(ctx->diag, SW_ERROR, "measured.nothing", root->at,
                    "write `readings`, `lengths` or both", "nothing was gauged");
        status = SW_INPUT;
    }
    *out = measured;
    return sw_diag_failed(ctx->diag) ? SW_MEMORY : status;
}

double sw_gauged_diameter(const struct sw_gauged *reading)
{
    return reading->root_diameter.given
               ? (reading->diameter.value + reading->root_diameter.value) / 2
               : reading->diameter.value;
}

static double u_of(const struct sw_measured *measured, const struct sw_number *own)
{
    return (own->given ? own : &measured->uncertainty)->value / SW_GAUGE_COVERAGE;
}

double sw_measured_u(const struct sw_measured *measured, const struct sw_gauged *reading)
{
    return u_of(measured, &reading->uncertainty);
}

double sw_measured_length_u(const struct sw_measured *measured,
                            const struct sw_gauged_length *length)
{
    return u_of(measured, &length->uncertainty);
}

double sw_measured_added_since(const struct sw_measured *measured, int side, int station,
                               double piece)
{
    const struct sw_gauge_change *change = measured->changes.at;
    double added = 0;
    for (size_t i = 0; i < measured->changes.n; i++)
        if ((int)change[i].side.value == side && (int)change[i].station.value == station &&
            piece <= change[i].after.value)
            added += change[i].x.value;
    return added;
}
