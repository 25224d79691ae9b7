/* Steel grows alike in all directions, as far as anybody can foretell: a blank is scaled about a
 * face by which it is held. Held by the core's other face, that one is where the middle of the
 * growth puts it. */
#include "shape/grown.h"

#include "part/blank.h"

struct scale {
    double by;
    double from, to; /* of the face that is held: part z of the blank and of the staff */
};

static struct sw_pt scaled(struct sw_pt p, const struct scale *scale)
{
    return (struct sw_pt){scale->to + scale->by * (p.z - scale->from), scale->by * p.r};
}

static enum sw_status grow(struct sw_contour *out, const struct sw_contour *in,
                           const struct scale *scale, struct sw_ctx *ctx)
{
    *out = (struct sw_contour){0};
    for (size_t i = 0; i < in->n; i++) {
        struct sw_seg seg = in->at[i];
        seg.a = scaled(seg.a, scale);
        seg.b = scaled(seg.b, scale);
        seg.c = scaled(seg.c, scale);
        seg.tag = SW_TAG_NONE;
        if (!sw_contour_add(ctx->arena, out, seg))
            return SW_MEMORY;
    }
    return SW_OK;
}

enum sw_status sw_shape_grown(struct sw_contour least[SW_SHAPE_GROWN_WAYS],
                              struct sw_contour most[SW_SHAPE_GROWN_WAYS],
                              const struct sw_shape *blank, const struct sw_staff *staff,
                              double grown_least, double grown_most, struct sw_ctx *ctx)
{
    const bool is_lower = sw_blank_datum_is_lower(staff);
    const double middle = 1 + (grown_least + grown_most) / 2;
    const double datum = sw_blank_datum(staff, is_lower);
    const double from = sw_blank_datum(blank->staff, is_lower);
    const double other = sw_blank_datum(blank->staff, !is_lower);
    for (size_t i = 0; i < SW_SHAPE_GROWN_WAYS; i++) {
        const struct scale scale = {1 + (i % 2 ? grown_most : grown_least), i / 2 ? other : from,
                                    datum + (i / 2 ? middle * (other - from) : 0)};
        SW_TRY(grow(&least[i], &blank->turned, &scale, ctx));
        SW_TRY(grow(&most[i], &blank->ceiling, &scale, ctx));
    }
    return SW_OK;
}
