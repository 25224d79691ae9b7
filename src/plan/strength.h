/* strength: what the work bears while a zone is cut: bending, stress, torque, by mech.
 *
 * The bar runs from the nose face of the holder to the tool: what stands behind the zone as it is
 * at that moment, then the zone itself at the radius before the cut. The tool is taken at the outer
 * end of the zone, where it bends the work most. Forces are the high end of mech's band: below
 * 50 um of chip nobody knows them better, and a pivot breaks once.
 * Frame: chucking; radii of material [mm]. Machine, grip and bar stand in series; the grip's own
 * give and lean are the shop's figures, or estimates of the profiles.
 */
#ifndef SW_PLAN_STRENGTH_H
#define SW_PLAN_STRENGTH_H

#include "mech/bar_profile.h"
#include "mech/force.h"
#include "mech/stress.h"
#include "plan/plan_int.h"

/* Depths of the grid that schedules are searched on [mm]; coarser loses against one fixed depth. */
#define SW_STRENGTH_GRAIN 0.005
/* A roughing cut may bend the work by this share of what it leaves: the cut that follows then meets
 * no less and no more than it can take. */
#define SW_STRENGTH_SHARE 0.5
/* Levels take no more than this share of what the tool may: the contour run after them can meet a
 * whole step, and any cut what the one before was bent by. */
#define SW_STRENGTH_LEVELS 0.8
enum { SW_STRENGTH_DEPTHS = 64, SW_STRENGTH_FEEDS = 48 };

struct sw_strength {
    const struct sw_planner *p;
    const struct sw_tool *tool;
    double z_in, z_out;          /* of the zone */
    double z_clamp;              /* nose face of the holder, or its estimate */
    struct sw_bar_pieces pieces; /* behind the zone; one more is added for it */
    struct sw_bar bar;
    double bar_radius;     /* the radius that bar was built for; 0: none yet */
    double give, turn;     /* of its end: bending [mm/N] and rotation [rad/N] by a force there */
    enum sw_status status; /* sticks: a rule asked by a search cannot fail otherwise */
    double speed;          /* rev/min */
    double feed[SW_STRENGTH_FEEDS]; /* growing; the least still makes a chip */
    size_t n_feeds;
    double grain;
    size_t n_depths;
    struct sw_force_case cut;
    bool has_force[SW_STRENGTH_DEPTHS][SW_STRENGTH_FEEDS];
    double most_bend;   /* at the tool, by the last cut of this roughing [mm] */
    double r_last;      /* what that one goes down to, less what it leaves */
    double most_stress; /* MPa */
    double most_torque; /* N m */
    double most_power;  /* W */
    double most_grip;   /* at the holder [N] */
    struct sw_ctx *ctx;
    /* High end, by depth and feed; worked out when first asked for. Last, so that it need not be
     * cleared for every zone. */
    struct sw_force force[SW_STRENGTH_DEPTHS][SW_STRENGTH_FEEDS];
};

/** What a cut does to the work. */
struct sw_strain {
    double bend;   /* at the tool, away from it or towards it, the larger in size [mm] */
    double stress; /* MPa */
    double torque; /* N m */
    double power;  /* W */
    double grip;   /* along the surface of the grip [N] */
};

/** Prepare for roughing a zone with a tool down to R_TO, leaving LEAVE; GRAIN is the step of depth
 *  that the search will use. */
enum sw_status sw_strength_begin(struct sw_strength *s, const struct sw_planner *p,
                                 const struct sw_zone *zone, const struct sw_tool *tool,
                                 double speed, double grain, double r_to, double leave,
                                 struct sw_ctx *ctx) SW_MUST_CHECK;

/** Strain of a cut from R_OLD by the I-th depth (1..) and K-th feed. */
struct sw_strain sw_strength_of(struct sw_strength *s, double r_old, size_t i, size_t k);

/** What a cut from R_OLD by DEPTH at FEED does, and what limits it. Depth and feed need not be on
 *  the grid. */
enum sw_status sw_strength_load(struct sw_plan_load *load, struct sw_strength *s, double r_old,
                                double depth, double feed) SW_MUST_CHECK;
/** How far a cut down to R_NEW may bend the work at the tool [mm]: by its share of what it leaves,
 *  and by no more than the next cut may be deeper. */
double sw_strength_most_bend(const struct sw_strength *s, double r_new);

/** The rule for sw_schedule_find: USER is a struct sw_strength. */
bool sw_strength_allows(void *user, double r_old, double depth, double feed);

/** Share of its bending that is left with a guide bush at Z, the inner end of a zone, its play
 * taken up; 0: none can stand there. */
double sw_strength_bush_share(const struct sw_planner *p, const struct sw_bar *bar, double z);

/** Where the bar that a cut at Z bends is held: the nose face of the holder, or its estimate while
 *  the stick-out is not known; in a guide bush its face behind Z (chucking frame). */
double sw_strength_root(const struct sw_planner *p, double z);

/** What stands between that place (sw_strength_root) and Z, as pieces of a bar that begins there.
 */
enum sw_status sw_strength_behind(struct sw_bar_pieces *out, const struct sw_planner *p, double z,
                                  struct sw_ctx *ctx) SW_MUST_CHECK;

/** The bar of PIECES in this chucking's material, held as yielding as the machine is. */
enum sw_status sw_strength_bar(struct sw_bar *bar, const struct sw_planner *p,
                               const struct sw_bar_pieces *pieces,
                               struct sw_ctx *ctx) SW_MUST_CHECK;

/** What the holder of this chucking keeps from slipping, and what forces at a radius ask of it [N].
 */
double sw_strength_grip(const struct sw_planner *p);
double sw_strength_grip_needs(const struct sw_planner *p, const struct sw_force *force, double r);

/** Make a cut that no schedule will choose shallower, and then slower, until the holder keeps the
 * work from slipping at DIAMETER, as far as there is a chip. */
void sw_strength_ease(struct sw_cut *cut, const struct sw_planner *p, const struct sw_tool *tool,
                      double diameter);

/** The same for facing what stands in front of Z_END: shallower until the work bears it, too. */
enum sw_status sw_strength_ease_face(struct sw_op *op, struct sw_planner *p, double r,
                                     double z_end) SW_MUST_CHECK;

/** Lower the feed of a blade's plunges until the bar behind them and the core under the blade bear
 *  their nominal force; refused where the lightest chip is too much (SW_CANNOT). */
enum sw_status sw_strength_ease_plunges(struct sw_op *op, const struct sw_planner *p) SW_MUST_CHECK;

/** What is cut with what, at a surface speed [m/min]. */
struct sw_force_case sw_strength_force(const struct sw_planner *p, const struct sw_tool *tool,
                                       double surface);

/** The forces of a cut DEPTH deep, as a pass carries them; not its bending and stress. */
struct sw_pass_load sw_strength_pass_force(const struct sw_force_band *band, double depth);

/** What a pass from R_OLD by DEPTH at FEED does, and which limit kept it from more; a tool may take
 *  MOST_DEPTH. Depth and feed need not be on the grid. */
enum sw_status sw_strength_pass_load(struct sw_pass_load *load, struct sw_strength *s, double r_old,
                                     double depth, double feed, double most_depth) SW_MUST_CHECK;

/** The feed, FEED or less, at which a nose may be fed straight in by DEPTH at the outer end of the
 *  zone: both sides of what it takes stand, so that all of its edge pushes ahead. No less than
 * makes a chip. */
enum sw_status sw_strength_enter_feed(double *enter, struct sw_strength *s, double r_old,
                                      double depth, double feed) SW_MUST_CHECK;

/** What each pass of an operation does that no schedule chose: facing, a blade, a groove.
 *  Told, not limited (across.c). */
enum sw_status sw_strength_across(struct sw_op *op, const struct sw_planner *p) SW_MUST_CHECK;

#endif
