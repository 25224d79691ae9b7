/* fit_items: what is asked of a staff and its parts, one formula an item; nobody but fit*.c
 * includes it.
 *
 * All sizes of one staff and one set of parts stand in an array of doubles, by enum fit_var; a
 * trial is another array. A size that is not known makes the items that need it drop out.
 */
#ifndef SW_FIT_FIT_ITEMS_H
#define SW_FIT_FIT_ITEMS_H

#include <stdbool.h>

#include "fit/fit.h"
#include "fit/laws.h"

enum fit_var {
    /* parts */
    FIT_ENDSTONES,
    FIT_HOLE_UPPER,
    FIT_HOLE_LOWER,
    FIT_JEWEL_UPPER,
    FIT_JEWEL_LOWER,
    FIT_GAP_UPPER,
    FIT_GAP_LOWER,
    FIT_BALANCE_BORE,
    FIT_ARM,
    FIT_ARM_BEVEL,
    FIT_RIM_ABOVE,
    FIT_RIM_BELOW,
    FIT_BRIDGE,
    FIT_CEILING,
    FIT_ROLLER_BORE,
    FIT_ROLLER_THICK,
    FIT_ROLLER_OUTSIDE,
    FIT_FORK,
    FIT_FLOOR,
    FIT_SAFETY_BORE,
    FIT_SAFETY_THICK,
    FIT_COLLET_BORE,
    FIT_COLLET_HEIGHT,
    FIT_COLLET_SPRING,
    FIT_SPRING_LEVEL,
    FIT_COCK,
    FIT_HUB_BORE,
    FIT_HUB_OUTSIDE,
    /* the staff */
    FIT_TOTAL,
    FIT_PIVOT_UPPER,
    FIT_PIVOT_LOWER,
    FIT_STRAIGHT_UPPER,
    FIT_STRAIGHT_LOWER,
    FIT_HUB_FACE,
    FIT_SHOULDER,
    FIT_ROLLER_SEAT, /* at the shoulder */
    FIT_ROLLER_LENGTH,
    FIT_ROLLER_TAPER,
    FIT_SAFETY_SEAT,
    FIT_SAFETY_LENGTH,
    FIT_SAFETY_TAPER,
    FIT_COLLET_SEAT,
    FIT_COLLET_LENGTH, /* and rivet: what lies between the arm and the back slope */
    FIT_BALANCE_SEAT,
    FIT_FRICTION_SEAT,
    FIT_FRICTION_LENGTH,
    FIT_RIVET,
    FIT_LIP,
    FIT_RECESS,
    FIT_WALL,
    FIT_N_VARS
};

/* What does not vary. */
struct fit_kind {
    enum sw_fixing fixing;
    enum sw_part_metal roller_metal;
    bool is_spring_below;
    bool is_olive[2];
};

enum fit_item_id {
    FIT_ITEM_SIDE_UPPER,
    FIT_ITEM_SIDE_LOWER,
    FIT_ITEM_LEAN_UPPER,
    FIT_ITEM_LEAN_LOWER,
    FIT_ITEM_END_SHAKE,
    FIT_ITEM_CONE_UPPER,
    FIT_ITEM_CONE_LOWER,
    FIT_ITEM_STAYS_UPPER,
    FIT_ITEM_STAYS_LOWER,
    FIT_ITEM_FORK,
    FIT_ITEM_FLOOR,
    FIT_ITEM_STOP,
    FIT_ITEM_ROLLER_GRIP,
    FIT_ITEM_ROLLER_PRESSURE,
    FIT_ITEM_ROLLER_STRESS,
    FIT_ITEM_ROLLER_FORCE,
    FIT_ITEM_SAFETY_STOP,
    FIT_ITEM_SAFETY_GRIP,
    FIT_ITEM_BALANCE,
    FIT_ITEM_DRIVE_PRESSURE,
    FIT_ITEM_DRIVE_FORCE,
    FIT_ITEM_FRICTION,
    FIT_ITEM_FRICTION_STRESS,
    FIT_ITEM_FRICTION_FORCE,
    FIT_ITEM_RIVET,
    FIT_ITEM_COLLET,
    FIT_ITEM_COLLET_ROOM,
    FIT_ITEM_SPRING_LEVEL,
    FIT_ITEM_COCK,
    FIT_ITEM_BRIDGE,
    FIT_ITEM_CEILING,
    FIT_N_ITEMS
};

struct fit_law {
    const char *name, *unit;
    int decimals;
    enum fit_var needs[6]; /* ended by FIT_N_VARS */
    double (*value)(const double *x, const struct fit_kind *kind);
    double least, most;
    double never_under, never_over;
    const char *rule;
    bool is_for_information;
};

/** The formulas, in the order of the items. */
double fit_value_side_upper(const double *x, const struct fit_kind *kind);
double fit_value_side_lower(const double *x, const struct fit_kind *kind);
double fit_value_lean_upper(const double *x, const struct fit_kind *kind);
double fit_value_lean_lower(const double *x, const struct fit_kind *kind);
double fit_value_end_shake(const double *x, const struct fit_kind *kind);
double fit_value_cone_upper(const double *x, const struct fit_kind *kind);
double fit_value_cone_lower(const double *x, const struct fit_kind *kind);
double fit_value_stays_upper(const double *x, const struct fit_kind *kind);
double fit_value_stays_lower(const double *x, const struct fit_kind *kind);
double fit_value_fork(const double *x, const struct fit_kind *kind);
double fit_value_floor_room(const double *x, const struct fit_kind *kind);
double fit_value_stop(const double *x, const struct fit_kind *kind);
double fit_value_roller_grip(const double *x, const struct fit_kind *kind);
double fit_value_roller_pressure(const double *x, const struct fit_kind *kind);
double fit_value_roller_stress(const double *x, const struct fit_kind *kind);
double fit_value_roller_force(const double *x, const struct fit_kind *kind);
double fit_value_safety_stop(const double *x, const struct fit_kind *kind);
double fit_value_safety_grip(const double *x, const struct fit_kind *kind);
double fit_value_balance(const double *x, const struct fit_kind *kind);
double fit_value_drive_pressure(const double *x, const struct fit_kind *kind);
double fit_value_drive_force(const double *x, const struct fit_kind *kind);
double fit_value_friction_grip(const double *x, const struct fit_kind *kind);
double fit_value_friction_stress(const double *x, const struct fit_kind *kind);
double fit_value_friction_force(const double *x, const struct fit_kind *kind);
double fit_value_rivet(const double *x, const struct fit_kind *kind);
double fit_value_collet(const double *x, const struct fit_kind *kind);
double fit_value_collet_room(const double *x, const struct fit_kind *kind);
double fit_value_spring_level(const double *x, const struct fit_kind *kind);
double fit_value_cock(const double *x, const struct fit_kind *kind);
double fit_value_bridge(const double *x, const struct fit_kind *kind);
double fit_value_ceiling(const double *x, const struct fit_kind *kind);

/** By enum fit_item_id. */
const struct fit_law *fit_law(enum fit_item_id id);

/** Does the item make sense for this kind of staff? */
bool fit_concerns(enum fit_item_id id, const struct fit_kind *kind);

/** What a roller and a balance's hub are made of. */
const struct sw_metal *fit_roller_metal(const struct fit_kind *kind);
const struct sw_metal *fit_hub_metal(void);

/** Most that a metal's bore may bear, for the limit of a stress item; MPa. */
double fit_yield(enum fit_item_id id, const struct fit_kind *kind);

#endif
