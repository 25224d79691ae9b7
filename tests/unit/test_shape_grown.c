/* A blank as it stands after hardening. A plain staff of cylinders grows like any body: places by
 * the share of their distance, radii by that of theirs, areas by its square; by hand. */
#include <math.h>

#include "shape/grown.h"
#include "test_part_fixture.h"

static const char soft[] =
    "format: staff/1\n"
    "name: soft\n"
    "material: m\n"
    "blank: yes\n"
    "total: {length: 3}\n"
    "sections:\n"
    "  - pivot: {diameter: 0.4, length: 1, tip: flat, corner: 0.0, tip_corner: 0.01}\n"
    "  - hub: {diameter: 1.6, length: 0.5, corner: 0, edge: 0}\n"
    "  - pivot: {diameter: 0.4, length: 1.5, tip: flat, corner: 0.0, tip_corner: 0.01}\n";

static struct sw_shape *soft_shape(struct sw_ctx *ctx)
{
    struct sw_staff *staff = NULL;
    struct sw_shape *shape = NULL;
    if (parse_text(&staff, soft, ctx) != SW_OK ||
        sw_shape_build(&shape, staff, NULL, NULL, ctx) != SW_OK)
        fail_msg("%s", sw_test_diagnostics(ctx));
    return shape;
}

static double radius(const struct sw_contour *contour, double z)
{
    double r = 0;
    return sw_contour_r_at(&r, contour, z) ? r : 0;
}

static void it_grows_about_the_face_it_is_held_by(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_shape *shape = soft_shape(&ctx);
    struct sw_contour least[SW_SHAPE_GROWN_WAYS], most[SW_SHAPE_GROWN_WAYS];
    /* The staff it becomes: here of the same form, so that its upper hub face is at 1, too. */
    assert_int_equal(sw_shape_grown(least, most, shape, shape->staff, 0.01, 0.03, &ctx), SW_OK);
    static const double by[] = {1.01, 1.03};
    for (size_t i = 0; i < SW_SHAPE_GROWN_WAYS; i++) {
        const double s = by[i % 2];
        /* held by the upper face it stays at 1; by the lower one, that stands at 1 + 1.02 * 0.5 */
        const double upper = i / 2 ? 1 + 1.02 * 0.5 - s * 0.5 : 1;
        assert_near(radius(&least[i], upper + 0.001), 0.8 * s, 1e-9);
        assert_near(radius(&least[i], upper - 0.001), 0.2 * s, 1e-9);
        const struct sw_box box = sw_contour_box(&least[i]);
        assert_near(box.z0, upper - s * 1, 1e-9);
        assert_near(box.z1, upper + s * 2, 1e-9);
        assert_true(sw_contour_is_joined(&least[i]) && sw_contour_is_joined(&most[i]));
    }
    sw_test_ctx_free(&ctx);
}

static void without_doubt_all_ways_are_one(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_shape *shape = soft_shape(&ctx);
    struct sw_contour least[SW_SHAPE_GROWN_WAYS], most[SW_SHAPE_GROWN_WAYS];
    assert_int_equal(sw_shape_grown(least, most, shape, shape->staff, 0.002, 0.002, &ctx), SW_OK);
    for (size_t i = 1; i < SW_SHAPE_GROWN_WAYS; i++) {
        assert_int_equal(least[i].n, least[0].n);
        for (size_t k = 0; k < least[0].n; k++) {
            assert_near(least[i].at[k].a.z, least[0].at[k].a.z, 1e-12);
            assert_near(least[i].at[k].b.r, least[0].at[k].b.r, 1e-12);
        }
    }
    sw_test_ctx_free(&ctx);
}

static void fillets_are_in_what_there_is_at_most_alone(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_staff *staff = NULL;
    struct sw_shape *shape = NULL;
    struct sw_contour least[SW_SHAPE_GROWN_WAYS], most[SW_SHAPE_GROWN_WAYS];
    char text[sizeof soft];
    memcpy(text, soft, sizeof soft);
    memcpy(strstr(text, "corner: 0.0"), "corner: 0.1", 11);
    assert_int_equal(parse_text(&staff, text, &ctx), SW_OK);
    assert_int_equal(sw_shape_build(&shape, staff, NULL, NULL, &ctx), SW_OK);
    assert_int_equal(sw_shape_grown(least, most, shape, staff, 0.01, 0.01, &ctx), SW_OK);
    /* a quarter of 0.1 before the hub, on a circle of 0.1 */
    const double r = 0.2 + 0.1 - sqrt(0.1 * 0.1 - 0.075 * 0.075);
    assert_near(radius(&least[0], 1 - 1.01 * 0.025), 1.01 * 0.2, 1e-9);
    assert_near(radius(&most[0], 1 - 1.01 * 0.025), 1.01 * r, 1e-9);
    sw_test_ctx_free(&ctx);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(it_grows_about_the_face_it_is_held_by),
        cmocka_unit_test(without_doubt_all_ways_are_one),
        cmocka_unit_test(fillets_are_in_what_there_is_at_most_alone),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
