/* Where a size may move: what machine, height of the point, change of tool, gauge and bending leave
 * open, against figures worked by hand; and the findings when that leaves the limits.
 *
 * The peg's seat has a radius of 0.5. Backlash 3 um, repeatability 1 um, step 0.5 um, change 2 um,
 * points within 10 um of the axis. By hand, on the diameter:
 *   height  2 (sqrt(0.25 + 0.0001) - 0.5) = 0.19998 um (mechanics of a point off centre, derived)
 *   change 4, repeatability 1, step 0.5: by squares (JCGM 100:2008, 5.1.2) sqrt(17.25) = 4.15331
 *   measured before: repeatability and step of two places, gauge 0.5: sqrt(2 + 0.5 + 0.25) = 1.65831
 */
#include <math.h>
#include <string.h>

#include "support/near.h"
#include "support/peg.h"

static const double nose = 0.05, height_um = 0.19998;

struct seat {
    struct sw_lathe lathe;
    struct sw_peg peg;
};

static void real_machine(struct seat *seat)
{
    sw_lathe_init(&seat->lathe);
    sw_peg_init(&seat->peg, &seat->lathe.ctx);
    seat->lathe.machine.backlash.x.value = 0.003;
    seat->lathe.machine.repeatability.value = 0.001;
    seat->lathe.machine.step.x.value = 0.0005;
    seat->lathe.machine.change_repeat.value = 0.002;
    seat->lathe.shop.centre_height.value = 0.01;
}

/* All of the peg, its seat 0.01 over on the radius; then the last cut of the seat, come to from
 * RISE below it. */
static void turn(struct seat *seat, double rise, bool pauses)
{
    const double r = 0.5 + nose;
    sw_peg_turn(&seat->lathe, (struct sw_peg_slips){.seat_r = 0.01});
    if (pauses)
        sw_lathe_pause(&seat->lathe);
    sw_lathe_spindle(&seat->lathe, SW_MOTION_CW, 3000);
    sw_lathe_rapid(&seat->lathe, 0.5, 8);
    sw_lathe_rapid(&seat->lathe, 0.5, r - rise);
    sw_lathe_rapid(&seat->lathe, 0.5, r);
    sw_lathe_cut(&seat->lathe, -1.5 + nose, r);
    sw_lathe_cut(&seat->lathe, -1.5 + nose, 0.95);
    sw_lathe_rapid(&seat->lathe, -1.5 + nose, 8);
    sw_lathe_rapid(&seat->lathe, 12, 8);
    sw_peg_part(&seat->lathe);
    sw_lathe_end(&seat->lathe);
}

static const struct sw_section_verdict *judge(struct seat *seat)
{
    return &sw_peg_judge(&seat->lathe, &seat->peg.shape)->section[0];
}

static void what_is_one_sided_adds_and_what_scatters_adds_by_squares(void **state)
{
    (void)state;
    struct seat seat;
    real_machine(&seat);
    turn(&seat, 0, false);
    const struct sw_section_verdict *verdict = judge(&seat);
    const struct sw_section_moves *m = &verdict->moves;
    const double *bend = verdict->load.bend_um;
    assert_false(m->is_gauged);
    assert_near(m->plain[SW_MOVER_BEND].down, 2 * (bend[0] - bend[1]), 1e-9);
    assert_near(m->plain[SW_MOVER_BEND].up, 2 * (bend[2] - bend[1]), 1e-9);
    assert_near(m->plain[SW_MOVER_HEIGHT].up, height_um, 1e-5);
    assert_near(m->plain[SW_MOVER_HEIGHT].down, 0, 0);
    assert_near(m->plain[SW_MOVER_CHANGE].up, 4, 1e-9);
    assert_near(m->plain[SW_MOVER_BACKLASH].down, 0, 1e-9);
    assert_near(m->plain_sum.up, 2 * (bend[2] - bend[1]) + height_um + 4.15331, 1e-4);
    assert_near(m->plain_sum.down, 2 * (bend[0] - bend[1]) - 4.15331, 1e-4);
    assert_near(verdict->predicted_mm.most - verdict->predicted_nominal_mm,
                m->plain_sum.up / 1000 + (verdict->size_mm.most - verdict->size_mm.least) / 2,
                1e-9);
    sw_lathe_done(&seat.lathe);
}

static void a_pause_takes_out_what_stays_the_same_until_the_last_cut(void **state)
{
    (void)state;
    struct seat seat;
    real_machine(&seat);
    turn(&seat, 0, true);
    const struct sw_section_moves *m = &judge(&seat)->moves;
    assert_true(m->is_gauged);
    assert_near(m->gauged[SW_MOVER_HEIGHT].up, 0, 0);
    assert_near(m->gauged[SW_MOVER_CHANGE].up, 0, 0);
    assert_near(m->gauged[SW_MOVER_REPEAT].up, sqrt(2), 1e-9);
    assert_near(m->gauged[SW_MOVER_STEP].up, sqrt(0.5), 1e-9);
    assert_near(m->gauged_sum.up - m->gauged[SW_MOVER_BEND].up, 1.65831, 1e-4);
    sw_lathe_done(&seat.lathe);
}

/* Where both cuts are alike, so is their spring, and the reading tells it. */
static void equal_cuts_spring_alike_and_a_reading_shows_it(void **state)
{
    (void)state;
    struct seat seat;
    real_machine(&seat);
    seat.lathe.material.elastic_modulus.value = 51500;
    const double r = 0.5 + nose;
    sw_peg_turn(&seat.lathe, (struct sw_peg_slips){.seat_r = 0.02});
    for (int i = 0; i < 2; i++) {
        sw_lathe_spindle(&seat.lathe, SW_MOTION_CW, 3000);
        sw_lathe_rapid(&seat.lathe, 0.5, 8);
        sw_lathe_rapid(&seat.lathe, 0.5, r + (i == 0 ? 0.01 : 0));
        sw_lathe_cut(&seat.lathe, -1.5 + nose, r + (i == 0 ? 0.01 : 0));
        sw_lathe_cut(&seat.lathe, -1.5 + nose, 0.95);
        sw_lathe_rapid(&seat.lathe, -1.5 + nose, 8);
        sw_lathe_rapid(&seat.lathe, 12, 8);
        if (i == 0)
            sw_lathe_pause(&seat.lathe);
    }
    sw_peg_part(&seat.lathe);
    sw_lathe_end(&seat.lathe);
    const struct sw_section_moves *m = &judge(&seat)->moves;
    assert_true(m->plain[SW_MOVER_BEND].up > 1);
    /* the bar is 4 % thicker once: a tenth of the band remains at most */
    assert_true(m->gauged[SW_MOVER_BEND].up < m->plain[SW_MOVER_BEND].up / 10);
    sw_lathe_done(&seat.lathe);
}

/* Come to from below, the slide stays short by what it rises, up to all of its play. */
static void a_size_come_to_from_below_is_too_thin_by_twice_the_play(void **state)
{
    (void)state;
    const double rise[] = {0, 0.001, 0.003, 0.02}, thin_um[] = {0, 2, 6, 6};
    for (int i = 0; i < 4; i++) {
        struct seat seat;
        real_machine(&seat);
        turn(&seat, rise[i], false);
        assert_near(judge(&seat)->moves.plain[SW_MOVER_BACKLASH].down, -thin_um[i], 1e-6);
        sw_lathe_done(&seat.lathe);
    }
}

static void a_tool_zeroed_for_its_own_program_is_not_changed(void **state)
{
    (void)state;
    struct seat seat;
    real_machine(&seat);
    seat.lathe.machine.control.tool_offsets.value = SW_OFFSET_NONE;
    turn(&seat, 0, false);
    assert_near(judge(&seat)->moves.plain[SW_MOVER_CHANGE].up, 0, 0);
    sw_lathe_done(&seat.lathe);
}

static const struct sw_finding *size_finding(struct seat *seat, double half)
{
    seat->peg.section[0].diameter_tolerance.lower = -half;
    seat->peg.section[0].diameter_tolerance.upper = half;
    return sw_peg_finding(sw_peg_judge(&seat->lathe, &seat->peg.shape), SW_FINDING_SIZE);
}

/* Five um or so either way, 6 and no slack keep them; a pause leaves less than two. */
static void the_edge_of_the_band_beyond_the_limits_warns_and_names_the_cause(void **state)
{
    (void)state;
    struct seat seat;
    real_machine(&seat);
    turn(&seat, 0, false);
    assert_null(size_finding(&seat, 0.006));
    const struct sw_finding *finding = size_finding(&seat, 0.003);
    assert_non_null(finding);
    assert_int_equal(finding->severity, SW_WARNING);
    assert_non_null(strstr(finding->message, "Most of it is tool change, 4.0 um"));
    sw_lathe_done(&seat.lathe);
    real_machine(&seat);
    turn(&seat, 0, true);
    assert_null(size_finding(&seat, 0.003));
    sw_lathe_done(&seat.lathe);
}

/* What a hand takes off may be less or more by half: a stoned seat has that to spare. */
static void hand_work_has_room_for_the_edge_of_the_band(void **state)
{
    (void)state;
    struct seat seat;
    real_machine(&seat);
    seat.peg.place[0].take = 0.008;
    seat.peg.place[0].finished_diameter = 1 - 0.008;
    turn(&seat, 0, false);
    assert_null(size_finding(&seat, 0.003));
    sw_lathe_done(&seat.lathe);
}

static void the_middle_of_the_band_beyond_the_limits_is_an_error_unless_gauged(void **state)
{
    (void)state;
    for (int pauses = 0; pauses < 2; pauses++) {
        struct seat seat;
        real_machine(&seat);
        seat.lathe.material.elastic_modulus.value = 10000;
        seat.lathe.machine.compliance.value = 2;
        turn(&seat, 0, pauses);
        const double *bend = judge(&seat)->load.bend_um;
        assert_true(2 * bend[1] > 2.5);
        const struct sw_finding *finding = size_finding(&seat, 2 * bend[1] / 1000 - 0.0015);
        assert_non_null(finding);
        assert_int_equal(finding->severity, pauses ? SW_WARNING : SW_ERROR);
        assert_non_null(strstr(finding->message, "bent by the nominal force"));
        sw_lathe_done(&seat.lathe);
    }
}

static void a_step_coarser_than_half_of_the_limits_is_told(void **state)
{
    (void)state;
    struct seat seat;
    real_machine(&seat);
    turn(&seat, 0, true);
    seat.lathe.machine.step.x.value = 0.0025;
    assert_null(size_finding(&seat, 0.005)); /* 5 of 10 um */
    seat.lathe.machine.step.x.value = 0.0026;
    const struct sw_finding *finding = size_finding(&seat, 0.005);
    assert_non_null(finding);
    assert_non_null(strstr(finding->message, "steps of 0.0052 mm"));
    sw_lathe_done(&seat.lathe);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_one_sided_adds_and_what_scatters_adds_by_squares),
        cmocka_unit_test(a_pause_takes_out_what_stays_the_same_until_the_last_cut),
        cmocka_unit_test(equal_cuts_spring_alike_and_a_reading_shows_it),
        cmocka_unit_test(a_size_come_to_from_below_is_too_thin_by_twice_the_play),
        cmocka_unit_test(a_tool_zeroed_for_its_own_program_is_not_changed),
        cmocka_unit_test(the_edge_of_the_band_beyond_the_limits_warns_and_names_the_cause),
        cmocka_unit_test(hand_work_has_room_for_the_edge_of_the_band),
        cmocka_unit_test(the_middle_of_the_band_beyond_the_limits_is_an_error_unless_gauged),
        cmocka_unit_test(a_step_coarser_than_half_of_the_limits_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
