/* A spindle that no word of the program acts on. What the person does to it stands in the setup
 * record; the text shows only that the program waits there. So the record is believed, held against
 * the text where that can be done, and said to be believed. */
#include <math.h>
#include <string.h>

#include "verify/judge.h"

static bool is_by_hand(const struct sw_shop *shop)
{
    return shop->machine->control.spindle_words.value == 0;
}

/* What the record says of program I, in the order of work; NULL beyond its end. */
static const struct sw_setup_program *record_of(const struct sw_setup *setup, size_t program)
{
    const struct sw_setup_side *side = setup->sides.at;
    for (size_t i = 0; i < setup->sides.n; program -= side[i].programs.n, i++)
        if (program < side[i].programs.n)
            return (const struct sw_setup_program *)side[i].programs.at + program;
    return NULL;
}

/* What is done at the stop in LINE; 0: before the program starts, and at stops of no other entry.
 */
static const struct sw_setup_switch *switch_at(const struct sw_setup_program *record, double line)
{
    const struct sw_setup_switch *at = record->spindle.at;
    for (size_t i = 0; i < record->spindle.n; i++)
        if (line > 0 ? at[i].line.given && at[i].line.value == line : !at[i].line.given)
            return &at[i];
    return NULL;
}

static void turn(struct sw_motion_state *state, const struct sw_setup_switch *to)
{
    static const enum sw_motion_spindle senses[] = {[SW_SETUP_STOP] = SW_MOTION_STOPPED,
                                                    [SW_SETUP_M3] = SW_MOTION_CW,
                                                    [SW_SETUP_M4] = SW_MOTION_CCW};
    if (to == NULL)
        return;
    state->spindle = senses[to->turn.value];
    state->speed = to->speed.given ? to->speed.value : 0;
}

static enum sw_status with_hands(const struct sw_motion **out, const struct sw_motion *motion,
                                 const struct sw_setup_program *record, struct sw_ctx *ctx)
{
    struct sw_motion *copy = SW_NEW(ctx->arena, struct sw_motion, 1);
    struct sw_motion_event *event = SW_NEW(ctx->arena, struct sw_motion_event, motion->n);
    if (copy == NULL || event == NULL)
        return SW_MEMORY;
    struct sw_motion_state now = {0};
    turn(&now, switch_at(record, 0));
    for (size_t i = 0; i < motion->n; i++) {
        event[i] = motion->at[i];
        event[i].state.spindle = now.spindle;
        event[i].state.speed = now.speed;
        event[i].state.is_surface_speed = false;
        if (event[i].kind != SW_MOTION_PAUSE)
            continue;
        turn(&now, switch_at(record, event[i].line)); /* others: off and on again as it was */
    }
    *copy = *motion;
    copy->at = event;
    copy->cap = motion->n;
    *out = copy;
    return SW_OK;
}

enum sw_status sw_judge_by_hand(const struct sw_verify_program **out,
                                const struct sw_verify_program *program, size_t n_programs,
                                const struct sw_setup *setup, const struct sw_shop *shop,
                                struct sw_ctx *ctx)
{
    *out = program;
    if (!is_by_hand(shop))
        return SW_OK;
    struct sw_verify_program *copy = SW_NEW(ctx->arena, struct sw_verify_program, n_programs);
    if (copy == NULL)
        return SW_MEMORY;
    bool is_complete = true;
    for (size_t i = 0; i < n_programs; i++) {
        const struct sw_setup_program *record = record_of(setup, i);
        copy[i] = program[i];
        if (record->spindle.n == 0) {
            is_complete = false;
            sw_diag_add(ctx->diag, SW_ERROR, "verify.by-hand", record->file.at,
                        "write under `programs` of the setup record, for example: "
                        "spindle: [{turn: M3, speed: 4000}]",
                        "the spindle of %s is switched by hand (control: spindle_words), and the "
                        "setup record does not say how it turns in %s",
                        shop->machine->name.value, program[i].name);
            continue;
        }
        SW_TRY(with_hands(&copy[i].motion, program[i].motion, record, ctx));
    }
    *out = copy;
    return is_complete ? SW_OK : SW_INPUT;
}

static bool waits_in(const struct sw_motion *motion, double line)
{
    for (size_t i = 0; i < motion->n; i++)
        if (motion->at[i].kind == SW_MOTION_PAUSE && motion->at[i].line == line)
            return true;
    return false;
}

static enum sw_status check_line(struct sw_judge *judge, const struct sw_motion *motion,
                                 const struct sw_setup_switch *at)
{
    if (!at->line.given || waits_in(motion, at->line.value))
        return SW_OK;
    const bool is_on = at->turn.value != SW_SETUP_STOP;
    struct sw_finding finding = sw_judge_at(
        judge, is_on ? SW_FINDING_SPINDLE_STOPPED : SW_FINDING_PAUSE_WHILE_TURNING, SW_ERROR, NULL);
    finding.line = (uint32_t)at->line.value;
    return sw_judge_add(judge, finding, 300 + (int)at->line.value,
                        "the setup record has the spindle switched %s by hand in line %.0f, and "
                        "the program does not wait there (M0)",
                        is_on ? "on" : "off", at->line.value);
}

static enum sw_status check_speed(struct sw_judge *judge, const struct sw_setup_switch *at)
{
    const struct sw_machine_spindle *spindle = &judge->shop->machine->spindle;
    const struct sw_number *step = spindle->speeds.at;
    const double speed = at->speed.value;
    if (at->turn.value == SW_SETUP_STOP)
        return SW_OK;
    struct sw_finding finding = sw_judge_at(judge, SW_FINDING_OVERSPEED, SW_ERROR, NULL);
    finding.line = at->line.given ? (uint32_t)at->line.value : 0;
    finding.value = speed;
    finding.unit = "rev/min";
    judge->fastest = fmax(judge->fastest, fmin(speed, spindle->most_speed.value));
    if (speed > spindle->most_speed.value) {
        finding.limit = spindle->most_speed.value;
        return sw_judge_add(judge, finding, 1,
                            "%.0f rev/min are to be set by hand; the spindle has at most %.0f",
                            speed, finding.limit);
    }
    if (speed < spindle->least_speed.value) {
        finding.limit = spindle->least_speed.value;
        return sw_judge_add(judge, finding, 2,
                            "%.0f rev/min are to be set by hand; the spindle has at least %.0f",
                            speed, finding.limit);
    }
    bool is_step = spindle->speeds.n == 0;
    for (size_t i = 0; i < spindle->speeds.n; i++)
        is_step = is_step || step[i].value == speed;
    if (is_step)
        return SW_OK;
    return sw_judge_add(judge, finding, 3,
                        "%.0f rev/min are to be set by hand, and this spindle has no such step "
                        "(spindle: speeds)",
                        speed);
}

enum sw_status sw_judge_hands(struct sw_judge *judge)
{
    if (!is_by_hand(judge->shop))
        return SW_OK;
    const struct sw_setup_program *record = record_of(judge->setup, judge->program_now);
    const struct sw_motion *motion = judge->program[judge->program_now].motion;
    const struct sw_setup_switch *at = record->spindle.at;
    for (size_t i = 0; i < record->spindle.n; i++) {
        SW_TRY(check_line(judge, motion, &at[i]));
        SW_TRY(check_speed(judge, &at[i]));
    }
    if (judge->program_now > 0)
        return SW_OK;
    return sw_judge_add(judge, sw_judge_finding(SW_FINDING_PAUSE_WHILE_TURNING, SW_WARNING), 300,
                        "the spindle is switched by hand: that it turns at the speed, in the sense "
                        "and at the stops %s, and stands while hands are near, is believed and not "
                        "proved%s",
                        judge->setup->staff.value != NULL ? "of the setup record" : "told",
                        judge->setup->staff.value != NULL ? "; the sheet says each time what to do"
                                                          : "");
}

bool sw_judge_is_switched_at(const struct sw_judge *judge, const struct sw_motion_event *event)
{
    const struct sw_setup_program *record = record_of(judge->setup, judge->program_now);
    return is_by_hand(judge->shop) &&
           (switch_at(record, event->line) != NULL || switch_at(record, 0) != NULL);
}
