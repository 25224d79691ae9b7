/* What a shop owns for the work by hand, and what is chosen from it. The figures of the beds are
 * bench practice, no source; the rest is derived. */
#include <string.h>

#include "shop/bench.h"
#include "support/near.h"

static struct sw_ctx new_ctx(void)
{
    return (struct sw_ctx){sw_arena_new(), sw_diag_new()};
}

static void free_ctx(struct sw_ctx *ctx)
{
    sw_diag_free(ctx->diag);
    sw_arena_free(ctx->arena);
}

static void read_bench(struct sw_shop_bench *bench, const char *text, struct sw_ctx *ctx)
{
    struct sw_node *root = NULL;
    assert_int_equal(sw_node_parse(&root, "bench.yaml", text, strlen(text), ctx), SW_OK);
    assert_int_equal(sw_table_read(bench, &sw_bench_table, root, ctx), SW_OK);
}

static bool holds(double finished, double bed)
{
    const struct sw_bed_window window = sw_bed_window(finished);
    return bed >= window.least - 1e-9 && bed <= window.most + 1e-9;
}

static void a_bed_is_below_the_finished_pivot_as_the_bench_has_it(void **state)
{
    (void)state;
    assert_true(holds(0.135, 0.13)); /* both examples of the bench */
    assert_true(holds(0.25, 0.22) && holds(0.25, 0.20));
    assert_false(holds(0.135, 0.14) || holds(0.135, 0.135));
    assert_false(holds(0.25, 0.24) || holds(0.25, 0.19));
    /* By hundredths there is always one. */
    for (int i = 0; i < 40; i++) {
        const double d = 0.06 + 0.0025 * i;
        int n = 0;
        for (int k = 1; k < 40; k++)
            n += holds(d, 0.01 * k);
        assert_true(n >= 1 && n <= 2);
    }
}

static void the_table_of_beds_is_asked_for_the_largest_that_is_low_enough(void **state)
{
    (void)state;
    struct sw_ctx ctx = new_ctx();
    struct sw_shop_bench bench;
    read_bench(&bench, "beds: [0.08, 9 hundredths, 0.10, 0.11, 0.12]", &ctx);
    struct sw_bed_window window = sw_bed_window(0.1085);
    assert_near(sw_bench_largest(&bench.beds, window.least, window.most), 0.10, 1e-12);
    window = sw_bed_window(0.16);
    assert_near(sw_bench_largest(&bench.beds, window.least, window.most), 0, 1e-12);
    assert_near(sw_bench_smallest(&bench.beds, 0.085, 0.2), 0.09, 1e-12);
    assert_near(sw_bench_smallest(&bench.stakes, 0, 9), 0, 1e-12);
    free_ctx(&ctx);
}

static void gauges_on_both_sides_of_a_size_are_found_in_all_sets(void **state)
{
    (void)state;
    struct sw_ctx ctx = new_ctx();
    struct sw_shop_bench bench;
    read_bench(&bench,
               "pins:\n  - {from: 0.06, to: 0.20, step: 0.002}\n  - {from: 0.2, to: 1.005}\n"
               "jewels: [{from: 0.10, to: 0.12}]",
               &ctx);
    assert_near(sw_gauge_below(&bench.pins, 0.121), 0.12, 1e-9);
    assert_near(sw_gauge_above(&bench.pins, 0.121), 0.122, 1e-9);
    /* A gauge of the very size is below, not above. */
    assert_near(sw_gauge_below(&bench.pins, 0.12), 0.12, 1e-9);
    assert_near(sw_gauge_above(&bench.pins, 0.12), 0.122, 1e-9);
    assert_near(sw_gauge_above(&bench.pins, 0.199), 0.2, 1e-9);
    /* The last is the last whole step. */
    assert_near(sw_gauge_below(&bench.pins, 5), 1.0, 1e-9);
    assert_near(sw_gauge_above(&bench.pins, 1.0), 0, 1e-9);
    assert_near(sw_gauge_below(&bench.pins, 0.05), 0, 1e-9);
    assert_near(sw_gauge_above(&bench.pins, 0.05), 0.06, 1e-9);
    assert_near(sw_gauge_above(&bench.jewels, 0.1085), 0.11, 1e-9);
    assert_near(sw_gauge_below(&bench.jewels, 0.1085), 0.10, 1e-9);
    free_ctx(&ctx);
}

static void a_punch_is_chosen_by_face_and_hole(void **state)
{
    (void)state;
    struct sw_ctx ctx = new_ctx();
    struct sw_shop_bench bench;
    read_bench(&bench,
               "punches:\n  - {face: rounded, holes: [0.9, 0.8, 1.0]}\n  - {face: flat, holes: "
               "[0.85]}\nburnishers: [{name: b, edge: rounded}]",
               &ctx);
    assert_near(sw_bench_punch(&bench, SW_PUNCH_ROUNDED, 0.82, 1.2), 0.9, 1e-12);
    assert_near(sw_bench_punch(&bench, SW_PUNCH_FLAT, 0.82, 1.2), 0.85, 1e-12);
    assert_near(sw_bench_punch(&bench, SW_PUNCH_FLAT, 0.9, 1.2), 0, 1e-12);
    assert_non_null(sw_bench_burnisher(&bench, SW_BURNISHER_ROUNDED));
    assert_null(sw_bench_burnisher(&bench, SW_BURNISHER_SQUARE));
    free_ctx(&ctx);
}

static void the_table_is_sound(void **state)
{
    (void)state;
    struct sw_ctx ctx = new_ctx();
    assert_int_equal(sw_table_check(&sw_bench_table, &ctx), SW_OK);
    free_ctx(&ctx);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_bed_is_below_the_finished_pivot_as_the_bench_has_it),
        cmocka_unit_test(the_table_of_beds_is_asked_for_the_largest_that_is_low_enough),
        cmocka_unit_test(gauges_on_both_sides_of_a_size_are_found_in_all_sets),
        cmocka_unit_test(a_punch_is_chosen_by_face_and_hole),
        cmocka_unit_test(the_table_is_sound),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
