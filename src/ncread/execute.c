/* The order of execution inside a line (3.8, Table 8) and what each code does to the state.
 *
 * Words may stand in any order on the line; what happens first is fixed here alone.
 */
#include "ncread/ncread_int.h"

#include <math.h>

/* Feet per minute as metres per minute, for surface speeds under inches. */
#define FOOT_M 0.3048
#define MILLISECONDS 1000.0

enum sw_status sw_nc_push(struct nc_reader *r, enum sw_motion_kind kind,
                          struct sw_motion_event **event)
{
    if (r->events.n == r->events.cap) {
        if (r->events.n >= SW_NCREAD_MOST_EVENTS) {
            (void)sw_nc_fault(r, (struct nc_piece){0, 1}, "block.events-most", NULL,
                              "the program makes more than %d moves and other events",
                              (int)SW_NCREAD_MOST_EVENTS);
            return SW_UNREADABLE;
        }
        if (!sw_vec_room(r->ctx->arena, &r->events, sizeof *r->events.at))
            return SW_MEMORY;
    }
    struct sw_motion_event *e = &r->events.at[r->events.n++];
    *e = (struct sw_motion_event){
        .kind = kind,
        .line = r->line_number,
        .block = r->n_blocks,
        .from = r->now.at,
        .to = r->now.at,
        .state = r->now.modal,
    };
    *event = e;
    return SW_OK;
}

enum sw_status sw_nc_move(struct nc_reader *r, enum sw_motion_kind kind, struct sw_motion_pt to)
{
    struct sw_motion_event *event;
    SW_TRY(sw_nc_push(r, kind, &event));
    event->to = to;
    r->now.at = to;
    return SW_OK;
}

enum sw_status sw_nc_dwell(struct nc_reader *r, double seconds)
{
    struct sw_motion_event *event;
    SW_TRY(sw_nc_push(r, SW_MOTION_DWELL, &event));
    event->seconds = seconds;
    return SW_OK;
}

/* Under inverse time each line says its own (3.5.19); otherwise a feed stays. That a feed of zero
 * is refused is from memory of the report's interpreter. */
enum sw_status sw_nc_need_feed(struct nc_reader *r, enum nc_g motion)
{
    const struct sw_motion_state *modal = &r->now.modal;
    const bool has_own = sw_nc_has(&r->block, 'F');
    const bool is_inverse = modal->feed_mode == SW_MOTION_INVERSE_TIME;
    if (modal->feed > 0 && (has_own || !is_inverse))
        return SW_OK;
    const struct nc_name name = sw_nc_g_name(motion); /* costly, so only here */
    if (has_own)
        return sw_nc_fault(r, sw_nc_at(&r->block, 'F'), "block.feed-zero", NULL,
                           "%s cannot move at a feed of zero", name.text);
    if (is_inverse)
        return sw_nc_fault(r, sw_nc_motion_at(&r->block), "block.feed-inverse-time", NULL,
                           "%s under G93 needs an F word on its own line", name.text);
    return sw_nc_fault(r, sw_nc_motion_at(&r->block), "block.feed-missing", NULL,
                       "%s has no feed: no F above zero since the feed mode was chosen", name.text);
}

/* (MSG,text): blanks between the letters do not count (3.3.4). */
static enum sw_status message(struct nc_reader *r)
{
    const struct nc_piece comment = r->block.comment;
    const char *at = r->line + comment.begin;
    const char *const end = r->line + comment.end;
    for (const char *wanted = "MSG,"; *wanted; wanted++, at++) {
        while (at < end && (*at == ' ' || *at == '\t'))
            at++;
        if (at == end || sw_nc_upper(*at) != *wanted)
            return SW_OK; /* a plain comment */
    }
    struct sw_motion_event *event;
    SW_TRY(sw_nc_push(r, SW_MOTION_MESSAGE, &event));
    event->text = sw_arena_copy(r->ctx->arena, at, (size_t)(end - at));
    return event->text ? SW_OK : SW_MEMORY;
}

static void feed_mode(struct nc_reader *r, enum nc_g code)
{
    struct sw_motion_state *modal = &r->now.modal;
    enum sw_motion_feed mode = SW_MOTION_PER_MINUTE;
    if (code == NC_G93)
        mode = SW_MOTION_INVERSE_TIME;
    else if (code == NC_G95 || code == NC_G99_FEED)
        mode = SW_MOTION_PER_TURN;
    if (mode != modal->feed_mode)
        modal->feed = 0;
    modal->feed_mode = mode;
}

static void speed_mode(struct nc_reader *r, enum nc_g code)
{
    struct sw_motion_state *modal = &r->now.modal;
    const bool is_surface = code == NC_G96;
    if (is_surface != modal->is_surface_speed)
        modal->speed = 0;
    modal->is_surface_speed = is_surface;
}

static enum sw_status speed(struct nc_reader *r)
{
    const struct nc_block *b = &r->block;
    struct sw_motion_state *modal = &r->now.modal;
    const double value = sw_nc_word(b, 'S');
    const enum nc_g zero = sw_nc_g(b, NC_ZERO);
    if (zero == NC_G50 || (zero == NC_G92 && r->facts.clamp == SW_CLAMP_G92)) {
        if (value == 0)
            return sw_nc_fault(r, sw_nc_at(b, 'S'), "block.clamp-zero", NULL,
                               "a spindle speed limit is above zero");
        modal->speed_clamp = value;
        return SW_OK;
    }
    modal->speed = value;
    if (modal->is_surface_speed && r->now.unit == NC_INCH_MM)
        modal->speed *= FOOT_M;
    return SW_OK;
}

static bool is_spindle_same(const struct sw_motion_state *a, const struct sw_motion_state *b)
{
    return a->spindle == b->spindle && a->speed == b->speed &&
           a->is_surface_speed == b->is_surface_speed && a->speed_clamp == b->speed_clamp;
}

/* Leaves the spindle stopped and the axes where they are (3.6.3). */
static enum sw_status change_tool(struct nc_reader *r)
{
    struct sw_motion_state *modal = &r->now.modal;
    struct sw_motion_event *event;
    if (modal->spindle != SW_MOTION_STOPPED) {
        modal->spindle = SW_MOTION_STOPPED;
        SW_TRY(sw_nc_push(r, SW_MOTION_SPINDLE, &event));
    }
    modal->tool = modal->selected_tool;
    /* Where D brings the offset none is in force until it does: of the two ways such controls have
     * (the other keeps that of the last tool) a program that sets it is sound under both. */
    if (r->facts.offsets_with_tool)
        r->now.tool_offset = r->start->tool_offset[r->facts.is_offset_by_d ? 0 : modal->tool];
    return sw_nc_push(r, SW_MOTION_TOOL, &event);
}

/* T0102 where the control reads it so: at once, with its offset; 0 is none. The spindle goes on as
 * it was (common practice, no source: the report has no such word). */
static enum sw_status bring_tool(struct nc_reader *r, int offset)
{
    struct sw_motion_state *modal = &r->now.modal;
    struct sw_motion_event *event;
    modal->tool = modal->selected_tool;
    r->now.tool_offset = r->start->tool_offset[offset];
    return sw_nc_push(r, SW_MOTION_TOOL, &event);
}

/* Steps 4 to 7: speed, tool, tool change, spindle. */
static enum sw_status spindle_and_tool(struct nc_reader *r, const struct sw_motion_state *before)
{
    const struct nc_block *b = &r->block;
    struct sw_motion_state *modal = &r->now.modal;
    struct sw_motion_state shown = *before;
    if (sw_nc_has(b, 'S'))
        SW_TRY(speed(r));
    if (sw_nc_has(b, 'T')) {
        int tool = 0;
        (void)sw_nc_whole(sw_nc_word(b, 'T'), &tool); /* checked with the block */
        modal->selected_tool = r->facts.is_offset_in_t ? tool / NC_T_PLACES : tool;
        if (r->facts.is_offset_in_t)
            SW_TRY(bring_tool(r, tool % NC_T_PLACES));
    }
    if (sw_nc_m(b, NC_CHANGE) == NC_M6) {
        const bool was_turning = modal->spindle != SW_MOTION_STOPPED;
        SW_TRY(change_tool(r));
        if (was_turning)
            shown = *modal;
    }
    if (sw_nc_has(b, 'D') && r->facts.is_offset_by_d) {
        int offset;
        SW_TRY(sw_nc_offset_number(&offset, r, 'D'));
        r->now.tool_offset = r->start->tool_offset[offset];
    }
    const enum nc_m spindle = sw_nc_m(b, NC_SPINDLE);
    if (spindle != NC_M_NONE)
        modal->spindle = spindle == NC_M3   ? SW_MOTION_CW
                         : spindle == NC_M4 ? SW_MOTION_CCW
                                            : SW_MOTION_STOPPED;
    struct sw_motion_event *event;
    return is_spindle_same(&shown, modal) ? SW_OK : sw_nc_push(r, SW_MOTION_SPINDLE, &event);
}

/* G41 and G42 work in the XY plane only (3.5.10), so never with X and Z. */
static enum sw_status compensation(struct nc_reader *r, enum nc_g code)
{
    const struct nc_piece at = r->block.g_at[NC_COMP];
    const struct nc_name name = sw_nc_g_name(code);
    if (code == NC_G40)
        return SW_OK;
    if (r->now.plane == NC_G17)
        return sw_nc_fault(r, at, "block.comp-axis", NULL,
                           "%s works in X and Y, and this machine has no Y", name.text);
    return sw_nc_fault(r, at, "block.comp-plane", NULL, "%s works in the XY plane only, not in %s",
                       name.text,
                       r->now.plane == NC_G18 ? "the XZ plane (G18)" : "the YZ plane (G19)");
}

/* Steps 11 to 18: settings of how later words are meant. */
static enum sw_status modes(struct nc_reader *r)
{
    const struct nc_block *b = &r->block;
    struct nc_state *now = &r->now;
    enum nc_g g;
    if ((g = sw_nc_g(b, NC_PLANE)) != NC_G_NONE)
        now->plane = g;
    if ((g = sw_nc_g(b, NC_UNITS)) != NC_G_NONE)
        now->unit = g == NC_G20 || g == NC_G70 ? NC_INCH_MM : 1.0;
    if ((g = sw_nc_g(b, NC_COMP)) != NC_G_NONE)
        SW_TRY(compensation(r, g));
    if ((g = sw_nc_g(b, NC_LENGTH)) != NC_G_NONE)
        SW_TRY(sw_nc_length_offset(r, g));
    if ((g = sw_nc_g(b, NC_SYSTEM)) != NC_G_NONE)
        sw_nc_use_system(r, (int)(g - NC_G54) + 1);
    if ((g = sw_nc_g(b, NC_PATH)) != NC_G_NONE)
        now->modal.is_continuous = g == NC_G64;
    if ((g = sw_nc_g(b, NC_DISTANCE)) != NC_G_NONE)
        now->is_incremental = g == NC_G91;
    if ((g = sw_nc_g(b, NC_RETURN)) != NC_G_NONE)
        now->cycle_return = g;
    return SW_OK;
}

/* The report has no threads; that K is the lead along Z, and not modal, is from memory of the
 * public lists. Along the way the tool is fed by as much more as the way is longer. */
static enum sw_status thread(struct nc_reader *r)
{
    const struct nc_block *b = &r->block;
    const struct sw_motion_pt from = r->now.at, to = sw_nc_target(r);
    const double along = fabs(to.z - from.z), way = hypot(to.z - from.z, to.x - from.x);
    const bool has_lead = sw_nc_has(b, 'K');
    if (!has_lead || !(sw_nc_word(b, 'K') > 0))
        return sw_nc_fault(r, has_lead ? sw_nc_at(b, 'K') : sw_nc_motion_at(b), "block.thread-lead",
                           NULL, "G33 needs its lead along Z, a K word above zero");
    if (!(along > 0))
        return sw_nc_fault(r, sw_nc_motion_at(b), "block.thread-way", NULL,
                           "G33 has its lead along Z, and this line does not move along it");
    const struct sw_motion_state *modal = &r->now.modal;
    if (r->facts.spindle_words && (modal->spindle == SW_MOTION_STOPPED || !(modal->speed > 0)))
        return sw_nc_fault(r, sw_nc_motion_at(b), "block.thread-spindle", NULL,
                           "G33 needs a turning spindle: its feed follows it");
    struct sw_motion_event *event;
    SW_TRY(sw_nc_push(r, SW_MOTION_LINE, &event));
    event->to = to;
    event->is_thread = true;
    event->state.feed_mode = SW_MOTION_PER_TURN;
    event->state.feed = sw_nc_word(b, 'K') * r->now.unit * way / along;
    r->now.at = to;
    return SW_OK;
}

static enum sw_status motion(struct nc_reader *r, enum nc_g code)
{
    switch (code) {
    case NC_G0:
        SW_TRY(sw_nc_move(r, SW_MOTION_RAPID, sw_nc_target(r)));
        break;
    case NC_G1:
        SW_TRY(sw_nc_need_feed(r, code));
        SW_TRY(sw_nc_move(r, SW_MOTION_LINE, sw_nc_target(r)));
        break;
    case NC_G2:
    case NC_G3:
        SW_TRY(sw_nc_arc(r, code));
        break;
    case NC_G33:
        SW_TRY(thread(r));
        break;
    default:
        SW_TRY(sw_nc_cycle(r, code));
        break;
    }
    r->now.motion = code;
    return SW_OK;
}

/* What M2 and M30 put back (3.6.1). Units, length offset, path mode, F, S and T stay. */
static void reset(struct nc_reader *r)
{
    struct nc_state *now = &r->now;
    now->axis_offset = (struct sw_motion_pt){0, 0};
    sw_nc_use_system(r, 1);
    now->plane = NC_G17;
    now->is_incremental = false;
    if (now->modal.feed_mode != SW_MOTION_PER_MINUTE)
        now->modal.feed = 0;
    now->modal.feed_mode = SW_MOTION_PER_MINUTE;
    now->is_override_on = true;
    now->modal.spindle = SW_MOTION_STOPPED;
    now->motion = NC_G1;
    now->modal.coolant = false;
    now->has_ended = true;
}

static enum sw_status stop(struct nc_reader *r, enum nc_m code)
{
    struct sw_motion_event *event;
    if (code == NC_M2 || code == NC_M30) {
        reset(r);
        return sw_nc_push(r, SW_MOTION_END, &event);
    }
    SW_TRY(sw_nc_push(r, SW_MOTION_PAUSE, &event));
    event->is_optional = code == NC_M1;
    return SW_OK;
}

static enum sw_status second(struct nc_reader *r, enum nc_m code)
{
    struct sw_motion_event *event;
    SW_TRY(sw_nc_push(r, SW_MOTION_SECOND, &event));
    event->is_taken = code == NC_M_TAKES;
    return SW_OK;
}

enum sw_status sw_nc_execute(struct nc_reader *r)
{
    const struct nc_block *b = &r->block;
    struct nc_state *now = &r->now;
    const uint32_t steps_11_to_18 = 1u << NC_PLANE | 1u << NC_UNITS | 1u << NC_COMP |
                                    1u << NC_LENGTH | 1u << NC_SYSTEM | 1u << NC_PATH |
                                    1u << NC_DISTANCE | 1u << NC_RETURN;
    const struct sw_motion_state before = now->modal;
    enum nc_g g;
    enum nc_m m;
    for (int i = 0; i < b->n_settings; i++) /* parallel: all values were read before (3.3.3) */
        sw_nc_set_parameter(r, b->setting[i].index, b->setting[i].value);
    if (b->has_comment) /* 1 */
        SW_TRY(message(r));
    if ((g = sw_nc_g(b, NC_FEED)) != NC_G_NONE) /* 2 */
        feed_mode(r, g);
    if ((g = sw_nc_g(b, NC_SPEED)) != NC_G_NONE) /* not in the report; before its number */
        speed_mode(r, g);
    const bool is_f_time = sw_nc_g(b, NC_ZERO) == NC_G4 && r->facts.dwell_letter == 'F';
    if (sw_nc_has(b, 'F') && !is_f_time) { /* 3 */
        const bool is_length = now->modal.feed_mode != SW_MOTION_INVERSE_TIME;
        now->modal.feed = sw_nc_word(b, 'F') * (is_length ? now->unit : 1);
    }
    if ((b->has & (NC_BIT('S') | NC_BIT('T') | NC_BIT('D'))) || b->m_groups ||
        (b->g_groups & (1u << NC_SPEED)))
        SW_TRY(spindle_and_tool(r, &before));      /* 4 to 7 */
    if ((m = sw_nc_m(b, NC_COOLANT)) != NC_M_NONE) /* 8 */
        now->modal.coolant = m != NC_M9;
    if ((m = sw_nc_m(b, NC_OVERRIDE)) != NC_M_NONE) /* 9 */
        now->is_override_on = m == NC_M48;
    if ((m = sw_nc_m(b, NC_SECOND)) != NC_M_NONE) /* not in the report; before the line moves */
        SW_TRY(second(r, m));
    const enum nc_g zero = sw_nc_g(b, NC_ZERO);
    if (zero == NC_G4) { /* 10 */
        const bool is_ms = r->facts.dwell == SW_DWELL_P_MILLISECONDS;
        SW_TRY(sw_nc_dwell(r, sw_nc_word(b, r->facts.dwell_letter) / (is_ms ? MILLISECONDS : 1)));
    }
    if (b->g_groups & steps_11_to_18)
        SW_TRY(modes(r));
    if (zero != NC_G_NONE) /* 19 */
        SW_TRY(sw_nc_zero_group(r, zero));
    if (b->motion != NC_G_NONE) /* 20 */
        SW_TRY(motion(r, b->motion));
    else if (sw_nc_g(b, NC_MOTION) == NC_G80)
        now->motion = NC_G80;
    if ((m = sw_nc_m(b, NC_STOP)) != NC_M_NONE) /* 21 */
        SW_TRY(stop(r, m));
    return SW_OK;
}
