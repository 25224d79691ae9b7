/* Chains: sizes, placing, rounding, flattening; and what happens without memory. */
#include "geom/contour.h"

#include <stdlib.h>

#include "test_geom_shapes.h"

static const double pi = 3.14159265358979323846;

static void a_chain_knows_whether_it_is_joined_and_closed(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_contour c = {0};
    assert_true(sw_contour_is_joined(&c));
    assert_false(sw_contour_is_closed(&c));
    add_start(&ctx, &c, pt(0, 0), pt(1, 0), 0);
    add_line(&ctx, &c, 1, 1, 0);
    assert_false(sw_contour_is_closed(&c));
    add_line(&ctx, &c, 0, 0.5e-9, 0);
    assert_true(sw_contour_is_closed(&c));
    add_start(&ctx, &c, pt(0, 1e-6), pt(3, 3), 0);
    assert_false(sw_contour_is_joined(&c));
    sw_test_ctx_free(&ctx);
}

static void area_length_and_box_of_a_half_moon(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_contour c = {0}; /* left half circle of radius 1, back along a line through (5, 5) */
    assert_true(sw_contour_add(ctx.arena, &c, sw_seg_arc(pt(5, 6), pt(5, 4), pt(5, 5), 1, 0)));
    add_line(&ctx, &c, 5, 6, 0);
    assert_near(sw_contour_area(&c), pi / 2, 1e-14);
    assert_near(sw_contour_length(&c), pi + 2, 1e-14);
    const struct sw_box box = sw_contour_box(&c);
    assert_near(box.z0, 4, 1e-15);
    assert_near(box.z1, 5, 1e-15);
    assert_near(box.r0, 4, 1e-15);
    assert_near(box.r1, 6, 1e-15);
    size_t seg = 9;
    assert_near(sw_contour_distance(&c, pt(7, 5), &seg), 2, 1e-15);
    assert_int_equal(seg, 1);
    sw_test_ctx_free(&ctx);
}

static void placing_twice_gives_the_chain_back(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_contour in = demo_staff(&ctx, true);
    struct sw_contour once, twice;
    assert_int_equal(sw_contour_place(&once, &in, -1, 4.32, &ctx), SW_OK);
    assert_true(sw_contour_is_joined(&once));
    assert_near(once.at[0].a.z, 0, 1e-15);
    assert_int_equal(once.at[0].tag, 18);
    assert_int_equal(once.at[0].turn, -1); /* a dome stays a dome */
    assert_int_equal(sw_contour_place(&twice, &once, -1, 4.32, &ctx), SW_OK);
    assert_int_equal(twice.n, in.n);
    for (size_t i = 0; i < in.n; i++) {
        assert_near(sw_pt_distance(twice.at[i].b, in.at[i].b), 0, 1e-14);
        assert_int_equal(twice.at[i].turn, in.at[i].turn);
    }
    assert_int_equal(sw_contour_place(&once, &in, 1, -2, &ctx), SW_OK);
    assert_near(once.at[0].a.z, -2, 0);
    assert_int_equal(sw_contour_place(&once, &in, 2, 0, &ctx), SW_INTERNAL);
    sw_test_ctx_free(&ctx);
}

static void swapping_keeps_the_material_on_the_right(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_contour in = {0}, view;
    add_start(&ctx, &in, pt(0, 0), pt(0, 1), 0);
    add_arc(&ctx, &in, 1, 2, 1, 1, -1, 1); /* a quarter round over the corner (0, 2) */
    add_line(&ctx, &in, 3, 2, 2);
    add_line(&ctx, &in, 3, 0, 3);
    add_line(&ctx, &in, 0, 0, 4);
    assert_int_equal(sw_contour_swap(&view, &in, &ctx), SW_OK);
    assert_true(sw_contour_is_closed(&view));
    assert_near(sw_contour_area(&in), -(6 - 1 + pi / 4), 1e-14);
    assert_near(sw_contour_area(&view), sw_contour_area(&in), 1e-14);
    struct sw_contour back;
    assert_int_equal(sw_contour_swap(&back, &view, &ctx), SW_OK);
    for (size_t i = 0; i < in.n; i++)
        assert_near(sw_pt_distance(back.at[i].a, in.at[i].a), 0, 0);
    sw_test_ctx_free(&ctx);
}

/* Of a staff's half, of circles, of lines that run back: place by place as asked for alone. */
static void samples_are_what_each_place_has(void **state)
{
    (void)state;
    enum { N = 997 };
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_contour c = {0};
    add_start(&ctx, &c, pt(0, 0), pt(0, 0.05), 0);
    add_line(&ctx, &c, 0.3, 0.05, 0);
    assert_true(sw_contour_add(ctx.arena, &c,
                               sw_seg_arc(pt(0.3, 0.05), pt(0.5, 0.25), pt(0.3, 0.25), 1, 0)));
    add_line(&ctx, &c, 0.5, 0.4, 0);
    add_line(&ctx, &c, 0.8, 0.4, 0);
    assert_true(
        sw_contour_add(ctx.arena, &c, sw_seg_arc(pt(0.8, 0.4), pt(0.8, 0.8), pt(0.8, 0.6), -1, 0)));
    add_line(&ctx, &c, 0.7, 0.9, 0); /* runs back */
    add_line(&ctx, &c, 1.5, 0.9, 0);
    add_start(&ctx, &c, pt(1.7, 0.9), pt(2, 0.1), 0); /* a gap */
    double r[N];
    for (int k = 0; k < 3; k++) {
        const double from[3] = {-0.1, 0, 0.3}, step[3] = {0.0022, 0.0025, 0.0005};
        sw_contour_sample(r, &c, from[k], step[k], N);
        size_t n_hit = 0;
        for (size_t i = 0; i < N; i++) {
            double one = 0;
            const bool is_hit = sw_contour_r_at(&one, &c, from[k] + (double)i * step[k]);
            assert_int_equal(is_hit, !isnan(r[i]));
            if (is_hit)
                assert_near(r[i], one, 0);
            n_hit += is_hit;
        }
        assert_true(n_hit > N / 2);
    }
    sw_test_ctx_free(&ctx);
}

static void the_largest_r_at_a_place_is_found(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_contour in = demo_staff(&ctx, true);
    double r = -1;
    assert_true(sw_contour_r_at(&r, &in, 0.1));
    assert_near(r, 0.055, 1e-15);
    assert_true(sw_contour_r_at(&r, &in, 0.82)); /* top of the shoulder */
    assert_near(r, 0.37, 1e-15);
    assert_true(sw_contour_r_at(&r, &in, 1.455)); /* three values there */
    assert_near(r, 0.58, 1e-15);
    assert_true(sw_contour_r_at(&r, &in, 0)); /* the tip */
    assert_near(r, 0, 1e-12);
    assert_true(sw_contour_r_at(&r, &in, 0.01));
    assert_near(r, sqrt(0.085625 * 0.085625 - 0.075625 * 0.075625), 1e-14);
    assert_false(sw_contour_r_at(&r, &in, -0.001));
    assert_false(sw_contour_r_at(&r, &in, 4.33));
    sw_test_ctx_free(&ctx);
}

/* The arc touches both neighbours: joined, and no change of direction at either end. */
static void assert_is_smooth(const struct sw_contour *c, size_t i)
{
    for (size_t k = i; k < i + 2; k++) {
        const struct sw_pt u = sw_seg_direction(&c->at[k], 1);
        const struct sw_pt v = sw_seg_direction(&c->at[k + 1], 0);
        assert_near(sw_pt_distance(c->at[k].b, c->at[k + 1].a), 0, 1e-15);
        assert_near(u.z * v.r - u.r * v.z, 0, 1e-9);
        assert_true(u.z * v.z + u.r * v.r > 0);
    }
}

static void a_square_corner_is_rounded(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_contour c = {0};
    add_start(&ctx, &c, pt(0, 1), pt(2, 1), 0);
    add_line(&ctx, &c, 2, 3, 1);
    add_line(&ctx, &c, 4, 3, 2);
    assert_int_equal(sw_contour_round(&c, 0, 0.1, 7, &ctx), SW_OK);
    assert_int_equal(c.n, 4);
    assert_int_equal(c.at[1].tag, 7);
    assert_int_equal(c.at[1].turn, 1);
    assert_near(sw_pt_distance(c.at[1].c, pt(1.9, 1.1)), 0, 1e-15);
    assert_near(sw_seg_radius(&c.at[1]), 0.1, 1e-15);
    assert_is_smooth(&c, 0);
    assert_int_equal(sw_contour_round(&c, 2, 0.2, 8, &ctx), SW_OK);
    assert_int_equal(c.at[3].turn, -1);
    assert_is_smooth(&c, 2);
    assert_near(sw_pt_distance(c.at[4].b, pt(4, 3)), 0, 0);
    sw_test_ctx_free(&ctx);
}

static void corners_between_lines_and_arcs_are_rounded(void **state)
{
    (void)state;
    uint64_t seed = 1234;
    print_message("seed %llu\n", (unsigned long long)seed);
    int n_rounded = 0;
    for (int round = 0; round < 400; round++) {
        struct sw_ctx ctx = sw_test_ctx();
        struct sw_contour c = random_profile(&ctx, &seed);
        const size_t i = (size_t)random_below(&seed, (int)c.n - 1);
        const double radius = random_between(&seed, 0.002, 0.2);
        const double length = sw_contour_length(&c);
        const struct sw_seg before = c.at[i], after = c.at[i + 1];
        const size_t n = c.n;
        const enum sw_status status = sw_contour_round(&c, i, radius, 99, &ctx);
        if (status == SW_OK) {
            n_rounded++;
            assert_int_equal(c.n, n + 1);
            assert_is_smooth(&c, i);
            assert_near(sw_seg_radius(&c.at[i + 1]), radius, 1e-9);
            assert_true(sw_contour_length(&c) < length);
            double d; /* what is left of the neighbours lies on them */
            sw_seg_nearest(&before, sw_seg_at(&c.at[i], 0.5), &d);
            assert_near(d, 0, 1e-9);
            sw_seg_nearest(&after, sw_seg_at(&c.at[i + 2], 0.5), &d);
            assert_near(d, 0, 1e-9);
            assert_true(sw_seg_length(&c.at[i]) >= sw_seg_length(&before) / 2 - 1e-8);
            assert_true(sw_seg_length(&c.at[i + 2]) >= sw_seg_length(&after) / 2 - 1e-8);
        } else {
            assert_int_equal(status, SW_CANNOT);
            assert_int_equal(c.n, n);
            assert_near(sw_contour_length(&c), length, 0);
        }
        sw_test_ctx_free(&ctx);
    }
    assert_true(n_rounded > 150);
}

static void what_does_not_fit_is_refused_and_left_alone(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_contour c = {0};
    add_start(&ctx, &c, pt(0, 1), pt(2, 1), 0);
    add_line(&ctx, &c, 2, 1.5, 1);
    assert_int_equal(sw_contour_round(&c, 0, 0.26, 7, &ctx), SW_CANNOT);
    assert_int_equal(c.n, 2);
    assert_int_equal(sw_contour_round(&c, 0, 0.25, 7, &ctx), SW_OK);     /* exactly half */
    assert_int_equal(sw_contour_round(&c, 0, 0.01, 7, &ctx), SW_CANNOT); /* smooth by now */
    assert_int_equal(sw_contour_round(&c, 2, 0.01, 7, &ctx), SW_INTERNAL);
    sw_test_ctx_free(&ctx);
}

static double side_of(struct sw_pt a, struct sw_pt b, struct sw_pt p)
{
    return ((b.z - a.z) * (p.r - a.r) - (b.r - a.r) * (p.z - a.z)) / sw_pt_distance(a, b);
}

/* Largest distance of the polyline from the contour and of the contour from the polyline. */
static double deviation(const struct sw_contour *c, const struct sw_pt *p, size_t n)
{
    double worst = 0;
    enum { STEPS = 10 };
    for (size_t i = 0; i + 1 < n; i++)
        for (int k = 0; k <= STEPS; k++) {
            const double t = (double)k / STEPS;
            const struct sw_pt q =
                pt(p[i].z + t * (p[i + 1].z - p[i].z), p[i].r + t * (p[i + 1].r - p[i].r));
            worst = fmax(worst, sw_contour_distance(c, q, NULL));
        }
    return worst;
}

static void chords_keep_to_their_side_and_error(void **state)
{
    (void)state;
    uint64_t seed = 8080;
    print_message("seed %llu\n", (unsigned long long)seed);
    for (int round = 0; round < 120; round++) {
        struct sw_ctx ctx = sw_test_ctx();
        struct sw_contour c = {0};
        const struct sw_pt a = pt(random_between(&seed, 0, 1), random_between(&seed, 0, 1));
        const struct sw_pt b = pt(random_between(&seed, 0, 1), random_between(&seed, 0, 1));
        const double radius = sw_pt_distance(a, b) * random_between(&seed, 0.501, 5);
        struct sw_seg arc = arc_by_radius(a, b, radius, random_below(&seed, 2) ? 1 : -1, 0);
        if (random_below(&seed, 2))
            arc.turn = -arc.turn;
        assert_true(sw_contour_add(ctx.arena, &c, arc));
        const double chord = exp(random_between(&seed, log(1e-5), log(1)));
        double length[3];
        for (int side = -1; side <= 1; side++) {
            struct sw_pt *p;
            size_t n;
            assert_int_equal(sw_contour_flatten(&p, &n, &c, chord, side, &ctx), SW_OK);
            assert_near(sw_pt_distance(p[0], a), 0, 0);
            assert_near(sw_pt_distance(p[n - 1], b), 0, 0);
            assert_true(deviation(&c, p, n) <= chord * (1 + 1e-9) + 1e-12);
            length[side + 1] = 0;
            for (size_t i = 0; i + 1 < n; i++) {
                length[side + 1] += sw_pt_distance(p[i], p[i + 1]);
                /* Whether the arc's nearest point is on the other side of the chord. */
                const struct sw_pt mid = pt((p[i].z + p[i + 1].z) / 2, (p[i].r + p[i + 1].r) / 2);
                const double t = sw_seg_nearest(&arc, mid, NULL);
                const double left = side_of(p[i], p[i + 1], sw_seg_at(&arc, t));
                if (side != 0)
                    assert_true(side * left <= 1e-12);
            }
        }
        const double exact = sw_seg_length(&arc);
        assert_true(length[1] <= exact + 1e-12);
        /* left of an arc that turns left is its inside */
        assert_true(arc.turn > 0 ? length[2] <= exact + 1e-12 : length[2] >= exact - 1e-12);
        assert_true(arc.turn > 0 ? length[0] >= exact - 1e-12 : length[0] <= exact + 1e-12);
        sw_test_ctx_free(&ctx);
    }
}

static void a_closed_contour_gives_a_closed_polyline(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_contour c = {0};
    assert_true(sw_contour_add(ctx.arena, &c, sw_seg_arc(pt(1, 0), pt(1, 0), pt(0, 0), 1, 0)));
    struct sw_pt *p;
    size_t n;
    assert_int_equal(sw_contour_flatten(&p, &n, &c, 1e-4, 0, &ctx), SW_OK);
    assert_near(sw_pt_distance(p[0], p[n - 1]), 0, 0);
    /* pi / acos(1 - 1e-4) = 222.1 chords */
    assert_int_equal(n, 224);
    assert_int_equal(sw_contour_flatten(&p, &n, &c, 0, 0, &ctx), SW_INTERNAL);
    assert_int_equal(sw_contour_flatten(&p, &n, &c, 1, 2, &ctx), SW_INTERNAL);
    struct sw_contour none = {0};
    assert_int_equal(sw_contour_flatten(&p, &n, &none, 1, 0, &ctx), SW_OK);
    assert_int_equal(n, 0);
    sw_test_ctx_free(&ctx);
}

/* The n-th request for memory is refused; -1: none. */
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

static enum sw_status use_everything(struct sw_ctx *ctx, const struct sw_contour *in)
{
    struct sw_contour off, env, up, piece, placed, swapped;
    struct sw_intervals below;
    struct sw_pt *p;
    size_t n;
    SW_TRY(sw_contour_offset(&off, in, 0.05, ctx));
    SW_TRY(sw_contour_envelope(&env, &off, 2, 1, ctx));
    SW_TRY(sw_contour_upper(&up, &env, &env, ctx));
    SW_TRY(sw_contour_below(&below, &up, 0.3, ctx));
    SW_TRY(sw_contour_piece(&piece, &up, 1, 2, ctx));
    SW_TRY(sw_contour_place(&placed, in, 1, 0, ctx));
    SW_TRY(sw_contour_swap(&swapped, &placed, ctx));
    SW_TRY(sw_contour_round(&placed, 3, 0.01, 1, ctx)); /* foot of a shoulder */
    SW_TRY(sw_contour_flatten(&p, &n, in, 1e-3, 1, ctx));
    return SW_OK;
}

static void a_refused_block_is_reported_and_nothing_leaks(void **state)
{
    (void)state;
    for (long nth = 0;; nth++) {
        assert_true(nth < 5000);
        struct sw_ctx ctx = sw_test_ctx();
        const struct sw_contour in = demo_staff(&ctx, true);
        struct refusal refusal = {nth, 0};
        const struct sw_mem_hook hook = {refuse, &refusal};
        struct sw_ctx inner = ctx;
        sw_mem_set_hook(&hook);
        inner.arena = sw_arena_new();
        const enum sw_status status = inner.arena ? use_everything(&inner, &in) : SW_MEMORY;
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
        cmocka_unit_test(a_chain_knows_whether_it_is_joined_and_closed),
        cmocka_unit_test(area_length_and_box_of_a_half_moon),
        cmocka_unit_test(placing_twice_gives_the_chain_back),
        cmocka_unit_test(swapping_keeps_the_material_on_the_right),
        cmocka_unit_test(samples_are_what_each_place_has),
        cmocka_unit_test(the_largest_r_at_a_place_is_found),
        cmocka_unit_test(a_square_corner_is_rounded),
        cmocka_unit_test(corners_between_lines_and_arcs_are_rounded),
        cmocka_unit_test(what_does_not_fit_is_refused_and_left_alone),
        cmocka_unit_test(chords_keep_to_their_side_and_error),
        cmocka_unit_test(a_closed_contour_gives_a_closed_polyline),
        cmocka_unit_test(a_refused_block_is_reported_and_nothing_leaks),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
