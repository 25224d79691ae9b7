#include "spec/node.h"

#include <stdint.h>
#include <string.h>

#include <yaml.h>

#include "base/file.h"
#include "base/num.h"

enum { MOST_KEY = 100 }; /* bytes; no key of ours is half as long */

/* An open list or map while its children come in. */
struct frame {
    struct sw_node *node;
    struct sw_node *last;
    const char *key; /* map: waiting for its value */
    struct sw_span key_at;
};

struct builder {
    struct sw_ctx *ctx;
    uint32_t source;
    SW_VEC(size_t) line_starts; /* in code points from the start of the text */
    struct frame stack[SW_SPEC_MOST_DEPTH];
    size_t depth;
    size_t skipping; /* > 0: inside something refused, this many levels deep */
    size_t n_nodes;
    struct sw_node *root;
};

static void refuse(struct builder *b, const char *code, struct sw_span at, const char *hint,
                   const char *message)
{
    sw_diag_add(b->ctx->diag, SW_ERROR, code, at, hint, "%s", message);
}

/* libyaml counts CR, NEL, LS and PS as line ends, diagnostics count LF alone: so places are worked
 * out from the index, which counts code points. */
static struct sw_span span_of(const struct builder *b, const yaml_mark_t *from,
                              const yaml_mark_t *to)
{
    size_t low = 0, high = b->line_starts.n;
    while (high - low > 1) {
        const size_t middle = low + (high - low) / 2;
        if (b->line_starts.at[middle] <= from->index)
            low = middle;
        else
            high = middle;
    }
    const size_t start = b->line_starts.at[low];
    size_t length =
        to && to->line == from->line && to->index > from->index ? to->index - from->index : 1;
    return (struct sw_span){b->source, (uint32_t)low + 1, (uint32_t)(from->index - start) + 1,
                            (uint32_t)length};
}

/* Gives the bytes of the code point at AT, 0 when it is not well-formed UTF-8 (RFC 3629: shortest
 * form, no surrogates, at most U+10FFFF). */
static size_t code_point(const unsigned char *at, size_t left, uint32_t *value)
{
    static const uint32_t least[] = {0, 0, 0x80, 0x800, 0x10000};
    const unsigned char c = at[0];
    const size_t n = c < 0x80 ? 1 : c < 0xc0 ? 0 : c < 0xe0 ? 2 : c < 0xf0 ? 3 : c < 0xf8 ? 4 : 0;
    if (n == 0 || n > left)
        return 0;
    uint32_t v = n == 1 ? c : c & (0x7fu >> n);
    for (size_t i = 1; i < n; i++) {
        if ((at[i] & 0xc0u) != 0x80u)
            return 0;
        v = v << 6 | (at[i] & 0x3fu);
    }
    if (v < least[n] || v > 0x10ffff || (v >= 0xd800 && v <= 0xdfff))
        return 0;
    *value = v;
    return n;
}

/* Only printable characters, tab and line ends may stand in a YAML text. */
static bool is_control(uint32_t c)
{
    return (c < 0x20 && c != '\t' && c != '\n' && c != '\r') || c == 0x7f ||
           (c >= 0x80 && c < 0xa0 && c != 0x85) || c == 0xfffe || c == 0xffff;
}

/* Notes where lines start and refuses bytes that are no text. */
static enum sw_status scan(struct builder *b, const char *text, size_t size)
{
    const unsigned char *at = (const unsigned char *)text;
    size_t index = 0;
    if (!SW_VEC_PUSH(b->ctx->arena, &b->line_starts, 0))
        return SW_MEMORY;
    for (size_t i = 0; i < size; index++) {
        uint32_t c = 0;
        const size_t n = code_point(at + i, size - i, &c);
        if (n == 0 || is_control(c)) {
            const size_t line = b->line_starts.n;
            const struct sw_span span = {b->source, (uint32_t)line,
                                         (uint32_t)(index - b->line_starts.at[line - 1]) + 1, 1};
            if (n == 0)
                sw_diag_add(b->ctx->diag, SW_ERROR, "spec.utf8", span,
                            "save the file as text in UTF-8", "the byte 0x%02x is not UTF-8 text",
                            at[i]);
            else
                sw_diag_add(b->ctx->diag, SW_ERROR, "spec.control", span,
                            "remove it; the file must be plain text",
                            "the control character U+%04X is not allowed", (unsigned)c);
            return SW_INPUT;
        }
        i += n;
        if (c == '\n' && !SW_VEC_PUSH(b->ctx->arena, &b->line_starts, index + 1))
            return SW_MEMORY;
    }
    return SW_OK;
}

static enum sw_status new_node(struct sw_node **to, struct builder *b, enum sw_node_kind kind,
                               struct sw_span at)
{
    if (++b->n_nodes > SW_SPEC_MOST_NODES) {
        sw_diag_add(b->ctx->diag, SW_ERROR, "spec.size", at, "split the file",
                    "more than %d values in one file", SW_SPEC_MOST_NODES);
        return SW_INPUT;
    }
    struct sw_node *node = SW_NEW(b->ctx->arena, struct sw_node, 1);
    if (!node)
        return SW_MEMORY;
    node->kind = kind;
    node->at = at;
    *to = node;
    return SW_OK;
}

static void attach(struct builder *b, struct sw_node *node)
{
    if (b->depth == 0) {
        b->root = node;
        return;
    }
    struct frame *frame = &b->stack[b->depth - 1];
    if (frame->node->kind == SW_NODE_MAP) {
        node->key = frame->key;
        node->key_at = frame->key_at;
        frame->key = NULL;
    }
    if (frame->last)
        frame->last->next = node;
    else
        frame->node->first = node;
    frame->last = node;
    frame->node->n++;
}

static bool wants_key(const struct builder *b)
{
    return b->depth > 0 && b->stack[b->depth - 1].node->kind == SW_NODE_MAP &&
           !b->stack[b->depth - 1].key;
}

/* A key that cannot be one is reported, and its value is read under the empty key. */
static void refuse_key(struct builder *b, struct sw_span at)
{
    refuse(b, "spec.key", at,
           "write `key: value`; a text with a colon, brace or bracket goes in quotes",
           "a key must be a short plain text on one line");
    b->stack[b->depth - 1].key = "";
    b->stack[b->depth - 1].key_at = at;
}

static enum sw_status take_key(struct builder *b, const yaml_event_t *event, struct sw_span at)
{
    const char *text = (const char *)event->data.scalar.value;
    const size_t size = event->data.scalar.length;
    bool is_good = size > 0 && size <= MOST_KEY;
    for (size_t i = 0; is_good && i < size; i++)
        is_good = (unsigned char)text[i] >= 0x20;
    if (!is_good) {
        refuse_key(b, at);
        return SW_OK;
    }
    struct frame *frame = &b->stack[b->depth - 1];
    for (const struct sw_node *child = frame->node->first; child; child = child->next) {
        if (strcmp(child->key, text) != 0)
            continue;
        char *hint =
            sw_arena_printf(b->ctx->arena, "it stands first on line %u", child->key_at.line);
        if (!hint)
            return SW_MEMORY;
        sw_diag_add(b->ctx->diag, SW_ERROR, "spec.repeated-key", at, hint,
                    "the key `%s` is given twice", text);
        break;
    }
    frame->key = sw_arena_copy(b->ctx->arena, text, size);
    frame->key_at = at;
    return frame->key ? SW_OK : SW_MEMORY;
}

static void check_properties(struct builder *b, const yaml_char_t *anchor, const yaml_char_t *tag,
                             struct sw_span at)
{
    if (anchor)
        refuse(b, "spec.anchor", at, "write the value out where it is needed",
               "anchors (&name) are not read");
    if (tag)
        refuse(b, "spec.tag", at, "leave the tag out; the key says what kind of value it is",
               "tags (!name) are not read");
}

static enum sw_status take_scalar(struct builder *b, const yaml_event_t *event, struct sw_span at)
{
    const char *text = (const char *)event->data.scalar.value;
    const size_t size = event->data.scalar.length;
    check_properties(b, event->data.scalar.anchor, event->data.scalar.tag, at);
    if (wants_key(b))
        return take_key(b, event, at);
    for (size_t i = 0; i < size; i++) {
        if (is_control((unsigned char)text[i]) && (unsigned char)text[i] < 0x80) {
            sw_diag_add(b->ctx->diag, SW_ERROR, "spec.control", at, "remove the escape",
                        "the text holds the control character U+%04X",
                        (unsigned)(unsigned char)text[i]);
            break;
        }
    }
    struct sw_node *node = NULL;
    SW_TRY(new_node(&node, b, SW_NODE_SCALAR, at));
    node->is_quoted = event->data.scalar.style != YAML_PLAIN_SCALAR_STYLE;
    node->text = sw_arena_copy(b->ctx->arena, text, size);
    if (!node->text)
        return SW_MEMORY;
    attach(b, node);
    return SW_OK;
}

static enum sw_status take_start(struct builder *b, enum sw_node_kind kind, struct sw_span at)
{
    if (wants_key(b)) {
        refuse_key(b, at);
        b->skipping = 1;
        return SW_OK;
    }
    if (b->depth == SW_SPEC_MOST_DEPTH) {
        sw_diag_add(b->ctx->diag, SW_ERROR, "spec.depth", at, NULL,
                    "lists and maps are nested more than %d deep", SW_SPEC_MOST_DEPTH);
        return SW_INPUT;
    }
    struct sw_node *node = NULL;
    SW_TRY(new_node(&node, b, kind, at));
    attach(b, node);
    b->stack[b->depth++] = (struct frame){.node = node};
    return SW_OK;
}

static enum sw_status take_alias(struct builder *b, struct sw_span at)
{
    refuse(b, "spec.anchor", at, "write the value out where it is needed",
           "aliases (*name) are not read");
    if (wants_key(b)) {
        b->stack[b->depth - 1].key = "";
        b->stack[b->depth - 1].key_at = at;
        return SW_OK;
    }
    struct sw_node *node = NULL;
    SW_TRY(new_node(&node, b, SW_NODE_SCALAR, at));
    node->text = "";
    attach(b, node);
    return SW_OK;
}

/* Inside a refused key only the nesting is followed. */
static void skip(struct builder *b, yaml_event_type_t type)
{
    if (type == YAML_SEQUENCE_START_EVENT || type == YAML_MAPPING_START_EVENT)
        b->skipping++;
    else if (type == YAML_SEQUENCE_END_EVENT || type == YAML_MAPPING_END_EVENT)
        b->skipping--;
}

static enum sw_status take_document(struct builder *b, const yaml_event_t *event, struct sw_span at)
{
    if (b->root) {
        refuse(b, "spec.second-document", at, "keep one document a file: remove the line `---`",
               "a second document begins here");
        return SW_INPUT;
    }
    if (event->data.document_start.tag_directives.start !=
        event->data.document_start.tag_directives.end)
        refuse(b, "spec.tag", at, "remove the line", "tags (%TAG) are not read");
    return SW_OK;
}

static enum sw_status take(struct builder *b, const yaml_event_t *event)
{
    const struct sw_span at = span_of(b, &event->start_mark, &event->end_mark);
    if (b->skipping) {
        skip(b, event->type);
        return SW_OK;
    }
    switch (event->type) {
    case YAML_DOCUMENT_START_EVENT:
        return take_document(b, event, at);
    case YAML_SCALAR_EVENT:
        return take_scalar(b, event, at);
    case YAML_ALIAS_EVENT:
        return take_alias(b, at);
    case YAML_SEQUENCE_START_EVENT:
        check_properties(b, event->data.sequence_start.anchor, event->data.sequence_start.tag, at);
        return take_start(b, SW_NODE_LIST, at);
    case YAML_MAPPING_START_EVENT:
        check_properties(b, event->data.mapping_start.anchor, event->data.mapping_start.tag, at);
        return take_start(b, SW_NODE_MAP, at);
    case YAML_SEQUENCE_END_EVENT:
    case YAML_MAPPING_END_EVENT:
        b->depth--;
        return SW_OK;
    case YAML_NO_EVENT:
    case YAML_STREAM_START_EVENT:
    case YAML_STREAM_END_EVENT:
    case YAML_DOCUMENT_END_EVENT:
        break;
    }
    return SW_OK;
}

static enum sw_status refuse_syntax(struct builder *b, const yaml_parser_t *parser)
{
    if (parser->error == YAML_MEMORY_ERROR)
        return SW_MEMORY;
    const struct sw_span at = span_of(b, &parser->problem_mark, NULL);
    const char *problem = parser->problem ? parser->problem : "the text cannot be read";
    const char *hint = NULL;
    if (strstr(problem, "cannot start any token")) {
        hint = "indent with spaces, not tabs; put texts that begin with a sign in quotes";
    } else if (strstr(problem, "mapping values are not allowed")) {
        hint = "put a text with a colon in quotes; indent keys of one map alike";
    } else if (parser->context) {
        const struct sw_span from = span_of(b, &parser->context_mark, NULL);
        hint = sw_arena_printf(b->ctx->arena, "%s that begins on line %u, column %u",
                               parser->context, from.line, from.column);
        if (!hint)
            return SW_MEMORY;
    }
    sw_diag_add(b->ctx->diag, SW_ERROR, "spec.syntax", at, hint, "this is not YAML: %s", problem);
    return SW_INPUT;
}

static enum sw_status build(struct builder *b, yaml_parser_t *parser)
{
    for (bool is_end = false; !is_end;) {
        yaml_event_t event;
        if (!yaml_parser_parse(parser, &event))
            return refuse_syntax(b, parser);
        is_end = event.type == YAML_STREAM_END_EVENT;
        const enum sw_status status = take(b, &event);
        yaml_event_delete(&event);
        if (status != SW_OK)
            return status;
    }
    return SW_OK;
}

static bool is_nothing(const struct sw_node *root)
{
    return !root || (root->kind == SW_NODE_SCALAR && !root->is_quoted && root->text[0] == '\0');
}

enum sw_status sw_node_parse(struct sw_node **root, const char *name, const char *text, size_t size,
                             struct sw_ctx *ctx)
{
    static const char byte_order_mark[] = "\xef\xbb\xbf";
    *root = NULL;
    if (size >= 3 && memcmp(text, byte_order_mark, 3) == 0) {
        text += 3;
        size -= 3;
    }
    const size_t errors_before = sw_diag_n_errors(ctx->diag);
    struct builder b = {.ctx = ctx, .source = sw_diag_add_source(ctx->diag, name, text, size)};
    if (b.source == 0)
        return SW_MEMORY;
    SW_TRY(scan(&b, text, size));

    yaml_parser_t parser;
    if (!yaml_parser_initialize(&parser))
        return SW_MEMORY;
    yaml_parser_set_encoding(&parser, YAML_UTF8_ENCODING);
    yaml_parser_set_input_string(&parser, (const unsigned char *)text, size);
    const enum sw_status status = build(&b, &parser);
    yaml_parser_delete(&parser);
    if (status != SW_OK)
        return status;

    if (is_nothing(b.root))
        refuse(&b, "spec.empty", (struct sw_span){b.source, 0, 0, 0}, NULL, "the file is empty");
    if (sw_diag_failed(ctx->diag))
        return SW_MEMORY;
    if (sw_diag_n_errors(ctx->diag) != errors_before)
        return SW_INPUT;
    *root = b.root;
    return SW_OK;
}

enum sw_status sw_node_load(struct sw_node **root, const char *path, struct sw_ctx *ctx)
{
    const char *text = NULL;
    size_t size = 0;
    *root = NULL;
    SW_TRY(sw_file_read(&text, &size, path, SW_FILE_MOST_INPUT, ctx));
    return sw_node_parse(root, strcmp(path, "-") == 0 ? "standard input" : path, text, size, ctx);
}

struct sw_node *sw_node_get(const struct sw_node *map, const char *key)
{
    if (map->kind != SW_NODE_MAP)
        return NULL;
    for (struct sw_node *child = map->first; child; child = child->next)
        if (strcmp(child->key, key) == 0)
            return child;
    return NULL;
}

/* "staff/1" or "staff/1.2". */
struct format {
    size_t kind; /* bytes of the kind's name */
    int major, minor;
};

static const char *read_version_part(int *to, const char *at)
{
    enum { MOST_DIGITS = 6 };
    int value = 0, n = 0;
    for (; *at >= '0' && *at <= '9' && n < MOST_DIGITS; at++, n++)
        value = value * 10 + (*at - '0');
    *to = value;
    return n > 0 ? at : NULL;
}

static bool read_format(struct format *to, const char *text)
{
    const char *slash = strchr(text, '/');
    if (!slash || slash == text)
        return false;
    *to = (struct format){(size_t)(slash - text), 0, 0};
    const char *at = read_version_part(&to->major, slash + 1);
    if (at && *at == '.')
        at = read_version_part(&to->minor, at + 1);
    return at && *at == '\0';
}

enum sw_status sw_node_check_format(const struct sw_node *root, const char *wanted,
                                    struct sw_ctx *ctx)
{
    struct format want = {0}, got = {0};
    if (!read_format(&want, wanted))
        return SW_INTERNAL;
    char *hint = sw_arena_printf(ctx->arena, "begin the file with `format: %s`", wanted);
    if (!hint)
        return SW_MEMORY;
    if (root->kind != SW_NODE_MAP) {
        sw_diag_add(ctx->diag, SW_ERROR, "spec.kind", root->at, hint,
                    "a file of the kind `%.*s` is a map of keys and values", (int)want.kind,
                    wanted);
        return SW_INPUT;
    }
    const struct sw_node *node = sw_node_get(root, "format");
    if (!node) {
        sw_diag_add(ctx->diag, SW_ERROR, "spec.format", root->at, hint,
                    "the key `format` is missing");
        return SW_INPUT;
    }
    if (node->kind != SW_NODE_SCALAR || !read_format(&got, node->text)) {
        sw_diag_add(ctx->diag, SW_ERROR, "spec.format", node->at, hint,
                    "`format` must be a kind and a version, such as `%s`", wanted);
        return SW_INPUT;
    }
    if (got.kind != want.kind || strncmp(node->text, wanted, want.kind) != 0) {
        sw_diag_add(ctx->diag, SW_ERROR, "spec.format", node->at, NULL,
                    "this is a file of the kind `%.*s`; one of the kind `%.*s` is wanted here",
                    (int)got.kind, node->text, (int)want.kind, wanted);
        return SW_INPUT;
    }
    if (got.major != want.major) {
        sw_diag_add(ctx->diag, SW_ERROR, "spec.format", node->at, NULL,
                    "version %d of `%.*s` files is not known; version %d is read", got.major,
                    (int)want.kind, wanted, want.major);
        return SW_INPUT;
    }
    if (got.minor > want.minor) {
        sw_diag_add(ctx->diag, SW_ERROR, "spec.format", node->at, "a newer staffwright reads it",
                    "the file has the newer form %d.%d of `%.*s`; forms up to %d.%d are read",
                    got.major, got.minor, (int)want.kind, wanted, want.major, want.minor);
        return SW_INPUT;
    }
    return SW_OK;
}
