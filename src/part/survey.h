/* survey: what was measured in a movement and on the parts that a staff must fit.
 *
 * Every reading says what was read, how far it may be off, and with what; any may be missing, and
 * any may be there more than once. The same readings may stand in a staff file under `parts`, so
 * that the finished description can be held against its parts.
 *
 * Heights count from the face of the lower endstone, upwards: where the lower tip stands when the
 * watch lies dial up [mm]. "Old" readings come from what is left of the broken staff.
 *
 * Ownership: lives in the context that loaded it. Statuses: SW_INPUT for faults of form and sense
 * (all reported), SW_UNREADABLE, SW_READ, SW_MEMORY.
 * Source of what is measured: E. E. Hall, A Treatise on Staff Making and Pivoting, 1910, ch.
 * III-V; how doubt is stated: JCGM 100:2008, 4.2 and 4.3.
 */
#ifndef SW_PART_SURVEY_H
#define SW_PART_SURVEY_H

#include "spec/table.h"
#include "stat/gum.h"

/* name, key, fields, half-width taken when none is given [mm], what it is called, how it is read.
 * The half-widths are common practice for a careful bench (no source). */
#define SW_READING_LIST(X)                                                                         \
    X(OVER_JEWELS, over_jewels, length, 0.005, "the distance over the hole jewels",                \
      "Endstones off, cock screwed on: across the outer faces of both hole jewels.")               \
    X(BETWEEN_ENDSTONES, between_endstones, length, 0.01, "the distance between the endstones",    \
      "Between the inner faces of both endstones, everything screwed on.")                         \
    X(UPPER_GAP, upper_gap, length, 0.005, "the upper endstone's stand-off",                       \
      "From the outer face of the upper hole jewel to its endstone.")                              \
    X(LOWER_GAP, lower_gap, length, 0.005, "the lower endstone's stand-off",                       \
      "From the outer face of the lower hole jewel to its endstone.")                              \
    X(UPPER_HOLE, upper_hole, hole, 0.002, "the upper jewel's hole",                               \
      "Diameter of the upper jewel's hole: by pins, one that goes and one that does not, or "      \
      "read.")                                                                                     \
    X(LOWER_HOLE, lower_hole, hole, 0.002, "the lower jewel's hole",                               \
      "Diameter of the lower jewel's hole: by pins, one that goes and one that does not, or "      \
      "read.")                                                                                     \
    X(UPPER_JEWEL, upper_jewel, jewel, 0.01, "the upper jewel's thickness",                        \
      "Thickness of the upper hole jewel at the hole, without the oil cup.")                       \
    X(LOWER_JEWEL, lower_jewel, jewel, 0.01, "the lower jewel's thickness",                        \
      "Thickness of the lower hole jewel at the hole, without the oil cup.")                       \
    X(BALANCE_BORE, balance_bore, hole, 0.003, "the balance's bore",                               \
      "Bore of the balance arm, by pins or read; not the old seat.")                               \
    X(ARM_THICKNESS, arm_thickness, length, 0.01, "the balance arm's thickness",                   \
      "Thickness of the balance arm at its bore.")                                                 \
    X(ARM_BEVEL, arm_bevel, length, 0.01, "the bevel of the balance's bore",                       \
      "Width of the 45 degree bevel that the rivet has to fill.")                                  \
    X(ARM_HEIGHT, arm_height, length, 0.01, "the height of the balance arm",                       \
      "Height of the arm's face that rests on the hub, the balance held where it belongs.")        \
    X(RIM_ABOVE, rim_above, length, 0.02, "the rim above the arm",                                 \
      "How far the rim or a screw stands above the arm's face that rests on the hub.")             \
    X(RIM_BELOW, rim_below, length, 0.02, "the rim below the arm",                                 \
      "How far the rim or a screw hangs below the arm's face that rests on the hub.")              \
    X(BRIDGE_TOP, bridge_top, length, 0.01, "the height of the pallet bridge",                     \
      "Height of the highest thing that the balance passes over.")                                 \
    X(CEILING, ceiling, length, 0.01, "the height of what is above the balance",                   \
      "Height of the lowest thing that the balance passes under: centre wheel, regulator.")        \
    X(ROLLER_BORE, roller_bore, hole, 0.002, "the roller's bore",                                  \
      "Bore of the roller, by pins or read; not the old seat.")                                    \
    X(ROLLER_THICKNESS, roller_thickness, length, 0.01, "the roller's thickness",                  \
      "Thickness of the roller at its bore.")                                                      \
    X(ROLLER_OUTSIDE, roller_outside, length, 0.02, "the roller's collar",                         \
      "Outer diameter of the roller's collar round its bore.")                                     \
    X(ROLLER_HEIGHT, roller_height, length, 0.01, "the height of the roller's upper face",         \
      "Height gauge: the roller raised until its pin stands right in the fork; its upper face.")   \
    X(FORK_TOP, fork_top, length, 0.01, "the height of the fork's upper face",                     \
      "Height of the fork's face that the roller passes over.")                                    \
    X(ROLLER_FLOOR, roller_floor, length, 0.01, "the height of what is under the roller",          \
      "Height of the highest thing under the roller, or under the safety roller.")                 \
    X(SAFETY_BORE, safety_bore, hole, 0.002, "the safety roller's bore",                           \
      "Bore of the safety roller of a double roller.")                                             \
    X(SAFETY_THICKNESS, safety_thickness, length, 0.01, "the safety roller's thickness",           \
      "Thickness of the safety roller at its bore.")                                               \
    X(COLLET_BORE, collet_bore, hole, 0.005, "the collet's bore",                                  \
      "Bore of the hairspring collet, not sprung open.")                                           \
    X(COLLET_HEIGHT, collet_height, length, 0.01, "the collet's height",                           \
      "Height of the hairspring collet along the staff.")                                          \
    X(COLLET_SPRING, collet_spring, length, 0.02, "the spring's place in the collet",              \
      "From the collet's face that sits down to the middle of the spring.")                        \
    X(STUD_LEVEL, stud_level, length, 0.02, "the stud's level",                                    \
      "Height of the middle of the spring at the stud.")                                           \
    X(PIN_LEVEL, pin_level, length, 0.02, "the regulator pins' level",                             \
      "Height of the middle of the spring between the regulator pins.")                            \
    X(COCK_LEVEL, cock_level, length, 0.01, "the cock's underside",                                \
      "Height of the lowest thing above the collet.")                                              \
    X(HUB_BORE, hub_bore, hole, 0.002, "the balance hub's bore",                                   \
      "Two-piece staff: bore of the hub that stays in the balance.")                               \
    X(HUB_HEIGHT, hub_height, length, 0.01, "the balance hub's height",                            \
      "Two-piece staff: length of that hub's bore, from the face that meets the roller.")          \
    X(HUB_OUTSIDE, hub_outside, length, 0.02, "the balance hub's outside",                         \
      "Two-piece staff: outer diameter of that hub.")                                              \
    X(OLD_TOTAL, old_total, length, 0.01, "the old staff's length",                                \
      "From tip to tip, both pivots whole.")                                                       \
    X(OLD_UPPER_PIVOT, old_upper_pivot, length, 0.002, "the old upper pivot",                      \
      "Diameter of what is left of it.")                                                           \
    X(OLD_LOWER_PIVOT, old_lower_pivot, length, 0.002, "the old lower pivot",                      \
      "Diameter of what is left of it.")                                                           \
    X(OLD_RIDGE, old_ridge, length, 0.01, "the old ridge", "Diameter at the ridge of a cone.")     \
    X(OLD_CONE, old_cone, length, 0.02, "the old cone's length", "From the pivot to the ridge.")   \
    X(OLD_ROOT, old_root, length, 0.01, "the old back slope's root",                               \
      "Diameter at the shoulder, the thin end of a back slope.")                                   \
    X(OLD_SLOPE, old_slope, length, 0.02, "the old back slope's length",                           \
      "From the ridge to the shoulder.")                                                           \
    X(OLD_COLLET_SEAT, old_collet_seat, length, 0.005, "the old collet seat",                      \
      "Diameter of the old collet seat.")                                                          \
    X(OLD_BALANCE_SEAT, old_balance_seat, length, 0.005, "the old balance seat",                   \
      "Diameter of the old balance or friction seat.")                                             \
    X(OLD_RIVET, old_rivet, length, 0.02, "the old rivet's height",                                \
      "How far the old rivet stood above the arm before it was turned over.")                      \
    X(OLD_ROLLER_SEAT, old_roller_seat, length, 0.002, "the old roller seat",                      \
      "Diameter of the old roller seat at the hub.")                                               \
    X(OLD_ROLLER_TAPER, old_roller_taper, ratio, 0.002, "the old roller seat's taper",             \
      "Change of diameter by length, like 1/100.")                                                 \
    X(OLD_HUB, old_hub, length, 0.01, "the old hub's diameter", "Largest diameter of the hub.")    \
    X(OLD_HUB_THICKNESS, old_hub_thickness, length, 0.01, "the old hub's thickness",               \
      "From the face that the balance rests on to the roller's shoulder.")                         \
    X(OLD_ROLLER_SHOULDER, old_roller_shoulder, length, 0.01, "the old roller shoulder's height",  \
      "From the old lower tip to the roller's shoulder, the lower pivot whole.")                   \
    X(OLD_HUB_FACE, old_hub_face, length, 0.01, "the old hub face's height",                       \
      "From the old lower tip to the face that the balance rests on, the lower pivot whole.")

enum sw_reading_kind {
#define X(name, key, fields, half, says, sentence) SW_READ_##name,
    SW_READING_LIST(X)
#undef X
        SW_N_READINGS
};

struct sw_reading_info {
    const char *key;
    const char *says;     /* "the distance over the hole jewels" */
    const char *sentence; /* how it is read */
    double half;          /* assumed half-width of doubt */
};

/** By enum sw_reading_kind. */
extern const struct sw_reading_info sw_reading_info[SW_N_READINGS];

/** True for what was read off the broken staff. */
bool sw_reading_is_old(enum sw_reading_kind kind);

struct sw_reading {
    enum sw_reading_kind kind;
    struct sw_span at;           /* its key in the file */
    double value;                /* mm, or a ratio */
    struct sw_gum_source source; /* its doubt */
    double plus_minus;           /* as given; 0: not */
    double uncertainty;          /* as given; 0: not */
    bool is_repeated;            /* the mean of several */
    bool is_assumed;             /* the file says nothing about its doubt */
    bool is_pins;                /* bracketed by two pins */
    double goes, stops;
    bool is_olive;  /* jewels: the hole is rounded, its working part short */
    const char *by; /* what it was read with; NULL */
};

enum sw_layout { SW_SPRING_ABOVE, SW_SPRING_BELOW };
enum sw_fixing { SW_FIX_RIVETED, SW_FIX_DRIVEN, SW_FIX_FRICTION };
enum sw_part_metal { SW_METAL_BRASS, SW_METAL_STEEL };

/** The parts a staff has to fit. */
struct sw_parts_read {
    enum sw_fixing fixing;
    enum sw_part_metal roller_metal;
    const struct sw_reading *reading; /* in file order */
    size_t n;
};

struct sw_survey {
    const char *file;
    const char *name;
    const char *material; /* of the staff to be made */
    bool material_is_given;
    enum sw_layout layout;
    bool has_flat_ends;
    double end_shake; /* wanted [mm] */
    struct sw_parts_read parts;
};

extern const struct sw_table sw_survey_table;

enum sw_status sw_survey_load(struct sw_survey **out, const char *path,
                              struct sw_ctx *ctx) SW_MUST_CHECK;
/** The same from a text. */
enum sw_status sw_survey_parse(struct sw_survey **out, const char *name, const char *text,
                               size_t size, struct sw_ctx *ctx) SW_MUST_CHECK;

/** `parts` as a file's table fills it; shared with the staff file. */
struct sw_parts_raw {
    struct sw_choice fixing;
    struct sw_choice roller_metal;
    struct sw_list readings; /* struct sw_variant of what only survey.c knows */
};
extern const struct sw_table sw_parts_table;

/** Check and resolve `parts`. All faults are reported; SW_INPUT when there was any. */
enum sw_status sw_parts_read(struct sw_parts_read *out, const struct sw_parts_raw *raw,
                             struct sw_ctx *ctx) SW_MUST_CHECK;

#endif
