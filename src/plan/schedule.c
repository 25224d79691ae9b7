#include "plan/schedule.h"

#include <math.h>

/* Two schedules this near in time are equal; the one with fewer passes is taken [s]. */
static const double same_time = 1e-9;

struct state {
    double seconds; /* from the outside to here; infinite: not reached */
    size_t n_passes;
    size_t from; /* grid index before the last pass */
    double feed; /* of the last pass */
};

/* The largest feed the rule allows for a cut, 0 when it allows none. Monotone: by halves. */
static double best_feed(const struct sw_schedule_case *of, double r_old, double depth,
                        size_t *n_tried)
{
    size_t low = 0, high = of->n_feeds; /* all below low are allowed, all from high on are not */
    while (low < high) {
        const size_t middle = (low + high) / 2;
        ++*n_tried;
        if (of->is_allowed(of->user, r_old, depth, of->feed[middle]))
            low = middle + 1;
        else
            high = middle;
    }
    return low > 0 ? of->feed[low - 1] : 0;
}

static double pass_seconds(const struct sw_schedule_case *of, double r_old, double depth,
                           double feed)
{
    const double speed = of->speed(of->user, r_old);
    return 60.0 * of->length(of->user, r_old - depth) / (feed * speed) + of->back_s;
}

static bool is_better(const struct state *a, double seconds, size_t n_passes)
{
    if (seconds < a->seconds - same_time)
        return true;
    return seconds < a->seconds + same_time && n_passes < a->n_passes;
}

/* Way back from a state to the outside, written from the outside inwards. */
static enum sw_status trace(struct sw_schedule *out, const struct sw_schedule_case *of,
                            const struct state *state, size_t end, double step, struct sw_ctx *ctx)
{
    out->n = state[end].n_passes;
    out->seconds = state[end].seconds;
    out->pass = SW_NEW(ctx->arena, struct sw_schedule_pass, out->n);
    if (!out->pass)
        return SW_MEMORY;
    size_t at = end;
    for (size_t k = out->n; k-- > 0;) {
        const size_t from = state[at].from;
        const double r_old = of->r_from - step * (double)from;
        const double depth = step * (double)(at - from);
        out->pass[k] =
            (struct sw_schedule_pass){.r_old = r_old,
                                      .depth = depth,
                                      .feed = state[at].feed,
                                      .speed = of->speed(of->user, r_old),
                                      .seconds = state[at].seconds - state[from].seconds};
        at = from;
    }
    return SW_OK;
}

enum sw_status sw_schedule_find(struct sw_schedule *out, const struct sw_schedule_case *of,
                                struct sw_ctx *ctx)
{
    *out = (struct sw_schedule){0};
    const double whole = of->r_from - of->r_to;
    if (!(whole > 0))
        return SW_OK;
    const size_t n = (size_t)ceil(whole / of->grain - 1e-9);
    const double step = whole / (double)n;
    const size_t most = (size_t)fmax(1, floor(of->most_depth / step + 1e-9));
    const size_t least = (size_t)fmax(1, ceil(of->least_depth / step - 1e-9));
    struct state *state = SW_NEW(ctx->arena, struct state, n + 1);
    if (!state)
        return SW_MEMORY;
    for (size_t i = 1; i <= n; i++)
        state[i].seconds = HUGE_VAL;
    size_t reached = 0;
    for (size_t i = 0; i < n; i++) {
        if (!isfinite(state[i].seconds))
            continue;
        reached = i;
        const double r_old = of->r_from - step * (double)i;
        for (size_t d = 1; d <= most && i + d <= n; d++) {
            /* The last pass may be thinner than the least depth, but none before it. */
            if (d < least && i + d < n)
                continue;
            const double depth = step * (double)d;
            const double feed = best_feed(of, r_old, depth, &out->n_tried);
            if (feed <= 0)
                break; /* monotone: nor will more depth be allowed */
            const double seconds = state[i].seconds + pass_seconds(of, r_old, depth, feed);
            if (is_better(&state[i + d], seconds, state[i].n_passes + 1))
                state[i + d] = (struct state){seconds, state[i].n_passes + 1, i, feed};
        }
    }
    const bool is_done = isfinite(state[n].seconds);
    const size_t n_tried = out->n_tried;
    SW_TRY(trace(out, of, state, is_done ? n : reached, step, ctx));
    out->n_tried = n_tried;
    return is_done ? SW_OK : SW_CANNOT;
}
