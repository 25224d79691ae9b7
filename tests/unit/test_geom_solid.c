/* Solids of revolution against published closed forms, a quadrature of our own, and areas by GEOS
 * with Pappus' theorem. */
#include "geom/region.h"
#include "geom/solid.h"

#include "test_geom_shapes.h"

static const double pi = 3.14159265358979323846;

static struct sw_solid solid_of(const struct sw_contour *c)
{
    struct sw_solid solid;
    sw_solid_of(&solid, c);
    return solid;
}

static void a_frustum_has_the_volume_of_the_books(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_contour c = {0};
    add_start(&ctx, &c, pt(0, 3), pt(4, 6), 0);
    const struct sw_solid s = solid_of(&c);
    /* Closed form of a conical frustum, radii 3 and 6, height 4; from memory, recomputed. */
    assert_near_relative(s.volume_mm3, 263.893783, 1e-8);
    assert_near_relative(s.polar_mm5, 3155.415662, 1e-9);
    assert_near_relative(s.centroid_z_mm, 2.42857143, 1e-8);
    /* lateral surface pi (r1 + r2) slant, slant 5, and two faces */
    assert_near_relative(s.surface_mm2, pi * (9 * 5 + 9 + 36), 1e-14);
    struct sw_contour d = {0};
    add_start(&ctx, &d, pt(0, 0.3), pt(0.4, 0.05), 0);
    const struct sw_solid t = solid_of(&d);
    const double density = 7.85; /* mg/mm3 */
    assert_near_relative(t.volume_mm3 * density, 0.353482, 2e-6);
    assert_near_relative(t.polar_mm5 * density, 9.58716e-3, 1e-6);
    assert_near_relative(t.centroid_z_mm, 0.118605, 4e-6);
    sw_test_ctx_free(&ctx);
}

static void a_fillet_ring_follows_pappus(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_contour c = {0};
    /* Between shaft radius 0.05 and a face, fillet 0.05: the corner at (0.05, 0.05) is filled. */
    add_start(&ctx, &c, pt(0.05, 0.05), pt(0, 0.05), 0);
    add_arc(&ctx, &c, 0.05, 0.10, 0, 0.10, 1, 1);
    add_line(&ctx, &c, 0.05, 0.05, 2);
    const struct sw_solid s = solid_of(&c);
    /* Pappus with A = r^2 (1 - pi/4) and its centroid r (10 - 3 pi) / (3 (4 - pi)) from the
     * corner. The polar moment is derived: with both radii r it is 2 pi r^5 / 4 times the integral
     * of ((2 - cos t)^4 - 1) cos t over the quarter, pi/2 r^5 (473/15 - 19 pi / 2); a midpoint sum
     * of two million steps gave 8.28694770758e-7 as well. */
    assert_near_relative(s.volume_mm3, 2.061961e-4, 1e-6);
    assert_near_relative(s.polar_mm5, pi / 2 * pow(0.05, 5) * (473.0 / 15 - 19 * pi / 2), 1e-12);
    assert_near_relative(s.polar_mm5, 8.28694770758e-7, 1e-11);
    const double area = 0.0025 * (1 - pi / 4);
    const double from_corner = 0.05 * (10 - 3 * pi) / (3 * (4 - pi));
    assert_near_relative(s.volume_mm3, 2 * pi * (0.05 + from_corner) * area, 1e-12);
    sw_test_ctx_free(&ctx);
}

static void a_hemisphere_is_two_thirds_of_its_cylinder(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_contour c = {0};
    add_arc(&ctx, &c, 2, 2, 2, 0, -1, 0);
    const struct sw_solid s = solid_of(&c);
    assert_near_relative(s.volume_mm3, 2 * pi * 8 / 3, 1e-14);        /* Archimedes */
    assert_near_relative(s.polar_mm5, 0.4 * s.volume_mm3 * 4, 1e-14); /* 2/5 m r^2 */
    assert_near_relative(s.centroid_z_mm, 2 - 3.0 / 8 * 2, 1e-14);    /* 3/8 r from the flat face */
    assert_near_relative(s.surface_mm2, 2 * pi * 4 + pi * 4, 1e-14);
    /* 83/320 m r^2 about the centroid: 2/5 m r^2 - m (3/8 r)^2, parallel axes */
    assert_near_relative(s.transverse_mm5, 83.0 / 320 * s.volume_mm3 * 4, 1e-13);
    sw_test_ctx_free(&ctx);
}

static void a_torus_follows_pappus(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_contour c = {0};
    assert_true(sw_contour_add(ctx.arena, &c, sw_seg_arc(pt(1, 3), pt(1, 3), pt(0.5, 3), -1, 0)));
    const struct sw_solid s = solid_of(&c);
    const double big = 3, small = 0.5; /* V = 2 pi^2 R r^2, S = 4 pi^2 R r, I = m (R^2 + 3/4 r^2) */
    assert_near_relative(s.volume_mm3, 2 * pi * pi * big * small * small, 1e-13);
    assert_near_relative(s.surface_mm2, 4 * pi * pi * big * small, 1e-13);
    assert_near_relative(s.polar_mm5, s.volume_mm3 * (big * big + 0.75 * small * small), 1e-13);
    assert_near(s.centroid_z_mm, 0.5, 1e-13);
    assert_near_relative(s.transverse_mm5, s.volume_mm3 * (big * big / 2 + 0.625 * small * small),
                         1e-13);
    sw_test_ctx_free(&ctx);
}

static void a_stepped_staff_has_the_mass_of_its_parts(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_contour c = {0};
    /* A model staff in cylinders and cones; mass and inertia derived by summing frusta. */
    static const double part[][3] = {{0.05, 0.05, 0.30}, {0.05, 0.15, 0.20}, {0.15, 0.15, 0.40},
                                     {0.30, 0.30, 0.80}, {0.60, 0.60, 0.25}, {0.25, 0.25, 0.90},
                                     {0.15, 0.06, 0.25}, {0.05, 0.05, 0.30}};
    double z = 0;
    add_line(&ctx, &c, 0, 0.05, 0);
    for (size_t i = 0; i < sizeof part / sizeof part[0]; i++) {
        add_line(&ctx, &c, z, part[i][0], (int)i);
        z += part[i][2];
        add_line(&ctx, &c, z, part[i][1], (int)i);
    }
    add_line(&ctx, &c, z, 0, 0);
    const struct sw_solid s = solid_of(&c);
    const double density = 7.85; /* mg/mm3 */
    assert_near_relative(s.volume_mm3 * density, 5.766887, 1e-6);
    assert_near_relative(s.polar_mm5 * density, 0.526201, 1e-6);
    sw_test_ctx_free(&ctx);
}

/* The same integrals by Gauss-Legendre with three points over many short steps. */
static struct sw_solid by_quadrature(const struct sw_contour *c, double about)
{
    struct sw_solid s = {0};
    enum { STEPS = 200 };
    static const double x[] = {-0.774596669241483377, 0, 0.774596669241483377};
    static const double w[] = {5.0 / 18, 8.0 / 18, 5.0 / 18};
    for (size_t i = 0; i < c->n; i++)
        for (int k = 0; k < STEPS; k++)
            for (int g = 0; g < 3; g++) {
                const double t = (k + (1 + x[g]) / 2) / STEPS;
                const struct sw_pt p = sw_seg_at(&c->at[i], t);
                const struct sw_pt way = sw_seg_direction(&c->at[i], t);
                const double ds = sw_seg_length(&c->at[i]) * w[g] / STEPS, dz = way.z * ds;
                const double r2 = p.r * p.r, z = p.z - about;
                s.volume_mm3 += pi * r2 * dz;
                s.centroid_z_mm += pi * p.z * r2 * dz;
                s.polar_mm5 += pi / 2 * r2 * r2 * dz;
                s.transverse_mm5 += pi * (r2 * r2 / 4 + z * z * r2) * dz;
                s.surface_mm2 += 2 * pi * p.r * ds;
            }
    s.centroid_z_mm /= s.volume_mm3;
    return s;
}

static void closed_forms_agree_with_quadrature(void **state)
{
    (void)state;
    uint64_t seed = 6022;
    print_message("seed %llu\n", (unsigned long long)seed);
    for (int round = 0; round < 60; round++) {
        struct sw_ctx ctx = sw_test_ctx();
        const struct sw_contour c =
            round == 0 ? demo_staff(&ctx, true) : random_profile(&ctx, &seed);
        const struct sw_solid s = solid_of(&c);
        const struct sw_solid q = by_quadrature(&c, s.centroid_z_mm);
        assert_near_relative(s.volume_mm3, q.volume_mm3, 1e-10);
        assert_near_relative(s.surface_mm2, q.surface_mm2, 1e-10);
        assert_near_relative(s.polar_mm5, q.polar_mm5, 1e-10);
        assert_near_relative(s.transverse_mm5, q.transverse_mm5, 1e-10);
        assert_near(s.centroid_z_mm, q.centroid_z_mm, 1e-10);
        sw_test_ctx_free(&ctx);
    }
}

static void both_ways_of_an_arc_meet(void **state)
{
    (void)state;
    /* An arc just over and one just under the sweep where the way of working changes, and their
     * sum cut in two: nothing may show. */
    struct sw_ctx ctx = sw_test_ctx();
    for (double sweep = 0.46; sweep < 0.56; sweep += 0.01) {
        struct sw_contour whole = {0}, halves = {0};
        const double from = 0.7;
        const struct sw_seg arc =
            sw_seg_arc(pt(2 - 2 * cos(from), 2 * sin(from)),
                       pt(2 - 2 * cos(from + sweep), 2 * sin(from + sweep)), pt(2, 0), -1, 0);
        assert_true(sw_contour_add(ctx.arena, &whole, arc));
        assert_true(sw_contour_add(ctx.arena, &halves, sw_seg_part(&arc, 0, 0.4)));
        assert_true(sw_contour_add(ctx.arena, &halves, sw_seg_part(&arc, 0.4, 1)));
        const struct sw_solid a = solid_of(&whole), b = solid_of(&halves);
        assert_near_relative(a.volume_mm3, b.volume_mm3, 1e-13);
        assert_near_relative(a.polar_mm5, b.polar_mm5, 1e-13);
        assert_near_relative(a.transverse_mm5, b.transverse_mm5, 1e-12);
        assert_near_relative(a.surface_mm2, b.surface_mm2, 1e-13);
    }
    sw_test_ctx_free(&ctx);
}

/* Pappus: the volume is the way of the half section's centroid times its area; area and centroid
 * from the kernel's triangles here, over a flattened outline on both sides. */
static void the_volume_lies_between_those_of_both_outlines(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_kernel *kernel = sw_kernel_new(&ctx);
    assert_non_null(kernel);
    const struct sw_contour c = demo_staff(&ctx, true);
    double volume[2], area[2];
    for (int i = 0; i < 2; i++) {
        struct sw_pt *p;
        size_t n;
        struct sw_region *region;
        struct sw_rings rings;
        assert_int_equal(sw_contour_flatten(&p, &n, &c, SW_TOL_CHORD, i ? 1 : -1, &ctx), SW_OK);
        assert_int_equal(sw_region_from_points(&region, kernel, p, n), SW_OK);
        area[i] = sw_region_area(region);
        assert_int_equal(sw_region_rings(&rings, region, &ctx), SW_OK);
        assert_int_equal(rings.n, 1);
        double moment = 0, twice = 0; /* of r over the area, by triangles from the origin */
        for (size_t k = 0; k + 1 < rings.at[0].n; k++) {
            const struct sw_pt a = rings.at[0].at[k], b = rings.at[0].at[k + 1];
            const double cross = a.z * b.r - a.r * b.z;
            twice += cross;
            moment += cross / 2 * (a.r + b.r) / 3;
        }
        assert_near_relative(fabs(twice) / 2, area[i], 1e-12);
        volume[i] = 2 * pi * fabs(moment);
        sw_region_free(region);
    }
    const struct sw_solid s = solid_of(&c);
    assert_true(volume[0] < s.volume_mm3 && s.volume_mm3 < volume[1]);
    assert_true(volume[1] - volume[0] < 1e-4 * s.volume_mm3);
    struct sw_contour closed = c;
    add_line(&ctx, &closed, 0, 0, 0);
    assert_true(area[0] < -sw_contour_area(&closed) && -sw_contour_area(&closed) < area[1]);
    sw_kernel_free(kernel);
    sw_test_ctx_free(&ctx);
}

static void mirroring_mirrors_the_centroid_only(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_contour c = demo_staff(&ctx, true);
    struct sw_contour d;
    assert_int_equal(sw_contour_place(&d, &c, -1, 4.32, &ctx), SW_OK);
    const struct sw_solid s = solid_of(&c), t = solid_of(&d);
    assert_near_relative(t.volume_mm3, s.volume_mm3, 1e-13);
    assert_near_relative(t.polar_mm5, s.polar_mm5, 1e-13);
    assert_near_relative(t.transverse_mm5, s.transverse_mm5, 1e-12);
    assert_near(t.centroid_z_mm, 4.32 - s.centroid_z_mm, 1e-13);
    struct sw_contour none = {0};
    assert_near(solid_of(&none).volume_mm3, 0, 0);
    sw_test_ctx_free(&ctx);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_frustum_has_the_volume_of_the_books),
        cmocka_unit_test(a_fillet_ring_follows_pappus),
        cmocka_unit_test(a_hemisphere_is_two_thirds_of_its_cylinder),
        cmocka_unit_test(a_torus_follows_pappus),
        cmocka_unit_test(a_stepped_staff_has_the_mass_of_its_parts),
        cmocka_unit_test(closed_forms_agree_with_quadrature),
        cmocka_unit_test(both_ways_of_an_arc_meet),
        cmocka_unit_test(the_volume_lies_between_those_of_both_outlines),
        cmocka_unit_test(mirroring_mirrors_the_centroid_only),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
