/* What measured pieces say of the tools that cut them: the job is made again in memory, its own
 * programs are judged, and the judge's sizes are what the readings are held against. */
#include "app/app.h"

#include <math.h>

static enum sw_status unknown_section(const struct sw_gauged *reading, const struct sw_staff *staff,
                                      struct sw_ctx *ctx)
{
    struct sw_buf names = {0};
    for (size_t i = 0; i < staff->n; i++)
        sw_buf_printf(&names, "%s%s", i ? ", " : "", staff->section[i].name);
    sw_diag_add(ctx->diag, SW_ERROR, "measured.section", reading->section.at, sw_buf_text(&names),
                "the staff has no section `%s`", reading->section.value);
    const bool failed = names.failed;
    sw_buf_done(&names);
    return failed ? SW_MEMORY : SW_INPUT;
}

/* Gauge, the machine coming back to a place (a radius), and the band of the forces, of which
 * nothing is known but its ends. */
static double doubt_of(double u_gauge, const struct sw_work *work,
                       const struct sw_section_verdict *verdict)
{
    const double machine = 2 * work->shop->machine->repeatability.value;
    const double band = (verdict->predicted_mm.most - verdict->predicted_mm.least) / sqrt(12);
    return sqrt(u_gauge * u_gauge + machine * machine + (isfinite(band) ? band * band : 0));
}

static void fill(struct sw_gauge_cut *cut, const struct sw_work *work,
                 const struct sw_measured *measured)
{
    const struct sw_section *section = &work->staff->section[cut->section];
    const struct sw_section_verdict *verdict = &work->verdict->section[cut->section];
    const bool is_turned = cut->reading->stage.value == SW_STAGE_TURNED;
    /* turning aims at the middle of the limits, and leaves above it what hand work takes off */
    const double middle = (verdict->lower_mm + verdict->upper_mm) / 2;
    const double take = is_turned ? verdict->turned_mm - middle : 0;
    cut->side = verdict->made_chucking;
    cut->station = verdict->made_station;
    cut->expected = isfinite(verdict->predicted_nominal_mm)
                        ? verdict->predicted_nominal_mm
                        : (verdict->size_mm.least + verdict->size_mm.most) / 2;
    cut->u_gauge = sw_measured_u(measured, cut->reading);
    cut->u = doubt_of(cut->u_gauge, work, verdict);
    cut->lower = verdict->lower_mm + take;
    cut->upper = verdict->upper_mm + take;
    cut->finished_lower = verdict->lower_mm;
    cut->taper = section->is_lower_half ? -section->taper : section->taper;
}

static enum sw_status find_cuts(struct sw_correction *out, const struct sw_work *work,
                                struct sw_ctx *ctx)
{
    const struct sw_gauged *reading = out->measured->readings.at;
    enum sw_status status = SW_OK;
    out->n_cuts = out->measured->readings.n;
    out->cut = SW_NEW(ctx->arena, struct sw_gauge_cut, out->n_cuts);
    if (!out->cut)
        return SW_MEMORY;
    for (size_t i = 0; i < out->n_cuts; i++) {
        const struct sw_section *section = sw_staff_section(work->staff, reading[i].section.value);
        out->cut[i].reading = &reading[i];
        if (section)
            out->cut[i].section = section->index;
        else
            status = unknown_section(&reading[i], work->staff, ctx);
        if (status == SW_MEMORY)
            return status;
    }
    return status;
}

enum sw_status sw_app_correct(struct sw_app_correct *out, const char *job, const char *measured,
                              const struct sw_app *app, struct sw_ctx *ctx)
{
    struct sw_measured *read = NULL;
    SW_TRY(sw_measured_load(&read, measured, ctx));
    out->correction.measured = read;
    SW_TRY(sw_app_load_job(&out->work, job, app, ctx));
    SW_TRY(find_cuts(&out->correction, &out->work, ctx));
    const struct sw_app_make make = {.job = job, .folder = ".", .writes = false};
    SW_TRY(sw_app_make(&out->work, &make, app, ctx));
    for (size_t i = 0; i < out->correction.n_cuts; i++)
        fill(&out->correction.cut[i], &out->work, read);
    return sw_gauge_correct(&out->correction, ctx);
}
