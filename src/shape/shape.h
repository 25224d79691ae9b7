/* shape: from a staff to the contour it shall have, and to the contour that turning must leave.
 *
 * Frame: part (z from the finished upper tip, r from the axis, mm). All contours are profiles from
 * the axis at the upper end to the axis at the lower end, exact lines and arcs, tagged with the
 * index of the section they belong to.
 *   finished  every diameter in the middle of its limits (sw_section_middle), inner corners sharp,
 *             outer edges broken, tips formed;
 *   turned    finished plus what stone and burnisher will take: each surface moved outwards along
 *             its normal by half its diameter allowance, each tip longer by the tip allowance and
 *             by `leave long`; the allowance of a burnished pivot fades over its cone to nothing
 *             at the ridge (the cone is re-fitted: tangent to the turned pivot, same ridge), so
 *             that nothing steps. Inner corners sharp;
 *   ceiling   turned, with every inner corner filled by the largest fillet it may keep.
 * What a machine leaves must lie between turned and ceiling, each with the section's tolerance.
 * Joints between unequal allowances: a square shoulder takes the axial allowance 0, so that heights
 * stay true; corners move radially only. Where equal finished radii get unequal allowances, a small
 * square step joins them.
 * The back slope, the recess of a rivet and grooves have no allowance; the seat in the recess keeps
 * that of the seat outside. A shoulder belongs to the thicker of its sections, an inner corner to
 * the one that ends in it, the inner cylinder of a recess to the rivet.
 */
#ifndef SW_SHAPE_SHAPE_H
#define SW_SHAPE_SHAPE_H

#include "geom/contour.h"
#include "part/staff.h"
#include "shop/shop.h"

struct sw_shape_section {
    double z0, z1;            /* part frame, turned (a pivot's tip includes its allowance) */
    double measure_z;         /* where a gauge is put: the middle of its plain length */
    double finished_diameter; /* there */
    double turned_diameter;
    double take; /* on the diameter: turned - finished */
};

struct sw_shape {
    const struct sw_staff *staff;
    struct sw_contour finished;
    struct sw_contour turned;
    struct sw_contour ceiling;
    double z_upper, z_lower;          /* ends of the turned piece: -tip and total + tip */
    const double *take;               /* what hand work takes off each section's diameter */
    struct sw_shape_section *section; /* one for each section of the staff */
};

/** What is added at the tips beyond the shop's tip allowance [mm]. */
struct sw_shape_extra {
    double upper_long, lower_long;
};

/** Build all contours. LEAVE NULL: nothing is left for hand work but what sections say themselves;
 *  EXTRA NULL: nothing is added at the tips. SW_CANNOT, with a diagnostic at the section, when
 * allowances, edges or corners do not fit a section. */
enum sw_status sw_shape_build(struct sw_shape **out, const struct sw_staff *staff,
                              const struct sw_leave *leave, const struct sw_shape_extra *extra,
                              struct sw_ctx *ctx) SW_MUST_CHECK;

/** The same shape before its grooves and relief grooves are cut, as a turning tool leaves it: a
 *  groove is filled by a slope from the one neighbour's turned surface to the other's, or up to a
 *  shoulder; a fillet over it may be as wide as it, for it goes with the groove. Sections
 *  are those of SHAPE; SHAPE itself when there is nothing to fill. */
enum sw_status sw_shape_plain(const struct sw_shape **out, const struct sw_shape *shape,
                              struct sw_ctx *ctx) SW_MUST_CHECK;

/** The turned contour with each section thicker by OVER of it on radius [mm], >= 0: a piece that came
 *  out too thick. Surfaces move outwards along r alone, as a tool that stands off leaves them; steps
 *  square to the axis join sections that differ. */
enum sw_status sw_shape_thicker(struct sw_contour *out, const struct sw_shape *shape,
                                const double *over, struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
