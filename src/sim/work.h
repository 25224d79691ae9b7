/* work: the workpiece while it is cut, behind an interface that several removal kernels can fill.
 *
 * A kernel keeps two workpieces side by side: `least`, cut with tools drawn a little too large (at
 * least this much is surely left), and `most`, cut with tools drawn a little too small (at most
 * this much is left). An exact kernel gives the same for both.
 * Frame: chucking, (z, r >= 0) half plane [mm]. A tool past the centre line removes nothing on the
 * far side: what its outline covers at r < 0 is passed over, since the cutting edge there moves
 * with the work instead of against it. Where its upper part crosses r = 0 it cuts as drawn.
 * Ownership: a work is owned, freed with its class's `free`; outlines live in the context given to
 * `make`; regions given out are owned by the caller (sw_region_free) and must not outlive the work.
 * Statuses: SW_MEMORY; SW_INTERNAL from the overlay.
 */
#ifndef SW_SIM_WORK_H
#define SW_SIM_WORK_H

#include "geom/region.h"
#include "sim/convex.h"
#include "sim/cut_profile.h"
#include "sim/silhouette.h"

struct sw_work;
struct sw_outline; /* a tool, body or holder block in the form the kernel wants */

enum sw_work_which { SW_WORK_LEAST, SW_WORK_MOST };

/** A line or arc of the point that stands at the outline's origin, in the chucking frame. */
struct sw_sweep {
    bool is_arc;
    struct sw_pt from, to;
    struct sw_pt centre;
    double radius_from, radius_to; /* both readings of an arc whose ends disagree are swept */
    int turn;                      /* +1: from +z towards +r */
    bool is_full_turn;
};

/** What one move took away. */
struct sw_removed {
    double area_least, area_most; /* off the least and off the most [mm2] */
    double depth;      /* thickness of what went off `most`, square to the move, but for slivers
                          thinner than SW_WORK_TOUCH [mm] */
    double along;      /* its extent along the move, likewise [mm] */
    struct sw_box box; /* of what went off `most`; valid when area_most > 0 */
    bool may_part;     /* something may have come loose: ask `loosen` */
};

/** A piece that came loose. Regions owned by the work. */
struct sw_loose {
    const struct sw_region *least, *most;
    struct sw_box box;
    double volume; /* of `most` [mm3] */
};

struct sw_work_class {
    const char *name;
    /** What `least` and `most` may differ by at any place, at most [mm]. */
    double (*resolution)(void);
    enum sw_status (*make)(struct sw_work **out, struct sw_ctx *ctx);
    void (*free)(struct sw_work *work);
    /** Prepare a closed, convex, counter-clockwise contour. */
    enum sw_status (*outline)(struct sw_outline **out, struct sw_work *work,
                              const struct sw_contour *contour);
    /** Begin with a rod from Z0 to Z1; FRONT is where the holder's face stands. */
    enum sw_status (*fill_rod)(struct sw_work *work, double z0, double z1, double r, double front);
    /** Begin with what another chucking left: z' = SIGN z + SHIFT of both regions. */
    enum sw_status (*fill_piece)(struct sw_work *work, const struct sw_region *least,
                                 const struct sw_region *most, int sign, double shift,
                                 double front);
    enum sw_status (*remove)(struct sw_removed *out, struct sw_work *work,
                             const struct sw_outline *outline, const struct sw_sweep *sweep);
    /** What the last `remove` took off `most`, place by place along it. */
    const struct sw_cut_profile *(*profile)(const struct sw_work *work);
    /** Does the sweep reach into `most` deeper than SW_WORK_TOUCH, the far half past the axis
     *  counted too? PLACE (or NULL) gets a point. */
    enum sw_status (*touches)(bool *out, struct sw_pt *place, struct sw_work *work,
                              const struct sw_outline *outline, const struct sw_sweep *sweep);
    /** The same against a loose piece. */
    enum sw_status (*touches_loose)(bool *out, struct sw_work *work, const struct sw_loose *piece,
                                    const struct sw_outline *outline, const struct sw_sweep *sweep);
    /** Take away every piece of `most` that does not reach back to HELD_Z; they are given out. */
    enum sw_status (*loosen)(struct sw_loose **out, size_t *n, struct sw_work *work, double held_z);
    /** All that is there now, as one region. */
    enum sw_status (*region)(struct sw_region **out, struct sw_work *work,
                             enum sw_work_which which);
    /** The part of a region with z above Z. */
    enum sw_status (*beyond)(struct sw_region **out, struct sw_work *work,
                             const struct sw_region *region, double z);
    /** Box of `most`; all zero when nothing is left. */
    struct sw_box (*box)(const struct sw_work *work);
    /** Least distance of an outline at AT from the boxes `most` is kept in: never more than the
     *  true distance. */
    double (*distance)(const struct sw_work *work, const struct sw_outline *outline,
                       struct sw_pt at);
    /** The outer radius of `least` or `most` over z, from Z on; OUT's memory is used again. Windows
     *  that have not changed since are not looked at again. */
    enum sw_status (*silhouette)(struct sw_silhouette *out, struct sw_work *work,
                                 enum sw_work_which which, double z);
    /** Lowest and highest r of `most` at Z; false when nothing is there. */
    bool (*r_range)(double *low, double *high, const struct sw_work *work, double z);
};

/* A contact less deep than this [mm] is grazing what the edge has just cut: half a micrometre,
 * five times what four decimals in a program can move a point by, and ten times the kernels'
 * resolution. */
#define SW_WORK_TOUCH 5e-4

/** The referee: polygons in windows along z, cut by GEOS. */
extern const struct sw_work_class sw_work_regions;
/** The boundary in lines and arcs, exact; polygons only where regions are given out. */
extern const struct sw_work_class sw_work_chain;

/** The outline's polygon (grown to contain every true point) and its shrunk twin for contacts. */
const struct sw_convex *sw_outline_outer(const struct sw_outline *outline);
const struct sw_convex *sw_outline_touch(const struct sw_outline *outline);

/** How often a sweep must be split so that no chord strays from the arc by more than SAGITTA. */
size_t sw_sweep_n_chords(const struct sw_sweep *sweep, double sagitta);
/** Point I of N of the sweep. All points of an arc stand at the mean of its two radii, which is
 *  never further than half their difference from either reading at the same angle. */
struct sw_pt sw_sweep_at(const struct sw_sweep *sweep, size_t i, size_t n);
/** Signed angle an arc turns through [rad]; 0 for a line. */
double sw_sweep_angle(const struct sw_sweep *sweep);
double sw_sweep_length(const struct sw_sweep *sweep);
/** Box of the path (without the tool). */
struct sw_box sw_sweep_box(const struct sw_sweep *sweep);

/** Volume of a region turned about the axis [mm3]. */
enum sw_status sw_region_volume(double *out, const struct sw_region *region,
                                struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
