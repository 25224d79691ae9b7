/* size: from a survey of the movement to the sizes that the new staff must have.
 *
 * Every size says where it comes from, why it is what it is, how much it is in doubt, and whether
 * doubt and the tolerance of its making fit together into the band it must hit; if not, which
 * reading to improve and how far. What is missing is proposed by common practice where that can
 * be (and marked), otherwise asked for. Nothing is written when something essential is neither
 * measured nor proposable, when readings surely contradict each other, or when the sizes leave no
 * staff.
 * Units: mm; heights from the lower tip = from the lower endstone's face.
 * Ownership: lives in the context. Statuses: SW_FOUND when no staff can be written (OUT is given
 * all the same, it says why), SW_MEMORY.
 * Sources: Hall 1910 (S1), Kleinlein 1920 (S2), The Keystone 1904 (S3) for the rules named in the
 * reasons; JCGM 100:2008 for the doubt.
 */
#ifndef SW_FIT_SIZE_H
#define SW_FIT_SIZE_H

#include "base/buf.h"
#include "fit/known.h"

#define SW_SIZE_LIST(X)                                                                            \
    X(TOTAL, "total length")                                                                       \
    X(UPPER_PIVOT, "upper pivot")                                                                  \
    X(LOWER_PIVOT, "lower pivot")                                                                  \
    X(UPPER_STRAIGHT, "upper pivot, straight part")                                                \
    X(LOWER_STRAIGHT, "lower pivot, straight part")                                                \
    X(UPPER_RIDGE, "upper ridge")                                                                  \
    X(LOWER_RIDGE, "lower ridge")                                                                  \
    X(UPPER_CONE, "upper cone, length")                                                            \
    X(LOWER_CONE, "lower cone, length")                                                            \
    X(UPPER_ROOT, "upper back slope, root")                                                        \
    X(LOWER_ROOT, "lower back slope, root")                                                        \
    X(UPPER_SLOPE, "upper back slope, length")                                                     \
    X(LOWER_SLOPE, "lower back slope, length")                                                     \
    X(HUB_FACE, "hub face, height")                                                                \
    X(ROLLER_SHOULDER, "roller shoulder, height")                                                  \
    X(FRICTION_TOP, "friction seat top, height")                                                   \
    X(COLLET_SEAT, "collet seat")                                                                  \
    X(COLLET_LENGTH, "collet seat, length")                                                        \
    X(RIVET, "rivet, height above the arm")                                                        \
    X(LIP, "rivet, lip")                                                                           \
    X(RECESS, "rivet, recess depth")                                                               \
    X(BALANCE_SEAT, "balance seat")                                                                \
    X(BALANCE_LENGTH, "balance seat, length")                                                      \
    X(FRICTION_SEAT, "friction seat")                                                              \
    X(HUB, "hub")                                                                                  \
    X(HUB_LENGTH, "hub, thickness")                                                                \
    X(LAND, "hub, land")                                                                           \
    X(SHANK, "upper shank")                                                                        \
    X(ROLLER_SEAT, "roller seat, thick end")                                                       \
    X(ROLLER_TAPER, "roller seat, taper")                                                          \
    X(ROLLER_LENGTH, "roller seat, length")                                                        \
    X(SAFETY_SEAT, "safety roller seat, thick end")                                                \
    X(SAFETY_LENGTH, "safety roller seat, length")

enum sw_size_id {
#define X(name, says) SW_SIZE_##name,
    SW_SIZE_LIST(X)
#undef X
        SW_N_SIZES
};

const char *sw_size_says(enum sw_size_id id);

struct sw_size {
    bool is_there;
    enum sw_origin origin;
    struct sw_gum is;      /* as worked out, with its doubt */
    double value;          /* as it is written: on its grid */
    double tolerance;      /* plus and minus; 0: closes a chain or has none of its own */
    double u;              /* standard uncertainty */
    double expanded;       /* half-width that holds 95 % */
    double band;           /* half-width that doubt and tolerance share; 0: none */
    const char *band_says; /* what the band is */
    double least_tolerance;
    const char *why;   /* rule and source */
    bool fits;         /* into its band; true without one */
    size_t improve;    /* the source that brings most; SW_GUM_MOST: none */
    double improve_to; /* limits that it should be known within; 0: not by it alone */
    double shrink;     /* factor by which all doubt must shrink otherwise */
    int decimals;
};

/** Something essential that is neither measured nor proposable. */
struct sw_missing {
    enum sw_size_id size;
    const char *needs; /* "upper_hole" */
};

/** What measuring would be worth. */
struct sw_next {
    enum sw_reading_kind kind;
    double worth;         /* doubt over band, squared and summed over what it decides */
    enum sw_size_id size; /* what it decides most */
    double share;         /* of that size's variance (0..1) */
    double half;          /* limits now */
    double wanted;        /* limits wanted; 0: none in particular */
    bool is_proposed;     /* common practice stands in now */
};

struct sw_sizing {
    const struct sw_survey *survey;
    struct sw_knowledge *know;
    struct sw_size size[SW_N_SIZES];
    SW_VEC(struct sw_missing) missing;
    SW_VEC(const char *) refused; /* why the sizes leave no staff */
    SW_VEC(struct sw_next) next;  /* most valuable first */
    bool is_writable;
};

enum sw_status sw_size_work_out(struct sw_sizing **out, const struct sw_survey *survey,
                                struct sw_ctx *ctx) SW_MUST_CHECK;

/** Write the staff file, each size with its reason behind it. The sizing must be writable. */
void sw_size_write_staff(struct sw_buf *out, const struct sw_sizing *sizing);

#endif
