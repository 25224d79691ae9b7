/* Where a size may move: what machine, tools and gauge leave open beside the path, and whether the
 * size still keeps its limits.
 *
 * On the diameter, so twice what stands on the radius:
 *   bending        from the nominal force to the low and the high end of its band; measured before:
 *                  what the two cuts differ by at either end
 *   backlash       the slide's lost motion, followed move by move: the zero and every way inwards
 *                  take it up; a cut that rises starts with what is left of it, and is too thin
 *                  (mech/geometry_error.h); measured before: the difference of both cuts
 *   centre height  sqrt(R^2 + h^2) - R for the height the shop keeps; measured with the same tool
 *                  before: nothing
 *   tool change    the machine's `change_repeat`, on the radius, where a side has more than one
 *                  tool that keeps its zero; measured before: nothing unless it was changed since
 *   repeatability  a fourth of it is the deviation (ISO 230-2 takes four for the whole, from
 *                  memory), two to either side: the whole of it on the diameter; measured before:
 *                  of two cuts
 *   step           half a step on the radius; measured before: of two places
 *   gauge          GAUGE below, only where it is measured
 * A reading is taken for true of the section it was made on; nobody tells the judge which of
 * several that stand near their size was gauged. */
#include <math.h>

#include "geom/tol.h"
#include "mech/geometry_error.h"
#include "verify/judge.h"

/* Half a division of a micrometer that reads 0.001 mm (common practice, no source). */
#define GAUGE 5e-4
/* What a hand takes off may be less or more by this share of it, and still do its work: a turned
 * size that moves so far is no loss (common practice, no source). */
#define HAND_SHARE 0.5
/* One pivot may run out against the other by this [mm]; common practice, no source. */
#define MOST_RUNOUT 0.005
/* Two like scatters, in a reading and in the cut after it. */
#define TWICE sqrt(2.0)

enum key { KEY_MIDDLE = 11, KEY_EDGE, KEY_STEP, KEY_RUNOUT };

static const char *const words[] = {
#define X(name, word, help) word,
    SW_MOVER_LIST(X)
#undef X
};
static const char *const helps[] = {
#define X(name, word, help) help,
    SW_MOVER_LIST(X)
#undef X
};

const char *sw_mover_word(enum sw_mover mover)
{
    return words[mover];
}

const char *sw_mover_help(enum sw_mover mover)
{
    return helps[mover];
}

const struct sw_move *sw_section_moves_of(const struct sw_section_moves *moves)
{
    return moves->is_gauged ? &moves->gauged_sum : &moves->plain_sum;
}

struct sw_section_moves sw_judge_no_moves(void)
{
    const struct sw_move unknown = {(double)NAN, (double)NAN};
    struct sw_section_moves moves = {
        .plain_sum = unknown, .gauged_sum = unknown, .runs_out_um = (double)NAN};
    for (size_t i = 0; i < SW_N_MOVERS; i++)
        moves.plain[i] = moves.gauged[i] = unknown;
    return moves;
}

/* Away from its zero nothing is known of a slide; zeroing took its play up. */
void sw_judge_slide_begin(struct sw_judge *judge)
{
    judge->slide = (struct sw_judge_slide){.tool = SW_SIM_NO_TOOL};
}

void sw_judge_slide(struct sw_judge *judge, const struct sw_motion_event *event)
{
    struct sw_judge_slide *slide = &judge->slide;
    const struct sw_sim_move *move = &judge->sim->moves.at[judge->sim->moves.n - 1];
    const double backlash = judge->shop->machine->backlash.x.value;
    if (judge->stretch.n <= 1)
        slide->lag_before = slide->lag;
    if (event->kind == SW_MOTION_ARC) {
        const struct sw_box box = sw_sweep_box(&move->sweep);
        slide->lag = sw_slide_lag(slide->lag, box.r1 - move->sweep.from.r, backlash);
        slide->lag = sw_slide_lag(slide->lag, box.r0 - box.r1, backlash);
        slide->lag = sw_slide_lag(slide->lag, move->sweep.to.r - box.r0, backlash);
    } else {
        slide->lag = sw_slide_lag(slide->lag, event->to.x - event->from.x, backlash);
    }
    if (!move->is_cut || move->tool == slide->tool)
        return;
    slide->n_changes += slide->tool != SW_SIM_NO_TOOL;
    slide->tool = move->tool;
}

double sw_judge_lag(const struct sw_judge *judge, const struct sw_sim_move *move, double r,
                    struct sw_pt way)
{
    const double backlash = judge->shop->machine->backlash.x.value, from = move->sweep.from.r;
    const struct sw_box box = sw_sweep_box(&move->sweep);
    const double low = way.r > 0 ? fmin(box.r0, r) : r;
    const double there = sw_slide_lag(judge->slide.lag_before, low - from, backlash);
    return sw_slide_lag(there, r - low, backlash);
}

static struct sw_move either_way(double by)
{
    return (struct sw_move){-by, by};
}

static struct sw_move between(double a, double b)
{
    return (struct sw_move){fmin(0, fmin(a, b)), fmax(0, fmax(a, b))};
}

/* From the middle of the band to its ends, less what a reading shows of it. */
static struct sw_move bending(const struct sw_load_range *bend, const struct sw_load_range *read)
{
    const double on_diameter = 2000;
    const double low = bend->least - read->least, high = bend->most - read->most;
    const double nominal = bend->nominal - read->nominal;
    return between(on_diameter * (low - nominal), on_diameter * (high - nominal));
}

static struct sw_move sum_of(const struct sw_move *move)
{
    struct sw_move sum = {0};
    double square = 0;
    for (size_t i = 0; i < SW_N_MOVERS; i++) {
        const bool is_of_a_kind =
            i == SW_MOVER_BEND || i == SW_MOVER_BACKLASH || i == SW_MOVER_HEIGHT;
        sum.down += is_of_a_kind ? move[i].down : 0;
        sum.up += is_of_a_kind ? move[i].up : 0;
        square += is_of_a_kind ? 0 : move[i].up * move[i].up;
    }
    return (struct sw_move){sum.down - sqrt(square), sum.up + sqrt(square)};
}

/* A tool that is alone on its side, or zeroed for its own program, is not changed after that. */
static bool is_changed(const struct sw_judge *judge, const struct sw_judge_made *made)
{
    const struct sw_sim_side *side = &judge->sim->side[made->chucking - 1];
    return side->n_tools > 1 && judge->shop->machine->control.tool_offsets.value != SW_OFFSET_NONE;
}

/* What is bored on the spindle that turns it runs as that spindle does. */
static double runout_of(const struct sw_judge *judge, const struct sw_sim_side *side)
{
    const bool is_in_place = side->holder->kind.value == SW_HOLDER_BORED_IN_PLACE;
    return side->holder->runout.value +
           (is_in_place ? 0 : judge->shop->machine->spindle.runout.value);
}

void sw_judge_moves_of(struct sw_section_verdict *verdict, const struct sw_judge *judge,
                       const struct sw_judge_made *made)
{
    const struct sw_machine *machine = judge->shop->machine;
    const struct sw_load_range unbent = {0};
    const struct sw_judge_reading *read = &made->reading;
    struct sw_section_moves *m = &verdict->moves;
    const double height =
        sw_error_of_height(verdict->turned_mm / 2, judge->shop->centre_height.value);
    const struct sw_move change =
        either_way(is_changed(judge, made) ? 2000 * machine->change_repeat.value : 0);
    const double repeat = 1000 * machine->repeatability.value, step = 1000 * machine->step.x.value;
    m->plain[SW_MOVER_BEND] = bending(&made->bend, &unbent);
    m->plain[SW_MOVER_BACKLASH] = between(-2000 * made->lag, 0);
    m->plain[SW_MOVER_HEIGHT] = between(2000 * height, 0);
    m->plain[SW_MOVER_CHANGE] = change;
    m->plain[SW_MOVER_REPEAT] = either_way(repeat);
    m->plain[SW_MOVER_STEP] = either_way(step);
    m->plain[SW_MOVER_GAUGE] = either_way(0);
    m->plain_sum = sum_of(m->plain);
    const struct sw_sim_side *side = &judge->sim->side[made->chucking - 1];
    if (side->holder != NULL && !side->setup->rod_diameter.given)
        m->runs_out_um = 1000 * runout_of(judge, side);
    m->is_gauged = made->was_gauged && read->is_there && read->tool == made->tool;
    if (!m->is_gauged)
        return;
    m->gauged[SW_MOVER_BEND] = bending(&made->bend, &read->bend);
    m->gauged[SW_MOVER_BACKLASH] = between(-2000 * (made->lag - read->lag), 0);
    m->gauged[SW_MOVER_HEIGHT] = either_way(0);
    m->gauged[SW_MOVER_CHANGE] =
        read->n_changes == made->n_changes ? either_way(0) : either_way(TWICE * change.up);
    m->gauged[SW_MOVER_REPEAT] = either_way(TWICE * repeat);
    m->gauged[SW_MOVER_STEP] = either_way(TWICE * step);
    m->gauged[SW_MOVER_GAUGE] = either_way(1000 * GAUGE);
    m->gauged_sum = sum_of(m->gauged);
}

static struct sw_finding of_section(const struct sw_judge *judge, size_t i,
                                    enum sw_severity severity, double value, double limit)
{
    struct sw_finding finding = sw_judge_finding(SW_FINDING_SIZE, severity);
    const struct sw_section_verdict *verdict = &judge->verdict->section[i];
    finding.chucking = verdict->made_chucking;
    finding.section = verdict->name;
    finding.z = verdict->measure_z_mm;
    finding.value = value;
    finding.limit = limit;
    finding.unit = "mm";
    return finding;
}

static enum sw_mover largest(const struct sw_section_moves *m, bool is_up)
{
    const struct sw_move *move = m->is_gauged ? m->gauged : m->plain;
    enum sw_mover most = SW_MOVER_BEND;
    for (enum sw_mover i = SW_MOVER_BEND; i < SW_N_MOVERS; i++)
        if ((is_up ? move[i].up : -move[i].down) > (is_up ? move[most].up : -move[most].down))
            most = i;
    return most;
}

static enum sw_status judge_edge(struct sw_judge *judge, size_t i, double low, double high)
{
    const struct sw_section_verdict *verdict = &judge->verdict->section[i];
    const struct sw_section_moves *m = &verdict->moves;
    const struct sw_bounds *comes = &verdict->predicted_mm;
    const double slack = 2 * SW_VERIFY_FLOOR;
    const bool is_up = comes->most - high > low - comes->least;
    if (fmax(comes->most - high, low - comes->least) <= slack)
        return SW_OK;
    const enum sw_mover worst = largest(m, is_up);
    const struct sw_move *move = &(m->is_gauged ? m->gauged : m->plain)[worst];
    return sw_judge_add(
        judge,
        of_section(judge, i, SW_WARNING, is_up ? comes->most : comes->least, is_up ? high : low),
        KEY_EDGE,
        "the diameter of %s may come out between %.4f and %.4f mm%s (calculated); %.4f to %.4f mm "
        "are right. Most of it is %s, %.1f um: %s",
        verdict->name, comes->least, comes->most,
        m->is_gauged ? ", though measured before its last cut" : "", low, high,
        sw_mover_word(worst), is_up ? move->up : -move->down, sw_mover_help(worst));
}

enum sw_status sw_judge_predicted(struct sw_judge *judge, size_t i)
{
    const struct sw_section_verdict *verdict = &judge->verdict->section[i];
    const struct sw_shape_section *shape = &judge->shape->section[i];
    const double middle = verdict->predicted_nominal_mm, slack = 2 * SW_VERIFY_FLOOR;
    const double off = shape->turned_diameter - shape->finished_diameter;
    const double low = verdict->lower_mm + off, high = verdict->upper_mm + off;
    const double spare = HAND_SHARE * fmax(0, shape->take);
    if (!isfinite(middle) || !isfinite(verdict->predicted_mm.most))
        return SW_OK;
    /* what the path alone does is found already */
    if (verdict->size_mm.least < low - slack || verdict->size_mm.most > high + slack)
        return SW_OK;
    if (middle >= low - slack && middle <= high + slack)
        return judge_edge(judge, i, low - spare, high + spare);
    return sw_judge_add(
        judge,
        of_section(judge, i, verdict->moves.is_gauged ? SW_WARNING : SW_ERROR, middle,
                   middle < low ? low : high),
        KEY_MIDDLE,
        "the diameter of %s, bent by the nominal force, comes out at %.4f mm (calculated); %.4f to "
        "%.4f mm are right%s",
        verdict->name, middle, low, high,
        verdict->moves.is_gauged ? "; gauge it at the pause and correct the last cut" : "");
}

/* The section whose limits are nearest together: what suits it suits the others. */
enum sw_status sw_judge_step(struct sw_judge *judge)
{
    const double step = 2 * judge->shop->machine->step.x.value;
    const struct sw_staff *staff = judge->shape->staff;
    size_t narrowest = staff->n;
    double least = HUGE_VAL;
    for (size_t i = 0; i < staff->n; i++) {
        const struct sw_section *is = &staff->section[i];
        const double band = is->diameter_tolerance.upper - is->diameter_tolerance.lower;
        const bool is_gauged = is->kind == SW_SECTION_PIVOT || is->kind == SW_SECTION_SEAT ||
                               is->kind == SW_SECTION_CYLINDER;
        if (!is_gauged || step <= band / 2 + SW_TOL_POINT || band >= least)
            continue;
        least = band;
        narrowest = i;
    }
    if (narrowest == staff->n)
        return SW_OK;
    return sw_judge_add(judge, of_section(judge, narrowest, SW_WARNING, step, least / 2), KEY_STEP,
                        "the control moves X in steps of %.4f mm on the diameter; the limits of %s "
                        "are %.4f mm apart, and a correction wants steps of half of that at most",
                        step, staff->section[narrowest].name, least);
}

enum sw_status sw_judge_runout(struct sw_judge *judge)
{
    const struct sw_sim_side *side = &judge->sim->side[judge->sim->n_sides - 1];
    if (side->holder == NULL || side->setup->rod_diameter.given)
        return SW_OK;
    const double runout = runout_of(judge, side);
    if (runout <= MOST_RUNOUT + SW_TOL_POINT)
        return SW_OK;
    struct sw_finding finding = sw_judge_finding(SW_FINDING_GRIP, SW_WARNING);
    finding.chucking = (int)judge->sim->n_sides;
    finding.value = 1000 * runout;
    finding.limit = 1000 * MOST_RUNOUT;
    finding.unit = "um";
    return sw_judge_add(judge, finding, KEY_RUNOUT,
                        "held in %s what is turned now may run out by %.1f um against the first "
                        "side; pivots want %.1f um at most: a truer holder, or one bored in place",
                        side->holder->name.value, finding.value, finding.limit);
}
