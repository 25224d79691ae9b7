/* The neck that carries a staff cut in one grip. */
#include <math.h>

#include "geom/tol.h"
#include "plan/hang.h"
#include "plan/single_int.h"
#include "plan/spring.h"

/* The neck breaks before the pivot bends: its diameter as a share of the pivot's. By bending
 * moment, the cubes: 0.42. */
static const double neck_share = 0.75;
/* Thinner than this no neck is thought of, and looked for in such steps, on radius [mm]. */
static const double least_neck = 0.015, neck_step = 0.00125;
/* The contour beyond the neck rises so flat that it hides nothing from any tool [rad]: 20 degrees.
 */
static const double tail_slope = 0.349066;
/* Lumps of the work are no longer than this [mm]. */
static const double lump = 0.1;

static const double standard_gravity = 9.80665; /* m/s2, ISO 80000-3 */
static const double pi = 3.14159265358979323846;

/* The pivot runs on to the neck, the neck to the rod. */
static enum sw_status run_on(struct sw_contour *contour, const struct sw_planner *q,
                             const struct sw_single_neck *neck)
{
    const size_t tip = q->zones.at[0].first;
    size_t n = contour->n;
    while (n > 0) {
        const struct sw_seg *seg = &contour->at[n - 1];
        if (seg->kind == SW_SEG_LINE && seg->tag == (int)tip &&
            seg->b.z - seg->a.z > SW_TOL_SLIVER && fabs(seg->a.r - seg->b.r) < SW_TOL_SLIVER)
            break;
        n--;
    }
    if (n == 0)
        return SW_CANNOT;
    struct sw_contour out = {0};
    for (size_t i = 0; i < n; i++)
        if (!sw_contour_add(q->ctx->arena, &out, contour->at[i]))
            return SW_MEMORY;
    out.at[n - 1].b.z = neck->z_in;
    const double r_pivot = out.at[n - 1].b.r, r_end = q->now->rod_diameter;
    const double z_flat = neck->z_out + 2 * sw_plan_largest_nose(q->shop) + 2 * SW_PLAN_LEAD;
    const struct sw_pt corner[] = {{neck->z_in, r_pivot},
                                   {neck->z_in, neck->r},
                                   {z_flat, neck->r},
                                   {z_flat + (r_end - neck->r) / tan(tail_slope), r_end}};
    for (size_t i = 0; i + 1 < sizeof corner / sizeof *corner; i++)
        if (!sw_contour_add(q->ctx->arena, &out,
                            sw_seg_line(corner[i], corner[i + 1], i == 0 ? (int)tip : SW_TAG_NONE)))
            return SW_MEMORY;
    *contour = out;
    return SW_OK;
}

enum sw_status sw_single_with_neck(struct sw_planner *q, const struct sw_single_outlines *staff,
                                   const struct sw_single_neck *neck)
{
    q->turned = staff->turned;
    q->ceiling = staff->ceiling;
    q->grooved = staff->grooved;
    q->grooved_ceiling = staff->grooved_ceiling;
    enum sw_status status = run_on(&q->turned, q, neck);
    if (status == SW_OK)
        status = run_on(&q->ceiling, q, neck);
    if (status == SW_OK)
        status = run_on(&q->grooved, q, neck);
    if (status == SW_OK)
        status = run_on(&q->grooved_ceiling, q, neck);
    if (status == SW_CANNOT) {
        const struct sw_section *is = &q->staff->section[q->zones.at[0].first];
        sw_diag_add(q->ctx->diag, SW_ERROR, "plan.single-tip", is->at, "`scheme: reversed`",
                    "the %s has no cylindrical length that a neck could go on from: a staff that "
                    "ends so is not cut in one grip",
                    is->name);
    }
    return status;
}

/* All that hangs, and what it hangs on when all is cut: as an outline, by growing z. */
static enum sw_status hanging(struct sw_contour *out, struct sw_planner *q)
{
    const bool is_upper = q->now->end == SW_SIDE_UPPER;
    struct sw_contour placed, staff, beyond, stock;
    SW_TRY(sw_hang_zone(q, &q->zones.at[0]));
    SW_TRY(sw_contour_place(&placed, &q->shape->turned, is_upper ? -1 : 1,
                            is_upper ? 0 : -q->staff->total, q->ctx));
    SW_TRY(sw_contour_envelope(&staff, &placed, HUGE_VAL, HUGE_VAL, q->ctx));
    *out = (struct sw_contour){0};
    const double z_in = q->zones.at[1].z_in, z_top = q->hang.z_top;
    SW_TRY(sw_contour_piece(out, &staff, sw_contour_box(&staff).z0, z_in, q->ctx));
    SW_TRY(sw_contour_piece(&beyond, &q->hang.form, z_in, z_top, q->ctx));
    SW_TRY(sw_plan_join(q, out, &beyond));
    if (z_top > sw_contour_box(&q->stock).z1 - SW_TOL_SLIVER)
        return SW_OK;
    SW_TRY(sw_contour_piece(&stock, &q->stock, z_top, sw_contour_box(&q->stock).z1, q->ctx));
    return sw_plan_join(q, out, &stock);
}

/* First critical speed of what hangs [rev/min], and the stress its weight makes in the neck [MPa].
 * By Dunkerley's rule, the sum of each lump's mass times the compliance at its place: never above
 * the true one, and 1.5 % below it for a uniform bar held at one end. */
static enum sw_status carried(struct sw_plan_neck *is, struct sw_planner *q,
                              const struct sw_single_neck *neck)
{
    struct sw_contour outline;
    struct sw_bar_pieces pieces = {0};
    struct sw_bar bar = {0};
    SW_TRY(hanging(&outline, q));
    const double tonne_mm3 = q->now->stock->is->density.value * 1e-9;
    SW_TRY(sw_bar_pieces_of(&pieces, &outline, q->hang.z_root, sw_contour_box(&outline).z0,
                            SW_BAR_ARC_SHARE, q->ctx));
    SW_TRY(sw_strength_bar(&bar, q, &pieces, q->ctx));
    const double neck_end = q->hang.z_root - q->hang.z_foot; /* along the bar */
    double moment = 0, carries = 0, per_square = 0;
    for (size_t i = 0; i < pieces.n; i++) {
        const struct sw_bar_piece *at = &pieces.at[i];
        const int n = (int)ceil((at->z1 - at->z0) / lump);
        for (int k = 0; k < n; k++) {
            const double t = (k + 0.5) / n, z = at->z0 + t * (at->z1 - at->z0);
            const double d = at->d0 + t * (at->d1 - at->d0);
            const double mass = pi / 4 * d * d * (at->z1 - at->z0) / n * tonne_mm3;
            per_square += mass * sw_bar_compliance(&bar, z, z);
            carries += z > neck_end ? mass : 0;
            moment += z > neck_end ? mass * standard_gravity * 1000 * (z - neck_end) : 0;
        }
    }
    is->critical_speed = 60 / (2 * pi * sqrt(per_square));
    is->carries_mg = carries * 1e9;
    is->weight_stress = 32 * moment / (pi * pow(2 * neck->r, 3));
    return SW_OK;
}

/* What its own last cut does to the neck at the most, and what carries then. */
static enum sw_status look_at_neck(struct sw_plan_neck *is, struct sw_planner *q,
                                   const struct sw_single_outlines *staff,
                                   const struct sw_single_neck *neck)
{
    const struct sw_zone *zone = &q->zones.at[0];
    struct sw_spring spring;
    SW_TRY(sw_single_with_neck(q, staff, neck));
    SW_TRY(sw_hang_zone(q, zone));
    const struct sw_op op =
        sw_plan_op(q, SW_OP_FINISH, SW_CUT_FINISH, zone->finish, 2 * neck->r, zone->first);
    const struct sw_spring_cut cut = {.form = &q->turned,
                                      .z_in = zone->z_in,
                                      .z_out = zone->z_out,
                                      .over = op.depth,
                                      .tool = zone->finish.tool,
                                      .speed = op.speed,
                                      .depth = op.depth,
                                      .feed = op.feed};
    SW_TRY(sw_spring_begin(&spring, q, &cut));
    is->diameter = 2 * neck->r;
    is->length = q->hang.z_foot - neck->z_in;
    is->cut_stress = sw_spring_load(&spring, zone->z_in).stress;
    return carried(is, q, neck);
}

static double most_stress(const struct sw_planner *q)
{
    return q->now->stock->is->yield.value / q->shop->safety.value;
}

static bool bears(const struct sw_planner *q, const struct sw_plan_neck *is)
{
    return is->cut_stress + is->weight_stress <= most_stress(q) &&
           SW_SINGLE_WHIRL_SHARE * is->critical_speed >=
               q->shop->machine->spindle.least_speed.value;
}

static enum sw_status refuse_neck(struct sw_planner *q, const struct sw_plan_neck *is, double least,
                                  double most)
{
    const struct sw_number *asked = &q->job->neck;
    const char *why = sw_arena_printf(
        q->ctx->arena,
        "its last cut by %s strains it by up to %.0f MPa and the %.1f mg it carries by %.0f, of "
        "%.0f; it whirls at %.0f rev/min, and the spindle turns no slower than %.0f",
        q->zones.at[0].finish.tool->name.value, is->cut_stress, is->carries_mg, is->weight_stress,
        most_stress(q), is->critical_speed, q->shop->machine->spindle.least_speed.value);
    const char *hint =
        least > 0
            ? sw_arena_printf(q->ctx->arena, "`neck: %.4f` to `%.4f`", ceil(2e4 * least) / 1e4,
                              floor(2e4 * most) / 1e4)
            : "a tool with a sharper edge or a shallower `finish_depth`; or `scheme: reversed`";
    if (!why || !hint)
        return SW_MEMORY;
    if (asked->given && is->diameter > 2 * most + SW_TOL_POINT)
        sw_diag_add(q->ctx->diag, SW_ERROR, "plan.neck", asked->at, hint,
                    "a neck of %.4f mm does not break before the %s bends: at most %.4f mm do",
                    is->diameter, q->staff->section[q->zones.at[0].first].name, 2 * most);
    else
        sw_diag_add(q->ctx->diag, SW_ERROR, "plan.neck-weak",
                    asked->given ? asked->at : q->staff->section[q->zones.at[0].first].at, hint,
                    "a neck of %.4f mm does not hold the staff in one grip: %s", is->diameter, why);
    return SW_CANNOT;
}

/* The thinnest that holds; what the job asks for where that holds and is not too stout. */
enum sw_status sw_single_choose_neck(struct sw_plan_neck *is, struct sw_single_neck *neck,
                                     struct sw_planner *q, const struct sw_single_outlines *staff)
{
    const struct sw_number *asked = &q->job->neck;
    const double r_pivot = q->shape->section[q->zones.at[0].first].turned_diameter / 2;
    const double most = neck_share * r_pivot;
    double least = 0;
    for (double r = fmin(least_neck, most); least == 0; r = fmin(r + neck_step, most)) {
        neck->r = r;
        SW_TRY(look_at_neck(is, q, staff, neck));
        if (bears(q, is) || q->bears_all)
            least = r;
        else if (r >= most)
            return refuse_neck(q, is, 0, most);
    }
    if (!asked->given) {
        /* Stouter while that lets the spindle turn faster. */
        const double full = q->shop->machine->spindle.most_speed.value;
        while (SW_SINGLE_WHIRL_SHARE * is->critical_speed < full && neck->r < most) {
            neck->r = fmin(neck->r + neck_step, most);
            SW_TRY(look_at_neck(is, q, staff, neck));
        }
        return SW_OK;
    }
    neck->r = asked->value / 2;
    SW_TRY(look_at_neck(is, q, staff, neck));
    return neck->r < least - SW_TOL_POINT || neck->r > most + SW_TOL_POINT
               ? refuse_neck(q, is, least, most)
               : SW_OK;
}
