#include "plan/budget.h"

#include <math.h>

#include "geom/tol.h"
#include "mech/vibrate.h"
#include "plan/plan_int.h"

/* A free tail is kept below this share of its first critical speed. Common practice, no source. */
static const double whip_share = 0.75;
/* One pivot may run out against the other by this [mm]; 0.003 to 0.005 is asked for. Common
 * practice, no source. */
static const double most_runout = 0.005;

static double band_of(const struct sw_section *is)
{
    return is->diameter_tolerance.upper - is->diameter_tolerance.lower;
}

static bool is_gauged(const struct sw_section *is)
{
    return is->kind == SW_SECTION_PIVOT || is->kind == SW_SECTION_SEAT ||
           is->kind == SW_SECTION_CYLINDER;
}

/* The section whose band is narrowest: what suits it suits the others. */
static void check_step(const struct sw_plan *plan, struct sw_ctx *ctx)
{
    const struct sw_staff *staff = plan->shape->staff;
    const struct sw_number *step = &plan->shop->machine->step.x;
    const struct sw_section *narrowest = NULL;
    size_t n = 0;
    for (size_t i = 0; i < staff->n; i++) {
        const struct sw_section *is = &staff->section[i];
        if (!is_gauged(is) || 2 * step->value <= band_of(is) / 2 + SW_TOL_POINT)
            continue;
        n++;
        narrowest = !narrowest || band_of(is) < band_of(narrowest) ? is : narrowest;
    }
    if (narrowest)
        sw_diag_add(ctx->diag, SW_WARNING, "plan.step", narrowest->at,
                    "a finer step in X, or a wider tolerance: a correction cannot be set finer "
                    "than one step",
                    "the machine moves X in steps of %g mm, %.2f um on the diameter: more than "
                    "half of the %.2f um between the limits of the %s (%zu section%s so)",
                    step->value, 2000 * step->value, 1000 * band_of(narrowest), narrowest->name, n,
                    n == 1 ? " is" : "s are");
}

/* How far the finish cuts of a section move outwards while they cut [mm]. */
static double rise_of(const struct sw_plan *plan, size_t section)
{
    double rise = 0;
    for (size_t i = 0; i < plan->n_chuckings; i++)
        for (size_t k = 0; k < plan->chucking[i].n_ops; k++) {
            const struct sw_op *op = &plan->chucking[i].op[k];
            for (size_t m = 0; op->kind == SW_OP_FINISH && m < op->n_passes; m++) {
                const struct sw_contour *run = &op->pass[m].run;
                double own = 0;
                for (size_t s = 0; s < run->n; s++)
                    if (run->at[s].tag == (int)section &&
                        fabs(run->at[s].b.z - run->at[s].a.z) > SW_TOL_SLIVER)
                        own += fmax(0, run->at[s].b.r - run->at[s].a.r);
                rise = fmax(rise, own);
            }
        }
    return rise;
}

/* Every cut is come to from outside, so that backlash is the same for all diameters and goes into
 * the zero. Where the surface then rises the slide turns round: it stands still for the backlash.
 */
static void check_backlash(const struct sw_plan *plan, struct sw_ctx *ctx)
{
    const struct sw_staff *staff = plan->shape->staff;
    const double backlash = plan->shop->machine->backlash.x.value;
    const struct sw_section *worst = NULL;
    double most = 0;
    for (size_t i = 0; i < staff->n; i++) {
        const struct sw_section *is = &staff->section[i];
        const bool may_rise = is->kind == SW_SECTION_CONE || is->kind == SW_SECTION_BACK_SLOPE ||
                              is->kind == SW_SECTION_TAPER || is->taper != 0;
        const double thinner = may_rise ? 2 * fmin(backlash, rise_of(plan, i)) : 0;
        if (thinner > band_of(is) / 2 + SW_TOL_POINT && thinner - band_of(is) / 2 > most) {
            most = thinner - band_of(is) / 2;
            worst = is;
        }
    }
    if (worst)
        sw_diag_add(ctx->diag, SW_WARNING, "plan.backlash", worst->at,
                    "take up the play of the slide, or have the control make up for it and write "
                    "what is left as `backlash`",
                    "the cross slide has %g mm of backlash; where the cut turns outwards along the "
                    "%s it may stay up to %.1f um too thin on the diameter, of %.1f allowed to "
                    "each side",
                    backlash, worst->name, 1000 * (most + band_of(worst) / 2),
                    1000 * band_of(worst) / 2);
}

double sw_plan_chucking_runout(const struct sw_plan *plan, size_t i)
{
    const struct sw_holder *holder = plan->chucking[i].holder;
    const bool is_cut_in_place = holder->kind.value == SW_HOLDER_BORED_IN_PLACE;
    /* What is bored on the spindle that turns it runs as that spindle does. */
    return holder->runout.value + (is_cut_in_place ? 0 : plan->shop->machine->spindle.runout.value);
}

double sw_plan_runout(const struct sw_plan *plan)
{
    return plan->n_chuckings == 1 ? 0 : sw_plan_chucking_runout(plan, plan->n_chuckings - 1);
}

double sw_plan_pivot_runout(const struct sw_plan *plan)
{
    if (plan->job->scheme.value == SW_SCHEME_SINGLE)
        return 0;
    return sw_plan_runout(plan) + (plan->blank ? sw_plan_chucking_runout(plan, 0) : 0);
}

/* Of a blank either side is held by what the other was turned beside. */
static void check_runout_of_blank(const struct sw_plan *plan, struct sw_ctx *ctx)
{
    const double runout = sw_plan_pivot_runout(plan);
    const struct sw_plan_chucking *first = &plan->chucking[0], *second = &plan->chucking[1];
    const struct sw_section *grip = sw_staff_section(plan->shape->staff, second->grips);
    if (runout > most_runout + SW_TOL_POINT && grip)
        sw_diag_add(
            ctx->diag, SW_WARNING, "plan.runout", grip->at,
            "holders with less runout, or hard rod and no `harden`",
            "held by the %s in %s and by the %s in %s the pivots may run out %.1f um against "
            "each other; %.1f is what they want",
            first->grips, first->holder->name.value, second->grips, second->holder->name.value,
            1000 * runout, 1000 * most_runout);
}

static void check_runout(const struct sw_plan *plan, struct sw_ctx *ctx)
{
    if (plan->blank) {
        check_runout_of_blank(plan, ctx);
        return;
    }
    const double runout = sw_plan_pivot_runout(plan);
    const struct sw_plan_chucking *second = &plan->chucking[plan->n_chuckings - 1];
    const struct sw_section *grip = sw_staff_section(plan->shape->staff, second->grips);
    if (runout > most_runout + SW_TOL_POINT && grip)
        sw_diag_add(ctx->diag, SW_WARNING, "plan.runout", grip->at,
                    "a holder bored in place, or one with less runout, as holder_second",
                    "held by the %s in %s the second side may run out %.1f um against the first; "
                    "%.1f is what pivots want",
                    second->grips, second->holder->name.value, 1000 * runout, 1000 * most_runout);
}

double sw_plan_bar_lean(const struct sw_plan_chucking *c)
{
    const double metre = 1000;
    if (!c->in_bush || !c->stock)
        return 0;
    return 8 * c->stock->straightness.value / (metre * metre) * (c->face_z - c->nose_z) / 2;
}

/* Each zone is turned true to the spindle while the bar leans, so that it stands aslant by the lean
 * once the bar has gone on: a run-out of twice that over its length. */
static void check_bar(const struct sw_plan *plan, struct sw_ctx *ctx)
{
    const struct sw_staff *staff = plan->shape->staff;
    const double lean = sw_plan_bar_lean(&plan->chucking[0]);
    const struct sw_section *worst = NULL;
    double most = 0;
    for (size_t i = 0; i < staff->n; i++) {
        const struct sw_section *is = &staff->section[i];
        const double out = 2 * lean * (is->z1 - is->z0);
        if (is_gauged(is) && out > band_of(is) / 4 + SW_TOL_POINT && out > most) {
            most = out;
            worst = is;
        }
    }
    if (worst)
        sw_diag_add(ctx->diag, SW_WARNING, "plan.bar-bent",
                    plan->chucking[0].stock->straightness.at, "straighter bars, ground for a bush",
                    "bars bowed by %g mm a metre leave the bush aslant by %.2f um a millimetre: "
                    "the %s may run out %.1f um over its length, more than a quarter of its limits",
                    plan->chucking[0].stock->straightness.value, 1000 * lean, worst->name,
                    1000 * most);
}

static double fastest(const struct sw_plan_chucking *c)
{
    double most = 0;
    for (size_t i = 0; i < c->n_ops; i++) {
        const struct sw_op *op = &c->op[i];
        most = fmax(most, op->is_surface_speed ? op->speed_clamp : op->speed);
        for (size_t k = 0; k < op->n_passes && !op->is_surface_speed; k++)
            most = fmax(most, op->pass[k].speed);
    }
    return most;
}

/* The frequency of a uniform bar falls with the square of its length. */
static void limit_tail(struct sw_plan *plan, struct sw_ctx *ctx)
{
    struct sw_plan_chucking *c = &plan->chucking[0];
    const struct sw_material *material = c->stock->is;
    const double speed = fastest(c), allowed = plan->shop->tail_free.value;
    const double of_one_mm = sw_vibrate_uniform(0, material->elastic_modulus.value,
                                                material->density.value * 1e-9, c->rod_diameter, 1);
    const double still = speed > 0 ? floor(sqrt(60 * whip_share * of_one_mm / speed)) : allowed;
    c->tail_most = fmin(allowed, still);
    if (c->tail <= c->tail_most)
        return;
    sw_diag_add(ctx->diag, SW_WARNING, "plan.whip",
                plan->shop->tail_free.given ? plan->shop->tail_free.at : plan->shop->stock.span,
                "cut the rod shorter or support it behind the spindle",
                "at %.0f rev/min no more than %.0f mm of the rod of %g mm may hang free behind the "
                "grip, or it whips; the shop allows %.0f",
                speed, c->tail_most, c->rod_diameter, allowed);
    c->tail = c->tail_most;
}

void sw_budget(struct sw_plan *plan, struct sw_ctx *ctx)
{
    if (!plan->blank)
        limit_tail(plan, ctx);
    check_step(plan, ctx);
    check_backlash(plan, ctx);
    check_runout(plan, ctx);
    check_bar(plan, ctx);
}
