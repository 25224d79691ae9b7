#include "fit/known.h"

#include <math.h>

#include "stat/dist.h"

static const double sqrt3 = 1.73205080756887729353;
/* Honest readings disagree more than this once in a hundred or twenty times: the usual levels. */
static const double sure_below = 0.01;
static const double doubtful_below = 0.05;
/* The share that "surely" and "95 %" stand for. */
static const double usual_share = 0.95;

const char *sw_origin_says(enum sw_origin origin)
{
    static const char *const says[] = {"not known", "measured", "from the old staff",
                                       "common practice", "chosen"};
    return says[origin];
}

bool sw_know_is_contradictory(const struct sw_knowledge *know)
{
    for (size_t i = 0; i < know->clash.n; i++)
        if (know->clash.at[i].is_sure && !know->clash.at[i].is_old)
            return true;
    return false;
}

double sw_know_u(const struct sw_knowledge *know, const struct sw_gum *form)
{
    return sw_gum_u(form, know->source, know->n);
}

double sw_know_expanded(const struct sw_knowledge *know, const struct sw_gum *form)
{
    return sw_gum_expanded(form, know->source, know->n, usual_share);
}

struct sw_gum sw_know_source(struct sw_knowledge *know, double value, struct sw_gum_source source,
                             const struct sw_doubt *doubt)
{
    if (know->n == SW_GUM_MOST) {
        know->failed = true;
        return sw_gum_exact(value);
    }
    struct sw_doubt *to = &know->doubt[know->n];
    *to = *doubt;
    to->value = value;
    to->half = source.spread == SW_SPREAD_EVEN ? sqrt3 * source.u : 2 * source.u;
    know->source[know->n] = source;
    return sw_gum_of(value, know->n++);
}

static bool add_clash(struct sw_knowledge *know, struct sw_clash clash, struct sw_ctx *ctx)
{
    if (clash.chance >= doubtful_below)
        return false;
    clash.is_sure = clash.chance < sure_below;
    if (!SW_VEC_PUSH(ctx->arena, &know->clash, clash))
        know->failed = true;
    return true;
}

/* Statements that disagree are less certain than they say: the joined value's uncertainty grows by
 * the root of chi-square over its degrees of freedom (Birge's ratio), as a source of its own. */
static void widen(struct sw_knowledge *know, struct sw_gum *is, enum sw_reading_kind kind,
                  const struct sw_clash *clash, struct sw_ctx *ctx)
{
    const char *says = sw_arena_printf(ctx->arena, "the contradiction about %s", clash->what);
    if (!says)
        know->failed = true;
    const double u = sw_know_u(know, is) * sqrt(fmax(clash->chi_square / clash->dof - 1, 0));
    const struct sw_gum off =
        sw_know_source(know, 0, (struct sw_gum_source){u, (double)INFINITY, SW_SPREAD_NORMAL},
                       &(struct sw_doubt){says ? says : "", NULL, kind, 0, 0, false});
    *is = sw_gum_sum(is, 1, &off, 1);
}

struct sw_known sw_know_join(struct sw_knowledge *know, const char *what, enum sw_reading_kind kind,
                             const char *way_a, const struct sw_known *a, const char *way_b,
                             const struct sw_known *b, struct sw_span at, struct sw_ctx *ctx)
{
    if (a->origin == SW_ORIGIN_NONE || b->origin == SW_ORIGIN_NONE)
        return a->origin == SW_ORIGIN_NONE ? *b : *a;
    const struct sw_gum difference = sw_gum_sum(&a->is, 1, &b->is, -1);
    const double u = sw_know_u(know, &difference);
    const double u_a = sw_know_u(know, &a->is), u_b = sw_know_u(know, &b->is);
    const double z = u > 0 ? fabs(difference.value) / u : 0;
    const struct sw_clash clash = {
        .what = what,
        .a = way_a,
        .b = way_b,
        .value_a = a->is.value,
        .value_b = b->is.value,
        .u_a = u_a,
        .u_b = u_b,
        .normalised = z,
        .chi_square = z * z,
        .dof = 1,
        .chance = 2 * sw_normal_below(-z),
        .is_old = a->origin == SW_ORIGIN_OLD || b->origin == SW_ORIGIN_OLD,
        .at = at,
    };
    const double w_a = 1 / (u_a * u_a), w_b = 1 / (u_b * u_b);
    struct sw_known joined = {a->origin < b->origin ? a->origin : b->origin,
                              sw_gum_sum(&a->is, w_a / (w_a + w_b), &b->is, w_b / (w_a + w_b))};
    if (add_clash(know, clash, ctx))
        widen(know, &joined.is, kind, &clash, ctx);
    return joined;
}

/* OF: N sources that are readings of one thing; the one at WITHOUT is left out. */
static double chi_square_without(const struct sw_knowledge *know, const size_t *of, size_t n,
                                 size_t without)
{
    double weight = 0, sum = 0, chi = 0;
    for (size_t i = 0; i < n; i++) {
        if (i == without)
            continue;
        const double w = 1 / (know->source[of[i]].u * know->source[of[i]].u);
        weight += w;
        sum += w * know->doubt[of[i]].value;
    }
    for (size_t i = 0; i < n; i++) {
        const double off = know->doubt[of[i]].value - sum / weight;
        if (i != without)
            chi += off * off / (know->source[of[i]].u * know->source[of[i]].u);
    }
    return chi;
}

/* The pair of readings that disagree most, for its doubt. */
static void worst_pair(size_t *a, size_t *b, const struct sw_knowledge *know, const size_t *of,
                       size_t n)
{
    double worst = -1;
    for (size_t i = 0; i < n; i++)
        for (size_t k = i + 1; k < n; k++) {
            const double z = fabs(know->doubt[of[i]].value - know->doubt[of[k]].value) /
                             hypot(know->source[of[i]].u, know->source[of[k]].u);
            if (z > worst) {
                worst = z;
                *a = of[i];
                *b = of[k];
            }
        }
}

static void check_agreement(struct sw_knowledge *know, enum sw_reading_kind kind, const size_t *of,
                            size_t n, struct sw_ctx *ctx)
{
    const double chi = chi_square_without(know, of, n, n);
    size_t a = of[0], b = of[1];
    worst_pair(&a, &b, know, of, n);
    const struct sw_doubt *da = &know->doubt[a], *db = &know->doubt[b];
    struct sw_clash clash = {
        .what = sw_reading_info[kind].says,
        .a = da->says,
        .b = db->says,
        .value_a = da->value,
        .value_b = db->value,
        .u_a = know->source[a].u,
        .u_b = know->source[b].u,
        .normalised = fabs(da->value - db->value) / hypot(know->source[a].u, know->source[b].u),
        .chi_square = chi,
        .dof = (double)(n - 1),
        .chance = sw_chi_square_above(chi, (double)(n - 1)),
        .at = db->reading->at,
    };
    /* Only where exactly one reading stands against all others can it be named. */
    size_t n_suspects = 0;
    for (size_t i = 0; n > 2 && i < n; i++) {
        const double left = chi_square_without(know, of, n, i);
        if (sw_chi_square_above(left, (double)(n - 2)) < doubtful_below)
            continue;
        n_suspects++;
        clash.suspect = know->doubt[of[i]].says;
    }
    if (n_suspects != 1)
        clash.suspect = NULL;
    if (add_clash(know, clash, ctx))
        widen(know, &know->of[kind].is, kind, &clash, ctx);
}

/* All readings of one thing, weighed by their doubt. */
static void weigh(struct sw_knowledge *know, enum sw_reading_kind kind, struct sw_ctx *ctx)
{
    size_t of[SW_GUM_MOST], n = 0;
    double weight = 0;
    for (size_t i = 0; i < know->n; i++)
        if (know->doubt[i].reading && know->doubt[i].kind == kind) {
            of[n++] = i;
            weight += 1 / (know->source[i].u * know->source[i].u);
        }
    if (n == 0)
        return;
    struct sw_known *to = &know->of[kind];
    to->origin = sw_reading_is_old(kind) ? SW_ORIGIN_OLD : SW_ORIGIN_MEASURED;
    for (size_t i = 0; i < n; i++) {
        const double u = know->source[of[i]].u;
        const struct sw_gum one = sw_gum_of(know->doubt[of[i]].value, of[i]);
        to->is = sw_gum_sum(&to->is, 1, &one, 1 / (u * u * weight));
    }
    if (n > 1)
        check_agreement(know, kind, of, n, ctx);
}

static enum sw_status add_readings(struct sw_knowledge *know, struct sw_ctx *ctx)
{
    for (size_t i = 0; i < know->parts->n; i++) {
        const struct sw_reading *reading = &know->parts->reading[i];
        const char *by = reading->by ? reading->by : reading->is_pins ? "pins" : NULL;
        const char *key = sw_reading_info[reading->kind].key;
        const char *says =
            by ? sw_arena_printf(ctx->arena, "%s in line %u (%s)", key, reading->at.line, by)
               : sw_arena_printf(ctx->arena, "%s in line %u", key, reading->at.line);
        if (!says)
            return SW_MEMORY;
        sw_know_source(know, reading->value, reading->source,
                       &(struct sw_doubt){says, reading, reading->kind, 0, 0, false});
        if (reading->kind == SW_READ_UPPER_JEWEL)
            know->is_olive[0] = know->is_olive[0] || reading->is_olive;
        if (reading->kind == SW_READ_LOWER_JEWEL)
            know->is_olive[1] = know->is_olive[1] || reading->is_olive;
    }
    return SW_OK;
}

/* Where the last reading of a kind stands. */
static struct sw_span place_of(const struct sw_knowledge *know, enum sw_reading_kind kind)
{
    struct sw_span at = {0};
    for (size_t i = 0; i < know->parts->n; i++)
        if (know->parts->reading[i].kind == kind)
            at = know->parts->reading[i].at;
    return at;
}

static bool is_known(const struct sw_knowledge *know, enum sw_reading_kind kind)
{
    return know->of[kind].origin != SW_ORIGIN_NONE;
}

static void join_endstones(struct sw_knowledge *know, struct sw_ctx *ctx)
{
    struct sw_known over = {0};
    if (is_known(know, SW_READ_OVER_JEWELS) && is_known(know, SW_READ_UPPER_GAP) &&
        is_known(know, SW_READ_LOWER_GAP)) {
        over = know->of[SW_READ_OVER_JEWELS];
        over.is = sw_gum_sum(&over.is, 1, &know->of[SW_READ_UPPER_GAP].is, 1);
        over.is = sw_gum_sum(&over.is, 1, &know->of[SW_READ_LOWER_GAP].is, 1);
    }
    know->endstones = sw_know_join(know, sw_reading_info[SW_READ_BETWEEN_ENDSTONES].says,
                                   SW_READ_BETWEEN_ENDSTONES, "over_jewels + upper_gap + lower_gap",
                                   &over, "between_endstones", &know->of[SW_READ_BETWEEN_ENDSTONES],
                                   place_of(know, SW_READ_BETWEEN_ENDSTONES), ctx);
}

/* Two old heights and the thickness between them. */
static void compare_old_hub(struct sw_knowledge *know, struct sw_ctx *ctx)
{
    if (!is_known(know, SW_READ_ARM_HEIGHT) || !is_known(know, SW_READ_ROLLER_HEIGHT) ||
        !is_known(know, SW_READ_OLD_HUB_THICKNESS))
        return;
    struct sw_known by_movement = {.origin = SW_ORIGIN_MEASURED};
    by_movement.is =
        sw_gum_sum(&know->of[SW_READ_ARM_HEIGHT].is, 1, &know->of[SW_READ_ROLLER_HEIGHT].is, -1);
    sw_know_join(know, "the hub's thickness", SW_READ_OLD_HUB_THICKNESS,
                 "arm_height - roller_height", &by_movement, "old_hub_thickness",
                 &know->of[SW_READ_OLD_HUB_THICKNESS], place_of(know, SW_READ_OLD_HUB_THICKNESS),
                 ctx);
}

enum sw_status sw_know(struct sw_knowledge **out, const struct sw_parts_read *parts,
                       struct sw_ctx *ctx)
{
    struct sw_knowledge *know = SW_NEW(ctx->arena, struct sw_knowledge, 1);
    if (!know)
        return SW_MEMORY;
    know->parts = parts;
    SW_TRY(add_readings(know, ctx));
    for (int kind = 0; kind < SW_N_READINGS; kind++)
        weigh(know, (enum sw_reading_kind)kind, ctx);
    join_endstones(know, ctx);
    know->spring_level =
        sw_know_join(know, "the level of the hairspring", SW_READ_STUD_LEVEL, "stud_level",
                     &know->of[SW_READ_STUD_LEVEL], "pin_level", &know->of[SW_READ_PIN_LEVEL],
                     place_of(know, SW_READ_PIN_LEVEL), ctx);
    compare_old_hub(know, ctx);
    if (know->failed)
        return SW_MEMORY;
    *out = know;
    return SW_OK;
}
