/* shape_int: what the files of shape share; nobody else includes it. Frame: part. */
#ifndef SW_SHAPE_SHAPE_INT_H
#define SW_SHAPE_SHAPE_INT_H

#include "geom/tol.h"
#include "shape/shape.h"

/** What is added to the finished sizes; all zero for the finished contour itself. */
struct shape_allowance {
    const double *take;  /* on each section's diameter [mm] */
    double upper, lower; /* on the length, at each tip [mm] */
};

/** One line or arc of a profile before its outer edges are broken. */
struct shape_piece {
    struct sw_seg seg;
    size_t id;           /* same in every profile of a staff; steps have none of their own */
    double allowance;    /* lines: how far it moves outwards along its normal [mm] */
    bool is_fixed;       /* stands where it shall be already; its neighbours follow it */
    bool is_shoulder;    /* square line between two sections; may turn round when they move */
    bool is_step;        /* joins equal finished radii with unequal allowances */
    bool is_recess_wall; /* inner side of a rivet's lip */
    bool is_relief;      /* flank or bottom of a relief groove */
};

/** The pieces of a profile, joined, with allowances put on. SW_CANNOT with a diagnostic. */
enum sw_status shape_profile(struct shape_piece **piece, size_t *n, const struct sw_staff *staff,
                             const struct shape_allowance *allowance,
                             struct sw_ctx *ctx) SW_MUST_CHECK;

/** How the corner between segments I and I+1 is to be rounded. */
struct shape_corner {
    double radius; /* 0: left as it is */
    int tag;
    bool must_fit;    /* otherwise the largest radius that fits is taken */
    bool is_optional; /* left sharp when it does not fit beside the others */
};

/** Round the corners of a contour of N segments, each judged on the contour as given, so that
 *  their order plays no part. CORNER has N - 1 entries; each comes back with the radius that it
 *  got, 0 when it stays sharp. SW_CANNOT: entry *MISFIT must fit and does not. */
enum sw_status shape_round(struct sw_contour *out, size_t *misfit, const struct sw_contour *in,
                           struct shape_corner *corner, struct sw_ctx *ctx) SW_MUST_CHECK;

/** Angle by which travel turns between two segments [rad]: > 0 inner corner, < 0 outer edge. */
double shape_bend(const struct sw_seg *before, const struct sw_seg *after);

/* Corners that turn less than this are no corners: rounding one by 0.03 mm would move 0.03 um. */
#define SHAPE_LEAST_BEND (5 * 3.14159265358979323846 / 180)

#endif
