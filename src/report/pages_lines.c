/* Words into lines no wider than their place. */
#include <string.h>

#include "draw/font.h"
#include "report/pages_int.h"

/* A blank is at least so wide [mm], and so long a sign of it. */
static const double least_blank = 13, blank_sign = 1.3, blank_pen = 0.18;

/* A column may be just as wide as its widest word [mm]. */
static const double same = 0.01;

static double unit(double height)
{
    return height / SW_FONT_HEIGHT;
}

double pages_width(const char *text, double height)
{
    return sw_font_width(text) * unit(height);
}

static const char *kept(struct pages_strips *strips, const char *text, size_t n)
{
    const char *copy = strips->failed ? NULL : sw_arena_copy(strips->arena, text, n);
    strips->failed = strips->failed || !copy;
    return copy ? copy : "";
}

static bool is_blank(const char *word, size_t n)
{
    enum { LEAST = 4 };
    size_t i = 0;
    while (i < n && word[i] == '_')
        i++;
    return i == n && n >= LEAST;
}

static struct pages_line *new_line(struct pages_strips *strips, struct pages_lines *out)
{
    const struct pages_line line = {0};
    strips->failed = strips->failed || !SW_VEC_PUSH(strips->arena, out, line);
    return strips->failed ? NULL : &out->at[out->n - 1];
}

static void add_mark(struct pages_strips *strips, struct pages_line *line, struct pages_mark mark)
{
    strips->failed = strips->failed || !SW_VEC_PUSH(strips->arena, line, mark);
}

/* Put a word behind what the line has, joined to its last text where that is one. */
static void add_word(struct pages_strips *strips, struct pages_line *line,
                     const struct pages_words *words, double x, const char *word, size_t n,
                     double width)
{
    if (is_blank(word, n)) {
        add_mark(
            strips, line,
            (struct pages_mark){.kind = PAGES_LINE, .x = x, .x1 = x + width, .width = blank_pen});
    } else if (line->n && line->at[line->n - 1].kind == PAGES_TEXT) {
        struct pages_mark *last = &line->at[line->n - 1];
        const char *text = sw_arena_printf(strips->arena, "%s %.*s", last->text, (int)n, word);
        strips->failed = strips->failed || !text;
        last->text = text ? text : "";
    } else {
        add_mark(strips, line,
                 (struct pages_mark){.kind = PAGES_TEXT,
                                     .x = x,
                                     .height = words->height,
                                     .is_bold = words->is_bold,
                                     .text = kept(strips, word, n)});
    }
    line->end = x + width;
}

/* "+-0.005" is one sign on paper. */
static const char *with_signs(struct pages_strips *strips, const char *words)
{
    const char *at = strstr(words, "+-");
    while (at && !strips->failed) {
        const char *next =
            sw_arena_printf(strips->arena, "%.*s\u00b1%s", (int)(at - words), words, at + 2);
        strips->failed = strips->failed || !next;
        if (!next)
            return "";
        words = next;
        at = strstr(words, "+-");
    }
    return words;
}

/* As many bytes of a word that is too wide as fit, one sign at least. */
static size_t head_of(struct pages_strips *strips, const char *word, size_t n, double height,
                      double room)
{
    size_t good = 0;
    for (size_t i = 1; i <= n; i++) {
        if (i < n && ((unsigned char)word[i] & 0xc0u) == 0x80u)
            continue; /* inside a sign */
        if (good && pages_width(kept(strips, word, i), height) > room)
            break;
        good = i;
    }
    return good;
}

/* Width of a blank N signs long [mm]. */
static double blank_width(size_t n)
{
    const double wide = (double)n * blank_sign;
    return wide > least_blank ? wide : least_blank;
}

/* A word is not parted from the blank behind it, which it names: what that takes [mm]. */
static double named_blank(const char *behind, double space)
{
    behind += strspn(behind, " =");
    const size_t n = strspn(behind, "_");
    return is_blank(behind, n) ? space + blank_width(n) : 0;
}

void pages_break(struct pages_strips *strips, struct pages_lines *out,
                 const struct pages_words *how)
{
    const double space = (3 + 2 * SW_FONT_GAP) * unit(how->height),
                 right = how->x + how->width + same;
    const char *word = with_signs(strips, how->words);
    struct pages_line *line = new_line(strips, out);
    double x = how->first_x;
    bool is_fresh = true;
    while (*word && !strips->failed) {
        if (*word == '\n' || *word == ' ') {
            if (*word == '\n') {
                line = new_line(strips, out);
                x = how->x;
                is_fresh = true;
            }
            word++;
            continue;
        }
        size_t n = strspn(word, "_");
        if (!is_blank(word, n))
            n = strcspn(word, " \n");
        double width =
            is_blank(word, n) ? blank_width(n) : pages_width(kept(strips, word, n), how->height);
        const double at = is_fresh ? x : x + space;
        if (!is_fresh && at + width + named_blank(word + n, space) > right) {
            line = new_line(strips, out);
            x = how->x;
            is_fresh = true;
            continue;
        }
        if (at + width > right && !is_blank(word, n)) {
            n = head_of(strips, word, n, how->height, right - at);
            width = pages_width(kept(strips, word, n), how->height);
        }
        if (!line || strips->failed)
            return;
        add_word(strips, line, how, at, word, n, width);
        x = line->end;
        is_fresh = false;
        word += n;
    }
}
