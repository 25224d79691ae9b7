#include "gauge/correct.h"

#include <math.h>

static bool tells_of(const struct sw_gauge_cut *cut, const struct sw_gauge_tool *tool)
{
    return cut->reading->stage.value == SW_STAGE_TURNED && cut->station == tool->station &&
           cut->side == tool->side;
}

double sw_gauge_cut_now(const struct sw_gauge_cut *cut)
{
    return sw_gauged_diameter(cut->reading) + 2 * cut->added;
}

static struct sw_gauge_point point_of(const struct sw_gauge_cut *cut)
{
    return (struct sw_gauge_point){cut->expected, sw_gauge_cut_now(cut) - cut->expected, cut->u,
                                   cut->reading->piece.value};
}

static bool is_told(const struct sw_gauge_value *value)
{
    return fabs(value->value) > SW_GAUGE_COVERAGE * value->u;
}

/* Where the straight line of one section meets its limit. Errors, not sizes: of a batch the sizes
 * of a section differ, their errors and the limits of these do not. */
static double limit_piece_of(const struct sw_correction *correction,
                             const struct sw_gauge_tool *tool, size_t section)
{
    double piece = 0, error = 0, lower = 0, upper = 0;
    size_t n = 0;
    for (size_t i = 0; i < correction->n_cuts; i++) {
        const struct sw_gauge_cut *cut = &correction->cut[i];
        if (!tells_of(cut, tool) || cut->section != section)
            continue;
        piece += cut->reading->piece.value;
        error += sw_gauge_cut_now(cut) - cut->expected;
        lower += cut->lower - cut->expected;
        upper += cut->upper - cut->expected;
        n++;
    }
    const double limit = tool->drift.value > 0 ? upper : lower;
    return (piece + (limit - error) / tool->drift.value) / (double)n;
}

static void reckon_drift(struct sw_correction *correction, struct sw_gauge_tool *tool,
                         const struct sw_gauge_point *point)
{
    tool->limit_piece = (double)INFINITY;
    tool->knows_drift = sw_gauge_drift(&tool->drift, &tool->scatter, point, tool->n);
    tool->drifts = tool->knows_drift && is_told(&tool->drift);
    for (size_t i = 0; tool->drifts && i < correction->n_cuts; i++) {
        if (!tells_of(&correction->cut[i], tool))
            continue;
        const size_t section = correction->cut[i].section;
        const double piece = limit_piece_of(correction, tool, section);
        if (piece < tool->limit_piece) {
            tool->limit_piece = piece;
            tool->limit_section = section;
        }
    }
}

/* A drifting tool is corrected for the piece to come, not for the mean of those that were. */
static void carry_to_next(struct sw_gauge_tool *tool, const struct sw_gauge_point *point)
{
    double weights = 0, mean = 0;
    for (size_t i = 0; i < tool->n; i++) {
        const double weight = 1 / (point[i].u * point[i].u);
        weights += weight;
        mean += weight * point[i].piece;
    }
    const double ahead = tool->last_piece + 1 - mean / weights;
    tool->offset.value += tool->drift.value * ahead / 2;
    tool->offset.u = hypot(tool->offset.u, tool->drift.u * ahead / 2);
}

static enum sw_status reckon(struct sw_correction *correction, struct sw_gauge_tool *tool,
                             struct sw_ctx *ctx)
{
    struct sw_gauge_point *point = SW_NEW(ctx->arena, struct sw_gauge_point, correction->n_cuts);
    if (!point)
        return SW_MEMORY;
    for (size_t i = 0; i < correction->n_cuts; i++) {
        const struct sw_gauge_cut *cut = &correction->cut[i];
        if (!tells_of(cut, tool))
            continue;
        point[tool->n++] = point_of(cut);
        tool->last_piece = fmax(tool->last_piece, cut->reading->piece.value);
    }
    if (!sw_gauge_offset(&tool->offset, point, tool->n))
        return SW_OK;
    struct sw_gauge_value offset;
    tool->knows_height = sw_gauge_offset_and_height(&offset, &tool->height_2, point, tool->n);
    /* below the axis or above, its square is above 0; anything else is chance */
    tool->has_height = tool->knows_height && tool->height_2.value > 0 && is_told(&tool->height_2);
    if (tool->has_height)
        tool->offset = offset;
    reckon_drift(correction, tool, point);
    if (tool->drifts)
        carry_to_next(tool, point);
    tool->is_sure = is_told(&tool->offset);
    return SW_OK;
}

/* The series of one section of a tool, sorted by piece. */
static enum sw_status add_series(struct sw_correction *correction, const struct sw_gauge_tool *tool,
                                 size_t section, struct sw_ctx *ctx)
{
    struct sw_gauge_series *series = &correction->series[correction->n_series];
    *series =
        (struct sw_gauge_series){.side = tool->side, .station = tool->station, .section = section};
    series->at = SW_NEW(ctx->arena, struct sw_gauge_mark, correction->n_cuts);
    if (!series->at)
        return SW_MEMORY;
    for (size_t i = 0; i < correction->n_cuts; i++) {
        const struct sw_gauge_cut *cut = &correction->cut[i];
        if (!tells_of(cut, tool) || cut->section != section)
            continue;
        size_t to = series->n++;
        for (; to && series->at[to - 1].piece > cut->reading->piece.value; to--)
            series->at[to] = series->at[to - 1];
        series->at[to] = (struct sw_gauge_mark){.piece = cut->reading->piece.value,
                                                .error = sw_gauge_cut_now(cut) - cut->expected,
                                                .lower = cut->lower - cut->expected,
                                                .upper = cut->upper - cut->expected};
    }
    if (series->n)
        correction->n_series++;
    return sw_gauge_series(series, ctx);
}

static enum sw_status find_series(struct sw_correction *correction, struct sw_ctx *ctx)
{
    size_t n_sections = 0;
    for (size_t i = 0; i < correction->n_cuts; i++)
        if (correction->cut[i].section >= n_sections)
            n_sections = correction->cut[i].section + 1;
    correction->n_series = 0;
    correction->series =
        SW_NEW(ctx->arena, struct sw_gauge_series, correction->n_tools * n_sections + 1);
    if (!correction->series)
        return SW_MEMORY;
    for (size_t t = 0; t < correction->n_tools; t++)
        for (size_t section = 0; section < n_sections; section++)
            SW_TRY(add_series(correction, &correction->tool[t], section, ctx));
    return SW_OK;
}

/* The axis of a tool, made when there is none; SIZE_MAX: there are too many. */
static size_t axis_of(struct sw_correction *correction, const struct sw_gauge_face *face)
{
    size_t at = 0;
    while (at < correction->n_axes && (correction->axis[at].side != face->side ||
                                       correction->axis[at].station != face->station))
        at++;
    if (at == SW_GAUGE_MOST_TOOLS)
        return SIZE_MAX;
    if (at == correction->n_axes)
        correction->axis[correction->n_axes++] =
            (struct sw_gauge_axis){.side = face->side, .station = face->station};
    return at;
}

static void sort_axes(struct sw_gauge_axis *axis, size_t n)
{
    for (size_t i = 1; i < n; i++) {
        const struct sw_gauge_axis one = axis[i];
        size_t to = i;
        for (; to && (axis[to - 1].side > one.side ||
                      (axis[to - 1].side == one.side && axis[to - 1].station > one.station));
             to--)
            axis[to] = axis[to - 1];
        axis[to] = one;
    }
}

static enum sw_status reckon_lengths(struct sw_correction *correction, struct sw_ctx *ctx)
{
    struct sw_gauge_span *span = SW_NEW(ctx->arena, struct sw_gauge_span, correction->n_stretches);
    struct sw_gauge_z z[SW_GAUGE_MOST_TOOLS];
    size_t n = 0;
    correction->n_axes = 0;
    correction->axis = SW_NEW(ctx->arena, struct sw_gauge_axis, SW_GAUGE_MOST_TOOLS);
    if (!span || !correction->axis)
        return SW_MEMORY;
    const struct sw_gauge_face *rests = &correction->rests;
    const size_t reference = rests->station > 0 ? axis_of(correction, rests) : SIZE_MAX;
    for (size_t i = 0; i < correction->n_stretches; i++) {
        const struct sw_gauge_stretch *stretch = &correction->stretch[i];
        const bool is_upwards = stretch->from.z > stretch->to.z;
        const struct sw_gauge_face *from = is_upwards ? &stretch->to : &stretch->from;
        const struct sw_gauge_face *to = is_upwards ? &stretch->from : &stretch->to;
        if (from->station < 1 || to->station < 1)
            continue;
        const struct sw_gauge_span one = {.from = axis_of(correction, from),
                                          .to = axis_of(correction, to),
                                          .from_way = from->way,
                                          .to_way = to->way,
                                          .error =
                                              stretch->reading->length.value - stretch->expected,
                                          .u = stretch->u};
        if (one.from != SIZE_MAX && one.to != SIZE_MAX)
            span[n++] = one;
    }
    sw_gauge_z(z, correction->n_axes, reference, span, n);
    for (size_t i = 0; i < correction->n_axes; i++) {
        struct sw_gauge_axis *axis = &correction->axis[i];
        axis->z = z[i];
        axis->is_reference = i == reference;
        axis->is_sure = z[i].is_known && !axis->is_reference && is_told(&z[i].offset);
    }
    sort_axes(correction->axis, correction->n_axes);
    return SW_OK;
}

enum sw_status sw_gauge_correct(struct sw_correction *correction, struct sw_ctx *ctx)
{
    correction->tool = SW_NEW(ctx->arena, struct sw_gauge_tool, correction->n_cuts);
    if (!correction->tool)
        return SW_MEMORY;
    correction->n_tools = 0;
    for (size_t i = 0; i < correction->n_cuts; i++) {
        const struct sw_gauge_cut *cut = &correction->cut[i];
        bool is_new = cut->station > 0;
        for (size_t k = 0; k < correction->n_tools; k++)
            is_new = is_new && !tells_of(cut, &correction->tool[k]);
        if (!is_new || cut->reading->stage.value != SW_STAGE_TURNED)
            continue;
        struct sw_gauge_tool *tool = &correction->tool[correction->n_tools++];
        *tool = (struct sw_gauge_tool){.side = cut->side, .station = cut->station};
        SW_TRY(reckon(correction, tool, ctx));
    }
    SW_TRY(find_series(correction, ctx));
    return reckon_lengths(correction, ctx);
}

bool sw_gauge_taper(struct sw_gauge_value *taper, const struct sw_gauge_cut *cut)
{
    const struct sw_gauged *reading = cut->reading;
    if (!reading->root_diameter.given || !(reading->apart.value > 0))
        return false;
    const double found =
        (reading->root_diameter.value - reading->diameter.value) / reading->apart.value;
    taper->value = found - cut->taper;
    taper->u = sqrt(2) * cut->u_gauge / reading->apart.value;
    return is_told(taper);
}
