/* engage, inside: what stands at a moment, and how much of it a tool meets. See engage.h. */
#ifndef SW_PLAN_ENGAGE_INT_H
#define SW_PLAN_ENGAGE_INT_H

#include "plan/engage.h"
#include "plan/strength.h"

/* A way some tool has gone already. */
struct sw_past {
    const struct sw_tool *tool;
    struct sw_seg seg;
    struct sw_box box;
};

/* The pass that is looked at, and all that was cut before it. */
struct sw_engage {
    const struct sw_planner *p;
    const struct sw_op *op;
    const struct sw_contour *before;
    double z_record, r_behind; /* nearer the holder than Z_RECORD a cylinder stands */
    SW_VEC(struct sw_past) past;
    double low, high;       /* flanks of its tool [rad] */
    struct sw_contour left; /* what stands, in stairs, as a bar */
    struct sw_bar bar;      /* of it, to the outermost place of the pass */
    double z_root;
    bool has_bar;
    enum sw_status status; /* sticks */
};

/* A place on the way of a pass. */
struct sw_place {
    struct sw_pt centre, way;
    double feed, turns; /* mm per turn, rev/min */
};

/** Metal in front of a tool, square to its way [mm]: all of it, and between which places. */
struct sw_taken {
    double depth; /* square to the way */
    double from, to;
};

/** Whether metal stands at a place. */
bool sw_engage_stands(const struct sw_engage *e, struct sw_pt p);

/** How much of the tool's front stands in metal at a place of its way. */
struct sw_taken sw_engage_taken(const struct sw_engage *e, const struct sw_place *at);

#endif
