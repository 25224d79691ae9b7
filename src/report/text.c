#include "report/text.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "base/mem.h"
#include "base/num.h"

double sw_text_round(double value, int decimals)
{
    return sw_num_round(value, decimals) + 0.0; /* adding zero turns -0 into 0 */
}

void sw_text_number(struct sw_buf *out, double value, int decimals)
{
    if (isfinite(value))
        sw_buf_fixed(out, value, decimals);
    else
        sw_buf_add(out, "-");
}

void sw_text_size(struct sw_buf *out, double value)
{
    sw_text_number(out, value, fabs(value - sw_text_round(value, 3)) < 2e-5 ? 3 : 4);
}

void sw_text_gauge(struct sw_buf *out, double value)
{
    if (fabs(value - sw_text_round(value, 2)) < 2e-5)
        sw_text_number(out, value, 2);
    else
        sw_text_size(out, value);
}

void sw_text_bounds(struct sw_buf *out, double least, double most, int decimals)
{
    sw_text_number(out, least, decimals);
    if (isfinite(least) && isfinite(most) &&
        sw_text_round(least, decimals) != sw_text_round(most, decimals)) {
        sw_buf_add(out, " to ");
        sw_text_number(out, most, decimals);
    }
}

static void add_signed(struct sw_buf *out, double value, const char *zero)
{
    if (sw_text_round(value, 4) == 0) {
        sw_buf_add(out, zero);
        return;
    }
    sw_buf_add(out, value > 0 ? "+" : "");
    sw_text_size(out, value);
}

void sw_text_band(struct sw_buf *out, const struct sw_band *band)
{
    if (sw_text_round(band->lower, 4) == 0 && sw_text_round(band->upper, 4) == 0)
        return;
    if (sw_text_round(band->lower + band->upper, 6) == 0) {
        sw_buf_add(out, "+-");
        sw_text_size(out, band->upper);
        return;
    }
    add_signed(out, band->upper, "+0");
    sw_buf_add(out, " ");
    add_signed(out, band->lower, "-0");
}

void sw_text_seconds(struct sw_buf *out, double seconds)
{
    const int whole = isfinite(seconds) && seconds < 1e6 ? (int)ceil(seconds) : 0;
    if (whole < 60)
        sw_buf_printf(out, "%d s", whole);
    else
        sw_buf_printf(out, "%d min %02d s", whole / 60, whole % 60);
}

static size_t width_of(const char *text, size_t size)
{
    size_t n = 0;
    for (size_t i = 0; i < size; i++)
        n += ((unsigned char)text[i] & 0xc0u) != 0x80u;
    return n;
}

static void spaces(struct sw_buf *out, size_t n)
{
    for (; n > 0; n--)
        sw_buf_addn(out, " ", 1);
}

void sw_text_wrap(struct sw_buf *out, size_t indent, const char *lead, size_t hang,
                  const char *words)
{
    spaces(out, indent);
    sw_buf_add(out, lead);
    size_t column = indent + width_of(lead, strlen(lead));
    bool is_fresh = true; /* nothing of WORDS on this line yet */
    while (*words) {
        if (*words == '\n') {
            sw_buf_add(out, "\n");
            spaces(out, indent + hang);
            column = indent + hang;
            is_fresh = true;
            words++;
            continue;
        }
        const size_t n = strcspn(words, " \n");
        const size_t width = width_of(words, n);
        if (!is_fresh && column + 1 + width > SW_TEXT_WIDTH) {
            sw_buf_add(out, "\n");
            spaces(out, indent + hang);
            column = indent + hang;
            is_fresh = true;
        }
        if (!is_fresh) {
            sw_buf_add(out, " ");
            column++;
        }
        sw_buf_addn(out, words, n);
        column += width;
        is_fresh = false;
        words += n;
        while (*words == ' ')
            words++;
    }
    sw_buf_add(out, "\n");
}

void sw_text_say(struct sw_buf *out, size_t indent, const char *lead, const char *format, ...)
{
    va_list args, again;
    va_start(args, format);
    va_copy(again, args);
    const int size = vsnprintf(NULL, 0, format, args);
    va_end(args);
    char *words = size < 0 ? NULL : sw_mem_resize(NULL, 0, (size_t)size + 1);
    if (words) {
        vsnprintf(words, (size_t)size + 1, format, again);
        sw_text_wrap(out, indent, lead, width_of(lead, strlen(lead)), words);
        sw_mem_resize(words, (size_t)size + 1, 0);
    } else {
        out->failed = true;
    }
    va_end(again);
}

void sw_text_headline(struct sw_buf *out, const char *text)
{
    sw_buf_printf(out, "\n%s\n", text);
    for (size_t n = width_of(text, strlen(text)); n > 0; n--)
        sw_buf_addn(out, "-", 1);
    sw_buf_add(out, "\n");
}
