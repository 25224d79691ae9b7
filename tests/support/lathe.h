/* lathe: an invented bench lathe, its tools and a setup record built in C, and motions written
 * move by move, so that the judge can be tried without any reader or file.
 *
 * Stations: 1 right-hand point (nose 0.05, 93 and 35 degrees), 2 blade (0.4 wide, corners 0.02),
 * 3 face-point (nose 0.03). All declare the centre of their nose unless a test says otherwise.
 * Moves are given by the nose centre in the chucking frame; they are turned into machine positions
 * with the zeros of the record.
 */
#ifndef SW_TESTS_SUPPORT_LATHE_H
#define SW_TESTS_SUPPORT_LATHE_H

#include "motion/motion.h"
#include "setup/setup.h"
#include "shop/shop.h"

enum { SW_LATHE_TOOLS = 3, SW_LATHE_SIDES = 2 };

struct sw_lathe {
    struct sw_ctx ctx;
    struct sw_machine machine;
    struct sw_station station[SW_LATHE_TOOLS];
    struct sw_number travel_x[2], travel_z[2];
    struct sw_tool tool[SW_LATHE_TOOLS];
    struct sw_fitted_tool fitted[SW_LATHE_TOOLS];
    struct sw_holder holder;
    struct sw_number holder_size;
    const struct sw_holder *holders[1];
    struct sw_text holder_name;
    struct sw_material material;
    struct sw_stock stock;
    struct sw_shop shop;
    struct sw_setup setup;
    struct sw_setup_side side[SW_LATHE_SIDES];
    struct sw_setup_station record[SW_LATHE_SIDES][SW_LATHE_TOOLS];
    struct sw_setup_program program[SW_LATHE_SIDES];
    struct sw_motion motion[SW_LATHE_SIDES];
    int now;      /* side whose motion is written */
    int tool_now; /* station */
    struct sw_motion_state state;
    struct sw_motion_pt at; /* machine frame */
    uint32_t line;
};

/** One side from a rod of 2.0, free end at z = 0.1, nose face at z = -6; gang slide. The second
 *  side stands ready: setup.sides.n = 2 brings it in. */
void sw_lathe_init(struct sw_lathe *lathe);
void sw_lathe_done(struct sw_lathe *lathe);

/** Take a station into use: tool and coordinate system. */
void sw_lathe_use(struct sw_lathe *lathe, int station);
void sw_lathe_spindle(struct sw_lathe *lathe, enum sw_motion_spindle sense, double speed);
void sw_lathe_rapid(struct sw_lathe *lathe, double z, double r);
void sw_lathe_cut(struct sw_lathe *lathe, double z, double r);
/** To (z, r) about the centre (cz, cr); the radii come out of the points. */
void sw_lathe_arc(struct sw_lathe *lathe, double z, double r, double cz, double cr, int turn);
/** The second spindle comes up and takes the work, or leaves. */
void sw_lathe_second(struct sw_lathe *lathe, bool takes);
void sw_lathe_pause(struct sw_lathe *lathe);
void sw_lathe_end(struct sw_lathe *lathe);
/** Go on with the program of the next side. */
void sw_lathe_next_side(struct sw_lathe *lathe);
/** Line of the event written last. */
uint32_t sw_lathe_line(const struct sw_lathe *lathe);

#endif
