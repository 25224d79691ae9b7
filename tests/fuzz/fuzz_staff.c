/* Any bytes as a staff file: refused with a reason, or a shape whose contours are sound. */
#include <math.h>

#include "fit/fit.h"
#include "fuzz.h"
#include "geom/tol.h"
#include "shape/shape.h"

static bool is_sound(struct sw_pt p)
{
    return isfinite(p.z) && isfinite(p.r) && p.r > -SW_TOL_POINT;
}

static void check(const struct sw_contour *contour, const struct sw_ctx *ctx)
{
    sw_demand(ctx, contour->n > 0 && sw_contour_is_joined(contour));
    for (size_t i = 0; i < contour->n; i++) {
        const struct sw_seg *seg = &contour->at[i];
        sw_demand(ctx, is_sound(seg->a) && is_sound(seg->b));
        sw_demand(ctx, isfinite(sw_seg_length(seg)));
    }
}

static enum sw_status build(const struct sw_staff *staff, struct sw_ctx *ctx)
{
    struct sw_shape *shape = NULL;
    const struct sw_shape *plain = NULL;
    SW_TRY(sw_shape_build(&shape, staff, NULL, NULL, ctx));
    check(&shape->finished, ctx);
    check(&shape->turned, ctx);
    check(&shape->ceiling, ctx);
    sw_demand(ctx, shape->z_lower - shape->z_upper > 0);
    for (size_t i = 0; i < staff->n; i++) {
        const struct sw_shape_section *section = &shape->section[i];
        sw_demand(ctx, section->turned_diameter >= 0 && isfinite(section->measure_z));
    }
    SW_TRY(sw_shape_plain(&plain, shape, ctx));
    check(&plain->turned, ctx);
    return SW_OK;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct sw_ctx ctx = sw_fuzz_begin();
    struct sw_staff *staff = NULL;
    enum sw_status status = sw_staff_parse(&staff, "staff.yaml", (const char *)data, size, &ctx);
    if (status == SW_OK)
        status = build(staff, &ctx);
    if (status == SW_OK) {
        struct sw_fit *fit = NULL;
        status = sw_fit_check(&fit, staff, &ctx);
    }
    sw_fuzz_end(&ctx, status);
    return 0;
}
