/* A second spindle that takes the piece before it is parted.
 *
 * The peg of the tests has a seat of 1.0 from its end to z = -1.5: the second spindle is to close
 * on 0.8 mm of it, its face at z = -1.3. The blade parts at z = -3.38. */
#include "support/near.h"
#include "support/peg.h"

static const double edge = -3.0 - 0.38;

static struct sw_number number(double value)
{
    return (struct sw_number){.value = value, .given = true};
}

static void begin(struct sw_lathe *lathe, struct sw_peg *peg)
{
    sw_lathe_init(lathe);
    sw_peg_init(peg, &lathe->ctx);
    lathe->machine.change.value = SW_CHANGE_TURRET;
    lathe->machine.second_spindle = (struct sw_machine_second){.grip = number(0.3),
                                                               .least = number(0.4),
                                                               .most = number(2),
                                                               .depth = number(5),
                                                               .nose_diameter = number(3),
                                                               .nose_angle = number(0.3),
                                                               .nose_length = number(4)};
    lathe->side[0].second = (struct sw_setup_second){.section = {.value = "seat", .given = true},
                                                     .diameter = number(1),
                                                     .length = number(0.8),
                                                     .nose_z = number(-1.3)};
    sw_peg_turn(lathe, (struct sw_peg_slips){0});
    sw_lathe_use(lathe, 2);
    sw_lathe_rapid(lathe, 12, 8);
    sw_lathe_rapid(lathe, edge, 8);
    sw_lathe_rapid(lathe, edge, 1.5);
}

static void plunge(struct sw_lathe *lathe)
{
    sw_lathe_cut(lathe, edge, -0.03);
    sw_lathe_rapid(lathe, edge, 8);
}

static void away(struct sw_lathe *lathe)
{
    sw_lathe_rapid(lathe, 12, 8);
    sw_lathe_end(lathe);
}

static const struct sw_finding *judged(struct sw_lathe *lathe, const struct sw_peg *peg,
                                       enum sw_finding_code code, uint32_t line)
{
    const struct sw_verdict *verdict = sw_peg_judge(lathe, &peg->shape);
    const struct sw_finding *finding = sw_peg_finding(verdict, code);
    if (finding == NULL || finding->line != line)
        sw_peg_print(verdict);
    assert_non_null(finding);
    assert_false(verdict->passes);
    assert_int_equal(finding->severity, SW_ERROR);
    assert_int_equal(finding->line, line);
    return finding;
}

static void a_piece_taken_parted_and_carried_away_is_clean(void **state)
{
    (void)state;
    struct sw_lathe lathe;
    struct sw_peg peg;
    begin(&lathe, &peg);
    sw_lathe_second(&lathe, true);
    plunge(&lathe);
    sw_lathe_second(&lathe, false);
    away(&lathe);
    sw_peg_expect_clean(sw_peg_judge(&lathe, &peg.shape));
    sw_lathe_done(&lathe);
}

static void a_piece_parted_before_it_is_taken_falls(void **state)
{
    (void)state;
    struct sw_lathe lathe;
    struct sw_peg peg;
    begin(&lathe, &peg);
    const uint32_t line = sw_lathe_line(&lathe) + 1;
    plunge(&lathe);
    away(&lathe);
    judged(&lathe, &peg, SW_FINDING_SECOND, line);
    sw_lathe_done(&lathe);
}

static void what_both_spindles_hold_may_not_move_along_z(void **state)
{
    (void)state;
    struct sw_lathe lathe;
    struct sw_peg peg;
    begin(&lathe, &peg);
    sw_lathe_second(&lathe, true);
    sw_lathe_rapid(&lathe, edge - 0.02, 1.5);
    const uint32_t line = sw_lathe_line(&lathe);
    sw_lathe_rapid(&lathe, edge, 1.5);
    plunge(&lathe);
    sw_lathe_second(&lathe, false);
    away(&lathe);
    const struct sw_finding *finding = judged(&lathe, &peg, SW_FINDING_SECOND, line);
    assert_near(finding->value, 0.02, 1e-9);
    sw_lathe_done(&lathe);
}

static void it_leaves_with_what_is_parted_only(void **state)
{
    (void)state;
    struct sw_lathe lathe;
    struct sw_peg peg;
    begin(&lathe, &peg);
    sw_lathe_second(&lathe, true);
    sw_lathe_second(&lathe, false);
    const uint32_t line = sw_lathe_line(&lathe);
    sw_lathe_second(&lathe, true);
    plunge(&lathe);
    sw_lathe_second(&lathe, false);
    away(&lathe);
    judged(&lathe, &peg, SW_FINDING_SECOND, line);
    sw_lathe_done(&lathe);
}

static void it_takes_once_and_leaves_once(void **state)
{
    (void)state;
    for (int k = 0; k < 3; k++) { /* leaves first; is brought twice; stays */
        struct sw_lathe lathe;
        struct sw_peg peg;
        begin(&lathe, &peg);
        sw_lathe_second(&lathe, k > 0);
        uint32_t line = sw_lathe_line(&lathe);
        if (k < 2) {
            sw_lathe_second(&lathe, true);
            line = sw_lathe_line(&lathe) - (k == 0);
        }
        plunge(&lathe);
        if (k < 2)
            sw_lathe_second(&lathe, false);
        away(&lathe);
        if (k == 2)
            line = sw_lathe_line(&lathe);
        judged(&lathe, &peg, SW_FINDING_SECOND, line);
        sw_lathe_done(&lathe);
    }
}

/* A record that is silent; a seat of another size, one that is not all there, one too deep inside,
 * one shorter than is held by. */
static void it_takes_what_the_record_says_and_the_machine_can(void **state)
{
    (void)state;
    for (int k = 0; k < 7; k++) {
        struct sw_lathe lathe;
        struct sw_peg peg;
        begin(&lathe, &peg);
        struct sw_setup_second *record = &lathe.side[0].second;
        if (k == 0)
            record->section.given = false;
        else if (k == 1)
            record->diameter.value = 0.95;
        else if (k == 2)
            record->nose_z.value = -1.6; /* over the shoulder of the hub */
        else if (k == 3)
            record->length.value = 1.4; /* beyond the end */
        else if (k == 4)
            lathe.machine.second_spindle.depth.value = 1.2;
        else if (k == 5)
            lathe.machine.second_spindle.grip.value = 0.9;
        else
            lathe.machine.second_spindle.most.value = 0.9;
        sw_lathe_second(&lathe, true);
        const uint32_t line = sw_lathe_line(&lathe);
        plunge(&lathe);
        sw_lathe_second(&lathe, false);
        away(&lathe);
        judged(&lathe, &peg, SW_FINDING_SECOND, line);
        sw_lathe_done(&lathe);
    }
}

/* The hub of 1.6 stands in front of a seat of 1.0 when the record has it hold behind the hub. */
static void nothing_thicker_goes_into_it(void **state)
{
    (void)state;
    struct sw_lathe lathe;
    struct sw_peg peg;
    begin(&lathe, &peg);
    lathe.side[0].second.nose_z = number(-3.3);
    lathe.side[0].second.length = number(0.4);
    lathe.side[0].second.diameter = number(1.6);
    sw_lathe_cut(&lathe, edge, 0.6); /* thinner behind: the blade's slot */
    sw_lathe_rapid(&lathe, edge, 1.5);
    lathe.side[0].second.diameter = number(1.2);
    sw_lathe_second(&lathe, true);
    const uint32_t line = sw_lathe_line(&lathe);
    plunge(&lathe);
    sw_lathe_second(&lathe, false);
    away(&lathe);
    judged(&lathe, &peg, SW_FINDING_SECOND, line);
    sw_lathe_done(&lathe);
}

/* A nose so wide that the blade's block, 4 above its edge, cannot pass it; and a tool that stands
 * where it comes up: the neighbour on a gang slide. */
static void its_nose_is_not_to_be_touched(void **state)
{
    (void)state;
    struct sw_lathe lathe;
    struct sw_peg peg;
    begin(&lathe, &peg);
    lathe.machine.second_spindle.nose_diameter.value = 9;
    sw_lathe_second(&lathe, true);
    plunge(&lathe);
    const uint32_t line = sw_lathe_line(&lathe) - 1;
    sw_lathe_second(&lathe, false);
    away(&lathe);
    judged(&lathe, &peg, SW_FINDING_NOSE_TOUCHES, line);
    sw_lathe_done(&lathe);
    begin(&lathe, &peg);
    lathe.machine.change.value = SW_CHANGE_GANG;
    lathe.record[0][2].zero_x = number(22.5); /* a little above the axis while the blade waits */
    sw_lathe_second(&lathe, true);
    const uint32_t taken = sw_lathe_line(&lathe);
    plunge(&lathe);
    sw_lathe_second(&lathe, false);
    away(&lathe);
    judged(&lathe, &peg, SW_FINDING_NOSE_TOUCHES, taken);
    sw_lathe_done(&lathe);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_piece_taken_parted_and_carried_away_is_clean),
        cmocka_unit_test(a_piece_parted_before_it_is_taken_falls),
        cmocka_unit_test(what_both_spindles_hold_may_not_move_along_z),
        cmocka_unit_test(it_leaves_with_what_is_parted_only),
        cmocka_unit_test(it_takes_once_and_leaves_once),
        cmocka_unit_test(it_takes_what_the_record_says_and_the_machine_can),
        cmocka_unit_test(nothing_thicker_goes_into_it),
        cmocka_unit_test(its_nose_is_not_to_be_touched),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
