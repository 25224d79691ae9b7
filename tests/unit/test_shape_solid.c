/* Volumes of staffs by independent ways: closed forms over exact arcs, sums over flattened
 * profiles, the region kernel, and formulas of solids for a staff simple enough for them. */
#include "test_part_fixture.h"

#include <math.h>

#include "geom/region.h"
#include "geom/solid.h"
#include "shape/shape.h"

static const double pi = 3.14159265358979323846;

static struct sw_shape *build(const struct sw_staff *staff, struct sw_ctx *ctx)
{
    const struct sw_leave leave = {
        .stone = {.value = 0.008}, .burnish = {.value = 0.012}, .tip = {.value = 0.015}};
    struct sw_shape *shape = NULL;
    if (sw_shape_build(&shape, staff, &leave, NULL, ctx) != SW_OK)
        fail_msg("%s", sw_test_diagnostics(ctx));
    return shape;
}

/* pi times the integral of r^2 over z along a polyline: frustum by frustum. */
static double volume_of_points(const struct sw_pt *p, size_t n)
{
    double sum = 0;
    for (size_t i = 0; i + 1 < n; i++)
        sum += (p[i + 1].z - p[i].z) *
               (p[i].r * p[i].r + p[i].r * p[i + 1].r + p[i + 1].r * p[i + 1].r) / 3;
    return pi * sum;
}

static double flattened_volume(const struct sw_contour *contour, double chord, int side,
                               struct sw_ctx *ctx)
{
    struct sw_pt *points = NULL;
    size_t n = 0;
    assert_int_equal(sw_contour_flatten(&points, &n, contour, chord, side, ctx), SW_OK);
    return volume_of_points(points, n);
}

/* The same from the rings that the region kernel gives back. */
static double region_volume(const struct sw_contour *contour, double chord, struct sw_ctx *ctx)
{
    struct sw_kernel *kernel = sw_kernel_new(ctx);
    struct sw_region *region = NULL;
    struct sw_rings rings = {0};
    struct sw_pt *points = NULL;
    size_t n = 0;
    assert_non_null(kernel);
    assert_int_equal(sw_contour_flatten(&points, &n, contour, chord, 0, ctx), SW_OK);
    assert_int_equal(sw_region_from_points(&region, kernel, points, n), SW_OK);
    assert_int_equal(sw_region_n_pieces(region), 1);
    assert_int_equal(sw_region_rings(&rings, region, ctx), SW_OK);
    assert_int_equal(rings.n, 1);
    const double volume = fabs(volume_of_points(rings.at[0].at, rings.at[0].n));
    sw_region_free(region);
    sw_kernel_free(kernel);
    return volume;
}

static void check_volume(const struct sw_contour *contour, struct sw_ctx *ctx)
{
    static const double chord = 1e-6;
    struct sw_solid solid;
    sw_solid_of(&solid, contour);
    const double inside = flattened_volume(contour, chord, -1, ctx);
    const double outside = flattened_volume(contour, chord, 1, ctx);
    assert_true(inside <= solid.volume_mm3 * (1 + 1e-12));
    assert_true(outside >= solid.volume_mm3 * (1 - 1e-12));
    /* Chords move the surface by at most `chord`; arcs are a part of it only. */
    assert_true(outside - inside <= 2 * chord * solid.surface_mm2);
    assert_near(region_volume(contour, chord, ctx), solid.volume_mm3, chord * solid.surface_mm2);
}

static void sample_volumes_agree_by_closed_form_by_chords_and_by_regions(void **state)
{
    (void)state;
    for (int i = 0; i < N_SAMPLE_STAFFS; i++) {
        struct sw_ctx ctx = sw_test_ctx();
        const struct sw_shape *shape = build(load_sample(sample_staffs[i], &ctx), &ctx);
        check_volume(&shape->finished, &ctx);
        check_volume(&shape->turned, &ctx);
        check_volume(&shape->ceiling, &ctx);
        sw_test_ctx_free(&ctx);
    }
}

/* Derived: spherical caps pi h (3 a^2 + h^2) / 6, cylinders, and the surface of revolution of the
 * tangent arc by Simpson's rule. */
static void a_plain_staff_has_the_volume_of_its_caps_cones_and_cylinders(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_staff *staff =
        parse_around("  - cone: {ridge: 0.4, length: 0.3, edge: 0}\n"
                     "  - cylinder: {diameter: 1.0, length: free, edge: 0}\n"
                     "  - taper: {upper_diameter: 0.8, lower_diameter: 0.6, length: 0.5, "
                     "edge: 0}\n",
                     &ctx);
    struct sw_shape *shape = NULL;
    assert_int_equal(sw_shape_build(&shape, staff, NULL, NULL, &ctx), SW_OK);
    const double a = 0.05, h = 0.02;
    double wanted = 2 * (pi * h * (3 * a * a + h * h) / 6 + pi * a * a * (0.2 - h));
    wanted += pi * 0.25 * (3.0 - 0.2 - 0.3 - 0.5 - 0.2);
    wanted += pi * 0.5 * (0.4 * 0.4 + 0.4 * 0.3 + 0.3 * 0.3) / 3;
    const double length = 0.3, rise = 0.15;
    const double radius = (length * length + rise * rise) / (2 * rise);
    enum { N = 2000 };
    for (int i = 0; i <= N; i++) {
        const double u = length * i / N, r = a + radius - sqrt(radius * radius - u * u);
        wanted += pi * r * r * length / N / 3 * (i == 0 || i == N ? 1 : i % 2 ? 4 : 2);
    }
    struct sw_solid solid;
    sw_solid_of(&solid, &shape->finished);
    assert_near_relative(solid.volume_mm3, wanted, 1e-10);
    sw_test_ctx_free(&ctx);
}

static void a_symmetrical_staff_balances_at_its_middle(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_staff *staff = parse_around("  - cone: {ridge: 0.36, length: 0.3}\n"
                                                "  - back_slope: {root: 0.26, length: 0.15}\n"
                                                "  - hub: {diameter: 1.2, length: free}\n"
                                                "  - back_slope: {root: 0.26, length: 0.15}\n"
                                                "  - cone: {ridge: 0.36, length: 0.3}\n",
                                                &ctx);
    struct sw_shape *shape = NULL;
    assert_int_equal(sw_shape_build(&shape, staff, NULL, NULL, &ctx), SW_OK);
    struct sw_solid solid;
    sw_solid_of(&solid, &shape->finished);
    assert_near(solid.centroid_z_mm, 1.5, 1e-12);
    /* A cylinder of this hub alone has m R^2 / 2; cones and pivots add less than a hundredth. */
    const double hub_length = 3.0 - 2 * (0.2 + 0.3 + 0.15);
    const double hub_polar = pi * pow(0.6, 4) / 2 * hub_length;
    assert_true(solid.polar_mm5 > 0.95 * hub_polar && solid.polar_mm5 < 1.01 * hub_polar);
    sw_test_ctx_free(&ctx);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sample_volumes_agree_by_closed_form_by_chords_and_by_regions),
        cmocka_unit_test(a_plain_staff_has_the_volume_of_its_caps_cones_and_cylinders),
        cmocka_unit_test(a_symmetrical_staff_balances_at_its_middle),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
