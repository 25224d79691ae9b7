/* The choices that a job leaves to the planner, made by the same cost as a schedule: which tool
 * takes the last cuts of a side where several reach as much, and whether pivots come first or last.
 *
 * Each choice is a whole plan. One whose last cuts keep bending within its share goes before one
 * whose do not; of equals the sooner done wins. Tools are tried for one side after the other,
 * because neither side's cuts depend on the tool of the other. */
#include <math.h>

#include "mech/feedtime.h"
#include "plan/bound.h"
#include "plan/plan_int.h"

/* Another choice must be done sooner by this share: the usual way is kept for trifles. */
static const double worth = 0.01;

struct chosen {
    enum sw_status status;
    struct sw_plan *plan;
    struct sw_plan_found found;
    struct sw_diag *said;
    double excess; /* of bending over its share, worst place; 1: within */
    double seconds;
    struct sw_plan_bound bound; /* where it is asked for */
};

/* Cutting, ways between the passes, and tool changes: all that choices may differ in. */
double sw_plan_seconds(const struct sw_plan *plan)
{
    const struct sw_machine *machine = plan->shop->machine;
    const struct sw_axis_limits x = {machine->rapid.x.value / 60, machine->acceleration.x.value,
                                     HUGE_VAL};
    const struct sw_axis_limits z = {machine->rapid.z.value / 60, machine->acceleration.z.value,
                                     HUGE_VAL};
    double seconds = 0;
    for (size_t i = 0; i < plan->n_chuckings; i++) {
        const struct sw_plan_chucking *now = &plan->chucking[i];
        int station = 0;
        seconds += now->seconds;
        for (size_t k = 0; k < now->n_ops; k++) {
            const struct sw_op *op = &now->op[k];
            if (op->n_passes && op->station != station) {
                seconds += machine->change_time.value + machine->spindle.start_time.value;
                station = op->station;
            }
            for (size_t j = 0; j + 1 < op->n_passes; j++) {
                const struct sw_pass *pass = &op->pass[j], *next = &op->pass[j + 1];
                seconds += sw_feed_time(fabs(pass->back_r - pass->lift.r), &x) +
                           sw_feed_time(fabs(next->from.z - pass->lift.z), &z) +
                           sw_feed_time(fabs(pass->back_r - next->from.r), &x);
            }
        }
    }
    return seconds;
}

static double excess_of(const struct sw_plan_found *found)
{
    double excess = 1;
    for (size_t i = 0; i < found->levers.n; i++)
        excess = fmax(excess, found->levers.at[i].off / found->levers.at[i].share);
    return excess;
}

static enum sw_status try_out(struct chosen *to, const struct sw_plan_task *task,
                              struct sw_ctx *ctx)
{
    *to = (struct chosen){.said = sw_diag_new()};
    if (!to->said)
        return SW_MEMORY;
    struct sw_ctx aside = {ctx->arena, to->said};
    struct sw_plan_task own = *task;
    own.bound = task->bound ? &to->bound : NULL;
    to->status = sw_plan_trial(&to->plan, &to->found, &own, &aside);
    if (to->status == SW_OK) {
        to->excess = excess_of(&to->found);
        to->seconds = sw_plan_seconds(to->plan);
    }
    return to->status == SW_MEMORY ? SW_MEMORY : SW_OK;
}

static bool is_better(const struct chosen *a, const struct chosen *than)
{
    if (a->status != SW_OK || than->status != SW_OK)
        return a->status == SW_OK;
    if (a->excess > than->excess * (1 + worth) || a->excess < than->excess * (1 - worth))
        return a->excess < than->excess;
    return a->seconds < than->seconds * (1 - worth);
}

/* NULL: out of memory. */
static const char *why(const char *what, const struct chosen *now, const struct chosen *before,
                       struct sw_ctx *ctx)
{
    if (before->status != SW_OK)
        return sw_arena_printf(ctx->arena, "%s, because nothing else can be made", what);
    if (now->excess < before->excess * (1 - worth))
        return sw_arena_printf(ctx->arena, "%s, because the last cuts bend the work less", what);
    return sw_arena_printf(ctx->arena, "%s, about %.0f s sooner done", what,
                           before->seconds - now->seconds);
}

/* A choice says why against what stood before it; of two tools of one side the last counts. */
static enum sw_status note(struct chosen *best, const struct chosen *before, size_t choice,
                           const char *what, struct sw_ctx *ctx)
{
    for (size_t i = 0; before->plan && i < SW_PLAN_CHOICES; i++)
        best->plan->chosen[i] = before->plan->chosen[i];
    best->plan->chosen[choice] = what ? why(what, best, before, ctx) : NULL;
    return best->plan->chosen[choice] ? SW_OK : SW_MEMORY;
}

/* Plan TASK aside and keep it, and the task, when it is better. A survey tells at once that its
 * last cuts bend further. */
static enum sw_status consider(struct chosen *best, struct sw_plan_task *kept,
                               const struct sw_plan_task *task, size_t choice, const char *what,
                               struct sw_ctx *ctx)
{
    struct chosen other = {0};
    struct sw_plan_task quick = *task;
    quick.is_survey = true;
    enum sw_status status = try_out(&other, &quick, ctx);
    const bool bends_further =
        other.status == SW_OK && best->status == SW_OK && other.excess > best->excess * (1 + worth);
    const bool is_hopeless = other.status != SW_OK || bends_further;
    if (status == SW_OK && !is_hopeless) {
        sw_diag_free(other.said);
        status = try_out(&other, task, ctx);
        if (status == SW_OK && is_better(&other, best)) {
            const struct chosen worse = *best;
            *best = other;
            *kept = *task;
            other = worse;
            status = note(best, &worse, choice, what, ctx);
        }
    }
    sw_diag_free(other.said);
    return status;
}

static enum sw_status consider_tools(struct chosen *best, struct sw_plan_task *kept,
                                     struct sw_ctx *ctx)
{
    for (size_t side = 0; side < SW_PLAN_SIDES; side++) {
        /* The list is the plan's that is kept; what is found later has its own. */
        const struct sw_plan_equals equals = best->found.equals[side];
        for (size_t i = 0; i < equals.n; i++) {
            struct sw_plan_task task = *kept;
            task.favourite[side] = equals.at[i];
            const char *what = sw_arena_printf(ctx->arena, "Last cuts of side %zu by %s", side + 1,
                                               equals.at[i]->name.value);
            SW_TRY(consider(best, kept, &task, side, what, ctx));
        }
    }
    return SW_OK;
}

static enum sw_status consider_order(struct chosen *best, struct sw_plan_task *kept,
                                     struct sw_ctx *ctx)
{
    struct sw_job *job = SW_NEW(ctx->arena, struct sw_job, 1);
    if (!job)
        return SW_MEMORY;
    *job = *kept->job;
    job->pivot_order.value =
        job->pivot_order.value == SW_PIVOTS_LAST ? SW_PIVOTS_TIP_FIRST : SW_PIVOTS_LAST;
    struct sw_plan_task task = *kept;
    task.job = job;
    const char *what =
        job->pivot_order.value == SW_PIVOTS_LAST ? "Pivots last" : "Pivots tip-first";
    return consider(best, kept, &task, SW_PLAN_SIDES, what, ctx);
}

enum sw_status sw_plan_choose(struct sw_plan **out, struct sw_plan_found *found,
                              struct sw_plan_task *task, struct sw_ctx *ctx)
{
    struct chosen best;
    enum sw_status status = try_out(&best, task, ctx);
    if (status == SW_OK)
        status = consider_tools(&best, task, ctx);
    const bool in_bush = task->shop->machine->kind.value == SW_MACHINE_SLIDING;
    if (status == SW_OK && !task->job->pivot_order.given && !in_bush)
        status = consider_order(&best, task, ctx);
    if (status == SW_OK)
        status = sw_plan_hand_on(best.said, ctx);
    *out = best.plan;
    *found = best.found;
    if (task->bound)
        *task->bound = best.bound;
    sw_diag_free(best.said);
    return status != SW_OK ? status : best.status;
}
