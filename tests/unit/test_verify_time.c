/* How long programs take, against moves worked out by hand from the trapezoid of speed: over a way
 * h with speed v and acceleration a from rest to rest, T = h/v + v/a where h >= v^2/a, else T = 2
 * sqrt(h/a) (Biagiotti and Melchiorri, Trajectory Planning for Automatic Machines and Robots,
 * Springer 2008, section 3.2). All numbers here are derived. The lathe of the tests: rapids 1000
 * (X) and 2000 mm/min (Z), 500 mm/s2, a tool change 2 s. Everything is cut in air, far away. */
#include <math.h>

#include "support/near.h"
#include "support/peg.h"

static const double accel = 500; /* mm/s2 */
static const double quarter_pi = 0.78539816339744831;

struct bench {
    struct sw_lathe lathe;
    struct sw_peg peg;
};

static void begin(struct bench *bench)
{
    sw_lathe_init(&bench->lathe);
    sw_peg_init(&bench->peg, &bench->lathe.ctx);
    bench->lathe.machine.step.x.value = bench->lathe.machine.step.z.value = 0.001;
    bench->lathe.machine.spindle.most_speed.value = 8000;
    bench->lathe.machine.control.spindle_words.value = 1;
    sw_lathe_use(&bench->lathe, 1);
}

static const struct sw_program_verdict *judged(struct bench *bench)
{
    sw_lathe_end(&bench->lathe);
    return &sw_peg_judge(&bench->lathe, NULL)->program[0];
}

static double rest_to_rest(double way, double speed)
{
    return way >= speed * speed / accel ? way / speed + speed / accel : 2 * sqrt(way / accel);
}

static void a_rapid_takes_as_long_as_its_slower_axis(void **state)
{
    (void)state;
    struct bench bench;
    begin(&bench);
    /* From (20, 5): Z 12 mm at 33.33 mm/s: 0.36 + 0.0667 s; X 10 mm at 16.67 mm/s: 0.6 + 0.0333 s.
     */
    sw_lathe_rapid(&bench.lathe, 8, 15);
    const struct sw_program_verdict *program = judged(&bench);
    assert_near(program->time.moving, 0.6 + 16.666667 / 500, 1e-6);
    assert_near(program->time.changing, 2, 1e-12);
    assert_near(program->seconds, 2 + 0.6 + 16.666667 / 500, 1e-6);
    sw_lathe_done(&bench.lathe);
}

static void a_short_rapid_never_comes_up_to_speed(void **state)
{
    (void)state;
    struct bench bench;
    begin(&bench);
    sw_lathe_rapid(&bench.lathe, 19.9, 5); /* 0.1 mm: 2 sqrt(0.1/500) = 0.028284 s */
    assert_near(judged(&bench)->time.moving, 0.0282843, 1e-6);
    sw_lathe_done(&bench.lathe);
}

/* Two legs of 3 mm at 600 mm/min = 10 mm/s with a corner. Straight on it is one move; back the same
 * way a full stop: two moves from rest to rest. Square, an arc within one step e = 0.001 of the
 * corner: R = e sin 45/(1 - sin 45) = 0.00241421, v = sqrt(a R) = 1.09868 mm/s; each leg then has
 * one end at rest and one at v: T = h/v0 + ... = 3/10 + 10/(2 a) + 10/(2 a) (1 - v/10)^2. */
static void a_corner_is_taken_as_fast_as_one_step_of_the_control_allows(void **state)
{
    (void)state;
    const double v = sqrt(accel * 0.001 * sin(quarter_pi) / (1 - sin(quarter_pi)));
    const double square = 2 * (0.3 + 0.01 + 0.01 * (1 - v / 10) * (1 - v / 10));
    assert_near(v, 1.09868, 1e-5);
    const struct {
        double z, r, wanted;
    } corner[] = {{14, 5, rest_to_rest(6, 10)}, {20, 5, 2 * rest_to_rest(3, 10)}, {17, 8, square}};
    for (size_t i = 0; i < sizeof corner / sizeof *corner; i++) {
        struct bench bench;
        begin(&bench);
        bench.lathe.state.feed_mode = SW_MOTION_PER_MINUTE;
        bench.lathe.state.feed = 600;
        sw_lathe_cut(&bench.lathe, 17, 5);
        sw_lathe_cut(&bench.lathe, corner[i].z, corner[i].r);
        assert_near(judged(&bench)->time.moving, corner[i].wanted, 1e-6);
        sw_lathe_done(&bench.lathe);
    }
}

/* The same square corner where the control blends within 0.05 mm: R = 0.120711, v = 7.76887. */
static void blending_takes_a_corner_faster(void **state)
{
    (void)state;
    struct bench bench;
    begin(&bench);
    bench.lathe.machine.control.blend.value = 0.05;
    bench.lathe.state.is_continuous = true;
    bench.lathe.state.feed_mode = SW_MOTION_PER_MINUTE;
    bench.lathe.state.feed = 600;
    sw_lathe_cut(&bench.lathe, 17, 5);
    sw_lathe_cut(&bench.lathe, 17, 8);
    const double v = 7.76887;
    assert_near(judged(&bench)->time.moving, 2 * (0.3 + 0.01 + 0.01 * (1 - v / 10) * (1 - v / 10)),
                1e-6);
    sw_lathe_done(&bench.lathe);
}

/* An arc bears sqrt(a R): R = 0.2, a = 500: 10 mm/s. At 1200 mm/min = 20 mm/s a half circle of
 * 0.628319 mm is gone at 10: 0.0628319 + 10/500 s. */
static void an_arc_is_no_faster_than_its_radius_bears(void **state)
{
    (void)state;
    struct bench bench;
    begin(&bench);
    bench.lathe.state.feed_mode = SW_MOTION_PER_MINUTE;
    bench.lathe.state.feed = 1200;
    sw_lathe_arc(&bench.lathe, 20, 5.4, 20, 5.2, 1);
    assert_near(judged(&bench)->time.moving, 0.0628319 + 0.02, 1e-6);
    sw_lathe_done(&bench.lathe);
}

/* 1 mm at 0.02 mm a turn and 3000 rev/min: 1 mm/s; 1 + 1/500 s. */
static void feed_per_turn_follows_the_spindle(void **state)
{
    (void)state;
    struct bench bench;
    begin(&bench);
    sw_lathe_spindle(&bench.lathe, SW_MOTION_CW, 3000);
    bench.lathe.state.feed_mode = SW_MOTION_PER_TURN;
    bench.lathe.state.feed = 0.02;
    sw_lathe_cut(&bench.lathe, 19, 5);
    assert_near(judged(&bench)->time.moving, 1.002, 1e-6);
    sw_lathe_done(&bench.lathe);
}

/* Facing from diameter 3 to 0.5 at 20 m/min and 0.01 mm a turn, clamped at 10000 rev/min: 2.06607 s
 * without acceleration (the clamp counts below a diameter of 0.63662); here one mm beyond the rod,
 * fed in from rest to rest, so a little more, but less than two ramps at the highest speed. */
static void constant_surface_speed_and_its_clamp_count(void **state)
{
    (void)state;
    struct bench bench;
    begin(&bench);
    bench.lathe.machine.spindle.most_speed.value = 20000;
    sw_lathe_rapid(&bench.lathe, 5, 1.5);
    const double before = rest_to_rest(15, 2000.0 / 60);
    sw_lathe_spindle(&bench.lathe, SW_MOTION_CW, 20);
    bench.lathe.state.is_surface_speed = true;
    bench.lathe.state.speed_clamp = 10000;
    bench.lathe.state.feed_mode = SW_MOTION_PER_TURN;
    bench.lathe.state.feed = 0.01;
    sw_lathe_cut(&bench.lathe, 5, 0.25);
    const double facing = judged(&bench)->time.moving - before;
    assert_true(facing > 2.06607 && facing < 2.06607 + 2 * (100.0 / 60) / accel);
    sw_lathe_done(&bench.lathe);
}

static void time_is_known_line_by_line(void **state)
{
    (void)state;
    struct bench bench;
    begin(&bench);
    sw_lathe_rapid(&bench.lathe, 8, 5); /* 0.36 + 0.0667 s */
    const uint32_t first = sw_lathe_line(&bench.lathe);
    bench.lathe.state.feed_mode = SW_MOTION_PER_MINUTE;
    bench.lathe.state.feed = 600;
    sw_lathe_cut(&bench.lathe, 5, 5);
    const uint32_t second = sw_lathe_line(&bench.lathe);
    sw_lathe_rapid(&bench.lathe, 20, 5);
    const struct sw_program_verdict *program = judged(&bench);
    assert_near(sw_program_times(program, first, second).moving, rest_to_rest(12, 100.0 / 3), 1e-6);
    assert_near(sw_program_times(program, second, second + 1).moving, rest_to_rest(3, 10), 1e-6);
    assert_near(sw_program_times(program, second, 0).moving,
                rest_to_rest(3, 10) + rest_to_rest(15, 100.0 / 3), 1e-6);
    assert_near(sw_program_times(program, 0, first).changing, 2, 1e-12);
    const struct sw_times all = sw_program_times(program, 0, 0);
    assert_near(sw_times_sum(&all), program->seconds, 1e-9);
    sw_lathe_done(&bench.lathe);
}

/* A machine by hand, a turret and a gang differ by what its owner says a change takes. */
static void a_change_takes_what_the_machine_says(void **state)
{
    (void)state;
    struct bench bench;
    begin(&bench);
    bench.lathe.machine.change.value = SW_CHANGE_BY_HAND;
    bench.lathe.machine.change_time.value = 120;
    sw_lathe_use(&bench.lathe, 2);
    assert_near(judged(&bench)->time.changing, 240, 1e-9);
    sw_lathe_done(&bench.lathe);
}

static void cutting_is_apart_from_moving_in_air(void **state)
{
    (void)state;
    struct bench bench;
    begin(&bench);
    sw_peg_program(&bench.lathe, (struct sw_peg_slips){0});
    const struct sw_verdict *verdict = sw_peg_judge(&bench.lathe, &bench.peg.shape);
    const struct sw_program_verdict *program = &verdict->program[0];
    assert_true(program->time.cutting > 0);
    assert_true(program->time.moving > 0);
    assert_near(sw_times_sum(&program->time), program->seconds, 1e-9);
    sw_lathe_done(&bench.lathe);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_rapid_takes_as_long_as_its_slower_axis),
        cmocka_unit_test(a_short_rapid_never_comes_up_to_speed),
        cmocka_unit_test(a_corner_is_taken_as_fast_as_one_step_of_the_control_allows),
        cmocka_unit_test(blending_takes_a_corner_faster),
        cmocka_unit_test(an_arc_is_no_faster_than_its_radius_bears),
        cmocka_unit_test(feed_per_turn_follows_the_spindle),
        cmocka_unit_test(constant_surface_speed_and_its_clamp_count),
        cmocka_unit_test(time_is_known_line_by_line),
        cmocka_unit_test(a_change_takes_what_the_machine_says),
        cmocka_unit_test(cutting_is_apart_from_moving_in_air),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
