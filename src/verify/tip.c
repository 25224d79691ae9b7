/* A tip that no program forms: the piece is broken off beyond it, and a hand does the rest. */
#include <math.h>

#include "geom/tol.h"
#include "verify/judge.h"

bool sw_judge_is_by_hand(const struct sw_judge *judge, bool is_upper)
{
    return judge->setup->tip_by_hand.value == (is_upper ? SW_SETUP_UPPER_TIP : SW_SETUP_LOWER_TIP);
}

static bool is_plain_of(const struct sw_seg *seg, size_t section)
{
    return seg->kind == SW_SEG_LINE && seg->tag == (int)section &&
           seg->b.z - seg->a.z > SW_TOL_SLIVER && fabs(seg->b.r - seg->a.r) < SW_TOL_SLIVER;
}

/* Up to the plain length of the lower tip's section, then on to END. */
static enum sw_status run_on(struct sw_contour *out, const struct sw_contour *in, size_t section,
                             double end, struct sw_ctx *ctx)
{
    size_t n = in->n;
    while (n > 0 && !is_plain_of(&in->at[n - 1], section))
        n--;
    *out = (struct sw_contour){0};
    if (n == 0 || end <= in->at[n - 1].a.z) {
        *out = *in; /* no plain length: nothing to run on */
        return SW_OK;
    }
    for (size_t i = 0; i < n; i++)
        if (!sw_contour_add(ctx->arena, out, in->at[i]))
            return SW_MEMORY;
    const double r = out->at[n - 1].b.r;
    out->at[n - 1].b.z = end;
    const struct sw_seg face =
        sw_seg_line((struct sw_pt){end, r}, (struct sw_pt){end, 0}, (int)section);
    return sw_contour_add(ctx->arena, out, face) ? SW_OK : SW_MEMORY;
}

enum sw_status sw_judge_ceiling(struct sw_contour *out, const struct sw_judge *judge)
{
    const struct sw_shape *shape = judge->shape;
    const bool is_upper = sw_judge_is_by_hand(judge, true);
    *out = shape->ceiling;
    if (!is_upper && !sw_judge_is_by_hand(judge, false))
        return SW_OK;
    const size_t last = judge->setup->sides.n - 1;
    const struct sw_setup_side *side = judge->setup->sides.at;
    const double neck = sw_judge_part_z(judge, last, side[last].neck_z.value);
    if (!is_upper)
        return run_on(out, &shape->ceiling, shape->staff->n - 1, neck, judge->ctx);
    struct sw_contour turned, longer;
    SW_TRY(sw_contour_place(&turned, &shape->ceiling, -1, 0, judge->ctx));
    SW_TRY(run_on(&longer, &turned, 0, -neck, judge->ctx));
    return sw_contour_place(out, &longer, -1, 0, judge->ctx);
}
