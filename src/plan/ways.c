#include "plan/ways.h"

#include <math.h>

#include "plan/plan_int.h"

/* Done sooner by a smaller share is done alike. */
static const double worth = 0.01;
/* One pivot may run out against the other by this [mm]; 0.003 to 0.005 is asked for. Common
 * practice, no source. */
static const double most_runout = 0.005;

struct sw_plan_way sw_way_of(const struct sw_plan *plan)
{
    struct sw_plan_way way = {.scheme = (enum sw_scheme)plan->job->scheme.value,
                              .is_made = true,
                              .seconds = sw_plan_seconds(plan),
                              .runout = sw_plan_pivot_runout(plan),
                              .n_chuckings = plan->n_chuckings};
    for (size_t i = 0; i < plan->n_chuckings; i++) {
        const struct sw_plan_chucking *c = &plan->chucking[i];
        way.stress = fmax(way.stress, c->neck.cut_stress + c->neck.weight_stress);
        for (size_t k = 0; k < c->n_ops; k++) {
            const struct sw_op *op = &c->op[k];
            way.off = fmax(way.off, op->kind == SW_OP_FINISH ? op->off_drawn_in : 0);
            /* A neck that is parted to is to break, if later. */
            for (size_t m = 0; m < op->n_passes && op->kind != SW_OP_PART; m++)
                way.stress = fmax(way.stress, op->pass[m].load.stress); /* passes over NAN */
        }
    }
    return way;
}

static const char *name_of(const struct sw_plan_way *way)
{
    return way->scheme == SW_SCHEME_SINGLE ? "single" : "reversed";
}

size_t sw_way_choose(const char **why, const struct sw_plan_way way[SW_PLAN_WAYS],
                     double most_stress, struct sw_ctx *ctx)
{
    for (size_t i = 0; i < SW_PLAN_WAYS; i++)
        if (!way[!i].is_made) {
            *why = sw_arena_printf(ctx->arena, "`%s`, because `%s` cannot be made",
                                   name_of(&way[i]), name_of(&way[!i]));
            return i;
        }
    for (size_t i = 0; i < SW_PLAN_WAYS; i++)
        if (way[i].stress <= most_stress && way[!i].stress > most_stress) {
            *why =
                sw_arena_printf(ctx->arena,
                                "`%s`, because `%s` may strain the work by %.0f MPa, and with the "
                                "shop's safety it should bear %.0f at most",
                                name_of(&way[i]), name_of(&way[!i]), way[!i].stress, most_stress);
            return i;
        }
    for (size_t i = 0; i < SW_PLAN_WAYS; i++)
        if (way[i].runout <= most_runout && way[!i].runout > most_runout) {
            *why = sw_arena_printf(ctx->arena,
                                   "`%s`, because by `%s` the pivots may run out %.1f um against "
                                   "each other, and %.1f is what they want",
                                   name_of(&way[i]), name_of(&way[!i]), 1000 * way[!i].runout,
                                   1000 * most_runout);
            return i;
        }
    for (size_t i = 0; i < SW_PLAN_WAYS; i++)
        if (way[i].seconds < way[!i].seconds * (1 - worth)) {
            *why = sw_arena_printf(ctx->arena,
                                   "`%s`, about %.0f s sooner done; by risk and true running both "
                                   "will do",
                                   name_of(&way[i]), way[!i].seconds - way[i].seconds);
            return i;
        }
    *why = sw_arena_printf(ctx->arena, "`%s`, because both are alike", name_of(&way[0]));
    return 0;
}

struct tried {
    struct sw_job job;
    struct sw_plan *plan;
    struct sw_diag *said;
    enum sw_status status;
};

static const char *first_error(const struct sw_diag *said)
{
    for (size_t i = 0; i < sw_diag_n(said); i++)
        if (sw_diag_at(said, i)->severity == SW_ERROR)
            return sw_diag_at(said, i)->message;
    return "no reason was given";
}

/* The message lives as long as the diagnostics; the plan needs it longer. */
static enum sw_status try_way(struct tried *to, struct sw_plan_way *way, enum sw_scheme scheme,
                              const struct sw_plan_question *of, struct sw_ctx *ctx)
{
    struct sw_ctx aside = {ctx->arena, sw_diag_new()};
    struct sw_job *job = SW_NEW(ctx->arena, struct sw_job, 1);
    to->said = aside.diag;
    if (!aside.diag || !job)
        return SW_MEMORY;
    *job = *of->job;
    job->scheme.value = (int)scheme;
    to->status = sw_plan_build(&to->plan, job, of->shop, of->shape, of->post, of->aids, &aside);
    if (to->status == SW_MEMORY || to->status == SW_INTERNAL)
        return to->status;
    *way = (struct sw_plan_way){.scheme = scheme};
    if (to->status == SW_OK) {
        *way = sw_way_of(to->plan);
        return SW_OK;
    }
    way->refusal = sw_arena_printf(ctx->arena, "%s", first_error(aside.diag));
    return way->refusal ? SW_OK : SW_MEMORY;
}

enum sw_status sw_plan_best_way(struct sw_plan **out, const struct sw_plan_question *of,
                                struct sw_ctx *ctx)
{
    static const enum sw_scheme scheme[SW_PLAN_WAYS] = {SW_SCHEME_REVERSED, SW_SCHEME_SINGLE};
    struct tried tried[SW_PLAN_WAYS] = {{.said = NULL}};
    struct sw_plan_way way[SW_PLAN_WAYS];
    enum sw_status status = SW_OK;
    for (size_t i = 0; i < SW_PLAN_WAYS && status == SW_OK; i++)
        status = try_way(&tried[i], &way[i], scheme[i], of, ctx);
    if (status == SW_OK) {
        const struct sw_plan *any = tried[0].plan ? tried[0].plan : tried[1].plan;
        const char *why = NULL;
        /* Where neither can be made the usual way is told of, with its advice. */
        size_t taken = 0;
        if (way[0].is_made || way[1].is_made) {
            const double most = any->chucking[0].stock->is->yield.value / of->shop->safety.value;
            taken = sw_way_choose(&why, way, most, ctx);
        }
        status = why || !any ? sw_plan_hand_on(tried[taken].said, ctx) : SW_MEMORY;
        if (status == SW_OK)
            status = tried[taken].status;
        if (status == SW_OK) {
            *out = tried[taken].plan;
            for (size_t i = 0; i < SW_PLAN_WAYS; i++)
                (*out)->way[i] = way[i];
            (*out)->n_ways = SW_PLAN_WAYS;
            (*out)->way_why = why;
        }
    }
    for (size_t i = 0; i < SW_PLAN_WAYS; i++)
        sw_diag_free(tried[i].said);
    return status;
}
