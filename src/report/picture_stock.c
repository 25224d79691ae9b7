/* What stands of the work while it is cut, in columns: enough for a picture. */
#include "report/picture_int.h"

#include <math.h>

/* Columns a mm of z: at the usual scales a column is thinner than a line. */
static const double columns_per_mm = 150;
static const double beyond = 1; /* of rod behind the last cut that is kept [mm] */

/* How far above its nose centre the edge of a tool stands at DZ from it; infinite beside it. */
static double edge_height(const struct sw_tool *tool, double dz)
{
    const double pi = acos(-1.0), nose = tool->nose_radius.value;
    const double second = sw_tool_second_corner(tool).z;
    double low, high;
    sw_tool_flanks(&low, &high, tool);
    if (dz >= 0 && dz <= second)
        return -nose;
    const double flank = dz > second ? low : pi - high, d = dz > second ? dz - second : -dz;
    const double round = flank < pi / 2 ? nose * sin(flank) : nose;
    if (d <= round)
        return -sqrt(fmax(nose * nose - d * d, 0));
    if (flank >= pi / 2 - 1e-6)
        return HUGE_VAL;
    return -nose * cos(flank) + (d - round) * tan(flank);
}

static void lower(struct sw_pic_stock *stock, size_t at, double r)
{
    if (r < stock->r[at])
        stock->r[at] = fmax(r, 0);
}

/* The edge's heights by whole columns from the nose: TABLE[HALF] is the nose itself. */
struct edge {
    double *table;
    size_t half;
};

static enum sw_status edge_of(struct edge *out, const struct sw_tool *tool, double step,
                              struct sw_ctx *ctx)
{
    static const double widest = 3; /* mm to either side of the nose */
    out->half = (size_t)ceil(widest / step);
    out->table = SW_NEW(ctx->arena, double, 2 * out->half + 1);
    if (!out->table)
        return SW_MEMORY;
    for (size_t i = 0; i <= 2 * out->half; i++)
        out->table[i] = edge_height(tool, ((double)i - (double)out->half) * step);
    return SW_OK;
}

static void cut_at(struct sw_pic_stock *stock, const struct edge *edge, struct sw_pt nose,
                   double highest)
{
    const double column = floor((nose.z - stock->z0) / stock->step + 0.5);
    if (column < 0 || column >= (double)stock->n)
        return;
    if (nose.r + edge->table[edge->half] >= highest)
        return;
    const size_t at = (size_t)column;
    for (size_t k = 0; k <= edge->half && at + k < stock->n; k++) {
        const double r = nose.r + edge->table[edge->half + k];
        if (r >= highest)
            break;
        lower(stock, at + k, r);
    }
    for (size_t k = 1; k <= edge->half && k <= at; k++) {
        const double r = nose.r + edge->table[edge->half - k];
        if (r >= highest)
            break;
        lower(stock, at - k, r);
    }
}

static void cut_along(struct sw_pic_stock *stock, const struct edge *edge, const struct sw_seg *seg,
                      double highest)
{
    const int n = (int)ceil(sw_seg_length(seg) / stock->step);
    for (int i = 0; i <= n; i++)
        cut_at(stock, edge, sw_seg_at(seg, n ? (double)i / n : 0), highest);
}

static enum sw_status cut(struct sw_pic_stock *stock, const struct sw_op *op, struct sw_ctx *ctx)
{
    if (!op->tool || op->n_passes == 0 || op->tool->kind.value == SW_TOOL_FACE_POINT)
        return SW_OK;
    struct edge edge;
    SW_TRY(edge_of(&edge, op->tool, stock->step, ctx));
    double highest = 0;
    for (size_t i = 0; i < stock->n; i++)
        highest = fmax(highest, stock->r[i]);
    for (size_t i = 0; i < op->n_passes; i++) {
        const struct sw_contour *run = &op->pass[i].run;
        for (size_t k = 0; k < run->n; k++)
            cut_along(stock, &edge, &run->at[k], highest);
        if (run->n == 0)
            continue;
        const struct sw_seg in = sw_seg_line(op->pass[i].from, run->at[0].a, SW_TAG_NONE);
        const struct sw_seg out = sw_seg_line(run->at[run->n - 1].b, op->pass[i].lift, SW_TAG_NONE);
        cut_along(stock, &edge, &in, highest);
        cut_along(stock, &edge, &out, highest);
    }
    return SW_OK;
}

static enum sw_status make_columns(struct sw_pic_stock *out, double z0, double z1,
                                   struct sw_ctx *ctx)
{
    out->z0 = z0;
    out->step = 1 / columns_per_mm;
    out->n = (size_t)ceil((z1 - z0) / out->step) + 1;
    out->r = SW_NEW(ctx->arena, double, out->n);
    return out->r ? SW_OK : SW_MEMORY;
}

static enum sw_status copy_columns(struct sw_pic_stock *out, const struct sw_pic_stock *in,
                                   struct sw_ctx *ctx)
{
    *out = *in;
    out->r = SW_NEW(ctx->arena, double, in->n);
    if (!out->r)
        return SW_MEMORY;
    for (size_t i = 0; i < in->n; i++)
        out->r[i] = in->r[i];
    return SW_OK;
}

static double part_z(const struct sw_plan *plan, size_t chucking, double z)
{
    const enum sw_side end = plan->chucking[chucking].end;
    const double shift = sw_plan_chucking_z(plan->shape, end, 0);
    return (z - shift) / (sw_plan_chucking_z(plan->shape, end, 1) - shift);
}

static enum sw_status start_of_rod(struct sw_pic_stock *out, const struct sw_plan *plan,
                                   const struct sw_plan_chucking *c, struct sw_ctx *ctx)
{
    const double length = plan->shape->z_lower - plan->shape->z_upper;
    const double back = fmin(c->has_neck ? c->neck_z : 0, -length) - beyond;
    SW_TRY(make_columns(out, back, c->rod_end_z, ctx));
    for (size_t k = 0; k < out->n; k++)
        out->r[k] = c->rod_diameter / 2;
    return SW_OK;
}

static enum sw_status start_blank(struct sw_pic_stock *out, const struct sw_plan *plan, size_t i,
                                  struct sw_ctx *ctx)
{
    const struct sw_box box = sw_contour_box(&plan->blank->most[0]);
    const enum sw_side end = plan->chucking[i].end;
    const double a = sw_plan_chucking_z(plan->shape, end, box.z0);
    const double b = sw_plan_chucking_z(plan->shape, end, box.z1);
    SW_TRY(make_columns(out, fmin(a, b), fmax(a, b), ctx));
    for (size_t k = 0; k < out->n; k++)
        out->r[k] =
            sw_plan_blank_radius(plan->blank, part_z(plan, i, out->z0 + out->step * (double)k));
    return SW_OK;
}

/* What is cut once more stands as it should be turned, but for a few hundredths. */
static enum sw_status start_turned(struct sw_pic_stock *out, const struct sw_plan *plan, size_t i,
                                   struct sw_ctx *ctx)
{
    const struct sw_contour *turned = &plan->shape->turned;
    const struct sw_box box = sw_contour_box(turned);
    const enum sw_side end = plan->chucking[i].end;
    const double a = sw_plan_chucking_z(plan->shape, end, box.z0);
    const double b = sw_plan_chucking_z(plan->shape, end, box.z1);
    SW_TRY(make_columns(out, fmin(a, b), fmax(a, b), ctx));
    for (size_t k = 0; k < out->n; k++)
        if (!sw_contour_r_at(&out->r[k], turned, part_z(plan, i, out->z0 + out->step * (double)k)))
            out->r[k] = 0;
    return SW_OK;
}

static enum sw_status start_turned_round(struct sw_pic_stock *out, struct sw_pic *pic, size_t i)
{
    const struct sw_plan *plan = pic->from->plan;
    const struct sw_plan_chucking *c = &plan->chucking[i], *first = &plan->chucking[i - 1];
    const struct sw_pic_stock *state;
    SW_TRY(sw_pic_stock_states(&state, pic, i - 1));
    const struct sw_pic_stock *before = &state[first->n_ops];
    const double first_end = before->z0 + before->step * (double)(before->n - 1);
    const double a = sw_plan_chucking_z(plan->shape, c->end, part_z(plan, i - 1, before->z0));
    const double b = sw_plan_chucking_z(plan->shape, c->end, part_z(plan, i - 1, first_end));
    SW_TRY(make_columns(out, fmin(a, b), fmax(a, b), pic->ctx));
    for (size_t k = 0; k < out->n; k++) {
        const double z = part_z(plan, i, out->z0 + out->step * (double)k);
        const double was = sw_plan_chucking_z(plan->shape, first->end, z);
        const double at = floor((was - before->z0) / before->step + 0.5);
        /* Behind the neck it was broken off. */
        const bool is_gone =
            at < 0 || at >= (double)before->n || (first->has_neck && was < first->neck_z);
        out->r[k] = is_gone ? 0 : before->r[(size_t)at];
    }
    return SW_OK;
}

bool sw_pic_bends_at(const double *r, size_t i, size_t from, size_t to)
{
    static const double straight = 1e-6; /* mm; far below what a page shows */
    return i == from || i + 1 >= to || fabs(r[i - 1] - 2 * r[i] + r[i + 1]) > straight;
}

enum sw_status sw_pic_stock_states(const struct sw_pic_stock **out, struct sw_pic *pic, size_t i)
{
    *out = pic->state[i];
    if (*out)
        return SW_OK;
    const struct sw_plan *plan = pic->from->plan;
    const struct sw_plan_chucking *c = &plan->chucking[i];
    struct sw_pic_stock *state = SW_NEW(pic->ctx->arena, struct sw_pic_stock, c->n_ops + 1);
    if (!state)
        return SW_MEMORY;
    if (c->is_again)
        SW_TRY(start_turned(&state[0], plan, i, pic->ctx));
    else if (plan->blank && i == 0)
        SW_TRY(start_blank(&state[0], plan, i, pic->ctx));
    else if (c->is_from_rod || i == 0)
        SW_TRY(start_of_rod(&state[0], plan, c, pic->ctx));
    else
        SW_TRY(start_turned_round(&state[0], pic, i));
    for (size_t k = 0; k < c->n_ops; k++) {
        SW_TRY(copy_columns(&state[k + 1], &state[k], pic->ctx));
        SW_TRY(cut(&state[k + 1], &c->op[k], pic->ctx));
    }
    pic->state[i] = state;
    *out = state;
    return SW_OK;
}

void sw_pic_chucking_view(struct sw_view *view, const struct sw_plan *plan, size_t chucking)
{
    const enum sw_side end = plan->chucking[chucking].end;
    view->z_shift = sw_plan_chucking_z(plan->shape, end, 0);
    view->z_sign = sw_plan_chucking_z(plan->shape, end, 1) - view->z_shift > 0 ? 1 : -1;
}
