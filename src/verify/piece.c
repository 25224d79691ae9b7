/* Work that stood before the first program: a hardened blank, or a piece turned already but for
 * some sections that came out too thick, as the setup record tells it. */
#include <math.h>

#include "geom/region.h"
#include "verify/judge.h"

/* Chords of the piece keep this near to its arcs [mm]: a tenth of what the verdict resolves. */
#define PIECE_CHORD 2e-6

static enum sw_status fault(struct sw_judge *judge, const struct sw_setup_stand *stand,
                            const char *hint, const char *format)
{
    sw_diag_add(judge->ctx->diag, SW_ERROR, "verify.stands", stand->section.at, hint, format,
                stand->section.value);
    return SW_INPUT;
}

static enum sw_status region_of(struct sw_region **out, struct sw_judge *judge,
                                const struct sw_contour *contour, int side)
{
    struct sw_pt *points = NULL;
    size_t n = 0;
    SW_TRY(sw_contour_flatten(&points, &n, contour, PIECE_CHORD, side, judge->ctx));
    return sw_region_from_points(out, judge->piece, points, n);
}

typedef enum sw_status combine(struct sw_region **out, const struct sw_region *a,
                               const struct sw_region *b);

/* What all outlines have in common, or what any of them takes in. */
static enum sw_status combined(struct sw_region **out, struct sw_judge *judge,
                               const struct sw_contour *contour, size_t n, int side,
                               combine *together)
{
    struct sw_region *all = NULL;
    SW_TRY(region_of(&all, judge, &contour[0], side));
    for (size_t i = 1; i < n; i++) {
        struct sw_region *one = NULL, *both = NULL;
        enum sw_status status = region_of(&one, judge, &contour[i], side);
        if (status == SW_OK)
            status = together(&both, all, one);
        sw_region_free(one);
        sw_region_free(all);
        SW_TRY(status);
        all = both;
    }
    *out = all;
    return SW_OK;
}

/* A blank that was hardened, as little as it may and as much as it may stand there. */
static enum sw_status begin_blank(struct sw_judge *judge)
{
    const struct sw_setup_blank *blank = &judge->setup->blank;
    if (blank->n == 0) {
        sw_diag_add(judge->ctx->diag, SW_ERROR, "verify.blank", blank->staff.at, NULL,
                    "the blank named here was not read; its sides are judged by their own record");
        return SW_INPUT;
    }
    judge->piece = sw_kernel_new(judge->ctx);
    if (judge->piece == NULL)
        return SW_MEMORY;
    struct sw_region *least = NULL, *most = NULL;
    SW_TRY(combined(&least, judge, blank->least, blank->n, -1, sw_region_both));
    const enum sw_status status =
        combined(&most, judge, blank->most, blank->n, 1, sw_region_either);
    if (status != SW_OK) {
        sw_region_free(least);
        return status;
    }
    sw_sim_take_piece(judge->sim, least, most);
    return SW_OK;
}

enum sw_status sw_judge_piece(struct sw_judge *judge)
{
    const struct sw_setup_side *side = judge->setup->sides.at;
    const struct sw_setup_stand *stand = side->stands.at;
    const struct sw_shape *shape = judge->shape;
    if (!side->stands.given)
        return sw_setup_has_blank(judge->setup) ? begin_blank(judge) : SW_OK;
    if (shape == NULL)
        return fault(judge, stand, "give the staff, too",
                     "`%s` says nothing where no staff is given");
    double *over = SW_NEW(judge->ctx->arena, double, shape->staff->n);
    if (over == NULL)
        return SW_MEMORY;
    for (size_t i = 0; i < side->stands.n; i++) {
        const struct sw_section *section = sw_staff_section(shape->staff, stand[i].section.value);
        if (section == NULL)
            return fault(judge, &stand[i], NULL, "the staff has no section called `%s`");
        over[section->index] =
            (stand[i].diameter.value - shape->section[section->index].turned_diameter) / 2;
        if (over[section->index] < 0)
            return fault(judge, &stand[i], "only what stands too thick can be cut once more",
                         "`%s` stands thinner than it should be turned");
    }
    struct sw_contour piece;
    SW_TRY(sw_shape_thicker(&piece, shape, over, judge->ctx));
    judge->piece = sw_kernel_new(judge->ctx);
    if (judge->piece == NULL)
        return SW_MEMORY;
    struct sw_region *least = NULL, *most = NULL;
    enum sw_status status = region_of(&least, judge, &piece, -1);
    if (status == SW_OK)
        status = region_of(&most, judge, &piece, 1);
    if (status != SW_OK) {
        sw_region_free(least);
        return status;
    }
    sw_sim_take_piece(judge->sim, least, most);
    return SW_OK;
}
