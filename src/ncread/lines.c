/* The file (3.1): lines, % lines, ends; and what becomes of a faulty line.
 *
 * A line is read, checked, executed. Whatever fails takes the state, the events and the parameters
 * back to where they were before the line (1.3.1, D.8.4), so reading can go on.
 */
#include "ncread/ncread_int.h"

#include <ctype.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

void sw_nc_init(struct nc_reader *r, const struct sw_control *control,
                const struct sw_ncread_start *start, struct sw_ctx *ctx)
{
    memset(r, 0, sizeof *r);
    r->ctx = ctx;
    r->start = start;
    sw_nc_facts(&r->facts, control);
    r->now = (struct nc_state){
        .at = start->at,
        .origin = start->origin[0],
        .unit = 1,
        .motion = NC_G1,
        .plane = NC_G17,
        .cycle_return = NC_G98,
        .is_override_on = true,
        .modal = {.system = 1, .feed_mode = SW_MOTION_PER_MINUTE, .is_continuous = true},
    };
    const bool has_tool =
        start->is_tool_loaded && start->tool >= 0 && start->tool < SW_NCREAD_TOOLS;
    if (has_tool) {
        r->now.modal.tool = r->now.modal.selected_tool = start->tool;
        if (r->facts.offsets_with_tool)
            r->now.tool_offset = start->tool_offset[start->tool];
    }
    sw_nc_set_parameter_point(r, NC_HOME_G28, start->home[0]);
    sw_nc_set_parameter_point(r, NC_HOME_G30, start->home[1]);
    for (int system = 1; system <= SW_NCREAD_SYSTEMS; system++)
        sw_nc_set_parameter_point(r, sw_nc_parameter_of_system(system), start->origin[system - 1]);
    sw_nc_set_parameter(r, NC_SYSTEM_IN_FORCE, 1);
    r->n_undo = 0;
}

/* Code points before OFFSET. */
static uint32_t column_of(const char *line, uint32_t offset)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < offset; i++)
        n += ((unsigned char)line[i] & 0xc0u) != 0x80u;
    return n;
}

enum sw_status sw_nc_fault(struct nc_reader *r, struct nc_piece at, const char *code,
                           const char *hint, const char *format, ...)
{
    enum { MESSAGE_MOST = 256 };
    char text[MESSAGE_MOST];
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    const uint32_t before = column_of(r->line, at.begin);
    const uint32_t length = column_of(r->line + at.begin, at.end - at.begin);
    const struct sw_span span = {r->source, r->line_number, before + 1, length};
    sw_diag_add(r->ctx->diag, SW_ERROR, code, span, hint, "%s", text);
    r->n_faults++;
    return SW_FOUND;
}

static enum sw_status check_length(struct nc_reader *r, size_t size)
{
    const size_t most = r->facts.line_length;
    if (size <= most)
        return SW_OK;
    const struct nc_piece at = {(uint32_t)most, (uint32_t)most + 1};
    r->block.is_deleted = false;
    r->block.m_groups = 0;
    return sw_nc_fault(r, at,
                       r->facts.is_line_length_own ? "control.line-length" : "block.line-length",
                       NULL, "the line has %zu characters; at most %zu are allowed", size, most);
}

static enum sw_status attempt(struct nc_reader *r, size_t size)
{
    SW_TRY(check_length(r, size));
    SW_TRY(sw_nc_read(r));
    SW_TRY(sw_nc_block_check(r));
    if (r->block.is_deleted && r->start->is_block_delete_on)
        return SW_OK; /* read and checked all the same (App. A.1) */
    SW_TRY(sw_nc_execute(r));
    r->n_blocks++;
    return SW_OK;
}

enum sw_status sw_nc_line(struct nc_reader *r, const char *line, size_t size)
{
    const struct nc_state before = r->now;
    const size_t n_before = r->events.n;
    r->line = line;
    r->n_undo = 0;
    const enum sw_status status = attempt(r, size);
    if (status == SW_OK)
        return SW_OK;
    sw_nc_undo_parameters(r);
    r->events.n = n_before;
    r->now = before;
    return status == SW_FOUND ? SW_OK : status;
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

/* Does a line look like a block, and not like a note in plain words? A letter with a number. */
static bool is_block(const char *at, const char *end)
{
    while (at < end && (is_blank(*at) || *at == '/'))
        at++;
    if (at == end || !isalpha((unsigned char)*at))
        return false;
    for (at++; at < end && is_blank(*at);)
        at++;
    return at < end && (isdigit((unsigned char)*at) || strchr("+-.#[", *at) != NULL);
}

/* What the lines of a file add up to. */
struct file_rules {
    bool is_any_seen; /* a line that is not blank */
    bool is_opened;   /* by a % line */
    bool is_closed;
    uint32_t opened_at; /* line */
    uint32_t opened_column;
    bool has_end;         /* an M2 or M30, even on a faulty line */
    bool is_end_optional; /* it may be switched off by / */
    uint32_t end_at;      /* its line */
    bool is_rest_reported;
};

static void percent_line(struct nc_reader *r, struct file_rules *rules, const char *line,
                         const char *percent, const char *end)
{
    const uint32_t begin = (uint32_t)(percent - line);
    const struct nc_piece at = {begin, begin + 1};
    const char *rest = percent + 1;
    while (rest < end && is_blank(*rest))
        rest++;
    r->line = line;
    if (rest < end) {
        (void)sw_nc_fault(r, at, "block.percent-line", NULL,
                          "a %% line holds nothing but the %% sign");
    } else if (!rules->is_any_seen) {
        rules->is_opened = true;
        rules->opened_at = r->line_number;
        rules->opened_column = begin + 1;
    } else if (rules->is_opened) {
        rules->is_closed = true;
    } else if (!rules->has_end) {
        (void)sw_nc_fault(r, at, "block.percent-stray", NULL,
                          "a %% line closes a file only when its first line was one too");
    }
}

/* One line of the file, [LINE, END). */
static enum sw_status file_line(struct nc_reader *r, struct file_rules *rules, const char *line,
                                const char *end)
{
    const char *at = line;
    if (end > line && end[-1] == '\r')
        end--;
    while (at < end && is_blank(*at))
        at++;
    if (at == end)
        return SW_OK;
    if (*at == '%') {
        percent_line(r, rules, line, at, end);
        rules->is_any_seen = true;
        return SW_OK;
    }
    rules->is_any_seen = true;
    /* Behind the end only the closing % line is looked for (3.1, 3.6.1). Blocks there are what
     * somebody wants done: a second program, or an end too early. The standard passes over them in
     * silence; a workshop should not. */
    if (rules->has_end) {
        const uint32_t from = (uint32_t)(at - line), to = (uint32_t)(end - line);
        r->line = line;
        if (!rules->is_rest_reported && !rules->is_end_optional && is_block(at, end)) {
            (void)sw_nc_fault(r, (struct nc_piece){from, to}, "block.behind-end",
                              "take it out, or take the end above it out",
                              "the program ends on line %u: this line and those below are never "
                              "run",
                              (unsigned)rules->end_at);
            rules->is_rest_reported = true;
        }
        return SW_OK;
    }
    const size_t n_faults = r->n_faults;
    SW_TRY(sw_nc_line(r, line, (size_t)(end - line)));
    const enum nc_m stop = sw_nc_m(&r->block, NC_STOP);
    const bool is_skipped = r->block.is_deleted && r->start->is_block_delete_on;
    rules->has_end = r->now.has_ended ||
                     (r->n_faults > n_faults && !is_skipped && (stop == NC_M2 || stop == NC_M30));
    rules->is_end_optional = rules->has_end && r->block.is_deleted;
    rules->end_at = r->line_number;
    return SW_OK;
}

static enum sw_status read_lines(struct nc_reader *r, const char *text, size_t size)
{
    struct file_rules rules = {0};
    const char *const end = text + size;
    const char *line = text;
    while (line < end && !rules.is_closed && (rules.is_opened || !rules.is_rest_reported)) {
        if (++r->line_number > SW_NCREAD_MOST_LINES) {
            r->line = line;
            (void)sw_nc_fault(r, (struct nc_piece){0, 1}, "block.lines-most", NULL,
                              "the program has more than %d lines", (int)SW_NCREAD_MOST_LINES);
            return SW_UNREADABLE;
        }
        const char *stop = memchr(line, '\n', (size_t)(end - line));
        if (!stop)
            stop = end;
        SW_TRY(file_line(r, &rules, line, stop));
        line = stop < end ? stop + 1 : end;
    }
    const uint32_t last = r->line_number;
    if (rules.is_opened && !rules.is_closed) {
        const struct sw_span at = {r->source, rules.opened_at, rules.opened_column, 1};
        sw_diag_add(r->ctx->diag, SW_ERROR, "block.percent-open", at, NULL,
                    "the file begins with a %% line and has none to close it");
        r->n_faults++;
    } else if (!rules.is_opened && !rules.has_end) {
        const struct sw_span at = {r->source, last > 0 ? last : 1, 1, 0};
        sw_diag_add(r->ctx->diag, SW_ERROR, "block.no-end", at,
                    "end it with M2 or M30, or put it between two % lines",
                    "the program has no end");
        r->n_faults++;
    }
    return SW_OK;
}

static enum sw_status refuse(struct nc_reader *r, const char *name, const char *code,
                             const char *message)
{
    r->source = sw_diag_add_source(r->ctx->diag, name, "", 0);
    const struct sw_span at = {r->source, 0, 0, 0};
    sw_diag_add(r->ctx->diag, SW_ERROR, code, at, NULL, "%s", message);
    return sw_diag_failed(r->ctx->diag) ? SW_MEMORY : SW_UNREADABLE;
}

/* A line may also end with a lone CR (3.3). Diagnostics count '\n', so those become one. */
static enum sw_status end_lines(const char **text, size_t size, struct sw_ctx *ctx)
{
    const char *const end = *text + size;
    char *copy = NULL;
    for (const char *at = *text; (at = memchr(at, '\r', (size_t)(end - at))) != NULL; at++) {
        if (at + 1 < end && at[1] == '\n')
            continue;
        if (!copy)
            copy = sw_arena_copy(ctx->arena, *text, size);
        if (!copy)
            return SW_MEMORY;
        copy[at - *text] = '\n';
    }
    if (copy)
        *text = copy;
    return SW_OK;
}

/* Room for an event a line, so that most programs never move theirs. Lines too short to be blocks
 * do not count, or a text of empty lines would take memory for nothing. */
static enum sw_status reserve(struct nc_reader *r, const char *text, size_t size)
{
    enum { BYTES_A_BLOCK = 8, FEW = 16 };
    const size_t most = size / BYTES_A_BLOCK;
    const char *const end = text + size;
    size_t n = 0;
    for (const char *at = text; n < most && at < end; n++) {
        at = memchr(at, '\n', (size_t)(end - at));
        if (!at)
            break;
        at++;
    }
    n += FEW;
    if (n > SW_NCREAD_MOST_EVENTS)
        n = SW_NCREAD_MOST_EVENTS;
    r->events.at = SW_NEW(r->ctx->arena, struct sw_motion_event, n);
    if (!r->events.at)
        return SW_MEMORY;
    r->events.cap = n;
    return SW_OK;
}

enum sw_status sw_ncread_text(struct sw_motion *motion, const char *name, const char *text,
                              size_t size, const struct sw_control *control,
                              const struct sw_ncread_start *start, struct sw_ctx *ctx)
{
    struct nc_reader *r = SW_NEW(ctx->arena, struct nc_reader, 1);
    if (!r)
        return SW_MEMORY;
    sw_nc_init(r, control, start, ctx);
    if (size > SW_NCREAD_MOST_BYTES)
        return refuse(r, name, "block.too-long", "the file is larger than 64 MiB");
    if (size > 0 && memchr(text, '\0', size))
        return refuse(r, name, "block.binary", "the file is no text: it holds bytes with code 0");
    SW_TRY(end_lines(&text, size, ctx));
    r->source = sw_diag_add_source(ctx->diag, name, text, size);
    if (r->source == 0)
        return SW_MEMORY;
    SW_TRY(reserve(r, text, size));
    /* The sink's copy ends with a NUL, which ends the last line as '\n' ends the others. */
    const char *const kept = sw_diag_source_text(ctx->diag, r->source, &size);
    const enum sw_status status = read_lines(r, kept, size);
    *motion = (struct sw_motion){
        .name = sw_diag_source_name(ctx->diag, r->source),
        .source = r->source,
        .at = r->events.at,
        .n = r->events.n,
        .cap = r->events.cap,
        .n_blocks = r->n_blocks,
        .has_ended = r->now.has_ended,
    };
    if (status != SW_OK)
        return status;
    if (sw_diag_failed(ctx->diag))
        return SW_MEMORY;
    return r->n_faults > 0 ? SW_FOUND : SW_OK;
}
