/* How the work is held: grip, bar tail, pieces that come off too early. */
#include <math.h>
#include <string.h>

#include "geom/tol.h"
#include "verify/judge.h"

static const double pi = 3.14159265358979323846;

/* The work is looked at this far to either side of a neck, in such steps [mm]: wider than any
 * parting blade for a staff. */
#define NECK_LOOK 1.0
#define NECK_STEP 0.02
/* What is thicker by less than this share is as thick. */
#define NECK_MORE 0.02
/* A cut no further off than this is the neck's own, or its shoulder's [mm]: nearer than half the
 * width of a blade that parts. */
#define NECK_BESIDE 0.1

/* What is said of a grip may differ from the work by this on the diameter [mm]: slow tapers are
 * gripped, too. The work is looked at in so many places along. */
#define GRIP_OFF 0.05
enum { GRIP_PLACES = 10 };

static const struct sw_sim_side *side_now(const struct sw_judge *judge)
{
    return &judge->sim->side[judge->sim->n_sides - 1];
}

static struct sw_finding of_side(const struct sw_judge *judge, enum sw_finding_code code,
                                 enum sw_severity severity)
{
    struct sw_finding finding = sw_judge_finding(code, severity);
    finding.chucking = (int)judge->sim->n_sides;
    finding.program =
        judge->program_now < judge->n_programs ? judge->program[judge->program_now].name : NULL;
    return finding;
}

static enum sw_status check_tools(struct sw_judge *judge, const struct sw_sim_side *side)
{
    for (size_t i = 0; i < side->n_tools; i++) {
        const struct sw_sim_tool *tool = &side->tool[i];
        const int station = (int)tool->station->station.value;
        const struct sw_finding finding = of_side(judge, SW_FINDING_WRONG_TOOL, SW_ERROR);
        if (tool->tool == NULL)
            SW_TRY(sw_judge_add(judge, finding, 300 + station,
                                "station %d: the shop has no tool called %s", station,
                                tool->station->tool.value));
        else if (tool->is_elsewhere)
            SW_TRY(sw_judge_add(judge, finding, 300 + station,
                                "station %d: the shop has %s at another station", station,
                                tool->station->tool.value));
        if (tool->place == NULL)
            SW_TRY(sw_judge_add(judge, finding, 400 + station, "the machine has no station %d",
                                station));
    }
    return SW_OK;
}

static enum sw_status check_holder(struct sw_judge *judge, const struct sw_sim_side *side)
{
    const struct sw_setup_side *record = side->setup;
    const struct sw_holder *holder = side->holder;
    struct sw_finding finding = of_side(judge, SW_FINDING_GRIP, SW_ERROR);
    finding.unit = "mm";
    if (holder == NULL)
        return sw_judge_add(judge, finding, 1, "the shop has no holder called %s",
                            record->holder.value);
    const double wanted = record->grip_diameter.value;
    finding.value = wanted;
    if (!(sw_holder_size_for(holder, wanted) > 0))
        SW_TRY(sw_judge_add(judge, finding, 2, "%s does not take a diameter of %.3f mm",
                            holder->name.value, wanted));
    const double found = 2 * side->gripped_r;
    finding.value = found;
    if (side->had_work && !(sw_holder_size_for(holder, found) > 0))
        SW_TRY(sw_judge_add(judge, finding, 3,
                            "the work is %.3f mm thick where it is gripped; %s does not take that",
                            found, holder->name.value));
    finding.value = record->grip_length.value;
    finding.limit = holder->least_grip.value;
    if (finding.value < finding.limit)
        SW_TRY(sw_judge_add(judge, finding, 4, "%s grips %.3f mm; it holds from %.3f mm on",
                            holder->name.value, finding.value, finding.limit));
    finding.limit = holder->bore_behind.value;
    finding.value = 2 * side->behind_r;
    if (finding.limit > 0 && finding.value > finding.limit)
        SW_TRY(sw_judge_add(judge, finding, 5,
                            "what hangs behind the grip is %.3f mm thick; the bore of %s clears "
                            "%.3f mm",
                            finding.value, holder->name.value, finding.limit));
    return SW_OK;
}

/* The record is written by people, too: what it says of the grip has to be true of the work. */
static enum sw_status check_record(struct sw_judge *judge, const struct sw_sim_side *side)
{
    const struct sw_setup_side *record = side->setup;
    const double nose = record->nose_z.value, length = record->grip_length.value;
    const double said = record->grip_diameter.value, found = 2 * side->gripped_r;
    struct sw_finding finding = of_side(judge, SW_FINDING_GRIP, SW_ERROR);
    if (!side->had_work)
        return SW_OK;
    finding.unit = "mm";
    finding.value = said;
    finding.limit = found;
    if (fabs(said - found) > GRIP_OFF)
        SW_TRY(sw_judge_add(judge, finding, 9,
                            "the record grips a diameter of %.3f mm; the work is %.3f mm thick "
                            "there",
                            said, found));
    double held = 0, thickest = 0;
    for (int i = 0; i < GRIP_PLACES; i++) {
        double low = 0, high = 0;
        const double z = nose - length * (i + 0.5) / GRIP_PLACES;
        if (!judge->sim->kernel->r_range(&low, &high, judge->sim->work, z))
            break;
        held = length * (i + 1) / GRIP_PLACES;
        thickest = fmax(thickest, 2 * high);
    }
    finding.value = length;
    finding.limit = held;
    if (held < length - SW_TOL_POINT)
        SW_TRY(sw_judge_add(judge, finding, 10,
                            "the record grips a length of %.3f mm; the work ends %.3f mm behind "
                            "the nose",
                            length, held));
    finding.value = thickest;
    finding.limit = found + GRIP_OFF;
    if (thickest <= found + GRIP_OFF)
        return SW_OK;
    return sw_judge_add(judge, finding, 11,
                        "within the length of %.3f mm that the record grips, the work is up to "
                        "%.3f mm thick, and %.3f mm where it is held",
                        length, thickest, found);
}

/* Sections are named in the record; the place of the grip must be in the one named. */
static enum sw_status check_section(struct sw_judge *judge, const struct sw_sim_side *side)
{
    const struct sw_setup_side *record = side->setup;
    if (judge->shape == NULL || record->rod_diameter.given)
        return SW_OK;
    struct sw_finding finding = of_side(judge, SW_FINDING_GRIP, SW_ERROR);
    const struct sw_section *section = sw_staff_section(judge->shape->staff, record->grips.value);
    if (section == NULL)
        return sw_judge_add(judge, finding, 6, "the staff has no section called %s to be gripped",
                            record->grips.value);
    finding.section = section->name;
    if (section->kind == SW_SECTION_RIVET)
        return sw_judge_add(judge, finding, 7,
                            "%s is gripped by its rivet; the lip takes no clamping force",
                            record->grips.value);
    const double middle = record->nose_z.value - record->grip_length.value / 2;
    const double z = sw_judge_part_z(judge, judge->sim->n_sides - 1, middle);
    const struct sw_shape_section *place = &judge->shape->section[section->index];
    if (z >= place->z0 && z <= place->z1)
        return SW_OK;
    const struct sw_section *there = sw_judge_section_at(judge, z);
    finding.z = z;
    return sw_judge_add(judge, finding, 8,
                        "the record grips %s, but the middle of the grip stands at %s (z %.3f)",
                        record->grips.value, there != NULL ? there->name : "no section", z);
}

static enum sw_status check_bush(struct sw_judge *judge, const struct sw_sim_side *side)
{
    if (judge->shop->machine->kind.value != SW_MACHINE_SLIDING ||
        !side->setup->rod_diameter.given || side->in_bush)
        return SW_OK;
    return sw_judge_add(judge, of_side(judge, SW_FINDING_LOST_SUPPORT, SW_ERROR), 5,
                        "the bar runs in a guide bush, and the setup record gives no bush_z where "
                        "its front face stands");
}

enum sw_status sw_judge_grip(struct sw_judge *judge)
{
    const struct sw_sim_side *side = side_now(judge);
    judge->fastest = 0;
    judge->neck_r = HUGE_VAL;
    judge->neck_fastest = 0;
    judge->hung = (struct sw_judge_hung){.neck_r = HUGE_VAL};
    judge->plunge = (struct sw_judge_plunge){0};
    SW_TRY(check_tools(judge, side));
    SW_TRY(check_holder(judge, side));
    SW_TRY(check_record(judge, side));
    SW_TRY(check_section(judge, side));
    SW_TRY(check_bush(judge, side));
    SW_TRY(sw_judge_runout(judge));
    if (side->had_work)
        return SW_OK;
    return sw_judge_add(judge, of_side(judge, SW_FINDING_LOST_SUPPORT, SW_ERROR), 1,
                        "there is nothing in the holder to grip on this side");
}

/* First bending frequency of a round bar fixed at one end, in turns a minute:
 * f = 0.13990 (d / L^2) sqrt(E / rho), d and L in mm, E in N/mm2, rho in t/mm3 (uniform cantilever,
 * beta L = 1.875104; Roark, Table 16.1). */
static double critical_speed(double diameter, double length, const struct sw_material *material)
{
    const double cantilever = 1.875104 * 1.875104 / (8 * pi);
    const double density = material->density.value * 1e-9;
    return 60 * cantilever * diameter / (length * length) *
           sqrt(material->elastic_modulus.value / density);
}

static enum sw_status check_tail(struct sw_judge *judge, const struct sw_sim_side *side)
{
    const double tail = side->setup->tail.value;
    const struct sw_material *material = sw_judge_material(judge);
    if (!side->setup->rod_diameter.given || !(tail > 0))
        return SW_OK;
    const double free_limit = judge->shop->tail_free.value;
    struct sw_finding finding = of_side(judge, SW_FINDING_BAR_WHIP, SW_ERROR);
    if (material != NULL && material->density.value > 0) {
        const double critical = critical_speed(side->setup->rod_diameter.value, tail, material);
        if (judge->fastest > SW_VERIFY_WHIP_SHARE * critical) {
            finding.value = judge->fastest;
            finding.limit = SW_VERIFY_WHIP_SHARE * critical;
            finding.unit = "rev/min";
            return sw_judge_add(judge, finding, 1,
                                "%.0f mm of rod hang free and whip near %.0f rev/min; the program "
                                "turns at %.0f: cut the rod or support it",
                                tail, critical, judge->fastest);
        }
    }
    if (!(free_limit > 0) || tail <= free_limit)
        return SW_OK;
    finding.severity = SW_WARNING;
    finding.value = tail;
    finding.limit = free_limit;
    finding.unit = "mm";
    return sw_judge_add(judge, finding, 2,
                        "%.0f mm of rod hang free behind the spindle; the shop allows %.0f mm",
                        tail, free_limit);
}

/* What stands beside the neck at Z on the side of the piece: beyond its own plain length and the
 * wall, slope or fillet at its end, the first place that is no thicker than the one before. */
static double beside_neck(const struct sw_sim *sim, double z, double r)
{
    double most = r;
    for (double away = NECK_STEP; away <= NECK_LOOK; away += NECK_STEP) {
        double low = 0, high = 0;
        if (!sim->kernel->r_range(&low, &high, sim->work, z + away))
            continue;
        if (most > r * (1 + NECK_MORE) && high < most * (1 + NECK_MORE))
            break;
        most = fmax(most, high);
    }
    return most;
}

static double radius_at_neck(const struct sw_judge *judge)
{
    double low = 0, r = 0;
    const double z = side_now(judge)->setup->neck_z.value;
    return judge->sim->kernel->r_range(&low, &r, judge->sim->work, z) ? r : 0;
}

void sw_judge_watch_neck(struct sw_judge *judge, const struct sw_sim_move *move)
{
    const struct sw_setup_side *record = side_now(judge)->setup;
    const struct sw_box *box = &move->removed.box;
    if (!record->neck_z.given)
        return;
    const double speed = sw_judge_speed(judge, &move->event->state, box->r0);
    judge->neck_fastest = fmax(judge->neck_fastest, speed);
    if (box->z0 <= record->neck_z.value + NECK_BESIDE &&
        box->z1 >= record->neck_z.value - NECK_BESIDE) {
        const double before = judge->neck_r;
        judge->neck_r = radius_at_neck(judge);
        if (judge->neck_r < before)
            judge->neck_fastest = speed;
        return;
    }
    const double z = sw_judge_part_z(judge, judge->sim->n_sides - 1, (box->z0 + box->z1) / 2);
    const struct sw_section *section = sw_judge_section_at(judge, z);
    if (section != NULL && judge->neck_r < judge->hung.neck_r)
        judge->hung =
            (struct sw_judge_hung){move->event, judge->program_now, judge->neck_r, z, section};
}

/* What was a neck by the measure of the finished side when a cut was made beyond it. */
static enum sw_status check_hung(struct sw_judge *judge, double limit)
{
    const struct sw_judge_hung *hung = &judge->hung;
    if (hung->event == NULL || hung->neck_r > limit)
        return SW_OK;
    struct sw_finding finding = of_side(judge, SW_FINDING_WRONG_ORDER, SW_ERROR);
    finding.program = judge->program[hung->program].name;
    finding.line = hung->event->line;
    finding.section = hung->section->name;
    finding.z = hung->z;
    return sw_judge_add(judge, finding, -1,
                        "%s is cut when the piece hangs only on a neck of %.3f mm at z %.3f; cut "
                        "before parting",
                        hung->section->name, 2 * hung->neck_r,
                        side_now(judge)->setup->neck_z.value);
}

static enum sw_status check_neck(struct sw_judge *judge)
{
    const struct sw_sim *sim = judge->sim;
    const double z = side_now(judge)->setup->neck_z.value, r = radius_at_neck(judge);
    /* a share of what stands beside it on the piece: the stump that stays may bend */
    const double beside = beside_neck(sim, z, r);
    const double limit = SW_VERIFY_NECK_SHARE * beside;
    if (r <= limit)
        return check_hung(judge, limit);
    struct sw_finding finding = of_side(
        judge, SW_FINDING_UNCUT, r > SW_VERIFY_NO_NECK_SHARE * beside ? SW_ERROR : SW_WARNING);
    finding.value = 2 * r;
    finding.limit = 2 * limit;
    finding.unit = "mm";
    return sw_judge_add(judge, finding, 4,
                        "%.3f mm stand at the neck at z %.3f, where the piece is to be broken off; "
                        "by hand it breaks there from %.3f mm down",
                        finding.value, z, finding.limit);
}

/* Did anything of the staff fall, and not only chips? */
static enum sw_status piece_fell(bool *out, struct sw_judge *judge)
{
    const struct sw_sim *sim = judge->sim;
    *out = false;
    for (size_t i = sim->first_loose; i < sim->loose.n && !*out; i++)
        SW_TRY(sw_judge_matters(out, judge, &sim->loose.at[i]));
    return SW_OK;
}

enum sw_status sw_judge_side_end(struct sw_judge *judge)
{
    const struct sw_sim *sim = judge->sim;
    const struct sw_sim_side *side = side_now(judge);
    SW_TRY(check_tail(judge, side));
    if (!side->setup->neck_z.given) {
        bool fell = !side->setup->rod_diameter.given;
        if (!fell)
            SW_TRY(piece_fell(&fell, judge));
        /* Programs nobody planned may leave the rod whole: nobody says where the piece ends. */
        const bool is_bare = judge->shape == NULL && judge->setup->staff.value == NULL;
        if (fell || is_bare)
            return SW_OK;
        return sw_judge_add(judge, of_side(judge, SW_FINDING_UNCUT, SW_ERROR), 3,
                            "nothing is parted off on this side, and the setup record gives no "
                            "neck_z where the piece is broken off");
    }
    bool is_off = false;
    for (size_t i = sim->first_loose; i < sim->loose.n; i++) {
        const struct sw_sim_loose *loose = &sim->loose.at[i];
        bool is_needed = false;
        SW_TRY(sw_judge_matters(&is_needed, judge, loose));
        if (!is_needed)
            continue;
        is_off = true;
        const struct sw_motion_event *event = sim->moves.at[loose->move].event;
        SW_TRY(sw_judge_add(judge, sw_judge_at(judge, SW_FINDING_LOST_SUPPORT, SW_ERROR, event), 2,
                            "the piece comes off here, but a neck at z %.3f should hold it",
                            side->setup->neck_z.value));
    }
    if (is_off)
        return SW_OK;
    SW_TRY(sw_judge_whirl(judge));
    return check_neck(judge);
}
