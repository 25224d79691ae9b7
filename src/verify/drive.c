/* How the machine is driven: travel, speeds, spindle sense, feeds, pauses, tools and systems. */
#include <math.h>

#include "verify/judge.h"

static const double pi = 3.14159265358979323846;

/* Positions are compared with travel limits to this [mm]: a control's own rounding. */
#define TRAVEL_SLACK 1e-6

static const struct sw_sim_side *side_now(const struct sw_judge *judge)
{
    return &judge->sim->side[judge->sim->n_sides - 1];
}

static bool drives_spindle(const struct sw_judge *judge)
{
    return judge->shop->machine->control.spindle_words.value == 1;
}

double sw_judge_speed(const struct sw_judge *judge, const struct sw_motion_state *state, double r)
{
    const double most = judge->shop->machine->spindle.most_speed.value;
    if (state->spindle == SW_MOTION_STOPPED || !(state->speed > 0))
        return 0;
    if (!state->is_surface_speed)
        return state->speed;
    /* m/min over the circumference in mm; at the axis without bound */
    const double wanted = r > 0 ? state->speed * 1000 / (2 * pi * r) : HUGE_VAL;
    return state->speed_clamp > 0 ? fmin(wanted, state->speed_clamp) : fmin(wanted, most * 1e6);
}

static double axis_limit(const struct sw_list *travel, size_t i, double otherwise)
{
    const struct sw_number *limit = travel->at;
    return travel->n == 2 ? limit[i].value : otherwise;
}

static enum sw_status beyond(struct sw_judge *judge, const struct sw_motion_event *event, char axis,
                             double at, double limit)
{
    struct sw_finding finding = sw_judge_at(judge, SW_FINDING_BEYOND_TRAVEL, SW_ERROR, event);
    finding.value = at;
    finding.limit = limit;
    finding.unit = "mm";
    return sw_judge_add(judge, finding, axis,
                        "%c is sent to %.3f mm in the machine frame; its travel ends at %.3f mm",
                        axis, at, limit);
}

static enum sw_status check_axis(struct sw_judge *judge, const struct sw_motion_event *event,
                                 char axis, double low, double high, const struct sw_list *travel)
{
    const double least = axis_limit(travel, 0, -HUGE_VAL), most = axis_limit(travel, 1, HUGE_VAL);
    if (low < least - TRAVEL_SLACK)
        SW_TRY(beyond(judge, event, axis, low, least));
    if (high > most + TRAVEL_SLACK)
        SW_TRY(beyond(judge, event, axis, high, most));
    return SW_OK;
}

static enum sw_status check_travel(struct sw_judge *judge, const struct sw_motion_event *event)
{
    const struct sw_machine *machine = judge->shop->machine;
    const struct sw_sweep path = {.is_arc = event->kind == SW_MOTION_ARC,
                                  .from = {event->from.z, event->from.x},
                                  .to = {event->to.z, event->to.x},
                                  .centre = {event->centre.z, event->centre.x},
                                  .radius_from = event->radius_from,
                                  .radius_to = event->radius_to,
                                  .turn = event->turn,
                                  .is_full_turn = event->is_full_turn};
    const struct sw_box box = sw_sweep_box(&path);
    SW_TRY(check_axis(judge, event, 'X', box.r0, box.r1, &machine->travel_x));
    return check_axis(judge, event, 'Z', box.z0, box.z1, &machine->travel_z);
}

static enum sw_status check_speed(struct sw_judge *judge, const struct sw_motion_event *event,
                                  double r)
{
    const struct sw_machine_spindle *spindle = &judge->shop->machine->spindle;
    const struct sw_motion_state *state = &event->state;
    const double speed = sw_judge_speed(judge, state, r);
    if (speed == 0 || !drives_spindle(judge))
        return SW_OK; /* set by hand: judged once, in the record */
    judge->fastest = fmax(judge->fastest, fmin(speed, spindle->most_speed.value));
    struct sw_finding finding = sw_judge_at(judge, SW_FINDING_OVERSPEED, SW_ERROR, event);
    finding.value = speed;
    finding.unit = "rev/min";
    if (spindle->most_speed.value > 0 && speed > spindle->most_speed.value) {
        finding.limit = spindle->most_speed.value;
        if (state->is_surface_speed && !(state->speed_clamp > 0))
            return sw_judge_add(judge, finding, 1,
                                "surface speed %.1f m/min without a speed limit asks for more than "
                                "%.0f rev/min near the axis; the spindle has at most %.0f",
                                state->speed, finding.limit, finding.limit);
        return sw_judge_add(judge, finding, 1,
                            "%.0f rev/min are asked for; the spindle has at most %.0f", speed,
                            finding.limit);
    }
    if (!state->is_surface_speed && speed < spindle->least_speed.value) {
        finding.limit = spindle->least_speed.value;
        return sw_judge_add(judge, finding, 2,
                            "%.0f rev/min are asked for; the spindle has at least %.0f", speed,
                            finding.limit);
    }
    return SW_OK;
}

/* Only a feed move must have its tool and its system: a rapid may be on its way from one to the
 * next. */
static enum sw_status check_tool(struct sw_judge *judge, const struct sw_motion_event *event,
                                 size_t tool)
{
    const bool is_rapid = event->kind == SW_MOTION_RAPID;
    const struct sw_finding finding =
        sw_judge_at(judge, SW_FINDING_WRONG_TOOL, is_rapid ? SW_WARNING : SW_ERROR, event);
    if (tool == SW_SIM_NO_TOOL && is_rapid)
        return SW_OK;
    if (tool == SW_SIM_NO_TOOL)
        return sw_judge_add(judge, finding, 100 + event->state.tool,
                            "a feed move with tool %d, system %d: the setup record has no such "
                            "tool on this side",
                            event->state.tool, event->state.system);
    const struct sw_setup_station *station = side_now(judge)->tool[tool].station;
    const int wanted = (int)station->system.value;
    if (wanted > 0 && event->state.system != wanted)
        return sw_judge_add(judge, finding, 200 + (int)tool,
                            "tool %d (%s) moves in coordinate system %d; the setup record gives it "
                            "system %d",
                            (int)station->station.value, station->tool.value, event->state.system,
                            wanted);
    /* nobody has said what stands in a system that the record does not set */
    if (wanted == 0 && event->state.system != 1)
        return sw_judge_add(judge, finding, 200 + (int)tool,
                            "tool %d (%s) moves in coordinate system %d, of which the setup record "
                            "says nothing; it brings its offset along in system 1",
                            (int)station->station.value, station->tool.value, event->state.system);
    return SW_OK;
}

static enum sw_status check_feed(struct sw_judge *judge, const struct sw_motion_event *event)
{
    const struct sw_motion_state *state = &event->state;
    const struct sw_finding finding = sw_judge_at(judge, SW_FINDING_NO_FEED, SW_ERROR, event);
    if (!(state->feed > 0))
        return sw_judge_add(judge, finding, 1,
                            "a feed move and no feed is in force; write an F word before it");
    if (state->feed_mode == SW_MOTION_PER_TURN &&
        (state->spindle == SW_MOTION_STOPPED || !(state->speed > 0)))
        return sw_judge_add(judge, finding, 2,
                            "a feed per turn with the spindle standing still never moves");
    return SW_OK;
}

double sw_judge_feed(const struct sw_judge *judge, const struct sw_sim_move *move, double r)
{
    const struct sw_motion_state *state = &move->event->state;
    const double asked = sw_judge_speed(judge, state, r);
    const double most = judge->shop->machine->spindle.most_speed.value;
    const double rpm = most > 0 ? fmin(asked, most) : asked;
    if (state->feed_mode == SW_MOTION_PER_MINUTE)
        return rpm > 0 ? state->feed / rpm : 0;
    if (state->feed_mode == SW_MOTION_INVERSE_TIME)
        return rpm > 0 ? state->feed * move->length / rpm : 0;
    return state->feed;
}

/* Fed many times faster than the tool's file says, an edge breaks, and leaves a thread if not; by
 * what it grazes in passing neither. */
static enum sw_status check_overfeed(struct sw_judge *judge, const struct sw_sim_move *move)
{
    const struct sw_tool *tool = side_now(judge)->tool[move->tool].tool;
    const double usual = fmax(tool->rough_feed.value, tool->finish_feed.value);
    const double per_turn = sw_judge_feed(judge, move, move->removed.box.r1);
    if (!(usual > 0) || per_turn <= SW_VERIFY_FEED_SHARE * usual ||
        sw_judge_stretch_of(judge, move)->removed.depth <= SW_VERIFY_FLOOR)
        return SW_OK;
    struct sw_finding finding = sw_judge_at(judge, SW_FINDING_OVERFEED, SW_ERROR, move->event);
    finding.value = per_turn;
    finding.limit = SW_VERIFY_FEED_SHARE * usual;
    finding.unit = "mm";
    return sw_judge_add(judge, finding, (int)move->tool,
                        "%s is fed %.4f mm a turn; its file names %.4f mm for roughing, and more "
                        "than %.4f mm is taken for a slip",
                        tool->name.value, per_turn, usual, finding.limit);
}

static enum sw_status tell_thread(struct sw_judge *judge, const struct sw_motion_event *event)
{
    return sw_judge_add(judge, sw_judge_at(judge, SW_FINDING_SIZE, SW_WARNING, event), 0,
                        "a thread is judged as a groove all round and without its loads: what is "
                        "told of its place is its core");
}

static enum sw_status check_spindle(struct sw_judge *judge, const struct sw_motion_event *event,
                                    size_t tool)
{
    const struct sw_motion_state *state = &event->state;
    if (state->spindle == SW_MOTION_STOPPED || !(state->speed > 0))
        return sw_judge_add(
            judge, sw_judge_at(judge, SW_FINDING_SPINDLE_STOPPED, SW_ERROR, event), 0,
            "material is cut with the spindle standing still; start it before this line");
    if (drives_spindle(judge) && judge->turned < judge->run_up * (1 - SW_VERIFY_RUN_UP_SLACK)) {
        struct sw_finding finding =
            sw_judge_at(judge, SW_FINDING_SPINDLE_STOPPED, SW_WARNING, event);
        finding.value = judge->turned;
        finding.limit = judge->run_up;
        finding.unit = "s";
        SW_TRY(sw_judge_add(judge, finding, 1,
                            "the cut begins %.1f s after the spindle is started; it needs %.1f s "
                            "to come up to speed: write a dwell (G4) before it",
                            finding.value, finding.limit));
    }
    const struct sw_station *place = side_now(judge)->tool[tool].place;
    if (place == NULL || place->spindle.value < 0)
        return SW_OK;
    const bool wants_cw = place->spindle.value == SW_SENSE_CW;
    if (wants_cw == (state->spindle == SW_MOTION_CW))
        return SW_OK;
    return sw_judge_add(judge, sw_judge_at(judge, SW_FINDING_WRONG_WAY, SW_ERROR, event), (int)tool,
                        "station %d cuts with %s, the spindle turns by %s",
                        (int)place->number.value, wants_cw ? "M3" : "M4", wants_cw ? "M4" : "M3");
}

static enum sw_status drive_move(struct sw_judge *judge, const struct sw_motion_event *event)
{
    struct sw_sim *sim = judge->sim;
    const struct sw_sim_move *move = &sim->moves.at[sim->moves.n - 1];
    SW_TRY(check_travel(judge, event));
    SW_TRY(check_tool(judge, event, move->tool));
    if (event->kind == SW_MOTION_RAPID)
        return SW_OK;
    SW_TRY(check_feed(judge, event));
    const struct sw_box path = sw_sweep_box(&move->sweep);
    double r = fmax(0, path.r0);
    if (move->tool != SW_SIM_NO_TOOL)
        r = fmax(0, path.r0 - side_now(judge)->tool[move->tool].tool->nose_radius.value);
    SW_TRY(check_speed(judge, event, r));
    if (!move->is_cut || move->tool == SW_SIM_NO_TOOL)
        return SW_OK;
    if (!sw_tool_cuts(side_now(judge)->tool[move->tool].tool))
        return sw_judge_add(judge, sw_judge_at(judge, SW_FINDING_HOLDER_RUBS, SW_ERROR, event),
                            (int)move->tool, "%s is fed into the work; it has no edge",
                            side_now(judge)->tool[move->tool].tool->name.value);
    if (sw_judge_stretch_of(judge, move)->removed.depth > SW_VERIFY_CUT) {
        SW_TRY(check_spindle(judge, event, move->tool));
        SW_TRY(event->is_thread ? tell_thread(judge, event) : check_overfeed(judge, move));
        sw_judge_watch_neck(judge, move);
    }
    return sw_judge_cut(judge, move);
}

static struct sw_motion_pt place_now(const struct sw_judge *judge)
{
    const struct sw_motion_event *last = judge->sim->last;
    if (last != NULL)
        return last->to;
    return (struct sw_motion_pt){side_now(judge)->setup->park_x.value,
                                 side_now(judge)->setup->park_z.value};
}

static enum sw_status check_hands(struct sw_judge *judge, const struct sw_motion_event *event,
                                  enum sw_severity severity, const char *when)
{
    const size_t tool = sw_sim_tool_in_use(judge->sim, &event->state);
    const double distance = sw_sim_clearance(judge->sim, place_now(judge), tool);
    if (distance >= SW_VERIFY_HAND)
        return SW_OK;
    struct sw_finding finding = sw_judge_at(judge, SW_FINDING_PAUSE_WHILE_TURNING, severity, event);
    finding.value = distance;
    finding.limit = SW_VERIFY_HAND;
    finding.unit = "mm";
    return sw_judge_add(judge, finding, 1,
                        "%s a tool stands %.2f mm from the work; hands need %.0f mm", when,
                        distance, SW_VERIFY_HAND);
}

/* Changed by hand, the tool post must be away from the work as at a pause; the standard's M6 has
 * stopped the spindle by itself. */
static enum sw_status check_change(struct sw_judge *judge, const struct sw_motion_event *event)
{
    if (judge->shop->machine->change.value != SW_CHANGE_BY_HAND || judge->sim->last == NULL)
        return SW_OK;
    return check_hands(judge, event, SW_ERROR, "at this tool change by hand");
}

/* The run-up counts from a start out of standstill; a change of speed on the way is quick. */
static void watch_spindle(struct sw_judge *judge, const struct sw_motion_state *state)
{
    const struct sw_machine_spindle *spindle = &judge->shop->machine->spindle;
    const bool is_turning = state->spindle != SW_MOTION_STOPPED && state->speed > 0;
    if (is_turning && !judge->is_turning) {
        const double most = spindle->most_speed.value;
        const double share =
            state->is_surface_speed || !(most > 0) ? 0 : fmin(1, state->speed / most);
        judge->turned = 0;
        judge->run_up = fmax(0, spindle->start_time.value) * share;
    }
    judge->is_turning = is_turning;
}

static enum sw_status check_pause(struct sw_judge *judge, const struct sw_motion_event *event)
{
    const bool is_turning = event->state.spindle != SW_MOTION_STOPPED && event->state.speed > 0;
    if (is_turning && !sw_judge_is_switched_at(judge, event))
        SW_TRY(sw_judge_add(
            judge, sw_judge_at(judge, SW_FINDING_PAUSE_WHILE_TURNING, SW_ERROR, event), 0,
            "the program pauses while the spindle turns; stop it before this line"));
    return check_hands(judge, event, SW_ERROR, "at this pause");
}

enum sw_status sw_judge_drive(struct sw_judge *judge, const struct sw_motion_event *event)
{
    watch_spindle(judge, &event->state);
    switch (event->kind) {
    case SW_MOTION_RAPID:
    case SW_MOTION_LINE:
    case SW_MOTION_ARC:
        return drive_move(judge, event);
    case SW_MOTION_TOOL:
        return check_change(judge, event);
    case SW_MOTION_SPINDLE:
        return event->state.is_surface_speed ? SW_OK : check_speed(judge, event, 1);
    case SW_MOTION_PAUSE:
        sw_judge_load_pause(judge);
        return check_pause(judge, event);
    case SW_MOTION_END:
        return check_hands(judge, event, SW_WARNING, "when the program ends");
    default:
        return SW_OK;
    }
}

enum sw_status sw_judge_program_end(struct sw_judge *judge, const struct sw_motion *motion)
{
    if (motion->has_ended)
        return SW_OK;
    const struct sw_motion_event *last = motion->n > 0 ? &motion->at[motion->n - 1] : NULL;
    SW_TRY(sw_judge_add(judge, sw_judge_at(judge, SW_FINDING_BLOCK, SW_ERROR, last), -1,
                        "the program does not end by M2 or M30"));
    if (last != NULL && drives_spindle(judge) && last->state.spindle != SW_MOTION_STOPPED &&
        last->state.speed > 0)
        return sw_judge_add(judge,
                            sw_judge_at(judge, SW_FINDING_PAUSE_WHILE_TURNING, SW_ERROR, last), 2,
                            "the program is left with the spindle turning; stop it by M5");
    return SW_OK;
}
