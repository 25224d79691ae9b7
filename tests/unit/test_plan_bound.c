/* The lower bound of a way down against every series of passes of a small case, random series of
 * larger ones, and the search itself: none may be faster, and the best must come near. */
#include "plan/bound.h"
#include "support/near.h"

#include <math.h>
#include <stdlib.h>

/* A zone as mechanics makes it: what may be fed falls with depth and grows with the radius, metal
 * gets shorter towards the axis, and every pass is come back from. */
struct zone {
    struct sw_bound_way way;
    double strength, most_feed, speed, back_s, length, taper;
};

static double feed(const struct zone *zone, double r_old, double depth)
{
    if (depth <= 0)
        return zone->most_feed;
    return fmin(zone->most_feed, zone->strength * pow(r_old, 2) / depth);
}

static double length(const struct zone *zone, double r_new)
{
    return fmax(0, zone->length * (1 - zone->taper * (r_new - zone->way.r_to)));
}

/* What a pass really takes. */
static double pass_s(const struct zone *zone, double r_old, double r_new)
{
    return 60 * length(zone, r_new) / (feed(zone, r_old, r_old - r_new) * zone->speed) +
           zone->back_s;
}

/* The least it may take between two grains: the border above its begin, one grain less of depth,
 * and the least metal of the grain it ends in. */
static double least(void *user, size_t i, size_t j)
{
    const struct zone *zone = user;
    const struct sw_bound_way *way = &zone->way;
    const size_t n = sw_bound_grains(way);
    const double r_old = way->r_to + way->grain * (double)(n - i);
    const double r_new = way->r_to + way->grain * (double)(n - j);
    const double depth = way->grain * (double)(j - i - 1);
    const double r_low = j < n ? r_new - way->grain : r_new;
    return 60 * fmin(length(zone, r_new), length(zone, r_low)) /
               (feed(zone, r_old, depth) * zone->speed) +
           zone->back_s;
}

static struct zone some_zone(unsigned seed)
{
    srand(seed);
    const double of = 1.0 / RAND_MAX;
    struct zone zone = {.way = {.r_to = 0.04 + 0.2 * of * rand(),
                                .grain = 0.005,
                                .most_depth = 0.02 + 0.06 * of * rand(),
                                .least = least},
                        .strength = 0.002 + 0.02 * of * rand(),
                        .most_feed = 0.005,
                        .speed = 5000 + 3000 * of * rand(),
                        .back_s = 0.5 * of * rand(),
                        .length = 0.1 + of * rand(),
                        .taper = of * rand()};
    zone.way.r_from = zone.way.r_to + 0.03 + 0.2 * of * rand();
    return zone;
}

static double bound_of(struct zone *zone)
{
    struct sw_ctx ctx = sw_test_ctx();
    double seconds = 0;
    zone->way.user = zone;
    assert_int_equal(sw_bound_way_down(&seconds, &zone->way, &ctx), SW_OK);
    sw_test_ctx_free(&ctx);
    return seconds;
}

static void every_series(const struct zone *zone, double r, double so_far, double step,
                         double bound, double *best)
{
    if (r <= zone->way.r_to + 1e-12) {
        assert_true(so_far >= bound);
        *best = fmin(*best, so_far);
        return;
    }
    /* From where a rest thinner than half a step would be left, straight to the end. */
    for (double depth = step; depth <= zone->way.most_depth + 1e-12; depth += step) {
        const double r_new = r - depth < zone->way.r_to + step / 2 ? zone->way.r_to : r - depth;
        every_series(zone, r_new, so_far + pass_s(zone, r, r_new), step, bound, best);
        if (r_new <= zone->way.r_to)
            return;
    }
}

static void no_series_of_passes_of_a_small_case_is_faster(void **state)
{
    (void)state;
    for (unsigned seed = 1; seed <= 40; seed++) {
        struct zone zone = some_zone(seed);
        zone.way.r_from = zone.way.r_to + 0.049;
        zone.way.most_depth = 0.021;
        const double bound = bound_of(&zone);
        double best = HUGE_VAL;
        every_series(&zone, zone.way.r_from, 0, 0.0035, bound, &best);
        assert_true(bound > 0.5 * best);
    }
}

static void no_random_series_is_faster(void **state)
{
    (void)state;
    for (unsigned seed = 100; seed < 160; seed++) {
        struct zone zone = some_zone(seed);
        const double bound = bound_of(&zone);
        double best = HUGE_VAL;
        for (int k = 0; k < 3000; k++) {
            double r = zone.way.r_from, seconds = 0;
            /* Deep on the whole, or anything. */
            const double least_share = k % 2 ? 0.9 : 0.05;
            while (r > zone.way.r_to) {
                const double share = least_share + (1 - least_share) * rand() / RAND_MAX;
                double r_new = r - share * zone.way.most_depth;
                r_new = r_new < zone.way.r_to + 1e-6 ? zone.way.r_to : r_new;
                seconds += pass_s(&zone, r, r_new);
                r = r_new;
            }
            assert_true(seconds >= bound);
            best = fmin(best, seconds);
        }
        assert_true(bound > 0.5 * best);
    }
}

static double user_speed(void *user, double r)
{
    (void)r;
    return ((struct zone *)user)->speed;
}

static double user_length(void *user, double r)
{
    return length(user, r);
}

static bool is_allowed(void *user, double r_old, double depth, double f)
{
    return f <= feed(user, r_old, depth) + 1e-12;
}

static void nor_is_the_search_which_comes_within_a_third_of_it(void **state)
{
    (void)state;
    enum { N_FEEDS = 48 };
    for (unsigned seed = 200; seed < 260; seed++) {
        struct zone zone = some_zone(seed);
        const double bound = bound_of(&zone);
        double feeds[N_FEEDS];
        for (int k = 0; k < N_FEEDS; k++)
            feeds[k] = zone.most_feed * pow(1.08, k - (N_FEEDS - 1));
        const struct sw_schedule_case of = {.r_from = zone.way.r_from,
                                            .r_to = zone.way.r_to,
                                            .grain = 0.0025,
                                            .most_depth = zone.way.most_depth,
                                            .feed = feeds,
                                            .n_feeds = N_FEEDS,
                                            .back_s = zone.back_s,
                                            .speed = user_speed,
                                            .length = user_length,
                                            .is_allowed = is_allowed,
                                            .user = &zone};
        struct sw_ctx ctx = sw_test_ctx();
        struct sw_schedule found;
        assert_int_equal(sw_schedule_find(&found, &of, 1, 0, &ctx), SW_OK);
        assert_true(found.seconds >= bound);
        assert_true(bound > 0.66 * found.seconds);
        sw_test_ctx_free(&ctx);
    }
}

static void equal_passes_without_limits_are_counted_to_the_last(void **state)
{
    (void)state;
    struct zone zone = some_zone(1);
    zone.taper = 0;
    zone.strength = 1e9;
    zone.way.most_depth = 0.05;
    zone.way.r_from = zone.way.r_to + 0.24;
    /* Five of 0.05; rounded to the grid, a pass may look a grain deeper: 0.24 in 0.055 is five,
     * too. */
    assert_near_relative(bound_of(&zone),
                         5 * (60 * zone.length / (zone.most_feed * zone.speed) + zone.back_s),
                         1e-9);
}

static void where_the_last_may_go_on_it_is_left_out(void **state)
{
    (void)state;
    struct zone zone = some_zone(2);
    zone.taper = 0;
    zone.strength = 1e9;
    zone.way.most_depth = 0.05;
    zone.way.r_from = zone.way.r_to + 0.24;
    zone.way.may_end_lower = true;
    assert_near_relative(bound_of(&zone),
                         4 * (60 * zone.length / (zone.most_feed * zone.speed) + zone.back_s),
                         1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_series_of_passes_of_a_small_case_is_faster),
        cmocka_unit_test(no_random_series_is_faster),
        cmocka_unit_test(nor_is_the_search_which_comes_within_a_third_of_it),
        cmocka_unit_test(equal_passes_without_limits_are_counted_to_the_last),
        cmocka_unit_test(where_the_last_may_go_on_it_is_left_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
