#include "post/inside.h"

#include <stdint.h>
#include <string.h>

/* clang-format off */
/* Signs of the trade and letters with marks, in the ASCII that every control has. */
static const struct {
    uint32_t sign;
    const char *plain;
} spellings[] = {
    {0xB0, " deg"}, {0xBA, " deg"}, {0xB1, "+/-"}, {0xB2, "2"},    {0xB3, "3"},    {0xB5, "u"},
    {0x3BC, "u"},   {0xB7, "."},    {0xBC, "1/4"}, {0xBD, "1/2"},  {0xBE, "3/4"},  {0xC4, "Ae"},
    {0xC6, "Ae"},   {0xC7, "C"},    {0xC8, "E"},   {0xC9, "E"},    {0xCA, "E"},    {0xD6, "Oe"},
    {0xD7, "x"},    {0xD8, "dia "}, {0xDC, "Ue"},  {0xDF, "ss"},   {0xE0, "a"},    {0xE1, "a"},
    {0xE2, "a"},    {0xE4, "ae"},   {0xE5, "a"},   {0xE6, "ae"},   {0xE7, "c"},    {0xE8, "e"},
    {0xE9, "e"},    {0xEA, "e"},    {0xEB, "e"},   {0xED, "i"},    {0xEE, "i"},    {0xEF, "i"},
    {0xF1, "n"},    {0xF3, "o"},    {0xF4, "o"},   {0xF6, "oe"},   {0xF8, "oe"},   {0xF9, "u"},
    {0xFA, "u"},    {0xFB, "u"},    {0xFC, "ue"},  {0x2010, "-"},  {0x2011, "-"},  {0x2012, "-"},
    {0x2013, "-"},  {0x2014, "-"},  {0x2018, "'"}, {0x2019, "'"},  {0x201C, "\""}, {0x201D, "\""},
    {0x2026, "..."}, {0x2212, "-"}, {0x2300, "dia "}, {0x2264, "<="}, {0x2265, ">="},
};
/* clang-format on */

/* Takes one code point of well-formed UTF-8 (spec/node.h sees to that); a broken one gives '?'. */
static uint32_t take_sign(const char **text)
{
    const unsigned char *at = (const unsigned char *)*text;
    const int more = at[0] < 0xC0 ? 0 : at[0] < 0xE0 ? 1 : at[0] < 0xF0 ? 2 : 3;
    uint32_t sign = more ? at[0] & (0x3FU >> more) : at[0];
    for (int i = 1; i <= more; i++) {
        if ((at[i] & 0xC0) != 0x80) {
            *text += i;
            return '?';
        }
        sign = sign << 6 | (at[i] & 0x3F);
    }
    *text += more + 1;
    return sign;
}

/* One space is enough where a spelling brings its own. */
static void add_plain(struct sw_buf *out, const char *plain)
{
    const bool follows_space = out->n > 0 && out->at[out->n - 1] == ' ';
    sw_buf_add(out, plain + (follows_space && plain[0] == ' '));
}

void sw_post_plain_text(struct sw_buf *out, const char *text)
{
    while (*text) {
        const uint32_t sign = take_sign(&text);
        const char one[2] = {(char)(sign < ' ' ? ' ' : sign), '\0'};
        const char *plain = sign > '~' ? "?" : sign == '(' ? "[" : sign == ')' ? "]" : one;
        for (size_t i = 0; i < sizeof spellings / sizeof *spellings; i++)
            if (spellings[i].sign == sign)
                plain = spellings[i].plain;
        add_plain(out, plain);
    }
}

enum sw_status sw_post_put_block(struct sw_post_text *to, const char *block, struct sw_span at,
                                 struct sw_ctx *ctx)
{
    const struct sw_post *post = to->post;
    const bool is_numbered = post->line_numbers.step.value > 0 && block[0] && block[0] != '%' &&
                             block[0] != post->comments.open.value[0];
    const size_t start = to->buf.n;
    if (is_numbered) {
        /* The standard allows five digits, and numbers that come again. */
        if (to->number > 99999)
            to->number = post->line_numbers.from.value;
        sw_buf_add(&to->buf, "N");
        sw_buf_fixed(&to->buf, to->number, 0);
        sw_buf_add(&to->buf, " ");
        to->number += post->line_numbers.step.value;
    }
    sw_buf_add(&to->buf, block);
    const size_t length = to->buf.n - start;
    sw_buf_add(&to->buf, "\n");
    if (to->buf.failed)
        return SW_MEMORY;
    if ((double)length > post->line_length.value) {
        sw_diag_add(ctx->diag, SW_ERROR, "post.line", at, NULL,
                    "a line of %zu characters is longer than the %.0f of the dialect %s: %s",
                    length, post->line_length.value, post->name, block);
        return SW_CANNOT;
    }
    return SW_OK;
}

/* Would a control take this comment for a message? (NISTIR 6556, 3.3.4: letter case and spaces
 * play no part.) */
static bool looks_like_message(const char *text)
{
    for (const char *wanted = "MSG,"; *wanted; wanted++, text++) {
        text += strspn(text, " ");
        if (*text != *wanted && (*text & ~0x20) != *wanted)
            return false;
    }
    return true;
}

/* Put before a comment that a control would take for a message. */
static const char guard[] = "- ";

size_t sw_post_comment_room(const struct sw_post *post)
{
    const struct sw_post_comments *comments = &post->comments;
    if (!comments->open.value[0])
        return 0;
    /* The ranges of line_length and of the signs leave room for words. */
    return (size_t)post->line_length.value - strlen(comments->open.value) -
           strlen(comments->close.value) - strlen(guard);
}

enum sw_status sw_post_put_comment(struct sw_post_text *to, const char *text, bool is_message,
                                   struct sw_ctx *ctx)
{
    const struct sw_post_comments *comments = &to->post->comments;
    if (!comments->open.value[0])
        return SW_OK;
    struct sw_buf plain = {0}, line = {0};
    sw_post_plain_text(&plain, text);
    enum sw_status status = plain.failed ? SW_MEMORY : SW_OK;
    const size_t outside = strlen(comments->open.value) + strlen(comments->close.value) +
                           (is_message ? strlen(comments->message.value) : strlen(guard));
    /* The ranges of line_length and of the signs leave room for words. */
    const size_t room = (size_t)to->post->line_length.value - outside;
    const char *rest = sw_buf_text(&plain);
    rest += strspn(rest, " ");
    while (status == SW_OK && *rest) {
        size_t n = strlen(rest);
        if (n > room) {
            n = room;
            while (n > 0 && rest[n] != ' ')
                n--;
            n = n ? n : room;
        }
        size_t used = n;
        while (used > 0 && rest[used - 1] == ' ')
            used--;
        line.n = 0;
        sw_buf_add(&line, comments->open.value);
        if (is_message)
            sw_buf_add(&line, comments->message.value);
        else if (looks_like_message(rest))
            sw_buf_add(&line, guard);
        sw_buf_addn(&line, rest, used);
        sw_buf_add(&line, comments->close.value);
        status = line.failed ? SW_MEMORY
                             : sw_post_put_block(to, sw_buf_text(&line), (struct sw_span){0}, ctx);
        rest += n;
        rest += strspn(rest, " ");
    }
    sw_buf_done(&line);
    sw_buf_done(&plain);
    return status;
}
