/* By which cut each place of a section was made, and what its bending does to the size. */
#include <math.h>

#include "verify/load.h"

/* Cosine of the slope up to which a surface lies along the axis: 25 degrees. */
#define ALONG 0.9

/* Findings of one section by the nominal force and by its high end stand side by side; beyond the
 * keys of other deflections, which begin at a thousand times the kind. */
enum { KEY_NOMINAL = -1, KEY_HIGH = -2 };

/* Where the diameter is what counts: on slopes, and on what lies along the axis; not on the dome of
 * a pivot, a bevel or a face, nor where a point only dips in to go on along the surface. */
static bool is_gauged(const struct sw_load_block *b, const struct sw_load_spot *spot,
                      const struct sw_section *section)
{
    if (b->is_plunge && b->tool->kind.value == SW_TOOL_POINT)
        return false;
    return section->kind == SW_SECTION_CONE || section->kind == SW_SECTION_BACK_SLOPE ||
           section->kind == SW_SECTION_TAPER || section->kind == SW_SECTION_GROOVE ||
           fabs(spot->into.r) >= ALONG;
}

static size_t place_of(const struct sw_shape_section *section, double z)
{
    const double share = (z - section->z0) / (section->z1 - section->z0);
    return (size_t)fmin(fmax(0, floor(share * SW_JUDGE_PLACES)), SW_JUDGE_PLACES - 1);
}

void sw_load_make(const struct sw_load_block *b, const struct sw_load_spot *spot,
                  const struct sw_load_strain *strain, const struct sw_section *section, double z,
                  double over)
{
    const struct sw_judge *judge = b->judge;
    struct sw_judge_making *making = &judge->load.making[section->index];
    const struct sw_shape_section *shape = &judge->shape->section[section->index];
    if (over < -SW_LOAD_INSIDE || over > SW_LOAD_NEAR)
        return;
    making->is_near = true;
    if (!is_gauged(b, spot, section))
        return;
    const double half = b->profile->width * fabs(spot->way.z) / 2;
    const struct sw_judge_made made = {
        .event = b->move->event,
        .program = judge->program_now,
        .chucking = (int)judge->sim->n_sides,
        .z = z,
        .over = over,
        .bend = strain->bend,
        .lag = sw_judge_lag(judge, b->move,
                            spot->left.r - b->tool->nose_radius.value * spot->into.r, spot->way),
        .tool = b->move->tool,
        .n_changes = judge->slide.n_changes,
        .was_gauged = making->was_paused,
        .reading = making->reading};
    for (size_t i = place_of(shape, z - half); i <= place_of(shape, z + half); i++)
        making->at[i] = made;
}

/* Gauged where the section is measured, or where it stands so far. */
static void read_at_pause(struct sw_judge_making *making, const struct sw_shape_section *shape)
{
    const struct sw_judge_made *made = &making->at[place_of(shape, shape->measure_z)];
    for (size_t k = 0; k < SW_JUDGE_PLACES && made->event == NULL; k++)
        made = &making->at[k];
    if (made->event == NULL)
        return;
    making->reading = (struct sw_judge_reading){.is_there = true,
                                                .bend = made->bend,
                                                .lag = made->lag,
                                                .tool = made->tool,
                                                .n_changes = made->n_changes};
}

void sw_judge_load_pause(struct sw_judge *judge)
{
    for (size_t i = 0; i < judge->verdict->n_sections; i++) {
        judge->load.making[i].was_paused |= judge->load.making[i].is_near;
        read_at_pause(&judge->load.making[i], &judge->shape->section[i]);
    }
}

/* What remains of a bending of which the text makes up a part by cutting deeper; deeper still is
 * judged with the sizes. */
static double made_up(double bend, double over)
{
    return bend > 0 ? fmax(0, bend + fmin(over, 0)) : -bend;
}

/* The diameter a last cut leaves is off by twice the bending, less what the text cuts deeper to
 * make up for it. What it leaves over may still come off, and is judged with the sizes. Where the
 * section could be gauged before, the spring was in the reading: it can be corrected, and no error.
 */
static enum sw_status judge_made(struct sw_judge *judge, const struct sw_judge_made *made,
                                 const struct sw_section *section)
{
    const struct sw_band *band = &section->diameter_tolerance;
    const struct sw_load_range *bend = &made->bend;
    const double half = fmax((band->upper - band->lower) / 2, 2 * SW_VERIFY_FLOOR) * 1000;
    const struct sw_load_range off = {
        .nominal = 2000 * made_up(bend->nominal, made->over),
        .most = 2000 * fmax(made_up(bend->least, made->over), made_up(bend->most, made->over))};
    struct sw_finding finding = sw_judge_finding(SW_FINDING_DEFLECTION, SW_WARNING);
    if (!sw_load_is_over(&finding.severity, &finding.value, off, half, SW_LOAD_BEND_SHARE * half))
        return SW_OK;
    finding.program = judge->program[made->program].name;
    finding.line = made->event->line;
    finding.chucking = made->chucking;
    finding.section = section->name;
    finding.z = made->z;
    finding.unit = "um";
    if (finding.severity == SW_ERROR) {
        finding.limit = half;
        finding.severity = made->was_gauged ? SW_WARNING : SW_ERROR;
        return sw_judge_add(
            judge, finding, KEY_NOMINAL,
            "the last cut bends the work so that its diameter is off by %.2f um by the nominal "
            "force (calculated); half its tolerance is %.2f um%s",
            finding.value, half,
            made->was_gauged ? "; gauge it at the pause and correct the last cut" : "");
    }
    finding.limit = SW_LOAD_BEND_SHARE * half;
    return sw_judge_add(judge, finding, KEY_HIGH,
                        "the last cut may bend the work so that its diameter is off by %.2f um at "
                        "the high end of the force (calculated); more than %.2f um leaves too "
                        "little of its tolerance",
                        finding.value, finding.limit);
}

/* Of the cuts that made it, whichever bent it most. */
static void keep_worst(struct sw_judge *judge, const struct sw_judge_made *made,
                       const struct sw_section *section)
{
    struct sw_verdict_worst *worst = &judge->verdict->deflection_um;
    const double bend = 1000 * fmax(fabs(made->bend.least), fabs(made->bend.most));
    if (!(bend > 0) || bend <= worst->high)
        return;
    *worst = (struct sw_verdict_worst){.nominal = fabs(made->bend.nominal) * 1000,
                                       .high = bend,
                                       .program = judge->program[made->program].name,
                                       .line = made->event->line,
                                       .section = section->name,
                                       .z = made->z};
}

static void keep_bend(struct sw_judge *judge, size_t index)
{
    const struct sw_shape_section *shape = &judge->shape->section[index];
    const struct sw_judge_made *made =
        &judge->load.making[index].at[place_of(shape, shape->measure_z)];
    double *bend = judge->verdict->section[index].load.bend_um;
    if (made->event == NULL)
        return;
    judge->verdict->section[index].made_chucking = made->chucking;
    judge->verdict->section[index].made_station = made->event->state.tool;
    sw_judge_moves_of(&judge->verdict->section[index], judge, made);
    bend[0] = made->bend.least * 1000;
    bend[1] = made->bend.nominal * 1000;
    bend[2] = made->bend.most * 1000;
}

enum sw_status sw_judge_load_finish(struct sw_judge *judge)
{
    for (size_t i = 0; i < judge->verdict->n_sections; i++) {
        const struct sw_section *section = &judge->shape->staff->section[i];
        keep_bend(judge, i);
        for (size_t k = 0; k < SW_JUDGE_PLACES; k++) {
            const struct sw_judge_made *made = &judge->load.making[i].at[k];
            /* what stands over more is no last cut, and found out as uncut */
            if (made->event == NULL ||
                made->over > sw_judge_radial_limit(section, false) + SW_VERIFY_FLOOR)
                continue;
            keep_worst(judge, made, section);
            SW_TRY(judge_made(judge, made, section));
        }
    }
    return SW_OK;
}
