/* How the work is held: the rod and its holder first; for the second side a finished seat of the
 * first, with the hub hard on the nose face, in the holder of the shop that runs truest there. */
#include <math.h>
#include <string.h>

#include "geom/tol.h"
#include "plan/plan_int.h"

/* Rod over the widest section before runout: its skin comes off [mm]; common practice, no source.
 */
static const double skin = 0.1;

static bool is_named(const struct sw_holder *holder, const char *name)
{
    return strcmp(holder->name.value, name) == 0 || (holder->file && strstr(holder->file, name));
}

/* The truest holder that takes DIAMETER over LENGTH; with what hangs inside up to R_INSIDE. */
static const struct sw_holder *truest(const struct sw_shop *shop, const char *wanted,
                                      double diameter, double length, double r_inside,
                                      bool is_for_rod)
{
    const struct sw_holder *best = NULL;
    for (size_t i = 0; i < shop->n_holders; i++) {
        const struct sw_holder *it = shop->holders[i];
        const bool is_wanted = !wanted || is_named(it, wanted);
        /* A holder bored or cemented for one piece lets no rod through. */
        const bool is_through =
            it->kind.value == SW_HOLDER_COLLET || it->kind.value == SW_HOLDER_STEP;
        const bool takes = (is_through || !is_for_rod) && sw_holder_size_for(it, diameter) > 0 &&
                           length >= it->least_grip.value &&
                           (!it->bore_behind.given || r_inside * 2 <= it->bore_behind.value);
        if (is_wanted && takes && (!best || it->runout.value < best->runout.value))
            best = it;
    }
    return best;
}

/* A holder that a job names has to be one of the shop's. */
static enum sw_status check_wanted(const struct sw_planner *p, const struct sw_text *wanted)
{
    const size_t n = p->shop->n_holders;
    const char **names = SW_NEW(p->ctx->arena, const char *, n + 1);
    if (!names)
        return SW_MEMORY;
    for (size_t i = 0; i < n; i++) {
        names[i] = p->shop->holders[i]->name.value;
        if (!wanted->value || is_named(p->shop->holders[i], wanted->value))
            return SW_OK;
    }
    const char *near = sw_nearest_word(wanted->value, names);
    struct sw_buf hint = {0};
    if (near)
        sw_buf_printf(&hint, "did you mean `%s`?", near);
    for (size_t i = 0; !near && i < n; i++)
        sw_buf_printf(&hint, "%s%s", i == 0 ? "the shop has: " : ", ", names[i]);
    const bool is_failed = hint.failed;
    if (!is_failed)
        sw_diag_add(p->ctx->diag, SW_ERROR, "plan.no-such-holder", wanted->at, sw_buf_text(&hint),
                    "the shop has no holder called \"%s\"", wanted->value);
    sw_buf_done(&hint);
    return is_failed ? SW_MEMORY : SW_CANNOT;
}

enum sw_status sw_plan_hold_rod(struct sw_planner *p)
{
    const struct sw_staff *staff = p->staff;
    SW_TRY(check_wanted(p, &p->job->holder_first));
    SW_TRY(check_wanted(p, &p->job->holder_second));
    double widest = 0;
    for (size_t i = 0; i < staff->n; i++)
        widest = fmax(widest, p->shape->section[i].turned_diameter);
    widest = fmax(widest, 2 * sw_staff_widest(staff));
    const struct sw_stock *stock = p->shop->stock.at, *best = NULL, *unheld = NULL;
    const char *wanted = p->job->holder_first.value;
    const struct sw_holder *holder = NULL;
    double least = 0;
    bool has_material = false;
    for (size_t i = 0; i < p->shop->stock.n; i++) {
        const struct sw_stock *it = &stock[i];
        if (strcmp(it->material.value, staff->material) != 0)
            continue;
        has_material = true;
        const struct sw_holder *takes =
            truest(p->shop, wanted, it->diameter.value, it->length.value, 0, true);
        const double runout =
            p->shop->machine->spindle.runout.value + (takes ? takes->runout.value : 0);
        const double need = widest + skin + 2 * runout;
        least = need;
        const bool is_thick = it->diameter.value - it->under.value >= need;
        const bool fits = is_thick && it->diameter.value <= p->shop->machine->spindle.bore.value;
        if (is_thick && (!unheld || it->diameter.value < unheld->diameter.value))
            unheld = it;
        if (fits && takes && (!best || it->diameter.value < best->diameter.value)) {
            best = it;
            holder = takes;
        }
    }
    if (!has_material) {
        sw_diag_add(p->ctx->diag, SW_ERROR, "plan.no-material", staff->material_at,
                    "add such a rod to the shop's stock, or name a material it has",
                    "the shop has no rod of %s", staff->material);
        return SW_CANNOT;
    }
    if (!best && unheld) {
        sw_diag_add(p->ctx->diag, SW_ERROR, "plan.rod-unheld", p->shop->stock.span,
                    "add a thinner rod that is still thick enough, or a holder for this one",
                    "the thinnest rod that is thick enough is %.2f mm, and no holder%s takes it "
                    "through a spindle bore of %.2f mm",
                    unheld->diameter.value, wanted ? " of that name" : " of the shop",
                    p->shop->machine->spindle.bore.value);
        return SW_CANNOT;
    }
    if (!best) {
        const char *hint =
            sw_arena_printf(p->ctx->arena,
                            "a rod of %.2f mm or more (widest section %.3f, skin %.2f, runout "
                            "twice) and a holder that takes it",
                            least, widest, skin);
        if (!hint)
            return SW_MEMORY;
        sw_diag_add(p->ctx->diag, SW_ERROR, "plan.no-rod", p->shop->stock.span, hint,
                    "no rod of %s in the shop is thick enough and can be held", staff->material);
        return SW_CANNOT;
    }
    struct sw_plan_chucking *now = p->now;
    now->is_from_rod = true;
    now->in_bush = p->shop->machine->kind.value == SW_MACHINE_SLIDING;
    now->stock = best;
    now->holder = holder;
    now->holder_size = sw_holder_size_for(holder, best->diameter.value);
    now->rod_diameter = best->diameter.value;
    p->found->rod = best->diameter.value;
    now->grips = "rod";
    now->grip_diameter = best->diameter.value;
    now->grip_length = holder->most_grip.value;
    now->rod_end_z = p->z_tip + p->job->sizing_length.value + SW_PLAN_FACE_STOCK;
    p->stock_end = p->core_end = now->rod_end_z;
    if (!sw_contour_add(p->ctx->arena, &p->stock,
                        sw_seg_line((struct sw_pt){-2 * staff->total, now->rod_diameter / 2},
                                    (struct sw_pt){p->stock_end, now->rod_diameter / 2},
                                    SW_TAG_NONE)))
        return SW_MEMORY;
    return SW_OK;
}

/* The section to grip: as the job says, else the balance seat if the first side made it, else the
 * first seat or cylinder from the hub outwards on that side. */
static const struct sw_section *second_grip(const struct sw_planner *p, enum sw_side first)
{
    const struct sw_staff *staff = p->staff;
    if (p->job->second_grip.value && p->index > 0)
        return sw_staff_section(staff, p->job->second_grip.value);
    const bool is_upper = first == SW_SIDE_UPPER;
    const struct sw_section *found = NULL;
    for (size_t k = 0; k < staff->n; k++) {
        const size_t i = is_upper ? k : staff->n - 1 - k;
        const struct sw_section *is = &staff->section[i];
        if (i == p->land)
            break;
        if (is->takes == SW_TAKES_BALANCE)
            return is;
        if (is->kind == SW_SECTION_SEAT || is->kind == SW_SECTION_CYLINDER)
            found = is;
    }
    return found;
}

/* A relief groove at its foot is not held: the middle of the grip has to stand beside it. */
static enum sw_status refuse_hollow(struct sw_planner *p, const struct sw_section *grip)
{
    sw_diag_add(p->ctx->diag, SW_ERROR, "plan.grip-hollow", grip->at,
                "a narrower relief groove, or another section of that side as `second_grip`",
                "the %s cannot be gripped for the second side: its relief groove takes %.3f of its "
                "%.3f mm, and less than half of them may be hollow",
                grip->name, grip->relief_width, grip->z1 - grip->z0);
    return SW_CANNOT;
}

/* A rivet's lip bears no clamping. Nor does a holder hold a cone; a thin section it does, but
 * badly. */
static enum sw_status check_grip(struct sw_planner *p, const struct sw_section *grip,
                                 double diameter)
{
    static const char hint[] = "take a seat or a cylinder of that side as `second_grip`";
    if (grip->kind == SW_SECTION_RIVET) {
        sw_diag_add(p->ctx->diag, SW_ERROR, "plan.grip-on-rivet", p->job->second_grip.at,
                    "take the seat beside it, or another of that side, as `second_grip`",
                    "the %s cannot be gripped for the second side: its lip takes no clamping force",
                    grip->name);
        return SW_CANNOT;
    }
    if (grip->kind == SW_SECTION_CONE || grip->kind == SW_SECTION_BACK_SLOPE ||
        grip->kind == SW_SECTION_TAPER) {
        sw_diag_add(p->ctx->diag, SW_ERROR, "plan.grip-conical", p->job->second_grip.at, hint,
                    "the %s cannot be gripped for the second side: it is conical, and a holder "
                    "touches it on one line only",
                    grip->name);
        return SW_CANNOT;
    }
    if (grip->kind == SW_SECTION_PIVOT)
        sw_diag_add(p->ctx->diag, SW_WARNING, "plan.grip-thin", p->job->second_grip.at, hint,
                    "the %s of %.3f mm is thin to grip: the cuts of the second side may bend it",
                    grip->name, diameter);
    return SW_OK;
}

enum sw_status sw_plan_hold_piece(struct sw_planner *p, enum sw_side first)
{
    struct sw_plan_chucking *now = p->now;
    const struct sw_staff *staff = p->staff;
    const struct sw_section *grip = second_grip(p, first);
    if (!grip) {
        const char **names = SW_NEW(p->ctx->arena, const char *, staff->n + 1);
        if (!names)
            return SW_MEMORY;
        for (size_t i = 0; i < staff->n; i++)
            names[i] = staff->section[i].name;
        const char *near =
            p->job->second_grip.value ? sw_nearest_word(p->job->second_grip.value, names) : NULL;
        const char *hint = near ? sw_arena_printf(p->ctx->arena, "did you mean `%s`?", near)
                                : "name a section of the side cut first as second_grip";
        if (!hint)
            return SW_MEMORY;
        sw_diag_add(p->ctx->diag, SW_ERROR, "plan.no-second-grip",
                    p->job->second_grip.value ? p->job->second_grip.at : staff->material_at, hint,
                    p->job->second_grip.value ? "the staff has no section called \"%s\" to grip"
                                              : "nothing on the side cut first%s can be gripped "
                                                "for the second side",
                    p->job->second_grip.value ? p->job->second_grip.value : "");
        return SW_CANNOT;
    }
    const bool is_upper = first == SW_SIDE_UPPER;
    if (is_upper ? grip->index >= p->land : grip->index <= p->land) {
        sw_diag_add(p->ctx->diag, SW_ERROR, "plan.grip-on-second-side", p->job->second_grip.at,
                    "name a section that the first side finishes, between its tip and the hub",
                    "the %s is cut on the second side and cannot be gripped for it", grip->name);
        return SW_CANNOT;
    }
    struct sw_plan_held held;
    sw_plan_held(&held, p, grip);
    const double diameter = held.diameter;
    const double length = grip->z1 - grip->z0, bearing = length - grip->relief_width;
    SW_TRY(check_grip(p, grip, diameter));
    if (grip->has_relief && 2 * grip->relief_width >= length)
        return refuse_hollow(p, grip);
    const struct sw_holder *holder =
        truest(p->shop, p->index > 0 ? p->job->holder_second.value : NULL, diameter, bearing,
               held.r_behind, false);
    if (!holder) {
        const char *hint =
            sw_arena_printf(p->ctx->arena,
                            "a holder for %.3f mm that holds on %.2f mm of length and lets %.2f mm "
                            "pass behind the grip; a soft one bored in place does it",
                            diameter, bearing, 2 * held.r_behind);
        if (!hint)
            return SW_MEMORY;
        sw_diag_add(p->ctx->diag, SW_ERROR, "plan.no-holder", grip->at, hint,
                    "no holder of the shop takes the %s (%.3f mm) for the second side", grip->name,
                    diameter);
        return SW_CANNOT;
    }
    now->holder = holder;
    now->holder_size = sw_holder_size_for(holder, diameter);
    now->grips = grip->name;
    p->found->grip = grip->name;
    now->grip_diameter = diameter;
    now->grip_length = fmin(length, holder->most_grip.value);
    if (grip->has_relief && 2 * grip->relief_width >= now->grip_length)
        return refuse_hollow(p, grip);
    /* The shoulder beside the grip, towards the hub, sits hard on the nose face. */
    now->nose_z = sw_plan_chucking_z(p->shape, now->end, held.z_shoulder);
    now->rests = staff->section[held.rests].name;
    return SW_OK;
}

/* How far back over the cone of the holder's nose a body may reach whose underside is at R. */
static double over_cone(const struct sw_holder *holder, double r)
{
    const double spare = r - holder->nose_diameter.value / 2 - SW_PLAN_NOSE_GAP;
    if (spare <= 0)
        return 0;
    const double slope = tan(holder->nose_angle.value);
    const double most = holder->nose_length.value;
    return slope > 0 ? fmin(spare / slope, most) : most;
}

/* The furthest towards the headstock that anything of a tool needs free of the holder's nose while
 * its nose centre is at Z and at R or further out. */
static enum sw_status reach_back(double *lowest, const struct sw_tool *tool, double z, double r,
                                 const struct sw_holder *holder, struct sw_ctx *ctx)
{
    struct sw_contour cutting, body[SW_TOOL_BODIES];
    size_t n = 0;
    SW_TRY(sw_tool_cutting_outline(&cutting, tool, ctx));
    SW_TRY(sw_tool_body_outlines(body, &n, tool, ctx));
    *lowest = z + sw_contour_box(&cutting).z0;
    for (size_t i = 0; i < n; i++) {
        const struct sw_box box = sw_contour_box(&body[i]);
        *lowest = fmin(*lowest, z + box.z0 + over_cone(holder, r + box.r0));
    }
    return SW_OK;
}

enum sw_status sw_plan_rod_length(struct sw_planner *p)
{
    struct sw_plan_chucking *now = p->now;
    now->stick_out = now->rod_end_z - now->nose_z;
    now->rod_length = ceil(now->stick_out + now->grip_length);
    const double whole = now->stock->length.value;
    const double tail = whole - now->stick_out - now->grip_length;
    now->tail = fmin(fmax(0, tail), p->shop->tail_free.value);
    if (now->rod_length <= whole)
        return SW_OK;
    sw_diag_add(p->ctx->diag, SW_ERROR, "plan.rod-too-short", p->shop->stock.span, "a longer rod",
                "the rod of %.0f mm is shorter than the %.0f mm needed", whole, now->rod_length);
    return SW_CANNOT;
}

enum sw_status sw_plan_place_nose(struct sw_planner *p)
{
    struct sw_plan_chucking *now = p->now;
    double lowest = p->z_border;
    const struct sw_op *worst = NULL;
    for (size_t i = 0; i < p->ops.n; i++) {
        const struct sw_op *op = &p->ops.at[i];
        for (size_t k = 0; k < op->n_passes; k++) {
            const struct sw_box box = sw_contour_box(&op->pass[k].run);
            double z;
            SW_TRY(reach_back(&z, op->tool, box.z0, box.r0, now->holder, p->ctx));
            if (z < lowest) {
                lowest = z;
                worst = op;
            }
        }
    }
    if (now->is_from_rod) {
        p->found->sets_nose = worst ? worst->tool : NULL;
        now->nose_z = lowest - SW_PLAN_NOSE_GAP;
        return sw_plan_rod_length(p);
    }
    now->stick_out = p->stock_end - now->nose_z;
    if (lowest < now->nose_z + SW_TOL_POINT && worst) {
        const struct sw_section *is =
            &p->staff->section[worst->section < p->staff->n ? worst->section : 0];
        sw_diag_add(p->ctx->diag, SW_ERROR, "plan.nose", is->at,
                    "a tool whose point leads its holder, or grip the piece further in",
                    "to %s, %s would touch the nose of the holder by %.3f mm", worst->what,
                    worst->tool->name.value, now->nose_z - lowest);
        return SW_CANNOT;
    }
    return SW_OK;
}
