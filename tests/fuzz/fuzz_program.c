/* Any bytes as a program text: faults with places, or motion that joins up. The first four bytes
 * say how the control reads. */
#include <math.h>
#include <string.h>

#include "fuzz.h"
#include "ncread/ncread.h"

enum { TOOLS = 5 };

static void set_facts(struct sw_control *control, struct sw_fuzz_bytes *bytes)
{
    struct sw_choice *const choice[] = {&control->x,
                                        &control->i,
                                        &control->units,
                                        &control->feed_words,
                                        &control->dwell,
                                        &control->feed_per_turn,
                                        &control->arcs,
                                        &control->comments,
                                        &control->surface_speed,
                                        &control->parameters,
                                        &control->speed_clamp,
                                        &control->incremental_u_w,
                                        &control->tool_words,
                                        &control->tool_offsets,
                                        &control->spindle_words,
                                        &control->threading};
    unsigned bits = sw_fuzz_byte(bytes);
    bits |= sw_fuzz_byte(bytes) << 8;
    for (size_t i = 0; i < sizeof choice / sizeof *choice; i++)
        choice[i]->value = (int)(bits >> i & 1);
    control->line_length.value = 256;
    control->decimals.value = 4 + sw_fuzz_byte(bytes) % 6;
}

static bool is_finite(struct sw_motion_pt p)
{
    return isfinite(p.x) && isfinite(p.z);
}

static void check(const struct sw_motion *motion, const struct sw_ncread_start *start,
                  const struct sw_ctx *ctx)
{
    struct sw_motion_pt at = start->at;
    sw_demand(ctx, motion->n <= SW_NCREAD_MOST_EVENTS);
    uint32_t line = 0;
    for (size_t i = 0; i < motion->n; i++) {
        const struct sw_motion_event *e = &motion->at[i];
        sw_demand(ctx, memcmp(&e->from, &at, sizeof at) == 0 ||
                           (e->from.x == at.x && e->from.z == at.z));
        sw_demand(ctx, is_finite(e->to) && is_finite(e->centre));
        sw_demand(ctx, isfinite(e->radius_from) && isfinite(e->radius_to));
        sw_demand(ctx, isfinite(e->state.feed) && e->state.feed >= 0 && e->state.speed >= 0);
        sw_demand(ctx, e->state.tool >= 0 && e->state.tool <= TOOLS);
        sw_demand(ctx, e->state.system >= 1 && e->state.system <= SW_NCREAD_SYSTEMS);
        sw_demand(ctx, isfinite(e->seconds) && e->seconds >= 0);
        sw_demand(ctx, e->line >= line);
        line = e->line;
        at = e->to;
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct sw_ncread_start start;
    struct sw_fuzz_bytes bytes = {data, size};
    struct sw_control control;
    struct sw_motion motion = {0};
    memset(&control, 0, sizeof control);
    set_facts(&control, &bytes);
    start = (struct sw_ncread_start){.at = {5, 5}, .n_tools = TOOLS};
    start.is_block_delete_on = sw_fuzz_byte(&bytes) & 1;
    start.is_tool_loaded = true;
    start.tool = 1;
    struct sw_ctx ctx = sw_fuzz_begin();
    const enum sw_status status =
        sw_ncread_text(&motion, "x.nc", (const char *)bytes.at, bytes.n, &control, &start, &ctx);
    sw_demand(&ctx, status == SW_OK || status == SW_FOUND || status == SW_UNREADABLE);
    sw_demand(&ctx, (status == SW_OK) == (sw_diag_n_errors(ctx.diag) == 0));
    check(&motion, &start, &ctx);
    sw_fuzz_end(&ctx, status);
    return 0;
}
