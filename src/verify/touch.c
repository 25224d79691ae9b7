/* What touched what, and how the cut was: depth, heel. */
#include <math.h>
#include <string.h>

#include "verify/judge.h"

/* A wall is taken down in one when it is no thicker than this many times the tool's depth: what the
 * last pass beside it and the slope of a recess leave. */
#define WALL_SHARE 2.0

static const struct sw_sim_tool *tool_of(const struct sw_judge *judge, size_t side, size_t tool)
{
    return &judge->sim->side[side].tool[tool];
}

double sw_judge_part_z(const struct sw_judge *judge, size_t side, double z)
{
    const struct sw_sim_side *s = &judge->sim->side[side];
    return s->to_part_sign * z + s->to_part_shift;
}

double sw_judge_chucking_z(const struct sw_judge *judge, size_t side, double z_part)
{
    const struct sw_sim_side *s = &judge->sim->side[side];
    return s->to_part_sign * (z_part - s->to_part_shift);
}

const struct sw_section *sw_judge_section_at(const struct sw_judge *judge, double z_part)
{
    if (judge->shape == NULL)
        return NULL;
    for (size_t i = 0; i < judge->shape->staff->n; i++)
        if (z_part >= judge->shape->section[i].z0 && z_part <= judge->shape->section[i].z1)
            return &judge->shape->staff->section[i];
    return NULL;
}

const struct sw_material *sw_judge_material(const struct sw_judge *judge)
{
    const struct sw_setup_side *side = judge->setup->sides.at;
    const struct sw_stock *stock = judge->shop->stock.at;
    const struct sw_material *nearest = NULL;
    double distance = HUGE_VAL;
    if (sw_setup_has_blank(judge->setup))
        return judge->setup->blank.is;
    /* Of a piece that stands already nobody says which rod it was cut from. */
    for (size_t i = 0; side[0].stands.given && judge->shape != NULL && i < judge->shop->stock.n;
         i++)
        if (stock[i].is != NULL &&
            strcmp(stock[i].material.value, judge->shape->staff->material) == 0)
            return stock[i].is;
    for (size_t i = 0; i < judge->shop->stock.n; i++) {
        const double d = fabs(stock[i].diameter.value - side[0].rod_diameter.value);
        if (stock[i].is != NULL && d < distance) {
            distance = d;
            nearest = stock[i].is;
        }
    }
    return nearest;
}

enum sw_status sw_judge_matters(bool *out, struct sw_judge *judge, const struct sw_sim_loose *loose)
{
    *out = true;
    if (judge->shape == NULL)
        return SW_OK;
    struct sw_pt *points = NULL;
    size_t n = 0;
    SW_TRY(sw_contour_flatten(&points, &n, &judge->shape->turned, SW_VERIFY_FLOOR, 0, judge->ctx));
    for (size_t i = 0; i < n; i++)
        points[i].z = sw_judge_chucking_z(judge, loose->side, points[i].z);
    struct sw_kernel *kernel = sw_kernel_new(judge->ctx);
    if (kernel == NULL)
        return SW_MEMORY;
    struct sw_region *staff = NULL, *common = NULL;
    enum sw_status status = sw_region_from_points(&staff, kernel, points, n);
    if (status == SW_OK)
        status = sw_region_both(&common, staff, loose->piece.most);
    if (status == SW_OK)
        *out = sw_region_area(common) > SW_VERIFY_MATTERS;
    sw_region_free(common);
    sw_region_free(staff);
    sw_kernel_free(kernel);
    return status;
}

static enum sw_status lost(struct sw_judge *judge, const struct sw_sim_contact *contact,
                           const struct sw_motion_event *event)
{
    const struct sw_sim_loose *loose = &judge->sim->loose.at[contact->loose];
    bool is_needed = false;
    SW_TRY(sw_judge_matters(&is_needed, judge, loose));
    if (!is_needed)
        return SW_OK;
    return sw_judge_add(judge, sw_judge_at(judge, SW_FINDING_WRONG_ORDER, SW_ERROR, event),
                        (int)contact->loose,
                        "a cut on the piece that line %u has already parted off; cut before "
                        "parting",
                        (unsigned)judge->sim->moves.at[loose->move].event->line);
}

static enum sw_status one_contact(struct sw_judge *judge, const struct sw_sim_contact *contact)
{
    const struct sw_sim_move *move = &judge->sim->moves.at[contact->move];
    const struct sw_motion_event *event = move->event;
    const struct sw_sim_tool *tool = tool_of(judge, move->side, contact->tool);
    const char *name = tool->station->tool.value;
    const int key = (int)contact->tool + 1000 * (int)contact->kind;
    const double z = contact->at.z, r = contact->at.r;
    enum sw_finding_code code = SW_FINDING_HOLDER_RUBS;
    if (contact->kind == SW_SIM_RAPID || contact->kind == SW_SIM_RAPID_BEND)
        code = SW_FINDING_RAPID_INTO_STOCK;
    if (contact->kind == SW_SIM_NOSE || contact->kind == SW_SIM_SECOND)
        code = SW_FINDING_NOSE_TOUCHES;
    struct sw_finding finding = sw_judge_at(judge, code, SW_ERROR, event);
    if (code != SW_FINDING_NOSE_TOUCHES)
        finding.z = sw_judge_part_z(judge, move->side, z);
    switch (contact->kind) {
    case SW_SIM_RAPID:
        return sw_judge_add(judge, finding, key,
                            "%s runs into material in a rapid move, near z %.3f r %.3f", name, z,
                            r);
    case SW_SIM_RAPID_BEND:
        return sw_judge_add(judge, finding, key,
                            "%s runs into material near z %.3f r %.3f when one axis of this rapid "
                            "arrives before the other; move X clear first, then Z",
                            name, z, r);
    case SW_SIM_BODY:
        return sw_judge_add(judge, finding, key,
                            "shank or holder block of %s touches the work near z %.3f r %.3f", name,
                            z, r);
    case SW_SIM_NEIGHBOUR:
        return sw_judge_add(judge, finding, key,
                            "%s, next to the tool in use on the slide, touches the work near z "
                            "%.3f r %.3f",
                            name, z, r);
    case SW_SIM_NOSE:
        return sw_judge_add(judge, finding, key,
                            "%s touches the nose of the %s, whose face stands at z %.3f", name,
                            judge->sim->side[move->side].in_bush ? "guide bush" : "holder", z);
    case SW_SIM_SECOND:
        return sw_judge_add(judge, finding, key,
                            "%s touches the nose of the second spindle, whose face stands at z "
                            "%.3f",
                            name, z);
    case SW_SIM_LOOSE:
    default:
        return lost(judge, contact, event);
    }
}

enum sw_status sw_judge_contacts(struct sw_judge *judge, size_t first)
{
    for (size_t i = first; i < judge->sim->contacts.n; i++)
        SW_TRY(one_contact(judge, &judge->sim->contacts.at[i]));
    return SW_OK;
}

static bool is_across(const struct sw_sim_move *move)
{
    return fabs(move->sweep.to.r - move->sweep.from.r) >
           fabs(move->sweep.to.z - move->sweep.from.z);
}

/* The depth a tool may cut across a move. A blade fed in and a face-point fed more along the axis
 * than across cut by their whole width, as they are made to; so does a face-point that takes down,
 * over hardly more than its depth, the wall it has left beside it. */
static double depth_limit(const struct sw_sim_move *move, const struct sw_tool *tool)
{
    const double most = tool->most_depth.value;
    const bool is_wall = move->removed.along <= WALL_SHARE * most;
    const bool is_at_work =
        (tool->kind.value == SW_TOOL_BLADE && is_across(move)) ||
        (tool->kind.value == SW_TOOL_FACE_POINT && (!is_across(move) || is_wall));
    return most > 0 && !is_at_work ? most : HUGE_VAL;
}

static enum sw_status too_deep(struct sw_judge *judge, const struct sw_tool *tool, size_t index,
                               const struct sw_motion_event *event, double depth, double limit)
{
    struct sw_finding finding = sw_judge_at(judge, SW_FINDING_DEPTH, SW_ERROR, event);
    finding.value = depth;
    finding.limit = limit;
    finding.unit = "mm";
    return sw_judge_add(judge, finding, (int)index,
                        "%s cuts %.3f mm deep; it stands at most %.3f mm", tool->name.value, depth,
                        limit);
}

/* What a short move of many takes reaches further along than it goes, or is a sliver without any
 * extent: its length counts. */
static double along_of(const struct sw_judge *judge, const struct sw_sim_move *move)
{
    return sw_judge_stretch_of(judge, move) == move ? move->removed.along : move->length;
}

/* A point fed in by no more than its depth stands in a groove wider than that by its nose at least:
 * there the nose does not count. A face cut too deep in many short blocks is no such groove, so
 * all that is taken at one z counts together, until a pass along the axis has widened it. */
static bool is_short_plunge(struct sw_judge *judge, const struct sw_sim_move *move,
                            const struct sw_tool *tool, double limit)
{
    const double nose = tool->nose_radius.value, z = move->sweep.to.z;
    const struct sw_sim_move *whole = sw_judge_stretch_of(judge, move);
    struct sw_judge_plunge *plunge = &judge->plunge;
    if (tool->kind.value != SW_TOOL_POINT || !is_across(whole) ||
        whole->sweep.to.r >= whole->sweep.from.r ||
        whole->removed.depth > limit + 2 * nose + SW_VERIFY_DEPTH_SLACK)
        return false;
    const bool goes_on = plunge->along > 0 && plunge->side == move->side &&
                         plunge->tool == move->tool && fabs(plunge->z - z) <= nose;
    if (!goes_on)
        *plunge = (struct sw_judge_plunge){.side = move->side, .tool = move->tool, .z = z};
    /* past a wall beside it a flank grazes further along than the tool is fed */
    plunge->along += fmin(along_of(judge, move), move->length);
    plunge->widened = 0;
    return plunge->along <= limit + SW_VERIFY_DEPTH_SLACK;
}

/* A pass may come in moves much shorter than the nose: their lengths count, since what each takes
 * reaches further along than it goes. */
static void end_plunge(struct sw_judge *judge, const struct sw_sim_move *move,
                       const struct sw_tool *tool)
{
    if (is_across(sw_judge_stretch_of(judge, move)))
        return;
    judge->plunge.widened += fmin(along_of(judge, move), move->length);
    if (judge->plunge.widened > 4 * tool->nose_radius.value)
        judge->plunge.along = 0;
}

/* Square to its way. What a flank takes during an arc much shorter than itself lies beyond the
 * arc's ends, where distances from its centre say nothing: such an arc is as good as its chord. */
static double depth_of(const struct sw_sim_move *move)
{
    const struct sw_sweep *sweep = &move->sweep;
    const struct sw_box *box = &move->removed.box;
    const double z = sweep->to.z - sweep->from.z, r = sweep->to.r - sweep->from.r;
    const double length = hypot(z, r), depth = move->removed.depth;
    if (!sweep->is_arc || !(length > 0) || sw_sweep_n_chords(sweep, SW_WORK_TOUCH) > 1)
        return depth;
    return fmin(depth, (fabs(r) * (box->z1 - box->z0) + fabs(z) * (box->r1 - box->r0)) / length);
}

static enum sw_status check_depth(struct sw_judge *judge, const struct sw_sim_move *move,
                                  const struct sw_tool *tool)
{
    const struct sw_sim_move *whole = sw_judge_stretch_of(judge, move);
    const double limit = depth_limit(whole, tool), depth = depth_of(whole);
    end_plunge(judge, move, tool);
    if (depth <= limit + SW_VERIFY_DEPTH_SLACK || is_short_plunge(judge, move, tool, limit))
        return SW_OK;
    return too_deep(judge, tool, move->tool, move->event, depth, limit);
}

static enum sw_status check_heel(struct sw_judge *judge, const struct sw_sim_move *move,
                                 const struct sw_tool *tool)
{
    if (!(move->heel_r > 0) || !(tool->heel_height.value > 0))
        return SW_OK;
    const double z = sw_judge_part_z(judge, move->side, move->sweep.to.z);
    const struct sw_section *section = sw_judge_section_at(judge, z);
    const double wall = section != NULL && section->has_recess ? section->recess_wall : 0;
    const double limit = sw_tool_heel_limit(tool, move->heel_r, wall);
    if (tool->heel_height.value <= limit)
        return SW_OK;
    struct sw_finding finding = sw_judge_at(judge, SW_FINDING_HEEL_RUBS, SW_ERROR, move->event);
    finding.value = tool->heel_height.value;
    finding.limit = limit;
    finding.unit = "mm";
    finding.section = section != NULL ? section->name : NULL;
    finding.z = z;
    return sw_judge_add(judge, finding, (int)move->tool,
                        "the heel of %s reaches %.3f mm below its edge; at radius %.3f it touches "
                        "the wall from %.3f mm on",
                        tool->name.value, finding.value, move->heel_r, limit);
}

enum sw_status sw_judge_cut(struct sw_judge *judge, const struct sw_sim_move *move)
{
    const struct sw_tool *tool = tool_of(judge, move->side, move->tool)->tool;
    SW_TRY(check_depth(judge, move, tool));
    return check_heel(judge, move, tool);
}
