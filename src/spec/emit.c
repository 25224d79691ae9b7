#include "spec/emit.h"

#include <string.h>

#include "base/num.h"

enum { INDENT = 2 };

/* Ends a `key:` line that waits for what comes below it. */
static void end_open_line(struct sw_emit *emit)
{
    if (emit->is_open_line)
        sw_buf_add(emit->out, "\n");
    emit->is_open_line = false;
}

static void indent(struct sw_emit *emit, int depth)
{
    for (int i = 0; i < depth * INDENT; i++)
        sw_buf_add(emit->out, " ");
}

static void begin_line(struct sw_emit *emit)
{
    end_open_line(emit);
    if (emit->after_dash) {
        indent(emit, emit->depth - 1);
        sw_buf_add(emit->out, "- ");
    } else {
        indent(emit, emit->depth);
    }
    emit->after_dash = false;
}

static bool is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static bool is_word(const char *text, const char *word)
{
    size_t i = 0;
    for (; word[i] && text[i]; i++)
        if ((is_letter(text[i]) ? (text[i] | 0x20) : text[i]) != word[i])
            return false;
    return !word[i] && !text[i];
}

/* "4.3 thou", "12 hundredths", "1/8 in", "1/100": begin with a digit and are still texts. */
static bool is_measure(const char *text)
{
    size_t i = strspn(text, "0123456789.");
    if (text[i] == '/' && is_digit(text[i + 1])) {
        i += 1 + strspn(text + i + 1, "0123456789");
        if (text[i] == '\0')
            return true;
    }
    return text[i] == ' ' && is_letter(text[i + 1]);
}

/* Plain only what no reader of YAML 1.1 or 1.2 takes for anything but the text it is; when in
 * doubt, quotes. */
static bool is_plain(const char *text)
{
    static const char *const taken[] = {"true", "false", "yes", "no",  "on", "off",
                                        "null", "y",     "n",   "inf", "nan"};
    const size_t n = strlen(text);
    for (size_t i = 0; i < sizeof taken / sizeof *taken; i++)
        if (is_word(text, taken[i]))
            return false;
    if (n == 0 || text[n - 1] == ' ')
        return false;
    for (size_t i = 0; i < n; i++)
        if (!is_letter(text[i]) && !is_digit(text[i]) && !strchr(" _-./()+%,'", text[i]))
            return false;
    return is_letter(text[0]) || (is_digit(text[0]) && is_measure(text));
}

static void add_quoted(struct sw_buf *out, const char *text)
{
    sw_buf_add(out, "\"");
    for (const char *c = text; *c; c++) {
        const unsigned char u = (unsigned char)*c;
        if (*c == '"' || *c == '\\')
            sw_buf_printf(out, "\\%c", *c);
        else if (*c == '\n')
            sw_buf_add(out, "\\n");
        else if (*c == '\t')
            sw_buf_add(out, "\\t");
        else if (u < 0x20 || u == 0x7f)
            sw_buf_printf(out, "\\x%02X", u);
        else if (u == 0xc2 && (unsigned char)c[1] < 0xa0) /* control characters, one a line end */
            sw_buf_printf(out, "\\x%02X", (unsigned)(unsigned char)*++c);
        else if (strncmp(c, "\xe2\x80\xa8", 3) == 0)
            sw_buf_add(out, "\\L"), c += 2; /* line and paragraph separator */
        else if (strncmp(c, "\xe2\x80\xa9", 3) == 0)
            sw_buf_add(out, "\\P"), c += 2;
        else
            sw_buf_addn(out, c, 1);
    }
    sw_buf_add(out, "\"");
}

static void add_scalar(struct sw_buf *out, const char *text)
{
    if (is_plain(text))
        sw_buf_add(out, text);
    else
        add_quoted(out, text);
}

/* What YAML might take for the end of a line becomes a space. */
static void add_remark(struct sw_buf *out, const char *from, const char *end)
{
    for (const char *c = from; c < end; c++) {
        const bool is_line_end = strncmp(c, "\xc2\x85", 2) == 0 ||
                                 strncmp(c, "\xe2\x80\xa8", 3) == 0 ||
                                 strncmp(c, "\xe2\x80\xa9", 3) == 0;
        if ((unsigned char)*c < 0x20 || *c == 0x7f || is_line_end)
            sw_buf_add(out, " ");
        else
            sw_buf_addn(out, c, 1);
        if (is_line_end)
            c += *c == '\xc2' ? 1 : 2;
    }
}

void sw_emit_behind(struct sw_emit *emit, const char *text)
{
    struct sw_buf *out = emit->out;
    if (out->failed || emit->is_open_line || !out->n || out->at[out->n - 1] != '\n') {
        out->failed = true;
        return;
    }
    out->at[--out->n] = '\0';
    sw_buf_add(out, "  # ");
    add_remark(out, text, text + strlen(text));
    sw_buf_add(out, "\n");
}

/* Only a line feed ends a comment line here. */
void sw_emit_comment(struct sw_emit *emit, const char *text)
{
    end_open_line(emit);
    const int depth = emit->depth - (emit->after_dash ? 1 : 0);
    for (const char *line = text;;) {
        const char *stop = strchr(line, '\n');
        const char *end = stop ? stop : line + strlen(line);
        indent(emit, depth);
        sw_buf_add(emit->out, "#");
        if (end > line)
            sw_buf_add(emit->out, " ");
        add_remark(emit->out, line, end);
        sw_buf_add(emit->out, "\n");
        if (!stop)
            return;
        line = stop + 1;
    }
}

void sw_emit_text(struct sw_emit *emit, const char *key, const char *value)
{
    begin_line(emit);
    add_scalar(emit->out, key);
    sw_buf_add(emit->out, ": ");
    add_scalar(emit->out, value);
    sw_buf_add(emit->out, "\n");
}

/* A number with at most DECIMALS places, trailing zeros cut; the buffer fails where it is none. */
static bool number_text(char text[SW_NUM_SIZE], struct sw_emit *emit, double value, int decimals)
{
    if (!sw_num_format(text, value, decimals)) {
        emit->out->failed = true;
        return false;
    }
    size_t n = strlen(text);
    if (strchr(text, '.')) {
        while (text[n - 1] == '0')
            n--;
        if (text[n - 1] == '.')
            n--;
    }
    text[n] = '\0';
    return true;
}

void sw_emit_number(struct sw_emit *emit, const char *key, double value, int decimals)
{
    char text[SW_NUM_SIZE];
    if (!number_text(text, emit, value, decimals))
        return;
    begin_line(emit);
    add_scalar(emit->out, key);
    sw_buf_printf(emit->out, ": %s\n", text);
}

void sw_emit_pair(struct sw_emit *emit, const char *key, double first, double second, int decimals)
{
    char one[SW_NUM_SIZE], other[SW_NUM_SIZE];
    if (!number_text(one, emit, first, decimals) || !number_text(other, emit, second, decimals))
        return;
    begin_line(emit);
    add_scalar(emit->out, key);
    sw_buf_printf(emit->out, ": [%s, %s]\n", one, other);
}

void sw_emit_truth(struct sw_emit *emit, const char *key, bool value)
{
    begin_line(emit);
    add_scalar(emit->out, key);
    sw_buf_add(emit->out, value ? ": yes\n" : ": no\n");
}

void sw_emit_open(struct sw_emit *emit, const char *key)
{
    begin_line(emit);
    add_scalar(emit->out, key);
    sw_buf_add(emit->out, ":");
    emit->is_open_line = true;
    emit->depth++;
}

void sw_emit_item(struct sw_emit *emit)
{
    end_open_line(emit);
    emit->after_dash = true;
    emit->depth++;
}

void sw_emit_close(struct sw_emit *emit)
{
    if (emit->is_open_line)
        sw_buf_add(emit->out, " {}\n");
    emit->is_open_line = false;
    if (emit->after_dash) {
        begin_line(emit);
        sw_buf_add(emit->out, "{}\n");
    }
    emit->depth--;
}
