#include "moves/moves.h"

#include <math.h>
#include <string.h>

#include "base/buf.h"
#include "geom/tol.h"
#include "mech/speed.h"

struct mover {
    const struct sw_plan *plan;
    const struct sw_plan_chucking *chucking;
    struct sw_path *path;
    struct sw_ctx *ctx;
    const struct sw_tool *tool;
    int station;
    struct sw_pt shift; /* nose centre to declared point */
    struct sw_pt at;    /* nose centre */
    bool is_turning;
    bool at_pass; /* the next event begins a pass */
    bool takes;   /* a second spindle takes the piece before the tool comes down */
    double speed;
    double gap; /* in a bush: nose centre to its face, and where that stands on the work */
    double face;
    double clearance;
    double r_clear;
};

static enum sw_status emit(struct mover *m, struct sw_path_event event)
{
    event.begins_pass = m->at_pass;
    m->at_pass = false;
    return SW_VEC_PUSH(m->ctx->arena, m->path, event) ? SW_OK : SW_MEMORY;
}

static struct sw_pt declared(const struct mover *m, struct sw_pt nose)
{
    return (struct sw_pt){nose.z + m->shift.z, nose.r + m->shift.r};
}

static enum sw_status rapid_to(struct mover *m, double z, double r)
{
    const struct sw_pt to = {z, r};
    if (sw_pt_distance(to, m->at) < SW_TOL_POINT)
        return SW_OK;
    m->at = to;
    return emit(m, (struct sw_path_event){.kind = SW_PATH_RAPID, .to = declared(m, to)});
}

static enum sw_status rapid_r(struct mover *m, double r)
{
    return rapid_to(m, m->at.z, r);
}

static enum sw_status rapid_z(struct mover *m, double z)
{
    return rapid_to(m, z, m->at.r);
}

static enum sw_status line_to(struct mover *m, struct sw_pt to, double feed)
{
    if (sw_pt_distance(to, m->at) < SW_TOL_POINT)
        return SW_OK;
    m->at = to;
    return emit(m,
                (struct sw_path_event){.kind = SW_PATH_LINE, .to = declared(m, to), .feed = feed});
}

static enum sw_status follow(struct mover *m, const struct sw_seg *seg, double feed)
{
    if (seg->kind == SW_SEG_LINE)
        return line_to(m, seg->b, feed);
    m->at = seg->b;
    return emit(m, (struct sw_path_event){.kind = SW_PATH_ARC,
                                          .to = declared(m, seg->b),
                                          .centre = declared(m, seg->c),
                                          .turn = seg->turn,
                                          .feed = feed});
}

/* X first, then Z: to the place for hands and tool changes. */
static enum sw_status withdraw(struct mover *m)
{
    SW_TRY(rapid_r(m, SW_MOVES_HAND_R));
    /* In a bush Z draws the bar back: only the tools make room. */
    return m->chucking->in_bush ? SW_OK : rapid_z(m, SW_MOVES_HAND_Z);
}

static enum sw_status stop(struct mover *m)
{
    if (!m->is_turning)
        return SW_OK;
    m->is_turning = false;
    return emit(m, (struct sw_path_event){.kind = SW_PATH_STOP});
}

/* Where a tool begins: far from the work; in a bush only in X, its face on the work where it stands
 * already. */
static struct sw_pt begins_at(const struct mover *m, const struct sw_op *op)
{
    if (!m->chucking->in_bush)
        return (struct sw_pt){SW_MOVES_HAND_Z, SW_MOVES_HAND_R};
    return (struct sw_pt){m->face + op->bush_gap, SW_MOVES_HAND_R};
}

static enum sw_status use_tool(struct mover *m, const struct sw_op *op)
{
    if (m->station == op->station)
        return SW_OK;
    if (m->tool) {
        SW_TRY(withdraw(m));
        SW_TRY(stop(m));
        m->face = m->at.z - m->gap;
    }
    m->gap = op->bush_gap;
    m->tool = op->tool;
    m->station = op->station;
    m->shift = sw_tool_declared_point(op->tool);
    SW_TRY(emit(m, (struct sw_path_event){.kind = SW_PATH_TOOL,
                                          .station = op->station,
                                          .text = op->tool->name.value}));
    /* Its numbers are not the last tool's: both axes, far from the work. */
    m->at = begins_at(m, op);
    return emit(m, (struct sw_path_event){.kind = SW_PATH_RAPID, .to = declared(m, m->at)});
}

static enum sw_status turn(struct mover *m, const struct sw_op *op, double speed)
{
    const struct sw_machine *machine = m->plan->shop->machine;
    const struct sw_station *station = sw_machine_station(machine, op->station);
    /* Nobody is called to a spindle that turns as it should. */
    if (machine->control.spindle_words.value == 0 && m->is_turning && speed == m->speed)
        return SW_OK;
    m->is_turning = true;
    m->speed = speed;
    return emit(m, (struct sw_path_event){.kind = SW_PATH_SPINDLE,
                                          .speed = speed,
                                          .is_surface_speed = op->is_surface_speed,
                                          .speed_clamp = op->speed_clamp,
                                          .is_ccw = station->spindle.value == SW_SENSE_CCW});
}

static enum sw_status approach(struct mover *m, const struct sw_pass *pass, bool is_in_front)
{
    if (!pass->comes_axially) {
        SW_TRY(rapid_z(m, pass->from.z));
        if (m->takes)
            SW_TRY(emit(m, (struct sw_path_event){.kind = SW_PATH_SECOND, .is_on = true}));
        return rapid_r(m, pass->from.r);
    }
    if (!is_in_front)
        SW_TRY(rapid_z(m, pass->from.z + m->clearance));
    SW_TRY(rapid_r(m, pass->from.r));
    return rapid_z(m, pass->from.z);
}

/* Through air, mm per turn of a spindle that runs as fast as it does where the cut ends. */
static double air_feed(const struct sw_op *op, const struct sw_pass *pass)
{
    const double feed = pass->feed > 0 ? pass->feed : op->feed;
    const double r = pass->run.at[pass->run.n - 1].b.r;
    const double speed = pass->speed > 0 ? pass->speed : op->speed;
    const double turns =
        op->is_surface_speed ? sw_speed_clamped(op->speed, 2 * r, 1, op->speed_clamp) : speed;
    return sw_plan_air_feed(op->tool, feed, turns);
}

static enum sw_status run_pass(struct mover *m, const struct sw_op *op, size_t i)
{
    const struct sw_pass *pass = &op->pass[i];
    const double feed = pass->feed > 0 ? pass->feed : op->feed;
    const double speed = pass->speed > 0 ? pass->speed : op->speed;
    m->at_pass = true;
    if (fabs(speed - m->speed) > 0.5)
        SW_TRY(turn(m, op, speed));
    SW_TRY(approach(m, pass, i > 0 && op->pass[i - 1].leaves_axially));
    SW_TRY(line_to(m, pass->run.at[0].a,
                   pass->enter_feed > 0  ? pass->enter_feed
                   : pass->enters_in_air ? air_feed(op, pass)
                                         : feed));
    for (size_t k = 0; k < pass->run.n; k++)
        SW_TRY(follow(m, &pass->run.at[k], feed));
    SW_TRY(line_to(m, pass->lift, pass->lifts_into_air ? air_feed(op, pass) : feed));
    if (pass->leaves_axially)
        SW_TRY(rapid_z(m, pass->back_z));
    return pass->back_r > m->at.r || pass->leaves_axially ? rapid_r(m, pass->back_r) : SW_OK;
}

static enum sw_status cut(struct mover *m, const struct sw_op *op)
{
    const bool is_corrected =
        m->plan->has_corrections && op->correction > 0 && op->kind == SW_OP_FINISH;
    SW_TRY(use_tool(m, op));
    SW_TRY(emit(m, (struct sw_path_event){
                       .kind = SW_PATH_SECTION, .station = op->station, .text = op->what}));
    const bool has_own = op->n_passes > 0 && op->pass[0].speed > 0;
    SW_TRY(turn(m, op, has_own ? op->pass[0].speed : op->speed));
    if (is_corrected)
        SW_TRY(emit(m, (struct sw_path_event){
                           .kind = SW_PATH_CORRECT, .correction = op->correction, .is_on = true}));
    /* Once both spindles hold the work nothing may move along z: it is taken at the last place. */
    const bool is_taken = op->kind == SW_OP_PART && m->chucking->second.section;
    for (size_t i = 0; i < op->n_passes; i++) {
        m->takes = is_taken && i + 1 == op->n_passes;
        SW_TRY(run_pass(m, op, i));
    }
    m->takes = false;
    SW_TRY(rapid_r(m, fmax(m->r_clear, m->at.r)));
    if (is_taken)
        SW_TRY(emit(m, (struct sw_path_event){.kind = SW_PATH_SECOND, .is_on = false}));
    if (is_corrected)
        SW_TRY(emit(m, (struct sw_path_event){
                           .kind = SW_PATH_CORRECT, .correction = op->correction, .is_on = false}));
    return SW_OK;
}

static enum sw_status pause(struct mover *m, const struct sw_op *op)
{
    SW_TRY(withdraw(m));
    SW_TRY(stop(m));
    struct sw_buf text = {0};
    sw_buf_add(&text, op->what);
    if (op->kind == SW_OP_MEASURE) {
        sw_buf_add(&text, ", expect ");
        sw_buf_fixed(&text, op->expected_diameter, 4);
        sw_buf_add(&text, " mm");
    }
    char *copy = text.failed ? NULL : sw_arena_copy(m->ctx->arena, sw_buf_text(&text), text.n);
    sw_buf_done(&text);
    if (!copy)
        return SW_MEMORY;
    return emit(m, (struct sw_path_event){.kind = SW_PATH_PAUSE, .text = copy});
}

/* ---- head ---- */

typedef SW_VEC(const char *) lines;

static bool say(struct sw_ctx *ctx, lines *to, const char *text)
{
    return text && SW_VEC_PUSH(ctx->arena, to, text);
}

static enum sw_status head(struct mover *m)
{
    struct sw_ctx *ctx = m->ctx;
    const struct sw_plan_chucking *c = m->chucking;
    lines out = {0};
    bool ok = say(ctx, &out,
                  sw_arena_printf(ctx->arena, "%s, %s, %s end out", m->plan->shape->staff->name,
                                  c->name, c->end == SW_SIDE_UPPER ? "upper" : "lower"));
    ok = ok && say(ctx, &out, "judged by calculation, not run on a machine: cut air first");
    if (c->in_bush)
        ok =
            ok && say(ctx, &out,
                      sw_arena_printf(ctx->arena,
                                      "bar %.2f mm of %s in the guide bush, the nose of %s %.2f mm "
                                      "behind its end",
                                      c->rod_diameter, c->stock->material.value,
                                      c->holder->name.value, c->stick_out));
    else
        ok = ok &&
             say(ctx, &out,
                 c->is_from_rod
                     ? sw_arena_printf(ctx->arena,
                                       "rod %.2f mm of %s, standing out %.2f mm from "
                                       "the nose of %s",
                                       c->rod_diameter, c->stock->material.value, c->stick_out,
                                       c->holder->name.value)
                     : sw_arena_printf(ctx->arena, "%sheld by the %s in %s, %s hard on its nose",
                                       m->plan->blank ? "hardened blank, " : "", c->grips,
                                       c->holder->name.value, c->rests));
    ok = ok && say(ctx, &out, "Z0 is the finished end face, X0 the axis");
    int said[64] = {0};
    size_t n_said = 0;
    for (size_t i = 0; ok && i < c->n_ops; i++) {
        const struct sw_op *op = &c->op[i];
        bool is_new = op->n_passes > 0;
        for (size_t k = 0; k < n_said; k++)
            is_new = is_new && said[k] != op->station;
        if (!is_new || n_said == sizeof said / sizeof *said)
            continue;
        said[n_said++] = op->station;
        const char *point = op->tool->point.value == SW_POINT_NOSE_CENTRE ? "centre of the nose"
                            : op->tool->touched.value == SW_TOUCHED_HEADSTOCK_SIDE
                                ? "tip touched on the axis side and the headstock side"
                                : "tip touched on the axis side and the free side";
        ok = say(ctx, &out,
                 sw_arena_printf(ctx->arena, "T%d %s, nose %.3f mm, numbers mean the %s",
                                 op->station, op->tool->name.value, op->tool->nose_radius.value,
                                 point));
    }
    if (!ok)
        return SW_MEMORY;
    m->path->head = out.at;
    m->path->n_head = out.n;
    return SW_OK;
}

enum sw_status sw_moves_build(struct sw_path **out, const struct sw_plan *plan, size_t i,
                              struct sw_ctx *ctx)
{
    const struct sw_plan_chucking *c = &plan->chucking[i];
    struct sw_path *path = SW_NEW(ctx->arena, struct sw_path, 1);
    struct sw_path_correction *corrections =
        SW_NEW(ctx->arena, struct sw_path_correction, c->n_corrections);
    if (!path || !corrections)
        return SW_MEMORY;
    for (size_t k = 0; k < c->n_corrections; k++)
        corrections[k].name = c->correction[k];
    path->stem = c->is_again ? "finish" : i == 0 ? "side-1" : "side-2";
    path->correction = corrections;
    path->n_corrections = plan->has_corrections ? c->n_corrections : 0;
    double nose = 0;
    for (size_t k = 0; k < c->n_ops; k++)
        nose = fmax(nose, c->op[k].tool->nose_radius.value);
    struct mover m = {.plan = plan,
                      .chucking = c,
                      .path = path,
                      .ctx = ctx,
                      .clearance = plan->shop->clearance.value,
                      .r_clear = c->rod_diameter / 2 + nose + plan->shop->clearance.value};
    SW_TRY(head(&m));
    for (size_t k = 0; k < c->n_ops; k++) {
        const struct sw_op *op = &c->op[k];
        const bool is_pause = op->kind == SW_OP_MEASURE || op->kind == SW_OP_TRY;
        if (k == 0) {
            const struct sw_pt shift = sw_tool_declared_point(op->tool);
            m.face = c->in_bush ? op->pass[0].from.z - op->bush_gap : 0;
            const struct sw_pt at = begins_at(&m, op);
            path->park = (struct sw_pt){at.z + shift.z, at.r + shift.r};
        }
        SW_TRY(is_pause ? pause(&m, op) : cut(&m, op));
    }
    SW_TRY(withdraw(&m));
    SW_TRY(stop(&m));
    SW_TRY(emit(&m, (struct sw_path_event){.kind = SW_PATH_END}));
    *out = path;
    return SW_OK;
}
