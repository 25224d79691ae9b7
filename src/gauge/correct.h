/* correct: from readings and what was expected of them to advice for each tool.
 *
 * The caller says of each reading what the judge expects there and which tool cut it last. Lengths
 * mm, diameters full, offsets on radius (> 0: away from the axis). Lives in the context.
 * Statuses: SW_MEMORY.
 */
#ifndef SW_GAUGE_CORRECT_H
#define SW_GAUGE_CORRECT_H

#include "gauge/measured.h"
#include "gauge/reckon.h"

/** One reading beside what was expected. */
struct sw_gauge_cut {
    const struct sw_gauged *reading;
    size_t section;        /* in the staff, from 0 */
    int side, station;     /* who cut it last; 0: not known */
    double expected;       /* off the lathe, bent as predicted */
    double u_gauge;        /* standard uncertainty of the gauge */
    double u;              /* and of everything: gauge, machine, prediction */
    double lower, upper;   /* limits at its stage */
    double finished_lower; /* of the drawing */
    double taper;          /* of the drawing: diameter gained a mm towards the hub */
};

struct sw_gauge_tool {
    int side, station;
    size_t n; /* turned readings */
    struct sw_gauge_value
        offset;   /* how far off it stands, on radius; drifting: at the next piece */
    bool is_sure; /* more than its expanded uncertainty */
    bool knows_height, has_height;  /* the diameters tell it; and it is not nothing */
    struct sw_gauge_value height_2; /* mm2 */
    bool knows_drift, drifts;
    struct sw_gauge_value drift; /* of the diameter a piece */
    double scatter;              /* of the diameter about the line */
    double last_piece;
    double limit_piece;   /* number of the piece that leaves its limits; infinite: none */
    size_t limit_section; /* which section does */
};

struct sw_correction {
    const struct sw_measured *measured;
    struct sw_gauge_cut *cut;
    size_t n_cuts;
    struct sw_gauge_tool *tool; /* by side and station */
    size_t n_tools;
};

/** Reckon the tools of CORRECTION from its cuts. */
enum sw_status sw_gauge_correct(struct sw_correction *correction, struct sw_ctx *ctx) SW_MUST_CHECK;

/** Taper found less taper drawn, diameter a mm towards the hub; false: not read, or undecided. */
bool sw_gauge_taper(struct sw_gauge_value *taper, const struct sw_gauge_cut *cut);

#endif
