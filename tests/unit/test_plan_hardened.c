/* The finish of a hardened blank, as it is planned and judged. */
#include <math.h>
#include <string.h>

#include "app/app.h"
#include "geom/tol.h"
#include "support/near.h"

static const char *const roots[] = {SW_SOURCE_DIR "/profiles", NULL};
static const struct sw_app hard = {"0", {roots}, false, true}, soft = {"0", {roots}, false, false};
static const char job[] = SW_SOURCE_DIR "/samples/fenmoor-43/job-harden.yaml";

struct finish {
    struct sw_ctx ctx;
    struct sw_work work;
};

static void plan(struct finish *finish, const struct sw_app *app)
{
    *finish = (struct finish){.ctx = sw_test_ctx()};
    if (sw_app_load_job(&finish->work, job, app, &finish->ctx) != SW_OK ||
        sw_app_plan_job(&finish->work, NULL, app, &finish->ctx) != SW_OK)
        fail_msg("%s", sw_test_diagnostics(&finish->ctx));
}

static void both_sides_are_held_as_a_piece(void **state)
{
    (void)state;
    struct finish finish;
    plan(&finish, &hard);
    const struct sw_plan *is = finish.work.plan;
    assert_int_equal(is->n_chuckings, 2);
    for (size_t i = 0; i < 2; i++) {
        assert_false(is->chucking[i].is_from_rod);
        assert_string_equal(is->chucking[i].rests, "hub");
        for (size_t k = 0; k < is->chucking[i].n_ops; k++)
            assert_true(is->chucking[i].op[k].kind != SW_OP_PART &&
                        is->chucking[i].op[k].kind != SW_OP_TROUGH);
    }
    /* the roller seat as it was left thick; the balance seat as it was turned to: 1.1575 */
    assert_string_equal(is->chucking[0].grips, "roller seat");
    assert_near(is->chucking[0].grip_diameter, 0.58, 1e-9);
    assert_string_equal(is->chucking[1].grips, "balance seat");
    assert_near(is->chucking[1].grip_diameter, 1.1575, 1e-9);
    /* the hub is longer by a fifth of 0.04 where the roller sits: 4.55 - 2.12 and that */
    assert_near(is->chucking[0].nose_z, -(4.55 - 2.12 + 0.008), 1e-9);
    assert_near(is->chucking[1].nose_z, -2.64, 1e-9);
    /* two holders bored in place, 0.003 each */
    assert_near(sw_plan_pivot_runout(is), 0.006, 1e-9);
    sw_test_ctx_free(&finish.ctx);
}

static void nothing_that_the_blank_has_is_cut(void **state)
{
    (void)state;
    enum { STEPS = 8 };
    struct finish finish;
    plan(&finish, &hard);
    const struct sw_plan *is = finish.work.plan;
    for (size_t i = 0; i < 2; i++) {
        const struct sw_plan_chucking *c = &is->chucking[i];
        const bool is_upper = c->end == SW_SIDE_UPPER;
        struct sw_contour turned;
        assert_int_equal(sw_contour_place(&turned, &is->shape->turned, is_upper ? -1 : 1,
                                          is_upper ? 0 : -is->shape->staff->total, &finish.ctx),
                         SW_OK);
        for (size_t k = 0; k < c->n_ops; k++) {
            const struct sw_op *op = &c->op[k];
            if (op->n_passes == 0 || op->kind == SW_OP_FACE)
                continue;
            if (op->kind != SW_OP_RECESS && op->section != is->shape->staff->hub)
                assert_true(is->blank->form.leaves[op->section]);
            /* drawn in against bending by less than half a micrometre */
            for (size_t n = 0; n < op->n_passes; n++)
                for (size_t s = 0; s < op->pass[n].run.n; s++)
                    for (int t = 0; t <= STEPS; t++) {
                        const struct sw_pt p = sw_seg_at(&op->pass[n].run.at[s], (double)t / STEPS);
                        assert_true(sw_contour_distance(&turned, p, NULL) >
                                    op->tool->nose_radius.value - 6e-4);
                    }
        }
    }
    sw_test_ctx_free(&finish.ctx);
}

static void what_stands_of_the_blank_is_what_the_growth_leaves_of_it(void **state)
{
    (void)state;
    struct finish finish;
    plan(&finish, &hard);
    const struct sw_plan_blank *blank = finish.work.plan->blank;
    /* in the middle of the balance seat: 1.1575 / 1.0007 as turned, 1.0012 of that at most */
    assert_near(2 * sw_plan_blank_radius(blank, 1.77), 1.1575 / 1.0007 * 1.0012, 2e-6);
    assert_near(sw_plan_blank_radius(blank, -1), 0, 0);
    sw_test_ctx_free(&finish.ctx);
}

static struct sw_setup *record(struct finish *finish)
{
    struct sw_work *work = &finish->work;
    assert_int_equal(sw_app_write_job(work, ".", &hard, &finish->ctx), SW_OK);
    assert_int_equal(sw_app_resolve_blank(work->setup, &work->hardening->text, ".", work->staff,
                                          &hard, &finish->ctx),
                     SW_OK);
    return work->setup;
}

static struct sw_verdict *judge(struct finish *finish)
{
    struct sw_work *work = &finish->work;
    struct sw_app_text *text;
    size_t n;
    assert_int_equal(sw_app_program_texts(&text, &n, work, &finish->ctx), SW_OK);
    assert_int_equal(sw_app_judge(&work->verdict, text, n, work->setup, work->shop, work->shape,
                                  SW_APP_JUDGE, &finish->ctx),
                     SW_OK);
    return work->verdict;
}

static const struct sw_section_verdict *section_of(const struct finish *finish, const char *name)
{
    return &finish->work.verdict->section[sw_staff_section(finish->work.staff, name)->index];
}

static void the_judge_begins_with_the_blank_and_its_doubt(void **state)
{
    (void)state;
    struct finish finish;
    plan(&finish, &hard);
    const struct sw_setup *setup = record(&finish);
    assert_string_equal(setup->blank.is->file ? "read" : "not", "read");
    assert_true(setup->blank.is->state.value == SW_STATE_TEMPERED);
    assert_true(judge(&finish)->passes);
    const struct sw_section_verdict *seat = section_of(&finish, "balance seat");
    assert_near(seat->size_mm.least, 1.1575 / 1.0007 * 1.0002, 1e-5);
    assert_near(seat->size_mm.most, 1.1575 / 1.0007 * 1.0012, 1e-5);
    /* what is cut knows nothing of growth */
    const struct sw_section_verdict *pivot = section_of(&finish, "upper pivot");
    assert_true(pivot->size_mm.most - pivot->size_mm.least < 1e-4);
    sw_test_ctx_free(&finish.ctx);
}

static void another_growth_than_was_planned_for_fails(void **state)
{
    (void)state;
    static const double grown[][2] = {{0.0002, 0.009}, {-0.009, 0.0012}};
    for (size_t i = 0; i < 2; i++) {
        struct finish finish;
        plan(&finish, &hard);
        assert_int_equal(sw_app_write_job(&finish.work, ".", &hard, &finish.ctx), SW_OK);
        struct sw_setup *setup = finish.work.setup;
        setup->blank.grown_least.value = grown[i][0];
        setup->blank.grown_most.value = grown[i][1];
        assert_int_equal(sw_app_resolve_blank(setup, &finish.work.hardening->text, ".",
                                              finish.work.staff, &hard, &finish.ctx),
                         SW_OK);
        assert_false(judge(&finish)->passes);
        sw_test_ctx_free(&finish.ctx);
    }
}

static void soft_and_hard_are_cut_of_their_own_material(void **state)
{
    (void)state;
    struct finish blank, finish;
    plan(&blank, &soft);
    plan(&finish, &hard);
    assert_true(blank.work.staff->is_blank && blank.work.plan->chucking[0].is_from_rod);
    assert_false(finish.work.staff->is_blank);
    assert_int_equal(blank.work.plan->chucking[0].stock->is->state.value, SW_STATE_ANNEALED);
    assert_int_equal(finish.work.plan->chucking[0].stock->is->state.value, SW_STATE_TEMPERED);
    /* one and the same file */
    assert_string_equal(blank.work.hardening->text.text, finish.work.hardening->text.text);
    sw_test_ctx_free(&blank.ctx);
    sw_test_ctx_free(&finish.ctx);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(both_sides_are_held_as_a_piece),
        cmocka_unit_test(nothing_that_the_blank_has_is_cut),
        cmocka_unit_test(what_stands_of_the_blank_is_what_the_growth_leaves_of_it),
        cmocka_unit_test(the_judge_begins_with_the_blank_and_its_doubt),
        cmocka_unit_test(another_growth_than_was_planned_for_fails),
        cmocka_unit_test(soft_and_hard_are_cut_of_their_own_material),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
