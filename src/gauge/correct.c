#include "gauge/correct.h"

#include <math.h>

static bool tells_of(const struct sw_gauge_cut *cut, const struct sw_gauge_tool *tool)
{
    return cut->reading->stage.value == SW_STAGE_TURNED && cut->station == tool->station &&
           cut->side == tool->side;
}

/* Diameter at the middle: of a pair, the mean. */
static struct sw_gauge_point point_of(const struct sw_gauge_cut *cut)
{
    return (struct sw_gauge_point){cut->expected, sw_gauged_diameter(cut->reading) - cut->expected,
                                   cut->u, cut->reading->piece.value};
}

static bool is_told(const struct sw_gauge_value *value)
{
    return fabs(value->value) > SW_GAUGE_COVERAGE * value->u;
}

/* Where the straight line of one section meets its limit. */
static double limit_piece_of(const struct sw_correction *correction,
                             const struct sw_gauge_tool *tool, size_t section)
{
    double piece = 0, size = 0, lower = 0, upper = 0;
    size_t n = 0;
    for (size_t i = 0; i < correction->n_cuts; i++) {
        const struct sw_gauge_cut *cut = &correction->cut[i];
        if (!tells_of(cut, tool) || cut->section != section)
            continue;
        piece += cut->reading->piece.value;
        size += sw_gauged_diameter(cut->reading);
        lower = cut->lower;
        upper = cut->upper;
        n++;
    }
    piece /= (double)n;
    size /= (double)n;
    const double limit = tool->drift.value > 0 ? upper : lower;
    return piece + (limit - size) / tool->drift.value;
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
    return SW_OK;
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
