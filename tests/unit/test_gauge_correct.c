/* Advice for a tool from readings beside what was expected. */
#include "support/near.h"

#include <math.h>

#include "gauge/correct.h"

/* N pieces of two sections whose diameters err by BASE + SLOPE * piece. */
static void correct(struct sw_correction *to, struct sw_gauged *reading, size_t n, double base,
                    double slope, struct sw_ctx *ctx)
{
    static const double size[] = {0.12, 0.83};
    *to = (struct sw_correction){.n_cuts = 2 * n};
    to->cut = SW_NEW(ctx->arena, struct sw_gauge_cut, to->n_cuts);
    assert_non_null(to->cut);
    for (size_t i = 0; i < 2 * n; i++) {
        const double piece = (double)(i / 2 + 1), is = size[i % 2];
        reading[i] = (struct sw_gauged){.diameter = {.value = is + base + slope * piece},
                                        .piece = {.value = piece}};
        to->cut[i] = (struct sw_gauge_cut){.reading = &reading[i],
                                           .section = i % 2,
                                           .side = 1,
                                           .station = 2,
                                           .expected = is,
                                           .u_gauge = 0.0005,
                                           .u = 0.0005,
                                           .lower = is - 0.003,
                                           .upper = is + (i % 2 ? 0.005 : 0.003)};
    }
    assert_int_equal(sw_gauge_correct(to, ctx), SW_OK);
    assert_int_equal(to->n_tools, 1);
}

static void a_drifting_tool_is_corrected_for_the_next_piece(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_gauged reading[8];
    struct sw_correction found;
    correct(&found, reading, 4, 0, 0.0005, &ctx);
    const struct sw_gauge_tool *tool = &found.tool[0];
    assert_true(tool->drifts);
    assert_near(tool->drift.value, 0.0005, 1e-12);
    assert_near(tool->offset.value, 5 * 0.0005 / 2, 1e-9);
    /* the tighter of both sections: 0.003 / 0.0005 */
    assert_int_equal(tool->limit_section, 0);
    assert_near(tool->limit_piece, 6, 1e-6);
    assert_true(tool->is_sure);
    sw_test_ctx_free(&ctx);
}

static void less_than_its_doubt_is_not_sure(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_gauged reading[2];
    struct sw_correction found;
    correct(&found, reading, 1, 0.0004, 0, &ctx);
    assert_near(found.tool[0].offset.value, 0.0002, 1e-12);
    assert_false(found.tool[0].is_sure);
    assert_false(found.tool[0].knows_drift);
    sw_test_ctx_free(&ctx);
}

static void what_hands_took_off_tells_nothing_of_the_tool(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_gauged reading = {.diameter = {.value = 0.11}, .stage = {.value = 2}};
    struct sw_gauge_cut cut = {.reading = &reading, .side = 1, .station = 2, .expected = 0.12};
    struct sw_correction found = {.cut = &cut, .n_cuts = 1};
    assert_int_equal(sw_gauge_correct(&found, &ctx), SW_OK);
    assert_int_equal(found.n_tools, 0);
    sw_test_ctx_free(&ctx);
}

static void a_taper_is_told_beyond_the_doubt_of_both_readings(void **state)
{
    (void)state;
    struct sw_gauged reading = {.diameter = {.value = 0.120},
                                .root_diameter = {.value = 0.122, .given = true},
                                .apart = {.value = 0.5, .given = true}};
    struct sw_gauge_cut cut = {.reading = &reading, .u_gauge = 0.0005};
    struct sw_gauge_value taper;
    assert_true(sw_gauge_taper(&taper, &cut));
    assert_near(taper.value, 0.004, 1e-12);
    assert_near(taper.u, sqrt(2) * 0.001, 1e-12);
    cut.u_gauge = 0.001;
    assert_false(sw_gauge_taper(&taper, &cut));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_drifting_tool_is_corrected_for_the_next_piece),
        cmocka_unit_test(less_than_its_doubt_is_not_sure),
        cmocka_unit_test(what_hands_took_off_tells_nothing_of_the_tool),
        cmocka_unit_test(a_taper_is_told_beyond_the_doubt_of_both_readings),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
