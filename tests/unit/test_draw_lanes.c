/* Lanes and spreading: nothing overlaps, whatever comes. */
#include <math.h>

#include "draw/lanes.h"
#include "support/near.h"

enum { ROUNDS = 2000, MOST = 24 };

/* A plain generator of our own, so that a failure can be repeated. */
static double chance(uint32_t *seed)
{
    *seed = *seed * 1664525u + 1013904223u;
    return (*seed >> 8) / 16777216.0;
}

static void spans_of_one_lane_never_come_nearer_than_the_gap(void **state)
{
    (void)state;
    uint32_t seed = 7;
    for (int round = 0; round < ROUNDS; round++) {
        struct sw_lane_span span[MOST];
        size_t lane[MOST];
        const size_t n = 1 + (size_t)(chance(&seed) * (MOST - 1));
        const double gap = 3 * chance(&seed);
        for (size_t i = 0; i < n; i++) {
            span[i].from = 100 * chance(&seed);
            span[i].to = span[i].from + 40 * chance(&seed);
        }
        const size_t n_lanes = sw_lanes_assign(lane, span, n, gap);
        for (size_t i = 0; i < n; i++) {
            assert_true(lane[i] < n_lanes);
            for (size_t k = 0; k < n; k++) {
                if (i == k)
                    continue;
                const int is_apart = span[i].to + gap <= span[k].from + 1e-12 ||
                                     span[k].to + gap <= span[i].from + 1e-12;
                assert_true(lane[i] != lane[k] || is_apart);
                /* What covers another lies outside of it. */
                if (span[i].from < span[k].from && span[k].to < span[i].to)
                    assert_true(lane[i] > lane[k]);
            }
        }
    }
}

static void lengths_in_a_row_share_one_lane(void **state)
{
    (void)state;
    const struct sw_lane_span span[] = {{0, 10}, {10, 25}, {25, 31}, {0, 31}};
    size_t lane[4];
    assert_int_equal(sw_lanes_assign(lane, span, 4, 0), 2);
    assert_int_equal(lane[0], 0);
    assert_int_equal(lane[1], 0);
    assert_int_equal(lane[2], 0);
    assert_int_equal(lane[3], 1);
}

static void labels_with_room_stay_where_they_want_to_be(void **state)
{
    (void)state;
    const double want[] = {10, 30, 50}, width[] = {8, 8, 8};
    double at[3], scratch[6];
    sw_lanes_spread(at, want, width, 3, 0, 100, scratch);
    for (int i = 0; i < 3; i++)
        assert_near(at[i], want[i], 1e-12);
}

static void labels_that_crowd_move_apart_about_their_middle(void **state)
{
    (void)state;
    /* Two of 10 that both want 50: 45 and 55, by symmetry. */
    const double want[] = {50, 50}, width[] = {10, 10};
    double at[2], scratch[4];
    sw_lanes_spread(at, want, width, 2, 0, 100, scratch);
    assert_near(at[0], 45, 1e-12);
    assert_near(at[1], 55, 1e-12);
    sw_lanes_spread(at, want, width, 2, 0, 56, scratch); /* a wall at 56 */
    assert_near(at[1], 51, 1e-12);
    assert_near(at[0], 41, 1e-12);
}

static double shifts(const double *at, const double *want, size_t n)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += (at[i] - want[i]) * (at[i] - want[i]);
    return sum;
}

static void spread_labels_never_overlap_and_no_small_change_is_better(void **state)
{
    (void)state;
    uint32_t seed = 11;
    for (int round = 0; round < ROUNDS; round++) {
        double want[MOST], width[MOST], at[MOST], scratch[2 * MOST];
        const size_t n = 1 + (size_t)(chance(&seed) * (MOST - 1));
        double place = 0;
        for (size_t i = 0; i < n; i++) {
            place += 12 * chance(&seed);
            want[i] = place;
            width[i] = 1 + 9 * chance(&seed);
        }
        const double low = -20, high = 320; /* room for all */
        sw_lanes_spread(at, want, width, n, low, high, scratch);
        for (size_t i = 0; i < n; i++) {
            assert_true(at[i] - width[i] / 2 >= low - 1e-9);
            assert_true(at[i] + width[i] / 2 <= high + 1e-9);
            if (i > 0)
                assert_true(at[i] - at[i - 1] >= (width[i] + width[i - 1]) / 2 - 1e-9);
        }
        /* Shifting any run of labels that may be shifted makes it worse. */
        const double least = shifts(at, want, n), step = 1e-4;
        for (size_t from = 0; from < n; from++)
            for (size_t to = from; to < n; to++)
                for (int sign = -1; sign <= 1; sign += 2) {
                    double other[MOST];
                    for (size_t i = 0; i < n; i++)
                        other[i] = at[i] + (i >= from && i <= to ? sign * step : 0);
                    int is_allowed =
                        other[0] - width[0] / 2 >= low && other[n - 1] + width[n - 1] / 2 <= high;
                    for (size_t i = 1; i < n; i++)
                        is_allowed &= other[i] - other[i - 1] >= (width[i] + width[i - 1]) / 2;
                    if (is_allowed)
                        assert_true(shifts(other, want, n) >= least - 1e-9);
                }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(spans_of_one_lane_never_come_nearer_than_the_gap),
        cmocka_unit_test(lengths_in_a_row_share_one_lane),
        cmocka_unit_test(labels_with_room_stay_where_they_want_to_be),
        cmocka_unit_test(labels_that_crowd_move_apart_about_their_middle),
        cmocka_unit_test(spread_labels_never_overlap_and_no_small_change_is_better),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
