/* What programs read: keys in a fixed order, nulls where there is nothing, records read back. */
#include <math.h>
#include <string.h>

#include "report/json.h"
#include "support/near.h"

/* The causes of this section, all alike: 0.5 either way, nothing known after measuring. */
#define LAST_MOVER(cause)                                                                          \
    "          {\n"                                                                                \
    "            \"cause\": \"" cause "\",\n"                                                      \
    "            \"plain_um\": [\n"                                                               \
    "              -0.5,\n"                                                                        \
    "              0.5\n"                                                                          \
    "            ],\n"                                                                             \
    "            \"gauged_um\": null\n"                                                           \
    "          }"
#define MOVER(cause) LAST_MOVER(cause) ",\n"

static const char wanted[] =
    "{\n"
    "  \"format\": \"staffwright.dryrun/1\",\n"
    "  \"version\": \"9.9\",\n"
    "  \"verdict\": \"fail\",\n"
    "  \"programs\": [\n"
    "    {\n"
    "      \"file\": \"side-1.nc\",\n"
    "      \"sha256\": \"ab\",\n"
    "      \"chucking\": 1,\n"
    "      \"blocks\": 12,\n"
    "      \"moves\": 9,\n"
    "      \"seconds\": 4.25,\n"
    "      \"removed_mm3\": 1.5\n"
    "    }\n"
    "  ],\n"
    "  \"findings\": [\n"
    "    {\n"
    "      \"code\": \"gouge\",\n"
    "      \"severity\": \"error\",\n"
    "      \"message\": \"3 um are gone\",\n"
    "      \"value\": 3.0,\n"
    "      \"limit\": 0.5,\n"
    "      \"unit\": \"um\",\n"
    "      \"at\": {\n"
    "        \"program\": \"side-1.nc\",\n"
    "        \"line\": 7,\n"
    "        \"column\": 3,\n"
    "        \"chucking\": 1,\n"
    "        \"section\": \"hub\",\n"
    "        \"z\": 1.25\n"
    "      }\n"
    "    },\n"
    "    {\n"
    "      \"code\": \"bar-whip\",\n"
    "      \"severity\": \"warning\",\n"
    "      \"message\": \"a tail\",\n"
    "      \"value\": null,\n"
    "      \"limit\": null,\n"
    "      \"unit\": null,\n"
    "      \"at\": {\n"
    "        \"program\": null,\n"
    "        \"line\": null,\n"
    "        \"column\": null,\n"
    "        \"chucking\": null,\n"
    "        \"section\": null,\n"
    "        \"z\": null\n"
    "      }\n"
    "    }\n"
    "  ],\n"
    "  \"sections\": [\n"
    "    {\n"
    "      \"name\": \"hub\",\n"
    "      \"nominal_mm\": 1.66,\n"
    "      \"lower_mm\": 1.65,\n"
    "      \"upper_mm\": 1.67,\n"
    "      \"turned_mm\": 1.66,\n"
    "      \"measure_z_mm\": 2.0,\n"
    "      \"size_mm\": [\n"
    "        1.659998,\n"
    "        1.660002\n"
    "      ],\n"
    "      \"length_mm\": null,\n"
    "      \"gouge_um\": 3.0,\n"
    "      \"gouge_limit_um\": 0.5,\n"
    "      \"left_um\": 0.0,\n"
    "      \"left_limit_um\": 5.0,\n"
    "      \"predicted_mm\": [\n"
    "        1.6601,\n"
    "        1.6604\n"
    "      ],\n"
    "      \"predicted_nominal_mm\": 1.6602,\n"
    "      \"moves\": {\n"
    "        \"is_gauged\": true,\n"
    "        \"plain_um\": [\n"
    "          -3.0,\n"
    "          2.0\n"
    "        ],\n"
    "        \"gauged_um\": [\n"
    "          -1.5,\n"
    "          1.5\n"
    "        ],\n"
    "        \"runs_out_um\": null,\n"
    "        \"causes\": [\n"
    MOVER("bending")
    MOVER("backlash")
    MOVER("centre height")
    MOVER("tool change")
    MOVER("repeatability")
    MOVER("step of the control")
    LAST_MOVER("gauge") "\n"
    "        ]\n"
    "      },\n"
    "      \"load\": {\n"
    "        \"slenderness\": 0.3,\n"
    "        \"um_per_n\": 1.5,\n"
    "        \"mpa_per_n\": null,\n"
    "        \"load_n\": 2.0,\n"
    "        \"load_high_n\": 5.0,\n"
    "        \"program\": \"side-1.nc\",\n"
    "        \"line\": 9,\n"
    "        \"stress_mpa\": 150.0,\n"
    "        \"safety\": 10.0\n"
    "      }\n"
    "    }\n"
    "  ],\n"
    "  \"total_length_mm\": [\n"
    "    4.574,\n"
    "    4.5741\n"
    "  ],\n"
    "  \"outline\": null,\n"
    "  \"worst\": {\n"
    "    \"gouge\": {\n"
    "      \"um\": 3.0,\n"
    "      \"section\": \"hub\"\n"
    "    },\n"
    "    \"left\": {\n"
    "      \"um\": 0.0,\n"
    "      \"section\": \"hub\"\n"
    "    },\n"
    "    \"deflection\": {\n"
    "      \"um\": 0.4,\n"
    "      \"high_um\": 1.1,\n"
    "      \"at\": {\n"
    "        \"program\": \"side-1.nc\",\n"
    "        \"line\": 8,\n"
    "        \"section\": \"hub\",\n"
    "        \"z\": 2.25\n"
    "      }\n"
    "    },\n"
    "    \"stress\": {\n"
    "      \"mpa\": 60.0,\n"
    "      \"high_mpa\": 150.0,\n"
    "      \"at\": {\n"
    "        \"program\": \"side-1.nc\",\n"
    "        \"line\": 9,\n"
    "        \"section\": null,\n"
    "        \"z\": 6.0\n"
    "      }\n"
    "    },\n"
    "    \"safety\": null,\n"
    "    \"slenderness\": {\n"
    "      \"ratio\": 0.3,\n"
    "      \"section\": \"hub\"\n"
    "    }\n"
    "  },\n"
    "  \"resolution_um\": 0.04\n"
    "}\n";

static void the_verdict_has_fixed_keys_order_and_nulls(void **state)
{
    (void)state;
    struct sw_finding finding[] = {
        {SW_FINDING_GOUGE, SW_ERROR, "3 um are gone", 3, 0.5, "um", "side-1.nc", 7, 3, 1, "hub",
         1.25},
        {SW_FINDING_BAR_WHIP, SW_WARNING, "a tail", NAN, NAN, "", NULL, 0, 0, 0, NULL, NAN},
    };
    struct sw_section_verdict section = {
        .name = "hub", .nominal_mm = 1.66, .lower_mm = 1.65, .upper_mm = 1.67, .turned_mm = 1.66,
        .measure_z_mm = 2.0, .size_mm = {1.659998, 1.660002}, .length_mm = {NAN, NAN},
        .gouge_um = 3, .left_um = -0.0, .gouge_limit_um = 0.5, .left_limit_um = 5,
        .predicted_mm = {1.6601, 1.6604}, .predicted_nominal_mm = 1.6602,
        .moves = {.plain_sum = {-3, 2}, .gauged_sum = {-1.5, 1.5}, .is_gauged = true,
                  .runs_out_um = NAN},
        .load = {.slenderness = 0.3, .um_per_n = 1.5, .mpa_per_n = NAN, .load_n = 2,
                 .load_high_n = 5, .program = "side-1.nc", .line = 9, .stress_mpa = 150,
                 .safety = 10}};
    for (size_t i = 0; i < SW_N_MOVERS; i++) {
        section.moves.plain[i] = (struct sw_move){-0.5, 0.5};
        section.moves.gauged[i] = (struct sw_move){NAN, NAN};
    }
    struct sw_program_verdict program = {.file = "side-1.nc", .chucking = 1, .n_blocks = 12,
                                         .n_moves = 9, .seconds = 4.25, .removed_mm3 = 1.5};
    struct sw_verdict verdict = {.passes = false, .section = &section, .n_sections = 1,
                                 .program = &program, .n_programs = 1, .length_least_mm = 4.574,
                                 .length_most_mm = 4.5741, .resolution_um = 0.04,
                                 .deflection_um = {0.4, 1.1, "side-1.nc", 8, "hub", 2.25},
                                 .stress_mpa = {60, 150, "side-1.nc", 9, NULL, 6},
                                 .safety = {NAN, NAN, NULL, 0, NULL, NAN}};
    verdict.findings.at = finding;
    verdict.findings.n = 2;
    const struct sw_report_hash hash = {"side-1.nc", "ab"};
    struct sw_buf out = {0};
    assert_int_equal(sw_report_dryrun_json(&out, &verdict, &hash, "9.9"), SW_OK);
    assert_string_equal(sw_buf_text(&out), wanted);
    sw_buf_done(&out);
}

static void a_record_is_read_back(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_report_hash file[] = {{"side-1.nc", "aa"}, {"setup.yaml", "bb"}};
    struct sw_report_hash input[] = {{"../job.yaml", "cc"}};
    const struct sw_report_record record = {"9.9", true, "setup.yaml", file, 2, input, 1};
    struct sw_buf out = {0};
    assert_int_equal(sw_report_record_json(&out, &record), SW_OK);
    assert_non_null(strstr(sw_buf_text(&out), "\"files\": [\n    \"side-1.nc\",\n    \"setup.yaml\","
                                              "\n    \"record.json\"\n  ]"));
    struct sw_report_record *back = NULL;
    assert_int_equal(sw_report_record_read(&back, "record.json", sw_buf_text(&out), out.n, &ctx),
                     SW_OK);
    assert_string_equal(back->version, "9.9");
    assert_true(back->passes);
    assert_string_equal(back->setup, "setup.yaml");
    assert_int_equal(back->n_files, 2);
    assert_string_equal(back->file[1].file, "setup.yaml");
    assert_string_equal(back->file[1].sha256, "bb");
    assert_int_equal(back->n_inputs, 1);
    assert_string_equal(back->input[0].file, "../job.yaml");
    sw_buf_done(&out);
    sw_test_ctx_free(&ctx);
}

static void what_is_no_record_is_refused(void **state)
{
    (void)state;
    static const char *const bad[] = {
        "", "{", "[]", "{}", "{\"format\": 3}", "{\"format\": \"staffwright.record/2\"}",
        "{\"format\": \"staffwright.record/1\"}",
        "{\"format\": \"staffwright.record/1\", \"version\": \"1\", \"setup\": \"s\", "
        "\"verdict\": \"pass\", \"outputs\": [{\"file\": \"x\"}], \"inputs\": []}",
        "{\"format\": \"staffwright.record/1\", \"version\": \"1\", \"setup\": \"s\", "
        "\"verdict\": \"pass\", \"outputs\": [], \"inputs\": {}}",
        "{\"format\": \"staffwright.record/1\", \"format\": \"staffwright.record/1\"}",
    };
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct sw_ctx ctx = sw_test_ctx();
        struct sw_report_record *record = NULL;
        assert_int_equal(
            sw_report_record_read(&record, "record.json", bad[i], strlen(bad[i]), &ctx), SW_INPUT);
        assert_null(record);
        assert_int_equal(sw_diag_n_errors(ctx.diag), 1);
        sw_test_ctx_free(&ctx);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_verdict_has_fixed_keys_order_and_nulls),
        cmocka_unit_test(a_record_is_read_back),
        cmocka_unit_test(what_is_no_record_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
