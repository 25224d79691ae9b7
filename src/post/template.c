#include "post/inside.h"

#include <math.h>
#include <string.h>

#include "base/num.h"

/* NISTIR 6556, table 2: X of the origin of system 1, and from system to system. */
enum { ORIGIN_PARAMETER = 5221, ORIGIN_PARAMETER_STEP = 20 };

/* A chord error is told to a hundredth of a micrometre [mm]. */
enum { CHORD_DECIMALS = 5 };

const struct sw_post_placeholder sw_post_placeholders[] = {
    {"comment", SW_POST_AT_LINES, false, true, "Begins a line: the rest of it is a comment."},
    {"message", SW_POST_AT_LINES, false, true,
     "Begins a line: the rest of it is a message to the operator."},
    {"notes", SW_POST_AT_HEAD, false, true, "A line alone: the comment lines of the head."},
    {"corrections", SW_POST_AT_HEAD, false, true,
     "A line alone: the lines `corrections.head` for each correction."},
    {"chord_error", SW_POST_AT_HEAD, false, false,
     "How far straight moves stand off the arcs they are written for, at most, mm."},
    {"name", SW_POST_AT_LINES, true, false, "Name of the program, without suffix."},
    {"text", SW_POST_AT_SECTION | SW_POST_AT_TOOL | SW_POST_AT_PAUSE, true, false,
     "What the operation, the tool or the pause is for."},
    {"units", SW_POST_AT_LINES, false, false, "The word under `units`."},
    {"tool", SW_POST_AT_LINES, false, false, "Station of the tool in use."},
    {"tool_call", SW_POST_AT_LINES, false, false,
     "Station and offset of the tool in use, two digits each: 0101."},
    {"system", SW_POST_AT_LINES, false, false, "Coordinate system in use: G54."},
    {"system_index", SW_POST_AT_LINES, false, false, "Its number: 1 for G54."},
    {"origin_parameter", SW_POST_AT_LINES, false, false,
     "Number of the parameter that holds the X of its origin: 5221 for G54."},
    {"speed", SW_POST_AT_SPINDLE, false, false, "Constant speed, rev/min."},
    {"surface", SW_POST_AT_SURFACE, false, false, "Surface speed, m/min."},
    {"clamp", SW_POST_AT_SURFACE, false, false, "Highest speed under a surface speed, rev/min."},
    {"wait", SW_POST_AT_SPINDLE | SW_POST_AT_SURFACE, false, false,
     "How long this machine's spindle takes to come up to speed, s."},
    {"seconds", SW_POST_AT_DWELL, false, false, "Length of a wait, s."},
    {"milliseconds", SW_POST_AT_DWELL, false, false, "The same, ms."},
    {"correction", SW_POST_AT_CORRECTION | SW_POST_AT_NUMBER, false, false,
     "Number of the parameter of a correction."},
    {"correction_index", SW_POST_AT_CORRECTION | SW_POST_AT_NUMBER, false, false,
     "Number of a correction, from 1."},
    {"correction_name", SW_POST_AT_CORRECTION, true, false, "What a correction is for."},
    {"x", SW_POST_AT_NUMBER, false, false, "The X number that is to be corrected."},
    {.name = NULL},
};

static const struct sw_post_placeholder *find(const char *name, size_t size)
{
    for (const struct sw_post_placeholder *p = sw_post_placeholders; p->name; p++)
        if (strlen(p->name) == size && memcmp(p->name, name, size) == 0)
            return p;
    return NULL;
}

enum sw_post_verb sw_post_verb_of(const char **rest, const char *line)
{
    static const char *const verbs[] = {[SW_POST_COMMENT] = "{comment}",
                                        [SW_POST_MESSAGE] = "{message}",
                                        [SW_POST_NOTES] = "{notes}",
                                        [SW_POST_LIST] = "{corrections}"};
    *rest = line;
    for (int verb = SW_POST_COMMENT; verb <= SW_POST_LIST; verb++) {
        const size_t size = strlen(verbs[verb]);
        if (strncmp(line, verbs[verb], size) != 0)
            continue;
        *rest = line + size;
        *rest += strspn(*rest, " ");
        return (enum sw_post_verb)verb;
    }
    return SW_POST_BLOCK;
}

struct checker {
    const struct sw_post *post;
    struct sw_ctx *ctx;
    bool is_good;
    bool uses_parameters;
    struct sw_span parameters_at;
};

/* The place of the character OFFSET of a scalar's text: behind the quote, if there is one. */
static struct sw_span place_in(const struct sw_text *text, size_t offset, size_t length,
                               struct sw_ctx *ctx)
{
    struct sw_span at = text->at;
    size_t size = 0;
    const char *line = sw_diag_source_text(ctx->diag, at.source, &size);
    for (uint32_t i = 1; line && i < at.line; i++) {
        line = strchr(line, '\n');
        line = line ? line + 1 : NULL;
    }
    uint32_t column = 1;
    while (line && *line && *line != '\n' && column < at.column) {
        line++;
        /* Bytes 10xxxxxx continue a character. */
        column += (*line & 0xC0) != 0x80;
    }
    const uint32_t quote = line && (*line == '"' || *line == '\'') ? 1 : 0;
    at.column += quote + (uint32_t)offset;
    at.length = (uint32_t)length;
    return at;
}

static void fault(struct checker *c, const char *code, struct sw_span at, const char *hint,
                  const char *message)
{
    sw_diag_add(c->ctx->diag, SW_ERROR, code, at, hint, "%s", message);
    c->is_good = false;
}

static void report_unknown(struct checker *c, struct sw_span at, const char *name, size_t size,
                           unsigned place)
{
    struct sw_buf known = {0};
    sw_buf_add(&known, "known here: ");
    const char *lead = "";
    for (const struct sw_post_placeholder *p = sw_post_placeholders; p->name; p++) {
        if (!(p->places & place))
            continue;
        sw_buf_printf(&known, "%s{%s}", lead, p->name);
        lead = ", ";
    }
    sw_diag_add(c->ctx->diag, SW_ERROR, "post.placeholder", at, sw_buf_text(&known),
                "`{%.*s}` is %s", (int)size, name,
                find(name, size) ? "not known in this place" : "no placeholder");
    sw_buf_done(&known);
    c->is_good = false;
}

static void check_template(struct checker *c, const struct sw_text *line, unsigned place)
{
    const char *text = line->value;
    if (!text)
        return;
    const char *rest;
    const enum sw_post_verb verb =
        place & SW_POST_AT_NUMBER ? SW_POST_BLOCK : sw_post_verb_of(&rest, text);
    const bool is_comment = verb == SW_POST_COMMENT || verb == SW_POST_MESSAGE;
    for (size_t i = 0; text[i]; i++) {
        if (text[i] < ' ' || text[i] > '~') {
            fault(c, "post.character", place_in(line, i, 1, c->ctx),
                  "printable ASCII characters are wanted", "this character cannot be written");
            return;
        }
        if ((text[i] == '#' || text[i] == '[') && !is_comment && !c->uses_parameters) {
            c->uses_parameters = true;
            c->parameters_at = place_in(line, i, 1, c->ctx);
        }
        if (text[i] == '}')
            fault(c, "post.brace", place_in(line, i, 1, c->ctx), NULL, "this brace closes nothing");
        if (text[i] != '{')
            continue;
        const size_t size = strcspn(text + i + 1, "{}");
        if (text[i + 1 + size] != '}') {
            fault(c, "post.brace", place_in(line, i, 1, c->ctx), NULL, "this brace is not closed");
            continue;
        }
        const struct sw_post_placeholder *p = find(text + i + 1, size);
        const struct sw_span at = place_in(line, i, size + 2, c->ctx);
        if (!p || !(p->places & place))
            report_unknown(c, at, text + i + 1, size, place);
        else if (p->is_verb && i > 0)
            fault(c, "post.verb", at, NULL, "this placeholder must begin its line");
        else if ((verb == SW_POST_NOTES || verb == SW_POST_LIST) && i == 0 && text[size + 2])
            fault(c, "post.verb", at, NULL, "this placeholder must have a line of its own");
        else if (p->is_text && !is_comment)
            fault(c, "post.free-text", at, "begin the line with {comment} or {message}",
                  "words written by people may stand in comments and messages only");
        i += size + 1;
    }
}

static void check_lines(struct checker *c, const struct sw_list *lines, unsigned place)
{
    for (size_t i = 0; i < lines->n; i++)
        check_template(c, sw_post_item(lines, i), place);
}

bool sw_post_check_templates(const struct sw_post *post, struct sw_ctx *ctx)
{
    struct checker c = {.post = post, .ctx = ctx, .is_good = true};
    const struct sw_post_lines *lines = &post->lines;
    check_lines(&c, &lines->head, SW_POST_AT_HEAD);
    check_lines(&c, &lines->tool_change, SW_POST_AT_TOOL);
    check_lines(&c, &lines->section, SW_POST_AT_SECTION);
    check_lines(&c, &lines->spindle_cw, SW_POST_AT_SPINDLE);
    check_lines(&c, &lines->spindle_ccw, SW_POST_AT_SPINDLE);
    check_lines(&c, &lines->surface_cw, SW_POST_AT_SURFACE);
    check_lines(&c, &lines->surface_ccw, SW_POST_AT_SURFACE);
    check_lines(&c, &lines->stop, SW_POST_AT_STOP);
    check_lines(&c, &lines->dwell, SW_POST_AT_DWELL);
    check_lines(&c, &lines->pause, SW_POST_AT_PAUSE);
    check_lines(&c, &lines->second_takes, SW_POST_AT_SECOND);
    check_lines(&c, &lines->second_leaves, SW_POST_AT_SECOND);
    check_lines(&c, &lines->tail, SW_POST_AT_TAIL);
    if (post->corrections.called.value && post->corrections.called.value[0]) {
        check_lines(&c, &post->corrections.head, SW_POST_AT_CORRECTION);
        check_lines(&c, &post->corrections.on, SW_POST_AT_CORRECTION);
        check_lines(&c, &post->corrections.off, SW_POST_AT_CORRECTION);
        check_template(&c, &post->corrections.called, SW_POST_AT_NUMBER);
        check_template(&c, &post->corrections.x, SW_POST_AT_NUMBER);
    }
    if (c.uses_parameters && !sw_post_states_need(post, "parameters"))
        fault(&c, "post.need", c.parameters_at, "add parameters to `needs`",
              "the dialect writes parameters or expressions and does not say that it needs them");
    return c.is_good;
}

static void fill_one(struct sw_buf *out, const char *name, size_t size, const struct sw_post *post,
                     const struct sw_post_values *v)
{
    const struct {
        const char *name;
        const char *text;
    } texts[] = {{"name", v->name},   {"text", v->text}, {"correction_name", v->correction_name},
                 {"units", v->units}, {"x", v->x},       {"system", v->system}};
    const struct {
        const char *name;
        double value;
        int decimals;
    } numbers[] = {
        {"tool", v->tool, 0},
        {"system_index", v->system_index, 0},
        {"origin_parameter", ORIGIN_PARAMETER + ORIGIN_PARAMETER_STEP * (v->system_index - 1), 0},
        {"speed", v->speed, (int)post->decimals.speed.value},
        {"surface", v->surface, (int)post->decimals.speed.value},
        {"clamp", v->clamp, (int)post->decimals.speed.value},
        {"wait", v->wait_s, (int)post->decimals.seconds.value},
        {"seconds", v->seconds, (int)post->decimals.seconds.value},
        {"milliseconds", v->seconds * 1000, 0},
        {"correction", v->correction, 0},
        {"correction_index", v->correction_index, 0},
        {"chord_error", post->chord_error.value, CHORD_DECIMALS},
    };
    static const char call[] = "tool_call";
    if (size == sizeof call - 1 && memcmp(call, name, size) == 0)
        sw_buf_printf(out, "%02d%02d", v->tool, v->tool);
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++)
        if (strlen(texts[i].name) == size && memcmp(texts[i].name, name, size) == 0)
            sw_buf_add(out, texts[i].text ? texts[i].text : "");
    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++)
        if (strlen(numbers[i].name) == size && memcmp(numbers[i].name, name, size) == 0)
            sw_buf_fixed(out, numbers[i].value, numbers[i].decimals);
}

void sw_post_fill(struct sw_buf *out, const char *text, const struct sw_post *post,
                  const struct sw_post_values *values)
{
    while (*text) {
        const size_t plain = strcspn(text, "{");
        sw_buf_addn(out, text, plain);
        text += plain;
        if (!*text)
            break;
        const size_t size = strcspn(text, "}") - 1;
        fill_one(out, text + 1, size, post, values);
        text += size + 2;
    }
}
