#include "base/diag.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "base/mem.h"

struct source {
    const char *name;
    const char *text;
    size_t size;
    size_t n_errors;
};

struct sw_diag {
    struct sw_arena *arena;
    SW_VEC(struct source) sources;
    SW_VEC(struct sw_diag_record) records;
    size_t n_errors;
    size_t n_errors_nowhere;
    bool failed;
};

struct sw_diag *sw_diag_new(void)
{
    struct sw_arena *arena = sw_arena_new();
    struct sw_diag *diag = arena ? SW_NEW(arena, struct sw_diag, 1) : NULL;
    if (!diag) {
        sw_arena_free(arena);
        return NULL;
    }
    diag->arena = arena;
    return diag;
}

void sw_diag_free(struct sw_diag *diag)
{
    if (diag)
        sw_arena_free(diag->arena); /* the sink itself lives there */
}

uint32_t sw_diag_add_source(struct sw_diag *diag, const char *name, const char *text, size_t size)
{
    struct source source = {sw_arena_copy(diag->arena, name, strlen(name)),
                            sw_arena_copy(diag->arena, text, size), size, 0};
    if (!source.name || !source.text || !SW_VEC_PUSH(diag->arena, &diag->sources, source)) {
        diag->failed = true;
        return 0;
    }
    return (uint32_t)diag->sources.n;
}

static const struct source *source_at(const struct sw_diag *diag, uint32_t source)
{
    return source >= 1 && source <= diag->sources.n ? &diag->sources.at[source - 1] : NULL;
}

const char *sw_diag_source_name(const struct sw_diag *diag, uint32_t source)
{
    const struct source *s = source_at(diag, source);
    return s ? s->name : NULL;
}

const char *sw_diag_source_text(const struct sw_diag *diag, uint32_t source, size_t *size)
{
    const struct source *s = source_at(diag, source);
    *size = s ? s->size : 0;
    return s ? s->text : NULL;
}

void sw_diag_add(struct sw_diag *diag, enum sw_severity severity, const char *code,
                 struct sw_span at, const char *hint, const char *format, ...)
{
    if (severity == SW_ERROR) {
        diag->n_errors++;
        const struct source *source = source_at(diag, at.source);
        size_t *n = source ? &diag->sources.at[at.source - 1].n_errors : &diag->n_errors_nowhere;
        if (++*n > SW_DIAG_MOST)
            return;
    }
    va_list args, again;
    va_start(args, format);
    va_copy(again, args);
    const int size = vsnprintf(NULL, 0, format, args);
    va_end(args);
    char *message = size < 0 ? NULL : sw_arena_alloc(diag->arena, (size_t)size + 1, 1);
    if (message)
        vsnprintf(message, (size_t)size + 1, format, again);
    va_end(again);
    const char *hint_copy = hint ? sw_arena_copy(diag->arena, hint, strlen(hint)) : NULL;
    const struct sw_diag_record record = {severity, code, at, message, hint_copy};
    if (!message || (hint && !hint_copy) || !SW_VEC_PUSH(diag->arena, &diag->records, record))
        diag->failed = true;
}

size_t sw_diag_n_errors(const struct sw_diag *diag)
{
    return diag->n_errors;
}

size_t sw_diag_n(const struct sw_diag *diag)
{
    return diag->records.n;
}

const struct sw_diag_record *sw_diag_at(const struct sw_diag *diag, size_t i)
{
    return &diag->records.at[i];
}

bool sw_diag_failed(const struct sw_diag *diag)
{
    return diag->failed;
}

static bool starts_code_point(char c)
{
    return ((unsigned char)c & 0xc0u) != 0x80u;
}

/* Shows the source line and a caret below it. A very long line is shown around the place. */
static void write_line(const struct source *source, struct sw_span at, struct sw_buf *out)
{
    enum { SHOWN = 160, BEFORE = 80 };
    const char *line = source->text, *end = source->text + source->size;
    for (uint32_t i = 1; i < at.line && line < end; i++) {
        const char *next = memchr(line, '\n', (size_t)(end - line));
        line = next ? next + 1 : end;
    }
    const char *stop = line < end ? memchr(line, '\n', (size_t)(end - line)) : NULL;
    if (!stop)
        stop = end;
    if (stop > line && stop[-1] == '\r')
        stop--;
    if (line == stop || at.column == 0)
        return;
    const uint32_t first = at.column > BEFORE + 1 ? at.column - BEFORE : 1;
    uint32_t column = 0, shown = 0;
    sw_buf_add(out, "    ");
    struct sw_buf caret = {0};
    sw_buf_add(&caret, "    ");
    for (const char *c = line; c < stop; c++) {
        column += starts_code_point(*c);
        if (column < first)
            continue;
        shown += starts_code_point(*c);
        if (shown > SHOWN)
            break;
        const bool is_plain = (unsigned char)*c >= 0x20 && *c != 0x7f;
        sw_buf_addn(out, *c == '\t' ? " " : is_plain ? c : "?", 1);
        if (column < at.column && starts_code_point(*c))
            sw_buf_add(&caret, " ");
    }
    sw_buf_add(out, "\n");
    for (uint32_t c = column + 1; c < at.column; c++)
        sw_buf_add(&caret, " ");
    sw_buf_add(&caret, "^");
    for (uint32_t i = 1; i < at.length && i < SHOWN - BEFORE; i++)
        sw_buf_add(&caret, "~");
    sw_buf_add(&caret, "\n");
    sw_buf_add(out, sw_buf_text(&caret));
    out->failed = out->failed || caret.failed;
    sw_buf_done(&caret);
}

void sw_diag_write(const struct sw_diag *diag, struct sw_buf *out)
{
    static const char *const word[] = {"note", "warning", "error"};
    for (size_t i = 0; i < diag->records.n; i++) {
        const struct sw_diag_record *record = &diag->records.at[i];
        const struct source *source = source_at(diag, record->at.source);
        if (source) {
            sw_buf_add(out, source->name);
            if (record->at.line)
                sw_buf_printf(out, ":%u", record->at.line);
            if (record->at.line && record->at.column)
                sw_buf_printf(out, ":%u", record->at.column);
        } else {
            sw_buf_add(out, "staffwright");
        }
        sw_buf_printf(out, ": %s: %s\n", word[record->severity], record->message);
        if (source && record->at.line)
            write_line(source, record->at, out);
        for (const char *line = record->hint; line && *line;) {
            const size_t n = strcspn(line, "\n");
            sw_buf_printf(out, "    hint: %.*s\n", (int)n, line);
            line += n + (line[n] == '\n');
        }
    }
    for (size_t i = 0; i < diag->sources.n; i++)
        if (diag->sources.at[i].n_errors > SW_DIAG_MOST)
            sw_buf_printf(out, "%s: note: %zu more errors are not shown\n",
                          diag->sources.at[i].name, diag->sources.at[i].n_errors - SW_DIAG_MOST);
}
