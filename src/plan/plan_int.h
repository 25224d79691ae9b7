/* Internals of plan: what its files share. Frame: chucking, unless said; see plan.h. */
#ifndef SW_PLAN_PLAN_INT_H
#define SW_PLAN_PLAN_INT_H

#include "plan/cutdata.h"
#include "plan/plan.h"
#include "plan/schedule.h"
#include "plan/trial.h"

/* Distances of the trade's habit [mm]; common practice, no source. */
#define SW_PLAN_FACE_STOCK 0.25  /* rod in front of the first end face, to be faced away */
#define SW_PLAN_SECOND_FACE 0.10 /* the same at the second end */
/* A stretch narrower than this has walls of earlier levels close on both sides: it is entered at
 * feed from above them [mm]. */
#define SW_PLAN_NARROW 0.12
/* Walls and slopes are left this much flatter than the flanks of a point, which would otherwise lie
 * against them along their whole height [rad]: a degree. */
#define SW_PLAN_FLANK_GAP 0.0174533
/* In a trough levels begin with a plunge beside a wall. It also meets the fillet that the nose of
 * the level before left there, and all that it takes at once is to stay within this share of the
 * tool's depth. */
#define SW_PLAN_TROUGH_SHARE 0.65
#define SW_PLAN_ROUGH_LEFT 0.10 /* left on radius behind the hub for the second chucking */
#define SW_PLAN_LEAD 0.03       /* a finish cut begins this far from where it first touches */
#define SW_PLAN_LIFT 0.03       /* drawn off from a surface at feed before moving in rapid */
#define SW_PLAN_OVER_RUN 0.06   /* a cut runs on past the end of its surface */
#define SW_PLAN_KEEP_OFF 0.001  /* kept off a face that is not to be cut */
#define SW_LEAST_STRETCH                                                                           \
    0.02                      /* narrower is left to the contour run: its walls would be touched   \
                               */
#define SW_PLAN_NOSE_GAP 0.30 /* kept between tools and the nose of the holder */

struct sw_fitted {
    int station;
    const struct sw_tool *tool;
};

/** One stretch of a side that is roughed and finished before the next further in. */
struct sw_zone {
    size_t first, last; /* sections, outermost first */
    double z_out, z_in; /* chucking frame, z_out > z_in: outer and inner end */
    bool is_tip;        /* its outer end is the tip */
    size_t measured;    /* section whose diameter is measured before the last cut; SIZE_MAX none */
    size_t tried;       /* section a part is tried on; SIZE_MAX none */
    bool has_recess;
    size_t recess;           /* section */
    struct sw_fitted finish; /* the tool of its contour passes */
    bool is_kept;        /* finished before the blank was hardened: only a recess is cut in it */
    bool is_neck;        /* no part of the staff: what carries it at the end */
    int slice, n_slices; /* 1..n when the zone is one slice of a pivot; 0: whole */
};

struct sw_zones {
    struct sw_zone *at;
    size_t n;
    size_t cap;
};

struct sw_ops {
    struct sw_op *at;
    size_t n;
    size_t cap;
};

/** What one chucking leaves for the next, by growing z: upper and lower bound of its radius. */
struct sw_plan_left {
    struct sw_contour most, least;
};

/** A side whose cuts are borne by what stands further OUT: the side behind the hub that is cut in
 *  the grip of the first, its own frame turned round. What is nearer the hub is finished and hangs
 *  beyond the cut (hang.h). */
struct sw_hang {
    bool is_on;
    double z_root; /* where the bar is held, chucking frame: further out than all else */
    double z_end;  /* the core goes as far out as this */
    double r_core; /* what is roughed behind the hub stands no higher beside the zones */
    /* of the zone that is being cut */
    double z_foot, r_foot;  /* from here its slope rises outwards to what is not cut yet */
    double slope;           /* tangent */
    double z_run;           /* contour runs begin with the centre of the nose here */
    double z_top, r_top;    /* where the slope comes to that */
    struct sw_contour form; /* the zone's, and the slope */
};

/** Everything known while one chucking is planned. */
struct sw_planner {
    const struct sw_job *job;
    const struct sw_shop *shop;
    const struct sw_shape *shape;
    const struct sw_staff *staff;
    const struct sw_post *post;
    struct sw_ctx *ctx;
    struct sw_plan_chucking *now;
    const struct sw_shape *plain; /* the shape before its grooves are cut */
    struct sw_contour turned;     /* what this side shall leave before them, border to tip */
    struct sw_contour ceiling;
    struct sw_contour grooved; /* what it shall leave in the end, and its ceiling */
    struct sw_contour grooved_ceiling;
    double z_border;         /* inner end of this side's work: the far end of the hub's land */
    double r_border;         /* radius there */
    size_t land;             /* section with that land: the hub, or the widest without one */
    double z_tip;            /* end of the turned piece, tip allowance included */
    double stock_end;        /* free end of what stands before the first cut */
    double core_end;         /* the same without the stump of a neck */
    struct sw_contour stock; /* upper bound of its radius, growing z */
    struct sw_contour slim;  /* lower bound of what the first chucking left; none where n is 0 */
    double r_clear;          /* nose centre radius at which nothing is in the way */
    size_t n_tip;            /* zones that come last, counted from the tip; 0: tip first */
    double r_stout;          /* radius the tip is roughed to before the others */
    double r_beside;         /* and what of it stands beside the wall further in */
    int slice_correction;    /* of the pivot whose slices are being cut */
    struct sw_op waiting; /* a trial that waits for the face the part rests on; .what NULL: none */
    double face_z, face_out; /* inner end of the last zone, and how far its face stands out */
    double slice_drawn_in;   /* how far the last finish cut was drawn in at its end */
    int sizing;              /* correction found on the sizing length; 0: none was cut */
    enum sw_plan_ties ties;
    struct sw_plan_bound *bound;  /* NULL: not asked for */
    double tied_depth, tied_feed; /* ONE_DEPTH: of the zone that is being cut */
    struct sw_zones zones;
    struct sw_ops ops;
    SW_VEC(const char *) corrections;
    SW_VEC(struct sw_plan_bend) bends;
    struct sw_plan_found *found;
    double overhang; /* how much further than the staff is long the rod stands out, until the
                        nose face is known */
    bool explains;   /* passes tell what they do to what really stands (engage.h) */
    bool is_survey;  /* as in struct sw_plan_task, with the next */
    const struct sw_tool *favourite;
    bool bears_all;  /* where the nose comes to stand is wanted, not what the work bears */
    size_t index;    /* of this chucking */
    double bush_gap; /* > 0: in a bush, the furthest its face is behind a nose centre [mm] */
    struct sw_hang hang;
    const struct sw_plan_blank *blank; /* NULL: cut from the rod */
    double unsure; /* how far the face that the cut ends at may be off its place [mm] */
    double again; /* > 0: finished work is cut once more, so deep, and no face is touched [mm] */
};

/* hardened.c */
/** The two chuckings of a hardened blank. */
enum sw_status sw_plan_hardened_trial(struct sw_plan *plan, struct sw_plan_found *found,
                                      const struct sw_plan_task *task,
                                      struct sw_ctx *ctx) SW_MUST_CHECK;
/** Whether a zone ends at a face that was finished before hardening. */
bool sw_plan_meets_finished(const struct sw_planner *p, const struct sw_zone *zone);
/** Inner end of what is cut of a zone: off a face that was finished before. */
double sw_plan_zone_root(const struct sw_planner *p, const struct sw_zone *zone);
/** How far a place of a hardened blank, chucking frame, may be off where the middle of the growth puts
 *  it [mm]. */
double sw_plan_unsure(const struct sw_planner *p, double z);
/** Tell apart what is cut of a side and what was finished before. */
void sw_plan_keep_zones(struct sw_planner *p);
/** How a section is held in this chucking. */
struct sw_plan_held {
    double diameter;   /* as it stands then [mm] */
    double r_behind;   /* the largest that has to pass behind the grip [mm] */
    double z_shoulder; /* of its shoulder towards the core, part frame of the staff */
    size_t rests;      /* section that has that shoulder */
};
void sw_plan_held(struct sw_plan_held *held, const struct sw_planner *p,
                  const struct sw_section *grip);

/* plan.c */
/** What was said aside and stands. */
enum sw_status sw_plan_hand_on(const struct sw_diag *aside, struct sw_ctx *ctx) SW_MUST_CHECK;

/* reach.c */
/** The lowest path of a tool's nose centre over a profile from which LEAVE [mm] is kept. */
enum sw_status sw_plan_locus(struct sw_contour *out, const struct sw_contour *profile,
                             const struct sw_tool *tool, double leave,
                             struct sw_ctx *ctx) SW_MUST_CHECK;
/** What a nose that follows LOCUS leaves at Z; false where it leaves all. */
bool sw_plan_left_at(double *left, const struct sw_contour *locus, double nose, double z);
/** How far above CEILING a tool following LOCUS leaves material between Z0 and Z1: largest height
 *  [mm] and its place. */
enum sw_status sw_plan_left_over(double *worst, double *z_worst, const struct sw_contour *locus,
                                 const struct sw_contour *ceiling, double nose, double z0,
                                 double z1, struct sw_ctx *ctx) SW_MUST_CHECK;
/** Face of a zone's recess, chucking frame. */
double sw_plan_recess_face(const struct sw_planner *p, const struct sw_zone *zone);
/** Choose for each zone the pointed tool that finishes it: one for the whole side where one
 *  reaches everything; a diagnostic when a section stays out of reach. */
enum sw_status sw_plan_finish_tools(struct sw_planner *p) SW_MUST_CHECK;
/** The section of a zone at a place of the chucking frame. */
size_t sw_plan_section_at(const struct sw_planner *p, const struct sw_zone *zone, double z);
/** The strongest tool for roughing towards the headstock; FINISH when there is none stronger. */
struct sw_fitted sw_plan_strongest(const struct sw_planner *p, struct sw_fitted finish);
/** A tool that comes back finds its zero anew: tools are changed by hand, or each has its own
 *  program. */
bool sw_plan_comes_anew(const struct sw_planner *p);
/** The tool that roughs a zone: the strongest, but where tools come anew FINISH. */
struct sw_fitted sw_plan_rough_tool(const struct sw_planner *p, struct sw_fitted finish);
/** First fitted tool of a kind (and hand, for points; -1: any); .tool NULL when there is none. */
struct sw_fitted sw_plan_tool_of(const struct sw_shop *shop, enum sw_tool_kind kind, int hand);

/** The blade that parts: the one that reaches furthest; the others are for grooves. */
struct sw_fitted sw_plan_parting_blade(const struct sw_shop *shop);

/* second.c: a second spindle that takes the piece before it is parted. */

/** Does one, as far as machine and job say? */
bool sw_plan_is_taken_over(const struct sw_planner *p);
/** Find what it takes the piece by, into the chucking. DEEPEST: where the nose centre of BLADE comes
 *  in parting. SW_CANNOT with a diagnostic when it finds nothing to take. */
enum sw_status sw_plan_take_over(struct sw_planner *p, const struct sw_tool *blade,
                                 struct sw_pt deepest);

/* zones.c */
enum sw_status sw_plan_zones(struct sw_planner *p) SW_MUST_CHECK;
/** Largest finished radius of a zone. */
double sw_plan_widest(const struct sw_planner *p, const struct sw_zone *zone);

/* passes.c */
/** Where passes may run: the part of a locus between two walls. */
struct sw_reach {
    const struct sw_contour *locus;
    double z_in, z_out;   /* of the nose centre */
    double z_plain;       /* outermost place that counts for the lowest level: z_out, but for
                             a tip the middle of its pivot, since the tip falls to the axis */
    bool is_tip;          /* the run begins on the axis */
    bool starts_at_wall;  /* a wall stands at z_out: it is run down first */
    double r_foot, r_top; /* of that wall on the locus */
    double r_floor;       /* the wall is run down no lower: what lies there is not cut yet */
    bool ends_at_wall;    /* the next zone's wall stands at z_in */
    double stop_short;    /* contour runs end this far in front of it */
    double blend;         /* and those of the zone further out ended so far from z_out */
    bool runs_outwards;   /* contour runs go from the inner wall to the free end */
    double r_inner_top;   /* > 0: that zone was cut first and left its wall standing below
                             here; it is run down last */
    double r_inner;       /* top of the wall at z_in on the locus; 0: there is none */
    bool is_hung;         /* levels end on a slope further out; contour runs begin at z_run */
    double z_run;
};
/** Find it for a zone from Z_IN to Z_OUT (material): walls of the locus within OFFSET of the
 *  zone's ends move its limits. Z_PLAIN as above, used for a tip. */
struct sw_reach sw_plan_reach(const struct sw_contour *locus, double z_in, double z_out,
                              double offset, bool is_tip, double z_plain);
/** How levels are cut. */
struct sw_levels {
    double r_stock;                     /* of the material, upper bound */
    double depth;                       /* most a level takes; unused with a schedule */
    const struct sw_schedule *schedule; /* radii and feeds of the levels; NULL: even steps */
    const struct sw_pass_load *load;    /* of each of its passes; NULL: not reckoned */
    const double *enter_feed;           /* where such a pass is fed straight in; NULL: its feed */
    double z_free; /* nose centre place outside the zone from which cuts may start */
    double nose;
    double r_clear;
    const struct sw_contour *stock; /* upper bound of what stands there: cuts need not start further
                                  out than where it begins; NULL: from z_free */
    double r_floor; /* levels go no lower than this radius of material; 0: to the locus */
    double r_over;  /* stretches entered from above are entered from no lower than this */
};
/** Roughing passes level by level down to the lowest place of the reach. Appended to OP. */
enum sw_status sw_plan_levels(struct sw_op *op, const struct sw_reach *reach,
                              const struct sw_levels *how, struct sw_ctx *ctx) SW_MUST_CHECK;
/** What there is to cut at a level of the nose centre. */
struct sw_level_shape {
    double length; /* of all runs [mm] */
    double air;    /* and of the ways to them through air */
    int n_open;    /* entered from outside */
    int n_closed;  /* from above */
};
enum sw_status sw_plan_level_shape(struct sw_level_shape *shape, const struct sw_reach *reach,
                                   const struct sw_levels *how, double r,
                                   struct sw_ctx *ctx) SW_MUST_CHECK;
/** Lowest radius of material that levels over a reach come down to with a NOSE; HUGE_VAL where
 * there is no room for it. */
enum sw_status sw_plan_bottom(double *r, const struct sw_reach *reach, double nose,
                              struct sw_ctx *ctx) SW_MUST_CHECK;
/** One contour pass along the whole reach, beginning LEAD_DEPTH off the surface. Appended. */
enum sw_status sw_plan_follow(struct sw_op *op, const struct sw_reach *reach, double lead_depth,
                              double r_clear, struct sw_ctx *ctx) SW_MUST_CHECK;
/** Only its first part, over the tip to the axis. */
enum sw_status sw_plan_follow_tip(struct sw_op *op, const struct sw_reach *reach, double lead_depth,
                                  double r_clear, struct sw_ctx *ctx) SW_MUST_CHECK;
/** What such a run takes at most, square to its way, from a bar that ends square at EDGE [mm]. */
double sw_plan_tip_depth(const struct sw_reach *reach, double nose, struct sw_pt edge);
/** Whether the form of a reach between two places of SECTION rises towards its inner wall, and
 * nowhere falls on the way: run outwards, the slide then never turns round in X. */
enum sw_status sw_plan_only_rises(bool *rises, const struct sw_reach *reach, size_t section,
                                  struct sw_ctx *ctx) SW_MUST_CHECK;
/** Upper bound of what a nose that follows LOCUS leaves between Z0 and Z1: the locus lowered by
 *  LOWER (the nose radius less what steps between levels may stand). */
enum sw_status sw_plan_leaves_at_most(struct sw_contour *out, const struct sw_contour *locus,
                                      double lower, double z0, double z1,
                                      struct sw_ctx *ctx) SW_MUST_CHECK;
/** Append one pass to an operation. */
enum sw_status sw_plan_add_pass(struct sw_op *op, struct sw_pass pass,
                                struct sw_ctx *ctx) SW_MUST_CHECK;

/** Whether the spindle is switched by hand: then a tool keeps one speed for a whole side. */
static inline bool sw_plan_is_by_hand(const struct sw_planner *p)
{
    return p->shop->machine->control.spindle_words.value == 0;
}

/* side.c: the operations of one side, in order */
enum sw_status sw_plan_side(struct sw_planner *p) SW_MUST_CHECK;
/** Append an operation. */
enum sw_status sw_plan_add(struct sw_planner *p, struct sw_op op) SW_MUST_CHECK;
/** Start an operation's record: numbers chosen, no passes yet. */
struct sw_op sw_plan_op(struct sw_planner *p, enum sw_op_kind kind, enum sw_cut_use use,
                        struct sw_fitted tool, double largest_diameter, size_t section);

/** One contour operation over a zone, LEAVE [mm] over its form. */
enum sw_status sw_plan_contour_zone(struct sw_planner *p, const struct sw_zone *zone,
                                    struct sw_fitted tool, enum sw_op_kind kind, double leave,
                                    double roughed_to, int correction) SW_MUST_CHECK;
/** Rough and finish one zone, from R_STOCK. */
enum sw_status sw_plan_cut_zone(struct sw_planner *p, const struct sw_zone *zone,
                                double r_stock) SW_MUST_CHECK;
/** Face the end by OP, LEFT in front of the tip. */
enum sw_status sw_plan_face(struct sw_planner *p, struct sw_op op, double left) SW_MUST_CHECK;
/** A pause to measure a zone that stands LEAVE over its form; CORRECTION gets its number. */
enum sw_status sw_plan_measure(struct sw_planner *p, const struct sw_zone *zone,
                               struct sw_fitted tool, double leave, int *correction) SW_MUST_CHECK;

/* plan.c */
/** A planner for chucking I of PLAN: its contours and zones. */
enum sw_status sw_plan_begin(struct sw_planner *p, struct sw_plan *plan, size_t i,
                             struct sw_plan_found *found, const struct sw_plan_task *task,
                             struct sw_ctx *ctx) SW_MUST_CHECK;
/** The part of a whole contour, part frame, that this chucking cuts, with the land run on inwards
 *  by RUN_ON. */
enum sw_status sw_plan_side_of(struct sw_contour *out, const struct sw_contour *whole,
                               const struct sw_planner *p, double run_on) SW_MUST_CHECK;
/** Close a chucking: nose face, operations, time. */
enum sw_status sw_plan_end(struct sw_planner *p) SW_MUST_CHECK;
/** Cutting, ways between the passes, and changes of tools [s]. */
double sw_plan_seconds(const struct sw_plan *plan);
double sw_plan_largest_nose(const struct sw_shop *shop);

/* try.c */
/** After a zone is cut: a pause to try a part on its seat; the balance, which must sit flat, only
 * after the zone with the face it rests on. CORRECTION is the seat's. */
enum sw_status sw_plan_try(struct sw_planner *p, const struct sw_zone *zone, struct sw_fitted tool,
                           int correction) SW_MUST_CHECK;

/** What stands on a zone after roughing [mm]. */
double sw_plan_roughed_to(struct sw_planner *p, const struct sw_zone *zone);

/* sizing.c */
/** The sizing length ahead of the tip; CORRECTION gets its number. */
enum sw_status sw_plan_sizing(struct sw_planner *p, struct sw_fitted rough, struct sw_fitted finish,
                              double r_stock, int *correction) SW_MUST_CHECK;

/* stock.c */
/** Largest radius of what stands between two places. */
double sw_plan_stock_radius(const struct sw_planner *p, double z0, double z1);
/** Put the turned form in the place of what stood over a zone that is finished now. */
enum sw_status sw_plan_take_from_stock(struct sw_planner *p,
                                       const struct sw_zone *zone) SW_MUST_CHECK;

/** The levels of OP have been cut: from Z0 to Z1 each stretch stands as its lowest level left it,
 * in stairs. */
enum sw_status sw_plan_stock_after(struct sw_planner *p, const struct sw_op *op, double z0,
                                   double z1) SW_MUST_CHECK;
/** The same where its passes ran; beside them the stock stays as it is. */
enum sw_status sw_plan_stock_cut(struct sw_planner *p, const struct sw_op *op) SW_MUST_CHECK;
/** MORE after TO, with a line square to the axis between them where they do not meet. */
enum sw_status sw_plan_join(struct sw_planner *p, struct sw_contour *to,
                            const struct sw_contour *more) SW_MUST_CHECK;
/** Further IN and further OUT than what stands there now, there stand these. */
enum sw_status sw_plan_stock_between(struct sw_planner *p, const struct sw_contour *in,
                                     const struct sw_contour *out) SW_MUST_CHECK;
/** From Z_IN to the free end there stands a cylinder of radius R now. */
enum sw_status sw_plan_stock_is_cylinder(struct sw_planner *p, double z_in, double r) SW_MUST_CHECK;

/* slices.c */
/** Cut pivots that a finish cut over their whole length would bend too far into slices, each
 *  finished before the next is begun. Zones are added in place. */
enum sw_status sw_plan_slices(struct sw_planner *p) SW_MUST_CHECK;
/** Cut the I-th zone into N slices of equal length. */
enum sw_status sw_plan_divide_zone(struct sw_planner *p, size_t i, int n) SW_MUST_CHECK;
/** 2 when one last cut over the whole of a pivot or cone would bend it too far, held by what stands
 *  behind it now, else 1. */
enum sw_status sw_plan_least_slices(int *n, struct sw_planner *p,
                                    const struct sw_zone *zone) SW_MUST_CHECK;

/* rough.c */
/** Rough a zone down to LEAVE over its turned form, from R_STOCK, by the fastest schedule that
 * work, tools and machine bear (strength.h), with the strongest tool, the zone's finish tool, or
 * the one after the other. A refusal names the radius where it fails, what limits it, and what
 * would help. */
enum sw_status sw_plan_rough_zone(struct sw_planner *p, const struct sw_zone *zone, double leave,
                                  double r_stock) SW_MUST_CHECK;

/** Zones FIRST to LAST, all of the side or in a bush what its window holds, to a stout form with
 * the strongest tool, as far down as they bear it: one change of tools instead of one a zone, and
 * the fine tool only has to take the rest. Z_PLAIN: a plain place of the outermost section. */
enum sw_status sw_plan_rough_span(struct sw_planner *p, struct sw_fitted tool, size_t first,
                                  size_t last, double z_plain) SW_MUST_CHECK;

/** The other side behind the hub, over REACH between the rod at Z_IN and the hub. OP gets passes
 * and largest depth. */
enum sw_status sw_plan_rough_trough(struct sw_op *op, struct sw_planner *p,
                                    const struct sw_reach *reach, const struct sw_levels *how,
                                    double z_in) SW_MUST_CHECK;

/** ONE_DEPTH: the depth and feed that finish a zone soonest, N_FINE passes of it the last ones. */
enum sw_status sw_plan_one_depth(double *depth, double *feed, struct sw_planner *p,
                                 const struct sw_zone *zone, int n_fine,
                                 double r_stock) SW_MUST_CHECK;

/* slices.c */
/** How far the diameter at a zone's outer end may come out from its size by a last cut, either way,
 *  the path drawn in [mm]. */
enum sw_status sw_plan_off_size(double *error, struct sw_planner *p, const struct sw_zone *zone,
                                double depth, double feed) SW_MUST_CHECK;
/** What bending may take of the error of a zone's diameter [mm]. */
double sw_plan_bending_share(const struct sw_planner *p, const struct sw_zone *zone);

/* corner.c */
/** Where a roughing tool's nose, over its own ROUGHED reach, left more in the corner at the inner
 *  end of a zone than the finish tool may take at once: level by level with the finish tool, down
 * to R_FLOOR (material), or to LEAVE over the turned form if that is higher. */
enum sw_status sw_plan_clear_corner(struct sw_planner *p, const struct sw_zone *zone,
                                    struct sw_fitted rough, const struct sw_reach *roughed,
                                    double leave, double r_floor) SW_MUST_CHECK;
/** Locus of a tool over this side with LEAVE kept, and its reach in a zone; contour runs stop
 *  short of the next face, which stands as roughed to ROUGHED_TO. */
enum sw_status sw_plan_zone_reach(struct sw_reach *reach, struct sw_contour *locus,
                                  struct sw_planner *p, const struct sw_zone *zone,
                                  const struct sw_tool *tool, double leave,
                                  double roughed_to) SW_MUST_CHECK;
/** Name an operation on a zone. NULL when out of memory. */
const char *sw_plan_says(struct sw_planner *p, const char *verb, const struct sw_zone *zone);

/* recess.c, behind.c */
enum sw_status sw_plan_recess(struct sw_planner *p, const struct sw_zone *zone,
                              const struct sw_tool *turned_by) SW_MUST_CHECK;
/** How deep a level may be that begins with a plunge. */
double sw_plan_deepest_plunge(const struct sw_tool *tool);
/** Radius of the core that the other side is roughed to behind the hub. */
double sw_plan_core_radius(const struct sw_planner *p);
/** The tool that roughs it; .tool NULL: the shop has neither an upright point nor a blade. */
struct sw_fitted sw_plan_trough_tool(const struct sw_planner *p);
/** How far the wall that TOOL leaves at the rod stands back from the end of a core. */
double sw_plan_trough_slope(const struct sw_planner *p, const struct sw_tool *tool, double core);
/** Rough it: the core as far as Z_END, the wall of the rod at Z_WALL. */
enum sw_status sw_plan_trough(struct sw_plan_left *left, struct sw_planner *p,
                              struct sw_fitted tool, double z_wall, double z_end,
                              double core) SW_MUST_CHECK;
/** Rough the other side behind the hub and part. LEFT: what stands there for the second chucking,
 *  chucking frame of this one. */
enum sw_status sw_plan_behind(struct sw_plan_left *left, struct sw_planner *p) SW_MUST_CHECK;

/* groove.c */
/** Cut the grooves and relief grooves of the side, when all else on it is finished: by a pointed
 *  tool that reaches them, or by plunges of a blade. A refusal names the section, what stands in
 *  the way, and what would help. */
enum sw_status sw_plan_grooves(struct sw_planner *p) SW_MUST_CHECK;
/** Whether a tool turns towards the headstock. */
bool sw_plan_turns_inwards(const struct sw_tool *tool);

/* hold.c */
enum sw_status sw_plan_hold_rod(struct sw_planner *p) SW_MUST_CHECK;
enum sw_status sw_plan_hold_piece(struct sw_planner *p, enum sw_side first) SW_MUST_CHECK;
/** After the passes stand: stick-out, nose face, rod length; refuses tools that reach the nose. */
enum sw_status sw_plan_place_nose(struct sw_planner *p) SW_MUST_CHECK;
/** With the nose placed: stick-out, rod length, tail. */
enum sw_status sw_plan_rod_length(struct sw_planner *p) SW_MUST_CHECK;

/** The name of a section for messages. */
const char *sw_plan_section_name(const struct sw_planner *p, size_t section);

#endif
