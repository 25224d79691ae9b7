/* Which variant's pieces come off which bar. Pieces of one pitch are alike to a bar; the bar plan
 * knows pitches only, and here they become pieces again: variants of one pitch in their order. */
#include "app/batch_int.h"

#include <stdlib.h>

struct pitch_at {
    double pitch;
    size_t variant;
};

/* Longest first, as bars are cut; variants in their order. */
static int compare_pitches(const void *a, const void *b)
{
    const struct pitch_at *p = a, *q = b;
    if (p->pitch < q->pitch || p->pitch > q->pitch)
        return p->pitch < q->pitch ? 1 : -1;
    return p->variant < q->variant ? -1 : p->variant > q->variant;
}

/* Wants by pitch, and the variants that were made in that order. */
static enum sw_status gather(struct sw_batch_bars *bars, const struct sw_batch_run *run,
                             struct sw_ctx *ctx)
{
    const struct sw_batch *batch = run->batch;
    struct pitch_at *at = SW_NEW(ctx->arena, struct pitch_at, run->n);
    bars->want = SW_NEW(ctx->arena, struct sw_bar_want, run->n);
    bars->variant = SW_NEW(ctx->arena, size_t, run->n);
    bars->first = SW_NEW(ctx->arena, size_t, run->n);
    if (!at || !bars->want || !bars->variant || !bars->first)
        return SW_MEMORY;
    for (size_t i = 0; i < run->n; i++)
        if (run->result[i].status == SW_OK)
            at[bars->n_variants++] = (struct pitch_at){
                run->result[i].length + batch->facing.value + batch->parting.value, i};
    qsort(at, bars->n_variants, sizeof *at, compare_pitches);
    for (size_t k = 0; k < bars->n_variants; k++) {
        if (k == 0 || at[k].pitch < at[k - 1].pitch) {
            bars->first[bars->n_wants] = k;
            bars->want[bars->n_wants++].pitch = at[k].pitch;
        }
        bars->want[bars->n_wants - 1].n += (size_t)batch->quantity.value;
        bars->variant[k] = at[k].variant;
    }
    return SW_OK;
}

static double remnant_of(const struct sw_batch_bar *bar, const struct sw_machine *machine)
{
    const bool is_machines = !bar->remnant.given && machine->remnant.given;
    return is_machines ? machine->remnant.value : bar->remnant.value;
}

enum sw_status sw_batch_plan_bars(struct sw_batch_bars *out, const struct sw_batch_run *run,
                                  const struct sw_machine *machine, struct sw_ctx *ctx)
{
    const struct sw_batch *batch = run->batch;
    const struct sw_batch_bar *bar = batch->bars.at;
    *out = (struct sw_batch_bars){0};
    SW_TRY(gather(out, run, ctx));
    out->kind = SW_NEW(ctx->arena, struct sw_bar_kind, batch->bars.n);
    if (!out->kind && batch->bars.n)
        return SW_MEMORY;
    for (size_t k = 0; k < batch->bars.n; k++)
        out->kind[k] = (struct sw_bar_kind){bar[k].length.value, remnant_of(&bar[k], machine),
                                            (size_t)bar[k].count.value};
    if (!out->n_wants || !batch->bars.n)
        return SW_OK;
    return sw_bar_plan(&out->plan, out->kind, batch->bars.n, out->want, out->n_wants, ctx);
}

enum sw_status sw_batch_walk_begin(struct sw_batch_walk *walk, const struct sw_batch_run *run,
                                   const struct sw_batch_bars *bars, struct sw_ctx *ctx)
{
    *walk = (struct sw_batch_walk){.run = run, .bars = bars};
    walk->cut = SW_NEW(ctx->arena, size_t, bars->n_wants);
    return walk->cut ? SW_OK : SW_MEMORY;
}

bool sw_batch_walk_next(struct sw_batch_piece *is, struct sw_batch_walk *walk)
{
    const struct sw_batch *batch = walk->run->batch;
    const struct sw_bar_plan *plan = &walk->bars->plan;
    const size_t n_bars = plan->n ? plan->n : 1;
    for (; walk->bar < n_bars; walk->bar++, walk->want = 0, walk->of_bar = 0)
        for (; walk->want < walk->bars->n_wants; walk->want++, walk->of_want = 0) {
            const size_t w = walk->want;
            if (walk->of_want == (plan->n ? plan->bar[walk->bar].n[w] : walk->bars->want[w].n))
                continue;
            const size_t quantity = (size_t)batch->quantity.value, at = walk->cut[w]++;
            walk->of_want++;
            *is = (struct sw_batch_piece){
                .number = walk->piece + 1,
                .variant = walk->bars->variant[walk->bars->first[w] + at / quantity],
                .bar = walk->bar,
                .of_variant = at % quantity,
                .is_new_edge = walk->piece % (size_t)batch->tool_life.value == 0};
            is->is_new_bar = walk->of_bar++ == 0;
            walk->piece++;
            return true;
        }
    return false;
}
