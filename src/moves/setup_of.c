/* The setup record of a plan: what the person at the lathe makes true before each program. */
#include <math.h>
#include <string.h>

#include "base/num.h"
#include "geom/tol.h"
#include "moves/moves.h"

/* Zeroes are entered on a control with this many decimals. */
static const int zero_decimals = 3;
/* Tools are set so that at the place for hands the slide is still this far from its end [mm]. */
static const double spare = 1.0;

static struct sw_number number(double value)
{
    return (struct sw_number){.value = value, .given = true};
}

static struct sw_text text(const char *value)
{
    return (struct sw_text){.value = value, .given = value != NULL};
}

static bool is_used(const struct sw_plan_chucking *c, int station, int stop)
{
    if (station == stop)
        return true;
    for (size_t i = 0; i < c->n_ops; i++)
        if (c->op[i].station == station && c->op[i].n_passes > 0)
            return true;
    return false;
}

struct sw_pt sw_moves_first_zero(const struct sw_shop *shop)
{
    const struct sw_fitted_tool *fitted = shop->tools.at;
    const struct sw_number *travel_x = shop->machine->travel_x.at;
    const struct sw_number *travel_z = shop->machine->travel_z.at;
    struct sw_pt furthest = {-HUGE_VAL, -HUGE_VAL};
    for (size_t i = 0; i < shop->tools.n; i++) {
        const struct sw_station *at =
            sw_machine_station(shop->machine, (int)fitted[i].station.value);
        furthest.z = fmax(furthest.z, SW_MOVES_HAND_Z - at->at.z.value);
        furthest.r = fmax(furthest.r, SW_MOVES_HAND_R - at->at.x.value);
    }
    return (struct sw_pt){travel_z[1].value - furthest.z - spare,
                          travel_x[1].value - furthest.r - spare};
}

/* How far in front of the bush a tool stands. */
static double gap_of(const struct sw_plan_chucking *c, int station)
{
    for (size_t i = 0; i < c->n_ops; i++)
        if (c->op[i].station == station)
            return c->op[i].bush_gap;
    return 0;
}

static enum sw_status stations_of(struct sw_setup_side *side, const struct sw_plan *plan,
                                  const struct sw_plan_chucking *c, int stop,
                                  const struct sw_post *post, struct sw_ctx *ctx)
{
    const struct sw_shop *shop = plan->shop;
    const struct sw_fitted_tool *fitted = shop->tools.at;
    struct sw_setup_station *out = SW_NEW(ctx->arena, struct sw_setup_station, shop->tools.n);
    if (!out)
        return SW_MEMORY;
    /* On a gang slide every fitted tool moves along, used or not. */
    const struct sw_pt zero = sw_moves_first_zero(shop);
    const bool is_gang = shop->machine->change.value == SW_CHANGE_GANG;
    size_t n = 0;
    for (size_t i = 0; i < shop->tools.n; i++) {
        const int number_of = (int)fitted[i].station.value;
        if (!is_gang && !is_used(c, number_of, stop))
            continue;
        const struct sw_station *station = sw_machine_station(shop->machine, number_of);
        double zero_z = zero.z - station->at.z.value;
        if (c->in_bush)
            zero_z = zero.z - sw_tool_declared_point(fitted[i].is).z - gap_of(c, number_of);
        int system = 0;
        SW_TRY(sw_post_system_of(&system, post, number_of, ctx));
        out[n++] = (struct sw_setup_station){
            .station = number(number_of),
            .tool = text(fitted[i].tool.value),
            .zero_x = number(sw_num_round(zero.r - station->at.x.value, zero_decimals)),
            .zero_z = number(sw_num_round(zero_z, zero_decimals)),
            .system = number(system)};
    }
    side->stations = (struct sw_list){.at = out, .n = n, .given = true};
    return SW_OK;
}

/* STOP: a station that is there besides those the plan uses; 0: none. */
static enum sw_status side_of(struct sw_setup_side *side, const struct sw_plan *plan, size_t i,
                              int stop, const struct sw_post_programs *programs,
                              const struct sw_post *post, struct sw_ctx *ctx)
{
    const struct sw_plan_chucking *c = &plan->chucking[i];
    struct sw_setup_program *files = SW_NEW(ctx->arena, struct sw_setup_program, programs->n);
    if (!files)
        return SW_MEMORY;
    for (size_t k = 0; k < programs->n; k++)
        files[k].file = text(programs->at[k].file);
    side->name = text(c->name);
    side->programs = (struct sw_list){.at = files, .n = programs->n, .given = true};
    side->holder = text(c->holder->name.value);
    side->grips = text(c->grips);
    side->grip_diameter = number(c->grip_diameter);
    side->grip_length = number(c->grip_length);
    side->nose_z = number(c->nose_z);
    side->end = (struct sw_choice){.value = c->end == SW_SIDE_UPPER ? 0 : 1, .given = true};
    if (c->is_from_rod) {
        side->rod_diameter = number(c->rod_diameter);
        side->rod_end_z = number(c->rod_end_z);
        side->tail = number(c->tail);
    }
    if (c->in_bush)
        side->bush_z = number(sw_num_round(sw_moves_first_zero(plan->shop).z, zero_decimals));
    if (c->has_neck)
        side->neck_z = number(c->neck_z);
    if (c->second.section)
        side->second = (struct sw_setup_second){.section = text(c->second.section),
                                                .diameter = number(c->second.diameter),
                                                .length = number(c->second.length),
                                                .nose_z = number(c->second.nose_z)};
    return stations_of(side, plan, c, stop, post, ctx);
}

struct reach {
    double least, most; /* machine coordinate [mm] */
    int station;        /* that goes to the least */
};

static void extend(struct reach *reach, double at, int station)
{
    if (at < reach->least)
        *reach = (struct reach){at, reach->most, station};
    reach->most = fmax(reach->most, at);
}

static enum sw_status check_axis(char axis, const struct reach *reach, const struct sw_list *travel,
                                 const char *side, struct sw_ctx *ctx)
{
    const struct sw_number *end = travel->at;
    if (reach->least >= end[0].value - SW_TOL_SLIVER && reach->most <= end[1].value + SW_TOL_SLIVER)
        return SW_OK;
    const char *hint = sw_arena_printf(
        ctx->arena,
        "%.0f mm of travel or more, or stations nearer to each other along %c, or fewer tools",
        ceil(end[1].value - reach->least), axis);
    if (!hint)
        return SW_MEMORY;
    sw_diag_add(ctx->diag, SW_ERROR, "moves.travel", travel->span, hint,
                "the travel of %c from %.1f to %.1f mm is too short: %s, with %.0f mm between end "
                "face and tools at a pause, goes from %.1f to %.1f mm (station %d)",
                axis, end[0].value, end[1].value, side,
                axis == 'X' ? SW_MOVES_HAND_R : SW_MOVES_HAND_Z, reach->most, reach->least,
                reach->station);
    return SW_CANNOT;
}

/* Does the machine get everywhere? Frame: machine. */
static enum sw_status check_travel(const struct sw_setup_side *side, const struct sw_path *path,
                                   const struct sw_machine *machine, struct sw_ctx *ctx)
{
    const struct sw_setup_station *station = side->stations.at, *now = NULL;
    struct reach x = {HUGE_VAL, -HUGE_VAL, 0}, z = x;
    for (size_t i = 0; i < path->n; i++) {
        const struct sw_path_event *event = &path->at[i];
        for (size_t k = 0; event->kind == SW_PATH_TOOL && k < side->stations.n; k++)
            if ((int)station[k].station.value == event->station)
                now = &station[k];
        const bool goes = event->kind == SW_PATH_RAPID || event->kind == SW_PATH_LINE ||
                          event->kind == SW_PATH_ARC;
        if (!goes || !now)
            continue;
        extend(&x, event->to.r + now->zero_x.value, (int)now->station.value);
        extend(&z, event->to.z + now->zero_z.value, (int)now->station.value);
    }
    SW_TRY(check_axis('X', &x, &machine->travel_x, side->name.value, ctx));
    return check_axis('Z', &z, &machine->travel_z, side->name.value, ctx);
}

/* Where the program waits when event K has written its lines; 0: it wrote none. */
static size_t line_of_stop(const struct sw_post_program *text, size_t k)
{
    const size_t next = k + 1 < text->n_events ? text->event_line[k + 1] : text->tail_line;
    return next > text->event_line[k] ? next - 1 : 0;
}

/* What the person does to the spindle in one program, stop by stop. */
static enum sw_status hands_of(struct sw_setup_program *program, const struct sw_path *path,
                               const struct sw_post_program *text, struct sw_ctx *ctx)
{
    struct sw_setup_switch *out = SW_NEW(ctx->arena, struct sw_setup_switch, text->n_events);
    if (!out)
        return SW_MEMORY;
    size_t n = 0;
    for (size_t k = 0; k < text->n_events; k++) {
        const struct sw_path_event *event = &path->at[text->first_event + k];
        const size_t line = line_of_stop(text, k);
        const bool is_start = event->kind == SW_PATH_SPINDLE;
        if (line == 0 || (!is_start && event->kind != SW_PATH_PAUSE))
            continue;
        const int turn = !is_start ? SW_SETUP_STOP : event->is_ccw ? SW_SETUP_M4 : SW_SETUP_M3;
        out[n] = (struct sw_setup_switch){.line = number((double)line),
                                          .turn = {.value = turn, .given = true}};
        if (is_start)
            out[n].speed = number(event->speed);
        n++;
    }
    program->spindle = (struct sw_list){.at = out, .n = n, .given = n > 0};
    return SW_OK;
}

/* What the programs do not bring themselves: their tools, the spindle. */
static enum sw_status complete_programs(struct sw_setup_side *side, const struct sw_path *path,
                                        const struct sw_post_programs *programs,
                                        const struct sw_post *post, struct sw_ctx *ctx)
{
    struct sw_setup_program *program = side->programs.at;
    for (size_t i = 0; i < programs->n; i++) {
        const struct sw_post_program *text = &programs->at[i];
        for (size_t k = 0; k < text->n_events && sw_post_is_file_per_tool(post); k++)
            if (path->at[text->first_event + k].kind == SW_PATH_TOOL)
                program[i].tool = number(path->at[text->first_event + k].station);
        if (sw_post_is_spindle_by_hand(post))
            SW_TRY(hands_of(&program[i], path, text, ctx));
    }
    return SW_OK;
}

/* Where the first tool of a side stands before its program: the same place as at a pause. */
static enum sw_status park_of(struct sw_setup_side *side, const struct sw_plan *plan, size_t i,
                              const struct sw_post_programs *programs, const struct sw_post *post,
                              struct sw_ctx *ctx)
{
    struct sw_path *path;
    SW_TRY(sw_moves_build(&path, plan, i, ctx));
    SW_TRY(complete_programs(side, path, programs, post, ctx));
    SW_TRY(check_travel(side, path, plan->shop->machine, ctx));
    const struct sw_setup_station *station = side->stations.at;
    for (size_t k = 0; k < side->stations.n; k++) {
        if ((int)station[k].station.value != plan->chucking[i].op[0].station)
            continue;
        side->park_x = number(path->park.r + station[k].zero_x.value);
        side->park_z = number(path->park.z + station[k].zero_z.value);
    }
    return SW_OK;
}

static void fill_whole(struct sw_setup *setup, const struct sw_plan *plan)
{
    setup->staff = text(plan->job->staff.value);
    setup->shop = text(plan->job->shop.value);
    setup->stone = number(plan->shop->leave.stone.value);
    setup->burnish = number(plan->shop->leave.burnish.value);
    setup->tip = number(plan->shop->leave.tip.value);
    const bool is_upper_first = plan->chucking[0].end == SW_SIDE_UPPER;
    setup->upper_long = number(is_upper_first ? 0 : plan->job->leave_long.value);
    setup->lower_long = number(is_upper_first ? plan->job->leave_long.value : 0);
    if (plan->blank) {
        const struct sw_blank_how *how = &plan->blank->how;
        setup->blank = (struct sw_setup_blank){.staff = text(SW_MOVES_BLANK_FILE),
                                               .material = text(plan->shape->staff->material),
                                               .grown_least = number(how->grown_least),
                                               .grown_most = number(how->grown_most)};
    }
    if (plan->n_chuckings == 1)
        setup->tip_by_hand.value = is_upper_first ? SW_SETUP_LOWER_TIP : SW_SETUP_UPPER_TIP;
}

enum sw_status sw_moves_setup(struct sw_setup **out, const struct sw_plan *plan,
                              const struct sw_post_programs *programs, const struct sw_post *post,
                              struct sw_ctx *ctx)
{
    struct sw_setup *setup = SW_NEW(ctx->arena, struct sw_setup, 1);
    struct sw_setup_side *sides = SW_NEW(ctx->arena, struct sw_setup_side, plan->n_chuckings);
    if (!setup || !sides)
        return SW_MEMORY;
    fill_whole(setup, plan);
    for (size_t i = 0; i < plan->n_chuckings; i++) {
        SW_TRY(side_of(&sides[i], plan, i, 0, &programs[i], post, ctx));
        SW_TRY(park_of(&sides[i], plan, i, &programs[i], post, ctx));
    }
    setup->sides = (struct sw_list){.at = sides, .n = plan->n_chuckings, .given = true};
    *out = setup;
    return SW_OK;
}

static const struct sw_setup_station *station_of(const struct sw_setup_side *side, int number_of)
{
    const struct sw_setup_station *station = side->stations.at;
    for (size_t i = 0; i < side->stations.n; i++)
        if ((int)station[i].station.value == number_of)
            return &station[i];
    return NULL;
}

/* Pieces of one bar may use other tools, and the bar hangs out as far as the shortest tail that any
 * of them bears. */
static enum sw_status run_side(struct sw_setup_side *side, const struct sw_moves_run *run,
                               const struct sw_post_programs *programs, const struct sw_post *post,
                               struct sw_ctx *ctx)
{
    const struct sw_shop *shop = run->piece[0].plan->shop;
    struct sw_setup_station *all = SW_NEW(ctx->arena, struct sw_setup_station, shop->tools.n);
    const struct sw_plan *seen = NULL;
    double tail = HUGE_VAL;
    size_t n = 0;
    if (!all)
        return SW_MEMORY;
    for (size_t i = 0; i < run->n; i++) {
        const struct sw_plan *plan = run->piece[i].plan;
        const struct sw_plan_chucking *c = &plan->chucking[0];
        struct sw_setup_side own = {0};
        if (plan == seen)
            continue;
        seen = plan;
        SW_TRY(side_of(&own, plan, 0, run->stop, programs, post, ctx));
        const struct sw_setup_station *station = own.stations.at;
        for (size_t k = 0; k < own.stations.n; k++) {
            side->stations = (struct sw_list){.at = all, .n = n, .given = true};
            if (!station_of(side, (int)station[k].station.value))
                all[n++] = station[k];
        }
        if (i == 0 || c->nose_z <= run->nose_z) {
            *side = own;
            side->rod_end_z = number(c->rod_end_z);
        }
        tail = fmin(tail, fmin(c->tail_most, fmax(0, run->bar - c->stick_out - c->grip_length)));
    }
    side->stations = (struct sw_list){.at = all, .n = n, .given = true};
    side->tail = number(tail);
    return SW_OK;
}

enum sw_status sw_moves_run_setup(struct sw_setup **out, const struct sw_moves_run *run,
                                  const char *const *setup, const struct sw_path *path,
                                  const struct sw_post_programs *programs,
                                  const struct sw_post *post, struct sw_ctx *ctx)
{
    struct sw_setup *whole = SW_NEW(ctx->arena, struct sw_setup, 1);
    struct sw_setup_side *side = SW_NEW(ctx->arena, struct sw_setup_side, 1);
    struct sw_setup_piece *piece = SW_NEW(ctx->arena, struct sw_setup_piece, run->n);
    if (!whole || !side || !piece)
        return SW_MEMORY;
    const struct sw_plan *plan = run->piece[0].plan;
    fill_whole(whole, plan);
    SW_TRY(run_side(side, run, programs, post, ctx));
    for (size_t i = 0; i < run->n; i++)
        piece[i] = (struct sw_setup_piece){
            .setup = text(setup[i]),
            .at_z = number(run->nose_z - run->piece[i].plan->chucking[0].nose_z)};
    side->nose_z = number(run->nose_z);
    side->run = (struct sw_setup_run){.stop = number(run->stop),
                                      .closing_loses =
                                          number(plan->chucking[0].holder->closing_loses.value),
                                      .bar_length = number(run->bar),
                                      .pieces = {.at = piece, .n = run->n, .given = true}};
    SW_TRY(check_travel(side, path, plan->shop->machine, ctx));
    const struct sw_setup_station *stop = station_of(side, run->stop);
    side->park_x = number(path->park.r + stop->zero_x.value);
    side->park_z = number(path->park.z + stop->zero_z.value);
    whole->sides = (struct sw_list){.at = side, .n = 1, .given = true};
    *out = whole;
    return SW_OK;
}
