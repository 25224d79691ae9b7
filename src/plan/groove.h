/* groove: what groove.c (which tool) and plunge.c (which passes) share; nobody else includes it.
 * Frame: chucking [mm]; radii of material, unless said. */
#ifndef SW_PLAN_GROOVE_H
#define SW_PLAN_GROOVE_H

#include "plan/plan_int.h"

/** A groove of this side. */
struct sw_groove {
    size_t section;
    const struct sw_section *is;
    double z_in, z_out;     /* its lips, or the shoulder and its lip */
    double lip_in, lip_out; /* where the breaks of its lips end */
    double floor;           /* length of its bottom */
    double r_over;          /* what stands over it before it is cut */
    double r_wall;          /* of the shoulder at its inner end; 0: none */
};

/** Being cut. Radii of the nose centre. */
struct sw_groove_cut {
    struct sw_planner *p;
    const struct sw_groove *groove;
    struct sw_tool tool; /* as reckoned with: op.tool is the real one */
    bool is_blade;
    struct sw_op op;
    double leave; /* on all of it, for the last runs */
    double fine_feed;
    double r_top;   /* over what stands over the groove */
    double r_start; /* and over the fillet in front of the shoulder */
    struct sw_contour locus, rough;
};

/** Lower the feed of plunges, or the depth of levels, until the work bears them. It may never do:
 *  BEARS, and SW_CANNOT with a diagnostic when there is no other tool to be tried. */
enum sw_status sw_plan_groove_load(bool *bears, struct sw_groove_cut *cut,
                                   bool is_last) SW_MUST_CHECK;

/** Append all passes to the operation. */
enum sw_status sw_plan_groove_passes(struct sw_groove_cut *cut) SW_MUST_CHECK;

/** What it is called in messages. NULL when out of memory. */
const char *sw_plan_groove_name(const struct sw_planner *p, const struct sw_groove *groove);

#endif
