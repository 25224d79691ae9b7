/* bars: which pieces come off which bar, so that as little bar as possible is taken into use.
 *
 * Lengths [mm]. A piece takes its pitch: finished length, what facing takes and the width of the
 * parting cut. The remnant is what the holder keeps at the end of a bar.
 * Ownership: results live in the context. Statuses: SW_MEMORY; SW_CANNOT with a diagnostic when the
 * bars do not suffice.
 * Source: counting is floor((bar - remnant) / pitch); the search is plain branch and bound.
 */
#ifndef SW_BATCH_BARS_H
#define SW_BATCH_BARS_H

#include <stdbool.h>
#include <stddef.h>

#include "base/ctx.h"

/** Pieces of one PITCH that come off a bar of LENGTH. */
size_t sw_bar_pieces(double length, double remnant, double pitch);

struct sw_bar_kind {
    double length;  /* mm */
    double remnant; /* cannot be used [mm] */
    size_t have;    /* in the shop */
};

struct sw_bar_want {
    double pitch; /* mm, > 0 */
    size_t n;
};

/** A bar taken into use: how many pieces of each wanted kind, in the order they are cut: longest
 *  pitch first, so that what is left whole at the end is told apart from short ends. */
struct sw_bar_cut {
    size_t kind;
    size_t *n;   /* of each want */
    double left; /* at the end, remnant included [mm] */
};

struct sw_bar_plan {
    struct sw_bar_cut *bar;
    size_t n;
    double taken;  /* length of all bars taken into use [mm] */
    double least;  /* no plan can take less than this [mm] */
    bool is_least; /* proved: no plan takes less */
};

/** Plan the bars. The search ends after a fixed number of steps; IS_LEAST says whether it ended by
 *  itself. */
enum sw_status sw_bar_plan(struct sw_bar_plan *out, const struct sw_bar_kind *kind, size_t n_kinds,
                           const struct sw_bar_want *want, size_t n_wants,
                           struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
