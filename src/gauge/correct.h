/* correct: from readings and what was expected of them to advice for each tool.
 *
 * The caller says of each reading what the judge expects there and which tool cut it last. Lengths
 * mm, diameters full, offsets on radius (> 0: away from the axis). Lives in the context.
 * Statuses: SW_MEMORY.
 */
#ifndef SW_GAUGE_CORRECT_H
#define SW_GAUGE_CORRECT_H

#include "gauge/chart.h"
#include "gauge/lengths.h"
#include "gauge/measured.h"
#include "gauge/reckon.h"

/** One reading beside what was expected. */
struct sw_gauge_cut {
    const struct sw_gauged *reading;
    size_t section;                        /* in the staff, from 0 */
    int side, station;                     /* who cut it last; 0: not known */
    double expected;                       /* off the lathe, bent as predicted */
    double u_gauge;                        /* standard uncertainty of the gauge */
    double u;                              /* and of everything: gauge, machine, prediction */
    double lower, upper;                   /* limits at its stage */
    double finished_lower, finished_upper; /* of the drawing */
    double taper;        /* of the drawing: diameter gained a mm towards the hub */
    const char *variant; /* of a batch; NULL: a job */
    double added;        /* to its tool's X since, on radius: it would come out so much off now */
};

/** A face of the piece and the tool that made it. */
struct sw_gauge_face {
    const char *name;
    double z;          /* part frame, as it comes off the lathe */
    int side, station; /* 0: not known */
    double way;        /* z of the part = way * z of that chucking + ...: 1 or -1 */
};

/** One gauged length beside what was expected. */
struct sw_gauge_stretch {
    const struct sw_gauged_length *reading;
    struct sw_gauge_face from, to;
    double expected;
    double u_gauge, u;
    double lower, upper; /* limits as it comes off the lathe; NAN: none are drawn */
};

/** A tool along Z. */
struct sw_gauge_axis {
    int side, station;
    struct sw_gauge_z z;
    bool is_reference, is_sure;
};

/** Diameter read, as it would come out with the offsets as they are now. */
double sw_gauge_cut_now(const struct sw_gauge_cut *cut);

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
    struct sw_gauge_series *series; /* a tool and a section each, in the order of the tools */
    size_t n_series;
    struct sw_gauge_stretch *stretch;
    size_t n_stretches;
    struct sw_gauge_face rests; /* the face that counts as right; station 0: none is known */
    struct sw_gauge_axis *axis; /* by side and station */
    size_t n_axes;
};

/** Reckon the tools of CORRECTION from its cuts. */
enum sw_status sw_gauge_correct(struct sw_correction *correction, struct sw_ctx *ctx) SW_MUST_CHECK;

/** Taper found less taper drawn, diameter a mm towards the hub; false: not read, or undecided. */
bool sw_gauge_taper(struct sw_gauge_value *taper, const struct sw_gauge_cut *cut);

#endif
