/* What every path keeps: X clear before Z, safe pauses, tools changed far from the work. */
#include "moves/moves.h"
#include "support/bench.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const char *const samples[] = {"fenmoor-43", "wren-8", "tollgate", "millrace", "harrow-2p"};
enum { N_SAMPLES = sizeof samples / sizeof *samples };

typedef void (*check_path)(const struct sw_path *path, const struct sw_plan_chucking *chucking);

static void on_every_path(check_path check)
{
    for (size_t s = 0; s < N_SAMPLES; s++) {
        struct sw_bench bench;
        sw_bench_load(&bench, samples[s]);
        assert_int_equal(sw_bench_plan(&bench), SW_OK);
        for (size_t i = 0; i < 2; i++) {
            struct sw_path *path = NULL;
            assert_int_equal(sw_moves_build(&path, bench.plan, i, &bench.ctx), SW_OK);
            assert_true(path->n > 50);
            check(path, &bench.plan->chucking[i]);
        }
        sw_bench_free(&bench);
    }
}

/* At a pause or a tool change: spindle still, the last two moves away in X, then in Z. */
static void leaves_room(const struct sw_path *path, size_t i)
{
    const struct sw_path_event *event = &path->at[i];
    assert_true(i >= 3);
    assert_int_equal(event[-1].kind, SW_PATH_STOP);
    assert_int_equal(event[-2].kind, SW_PATH_RAPID);
    assert_int_equal(event[-3].kind, SW_PATH_RAPID);
    /* Z moves last, and no longer X. */
    assert_near(event[-2].to.r, event[-3].to.r, 0);
    assert_true(event[-2].to.r > SW_MOVES_HAND_R - 1.0);
    assert_true(event[-2].to.z > SW_MOVES_HAND_Z - 1.0);
}

static void check_pauses(const struct sw_path *path, const struct sw_plan_chucking *chucking)
{
    (void)chucking;
    size_t n_pauses = 0;
    bool has_tool = false;
    for (size_t i = 0; i < path->n; i++) {
        if (path->at[i].kind == SW_PATH_PAUSE) {
            leaves_room(path, i);
            n_pauses++;
        }
        if (path->at[i].kind == SW_PATH_TOOL && has_tool && path->at[i - 1].kind != SW_PATH_PAUSE)
            leaves_room(path, i);
        has_tool = has_tool || path->at[i].kind == SW_PATH_TOOL;
    }
    assert_true(n_pauses >= 1);
    assert_int_equal(path->at[path->n - 1].kind, SW_PATH_END);
    if (path->at[path->n - 2].kind != SW_PATH_PAUSE) /* which was looked at above */
        leaves_room(path, path->n - 1);
}

static void pauses_and_changes_are_far_from_the_work_with_the_spindle_still(void **state)
{
    (void)state;
    on_every_path(check_pauses);
}

static void check_turning(const struct sw_path *path, const struct sw_plan_chucking *chucking)
{
    (void)chucking;
    bool is_turning = false;
    for (size_t i = 0; i < path->n; i++) {
        const struct sw_path_event *event = &path->at[i];
        if (event->kind == SW_PATH_SPINDLE)
            is_turning = true;
        if (event->kind == SW_PATH_STOP || event->kind == SW_PATH_TOOL)
            is_turning = false;
        if (event->kind == SW_PATH_LINE || event->kind == SW_PATH_ARC) {
            assert_true(is_turning);
            assert_true(event->feed > 0);
        }
    }
}

static void every_cut_has_a_turning_spindle_and_a_feed(void **state)
{
    (void)state;
    on_every_path(check_turning);
}

static void check_rapids(const struct sw_path *path, const struct sw_plan_chucking *chucking)
{
    (void)chucking;
    struct sw_pt at = {NAN, NAN};
    bool is_after_tool = true;
    for (size_t i = 0; i < path->n; i++) {
        const struct sw_path_event *event = &path->at[i];
        is_after_tool = is_after_tool || event->kind == SW_PATH_TOOL;
        const bool moves = event->kind == SW_PATH_RAPID || event->kind == SW_PATH_LINE ||
                           event->kind == SW_PATH_ARC;
        /* One axis at a time, but for the first move of a tool, far from the work. */
        if (event->kind == SW_PATH_RAPID && !is_after_tool)
            assert_true(fabs(event->to.z - at.z) < 1e-12 || fabs(event->to.r - at.r) < 1e-12);
        if (moves) {
            at = event->to;
            is_after_tool = false;
        }
    }
}

static void rapids_go_one_axis_at_a_time(void **state)
{
    (void)state;
    on_every_path(check_rapids);
}

/* Fails the N-th allocation from now on. */
/* Index of the pause before which the bar comes out for piece I. */
static size_t advance_of(const struct sw_path *path, size_t piece)
{
    for (size_t i = 0; i < path->n; i++)
        if (path->at[i].kind == SW_PATH_PAUSE && strstr(path->at[i].text, "against the stop") &&
            piece-- == 0)
            return i;
    fail();
    return 0;
}

/* Two pieces of one plan and, between them, one that stands out less: each is cut by its own moves,
 * shifted along z so that the nose of the holder stays. */
static void a_run_cuts_each_piece_by_its_own_moves_from_the_same_nose(void **state)
{
    (void)state;
    struct sw_bench bench;
    sw_bench_load(&bench, "fenmoor-43");
    bench.job->parting.value = SW_PART_THROUGH;
    assert_int_equal(sw_bench_plan(&bench), SW_OK);
    struct sw_plan nearer = *bench.plan;
    nearer.chucking[0].nose_z += 0.25;
    const struct sw_moves_piece piece[] = {{bench.plan, "a"}, {&nearer, "b"}, {bench.plan, "a"}};
    const int stop = 5;
    const struct sw_moves_run run = {.piece = piece,
                                     .n = 3,
                                     .first_number = 8,
                                     .n_all = 10,
                                     .stop = stop,
                                     .nose_z = sw_moves_run_nose(piece, 3),
                                     .bar = 60,
                                     .called = "trial",
                                     .stem = "bar-1"};
    assert_near(run.nose_z, bench.plan->chucking[0].nose_z, 0);
    struct sw_path *own = NULL, *path = NULL;
    assert_int_equal(sw_moves_build(&own, bench.plan, 0, &bench.ctx), SW_OK);
    assert_int_equal(sw_moves_run(&path, &run, &bench.ctx), SW_OK);
    assert_int_equal(path->at[path->n - 1].kind, SW_PATH_END);
    for (size_t i = 0; i < 3; i++) {
        const double at_z = i == 1 ? -0.25 : 0;
        const size_t pause = advance_of(path, i);
        assert_true(strstr(path->at[pause].text, i == 0   ? "piece 8:"
                                                 : i == 1 ? "piece 9:"
                                                          : "piece 10:") != NULL);
        const struct sw_path_event *to = &path->at[pause - 1];
        assert_near(to->to.z, bench.plan->chucking[0].rod_end_z + at_z, 1e-12);
        assert_near(to->to.r, 0, 0);
        const struct sw_path_event *first = &path->at[pause + 3];
        for (size_t k = 0; k + 1 < own->n; k++) { /* all but its end */
            assert_int_equal(first[k].kind, own->at[k].kind);
            assert_near(first[k].to.z, own->at[k].to.z + at_z, 1e-12);
            assert_near(first[k].to.r, own->at[k].to.r, 0);
        }
    }
    sw_bench_free(&bench);
}

static void pieces_with_other_corrections_do_not_go_into_one_program(void **state)
{
    (void)state;
    struct sw_bench bench, other;
    sw_bench_load(&bench, "fenmoor-43");
    sw_bench_load(&other, "tollgate");
    assert_int_equal(sw_bench_plan(&bench), SW_OK);
    assert_int_equal(sw_bench_plan(&other), SW_OK);
    const struct sw_moves_piece piece[] = {{bench.plan, "a"}, {other.plan, "b"}};
    const struct sw_moves_run run = {.piece = piece,
                                     .n = 2,
                                     .first_number = 1,
                                     .n_all = 2,
                                     .stop = 5,
                                     .nose_z = sw_moves_run_nose(piece, 2),
                                     .bar = 60,
                                     .called = "trial",
                                     .stem = "bar-1"};
    struct sw_path *path = NULL;
    assert_int_equal(sw_moves_run(&path, &run, &bench.ctx), SW_CANNOT);
    assert_non_null(strstr(sw_test_diagnostics(&bench.ctx), "one program cannot hold both"));
    sw_bench_free(&other);
    sw_bench_free(&bench);
}

struct failing {
    size_t left;
};

static void *resize_or_fail(void *user, void *block, size_t old_size, size_t new_size)
{
    struct failing *failing = user;
    (void)old_size;
    if (new_size == 0) {
        free(block);
        return NULL;
    }
    if (failing->left == 0)
        return NULL;
    failing->left--;
    return realloc(block, new_size);
}

static void planning_reports_every_lack_of_memory(void **state)
{
    (void)state;
    enum sw_status status = SW_MEMORY;
    size_t n_failed = 0;
    /* The further on, the more alike the places are: the steps widen, or a day would not do. */
    for (size_t n = 0; status == SW_MEMORY; n += 1 + n / 200) {
        struct sw_bench bench;
        sw_bench_load(&bench, "wren-8");
        struct failing failing = {n};
        const struct sw_mem_hook hook = {resize_or_fail, &failing};
        struct sw_path *path = NULL;
        sw_mem_set_hook(&hook);
        status = sw_bench_plan(&bench);
        if (status == SW_OK)
            status = sw_moves_build(&path, bench.plan, 0, &bench.ctx);
        sw_mem_set_hook(NULL);
        sw_bench_free(&bench);
        n_failed += status != SW_OK;
    }
    assert_int_equal(status, SW_OK);
    assert_true(n_failed > 3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pauses_and_changes_are_far_from_the_work_with_the_spindle_still),
        cmocka_unit_test(every_cut_has_a_turning_spindle_and_a_feed),
        cmocka_unit_test(rapids_go_one_axis_at_a_time),
        cmocka_unit_test(a_run_cuts_each_piece_by_its_own_moves_from_the_same_nose),
        cmocka_unit_test(pieces_with_other_corrections_do_not_go_into_one_program),
        cmocka_unit_test(planning_reports_every_lack_of_memory),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
