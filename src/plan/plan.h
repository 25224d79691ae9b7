/* plan: shape and shop to chuckings, operations and passes.
 *
 * Takes a shape (what turning must leave), a shop (machine, tools, holders, rods) and the choices
 * of a job; gives, for each chucking, how the work is held and what is cut in which order, each
 * pass as the exact path of the tool's nose centre. moves turns it into a path with approaches.
 * Frame: chucking: z = 0 at the FINISHED end face of that chucking (a tip allowance stands at
 * z > 0), + away from the headstock; r from the axis [mm]. Passes are paths of the nose centre (a
 * blade: of the corner circle on the -z side), in travel order.
 * Ownership: lives in the context. Statuses: SW_CANNOT with diagnostics that name section, reason
 * and what would help when the shop cannot make it.
 */
#ifndef SW_PLAN_PLAN_H
#define SW_PLAN_PLAN_H

#include "part/blank.h"
#include "post/post.h"
#include "shape/grown.h"
#include "shape/shape.h"
#include "shop/job.h"
#include "shop/shop.h"

enum sw_op_kind {
    SW_OP_FACE,    /* the end face to length */
    SW_OP_ROUGH,   /* along the axis, level by level */
    SW_OP_TROUGH,  /* roughing between a shoulder and the rod: the other side behind the hub */
    SW_OP_SEMI,    /* contour pass that leaves one finish depth */
    SW_OP_FINISH,  /* contour pass to size */
    SW_OP_RECESS,  /* axial plunges into a face */
    SW_OP_GROOVE,  /* a groove or relief groove: levels of a point, or plunges of a blade */
    SW_OP_PART,    /* parting to a neck or through */
    SW_OP_MEASURE, /* pause: measure a diameter */
    SW_OP_TRY      /* pause: try a part on */
};

/** What kept a pass from doing more. */
enum sw_pass_limit {
    SW_PASS_AS_USUAL, /* not reckoned: the tool's usual depth and feed */
    SW_PASS_BY_TOOL,  /* it is as deep and as fast as the tool may */
    SW_PASS_BY_REST,  /* as fast as the tool may; deeper passes would not be fewer */
    SW_PASS_BY_BEND,
    SW_PASS_BY_STRESS,
    SW_PASS_BY_TORQUE,
    SW_PASS_BY_POWER,
    SW_PASS_BY_GRIP,
    SW_PASS_BY_FINISH /* the tool's depth and feed for last cuts */
};

/** What a pass is reckoned to do where it bends the work most; NAN: not reckoned. */
struct sw_pass_load {
    double depth;                                /* on radius [mm] */
    double force_low, force_nominal, force_high; /* all components together [N] */
    double bend;                                 /* at the tool, by the high force [mm] */
    double stress;                               /* MPa, likewise */
    enum sw_pass_limit limit;
};

/** Tools are changed, and wait at a pause, with the nose centre this far from axis and end face
 * [mm], so that a hand with a gauge has room. Common practice, no source. */
#define SW_PLAN_HAND_R 15.0
#define SW_PLAN_HAND_Z 30.0

/** Where nothing is to be cut but the work is too near for a rapid, tools are fed this fast, or as
 *  fast as they cut if that is faster [mm/min]: a slide of 250 mm/s2 stops from it within a
 *  hundredth. Common practice, no source. */
#define SW_PLAN_AIR_FEED 120.0

struct sw_pass {
    struct sw_pass_load load;
    struct sw_contour run; /* nose centre while cutting; starts clear of material or where the tool
                              may be set down */
    struct sw_pt from;     /* last point reached in rapid; feed from there to the start of run */
    struct sw_pt lift;     /* where the tool is drawn to from the end of run, fed */
    bool enters_in_air;    /* nothing should stand between FROM and the start of run */
    bool lifts_into_air;   /* nor between its end and LIFT */
    double back_r;         /* from there in rapid along r to this radius, then along z towards the
                              next pass: nothing stands higher in between */
    double feed;           /* mm per turn; 0: the operation's */
    double enter_feed;     /* from `from` to the start of run; 0: as the pass */
    double speed;          /* rev/min; 0: the operation's */
    bool comes_axially;    /* `from` is reached along z (a tip, a recess), else down along r */
    bool leaves_axially;   /* drawn out along z to back_z before back_r counts */
    double back_z;
};

struct sw_op {
    enum sw_op_kind kind;
    const char *what; /* "rough the upper pivot and cone" */
    size_t section;   /* first staff section concerned; SIZE_MAX: none */
    int station;
    const struct sw_tool *tool;
    double speed; /* rev/min, or m/min */
    bool is_surface_speed;
    double speed_clamp;                   /* rev/min */
    double feed;                          /* mm per turn */
    double depth;                         /* of a pass, on radius [mm] */
    double drawn_in_least, drawn_in_most; /* contour passes: towards the axis, against bending */
    double bush_gap;                      /* in a guide bush: nose centre to its front face [mm] */
    double off_plain, off_drawn_in;       /* FINISH: what bending may leave on the diameter of its
                                             weakest place, path not drawn in and drawn in [mm] */
    int correction;                       /* > 0: this correction is applied during the operation */
    struct sw_pass *pass;
    size_t n_passes;
    /* MEASURE, TRY */
    enum sw_takes tries;
    double expected_diameter;   /* at this moment [mm] */
    double target_diameter;     /* after the finish cut */
    double measure_z;           /* chucking frame */
    const char *advice;         /* TRY: what is right now, as turned */
    double plain_out, plain_in; /* MEASURE: ends of the plain stretch that stands at this moment */
};

/** A pivot whose last cut may leave it off its size by more than bending's share of the tolerance;
 *  warned of as plan.bends as well. On the diameter [mm]. */
struct sw_plan_bend {
    size_t section; /* SIZE_MAX: the sizing length */
    double most;    /* off its size near its tip */
    double share;   /* what bending should take of the tolerance at most */
};

/** Scheme `single`: what carries the staff when all of it is cut. */
struct sw_plan_neck {
    double diameter, length; /* mm; 0: there is no such neck */
    double cut_stress;       /* by its own last cut, at the high end of the force [MPa] */
    double weight_stress;    /* by what it carries [MPa] */
    double carries_mg;
    double critical_speed; /* of what hangs on it, the first [rev/min] */
    double most_speed;     /* what the spindle may turn while it is thin [rev/min] */
};

/** What a second spindle takes the piece by before it is parted. */
struct sw_plan_second {
    const char *section;     /* NULL: none does */
    double diameter, length; /* held [mm] */
    double nose_z;           /* its front face, chucking frame */
};

/** A hardened blank that is to be finished: what stands before the first chucking. */
struct sw_plan_blank {
    const struct sw_shape *shape; /* as it was turned soft; its staff is the blank's */
    struct sw_blank_form form;    /* what of the staff it leaves to be cut */
    struct sw_blank_how how;
    const struct sw_material *material; /* what it is now */
    struct sw_contour least[SW_SHAPE_GROWN_WAYS], most[SW_SHAPE_GROWN_WAYS]; /* sw_shape_grown */
};

struct sw_plan_chucking {
    const char *name; /* "side 1" */
    bool is_again;    /* cuts once more what is finished but for its size */
    enum sw_side end; /* the tip that points away from the headstock */
    bool is_from_rod;
    const struct sw_stock *stock;
    double rod_diameter; /* largest it can be */
    double rod_end_z;    /* free end before the first cut */
    double stick_out;    /* nose face to rod_end_z, or to the free end of the piece */
    double rod_length;   /* to cut off the bar for this piece, shortest useful */
    double tail;         /* rod behind the grip that is reckoned to hang free, >= 0 */
    double tail_most;    /* and may, by the shop's word and without whipping */
    const struct sw_holder *holder;
    double holder_size;
    const char *grips; /* "rod" or section name */
    double grip_diameter, grip_length;
    double nose_z;     /* of the holder; in a bush of the collet far behind it */
    bool in_bush;      /* the bar is fed out of a guide bush */
    double land;       /* of that bush [mm] */
    double face_z;     /* what stands out in front of it can be reached: the nose face, or the face
                          of the bush where it is furthest in */
    const char *rests; /* section whose shoulder sits on the nose face; NULL: held as rod */
    bool has_neck;
    double neck_z; /* where the piece is broken off */
    double neck_diameter;
    struct sw_plan_neck neck;
    struct sw_plan_second second;
    struct sw_op *op;
    size_t n_ops;
    const char *const *correction; /* names of corrections 1..n_corrections of this chucking */
    size_t n_corrections;
    struct sw_plan_bend *bend;
    size_t n_bends;
    double seconds; /* in the cut; approaches, changes and waiting come on top */
};

/** A way of holding that was planned to its end, for comparing. Times: cutting, ways and changes of
 *  tools, as reckoned in planning. */
struct sw_plan_way {
    enum sw_scheme scheme;
    bool is_made;
    const char *refusal; /* why it cannot be made; NULL: it can */
    double seconds;
    double runout; /* of one pivot against the other [mm] */
    double stress; /* the worst of a planned pass, at the high end of the force [MPa] */
    double off; /* how far a last cut may leave a diameter off its size, its path drawn in [mm] */
    size_t n_chuckings;
};
enum { SW_PLAN_WAYS = 2 };

enum { SW_PLAN_CHOICES = 3 }; /* last cuts of either side, order of pivots */

struct sw_plan {
    const struct sw_job *job;
    const struct sw_shop *shop;
    const struct sw_shape *shape;
    struct sw_plan_chucking chucking[2];
    size_t n_chuckings;
    const struct sw_plan_blank *blank; /* NULL: cut from the rod */
    size_t land; /* section on which the two sides meet: the hub, or the widest without one */
    const char *
        chosen[SW_PLAN_CHOICES]; /* what was chosen against the usual way, and why; the rest NULL */
    struct sw_plan_way way[SW_PLAN_WAYS]; /* scheme `auto`: what was compared */
    size_t n_ways;
    const char *way_why;  /* and why this one was taken */
    bool has_corrections; /* the dialect has numbered corrections; else the tool's offset serves */
};

/** Tools and materials that the shop does not have but could get: what advice may propose. GATHER
 *  fills in the lists when advice is wanted, once, into a context of its own. */
struct sw_plan_aids {
    enum sw_status (*gather)(struct sw_plan_aids *aids, struct sw_ctx *ctx);
    bool advise_warnings; /* not only refusals: takes as long as some ten plans */
    bool explains; /* every pass is followed through what stands at its moment: as long as a plan */
    const void *user;
    const struct sw_tool *const *tool;
    size_t n_tools;
    const struct sw_material *const *material;
    size_t n_materials;
};

/** Plan a job. POST tells only whether surface speed and numbered corrections exist. AIDS may
 *  be NULL: advice then proposes only what the shop has. */
enum sw_status sw_plan_build(struct sw_plan **out, const struct sw_job *job,
                             const struct sw_shop *shop, const struct sw_shape *shape,
                             const struct sw_post *post, struct sw_plan_aids *aids,
                             struct sw_ctx *ctx) SW_MUST_CHECK;

/** Plan the finish of a hardened BLANK: both sides held as a piece, what it leaves cut to size. */
enum sw_status sw_plan_hardened(struct sw_plan **out, const struct sw_job *job,
                                const struct sw_shop *shop, const struct sw_shape *shape,
                                const struct sw_post *post, const struct sw_plan_blank *blank,
                                struct sw_plan_aids *aids, struct sw_ctx *ctx) SW_MUST_CHECK;

/** A section that came out too thick, and by how much on radius [mm]. */
struct sw_plan_over {
    size_t section;
    double over; /* > 0 */
};

/** Cut the second side of a piece once more where it came out too thick, held as PLAN holds it: a
 *  plan whose second chucking does that alone (its first is PLAN's own). OVER: all sections that
 *  stand thicker, the cones and slopes cut along with them too. Two cuts of equal depth
 *  at least, none deeper than a last cut, with a pause to measure before the last; one where two
 * would only rub. SW_CANNOT where one would, too. */
enum sw_status sw_plan_again(struct sw_plan **out, const struct sw_plan *plan,
                             const struct sw_plan_over *over, size_t n, const struct sw_post *post,
                             struct sw_ctx *ctx) SW_MUST_CHECK;

/** Feed through air of a tool that cuts at FEED, the spindle at TURNS [mm per turn]: off the work
 *  after a cut, where a wall may still be grazed, or up to it, where it may be met a little early.
 */
double sw_plan_air_feed(const struct sw_tool *tool, double feed, double turns);

/** Largest radius of a blank's hardened piece at Z of the part frame of the staff; 0 beside it. */
double sw_plan_blank_radius(const struct sw_plan_blank *blank, double z);

/** How far what is cut in chucking I, held as a piece, may run out by holder and spindle [mm]. */
double sw_plan_chucking_runout(const struct sw_plan *plan, size_t i);

/** How far the second side may run out against the first, by holder and spindle [mm]; 0 without a
 *  second. */
double sw_plan_runout(const struct sw_plan *plan);

/** And what of it one pivot has against the other: nothing where both are cut in one grip; of a
 * blank, held for either side, that of both [mm]. */
double sw_plan_pivot_runout(const struct sw_plan *plan);

/** In a guide bush: by how much the bar may lean where it leaves the bush, bowed between collet and
 *  bush as far as its straightness allows. Derived: a bow s over a length l has the curvature
 *  8 s / l^2; chord and end of a free length D differ by D / 2 times that. */
double sw_plan_bar_lean(const struct sw_plan_chucking *chucking);

/** What a job adds at the tips of the shape. */
struct sw_shape_extra sw_plan_extra(const struct sw_job *job);

/** Chucking z of a part z, for the end that points away from the headstock. */
double sw_plan_chucking_z(const struct sw_shape *shape, enum sw_side end, double part_z);

#endif
