#include "test_part_fixture.h"

/* Sizes in these files are small decimals; sums of them carry rounding of about 1e-15. */
static const double exact = 1e-12;

static const struct sw_section *find(const struct sw_staff *staff, const char *name)
{
    const struct sw_section *section = sw_staff_section(staff, name);
    if (!section)
        fail_msg("no section is called %s", name);
    return section;
}

static double length_of(const struct sw_staff *staff, const char *name)
{
    const struct sw_section *section = find(staff, name);
    return section->z1 - section->z0;
}

/* The lengths are worked out beside the example in the design: 4.55 - 2.64 - 0.28 - 0.11 - 0.82,
 * 2.64 - 2.12, 2.12 - 0.82. */
static void each_chain_is_closed_by_its_free_section(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_staff *staff = load_sample("fenmoor-43", &ctx);
    assert_near(length_of(staff, "collet seat"), 0.70, exact);
    assert_near(length_of(staff, "hub"), 0.52, exact);
    assert_near(length_of(staff, "roller seat"), 1.30, exact);
    assert_true(find(staff, "hub")->is_free);
    assert_false(find(staff, "balance seat")->is_free);
    assert_int_equal(staff->n_heights, 2);
    assert_string_equal(staff->height[0].name, "hub face");
    assert_near(staff->height[0].z, 1.91, exact);
    assert_int_equal(staff->height[0].section, 6);
    assert_string_equal(staff->height[1].name, "roller shoulder");
    assert_near(staff->height[1].z, 2.43, exact);
    assert_int_equal(staff->height[1].section, 7);
    sw_test_ctx_free(&ctx);
}

static void a_staff_is_read_with_all_it_says(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_staff *staff = load_sample("fenmoor-43", &ctx);
    assert_string_equal(staff->name, "Fenmoor 43");
    assert_string_equal(staff->material, "carbon-steel-blue");
    assert_near(staff->total, 4.55, exact);
    assert_near(staff->total_tolerance.lower, -0.005, exact);
    assert_int_equal(staff->n, 11);
    assert_int_equal(staff->hub, 6);
    assert_int_equal(staff->core, 6);
    assert_near(sw_staff_widest(staff), 0.83, exact);
    assert_true(staff->jewel[0].given && staff->jewel[1].given);
    assert_near(staff->jewel[1].hole, 0.120, exact);
    const struct sw_section *pivot = find(staff, "upper pivot");
    assert_int_equal(pivot->tip, SW_TIP_DOME);
    assert_int_equal(pivot->finish, SW_FINISH_BURNISHED);
    assert_near(pivot->diameter_tolerance.lower, -0.003, exact);
    assert_near(pivot->diameter_tolerance.upper, 0, exact);
    assert_true(pivot->take < 0);
    const struct sw_section *rivet = find(staff, "rivet");
    assert_near(rivet->r0, 0.58, exact);
    assert_near(rivet->diameter_tolerance.lower, -0.005, exact);
    assert_near(rivet->recess_wall, 40 * 3.14159265358979323846 / 180, exact);
    assert_false(rivet->points_down);
    const struct sw_section *hub = find(staff, "hub");
    assert_false(hub->hub_land_is_lower);
    assert_near(hub->diameter_tolerance.upper, 0.010, exact);
    /* 0.83 - 0.37 tan 17.5 degrees, by hand */
    assert_near(hub->r1, 0.71334, 5e-6);
    const struct sw_section *roller = find(staff, "roller seat");
    assert_near(roller->r0, 0.27, exact);
    assert_near(roller->r1, 0.27 - 1.30 / 200, exact);
    assert_near(roller->taper, -0.01, exact);
    assert_int_equal(roller->takes, SW_TAKES_ROLLER);
    assert_near(roller->corner, 0.02, exact);
    assert_near(find(staff, "collet seat")->corner, 0.03, exact);
    assert_near(find(staff, "lower cone")->edge, 0.005, exact);
    assert_true(find(staff, "lower cone")->points_down);
    assert_true(find(staff, "lower back slope")->points_down);
    assert_near(find(staff, "lower back slope")->r1, 0.18, exact);
    sw_test_ctx_free(&ctx);
}

static void every_sample_loads_without_a_word(void **state)
{
    (void)state;
    for (int i = 0; i < N_SAMPLE_STAFFS; i++) {
        struct sw_ctx ctx = sw_test_ctx();
        const struct sw_staff *staff = load_sample(sample_staffs[i], &ctx);
        assert_string_equal(sw_test_diagnostics(&ctx), "");
        assert_near(staff->section[0].z0, 0, exact);
        assert_near(staff->section[staff->n - 1].z1, staff->total, exact);
        for (size_t k = 0; k < staff->n; k++) {
            assert_int_equal(staff->section[k].index, k);
            assert_true(staff->section[k].z1 > staff->section[k].z0);
            if (k > 0)
                assert_near(staff->section[k].z0, staff->section[k - 1].z1, exact);
        }
        for (size_t k = 0; k < staff->n_heights; k++)
            assert_near(staff->section[staff->height[k].section].z0, staff->height[k].z, exact);
        sw_test_ctx_free(&ctx);
    }
}

static void a_spring_below_staff_rests_on_the_lower_face_of_its_hub(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_staff *staff = load_sample("millrace", &ctx);
    const struct sw_section *hub = find(staff, "hub");
    assert_true(hub->hub_land_is_lower);
    assert_near(staff->total - hub->z1, 2.40, exact);
    assert_true(find(staff, "rivet")->points_down);
    assert_near(staff->total - find(staff, "roller seat")->z0, 1.50, exact);
    assert_true(find(staff, "collet seat")->is_lower_half);
    assert_true(hub->r0 < hub->r1);
    sw_test_ctx_free(&ctx);
}

static void without_a_hub_the_widest_section_is_the_core(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_staff *staff = load_sample("harrow-2p", &ctx);
    assert_int_equal(staff->hub, staff->n);
    assert_int_equal(staff->core, find(staff, "friction seat")->index);
    assert_false(find(staff, "collet seat")->is_lower_half);
    assert_true(find(staff, "lower shank")->is_lower_half);
    /* the groove lies 0.03 below the shank, the thinner neighbour */
    assert_near(find(staff, "mark")->r0, 0.24, exact);
    sw_test_ctx_free(&ctx);
}

/* 7.5 hundredths of a millimetre is 0.075 mm. */
static void sizes_may_be_written_in_the_units_of_the_gauges(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_staff *staff = load_sample("wren-8", &ctx);
    assert_near(find(staff, "lower pivot")->r0, 0.0375, exact);
    assert_near(length_of(staff, "lower pivot"), 0.16, exact);
    sw_test_ctx_free(&ctx);
}

static void a_tapered_seat_is_thicker_towards_the_hub_at_either_end(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_staff *staff =
        parse_around("  - seat: {name: a, diameter: 0.5, taper: 1/50, length: 0.5}\n"
                     "  - seat: {name: b, diameter: 0.6, at: upper, taper: 1/50, length: 0.5}\n"
                     "  - hub: {diameter: 1.2, length: free}\n"
                     "  - seat: {name: c, diameter: 0.6, at: lower, taper: 1/50, length: 0.5}\n"
                     "  - seat: {name: d, diameter: 0.5, taper: -1/50, length: 0.5}\n",
                     &ctx);
    assert_near(find(staff, "a")->r1, 0.25, exact);
    assert_near(find(staff, "a")->r0, 0.245, exact);
    assert_near(find(staff, "b")->r0, 0.30, exact);
    assert_near(find(staff, "b")->r1, 0.305, exact);
    assert_near(find(staff, "c")->r1, 0.30, exact);
    assert_near(find(staff, "c")->r0, 0.305, exact);
    assert_near(find(staff, "d")->r0, 0.25, exact);
    assert_near(find(staff, "d")->r1, 0.255, exact);
    assert_true(find(staff, "d")->taper > 0);
    sw_test_ctx_free(&ctx);
}

static void unnamed_sections_get_no_more_name_than_tells_them_apart(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_staff *staff =
        parse_around("  - cylinder: {diameter: 0.5, length: 0.3}\n"
                     "  - cylinder: {diameter: 0.6, length: 0.3}\n"
                     "  - hub: {diameter: 1.2, length: free}\n"
                     "  - seat: {diameter: 0.6, length: 0.5, takes: roller}\n"
                     "  - taper: {upper_diameter: 0.5, lower_diameter: 0.4, length: 0.1}\n"
                     "  - cylinder: {diameter: 0.4, length: 0.3}\n",
                     &ctx);
    static const char *const names[] = {
        "upper pivot", "upper cylinder 1", "upper cylinder 2", "hub", "roller seat",
        "taper",       "lower cylinder",   "lower pivot"};
    assert_int_equal(staff->n, 8);
    for (size_t i = 0; i < staff->n; i++)
        assert_string_equal(staff->section[i].name, names[i]);
    sw_test_ctx_free(&ctx);
}

static void lengths_that_are_all_given_may_close_by_themselves(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_staff *staff = parse_around("  - hub: {diameter: 1.2, length: 2.6}\n", &ctx);
    assert_near(find(staff, "hub")->z1, 2.8, exact);
    assert_false(find(staff, "hub")->is_free);
    sw_test_ctx_free(&ctx);
}

static void defaults_stand_in_for_what_a_staff_does_not_say(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_staff *staff = parse_around("  - hub: {diameter: 1.2, length: free}\n", &ctx);
    const struct sw_section *pivot = find(staff, "upper pivot");
    assert_near(pivot->dome_height, 0.02, exact);
    assert_int_equal(pivot->finish, SW_FINISH_TURNED);
    assert_near(pivot->diameter_tolerance.upper, 0.02, exact);
    assert_near(pivot->length_tolerance.lower, -0.02, exact);
    assert_near(staff->total_tolerance.upper, 0.01, exact);
    assert_near(find(staff, "hub")->edge, 0.01, exact);
    assert_false(staff->jewel[0].given);
    sw_test_ctx_free(&ctx);
}

/* Kleinlein 1920, sec. 25: side shake of a balance pivot 0.0075 to 0.0125. */
static void side_shake_is_right_from_0_0075_to_0_0125(void **state)
{
    (void)state;
    static const struct {
        const char *hole;
        size_t n_warnings;
    } cases[] = {{"0.1174", 1}, {"0.1175", 0}, {"0.1225", 0}, {"0.1226", 1}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct sw_ctx ctx = sw_test_ctx();
        char text[1024];
        snprintf(text, sizeof text,
                 "format: staff/1\nname: n\nmaterial: m\ntotal: {length: 3.0}\n"
                 "sections:\n"
                 "  - pivot: {diameter: 0.110, length: 0.2}\n"
                 "  - hub: {diameter: 1.2, length: 0.4}\n"
                 "  - cylinder: {diameter: 1, length: free}\n"
                 "  - pivot: {diameter: 0.110, length: 0.2}\n"
                 "jewels: {lower: {hole: %s, thickness: 0.1}}\n",
                 cases[i].hole);
        struct sw_staff *staff = NULL;
        assert_int_equal(parse_text(&staff, text, &ctx), SW_OK);
        assert_int_equal(sw_diag_n(ctx.diag), cases[i].n_warnings);
        if (cases[i].n_warnings)
            assert_string_equal(sw_diag_at(ctx.diag, 0)->code, "part.side-shake");
        sw_test_ctx_free(&ctx);
    }
}

/* Kleinlein 1920, sec. 25: end shake of a balance staff 0.02 to 0.03; 0.01 is his example of a bad
 * one. */
static void end_shake_is_right_from_0_02_to_0_03(void **state)
{
    (void)state;
    static const struct {
        const char *between;
        enum sw_status status;
        const char *code;
    } cases[] = {{"3.000", SW_FOUND, "part.no-end-shake"}, {"3.010", SW_OK, "part.end-shake"},
                 {"3.0199", SW_OK, "part.end-shake"},      {"3.020", SW_OK, NULL},
                 {"3.030", SW_OK, NULL},                   {"3.0301", SW_OK, "part.end-shake"}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct sw_ctx ctx = sw_test_ctx();
        char text[1024];
        snprintf(text, sizeof text,
                 "format: staff/1\nname: n\nmaterial: m\ntotal: {length: 3.0}\n"
                 "sections:\n"
                 "  - pivot: {diameter: 0.110, length: 0.2}\n"
                 "  - hub: {diameter: 1.2, length: 0.4}\n"
                 "  - cylinder: {diameter: 1, length: free}\n"
                 "  - pivot: {diameter: 0.110, length: 0.2}\n"
                 "jewels: {between_endstones: %s}\n",
                 cases[i].between);
        struct sw_staff *staff = NULL;
        assert_int_equal(parse_text(&staff, text, &ctx), cases[i].status);
        assert_int_equal(sw_diag_n(ctx.diag), cases[i].code ? 1 : 0);
        if (cases[i].code)
            assert_string_equal(sw_diag_at(ctx.diag, 0)->code, cases[i].code);
        sw_test_ctx_free(&ctx);
    }
}

static void a_staff_that_misses_its_jewels_is_given_but_found_wrong(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    static const char text[] = "format: staff/1\nname: n\nmaterial: m\ntotal: {length: 3.0}\n"
                               "sections:\n"
                               "  - pivot: {diameter: 0.110, length: 0.2}\n"
                               "  - hub: {diameter: 1.2, length: 0.4}\n"
                               "  - cylinder: {diameter: 1, length: free}\n"
                               "  - pivot: {diameter: 0.110, length: 0.2}\n"
                               "jewels: {lower: {hole: 0.11, thickness: 0.1}}\n";
    struct sw_staff *staff = NULL;
    assert_int_equal(parse_text(&staff, text, &ctx), SW_FOUND);
    assert_non_null(staff);
    assert_int_equal(sw_diag_n_errors(ctx.diag), 1);
    sw_test_ctx_free(&ctx);
}

static enum sw_status load_fenmoor(struct sw_ctx *ctx)
{
    struct sw_staff *staff = NULL;
    return sw_staff_load(&staff, SW_SOURCE_DIR "/samples/fenmoor-43/staff.yaml", ctx);
}

static void loading_survives_the_failure_of_any_allocation(void **state)
{
    (void)state;
    assert_survives_failures(load_fenmoor);
}

static const char *bad_text; /* for the one test below */

static enum sw_status parse_bad(struct sw_ctx *ctx)
{
    struct sw_staff *staff = NULL;
    const enum sw_status status = parse_text(&staff, bad_text, ctx);
    return status == SW_INPUT ? SW_OK : status;
}

static void reporting_survives_the_failure_of_any_allocation(void **state)
{
    (void)state;
    bad_text = "format: staff/1\nname: n\nmaterial: m\ntotal: {length: 3.0}\n"
               "heights: {fork slot: {at: 1}}\n"
               "sections:\n"
               "  - cone: {ridge: 0.110, length: 0.2}\n"
               "  - hub: {diameter: 1.2, length: free}\n"
               "  - hub: {name: hub, diameter: 1.2, length: free}\n"
               "  - cylinder: {diameter: 1, length: free}\n";
    assert_survives_failures(parse_bad);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_chain_is_closed_by_its_free_section),
        cmocka_unit_test(a_staff_is_read_with_all_it_says),
        cmocka_unit_test(every_sample_loads_without_a_word),
        cmocka_unit_test(a_spring_below_staff_rests_on_the_lower_face_of_its_hub),
        cmocka_unit_test(without_a_hub_the_widest_section_is_the_core),
        cmocka_unit_test(sizes_may_be_written_in_the_units_of_the_gauges),
        cmocka_unit_test(a_tapered_seat_is_thicker_towards_the_hub_at_either_end),
        cmocka_unit_test(unnamed_sections_get_no_more_name_than_tells_them_apart),
        cmocka_unit_test(lengths_that_are_all_given_may_close_by_themselves),
        cmocka_unit_test(defaults_stand_in_for_what_a_staff_does_not_say),
        cmocka_unit_test(side_shake_is_right_from_0_0075_to_0_0125),
        cmocka_unit_test(end_shake_is_right_from_0_02_to_0_03),
        cmocka_unit_test(a_staff_that_misses_its_jewels_is_given_but_found_wrong),
        cmocka_unit_test(loading_survives_the_failure_of_any_allocation),
        cmocka_unit_test(reporting_survives_the_failure_of_any_allocation),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
