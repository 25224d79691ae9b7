/* Regions: what the kernel's bridge promises. Areas are derived by hand. */
#include "geom/region.h"

#include <stdlib.h>
#include <string.h>

#include "test_geom_shapes.h"

struct bench {
    struct sw_ctx ctx;
    struct sw_kernel *kernel; /* keeps the address of ctx */
};

static void bench_open(struct bench *bench)
{
    bench->ctx = sw_test_ctx();
    bench->kernel = sw_kernel_new(&bench->ctx);
    assert_non_null(bench->kernel);
}

static void bench_free(struct bench *bench)
{
    sw_kernel_free(bench->kernel);
    sw_test_ctx_free(&bench->ctx);
}

static struct sw_region *box(struct bench *bench, double z0, double r0, double z1, double r1)
{
    struct sw_region *region;
    assert_int_equal(sw_region_from_box(&region, bench->kernel, (struct sw_box){z0, r0, z1, r1}),
                     SW_OK);
    return region;
}

static void sets_add_up(void **state)
{
    (void)state;
    struct bench b;
    bench_open(&b);
    struct sw_region *p = box(&b, 0, 0, 2, 2), *q = box(&b, 1, 1, 3, 3), *minus, *both, *either;
    assert_int_equal(sw_region_minus(&minus, p, q), SW_OK);
    assert_int_equal(sw_region_both(&both, p, q), SW_OK);
    assert_int_equal(sw_region_either(&either, p, q), SW_OK);
    assert_near(sw_region_area(minus), 3, 1e-15);
    assert_near(sw_region_area(both), 1, 1e-15);
    assert_near(sw_region_area(either), 7, 1e-15);
    const struct sw_box at = sw_region_box(both);
    assert_near(at.z0, 1, 0);
    assert_near(at.r1, 2, 0);
    assert_true(sw_region_overlaps(p, q));
    assert_false(sw_region_overlaps(minus, q));
    sw_region_free(minus);
    sw_region_free(both);
    sw_region_free(either);
    sw_region_free(p);
    sw_region_free(q);
    bench_free(&b);
}

static void touching_is_not_overlapping_and_leaves_no_lines(void **state)
{
    (void)state;
    struct bench b;
    bench_open(&b);
    struct sw_region *p = box(&b, 0, 0, 2, 2), *q = box(&b, 2, 0, 3, 3), *both;
    assert_false(sw_region_overlaps(p, q));
    assert_int_equal(sw_region_both(&both, p, q), SW_OK);
    assert_true(sw_region_is_empty(both));
    assert_int_equal(sw_region_n_pieces(both), 0);
    assert_near(sw_region_area(both), 0, 0);
    assert_near(sw_region_box(both).z1, 0, 0);
    /* One box touching in a line here and overlapping there: the line is dropped. */
    const struct sw_pt ell[] = {{2, 0}, {4, 0}, {4, 4}, {1, 4}, {1, 1}, {2, 1}};
    struct sw_region *l, *common;
    assert_int_equal(sw_region_from_points(&l, b.kernel, ell, 6), SW_OK);
    assert_int_equal(sw_region_both(&common, p, l), SW_OK);
    assert_int_equal(sw_region_n_pieces(common), 1);
    assert_near(sw_region_area(common), 1, 1e-15);
    sw_region_free(common);
    sw_region_free(l);
    sw_region_free(both);
    sw_region_free(p);
    sw_region_free(q);
    bench_free(&b);
}

static void slivers_of_the_overlay_are_dropped(void **state)
{
    (void)state;
    struct bench b;
    bench_open(&b);
    struct sw_region *p = box(&b, 0, 0, 2, 2), *q = box(&b, 0, 0, 2, 2 - 1e-8), *left;
    assert_int_equal(sw_region_minus(&left, p, q), SW_OK);
    assert_true(sw_region_is_empty(left));
    sw_region_free(left);
    sw_region_free(q);
    q = box(&b, 0, 0, 2, 2 - 1e-5);
    assert_int_equal(sw_region_minus(&left, p, q), SW_OK);
    assert_near(sw_region_area(left), 2e-5, 1e-12);
    sw_region_free(left);
    sw_region_free(p);
    sw_region_free(q);
    bench_free(&b);
}

static void a_hull_is_the_sweep_of_a_convex_tool(void **state)
{
    (void)state;
    struct bench b;
    bench_open(&b);
    const struct sw_pt swept[] = {{0, 0}, {1, 0}, {1, 1}, {0, 1}, {0.5, 0.5}, {3, 2},
                                  {4, 2}, {4, 3}, {3, 3}, {3, 3}, {0, 0}};
    struct sw_region *hull;
    assert_int_equal(sw_region_from_hull(&hull, b.kernel, swept, 11), SW_OK);
    /* a unit square moved by (3, 2): 1 + |3| + |2| */
    assert_near(sw_region_area(hull), 6, 1e-14);
    sw_region_free(hull);
    const struct sw_pt line[] = {{0, 0}, {1, 1}, {2, 2}, {5, 5}};
    assert_int_equal(sw_region_from_hull(&hull, b.kernel, line, 4), SW_OK);
    assert_true(sw_region_is_empty(hull));
    sw_region_free(hull);
    assert_int_equal(sw_region_from_hull(&hull, b.kernel, line, 0), SW_OK);
    assert_true(sw_region_is_empty(hull));
    sw_region_free(hull);
    const struct sw_pt bad[] = {{0, 0}, {1, (double)NAN}, {2, 0}};
    assert_int_equal(sw_region_from_hull(&hull, b.kernel, bad, 3), SW_INTERNAL);
    bench_free(&b);
}

static void random_hulls_hold_their_points_and_are_convex(void **state)
{
    (void)state;
    struct bench b;
    bench_open(&b);
    uint64_t seed = 99;
    print_message("seed %llu\n", (unsigned long long)seed);
    for (int round = 0; round < 200; round++) {
        struct sw_pt p[300];
        const size_t n = (size_t)(3 + random_below(&seed, 297));
        for (size_t i = 0; i < n; i++) {
            p[i] = pt(random_between(&seed, 0, 1), random_between(&seed, 0, 1));
            if (random_below(&seed, 3) == 0) /* many on a grid: equal and collinear ones */
                p[i] = pt(random_below(&seed, 4) / 4.0, random_below(&seed, 4) / 4.0);
        }
        struct sw_region *hull;
        struct sw_rings rings;
        assert_int_equal(sw_region_from_hull(&hull, b.kernel, p, n), SW_OK);
        assert_int_equal(sw_region_rings(&rings, hull, &b.ctx), SW_OK);
        assert_int_equal(rings.n, 1);
        const struct sw_ring *ring = &rings.at[0];
        for (size_t k = 0; k + 1 < ring->n; k++) {
            const struct sw_pt a = ring->at[k], c = ring->at[k + 1];
            for (size_t i = 0; i < n; i++)
                assert_true((c.z - a.z) * (p[i].r - a.r) - (c.r - a.r) * (p[i].z - a.z) >= -1e-15);
        }
        sw_region_free(hull);
    }
    bench_free(&b);
}

static void outlines_come_in_either_sense_and_must_be_simple(void **state)
{
    (void)state;
    struct bench b;
    bench_open(&b);
    const struct sw_pt tri[] = {{0, 0}, {4, 0}, {0, 3}, {0, 0}};
    const struct sw_pt back[] = {{0, 3}, {4, 0}, {4, 0}, {0, 0}};
    struct sw_region *p, *q;
    assert_int_equal(sw_region_from_points(&p, b.kernel, tri, 4), SW_OK);
    assert_int_equal(sw_region_from_points(&q, b.kernel, back, 4), SW_OK);
    assert_near(sw_region_area(p), 6, 1e-15);
    assert_near(sw_region_area(q), 6, 1e-15);
    sw_region_free(p);
    sw_region_free(q);
    const struct sw_pt bow[] = {{0, 0}, {2, 2}, {2, 0}, {0, 2}};
    assert_int_equal(sw_region_from_points(&p, b.kernel, bow, 4), SW_INTERNAL);
    assert_non_null(strstr(sw_test_diagnostics(&b.ctx), "the outline crosses itself"));
    const struct sw_pt two[] = {{0, 0}, {1, 1}, {0, 0}};
    assert_int_equal(sw_region_from_points(&p, b.kernel, two, 3), SW_INTERNAL);
    /* Touching itself by rounding is mended: a hair along one edge. */
    const struct sw_pt hair[] = {{0, 0}, {2, 0}, {2, 1}, {2, 3}, {2, 2}, {0, 2}};
    assert_int_equal(sw_region_from_points(&p, b.kernel, hair, 6), SW_OK);
    assert_near(sw_region_area(p), 4, 1e-12);
    sw_region_free(p);
    bench_free(&b);
}

static void pieces_are_ordered_by_place(void **state)
{
    (void)state;
    struct bench b;
    bench_open(&b);
    struct sw_region *all = box(&b, 5, 0, 6, 1), *more, *next;
    static const double at[][2] = {{1, 3}, {3, 0}, {1, 0}, {-2, 7}};
    for (size_t i = 0; i < 4; i++) {
        more = box(&b, at[i][0], at[i][1], at[i][0] + 1, at[i][1] + 1);
        assert_int_equal(sw_region_either(&next, all, more), SW_OK);
        sw_region_free(all);
        sw_region_free(more);
        all = next;
    }
    assert_int_equal(sw_region_n_pieces(all), 5);
    static const double wanted[][2] = {{-2, 7}, {1, 0}, {1, 3}, {3, 0}, {5, 0}};
    for (size_t i = 0; i < 5; i++) {
        struct sw_region *piece;
        assert_int_equal(sw_region_piece(&piece, all, i), SW_OK);
        assert_near(sw_region_box(piece).z0, wanted[i][0], 0);
        assert_near(sw_region_box(piece).r0, wanted[i][1], 0);
        assert_near(sw_region_area(piece), 1, 1e-15);
        sw_region_free(piece);
    }
    struct sw_region *none;
    assert_int_equal(sw_region_piece(&none, all, 5), SW_INTERNAL);
    sw_region_free(all);
    bench_free(&b);
}

static void holes_are_told_from_outlines(void **state)
{
    (void)state;
    struct bench b;
    bench_open(&b);
    struct sw_region *p = box(&b, 0, 0, 4, 4), *q = box(&b, 1, 1, 2, 3), *ring;
    assert_int_equal(sw_region_minus(&ring, p, q), SW_OK);
    struct sw_rings rings;
    assert_int_equal(sw_region_rings(&rings, ring, &b.ctx), SW_OK);
    assert_int_equal(rings.n, 2);
    assert_false(rings.at[0].is_hole);
    assert_true(rings.at[1].is_hole);
    for (size_t i = 0; i < 2; i++)
        assert_near(sw_pt_distance(rings.at[i].at[0], rings.at[i].at[rings.at[i].n - 1]), 0, 0);
    double low, high;
    assert_true(sw_region_r_range(&low, &high, ring, 1.5));
    assert_near(low, 0, 0);
    assert_near(high, 4, 0);
    assert_false(sw_region_r_range(&low, &high, ring, 4.5));
    sw_region_free(ring);
    sw_region_free(p);
    sw_region_free(q);
    bench_free(&b);
}

static void the_range_of_r_is_found_on_any_line(void **state)
{
    (void)state;
    struct bench b;
    bench_open(&b);
    const struct sw_pt tri[] = {{0, 1}, {4, 1}, {2, 3}};
    struct sw_region *p, *moved;
    assert_int_equal(sw_region_from_points(&p, b.kernel, tri, 3), SW_OK);
    double low, high;
    assert_true(sw_region_r_range(&low, &high, p, 1));
    assert_near(low, 1, 1e-15);
    assert_near(high, 2, 1e-15);
    assert_true(sw_region_r_range(&low, &high, p, 2));
    assert_near(high, 3, 1e-15);
    assert_int_equal(sw_region_place(&moved, p, -1, 10), SW_OK);
    assert_true(sw_region_r_range(&low, &high, moved, 9));
    assert_near(high, 2, 1e-15);
    assert_near(sw_region_box(moved).z0, 6, 1e-15);
    assert_near(sw_region_area(moved), sw_region_area(p), 1e-15);
    sw_region_free(moved);
    sw_region_free(p);
    bench_free(&b);
}

static void depth_is_measured_to_the_curve(void **state)
{
    (void)state;
    struct bench b;
    bench_open(&b);
    struct sw_contour c = {0};
    add_start(&b.ctx, &c, pt(0, 1), pt(10, 1), 0);
    /* a layer 0.03 thick over the line */
    struct sw_region *layer = box(&b, 2, 1, 5, 1.03);
    assert_near(sw_region_depth(layer, &c), 0.03, 1e-12);
    sw_region_free(layer);
    /* a slot filled to the brim: the deepest place is the middle of its mouth */
    struct sw_contour slot = {0};
    add_start(&b.ctx, &slot, pt(0, 5), pt(2, 5), 0);
    add_line(&b.ctx, &slot, 2, 1, 0);
    add_line(&b.ctx, &slot, 3.4, 1, 0);
    add_line(&b.ctx, &slot, 3.4, 5, 0);
    add_line(&b.ctx, &slot, 6, 5, 0);
    struct sw_region *filling = box(&b, 2, 1, 3.4, 5);
    assert_near(sw_region_depth(filling, &slot), 0.7, 1e-6);
    sw_region_free(filling);
    /* a bulb behind a narrow neck: the deepest place is inside */
    struct sw_contour bulb = {0};
    const double f = 0.2;
    add_start(&b.ctx, &bulb, pt(-3, cos(f)), pt(-sin(f), cos(f)), 0);
    add_arc(&b.ctx, &bulb, sin(f), cos(f), 0, 0, 1, 1);
    add_line(&b.ctx, &bulb, 3, cos(f), 2);
    struct sw_pt *p;
    size_t n;
    struct sw_contour filled = {0};
    assert_true(sw_contour_add(b.ctx.arena, &filled, bulb.at[1]));
    assert_int_equal(sw_contour_flatten(&p, &n, &filled, 1e-5, 1, &b.ctx), SW_OK);
    assert_int_equal(sw_region_from_points(&filling, b.kernel, p, n), SW_OK);
    const double deep = sw_region_depth(filling, &bulb);
    assert_true(deep > 0.9 && deep <= 1);
    sw_region_free(filling);
    /* a chord whose ends are on the arc: the deepest place is its middle, 1 - cos 45 degrees */
    struct sw_contour quarter = {0};
    assert_true(
        sw_contour_add(b.ctx.arena, &quarter, sw_seg_arc(pt(1, 0), pt(0, 1), pt(0, 0), 1, 0)));
    const struct sw_pt tri[] = {{1, 0}, {0, 1}, {0.9, 0.9}};
    assert_int_equal(sw_region_from_points(&filling, b.kernel, tri, 3), SW_OK);
    assert_near(sw_region_depth(filling, &quarter), 1 - sqrt(0.5), 1e-6);
    sw_region_free(filling);
    struct sw_region *none = box(&b, 0, 0, 0, 0);
    assert_true(sw_region_is_empty(none));
    assert_near(sw_region_depth(none, &c), 0, 0);
    sw_region_free(none);
    bench_free(&b);
}

static void no_sample_is_deeper_than_the_depth(void **state)
{
    (void)state;
    struct bench b;
    bench_open(&b);
    uint64_t seed = 271828;
    print_message("seed %llu\n", (unsigned long long)seed);
    for (int round = 0; round < 60; round++) {
        const struct sw_contour c = random_profile(&b.ctx, &seed);
        struct sw_pt tri[3];
        for (int i = 0; i < 3; i++)
            tri[i] = pt(random_between(&seed, -0.5, 3), random_between(&seed, 0, 1.5));
        struct sw_region *region;
        assert_int_equal(sw_region_from_points(&region, b.kernel, tri, 3), SW_OK);
        const double depth = sw_region_depth(region, &c);
        enum { STEPS = 120 };
        double on_ring = 0, anywhere = 0, widest = 0;
        for (int i = 0; i <= STEPS; i++)
            for (int k = 0; k <= STEPS - i; k++) {
                const double u = (double)i / STEPS, v = (double)k / STEPS, w = 1 - u - v;
                const struct sw_pt p = pt(u * tri[0].z + v * tri[1].z + w * tri[2].z,
                                          u * tri[0].r + v * tri[1].r + w * tri[2].r);
                const double d = sw_contour_distance(&c, p, NULL);
                anywhere = fmax(anywhere, d);
                if (i == 0 || k == 0 || i + k == STEPS)
                    on_ring = fmax(on_ring, d);
            }
        for (int i = 0; i < 3; i++)
            widest = fmax(widest, sw_pt_distance(tri[i], tri[(i + 1) % 3]));
        assert_true(depth >= on_ring - 1.1e-7);
        assert_true(depth <= anywhere + widest / STEPS);
        sw_region_free(region);
    }
    bench_free(&b);
}

static void cutting_away_a_staff_move_by_move_leaves_it(void **state)
{
    (void)state;
    struct bench b;
    bench_open(&b);
    /* A round nose follows the offset of the profile; what is left of the bar must be the profile
     * where the nose fits, and never less. */
    const struct sw_contour staff = demo_staff(&b.ctx, false);
    const double nose = 0.05, pi = 3.14159265358979323846;
    struct sw_contour path;
    struct sw_pt *p;
    size_t n;
    assert_int_equal(sw_contour_offset(&path, &staff, nose, &b.ctx), SW_OK);
    assert_int_equal(sw_contour_flatten(&p, &n, &path, SW_TOL_CHORD, 1, &b.ctx), SW_OK);
    struct sw_region *bar = box(&b, -0.2, 0, 4.6, 0.9), *sweep, *next, *gouge, *shape;
    for (size_t i = 0; i + 1 < n; i++) {
        enum { CORNERS = 64 };
        struct sw_pt tool[4 * CORNERS];
        for (int k = 0; k < CORNERS; k++) {
            const double x = nose * cos(2 * pi * k / CORNERS), y = nose * sin(2 * pi * k / CORNERS);
            tool[2 * k] = pt(p[i].z + x, p[i].r + y);
            tool[2 * k + 1] = pt(p[i + 1].z + x, p[i + 1].r + y);
        }
        assert_int_equal(sw_region_from_hull(&sweep, b.kernel, tool, 2 * CORNERS), SW_OK);
        assert_int_equal(sw_region_minus(&next, bar, sweep), SW_OK);
        sw_region_free(sweep);
        sw_region_free(bar);
        bar = next;
    }
    assert_true(sw_region_n_pieces(bar) >= 2); /* the part and the tube around it */
    assert_int_equal(sw_contour_flatten(&p, &n, &staff, SW_TOL_CHORD, -1, &b.ctx), SW_OK);
    assert_int_equal(sw_region_from_points(&shape, b.kernel, p, n), SW_OK);
    assert_int_equal(sw_region_minus(&gouge, shape, bar), SW_OK);
    assert_true(sw_region_depth(gouge, &staff) < 2e-5);
    double low, high;
    struct sw_region *part;
    assert_int_equal(sw_region_piece(&part, bar, 1), SW_OK);
    if (sw_region_box(part).r0 > 0) {
        sw_region_free(part);
        assert_int_equal(sw_region_piece(&part, bar, 0), SW_OK);
    }
    assert_true(sw_region_r_range(&low, &high, part, 0.15));
    assert_near(low, 0, 1e-12);
    assert_near(high, 0.055, 0.05 * (1 - cos(pi / 64)) + 2e-5);
    sw_region_free(part);
    sw_region_free(gouge);
    sw_region_free(shape);
    sw_region_free(bar);
    bench_free(&b);
}

struct refusal {
    long left;
    long n_blocks;
};

static void *refuse(void *user, void *block, size_t old_size, size_t new_size)
{
    struct refusal *refusal = user;
    (void)old_size;
    if (new_size == 0) {
        refusal->n_blocks -= block != NULL;
        free(block);
        return NULL;
    }
    if (refusal->left == 0)
        return NULL;
    if (refusal->left > 0)
        refusal->left--;
    void *fresh = realloc(block, new_size);
    refusal->n_blocks += block == NULL && fresh != NULL;
    return fresh;
}

static enum sw_status use_everything(struct sw_ctx *ctx)
{
    struct sw_kernel *kernel = sw_kernel_new(ctx);
    struct sw_region *p = NULL, *q = NULL, *r = NULL, *s = NULL;
    struct sw_rings rings;
    const struct sw_pt tri[] = {{0, 0}, {4, 0}, {0, 3}};
    enum sw_status status = SW_MEMORY;
    if (!kernel)
        goto out;
    if ((status = sw_region_from_points(&p, kernel, tri, 3)) != SW_OK ||
        (status = sw_region_from_box(&q, kernel, (struct sw_box){1, -1, 2, 1})) != SW_OK ||
        (status = sw_region_minus(&r, p, q)) != SW_OK ||
        (status = sw_region_piece(&s, r, 0)) != SW_OK ||
        (status = sw_region_rings(&rings, s, ctx)) != SW_OK)
        goto out;
out:
    sw_region_free(p);
    sw_region_free(q);
    sw_region_free(r);
    sw_region_free(s);
    sw_kernel_free(kernel);
    return status;
}

static void a_refused_block_is_reported_and_nothing_leaks(void **state)
{
    (void)state;
    for (long nth = 0;; nth++) {
        assert_true(nth < 500);
        struct sw_ctx ctx = sw_test_ctx();
        struct refusal refusal = {nth, 0};
        const struct sw_mem_hook hook = {refuse, &refusal};
        sw_mem_set_hook(&hook);
        struct sw_ctx inner = {sw_arena_new(), ctx.diag};
        const enum sw_status status = inner.arena ? use_everything(&inner) : SW_MEMORY;
        sw_arena_free(inner.arena);
        sw_mem_set_hook(NULL);
        assert_int_equal(refusal.n_blocks, 0);
        sw_test_ctx_free(&ctx);
        if (status == SW_OK)
            break;
        assert_int_equal(status, SW_MEMORY);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sets_add_up),
        cmocka_unit_test(touching_is_not_overlapping_and_leaves_no_lines),
        cmocka_unit_test(slivers_of_the_overlay_are_dropped),
        cmocka_unit_test(a_hull_is_the_sweep_of_a_convex_tool),
        cmocka_unit_test(random_hulls_hold_their_points_and_are_convex),
        cmocka_unit_test(outlines_come_in_either_sense_and_must_be_simple),
        cmocka_unit_test(pieces_are_ordered_by_place),
        cmocka_unit_test(holes_are_told_from_outlines),
        cmocka_unit_test(the_range_of_r_is_found_on_any_line),
        cmocka_unit_test(depth_is_measured_to_the_curve),
        cmocka_unit_test(no_sample_is_deeper_than_the_depth),
        cmocka_unit_test(cutting_away_a_staff_move_by_move_leaves_it),
        cmocka_unit_test(a_refused_block_is_reported_and_nothing_leaks),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
