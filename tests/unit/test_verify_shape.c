/* What is left against the shape: sizes, gouges, left-overs, and the line that did it. */
#include <math.h>
#include <string.h>

#include "support/near.h"
#include "support/peg.h"

static const double pi = 3.14159265358979323846;

struct bench {
    struct sw_lathe lathe;
    struct sw_peg peg;
};

static void bench_init(struct bench *bench)
{
    sw_lathe_init(&bench->lathe);
    sw_peg_init(&bench->peg, &bench->lathe.ctx);
}

static struct sw_verdict *judge_slips(struct bench *bench, struct sw_peg_slips slips)
{
    bench_init(bench);
    sw_peg_program(&bench->lathe, slips);
    return sw_peg_judge(&bench->lathe, &bench->peg.shape);
}

static void the_right_program_passes_with_the_right_sizes(void **state)
{
    (void)state;
    struct bench bench;
    const struct sw_verdict *verdict = judge_slips(&bench, (struct sw_peg_slips){0});
    sw_peg_expect_clean(verdict);
    const double wide = 2 * verdict->resolution_um / 1000;
    for (size_t i = 0; i < 2; i++) {
        const struct sw_section_verdict *section = &verdict->section[i];
        const double size = i == 0 ? 1.0 : 1.6;
        /* to the rounding of a double */
        assert_true(section->size_mm.least <= size + 1e-12 &&
                    size - 1e-12 <= section->size_mm.most);
        assert_near(section->size_mm.least, size, wide);
        assert_near(section->size_mm.most, size, wide);
        assert_true(section->length_mm.least <= 1.5 + 1e-12 &&
                    1.5 - 1e-12 <= section->length_mm.most);
        assert_near(section->length_mm.least, 1.5, wide);
        assert_true(section->gouge_um <= 1000 * wide && section->left_um <= 1000 * wide);
    }
    assert_near(verdict->length_least_mm, 3, wide);
    assert_near(verdict->length_most_mm, 3, wide);
    /* chords of 0.02 where regions are given out, and what a contradicted cut may be moved by */
    assert_near(verdict->resolution_um, 0.02 + 0.00325, 1e-9);
    /* chips: rod of 3.1 less the peg, the kerf of 0.4 beyond it, and the ring of the hub's pass,
     * which runs 0.15 further; its round and sloping end is what the margin is for */
    const double chips = pi * (3.1 - (0.25 + 0.64) * 1.5 + 0.4 + (1 - 0.64) * 0.15);
    assert_near(verdict->program[0].removed_mm3, chips, 0.02);
    assert_true(verdict->program[0].seconds > 10 && verdict->program[0].seconds < 120);
    sw_lathe_done(&bench.lathe);
}

static void a_gouge_of_a_hundredth_is_found_with_its_depth_and_line(void **state)
{
    (void)state;
    struct bench bench;
    const struct sw_verdict *verdict = judge_slips(&bench, (struct sw_peg_slips){.seat_r = -0.01});
    assert_false(verdict->passes);
    const struct sw_finding *gouge = sw_peg_finding(verdict, SW_FINDING_GOUGE);
    assert_non_null(gouge);
    assert_near(gouge->value, 10, verdict->resolution_um * 2);
    assert_near(gouge->limit, 2.5, 1e-9);
    assert_string_equal(gouge->section, "seat");
    assert_string_equal(gouge->program, "side-1.nc");
    assert_int_equal(gouge->line, 13); /* the seat's pass */
    assert_int_equal(gouge->chucking, 1);
    assert_non_null(sw_peg_finding(verdict, SW_FINDING_SIZE));
    assert_null(sw_peg_finding(verdict, SW_FINDING_UNCUT));
    sw_lathe_done(&bench.lathe);
}

static void a_left_over_of_four_micrometres_is_found(void **state)
{
    (void)state;
    struct bench bench;
    const struct sw_verdict *verdict = judge_slips(&bench, (struct sw_peg_slips){.hub_r = 0.004});
    const struct sw_finding *uncut = sw_peg_finding(verdict, SW_FINDING_UNCUT);
    assert_non_null(uncut);
    assert_near(uncut->value, 4, verdict->resolution_um * 2);
    assert_string_equal(uncut->section, "hub");
    assert_int_equal(uncut->line, 9);
    assert_null(sw_peg_finding(verdict, SW_FINDING_GOUGE));
    sw_lathe_done(&bench.lathe);
}

static void a_deviation_inside_the_tolerance_passes(void **state)
{
    (void)state;
    struct bench bench;
    const struct sw_verdict *verdict =
        judge_slips(&bench, (struct sw_peg_slips){.seat_r = -0.002, .hub_r = 0.002});
    sw_peg_expect_clean(verdict);
    assert_near(verdict->section[0].gouge_um, 2, verdict->resolution_um * 2);
    sw_lathe_done(&bench.lathe);
}

static void one_sided_limits_are_taken_from_the_middle_the_shape_aims_at(void **state)
{
    (void)state;
    for (int i = 0; i < 2; i++) {
        struct bench bench;
        bench_init(&bench);
        /* nominal 1.005, from 0 to 0.01 under it: the shape stands at 1.0, 2.5 um either way */
        bench.peg.section[0].r0 = bench.peg.section[0].r1 = 0.5025;
        bench.peg.section[0].diameter_tolerance = (struct sw_band){-0.010, 0, true, {0}};
        sw_peg_program(&bench.lathe, (struct sw_peg_slips){.seat_r = i == 0 ? 0.002 : 0.004});
        const struct sw_verdict *verdict = sw_peg_judge(&bench.lathe, &bench.peg.shape);
        assert_near(verdict->section[0].nominal_mm, 1.005, 1e-12);
        assert_near(verdict->section[0].lower_mm, 0.995, 1e-12);
        assert_near(verdict->section[0].upper_mm, 1.005, 1e-12);
        assert_near(verdict->section[0].left_limit_um, 2.5, 1e-9);
        if (i == 0)
            sw_peg_expect_clean(verdict);
        else
            assert_non_null(sw_peg_finding(verdict, SW_FINDING_SIZE));
        sw_lathe_done(&bench.lathe);
    }
}

static void a_shoulder_out_of_its_height_is_found(void **state)
{
    (void)state;
    struct bench bench;
    const struct sw_verdict *verdict =
        judge_slips(&bench, (struct sw_peg_slips){.shoulder_z = -0.006});
    /* 6 um: inside the length tolerance of 10, beyond the height's 4 */
    const struct sw_finding *size = sw_peg_finding(verdict, SW_FINDING_SIZE);
    assert_non_null(size);
    assert_non_null(strstr(size->message, "height"));
    assert_near(size->value, 1.494, 1e-4);
    if (sw_peg_finding(verdict, SW_FINDING_GOUGE) != NULL)
        sw_peg_print(verdict);
    assert_null(sw_peg_finding(verdict, SW_FINDING_GOUGE));
    sw_lathe_done(&bench.lathe);
}

static void a_corner_rounder_than_allowed_is_left_over(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    bench.lathe.tool[0].nose_radius.value = 0.05;
    sw_peg_program(&bench.lathe, (struct sw_peg_slips){0});
    /* the nose of 0.05 leaves a fillet of 0.05; the part now allows 0.02: what stands in the corner
     * above the smaller fillet is (sqrt 2 - 1) (0.05 - 0.02) = 0.0124 thick at 45 degrees, and
     * thinner towards the seat, whose limit is the stricter one */
    struct sw_contour ceiling = bench.peg.shape.turned;
    struct sw_contour copy = {0};
    for (size_t i = 0; i < ceiling.n; i++)
        assert_true(sw_contour_add(bench.lathe.ctx.arena, &copy, ceiling.at[i]));
    assert_int_equal(sw_contour_round(&copy, 1, 0.02, 0, &bench.lathe.ctx), SW_OK);
    bench.peg.shape.ceiling = copy;
    const struct sw_verdict *verdict = sw_peg_judge(&bench.lathe, &bench.peg.shape);
    const struct sw_finding *uncut = sw_peg_finding(verdict, SW_FINDING_UNCUT);
    assert_non_null(uncut);
    assert_true(uncut->value > 6 && uncut->value < 1000 * (sqrt(2) - 1) * 0.03 + 1e-3);
    sw_lathe_done(&bench.lathe);
}

static void a_program_for_the_other_point_of_the_tool_shows_by_about_the_nose_radius(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    sw_peg_program(&bench.lathe, (struct sw_peg_slips){0});
    /* the record was zeroed on the theoretical tip, the program speaks of the nose centre: all
     * stands one nose radius further out and towards the tail */
    bench.lathe.tool[0].point.value = SW_POINT_THEORETICAL_TIP;
    const struct sw_verdict *verdict = sw_peg_judge(&bench.lathe, &bench.peg.shape);
    const struct sw_finding *uncut = sw_peg_finding(verdict, SW_FINDING_UNCUT);
    assert_non_null(uncut);
    assert_near(uncut->value, 50, 0.2);
    assert_false(verdict->passes);
    sw_lathe_done(&bench.lathe);
}

static void the_second_side_starts_from_the_first_turned_round(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    struct sw_lathe *lathe = &bench.lathe;
    lathe->setup.sides.n = 2;
    /* side 1 leaves the piece 0.1 long at the lower end; side 2 grips the seat and faces it off */
    sw_peg_turn(lathe, (struct sw_peg_slips){0});
    sw_lathe_use(lathe, 2);
    sw_lathe_rapid(lathe, 12, 8);
    sw_lathe_rapid(lathe, -3.48, 8);
    sw_lathe_rapid(lathe, -3.48, 1.5);
    sw_lathe_cut(lathe, -3.48, -0.03);
    sw_lathe_rapid(lathe, -3.48, 8);
    sw_lathe_rapid(lathe, 12, 8);
    sw_lathe_end(lathe);
    struct sw_setup_side *second = &lathe->side[1];
    second->grips.value = "seat";
    second->grip_diameter.value = 1.0;
    second->grip_length.value = 1.4;
    second->nose_z.value = -1.5;
    lathe->holder.least_grip.value = 0.5;
    lathe->holder_size.value = 1.0;
    lathe->holder.over.value = 1.0; /* one wide collet for both sides */
    sw_lathe_next_side(lathe);
    sw_lathe_use(lathe, 1);
    sw_lathe_spindle(lathe, SW_MOTION_CW, 3000);
    sw_lathe_rapid(lathe, 1, 8);
    sw_lathe_rapid(lathe, 0.05, 8);
    sw_lathe_rapid(lathe, 0.05, 1.0);
    sw_lathe_cut(lathe, 0.05, -0.02);
    sw_lathe_rapid(lathe, 8, -0.02);
    sw_lathe_rapid(lathe, 12, 8);
    sw_lathe_end(lathe);
    const struct sw_verdict *verdict = sw_peg_judge(lathe, &bench.peg.shape);
    sw_peg_expect_clean(verdict);
    assert_near(verdict->length_most_mm, 3, 1e-4);
    assert_int_equal(verdict->program[1].chucking, 2);
    assert_near(verdict->program[1].removed_mm3, pi * 0.64 * 0.1, 1e-3);
    /* the second grip runs out by holder and spindle together: 5 um are what pivots want */
    lathe->holder.runout.value = 0.004;
    lathe->machine.spindle.runout.value = 0.001;
    sw_peg_expect_clean(sw_peg_judge(lathe, &bench.peg.shape));
    lathe->holder.runout.value = 0.005;
    const struct sw_finding *finding =
        sw_peg_finding(sw_peg_judge(lathe, &bench.peg.shape), SW_FINDING_GRIP);
    assert_non_null(finding);
    assert_int_equal(finding->severity, SW_WARNING);
    assert_int_equal(finding->chucking, 2);
    assert_near(finding->value, 6, 1e-9);
    sw_lathe_done(lathe);
}

static void without_a_shape_only_the_machine_is_judged(void **state)
{
    (void)state;
    struct bench bench;
    bench_init(&bench);
    sw_peg_program(&bench.lathe, (struct sw_peg_slips){.seat_r = -0.1});
    const struct sw_verdict *verdict = sw_peg_judge(&bench.lathe, NULL);
    sw_peg_expect_clean_without_shape(verdict);
    assert_non_null(strstr(verdict->findings.at[0].message, "3.000 mm")); /* the guess is named */
    assert_int_equal(verdict->n_sections, 0);
    assert_near(verdict->length_most_mm, 3, 1e-4);
    sw_lathe_done(&bench.lathe);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_right_program_passes_with_the_right_sizes),
        cmocka_unit_test(a_gouge_of_a_hundredth_is_found_with_its_depth_and_line),
        cmocka_unit_test(a_left_over_of_four_micrometres_is_found),
        cmocka_unit_test(a_deviation_inside_the_tolerance_passes),
        cmocka_unit_test(one_sided_limits_are_taken_from_the_middle_the_shape_aims_at),
        cmocka_unit_test(a_shoulder_out_of_its_height_is_found),
        cmocka_unit_test(a_corner_rounder_than_allowed_is_left_over),
        cmocka_unit_test(a_program_for_the_other_point_of_the_tool_shows_by_about_the_nose_radius),
        cmocka_unit_test(the_second_side_starts_from_the_first_turned_round),
        cmocka_unit_test(without_a_shape_only_the_machine_is_judged),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
