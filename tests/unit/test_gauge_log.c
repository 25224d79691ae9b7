/* The log of measurements: what is added, what is kept, and the figures drawn from it. */
#include "support/near.h"

#include <math.h>
#include <string.h>

#include "gauge/log.h"

static const char head[] = "# mine\nformat: measurements/1\nshop: bench # ours\n";

/* A correction with one turned reading of PIECE. */
static void correction_of(struct sw_correction *to, struct sw_gauge_cut *cut,
                          struct sw_gauged *reading, struct sw_measured *measured, double piece,
                          double found)
{
    *reading = (struct sw_gauged){.diameter = {.value = found}, .piece = {.value = piece}};
    *cut = (struct sw_gauge_cut){
        .reading = reading, .side = 1, .station = 2, .expected = 0.12, .u_gauge = 0.0005};
    *measured = (struct sw_measured){0};
    *to = (struct sw_correction){.measured = measured, .cut = cut, .n_cuts = 1};
}

static enum sw_status grow(struct sw_buf *out, size_t added_known[2], const char *text,
                           const char *shop, double piece, double found, struct sw_ctx *ctx)
{
    struct sw_correction correction;
    struct sw_gauge_cut cut;
    struct sw_gauged reading;
    struct sw_measured measured;
    static const char *const tool = "point", *const section = "upper \"A\" pivot";
    correction_of(&correction, &cut, &reading, &measured, piece, found);
    const struct sw_log_news news = {&correction, "job, m.yaml", shop, &tool, &section};
    return sw_log_grown(out, &added_known[0], &added_known[1], "log.yaml", text, strlen(text),
                        &news, ctx);
}

static void what_stands_there_is_kept_and_a_line_comes_below(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_buf once = {0}, twice = {0};
    size_t n[2];
    assert_int_equal(grow(&once, n, head, "bench", 1, 0.1238, &ctx), SW_OK);
    assert_int_equal(n[0], 1);
    assert_int_equal(strncmp(sw_buf_text(&once), head, strlen(head)), 0);
    assert_string_equal(
        sw_buf_text(&once) + strlen(head),
        "entries:\n  - {set: \"job, m.yaml\", piece: 1, side: 1, station: 2, tool: \"point\", "
        "section: \"upper \\\"A\\\" pivot\", expected: 0.12000, found: 0.1238, "
        "added: 0.00000, doubt: 0.00100}\n");
    /* the same again adds nothing; another piece does */
    assert_int_equal(grow(&twice, n, sw_buf_text(&once), "bench", 1, 0.1238, &ctx), SW_OK);
    assert_int_equal(n[0], 0);
    assert_int_equal(n[1], 1);
    assert_string_equal(sw_buf_text(&twice), sw_buf_text(&once));
    sw_buf_done(&twice);
    twice = (struct sw_buf){0};
    assert_int_equal(grow(&twice, n, sw_buf_text(&once), "bench", 2, 0.1238, &ctx), SW_OK);
    assert_int_equal(n[0], 1);
    sw_buf_done(&once);
    sw_buf_done(&twice);
    sw_test_ctx_free(&ctx);
}

static void a_new_log_begins_with_its_shop_and_reads_back(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_buf out = {0};
    struct sw_log *log;
    size_t n[2];
    assert_int_equal(grow(&out, n, "", "bench \\ gang", 1, 0.1238, &ctx), SW_OK);
    assert_int_equal(sw_log_parse(&log, "log.yaml", sw_buf_text(&out), out.n, &ctx), SW_OK);
    assert_string_equal(log->shop.value, "bench \\ gang");
    assert_int_equal(log->entries.n, 1);
    const struct sw_log_entry *entry = log->entries.at;
    assert_string_equal(entry->section.value, "upper \"A\" pivot");
    assert_near(entry->found.value, 0.1238, 1e-12);
    sw_buf_done(&out);
    sw_test_ctx_free(&ctx);
}

static void a_log_of_another_shop_or_with_something_below_is_left_alone(void **state)
{
    (void)state;
    static const char ended[] = "format: measurements/1\n"
                                "entries:\n"
                                "  - {set: a, piece: 1, side: 1, station: 2, tool: t, section: s, "
                                "expected: 0.1, found: 0.1, doubt: 0.001}\n"
                                "shop: bench\n";
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_buf out = {0};
    size_t n[2];
    assert_int_equal(grow(&out, n, head, "other", 1, 0.1238, &ctx), SW_INPUT);
    sw_buf_done(&out);
    out = (struct sw_buf){0};
    assert_int_equal(grow(&out, n, ended, "bench", 1, 0.1238, &ctx), SW_INPUT);
    sw_buf_done(&out);
    sw_test_ctx_free(&ctx);
}

/* Two sets of a section, all readings with a doubt of 0.0002: errors rise by SLOPE a piece about
 * other means, and depart from the line by +-D, +-D of pieces 1 to 4 so that no slope comes of it.
 */
static void log_of(struct sw_log *log, struct sw_log_entry *entry, double slope, double d)
{
    static const double way[] = {1, -1, -1, 1};
    static const char *const sets[] = {"first", "second"};
    for (size_t i = 0; i < 8; i++) {
        const double piece = (double)(i % 4 + 1);
        /* in the second set 0.002 was added to X after piece 2 */
        const double added = i >= 6 ? 0.002 : 0;
        entry[i] =
            (struct sw_log_entry){.set = {.value = sets[i / 4]},
                                  .tool = {.value = "point"},
                                  .section = {.value = "upper pivot"},
                                  .side = {.value = 1},
                                  .station = {.value = 2},
                                  .piece = {.value = piece},
                                  .expected = {.value = 0.12},
                                  .found = {.value = 0.12 + (i < 4 ? 0.001 : -0.003) +
                                                     slope * piece + d * way[i % 4] + 2 * added},
                                  .added = {.value = added},
                                  .doubt = {.value = 0.0002}};
    }
    *log = (struct sw_log){.entries = {.at = entry, .n = 8}};
}

static void slope_and_scatter_are_pooled_over_sets(void **state)
{
    (void)state;
    static const char *const names[] = {"upper pivot"};
    struct sw_log log;
    struct sw_log_entry entry[8];
    struct sw_log_figures is;
    log_of(&log, entry, 0.0004, 0.0003);
    sw_log_reckon(&is, &log, names, 1);
    assert_true(is.is_known);
    assert_int_equal(is.n_readings, 8);
    assert_int_equal(is.n_pieces, 8);
    assert_int_equal(is.n_sets, 2);
    assert_near(is.wear, 0.0004, 1e-12);
    assert_near(is.gauge, 0.0001, 1e-12);
    /* 8 squares of 0.3 um over 8 - 2 means - 1 slope = 5; less the gauge's 0.1 um; on radius */
    const double variance = 8 * 0.0003 * 0.0003 / 5;
    assert_true(is.shows_repeat);
    assert_near(is.repeat, sqrt(variance - 0.0001 * 0.0001) / 2, 1e-12);
    /* sum of squares of the pieces about their means: 2 * 5 */
    assert_near(is.u_wear, sqrt(variance / 10), 1e-12);
}

static void too_few_readings_or_other_sections_say_nothing(void **state)
{
    (void)state;
    static const char *const names[] = {"lower pivot"}, *const upper[] = {"upper pivot"};
    struct sw_log log;
    struct sw_log_entry entry[8];
    struct sw_log_figures is;
    log_of(&log, entry, 0.0004, 0.0003);
    sw_log_reckon(&is, &log, names, 1);
    assert_false(is.is_known);
    assert_int_equal(is.n_pieces, 0);
    log.entries.n = 6; /* four, and two that are no group: 4 - 1 - 1 degrees of freedom */
    sw_log_reckon(&is, &log, upper, 1);
    assert_false(is.is_known);
    assert_int_equal(is.n_readings, 4);
}

static void less_scatter_than_the_gauge_has_leaves_nothing_for_the_lathe(void **state)
{
    (void)state;
    static const char *const names[] = {"upper pivot"};
    struct sw_log log;
    struct sw_log_entry entry[8];
    struct sw_log_figures is;
    log_of(&log, entry, 0, 0.00005);
    sw_log_reckon(&is, &log, names, 1);
    assert_true(is.is_known);
    assert_near(is.repeat, 0, 1e-12);
    assert_false(is.shows_repeat);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_stands_there_is_kept_and_a_line_comes_below),
        cmocka_unit_test(a_new_log_begins_with_its_shop_and_reads_back),
        cmocka_unit_test(a_log_of_another_shop_or_with_something_below_is_left_alone),
        cmocka_unit_test(slope_and_scatter_are_pooled_over_sets),
        cmocka_unit_test(too_few_readings_or_other_sections_say_nothing),
        cmocka_unit_test(less_scatter_than_the_gauge_has_leaves_nothing_for_the_lathe),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
