/* From surveys to sizes: rules of the trade, contradictions, what is missing, what to measure. */
#include "test_part_fixture.h"

#include <math.h>

#include "fit/fit.h"
#include "fit/size.h"

static struct sw_sizing *work_out(const char *text, enum sw_status wanted, struct sw_ctx *ctx)
{
    struct sw_survey *survey = NULL;
    if (sw_survey_parse(&survey, "survey.yaml", text, strlen(text), ctx) != SW_OK)
        fail_msg("%s", sw_test_diagnostics(ctx));
    struct sw_sizing *sizing = NULL;
    assert_int_equal(sw_size_work_out(&sizing, survey, ctx), wanted);
    return sizing;
}

static const char *survey_of(const char *sample, struct sw_ctx *ctx)
{
    char folder[256];
    snprintf(folder, sizeof folder, "samples/%s", sample);
    return read_repo_file(folder, "survey", ".yaml", ctx);
}

/* A whole small survey; EXTRA are more readings. */
static struct sw_sizing *small(const char *extra, enum sw_status wanted, struct sw_ctx *ctx)
{
    char text[4096];
    snprintf(text, sizeof text,
             "format: survey/1\nname: Bramble 12\nreadings:\n"
             "  - over_jewels: {reads: 3.62, uncertainty: 0.0005}\n"
             "  - upper_gap: {reads: 0.03, uncertainty: 0.0005}\n"
             "  - lower_gap: {reads: 0.03, uncertainty: 0.0005}\n"
             "  - upper_hole: {reads: 0.11, uncertainty: 0.0004}\n"
             "  - lower_hole: {reads: 0.11, uncertainty: 0.0004}\n"
             "  - upper_jewel: {reads: 0.12, uncertainty: 0.002}\n"
             "  - lower_jewel: {reads: 0.12, uncertainty: 0.002}\n"
             "  - balance_bore: {reads: 0.95, uncertainty: 0.0005}\n"
             "  - arm_thickness: {reads: 0.22, uncertainty: 0.002}\n"
             "  - arm_height: {reads: 2.05, uncertainty: 0.003}\n"
             "  - roller_bore: {reads: 0.44, uncertainty: 0.0003}\n"
             "  - roller_thickness: {reads: 0.24, uncertainty: 0.003}\n"
             "  - roller_height: {reads: 1.6, uncertainty: 0.003}\n"
             "  - collet_bore: {reads: 0.64, uncertainty: 0.002}\n%s",
             extra);
    return work_out(text, wanted, ctx);
}

static const struct sw_size *size_of(const struct sw_sizing *sizing, enum sw_size_id id)
{
    assert_true(sizing->size[id].is_there);
    return &sizing->size[id];
}

/* 3.62 over the jewels, 0.03 + 0.03 stand-off, 0.025 end shake: 3.655 (L = J + g + g - s, from Hall
 * 1910 and the Keystone 1904; worked out by hand). */
static void the_length_is_what_the_frame_leaves(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_sizing *sizing = small("", SW_OK, &ctx);
    const struct sw_size *total = size_of(sizing, SW_SIZE_TOTAL);
    assert_near(total->value, 3.655, 1e-9);
    assert_near(total->u, 0.0005 * sqrt(3), 1e-12);
    assert_near(total->expanded, 1.959964 * total->u, 1e-7);
    assert_true(total->fits);
    assert_near(total->band, 0.005, 1e-12);
    /* Hole 0.11, aim near 0.01 within 0.0075 to 0.0125; hole, margin and stand-off. */
    assert_near(size_of(sizing, SW_SIZE_UPPER_PIVOT)->value, 0.1, 0.0005);
    assert_near(size_of(sizing, SW_SIZE_UPPER_STRAIGHT)->value, 0.19, 1e-9);
    assert_near(size_of(sizing, SW_SIZE_HUB_LENGTH)->value, 0.45, 1e-9);
    sw_test_ctx_free(&ctx);
}

/* The hole in the hub's fit stops the roller at three quarters, by the seat's own length. */
static void the_roller_seat_stops_its_roller_three_quarters_home(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_sizing *sizing = small("", SW_OK, &ctx);
    const double length = size_of(sizing, SW_SIZE_ROLLER_LENGTH)->value;
    assert_near(size_of(sizing, SW_SIZE_ROLLER_SEAT)->value, 0.44 + 0.01 * length / 4, 0.00006);
    sw_test_ctx_free(&ctx);
}

static void the_sample_survey_leads_close_to_the_sample_staff(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_sizing *sizing = work_out(survey_of("fenmoor-43", &ctx), SW_OK, &ctx);
    struct sw_buf text = {0};
    sw_size_write_staff(&text, sizing);
    assert_false(text.failed);
    struct sw_staff *made = NULL;
    const enum sw_status status = parse_text(&made, sw_buf_text(&text), &ctx);
    sw_buf_done(&text);
    if (status != SW_OK)
        fail_msg("%s", sw_test_diagnostics(&ctx));
    const struct sw_staff *sample = load_sample("fenmoor-43", &ctx);
    assert_int_equal(made->n, sample->n);
    assert_near(made->total, sample->total, 0.001);
    for (size_t i = 0; i < made->n; i++) {
        const struct sw_section *a = &made->section[i], *b = &sample->section[i];
        assert_int_equal(a->kind, b->kind);
        assert_near(a->r0, b->r0, 0.003);
        assert_near(a->r1, b->r1, 0.012); /* the hub's thin end follows its land */
        assert_near(a->z1 - a->z0, b->z1 - b->z0, 0.051);
    }
    for (size_t i = 0; i < 2; i++)
        assert_near(made->height[i].from_lower_tip, sample->height[i].from_lower_tip, 0.001);
    sw_test_ctx_free(&ctx);
}

static void every_sample_survey_gives_a_staff_that_fits(void **state)
{
    (void)state;
    static const char *const sample[] = {"fenmoor-43", "harrow-2p", "millrace", "tollgate"};
    for (size_t i = 0; i < sizeof sample / sizeof *sample; i++) {
        struct sw_ctx ctx = sw_test_ctx();
        const struct sw_sizing *sizing = work_out(survey_of(sample[i], &ctx), SW_OK, &ctx);
        struct sw_buf text = {0};
        sw_size_write_staff(&text, sizing);
        struct sw_staff *staff = NULL;
        const enum sw_status status = parse_text(&staff, sw_buf_text(&text), &ctx);
        sw_buf_done(&text);
        if (status != SW_OK)
            fail_msg("%s", sw_test_diagnostics(&ctx));
        struct sw_fit *fit = NULL;
        assert_int_equal(sw_fit_check(&fit, staff, &ctx), SW_OK);
        assert_non_null(fit);
        assert_true(fit->chance_together > 0.95);
        for (size_t k = 0; k < fit->n; k++)
            assert_true(fit->item[k].verdict != SW_FIT_OUTSIDE);
        sw_test_ctx_free(&ctx);
    }
}

static const struct sw_clash *only_clash(const struct sw_sizing *sizing)
{
    assert_int_equal(sizing->know->clash.n, 1);
    return &sizing->know->clash.at[0];
}

/* |a - b| over the root of the sum of squares; chi-square of two readings is its square. */
static void contradicting_readings_are_named_with_their_difference(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_sizing *sizing = small(
        "  - over_jewels: {reads: 3.63, uncertainty: 0.0005, by: depth gauge}\n", SW_FOUND, &ctx);
    const struct sw_clash *clash = only_clash(sizing);
    assert_string_equal(clash->a, "over_jewels in line 4");
    assert_string_equal(clash->b, "over_jewels in line 18 (depth gauge)");
    assert_near(clash->normalised, 0.01 / hypot(0.0005, 0.0005), 1e-9);
    assert_near(clash->chi_square, clash->normalised * clash->normalised, 1e-6);
    assert_true(clash->is_sure);
    assert_false(sizing->is_writable);
    /* The joined value carries the contradiction: Birge's ratio over the weighted mean's. */
    const struct sw_size *total = size_of(sizing, SW_SIZE_TOTAL);
    const double joined = 0.0005 / sqrt(2) * clash->normalised;
    assert_near(total->u, sqrt(joined * joined + 2 * 0.0005 * 0.0005), 1e-9);
    assert_false(total->fits);
    sw_test_ctx_free(&ctx);
}

static void of_three_readings_the_odd_one_is_named(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_sizing *sizing =
        small("  - over_jewels: {reads: 3.65, uncertainty: 0.0005}\n"
              "  - over_jewels: {reads: 3.6205, uncertainty: 0.0005}\n",
              SW_FOUND, &ctx);
    assert_string_equal(only_clash(sizing)->suspect, "over_jewels in line 18");
    assert_near(only_clash(sizing)->dof, 2, 0);
    sw_test_ctx_free(&ctx);
}

static void two_ways_to_one_thing_are_compared(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_sizing *sizing =
        small("  - between_endstones: {reads: 3.60, uncertainty: 0.002}\n", SW_FOUND, &ctx);
    const struct sw_clash *clash = only_clash(sizing);
    assert_string_equal(clash->a, "over_jewels + upper_gap + lower_gap");
    assert_near(clash->value_a, 3.68, 1e-9);
    assert_near(clash->normalised, 0.08 / hypot(0.0005 * sqrt(3), 0.002), 1e-9);
    sw_test_ctx_free(&ctx);
}

static void readings_that_agree_are_joined_by_their_weights(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_sizing *sizing =
        small("  - roller_bore: {reads: 0.4406, uncertainty: 0.0006}\n", SW_OK, &ctx);
    assert_int_equal(sizing->know->clash.n, 0);
    const struct sw_gum *bore = &sizing->know->of[SW_READ_ROLLER_BORE].is;
    assert_near(bore->value, (0.44 * 4 + 0.4406) / 5, 1e-9); /* weights 4 to 1 */
    assert_near(sw_know_u(sizing->know, bore), 0.0003 * 2 / sqrt(5), 1e-9);
    sw_test_ctx_free(&ctx);
}

/* One of twenty honest pairs differs by two standard uncertainties: said, but no reason to stop. */
static void a_doubtful_pair_is_mentioned_only(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_sizing *sizing =
        small("  - over_jewels: {reads: 3.6216, uncertainty: 0.0005}\n", SW_OK, &ctx);
    assert_false(only_clash(sizing)->is_sure);
    assert_true(sizing->is_writable);
    sw_test_ctx_free(&ctx);
}

static void an_old_pivot_thicker_than_its_hole_is_no_reason_to_stop(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_sizing *sizing =
        small("  - old_lower_pivot: {reads: 0.12, uncertainty: 0.001}\n", SW_OK, &ctx);
    assert_true(only_clash(sizing)->is_old);
    assert_near(size_of(sizing, SW_SIZE_LOWER_PIVOT)->value, 0.1, 0.0005);
    sw_test_ctx_free(&ctx);
}

static bool is_missing(const struct sw_sizing *sizing, enum sw_size_id id)
{
    for (size_t i = 0; i < sizing->missing.n; i++)
        if (sizing->missing.at[i].size == id)
            return true;
    return false;
}

static void what_nothing_can_stand_in_for_is_asked_for(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const char *text = read_repo_file("samples/surveys", "incomplete", ".yaml", &ctx);
    const struct sw_sizing *sizing = work_out(text, SW_FOUND, &ctx);
    static const enum sw_size_id wanted[] = {SW_SIZE_UPPER_PIVOT, SW_SIZE_TOTAL,
                                             SW_SIZE_HUB_FACE,    SW_SIZE_ROLLER_SHOULDER,
                                             SW_SIZE_COLLET_SEAT, SW_SIZE_ROLLER_SEAT};
    assert_int_equal(sizing->missing.n, sizeof wanted / sizeof *wanted);
    for (size_t i = 0; i < sizeof wanted / sizeof *wanted; i++)
        assert_true(is_missing(sizing, wanted[i]));
    /* What can be said is said. */
    assert_near(size_of(sizing, SW_SIZE_LOWER_PIVOT)->value, 0.0875 - 0.0096, 0.0005);
    assert_int_equal(size_of(sizing, SW_SIZE_LOWER_STRAIGHT)->origin, SW_ORIGIN_PROPOSED);
    sw_test_ctx_free(&ctx);
}

/* Take one reading out of the sample after another: each time there is a staff that loads, or a
 * list of what is missing. */
static void any_reading_may_be_missing(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const char *whole = survey_of("fenmoor-43", &ctx);
    size_t n_tried = 0, n_missing = 0;
    for (const char *line = strstr(whole, "  - "); line; line = strstr(line + 1, "\n  - ")) {
        const char *from = *line == '\n' ? line + 1 : line;
        const char *end = strchr(from, '\n') + 1;
        struct sw_ctx own = sw_test_ctx();
        char *text = sw_arena_printf(own.arena, "%.*s%s", (int)(from - whole), whole, end);
        struct sw_survey *survey = NULL;
        assert_int_equal(sw_survey_parse(&survey, "s", text, strlen(text), &own), SW_OK);
        struct sw_sizing *sizing = NULL;
        const enum sw_status status = sw_size_work_out(&sizing, survey, &own);
        n_tried++;
        if (status == SW_FOUND) {
            assert_true(sizing->missing.n > 0);
            n_missing++;
        } else {
            assert_int_equal(status, SW_OK);
            struct sw_buf out = {0};
            sw_size_write_staff(&out, sizing);
            struct sw_staff *staff = NULL;
            assert_int_equal(parse_text(&staff, sw_buf_text(&out), &own), SW_OK);
            sw_buf_done(&out);
        }
        sw_test_ctx_free(&own);
    }
    assert_true(n_tried > 25);
    assert_true(n_missing >= 4 && n_missing <= 8);
    sw_test_ctx_free(&ctx);
}

/* The promise of "+-x would do": with that, doubt and making fit into the band. */
static void what_is_asked_of_a_reading_is_enough(void **state)
{
    (void)state;
    double plus_minus = 0.01;
    for (int round = 0; round < 2; round++) {
        struct sw_ctx ctx = sw_test_ctx();
        char text[1024];
        snprintf(text, sizeof text,
                 "format: survey/1\nname: Bramble 12\nreadings:\n"
                 "  - over_jewels: {reads: 3.62, plus_minus: %.9f}\n"
                 "  - upper_gap: {reads: 0.03, plus_minus: 0.001}\n"
                 "  - lower_gap: {reads: 0.03, plus_minus: 0.001}\n",
                 plus_minus);
        const struct sw_sizing *sizing = work_out(text, SW_FOUND, &ctx);
        const struct sw_size *total = size_of(sizing, SW_SIZE_TOTAL);
        if (round == 0) {
            assert_false(total->fits);
            assert_int_equal(sizing->know->doubt[total->improve].kind, SW_READ_OVER_JEWELS);
            assert_true(total->improve_to > 0.001 && total->improve_to < 0.01);
            plus_minus = total->improve_to;
        } else {
            assert_near(total->expanded + total->least_tolerance, total->band, 1e-7);
        }
        sw_test_ctx_free(&ctx);
    }
}

static void what_decides_most_is_to_be_measured_first(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_sizing *sizing = work_out(survey_of("millrace", &ctx), SW_OK, &ctx);
    assert_true(sizing->next.n > 3);
    assert_int_equal(sizing->next.at[0].kind, SW_READ_ROLLER_HEIGHT);
    assert_true(sizing->next.at[0].is_proposed);
    for (size_t i = 1; i < sizing->next.n; i++)
        assert_true(sizing->next.at[i].worth <= sizing->next.at[i - 1].worth);
    sw_test_ctx_free(&ctx);
}

static void heights_that_leave_no_hub_are_refused(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const char *text = "format: survey/1\nname: Bramble 12\nreadings:\n"
                       "  - between_endstones: {reads: 3.68}\n"
                       "  - upper_hole: {reads: 0.11}\n"
                       "  - lower_hole: {reads: 0.11}\n"
                       "  - balance_bore: {reads: 0.95}\n"
                       "  - collet_bore: {reads: 0.64}\n"
                       "  - roller_bore: {reads: 0.44}\n"
                       "  - arm_height: {reads: 1.60}\n"
                       "  - roller_height: {reads: 2.05}\n";
    const struct sw_sizing *sizing = work_out(text, SW_FOUND, &ctx);
    assert_int_equal(sizing->missing.n, 0);
    assert_int_equal(sizing->refused.n, 1);
    assert_non_null(strstr(sizing->refused.at[0], "no hub"));
    sw_test_ctx_free(&ctx);
}

static enum sw_status size_once(struct sw_ctx *ctx)
{
    static const char text[] = "format: survey/1\nname: Bramble 12\nreadings:\n"
                               "  - between_endstones: {reads: 3.68}\n"
                               "  - over_jewels: {reads: 3.62}\n"
                               "  - upper_hole: {reads: 0.11}\n"
                               "  - upper_hole: {reads: 0.1136}\n"
                               "  - lower_hole: {reads: 0.11}\n"
                               "  - balance_bore: {reads: 0.95}\n"
                               "  - collet_bore: {reads: 0.64}\n"
                               "  - roller_bore: {reads: 0.44}\n"
                               "  - arm_height: {reads: 2.05}\n"
                               "  - fork_top: {reads: 1.30}\n"
                               "  - roller_thickness: {reads: 0.25}\n";
    struct sw_survey *survey = NULL;
    struct sw_sizing *sizing = NULL;
    SW_TRY(sw_survey_parse(&survey, "survey.yaml", text, sizeof text - 1, ctx));
    const enum sw_status status = sw_size_work_out(&sizing, survey, ctx);
    if (status != SW_OK)
        return status;
    struct sw_buf out = {0};
    sw_size_write_staff(&out, sizing);
    const bool failed = out.failed;
    sw_buf_done(&out);
    return failed ? SW_MEMORY : SW_OK;
}

static void sizing_survives_every_failed_allocation(void **state)
{
    (void)state;
    assert_survives_failures(size_once);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_length_is_what_the_frame_leaves),
        cmocka_unit_test(the_roller_seat_stops_its_roller_three_quarters_home),
        cmocka_unit_test(the_sample_survey_leads_close_to_the_sample_staff),
        cmocka_unit_test(every_sample_survey_gives_a_staff_that_fits),
        cmocka_unit_test(contradicting_readings_are_named_with_their_difference),
        cmocka_unit_test(of_three_readings_the_odd_one_is_named),
        cmocka_unit_test(two_ways_to_one_thing_are_compared),
        cmocka_unit_test(readings_that_agree_are_joined_by_their_weights),
        cmocka_unit_test(a_doubtful_pair_is_mentioned_only),
        cmocka_unit_test(an_old_pivot_thicker_than_its_hole_is_no_reason_to_stop),
        cmocka_unit_test(what_nothing_can_stand_in_for_is_asked_for),
        cmocka_unit_test(any_reading_may_be_missing),
        cmocka_unit_test(what_is_asked_of_a_reading_is_enough),
        cmocka_unit_test(what_decides_most_is_to_be_measured_first),
        cmocka_unit_test(heights_that_leave_no_hub_are_refused),
        cmocka_unit_test(sizing_survives_every_failed_allocation),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
