#include "fit/size.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "fit/fit_int.h"

static const double sqrt3 = 1.73205080756887729353;
/* Doubts that take less than a fifth of a band change little: not worth measuring. */
static const double worth_least = 0.04;
/* Tolerances are written in steps of a tenth of a micrometre. */
enum { TOLERANCE_DECIMALS = 4 };

const char *sw_size_says(enum sw_size_id id)
{
    static const char *const says[] = {
#define X(name, text) text,
        SW_SIZE_LIST(X)
#undef X
    };
    return says[id];
}

struct fit_mm fit_mm(double value)
{
    enum { PLACES = 4 };
    struct fit_mm mm;
    sw_num_format(mm.text, value, PLACES);
    size_t n = strlen(mm.text);
    if (!strchr(mm.text, '.'))
        return mm;
    while (n > 0 && mm.text[n - 1] == '0')
        mm.text[--n] = '\0';
    if (n > 0 && mm.text[n - 1] == '.')
        mm.text[--n] = '\0';
    return mm;
}

const struct sw_known *fit_known(const struct fit_work *work, enum sw_reading_kind kind)
{
    return &work->know->of[kind];
}

bool fit_has(const struct fit_work *work, enum sw_reading_kind kind)
{
    return work->know->of[kind].origin != SW_ORIGIN_NONE;
}

double fit_value(const struct fit_work *work, enum sw_size_id id)
{
    return work->sizing->size[id].value;
}

/* printf into the arena, where the number of arguments varies. */
static const char *print(struct fit_work *work, const char *format, va_list args)
{
    va_list again;
    va_copy(again, args);
    const int size = vsnprintf(NULL, 0, format, args);
    char *text = size < 0 ? NULL : SW_NEW(work->ctx->arena, char, (size_t)size + 1);
    if (text)
        vsnprintf(text, (size_t)size + 1, format, again);
    va_end(again);
    if (!text)
        work->failed = true;
    return text ? text : "";
}

/* Which reading to improve and how far, when doubt and tolerance do not fit into the band. */
static void find_improvement(struct sw_size *size, const struct sw_knowledge *know)
{
    size->improve = SW_GUM_MOST;
    double best = 0;
    for (size_t i = 0; i < know->n; i++) {
        const double share = sw_gum_share(&size->is, know->source, know->n, i);
        if (share > best) {
            best = share;
            size->improve = i;
        }
    }
    if (size->improve == SW_GUM_MOST || size->expanded <= 0)
        return;
    const double room = size->band - size->least_tolerance;
    const double wanted = room * size->u / size->expanded;
    const struct sw_gum_source *source = &know->source[size->improve];
    const double u = sw_gum_needed(&size->is, know->source, know->n, size->improve, wanted);
    size->improve_to = u * know->doubt[size->improve].half / source->u;
    size->shrink = room / size->expanded;
}

static double down(double value, int decimals)
{
    const double step = pow(10, -decimals);
    return floor(value / step + 1e-6) * step;
}

void fit_set(struct fit_work *work, enum sw_size_id id, enum sw_origin origin,
             const struct sw_gum *is, const struct fit_band *band, const char *why, ...)
{
    struct sw_size *size = &work->sizing->size[id];
    va_list args;
    va_start(args, why);
    *size = (struct sw_size){
        .is_there = true,
        .origin = origin,
        .is = *is,
        .value = sw_num_round(is->value, band->decimals),
        .u = sw_know_u(work->know, is),
        .expanded = sw_know_expanded(work->know, is),
        .band = band->half,
        .band_says = band->says,
        .least_tolerance = band->least,
        .tolerance = band->most,
        .why = print(work, why, args),
        .fits = true,
        .improve = SW_GUM_MOST,
        .decimals = band->decimals,
    };
    va_end(args);
    if (band->half <= 0)
        return;
    const double left = band->half - size->expanded;
    size->tolerance = down(fmin(fmax(left, band->least), band->most), TOLERANCE_DECIMALS);
    size->fits = left >= band->least - 1e-9;
    find_improvement(size, work->know);
}

const struct sw_known *fit_propose(struct fit_work *work, enum sw_reading_kind kind, double value,
                                   double half)
{
    struct sw_known *to = &work->know->of[kind];
    const char *says = sw_arena_printf(work->ctx->arena, "%s taken as %s (common practice)",
                                       sw_reading_info[kind].key, FIT_MM(value));
    if (!says)
        work->failed = true;
    to->origin = SW_ORIGIN_PROPOSED;
    to->is = sw_know_source(work->know, value,
                            (struct sw_gum_source){half / sqrt3, (double)INFINITY, SW_SPREAD_EVEN},
                            &(struct sw_doubt){says ? says : "", NULL, kind, 0, 0, true});
    return to;
}

void fit_miss(struct fit_work *work, enum sw_size_id id, const char *needs)
{
    const struct sw_missing missing = {id, needs};
    if (!SW_VEC_PUSH(work->ctx->arena, &work->sizing->missing, missing))
        work->failed = true;
}

void fit_refuse(struct fit_work *work, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    const char *text = print(work, format, args);
    va_end(args);
    if (!SW_VEC_PUSH(work->ctx->arena, &work->sizing->refused, text))
        work->failed = true;
}

/* Adds what source I brings to a size to the worth of measuring its kind; MOST: the largest such
 * part so far, which says what the reading decides most. */
static void add_worth(struct sw_next *next, const struct sw_size *size, enum sw_size_id id,
                      const struct sw_knowledge *know, size_t i, double *most)
{
    const double share = sw_gum_share(&size->is, know->source, know->n, i);
    const double filled = size->expanded / size->band;
    const double worth = share * filled * filled;
    next->worth += worth;
    if (worth > *most) {
        *most = worth;
        next->is_proposed = know->doubt[i].is_proposed;
        next->half = know->doubt[i].half;
        next->size = id;
        next->share = share;
    }
    if (!size->fits && i == size->improve) {
        /* By this reading alone, or in step with the others. */
        const double to =
            size->improve_to > 0 ? size->improve_to : know->doubt[i].half * size->shrink;
        next->wanted = next->wanted > 0 ? fmin(next->wanted, to) : to;
    }
}

static void rank_next(struct fit_work *work)
{
    struct sw_sizing *sizing = work->sizing;
    const struct sw_knowledge *know = work->know;
    struct sw_next by_kind[SW_N_READINGS] = {0};
    double most[SW_N_READINGS] = {0}; /* worth of one source for one size */
    for (size_t i = 0; i < know->n; i++) {
        const enum sw_reading_kind kind = know->doubt[i].kind;
        if (kind >= SW_N_READINGS)
            continue;
        by_kind[kind].kind = kind;
        for (int id = 0; id < SW_N_SIZES; id++) {
            const struct sw_size *size = &sizing->size[id];
            if (size->is_there && size->band > 0 && size->is.slope[i] != 0)
                add_worth(&by_kind[kind], size, (enum sw_size_id)id, know, i, &most[kind]);
        }
    }
    for (int kind = 0; kind < SW_N_READINGS; kind++) {
        if (by_kind[kind].worth < worth_least)
            continue;
        if (!SW_VEC_PUSH(work->ctx->arena, &sizing->next, by_kind[kind])) {
            work->failed = true;
            return;
        }
        struct sw_next *at = sizing->next.at;
        for (size_t k = sizing->next.n - 1; k > 0 && at[k].worth > at[k - 1].worth; k--) {
            const struct sw_next swapped = at[k];
            at[k] = at[k - 1];
            at[k - 1] = swapped;
        }
    }
}

enum sw_status sw_size_work_out(struct sw_sizing **out, const struct sw_survey *survey,
                                struct sw_ctx *ctx)
{
    struct sw_sizing *sizing = SW_NEW(ctx->arena, struct sw_sizing, 1);
    if (!sizing)
        return SW_MEMORY;
    sizing->survey = survey;
    SW_TRY(sw_know(&sizing->know, &survey->parts, ctx));
    struct fit_work work = {sizing, survey, sizing->know, ctx, false};
    fit_size_pivots(&work);
    fit_size_total(&work);
    fit_size_straights(&work);
    fit_size_heights(&work);
    fit_size_seats(&work);
    fit_size_cones(&work);
    fit_size_roller(&work);
    fit_size_lengths(&work);
    rank_next(&work);
    if (work.failed || sizing->know->failed || sw_diag_failed(ctx->diag))
        return SW_MEMORY;
    sizing->is_writable =
        !sizing->missing.n && !sizing->refused.n && !sw_know_is_contradictory(sizing->know);
    *out = sizing;
    return sizing->is_writable ? SW_OK : SW_FOUND;
}
