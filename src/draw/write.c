#include "draw/write.h"

#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <math.h>
#include <string.h>

#include "draw/font.h"

static const double pt_per_mm = 72.0 / 25.4;
static const double mm_per_inch = 25.4;
/* What cairo and PDF readers may differ in when flattening curves [device units]. */
static const double flatness = 0.05;
enum { MOST_DASHES = 8 };

static void set_colour(cairo_t *cr, uint32_t colour)
{
    cairo_set_source_rgb(cr, (colour >> 16 & 0xffu) / 255.0, (colour >> 8 & 0xffu) / 255.0,
                         (colour & 0xffu) / 255.0);
}

static void add_arc(cairo_t *cr, struct sw_draw_pt from, const struct sw_draw_step *step)
{
    const double r = hypot(step->to.x - step->via.x, step->to.y - step->via.y);
    const double a0 = atan2(from.y - step->via.y, from.x - step->via.x);
    double a1 = atan2(step->to.y - step->via.y, step->to.x - step->via.x);
    if (from.x == step->to.x && from.y == step->to.y)
        a1 = a0 + step->turn * 2 * acos(-1.0);
    if (step->turn > 0)
        cairo_arc(cr, step->via.x, step->via.y, r, a0, a1);
    else
        cairo_arc_negative(cr, step->via.x, step->via.y, r, a0, a1);
}

/* cairo has curves of third order only; a parabola is one of them. */
static void add_curve(cairo_t *cr, struct sw_draw_pt from, const struct sw_draw_step *step)
{
    const struct sw_draw_pt c = step->via, to = step->to;
    cairo_curve_to(cr, from.x + 2 * (c.x - from.x) / 3, from.y + 2 * (c.y - from.y) / 3,
                   to.x + 2 * (c.x - to.x) / 3, to.y + 2 * (c.y - to.y) / 3, to.x, to.y);
}

static void add_path(cairo_t *cr, const struct sw_draw_path *path)
{
    struct sw_draw_pt here = {0, 0}, start = {0, 0};
    for (size_t i = 0; i < path->n; i++) {
        const struct sw_draw_step *step = &path->at[i];
        switch (step->kind) {
        case SW_STEP_MOVE:
            cairo_move_to(cr, step->to.x, step->to.y);
            start = step->to;
            break;
        case SW_STEP_LINE:
            cairo_line_to(cr, step->to.x, step->to.y);
            break;
        case SW_STEP_ARC:
            add_arc(cr, here, step);
            break;
        case SW_STEP_CURVE:
            add_curve(cr, here, step);
            break;
        case SW_STEP_CLOSE:
            cairo_close_path(cr);
            break;
        }
        here = step->kind == SW_STEP_CLOSE ? start : step->to;
    }
}

static void draw_item(cairo_t *cr, const struct sw_draw_item *item)
{
    cairo_new_path(cr);
    add_path(cr, &item->path);
    if (item->fill.on) {
        set_colour(cr, item->fill.colour);
        cairo_set_fill_rule(cr, CAIRO_FILL_RULE_EVEN_ODD);
        cairo_fill_preserve(cr);
    }
    if (item->pen.width > 0) {
        double dash[MOST_DASHES];
        size_t n;
        const double *lengths = sw_dash_lengths(&n, item->pen.dash);
        for (size_t i = 0; i < n; i++)
            dash[i] = lengths[i] * item->pen.width;
        cairo_set_dash(cr, dash, (int)n, 0);
        cairo_set_line_width(cr, item->pen.width);
        set_colour(cr, item->pen.colour);
        cairo_stroke(cr);
    }
}

/* Our alphabet as a font that a PDF carries along, so that its texts can be searched and each sign
 * stands in it once. */
struct font {
    cairo_font_face_t *plain, *bold;
    struct sw_arena *arena;
    bool failed; /* memory ran short; the file is not to be used */
};

/* A glyph's number is its code point; one unit of the font is the height of a capital. */
static const double unit = 1.0 / SW_FONT_HEIGHT;

static const double plain_weight = 1, bold_weight = SW_DRAW_BOLD;
static const cairo_user_data_key_t weight_key;

static void add_strokes(cairo_t *cr, const char *strokes, double x, double y)
{
    struct sw_font_step step;
    bool is_fresh = true;
    double was_x = 0, was_y = 0;
    while (sw_font_step(&step, &strokes, &is_fresh)) {
        const double to_x = (x + step.x) * unit, to_y = -(y + step.y) * unit;
        const double via_x = (x + step.cx) * unit, via_y = -(y + step.cy) * unit;
        if (step.is_move)
            cairo_move_to(cr, to_x, to_y);
        else if (step.is_curve) /* a parabola as a curve of third order */
            cairo_curve_to(cr, was_x + 2 * (via_x - was_x) / 3, was_y + 2 * (via_y - was_y) / 3,
                           to_x + 2 * (via_x - to_x) / 3, to_y + 2 * (via_y - to_y) / 3, to_x,
                           to_y);
        else
            cairo_line_to(cr, to_x, to_y);
        was_x = to_x;
        was_y = to_y;
    }
}

static cairo_status_t render(cairo_scaled_font_t *scaled, unsigned long glyph, cairo_t *cr,
                             cairo_text_extents_t *extents)
{
    const struct sw_font_sign sign = sw_font_sign_of((uint32_t)glyph);
    const double *weight =
        cairo_font_face_get_user_data(cairo_scaled_font_get_font_face(scaled), &weight_key);
    extents->x_advance = (sign.width + SW_FONT_GAP) * unit;
    if (!*sign.strokes)
        return CAIRO_STATUS_SUCCESS;
    add_strokes(cr, sign.strokes, 0, 0);
    add_strokes(cr, sign.mark, sign.mark_x, sign.mark_y);
    cairo_set_line_width(cr, SW_FONT_PEN * unit * (weight ? *weight : plain_weight));
    cairo_set_line_cap(cr, CAIRO_LINE_CAP_ROUND);
    cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
    cairo_stroke(cr);
    return CAIRO_STATUS_SUCCESS;
}

/* A face whose pen is WEIGHT times the usual one. In a state of error when memory is short, as
 * cairo's things are. */
static cairo_font_face_t *new_face(double weight)
{
    cairo_font_face_t *face = cairo_user_font_face_create();
    cairo_user_font_face_set_render_glyph_func(face, render);
    /* The data are constants; cairo only keeps the pointer. */
    (void)cairo_font_face_set_user_data(face, &weight_key,
                                        (void *)(weight > 1 ? &bold_weight : &plain_weight), NULL);
    return face;
}

/* Shows a text item. False, and nothing done, when it must be drawn by its strokes, because its
 * bytes are no UTF-8. */
static bool show_text(cairo_t *cr, struct font *font, const struct sw_draw_item *item)
{
    const size_t most = strlen(item->text);
    cairo_glyph_t *glyph = SW_NEW(font->arena, cairo_glyph_t, most);
    cairo_text_cluster_t *cluster = SW_NEW(font->arena, cairo_text_cluster_t, most);
    if (!glyph || !cluster) {
        font->failed = true;
        return true;
    }
    const double grid = item->height * unit;
    const char *at = item->text;
    double along = 0;
    int n = 0;
    while (*at) {
        const char *before = at;
        const uint32_t code = sw_font_code(&at);
        if (!code)
            return false;
        glyph[n] = (cairo_glyph_t){code, item->start.x + (item->is_upright ? 0 : along),
                                   item->start.y - (item->is_upright ? along : 0)};
        cluster[n++] = (cairo_text_cluster_t){(int)(at - before), 1};
        along += (sw_font_sign_of(code).width + SW_FONT_GAP) * grid;
    }
    cairo_matrix_t matrix = {item->height, 0, 0, item->height, 0, 0};
    if (item->is_upright)
        matrix = (cairo_matrix_t){0, -item->height, item->height, 0, 0, 0};
    set_colour(cr, item->pen.colour);
    cairo_set_font_face(cr, item->is_bold ? font->bold : font->plain);
    cairo_set_font_matrix(cr, &matrix);
    cairo_show_text_glyphs(cr, item->text, -1, glyph, n, cluster, n, 0);
    return true;
}

static bool is_same_clip(const struct sw_draw_item *a, const struct sw_draw_item *b)
{
    return a->is_clipped == b->is_clipped && a->clip.x0 == b->clip.x0 && a->clip.y0 == b->clip.y0 &&
           a->clip.x1 == b->clip.x1 && a->clip.y1 == b->clip.y1;
}

/* FONT NULL: texts are drawn stroke by stroke. */
static void draw_page(cairo_t *cr, const struct sw_draw_page *page, struct font *font)
{
    cairo_set_tolerance(cr, flatness);
    cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
    cairo_save(cr);
    for (size_t i = 0; i < page->n; i++) {
        const struct sw_draw_item *item = &page->at[i];
        const struct sw_draw_box *clip = &item->clip;
        if (i > 0 && !is_same_clip(item, &page->at[i - 1])) {
            cairo_restore(cr);
            cairo_save(cr);
        }
        if (item->is_clipped && (i == 0 || !is_same_clip(item, &page->at[i - 1]))) {
            cairo_new_path(cr); /* an area that was only filled is still there */
            cairo_rectangle(cr, clip->x0, clip->y0, clip->x1 - clip->x0, clip->y1 - clip->y0);
            cairo_clip(cr);
        }
        /* Signs have round ends; dashes must keep their gaps. */
        cairo_set_line_cap(cr, item->pen.dash == SW_DASH_CONTINUOUS ? CAIRO_LINE_CAP_ROUND
                                                                    : CAIRO_LINE_CAP_BUTT);
        if (!font || item->kind != SW_ITEM_TEXT || !show_text(cr, font, item))
            draw_item(cr, item);
    }
    cairo_restore(cr);
}

static cairo_status_t take(void *closure, const unsigned char *data, unsigned size)
{
    struct sw_buf *out = closure;
    sw_buf_addn(out, (const char *)data, size);
    return out->failed ? CAIRO_STATUS_WRITE_ERROR : CAIRO_STATUS_SUCCESS;
}

/* What cairo says of a surface and its buffer, as a status. */
static enum sw_status outcome(cairo_status_t status, const struct sw_buf *out, struct sw_ctx *ctx)
{
    if (out->failed || status == CAIRO_STATUS_NO_MEMORY)
        return SW_MEMORY;
    if (status == CAIRO_STATUS_SUCCESS)
        return SW_OK;
    sw_diag_add(ctx->diag, SW_ERROR, "draw.cairo", (struct sw_span){0}, NULL,
                "the drawing library refused: %s", cairo_status_to_string(status));
    return SW_INTERNAL;
}

enum sw_status sw_draw_write_pdf(struct sw_buf *out, const struct sw_drawing *drawing,
                                 struct sw_ctx *ctx)
{
    SW_TRY(sw_drawing_status(drawing));
    if (drawing->n == 0)
        return SW_INTERNAL;
    const struct sw_draw_page *first = drawing->at[0];
    cairo_surface_t *surface = cairo_pdf_surface_create_for_stream(
        take, out, first->width * pt_per_mm, first->height * pt_per_mm);
    /* An empty date leaves it out: the bytes must not depend on the clock. */
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, "");
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, drawing->title);
    struct font font = {new_face(1), new_face(SW_DRAW_BOLD), ctx->arena, false};
    cairo_t *cr = cairo_create(surface);
    for (size_t i = 0; i < drawing->n; i++) {
        const struct sw_draw_page *page = drawing->at[i];
        cairo_pdf_surface_set_size(surface, page->width * pt_per_mm, page->height * pt_per_mm);
        cairo_save(cr);
        cairo_scale(cr, pt_per_mm, pt_per_mm);
        draw_page(cr, page, &font);
        cairo_restore(cr);
        cairo_show_page(cr);
    }
    const cairo_status_t drawn = cairo_status(cr);
    cairo_destroy(cr);
    cairo_surface_finish(surface);
    const cairo_status_t written = cairo_surface_status(surface);
    cairo_surface_destroy(surface);
    cairo_font_face_destroy(font.plain);
    cairo_font_face_destroy(font.bold);
    if (font.failed)
        return SW_MEMORY;
    return outcome(drawn != CAIRO_STATUS_SUCCESS ? drawn : written, out, ctx);
}

/* cairo numbers its surfaces over the whole process and writes the number into the text. */
static void copy_without_numbers(struct sw_buf *out, const struct sw_buf *from)
{
    static const char id[] = " id=\"surface";
    const char *text = sw_buf_text(from);
    for (const char *at; (at = strstr(text, id)) != NULL;) {
        const char *end = at + sizeof id - 1;
        end += strspn(end, "0123456789");
        sw_buf_addn(out, text, (size_t)(at - text));
        text = *end == '"' ? end + 1 : end;
    }
    sw_buf_add(out, text);
}

enum sw_status sw_draw_write_svg(struct sw_buf *out, const struct sw_drawing *drawing, size_t i,
                                 struct sw_ctx *ctx)
{
    SW_TRY(sw_drawing_status(drawing));
    if (i >= drawing->n)
        return SW_INTERNAL;
    const struct sw_draw_page *page = drawing->at[i];
    struct sw_buf text = {0};
    cairo_surface_t *surface =
        cairo_svg_surface_create_for_stream(take, &text, page->width, page->height);
    cairo_svg_surface_set_document_unit(surface, CAIRO_SVG_UNIT_MM);
    cairo_t *cr = cairo_create(surface);
    draw_page(cr, page, NULL);
    const cairo_status_t drawn = cairo_status(cr);
    cairo_destroy(cr);
    cairo_surface_finish(surface);
    const cairo_status_t written = cairo_surface_status(surface);
    cairo_surface_destroy(surface);
    const enum sw_status status =
        outcome(drawn != CAIRO_STATUS_SUCCESS ? drawn : written, &text, ctx);
    if (status == SW_OK)
        copy_without_numbers(out, &text);
    sw_buf_done(&text);
    return status != SW_OK ? status : out->failed ? SW_MEMORY : SW_OK;
}

enum sw_status sw_draw_write_png(struct sw_buf *out, const struct sw_drawing *drawing, size_t i,
                                 struct sw_ctx *ctx)
{
    SW_TRY(sw_drawing_status(drawing));
    if (i >= drawing->n)
        return SW_INTERNAL;
    const struct sw_draw_page *page = drawing->at[i];
    const double dots = SW_DRAW_DPI / mm_per_inch;
    cairo_surface_t *surface = cairo_image_surface_create(
        CAIRO_FORMAT_RGB24, (int)ceil(page->width * dots), (int)ceil(page->height * dots));
    cairo_t *cr = cairo_create(surface);
    cairo_set_source_rgb(cr, 1, 1, 1);
    cairo_paint(cr);
    cairo_scale(cr, dots, dots);
    draw_page(cr, page, NULL);
    const cairo_status_t drawn = cairo_status(cr);
    cairo_destroy(cr);
    const cairo_status_t written = drawn == CAIRO_STATUS_SUCCESS
                                       ? cairo_surface_write_to_png_stream(surface, take, out)
                                       : drawn;
    cairo_surface_destroy(surface);
    return outcome(written, out, ctx);
}
