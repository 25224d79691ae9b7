/* Inside of verify: loads. A block is looked at in places along its way; each place has a depth,
 * from that forces, from those what work, spindle and holder bear.
 *
 * Frame: chucking [mm]; forces on the work [N]: `away` from the axis' tool side, `inward` along the
 * axis towards the holder, `cutting` along the surface.
 */
#ifndef SW_VERIFY_LOAD_H
#define SW_VERIFY_LOAD_H

#include "verify/judge.h"

/* Bending of a finish cut, on the diameter, up to this share of half its tolerance is nobody's
 * concern; the rest is for repeatability, wear, centre height and the gauge (common practice, no
 * source). */
#define SW_LOAD_BEND_SHARE 0.6
/* A roughing cut that bends a section further than this [mm] makes the depth of the next one a
 * guess, whatever is left over the shape (common practice, no source). */
#define SW_LOAD_ROUGH_BEND 0.02
/* A section that stands over its size by no more than this [mm] is gauged for its last cut. */
#define SW_LOAD_NEAR 0.05
/* A cut this far [mm] below the outer surface of the shape is inside a recess, or a gouge, which is
 * found elsewhere. */
#define SW_LOAD_INSIDE 0.01
/* An axial force may be this share of the one that buckles the work: bending is doubled there. */
#define SW_LOAD_BUCKLE_SHARE 0.5

struct sw_load_block {
    struct sw_judge *judge;
    const struct sw_sim_move *move;
    const struct sw_tool *tool;
    const struct sw_material *material;
    const struct sw_cut_profile *profile;
    double far_z;      /* of the place that is furthest from the holder */
    bool is_left_side; /* the surface it leaves lies to the left of its way */
    bool is_plunge;    /* both sides of what it takes stand: all of the edge pushes ahead */
};

struct sw_load_spot {
    struct sw_pt left; /* on the surface it leaves */
    struct sw_pt way;  /* direction of the feed */
    struct sw_pt into; /* from the nose centre to the surface */
    double r;          /* of the middle of the engaged edge */
    double depth;      /* square to the way; a plunge: its width */
    double feed;       /* a turn */
    double rpm;
};

struct sw_load_push {
    struct sw_load_range away, inward, cutting;
    double chip;       /* thickest chip of the nose [mm] */
    double least_chip; /* below it the edge rubs [mm] */
};

/** Fill in BLOCK; false when the move is no cut to be judged. */
bool sw_load_block_of(struct sw_load_block *block, struct sw_judge *judge,
                      const struct sw_sim_move *move, const struct sw_cut_profile *profile);
/** Place I of its profile; false where it takes nothing that counts. */
bool sw_load_spot_of(struct sw_load_spot *spot, const struct sw_load_block *block, size_t i);
struct sw_load_push sw_load_push_of(const struct sw_load_block *block,
                                    const struct sw_load_spot *spot);

/** The bar from the nose of the holder to the spot, as the stock stands at that moment, into
 *  judge->load.bar, and how far along it the spot is; false where nothing holds the spot. */
enum sw_status sw_load_bar_to(bool *is_held, double *at, const struct sw_load_block *block,
                              const struct sw_load_spot *spot);

/** What one spot does to the work. */
struct sw_load_strain {
    struct sw_load_range bend;   /* of the surface left, away from the tool [mm]; < 0: towards it */
    struct sw_load_range sway;   /* of the axis at the tool, likewise, of which `bend` is what moves
                                    the surface */
    struct sw_load_range stress; /* MPa; `least` is not looked for */
    double stress_z;             /* where, chucking frame [mm] */
    double notch;                /* factor in it; 1: none */
    double give;                 /* at the spot [mm/N] */
    double reach;                /* of what the stress is known, from the root [mm]; < 0: nothing */
    double critical;             /* axial force that buckles [N]; infinite: far from it */
    bool knows_stress;           /* looked for, and further than a diameter from the tool */
};

/** Below it nobody cares, and it is not looked for [MPa]. */
struct sw_load_floor {
    double bound;  /* what a bound of the stress must be above */
    double stress; /* what the stress itself must be above */
};

struct sw_load_strain sw_load_strain_of(const struct sw_load_block *block,
                                        const struct sw_load_spot *spot,
                                        const struct sw_load_push *push, double at,
                                        const struct sw_load_floor *stress_floor);

/** Note that this spot, Z of the part frame, leaves the surface of a section: the cut that does so
 *  last is judged by sw_judge_load_finish. */
void sw_load_make(const struct sw_load_block *block, const struct sw_load_spot *spot,
                  const struct sw_load_strain *strain, const struct sw_section *section, double z,
                  double over);

/** What is known of a line so far, and with one spot more. One a block: a subprogram or a cycle
 *  that comes back to its lines counts anew, and the moves are bounded. */
struct sw_line_load sw_load_line_begin(uint32_t line);
void sw_load_line_keep(struct sw_line_load *out, const struct sw_load_push *push,
                       const struct sw_load_strain *strain);

/** Findings. */
enum sw_status sw_load_judge_machine(const struct sw_load_block *block,
                                     const struct sw_load_spot *spot,
                                     const struct sw_load_push *push);
enum sw_status sw_load_judge_hold(const struct sw_load_block *block,
                                  const struct sw_load_spot *spot, const struct sw_load_push *push);
enum sw_status sw_load_judge_strain(const struct sw_load_block *block,
                                    const struct sw_load_spot *spot,
                                    const struct sw_load_push *push,
                                    const struct sw_load_strain *strain, bool is_near, double over);
/** Over SURE_LIMIT by the nominal force is an error, over LIMIT at the high end of it a warning. */
bool sw_load_is_over(enum sw_severity *severity, double *value, struct sw_load_range range,
                     double sure_limit, double limit);
enum sw_status sw_load_judge_rubbing(const struct sw_load_block *block, double chip,
                                     const struct sw_load_spot *spot, double least_chip,
                                     bool is_pivot);

/** What the bar of this side is held by: machine and holder in series. */
struct sw_bar_root sw_load_root(const struct sw_judge *judge);

/** z of the nose face of this side [mm]. */
double sw_load_nose_z(const struct sw_judge *judge);

#endif
