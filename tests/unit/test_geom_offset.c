/* Offsets. Outside witness: the area grown by rolling a disc along the profile, as the union of
 * hulls of discs (GEOS, flattened on both sides), against the area under the offset. */
#include "geom/region.h"

#include "test_geom_shapes.h"

static const double pi = 3.14159265358979323846;

/* Every point DISTANCE away, none nearer; joined. */
static void assert_is_offset(const struct sw_contour *off, const struct sw_contour *in,
                             double distance)
{
    assert_true(sw_contour_is_joined(off));
    enum { STEPS = 12 };
    for (size_t i = 0; i < off->n; i++)
        for (int k = 0; k <= STEPS; k++) {
            const struct sw_pt p = sw_seg_at(&off->at[i], (double)k / STEPS);
            assert_near(sw_contour_distance(in, p, NULL), fabs(distance), 1e-7);
        }
}

static struct sw_contour offset_of(struct sw_ctx *ctx, const struct sw_contour *in, double d)
{
    struct sw_contour off = {0};
    assert_int_equal(sw_contour_offset(&off, in, d, ctx), SW_OK);
    assert_is_offset(&off, in, d);
    return off;
}

static void an_outer_corner_is_rolled_round(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_contour in = {0};
    add_start(&ctx, &in, pt(0, 1), pt(2, 1), 7);
    add_line(&ctx, &in, 2, 0, 8);
    const struct sw_contour off = offset_of(&ctx, &in, 0.5);
    assert_int_equal(off.n, 3);
    assert_near(sw_pt_distance(off.at[0].a, pt(0, 1.5)), 0, 1e-15);
    assert_int_equal(off.at[1].kind, SW_SEG_ARC);
    assert_int_equal(off.at[1].turn, -1);
    assert_int_equal(off.at[1].tag, 7);
    assert_near(sw_seg_length(&off.at[1]), pi / 4, 1e-14);
    assert_near(sw_pt_distance(off.at[2].b, pt(2.5, 0)), 0, 1e-15);
    assert_int_equal(off.at[2].tag, 8);
    sw_test_ctx_free(&ctx);
}

static void an_inner_corner_stays_sharp(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_contour in = {0};
    add_start(&ctx, &in, pt(0, 1), pt(2, 1), 7);
    add_line(&ctx, &in, 2, 3, 8);
    const struct sw_contour off = offset_of(&ctx, &in, 0.5);
    assert_int_equal(off.n, 2);
    assert_near(sw_pt_distance(off.at[0].b, pt(1.5, 1.5)), 0, 1e-15);
    /* and the other side is rolled round, keeping the tag of the segment before the corner */
    const struct sw_contour below = offset_of(&ctx, &in, -0.5);
    assert_int_equal(below.n, 3);
    assert_int_equal(below.at[1].turn, 1);
    assert_int_equal(below.at[1].tag, 7);
    assert_near(sw_pt_distance(below.at[0].a, pt(0, 0.5)), 0, 1e-15);
    assert_near(sw_pt_distance(below.at[2].b, pt(2.5, 3)), 0, 1e-15);
    sw_test_ctx_free(&ctx);
}

static void a_slot_too_narrow_is_bridged(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_contour in = {0};
    add_start(&ctx, &in, pt(0, 1), pt(2, 1), 0);
    add_line(&ctx, &in, 2, 0.2, 1);
    add_line(&ctx, &in, 2.6, 0.2, 2);
    add_line(&ctx, &in, 2.6, 1, 3);
    add_line(&ctx, &in, 4, 1, 4);
    const struct sw_contour off = offset_of(&ctx, &in, 0.5);
    /* Two arcs about the lips meet over the middle at 1 + sqrt(0.25 - 0.09) = 1.4. */
    assert_int_equal(off.n, 4);
    assert_near(sw_pt_distance(off.at[1].b, pt(2.3, 1.4)), 0, 1e-14);
    /* A tool of exactly the slot's width goes down and up again, or stays above: never beside. */
    const struct sw_contour tight = offset_of(&ctx, &in, 0.3);
    assert_near(tight.at[0].a.r, 1.3, 1e-15);
    assert_near(sw_pt_distance(tight.at[tight.n - 1].b, pt(4, 1.3)), 0, 1e-15);
    sw_test_ctx_free(&ctx);
}

static void an_inner_arc_smaller_than_the_distance_vanishes(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_contour in = {0};
    add_start(&ctx, &in, pt(0, 1), pt(1, 1), 0);
    add_arc(&ctx, &in, 1.2, 1.2, 1, 1.2, 1, 1); /* tangent fillet of radius 0.2 */
    add_line(&ctx, &in, 1.2, 3, 2);
    const struct sw_contour less = offset_of(&ctx, &in, 0.1);
    assert_int_equal(less.n, 3);
    assert_near(sw_seg_radius(&less.at[1]), 0.1, 1e-15);
    const struct sw_contour same = offset_of(&ctx, &in, 0.2);
    assert_int_equal(same.n, 2);
    assert_near(sw_pt_distance(same.at[0].b, pt(1, 1.2)), 0, 1e-12);
    const struct sw_contour more = offset_of(&ctx, &in, 0.3);
    assert_int_equal(more.n, 2);
    assert_near(sw_pt_distance(more.at[0].b, pt(0.9, 1.3)), 0, 1e-12);
    const struct sw_contour hair = offset_of(&ctx, &in, 0.2 - 3e-9);
    assert_near(sw_pt_distance(hair.at[hair.n - 1].b, pt(1, 3)), 0, 1e-8);
    sw_test_ctx_free(&ctx);
}

static void closed_contours_grow_shrink_and_vanish(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_contour in = {0};
    add_start(&ctx, &in, pt(0, 0), pt(2, 0), 0);
    add_line(&ctx, &in, 2, 1, 1);
    add_line(&ctx, &in, 0, 1, 2);
    add_line(&ctx, &in, 0, 0, 3);
    const struct sw_contour small = offset_of(&ctx, &in, 0.25);
    assert_true(sw_contour_is_closed(&small));
    assert_near(sw_contour_area(&small), 0.75, 1e-12);
    const struct sw_contour big = offset_of(&ctx, &in, -0.25);
    assert_true(sw_contour_is_closed(&big));
    assert_near(sw_contour_area(&big), 2 + 6 * 0.25 + pi / 16, 1e-12);
    const struct sw_contour gone = offset_of(&ctx, &in, 0.51);
    assert_int_equal(gone.n, 0);
    struct sw_contour circle = {0};
    assert_true(sw_contour_add(ctx.arena, &circle, sw_seg_arc(pt(1, 0), pt(1, 0), pt(0, 0), 1, 0)));
    const struct sw_contour inner = offset_of(&ctx, &circle, 0.4);
    assert_near(sw_contour_area(&inner), pi * 0.36, 1e-12);
    const struct sw_contour outer = offset_of(&ctx, &circle, -0.4);
    assert_near(sw_contour_area(&outer), pi * 1.96, 1e-12);
    sw_test_ctx_free(&ctx);
}

static void of_two_pieces_the_larger_is_kept(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_contour in = {0}; /* a dumb-bell whose neck closes */
    add_start(&ctx, &in, pt(0, 0), pt(2, 0), 0);
    add_line(&ctx, &in, 2, 0.45, 0);
    add_line(&ctx, &in, 3, 0.45, 0);
    add_line(&ctx, &in, 3, 0, 0);
    add_line(&ctx, &in, 6, 0, 0);
    add_line(&ctx, &in, 6, 1, 0);
    add_line(&ctx, &in, 3, 1, 0);
    add_line(&ctx, &in, 3, 0.55, 0);
    add_line(&ctx, &in, 2, 0.55, 0);
    add_line(&ctx, &in, 2, 1, 0);
    add_line(&ctx, &in, 0, 1, 0);
    add_line(&ctx, &in, 0, 0, 0);
    const struct sw_contour off = offset_of(&ctx, &in, 0.2);
    assert_true(sw_contour_is_closed(&off));
    assert_true(sw_contour_area(&off) > 1.55);
    assert_true(sw_contour_area(&off) < 1.65);
    assert_true(sw_contour_box(&off).z0 > 3);
    struct sw_contour turned = {0}; /* the same with the larger bell met first */
    for (size_t i = 0; i < in.n; i++)
        assert_true(sw_contour_add(ctx.arena, &turned, in.at[(i + 4) % in.n]));
    const struct sw_contour same = offset_of(&ctx, &turned, 0.2);
    assert_near(sw_contour_area(&same), sw_contour_area(&off), 1e-12);
    sw_test_ctx_free(&ctx);
}

static void a_distance_of_nothing_copies(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_contour in = demo_staff(&ctx, true);
    struct sw_contour off;
    assert_int_equal(sw_contour_offset(&off, &in, 0, &ctx), SW_OK);
    assert_int_equal(off.n, in.n);
    assert_near(sw_contour_length(&off), sw_contour_length(&in), 1e-14);
    struct sw_contour none = {0};
    assert_int_equal(sw_contour_offset(&off, &none, 0.1, &ctx), SW_OK);
    assert_int_equal(off.n, 0);
    assert_int_equal(sw_contour_offset(&off, &in, (double)NAN, &ctx), SW_INTERNAL);
    sw_test_ctx_free(&ctx);
}

static void the_demo_staff_offsets_from_end_to_end(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_contour in = demo_staff(&ctx, true);
    static const double by[] = {0.0005, 0.002, 0.01, 0.03, 0.05, 0.1, 0.2, 0.5, 1};
    for (size_t i = 0; i < sizeof by / sizeof by[0]; i++) {
        const struct sw_contour off = offset_of(&ctx, &in, by[i]);
        assert_near(sw_pt_distance(off.at[0].a, pt(-by[i], 0)), 0, 1e-12);
        assert_near(sw_pt_distance(off.at[off.n - 1].b, pt(4.32 + by[i], 0)), 0, 1e-12);
    }
    sw_test_ctx_free(&ctx);
}

static void reversing_and_mirroring_change_nothing(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_contour in = demo_staff(&ctx, true);
    struct sw_contour turned, back;
    for (double d = 0.01; d < 0.4; d *= 2) {
        const struct sw_contour off = offset_of(&ctx, &in, d);
        assert_int_equal(sw_contour_place(&turned, &in, -1, 3, &ctx), SW_OK);
        const struct sw_contour other = offset_of(&ctx, &turned, d);
        assert_int_equal(sw_contour_place(&back, &other, -1, 3, &ctx), SW_OK);
        assert_near(sw_contour_length(&back), sw_contour_length(&off), 1e-9);
        for (size_t i = 0; i < back.n; i++)
            assert_near(sw_contour_distance(&off, sw_seg_at(&back.at[i], 0.4), NULL), 0, 1e-9);
        struct sw_contour reverse = {0};
        for (size_t i = in.n; i-- > 0;)
            assert_true(sw_contour_add(ctx.arena, &reverse, sw_seg_reverse(in.at[i])));
        const struct sw_contour right = offset_of(&ctx, &reverse, -d);
        assert_near(sw_contour_length(&right), sw_contour_length(&off), 1e-9);
    }
    sw_test_ctx_free(&ctx);
}

enum { CORNERS = 96 };

/* Chords coarse enough for a quick test. */
static const double coarse = 2e-4;

/* The area under a profile whose ends are on the axis, with chords on SIDE. */
static struct sw_region *area_under(struct sw_kernel *kernel, struct sw_ctx *ctx,
                                    const struct sw_contour *profile, int side)
{
    struct sw_pt *p;
    size_t n;
    struct sw_region *area;
    assert_int_equal(sw_contour_flatten(&p, &n, profile, coarse, side, ctx), SW_OK);
    assert_int_equal(sw_region_from_points(&area, kernel, p, n), SW_OK);
    return area;
}

static void add_disc(struct sw_pt *to, struct sw_pt c, double radius)
{
    for (int i = 0; i < CORNERS; i++) {
        const double f = 2 * pi * i / CORNERS;
        to[i] = pt(c.z + radius * cos(f), c.r + radius * sin(f));
    }
}

static void replace(struct sw_region **region, struct sw_region *by)
{
    sw_region_free(*region);
    *region = by;
}

/* What a disc of RADIUS, a polygon inside it, covers when rolled along the profile. */
static struct sw_region *rolled(struct sw_kernel *kernel, struct sw_ctx *ctx,
                                const struct sw_contour *profile, double radius)
{
    struct sw_pt *p, discs[2 * CORNERS];
    size_t n;
    struct sw_region *all = area_under(kernel, ctx, profile, 0), *sweep, *more;
    assert_int_equal(sw_contour_flatten(&p, &n, profile, coarse, 0, ctx), SW_OK);
    for (size_t i = 0; i + 1 < n; i++) {
        add_disc(discs, p[i], radius);
        add_disc(discs + CORNERS, p[i + 1], radius);
        assert_int_equal(sw_region_from_hull(&sweep, kernel, discs, 2 * CORNERS), SW_OK);
        assert_int_equal(sw_region_either(&more, all, sweep), SW_OK);
        sw_region_free(sweep);
        replace(&all, more);
    }
    const struct sw_box box = sw_contour_box(profile);
    struct sw_region *half;
    assert_int_equal(
        sw_region_from_box(&half, kernel, (struct sw_box){box.z0 - 2, 0, box.z1 + 2, box.r1 + 2}),
        SW_OK);
    assert_int_equal(sw_region_both(&more, all, half), SW_OK);
    sw_region_free(half);
    replace(&all, more);
    return all;
}

static void assert_same_area(struct sw_kernel *kernel, struct sw_ctx *ctx,
                             const struct sw_contour *in, double d)
{
    const struct sw_contour off = offset_of(ctx, in, d);
    struct sw_region *mine = area_under(kernel, ctx, &off, 0);
    struct sw_region *witness = rolled(kernel, ctx, in, d), *a, *b;
    /* Pockets that the tool cannot enter count as covered by the offset, not by the witness. */
    struct sw_rings rings;
    assert_int_equal(sw_region_rings(&rings, witness, ctx), SW_OK);
    for (size_t i = 0; i < rings.n; i++)
        if (rings.at[i].is_hole) {
            struct sw_region *hole, *filled;
            assert_int_equal(sw_region_from_points(&hole, kernel, rings.at[i].at, rings.at[i].n),
                             SW_OK);
            assert_int_equal(sw_region_either(&filled, witness, hole), SW_OK);
            sw_region_free(hole);
            replace(&witness, filled);
        }
    assert_int_equal(sw_region_minus(&a, mine, witness), SW_OK);
    assert_int_equal(sw_region_minus(&b, witness, mine), SW_OK);
    /* Chords of the profile and of the disc: d (1 - cos(pi / 96)) each way. */
    const double band = coarse * 2 + d * (1 - cos(pi / CORNERS));
    assert_true(sw_region_depth(a, &off) <= band + 1e-6);
    assert_true(sw_region_depth(b, &off) <= band + 1e-6);
    sw_region_free(a);
    sw_region_free(b);
    sw_region_free(mine);
    sw_region_free(witness);
}

static void the_offset_covers_what_a_rolled_disc_covers(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_kernel *kernel = sw_kernel_new(&ctx);
    assert_non_null(kernel);
    const struct sw_contour staff = demo_staff(&ctx, true);
    assert_same_area(kernel, &ctx, &staff, 0.05);
    assert_same_area(kernel, &ctx, &staff, 0.2);
    uint64_t seed = 77001;
    print_message("seed %llu\n", (unsigned long long)seed);
    for (int round = 0; round < 5; round++) {
        const struct sw_contour in = random_profile(&ctx, &seed);
        assert_same_area(kernel, &ctx, &in, random_between(&seed, 0.01, 0.3));
    }
    sw_kernel_free(kernel);
    sw_test_ctx_free(&ctx);
}

static void random_profiles_keep_the_rules(void **state)
{
    (void)state;
    uint64_t seed = 550123;
    print_message("seed %llu\n", (unsigned long long)seed);
    for (int round = 0; round < 400; round++) {
        struct sw_ctx ctx = sw_test_ctx();
        const struct sw_contour in = random_profile(&ctx, &seed);
        const double d = exp(random_between(&seed, log(0.001), log(1)));
        const struct sw_contour off = offset_of(&ctx, &in, d);
        const double end = in.at[in.n - 1].b.z;
        assert_near(sw_pt_distance(off.at[0].a, pt(-d, 0)), 0, 1e-9);
        assert_near(sw_pt_distance(off.at[off.n - 1].b, pt(end + d, 0)), 0, 1e-9);
        /* The profile is a function of z, so its offset must not turn back along z. */
        for (size_t i = 0; i < off.n; i++) {
            enum { STEPS = 8 };
            for (int k = 0; k <= STEPS; k++)
                assert_true(sw_seg_direction(&off.at[i], (double)k / STEPS).z > -1e-6);
            assert_true(off.at[i].tag >= 0);
        }
        sw_test_ctx_free(&ctx);
    }
}

static void chains_that_cross_themselves_keep_the_distance(void **state)
{
    (void)state;
    uint64_t seed = 5;
    print_message("seed %llu\n", (unsigned long long)seed);
    for (int round = 0; round < 300; round++) {
        struct sw_ctx ctx = sw_test_ctx();
        struct sw_contour c = {0};
        struct sw_pt at = pt(0.5, 0.5);
        const int n = 1 + random_below(&seed, 8);
        for (int i = 0; i < n; i++) {
            const struct sw_pt to = pt(random_between(&seed, 0, 1), random_between(&seed, 0, 1));
            const double radius = sw_pt_distance(at, to) * random_between(&seed, 0.5, 3);
            struct sw_seg seg = random_below(&seed, 2) ? sw_seg_line(at, to, i)
                                                       : arc_by_radius(at, to, radius, 1, i);
            if (random_below(&seed, 2))
                seg.turn = -seg.turn;
            assert_true(sw_contour_add(ctx.arena, &c, seg));
            at = to;
        }
        offset_of(&ctx, &c, random_between(&seed, -0.3, 0.3));
        sw_test_ctx_free(&ctx);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_outer_corner_is_rolled_round),
        cmocka_unit_test(an_inner_corner_stays_sharp),
        cmocka_unit_test(a_slot_too_narrow_is_bridged),
        cmocka_unit_test(an_inner_arc_smaller_than_the_distance_vanishes),
        cmocka_unit_test(closed_contours_grow_shrink_and_vanish),
        cmocka_unit_test(of_two_pieces_the_larger_is_kept),
        cmocka_unit_test(a_distance_of_nothing_copies),
        cmocka_unit_test(the_demo_staff_offsets_from_end_to_end),
        cmocka_unit_test(reversing_and_mirroring_change_nothing),
        cmocka_unit_test(the_offset_covers_what_a_rolled_disc_covers),
        cmocka_unit_test(random_profiles_keep_the_rules),
        cmocka_unit_test(chains_that_cross_themselves_keep_the_distance),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
