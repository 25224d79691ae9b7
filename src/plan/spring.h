/* spring: how far the work gives way under a contour cut, and paths drawn in by as much.
 *
 * Work that is pushed away under the cut springs back behind it and is thicker than the path says.
 * A contour pass is therefore drawn in, place by place, by what the NOMINAL force bends the work
 * there (mech/force.h); semi-finish and finish alike, so that the last cut takes its whole depth
 * and no more. Drawn in, a cut takes another depth than it was reckoned with, and bends by that:
 * the surface it leaves is worked out again with the depth it really takes and the path corrected
 * until that surface is within half a step of the text of its form. What the band of the force
 * leaves open is not compensated: the pause to measure finds it. Only the part of the thrust that
 * points across the axis bends the work: a face is not moved. Frame: chucking, z of the material
 * [mm]. Derived from statics; no source.
 */
#ifndef SW_PLAN_SPRING_H
#define SW_PLAN_SPRING_H

#include "plan/strength.h"

/* Of the error a diameter may have, bending may take this share; the rest is for the machine's
 * repeatability, wear, centre height and the gauge. Common practice, no source. */
#define SW_SPRING_SHARE 0.6

/** One contour cut: from Z_IN to Z_OUT stands FORM (the surface it leaves, seen from the cut) and
 *  over it what the cut takes. */
struct sw_spring_cut {
    const struct sw_contour *form;
    double z_in, z_out;
    double over; /* what stands over FORM before the cut, on radius: the form's own leave and the
                    depth [mm] */
    const struct sw_tool *tool;
    double speed; /* rev/min */
    double depth, feed;
    double most_in; /* the path is drawn in no further than this [mm] */
};

enum { SW_SPRING_PLACES = 17 }; /* along a cut */

struct sw_spring {
    struct sw_bar bar;
    double z_clamp, z_in, z_out;
    bool hangs; /* the work beyond the cut, held from further out */
    struct sw_force_case force;
    double speed, depth, feed, most_in;
    double more[SW_SPRING_PLACES]; /* corrections, drawn in beyond the first reckoning [mm] */
};

/** How far the axis gives way at the place of the cut, away from the tool, and how far a path is
 *  drawn in there: by the nominal, as far as that is allowed [mm]. */
struct sw_spring_back {
    double low, nominal, high, drawn_in;
};

/** How far the paths of a zone may be drawn in: were the work stiffer than reckoned, no section of
 *  it may come out under its least size [mm]. */
double sw_spring_room(const struct sw_planner *p, const struct sw_zone *zone);

enum sw_status sw_spring_begin(struct sw_spring *s, struct sw_planner *p,
                               const struct sw_spring_cut *cut) SW_MUST_CHECK;

struct sw_spring_back sw_spring_at(const struct sw_spring *s, double z);

/** What stands over the form at Z after the cut, by the nominal force, where its path is drawn in
 * by IN: the depth it takes and the bending are those that go together [mm]. */
double sw_spring_leaves(const struct sw_spring *s, double z, double in);

/** Correct how far the path is drawn in until it leaves no more than WITHIN over or under the form,
 *  where it may be drawn in so far. ROUNDS, if not NULL, gets how often. False when it does not
 *  settle: work that gives way by more than it is cut. */
bool sw_spring_settle(struct sw_spring *s, double within, int *rounds);

/** Largest stress in the work by a cut at Z, at the high end of the force, no nearer to the tool
 * than a diameter [MPa]; 0 when all of it is nearer. */
double sw_spring_stress(const struct sw_spring *s, double z);
/** What the cut does at Z, by the high end of the force. */
struct sw_pass_load sw_spring_load(const struct sw_spring *s, double z);

/** How far a diameter may come out from its size, either way, the path drawn in [mm]. */
double sw_spring_off(const struct sw_spring_back *back);

/** Draw in all passes of a contour operation; its `drawn_in` tells by how much. */
enum sw_status sw_spring_draw_in(struct sw_op *op, const struct sw_spring *s,
                                 struct sw_ctx *ctx) SW_MUST_CHECK;

/** The same after settling S to half a step of the text; a warning where it does not settle. */
enum sw_status sw_plan_draw_in(struct sw_op *op, struct sw_spring *s,
                               struct sw_planner *p) SW_MUST_CHECK;

#endif
