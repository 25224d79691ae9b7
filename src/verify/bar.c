/* A run: pieces cut one after the other from a bar that is pushed against a stop before each.
 *
 * The text is taken apart at the pauses with the stop in use. Where the stop's face stands at such
 * a pause the bar ends from there on; so each stretch is judged as the first side of one piece,
 * from a rod that ends there, and the piece goes on through its later sides. What a stretch leaves
 * in the holder is what the next advance begins with. Closing may leave the end behind the face:
 * work and tools are judged with the bar at its longest, the end face with it at its shortest.
 * Pieces cut by the same moves are judged once. */
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "geom/tol.h"
#include "verify/judge.h"

/* Before the first piece nothing of the bar stands out of the holder but this [mm]. */
#define BAR_SHOWS 0.01

/* The events after one advance and before the next. */
struct stretch {
    size_t program, first, end;
    const struct sw_motion_event *pause; /* that advances the bar; NULL: before the first */
    double face_z;                       /* of the stop at it, frame of the run */
};

struct run {
    struct sw_ctx *ctx;
    struct sw_verdict *verdict;
    const struct sw_verify_program *program;
    const struct sw_verify_piece *piece;
    const struct sw_setup *setup;
    const struct sw_setup_side *side;
    const struct sw_setup_run *record;
    const struct sw_shop *shop;
    const struct sw_setup_station *stop; /* NULL: not among the stations */
    const struct sw_tool *face;          /* NULL: the shop has no stop there */
    size_t n_programs;
    bool by_referee;
    SW_VEC(struct stretch) stretch;
    double left; /* of the bar now, from its end to its rear [mm] */
};

static const struct sw_setup_piece *piece_of(const struct run *run, size_t i)
{
    return &((const struct sw_setup_piece *)run->record->pieces.at)[i];
}

static enum sw_status judge_by(struct sw_verdict **out, const struct run *run,
                               const struct sw_verify_program *program, size_t n,
                               const struct sw_setup *setup, const struct sw_shape *shape)
{
    return (run->by_referee ? sw_verify_by_referee : sw_verify_run)(out, program, n, setup,
                                                                    run->shop, shape, run->ctx);
}

static SW_PRINTF(4, 5) enum sw_status
    add(struct run *run, struct sw_finding finding, const struct sw_motion_event *event,
        const char *format, ...)
{
    char text[400];
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    finding.line = event != NULL ? event->line : 0;
    finding.chucking = 1;
    finding.message = sw_arena_copy(run->ctx->arena, text, strlen(text));
    return finding.message != NULL ? sw_verdict_add(run->verdict, finding, run->ctx) : SW_MEMORY;
}

static struct sw_finding error_in(const struct run *run, enum sw_finding_code code, size_t program)
{
    struct sw_finding finding = sw_judge_finding(code, SW_ERROR);
    finding.program = run->program[program].name;
    return finding;
}

/* The stop's station is in use: by the tool word, or by its coordinate system. */
static bool is_stop_in_use(const struct run *run, const struct sw_motion_event *event)
{
    const struct sw_control *control = &run->shop->machine->control;
    if (run->stop == NULL)
        return false;
    if (control->tool_words.value == 1)
        return event->state.tool == (int)run->stop->station.value;
    return run->stop->system.value > 0 && event->state.system == (int)run->stop->system.value;
}

static bool is_advance(const struct run *run, const struct sw_motion_event *event)
{
    return event->kind == SW_MOTION_PAUSE && is_stop_in_use(run, event);
}

/* Where the controlled point stands at event I: every move says where it goes, and before the first
 * it is where the record parks it. */
static struct sw_motion_pt place_at(const struct run *run, const struct sw_motion *motion, size_t i)
{
    while (i > 0) {
        const struct sw_motion_event *event = &motion->at[--i];
        if (event->kind == SW_MOTION_RAPID || event->kind == SW_MOTION_LINE ||
            event->kind == SW_MOTION_ARC)
            return event->to;
    }
    return (struct sw_motion_pt){run->side->park_x.value, run->side->park_z.value};
}

static enum sw_status take_apart(struct run *run)
{
    for (size_t p = 0; p < run->n_programs; p++) {
        const struct sw_motion *motion = run->program[p].motion;
        struct stretch now = {.program = p};
        for (size_t i = 0; i < motion->n; i++) {
            if (!is_advance(run, &motion->at[i]))
                continue;
            now.end = i;
            if (!SW_VEC_PUSH(run->ctx->arena, &run->stretch, now))
                return SW_MEMORY;
            now = (struct stretch){.program = p,
                                   .first = i + 1,
                                   .pause = &motion->at[i],
                                   .face_z = place_at(run, motion, i).z - run->stop->zero_z.value};
        }
        now.end = motion->n;
        if (!SW_VEC_PUSH(run->ctx->arena, &run->stretch, now))
            return SW_MEMORY;
    }
    return SW_OK;
}

/* The line that brings the stop into use for a stretch. */
static uint32_t called_at(const struct run *run, const struct stretch *at)
{
    const struct sw_motion *motion = run->program[at->program].motion;
    size_t i = at->first - 1; /* the pause */
    while (i > 0 && is_stop_in_use(run, &motion->at[i - 1]) && !is_advance(run, &motion->at[i - 1]))
        i--;
    return motion->at[i].line;
}

static void find_stop(struct run *run)
{
    const struct sw_setup_station *station = run->side->stations.at;
    for (size_t i = 0; i < run->side->stations.n; i++)
        if (station[i].station.value == run->record->stop.value)
            run->stop = &station[i];
    const struct sw_tool *tool = sw_shop_tool(run->shop, (int)run->record->stop.value);
    if (run->stop != NULL && tool != NULL && !sw_tool_cuts(tool))
        run->face = tool;
}

/* The moves of a stretch as a program of its own. What is wrong with the text is told with the
 * first stretch of it. */
static enum sw_status cut_out(struct sw_verify_program *out, const struct run *run,
                              const struct stretch *at)
{
    const struct sw_verify_program *program = &run->program[at->program];
    struct sw_motion *motion = SW_NEW(run->ctx->arena, struct sw_motion, 1);
    if (motion == NULL)
        return SW_MEMORY;
    *motion = *program->motion;
    motion->at = program->motion->at + at->first;
    motion->n = motion->cap = at->end - at->first;
    if (at->end < program->motion->n)
        motion->has_ended = true; /* goes on in the next stretch */
    *out =
        (struct sw_verify_program){program->name, motion, program->text_is_wrong && at->first == 0};
    return SW_OK;
}

/* The side of the run as one piece has it: its finished end face at z = 0, the bar's end at END_Z
 * of the run. */
static enum sw_status side_for(struct sw_setup_side *out, const struct run *run,
                               const struct stretch *at, double at_z, double end_z)
{
    const size_t n = run->side->stations.n;
    struct sw_setup_station *station = SW_NEW(run->ctx->arena, struct sw_setup_station, n);
    if (station == NULL)
        return SW_MEMORY;
    *out = *run->side;
    for (size_t i = 0; i < n; i++) {
        station[i] = ((const struct sw_setup_station *)run->side->stations.at)[i];
        station[i].zero_z.value += at_z;
    }
    const struct sw_setup_program *file = run->side->programs.at;
    out->stations.at = station;
    out->programs = (struct sw_list){.at = (void *)&file[at->program], .n = 1, .given = true};
    out->run = (struct sw_setup_run){0};
    out->nose_z.value -= at_z;
    out->rod_end_z.value = end_z - at_z;
    const struct sw_motion_pt park = place_at(run, run->program[at->program].motion, at->first);
    out->park_x.value = park.x;
    out->park_z.value = park.z;
    return SW_OK;
}

static void add_times(struct sw_program_verdict *to, const struct sw_program_verdict *more)
{
    to->n_moves += more->n_moves;
    to->seconds += more->seconds;
    to->removed_mm3 += more->removed_mm3;
    to->time.cutting += more->time.cutting;
    to->time.moving += more->time.moving;
    to->time.changing += more->time.changing;
    to->time.waiting += more->time.waiting;
}

/* What is done before the bar is there, judged with the holder as good as empty. */
static enum sw_status judge_empty(struct run *run, const struct stretch *at)
{
    struct sw_setup_side side;
    struct sw_setup setup = *run->setup;
    struct sw_verify_program program;
    struct sw_verdict *found = NULL;
    SW_TRY(side_for(&side, run, at, 0, run->side->nose_z.value + BAR_SHOWS));
    SW_TRY(cut_out(&program, run, at));
    setup.staff = (struct sw_text){0};
    setup.sides = (struct sw_list){.at = &side, .n = 1, .given = true};
    SW_TRY(judge_by(&found, run, &program, 1, &setup, NULL));
    for (size_t i = 0; i < found->findings.n; i++)
        if (found->findings.at[i].code != SW_FINDING_SIZE) /* of nothing no size is known */
            SW_TRY(sw_verdict_add(run->verdict, found->findings.at[i], run->ctx));
    add_times(&run->verdict->program[at->program], &found->program[0]);
    return SW_OK;
}

static double tip_of(const struct sw_verify_piece *piece, const struct sw_setup_side *first)
{
    const struct sw_box box = sw_contour_box(&piece->shape->turned);
    return first->end.value == 1 ? box.z1 - piece->shape->staff->total : -box.z0;
}

static enum sw_status check_stop(struct run *run, const struct stretch *at, size_t number)
{
    const struct sw_motion_event *pause = at->pause;
    const struct sw_motion_pt place =
        place_at(run, run->program[at->program].motion, at->first - 1);
    const bool is_turning = pause->state.spindle != SW_MOTION_STOPPED && pause->state.speed > 0;
    if (is_turning && run->shop->machine->control.spindle_words.value == 1)
        SW_TRY(add(run, error_in(run, SW_FINDING_PAUSE_WHILE_TURNING, at->program), pause,
                   "piece %zu: the holder is opened while the spindle turns; stop it before this "
                   "line",
                   number));
    struct sw_finding finding = error_in(run, SW_FINDING_ADVANCE, at->program);
    finding.unit = "mm";
    finding.value = fabs(place.x - run->stop->zero_x.value);
    finding.limit = run->face->width.value / 2;
    if (finding.value > finding.limit)
        SW_TRY(add(run, finding, pause,
                   "piece %zu: the middle of the stop stands %.3f mm from the axis, and its face "
                   "is %.3f mm wide: the bar passes it",
                   number, finding.value, run->face->width.value));
    return SW_OK;
}

/* Is there bar enough, and does its end stand where the piece begins? */
static enum sw_status check_bar(struct run *run, const struct stretch *at, size_t i, double tip)
{
    struct sw_piece_verdict *verdict = &run->verdict->piece.at[i];
    struct sw_finding finding = error_in(run, SW_FINDING_ADVANCE, at->program);
    finding.unit = "mm";
    verdict->bar_mm = run->left;
    verdict->gripped_mm = run->left - (at->face_z - run->side->nose_z.value);
    finding.value = verdict->gripped_mm;
    finding.limit = run->side->grip_length.value;
    if (finding.value < finding.limit - SW_TOL_SLIVER)
        SW_TRY(add(run, finding, at->pause,
                   "piece %zu: %.2f mm are left of the bar; standing out %.2f mm it is held on "
                   "%.2f mm, and the record grips %.2f mm",
                   i + 1, run->left, at->face_z - run->side->nose_z.value, finding.value,
                   finding.limit));
    finding.value = at->face_z - run->record->closing_loses.value;
    finding.limit = tip + piece_of(run, i)->at_z.value;
    if (finding.value >= finding.limit - SW_TOL_SLIVER)
        return SW_OK;
    return add(run, finding, at->pause,
               "piece %zu: closing may leave the bar's end %.3f mm behind the stop, at z %.3f; the "
               "turned end face stands at z %.3f",
               i + 1, run->record->closing_loses.value, finding.value, finding.limit);
}

static bool is_same_event(const struct sw_motion_event *a, const struct sw_motion_event *b)
{
    const struct sw_motion_state *s = &a->state, *t = &b->state;
    const double p[] = {a->from.x,   a->from.z,   a->to.x,        a->to.z,
                        a->centre.x, a->centre.z, a->radius_from, a->radius_to,
                        a->seconds,  s->speed,    s->speed_clamp, s->feed};
    const double q[] = {b->from.x,   b->from.z,   b->to.x,        b->to.z,
                        b->centre.x, b->centre.z, b->radius_from, b->radius_to,
                        b->seconds,  t->speed,    t->speed_clamp, t->feed};
    for (size_t i = 0; i < sizeof p / sizeof *p; i++)
        if (p[i] < q[i] || p[i] > q[i])
            return false;
    return a->kind == b->kind && a->turn == b->turn && a->is_full_turn == b->is_full_turn &&
           a->is_optional == b->is_optional && s->tool == t->tool &&
           s->selected_tool == t->selected_tool && s->system == t->system &&
           s->spindle == t->spindle && s->is_surface_speed == t->is_surface_speed &&
           s->feed_mode == t->feed_mode && s->is_continuous == t->is_continuous &&
           s->coolant == t->coolant;
}

/* Cut by the same moves from a bar that ends at the same place, to the same shape. */
static bool is_same_piece(const struct run *run, size_t i, const struct stretch *a, size_t k,
                          const struct stretch *b)
{
    const struct sw_motion *p = run->program[a->program].motion;
    const struct sw_motion *q = run->program[b->program].motion;
    if (run->piece[i].setup != run->piece[k].setup || a->end - a->first != b->end - b->first ||
        piece_of(run, i)->at_z.value < piece_of(run, k)->at_z.value ||
        piece_of(run, i)->at_z.value > piece_of(run, k)->at_z.value || a->face_z < b->face_z ||
        a->face_z > b->face_z)
        return false;
    for (size_t e = 0; e < a->end - a->first; e++)
        if (!is_same_event(&p->at[a->first + e], &q->at[b->first + e]))
            return false;
    return true;
}

static void keep_worst(struct sw_verdict_worst *worst, const struct sw_verdict_worst *found,
                       bool least)
{
    const bool is_worse = least ? found->high < worst->high : found->high > worst->high;
    if (isnan(worst->high) || is_worse)
        *worst = *found;
}

static enum sw_status take_findings(struct run *run, const struct sw_verdict *found, size_t i)
{
    for (size_t k = 0; k < found->findings.n; k++) {
        struct sw_finding finding = found->findings.at[k];
        finding.message = sw_arena_printf(run->ctx->arena, "piece %zu: %s", i + 1, finding.message);
        if (finding.message == NULL)
            return SW_MEMORY;
        SW_TRY(sw_verdict_add(run->verdict, finding, run->ctx));
    }
    keep_worst(&run->verdict->deflection_um, &found->deflection_um, false);
    keep_worst(&run->verdict->stress_mpa, &found->stress_mpa, false);
    keep_worst(&run->verdict->safety, &found->safety, true);
    return SW_OK;
}

static enum sw_status verify(struct sw_verdict **out, struct run *run, const struct stretch *at,
                             size_t i)
{
    const struct sw_verify_piece *piece = &run->piece[i];
    const struct sw_setup_side *own = piece->setup->sides.at;
    const size_t n_sides = piece->setup->sides.n;
    struct sw_setup setup = *piece->setup;
    struct sw_setup_side *side = SW_NEW(run->ctx->arena, struct sw_setup_side, n_sides);
    struct sw_verify_program *program =
        SW_NEW(run->ctx->arena, struct sw_verify_program, 1 + piece->n_later);
    if (side == NULL || program == NULL)
        return SW_MEMORY;
    memcpy(side, own, n_sides * sizeof *side);
    SW_TRY(side_for(&side[0], run, at, piece_of(run, i)->at_z.value, at->face_z));
    side[0].end = own[0].end;
    setup.sides = (struct sw_list){.at = side, .n = n_sides, .given = true};
    SW_TRY(cut_out(&program[0], run, at));
    for (size_t k = 0; k < piece->n_later; k++)
        program[k + 1] = piece->later[k];
    return judge_by(out, run, program, 1 + piece->n_later, &setup, piece->shape);
}

/* One piece, by the stretch that cuts it. DONE: the verdicts of those before it, by piece. */
static enum sw_status judge_piece(struct run *run, const struct stretch *const *cut,
                                  const struct sw_verdict **done, size_t i)
{
    const struct stretch *at = cut[i];
    struct sw_piece_verdict *verdict = &run->verdict->piece.at[i];
    const size_t n_before = run->verdict->findings.n;
    const struct sw_setup_side *own = run->piece[i].setup->sides.at;
    const struct sw_motion *motion = run->program[at->program].motion;
    *verdict = (struct sw_piece_verdict){.name = piece_of(run, i)->setup.value,
                                         .program = run->program[at->program].name,
                                         .line = called_at(run, at),
                                         .pause = at->pause->line,
                                         .end = motion->n > at->end ? motion->at[at->end].line
                                                : motion->n > 0     ? motion->at[motion->n - 1].line
                                                                    : at->pause->line,
                                         .passes = true,
                                         .as = i};
    SW_TRY(check_stop(run, at, i + 1));
    SW_TRY(check_bar(run, at, i, tip_of(&run->piece[i], own)));
    for (size_t k = 0; k < i && done[i] == NULL; k++)
        if (run->verdict->piece.at[k].as == k && is_same_piece(run, i, at, k, cut[k])) {
            verdict->as = k;
            done[i] = done[k];
        }
    if (done[i] == NULL) {
        struct sw_verdict *found = NULL;
        SW_TRY(verify(&found, run, at, i));
        done[i] = found;
        SW_TRY(take_findings(run, found, i));
    }
    const double end = done[i]->rod_end_z + piece_of(run, i)->at_z.value;
    verdict->used_mm = at->face_z - end;
    run->left -= verdict->used_mm;
    verdict->passes = done[i]->passes;
    for (size_t k = n_before; k < run->verdict->findings.n; k++)
        verdict->passes = verdict->passes && run->verdict->findings.at[k].severity != SW_ERROR;
    add_times(&run->verdict->program[at->program], &done[i]->program[0]);
    run->verdict->resolution_um = fmax(run->verdict->resolution_um, done[i]->resolution_um);
    return SW_OK;
}

static enum sw_status judge_all(struct run *run)
{
    const size_t n = run->record->pieces.n;
    const struct sw_verdict **done = SW_NEW(run->ctx->arena, const struct sw_verdict *, n);
    const struct stretch **cut = SW_NEW(run->ctx->arena, const struct stretch *, n);
    if (done == NULL || cut == NULL)
        return SW_MEMORY;
    size_t n_cut = 0, n_advances = 0;
    for (size_t i = 0; i < run->stretch.n; i++) {
        const struct stretch *at = &run->stretch.at[i];
        n_advances += at->pause != NULL;
        if (at->pause == NULL)
            SW_TRY(judge_empty(run, at));
        else if (n_cut < n) {
            cut[n_cut] = at;
            SW_TRY(judge_piece(run, cut, done, n_cut));
            n_cut++;
        }
    }
    if (n_advances == n)
        return SW_OK;
    struct sw_finding finding = error_in(run, SW_FINDING_ADVANCE, 0);
    finding.value = (double)n_advances;
    finding.limit = (double)n;
    return add(run, finding, NULL,
               "the bar is advanced %zu time%s, and the record lists %zu piece%s: a pause with the "
               "stop in use goes before each",
               n_advances, n_advances == 1 ? "" : "s", n, n == 1 ? "" : "s");
}

static enum sw_status check_record(struct run *run)
{
    struct sw_finding finding = error_in(run, SW_FINDING_ADVANCE, 0);
    if (run->face != NULL)
        return SW_OK;
    return add(run, finding, NULL, "station %d of the record has no stop in this shop",
               (int)run->record->stop.value);
}

enum sw_status sw_verify_bar(struct sw_verdict **out, const struct sw_verify_program *program,
                             size_t n_programs, const struct sw_verify_piece *piece,
                             const struct sw_setup *setup, const struct sw_shop *shop,
                             bool by_referee, struct sw_ctx *ctx)
{
    struct sw_verdict *verdict = SW_NEW(ctx->arena, struct sw_verdict, 1);
    if (verdict == NULL)
        return SW_MEMORY;
    const struct sw_setup_side *side = setup->sides.at;
    struct run run = {.ctx = ctx,
                      .verdict = verdict,
                      .program = program,
                      .n_programs = n_programs,
                      .by_referee = by_referee,
                      .piece = piece,
                      .setup = setup,
                      .side = side,
                      .record = &side->run,
                      .shop = shop,
                      .left = side->run.bar_length.value};
    const struct sw_verdict_worst nothing = {
        .nominal = (double)NAN, .high = (double)NAN, .z = (double)NAN};
    verdict->passes = true;
    verdict->length_least_mm = verdict->length_most_mm = verdict->rod_end_z = (double)NAN;
    verdict->deflection_um = verdict->stress_mpa = verdict->safety = nothing;
    verdict->program = SW_NEW(ctx->arena, struct sw_program_verdict, n_programs);
    verdict->n_programs = n_programs;
    verdict->piece.at = SW_NEW(ctx->arena, struct sw_piece_verdict, run.record->pieces.n);
    verdict->piece.n = verdict->piece.cap = run.record->pieces.n;
    if (verdict->program == NULL || verdict->piece.at == NULL)
        return SW_MEMORY;
    for (size_t i = 0; i < n_programs; i++)
        verdict->program[i] = (struct sw_program_verdict){
            .file = program[i].name, .chucking = 1, .n_blocks = program[i].motion->n_blocks};
    for (size_t i = 0; i < verdict->piece.n; i++) /* as it stands when no program comes to it */
        verdict->piece.at[i] =
            (struct sw_piece_verdict){.name = piece_of(&run, i)->setup.value, .as = i};
    find_stop(&run);
    SW_TRY(check_record(&run));
    if (run.face != NULL) {
        SW_TRY(take_apart(&run));
        SW_TRY(judge_all(&run));
    }
    *out = verdict;
    return SW_OK;
}
