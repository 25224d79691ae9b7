/* From a shape and a shop to two chuckings.
 *
 * Scheme `reversed`: the first side is finished from the rod with the other side roughed behind
 * the hub, parted, turned round, gripped by a finished seat with the hub on the nose face, and
 * finished from its own end. Everything is worked out in the frame of one chucking, on exact
 * contours: where a tool's nose may go (reach.c), in which order (zones.c, side.c), along which
 * runs (passes.c, recess.c, behind.c), and last how far the work must stand out (hold.c).
 *
 * Considered and not taken: one plan for the whole staff with tool directions mixed, because each
 * chucking has its own datum and a mistake in one must not move the other; and a general
 * two-dimensional clearing of areas, because a turned part is single-valued in z for every tool
 * that works from outside, and the one exception (the recess) is single-valued in r. */
#include "plan/plan.h"

#include <math.h>
#include <string.h>

#include "geom/tol.h"
#include "plan/advice.h"
#include "plan/bound.h"
#include "plan/budget.h"
#include "mech/bar_profile.h"
#include "mech/speed.h"
#include "plan/plan_int.h"
#include "plan/single.h"
#include "plan/support.h"
#include "plan/ways.h"
#include "plan/window.h"

/* The rod stands out this much further than the staff is long before the nose face is known [mm].
 */
static const double usual_overhang = 3.5;

double sw_plan_chucking_z(const struct sw_shape *shape, enum sw_side end, double part_z)
{
    return end == SW_SIDE_UPPER ? -part_z : part_z - shape->staff->total;
}

/* The widest plain stretch of the turned piece: the land of the hub. Ends in part frame. */
static enum sw_status land(double *z0, double *z1, double *r, size_t *section,
                           const struct sw_shape *shape, struct sw_ctx *ctx)
{
    const struct sw_contour *turned = &shape->turned;
    *r = 0;
    for (size_t i = 0; i < turned->n; i++) {
        const struct sw_seg *seg = &turned->at[i];
        const bool is_plain = seg->kind == SW_SEG_LINE && seg->b.z - seg->a.z > SW_TOL_SLIVER &&
                              fabs(seg->a.r - seg->b.r) < SW_TOL_SLIVER;
        if (is_plain && seg->a.r > *r + SW_TOL_SLIVER) {
            *r = seg->a.r;
            *z0 = seg->a.z;
            *z1 = seg->b.z;
            *section = (size_t)seg->tag;
        }
    }
    if (*r > 0)
        return SW_OK;
    const struct sw_span at = shape->staff->n ? shape->staff->section[0].at : (struct sw_span){0};
    sw_diag_add(ctx->diag, SW_ERROR, "plan.no-land", at,
                "give the widest section a cylindrical land",
                "the staff has no cylindrical stretch where one side can end and the other begin");
    return SW_CANNOT;
}

/* This side's part of a whole contour, from the border to the tip, with the land run on inwards. */
enum sw_status sw_plan_side_of(struct sw_contour *out, const struct sw_contour *whole,
                               const struct sw_planner *p, double run_on)
{
    const bool is_upper = p->now->end == SW_SIDE_UPPER;
    struct sw_contour placed;
    SW_TRY(sw_contour_place(&placed, whole, is_upper ? -1 : 1, is_upper ? 0 : -p->staff->total,
                            p->ctx));
    *out = (struct sw_contour){0};
    const struct sw_pt border = {p->z_border, p->r_border};
    const struct sw_pt inner = {p->z_border - run_on, p->r_border};
    if (!sw_contour_add(p->ctx->arena, out, sw_seg_line(inner, border, SW_TAG_NONE)))
        return SW_MEMORY;
    /* The chain is followed from the border on; it may overhang (recess), so by order, not by z. */
    bool is_past = false;
    for (size_t i = 0; i < placed.n; i++) {
        struct sw_seg seg = placed.at[i];
        if (!is_past) {
            const bool is_land =
                seg.kind == SW_SEG_LINE && fabs(seg.a.r - p->r_border) < SW_TOL_SLIVER &&
                fabs(seg.b.r - p->r_border) < SW_TOL_SLIVER &&
                seg.a.z <= p->z_border + SW_TOL_SLIVER && seg.b.z >= p->z_border - SW_TOL_SLIVER;
            if (!is_land)
                continue;
            is_past = true;
            seg.a = border;
            if (sw_pt_distance(seg.a, seg.b) < SW_TOL_POINT)
                continue;
        }
        if (!sw_contour_add(p->ctx->arena, out, seg))
            return SW_MEMORY;
    }
    return SW_OK;
}

enum sw_status sw_plan_begin(struct sw_planner *p, struct sw_plan *plan, size_t i,
                             struct sw_plan_found *found, const struct sw_plan_task *task,
                             struct sw_ctx *ctx)
{
    const enum sw_side first = (enum sw_side)plan->job->first_side.value;
    struct sw_plan_chucking *now = &plan->chucking[i];
    *now = (struct sw_plan_chucking){0};
    *p = (struct sw_planner){.job = plan->job,
                             .shop = plan->shop,
                             .shape = plan->shape,
                             .staff = plan->shape->staff,
                             .post = task->post,
                             .blank = task->blank,
                             .ctx = ctx,
                             .now = now,
                             .found = found,
                             .overhang = usual_overhang,
                             .explains = task->explains,
                             .is_survey = task->is_survey,
                             .favourite = task->favourite[i],
                             .ties = task->ties,
                             .bound = task->bound,
                             .index = i};
    now->name = i == 0 ? "side 1" : "side 2";
    now->end = i == 0 ? first : first == SW_SIDE_UPPER ? SW_SIDE_LOWER : SW_SIDE_UPPER;
    const bool is_upper = now->end == SW_SIDE_UPPER;
    double z0 = 0, z1 = 0;
    SW_TRY(land(&z0, &z1, &p->r_border, &p->land, p->shape, ctx));
    /* The first side takes the whole land, the second begins where it comes to it. */
    const bool takes_land = i == 0 && !task->blank; /* a blank's is finished */
    const double border = takes_land == is_upper ? z1 : z0;
    p->z_border = sw_plan_chucking_z(p->shape, now->end, border);
    p->z_tip =
        sw_plan_chucking_z(p->shape, now->end, is_upper ? p->shape->z_upper : p->shape->z_lower);
    const double run_on = 1.0; /* more than any tool's nose and over-run */
    SW_TRY(sw_shape_plain(&p->plain, p->shape, ctx));
    SW_TRY(sw_plan_side_of(&p->turned, &p->plain->turned, p, run_on));
    SW_TRY(sw_plan_side_of(&p->ceiling, &p->plain->ceiling, p, run_on));
    SW_TRY(sw_plan_side_of(&p->grooved, &p->shape->turned, p, run_on));
    SW_TRY(sw_plan_side_of(&p->grooved_ceiling, &p->shape->ceiling, p, run_on));
    SW_TRY(sw_plan_zones(p));
    if (p->blank)
        sw_plan_keep_zones(p);
    return SW_OK;
}

double sw_plan_largest_nose(const struct sw_shop *shop)
{
    const struct sw_fitted_tool *fitted = shop->tools.at;
    double nose = 0;
    for (size_t i = 0; i < shop->tools.n; i++)
        nose = fmax(nose, fitted[i].is->nose_radius.value);
    return nose;
}

/* At surface speed by the mean radius. */
static double pass_seconds(const struct sw_op *op, const struct sw_pass *pass)
{
    const double feed = pass->feed > 0 ? pass->feed : op->feed;
    double speed = pass->speed > 0 ? pass->speed : op->speed;
    if (op->is_surface_speed) {
        const struct sw_box box = sw_contour_box(&pass->run);
        const double nose = op->tool->nose_radius.value;
        const double diameter = fmax(box.r0 + box.r1 - 2 * nose, SW_BAR_LEAST_DIAMETER);
        speed = sw_speed_clamped(op->speed, diameter, 0, op->speed_clamp);
    }
    return sw_speed_time(sw_contour_length(&pass->run), feed, speed);
}

enum sw_status sw_plan_end(struct sw_planner *p)
{
    SW_TRY(p->now->in_bush ? sw_window_end(p) : sw_plan_place_nose(p));
    struct sw_plan_chucking *now = p->now;
    if (!now->in_bush)
        now->face_z = now->nose_z;
    now->op = p->ops.at;
    now->n_ops = p->ops.n;
    now->correction = (const char *const *)p->corrections.at;
    now->n_corrections = p->corrections.n;
    now->bend = p->bends.at;
    now->n_bends = p->bends.n;
    for (size_t i = 0; i < now->n_ops; i++) {
        const struct sw_op *op = &now->op[i];
        for (size_t k = 0; k < op->n_passes; k++)
            now->seconds += pass_seconds(op, &op->pass[k]);
    }
    return SW_OK;
}

/* One go at the first side, the rod standing out by a guess or as is known from a go before. */
static enum sw_status try_first(struct sw_plan_left *left, struct sw_plan *plan,
                                struct sw_plan_found *found, const struct sw_plan_task *task,
                                double overhang, bool bears_all, struct sw_ctx *ctx)
{
    struct sw_planner p;
    found->is_refused = found->has_watched = false;
    found->levers.n = 0;
    for (size_t i = 0; i < SW_PLAN_SIDES; i++)
        found->equals[i].n = 0;
    SW_TRY(sw_plan_begin(&p, plan, 0, found, task, ctx));
    if (p.bound)
        *p.bound = (struct sw_plan_bound){0};
    p.overhang = found->overhang = overhang;
    p.bears_all = bears_all;
    SW_TRY(sw_plan_hold_rod(&p));
    SW_TRY(sw_support_begin(&p));
    p.r_clear = p.now->rod_diameter / 2 + sw_plan_largest_nose(p.shop) + p.shop->clearance.value;
    SW_TRY(sw_plan_side(&p));
    SW_TRY(sw_single_is(&p) ? sw_single_behind(left, &p) : sw_plan_behind(left, &p));
    return sw_plan_end(&p);
}

static double overhang_of(const struct sw_plan *plan)
{
    return -plan->chucking[0].nose_z - plan->shape->staff->total;
}

enum sw_status sw_plan_hand_on(const struct sw_diag *aside, struct sw_ctx *ctx)
{
    if (sw_diag_failed(aside))
        return SW_MEMORY;
    for (size_t i = 0; i < sw_diag_n(aside); i++) {
        const struct sw_diag_record *it = sw_diag_at(aside, i);
        sw_diag_add(ctx->diag, it->severity, it->code, it->at, it->hint, "%s", it->message);
    }
    return SW_OK;
}

/* With the overhang that the passes ask for; where there are none yet, they are planned for that
 * alone. */
static enum sw_status plan_again(struct sw_plan_left *left, struct sw_plan *plan,
                                 struct sw_plan_found *found, const struct sw_plan_task *task,
                                 bool is_unknown, struct sw_ctx *ctx)
{
    struct sw_ctx aside = {ctx->arena, sw_diag_new()};
    enum sw_status status = SW_OK;
    if (!aside.diag)
        return SW_MEMORY;
    if (is_unknown)
        status = try_first(left, plan, found, task, usual_overhang, true, &aside);
    const enum sw_status said = status != SW_OK ? sw_plan_hand_on(aside.diag, ctx) : SW_OK;
    sw_diag_free(aside.diag);
    SW_TRY(said);
    SW_TRY(status);
    return try_first(left, plan, found, task, overhang_of(plan), false, ctx);
}

/* How far the rod stands out is known only when the passes are. What was planned for a shorter rod
 * than that is planned again; what is refused by a guess gets the true measure before it is. */
static enum sw_status plan_first(struct sw_plan_left *left, struct sw_plan *plan,
                                 struct sw_plan_found *found, const struct sw_plan_task *task,
                                 struct sw_ctx *ctx)
{
    /* In a bush the work is held just behind the tool, however far the collet is. */
    if (task->shop->machine->kind.value == SW_MACHINE_SLIDING)
        return try_first(left, plan, found, task, usual_overhang, false, ctx);
    if (task->overhang > 0)
        return try_first(left, plan, found, task, task->overhang, false, ctx);
    struct sw_ctx aside = {ctx->arena, sw_diag_new()};
    if (!aside.diag)
        return SW_MEMORY;
    const enum sw_status status = try_first(left, plan, found, task, usual_overhang, false, &aside);
    const bool is_weak = status == SW_CANNOT && found->is_refused;
    const bool is_further = status == SW_OK && overhang_of(plan) > usual_overhang;
    if (is_weak || is_further) {
        sw_diag_free(aside.diag);
        return plan_again(left, plan, found, task, is_weak, ctx);
    }
    const enum sw_status said = sw_plan_hand_on(aside.diag, ctx);
    sw_diag_free(aside.diag);
    return said != SW_OK ? said : status;
}

/* What the neck leaves standing in front of the end, half as long as the blade is wide. */
static enum sw_status add_stump(struct sw_planner *p, const struct sw_plan_chucking *before)
{
    const double r = before->neck_diameter / 2;
    const struct sw_pt core = p->stock.at[p->stock.n - 1].b;
    p->stock_end = -before->neck_z - p->staff->total;
    const struct sw_pt corner[] = {core, {core.z, r}, {p->stock_end, r}};
    for (size_t i = 0; i + 1 < sizeof corner / sizeof *corner; i++)
        if (sw_pt_distance(corner[i], corner[i + 1]) > SW_TOL_POINT &&
            !sw_contour_add(p->ctx->arena, &p->stock,
                            sw_seg_line(corner[i], corner[i + 1], SW_TAG_NONE)))
            return SW_MEMORY;
    return SW_OK;
}

/* Held further out than by the hub, the bar begins with what the first side finished in between. */
static enum sw_status add_held(struct sw_planner *p)
{
    const bool is_upper = p->now->end == SW_SIDE_UPPER;
    const double z_stock = sw_contour_box(&p->stock).z0;
    struct sw_contour placed, form, all = {0}, piece = {0};
    if (strcmp(p->now->rests, p->staff->section[p->land].name) == 0 ||
        z_stock < p->now->nose_z + SW_TOL_SLIVER)
        return SW_OK;
    SW_TRY(sw_contour_place(&placed, &p->shape->turned, is_upper ? -1 : 1,
                            is_upper ? 0 : -p->staff->total, p->ctx));
    SW_TRY(sw_contour_envelope(&form, &placed, HUGE_VAL, HUGE_VAL, p->ctx));
    SW_TRY(sw_contour_piece(&piece, &form, p->now->nose_z, z_stock, p->ctx));
    SW_TRY(sw_plan_join(p, &all, &piece));
    SW_TRY(sw_plan_join(p, &all, &p->stock));
    p->stock = all;
    return SW_OK;
}

static enum sw_status plan_second(struct sw_plan *plan, struct sw_plan_found *found,
                                  const struct sw_plan_left *left, const struct sw_plan_task *task,
                                  struct sw_ctx *ctx)
{
    const struct sw_plan_chucking *before = &plan->chucking[0];
    struct sw_planner p;
    SW_TRY(sw_plan_begin(&p, plan, 1, found, task, ctx));
    p.now->stock = before->stock;
    p.now->rod_diameter = before->rod_diameter;
    SW_TRY(sw_plan_hold_piece(&p, before->end));
    /* Turned round: both frames have their zero at a finished end, `total` apart. */
    SW_TRY(sw_contour_place(&p.stock, &left->most, -1, -p.staff->total, ctx));
    SW_TRY(sw_contour_place(&p.slim, &left->least, -1, -p.staff->total, ctx));
    p.stock_end = p.core_end = sw_contour_box(&p.stock).z1;
    if (before->has_neck)
        SW_TRY(add_stump(&p, before));
    SW_TRY(add_held(&p));
    /* The land, finished on the first side, and everything over it. */
    p.r_clear = before->rod_diameter / 2 + sw_plan_largest_nose(p.shop) + p.shop->clearance.value;
    SW_TRY(sw_single_is(&p) ? sw_single_tip(&p) : sw_plan_side(&p));
    return sw_plan_end(&p);
}

enum sw_status sw_plan_trial(struct sw_plan **out, struct sw_plan_found *found,
                             const struct sw_plan_task *task, struct sw_ctx *ctx)
{
    struct sw_plan *plan = SW_NEW(ctx->arena, struct sw_plan, 1);
    if (!plan)
        return SW_MEMORY;
    plan->job = task->job;
    plan->shop = task->shop;
    plan->shape = task->shape;
    plan->blank = task->blank;
    const bool is_single = task->job->scheme.value == SW_SCHEME_SINGLE;
    const bool ends_by_hand = is_single && task->job->last_tip.value == SW_LAST_TIP_BY_HAND;
    plan->n_chuckings = ends_by_hand ? 1 : 2;
    plan->has_corrections = sw_post_has_corrections(task->post);
    struct sw_plan_left left = {0};
    double z0, z1, r;
    SW_TRY(land(&z0, &z1, &r, &plan->land, task->shape, ctx));
    if (task->blank) {
        SW_TRY(sw_plan_hardened_trial(plan, found, task, ctx));
        *out = plan;
        return SW_OK;
    }
    SW_TRY(plan_first(&left, plan, found, task, ctx));
    if (!ends_by_hand)
        SW_TRY(plan_second(plan, found, &left, task, ctx));
    *out = plan;
    return SW_OK;
}

struct sw_shape_extra sw_plan_extra(const struct sw_job *job)
{
    const bool is_upper_first = job->first_side.value == SW_SIDE_UPPER;
    const double more = job->leave_long.value;
    return (struct sw_shape_extra){is_upper_first ? 0 : more, is_upper_first ? more : 0};
}

static enum sw_status plan_and_advise(struct sw_plan **out, struct sw_plan_task *task,
                                      struct sw_plan_aids *aids, struct sw_ctx *ctx)
{
    struct sw_plan_found found = {0};
    struct sw_plan *plan = NULL;
    const enum sw_status status = sw_plan_choose(&plan, &found, task, ctx);
    if (status == SW_CANNOT && found.is_refused)
        SW_TRY(sw_advice_on_refusal(&found, task, aids, ctx));
    SW_TRY(status);
    sw_budget(plan, ctx);
    SW_TRY(sw_advice_on_bending(&found, task, aids, ctx));
    *out = plan;
    return SW_OK;
}

enum sw_status sw_plan_build(struct sw_plan **out, const struct sw_job *job,
                             const struct sw_shop *shop, const struct sw_shape *shape,
                             const struct sw_post *post, struct sw_plan_aids *aids,
                             struct sw_ctx *ctx)
{
    struct sw_plan_task task = {
        .job = job, .shop = shop, .shape = shape, .post = post, .explains = aids && aids->explains};
    const bool is_sliding = shop->machine->kind.value == SW_MACHINE_SLIDING;
    if (job->scheme.value == SW_SCHEME_AUTO && !is_sliding)
        return sw_plan_best_way(out, &(struct sw_plan_question){job, shop, shape, post, aids}, ctx);
    SW_TRY(sw_window_scheme(job, shop, ctx));
    return plan_and_advise(out, &task, aids, ctx);
}

enum sw_status sw_plan_hardened(struct sw_plan **out, const struct sw_job *job,
                                const struct sw_shop *shop, const struct sw_shape *shape,
                                const struct sw_post *post, const struct sw_plan_blank *blank,
                                struct sw_plan_aids *aids, struct sw_ctx *ctx)
{
    struct sw_job *own = SW_NEW(ctx->arena, struct sw_job, 1);
    if (!own)
        return SW_MEMORY;
    /* Its ends are stout already, and nothing is tried on between the seats and them. */
    *own = *job;
    own->scheme.value = SW_SCHEME_REVERSED;
    own->pivot_order = (struct sw_choice){.value = SW_PIVOTS_TIP_FIRST, .given = true};
    struct sw_plan_task task = {.job = own,
                                .shop = shop,
                                .shape = shape,
                                .post = post,
                                .blank = blank,
                                .explains = aids && aids->explains};
    return plan_and_advise(out, &task, aids, ctx);
}
