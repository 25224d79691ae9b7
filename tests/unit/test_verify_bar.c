/* A run: pegs cut one after the other from a bar that is pushed against a stop before each.
 *
 * Station 3 of the lathe of the tests holds the stop, a face 4 wide. The blade parts at z = -3.38
 * by the centre of its corner of 0.02, so that the bar ends at -3.40 behind each peg; from a stop
 * at 0.10 a peg takes 3.50. The nose stands at -6, and 10 are gripped: the last of three pegs needs
 * 0.10 + 6 + 10, and the bar 2 * 3.50 more: 23.10 (derived). */
#include <math.h>
#include <stdlib.h>

#include "support/near.h"
#include "support/peg.h"

enum { PEGS = 3, STOP = 3 };

static const double least_bar = 23.10, takes = 3.50;

/* What may go otherwise than it should, at the peg of that number (from 0). */
struct slip {
    size_t at;
    bool has_no_pause, is_turning, is_whole, is_rammed, is_fed;
    double face_z, aside, seat_r;
};

static const struct slip none = {.at = SIZE_MAX};

struct rig {
    struct sw_lathe lathe;
    struct sw_peg peg;
    struct sw_setup own; /* of one peg alone */
    struct sw_setup_side own_side;
    struct sw_setup_piece piece[PEGS];
    struct sw_verify_piece is[PEGS];
};

static struct sw_number number(double value)
{
    return (struct sw_number){.value = value, .given = true};
}

static void begin(struct rig *rig)
{
    sw_lathe_init(&rig->lathe);
    sw_peg_init(&rig->peg, &rig->lathe.ctx);
    struct sw_tool *stop = &rig->lathe.tool[STOP - 1];
    *stop = (struct sw_tool){.file = "",
                             .name = stop->name,
                             .kind = {.value = SW_TOOL_STOP, .given = true},
                             .width = number(4),
                             .reach = number(5),
                             .holder = stop->holder};
    stop->holder.clear = number(5);
    rig->own = rig->lathe.setup;
    rig->own_side = rig->lathe.side[0];
    rig->own.sides.at = &rig->own_side;
    for (size_t i = 0; i < PEGS; i++) {
        rig->piece[i] = (struct sw_setup_piece){
            .setup = {.value = "../peg/setup.yaml", .given = true}, .at_z = number(0)};
        rig->is[i] = (struct sw_verify_piece){&rig->own, &rig->peg.shape, NULL, 0};
    }
    rig->lathe.side[0].run = (struct sw_setup_run){.stop = number(STOP),
                                                   .closing_loses = number(0.05),
                                                   .bar_length = number(least_bar),
                                                   .pieces = {rig->piece, PEGS, true, {0}}};
}

static void advance(struct sw_lathe *lathe, const struct slip *slip)
{
    sw_lathe_use(lathe, STOP);
    sw_lathe_rapid(lathe, 12, 8);
    sw_lathe_rapid(lathe, 12, slip->aside);
    sw_lathe_rapid(lathe, slip->face_z, slip->aside);
    if (!slip->has_no_pause)
        sw_lathe_pause(lathe);
    if (slip->is_rammed)
        sw_lathe_rapid(lathe, slip->face_z - 0.3, slip->aside);
    if (slip->is_fed)
        sw_lathe_cut(lathe, slip->face_z - 0.3, slip->aside);
    sw_lathe_rapid(lathe, 12, slip->aside);
    sw_lathe_rapid(lathe, 12, 8);
    sw_lathe_use(lathe, 1); /* which stands beside the nose now */
    sw_lathe_rapid(lathe, -12, 40);
    sw_lathe_rapid(lathe, 12, 40);
}

static struct sw_verdict *judge(struct rig *rig, const struct slip *slip, size_t n_cut)
{
    struct sw_lathe *lathe = &rig->lathe;
    for (size_t i = 0; i < n_cut; i++) {
        const struct slip good = {.face_z = 0.1}, *now = slip->at == i ? slip : &good;
        if (!now->is_turning)
            sw_lathe_spindle(lathe, SW_MOTION_STOPPED, lathe->state.speed);
        advance(lathe, now);
        sw_peg_turn(lathe, (struct sw_peg_slips){.seat_r = now->seat_r});
        if (!now->is_whole)
            sw_peg_part(lathe);
    }
    sw_lathe_end(lathe);
    const struct sw_verify_program program = {lathe->motion[0].name, &lathe->motion[0], false};
    struct sw_verdict *verdict = NULL;
    assert_int_equal(sw_verify_bar(&verdict, &program, 1, rig->is, &lathe->setup, &lathe->shop,
                                   false, &lathe->ctx),
                     SW_OK);
    return verdict;
}

static struct sw_verdict *judge_with(struct rig *rig, struct slip slip)
{
    begin(rig);
    return judge(rig, &slip, PEGS);
}

/* The finding is there, and the verdict fails. */
static const struct sw_finding *expect(const struct sw_verdict *verdict, enum sw_finding_code code)
{
    const struct sw_finding *finding = sw_peg_finding(verdict, code);
    if (finding == NULL)
        sw_peg_print(verdict);
    assert_non_null(finding);
    assert_int_equal(finding->severity, SW_ERROR);
    assert_false(verdict->passes);
    return finding;
}

static void three_pegs_from_a_bar_that_just_bears_them_pass(void **state)
{
    (void)state;
    struct rig rig;
    begin(&rig);
    const struct sw_verdict *verdict = judge(&rig, &none, PEGS);
    sw_peg_expect_clean(verdict);
    assert_int_equal(verdict->piece.n, PEGS);
    const struct sw_motion *motion = &rig.lathe.motion[0];
    for (size_t i = 0; i < PEGS; i++) {
        const struct sw_piece_verdict *piece = &verdict->piece.at[i];
        assert_true(piece->passes);
        assert_string_equal(piece->program, "side-1.nc");
        assert_near(piece->bar_mm, least_bar - takes * (double)i, 1e-9);
        assert_near(piece->gripped_mm, piece->bar_mm - 6.1, 1e-9);
        assert_near(piece->used_mm, takes, 1e-9);
        assert_int_equal(motion->at[piece->line - 1].kind, SW_MOTION_TOOL);
        assert_int_equal(motion->at[piece->line - 1].state.tool, STOP);
        assert_int_equal(motion->at[piece->pause - 1].kind, SW_MOTION_PAUSE);
        assert_true(piece->line < piece->pause && piece->pause < piece->end);
        assert_true(i == 0 || piece->pause == verdict->piece.at[i - 1].end);
    }
    sw_lathe_done(&rig.lathe);
}

static void a_bar_a_hundredth_shorter_fails_at_the_last_peg_alone(void **state)
{
    (void)state;
    struct rig rig;
    begin(&rig);
    rig.lathe.side[0].run.bar_length = number(least_bar - 0.01);
    const struct sw_verdict *verdict = judge(&rig, &none, PEGS);
    const struct sw_finding *finding = expect(verdict, SW_FINDING_ADVANCE);
    assert_int_equal(verdict->findings.n, 1);
    assert_int_equal(finding->line, verdict->piece.at[2].pause);
    assert_near(finding->value, 9.99, 1e-9);
    assert_near(finding->limit, 10, 0);
    assert_true(verdict->piece.at[0].passes && verdict->piece.at[1].passes);
    assert_false(verdict->piece.at[2].passes);
    sw_lathe_done(&rig.lathe);
}

/* The finished end face stands at 0, and closing may lose 0.05. */
static void an_advance_that_closing_may_make_too_short_is_found(void **state)
{
    (void)state;
    struct rig rig;
    struct sw_verdict *verdict = judge_with(&rig, (struct slip){.at = 1, .face_z = 0.049});
    const struct sw_finding *finding = expect(verdict, SW_FINDING_ADVANCE);
    assert_near(finding->value, -0.001, 1e-9);
    assert_near(finding->limit, 0, 1e-12);
    assert_int_equal(finding->line, verdict->piece.at[1].pause);
    assert_true(verdict->piece.at[0].passes && !verdict->piece.at[1].passes);
    sw_lathe_done(&rig.lathe);

    verdict = judge_with(&rig, (struct slip){.at = 1, .face_z = 0.051});
    sw_peg_expect_clean(verdict);
    assert_near(verdict->piece.at[1].used_mm, takes - 0.049, 1e-9);
    sw_lathe_done(&rig.lathe);
}

static void a_forgotten_pause_leaves_the_last_peg_uncut(void **state)
{
    (void)state;
    for (size_t at = 0; at < PEGS; at++) {
        struct rig rig;
        const struct sw_verdict *verdict =
            judge_with(&rig, (struct slip){.at = at, .has_no_pause = true, .face_z = 0.1});
        const struct sw_finding *finding = expect(verdict, SW_FINDING_ADVANCE);
        assert_near(finding->value, 2, 0);
        assert_near(finding->limit, 3, 0);
        assert_null(verdict->piece.at[2].program);
        assert_false(verdict->piece.at[2].passes);
        sw_lathe_done(&rig.lathe);
    }
}

static void more_pegs_than_the_record_lists_are_found(void **state)
{
    (void)state;
    struct rig rig;
    begin(&rig);
    const struct sw_verdict *verdict = judge(&rig, &none, PEGS + 1);
    assert_near(expect(verdict, SW_FINDING_ADVANCE)->value, PEGS + 1, 0);
    sw_lathe_done(&rig.lathe);
}

static void a_stop_beside_the_axis_lets_the_bar_pass(void **state)
{
    (void)state;
    struct rig rig;
    struct sw_verdict *verdict =
        judge_with(&rig, (struct slip){.at = 1, .face_z = 0.1, .aside = 2.01});
    const struct sw_finding *finding = expect(verdict, SW_FINDING_ADVANCE);
    assert_near(finding->value, 2.01, 1e-9);
    assert_near(finding->limit, 2, 0);
    sw_lathe_done(&rig.lathe);
    verdict = judge_with(&rig, (struct slip){.at = 1, .face_z = 0.1, .aside = 1.99});
    sw_peg_expect_clean(verdict);
    sw_lathe_done(&rig.lathe);
}

static void a_stop_that_stands_behind_the_end_of_the_bar_is_found(void **state)
{
    (void)state;
    struct rig rig;
    const struct sw_verdict *verdict = judge_with(&rig, (struct slip){.at = 1, .face_z = -3.6});
    expect(verdict, SW_FINDING_ADVANCE);
    expect(verdict, SW_FINDING_RAPID_INTO_STOCK); /* on its way there it met the bar */
    sw_lathe_done(&rig.lathe);
}

static void a_holder_opened_while_the_spindle_turns_is_found(void **state)
{
    (void)state;
    struct rig rig;
    const struct sw_verdict *verdict =
        judge_with(&rig, (struct slip){.at = 1, .is_turning = true, .face_z = 0.1});
    assert_int_equal(expect(verdict, SW_FINDING_PAUSE_WHILE_TURNING)->line,
                     verdict->piece.at[1].pause);
    sw_lathe_done(&rig.lathe);
}

static void a_peg_that_was_not_parted_is_found(void **state)
{
    (void)state;
    struct rig rig;
    const struct sw_verdict *verdict =
        judge_with(&rig, (struct slip){.at = 0, .is_whole = true, .face_z = 0.1});
    assert_false(verdict->passes);
    assert_false(verdict->piece.at[0].passes);
    sw_lathe_done(&rig.lathe);
}

static void a_stop_driven_or_fed_into_the_bar_is_found(void **state)
{
    (void)state;
    struct rig rig;
    const struct sw_verdict *verdict =
        judge_with(&rig, (struct slip){.at = 1, .is_rammed = true, .face_z = 0.1});
    expect(verdict, SW_FINDING_RAPID_INTO_STOCK);
    assert_true(verdict->piece.at[0].passes && !verdict->piece.at[1].passes);
    sw_lathe_done(&rig.lathe);
    verdict = judge_with(&rig, (struct slip){.at = 1, .is_fed = true, .face_z = 0.1});
    expect(verdict, SW_FINDING_HOLDER_RUBS);
    sw_lathe_done(&rig.lathe);
}

static void a_slip_in_one_peg_fails_that_peg_alone(void **state)
{
    (void)state;
    struct rig rig;
    const struct sw_verdict *verdict =
        judge_with(&rig, (struct slip){.at = 1, .seat_r = -0.01, .face_z = 0.1});
    const struct sw_finding *finding = expect(verdict, SW_FINDING_GOUGE);
    assert_true(finding->line > verdict->piece.at[1].pause);
    assert_true(finding->line < verdict->piece.at[1].end);
    assert_true(verdict->piece.at[0].passes && verdict->piece.at[2].passes);
    assert_false(verdict->piece.at[1].passes);
    sw_lathe_done(&rig.lathe);
}

static void a_station_without_a_stop_is_refused_by_the_verdict(void **state)
{
    (void)state;
    for (int station = 1; station < 6; station += 4) { /* a point; none at all */
        struct rig rig;
        begin(&rig);
        rig.lathe.side[0].run.stop = number(station);
        const struct sw_verdict *verdict = judge(&rig, &none, PEGS);
        expect(verdict, SW_FINDING_ADVANCE);
        assert_int_equal(verdict->piece.n, PEGS);
        assert_non_null(verdict->piece.at[0].name);
        sw_lathe_done(&rig.lathe);
    }
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

static void every_failing_allocation_ends_in_order(void **state)
{
    (void)state;
    struct rig rig;
    begin(&rig);
    rig.lathe.side[0].run.bar_length = number(least_bar - 0.01); /* a finding is made, too */
    judge(&rig, &none, PEGS);
    const struct sw_verify_program program = {"side-1.nc", &rig.lathe.motion[0], false};
    size_t n_all = 0;
    for (size_t fail = 0; fail <= n_all; fail += fail < 40 ? 1 : 1 + fail / 20) {
        struct teller teller = {0};
        const struct sw_mem_hook hook = {resize, &teller};
        sw_mem_set_hook(&hook);
        struct sw_ctx ctx = {sw_arena_new(), sw_diag_new()};
        teller.n = 0;
        teller.fail = fail;
        struct sw_verdict *verdict = NULL;
        const enum sw_status status = sw_verify_bar(&verdict, &program, 1, rig.is, &rig.lathe.setup,
                                                    &rig.lathe.shop, false, &ctx);
        n_all = fail == 0 ? teller.n : n_all;
        sw_diag_free(ctx.diag);
        sw_arena_free(ctx.arena);
        sw_mem_set_hook(NULL);
        assert_int_equal(status, fail > 0 && teller.n >= fail ? SW_MEMORY : SW_OK);
        assert_int_equal(teller.held, 0);
    }
    assert_true(n_all > 40);
    sw_lathe_done(&rig.lathe);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(three_pegs_from_a_bar_that_just_bears_them_pass),
        cmocka_unit_test(a_bar_a_hundredth_shorter_fails_at_the_last_peg_alone),
        cmocka_unit_test(an_advance_that_closing_may_make_too_short_is_found),
        cmocka_unit_test(a_forgotten_pause_leaves_the_last_peg_uncut),
        cmocka_unit_test(more_pegs_than_the_record_lists_are_found),
        cmocka_unit_test(a_stop_beside_the_axis_lets_the_bar_pass),
        cmocka_unit_test(a_stop_that_stands_behind_the_end_of_the_bar_is_found),
        cmocka_unit_test(a_holder_opened_while_the_spindle_turns_is_found),
        cmocka_unit_test(a_peg_that_was_not_parted_is_found),
        cmocka_unit_test(a_stop_driven_or_fed_into_the_bar_is_found),
        cmocka_unit_test(a_slip_in_one_peg_fails_that_peg_alone),
        cmocka_unit_test(a_station_without_a_stop_is_refused_by_the_verdict),
        cmocka_unit_test(every_failing_allocation_ends_in_order),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
