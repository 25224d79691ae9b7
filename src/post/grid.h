/* grid: rounding to what a dialect can write. The only place where a position is rounded.
 *
 * Takes exact points (chucking frame, radius, mm) and gives counts of the last decimal, in the
 * dialect's reading of X and I. No memory; statuses are left to the caller.
 */
#ifndef SW_POST_GRID_H
#define SW_POST_GRID_H

#include <stdbool.h>

#include "geom/seg.h"

/* Radii of an arc at its start and end may differ by this much as written [mm]: a tenth of what
 * NISTIR 6556 (3.5.3.2) lets a control accept, and less than any tolerance on a staff. */
#define SW_POST_MOST_MISMATCH 2e-4
/* The middle of a written arc may lie this far off the asked one [mm]. */
#define SW_POST_MOST_OFF_PATH 2e-4
/* An arc that rises less than this over its chord [mm] is no different from the chord. */
#define SW_POST_FLAT_ARC 5e-5

struct sw_post_grid {
    int x_decimals, z_decimals, centre_decimals;
    double x_factor;      /* 2 when X is a diameter, otherwise 1 */
    double centre_factor; /* the same for I */
};

struct sw_post_pt {
    long long x; /* counts, as written */
    long long z;
};

struct sw_post_pt sw_post_round(const struct sw_post_grid *grid, struct sw_pt exact);
/** The exact value of what is written [mm, radius]. */
struct sw_pt sw_post_exact(const struct sw_post_grid *grid, struct sw_post_pt at);
bool sw_post_same(struct sw_post_pt a, struct sw_post_pt b);
/** COUNT of DECIMALS as the number to write. */
double sw_post_written(long long count, int decimals);

enum sw_post_arc_kind {
    SW_POST_ARC_WRITTEN,
    SW_POST_ARC_LINE,    /* so flat and short that its chord stands for it */
    SW_POST_ARC_NOTHING, /* it ends where it begins, and is flat */
    SW_POST_ARC_REFUSED
};

/** An arc as it can be written from one grid point to another. */
struct sw_post_arc {
    enum sw_post_arc_kind kind;
    long long i, k;   /* centre less start, as written */
    long long radius; /* for radius form: counts of centre_decimals */
    double mismatch;  /* between the radii at both ends [mm]; radius form: 0 */
    double off_path;  /* of its middle [mm] */
};

/** Put an exact arc (less than a full turn) between grid points FROM and TO in centre form:
 *  among the grid points next to its centre the one with the least mismatch whose middle stays on
 *  the path. When REFUSED, mismatch and off_path are those of the best. */
struct sw_post_arc sw_post_arc_by_centre(const struct sw_post_grid *grid, const struct sw_seg *arc,
                                         struct sw_post_pt from, struct sw_post_pt to);
/** The same in radius form, for arcs of less than half a turn. */
struct sw_post_arc sw_post_arc_by_radius(const struct sw_post_grid *grid, const struct sw_seg *arc,
                                         struct sw_post_pt from, struct sw_post_pt to);

#endif
