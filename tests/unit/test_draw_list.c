/* The display list: what is asked for stands there, and texts cover what they say they cover. */
#include <math.h>
#include <string.h>

#include "draw/draw.h"
#include "draw/font.h"
#include "support/near.h"

static const struct sw_pen pen = {0.25, SW_DASH_CONTINUOUS, 0x000000u};

static struct sw_drawing *one_page(struct sw_ctx *ctx)
{
    struct sw_drawing *drawing = NULL;
    assert_int_equal(sw_drawing_new(&drawing, "Bramble", ctx), SW_OK);
    sw_draw_page(drawing, "first", 297, 210);
    return drawing;
}

static void grow(struct sw_draw_box *box, struct sw_draw_pt at)
{
    box->x0 = fmin(box->x0, at.x);
    box->y0 = fmin(box->y0, at.y);
    box->x1 = fmax(box->x1, at.x);
    box->y1 = fmax(box->y1, at.y);
}

static void strokes_of_a_text_stay_inside_its_box(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_drawing *drawing = one_page(&ctx);
    static const char all[] = " !\"#$%&'()*+,-./0123456789:;<=>?@ABCDEFGHIJKLMNOPQRSTUVWXYZ[\\]^_`"
                              "abcdefghijklmnopqrstuvwxyz{|}~\u00b0\u00b1\u00b5\u00d7\u2300"
                              "\u00c4\u00e9\u00e7\u00f1\u4e2d";
    for (int upright = 0; upright < 2; upright++)
        for (int along = SW_ALIGN_START; along <= SW_ALIGN_END; along++)
            for (int across = SW_ALIGN_START; across <= SW_ALIGN_END; across++) {
                const struct sw_text_style style = {.height = 2.5,
                                                    .along = (enum sw_align)along,
                                                    .across = (enum sw_align)across,
                                                    .is_upright = upright};
                sw_draw_text(drawing, (struct sw_draw_pt){100, 100}, &style, all);
            }
    assert_int_equal(sw_drawing_status(drawing), SW_OK);
    const struct sw_draw_page *page = drawing->at[0];
    assert_int_equal(page->n, 18);
    for (size_t i = 0; i < page->n; i++) {
        const struct sw_draw_item *item = &page->at[i];
        struct sw_draw_box box = {HUGE_VAL, HUGE_VAL, -HUGE_VAL, -HUGE_VAL};
        for (size_t k = 0; k < item->path.n; k++)
            grow(&box, item->path.at[k].to);
        /* An accented capital may reach above, by the height of the accent. */
        const double over = SW_FONT_ACCENT * 2.5 / SW_FONT_HEIGHT;
        assert_true(box.x0 >= item->box.x0 - over && box.y0 >= item->box.y0 - over);
        assert_true(box.x1 <= item->box.x1 + 1e-9 && box.y1 <= item->box.y1 + 1e-9);
    }
    sw_test_ctx_free(&ctx);
}

static void a_text_is_placed_by_its_alignment(void **state)
{
    (void)state;
    struct sw_text_style style = {.height = 10, .along = SW_ALIGN_END, .across = SW_ALIGN_MIDDLE};
    const struct sw_draw_box right = sw_draw_text_box((struct sw_draw_pt){50, 20}, &style, "HI");
    assert_near(right.x1, 50 + 0.5, 1e-9); /* half a pen */
    assert_near(right.y0, 20 - 5 - 0.5, 1e-9);
    style.is_upright = true; /* the end is then the upper one */
    const struct sw_draw_box up = sw_draw_text_box((struct sw_draw_pt){50, 20}, &style, "HI");
    assert_near(up.y0, 20 - 0.5, 1e-9);
    assert_near(up.x1 - up.x0, 10 + 3 + 0.5, 1e-9);
    assert_near(up.y1 - up.y0, right.x1 - right.x0, 1e-9);
}

static void figures_are_equally_wide(void **state)
{
    (void)state;
    for (char c = '0'; c <= '9'; c++) {
        const char text[] = {c, '\0'};
        assert_int_equal(sw_font_width(text), 5);
    }
}

static void all_printable_ascii_and_the_signs_of_drawings_are_known(void **state)
{
    (void)state;
    const char *const box = sw_font_sign_of(0).strokes;
    for (uint32_t c = ' '; c <= '~'; c++)
        assert_ptr_not_equal(sw_font_sign_of(c).strokes, box);
    static const uint32_t more[] = {0xb0, 0xb1, 0xb5, 0xd7, 0x2212, 0x2300, 0xc4, 0xe9, 0xfc, 0xdf};
    for (size_t i = 0; i < sizeof more / sizeof *more; i++)
        assert_ptr_not_equal(sw_font_sign_of(more[i]).strokes, box);
    assert_ptr_equal(sw_font_sign_of(0x4e2d).strokes, box);
}

static void every_sign_is_well_formed(void **state)
{
    (void)state;
    for (uint32_t c = 0; c < 0x2400; c++) {
        const struct sw_font_sign sign = sw_font_sign_of(c);
        const char *part[2] = {sign.strokes, sign.mark};
        for (int i = 0; i < 2; i++) {
            struct sw_font_step step;
            bool is_fresh = true, is_first = true;
            while (sw_font_step(&step, &part[i], &is_fresh)) {
                assert_true(!is_first || step.is_move);
                assert_true(!step.is_move || !step.is_curve);
                assert_true(step.x >= 0 && step.x <= 9);
                assert_true(step.y >= -SW_FONT_DESCENT && step.y <= SW_FONT_HEIGHT + 2);
                if (i == 0 && step.x > sign.width)
                    fail_msg("sign %x is wider than it says", (unsigned)c);
                is_first = false;
            }
        }
    }
}

static void broken_utf8_gives_a_box_a_byte_and_ends(void **state)
{
    (void)state;
    assert_int_equal(sw_font_width("\xff"), 5);
    assert_int_equal(sw_font_width("\xe2\x8c"), 12);     /* cut off: two boxes */
    assert_int_equal(sw_font_width("\xc3("), 5 + 2 + 2); /* a box, a bracket */
    const char *half_a_pair = "\xed\xa0\x80", *too_long = "\xe0\x80\x80";
    assert_int_equal(sw_font_code(&half_a_pair), 0);
    assert_int_equal(sw_font_code(&too_long), 0);
}

static void hatching_fills_the_area_and_nothing_else(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_drawing *drawing = one_page(&ctx);
    /* A ring: circle of 10 about a square hole of 6. */
    const struct sw_draw_pt c = {100, 100}, start = {110, 100};
    struct sw_draw_path rings = {0};
    sw_draw_move(drawing, &rings, start);
    sw_draw_arc_to(drawing, &rings, start, c, 1);
    sw_draw_close(drawing, &rings);
    sw_draw_move(drawing, &rings, (struct sw_draw_pt){97, 97});
    sw_draw_line_to(drawing, &rings, (struct sw_draw_pt){103, 97});
    sw_draw_line_to(drawing, &rings, (struct sw_draw_pt){103, 103});
    sw_draw_line_to(drawing, &rings, (struct sw_draw_pt){97, 103});
    sw_draw_close(drawing, &rings);
    const double spacing = 0.05;
    sw_draw_hatch(drawing, &rings, acos(-1.0) / 4, spacing, pen);
    assert_int_equal(drawing->at[0]->n, 1);
    const struct sw_draw_path *lines = &drawing->at[0]->at[0].path;
    double length = 0;
    for (size_t i = 0; i + 1 < lines->n; i += 2) {
        const struct sw_draw_pt a = lines->at[i].to, b = lines->at[i + 1].to;
        const struct sw_draw_pt m = {(a.x + b.x) / 2, (a.y + b.y) / 2};
        length += hypot(b.x - a.x, b.y - a.y);
        assert_true(hypot(a.x - c.x, a.y - c.y) < 10 + 1e-6);
        assert_true(fabs(m.x - c.x) > 3 - 1e-6 || fabs(m.y - c.y) > 3 - 1e-6);
        assert_near(b.y - a.y + b.x - a.x, 0, 1e-9); /* rises to the right by 45 degrees */
    }
    /* Lines times spacing make the area, pi 10^2 - 6^2, less what chords 0.02 inside the circle
     * cost (two thirds of 0.02 times its length: 0.84). */
    assert_near(length * spacing, acos(-1.0) * 100 - 36 - 0.84, 0.05);
    sw_test_ctx_free(&ctx);
}

static void a_clip_holds_until_it_is_lifted(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_drawing *drawing = one_page(&ctx);
    const struct sw_draw_box box = {10, 10, 20, 20};
    const struct sw_draw_pt a = {0, 0}, b = {50, 50};
    sw_draw_line(drawing, a, b, pen);
    sw_draw_clip(drawing, &box);
    sw_draw_line(drawing, a, b, pen);
    sw_draw_clip(drawing, NULL);
    sw_draw_line(drawing, a, b, pen);
    const struct sw_draw_item *item = drawing->at[0]->at;
    assert_true(!item[0].is_clipped && item[1].is_clipped && !item[2].is_clipped);
    assert_near(item[1].clip.x1, 20, 0);
    sw_test_ctx_free(&ctx);
}

static void a_place_that_is_no_number_fails_the_drawing(void **state)
{
    (void)state;
    struct sw_ctx ctx = sw_test_ctx();
    struct sw_drawing *drawing = one_page(&ctx);
    const struct sw_draw_pt a = {0, 0}, nowhere = {0, NAN}, far = {HUGE_VAL, 0};
    sw_draw_line(drawing, a, a, pen);
    assert_int_equal(sw_drawing_status(drawing), SW_OK);
    sw_draw_line(drawing, a, nowhere, pen);
    assert_int_equal(sw_drawing_status(drawing), SW_INTERNAL);
    drawing = one_page(&ctx);
    sw_draw_line(drawing, far, a, pen);
    assert_int_equal(sw_drawing_status(drawing), SW_INTERNAL);
    sw_test_ctx_free(&ctx);
}

static void every_line_style_differs_from_the_others(void **state)
{
    (void)state;
    for (int a = 0; a < SW_N_DASHES; a++)
        for (int b = a + 1; b < SW_N_DASHES; b++) {
            size_t n, m;
            const double *x = sw_dash_lengths(&n, (enum sw_dash)a);
            const double *y = sw_dash_lengths(&m, (enum sw_dash)b);
            assert_true(n != m || memcmp(x, y, n * sizeof *x) != 0);
            assert_true(n % 2 == 0 && m % 2 == 0);
        }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(strokes_of_a_text_stay_inside_its_box),
        cmocka_unit_test(a_text_is_placed_by_its_alignment),
        cmocka_unit_test(figures_are_equally_wide),
        cmocka_unit_test(all_printable_ascii_and_the_signs_of_drawings_are_known),
        cmocka_unit_test(every_sign_is_well_formed),
        cmocka_unit_test(broken_utf8_gives_a_box_a_byte_and_ends),
        cmocka_unit_test(hatching_fills_the_area_and_nothing_else),
        cmocka_unit_test(a_clip_holds_until_it_is_lifted),
        cmocka_unit_test(a_place_that_is_no_number_fails_the_drawing),
        cmocka_unit_test(every_line_style_differs_from_the_others),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
