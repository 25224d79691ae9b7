#include "sim/sim.h"

#include <math.h>
#include <string.h>

/* How far rod and nose are drawn behind the face of the holder [mm]: longer than any tool. */
#define BEHIND 200.0
/* What hangs behind the grip is looked at in steps of this [mm]. */
#define GRIP_LOOK 0.01

enum sw_status sw_sim_new(struct sw_sim **out, const struct sw_setup *setup,
                          const struct sw_shop *shop, double total, struct sw_ctx *ctx)
{
    return sw_sim_new_with(out, &sw_work_chain, setup, shop, total, ctx);
}

enum sw_status sw_sim_new_with(struct sw_sim **out, const struct sw_work_class *kernel,
                               const struct sw_setup *setup, const struct sw_shop *shop,
                               double total, struct sw_ctx *ctx)
{
    struct sw_sim *sim = SW_NEW(ctx->arena, struct sw_sim, 1);
    if (sim == NULL)
        return SW_MEMORY;
    *sim = (struct sw_sim){.ctx = ctx,
                           .kernel = kernel,
                           .setup = setup,
                           .shop = shop,
                           .total = total,
                           .is_total_guessed = isnan(total)};
    sim->side = SW_NEW(ctx->arena, struct sw_sim_side, setup->sides.n);
    if (sim->side == NULL)
        return SW_MEMORY;
    SW_TRY(sim->kernel->make(&sim->work, ctx));
    *out = sim;
    return SW_OK;
}

void sw_sim_free(struct sw_sim *sim)
{
    if (sim == NULL)
        return;
    sw_region_free(sim->left[0]);
    sw_region_free(sim->left[1]);
    sim->kernel->free(sim->work);
}

void sw_sim_take_piece(struct sw_sim *sim, struct sw_region *least, struct sw_region *most)
{
    sim->left[SW_WORK_LEAST] = least;
    sim->left[SW_WORK_MOST] = most;
}

static bool is_named(const struct sw_text *name, const char *file, const struct sw_text *own)
{
    if (name->value == NULL)
        return false;
    return (own->value != NULL && strcmp(name->value, own->value) == 0) ||
           (file != NULL && strcmp(name->value, file) == 0);
}

/* The tool the record names; the shop's own station decides when two stations hold twins. */
static const struct sw_tool *find_tool(const struct sw_shop *shop,
                                       const struct sw_setup_station *station, bool *is_elsewhere)
{
    const struct sw_fitted_tool *fitted = shop->tools.at;
    const struct sw_tool *found = NULL;
    *is_elsewhere = false;
    for (size_t i = 0; i < shop->tools.n; i++) {
        const struct sw_tool *tool = fitted[i].is;
        const bool is_it = tool != NULL && (is_named(&station->tool, tool->file, &tool->name) ||
                                            is_named(&station->tool, NULL, &fitted[i].tool));
        if (!is_it)
            continue;
        if (fitted[i].station.value == station->station.value) {
            *is_elsewhere = false;
            return tool;
        }
        found = tool;
        *is_elsewhere = true;
    }
    return found;
}

static enum sw_status set_tool_up(struct sw_sim_tool *out, struct sw_sim *sim,
                                  const struct sw_setup_station *station)
{
    *out = (struct sw_sim_tool){.station = station,
                                .zero = {station->zero_z.value, station->zero_x.value}};
    const int number = (int)station->station.value;
    out->place = sw_machine_station(sim->shop->machine, number);
    out->tool = find_tool(sim->shop, station, &out->is_elsewhere);
    if (out->tool == NULL)
        return SW_OK;
    out->declared = sw_tool_declared_point(out->tool);
    struct sw_contour edge = {0}, body[SW_TOOL_BODIES] = {{0}};
    size_t n = 0;
    SW_TRY(sw_tool_cutting_outline(&edge, out->tool, sim->ctx));
    SW_TRY(sw_tool_body_outlines(body, &n, out->tool, sim->ctx));
    SW_TRY(sim->kernel->outline(&out->edge, sim->work, &edge));
    for (size_t i = 0; i < n; i++)
        SW_TRY(sim->kernel->outline(&out->body[out->n_bodies++], sim->work, &body[i]));
    return SW_OK;
}

static const struct sw_holder *find_holder(const struct sw_shop *shop, const struct sw_text *name)
{
    const struct sw_text *listed = shop->holder_names.at;
    for (size_t i = 0; i < shop->n_holders; i++) {
        const struct sw_holder *holder = shop->holders[i];
        if (holder != NULL && (is_named(name, holder->file, &holder->name) ||
                               (i < shop->holder_names.n && is_named(name, NULL, &listed[i]))))
            return holder;
    }
    return NULL;
}

/* Face, cone behind it, and a cylinder on from there; BACK -1: towards the headstock, +1: away. */
static enum sw_status draw_front(struct sw_convex *out, double face, int back, double r,
                                 double angle, double length, struct sw_arena *arena)
{
    const double wide = r + length * tan(fmax(0, angle));
    const struct sw_pt points[] = {{face, r},
                                   {face + back * length, wide},
                                   {face + back * BEHIND, wide},
                                   {face + back * BEHIND, -wide},
                                   {face + back * length, -wide},
                                   {face, -r}};
    return sw_convex_hull(out, points, sizeof points / sizeof *points, arena) ? SW_OK : SW_MEMORY;
}

static enum sw_status draw_bush(struct sw_sim *sim, const struct sw_machine_bush *bush)
{
    return draw_front(&sim->nose, 0, -1, bush->nose_diameter.value / 2, bush->nose_angle.value,
                      bush->nose_length.value, sim->ctx->arena);
}

static enum sw_status draw_nose(struct sw_sim *sim, const struct sw_sim_side *side)
{
    const struct sw_holder *holder = side->holder;
    sim->nose = (struct sw_convex){0};
    if (side->in_bush)
        return draw_bush(sim, &sim->shop->machine->bush);
    if (holder == NULL || !(holder->nose_diameter.value > 0))
        return SW_OK;
    return draw_front(&sim->nose, side->setup->nose_z.value, -1, holder->nose_diameter.value / 2,
                      holder->nose_angle.value, fmax(0, holder->nose_length.value),
                      sim->ctx->arena);
}

static enum sw_status draw_second(struct sw_sim *sim, const struct sw_sim_side *side)
{
    const struct sw_machine_second *second = &sim->shop->machine->second_spindle;
    sim->second = (struct sw_convex){0};
    sim->is_second_on = false;
    if (!side->setup->second.section.given || !second->grip.given)
        return SW_OK;
    return draw_front(&sim->second, side->setup->second.nose_z.value, 1,
                      second->nose_diameter.value / 2, second->nose_angle.value,
                      second->nose_length.value, sim->ctx->arena);
}

static enum sw_status clamp_work(struct sw_sim *sim, struct sw_sim_side *side)
{
    const struct sw_setup_side *record = side->setup;
    const double front = record->nose_z.value;
    if (record->rod_diameter.given)
        return sim->kernel->fill_rod(sim->work, front - BEHIND, record->rod_end_z.value,
                                     record->rod_diameter.value / 2, front);
    if (sim->left[0] == NULL)
        return SW_OK; /* nothing to clamp; had_work stays false */
    /* from the part frame: z = sign * (z_part - shift) */
    return sim->kernel->fill_piece(sim->work, sim->left[SW_WORK_LEAST], sim->left[SW_WORK_MOST],
                                   side->to_part_sign, -side->to_part_sign * side->to_part_shift,
                                   front);
}

static void look_at_grip(struct sw_sim *sim, struct sw_sim_side *side)
{
    const double front = side->setup->nose_z.value;
    const double middle = front - side->setup->grip_length.value / 2;
    double low = 0;
    side->had_work = sim->kernel->r_range(&low, &side->gripped_r, sim->work, middle);
    if (side->setup->rod_diameter.given)
        return;
    const double back = front - side->setup->grip_length.value;
    const struct sw_box box = sim->kernel->box(sim->work);
    for (double z = back - GRIP_LOOK; z > box.z0; z -= GRIP_LOOK) {
        double high = 0;
        if (sim->kernel->r_range(&low, &high, sim->work, z))
            side->behind_r = fmax(side->behind_r, high);
    }
}

enum sw_status sw_sim_begin_side(struct sw_sim *sim)
{
    if (sim->n_sides >= sim->setup->sides.n)
        return SW_INTERNAL;
    const struct sw_setup_side *record = (const struct sw_setup_side *)sim->setup->sides.at;
    struct sw_sim_side *side = &sim->side[sim->n_sides];
    *side = (struct sw_sim_side){.setup = &record[sim->n_sides],
                                 .holder = find_holder(sim->shop, &record[sim->n_sides].holder),
                                 .in_bush = record[sim->n_sides].bush_z.given &&
                                            record[sim->n_sides].rod_diameter.given,
                                 .first_move = sim->moves.n};
    const bool is_lower = side->setup->end.value == 1;
    side->to_part_sign = is_lower ? 1 : -1;
    side->to_part_shift = is_lower && !isnan(sim->total) ? sim->total : 0;
    sim->first_loose = sim->loose.n;
    const struct sw_setup_station *station = side->setup->stations.at;
    side->tool = SW_NEW(sim->ctx->arena, struct sw_sim_tool, side->setup->stations.n);
    if (side->tool == NULL)
        return SW_MEMORY;
    for (size_t i = 0; i < side->setup->stations.n; i++) {
        SW_TRY(set_tool_up(&side->tool[i], sim, &station[i]));
        side->n_tools++;
    }
    SW_TRY(draw_nose(sim, side));
    SW_TRY(draw_second(sim, side));
    SW_TRY(clamp_work(sim, side));
    look_at_grip(sim, side);
    sim->n_sides++;
    return SW_OK;
}

static bool stands_at(const struct sw_sim *sim, double z)
{
    return sim->kernel->box(sim->work).z1 > z;
}

/* From a rod the piece comes off as the largest that fell. A piece that is held stays the piece,
 * and what fell of it chips, unless more fell than stayed. */
static enum sw_status choose_piece(const struct sw_loose **out, struct sw_sim *sim,
                                   const struct sw_sim_side *side)
{
    const struct sw_loose *piece = NULL;
    for (size_t i = sim->first_loose; i < sim->loose.n; i++)
        if (piece == NULL || sim->loose.at[i].piece.volume > piece->volume)
            piece = &sim->loose.at[i].piece;
    *out = piece;
    if (piece == NULL || side->setup->rod_diameter.given)
        return SW_OK;
    struct sw_region *held = NULL;
    double volume = 0;
    SW_TRY(sim->kernel->region(&held, sim->work, SW_WORK_MOST));
    const enum sw_status status = sw_region_volume(&volume, held, sim->ctx);
    sw_region_free(held);
    if (volume > piece->volume)
        *out = NULL;
    return status;
}

/* The regions that go on from a side, chucking frame; owned by the caller. */
static enum sw_status take_out(struct sw_region *out[2], struct sw_sim *sim,
                               const struct sw_sim_side *side)
{
    const struct sw_loose *piece = NULL;
    SW_TRY(choose_piece(&piece, sim, side));
    /* a piece that should hang on its neck and fell instead goes on all the same */
    if (side->setup->neck_z.given && stands_at(sim, side->setup->neck_z.value))
        piece = NULL;
    if (piece != NULL) {
        SW_TRY(sw_region_copy(&out[0], piece->least));
        return sw_region_copy(&out[1], piece->most);
    }
    SW_TRY(sim->kernel->region(&out[0], sim->work, SW_WORK_LEAST));
    return sim->kernel->region(&out[1], sim->work, SW_WORK_MOST);
}

static enum sw_status cut_at_neck(struct sw_region *part[2], double neck, struct sw_sim *sim)
{
    for (enum sw_work_which which = 0; which < 2; which++) {
        struct sw_region *kept = NULL;
        SW_TRY(sim->kernel->beyond(&kept, sim->work, part[which], neck));
        sw_region_free(part[which]);
        part[which] = kept;
    }
    return SW_OK;
}

/* Without a staff the finished length is what the piece has less what is known to be left on it;
 * what is still to be faced off the far end is not known and stays in. */
static void guess_total(struct sw_sim *sim, const struct sw_region *piece)
{
    const struct sw_box box = sw_region_box(piece);
    const struct sw_setup *setup = sim->setup;
    sim->total =
        box.z1 - box.z0 - 2 * setup->tip.value - setup->upper_long.value - setup->lower_long.value;
}

enum sw_status sw_sim_end_side(struct sw_sim *sim)
{
    if (sim->n_sides == 0)
        return SW_INTERNAL;
    struct sw_sim_side *side = &sim->side[sim->n_sides - 1];
    side->n_moves = sim->moves.n - side->first_move;
    struct sw_region *part[2] = {NULL, NULL}, *placed[2] = {NULL, NULL};
    enum sw_status status = take_out(part, sim, side);
    if (status == SW_OK && side->setup->neck_z.given)
        status = cut_at_neck(part, side->setup->neck_z.value, sim);
    if (status == SW_OK && isnan(sim->total))
        guess_total(sim, part[1]);
    if (side->setup->end.value == 1)
        side->to_part_shift = sim->total;
    for (int i = 0; i < 2 && status == SW_OK; i++)
        status = sw_region_place(&placed[i], part[i], side->to_part_sign, side->to_part_shift);
    for (int i = 0; i < 2; i++) {
        sw_region_free(part[i]);
        if (status == SW_OK) {
            sw_region_free(sim->left[i]);
            sim->left[i] = placed[i];
        } else {
            sw_region_free(placed[i]);
        }
    }
    return status;
}

const struct sw_region *sw_sim_left(const struct sw_sim *sim, enum sw_work_which which)
{
    return sim->left[which];
}
