/* One move after the other. */
#include <math.h>

#include "sim/ahead.h"
#include "sim/sim.h"

/* A path shorter than this [mm] is no move: far below any control's grid. */
#define NO_MOVE 1e-9

static struct sw_sim_side *side_now(const struct sw_sim *sim)
{
    return &sim->side[sim->n_sides - 1];
}

static bool all_move_along(const struct sw_sim *sim)
{
    return sim->shop->machine->change.value == SW_CHANGE_GANG;
}

struct sw_pt sw_sim_place(const struct sw_sim_tool *tool, struct sw_motion_pt at)
{
    return (struct sw_pt){at.z - tool->zero.z - tool->declared.z,
                          at.x - tool->zero.r - tool->declared.r};
}

size_t sw_sim_tool_in_use(const struct sw_sim *sim, const struct sw_motion_state *state)
{
    const struct sw_sim_side *side = side_now(sim);
    const struct sw_control *control = &sim->shop->machine->control;
    const bool acts_on_t =
        control->tool_words.value == 1 || control->tool_offsets.value == SW_OFFSET_NONE;
    for (size_t i = 0; i < side->n_tools; i++) {
        const struct sw_setup_station *station = side->tool[i].station;
        const double number = acts_on_t ? station->station.value : station->system.value;
        const int wanted = acts_on_t ? state->tool : state->system;
        if (side->tool[i].tool != NULL && wanted > 0 && number == wanted)
            return i;
    }
    /* one tool, zeroed before its program, and a text that names none */
    if (side->n_tools == 1 && side->tool[0].tool != NULL && (!acts_on_t || state->tool == 0))
        return 0;
    return SW_SIM_NO_TOOL;
}

static struct sw_sweep sweep_of(const struct sw_sim_tool *tool, const struct sw_motion_event *event)
{
    return (struct sw_sweep){.is_arc = event->kind == SW_MOTION_ARC,
                             .from = sw_sim_place(tool, event->from),
                             .to = sw_sim_place(tool, event->to),
                             .centre = sw_sim_place(tool, event->centre),
                             .radius_from = event->radius_from,
                             .radius_to = event->radius_to,
                             .turn = event->turn,
                             .is_full_turn = event->is_full_turn};
}

static enum sw_status add_contact(struct sw_sim *sim, enum sw_sim_contact_kind kind, size_t tool,
                                  struct sw_pt at)
{
    const struct sw_sim_contact contact = {
        .kind = kind, .move = sim->moves.n - 1, .tool = tool, .at = at};
    return SW_VEC_PUSH(sim->ctx->arena, &sim->contacts, contact) ? SW_OK : SW_MEMORY;
}

double sw_sim_bush_z(const struct sw_sim *sim, double machine_z)
{
    return machine_z - side_now(sim)->setup->bush_z.value;
}

/* The front face that the tools must not touch, the nose centre of TOOL standing at Z. */
static double nose_face(const struct sw_sim_side *side, const struct sw_sim_tool *tool, double z)
{
    return side->in_bush ? z + tool->zero.z + tool->declared.z - side->setup->bush_z.value
                         : side->setup->nose_z.value;
}

/* Seen from the guide bush a tool goes to and from the axis only, its z kept. */
static struct sw_sweep seen_from_bush(const struct sw_sim *sim, const struct sw_sim_tool *tool,
                                      const struct sw_sweep *sweep)
{
    const struct sw_box path = sw_sweep_box(sweep);
    const double z = side_now(sim)->setup->bush_z.value - tool->zero.z - tool->declared.z;
    return (struct sw_sweep){.from = {z, path.r0}, .to = {z, path.r1}};
}

/* Try one outline of a tool against a nose. */
static enum sw_status try_nose(bool *out, const struct sw_convex *front,
                               const struct sw_outline *outline, const struct sw_sweep *sweep)
{
    *out = false;
    const struct sw_convex *shape = sw_outline_touch(outline);
    if (front->n == 0 || shape->n == 0)
        return SW_OK;
    const struct sw_box nose = sw_convex_box(front), path = sw_sweep_box(sweep);
    const struct sw_box own = sw_convex_box(shape);
    const struct sw_box reach = {path.z0 + own.z0, path.r0 + own.r0, path.z1 + own.z1,
                                 path.r1 + own.r1};
    if (!sw_box_overlaps(nose, reach))
        return SW_OK;
    struct sw_arena *arena = sw_arena_new();
    struct sw_pt *points =
        arena != NULL ? SW_NEW(arena, struct sw_pt, sw_convex_sweep_room(shape)) : NULL;
    if (points == NULL) {
        sw_arena_free(arena);
        return SW_MEMORY;
    }
    const size_t n = sw_sweep_n_chords(sweep, SW_WORK_TOUCH);
    for (size_t i = 0; i < n && !*out; i++) {
        const struct sw_convex swept =
            sw_convex_sweep(points, shape, sw_sweep_at(sweep, i, n), sw_sweep_at(sweep, i + 1, n));
        *out = sw_convex_overlaps(&swept, front, 0);
    }
    sw_arena_free(arena);
    return SW_OK;
}

/* What of a tool is tried against the work; against the nose all of it always is. */
enum tried { TRY_NOTHING, TRY_BODIES, TRY_ALL };

static enum sw_status try_tool(struct sw_sim *sim, size_t index, const struct sw_sweep *sweep,
                               enum tried tried, enum sw_sim_contact_kind kind)
{
    const struct sw_sim_tool *tool = &side_now(sim)->tool[index];
    const struct sw_sim_side *side = side_now(sim);
    const struct sw_sweep from_nose = side->in_bush ? seen_from_bush(sim, tool, sweep) : *sweep;
    bool meets_work = false, meets_nose = false, meets_second = !sim->is_second_on;
    struct sw_pt place = sweep->to;
    for (size_t i = 0; i <= tool->n_bodies; i++) {
        const struct sw_outline *outline = i == 0 ? tool->edge : tool->body[i - 1];
        if (!meets_work && (tried == TRY_ALL || (tried == TRY_BODIES && i > 0)))
            SW_TRY(sim->kernel->touches(&meets_work, &place, sim->work, outline, sweep));
        if (!meets_nose)
            SW_TRY(try_nose(&meets_nose, &sim->nose, outline, &from_nose));
        if (!meets_second)
            SW_TRY(try_nose(&meets_second, &sim->second, outline, sweep));
    }
    if (meets_work)
        SW_TRY(add_contact(sim, kind, index, place));
    if (meets_nose)
        SW_TRY(add_contact(sim, SW_SIM_NOSE, index,
                           (struct sw_pt){nose_face(side, tool, sweep->to.z), sweep->to.r}));
    if (meets_second && sim->is_second_on)
        SW_TRY(add_contact(sim, SW_SIM_SECOND, index,
                           (struct sw_pt){side->setup->second.nose_z.value, sweep->to.r}));
    return SW_OK;
}

static enum sw_status try_neighbours(struct sw_sim *sim, size_t in_use,
                                     const struct sw_motion_event *event, enum tried tried,
                                     enum sw_sim_contact_kind kind)
{
    if (!all_move_along(sim))
        return SW_OK;
    const struct sw_sim_side *side = side_now(sim);
    for (size_t i = 0; i < side->n_tools; i++) {
        if (i == in_use || side->tool[i].tool == NULL)
            continue;
        const struct sw_sweep sweep = sweep_of(&side->tool[i], event);
        SW_TRY(try_tool(sim, i, &sweep, tried, kind));
    }
    return SW_OK;
}

/* One half of a rapid's way round, for the tool in use or for its neighbours. */
static enum sw_status try_half(struct sw_sim *sim, size_t in_use,
                               const struct sw_motion_event *event, struct sw_motion_pt from,
                               struct sw_motion_pt to, bool is_neighbours)
{
    struct sw_motion_event half = *event;
    half.from = from;
    half.to = to;
    if (is_neighbours)
        return try_neighbours(sim, in_use, &half, TRY_ALL, SW_SIM_RAPID_BEND);
    if (in_use == SW_SIM_NO_TOOL)
        return SW_OK;
    const struct sw_sweep sweep = sweep_of(&side_now(sim)->tool[in_use], &half);
    return try_tool(sim, in_use, &sweep, TRY_ALL, SW_SIM_RAPID_BEND);
}

/* Where both axes, each at its own speed, have got to when the first of them arrives. */
static struct sw_motion_pt first_arrival(const struct sw_sim *sim,
                                         const struct sw_motion_event *event)
{
    const struct sw_axis_pair *rapid = &sim->shop->machine->rapid;
    const double dx = event->to.x - event->from.x, dz = event->to.z - event->from.z;
    const bool has_speeds = rapid->x.value > 0 && rapid->z.value > 0;
    const double x_time = fabs(dx) / (has_speeds ? rapid->x.value : 1);
    const double z_time = fabs(dz) / (has_speeds ? rapid->z.value : 1);
    const double time = fmin(x_time, z_time);
    return (struct sw_motion_pt){event->from.x + dx * time / x_time,
                                 event->from.z + dz * time / z_time};
}

/* A rapid's axes may arrive at different times. The tool in use must be clear both ways round the
 * rectangle of the move, whichever axis lags: any way between crosses work only where one of these
 * or the straight one does, since the work is in one piece with what is held. Neighbours, whose way
 * goes past the work at every change of tools, must be clear when each axis runs at its own speed.
 */
static enum sw_status try_bends(struct sw_sim *sim, size_t index,
                                const struct sw_motion_event *event)
{
    const struct sw_motion_pt from = event->from, to = event->to;
    const struct sw_motion_pt corner[3] = {
        {to.x, from.z}, {from.x, to.z}, first_arrival(sim, event)};
    const size_t n_before = sim->contacts.n;
    if (fabs(to.z - from.z) < NO_MOVE || fabs(to.x - from.x) < NO_MOVE)
        return SW_OK;
    for (int i = 0; i < 3 && sim->contacts.n == n_before; i++) {
        SW_TRY(try_half(sim, index, event, from, corner[i], i == 2));
        if (sim->contacts.n == n_before)
            SW_TRY(try_half(sim, index, event, corner[i], to, i == 2));
    }
    return SW_OK;
}

static enum sw_status take_fallen(struct sw_sim *sim)
{
    struct sw_loose *piece = NULL;
    size_t n = 0;
    const double held = side_now(sim)->setup->nose_z.value;
    SW_TRY(sim->kernel->loosen(&piece, &n, sim->work, held));
    for (size_t i = 0; i < n; i++) {
        const struct sw_sim_loose fallen = {sim->n_sides - 1, sim->moves.n - 1, piece[i]};
        if (!SW_VEC_PUSH(sim->ctx->arena, &sim->loose, fallen))
            return SW_MEMORY;
    }
    return SW_OK;
}

static enum sw_status cut(struct sw_sim *sim, struct sw_sim_move *move,
                          const struct sw_sim_tool *tool)
{
    SW_TRY(sim->kernel->remove(&move->removed, sim->work, tool->edge, &move->sweep));
    move->is_cut = move->removed.area_most > 0;
    if (!move->is_cut || tool->tool->kind.value != SW_TOOL_FACE_POINT)
        return SW_OK;
    /* a wall stands outside the edge when the work there is higher than the edge's upper side */
    const double nose = tool->tool->nose_radius.value;
    const double deepest = fmin(move->sweep.from.z, move->sweep.to.z);
    const double edge_r = fmax(move->sweep.from.r, move->sweep.to.r) + nose;
    double low = 0, high = 0;
    if (sim->kernel->r_range(&low, &high, sim->work, deepest) && high > edge_r + SW_WORK_TOUCH)
        move->heel_r = edge_r;
    return SW_OK;
}

static enum sw_status try_loose(struct sw_sim *sim, size_t index, const struct sw_sweep *sweep)
{
    for (size_t i = sim->first_loose; i < sim->loose.n; i++) {
        bool meets = false;
        SW_TRY(sim->kernel->touches_loose(&meets, sim->work, &sim->loose.at[i].piece,
                                          side_now(sim)->tool[index].edge, sweep));
        if (!meets)
            continue;
        SW_TRY(add_contact(sim, SW_SIM_LOOSE, index, sweep->to));
        sim->contacts.at[sim->contacts.n - 1].loose = i;
    }
    return SW_OK;
}

static enum sw_status rapid(struct sw_sim *sim, struct sw_sim_move *move)
{
    const struct sw_sim_tool *tool = &side_now(sim)->tool[move->tool];
    bool meets = false;
    struct sw_pt place = move->sweep.to;
    SW_TRY(sim->kernel->touches(&meets, &place, sim->work, tool->edge, &move->sweep));
    if (!meets)
        return SW_OK;
    SW_TRY(add_contact(sim, SW_SIM_RAPID, move->tool, place));
    return cut(sim, move, tool);
}

/* What touches the work before a feed move: if nothing does, nothing will during it. */
struct touching {
    const struct sw_outline **outline;
    size_t *tool;
    size_t n;
    struct sw_region *before; /* the work; NULL while nothing touches */
};

static enum sw_status note_touching(struct touching *t, struct sw_sim *sim, size_t index,
                                    bool with_edge, const struct sw_motion_event *event)
{
    const struct sw_sim_tool *tool = &side_now(sim)->tool[index];
    const struct sw_sweep sweep = sweep_of(tool, event);
    for (size_t i = with_edge ? 0 : 1; i <= tool->n_bodies; i++) {
        const struct sw_outline *outline = i == 0 ? tool->edge : tool->body[i - 1];
        bool meets = false;
        SW_TRY(sim->kernel->touches(&meets, NULL, sim->work, outline, &sweep));
        if (!meets)
            continue;
        t->outline[t->n] = outline;
        t->tool[t->n++] = index;
    }
    return SW_OK;
}

static enum sw_status look_before(struct touching *t, struct sw_sim *sim, size_t in_use,
                                  const struct sw_motion_event *event)
{
    const struct sw_sim_side *side = side_now(sim);
    const size_t room = side->n_tools * (SW_TOOL_BODIES + 1);
    t->outline = SW_NEW(sim->ctx->arena, const struct sw_outline *, room);
    t->tool = SW_NEW(sim->ctx->arena, size_t, room);
    if (t->outline == NULL || t->tool == NULL)
        return SW_MEMORY;
    for (size_t i = 0; i < side->n_tools; i++)
        if (side->tool[i].tool != NULL && (i == in_use || all_move_along(sim)))
            SW_TRY(note_touching(t, sim, i, i != in_use, event));
    return t->n > 0 ? sim->kernel->region(&t->before, sim->work, SW_WORK_MOST) : SW_OK;
}

/* Did it come there before the edge had made room, or does it stand in the work after the move? */
static enum sw_status look_after(const struct touching *t, struct sw_sim *sim, size_t in_use,
                                 const struct sw_motion_event *event)
{
    const struct sw_sim_tool *tool = side_now(sim)->tool;
    const struct sw_sweep edge_sweep = sweep_of(&tool[in_use], event);
    size_t told = SW_SIM_NO_TOOL;
    for (size_t i = 0; i < t->n; i++) {
        const struct sw_sweep sweep = sweep_of(&tool[t->tool[i]], event);
        bool meets = false;
        struct sw_pt place = sweep.to;
        if (t->tool[i] == told)
            continue;
        SW_TRY(sim->kernel->touches(&meets, &place, sim->work, t->outline[i], &sweep));
        if (!meets)
            SW_TRY(sw_sim_ahead(&meets, &place, t->before, sw_outline_outer(tool[in_use].edge),
                                &edge_sweep, sw_outline_touch(t->outline[i]), &sweep, sim->ctx));
        if (!meets)
            continue;
        told = t->tool[i];
        SW_TRY(add_contact(sim, told == in_use ? SW_SIM_BODY : SW_SIM_NEIGHBOUR, told, place));
    }
    return SW_OK;
}

static enum sw_status feed(struct sw_sim *sim, struct sw_sim_move *move)
{
    struct touching touching = {0};
    const struct sw_motion_event *event = move->event;
    const size_t index = move->tool;
    SW_TRY(look_before(&touching, sim, index, event));
    enum sw_status status = try_loose(sim, index, &move->sweep);
    if (status == SW_OK)
        status = cut(sim, move, &side_now(sim)->tool[index]);
    if (status == SW_OK)
        status = look_after(&touching, sim, index, event);
    sw_region_free(touching.before);
    return status;
}

/* Everything on the slide but the edge in use, against the nose and, unless a feed move has seen to
 * that, the work as it stands. */
static enum sw_status try_slide(struct sw_sim *sim, const struct sw_sim_move *move, bool is_fed)
{
    const size_t in_use = move->tool;
    if (in_use != SW_SIM_NO_TOOL)
        SW_TRY(try_tool(sim, in_use, &move->sweep, is_fed ? TRY_NOTHING : TRY_BODIES, SW_SIM_BODY));
    return try_neighbours(sim, in_use, move->event, is_fed ? TRY_NOTHING : TRY_ALL,
                          SW_SIM_NEIGHBOUR);
}

static enum sw_status run_move(struct sw_sim *sim, const struct sw_motion_event *event)
{
    const size_t index = sw_sim_tool_in_use(sim, &event->state);
    struct sw_sim_move first = {
        .event = event, .program = sim->n_programs, .side = sim->n_sides - 1, .tool = index};
    if (!SW_VEC_PUSH(sim->ctx->arena, &sim->moves, first))
        return SW_MEMORY;
    struct sw_sim_move *move = &sim->moves.at[sim->moves.n - 1];
    const struct sw_sim_tool at_machine = {0};
    const struct sw_sim_tool *tool =
        index == SW_SIM_NO_TOOL ? &at_machine : &side_now(sim)->tool[index];
    move->sweep = sweep_of(tool, event);
    move->length = sw_sweep_length(&move->sweep);
    const bool is_rapid = event->kind == SW_MOTION_RAPID;
    const bool has_edge = index != SW_SIM_NO_TOOL && move->length > NO_MOVE;
    const size_t n_before = sim->contacts.n;
    if (has_edge)
        SW_TRY(is_rapid ? rapid(sim, move) : feed(sim, move));
    SW_TRY(try_slide(sim, move, has_edge && !is_rapid));
    if (is_rapid && sim->contacts.n == n_before)
        SW_TRY(try_bends(sim, index, event));
    return move->removed.may_part ? take_fallen(sim) : SW_OK;
}

/* A tool that stands where the last move ended: a move without length. */
static enum sw_status stand(struct sw_sim *sim, const struct sw_motion_event *event)
{
    const size_t index = sw_sim_tool_in_use(sim, &event->state);
    if (index == SW_SIM_NO_TOOL || sim->last == NULL)
        return SW_OK;
    const struct sw_motion_pt at = sim->last->to;
    const struct sw_sim_tool *tool = &side_now(sim)->tool[index];
    struct sw_sim_move move = {
        .event = event, .program = sim->n_programs, .side = sim->n_sides - 1, .tool = index};
    move.sweep = (struct sw_sweep){.from = sw_sim_place(tool, at), .to = sw_sim_place(tool, at)};
    if (!SW_VEC_PUSH(sim->ctx->arena, &sim->moves, move))
        return SW_MEMORY;
    return try_tool(sim, index, &move.sweep, TRY_ALL, SW_SIM_BODY);
}

/* A tool that comes to stand where it was changed. */
static enum sw_status run_change(struct sw_sim *sim, const struct sw_motion_event *event)
{
    return all_move_along(sim) ? SW_OK : stand(sim, event);
}

/* The second spindle comes up along the axis: what is beside its place then was beside its way. */
static enum sw_status run_second(struct sw_sim *sim, const struct sw_motion_event *event)
{
    sim->is_second_on = event->is_taken;
    if (!event->is_taken || sim->last == NULL)
        return SW_OK;
    struct sw_motion_event here = *event;
    here.from = here.to = sim->last->to;
    SW_TRY(stand(sim, event));
    return try_neighbours(sim, sw_sim_tool_in_use(sim, &event->state), &here, TRY_NOTHING,
                          SW_SIM_NEIGHBOUR);
}

void sw_sim_begin_program(struct sw_sim *sim)
{
    sim->last = NULL;
}

enum sw_status sw_sim_step(struct sw_sim *sim, const struct sw_motion_event *event)
{
    switch (event->kind) {
    case SW_MOTION_RAPID:
    case SW_MOTION_LINE:
    case SW_MOTION_ARC:
        SW_TRY(run_move(sim, event));
        sim->last = event;
        break;
    case SW_MOTION_TOOL:
        SW_TRY(run_change(sim, event));
        break;
    case SW_MOTION_SECOND:
        SW_TRY(run_second(sim, event));
        break;
    default:
        break;
    }
    side_now(sim)->n_moves = sim->moves.n - side_now(sim)->first_move;
    return SW_OK;
}

void sw_sim_end_program(struct sw_sim *sim)
{
    sim->n_programs++;
}

enum sw_status sw_sim_run(struct sw_sim *sim, const struct sw_motion *motion)
{
    if (sim->n_sides == 0)
        return SW_INTERNAL;
    sw_sim_begin_program(sim);
    for (size_t i = 0; i < motion->n; i++)
        SW_TRY(sw_sim_step(sim, &motion->at[i]));
    sw_sim_end_program(sim);
    return SW_OK;
}

enum sw_status sw_sim_volume(double out[2], struct sw_sim *sim)
{
    for (enum sw_work_which which = 0; which < 2; which++) {
        struct sw_region *region = NULL;
        SW_TRY(sim->kernel->region(&region, sim->work, which));
        const enum sw_status status = sw_region_volume(&out[which], region, sim->ctx);
        sw_region_free(region);
        SW_TRY(status);
    }
    return SW_OK;
}

double sw_sim_clearance(const struct sw_sim *sim, struct sw_motion_pt at, size_t tool)
{
    const struct sw_sim_side *side = side_now(sim);
    double nearest = HUGE_VAL;
    for (size_t i = 0; i < side->n_tools; i++) {
        const struct sw_sim_tool *one = &side->tool[i];
        if (one->tool == NULL || (i != tool && !all_move_along(sim)))
            continue;
        const struct sw_pt place = sw_sim_place(one, at);
        nearest = fmin(nearest, sim->kernel->distance(sim->work, one->edge, place));
        for (size_t k = 0; k < one->n_bodies; k++)
            nearest = fmin(nearest, sim->kernel->distance(sim->work, one->body[k], place));
    }
    return nearest;
}
