/* Surveys: readings and their doubt, and every malformed one with its exact diagnostics. */
#include "test_part_fixture.h"

#include <dirent.h>
#include <math.h>

#include "part/survey.h"

enum { LONGEST = 128 };

static struct sw_survey *parse(const char *readings, struct sw_ctx *ctx)
{
    char text[4096];
    const int n =
        snprintf(text, sizeof text, "format: survey/1\nname: Bramble 12\nreadings:\n%s", readings);
    assert_true(n > 0 && (size_t)n < sizeof text);
    struct sw_survey *survey = NULL;
    if (sw_survey_parse(&survey, "survey.yaml", text, (size_t)n, ctx) != SW_OK)
        fail_msg("%s", sw_test_diagnostics(ctx));
    return survey;
}

/* JCGM 100:2008, 4.3.7: limits stand for half their distance over the root of 3. */
static void limits_become_a_standard_uncertainty(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_survey *survey = parse("  - upper_gap: {reads: 0.03, plus_minus: 0.006}\n"
                                           "  - lower_gap: {reads: 0.03, uncertainty: 0.002}\n"
                                           "  - over_jewels: {reads: 4 thou}\n",
                                           &ctx);
    assert_int_equal(survey->parts.n, 3);
    const struct sw_reading *reading = survey->parts.reading;
    assert_near(reading[0].source.u, 0.006 / sqrt(3), 1e-12);
    assert_int_equal(reading[0].source.spread, SW_SPREAD_EVEN);
    assert_false(reading[0].is_assumed);
    assert_near(reading[1].source.u, 0.002, 0);
    assert_int_equal(reading[1].source.spread, SW_SPREAD_NORMAL);
    assert_near(reading[2].value, 0.1016, 1e-12);
    assert_true(reading[2].is_assumed);
    assert_near(reading[2].source.u, sw_reading_info[SW_READ_OVER_JEWELS].half / sqrt(3), 1e-12);
    assert_int_equal(reading[2].at.line, 6);
    sw_test_ctx_free(&ctx);
}

static void two_pins_bracket_a_hole(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_survey *survey =
        parse("  - upper_hole: {goes: 0.12, stops: 0.13, plus_minus: 0.0005}\n", &ctx);
    const struct sw_reading *reading = survey->parts.reading;
    assert_true(reading->is_pins);
    assert_near(reading->value, 0.125, 1e-12);
    assert_near(reading->source.u, hypot(0.005, 0.0005) / sqrt(3), 1e-12);
    sw_test_ctx_free(&ctx);
}

/* Mean 20, sample deviation 1 of four: 1 / sqrt 4; JCGM 100, 4.2.3. */
static void repeated_readings_bring_their_own_spread(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_survey *survey =
        parse("  - over_jewels: {repeats: [3.999, 4.001, 4.0, 4.0], uncertainty: 0.0001}\n", &ctx);
    const struct sw_reading *reading = survey->parts.reading;
    const double deviation = 0.001 * sqrt(2.0 / 3.0);
    assert_near(reading->value, 4.0, 1e-12);
    assert_near(reading->source.u, hypot(deviation / 2, 0.0001), 1e-12);
    assert_true(reading->source.dof > 3 && reading->source.dof < 4);
    assert_int_equal(reading->source.spread, SW_SPREAD_STUDENT);
    sw_test_ctx_free(&ctx);
}

static void the_same_reading_may_stand_twice_and_a_jewel_may_be_olive(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_survey *survey = parse("  - upper_jewel: {reads: 0.13, shape: olive}\n"
                                           "  - upper_jewel: {reads: 0.14, by: loupe}\n",
                                           &ctx);
    assert_true(survey->parts.reading[0].is_olive);
    assert_false(survey->parts.reading[1].is_olive);
    assert_string_equal(survey->parts.reading[1].by, "loupe");
    assert_int_equal(survey->parts.reading[0].kind, survey->parts.reading[1].kind);
    sw_test_ctx_free(&ctx);
}

static void what_is_not_said_has_defaults(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_survey *survey = parse("  - roller_bore: {reads: 0.5}\n", &ctx);
    assert_int_equal(survey->layout, SW_SPRING_ABOVE);
    assert_int_equal(survey->parts.fixing, SW_FIX_RIVETED);
    assert_int_equal(survey->parts.roller_metal, SW_METAL_BRASS);
    assert_near(survey->end_shake, 0.025, 0);
    assert_false(survey->material_is_given);
    assert_string_equal(survey->material, "carbon-steel-blue");
    sw_test_ctx_free(&ctx);
}

static void each_bad_survey_gets_exactly_the_diagnostics_beside_it(void **state)
{
    (void)state;
    DIR *folder = opendir(SW_SOURCE_DIR "/tests/bad/survey");
    assert_non_null(folder);
    size_t n = 0;
    for (const struct dirent *entry = readdir(folder); entry; entry = readdir(folder)) {
        const size_t size = strlen(entry->d_name);
        char name[LONGEST];
        if (size < 6 || size >= LONGEST || strcmp(entry->d_name + size - 5, ".yaml") != 0)
            continue;
        memcpy(name, entry->d_name, size - 5);
        name[size - 5] = '\0';
        struct sw_ctx ctx = sw_test_ctx();
        const char *text = read_repo_file("tests/bad/survey", name, ".yaml", &ctx);
        const char *expected = read_repo_file("tests/bad/survey", name, ".expected", &ctx);
        struct sw_survey *survey = NULL;
        assert_int_equal(sw_survey_parse(&survey, entry->d_name, text, strlen(text), &ctx),
                         SW_INPUT);
        assert_null(survey);
        if (strcmp(sw_test_diagnostics(&ctx), expected) != 0)
            fail_msg("%s: got\n%sexpected\n%s", name, sw_test_diagnostics(&ctx), expected);
        sw_test_ctx_free(&ctx);
        n++;
    }
    closedir(folder);
    assert_true(n >= 14);
}

static enum sw_status parse_all(struct sw_ctx *ctx)
{
    static const char text[] = "format: survey/1\nname: Bramble 12\nreadings:\n"
                               "  - upper_hole: {goes: 0.12, stops: 0.13, by: pins}\n"
                               "  - over_jewels: {repeats: [3.999, 4.001], uncertainty: 0.0001}\n";
    struct sw_survey *survey = NULL;
    return sw_survey_parse(&survey, "survey.yaml", text, sizeof text - 1, ctx);
}

static void reading_survives_every_failed_allocation(void **state)
{
    (void)state;
    assert_survives_failures(parse_all);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(limits_become_a_standard_uncertainty),
        cmocka_unit_test(two_pins_bracket_a_hole),
        cmocka_unit_test(repeated_readings_bring_their_own_spread),
        cmocka_unit_test(the_same_reading_may_stand_twice_and_a_jewel_may_be_olive),
        cmocka_unit_test(what_is_not_said_has_defaults),
        cmocka_unit_test(each_bad_survey_gets_exactly_the_diagnostics_beside_it),
        cmocka_unit_test(reading_survives_every_failed_allocation),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
