/* staking: from the sizes of a staff to the holes that stake and punches need.
 *
 * The staff stands with one end through the hole of the stake, its hub on the stake's face; a
 * hollow punch comes over the other end. Each hole must let pass what goes through it and leave
 * enough to bear on.
 * Units: mm, finished sizes, every diameter at its upper limit. No memory, no statuses.
 * Sources: the order of punches: War Department TM 9-1575, 1945. That a hole just clears what goes
 * through it, and how much that is: common practice, no source. The rest is derived.
 */
#ifndef SW_FIT_STAKING_H
#define SW_FIT_STAKING_H

#include "part/staff.h"

/** Sizes a hole may have; most < least: none does. */
struct sw_hole {
    double least, most;
    double depth; /* of the hole, at least */
};

struct sw_staking {
    enum sw_fixing fixing;
    bool points_down;     /* the punch comes over the lower end */
    size_t seat;          /* the section that takes the balance, or its hub; n: none */
    size_t rivet;         /* n: none */
    struct sw_hole stake; /* the staff stands in it */
    struct sw_hole punch; /* that rivets, or pushes home */
    bool has_roller;
    struct sw_hole roller; /* of the punch that pushes the roller home */
};

struct sw_staking sw_staking_of(const struct sw_staff *staff);

/** How a staff holds its balance: as its parts say, otherwise as its sections tell. */
enum sw_fixing sw_staff_fixing(const struct sw_staff *staff);

/** The seat that takes a part, or NULL. */
const struct sw_section *sw_staff_seat(const struct sw_staff *staff, enum sw_takes takes);

#endif
