/* How long a program takes on this machine: feeds by what the axes can follow, rapids from rest to
 * rest, tool changes, dwells.
 *
 * Feed moves that follow each other without anything in between are one path: begun and ended at
 * rest, through each corner as fast as the axes can take it. How far a corner may be cut is the
 * control's blending under G64; under G61 one step of the control, less than which it does not
 * know. On arcs the axes bear sqrt(a R). The slower axis counts for every direction, so that a path
 * is never said to be faster than it is. */
#include <math.h>

#include "mech/feedtime.h"
#include "mech/speed.h"
#include "shop/tool.h"
#include "verify/judge.h"

static struct sw_axis_limits rapid_limits(double speed, double accel)
{
    /* A machine that says nothing of its acceleration is taken to have it at once. */
    return (struct sw_axis_limits){speed / 60, accel > 0 ? accel : HUGE_VAL, HUGE_VAL};
}

static double rapid_seconds(const struct sw_machine *machine, const struct sw_motion_event *event)
{
    const struct sw_axis_limits x =
        rapid_limits(machine->rapid.x.value, machine->acceleration.x.value);
    const struct sw_axis_limits z =
        rapid_limits(machine->rapid.z.value, machine->acceleration.z.value);
    const double dx = fabs(event->to.x - event->from.x), dz = fabs(event->to.z - event->from.z);
    const double by_x = dx > 0 && x.speed > 0 ? sw_feed_time(dx, &x) : 0;
    const double by_z = dz > 0 && z.speed > 0 ? sw_feed_time(dz, &z) : 0;
    return fmax(by_x, by_z);
}

static double most_speed(const struct sw_judge *judge)
{
    const double most = judge->shop->machine->spindle.most_speed.value;
    return most > 0 ? most : HUGE_VAL;
}

static double turns_at(const struct sw_judge *judge, const struct sw_motion_state *state, double r)
{
    return fmin(sw_judge_speed(judge, state, r), most_speed(judge));
}

/* A move fed per turn at constant surface speed: the spindle follows the X of the controlled
 * point. Straight moves by the closed form, arcs by Simpson's rule over their ends and middle. */
static double surface_seconds(const struct sw_judge *judge, const struct sw_sim_move *move,
                              double shift)
{
    const struct sw_motion_state *state = &move->event->state;
    const double most =
        state->speed_clamp > 0 ? fmin(state->speed_clamp, most_speed(judge)) : most_speed(judge);
    const double r0 = fabs(move->sweep.from.r + shift), r1 = fabs(move->sweep.to.r + shift);
    if (move->event->kind == SW_MOTION_LINE && fabs(r1 - r0) > SW_VERIFY_CUT)
        return sw_speed_facing_time(2 * r0, 2 * r1, state->feed, state->speed, most) *
               move->length / fabs(r1 - r0);
    const struct sw_box box = sw_sweep_box(&move->sweep);
    const double middle =
        move->event->kind == SW_MOTION_ARC ? fabs((box.r0 + box.r1) / 2 + shift) : (r0 + r1) / 2;
    const double n0 = turns_at(judge, state, r0), n1 = turns_at(judge, state, r1);
    const double n = turns_at(judge, state, middle);
    if (!(n0 > 0 && n1 > 0 && n > 0))
        return 0;
    return 60 * move->length / state->feed * (1 / n0 + 4 / n + 1 / n1) / 6;
}

/* Time of a feed move if the axes had no mass; 0 when nothing says how fast. */
static double fed_seconds(const struct sw_judge *judge, const struct sw_sim_move *move)
{
    const struct sw_motion_state *state = &move->event->state;
    if (!(state->feed > 0))
        return 0;
    if (state->feed_mode == SW_MOTION_INVERSE_TIME)
        return 60 / state->feed;
    if (state->feed_mode == SW_MOTION_PER_MINUTE)
        return 60 * move->length / state->feed;
    if (state->is_surface_speed && state->spindle != SW_MOTION_STOPPED && state->speed > 0) {
        const struct sw_sim_side *side = &judge->sim->side[move->side];
        const double shift = move->tool == SW_SIM_NO_TOOL
                                 ? 0
                                 : sw_tool_declared_point(side->tool[move->tool].tool).r;
        return surface_seconds(judge, move, shift);
    }
    const double turns = turns_at(judge, state, 0);
    return turns > 0 ? 60 * move->length / (state->feed * turns) : 0;
}

/* Direction of travel at the end or the begin of a move. */
static struct sw_pt heading(const struct sw_motion_event *event, bool is_at_end)
{
    const struct sw_motion_pt at = is_at_end ? event->to : event->from;
    struct sw_pt way = {event->to.z - event->from.z, event->to.x - event->from.x};
    if (event->kind == SW_MOTION_ARC)
        way = (struct sw_pt){-(at.x - event->centre.x) * event->turn,
                             (at.z - event->centre.z) * event->turn};
    const double length = hypot(way.z, way.r);
    return length > 0 ? (struct sw_pt){way.z / length, way.r / length} : (struct sw_pt){0, 0};
}

static double path_accel(const struct sw_machine *machine)
{
    const double x = machine->acceleration.x.value, z = machine->acceleration.z.value;
    return fmin(x > 0 ? x : HUGE_VAL, z > 0 ? z : HUGE_VAL);
}

/* Speed at the end of the path so far, on to a move. */
static double corner_speed(const struct sw_judge *judge, const struct sw_clock *clock,
                           const struct sw_motion_event *event, double length)
{
    const struct sw_machine *machine = judge->shop->machine;
    const struct sw_leg *last = &clock->legs.at[clock->legs.n - 1];
    const struct sw_pt in = clock->way, out = heading(event, false);
    const double turn = acos(fmax(-1, fmin(1, in.z * out.z + in.r * out.r)));
    const double step = fmin(machine->step.x.value, machine->step.z.value);
    const double blend = event->state.is_continuous ? machine->control.blend.value : 0;
    const double pi = 3.14159265358979323846;
    return sw_feed_corner_speed(pi - turn, fmax(step, blend), path_accel(machine),
                                fmin(last->length, length));
}

static enum sw_status add_leg(struct sw_judge *judge, const struct sw_motion_event *event,
                              double seconds)
{
    struct sw_clock *clock = &judge->clock;
    const struct sw_sim_move *move = &judge->sim->moves.at[judge->sim->moves.n - 1];
    if (!(seconds > 0) || !(move->length > 0))
        return SW_OK;
    struct sw_leg leg = {.length = move->length, .speed = move->length / seconds};
    if (event->kind == SW_MOTION_ARC)
        leg.speed =
            fmin(leg.speed, sw_feed_arc_speed(event->radius_to, path_accel(judge->shop->machine)));
    if (clock->legs.n > 0)
        clock->legs.at[clock->legs.n - 1].end_speed =
            corner_speed(judge, clock, event, move->length);
    if (!SW_VEC_PUSH(judge->ctx->arena, &clock->legs, leg))
        return SW_MEMORY;
    clock->way = heading(event, true);
    clock->nominal += seconds;
    return SW_OK;
}

/* The path ends at rest: what its corners and ends cost goes to its last line. */
static enum sw_status end_path(struct sw_judge *judge)
{
    struct sw_clock *clock = &judge->clock;
    const double accel = path_accel(judge->shop->machine);
    double seconds = 0;
    if (clock->legs.n == 0)
        return SW_OK;
    if (isfinite(accel)) {
        const enum sw_status status = sw_feed_path_time(&seconds, clock->legs.at, clock->legs.n,
                                                        accel, HUGE_VAL, 0, 0, judge->ctx);
        if (status != SW_OK && status != SW_CANNOT)
            return status;
    }
    struct sw_program_verdict *verdict = &judge->verdict->program[judge->program_now];
    const double more = fmax(0, seconds - clock->nominal);
    verdict->time.moving += more;
    verdict->mark.at[clock->last_mark].time.moving += more;
    clock->legs.n = 0;
    clock->nominal = 0;
    return SW_OK;
}

enum sw_status sw_judge_time(double *seconds, struct sw_judge *judge,
                             const struct sw_motion_event *event)
{
    struct sw_program_verdict *verdict = &judge->verdict->program[judge->program_now];
    struct sw_times *time = &verdict->time;
    const bool is_fed = event->kind == SW_MOTION_LINE || event->kind == SW_MOTION_ARC;
    double *to = &time->cutting;
    *seconds = 0;
    if (!is_fed)
        SW_TRY(end_path(judge));
    if (is_fed) {
        const struct sw_sim_move *move = &judge->sim->moves.at[judge->sim->moves.n - 1];
        *seconds = fed_seconds(judge, move);
        to = move->is_cut ? &time->cutting : &time->moving;
        SW_TRY(add_leg(judge, event, *seconds));
    } else if (event->kind == SW_MOTION_RAPID) {
        *seconds = rapid_seconds(judge->shop->machine, event);
        to = &time->moving;
    } else if (event->kind == SW_MOTION_DWELL) {
        *seconds = event->seconds;
        to = &time->waiting;
    } else if (event->kind == SW_MOTION_TOOL) {
        *seconds = judge->shop->machine->change_time.value;
        to = &time->changing;
    }
    *to += *seconds;
    const struct sw_time_mark mark = {event->line, *time};
    if (!SW_VEC_PUSH(judge->ctx->arena, &verdict->mark, mark))
        return SW_MEMORY;
    judge->clock.last_mark = verdict->mark.n - 1;
    return SW_OK;
}

enum sw_status sw_judge_time_end(struct sw_judge *judge)
{
    struct sw_program_verdict *verdict = &judge->verdict->program[judge->program_now];
    SW_TRY(end_path(judge));
    verdict->seconds = sw_times_sum(&verdict->time);
    return SW_OK;
}

double sw_times_sum(const struct sw_times *time)
{
    return time->cutting + time->moving + time->changing + time->waiting;
}

/* Everything up to, and not with, a line. */
static struct sw_times before_line(const struct sw_program_verdict *program, uint32_t line)
{
    size_t low = 0, high = program->mark.n;
    while (low < high) {
        const size_t middle = (low + high) / 2;
        if (program->mark.at[middle].line < line)
            low = middle + 1;
        else
            high = middle;
    }
    return low > 0 ? program->mark.at[low - 1].time : (struct sw_times){0};
}

struct sw_times sw_program_times(const struct sw_program_verdict *program, uint32_t first,
                                 uint32_t end)
{
    const struct sw_times a = before_line(program, first);
    const struct sw_times b = end > 0 ? before_line(program, end) : program->time;
    return (struct sw_times){b.cutting - a.cutting, b.moving - a.moving, b.changing - a.changing,
                             b.waiting - a.waiting};
}
