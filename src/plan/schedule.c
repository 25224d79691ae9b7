#include "plan/schedule.h"

#include <math.h>

/* Two schedules this near in time are equal; the one with fewer passes is taken [s]. */
static const double same_time = 1e-9;

struct state {
    double seconds; /* from the outside to here; infinite: not reached */
    size_t n_passes;
    size_t from;     /* grid index before the last pass */
    bool is_changed; /* reached by a tool change: the same radius, the tool before */
    double feed;     /* of the last pass */
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
    const double back_s = of->back ? of->back(of->user, r_old, depth, feed, speed) : of->back_s;
    return 60.0 * of->length(of->user, r_old - depth) / (feed * speed) + back_s;
}

/* The cut alone, without the way back. */
static double cut_seconds(const struct sw_schedule_case *of, double r_old, double depth,
                          double feed)
{
    return 60.0 * of->length(of->user, r_old - depth) / (feed * of->speed(of->user, r_old));
}

static bool is_better(const struct state *a, double seconds, size_t n_passes)
{
    if (seconds < a->seconds - same_time)
        return true;
    return seconds < a->seconds + same_time && n_passes < a->n_passes;
}

/* All radii reached with one tool, from those reached before. */
static void run_down(struct state *state, const struct sw_schedule_case *of, size_t n, double step,
                     size_t *n_tried)
{
    const size_t most = (size_t)fmax(1, floor(of->most_depth / step + 1e-9));
    const size_t least = (size_t)fmax(1, ceil(of->least_depth / step - 1e-9));
    if (of->n_feeds == 0)
        return;
    const double fastest = of->feed[of->n_feeds - 1];
    for (size_t i = 0; i < n; i++) {
        if (!isfinite(state[i].seconds))
            continue;
        const double r_old = of->r_from - step * (double)i;
        for (size_t d = 1; d <= most && i + d <= n; d++) {
            /* The last pass may be thinner than the least depth, but none before it. */
            if (d < least && i + d < n)
                continue;
            const double depth = step * (double)d;
            /* what is too slow even at the largest feed need not be asked whether it holds */
            const double cut_s = state[i].seconds + cut_seconds(of, r_old, depth, fastest);
            if (!is_better(&state[i + d], cut_s, state[i].n_passes + 1))
                continue;
            const double least_s = state[i].seconds + pass_seconds(of, r_old, depth, fastest);
            if (!is_better(&state[i + d], least_s, state[i].n_passes + 1))
                continue;
            const double feed = best_feed(of, r_old, depth, n_tried);
            if (feed <= 0)
                break; /* monotone: nor will more depth be allowed */
            const double seconds =
                feed < fastest ? state[i].seconds + pass_seconds(of, r_old, depth, feed) : least_s;
            if (is_better(&state[i + d], seconds, state[i].n_passes + 1))
                state[i + d] = (struct state){
                    .seconds = seconds, .n_passes = state[i].n_passes + 1, .from = i, .feed = feed};
        }
    }
}

/* Way back from a state to the outside, written from the outside inwards. */
static enum sw_status trace(struct sw_schedule *out, const struct sw_schedule_case *of,
                            const struct state *state, size_t n, size_t tool, size_t end,
                            double step, struct sw_ctx *ctx)
{
    const struct state *last = &state[tool * (n + 1) + end];
    out->n = last->n_passes;
    out->seconds = last->seconds;
    out->pass = SW_NEW(ctx->arena, struct sw_schedule_pass, out->n);
    if (!out->pass)
        return SW_MEMORY;
    size_t at = end;
    for (size_t k = out->n; k-- > 0;) {
        const struct state *now = &state[tool * (n + 1) + at];
        while (now->is_changed)
            now = &state[--tool * (n + 1) + at];
        const double r_old = of->r_from - step * (double)now->from;
        const double before = now->from == 0 ? 0 : state[tool * (n + 1) + now->from].seconds;
        out->pass[k] = (struct sw_schedule_pass){.r_old = r_old,
                                                 .depth = step * (double)(at - now->from),
                                                 .feed = now->feed,
                                                 .speed = of[tool].speed(of[tool].user, r_old),
                                                 .tool = tool,
                                                 .seconds = now->seconds - before};
        at = now->from;
    }
    return SW_OK;
}

enum sw_status sw_schedule_find(struct sw_schedule *out, const struct sw_schedule_case *of,
                                size_t n_cases, double change_s, struct sw_ctx *ctx)
{
    *out = (struct sw_schedule){0};
    const double whole = of->r_from - of->r_to;
    if (!(whole > 0))
        return SW_OK;
    const size_t n = (size_t)ceil(whole / of->grain - 1e-9);
    const double step = whole / (double)n;
    struct state *state = SW_NEW(ctx->arena, struct state, n_cases * (n + 1));
    if (!state)
        return SW_MEMORY;
    for (size_t tool = 0; tool < n_cases; tool++) {
        struct state *own = &state[tool * (n + 1)];
        const struct state *before = tool > 0 ? &state[(tool - 1) * (n + 1)] : NULL;
        for (size_t i = 0; i <= n; i++) {
            own[i].seconds = HUGE_VAL;
            if (!before || i == 0 || !isfinite(before[i].seconds))
                continue;
            own[i] = before[i];
            own[i].seconds += change_s;
            own[i].is_changed = true;
        }
        own[0].seconds = of[tool].start_s;
        run_down(own, &of[tool], n, step, &out->n_tried);
    }
    /* The fastest way to the end; failing that, the furthest. */
    size_t end = n, best = 0;
    while (end > 0) {
        best = n_cases;
        for (size_t tool = 0; tool < n_cases; tool++) {
            const struct state *it = &state[tool * (n + 1) + end];
            if (isfinite(it->seconds) && (best == n_cases || is_better(&state[best * (n + 1) + end],
                                                                       it->seconds, it->n_passes)))
                best = tool;
        }
        if (best < n_cases)
            break;
        end--;
    }
    if (end == 0)
        best = 0;
    const size_t n_tried = out->n_tried;
    SW_TRY(trace(out, of, state, n, best, end, step, ctx));
    out->n_tried = n_tried;
    return end == n ? SW_OK : SW_CANNOT;
}

enum sw_status sw_schedule_even(struct sw_schedule *out, const struct sw_schedule_case *of,
                                bool one_feed, struct sw_ctx *ctx)
{
    *out = (struct sw_schedule){0};
    const double whole = of->r_from - of->r_to;
    if (!(whole > 0))
        return SW_OK;
    const size_t n = (size_t)fmax(1, floor(whole / of->grain + 0.5));
    const double depth = whole / (double)n;
    struct sw_schedule_pass *pass = SW_NEW(ctx->arena, struct sw_schedule_pass, n);
    if (!pass)
        return SW_MEMORY;
    double least = HUGE_VAL;
    for (size_t i = 0; i < n; i++) {
        const double r_old = of->r_from - depth * (double)i;
        const double feed = best_feed(of, r_old, depth, &out->n_tried);
        if (feed <= 0)
            return SW_CANNOT;
        least = fmin(least, feed);
        pass[i] = (struct sw_schedule_pass){
            .r_old = r_old, .depth = depth, .feed = feed, .speed = of->speed(of->user, r_old)};
    }
    out->seconds = of->start_s;
    for (size_t i = 0; i < n; i++) {
        pass[i].feed = one_feed ? least : pass[i].feed;
        pass[i].seconds = pass_seconds(of, pass[i].r_old, depth, pass[i].feed);
        pass[i].seconds += i == 0 ? of->start_s : 0;
        out->seconds += pass[i].seconds - (i == 0 ? of->start_s : 0);
    }
    out->pass = pass;
    out->n = n;
    return SW_OK;
}
