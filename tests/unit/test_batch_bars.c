/* Bar plans: counts of the trade, and the search against trying everything. */
#include "support/near.h"

#include <math.h>

#include "batch/bars.h"

/* Common practice (remnants from memory), counts worked out by hand. Pitch 4.8: staff 4.0, parting
 * 0.6, facing 0.2. */
static void bars_give_the_counts_worked_out_by_hand(void **state)
{
    (void)state;
    assert_int_equal(sw_bar_pieces(100, 15, 4.8), 17);
    assert_int_equal(sw_bar_pieces(100, 15, 6.3), 13);
    assert_int_equal(sw_bar_pieces(1000, 80, 4.8), 191);
    assert_int_equal(sw_bar_pieces(2000, 150, 4.8), 385);
    assert_int_equal(sw_bar_pieces(3000, 200, 4.8), 583);
    assert_int_equal(sw_bar_pieces(10, 8, 4.8), 0);
}

static void a_bar_that_comes_out_even_loses_no_piece(void **state)
{
    (void)state;
    assert_int_equal(sw_bar_pieces(15 + 0.1 * 3, 15, 0.1), 3);
    assert_int_equal(sw_bar_pieces(15 + 17 * 4.8, 15, 4.8), 17);
}

static unsigned next(unsigned *seed, unsigned below)
{
    *seed = *seed * 1664525u + 1013904223u;
    return (*seed >> 16) % below;
}

/* All ways of giving each piece a bar, where bar I may be of any kind: nothing is left out. */
struct all {
    const struct sw_bar_kind *kind;
    size_t n_kinds;
    double pitch[6];
    size_t n;
    double left[6];
    size_t used[3];
    double best;
};

static void try_all(struct all *all, size_t i, size_t n_bars, double taken)
{
    if (i == all->n) {
        all->best = fmin(all->best, taken);
        return;
    }
    for (size_t b = 0; b < n_bars; b++)
        if (all->left[b] + 1e-9 >= all->pitch[i]) {
            all->left[b] -= all->pitch[i];
            try_all(all, i + 1, n_bars, taken);
            all->left[b] += all->pitch[i];
        }
    for (size_t k = 0; k < all->n_kinds; k++) {
        const double room = all->kind[k].length - all->kind[k].remnant;
        if (all->used[k] == all->kind[k].have || room + 1e-9 < all->pitch[i])
            continue;
        all->used[k]++;
        all->left[n_bars] = room - all->pitch[i];
        try_all(all, i + 1, n_bars + 1, taken + all->kind[k].length);
        all->used[k]--;
    }
}

static void the_plan_takes_as_little_bar_as_trying_everything_finds(void **state)
{
    (void)state;
    size_t refused = 0;
    for (unsigned seed = 1; seed <= 400; seed++) {
        struct sw_ctx ctx = sw_test_ctx();
        unsigned s = seed;
        struct sw_bar_kind kind[3];
        struct sw_bar_want want[3];
        struct all all = {.kind = kind, .best = INFINITY};
        all.n_kinds = 1 + next(&s, 3);
        for (size_t k = 0; k < all.n_kinds; k++)
            kind[k] = (struct sw_bar_kind){20 + next(&s, 30), 5, next(&s, 4)};
        const size_t n_wants = 1 + next(&s, 3);
        for (size_t w = 0; w < n_wants; w++) {
            want[w] = (struct sw_bar_want){4 + 0.5 * next(&s, 20), 1 + next(&s, 2)};
            for (size_t i = 0; i < want[w].n; i++)
                all.pitch[all.n++] = want[w].pitch;
        }
        try_all(&all, 0, 0, 0);
        struct sw_bar_plan plan;
        const enum sw_status status = sw_bar_plan(&plan, kind, all.n_kinds, want, n_wants, &ctx);
        if (all.best == (double)INFINITY) {
            assert_int_equal(status, SW_CANNOT);
            refused++;
        } else {
            assert_int_equal(status, SW_OK);
            assert_true(plan.is_least);
            assert_near(plan.taken, all.best, 1e-9);
            for (size_t w = 0; w < n_wants; w++) {
                size_t n = 0;
                for (size_t b = 0; b < plan.n; b++)
                    n += plan.bar[b].n[w];
                assert_int_equal(n, want[w].n);
            }
            for (size_t b = 0; b < plan.n; b++)
                assert_true(plan.bar[b].left >= 5 - 1e-9);
        }
        sw_test_ctx_free(&ctx);
    }
    assert_true(refused > 10 && refused < 300);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(bars_give_the_counts_worked_out_by_hand),
        cmocka_unit_test(a_bar_that_comes_out_even_loses_no_piece),
        cmocka_unit_test(the_plan_takes_as_little_bar_as_trying_everything_finds),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
