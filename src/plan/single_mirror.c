/* The shop in a mirror, and what was planned there as the shop really is. */
#include "plan/single.h"
#include "plan/single_int.h"

enum sw_status sw_single_mirror(struct sw_shop *out, const struct sw_shop *shop, struct sw_ctx *ctx)
{
    const struct sw_fitted_tool *fitted = shop->tools.at;
    struct sw_fitted_tool *seen = SW_NEW(ctx->arena, struct sw_fitted_tool, shop->tools.n);
    struct sw_tool *tool = SW_NEW(ctx->arena, struct sw_tool, shop->tools.n);
    struct sw_machine *machine = SW_NEW(ctx->arena, struct sw_machine, 1);
    if (!seen || !tool || !machine)
        return SW_MEMORY;
    for (size_t i = 0; i < shop->tools.n; i++) {
        tool[i] = *fitted[i].is;
        if (tool[i].kind.value == SW_TOOL_POINT && tool[i].hand.value != SW_HAND_NEUTRAL)
            tool[i].hand.value = tool[i].hand.value == SW_HAND_RIGHT ? SW_HAND_LEFT : SW_HAND_RIGHT;
        tool[i].holder.ahead = fitted[i].is->holder.behind;
        tool[i].holder.behind = fitted[i].is->holder.ahead;
        seen[i] = fitted[i];
        seen[i].is = &tool[i];
    }
    *machine = *shop->machine;
    *out = *shop;
    out->tools.at = seen;
    out->machine = machine;
    return SW_OK;
}

/* The tool whose mirror image TOOL is. */
static const struct sw_tool *unseen(const struct sw_planner *p, const struct sw_planner *q,
                                    const struct sw_tool *tool)
{
    const struct sw_fitted_tool *is = p->shop->tools.at, *seen = q->shop->tools.at;
    for (size_t i = 0; i < p->shop->tools.n; i++)
        if (seen[i].is == tool)
            return is[i].is;
    return tool;
}

static struct sw_pt seen_pt(struct sw_pt at, double shift)
{
    return (struct sw_pt){shift - at.z, at.r};
}

static enum sw_status take_over_op(struct sw_planner *p, const struct sw_planner *q,
                                   const struct sw_op *from, size_t n_corrections)
{
    struct sw_op op = *from;
    op.tool = unseen(p, q, from->tool);
    const double total = p->staff->total;
    const double shift = -total - sw_tool_second_corner(op.tool).z;
    if (op.correction > 0)
        op.correction += (int)n_corrections;
    if (op.kind == SW_OP_MEASURE) {
        op.measure_z = -total - from->measure_z;
        op.plain_in = -total - from->plain_out;
        op.plain_out = -total - from->plain_in;
    }
    for (size_t i = 0; i < op.n_passes; i++) {
        struct sw_pass *pass = &op.pass[i];
        pass->from = seen_pt(pass->from, shift);
        pass->lift = seen_pt(pass->lift, shift);
        pass->back_z = shift - pass->back_z;
        for (size_t k = 0; k < pass->run.n; k++) {
            struct sw_seg *seg = &pass->run.at[k];
            seg->a = seen_pt(seg->a, shift);
            seg->b = seen_pt(seg->b, shift);
            seg->c = seen_pt(seg->c, shift);
            seg->turn = -seg->turn;
        }
    }
    return SW_VEC_PUSH(p->ctx->arena, &p->ops, op) ? SW_OK : SW_MEMORY;
}

/* What the planner in the mirror found, as the shop knows it. */
enum sw_status sw_single_take_over(struct sw_planner *p, const struct sw_planner *q)
{
    const size_t n_corrections = p->corrections.n;
    for (size_t i = 0; i < q->ops.n; i++)
        SW_TRY(take_over_op(p, q, &q->ops.at[i], n_corrections));
    for (size_t i = 0; i < q->corrections.n; i++)
        if (!SW_VEC_PUSH(p->ctx->arena, &p->corrections, q->corrections.at[i]))
            return SW_MEMORY;
    for (size_t i = 0; i < q->bends.n; i++)
        if (!SW_VEC_PUSH(p->ctx->arena, &p->bends, q->bends.at[i]))
            return SW_MEMORY;
    return SW_OK;
}

void sw_single_take_over_found(struct sw_planner *p, const struct sw_planner *q)
{
    struct sw_plan_found *found = p->found;
    found->refused.tool = unseen(p, q, found->refused.tool);
    found->watched.tool = unseen(p, q, found->watched.tool);
    for (size_t i = 0; i < found->levers.n; i++)
        found->levers.at[i].tool = unseen(p, q, found->levers.at[i].tool);
    found->equals[q->index].n =
        0; /* which tool takes the last cuts there is no choice of chuckings */
}

/* The stock in q's frame: what the trough leaves, the rod beyond it. */
