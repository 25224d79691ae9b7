#include "batch/bars.h"

#include <math.h>
#include <string.h>

/* Sums of pitches that come out even are not to be lost by the last bit [mm]. */
static const double hair = 1e-9;

/* Steps of the search: some tenths of a second at most. */
enum { MOST_STEPS = 1000000 };

size_t sw_bar_pieces(double length, double remnant, double pitch)
{
    const double usable = length - remnant + hair;
    return usable < pitch ? 0 : (size_t)floor(usable / pitch);
}

struct open_bar {
    size_t kind;
    double left; /* usable */
};

struct search {
    const struct sw_bar_kind *kind;
    size_t n_kinds;
    double *pitch; /* of each piece, longest first */
    size_t *want;  /* which kind of piece */
    size_t n;
    size_t *bar_of; /* of each piece, now and in the best plan */
    size_t *best_of;
    struct open_bar *bar;
    size_t n_bars;
    size_t *best_kind; /* of each bar of the best plan */
    size_t n_best;
    size_t *used;       /* bars of each kind */
    double taken, best; /* length of bars */
    double *after;      /* pitches from this piece on */
    double richest;     /* bar length for a usable millimetre, the least of all kinds */
    size_t steps;
    bool is_cut_short;
};

static double usable(const struct sw_bar_kind *kind)
{
    return kind->length - kind->remnant;
}

/* What the pieces from I on must still take into use: room of the open bars first. */
static double bound(const struct search *s, size_t i)
{
    double free_room = 0;
    for (size_t b = 0; b < s->n_bars; b++)
        free_room += s->bar[b].left;
    const double lacking = s->after[i] - free_room - hair * (double)s->n;
    return s->taken + (lacking > 0 ? lacking * s->richest : 0);
}

static void keep_best(struct search *s)
{
    s->best = s->taken;
    s->n_best = s->n_bars;
    memcpy(s->best_of, s->bar_of, s->n * sizeof *s->best_of);
    for (size_t b = 0; b < s->n_bars; b++)
        s->best_kind[b] = s->bar[b].kind;
}

static void place(struct search *s, size_t i);

static void put_into_open(struct search *s, size_t i)
{
    for (size_t b = 0; b < s->n_bars; b++) {
        if (s->bar[b].left + hair < s->pitch[i])
            continue;
        bool seen = false; /* the same room was tried before */
        for (size_t a = 0; a < b && !seen; a++)
            seen = fabs(s->bar[a].left - s->bar[b].left) < hair;
        /* Of equal pieces the next goes into the same bar or a later one. */
        if (seen || (i && s->want[i] == s->want[i - 1] && b < s->bar_of[i - 1]))
            continue;
        s->bar[b].left -= s->pitch[i];
        s->bar_of[i] = b;
        place(s, i + 1);
        s->bar[b].left += s->pitch[i];
    }
}

static void open_new(struct search *s, size_t i)
{
    for (size_t k = 0; k < s->n_kinds; k++) {
        if (s->used[k] >= s->kind[k].have || usable(&s->kind[k]) + hair < s->pitch[i])
            continue;
        s->used[k]++;
        s->taken += s->kind[k].length;
        s->bar[s->n_bars++] = (struct open_bar){k, usable(&s->kind[k]) - s->pitch[i]};
        s->bar_of[i] = s->n_bars - 1;
        place(s, i + 1);
        s->n_bars--;
        s->taken -= s->kind[k].length;
        s->used[k]--;
    }
}

/* Recursion goes as deep as there are pieces; sw_bar_plan searches small cases only. */
static void place(struct search *s, size_t i)
{
    if (s->steps++ >= MOST_STEPS) {
        s->is_cut_short = true;
        return;
    }
    if (bound(s, i) >= s->best - hair)
        return;
    if (i == s->n) {
        keep_best(s);
        return;
    }
    put_into_open(s, i);
    open_new(s, i);
}

/* Longest first, each into the fullest bar that takes it; a new bar is the shortest that takes all
 * that is left, or the cheapest by usable length. False when the bars do not suffice. */
static bool place_greedily(struct search *s)
{
    for (size_t i = 0; i < s->n; i++) {
        size_t b = s->n_bars;
        for (size_t a = 0; a < s->n_bars; a++)
            if (s->bar[a].left + hair >= s->pitch[i] &&
                (b == s->n_bars || s->bar[a].left < s->bar[b].left))
                b = a;
        if (b == s->n_bars) {
            size_t k = s->n_kinds;
            for (size_t c = 0; c < s->n_kinds; c++) {
                const double room = usable(&s->kind[c]);
                if (s->used[c] >= s->kind[c].have || room + hair < s->pitch[i])
                    continue;
                if (k == s->n_kinds) {
                    k = c;
                    continue;
                }
                const bool c_all = room + hair >= s->after[i];
                const bool k_all = usable(&s->kind[k]) + hair >= s->after[i];
                const bool is_better =
                    c_all && k_all
                        ? s->kind[c].length < s->kind[k].length
                        : c_all || (!k_all && s->kind[c].length / room <
                                                  s->kind[k].length / usable(&s->kind[k]));
                k = is_better ? c : k;
            }
            if (k == s->n_kinds)
                return false;
            s->used[k]++;
            s->taken += s->kind[k].length;
            s->bar[s->n_bars++] = (struct open_bar){k, usable(&s->kind[k])};
        }
        s->bar[b].left -= s->pitch[i];
        s->bar_of[i] = b;
    }
    return true;
}

static bool make_room(struct search *s, size_t n_wants, struct sw_ctx *ctx)
{
    const size_t n = s->n;
    s->pitch = SW_NEW(ctx->arena, double, n);
    s->after = SW_NEW(ctx->arena, double, n + 1);
    s->want = SW_NEW(ctx->arena, size_t, n);
    s->bar_of = SW_NEW(ctx->arena, size_t, n);
    s->best_of = SW_NEW(ctx->arena, size_t, n);
    s->best_kind = SW_NEW(ctx->arena, size_t, n);
    s->bar = SW_NEW(ctx->arena, struct open_bar, n);
    s->used = SW_NEW(ctx->arena, size_t, s->n_kinds + n_wants);
    return s->pitch && s->after && s->want && s->bar_of && s->best_of && s->best_kind && s->bar &&
           s->used;
}

/* The pieces one by one, longest first; equal ones in the order they were wanted. */
static void list_pieces(struct search *s, const struct sw_bar_want *want, size_t n_wants)
{
    size_t at = 0;
    for (size_t w = 0; w < n_wants; w++)
        for (size_t k = 0; k < want[w].n; k++) {
            size_t to = at++;
            for (; to && s->pitch[to - 1] < want[w].pitch; to--) {
                s->pitch[to] = s->pitch[to - 1];
                s->want[to] = s->want[to - 1];
            }
            s->pitch[to] = want[w].pitch;
            s->want[to] = w;
        }
    for (size_t i = s->n; i; i--)
        s->after[i - 1] = s->after[i] + s->pitch[i - 1];
}

static enum sw_status give(struct sw_bar_plan *out, const struct search *s, size_t n_wants,
                           struct sw_ctx *ctx)
{
    out->bar = SW_NEW(ctx->arena, struct sw_bar_cut, s->n_best);
    if (!out->bar)
        return SW_MEMORY;
    out->n = s->n_best;
    out->taken = s->best;
    for (size_t b = 0; b < s->n_best; b++) {
        out->bar[b].kind = s->best_kind[b];
        out->bar[b].left = s->kind[s->best_kind[b]].length;
        out->bar[b].n = SW_NEW(ctx->arena, size_t, n_wants);
        if (!out->bar[b].n)
            return SW_MEMORY;
    }
    for (size_t i = 0; i < s->n; i++) {
        struct sw_bar_cut *bar = &out->bar[s->best_of[i]];
        bar->n[s->want[i]]++;
        bar->left -= s->pitch[i];
    }
    return SW_OK;
}

enum sw_status sw_bar_plan(struct sw_bar_plan *out, const struct sw_bar_kind *kind, size_t n_kinds,
                           const struct sw_bar_want *want, size_t n_wants, struct sw_ctx *ctx)
{
    enum { MOST_SEARCHED = 400 }; /* pieces: depth of the recursion */
    *out = (struct sw_bar_plan){0};
    struct search s = {.kind = kind, .n_kinds = n_kinds, .richest = INFINITY};
    for (size_t w = 0; w < n_wants; w++)
        s.n += want[w].n;
    if (!make_room(&s, n_wants, ctx))
        return SW_MEMORY;
    list_pieces(&s, want, n_wants);
    for (size_t k = 0; k < n_kinds; k++)
        if (usable(&kind[k]) > 0)
            s.richest = fmin(s.richest, kind[k].length / usable(&kind[k]));
    const bool suffices = place_greedily(&s);
    s.best = INFINITY;
    if (suffices)
        keep_best(&s);
    s.taken = 0;
    s.n_bars = 0;
    memset(s.used, 0, n_kinds * sizeof *s.used);
    if (s.n <= MOST_SEARCHED)
        place(&s, 0);
    else
        s.is_cut_short = true;
    if (s.best == (double)INFINITY) {
        sw_diag_add(ctx->diag, SW_ERROR, "batch.bars", (struct sw_span){0},
                    "add bars to `bars`, or lower `quantity`",
                    "the bars do not suffice for %zu pieces of together %.1f mm", s.n, s.after[0]);
        return SW_CANNOT;
    }
    out->least = s.is_cut_short ? s.after[0] * s.richest : s.best;
    out->is_least = !s.is_cut_short;
    return give(out, &s, n_wants, ctx);
}
