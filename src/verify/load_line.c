/* What the blocks of each line did to the work, kept for whoever asks line by line. */
#include <math.h>

#include "verify/load.h"

static const struct sw_pair unknown_pair = {(double)NAN, (double)NAN};

static struct sw_line_load unknown(uint32_t line)
{
    return (struct sw_line_load){.line = line,
                                 .least_force_n = (double)NAN,
                                 .force_n = unknown_pair,
                                 .bend_um = unknown_pair,
                                 .stress_mpa = unknown_pair};
}

static bool is_worse(double value, double than)
{
    return !(value <= than) && isfinite(value);
}

static void keep_worse(struct sw_line_load *worst, const struct sw_line_load *other)
{
    if (is_worse(other->force_n.high, worst->force_n.high)) {
        worst->least_force_n = other->least_force_n;
        worst->force_n = other->force_n;
    }
    if (is_worse(other->bend_um.high, worst->bend_um.high))
        worst->bend_um = other->bend_um;
    if (is_worse(other->stress_mpa.high, worst->stress_mpa.high))
        worst->stress_mpa = other->stress_mpa;
}

static double most_of(struct sw_load_range range)
{
    return fmax(fabs(range.least), fabs(range.most));
}

static double least_of(struct sw_load_range range)
{
    return range.least < 0 && range.most > 0 ? 0 : fmin(fabs(range.least), fabs(range.most));
}

struct sw_line_load sw_load_line_begin(uint32_t line)
{
    return unknown(line);
}

void sw_load_line_keep(struct sw_line_load *out, const struct sw_load_push *push,
                       const struct sw_load_strain *strain)
{
    const struct sw_line_load spot = {
        .line = out->line,
        .least_force_n =
            hypot(push->cutting.least, hypot(least_of(push->away), least_of(push->inward))),
        .force_n = {hypot(push->cutting.nominal, hypot(push->away.nominal, push->inward.nominal)),
                    hypot(push->cutting.most, hypot(most_of(push->away), most_of(push->inward)))},
        .bend_um = {1000 * fabs(strain->sway.nominal), 1000 * most_of(strain->sway)},
        .stress_mpa = strain->knows_stress
                          ? (struct sw_pair){strain->stress.nominal, strain->stress.most}
                          : unknown_pair};
    keep_worse(out, &spot);
}

struct sw_line_load sw_program_load(const struct sw_program_verdict *program, uint32_t first,
                                    uint32_t end)
{
    struct sw_line_load worst = unknown(0);
    for (size_t i = 0; i < program->load.n; i++) {
        const struct sw_line_load *load = &program->load.at[i];
        if (load->line < first || (end > 0 && load->line >= end))
            continue;
        worst.line = worst.line > 0 ? worst.line : load->line;
        keep_worse(&worst, load);
    }
    return worst;
}
