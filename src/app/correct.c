/* What measured pieces say of the tools that cut them: the job is made again in memory, its own
 * programs are judged, and the judge's sizes are what the readings are held against. Of a batch
 * every variant that was gauged is made again; its tools are the same. */
#include "app/app.h"

#include <math.h>
#include <string.h>

#include "base/file.h"
#include "batch/batch.h"
#include "spec/node.h"

/* The variants that were gauged; of a job there is one, without a name. */
struct variants {
    const struct sw_batch *batch; /* NULL: a job */
    const char *staff_name, *staff;
    size_t staff_size;
    struct {
        const char *name;
        size_t index;
        struct sw_work *work;
    } * at;
    size_t n;
};

static enum sw_status unknown(struct sw_span at, struct sw_buf *hint, const char *format,
                              const char *what, struct sw_ctx *ctx)
{
    sw_diag_add(ctx->diag, SW_ERROR, "measured.name", at, sw_buf_text(hint), format, what);
    const bool failed = hint->failed;
    sw_buf_done(hint);
    return failed ? SW_MEMORY : SW_INPUT;
}

static enum sw_status unknown_section(const struct sw_gauged *reading, const struct sw_staff *staff,
                                      struct sw_ctx *ctx)
{
    struct sw_buf names = {0};
    for (size_t i = 0; i < staff->n; i++)
        sw_buf_printf(&names, "%s%s", i ? ", " : "", staff->section[i].name);
    return unknown(reading->section.at, &names, "the staff has no section `%s`",
                   reading->section.value, ctx);
}

/* The variant a reading belongs to, by its place in VARIANTS. */
static enum sw_status variant_of(size_t *at, struct variants *variants,
                                 const struct sw_text *written, struct sw_span place,
                                 struct sw_ctx *ctx)
{
    enum { SHOWN = 8 };
    struct sw_buf names = {0};
    const size_t n = variants->batch ? sw_batch_n(variants->batch) : 0;
    *at = 0;
    if (!variants->batch) {
        if (!written->value)
            return SW_OK;
        sw_buf_add(&names, "give the batch file in place of the job, or take it out");
        return unknown(written->at, &names, "a job has no variant `%s`", written->value, ctx);
    }
    for (size_t i = 0; i < n; i++) {
        const char *name;
        SW_TRY(sw_batch_name(&name, variants->batch, i, ctx));
        if (i < SHOWN)
            sw_buf_printf(&names, "%s%s", i ? ", " : "", name);
        if (written->value ? strcmp(name, written->value) != 0 : n > 1)
            continue;
        sw_buf_done(&names);
        for (*at = 0; *at < variants->n; ++*at)
            if (variants->at[*at].index == i)
                return SW_OK;
        variants->at[variants->n].name = name;
        variants->at[variants->n++].index = i;
        return SW_OK;
    }
    if (n > SHOWN)
        sw_buf_add(&names, ", ...");
    return written->value
               ? unknown(written->at, &names, "the batch has no variant `%s`", written->value, ctx)
               : unknown(place, &names, "%s needs its `variant`: the batch has several",
                         "a reading", ctx);
}

/* Gauge, the machine coming back to a place (a radius), and the band of the forces, of which
 * nothing is known but its ends. */
static double doubt_of(double u_gauge, const struct sw_work *work,
                       const struct sw_section_verdict *verdict)
{
    const double machine = 2 * work->shop->machine->repeatability.value;
    const double *bend = verdict->load.bend_um;
    const double band = 2e-3 * (bend[2] - bend[0]) / sqrt(12);
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
    cut->finished_upper = verdict->upper_mm;
    cut->taper = section->is_lower_half ? -section->taper : section->taper;
    cut->added =
        sw_measured_added_since(measured, cut->side, cut->station, cut->reading->piece.value);
}

static const struct sw_face_verdict *face_called(const struct sw_verdict *verdict, const char *name)
{
    for (size_t i = 0; i < verdict->n_faces; i++)
        if (strcmp(verdict->face[i].name, name) == 0)
            return &verdict->face[i];
    return NULL;
}

static struct sw_gauge_face face_of(const struct sw_face_verdict *face, const struct sw_work *work)
{
    const size_t side = face->made_chucking > 0 ? (size_t)face->made_chucking - 1 : 0;
    const bool is_upper = work->plan->chucking[side].end == SW_SIDE_UPPER;
    /* away from the headstock is towards the tip that points there */
    return (struct sw_gauge_face){.name = face->name,
                                  .z = (face->at_mm.least + face->at_mm.most) / 2,
                                  .side = face->made_chucking,
                                  .station = face->made_station,
                                  .way = is_upper ? -1 : 1};
}

static enum sw_status find_face(struct sw_gauge_face *out, const struct sw_text *name,
                                struct sw_span place, const struct sw_work *work,
                                struct sw_ctx *ctx)
{
    const struct sw_verdict *verdict = work->verdict;
    const struct sw_face_verdict *face = face_called(verdict, name->value);
    if (face) {
        *out = face_of(face, work);
        return SW_OK;
    }
    struct sw_buf names = {0};
    for (size_t i = 0; i < verdict->n_faces; i++)
        sw_buf_printf(&names, "%s%s", i ? ", " : "", verdict->face[i].name);
    return unknown(name->at.line ? name->at : place, &names,
                   "the staff has no face called `%s` that a gauge can be put to", name->value,
                   ctx);
}

/* The band the drawing gives to a length, if it does: the whole, a height, a section. */
static const struct sw_band *band_of(const struct sw_gauge_stretch *stretch,
                                     const struct sw_work *work)
{
    const struct sw_staff *staff = work->staff;
    const char *from = stretch->from.name, *to = stretch->to.name;
    const bool from_tip = strcmp(from, "lower tip") == 0;
    if (from_tip && strcmp(to, "upper tip") == 0)
        return &staff->total_tolerance;
    for (size_t i = 0; from_tip && i < staff->n_heights; i++)
        if (strcmp(staff->height[i].name, to) == 0)
            return &staff->height[i].tolerance;
    return NULL;
}

static enum sw_status fill_stretch(struct sw_gauge_stretch *stretch, const struct sw_work *work,
                                   const struct sw_measured *measured, struct sw_ctx *ctx)
{
    const struct sw_gauged_length *reading = stretch->reading;
    SW_TRY(find_face(&stretch->from, &reading->from, reading->to.at, work, ctx));
    SW_TRY(find_face(&stretch->to, &reading->to, reading->to.at, work, ctx));
    if (strcmp(stretch->from.name, "upper tip") == 0 &&
        strcmp(stretch->to.name, "lower tip") == 0) {
        const struct sw_gauge_face upper = stretch->from;
        stretch->from = stretch->to;
        stretch->to = upper;
    }
    const struct sw_face_verdict *from = face_called(work->verdict, stretch->from.name);
    const struct sw_face_verdict *to = face_called(work->verdict, stretch->to.name);
    const double drawn = fabs(to->z_mm - from->z_mm);
    stretch->expected = fabs(stretch->to.z - stretch->from.z);
    if (!(stretch->expected > 0)) {
        sw_diag_add(ctx->diag, SW_ERROR, "measured.length", reading->to.at,
                    "name two different faces", "`%s` and `%s` are one face", stretch->from.name,
                    stretch->to.name);
        return SW_INPUT;
    }
    const struct sw_band *band = band_of(stretch, work);
    stretch->lower = band ? drawn + band->lower : (double)NAN;
    stretch->upper = band ? drawn + band->upper : (double)NAN;
    stretch->u_gauge = sw_measured_length_u(measured, reading);
    /* either face is as far off as the slide comes back */
    stretch->u = hypot(stretch->u_gauge, sqrt(2) * work->shop->machine->repeatability.value);
    return SW_OK;
}

static enum sw_status make_one(struct sw_work *work, const struct variants *variants, size_t i,
                               const char *job, const struct sw_app *app, struct sw_ctx *ctx)
{
    struct sw_app_make make = {.job = job, .folder = ".", .writes = false, .no_pdf = true};
    if (!variants->batch)
        return sw_app_make(work, &make, app, ctx);
    struct sw_buf staff = {0};
    enum sw_status status =
        sw_batch_staff(&staff, variants->batch, variants->at[i].index, variants->staff_name,
                       variants->staff, variants->staff_size, ctx);
    make.job = variants->batch->job.value;
    make.staff = status == SW_OK ? sw_arena_copy(ctx->arena, sw_buf_text(&staff), staff.n) : NULL;
    make.staff_size = staff.n;
    sw_buf_done(&staff);
    if (status == SW_OK && !make.staff)
        status = SW_MEMORY;
    return status == SW_OK ? sw_app_make(work, &make, app, ctx) : status;
}

static enum sw_status load_variants(struct variants *variants, struct sw_work *work,
                                    const char *path, const struct sw_measured *measured,
                                    const struct sw_app *app, struct sw_ctx *ctx)
{
    struct sw_node *root = NULL;
    struct sw_batch *batch = NULL;
    const size_t most = measured->readings.n + measured->lengths.n + 1;
    variants->at = sw_arena_alloc(ctx->arena, most, sizeof *variants->at);
    if (!variants->at)
        return SW_MEMORY;
    SW_TRY(sw_node_load(&root, path, ctx));
    const struct sw_node *format = root->kind == SW_NODE_MAP ? sw_node_get(root, "format") : NULL;
    if (!format || !format->text || strncmp(format->text, "batch/", 6) != 0) {
        variants->n = 1;
        return sw_app_load_job(work, path, app, ctx);
    }
    SW_TRY(sw_batch_load(&batch, path, ctx));
    SW_TRY(sw_app_load_job(work, batch->job.value, app, ctx));
    variants->batch = batch;
    variants->staff_name = work->job->staff.value;
    return sw_file_read(&variants->staff, &variants->staff_size, variants->staff_name,
                        SW_FILE_MOST_INPUT, ctx);
}

/* Which piece a reading is of; faults of all readings before any program is made. */
struct places {
    size_t *cut, *stretch; /* by reading: its variant */
};

static enum sw_status find_places(struct places *places, struct sw_correction *to,
                                  struct variants *variants, const struct sw_work *work,
                                  struct sw_ctx *ctx)
{
    const struct sw_gauged *reading = to->measured->readings.at;
    const struct sw_gauged_length *length = to->measured->lengths.at;
    enum sw_status status = SW_OK;
    for (size_t i = 0; i < to->n_cuts; i++) {
        to->cut[i].reading = &reading[i];
        const struct sw_section *section = sw_staff_section(work->staff, reading[i].section.value);
        enum sw_status one = section ? SW_OK : unknown_section(&reading[i], work->staff, ctx);
        to->cut[i].section = section ? section->index : 0;
        if (one == SW_OK)
            one = variant_of(&places->cut[i], variants, &reading[i].variant, reading[i].section.at,
                             ctx);
        status = one == SW_OK ? status : one;
        if (status == SW_MEMORY)
            return status;
    }
    for (size_t i = 0; i < to->n_stretches; i++) {
        to->stretch[i].reading = &length[i];
        const enum sw_status one =
            variant_of(&places->stretch[i], variants, &length[i].variant, length[i].to.at, ctx);
        status = one == SW_OK ? status : one;
        if (status == SW_MEMORY)
            return status;
    }
    return status;
}

static enum sw_status make_all(struct variants *variants, const char *job, const struct sw_app *app,
                               struct sw_ctx *ctx)
{
    for (size_t i = 0; i < variants->n; i++) {
        variants->at[i].work = SW_NEW(ctx->arena, struct sw_work, 1);
        if (!variants->at[i].work)
            return SW_MEMORY;
        SW_TRY(make_one(variants->at[i].work, variants, i, job, app, ctx));
    }
    return SW_OK;
}

enum sw_status sw_app_correct(struct sw_app_correct *out, const char *job, const char *measured,
                              const struct sw_app *app, struct sw_ctx *ctx)
{
    struct sw_measured *read = NULL;
    struct variants variants = {0};
    struct sw_correction *to = &out->correction;
    SW_TRY(sw_measured_load(&read, measured, ctx));
    to->measured = read;
    SW_TRY(load_variants(&variants, &out->work, job, read, app, ctx));
    to->n_cuts = read->readings.n;
    to->n_stretches = read->lengths.n;
    to->cut = SW_NEW(ctx->arena, struct sw_gauge_cut, to->n_cuts);
    to->stretch = SW_NEW(ctx->arena, struct sw_gauge_stretch, to->n_stretches);
    const struct places places = {SW_NEW(ctx->arena, size_t, to->n_cuts),
                                  SW_NEW(ctx->arena, size_t, to->n_stretches)};
    if ((to->n_cuts && (!to->cut || !places.cut)) ||
        (to->n_stretches && (!to->stretch || !places.stretch)))
        return SW_MEMORY;
    struct places filled = places;
    SW_TRY(find_places(&filled, to, &variants, &out->work, ctx));
    SW_TRY(make_all(&variants, job, app, ctx));
    enum sw_status status = SW_OK;
    for (size_t i = 0; i < to->n_cuts; i++) {
        to->cut[i].variant = variants.at[places.cut[i]].name;
        fill(&to->cut[i], variants.at[places.cut[i]].work, read);
    }
    for (size_t i = 0; i < to->n_stretches && status != SW_MEMORY; i++) {
        const enum sw_status one =
            fill_stretch(&to->stretch[i], variants.at[places.stretch[i]].work, read, ctx);
        status = one == SW_OK ? status : one;
    }
    SW_TRY(status);
    out->work = *variants.at[0].work;
    const struct sw_plan_chucking *last =
        &out->work.plan->chucking[out->work.plan->n_chuckings - 1];
    const struct sw_face_verdict *rests =
        last->rests ? face_called(out->work.verdict, last->grips) : NULL;
    if (rests && rests->made_chucking != (int)out->work.plan->n_chuckings)
        to->rests = face_of(rests, &out->work);
    return sw_gauge_correct(to, ctx);
}
