/* The files: the same bytes whenever and wherever, sound, and whole or not at all. */
#include <locale.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "draw/write.h"
#include "support/near.h"
#include "test_part_fixture.h"

static enum sw_status draw_sample(struct sw_drawing **out, struct sw_ctx *ctx)
{
    SW_TRY(sw_drawing_new(out, "Bramble 8, 0.5 \u00b1 0.1", ctx));
    struct sw_drawing *d = *out;
    for (int page = 0; page < 2; page++) {
        const struct sw_draw_box box = {20.5, 20.25, 200, 100};
        const struct sw_draw_pt c = {100, 60}, start = {120, 60};
        const struct sw_text_style style = {.height = 2.5, .is_upright = page == 1};
        struct sw_draw_path path = {0};
        sw_draw_page(d, page ? "second" : "first", 297, 210);
        sw_draw_box(d, box, (struct sw_pen){0.5, SW_DASH_CHAIN, 0x0072b2u}, (struct sw_paint){0});
        sw_draw_clip(d, &box);
        sw_draw_move(d, &path, start);
        sw_draw_arc_to(d, &path, start, c, -1);
        sw_draw_close(d, &path);
        sw_draw_path(d, &path, (struct sw_pen){0.25, SW_DASH_CONTINUOUS, 0},
                     (struct sw_paint){true, 0xe4e4e4u});
        sw_draw_hatch(d, &path, 0.8, 2.5, (struct sw_pen){0.18, SW_DASH_CONTINUOUS, 0});
        sw_draw_clip(d, NULL);
        sw_draw_text(d, c, &style, "\u23000.110 +0.002 \u00e9\u4e2d");
        sw_draw_text(d, start, &style, "not \xff UTF-8");
    }
    return sw_drawing_status(d);
}

enum form { PDF, SVG, PNG, N_FORMS };

static enum sw_status write_form(struct sw_buf *out, enum form form, struct sw_ctx *ctx)
{
    struct sw_drawing *drawing = NULL;
    SW_TRY(draw_sample(&drawing, ctx));
    return form == PDF   ? sw_draw_write_pdf(out, drawing, ctx)
           : form == SVG ? sw_draw_write_svg(out, drawing, 1, ctx)
                         : sw_draw_write_png(out, drawing, 1, ctx);
}

static bool holds(const struct sw_buf *buf, const char *text)
{
    const size_t n = strlen(text);
    for (size_t i = 0; i + n <= buf->n; i++)
        if (memcmp(buf->at + i, text, n) == 0)
            return true;
    return false;
}

static void bytes_do_not_depend_on_place_time_or_what_was_drawn_before(void **state)
{
    (void)state;
    struct sw_buf first[N_FORMS] = {{0}};
    for (int round = 0; round < 2; round++) {
        if (round == 1) {
            setenv("TZ", "Pacific/Kiritimati", 1);
            setenv("SOURCE_DATE_EPOCH", "86400", 1);
            tzset();
            /* A comma in numbers, where such a locale is installed. */
            if (!setlocale(LC_ALL, "de_DE.UTF-8") && !setlocale(LC_ALL, "C.UTF-8"))
                print_message("no other locale is installed\n");
        }
        for (int form = 0; form < N_FORMS; form++) {
            struct sw_ctx ctx = sw_test_ctx();
            struct sw_buf bytes = {0};
            assert_int_equal(write_form(&bytes, (enum form)form, &ctx), SW_OK);
            if (round == 0) {
                first[form] = bytes;
            } else {
                assert_int_equal(bytes.n, first[form].n);
                assert_memory_equal(bytes.at, first[form].at, bytes.n);
                sw_buf_done(&bytes);
                sw_buf_done(&first[form]);
            }
            sw_test_ctx_free(&ctx);
        }
    }
    setlocale(LC_ALL, "C");
}

static void files_begin_and_end_as_their_form_asks(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_buf pdf = {0}, svg = {0}, png = {0};
    assert_int_equal(write_form(&pdf, PDF, &ctx), SW_OK);
    assert_int_equal(write_form(&svg, SVG, &ctx), SW_OK);
    assert_int_equal(write_form(&png, PNG, &ctx), SW_OK);
    assert_memory_equal(pdf.at, "%PDF-1.", 7);
    assert_memory_equal(pdf.at + pdf.n - 6, "%%EOF\n", 6);
    assert_true(holds(&pdf, "/Count 2"));
    assert_false(holds(&pdf, "Date")); /* neither created nor changed */
    assert_memory_equal(svg.at, "<?xml", 5);
    assert_true(holds(&svg, "width=\"297mm\""));
    assert_false(holds(&svg, "surface"));
    assert_false(holds(&svg, "<text"));
    /* PNG, second edition (ISO/IEC 15948), 5.2 and 11.2.2: signature, then width and height. */
    static const unsigned char head[] = {0x89, 'P', 'N', 'G', 13, 10, 26, 10};
    assert_memory_equal(png.at, head, sizeof head);
    const unsigned char *size = (const unsigned char *)png.at + 16;
    assert_int_equal(size[2] * 256 + size[3], 2339); /* 297 mm at 200 dots an inch, rounded up */
    assert_int_equal(size[6] * 256 + size[7], 1654); /* 210 mm */
    sw_buf_done(&pdf);
    sw_buf_done(&svg);
    sw_buf_done(&png);
    sw_test_ctx_free(&ctx);
}

static void a_page_that_is_not_there_is_refused(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_drawing *drawing = NULL, *empty = NULL;
    struct sw_buf out = {0};
    assert_int_equal(draw_sample(&drawing, &ctx), SW_OK);
    assert_int_equal(sw_drawing_new(&empty, "", &ctx), SW_OK);
    assert_int_equal(sw_draw_write_svg(&out, drawing, 2, &ctx), SW_INTERNAL);
    assert_int_equal(sw_draw_write_png(&out, drawing, 2, &ctx), SW_INTERNAL);
    assert_int_equal(sw_draw_write_pdf(&out, empty, &ctx), SW_INTERNAL);
    assert_int_equal(out.n, 0);
    sw_test_ctx_free(&ctx);
}

static enum sw_status write_pdf(struct sw_ctx *ctx)
{
    struct sw_buf out = {0};
    const enum sw_status status = write_form(&out, PDF, ctx);
    sw_buf_done(&out);
    return status;
}

/* An area that was only filled, without a line, must not become part of the clip behind it: what is
 * clipped would cover it. */
static void a_clip_is_its_box_alone_whatever_was_filled_before(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_drawing *d = NULL;
    assert_int_equal(sw_drawing_new(&d, "clip", &ctx), SW_OK);
    const struct sw_draw_box filled = {10, 10, 20, 20}, clip = {50, 50, 60, 60},
                             all = {5, 5, 90, 90};
    sw_draw_page(d, "one", 100, 100);
    sw_draw_box(d, filled, (struct sw_pen){0}, (struct sw_paint){true, 0xffffffu});
    sw_draw_clip(d, &clip);
    sw_draw_box(d, all, (struct sw_pen){0.5, SW_DASH_CONTINUOUS, 0}, (struct sw_paint){true, 0});
    struct sw_buf svg = {0};
    assert_int_equal(sw_draw_write_svg(&svg, d, 0, &ctx), SW_OK);
    const char *at = strstr(sw_buf_text(&svg), "<clipPath");
    assert_non_null(at);
    const char *end = strstr(at, "</clipPath>");
    assert_non_null(end);
    const char *first = strstr(at, "M 10 ");
    assert_true(first == NULL || first > end);
    first = strstr(at, "M 50 ");
    assert_true(first != NULL && first < end);
    sw_buf_done(&svg);
    sw_test_ctx_free(&ctx);
}

static enum sw_status write_svg(struct sw_ctx *ctx)
{
    struct sw_buf out = {0};
    const enum sw_status status = write_form(&out, SVG, ctx);
    sw_buf_done(&out);
    return status;
}

static enum sw_status write_png(struct sw_ctx *ctx)
{
    struct sw_buf out = {0};
    const enum sw_status status = write_form(&out, PNG, ctx);
    sw_buf_done(&out);
    return status;
}

static void every_form_survives_running_out_of_memory(void **state)
{
    (void)state;
    assert_survives_failures(write_pdf);
    assert_survives_failures(write_svg);
    assert_survives_failures(write_png);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(bytes_do_not_depend_on_place_time_or_what_was_drawn_before),
        cmocka_unit_test(files_begin_and_end_as_their_form_asks),
        cmocka_unit_test(a_page_that_is_not_there_is_refused),
        cmocka_unit_test(a_clip_is_its_box_alone_whatever_was_filled_before),
        cmocka_unit_test(every_form_survives_running_out_of_memory),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
