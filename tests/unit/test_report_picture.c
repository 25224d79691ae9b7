/* The drawings of all samples: every page is there, says what it must, and no text lies on another
 * one or beyond the frame. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/app.h"
#include "report/picture.h"
#include "support/near.h"
#include "test_part_fixture.h"

/* The frame of a page [mm]: margins 20 and 10. */
static const struct sw_draw_box frame = {20, 10, 287, 200};
/* How far boxes of texts may overlap [mm]: their rims count half a pen and all descenders. */
static const double slack = 0.01;

static struct sw_drawing *draw_job(const char *name, const char *job, struct sw_ctx *ctx)
{
    char path[1024];
    snprintf(path, sizeof path, "%s/samples/%s/%s", SW_SOURCE_DIR, name, job);
    const char *const roots[] = {SW_SOURCE_DIR "/profiles", NULL};
    const struct sw_app app = {"0", {roots}, false, false};
    struct sw_work *work = SW_NEW(ctx->arena, struct sw_work, 1);
    struct sw_drawing *drawing = NULL;
    if (sw_app_load_job(work, path, &app, ctx) != SW_OK ||
        sw_app_plan_job(work, NULL, &app, ctx) != SW_OK)
        fail_msg("%s", sw_test_diagnostics(ctx));
    const struct sw_picture picture = {work->plan->shape, work->plan, "0"};
    assert_int_equal(sw_report_pictures(&drawing, &picture, ctx), SW_OK);
    return drawing;
}

static enum sw_status draw_staff(struct sw_drawing **out, const struct sw_staff *staff,
                                 struct sw_ctx *ctx)
{
    struct sw_shape *shape = NULL;
    SW_TRY(sw_shape_build(&shape, staff, NULL, NULL, ctx));
    const struct sw_picture picture = {shape, NULL, "0"};
    return sw_report_pictures(out, &picture, ctx);
}

static bool says(const struct sw_draw_page *page, const char *text)
{
    for (size_t i = 0; i < page->n; i++)
        if (page->at[i].kind == SW_ITEM_TEXT && strstr(page->at[i].text, text))
            return true;
    return false;
}

static const struct sw_draw_page *page_of(const struct sw_drawing *drawing, const char *name)
{
    for (size_t i = 0; i < drawing->n; i++)
        if (strcmp(drawing->at[i]->name, name) == 0)
            return drawing->at[i];
    fail_msg("there is no page %s", name);
    return NULL;
}

/* Does a thick line from A to B run through the box? */
static bool runs_through(struct sw_draw_pt a, struct sw_draw_pt b, const struct sw_draw_box *box)
{
    double t0 = 0, t1 = 1;
    const double from[2] = {a.x, a.y}, by[2] = {b.x - a.x, b.y - a.y};
    const double low[2] = {box->x0, box->y0}, high[2] = {box->x1, box->y1};
    for (int k = 0; k < 2; k++) {
        if (by[k] == 0) {
            if (from[k] <= low[k] || from[k] >= high[k])
                return false;
            continue;
        }
        const double u = (low[k] - from[k]) / by[k], v = (high[k] - from[k]) / by[k];
        t0 = fmax(t0, fmin(u, v));
        t1 = fmin(t1, fmax(u, v));
    }
    return t0 < t1;
}

static void check_outlines(const struct sw_draw_page *page, const struct sw_draw_item *text,
                           const char *name)
{
    static const double thick = 0.45; /* outlines are 0.5 */
    for (size_t i = 0; i < page->n; i++) {
        const struct sw_draw_item *item = &page->at[i];
        if (item->kind != SW_ITEM_PATH || item->pen.width < thick || item->is_clipped)
            continue;
        for (size_t k = 1; k < item->path.n; k++)
            if (item->path.at[k].kind != SW_STEP_MOVE && item->path.at[k].kind != SW_STEP_CLOSE &&
                runs_through(item->path.at[k - 1].to, item->path.at[k].to, &text->box))
                fail_msg("%s, %s: an outline runs through \"%s\"", name, page->name, text->text);
    }
}

static size_t check_page(const struct sw_draw_page *page, const char *name)
{
    size_t n = 0;
    for (size_t i = 0; i < page->n; i++) {
        const struct sw_draw_item *a = &page->at[i];
        if (a->kind != SW_ITEM_TEXT)
            continue;
        n++;
        if (a->box.x0 < frame.x0 || a->box.x1 > frame.x1 || a->box.y0 < frame.y0 ||
            a->box.y1 > frame.y1)
            fail_msg("%s, %s: \"%s\" leaves the frame", name, page->name, a->text);
        for (size_t k = i + 1; k < page->n; k++)
            if (page->at[k].kind == SW_ITEM_TEXT &&
                sw_draw_boxes_meet(&a->box, &page->at[k].box, slack))
                fail_msg("%s, %s: \"%s\" lies on \"%s\"", name, page->name, a->text,
                         page->at[k].text);
        check_outlines(page, a, name);
    }
    return n;
}

static void no_text_of_any_sample_lies_on_another_or_leaves_the_frame(void **state)
{
    (void)state;
    static const char *const jobs[] = {"job.yaml", "job-turning.yaml"};
    for (size_t i = 0; i < N_SAMPLE_STAFFS; i++)
        for (int k = 0; k < 2; k++) {
            struct sw_ctx ctx = sw_test_ctx();
            const struct sw_drawing *drawing = draw_job(sample_staffs[i], jobs[k], &ctx);
            assert_int_equal(drawing->n, 7);
            for (size_t p = 0; p < drawing->n; p++)
                assert_true(check_page(drawing->at[p], sample_staffs[i]) >= 12);
            sw_test_ctx_free(&ctx);
        }
}

/* Sections as thin as they may be, side by side, with long names: hard for labels and lanes. */
static void crowded_sections_keep_their_texts_apart(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_buf middle = {0};
    for (int i = 0; i < 10; i++)
        sw_buf_printf(&middle,
                      "  - cylinder: {name: the rather narrow shank number %d, diameter: %s, "
                      "length: 0.06, tolerance: [-0.0025, 0.0015]}\n",
                      i, i % 2 ? "0.6" : "0.5");
    sw_buf_add(&middle, "  - cylinder: {name: long shank, diameter: 0.5, length: 2.0}\n");
    const struct sw_staff *staff = parse_around(sw_buf_text(&middle), &ctx);
    sw_buf_done(&middle);
    struct sw_drawing *drawing = NULL;
    assert_int_equal(draw_staff(&drawing, staff, &ctx), SW_OK);
    for (size_t p = 0; p < drawing->n; p++)
        check_page(drawing->at[p], "crowded");
    sw_test_ctx_free(&ctx);
}

static void the_staff_page_gives_every_size_with_its_limits(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_drawing *drawing = NULL;
    assert_int_equal(draw_staff(&drawing, load_sample("fenmoor-43", &ctx), &ctx), SW_OK);
    assert_int_equal(drawing->n, 3); /* no plan: no set-ups, no cuts */
    const struct sw_draw_page *page = page_of(drawing, "staff");
    /* From samples/fenmoor-43/staff.yaml and the table of `check`. */
    static const char *const texts[] = {"\u23000.82",
                                        "\u00b10.005",
                                        "\u23001.66",
                                        "\u23000.54",
                                        "\u00b10.002",
                                        "taper 1:100",
                                        "\u23000.11",
                                        "\u22120.003",
                                        "(0.70)",
                                        "(0.52)",
                                        "(1.30)",
                                        "0.11",
                                        "4.55",
                                        "2.12",
                                        "2.64",
                                        "collet seat, stoned",
                                        "upper pivot, burnished",
                                        "Lengths without limits: \u00b10.01",
                                        "R 0.02 at roller seat",
                                        "carbon-steel-blue",
                                        "40 : 1"};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++)
        if (!says(page, texts[i]))
            fail_msg("the page does not say %s", texts[i]);
    const struct sw_draw_page *details = page_of(drawing, "details");
    assert_true(says(details, "wall 40\u00b0") && says(details, "lip 0.05"));
    assert_true(says(details, "17.5\u00b0") && says(details, "0.04 \u00d7 45\u00b0") == false);
    const struct sw_draw_page *fit = page_of(drawing, "fit");
    /* Hole 0.120 less pivot 0.107 to 0.110. */
    assert_true(says(fit, "side shake 0.01 to 0.013") && says(fit, "hub face 2.64"));
    sw_test_ctx_free(&ctx);
}

static void every_tool_is_in_the_legend_with_a_line_of_its_own(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_drawing *drawing = draw_job("fenmoor-43", "job.yaml", &ctx);
    const struct sw_draw_page *cuts = page_of(drawing, "side-1-cuts");
    static const char *const tools[] = {"T1 roughing", "T2 copying", "T4 recessing", "T5 parting"};
    enum { N_TOOLS = sizeof tools / sizeof *tools };
    enum sw_dash dash[N_TOOLS];
    for (size_t i = 0; i < N_TOOLS; i++) {
        size_t at = 0;
        while (at < cuts->n &&
               !(cuts->at[at].kind == SW_ITEM_TEXT && strstr(cuts->at[at].text, tools[i])))
            at++;
        assert_true(at > 0 && at < cuts->n);
        dash[i] = cuts->at[at - 1].pen.dash; /* the sample stands before the name */
        for (size_t k = 0; k < i; k++)
            assert_int_not_equal(dash[i], dash[k]);
    }
    assert_true(says(page_of(drawing, "side-1-setup"), "8.0"));
    sw_test_ctx_free(&ctx);
}

static enum sw_status draw_wren(struct sw_ctx *ctx)
{
    struct sw_staff *staff = NULL;
    SW_TRY(sw_staff_load(&staff, SW_SOURCE_DIR "/samples/wren-8/staff.yaml", ctx));
    struct sw_drawing *drawing = NULL;
    return draw_staff(&drawing, staff, ctx);
}

static void a_drawing_survives_running_out_of_memory(void **state)
{
    (void)state;
    enum { SAMPLES = 60 }; /* spread over all allocations: all would take long */
    struct failing all = {0, 0, 0};
    for (size_t i = 0; i <= SAMPLES; i++) {
        struct failing failing = {0, 0, i == 0 ? 0 : 1 + (i - 1) * all.n_asked / SAMPLES};
        const struct sw_mem_hook hook = {failing_resize, &failing};
        sw_mem_set_hook(&hook);
        struct sw_ctx ctx = {sw_arena_new(), sw_diag_new()};
        enum sw_status status = SW_MEMORY;
        if (ctx.arena && ctx.diag)
            status = draw_wren(&ctx);
        sw_diag_free(ctx.diag);
        sw_arena_free(ctx.arena);
        sw_mem_set_hook(NULL);
        assert_int_equal(failing.n_live, 0);
        assert_int_equal(status, i == 0 ? SW_OK : SW_MEMORY);
        if (i == 0)
            all = failing;
    }
    assert_true(all.n_asked > 0);
}

/* Where the movement was read the staff stands in it as it was read; else the page says what was
 * assumed. */
static void the_staff_stands_between_the_endstones_as_they_were_read(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_staff *staff = NULL;
    struct sw_drawing *drawing = NULL;
    assert_int_equal(sw_staff_load(&staff, SW_SOURCE_DIR "/samples/fenmoor-43/staff.yaml", &ctx),
                     SW_OK);
    assert_int_equal(draw_staff(&drawing, staff, &ctx), SW_OK);
    assert_true(says(page_of(drawing, "fit"), "0.03 above, 0.03 below between hole jewel and"));
    const struct sw_reading reading[] = {{.kind = SW_READ_UPPER_GAP, .value = 0.041},
                                         {.kind = SW_READ_LOWER_GAP, .value = 0.052}};
    const struct sw_parts_read parts = {.reading = reading, .n = 2};
    staff->parts = &parts;
    assert_int_equal(draw_staff(&drawing, staff, &ctx), SW_OK);
    assert_true(says(page_of(drawing, "fit"), "0.041 above, 0.052 below, as read"));
    check_page(page_of(drawing, "fit"), "as read");
    sw_test_ctx_free(&ctx);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_text_of_any_sample_lies_on_another_or_leaves_the_frame),
        cmocka_unit_test(crowded_sections_keep_their_texts_apart),
        cmocka_unit_test(the_staff_page_gives_every_size_with_its_limits),
        cmocka_unit_test(every_tool_is_in_the_legend_with_a_line_of_its_own),
        cmocka_unit_test(the_staff_stands_between_the_endstones_as_they_were_read),
        cmocka_unit_test(a_drawing_survives_running_out_of_memory),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
