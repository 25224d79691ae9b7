/* What the work bears, as a table and in words. */
#include <math.h>

#include "report/tables.h"
#include "report/text.h"

enum {
    AT_NAME = 2,
    AT_SLENDER = 26,
    AT_GIVE = 33,
    AT_STRESS = 42,
    AT_LOAD = 52,
    AT_SAFETY = 68,
    AT_PREDICTED = 76
};

static void heads(struct sw_buf *out)
{
    static const struct {
        size_t at;
        const char *head;
    } column[] = {{AT_NAME, "loads (calculated)"}, {AT_SLENDER, "L/d"},    {AT_GIVE, "um per N"},
                  {AT_STRESS, "MPa per N"},        {AT_LOAD, "largest N"}, {AT_SAFETY, "safety"},
                  {AT_PREDICTED, "bent to"}};
    for (size_t i = 0; i < sizeof column / sizeof *column; i++) {
        sw_buf_pad(out, column[i].at);
        sw_buf_add(out, column[i].head);
    }
    sw_buf_add(out, "\n");
}

static void row(struct sw_buf *out, const struct sw_section_verdict *section)
{
    const struct sw_section_load *load = &section->load;
    sw_buf_pad(out, AT_NAME);
    sw_buf_add(out, section->name);
    sw_buf_pad(out, AT_SLENDER);
    sw_text_number(out, load->slenderness, 2);
    sw_buf_pad(out, AT_GIVE);
    sw_text_number(out, load->um_per_n, 2);
    sw_buf_pad(out, AT_STRESS);
    sw_text_number(out, load->mpa_per_n, 0);
    sw_buf_pad(out, AT_LOAD);
    sw_text_bounds(out, load->load_n, load->load_high_n, 2);
    sw_buf_pad(out, AT_SAFETY);
    sw_text_number(out, load->safety, 1);
    const double bent = 2e-3 * section->load.bend_um[0], most = 2e-3 * section->load.bend_um[2];
    sw_buf_pad(out, AT_PREDICTED);
    sw_text_bounds(out, section->size_mm.least + bent, section->size_mm.most + most, 4);
    sw_buf_add(out, "\n");
}

static void where(struct sw_buf *out, const struct sw_verdict_worst *worst)
{
    sw_buf_printf(out, " (%s:%u", worst->program, (unsigned)worst->line);
    if (worst->section)
        sw_buf_printf(out, ", %s", worst->section);
    sw_buf_add(out, ")");
}

void sw_report_worst_bending(struct sw_buf *out, const struct sw_verdict *verdict)
{
    const struct sw_verdict_worst *worst = &verdict->deflection_um;
    if (!isfinite(worst->high))
        return;
    sw_buf_add(out, verdict->n_sections ? "largest bending of a finished surface: "
                                        : "largest bending: ");
    sw_text_number(out, worst->nominal, 2);
    sw_buf_add(out, " um, ");
    sw_text_number(out, worst->high, 2);
    sw_buf_add(out, " um at the high end of the force");
    where(out, worst);
}

void sw_report_worst_stress(struct sw_buf *out, const struct sw_verdict *verdict)
{
    const struct sw_verdict_worst *worst = &verdict->stress_mpa, *safety = &verdict->safety;
    if (!isfinite(worst->high))
        return;
    sw_buf_add(out, "largest stress: ");
    sw_text_number(out, worst->nominal, 0);
    sw_buf_add(out, " MPa, ");
    sw_text_number(out, worst->high, 0);
    sw_buf_add(out, " MPa at the high end of the force");
    where(out, worst);
    if (!isfinite(safety->high))
        return;
    sw_buf_add(out, "; safety against yield ");
    sw_text_number(out, safety->nominal, 1);
    sw_buf_add(out, ", at least ");
    sw_text_number(out, safety->high, 1);
}

void sw_report_loads(struct sw_buf *out, const struct sw_verdict *verdict)
{
    if (verdict->n_sections)
        heads(out);
    for (size_t i = 0; i < verdict->n_sections; i++)
        row(out, &verdict->section[i]);
    if (verdict->n_sections)
        sw_buf_add(out, "\n");
    if (isfinite(verdict->deflection_um.high)) {
        sw_report_worst_bending(out, verdict);
        sw_buf_add(out, "\n");
    }
    if (isfinite(verdict->stress_mpa.high)) {
        sw_report_worst_stress(out, verdict);
        sw_buf_add(out, "\n");
    }
}
