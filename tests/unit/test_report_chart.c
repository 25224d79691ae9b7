/* Control charts as pages: every chart is there, and no text lies on another or beyond the frame.
 */
#include "support/near.h"

#include <stdio.h>
#include <string.h>

#include "app/app.h"
#include "report/correct.h"

static const struct sw_draw_box frame = {20, 10, 287, 200};
/* How far boxes of texts may overlap [mm]: their rims count half a pen and all descenders. */
static const double slack = 0.01;

static struct sw_drawing *charts_of(const char *job, const char *measured, struct sw_ctx *ctx)
{
    char path[2][1024];
    snprintf(path[0], sizeof path[0], "%s/samples/%s", SW_SOURCE_DIR, job);
    snprintf(path[1], sizeof path[1], "%s/samples/%s", SW_SOURCE_DIR, measured);
    const char *const roots[] = {SW_SOURCE_DIR "/profiles", NULL};
    const struct sw_app app = {"0", {roots}, false, false};
    struct sw_app_correct *found = SW_NEW(ctx->arena, struct sw_app_correct, 1);
    struct sw_drawing *drawing = NULL;
    assert_non_null(found);
    if (sw_app_correct(found, path[0], path[1], &app, ctx) != SW_OK)
        fail_msg("%s", sw_test_diagnostics(ctx));
    const struct sw_sheet sheet = {.version = "0",
                                   .plan = found->work.plan,
                                   .post = found->work.post,
                                   .programs = found->work.programs,
                                   .setup = found->work.setup,
                                   .verdict = found->work.verdict};
    assert_int_equal(sw_report_charts(&drawing, &found->correction, &sheet, ctx), SW_OK);
    return drawing;
}

static size_t count(const struct sw_drawing *drawing, const char *text)
{
    size_t n = 0;
    for (size_t p = 0; p < drawing->n; p++)
        for (size_t i = 0; i < drawing->at[p]->n; i++)
            n += drawing->at[p]->at[i].kind == SW_ITEM_TEXT &&
                 strstr(drawing->at[p]->at[i].text, text) != NULL;
    return n;
}

static void check_texts(const struct sw_draw_page *page)
{
    for (size_t i = 0; i < page->n; i++) {
        const struct sw_draw_item *one = &page->at[i];
        if (one->kind != SW_ITEM_TEXT)
            continue;
        if (one->box.x0 < frame.x0 || one->box.x1 > frame.x1 || one->box.y0 < frame.y0 ||
            one->box.y1 > frame.y1)
            fail_msg("%s: `%s` lies beyond the frame", page->name, one->text);
        for (size_t k = 0; k < i; k++)
            if (page->at[k].kind == SW_ITEM_TEXT &&
                sw_draw_boxes_meet(&one->box, &page->at[k].box, slack))
                fail_msg("%s: `%s` lies on `%s`", page->name, one->text, page->at[k].text);
    }
}

static void each_section_of_a_tool_has_its_chart_and_no_text_lies_on_another(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_drawing *drawing =
        charts_of("fenmoor-43/job.yaml", "fenmoor-43/measured.yaml", &ctx);
    assert_int_equal(drawing->n, 2);
    assert_int_equal(count(drawing, "error of its diameter"), 3);
    /* upper pivot and collet seat: moving ranges of 0.4 and 0.5 um (0.6 and 0.3), so the limits lie
     * 3 * 0.45 / 1.128 = 1.2 um off their mean of 3.8 */
    assert_int_equal(count(drawing, "control limit +5.0"), 2);
    for (size_t i = 0; i < drawing->n; i++)
        check_texts(drawing->at[i]);
    sw_test_ctx_free(&ctx);
}

static void a_correction_between_pieces_is_marked(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    const struct sw_drawing *drawing =
        charts_of("fenmoor-43-grades/batch.yaml", "fenmoor-43-grades/measured.yaml", &ctx);
    assert_int_equal(drawing->n, 1);
    assert_int_equal(count(drawing, "X -0.0012"), 1);
    check_texts(drawing->at[0]);
    sw_test_ctx_free(&ctx);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_section_of_a_tool_has_its_chart_and_no_text_lies_on_another),
        cmocka_unit_test(a_correction_between_pieces_is_marked),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
