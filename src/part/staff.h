/* staff: a balance staff as its maker describes it, resolved to places along the axis.
 *
 * A staff is an ordered list of sections from the upper tip to the lower tip; nothing here knows
 * a fixed order of seats. Part frame: z from the finished upper tip towards the lower tip, r the
 * distance from the axis [mm].
 *
 * The core of a staff is its hub, or the widest section where there is none. "Towards the hub"
 * means towards the core, upper half and lower half are what lies above and below it, and a taper
 * is thicker towards it.
 *
 * Lengths form chains between named heights (from the lower tip) and the total; each chain has
 * exactly one `free` section that closes it, or closes by itself. A height is found by its name:
 *   hub face         the face of the hub that the balance rests on: beside the seat that takes the
 *                    balance, otherwise the upper one;
 *   roller shoulder  the core's end of the seat that takes the roller;
 *   NAME top, NAME bottom   the upper or lower end of the section called NAME.
 *
 * Ownership: lives in the context that loaded it.
 */
#ifndef SW_PART_STAFF_H
#define SW_PART_STAFF_H

#include "part/survey.h"
#include "spec/table.h"

enum sw_section_kind {
    SW_SECTION_PIVOT,
    SW_SECTION_CONE,       /* between pivot and ridge */
    SW_SECTION_BACK_SLOPE, /* from the ridge down to the root at a shoulder */
    SW_SECTION_SEAT,       /* cylinder or slow taper that a part fits on */
    SW_SECTION_RIVET,
    SW_SECTION_HUB,
    SW_SECTION_CYLINDER,
    SW_SECTION_TAPER,
    SW_SECTION_GROOVE
};

/** What happens to a surface after turning. */
enum sw_finish { SW_FINISH_TURNED, SW_FINISH_STONED, SW_FINISH_BURNISHED };

/** Which part a seat takes; guessed from its name or said. */
enum sw_takes {
    SW_TAKES_NOTHING,
    SW_TAKES_COLLET,
    SW_TAKES_BALANCE,
    SW_TAKES_ROLLER,
    SW_TAKES_SAFETY_ROLLER
};

enum sw_tip_form { SW_TIP_NONE, SW_TIP_DOME, SW_TIP_FLAT };
enum sw_cone_form { SW_CONE_TANGENT_ARC, SW_CONE_RADIUS, SW_CONE_STRAIGHT };

struct sw_section {
    enum sw_section_kind kind;
    const char *name;   /* as given, or the kind with "upper"/"lower" where that tells apart */
    struct sw_span at;  /* its key in the file */
    size_t index;       /* in the staff = tag of its geometry */
    double z0, z1;      /* finished, part frame, z0 < z1 (a section may not have length 0) */
    double r0, r1;      /* finished radius at z0 and z1 (before edge breaks and fillets) */
    bool is_free;       /* its length closes a chain */
    bool is_lower_half; /* on the lower-tip side of the core */
    bool points_down;   /* pivot, cone, back slope: the tip lies towards +z; rivet: its face
                           (with the recess) looks towards +z */
    struct sw_band diameter_tolerance; /* deviations of the diameter [mm] */
    struct sw_band length_tolerance;
    enum sw_finish finish;
    double take;        /* what hand work takes off the diameter [mm]; < 0: the shop's value */
    double corner;      /* largest fillet radius allowed in its inner corners [mm] */
    double edge;        /* break of its outer edges, as a round of this radius [mm]; 0 sharp */
    bool edge_is_given; /* in the file: then it has to fit; otherwise as much as fits */
    enum sw_takes takes;

    enum sw_tip_form tip; /* pivot: form of its end */
    double dome_height;
    double tip_corner;      /* pivot with a flat end: corner radius */
    enum sw_cone_form cone; /* cone; the tangent arc ends at the ridge */
    double cone_radius;     /* SW_CONE_RADIUS */
    double taper;           /* seat: diameter per length, > 0 thicker towards +z; 0 cylinder */
    double bevel;         /* seat: 45 degree bevel at its end towards the nearer tip [mm]; 0 none */
    bool has_recess;      /* rivet */
    double recess_lip;    /* radial thickness of the lip at its face */
    double recess_depth;  /* along the axis */
    double recess_wall;   /* inner lip wall from the axis [rad] */
    double hub_land;      /* hub: length of its cylinder */
    double hub_underside; /* hub: half-angle of its cone from the axis [rad]; 0: plain cylinder */
    bool hub_land_is_lower; /* the land is at the z1 end */
    double groove_depth;    /* groove: below the neighbours' radius */
    double groove_flank;    /* groove: flank angle from the radial direction [rad] */
    /* A groove at the foot of the section: at its end towards the core, where it meets a thicker
     * one. `corner` is then the largest fillet in it. */
    bool has_relief;
    double relief_width; /* along the axis, flank included [mm] */
    double relief_depth; /* below the surface at the shoulder [mm] */
    double relief_flank; /* from the radial direction [rad] */
};

struct sw_height {
    const char *name;
    struct sw_span at;
    double from_lower_tip;
    struct sw_band tolerance;
    double z;       /* part frame */
    size_t section; /* the section that begins or ends there (index of the one below) */
};

struct sw_jewel {
    bool given;
    double hole, thickness; /* mm */
};

struct sw_staff {
    const char *file;
    const char *name;
    const char *material; /* by name */
    struct sw_span material_at;
    bool is_blank; /* to be hardened and finished: sizes of its own, unlike a staff's */
    double total;  /* length [mm] */
    struct sw_band total_tolerance;
    struct sw_height *height;
    size_t n_heights;
    struct sw_section *section;
    size_t n;
    struct sw_jewel jewel[2]; /* upper, lower */
    double between_endstones; /* mm; 0: not given */
    const struct sw_parts_read *parts; /* what it has to fit, as measured; NULL: not given */
    size_t hub;               /* index of the hub, or n when there is none */
    size_t core;              /* the hub, or the widest section by the sizes in the file (the first
                                 of equals) */
};

extern const struct sw_table sw_staff_table;

/** Read and resolve a staff/1 file: shape, sense, chains of lengths, neighbours. All faults are
 *  reported at their places; sizes unusual in the trade as warnings.
 *  SW_INPUT: shape or sense is wrong, OUT untouched. SW_FOUND: the staff is sound in itself but
 *  does not fit its jewels; OUT is given all the same, so that it can be shown. */
enum sw_status sw_staff_load(struct sw_staff **out, const char *path,
                             struct sw_ctx *ctx) SW_MUST_CHECK;
/** The same from a text. */
enum sw_status sw_staff_parse(struct sw_staff **out, const char *name, const char *text,
                              size_t size, struct sw_ctx *ctx) SW_MUST_CHECK;

/** The section called NAME, or NULL. */
const struct sw_section *sw_staff_section(const struct sw_staff *staff, const char *name);

/** Middle of a section's diameter limits, as a deviation from its nominal diameter [mm]: what is
 *  aimed at. 0 for cones, back slopes and grooves, which follow what they join. */
double sw_section_middle(const struct sw_section *section);

/** Radius of a section at its end towards the core, and that of the bottom of its relief groove
 *  there [mm]. */
double sw_section_foot(const struct sw_section *section);
double sw_section_relief_floor(const struct sw_section *section);

/** How far the flank of its relief groove reaches along the axis [mm]. */
double sw_section_relief_run(const struct sw_section *section);

/** Widest radius of the staff [mm]. */
double sw_staff_widest(const struct sw_staff *staff);

#endif
