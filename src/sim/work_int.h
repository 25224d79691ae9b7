/* Inside of the region kernel: workpiece polygons kept in windows along z.
 *
 * The idea. An overlay costs time in proportion to the corners of both polygons, and a staff grows
 * a thousand corners while a move touches a few of them. So the workpiece is kept as strips a
 * quarter of a millimetre long; a move is clipped to the box of each strip before the overlay sees
 * it, and strips it cannot reach are never looked at. Time is then linear in moves.
 * An arc is swept as one polygon (arc_sweep.h), not chord by chord. Before any overlay the clipped
 * sweep is tried against the corners and edges of the strip: most moves through air end there.
 * Rejected: one polygon (cost grows with the square of the moves); a height field (a staff has
 * undercuts); an arc as one overlay a chord (five times slower).
 *
 * Where the bound comes from. Tools are drawn in chords that stray SW_TOL_CHORD from the true arc,
 * outwards for `least` and inwards for `most`. The sweep along a line of a convex outline is the
 * hull of both ends, exact. An arc is swept in chords; every true point is within a sagitta S of
 * them, so the outline grown by S along the chords holds the true sweep, and the outline shrunk by
 * S stays inside it. A folded arc sweep may leave out slivers thinner than S, so `least` uses 2 S.
 * With S = SW_TOL_CHORD / 3 either work is within SW_TOL_CHORD + 3 S = 2 SW_TOL_CHORD of the true
 * one. When the ends of an arc disagree by D, half of D is added to S, so that every reading
 * between the two is held in (least) or left out (most).
 */
#ifndef SW_SIM_WORK_INT_H
#define SW_SIM_WORK_INT_H

#include "geom/tol.h"
#include "sim/work.h"

/* Half a micrometre of contact needs no finer chords than a fifth of it. */
#define SW_WORK_TOUCH_SAGITTA (SW_WORK_TOUCH / 5)
/* Largest distance of a chord's middle from its arc when cutting [mm]. */
#define SW_WORK_SAGITTA (SW_TOL_CHORD / 3)
/* What `least` grows its tools by along arcs [mm]. */
#define SW_WORK_GROWTH (2 * SW_WORK_SAGITTA)
/* What comes nearer to the axis than this [mm] reaches it. */
#define SW_WORK_AT_AXIS 1e-6

struct sw_outline {
    struct sw_convex outer, inner; /* along lines */
    struct sw_convex arc_outer,
        arc_inner;          /* along arcs, grown by SW_WORK_GROWTH, shrunk by SW_WORK_SAGITTA */
    struct sw_convex touch; /* for contacts, shrunk by SW_WORK_TOUCH */
};

struct sw_window {
    double z0, z1;
    struct sw_region *region[2]; /* by enum sw_work_which */
    double area[2];
    size_t n_pieces; /* of `most` */
    /* all corners of the region's rings, one ring after the other; through sw_mem_resize */
    struct sw_pt *corner[2];
    size_t n_corners[2], corner_room[2];
    struct sw_silhouette outer[2]; /* made when asked for */
    bool knows_outer[2];
};

/* Room for the sweep of one convex outline and its clips. */
struct sw_work_scratch {
    struct sw_pt *sweep, *clip, *spare;
};

struct sw_loose_own {
    struct sw_region *least, *most;
};

struct sw_work {
    struct sw_ctx *ctx;
    struct sw_kernel *kernel;
    struct sw_window *window; /* by growing z, joined without gaps; in the context */
    size_t n;
    struct sw_box box;             /* of `most` */
    struct sw_cut_profile profile; /* of the last removal */
    SW_VEC(struct sw_loose_own) loose;
};

enum sw_status sw_work_remove(struct sw_removed *out, struct sw_work *work,
                              const struct sw_outline *outline, const struct sw_sweep *sweep);
enum sw_status sw_work_touches(bool *out, struct sw_pt *place, struct sw_work *work,
                               const struct sw_outline *outline, const struct sw_sweep *sweep);
enum sw_status sw_work_touches_loose(bool *out, struct sw_work *work, const struct sw_loose *piece,
                                     const struct sw_outline *outline,
                                     const struct sw_sweep *sweep);
enum sw_status sw_work_loosen(struct sw_loose **out, size_t *n, struct sw_work *work,
                              double held_z);

enum sw_status sw_work_region(struct sw_region **out, struct sw_work *work,
                              enum sw_work_which which);
enum sw_status sw_work_fill(struct sw_work *work, const struct sw_region *least,
                            const struct sw_region *most, double front);
void sw_work_find_box(struct sw_work *work);
/** Keep a new region in a window and free the one before; takes REGION over whatever happens. */
enum sw_status sw_window_set(struct sw_window *window, enum sw_work_which which,
                             struct sw_region *region);

/** The polygons of an outline. */
enum sw_status sw_outline_draw(struct sw_outline *out, const struct sw_contour *contour,
                               struct sw_ctx *ctx);
enum sw_status sw_region_beyond(struct sw_region **out, struct sw_kernel *kernel,
                                const struct sw_region *region, double z);

/** Room for sweeps of at most N_CORNERS; false when out of memory. */
bool sw_work_scratch_init(struct sw_work_scratch *scratch, size_t n_corners,
                          struct sw_arena *arena);
/** The part of a convex sweep near a box; empty when there is none. */
struct sw_convex sw_work_clip(const struct sw_work_scratch *scratch, const struct sw_convex *swept,
                              struct sw_box swept_box, struct sw_box box);
/** The part of a convex sweep that may overlap a window's region; empty when it surely does not. */
struct sw_convex sw_work_reach(const struct sw_work_scratch *scratch, const struct sw_convex *swept,
                               struct sw_box swept_box, const struct sw_window *window,
                               enum sw_work_which which);
/** Box of all places a tool covers along a sweep. */
struct sw_box sw_work_path_box(const struct sw_sweep *sweep, const struct sw_convex *tool);
bool sw_work_is_far(const struct sw_work *work, const struct sw_sweep *sweep,
                    const struct sw_convex *tool);

#endif
