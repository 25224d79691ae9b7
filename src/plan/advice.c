/* Plans with one thing changed, made aside and compared. A change in steps is taken as far as it
 * goes; where that holds, the smallest step that does is found by halves and is itself a plan that
 * was made. Where no change holds alone, pairs and threes of the most effective are tried.
 *
 * Considered and not taken: the change of one number in the formula that refused (half the force by
 * half the edge). It is quick and wrong: a sharper edge also cuts at a smaller feed, a thicker
 * pivot bears more at its root but is longer in the cut, and what lets one zone through may stop
 * the next. */
#include "plan/advice.h"

#include <math.h>

#include "plan/variation.h"

/* What is left of a load after a change must be under this share to be worth a line. */
static const double worth = 0.97;
enum { MOST_TOGETHER = 3, MOST_HOLDING = 5, MOST_HELPING = 3, MOST_BENDING = 3, MOST_MIXED = 4 };

struct outcome {
    struct sw_variation v[MOST_TOGETHER];
    size_t n;
    bool stands;   /* there is a plan */
    bool holds;    /* and it does what is wanted */
    bool is_whole; /* planned to the end, not surveyed */
    bool has_load;
    struct sw_plan_load load; /* at the place that was refused; its tool is gone with the trial */
    bool fails_elsewhere;
    size_t then_section; /* that is refused now, */
    double then_r;       /* and where */
    double *off;         /* of each section, NAN where unknown */
};

struct outcomes {
    struct outcome *at;
    size_t n;
    size_t cap;
};

struct asker {
    const struct sw_plan_task *task;
    const struct sw_plan_found *found;
    bool is_bending;
    struct sw_ctx *ctx;
};

/* Whether a change may make the rod stand out further or less. */
static bool moves_nose(const struct outcome *o)
{
    bool moves = false;
    for (size_t i = 0; i < o->n; i++) {
        const enum sw_vary kind = o->v[i].kind;
        moves = moves || kind == SW_VARY_AHEAD || kind == SW_VARY_WIDTH || kind == SW_VARY_SIZING ||
                kind == SW_VARY_FIRST_SIDE || kind == SW_VARY_WITHOUT || kind == SW_VARY_TOOL;
    }
    return moves;
}

/* In quick plans bending is only surveyed, and the rod stands out as it does now. */
static enum sw_status plan_it(struct outcome *o, const struct asker *a, bool is_quick,
                              struct sw_ctx *ctx)
{
    struct sw_plan_task task;
    struct sw_plan *plan = NULL;
    struct sw_plan_found found = {.watches = !a->is_bending,
                                  .watched_section = a->found->refused_section,
                                  .watched_r = a->found->refused.r};
    enum sw_status status = sw_variation_apply(&task, a->task, o->v, o->n, ctx);
    if (status == SW_OK) {
        task.is_survey = is_quick && a->is_bending;
        task.overhang = is_quick && !moves_nose(o) ? a->found->overhang : 0;
        status = sw_plan_trial(&plan, &found, &task, ctx);
    }
    if (status == SW_MEMORY)
        return status;
    o->stands = o->holds = status == SW_OK;
    o->is_whole = !is_quick;
    o->has_load = found.has_watched;
    o->load = found.watched;
    o->load.tool = NULL;
    o->fails_elsewhere =
        found.is_refused && found.has_watched &&
        (found.refused_section != found.watched_section || sw_plan_load_share(&found.watched) <= 1);
    o->then_section = found.refused_section;
    o->then_r = found.refused.r;
    for (size_t i = 0; i < a->task->shape->staff->n; i++)
        o->off[i] = (double)NAN;
    for (size_t i = 0; i < found.levers.n; i++)
        o->off[found.levers.at[i].section] = found.levers.at[i].off;
    for (size_t i = 0; a->is_bending && i < a->found->levers.n; i++) {
        const struct sw_plan_lever *bend = &a->found->levers.at[i];
        o->holds = o->holds && (bend->off <= bend->share || o->off[bend->section] <= bend->share);
    }
    return SW_OK;
}

/* One plan in a context of its own: nothing of it is left but the numbers. */
static enum sw_status run(struct outcome *o, const struct asker *a, bool is_quick)
{
    struct sw_ctx aside = {sw_arena_new(), sw_diag_new()};
    enum sw_status status = SW_MEMORY;
    if (aside.arena && aside.diag)
        status = plan_it(o, a, is_quick, &aside);
    sw_arena_free(aside.arena);
    sw_diag_free(aside.diag);
    return status;
}

/* The smallest step of variation I that holds; as far as it goes when none does. */
static enum sw_status settle(struct outcome *o, size_t i, const struct asker *a)
{
    size_t low = 0, high = sw_variation_steps(&o->v[i]);
    while (o->holds && high - low > 1) {
        struct outcome smaller = *o;
        const size_t middle = (low + high) / 2;
        sw_variation_take(&smaller.v[i], middle);
        smaller.off = SW_NEW(a->ctx->arena, double, a->task->shape->staff->n);
        if (!smaller.off)
            return SW_MEMORY;
        SW_TRY(run(&smaller, a, true));
        if (smaller.holds) {
            high = middle;
            *o = smaller;
        } else {
            low = middle;
        }
    }
    return SW_OK;
}

static enum sw_status try_out(struct outcomes *to, struct outcome *o, const struct asker *a)
{
    o->off = SW_NEW(a->ctx->arena, double, a->task->shape->staff->n);
    if (!o->off)
        return SW_MEMORY;
    for (size_t i = 0; i < o->n; i++)
        if (sw_variation_steps(&o->v[i]) > 0)
            sw_variation_take(&o->v[i], sw_variation_steps(&o->v[i]));
    SW_TRY(run(o, a, true));
    for (size_t i = 0; i < o->n; i++)
        if (o->holds && sw_variation_steps(&o->v[i]) > 1)
            SW_TRY(settle(o, i, a));
    /* Of what is called possible nothing was left out; of bending that is seen when it is said. */
    if (o->holds && !a->is_bending)
        SW_TRY(run(o, a, false));
    return SW_VEC_PUSH(a->ctx->arena, to, *o) ? SW_OK : SW_MEMORY;
}

static enum sw_status try_all(struct outcomes *to, const struct sw_weak_spot *spot,
                              const struct sw_plan_aids *aids, const struct asker *a)
{
    struct sw_variations list;
    SW_TRY(sw_variations_of(&list, a->task, spot, aids, a->ctx));
    for (size_t i = 0; i < list.n; i++) {
        struct outcome o = {.v = {list.at[i]}, .n = 1};
        SW_TRY(try_out(to, &o, a));
    }
    return SW_OK;
}

static bool is_replaced(enum sw_vary kind)
{
    return kind == SW_VARY_TOOL || kind == SW_VARY_WITHOUT;
}

static bool go_together(const struct sw_variation *a, const struct sw_variation *b)
{
    const bool are_tools = a->kind >= SW_VARY_DEPTH && b->kind >= SW_VARY_DEPTH;
    return a->kind != b->kind &&
           !(are_tools && (is_replaced(a->kind) || is_replaced(b->kind)) && a->tool == b->tool);
}

static double load_share(const struct outcome *o)
{
    return o->has_load ? sw_plan_load_share(&o->load) : HUGE_VAL;
}

/* Sorted in place: what holds by what it asks, what helps by effect. */
static bool goes_before(const struct outcome *a, const struct outcome *b)
{
    if (a->holds != b->holds)
        return a->holds;
    if (!a->holds)
        return load_share(a) < load_share(b);
    if (a->n != b->n)
        return a->n < b->n;
    const enum sw_vary last_a = a->v[a->n - 1].kind, last_b = b->v[b->n - 1].kind;
    if (last_a != last_b)
        return last_a < last_b;
    return load_share(a) < load_share(b);
}

static void sort(struct outcomes *list, size_t from)
{
    for (size_t i = from + 1; i < list->n; i++)
        for (size_t k = i; k > from && goes_before(&list->at[k], &list->at[k - 1]); k--) {
            const struct outcome swapped = list->at[k];
            list->at[k] = list->at[k - 1];
            list->at[k - 1] = swapped;
        }
}

static bool helps(const struct outcome *o, const struct asker *a)
{
    return o->holds || load_share(o) < worth * sw_plan_load_share(&a->found->refused);
}

/* Pairs, then threes, of the most effective. LIST is sorted, and none of it holds. */
static enum sw_status try_together(struct outcomes *list, const struct asker *a)
{
    size_t n = 0;
    while (n < list->n && n < MOST_MIXED && helps(&list->at[n], a))
        n++;
    bool holds = false;
    for (size_t size = 2; size <= MOST_TOGETHER && !holds; size++)
        for (unsigned set = 0; set < 1u << n; set++) {
            struct outcome o = {.n = 0};
            bool is_one = true;
            size_t n_in = 0;
            for (size_t i = 0; i < n; i++)
                n_in += set >> i & 1u;
            for (size_t i = 0; i < n && n_in == size; i++) {
                if (!(set >> i & 1u))
                    continue;
                for (size_t k = 0; k < o.n; k++)
                    is_one = is_one && go_together(&list->at[i].v[0], &o.v[k]);
                o.v[o.n++] = list->at[i].v[0];
            }
            if (n_in != size || !is_one)
                continue;
            SW_TRY(try_out(list, &o, a));
            if (list->at[list->n - 1].holds)
                holds = true;
            else
                list->n--;
        }
    sort(list, 0);
    return SW_OK;
}

static const char *says(const struct outcome *o, const struct asker *a)
{
    const char *words = sw_variation_says(&o->v[0], a->task, a->ctx);
    for (size_t i = 1; words && i < o->n; i++) {
        const char *more = sw_variation_says(&o->v[i], a->task, a->ctx);
        words = more ? sw_arena_printf(a->ctx->arena, "%s, with %s", words, more) : NULL;
    }
    return words;
}

static enum sw_status append(const char **hint, const char *line, struct sw_ctx *ctx)
{
    if (!line)
        return SW_MEMORY;
    *hint = **hint ? sw_arena_printf(ctx->arena, "%s\n%s", *hint, line) : line;
    return *hint ? SW_OK : SW_MEMORY;
}

static const char *effect(const struct sw_plan_load *load, struct sw_ctx *ctx)
{
    return sw_arena_printf(ctx->arena,
                           "%.2f um (at most %.2f) and %.0f MPa (at most %.0f) under %.2f N, at "
                           "a diameter of %.3f",
                           1000 * load->bend, 1000 * load->most_bend, load->stress,
                           load->most_stress, load->force, 2 * load->r);
}

static enum sw_status refusal_line(const char **hint, const struct outcome *o,
                                   const struct asker *a)
{
    struct sw_ctx *ctx = a->ctx;
    const char *change = says(o, a);
    const char *number = o->has_load ? effect(&o->load, ctx) : "nothing is roughed there any more";
    if (!change || !number)
        return SW_MEMORY;
    if (o->holds)
        return append(
            hint, sw_arena_printf(ctx->arena, "%s: it can be made; at worst %s", change, number),
            ctx);
    if (!o->fails_elsewhere)
        return append(hint, sw_arena_printf(ctx->arena, "%s: not enough alone; %s", change, number),
                      ctx);
    return append(
        hint,
        sw_arena_printf(ctx->arena, "%s: not enough alone; %s, but then the %s gives way at %.3f",
                        change, number, a->task->shape->staff->section[o->then_section].name,
                        2 * o->then_r),
        ctx);
}

/* The program plans for a holder alone; what a bush would do is said as a number. */
static enum sw_status bush_line(const char **hint, double now, double in_bush, struct sw_ctx *ctx)
{
    if (!(in_bush > 0) || in_bush > worth * now)
        return SW_OK;
    return append(hint,
                  sw_arena_printf(ctx->arena,
                                  "a guide bush close behind the tool would leave %.2f um of the "
                                  "%.2f; no program is planned for one here",
                                  1000 * in_bush, 1000 * now),
                  ctx);
}

/* Of rods that come to the same, the best placed one is enough. */
static bool is_like_one_before(const struct outcomes *list, size_t i)
{
    const struct outcome *o = &list->at[i];
    bool is = false;
    for (size_t k = 0; k < i; k++)
        is = is || (o->n == 1 && list->at[k].n == 1 && o->v[0].kind == SW_VARY_ROD &&
                    list->at[k].v[0].kind == SW_VARY_ROD);
    return is;
}

static enum sw_status refusal_hint(const char **hint, const struct outcomes *list,
                                   const struct asker *a)
{
    const struct sw_plan_load *load = &a->found->refused;
    size_t n_holding = 0, n_helping = 0;
    *hint = "";
    for (size_t i = 0; i < list->n; i++) {
        const struct outcome *o = &list->at[i];
        if (!helps(o, a) || (o->holds && n_holding == MOST_HOLDING) ||
            (!o->holds && n_helping == MOST_HELPING) || is_like_one_before(list, i))
            continue;
        n_holding += o->holds;
        n_helping += !o->holds;
        SW_TRY(refusal_line(hint, o, a));
    }
    if (load->bend > load->most_bend)
        SW_TRY(bush_line(hint, load->bend, load->bend_in_bush, a->ctx));
    if (**hint)
        return SW_OK;
    return append(hint,
                  "nothing that was tried helps: a thicker or shorter section, or another machine",
                  a->ctx);
}

static void say_refusal(const struct asker *a, const char *hint)
{
    const struct sw_plan_load *load = &a->found->refused;
    const struct sw_section *is = &a->task->shape->staff->section[a->found->refused_section];
    const bool is_torque = load->torque > load->most_torque,
               is_power = load->power > load->most_power, slips = load->grip > load->most_grip;
    sw_diag_add(a->ctx->diag, SW_ERROR, "plan.too-weak", is->at, hint,
                "%s cannot be roughed with %s: at a diameter of %.3f mm even %.1f um deep at %.1f "
                "um a turn, %.2f N, bends it %.2f um (at most %.2f) and stresses it %.0f MPa (at "
                "most %.0f)%s%s%s",
                is->name, load->tool->name.value, 2 * load->r, 1000 * load->depth,
                1000 * load->feed, load->force, 1000 * load->bend, 1000 * load->most_bend,
                load->stress, load->most_stress, is_torque ? "; the spindle lacks the torque" : "",
                is_power ? "; the spindle lacks the power" : "",
                slips ? "; the holder does not keep it from slipping" : "");
}

/* The aids are read once, into a context that lives as long as they are used. */
static enum sw_status gather(struct sw_plan_aids *aids, struct sw_ctx *aside)
{
    return aids && aids->gather ? aids->gather(aids, aside) : SW_OK;
}

static enum sw_status advise_refusal(const struct asker *a, struct sw_plan_aids *aids,
                                     struct sw_ctx *aside)
{
    const struct sw_plan_found *found = a->found;
    struct outcomes list = {0};
    const bool is_first = found->refused_chucking == 0;
    const struct sw_weak_spot spot = {.section = found->refused_section,
                                      .tool = found->refused.tool,
                                      .rod = found->rod,
                                      .grip = is_first ? NULL : found->grip,
                                      .sets_nose = is_first ? found->sets_nose : NULL};
    const char *hint;
    SW_TRY(gather(aids, aside));
    SW_TRY(try_all(&list, &spot, aids, a));
    sort(&list, 0);
    if (list.n > 0 && !list.at[0].holds)
        SW_TRY(try_together(&list, a));
    SW_TRY(refusal_hint(&hint, &list, a));
    say_refusal(a, hint);
    return SW_OK;
}

enum sw_status sw_advice_on_refusal(const struct sw_plan_found *found,
                                    const struct sw_plan_task *task, struct sw_plan_aids *aids,
                                    struct sw_ctx *ctx)
{
    struct sw_ctx aside = {sw_arena_new(), sw_diag_new()};
    const struct asker a = {.task = task, .found = found, .ctx = ctx};
    enum sw_status status = SW_MEMORY;
    if (aside.arena && aside.diag)
        status = advise_refusal(&a, aids, &aside);
    sw_arena_free(aside.arena);
    sw_diag_free(aside.diag);
    return status;
}

/* Another section that a change makes bend beyond its share, or NULL. */
static const struct sw_plan_lever *spoils(const struct outcome *o, const struct sw_plan_lever *bend,
                                          const struct asker *a)
{
    for (size_t i = 0; i < a->found->levers.n; i++) {
        const struct sw_plan_lever *other = &a->found->levers.at[i];
        const double now = o->off[other->section];
        if (other->section != bend->section && now > other->share && now * worth > other->off)
            return other;
    }
    return NULL;
}

/* Within the share of SECTION first, by what it asks; then by effect. */
static const struct outcome *next_best(const struct outcomes *list, const bool *is_said,
                                       const struct sw_plan_lever *bend, const struct asker *a)
{
    const struct outcome *best = NULL;
    bool best_is_in = false;
    for (size_t i = 0; i < list->n; i++) {
        const struct outcome *o = &list->at[i];
        const double now = o->off[bend->section];
        if (is_said[i] || isnan(now) || now > worth * bend->off)
            continue;
        const bool is_in = now <= bend->share && !spoils(o, bend, a);
        bool is_better = !best || (is_in && !best_is_in);
        if (best && is_in == best_is_in)
            is_better = is_in ? o->v[0].kind < best->v[0].kind : now < best->off[bend->section];
        if (!is_better)
            continue;
        best = o;
        best_is_in = is_in;
    }
    return best;
}

static const char *bending_line(const struct outcome *o, const struct sw_plan_lever *bend,
                                const struct asker *a)
{
    const double now = o->off[bend->section];
    const struct sw_plan_lever *other = spoils(o, bend, a);
    const char *change = says(o, a);
    if (!change)
        return NULL;
    if (!other)
        return sw_arena_printf(a->ctx->arena, "%s: up to %.2f um%s", change, 1000 * now,
                               now <= bend->share ? ", within its share" : "");
    return sw_arena_printf(a->ctx->arena, "%s: up to %.2f um, but the %s up to %.2f", change,
                           1000 * now, a->task->shape->staff->section[other->section].name,
                           1000 * o->off[other->section]);
}

static enum sw_status bending_hint(const char **hint, struct outcomes *list,
                                   const struct sw_plan_lever *bend, const struct asker *a)
{
    bool *is_said = SW_NEW(a->ctx->arena, bool, list->n + 1);
    if (!is_said)
        return SW_MEMORY;
    const bool is_cone = a->task->shape->staff->section[bend->section].kind == SW_SECTION_CONE;
    *hint = sw_arena_printf(
        a->ctx->arena, "%s%s",
        is_cone ? "no pause measures a cone: lay its form against the drawing, magnified"
                : "gauge it at the pause, near its tip and near its root",
        list->n > 0 ? "" : "; `check` of the job works out what would bend it less");
    if (!*hint)
        return SW_MEMORY;
    for (size_t n = 0; n < MOST_BENDING;) {
        const struct outcome *best = next_best(list, is_said, bend, a);
        if (!best)
            return SW_OK;
        const size_t i = (size_t)(best - list->at);
        const bool is_rod = best->v[0].kind == SW_VARY_ROD; /* the best placed one is enough */
        for (size_t k = 0; k < list->n; k++)
            is_said[k] = is_said[k] || k == i || (is_rod && list->at[k].v[0].kind == SW_VARY_ROD);
        struct outcome whole = *best;
        /* The survey cuts nothing: whether all of it can be made is seen by planning it. */
        if (!whole.is_whole)
            SW_TRY(run(&whole, a, false));
        list->at[i] = whole;
        const double now = whole.off[bend->section];
        if (!whole.stands || isnan(now) || now > worth * bend->off)
            continue;
        n++;
        SW_TRY(append(hint, bending_line(&whole, bend, a), a->ctx));
    }
    return SW_OK;
}

/* Not an error: the band of the force is wide, and the pause to measure finds what came of it. */
static void say_bending(const struct asker *a, const struct sw_plan_lever *bend, const char *hint)
{
    const struct sw_section *is = &a->task->shape->staff->section[bend->section];
    sw_diag_add(a->ctx->diag, SW_WARNING, "plan.bends", is->at, hint,
                "the %s may come out up to %.2f um off its size near its %s, because nobody knows "
                "how far the last cut bends it%s; of its tolerance of %.2f um to each side bending "
                "should take %.2f",
                is->name, 1000 * bend->off, is->kind == SW_SECTION_CONE ? "thin end" : "tip",
                bend->n_slices > 1 ? " even when cut in slices" : "", 1000 * bend->half_band,
                1000 * bend->share);
}

static enum sw_status advise_bending(const struct asker *a, struct sw_plan_aids *aids,
                                     struct sw_ctx *aside)
{
    const struct sw_plan_found *found = a->found;
    const struct sw_plan_lever *first = NULL;
    struct outcomes list = {0};
    bool is_second = false;
    for (size_t i = 0; i < found->levers.n; i++) {
        const struct sw_plan_lever *bend = &found->levers.at[i];
        if (bend->off <= bend->share)
            continue;
        first = first ? first : bend;
        is_second = is_second || bend->chucking == 1;
    }
    const bool is_asked = aids && aids->advise_warnings;
    if (first && is_asked) {
        const struct sw_weak_spot spot = {.section = first->section,
                                          .tool = first->tool,
                                          .is_finish = true,
                                          .rod = found->rod,
                                          .grip = is_second ? found->grip : NULL,
                                          .sets_nose =
                                              first->chucking == 0 ? found->sets_nose : NULL};
        SW_TRY(gather(aids, aside));
        SW_TRY(try_all(&list, &spot, aids, a));
    }
    for (size_t i = 0; i < found->levers.n; i++) {
        const struct sw_plan_lever *bend = &found->levers.at[i];
        const char *hint;
        if (bend->off <= bend->share)
            continue;
        SW_TRY(bending_hint(&hint, &list, bend, a));
        if (is_asked)
            SW_TRY(bush_line(&hint, bend->off, bend->off_in_bush, a->ctx));
        say_bending(a, bend, hint);
    }
    return SW_OK;
}

enum sw_status sw_advice_on_bending(const struct sw_plan_found *found,
                                    const struct sw_plan_task *task, struct sw_plan_aids *aids,
                                    struct sw_ctx *ctx)
{
    struct sw_ctx aside = {sw_arena_new(), sw_diag_new()};
    const struct asker a = {.task = task, .found = found, .is_bending = true, .ctx = ctx};
    enum sw_status status = SW_MEMORY;
    if (aside.arena && aside.diag)
        status = advise_bending(&a, aids, &aside);
    sw_arena_free(aside.arena);
    sw_diag_free(aside.diag);
    return status;
}
