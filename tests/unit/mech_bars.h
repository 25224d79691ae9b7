/* mech_bars: bars for the tests of mech, from (length, d0, d1) and built in one call. */
#ifndef SW_TESTS_UNIT_MECH_BARS_H
#define SW_TESTS_UNIT_MECH_BARS_H

#include <math.h>

#include "mech/beam.h"
#include "support/near.h"

static const struct sw_bar_material STEEL = {.elastic_modulus = 206000, .poisson = 0.3};

struct part {
    double length, d0, d1;
};

#define NO_MORE                                                                                    \
    {                                                                                              \
        0, 0, 0                                                                                    \
    }

/** Build from the clamp outward; parts end with a length of 0. */
static inline struct sw_bar bar_of(const struct part *parts, struct sw_bar_material material,
                                   unsigned terms, struct sw_ctx *ctx)
{
    size_t n = 0;
    while (parts[n].length > 0)
        n++;
    struct sw_bar_piece *const pieces = SW_NEW(ctx->arena, struct sw_bar_piece, n + 1);
    assert_non_null(pieces);
    double z = 0;
    for (size_t i = 0; i < n; i++) {
        pieces[i] = (struct sw_bar_piece){z, z + parts[i].length, parts[i].d0, parts[i].d1};
        z += parts[i].length;
    }
    struct sw_bar bar = {0};
    assert_int_equal(sw_bar_build(&bar, pieces, n, &material, NULL, terms, ctx), SW_OK);
    return bar;
}

#define BAR(ctx, material, terms, ...)                                                             \
    bar_of((const struct part[]){__VA_ARGS__, NO_MORE}, (material), (terms), (ctx))

/** Diameter of a round bar with the second moment I. */
static inline double diameter_for(double i)
{
    return sqrt(sqrt(64 * i / 3.14159265358979323846));
}

#endif
