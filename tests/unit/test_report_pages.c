/* The sheet as pages: what its text says stands there too, nothing lies on anything else, and four
 * pages are enough for every sample. */
#include <ctype.h>
#include <glob.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "app/app.h"
#include "report/again.h"
#include "report/pages.h"
#include "report/sheet.h"
#include "support/near.h"
#include "test_part_fixture.h"

enum { MOST_PAGES = 4 };
/* How far boxes of texts may overlap [mm]: their rims count half a pen and all descenders. */
static const double slack = 0.01;
/* 7.5 pt, of which a capital has 0.7 [mm]; the smallest lettering of the drawings is 1.8. */
static const double least_body = 7.5 * 25.4 / 72 * 0.7, least_in_figures = 1.79;

static const char *const roots[] = {SW_SOURCE_DIR "/profiles", NULL};
static const struct sw_app app = {"0", {roots}, false, false};
/* What is cut of hardened blanks. */
static const struct sw_app hard_app = {"0", {roots}, false, true};

struct made {
    struct sw_work *work;
    struct sw_sheet sheet;
};

static void judge(struct sw_work *work, struct sw_ctx *ctx)
{
    struct sw_app_text *text;
    size_t n;
    assert_int_equal(sw_app_program_texts(&text, &n, work, ctx), SW_OK);
    assert_int_equal(
        sw_app_judge(&work->verdict, text, n, work->setup, work->shop, work->shape, false, ctx),
        SW_OK);
}

static void make_sheet_by(struct made *made, const char *path, const struct sw_app *by,
                          struct sw_ctx *ctx)
{
    struct sw_work *work = SW_NEW(ctx->arena, struct sw_work, 1);
    if (sw_app_load_job(work, path, by, ctx) != SW_OK ||
        sw_app_plan_job(work, NULL, by, ctx) != SW_OK ||
        sw_app_write_job(work, ".", by, ctx) != SW_OK)
        fail_msg("%s", sw_test_diagnostics(ctx));
    if (work->blank)
        assert_int_equal(
            sw_app_resolve_blank(work->setup, &work->hardening->text, ".", work->staff, by, ctx),
            SW_OK);
    judge(work, ctx);
    *made = (struct made){work,
                          {.version = "0",
                           .plan = work->plan,
                           .post = work->post,
                           .programs = work->programs,
                           .setup = work->setup,
                           .verdict = work->verdict,
                           .becomes = work->hardening ? work->hardening->staff : NULL}};
}

static void make_sheet(struct made *made, const char *path, struct sw_ctx *ctx)
{
    make_sheet_by(made, path, &app, ctx);
}

static void check_page(const struct sw_draw_page *page, const char *name)
{
    const struct sw_draw_box paper = {8, 5, 205, 295};
    size_t n = 0;
    for (size_t i = 0; i < page->n; i++) {
        const struct sw_draw_item *a = &page->at[i];
        if (a->kind != SW_ITEM_TEXT)
            continue;
        n++;
        if (a->height < least_in_figures)
            fail_msg("%s, %s: \"%s\" is only %g high", name, page->name, a->text, a->height);
        if (a->box.x0 < paper.x0 || a->box.x1 > paper.x1 || a->box.y0 < paper.y0 ||
            a->box.y1 > paper.y1)
            fail_msg("%s, %s: \"%s\" leaves the page", name, page->name, a->text);
        for (size_t k = i + 1; k < page->n; k++)
            if (page->at[k].kind == SW_ITEM_TEXT &&
                sw_draw_boxes_meet(&a->box, &page->at[k].box, slack))
                fail_msg("%s, %s: \"%s\" lies on \"%s\"", name, page->name, a->text,
                         page->at[k].text);
    }
    assert_true(n > 0);
}

/* All texts of all pages, each between spaces. */
static void gather(struct sw_buf *out, const struct sw_drawing *drawing)
{
    sw_buf_add(out, " ");
    for (size_t p = 0; p < drawing->n; p++)
        for (size_t i = 0; i < drawing->at[p]->n; i++)
            if (drawing->at[p]->at[i].kind == SW_ITEM_TEXT)
                sw_buf_printf(out, "%s ", drawing->at[p]->at[i].text);
    assert_false(out->failed);
}

/* Is WORD, N long, a word of TEXT, whatever marks stand round it? */
static bool has_word(const char *text, const char *word, size_t n)
{
    for (const char *at = strstr(text, word); at; at = strstr(at + 1, word))
        if (!isalnum((unsigned char)at[-1]) && at[-1] != '.' && !isalnum((unsigned char)at[n]))
            return true;
    return false;
}

/* Whatever of the text holds a figure stands on the pages: sizes, lines, speeds, times. */
static void check_figures(const char *text, const char *pages, const char *name, size_t least)
{
    size_t n_words = 0;
    while (*text) {
        size_t n = strcspn(text, " \n");
        const char *word = text;
        text += n;
        text += strspn(text, " \n");
        while (n && ispunct((unsigned char)*word)) {
            word++;
            n--;
        }
        while (n && ispunct((unsigned char)word[n - 1]))
            n--;
        if (!n || !strpbrk(word, "0123456789") || strcspn(word, "0123456789") >= n)
            continue;
        char bare[128];
        snprintf(bare, sizeof bare, "%.*s", (int)n, word);
        n_words++;
        if (!has_word(pages, bare, strlen(bare)))
            fail_msg("%s: %s stands in the text, but on no page", name, bare);
    }
    assert_true(n_words > least);
}

static void check_job_by(const char *path, const char *name, const struct sw_app *by)
{
    struct sw_ctx ctx = sw_test_ctx();
    struct made made;
    make_sheet_by(&made, path, by, &ctx);
    struct sw_drawing *drawing = NULL;
    assert_int_equal(sw_report_sheet_pages(&drawing, &made.sheet, &ctx), SW_OK);
    if (drawing->n > MOST_PAGES)
        fail_msg("%s takes %zu pages", name, drawing->n);
    for (size_t p = 0; p < drawing->n; p++)
        check_page(drawing->at[p], name);
    struct sw_buf text = {0}, pages = {0};
    assert_int_equal(sw_report_sheet(&text, &made.sheet, &ctx), SW_OK);
    gather(&pages, drawing);
    check_figures(sw_buf_text(&text), sw_buf_text(&pages), name, 300);
    /* Every section has a row, with its name as the staff has it. */
    for (size_t i = 0; i < made.work->staff->n; i++)
        assert_non_null(strstr(sw_buf_text(&pages), made.work->staff->section[i].name));
    sw_buf_done(&text);
    sw_buf_done(&pages);
    sw_test_ctx_free(&ctx);
}

static void check_job(const char *path, const char *name)
{
    check_job_by(path, name, &app);
}

static void every_samples_sheet_is_four_pages_on_which_nothing_overlaps(void **state)
{
    (void)state;
    static const char *const job[] = {"job.yaml", "job-turning.yaml"};
    for (size_t i = 0; i < N_SAMPLE_STAFFS; i++)
        for (size_t k = 0; k < sizeof job / sizeof *job; k++) {
            char path[1024], name[256];
            snprintf(path, sizeof path, "%s/samples/%s/%s", SW_SOURCE_DIR, sample_staffs[i],
                     job[k]);
            snprintf(name, sizeof name, "%s, %s", sample_staffs[i], job[k]);
            check_job(path, name);
        }
}

static void the_finish_of_a_blank_has_its_pages(void **state)
{
    (void)state;
    check_job_by(SW_SOURCE_DIR "/samples/fenmoor-43/job-harden.yaml", "blank", &app);
    check_job_by(SW_SOURCE_DIR "/samples/fenmoor-43/job-harden.yaml", "finish", &hard_app);
}

/* The job of SAMPLE as it is, in another SHOP, written to FILE. */
static void write_job(FILE *file, const char *sample, const char *shop)
{
    char folder[256];
    snprintf(folder, sizeof folder, "samples/%s", sample);
    struct sw_ctx ctx = sw_test_ctx();
    const char *line = read_repo_file(folder, "job", ".yaml", &ctx);
    while (*line) {
        const int n = (int)strcspn(line, "\n");
        if (strncmp(line, "staff:", 6) == 0)
            fprintf(file, "staff: %s/%s/staff.yaml\n", SW_SOURCE_DIR, folder);
        else if (strncmp(line, "shop:", 5) == 0)
            fprintf(file, "shop: %s\n", shop);
        else
            fprintf(file, "%.*s\n", n, line);
        line += n + (line[n] == '\n');
    }
    if (strstr(shop, "soft-rod")) /* it stocks what is hardened afterwards */
        fprintf(file, "harden: {rod: carbon-steel-annealed, growth: [0.0005, 0.0009]}\n");
    sw_test_ctx_free(&ctx);
}

static void the_same_holds_of_every_sample_in_every_shop(void **state)
{
    (void)state;
    glob_t shops;
    assert_int_equal(glob(SW_SOURCE_DIR "/profiles/shops/*.yaml", 0, NULL, &shops), 0);
    assert_true(shops.gl_pathc > 5);
    for (size_t i = 0; i < N_SAMPLE_STAFFS; i++)
        for (size_t k = 0; k < shops.gl_pathc; k++) {
            char path[] = "/tmp/sheet-job-XXXXXX", name[1024];
            const int fd = mkstemp(path);
            assert_true(fd >= 0);
            FILE *file = fdopen(fd, "w");
            assert_non_null(file);
            write_job(file, sample_staffs[i], shops.gl_pathv[k]);
            assert_int_equal(fclose(file), 0);
            snprintf(name, sizeof name, "%s in %s", sample_staffs[i], shops.gl_pathv[k]);
            check_job(path, name);
            unlink(path);
        }
    globfree(&shops);
}

/* The second side of a sample once more, its pivot 0.01 too thick on the radius. */
static void the_sheet_of_a_finishing_program_is_a_page_or_two(void **state)
{
    (void)state;
    for (size_t i = 0; i < N_SAMPLE_STAFFS; i++) {
        char path[1024];
        snprintf(path, sizeof path, "%s/samples/%s/job.yaml", SW_SOURCE_DIR, sample_staffs[i]);
        struct sw_ctx ctx = sw_test_ctx();
        struct made made;
        make_sheet(&made, path, &ctx);
        struct sw_work *work = made.work;
        const bool is_upper = work->plan->chucking[1].end == SW_SIDE_UPPER;
        const struct sw_plan_over over = {is_upper ? 0 : work->staff->n - 1, 0.01};
        struct sw_plan *again = NULL;
        assert_int_equal(sw_plan_again(&again, work->plan, &over, 1, work->post, &ctx), SW_OK);
        work->plan = again;
        memset(work->programs, 0, sizeof work->programs);
        assert_int_equal(sw_app_write_job(work, ".", &app, &ctx), SW_OK);
        made.sheet.plan = again;
        made.sheet.programs = work->programs;
        made.sheet.setup = work->setup;
        judge(work, &ctx); /* of what side 1 left: it fails, but the times are there */
        made.sheet.verdict = work->verdict;
        const struct sw_report_again_section section = {over.section, 0.14, true};
        const struct sw_report_again what = {3, &section, 1};
        struct sw_drawing *drawing = NULL;
        assert_int_equal(sw_report_again_pages(&drawing, &made.sheet, &what, &ctx), SW_OK);
        assert_in_range(drawing->n, 1, 2);
        for (size_t p = 0; p < drawing->n; p++)
            check_page(drawing->at[p], sample_staffs[i]);
        struct sw_buf text = {0}, pages = {0};
        assert_int_equal(sw_report_again_sheet(&text, &made.sheet, &what, &ctx), SW_OK);
        gather(&pages, drawing);
        check_figures(sw_buf_text(&text), sw_buf_text(&pages), sample_staffs[i], 60);
        sw_buf_done(&text);
        sw_buf_done(&pages);
        sw_test_ctx_free(&ctx);
    }
}

static double no_figure(const void *user, const struct sw_doc_block *block)
{
    (void)user;
    (void)block;
    return 0;
}

static enum sw_status draw_no_figure(const void *user, struct sw_drawing *to,
                                     const struct sw_doc_block *block, struct sw_draw_box box,
                                     struct sw_ctx *ctx)
{
    (void)user;
    (void)to;
    (void)block;
    (void)box;
    (void)ctx;
    return SW_OK;
}

static const struct sw_pages plain = {.title = "crowded",
                                      .about = "about",
                                      .foot = "foot",
                                      .figure_height = no_figure,
                                      .figure = draw_no_figure};

static const char long_word[] =
    "aWordThatIsLongerThanAnyColumnIsWideBecauseItHasNoSpaceInItAndGoesOnAndOnAndOnAndOnAndOnAnd";

/* A document that is hard to set: long words, many columns, tables over pages, nothing to keep. */
static enum sw_status set_crowded(struct sw_drawing **out, struct sw_ctx *ctx)
{
    enum { COLUMNS = 9, ROWS = 120 };
    static const struct sw_doc_column column[COLUMNS] = {
        {.title = "number", .is_number = true},
        {.title = "a title of several words", .may_wrap = true},
        {.title = "x"},
        {.title = long_word, .may_wrap = true},
        {.title = "blank", .least = 20, .is_blank = true},
        {.title = ""},
        {.title = "wide", .least = 30},
        {.title = "words", .may_wrap = true},
        {.title = "y", .is_number = true}};
    struct sw_doc doc = {.arena = ctx->arena};
    sw_doc_headline(&doc, "A headline");
    for (int i = 0; i < 90; i++)
        sw_doc_say(&doc, i % 3 ? 0 : 6, i % 2 ? "  [ ] " : "12345678. ",
                   "Word %d, %s, +-0.%d and a blank ____________ to fill in.", i,
                   i % 7 ? "short" : long_word, i);
    sw_doc_sub(&doc, "Smaller, with %s", long_word);
    struct sw_doc_table *table = sw_doc_table(&doc, column, COLUMNS, true);
    for (int i = 0; i < ROWS; i++) {
        if (i % 10 == 9) {
            sw_doc_row(&doc, table);
            sw_doc_say(&doc, 0, "7. ", "A row of words that runs over all columns, %s.", long_word);
            sw_doc_say(&doc, 0, "", "And a second line of it.");
            sw_doc_row(&doc, NULL);
            continue;
        }
        for (int k = 0; k < COLUMNS; k++)
            sw_doc_cell(&doc, table, "%s%d", k == 7 ? "some words and then some " : "", i * k);
    }
    struct sw_doc_table *narrow = sw_doc_table(&doc, column, 3, false);
    for (int i = 0; i < 3 * 150; i++)
        sw_doc_cell(&doc, narrow, "cell %d", i);
    return sw_pages_set(out, &doc, &plain, ctx);
}

static void long_words_and_crowded_tables_stay_apart_and_on_the_page(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_drawing *drawing = NULL;
    assert_int_equal(set_crowded(&drawing, &ctx), SW_OK);
    assert_true(drawing->n >= 3);
    struct sw_buf pages = {0};
    gather(&pages, drawing);
    for (size_t p = 0; p < drawing->n; p++)
        check_page(drawing->at[p], "crowded");
    assert_non_null(strstr(sw_buf_text(&pages), "Word 89,"));
    assert_non_null(strstr(sw_buf_text(&pages), "cell 449"));
    assert_non_null(strstr(sw_buf_text(&pages), "\u00b10.41"));
    /* The head of a table that goes on over a page stands there again. */
    size_t n = 0;
    for (const char *at = sw_buf_text(&pages); (at = strstr(at, " blank ")) != NULL; at++)
        n++;
    assert_true(n >= 2);
    sw_buf_done(&pages);
    sw_test_ctx_free(&ctx);
}

static void lettering_is_no_smaller_than_seven_and_a_half_points(void **state)
{
    (void)state;
    assert_true(SW_PAGES_TEXT >= least_body);
}

static void a_row_of_words_is_one_cell_on_the_pages_and_paragraphs_in_the_text(void **state)
{
    (void)state;
    static const struct sw_doc_column column[] = {{.title = "a"}, {.title = "b"}, {.title = "c"}};
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_doc doc = {.arena = ctx.arena};
    struct sw_doc_table *table = sw_doc_table(&doc, column, 3, true);
    sw_doc_row(&doc, table);
    sw_doc_say(&doc, 0, " 5. ", "first");
    sw_doc_say(&doc, 4, "", "second");
    sw_doc_row(&doc, NULL);
    struct sw_buf text = {0};
    sw_doc_write_text(&text, &doc);
    assert_string_equal(sw_buf_text(&text), " 5. first\n    second\n");
    assert_int_equal(table->n, 3);
    assert_string_equal(table->at[0], "5. ");
    assert_string_equal(table->at[1], "first\nsecond");
    assert_null(table->at[2]);
    sw_buf_done(&text);
    sw_test_ctx_free(&ctx);
}

static void setting_survives_running_out_of_memory(void **state)
{
    (void)state;
    enum { SAMPLES = 60 }; /* spread over all allocations: all would take long */
    struct failing all = {0, 0, 0};
    for (size_t i = 0; i <= SAMPLES; i++) {
        struct failing failing = {0, 0, i == 0 ? 0 : 1 + (i - 1) * all.n_asked / SAMPLES};
        const struct sw_mem_hook hook = {failing_resize, &failing};
        sw_mem_set_hook(&hook);
        struct sw_ctx ctx = {sw_arena_new(), sw_diag_new()};
        struct sw_drawing *drawing = NULL;
        enum sw_status status = SW_MEMORY;
        if (ctx.arena && ctx.diag)
            status = set_crowded(&drawing, &ctx);
        sw_diag_free(ctx.diag);
        sw_arena_free(ctx.arena);
        sw_mem_set_hook(NULL);
        assert_int_equal(failing.n_live, 0);
        assert_int_equal(status, i == 0 ? SW_OK : SW_MEMORY);
        if (i == 0)
            all = failing;
    }
}

static enum sw_status report_both(const struct sw_sheet *sheet, struct sw_ctx *ctx)
{
    struct sw_buf text = {0};
    struct sw_drawing *drawing = NULL;
    enum sw_status status = sw_report_sheet(&text, sheet, ctx);
    sw_buf_done(&text);
    if (status == SW_OK)
        status = sw_report_sheet_pages(&drawing, sheet, ctx);
    return status;
}

static void a_sheet_survives_running_out_of_memory(void **state)
{
    (void)state;
    enum { SAMPLES = 250 }; /* all 1100 have been tried: they take long */
    struct sw_ctx made_in = sw_test_ctx();
    struct made made;
    make_sheet(&made, SW_SOURCE_DIR "/samples/tollgate/job.yaml", &made_in);
    struct failing all = {0, 0, 0};
    for (size_t i = 0; i <= SAMPLES; i++) {
        struct failing failing = {0, 0, i == 0 ? 0 : 1 + (i - 1) * all.n_asked / SAMPLES};
        const struct sw_mem_hook hook = {failing_resize, &failing};
        sw_mem_set_hook(&hook);
        struct sw_ctx ctx = {sw_arena_new(), sw_diag_new()};
        enum sw_status status = SW_MEMORY;
        if (ctx.arena && ctx.diag)
            status = report_both(&made.sheet, &ctx);
        sw_diag_free(ctx.diag);
        sw_arena_free(ctx.arena);
        sw_mem_set_hook(NULL);
        assert_int_equal(failing.n_live, 0);
        if (status != (i == 0 ? SW_OK : SW_MEMORY))
            fail_msg("allocation %zu of %zu failed, but the status is %d", failing.fail_at,
                     all.n_asked, (int)status);
        if (i == 0)
            all = failing;
    }
    sw_test_ctx_free(&made_in);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_samples_sheet_is_four_pages_on_which_nothing_overlaps),
        cmocka_unit_test(the_finish_of_a_blank_has_its_pages),
        cmocka_unit_test(the_same_holds_of_every_sample_in_every_shop),
        cmocka_unit_test(the_sheet_of_a_finishing_program_is_a_page_or_two),
        cmocka_unit_test(long_words_and_crowded_tables_stay_apart_and_on_the_page),
        cmocka_unit_test(lettering_is_no_smaller_than_seven_and_a_half_points),
        cmocka_unit_test(a_row_of_words_is_one_cell_on_the_pages_and_paragraphs_in_the_text),
        cmocka_unit_test(setting_survives_running_out_of_memory),
        cmocka_unit_test(a_sheet_survives_running_out_of_memory),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
