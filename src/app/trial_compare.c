/* The trial path and the motions read from its text, side by side.
 *
 * The writer tells the line each event begins at; what these lines mean is the reader's word alone.
 * Moves are held against each other one by one; the spindle by what stands when something moves or
 * pauses, because a control may be told in one block or three. What is allowed beyond the path:
 * waits, messages, a tool word that takes up an offset behind a pause, and blocks that move
 * nothing. An arc may come in any number of pieces, as arcs or chords. */
#include "app/trial_int.h"

#include <math.h>

/* Noise of doubles in sums of a few numbers below 1000 [mm]. */
#define NOISE 1e-9
/* An arc as written may lie this far off: post promises it of its arcs (post.h), and a centre read
 * beside it is a reading of other letters [mm]. */
#define ARC_OFF 2e-4
/* Speeds and waits are a few digits. */
#define SHARE 1e-6

enum { SAMPLES = 4 };

static const char *const kind_name[] = {[SW_PATH_COMMENT] = "comment",
                                        [SW_PATH_SECTION] = "section",
                                        [SW_PATH_TOOL] = "tool",
                                        [SW_PATH_SPINDLE] = "spindle",
                                        [SW_PATH_STOP] = "spindle stop",
                                        [SW_PATH_RAPID] = "rapid",
                                        [SW_PATH_LINE] = "line",
                                        [SW_PATH_ARC] = "arc",
                                        [SW_PATH_DWELL] = "wait",
                                        [SW_PATH_PAUSE] = "pause",
                                        [SW_PATH_CORRECT] = "correction",
                                        [SW_PATH_SECOND] = "second spindle",
                                        [SW_PATH_END] = "end"};

static const char *const read_name[] = {[SW_MOTION_RAPID] = "a rapid move",
                                        [SW_MOTION_LINE] = "a straight feed move",
                                        [SW_MOTION_ARC] = "an arc",
                                        [SW_MOTION_DWELL] = "a wait",
                                        [SW_MOTION_TOOL] = "a tool change",
                                        [SW_MOTION_SPINDLE] = "a word for the spindle",
                                        [SW_MOTION_SECOND] = "a word for the second spindle",
                                        [SW_MOTION_PAUSE] = "a stop for the operator",
                                        [SW_MOTION_MESSAGE] = "a message",
                                        [SW_MOTION_END] = "the end of the program"};

static const struct sw_path_event *asked_event(const struct sw_trial_comparer *c)
{
    return &c->run->path.at[c->event];
}

static struct sw_arena *arena_of(const struct sw_trial_comparer *c)
{
    return c->run->ctx->arena;
}

/* READ is NULL where nothing was. */
static enum sw_status differ(struct sw_trial_comparer *c, const struct sw_motion_event *read,
                             const char *asked, const char *got, const char *likely)
{
    struct sw_trial_run *run = c->run;
    if (asked && run->second)
        asked = sw_arena_printf(arena_of(c), "%s (with %s)", asked, run->second);
    const struct sw_trial_difference difference = {
        .event = c->event + 1,
        .kind = kind_name[asked_event(c)->kind],
        .program = run->programs.at[c->program].file,
        .line = read ? read->line : (uint32_t)c->line,
        .asked = asked,
        .read = got,
        .likely = likely,
    };
    return asked && got && SW_VEC_PUSH(arena_of(c), &run->found->differences, difference)
               ? SW_OK
               : SW_MEMORY;
}

/* What may stand anywhere: messages, blocks that move nothing, words for the spindle (it is held by
 * what stands when it is needed), waits that were not asked for. */
static bool is_nothing(const struct sw_motion_event *m)
{
    return m->kind == SW_MOTION_MESSAGE || m->kind == SW_MOTION_SPINDLE ||
           m->kind == SW_MOTION_DWELL ||
           ((m->kind == SW_MOTION_RAPID || m->kind == SW_MOTION_LINE) && m->from.x == m->to.x &&
            m->from.z == m->to.z);
}

static const struct sw_motion_event *peek(const struct sw_trial_comparer *c, size_t i)
{
    const struct sw_motion *motion = &c->run->motion[c->program];
    return i < motion->n ? &motion->at[i] : NULL;
}

/* What the reader said about a line of the event being held; NULL: nothing. */
static const struct sw_diag_record *fault_of(const struct sw_trial_comparer *c)
{
    const struct sw_diag *diag = c->run->ctx->diag;
    const uint32_t source = c->run->motion[c->program].source;
    for (size_t i = 0; i < sw_diag_n(diag); i++) {
        const struct sw_diag_record *record = sw_diag_at(diag, i);
        if (record->severity == SW_ERROR && record->at.source == source &&
            record->at.line >= c->line && record->at.line < c->end_line)
            return record;
    }
    return NULL;
}

static enum sw_status tell_missing(struct sw_trial_comparer *c, const char *asked,
                                   const char *likely)
{
    const struct sw_diag_record *fault = fault_of(c);
    const struct sw_motion_event at = {.line = fault ? fault->at.line : (uint32_t)c->line};
    return differ(c, &at, asked,
                  fault ? sw_arena_printf(arena_of(c), "a line it refuses (%s)", fault->message)
                        : "nothing",
                  likely);
}

static enum sw_status tell_more(struct sw_trial_comparer *c, const struct sw_motion_event *m)
{
    return differ(c, m, "no more than that", read_name[m->kind],
                  "a line that does more than its event");
}

/* The next of the event's motions that is KIND or OTHER; others in front of it are told as more
 * than was asked. NULL: there is none, and that is told. */
static enum sw_status take(struct sw_trial_comparer *c, const struct sw_motion_event **out,
                           enum sw_motion_kind kind, enum sw_motion_kind other, const char *asked)
{
    *out = NULL;
    for (size_t i = c->next; i < c->end && !*out; i++)
        if (peek(c, i)->kind == kind || peek(c, i)->kind == other)
            if (kind == SW_MOTION_DWELL || !is_nothing(peek(c, i)))
                *out = peek(c, i);
    if (!*out) {
        const struct sw_motion_event *m = NULL;
        for (; c->next < c->end && !m; c->next++)
            m = is_nothing(peek(c, c->next)) ? NULL : peek(c, c->next);
        const char *why = sw_trial_why_missing(c->run, asked_event(c));
        return m ? differ(c, m, asked, read_name[m->kind], why) : tell_missing(c, asked, why);
    }
    for (; peek(c, c->next) != *out; c->next++)
        if (!is_nothing(peek(c, c->next)))
            SW_TRY(tell_more(c, peek(c, c->next)));
    c->next++;
    return SW_OK;
}

static const char *place(const struct sw_trial_comparer *c, const char *what, struct sw_pt at)
{
    return sw_arena_printf(arena_of(c), "%s to X %.4f Z %.4f (on radius)", what, at.r, at.z);
}

static const char *spindle_text(const struct sw_trial_comparer *c, bool is_turning, bool is_ccw,
                                double speed, bool is_surface, double clamp)
{
    if (!is_turning)
        return "spindle stopped";
    return is_surface ? sw_arena_printf(arena_of(c), "M%d at %g m/min under %g rev/min",
                                        is_ccw ? 4 : 3, speed, clamp)
                      : sw_arena_printf(arena_of(c), "M%d at %g rev/min", is_ccw ? 4 : 3, speed);
}

static bool is_speed(const struct sw_trial_comparer *c, double asked, double read)
{
    return fabs(read - asked) <= 0.5 * c->run->can.speed_step + SHARE * asked;
}

/* The spindle as it stands at a block that needs it. */
static enum sw_status hold_spindle(struct sw_trial_comparer *c, const struct sw_motion_event *m)
{
    const struct sw_motion_state *s = &m->state;
    if (c->run->machine->control.spindle_words.value != 1)
        return SW_OK; /* it is switched by hand */
    const bool is_turning = s->spindle != SW_MOTION_STOPPED && s->speed > 0;
    const char *why = NULL;
    if (is_turning != c->is_turning)
        why = c->is_turning ? "`lines.spindle_cw`, `spindle_ccw` or `surface_*`: the spindle stands"
                            : "`lines.stop`: the spindle still turns";
    else if (is_turning && (s->spindle == SW_MOTION_CCW) != c->is_ccw)
        why = "`lines.spindle_cw`, `spindle_ccw` or `surface_*`: M3 and M4 are the wrong way round";
    else if (is_turning &&
             (s->is_surface_speed != c->is_surface_speed || !is_speed(c, c->speed, s->speed)))
        why = "`lines.spindle_*` or `surface_*`: the speed, or G96 and G97";
    else if (is_turning && s->is_surface_speed && !is_speed(c, c->speed_clamp, s->speed_clamp))
        why = "`lines.surface_*`: the highest speed under a surface speed";
    if (!why)
        return SW_OK;
    return differ(
        c, m,
        spindle_text(c, c->is_turning, c->is_ccw, c->speed, c->is_surface_speed, c->speed_clamp),
        spindle_text(c, is_turning, s->spindle == SW_MOTION_CCW, s->speed, s->is_surface_speed,
                     s->speed_clamp),
        why);
}

/* By meaning: per turn, whichever way it was written. */
static enum sw_status hold_feed(struct sw_trial_comparer *c, const struct sw_motion_event *m,
                                double asked)
{
    const struct sw_post_abilities *can = &c->run->can;
    const struct sw_motion_state *s = &m->state;
    const double turns = c->speed; /* rev/min */
    double read = -1;              /* no feed that can be asked for */
    if (s->feed_mode == SW_MOTION_PER_TURN)
        read = s->feed;
    else if (s->feed_mode == SW_MOTION_PER_MINUTE && !c->is_surface_speed)
        read = s->feed / turns;
    const double slack = 0.5 * can->feed_step / (can->is_feed_per_turn ? 1 : turns);
    if (fabs(read - asked) <= slack + SHARE * asked)
        return SW_OK;
    static const char *const unit[] = {[SW_MOTION_PER_MINUTE] = "mm/min",
                                       [SW_MOTION_PER_TURN] = "mm a turn",
                                       [SW_MOTION_INVERSE_TIME] = "a minute"};
    return differ(c, m, sw_arena_printf(arena_of(c), "a feed of %g mm a turn", asked),
                  sw_arena_printf(arena_of(c), "a feed of %g %s", s->feed, unit[s->feed_mode]),
                  sw_trial_why_feed(c, asked, s));
}

/* What a block that cuts relies on. */
static enum sw_status hold_modes(struct sw_trial_comparer *c, const struct sw_motion_event *m,
                                 double feed)
{
    SW_TRY(hold_spindle(c, m));
    if (m->state.is_continuous && c->run->machine->control.blend.value > 0)
        SW_TRY(differ(c, m, "exact path (G61)", "corners rounded by the control (G64)",
                      "`lines.head`: G61 is missing"));
    return hold_feed(c, m, feed);
}

static bool is_there(const struct sw_trial_comparer *c, struct sw_pt asked, struct sw_pt read)
{
    const double slack = 0.5 * sw_post_step(c->run->post) + NOISE;
    return fabs(read.r - asked.r) <= slack && fabs(read.z - asked.z) <= slack;
}

static enum sw_status hold_straight(struct sw_trial_comparer *c, const struct sw_path_event *e)
{
    const bool is_rapid = e->kind == SW_PATH_RAPID;
    const char *what = is_rapid ? "rapid" : "line";
    const enum sw_motion_kind kind = is_rapid ? SW_MOTION_RAPID : SW_MOTION_LINE;
    const struct sw_motion_event *m;
    const char *asked = place(c, what, e->to);
    SW_TRY(take(c, &m, kind, kind, asked));
    if (!m)
        return SW_OK;
    const struct sw_pt to = sw_trial_own(c, m->to);
    if (!is_there(c, e->to, to))
        SW_TRY(differ(c, m, asked, place(c, what, to), sw_trial_why_place(c, e->to, m)));
    return is_rapid ? SW_OK : hold_modes(c, m, e->feed);
}

/* Of an arc as read, above 0 [rad]. */
static double sweep_of(const struct sw_motion_event *m)
{
    const double full = 2 * acos(-1);
    const double a = atan2(m->from.x - m->centre.x, m->from.z - m->centre.z);
    const double b = atan2(m->to.x - m->centre.x, m->to.z - m->centre.z);
    const double sweep = (b - a) * m->turn;
    if (m->is_full_turn)
        return full;
    return sweep < 0 ? sweep + full : sweep;
}

/* A point of a piece, SHARE of its way, as the motion has it. */
static struct sw_motion_pt point_of(const struct sw_motion_event *m, double share)
{
    if (m->kind != SW_MOTION_ARC)
        return (struct sw_motion_pt){m->from.x + share * (m->to.x - m->from.x),
                                     m->from.z + share * (m->to.z - m->from.z)};
    const double a = atan2(m->from.x - m->centre.x, m->from.z - m->centre.z);
    const double angle = a + share * sweep_of(m) * m->turn;
    const double radius = m->radius_from + share * (m->radius_to - m->radius_from);
    return (struct sw_motion_pt){m->centre.x + radius * sin(angle),
                                 m->centre.z + radius * cos(angle)};
}

/* How far a piece strays from the asked circle [mm]. */
static double strays(const struct sw_trial_comparer *c, const struct sw_motion_event *m,
                     const struct sw_path_event *e)
{
    const double radius = sw_pt_distance(e->to, e->centre);
    double worst = 0;
    for (int i = 0; i <= SAMPLES; i++) {
        const struct sw_pt at = sw_trial_own(c, point_of(m, (double)i / SAMPLES));
        worst = fmax(worst, fabs(sw_pt_distance(at, e->centre) - radius));
    }
    return worst;
}

static const char *arc_text(const struct sw_trial_comparer *c, int turn, struct sw_pt to,
                            struct sw_pt centre, double radius)
{
    return sw_arena_printf(arena_of(c), "arc G%d to X %.4f Z %.4f about X %.4f Z %.4f, radius %.4f",
                           turn > 0 ? 3 : 2, to.r, to.z, centre.r, centre.z, radius);
}

static const char *piece_text(const struct sw_trial_comparer *c, const struct sw_motion_event *m)
{
    const struct sw_pt to = sw_trial_own(c, m->to);
    return m->kind == SW_MOTION_ARC
               ? arc_text(c, m->turn, to, sw_trial_own(c, m->centre), m->radius_from)
               : place(c, "line", to);
}

static const char *why_piece(const struct sw_trial_comparer *c, const struct sw_path_event *e,
                             const struct sw_motion_event *m)
{
    if (m->kind == SW_MOTION_ARC && m->turn != e->turn)
        return "`words.arc_cw` and `words.arc_ccw`: the senses are the wrong way round";
    /* Where the end of the last piece is right it is the arc that is wrong, not the place. */
    const struct sw_motion_event *last = peek(c, c->end - 1);
    return is_there(c, e->to, sw_trial_own(c, last->to)) ? sw_trial_why_missing(c->run, e)
                                                         : sw_trial_why_place(c, e->to, last);
}

static bool is_piece_good(const struct sw_trial_comparer *c, const struct sw_path_event *e,
                          const struct sw_motion_event *m)
{
    const double most = fmax(ARC_OFF, c->run->can.chord_error) + sw_post_step(c->run->post);
    if (strays(c, m, e) > most)
        return false;
    return m->kind != SW_MOTION_ARC ||
           (m->turn == e->turn && fabs(m->radius_from - m->radius_to) <= ARC_OFF + NOISE);
}

/* All pieces up to its end; the first that is wrong is told. */
static enum sw_status hold_arc(struct sw_trial_comparer *c, const struct sw_path_event *e)
{
    const char *asked = arc_text(c, e->turn, e->to, e->centre, sw_pt_distance(e->to, e->centre));
    const struct sw_motion_event *m;
    bool is_told = false;
    SW_TRY(take(c, &m, SW_MOTION_ARC, SW_MOTION_LINE, asked));
    if (!m)
        return SW_OK;
    SW_TRY(hold_modes(c, m, e->feed));
    for (; m; c->next++) {
        if (!is_told && !is_piece_good(c, e, m)) {
            SW_TRY(differ(c, m, asked, piece_text(c, m), why_piece(c, e, m)));
            is_told = true;
        }
        const struct sw_motion_event *next = c->next < c->end ? peek(c, c->next) : NULL;
        if (!next || (next->kind != SW_MOTION_ARC && next->kind != SW_MOTION_LINE))
            break;
        m = next;
    }
    const struct sw_pt to = sw_trial_own(c, m->to);
    if (!is_told && !is_there(c, e->to, to))
        return fault_of(c) ? tell_missing(c, asked, sw_trial_why_missing(c->run, e))
                           : differ(c, m, asked, piece_text(c, m), sw_trial_why_place(c, e->to, m));
    return SW_OK;
}

/* What stands behind the lines of a start or a stop. Where the spindle is switched by hand those of
 * a start hold a stop for that; those of a stop may, for the stop of the pause will do. */
static enum sw_status hold_start(struct sw_trial_comparer *c, const struct sw_path_event *e)
{
    c->is_turning = e->kind == SW_PATH_SPINDLE;
    if (c->is_turning) {
        c->is_ccw = e->is_ccw;
        c->speed = e->speed;
        c->is_surface_speed = e->is_surface_speed;
        c->speed_clamp = e->speed_clamp;
    }
    if (c->run->machine->control.spindle_words.value != 1) {
        const struct sw_motion_event *m;
        const bool may_go_on = c->next == c->end || is_nothing(peek(c, c->next));
        if (!c->is_turning && may_go_on)
            return SW_OK;
        return take(c, &m, SW_MOTION_PAUSE, SW_MOTION_PAUSE,
                    "a stop to switch the spindle by hand");
    }
    const struct sw_motion_event *last = c->end > c->begin ? peek(c, c->end - 1) : peek(c, c->end);
    return last ? hold_spindle(c, last)
                : tell_missing(c, c->is_turning ? "the spindle starts" : "the spindle stops",
                               sw_trial_why_missing(c->run, e));
}

static enum sw_status hold_tool(struct sw_trial_comparer *c, const struct sw_path_event *e)
{
    const struct sw_motion_event *m;
    c->station = e->station;
    if (sw_post_is_file_per_tool(c->run->post))
        return SW_OK;
    const char *asked = sw_arena_printf(arena_of(c), "tool %d", e->station);
    SW_TRY(take(c, &m, SW_MOTION_TOOL, SW_MOTION_TOOL, asked));
    if (m && m->state.tool != e->station)
        return differ(c, m, asked, sw_arena_printf(arena_of(c), "tool %d", m->state.tool),
                      sw_trial_why_missing(c->run, e));
    return SW_OK;
}

static enum sw_status hold_pause(struct sw_trial_comparer *c)
{
    const struct sw_motion_event *m;
    SW_TRY(take(c, &m, SW_MOTION_PAUSE, SW_MOTION_PAUSE, "a stop for the operator"));
    if (!m)
        return SW_OK;
    SW_TRY(hold_spindle(c, m));
    if (m->is_optional)
        SW_TRY(differ(c, m, "a stop for the operator", "a stop that a switch can leave out (M1)",
                      "`lines.pause`: M0"));
    while (c->next < c->end &&
           (is_nothing(peek(c, c->next)) || (peek(c, c->next)->kind == SW_MOTION_TOOL &&
                                             peek(c, c->next)->state.tool == c->station)))
        c->next++; /* its offset is taken up anew */
    return SW_OK;
}

static enum sw_status hold_dwell(struct sw_trial_comparer *c, const struct sw_path_event *e)
{
    const struct sw_motion_event *m;
    const char *asked = sw_arena_printf(arena_of(c), "a wait of %g s", e->seconds);
    SW_TRY(take(c, &m, SW_MOTION_DWELL, SW_MOTION_DWELL, asked));
    if (!m || (m->seconds >= e->seconds - NOISE &&
               m->seconds <= e->seconds + c->run->can.seconds_step + NOISE))
        return SW_OK;
    return differ(c, m, asked, sw_arena_printf(arena_of(c), "a wait of %g s", m->seconds),
                  sw_trial_why_dwell(e->seconds, m->seconds));
}

static enum sw_status hold_second(struct sw_trial_comparer *c, const struct sw_path_event *e)
{
    static const char *const way[] = {"the second spindle leaves", "the second spindle takes"};
    const struct sw_motion_event *m;
    SW_TRY(take(c, &m, SW_MOTION_SECOND, SW_MOTION_SECOND, way[e->is_on]));
    if (!m || m->is_taken == e->is_on)
        return SW_OK;
    return differ(c, m, way[e->is_on], way[m->is_taken],
                  "`lines.second_takes` and `lines.second_leaves`: the wrong way round");
}

static enum sw_status hold_event(struct sw_trial_comparer *c, const struct sw_path_event *e)
{
    switch (e->kind) {
    case SW_PATH_COMMENT:
    case SW_PATH_SECTION:
    case SW_PATH_END: /* writes nothing; the tail follows each program */
        return SW_OK;
    case SW_PATH_TOOL:
        return hold_tool(c, e);
    case SW_PATH_SPINDLE:
    case SW_PATH_STOP:
        return hold_start(c, e);
    case SW_PATH_RAPID:
    case SW_PATH_LINE:
        return hold_straight(c, e);
    case SW_PATH_ARC:
        return hold_arc(c, e);
    case SW_PATH_DWELL:
        return hold_dwell(c, e);
    case SW_PATH_PAUSE:
        return hold_pause(c);
    case SW_PATH_SECOND:
        return hold_second(c, e);
    case SW_PATH_CORRECT:
        c->corrected += (e->is_on ? 1 : -1) * c->run->correction[e->correction];
        return SW_OK;
    }
    return SW_INTERNAL;
}

/* What is left of the event's motions or of its lines was not asked for. */
static enum sw_status hold_rest(struct sw_trial_comparer *c, size_t n_before)
{
    for (; c->next < c->end; c->next++)
        if (!is_nothing(peek(c, c->next)))
            SW_TRY(tell_more(c, peek(c, c->next)));
    if (fault_of(c) && c->run->found->differences.n == n_before)
        return tell_missing(c, "lines that the control reads", "the lines of this event");
    return SW_OK;
}

/* Lines from LINE up to END_LINE are next. */
static void choose_lines(struct sw_trial_comparer *c, size_t line, size_t end_line)
{
    const struct sw_motion *motion = &c->run->motion[c->program];
    c->line = line;
    c->end_line = end_line;
    c->begin = c->end;
    while (c->begin < motion->n && motion->at[c->begin].line < line)
        c->begin++;
    for (c->end = c->begin; c->end < motion->n && motion->at[c->end].line < end_line;)
        c->end++;
    c->next = c->begin;
}

static enum sw_status hold_program(struct sw_trial_comparer *c)
{
    const struct sw_post_program *program = &c->run->programs.at[c->program];
    const struct sw_motion_event *m;
    c->end = 0;
    c->event = program->first_event;
    size_t n_before = c->run->found->differences.n;
    choose_lines(c, 1, program->event_line[0]);
    SW_TRY(hold_rest(c, n_before));
    for (size_t i = 0; i < program->n_events; i++) {
        const bool is_last = i + 1 == program->n_events;
        c->event = program->first_event + i;
        n_before = c->run->found->differences.n;
        choose_lines(c, program->event_line[i],
                     is_last ? program->tail_line : program->event_line[i + 1]);
        SW_TRY(hold_event(c, asked_event(c)));
        SW_TRY(hold_rest(c, n_before));
    }
    n_before = c->run->found->differences.n;
    choose_lines(c, program->tail_line, SIZE_MAX);
    SW_TRY(take(c, &m, SW_MOTION_END, SW_MOTION_END, "the end of the program"));
    return hold_rest(c, n_before);
}

enum sw_status sw_trial_compare(struct sw_trial_run *run)
{
    struct sw_trial_comparer c = {.run = run};
    for (; c.program < run->programs.n; c.program++)
        SW_TRY(hold_program(&c));
    return SW_OK;
}
