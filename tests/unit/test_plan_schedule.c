/* The search for the fastest schedule, against trying everything. */
#include "plan/schedule.h"
#include "support/near.h"

#include <math.h>
#include <stdlib.h>

static const double feeds[] = {0.001, 0.002, 0.003, 0.005, 0.008};
enum { N_FEEDS = sizeof feeds / sizeof *feeds };

/* A rule as mechanics gives them: force grows with depth and feed, what bears it shrinks with the
 * radius that is left. Monotone by construction. */
struct rule {
    double strength, depth_power, feed_power, radius_power, speed;
    size_t n_asked;
};

static bool is_allowed(void *user, double r_old, double depth, double feed)
{
    struct rule *rule = user;
    rule->n_asked++;
    const double force = pow(depth / 0.01, rule->depth_power) * pow(feed / 0.002, rule->feed_power);
    return force <= rule->strength * pow(r_old / 0.1, rule->radius_power);
}

static double speed(void *user, double r)
{
    const struct rule *rule = user;
    return fmin(8000, rule->speed / r);
}

static double length(void *user, double r)
{
    (void)user;
    return 0.3 + 0.1 * r; /* a sloping wall: longer further in or out */
}

static double seconds_of(const struct sw_schedule_case *of, double r_old, double depth, double feed)
{
    return 60.0 * length(NULL, r_old - depth) / (feed * speed(of->user, r_old)) + of->back_s;
}

/* Tries every way to divide the rest and every feed. */
static double try_all(const struct sw_schedule_case *of, size_t i, size_t n, double step)
{
    double best = HUGE_VAL;
    if (i == n)
        return 0;
    const double r_old = of->r_from - step * (double)i;
    for (size_t d = 1; i + d <= n; d++) {
        const double depth = step * (double)d;
        if (depth > of->most_depth + 1e-12 || (depth < of->least_depth - 1e-12 && i + d < n))
            continue;
        const double rest = try_all(of, i + d, n, step);
        for (size_t k = 0; k < of->n_feeds; k++)
            if (is_allowed(of->user, r_old, depth, of->feed[k]))
                best = fmin(best, seconds_of(of, r_old, depth, of->feed[k]) + rest);
    }
    return best;
}

static double between(unsigned *seed, double low, double high)
{
    *seed = *seed * 1103515245u + 12345u;
    return low + (high - low) * ((*seed >> 8) & 0xffff) / 65535.0;
}

static void no_way_of_dividing_is_faster(void **state)
{
    (void)state;
    unsigned seed = 20;
    print_message("seed %u\n", seed);
    size_t n_solved = 0, n_impossible = 0;
    for (int trial = 0; trial < 300; trial++) {
        struct sw_ctx ctx = sw_test_ctx();
        struct rule rule = {between(&seed, 0.02, 8),   between(&seed, 0.5, 1.2),
                            between(&seed, 0.5, 1.0),  between(&seed, 0, 4),
                            between(&seed, 300, 3000), 0};
        struct sw_schedule_case of = {.r_from = between(&seed, 0.15, 0.4),
                                      .r_to = 0.06,
                                      .grain = 0.01,
                                      .least_depth = trial % 3 ? 0 : 0.02,
                                      .most_depth = between(&seed, 0.02, 0.12),
                                      .feed = feeds,
                                      .n_feeds = N_FEEDS,
                                      .back_s = between(&seed, 0, 2),
                                      .speed = speed,
                                      .length = length,
                                      .is_allowed = is_allowed,
                                      .user = &rule};
        of.r_from = of.r_to + 0.01 * floor((of.r_from - of.r_to) / 0.01 / 2.5 + 1);
        const size_t n = (size_t)llround((of.r_from - of.r_to) / 0.01);
        const double best = try_all(&of, 0, n, (of.r_from - of.r_to) / (double)n);
        struct sw_schedule found;
        const enum sw_status status = sw_schedule_find(&found, &of, 1, 0, &ctx);
        if (isinf(best)) {
            assert_int_equal(status, SW_CANNOT);
            n_impossible++;
        } else {
            assert_int_equal(status, SW_OK);
            assert_near(found.seconds, best, 1e-9);
            n_solved++;
        }
        sw_test_ctx_free(&ctx);
    }
    assert_true(n_solved > 100 && n_impossible > 20);
}

/* Tries every way with two tools, the second taking over anywhere. */
static double try_all_two(const struct sw_schedule_case of[2], size_t tool, size_t i, size_t n,
                          double step, double change_s)
{
    double best = HUGE_VAL;
    if (i == n)
        return 0;
    const double r_old = of->r_from - step * (double)i;
    for (size_t t = tool; t < 2; t++)
        for (size_t d = 1; i + d <= n; d++) {
            const double depth = step * (double)d;
            if (depth > of[t].most_depth + 1e-12)
                continue;
            const double rest = try_all_two(of, t, i + d, n, step, change_s);
            for (size_t k = 0; k < of[t].n_feeds; k++)
                if (is_allowed(of[t].user, r_old, depth, of[t].feed[k]))
                    best = fmin(best, (t > tool ? (i == 0 ? of[t].start_s : change_s) : 0) +
                                          seconds_of(&of[t], r_old, depth, of[t].feed[k]) + rest);
        }
    return best;
}

static void two_tools_share_the_work_as_fast_as_any_two_could(void **state)
{
    (void)state;
    unsigned seed = 7;
    size_t n_solved = 0, n_shared = 0;
    for (int trial = 0; trial < 120; trial++) {
        struct sw_ctx ctx = sw_test_ctx();
        /* a strong tool that pushes hard, a fine one that does not */
        struct rule strong = {between(&seed, 0.3, 1.2), 0.7, 0.7, between(&seed, 3, 7), 900, 0};
        struct rule fine = {between(&seed, 3, 20), 0.9, 0.8, between(&seed, 0, 2), 900, 0};
        const struct sw_schedule_case strong_case = {.r_from = 0.06 + 0.01 * (4 + trial % 4),
                                                     .r_to = 0.06,
                                                     .grain = 0.01,
                                                     .most_depth = 0.08,
                                                     .feed = feeds,
                                                     .n_feeds = N_FEEDS,
                                                     .back_s = 0.5,
                                                     .speed = speed,
                                                     .length = length,
                                                     .is_allowed = is_allowed,
                                                     .user = &strong};
        struct sw_schedule_case of[2] = {strong_case, strong_case};
        of[1].most_depth = 0.03;
        of[1].n_feeds = 3;
        of[1].user = &fine;
        of[1].start_s = 0.7;
        const double change_s = between(&seed, 0, 0.5);
        const size_t n = (size_t)llround((of->r_from - of->r_to) / 0.01);
        const double best = try_all_two(of, 0, 0, n, (of->r_from - of->r_to) / (double)n, change_s);
        struct sw_schedule found;
        const enum sw_status status = sw_schedule_find(&found, of, 2, change_s, &ctx);
        assert_int_equal(status, isinf(best) ? SW_CANNOT : SW_OK);
        if (status == SW_OK) {
            assert_near(found.seconds, best, 1e-9);
            n_solved++;
            n_shared += found.pass[0].tool == 0 && found.pass[found.n - 1].tool == 1;
        }
        sw_test_ctx_free(&ctx);
    }
    print_message("%zu solved, %zu shared\n", n_solved, n_shared);
    assert_true(n_solved > 40 && n_shared > 5);
}

static void the_passes_add_up_and_keep_the_rule(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct rule rule = {6, 0.8, 0.7, 1.5, 900, 0};
    const struct sw_schedule_case of = {.r_from = 1.0,
                                        .r_to = 0.07,
                                        .grain = 0.005,
                                        .most_depth = 0.1,
                                        .feed = feeds,
                                        .n_feeds = N_FEEDS,
                                        .back_s = 0.8,
                                        .speed = speed,
                                        .length = length,
                                        .is_allowed = is_allowed,
                                        .user = &rule};
    struct sw_schedule found;
    assert_int_equal(sw_schedule_find(&found, &of, 1, 0, &ctx), SW_OK);
    double r = of.r_from, seconds = 0;
    for (size_t i = 0; i < found.n; i++) {
        const struct sw_schedule_pass *pass = &found.pass[i];
        assert_near(pass->r_old, r, 1e-9);
        assert_true(is_allowed(&rule, pass->r_old, pass->depth, pass->feed));
        assert_true(pass->depth <= of.most_depth + 1e-12);
        r -= pass->depth;
        seconds += pass->seconds;
    }
    assert_near(r, of.r_to, 1e-9);
    assert_near(seconds, found.seconds, 1e-9);
    assert_true(found.n_tried < 20000);
    sw_test_ctx_free(&ctx);
}

/* No rival of one depth and one feed under the same rule is faster. */
static void one_depth_and_one_feed_are_never_faster(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct rule rule = {4, 0.8, 0.7, 2.0, 900, 0};
    const struct sw_schedule_case of = {.r_from = 0.8,
                                        .r_to = 0.1,
                                        .grain = 0.005,
                                        .most_depth = 0.1,
                                        .feed = feeds,
                                        .n_feeds = N_FEEDS,
                                        .back_s = 0.8,
                                        .speed = speed,
                                        .length = length,
                                        .is_allowed = is_allowed,
                                        .user = &rule};
    struct sw_schedule found;
    assert_int_equal(sw_schedule_find(&found, &of, 1, 0, &ctx), SW_OK);
    size_t n_rivals = 0;
    for (size_t passes = 7; passes <= 140; passes++)
        for (size_t k = 0; k < N_FEEDS; k++) {
            /* on the same grid, so that the comparison is fair */
            if (140 % passes != 0)
                continue;
            const double depth = 0.7 / (double)passes;
            double seconds = 0;
            bool keeps = true;
            for (size_t i = 0; i < passes && keeps; i++) {
                const double r_old = of.r_from - depth * (double)i;
                keeps = is_allowed(&rule, r_old, depth, feeds[k]);
                seconds += seconds_of(&of, r_old, depth, feeds[k]);
            }
            if (!keeps)
                continue;
            n_rivals++;
            assert_true(found.seconds <= seconds + 1e-9);
        }
    assert_true(n_rivals > 3);
    sw_test_ctx_free(&ctx);
}

static void what_cannot_be_done_tells_how_far_it_gets(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct rule rule = {1.0, 1.0, 1.0, 4.0, 900, 0};
    const struct sw_schedule_case of = {.r_from = 0.3,
                                        .r_to = 0.03,
                                        .grain = 0.005,
                                        .most_depth = 0.1,
                                        .feed = feeds,
                                        .n_feeds = N_FEEDS,
                                        .speed = speed,
                                        .length = length,
                                        .is_allowed = is_allowed,
                                        .user = &rule};
    struct sw_schedule found;
    assert_int_equal(sw_schedule_find(&found, &of, 1, 0, &ctx), SW_CANNOT);
    assert_true(found.n > 0);
    const struct sw_schedule_pass *last = &found.pass[found.n - 1];
    const double r = last->r_old - last->depth;
    assert_true(r > of.r_to);
    assert_false(is_allowed(&rule, r, 0.005, feeds[0]));
    sw_test_ctx_free(&ctx);
}

/* Two passes of 0.05, the first allowed 0.005 a turn, the second 0.003: at 6000 rev/min over 0.3 mm
 * they take 0.3/(0.5 mm/s) + 0.3/(0.3 mm/s) and twice 0.25 s to come back (derived). With one feed
 * both go at 0.003. */
static bool slower_further_in(void *user, double r_old, double depth, double feed)
{
    (void)user;
    return depth <= 0.06 && feed <= (r_old > 0.17 ? 0.005 : 0.003);
}

static double always_6000(void *user, double r)
{
    (void)user;
    (void)r;
    return 6000;
}

static double always_03(void *user, double r)
{
    (void)user;
    (void)r;
    return 0.3;
}

static void equal_passes_take_their_own_feeds_or_one(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_schedule_case of = {.r_from = 0.2,
                                  .r_to = 0.1,
                                  .grain = 0.05,
                                  .most_depth = 0.06,
                                  .feed = feeds,
                                  .n_feeds = N_FEEDS,
                                  .back_s = 0.25,
                                  .speed = always_6000,
                                  .length = always_03,
                                  .is_allowed = slower_further_in};
    struct sw_schedule even;
    assert_int_equal(sw_schedule_even(&even, &of, false, &ctx), SW_OK);
    assert_int_equal(even.n, 2);
    assert_near(even.pass[0].depth, 0.05, 1e-12);
    assert_near(even.pass[1].r_old, 0.15, 1e-12);
    assert_near(even.seconds, 0.3 / 0.5 + 0.3 / 0.3 + 0.5, 1e-9);
    assert_int_equal(sw_schedule_even(&even, &of, true, &ctx), SW_OK);
    assert_near(even.pass[0].feed, 0.003, 1e-12);
    assert_near(even.seconds, 2 * 0.3 / 0.3 + 0.5, 1e-9);
    of.grain = 0.1; /* one pass: too deep */
    assert_int_equal(sw_schedule_even(&even, &of, false, &ctx), SW_CANNOT);
    assert_int_equal(even.n, 0);
    sw_test_ctx_free(&ctx);
}

/* What coming back costs may depend on the pass: here deep passes are come back from slowly. */
static double deep_is_slow(void *user, double r_old, double depth, double feed, double speed)
{
    (void)user;
    (void)r_old;
    (void)feed;
    (void)speed;
    return depth > 0.035 ? 10 : 0.25;
}

static void coming_back_is_asked_for_every_pass(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_schedule_case of = {.r_from = 0.2,
                                        .r_to = 0.1,
                                        .grain = 0.01,
                                        .most_depth = 0.06,
                                        .feed = feeds,
                                        .n_feeds = N_FEEDS,
                                        .back = deep_is_slow,
                                        .speed = always_6000,
                                        .length = always_03,
                                        .is_allowed = slower_further_in};
    struct sw_schedule found;
    assert_int_equal(sw_schedule_find(&found, &of, 1, 0, &ctx), SW_OK);
    assert_int_equal(found.n, 4); /* 0.03 at most */
    for (size_t i = 0; i < found.n; i++)
        assert_true(found.pass[i].depth < 0.035);
    sw_test_ctx_free(&ctx);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_way_of_dividing_is_faster),
        cmocka_unit_test(two_tools_share_the_work_as_fast_as_any_two_could),
        cmocka_unit_test(the_passes_add_up_and_keep_the_rule),
        cmocka_unit_test(one_depth_and_one_feed_are_never_faster),
        cmocka_unit_test(what_cannot_be_done_tells_how_far_it_gets),
        cmocka_unit_test(equal_passes_take_their_own_feeds_or_one),
        cmocka_unit_test(coming_back_is_asked_for_every_pass),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
