/* blank: a staff turned soft, to be hardened and finished: what of it is finished before the fire
 * and what is left thick for after it.
 *
 * Left thick: both ends (pivot, cone, back slope), each one stout cylinder; from the seat of a
 * roller or from a conical underside of the hub outwards all that follows; and whatever a stout end
 * would not leave a face for. A recess and the underside are not cut at all. The rest is finished
 * but for its hand work. A blank is a staff of its own, smaller by the growth that is expected.
 *
 * Frames: part, of the staff (hardened) or of the blank (soft), mm. Both have the datum in common:
 * the face of the core that lengths are counted from, the land's end of the hub; without an
 * underside the face that the balance rests on, else the upper one.
 * Ownership: results live in the context. Statuses: SW_MEMORY; SW_CANNOT with a diagnostic where a
 * staff is not to be made so.
 */
#ifndef SW_PART_BLANK_H
#define SW_PART_BLANK_H

#include "base/buf.h"
#include "part/staff.h"

/** Of the allowance on diameters so much stays on faces: no more than contour runs take, so that no
 *  level of roughing ends in a thin layer of hard metal. */
#define SW_BLANK_FACE_SHARE 0.2

/** Corners of what is left thick, and those that a recess takes away later, may be so round [mm]:
 * less than what a stout end stays below what it meets. Sharp corners crack in the fire; common
 * practice, no source. */
#define SW_BLANK_CORNER 0.03

/** What its ends are called. */
#define SW_BLANK_UPPER_END "upper end"
#define SW_BLANK_LOWER_END "lower end"

/** What a blank is to be. */
struct sw_blank_how {
    const char *material;           /* of the rod, by name */
    double grown_least, grown_most; /* by hardening, as a share of each size */
    double allowance;              /* on diameters that are cut hard; a share of it on faces [mm] */
    double upper_long, lower_long; /* tips are left so much longer than the staff [mm] */
    struct sw_span at;             /* place of the growth in the job, for messages */
};

struct sw_blank_form {
    bool *leaves;     /* by section of the staff: it is cut when it is hard */
    double *diameter; /* by section: of what stands there instead, hardened; going inwards it never
                         falls [mm] */
    double *z;        /* ends of what stands for each section, n + 1 of them from the upper tip on,
                         hardened, part frame of the staff [mm] */
    size_t n_upper, n_lower; /* sections that the stout ends stand for */
    bool datum_is_lower;     /* the datum is the core's lower face */
    bool core_is_cut;        /* its other face is cut once more, or has its underside cut */
};

/** What is left thick of a staff, and how thick. SW_CANNOT where an end, or growth as little known
 * as it is, leaves nothing to hold on to. */
enum sw_status sw_blank_form(struct sw_blank_form *out, const struct sw_staff *staff,
                             const struct sw_blank_how *how, struct sw_ctx *ctx) SW_MUST_CHECK;

/** Whether growth is known well enough: what is not cut after hardening has to come out within its
 *  limits whatever it grew. SW_CANNOT with a diagnostic at the section and what would help. */
enum sw_status sw_blank_check(const struct sw_staff *staff, const struct sw_blank_form *form,
                              const struct sw_blank_how *how, struct sw_ctx *ctx) SW_MUST_CHECK;

/** Write the blank as a staff/1 file. Texts of the staff are copied. */
enum sw_status sw_blank_write(struct sw_buf *out, const struct sw_staff *staff,
                              const struct sw_blank_form *form, const struct sw_blank_how *how,
                              struct sw_ctx *ctx) SW_MUST_CHECK;

/** Largest fillet of what is kept of a section [mm]: as the staff has it; rounder where a recess
 * that is cut later takes it away; no rounder than SW_BLANK_CORNER, or a holder would not close on
 * it up to its shoulder. */
double sw_blank_corner(const struct sw_staff *staff, const struct sw_section *section);

/** Where the datum lies in a staff, and in its blank: part z of either. */
double sw_blank_datum(const struct sw_staff *staff, bool is_lower);

/** Which of the core's faces is the datum, by the staff. */
bool sw_blank_datum_is_lower(const struct sw_staff *staff);

/** How far a place of a hardened blank may be from where the middle of the growth puts it, the
 * piece held against either face of the core [mm]. DISTANCE: from the datum. */
double sw_blank_unsure(const struct sw_staff *staff, const struct sw_blank_how *how,
                       double distance);

#endif
