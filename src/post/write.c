/* A path is written event by event. What the writer remembers is what the control will believe:
 * where the tool stands in counts of the grid, the feed in force, whether the spindle turns. From
 * that it leaves out words that have not changed, and drops blocks that would not move: the exact
 * position goes on and the rounding goes to the next block, so that errors never add up.
 * Whatever breaks that belief (a tool change, a correction, a section where the operator may start
 * again) makes the next block state everything.
 * Corrections change the X words themselves while they are on, not the origin: a program that is
 * stopped in between leaves nothing behind in the control.
 * An arc is split to the dialect's sweep on the exact curve, and only then rounded (grid.c).
 */
#include "post/inside.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "base/num.h"
#include "post/grid.h"

/* No staff lathe is larger [mm], and no number beyond it can be a position. */
#define MOST_POSITION 1e5
/* Radii of an arc of the path itself: far above rounding, far below the grid [mm]. */
#define MOST_PATH_MISMATCH 1e-6
/* Forgives rounding where a quotient is meant to be whole. */
#define WHOLE 1e-9

enum { MOST_CORRECTIONS_ON = 4, MOST_MESSAGE = 240 };

struct writer {
    const struct sw_post *post;
    const struct sw_path *path;
    const struct sw_machine *machine;
    struct sw_ctx *ctx;
    struct sw_post_grid grid;
    struct sw_post_text text;
    struct sw_buf line; /* the block being made */
    struct sw_post_values values;
    const char *section;
    size_t first, end;      /* events of the file being written */
    bool is_placed;         /* AT and EXACT hold */
    bool must_state;        /* X and Z, changed or not */
    struct sw_post_pt at;   /* where the control believes to be */
    struct sw_pt exact;     /* where the path is */
    char feed[SW_NUM_SIZE]; /* in force; empty: must be stated */
    bool is_turning;
    double speed; /* rev/min as written */
    SW_VEC(size_t) section_lines;
    SW_VEC(size_t) pass_lines;
    SW_VEC(size_t) event_lines;
    size_t counted, n_lines; /* of the text, up to byte COUNTED */
    bool is_run_up;          /* since the section began, to TOP rev/min */
    double top;
    int on[MOST_CORRECTIONS_ON];
    int n_on;
};

static enum sw_status refuse(const struct writer *w, enum sw_status status, const char *code,
                             struct sw_span at, const char *hint, const char *format, ...)
    SW_PRINTF(6, 7);

static enum sw_status refuse(const struct writer *w, enum sw_status status, const char *code,
                             struct sw_span at, const char *hint, const char *format, ...)
{
    char message[MOST_MESSAGE];
    va_list values;
    va_start(values, format);
    vsnprintf(message, sizeof message, format, values);
    va_end(values);
    sw_diag_add(w->ctx->diag, SW_ERROR, code, at, hint, "%s%s%s", message,
                w->section ? ", in: " : "", w->section ? w->section : "");
    return status;
}

/* The path breaks its own rules: a fault of its maker, not of the user. */
static enum sw_status broken(const struct writer *w, const char *what)
{
    return refuse(w, SW_INTERNAL, "post.path", (struct sw_span){0}, NULL, "the path %s", what);
}

static enum sw_status put_line(struct writer *w, struct sw_span at)
{
    return w->line.failed ? SW_MEMORY
                          : sw_post_put_block(&w->text, sw_buf_text(&w->line), at, w->ctx);
}

static enum sw_status put_template(struct writer *w, const struct sw_text *template)
{
    const char *rest;
    const enum sw_post_verb verb = sw_post_verb_of(&rest, template->value);
    w->line.n = 0;
    if (w->line.at)
        w->line.at[0] = '\0';
    sw_post_fill(&w->line, rest, w->post, &w->values);
    if (verb == SW_POST_BLOCK)
        return put_line(w, template->at);
    return w->line.failed ? SW_MEMORY
                          : sw_post_put_comment(&w->text, sw_buf_text(&w->line),
                                                verb == SW_POST_MESSAGE, w->ctx);
}

static enum sw_status put_lines(struct writer *w, const struct sw_list *lines)
{
    for (size_t i = 0; i < lines->n; i++)
        SW_TRY(put_template(w, sw_post_item(lines, i)));
    return SW_OK;
}

static void choose_correction(struct writer *w, int i)
{
    w->values.correction_index = i;
    w->values.correction = (int)w->post->corrections.from.value + i - 1;
    w->values.correction_name = w->path->correction[i - 1].name;
}

static bool is_used(const struct writer *w, int correction)
{
    for (size_t i = w->first; i < w->end; i++)
        if (w->path->at[i].kind == SW_PATH_CORRECT && w->path->at[i].correction == correction)
            return true;
    return false;
}

static enum sw_status put_head(struct writer *w)
{
    const struct sw_list *head = &w->post->lines.head;
    for (size_t i = 0; i < head->n; i++) {
        const char *rest;
        const enum sw_post_verb verb = sw_post_verb_of(&rest, sw_post_item(head, i)->value);
        if (verb == SW_POST_NOTES) {
            for (size_t j = 0; j < w->path->n_head; j++)
                SW_TRY(sw_post_put_comment(&w->text, w->path->head[j], false, w->ctx));
        } else if (verb == SW_POST_LIST) {
            if (!sw_post_has_corrections(w->post))
                continue;
            for (size_t j = 1; j <= w->path->n_corrections; j++) {
                if (!is_used(w, (int)j))
                    continue;
                choose_correction(w, (int)j);
                SW_TRY(put_lines(w, &w->post->corrections.head));
            }
        } else {
            SW_TRY(put_template(w, sw_post_item(head, i)));
        }
    }
    return SW_OK;
}

static enum sw_status choose_tool(struct writer *w, int station)
{
    if (station < 1)
        return broken(w, "brings a tool without a station into use");
    int system;
    SW_TRY(sw_post_system_of(&system, w->post, station, w->ctx));
    /* Without a system of its own a tool is used in the dialect's first. */
    const char *word =
        system ? sw_post_systems[system - 1] : sw_post_item(&w->post->systems, 0)->value;
    w->values.system_index = 1;
    while (strcmp(sw_post_systems[w->values.system_index - 1], word) != 0)
        w->values.system_index++;
    w->values.system = word;
    w->values.tool = station;
    return SW_OK;
}

static void forget(struct writer *w, bool is_placed)
{
    w->is_placed = w->is_placed && is_placed;
    w->must_state = true;
    w->feed[0] = '\0';
}

/* A wait may be longer than asked, not shorter. */
static double wait_up(double seconds, int decimals)
{
    const double step = sw_post_written(1, decimals);
    const double rounded = sw_num_round(seconds, decimals);
    return rounded < seconds - WHOLE ? rounded + step : rounded;
}

static enum sw_status write_spindle(struct writer *w, const struct sw_path_event *e)
{
    const struct sw_post *post = w->post;
    const int decimals = (int)post->decimals.speed.value;
    if (!(e->speed > 0 && e->speed < MOST_POSITION) ||
        (e->is_surface_speed && !(e->speed_clamp > 0 && e->speed_clamp < MOST_POSITION)))
        return broken(w, "asks for a speed that is no speed");
    if (e->is_surface_speed && !sw_post_has_surface_speed(post))
        return refuse(w, SW_CANNOT, "post.surface-speed", post->surface_speed.at,
                      "use constant speeds, or a dialect with surface_speed: yes",
                      "a surface speed is asked for, and the dialect %s knows rev/min only",
                      post->name);
    const double speed = sw_num_round(e->speed, decimals);
    const double top = e->is_surface_speed ? sw_num_round(e->speed_clamp, decimals) : speed;
    if (!(speed > 0) || !(top > 0))
        return refuse(w, SW_CANNOT, "post.speed", post->decimals.speed.at, NULL,
                      "a speed of %g rounds to nothing in the dialect %s", e->speed, post->name);
    w->values.speed = w->values.surface = speed;
    w->values.clamp = top;
    const struct sw_machine_spindle *spindle = &w->machine->spindle;
    /* A section may be where work is taken up again, from standstill; within one the spindle turns
     * already, and only the difference is waited for. */
    const double gain = w->is_run_up ? fabs(top - w->top) : top;
    const double share = spindle->most_speed.value > gain ? gain / spindle->most_speed.value : 1;
    w->is_run_up = true;
    w->top = top;
    w->values.wait_s =
        wait_up(spindle->start_time.value * share, (int)post->decimals.seconds.value);
    w->is_turning = true;
    w->speed = speed;
    w->feed[0] = '\0';
    const struct sw_post_lines *lines = &post->lines;
    if (e->is_surface_speed)
        return put_lines(w, e->is_ccw ? &lines->surface_ccw : &lines->surface_cw);
    return put_lines(w, e->is_ccw ? &lines->spindle_ccw : &lines->spindle_cw);
}

static void add_number(struct writer *w, const struct sw_text *letter, long long count,
                       const struct sw_number *decimals)
{
    sw_buf_add(&w->line, " ");
    sw_buf_add(&w->line, letter->value);
    sw_buf_fixed(&w->line, sw_post_written(count, (int)decimals->value), (int)decimals->value);
}

/* X is wrapped once for each correction that is on, the earliest innermost. */
static enum sw_status add_x(struct writer *w, long long count)
{
    const int decimals = (int)w->post->decimals.x.value;
    struct sw_buf inner = {0};
    sw_buf_fixed(&inner, sw_post_written(count, decimals), decimals);
    for (int i = 0; i < w->n_on && !inner.failed; i++) {
        struct sw_buf outer = {0};
        choose_correction(w, w->on[i]);
        w->values.x = sw_buf_text(&inner);
        sw_post_fill(&outer, w->post->corrections.x.value, w->post, &w->values);
        w->values.x = NULL;
        sw_buf_done(&inner);
        inner = outer;
    }
    sw_buf_add(&w->line, " ");
    sw_buf_add(&w->line, w->post->words.x.value);
    sw_buf_add(&w->line, sw_buf_text(&inner));
    const bool failed = inner.failed;
    sw_buf_done(&inner);
    return failed ? SW_MEMORY : SW_OK;
}

/* Begin a block with its word and end point. */
static enum sw_status begin_block(struct writer *w, const struct sw_text *word,
                                  struct sw_post_pt to, bool is_arc)
{
    const bool states_all =
        is_arc || !w->is_placed || w->must_state || w->post->repeat_words.value == 1;
    w->line.n = 0;
    sw_buf_add(&w->line, word->value);
    if (states_all || to.x != w->at.x)
        SW_TRY(add_x(w, to.x));
    if (states_all || to.z != w->at.z)
        add_number(w, &w->post->words.z, to.z, &w->post->decimals.z);
    w->must_state = false;
    w->is_placed = true;
    w->at = to;
    return SW_OK;
}

static enum sw_status add_feed(struct writer *w, double per_turn)
{
    const struct sw_post *post = w->post;
    const bool is_per_turn = post->feed.value == SW_POST_FEED_PER_TURN;
    if (!(per_turn > 0 && per_turn < MOST_POSITION))
        return broken(w, "asks for a feed that is no feed");
    if (!w->is_turning)
        return broken(w, "feeds while the spindle stands");
    char feed[SW_NUM_SIZE];
    const double value = is_per_turn ? per_turn : per_turn * w->speed;
    const int decimals = (int)post->decimals.feed.value;
    if (!(sw_num_round(value, decimals) > 0) || !sw_num_format(feed, value, decimals))
        return refuse(w, SW_CANNOT, "post.feed", post->decimals.feed.at,
                      "a larger feed, or more decimals",
                      "a feed of %g mm/%s rounds to nothing in the dialect %s", value,
                      is_per_turn ? "rev" : "min", post->name);
    if (strcmp(feed, w->feed) == 0 && post->repeat_words.value != 1)
        return SW_OK;
    memcpy(w->feed, feed, sizeof feed);
    sw_buf_add(&w->line, " ");
    sw_buf_add(&w->line, post->words.feed.value);
    sw_buf_add(&w->line, feed);
    return SW_OK;
}

static enum sw_status write_straight(struct writer *w, const struct sw_path_event *e)
{
    const struct sw_post_pt to = sw_post_round(&w->grid, e->to);
    w->exact = e->to;
    if (w->is_placed && sw_post_same(to, w->at))
        return SW_OK;
    const bool is_rapid = e->kind == SW_PATH_RAPID;
    SW_TRY(begin_block(w, is_rapid ? &w->post->words.rapid : &w->post->words.line, to, false));
    if (!is_rapid)
        SW_TRY(add_feed(w, e->feed));
    return put_line(w, (struct sw_span){0});
}

static enum sw_status write_piece(struct writer *w, const struct sw_seg *piece, double feed)
{
    const struct sw_post *post = w->post;
    const struct sw_post_pt to = sw_post_round(&w->grid, piece->b);
    const bool is_by_radius = post->arcs.value == SW_POST_ARCS_RADIUS;
    const struct sw_post_arc arc = is_by_radius ? sw_post_arc_by_radius(&w->grid, piece, w->at, to)
                                                : sw_post_arc_by_centre(&w->grid, piece, w->at, to);
    w->exact = piece->b;
    if (arc.kind == SW_POST_ARC_NOTHING)
        return SW_OK;
    if (arc.kind == SW_POST_ARC_REFUSED)
        return refuse(w, SW_CANNOT, "post.arc", post->decimals.centre.at,
                      "more decimals for X, Z and centre",
                      "an arc of radius %.4f mm to X %.4f Z %.4f (radius) cannot be written in the "
                      "dialect %s to 0.2 um",
                      sw_seg_radius(piece), piece->b.r, piece->b.z, post->name);
    if (arc.kind == SW_POST_ARC_LINE) {
        SW_TRY(begin_block(w, &post->words.line, to, false));
    } else {
        SW_TRY(
            begin_block(w, piece->turn > 0 ? &post->words.arc_ccw : &post->words.arc_cw, to, true));
        if (is_by_radius) {
            add_number(w, &post->words.r, arc.radius, &post->decimals.centre);
        } else {
            add_number(w, &post->words.i, arc.i, &post->decimals.centre);
            add_number(w, &post->words.k, arc.k, &post->decimals.centre);
        }
    }
    SW_TRY(add_feed(w, feed));
    return put_line(w, (struct sw_span){0});
}

/* The chords of an arc on one side of its centre, from angle FROM on by SWEEP. Away from the axis
 * is the air: there the arc's bulge is drawn by tangents, which stand outside it, and its hollow
 * by chords between points on it. */
static enum sw_status write_chords(struct writer *w, const struct sw_path_event *e, double radius,
                                   double from, double sweep)
{
    const double error = fmin(w->post->chord_error.value, radius / 2);
    const bool is_bulge = sin(from + sweep / 2) > 0;
    /* A tangent's corner stands off as far as a chord's middle: radius / cos(half) - radius. */
    const double most = 2 * acos(is_bulge ? radius / (radius + error) : (radius - error) / radius);
    const int n = (int)ceil(fabs(sweep) / most - WHOLE);
    struct sw_path_event chord = {.kind = SW_PATH_LINE, .feed = e->feed};
    for (int i = 0; i < n; i++) {
        const double at = from + sweep * (is_bulge ? i + 0.5 : i + 1) / n;
        const double out = is_bulge ? radius / cos(sweep / n / 2) : radius;
        chord.to =
            (struct sw_pt){.z = e->centre.z + out * cos(at), .r = e->centre.r + out * sin(at)};
        SW_TRY(write_straight(w, &chord));
    }
    if (!is_bulge)
        return SW_OK;
    chord.to = (struct sw_pt){.z = e->centre.z + radius * cos(from + sweep),
                              .r = e->centre.r + radius * sin(from + sweep)};
    return write_straight(w, &chord);
}

static enum sw_status write_as_chords(struct writer *w, const struct sw_path_event *e,
                                      const struct sw_seg *arc)
{
    const double half_turn = acos(-1);
    const double radius = sw_seg_radius(arc), sweep = sw_seg_sweep(arc);
    const double start = atan2(arc->a.r - e->centre.r, arc->a.z - e->centre.z);
    double done = 0;
    while (fabs(sweep - done) > WHOLE) {
        /* up to where bulge and hollow meet, level with the centre */
        const double turns = (start + done) / half_turn;
        const double level =
            half_turn * (sweep > 0 ? floor(turns + WHOLE) + 1 : ceil(turns - WHOLE) - 1);
        const double part = fabs(level - start) < fabs(sweep) ? level - start - done : sweep - done;
        SW_TRY(write_chords(w, e, radius, start + done, part));
        done += part;
    }
    const struct sw_path_event last = {.kind = SW_PATH_LINE, .feed = e->feed, .to = e->to};
    return write_straight(w, &last);
}

static enum sw_status write_arc(struct writer *w, const struct sw_path_event *e)
{
    const struct sw_post *post = w->post;
    const bool is_in_chords = post->arcs.value == SW_POST_ARCS_NONE;
    if (is_in_chords && !(post->chord_error.value > 0))
        return refuse(w, SW_CANNOT, "post.arc", post->arcs.at,
                      "use a dialect with arcs, or one that states a chord_error",
                      "an arc is asked for, and the dialect %s knows none", post->name);
    if (!w->is_placed)
        return broken(w, "begins an arc where the control does not know the position");
    if (e->turn != 1 && e->turn != -1)
        return broken(w, "holds an arc without a sense");
    if (fabs(sw_pt_distance(w->exact, e->centre) - sw_pt_distance(e->to, e->centre)) >
        MOST_PATH_MISMATCH)
        return broken(w, "holds an arc whose ends are not on one circle");
    const struct sw_seg arc = sw_seg_arc(w->exact, e->to, e->centre, e->turn, SW_TAG_NONE);
    if (is_in_chords)
        return write_as_chords(w, e, &arc);
    const int n = (int)ceil(fabs(sw_seg_sweep(&arc)) / post->sweep.value - WHOLE);
    for (int i = 0; i < n; i++) {
        struct sw_seg piece = n > 1 ? sw_seg_part(&arc, (double)i / n, (double)(i + 1) / n) : arc;
        if (i == n - 1)
            piece.b = e->to;
        SW_TRY(write_piece(w, &piece, e->feed));
    }
    return SW_OK;
}

static enum sw_status write_correction(struct writer *w, const struct sw_path_event *e)
{
    const struct sw_post *post = w->post;
    if (e->correction < 1 || (size_t)e->correction > w->path->n_corrections)
        return broken(w, "uses a correction that it does not name");
    if (!sw_post_has_corrections(post))
        return refuse(w, SW_CANNOT, "post.correction", post->corrections.called.at,
                      "use a dialect with corrections, or leave them to the tool's offset",
                      "a correction is asked for, and the dialect %s has none", post->name);
    if (e->correction > (int)post->corrections.most.value)
        return refuse(w, SW_CANNOT, "post.correction", post->corrections.most.at, NULL,
                      "%zu corrections are asked for, and the dialect %s has %.0f",
                      w->path->n_corrections, post->name, post->corrections.most.value);
    int i = 0;
    while (i < w->n_on && w->on[i] != e->correction)
        i++;
    if (e->is_on == (i < w->n_on))
        return broken(w, "puts a correction in twice or takes it out twice");
    if (e->is_on && w->n_on == MOST_CORRECTIONS_ON)
        return broken(w, "has too many corrections in at once");
    if (e->is_on)
        w->on[w->n_on++] = e->correction;
    else
        memmove(&w->on[i], &w->on[i + 1], (size_t)(--w->n_on - i) * sizeof w->on[0]);
    forget(w, false);
    choose_correction(w, e->correction);
    return put_lines(w, e->is_on ? &post->corrections.on : &post->corrections.off);
}

/* The line that the byte END, at the last one asked for or behind it, is on. */
static size_t line_at(struct writer *w, size_t end)
{
    for (; w->counted < end; w->counted++)
        w->n_lines += w->text.buf.at[w->counted] == '\n';
    return w->n_lines + 1;
}

static enum sw_status write_section(struct writer *w, const struct sw_path_event *e)
{
    size_t start = w->text.buf.n;
    w->section = e->text;
    forget(w, true);
    SW_TRY(put_lines(w, &w->post->lines.section));
    while (start < w->text.buf.n && w->text.buf.at[start] == '\n')
        start++; /* empty lines in front set it off */
    const size_t line = line_at(w, start);
    return SW_VEC_PUSH(w->ctx->arena, &w->section_lines, line) ? SW_OK : SW_MEMORY;
}

static bool is_position(struct sw_pt at)
{
    return fabs(at.z) < MOST_POSITION && fabs(at.r) < MOST_POSITION;
}

static enum sw_status write_event(struct writer *w, const struct sw_path_event *e)
{
    const struct sw_post_lines *lines = &w->post->lines;
    w->values.text = e->text;
    switch (e->kind) {
    case SW_PATH_COMMENT:
        return sw_post_put_comment(&w->text, e->text ? e->text : "", false, w->ctx);
    case SW_PATH_SECTION:
        w->is_run_up = false;
        return write_section(w, e);
    case SW_PATH_TOOL:
        if (w->is_turning)
            return broken(w, "changes tools while the spindle turns");
        SW_TRY(choose_tool(w, e->station));
        forget(w, false);
        return sw_post_is_file_per_tool(w->post) ? SW_OK : put_lines(w, &lines->tool_change);
    case SW_PATH_SPINDLE:
        return write_spindle(w, e);
    case SW_PATH_STOP:
        w->is_turning = w->is_run_up = false;
        return put_lines(w, &lines->stop);
    case SW_PATH_RAPID:
    case SW_PATH_LINE:
        return is_position(e->to) ? write_straight(w, e) : broken(w, "goes to no position");
    case SW_PATH_ARC:
        return is_position(e->to) && is_position(e->centre) ? write_arc(w, e)
                                                            : broken(w, "goes to no position");
    case SW_PATH_DWELL:
        if (!(e->seconds >= 0 && e->seconds < MOST_POSITION))
            return broken(w, "waits for no time that is");
        w->values.seconds = wait_up(e->seconds, (int)w->post->decimals.seconds.value);
        return put_lines(w, &lines->dwell);
    case SW_PATH_PAUSE:
        if (w->is_turning)
            return broken(w, "pauses while the spindle turns");
        forget(w, true);
        return put_lines(w, &lines->pause);
    case SW_PATH_SECOND:
        if (lines->second_takes.n == 0)
            return refuse(w, SW_CANNOT, "post.second-spindle", w->post->needs.span,
                          "use a dialect with the lines second_takes and second_leaves, or part to "
                          "a neck: `parting: to-neck` in the job",
                          "a second spindle is to take the piece, and the dialect %s has no word "
                          "for it",
                          w->post->name);
        return put_lines(w, e->is_on ? &lines->second_takes : &lines->second_leaves);
    case SW_PATH_CORRECT:
        return write_correction(w, e);
    case SW_PATH_END:
        return w->n_on ? broken(w, "ends with a correction in") : SW_OK;
    }
    return broken(w, "holds an event of no kind");
}

/* "side-1.nc"; one file a tool: "side-1-t2.nc", and "side-1-t2-2.nc" when it comes back. */
static const char *name_file(struct writer *w, const struct sw_post_programs *out, size_t before)
{
    const char *stem = w->path->stem, *suffix = w->post->suffix.value;
    struct sw_arena *arena = w->ctx->arena;
    if (!sw_post_is_file_per_tool(w->post))
        return sw_arena_printf(arena, "%s%s", stem, suffix);
    const char *name = sw_arena_printf(arena, "%s-t%d%s", stem, w->values.tool, suffix);
    for (int count = 2; name && sw_post_is_taken(out, before, name); count++)
        name = sw_arena_printf(arena, "%s-t%d-%d%s", stem, w->values.tool, count, suffix);
    return name;
}

static enum sw_status write_file(struct writer *w, struct sw_post_programs *out, size_t before)
{
    struct sw_ctx *ctx = w->ctx;
    w->text.buf.n = 0;
    w->text.number = w->post->line_numbers.from.value;
    w->section = NULL;
    w->is_run_up = false;
    w->section_lines.at = NULL;
    w->section_lines.n = w->section_lines.cap = 0;
    w->pass_lines.at = NULL;
    w->pass_lines.n = w->pass_lines.cap = 0;
    w->event_lines.at = NULL;
    w->event_lines.n = w->event_lines.cap = w->counted = w->n_lines = 0;
    forget(w, false);
    SW_TRY(choose_tool(w, sw_post_first_station(w->path, w->first)));
    SW_TRY(put_head(w));
    for (size_t i = w->first; i < w->end; i++) {
        const size_t line = line_at(w, w->text.buf.n);
        if (!SW_VEC_PUSH(ctx->arena, &w->event_lines, line))
            return SW_MEMORY;
        if (w->path->at[i].begins_pass && !SW_VEC_PUSH(ctx->arena, &w->pass_lines, line))
            return SW_MEMORY;
        SW_TRY(write_event(w, &w->path->at[i]));
    }
    const size_t tail_line = line_at(w, w->text.buf.n);
    if (w->n_on)
        return broken(w, "changes files with a correction in");
    SW_TRY(put_lines(w, &w->post->lines.tail));
    struct sw_post_program program = {.file = name_file(w, out, before),
                                      .size = w->text.buf.n,
                                      .section_line = w->section_lines.at,
                                      .n_sections = w->section_lines.n,
                                      .pass_line = w->pass_lines.at,
                                      .n_passes = w->pass_lines.n,
                                      .event_line = w->event_lines.at,
                                      .first_event = w->first,
                                      .n_events = w->event_lines.n,
                                      .tail_line = tail_line};
    program.text = sw_arena_copy(ctx->arena, sw_buf_text(&w->text.buf), w->text.buf.n);
    if (!program.file || !program.text || !SW_VEC_PUSH(ctx->arena, out, program))
        return SW_MEMORY;
    return SW_OK;
}

enum sw_status sw_post_write(struct sw_post_programs *out, const struct sw_post *post,
                             const struct sw_path *path, const struct sw_machine *machine,
                             struct sw_ctx *ctx)
{
    struct writer w = {
        .post = post,
        .path = path,
        .machine = machine,
        .ctx = ctx,
        .grid = {.x_decimals = (int)post->decimals.x.value,
                 .z_decimals = (int)post->decimals.z.value,
                 .centre_decimals = (int)post->decimals.centre.value,
                 .x_factor = post->x.value == SW_POST_X_DIAMETER ? 2 : 1,
                 .centre_factor = post->i.value == SW_POST_X_DIAMETER ? 2 : 1},
        .text = {.post = post},
        .values = {.name = path->stem, .units = post->units.value},
    };
    for (size_t i = 0; i < path->n; i++)
        if ((path->at[i].kind == SW_PATH_END) != (i + 1 == path->n))
            return broken(&w, "does not end with its end");
    if (path->n == 0)
        return broken(&w, "is empty");
    const size_t before = out->n;
    enum sw_status status = SW_OK;
    while (status == SW_OK && w.end < path->n) {
        w.first = w.end;
        w.end = sw_post_is_file_per_tool(post) ? sw_post_end_of_file(path, w.first) : path->n;
        status = write_file(&w, out, before);
    }
    if (status == SW_OK && sw_diag_failed(ctx->diag))
        status = SW_MEMORY;
    if (status != SW_OK)
        out->n = before;
    sw_buf_done(&w.line);
    sw_buf_done(&w.text.buf);
    return status;
}
