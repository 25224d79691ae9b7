/* A second spindle that takes the piece before it is parted: by what, and how far it comes up.
 *
 * It comes along the axis over the finished side and holds by a cylinder of it; all that is further
 * out goes into its bore. Nothing thin is held: no pivot, no rivet. The section nearest the hub
 * comes first, where the piece is stoutest; its front face must clear the blade that parts. */
#include <math.h>

#include "base/buf.h"
#include "geom/tol.h"
#include "plan/plan_int.h"

/* The front face stands this far from the shoulder or end of what it holds: clear of any fillet
 * [mm]. Common practice, no source. */
static const double stands_off = 0.05;

bool sw_plan_is_taken_over(const struct sw_planner *p)
{
    const struct sw_choice *parting = &p->job->parting;
    const bool wants_neck =
        p->job->neck.given || (parting->given && parting->value == SW_PART_TO_NECK);
    return p->shop->machine->second_spindle.grip.given && !wants_neck;
}

/* A place by which it might be taken. */
struct hold {
    const struct sw_section *is;
    struct sw_plan_second second;
    double inside; /* largest diameter of what is further out */
    double reach;  /* front face to the tip */
};

static bool is_cylinder(const struct sw_section *is)
{
    return is->taper == 0 && (is->kind == SW_SECTION_SEAT || is->kind == SW_SECTION_CYLINDER ||
                              is->kind == SW_SECTION_HUB);
}

static struct hold hold_at(const struct sw_planner *p, size_t index)
{
    const struct sw_shape_section *of = &p->shape->section[index];
    const struct sw_section *is = &p->staff->section[index];
    const double z0 = sw_plan_chucking_z(p->shape, p->now->end, of->z0);
    const double z1 = sw_plan_chucking_z(p->shape, p->now->end, of->z1);
    /* Of the hub this side cuts the land. */
    const double inner = index == p->land ? p->z_border : fmin(z0, z1) + is->relief_width;
    const double outer = fmax(z0, z1) - fmax(is->bevel, is->edge);
    struct hold hold = {.is = is};
    hold.second = (struct sw_plan_second){.section = is->name,
                                          .diameter = of->turned_diameter,
                                          .length = outer - inner - stands_off,
                                          .nose_z = inner + stands_off};
    hold.reach = p->z_tip - hold.second.nose_z;
    const bool is_upper = p->now->end == SW_SIDE_UPPER;
    for (size_t i = 0; i < p->staff->n; i++)
        if (is_upper ? i < index : i > index)
            hold.inside = fmax(hold.inside, p->shape->section[i].turned_diameter);
    return hold;
}

/* Does all of the blade and its shank stay off the nose, cut as deep as it goes? */
static enum sw_status is_clear(bool *out, const struct sw_planner *p, const struct sw_tool *blade,
                               struct sw_pt deepest, double nose_z)
{
    const struct sw_machine_second *second = &p->shop->machine->second_spindle;
    const double widest = second->nose_diameter.value / 2 +
                          second->nose_length.value * tan(fmax(0, second->nose_angle.value));
    struct sw_contour outline[SW_TOOL_BODIES + 1];
    size_t n = 0;
    SW_TRY(sw_tool_body_outlines(outline, &n, blade, p->ctx));
    SW_TRY(sw_tool_cutting_outline(&outline[n++], blade, p->ctx));
    *out = true;
    for (size_t i = 0; i < n; i++) {
        const struct sw_box box = sw_contour_box(&outline[i]);
        const bool is_before = deepest.z + box.z1 <= nose_z - SW_PLAN_NOSE_GAP;
        const bool is_above = deepest.r + box.r0 >= widest + SW_PLAN_NOSE_GAP;
        *out = *out && (is_before || is_above);
    }
    return SW_OK;
}

/* Why it cannot be taken there, into WHY; nothing where it can. */
static enum sw_status look(struct sw_buf *why, const struct sw_planner *p, const struct hold *hold,
                           const struct sw_tool *blade, struct sw_pt deepest)
{
    const struct sw_machine_second *second = &p->shop->machine->second_spindle;
    const struct sw_plan_second *at = &hold->second;
    bool clears = false;
    SW_TRY(is_clear(&clears, p, blade, deepest, at->nose_z));
    if (at->length < second->grip.value - SW_TOL_POINT)
        sw_buf_printf(why, "%.2f mm long, less than the %.2f it holds by", fmax(0, at->length),
                      second->grip.value);
    else if (at->diameter < second->least.value || at->diameter > second->most.value)
        sw_buf_printf(why, "%.3f mm thick, and it takes %.2f to %.2f", at->diameter,
                      second->least.value, second->most.value);
    else if (hold->inside > at->diameter)
        sw_buf_printf(why, "%.3f mm thick, and %.3f mm stand further out", at->diameter,
                      hold->inside);
    else if (hold->reach > second->depth.value)
        sw_buf_printf(why, "%.2f mm would reach into it, and %.2f may", hold->reach,
                      second->depth.value);
    else if (!clears)
        sw_buf_printf(why, "the blade, at its deepest, would come to its nose");
    return why->failed ? SW_MEMORY : SW_OK;
}

static enum sw_status refuse(struct sw_planner *p, const struct sw_buf *reasons)
{
    sw_diag_add(
        p->ctx->diag, SW_ERROR, "plan.second-spindle", p->shop->machine->second_spindle.grip.at,
        "part to a neck: `parting: to-neck` in the job; or the sizes of another collet of "
        "the second spindle",
        "the second spindle finds nothing to take the piece by: %s",
        reasons->n > 0 ? sw_buf_text(reasons) : "no seat and no cylinder is cut on this side");
    return SW_CANNOT;
}

enum sw_status sw_plan_take_over(struct sw_planner *p, const struct sw_tool *blade,
                                 struct sw_pt deepest)
{
    const bool is_upper = p->now->end == SW_SIDE_UPPER;
    struct sw_buf reasons = {0};
    enum sw_status status = SW_OK;
    for (size_t k = 0; k < p->staff->n && status == SW_OK; k++) {
        if (is_upper ? k > p->land : p->land + k >= p->staff->n)
            break;
        const size_t i = is_upper ? p->land - k : p->land + k;
        if (!is_cylinder(&p->staff->section[i]))
            continue;
        const struct hold hold = hold_at(p, i);
        struct sw_buf why = {0};
        status = look(&why, p, &hold, blade, deepest);
        if (status == SW_OK && why.n == 0) {
            p->now->second = hold.second;
            sw_buf_done(&reasons);
            return SW_OK;
        }
        sw_buf_printf(&reasons, "%s%s (%s)", reasons.n > 0 ? ", " : "", hold.is->name,
                      sw_buf_text(&why));
        sw_buf_done(&why);
    }
    if (status == SW_OK)
        status = reasons.failed ? SW_MEMORY : refuse(p, &reasons);
    sw_buf_done(&reasons);
    return status;
}
