/* Does a body meet material before the edge has taken it? Squares along lines and arcs, where the
 * answer can be seen. */
#include <math.h>
#include <stdlib.h>

#include "sim/ahead.h"
#include "support/near.h"

static struct sw_convex box(struct sw_pt *points, double z0, double r0, double z1, double r1)
{
    points[0] = (struct sw_pt){z0, r0};
    points[1] = (struct sw_pt){z1, r0};
    points[2] = (struct sw_pt){z1, r1};
    points[3] = (struct sw_pt){z0, r1};
    return (struct sw_convex){points, 4};
}

/* EDGE is the unit square; the body stands DZ, DR from it in the direction given. */
static bool meets(struct sw_box work, struct sw_convex body, struct sw_sweep sweep)
{
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_kernel *kernel = sw_kernel_new(&ctx);
    struct sw_region *before = NULL;
    assert_non_null(kernel);
    assert_int_equal(sw_region_from_box(&before, kernel, work), SW_OK);
    struct sw_pt points[4], place = {0, 0};
    const struct sw_convex edge = box(points, 0, 0, 1, 1);
    bool out = false;
    assert_int_equal(sw_sim_ahead(&out, &place, before, &edge, &sweep, &body, &sweep, &ctx), SW_OK);
    if (out) {
        assert_true(place.z >= work.z0 && place.z <= work.z1);
        assert_true(place.r >= work.r0 && place.r <= work.r1);
    }
    sw_region_free(before);
    sw_kernel_free(kernel);
    sw_test_ctx_free(&ctx);
    return out;
}

static void along_a_line_only_a_body_that_leads_meets_what_the_edge_takes(void **state)
{
    (void)state;
    struct sw_pt p[4];
    const struct sw_box slab = {3, 0, 3.2, 1};
    const struct sw_sweep on = {.from = {0, 0}, .to = {10, 0}},
                          back = {.from = {10, 0}, .to = {0, 0}};
    assert_true(meets(slab, box(p, 1.2, 0, 1.5, 1), on));
    assert_true(meets(slab, box(p, 0.5, 0.5, 1.1, 2), on)); /* the half that is in the way */
    assert_false(meets(slab, box(p, -0.5, 0, -0.1, 1), on));
    assert_false(meets(slab, box(p, 0.1, 0.1, 0.9, 3), on)); /* behind the front of the edge */
    assert_true(meets(slab, box(p, -0.5, 0, -0.1, 1), back));
    assert_false(meets(slab, box(p, 1.2, 0, 1.5, 1), back));
    /* it never comes so far */
    assert_false(meets((struct sw_box){11.6, 0, 12, 1}, box(p, 1.2, 0, 1.5, 1), on));
    /* a lead thinner than a contact is the body's own front in line with the edge */
    assert_false(meets(slab, box(p, 0.5, 0, 1 + SW_WORK_TOUCH / 2, 1), on));
}

static void across_a_slanting_line_too(void **state)
{
    (void)state;
    struct sw_pt p[4];
    const struct sw_sweep slant = {.from = {0, 0}, .to = {6, 6}};
    const struct sw_box work = {4, 4, 4.3, 4.3};
    assert_true(meets(work, box(p, 1.2, 1.2, 1.5, 1.5), slant));
    assert_false(meets(work, box(p, -0.5, -0.5, -0.2, -0.2), slant));
}

static void along_an_arc_what_the_edge_took_before_counts_as_gone(void **state)
{
    (void)state;
    struct sw_pt p[4];
    /* a quarter about (0, 10) from the lowest point towards +z: at first along +z */
    const struct sw_sweep arc = {.is_arc = true,
                                 .from = {0, 0},
                                 .to = {10, 10},
                                 .centre = {0, 10},
                                 .radius_from = 10,
                                 .radius_to = 10,
                                 .turn = 1};
    const struct sw_box work = {3, 0.6, 3.1, 1.2};
    assert_true(meets(work, box(p, 1.2, 0, 1.5, 1), arc));
    assert_false(meets(work, box(p, -0.5, 0.2, -0.2, 0.8), arc));
}

struct teller {
    size_t n, fail;
    long held;
};

static void *resize(void *user, void *block, size_t old_size, size_t new_size)
{
    struct teller *teller = user;
    if (new_size == 0) {
        free(block);
        teller->held -= (long)old_size;
        return NULL;
    }
    if (++teller->n == teller->fail)
        return NULL;
    void *made = realloc(block, new_size);
    if (made != NULL)
        teller->held += (long)new_size - (long)old_size;
    return made;
}

static void whatever_allocation_fails_nothing_is_lost(void **state)
{
    (void)state;
    const struct sw_sweep sweep[] = {{.from = {0, 0}, .to = {10, 0}},
                                     {.is_arc = true,
                                      .from = {0, 0},
                                      .to = {0.1, 0.1},
                                      .centre = {0, 0.1},
                                      .radius_from = 0.1,
                                      .radius_to = 0.1,
                                      .turn = 1}};
    for (int kind = 0; kind < 2; kind++) {
        struct sw_ctx ctx = sw_test_ctx();
        struct sw_kernel *kernel = sw_kernel_new(&ctx);
        struct sw_region *before = NULL;
        const struct sw_box work = {3, 0, 3.2, 1};
        assert_int_equal(sw_region_from_box(&before, kernel, work), SW_OK);
        struct sw_pt p[4], q[4], place;
        const struct sw_convex edge = box(p, 0, 0, 1, 1), body = box(q, 1.2, 0, 1.5, 1);
        struct teller teller = {0};
        const struct sw_mem_hook hook = {resize, &teller};
        size_t n_all = 1;
        for (size_t fail = 0; fail <= n_all; fail++) {
            teller = (struct teller){.fail = fail};
            bool out = false;
            sw_mem_set_hook(&hook);
            const enum sw_status status =
                sw_sim_ahead(&out, &place, before, &edge, &sweep[kind], &body, &sweep[kind], &ctx);
            sw_mem_set_hook(NULL);
            if (fail == 0)
                n_all = teller.n;
            assert_int_equal(status, fail > 0 ? SW_MEMORY : SW_OK);
            assert_int_equal(teller.held, 0);
        }
        assert_true(n_all > 5);
        sw_region_free(before);
        sw_kernel_free(kernel);
        sw_test_ctx_free(&ctx);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(along_a_line_only_a_body_that_leads_meets_what_the_edge_takes),
        cmocka_unit_test(across_a_slanting_line_too),
        cmocka_unit_test(whatever_allocation_fails_nothing_is_lost),
        cmocka_unit_test(along_an_arc_what_the_edge_took_before_counts_as_gone),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
