/* What every cutting block does to the work and the machine, from what it really took. */
#include "verify/load.h"

#include <math.h>

#include "mech/stress.h"

/* Forces are worked out again where depth or feed differ by more than this share of themselves:
 * nobody knows a force to a tenth. */
#define ALIKE 0.01
/* A block rubs when its chip is too thin over more than this share of what it cuts; the rest is
 * where allowances blend and passes run out. */
#define MOSTLY 0.75
/* What is shorter than so many noses turns a corner or breaks an edge: no cut of its own. */
#define OWN_NOSES 4

static const double pi = 3.14159265358979323846;
/* A bound below this share of a value is below it, whatever rounding did. */
#define CLEARLY (1 - 1e-9)

static bool are_alike(double a, double b)
{
    return fabs(a - b) <= ALIKE * fabs(b);
}

static bool same_push(const struct sw_load_spot *a, const struct sw_load_spot *b)
{
    return are_alike(a->depth, b->depth) && are_alike(a->feed, b->feed) &&
           are_alike(a->r * a->rpm, b->r * b->rpm) && fabs(a->way.z - b->way.z) <= ALIKE &&
           fabs(a->way.r - b->way.r) <= ALIKE;
}

static bool is_worse(double value, double than)
{
    return !(value <= than);
}

static void keep_worst(struct sw_verdict_worst *worst, const struct sw_load_block *b,
                       double nominal, double high, double z)
{
    const double z_part = sw_judge_part_z(b->judge, b->move->side, z);
    const struct sw_section *section = sw_judge_section_at(b->judge, z_part);
    *worst = (struct sw_verdict_worst){.nominal = nominal,
                                       .high = high,
                                       .program = b->judge->program[b->judge->program_now].name,
                                       .line = b->move->event->line,
                                       .section = section != NULL ? section->name : NULL,
                                       .z = z_part};
}

static double largest(struct sw_load_range r)
{
    return fmax(fabs(r.least), fabs(r.most));
}

/* Stress by 1 N sideways at AT, looked for at the ends of the pieces. */
static double unit_stress(const struct sw_bar *bar, double at, double reach)
{
    double most = 0;
    for (size_t i = 0; i < bar->n && bar->at[i].z0 <= reach; i++) {
        const struct sw_bar_piece *piece = &bar->at[i];
        const double z1 = piece->z1 < reach ? piece->z1 : reach;
        const double thin = piece->d0 < piece->d1 ? piece->d0 : piece->d1;
        /* the longer arm on the thinner end: most pieces stay far below */
        if (32 * (at - piece->z0) < CLEARLY * pi * most * thin * thin * thin)
            continue;
        const double root = sw_stress_bending(at - piece->z0, piece->d0);
        const double tip = sw_stress_bending(at - z1, sw_bar_piece_diameter(piece, z1));
        most = root > most ? root : most;
        most = tip > most ? tip : most;
    }
    return most;
}

static void keep_section(struct sw_section_load *load, const struct sw_load_block *b,
                         const struct sw_load_push *push, const struct sw_load_strain *strain,
                         double at)
{
    const struct sw_bar *bar = &b->judge->load.bar;
    const double yield = b->material->yield.value, give = strain->give * 1000;
    const double force =
        hypot(push->cutting.nominal, hypot(push->away.nominal, push->inward.nominal));
    const double high =
        hypot(push->cutting.most, hypot(largest(push->away), largest(push->inward)));
    if (is_worse(give, load->um_per_n))
        load->um_per_n = give;
    const double reach = strain->reach;
    const double stress = reach >= 0 ? unit_stress(bar, at, reach) : 0;
    if (reach >= 0 && is_worse(stress, load->mpa_per_n))
        load->mpa_per_n = stress;
    if (is_worse(high, load->load_high_n)) {
        load->load_n = force;
        load->load_high_n = high;
        load->program = b->judge->program[b->judge->program_now].name;
        load->line = b->move->event->line;
    }
    if (strain->knows_stress && is_worse(strain->stress.most, load->stress_mpa)) {
        load->stress_mpa = strain->stress.most;
        if (yield > 0 && strain->stress.most > 0)
            load->safety = yield / strain->stress.most;
    }
}

static void keep(const struct sw_load_block *b, const struct sw_load_spot *spot,
                 const struct sw_load_strain *strain)
{
    struct sw_verdict *verdict = b->judge->verdict;
    const double yield = b->material->yield.value, bend = largest(strain->bend) * 1000;
    if (b->judge->shape == NULL && bend > 0 && is_worse(bend, verdict->deflection_um.high))
        keep_worst(&verdict->deflection_um, b, fabs(strain->bend.nominal) * 1000, bend,
                   spot->left.z);
    if (!strain->knows_stress || !(strain->stress.most > 0) ||
        !is_worse(strain->stress.most, verdict->stress_mpa.high))
        return;
    keep_worst(&verdict->stress_mpa, b, strain->stress.nominal, strain->stress.most,
               strain->stress_z);
    if (yield > 0)
        keep_worst(&verdict->safety, b, yield / strain->stress.nominal, yield / strain->stress.most,
                   strain->stress_z);
}

/* What the cut leaves over the shape, square to it; infinite without a shape there. */
static double left_over(const struct sw_load_block *b, const struct sw_load_spot *spot, double z)
{
    const double form = sw_silhouette_r(&b->judge->load.turned, z, NULL);
    if (!(form > 0))
        return HUGE_VAL;
    return (spot->left.r - form) * fabs(spot->into.r);
}

/* Below what is looked for: the worst of the section; of the line, where lines are asked for. What
 * raises no worst and breaks no limit changes nothing in the verdict. */
static struct sw_load_floor stress_floor(const struct sw_load_block *b,
                                         const struct sw_section_load *section,
                                         const struct sw_line_load *line)
{
    const struct sw_judge *judge = b->judge;
    const double allowed = b->material->yield.value / fmax(1, judge->shop->safety.value);
    const double worst =
        fmax(0, section != NULL ? section->stress_mpa : judge->verdict->stress_mpa.high);
    struct sw_load_floor floor = {.bound = worst, .stress = fmin(worst, allowed)};
    if (section == NULL && allowed > 0 && !(worst < allowed))
        floor.bound = allowed;
    if (judge->by_line) {
        const double of_line = fmax(0, line->stress_mpa.high);
        floor.bound = fmin(floor.bound, of_line);
        floor.stress = fmin(floor.stress, of_line);
    }
    return floor;
}

static enum sw_status judge_spot(struct sw_line_load *line, const struct sw_load_block *b,
                                 const struct sw_load_spot *spot, const struct sw_load_push *push)
{
    struct sw_judge *judge = b->judge;
    bool is_held = false;
    double at = 0;
    SW_TRY(sw_load_bar_to(&is_held, &at, b, spot));
    if (!is_held)
        return SW_OK;
    const double z = sw_judge_part_z(judge, b->move->side, spot->left.z);
    const struct sw_section *section = sw_judge_section_at(judge, z);
    struct sw_section_load *load =
        section != NULL ? &judge->verdict->section[section->index].load : NULL;
    const struct sw_load_floor floor = stress_floor(b, load, line);
    const struct sw_load_strain strain = sw_load_strain_of(b, spot, push, at, &floor);
    if (judge->by_line)
        sw_load_line_keep(line, push, &strain);
    const double over = left_over(b, spot, z);
    keep(b, spot, &strain);
    if (load != NULL) {
        keep_section(load, b, push, &strain, at);
        sw_load_make(b, spot, &strain, section, z, over);
    }
    const bool is_near =
        section != NULL && over <= sw_judge_radial_limit(section, false) + SW_VERIFY_FLOOR;
    return sw_load_judge_strain(b, spot, push, &strain, is_near, over);
}

static double own_length(const struct sw_load_block *b)
{
    return OWN_NOSES * b->tool->nose_radius.value;
}

/* Over how much of its way a block rubs, and what it takes there on average. */
struct rubbing {
    double cuts, rubs;  /* places */
    double on_pivot;    /* of those that rub */
    double chip, depth; /* sums over what rubs */
    double least_chip;
    struct sw_load_spot last;
};

/* What rubs far above a pivot is cut away before its surface is made. */
static bool is_on_pivot(const struct sw_load_block *b, const struct sw_load_spot *spot)
{
    const double z = sw_judge_part_z(b->judge, b->move->side, spot->left.z);
    const struct sw_section *section = sw_judge_section_at(b->judge, z);
    return section != NULL && section->kind == SW_SECTION_PIVOT &&
           left_over(b, spot, z) <= SW_LOAD_NEAR;
}

/* A pass over a pivot often runs out beyond it: it is told where it rubs on the pivot. */
static void watch_rubbing(struct rubbing *rubbing, const struct sw_load_block *b,
                          const struct sw_load_spot *spot, const struct sw_load_push *push)
{
    if (spot->depth <= SW_VERIFY_FLOOR)
        return; /* retraces a finished surface, or blends into one */
    rubbing->cuts++;
    if (push->chip >= push->least_chip)
        return;
    rubbing->rubs++;
    rubbing->chip += push->chip;
    rubbing->depth += spot->depth;
    rubbing->least_chip = push->least_chip;
    const bool counts = is_on_pivot(b, spot);
    rubbing->on_pivot += counts;
    if (counts || rubbing->on_pivot * b->profile->width < own_length(b))
        rubbing->last = *spot;
}

static enum sw_status judge_rubbing(const struct sw_load_block *b, const struct rubbing *rubbing)
{
    if (!(rubbing->rubs > MOSTLY * rubbing->cuts) ||
        rubbing->rubs * b->profile->width < own_length(b))
        return SW_OK;
    struct sw_load_spot spot = rubbing->last;
    spot.depth = rubbing->depth / rubbing->rubs;
    const bool is_pivot = rubbing->on_pivot * b->profile->width >= own_length(b);
    return sw_load_judge_rubbing(b, rubbing->chip / rubbing->rubs, &spot, rubbing->least_chip,
                                 is_pivot);
}

static bool knows_forces(const struct sw_material *material)
{
    return material->specific_force.value > 0 && material->elastic_modulus.value > 0;
}

static enum sw_status judge_block(struct sw_judge *judge, const struct sw_sim_move *move,
                                  const struct sw_cut_profile *profile)
{
    struct sw_load_block b;
    struct sw_load_spot spot[SW_CUT_PLACES];
    struct sw_load_push push = {0};
    struct rubbing rubbing = {0};
    size_t n = 0;
    if (!sw_load_block_of(&b, judge, move, profile))
        return SW_OK;
    judge->load.stand = (struct sw_judge_stand){0};
    b.far_z = -HUGE_VAL;
    for (size_t i = 0; i < b.profile->n; i++) {
        if (!sw_load_spot_of(&spot[n], &b, i))
            continue;
        b.far_z = fmax(b.far_z, spot[n].left.z);
        n++;
    }
    struct sw_line_load line = sw_load_line_begin(move->event->line);
    for (size_t i = 0; i < n; i++) {
        if (i == 0 || !same_push(&spot[i], &spot[i - 1]))
            push = sw_load_push_of(&b, &spot[i]);
        watch_rubbing(&rubbing, &b, &spot[i], &push);
        if (!knows_forces(b.material))
            continue;
        SW_TRY(sw_load_judge_machine(&b, &spot[i], &push));
        SW_TRY(sw_load_judge_hold(&b, &spot[i], &push));
        SW_TRY(judge_spot(&line, &b, &spot[i], &push));
    }
    struct sw_program_verdict *program = &judge->verdict->program[judge->program_now];
    if (judge->by_line && isfinite(line.force_n.high) &&
        !SW_VEC_PUSH(judge->ctx->arena, &program->load, line))
        return SW_MEMORY;
    return judge_rubbing(&b, &rubbing);
}

enum sw_status sw_judge_load(struct sw_judge *judge, const struct sw_sim_move *move,
                             const struct sw_cut_profile *profile)
{
    struct sw_judge_load *load = &judge->load;
    const struct sw_sim *sim = judge->sim;
    if (!move->is_cut || move->tool == SW_SIM_NO_TOOL)
        return SW_OK;
    SW_TRY(sim->kernel->silhouette(&load->after, sim->work, SW_WORK_LEAST, sw_load_nose_z(judge)));
    const struct sw_sim_tool *tool = &sim->side[sim->n_sides - 1].tool[move->tool];
    /* what a turn of a thread takes is the groove's own section, not depth by feed */
    const bool is_turned = move->event->kind != SW_MOTION_RAPID && !move->event->is_thread;
    if (is_turned && sw_tool_cuts(tool->tool))
        SW_TRY(judge_block(judge, move, profile));
    const struct sw_silhouette spent = load->before;
    load->before = load->after;
    load->after = spent;
    return SW_OK;
}
