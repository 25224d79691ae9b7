/* bench: what a workshop owns for the work by hand, and the choice of a piece for a size.
 *
 * Everything may be left out; a sheet then names what is needed. Lengths [mm]. A bed is called by
 * the pivot that lies flush in it: there the burnisher stops cutting.
 * Ownership: lives in the context of the shop. No statuses but those of reading.
 * Sources: beds, gauges and jewels go by hundredths: common practice, no source. How far a pivot
 * stands proud of its bed: two figures of bench practice, no source (0.135 in a bed of 0.13, 0.25
 * in one of 0.22 or 0.20).
 */
#ifndef SW_SHOP_BENCH_H
#define SW_SHOP_BENCH_H

#include "spec/table.h"

enum sw_burnisher_edge { SW_BURNISHER_SQUARE, SW_BURNISHER_ROUNDED };
enum sw_punch_face { SW_PUNCH_FLAT, SW_PUNCH_ROUNDED };

struct sw_burnisher {
    struct sw_text name;
    struct sw_choice edge; /* enum sw_burnisher_edge */
};

/** Gauges that follow each other: FROM, FROM + STEP, ... TO. */
struct sw_gauges {
    struct sw_number from, to, step;
};

struct sw_punch {
    struct sw_choice face; /* enum sw_punch_face */
    struct sw_list holes;  /* struct sw_number */
};

struct sw_shop_bench {
    struct sw_list stones;     /* struct sw_text */
    struct sw_list burnishers; /* struct sw_burnisher */
    struct sw_list beds;       /* struct sw_number */
    struct sw_list pins;       /* struct sw_gauges: for holes */
    struct sw_list jewels;     /* struct sw_gauges: jewelled holes that pivots are tried in */
    struct sw_list stakes;     /* struct sw_number: holes of the staking plate */
    struct sw_list punches;    /* struct sw_punch: hollow punches */
};

extern const struct sw_table sw_bench_table;

/** The beds in which a pivot of the diameter FINISHED can be brought to size: strictly below it,
 *  so that it stands proud, and not so far below that it rocks. */
struct sw_bed_window {
    double least, most;
};
struct sw_bed_window sw_bed_window(double finished);

/** The largest, or the smallest, number of a list from LEAST to MOST; 0: none. */
double sw_bench_largest(const struct sw_list *numbers, double least, double most);
double sw_bench_smallest(const struct sw_list *numbers, double least, double most);

/** Of all sets the largest gauge not above SIZE, and the smallest that is above it; 0: none. */
double sw_gauge_below(const struct sw_list *sets, double size);
double sw_gauge_above(const struct sw_list *sets, double size);

/** The hollow punch of a FACE with the smallest hole from LEAST to MOST; 0: none. */
double sw_bench_punch(const struct sw_shop_bench *bench, enum sw_punch_face face, double least,
                      double most);

/** A burnisher with that edge, or NULL. */
const struct sw_burnisher *sw_bench_burnisher(const struct sw_shop_bench *bench,
                                              enum sw_burnisher_edge edge);

#endif
