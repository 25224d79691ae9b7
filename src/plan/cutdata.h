/* cutdata: how deep, how fast, how much a turn: the one place where passes get their numbers.
 *
 * Today from tool and material data with the minimum-chip rule; whoever puts mechanics in its
 * place keeps this interface. All depths on radius [mm], feeds per turn [mm].
 */
#ifndef SW_PLAN_CUTDATA_H
#define SW_PLAN_CUTDATA_H

#include "shop/shop.h"

enum sw_cut_use { SW_CUT_FACE, SW_CUT_ROUGH, SW_CUT_FINISH, SW_CUT_RECESS, SW_CUT_PART };

struct sw_cut {
    double depth; /* most a pass may take */
    double feed;
    double speed; /* rev/min, or m/min with is_surface_speed */
    bool is_surface_speed;
    double speed_clamp; /* rev/min */
};

/** What a cut is asked of. */
struct sw_cut_case {
    enum sw_cut_use use;
    const struct sw_tool *tool;
    const struct sw_material *material;
    const struct sw_machine *machine;
    double largest_diameter;    /* that the cut meets [mm] */
    double only_diameter;       /* > 0: the one speed of a spindle switched by hand goes by this
                                   one, whatever the cut meets [mm] */
    bool may_use_surface_speed; /* the dialect and the control have it */
};

/** Choose. Always succeeds: a tool without data gets the least its edge can cut. */
void sw_cut_choose(struct sw_cut *cut, const struct sw_cut_case *of);

/** Least chip thickness a tool cuts in a material instead of rubbing [mm]. */
double sw_cut_least_chip(const struct sw_tool *tool, const struct sw_material *material);

#endif
