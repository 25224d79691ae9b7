/* Bytes as the sizes and options of a staff, which is then planned, written, read and judged as
 * make does it. Either it is refused with a reason, or its programs pass their own dry run. Pages
 * and drawings are left out: this target has to be fast. */
#include <stdio.h>
#include <stdlib.h>

#include "app/app.h"
#include "base/num.h"
#include "fuzz.h"

/* A size between LEAST and MOST, by one byte, rounded to a micrometre as people write it. */
static double size_of(struct sw_fuzz_bytes *bytes, double least, double most)
{
    return sw_num_round(least + (most - least) * sw_fuzz_byte(bytes) / 255, 3);
}

static bool one_in(struct sw_fuzz_bytes *bytes, unsigned n)
{
    return sw_fuzz_byte(bytes) % n == n - 1;
}

static void add_tip(struct sw_buf *staff, struct sw_fuzz_bytes *bytes, const char *which,
                    double pivot, bool is_upper)
{
    const double length = size_of(bytes, 1.5 * pivot, 3 * pivot);
    const double ridge = size_of(bytes, 2.5 * pivot, 4 * pivot);
    const bool is_conical = !one_in(bytes, 4);
    const double cone = size_of(bytes, 0.7 * ridge, 1.4 * ridge);
    char pivot_text[400], cone_text[200] = "";
    snprintf(pivot_text, sizeof pivot_text,
             "  - pivot: {name: %s pivot, diameter: %.3f, tolerance: [-0.003, 0], length: %.3f, "
             "dome_height: %.3f, finish: burnished}\n",
             which, pivot, length, sw_num_round(0.15 * pivot, 3));
    if (is_conical)
        snprintf(cone_text, sizeof cone_text, "  - cone: {ridge: %.3f, length: %.3f}\n", ridge,
                 cone);
    sw_buf_printf(staff, "%s%s", is_upper ? pivot_text : cone_text,
                  is_upper ? cone_text : pivot_text);
}

static void add_staff(struct sw_buf *staff, struct sw_fuzz_bytes *bytes)
{
    const double pivot = size_of(bytes, 0.08, 0.18);
    const double collet = size_of(bytes, 5 * pivot, 9 * pivot);
    const double balance = sw_num_round(collet + size_of(bytes, 0.1, 0.5), 3);
    const double hub = sw_num_round(balance + size_of(bytes, 0.3, 0.8), 3);
    const double roller = size_of(bytes, 4 * pivot, 6 * pivot);
    const double total = size_of(bytes, 3, 6.5);
    const double roller_at = sw_num_round(total * size_of(bytes, 0.35, 0.55), 3);
    const double hub_at = sw_num_round(roller_at + size_of(bytes, 0.2, 0.7), 3);
    sw_buf_printf(staff,
                  "format: staff/1\nname: Reedling 1\nmaterial: carbon-steel-blue\n"
                  "tolerance: {diameter: 0.010, length: 0.010}\nfinish: turned\n"
                  "total: {length: %.3f, tolerance: 0.010}\nheights:\n"
                  "  roller shoulder: {at: %.3f, tolerance: 0.01}\n"
                  "  hub face: {at: %.3f, tolerance: 0.01}\nsections:\n",
                  total, roller_at, hub_at);
    add_tip(staff, bytes, "upper", pivot, true);
    sw_buf_printf(staff,
                  "  - seat: {name: collet seat, diameter: %.3f, tolerance: 0.005, length: free, "
                  "bevel: %.3f, finish: stoned}\n",
                  collet, size_of(bytes, 0.02, 0.06));
    if (one_in(bytes, 2)) {
        const double height = size_of(bytes, 0.06, 0.15), lip = size_of(bytes, 0.03, 0.07);
        sw_buf_printf(
            staff, "  - rivet: {height: %.3f, recess: {lip: %.3f, depth: %.3f, wall: %.0f}}\n",
            height, lip, sw_num_round(height * size_of(bytes, 0.3, 1), 3), size_of(bytes, 20, 50));
    }
    sw_buf_printf(staff,
                  "  - seat: {name: balance seat, diameter: %.3f, tolerance: [-0.005, 0], length: "
                  "%.3f}\n  - hub: {diameter: %.3f, length: free",
                  balance, size_of(bytes, 0.15, 0.4), hub);
    if (one_in(bytes, 2))
        sw_buf_printf(staff, ", land: %.3f, underside: %.1f", size_of(bytes, 0.08, 0.2),
                      size_of(bytes, 10, 30));
    sw_buf_printf(staff,
                  "}\n  - seat: {name: roller seat, diameter: %.3f, at: hub, %slength: free, "
                  "tolerance: 0.003, finish: stoned}\n",
                  roller, one_in(bytes, 2) ? "taper: 1/100, " : "");
    add_tip(staff, bytes, "lower", pivot, false);
}

/* As sw_app_make, without what is only for people. */
static enum sw_status make(const char *staff, size_t size, const char *job, struct sw_ctx *ctx)
{
    const struct sw_app app = {.version = "0", .search = sw_fuzz_search};
    struct sw_work *work = SW_NEW(ctx->arena, struct sw_work, 1);
    sw_demand(ctx, work);
    SW_TRY(sw_app_load_job_of(work, job, "staff.yaml", staff, size, ".", &app, ctx));
    SW_TRY(sw_app_plan_job(work, NULL, &app, ctx));
    SW_TRY(sw_app_write_job(work, ".", &app, ctx));
    struct sw_app_text *text;
    size_t n;
    SW_TRY(sw_app_program_texts(&text, &n, work, ctx));
    SW_TRY(sw_app_judge(&work->verdict, text, n, work->setup, work->shop, work->shape, false, ctx));
    for (size_t i = 0; i < work->verdict->findings.n && !work->verdict->passes; i++) {
        const struct sw_finding *finding = &work->verdict->findings.at[i];
        if (finding->severity == SW_ERROR)
            fprintf(stderr, "%s, line %u: %s: %s\n", finding->program ? finding->program : "",
                    finding->line, sw_finding_word(finding->code), finding->message);
    }
    if (!work->verdict->passes)
        fprintf(stderr, "%s", staff);
    sw_demand(ctx, work->verdict->passes);
    return SW_OK;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static const char *const jobs[] = {SW_SOURCE_DIR "/samples/fenmoor-43/job.yaml",
                                       SW_SOURCE_DIR "/samples/tollgate/job-turning.yaml"};
    struct sw_fuzz_bytes bytes = {data, size};
    const char *job = jobs[sw_fuzz_byte(&bytes) % 2];
    struct sw_buf staff = {0};
    add_staff(&staff, &bytes);
    struct sw_ctx ctx = sw_fuzz_begin();
    sw_demand(&ctx, !staff.failed);
    const enum sw_status status = make(sw_buf_text(&staff), staff.n, job, &ctx);
    sw_demand(&ctx, status == SW_OK || status == SW_INPUT || status == SW_CANNOT);
    sw_buf_done(&staff);
    sw_fuzz_end(&ctx, status);
    return 0;
}
