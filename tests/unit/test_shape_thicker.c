/* A piece that came out too thick. Areas under a profile grow by what a section is thicker times
 * its length: by hand. */
#include "support/near.h"

#include <stdio.h>

#include "geom/region.h"
#include "shape/shape.h"
#include "test_part_fixture.h"

static const char sample[] = SW_SOURCE_DIR "/samples/fenmoor-43/staff.yaml";

static struct sw_shape *shape_of(struct sw_ctx *ctx)
{
    static const struct sw_leave leave = {.burnish = {.value = 0.012}};
    struct sw_staff *staff = NULL;
    struct sw_shape *shape = NULL;
    assert_int_equal(sw_staff_load(&staff, sample, ctx), SW_OK);
    assert_int_equal(sw_shape_build(&shape, staff, &leave, NULL, ctx), SW_OK);
    return shape;
}

static double area(const struct sw_contour *contour, struct sw_ctx *ctx)
{
    struct sw_pt *points = NULL;
    size_t n = 0;
    struct sw_region *region = NULL;
    struct sw_kernel *kernel = sw_kernel_new(ctx);
    assert_non_null(kernel);
    assert_int_equal(sw_contour_flatten(&points, &n, contour, 1e-6, 0, ctx), SW_OK);
    /* a ring that crosses itself would be refused */
    assert_int_equal(sw_region_from_points(&region, kernel, points, n), SW_OK);
    const double is = sw_region_area(region);
    sw_region_free(region);
    sw_kernel_free(kernel);
    return is;
}

static void each_section_alone_grows_by_its_length_times_what_it_is_thicker(void **state)
{
    (void)state;
    enum { MOST = 32 };
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_shape *shape = shape_of(&ctx);
    const double plain = area(&shape->turned, &ctx), more = 0.004;
    for (size_t i = 0; i < shape->staff->n; i++) {
        double over[MOST] = {0};
        struct sw_contour thick;
        over[i] = more;
        assert_int_equal(sw_shape_thicker(&thick, shape, over, &ctx), SW_OK);
        assert_true(sw_contour_is_joined(&thick));
        /* a rivet has its recess, of which the inner wall belongs to it, too: it grows by less */
        const double length = shape->section[i].z1 - shape->section[i].z0;
        const double grown = area(&thick, &ctx) - plain;
        if (shape->staff->section[i].kind == SW_SECTION_RIVET)
            assert_true(grown > -1e-6 && grown < more * length + 1e-6);
        else /* edges broken by 0.02 belong to it or to its neighbour */
            assert_near(grown, more * length, more * 0.06);
    }
    sw_test_ctx_free(&ctx);
}

static void nothing_thicker_is_the_turned_form(void **state)
{
    (void)state;
    enum { MOST = 32 };
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_shape *shape = shape_of(&ctx);
    const double over[MOST] = {0};
    struct sw_contour same;
    assert_int_equal(sw_shape_thicker(&same, shape, over, &ctx), SW_OK);
    assert_int_equal(same.n, shape->turned.n);
    assert_near(area(&same, &ctx), area(&shape->turned, &ctx), 1e-12);
    sw_test_ctx_free(&ctx);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_section_alone_grows_by_its_length_times_what_it_is_thicker),
        cmocka_unit_test(nothing_thicker_is_the_turned_form),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
