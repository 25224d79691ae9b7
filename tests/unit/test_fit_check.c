/* Whether a staff fits: limits of the trade, and chances against closed cases. */
#include "test_part_fixture.h"

#include <math.h>

#include "fit/fit.h"

static const struct sw_fit_item *item_of(const struct sw_fit *fit, const char *name)
{
    for (size_t i = 0; i < fit->n; i++)
        if (strcmp(fit->item[i].name, name) == 0)
            return &fit->item[i];
    fail_msg("there is no item %s", name);
    return NULL;
}

/* A staff of pivots 0.1 and length 3.0; TAIL are its jewels and parts. */
static struct sw_fit *check(const char *tolerance, const char *tail, enum sw_status wanted,
                            struct sw_ctx *ctx)
{
    char text[2048];
    snprintf(text, sizeof text,
             "format: staff/1\nname: Bramble 8\nmaterial: carbon-steel-blue\n"
             "total: {length: 3.0, tolerance: 0.005}\nsections:\n"
             "  - pivot: {diameter: 0.1, tolerance: %s, length: 0.25, length_tolerance: 0.01}\n"
             "  - cylinder: {diameter: 0.6, length: free}\n"
             "  - seat: {name: roller seat, takes: roller, at: hub, diameter: 0.402, taper: 0.01, "
             "length: 0.7, tolerance: 0.0005}\n"
             "  - pivot: {diameter: 0.1, tolerance: %s, length: 0.25, length_tolerance: 0.01}\n%s",
             tolerance, tolerance, tail);
    struct sw_staff *staff = NULL;
    const enum sw_status status = parse_text(&staff, text, ctx);
    if (status != SW_OK && status != SW_FOUND)
        fail_msg("%s", sw_test_diagnostics(ctx));
    struct sw_fit *fit = NULL;
    assert_int_equal(sw_fit_check(&fit, staff, ctx), wanted);
    return fit;
}

/* Kleinlein 1920, sec. 25. */
static void side_shake_is_judged_at_kleinleins_limits(void **state)
{
    (void)state;
    static const struct {
        const char *hole;
        enum sw_fit_verdict verdict;
    } row[] = {{"0.1074", SW_FIT_OUTSIDE},
               {"0.1075", SW_FIT_GOOD},
               {"0.1125", SW_FIT_GOOD},
               {"0.1126", SW_FIT_OUTSIDE},
               {"0.1000", SW_FIT_FAILS}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        struct sw_ctx ctx = sw_test_ctx();
        char tail[128];
        snprintf(tail, sizeof tail, "jewels: {upper: {hole: %s, thickness: 0.12}}\n", row[i].hole);
        const struct sw_fit *fit =
            check("0.0005", tail, row[i].verdict == SW_FIT_FAILS ? SW_FOUND : SW_OK, &ctx);
        assert_int_equal(item_of(fit, "side shake, upper")->verdict, row[i].verdict);
        sw_test_ctx_free(&ctx);
    }
}

/* End shake 0.02 to 0.03, 0.01 is bad practice: the same section. */
static void end_shake_is_judged_at_kleinleins_limits(void **state)
{
    (void)state;
    static const struct {
        const char *between;
        enum sw_fit_verdict verdict;
    } row[] = {{"3.010", SW_FIT_OUTSIDE},
               {"3.020", SW_FIT_GOOD},
               {"3.030", SW_FIT_GOOD},
               {"3.031", SW_FIT_OUTSIDE},
               {"2.999", SW_FIT_FAILS}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        struct sw_ctx ctx = sw_test_ctx();
        char tail[128];
        snprintf(tail, sizeof tail, "jewels: {between_endstones: %s}\n", row[i].between);
        const struct sw_fit *fit =
            check("0.0005", tail, row[i].verdict == SW_FIT_FAILS ? SW_FOUND : SW_OK, &ctx);
        assert_int_equal(item_of(fit, "end shake")->verdict, row[i].verdict);
        sw_test_ctx_free(&ctx);
    }
}

/* A length even within +-0.005 against a known distance: the share inside is plain geometry. */
static void chances_meet_the_closed_case_of_one_even_size(void **state)
{
    (void)state;
    static const struct {
        const char *between;
        double chance;
    } row[] = {{"3.025", 1}, {"3.030", 0.5}, {"3.0325", 0.25}, {"3.018", 0.3}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        struct sw_ctx ctx = sw_test_ctx();
        char tail[128];
        snprintf(tail, sizeof tail, "jewels: {between_endstones: %s}\n", row[i].between);
        const struct sw_fit *fit = check("0.0005", tail, SW_OK, &ctx);
        const struct sw_fit_item *item = item_of(fit, "end shake");
        assert_near(item->chance, row[i].chance, 4 * sqrt(0.25 / SW_FIT_TRIALS));
        assert_near(item->rss, 0.005, 1e-9);
        assert_near(item->worst_high - item->worst_low, 0.01, 1e-9);
        sw_test_ctx_free(&ctx);
    }
}

/* Many small sources: 95 % of the trials against the root of squares, worst case against the sum.
 */
static void drawing_worst_case_and_squares_agree_on_a_sum(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_fit *fit = check("0.0005",
                                     "parts:\n  readings:\n"
                                     "    - over_jewels: {reads: 2.965, uncertainty: 0.002}\n"
                                     "    - upper_gap: {reads: 0.03, uncertainty: 0.002}\n"
                                     "    - lower_gap: {reads: 0.03, uncertainty: 0.002}\n",
                                     SW_OK, &ctx);
    const struct sw_fit_item *item = item_of(fit, "end shake");
    assert_near(item->value, 0.025, 1e-9);
    assert_near(item->worst_high, 0.025 + 3 * 0.004 + 0.005, 1e-9);
    assert_near(item->rss, sqrt(3 * 0.004 * 0.004 + 0.005 * 0.005), 1e-9);
    const double u = sqrt(3 * 0.002 * 0.002 + 0.005 * 0.005 / 3);
    assert_near((item->high - item->low) / 2, 1.96 * u, 0.03 * 1.96 * u);
    sw_test_ctx_free(&ctx);
}

/* A stand-off that counts in the length and against the cone is drawn once: a wide gap helps one
 * and harms the other. */
static void a_reading_used_twice_counts_once(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_fit *fit = check("0.0005",
                                     "parts:\n  readings:\n"
                                     "    - over_jewels: {reads: 2.965, uncertainty: 0.0001}\n"
                                     "    - upper_gap: {reads: 0.03, plus_minus: 0.02}\n"
                                     "    - lower_gap: {reads: 0.03, uncertainty: 0.0001}\n"
                                     "    - upper_jewel: {reads: 0.12, uncertainty: 0.0001}\n"
                                     "    - upper_hole: {reads: 0.11, uncertainty: 0.0001}\n",
                                     SW_OK, &ctx);
    /* g + t - d/2 - (J + g + g' - L): the upper stand-off cancels. */
    assert_near(item_of(fit, "stays in its hole, upper")->rss, 0.005, 0.0008);
    assert_true(item_of(fit, "end shake")->rss > 0.02);
    sw_test_ctx_free(&ctx);
}

/* Hole 0.400, taper 1:100, 0.7 long: thick end 0.402 stops at 1 - 0.002 / 0.007. */
static void a_roller_that_would_fall_off_or_never_go_home_is_found(void **state)
{
    (void)state;
    static const struct {
        const char *bore;
        double stop;
        enum sw_fit_verdict verdict;
    } row[] = {{"0.400", 1 - 0.002 / 0.007, SW_FIT_GOOD},
               {"0.402", 1.0, SW_FIT_FAILS},
               {"0.397", 1 - 0.005 / 0.007, SW_FIT_OUTSIDE}};
    for (size_t i = 0; i < 3; i++) {
        struct sw_ctx ctx = sw_test_ctx();
        char tail[256];
        snprintf(tail, sizeof tail,
                 "parts:\n  readings:\n    - roller_bore: {reads: %s, uncertainty: 0.0002}\n"
                 "    - roller_thickness: {reads: 0.25, uncertainty: 0.002}\n",
                 row[i].bore);
        const struct sw_fit *fit =
            check("0.0005", tail, row[i].verdict == SW_FIT_FAILS ? SW_FOUND : SW_OK, &ctx);
        const struct sw_fit_item *item = item_of(fit, "roller stops by hand at");
        assert_near(item->value, row[i].stop, 1e-9);
        assert_int_equal(item->verdict, row[i].verdict);
        sw_test_ctx_free(&ctx);
    }
}

static void parts_whose_readings_contradict_each_other_are_found(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_fit *fit =
        check("0.0005",
              "parts:\n  readings:\n"
              "    - between_endstones: {reads: 3.025, uncertainty: 0.001}\n"
              "    - between_endstones: {reads: 3.035, uncertainty: 0.001}\n",
              SW_FOUND, &ctx);
    assert_int_equal(fit->know->clash.n, 1);
    sw_test_ctx_free(&ctx);
}

static void a_staff_without_jewels_or_parts_has_nothing_to_fit(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    assert_null(check("0.0005", "", SW_OK, &ctx));
    sw_test_ctx_free(&ctx);
}

static void the_same_staff_has_the_same_chances(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const char *tail = "jewels: {between_endstones: 3.029, upper: {hole: 0.111, thickness: 0.1}}\n";
    const struct sw_fit *a = check("0.002", tail, SW_OK, &ctx);
    const struct sw_fit *b = check("0.002", tail, SW_OK, &ctx);
    assert_near(a->chance_all, b->chance_all, 0);
    assert_true(a->chance_all < 1 && a->chance_all > 0.3);
    assert_true(a->gap_is_assumed);
    sw_test_ctx_free(&ctx);
}

static void every_sample_staff_fits_its_jewels(void **state)
{
    (void)state;
    for (size_t i = 0; i < N_SAMPLE_STAFFS; i++) {
        struct sw_ctx ctx = sw_test_ctx();
        struct sw_fit *fit = NULL;
        assert_int_equal(sw_fit_check(&fit, load_sample(sample_staffs[i], &ctx), &ctx), SW_OK);
        assert_non_null(fit);
        for (size_t k = 0; k < fit->n; k++)
            assert_true(fit->item[k].verdict == SW_FIT_GOOD ||
                        fit->item[k].verdict == SW_FIT_FOR_INFORMATION);
        sw_test_ctx_free(&ctx);
    }
}

static enum sw_status check_once(struct sw_ctx *ctx)
{
    static const char text[] = "format: staff/1\nname: Bramble 8\nmaterial: carbon-steel-blue\n"
                               "total: {length: 3.0, tolerance: 0.005}\nsections:\n"
                               "  - pivot: {diameter: 0.1, length: 0.25}\n"
                               "  - cylinder: {diameter: 0.6, length: free}\n"
                               "  - pivot: {diameter: 0.1, length: 0.25}\n"
                               "parts:\n  readings:\n    - between_endstones: {reads: 3.025}\n"
                               "    - upper_hole: {reads: 0.11}\n";
    struct sw_staff *staff = NULL;
    struct sw_fit *fit = NULL;
    SW_TRY(parse_text(&staff, text, ctx));
    return sw_fit_check(&fit, staff, ctx);
}

static void checking_survives_every_failed_allocation(void **state)
{
    (void)state;
    assert_survives_failures(check_once);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(side_shake_is_judged_at_kleinleins_limits),
        cmocka_unit_test(end_shake_is_judged_at_kleinleins_limits),
        cmocka_unit_test(chances_meet_the_closed_case_of_one_even_size),
        cmocka_unit_test(drawing_worst_case_and_squares_agree_on_a_sum),
        cmocka_unit_test(a_reading_used_twice_counts_once),
        cmocka_unit_test(a_roller_that_would_fall_off_or_never_go_home_is_found),
        cmocka_unit_test(parts_whose_readings_contradict_each_other_are_found),
        cmocka_unit_test(a_staff_without_jewels_or_parts_has_nothing_to_fit),
        cmocka_unit_test(the_same_staff_has_the_same_chances),
        cmocka_unit_test(every_sample_staff_fits_its_jewels),
        cmocka_unit_test(checking_survives_every_failed_allocation),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
