#include "base/buf.h"

#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "base/mem.h"
#include "base/num.h"

void sw_buf_done(struct sw_buf *buf)
{
    sw_mem_resize(buf->at, buf->cap, 0);
    *buf = (struct sw_buf){0};
}

static bool make_room(struct sw_buf *buf, size_t more)
{
    if (buf->failed)
        return false;
    if (more > SIZE_MAX / 4 - buf->n) {
        buf->failed = true;
        return false;
    }
    const size_t want = buf->n + more + 1;
    if (want <= buf->cap)
        return true;
    size_t cap = buf->cap ? buf->cap : 256;
    while (cap < want)
        cap *= 2;
    char *at = sw_mem_resize(buf->at, buf->cap, cap);
    if (!at) {
        buf->failed = true;
        return false;
    }
    buf->at = at;
    buf->cap = cap;
    return true;
}

void sw_buf_addn(struct sw_buf *buf, const char *text, size_t size)
{
    if (!make_room(buf, size))
        return;
    if (size)
        memcpy(buf->at + buf->n, text, size);
    buf->n += size;
    buf->at[buf->n] = '\0';
}

void sw_buf_add(struct sw_buf *buf, const char *text)
{
    sw_buf_addn(buf, text, strlen(text));
}

void sw_buf_printf(struct sw_buf *buf, const char *format, ...)
{
    va_list args, again;
    va_start(args, format);
    va_copy(again, args);
    const int size = vsnprintf(NULL, 0, format, args);
    va_end(args);
    if (size < 0)
        buf->failed = true;
    else if (make_room(buf, (size_t)size)) {
        vsnprintf(buf->at + buf->n, (size_t)size + 1, format, again);
        buf->n += (size_t)size;
    }
    va_end(again);
}

void sw_buf_fixed(struct sw_buf *buf, double value, int decimals)
{
    char text[SW_NUM_SIZE];
    if (!sw_num_format(text, value, decimals))
        buf->failed = true;
    else
        sw_buf_add(buf, text);
}

void sw_buf_pad(struct sw_buf *buf, size_t column)
{
    size_t width = 0;
    for (size_t i = buf->n; i > 0 && buf->at[i - 1] != '\n'; i--)
        if (((unsigned char)buf->at[i - 1] & 0xc0u) != 0x80u)
            width++;
    if (width >= column && width > 0)
        sw_buf_addn(buf, " ", 1);
    for (; width < column; width++)
        sw_buf_addn(buf, " ", 1);
}

const char *sw_buf_text(const struct sw_buf *buf)
{
    return buf->at ? buf->at : "";
}
