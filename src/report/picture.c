#include "report/picture_int.h"

#include <math.h>
#include <string.h>

#include "base/num.h"
#include "report/text.h"

static const struct sw_pen thick = {SW_PIC_THICK, SW_DASH_CONTINUOUS, SW_PIC_BLACK};
static const struct sw_pen thin = {SW_PIC_THIN, SW_DASH_CONTINUOUS, SW_PIC_BLACK};
static const struct sw_paint no_fill = {0};

const char *sw_pic_kept(struct sw_pic *pic, const char *text)
{
    pic->to->failed = pic->to->failed || !text;
    return text ? text : "";
}

/* VALUE with DECIMALS places, of which trailing zeroes go until only LEAST are left. */
static const char *trimmed(struct sw_pic *pic, double value, int least, int decimals)
{
    char text[SW_NUM_SIZE];
    if (!sw_num_format(text, sw_text_round(value, decimals), decimals))
        return "?";
    size_t n = strlen(text);
    for (int i = decimals; i > least && text[n - 1] == '0'; i--)
        n--;
    if (text[n - 1] == '.')
        n--;
    return sw_pic_kept(pic, sw_arena_copy(pic->ctx->arena, text, n));
}

const char *sw_pic_mm(struct sw_pic *pic, double value, int decimals)
{
    enum { LEAST = 2 };
    return trimmed(pic, value, LEAST, decimals);
}

const char *sw_pic_plain(struct sw_pic *pic, double value, int decimals)
{
    return trimmed(pic, value, 0, decimals);
}

const char *sw_pic_diameter(struct sw_pic *pic, double diameter, int decimals)
{
    return sw_pic_print(pic, "\u2300%s", sw_pic_mm(pic, diameter, decimals));
}

static const char *signed_limit(struct sw_pic *pic, double value)
{
    if (sw_text_round(value, 4) == 0)
        return "0";
    return sw_pic_print(pic, "%s%s", value > 0 ? "+" : "\u2212", sw_pic_mm(pic, fabs(value), 4));
}

struct sw_pic_limits sw_pic_limits(struct sw_pic *pic, const struct sw_band *band)
{
    if (sw_text_round(band->lower, 6) == 0 && sw_text_round(band->upper, 6) == 0)
        return (struct sw_pic_limits){NULL, NULL};
    if (sw_text_round(band->lower + band->upper, 6) == 0)
        return (struct sw_pic_limits){sw_pic_print(pic, "\u00b1%s", sw_pic_mm(pic, band->upper, 4)),
                                      NULL};
    return (struct sw_pic_limits){signed_limit(pic, band->upper), signed_limit(pic, band->lower)};
}

static void put_text(struct sw_pic *pic, double x, double y, double height, enum sw_align along,
                     bool is_bold, const char *text)
{
    const struct sw_text_style style = {
        .height = height, .along = along, .is_bold = is_bold, .colour = SW_PIC_BLACK};
    sw_draw_text(pic->to, (struct sw_draw_pt){x, y}, &style, text);
}

void sw_pic_text(struct sw_pic *pic, double x, double y, double height, enum sw_align along,
                 const char *text)
{
    put_text(pic, x, y, height, along, false, text);
}

void sw_pic_bold(struct sw_pic *pic, double x, double y, double height, enum sw_align along,
                 const char *text)
{
    put_text(pic, x, y, height, along, true, text);
}

double sw_pic_lines(struct sw_pic *pic, double x, double y, double height, const char *const *line,
                    size_t n)
{
    static const double pitch = 1.6;
    for (size_t i = 0; i < n; i++, y += pitch * height)
        sw_pic_text(pic, x, y, height, SW_ALIGN_START, line[i]);
    return y;
}

const char *sw_pic_fitted(struct sw_pic *pic, const char *text, double height, double width)
{
    const struct sw_text_style style = {.height = height};
    const struct sw_draw_pt at = {0, 0};
    for (size_t n = strlen(text); n > 0; n--) {
        if (((unsigned char)text[n] & 0xc0u) == 0x80u)
            continue; /* inside a sign */
        const char *head = sw_pic_print(pic, text[n] ? "%.*s.." : "%.*s", (int)n, text);
        const struct sw_draw_box box = sw_draw_text_box(at, &style, head);
        if (box.x1 - box.x0 <= width)
            return head;
    }
    return "";
}

/* A cell of the strip: what it is, small, above what it says. */
static void cell(struct sw_pic *pic, double x, double y, double width, const char *what,
                 const char *says)
{
    static const double inset = 1.5, what_at = 2.9, says_at = 6.6, height = 8;
    sw_draw_box(pic->to, (struct sw_draw_box){x, y, x + width, y + height}, thin, no_fill);
    sw_pic_text(pic, x + inset, y + what_at, 1.5, SW_ALIGN_START, what);
    sw_pic_text(pic, x + inset, y + says_at, SW_PIC_TEXT, SW_ALIGN_START,
                sw_pic_fitted(pic, says, SW_PIC_TEXT, width - 2 * inset));
}

static size_t n_pages(const struct sw_picture *from)
{
    const struct sw_staff *staff = from->shape->staff;
    const bool has_fit = staff->jewel[0].given || staff->jewel[1].given;
    return 2u + (has_fit ? 1u : 0u) + (from->plan ? 2 * from->plan->n_chuckings : 0u);
}

static void draw_strip(struct sw_pic *pic, const char *headline, double scale)
{
    static const double x = 177, row = 8, wide = 110;
    const struct sw_staff *staff = pic->from->shape->staff;
    const double y = SW_PIC_STRIP;
    const struct sw_draw_box head = {x, y, x + wide, y + row};
    sw_draw_box(pic->to, head, thin, no_fill);
    sw_pic_bold(pic, x + 1.5, y + 5.6, SW_PIC_HEAD, SW_ALIGN_START,
                sw_pic_fitted(pic, sw_pic_print(pic, "%s: %s", staff->name, headline), SW_PIC_HEAD,
                              wide - 3));
    cell(pic, x, y + row, 52, "material", staff->material);
    cell(pic, x + 52, y + row, 30, "scale",
         scale > 0 ? sw_pic_print(pic, "%s : 1", sw_pic_plain(pic, scale, 2)) : "-");
    cell(pic, x + 82, y + row, 28, "page",
         sw_pic_print(pic, "%zu of %zu", pic->to->n,
                      pic->n_pages ? pic->n_pages : n_pages(pic->from)));
    cell(pic, x, y + 2 * row, 52, "sizes", "mm; diameters in full");
    cell(pic, x + 52, y + 2 * row, 58, "drawn by",
         sw_pic_print(pic, "staffwright %s", pic->from->version));
}

void sw_pic_page(struct sw_pic *pic, const char *name, const char *headline, double scale,
                 const char *const *note, size_t n_notes)
{
    sw_draw_page(pic->to, name, SW_PIC_WIDTH, SW_PIC_HEIGHT);
    sw_draw_box(pic->to, (struct sw_draw_box){SW_PIC_LEFT, SW_PIC_TOP, SW_PIC_RIGHT, SW_PIC_BOTTOM},
                thick, no_fill);
    sw_draw_line(pic->to, (struct sw_draw_pt){SW_PIC_LEFT, SW_PIC_STRIP},
                 (struct sw_draw_pt){SW_PIC_RIGHT, SW_PIC_STRIP}, thick);
    draw_strip(pic, headline, scale);
    static const double first = 4.4, width = 152;
    double y = SW_PIC_STRIP + first;
    for (size_t i = 0; i < n_notes; i++, y += 1.75 * SW_PIC_SMALL + 0.35)
        sw_pic_text(pic, SW_PIC_LEFT + 2, y, SW_PIC_SMALL, SW_ALIGN_START,
                    sw_pic_fitted(pic, note[i], SW_PIC_SMALL, width));
}

enum sw_status sw_report_pictures(struct sw_drawing **out, const struct sw_picture *picture,
                                  struct sw_ctx *ctx)
{
    const struct sw_staff *staff = picture->shape->staff;
    struct sw_pic pic = {.from = picture, .ctx = ctx};
    SW_TRY(sw_drawing_new(&pic.to, staff->name, ctx));
    SW_TRY(sw_pic_staff(&pic));
    SW_TRY(sw_pic_details(&pic));
    if (staff->jewel[0].given || staff->jewel[1].given)
        SW_TRY(sw_pic_fit(&pic));
    for (size_t i = 0; picture->plan && i < picture->plan->n_chuckings; i++) {
        SW_TRY(sw_pic_setup(&pic, i));
        SW_TRY(sw_pic_cuts(&pic, i));
    }
    SW_TRY(sw_drawing_status(pic.to));
    *out = pic.to;
    return SW_OK;
}
