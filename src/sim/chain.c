/* The chain kernel: filling and asking. The idea stands in chain_int.h. */
#include "base/diag.h"
#include "sim/chain_int.h"

static double resolution(void)
{
    /* regions given out are drawn in chords; a contradicted cut may be moved */
    return SW_TOL_CHORD + SW_CHAIN_MOST_NUDGE;
}

static enum sw_status make(struct sw_work **out, struct sw_ctx *ctx)
{
    struct sw_chain *chain = SW_NEW(ctx->arena, struct sw_chain, 1);
    if (chain == NULL)
        return SW_MEMORY;
    chain->ctx = ctx;
    chain->arena = sw_arena_new();
    chain->quiet = (struct sw_ctx){ctx->arena, sw_diag_new()};
    if (chain->arena != NULL && chain->quiet.diag != NULL)
        chain->kernel = sw_kernel_new(&chain->quiet);
    if (chain->kernel == NULL) {
        sw_diag_free(chain->quiet.diag);
        sw_arena_free(chain->arena);
        return SW_MEMORY;
    }
    chain->cut.arena = chain->thin_cut.arena = chain->arena;
    for (int i = 0; i < 2; i++)
        sw_chain_body_clear(&chain->body[i]);
    *out = (struct sw_work *)(void *)chain;
    return SW_OK;
}

static void empty(struct sw_chain *chain)
{
    for (size_t i = 0; i < chain->loose.n; i++) {
        sw_region_free(chain->loose.at[i].least);
        sw_region_free(chain->loose.at[i].most);
    }
    chain->loose.n = 0;
    sw_chain_free_windows(chain);
    chain->removed.list.n = 0;
    for (int i = 0; i < 2; i++)
        sw_chain_body_clear(&chain->body[i]);
    chain->differs = false;
    chain->cleared_by = NULL;
}

static void free_work(struct sw_work *work)
{
    if (work == NULL)
        return;
    struct sw_chain *chain = sw_chain_of(work);
    empty(chain);
    sw_kernel_free(chain->kernel);
    sw_diag_free(chain->quiet.diag);
    sw_arena_free(chain->arena);
}

static enum sw_status outline(struct sw_outline **out, struct sw_work *work,
                              const struct sw_contour *contour)
{
    struct sw_ctx *ctx = sw_chain_of(work)->ctx;
    struct sw_chain_outline *made = SW_NEW(ctx->arena, struct sw_chain_outline, 1);
    struct sw_contour *own = SW_NEW(ctx->arena, struct sw_contour, 1);
    if (made == NULL || own == NULL)
        return SW_MEMORY;
    SW_TRY(sw_contour_place(own, contour, 1, 0, ctx)); /* the caller's may go */
    made->contour = own;
    SW_TRY(sw_outline_draw(&made->convex, own, ctx));
    SW_TRY(sw_chain_tool_make(&made->cut, own, ctx));
    SW_TRY(sw_chain_tool_offset(&made->touch, made, -SW_WORK_TOUCH, ctx));
    *out = &made->convex;
    return SW_OK;
}

static enum sw_status fill_rod(struct sw_work *work, double z0, double z1, double r, double front)
{
    struct sw_chain *chain = sw_chain_of(work);
    empty(chain);
    const struct sw_pt p[] = {{z0, 0}, {z1, 0}, {z1, r}, {z0, r}};
    struct sw_chain_edge edges[4];
    for (int i = 0; i < 4; i++)
        edges[i] = sw_chain_edge_line(p[i], p[(i + 1) % 4]);
    if (!sw_chain_body_add_loop(&chain->body[SW_WORK_MOST], edges, 4, chain->arena))
        return SW_MEMORY;
    return sw_chain_divide(chain, front) ? SW_OK : SW_MEMORY;
}

static enum sw_status fill_piece(struct sw_work *work, const struct sw_region *least,
                                 const struct sw_region *most, int sign, double shift, double front)
{
    struct sw_chain *chain = sw_chain_of(work);
    empty(chain);
    chain->differs = least != most;
    SW_TRY(sw_chain_from_region(&chain->body[SW_WORK_MOST], chain, most, sign, shift));
    if (chain->differs)
        SW_TRY(sw_chain_from_region(&chain->body[SW_WORK_LEAST], chain, least, sign, shift));
    return sw_chain_divide(chain, front) ? SW_OK : SW_MEMORY;
}

static enum sw_status touches(bool *out, struct sw_pt *place, struct sw_work *work,
                              const struct sw_outline *outline_in, const struct sw_sweep *sweep)
{
    struct sw_chain *chain = sw_chain_of(work);
    return sw_chain_meets(out, place, chain, &chain->body[SW_WORK_MOST], outline_in, sweep);
}

static enum sw_status touches_loose(bool *out, struct sw_work *work, const struct sw_loose *piece,
                                    const struct sw_outline *outline_in,
                                    const struct sw_sweep *sweep)
{
    struct sw_chain *chain = sw_chain_of(work);
    *out = false;
    for (size_t i = 0; i < chain->loose.n; i++)
        if (chain->loose.at[i].most == piece->most)
            return sw_chain_meets(out, NULL, chain, &chain->loose.at[i].body, outline_in, sweep);
    return SW_INTERNAL;
}

static enum sw_status region(struct sw_region **out, struct sw_work *work, enum sw_work_which which)
{
    struct sw_chain *chain = sw_chain_of(work);
    return sw_chain_to_region(out, chain, &chain->body[chain->differs ? which : SW_WORK_MOST],
                              which);
}

static enum sw_status beyond(struct sw_region **out, struct sw_work *work,
                             const struct sw_region *whole, double z)
{
    return sw_region_beyond(out, sw_chain_of(work)->kernel, whole, z);
}

static const struct sw_chain_body *most_of(const struct sw_work *work)
{
    return &((const struct sw_chain *)(const void *)work)->body[SW_WORK_MOST];
}

static struct sw_box box_of(const struct sw_work *work)
{
    return sw_chain_body_box(most_of(work));
}

static double distance(const struct sw_work *work, const struct sw_outline *outline_in,
                       struct sw_pt at)
{
    return sw_chain_body_distance(most_of(work), sw_outline_outer(outline_in), at);
}

static bool r_range(double *low, double *high, const struct sw_work *work, double z)
{
    return sw_chain_body_r_range(low, high, most_of(work), z);
}

const struct sw_work_class sw_work_chain = {
    .name = "chain",
    .resolution = resolution,
    .make = make,
    .free = free_work,
    .outline = outline,
    .fill_rod = fill_rod,
    .fill_piece = fill_piece,
    .remove = sw_chain_remove,
    .touches = touches,
    .touches_loose = touches_loose,
    .loosen = sw_chain_loosen,
    .region = region,
    .beyond = beyond,
    .box = box_of,
    .distance = distance,
    .profile = sw_chain_profile,
    .silhouette = sw_chain_silhouette,
    .r_range = r_range,
};
