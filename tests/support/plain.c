#include "support/plain.h"

#include <math.h>

enum sw_status sw_plain_init(struct sw_plain *plain, const struct sw_contour *tool,
                             struct sw_box rod, double chord, double sagitta, int side,
                             struct sw_ctx *ctx)
{
    *plain = (struct sw_plain){.ctx = ctx, .chord = chord, .sagitta = sagitta, .side = side};
    struct sw_pt *points = NULL;
    size_t n = 0;
    plain->kernel = sw_kernel_new(ctx);
    if (plain->kernel == NULL)
        return SW_MEMORY;
    SW_TRY(sw_contour_flatten(&points, &n, tool, chord, side, ctx));
    if (!sw_convex_hull(&plain->tool, points, n, ctx->arena))
        return SW_MEMORY;
    return sw_region_from_box(&plain->left, plain->kernel, rod);
}

void sw_plain_done(struct sw_plain *plain)
{
    sw_region_free(plain->left);
    sw_kernel_free(plain->kernel);
}

static enum sw_status take(struct sw_plain *plain, const struct sw_convex *swept)
{
    struct sw_region *tool = NULL, *left = NULL;
    SW_TRY(sw_region_from_hull(&tool, plain->kernel, swept->at, swept->n));
    const enum sw_status status = sw_region_minus(&left, plain->left, tool);
    sw_region_free(tool);
    SW_TRY(status);
    sw_region_free(plain->left);
    plain->left = left;
    return SW_OK;
}

enum sw_status sw_plain_cut(struct sw_plain *plain, const struct sw_sweep *sweep)
{
    struct sw_arena *arena = sw_arena_new();
    struct sw_convex tool = plain->tool;
    enum sw_status status = arena != NULL ? SW_OK : SW_MEMORY;
    if (status == SW_OK && sweep->is_arc) {
        const double by = plain->sagitta + fabs(sweep->radius_from - sweep->radius_to) / 2;
        if (!sw_convex_shift(&tool, &plain->tool, plain->side < 0 ? by : -by, arena))
            status = SW_MEMORY;
    }
    struct sw_pt *points =
        status == SW_OK ? SW_NEW(arena, struct sw_pt, sw_convex_sweep_room(&tool)) : NULL;
    if (status == SW_OK && points == NULL)
        status = SW_MEMORY;
    const size_t n = sw_sweep_n_chords(sweep, plain->sagitta);
    for (size_t i = 0; i < n && status == SW_OK && tool.n > 0; i++) {
        const struct sw_convex swept =
            sw_convex_sweep(points, &tool, sw_sweep_at(sweep, i, n), sw_sweep_at(sweep, i + 1, n));
        status = take(plain, &swept);
    }
    sw_arena_free(arena);
    return status;
}
